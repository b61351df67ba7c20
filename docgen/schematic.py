"""The loop as a schematic: from the graph of a loop to placed sheets; and the same loop in words.

The conductor runs in rows from left to right and goes on through the gutter between them, so that no line crosses
another. Branches to the return hang in columns and end on a return line; return lines are gathered at the left edge.
What fits neither a row nor a column becomes a run of its own between two points of the same name.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import groupby, pairwise

from docgen import schematic_rows as rows
from docgen import symbols
from docgen.car import Car
from docgen.car.values import Unknown
from docgen.car.wiring import LowVoltage, Source, SourceVoltage
from docgen.network import Branches, Element, Junction, Kind, Line, Network, Parallel
from docgen.schematic_cell import FUNCTION, NAME, NOTE, Row, Scribe, said, written
from docgen.schematic_rows import Block, Blocks, Grid, Item, Slot, Slots
from docgen.sheet import GREY, Label, Mark, Pen, Polyline, Sheet, shortened, text_width, wrapped
from docgen.sheet import Line as Stroke
from docgen.symbols import HIGH, RETURN, Frame

WIDTH, HEIGHT = 756.0, 481.0
"""The largest sheet in points: what an A4 page in landscape leaves inside its margins."""
GRIDS = (Grid(22.5, 32, 6), Grid(22.5, 32, 5), Grid(21.0, 34, 6), Grid(21.0, 34, 5), Grid(19.0, 38, 5))
"""From generous to narrow; the first that needs the fewest sheets, and then the fewest rows with branches, is drawn."""
EDGE, LEFT, TOP, LEGEND = 4.0, 26.0, 20.0, 52.0
RISER, INLET, OUTLET = 10.0, 17.0, 6.0
"""Return lines and the conductor to a row run down left of the rows, the conductor from a row right of it."""
GUTTER, NOTICE, RETURNED = 12.0, 11.0, 18.0
"""Heights: of the gutter above a row, of a line about another sheet, of a return line."""
STEP = 20.0
"""Points; a smaller gain in height does not decide where a row is broken."""
DEEPEST, WIDEST = 265.0, 3
"""The largest branch that hangs in a column: points below its row, and columns side by side."""

CONVENTION = (
    "Contacts are drawn at rest: no power, nobody pressing, key out, plug apart. The tag at a contact says its state in the healthy car."
)


def schematic(network: Network, car: Car, term: Callable[[str], str]) -> tuple[Sheet, ...]:
    """The loop on as many sheets as it needs; `term` gives the edition's word for a function."""
    scribe = Scribe(car, term, element_ids(network))
    drawn = [_placed(network, _Draughtsman(network, scribe, grid)) for grid in GRIDS]
    placed = min(drawn, key=lambda bands: (bands[-1].page, sum(bool(here.falls) for here in bands)))
    pages = [tuple(bands) for _, bands in groupby(placed, lambda here: here.page)]
    following = {here: there for here, there in pairwise(placed) if not here.band.closes}
    on_return = tuple(here for here in placed if here.falls or here.band.from_return)
    return tuple(_sheet(_title(network, car, page, len(pages)), here, following, on_return, network.ends_at) for page, here in enumerate(pages))


def element_ids(network: Network) -> dict[Element, str]:
    """The id of the group that shows an element: ``dev-imd``, ``dev-precharge_unit.done``, ``fuse-F1``, ``through-X3.7``."""
    prefix = {Kind.FUSE: "fuse-", Kind.CROSSING: "through-", Kind.WIRE: "conductor"}
    found: dict[Element, str] = {}
    taken: dict[str, int] = {}
    for element in network.elements:
        name = prefix.get(element.kind, "dev-") + element.spelled.replace(" ", "-")
        found[element] = name
        while found[element] in taken:
            taken[name] += 1
            found[element] = f"{name}-{taken[name]}"
        taken[found[element]] = 1
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
        return rows.above(self.blocks)

    @property
    def below(self) -> float:
        return rows.below(self.blocks)

    def falls(self) -> Iterator[float]:
        """Where its columns meet the return line."""
        x = LEFT
        for block in self.blocks:
            yield from block.falls(x)
            x += block.width


