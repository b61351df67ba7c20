"""What the changes between two descriptions do to findings, numbers and coverage."""

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TypeVar

from docgen.analysis import calculations
from docgen.calc.formula import Band
from docgen.calculation import Bound, Calculation
from docgen.changes import Change, compared
from docgen.check import Report
from docgen.editions.topics import TOPICS
from docgen.finding import Result, Verdict
from docgen.look import Look
from docgen.meaning import Group, Names, meaning, named, respelled
from docgen.patch import Translation
from docgen.provenance import Path

_ROUNDING = 1e-9
"""Share of a number that floats may differ by without having moved."""


@dataclass(frozen=True, slots=True)
class Findings:
    """The findings of two reports, each once; one is the same where rule and place are, whatever its values."""

    new: tuple[Result, ...]
    """Of the later report."""
    gone: tuple[Result, ...]
    """Of the earlier report."""
    same: tuple[tuple[Result, Result], ...]
    """Of the earlier and of the later report."""


@dataclass(frozen=True, slots=True)
class Figure:
    """What a calculation came to, in SI units of its formula."""

    result: Band | None
    bound: Bound | None
    margin: float | None
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class Number:
    """A calculation that came to something else, or that only one of the two descriptions has."""

    slug: str
    title: str
    """Of the later description, where it has one."""
    about: Names
    """The field that it is about, by names of the later description."""
    unit: str
    before: Figure | None
    """None where only the later description has it."""
    after: Figure | None
    """None where only the earlier description has it."""

    @property
    def shift(self) -> float:
        """Largest shift of an end of the result, as a share of the larger of the two; 1 where only one side has a result."""
        old, new = (side.result if side else None for side in (self.before, self.after))
        if old is None or new is None:
            return 0.0 if old is new else 1.0
        ends = ((old.low, new.low), (old.nominal, new.nominal), (old.high, new.high))
        return max(abs(one - other) / max(abs(one), abs(other)) if one != other else 0.0 for one, other in ends)

    @property
    def is_judged_otherwise(self) -> bool:
        """Whether the verdict differs, or only one side has one."""
        return (self.before and self.before.verdict) != (self.after and self.after.verdict)


@dataclass(frozen=True, slots=True)
class Topic:
    """A topic of the rulebooks on which other verdicts were given."""

    slug: str
    about: str
    before: tuple[Verdict, ...]
    """Each verdict once, in the order of `Verdict`; empty where no rule spoke."""
    after: tuple[Verdict, ...]


@dataclass(frozen=True)
class Comparison:
    """Two reports side by side."""

    before: Report
    after: Report
    changes: tuple[Change, ...]
    findings: Findings
    numbers: tuple[Number, ...]
    """In the order in which the later description's are printed; those that went stand last."""
    coverage: tuple[Topic, ...]
    """In the order of the topics."""

    @property
    def editions(self) -> tuple[str, str]:
        """Identifiers of the editions that the two were checked against."""
        return self.before.edition.edition, self.after.edition.edition


def comparison(before: Report, after: Report) -> Comparison:
    """What changed from one description to another, and what follows from it under the edition of each."""
    old, new = (meaning(report.description.car, report.description.tree.data) for report in (before, after))
    found = compared(old, new)
    places = _Places(old, new, Translation(found))
    return Comparison(before, after, found, _findings(before, after, places), tuple(_numbers(before, after, places)), tuple(_coverage(before, after)))


@dataclass(frozen=True)
class _Places:
    """Places of both descriptions by names of the later one."""

    old: Group
    new: Group
    translation: Translation

    def before(self, path: Path) -> Names:
        return self.translation.forward(named(self.old, path))

    def after(self, path: Path) -> Names:
        return named(self.new, path)


T = TypeVar("T")


