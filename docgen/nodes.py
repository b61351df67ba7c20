"""The closed set of document nodes: what a chapter may say and every writer must be able to write.

Text inside a node is plain text. A writer escapes it for its own format, so nothing that a
team wrote can become markup.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

_ANCHOR = re.compile(r"[a-z][a-z0-9-]*")
_NOT_TEXT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


def _checked_anchor(anchor: str) -> None:
    if not _ANCHOR.fullmatch(anchor):
        raise ValueError(f"anchor {anchor!r} must be lower-case letters, digits and hyphens")


def _checked_text(text: str) -> None:
    if _NOT_TEXT.search(text):
        raise ValueError(f"control character in text {text!r}")


@dataclass(frozen=True, slots=True)
class Text:
    """A run of plain text."""

    text: str

    def __post_init__(self) -> None:
        _checked_text(self.text)


@dataclass(frozen=True, slots=True)
class Strong:
    """Text that must not be missed."""

    text: str

    def __post_init__(self) -> None:
        _checked_text(self.text)


@dataclass(frozen=True, slots=True)
class Emphasis:
    """Text set apart in tone, such as a quoted wording."""

    text: str

    def __post_init__(self) -> None:
        _checked_text(self.text)


@dataclass(frozen=True, slots=True)
class Code:
    """A name, path or value as it stands in the description."""

    text: str

    def __post_init__(self) -> None:
        _checked_text(self.text)


@dataclass(frozen=True, slots=True)
class Reference:
    """A cross-reference; writers print the label of the target ("Table 3") unless words are given."""

    anchor: str
    words: str = ""


@dataclass(frozen=True, slots=True)
class Break:
    """A forced line break inside a paragraph or cell."""


Inline = Text | Strong | Emphasis | Code | Reference | Break
Inlines = tuple[Inline, ...]


def words(*parts: str | Inline) -> Inlines:
    """Inlines from strings and inlines."""
    return tuple(Text(part) if isinstance(part, str) else part for part in parts)


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading of level 1 to 4; numbered by :func:`labels`."""

    level: int
    text: str
    anchor: str

    def __post_init__(self) -> None:
        _checked_anchor(self.anchor)
        _checked_text(self.text)
        if self.level not in (1, 2, 3, 4):
            raise ValueError(f"heading level is {self.level}, must be 1 to 4")


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph of running text."""

    inlines: Inlines


@dataclass(frozen=True, slots=True)
class Listing:
    """A list, numbered or not; an item may hold a list of its own."""

    items: tuple[tuple["Paragraph | Listing", ...], ...]
    ordered: bool = False


class Tone(StrEnum):
    """What a box is for; writers tell tones apart by word and border, not by colour alone."""

    DANGER = "danger"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Box:
    """A framed statement with a title: cautions and remarks."""

    tone: Tone
    title: str
    blocks: tuple[Paragraph | Listing, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A table column; `share` is its part of the width relative to the other columns."""

    head: str
    share: float = 1.0
    unit: str = ""

    @property
    def title(self) -> str:
        return f"{self.head} [{self.unit}]" if self.unit else self.head


Cell = Inlines


def cell(*parts: str | Inline) -> Cell:
    """A table cell; empty text prints as an en dash so that no cell is silently blank."""
    return words(*(part for part in parts if part != "")) or (Text("–"),)


@dataclass(frozen=True, slots=True)
class Table:
    """A captioned table. `wide` asks for a landscape page."""

    anchor: str
    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    wide: bool = False

    def __post_init__(self) -> None:
        _checked_anchor(self.anchor)
        _checked_text(self.caption)
        if not self.columns:
            raise ValueError(f"table {self.anchor} has no columns")
        for number, row in enumerate(self.rows, 1):
            if len(row) != len(self.columns):
                raise ValueError(f"table {self.anchor}: row {number} has {len(row)} cells for {len(self.columns)} columns")


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing as vector (`svg`) and raster (`png`), with its printed size in millimetres."""

    svg: str
    png: bytes
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class Figure:
    """A captioned picture; `alternative` says in words what the picture shows."""

    anchor: str
    caption: str
    picture: Picture
    alternative: str
    wide: bool = False

    def __post_init__(self) -> None:
        _checked_anchor(self.anchor)
        _checked_text(self.caption + self.alternative)
        if not self.alternative:
            raise ValueError(f"figure {self.anchor} has no text alternative")


@dataclass(frozen=True, slots=True)
class Contents:
    """The list of headings, down to the given level, at this place."""

    depth: int = 2


@dataclass(frozen=True, slots=True)
class PageBreak:
    """A new page where the format has pages."""


Block = Heading | Paragraph | Listing | Box | Table | Figure | Contents | PageBreak


@dataclass(frozen=True, slots=True)
class Source:
    """What a document was made from and carries inside, so that it can be checked, compared and made again.

    Digests are SHA-256, 64 hexadecimal digits.
    """

    name: str
    text: str
    digest: str
    """Of the description's canonical form."""
    present: tuple[str, ...] | None = None
    """The files named in the description that lay in its folder; None where the folder was not looked through."""
    edition: str = ""
    """The identifier of the rulebook edition."""
    edition_digest: str = ""
    templates_digest: str = ""
    version: str = ""
    program: str = ""
    """Version of docgen, and digest of its code."""
    kind: str = ""
    """What docgen makes again from these values: a submission; empty for what it does not."""
    questions: str = ""
    """The text of the reviewer's questions that the document prints; empty where it prints none."""


