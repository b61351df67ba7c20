"""The drive loop in numbers: what flows, what reaches each coil, what each contact carries, and what a leaking stage leaves behind."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from docgen.analysis.copper import COLD
from docgen.analysis.fields import against, reading
from docgen.analysis.loop_circuit import (
    Circuit,
    Flow,
    Situation,
    Winding,
    highest_at,
    loop_current,
    lowest_at,
    nominal,
)
from docgen.analysis.loop_described import CROSSING_ORIGIN, LOW_VOLTAGE, drive_circuit, low_voltage, steady_resistance
from docgen.calc.coil import hot_pick_up, line_resistance, residual_share
from docgen.calc.formula import Band, Card, card
from docgen.calculation import Bound, Calculation, Given, Missing, computed, result_as
from docgen.car.contact import Contact
from docgen.car.device import Coil, Device, Stage
from docgen.car.wiring import Fuse
from docgen.look import ELECTRONIC, Look
from docgen.network import Element, Kind, contact_at, contact_path
from docgen.provenance import Path

SOLVED = "nodal analysis of the whole loop, by Kirchhoff's current law at every node (any textbook of circuit theory)"
_LEAST = 1e-6
"""Current in A below which nothing counts as flowing."""
_WHOLE = 0.999
"""Share of the loop current from which a part counts as carrying all of it."""


def loop_electrical(look: Look) -> Iterator[Calculation]:
    """Every figure of the drive loop; none where it carries no current in the healthy car."""
    circuit = drive_circuit(look)
    if circuit is None or not circuit.situations:
        return
    figures = _Figures(look, circuit)
    yield figures.line
    for situation in circuit.situations:
        yield figures.current(situation)
    yield from figures.fuses()
    for coil in circuit.coils:
        yield from figures.coil(coil)
    yield from figures.contacts()


@dataclass(frozen=True)
class ContactOf:
    """A contact of the loop, however many corners it stands for."""

    name: str
    device: Device
    contact: Contact
    path: Path
    elements: tuple[Element, ...]


class _Figures:
    """The figures of one solved loop."""

    def __init__(self, look: Look, circuit: Circuit) -> None:
        self.look, self.circuit = look, circuit
        self.path: Path = ("loops", circuit.graph.loop)
        self.known = not circuit.lacking and not circuit.impossible
        self.flows: dict[Situation, tuple[Flow, Flow, Flow]] = {}
        if self.known:
            self.flows = {situation: loop_current(circuit, situation) for situation in circuit.situations}
        self.line = self._line()
        self.rows = contacts_of(look, circuit)
        self.common = (circuit.source, circuit.inner, result_as(self.line, "R_s", "resistance of the line"))

    def _line(self) -> Calculation:
        """Everything that the whole current of the loop passes in the last of its situations."""
        inputs: dict[str, Given | Missing] = {f"missing {number}": missing for number, missing in enumerate(self.circuit.lacking)}
        if self.known:
            _, flow, _ = self.flows[self.circuit.situations[-1]]
            whole = [piece for piece, amperes in flow.amperes.items() if amperes > _WHOLE * flow.loop]
            origins: dict[str, tuple[str, Path | str]] = {
                "fuses": ("R_F", (LOW_VOLTAGE, "fuses")),
                "contacts": ("R_C", ("devices",)),
                "crossings": ("R_X", CROSSING_ORIGIN),
                "wires": ("R_W", (*self.path, "wires")),
            }
            for group, (symbol, origin) in origins.items():
                bands = [piece.ohms for piece in whole if piece.group == group]
                together = Band(*(sum(getattr(band, end) for band in bands) for end in ("low", "nominal", "high")))
                named = "connector positions" if group == "crossings" else group
                inputs[group] = Given(symbol, f"{named} of the line, {len(bands)} together", together, "Ω", origin)
        slug, title = "line-resistance", "Resistance of the line of the drive loop"
        prose = (
            f"Lowest with contacts of no resistance and ideal copper at {COLD:.0f} °C, "
            "highest with worn contacts and copper as hot as its insulation allows."
        )
        if self.circuit.impossible and not inputs:
            return Calculation(slug, title, self.path, card(line_resistance), (), (), None, None, self.circuit.impossible, prose)
        return computed(slug, title, self.path, line_resistance, inputs, prose=prose)

    def solved(
        self, slug: str, title: str, about: Path, unit: str, given: tuple[Given | Missing, ...], result: Band | None, prose: str
    ) -> Calculation:
        """A figure of the solved loop, with what it rests on."""
        inputs = (*self.common, *given)
        missing = tuple(dict.fromkeys(value for value in inputs if isinstance(value, Missing)))
        known = tuple(value for value in inputs if isinstance(value, Given))
        how = Card("nodal_analysis", "Kirchhoff's laws", unit, SOLVED, (), ())
        return Calculation(slug, title, about, how, known, missing, result, None, "", prose)

    # ── Currents ───────────────────────────────────────────────────────────────────────────────────────────────────────

    def current(self, situation: Situation) -> Calculation:
        """The current of the loop in a phase, or while coils pick up."""
        flows = self.flows.get(situation)
        result = Band(*(flow.loop for flow in flows)) if flows else None
        loads = tuple(self._load(situation, coil) for coil in self.circuit.coils if coil in situation.fed)
        title = f"Current of the drive loop {situation.title}"
        if situation.begins:
            picking = ", ".join(sorted(coil.name for coil in situation.picking_up))
            prose = f"For as long as an inrush lasts, while these pick up together: {picking}."
            return self.solved("loop-inrush", title, self.path, "A", loads, result, prose)
        return self.solved("loop-current", title, self.path, "A", loads, result, "What the loop draws for as long as the phase lasts.")

    def fuses(self) -> Iterator[Calculation]:
        """The largest lasting current through each fuse, against its rating."""
        lasting = {situation: flows for situation, flows in self.flows.items() if not situation.begins}
        for element in self.circuit.graph.of_kind(Kind.FUSE):
            place: Path = (LOW_VOLTAGE, "fuses", element.name, "rating")
            fuse = low_voltage(self.look).fuses.get(element.name, Fuse())
            rated = reading("I_n", f"rated current of the fuse {element.name}", fuse.rating, place)
            worst = max(lasting, key=lambda situation: lasting[situation][2].through.get(element, 0.0), default=None)
            title = f"Lasting current through the fuse {element.name}{' ' + worst.title if worst else ''}"
            result = Band(*(flow.through.get(element, 0.0) for flow in lasting[worst])) if worst else None
            prose = "The most of all phases; an inrush of milliseconds is not counted."
            figure = self.solved("fuse-current", title, place, "A", (), result, prose)
            yield against(figure, "at most", rated, "rated current of the fuse")

    def _load(self, situation: Situation, coil: Element) -> Given | Missing:
        load = self.circuit.load(situation, coil)
        path: Path = ("devices", coil.name, "coil")
        if isinstance(load, Missing):
            return load
        if isinstance(load, Winding):
            return Given("R", f"coil {coil.name}, {'picking up' if coil in situation.picking_up else 'held'}", load.anywhere, "Ω", path)
        return Given("I_h", f"hold current of the coil {coil.name}", load, "A", (*path, "hold"))

    # ── Coils ──────────────────────────────────────────────────────────────────────────────────────────────────────────

    def coil(self, coil: Element) -> Iterator[Calculation]:
        """Pick-up, hold and release of one coil."""
        device = self.look.car.devices.get(coil.name)
        described = device.coil if device and isinstance(device.coil, Coil) else Coil()
        yield from self._picks_up(coil, described)
        yield from self._holds(coil, described)
        yield from self._lets_go(coil, described)

    def _picks_up(self, coil: Element, described: Coil) -> Iterator[Calculation]:
        path: Path = ("devices", coil.name, "coil")
        situations = [situation for situation in self.circuit.situations if coil in situation.picking_up]
        if not situations:
            return
        hot = computed(
            "hot-pick-up", f"Pick-up voltage of {coil.name}, coil hot", (*path, "pick_up"), hot_pick_up,
            {"pick_up": reading("U_20", f"pick-up voltage of {coil.name}", described.pick_up, (*path, "pick_up")),
             "temperature": reading("T", f"highest temperature of the coil of {coil.name}", described.hottest, (*path, "hottest"))},
            prose="At its highest temperature the coil needs so much.",
        )  # fmt: skip
        yield hot
        situation, result = self._worst(coil, situations)
        others = sorted(other.name for other in situation.picking_up - {coil})
        figure = self.solved(
            "coil-pick-up", f"Voltage at the coil of {coil.name}, picking up {situation.title},", (*path, "pick_up"), "V",
            (self._load(situation, coil),), result,
            f"The least it gets of all situations in which it has to pick up{'; with it pick up ' + ', '.join(others) if others else ''}.",
        )  # fmt: skip
        yield against(figure, "at least", result_as(hot, "U", "pick-up voltage"), "pick-up voltage of the hot coil")

    def _holds(self, coil: Element, described: Coil) -> Iterator[Calculation]:
        path: Path = ("devices", coil.name, "coil")
        situations = [situation for situation in self.circuit.situations if coil in situation.held]
        if not situations:
            return
        situation, result = self._worst(coil, situations)
        figure = self.solved(
            "coil-hold", f"Voltage at the coil of {coil.name}, held {situation.title},", (*path, "drop_out"), "V",
            (self._load(situation, coil),), result,
            "The least it gets of all situations in which it has to stay, also while its neighbours pick up.",
        )  # fmt: skip
        drop_out = reading("U_d", f"drop-out voltage of {coil.name}", described.drop_out, (*path, "drop_out"))
        load = self.circuit.coils[coil].held
        words = "drop-out voltage"
        if isinstance(drop_out, Given) and isinstance(load, Winding):
            drop_out = replace(drop_out, band=Band(drop_out.band.low, drop_out.band.nominal, drop_out.band.high * load.factor))
            words = f"drop-out voltage of the coil at {load.hottest:g} °C"
        yield against(figure, "above", drop_out, words)

    def _worst(self, coil: Element, situations: list[Situation]) -> tuple[Situation, Band | None]:
        """The situation in which a coil gets the lowest voltage, and that voltage."""
        if not self.known:
            return situations[0], None
        low, number = min((lowest_at(self.circuit, situation, coil).across(coil), number) for number, situation in enumerate(situations))
        worst = situations[number]
        return worst, Band(low, nominal(self.circuit, worst).across(coil), highest_at(self.circuit, worst, coil).across(coil))

    def _lets_go(self, coil: Element, described: Coil) -> Iterator[Calculation]:
        """What is left in the coil when a solid-state stage before it has opened."""
        leaks = [
            reading("I_res", f"leakage of {row.name}", row.contact.leakage, (*row.path, "leakage"))
            for row in self.rows
            if solid_state(row.contact) and not self.circuit.ways[coil].isdisjoint(row.elements)
        ]
        if not leaks:
            return
        path: Path = ("devices", coil.name, "coil")
        unknown = [leak for leak in leaks if isinstance(leak, Missing)]
        leak = unknown[0] if unknown else max((leak for leak in leaks if isinstance(leak, Given)), key=lambda leak: leak.band.high)
        yield computed(
            "coil-residual", f"Residual current of the coil of {coil.name} as a share of its drop-out current", (*path, "drop_out"),
            residual_share,
            {"residual": leak, "drop_out": reading("U_d", f"drop-out voltage of {coil.name}", described.drop_out, (*path, "drop_out")),
             "resistance": steady_resistance(coil.name, described, path)},
            Bound("below", 1.0, "loop-opening-result", "the share that holds the contact"),
            "When the stage that leaks most has opened, all its leakage is taken to flow through this coil alone.",
        )  # fmt: skip

    # ── Contacts ───────────────────────────────────────────────────────────────────────────────────────────────────────

    def contacts(self) -> Iterator[Calculation]:
        """The largest current through each contact, inrush counted in, against its rating."""
        carried: dict[Element, tuple[float, Situation]] = {}
        for situation, (_, _, most) in self.flows.items():
            for element, amperes in most.through.items():
                if amperes > carried.get(element, (_LEAST, situation))[0]:
                    carried[element] = amperes, situation
        for row in self.rows:
            place = (*row.path, "rating")
            slug = "stage-current" if is_stage(row.device) else "contact-current"
            rating = row.contact.rating[1] if isinstance(row.contact.rating, tuple) else row.contact.rating
            rated = reading("I_n", f"rated current of {row.name}", rating, place)
            loaded = [(carried[element], element) for element in row.elements if element in carried]
            if not loaded and self.known:
                continue
            result, when = None, ""
            if loaded:
                (_, situation), element = max(loaded, key=lambda found: found[0][0])
                result = Band(*(flow.through.get(element, 0.0) for flow in self.flows[situation]))
                when = f" {situation.title}"
            prose = "The most it carries of all situations, inrush counted in."
            figure = self.solved(slug, f"Current through {row.name}{when}", place, "A", (), result, prose)
            yield against(figure, "at most", rated, "rated current of the contact")


def is_stage(device: Device) -> bool:
    """Whether a device opens the loop by the output of an electronic system."""
    return device.function in ELECTRONIC or isinstance(device.stage, Stage)


def solid_state(contact: Contact) -> bool:
    """Whether a contact is a semiconductor, or says that it leaks."""
    return contact.construction == "solid state" or contact.kind in ("high-side stage", "low-side stage") or contact.leakage is not None


def contacts_of(look: Look, circuit: Circuit) -> tuple[ContactOf, ...]:
    """The described contacts of the loop in the order of the current."""
    found: dict[tuple[str, str], list[Element]] = {}
    for element in circuit.graph.of_kind(Kind.CONTACT):
        found.setdefault((element.name, element.contact), []).append(element)
    rows = []
    for (name, key), elements in found.items():
        device, contact = look.car.devices.get(name), contact_at(look.car, elements[0])
        if device is not None and contact is not None:
            rows.append(ContactOf(elements[0].spelled.split()[0], device, contact, contact_path(device, name, key), tuple(elements)))
    return tuple(rows)
