"""A reviewer's questions: their file, their ties to the description, drafting, carrying on, joining, collecting."""

import subprocess
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from conftest import SMALL_CAR, edited, tool

from docgen.check import check
from docgen.cli import main
from docgen.editions import edition
from docgen.files import NotWritten
from docgen.load import Description, load_file, load_text
from docgen.meaning import leaves
from docgen.places import WHOLE, Places
from docgen.questions import (
    ASKED,
    AnotherCar,
    Entry,
    LooseEnd,
    Note,
    Question,
    Review,
    State,
    Step,
    Weight,
    carried_on,
    collected,
    drafted,
    joined,
    knows_clause,
    loose_ends,
)
from docgen.questions_file import edited_text, new_text, read_questions, review_file
from docgen.reading import Unreadable, read_text

HERE = Path(__file__).parent / "questions"
EXAMPLE = Path(__file__).parents[1] / "example_car"
UK = edition("fsuk-2026")
DAY = date(2026, 11, 2)
SMALL = load_text(SMALL_CAR)
LATER = "revisions: [{mark: B, date: 2026-11-02, status: draft, because: Second issue}, {mark: A, date: 2026-10-02, status: superseded, because: First issue}]\n"


def asking(*questions: Question) -> Review:
    return Review("Dunlin 1", "electrical reviewer", questions)


def about(place: str, state: State = State.OPEN, *history: Entry, clause: str = "", check: str = "") -> Question:
    return Question("q1", place, "Why?", state=state, clause=clause, check=check, history=history)


def said(revision: str, *changed: str, by: str = "electrical lead") -> Entry:
    return Entry(date(2026, 10, 20), by, "Put right.", revision, changed)


def loose(question: Question, description: Description = SMALL, before: Description | None = None) -> list[LooseEnd]:
    return list(loose_ends(asking(question), check(description, UK), before))


def kinds(found: list[LooseEnd]) -> list[tuple[str, str, str]]:
    return [(str(end.severity), str(end.kind), ".".join(map(str, end.path[2:]))) for end in found]


# ── Places ────────────────────────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("place", "last"),
    [
        ("devices.bspd.delay.resistor", "resistor"),
        ("loops.drive.path.precharge_unit.running", "precharge_unit.running"),
        ("loops.drive.path.hold_relay.hold", "hold_relay.hold"),
        ("loops.drive.path.ts_master", "ts_master"),
        ("revisions.A.status", "status"),
    ],
)
def test_a_place_leads_through_names_that_hold_dots_and_through_the_ways_of_a_loop(place: str, last: str) -> None:
    places = Places.of(SMALL)
    names = places.names(place)
    assert names is not None and names[-1] == last
    assert places.spelled(names) == place


@pytest.mark.parametrize("place", ["", "devices.", "devices.bspd.", "devices..bspd", "devices.nobody", "loops.drive.path[2]", "devices.bspd.delay.resistor.value", "bspd"])
def test_a_place_that_is_not_there_leads_nowhere(place: str) -> None:
    assert Places.of(SMALL).names(place) is None


def test_every_value_of_the_example_car_has_a_place_of_its_own() -> None:
    places = Places.of(load_file(EXAMPLE / "car.yaml"))
    every = [names for names, _ in leaves(places.root)]
    assert len(every) > 1000
    assert [names for names in every if places.names(places.spelled(names)) != names] == []


@pytest.mark.parametrize(
    ("place", "nearest"),
    [
        ("devices.bpsd.delay.resistor", "devices.bspd.delay.resistor"),
        ("devices.bspd.delay.resistr", "devices.bspd.delay.resistor"),
        ("devices.bspd.qqq", "devices.bspd"),
        ("qqq", ""),
    ],
)
def test_the_nearest_place_keeps_what_was_right(place: str, nearest: str) -> None:
    assert Places.of(SMALL).nearest(place) == nearest


