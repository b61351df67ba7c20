"""The submission as nodes: the chapters in their order, prose from templates, tables from values."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import TypeVar

from pydantic import BaseModel

from docgen import VERSION, tables
from docgen.analysis import by_subject, calculations
from docgen.analysis.loop_described import circuits
from docgen.analysis.loop_profile import Step, steps
from docgen.car.car import Identity, Revision
from docgen.car.contact import Contact
from docgen.car.demand import Demand, PedalVsBrakeCheck
from docgen.car.device import Device, Place
from docgen.car.loop import Loop
from docgen.car.tractive import SystemVoltage, TractiveSystem
from docgen.car.values import Unknown
from docgen.car.wiring import LowVoltage, Wiring
from docgen.check import Report
from docgen.finding import Severity
from docgen.look import Look
from docgen.nodes import Block, Code, Contents, Document, Figure, Heading, Paragraph, Picture, Source, plain, words
from docgen.printing import NOT_SAID, anchor, counted, given, mark_of, name_of, printed
from docgen.prose import Words
from docgen.rules.description import unknowns


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawn sheet of a loop with its text alternative."""

    picture: Picture
    alternative: str


P = TypeVar("P", bound=BaseModel)

@dataclass(frozen=True, slots=True)
class DrawnPlot:
    """A drawn picture of calculations."""

    slug: str
    caption: str
    drawing: Drawing


Drawings = Mapping[str, tuple[Drawing, ...]]
"""Loop -> its sheets."""


def submission(report: Report, look: Look, drawings: Drawings, pictures: tuple[DrawnPlot, ...], wording: Words, source: Source) -> Document:
    """The whole submission.

    Raises docgen.markdown.TemplateError for a template that cannot be used.
    """
    car = look.car
    identity = car.car if isinstance(car.car, Identity) else Identity()
    newest = car.newest
    mark, name = mark_of(car) or "without a mark", name_of(car) or "a car without a name"
    blocks = tuple(_Chapters(report, look, drawings, pictures, wording, source, name).all())
    return Document(
        title=f"{name}: electrical design submission",
        subject=f"Electrical safety devices of {name}, revision {mark}",
        author=printed(identity.team) if identity.team is not None else "",
        revision=mark,
        issued=newest.date if isinstance(newest.date, date) else None,
        generator=f"docgen {VERSION}",
        source=source,
        footer=f"{name}, revision {mark} ({_status(newest)}), description {source.digest[:12]}. docgen approves nothing.",
        blocks=blocks,
    )


def _status(revision: Revision) -> str:
    return printed(revision.status) if revision.status is not None else "status not said"


_MOST_IN_SHORT = 12


