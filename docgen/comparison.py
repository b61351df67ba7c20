"""A comparison in words: each change in the car's terms and what follows from it, for the terminal and for other programs."""

import json
from collections.abc import Iterable, Iterator
from typing import Any

from docgen.change_words import spelled as spelled_change
from docgen.changes import UNSEEN, Change, Spot
from docgen.consequences import Comparison, Figure, Number, Topic
from docgen.editions import Edition
from docgen.finding import Result
from docgen.meaning import NOT_COMPARED, ORDER_MEANS_NOTHING
from docgen.printing import band, counted, mark_of, measure, name_of, on_one_line
from docgen.provenance import spelled
from docgen.three_way import ThreeWay

_SLIGHT = 0.005
"""Share of a number by which it may move without standing on the terminal: one wire moves every voltage of its loop a little."""
_NOT_THERE = "not there"


def place(change: Change) -> str:
    """Where a change is, by names: ``devices.imd.reset.who``; of an item of a list and of a name, what holds it."""
    if change.across:
        return f"{'.'.join(change.was[:-1])} → {'.'.join(change.path[:-1])}"
    return ".".join(change.path[:-1] if change.stands or change.stood or change.is_of_name else change.path)


def sides(change: Change) -> tuple[str, str]:
    """What the earlier description says there, and what the later one says."""
    if change.is_of_name:
        return change.was[-1], change.path[-1]
    if change.stands or change.stood:
        return _item(change.was[-1], change.before, change.stood), _item(change.path[-1], change.after, change.stands)
    return value(change.before), value(change.after)


def _item(name: str, data: Any, spot: Spot | None) -> str:
    if spot is None:
        return _NOT_THERE
    said = name if isinstance(data, str) else f"{name} ({value(data)})"
    return f"{said}, behind {spot.behind}" if spot.behind else f"{said}, first"


def value(data: Any) -> str:
    """Plain data in words."""
    return _NOT_THERE if data is None else _words(data)


def _words(data: Any) -> str:
    if isinstance(data, dict):
        return ", ".join(f"{name} ({_words(part)})" if isinstance(part, dict) else f"{name}: {_words(part)}" for name, part in data.items())
    return ", ".join(map(_words, data)) if isinstance(data, list) else str(data)


def headline(comparison: Comparison) -> str:
    """Which revisions of which car stand side by side."""
    older, newer = (report.description.car for report in (comparison.before, comparison.after))
    names = dict.fromkeys(filter(None, map(name_of, (older, newer))))
    marks = [mark_of(car) or "without a mark" for car in (older, newer)]
    return f"{' and '.join(names) or 'A car without a name'}: revision {marks[0]} to revision {marks[1]}"


def in_short(comparison: Comparison) -> str:
    """The counts in a line."""
    findings = comparison.findings
    return (
        f"{counted(len(comparison.changes), 'change')}; findings: {len(findings.new)} new, {len(findings.gone)} gone, {len(findings.same)} as before; "
        f"{counted(len(comparison.numbers), 'number')} moved; {counted(len(comparison.coverage), 'clause')} with another outcome"
    )


def as_text(comparison: Comparison) -> str:
    """The comparison for a terminal, every entry on a line of its own."""
    lines = [headline(comparison), in_short(comparison)]
    if comparison.editions[0] != comparison.editions[1]:
        lines.append(f"the edition changed from {comparison.editions[0]} to {comparison.editions[1]}")
    lines += _section("what changed", map(spelled_change, comparison.changes))
    findings = comparison.findings
    lines += _section("findings that are new", map(_finding_line, findings.new))
    lines += _section("findings that are gone", map(_finding_line, findings.gone))
    weighty = [number for number in comparison.numbers if number.is_judged_otherwise or number.shift >= _SLIGHT]
    slight = len(comparison.numbers) - len(weighty)
    lines += _section("numbers that moved", map(_number_line, weighty))
    lines += [f"  and {counted(slight, 'number')} by less than {_SLIGHT:.1%}"] if slight else []
    lines += _section("clauses with another outcome", (_topic_line(topic, comparison.after.edition) for topic in comparison.coverage))
    return "\n".join([*lines, "", UNSEEN, "docgen approves nothing."])


def _section(title: str, entries: Iterable[str]) -> Iterator[str]:
    told = [f"  {on_one_line(entry)}" for entry in entries]
    if told:
        yield from ("", f"{title}:", *told)


def _finding_line(result: Result) -> str:
    return f"{result.location}: {result.severity}: {result.rule.slug}: {result.outcome.was}; {result.outcome.must}"


def _number_line(number: Number) -> str:
    before, after = (figure(side, number.unit) for side in (number.before, number.after))
    return f"{number.title}: {before} → {after}{_judged(number)}"


def _judged(number: Number) -> str:
    if number.after is None or number.after.bound is None:
        return ""
    both = [side for side in (number.before, number.after) if side and side.bound]
    bounds = dict.fromkeys(bound(side, number.unit) for side in both)
    return f"; must be {' → '.join(bounds)}; margin {' → '.join(margin(side, number.unit) for side in both)}; {number.after.verdict}"


