"""The words of the document: templates in Jinja and Markdown, turned into nodes.

Templates come with submissions of strangers, and so do the values put into them. Hence a template holds text,
``{{ values }}``, ``{% if %}``, ``{% for %}`` and ``{% set %}``, but neither calculates nor calls. And Markdown never
sees a value: a token of private-use characters stands for it until the text is parsed.

In Markdown a heading may end in its anchor, ``## Title {#anchor}``; without one the anchor is made from the title.
``[](#anchor)`` prints the label of the target and ``[words](#anchor)`` the words. A quotation that begins with
``**Danger: title**`` or ``**Note: title**`` is a box. Comments stand in ``<# #>``; tables and pictures come from code.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import count, groupby
from pathlib import Path
from traceback import walk_tb
from typing import Any
from urllib.parse import unquote

from jinja2 import BaseLoader, Environment, StrictUndefined, Template, TemplateSyntaxError, pass_context
from jinja2 import nodes as syntax
from jinja2.runtime import Context
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markdown_it import MarkdownIt
from markdown_it.tree import SyntaxTreeNode

from docgen.nodes import Block, Box, Break, Code, Emphasis, Heading, Inline, Inlines, Listing, Paragraph, Reference, Strong, Text, Tone
from docgen.provenance import Location

LARGEST_FILE = 1_000_000
"""Bytes of a template file."""
LONGEST_TEXT = 200_000
"""Characters that a template may render to; a round of a loop counts as one."""

_VALUE = re.compile("\ue000([0-9]+)\ue001")
_LINE_END = "\ue002"
_UNFIT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ue000-\ue002]")
_TAG = re.compile(r"\{%.*?%\}")
_SPACE = re.compile(r"[^\S\u00a0\u202f]+")
_TITLE = re.compile(r"(.*?)(?:\s*\{#(.*)\})?", re.DOTALL)
_BOX = re.compile(rf"({'|'.join(Tone)}):\s*(.*\w.*)", re.IGNORECASE)
_RENDERING = "the rendering"
"""Name of the present rendering among the values; no template can spell it."""

_GRAMMAR = (
    syntax.Template, syntax.Output, syntax.TemplateData, syntax.If, syntax.For, syntax.Assign, syntax.CondExpr, syntax.Name, syntax.Const,
    syntax.Getattr, syntax.Getitem, syntax.Filter, syntax.Test, syntax.Compare, syntax.Operand, syntax.And, syntax.Or, syntax.Not,
)  # fmt: skip
_FILTERS = ("default", "first", "last", "length", "lower", "upper", "capitalize")
_MARKDOWN = MarkdownIt("commonmark").enable("table").disable("reference")
"""Raw HTML and tables are recognised, so that they are refused and not printed as they stand."""


class TemplateError(Exception):
    """A template that cannot be read, rendered or turned into nodes, and where."""

    def __init__(self, location: Location, message: str) -> None:
        super().__init__(f"{location}: {message}")
        self.location = location
        self.message = message


class Words:
    """The templates in folders of which the first that has a file wins."""

    def __init__(self, folders: Sequence[Path]) -> None:
        self._folders = _Folders(folders)
        self._environment = ImmutableSandboxedEnvironment(
            loader=self._folders, undefined=StrictUndefined, finalize=_token, trim_blocks=True, lstrip_blocks=True,
            comment_start_string="<#", comment_end_string="#>", keep_trailing_newline=True,
        )  # fmt: skip
        self._environment.filters = {name: self._environment.filters[name] for name in _FILTERS} | {"join": _joined, "counted": _counted}

    def file(self, name: str) -> bytes:
        """The content of a file, such as the Word style file; raises TemplateError."""
        return self._folders.read(name)[1]

    def text(self, name: str) -> str:
        """The text of a file as it stands, such as the style of the page; raises TemplateError."""
        return _decoded(*self._folders.read(name))

    def blocks(self, name: str, **values: object) -> tuple[Block, ...]:
        """The template rendered with the values, as nodes; raises TemplateError.

        A value is printed as its text with white space folded, or passed through when it is an inline node.
        """
        rendering = _Rendering()
        path = self._folders.read(name)[0].as_posix()
        try:
            template = self._environment.get_template(name)
            rendering.render(template, values)
        except TemplateError:
            raise
        except Exception as error:  # a stranger's template may fail in any way
            raise TemplateError(Location(path, _line(error, path), 1), str(error)) from error
        return tuple(_Page(path, rendering).blocks())


class _Folders(BaseLoader):
    """Reads templates from the folders and from nowhere else."""

    def __init__(self, folders: Sequence[Path]) -> None:
        self.folders = tuple(folders)

    def read(self, name: str) -> tuple[Path, bytes]:
        """Path and content of the first file of this name."""
        for folder in self.folders:
            path = folder / name
            if not path.resolve().is_relative_to(folder.resolve()):
                raise TemplateError(Location(name, 1, 1), f"leads out of the folder {folder.as_posix()}")
            if path.is_file():
                with path.open("rb") as stream:
                    content = stream.read(LARGEST_FILE + 1)
                if len(content) > LARGEST_FILE:
                    raise TemplateError(Location(path.as_posix(), 1, 1), f"is larger than {LARGEST_FILE} bytes")
                return path, content
        raise TemplateError(Location(name, 1, 1), f"stands in none of the folders {', '.join(folder.as_posix() for folder in self.folders)}")

    def load(self, environment: Environment, name: str, globals: Any = None) -> Template:
        """The template with every loop counted and every line end remembering its number."""
        path, content = self.read(name)
        file = path.as_posix()
        text = _decoded(path, content)
        if unfit := _UNFIT.search(text):
            raise TemplateError(Location(file, text.count("\n", 0, unfit.start()) + 1, 1), f"holds the character U+{ord(unfit[0]):04X}")
        tree = environment.parse("\n".join(map(_kept_end, text.splitlines())) + "\n", name, file)
        for node in tree.find_all(syntax.Node):
            if not isinstance(node, (*_GRAMMAR, syntax.Keyword)):
                kind = type(node).__name__.lower()
                raise TemplateError(Location(file, node.lineno, 1), f"{kind} is not for templates: they hold text, values, if, for and set")
            if isinstance(node, syntax.TemplateData):
                numbers = count(node.lineno)
                node.data = re.sub("\n", lambda _: f"{_LINE_END}{next(numbers)}\n", node.data)  # noqa: B023
            if isinstance(node, syntax.For):
                node.iter = syntax.Filter(node.iter, "counted", [], [], None, None, lineno=node.lineno)
        return environment.template_class.from_code(environment, environment.compile(tree, name, file), globals or {})


def _decoded(path: Path, content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise TemplateError(Location(path.as_posix(), line, 1), "is not UTF-8 text") from error


def _kept_end(line: str) -> str:
    """The line, ending in a space when it holds text and ends in a tag: Jinja would glue it to the next line."""
    return f"{line} " if line.endswith("%}") and _TAG.sub("", line).strip() else line


def _line(error: Exception, file: str) -> int:
    """The line of a template at which Jinja failed, 1 when unknown."""
    if isinstance(error, TemplateSyntaxError):
        return error.lineno
    return [1, *(line for frame, line in walk_tb(error.__traceback__) if frame.f_code.co_filename == file)][-1]


@dataclass(slots=True)
class _Rendering:
    """What one rendering put in, what it may still spend, and the text with the template line of each of its lines."""

    values: list[Inline] = field(default_factory=list)
    left: int = LONGEST_TEXT
    text: str = ""
    lines: list[int] = field(default_factory=list)

    def spend(self, amount: int) -> None:
        self.left -= amount
        if self.left < 0:
            raise ValueError(f"renders to more than {LONGEST_TEXT} characters or rounds of loops")

    def render(self, template: Template, values: Mapping[str, object]) -> None:
        pieces = []
        for piece in template.generate({**values, _RENDERING: self}):
            self.spend(len(piece))
            pieces.append(piece)
        for line in "".join(pieces).split("\n"):
            words, _, number = line.partition(_LINE_END)
            self.text += f"{words}\n"
            self.lines.append(int(number or 1))


def _printed(value: object) -> str:
    """The value's own text. Lists, truth values, None and objects without a text of their own have none: TypeError."""
    if isinstance(value, bool) or (type(value).__str__ is object.__str__ and not isinstance(value, int | float)):
        raise TypeError(f"a value of type {type(value).__name__} has no printed form")
    return _SPACE.sub(" ", str(value))


