"""On which page a heading is likely to stand: what a list of contents shows until Word counts the pages itself.

Lengths are points. They follow the shipped style file; with another one the numbers may be off until the fields are updated.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from docgen.nodes import Block, Box, Contents, Figure, Heading, Listing, PageBreak, Paragraph, Table, plain
from docgen.writers.word_layout import SHORT, Sheet, printed_size

_MM = 72 / 25.4
_FRONT = 148
_HEADING = {1: 40.4, 2: 28.4, 3: 21.1, 4: 17.5}
_ENTRY = {1: 17.5, 2: 12.5, 3: 12.5, 4: 12.5}
_SIZE, _LINE, _AFTER = 10, 12.65, 6
_ROW_SIZE, _ROW_LINE, _ROW_EDGE, _CELL_EDGE = 8.5, 9.8, 3.5, 8.5
_CAPTION, _GAP, _BOX, _STEP = 20.4, 10, 32, 17
_WIDTHS = {0.28: "fijlrtI .,:;'|!()[]/-", 0.84: "mwMW@%", 0.67: "ABCDEFGHJKLNOPQRSTUVXYZ&"}
_WIDTH_OF = {letter: width for width, letters in _WIDTHS.items() for letter in letters}


@dataclass(frozen=True, slots=True)
class _Piece:
    """What is never divided between pages: a line, a row, a picture with its caption."""

    height: float
    keep: bool = False
    """The next piece stands on the same page."""
    head: float = 0
    """Height of the table head repeated above it when it begins a page."""
    anchor: str = ""


def page_numbers(parts: Sequence[tuple[Sheet, Sequence[Block]]], labels: dict[str, str]) -> tuple[dict[str, int], int]:
    """The likely page of every heading, and the likely number of pages."""
    headings = [block for _, blocks in parts for block in blocks if isinstance(block, Heading)]
    found: dict[str, int] = {}
    page, used = 0, 0.0
    for sheet, blocks in parts:
        page, used = page + 1, 0 if page else _FRONT
        group: list[_Piece] = []
        for block in blocks:
            if isinstance(block, PageBreak):
                page, used = page + 1, 0
            for piece in _pieces(block, sheet, labels, headings):
                group.append(piece)
                if not piece.keep:
                    height = sum(part.height for part in group)
                    if used + height > sheet.room[1] * _MM:
                        page, used = page + 1, group[0].head
                    used += height
                    found |= {part.anchor: page for part in group}
                    group.clear()
        found |= {part.anchor: page for part in group}
    return found, page


def _pieces(block: Block, sheet: Sheet, labels: dict[str, str], headings: Sequence[Heading], inset: float = 0) -> Iterator[_Piece]:
    width = sheet.room[0] * _MM - inset
    match block:
        case Heading(level=level, anchor=anchor):
            yield _Piece(_HEADING[level], keep=True, anchor=anchor)
        case Paragraph(inlines=inlines):
            yield from [_Piece(_LINE)] * (_lines(plain(inlines, labels), width, _SIZE) - 1)
            yield _Piece(_LINE + (0 if inset else _AFTER))
        case Listing(items=items):
            for inner in (inner for item in items for inner in item):
                yield from _pieces(inner, sheet, labels, headings, inset + _STEP)
            yield _Piece(0 if inset else _AFTER)
        case Box(blocks=inside):
            yield _Piece(_BOX + sum(piece.height for inner in inside for piece in _pieces(inner, sheet, labels, headings)))
        case Figure(picture=picture):
            yield _Piece(printed_size(picture, sheet)[1] * _MM + _CAPTION + _GAP)
        case Table(columns=columns, rows=rows):
            total = sum(column.share for column in columns)
            widths = [width * column.share / total - _CELL_EDGE for column in columns]
            cells = [[column.title for column in columns], *([plain(cell, labels) for cell in row] for row in rows)]
            lines = (max(_lines(text, room, _ROW_SIZE) for text, room in zip(row, widths, strict=True)) for row in cells)
            head, *heights = [_ROW_EDGE + _ROW_LINE * count for count in lines]
            yield _Piece(_CAPTION + head, keep=True)
            yield from (_Piece(height, keep=len(rows) <= SHORT, head=head) for height in heights)
            yield _Piece(_GAP)
        case Contents(depth=depth):
            yield _Piece(_HEADING[1], keep=True)
            yield from (_Piece(_ENTRY[heading.level]) for heading in headings if heading.level <= depth)


def _lines(text: str, width: float, size: float) -> int:
    """How many lines of this width the text fills in a sans-serif type of this size."""
    count = 0
    for line in text.split("\n"):
        count, used = count + 1, 0.0
        for word in line.split(" "):
            length = size * sum(_WIDTH_OF.get(letter, 0.55) for letter in word + " ")
            if used and used + length > width:
                count, used = count + 1, 0.0
            count += ceil(length / max(width, size)) - 1
            used += length
    return count
