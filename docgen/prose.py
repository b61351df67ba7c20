"""The words of the document: templates in Jinja and Markdown, turned into nodes.

Templates come with submissions of strangers, and so do the values put into them. Hence a template holds text,
``{{ values }}``, ``{% if %}``, ``{% for %}`` and ``{% set %}``, but neither calculates nor calls, and no value is
ever read as Markdown.

In Markdown a heading may end in its anchor, ``## Title {#anchor}``; without one the anchor is made from the title.
``[](#anchor)`` prints the label of the target and ``[words](#anchor)`` the words. A quotation that begins with
``**Danger: title**`` or ``**Note: title**`` is a box. Comments stand in ``<# #>``; tables and pictures come from code.
"""

import os
import re
from collections.abc import Iterable, Sequence
from itertools import count
from pathlib import Path
from traceback import walk_tb
from typing import Any

from jinja2 import BaseLoader, Environment, StrictUndefined, Template, TemplateSyntaxError, pass_context
from jinja2 import nodes as syntax
from jinja2.runtime import Context
from jinja2.sandbox import ImmutableSandboxedEnvironment

from docgen.markdown import Rendered, TemplateError, token
from docgen.nodes import Block, Inline, Text
from docgen.provenance import Location

__all__ = ["LARGEST_FILE", "LONGEST_TEXT", "TemplateError", "Words"]

LARGEST_FILE = 1_000_000
"""Bytes of a file in a templates folder."""
LONGEST_TEXT = 100_000
"""Characters that a template may render to; a round of a loop counts as one."""

_GRAMMAR = (
    syntax.Template, syntax.Output, syntax.TemplateData, syntax.If, syntax.For, syntax.Assign, syntax.CondExpr, syntax.Name, syntax.Const,
    syntax.Getattr, syntax.Getitem, syntax.Filter, syntax.Keyword, syntax.Test, syntax.Compare, syntax.Operand, syntax.And, syntax.Or,
    syntax.Not,
)  # fmt: skip
_FILTERS = ("default", "first", "last", "length", "lower", "upper", "capitalize")
_RENDERING = "the rendering"
"""Name of the present rendering among the values; no template can spell it."""
_LINE_END = "\ue002"
_UNFIT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ue000-\ue002]")
_LONGEST_SEPARATOR = 20
_TAG = re.compile(r"\{%.*?%\}")
_SPACE = re.compile(r"[^\S\u00a0\u202f]+")


class Words:
    """The templates in a sequence of folders, of which the first that has a file wins. All methods raise TemplateError."""

    def __init__(self, folders: Sequence[Path]) -> None:
        self._folders = _Folders(folders)
        self._environment = ImmutableSandboxedEnvironment(
            loader=self._folders, undefined=StrictUndefined, finalize=_put_in, trim_blocks=True, lstrip_blocks=True,
            comment_start_string="<#", comment_end_string="#>", keep_trailing_newline=True,
        )  # fmt: skip
        self._environment.filters = {name: self._environment.filters[name] for name in _FILTERS} | {"join": _joined, "counted": _counted}

    def file(self, name: str) -> bytes:
        """The content of a file, such as the Word style file."""
        return self._folders.read(name)[1]

    def text(self, name: str) -> str:
        """The text of a file as it stands, such as the style of the page."""
        return _decoded(*self._folders.read(name))

    def blocks(self, name: str, /, **values: object) -> tuple[Block, ...]:
        """The template as nodes. A value is printed as its text with white space folded, an inline node as itself."""
        file = self._folders.read(name)[0].as_posix()
        rendering = _Rendering()
        try:
            template = self._environment.get_template(name)
            text = rendering.text(template.generate({**values, _RENDERING: rendering}))
            lines, _, numbers = zip(*(line.partition(_LINE_END) for line in text.split("\n")), strict=True)
            rendered = Rendered(file, "\n".join(lines), tuple(rendering.values), tuple(int(number or 1) for number in numbers))
            return tuple(rendered.blocks())
        except TemplateError:
            raise
        except Exception as error:  # a stranger's template may fail in any way
            raise TemplateError(Location(file, _line(error, file), 1), str(error)) from error