# ── The file ──────────────────────────────────────────────────────────────────────────────────────────────────────────

SHORT = "docgen: 1\ncar: Dunlin 1\nreviewer: electrical reviewer\nquestions:\n  q1: {place: devices.bspd, severity: remark, text: Why?, state: open}\n"


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("place:", "plaec:", "q.yaml:5:8: the key plaec is not known here; must be place"),
        ("state: open", "state: opened", "q.yaml:5:66: state: opened stands here; must be one of: open, answered, accepted, withdrawn"),
        ("severity: remark", "severity: grave", "q.yaml:5:39: severity: grave stands here; must be one of: must be settled, to be made clear, remark"),
        ("docgen: 1", "docgen: 9", "q.yaml:1:1: the format of this file is 9; must be at most 1: install a newer docgen"),
        ("docgen: 1", "docgen: 0", "q.yaml:1:9: the format of this file is 0; must be 1"),
        (", state: open", "", "q.yaml:5:3: state: an item is missing; must be given"),
        ("reviewer: electrical reviewer\n", "", "reviewer: an item is missing; must be given"),
        ("  q1:", "  7th:", "q.yaml:5:3: the name '7th' stands here"),
        ("questions:", "question:", "q.yaml:1:1: no questions stand in this file"),
        ("open}", "open, history: [{date: 2026-13-01, by: lead, says: Yes.}]}", "q.yaml:5:89: date: 2026-13-01 stands here; must be a date as year-month-day"),
        ("open}", "open, history: [{date: 2026-12-01, by: lead}]}", "says: an item is missing"),
        ("open}", "open", "q.yaml:"),
    ],
)
def test_a_wrong_file_of_questions_is_refused_at_its_line(old: str, new: str, said: str) -> None:
    with pytest.raises(Unreadable) as refused:
        review_file(read_text(SHORT.replace(old, new), "q.yaml"))
    assert said in str(refused.value)


def test_questions_about_another_car_are_refused() -> None:
    file = review_file(read_text(SHORT.replace("Dunlin 1", "Heron 2"), "q.yaml"))
    with pytest.raises(Unreadable, match=r"^q\.yaml:2:6: the questions are about Heron 2; must be about Dunlin 1, as car\.yaml says$"):
        file.about(SMALL)


@pytest.mark.parametrize(
    "text",
    [
        "plain", 'a "quoted" thing', "key: value # no comment", "- a list\n- of two", "{a: b}", "[x]", "*alias", "&anchor", "!tag", "null", "~", "on", "a\\b\\", "7E2", "'", '"',
        "Ω ± 5 % 🔋", "two  spaces", "a\n\nb", "---", "...", "? a", "| a", "%d", "@x", "`x`", "x:", "unknown (asked)", "long " * 150 + "end", "n" * 300,
    ],
)  # fmt: skip
def test_whatever_a_stranger_writes_is_read_again_as_it_was(text: str) -> None:
    entry = Entry(DAY, text, text, text, (text, "devices.bspd"))
    review = Review("Dunlin 1", "reviewer", (Question("q1", text, text, Weight.SETTLE, State.ANSWERED, text, "latch-missing", text, (entry,)), Question("q2", "devices.imd", "Why?")))
    assert review_file(read_text(new_text(review), "q.yaml")).review == review
    again = review.asking(replace(review.questions[0], name="q3")).exchanging(replace(review.questions[1], place=text, history=(entry,)))
    written = edited_text(review_file(read_text(new_text(review), "q.yaml")), again)
    assert review_file(read_text(written, "q.yaml")).review == again


def test_no_line_of_a_new_file_is_longer_than_a_screen() -> None:
    assert max(map(len, new_text(asking(Question("q1", "devices.bspd", "Is that so? " * 50 + "Yes."))).splitlines())) <= 120


