"""What lies in a folder: the names in it, and files of which nothing outside is read."""

import os
import stat
import unicodedata
from contextlib import suppress
from pathlib import Path

LARGEST_FOLDER = 20_000
LARGEST_CONTENT = 64_000_000


PAGES = (".html", ".htm")


def is_document(path: Path) -> bool:
    """Whether a path is by its name that of a Word file or a page, and not that of a description."""
    return path.suffix.lower() in (".docx", *PAGES)


def description_file(path: Path) -> Path:
    """The file meant by a path that may be the folder of a description."""
    return path / "car.yaml" if os.path.isdir(path) else path


def files_in(folder: Path) -> frozenset[str]:
    """The files of a folder and of the folders in it, as ``evidence/imd.pdf``.

    Only names are read. Hidden files and linked folders are left out, and so is a link to a file outside. What cannot be
    listed holds nothing; with more than LARGEST_FOLDER entries nothing is known of the folder, and the set is empty.
    """
    root = os.path.realpath(folder)
    found: set[str] = set()
    waiting, met = [root], 0
    while waiting:
        here = waiting.pop()
        with suppress(OSError), os.scandir(here) as entries:
            for entry in entries:
                met += 1
                if met > LARGEST_FOLDER:
                    return frozenset()
                if entry.name.startswith("."):
                    continue
                if entry.is_file(follow_symlinks=False) or _leads_to_a_file_in(root, entry):
                    found.add(unicodedata.normalize("NFC", entry.path[len(root) :].replace(os.sep, "/").lstrip("/")))
                elif entry.is_dir(follow_symlinks=False) and os.path.realpath(entry.path) == entry.path:
                    waiting.append(entry.path)
    return frozenset(found)


def _leads_to_a_file_in(root: str, entry: "os.DirEntry[str]") -> bool:
    real = os.path.realpath(entry.path) if entry.is_symlink() else ""
    return bool(real) and Path(real).is_relative_to(root) and os.path.isfile(real)


def content(path: Path) -> bytes:
    """The bytes of a file; raises OSError for what is no file, a link out of its folder, or larger than LARGEST_CONTENT bytes."""
    about = os.lstat(path)
    if stat.S_ISLNK(about.st_mode):
        if os.path.dirname(os.path.realpath(path)) != os.path.realpath(os.path.dirname(path)):
            raise OSError("this is a link to a file in another folder")
        about = os.stat(path)
    if not stat.S_ISREG(about.st_mode):
        raise OSError("this is no file")
    if about.st_size > LARGEST_CONTENT:
        raise OSError(f"it is larger than {LARGEST_CONTENT // 1_000_000} MB")
    with open(path, "rb") as stream:
        return stream.read(about.st_size)


def on_screen(name: str) -> str:
    """A name of a stranger's as it may be shown on a terminal.

    >>> on_screen("imd.pdf\\x1b[2J")
    'imd.pdf�[2J'
    """
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in name)
