"""The command line."""

import argparse
import os
import sys
import textwrap
from collections.abc import Sequence
from contextlib import suppress

from docgen import VERSION
from docgen.commands import COMMANDS
from docgen.stop import Stop
from docgen.terminal import UNREADABLE, print_stop

_EPILOG = """\
exit codes:
  0  read, and no error found
  1  read, and at least one error found (with --warnings-count: or a warning)
  2  not read: nothing was written

docgen approves nothing. Tractive systems kill: the rulebook of the event, its officials and
the electrical safety officer decide.
"""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; returns the exit code."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:  # it was closed
            setattr(sys, name, open(os.devnull, "w"))  # noqa: SIM115
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure:
            reconfigure(encoding="utf-8", errors="replace", newline="\n")
    asked = parser().parse_args(arguments)
    try:
        code = int(asked.run(asked))
        sys.stdout.flush()
        return code
    except Stop as stop:
        print_stop(stop, sys.stderr)
        return UNREADABLE
    except OSError as error:
        with suppress(OSError):
            if not isinstance(error, BrokenPipeError):
                print(f"error: {error.strerror or error}; not all could be printed", file=sys.stderr)
        for stream in (sys.stdout, sys.stderr):
            with suppress(OSError):
                os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
        return UNREADABLE
    except KeyboardInterrupt:
        print("stopped; nothing was written", file=sys.stderr)
        return UNREADABLE


def parser() -> argparse.ArgumentParser:
    """The grammar of the command line."""
    made = argparse.ArgumentParser(
        prog="docgen",
        description="The electrical design submission of a student electric race car, generated and checked from one description.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    made.add_argument("--version", action="version", version=f"docgen {VERSION}", help="print the version and leave")
    commands = made.add_subparsers(title="commands", required=True, metavar="COMMAND")
    for command in COMMANDS:
        one = commands.add_parser(
            command.__name__.rpartition(".")[2],
            help=command.WHAT,
            description=command.WHAT,
            epilog=f"examples:\n{textwrap.indent(command.EXAMPLES, '  ')}\n{_EPILOG}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        command.arguments(one)
        one.set_defaults(run=command.run)
    return made