class _Folders(BaseLoader):
    """Reads files from the folders and from nowhere else."""

    def __init__(self, folders: Sequence[Path]) -> None:
        self.folders = tuple(folders)

    def read(self, name: str) -> tuple[Path, bytes]:
        for folder in self.folders:
            path = folder / name
            place = Location(path.as_posix(), 1, 1)
            if not folder.is_dir():
                raise TemplateError(Location(folder.as_posix(), 1, 1), "is no folder")
            if not Path(os.path.realpath(path)).is_relative_to(os.path.realpath(folder)):
                raise TemplateError(place, f"leads out of the folder {folder.as_posix()}")
            if not os.path.lexists(path):
                continue
            if not path.is_file():
                raise TemplateError(place, "is no file")
            try:
                with path.open("rb") as stream:
                    content = stream.read(LARGEST_FILE + 1)
            except OSError as error:
                raise TemplateError(place, f"cannot be read: {error.strerror}") from error
            if len(content) > LARGEST_FILE:
                raise TemplateError(place, f"is larger than {LARGEST_FILE} bytes")
            return path, content
        searched = ", ".join(folder.as_posix() for folder in self.folders)
        raise TemplateError(Location(name, 1, 1), f"stands in none of the folders {searched}")

    def load(self, environment: Environment, name: str, globals: Any = None) -> Template:
        """The template: its grammar checked, its loops counted, every line end carrying the number of its line."""
        path, content = self.read(name)
        file, text = path.as_posix(), _decoded(path, content)
        tree = environment.parse("\n".join(map(_kept_end, text.split("\n"))) + "\n", name, file)
        for node in [tree, *tree.find_all(syntax.Node)]:
            if not isinstance(node, _GRAMMAR):
                reason = f"{type(node).__name__.lower()} is not for templates, which hold text, values, if, for and set"
                raise TemplateError(Location(file, node.lineno, 1), reason)
            if isinstance(node, syntax.TemplateData):
                node.data = _numbered(node.data, node.lineno)
            if isinstance(node, syntax.For):
                node.iter = syntax.Filter(node.iter, "counted", [], [], None, None, lineno=node.lineno)
        return environment.template_class.from_code(environment, environment.compile(tree, name, file), globals or {})


def _decoded(path: Path, content: bytes) -> str:
    try:
        text = content.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        raise TemplateError(Location(path.as_posix(), content.count(b"\n", 0, error.start) + 1, 1), "is not UTF-8 text") from error
    if unfit := _UNFIT.search(text):
        raise TemplateError(Location(path.as_posix(), text.count("\n", 0, unfit.start()) + 1, 1), f"holds the character U+{ord(unfit[0]):04X}")
    return text


def _kept_end(line: str) -> str:
    """The line, ending in a space when it holds text and ends in a tag: Jinja would glue it to the next line."""
    return f"{line} " if line.endswith("%}") and _TAG.sub("", line).strip() else line


def _numbered(text: str, first: int) -> str:
    numbers = count(first)
    return re.sub("\n", lambda _: f"{_LINE_END}{next(numbers)}\n", text)


def _line(error: Exception, file: str) -> int:
    """The line of a template at which Jinja failed, 1 when unknown."""
    if isinstance(error, TemplateSyntaxError):
        return error.lineno
    return [1, *(line for frame, line in walk_tb(error.__traceback__) if frame.f_code.co_filename == file)][-1]


class _Rendering:
    """The values that a rendering has put in, and how many characters it has left."""

    def __init__(self) -> None:
        self.values: list[Inline] = []
        self.left = LONGEST_TEXT

    def spend(self, characters: int) -> None:
        self.left -= characters
        if self.left < 0:
            raise ValueError(f"renders to more than {LONGEST_TEXT} characters or rounds of loops")

    def text(self, pieces: Iterable[str]) -> str:
        text = []
        for piece in pieces:
            self.spend(len(piece))
            text.append(piece)
        return "".join(text)


def _printed(value: object) -> str:
    """The value's own text. Lists, truth values, None and objects without a text of their own have none: TypeError."""
    if isinstance(value, bool) or (type(value).__str__ is object.__str__ and not isinstance(value, int | float)):
        raise TypeError(f"a value of type {type(value).__name__} has no printed form")
    return _SPACE.sub(" ", str(value))


@pass_context
def _put_in(context: Context, value: object) -> str:
    rendering: _Rendering = context[_RENDERING]
    inline = value if isinstance(value, Inline) else Text(_printed(value))
    rendering.spend(len(inline.text) if isinstance(inline, Text) else 1)
    rendering.values.append(inline)
    return token(len(rendering.values) - 1)


@pass_context
def _counted(context: Context, items: Iterable[object]) -> tuple[object, ...]:
    counted = tuple(items)
    context[_RENDERING].spend(len(counted))
    return counted


def _joined(items: Iterable[object], separator: str = ", ") -> str:
    if isinstance(items, str) or len(separator) > _LONGEST_SEPARATOR:
        raise TypeError(f"join takes a list and a separator of at most {_LONGEST_SEPARATOR} characters")
    return separator.join(map(_printed, items))
