"""Which sheet of paper each block of a document is printed on."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from docgen.nodes import Block, Box, Figure, Heading, Listing, PageBreak, Paragraph, Table

_FEW = 3
"""So many blocks of text between a heading and a wide block still go to the wide sheet with them."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of A4 and its margins, in millimetres."""

    width: int
    height: int
    side: int = 20
    top: int = 25
    bottom: int = 22

    @property
    def room(self) -> tuple[int, int]:
        """Width and height between the margins, in millimetres."""
        return self.width - 2 * self.side, self.height - self.top - self.bottom


PORTRAIT, LANDSCAPE = Sheet(210, 297), Sheet(297, 210)


def stretches(blocks: Iterable[Block]) -> list[tuple[Sheet, list[Block]]]:
    """The blocks parted by the sheet they are printed on, the first part upright.

    Wide blocks that follow each other share a part. The headings right before a wide block go with it, even over a few blocks
    of text. As every part starts on a new page, page breaks at its ends are left out.
    """
    parts: list[tuple[Sheet, list[Block]]] = [(PORTRAIT, [])]
    for block in blocks:
        sheet, held = parts[-1]
        if isinstance(block, Table | Figure) and block.wide:
            if sheet is PORTRAIT:
                start = _start_of_lead(held)
                lead, held[start:] = held[start:], []
                if len(parts) > 1 and not held:
                    parts.pop()
                    parts[-1][1].extend(lead)
                else:
                    parts.append((LANDSCAPE, lead))
        elif sheet is LANDSCAPE:
            parts.append((PORTRAIT, []))
        parts[-1][1].append(block)
    first, *others = [(sheet, _without_end_breaks(held)) for sheet, held in parts]
    return [first, *((sheet, _without_end_breaks(held[::-1])[::-1]) for sheet, held in others if held)]


def _start_of_lead(held: Sequence[Block]) -> int:
    """Where the headings and the few blocks of text begin that lead to a wide block after `held`."""
    text = len(held)
    while text and isinstance(held[text - 1], Paragraph | Listing | Box):
        text -= 1
    start = text
    while start and isinstance(held[start - 1], Heading):
        start -= 1
    return start if len(held) - text <= _FEW and (start < text or start == 0) else len(held)


def _without_end_breaks(held: Sequence[Block]) -> list[Block]:
    size = len(held)
    while size and isinstance(held[size - 1], PageBreak):
        size -= 1
    return list(held[:size])
