"""The command line."""

import argparse
import difflib
import json
import os
import re
import sys
import textwrap
from collections.abc import Callable, Sequence
from contextlib import suppress
from importlib.metadata import version
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

if TYPE_CHECKING:
    Commands = argparse._SubParsersAction[argparse.ArgumentParser]

    from docgen.check import Report
    from docgen.editions import Edition
    from docgen.finding import Result, Rule
    from docgen.load import Description
    from docgen.reading import Problem

FOUND_NOTHING, FOUND_ERRORS, UNREADABLE = 0, 1, 2

_EPILOG = """\
exit codes:
  0  read, and no error found
  1  read, and at least one error found (with --warnings-count: or a warning)
  2  not read: nothing was written

docgen approves nothing. Tractive systems kill: the rulebook of the event, its officials and
the electrical safety officer decide.
"""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; returns the exit code."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:  # it was closed
            setattr(sys, name, open(os.devnull, "w"))  # noqa: SIM115
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure:
            reconfigure(encoding="utf-8", errors="replace", newline="\n")
    asked = _parser().parse_args(arguments)
    try:
        code = int(asked.run(asked))
        sys.stdout.flush()
        return code
    except OSError as error:
        with suppress(OSError):
            if not isinstance(error, BrokenPipeError):
                print(f"error: {error.strerror or error}; not all could be printed", file=sys.stderr)
        for stream in (sys.stdout, sys.stderr):
            with suppress(OSError):
                os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
        return UNREADABLE
    except KeyboardInterrupt:
        print("stopped; nothing was written", file=sys.stderr)
        return UNREADABLE


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="docgen",
        description="The electrical design submission of a student electric race car, generated and checked from one description.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"docgen {version('docgen')}", help="print the version and leave")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")

    check = _command(commands, "check", _check, "read a description and print what the checks say", """\
        docgen check car.yaml
        docgen check car.yaml --edition fsuk-2026 --as json
    """)  # fmt: skip
    _reading(check)
    check.add_argument("--as", dest="form", choices=("text", "json"), default="text", help="how to print (default: text)")

    build = _command(commands, "build", _build, "write the submission: Word, web page, drawings, tables, findings", """\
        docgen build car.yaml
        docgen build car.yaml --to out --templates our_templates
    """)  # fmt: skip
    _reading(build)
    build.add_argument("--to", type=Path, metavar="FOLDER", help="folder to write into (default: submission, beside the description)")
    build.add_argument("--templates", type=Path, metavar="FOLDER", help="folder of your own words and styles, laid over ours file by file")
    build.add_argument("--with-comments", action="store_true", help="carry the comments of the description inside the documents too")

    switch = _command(commands, "switch", _switch, "say what would change for the car under another edition", """\
        docgen switch car.yaml --edition fs-2025
    """)  # fmt: skip
    switch.add_argument("description", type=Path, help="the description, car.yaml")
    switch.add_argument("--edition", required=True, help="the other edition, or a YAML file that lays corrections over one")
    switch.add_argument("--as", dest="form", choices=("text", "json"), default="text", help="how to print (default: text)")

    explain = _command(commands, "explain", _explain, "say what a check demands, why, and how to put it right", """\
        docgen explain
        docgen explain latch
        docgen explain contact-wording-ambiguous
    """)  # fmt: skip
    explain.add_argument("words", nargs="*", help="a check by name, or words to look for; without any, all checks are listed")
    explain.add_argument("--edition", default="fsuk-2026", help="edition whose clause to print (default: fsuk-2026)")
    explain.add_argument("--as", dest="form", choices=("text", "markdown"), default="text", help="how to print a list (default: text)")

    schema = _command(commands, "schema", _schema, "write the JSON Schema of the description, for editors that complete and explain", """\
        docgen schema --to car.schema.json
    """)  # fmt: skip
    schema.add_argument("--to", type=Path, metavar="FILE", help="file to write (default: print it)")
    return parser


