"""A calculation of the submission: formula, inputs with their origin, result, limit, margin, verdict."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from docgen.calc.formula import Band, Card, OutOfBounds, card, worst
from docgen.finding import Verdict
from docgen.provenance import Path

_ROUNDING = 1e-12
"""Share of a bound that floats may lose on the way: 96 cells of 4.2 V are 403.20000000000005 V."""


@dataclass(frozen=True, slots=True)
class Given:
    """An input: symbol, value over its tolerance in SI, unit, and the field, clause or calculation that it comes from."""

    symbol: str
    name: str
    band: Band
    unit: str
    origin: Path | str


@dataclass(frozen=True, slots=True)
class Missing:
    """An input that is not known, and the field where it belongs."""

    name: str
    origin: Path


@dataclass(frozen=True, slots=True)
class Bound:
    """What the result must keep: comparison and value in SI."""

    compare: str
    value: float
    topic: str = ""
    """The topic whose clause demands it; empty where it is common practice or a rating."""
    words: str = ""
    """What the bound is, where no clause says it: “rated power of the resistor”."""


@dataclass(frozen=True, slots=True)
class Calculation:
    """One computed figure. Without a result it says what is missing, or why the inputs contradict each other."""

    slug: str
    title: str
    about: Path
    """The field that a finding on this figure points at."""
    card: Card
    given: tuple[Given, ...]
    missing: tuple[Missing, ...]
    result: Band | None
    bound: Bound | None
    impossible: str = ""
    prose: str = ""
    """What the figure means, in a line."""

    @property
    def verdict(self) -> Verdict:
        """Whether the whole band keeps the bound; *not evaluated* where an input is missing."""
        if self.missing:
            return Verdict.NOT_EVALUATED
        if self.result is None or (self.margin is not None and (self.margin < 0 or (self.margin == 0 and self._is_strict))):
            return Verdict.FINDING
        return Verdict.HOLDS

    @property
    def is_judged(self) -> bool:
        """Whether there is anything that it must keep, or that it lacks."""
        return self.bound is not None or self.result is None

    @property
    def _is_strict(self) -> bool:
        return self.bound is not None and self.bound.compare in ("below", "above")

    @property
    def margin(self) -> float | None:
        """Distance of the worst end from the bound, in SI; negative when the bound is broken, 0 where only rounding parts the two."""
        if self.result is None or self.bound is None:
            return None
        upward = self.bound.compare in ("at most", "below")
        apart = self.bound.value - self.result.high if upward else self.result.low - self.bound.value
        return 0.0 if abs(apart) <= _ROUNDING * abs(self.bound.value) else apart


def computed(
    slug: str, title: str, about: Path, function: Callable[..., float], inputs: dict[str, Given | Missing], bound: Bound | None = None, prose: str = ""
) -> Calculation:
    """Compute a figure over the worst corners of its inputs, named as the arguments of the formula.

    A missing input leaves it without a result; an input outside the formula's bounds makes it impossible, with the reason.
    """
    missing = tuple(dict.fromkeys(value for value in inputs.values() if isinstance(value, Missing)))
    given = tuple(value for value in inputs.values() if isinstance(value, Given))
    result, impossible = None, ""
    if not missing:
        try:
            result = worst(function, **{name: value.band for name, value in inputs.items() if isinstance(value, Given)})
        except OutOfBounds as error:
            impossible = str(error)
    return Calculation(slug, title, about, card(function), given, missing, result, bound, impossible, prose)


def result_as(calculation: Calculation, symbol: str, name: str) -> Given | Missing:
    """The result of a calculation as an input of the next; what it misses, the next one misses too."""
    if calculation.result is None:
        return calculation.missing[0] if calculation.missing else Missing(f"{calculation.title} (impossible: {calculation.impossible})", calculation.about)
    return Given(symbol, name, calculation.result, calculation.card.unit, f"calculation {calculation.slug}")


def of(calculations: Iterable[Calculation], *slugs: str) -> tuple[Calculation, ...]:
    """The calculations with one of these slugs, in order."""
    return tuple(calculation for calculation in calculations if calculation.slug in slugs)
