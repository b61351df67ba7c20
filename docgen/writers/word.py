"""The Word writer: a document as a .docx file. The names of Word styles stand here and nowhere else."""

import io
from collections.abc import Iterable, Iterator, Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from hashlib import sha256

from docx.document import Document as WordFile
from docx.enum.style import WD_STYLE_TYPE
from docx.opc.constants import RELATIONSHIP_TYPE
from docx.opc.part import Part
from docx.oxml.parser import parse_xml
from docx.oxml.xmlchemy import BaseOxmlElement as Element
from docx.shared import Mm
from docx.styles.style import BaseStyle

from docgen.nodes import (
    Block,
    Box,
    Break,
    Code,
    Contents,
    Document,
    Emphasis,
    Figure,
    Heading,
    Inlines,
    Listing,
    PageBreak,
    Paragraph,
    Reference,
    Strong,
    Table,
    Text,
    Tone,
    labels,
    words,
)
from docgen.writers import UnfitStyle
from docgen.writers.word_layout import LANDSCAPE, PORTRAIT, SHORT, Sheet, printed_size, stretches
from docgen.writers.word_package import add_part, add_properties, add_source, opened, packed
from docgen.writers.word_pages import page_numbers
from docgen.writers.word_xml import (
    MM,
    cell_margins,
    field,
    frame,
    list_item,
    list_level,
    paragraph,
    right_tab,
    row,
    run,
    shared_out,
    table,
    w,
)

_STYLES = {
    WD_STYLE_TYPE.PARAGRAPH: (
        "Title", "Subtitle", "Document Data", "TOC Heading", "toc 1", "toc 2", "toc 3", "toc 4", "Heading 1", "Heading 2",
        "Heading 3", "Heading 4", "Body Text", "List Paragraph", "Box Title", "Caption", "Figure", "Table Head", "Table Text",
        "Gap", "Header", "Footer",
    ),
    WD_STYLE_TYPE.CHARACTER: ("Strong", "Emphasis", "Code", "Hyperlink"),
    WD_STYLE_TYPE.TABLE: ("Data Table",),
}  # fmt: skip
_BOX = {Tone.DANGER: ("Danger", 24), Tone.NOTE: ("Note", 4)}
"""The word and the thickness of the frame, in eighths of a point."""
_HEADING_STEP, _LIST_STEP = round(15 * MM), round(6 * MM)
"""Room for the number of a heading and for the mark of a list item, in twips."""
_DEEPEST = 8
"""The last of the levels that Word gives a list, counted from 0."""
_VECTOR = (
    '<a:extLst xmlns:a="http://schemas.openxmlformats.org/drawingml/2006/main"><a:ext uri="{{96DAC541-7B7A-43D3-8B79-37D633B846F1}}">'
    '<asvg:svgBlip xmlns:asvg="http://schemas.microsoft.com/office/drawing/2016/SVG/main"'
    ' xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships" r:embed="{}"/></a:ext></a:extLst>'
)
"""Names the vector drawing behind a raster picture; Word shows it since 2016, others show the raster."""


def write_word(document: Document, style: bytes) -> bytes:
    """The document as a .docx file in the styles of the Word file `style`, of which nothing else is used.

    Raises UnfitStyle when `style` cannot be read or lacks a style.
    """
    word = opened(style)
    made = manuscript(word, document)
    made.fill(made.front(), [(sheet, made.blocks(blocks, sheet)) for sheet, blocks in stretches(document.blocks)])
    add_properties(word, document)
    add_source(word, document.source)
    return packed(word)


