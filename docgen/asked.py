"""What several commands are asked for: a description and the edition to check it against."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from docgen.stop import Stop

if TYPE_CHECKING:
    from docgen.check import Report
    from docgen.editions import Edition
    from docgen.load import Description


def reading(parser: argparse.ArgumentParser) -> None:
    """The arguments of a command that reads and checks a description."""
    parser.add_argument("description", type=Path, help="the description, car.yaml")
    parser.add_argument("--edition", help="rulebook edition to check against, or a YAML file that lays corrections over one (default: the one that the description names)")
    parser.add_argument("--warnings-count", action="store_true", help="let warnings decide over the exit code too")


def report_for(asked: argparse.Namespace) -> "Report":
    """What the checks say; raises Stop for a description that cannot be read or an edition that is not known."""
    from docgen.check import check
    from docgen.load import load_file

    description = load_file(asked.description)
    return check(description, edition_for(asked.edition, description))


def edition_for(asked: str | None, description: "Description") -> "Edition":
    """The edition that is asked for, or that the description names; raises Stop where there is none.

    Only the command line can name a file: a description comes from a stranger.
    """
    from docgen.editions import edition, edition_of, known_editions
    from docgen.printing import on_one_line
    from docgen.reading import read_file

    if asked and Path(asked).suffix in (".yaml", ".yml"):
        return edition_of(read_file(Path(asked)))
    named = asked or getattr(description.car.car, "edition", None)
    if named in known_editions():
        return edition(str(named))
    place = "" if asked else f"{description.location(('car', 'edition'))}: "
    was = f"the edition {on_one_line(str(named))} is not known" if named is not None else "no edition is named under car, as in `edition: fsuk-2026`"
    raise Stop(f"{place}error: {was}; must be one of: {', '.join(known_editions())}")
