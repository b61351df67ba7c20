"""All that decides over the files of a submission, as digests that are read anew in milliseconds.

Nothing is imported here that reads a description, and no dataclass made: a hook before every commit waits for this.
"""

import hashlib
import os
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

from docgen import VERSION
from docgen.folder import content, files_in
from docgen.stop import Stop

_PACKAGE = Path(__file__).parent
_FIRST = 8000
"""Bytes in which Git looks for a NUL before it takes a file for text."""


def fingerprint(data: bytes) -> str:
    """SHA-256, 64 hexadecimal digits. In a text CR LF counts as LF, for Git may change the one into the other."""
    text = b"\r" in data and b"\0" not in data[:_FIRST]
    return hashlib.sha256(data.replace(b"\r\n", b"\n") if text else data).hexdigest()


class Choices(NamedTuple):
    """What the command line may say of a build."""

    edition: str | None = None
    """An identifier, or the path of a YAML file."""
    templates: Path | None = None
    with_comments: bool = False
    questions: Path | None = None


class Inputs(NamedTuple):
    """What a submission is made from. Digests are fingerprints; what does not exist has an empty one."""

    version: str
    program: str
    """Digest of docgen's own code, for it may change between two versions."""
    description: str
    edition_asked: str
    """The edition that the command line named, by identifier or file name; empty where it named none."""
    edition_file: str
    """Digest of the file that the command line named as edition."""
    templates: str
    with_comments: bool
    questions: str
    """Digest of the file of questions."""
    edition_shipped: str = ""
    """The shipped edition in use or laid under one; empty where a file holds a whole edition."""
    edition_data: str = ""
    """Digest of the shipped edition."""
    named_files: Mapping[str, bool] = MappingProxyType({})
    """Every file that the description names in its folder, and whether it is there."""

    def completed(self, named_files: Mapping[str, bool], shipped: str) -> "Inputs":
        """With what only the description says: the files that it names, and the shipped edition in use."""
        data = fingerprint(_read(_PACKAGE / "editions" / f"{shipped}.json")) if shipped else ""
        return self._replace(edition_shipped=shipped, edition_data=data, named_files=dict(named_files))


def lie_in(folder: Path, names: Iterable[str]) -> dict[str, bool]:
    """Whether files that a description names lie in its folder."""
    names = tuple(names)
    present = files_in(folder) if names else ()
    return {name: name in present for name in names}


def inputs(description: Path, choices: Choices) -> Inputs:
    """The inputs as they are now, before the description is read; raises Stop for what is not there."""
    own = own_edition(choices.edition)
    if choices.templates and not choices.templates.is_dir():
        raise Stop(f"{choices.templates.as_posix()}:1:1: is no folder")
    return Inputs(
        VERSION, program_digest(), fingerprint(_read(description)), own.name if own else choices.edition or "", fingerprint(_read(own)) if own else "",
        templates_digest(choices.templates), choices.with_comments, fingerprint(_read(choices.questions)) if choices.questions else "",
    )  # fmt: skip


def own_edition(asked: str | None) -> Path | None:
    """The file that the command line names as edition, if it names a file."""
    return Path(asked) if asked and asked.endswith((".yaml", ".yml")) else None


def shipped_editions() -> tuple[str, ...]:
    """Identifiers of the editions that come with docgen."""
    return tuple(sorted(path.stem for path in (_PACKAGE / "editions").glob("*.json")))


def shipped_templates() -> Path:
    """The folder of the words and styles that come with docgen."""
    inside = _PACKAGE / "templates"
    return inside if inside.is_dir() else _PACKAGE.parent / "templates"


@cache
def program_digest() -> str:
    """The fingerprint of docgen's code, as it was when this process asked first."""
    codes = []
    for here, _, names in os.walk(_PACKAGE):
        for name in names:
            if name.endswith(".py"):
                with open(os.path.join(here, name), "rb") as stream:
                    codes.append(fingerprint(stream.read()))
    return fingerprint(" ".join(sorted(codes)).encode())


def templates_digest(own: Path | None) -> str:
    """The fingerprint of our words and styles, or of those that a folder lays over them; nothing else in that folder counts."""
    shipped = shipped_templates()
    names = sorted(path.name for path in shipped.iterdir() if path.is_file() and not path.name.startswith("."))
    used = (own / name if own and (own / name).exists() else shipped / name for name in names)
    return fingerprint(" ".join(f"{path.name} {_fingerprint_of(path)}" for path in used).encode())


def _fingerprint_of(template: Path) -> str:
    """Empty for what cannot be read: docgen.prose says why."""
    try:
        return fingerprint(content(template))
    except OSError:
        return ""


def _read(path: Path) -> bytes:
    try:
        return content(path)
    except OSError as error:
        raise Stop(f"{path.as_posix()}: error: the file cannot be read: {error.strerror or error}") from error
