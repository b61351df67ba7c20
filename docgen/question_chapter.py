"""The questions in the document: their chapter, and what stands beside each place as a comment."""

import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from docgen.check import Report
from docgen.load import Description
from docgen.meaning import Group, Names, Node, at
from docgen.nodes import Block, Break, Cell, Column, Emphasis, Heading, Inline, Reference, Strong, Table, Text, cell, labels
from docgen.places import Places
from docgen.printing import anchor, counted, named, on_one_line
from docgen.prose import Words
from docgen.questions import ASKED, Entry, Note, Question, Review, State, by_state
from docgen.tables import SECTIONS
from docgen.writers.word import bookmark
from docgen.writers.word_comments import LONGEST_TEXT, Comment, Remark

_BEFORE = "numbers"
"""The chapter before which the questions stand."""

_OPEN = (State.OPEN, State.ANSWERED)
"""The states in which a question is not done with."""

_OF_PARTS: dict[Names, tuple[str, ...]] = {
    ("loops",): ("loop", "table-order"),
    ("devices",): ("device", "table-device"),
    ("tractive_system", "accumulators"): ("accumulator", "table-accumulator"),
    ("tractive_system", "inverters"): ("inverter", "table-inverter"),
}
"""Group -> the sorts of anchors that each named part of it has of its own."""

_OF_GROUPS: dict[Names, tuple[str, ...]] = {
    ("car",): ("table-car",),
    ("revisions",): ("table-revisions", "table-revision"),
    ("tractive_system",): ("table-tractive-system",),
    ("tractive_system", "connectors"): ("tractive-connectors", "table-tractive-connectors"),
    ("charger",): ("charger", "table-charger"),
    ("low_voltage", "source"): ("table-source",),
    ("low_voltage", "fuses"): ("low-voltage-fuses", "table-fuses"),
    ("low_voltage", "feeds"): ("low-voltage-feeds", "table-feeds"),
    ("connectors",): ("low-voltage-connectors", "table-connectors"),
    ("boards",): ("low-voltage-boards", "table-boards"),
    ("housings",): ("low-voltage-housings", "table-housings"),
    ("demand",): ("table-demand", "table-check-and-device"),
    ("demand", "pedal_vs_brake_check"): ("table-pedal-vs-brake",),
    ("demand", "pedal_sensors"): ("table-pedal-sensors",),
    ("demand", "brake_sensors"): ("table-brake-sensors",),
    ("signals",): ("table-signals", "table-failures"),
    ("wiring", "conductors"): ("table-conductors",),
    ("wiring", "conduits"): ("table-conduits",),
    ("evidence",): ("table-evidence",),
    ("devices",): ("table-devices",),
}
"""Group -> the anchors of its own heading and tables."""


_OF_WHOLE = ("at-a-glance", "contact-convention", "findings", "questions", _BEFORE, "clause-index", "workings")
"""Chapters that speak of no field more than of another."""


def anchors(names: Names) -> tuple[str, ...]:
    """The anchors at which exactly this place is printed, its heading before its tables; empty where it has none of its own."""
    if not names:
        return _OF_WHOLE
    parts = tuple(anchor(sort, names[-1]) for sort in _OF_PARTS.get(names[:-1], ()))
    wires = (anchor("table-wires", names[1]),) if names[:1] == ("loops",) and names[2:] == ("wires",) else ()
    chapter = (SECTIONS[names[0]],) if len(names) == 1 and names[0] in SECTIONS else ()
    return (*parts, *wires, *chapter, *_OF_GROUPS.get(names, ()))


def with_questions(blocks: tuple[Block, ...], review: Review, report: Report, wording: Words) -> tuple[Block, ...]:
    """The blocks of a submission with the chapter of the questions; raises docgen.markdown.TemplateError for a template that cannot be used."""
    place = next((number for number, block in enumerate(blocks) if isinstance(block, Heading) and block.anchor == _BEFORE), len(blocks))
    return (*blocks[:place], *question_blocks(review, report, wording, labels(blocks)), *blocks[place:])


