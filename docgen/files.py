"""Files that are replaced whole, or not at all."""

import os
import tempfile
from collections.abc import Iterable, Mapping
from contextlib import suppress
from pathlib import Path

from docgen.stop import Stop


class NotWritten(Stop):
    """A file that could not be written, what to do about it, and whether others were."""


def write(folder: Path, made: Mapping[str, bytes]) -> None:
    """Put the files into a folder, each replaced at once and only after all of them were written beside it.

    Only a file is ever replaced, never a folder or a device, and never through a link that leads out of the folder.
    Raises NotWritten; then nothing in the folder has changed, except where the system refused a replacement half way, and
    the message says so.
    """
    written: list[tuple[Path, Path]] = []
    begun: list[Path] = []
    target, replaced = folder, 0
    try:
        for name, content in made.items():
            target = folder / name
            begun += reversed([parent for parent in target.parents if not parent.exists()])
            target.parent.mkdir(parents=True, exist_ok=True)
            _check_place(folder, target)
            handle, beside = tempfile.mkstemp(dir=target.parent, prefix=".writing-")
            written.append((Path(beside), target))
            with os.fdopen(handle, "wb") as stream:
                stream.write(content)
            os.chmod(beside, 0o644)
        for beside_path, target in written:
            beside_path.replace(target)
            replaced += 1
    except OSError as error:
        reason = error.strerror or str(error)
        so_far = f"{replaced} files were replaced before it" if replaced else "nothing was written"
        raise NotWritten(f"{target} cannot be written: {reason}; close it where it is open, or choose another place with --to; {so_far}") from None
    finally:
        for beside_path, _ in written:
            beside_path.unlink(missing_ok=True)
        for parent in reversed(begun):
            with suppress(OSError):  # what holds files stays
                parent.rmdir()


def take_away(folder: Path, names: Iterable[str]) -> tuple[str, ...]:
    """Take files out of a folder; returns the names of those that were, for one that is open elsewhere may stay."""
    gone = []
    for name in names:
        with suppress(OSError):
            (folder / name).unlink()
            gone.append(name)
    return tuple(gone)


def _check_place(folder: Path, target: Path) -> None:
    if target.exists() and not target.is_file():
        raise OSError("something that is no file has this name")
    if not Path(os.path.realpath(target.parent)).is_relative_to(os.path.realpath(folder)):
        raise OSError("a link leads out of the folder")
