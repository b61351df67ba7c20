"""One element of a loop as it is drawn: its symbol on a piece of conductor, and everything that is written at it."""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby

from docgen import symbols
from docgen.car import Car
from docgen.car.contact import PHASES, Contact
from docgen.car.device import Device, Place
from docgen.car.values import Unknown
from docgen.car.wiring import Fuse, LowVoltage
from docgen.network import Element, Kind, Side, contact_at, healthy, modes
from docgen.sheet import GREY, INK, PAPER, SLATE, Box, Group, Label, Line, Mark, Pen, text_width, wrapped
from docgen.symbols import BAR, HIGH, REACH, RETURN, Frame

NAME, FUNCTION, NOTE, TAG = 7.2, 6.4, 6.0, 6.0
"""Sizes of letters in points."""
TAG_MARGIN = 4.5
"""What a tag is wider than its words, in points."""
TEXT = 10.5
"""From the conductor of a column to its writing."""


@dataclass(frozen=True, slots=True)
class Row:
    """A row of writing; a state stands in a tag, dark where it is `closed`."""

    text: str
    size: float
    height: float
    bold: bool = False
    colour: str = INK
    tag: bool = False
    closed: bool = False


def height(rows: Iterable[Row]) -> float:
    return sum(row.height for row in rows)


def written(rows: Iterable[Row], x: float, top: float, middle: bool) -> Iterator[Mark]:
    """The rows from `top` downwards, centred on x or beginning there."""
    for row in rows:
        width = text_width(row.text, row.size, row.bold)
        if row.tag:
            left = x - (width + TAG_MARGIN) / 2 if middle else x
            yield Box((left, top + 0.5), width + TAG_MARGIN, row.height - 1.5, Pen(0.7, SLATE), SLATE if row.closed else PAPER)
            yield Label((left + TAG_MARGIN / 2, top + 7.1), row.text, row.size, bold=True, colour=PAPER if row.closed else INK)
        else:
            yield Label((x, top + row.height - 1.9), row.text, row.size, "middle" if middle else "start", row.bold, row.colour)
        top += row.height


def conductor(side: Side) -> Pen:
    return HIGH if side is Side.HIGH else RETURN


@dataclass(frozen=True, slots=True)
class Cell:
    """An element with its writing. In a row it takes `width` points, in a column `slot` points."""

    element: Element
    id: str
    sentence: str
    """What the drawing shows here, in words."""
    width: float
    described: bool
    at_rest: str
    worked_by: str
    ends: tuple[str, ...]
    """Terminal numbers, in the direction of the current."""
    head: tuple[Row, ...]
    foot: tuple[Row, ...]

    @property
    def is_contact(self) -> bool:
        return self.element.kind is Kind.CONTACT and self.described

    @property
    def enters(self) -> Pen:
        return conductor(self.element.side)

    @property
    def leaves(self) -> Pen:
        return RETURN if self.element.kind is Kind.COIL else self.enters

    @property
    def _up(self) -> float:
        return BAR if self.is_contact else 13 if self.element.kind is Kind.COIL else 8

    @property
    def _down(self) -> float:
        return 5 if self.is_contact else self._up + 1

    @property
    def above(self) -> float:
        return self._up + 1 + height(self.head)

    @property
    def below(self) -> float:
        return self._down + height(self.foot) + 3

    @property
    def slot(self) -> float:
        return max(2 * REACH + 8, height(self.head) + height(self.foot) + 10)

    def falls(self, x: float) -> tuple[float, ...]:
        return ()

    def after(self, pen: Pen) -> Pen:
        return self.leaves

    def put(self, x: float, y: float, pen: Pen, bottom: float) -> Iterator[Mark | Group]:
        """On a conductor that enters at (x, y) and runs to the right: name above, state and notes below."""
        middle = x + self.width / 2
        marks = [*self._symbol(Frame(middle, y))]
        marks += written(self.head, middle, y - self.above, middle=True)
        marks += written(self.foot, middle, y + self._down, middle=True)
        if self.is_contact:
            marks.append(Label((middle + 9, y - BAR + 7.5), self.worked_by or "not said", NOTE, colour=GREY))
        for end, place in zip(self.ends, (-13, 13), strict=False):
            marks.append(Label((middle + place, y - 3), end, NOTE, "end" if place < 0 else "start", colour=GREY))
        yield Line((x, y), (middle - REACH, y), self.enters)
        yield Line((middle + REACH, y), (x + self.width, y), self.leaves)
        yield Group(self.id, self.sentence, tuple(marks))

    def hang(self, x: float, y: float) -> Iterator[Mark | Group]:
        """On a conductor that runs down from (x, y), everything written at its right."""
        middle = y + self.slot / 2
        marks = [*self._symbol(Frame(x, middle, down=True))]
        marks += written((*self.head, *self.foot), x + TEXT, middle - (height(self.head) + height(self.foot)) / 2, middle=False)
        for end, place in zip(self.ends, (-11, 17), strict=False):
            marks.append(Label((x - 4, middle + place), end, NOTE, "end", colour=GREY))
        yield Line((x, y), (x, middle - REACH), self.enters)
        yield Line((x, middle + REACH), (x, y + self.slot), self.leaves)
        yield Group(self.id, self.sentence, tuple(marks))

    def _symbol(self, frame: Frame) -> tuple[Mark, ...]:
        pen = self.enters
        if not self.described:
            return symbols.undescribed(frame, pen)
        match self.element.kind:
            case Kind.CONTACT:
                return (*symbols.contact(frame, self.at_rest, pen), *symbols.actuator(frame, self.worked_by))
            case Kind.COIL:
                return symbols.coil(frame, pen, RETURN)
            case Kind.FUSE:
                return symbols.fuse(frame, pen)
            case Kind.CROSSING:
                return symbols.crossing(frame, pen)
            case Kind.WIRE:
                return (frame.line(pen, -REACH, 0, REACH, 0),)


