"""What a terminal shows: problems, findings, and the exit codes that go with them."""

import os
from collections.abc import Sequence
from typing import TYPE_CHECKING, TextIO

from docgen.stop import Stop

if TYPE_CHECKING:
    from docgen.check import Report
    from docgen.edited import Edited
    from docgen.finding import Result
    from docgen.provenance import Location

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


def print_edited(name: str, edited: "Edited", stream: TextIO) -> None:
    """What somebody changed by hand in a document, line by line, or how it was found that nobody did."""
    print(f"{name}: {_strong('error', stream)}: {edited.what}" if edited.what else f"{name}: note: {edited.compared}; pictures were not compared", file=stream)
    for line in edited.lines:
        print(f"    {line}", file=stream)


def _print_finding(result: "Result", lines: Sequence[str], stream: TextIO) -> None:
    from docgen.check import clause
    from docgen.printing import on_one_line
    from docgen.provenance import spelled

    field = on_one_line(spelled(result.outcome.path)) or "the description as a whole"
    about = f"{result.rule.slug} · {field} · {clause(result)} · {result.rule.texts.mend}"
    print_at(result.location, result.severity or "", f"{result.outcome.was}; {result.outcome.must}", lines, about, stream)


def print_at(location: "Location", severity: str, said: str, lines: Sequence[str], about: str, stream: TextIO) -> None:
    """What is said of a place in a file, with its line and, below it, what else there is to know."""
    from docgen.printing import on_one_line

    print(f"{location}: {_strong(severity, stream)}: {on_one_line(said)}", file=stream)
    if (location.line, location.column) != (1, 1):  # what is missing as a whole has no line to show
        _print_source(lines, location.line, location.column, stream)
    print(f"    {about}", file=stream)


def _print_source(lines: Sequence[str], line: int, column: int, stream: TextIO) -> None:
    if 0 < line <= len(lines) and lines[line - 1].strip():
        source = lines[line - 1]
        start = max(0, column - 60)
        print(f"  {line:>5} | {source[start : start + 120]}", file=stream)
        print(f"        | {' ' * (column - 1 - start)}^", file=stream)


def _strong(word: str, stream: TextIO) -> str:
    plain = not stream.isatty() or "NO_COLOR" in os.environ or os.environ.get("TERM") == "dumb"
    return word if plain else f"\x1b[1;31m{word}\x1b[0m" if word != "warning" else f"\x1b[1;33m{word}\x1b[0m"
