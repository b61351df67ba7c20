"""Read a description and print what the checks say."""

import argparse
import sys

from docgen.asked import reading, report_for
from docgen.folder import is_document
from docgen.terminal import FOUND_ERRORS, exit_code, print_edited, print_report

WHAT = "read a description and print what the checks say; of a document also what was changed in it by hand"
EXAMPLES = """\
docgen check car.yaml
docgen check car.yaml --edition fsuk-2026 --as json
docgen check submission.docx
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    reading(parser)
    parser.add_argument("--as", dest="form", choices=("text", "json"), default="text", help="how to print (default: text)")


def run(asked: argparse.Namespace) -> int:
    report = report_for(asked)
    if asked.form == "json":
        from docgen.build import as_json

        print(as_json(report))
    else:
        print_report(report, sys.stdout)
    code = exit_code(report, asked.warnings_count)
    if is_document(asked.description):
        from docgen.carried import submitted
        from docgen.edited import edited

        document = submitted(asked.description)
        found = edited(document, report.edition)
        print_edited(document.name, found, sys.stdout if asked.form == "text" else sys.stderr)
        code = FOUND_ERRORS if found.what else code
    return code
