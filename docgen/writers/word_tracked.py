"""A document as a Word file in which all that differs from an older one stands as a tracked change, to be accepted or rejected.

The labels of tables, figures and headings, references to them and page numbers are counted by Word: they follow what is accepted
or rejected when the fields are updated, and are marked only where they belong to something that is itself changed.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from itertools import groupby

from docx.oxml.ns import qn
from docx.oxml.xmlchemy import BaseOxmlElement as Element

from docgen.aligned import (
    Aligned,
    Altered,
    Deleted,
    Inserted,
    Item,
    Kept,
    aligned,
    aligned_blocks,
    aligned_contents,
    aligned_items,
    aligned_rows,
    aligned_words,
    newer,
    older,
    same_columns,
)
from docgen.nodes import (
    Block,
    Box,
    Contents,
    Document,
    Figure,
    Heading,
    Inlines,
    Listing,
    Paragraph,
    Reference,
    Table,
    labels,
    words,
)
from docgen.writers.word import Manuscript, box_title, led, manuscript
from docgen.writers.word_layout import SHORT, Sheet, stretches
from docgen.writers.word_package import NO_DAY, add_properties, add_source, opened, packed
from docgen.writers.word_xml import run, w

_GONE, _COME = "del", "ins"
_GONE_TEXT = {qn("w:t"): qn("w:delText"), qn("w:instrText"): qn("w:delInstrText")}


def write_tracked(before: Document, after: Document, style: bytes, author: str, day: date | None) -> bytes:
    """The newer document as a .docx file whose tracked changes lead back to the older one, in the styles of the Word file `style`.

    `author` stands beside every change: a role or a program, never a person; the time is 00:00 of `day`, or of the first day of 2000.
    Title and header say that the file shows changes. It carries the description of the newer document, but does not call itself a submission.
    Raises UnfitStyle when `style` cannot be read or lacks a style.
    """
    word = opened(style)
    named = replace(after, title=f"{after.title}: changes from revision {before.revision} to {after.revision}")
    new = manuscript(word, after)
    old = new.holding(_told_apart(before, after))
    tracked = _Tracked(old, new, author, f"{(day or NO_DAY).isoformat()}T00:00:00Z")
    replace(new, document=named).fill(tracked.front(), tracked.parts())
    body = word.element.body
    if _is_marked(body[-2]):
        body[-2].addnext(new.gap())
    for number, change in enumerate(body.iter(qn("w:ins"), qn("w:del")), len(old.bookmarks) + 1):
        change.set(qn("w:id"), str(number))
    add_properties(word, named)
    add_source(word, replace(after.source, kind=""))
    return packed(word)


@dataclass(frozen=True, slots=True)
class _Tracked:
    """Two documents on their way into one Word file."""

    before: Manuscript
    after: Manuscript
    author: str
    time: str

    def front(self) -> Iterator[Element]:
        for (_, _, was), (style, name, now) in zip(self.before.data(), self.after.data(), strict=True):
            yield self.after.datum(style, name, self.words(was, now))

    def parts(self) -> list[tuple[Sheet, Iterator[Element]]]:
        """The parts of the newer document; what is gone stands with what comes after it, so that a part never ends with it."""
        told = iter(aligned(self.before.document, self.after.document))
        *parts, (sheet, blocks) = stretches(self.after.document.blocks)
        return [*((sheet, self.part(blocks, told, sheet)) for sheet, blocks in parts), (sheet, self.last_part(blocks, told, sheet))]

    def part(self, blocks: Iterable[Block], told: Iterator[Aligned[Block]], sheet: Sheet) -> Iterator[Element]:
        """The blocks with what is gone before each; page breaks at the ends of a part are told but not among the blocks."""
        for block in blocks:
            for item in told:
                if isinstance(item, Deleted) or newer(item) is block:
                    yield from self.block(item, sheet)
                if newer(item) is block:
                    break

    def last_part(self, blocks: Iterable[Block], told: Iterator[Aligned[Block]], sheet: Sheet) -> Iterator[Element]:
        yield from self.part(blocks, told, sheet)
        for item in told:
            if isinstance(item, Deleted):
                yield from self.block(item, sheet)

    def block(self, item: Aligned[Block], sheet: Sheet) -> Iterator[Element]:
        match item:
            case Kept(value=Contents(depth=depth)):
                yield from self.contents(depth, depth)
            case Kept(value=kept):
                yield from self.after.block(kept, sheet)
            case Deleted(value=gone):
                yield from self.whole(_GONE, self.before.block(gone, sheet))
            case Inserted(value=come):
                yield from self.whole(_COME, self.after.block(come, sheet))
            case Altered(before=before, after=after):
                yield from self.altered(before, after, sheet)

    def altered(self, before: Block, after: Block, sheet: Sheet) -> Iterator[Element]:
        match before, after:
            case Heading(text=was), Heading(text=now):
                yield self.after.heading(after, self.words(words(was), words(now)))
            case Paragraph(inlines=old), Paragraph(inlines=new):
                yield self.after.text(self.words(old, new))
            case Listing(), Listing():
                yield from self.listing(before, after, 0)
            case Box(), Box():
                yield from self.box(before, after, sheet)
            case Table(caption=was), Table(caption=now):
                yield self.after.caption(after, self.words(words(was), words(now)))
                yield from self.table(before, after, sheet)
            case Figure(caption=was), Figure(caption=now):
                yield from self.pictures(before, after, sheet)
                yield self.after.caption(after, self.words(words(was), words(now)))
                yield self.after.gap()
            case Contents(depth=depth), Contents(depth=new_depth):
                yield from self.contents(depth, new_depth)
            case _:
                raise TypeError(f"no tracked form for {type(after).__name__}")

    def words(self, before: Inlines, after: Inlines) -> Iterator[Element]:
        for item in aligned_words(before, after):
            match item:
                case Deleted(value=gone):
                    yield from self.runs(_GONE, self.before.runs(gone))
                case Inserted(value=come):
                    yield from self.runs(_COME, self.after.runs(come))
                case Kept(value=kept):
                    yield from self.after.runs(kept)

    def contents(self, before: int, after: int) -> Iterator[Element]:
        """The list of contents down to the older and to the newer level; a line of another number is replaced whole."""
        yield self.after.contents_head()
        for item in aligned_contents([*self.before.entries(before)], [*self.after.entries(after)]):
            match item:
                case Altered(before=(was, old), after=(number, new)) if was == number:
                    yield self.after.entry(new, [run(number)], self.words(words(old.text), words(new.text)))
                case Kept(value=(number, heading)):
                    yield self.after.entry(heading, [run(number)], [run(heading.text)])
                case _:
                    if gone := older(item):
                        yield from self.whole(_GONE, [self.before.entry(gone[1], [run(gone[0])], [run(gone[1].text)])])
                    if come := newer(item):
                        yield from self.whole(_COME, [self.after.entry(come[1], [run(come[0])], [run(come[1].text)])])

    def listing(self, before: Listing, after: Listing, depth: int) -> Iterator[Element]:
        number = self.after.list_number(after, depth)
        for item in aligned_items(before, after):
            match item:
                case Deleted(value=gone):
                    yield from self.whole(_GONE, self.before.item(gone, number, depth))
                case Inserted(value=come):
                    yield from self.whole(_COME, self.after.item(come, number, depth))
                case Kept(value=kept):
                    yield from self.after.item(kept, number, depth)
                case Altered(before=old, after=new):
                    yield from self.item(old, new, number, depth)

    def item(self, before: Item, after: Item, number: int, depth: int) -> Iterator[Element]:
        """An item of two versions; one of another shape is replaced whole."""
        sides = [*zip(led(before), led(after), strict=False)]
        if len(before) != len(after) or any(type(was) is not type(now) for was, now in sides):
            yield from self.whole(_GONE, self.before.item(before, number, depth))
            yield from self.whole(_COME, self.after.item(after, number, depth))
            return
        for place, (was, now) in enumerate(sides):
            match was, now:
                case Listing(), Listing():
                    yield from self.listing(was, now, depth + 1)
                case Paragraph(inlines=old), Paragraph(inlines=new):
                    yield self.after.item_text(self.words(old, new), depth, None if place else number)

    def box(self, before: Box, after: Box, sheet: Sheet) -> Iterator[Element]:
        """A box of two versions; where the last paragraph is gone or new, which no frame can be without, it is replaced whole."""
        inside = [element for item in aligned_blocks(before.blocks, after.blocks) for element in self.block(item, sheet)]
        if inside and _is_marked(inside[-1]):
            yield from self.whole(_GONE, self.before.block(before, sheet))
            yield from self.whole(_COME, self.after.block(after, sheet))
        else:
            yield self.after.box(after, sheet, self.words(words(box_title(before)), words(box_title(after))), inside)
            yield self.after.gap()

    def table(self, before: Table, after: Table, sheet: Sheet) -> Iterator[Element]:
        """What stands below the caption; a table of other columns is replaced whole."""
        if same_columns(before, after):
            yield self.after.table(after, sheet, self.rows(before, after, sheet))
            yield self.after.gap()
        else:
            yield from self.whole(_GONE, [self.before.table(before, sheet, self.before.rows(before, sheet)), self.before.gap()])
            yield from self.whole(_COME, [self.after.table(after, sheet, self.after.rows(after, sheet)), self.after.gap()])

    def rows(self, before: Table, after: Table, sheet: Sheet) -> Iterator[Element]:
        yield self.after.head(after, sheet)
        told = aligned_rows(before, after)
        for number, item in enumerate(told, 1):
            held = number < len(told) <= SHORT
            match item:
                case Deleted(value=gone):
                    yield self.row(_GONE, self.after.row(after, sheet, map(self.before.runs, gone), held))
                case Inserted(value=come):
                    yield self.row(_COME, self.after.row(after, sheet, map(self.after.runs, come), held))
                case Kept(value=kept):
                    yield self.after.row(after, sheet, map(self.after.runs, kept), held)
                case Altered(before=old, after=new):
                    yield self.after.row(after, sheet, map(self.words, old, new), held)

    def pictures(self, before: Figure, after: Figure, sheet: Sheet) -> Iterator[Element]:
        now = self.after.figure([self.after.picture(after, sheet)])
        if (before.picture.svg, before.alternative) == (after.picture.svg, after.alternative):
            yield now
        else:
            yield from self.whole(_GONE, [self.before.figure([self.before.picture(before, sheet)])])
            yield from self.whole(_COME, [now])

    # ---- the marks of a change

    def whole(self, change: str, elements: Iterable[Element]) -> Iterator[Element]:
        """Paragraphs and tables, gone or come from the first to the last letter."""
        for element in elements:
            if element.tag == qn("w:tbl"):
                for line in element.findall(qn("w:tr")):
                    self.row(change, line)
            else:
                self.text(change, element)
                element[0].append(w("rPr", self.mark(change)))
            yield element

    def row(self, change: str, line: Element) -> Element:
        line[0].append(self.mark(change))
        for text in [*line.iter(qn("w:p"))]:
            self.text(change, text)
        return line

    def text(self, change: str, text: Element) -> None:
        """Mark all that stands in a paragraph; its properties come first."""
        text[1:] = [*self.runs(change, text[1:])]

    def runs(self, change: str, content: Iterable[Element]) -> Iterator[Element]:
        """The content with its runs inside the change, whose marks stand within a link and leave bookmarks as they are."""
        for is_run, group in groupby(content, lambda element: element.tag == qn("w:r")):
            if is_run:
                yield self.mark(change, *group)
            else:
                for element in group:
                    element[:] = [*self.runs(change, element[:])]
                    yield element

    def mark(self, change: str, *content: Element) -> Element:
        mark = w(change, *content, author=self.author, date=self.time)
        for letters in [*mark.iter(*_GONE_TEXT)] if change == _GONE else ():
            letters.tag = _GONE_TEXT[letters.tag]
        return mark


def _is_marked(element: Element) -> bool:
    """Whether the end of a paragraph is itself gone or come."""
    return bool(element.xpath("./w:pPr/w:rPr/w:ins | ./w:pPr/w:rPr/w:del"))


def _told_apart(before: Document, after: Document) -> Document:
    """The older document with other anchors for what stands in both, but not at the same place."""
    gone = {anchor for item in aligned(before, after) if isinstance(item, Deleted) and (anchor := getattr(item.value, "anchor", ""))}
    known = labels(before.blocks) | labels(after.blocks)
    names: dict[str, str] = {}
    for anchor in sorted(gone & labels(after.blocks).keys()):
        names[anchor] = f"{anchor}-before"
        while names[anchor] in known:
            names[anchor] += "-before"
        known[names[anchor]] = ""
    return replace(before, blocks=tuple(_renamed(block, names) for block in before.blocks)) if names else before


def _renamed(block: Block, names: Mapping[str, str]) -> Block:
    match block:
        case Table(anchor=anchor, rows=rows):
            return replace(
                block, anchor=names.get(anchor, anchor), rows=tuple(tuple(_redirected(cell, names) for cell in row) for row in rows)
            )
        case Heading(anchor=anchor) | Figure(anchor=anchor):
            return replace(block, anchor=names.get(anchor, anchor))
        case Box(blocks=inside):
            return replace(block, blocks=tuple(_renamed_text(inner, names) for inner in inside))
        case Paragraph() | Listing():
            return _renamed_text(block, names)
    return block


def _renamed_text(block: Paragraph | Listing, names: Mapping[str, str]) -> Paragraph | Listing:
    if isinstance(block, Paragraph):
        return Paragraph(_redirected(block.inlines, names))
    return replace(block, items=tuple(tuple(_renamed_text(inner, names) for inner in item) for item in block.items))


def _redirected(inlines: Inlines, names: Mapping[str, str]) -> Inlines:
    return tuple(replace(part, anchor=names.get(part.anchor, part.anchor)) if isinstance(part, Reference) else part for part in inlines)