def question_blocks(review: Review, report: Report, wording: Words, known: Mapping[str, str]) -> Iterator[Block]:
    """The chapter of the questions; `known` are the anchors of the document to which it may refer."""
    places = Places.of(report.description)
    counts = [f"{number} {state}" for state, number in by_state(review).items()]
    yield Heading(1, "Questions of the reviewer", "questions")
    yield from wording.blocks("questions.md", reviewer=review.reviewer, total=counted(len(review.questions), "question"), counts=counts)
    if review.questions:
        rows = tuple(_row(question, review, places, known) for question in review.questions)
        columns = (Column("Question", 1.4), Column("Place and clause", 4), Column("What is asked", 6), Column("State", 1.9), Column("Last word", 4))
        yield Table("table-questions", "The questions, their state, and what was said last", columns, rows, wide=True)


def _row(question: Question, review: Review, places: Places, known: Mapping[str, str]) -> tuple[Cell, ...]:
    names = places.names(question.place)
    target = next((own for own in _nearest(names, known)), None) if names is not None else None
    place: Inline = Reference(target, question.place) if target else Text(question.place)
    gone: Cell = (Break(), Strong("not in this description")) if names is None else ()
    clause: Cell = (Break(), Text(question.clause)) if question.clause else ()
    other: Cell = (Break(), Emphasis(f"asked by {question.asked_by}")) if question.asked_by and question.asked_by != review.reviewer else ()
    state: Inline = Strong(question.state) if question.state is State.OPEN else Text(question.state)
    weight: Cell = (Break(), Text(question.weight)) if question.state in _OPEN else ()
    return (
        cell(Strong(question.name)), (place, *gone, *clause), (*_broken(question.text), *other),
        (state, *weight), cell(*_broken(_said(question.last)) if question.last and question.last.says != ASKED else ""),
    )  # fmt: skip


def _broken(text: str) -> Iterator[Inline]:
    """A text with its line ends kept."""
    for number, line in enumerate(text.split("\n")):
        if number:
            yield Break()
        yield Text(line)


def _nearest(names: Names, known: Mapping[str, str]) -> Iterator[str]:
    """The anchors in the document for a place, those of its own first, then those of what it is part of."""
    for length in range(len(names), -1, -1):
        yield from (own for own in anchors(names[:length]) if own in known)


# ── Comments ──────────────────────────────────────────────────────────────────────────────────────────────────────────


def comments(review: Review, blocks: Iterable[Block], description: Description, day: date) -> tuple[Comment, ...]:
    """What stands beside the places of the open and answered questions; `day` is the date of those without a history."""
    known, places = labels(blocks), Places.of(description)
    asked = [question for question in review.questions if question.state in _OPEN]
    return tuple(_comment(question, review, places, known, day) for question in asked)


def _comment(question: Question, review: Review, places: Places, known: Mapping[str, str], day: date) -> Comment:
    names = places.names(question.place)
    role = question.asked_by or review.reviewer
    initials = "".join(word[0] for word in role.split())[:3].upper()
    spot = _spot(names, places, known) if names is not None else ("table-questions", question.name)
    return Comment(*spot, role, initials, question.history[0].day if question.history else day, tuple(_lines(question)))


def _spot(names: Names, places: Places, known: Mapping[str, str]) -> tuple[str, str]:
    """Anchor of the heading that is the place, or of a table and the label of the row in it."""
    for length in range(len(names), -1, -1):
        here = [own for own in anchors(names[:length]) if own in known]
        tables = [own for own in here if known[own].startswith("Table")]
        if here and length == len(names):
            return here[0], ""
        if tables and length:
            return tables[0], _label(names[:length], names[length:], places)
        if here:
            return here[0], ""
    return "table-questions", ""


def _label(group: Names, inner: Names, places: Places) -> str:
    """What the first cell of the row says in which a member of a group is printed."""
    holder, member = at(places.root, group), at(places.root, (*group, inner[0]))
    if isinstance(holder, Group) and holder.shape is dict:
        return inner[0]
    parts = isinstance(member, Group) and member.shape is dict and all(isinstance(part, Group) for part in member.members.values())
    return f"{named(inner[0])}: {inner[1]}" if parts and len(inner) > 1 else named(inner[0])


