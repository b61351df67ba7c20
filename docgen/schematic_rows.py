"""What stands in the rows of a schematic: blocks on a conductor that runs to the right, and columns that hang from it.

A block knows its own size and draws itself where it is put. Whatever hangs from a row ends on the return line below it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

from docgen import symbols
from docgen.schematic_cell import FUNCTION, NOTE, TEXT, Cell, Row, height, written
from docgen.sheet import Box, Group, Label, Line, Mark, Pen, shortened
from docgen.symbols import NONE, RETURN, Frame

Item = Mark | Group

ENDING = 20.0
"""Height of the point where a loop ends, below its return line."""
LEAD, HEAD = 21.0, 13.0
"""A column: from its left edge to its conductor, from the row down to its first symbol."""
ROOM = TEXT + 1.5
"""What a column needs besides, for no writing to touch anything."""


@dataclass(frozen=True, slots=True)
class Grid:
    """The raster of a drawing: units in points and in a row; a contact takes four of them, a fuse or crossing two."""

    unit: float
    units: int
    column_units: int

    @property
    def width(self) -> float:
        return self.unit * self.units

    @property
    def column(self) -> float:
        return self.column_units * self.unit


class Block(Protocol):
    """A piece of a row."""

    @property
    def width(self) -> float: ...
    @property
    def above(self) -> float:
        """How far it reaches above the conductor."""
    @property
    def below(self) -> float: ...
    def after(self, pen: Pen) -> Pen:
        """The conductor behind the block, where `pen` is the one ahead of it."""
    def falls(self, x: float) -> tuple[float, ...]:
        """Where its conductors meet the return line."""
    def put(self, x: float, y: float, pen: Pen, bottom: float) -> Iterator[Item]:
        """The block on a conductor `pen` that enters at (x, y), above a return line at `bottom`."""


Blocks = tuple[Block, ...]


def after(blocks: Sequence[Block], pen: Pen) -> Pen:
    for block in blocks:
        pen = block.after(pen)
    return pen


def width(blocks: Sequence[Block]) -> float:
    return sum(block.width for block in blocks)


def above(blocks: Sequence[Block]) -> float:
    return max((block.above for block in blocks), default=4)


def below(blocks: Sequence[Block]) -> float:
    return max((block.below for block in blocks), default=4)


def put(blocks: Sequence[Block], x: float, y: float, pen: Pen, bottom: float) -> Iterator[Item]:
    for block in blocks:
        yield from block.put(x, y, pen, bottom)
        x, pen = x + block.width, block.after(pen)


@dataclass(frozen=True, slots=True)
class Point:
    """A point with a name, on the conductor or at one of its ends."""

    name: str
    width: float
    opens: bool = False
    closes: bool = False
    above: float = 16
    below: float = 8

    def after(self, pen: Pen) -> Pen:
        return pen

    def falls(self, x: float) -> tuple[float, ...]:
        return ()

    def put(self, x: float, y: float, pen: Pen, bottom: float) -> Iterator[Item]:
        middle = x + self.width / 2
        yield Line((middle if self.opens else x, y), (middle if self.closes else x + self.width, y), pen)
        yield symbols.terminal(middle, y) if self.opens or self.closes else symbols.dot(middle, y)
        yield Label((middle, y - 6), shortened(self.name, self.width - 2, FUNCTION, bold=True), FUNCTION, "middle", bold=True)

    @property
    def slot(self) -> float:
        return 16

    def hang(self, x: float, y: float, pen: Pen, room: float) -> Iterator[Item]:
        yield Line((x, y), (x, y + self.slot), pen)
        yield symbols.dot(x, y + self.slot / 2)
        yield Label((x + TEXT, y + self.slot / 2 + 2.3), shortened(self.name, room, FUNCTION, bold=True), FUNCTION, bold=True)


@dataclass(frozen=True, slots=True)
class Supply:
    """Where the current comes from: the low-voltage battery, or a feed."""

    rows: tuple[Row, ...]
    width: float
    battery: bool
    ends_at: str
    above: float = 14

    @property
    def below(self) -> float:
        return max(52.0, 8 + height(self.rows))

    def after(self, pen: Pen) -> Pen:
        return pen

    def falls(self, x: float) -> tuple[float, ...]:
        return ()

    def put(self, x: float, y: float, pen: Pen, bottom: float) -> Iterator[Item]:
        pole = x + 11
        yield Line((pole, y), (x + self.width, y), pen)
        yield symbols.arrow(x + self.width - 6, y, 1)
        yield Label((pole + 13, y - 5), "high side", NOTE, bold=True)
        marks = [*written(self.rows, pole + 13, y + 6, middle=False)]
        if self.battery:
            yield Line((pole, y), (pole, y + 13), pen)
            yield Line((pole, y + 26), (pole, y + 38), RETURN)
            marks += [*symbols.battery(Frame(pole, y + 13, down=True)), *_end(pole, y + 38, self.ends_at)]
        else:
            yield symbols.terminal(pole, y)
        yield Group("source", " ".join(row.text for row in self.rows), tuple(marks))


def _end(x: float, y: float, ends_at: str) -> tuple[Mark, ...]:
    match ends_at:
        case "chassis":
            return symbols.chassis(x, y)
        case "source negative":
            return (symbols.terminal(x, y),)
        case _:
            return (Frame(x, y + 5).sign("?"),)


def ending(x: float, y: float, ends_at: str) -> Iterator[Item]:
    """The point where a loop ends, below the end of its return line."""
    yield Line((x, y), (x, y + 9), RETURN)
    words = Label((x + 12, y + 16), ends_at or "end not described", NOTE, bold=True)
    yield Group("loop-end", f"the loop ends at: {ends_at or '?'}", (*_end(x, y + 9, ends_at), words))


@dataclass(frozen=True, slots=True)
class Ending:
    """The end of a way back that has devices on it."""

    ends_at: str
    width: float = 80
    above: float = 8
    below: float = ENDING

    def after(self, pen: Pen) -> Pen:
        return pen

    def falls(self, x: float) -> tuple[float, ...]:
        return ()

    def put(self, x: float, y: float, pen: Pen, bottom: float) -> Iterator[Item]:
        yield Line((x, y), (x + 12, y), RETURN)
        yield from ending(x + 12, y, self.ends_at)


@dataclass(frozen=True, slots=True)
class ToReturn:
    """The end of a conductor on the return line."""

    width: float
    above: float = 4
    below: float = 8

    def after(self, pen: Pen) -> Pen:
        return pen

    def falls(self, x: float) -> tuple[float, ...]:
        return (x + self.width / 2,)

    def put(self, x: float, y: float, pen: Pen, bottom: float) -> Iterator[Item]:
        yield Line((x, y), (x + self.width / 2, y), pen)
        yield Line((x + self.width / 2, y), (x + self.width / 2, bottom), pen)


@dataclass(frozen=True, slots=True)
class Fork:
    """Ways that join again, one below the other."""

    ways: tuple[Blocks, ...]
    unit: float

    @property
    def width(self) -> float:
        return max(width(way) for way in self.ways) + self.unit

    @property
    def levels(self) -> tuple[float, ...]:
        """How far the conductor of each way lies below the first."""
        levels = [0.0]
        for upper, lower in zip(self.ways, self.ways[1:], strict=False):
            levels.append(levels[-1] + below(upper) + above(lower) + 4)
        return tuple(levels)

    @property
    def above(self) -> float:
        return above(self.ways[0])

    @property
    def below(self) -> float:
        return self.levels[-1] + below(self.ways[-1])

    def after(self, pen: Pen) -> Pen:
        return RETURN if RETURN in (after(way, pen) for way in self.ways) else pen

    def falls(self, x: float) -> tuple[float, ...]:
        return ()

    def put(self, x: float, y: float, pen: Pen, bottom: float) -> Iterator[Item]:
        begin, end = x + self.unit / 4, x + self.width - self.unit / 4
        joined = self.after(pen)
        yield Line((x, y), (begin, y), pen)
        yield Line((end, y), (x + self.width, y), joined)
        last = y + self.levels[-1]
        if len(self.ways) > 1:
            yield Line((begin, y), (begin, last), pen)
            yield Line((end, y), (end, last), joined)
        for level, way in zip(self.levels, self.ways, strict=True):
            here = y + level
            left = x + (self.width - width(way)) / 2
            yield Line((begin, here), (left, here), pen)
            yield from put(way, left, here, pen, bottom)
            yield Line((left + width(way), here), (end, here), after(way, pen))
            if len(self.ways) > 1 and here != last:
                yield symbols.dot(begin, here)
                yield symbols.dot(end, here)


@dataclass(frozen=True, slots=True)
class Split:
    """Ways side by side in a column, that join again or each go on to the return."""

    ways: tuple["Slots", ...]
    joins: bool

    @property
    def slot(self) -> float:
        return 8 + max(tall(way) for way in self.ways) + 8 * self.joins


Slot = Cell | Point | Split
Slots = tuple[Slot, ...]


def tall(slots: Slots) -> float:
    return sum(slot.slot for slot in slots)


def columns(slots: Slots) -> int:
    return max((sum(columns(way) for way in slot.ways) if isinstance(slot, Split) else 1 for slot in slots), default=1)


def below_coils(slots: Slots, pen: Pen) -> Pen:
    for slot in slots:
        if isinstance(slot, Cell):
            pen = slot.leaves
        elif isinstance(slot, Split) and RETURN in (below_coils(way, pen) for way in slot.ways):
            pen = RETURN
    return pen


def _ends(slots: Slots, x: float, column: float) -> tuple[float, ...]:
    """Where the conductors of a column at x end below it."""
    if slots and isinstance(slots[-1], Split) and not slots[-1].joins:
        return tuple(end for at, way in _side_by_side(slots[-1], x, column) for end in _ends(way, at, column))
    return (x,)


def _side_by_side(split: Split, x: float, column: float) -> Iterator[tuple[float, Slots]]:
    for way in split.ways:
        yield x, way
        x += columns(way) * column


def _hang(slots: Slots, x: float, y: float, bottom: float, pen: Pen, column: float, foot: float) -> Iterator[Item]:
    """The slots on a conductor down from (x, y) to `bottom`; the last one stands in the middle of the lowest `foot` points."""
    for number, slot in enumerate(slots):
        lowest = bottom - slot.slot - (max(0, (foot - slot.slot) / 2) if isinstance(slot, Cell) else 0)
        if number == len(slots) - 1 and y < lowest:
            yield Line((x, y), (x, lowest), pen)
            y = lowest
        match slot:
            case Cell():
                yield from slot.hang(x, y)
                pen = slot.leaves
            case Point():
                yield from slot.hang(x, y, pen, column - LEAD - ROOM)
            case Split():
                yield from _hang_split(slot, x, y, bottom if not slot.joins else y + slot.slot, pen, column, foot)
                pen = below_coils((slot,), pen)
        y += slot.slot
    if y < bottom and not (slots and isinstance(slots[-1], Split)):
        yield Line((x, y), (x, bottom), pen)


def _hang_split(split: Split, x: float, y: float, bottom: float, pen: Pen, column: float, foot: float) -> Iterator[Item]:
    places = tuple(_side_by_side(split, x, column))
    end = bottom - 8 if split.joins else bottom
    yield Line((x, y), (x, y + 8), pen)
    if len(places) > 1:
        yield Line((x, y + 8), (places[-1][0], y + 8), pen)
    for at, way in places:
        yield from _hang(way, at, y + 8, end, pen, column, 0 if split.joins else foot)
        if at != places[-1][0]:
            yield symbols.dot(at, y + 8)
    if split.joins:
        joined = below_coils((split,), pen)
        if len(places) > 1:
            yield Line((x, end), (places[-1][0], end), joined)
        yield from (symbols.dot(at, end) for at, _ in places[:-1])
        yield Line((x, end), (x, bottom), joined)


@dataclass(frozen=True, slots=True)
class Column:
    """A branch that hangs from the row and ends on the return line."""

    slots: Slots
    grid: Grid
    title: str
    last: bool
    """The row ends here."""
    foot: float
    """Height that the last symbols of all columns beside it are given."""
    above: float = 4

    @property
    def width(self) -> float:
        return columns(self.slots) * self.grid.column

    @property
    def below(self) -> float:
        last = self.slots[-1].slot if self.slots else 0
        return HEAD + tall(self.slots) + max(0, self.foot - last)

    def after(self, pen: Pen) -> Pen:
        return pen

    def falls(self, x: float) -> tuple[float, ...]:
        return _ends(self.slots, x + LEAD, self.grid.column)

    def put(self, x: float, y: float, pen: Pen, bottom: float) -> Iterator[Item]:
        wire = x + LEAD
        if self.title:
            yield Box((x, y + 4), self.width - 1, bottom - y - 8, NONE, symbols.PANEL)
            title = shortened(self.title, self.width - LEAD - ROOM, FUNCTION, bold=True)
            yield Label((wire + TEXT, y + 12), title, FUNCTION, bold=True)
        yield Line((x, y), (wire if self.last else x + self.width, y), pen)
        if not self.last:
            yield symbols.dot(wire, y)
        yield Line((wire, y), (wire, y + HEAD), pen)
        yield from _hang(self.slots, wire, y + HEAD, bottom, pen, self.grid.column, self.foot)
