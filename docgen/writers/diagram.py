"""The drawing writer: a placed sheet as DOT source, as SVG drawn by Graphviz, and as PNG.

Graphviz lays nothing out: every mark stands in the graph's ``_background``, every group is a node at its place. The
background is a sum of strings, because older engines end a string after 16 kilobytes.
Afterwards the strokes of a group are moved into the element of its node, so that a page can point at it by `id`.
"""

import os
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path
from xml.etree import ElementTree

import fontpkg
import graphviz
import resvg_py
from graphviz.backend import dot_command

from docgen.nodes import Picture
from docgen.sheet import PAPER, Box, Circle, Group, Label, Line, Mark, Polyline, Sheet, extent
from docgen.stop import Stop

FONTS = "Arimo, Arial, Liberation Sans, sans-serif"
DPI = 300
_SVG = "{http://www.w3.org/2000/svg}"
_BACKSLASH = "\N{FULLWIDTH REVERSE SOLIDUS}"
"""Stands for a backslash in DOT, where one before a quotation mark cannot be written."""


class NoEngine(Stop):
    """No Graphviz program was found, or the one found does not draw."""


@dataclass(frozen=True, slots=True)
class _Engine:
    name: str
    program: Path


def engine() -> str:
    """The name of the program that draws; raises NoEngine where there is none."""
    return _engine().name


def _engine() -> _Engine:
    if chosen := os.environ.get("DOCGEN_DOT"):
        if found := shutil.which(chosen):
            return _Engine(f"{Path(chosen).stem} (DOCGEN_DOT)", Path(found))
        raise NoEngine(f"DOCGEN_DOT names {chosen}, which is no program")
    try:
        wheel = distribution("graphviz-pure")
        for file in wheel.files or ():
            if file.stem == "graphviz-pure" and (program := Path(str(wheel.locate_file(file))).resolve()).is_file():
                return _Engine(f"graphviz-pure {wheel.version}", program)
    except PackageNotFoundError:
        pass
    if found := shutil.which("dot"):
        return _Engine("dot", Path(found))
    raise NoEngine("no Graphviz program: install the package graphviz-pure, or set DOCGEN_DOT to a Graphviz program")


def draw(sheet: Sheet) -> Picture:
    """The sheet as a picture of its own size; raises NoEngine where no Graphviz program draws it."""
    svg = _svg(sheet)
    font = fontpkg.path("Arimo")
    png = resvg_py.svg_to_bytes(svg_string=svg, dpi=DPI, skip_system_fonts=True, font_files=[str(font)])
    return Picture(svg, bytes(png), millimetres(sheet.width), millimetres(sheet.height))


def millimetres(points: float) -> float:
    """A length of a sheet, in points, as it is printed."""
    return round(points * 25.4 / 72, 2)


# ── DOT ────────────────────────────────────────────────────────────────────────────────────────────────────────────────


def dot_source(sheet: Sheet) -> str:
    """The sheet in the DOT language, for ``neato -n2``."""
    source: str = _graph(sheet).source
    return source


def _graph(sheet: Sheet) -> graphviz.Graph:
    graph = graphviz.Graph("sheet", engine="neato")
    pieces = (" ".join(_operations(mark, sheet.height)).replace('"', '\\"') for mark in sheet.marks())
    graph.body.append("\tgraph [_background=" + " +\n\t\t".join(f'"{piece} "' for piece in pieces) + "]\n")
    graph.attr("node", shape="box", label="", fixedsize="true", color="none")
    for group in sheet.groups():
        area = extent(*group.marks)
        middle = f"{_number((area.left + area.right) / 2)},{_number(sheet.height - (area.top + area.bottom) / 2)}"
        size = {"width": f"{(area.right - area.left) / 72:.4f}", "height": f"{(area.bottom - area.top) / 72:.4f}"}
        graph.node(group.id, id=group.id, pos=middle, **size)
    return graph


def _operations(mark: Mark, height: float) -> Iterator[str]:
    """The mark in the xdot language, whose y runs upwards and whose texts carry their length in bytes."""

    def points(*places: tuple[float, float]) -> str:
        return " ".join(f"{_number(x)} {_number(height - y)}" for x, y in places)

    def text(words: str) -> str:
        words = words.replace("\\", _BACKSLASH)
        return f"{len(words.encode())} -{words}"

    if isinstance(mark, Label):
        yield f"c {text(mark.colour)} F {_number(mark.size)} {text('Arimo')} t {int(mark.bold)}"
        yield f"T {points(mark.at)} {('start', 'middle', 'end').index(mark.anchor) - 1} 0 {text(mark.text)}"
        return
    fill = "" if isinstance(mark, Line) else mark.fill
    yield f"S {text('dashed' if mark.pen.dashes else 'solid')} S {text(f'setlinewidth({_number(mark.pen.width)})')}"
    yield f"c {text(mark.pen.colour)}"
    if fill:
        yield f"C {text(fill)}"
    match mark:
        case Line(start=start, end=end):
            yield f"L 2 {points(start, end)}"
        case Polyline(points=places):
            yield f"{'P' if fill else 'L'} {len(places)} {points(*places)}"
        case Circle(centre=centre, radius=radius):
            yield f"{'E' if fill else 'e'} {points(centre)} {_number(radius)} {_number(radius)}"
        case Box(corner=(x, y), width=width, height=tall):
            yield f"{'P' if fill else 'p'} 4 {points((x, y), (x + width, y), (x + width, y + tall), (x, y + tall))}"


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") if round(value, 2) else "0"


