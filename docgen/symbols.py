"""The symbols of a schematic: strokes on a conductor that runs to the right or down. Contacts are drawn at rest."""

from dataclasses import dataclass

from docgen.sheet import GREY, INK, PAPER, Box, Circle, Label, Line, Mark, Pen, Point, Polyline

HIGH = Pen(1.2)
RETURN = Pen(1.2, INK, (5.0, 2.6))
"""The conductor ahead of the coils, and behind them."""

THIN, FINE, LINK = Pen(0.9), Pen(0.5, GREY), Pen(0.6, GREY, (1.6, 1.4))
HEAVY, NONE, MISSING = Pen(2.0), Pen(0.0), Pen(0.8, INK, (2.4, 1.8))
SHADE, PANEL = "#dde2e5", "#edf0f1"

REACH = 13
"""Half the length of a symbol along the conductor."""
BAR = 22
"""How far what works a contact reaches from the conductor."""


@dataclass(frozen=True, slots=True)
class Frame:
    """The middle of a symbol: `u` runs with the current, `v` upwards from a conductor to the right, leftwards from one that runs down."""

    x: float
    y: float
    down: bool = False

    def at(self, u: float, v: float) -> Point:
        return (self.x - v, self.y + u) if self.down else (self.x + u, self.y - v)

    def line(self, pen: Pen, u1: float, v1: float, u2: float, v2: float) -> Line:
        return Line(self.at(u1, v1), self.at(u2, v2), pen)

    def polyline(self, pen: Pen, *points: Point, fill: str = "") -> Polyline:
        return Polyline(tuple(self.at(u, v) for u, v in points), pen, fill)

    def box(self, pen: Pen, u: float, v: float, half_u: float, half_v: float, fill: str = "") -> Box:
        """The rectangle around (u, v) with half its length along and across the conductor."""
        x, y = self.at(u, v)
        half_x, half_y = (half_v, half_u) if self.down else (half_u, half_v)
        return Box((x - half_x, y - half_y), 2 * half_x, 2 * half_y, pen, fill)

    def sign(self, text: str, u: float = 0, v: float = 0, size: float = 9) -> Label:
        """A bold sign centred on (u, v)."""
        x, y = self.at(u, v)
        return Label((x, y + 0.36 * size), text, size, "middle", bold=True)


def contact(frame: Frame, at_rest: str, pen: Pen) -> tuple[Mark, ...]:
    """A contact in its state at rest: open, closed, as left (a bistable one); any other text draws a question mark."""
    stubs = (frame.line(pen, -REACH, 0, -8, 0), frame.line(pen, 8, 0, REACH, 0))
    hinge = Circle(frame.at(-8, 0), 1.3, THIN, INK)
    match at_rest:
        case "open":
            return (*stubs, hinge, frame.line(Pen(1.3), -8, 0, 8, 8))
        case "closed":
            return (*stubs, hinge, frame.line(Pen(1.3), 8, 0, 8, 7.5), frame.line(Pen(1.3), -8, 0, 10.5, 5.6))
        case "as left":
            return (*stubs, hinge, frame.line(Pen(1.3, INK, (2.0, 1.2)), -8, 0, 8, 8))
        case _:
            return (*stubs, hinge, Circle(frame.at(8, 0), 1.3, THIN, INK), frame.sign("?"))


def actuator(frame: Frame, worked_by: str) -> tuple[Mark, ...]:
    """What works a contact, linked to its blade: hand, machine, power, plug or coil; any other text draws a question mark."""
    link = frame.line(LINK, 0, 4.5, 0, BAR - 10)
    foot, top = BAR - 10, BAR - 2
    match worked_by:
        case "hand":
            return (link, frame.polyline(THIN, (-6, foot - 2), (-6, foot + 1), (6, foot + 1), (6, foot - 2)))
        case "machine":
            return (link, frame.polyline(THIN, (0, foot), (-5.5, top), (5.5, top), (0, foot), fill=PAPER))
        case "power":
            return (link, frame.box(THIN, 0, foot + 4, 6, 4, SHADE), frame.box(NONE, -5, foot + 4, 1, 4, INK))
        case "plug":
            prongs = (frame.line(Pen(1.3), u, foot + 4, u, top + 1) for u in (-2.2, 2.2))
            return (link, frame.box(THIN, 0, foot + 2, 5, 2, PAPER), *prongs)
        case "coil":
            return (link, frame.box(THIN, 0, foot + 4, 6, 4, PAPER), frame.line(THIN, -3, foot, 3, top))
        case _:
            return (frame.line(LINK, 0, 4.5, 0, foot - 1), frame.sign("?", 0, foot + 4, 8))


def coil(frame: Frame, pen: Pen, beyond: Pen) -> tuple[Mark, ...]:
    return (frame.line(pen, -REACH, 0, -5.5, 0), frame.box(THIN, 0, 0, 5.5, 8, PAPER), frame.line(beyond, 5.5, 0, REACH, 0))


def fuse(frame: Frame, pen: Pen) -> tuple[Mark, ...]:
    return (frame.box(THIN, 0, 0, 9, 3.6, PAPER), frame.line(pen, -REACH, 0, REACH, 0))


def crossing(frame: Frame, pen: Pen) -> tuple[Mark, ...]:
    """A pin in the cup of its socket."""
    cup = frame.polyline(THIN, (-2.5, 4.5), (1.5, 3.6), (3.6, 0), (1.5, -3.6), (-2.5, -4.5))
    pin = frame.box(NONE, -2, 0, 3.6, 1.5, INK)
    return (frame.line(pen, -REACH, 0, -5.6, 0), pin, cup, frame.line(pen, 3.6, 0, REACH, 0))


def undescribed(frame: Frame, pen: Pen) -> tuple[Mark, ...]:
    """A dashed box: something is named here that is not described."""
    return (frame.line(pen, -REACH, 0, -9, 0), frame.box(MISSING, 0, 0, 9, 7), frame.sign("?"), frame.line(pen, 9, 0, REACH, 0))


def battery(frame: Frame) -> tuple[Mark, ...]:
    """Two cells on a conductor; `u` begins at the positive end."""
    plates = (frame.line(THIN if length > 6 else HEAVY, u, -length, u, length) for u, length in ((0, 9), (4, 5), (9, 9), (13, 5)))
    return (*plates, frame.line(FINE, -6.5, 8, -6.5, 12), frame.line(FINE, -8.5, 10, -4.5, 10), frame.line(FINE, 17.5, 8, 17.5, 12))


def chassis(x: float, y: float) -> tuple[Mark, ...]:
    """The frame of the car, as a bar with slanting strokes below the end of a conductor."""
    strokes = (Line((x + dx, y), (x + dx - 3, y + 5), THIN) for dx in (-5, 0.5, 6))
    return (Line((x - 7, y), (x + 7, y), Pen(1.3)), *strokes)


def dot(x: float, y: float) -> Circle:
    """Conductors that meet."""
    return Circle((x, y), 1.9, NONE, INK)


def terminal(x: float, y: float) -> Circle:
    """The end of a conductor that goes on elsewhere."""
    return Circle((x, y), 2.2, THIN, PAPER)


def arrow(x: float, y: float, dx: int, dy: int = 0) -> Polyline:
    """The direction of the current: one of right (1, 0), left (-1, 0) and down (0, 1); (x, y) is the tip."""
    back_x, back_y = x - 6 * dx, y - 6 * dy
    return Polyline(((x, y), (back_x - 2.4 * dy, back_y - 2.4 * dx), (back_x + 2.4 * dy, back_y + 2.4 * dx)), NONE, INK)
