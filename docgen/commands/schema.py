"""The JSON Schema of the description."""

import argparse
import json
from pathlib import Path

from docgen.terminal import FOUND_NOTHING

WHAT = "write the JSON Schema of the description, for editors that complete and explain"
EXAMPLES = """\
docgen schema --to car.schema.json
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--to", type=Path, metavar="FILE", help="file to write (default: print it)")


def run(asked: argparse.Namespace) -> int:
    from docgen.files import write
    from docgen.schema import description_schema

    text = json.dumps(description_schema(), ensure_ascii=False, indent=1) + "\n"
    if asked.to is None:
        print(text, end="")
    else:
        write(asked.to.parent, {asked.to.name: text.encode()})
        print(f"wrote {asked.to.as_posix()}")
    return FOUND_NOTHING
