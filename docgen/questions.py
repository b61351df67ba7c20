"""A reviewer's questions as values: what they are tied to, how they are drafted, carried on and joined."""

import difflib
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from functools import cached_property
from itertools import groupby

from docgen.change_words import spelled
from docgen.changes import Change, changes
from docgen.check import Report, clause
from docgen.editions import Edition
from docgen.finding import Result, Severity
from docgen.load import Description
from docgen.meaning import Names, at
from docgen.places import WHOLE, Places
from docgen.printing import counted, on_one_line
from docgen.provenance import Path
from docgen.rules import CATALOGUE
from docgen.stop import Stop


class State(StrEnum):
    OPEN = "open"
    ANSWERED = "answered"
    ACCEPTED = "accepted"
    WITHDRAWN = "withdrawn"


class Weight(StrEnum):
    SETTLE = "must be settled"
    CLEAR = "to be made clear"
    REMARK = "remark"


ASKED = "Asked."
"""What the first entry of a question says that has no more to say than its text."""


@dataclass(frozen=True, slots=True)
class Entry:
    """What was said of a question on a day, by a role; an answer names the fields whose change answers it."""

    day: date
    by: str
    says: str
    revision: str = ""
    """The mark of the revision that it speaks of."""
    changed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Question:
    """One question, tied to a place of the description by names."""

    name: str
    place: str
    text: str
    weight: Weight = Weight.CLEAR
    state: State = State.OPEN
    clause: str = ""
    check: str = ""
    """The check whose finding it asks about, if there is one."""
    asked_by: str = ""
    """The role that asked, where it is not the reviewer of the whole file."""
    history: tuple[Entry, ...] = ()

    @property
    def last(self) -> Entry | None:
        return self.history[-1] if self.history else None


@dataclass(frozen=True, slots=True)
class Review:
    """The questions about one car, in the order in which they are written."""

    car: str
    reviewer: str
    """A role, never a person's name."""
    questions: tuple[Question, ...] = ()

    def question(self, name: str) -> Question | None:
        return next((question for question in self.questions if question.name == name), None)

    def free_name(self) -> str:
        """The next name of the row q1, q2, q3; one that was used is never used again."""
        numbers = [int(found[1]) for question in self.questions if (found := re.fullmatch(r"q([0-9]{1,9})", question.name))]
        return f"q{max(numbers, default=0) + 1}"

    def asking(self, question: Question) -> "Review":
        """The review with one question more."""
        return replace(self, questions=(*self.questions, question))

    def exchanging(self, question: Question) -> "Review":
        """The review with this question in the place of the one of its name."""
        return replace(self, questions=tuple(question if one.name == question.name else one for one in self.questions))


class AnotherCar(Stop):
    """Two files of questions that are about two cars."""


# ── From one revision to another ──────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True)
class Step:
    """The step from one revision to the next: both descriptions and what changed between them."""

    before: Description
    after: Description

    @cached_property
    def changes(self) -> tuple[Change, ...]:
        return changes(self.before, self.after)

    @cached_property
    def places_before(self) -> Places:
        return Places.of(self.before)

    @cached_property
    def places_after(self) -> Places:
        return Places.of(self.after)

    def followed(self, place: str) -> str:
        """What the place is called in the later description; the place as it is where it kept its name or is gone."""
        names = self.places_before.names(place)
        renamed = [change for change in self.changes if change.is_of_name and names and names[: len(change.was)] == change.was]
        if names is None or not renamed:
            return place
        last = max(renamed, key=lambda change: len(change.was))
        new = (*last.path, *names[len(last.was) :])
        return self.places_after.spelled(new) if at(self.places_after.root, new) is not None else place

    def at(self, place: str) -> tuple[Change, ...]:
        """The changes of values at the place, below it, or of a whole that it is part of."""
        now, then = self.places_after.names(place), self.places_before.names(place)
        return tuple(change for change in self.changes if not change.is_of_name and (_meet(change.path, now) or _meet(change.was, then)))


def _meet(one: Names, other: Names | None) -> bool:
    """Whether one of two places lies in the other; the whole car meets everything."""
    if other is None:
        return False
    shared = min(len(one), len(other))
    return one[:shared] == other[:shared]


_LONGEST_CHANGE, _LONGEST_SAID = 300, 1000


def _short(text: str, longest: int) -> str:
    said = on_one_line(text)
    return said if len(said) <= longest else f"{said[:longest]} …"


_MOST_TOLD = 4


def _told(found: tuple[Change, ...]) -> str:
    more = len(found) - _MOST_TOLD
    return "; ".join(_short(spelled(change), _LONGEST_CHANGE) for change in found[:_MOST_TOLD]) + (f"; and {counted(more, 'change')} more" if more > 0 else "")


CARRIED_BY = "docgen"
"""Who speaks in the entries that carrying on adds."""


