"""YAML text to a plain tree that knows where everything stands. The only reader of YAML.

Every scalar is kept as its source text, so that ``7E2``, ``007``, ``on`` or ``12:30`` mean what
is written. Anchors, aliases, tags, merge keys and duplicate keys are refused.
"""

import os
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import islice
from pathlib import Path as FilePath
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from docgen.provenance import Location, Path
from docgen.stop import Stop

LARGEST_FILE = 2_000_000
MOST_VALUES = 40_000
MOST_PROBLEMS = 100
DEEPEST = 40


Mark = tuple[int, int]
"""Line and column, counted from 0."""


@dataclass(frozen=True, slots=True)
class Problem:
    """Why a file cannot be read: where, what is there, what must be there."""

    location: Location
    was: str
    must: str

    def __str__(self) -> str:
        return f"{self.location}: {self.was}; {self.must}"


class Unreadable(Stop):
    """A file that cannot be read; holds the problems found in file order, no more than MOST_PROBLEMS and a last one that says so."""

    def __init__(self, problems: Iterable[Problem], text: str = "") -> None:
        found = sorted(islice(problems, MOST_PROBLEMS + 1), key=lambda problem: problem.location)
        if len(found) > MOST_PROBLEMS:
            found[MOST_PROBLEMS:] = [Problem(found[-1].location, f"there are more than {MOST_PROBLEMS} problems", "must be put right from the first on")]
        super().__init__("\n".join(str(problem) for problem in found))
        self.problems = tuple(found)
        self.text = text


@dataclass(frozen=True, slots=True)
class Tree:
    """A YAML document as plain dicts, lists and source texts, with the place of every key and value."""

    file: str
    text: str
    data: Any
    values: Mapping[Path, Mark]
    keys: Mapping[Path, Mark]
    doubts: tuple[Problem, ...]
    """Places where YAML probably reads something else than the writer meant, though legally."""
    scalars: tuple[tuple[int, int], ...]
    """Start and end of every scalar in the text, in order."""

    def location(self, path: Path) -> Location:
        """The place of the field at `path`; of its nearest described parent when it is not there."""
        while path and path not in self.keys and path not in self.values:
            path = path[:-1]
        line, column = self.keys.get(path) or self.values.get(path) or (0, 0)
        return Location(self.file, line + 1, column + 1)

    def value_location(self, path: Path) -> Location:
        """The place of the value at `path`, behind its key."""
        if path not in self.values:
            return self.location(path)
        line, column = self.values[path]
        return Location(self.file, line + 1, column + 1)

    def without_comments(self) -> str:
        """The text with every comment taken out; every line keeps its number."""
        kept: list[str] = []
        at = 0
        for start, end in (*self.scalars, (len(self.text), len(self.text))):
            kept.append(re.sub(r"(^|(?<=\s))#[^\n]*", "", self.text[at:start]))
            kept.append(self.text[start:end])
            at = max(at, end)
        return re.sub(r"(?<![ \t])[ \t]+(?=\n|$)", "", "".join(kept))


def read_file(path: FilePath, shown_as: str | None = None) -> Tree:
    """Read a YAML file.

    Raises Unreadable with every problem found; OSError does not escape.
    """
    name = " ".join(_NOT_TEXT.sub("\N{REPLACEMENT CHARACTER}", shown_as or path.name).split())
    try:
        size = path.stat().st_size
        if size > LARGEST_FILE:
            raise Unreadable([Problem(Location(name, 1, 1), f"the file is {size / 1e6:.0f} MB", f"must be at most {LARGEST_FILE / 1e6:.0f} MB")])
        if not path.is_file():
            raise Unreadable([Problem(Location(name, 1, 1), "this is no file", "must be a YAML file")])
        if os.path.dirname(os.path.realpath(path)) != os.path.realpath(path.parent):
            raise Unreadable([Problem(Location(name, 1, 1), "this is a link to a file in another folder", "must be a file of its own")])
        with path.open("rb") as stream:
            raw = stream.read(LARGEST_FILE)
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise Unreadable([Problem(Location(name, 1, 1), f"the file cannot be read: {reason}", "must be a readable YAML file")]) from None
    return read_text(decoded(raw, name), name)


