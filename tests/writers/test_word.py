"""The Word writer. What Word itself makes of a file is not tested: a schema validator and LibreOffice stand in for it."""

import io
import os
import re
import shutil
import struct
import subprocess
import time
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from itertools import chain
from pathlib import Path
from typing import Any

import docx
import pytest
from docx.enum.section import WD_ORIENT
from docx.oxml import parse_xml
from docx.oxml.ns import nsdecls, qn
from openxml_audit import OpenXmlValidator

from docgen.carried import read_document
from docgen.nodes import (
    Block,
    Box,
    Break,
    Code,
    Column,
    Contents,
    Document,
    Emphasis,
    Figure,
    Heading,
    Listing,
    PageBreak,
    Paragraph,
    Picture,
    Reference,
    Source,
    Strong,
    Table,
    Tone,
    cell,
    words,
)
from docgen.writers import UnfitStyle
from docgen.writers.word import write_word
from docgen.writers.word_layout import LANDSCAPE, stretches

STYLE = (Path(__file__).parents[2] / "templates" / "style.docx").read_bytes()
SOURCE = Source("car.yaml", "car:\r\n\tname: <Ω> & 'y' ]]> 🔋\n", "0123456789abcdef" * 4)
SENTENCE = "The relay opens as soon as one contact of the loop opens, and it stays open until it is reset by hand. "


def _png(width: int, height: int) -> bytes:
    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    pixels = zlib.compress((b"\0" + b"\x80" * width) * height)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
        + chunk(b"IDAT", pixels)
        + chunk(b"IEND", b"")
    )


def _picture(width_mm: float = 80, height_mm: float = 40) -> Picture:
    return Picture('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 2 1"><path d="M0 0L2 1"/></svg>', _png(2, 1), width_mm, height_mm)


def _text(*parts: Any) -> Paragraph:
    return Paragraph(words(*parts))


def _table(anchor: str = "fuses", rows: int = 3, wide: bool = False) -> Table:
    columns = (Column("Fuse", 1), Column("Rated", 2, "A"), Column("Place", 5))
    return Table(anchor, "Fuses of the car", columns, tuple((cell(f"F{n}"), cell(str(n)), cell("rear box")) for n in range(rows)), wide)


def _document(*blocks: Block) -> Document:
    return Document(
        title="Electrical design", subject="A small car", author="Team A & B", revision="C", issued=date(2026, 2, 14),
        generator="docgen 0.1", source=SOURCE, footer="Team A · car 7", blocks=blocks,
    )  # fmt: skip


EVERY_KIND = _document(
    Contents(4),
    PageBreak(),
    Heading(1, "Overview", "overview"),
    _text("See ", Reference("loop"), ", ", Reference("fuses"), ", ", Reference("limits"), " and ", Reference("wires", "the wires"), "."),
    _text(Strong("strong"), Emphasis("mild"), Code("devices.imd"), Break(), "next line"),
    Heading(2, "Limits", "limits"),
    Heading(3, "Voltage", "voltage"),
    Heading(4, "At rest", "a-very-long-anchor-of-more-than-forty-characters-in-all"),
    Listing(((_text("one"), _text("still one"), Listing(((_text("a"),), (_text("b"),)), ordered=True)), (_text("two"),), ())),
    Listing(((_text("first"),), (Listing(((_text("deep"),),)),)), ordered=True),
    Box(Tone.DANGER, "High voltage", (_text("Wait."), Listing(((_text("gloves"),),)))),
    Box(Tone.NOTE, "Not known", (_text("The value is not given."),)),
    _table(),
    Figure("loop", "The loop", _picture(), "A loop of three contacts"),
    Heading(1, "Wiring", "wiring"),
    _text("All of them:"),
    _table("wires", 40, wide=True),
    Figure("harness", "The harness", _picture(400, 100), "A tree of wires", wide=True),
    Heading(1, "Parts", "parts"),
    _text("Nothing more."),
)


def _chapter(number: int) -> tuple[Block, ...]:
    return Heading(1, f"Chapter {number}", f"chapter-{number}"), *[_text(SENTENCE * 12)] * 5