def figure(side: Figure | None, unit: str) -> str:
    """What a calculation came to: nominal value and ends."""
    if side is None:
        return _NOT_THERE
    return band(side.result.low, side.result.nominal, side.result.high, unit) if side.result else str(side.verdict)


def bound(side: Figure | None, unit: str) -> str:
    """What a figure must keep; empty where it has no bound."""
    return f"{side.bound.compare} {measure(side.bound.value, unit)}" if side and side.bound else ""


def margin(side: Figure | None, unit: str) -> str:
    """How far the worst end is from its bound; empty where there is none."""
    return measure(side.margin, unit) if side and side.margin is not None else ""


def _topic_line(topic: Topic, edition: Edition) -> str:
    return f"{clause(topic, edition)}: {verdicts(topic.before)} → {verdicts(topic.after)}"


def clause(topic: Topic, edition: Edition) -> str:
    """The clause of a topic in an edition, and what it is about."""
    return f"{edition.topic(topic.slug).clause or 'no clause'} ({topic.about})"


def verdicts(given: Iterable[str]) -> str:
    """The verdicts on a topic in words."""
    return " and ".join(given) or "not judged"


def as_json(comparison: Comparison) -> str:
    """The comparison for other programs."""
    findings = comparison.findings
    return json.dumps(
        {
            "before": _side(comparison, before=True),
            "after": _side(comparison, before=False),
            "changes": [_change(change) for change in comparison.changes],
            "findings": {
                "new": [_finding(result) for result in findings.new],
                "gone": [_finding(result) for result in findings.gone],
                "same": [_finding(result) for _, result in findings.same],
            },
            "numbers": [_number(number) for number in comparison.numbers],
            "clauses": [
                {"topic": topic.slug, "clause": comparison.after.edition.topic(topic.slug).clause, "before": topic.before, "after": topic.after}
                for topic in comparison.coverage
            ],
            "not_compared": dict(NOT_COMPARED),
            "order_not_compared": dict(ORDER_MEANS_NOTHING),
        },
        ensure_ascii=False,
        indent=1,
    )


def _side(comparison: Comparison, before: bool) -> dict[str, object]:
    report = comparison.before if before else comparison.after
    description = report.description
    return {"file": description.tree.file, "digest": description.digest, "revision": mark_of(description.car), "edition": report.edition.edition}


def _change(change: Change) -> dict[str, object]:
    places = {key: {"index": spot.index, "behind": spot.behind} for key, spot in (("stood", change.stood), ("stands", change.stands)) if spot}
    return {"kind": change.kind, "path": change.path, "was": change.was, "before": change.before, "after": change.after, "across": change.across, **places}


def _finding(result: Result) -> dict[str, object]:
    outcome, location = result.outcome, result.location
    return {
        "check": result.rule.slug, "severity": result.severity, "field": spelled(outcome.path), "file": location.file, "line": location.line,
        "column": location.column, "is": outcome.was, "must_be": outcome.must,
    }  # fmt: skip


def _number(number: Number) -> dict[str, object]:
    def said(side: Figure | None) -> object:
        ends = side.result if side else None
        return side and {
            "low": ends and ends.low, "nominal": ends and ends.nominal, "high": ends and ends.high, "compare": side.bound and side.bound.compare,
            "bound": side.bound and side.bound.value, "margin": side.margin, "verdict": side.verdict,
        }  # fmt: skip

    return {"value": number.slug, "title": number.title, "about": number.about, "unit": number.unit, "before": said(number.before), "after": said(number.after)}


def three_sides_as_text(found: ThreeWay) -> str:
    """What the team and the reviewer changed since the base, and where they contradict each other, for a terminal."""
    lines = [
        f"{len(found.only_team)} changes by the team alone, {len(found.only_reviewer)} by the reviewer alone, {len(found.both)} by both alike, "
        f"{counted(len(found.conflicts), 'conflict')}"
    ]
    lines += _section("where they contradict each other", (
        f"{'.'.join(one.path)}: base {value(one.base)}; team {value(one.team)}; reviewer {value(one.reviewer)}" for one in found.conflicts
    ))  # fmt: skip
    for title, changes in (("by the team alone", found.only_team), ("by the reviewer alone", found.only_reviewer), ("by both alike", found.both)):
        lines += _section(title, map(spelled_change, changes))
    return "\n".join([*lines, "docgen approves nothing."])


def three_sides_as_json(found: ThreeWay) -> str:
    """The same for other programs."""
    sides_of = {"team": found.only_team, "reviewer": found.only_reviewer, "both": found.both}
    conflicts = [{"path": one.path, "base": one.base, "team": one.team, "reviewer": one.reviewer} for one in found.conflicts]
    told = {name: [_change(change) for change in changes] for name, changes in sides_of.items()}
    return json.dumps({"conflicts": conflicts, **told}, ensure_ascii=False, indent=1)
