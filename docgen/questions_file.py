"""The file of a reviewer's questions: read and checked, and written into without losing a comment."""

import json
import re
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path as FilePath
from typing import Annotated, Any

from pydantic import Field

from docgen.car.car import FORMAT
from docgen.car.values import Count, Day, Name, Part, Prose, Word
from docgen.files import NotWritten
from docgen.load import Description, read_part
from docgen.nodes import Source
from docgen.provenance import Location, Path
from docgen.questions import Entry, Question, Review, State, Weight, name_of
from docgen.reading import Problem, Tree, Unreadable, read_file, read_text


class SaidPart(Part):
    """An entry of a question's history."""

    date: Day = Field(description="Day.", examples=["2026-04-03"])
    by: Prose = Field(description="Role that speaks; never a person's name.", examples=["electrical lead"])
    revision: Prose | None = Field(default=None, description="Mark of the revision that it speaks of.", examples=["C"])
    says: Prose = Field(description="What was said.", examples=["The switch stands on the bulkhead now."])
    changed: tuple[Prose, ...] = Field(default=(), description="Of an answer: the fields whose change answers.", examples=[["devices.inertia_switch.place.where"]])


class QuestionPart(Part):
    """A question."""

    place: Prose = Field(description="Place of the description, by names.", examples=["devices.bspd.delay.resistor"])
    clause: Prose | None = Field(default=None, description="Clause of the edition.", examples=["EV6.1.6"])
    check: Name | None = Field(default=None, description="Check whose finding it asks about.", examples=["latch-missing"])
    severity: Annotated[str, Word(*Weight)] = Field(description="How weighty it is.", examples=["must be settled"])
    text: Prose = Field(description="The question.", examples=["What holds the loop open when the fault goes away?"])
    state: Annotated[str, Word(*State)] = Field(description="State.", examples=["open"])
    asked_by: Prose | None = Field(default=None, description="Role that asked, where it is not the reviewer of the file.", examples=["second reviewer"])
    history: tuple[SaidPart, ...] = Field(default=(), description="What was said of it, oldest first.", examples=[[]])


class ReviewPart(Part):
    """A reviewer's questions about a car."""

    docgen: Count = Field(description="Version of this file's format.", examples=[1])
    car: Prose = Field(description="Name of the car.", examples=["Petrel 5"])
    reviewer: Prose = Field(description="Role of the reviewer; never a person's name.", examples=["electrical reviewer"])
    questions: dict[Name, QuestionPart] = Field(description="Questions by name.", examples=[{"q1": {}}])


@dataclass(frozen=True, slots=True)
class ReviewFile:
    """Questions with the place of each in their file."""

    review: Review
    tree: Tree

    def about(self, description: Description) -> "ReviewFile":
        """Itself; raises Unreadable where the description is of another car."""
        name = name_of(description)
        if name != self.review.car:
            place = self.tree.value_location(("car",))
            raise Unreadable([Problem(place, f"the questions are about {self.review.car}", f"must be about {name or 'a car with a name'}, as {description.tree.file} says")], self.tree.text)
        return self


def read_questions(path: FilePath) -> ReviewFile:
    """Read a file of questions; raises Unreadable with every problem found."""
    return review_file(read_file(path))


def review_file(tree: Tree) -> ReviewFile:
    """The questions that a tree holds; raises Unreadable with every problem found."""
    if isinstance(tree.data, dict) and "questions" not in tree.data:
        raise Unreadable([Problem(Location(tree.file, 1, 1), "no questions stand in this file", "must be a file of questions: docgen, car, reviewer, questions")], tree.text)
    part = read_part(tree, ReviewPart)
    if part.docgen != FORMAT:
        raise Unreadable([Problem(tree.value_location(("docgen",)), f"the format of this file is {part.docgen}", f"must be {FORMAT}")], tree.text)
    return ReviewFile(Review(part.car, part.reviewer, tuple(_question(name, one) for name, one in part.questions.items())), tree)