class UnfitDocument(ValueError):
    """Blocks that make no document together: an anchor twice or nowhere, a heading out of step."""


@dataclass(frozen=True, slots=True)
class Document:
    """A whole document: properties, the source it was made from, and its blocks in order."""

    title: str
    subject: str
    author: str
    revision: str
    issued: date | None
    """None where the revision gives no day."""
    generator: str
    source: Source
    footer: str
    blocks: tuple[Block, ...]

    def __post_init__(self) -> None:
        known = labels(self.blocks)
        for reference in references(self.blocks):
            if reference.anchor not in known:
                raise UnfitDocument(f"reference to {reference.anchor!r}, which is no heading, table or figure of this document")


def labels(blocks: Iterable[Block]) -> dict[str, str]:
    """The printed label of every anchor: "3.1" for a heading, "Table 4", "Figure 2".

    Raises UnfitDocument when two blocks share an anchor or a heading skips a level.
    """
    found: dict[str, str] = {}
    depth = [0, 0, 0, 0]
    tables = figures = 0
    for block in blocks:
        match block:
            case Heading(level=level):
                if level > 1 and not depth[level - 2]:
                    raise UnfitDocument(f"heading {block.anchor!r} of level {level} stands under no heading of level {level - 1}")
                depth[level - 1] += 1
                depth[level:] = [0] * (4 - level)
                label = ".".join(str(number) for number in depth[:level])
            case Table():
                tables += 1
                label = f"Table {tables}"
            case Figure():
                figures += 1
                label = f"Figure {figures}"
            case _:
                continue
        if block.anchor in found:
            raise UnfitDocument(f"anchor {block.anchor!r} is used twice")
        found[block.anchor] = label
    return found


def references(blocks: Iterable[Block]) -> Iterator[Reference]:
    """Every cross-reference inside the blocks, in reading order."""
    for block in blocks:
        match block:
            case Paragraph(inlines=inlines):
                yield from (part for part in inlines if isinstance(part, Reference))
            case Listing(items=items):
                for item in items:
                    yield from references(item)
            case Box(blocks=inner):
                yield from references(inner)
            case Table(rows=rows):
                for row in rows:
                    for inlines in row:
                        yield from (part for part in inlines if isinstance(part, Reference))


def plain(inlines: Inlines, found: dict[str, str] | None = None) -> str:
    """The inlines as plain text; references print their label when `found` is given."""
    out = ""
    for part in inlines:
        match part:
            case Reference(anchor=anchor, words=own):
                out += own or (found or {}).get(anchor, anchor)
            case Break():
                out += "\n"
            case _:
                out += part.text
    return out


def outline(blocks: Iterable[Block], indent: str = "") -> str:
    """The blocks as an indented text, one line a node: the form that tests compare."""
    lines: list[str] = []
    for block in blocks:
        match block:
            case Heading(level=level, text=text):
                lines.append(f"{indent}heading {level}: {text}")
            case Paragraph(inlines=inlines):
                lines.append(f"{indent}paragraph: {plain(inlines)!r}")
            case Listing(items=items, ordered=ordered):
                lines.append(f"{indent}{'numbered' if ordered else 'bulleted'} list")
                for item in items:
                    lines.append(f"{indent}  item")
                    lines.append(outline(item, indent + "    "))
            case Box(tone=tone, title=title, blocks=inner):
                lines.append(f"{indent}{tone} box: {title}")
                lines.append(outline(inner, indent + "  "))
            case Table(anchor=anchor, caption=caption, columns=columns, rows=rows):
                lines.append(f"{indent}table {anchor}: {caption}")
                lines.append(f"{indent}  | " + " | ".join(column.title for column in columns))
                lines.extend(f"{indent}  | " + " | ".join(plain(inlines).replace("\n", " / ") for inlines in row) for row in rows)
            case Figure(anchor=anchor, caption=caption, alternative=alternative):
                lines.append(f"{indent}figure {anchor}: {caption} ({alternative})")
            case Contents(depth=levels):
                lines.append(f"{indent}contents to level {levels}")
            case PageBreak():
                lines.append(f"{indent}page break")
            case _:
                raise TypeError(f"no text form for {type(block).__name__}")
    return "\n".join(line for line in lines if line)