def test_comments_order_and_spelling_stay_where_docgen_writes() -> None:
    file = read_questions(HERE / "awkward.yaml")
    answer = Entry(date(2026, 5, 12), "lead", "Done: see x.", "C", ("devices.bspd.feed",))
    review = replace(file.review, questions=tuple(replace(one, state=State.ANSWERED, history=(*one.history, answer)) for one in file.review.questions))
    review = review.asking(Question("q4", "devices.imd", 'Is it "on"?', Weight.SETTLE, clause="EV6.1.7"))
    assert edited_text(file, review) == (HERE / "awkward_written.yaml").read_text(encoding="utf-8")


def test_what_is_not_changed_is_not_written_anew() -> None:
    file = read_questions(HERE / "awkward.yaml")
    assert edited_text(file, file.review) == file.tree.text


def test_an_earlier_entry_is_put_before_a_later_one() -> None:
    file = read_questions(HERE / "awkward.yaml")
    between = Entry(date(2026, 2, 10), "reviewer", "And?")
    question = file.review.questions[1]
    review = file.review.exchanging(replace(question, history=(question.history[0], between, question.history[1])))
    written = edited_text(file, review)
    assert written == file.tree.text.replace('    - {date: 2026-03-03', '    - date:     2026-02-10\n      by:       reviewer\n      says:     "And?"\n    - {date: 2026-03-03')


@pytest.mark.parametrize("questions", ["{}", "{q1: {place: devices.bspd, severity: remark, text: Why?, state: open}}   # in a row"])
def test_a_question_is_added_to_none_and_to_a_row(questions: str) -> None:
    file = review_file(read_text(f"docgen: 1\ncar: Dunlin 1\nreviewer: reviewer\nquestions: {questions}\n# the end\n", "q.yaml"))
    review = file.review.asking(Question("q2", "devices.imd", "Why?", history=(Entry(DAY, "reviewer", ASKED, "A"),)))
    written = edited_text(file, review)
    assert review_file(read_text(written, "q.yaml")).review == review
    assert written.endswith("# the end\n")


def test_what_cannot_be_written_in_place_is_not_written() -> None:
    file = read_questions(HERE / "awkward.yaml")
    with pytest.raises(NotWritten, match="written in such a way"):
        edited_text(file, replace(file.review, questions=file.review.questions[:2]))


def test_what_no_file_can_say_is_not_written() -> None:
    with pytest.raises(NotWritten, match=r"the control character U\+001B stands here"):
        new_text(Review("Dunlin 1", "reviewer\x1b[2J"))


def test_long_texts_of_a_stranger_are_drafted_in_short() -> None:
    report = check(edited(f"devices: {{imd: {{part: 'relay, NC {'x ' * 1900}'}}}}\nnotes: ['All contacts are NC {'y ' * 1900}']"), UK)
    review = drafted(report, asking(), DAY)
    assert [(one.place, len(one.text) < 3200) for one in review.questions] == [("devices.imd.part", True), ("notes", True)]
    assert review_file(read_text(new_text(review), "q.yaml")).review == review


# ── Loose ends ────────────────────────────────────────────────────────────────────────────────────────────────────────


def test_a_question_that_fits_has_no_loose_end() -> None:
    assert loose(about("devices.bspd.delay.resistor", clause="EV6.1.6")) == []
    assert loose(about(WHOLE)) == []


def test_a_place_that_is_gone_is_told_with_the_nearest() -> None:
    found = loose(about("devices.bpsd.delay.resistor"))
    assert kinds(found) == [("error", "the place is gone", "place")]
    assert found[0].was == "the place devices.bpsd.delay.resistor is not in car.yaml"
    assert found[0].must == "must be a place that is there; nearest is devices.bspd.delay.resistor"


def test_a_place_that_was_renamed_is_told_by_its_new_name() -> None:
    after = load_text(SMALL_CAR.replace("hold_relay", "keep_relay"))
    found = loose(about("devices.hold_relay.coil.release"), after, SMALL)
    assert kinds(found) == [("error", "the place has another name", "place")]
    assert found[0].must == "must be devices.keep_relay.coil.release"
    assert kinds(loose(about("devices.hold_relay.coil.release"), after)) == [("error", "the place is gone", "place")]


