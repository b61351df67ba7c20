"""Where a value stands and where a demand comes from."""

from dataclasses import dataclass
from enum import StrEnum

Path = tuple[str | int, ...]
"""The way from the root of a description to a field: ``("devices", "imd", "contact", "at_rest")``."""


def spelled(path: Path) -> str:
    """The path as a person writes it: ``loops.drive.path[3]``.

    >>> spelled(("loops", "drive", "path", 3))
    'loops.drive.path[3]'
    """
    words = ""
    for step in path:
        words += f"[{step}]" if isinstance(step, int) else f".{step}" if words else step
    return words


@dataclass(frozen=True, slots=True, order=True)
class Location:
    """A place in a file; line and column count from 1."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


class Known(StrEnum):
    """How a topic of a rulebook edition is known to us; it decides what a rule may claim."""

    READ = "read in a text"
    SECOND_HAND = "second-hand"
    MEMORY = "from memory"
    ABSENT = "known to be absent"
    UNREAD = "not read by us"


@dataclass(frozen=True, slots=True)
class Citation:
    """A clause of an edition and how it is known."""

    edition: str
    clause: str
    known: Known

    def __str__(self) -> str:
        if self.known in (Known.SECOND_HAND, Known.MEMORY):
            return f"{self.edition}, {self.clause} ({self.known}: look the clause up)"
        return f"{self.edition}, {self.clause}"
