"""Descriptions come from strangers: whatever they hold, there is no traceback, no half-written file, and text stays text."""

import csv
import hashlib
import json
import os
import random
import re
import zipfile
from functools import cache
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import docx
import pytest
from conftest import SMALL_CAR

from docgen.check import Report, check
from docgen.cli import main
from docgen.editions import edition
from docgen.load import load_text
from docgen.reading import Unreadable, leaves, read_text

EDITION = edition("fsuk-2026")
ODD = [
    "", " ", "~", "null", "[]", "{}", "unknown", "unknown (nobody)", "-1 V", "0 V", "1e99 V", "99999999999999999999 V", "NaN", "inf", "0x10", "12", "12 V", "12 Ω", "12,5 V", "± 5 %",
    "open", "closed", "offen", "Öffner", "схема", "接触器", "ملامس", "👷‍♀️", "a" * 5000, "x" * 3999, "a: b", "- a", "# lost", "@", "`", "%", "!tag", "&a", "*a", "'", '"', "\\", "<b>", "&amp;",
    "\u202e", "\u0000", "\u0007", "\ufeff", "\u2028", "\U000f0000", "\t", "{{ 7 * 7 }}", "${jndi}", "../../etc/passwd", "C:\\Windows", "=1+1", "[[1 s, 5 W]]", "[a, b", "{a: b", "|", ">", "---", "...",
    "true", "no", "2026-02-30", "same as main", "same as contact", "chassis", "node A", "coil imd", "fuse F1", "through X3.7", "{off: open}", "{manual: {off: open}}", "{any_of: [[], []]}",
    "{each_to_return: []}", "[[[[[[]]]]]]", "30-87a", "13-13", "NO/NC",
]  # fmt: skip


def _mutated(random_numbers: random.Random) -> str:
    lines = SMALL_CAR.split("\n")
    for _ in range(random_numbers.choice([1, 1, 1, 2, 3, 6])):
        number = random_numbers.randrange(1, len(lines))
        line = lines[number]
        match random_numbers.randrange(9):
            case 0:
                del lines[number]
            case 1:
                lines.insert(number, line)
            case 2:
                lines[number] = re.sub(r"(\w+):", lambda found: f"{found[1][::-1]}:", line, count=1)
            case 3 | 4 | 5:
                values = list(re.finditer(r": ([^,{}\[\]]+)", line))
                if values:
                    chosen = random_numbers.choice(values)
                    lines[number] = line[: chosen.start(1)] + random_numbers.choice(ODD) + line[chosen.end(1) :]
            case 6:
                lines[number] = " " * random_numbers.randrange(8) + line.lstrip()
            case 7:
                at = random_numbers.randrange(len(line) + 1)
                lines[number] = line[:at] + random_numbers.choice(ODD)[:40] + line[at:]
            case 8:
                other = random_numbers.randrange(1, len(lines))
                lines[number], lines[other] = lines[other], lines[number]
    return "\n".join(lines)


def _checked(text: str) -> Report | None:
    try:
        description = load_text(text)
    except Unreadable as refused:
        assert refused.problems
        for problem in refused.problems:
            assert problem.was
            assert problem.must
            assert problem.location.line >= 1
            assert problem.location.column >= 1
        return None
    report = check(description, EDITION)
    assert [result.outcome.was for result in report.failed_rules] == []
    return report


def _all_checked(seeds: range) -> None:
    read = 0
    for seed in seeds:
        text = _mutated(random.Random(seed))
        try:
            read += _checked(text) is not None
        except Exception as error:
            raise AssertionError(f"seed {seed}: {error!r}") from error
    assert 0.05 * len(seeds) < read < 0.95 * len(seeds)


def test_2000_damaged_descriptions_are_read_or_refused() -> None:
    _all_checked(range(2000))


@pytest.mark.slow
def test_20000_damaged_descriptions_are_read_or_refused() -> None:
    _all_checked(range(10_000, 30_000))


