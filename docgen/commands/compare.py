"""What changed between two revisions, and what follows from it."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from docgen.asked import DESCRIPTION, described_by, report_for
from docgen.folder import is_document
from docgen.stop import Stop
from docgen.terminal import FOUND_ERRORS, FOUND_NOTHING

if TYPE_CHECKING:
    from docgen.check import Report

WHAT = "say what changed between two revisions and what follows from it: findings, numbers, clauses, drawings"
EXAMPLES = """\
docgen compare revision_b/car.yaml revision_c/car.yaml
docgen compare revision_b/submission.docx car.yaml --to comparison
docgen compare car.yaml --since HEAD~1
docgen compare revision_b/car.yaml car.yaml --corrected from_reviewer/car.yaml
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("descriptions", nargs="+", type=described_by, metavar="DESCRIPTION", help=f"the earlier and the later one, each {DESCRIPTION.removeprefix('the description: ')}")
    parser.add_argument("--since", metavar="REVISION", help="with one description: the git revision to compare it with")
    parser.add_argument("--until", metavar="REVISION", help="with --since: a later git revision in place of the file as it is now")
    parser.add_argument("--corrected", type=described_by, metavar="DESCRIPTION", help="a reviewer's copy of the earlier one with corrections: says who changed what, and where they contradict each other")
    parser.add_argument("--edition", help="rulebook edition to check both against (default: the one that each names)")
    parser.add_argument("--as", dest="form", choices=("text", "json"), default="text", help="how to print (default: text)")
    parser.add_argument("--to", type=Path, metavar="FOLDER", help="also write a page, a Word file with tracked changes, and JSON into this folder")
    parser.add_argument("--templates", type=Path, metavar="FOLDER", help="folder of your own words and styles for the Word file")


def run(asked: argparse.Namespace) -> int:
    """Leaves with 1 where the later revision has findings that are new and an error, or where two sides contradict each other."""
    before, after = _both(asked)
    if asked.corrected:
        return _three_sides(asked, before, after)
    from docgen.changes import same_car
    from docgen.comparison import as_json, as_text
    from docgen.consequences import comparison
    from docgen.finding import Severity

    found = comparison(before, after)
    notes = tuple(filter(None, [same_car(before.description, after.description)]))
    for note in notes if asked.form == "text" else ():
        print(f"note: {note}")
    print(as_json(found) if asked.form == "json" else as_text(found))
    if asked.to:
        from docgen.comparison_files import files
        from docgen.files import write

        made = files(found, asked.templates, notes)
        write(asked.to, made)
        if asked.form == "text":
            print(f"wrote {', '.join(made)} to {asked.to.as_posix()}")
    return FOUND_ERRORS if any(result.severity is Severity.ERROR for result in found.findings.new) else FOUND_NOTHING


def _both(asked: argparse.Namespace) -> "tuple[Report, Report]":
    """The reports on the earlier and the later description."""
    if asked.to and asked.corrected:
        raise Stop("error: --corrected is printed and writes no files; leave out --to, or compare two descriptions with it")
    if asked.to and asked.to.exists() and not asked.to.is_dir():
        raise Stop(f"error: {asked.to.as_posix()} is no folder; name a folder with --to")
    if asked.since is None:
        if len(asked.descriptions) != 2 or asked.until:
            raise Stop("error: two descriptions are compared, or one with --since REVISION")
        before, after = (report_for(argparse.Namespace(description=path, edition=asked.edition)) for path in asked.descriptions)
        return before, after
    if len(asked.descriptions) != 1:
        raise Stop("error: --since compares one description with an earlier revision of itself; leave the other out")
    path = asked.descriptions[0]
    if is_document(path):
        raise Stop("error: --since reads revisions of a description in YAML; name two documents to compare documents")
    return _at(path, asked.since, asked.edition), _at(path, asked.until, asked.edition) if asked.until else report_for(argparse.Namespace(description=path, edition=asked.edition))


def _at(path: Path, revision: str, asked: str | None) -> "Report":
    from docgen.asked import edition_for
    from docgen.check import check
    from docgen.versioned import described_at

    description = described_at(path, revision)
    return check(description, edition_for(asked, description))


def _three_sides(asked: argparse.Namespace, before: "Report", after: "Report") -> int:
    from docgen.comparison import three_sides_as_json, three_sides_as_text
    from docgen.three_way import three_way

    corrected = report_for(argparse.Namespace(description=asked.corrected, edition=asked.edition))
    found = three_way(before.description, after.description, corrected.description)
    print(three_sides_as_json(found) if asked.form == "json" else three_sides_as_text(found))
    return FOUND_ERRORS if found.conflicts else FOUND_NOTHING
