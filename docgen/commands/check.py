"""Read a description and print what the checks say."""

import argparse
import sys

from docgen.asked import reading, report_for
from docgen.terminal import exit_code, print_report

WHAT = "read a description and print what the checks say"
EXAMPLES = """\
docgen check car.yaml
docgen check car.yaml --edition fsuk-2026 --as json
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
    return exit_code(report, asked.warnings_count)
