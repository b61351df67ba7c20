"""On which sheet of paper, and how large, the blocks of a document are printed."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from docgen.nodes import Block, Box, Figure, Heading, Listing, PageBreak, Paragraph, Picture, Table

SHORT = 6
"""A table of at most so many rows stays on one page."""
_CAPTION_MM = 15
"""Height kept free below the largest picture."""
_FEW = 3
"""So many blocks of text go along with a wide block."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of A4 and its margins, in millimetres."""

    width: int
    height: int
    side: int = 20
    top: int = 25
    bottom: int = 22
    edge: int = 12
    """From the edge of the paper to header and footer."""

    @property
    def room(self) -> tuple[int, int]:
        """Width and height between the margins, in millimetres."""
        return self.width - 2 * self.side, self.height - self.top - self.bottom


PORTRAIT, LANDSCAPE = Sheet(210, 297), Sheet(297, 210)


def printed_size(picture: Picture, sheet: Sheet) -> tuple[float, float]:
    """Width and height in millimetres, made smaller where the picture would leave the sheet."""
    width, height = sheet.room
    scale = min(1, width / picture.width_mm, (height - _CAPTION_MM) / picture.height_mm)
    return picture.width_mm * scale, picture.height_mm * scale


def stretches(blocks: Iterable[Block]) -> list[tuple[Sheet, list[Block]]]:
    """The blocks parted by the sheet they are printed on, the first part upright.

    Wide blocks that follow each other share a part, as do those with no more than headings and a few blocks of text between
    them. The headings before a wide block go with it, even over a few blocks of text, unless it is a picture that fills its sheet. Every
    part starts on a new page, so page breaks at its ends are left out.
    """
    parts: list[tuple[Sheet, list[Block]]] = [(PORTRAIT, [])]
    for block in blocks:
        sheet, held = parts[-1]
        if isinstance(block, Table | Figure) and block.wide:
            if sheet is PORTRAIT:
                if len(parts) > 1 and _little(held):
                    parts.pop()
                    parts[-1][1].extend(held)
                else:
                    start = len(held) if _fills_a_sheet(block) else _start_of_lead(held)
                    parts.append((LANDSCAPE, held[start:]))
                    del held[start:]
        elif sheet is LANDSCAPE:
            parts.append((PORTRAIT, []))
        parts[-1][1].append(block)
    first, *others = [(sheet, _without_end_breaks(held)) for sheet, held in parts]
    return [first, *((sheet, _without_end_breaks(held[::-1])[::-1]) for sheet, held in others if held)]


def _fills_a_sheet(block: Table | Figure) -> bool:
    return isinstance(block, Figure) and printed_size(block.picture, LANDSCAPE)[1] > LANDSCAPE.room[1] / 2


def _start_of_lead(held: Sequence[Block]) -> int:
    """Where the headings begin that, with a few blocks of text, lead to a wide block after `held`; its length if there are none."""
    headings = [place for place, block in enumerate(held) if isinstance(block, Heading)]
    start = headings.pop() if headings else len(held)
    while start - 1 in headings:
        start -= 1
    return start if _little(held[start:]) else len(held)


def _little(held: Sequence[Block]) -> bool:
    """Whether the blocks are headings and a few blocks of text."""
    text = [block for block in held if not isinstance(block, Heading)]
    return len(text) <= _FEW and all(isinstance(block, Paragraph | Listing | Box) for block in text)


def _without_end_breaks(held: Sequence[Block]) -> list[Block]:
    size = len(held)
    while size and isinstance(held[size - 1], PageBreak):
        size -= 1
    return list(held[:size])
