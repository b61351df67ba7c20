"""The loop as a schematic: from the graph of a loop to placed sheets; and the same loop in words.

The conductor runs in rows from left to right and goes on through the gutter between them, so that no line crosses
another. Branches to the return hang in columns and end on a return line; return lines are gathered at the left edge.
What fits neither a row nor a column becomes a run of its own between two points of the same name.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from docgen import symbols
from docgen.car import Car
from docgen.car.wiring import LowVoltage, Source
from docgen.network import Branches, Element, Junction, Kind, Line, Network, Parallel, Side
from docgen.schematic_cell import FUNCTION, NAME, NOTE, TEXT, Row, Scribe, said, written
from docgen.schematic_rows import (
    ENDING, LEAD, Block, Blocks, Column, Ending, Fork, Grid, Item, Point, Slots, Split, ToReturn, after, columns, ending, put, tall, width,
)  # fmt: skip
from docgen.schematic_rows import Source as SourceBlock
from docgen.sheet import GREY, Label, Mark, Pen, Polyline, Sheet, wrapped
from docgen.sheet import Line as Stroke
from docgen.symbols import HIGH, RETURN, Frame

WIDTH, HEIGHT = 756.0, 481.0
"""The largest sheet in points: what an A4 page in landscape leaves inside its margins."""
GRIDS = (Grid(22.5, 32, 6), Grid(22.5, 32, 5), Grid(21.0, 34, 6), Grid(21.0, 34, 5), Grid(19.0, 38, 5))
"""From generous to narrow; the first that needs the fewest sheets, and then the fewest rows of columns, is drawn."""
LEFT, TOP, LEGEND = 20.0, 20.0, 56.0
RISER, INLET, OUTLET = 5.0, 12.0, 8.0
"""Return lines and the conductor to a row run down left of the rows, the conductor from a row right of it."""
GUTTER, NOTICE = 13.0, 12.0
"""Heights of the gutter above a row and of a line about another sheet."""
TALLEST, WIDEST = 300.0, 3
"""The largest branch that hangs in a column, in points and in columns."""

CONVENTION = "Contacts are drawn at rest: no power, nobody pressing, key out, plug apart. The tag at a contact says its state in the healthy car."


def schematic(network: Network, car: Car, term: Callable[[str], str]) -> tuple[Sheet, ...]:
    """The loop on as many sheets as it needs; `term` gives the edition's word for a function."""
    drawn = [_paged(network, car, term, grid) for grid in GRIDS]
    placed = min(drawn, key=lambda bands: (bands[-1].page, sum(bool(here.band.falls) for here in bands)))
    pages = placed[-1].page + 1
    return tuple(_sheet(network, placed, page, pages) for page in range(pages))


def element_ids(network: Network) -> dict[Element, str]:
    """The id of the group that shows an element: ``dev-imd``, ``dev-precharge_unit.done``, ``fuse-F1``, ``through-X3.7``."""
    prefix = {Kind.FUSE: "fuse-", Kind.CROSSING: "through-", Kind.WIRE: "conductor"}
    found: dict[Element, str] = {}
    taken: dict[str, int] = {}
    for element in network.elements:
        name = prefix.get(element.kind, "dev-") + element.spelled.replace(" ", "-")
        taken[name] = taken.get(name, 0) + 1
        found[element] = name if taken[name] == 1 else f"{name}-{taken[name]}"
    return found


# ── From the graph to rows ─────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class _Run:
    """A conductor with its blocks, in groups that stand in one row where they can."""

    groups: tuple[Blocks, ...]
    pen: Pen = HIGH
    from_return: bool = False


@dataclass(frozen=True, slots=True)
class _Band:
    """The part of a run that stands in one row."""

    blocks: Blocks
    pen: Pen
    opens: bool
    closes: bool
    from_return: bool

    @property
    def above(self) -> float:
        return max((block.above for block in self.blocks), default=4)

    @property
    def below(self) -> float:
        return max((block.below for block in self.blocks), default=4)

    @property
    def falls(self) -> tuple[float, ...]:
        """Where its columns meet the return line."""
        found: list[float] = []
        x = LEFT
        for block in self.blocks:
            found += block.falls(x)
            x += block.width
        return tuple(found)


