"""From Markdown to nodes: a closed walk that refuses what it does not know, with the place.

The text is that of a rendered template. The values put in stand outside it: a token of private-use characters
marks the place of each, so that no value is ever read as Markdown.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from urllib.parse import unquote

from markdown_it import MarkdownIt
from markdown_it.tree import SyntaxTreeNode

from docgen.nodes import (
    Block,
    Box,
    Break,
    Code,
    Emphasis,
    Heading,
    Inline,
    Inlines,
    Listing,
    Paragraph,
    Reference,
    Strong,
    Text,
    Tone,
    plain,
)
from docgen.provenance import Location
from docgen.stop import Stop

_VALUE = re.compile("\ue000([0-9]+)\ue001")
_BOX = re.compile(rf"({'|'.join(Tone)}):\s*(\S.*)", re.IGNORECASE | re.DOTALL)
_DEEPEST_LIST = 8
"""Level of a list inside four others; the parser drops without a word what is nested deeper than 20."""
_MARKDOWN = MarkdownIt("commonmark").enable("table").disable("reference")
"""Raw HTML and tables are recognised so that they are refused, not printed as they stand."""


class TemplateError(Stop):
    """A template that cannot be read, rendered or turned into nodes, and where."""

    def __init__(self, location: Location, message: str) -> None:
        super().__init__(f"{location}: {message}")
        self.location = location
        self.message = message


def token(number: int) -> str:
    """What stands in the text for the value of this number."""
    return f"\ue000{number}\ue001"


@dataclass(frozen=True, slots=True)
class Rendered:
    """A rendered template: its text, the values that tokens stand for, the template line of every line of the text."""

    file: str
    text: str
    values: tuple[Inline, ...]
    lines: tuple[int, ...]

    def blocks(self) -> Iterator[Block]:
        """The text as nodes; raises TemplateError."""
        for node in SyntaxTreeNode(_MARKDOWN.parse(self.text)).children:
            try:
                yield self._block(node)
            except (ValueError, LookupError) as error:
                raise self._refused(node, str(error)) from error

    def _refused(self, node: SyntaxTreeNode, reason: str) -> TemplateError:
        block = node
        while not block.map and block.parent:
            block = block.parent
        line = block.map[0] if block.map else 0
        for part in block.walk():
            if part is node:
                break
            line += part.type in ("softbreak", "hardbreak")
        return TemplateError(Location(self.file, self.lines[line], 1), reason)

    def _block(self, node: SyntaxTreeNode) -> Block:
        match node.type:
            case "heading":
                return self._heading(node)
            case "paragraph":
                return Paragraph(self._inlines(node.children[0]))
            case "bullet_list" | "ordered_list":
                if node.level > _DEEPEST_LIST or node.attrs.get("start", 1) != 1:
                    raise self._refused(node, "a list counts from 1 and stands inside at most four others")
                return Listing(tuple(tuple(self._inner(item)) for item in node.children), ordered=node.type == "ordered_list")
            case "blockquote":
                return self._box(node)
            case other:
                raise self._refused(node, f"{other.replace('_', ' ')} is not for templates")

    def _inner(self, node: SyntaxTreeNode) -> Iterator[Paragraph | Listing]:
        for child in node.children:
            block = self._block(child)
            if not isinstance(block, Paragraph | Listing):
                raise self._refused(child, "only paragraphs and lists stand inside a list or a box")
            yield block

    def _heading(self, node: SyntaxTreeNode) -> Heading:
        source = self._source(node.children[0])
        title, mark, anchor = source[:-1].partition("{#") if source.endswith("}") else (source, "", "")
        text = self._words(title.rstrip() if mark else source)
        slug = re.sub("[^a-z0-9]+", "-", text.lower()).lstrip("-0123456789").rstrip("-")
        return Heading(int(node.tag[1:]), text, self._words(anchor) if mark else slug)

    def _box(self, node: SyntaxTreeNode) -> Box:
        match list(self._inner(node)):
            case [Paragraph((Strong(title), *rest)), *others] if parts := _BOX.fullmatch(title):
                inlines = _joined(rest)
                return Box(Tone(parts[1].lower()), parts[2], (*([Paragraph(inlines)] if inlines else []), *others))
            case _:
                raise self._refused(node, "a quotation begins with **Danger: title** or **Note: title**")

    def _inlines(self, node: SyntaxTreeNode) -> Inlines:
        return _joined(part for child in node.children for part in self._inline(child))

    def _inline(self, node: SyntaxTreeNode) -> Iterator[Inline]:
        match node.type:
            case "text":
                yield from self._filled(node.content)
            case "strong":
                yield Strong(self._words(self._source(node)))
            case "em":
                yield Emphasis(self._words(self._source(node)))
            case "code_inline":
                yield Code(self._words(node.content))
            case "link":
                target = unquote(str(node.attrs["href"]))
                if not target.startswith("#") or "title" in node.attrs:
                    raise self._refused(node, "a link leads to an #anchor of the document")
                yield Reference(self._words(target[1:]), self._words(self._source(node)))
            case "softbreak":
                yield Text(" ")
            case "hardbreak":
                yield Break()
            case other:
                raise self._refused(node, f"{other.replace('_', ' ')} is not for templates")

    def _source(self, node: SyntaxTreeNode) -> str:
        """The text inside a node that may hold nothing but text, tokens still in it."""
        for child in node.children:
            if child.type not in ("text", "softbreak"):
                raise self._refused(child, f"only plain words stand here, not {child.type.replace('_', ' ')}")
        return "".join(child.content or " " * (child.type == "softbreak") for child in node.children)

    def _filled(self, source: str) -> Inlines:
        """The values in place of their tokens, and the text around them."""
        pieces = enumerate(_VALUE.split(source))
        return tuple(self.values[int(piece)] if place % 2 else Text(piece) for place, piece in pieces)

    def _words(self, source: str) -> str:
        inlines = self._filled(source)
        if not all(isinstance(part, Text) for part in inlines):
            raise ValueError("only plain words stand here, not a reference or other marked words")
        return plain(inlines)


def _joined(parts: Iterable[Inline]) -> Inlines:
    """The inlines with runs of text made one, empty text left out, and no space at the start."""
    joined: list[Inline] = []
    for kind, run in groupby(parts, type):
        if kind is Text:
            text = plain(tuple(run))
            joined.append(Text(text if joined else text.lstrip(" ")))
        else:
            joined += run
    return tuple(part for part in joined if part != Text(""))
