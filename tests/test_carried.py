"""Documents read back: the description inside is found again, what was changed by hand is told, and hostile files are refused whole."""

import base64
import io
import json
import random
import re
import shutil
import subprocess
import tracemalloc
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

import docx
import pytest
from conftest import tool
from lxml import etree

from docgen import VERSION
from docgen.carried import described_in, read_document, submitted
from docgen.cli import main
from docgen.load import load_file
from docgen.reading import Unreadable
from docgen.word_file import word_file
from docgen.writers.visible import digest_of, lines_of_page, lines_of_word

CAR = """\
docgen: 1
car: {name: Sanderling, team: Marsh Racing, edition: fsuk-2026}  # a comment
loops:
  drive:
    source: low_voltage
    path: [button, {each_to_return: [[coil air_plus]]}]
    return: [chassis]
devices:
  button: {function: shutdown button, worked_by: hand, contact: {at_rest: closed, when_healthy: closed, tripped: open}}
  air_plus: {function: accumulator contactor, worked_by: coil, coil: {voltage: 12 V}}
evidence:
  here: {title: Data sheet, file: evidence/here.pdf}
  gone: {title: Data sheet, file: evidence/gone.pdf}
"""
DOCUMENTS = ["submission.docx", "submission.html"]
W = 'xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main" xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006"'


def _car(folder: Path, text: str = CAR) -> Path:
    (folder / "evidence").mkdir(parents=True)
    (folder / "evidence" / "here.pdf").write_bytes(b"%PDF-1.7")
    (folder / "car.yaml").write_text(text, encoding="utf-8")
    return folder / "car.yaml"