def test_a_withdrawn_question_is_tied_to_nothing_and_an_accepted_one_asks_for_a_second_look() -> None:
    assert loose(about("devices.nobody", State.WITHDRAWN)) == []
    assert kinds(loose(about("devices.nobody", State.ACCEPTED))) == [("warning", "the place is gone", "place")]


@pytest.mark.parametrize(("clause", "known"), [
    ("EV6.1.6", True), ("EV6.1", True), ("EV6", True), ("EV5.6.2", True), ("EV5.6.4", False), ("EV6.1.66", False), ("EV3.2.5", True), ("T11.9.4", True), ("EV", False), ("XX9", False),
])  # fmt: skip
def test_a_clause_is_known_by_itself_by_its_parts_and_in_a_range(clause: str, known: bool) -> None:
    assert knows_clause(UK, clause) is known


def test_a_clause_that_the_edition_file_does_not_name_asks_for_a_second_look() -> None:
    found = loose(about("devices.bspd", clause="EV6.1.6, EV5.6.4"))
    assert kinds(found) == [("warning", "the clause is not known", "clause")]
    assert found[0].was == "the clause EV5.6.4 is not known in Formula Student UK rules 2026"


def test_a_question_on_a_finding_that_is_gone_asks_for_a_second_look() -> None:
    wrong = edited("devices: {imd: {latch: null}}")
    question = about("devices.imd", check="latch-missing")
    assert loose(question, wrong) == []
    assert kinds(loose(question)) == [("warning", "the finding is gone", "check")]
    assert loose(replace(question, state=State.ANSWERED)) == []
    assert kinds(loose(replace(question, check="latch-mising"))) == [("error", "the check is not known", "check")]
    assert loose(replace(question, check="latch-mising"))[0].must == "must be latch-missing"


OTHER_RESISTOR = "devices: {bspd: {delay: {resistor: 470 kΩ ± 1 %}}}\n"


def test_an_answer_must_point_to_a_field_that_changed() -> None:
    after = edited(LATER + OTHER_RESISTOR)
    resistor, capacitor = "devices.bspd.delay.resistor", "devices.bspd.delay.capacitor"
    assert loose(about("devices.bspd.delay", State.ANSWERED, said("B", resistor)), after, SMALL) == []
    found = loose(about("devices.bspd.delay", State.ANSWERED, said("B", resistor, capacitor)), after, SMALL)
    assert kinds(found) == [("error", "the answer names a field that did not change", "history.0.changed.1")]
    assert found[0].was == "the answer points to a change of devices.bspd.delay.capacitor, which did not change from revision A to revision B"
    assert loose(about("devices.bspd.delay", State.ANSWERED, said("A", capacitor)), after, SMALL) == []
    assert loose(about("devices.bspd.delay", State.ANSWERED, said("B", capacitor)), after) == []


def test_an_answer_may_point_to_what_was_taken_out() -> None:
    after = edited(LATER + "devices: {bspd: {stage: null}}")
    assert loose(about("devices.bspd", State.ANSWERED, said("B", "devices.bspd.stage.own")), after, SMALL) == []


def test_an_answer_must_point_to_a_revision_of_the_car() -> None:
    found = loose(about("devices.bspd", State.ANSWERED, said("C", "devices.bspd.delay")), edited(LATER))
    assert kinds(found) == [("error", "the answer names no revision of the car", "history.0.revision")]
    assert found[0].must == "must be one of: B, A"