@dataclass(frozen=True, slots=True)
class Manuscript:
    """A document on its way into a Word file, and what each block needs to know of the whole."""

    word: WordFile
    document: Document
    styles: dict[str, str]
    """Style ids by name."""
    labels: dict[str, str]
    bookmarks: dict[str, tuple[int, str]]
    """Number and name of the bookmark of every anchor."""
    pages: dict[str, int]
    """The likely page of every heading."""
    page_count: int
    bullets: int
    """The list that all bulleted items belong to."""
    numbers: int
    """The numbering that every numbered list begins anew."""

    def holding(self, document: Document) -> "Manuscript":
        """The same for another document in the same Word file; an anchor of both documents keeps its bookmark."""
        found = labels(document.blocks)
        own = [anchor for anchor in found if anchor not in self.bookmarks]
        bookmarks = self.bookmarks | {anchor: (number, bookmark(anchor)) for number, anchor in enumerate(own, len(self.bookmarks) + 1)}
        pages, page_count = page_numbers(stretches(document.blocks), found)
        return replace(self, document=document, labels=found, bookmarks=bookmarks, pages=pages, page_count=page_count)

    def fill(self, front: Iterable[Element], parts: Sequence[tuple[Sheet, Iterable[Element]]]) -> None:
        """Put the head of the first page and the parts into the text, each part as a section on its sheet; it ends with a paragraph."""
        sections = {sheet: self.section(sheet) for sheet in dict.fromkeys(sheet for sheet, _ in parts)}
        body = self.word.element.body
        body.extend(front)
        for number, (_, content) in enumerate(parts):
            if number:
                body[-1].get_or_add_pPr().append(deepcopy(sections[parts[number - 1][0]]))
            body.extend(content)
        body.append(sections[parts[-1][0]])

    def blocks(self, blocks: Iterable[Block], sheet: Sheet) -> Iterator[Element]:
        for block in blocks:
            yield from self.block(block, sheet)

    def block(self, block: Block, sheet: Sheet) -> Iterator[Element]:
        """The paragraphs and tables of a block; the last is always a paragraph."""
        match block:
            case Heading(text=text):
                yield self.heading(block, [run(text)])
            case Paragraph(inlines=inlines):
                yield self.text(self.runs(inlines))
            case Listing():
                yield from self.listing(block, 0)
            case Box(blocks=inside):
                yield self.box(block, sheet, [run(box_title(block))], self.blocks(inside, sheet))
                yield self.gap()
            case Table(caption=caption):
                yield self.caption(block, [run(caption)])
                yield self.table(block, sheet, self.rows(block, sheet))
                yield self.gap()
            case Figure(caption=caption):
                yield self.figure([self.picture(block, sheet)])
                yield self.caption(block, [run(caption)])
                yield self.gap()
            case Contents(depth=depth):
                yield self.contents_head()
                for number, heading in self.entries(depth):
                    yield self.entry(heading, [run(number)], [run(heading.text)])
            case PageBreak():
                yield self.gap([run(w("br", type="page"))])
            case _:
                raise TypeError(f"no Word form for {type(block).__name__}")

    def runs(self, inlines: Inlines) -> Iterator[Element]:
        for part in inlines:
            match part:
                case Text(text=text):
                    yield run(text)
                case Strong(text=text):
                    yield run(text, self.styles["Strong"])
                case Emphasis(text=text):
                    yield run(text, self.styles["Emphasis"])
                case Code(text=text):
                    yield run(text, self.styles["Code"])
                case Reference(anchor=anchor, words=""):
                    label, (_, bookmark) = self.labels[anchor], self.bookmarks[anchor]
                    yield from field(f"REF {bookmark} \\h" if " " in label else f"REF {bookmark} \\r \\h", label)
                case Reference(anchor=anchor, words=own):
                    yield self.link(anchor, run(own, self.styles["Hyperlink"]))
                case Break():
                    yield run(w("br"))
                case _:
                    raise TypeError(f"no Word form for {type(part).__name__}")

    def paragraph(self, style: str, content: Iterable[Element] = (), *properties: Element) -> Element:
        return paragraph(self.styles[style], content, *properties)

    def heading(self, heading: Heading, content: Iterable[Element]) -> Element:
        return self.paragraph(f"Heading {heading.level}", self.marked(heading.anchor, *content))

    def text(self, content: Iterable[Element]) -> Element:
        return self.paragraph("Body Text", content)

    def gap(self, content: Iterable[Element] = ()) -> Element:
        """What stands between a table and the next, and may hold a page break."""
        return self.paragraph("Gap", content)

    def contents_head(self) -> Element:
        return self.paragraph("TOC Heading", [run("Contents")])

    def marked(self, anchor: str, *content: Element) -> list[Element]:
        """The content inside the bookmark of the anchor."""
        number, name = self.bookmarks[anchor]
        return [w("bookmarkStart", id=number, name=name), *content, w("bookmarkEnd", id=number)]

    def link(self, anchor: str, *content: Element) -> Element:
        return w("hyperlink", *content, anchor=self.bookmarks[anchor][1], history=1)

    def front(self) -> Iterator[Element]:
        """The head of the first page: what the document is and what it was made from."""
        for style, name, value in self.data():
            yield self.datum(style, name, self.runs(value))

    def data(self) -> Iterator[tuple[str, str, Inlines]]:
        """Style, name and value of every line of the head."""
        document = self.document
        yield "Title", "", words(document.title)
        yield "Subtitle", "", words(document.subject)
        for name, value in (
            ("Prepared by", document.author),
            ("Revision", document.revision),
            ("Issued", document.issued.isoformat() if document.issued else "not dated"),
            ("Description", Code(document.source.name)),
            ("SHA-256", Code(document.source.digest)),
            ("Generated by", document.generator),
        ):
            yield "Document Data", name, words(value)

    def datum(self, style: str, name: str, value: Iterable[Element]) -> Element:
        return self.paragraph(style, [*([run(name), run(w("tab"))] if name else []), *value])

    def entries(self, depth: int) -> Iterator[tuple[str, Heading]]:
        """The lines of the list of contents: every heading with its number."""
        headings = (block for block in self.document.blocks if isinstance(block, Heading))
        return ((self.labels[heading.anchor], heading) for heading in headings if heading.level <= depth)

    def entry(self, heading: Heading, number: Iterable[Element], text: Iterable[Element]) -> Element:
        """A line of the list of contents."""
        page = field(f"PAGEREF {self.bookmarks[heading.anchor][1]} \\h", str(self.pages[heading.anchor]))
        line = [*number, run(w("tab")), *text, run(w("tab")), *page]
        return self.paragraph(f"toc {heading.level}", [self.link(heading.anchor, *line)], right_tab(_measure(PORTRAIT), "dot"))

    def listing(self, listing: Listing, depth: int) -> Iterator[Element]:
        number = self.list_number(listing, depth)
        for item in listing.items:
            yield from self.item(item, number, depth)

    def item(self, item: Sequence[Paragraph | Listing], number: int, depth: int) -> Iterator[Element]:
        for place, block in enumerate(led(item)):
            if isinstance(block, Listing):
                yield from self.listing(block, depth + 1)
            else:
                yield self.item_text(self.runs(block.inlines), depth, None if place else number)

    def item_text(self, content: Iterable[Element], depth: int, number: int | None) -> Element:
        """A paragraph of an item: the first stands beside the mark of the list of that number, the others below it."""
        level = min(depth, _DEEPEST)
        place = w("ind", left=_LIST_STEP * (level + 1)) if number is None else list_item(number, level)
        return self.paragraph("List Paragraph", content, place)

    def list_number(self, listing: Listing, depth: int) -> int:
        """The list that the items belong to; a numbered one begins anew and counts from 1."""
        if not listing.ordered:
            return self.bullets
        made = self.word.part.numbering_part.element.add_num(self.numbers)
        made.add_lvlOverride(ilvl=min(depth, _DEEPEST)).add_startOverride(1)
        return int(made.numId)

    def box(self, box: Box, sheet: Sheet, title: Iterable[Element], content: Iterable[Element]) -> Element:
        """A table of one cell whose frame, whatever its thickness, ends at the margins."""
        thickness = _BOX[box.tone][1]
        line = thickness * 20 / 8
        width = round(_measure(sheet) - line)
        look = (w("tblInd", w=round(line / 2), type="dxa"), frame(thickness), w("tblLayout", type="fixed"), cell_margins(60, 160))
        return table([width], [row([(width, [self.paragraph("Box Title", title, w("keepNext")), *content])])], *look)

    def caption(self, block: Table | Figure, text: Iterable[Element]) -> Element:
        """The numbered caption; that of a table stays with what follows, that of a figure with the picture before it."""
        kind, strong = type(block).__name__, self.styles["Strong"]
        number = self.labels[block.anchor].removeprefix(f"{kind} ")
        label = self.marked(block.anchor, run(f"{kind} ", strong), *field(f"SEQ {kind} \\* ARABIC", number, strong))
        return self.paragraph("Caption", [*label, run("  "), *text], *([w("keepNext")] if isinstance(block, Table) else []))

    def table(self, block: Table, sheet: Sheet, rows: Iterable[Element]) -> Element:
        look = w("tblLook", val="0020", firstRow=1, lastRow=0, firstColumn=0, lastColumn=0, noHBand=1, noVBand=1)
        return table(_widths(block, sheet), rows, w("tblLayout", type="fixed"), look, style=self.styles["Data Table"])

    def rows(self, block: Table, sheet: Sheet) -> Iterator[Element]:
        """The rows of a table below its head, which is repeated on every page; a short table stays on one page."""
        yield self.head(block, sheet)
        for number, cells in enumerate(block.rows, 1):
            yield self.row(block, sheet, map(self.runs, cells), number < len(block.rows) <= SHORT)

    def head(self, block: Table, sheet: Sheet) -> Element:
        titles = ([self.paragraph("Table Head", [run(column.title)], w("keepNext"))] for column in block.columns)
        return row(zip(_widths(block, sheet), titles, strict=True), w("tblHeader"))

    def row(self, block: Table, sheet: Sheet, cells: Iterable[Iterable[Element]], held: bool) -> Element:
        """A row of a table; one that is held stays with the next."""
        content = ([self.paragraph("Table Text", cell, *([w("keepNext")] if held else []))] for cell in cells)
        return row(zip(_widths(block, sheet), content, strict=True))

    def figure(self, pictures: Iterable[Element]) -> Element:
        return self.paragraph("Figure", pictures, w("keepNext"))

    def picture(self, figure: Figure, sheet: Sheet) -> Element:
        """The raster picture with its vector form behind it."""
        part = self.word.part
        name = part.package.next_partname("/word/media/figure%d.svg")
        inline = part.new_pic_inline(io.BytesIO(figure.picture.png), *map(Mm, printed_size(figure.picture, sheet)))
        inline.docPr.attrib.update({"id": str(name.idx), "name": self.labels[figure.anchor], "descr": figure.alternative})
        svg = Part(name, "image/svg+xml", figure.picture.svg.encode("utf-8"), part.package)
        inline.graphic.graphicData.pic.blipFill.blip.append(parse_xml(_VECTOR.format(part.relate_to(svg, RELATIONSHIP_TYPE.IMAGE))))
        return run(w("drawing", inline))

    def section(self, sheet: Sheet) -> Element:
        """The properties of a section, with the header and the footer that all sections of this sheet share."""
        pages = [run("Page "), *field("PAGE", "1"), run(" of "), *field("NUMPAGES", str(self.page_count))]
        header = self.page_edge("Header", "hdr", sheet, self.document.title, run(f"Revision {self.document.revision}"))
        footer = self.page_edge("Footer", "ftr", sheet, self.document.footer, *pages)
        side, top, bottom, edge = (round(length * MM) for length in (sheet.side, sheet.top, sheet.bottom, sheet.edge))
        return w(
            "sectPr",
            w("headerReference", type="default", r_id=header),
            w("footerReference", type="default", r_id=footer),
            w("pgSz", w=round(sheet.width * MM), h=round(sheet.height * MM), orient="landscape" if sheet is LANDSCAPE else "portrait"),
            w("pgMar", top=top, right=side, bottom=bottom, left=side, header=edge, footer=edge, gutter=0),
        )

    def page_edge(self, style: str, root: str, sheet: Sheet, left: str, *right: Element) -> str:
        """Add a header or footer with text on the left and on the right; return the key of its relationship."""
        line = self.paragraph(style, [run(left), run(w("tab")), *right], right_tab(_measure(sheet)))
        return add_part(self.word, style.lower(), "1" if sheet is PORTRAIT else "2", w(root, line))


