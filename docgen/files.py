"""Files that are replaced whole, or not at all."""

import os
import tempfile
from collections.abc import Mapping
from pathlib import Path


class NotWritten(Exception):
    """A file that could not be replaced, and what to do about it."""


def write(folder: Path, made: Mapping[str, bytes]) -> None:
    """Put the files into a folder, each replaced at once and only after all of them were written beside it.

    Raises NotWritten; then no file of the folder has changed, except where the system refused a
    replacement half way, and the message names the file.
    """
    written: list[tuple[Path, Path]] = []
    try:
        for name, content in made.items():
            target = folder / name
            target.parent.mkdir(parents=True, exist_ok=True)
            handle, beside = tempfile.mkstemp(dir=target.parent, prefix=".writing-")
            written.append((Path(beside), target))
            with os.fdopen(handle, "wb") as stream:
                stream.write(content)
            os.chmod(beside, 0o644)
        for beside_path, target in written:
            _replace(beside_path, target)
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise NotWritten(f"{folder} cannot be written: {reason}; choose a folder that can be written, with --to") from None
    finally:
        for beside_path, _ in written:
            beside_path.unlink(missing_ok=True)


def _replace(beside: Path, target: Path) -> None:
    try:
        beside.replace(target)
    except PermissionError:
        raise NotWritten(f"{target} cannot be replaced; it is open in another program: close it and build again") from None
