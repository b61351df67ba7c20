"""Comments in Word files: put beside their places, and read again. LibreOffice stands in for Word."""

import io
import re
import shutil
import subprocess
import zipfile
from datetime import UTC, date, datetime
from pathlib import Path

import docx
import pytest
from conftest import tool
from docx.oxml.ns import qn
from openxml_audit import OpenXmlValidator

from docgen.check import check
from docgen.cli import main
from docgen.editions import edition
from docgen.inputs import shipped_templates
from docgen.load import Description, load_file
from docgen.nodes import Column, Document, Heading, Source, Table, cell, labels
from docgen.prose import Words
from docgen.question_chapter import bookmarked, comments, notes, question_blocks
from docgen.questions import Question, Review, State
from docgen.questions_file import read_questions
from docgen.reading import Unreadable
from docgen.word_file import word_file
from docgen.writers.word import write_word
from docgen.writers.word_comments import Comment, Remark, commented, read_comments

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "example_car"
STYLE = (ROOT / "templates" / "style.docx").read_bytes()
FACTS = Table("table-device-bspd", "Facts", (Column("Field"), Column("Value")), ((cell("part"), cell("board")), (cell("when lost"), cell("opens"))))
PLAIN = write_word(
    Document(
        "Heron", "Devices", "Team", "A", date(2026, 11, 2), "docgen", Source("car.yaml", "docgen: 1\n", "0" * 64), "footer",
        (Heading(1, "The devices", "devices"), Heading(2, "The BSPD", "device-bspd"), FACTS),
    ),
    STYLE,
)  # fmt: skip
DAY = date(2026, 11, 3)
HEADING = Comment("device-bspd", "", "electrical reviewer", "ER", DAY, ("Why <b>so</b> & not?", "[q1] devices.bspd"))
ROW = Comment("table-device-bspd", "when lost", "second reviewer", "SR", DAY, ("And the ground?",))
KNOWN = ("devices", "device_bspd", "table_device_bspd")


def read(data: bytes) -> tuple[Remark, ...]:
    return read_comments(word_file(data, "commented.docx"), KNOWN)