@pytest.fixture(scope="session")
def car(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A description with its submission beside it."""
    path = _car(tmp_path_factory.mktemp("carried") / "car")
    assert main(["build", str(path)]) == 1
    return path


@pytest.fixture(params=DOCUMENTS)
def document(request: pytest.FixtureRequest, car: Path) -> Path:
    return car.parent / "submission" / str(request.param)


@pytest.fixture
def word(car: Path) -> bytes:
    return (car.parent / "submission" / "submission.docx").read_bytes()


def _repacked(word: bytes, changed: Mapping[str, bytes | None]) -> bytes:
    """The Word file with some parts replaced, added, or taken out."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(word)) as archive, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        parts = {part: archive.read(part) for part in archive.namelist()} | changed
        for part, data in parts.items():
            if data is not None:
                made.writestr(part, data)
    return out.getvalue()


def _part(word: bytes, part: str) -> bytes:
    with zipfile.ZipFile(io.BytesIO(word)) as archive:
        return archive.read(part)


def _printed(data: bytes, name: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    """What checking a document of this content leaves with and prints."""
    (folder / name).write_bytes(data)
    code = main(["check", str(folder / name)])
    said = capsys.readouterr()
    return code, said.out + said.err


# ---- what is carried


def test_a_document_gives_the_description_that_it_was_built_from(document: Path, car: Path) -> None:
    found, built = described_in(document), load_file(car)
    assert found.car == built.car
    assert found.digest == built.digest
    assert found.tree.file == "car.yaml"
    assert found.location(("devices", "air_plus")) == built.location(("devices", "air_plus"))


def test_a_folder_stands_for_the_car_yaml_in_it(car: Path) -> None:
    assert described_in(car.parent) == load_file(car)


def test_a_document_knows_which_named_files_lay_beside_its_description(document: Path) -> None:
    assert submitted(document).carried.source.present == ("evidence/here.pdf",)


def test_checking_a_document_says_what_checking_its_description_says(document: Path, car: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(car)]) == 1
    description = capsys.readouterr().out.replace("  # a comment", "")
    assert main(["check", str(document)]) == 1
    assert capsys.readouterr().out.startswith(description)
    assert "there is no evidence/gone.pdf" in description


def test_building_from_a_document_gives_the_same_document(document: Path, tmp_path: Path) -> None:
    assert main(["build", str(document), "--to", str(tmp_path)]) == 1
    assert (tmp_path / document.name).read_bytes() == document.read_bytes()


def test_a_document_says_what_it_was_made_with(document: Path) -> None:
    source = submitted(document).carried.source
    assert (source.edition, source.version, source.kind) == ("fsuk-2026", VERSION, "submission")
    assert "# a comment" not in source.text


def test_both_documents_of_a_build_carry_the_same(car: Path) -> None:
    sources = [submitted(car.parent / "submission" / name).carried.source for name in DOCUMENTS]
    assert sources[0] == sources[1]


@pytest.mark.parametrize(("option", "field"), [("edition", "edition_digest"), ("templates", "templates_digest")])
def test_another_edition_or_template_is_another_digest(option: str, field: str, car: Path, tmp_path: Path) -> None:
    (tmp_path / "own.yaml").write_text("extends: fsuk-2026\nterms: {shutdown button: red button}\n", encoding="utf-8")
    (tmp_path / "templates").mkdir()
    (tmp_path / "templates" / "loop.md").write_text("The loop.\n", encoding="utf-8")
    given = {"edition": str(tmp_path / "own.yaml"), "templates": str(tmp_path / "templates")}[option]
    assert main(["build", str(car), "--to", str(tmp_path / "out"), f"--{option}", given]) == 1
    plain, other = (submitted(folder / "submission.docx").carried.source for folder in (car.parent / "submission", tmp_path / "out"))
    assert [name for name in plain.__slots__ if getattr(plain, name) != getattr(other, name)] == [field]


def test_a_document_made_under_corrections_that_are_not_at_hand_is_checked_and_the_note_says_so(car: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own = tmp_path / "own.yaml"
    own.write_text("extends: fsuk-2026\nterms: {shutdown button: red button}\n", encoding="utf-8")
    assert main(["build", str(car), "--to", str(tmp_path / "out"), "--edition", str(own)]) == 1
    capsys.readouterr()
    made = str(tmp_path / "out" / "submission.docx")
    assert main(["check", made]) == 1
    said = capsys.readouterr()
    assert "submission.docx: note: it was made under other data of fsuk-2026; if its team had a file of corrections, give it with --edition" in said.err
    assert "submission.docx: note: its text is the one that docgen wrote, by its digest only" in said.out
    assert main(["check", made, "--edition", str(own)]) == 1
    said = capsys.readouterr()
    assert said.err == ""
    assert "line by line its text is what docgen writes" in said.out


def test_a_document_carries_the_questions_that_it_prints(car: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    questions = tmp_path / "questions.yaml"
    head = "docgen: 1\ncar: Sanderling\nreviewer: electrical reviewer\nquestions:\n"
    questions.write_text(f"{head}  q1: {{place: devices.air_plus, severity: remark, text: Which relay is this?, state: open}}\n", encoding="utf-8")
    assert main(["build", str(car), "--to", str(tmp_path / "out"), "--questions", str(questions)]) == 1
    for name in DOCUMENTS:
        found = submitted(tmp_path / "out" / name)
        assert found.carried.source.questions == questions.read_text(encoding="utf-8")
        assert "Which relay is this?" in found.lines
        capsys.readouterr()
        main(["check", str(tmp_path / "out" / name)])
        assert "line by line its text is what docgen writes" in capsys.readouterr().out


def test_a_document_of_a_docgen_that_says_more_or_less_is_read(word: bytes) -> None:
    more = _item(lambda item: item.replace("{&quot;digest", "{&quot;colour&quot;: 7, &quot;digest"))(word)
    less = _item(lambda item: re.sub(r"&quot;program&quot;: &quot;[0-9a-f]+&quot;, ", "", item))(word)
    carried = read_document(word, "word.docx").carried
    assert more != word != less
    assert read_document(more, "more.docx").carried == carried
    assert read_document(less, "less.docx").carried == replace(carried, source=replace(carried.source, program=""))


def test_questions_inside_that_cannot_be_read_are_told_with_both_names(word: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = _item(lambda item: item.replace("&quot;questions&quot;: &quot;&quot;", "&quot;questions&quot;: &quot;docgen: 1&quot;"))(word)
    code, said = _printed(data, "asked.docx", tmp_path, capsys)
    assert code == 2
    assert "asked.docx/questions.yaml:1:1: unreadable: " in said


# ---- changed by hand


def _reworded(data: bytes, name: str, old: str, new: str) -> bytes:
    """The document with words replaced in the text that it shows."""
    if name.endswith(".html"):
        assert f">{old}<".encode() in data
        return data.replace(f">{old}<".encode(), f">{new}<".encode(), 1)
    text = _part(data, "word/document.xml")
    assert old.encode() in text
    return _repacked(data, {"word/document.xml": text.replace(old.encode(), new.encode(), 1)})


def test_nobody_changed_a_document_as_built(document: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", str(document)])
    assert capsys.readouterr().out.endswith(f"{document.name}: note: line by line its text is what docgen writes from the description inside; pictures were not compared\n")


def test_a_line_changed_by_hand_is_told_as_it_was_and_as_it_is(document: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = _reworded(document.read_bytes(), document.name, "Marsh Racing", "Reed Racing")
    code, said = _printed(data, document.name, tmp_path, capsys)
    assert code == 1
    told = said.partition(f"{document.name}: error: its text is not what docgen writes from the description inside\n")[2].splitlines()
    assert len(told) == 2
    assert re.fullmatch(r"    - (Prepared by )?Marsh Racing", told[0])
    assert told[1] == told[0].replace("-", "+").replace("Marsh", "Reed")


def test_a_changed_document_fails_though_its_description_has_no_finding(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, car: Path) -> None:
    """And one as built does not."""
    monkeypatch.setattr("docgen.commands.check.exit_code", lambda *_: 0)
    data = (car.parent / "submission" / "submission.docx").read_bytes()
    assert _printed(data, "as_built.docx", tmp_path, capsys)[0] == 0
    assert _printed(_reworded(data, "x.docx", "Marsh Racing", "Reed Racing"), "changed.docx", tmp_path, capsys)[0] == 1


def test_a_row_put_into_a_table_and_a_paragraph_taken_out_are_told(word: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    opened = docx.Document(io.BytesIO(word))
    table = next(one for one in opened.tables if "Data sheet" in one._tbl.xpath("string(.)"))
    table.add_row().cells[0].text = "bought last week"
    heading = next(one for one in opened.paragraphs if one.text == "How the values were computed")
    heading._p.getparent().remove(heading._p)
    opened.save(tmp_path / "edited.docx")
    assert main(["check", str(tmp_path / "edited.docx")]) == 1
    told = [line for line in capsys.readouterr().out.splitlines() if line.startswith(("    - ", "    + "))]
    assert told == ["    + bought last week", "    - How the values were computed"]


def test_a_description_that_was_swapped_is_told(car: Path, word: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = _car(tmp_path / "other", CAR.replace("12 V", "24 V"))
    main(["build", str(other)])
    capsys.readouterr()
    theirs = (other.parent / "submission" / "submission.docx").read_bytes()
    code, said = _printed(_repacked(word, {"customXml/item1.xml": _part(theirs, "customXml/item1.xml")}), "swapped.docx", tmp_path, capsys)
    assert code == 1
    assert "swapped.docx: error: the description inside was swapped: it is not the one whose SHA-256 the document prints" in said


@pytest.mark.parametrize(("old", "new", "code"), [("", "", 0), ("Marsh Racing", "Reed Racing", 1)])
def test_the_digest_tells_a_change_in_a_document_of_another_docgen(
    old: str, new: str, code: int, document: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("docgen.commands.check.exit_code", lambda *_: 0)
    data = _reworded(document.read_bytes(), document.name, old, new) if old else document.read_bytes()
    monkeypatch.setattr("docgen.edited.VERSION", "9.9.9")
    found, said = _printed(data, document.name, tmp_path, capsys)
    assert found == code
    assert f"docgen {VERSION} wrote it and this is 9.9.9" in said
    assert ("its text was changed after docgen wrote it; which lines cannot be said" in said) == bool(code)


def test_what_somebody_wrote_into_a_page_commands_no_terminal(car: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    page = (car.parent / "submission" / "submission.html").read_bytes()
    said = _printed(_reworded(page, "page.html", "Marsh Racing", "\x1b[2J\u202eMarsh"), "page.html", tmp_path, capsys)[1]
    assert "Marsh" in said
    assert "\x1b" not in said
    assert "\u202e" not in said


def test_many_changed_lines_are_counted_and_not_all_printed(word: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    opened = docx.Document(io.BytesIO(word))
    for number in range(50):
        opened.add_paragraph(f"line {number}")
    opened.save(tmp_path / "longer.docx")
    main(["check", str(tmp_path / "longer.docx")])
    said = capsys.readouterr().out
    assert "    + line 39\n    and 10 lines more\n" in said
    assert "line 40" not in said


# ---- the text that a reader sees


def _body(inside: str) -> tuple[str, ...]:
    return lines_of_word(etree.fromstring(f"<w:body {W}>{inside}</w:body>"))


def _run(text: str) -> str:
    return f'<w:r><w:t xml:space="preserve">{text}</w:t></w:r>'


@pytest.mark.parametrize(
    ("inside", "lines"),
    [
        (f"<w:p>{_run('one')}{_run(' two ')}<w:r><w:tab/></w:r>{_run('three')}</w:p><w:p/>", ("one two three",)),
        (f"<w:tbl><w:tr><w:tc><w:p>{_run('a')}</w:p></w:tc><w:tc><w:p>{_run('b')}</w:p></w:tc></w:tr></w:tbl>", ("a", "b")),
        (f"<w:p><w:ins>{_run('new')}</w:ins><w:del><w:r><w:delText>old</w:delText></w:r></w:del><w:moveFrom>{_run('away')}</w:moveFrom></w:p>", ("new",)),
        (f"<w:p>{_run('out')}<w:r><w:pict><w:p>{_run('box')}</w:p></w:pict></w:r>{_run('side')}</w:p>", ("outside", "box")),
        (f"<w:p><mc:AlternateContent><mc:Choice>{_run('a')}</mc:Choice><mc:Fallback>{_run('a')}</mc:Fallback></mc:AlternateContent></w:p>", ("a",)),
        (
            '<w:p><w:r><w:t>At a glance </w:t></w:r><w:r><w:fldChar w:fldCharType="begin"/></w:r><w:r><w:instrText> PAGEREF x </w:instrText></w:r>'
            '<w:r><w:fldChar w:fldCharType="separate"/></w:r><w:r><w:t>7</w:t></w:r><w:r><w:fldChar w:fldCharType="end"/></w:r><w:r><w:t>!</w:t></w:r></w:p>',
            ("At a glance !",),
        ),
        (
            '<w:p><w:r><w:fldChar w:fldCharType="begin"/></w:r><w:r><w:instrText> REF x </w:instrText></w:r>'
            '<w:r><w:fldChar w:fldCharType="separate"/></w:r><w:r><w:t>Table 3</w:t></w:r><w:r><w:fldChar w:fldCharType="end"/></w:r></w:p>',
            ("Table 3",),
        ),
    ],
    ids=["runs", "cells", "tracked changes", "text box", "twice for old programs", "page number", "other reference"],
)  # fmt: skip
def test_a_line_of_word_is_what_a_reader_sees_of_a_paragraph(inside: str, lines: tuple[str, ...]) -> None:
    assert _body(inside) == lines


def test_a_line_of_a_page_is_what_a_reader_sees_of_a_block() -> None:
    page = (
        "<html><head><title>t</title><style>p{}</style></head><body><!-- c --><p>one <b>two</b>\n three</p>"
        "<table><tr><td>a</td><td>b<br>c</td></tr></table><ul><li>x<ul><li>y</li></ul>z</li></ul><svg><text>5 Ω</text></svg><script>no</script>end</body></html>"
    )
    assert lines_of_page(page.encode()) == ("one two three", "a", "b", "c", "x", "y", "z", "5 Ω", "end")


def test_the_digest_of_a_text_is_the_sha_256_of_its_lines() -> None:
    """From ``printf 'one\\ntwo' | sha256sum``."""
    assert digest_of(("one", "two")) == "21066d108d5319ecb5a1fc4454f42ef22fc5f1c7df49c31d90294950e0ea8b2c"


# ---- files that are refused


def _document_with(item: bytes, name: str = "customXml/item1.xml") -> Callable[[bytes], bytes]:
    return lambda word: _repacked(word, {name: item})


def _item(change: Callable[[str], str]) -> Callable[[bytes], bytes]:
    return lambda word: _repacked(word, {"customXml/item1.xml": change(_part(word, "customXml/item1.xml").decode()).encode()})


def _relation(line: str) -> Callable[[bytes], bytes]:
    part = "word/_rels/document.xml.rels"
    return lambda word: _repacked(word, {part: _part(word, part).replace(b"</Relationships>", line.encode() + b"</Relationships>")})


def _locked(word: bytes) -> bytes:
    """The flag of encryption set in every entry of the directory and in every local head."""
    data = bytearray(word)
    for mark, offset in ((b"PK\x01\x02", 8), (b"PK\x03\x04", 6)):
        at = data.find(mark)
        while at >= 0:
            data[at + offset] |= 1
            at = data.find(mark, at + 1)
    return bytes(data)


def _twice(word: bytes) -> bytes:
    out = io.BytesIO(word)
    with zipfile.ZipFile(out, "a") as archive, pytest.warns(UserWarning, match="Duplicate"):
        archive.writestr("word/document.xml", b"<w/>")
    return out.getvalue()


def _packed_otherwise(word: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(word)) as archive, zipfile.ZipFile(out, "w", zipfile.ZIP_LZMA) as made:
        for part in archive.namelist():
            made.writestr(part, archive.read(part))
    return out.getvalue()


def _nested(word: bytes) -> bytes:
    return _repacked(word, {"word/media/picture.png": word})


def _said_small(word: bytes) -> bytes:
    """A text of 40 MB whose size the directory gives as 1000 bytes."""
    bomb = _repacked(word, {"word/document.xml": b"<w>" + b" " * 40_000_000 + b"</w>"})
    return bomb.replace((40_000_007).to_bytes(4, "little"), (1000).to_bytes(4, "little"))


_OTHER = 'xmlns="urn:docgen:description"'
HOSTILE: dict[str, tuple[Callable[[bytes], bytes], str]] = {
    "empty": (lambda _: b"", "this is no Word file"),
    "PDF": (lambda _: b"%PDF-1.7", "this is no Word file"),
    "page": (lambda _: b"\n<!DOCTYPE html><html></html>", "this is no Word file, but a page or other text under its name"),
    "old Word": (lambda _: b"\xd0\xcf\x11\xe0" + b"\0" * 600, "this is no Word file, but one of an old kind or one that is locked with a password"),
    "cut": (lambda word: word[: len(word) // 2], "the file is cut off or damaged"),
    "only a head": (lambda word: word[:200], "the file is cut off or damaged"),
    "other zip": (lambda word: _repacked(word, {"_rels/.rels": None}), "this is no Word file: it holds no text"),
    "locked": (_locked, "is locked with a password"),
    "macros": (lambda word: _repacked(word, {"word/vbaProject.bin": b"x"}), "could run: macros and embedded programs are not taken"),
    "program": (lambda word: _repacked(word, {"word/activeX/activeX1.xml": b"<x/>"}), "could run"),
    "name upwards": (lambda word: _repacked(word, {"word/../../../etc/passwd": b"x"}), "has a name that leads out of the file"),
    "name from the root": (lambda word: _repacked(word, {"/etc/passwd": b"x"}), "has a name that leads out of the file"),
    "name of a drive": (lambda word: _repacked(word, {"C:/x": b"x"}), "has a name that leads out of the file"),
    "name with backslash": (lambda word: _repacked(word, {"word\\..\\x": b"x"}), "has a name that leads out of the file"),
    "part twice": (_twice, "stands in the file 2 times"),
    "many parts": (lambda word: _repacked(word, {f"x/{number}": b"" for number in range(2001)}), "the file holds more than 2000 parts"),
    "one large part": (lambda word: _repacked(word, {"x": b"0" * 33_000_000}), "unpacks to more than 32 MB in a part or 128 MB in all"),
    "many large parts": (lambda word: _repacked(word, {f"x{number}": b"0" * 30_000_000 for number in range(5)}), "unpacks to more than 32 MB in a part"),
    "size that lies": (_said_small, "the part 'word/document.xml' is damaged"),
    "other packing": (_packed_otherwise, "is packed in a way that Word does not use"),
    "nested": (_nested, "is a packed file inside the file"),
    "relation outside": (
        _relation('<Relationship Id="x" Type="http://x/attachedTemplate" Target="http://example.org/t.dotm" TargetMode="External"/>'),
        "word/_rels/document.xml.rels holds a relation that leads out of the file (attachedTemplate)",
    ),
    "relation outside, spelled otherwise": (
        _relation('<Relationship Id="x" Type="http://x/attachedTemplate" Target="http://example.org/t.dotm" TargetMode="external"/>'),
        "holds a relation that leads out of the file (attachedTemplate)",
    ),
    "more tags than memory": (_document_with(b"<d>" + b"<d/>" * 1_000_000 + b"</d>"), "the part 'customXml/item1.xml' holds more than 1000000 tags"),
    "entity": (
        _document_with(b'<!DOCTYPE d [<!ENTITY x SYSTEM "file:///etc/hostname">]><description xmlns="urn:docgen:description" about="">&x;</description>'),
        "the part 'customXml/item1.xml' is not plain XML in UTF-8, or declares entities",
    ),
    "entity in UTF-16": (
        _document_with('<?xml version="1.0" encoding="UTF-16"?><!DOCTYPE d [<!ENTITY x "y">]><d>&x;</d>'.encode("utf-16")),
        "is not plain XML in UTF-8",
    ),
    "other encoding": (_document_with(b'<?xml version="1.0" encoding="UTF-7"?><d/>'), "is not plain XML in UTF-8"),
    "no XML": (_document_with(b"<d>"), "the part 'customXml/item1.xml' is no XML"),
    "nothing carried": (lambda word: _repacked(word, {"customXml/item1.xml": None}), "the document carries no description"),
    "foreign XML": (_document_with(b'<description about="{}"/>'), "the document carries no description"),
    "two carried": (lambda word: _repacked(word, {"customXml/item2.xml": _part(word, "customXml/item1.xml")}), "the document carries 2 descriptions"),
    "about gone": (_document_with(f"<description {_OTHER}>docgen: 1</description>".encode()), "what the document says of the description inside is damaged"),
    "about a list": (_document_with(f'<description {_OTHER} about="[]">docgen: 1</description>'.encode()), "what the document says of the description"),
    "about too deep": (_document_with(f'<description {_OTHER} about="{"[" * 100_000}"/>'.encode()), "what the document says of the description"),
    "no digest": (_item(lambda item: re.sub(r"&quot;digest&quot;: &quot;[0-9a-f]+", "&quot;digest&quot;: &quot;short", item)), "what the document says of the description"),
    "name elsewhere": (_item(lambda item: item.replace("car.yaml", "../../car.yaml")), "what the document says of the description"),
    "other description": (_item(lambda item: item.replace("12 V", "24 V")), "the description inside is not the one that docgen put there: its digest is another"),
    "not a description": (_item(lambda item: item.replace("devices:", "devises:")), "the key devises is not known here"),
}  # fmt: skip


@pytest.mark.parametrize("kind", HOSTILE)
def test_a_hostile_or_damaged_file_is_refused_in_one_message(kind: str, word: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    make, reason = HOSTILE[kind]
    (tmp_path / "theirs.docx").write_bytes(make(word))
    assert main(["build", str(tmp_path / "theirs.docx")]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("theirs.docx")
    assert reason in said.err
    assert said.err.endswith("1 problem; nothing was written\n")
    assert [path.name for path in tmp_path.iterdir()] == ["theirs.docx"]


def test_a_link_in_the_text_is_no_danger(word: bytes) -> None:
    linked = _relation('<Relationship Id="x" Type="http://x/hyperlink" Target="http://example.org" TargetMode="External"/>')(word)
    assert read_document(linked, "linked.docx").carried == read_document(word, "word.docx").carried


def test_a_word_file_under_the_name_of_a_page_is_refused(word: bytes, tmp_path: Path) -> None:
    (tmp_path / "page.html").write_bytes(word)
    with pytest.raises(Unreadable, match=r"page\.html:1:1: this is no page, but a Word file"):
        described_in(tmp_path / "page.html")


def test_a_page_with_more_tags_than_memory_is_refused(car: Path, tmp_path: Path) -> None:
    (tmp_path / "page.html").write_bytes((car.parent / "submission" / "submission.html").read_bytes() + b"<p>" * 1_000_000)
    with pytest.raises(Unreadable, match=r"page\.html:1:1: the page holds more than 1000000 tags"):
        described_in(tmp_path / "page.html")


def test_a_page_with_a_tag_of_countless_attributes_is_refused(car: Path, tmp_path: Path) -> None:
    tag = b"<a " + b" ".join(b"a%d" % number for number in range(10_001)) + b">"
    (tmp_path / "page.html").write_bytes((car.parent / "submission" / "submission.html").read_bytes() + tag)
    with pytest.raises(Unreadable, match="more than 10000 words or attributes in one piece"):
        described_in(tmp_path / "page.html")


def test_a_description_inside_that_cannot_be_read_is_told_with_both_names(car: Path, tmp_path: Path) -> None:
    page = (car.parent / "submission" / "submission.html").read_bytes()
    text = submitted(car.parent / "submission" / "submission.html").carried.source.text
    broken = page.replace(base64.encodebytes(text.encode()), base64.encodebytes(text.replace("worked_by: hand", "worked_by: feet").encode()))
    (tmp_path / "page.html").write_bytes(broken)
    line = CAR.split("\n").index(next(line for line in CAR.split("\n") if "worked_by: hand" in line)) + 1
    with pytest.raises(Unreadable, match=rf"page\.html/car\.yaml:{line}:"):
        described_in(tmp_path / "page.html")


@pytest.mark.parametrize("name", ["nothing.docx", "nothing.html"])
def test_a_document_that_is_no_file_is_told(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(tmp_path / name)]) == 2
    assert capsys.readouterr().err.startswith(f"{name}:1:1: unreadable: the file cannot be read: ")


def test_a_link_to_a_document_in_another_folder_is_not_followed(document: Path, tmp_path: Path) -> None:
    try:
        (tmp_path / document.name).symlink_to(document)
    except OSError:
        pytest.skip("links cannot be made here")
    with pytest.raises(Unreadable, match="link to a file in another folder"):
        described_in(tmp_path / document.name)


def test_a_bomb_takes_no_memory(word: bytes) -> None:
    bombs = [_repacked(word, {"word/document.xml": b" " * 200_000_000}), _said_small(word)]
    tracemalloc.start()
    for bomb in bombs:
        with pytest.raises(Unreadable):
            read_document(bomb, "bomb.docx")
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 50_000_000


def test_no_damage_breaks_the_reader(word: bytes) -> None:
    chance, refused = random.Random(7), 0
    small = _repacked(word, {part: None for part in zipfile.ZipFile(io.BytesIO(word)).namelist() if part.startswith("word/media")})
    for _ in range(300):
        data = bytearray(small)
        for _ in range(chance.choice((1, 2, 8))):
            data[chance.randrange(len(data))] = chance.randrange(256)
        try:
            read_document(bytes(data[: chance.choice((len(data), chance.randrange(len(data))))]), "damaged.docx")
        except Unreadable:
            refused += 1
    assert refused > 100


def test_nothing_is_unpacked_of_a_file_with_an_objection(word: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    def unpacked(*_: object) -> object:
        raise AssertionError("XML was read")

    monkeypatch.setattr("docgen.word_file.etree.fromstring", unpacked)
    with pytest.raises(Unreadable, match="could run"):
        word_file(_repacked(word, {"word/vbaProject.bin": b"x"}), "theirs.docx")


# ---- saved again by other programs


@pytest.mark.libreoffice
def test_a_document_saved_again_by_libreoffice_is_known_as_unchanged(car: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    profile = f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}"
    built = car.parent / "submission" / "submission.docx"
    subprocess.run([tool("soffice"), profile, "--headless", "--convert-to", "docx", "--outdir", tmp_path, built], check=True, capture_output=True, timeout=300)
    assert (tmp_path / "submission.docx").read_bytes() != built.read_bytes()
    assert submitted(tmp_path / "submission.docx").carried == submitted(built).carried
    main(["check", str(tmp_path / "submission.docx")])
    assert "line by line its text is what docgen writes" in capsys.readouterr().out


@pytest.mark.chromium
def test_a_page_saved_again_by_a_browser_is_known_as_unchanged(car: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    browser = next((name for name in ("chromium", "chromium-browser", "google-chrome") if shutil.which(name)), "chromium")
    command = [tool(browser), "--headless", "--no-sandbox", f"--user-data-dir={tmp_path / 'profile'}", "--dump-dom", (car.parent / "submission" / "submission.html").as_uri()]
    (tmp_path / "saved.html").write_bytes(subprocess.run(command, check=True, capture_output=True, timeout=300).stdout)
    main(["check", str(tmp_path / "saved.html")])
    assert "line by line its text is what docgen writes" in capsys.readouterr().out


def test_as_json_the_standard_output_is_json_alone(document: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", str(document), "--as", "json"])
    assert json.loads(capsys.readouterr().out)["description"]["file"] == "car.yaml"