def questions_in(source: Source) -> ReviewFile | None:
    """The questions that a document carries inside, or None where it was built without; raises Unreadable."""
    return review_file(read_text(source.questions, "questions.yaml")) if source.questions else None


def _question(name: str, part: QuestionPart) -> Question:
    history = tuple(Entry(said.date, said.by, said.says, said.revision or "", said.changed) for said in part.history)
    return Question(
        name, part.place, part.text, Weight(part.severity), State(part.state), part.clause or "", part.check or "", part.asked_by or "", history
    )  # fmt: skip


# ── Writing ───────────────────────────────────────────────────────────────────────────────────────────────────────────

_HEAD = """\
# A reviewer's questions about one car.
#
#   - place: where in the description, by names: devices.bspd.delay.resistor, loops.drive.path.bspd.
#   - state: open, answered, accepted or withdrawn.
#   - severity: must be settled, to be made clear, or remark.
#   - history: what was said, oldest first. An answer names the revision and, under `changed`, the fields that changed.
#   - Roles, never names of people.

"""


def new_text(review: Review) -> str:
    """A new file; raises NotWritten for what no file of questions can say, such as a control character."""
    return _holding(review, _written_anew(review), "the file of questions")


def _written_anew(review: Review) -> str:
    head = f"docgen: {FORMAT}\ncar: {_scalar(review.car)}\nreviewer: {_scalar(review.reviewer)}\n"
    if not review.questions:
        return f"{_HEAD}{head}\nquestions: {{}}\n"
    return f"{_HEAD}{head}\nquestions:\n" + "\n".join(_question_block(question, 2) for question in review.questions)


def edited_text(file: ReviewFile, review: Review) -> str:
    """The text of a file after the edits that make it say what `review` says: every comment, and the order, stay.

    Questions and entries may have been added, and fields that are there may say something else; nothing was taken out.
    Raises NotWritten for a file written in such a way that this cannot be done.
    """
    edits = sorted(_Editor(file).edits(review), key=lambda edit: edit.start)
    text, at = "", 0
    for edit in edits:
        text += file.tree.text[at : edit.start] + edit.text
        at = edit.end
    text += file.tree.text[at:]
    return _holding(review, text, file.tree.file)


def _holding(review: Review, text: str, name: str) -> str:
    """The text, which must say what `review` says."""
    try:
        written = review_file(read_text(text, name)).review
    except Unreadable as error:
        raise NotWritten(f"{error}\nnothing was written") from None
    if written != review:
        raise NotWritten(f"{name} is written in such a way that docgen cannot add to it; write each question as docgen questions draft does\nnothing was written")
    return text


@dataclass(frozen=True, slots=True)
class _Edit:
    start: int
    end: int
    text: str