def _all_built(seeds: range, folder: Path) -> None:
    for seed in seeds:
        (folder / "car.yaml").write_bytes(_mutated(random.Random(seed)).encode("utf-8", "replace"))
        out = folder / f"out-{seed}"
        code = main(["build", str(folder / "car.yaml"), "--to", str(out)])
        assert code in (0, 1, 2), seed
        assert out.exists() == (code != 2), seed
        if code != 2:
            assert zipfile.ZipFile(out / "submission.docx").testzip() is None
            json.loads((out / "findings.json").read_text(encoding="utf-8"))
            assert not list(out.rglob(".writing-*"))


def test_a_few_damaged_descriptions_are_built_or_refused(tmp_path: Path) -> None:
    _all_built(range(12), tmp_path)


@pytest.mark.slow
def test_200_damaged_descriptions_are_built_or_refused(tmp_path: Path) -> None:
    _all_built(range(500, 700), tmp_path)


HOSTILE = [
    "<script>alert(1)</script><b>x</b>", "</svg><img src=x onerror=alert(1)>", "&amp; &lt; &#60; &nbsp;", "]]> <![CDATA[ x", "{{ 7 * 7 }} {% raw %} <# c #>", "**x** _y_ `z` [a](http://b) ![c](d) # e",
    "a\\nb \\N \\G \\l \"q\" 'p' \\", "<<b>html</b>>", "<w:p/><w:t>x</w:t>", "=HYPERLINK(1)", "%PDF %s %d $x ${y}", "x | y || z", "--> <!-- x", "é ü Ω µ ± ≤ схема 接触器 ملامس 👷",
]  # fmt: skip


@cache
def _free_texts() -> list[tuple[str | int, ...]]:
    """Fields of the small car that take any text."""
    taken = []
    for path, _ in leaves(read_text(SMALL_CAR, "car.yaml").data):
        data = _with_text(path, "any text at all")
        try:
            load_text(json.dumps(data))
        except Unreadable:
            continue
        if path != ("car", "edition"):
            taken.append(path)
    return taken


def _with_text(path: tuple[str | int, ...], text: str) -> Any:
    data = read_text(SMALL_CAR, "car.yaml").data
    inner = data
    for step in path[:-1]:
        inner = inner[step]
    inner[path[-1]] = text
    return data


