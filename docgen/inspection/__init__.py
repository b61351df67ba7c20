"""The tests to be done at the car, with the values expected of this one, from its description alone."""

from dataclasses import dataclass, replace
from itertools import chain

from docgen.check import Report
from docgen.finding import Result, Verdict
from docgen.inspection import loop, pedals, systems
from docgen.inspection.facts import Facts
from docgen.inspection.test import Group, Section, Sight, Test

__all__ = ["Inspection", "inspection"]

OUTSIDE = "Outside the loops"
STILL_OPEN = "Other things that paper cannot show"


@dataclass(frozen=True)
class Inspection:
    """Every test of a car: its loops in their order, then what stands outside them."""

    report: Report
    sections: tuple[Section, ...]

    @property
    def groups(self) -> tuple[Group, ...]:
        return tuple(chain.from_iterable(section.groups for section in self.sections))

    @property
    def tests(self) -> tuple[Test, ...]:
        return tuple(chain.from_iterable(group.tests for group in self.groups))


def inspection(report: Report) -> Inspection:
    """The tests that follow from a description and what the checks said of it.

    Every outcome *to be seen at the car* becomes a line, with the device that it speaks of or at the end.
    """
    facts = Facts.of(report)
    made = [*loop.sections(facts), Section(OUTSIDE, (*systems.groups(facts), *pedals.groups(facts)))]
    seen = [result for result in report.results if result.outcome.verdict is Verdict.AT_CAR]
    heads = {group.head for section in made for group in section.groups}
    sections = [replace(section, groups=tuple(_with_seen(facts, group, seen) for group in section.groups if group.tests)) for section in made]
    rest = tuple(_to_be_seen(facts, "at-the-car", result) for result in seen if _head(result) not in heads)
    if rest:
        sections[-1] = replace(sections[-1], groups=(*sections[-1].groups, Group("at-the-car", STILL_OPEN, rest)))
    return Inspection(report, tuple(_once(sections)))


def _head(result: Result) -> str:
    """The device that an outcome speaks of; empty where it is none."""
    path = result.outcome.path
    return str(path[1]) if len(path) > 1 and path[0] == "devices" else ""


def _with_seen(facts: Facts, group: Group, seen: list[Result]) -> Group:
    lines = tuple(_to_be_seen(facts, group.head, result) for result in seen if _head(result) == group.head)
    return replace(group, tests=(*group.tests, *lines))


def _to_be_seen(facts: Facts, head: str, result: Result) -> Test:
    path = result.outcome.path
    rest = path[2:] if _head(result) == head else path
    slug = "-".join(["see", result.rule.slug, *(str(step).replace("_", "-") for step in rest)])
    source = f"check {result.rule.slug}" + (f"; {result.citation.clause}" if result.citation else "")
    return facts.test(
        f"{head}/{slug}", "To be seen at the car", (f"Look: {result.outcome.was}.",), (Sight(result.rule.texts.demand.rstrip("."), source),), (path,)
    )


def _once(sections: list[Section]) -> list[Section]:
    """Every slug once: a device that stands in several sections is told there by what is new in it."""
    known: set[str] = set()
    kept = []
    for section in sections:
        groups = []
        for group in section.groups:
            tests = tuple({test.slug: test for test in group.tests if test.slug not in known}.values())
            known |= {test.slug for test in tests}
            if tests:
                groups.append(replace(group, tests=tests))
        kept.append(replace(section, groups=tuple(groups)))
    return [section for section in kept if section.groups]
