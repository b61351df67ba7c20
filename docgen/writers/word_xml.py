"""The few WordprocessingML shapes that the Word writer is made of. Lengths are twips, 1/20 of a point."""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import cast

from docx.oxml.ns import qn
from docx.oxml.parser import OxmlElement
from docx.oxml.xmlchemy import BaseOxmlElement as Element

MM = 1440 / 25.4
"""Twips in a millimetre."""


def w(tag: str, *children: Element | str, **attributes: object) -> Element:
    """The element `w:tag`. Attributes are of the same namespace unless the name says another: `r_id`, `xml_space`."""
    made = cast(Element, OxmlElement(f"w:{tag}"))
    for name, value in attributes.items():
        made.set(qn(name.replace("_", ":") if "_" in name else f"w:{name}"), str(value))
    for child in children:
        if isinstance(child, str):
            made.text = child
        else:
            made.append(child)
    return made


def run(content: str | Element, style: str = "") -> Element:
    """A run of text, or around one element, in a character style when its id is given."""
    inner = w("t", content, xml_space="preserve") if isinstance(content, str) else content
    return w("r", w("rPr", w("rStyle", val=style)), inner) if style else w("r", inner)


def field(instruction: str, shown: str, style: str = "") -> list[Element]:
    """A field that shows the text `shown` until it is evaluated."""
    return [
        run(w("fldChar", fldCharType="begin"), style),
        run(w("instrText", f" {instruction} ", xml_space="preserve"), style),
        run(w("fldChar", fldCharType="separate"), style),
        run(shown, style),
        run(w("fldChar", fldCharType="end"), style),
    ]


def paragraph(style: str, content: Iterable[Element] = (), *properties: Element) -> Element:
    """A paragraph; its properties stand in the order of the schema."""
    return w("p", w("pPr", w("pStyle", val=style), *properties), *content)


def right_tab(position: int, leader: str = "none") -> Element:
    return w("tabs", w("tab", val="right", leader=leader, pos=position))


def list_item(number: int, level: int) -> Element:
    """The property that makes a paragraph an item of a list."""
    return w("numPr", w("ilvl", val=level), w("numId", val=number))


def list_level(level: int, form: str, text: str, left: int, hanging: int) -> Element:
    """A level of a numbering: `text` is a mark, or holds numbers where it says `%1`."""
    indent = w("pPr", w("ind", left=left, hanging=hanging))
    return w("lvl", w("start", val=1), w("numFmt", val=form), w("lvlText", val=text), w("lvlJc", val="left"), indent, ilvl=level)


def table(widths: Sequence[int], rows: Iterable[Element], *properties: Element, style: str = "") -> Element:
    """A table of fixed column widths; the properties after its width stand in the order of the schema."""
    styled = [w("tblStyle", val=style)] if style else []
    look = w("tblPr", *styled, w("tblW", w=sum(widths), type="dxa"), *properties)
    return w("tbl", look, w("tblGrid", *(w("gridCol", w=width) for width in widths)), *rows)


def row(cells: Iterable[tuple[int, Sequence[Element]]], *properties: Element) -> Element:
    """A row that does not split over pages, from the width and the paragraphs of every cell."""
    made = (w("tc", w("tcPr", w("tcW", w=width, type="dxa")), *content) for width, content in cells)
    return w("tr", w("trPr", w("cantSplit"), *properties), *made)


def frame(eighths: int) -> Element:
    """Four border lines, `eighths` of a point thick."""
    return w("tblBorders", *(w(side, val="single", sz=eighths, space=0, color="000000") for side in ("top", "left", "bottom", "right")))


def cell_margins(high: int, wide: int) -> Element:
    sides = {"top": high, "left": wide, "bottom": high, "right": wide}
    return w("tblCellMar", *(w(side, w=size, type="dxa") for side, size in sides.items()))


def shared_out(total: int, shares: Sequence[float]) -> list[int]:
    """Whole widths in proportion to the shares, whose sum is exactly `total`.

    >>> shared_out(100, [1, 1, 1])
    [33, 34, 33]
    """
    edges = [round(total * sum(shares[:count]) / sum(shares)) for count in range(len(shares) + 1)]
    return [right - left for left, right in pairwise(edges)]