def said(value: object) -> str:
    """A value as it is written; a question mark where it is unknown, nothing where it was left out."""
    return "" if value is None else "?" if isinstance(value, Unknown) else " ".join(str(value).split())


def _place(place: Place | Unknown | None) -> str:
    parts = (said(place.where), said(place.by)) if isinstance(place, Place) else ()
    return ", ".join(part for part in parts if part) or "place ?"


State = tuple[str, tuple[str, ...], str]
"""Of a contact in the healthy car: mode and phases, each empty where they make no difference, and the state."""


def states(car: Car, device: Device, contact: Contact) -> tuple[State, ...]:
    """The states of a contact in the healthy car, in the order of modes and phases."""
    found: dict[str, tuple[tuple[tuple[str, ...], str], ...]] = {}
    for mode in modes(car):
        each = [(phase, healthy(device, contact, phase, mode) or "?") for phase in PHASES]
        spans = [(tuple(phase for phase, _ in span), state) for state, span in groupby(each, lambda pair: pair[1])]
        found[mode] = tuple(((), state) if len(spans) == 1 else (phases, state) for phases, state in spans)
    if len(set(found.values())) == 1:
        found = {"": next(iter(found.values()))}
    return tuple((mode, phases, state) for mode, spans in found.items() for phases, state in spans)


def _tags(states: tuple[State, ...], room: float) -> Iterator[Row]:
    """A tag for each state; a state of several phases has a tag for each where one would be too wide."""
    for number, (mode, phases, state) in enumerate(states):
        if mode and phases and (not number or states[number - 1][0] != mode):
            yield Row(mode, NOTE, 7.4, bold=True)
        words = [", ".join(phases) or mode or "healthy"]
        if text_width(f"{words[0]}: {state}", TAG, bold=True) > room - TAG_MARGIN:
            words = list(phases) or words
        yield from (Row(f"{word}: {state}", TAG, 10.5, bold=True, tag=True, closed=state == "closed") for word in words)