class _Page(HTMLParser):
    """What a browser sees of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: set[str] = set()
        self.scripts: list[str | None] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes |= {name for name, _ in attrs}
        if tag == "script":
            self.scripts.append(dict(attrs).get("type"))

    def handle_data(self, data: str) -> None:
        self.text += data


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_text_in_every_free_field_arrives_as_text(hostile: str, tmp_path: Path) -> None:
    data = read_text(SMALL_CAR, "car.yaml").data
    fields = _free_texts()
    assert len(fields) > 10
    marked = {}
    for number, path in enumerate(fields):
        inner = data
        for step in path[:-1]:
            inner = inner[step]
        marked[path] = f"{hostile} m{number}m"
        inner[path[-1]] = marked[path]
    data["devices"]["imd"]["label"] = f"{hostile} label"
    data["devices"]["imd"]["place"] = {"where": f"{hostile} place"}
    (tmp_path / "car.yaml").write_text(json.dumps(data, ensure_ascii=False), encoding="utf-8")
    assert main(["build", str(tmp_path / "car.yaml")]) in (0, 1)
    out = tmp_path / "submission"
    page = (out / "submission.html").read_text(encoding="utf-8")
    parsed = _Page()
    parsed.feed(page)
    assert parsed.scripts == ["application/yaml"]
    assert not parsed.tags & {"img", "iframe", "object", "embed", "b", "link"}
    assert not [name for name in parsed.attributes if name.startswith("on")]
    assert f"{hostile} label" in parsed.text
    assert f"{hostile} m1m" in parsed.text
    word = docx.Document(BytesIO((out / "submission.docx").read_bytes()))
    text = "\n".join(paragraph.text for paragraph in word.element.body.iter() if paragraph.tag.endswith("}p") for paragraph in [docx.text.paragraph.Paragraph(paragraph, word)])
    assert hostile in text
    assert f"{hostile} label" in text
    for drawing in out.glob("loop-*.svg"):
        root = ElementTree.fromstring(drawing.read_text(encoding="utf-8"))
        assert {element.tag.rpartition("}")[2] for element in root.iter()} <= {"svg", "g", "text", "path", "polygon", "polyline", "ellipse", "title", "circle", "rect", "line", "tspan"}
    for table in out.glob("tables/*.csv"):
        assert not re.search(r'(^|,)"?[=+@]', table.read_text(encoding="utf-8-sig"), re.MULTILINE), table.name


def test_names_that_come_to_the_same_are_kept_apart(tmp_path: Path) -> None:
    like_a = f"a_{hashlib.sha256(b'A').hexdigest()[:16]}"
    names = ["A", like_a, f"{like_a[:10]}", "a", "con", "CON", "Con", "nul", "ö", "Ö", "接触器", "ab", "aB", "a-b", "a_b", "a__b", "x-1", "x_1", "x", "x" * 60, "𠀀" * 60]
    car = {
        "docgen": "1", "car": {"edition": "fsuk-2026"}, "loops": {name: {"path": [name, name, f"{name[:50]}-2"]} for name in names},
        "devices": {name: {"function": "IMD", "contacts": {name: {"at_rest": "open"}}} for name in names},
    }  # fmt: skip
    (tmp_path / "car.yaml").write_text(json.dumps(car, ensure_ascii=False), encoding="utf-8")
    assert main(["build", str(tmp_path / "car.yaml")]) == 1
    written = [path.relative_to(tmp_path / "submission").as_posix() for path in (tmp_path / "submission").rglob("*.*")]
    assert sum(bool(re.fullmatch(r"loop-.*-1\.svg", name)) for name in written) == len(names)
    assert len({name.casefold() for name in written}) == len(written)
    assert [name for name in written if not re.fullmatch(r"[A-Za-z0-9./_-]{1,200}", name)] == []


@pytest.mark.parametrize("cell", ["=1+1", "+1", "-1+1", "@SUM(A1)", "\t=1+1", "＝1+1", "shut;=1+1", "shut;@SUM(A1)", "shut\t=1+1"])
def test_no_cell_of_a_table_becomes_a_formula(cell: str, tmp_path: Path) -> None:
    data = _with_text(("demand", "brake_light", "lit_by"), cell)
    data["evidence"]["ds_button"]["title"] = cell
    (tmp_path / "car.yaml").write_text(json.dumps(data, ensure_ascii=False), encoding="utf-8")
    assert main(["build", str(tmp_path / "car.yaml")]) in (0, 1)
    rows = csv.reader((tmp_path / "submission" / "tables" / "evidence.csv").read_text(encoding="utf-8-sig").splitlines())
    titles = [row[1] for row in rows]
    assert [title for title in titles if cell.strip()[-3:] in title]
    assert not [title for title in titles if re.search(r"(?:^|[;\t])[=+@＝-]", title)]


def test_nothing_outside_the_folder_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "car"
    folder.mkdir()
    secret = tmp_path / "secret.txt"
    secret.write_text("do not read me", encoding="utf-8")
    data = read_text(SMALL_CAR, "car.yaml").data
    data["evidence"] = {"a": {"file": "../secret.txt"}, "b": {"file": str(secret)}}
    data["devices"]["imd"]["pictures"] = ["../secret.txt", str(secret)]
    (folder / "car.yaml").write_text(json.dumps(data), encoding="utf-8")
    opened: list[str] = []
    real = os.open

    def watched(path: Any, *rest: Any, **named: Any) -> int:
        opened.append(str(path))
        return real(path, *rest, **named)

    monkeypatch.setattr(os, "open", watched)
    main(["build", str(folder / "car.yaml")])
    assert not [path for path in opened if path.endswith("secret.txt")]
    assert "do not read me" not in (folder / "submission" / "submission.html").read_text(encoding="utf-8")
