"""The loops in numbers: what flows, what reaches each coil, what each contact carries, and what a leaking stage leaves behind."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from docgen.analysis.copper import COLD
from docgen.analysis.fields import against, reading, summed
from docgen.analysis.loop_circuit import (
    Circuit,
    Flow,
    Situation,
    Winding,
    least_at,
    loop_current,
)
from docgen.analysis.loop_coils import coil_of, hot_pick_up_of, loop_coils
from docgen.analysis.loop_described import CROSSING_ORIGIN, LOW_VOLTAGE, circuits, is_home, low_voltage, steady_resistance
from docgen.calc.coil import line_resistance, residual_share
from docgen.calc.formula import Band, Card, card
from docgen.calculation import Bound, Calculation, Given, Missing, computed, result_as
from docgen.car.contact import Contact
from docgen.car.device import Coil, Device, Stage
from docgen.car.wiring import Fuse
from docgen.look import ELECTRONIC, Look
from docgen.network import Element, Kind, contact_at, contact_path
from docgen.printing import listed
from docgen.provenance import Path

SOLVED = "nodal analysis of the whole loop, by Kirchhoff's current law at every node (any textbook of circuit theory)"
_LEAST = 1e-6
"""Current in A below which nothing counts as flowing."""
_WHOLE = 0.999
"""Share of the loop current from which a part counts as carrying all of it."""


def loop_electrical(look: Look) -> Iterator[Calculation]:
    """Every figure of the coils, then of each loop; of a loop that carries no current in the healthy car there is none."""
    yield from loop_coils(look)
    for circuit in circuits(look).values():
        if circuit.situations:
            yield from _Figures(look, circuit).all()


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
        self.known = circuit.is_known
        self.flows: dict[Situation, tuple[Flow, Flow, Flow]] = {}
        if self.known:
            self.flows = {situation: loop_current(circuit, situation) for situation in circuit.situations}
        self.line = self._line()
        self.rows = contacts_of(look, circuit)
        self.common = (circuit.source, circuit.inner, result_as(self.line, "R_s", "resistance of the line"))

    def all(self) -> Iterator[Calculation]:
        yield self.line
        for situation in self.circuit.situations:
            yield self.current(situation)
        yield from self.fuses()
        for coil in self.circuit.coils:
            described = coil_of(self.look.car.devices.get(coil.name))
            yield from self._picks_up(coil)
            yield from self._holds(coil, described)
            yield from self._lets_go(coil, described)
        yield from self.contacts()

    def _at(self, element: Element, home: Path) -> tuple[Path, str]:
        """The place of a figure of an element, and the loop in words where that is not the element's own field."""
        return (home, "") if is_home(self.look, self.circuit.graph, element) else (element.step, f" in {self.circuit.name}")

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
        slug, title = "line-resistance", f"Resistance of the line of {self.circuit.name}"
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
        title = f"Current of {self.circuit.name} {situation.title}"
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
            about, where = self._at(element, place)
            title = f"Lasting current through the fuse {element.name}{where}{' ' + worst.title if worst else ''}"
            result = Band(*(flow.through.get(element, 0.0) for flow in lasting[worst])) if worst else None
            prose = "The most of all phases; an inrush of milliseconds is not counted."
            figure = self.solved("fuse-current", title, about, "A", (), result, prose)
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

    def _picks_up(self, coil: Element) -> Iterator[Calculation]:
        situations = [situation for situation in self.circuit.situations if coil in situation.picking_up]
        if not situations:
            return
        hot = hot_pick_up_of(self.look, coil.name)
        about, where = self._at(coil, hot.about)
        situation, result = self._worst(coil, situations)
        others = sorted(other.name for other in situation.picking_up - {coil})
        figure = self.solved(
            "coil-pick-up", f"Voltage at the coil of {coil.name}{where}, picking up {situation.title},", about, "V",
            (self._load(situation, coil),), result,
            f"The least it gets of all situations in which it has to pick up{'; with it pick up ' + ', '.join(others) if others else ''}.",
        )  # fmt: skip
        yield against(figure, "at least", result_as(hot, "U", "pick-up voltage"), "pick-up voltage of the hot coil")

    def _holds(self, coil: Element, described: Coil) -> Iterator[Calculation]:
        path: Path = ("devices", coil.name, "coil")
        situations = [situation for situation in self.circuit.situations if coil in situation.held]
        if not situations:
            return
        about, where = self._at(coil, (*path, "drop_out"))
        situation, result = self._worst(coil, situations)
        figure = self.solved(
            "coil-hold", f"Voltage at the coil of {coil.name}{where}, held {situation.title},", about, "V",
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
        """The situation in which a coil gets the lowest voltage, and that voltage where everything is known."""
        return least_at(self.circuit, situations, coil) if self.known else (situations[0], None)

    def _lets_go(self, coil: Element, described: Coil) -> Iterator[Calculation]:
        """What is left in the coil when a contact before it has opened past which some current still flows."""
        leak = self._leak(coil)
        if leak is None:
            return
        path: Path = ("devices", coil.name, "coil")
        about, where = self._at(coil, (*path, "drop_out"))
        yield computed(
            "coil-residual", f"Residual current of the coil of {coil.name}{where} as a share of its drop-out current", about, residual_share,
            {"residual": leak, "drop_out": reading("U_d", f"drop-out voltage of {coil.name}", described.drop_out, (*path, "drop_out")),
             "resistance": steady_resistance(coil.name, described, path)},
            Bound("below", 1.0, "loop-opening-result", "the share that holds the contact"),
            "When the contact past which most flows has opened, or all contacts of parallel ways, all of it is taken to flow through this coil alone.",
        )  # fmt: skip

    def _leak(self, coil: Element) -> Given | Missing | None:
        """The most that flows past one open contact of the way of a coil, or past all of its parallel ways together; None where nothing does."""
        alone: list[Given | Missing] = []
        beside: list[Given | Missing] = []
        series = self.circuit.graph.in_series_with(coil)
        for row in self.rows:
            on_way = [element for element in row.elements if element in self.circuit.ways[coil]]
            if solid_state(row.contact) and on_way:
                leak = reading("I_res", f"leakage of {row.name}", row.contact.leakage, (*row.path, "leakage"))
                (alone if any(element in series for element in on_way) else beside).append(leak)
        if len(beside) > 1:
            names = listed(leak.name.removeprefix("leakage of ") for leak in beside)
            beside = [summed("I_res", f"leakage of {names} together", beside, self.path)]
        leaks = [*alone, *beside]
        unknown = next((leak for leak in leaks if isinstance(leak, Missing)), None)
        return unknown or max((leak for leak in leaks if isinstance(leak, Given)), key=lambda leak: leak.band.high, default=None)

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
            about, where = self._at(row.elements[0], place)
            loaded = [(carried[element], element) for element in row.elements if element in carried]
            if not loaded and self.known:
                continue
            result, when = None, ""
            if loaded:
                (_, situation), element = max(loaded, key=lambda found: found[0][0])
                result = Band(*(flow.through.get(element, 0.0) for flow in self.flows[situation]))
                when = f" {situation.title}"
            prose = "The most it carries of all situations, inrush counted in."
            figure = self.solved(slug, f"Current through {row.name}{where}{when}", about, "A", (), result, prose)
            yield against(figure, "at most", rated, "rated current of the contact")


def is_stage(device: Device) -> bool:
    """Whether a device opens the loop by the output of an electronic system."""
    return device.function in ELECTRONIC or isinstance(device.stage, Stage)


def solid_state(contact: Contact) -> bool:
    """Whether a contact is a semiconductor, or says that some current flows past it when open."""
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