def manuscript(word: WordFile, document: Document) -> Manuscript:
    given = {(style.name or "").lower(): style for style in word.styles}
    for kind, names in _STYLES.items():
        if missing := [name for name in names if name.lower() not in given or given[name.lower()].type != kind]:
            raise UnfitStyle(f"the style file has no {kind.name.lower()} style named {', '.join(missing)}")
    styles = {name: given[name.lower()].style_id for names in _STYLES.values() for name in names}
    bullets, numbers = _numberings(word, [given[f"heading {level}"] for level in range(1, 5)])
    return Manuscript(word, document, styles, {}, {}, {}, 0, bullets, numbers).holding(document)


def box_title(box: Box) -> str:
    return f"{_BOX[box.tone][0]}: {box.title}"


def led(item: Sequence[Paragraph | Listing]) -> Sequence[Paragraph | Listing]:
    """The item with an empty paragraph before a list that it begins with, so that the item has a mark of its own."""
    return item if item and isinstance(item[0], Paragraph) else (Paragraph(()), *item)


def _widths(block: Table, sheet: Sheet) -> list[int]:
    return shared_out(_measure(sheet), [column.share for column in block.columns])


def _measure(sheet: Sheet) -> int:
    """The width of the text in twips."""
    return round(sheet.room[0] * MM)


