"""The command line."""

import argparse
import os
import sys
from collections.abc import Sequence
from contextlib import suppress

from docgen import VERSION
from docgen.commands import COMMANDS, command
from docgen.stop import Stop
from docgen.terminal import UNREADABLE, print_stop

_EPILOG = """\
exit codes:
  0  read, and nothing found that must not be
  1  read, and something found: an error (where --warnings-count is given, a warning will do), an
     error that is new, sides that contradict each other, documents out of step, a test not as expected
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
    given = sys.argv[1:] if arguments is None else arguments
    asked = parser(given).parse_args(given)
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


class _Help(argparse.RawDescriptionHelpFormatter):
    """As wide as the terminal. argparse makes one for every argument, and would import a lot to find out the width."""

    def __init__(self, prog: str) -> None:
        try:
            columns = os.get_terminal_size().columns
        except (OSError, ValueError):  # no terminal
            columns = 80
        super().__init__(prog, width=max(columns - 2, 40))


def parser(given: Sequence[str] = ()) -> argparse.ArgumentParser:
    """The grammar of the command line; only that of the command with which the arguments begin, where they begin with one."""
    made = argparse.ArgumentParser(
        prog="docgen",
        description="The electrical design submission of a student electric race car, generated and checked from one description.",
        epilog=_EPILOG,
        formatter_class=_Help,
    )
    made.add_argument("--version", action="version", version=f"docgen {VERSION}", help="print the version and leave")
    commands = made.add_subparsers(title="commands", prog="docgen", required=True, metavar="COMMAND")
    for name in given[:1] if given and given[0] in COMMANDS else COMMANDS:
        module = command(name)
        one = commands.add_parser(
            name,
            help=module.WHAT,
            description=module.WHAT,
            epilog="".join(["examples:\n", *(f"  {line}\n" for line in module.EXAMPLES.splitlines()), "\n", _EPILOG]),
            formatter_class=_Help,
        )
        module.arguments(one)
        one.set_defaults(run=module.run)
    return made
