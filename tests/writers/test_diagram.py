"""The drawing writer: DOT, SVG by Graphviz, PNG; the same from every engine and on every machine."""

import hashlib
import os
import re
import struct
import subprocess
import sys
from xml.etree import ElementTree

import pytest
from conftest import SMALL_CAR, TESTS, edited, tool

from docgen.load import load_text
from docgen.network import network
from docgen.schematic import schematic
from docgen.sheet import Box, Circle, Group, Label, Line, Pen, Polyline, Sheet
from docgen.writers import diagram
from docgen.writers.diagram import NoEngine, dot_source, draw, engine

SVG = "{http://www.w3.org/2000/svg}"
PEN = Pen(1.0)
HOSTILE = (
    'say "so"', "back\\slash\\", 'both\\"', "<b>bold</b> & <script>alert(1)</script>", "&lt;&amp;&#92;", "\\N \\G \\l", "50 % of %d {a|b}", "a  b\u00a0c", "<<table>>",
    "-->", "]]>", "Ωµ≥–", "非常停止 עצירה", "' OR 1", "7 -Arimo T 0 0",
)  # fmt: skip


def _small() -> tuple[Sheet, ...]:
    car = load_text(SMALL_CAR).car
    return schematic(network(car, "drive"), car, str)


def _root(sheet: Sheet) -> ElementTree.Element:
    return ElementTree.fromstring(draw(sheet).svg)


def _labelled(*texts: str) -> Sheet:
    labels = tuple(Label((20, 12 + 12 * number), text, 7, bold=number % 2 == 0) for number, text in enumerate(texts))
    return Sheet(300, 240, (Group("dev-x", texts[0], labels), Box((5, 5), 4, 4, PEN)))


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_arrives_as_plain_text(text: str) -> None:
    root = _root(_labelled(text, "next"))
    assert [element.text for element in root.iter(f"{SVG}text")] == [text, "next"]
    assert [element.text for element in root.iter(f"{SVG}title")] == [text]
    assert {element.tag.removeprefix(SVG) for element in root.iter()} == {"svg", "rect", "g", "title", "polygon", "text"}


def test_hostile_names_and_places_of_a_car_arrive_as_plain_text() -> None:
    car = edited(r"""devices: {imd: {label: "a\"\\b\\N<i>&amp;", place: {where: "%s\n\\\" {x|y}"}}}""").car
    texts = [element.text for sheet in schematic(network(car, "drive"), car, str) for element in _root(sheet).iter(f"{SVG}text")]
    assert 'a"\\b\\N<i>&amp;' in texts
    assert '%s \\" {x|y}' in texts


def test_every_mark_stands_where_the_sheet_puts_it() -> None:
    marks = (
        Line((10, 20), (30, 20), Pen(1.2, "#123456", (5, 2))), Polyline(((10, 30), (20, 30), (20, 40)), PEN), Polyline(((1, 1), (9, 1), (5, 6)), PEN, "#00ff00"),
        Circle((50, 50), 4, PEN), Box((60, 60), 10, 5, Pen(0), "#eeeeee"), Label((70, 80), "words", 7, "end", True, "#654321"),
    )  # fmt: skip
    root = _root(Sheet(100, 90, (marks[0], Group("dev-a", "A", marks[1:]))))
    canvas = root.find(f"{SVG}g")
    assert canvas is not None
    assert canvas.get("transform") == "translate(0 90)"
    line, group = list(canvas)
    assert (line.get("points"), line.get("stroke"), line.get("stroke-width"), line.get("stroke-dasharray")) == ("10,-70 30,-70", "#123456", "1.2", "5 2")
    assert (group.get("id"), [element.tag.removeprefix(SVG) for element in group]) == ("dev-a", ["title", "polygon", "polyline", "polygon", "ellipse", "polygon", "text"])
    _, _, bent, area, circle, box, words = group
    assert bent.get("points") == "10,-60 20,-60 20,-50"
    assert area.get("fill") == "#00ff00"
    assert (circle.get("cx"), circle.get("cy"), circle.get("rx"), circle.get("fill")) == ("50", "-40", "4", "none")
    assert (box.get("points"), box.get("stroke")) == ("60,-30 70,-30 70,-25 60,-25 60,-30", None)
    assert (words.get("x"), words.get("y"), words.get("text-anchor"), words.get("font-weight"), words.get("fill")) == ("70", "-10", "end", "bold", "#654321")


def test_a_page_can_point_at_every_device_of_a_loop() -> None:
    ids = [element.get("id") for sheet in _small() for element in _root(sheet).iter() if element.get("id")]
    assert {"dev-imd", "dev-precharge_unit.done", "dev-air_plus", "dev-hold_relay", "fuse-F1"} <= set(ids)
    assert len(ids) == len(set(ids))


def test_the_drawing_has_one_font_list_and_nothing_from_outside() -> None:
    svg = draw(_small()[0]).svg
    assert re.findall(r'font-family="([^"]*)"', svg) == ["Arimo, Arial, Liberation Sans, sans-serif"]
    assert re.findall(r"https?://[^\"]*", svg) == ["http://www.w3.org/2000/svg"]
    for unwanted in ("transparent", "<!--", "<!DOCTYPE", "<image", "href", "<style"):
        assert unwanted not in svg


