"""Tracked changes. The judge is an acceptance and a rejection written here from the file format, and LibreOffice's own."""

import html
import io
import json
import re
import struct
import subprocess
import zipfile
import zlib
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

import docx
import pytest
from conftest import TESTS, edited, tool
from docx.oxml.ns import qn
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openxml_audit import OpenXmlValidator

from docgen.build import submission_of
from docgen.check import check
from docgen.editions import edition
from docgen.load import load_file
from docgen.nodes import (
    Block,
    Box,
    Break,
    Code,
    Column,
    Contents,
    Document,
    Figure,
    Heading,
    Inlines,
    Listing,
    PageBreak,
    Paragraph,
    Picture,
    Reference,
    Source,
    Strong,
    Table,
    Text,
    Tone,
    cell,
    words,
)  # fmt: skip
from docgen.writers.word import write_word
from docgen.writers.word_tracked import write_tracked

STYLE = (TESTS.parent / "templates" / "style.docx").read_bytes()
ACCEPT, REJECT = ("ins", "del"), ("del", "ins")
"""What stays of tracked changes, and what goes."""
BREAK = "Gap|False||<page>"
"""A page break as a line; where a sheet is turned, Word needs none, and the writer leaves it out."""


def _png() -> bytes:
    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", 2, 1, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0\x80\x80")) + chunk(b"IEND", b"")