def test_an_answer_in_words_alone_asks_for_a_second_look() -> None:
    question = about("devices.bspd.delay.capacitor", State.ANSWERED, said("B"))
    found = loose(question, edited(LATER + OTHER_RESISTOR), SMALL)
    assert kinds(found) == [("warning", "answered, and nothing changed", "state")]
    assert loose(replace(question, place="devices.bspd.delay"), edited(LATER + OTHER_RESISTOR), SMALL) == []
    earlier = replace(question, history=(said("A", "devices.bspd.delay.capacitor"),))
    assert loose(earlier, edited(LATER + OTHER_RESISTOR), SMALL) == []


def test_a_change_behind_an_accepted_question_asks_for_a_second_look() -> None:
    after = edited(LATER + OTHER_RESISTOR)
    accepted = about("devices.bspd", State.ACCEPTED, said("A", by="electrical reviewer"))
    found = loose(accepted, after, SMALL)
    assert kinds(found) == [("warning", "changed since it was accepted", "state")]
    assert found[0].was == "the question was accepted, and since then: device bspd: delay.resistor changed from “430 kΩ ± 1 %” to “470 kΩ ± 1 %”"
    assert loose(replace(accepted, place="devices.imd"), after, SMALL) == []
    seen = replace(accepted, history=(*accepted.history, said("B", by="electrical reviewer")))
    assert loose(seen, after, SMALL) == []


def test_a_question_about_the_whole_car_takes_no_note_of_every_change() -> None:
    after = edited(LATER + OTHER_RESISTOR)
    question = about(WHOLE, State.ACCEPTED, said("A", by="electrical reviewer"))
    assert loose(question, after, SMALL) == []
    assert carried_on(asking(question), Step(SMALL, after), DAY) == asking(question)


def test_what_carrying_on_noted_is_no_second_look_of_a_person() -> None:
    after = edited(LATER + OTHER_RESISTOR)
    review = carried_on(asking(about("devices.bspd", State.ACCEPTED)), Step(SMALL, after), DAY)
    assert [end.kind.value for end in loose_ends(review, check(after, UK), SMALL)] == ["changed since it was accepted"]


def test_the_questions_of_the_example_car_fit_it() -> None:
    car, first = load_file(EXAMPLE / "car.yaml"), load_file(EXAMPLE / "car_as_first_written.yaml")
    review = read_questions(EXAMPLE / "questions.yaml").about(car).review
    assert {question.state for question in review.questions} == set(State)
    assert loose_ends(review, check(car, UK), first) == ()


# ── Drafting, carrying on ─────────────────────────────────────────────────────────────────────────────────────────────


def test_a_question_is_drafted_for_every_finding_and_never_twice() -> None:
    report = check(edited("devices: {imd: {latch: null}, ams: {reset: {who: anyone}}}"), UK)
    review = drafted(report, asking(), DAY)
    assert [(one.name, one.check, one.place, one.clause, one.weight.value) for one in review.questions] == [
        ("q1", "reset-by-driver", "devices.ams.reset.who", "EV6.1.6", "must be settled"),
        ("q2", "latch-missing", "devices.imd", "EV6.1.6", "must be settled"),
    ]
    assert review.questions[1].text == (
        "We read: imd describes no latch. As we see it, this must stay tripped until it is reset by hand. Could you put it right, or tell us why it stands as it is?"
    )
    assert review.questions[1].history == (Entry(DAY, "electrical reviewer", "Asked.", "A"),)
    assert drafted(report, review, date(2027, 1, 1)) == review
    withdrawn = asking(replace(review.questions[1], name="q7", state=State.WITHDRAWN))
    assert [one.name for one in drafted(report, withdrawn, DAY).questions] == ["q7", "q8"]


def test_what_is_practice_or_wording_is_asked_without_a_clause() -> None:
    (question,) = drafted(check(edited("devices: {imd: {part: 'relay, NC'}}"), UK), asking(), DAY).questions
    assert (question.check, question.place, question.clause, question.weight) == ("contact-wording-ambiguous", "devices.imd.part", "", Weight.CLEAR)


