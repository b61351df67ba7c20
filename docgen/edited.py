"""What somebody changed by hand in a document after docgen had written it."""

import base64
import difflib
import re
from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path

from docgen import VERSION
from docgen.build import SUBMISSION, submission_of
from docgen.carried import Submitted, edition_digest, placed_in, read_document
from docgen.check import check
from docgen.editions import Edition, edition, known_editions
from docgen.folder import on_screen
from docgen.inputs import program_digest, templates_digest
from docgen.load import Description
from docgen.nodes import Picture
from docgen.questions_file import questions_in
from docgen.reading import Unreadable
from docgen.sheet import Sheet
from docgen.writers.page import write_page
from docgen.writers.visible import digest_of
from docgen.writers.word import write_word

MOST_LINES = 40
_MOST_PAIRS = 4_000_000
"""Pairs of lines that are compared with each other; more would take minutes."""
_LONGEST = 160
_BLANK = base64.b64decode("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGP4DwABAQEAsTj2FAAAAABJRU5ErkJggg==")


@dataclass(frozen=True, slots=True)
class Edited:
    """How a document differs from what docgen wrote."""

    what: str
    """In words; empty where nothing differs."""
    lines: tuple[str, ...] = ()
    """Lines taken out, ``- …``, and put in, ``+ …``, in the order of the document; none where that cannot be said."""
    compared: str = ""
    """How it was found that nothing differs, in words."""


def edited(document: Submitted, under: Edition, own_templates: Path | None = None) -> Edited:
    """What in a document is not as docgen wrote it.

    Where the same docgen, edition and templates are at hand, the document is made again from the description inside and
    compared line by line; otherwise the digest of its text decides. Pictures are not compared. Raises Stop for a description
    inside that cannot be read.
    """
    description = document.description()
    source = document.carried.source
    printed = {digest for line in document.lines if "SHA-256" in line for digest in re.findall(r"\b[0-9a-f]{64}\b", line)}
    if printed and source.digest not in printed:
        return Edited("the description inside was swapped: it is not the one whose SHA-256 the document prints")
    used = _edition_of(document, under)
    other = _otherwise_made(document, used, own_templates)
    if used is None or other:
        differs = digest_of(document.lines) != document.carried.text_digest
        if differs:
            return Edited(f"its text was changed after docgen wrote it; which lines cannot be said, for {other}")
        return Edited("", compared=f"its text is the one that docgen wrote, by its digest only, for {other}")
    taken, put = _apart(_as_written(document, description, used, own_templates), document.lines)
    if not taken and not put:
        return Edited("", compared="line by line its text is what docgen writes from the description inside")
    return Edited("its text is not what docgen writes from the description inside", _difference(taken, put))


def _edition_of(document: Submitted, under: Edition) -> Edition | None:
    """The edition that the document was made under, if it is at hand."""
    source = document.carried.source
    at_hand = (under, *(edition(name) for name in known_editions() if name == source.edition))
    return next((one for one in at_hand if edition_digest(one) == source.edition_digest), None)


def _otherwise_made(document: Submitted, used: Edition | None, own_templates: Path | None) -> str:
    source = document.carried.source
    if source.kind != SUBMISSION:
        return "it is no submission"
    if source.version != VERSION:
        return f"docgen {on_screen(source.version) or 'of an unknown version'} wrote it and this is {VERSION}"
    if source.program != program_digest():
        return f"another state of docgen {VERSION} wrote it"
    if used is None:
        return f"it was made under other data of the edition {on_screen(source.edition)}"
    return "it was made with other templates" if source.templates_digest != templates_digest(own_templates) else ""


def _as_written(document: Submitted, description: Description, used: Edition, own_templates: Path | None) -> tuple[str, ...]:
    """The lines of the document as docgen writes it from the description inside."""
    try:
        asked = questions_in(document.carried.source)
    except Unreadable as error:
        raise placed_in(document.name, error) from None
    made = submission_of(check(description, used), own_templates, drawn=None if document.is_page else _blank, asked=asked)
    data = write_page(made.document, made.css).encode() if document.is_page else write_word(made.document, made.style)
    return read_document(data, document.name).lines


def _blank(name: str, sheet: Sheet) -> Picture:
    """Stands for a drawing where only text is compared."""
    return Picture('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"/>', _BLANK, 1, 1)


def _apart(before: tuple[str, ...], after: tuple[str, ...]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The two without the lines with which both begin and end."""
    begin = _alike(before, after)
    before, after = before[begin:], after[begin:]
    end = _alike(before[::-1], after[::-1])
    return before[: len(before) - end], after[: len(after) - end]


def _alike(one: tuple[str, ...], other: tuple[str, ...]) -> int:
    """With how many equal lines the two begin."""
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(one, other, strict=False)))


def _difference(before: tuple[str, ...], after: tuple[str, ...]) -> tuple[str, ...]:
    if len(before) * len(after) > _MOST_PAIRS:
        return (f"nearly everything from “{_short(before[0])}” on",)
    told: list[str] = []
    for what, begin, end, other_begin, other_end in difflib.SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        if what != "equal":
            told += [f"- {_short(line)}" for line in before[begin:end]] + [f"+ {_short(line)}" for line in after[other_begin:other_end]]
    return (*told[:MOST_LINES], f"and {len(told) - MOST_LINES} lines more") if len(told) > MOST_LINES else tuple(told)


def _short(line: str) -> str:
    return on_screen(line if len(line) <= _LONGEST else f"{line[: _LONGEST - 1]}…")
