"""What a rule looks at: the description, the edition, and the graphs of the loops."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from docgen.car import Car
from docgen.car.contact import PHASES, Contact
from docgen.car.device import Device
from docgen.editions import Edition, Limit
from docgen.editions.topics import TOPICS
from docgen.load import Description
from docgen.network import Element, Kind, Network, contact_at, contact_path, healthy, modes, network
from docgen.provenance import Path
from docgen.quantity import Quantity, read_quantity

DRIVE, CHARGING = "drive", "charging"

PROTECTIVE = frozenset({
    "LV master switch", "TS master switch", "shutdown button", "inertia switch", "brake over-travel switch", "insulation monitor",
    "battery management", "brake plausibility device", "service disconnect interlock", "interlock", "charger button",
    "remote emergency relay",
})  # fmt: skip
"""Functions whose contact must open the loop when something is wrong."""

ELECTRONIC = frozenset({"insulation monitor", "battery management", "brake plausibility device"})
"""Protective systems that decide by electronics."""

COMPARE: dict[str, Callable[[float, float], bool]] = {
    "at most": lambda value, limit: value <= limit,
    "below": lambda value, limit: value < limit,
    "at least": lambda value, limit: value >= limit,
    "above": lambda value, limit: value > limit,
    "exactly": lambda value, limit: value == limit,
}


@dataclass(frozen=True, eq=False)
class Look:
    """A description under an edition; equal only to itself, so that what is computed from it can be kept."""

    description: Description
    edition: Edition

    @property
    def car(self) -> Car:
        return self.description.car

    @cached_property
    def networks(self) -> dict[str, Network]:
        return {name: network(self.car, name) for name in self.car.loops}

    @cached_property
    def places_in_loops(self) -> dict[str, list[tuple[Network, Element]]]:
        """Device -> its contacts in loops."""
        found: dict[str, list[tuple[Network, Element]]] = {}
        for graph in self.networks.values():
            for element in graph.of_kind(Kind.CONTACT):
                found.setdefault(element.name, []).append((graph, element))
        return found

    def devices(self, *functions: str) -> Iterator[tuple[Path, str, Device]]:
        """The devices with one of these functions: path, name, device."""
        for name, device in self.car.devices.items():
            if device.function in functions:
                yield ("devices", name), name, device

    def contacts(self) -> Iterator[tuple[Path, str, Device, str, Contact]]:
        """Every described contact: path, device name, device, contact name, contact."""
        for name, device in self.car.devices.items():
            for contact_name, contact in device.every_contact().items():
                yield contact_path(device, name, contact_name), name, device, contact_name, contact

    def in_loop(self, graph: Network, *functions: str) -> Iterator[Element]:
        """The contact elements of a loop whose device has one of these functions."""
        for element in graph.of_kind(Kind.CONTACT):
            device = self.car.devices.get(element.name)
            if device and device.function in functions:
                yield element

    def closed_in(self, phase: str, mode: str) -> Callable[[Element], bool]:
        """Whether an element is closed in a phase and mode of the healthy car."""

        def closed(element: Element) -> bool:
            contact = contact_at(self.car, element)
            return contact is not None and healthy(self.car.devices[element.name], contact, phase, mode) == "closed"

        return closed

    @cached_property
    def energised(self) -> dict[tuple[str, str, str], frozenset[Element]]:
        """Loop, phase and mode -> the coils that carry current there in the healthy car."""
        return {
            (name, phase, mode): graph.energised(self.closed_in(phase, mode))
            for name, graph in self.networks.items()
            for phase in PHASES
            for mode in modes(self.car)
        }

    def limit(self, topic: str, name: str) -> tuple[Limit, Quantity] | None:
        """A limit of the edition with its quantity, or None where the edition file has none."""
        limit = self.edition.topic(topic).limits.get(name)
        return (limit, read_quantity(limit.value, TOPICS[topic].limits[name])) if limit else None

    def printed(self, name: str) -> str:
        """A device as it is named in messages: ``bspd_unit (BSPD)``, or ``bspd`` where its name says as much."""
        device = self.car.devices.get(name)
        function = device.function if device and isinstance(device.function, str) else ""
        term = self.edition.term(function) if function else ""
        return f"{name} ({term})" if term and spoken(name) != spoken(term) else name


def spoken(name: str) -> str:
    """A name as it is said aloud: ``inertia_switch`` and “inertia switch” are one."""
    return re.sub(r"[\s_-]+", " ", name).casefold()


def keeps(limit: Limit, bound: Quantity, value: Any) -> bool:
    """Whether the whole tolerance band of a quantity keeps a limit."""
    compare = COMPARE[limit.compare]
    return compare(float(value.low), float(bound.value)) and compare(float(value.high), float(bound.value))