def carried_on(review: Review, step: Step, day: date) -> Review:
    """The questions for the later revision: renamed places followed, states kept, an entry added where the place changed."""
    mark = mark_of(step.after)
    return replace(review, car=name_of(step.after), questions=tuple(_carried(question, step, day, mark) for question in review.questions))


def _carried(question: Question, step: Step, day: date, mark: str) -> Question:
    if question.state is State.WITHDRAWN:
        return question
    place = step.followed(question.place)
    said = [f"The place {question.place} is called {place} now."] if place != question.place else []
    if place != WHOLE and (found := step.at(place)):
        said.append(f"At the place: {_told(found)}.")
    known = [entry.says for entry in question.history if (entry.by, entry.revision) == (CARRIED_BY, mark)]
    news = " ".join(one for one in said if not any(one in says for says in known))
    return replace(question, place=place, history=(*question.history, Entry(max(day, _last_day(question)), CARRIED_BY, news, mark)) if news else question.history)


def name_of(description: Description) -> str:
    """The name of the car; empty where none is given."""
    name = getattr(description.car.car, "name", None)
    return name if isinstance(name, str) else ""


def mark_of(description: Description) -> str:
    """The mark of the newest revision; empty where none is given."""
    mark = description.car.newest.mark
    return mark if isinstance(mark, str) else ""


# ── Loose ends ────────────────────────────────────────────────────────────────────────────────────────────────────────


class Loose(StrEnum):
    VANISHED = "the place is gone"
    RENAMED = "the place has another name"
    CLAUSE = "the clause is not known"
    CHECK = "the check is not known"
    FINDING_GONE = "the finding is gone"
    NO_REVISION = "the answer names no revision of the car"
    NO_CHANGE = "the answer names a field that did not change"
    UNCHANGED = "answered, and nothing changed"
    CHANGED = "changed since it was accepted"


@dataclass(frozen=True, slots=True)
class LooseEnd:
    """Where a question does not, or no longer, fit the description. An error is a broken tie, a warning asks for a second look."""

    kind: Loose
    severity: Severity
    path: Path
    """In the file of questions."""
    was: str
    must: str


def loose_ends(review: Review, report: Report, before: Description | None = None) -> tuple[LooseEnd, ...]:
    """Every loose end, in the order of the questions; what changed is judged only where an earlier description is given.

    A withdrawn question is tied to nothing.
    """
    look = _Ties(report, Step(before, report.description) if before else None)
    return tuple(found for question in review.questions if question.state is not State.WITHDRAWN for found in look.of(question))