def _command(commands: "Commands", name: str, run: Callable[[argparse.Namespace], int], what: str, examples: str) -> argparse.ArgumentParser:
    parser = commands.add_parser(
        name, help=what, description=what, epilog="examples:\n" + textwrap.indent(textwrap.dedent(examples), "  ") + "\n" + _EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    parser.set_defaults(run=run)
    return parser


def _reading(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("description", type=Path, help="the description, car.yaml")
    parser.add_argument("--edition", help="rulebook edition to check against, or a YAML file that lays corrections over one (default: the one that the description names)")
    parser.add_argument("--warnings-count", action="store_true", help="let warnings decide over the exit code too")


def _check(asked: argparse.Namespace) -> int:
    report = _report(asked)
    if report is None:
        return UNREADABLE
    if asked.form == "json":
        from docgen.build import as_json

        print(as_json(report))
    else:
        _print_report(report, sys.stdout)
    return _exit_code(report, asked.warnings_count)


def _build(asked: argparse.Namespace) -> int:
    report = _report(asked)
    if report is None:
        return UNREADABLE
    from docgen.build import built
    from docgen.files import NotWritten, write
    from docgen.markdown import TemplateError
    from docgen.writers import UnfitStyle
    from docgen.writers.diagram import NoEngine

    folder = asked.to or asked.description.parent / "submission"
    if not asked.to and folder.is_symlink():
        print(f"{folder.as_posix()} is a link; name the folder to write into, with --to\nnothing was written", file=sys.stderr)
        return UNREADABLE
    try:
        made = built(report, asked.templates, asked.with_comments)
        write(folder, made.files)
    except (TemplateError, UnfitStyle, NoEngine) as error:
        print(f"{error}\nnothing was written", file=sys.stderr)
        return UNREADABLE
    except NotWritten as error:
        print(error, file=sys.stderr)
        return UNREADABLE
    _print_report(report, sys.stdout)
    carried = "with its comments" if asked.with_comments else "without its comments (--with-comments keeps them)"
    print(f"\nwrote {len(made.files)} files to {folder.as_posix()}; first submission.docx and submission.html")
    print(f"the documents carry the description inside, {carried}; the loops were drawn by {made.engine}")
    return _exit_code(report, asked.warnings_count)


def _report(asked: argparse.Namespace) -> "Report | None":
    """The report, or None after printing why the description cannot be read."""
    from docgen.check import check
    from docgen.load import load_file
    from docgen.reading import Unreadable

    try:
        description = load_file(asked.description)
    except Unreadable as error:
        _print_problems(error.problems, error.text, sys.stderr)
        return None
    book = _edition(asked.edition, description)
    return check(description, book) if book else None


def _edition(asked: str | None, description: "Description") -> "Edition | None":
    """The edition that is asked for, or that the description names; None after printing why there is none.

    Only the command line can name a file: a description comes from a stranger.
    """
    from docgen.editions import edition, edition_of, known_editions
    from docgen.printing import on_one_line
    from docgen.reading import Unreadable, read_file

    if asked and Path(asked).suffix in (".yaml", ".yml"):
        try:
            return edition_of(read_file(Path(asked)))
        except Unreadable as error:
            _print_problems(error.problems, error.text, sys.stderr)
            return None
    named = asked or getattr(description.car.car, "edition", None)
    if named in known_editions():
        return edition(str(named))
    place = "" if asked else f"{description.location(('car', 'edition'))}: "
    was = f"the edition {on_one_line(str(named))} is not known" if named is not None else "no edition is named under car, as in `edition: fsuk-2026`"
    print(f"{place}error: {was}; must be one of: {', '.join(known_editions())}", file=sys.stderr)
    return None


def _switch(asked: argparse.Namespace) -> int:
    from docgen.check import check
    from docgen.switch import as_json, as_text, switched

    report = _report(argparse.Namespace(description=asked.description, edition=None))
    other = _edition(asked.edition, report.description) if report else None
    if report is None or other is None:
        return UNREADABLE
    switch = switched(report, check(report.description, other))
    print(as_json(switch) if asked.form == "json" else as_text(switch))
    return FOUND_ERRORS if switch.after.errors else FOUND_NOTHING


def _exit_code(report: "Report", warnings_count: bool) -> int:
    wrong = report.errors or (warnings_count and report.warnings)
    return FOUND_ERRORS if wrong else FOUND_NOTHING


def _print_problems(problems: "Sequence[Problem]", text: str, stream: TextIO) -> None:
    from docgen.printing import on_one_line

    lines = text.split("\n")
    for problem in problems:
        print(f"{problem.location}: {_strong('unreadable', stream)}: {on_one_line(problem.was)}", file=stream)
        _print_source(lines, problem.location.line, problem.location.column, stream)
        print(f"    {on_one_line(problem.must)}", file=stream)
    print(f"{len(problems)} problem{'s' * (len(problems) != 1)}; nothing was written", file=stream)


def _print_report(report: "Report", stream: TextIO) -> None:
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


def _explain(asked: argparse.Namespace) -> int:
    from docgen.editions import edition, known_editions
    from docgen.rules import CATALOGUE

    if asked.edition not in known_editions():
        print(f"error: the edition {asked.edition} is not known; must be one of: {', '.join(known_editions())}", file=sys.stderr)
        return UNREADABLE
    exact = [rule for rule in CATALOGUE if asked.words == [rule.slug]]
    book = edition(asked.edition)
    found = exact or [rule for rule in CATALOGUE if all(re.search(rf"\b{re.escape(word)}", _all_words(rule, book), re.IGNORECASE) for word in asked.words)]
    if not found:
        near = difflib.get_close_matches(" ".join(asked.words), [rule.slug for rule in CATALOGUE], n=3)
        print(f"error: no check has these words; nearest: {', '.join(near) or 'none; docgen explain lists all'}", file=sys.stderr)
        return UNREADABLE
    if len(found) == 1:
        _print_rule(found[0], book)
        return FOUND_NOTHING
    head, line = ("\n**{}**\n\n| check | demand |\n|---|---|", "| `{}` | {} |") if asked.form == "markdown" else ("\n{}", f"  {{:<{max(len(rule.slug) for rule in found)}}}  {{}}")
    for subject, rules in groupby(found, key=lambda rule: rule.subject):
        print(head.format(subject))
        for rule in rules:
            print(line.format(rule.slug, rule.texts.demand))
    return FOUND_NOTHING


_COMMON = frozenset({"brake", "switch", "interlock"})
"""Words of a function that a text on it may leave out."""


def _all_words(rule: "Rule", book: "Edition") -> str:
    """What is written about a rule, with the edition's own words for the functions that it speaks of."""
    text = " ".join((rule.slug, rule.subject, rule.texts.demand, rule.texts.why, rule.texts.mend, rule.topic))
    terms = (term for function, term in book.terms.items() if " ".join(word for word in function.split() if word not in _COMMON) in text)
    return " ".join((text, *terms))


def _print_rule(rule: "Rule", book: "Edition") -> None:
    topic = book.topic(rule.topic) if rule.topic else None
    clause = f"{book.name}, {topic.clause or 'no clause'} ({topic.known})" if topic else "the description itself; no clause"
    print(f"{rule.slug}\n\n{textwrap.fill(rule.texts.demand, 96)}\n")
    for head, text in (("why", rule.texts.why), ("clause", clause), ("how to put it right", rule.texts.mend)):
        print(textwrap.fill(f"{head}: {text}", 96, subsequent_indent="  "))
    print(f"\nwrong, as a change to a small sound car:\n{textwrap.indent(rule.texts.wrong, '  ')}")
    print(f"\nright:\n{textwrap.indent(rule.texts.right, '  ')}")


def _schema(asked: argparse.Namespace) -> int:
    from docgen.schema import description_schema

    text = json.dumps(description_schema(), ensure_ascii=False, indent=1) + "\n"
    if asked.to is None:
        print(text, end="")
        return FOUND_NOTHING
    from docgen.files import NotWritten, write

    try:
        write(asked.to.parent, {asked.to.name: text.encode()})
    except NotWritten as error:
        print(error, file=sys.stderr)
        return UNREADABLE
    print(f"wrote {asked.to.as_posix()}")
    return FOUND_NOTHING