class _Draughtsman:
    """Turns the nested lines of a network into runs of blocks."""

    def __init__(self, network: Network, scribe: Scribe, grid: Grid) -> None:
        self.network, self.scribe, self.grid = network, scribe, grid
        self.apart: list[_Run] = []
        self.points = 0

    def bands(self) -> Iterator[_Band]:
        for run in self._runs():
            yield from _bands(run, self.grid.width)

    def _runs(self) -> Iterator[_Run]:
        network = self.network
        yield self._run(((self._source(),),), network.line)
        for bridge in network.bridges:
            yield self._run(((self._point(bridge.start, opens=True),),), bridge.line, ((self._point(bridge.end, closes=True),),))
        yield from self.apart
        if network.way_back:
            yield _Run((*self._groups(network.way_back), (rows.Ending(network.ends_at),)), RETURN, from_return=True)

    def _run(self, opening: tuple[Blocks, ...], line: Line, closing: tuple[Blocks, ...] | None = None) -> _Run:
        """The line between an opening and a closing, by default the return line; a line that goes apart has no closing."""
        closing = ((rows.ToReturn(self.grid.unit),),) if closing is None and line else closing or ()
        return _Run((*opening, *self._groups(line), *(() if _goes_apart(line) else closing)))

    def _point(self, name: str, opens: bool = False, closes: bool = False) -> rows.Point:
        return rows.Point(name, 2 * self.grid.unit, opens, closes)

    def _new_name(self) -> str:
        self.points += 1
        return str(self.points)

    def _groups(self, line: Line) -> tuple[Blocks, ...]:
        found: list[Blocks] = []
        last = _last_part(line)
        for number, part in enumerate(line):
            match part:
                case Junction(name=name) if number > last and _goes_apart(line):
                    self.apart.append(_Run(((self._point(name, opens=True), rows.ToReturn(self.grid.unit)),), RETURN))
                case Junction(name=name):
                    found.append((self._point(name),))
                case Element():
                    found.append((self.scribe.cell(part, self.grid.unit),))
                case Parallel(ways=ways):
                    found += self._fork(ways)
                case Branches(ways=ways):
                    found.append(self._branches(ways, last=number == last))
        return tuple(found)

    def _fork(self, ways: tuple[Line, ...]) -> Iterator[Blocks]:
        laid = [self._groups(way) for way in ways]
        flat = tuple(tuple(block for group in groups for block in group) for groups in laid)
        hanging = any(isinstance(block, rows.Column) for way in flat for block in way)
        if flat and not hanging:
            fork = rows.Fork(flat, self.grid.unit)
            if fork.width <= self.grid.width and fork.below <= DEEPEST:
                yield (fork,)
                return
        through = next((number for number, way in enumerate(ways) if not _goes_apart(way)), -1)
        start, end = self._new_name(), self._new_name()
        yield (self._point(start, closes=through < 0),)
        yield from laid[through] if through >= 0 else ()
        yield (self._point(end, opens=through < 0),)
        for number, (way, groups) in enumerate(zip(ways, laid, strict=True)):
            if number != through:
                closing = () if _goes_apart(way) else ((self._point(end, closes=True),),)
                self.apart.append(_Run(((self._point(start, opens=True),), *groups, *closing)))

    def _branches(self, ways: tuple[Line, ...], last: bool) -> Blocks:
        found: list[Block] = []
        hung = [self._slots(way) for way in ways]
        foot = max((slots[-1].slot for slots in hung if slots and not isinstance(slots[-1], rows.Split)), default=0)
        for number, (way, slots) in enumerate(zip(ways, hung, strict=True)):
            ends = last and number == len(ways) - 1
            column = rows.Column(slots or (), self.grid, self._title(way), ends, foot)
            if slots is not None and column.below <= DEEPEST and rows.columns(slots) <= WIDEST:
                found.append(column)
                continue
            name = self._new_name()
            found.append(self._point(name, closes=ends))
            self.apart.append(self._run(((self._point(name, opens=True),),), way))
        return tuple(found)

    def _slots(self, line: Line) -> Slots | None:
        """The line as a column, or None where branches leave it on the way."""
        found: list[Slot] = []
        for part in line:
            match part:
                case Element():
                    found.append(self.scribe.hanging(part, self.grid.column - rows.LEAD - rows.ROOM))
                case Junction(name=name):
                    found.append(self._point(name))
                case Parallel(ways=ways) | Branches(ways=ways):
                    joins = isinstance(part, Parallel)
                    inner = tuple(slots for slots in map(self._slots, ways) if slots is not None)
                    fits = not any(map(_goes_apart, ways)) if joins else part is line[-1]
                    if not ways or len(inner) < len(ways) or not fits:
                        return None
                    found.append(rows.Split(inner, joins))
        return tuple(found)

    def _title(self, way: Line) -> str:
        coils = (self.scribe.car.devices.get(element.name) for element in _elements(way) if element.kind is Kind.COIL)
        return "pre-charge" if any(device and device.function == "pre-charge relay" for device in coils) else ""

    def _source(self) -> rows.Supply:
        car, room = self.scribe.car, 4 * self.grid.unit - 27
        supply = car.loops[self.network.loop].source
        battery = supply == "low_voltage"
        name = "low-voltage source" if battery else f"feed {supply}" if isinstance(supply, str) else "source ?"
        source = car.low_voltage.source if battery and isinstance(car.low_voltage, LowVoltage) else None
        text = [Row(line, NAME, 8.4, bold=True) for line in wrapped(name, room, NAME, bold=True)]
        if isinstance(source, Source):
            nominal = source.voltage.nominal if isinstance(source.voltage, SourceVoltage) else None
            notes = (said(source.kind), f"{said(nominal) or '?'} nominal")
            text += [Row(shortened(note, room, NOTE), NOTE, 7, colour=GREY) for note in notes if note]
        return rows.Supply(tuple(text), 4 * self.grid.unit, battery, self.network.ends_at)