class _Draughtsman:
    """Turns the nested lines of a network into runs of blocks."""

    def __init__(self, network: Network, car: Car, scribe: Scribe, grid: Grid) -> None:
        self.network, self.car, self.scribe, self.grid = network, car, scribe, grid
        self.apart: list[_Run] = []
        self.points = 0

    def runs(self) -> Iterator[_Run]:
        network, unit = self.network, self.grid.unit
        yield self._to_return(((self._source(),), *self._groups(network.line)), network.line)
        for bridge in network.bridges:
            start, end = Point(bridge.start, 2 * unit, opens=True), Point(bridge.end, 2 * unit, closes=True)
            yield _Run(((start,), *self._groups(bridge.line), (end,)))
        yield from self.apart
        if network.way_back:
            yield _Run((*self._groups(network.way_back), (Ending(network.ends_at),)), RETURN, from_return=True)

    def _to_return(self, groups: tuple[Blocks, ...], line: Line) -> _Run:
        """A run that ends on the return line, by itself or with the last of its branches."""
        ended = not line or isinstance(line[_last_part(line)], Branches)
        return _Run(groups if ended else (*groups, (ToReturn(self.grid.unit),)))

    def _groups(self, line: Line) -> tuple[Blocks, ...]:
        found: list[Blocks] = []
        last = _last_part(line)
        for number, part in enumerate(line):
            match part:
                case Junction(name=name) if number > last and isinstance(line[last], Branches):
                    self.apart.append(_Run(((Point(name, 2 * self.grid.unit, opens=True), ToReturn(self.grid.unit)),)))
                case Element():
                    found.append((self.scribe.cell(part, self.grid.unit),))
                case Junction(name=name):
                    found.append((Point(name, 2 * self.grid.unit),))
                case Parallel(ways=ways):
                    found += self._fork(ways)
                case Branches(ways=ways):
                    found.append(self._branches(ways, last=number == last))
        return tuple(found)

    def _fork(self, ways: tuple[Line, ...]) -> Iterator[Blocks]:
        if not ways:
            yield (Point("no way", 2 * self.grid.unit),)
            return
        laid = [self._groups(way) for way in ways]
        flat = tuple(tuple(block for group in groups for block in group) for groups in laid)
        fork = Fork(flat, self.grid.unit)
        if fork.width <= self.grid.width and fork.below < TALLEST and not any(isinstance(block, Column) for way in flat for block in way):
            yield (fork,)
            return
        start, end = self._new_point(), self._new_point()
        yield (Point(start, 2 * self.grid.unit),)
        yield from laid[0]
        yield (Point(end, 2 * self.grid.unit),)
        for groups in laid[1:]:
            opened, closed = Point(start, 2 * self.grid.unit, opens=True), Point(end, 2 * self.grid.unit, closes=True)
            self.apart.append(_Run(((opened,), *groups, (closed,))))

    def _branches(self, ways: tuple[Line, ...], last: bool) -> Blocks:
        found: list[Block] = []
        for number, way in enumerate(ways):
            ends = last and number == len(ways) - 1
            slots = self._slots(way)
            if slots is not None and tall(slots) <= TALLEST and columns(slots) <= WIDEST:
                found.append(Column(slots, self.grid, self._branch_title(way), ends))
                continue
            name = self._new_point()
            found.append(Point(name, 2 * self.grid.unit, closes=ends))
            self.apart.append(self._to_return(((Point(name, 2 * self.grid.unit, opens=True),), *self._groups(way)), way))
        return tuple(found)

    def _slots(self, line: Line) -> Slots | None:
        """The line as a column, or None where branches leave it on the way."""
        found: list[object] = []
        room = self.grid.column - LEAD - TEXT - 2
        for number, part in enumerate(line):
            match part:
                case Element():
                    found.append(self.scribe.hanging(part, room))
                case Junction(name=name):
                    found.append(Point(name, 2 * self.grid.unit))
                case Parallel(ways=ways) | Branches(ways=ways):
                    joins = isinstance(part, Parallel)
                    inner = tuple(self._slots(way) for way in ways)
                    if not ways or not joins and number < len(line) - 1 or any(slots is None or joins and _parts(slots) for slots in inner):
                        return None
                    found.append(Split(tuple(slots for slots in inner if slots is not None), joins))
        return tuple(found)  # type: ignore[arg-type]

    def _new_point(self) -> str:
        self.points += 1
        return str(self.points)

    def _branch_title(self, way: Line) -> str:
        coils = (self.car.devices.get(element.name) for element in _elements(way) if element.kind is Kind.COIL)
        return "pre-charge" if any(device and device.function == "pre-charge relay" for device in coils) else ""

    def _source(self) -> SourceBlock:
        loop = self.car.loops[self.network.loop]
        room = 4 * self.grid.unit - 27
        battery = loop.source == "low_voltage"
        name = "low-voltage source" if battery else f"feed {loop.source}" if isinstance(loop.source, str) else "source ?"
        low_voltage = self.car.low_voltage
        source = low_voltage.source if battery and isinstance(low_voltage, LowVoltage) else None
        rows = [Row(line, NAME, 8.4, bold=True) for line in wrapped(name, room, NAME, bold=True)]
        if isinstance(source, Source):
            nominal = getattr(source.voltage, "nominal", None)
            notes = [said(source.kind), f"{said(nominal) or '?'} nominal"]
            rows += [Row(line, NOTE, 7, colour=GREY) for note in notes if note for line in wrapped(note, room, NOTE, lines=1)]
        return SourceBlock(tuple(rows), 4 * self.grid.unit, battery, self.network.ends_at)