def decoded(raw: bytes, name: str) -> str:
    """The text of a file of UTF-8; raises Unreadable with the place of the first byte that is none."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise Unreadable([Problem(Location(name, 1, 1), "the file is encoded in UTF-16", "must be UTF-8: save it as UTF-8 in the editor")])
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as error:
        before = raw[: error.start].decode("utf-8", "replace")
        line, column = before.count("\n") + 1, len(before) - before.rfind("\n")
        raise Unreadable([Problem(Location(name, line, column), f"the byte 0x{raw[error.start]:02X} is no UTF-8", "must be UTF-8: save it as UTF-8 in the editor")]) from None


_NOT_TEXT = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]")
"""Characters that act on a terminal, a reader's eye or a line count, and are nothing to read."""


def read_text(text: str, name: str) -> Tree:
    """Read YAML text that came from the file `name`; raises Unreadable. No value and no key of the tree holds a control character."""
    if found := _NOT_TEXT.search(text):
        line, column = _position(text, found.start())
        shown = _NOT_TEXT.sub("\N{REPLACEMENT CHARACTER}", text)
        raise Unreadable([Problem(Location(name, line, column), *_not_text(found))], shown)
    builder = _Builder(name, text)
    try:
        for event in YAML(typ="safe", pure=True).parse(text):
            builder.take(event)
    except _Enough:
        pass
    except MarkedYAMLError as error:
        builder.problems.append(_syntax_problem(error, name, text))
    except (YAMLError, ValueError, RecursionError) as error:
        builder.problems.append(Problem(Location(name, 1, 1), f"the file is no YAML ({str(error).splitlines()[0][:120]})", "must be YAML 1.2"))
    if builder.problems:
        raise Unreadable(builder.problems, text)
    if not builder.documents:
        raise Unreadable([Problem(Location(name, 1, 1), "the file is empty", "must begin with `docgen: 1` and go on with named fields")], text)
    return Tree(name, text, builder.data, builder.values, builder.keys, tuple(builder.doubts), tuple(builder.scalars))


def _not_text(found: re.Match[str]) -> tuple[str, str]:
    return f"the control character U+{ord(found[0]):04X} stands here", "must be taken out"


def _position(text: str, index: int) -> tuple[int, int]:
    before = text[:index]
    return before.count("\n") + 1, index - before.rfind("\n")


_SYNTAX = (
    ("mapping values are not allowed", "a second colon followed by a space stands in this value", "must be put in quotes, \"like: this\", or moved to its own line"),
    ("'\\t'", "a tab stands here", "must be spaces: YAML is indented with spaces"),
    ("found a tab", "a tab stands here", "must be spaces: YAML is indented with spaces"),
    ("could not find expected ':'", "this line has no colon after its key", "must be written `key: value`"),
    ("expected ',' or ']'", "a list opened with [ is not closed, or a comma is missing", "must be closed with ]"),
    ("expected ',' or '}'", "a group opened with { is not closed, or a comma is missing", "must be closed with }"),
    ("expected the node content", "a value is missing or a bracket is not closed", "must be completed"),
    ("expected <block end>", "this line does not fit the indentation above it", "must be indented like its neighbours"),
    ("while scanning a quoted scalar", "a text opened with a quote is not closed", "must be closed with the same quote"),
    ("found unexpected end of stream", "a text opened with a quote is not closed", "must be closed with the same quote"),
    ("found unknown escape", "an unknown escape stands after the backslash", "must be put in single quotes, which take \\ as it is"),
    ("cannot start any token", "this character cannot begin a value", "must be put in quotes"),
    ("expected alphabetic or numeric", "& and * begin a name here", "must be put in quotes; anchors and aliases are not used"),
)  # fmt: skip


