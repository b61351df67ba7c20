"""Loops to draw: cars with a loop of any shape, as hypothesis strategies; and what a drawn loop connects."""

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from hypothesis import strategies as st

from docgen.load import load_text
from docgen.network import Network, network
from docgen.schematic import FUNCTION, RISER, element_ids
from docgen.sheet import Circle, Group, Label, Line, Mark, Point, Polyline, Sheet
from docgen.symbols import HIGH, RETURN

NAMES = ("imd", "button_left", "over_travel_switch", "interlock_of_the_rearmost_inverter_connector_of_all", "приводной_выключатель", "非常停止", "K")
PLACES = ("dashboard", "accumulator container main, left of the maintenance plug", "x", 'a "b\\c\\" <b>&amp;</b> %s \\N {|}', "運転席の右側の計器盤の下", "W" * 90)
FUNCTIONS = ("IMD", "AMS", "shutdown button", "BOTS", "interlock", "controller")
HEALTHY = (
    "closed", "closed", "open", "as left", "unknown", None,
    {"off": "open", "precharging": "closed", "active": "closed"}, {"off": "open", "precharging": "closed", "active": "open"},
    {"manual": "closed", "driverless": {"off": "open", "precharging": "closed", "active": "open"}},
)  # fmt: skip


@dataclass
class _Making:
    draw: Any
    devices: dict[str, Any] = field(default_factory=dict)
    count: int = 0

    def name(self) -> str:
        self.count += 1
        return f"{self.draw(st.sampled_from(NAMES))}_{self.count}"

    def contact(self) -> str:
        name, draw = self.name(), self.draw
        kind = draw(st.integers(0, 11))
        if kind == 0:
            return name
        contact = {"at_rest": draw(st.sampled_from(["open", "closed", "as left", "unknown", None])), "when_healthy": draw(st.sampled_from(HEALTHY)),
                   "terminals": draw(st.sampled_from(["13-14", "11", "1.2-longer", None])), "part": draw(st.sampled_from(["K1", None])),
                   "kind": draw(st.sampled_from(["volt-free", "high-side stage", None]))}  # fmt: skip
        contact = {key: value for key, value in contact.items() if value is not None}
        device = {"worked_by": draw(st.sampled_from(["hand", "machine", "power", "plug", "coil", None])), "function": draw(st.sampled_from(FUNCTIONS)),
                  "feed": draw(st.sampled_from(["monitor_feed", "unknown", None])), "place": {"where": draw(st.sampled_from(PLACES))},
                  "label": draw(st.sampled_from([None, None, *PLACES]))}  # fmt: skip
        self.devices[name] = {key: value for key, value in device.items() if value is not None}
        self.devices[name] |= {"contacts": {"main": contact, "second": contact}} if kind == 1 else {"contact": contact}
        return f"{name}.{draw(st.sampled_from(['main', 'second']))}" if kind == 1 else f"{name} left" if kind == 2 else name

    def coil(self) -> str:
        name = self.name()
        if self.draw(st.integers(0, 7)):
            self.devices[name] = {"function": self.draw(st.sampled_from(["AIR", "pre-charge relay", "other"])), "worked_by": "coil", "coil": {}}
        return f"coil {name}"

    def step(self, depth: int) -> Any:
        draw = self.draw
        kind = draw(st.integers(0, 19))
        if kind < 3:
            return f"through X{draw(st.integers(1, 3))}.{draw(st.integers(1, 99))}"
        if kind == 3:
            return f"fuse F{draw(st.integers(0, 3))}"
        if kind == 4:
            self.count += 1
            return f"node N{self.count}"
        if kind in (5, 6) and depth:
            return {"any_of": [self.way(depth - 1, draw(st.integers(0, 3))) for _ in range(draw(st.integers(1, 3)))]}
        return self.contact()

    def way(self, depth: int, length: int) -> list[Any]:
        return [self.step(depth) for _ in range(length)]

    def branch(self, depth: int) -> list[Any]:
        draw = self.draw
        way = self.way(depth, draw(st.sampled_from([0, 0, 1, 1, 2, 3, 9])))
        if depth and not draw(st.integers(0, 5)):
            return [*way, {"each_to_return": [self.branch(depth - 1) for _ in range(draw(st.integers(1, 3)))]}]
        return [*way, *([self.coil()] if draw(st.integers(0, 9)) else [self.contact()])]

    def path(self, size: int) -> list[Any]:
        draw, path = self.draw, []
        while self.count < size:
            if draw(st.integers(0, 14)):
                path.append(self.step(2))
            else:
                path.append({"each_to_return": [self.branch(1) for _ in range(draw(st.integers(1, 3)))]})
        ending = draw(st.integers(0, 9))
        if ending > 1:
            path.append({"each_to_return": [self.branch(2) for _ in range(draw(st.integers(1, 7)))]})
        elif ending:
            path.append(self.coil())
        return path