@dataclass(frozen=True)
class _Ties:
    report: Report
    step: Step | None

    @cached_property
    def places(self) -> Places:
        return self.step.places_after if self.step else Places.of(self.report.description)

    @cached_property
    def findings(self) -> frozenset[tuple[str, str]]:
        return frozenset(findings_by_place(self.report, self.places))

    @property
    def mark(self) -> str:
        return mark_of(self.report.description)

    def of(self, question: Question) -> Iterator[LooseEnd]:
        here: Path = ("questions", question.name)
        yield from self._place(question, (*here, "place"))
        yield from self._clause(question, (*here, "clause"))
        yield from self._check(question, (*here, "check"))
        for number, entry in enumerate(question.history):
            yield from self._answer(entry, (*here, "history", number))
        if self.step:
            yield from self._what_changed(question, self.step, (*here, "state"))

    def _place(self, question: Question, path: Path) -> Iterator[LooseEnd]:
        if self.places.names(question.place) is not None:
            return
        severity = Severity.WARNING if question.state is State.ACCEPTED else Severity.ERROR
        followed = self.step.followed(question.place) if self.step else question.place
        if followed != question.place:
            yield LooseEnd(Loose.RENAMED, severity, path, f"the place {question.place} has been renamed", f"must be {followed}")
            return
        near = self.places.nearest(question.place)
        was = f"the place {question.place} is not in {self.report.description.tree.file}"
        yield LooseEnd(Loose.VANISHED, severity, path, was, f"must be a place that is there; nearest is {near}" if near else "must be a place that is there")

    def _clause(self, question: Question, path: Path) -> Iterator[LooseEnd]:
        edition = self.report.edition
        for asked in filter(None, re.split(r"\s*[,;]\s*|\s+to\s+", question.clause)):
            if not knows_clause(edition, asked):
                near = difflib.get_close_matches(asked, known_clauses(edition), n=1)
                must = "must be looked up: docgen knows only what was read of the edition" + (f"; nearest is {near[0]}" if near else "")
                yield LooseEnd(Loose.CLAUSE, Severity.WARNING, path, f"the clause {asked} is not known in {edition.name}", must)

    def _check(self, question: Question, path: Path) -> Iterator[LooseEnd]:
        known = [rule.slug for rule in CATALOGUE]
        if not question.check or (question.check, question.place) in self.findings:
            return
        if question.check not in known:
            near = difflib.get_close_matches(question.check, known, n=1)
            must = f"must be {near[0]}" if near else "must be a check that docgen explain lists"
            yield LooseEnd(Loose.CHECK, Severity.ERROR, path, f"the check {question.check} is not known", must)
        elif question.state is State.OPEN and self.places.names(question.place) is not None:
            was = f"the question is open, and {question.check} finds nothing at {question.place} any more"
            yield LooseEnd(Loose.FINDING_GONE, Severity.WARNING, path, was, "must be looked at again: it may be accepted or withdrawn")

    def _answer(self, entry: Entry, path: Path) -> Iterator[LooseEnd]:
        if not entry.changed:
            return
        revisions = self.report.description.car.revisions
        marks = [revision.mark for revision in revisions if isinstance(revision.mark, str)]
        if entry.revision not in marks:
            was = f"the answer points to revision {entry.revision}" if entry.revision else "the answer points to no revision"
            must = f"must be one of: {', '.join(marks)}" if marks else "must be a revision, and the description has none"
            yield LooseEnd(Loose.NO_REVISION, Severity.ERROR, (*path, "revision"), was, must)
        elif self.step and entry.revision == self.mark:
            for number, place in enumerate(entry.changed):
                if not self.step.at(self.step.followed(place)):
                    was = f"the answer points to a change of {place}, which did not change from {self._both_marks(self.step)}"
                    yield LooseEnd(Loose.NO_CHANGE, Severity.ERROR, (*path, "changed", number), was, "must be a field that changed")

    def _what_changed(self, question: Question, step: Step, path: Path) -> Iterator[LooseEnd]:
        found = step.at(step.followed(question.place))
        spoken = {entry.revision for entry in question.history if entry.by != CARRIED_BY}
        if question.state is State.ACCEPTED and question.place != WHOLE and found and self.mark not in spoken:
            was = f"the question was accepted, and since then: {_told(found)}"
            yield LooseEnd(Loose.CHANGED, Severity.WARNING, path, was, "must be looked at again")
        answers = [entry for entry in question.history if entry.changed]
        answered_now = not answers or answers[-1].revision == self.mark
        if question.state is State.ANSWERED and answered_now and not found and not any(step.at(step.followed(place)) for entry in answers for place in entry.changed):
            was = f"the question is answered, and from {self._both_marks(step)} nothing changed at {question.place}"
            yield LooseEnd(Loose.UNCHANGED, Severity.WARNING, path, was, "must be looked at again: an answer in words alone changes no car")

    @staticmethod
    def _both_marks(step: Step) -> str:
        before, after = mark_of(step.before), mark_of(step.after)
        return f"revision {before} to revision {after}" if before and after and before != after else "one description to the other"


def known_clauses(edition: Edition) -> tuple[str, ...]:
    """Every clause that the edition file names, the ends of ``EV3.2.1 to EV3.2.7`` one by one."""
    return tuple(dict.fromkeys(part for topic in edition.topics.values() for part in re.split(r", | to ", topic.clause) if part))


def knows_clause(edition: Edition, asked: str) -> bool:
    """Whether the edition file names the clause, a part of it, or a range in which it lies."""
    if any(known == asked or known.startswith(f"{asked}.") for known in known_clauses(edition)):
        return True
    stem, _, number = asked.rpartition(".")
    ranges = (part.split(" to ") for topic in edition.topics.values() for part in topic.clause.split(", ") if " to " in part)
    return number.isdigit() and any(
        first.rpartition(".")[0] == last.rpartition(".")[0] == stem and int(first.rpartition(".")[2]) <= int(number) <= int(last.rpartition(".")[2])
        for first, last in ranges
    )


# ── Drafting ──────────────────────────────────────────────────────────────────────────────────────────────────────────


def findings_by_place(report: Report, places: Places) -> Mapping[tuple[str, str], list[Result]]:
    """Check and place -> its findings; a check that failed itself asks nothing of a team."""
    asked = [result for result in report.findings if result not in report.failed_rules]
    found: dict[tuple[str, str], list[Result]] = {}
    for result in asked:
        found.setdefault((result.rule.slug, places.at_field(result.outcome.path)), []).append(result)
    return found


def drafted(report: Report, review: Review, day: date) -> Review:
    """The review with a question for every finding, but for those of which it has asked already."""
    known = {(question.check, question.place) for question in review.questions}
    for (slug, place), results in findings_by_place(report, Places.of(report.description)).items():
        if (slug, place) not in known:
            entry = Entry(day, review.reviewer, ASKED, mark_of(report.description))
            weight = Weight.SETTLE if any(result.severity is Severity.ERROR for result in results) else Weight.CLEAR
            named = clause(results[0]) if results[0].citation else ""
            review = review.asking(Question(review.free_name(), place, _asked(results), weight, clause=_bare(named), check=slug, history=(entry,)))
    return review