# ── SVG ────────────────────────────────────────────────────────────────────────────────────────────────────────────────


def _svg(sheet: Sheet) -> str:
    chosen = _engine()
    dot_command.DOT_BINARY = chosen.program  # the package has no other way to be told its program
    try:
        drawn = ElementTree.fromstring(_graph(sheet).pipe("svg", neato_no_op=2, encoding="utf-8", quiet=True))
    except (graphviz.CalledProcessError, graphviz.ExecutableNotFound, OSError, UnicodeError, ElementTree.ParseError) as error:
        raise NoEngine(f"{chosen.name} does not draw: {str(error)[:300]}") from error
    return _finished(drawn, sheet, chosen)


def _finished(root: ElementTree.Element, sheet: Sheet, chosen: _Engine) -> str:
    """The drawing on a page of the sheet's own size, its marks in their groups, in plain attributes."""
    canvas = root.find(f"{_SVG}g")
    if canvas is None:
        raise NoEngine(f"{chosen.name} drew nothing")
    nodes = {node.get("id"): node for node in canvas.findall(f"{_SVG}g")}
    strokes = [child for child in canvas if child.tag not in (f"{_SVG}g", f"{_SVG}title")][1:]
    marks = list(sheet.marks())
    if len(strokes) != len(marks) or len(nodes) != len(sheet.groups()):
        raise NoEngine(f"{chosen.name} drew {len(strokes)} marks of {len(marks)} and {len(nodes)} groups of {len(sheet.groups())}")
    for mark, stroke in zip(marks, strokes, strict=True):
        _plain(mark, stroke, sheet.height)
    width, height = _number(sheet.width), _number(sheet.height)
    size = {"width": f"{width}pt", "height": f"{height}pt", "viewBox": f"0 0 {width} {height}"}
    page = ElementTree.Element(f"{_SVG}svg", size | {"font-family": FONTS, "stroke-linecap": "round"})
    ElementTree.SubElement(page, f"{_SVG}rect", {"width": width, "height": height, "fill": PAPER})
    canvas = ElementTree.SubElement(page, f"{_SVG}g", {"transform": f"translate(0 {height})"})
    waiting = iter(strokes)
    for item in sheet.items:
        if isinstance(item, Group):
            node = nodes[item.id]
            _name(node, item)
            node.extend(next(waiting) for _ in item.marks)
            canvas.append(node)
        else:
            canvas.append(next(waiting))
    ElementTree.register_namespace("", _SVG[1:-1])
    ElementTree.indent(page, "")
    return ElementTree.tostring(page, encoding="unicode") + "\n"


def _name(node: ElementTree.Element, group: Group) -> None:
    """Title and touchable area of a group; every engine writes these two first."""
    title, area = node.find(f"{_SVG}title"), node.find(f"{_SVG}polygon")
    if title is not None:
        title.text = group.title
    if area is not None:
        area.set("stroke", "none")


def _plain(mark: Mark, stroke: ElementTree.Element, height: float) -> None:
    """Say in the element what engines say differently: text and its place, dashes, and no stroke."""
    if isinstance(mark, Label):
        stroke.attrib.clear()
        stroke.attrib |= {"x": _number(mark.at[0]), "y": _number(mark.at[1] - height), "font-size": _number(mark.size), "fill": mark.colour}
        stroke.attrib |= {"text-anchor": mark.anchor} if mark.anchor != "start" else {}
        stroke.attrib |= {"font-weight": "bold"} if mark.bold else {}
        stroke.text = mark.text
        return
    for name in ("stroke", "stroke-width", "stroke-dasharray"):
        stroke.attrib.pop(name, None)
    if mark.pen.width:
        stroke.attrib |= {"stroke": mark.pen.colour, "stroke-width": _number(mark.pen.width)}
    if mark.pen.dashes:
        stroke.attrib |= {"stroke-dasharray": " ".join(map(_number, mark.pen.dashes)), "stroke-linecap": "butt"}