def _syntax_problem(error: MarkedYAMLError, name: str, text: str) -> Problem:
    is_key = "could not find expected ':'" in (error.problem or "")  # then the problem is marked behind the key, the context at it
    mark = (error.context_mark if is_key else None) or error.problem_mark or error.context_mark
    said = " ".join(part for part in (error.context, error.problem) if part)
    line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
    lines = text.split("\n")
    if "mapping values are not allowed" in said and line > 1 and ": " not in lines[line - 1][: column - 1] and ":" not in lines[line - 2]:
        before = lines[line - 2]
        return Problem(Location(name, line - 1, len(before) - len(before.lstrip()) + 1), "this line has no colon after its key", "must be written `key: value`")
    for key, was, must in _SYNTAX:
        if key in said:
            return Problem(Location(name, line, column), was, must)
    return Problem(Location(name, line, column), f"the file is no YAML here ({said[:120]})", "must be YAML 1.2")


class _Enough(Exception):
    """Reading on would tell nothing more."""


_LOST = re.compile(r"[ \t]+(#\d[^\n]*)")


class _Builder:
    """Builds the tree from parser events, so that nothing is constructed that was not asked for."""

    def __init__(self, name: str, text: str) -> None:
        self.name = name
        self.text = text
        self.data: Any = None
        self.values: dict[Path, Mark] = {}
        self.keys: dict[Path, Mark] = {}
        self.problems: list[Problem] = []
        self.doubts: list[Problem] = []
        self.scalars: list[tuple[int, int]] = []
        self.documents = 0
        self._open: list[tuple[Any, Path, bool]] = []
        self._key: list[str | None] = []

    def _here(self, event: Any) -> Location:
        return Location(self.name, event.start_mark.line + 1, event.start_mark.column + 1)

    def _refuse(self, event: Any, was: str, must: str) -> None:
        self.problems.append(Problem(self._here(event), was, must))
        if len(self.problems) > MOST_PROBLEMS:
            raise _Enough

    def take(self, event: Any) -> None:
        if isinstance(event, ScalarEvent):
            self._check_marks(event)
            if found := _NOT_TEXT.search(event.value):
                self._refuse(event, *_not_text(found))
                event.value = _NOT_TEXT.sub("\N{REPLACEMENT CHARACTER}", event.value)
            self.scalars.append((event.start_mark.index, event.end_mark.index))
            if self._expects_key():
                self._begin_key(event)
            else:
                plain = event.implicit[0] and event.style in (None, "")
                if plain:
                    self._doubt_lost_text(event)
                    self._doubt_cut_number(event)
                self._put(event, None if plain and event.value in ("", "~", "null") else event.value)
        elif isinstance(event, MappingStartEvent | SequenceStartEvent):
            self._check_marks(event)
            if len(self._open) >= DEEPEST:
                self._refuse(event, f"lists and groups are nested more than {DEEPEST} deep", "must be flatter")
                raise _Enough
            if self._expects_key():
                self._refuse(event, "a list or group stands where a key is expected", "must be a plain name (a value that begins with { or [ is put in quotes)")
                self._key[-1] = "?"
            container: Any = {} if isinstance(event, MappingStartEvent) else []
            path = self._put(event, container)
            self._open.append((container, path, bool(event.flow_style)))
            self._key.append(None)
        elif isinstance(event, MappingEndEvent | SequenceEndEvent):
            self._open.pop()
            self._key.pop()
        elif isinstance(event, AliasEvent):
            self._refuse(event, f"the alias *{event.anchor[:60]} stands here", "must be written out: anchors, aliases and merge keys are not used")
            self._put(event, "")
        elif isinstance(event, DocumentStartEvent):
            self.documents += 1
            if self.documents > 1:
                self._refuse(event, "a second document begins here", "must be one description a file")

    def _check_marks(self, event: Any) -> None:
        if event.anchor:
            self._refuse(event, f"the anchor &{event.anchor[:60]} stands here", "must be taken out: anchors, aliases and merge keys are not used")
        if getattr(event, "tag", None) not in (None, "!"):
            self._refuse(event, f"the tag {event.tag[:60]!r} stands here", "must be taken out: tags are not used")

    def _expects_key(self) -> bool:
        return bool(self._open) and isinstance(self._open[-1][0], dict) and self._key[-1] is None

    def _begin_key(self, event: Any) -> None:
        container, path, _ = self._open[-1]
        key = event.value
        if key == "<<":
            self._refuse(event, "the merge key << stands here", "must be written out: anchors, aliases and merge keys are not used")
        elif not key:
            self._refuse(event, "an empty key stands here", "must be a name")
        elif key in container:
            self._refuse(event, f"the key {key[:60]} stands here a second time, first in line {self.keys[(*path, key)][0] + 1}", "must stand once")
        else:
            self.keys[(*path, key)] = (event.start_mark.line, event.start_mark.column)
        self._key[-1] = key

    def _put(self, event: Any, value: Any) -> Path:
        if len(self.values) >= MOST_VALUES:
            self._refuse(event, f"more than {MOST_VALUES} values stand in this file", "must be fewer")
            raise _Enough
        if not self._open:
            self.data = value
            self.values[()] = (event.start_mark.line, event.start_mark.column)
            return ()
        container, path, flow = self._open[-1]
        if isinstance(container, list):
            here = (*path, len(container))
            container.append(value)
        else:
            key = self._key[-1]
            self._key[-1] = None
            here = (*path, key or "")
            if value is None and flow and self._is_cut_number(event, container, key or ""):
                self.keys.pop(here, None)
                return here
            if key in container or key == "<<":
                return (*here, "twice")
            container[key or ""] = value
        self.values[here] = (event.start_mark.line, event.start_mark.column)
        return here

    def _is_cut_number(self, event: Any, container: dict[str, Any], key: str) -> bool:
        last = next(reversed(container.values()), None)
        if not (re.match(r"\d+\s*\D", key) and isinstance(last, str) and re.search(r"\d$", last)):
            return False
        last, key = last[-20:], key[:20]
        self._refuse(event, f"{last},{key} has a decimal comma, which inside braces cuts the value in two", f"must have a decimal point: {last}.{key}")
        return True

    def _doubt_cut_number(self, event: Any) -> None:
        container, _, flow = self._open[-1] if self._open else (None, (), False)
        end = event.end_mark.index
        if flow and isinstance(container, list) and re.fullmatch(r"[+-]?\d{1,20}", event.value) and re.match(r",\d", self.text[end : end + 2]):
            rest = re.split(r"[,\]]", self.text[end + 1 : end + 40])[0]
            self._refuse(event, f"{event.value},{rest} has a decimal comma, which inside brackets cuts the value in two", f"must have a decimal point: {event.value}.{rest}")

    def _doubt_lost_text(self, event: Any) -> None:
        end = event.end_mark.index
        lost = _LOST.match(self.text, end) if event.value else None
        if lost:
            place = Location(self.name, event.end_mark.line + 1, event.end_mark.column + 1 + lost.start(1) - end)
            self.doubts.append(Problem(place, f"{lost[1].strip()[:60]} after {event.value[:40]} is read as a comment", "must be put in quotes if it belongs to the value"))


def leaves(data: Any, path: Path = ()) -> Iterator[tuple[Path, str | None]]:
    """Every scalar of a tree with its path, in the order of the file; None where a field holds nothing."""
    if isinstance(data, dict):
        for key, value in data.items():
            yield from leaves(value, (*path, key))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from leaves(value, (*path, index))
    else:
        yield path, data
