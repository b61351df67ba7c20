"""Many submissions at a glance."""

import argparse
import os
from pathlib import Path

from docgen.asked import edition_asked
from docgen.terminal import FOUND_ERRORS, FOUND_NOTHING

WHAT = "read a folder of submissions and write one overview of them, worst first"
EXAMPLES = """\
docgen overview submissions
docgen overview submissions --to overview --at-once 4
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", type=Path, help="folder that holds the submissions: folders with a car.yaml, or documents that carry a description")
    parser.add_argument("--to", type=Path, metavar="FOLDER", help="folder to write into (default: overview, beside the folder)")
    parser.add_argument("--edition", help="rulebook edition to check all of them against (default: the one that each names)")
    parser.add_argument("--at-once", type=int, default=os.cpu_count() or 1, metavar="N", help="how many to read at once (default: one for each core)")


def run(asked: argparse.Namespace) -> int:
    from tqdm import tqdm

    from docgen.files import write
    from docgen.overview import files, overview
    from docgen.writers.views import view

    if asked.edition:
        edition_asked(asked.edition)
    target = asked.to or asked.folder.resolve().parent / "overview"
    with tqdm(unit="car", disable=None, leave=False) as bar:

        def told(done: int, of: int) -> None:
            bar.total = of
            bar.update(done - bar.n)

        rows = overview(asked.folder, target, asked.edition, max(1, asked.at_once), told)
    write(target, files(rows, view))
    unread = sum(bool(row.summary.problem) for row in rows)
    errors = sum(row.summary.errors > 0 for row in rows)
    print(f"{len(rows)} submissions: {errors} with errors, {unread} that could not be read; wrote {(target / 'overview.html').as_posix()}, .csv and .json")
    print("docgen approves nothing.")
    return FOUND_ERRORS if errors or unread else FOUND_NOTHING