@dataclass(frozen=True)
class _Editor:
    """Where in the text of a file an edit belongs."""

    file: ReviewFile

    @property
    def text(self) -> str:
        return self.file.tree.text

    @cached_property
    def lines(self) -> list[int]:
        """The index at which each line begins."""
        return [0, *(found.end() for found in re.finditer("\n", self.text))]

    @cached_property
    def ends(self) -> dict[int, int]:
        """Start of a scalar -> its end."""
        return dict(self.file.tree.scalars)

    def edits(self, review: Review) -> Iterator[_Edit]:
        if review.car != self.file.review.car:
            yield self.scalar(("car",), review.car)
        for new in review.questions:
            old = self.file.review.question(new.name)
            if old is not None and old != new:
                yield from self.question(("questions", new.name), old, new)
        added = [question for question in review.questions if self.file.review.question(question.name) is None]
        if added:
            yield self.added(added)

    def question(self, path: Path, old: Question, new: Question) -> Iterator[_Edit]:
        for (key, before), (_, after) in zip(_fields(old), _fields(new), strict=True):
            if before != after:
                yield self.scalar((*path, key), after)
        fresh = list(new.history)
        for number, entry in enumerate(old.history):
            at = fresh.index(entry)
            yield from self.said((*path, "history"), number, fresh[:at], behind=False)
            del fresh[: at + 1]
        if fresh and old.history:
            yield from self.said((*path, "history"), len(old.history) - 1, fresh, behind=True)
        elif fresh and (*path, "history") in self.file.tree.values:
            yield _Edit(self.start((*path, "history")), self.end((*path, "history")), f"[{', '.join(map(_entry_in_row, fresh))}]")
        elif fresh and self.is_in_row(path):
            yield self.entry(path, f"history: [{', '.join(map(_entry_in_row, fresh))}]")
        elif fresh:
            yield self.entry(path, "history:\n" + "".join(_entry_block(entry, self.column(path) + 2) for entry in fresh).rstrip("\n"))

    def scalar(self, path: Path, value: str) -> _Edit:
        return _Edit(self.start(path), self.end(path), _scalar(value))

    def entry(self, path: Path, text: str) -> _Edit:
        """A new last field of a group."""
        if self.is_in_row(path):
            return _Edit(self.end(path) - 1, self.end(path) - 1, f", {text}")
        at, line_end = self.behind(path)
        return _Edit(at, at, f"{line_end}{' ' * self.column(path)}{text}\n")

    def said(self, path: Path, number: int, entries: Sequence[Entry], *, behind: bool) -> Iterator[_Edit]:
        """Entries before or behind an item of a history."""
        item = (*path, number)
        if not entries:
            return
        if self.is_in_row(path):
            rows = ", ".join(map(_entry_in_row, entries))
            yield _Edit(self.end(item), self.end(item), f", {rows}") if behind else _Edit(self.start(item), self.start(item), f"{rows}, ")
            return
        first = self.lines[self.file.tree.values[item][0]]
        indent = len(self.text[first:]) - len(self.text[first:].lstrip(" "))
        at, line_end = self.behind(item) if behind else (first, "")
        yield _Edit(at, at, line_end + "".join(_entry_block(entry, indent) for entry in entries))

    def added(self, questions: Sequence[Question]) -> _Edit:
        """New questions behind the last."""
        path: Path = ("questions",)
        if not self.file.review.questions:
            indent = 2
            return _Edit(self.start(path), self.end(path), "\n" + "\n".join(_question_block(question, indent) for question in questions).rstrip("\n"))
        if self.is_in_row(path):
            return _Edit(self.end(path) - 1, self.end(path) - 1, ", " + ", ".join(_question_in_row(question) for question in questions))
        at, line_end = self.behind(path)
        return _Edit(at, at, line_end + "".join(f"\n{_question_block(question, self.column(path))}" for question in questions))

    def start(self, path: Path) -> int:
        line, column = self.file.tree.values[path]
        return self.lines[line] + column

    def end(self, path: Path) -> int:
        """The index behind the value at a path."""
        if self.is_in_row(path):
            return self._closing(self.start(path))
        values, keys = self.file.tree.values, self.file.tree.keys
        inside = [place for place in (*values, *keys) if place[: len(path)] == path and len(place) > len(path)]
        if not inside:
            return self.ends[self.start(path)]
        return max(self._closing(self.start(place)) if place in values and self.is_in_row(place) else self._scalar_end(place) for place in inside)

    def _scalar_end(self, path: Path) -> int:
        marks = [mark for mark in (self.file.tree.values.get(path), self.file.tree.keys.get(path)) if mark is not None]
        starts = [self.lines[line] + column for line, column in marks]
        return max(self.ends.get(start, start) for start in starts)

    def _closing(self, opening: int) -> int:
        """The index behind the bracket that closes the one at `opening`; brackets in texts and comments do not count."""
        depth, at = 0, opening
        while True:
            sign = self.text[at]
            if at in self.ends and self.ends[at] > at:
                at = self.ends[at]
                continue
            if sign == "#" and self.text[at - 1].isspace():
                at = self.text.index("\n", at)
            depth += (sign in "[{") - (sign in "]}")
            at += 1
            if not depth:
                return at

    def behind(self, path: Path) -> tuple[int, str]:
        """The beginning of the line behind a value, and what must be written to get there."""
        end = self.end(path)
        if self.text[end - 1] == "\n":
            return end, ""
        found = self.text.find("\n", end)
        return (found + 1, "") if found >= 0 else (len(self.text), "\n")

    def is_in_row(self, path: Path) -> bool:
        """Whether a list or group is written in brackets."""
        value: Any = self.file.tree.data
        for step in path:
            value = value[step]
        return isinstance(value, dict | list) and self.text[self.start(path)] in "[{"

    def column(self, path: Path) -> int:
        """The column of the keys of a group."""
        first = next(place for place in self.file.tree.keys if place[: len(path)] == path and len(place) == len(path) + 1)
        return self.file.tree.keys[first][1]