@dataclass(frozen=True)
class _Chapters:
    report: Report
    look: Look
    drawings: Drawings
    pictures: tuple[DrawnPlot, ...]
    words: Words
    source: Source
    name: str

    def all(self) -> Iterator[Block]:
        yield from self.front()
        yield from self.car()
        yield from self.words.blocks("convention.md")
        yield from self.loops()
        yield from self.devices()
        yield from self.tractive_system()
        yield from self.low_voltage()
        yield from self.demand()
        yield from self.signals()
        yield from self.wiring()
        yield from self.findings()
        yield from self.numbers()
        yield from self.clauses()
        yield from self.evidence()
        yield Heading(1, "Revision record", "revision-record")
        yield tables.revisions(self.look)
        yield from self.workings()

    def front(self) -> Iterator[Block]:
        points = list(unknowns(self.look.car))
        highest = self._system().voltage
        edition = self.report.edition
        yield Heading(1, "At a glance", "at-a-glance")
        yield from self.words.blocks(
            "front.md", name=self.name, file=Code(self.source.name), edition=edition.name,
            highest=printed(highest.highest) if isinstance(highest, SystemVoltage) and highest.highest is not None else "a voltage that is not said",
            findings=self._finding_count(),
        )  # fmt: skip
        yield tables.counts(self.report, len(points))
        if self.report.findings:
            yield tables.first_findings(self.report, _MOST_IN_SHORT)
        yield from self.words.blocks("edition.md", name=edition.name, read_in=edition.read_in, not_covered=edition.not_covered)
        yield Contents(2)

    def _finding_count(self) -> str:
        counts = [(len(self.report.errors), "error"), (len(self.report.warnings), Severity.WARNING.value)]
        return " and ".join(counted(number, word) for number, word in counts if number)

    def _system(self) -> TractiveSystem:
        system = self.look.car.tractive_system
        return system if isinstance(system, TractiveSystem) else TractiveSystem()

    def car(self) -> Iterator[Block]:
        car = self.look.car
        yield Heading(1, "The car", "the-car")
        if isinstance(car.car, Identity):
            yield tables.facts(car.car, "table-car", "The car")
        yield tables.facts(car.newest, "table-revision", "This revision")
        for note in car.notes if isinstance(car.notes, tuple) else ():
            yield Paragraph(words(note))

    def loops(self) -> Iterator[Block]:
        yield Heading(1, "The loops", "loops")
        if not self.look.networks:
            yield Paragraph(words("No loop is described."))
        for name, graph in self.look.networks.items():
            loop = self.look.car.loops[name]
            yield Heading(2, f"Loop “{name}”", anchor("loop", name))
            carries = f"It carries the coil current {printed(loop.carries_coil_current)}." if loop.carries_coil_current is not None else ""
            yield from self.words.blocks("loop.md", name=Code(name), source=_source(loop), carries=carries)
            sheets = self.drawings.get(name, ())
            for number, drawing in enumerate(sheets, 1):
                caption = f"The loop “{name}”, contacts at rest" + (f", sheet {number} of {len(sheets)}" if len(sheets) > 1 else "")
                yield Figure(f"{anchor('figure', name)}-{number}", caption, drawing.picture, drawing.alternative, wide=True)
            yield tables.current_order(self.look, graph)
            yield from self._wires(name, loop)

    def _wires(self, name: str, loop: Loop) -> Iterator[Block]:
        if loop.wires:
            yield replace(tables.named_parts(dict(loop.wires), anchor("table-wires", name), f"Wires of the loop “{name}”", "Stretch"), wide=True)
        if loop.note is not None:
            yield Paragraph(words(printed(loop.note)))

    def devices(self) -> Iterator[Block]:
        yield Heading(1, "The devices", "devices")
        if not self.look.car.devices:
            yield Paragraph(words("No device is described."))
            return
        yield tables.devices(self.look)
        for name in tables.in_order(self.look):
            yield from self.device(name, self.look.car.devices[name])

    def device(self, name: str, device: Device) -> Iterator[Block]:
        term = self.look.edition.term(device.function) if isinstance(device.function, str) else "function not said"
        title = device.label if isinstance(device.label, str) else self.look.printed(name)
        yield Heading(2, title, anchor("device", name))
        place = plain(tables.place(device)) if isinstance(device.place, Place) else ""
        yield from self.words.blocks(
            "device.md", name=Code(name), function=term, place=place, worked=_worked(device),
            contacts=[_contact_words(device, contact_name, contact) for contact_name, contact in device.every_contact().items()],
            stage=plain(tables.stage(device)) if device.stage is not None else "", latch=plain(tables.latch(device)) if device.latch is not None else "",
            reset=plain(tables.reset(device)) if device.reset is not None else "", lost=_on_loss(device),
        )  # fmt: skip
        yield tables.facts(device, anchor("table-device", name), f"What the description says of {name}")

    def tractive_system(self) -> Iterator[Block]:
        system, car = self._system(), self.look.car
        yield Heading(1, "Tractive system", "tractive-system")
        yield tables.facts(_without(system, "accumulators", "inverters", "connectors"), "table-tractive-system", "Tractive system")
        for name, accumulator in system.accumulators.items():
            yield Heading(2, f"Accumulator “{name}”", anchor("accumulator", name))
            yield tables.facts(accumulator, anchor("table-accumulator", name), f"Accumulator “{name}”")
        for name, inverter in system.inverters.items():
            yield Heading(2, f"Inverter “{name}”", anchor("inverter", name))
            yield tables.facts(inverter, anchor("table-inverter", name), f"Inverter “{name}”")
        if system.connectors:
            yield Heading(2, "Connectors of the tractive system", "tractive-connectors")
            yield tables.named_parts(dict(system.connectors), "table-tractive-connectors", "Connectors of the tractive system", "Connector")
        if car.charger is not None and not isinstance(car.charger, Unknown):
            yield Heading(2, "Charger", "charger")
            yield tables.facts(car.charger, "table-charger", "Charger")

    def low_voltage(self) -> Iterator[Block]:
        car = self.look.car
        low = car.low_voltage if isinstance(car.low_voltage, LowVoltage) else LowVoltage()
        yield Heading(1, "Low voltage", "low-voltage")
        if low.source is not None and not isinstance(low.source, Unknown):
            yield tables.facts(low.source, "table-source", "Source of the low-voltage system")
        groups = (
            ("fuses", "Fuses", low.fuses, "Fuse"), ("feeds", "Feeds", low.feeds, "Feed"), ("connectors", "Connectors", car.connectors, "Connector"),
            ("boards", "Boards", car.boards, "Board"), ("housings", "Housings", car.housings, "Housing"),
        )  # fmt: skip
        for slug, title, parts, head in groups:
            if parts:
                yield Heading(2, title, f"low-voltage-{slug}")
                yield tables.named_parts(dict(parts), f"table-{slug}", title, head)

    def demand(self) -> Iterator[Block]:
        demand = self.look.car.demand if isinstance(self.look.car.demand, Demand) else Demand()
        yield Heading(1, "Driver demand", "driver-demand")
        yield from self.words.blocks("demand.md", term=self.look.edition.term("brake plausibility device"))
        yield tables.check_against_device(demand, self.look)
        if isinstance(demand.pedal_vs_brake_check, PedalVsBrakeCheck):
            yield tables.facts(demand.pedal_vs_brake_check, "table-pedal-vs-brake", "The pedal-vs-brake check")
        for slug, title, sensors in (("pedal", "Sensors of the accelerator pedal", demand.pedal_sensors), ("brake", "Sensors of the brakes", demand.brake_sensors)):
            if sensors:
                yield tables.named_parts(dict(sensors), f"table-{slug}-sensors", title, "Sensor")
        rest = _without(demand, "pedal_sensors", "brake_sensors", "pedal_vs_brake_check")
        if any(True for _ in given(rest)):
            yield tables.facts(rest, "table-demand", "Further checks and functions")

    def signals(self) -> Iterator[Block]:
        yield Heading(1, "Signals", "signals")
        if not self.look.car.signals:
            yield Paragraph(words("No signal is described."))
            return
        yield tables.signals(self.look)
        yield tables.failures(self.look)

    def wiring(self) -> Iterator[Block]:
        wiring = self.look.car.wiring if isinstance(self.look.car.wiring, Wiring) else Wiring()
        yield Heading(1, "Wiring", "wiring")
        if not wiring.conductors and not wiring.conduits:
            yield Paragraph(words("No wiring is described apart from that of the loops."))
        for slug, title, parts, head in (("conductors", "Conductors", wiring.conductors, "Conductor"), ("conduits", "Conduits", wiring.conduits, "Conduit")):
            if parts:
                yield tables.named_parts(dict(parts), f"table-{slug}", title, head)

    def findings(self) -> Iterator[Block]:
        points = list(unknowns(self.look.car))
        yield Heading(1, "Findings and open points", "findings")
        yield tables.findings(self.report) if self.report.findings else Paragraph(words("The checks found nothing. That is no approval."))
        if points:
            yield tables.open_points(points, self.look)
        if self.report.not_evaluated:
            yield tables.not_evaluated(self.report)

    def numbers(self) -> Iterator[Block]:
        computed = calculations(self.look)
        yield Heading(1, "The numbers", "numbers")
        yield from self.words.blocks("numbers.md", count=counted(len(computed), "value") if computed else "")
        if any(one.is_judged for one in computed):
            yield tables.numbers_in_short(by_subject(self.look), self.look)
        for picture in self.pictures:
            yield Figure(anchor("figure-number", picture.slug), picture.caption, picture.drawing.picture, picture.drawing.alternative)
        known = {name: circuit for name, circuit in circuits(self.look).items() if circuit.is_known}
        for number, (name, circuit) in enumerate(known.items()):
            yield from self._margins(name, steps(self.look, circuit), first=number == 0)

    def _margins(self, name: str, along: tuple[Step, ...], first: bool) -> Iterator[Block]:
        situations = [f"{mark} is {title}" for title, mark in tables.marked_situations(along).items()]
        yield from self.words.blocks("margins.md", name=Code(name), situations=situations, first=first)
        yield tables.margins(name, along, self.look)

    def clauses(self) -> Iterator[Block]:
        yield Heading(1, "Clause index", "clause-index")
        yield from self.words.blocks("clauses.md", edition=self.report.edition.name)
        yield tables.clause_index(self.report)

    def evidence(self) -> Iterator[Block]:
        yield Heading(1, "Evidence", "evidence")
        yield tables.evidence(self.look) if self.look.car.evidence else Paragraph(words("No evidence is named."))

    def workings(self) -> Iterator[Block]:
        """How each value was computed: the longest chapter, and so the last."""
        if not calculations(self.look):
            return
        yield Heading(1, "How the values were computed", "workings")
        for subject, group in by_subject(self.look):
            if group:
                yield Heading(2, subject, tables.workings_anchor(subject))
                yield tables.workings(subject, group, self.look)