@dataclass(frozen=True, slots=True)
class Scribe:
    """Writes the cells of one loop of a car."""

    car: Car
    term: Callable[[str], str]
    ids: dict[Element, str]

    def title(self, element: Element) -> tuple[str, str]:
        """What a person calls the element: the name to print, and what tells it from others of that name."""
        device = self.car.devices.get(element.name)
        label = said(device.label) if device and element.kind in (Kind.CONTACT, Kind.COIL) else ""
        if element.kind is Kind.WIRE:
            return "plain conductor", ""
        if not label or label == "?":
            return element.spelled, ""
        contact = element.contact if element.contact != "contact" and device and len(device.every_contact()) > 1 else ""
        return label, " ".join(word for word in (contact, element.corner) if word)

    def function(self, element: Element) -> str:
        """The edition's word for what the device is for; empty where the name says it already."""
        device = self.car.devices.get(element.name)
        if not device or element.kind not in (Kind.CONTACT, Kind.COIL):
            return ""
        word = self.term(device.function) if isinstance(device.function, str) else "function ?"
        name = self.title(element)[0].replace("_", " ")
        return "" if re.search(rf"(?<!\w){re.escape(word)}(?!\w)", name, re.IGNORECASE) else word

    def sentence(self, element: Element) -> str:
        """What the drawing shows at the element, in words."""
        name = " ".join(word for word in self.title(element) if word)
        parts = [{Kind.FUSE: "fuse ", Kind.COIL: "coil ", Kind.CROSSING: "through "}.get(element.kind, "") + name]
        device, contact = self.car.devices.get(element.name), contact_at(self.car, element)
        if function := self.function(element):
            parts[0] += f" ({function})"
        if not self._described(element):
            parts.append("not described")
        elif element.kind is Kind.CONTACT and device:
            parts.append(f"worked by {said(device.worked_by) or '?'}")
            parts.append(f"at rest {said(contact.at_rest) or '?'}" if contact else "at rest ?")
            for mode, phases, state in self._states(element):
                parts.append(" ".join(word for word in ("healthy", mode, " and ".join(phases), state) if word))
        if element.side is Side.RETURN:
            parts.append("on the return side")
        return ", ".join(parts)

    def cell(self, element: Element, unit: float) -> Cell:
        """For a row on a raster of `unit` points."""
        width = (2 if element.kind in (Kind.FUSE, Kind.CROSSING) else 4) * unit
        return self._cell(element, width, width - 8, powered=self._feed(element))

    def hanging(self, element: Element, room: float) -> Cell:
        """For a column that leaves `room` points for the writing."""
        device = self.car.devices.get(element.name)
        by = f"by {said(device.worked_by) or '?'}" if device and element.kind is Kind.CONTACT else ""
        return self._cell(element, room, room, powered=", ".join(word for word in (by, self._feed(element)) if word))

    def _cell(self, element: Element, width: float, room: float, powered: str) -> Cell:
        device, contact = self.car.devices.get(element.name), contact_at(self.car, element)
        name, own = self.title(element)
        names = wrapped(f"{name} {own}".strip(), room, NAME, bold=True, lines=3)
        if own and names[-1].endswith("…"):
            names = (*wrapped(name, room, NAME, bold=True), *wrapped(own, room, NAME, bold=True, lines=1))
        head = [Row(line, NAME, 8.4, bold=True) for line in names]
        head += [Row(line, FUNCTION, 7.4) for line in wrapped(self.function(element), room, FUNCTION)]
        head += [Row(line, NOTE, 7.2, colour=GREY) for line in wrapped(powered, room, NOTE)]
        foot = [*_tags(self._states(element), room)]
        if element.side is Side.RETURN:
            foot += [Row(line, NOTE, 7.2, bold=True) for line in wrapped("on the return side", room, NOTE, bold=True)]
        for note in self._notes(element):
            foot += [Row(line, NOTE, 7.0, colour=GREY) for line in wrapped(note, room, NOTE)]
        ends = said(contact.terminals).split("-") if contact else []
        return Cell(
            element, self.ids[element], self.sentence(element), width, self._described(element),
            said(contact.at_rest) if contact else "", said(device.worked_by) if device else "",
            tuple(ends) if self._splits(ends) else (), tuple(head), tuple(foot),
        )  # fmt: skip

    @staticmethod
    def _splits(ends: list[str]) -> bool:
        return len(ends) == 2 and all(0 < len(end.strip()) <= 3 for end in ends)

    def _described(self, element: Element) -> bool:
        match element.kind:
            case Kind.CONTACT | Kind.COIL:
                return element.name in self.car.devices
            case Kind.FUSE:
                return self._fuse(element.name) is not None
            case Kind.CROSSING:
                return element.name in self.car.connectors
            case Kind.WIRE:
                return True

    def _fuse(self, name: str) -> Fuse | None:
        low_voltage = self.car.low_voltage
        return low_voltage.fuses.get(name) if isinstance(low_voltage, LowVoltage) else None

    def _feed(self, element: Element) -> str:
        device = self.car.devices.get(element.name)
        if element.kind is not Kind.CONTACT or not device or device.worked_by != "power":
            return ""
        return f"feed {said(device.feed) or '?'}"

    def _states(self, element: Element) -> tuple[State, ...]:
        device, contact = self.car.devices.get(element.name), contact_at(self.car, element)
        if element.kind is not Kind.CONTACT or not device:
            return ()
        return states(self.car, device, contact) if contact else (("", (), "?"),)

    def _notes(self, element: Element) -> tuple[str, ...]:
        """Part, kind and place, as far as they belong on the drawing."""
        if not self._described(element):
            return ("not described",)
        device, contact = self.car.devices.get(element.name), contact_at(self.car, element)
        match element.kind:
            case Kind.FUSE:
                fuse = self._fuse(element.name)
                return (said(fuse.rating) or "rating ?", *([_place(fuse.place)] if fuse.place else [])) if fuse else ()
            case Kind.CROSSING:
                connector = self.car.connectors[element.name]
                return (_place(connector.place),) if connector.place else ()
            case Kind.WIRE:
                return ()
            case Kind.COIL:
                return (_place(device.place),) if device else ()
            case Kind.CONTACT:
                if not contact:
                    return ("which contact?",)
                terminals = said(contact.terminals)
                own = [f"contact of {said(contact.part)}" if contact.part else "", "" if self._splits(terminals.split("-")) else terminals]
                own += [said(contact.kind)] if contact.kind not in (None, "volt-free") else []
                own += ["at rest as left"] if contact.at_rest == "as left" else []
                about = ", ".join(word for word in own if word)
                return (*([about] if about else []), _place(device.place if device else None))