def _last_part(line: Line) -> int:
    """The index of the last part that is more than a named point; -1 where there is none."""
    return max((number for number, part in enumerate(line) if not isinstance(part, Junction)), default=-1)


def _goes_apart(line: Line) -> bool:
    """Whether the line ends in branches to the return."""
    return bool(line) and isinstance(line[_last_part(line)], Branches)


def _elements(line: Line) -> Iterator[Element]:
    for part in line:
        match part:
            case Element():
                yield part
            case Parallel(ways=ways) | Branches(ways=ways):
                for way in ways:
                    yield from _elements(way)


def _bands(run: _Run, room: float) -> Iterator[_Band]:
    """The run broken into rows of at most `room` points, so that high blocks share rows; else early rows are full."""
    units = [unit for group in run.groups for unit in ((group,) if rows.width(group) <= room else tuple((block,) for block in group))]
    sizes = [(rows.width(unit), rows.above(unit), rows.below(unit)) for unit in units]
    best: list[tuple[float, int]] = [(0.0, 0)]
    """For the first units: the height of their rows, and where the last of these rows begins."""
    for end in range(1, len(units) + 1):
        found: list[tuple[float, int]] = []
        width = above = below = 0.0
        for begin in reversed(range(end)):
            width, above, below = width + sizes[begin][0], max(above, sizes[begin][1]), max(below, sizes[begin][2])
            if found and width > room:
                break
            found.append((best[begin][0] + GUTTER + above + below, begin))
        best.append(min(found, key=lambda row: (round(row[0] / STEP), -row[1])))
    breaks = [len(units)]
    while breaks[0]:
        breaks.insert(0, best[breaks[0]][1])
    pen = run.pen
    for begin, end in pairwise(breaks):
        blocks = tuple(block for unit in units[begin:end] for block in unit)
        yield _Band(blocks, pen, begin == 0, end == len(units), run.from_return and begin == 0)
        pen = rows.after(blocks, pen)


# ── From rows to sheets ────────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True, eq=False)
class _Placed:
    """A band on a sheet: the height of its conductor, of its return line, and of its foot."""

    band: _Band
    page: int
    y: float
    bottom: float
    foot: float
    falls: tuple[float, ...]
    """Where its columns meet the return line."""
    ends: bool
    """The loop ends on its return line."""

    @property
    def gutter(self) -> float:
        return self.y - self.band.above - GUTTER / 2


def _placed(network: Network, draughtsman: _Draughtsman) -> tuple[_Placed, ...]:
    bands = tuple((band, tuple(band.falls())) for band in draughtsman.bands())
    end = -1 if network.way_back else max((number for number, (_, falls) in enumerate(bands) if falls), default=-1)
    placed: list[_Placed] = []
    page, top = 0, TOP - GUTTER / 2
    for number, (band, falls) in enumerate(bands):
        tail = (RETURNED if falls else 0) + (rows.ENDING if number == end else 0)
        begun = bool(placed) and placed[-1].page == page
        lowest = HEIGHT - LEGEND - (NOTICE if number < len(bands) - 1 else 0)
        if begun and top + GUTTER + band.above + band.below + tail > lowest:
            page, top = page + 1, TOP + NOTICE + 4
        y = top + GUTTER + band.above
        top = y + band.below + tail
        placed.append(_Placed(band, page, y, y + band.below + 8, top, falls, number == end))
    return tuple(placed)