@st.composite
def cars(draw: Any, largest: int = 60) -> str:
    """A description with one loop of any shape, as JSON, which is YAML."""
    making = _Making(draw)
    loop: dict[str, Any] = {"source": draw(st.sampled_from(["low_voltage", "cart_feed"]))}
    loop["path"] = making.path(draw(st.integers(1, largest)))
    points = [step.split()[1] for step in loop["path"] if isinstance(step, str) and step.startswith("node ")]
    if len(points) > 1 and draw(st.booleans()):
        loop["between"] = [{"start": points[0], "end": points[-1], "path": making.way(0, draw(st.integers(0, 2)))}]
    back = making.way(0, draw(st.sampled_from([0, 0, 0, 1, 9])))
    loop["return"] = [step for step in back if not step.startswith("node")] + draw(st.sampled_from([["chassis"], ["source negative"], []]))
    source = {"kind": "LiFePO4", "voltage": {"nominal": "13.2 V"}}
    description = {
        "docgen": "1", "car": {"name": "Petrel 5", "modes": draw(st.sampled_from([["manual"], ["manual", "driverless"]]))},
        "low_voltage": {"source": source, "fuses": {"F1": {"rating": "5 A"}, "F2": {}}}, "connectors": {"X1": {"place": {"where": "pack lid"}}, "X2": {}},
        "loops": {"drive": loop}, "devices": making.devices,
    }  # fmt: skip
    return json.dumps(description, ensure_ascii=False)


def chain(devices: int) -> str:
    """A plain loop of so many contacts, a fuse and a coil."""
    names = [f"switch_{number}" for number in range(devices)]
    contact = {"at_rest": "open", "when_healthy": "closed", "terminals": "13-14"}
    described = {name: {"function": "interlock", "worked_by": "hand", "place": {"where": "dashboard"}, "contact": contact} for name in names}
    loop = {"source": "low_voltage", "path": ["fuse F1", *names, "coil air"], "return": ["chassis"]}
    return json.dumps({"docgen": "1", "loops": {"drive": loop}, "devices": described})


def drive(text: str) -> Network:
    return network(load_text(text).car, "drive")


# ── What a drawing connects ────────────────────────────────────────────────────────────────────────────────────────────

Segment = tuple[Point, Point]


def strokes(marks: Iterable[Mark]) -> Iterator[tuple[Segment, Line | Polyline]]:
    for mark in marks:
        match mark:
            case Line(start=start, end=end):
                yield (start, end), mark
            case Polyline(points=points):
                yield from (((a, b), mark) for a, b in pairwise(points))


def conductors(marks: Iterable[Mark]) -> list[Segment]:
    return [segment for segment, mark in strokes(marks) if mark.pen in (HIGH, RETURN)]


def touches(point: Point, segment: Segment) -> bool:
    """Whether the point lies on an upright or level segment."""
    (x1, y1), (x2, y2) = segment
    x, y = point
    return min(x1, x2) - 0.01 <= x <= max(x1, x2) + 0.01 and min(y1, y2) - 0.01 <= y <= max(y1, y2) + 0.01