def test_carrying_on_follows_names_keeps_states_and_notes_changes() -> None:
    after = load_text(SMALL_CAR.replace("hold_relay", "keep_relay").replace("430 kΩ", "470 kΩ").replace("mark: A, date: 2026-10-02", "mark: B, date: 2026-11-02"))
    before = asking(
        Question("q1", "devices.hold_relay.coil.release", "Why?", state=State.ANSWERED), Question("q2", "devices.bspd.delay", "Why?", state=State.ACCEPTED),
        Question("q3", "devices.imd", "Why?"), Question("q4", "devices.bspd", "Why?", state=State.WITHDRAWN),
    )  # fmt: skip
    carried = carried_on(before, Step(SMALL, after), DAY)
    assert carried == asking(
        Question("q1", "devices.keep_relay.coil.release", "Why?", state=State.ANSWERED, history=(
            Entry(DAY, "docgen", "The place devices.hold_relay.coil.release is called devices.keep_relay.coil.release now.", "B"),)),
        Question("q2", "devices.bspd.delay", "Why?", state=State.ACCEPTED, history=(
            Entry(DAY, "docgen", "At the place: device bspd: delay.resistor changed from “430 kΩ ± 1 %” to “470 kΩ ± 1 %”.", "B"),)),
        *before.questions[2:],
    )  # fmt: skip
    assert carried_on(carried, Step(SMALL, after), DAY) == carried


def test_carrying_on_notes_what_was_taken_out() -> None:
    after = edited(LATER + "devices: {bspd: {stage: null}}")
    (question,) = carried_on(asking(about("devices.bspd.stage.own")), Step(SMALL, after), DAY).questions
    assert question.place == "devices.bspd.stage.own"
    assert question.history[0].says == "At the place: device bspd: stage removed: own: “K3”; logic: “hard-wired”."


# ── Joining, collecting ───────────────────────────────────────────────────────────────────────────────────────────────


def test_two_reviewers_questions_become_one_file() -> None:
    first, second = read_questions(HERE / "first.yaml").review, read_questions(HERE / "second.yaml").review
    both = joined(first, second)
    assert [(one.name, one.place, one.state.value, one.weight.value, one.asked_by) for one in both.review.questions] == [
        ("q1", "devices.inertia_switch.place", "open", "must be settled", ""),
        ("q2", "devices.bspd.delay.resistor", "accepted", "must be settled", ""),
        ("q3", "loops.drive.path.precharge_unit.done", "open", "remark", ""),
        ("q4", "devices.hvd_link.removal.within", "open", "to be made clear", "second electrical reviewer"),
        ("q9", "devices.imd.response", "open", "remark", "second electrical reviewer"),
    ]
    assert [(entry.day.day, entry.by) for entry in both.review.questions[1].history] == [
        (14, "electrical reviewer"), (16, "second electrical reviewer"), (20, "electrical lead"), (22, "second electrical reviewer"),
    ]  # fmt: skip
    assert both.told == (
        "both files have a question q1, and they differ: the second file's is q4 now",
        "q2 is open in the first file and accepted in the second: accepted now, by the later entry of its history",
        "q2: “to be made clear” in the first file and “must be settled” in the second: “must be settled” now",
        "q7 of the second file asks the same as q3 of the first: it stands once, as q3",
    )
    assert edited_text(read_questions(HERE / "first.yaml"), both.review).startswith((HERE / "first.yaml").read_text(encoding="utf-8").split("  q2:")[0])


def test_a_file_joined_with_itself_stays_as_it_is() -> None:
    first = read_questions(HERE / "first.yaml").review
    assert (joined(first, first).review, joined(first, first).told) == (first, ())


def test_questions_of_one_role_in_two_files_need_no_name_of_it() -> None:
    other = Question("q2", "devices.imd", "Why?")
    assert joined(asking(about("devices.bspd")), asking(other)).review.questions[1] == other