LONGER = replace(EVERY_KIND, blocks=(*EVERY_KIND.blocks, *chain.from_iterable(map(_chapter, range(8)))))


@dataclass(frozen=True)
class Written:
    """A written file, opened again."""

    data: bytes

    @property
    def body(self) -> Any:
        return docx.Document(io.BytesIO(self.data)).element.body

    def paragraphs(self, style: str) -> list[str]:
        return [
            text.text for text in docx.Document(io.BytesIO(self.data)).paragraphs if text.style is not None and text.style.name == style
        ]

    def part(self, name: str) -> str:
        with zipfile.ZipFile(io.BytesIO(self.data)) as archive:
            return archive.read(name).decode("utf-8")

    def parts(self) -> set[str]:
        with zipfile.ZipFile(io.BytesIO(self.data)) as archive:
            return set(archive.namelist())

    def fields(self) -> list[tuple[str, str]]:
        """Instruction and shown text of every field in the text."""
        found = []
        for text in self.body.iter(qn("w:p")):
            state, instruction, shown = "", "", ""
            for node in text.iter(qn("w:fldChar"), qn("w:instrText"), qn("w:t")):
                if node.tag == qn("w:fldChar"):
                    state = node.get(qn("w:fldCharType"))
                    if state == "end":
                        found.append((instruction.strip(), shown))
                        instruction = shown = ""
                elif state == "begin":
                    instruction += node.text
                elif state == "separate":
                    shown += node.text
        return found


def _written(*blocks: Block) -> Written:
    return Written(write_word(_document(*blocks), STYLE))


@pytest.fixture(scope="module")
def every_kind() -> Written:
    return Written(write_word(EVERY_KIND, STYLE))


# ---- the package


def test_a_document_with_every_node_is_valid(every_kind: Written, tmp_path: Path) -> None:
    (tmp_path / "every.docx").write_bytes(every_kind.data)
    assert OpenXmlValidator().validate(tmp_path / "every.docx").errors == []