class _Nets:
    def __init__(self) -> None:
        self.over: dict[object, object] = {}

    def root(self, thing: object) -> object:
        while self.over.setdefault(thing, thing) != thing:
            thing = self.over[thing]
        return thing

    def join(self, one: object, other: object) -> None:
        self.over[self.root(one)] = self.root(other)


def drawn_nets(sheets: tuple[Sheet, ...], loop: Network) -> set[frozenset[tuple[str, str]]]:
    """The ends of elements, by id, that the conductors of the drawing join: through strokes that touch, through points of
    one name, and through the marks that lead from sheet to sheet. The direction of the current is to the right and down."""
    ids = set(element_ids(loop).values())
    names = set(_point_names(loop.line)) | {str(number) for number in range(1, 200)}
    nets, ends = _Nets(), []
    for page, sheet in enumerate(sheets):
        outside = [item for item in sheet.items if not isinstance(item, Group)]
        legend = max(mark.start[1] for mark in outside if isinstance(mark, Line) and mark.pen not in (HIGH, RETURN))
        wires = [(page, wire) for wire in conductors(outside) if wire[0][1] < legend]
        for number, (_, wire) in enumerate(wires):
            for _, other in wires[:number]:
                if any(touches(point, wire) for point in other) or any(touches(point, other) for point in wire):
                    nets.join((page, wire), (page, other))

        def join(name: object, point: Point, page: int = page, wires: list[tuple[int, Segment]] = wires) -> None:
            met = [wire for wire in wires if touches(point, wire[1])]
            assert met, f"{name} at {point} of sheet {page + 1} meets no conductor"
            for wire in met:
                nets.join(name, wire)

        for group in sheet.groups():
            if group.id in ids:
                points = [point for wire in conductors(group.marks) for point in wire]
                for end, point in (("start", min(points, key=sum)), ("end", max(points, key=sum))):
                    ends.append((group.id, end))
                    join((group.id, end), point)
        for _, wire in wires:
            if wire[0][0] == wire[1][0] == RISER:
                nets.join("return", (page, wire))
        for mark in outside:
            if isinstance(mark, Label) and mark.bold and mark.size == FUNCTION and mark.at[1] < legend:
                x, y = mark.at
                if mark.text in names:
                    join(f"point {mark.text}", (x, y + 6) if mark.anchor == "middle" else (x - 10.5, y - 2.3))
                elif mark.text[1:].startswith(", to sheet"):
                    join(f"letter {mark.text[0]}", (x + 9, y - 2.2))
                elif mark.text[1:].startswith(", from sheet"):
                    join(f"letter {mark.text[0]}", (x - 4, y - 2.2))
    assert len(set(ends)) == len(ends)
    found: dict[object, set[tuple[str, str]]] = {}
    for end in ends:
        found.setdefault(nets.root(end), set()).add(end)
    return {frozenset(net) for net in found.values()}


def graph_nets(loop: Network) -> set[frozenset[tuple[str, str]]]:
    """The ends of elements that the graph joins."""
    ids = element_ids(loop)
    found: dict[int, set[tuple[str, str]]] = {}
    for element in loop.elements:
        found.setdefault(element.start, set()).add((ids[element], "start"))
        found.setdefault(element.end, set()).add((ids[element], "end"))
    return {frozenset(net) for net in found.values()}


def _point_names(line: Any) -> Iterator[str]:
    for part in line:
        if hasattr(part, "node"):
            yield part.name
        for way in getattr(part, "ways", ()):
            yield from _point_names(way)


def dots(sheet: Sheet) -> set[Point]:
    """Where the drawing says that conductors meet."""
    return {(round(mark.centre[0], 2), round(mark.centre[1], 2)) for mark in sheet.marks() if isinstance(mark, Circle) and mark.radius == 1.9}