def _last_part(line: Line) -> int:
    """The index of the last part that is more than a named point; -1 where there is none."""
    return max((number for number, part in enumerate(line) if not isinstance(part, Junction)), default=-1)


def _parts(slots: Slots) -> bool:
    """Whether the column goes apart and does not join again."""
    return any(isinstance(slot, Split) and (not slot.joins or any(_parts(way) for way in slot.ways)) for slot in slots)


def _elements(line: Line) -> Iterator[Element]:
    for part in line:
        match part:
            case Element():
                yield part
            case Parallel(ways=ways) | Branches(ways=ways):
                for way in ways:
                    yield from _elements(way)


def _bands(run: _Run, room: float) -> Iterator[_Band]:
    """The run broken into rows of at most `room` points."""
    rows: list[list[Block]] = [[]]
    for group in run.groups:
        if rows[-1] and width(group) <= room < width(rows[-1]) + width(group):
            rows.append([])
        for block in group:
            if rows[-1] and width(rows[-1]) + block.width > room + 0.01:
                rows.append([])
            rows[-1].append(block)
    pen = run.pen
    for number, row in enumerate(rows):
        yield _Band(tuple(row), pen, number == 0, number == len(rows) - 1, run.from_return and number == 0)
        pen = after(row, pen)


# ── From rows to sheets ────────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class _Placed:
    """A band on a sheet: the height of its conductor, of its return line, and of its foot."""

    band: _Band
    page: int
    y: float
    bottom: float
    foot: float
    ends: bool
    """Its return line is the last one and ends the loop."""


def _paged(network: Network, car: Car, term: Callable[[str], str], grid: Grid) -> tuple[_Placed, ...]:
    scribe = Scribe(car, term, element_ids(network))
    bands = tuple(band for run in _Draughtsman(network, car, scribe, grid).runs() for band in _bands(run, grid.width))
    end = max((number for number, band in enumerate(bands) if band.falls), default=-1) if not network.way_back else -1
    placed: list[_Placed] = []
    page, top = 0, TOP - GUTTER / 2
    for number, band in enumerate(bands):
        tail = (14 if band.falls else 0) + (ENDING if number == end else 0)
        if placed and placed[-1].page == page and top + GUTTER + band.above + band.below + tail > HEIGHT - LEGEND - NOTICE:
            page, top = page + 1, TOP + NOTICE
        y = top + GUTTER + band.above
        top = y + band.below + tail
        placed.append(_Placed(band, page, y, y + band.below + 8, top, number == end))
    return tuple(placed)