def _matched(
    old: Iterable[T], new: Iterable[T], old_key: Callable[[T], object], new_key: Callable[[T], object], same: Callable[[T, T], bool]
) -> tuple[list[tuple[T, T]], list[T], list[T]]:
    """Pairs of one key, those that are also the same first, the others in their order; and what is left on either side."""
    waiting: dict[object, list[T]] = defaultdict(list)
    for item in old:
        waiting[old_key(item)].append(item)
    pairs: list[tuple[T, T]] = []
    second: list[T] = []
    for item in new:
        candidates = waiting[new_key(item)]
        equal = next((at for at, other in enumerate(candidates) if same(other, item)), None)
        if equal is None:
            second.append(item)
        else:
            pairs.append((candidates.pop(equal), item))
    come: list[T] = []
    for item in second:
        candidates = waiting[new_key(item)]
        if candidates:
            pairs.append((candidates.pop(0), item))
        else:
            come.append(item)
    return pairs, [item for items in waiting.values() for item in items], come


def _findings(before: Report, after: Report, places: _Places) -> Findings:
    pairs, gone, come = _matched(
        before.findings, after.findings,
        lambda result: (result.rule.slug, places.before(result.outcome.path)), lambda result: (result.rule.slug, places.after(result.outcome.path)),
        lambda old, new: (old.outcome.was, old.outcome.must) == (new.outcome.was, new.outcome.must),
    )  # fmt: skip

    def place(result: Result) -> tuple[object, ...]:
        return result.location, result.rule.slug

    return Findings(tuple(come), tuple(sorted(gone, key=place)), tuple(sorted(pairs, key=lambda pair: place(pair[1]))))


def _numbers(before: Report, after: Report, places: _Places) -> Iterator[Number]:
    old, new = (calculations(Look(report.description, report.edition)) for report in (before, after))
    renamed = {was[-1]: now for was, now in places.translation.names.items()}

    def title(calculation: Calculation) -> str:
        return respelled(calculation.title, renamed)

    pairs, gone, come = _matched(
        old, new,
        lambda one: (one.slug, places.before(one.about)), lambda one: (one.slug, places.after(one.about)),
        lambda one, other: title(one) == other.title,
    )  # fmt: skip
    was = {id(calculation): earlier for earlier, calculation in pairs}
    fresh = set(map(id, come))
    for calculation in new:
        earlier = was.get(id(calculation))
        if earlier is not None and _moved(figure(earlier), figure(calculation)):
            yield _number(calculation, places.after(calculation.about), figure(earlier), figure(calculation))
        elif id(calculation) in fresh:
            yield _number(calculation, places.after(calculation.about), None, figure(calculation))
    left = set(map(id, gone))
    for calculation in old:
        if id(calculation) in left:
            yield _number(calculation, places.before(calculation.about), figure(calculation), None)


def _number(calculation: Calculation, about: Names, before: Figure | None, after: Figure | None) -> Number:
    return Number(calculation.slug, calculation.title, about, calculation.card.unit, before, after)


def figure(calculation: Calculation) -> Figure:
    """What a calculation came to."""
    return Figure(calculation.result, calculation.bound, calculation.margin, calculation.verdict)


def _moved(old: Figure, new: Figure) -> bool:
    """Whether result, bound or verdict differ by more than the rounding of floats."""
    if old.verdict is not new.verdict or (old.result is None) != (new.result is None) or (old.bound is None) != (new.bound is None):
        return True
    ends = [(old.result, new.result)] if old.result and new.result else []
    numbers = [pair for one, other in ends for pair in ((one.low, other.low), (one.nominal, other.nominal), (one.high, other.high))]
    if old.bound and new.bound:
        if old.bound.compare != new.bound.compare:
            return True
        numbers.append((old.bound.value, new.bound.value))
    return not all(math.isclose(one, other, rel_tol=_ROUNDING, abs_tol=1e-15) for one, other in numbers)


def _coverage(before: Report, after: Report) -> Iterator[Topic]:
    old, new = _verdicts(before), _verdicts(after)
    for slug, topic in TOPICS.items():
        if old[slug] != new[slug]:
            yield Topic(slug, topic.about, *(tuple(verdict for verdict in Verdict if verdict in side[slug]) for side in (old, new)))


def _verdicts(report: Report) -> dict[str, set[Verdict]]:
    found: dict[str, set[Verdict]] = defaultdict(set)
    for result in report.results:
        found[result.rule.topic].add(result.outcome.verdict)
    return found