def test_questions_about_two_cars_are_not_joined() -> None:
    first = read_questions(HERE / "first.yaml").review
    with pytest.raises(AnotherCar, match="one file asks about Petrel 5, the other about Dunlin 1"):
        joined(first, asking())


def test_a_note_becomes_a_question_and_a_reply_an_entry_and_neither_twice() -> None:
    review = asking(about("devices.bspd"))
    found = (Note("devices.imd", "And here?"), Note("devices.bspd", "Because of the noise.", review.questions[0]), Note("devices.bspd", "", review.questions[0]))
    new = collected(review, found, "electrical lead", DAY, "A")
    assert new.questions == (
        replace(review.questions[0], history=(Entry(DAY, "electrical lead", "Because of the noise.", "A"),)),
        Question("q2", "devices.imd", "And here?", asked_by="electrical lead", history=(Entry(DAY, "electrical lead", "Asked.", "A"),)),
    )
    assert collected(new, found, "electrical lead", date(2027, 1, 1), "B") == new


def test_a_question_that_stood_in_the_document_and_not_in_the_file_is_taken_over_with_its_history() -> None:
    other = replace(about("devices.imd", State.ANSWERED, said("A")), name="q5")
    assert collected(asking(), (Note("devices.imd", "", other),), "reviewer", DAY, "A").questions == (other,)


# ── The command ───────────────────────────────────────────────────────────────────────────────────────────────────────


def test_questions_are_drafted_checked_and_carried_on_by_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    first, car, asked = (str(path) for path in (EXAMPLE / "car_as_first_written.yaml", EXAMPLE / "car.yaml", tmp_path / "asked.yaml"))
    assert main(["questions", "draft", first, "--to", asked, "--role", "scrutineer"]) == 0
    review = read_questions(Path(asked)).review
    findings = check(load_file(EXAMPLE / "car_as_first_written.yaml"), UK).findings
    assert (review.car, review.reviewer, len(review.questions)) == ("Petrel 5", "scrutineer", len(findings))
    drafted_text = Path(asked).read_bytes()
    assert main(["questions", "draft", first, "--to", asked]) == 0
    assert Path(asked).read_bytes() == drafted_text
    capsys.readouterr()
    assert main(["questions", "check", first, asked]) == 0
    assert capsys.readouterr().out == f"{len(findings)} questions: 0 broken ties, 0 second looks; what changed was not judged (--before or --since names the earlier revision)\n"
    assert main(["questions", "check", car, asked, "--before", first]) == 1
    out = capsys.readouterr().out
    line = 1 + Path(asked).read_text(encoding="utf-8").splitlines().index("    place:    evidence.ds_k3.says.contact")
    assert f"asked.yaml:{line}:15: error: the place evidence.ds_k3.says.contact is not in car.yaml; must be a place that is there; nearest is evidence\n" in out
    assert main(["questions", "carry", car, asked, "--before", first, "--to", str(tmp_path / "next.yaml")]) == 0
    carried = read_questions(tmp_path / "next.yaml").review
    assert all(entry.day == date(2026, 5, 12) and entry.revision == "C" for one in carried.questions for entry in one.history if entry.by == "docgen")
    assert sum(one.history[-1].by == "docgen" for one in carried.questions) > 20


def test_questions_are_carried_on_from_a_git_revision(tmp_path: Path) -> None:
    git = [tool("git"), "-C", str(tmp_path), "-c", "user.name=team", "-c", "user.email=team@example.org"]
    car, asked = tmp_path / "car.yaml", tmp_path / "asked.yaml"
    car.write_text(SMALL_CAR, encoding="utf-8")
    for command in (["init", "-q"], ["add", "car.yaml"], ["commit", "-q", "-m", "Revision A"]):
        subprocess.run([*git, *command], check=True)
    car.write_text(SMALL_CAR.replace("hold_relay", "keep_relay").replace("mark: A,", "mark: B,"), encoding="utf-8")
    asked.write_text(new_text(asking(about("devices.hold_relay.coil"))), encoding="utf-8")
    assert main(["questions", "carry", str(car), str(asked), "--since", "HEAD"]) == 0
    (question,) = read_questions(asked).review.questions
    assert question.place == "devices.keep_relay.coil"
    assert question.history == (Entry(date(2026, 10, 2), "docgen", "The place devices.hold_relay.coil is called devices.keep_relay.coil now.", "B"),)