def repacked(data: bytes, **parts: str) -> bytes:
    """The Word file with parts of its text folder exchanged or added."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(made, "w") as new:
        for name in old.namelist():
            if name not in {f"word/{part}.xml" for part in parts}:
                new.writestr(name, old.read(name))
        for part, text in parts.items():
            new.writestr(f"word/{part}.xml", text)
    return made.getvalue()


def part(data: bytes, name: str) -> str:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return archive.read(f"word/{name}.xml").decode()


# ── Writing ───────────────────────────────────────────────────────────────────────────────────────────────────────────


def test_comments_stand_around_their_heading_and_their_row(tmp_path: Path) -> None:
    path = tmp_path / "commented.docx"
    path.write_bytes(commented(PLAIN, (HEADING, ROW)))
    word = docx.Document(str(path))
    assert [(one.author, one.initials, one.timestamp, [line.text for line in one.paragraphs]) for one in word.comments] == [
        ("electrical reviewer", "ER", datetime(2026, 11, 3, tzinfo=UTC), ["Why <b>so</b> & not?", "[q1] devices.bspd"]),
        ("second reviewer", "SR", datetime(2026, 11, 3, tzinfo=UTC), ["And the ground?"]),
    ]
    around = [start.getparent() for start in word.element.body.iter(qn("w:commentRangeStart"))]
    assert ["".join(text.text for text in paragraph.iter(qn("w:t"))) for paragraph in around] == ["The BSPD", "when lost"]
    assert OpenXmlValidator().validate(str(path)).errors == OpenXmlValidator().validate(_saved(PLAIN, tmp_path)).errors == []


def _saved(data: bytes, folder: Path) -> str:
    (folder / "plain.docx").write_bytes(data)
    return str(folder / "plain.docx")


def test_a_row_that_is_not_there_leaves_the_comment_at_the_caption() -> None:
    elsewhere = Comment("table-device-bspd", "no such field", "reviewer", "R", DAY, ("Why?",))
    assert read(commented(PLAIN, (elsewhere,))) == (Remark("table_device_bspd", (), ("Why?",), None),)


def test_the_same_comments_give_the_same_bytes_and_none_leave_them() -> None:
    assert commented(PLAIN, (HEADING, ROW)) == commented(PLAIN, (HEADING, ROW))
    assert commented(PLAIN, ()) == PLAIN


def test_a_comment_on_a_place_that_the_document_lacks_is_an_error() -> None:
    with pytest.raises(ValueError, match="the document has no place 'device-imd'"):
        commented(PLAIN, (Comment("device-imd", "", "reviewer", "R", DAY, ("Why?",)),))


# ── Reading ───────────────────────────────────────────────────────────────────────────────────────────────────────────


def test_comments_are_read_with_their_place_and_without_who_wrote_them() -> None:
    data = commented(PLAIN, (ROW, HEADING))
    data = repacked(data, comments=part(data, "comments").replace("electrical reviewer", "Jane Doe").replace('"ER"', '"JD"'))
    found = read(data)
    assert found == (
        Remark("device_bspd", (), ("Why <b>so</b> & not?", "[q1] devices.bspd"), None),
        Remark("table_device_bspd", ("when lost", "opens"), ("And the ground?",), None),
    )
    assert "Jane" not in repr(found) and "JD" not in repr(found)


def test_a_reply_is_known_by_what_it_replies_to() -> None:
    data = commented(PLAIN, (HEADING, ROW))
    w14 = 'xmlns:w14="http://schemas.microsoft.com/office/word/2010/wordml"'
    paragraphs = iter(("1A", "1B", "2A"))
    numbered = re.sub("<w:p>", lambda _: f'<w:p w14:paraId="0000{next(paragraphs)}">', part(data, "comments")).replace("<w:comments", f"<w:comments {w14}")
    extended = (
        '<w15:commentsEx xmlns:w15="http://schemas.microsoft.com/office/word/2012/wordml"><w15:commentEx w15:paraId="00001B" w15:done="0"/>'
        '<w15:commentEx w15:paraId="00002A" w15:paraIdParent="00001B" w15:done="0"/></w15:commentsEx>'
    )
    assert [remark.answers for remark in read(repacked(data, comments=numbered, commentsExtended=extended))] == [None, 0]


def test_what_is_nothing_to_read_is_taken_out_of_a_comment() -> None:
    odd = Comment("devices", "", "reviewer", "R", DAY, ("a\u202eb\u200e  c\u200b", "", "d"))
    assert read(commented(PLAIN, (odd,)))[0].lines == ("ab c", "d")


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        ({}, "the document holds no comments"),
        ({"comments": '<!DOCTYPE w [<!ENTITY a "b">]><w>&a;</w>'}, "declares entities"),
        ({"comments": "<w:comments"}, "is no XML"),
    ],
)
def test_a_document_that_is_not_fit_is_refused(parts: dict[str, str], said: str) -> None:
    with pytest.raises(Unreadable, match=said):
        read(repacked(PLAIN, **parts))


def test_too_many_comments_are_refused() -> None:
    many = commented(PLAIN, (Comment("devices", "", "reviewer", "R", DAY, ("Why?",)),) * 2001)
    with pytest.raises(Unreadable, match="holds 2001 comments; must hold at most 2000"):
        read(many)


# ── A whole submission ────────────────────────────────────────────────────────────────────────────────────────────────


@pytest.fixture(scope="module")
def car() -> Description:
    return load_file(EXAMPLE / "car.yaml")


@pytest.fixture(scope="module")
def submission(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("submission")
    assert main(["build", str(EXAMPLE / "car.yaml"), "--questions", str(EXAMPLE / "questions.yaml"), "--to", str(folder)]) == 0
    return folder


@pytest.mark.parametrize(
    ("bookmark", "cells", "place"),
    [
        ("device_bspd", (), "devices.bspd"),
        ("table_device_bspd", ("when lost", "feed opens"), "devices.bspd.when_lost"),
        ("table_device_bspd", ("sensors: dc_current", "measures …"), "devices.bspd.sensors.dc_current"),
        ("table_device_bspd", ("Field", "Value"), "devices.bspd"),
        ("table_devices", ("activation_relay.hold activation logic", "open"), "devices.activation_relay"),
        ("table_fuses", ("F3", "rating 3 A"), "low_voltage.fuses.F3"),
        ("low_voltage_feeds", (), "low_voltage.feeds"),
        ("table_order_drive", ("31", "precharge_unit.running", "controller"), "loops.drive.path.precharge_unit.running"),
        ("table_signals", ("apps_1", "analogue"), "signals.apps_1"),
        ("table_revisions", ("B", "2026-03-20"), "revisions.B"),
        ("table_findings", ("ERROR latch-missing", "car.yaml:573 devices.imd.reset", "…"), "devices.imd.reset"),
        ("table_findings", ("ERROR order", "car.yaml:9 loops.drive.path[3]", "…"), "loops.drive.path"),
        ("table_pedal_vs_brake", ("trips", "…"), "demand.pedal_vs_brake_check.trips"),
        ("numbers", (), "the whole car"),
        ("", (), "the whole car"),
    ],
)  # fmt: skip
def test_a_comment_asks_about_the_field_beside_which_it_stands(bookmark: str, cells: tuple[str, ...], place: str, car: Description) -> None:
    (note,) = notes((Remark(bookmark, cells, ("Why?",), None),), Review("Petrel 5", "reviewer"), car)
    assert (note.place, note.text, note.about) == (place, "Why?", None)


def test_a_comment_in_the_table_of_the_questions_speaks_of_the_question_in_its_row(car: Description) -> None:
    review = read_questions(EXAMPLE / "questions.yaml").review
    (note,) = notes((Remark("table_questions", ("q5", "devices.over_travel_switch.reset.where"), ("Agreed.",), None),), review, car)
    assert (note.text, note.about) == ("Agreed.", review.question("q5"))


def test_a_reply_and_an_edited_text_speak_of_the_question_that_stood_there(car: Description) -> None:
    review = read_questions(EXAMPLE / "questions.yaml").review
    q5 = review.question("q5")
    own = "Taking the nose cone off keeps the driver from the lever. Please say in the text who may take it off."
    last = "[q5] devices.over_travel_switch.reset.where · open · remark"
    remarks = (
        Remark("numbers", (), (own, last), None), Remark("numbers", (), ("A mechanic.",), 0), Remark("numbers", (), ("Who may take it off?", last), None),
        Remark("device_imd", (), ("[q99] of another file",), None),
    )  # fmt: skip
    assert [(note.place, note.text, note.about) for note in notes(remarks, review, car)] == [
        ("devices.over_travel_switch.reset.where", "", q5),
        ("devices.over_travel_switch.reset.where", "A mechanic.", q5),
        ("devices.over_travel_switch.reset.where", "Who may take it off?", q5),
        ("devices.imd", "[q99] of another file", None),
    ]


def test_open_and_answered_questions_are_printed_beside_their_places(submission: Path, car: Description) -> None:
    data = (submission / "submission.docx").read_bytes()
    found = read_comments(word_file(data, "submission.docx"), bookmarked(car))
    beside = notes(tuple(Remark(one.bookmark, one.cells, one.lines[:-1], None) for one in found), Review("Petrel 5", "reviewer"), car)
    assert {one.lines[-1].split("]")[0]: note.place for one, note in zip(found, beside, strict=True)} == {
        "[q2": "devices.bspd.when_lost", "[q4": "loops.drive", "[q5": "devices.over_travel_switch.reset", "[q7": "signals.cell_voltages",
    }  # fmt: skip
    assert [one.lines for one in found if one.lines[-1].startswith("[q2]")] == [(
        "What does the output relay do when the board loses its ground alone, with the feed still there?",
        "electrical lead, 2026-05-12, revision C: Tested on the bench with the ground wire pulled: K3 releases. (changed: devices.bspd.when_lost.ground)",
        "[q2] devices.bspd.when_lost.ground · answered · must be settled · clause EV6.1.7",
    )]  # fmt: skip


def test_the_chapter_of_the_questions_stands_in_word_and_page(submission: Path) -> None:
    page = (submission / "submission.html").read_text(encoding="utf-8")
    assert "Questions of the reviewer" in page
    assert "The electrical reviewer has asked 7 questions: 3 open, 1 answered, 2 accepted, 1 withdrawn." in page
    rows = (submission / "tables" / "questions.csv").read_text(encoding="utf-8-sig").splitlines()
    assert len(rows) == 8
    assert rows[0] == "Question,Place and clause,What is asked,State,Last word"
    assert rows[7].startswith("q7,signals.cell_voltages.failure_modes.short to ground.tested EV9.1,")


def test_a_question_on_a_place_that_is_gone_stands_in_the_table_of_the_questions(car: Description) -> None:
    review = Review("Petrel 5", "reviewer", (Question("q1", "devices.nobody", "Why?"), Question("q2", "devices.bspd", "Why?", state=State.WITHDRAWN)))
    blocks = tuple(question_blocks(review, check(car, edition("fsuk-2026")), Words([shipped_templates()]), {}))
    assert list(labels(blocks)) == ["questions", "table-questions"]
    assert [(one.anchor, one.row, one.lines[-1]) for one in comments(review, blocks, car, DAY)] == [
        ("table-questions", "q1", "[q1] devices.nobody · open · to be made clear"),
    ]  # fmt: skip


def _with_word(submission: Path, target: Path) -> None:
    """What a reviewer does in an office program: an edited comment, and two new ones, one of them in a table."""
    word = docx.Document(str(submission / "submission.docx"))
    next(one for one in word.comments if one.text.startswith("Taking the nose cone")).add_paragraph("The fuel cap too?")
    heading = next(one for one in word.paragraphs if one.text == "Insulation monitoring device" and one.style.name == "Heading 2")
    word.add_comment(heading.runs, "Which list is meant?", author="Jane Doe", initials="JD")
    facts = next(one for one in word.tables if [each.text for each in one.rows[0].cells] == ["Field", "Value"] and one.cell(2, 1).text == "Inertia switch")
    latch = next(row for row in facts.rows if row.cells[0].text == "latch")
    word.add_comment(latch.cells[1].paragraphs[0].runs, "Can it be reset by shaking?", author="Jane Doe", initials="JD")
    word.save(str(target))


def test_what_a_reviewer_writes_in_word_comes_back_as_questions(submission: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    document, asked = tmp_path / "commented.docx", tmp_path / "questions.yaml"
    shutil.copy(EXAMPLE / "questions.yaml", asked)
    _with_word(submission, document)
    assert main(["questions", "collect", str(document), "--to", str(asked), "--date", "2026-05-25"]) == 0
    assert capsys.readouterr().out.startswith("6 comments: 2 questions added, 1 with a new entry")
    before, after = read_questions(EXAMPLE / "questions.yaml").review, read_questions(asked).review
    assert [(one.name, one.place, one.text, one.history[0].day) for one in after.questions[7:]] == [
        ("q8", "devices.inertia_switch.latch", "Can it be reset by shaking?", date(2026, 5, 25)),
        ("q9", "devices.imd", "Which list is meant?", date(2026, 5, 25)),
    ]
    assert after.questions[4].history[:-1] == before.questions[4].history
    assert after.questions[4].history[-1].says == "The fuel cap too?"
    assert [one for one in after.questions[:7] if one != before.question(one.name)] == [after.questions[4]]
    written = asked.read_text(encoding="utf-8")
    assert "Jane" not in written and "# to be asked again at the car" in written
    assert main(["questions", "collect", str(document), "--to", str(asked)]) == 0
    assert asked.read_text(encoding="utf-8") == written


def test_a_document_gives_all_its_questions_to_a_new_file(submission: Path, tmp_path: Path) -> None:
    assert main(["questions", "collect", str(submission / "submission.docx"), "--to", str(tmp_path / "new.yaml")]) == 0
    assert read_questions(tmp_path / "new.yaml").review == read_questions(EXAMPLE / "questions.yaml").review


def test_a_document_without_comments_and_a_page_are_refused(submission: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plain = tmp_path / "plain"
    assert main(["build", str(EXAMPLE / "car.yaml"), "--to", str(plain)]) == 0
    for document, said in ((plain / "submission.docx", "the document holds no comments"), (submission / "submission.html", "this is no Word file")):
        assert main(["questions", "collect", str(document), "--to", str(tmp_path / "new.yaml")]) == 2
        assert said in capsys.readouterr().err
    assert not (tmp_path / "new.yaml").exists()


@pytest.mark.libreoffice
def test_libreoffice_gives_back_the_same_questions(submission: Path, tmp_path: Path) -> None:
    document, asked = tmp_path / "commented.docx", tmp_path / "questions.yaml"
    shutil.copy(EXAMPLE / "questions.yaml", asked)
    _with_word(submission, document)
    arguments = ["--headless", "--convert-to", "docx:MS Word 2007 XML", "--outdir", str(tmp_path / "saved"), str(document)]
    subprocess.run([tool("soffice"), f"-env:UserInstallation={(tmp_path / 'office').as_uri()}", *arguments], check=True, capture_output=True, timeout=180)
    saved = tmp_path / "saved" / "commented.docx"
    assert saved.read_bytes() != document.read_bytes()
    assert main(["questions", "collect", str(saved), "--to", str(asked), "--date", "2026-05-25"]) == 0
    through_office = asked.read_text(encoding="utf-8")
    shutil.copy(EXAMPLE / "questions.yaml", asked)
    assert main(["questions", "collect", str(document), "--to", str(asked), "--date", "2026-05-25"]) == 0
    assert through_office == asked.read_text(encoding="utf-8")
    assert "Can it be reset by shaking?" in through_office