def _sheet(network: Network, placed: tuple[_Placed, ...], page: int, pages: int) -> Sheet:
    items: list[Item] = [*_title(network, page, pages)]
    for number, here in enumerate(placed):
        if here.page == page:
            items += put(here.band.blocks, LEFT, here.y, here.band.pen, here.bottom)
            if not here.band.opens and placed[number - 1].page != page:
                items += _inlet(here, page)
            if not here.band.closes:
                items += _onward(here, placed[number + 1])
    items += _returns(network, placed, page)
    foot = max(here.foot for here in placed if here.page == page) + (NOTICE if page < pages - 1 else 0)
    items += _legend(foot + 8)
    return Sheet(WIDTH, round(foot + LEGEND), tuple(items))


def _onward(here: _Placed, there: _Placed) -> Iterator[Item]:
    """The conductor from the end of a row to the beginning of the next one."""
    end = LEFT + width(here.band.blocks)
    out, pen = end + OUTLET, there.band.pen
    if there.page == here.page:
        gutter = there.y - there.band.above - GUTTER / 2
        yield Polyline(((end, here.y), (out, here.y), (out, gutter), (INLET, gutter), (INLET, there.y), (LEFT, there.y)), pen)
        yield symbols.arrow((out + INLET) / 2, gutter, -1)
        return
    gutter = here.foot + 6
    yield Polyline(((end, here.y), (out, here.y), (out, gutter), (out - 24, gutter)), pen)
    yield symbols.arrow(out - 24, gutter, -1)
    yield Label((out - 33, gutter + 2.2), f"{_letter(here.page)}, to sheet {there.page + 1}", FUNCTION, "end", bold=True)


def _inlet(here: _Placed, page: int) -> Iterator[Item]:
    """The conductor that comes from the sheet before."""
    gutter = here.y - here.band.above - GUTTER / 2
    yield Polyline(((INLET + 18, gutter), (INLET, gutter), (INLET, here.y), (LEFT, here.y)), here.band.pen)
    yield Label((INLET + 22, gutter + 2.2), f"{_letter(page - 1)}, from sheet {page}", FUNCTION, bold=True)


def _letter(page: int) -> str:
    return chr(ord("A") + page % 26)


def _returns(network: Network, placed: tuple[_Placed, ...], page: int) -> Iterator[Item]:
    """The return lines of a sheet, gathered at the left edge, and the end of the loop."""
    users = [here for here in placed if here.band.falls or here.band.from_return]
    alone = len(users) == 1
    mine = [here for here in users if here.page == page]
    for here in mine:
        falls = here.band.falls
        if not falls:
            yield Stroke((RISER, here.y), (LEFT, here.y), RETURN)
            continue
        left = max(RISER, min(falls) - 44) if alone else RISER
        yield Stroke((left, here.bottom), (max(falls), here.bottom), RETURN)
        yield from (symbols.dot(x, here.bottom) for x in falls if x != max(falls))
        yield Label((left + 4, here.bottom - 3.5), "return side", NOTE, bold=True)
        if here.ends:
            yield from ending(left, here.bottom, network.ends_at)
    if alone or not mine:
        return
    heights = [here.bottom if here.band.falls else here.y for here in mine]
    before, later = [here.page for here in users if here.page < page], [here.page for here in users if here.page > page]
    foot = max(here.foot for here in placed if here.page == page) + 8
    first, last = TOP + 9 if before else heights[0], foot if later else heights[-1]
    if first != last:
        yield Stroke((RISER, first), (RISER, last), RETURN)
    if before:
        yield Label((RISER + 5, first + 2), f"return, from sheet {before[-1] + 1}", FUNCTION, bold=True)
    if later:
        yield Label((RISER + 5, last), f"return, to sheet {later[0] + 1}", FUNCTION, bold=True)
    yield from (symbols.dot(RISER, y) for y in heights if first < y < last)


# ── Title and legend ───────────────────────────────────────────────────────────────────────────────────────────────────