def test_two_files_are_joined_by_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "both.yaml"
    assert main(["questions", "join", str(HERE / "first.yaml"), str(HERE / "second.yaml"), "--to", str(target)]) == 0
    assert capsys.readouterr().out.splitlines()[-1] == f"5 questions in {target.as_posix()}"
    assert target.read_text(encoding="utf-8").endswith("# nothing more\n")
    assert len(read_questions(target).review.questions) == 5


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["check", "{example}/car.yaml", "{tmp}/none.yaml"], "none.yaml:1:1: unreadable: the file cannot be read: No such file or directory"),
        (["check", "{example}/car.yaml", "{tmp}/empty.yaml"], "empty.yaml:4:1: error: there are no questions; must be at least one, or there is nothing to check"),
        (["check", "{example}/car.yaml", "{tmp}/other.yaml"], "other.yaml:2:6: unreadable: the questions are about Heron 2"),
        (["check", "{example}/car.yaml", "{example}/car.yaml"], "car.yaml:1:1: unreadable: no questions stand in this file"),
        (["draft", "{example}/car.yaml", "--to", "{tmp}/new.yaml", "--date", "May"], "error: --date May is no day; must be written as 2026-11-14"),
        (["draft", "{example}/car.yaml", "--to", "{tmp}/other.yaml"], "other.yaml:2:6: unreadable: the questions are about Heron 2"),
        (["draft", "{tmp}/nameless.yaml", "--edition", "fsuk-2026", "--to", "{tmp}/new.yaml"], "error: the car has no name"),
        (["draft", "{tmp}/dayless.yaml", "--edition", "fsuk-2026", "--to", "{tmp}/new.yaml"], "error: the newest revision gives no day"),
        (["carry", "{example}/car.yaml", "{tmp}/other.yaml", "--before", "{example}/car.yaml"], "other.yaml:2:6: unreadable: the questions are about Heron 2"),
        (["join", "{tmp}/other.yaml", "{tests}/first.yaml", "--to", "{tmp}/new.yaml"], "error: one file asks about Heron 2, the other about Petrel 5"),
        (["collect", "{example}/car.yaml", "--to", "{tmp}/new.yaml"], "car.yaml:1:1: unreadable: this is no Word file"),
        (["collect", "{tmp}/none.docx", "--to", "{tmp}/new.yaml"], "none.docx:1:1: unreadable: the file cannot be read: No such file or directory"),
    ],
)
def test_what_cannot_be_done_is_said_and_nothing_is_written(arguments: list[str], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "empty.yaml").write_text("docgen: 1\ncar: Petrel 5\nreviewer: reviewer\nquestions: {}\n", encoding="utf-8")
    (tmp_path / "other.yaml").write_text(SHORT.replace("Dunlin 1", "Heron 2"), encoding="utf-8")
    (tmp_path / "nameless.yaml").write_text("docgen: 1\ncar: {number: E1}\n", encoding="utf-8")
    (tmp_path / "dayless.yaml").write_text("docgen: 1\ncar: {name: Heron 2}\n", encoding="utf-8")
    before = {path: path.read_bytes() for path in tmp_path.iterdir()}
    places = {"example": EXAMPLE.as_posix(), "tmp": tmp_path.as_posix(), "tests": HERE.as_posix()}
    assert main(["questions", *(argument.format(**places) for argument in arguments)]) == 2
    captured = capsys.readouterr()
    assert said in captured.err and "Traceback" not in captured.err
    assert {path: path.read_bytes() for path in tmp_path.iterdir()} == before
