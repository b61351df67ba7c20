"""The one graph of a loop, from which order rules, the drawing and the solver work.

Elements run from node `start` to node `end` in the direction of the current. Node 0 is the
positive end of the source, node 1 the point where the loop ends.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from docgen.car import Car
from docgen.car.contact import MODES, PHASES, ByMode, ByPhase, Contact, SameAs
from docgen.car.device import Device
from docgen.car.loop import (
    AnyOf,
    Between,
    CoilStep,
    ContactStep,
    CrossingStep,
    EachToReturn,
    FuseStep,
    NodeStep,
    ReturnStep,
    Step,
)  # fmt: skip
from docgen.car.values import Unknown
from docgen.provenance import Path

SOURCE, EARTH = 0, 1


class Kind(StrEnum):
    FUSE = "fuse"
    CONTACT = "contact"
    CROSSING = "crossing"
    WIRE = "conductor"
    COIL = "coil"


class Side(StrEnum):
    HIGH = "high side"
    RETURN = "return side"


@dataclass(frozen=True, slots=True)
class Element:
    """One thing that the current of a loop meets."""

    kind: Kind
    name: str
    """Fuse, device or connector."""
    contact: str
    """Contact of the device, or position of the connector; empty where the step does not say."""
    corner: str
    side: Side
    start: int
    end: int
    step: Path
    """The field where the step stands."""

    @property
    def spelled(self) -> str:
        """The element as a person names it: ``motor_link left``, ``X3.7``, ``precharge_unit.done``."""
        name = f"{self.name}.{self.contact}" if self.contact and self.contact != "contact" else self.name
        return f"{name} {self.corner}" if self.corner else name


@dataclass(frozen=True, slots=True)
class Parallel:
    """Ways that join again."""

    ways: tuple["Line", ...]


@dataclass(frozen=True, slots=True)
class Branches:
    """Ways that each end at the return."""

    ways: tuple["Line", ...]


@dataclass(frozen=True, slots=True)
class Junction:
    """A named point of the line."""

    name: str
    node: int


Line = tuple[Element | Parallel | Branches | Junction, ...]


@dataclass(frozen=True, slots=True)
class Bridge:
    """A branch between two named points."""

    start: str
    end: str
    line: Line


@dataclass(frozen=True, slots=True)
class Network:
    """A loop as a graph, flat in `elements` and nested in `line`, `way_back` and `bridges`."""

    loop: str
    elements: tuple[Element, ...]
    line: Line
    way_back: Line
    bridges: tuple[Bridge, ...]
    ends_at: str
    nodes: int
    loose: tuple[tuple[Path, str], ...]
    """Fields that name a point which the loop does not have, or has twice; and why."""

    def of_kind(self, kind: Kind) -> tuple[Element, ...]:
        return tuple(element for element in self.elements if element.kind is kind)

    def after(self, element: Element) -> frozenset[Element]:
        """Every element that the current can meet after this one."""
        return self._reached(element.end, lambda other: other.start, lambda other: other.end)

    def before(self, element: Element) -> frozenset[Element]:
        """Every element that the current can have met before this one."""
        return self._reached(element.start, lambda other: other.end, lambda other: other.start)

    def _reached(self, node: int, near: Callable[[Element], int], far: Callable[[Element], int]) -> frozenset[Element]:
        leaving: dict[int, list[Element]] = {}
        for element in self.elements:
            leaving.setdefault(near(element), []).append(element)
        found: set[Element] = set()
        waiting = [node]
        seen = {node}
        while waiting:
            for element in leaving.get(waiting.pop(), ()):
                found.add(element)
                if far(element) not in seen:
                    seen.add(far(element))
                    waiting.append(far(element))
        return frozenset(found)

    def in_series_with(self, coil: Element, closed: Callable[[Element], bool] = lambda element: True) -> frozenset[Element]:
        """The elements whose opening alone takes the supply, or the return, from the coil, while only the contacts for which `closed` holds are closed."""
        conductors = [element for element in self.elements if _conducts(element, closed)]
        return _cuts(conductors, SOURCE, coil.start) | _cuts(conductors, EARTH, coil.end)

    def closing(self, coil: Element, closed: Callable[[Element], bool]) -> frozenset[Element]:
        """The open contacts each of which, closed as well, would alone let current through the coil."""
        group = self._groups(closed)
        lacking = {frozenset(ends) for ends in ((group[SOURCE], group[coil.start]), (group[EARTH], group[coil.end])) if ends[0] != ends[1]}
        if len(lacking) != 1:
            return frozenset()
        return frozenset(element for element in self.of_kind(Kind.CONTACT) if {group[element.start], group[element.end]} in lacking)

    def energised(self, closed: Callable[[Element], bool]) -> frozenset[Element]:
        """The coils that carry current when exactly the contacts for which `closed` holds are closed.

        A coil is taken as no path for the current of another coil.
        """
        group = self._groups(closed)
        fed, grounded = group[SOURCE], group[EARTH]
        return frozenset(
            element
            for element in self.elements
            if element.kind is Kind.COIL and group[element.start] == fed and group[element.end] == grounded and fed != grounded
        )

    def _groups(self, closed: Callable[[Element], bool]) -> list[int]:
        """Node -> the number of the group of nodes that are joined to it without a coil."""
        group = list(range(self.nodes))

        def root(node: int) -> int:
            while group[node] != node:
                group[node] = group[group[node]]
                node = group[node]
            return node

        for element in self.elements:
            if _conducts(element, closed):
                group[root(element.start)] = root(element.end)
        return [root(node) for node in range(self.nodes)]


def _conducts(element: Element, closed: Callable[[Element], bool]) -> bool:
    return element.kind is not Kind.COIL and (element.kind is not Kind.CONTACT or closed(element))


def _cuts(conductors: list[Element], root: int, goal: int) -> frozenset[Element]:
    """Conductors that are bridges of their graph on the way from `root` to `goal` (lowlink method)."""
    meeting: dict[int, list[tuple[int, int]]] = {}
    for index, element in enumerate(conductors):
        meeting.setdefault(element.start, []).append((element.end, index))
        meeting.setdefault(element.end, []).append((element.start, index))
    order, low, came_by = {root: 0}, {root: 0}, {root: -1}
    parent: dict[int, int] = {}
    stack: list[tuple[int, Iterator[tuple[int, int]]]] = [(root, iter(meeting.get(root, ())))]
    while stack:
        node, rest = stack[-1]
        for neighbour, index in rest:
            if index == came_by[node]:
                continue
            if neighbour in order:
                low[node] = min(low[node], order[neighbour])
            else:
                order[neighbour] = low[neighbour] = len(order)
                came_by[neighbour], parent[neighbour] = index, node
                stack.append((neighbour, iter(meeting.get(neighbour, ()))))
                break
        else:
            stack.pop()
            if node != root:
                low[parent[node]] = min(low[parent[node]], low[node])
    cuts: set[Element] = set()
    while goal in parent:
        if low[goal] > order[parent[goal]]:
            cuts.add(conductors[came_by[goal]])
        goal = parent[goal]
    return frozenset(cuts)


class _Weaver:
    """Lays the steps of a loop into numbered nodes."""

    def __init__(self, car: Car, name: str, has_way_back: bool) -> None:
        self.car = car
        self.nodes = 3 if has_way_back else 2
        self.gathered = 2 if has_way_back else EARTH
        self.root: Path = ("loops", name)
        self.elements: list[Element] = []
        self.points: dict[str, int] = {}
        self.loose: list[tuple[Path, str]] = []

    def new_node(self) -> int:
        self.nodes += 1
        return self.nodes - 1

    def line(self, steps: tuple[Step, ...], start: int, end: int, path: Path, side: Side) -> Line:
        """Lay `steps` in series between two nodes; a way without a step is a plain conductor."""
        woven: list[Element | Parallel | Branches | Junction] = []
        here = start
        placed = [(index, step) for index, step in enumerate(steps) if not isinstance(step, ReturnStep)]
        last = max((index for index, step in placed if not isinstance(step, NodeStep)), default=-1)
        if last < 0 and start != end:
            woven.append(self._keep(Element(Kind.WIRE, "", "", "", side, start, end, path)))
            here = end
        for index, step in placed:
            place = (*path, index)
            there = end if index == last else here
            match step:
                case NodeStep(name=name):
                    if name in self.points:
                        self.loose.append((place, f"the point {name} stands in the loop a second time"))
                    self.points.setdefault(name, here)
                    woven.append(Junction(name, here))
                case EachToReturn(each_to_return=ways):
                    woven.append(Branches(tuple(self.line(way, here, self.gathered, (*place, "each_to_return", number), side) for number, way in enumerate(ways))))
                case AnyOf(any_of=ways):
                    there = end if index == last else self.new_node()
                    woven.append(Parallel(tuple(self.line(way, here, there, (*place, "any_of", number), side) for number, way in enumerate(ways))))
                case _:
                    there = end if index == last else self.new_node()
                    element = self._keep(self._element(step, here, there, place, side))
                    woven.append(element)
                    side = Side.RETURN if element.kind is Kind.COIL else side
            here = there
        return tuple(woven)

    def _keep(self, element: Element) -> Element:
        self.elements.append(element)
        return element

    def _element(self, step: Step, start: int, end: int, place: Path, side: Side) -> Element:
        match step:
            case FuseStep(fuse=name):
                return Element(Kind.FUSE, name, "", "", side, start, end, place)
            case CrossingStep(connector=name, position=position):
                return Element(Kind.CROSSING, name, position, "", side, start, end, place)
            case CoilStep(device=name):
                return Element(Kind.COIL, name, "", "", side, start, end, place)
            case ContactStep(device=name, contact=contact, corner=corner):
                return Element(Kind.CONTACT, name, contact or _only_contact(self.car.devices.get(name)), corner, side, start, end, place)
            case _:
                raise TypeError(f"no element for {type(step).__name__}")


def _only_contact(device: Device | None) -> str:
    contacts = device.every_contact() if device else {}
    return next(iter(contacts)) if len(contacts) == 1 else ""


def network(car: Car, name: str) -> Network:
    """The graph of the loop `name`; raises KeyError for a loop that is not described."""
    loop = car.loops[name]
    has_way_back = not all(isinstance(step, ReturnStep) for step in loop.way_back)
    weaver = _Weaver(car, name, has_way_back)
    line = weaver.line(loop.path, SOURCE, weaver.gathered, (*weaver.root, "path"), Side.HIGH) if loop.path else ()
    way_back = weaver.line(loop.way_back, weaver.gathered, EARTH, (*weaver.root, "return"), Side.RETURN) if has_way_back else ()
    bridges = tuple(bridge for index in range(len(loop.between)) for bridge in _bridge(weaver, loop.between[index], index))
    ends_at = next((step.point for step in loop.way_back if isinstance(step, ReturnStep)), "")
    return Network(name, tuple(weaver.elements), line, way_back, bridges, ends_at, weaver.nodes, tuple(weaver.loose))


def _bridge(weaver: _Weaver, branch: Between, index: int) -> Iterator[Bridge]:
    place = (*weaver.root, "between", index)
    ends = [str(branch.start), str(branch.end)]
    missing = [(key, point) for key, point in zip(("start", "end"), ends, strict=True) if point not in weaver.points]
    weaver.loose += [((*place, key), f"the point {point} is not in the loop") for key, point in missing]
    if not missing:
        line = weaver.line(branch.path, weaver.points[ends[0]], weaver.points[ends[1]], (*place, "path"), Side.HIGH)
        yield Bridge(ends[0], ends[1], line)


def modes(car: Car) -> tuple[str, ...]:
    """The modes in which the car is driven."""
    described = car.car.modes if car.car and not isinstance(car.car, Unknown) else None
    return described if isinstance(described, tuple) and described else MODES[:1]


def healthy(device: Device, contact: Contact, phase: str, mode: str) -> str | None:
    """State of a contact in a phase and mode of the healthy car; None where it is unknown or not said."""
    assert phase in PHASES and mode in MODES
    state: object = contact.when_healthy
    for _ in range(len(device.every_contact()) + 1):
        if isinstance(state, ByMode):
            state = getattr(state, mode)
        if isinstance(state, ByPhase):
            state = getattr(state, phase)
        if not isinstance(state, SameAs):
            break
        other = device.every_contact().get(state.contact)
        state = other.when_healthy if other else None
    return state if isinstance(state, str) else None


def contact_at(car: Car, element: Element) -> Contact | None:
    """The described contact that an element stands for, if there is one."""
    device = car.devices.get(element.name)
    return device.every_contact().get(element.contact) if device and element.kind is Kind.CONTACT else None


def contact_path(device: Device, name: str, contact: str) -> Path:
    """The field where a contact of a device is described."""
    return ("devices", name, "contact") if contact == "contact" and device.contact else ("devices", name, "contacts", contact)