def bookmark(anchor: str) -> str:
    """A name of letters, digits and low lines, at most 40 of them, as Word demands."""
    name = anchor.replace("-", "_")
    return name if len(name) <= 40 else f"{name[:31]}_{sha256(anchor.encode()).hexdigest()[:8]}"


def _numberings(word: WordFile, heading_styles: Sequence[BaseStyle]) -> tuple[int, int]:
    """Number the heading styles; return the list of all bulleted items and the numbering of numbered lists."""
    numbering = word.part.numbering_part.element
    first = 1 + max((int(key) for key in numbering.xpath("./w:abstractNum/@w:abstractNumId")), default=-1)
    counts = ["%1", "%1.%2", "%1.%2.%3", "%1.%2.%3.%4"]
    marks = [("decimal", "%{}."), ("lowerLetter", "%{})"), ("lowerRoman", "%{}.")] * 3
    schemes = (
        [list_level(level, "decimal", text, _HEADING_STEP, _HEADING_STEP) for level, text in enumerate(counts)],
        [list_level(level, "bullet", "•–"[level % 2], _LIST_STEP * (level + 1), _LIST_STEP) for level in range(9)],
        [list_level(level, form, text.format(level + 1), _LIST_STEP * (level + 1), _LIST_STEP) for level, (form, text) in enumerate(marks)],
    )
    for key, levels in enumerate(schemes, first):
        scheme = w("abstractNum", w("multiLevelType", val="multilevel"), *levels, abstractNumId=key)
        numbering.insert_element_before(scheme, "w:num", "w:numIdMacAtCleanup")
    headings, bullets = (numbering.add_num(first + offset).numId for offset in (0, 1))
    for level, (made, style) in enumerate(zip(schemes[0], heading_styles, strict=True)):
        made.insert(2, w("pStyle", val=style.style_id))
        bound = style.element.get_or_add_pPr().get_or_add_numPr()
        bound.get_or_add_ilvl().val, bound.get_or_add_numId().val = level, headings
    return bullets, first + 2