def _sheet(
    title: Iterator[Item], mine: tuple[_Placed, ...], following: dict[_Placed, _Placed], on_return: tuple[_Placed, ...], ends_at: str
) -> Sheet:
    """The sheet of the bands `mine`; `following` says where conductors go on, `on_return` names all bands with a return line."""
    items: list[Item] = [*title]
    for here in mine:
        items += rows.put(here.band.blocks, LEFT, here.y, here.band.pen, here.bottom)
        if here in following:
            items += _onward(here, following[here])
    if not mine[0].band.opens:
        items += _inlet(mine[0])
    foot = max(here.foot for here in mine)
    items += _returns(mine, on_return, foot, ends_at)
    if mine[-1] in following or any(here.page > mine[0].page for here in on_return):
        foot += NOTICE
    items += _legend(foot + 5)
    return Sheet(WIDTH, round(foot + LEGEND), tuple(items))


def _onward(here: _Placed, there: _Placed) -> Iterator[Item]:
    """The conductor from the end of a row to the beginning of the next one, or to another sheet."""
    end = LEFT + rows.width(here.band.blocks)
    out, pen = end + OUTLET, there.band.pen
    if there.page == here.page:
        gutter = there.gutter
        yield Polyline(((end, here.y), (out, here.y), (out, gutter), (INLET, gutter), (INLET, there.y), (LEFT, there.y)), pen)
        yield symbols.arrow((out + INLET) / 2, gutter, -1)
        return
    gutter, out = here.foot + 6, max(out, LEFT + 150)
    yield Polyline(((end, here.y), (out, here.y), (out, gutter), (out - 24, gutter)), pen)
    yield symbols.arrow(out - 24, gutter, -1)
    yield Label((out - 33, gutter + 2.2), f"{_letter(here)}, to sheet {there.page + 1}", FUNCTION, "end", bold=True)


def _inlet(here: _Placed) -> Iterator[Item]:
    """The conductor that comes from the sheet before."""
    yield Polyline(((INLET + 18, here.gutter), (INLET, here.gutter), (INLET, here.y), (LEFT, here.y)), here.band.pen)
    yield symbols.arrow(LEFT + 3, here.y, 1)
    yield Label((INLET + 22, here.gutter + 2.2), f"{_letter(here, -1)}, from sheet {here.page}", FUNCTION, bold=True)


def _letter(here: _Placed, ahead: int = 0) -> str:
    return chr(ord("A") + (here.page + ahead) % 26)


def _returns(mine: tuple[_Placed, ...], on_return: tuple[_Placed, ...], foot: float, ends_at: str) -> Iterator[Item]:
    """The return lines of a sheet, gathered at the left edge, and the end of the loop."""
    met: list[float] = []
    for here in mine:
        if here.band.from_return:
            met.append(here.y)
            yield Stroke((RISER, here.y), (LEFT, here.y), RETURN)
        if not here.falls:
            continue
        met.append(here.bottom)
        left = max(RISER, min(here.falls) - 50) if len(on_return) == 1 else RISER
        yield Stroke((left, here.bottom), (max(here.falls), here.bottom), RETURN)
        yield from (symbols.dot(x, here.bottom) for x in here.falls if x != max(here.falls))
        yield Label((left + 12, here.bottom + 8), "return side", NOTE, bold=True)
        if here.ends:
            yield from rows.ending(left, here.bottom, ends_at)
    if not met:
        return
    page = mine[0].page
    before = max((here.page for here in on_return if here.page < page), default=-1)
    later = min((here.page for here in on_return if here.page > page), default=-1)
    first, last = TOP + 9 if before >= 0 else met[0], foot + 8 if later >= 0 else met[-1]
    if first != last:
        yield Stroke((RISER, first), (RISER, last), RETURN)
    if before >= 0:
        yield Label((RISER + 5, first + 2), f"return, from sheet {before + 1}", FUNCTION, bold=True)
    if later >= 0:
        yield Label((RISER + 5, last), f"return, to sheet {later + 1}", FUNCTION, bold=True)
    yield from (symbols.dot(RISER, y) for y in met if first < y < last)


