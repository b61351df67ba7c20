"""The text that a reader sees of a document, line by line: what a writer signs and a reader compares.

Neither pictures nor page numbers are in it, nor how a text looks, and spaces count once: an office program that only
saves a document leaves every line as it was.
"""

import hashlib
from collections.abc import Iterable, Iterator
from typing import Any

from lxml import etree

_W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
_BETWEEN = (f"{_W}tab", f"{_W}br", f"{_W}cr")
_NOT_NOW = (f"{_W}del", f"{_W}moveFrom", "{http://schemas.openxmlformats.org/markup-compatibility/2006}Fallback")
"""Elements whose text is not seen: taken out in a tracked change, or there for programs that draw no better."""
_INLINE = ("a", "b", "code", "em", "font", "i", "span", "strong", "sub", "sup", "u")
_UNSEEN = ("script", "style", "head")


def digest_of(lines: Iterable[str]) -> str:
    """SHA-256 of the lines, 64 hexadecimal digits."""
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()


def lines_of_word(body: Any) -> tuple[str, ...]:
    """A line for every paragraph of a Word text that is not empty, inside tables and boxes too; tracked changes count as taken."""
    lines: list[list[str]] = []
    inside: list[list[str]] = []
    fields: list[str] = []
    unseen = 0
    for event, node in etree.iterwalk(body, events=("start", "end")):
        begins = event == "start"
        if node.tag == f"{_W}p":
            if begins:
                inside.append([])
                lines.append(inside[-1])
            else:
                inside.pop()
        elif node.tag in _NOT_NOW:
            unseen += 1 if begins else -1
        elif begins and node.tag == f"{_W}fldChar":
            kind = node.get(f"{_W}fldCharType")
            if kind == "begin":
                fields.append("")
            elif kind == "end" and fields:
                fields.pop()
        elif begins and node.tag == f"{_W}instrText" and fields:
            fields[-1] += node.text or ""
        elif begins and (node.tag == f"{_W}t" or node.tag in _BETWEEN) and inside and not unseen and not any("PAGEREF" in field for field in fields):
            inside[-1].append((node.text or "") if node.tag == f"{_W}t" else " ")
    return _filled(map("".join, lines))


def lines_of_page(page: bytes) -> tuple[str, ...]:
    """A line for every block of an HTML page that holds text, drawings too."""
    root = etree.fromstring(page, etree.HTMLParser(encoding="utf-8", no_network=True, remove_comments=True, remove_pis=True))
    return _filled(_blocks(root)) if root is not None else ()


def _blocks(root: Any) -> Iterator[str]:
    line: list[str] = []
    unseen = 0
    for event, node in etree.iterwalk(root, events=("start", "end")):
        begins = event == "start"
        if node.tag in _UNSEEN:
            unseen += 1 if begins else -1
        if node.tag not in _INLINE:
            yield "".join(line)
            line.clear()
        text = node.text if begins else node.tail
        if text and not unseen:
            line.append(text)
    yield "".join(line)


def _filled(lines: Iterable[str]) -> tuple[str, ...]:
    return tuple(line for line in (" ".join(line.split()) for line in lines) if line)
