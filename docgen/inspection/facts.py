"""What the description, the calculations and the edition say about an expectation; and which value is missing where they do not."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from pydantic import BaseModel

from docgen.analysis import calculations
from docgen.analysis.intermediate import is_below_limit
from docgen.calculation import Calculation, of
from docgen.car.values import Unknown
from docgen.check import Report
from docgen.inspection.test import Caution, Figure, Sight, Test
from docgen.look import COMPARE, Look
from docgen.printing import measure, printed
from docgen.provenance import Path, spelled
from docgen.quantity import DIMENSIONS, Quantity, unit_of

_DIMENSIONS = {unit_of(dimension): dimension for dimension in DIMENSIONS}
"""Unit in which a calculation gives its result -> dimension; of several the first is meant, for units of tests are not shared."""

_SILENT = frozenset({"note", "label", "datasheet", "pictures", "part"})
"""Fields whose change makes no test worth repeating."""


@dataclass(frozen=True, eq=False)
class Facts:
    """A report, looked at by the makers of tests."""

    report: Report
    look: Look

    @classmethod
    def of(cls, report: Report) -> "Facts":
        return cls(report, Look(report.description, report.edition))

    @cached_property
    def calculations(self) -> tuple[Calculation, ...]:
        return calculations(self.look)

    @property
    def never_high(self) -> bool:
        """Whether the tractive system never exceeds the voltage below which it counts as off."""
        return is_below_limit(self.look)

    def at(self, path: Path) -> Any:
        """The value of the field at `path`; None where it is left out, or where a group on the way is."""
        value: Any = self.look.car
        for step in path:
            if isinstance(value, BaseModel):
                name = next((name for name, field in type(value).model_fields.items() if step == (field.alias or name)), None)
                value = getattr(value, name) if name else None
            elif isinstance(value, dict):
                value = value.get(step)
            elif isinstance(value, tuple) and isinstance(step, int):
                value = value[step] if step < len(value) else None
            if value is None or isinstance(value, Unknown):
                return value
        return value

    def missing(self, path: Path) -> str:
        """Why a field tells nothing: ``devices.imd.reset is unknown (asked the supplier)``."""
        value = self.at(path)
        return f"{spelled(path)} is {value if isinstance(value, Unknown) else 'not said'}"

    def sight(self, path: Path, words: str | Mapping[str, str] | Callable[[str], str]) -> Sight:
        """What is to be seen by a field: words in which ``{}`` is its value, words for each of its values, or a function of it."""
        value = self.at(path)
        if value is None or isinstance(value, Unknown):
            return Sight(self.missing(path), spelled(path), False)
        said = printed(value)
        if isinstance(words, str):
            return Sight(words.replace("{}", said), spelled(path))
        return Sight(words.get(said, said) if isinstance(words, Mapping) else words(said), spelled(path))

    def clause(self, topic: str, limit: str = "") -> str:
        """The clause on a topic with one of its limits: ``EV6.1.5: below 5 s``; empty where none is known."""
        known, found = self.look.edition.citation(topic), self.look.limit(topic, limit) if limit else None
        if known is None or (limit and found is None):
            return ""
        number = str(known).removeprefix(f"{known.edition}, ")
        return f"{number}: {found[0].compare} {found[1]}" if found else number

    def stated(self, what: str, path: Path, topic: str = "", limits: tuple[str, ...] = (), side: str = "") -> Figure:
        """A figure that the description states.

        `side` says what a value without a tolerance means: it is met by anything ``at most`` or ``at least`` as large. Without it, the limits
        of a clause are the band; where there are none, the value stands without a band.
        """
        value, clauses = self.at(path), "; ".join(filter(None, (self.clause(topic, limit) for limit in limits)))
        source = "; ".join(filter(None, (spelled(path), clauses)))
        if not isinstance(value, Quantity):
            return Figure(what, self._dimension(path), None, None, source, self.missing(path))
        low, high = float(value.low), float(value.high)
        if side:
            return Figure(what, value.dimension, None if side == "at most" else low, high if side == "at most" else None, source)
        if low == high:
            ends = [(limit.compare, float(bound.value)) for limit, bound in filter(None, (self.look.limit(topic, limit) for limit in limits))]
            lows = [end for compare, end in ends if compare in ("at least", "above", "exactly")]
            highs = [end for compare, end in ends if compare in ("at most", "below", "exactly")]
            if not ends:
                return Figure(what, value.dimension, None, None, source, f"{value} is stated without a tolerance; write down what is measured")
            return Figure(
                what,
                value.dimension,
                max(lows, default=None),
                min(highs, default=None),
                source.replace(spelled(path), f"{spelled(path)} is {value}", 1),
            )
        return Figure(what, value.dimension, low, high, source)

    def _dimension(self, path: Path) -> str:
        """What a missing figure would be measured in: told by the last step of its field."""
        return _LIKELY.get(str(path[-1]), "time")

    def computed(self, what: str, found: Iterable[Calculation], side: str = "", else_missing: str = "", dimension: str = "time") -> Figure:
        """The figure of calculations: the widest of their bands, ``at most`` its upper or ``at least`` its lower end.

        Where there are none, it is one of this `dimension` that misses what `else_missing` says.
        """
        several = tuple(found)
        if not several:
            return Figure(what, dimension, None, None, "", else_missing)
        first = several[0]
        dimension = _DIMENSIONS[first.card.unit]
        source = "; ".join(dict.fromkeys(part for one in several for part in (f"calculation {one.slug}", self._asked(one)) if part))
        for one in several:
            if one.result is None:
                because = ", ".join(f"{missing.name} ({spelled(missing.origin)})" for missing in one.missing) or one.impossible
                return Figure(what, dimension, None, None, source, because)
        bands = [one.result for one in several if one.result]
        low, high = min(band.low for band in bands), max(band.high for band in bands)
        if low == high and not side:
            return Figure(
                what, dimension, None, None, source, f"{measure(low, first.card.unit)} is stated without a tolerance; write down what is measured"
            )
        return Figure(what, dimension, None if side == "at most" else low, None if side == "at least" else high, source)

    def _asked(self, calculation: Calculation) -> str:
        bound = calculation.bound
        if bound is None or not bound.topic or bound.compare not in COMPARE:
            return ""
        known = self.look.edition.citation(bound.topic)
        return f"{str(known).removeprefix(f'{known.edition}, ')}: {bound.compare} {measure(bound.value, calculation.card.unit)}" if known else ""

    def named(self, *slugs: str, about: Path = ()) -> tuple[Calculation, ...]:
        """The calculations of these slugs whose field lies at or below `about`."""
        return tuple(one for one in of(self.calculations, *slugs) if one.about[: len(about)] == about)

    def leaves(self, *paths: Path) -> Iterator[tuple[str, str]]:
        """Every value at or below these fields, spelled; a field left out is “not said”."""
        for path in paths:
            value = self.at(path)
            if isinstance(value, BaseModel):
                known = [field.alias or name for name, field in type(value).model_fields.items() if getattr(value, name) not in (None, {}, ())]
                yield from self.leaves(*((*path, name) for name in known if name not in _SILENT))
            elif isinstance(value, dict):
                yield from self.leaves(*((*path, name) for name in sorted(value)))
            else:
                yield spelled(path), printed(value)

    def test(
        self,
        slug: str,
        title: str,
        steps: Iterable[str],
        sights: Iterable[Sight],
        proves: Iterable[Path],
        figure: Figure | None = None,
        cautions: tuple[Caution, ...] = (),
        follows: Mapping[str, str] | None = None,
    ) -> Test:
        """A test that rests on the fields `proves` and on what `follows` from the description as a whole."""
        fields = dict(self.leaves(*proves)) | dict(follows or {})
        return Test(slug, title, tuple(steps), tuple(sights), figure, tuple(fields.items()), cautions)


_LIKELY = {
    "resistor": "resistance",
    "near_parts": "resistance",
    "possibly_conductive": "resistance",
    "below": "resistance",
    "frequency": "frequency",
    "red_above": "voltage",
    "sound_level": "sound level",
    "released_pedal": "torque",
    "limit": "share",
    "at": "share",
    "pedal_below": "share",
}
"""Last step of a field that may be missing -> its dimension; a time otherwise."""
