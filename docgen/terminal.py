"""What a terminal shows: problems, findings, and the exit codes that go with them."""

import os
from collections.abc import Sequence
from typing import TYPE_CHECKING, TextIO

from docgen.stop import Stop

if TYPE_CHECKING:
    from docgen.check import Report
    from docgen.finding import Result

FOUND_NOTHING, FOUND_ERRORS, UNREADABLE = 0, 1, 2


def exit_code(report: "Report", warnings_count: bool) -> int:
    """Whether errors, or with `warnings_count` warnings too, were found."""
    wrong = report.errors or (warnings_count and report.warnings)
    return FOUND_ERRORS if wrong else FOUND_NOTHING


def print_stop(stop: Stop, stream: TextIO) -> None:
    """Why a command went no further; for a file that cannot be read every problem with the line it stands in."""
    from docgen.printing import on_one_line
    from docgen.reading import Unreadable

    if not isinstance(stop, Unreadable):
        print(stop, file=stream)
        return
    lines = stop.text.split("\n")
    for problem in stop.problems:
        print(f"{problem.location}: {_strong('unreadable', stream)}: {on_one_line(problem.was)}", file=stream)
        _print_source(lines, problem.location.line, problem.location.column, stream)
        print(f"    {on_one_line(problem.must)}", file=stream)
    print(f"{len(stop.problems)} problem{'s' * (len(stop.problems) != 1)}; nothing was written", file=stream)


def print_report(report: "Report", stream: TextIO) -> None:
    """Every finding with its line, then the counts."""
    from docgen.printing import counted
    from docgen.rules.description import unknowns

    lines = report.description.tree.text.split("\n")
    for doubt in report.description.tree.doubts:
        print(f"{doubt.location}: note: {doubt.was}; {doubt.must}", file=stream)
    for result in report.findings:
        _print_finding(result, lines, stream)
    points = sum(1 for _ in unknowns(report.description.car))
    print(
        f"{report.edition.name}: {counted(len(report.errors), 'error')}, {counted(len(report.warnings), 'warning')}, {counted(points, 'open point')}, "
        f"{len(report.not_evaluated)} not evaluated; {counted(len(report.unread_topics), 'subject')} of the edition without a check. "
        "docgen approves nothing.",
        file=stream,
    )


def _print_finding(result: "Result", lines: Sequence[str], stream: TextIO) -> None:
    from docgen.check import clause
    from docgen.printing import on_one_line
    from docgen.provenance import spelled

    said = on_one_line(f"{result.outcome.was}; {result.outcome.must}")
    print(f"{result.location}: {_strong(result.severity or '', stream)}: {said}", file=stream)
    if (result.location.line, result.location.column) != (1, 1):  # what is missing as a whole has no line to show
        _print_source(lines, result.location.line, result.location.column, stream)
    field = on_one_line(spelled(result.outcome.path)) or "the description as a whole"
    print(f"    {result.rule.slug} · {field} · {clause(result)} · {result.rule.texts.mend}", file=stream)


def _print_source(lines: Sequence[str], line: int, column: int, stream: TextIO) -> None:
    if 0 < line <= len(lines) and lines[line - 1].strip():
        source = lines[line - 1]
        start = max(0, column - 60)
        print(f"  {line:>5} | {source[start : start + 120]}", file=stream)
        print(f"        | {' ' * (column - 1 - start)}^", file=stream)


def _strong(word: str, stream: TextIO) -> str:
    plain = not stream.isatty() or "NO_COLOR" in os.environ or os.environ.get("TERM") == "dumb"
    return word if plain else f"\x1b[1;31m{word}\x1b[0m" if word != "warning" else f"\x1b[1;33m{word}\x1b[0m"