def _lines(question: Question) -> Iterator[str]:
    """A question as it stands in a comment: its text, what was said of it, and a last line by which it is known again."""
    yield from question.text.split("\n")
    yield from (_said(entry) for entry in question.history if entry.says != ASKED)
    yield f"[{question.name}] {' · '.join(filter(None, _marks(question)))}"


def _marks(question: Question) -> Iterator[str]:
    yield from (question.place, question.state, question.weight)
    yield f"clause {question.clause}" if question.clause else ""
    yield f"check {question.check}" if question.check else ""


def _said(entry: Entry) -> str:
    revision = f", revision {entry.revision}" if entry.revision else ""
    changed = f" (changed: {', '.join(entry.changed)})" if entry.changed else ""
    return f"{entry.by}, {entry.day}{revision}: {on_one_line(entry.says)}{changed}"


_LAST_LINE = re.compile(r"\[([^\W\d_][\w-]{0,59})\] .+")


def bookmarked(description: Description) -> dict[str, Names]:
    """Bookmark -> the place that is printed there."""
    places = Places.of(description)
    groups: list[Names] = [()]
    for names in groups:
        node = at(places.root, names)
        if isinstance(node, Group) and len(names) < 3 and node.shape is not list:
            groups += [(*names, name) for name in node.members]
    return {bookmark(own): names for names in reversed(groups) for own in anchors(names)} | {bookmark("table-questions"): ()}


def notes(remarks: tuple[Remark, ...], printed: Review, description: Description) -> tuple[Note, ...]:
    """The comments of a document as notes on places; `printed` are the questions with which the document was built.

    What docgen itself had written into a comment is left out.
    """
    marked, places = bookmarked(description), Places.of(description)
    return tuple(_note(remark, remarks, printed, marked, places) for remark in remarks if remark.lines)


def _note(remark: Remark, remarks: tuple[Remark, ...], printed: Review, marked: Mapping[str, Names], places: Places) -> Note:
    about = _asked_in(remark, printed)
    if about is not None:
        own = {" ".join(line.split()) for line in _lines(about)}
        return Note(about.place, _shortened(line for line in remark.lines if line not in own and not _LAST_LINE.fullmatch(line)), about)
    about = _asked_in(remarks[remark.answers], printed) if remark.answers is not None else None
    if about is None and remark.bookmark == bookmark("table-questions") and remark.cells:
        about = printed.question(remark.cells[0])
    return Note(about.place if about else places.spelled(_place(remark, marked, places)), _shortened(remark.lines), about)


def _asked_in(remark: Remark, printed: Review) -> Question | None:
    """The question that docgen had printed into a comment, or None for a comment of somebody else."""
    found = (printed.question(last[1]) for line in remark.lines if (last := _LAST_LINE.fullmatch(line)))
    return next((question for question in found if question is not None), None)


def _shortened(lines: Iterable[str]) -> str:
    text = "\n".join(lines)
    return text if len(text) <= LONGEST_TEXT else f"{text[:LONGEST_TEXT]} … (the comment is longer)"


def _place(remark: Remark, marked: Mapping[str, Names], places: Places) -> Names:
    """The place that a comment speaks of: that of its bookmark, or the field of its row."""
    names = marked.get(remark.bookmark, ())
    for said in remark.cells:
        for word in said.split():
            found = places.names(re.sub(r"\[.*", "", word)) if "." in word else None
            if found:
                return found
    if not remark.cells:
        return names
    first, own = remark.cells[0], at(places.root, names)
    inner: list[Names] = [(name,) for name, _ in _members(own)] + [(name, key) for name, member in _members(own) for key, _ in _members(member)]
    rows = {_label(names, steps, places): steps for steps in reversed(inner)}
    if first in rows:
        return (*names, *rows[first])
    step = places.names(f"{places.spelled(names)}.path.{remark.cells[1]}") if names[:1] == ("loops",) and len(remark.cells) > 1 else None
    word = re.split(r"[\s.]", first)[0]
    return step or ((*names, word) if at(places.root, (*names, word)) is not None else names)


def _members(node: Node | None) -> Iterable[tuple[str, Node]]:
    return node.members.items() if isinstance(node, Group) else ()
