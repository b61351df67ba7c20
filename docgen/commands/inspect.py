"""Write the sheet to take to the car."""

import argparse
from pathlib import Path

from docgen.asked import reading, report_for
from docgen.terminal import exit_code

WHAT = "write the inspection sheet: the tests at the car with the values expected of this one, on paper and to fill in"
EXAMPLES = """\
docgen inspect car.yaml
docgen inspect car.yaml --to sheet
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    reading(parser)
    parser.add_argument("--to", type=Path, metavar="FOLDER", help="folder to write into (default: inspection, beside the description)")


def run(asked: argparse.Namespace) -> int:
    report = report_for(asked)
    from docgen.files import write
    from docgen.inspection import inspection
    from docgen.inspection_sheet import sheets
    from docgen.printing import counted
    from docgen.stop import Stop

    folder = asked.to or asked.description.parent / "inspection"
    if not asked.to and folder.is_symlink():
        raise Stop(f"{folder.as_posix()} is a link; name the folder to write into, with --to\nnothing was written")
    made = inspection(report)
    files = sheets(made)
    write(folder, files)
    open_lines = sum(not all(sight.is_known for sight in test.sights) or bool(test.figure and test.figure.missing) for test in made.tests)
    print(f"wrote {len(files)} files to {folder.as_posix()}; take inspection.docx or inspection.html to the car")
    print(
        f"{counted(len(made.tests), 'test')}, {open_lines} of them with something not evaluated; {counted(len(report.errors), 'error')} in the description (docgen check)"
    )
    print("High voltage kills: only qualified people do these tests. docgen approves nothing.")
    return exit_code(report, asked.warnings_count)