def _asked(results: list[Result]) -> str:
    said = " ".join(f"We read: {_short(result.outcome.was, _LONGEST_SAID)}. As we see it, this {_short(result.outcome.must, _LONGEST_SAID)}." for result in results)
    return f"{_short(said, 3 * _LONGEST_SAID)} Could you put it right, or tell us why it stands as it is?"


def _bare(named: str) -> str:
    """A clause without the words on how it is known."""
    return re.sub(r" \(.*\)$", "", named) if named not in ("common practice", "the description itself") else ""


# ── Joining ───────────────────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class Joined:
    """Two reviews as one, and what was done that somebody must know of."""

    review: Review
    told: tuple[str, ...]


def joined(one: Review, other: Review) -> Joined:
    """The questions of both; raises AnotherCar where they are about two cars.

    The same question stands once, with the histories of both. Different questions of one name are both kept, the second under a new name.
    """
    if one.car != other.car:
        raise AnotherCar(f"error: one file asks about {on_one_line(one.car)}, the other about {on_one_line(other.car)}; must be about one car")
    review = one
    said: list[str] = []
    taken = {question.name for question in (*one.questions, *other.questions)}
    for theirs in other.questions:
        signed = theirs if theirs.asked_by or other.reviewer == one.reviewer else replace(theirs, asked_by=other.reviewer)
        ours = _alike(theirs, one)
        if ours is not None:
            united = _united(review.question(ours.name) or ours, signed)
            review = review.exchanging(united)
            said += _differences(ours, theirs, united)
        elif review.question(theirs.name):
            name = next(name for number in range(1, len(taken) + 2) if (name := f"q{number}") not in taken)
            taken.add(name)
            review = review.asking(replace(signed, name=name))
            said.append(f"both files have a question {theirs.name}, and they differ: the second file's is {name} now")
        else:
            review = review.asking(signed)
    return Joined(review, tuple(said))


def _alike(question: Question, review: Review) -> Question | None:
    """The same question in a review: of the same name if it is there, otherwise of another."""
    same = [one for one in review.questions if (one.place, one.clause, one.check, one.text.split()) == (question.place, question.clause, question.check, question.text.split())]
    return next((one for one in same if one.name == question.name), same[0] if same else None)


_WEIGHT = tuple(Weight)


def _united(ours: Question, theirs: Question) -> Question:
    history = tuple(sorted(dict.fromkeys((*ours.history, *theirs.history)), key=lambda entry: entry.day))
    later = theirs if _last_day(theirs) > _last_day(ours) else ours
    return replace(ours, state=later.state, weight=min(ours.weight, theirs.weight, key=_WEIGHT.index), history=history)


def _last_day(question: Question) -> date:
    return max((entry.day for entry in question.history), default=date.min)


def _differences(ours: Question, theirs: Question, united: Question) -> Iterator[str]:
    if ours.name != theirs.name:
        yield f"{theirs.name} of the second file asks the same as {ours.name} of the first: it stands once, as {ours.name}"
    if ours.state is not theirs.state:
        yield f"{ours.name} is {ours.state} in the first file and {theirs.state} in the second: {united.state} now, by the later entry of its history"
    if ours.weight is not theirs.weight:
        yield f"{ours.name}: “{ours.weight}” in the first file and “{theirs.weight}” in the second: “{united.weight}” now"


# ── Collecting ────────────────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class Note:
    """What somebody wrote beside a place of the document; `about` is the question that stood there, as it was printed."""

    place: str
    text: str
    about: Question | None = None


def collected(review: Review, notes: Iterable[Note], role: str, day: date, revision: str) -> Review:
    """The review with what the notes add: new questions, and entries to the questions that stood in the document.

    What is known already is not added again.
    """
    for note in notes:
        said = Entry(day, role, note.text, revision)
        if note.about is None:
            if not any((one.place, one.text.split()) == (note.place, note.text.split()) for one in review.questions):
                asked = replace(said, says=ASKED)
                review = review.asking(Question(review.free_name(), note.place, note.text, asked_by="" if role == review.reviewer else role, history=(asked,)))
            continue
        question = review.question(note.about.name)
        if question is None:
            question = note.about
            review = review.asking(question)
        if note.text and not any(entry.says.split() == note.text.split() for entry in question.history):
            review = review.exchanging(replace(question, history=(*question.history, said)))
    return review


def by_state(review: Review) -> Mapping[State, int]:
    """How many questions are in each state."""
    ordered = sorted(review.questions, key=lambda question: tuple(State).index(question.state))
    return {state: len(list(group)) for state, group in groupby(ordered, key=lambda question: question.state)}