def _fields(question: Question) -> tuple[tuple[str, str], ...]:
    """The fields of a question as they are written, in their order; the empty ones are left out when written."""
    return (
        ("place", question.place), ("clause", question.clause), ("check", question.check), ("severity", question.weight.value),
        ("text", question.text), ("state", question.state.value), ("asked_by", question.asked_by),
    )  # fmt: skip


def _said(entry: Entry) -> tuple[tuple[str, str], ...]:
    return (("date", entry.day.isoformat()), ("by", entry.by), ("revision", entry.revision), ("says", entry.says))


_WIDTH = 118


def _question_block(question: Question, indent: int) -> str:
    space, inner = " " * indent, " " * (indent + 2)
    lines = [f"{space}{question.name}:\n"]
    lines += [f"{inner}{f'{key}:':<10}{_scalar(value, indent + 12)}\n" for key, value in _fields(question) if value]
    lines += [f"{inner}history:\n", *(_entry_block(entry, indent + 4) for entry in question.history)] if question.history else []
    return "".join(lines)


def _entry_block(entry: Entry, indent: int) -> str:
    lines = [f"{f'{key}:':<10}{_scalar(value, indent + 12)}" for key, value in _said(entry) if value]
    lines += [f"{'changed:':<10}[{', '.join(map(_scalar, entry.changed))}]"] if entry.changed else []
    space = " " * indent
    return f"{space}- " + f"\n{space}  ".join(lines) + "\n"


def _question_in_row(question: Question) -> str:
    fields = [f"{key}: {_scalar(value)}" for key, value in _fields(question) if value]
    history = [f"history: [{', '.join(map(_entry_in_row, question.history))}]"] if question.history else []
    return f"{question.name}: {{{', '.join([*fields, *history])}}}"


def _entry_in_row(entry: Entry) -> str:
    fields = [f"{key}: {_scalar(value)}" for key, value in _said(entry) if value]
    changed = [f"changed: [{', '.join(map(_scalar, entry.changed))}]"] if entry.changed else []
    return f"{{{', '.join([*fields, *changed])}}}"


_PLAIN = re.compile(r"[A-Za-z][\w.-]*(?: [A-Za-z0-9][\w.-]*){0,5}|[0-9]{4}-[0-9]{2}-[0-9]{2}")
_MEANT_OTHERWISE = frozenset({"null", "true", "false", "yes", "no", "on", "off", "y", "n"})


def _scalar(text: str, column: int = _WIDTH) -> str:
    """A text as YAML: as it is where nothing in it can be taken for anything else, in double quotes otherwise.

    A long text goes on in the next line at `column`; YAML reads the line end as the space that stood there.
    """
    if _PLAIN.fullmatch(text) and text.casefold() not in _MEANT_OTHERWISE and len(text) <= 80:
        return text
    quoted = json.dumps(text, ensure_ascii=False)
    if column >= _WIDTH or "  " in quoted:
        return quoted
    return f"\n{' ' * column}".join(textwrap.wrap(quoted, _WIDTH - column, break_long_words=False, break_on_hyphens=False))