def _picture(mark: str = "0") -> Picture:
    return Picture(f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 2 1"><path d="M{mark} 0L2 1"/></svg>', _png(), 80, 40)


def _document(*blocks: Block, revision: str = "B") -> Document:
    return Document(
        "Heron: design", f"Devices, revision {revision}", "Team", revision, date(2026, 11, 2), "docgen",
        Source("car.yaml", f"revision: {revision}\n", revision.lower() * 64, kind="submission"), "Heron. docgen approves nothing.", blocks,
    )  # fmt: skip


def _text(*parts: Any) -> Paragraph:
    return Paragraph(words(*parts))


def _table(*rows: tuple[str, ...], anchor: str = "fuses", heads: Sequence[str] = ("Fuse", "Rated")) -> Table:
    return Table(anchor, "The fuses", tuple(map(Column, heads)), tuple(tuple(map(cell, row)) for row in rows))


def _tracked(before: Sequence[Block], after: Sequence[Block]) -> bytes:
    return write_tracked(_document(*before), _document(*after, revision="C"), STYLE, "docgen", date(2026, 11, 3))


def _part(data: bytes, name: str) -> str:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return archive.read(name).decode("utf-8")


# ---- what a file says once all its changes are judged


def _body(data: bytes) -> Any:
    return docx.Document(io.BytesIO(data)).element.body


def _judged(data: bytes, verdict: tuple[str, str]) -> Any:
    """The text of a file with every change accepted or rejected, as ECMA-376 (17.13.5) describes the marks."""
    stays, goes = (qn(f"w:{change}") for change in verdict)
    body = _body(data)
    for line in [line for line in body.iter(qn("w:tr")) if line.find(qn("w:trPr")) is not None and line.find(qn("w:trPr")).find(goes) is not None]:
        line.getparent().remove(line)
    for grid in [grid for grid in body.iter(qn("w:tbl")) if grid.find(qn("w:tr")) is None]:
        grid.getparent().remove(grid)
    for mark in [mark for mark in body.iter(goes) if mark.getparent().tag not in (qn("w:rPr"), qn("w:trPr"))]:
        mark.getparent().remove(mark)
    for text in list(body.iter(qn("w:p"))):
        if text.find(f"{qn('w:pPr')}/{qn('w:rPr')}/{goes}") is not None:
            following = text.getnext()
            runs = [node for node in text if node.tag != qn("w:pPr")]
            if any(node.tag == qn("w:r") for node in runs):
                assert following is not None and following.tag == qn("w:p")
            if following is not None and following.tag == qn("w:p"):
                following[1:1] = runs
            text.getparent().remove(text)
    for mark in [mark for mark in body.iter(stays) if mark.getparent().tag not in (qn("w:rPr"), qn("w:trPr"))]:
        for node in list(mark):
            mark.addprevious(node)
        mark.getparent().remove(mark)
    for text in body.iter(qn("w:delText"), qn("w:delInstrText")):
        text.tag = qn("w:t") if text.tag == qn("w:delText") else qn("w:instrText")
    return body


def _lines(body: Any) -> list[str]:
    """Every paragraph as a line: cell or not, style, number, text with its fields counted anew, pictures; pages of contents left out."""
    depth, counts, marks = [0, 0, 0, 0], Counter[str](), dict[str, tuple[str, str]]()
    lines: list[list[str | tuple[str, bool]]] = []
    for text in body.iter(qn("w:p")):
        style = text.xpath("string(./w:pPr/w:pStyle/@w:val)")
        place = "".join(f" of {row.index(text.getparent())}" for row in text.iterancestors(qn("w:tr")))
        number = ""
        if re.fullmatch("Heading[1-4]", style):
            level = int(style[-1])
            depth[level - 1 :] = [depth[level - 1] + 1, *[0] * (4 - level)]
            number = ".".join(map(str, depth[:level]))
        line: list[str | tuple[str, bool]] = [f"{style}{place}|{bool(text.xpath('./w:pPr/w:numPr'))}|{number}|"]
        within: dict[str, tuple[str, int]] = {}
        instruction, silent = "", False
        for node in text.iter():
            match node.tag.rpartition("}")[2]:
                case "bookmarkStart":
                    within[node.get(qn("w:id"))] = node.get(qn("w:name")), len(line)
                case "bookmarkEnd":
                    name, start = within[node.get(qn("w:id"))]
                    marks[name] = number, "".join(part for part in line[start:] if isinstance(part, str))
                case "fldChar" if node.get(qn("w:fldCharType")) == "begin":
                    instruction, silent = "", True
                case "fldChar" if node.get(qn("w:fldCharType")) == "end":
                    kind, target, *switches = instruction.split()
                    counts[target] += kind == "SEQ"
                    line.append(str(counts[target]) if kind == "SEQ" else (target, "\\r" in switches) if kind == "REF" else "")
                    silent = False
                case "instrText":
                    instruction += node.text
                case "t" if not silent:
                    line.append(node.text or "")
                case "tab" if node.getparent().tag == qn("w:r"):
                    line.append("\t")
                case "br":
                    line.append(f"<{node.get(qn('w:type'), 'line')}>")
                case "blip":
                    line.append(f"<{node.get(qn('r:embed'))[:0]}{text.xpath('string(.//*[@descr]/@descr)')}>")
                case "delText" | "delInstrText":
                    raise AssertionError("deleted text outside a deletion")
        lines.append(line)
    return [
        "".join(part if isinstance(part, str) else marks[part[0]][0 if part[1] else 1] for part in line)
        for line in lines
        if line[1:] or not line[0].startswith("Gap|")  # type: ignore[union-attr]
    ]


def _assert_both_ways(before: Document, after: Document, tracked: bytes, without: str = "") -> None:
    for verdict, document in ((ACCEPT, after), (REJECT, before)):
        judged, plain = (_lines(body) for body in (_judged(tracked, verdict), _body(write_word(document, STYLE))))
        assert [line for line in judged if line != without] == [line for line in plain if line != without]


# ---- pairs of documents


INTRO = Heading(1, "Overview", "overview")
PAIRS: dict[str, tuple[tuple[Block, ...], tuple[Block, ...]]] = {
    "words": ((INTRO, _text("The relay ", Strong("opens"), " at 5 V.")), (INTRO, _text("The relay ", Strong("closes"), " at 6 V."))),
    "a paragraph": ((INTRO, _text("first"), _text("old words only")), (INTRO, _text("fresh"), _text("first"))),
    "a heading": ((Contents(2), INTRO, Heading(2, "Limits", "limits")), (Contents(2), INTRO, Heading(2, "All limits", "limits"), Heading(2, "B", "b"))),
    "the level of a heading": ((Contents(2), INTRO, Heading(2, "A", "a"), _text(Reference("a"))), (Contents(2), INTRO, Heading(1, "A", "a"), _text(Reference("a")))),
    "a cell": ((_table(("F1", "5 A"), ("F2", "7 A")),), (_table(("F1", "5 A"), ("F2", "10 A")),)),
    "rows": ((_table(("F1", "5 A"), ("F2", "7 A")),), (_table(("F0", "1 A"), ("F1", "5 A")),)),
    "columns": ((_table(("F1", "5 A")), _text("See ", Reference("fuses"))), (_table(("F1", "x", "y"), heads=("Fuse", "A", "B")), _text("See ", Reference("fuses")))),
    "all tables": ((_table(("F1", "5 A")), _text("x")), (_text("x"),)),
    "a table before a table": ((_table(("F1", "5 A")),), (_table(("R1", "2 A"), anchor="relays"), _table(("F1", "5 A")), _text(Reference("fuses")))),
    "tables in another order": (
        (_text(Reference("fuses")), _table(("F1", "5 A")), _table(("R1", "1"), anchor="relays")),
        (_text(Reference("fuses")), _table(("R1", "1"), anchor="relays"), _table(("F1", "5 A"))),
    ),
    "a drawing": ((Figure("loop", "Loop", _picture(), "Two contacts"),), (Figure("loop", "The loop", _picture("1"), "Three contacts"),)),
    "a caption": ((Figure("loop", "Loop", _picture(), "Two contacts"),), (Figure("loop", "Loop one", _picture(), "Two contacts"),)),
    "a figure": ((_text("x"), Figure("loop", "Loop", _picture(), "Two contacts")), (_text("x"), Figure("wires", "Wires", _picture(), "Two wires"), _text("y"))),
    "a wide figure": ((_text("x"), _text("y")), (_text("x"), replace(Figure("loop", "Loop", _picture(), "Two"), wide=True), _text("y"))),
    "a box": ((Box(Tone.DANGER, "Wait", (_text("Wait."), _text("Touch nothing."))),), (Box(Tone.DANGER, "Wait", (_text("Wait ten minutes."), _text("Touch nothing."))),)),
    "the end of a box": ((Box(Tone.NOTE, "Wait", (_text("Wait."),)), _text("x")), (Box(Tone.NOTE, "Wait", (_text("Wait."), _text("Touch."))), _text("x"))),
    "items": (
        (Listing(((_text("one"),), (_text("two"), Listing(((_text("a"),),))), (_text("three words here"),)), ordered=True), _text("x")),
        (Listing(((_text("two"), Listing(((_text("a"),), (_text("b"),)))), (_text("three letters here"),), (_text("four"),)), ordered=True), _text("x")),
    ),
    "a link": ((INTRO, _text("See ", Reference("overview", "the overview"), " first.")), (INTRO, _text("See ", Reference("overview", "all of it"), " first."))),
    "a reference": ((INTRO, _table(("F1", "5 A")), _text("See ", Reference("fuses"))), (INTRO, _table(("F1", "5 A")), _text("See ", Reference("overview")))),
    "a page break": ((_text("x"), PageBreak(), _text("y")), (_text("x"), _text("y"))),
    "everything": ((INTRO, _text("x"), _table(("F1", "5 A"))), ()),
    "nothing": ((INTRO, _text("x")), (INTRO, _text("x"))),
}  # fmt: skip


@pytest.mark.parametrize("what", PAIRS)
def test_accepting_gives_the_newer_and_rejecting_the_older_document(what: str, tmp_path: Path) -> None:
    before, after = PAIRS[what]
    tracked = _tracked(before, after)
    _assert_both_ways(_document(*before), _document(*after, revision="C"), tracked)
    (tmp_path / "tracked.docx").write_bytes(tracked)
    assert OpenXmlValidator().validate(tmp_path / "tracked.docx").errors == []


VOCABULARY = ["relay", "opens", "5 V", "at rest,", "(closed)", "fuse.", "  ", "ein\u0308", "", "<w:p>&"]
ANCHORS = ["a", "b", "c", "d"]


@st.composite
def _inlines(draw: st.DrawFn) -> Inlines:
    kinds = st.sampled_from([Text, Text, Strong, Code])
    plain = st.builds(lambda kind, parts: kind(" ".join(parts)), kinds, st.lists(st.sampled_from(VOCABULARY), max_size=4))
    pointing = st.builds(Reference, st.sampled_from(ANCHORS), st.sampled_from(["", "", "see there"]))
    return tuple(draw(st.lists(st.one_of(plain, plain, pointing, st.just(Break())), max_size=4)))


PARAGRAPHS = st.builds(Paragraph, _inlines())
LISTINGS = st.recursive(
    st.builds(Listing, st.lists(st.lists(PARAGRAPHS, min_size=1, max_size=2).map(tuple), min_size=1, max_size=3).map(tuple), st.booleans()),
    lambda inner: st.builds(Listing, st.lists(st.lists(st.one_of(PARAGRAPHS, inner), max_size=2).map(tuple), min_size=1, max_size=2).map(tuple), st.booleans()),
    max_leaves=3,
)
BOXES = st.builds(Box, st.sampled_from(Tone), st.sampled_from(["Wait", "High voltage"]), st.lists(st.one_of(PARAGRAPHS, LISTINGS), min_size=1, max_size=3).map(tuple))
HEADINGS = st.builds(Heading, st.integers(1, 3), st.sampled_from(["Relay", "Relay and fuse"]), st.sampled_from(ANCHORS))
FIGURES = st.builds(
    Figure, st.sampled_from(ANCHORS), st.sampled_from(["Loop", "The loop"]), st.sampled_from(["0", "1"]).map(_picture), st.just("Shown"), st.booleans()
)


@st.composite
def _tables(draw: st.DrawFn) -> Table:
    heads = draw(st.sampled_from([("Fuse",), ("Fuse", "Rated")]))
    rows = st.lists(st.tuples(*[_inlines()] * len(heads)), max_size=4)
    return Table(draw(st.sampled_from(ANCHORS)), "Fuses", tuple(map(Column, heads)), tuple(draw(rows)), draw(st.booleans()))


BLOCKS = st.lists(st.one_of(PARAGRAPHS, PARAGRAPHS, LISTINGS, BOXES, HEADINGS, FIGURES, _tables(), st.just(Contents(2)), st.just(PageBreak())), max_size=7)


def _sound(blocks: Sequence[Block]) -> tuple[Block, ...]:
    """The blocks without a second use of an anchor, with headings in step, and all anchors somewhere."""
    seen: set[str] = set()
    kept: list[Block] = []
    level = 0
    for block in blocks:
        if isinstance(block, Heading | Table | Figure):
            if block.anchor in seen:
                continue
            seen.add(block.anchor)
            if isinstance(block, Heading):
                block = replace(block, level=min(block.level, level + 1))
                level = block.level
        kept.append(block)
    return (*kept, *(Heading(1, "Rest", anchor) for anchor in ANCHORS if anchor not in seen))


@st.composite
def _pairs(draw: st.DrawFn) -> tuple[tuple[Block, ...], tuple[Block, ...]]:
    before = draw(BLOCKS)
    if draw(st.booleans()):
        after = [block for block in before if draw(st.booleans())]
        after[draw(st.integers(0, len(after))) : 0] = draw(BLOCKS)[:2]
    else:
        after = draw(BLOCKS)
    return _sound(before), _sound(after)


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(_pairs())
def test_any_two_documents_come_back_from_their_changes(pair: tuple[tuple[Block, ...], tuple[Block, ...]]) -> None:
    before, after = _document(*pair[0]), _document(*pair[1], revision="C")
    _assert_both_ways(before, after, write_tracked(before, after, STYLE, "docgen", None), without=BREAK)


# ---- what is marked, and how


def _marks(data: bytes) -> list[Any]:
    return list(_body(data).iter(qn("w:ins"), qn("w:del")))


def _marked_text(data: bytes) -> list[tuple[str, str]]:
    """Change and text of every marked stretch below the head of the first page."""
    found = []
    for mark in _marks(data):
        text = "".join(node.text or "" for node in mark.iter(qn("w:t"), qn("w:delText")))
        if text and mark.getparent().xpath("string(./w:pPr/w:pStyle/@w:val)") not in ("Title", "Subtitle", "DocumentData"):
            found.append((mark.tag.rpartition("}")[2], text))
    return found


def test_every_change_has_its_own_number_the_author_and_the_day() -> None:
    marks = _marks(_tracked(*PAIRS["items"]))
    assert {mark.get(qn("w:author")) for mark in marks} == {"docgen"}
    assert {mark.get(qn("w:date")) for mark in marks} == {"2026-11-03T00:00:00Z"}
    numbers = [mark.get(qn("w:id")) for mark in marks]
    assert len(numbers) == len(set(numbers)) > 5


def test_without_a_day_the_changes_are_dated_to_the_first_of_2000() -> None:
    marks = _marks(write_tracked(_document(), _document(revision="C"), STYLE, "docgen", None))
    assert {mark.get(qn("w:date")) for mark in marks} == {"2000-01-01T00:00:00Z"}


def test_no_number_of_a_change_is_that_of_a_bookmark() -> None:
    body = _body(_tracked(*PAIRS["tables in another order"]))
    bookmarks = [mark.get(qn("w:id")) for mark in body.iter(qn("w:bookmarkStart"))]
    names = [mark.get(qn("w:name")) for mark in body.iter(qn("w:bookmarkStart"))]
    assert len(set(names)) == len(names) == len(set(bookmarks))
    assert not set(bookmarks) & {mark.get(qn("w:id")) for mark in body.iter(qn("w:ins"), qn("w:del"))}


def test_only_the_words_that_differ_are_marked() -> None:
    assert _marked_text(_tracked(*PAIRS["words"])) == [("del", "opens"), ("ins", "closes"), ("del", "5"), ("ins", "6")]
    assert _marked_text(_tracked(*PAIRS["a cell"])) == [("del", "7"), ("ins", "10")]


def test_a_table_that_moves_down_marks_no_label() -> None:
    before, after = PAIRS["a table before a table"]
    before, after = (*before, after[-1]), after
    assert [text for change, text in _marked_text(_tracked(before, after)) if change == "del"] == []
    kept = [text for text in _body(_tracked(before, after)).iter(qn("w:p")) if text.xpath("./w:r/w:t[.='Table 2']")]
    assert len(kept) == 1 and not kept[0].xpath(".//w:ins | .//w:del")


def test_a_row_that_is_gone_or_new_is_marked_as_a_row() -> None:
    rows = list(_body(_tracked(*PAIRS["rows"])).iter(qn("w:tr")))
    told = [("".join(row.xpath(".//w:t/text() | .//w:delText/text()")), row.xpath("string(name(./w:trPr/w:ins | ./w:trPr/w:del))")) for row in rows]
    assert told == [("FuseRated", ""), ("F01 A", "w:ins"), ("F15 A", ""), ("F27 A", "w:del")]


def test_a_new_drawing_stands_beside_the_old_one() -> None:
    data = _tracked(*PAIRS["a drawing"])
    body = _body(data)
    assert [mark.tag for mark in body.iter(qn("w:ins"), qn("w:del")) if mark.find(f"{qn('w:r')}/{qn('w:drawing')}") is not None] == [qn("w:del"), qn("w:ins")]
    assert {_part(data, f"word/media/figure{number}.svg") for number in (1, 2)} == {_picture().svg, _picture("1").svg}
    numbers = [drawing.get("id") for drawing in body.iter(qn("wp:docPr"))]
    assert len(set(numbers)) == len(numbers) == 2


def test_deleted_fields_stay_fields() -> None:
    body = _body(_tracked(*PAIRS["all tables"]))
    assert [text.text.split()[:2] for text in body.iter(qn("w:delInstrText"))] == [["SEQ", "Table"]]
    assert not body.xpath("//w:del//w:instrText | //w:del//w:t | //w:ins//w:delText")


def test_the_file_says_on_every_page_that_it_shows_changes() -> None:
    data = _tracked(*PAIRS["a wide figure"])
    said = "Heron: design: changes from revision B to C"
    assert said in _part(data, "word/header1.xml") and said in _part(data, "word/header2.xml")
    assert docx.Document(io.BytesIO(data)).core_properties.title == said


def test_the_description_inside_is_the_newer_one_and_no_submission() -> None:
    item = _part(_tracked(*PAIRS["words"]), "customXml/item1.xml")
    assert ">revision: C\n</description>" in item
    about = json.loads(html.unescape(re.findall('about="([^"]*)"', item)[0]))
    assert (about["digest"], about["kind"]) == ("c" * 64, "")


def test_the_same_documents_give_the_same_bytes() -> None:
    assert _tracked(*PAIRS["items"]) == _tracked(*PAIRS["items"])


# ---- whole submissions


@dataclass(frozen=True)
class Revisions:
    before: Document
    after: Document
    style: bytes

    def tracked(self) -> bytes:
        return write_tracked(self.before, self.after, self.style, "docgen", self.after.issued)


@pytest.fixture(scope="module")
def small() -> Revisions:
    """The small car, and the same without its insulation monitor and with one more button."""
    button = "{function: other, worked_by: hand, contact: {at_rest: open, when_healthy: open}}"
    patches = "{}", f"{{devices: {{odd_button: {button}, imd: null}}}}"
    first, second = (submission_of(check(edited(patch), edition("fsuk-2026"))) for patch in patches)
    return Revisions(first.document, second.document, first.style)


@pytest.fixture(scope="module")
def example() -> Revisions:
    """The example car as first written, and as it is now."""
    folder = TESTS.parent / "example_car"
    first, second = (
        submission_of(check(load_file(folder / name), edition("fsuk-2026"))) for name in ("car_as_first_written.yaml", "car.yaml")
    )
    return Revisions(first.document, second.document, first.style)


@pytest.mark.parametrize("pair", ["small", "example"])
def test_the_changes_of_a_submission_lead_both_ways(pair: str, request: pytest.FixtureRequest, tmp_path: Path) -> None:
    revisions: Revisions = request.getfixturevalue(pair)
    tracked = revisions.tracked()
    _assert_both_ways(revisions.before, revisions.after, tracked)
    (tmp_path / "tracked.docx").write_bytes(tracked)
    assert OpenXmlValidator().validate(tmp_path / "tracked.docx").errors == []


# ---- LibreOffice


_MACRO = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE script:module PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "module.dtd">
<script:module xmlns:script="http://openoffice.org/2000/script" script:name="Module1" script:language="StarBasic">
Sub Judge(sGiven As String, sVerdict As String, sMade As String)
  Dim aHidden(0) As New com.sun.star.beans.PropertyValue
  aHidden(0).Name = "Hidden"
  aHidden(0).Value = True
  oFile = StarDesktop.loadComponentFromURL(ConvertToURL(sGiven), "_blank", 0, aHidden())
  oHelper = createUnoService("com.sun.star.frame.DispatchHelper")
  oHelper.executeDispatch(oFile.CurrentController.Frame, ".uno:" &amp; sVerdict &amp; "AllTrackedChanges", "", 0, Array())
  Dim aForm(0) As New com.sun.star.beans.PropertyValue
  aForm(0).Name = "FilterName"
  aForm(0).Value = "MS Word 2007 XML"
  oFile.storeToURL(ConvertToURL(sMade), aForm())
  oFile.close(True)
End Sub
</script:module>
"""


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a LibreOffice profile that knows how to judge changes: a new one has an empty module, which is filled."""
    folder = tmp_path_factory.mktemp("office")
    _soffice(folder, "--terminate_after_init")
    (folder / "profile" / "user" / "basic" / "Standard" / "Module1.xba").write_text(_MACRO, encoding="utf-8")
    return folder


def _soffice(office: Path, order: str) -> None:
    command = [tool("soffice"), f"-env:UserInstallation={(office / 'profile').as_uri()}", "--headless", order]
    subprocess.run(command, check=True, capture_output=True, timeout=180)


def _from_office(office: Path, data: bytes, verdict: str) -> list[str]:
    """What LibreOffice saves after its verdict on all changes; empty paragraphs and the pages of the contents are left out."""
    given, made = office / "given.docx", office / "made.docx"
    given.write_bytes(data)
    made.unlink(missing_ok=True)
    _soffice(office, f'macro:///Standard.Module1.Judge("{given}","{verdict}","{made}")')
    return list(_saved(_body(made.read_bytes())))


def _saved(body: Any) -> Iterator[str]:
    for text in body.iter(qn("w:p")):
        style = text.xpath("string(./w:pPr/w:pStyle/@w:val)")
        shown = "".join("\t" if node.tag == qn("w:tab") else node.text or "" for node in text.iter(qn("w:t"), qn("w:tab")) if node.getparent().tag == qn("w:r"))
        shown = re.sub(r"\t\d+$", "", shown) if style.startswith("Contents") else shown
        if shown or text.xpath(".//w:drawing"):
            yield f"{'in a cell, ' * bool(text.xpath('ancestor::w:tc'))}{style}: {shown} {'drawing ' * len(text.xpath('.//w:drawing'))}"


@pytest.mark.libreoffice
@pytest.mark.parametrize("pair", ["small", "example"])
def test_libreoffice_accepts_to_the_newer_and_rejects_to_the_older_submission(pair: str, office: Path, request: pytest.FixtureRequest) -> None:
    revisions: Revisions = request.getfixturevalue(pair)
    for verdict, document in (("Accept", revisions.after), ("Reject", revisions.before)):
        judged = _from_office(office, revisions.tracked(), verdict)
        assert judged == _from_office(office, write_word(document, revisions.style), verdict)
        assert len(judged) > 1000
