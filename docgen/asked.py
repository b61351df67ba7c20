"""What several commands are asked for: a description and the edition to check it against."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from docgen.folder import description_file, is_document
from docgen.inputs import Choices, own_edition
from docgen.stop import Stop

if TYPE_CHECKING:
    from docgen.check import Report
    from docgen.editions import Edition
    from docgen.load import Description

DESCRIPTION = "the description: car.yaml, its folder, or a document that docgen wrote (.docx, .html)"


def described_by(argument: str) -> Path:
    """The file that the command line means by a description, which it may name by its folder."""
    return description_file(Path(argument))


def reading(parser: argparse.ArgumentParser) -> None:
    """The arguments of a command that reads and checks a description."""
    parser.add_argument("description", type=described_by, help=DESCRIPTION)
    parser.add_argument("--edition", help="rulebook edition to check against, or a YAML file that lays corrections over one (default: the one that the description names)")
    parser.add_argument("--warnings-count", action="store_true", help="let warnings decide over the exit code too")


def building(parser: argparse.ArgumentParser) -> None:
    """The arguments that say what is written, and where."""
    parser.add_argument("--to", type=Path, metavar="FOLDER", help="folder to write into (default: submission, beside the description)")
    parser.add_argument("--templates", type=Path, metavar="FOLDER", help="folder of your own words and styles, laid over ours file by file")
    parser.add_argument("--questions", type=Path, metavar="FILE", help="print a reviewer's questions, as a chapter and as comments in Word")
    parser.add_argument("--with-comments", action="store_true", help="carry the comments of the description inside the documents too")


def folder_for(asked: argparse.Namespace) -> Path:
    """The folder of the submission; raises Stop where a link, which may come from a stranger, stands in its place."""
    if not asked.to and (asked.description.parent / "submission").is_symlink():
        raise Stop(f"{(asked.description.parent / 'submission').as_posix()} is a link; name the folder to write into, with --to\nnothing was written")
    folder: Path = asked.to or asked.description.parent / "submission"
    return folder


def choices(asked: argparse.Namespace) -> Choices:
    """What decides over the files beside the description."""
    return Choices(asked.edition, asked.templates, asked.with_comments, asked.questions)


def report_for(asked: argparse.Namespace) -> "Report":
    """What the checks say; raises Stop for a description that cannot be read or an edition that is not known.

    A document made under another edition is checked all the same, and a note says so.
    """
    from docgen.check import check
    from docgen.load import load_file

    if not is_document(asked.description):
        description = load_file(asked.description)
        return check(description, edition_for(asked.edition, description))
    from docgen.carried import submitted

    document = submitted(asked.description)
    description = document.description()
    edition = edition_for(asked.edition, description)
    if other := document.other_edition(edition):
        print(f"{document.name}: note: {other}", file=sys.stderr)
    return check(description, edition)


def edition_for(asked: str | None, description: "Description") -> "Edition":
    """The edition that is asked for, or that the description names; raises Stop where there is none.

    Only the command line can name a file: a description comes from a stranger.
    """
    from docgen.editions import edition, known_editions
    from docgen.printing import on_one_line

    if asked:
        return edition_asked(asked)
    named = getattr(description.car.car, "edition", None)
    if named in known_editions():
        return edition(str(named))
    place = description.location(("car", "edition"))
    was = f"the edition {on_one_line(str(named))} is not known" if named is not None else "no edition is named under car, as in `edition: fsuk-2026`"
    raise Stop(f"{place}: error: {was}; must be one of: {', '.join(known_editions())}")


def edition_asked(asked: str) -> "Edition":
    """The edition of an identifier, or in a YAML file, that the command line names; raises Stop where there is none."""
    from docgen.editions import edition, edition_of, known_editions
    from docgen.printing import on_one_line
    from docgen.reading import read_file

    if own := own_edition(asked):
        return edition_of(read_file(own))
    if asked not in known_editions():
        raise Stop(f"error: the edition {on_one_line(asked)} is not known; must be one of: {', '.join(known_editions())}")
    return edition(asked)


def shipped_under(asked: str | None, edition: "Edition") -> str:
    """The identifier of the shipped edition in use, or of the one that a file lays corrections over; empty where a file holds a whole edition."""
    from docgen.reading import read_file

    own = own_edition(asked)
    return str(read_file(own).data.get("extends", "")) if own else edition.edition