def test_two_builds_are_the_same_bytes_at_any_time(every_kind: Written, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(time, "time", lambda: 2_000_000_000.0)
    assert write_word(EVERY_KIND, STYLE) == every_kind.data
    with zipfile.ZipFile(io.BytesIO(every_kind.data)) as archive:
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert archive.namelist() == sorted(archive.namelist())


def test_the_package_holds_nothing_that_is_not_used(every_kind: Written) -> None:
    assert every_kind.parts() == {
        "[Content_Types].xml", "_rels/.rels", "docProps/core.xml", "docProps/custom.xml",
        "customXml/item1.xml", "customXml/itemProps1.xml", "customXml/_rels/item1.xml.rels",
        "word/document.xml", "word/_rels/document.xml.rels", "word/styles.xml", "word/numbering.xml", "word/settings.xml",
        "word/fontTable.xml", "word/theme/theme1.xml", "word/header1.xml", "word/header2.xml", "word/footer1.xml", "word/footer2.xml",
        "word/media/image1.png", "word/media/figure1.svg", "word/media/figure2.svg",
    }  # fmt: skip


def test_the_properties_say_what_the_document_is(every_kind: Written) -> None:
    core = docx.Document(io.BytesIO(every_kind.data)).core_properties
    assert (core.title, core.subject, core.author, core.version, core.language) == (
        "Electrical design", "A small car", "Team A & B", "C", "en-GB",
    )  # fmt: skip
    assert core.created == core.modified == datetime(2026, 2, 14, tzinfo=UTC)
    assert re.findall('name="([^"]+)"><vt:lpwstr>([^<]+)<', every_kind.part("docProps/custom.xml")) == [
        ("Revision", "C"), ("Generator", "docgen 0.1"), ("Description", "car.yaml"), ("Description SHA-256", SOURCE.digest),
    ]  # fmt: skip


def test_a_title_longer_than_a_property_may_be_is_still_written() -> None:
    data = write_word(replace(_document(), title="t" * 300), STYLE)
    assert Written(data).paragraphs("Title") == ["t" * 300]


def test_opening_the_document_asks_nothing(every_kind: Written) -> None:
    assert "updateFields" not in every_kind.part("word/settings.xml")
    assert "w:dirty" not in every_kind.part("word/document.xml")
    assert not [instruction for instruction, _ in every_kind.fields() if instruction.startswith("TOC")]


def test_the_text_is_marked_as_british_english(every_kind: Written) -> None:
    assert set(re.findall('<w:lang w:val="([^"]+)"', every_kind.part("word/styles.xml"))) == {"en-GB"}


# ---- the description inside


def test_the_description_comes_back_as_it_was(every_kind: Written) -> None:
    assert read_document(every_kind.data, "every_kind.docx").carried.source == SOURCE


def test_a_reader_sees_the_name_and_the_digest_of_the_description(every_kind: Written) -> None:
    assert f"SHA-256\t{SOURCE.digest}" in every_kind.paragraphs("Document Data")
    assert "Description\tcar.yaml" in every_kind.paragraphs("Document Data")


# ---- the style file


def test_nothing_but_the_styles_of_the_style_file_is_used() -> None:
    house = docx.Document(io.BytesIO(STYLE))
    house.sections[0].header.paragraphs[0].text = "private header"
    house.core_properties.keywords = "private keyword"
    house.add_comment(house.add_paragraph("private text").add_run("private"), "private comment")
    house.settings.element.append(parse_xml(f'<w:updateFields {nsdecls("w")} w:val="true"/>'))
    house.styles["Body Text"].font.name = "Georgia"
    out = io.BytesIO()
    house.save(out)
    written = Written(write_word(EVERY_KIND, out.getvalue()))
    assert not [name for name in written.parts() if name.endswith(".xml") and "private" in written.part(name)]
    assert "updateFields" not in written.part("word/settings.xml")
    assert "Georgia" in written.part("word/styles.xml")


def _zipped(name: str, data: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, data)
    return out.getvalue()


@pytest.mark.parametrize("style", [b"", b"not a zip", STYLE[:3000], _zipped("a.txt", b"a")], ids=["empty", "text", "cut", "other zip"])
def test_a_style_file_that_is_no_word_file_is_refused(style: bytes) -> None:
    with pytest.raises(UnfitStyle, match="is not a Word document"):
        write_word(EVERY_KIND, style)


def _restyled(name: str, content: bytes, *more: tuple[str, bytes]) -> bytes:
    """The style file with another content of one part."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(STYLE)) as given, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for part in given.namelist():
            made.writestr(part, content if part == name else given.read(part))
        for part, other in more:
            made.writestr(part, other)
    return out.getvalue()


@pytest.mark.parametrize("part", ["[Content_Types].xml", "_rels/.rels", "word/_rels/document.xml.rels", "word/document.xml", "word/styles.xml"])
def test_a_style_file_with_a_strange_part_is_refused(part: str) -> None:
    with pytest.raises(UnfitStyle, match="is not a Word document"):
        write_word(EVERY_KIND, _restyled(part, b"<strange/>"))


def test_a_style_file_that_unpacks_to_a_flood_is_refused() -> None:
    with pytest.raises(UnfitStyle, match="is not a Word document"):
        write_word(EVERY_KIND, _restyled("", b"", ("word/flood.xml", bytes(20_000_000))))


def test_a_style_file_makes_no_document_that_calls_outside() -> None:
    outside = b"""<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1"
        Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/image" Target="http://example.org/a.png" TargetMode="External"/></Relationships>"""
    written = Written(write_word(EVERY_KIND, _restyled("", b"", ("word/theme/_rels/theme1.xml.rels", outside))))
    assert "word/theme/theme1.xml" in written.parts()
    assert not [name for name in written.parts() if name.endswith(".rels") and "External" in written.part(name)]


def test_missing_styles_are_named() -> None:
    bare = io.BytesIO()
    docx.Document().save(bare)
    with pytest.raises(UnfitStyle, match=r"no paragraph style named Document Data, toc 1, .*Gap"):
        write_word(EVERY_KIND, bare.getvalue())


# ---- text and references


HOSTILE = [
    "<w:p><w:r/></w:p> & &amp; <!-- -->",
    "\"double\" 'single' ]]> \\h {{ name }} {% raw %}",
    "שלום (abc) مرحبا",
    "ภาษาไทย 🔋👩‍🔧 e\u0301o\u0308 電気 Ωµ≤",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_arrives_as_text_wherever_it_stands(text: str, tmp_path: Path) -> None:
    document = _document(
        Contents(1),
        Heading(1, text, "h"),
        _text(text, Strong(text), Emphasis(text), Code(text), Reference("h", text)),
        Listing(((_text(text),),)),
        Box(Tone.NOTE, text, (_text(text),)),
        Table("t", text, (Column(text, unit=text),), ((cell(text),),)),
        Figure("f", text, _picture(), text),
    )
    named = replace(document, title=text, subject=text, author=text, revision=text, footer=text, generator=text)
    written = Written(write_word(replace(named, source=replace(SOURCE, name=text)), STYLE))
    file = docx.Document(io.BytesIO(written.data))
    paragraphs = [paragraph.text for paragraph in file.paragraphs]
    assert paragraphs[:2] == [text, text]
    assert f"1\t{text}\t1" in paragraphs
    assert text * 5 in paragraphs
    assert [paragraph.text for paragraph in file.tables[0].rows[0].cells[0].paragraphs] == [f"Note: {text}", text]
    assert [row.cells[0].text for row in file.tables[1].rows] == [f"{text} [{text}]", text]
    assert f"Table 1  {text}" in paragraphs and f"Figure 1  {text}" in paragraphs
    assert [node.get("descr") for node in written.body.iter(qn("wp:docPr"))] == [text]
    assert file.sections[0].header.paragraphs[0].text == f"{text}\tRevision {text}"
    assert file.sections[0].footer.paragraphs[0].text == f"{text}\tPage 1 of 1"
    (tmp_path / "hostile.docx").write_bytes(written.data)
    assert OpenXmlValidator().validate(tmp_path / "hostile.docx").errors == []


def test_a_reference_shows_the_label_of_its_target(every_kind: Written) -> None:
    shown = [(instruction, text) for instruction, text in every_kind.fields() if instruction.startswith("REF")]
    assert shown == [("REF loop \\h", "Figure 1"), ("REF fuses \\h", "Table 1"), ("REF limits \\r \\h", "1.1")]
    assert "See Figure 1, Table 1, 1.1 and the wires." in every_kind.paragraphs("Body Text")


def test_a_caption_bookmarks_its_label_alone(every_kind: Written) -> None:
    text = every_kind.part("word/document.xml")
    for name, label in (("fuses", "Table 1"), ("wires", "Table 2"), ("loop", "Figure 1"), ("harness", "Figure 2")):
        inside = re.search(f'<w:bookmarkStart w:id="(\\d+)" w:name="{name}"/>(.*?)<w:bookmarkEnd w:id="\\1"/>', text)
        assert inside and "".join(re.findall("<w:t [^>]*>([^<]*)<", inside[2])) == label
    assert every_kind.paragraphs("Caption")[0] == "Table 1  Fuses of the car"
    assert [field for field in every_kind.fields() if field[0].startswith("SEQ")] == [
        ("SEQ Table \\* ARABIC", "1"), ("SEQ Figure \\* ARABIC", "1"), ("SEQ Table \\* ARABIC", "2"), ("SEQ Figure \\* ARABIC", "2"),
    ]  # fmt: skip


def test_bookmarks_are_closed_and_every_link_has_one(every_kind: Written) -> None:
    starts = [(node.get(qn("w:id")), node.get(qn("w:name"))) for node in every_kind.body.iter(qn("w:bookmarkStart"))]
    ends = [node.get(qn("w:id")) for node in every_kind.body.iter(qn("w:bookmarkEnd"))]
    names = {name for _, name in starts}
    assert ends == [number for number, _ in starts]
    assert len(starts) == len(set(ends)) == len(names) == 10
    assert all(re.fullmatch("[a-z][a-z0-9_]{0,39}", name) for name in names)
    targets = {node.get(qn("w:anchor")) for node in every_kind.body.iter(qn("w:hyperlink"))}
    targets |= {instruction.split()[1] for instruction, _ in every_kind.fields() if "REF" in instruction}
    assert len(targets) > 8 and targets <= names


def test_the_list_of_contents_is_filled(every_kind: Written) -> None:
    assert every_kind.paragraphs("toc 1") == ["1\tOverview\t2", "2\tWiring\t3", "3\tParts\t5"]
    assert every_kind.paragraphs("toc 2") == ["1.1\tLimits\t2"]
    assert every_kind.paragraphs("toc 4") == ["1.1.1.1\tAt rest\t2"]
    assert ("PAGEREF overview \\h", "2") in every_kind.fields()


def test_the_list_of_contents_goes_as_deep_as_it_says() -> None:
    written = _written(Contents(1), Heading(1, "A", "a"), Heading(2, "B", "b"))
    assert written.paragraphs("toc 1") and not written.paragraphs("toc 2")


def test_headings_are_numbered_by_their_styles(every_kind: Written) -> None:
    styles = docx.Document(io.BytesIO(every_kind.data)).styles
    numbering = docx.Document(io.BytesIO(every_kind.data)).part.numbering_part.element
    for level in range(4):
        style = styles[f"Heading {level + 1}"]
        (bound,) = numbering.xpath(f'.//w:lvl[w:pStyle/@w:val="{style.style_id}"]')
        assert bound.get(qn("w:ilvl")) == str(level)
        assert bound.find(qn("w:lvlText")).get(qn("w:val")) == ".".join(["%1", "%2", "%3", "%4"][: level + 1])
        assert style.element.pPr.numPr.ilvl.val == level


@dataclass(frozen=True)
class Underline:
    """A node that the writer does not know."""

    text: str


@pytest.mark.parametrize("block", [Underline("u"), Paragraph((Underline("u"),)), Box(Tone.NOTE, "t", (Underline("u"),))])  # type: ignore[arg-type]
def test_an_unknown_node_is_refused(block: Any) -> None:
    with pytest.raises(TypeError, match="no Word form for Underline"):
        _written(block)


# ---- tables, figures, boxes, lists


def _twips(element: Any, path: str) -> list[int]:
    return [int(value) for value in element.xpath(path)]


def test_the_head_of_a_table_is_repeated_and_no_row_splits(every_kind: Written) -> None:
    _, _, short, long = every_kind.body.findall(qn("w:tbl"))
    for made, rows in ((short, 4), (long, 41)):
        assert len(made.xpath("./w:tr/w:trPr/w:cantSplit")) == rows
        assert len(made.xpath("./w:tr/w:trPr/w:tblHeader")) == len(made.xpath("./w:tr[1]/w:trPr/w:tblHeader")) == 1


@pytest.mark.parametrize(("wide", "width_mm"), [(False, 170), (True, 257)])
def test_columns_share_the_width_of_the_text(wide: bool, width_mm: int) -> None:
    (made,) = _written(_table(wide=wide)).body.findall(qn("w:tbl"))
    total = round(width_mm * 1440 / 25.4)
    grid = _twips(made, "./w:tblGrid/w:gridCol/@w:w")
    assert sum(grid) == total
    assert grid == pytest.approx([total / 8, total * 2 / 8, total * 5 / 8], abs=1)
    assert all(_twips(line, "./w:tc/w:tcPr/w:tcW/@w:w") == grid for line in made.findall(qn("w:tr")))


def test_captions_stay_with_what_they_name(every_kind: Written) -> None:
    table = every_kind.body.findall(qn("w:tbl"))[2]
    assert table.getprevious().xpath("./w:pPr/w:keepNext")
    (picture, _) = every_kind.body.xpath("./w:p[.//w:drawing]")
    assert picture.xpath("./w:pPr/w:keepNext")
    assert "".join(picture.getnext().xpath(".//w:t/text()")) == "Figure 1  The loop"


def test_a_short_table_stays_whole_and_a_long_one_may_break(every_kind: Written) -> None:
    _, _, short, long = every_kind.body.findall(qn("w:tbl"))
    assert [len(line.xpath("./w:tc/w:p/w:pPr/w:keepNext")) for line in short.findall(qn("w:tr"))] == [3, 3, 3, 0]
    assert [len(line.xpath("./w:tc/w:p/w:pPr/w:keepNext")) for line in long.findall(qn("w:tr"))] == [3] + [0] * 40


def test_a_picture_is_vector_with_a_raster_behind_and_says_what_it_shows(every_kind: Written) -> None:
    relations = every_kind.part("word/_rels/document.xml.rels")
    for number, drawing in enumerate(every_kind.body.iter(qn("wp:inline")), 1):
        assert drawing.docPr.get("descr") == ["A loop of three contacts", "A tree of wires"][number - 1]
        raster, vector = re.findall('r:embed="(rId\\d+)"', drawing.xml)
        assert re.search(f'Id="{raster}" [^>]*Target="media/image1.png"', relations)
        assert re.search(f'Id="{vector}" [^>]*Target="media/figure{number}.svg"', relations)
    assert every_kind.part("word/media/figure1.svg") == _picture().svg


def test_a_picture_never_leaves_the_sheet() -> None:
    shown = _written(
        Figure("a", "a", _picture(400, 100), "a"), Figure("b", "b", _picture(100, 500), "b"), Figure("c", "c", _picture(80, 40), "c")
    )
    sizes = [(int(size.get("cx")) / 36000, int(size.get("cy")) / 36000) for size in shown.body.iter(qn("wp:extent"))]
    assert sizes[0] == pytest.approx((170, 42.5), abs=0.01)
    assert sizes[1][1] == pytest.approx(sizes[1][0] * 5, abs=0.05) and sizes[1][1] < 250
    assert sizes[2] == pytest.approx((80, 40), abs=0.01)


def test_danger_and_note_differ_in_word_and_frame(every_kind: Written) -> None:
    danger, note, *_ = every_kind.body.findall(qn("w:tbl"))
    assert danger.xpath(".//w:t/text()")[0] == "Danger: High voltage"
    assert note.xpath(".//w:t/text()")[0] == "Note: Not known"
    lines = [set(_twips(box, "./w:tblPr/w:tblBorders/*/@w:sz")) for box in (danger, note)]
    assert len(lines[0]) == len(lines[1]) == 1
    assert min(lines[0]) >= 4 * max(lines[1])


def _items(written: Written) -> Iterator[tuple[str, str, str]]:
    for text in written.body.xpath("./w:p[w:pPr/w:pStyle/@w:val='ListParagraph']"):
        number, level = text.xpath("./w:pPr/w:numPr/w:numId/@w:val"), text.xpath("./w:pPr/w:numPr/w:ilvl/@w:val")
        yield "".join(text.xpath(".//w:t/text()")), (number or [""])[0], (level or [""])[0]


def test_lists_keep_their_levels_and_numbered_ones_begin_anew() -> None:
    inner = Listing(((_text("a"),), (_text("b"),)), ordered=True)
    written = _written(
        Listing(((_text("one"), _text("still one"), inner), (_text("two"), inner)), ordered=True), Listing(((_text("dot"),),))
    )
    items = list(_items(written))
    assert [(text, level) for text, _, level in items] == [
        ("one", "0"), ("still one", ""), ("a", "1"), ("b", "1"), ("two", "0"), ("a", "1"), ("b", "1"), ("dot", "0"),
    ]  # fmt: skip
    number = dict(enumerate(number for _, number, _ in items))
    assert number[0] == number[4] and number[2] == number[3] and number[5] == number[6]
    assert len({number[0], number[2], number[5], number[7]}) == 4
    numbering = docx.Document(io.BytesIO(written.data)).part.numbering_part.element
    for key, level in ((number[0], "0"), (number[2], "1"), (number[5], "1")):
        assert numbering.xpath(f'./w:num[@w:numId="{key}"]/w:lvlOverride[@w:ilvl="{level}"]/w:startOverride/@w:val') == ["1"]


def test_an_item_that_begins_with_a_list_still_counts() -> None:
    written = _written(Listing(((_text("first"),), (Listing(((_text("deep"),),)),), (_text("third"),)), ordered=True))
    assert [(text, level) for text, _, level in _items(written)] == [("first", "0"), ("", "0"), ("deep", "1"), ("third", "0")]


def test_ten_times_the_rows_take_about_ten_times_as_long() -> None:
    def seconds(rows: int) -> float:
        document = _document(_table(rows=rows))
        started = time.process_time()
        write_word(document, STYLE)
        return time.process_time() - started

    assert min(seconds(3000) for _ in range(2)) < 20 * min(seconds(300) for _ in range(3))


# ---- sheets


def _sheets(*blocks: Block) -> list[tuple[str, list[str]]]:
    return [
        ("wide" if sheet is LANDSCAPE else "upright", [getattr(block, "anchor", type(block).__name__.lower()) for block in held])
        for sheet, held in stretches(blocks)
    ]


WIDE, WIDER = _table("wide", wide=True), _table("wider", wide=True)
HEAD, SUB, LINE = Heading(1, "Head", "head"), Heading(2, "Sub", "sub"), _text("text")


def test_wide_blocks_in_a_row_share_a_landscape_part() -> None:
    assert _sheets(LINE, WIDE, WIDER, LINE) == [("upright", ["paragraph"]), ("wide", ["wide", "wider"]), ("upright", ["paragraph"])]


def test_headings_go_to_the_wide_sheet_with_the_table_below_them() -> None:
    assert _sheets(LINE, HEAD, SUB, LINE, WIDE) == [("upright", ["paragraph"]), ("wide", ["head", "sub", "paragraph", "wide"])]


def test_much_text_below_a_heading_keeps_it_upright() -> None:
    assert _sheets(HEAD, *[LINE] * 4, WIDE) == [("upright", ["head", *["paragraph"] * 4]), ("wide", ["wide"])]


def test_a_table_below_a_heading_keeps_it_upright() -> None:
    assert _sheets(HEAD, _table(), LINE, WIDE) == [("upright", ["head", "fuses", "paragraph"]), ("wide", ["wide"])]


def test_a_few_lines_between_wide_tables_stay_with_them() -> None:
    assert _sheets(LINE, WIDE, LINE, SUB, LINE, WIDER) == [
        ("upright", ["paragraph"]),
        ("wide", ["wide", "paragraph", "sub", "paragraph", "wider"]),
    ]


def test_page_breaks_at_the_ends_of_a_part_make_no_empty_page() -> None:
    assert _sheets(PageBreak(), LINE, PageBreak(), WIDE, PageBreak(), WIDER, PageBreak(), LINE, PageBreak()) == [
        ("upright", ["pagebreak", "paragraph"]), ("wide", ["wide"]), ("wide", ["wider"]), ("upright", ["paragraph"]),
    ]  # fmt: skip


def test_sections_are_a4_and_turned_for_wide_blocks(every_kind: Written) -> None:
    sections = docx.Document(io.BytesIO(every_kind.data)).sections
    sizes = [
        (round(section.page_width.mm), round(section.page_height.mm)) for section in sections if section.page_width and section.page_height
    ]
    assert sizes == [(210, 297), (297, 210), (210, 297)]
    assert [section.orientation for section in sections] == [WD_ORIENT.PORTRAIT, WD_ORIENT.LANDSCAPE, WD_ORIENT.PORTRAIT]
    for section in sections:
        assert section.header.paragraphs[0].text == "Electrical design\tRevision C"
        assert section.footer.paragraphs[0].text.startswith("Team A · car 7\tPage 1 of ")


# ---- LibreOffice


def _run(tool: str, *arguments: str | Path) -> str:
    if not shutil.which(tool):
        (pytest.fail if os.environ.get("CI") == "true" else pytest.skip)(f"{tool} is not installed")
    return subprocess.run([tool, *arguments], check=True, capture_output=True, encoding="utf-8", timeout=180).stdout


def _converted(data: bytes, form: str, folder: Path) -> Path:
    (folder / "made.docx").write_bytes(data)
    profile = (folder / "profile").as_uri()
    _run(
        "soffice", f"-env:UserInstallation={profile}", "--headless", "--convert-to", form, "--outdir", folder / "out", folder / "made.docx"
    )
    return folder / "out" / f"made.{form}"


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """The text of every page of a longer document as LibreOffice prints it, with the size of the page in front."""
    pdf = _converted(write_word(LONGER, STYLE), "pdf", tmp_path_factory.mktemp("word"))
    sizes = re.findall('<page width="([0-9]+)[^"]*" height="([0-9]+)', _run("pdftotext", "-bbox", pdf, "-"))
    texts = _run("pdftotext", "-layout", pdf, "-").split("\f")
    return [f"{width}x{height}\n{text}" for (width, height), text in zip(sizes, texts, strict=False)]


@pytest.mark.libreoffice
def test_printed_headings_and_captions_carry_their_numbers(pages: list[str]) -> None:
    text = re.sub(" +", " ", "\n".join(pages[1:]))
    for line in ("1 Overview", "1.1 Limits", "1.1.1 Voltage", "1.1.1.1 At rest", "2 Wiring", "3 Parts", "11 Chapter 7"):
        assert f"\n {line}\n" in text or f"\n{line}\n" in text
    for line in ("Table 1 Fuses of the car", "Figure 1 The loop", "Table 2 Fuses of the car", "Figure 2 The harness"):
        assert line in text
    assert "See Figure 1, Table 1, 1.1 and the wires." in text


@pytest.mark.libreoffice
def test_the_printed_contents_name_the_page_on_which_a_heading_stands(pages: list[str]) -> None:
    entries = re.findall(r"^\s*([\d.]+)\s+(\S.*?)\.{4,}\s*(\d+)\s*$", pages[0], re.MULTILINE)
    assert len(entries) == 14
    for number, title, page in entries:
        assert re.search(rf"^\s*{re.escape(number)}\s+{re.escape(title)}\s*$", pages[int(page) - 1], re.MULTILINE)


@pytest.mark.libreoffice
def test_the_pages_of_the_contents_are_foreseen_to_within_one(pages: list[str]) -> None:
    shown = [line.split("\t") for line in Written(write_word(LONGER, STYLE)).paragraphs("toc 1")]
    printed = dict(re.findall(r"^\s*(\d+)\s+\S.*?\.{4,}\s*(\d+)\s*$", pages[0], re.MULTILINE))
    assert len(shown) == len(printed) == 11
    assert all(abs(int(page) - int(printed[number])) <= 1 for number, _, page in shown)


@pytest.mark.libreoffice
def test_every_printed_page_has_header_footer_and_content(pages: list[str]) -> None:
    for number, page in enumerate(pages, 1):
        lines = [line.split() for line in page.splitlines() if line.strip()]
        assert lines[1][-2:] == ["Revision", "C"]
        assert lines[-1][-4:] == ["Page", str(number), "of", str(len(pages))]
        assert len(lines) > 4


@pytest.mark.libreoffice
def test_only_wide_tables_and_figures_are_printed_in_landscape(pages: list[str]) -> None:
    assert ["Wiring" in page or "harness" in page or "rear box" in page for page in pages[2:]] == [
        page.startswith("841x595") for page in pages[2:]
    ]


@pytest.mark.libreoffice
def test_a_printed_table_repeats_its_head(pages: list[str]) -> None:
    with_rows = [page for page in pages if re.search(r"F\d+ +\d+ +rear box", page)]
    assert len(with_rows) >= 3
    assert all("Rated [A]" in page for page in with_rows)


@pytest.mark.libreoffice
def test_the_description_outlives_an_edit_in_libreoffice(every_kind: Written, tmp_path: Path) -> None:
    saved = _converted(every_kind.data, "docx", tmp_path).read_bytes()
    assert saved != every_kind.data
    assert read_document(saved, "saved.docx").carried == read_document(every_kind.data, "every_kind.docx").carried


@pytest.mark.libreoffice
def test_a_style_file_saved_by_libreoffice_still_serves(tmp_path: Path) -> None:
    written = Written(write_word(EVERY_KIND, _converted(STYLE, "docx", tmp_path).read_bytes()))
    assert written.paragraphs("Caption")[0] == "Table 1  Fuses of the car"