def test_the_raster_has_300_dots_an_inch_at_the_printed_size() -> None:
    picture = draw(Sheet(720, 360, (Label((10, 20), "imd", 7),)))
    assert picture.png.startswith(b"\x89PNG")
    assert struct.unpack(">II", picture.png[16:24]) == (3000, 1500)
    assert (picture.width_mm, picture.height_mm) == (254.0, 127.0)


def test_the_raster_draws_letters_without_any_font_of_the_machine() -> None:
    with_letters, bold, without = (draw(Sheet(100, 40, marks)).png for marks in ((Label((10, 20), "imd", 7),), (Label((10, 20), "imd", 7, bold=True),), (Box((1, 1), 2, 2, PEN),)))
    assert len({with_letters, bold, without}) == 3


def test_a_sheet_gives_the_same_bytes_in_every_process() -> None:
    script = (
        "import sys, hashlib; from pathlib import Path; from docgen.load import load_text; from docgen.network import network; from docgen.schematic import schematic;"
        "from docgen.writers.diagram import draw; car = load_text(Path(sys.argv[1]).read_text(encoding='utf-8')).car;"
        "pictures = [draw(sheet) for sheet in schematic(network(car, 'drive'), car, str)];"
        "print([hashlib.sha256(p.svg.encode() + p.png).hexdigest() for p in pictures])"
    )
    runs = [
        subprocess.run(
            [sys.executable, "-c", script, str(TESTS / "cars" / "small_car.yaml")], env=os.environ | {"PYTHONHASHSEED": seed}, cwd=TESTS.parent,
            capture_output=True, text=True, encoding="utf-8", check=True,
        ).stdout.strip()
        for seed in ("1", "2")
    ]  # fmt: skip
    pictures = [draw(sheet) for sheet in _small()]
    assert runs == 2 * [str([hashlib.sha256(picture.svg.encode() + picture.png).hexdigest() for picture in pictures])]


def test_the_dot_source_names_every_group_and_holds_the_words() -> None:
    source = dot_source(_labelled("Ω monitor"))
    assert source.startswith("graph sheet {")
    assert 'id="dev-x"' in source
    assert "10 -Ω monitor" in source


def test_a_label_without_text_is_refused() -> None:
    with pytest.raises(ValueError, match="without text"):
        Label((0, 0), "", 7)


# ── Engines ────────────────────────────────────────────────────────────────────────────────────────────────────────────


def test_the_packaged_engine_is_preferred_to_one_on_the_path(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DOCGEN_DOT", raising=False)
    assert re.fullmatch(r"graphviz-pure [0-9.]+", engine())


def test_an_engine_chosen_by_the_environment_that_is_no_program_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DOCGEN_DOT", "no-such-program")
    with pytest.raises(NoEngine, match="DOCGEN_DOT names no-such-program"):
        engine()


def test_a_program_that_does_not_draw_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DOCGEN_DOT", sys.executable)
    with pytest.raises(NoEngine, match="does not draw"):
        draw(_labelled("imd"))


@pytest.mark.parametrize("drawn", ["", "no SVG", "<svg"])
def test_a_program_that_draws_something_else_is_an_error(drawn: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(diagram.graphviz.Graph, "pipe", lambda *_, **__: drawn)
    with pytest.raises(NoEngine, match="does not draw"):
        draw(_labelled("imd"))


def test_without_any_engine_the_error_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    def absent(name: str) -> None:
        raise diagram.PackageNotFoundError(name)

    monkeypatch.delenv("DOCGEN_DOT", raising=False)
    monkeypatch.setattr(diagram, "distribution", absent)
    monkeypatch.setattr(diagram.shutil, "which", lambda name: None)
    with pytest.raises(NoEngine, match="install the package graphviz-pure"):
        engine()


def _geometry(sheet: Sheet) -> list[tuple[str, str, list[float]]]:
    """Every element with its id and its coordinates to a tenth of a point."""
    shown = []
    for element in _root(sheet).iter():
        numbers = " ".join(element.get(name, "") for name in ("points", "x", "y", "cx", "cy", "rx", "ry"))
        shown.append((element.tag, element.get("id", ""), [round(float(number), 1) for number in re.findall(r"-?[0-9.]+", numbers)]))
    return shown


@pytest.mark.dot
def test_debian_dot_draws_the_same_geometry(monkeypatch: pytest.MonkeyPatch) -> None:
    sheets = (*_small(), _labelled(*HOSTILE))
    monkeypatch.delenv("DOCGEN_DOT", raising=False)
    packaged = [_geometry(sheet) for sheet in sheets]
    monkeypatch.setenv("DOCGEN_DOT", tool("dot"))
    assert engine() == "dot (DOCGEN_DOT)"
    for sheet, expected in zip(sheets, packaged, strict=True):
        drawn = _geometry(sheet)
        assert [(tag, name) for tag, name, _ in drawn] == [(tag, name) for tag, name, _ in expected]
        for (_, name, numbers), (_, _, wanted) in zip(drawn, expected, strict=True):
            assert numbers == pytest.approx(wanted, abs=0.6), name
