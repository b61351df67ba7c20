"""What any drawing is made of: strokes, boxes and labels on a sheet, in points (1/72 inch), origin top left, y downwards."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from fontTools.ttLib import TTFont

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]

INK, SLATE, GREY, PAPER = "#1c2226", "#37474f", "#525b61", "#ffffff"


@dataclass(frozen=True, slots=True)
class Pen:
    """How a stroke is drawn: width in points, colour, and dashes as lengths of stroke and gap."""

    width: float
    colour: str = INK
    dashes: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """A straight stroke."""

    start: Point
    end: Point
    pen: Pen


@dataclass(frozen=True, slots=True)
class Polyline:
    """Straight strokes from point to point; an area where `fill` is given."""

    points: tuple[Point, ...]
    pen: Pen
    fill: str = ""


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle, filled where `fill` is given."""

    centre: Point
    radius: float
    pen: Pen
    fill: str = ""


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle from its top left corner, filled where `fill` is given."""

    corner: Point
    width: float
    height: float
    pen: Pen
    fill: str = ""


@dataclass(frozen=True, slots=True)
class Label:
    """One line of plain text; `at` lies on its base line."""

    at: Point
    text: str
    size: float
    anchor: Anchor = "start"
    bold: bool = False
    colour: str = INK

    def __post_init__(self) -> None:
        if not self.text:
            raise ValueError("a label without text")


Mark = Line | Polyline | Circle | Box | Label


@dataclass(frozen=True, slots=True)
class Group:
    """Marks that belong together; `id` names them for a page, `title` says in words what they show."""

    id: str
    title: str
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A placed drawing of a size in points."""

    width: float
    height: float
    items: tuple[Mark | Group, ...]

    def marks(self) -> Iterator[Mark]:
        """Every mark in drawing order, those inside groups included."""
        for item in self.items:
            if isinstance(item, Group):
                yield from item.marks
            else:
                yield item

    def groups(self) -> tuple[Group, ...]:
        return tuple(item for item in self.items if isinstance(item, Group))


@dataclass(frozen=True, slots=True)
class Extent:
    """The upright rectangle that marks cover."""

    left: float
    top: float
    right: float
    bottom: float


RISE, FALL = 0.74, 0.22
"""How far letters reach above and below the base line, in sizes."""


def extent(*marks: Mark) -> Extent:
    """The rectangle that the marks cover, without the width of their strokes; raises ValueError for no mark."""
    points: list[Point] = []
    for mark in marks:
        match mark:
            case Line(start=start, end=end):
                points += [start, end]
            case Polyline(points=corners):
                points += corners
            case Circle(centre=(x, y), radius=radius):
                points += [(x - radius, y - radius), (x + radius, y + radius)]
            case Box(corner=(x, y), width=width, height=height):
                points += [(x, y), (x + width, y + height)]
            case Label(at=(x, y), size=size):
                width = text_width(mark.text, size, mark.bold)
                left = x - width * {"start": 0.0, "middle": 0.5, "end": 1.0}[mark.anchor]
                points += [(left, y - RISE * size), (left + width, y + FALL * size)]
    across, down = [x for x, _ in points], [y for _, y in points]
    return Extent(min(across), min(down), max(across), max(down))


@cache
def _face() -> "TTFont":
    """The font, opened only when something is drawn."""
    import fontpkg
    from fontTools.ttLib import TTFont

    return TTFont(fontpkg.path("Arimo"), lazy=True)


@cache
def _advance(character: str, bold: bool) -> float:
    """Width of a character in sizes; a character that the font lacks counts as a whole one."""
    glyph = _face().getBestCmap().get(ord(character))
    if glyph is None:
        return 1.0
    weight = {"wght": 700.0 if bold else 400.0}
    return float(_face().getGlyphSet(location=weight)[glyph].width) / float(_face()["head"].unitsPerEm)


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Width of a line of text in points, set in Arimo of `size` points.

    >>> round(text_width("13-14", 10), 1)
    25.6
    """
    return size * sum(_advance(character, bold) for character in text)


def shortened(text: str, width: float, size: float, bold: bool = False) -> str:
    """The text, cut and ended with an ellipsis where it is wider than `width` points.

    >>> shortened("brake over-travel switch", 60, 7)
    'brake over-travel…'
    """
    if text_width(text, size, bold) <= width:
        return text
    kept, used = "", text_width("…", size, bold)
    for character in text:
        used += text_width(character, size, bold)
        if used > width:
            break
        kept += character
    return kept.rstrip() + "…"


_AFTER = "_-./"
"""Characters after which a line may end where it has no space."""


def wrapped(text: str, width: float, size: float, bold: bool = False, lines: int = 2) -> tuple[str, ...]:
    """The text in at most `lines` lines of `width` points; what does not fit gives way to an ellipsis.

    >>> wrapped("precharge_unit.running", 62, 7.5, bold=True)
    ('precharge_unit.', 'running')
    """
    rest = " ".join(text.split())
    done: list[str] = []
    while rest and len(done) < lines - 1 and text_width(rest, size, bold) > width:
        used, at_space, at_sign = 0.0, 0, 0
        for index, character in enumerate(rest):
            if character == " ":
                at_space = index + 1
            used += text_width(character, size, bold)
            if used > width:
                break
            if character in _AFTER:
                at_sign = index + 1
        fitting = at_space or at_sign
        if not fitting:
            break
        done.append(rest[:fitting].rstrip())
        rest = rest[fitting:]
    return (*done, shortened(rest, width, size, bold)) if rest else tuple(done)
