"""Say whether the documents in a folder are those of a description."""

import argparse
import sys
from pathlib import Path

from docgen.asked import DESCRIPTION, building, choices, described_by, folder_for
from docgen.folder import is_document, on_screen
from docgen.inputs import inputs, lie_in, own_edition, shipped_editions
from docgen.stamp import STAMP, differences, stamp_in
from docgen.stop import Stop
from docgen.terminal import FOUND_ERRORS, FOUND_NOTHING, print_edited

WHAT = "say whether the documents in a folder are in step with the description, edition and templates: leaves with 0, otherwise with 1"
EXAMPLES = """\
docgen current car.yaml
docgen current car.yaml --to out --templates our_templates
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("description", type=described_by, help=DESCRIPTION)
    parser.add_argument("--edition", help="the edition that the documents were to be written for, where it is not the one that the description names")
    building(parser)


def run(asked: argparse.Namespace) -> int:
    """Nothing is imported, and so no time spent, that reads a description, as long as no document was edited."""
    if asked.edition and not own_edition(asked.edition) and asked.edition not in shipped_editions():
        raise Stop(f"error: the edition {asked.edition} is not known; must be one of: {', '.join(shipped_editions())}")
    folder = folder_for(asked)
    now = inputs(asked.description, choices(asked))
    stamp = stamp_in(folder)
    if stamp is None:
        print(f"{folder.as_posix()} holds no {STAMP} of this docgen: nothing was built there, or by another one")
        return FOUND_ERRORS
    then = stamp.inputs
    shipped = asked.edition if asked.edition in shipped_editions() else then.edition_shipped
    found = differences(folder, stamp, now.completed(lie_in(asked.description.parent, then.named_files), shipped))
    if not (found.needs_a_build or found.foreign):
        print(f"in step: {folder.as_posix()} holds what docgen writes from {asked.description.name}")
        return FOUND_NOTHING
    print(f"not in step: {folder.as_posix()} is not what docgen writes from {on_screen(asked.description.name)}")
    for cause in found.causes:
        print(f"  {cause}")
    for what, names in (("missing", found.missing), ("changed by hand", found.edited), ("not written by this build", found.foreign)):
        for name in names:
            print(f"  {what}: {on_screen(name)}")
    for name in found.edited:
        _tell_edits(folder / name, asked)
    return FOUND_ERRORS


def _tell_edits(path: Path, asked: argparse.Namespace) -> None:
    """The lines in which a document was changed; a document that carries nothing any more is told as such."""
    from docgen.asked import edition_for
    from docgen.carried import submitted
    from docgen.edited import edited

    if not is_document(path):
        return
    try:
        document = submitted(path)
        print_edited(document.name, edited(document, edition_for(asked.edition, document.description()), asked.templates), sys.stdout)
    except Stop as stop:
        print(stop)
