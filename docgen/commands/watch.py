"""Write the submission anew whenever something changes that it is made from."""

import argparse
import sys
from collections.abc import Mapping
from time import sleep

from docgen.asked import building, choices, folder_for, reading
from docgen.commands import build
from docgen.inputs import Inputs, inputs, lie_in
from docgen.stamp import stamp_in
from docgen.stop import Stop
from docgen.terminal import FOUND_NOTHING, print_stop

WHAT = "write the submission, and again whenever the description, the edition or the templates change"
EXAMPLES = """\
docgen watch car.yaml
docgen watch car.yaml --edition our.yaml --templates our_templates
"""
SECONDS = 0.5
"""Between two looks."""


def arguments(parser: argparse.ArgumentParser) -> None:
    reading(parser)
    building(parser)


def run(asked: argparse.Namespace) -> int:
    """Until Ctrl-C. What cannot be read is told, and waited for."""
    seen: _State | None = None
    try:
        while True:
            now = _state(asked)
            if now != seen:
                seen = now
                try:
                    build.run(asked)
                    if stamp := stamp_in(folder_for(asked)):
                        seen = now[0], stamp.inputs.named_files
                except Stop as stop:
                    print_stop(stop, sys.stderr)
                print("watching; Ctrl-C ends it", flush=True)
            sleep(SECONDS)
    except KeyboardInterrupt:
        print("stopped watching")
        return FOUND_NOTHING


_State = tuple[Inputs | str, Mapping[str, bool]]
"""The inputs, or why there are none: an editor may be about to write one of them. And whether the files lie there that the description named last."""


def _state(asked: argparse.Namespace) -> _State:
    stamp = stamp_in(folder_for(asked))
    there = lie_in(asked.description.parent, stamp.inputs.named_files if stamp else ())
    try:
        return inputs(asked.description, choices(asked)), there
    except Stop as stop:
        return str(stop), there