def _title(network: Network, page: int, pages: int) -> Iterator[Item]:
    yield Label((RISER, 10), f"Loop {network.loop}", 9, bold=True)
    yield Label((WIDTH / 2 + 20, 10), CONVENTION, FUNCTION, "middle")
    if pages > 1:
        yield Label((WIDTH - RISER, 10), f"sheet {page + 1} of {pages}", FUNCTION, "end", bold=True)
    yield Stroke((RISER, 15), (WIDTH - RISER, 15), symbols.FINE)


def _legend(top: float) -> Iterator[Item]:
    """Two rows of symbols with their words."""
    yield Stroke((RISER, top), (WIDTH - RISER, top), symbols.FINE)
    pitch = (WIDTH - 2 * RISER) / 8
    for number, (marks, words) in enumerate(_entries()):
        x, y = RISER + pitch * (number % 8), top + 13 + 22 * (number // 8)
        yield from marks(Frame(x + 15, y))
        yield from written([Row(line, NOTE, 7) for line in words.split("\n")], x + 33, y + 1 - 3.5 * len(words.split("\n")), middle=False)


Drawn = Callable[[Frame], tuple[Mark, ...]]


def _entries() -> tuple[tuple[Drawn, str], ...]:
    def state(at_rest: str) -> Drawn:
        return lambda frame: symbols.contact(Frame(frame.x, frame.y + (3 if at_rest else 0)), at_rest, HIGH)

    def worked(by: str) -> Drawn:
        return lambda frame: symbols.actuator(Frame(frame.x, frame.y + 14), by)

    def stroke(pen: Pen) -> Drawn:
        return lambda frame: (frame.line(pen, -13, 0, 13, 0),)

    def tags(frame: Frame) -> tuple[Mark, ...]:
        rows = [Row(text, 6.0, 9, True, tag=True, closed=text == "closed") for text in ("closed", "open")]
        return tuple(written(rows, frame.x, frame.y - 9, middle=True))

    return (
        (state("open"), "open at rest\n(make contact)"), (state("closed"), "closed at rest\n(break contact)"), (state(""), "state at rest\nnot described"),
        (tags, "state in the\nhealthy car"), (lambda frame: symbols.undescribed(frame, HIGH), "device not\ndescribed"),
        (stroke(HIGH), "high side"), (stroke(RETURN), "return side"), (lambda frame: symbols.crossing(frame, HIGH), "through a\nconnector"),
        (worked("hand"), "worked by\nhand"), (worked("machine"), "by the\nmachine"), (worked("plug"), "by plugging"),
        (worked("power"), "powered,\nfeed named"), (worked("coil"), "by its own\ncoil"), (lambda frame: symbols.coil(frame, HIGH, RETURN), "coil"),
        (lambda frame: symbols.fuse(frame, HIGH), "fuse"), (lambda frame: (*stroke(HIGH)(frame), symbols.dot(frame.x, frame.y)), "joined, or a\nnamed point"),
    )  # fmt: skip


# ── In words ───────────────────────────────────────────────────────────────────────────────────────────────────────────


def in_words(network: Network, car: Car, term: Callable[[str], str]) -> str:
    """The loop in the order of the current, for those who do not see the drawing."""
    scribe = Scribe(car, term, element_ids(network))
    source = said(car.loops[network.loop].source) or "?"
    parts = [f"Loop {network.loop}, from the source {source}", *_spoken(network.line, scribe)]
    for bridge in network.bridges:
        parts.append(f"between {bridge.start} and {bridge.end}: {', then '.join(_spoken(bridge.line, scribe)) or 'a plain conductor'}")
    parts += [f"on the way back: {words}" for words in _spoken(network.way_back, scribe)]
    return "; ".join((*parts, f"it ends at: {network.ends_at or '?'}")) + "."


def _spoken(line: Line, scribe: Scribe) -> Iterator[str]:
    for part in line:
        match part:
            case Element():
                yield scribe.sentence(part)
            case Junction(name=name):
                yield f"point {name}"
            case Parallel(ways=ways) | Branches(ways=ways):
                told = (f"({number}) {', then '.join(_spoken(way, scribe))}" for number, way in enumerate(ways, 1))
                yield f"{'in parallel' if isinstance(part, Parallel) else 'branches to the return'}: {', '.join(told)}"
