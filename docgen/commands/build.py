"""Write the submission."""

import argparse
import sys
from pathlib import Path

from docgen.asked import reading, report_for
from docgen.stop import Stop
from docgen.terminal import exit_code, print_report

WHAT = "write the submission: Word, web page, drawings, tables, findings"
EXAMPLES = """\
docgen build car.yaml
docgen build car.yaml --to out --templates our_templates
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    reading(parser)
    parser.add_argument("--to", type=Path, metavar="FOLDER", help="folder to write into (default: submission, beside the description)")
    parser.add_argument("--templates", type=Path, metavar="FOLDER", help="folder of your own words and styles, laid over ours file by file")
    parser.add_argument("--with-comments", action="store_true", help="carry the comments of the description inside the documents too")


def run(asked: argparse.Namespace) -> int:
    report = report_for(asked)
    from docgen.build import built
    from docgen.files import write

    folder = asked.to or asked.description.parent / "submission"
    if not asked.to and folder.is_symlink():
        raise Stop(f"{folder.as_posix()} is a link; name the folder to write into, with --to\nnothing was written")
    try:
        made = built(report, asked.templates, asked.with_comments)
    except Stop as stop:
        raise Stop(f"{stop}\nnothing was written") from stop
    write(folder, made.files)
    print_report(report, sys.stdout)
    carried = "with its comments" if asked.with_comments else "without its comments (--with-comments keeps them)"
    print(f"\nwrote {len(made.files)} files to {folder.as_posix()}; first submission.docx and submission.html")
    print(f"the documents carry the description inside, {carried}; the loops were drawn by {made.engine}")
    return exit_code(report, asked.warnings_count)
