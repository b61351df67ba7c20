"""Hold a filled record of an inspection against what is expected."""

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from docgen.asked import DESCRIPTION, described_by, report_for
from docgen.terminal import FOUND_ERRORS, FOUND_NOTHING

if TYPE_CHECKING:
    from docgen.inspection_record import Comparison, Judged

WHAT = "read a filled record of an inspection and say what is outside, not done, or must be repeated"
EXAMPLES = """\
docgen record car.yaml record.yaml
docgen record later_car.yaml record.csv --as json
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("description", type=described_by, help=f"{DESCRIPTION}; that of the record or a later one")
    parser.add_argument("record", type=Path, help="the filled record, YAML or CSV")
    parser.add_argument("--edition", help="rulebook edition of the sheet (default: the one that the description names)")
    parser.add_argument("--as", dest="form", choices=("text", "json"), default="text", help="how to print (default: text)")


def run(asked: argparse.Namespace) -> int:
    report = report_for(asked)
    from docgen.inspection import inspection
    from docgen.inspection_record import compared, read_record

    comparison = compared(*read_record(asked.record), inspection(report))
    print(_as_json(comparison) if asked.form == "json" else _as_text(comparison))
    return FOUND_NOTHING if comparison.is_settled else FOUND_ERRORS


def _as_text(comparison: "Comparison") -> str:
    from docgen.inspection_record import Standing, counts
    from docgen.printing import on_one_line

    lines = [f"recorded for another sheet: {on_one_line(said)}" for said in comparison.head]
    for line in sorted(comparison.findings, key=lambda line: line.standing in (Standing.NOT_DONE, Standing.NEW)):  # what was done first
        lines.append(f"{line.location}: {on_one_line(line.slug)}: {line.standing}")
        if line.standing not in (Standing.NOT_DONE, Standing.NEW):
            lines.append(f"    {on_one_line(line.said)}")
        lines += [f"    {on_one_line(str(moved))}" for moved in line.moved]
        lines += [f"    {on_one_line(doubt)}" for doubt in line.doubts]
    said = "; ".join(f"{number} {standing}" for standing, number in counts(comparison.lines).items() if number)
    return "\n".join([*lines, f"{len(comparison.lines)} tests: {said}. docgen approves nothing."])


def _as_json(comparison: "Comparison") -> str:
    return json.dumps({"other_sheet": comparison.head, "tests": [_line(line) for line in comparison.lines]}, ensure_ascii=False, indent=1)


def _line(line: "Judged") -> dict[str, object]:
    return {
        "test": line.slug, "standing": line.standing.value, "line": line.location.line, "said": line.said, "doubts": line.doubts,
        "moved": [{"what": moved.what, "was": moved.was, "is": moved.now} for moved in line.moved], "finding": line.is_finding,
    }  # fmt: skip
