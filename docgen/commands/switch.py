"""What would change under another edition."""

import argparse

from docgen.asked import DESCRIPTION, described_by, edition_for, report_for
from docgen.terminal import FOUND_ERRORS, FOUND_NOTHING

WHAT = "say what would change for the car under another edition"
EXAMPLES = """\
docgen switch car.yaml --edition fs-2025
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("description", type=described_by, help=DESCRIPTION)
    parser.add_argument("--edition", dest="other", required=True, help="the other edition, or a YAML file that lays corrections over one")
    parser.add_argument("--as", dest="form", choices=("text", "json"), default="text", help="how to print (default: text)")
    parser.set_defaults(edition=None)


def run(asked: argparse.Namespace) -> int:
    report = report_for(asked)
    from docgen.check import check
    from docgen.switch import as_json, as_text, switched

    switch = switched(report, check(report.description, edition_for(asked.other, report.description)))
    print(as_json(switch) if asked.form == "json" else as_text(switch))
    return FOUND_ERRORS if switch.after.errors else FOUND_NOTHING
