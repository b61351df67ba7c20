"""Comments of a Word file: put beside a heading, a table or a row of it, and read again from a file of anyone."""

import io
import unicodedata
from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import cast

import docx
from docx.oxml.ns import qn
from docx.oxml.xmlchemy import BaseOxmlElement as Element

from docgen.word_file import WordFile, refused
from docgen.writers.word import bookmark
from docgen.writers.word_package import add_part, packed
from docgen.writers.word_xml import run, w

MOST_COMMENTS = 2000
LONGEST_TEXT = 3900
"""Characters of a comment that are taken over."""

LONGEST_CELL, MOST_CELLS = 200, 20
"""Characters and cells of a row by which the place of a comment is found."""

_W14 = "{http://schemas.microsoft.com/office/word/2010/wordml}"
_W15 = "{http://schemas.microsoft.com/office/word/2012/wordml}"


@dataclass(frozen=True, slots=True)
class Comment:
    """A comment to put into a document, beside a row of a table where one is named and is there."""

    anchor: str
    row: str
    """What the first cell of the row says; empty for the heading or caption itself."""
    author: str
    initials: str
    day: date
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Remark:
    """A comment as it was found in a document."""

    bookmark: str
    """The last known bookmark before its place, or in its paragraph; empty where there is none."""
    cells: tuple[str, ...]
    """What the cells of its row say; empty outside tables."""
    lines: tuple[str, ...]
    answers: int | None
    """Number, in the row of all remarks, of the one that it replies to."""


def commented(data: bytes, comments: Sequence[Comment]) -> bytes:
    """A Word file of docgen with comments in it, as bytes that depend on nothing but both.

    Raises ValueError for an anchor that the document does not have.
    """
    if not comments:
        return data
    word = docx.Document(io.BytesIO(data))
    marks = {mark.get(qn("w:name")): mark for mark in word.element.body.iter(qn("w:bookmarkStart"))}
    written = w("comments")
    for number, comment in enumerate(comments):
        mark = marks.get(bookmark(comment.anchor))
        if mark is None:
            raise ValueError(f"the document has no place {comment.anchor!r}")
        _mark(_row(mark.getparent(), comment.row), number)
        lines = (w("p", run(line)) for line in comment.lines)
        written.append(w("comment", *lines, id=number, author=comment.author, initials=comment.initials, date=f"{comment.day.isoformat()}T00:00:00Z"))
    add_part(word, "comments", "", written)
    return packed(word)


def _row(caption: Element, row: str) -> Element:
    """The first paragraph of the row that begins with these words, in the table behind a caption; without one, the caption."""
    table = caption.getnext()
    if row and table is not None and table.tag == qn("w:tbl"):
        for cell in (line.find(qn("w:tc")) for line in table.findall(qn("w:tr"))):
            if cell is not None and _text(cell) == row:
                return cast(Element, cell.find(qn("w:p")))
    return caption


def _mark(paragraph: Element, number: int) -> None:
    """Put the marks of a comment around what a paragraph says."""
    first = 1 if len(paragraph) and paragraph[0].tag == qn("w:pPr") else 0
    paragraph.insert(first, w("commentRangeStart", id=number))
    paragraph.append(w("commentRangeEnd", id=number))
    paragraph.append(run(w("commentReference", id=number)))


def read_comments(file: WordFile, known: Container[str]) -> tuple[Remark, ...]:
    """The comments of a Word file of anyone, in the order of the text; who wrote them is not read.

    `known` are the bookmarks that mean a place. Raises Unreadable, also where there are no comments.
    """
    folder = file.main.rpartition("/")[0]
    if not file.parts(f"{folder}/comments\\.xml"):
        raise refused(file.name, "the document holds no comments", "must be the document with the comments of its reviewer, saved as .docx")
    said = {comment.get(qn("w:id"), ""): comment for comment in file.xml(f"{folder}/comments.xml").iter(qn("w:comment"))}
    if len(said) > MOST_COMMENTS:
        raise refused(file.name, f"the document holds {len(said)} comments", f"must hold at most {MOST_COMMENTS}")
    replies = {reply: parent for part in file.parts(f"{folder}/commentsExtended\\.xml") for reply, parent in _replies(file.xml(part))}
    places = _places(file.xml(file.main), said, known)
    order = {key: number for number, key in enumerate(places)}
    keys = {paragraph.get(f"{_W14}paraId", ""): key for key, comment in said.items() for paragraph in comment.iter(qn("w:p"))}
    parents = {keys[reply]: keys[parent] for reply, parent in replies.items() if reply in keys and parent in keys}
    return tuple(Remark(*place, _lines(said[key].iter(qn("w:p"))), order.get(parents.get(key, ""))) for key, place in places.items())


def _replies(extended: Element) -> Iterator[tuple[str, str]]:
    """Paragraph of a reply, and paragraph of the comment that it replies to."""
    for one in extended.iter(f"{_W15}commentEx"):
        if one.get(f"{_W15}paraIdParent"):
            yield one.get(f"{_W15}paraId", ""), one.get(f"{_W15}paraIdParent")


def _places(text: Element, said: Container[str], known: Container[str]) -> dict[str, tuple[str, tuple[str, ...]]]:
    """Comment -> bookmark and cells, in the order of the text."""
    found: dict[str, tuple[str, tuple[str, ...]]] = {}
    rows: dict[Element, tuple[str, ...]] = {}
    met: list[tuple[str, tuple[str, ...]]] = []
    last = ""
    for element in text.iter(qn("w:p"), qn("w:bookmarkStart"), qn("w:commentRangeStart"), qn("w:commentReference")):
        if element.tag == qn("w:p"):
            found |= {key: (last, cells) for key, cells in met}
            met = []
        elif element.tag == qn("w:bookmarkStart"):
            last = name if (name := element.get(qn("w:name"), "")) in known else last
        elif (key := element.get(qn("w:id"), "")) in said and key not in found and key not in (other for other, _ in met):
            row = next(element.iterancestors(qn("w:tr")), None)
            if row is not None and row not in rows:
                rows[row] = tuple(_text(cell)[:LONGEST_CELL] for cell in row.findall(qn("w:tc"))[:MOST_CELLS])
            met.append((key, () if row is None else rows[row]))
    return found | {key: (last, cells) for key, cells in met}


def _text(element: Element) -> str:
    return " ".join(_lines(element.iter(qn("w:p"))))


def _lines(paragraphs: Iterable[Element]) -> tuple[str, ...]:
    """What paragraphs say, line by line, without what is nothing to read."""
    lines: list[str] = []
    for paragraph in paragraphs:
        parts = ((part.text or "") if part.tag == qn("w:t") else "\n" if part.tag in (qn("w:br"), qn("w:cr")) else " " for part in paragraph.iter(*_SAID))
        lines += ["".join(parts)]
    shown = (" ".join("".join(sign for sign in line if unicodedata.category(sign) not in _NOTHING or sign.isspace()).split()) for line in "\n".join(lines).split("\n"))
    return tuple(line for line in shown if line)


_SAID = (qn("w:t"), qn("w:br"), qn("w:cr"), qn("w:tab"))
_NOTHING = frozenset({"Cc", "Cf", "Cs", "Cn"})
"""Categories of characters that are nothing to read, and might act on the eye of a reader."""
