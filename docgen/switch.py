"""What would change for a car under another edition."""

import json
from dataclasses import dataclass

from docgen.check import Report
from docgen.editions import Edition
from docgen.editions.topics import TOPICS
from docgen.finding import Result
from docgen.printing import on_one_line
from docgen.provenance import Known
from docgen.quantity import read_quantity


@dataclass(frozen=True, slots=True)
class Difference:
    """A limit that differs between two editions, as each of them has it."""

    topic: str
    limit: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Switch:
    """The same car under two editions."""

    before: Report
    after: Report
    come: tuple[Result, ...]
    gone: tuple[Result, ...]
    changed: tuple[tuple[Result, Result], ...]
    """Findings of another severity, before and after."""
    limits: tuple[Difference, ...]
    terms: tuple[Difference, ...]


def switched(before: Report, after: Report) -> Switch:
    """Findings that come and go, limits and words that differ."""
    old = {_key(result): result for result in before.findings}
    new = {_key(result): result for result in after.findings}
    return Switch(
        before, after,
        tuple(result for key, result in new.items() if key not in old),
        tuple(result for key, result in old.items() if key not in new),
        tuple((result, new[key]) for key, result in old.items() if key in new and new[key].severity is not result.severity),
        tuple(_limits(before.edition, after.edition)),
        tuple(
            Difference("", function, before.edition.term(function), after.edition.term(function))
            for function in sorted({*before.edition.terms, *after.edition.terms})
            if before.edition.term(function) != after.edition.term(function)
        ),
    )  # fmt: skip


def _key(result: Result) -> tuple[object, ...]:
    return (result.rule.slug, result.outcome.path)


def _limits(before: Edition, after: Edition) -> list[Difference]:
    return [
        Difference(topic, name, _limit(before, topic, name), _limit(after, topic, name))
        for topic, subject in TOPICS.items()
        for name in (*subject.limits, *subject.words)
        if _meaning(before, topic, name) != _meaning(after, topic, name)
    ]


def _limit(edition: Edition, topic: str, name: str) -> str:
    said = edition.topic(topic)
    if limit := said.limits.get(name):
        return f"{limit.compare} {limit.value}"
    if name in said.words:
        return said.words[name]
    return said.known if said.known in (Known.ABSENT, Known.UNREAD) else "no limit"


def _meaning(edition: Edition, topic: str, name: str) -> object:
    """The limit as a value, so that 0.5 s and 500 ms are one."""
    limit = edition.topic(topic).limits.get(name)
    dimension = TOPICS[topic].limits.get(name)
    if limit is None or dimension in (None, "count"):
        return _limit(edition, topic, name)
    return limit.compare, read_quantity(limit.value, str(dimension)).value


def as_text(switch: Switch) -> str:
    """For people."""
    lines = [f"from {switch.before.edition.name} to {switch.after.edition.name}", ""]
    lines.append(f"findings that come: {len(switch.come) or 'none'}")
    lines += [f"  {_said(result, str(result.severity))}" for result in switch.come]
    lines.append(f"findings that go: {len(switch.gone) or 'none'}")
    lines += [f"  {_said(result, str(result.severity))}{_unread(result, switch.after.edition)}" for result in switch.gone]
    lines.append(f"findings that weigh otherwise: {len(switch.changed) or 'none'}")
    lines += [f"  {_said(result, f'{result.severity} -> {after.severity}')}" for result, after in switch.changed]
    lines.append(f"limits that differ: {len(switch.limits) or 'none'}")
    lines += [f"  {TOPICS[one.topic].about}, {one.limit.replace('_', ' ')}: {one.before} -> {one.after}" for one in switch.limits]
    lines.append(f"words that differ: {len(switch.terms) or 'none'}")
    lines += [f"  {one.limit}: {one.before} -> {one.after}" for one in switch.terms]
    lines.append(f"not evaluated: {len(switch.before.not_evaluated)} -> {len(switch.after.not_evaluated)}. docgen approves nothing.")
    return "\n".join(lines)


def _said(result: Result, severity: str) -> str:
    return on_one_line(f"{result.location}: {severity}: {result.rule.slug}: {result.outcome.was}; {result.outcome.must}")


def _unread(result: Result, edition: Edition) -> str:
    """A finding also goes where nobody has read whether it is one."""
    unread = result.rule.topic and edition.topic(result.rule.topic).known == Known.UNREAD
    return " (not judged any more: the clause was not read by us)" if unread else ""


def as_json(switch: Switch) -> str:
    """For other programs."""
    findings = {
        name: [{"check": result.rule.slug, "line": result.location.line, "is": result.outcome.was, "must_be": result.outcome.must} for result in results]
        for name, results in (("come", switch.come), ("gone", switch.gone))
    } | {
        "changed": [
            {"check": result.rule.slug, "line": result.location.line, "before": result.severity, "after": after.severity} for result, after in switch.changed
        ]
    }
    limits = [{"topic": one.topic, "limit": one.limit, "before": one.before, "after": one.after} for one in switch.limits]
    terms = {one.limit: {"before": one.before, "after": one.after} for one in switch.terms}
    editions = {"before": switch.before.edition.edition, "after": switch.after.edition.edition}
    return json.dumps({"editions": editions, "findings": findings, "limits": limits, "terms": terms}, ensure_ascii=False, indent=1)