def _without(part: P, *fields: str) -> P:
    """A part without some of its fields, which are printed elsewhere."""
    kept = {name: getattr(part, name) for name in type(part).model_fields if name not in fields}
    return part.model_construct(**kept)


def _source(loop: Loop) -> str | Code:
    if loop.source is None:
        return "a source that is not named"
    return "the low-voltage source" if loop.source == "low_voltage" else Code(printed(loop.source))


def _on_loss(device: Device) -> str:
    """What follows from the loss of the device's feed, where that is said."""
    lost = tables.on_loss_of_feed(device, Contact()) if device.worked_by == "power" else NOT_SAID
    return "" if lost == NOT_SAID else lost


_WORKED = {
    "hand": "hand", "machine": "the machine itself", "power": "a powered circuit", "plug": "plugging", "coil": "its own coil",
}  # fmt: skip


def _worked(device: Device) -> str:
    return _WORKED[device.worked_by] if isinstance(device.worked_by, str) and device.every_contact() else ""


def _contact_words(device: Device, name: str, contact: Contact) -> dict[str, str]:
    """What the prose says of a contact, with what follows from its two states."""
    return {
        "name": "The contact" if name == "contact" else f"The contact {name}",
        "at_rest": printed(contact.at_rest),
        "when_healthy": printed(contact.when_healthy),
        "tripped": printed(contact.tripped) if contact.tripped is not None else "",
        "meaning": _meaning(device, contact),
    }


def _meaning(device: Device, contact: Contact) -> str:
    match (device.worked_by, contact.at_rest, contact.when_healthy):
        case ("power" | "coil", "open", "closed"):
            return "held closed while everything is sound, so that it opens when its power goes"
        case ("power" | "coil", "closed", "closed"):
            return "it needs power to open"
        case ("hand" | "machine", "closed", "closed"):
            return "closed on the bench as in the car, until " + ("a hand" if device.worked_by == "hand" else "the machine") + " opens it"
        case ("plug", "open", "closed"):
            return "closed only while the plug is together"
        case ("hand", "open", "closed"):
            return "a hand closes it before the car runs"
        case _:
            return ""