@pass_context
def _token(context: Context, value: object) -> str:
    rendering: _Rendering = context[_RENDERING]
    inline = value if isinstance(value, Inline) else Text(_printed(value))
    rendering.spend(len(inline.text) if isinstance(inline, Text) else 1)
    rendering.values.append(inline)
    return f"\ue000{len(rendering.values) - 1}\ue001"


@pass_context
def _counted(context: Context, items: Iterable[object]) -> tuple[object, ...]:
    counted = tuple(items)
    context[_RENDERING].spend(len(counted))
    return counted


def _joined(items: Iterable[object], separator: str = ", ") -> str:
    if isinstance(items, str) or len(separator) > 20:
        raise TypeError("join takes a list and a separator of at most 20 characters")
    return separator.join(map(_printed, items))


@dataclass(frozen=True, slots=True)
class _Page:
    """A rendered text on its way to nodes."""

    file: str
    rendering: _Rendering

    def blocks(self) -> Iterator[Block]:
        for node in SyntaxTreeNode(_MARKDOWN.parse(self.rendering.text)).children:
            try:
                yield self.block(node)
            except (ValueError, LookupError) as error:
                raise self.refused(node, str(error)) from error

    def refused(self, node: SyntaxTreeNode, reason: str) -> TemplateError:
        block = node
        while not block.map and block.parent:
            block = block.parent
        line = block.map[0] if block.map else 0
        for part in block.walk():
            if part is node:
                break
            line += part.type in ("softbreak", "hardbreak")
        return TemplateError(Location(self.file, self.rendering.lines[line], 1), reason)

    def block(self, node: SyntaxTreeNode) -> Block:
        match node.type:
            case "heading":
                return self.heading(node)
            case "paragraph":
                return Paragraph(self.inlines(node.children[0].children))
            case "bullet_list" | "ordered_list":
                if node.level > 8 or node.attrs.get("start", 1) != 1:
                    raise self.refused(node, "a list nests at most five deep and counts from 1")
                return Listing(tuple(tuple(self.inner(item)) for item in node.children), ordered=node.type == "ordered_list")
            case "blockquote":
                return self.box(node)
            case _:
                raise self.refused(node, f"{node.type.replace('_', ' ')} is not for templates")

    def inner(self, node: SyntaxTreeNode) -> Iterator[Paragraph | Listing]:
        for child in node.children:
            block = self.block(child)
            if not isinstance(block, Paragraph | Listing):
                raise self.refused(child, "only paragraphs and lists stand inside a list or a box")
            yield block

    def heading(self, node: SyntaxTreeNode) -> Heading:
        parts = _TITLE.fullmatch(self.raw(node.children[0]))
        title, anchor = parts.groups() if parts else ("", None)
        text = self.plain(title)
        slug = re.sub("[^a-z0-9]+", "-", text.lower()).lstrip("-0123456789").rstrip("-")
        return Heading(int(node.tag[1:]), text, slug if anchor is None else self.plain(anchor))

    def box(self, node: SyntaxTreeNode) -> Box:
        first, *others = self.inner(node) or (None,)
        if isinstance(first, Paragraph) and first.inlines and isinstance(first.inlines[0], Strong):
            if parts := _BOX.fullmatch(first.inlines[0].text):
                rest = first.inlines[1:]
                if rest and isinstance(rest[0], Text):
                    rest = (Text(rest[0].text.lstrip()), *rest[1:])
                opening = [Paragraph(rest)] if any(part != Text("") for part in rest) else []
                return Box(Tone(parts[1].lower()), parts[2], (*opening, *others))
        raise self.refused(node, "a quotation begins with **Danger: title** or **Note: title**")

    def inlines(self, nodes: Iterable[SyntaxTreeNode]) -> Inlines:
        parts = [part for node in nodes for part in self.inline(node)]
        out: list[Inline] = []
        for kind, run in groupby(parts, type):
            ...
        return tuple(out)