# ── Title and legend ───────────────────────────────────────────────────────────────────────────────────────────────────


def _title(network: Network, car: Car, page: int, pages: int) -> Iterator[Item]:
    loop = shortened(f"Loop {network.loop}", 110, 9, bold=True)
    yield Label((EDGE, 10), loop, 9, bold=True)
    name = said(car.car.name) if car.car and not isinstance(car.car, Unknown) else ""
    if about := ", ".join(word for word in (name, f"revision {said(car.newest.mark)}" if car.newest.mark else "") if word):
        left = EDGE + text_width(loop, 9, bold=True) + 8
        yield Label((left, 10), shortened(about, 196 - left, FUNCTION), FUNCTION, colour=GREY)
    yield Label((WIDTH / 2 + 60, 10), CONVENTION, FUNCTION, "middle")
    if pages > 1:
        yield Label((WIDTH - EDGE, 10), f"sheet {page + 1} of {pages}", FUNCTION, "end", bold=True)
    yield Stroke((EDGE, 15), (WIDTH - EDGE, 15), symbols.FINE)


def _legend(top: float) -> Iterator[Item]:
    """Two rows of symbols with their words."""
    yield Stroke((EDGE, top), (WIDTH - EDGE, top), symbols.FINE)
    pitch = (WIDTH - 2 * EDGE) / 8
    for number, (drawn, words) in enumerate(_LEGEND):
        x, y = EDGE + pitch * (number % 8), top + 14 + 21 * (number // 8)
        lines = words.split("\n")
        yield from drawn(Frame(x + 15, y))
        yield from written([Row(line, NOTE, 7) for line in lines], x + 33, y + 1 - 3.5 * len(lines), middle=False)


_Drawn = Callable[[Frame], tuple[Mark, ...]]


def _contact(at_rest: str, lowered: float = 0) -> _Drawn:
    return lambda frame: symbols.contact(Frame(frame.x, frame.y + lowered), at_rest, HIGH)


def _worked(by: str) -> _Drawn:
    return lambda frame: symbols.actuator(Frame(frame.x, frame.y + 14), by)


def _stroke(pen: Pen) -> _Drawn:
    return lambda frame: (frame.line(pen, -13, 0, 13, 0),)


def _tags(frame: Frame) -> tuple[Mark, ...]:
    tags = [Row(text, 6.0, 10, True, tag=True, closed=text == "closed") for text in ("closed", "open")]
    return tuple(written(tags, frame.x, frame.y - 10, middle=True))


_LEGEND: tuple[tuple[_Drawn, str], ...] = (
    (_contact("open", 3), "open at rest\n(make contact)"),
    (_contact("closed", 3), "closed at rest\n(break contact)"),
    (_contact(""), "state at rest\nnot described"),
    (_tags, "state in the\nhealthy car"),
    (lambda frame: symbols.undescribed(frame, HIGH), "device not\ndescribed"),
    (_stroke(HIGH), "high side"),
    (_stroke(RETURN), "return side"),
    (lambda frame: symbols.crossing(frame, HIGH), "through a\nconnector"),
    (_worked("hand"), "worked by\nhand"),
    (_worked("machine"), "by the\nmachine"),
    (_worked("plug"), "by plugging"),
    (_worked("power"), "powered,\nfeed named"),
    (_worked("coil"), "by its own\ncoil"),
    (lambda frame: symbols.coil(frame, HIGH, RETURN), "coil"),
    (lambda frame: symbols.fuse(frame, HIGH), "fuse"),
    (lambda frame: (*_stroke(HIGH)(frame), symbols.dot(frame.x, frame.y)), "joined, or a\nnamed point"),
)


# ── In words ───────────────────────────────────────────────────────────────────────────────────────────────────────────


def in_words(network: Network, car: Car, term: Callable[[str], str]) -> str:
    """The loop in the order of the current, for those who do not see the drawing."""
    scribe = Scribe(car, term, element_ids(network))
    source = said(car.loops[network.loop].source) or "?"
    parts = [f"Loop {network.loop}, from the source {source}", *_spoken(network.line, scribe)]
    for bridge in network.bridges:
        parts.append(f"between {bridge.start} and {bridge.end}: {', then '.join(_spoken(bridge.line, scribe))}")
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
