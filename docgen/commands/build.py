"""Write the submission."""

import argparse
import re
import sys
from typing import TYPE_CHECKING

from docgen.asked import building, choices, folder_for, reading, report_for, shipped_under
from docgen.inputs import Inputs, fingerprint, inputs
from docgen.stamp import STAMP, Differences, Stamp, differences, is_as_written, stamp_in
from docgen.stop import Stop
from docgen.terminal import exit_code, print_report

if TYPE_CHECKING:
    from docgen.check import Report

WHAT = "write the submission: Word, web page, drawings, tables, findings"
EXAMPLES = """\
docgen build car.yaml
docgen build car.yaml --to out --templates our_templates
"""
_MADE = re.compile(r"(loop|number)-[a-z0-9-]+\.(svg|png)|tables/[a-z0-9-]+\.csv")
"""Files that come and go with what is described. No other is ever taken away: a stamp may come from anyone."""


def arguments(parser: argparse.ArgumentParser) -> None:
    reading(parser)
    building(parser)


def run(asked: argparse.Namespace) -> int:
    """Write what is not as it would be written now, and nothing where all is in step."""
    folder = folder_for(asked)
    before = inputs(asked.description, choices(asked))
    report = report_for(asked)
    from docgen.rules.description import files_named

    now = before.completed(files_named(report.description), shipped_under(asked.edition, report.edition))
    stamp = stamp_in(folder)
    differing = differences(folder, stamp, now) if stamp else Differences()
    if stamp and not differing.needs_a_build:
        print_report(report, sys.stdout)
        print(f"\nnothing to write: {folder.as_posix()} holds the submission of this description already")
    else:
        said = _written(asked, report, now, stamp)
        print_report(report, sys.stdout)
        print(f"\n{said}")
        if differing.edited:
            print(f"replaced, though it had been changed by hand: {', '.join(differing.edited)}")
    return exit_code(report, asked.warnings_count)


def _written(asked: argparse.Namespace, report: "Report", now: Inputs, earlier: Stamp | None) -> str:
    """Write the files that do not stand in the folder as they are built, and say which."""
    from docgen.build import built
    from docgen.earlier import Pictures
    from docgen.files import take_away, write
    from docgen.printing import counted
    from docgen.questions_file import read_questions
    from docgen.writers.diagram import engine

    folder = folder_for(asked)
    pictures = Pictures(folder, earlier, now.program)
    questions = read_questions(asked.questions).about(report.description) if asked.questions else None
    try:
        made = built(report, asked.templates, asked.with_comments, pictures, questions)
    except Stop as stop:
        raise Stop(f"{stop}\nnothing was written") from stop
    stamp = Stamp(now, {name: fingerprint(data) for name, data in made.items()}, pictures.sheets)
    left = {name: digest for name, digest in earlier.files.items() if is_as_written(folder, name, earlier)} if earlier else {}
    fresh = {name: data for name, data in made.items() if left.get(name) != stamp.files[name]}
    write(folder, fresh | {STAMP: stamp.written()})
    gone = take_away(folder, [name for name in left if name not in made and _MADE.fullmatch(name)])
    stood = len(made) - len(fresh)
    carried = "with its comments" if asked.with_comments else "without its comments (--with-comments keeps them)"
    return "\n".join([
        f"wrote {counted(len(fresh), 'file')} to {folder.as_posix()}; " + (f"{counted(stood, 'other')} stood there as built" if stood else "first submission.docx and submission.html"),
        *([f"took away what an earlier build wrote and this one does not: {', '.join(gone)}"] if gone else []),
        f"the documents carry the description inside, {carried}; " + (f"{engine()} drew {counted(pictures.drawn, 'picture')}" if pictures.drawn else "no picture was drawn anew"),
    ])  # fmt: skip
