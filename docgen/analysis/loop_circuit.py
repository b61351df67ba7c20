"""The drive loop as an electrical circuit: what it is made of, the situations of the healthy car, and what flows in each.

The current meets fuses, contacts, connector positions and stretches of wire, every two of them joined by a stretch, and coils at the end of
the branches. A plain coil is a resistance; so is an economised one while it picks up, at its rated voltage over its inrush. Held, an
economised coil draws its hold current, whatever the voltage. The chassis counts as no resistance.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Literal

from docgen.analysis.copper import COLD, HOTTEST, stretch
from docgen.analysis.fields import reading
from docgen.calc.formula import Band
from docgen.calc.wire import temperature_factor
from docgen.calculation import Given, Missing
from docgen.car.contact import PHASES
from docgen.car.device import Coil
from docgen.car.loop import Loop, Wire
from docgen.car.values import Unknown
from docgen.car.wiring import LowVoltage, Source, SourceVoltage
from docgen.circuit import Draw, Resistor, solve
from docgen.look import DRIVE, Look
from docgen.network import EARTH, SOURCE, Element, Kind, Network, contact_at, contact_path, modes
from docgen.provenance import Path
from docgen.quantity import Quantity

LOW_VOLTAGE = "low_voltage"
NONE = 1e-6
"""Resistance in Ω of what has none: small against everything else, and not too small for the arithmetic."""
CROSSING = Band(NONE, 10e-3, 10e-3)
"""Resistance in Ω of a connector position; no field gives it."""
CROSSING_ORIGIN = "assumed: at most 10 mΩ for a connector position"


@dataclass(frozen=True, slots=True)
class Piece:
    """A fuse, contact, connector position or stretch of wire between two nodes; a stretch belongs to the element that it leads to or from."""

    group: str
    element: Element
    start: int
    end: int
    ohms: Band
    named: str


@dataclass(frozen=True, slots=True)
class Winding:
    """A coil that is a resistance, in Ω at 20 °C, and its highest temperature in °C."""

    ohms: Band
    hottest: float

    @property
    def anywhere(self) -> Band:
        """Between cold and hottest."""
        return Band(self.ohms.low * _copper(COLD), self.ohms.nominal, self.ohms.high * _copper(self.hottest))

    @property
    def hot(self) -> Band:
        """At its highest temperature, where it needs the highest voltage."""
        return Band(self.ohms.low * _copper(self.hottest), self.ohms.nominal, self.ohms.high * _copper(self.hottest))


Load = Winding | Band
"""A winding, or the current in A that an economised coil draws while held."""


@dataclass(frozen=True, slots=True)
class Drive:
    """A coil of the loop: where it lies, and what it is while it picks up and while it is held."""

    element: Element
    start: int
    end: int
    picking_up: Load | Missing
    held: Load | Missing


@dataclass(frozen=True, slots=True)
class Situation:
    """A state of the healthy car in which the loop carries current: the contacts that are closed, the coils that pick up, the coils held."""

    name: str
    """When it is: “when precharging begins”, “while active”."""
    mode: str
    """Empty where the car has one mode only."""
    phase: str
    begins: bool
    closed: frozenset[Element]
    picking_up: frozenset[Element]
    held: frozenset[Element]

    @property
    def title(self) -> str:
        return f"{self.name} in {self.mode} running" if self.mode else self.name

    @property
    def fed(self) -> frozenset[Element]:
        """The coils that carry current."""
        return self.picking_up | self.held


@dataclass(frozen=True, eq=False)
class Circuit:
    """The loop, ready to be solved where nothing is missing; equal only to itself."""

    graph: Network
    source: Given | Missing
    inner: Given | Missing
    pieces: tuple[Piece, ...]
    coils: Mapping[Element, Drive]
    missing: tuple[Missing, ...]
    """What is not known of the source and of the line; each coil says it of itself."""
    impossible: str
    situations: tuple[Situation, ...]

    @cached_property
    def ways(self) -> dict[Element, frozenset[Element]]:
        """Coil -> itself, and everything that its current can meet before and after it."""
        return {coil: self.graph.before(coil) | self.graph.after(coil) | {coil} for coil in self.coils}

    @property
    def lacking(self) -> tuple[Missing, ...]:
        """Everything that has to be known before anything can be solved: of the source, of the line, of the coils that ever carry current."""
        loads = (self.load(situation, coil) for situation in self.situations for coil in self.coils if coil in situation.fed)
        return tuple(dict.fromkeys((*self.missing, *(load for load in loads if isinstance(load, Missing)))))

    def load(self, situation: Situation, coil: Element) -> Load | Missing:
        """What a coil is in a situation."""
        return self.coils[coil].picking_up if coil in situation.picking_up else self.coils[coil].held


@dataclass(frozen=True)
class Flow:
    """What flows in a situation, with every tolerance at one corner."""

    circuit: Circuit
    volts: Mapping[int, float]
    resistors: Mapping[Piece, Resistor]
    inner: Resistor
    windings: Mapping[Element, Resistor]
    draws: Mapping[Element, Draw]

    @property
    def loop(self) -> float:
        """Current in A that the source gives."""
        return (self.volts[self.inner.start] - self.volts[self.inner.end]) / self.inner.ohms

    def across(self, coil: Element) -> float:
        """Voltage in V at a coil; 0 where the line brings none."""
        drive = self.circuit.coils[coil]
        return max(0.0, self.volts.get(drive.start, 0.0) - self.volts.get(drive.end, 0.0))

    @cached_property
    def amperes(self) -> dict[Piece, float]:
        """Current in A through every piece that conducts."""
        return {
            piece: (self.volts[resistor.start] - self.volts[resistor.end]) / resistor.ohms
            for piece, resistor in self.resistors.items()
            if resistor.start in self.volts and resistor.end in self.volts
        }

    @cached_property
    def through(self) -> dict[Element, float]:
        """Current in A through every fuse, contact and connector position that conducts."""
        return {piece.element: amperes for piece, amperes in self.amperes.items() if piece.group != "wires"}

    @property
    def drawn(self) -> dict[Element, float]:
        """Current in A of every coil that is fed."""
        return {coil: self.across(coil) / winding.ohms for coil, winding in self.windings.items()} | {coil: draw.amperes for coil, draw in self.draws.items()}


# ── What flows ─────────────────────────────────────────────────────────────────────────────────────────────────────────

End = Literal["low", "nominal", "high"]
_OPPOSITE: dict[End, End] = {"low": "high", "nominal": "nominal", "high": "low"}
_EMF = -1
"""Node of the ideal source behind its inner resistance."""


def loop_current(circuit: Circuit, situation: Situation) -> tuple[Flow, Flow, Flow]:
    """The situation with the smallest, the nominal and the largest current of the loop."""
    least = _flow(circuit, situation, "low", "low", lambda element: "high", lambda winding: winding.anywhere.high)
    most = _flow(circuit, situation, "high", "high", lambda element: "low", lambda winding: winding.anywhere.low)
    return least, nominal(circuit, situation), most


def sagging(circuit: Circuit, situation: Situation) -> Flow:
    """The situation with everything against every coil at once: lowest source, highest line, cold coils."""
    return _flow(circuit, situation, "low", "high", lambda element: "high", lambda winding: winding.anywhere.low)


def nominal(circuit: Circuit, situation: Situation) -> Flow:
    """The situation with everything as stated."""
    return _flow(circuit, situation, "nominal", "nominal", lambda element: "nominal", lambda winding: winding.ohms.nominal)


def lowest_at(circuit: Circuit, situation: Situation, coil: Element) -> Flow:
    """The situation with the lowest voltage at a coil.

    The source at its lowest, the way of the coil at the highest resistance and everything beside it at the lowest, the other coils cold
    and the coil itself at its highest temperature, where it needs the most.
    """
    way = circuit.ways[coil]
    own = circuit.load(situation, coil)
    return _flow(
        circuit, situation, "low", "high", lambda element: "high" if element in way else "low",
        lambda winding: winding.hot.low if winding is own else winding.anywhere.low,
    )  # fmt: skip


def highest_at(circuit: Circuit, situation: Situation, coil: Element) -> Flow:
    """The situation with the highest voltage at a coil: the opposite corner."""
    way = circuit.ways[coil]
    return _flow(circuit, situation, "high", "low", lambda element: "low" if element in way else "high", lambda winding: winding.anywhere.high)


def _flow(circuit: Circuit, situation: Situation, source: End, held: End, line: Callable[[Element], End], coil: Callable[[Winding], float]) -> Flow:
    """One corner: which end of the source and of the hold currents, which end of each piece of the line, and the resistance of each winding.

    The inner resistance is high where the source is low.
    """
    assert isinstance(circuit.source, Given) and isinstance(circuit.inner, Given)
    terminal = Resistor(_EMF, SOURCE, max(NONE, getattr(circuit.inner.band, _OPPOSITE[source])))
    resistors = {
        piece: Resistor(piece.start, piece.end, getattr(piece.ohms, line(piece.element)))
        for piece in circuit.pieces
        if _conducts(piece.element, situation)
    }
    windings: dict[Element, Resistor] = {}
    draws: dict[Element, Draw] = {}
    for element, drive in circuit.coils.items():
        if element in situation.fed:
            load = circuit.load(situation, element)
            if isinstance(load, Winding):
                windings[element] = Resistor(drive.start, drive.end, coil(load))
            elif isinstance(load, Band):
                draws[element] = Draw(drive.start, drive.end, getattr(load, held))
    solved = solve([terminal, *resistors.values(), *windings.values()], _EMF, EARTH, getattr(circuit.source.band, source), tuple(draws.values()))
    return Flow(circuit, solved.volts, resistors, terminal, windings, draws)


def _conducts(element: Element, situation: Situation) -> bool:
    if element.kind is Kind.CONTACT:
        return element in situation.closed
    return element.kind is not Kind.COIL or element in situation.fed


def _copper(temperature: float) -> float:
    return temperature_factor(temperature=max(COLD, min(temperature, HOTTEST)))


# ── The situations ─────────────────────────────────────────────────────────────────────────────────────────────────────


_BEGINS = {"off": "when low voltage comes on", "precharging": "when precharging begins", "active": "when active begins"}
_LASTS = {"off": "while off", "precharging": "while precharging", "active": "while active"}


def _situations(look: Look, graph: Network) -> Iterator[Situation]:
    """In the order in which they come: start buttons pressed one by one, then each phase as it begins and as it stays."""
    driven = modes(look.car)
    seen: set[tuple[frozenset[Element], frozenset[Element], str]] = set()
    contacts = graph.of_kind(Kind.CONTACT)
    for mode in driven:
        named = mode if len(driven) > 1 else ""
        before: frozenset[Element] = frozenset()
        for phase in PHASES:
            shut = look.closed_in(phase, mode)
            closed = frozenset(element for element in contacts if shut(element))
            fed = look.energised[graph.loop, phase, mode]
            found = [Situation(_BEGINS[phase], named, phase, True, closed, fed - before, fed & before)] if fed - before else []
            found += [Situation(_LASTS[phase], named, phase, False, closed, frozenset(), fed)] if fed else []
            if phase == "off":
                found += list(_pressed(look, graph, named, closed, fed))
            for situation in found:
                key = (situation.closed, situation.picking_up, situation.name)
                if key not in seen:
                    seen.add(key)
                    yield situation
            before = fed


def _pressed(look: Look, graph: Network, mode: str, closed: frozenset[Element], fed: frozenset[Element]) -> Iterator[Situation]:
    """A start button pressed while nothing that it starts has moved yet."""
    for button in look.in_loop(graph, "start button"):
        if button not in closed:
            shut = closed | {button}
            now = graph.energised(lambda element, shut=shut: element in shut)  # type: ignore[misc]
            if now - fed:
                yield Situation(f"while {button.spelled} is pressed", mode, "off", True, shut, now - fed, now & fed)


# ── The circuit ────────────────────────────────────────────────────────────────────────────────────────────────────────


@lru_cache(maxsize=4)
def drive_circuit(look: Look) -> Circuit | None:
    """The drive loop as a circuit; None where no drive loop is described."""
    graph = look.networks.get(DRIVE)
    return _Builder(look, graph).circuit() if graph is not None else None


class _Builder:
    """Lays pieces and stretches between numbered nodes."""

    def __init__(self, look: Look, graph: Network) -> None:
        self.look, self.graph = look, graph
        self.loop: Loop = look.car.loops[graph.loop]
        self.nodes = graph.nodes
        self.pieces: list[Piece] = []
        self.coils: dict[Element, Drive] = {}
        self.missing: dict[Missing, None] = {}
        self.impossible = ""
        self.written = {tuple(_bare(end) for end in key.split(">")): (key, wire) for key, wire in self.loop.wires.items() if ">" in key}
        self.entering: dict[int, list[Element]] = {}
        self.leaving: dict[int, list[Element]] = {}
        for element in graph.elements:
            self.entering.setdefault(element.end, []).append(element)
            self.leaving.setdefault(element.start, []).append(element)

    def circuit(self) -> Circuit:
        source, inner = self._source()
        for value in (source, inner):
            if isinstance(value, Missing):
                self.missing[value] = None
        for element in self.graph.elements:
            self._lay(element)
        situations = tuple(_situations(self.look, self.graph))
        return Circuit(self.graph, source, inner, tuple(self.pieces), self.coils, tuple(self.missing), self.impossible, situations)

    def _source(self) -> tuple[Given | Missing, Given | Missing]:
        path: Path = (LOW_VOLTAGE, "source")
        if self.loop.source not in (None, LOW_VOLTAGE):
            missing = Missing(f"voltage and resistance of the source {self.loop.source}", ("loops", self.graph.loop, "source"))
            return missing, missing
        low = self.look.car.low_voltage
        source = low.source if isinstance(low, LowVoltage) else low
        described = source if isinstance(source, Source) else Source()
        voltage = described.voltage if isinstance(described.voltage, SourceVoltage) else SourceVoltage()
        ends = [reading("U", f"{which} voltage of the source", getattr(voltage, which), (*path, "voltage", which)) for which in ("lowest", "nominal", "highest")]
        inner = reading("R_i", "internal resistance of the source", described.resistance, (*path, "resistance"))
        bands = [end.band for end in ends if isinstance(end, Given)]
        if len(bands) < 3:
            return next(end for end in ends if isinstance(end, Missing)), inner
        band = Band(bands[0].low, bands[1].nominal, bands[2].high)
        if not band.low <= band.nominal <= band.high:
            self.impossible = f"the source has {band.low:g} V at the lowest, {band.nominal:g} V nominally and {band.high:g} V at the highest"
        return Given("U", "voltage of the source, lowest to highest", band, "V", (*path, "voltage")), inner

    def _lay(self, element: Element) -> None:
        """The element with its stretches: one from what it follows; where ways join, one from its end to what follows."""
        start, end = element.start, element.end
        if len(self.entering.get(start, ())) <= 1 or len(self.leaving[start]) > 1:
            before = self.entering.get(start, [])
            start = self._new()
            self._stretch(element, element.start, start, before[0] if len(before) == 1 else None, element)
        if element.end == EARTH or len(self.entering[end]) > 1:
            after = self.leaving.get(end, [])
            end = self._new()
            self._stretch(element, end, element.end, element, after[0] if len(after) == 1 else None)
        if element.kind is Kind.COIL:
            self.coils[element] = self._coil(element, start, end)
        else:
            group, ohms = self._ohms(element)
            if isinstance(ohms, Missing):
                self.missing[ohms] = None
            else:
                self.pieces.append(Piece(group, element, start, end, ohms, element.spelled))

    def _new(self) -> int:
        self.nodes += 1
        return self.nodes - 1

    def _ohms(self, element: Element) -> tuple[str, Band | Missing]:
        match element.kind:
            case Kind.CROSSING:
                return "crossings", CROSSING
            case Kind.WIRE:
                return "wires", Band.exactly(NONE)
            case Kind.FUSE:
                low = self.look.car.low_voltage
                fuse = low.fuses.get(element.name) if isinstance(low, LowVoltage) else None
                given = reading("R", f"resistance of the fuse {element.name}", fuse.resistance if fuse else None, (LOW_VOLTAGE, "fuses", element.name, "resistance"))
                return "fuses", given.band if isinstance(given, Given) else given
            case _:
                device, contact = self.look.car.devices.get(element.name), contact_at(self.look.car, element)
                place = (*contact_path(device, element.name, element.contact), "resistance") if device and contact else ("devices", element.name)
                given = reading("R", f"contact resistance of {element.spelled}", contact.resistance if contact else None, place)
                return "contacts", given if isinstance(given, Missing) else Band(NONE, max(NONE, given.band.nominal), max(NONE, given.band.high))

    def _stretch(self, owner: Element, start: int, end: int, before: Element | None, after: Element | None) -> None:
        named = f"{before.spelled if before else 'source'} > {after.spelled if after else self.graph.ends_at or 'return'}"
        ohms = self._wire(before, after)
        if isinstance(ohms, Missing):
            self.missing[ohms] = None
        else:
            self.pieces.append(Piece("wires", owner, start, end, ohms, named))

    def _wire(self, before: Element | None, after: Element | None) -> Band | Missing:
        key, wire = self.found(before, after)
        place: Path = ("loops", self.graph.loop, "wires")
        fields = {}
        for name in ("size", "length", "insulation"):
            value = getattr(wire, name, None)
            where, value = (key, value) if value is not None else ("default", getattr(self.loop.wires.get("default"), name, None))
            if not isinstance(value, Quantity):
                because = f" ({value})" if isinstance(value, Unknown) else ""
                return Missing(f"{name} of the wires of the loop, {where}{because}", (*place, where, name))
            fields[name] = value
        band = stretch(fields["size"], fields["length"], fields["insulation"])
        return Band(max(NONE, band.low), max(NONE, band.nominal), max(NONE, band.high))

    def found(self, before: Element | None, after: Element | None) -> tuple[str, Wire | None]:
        """The stretch written for two neighbours, with its key, or the default."""
        for start in _spellings(before, "source"):
            for end in _spellings(after, self.graph.ends_at or "return"):
                if (start, end) in self.written:
                    return self.written[start, end]
        return "default", self.loop.wires.get("default")

    def _coil(self, element: Element, start: int, end: int) -> Drive:
        device = self.look.car.devices.get(element.name)
        coil = device.coil if device else None
        path: Path = ("devices", element.name, "coil")
        if not isinstance(coil, Coil):
            missing = Missing(f"coil of {element.name}", path)
            return Drive(element, start, end, missing, missing)
        picking_up, held = _loads(element.name, coil, path)
        return Drive(element, start, end, picking_up, held)


def _loads(name: str, coil: Coil, path: Path) -> tuple[Load | Missing, Load | Missing]:
    """What a coil is while it picks up and while it is held."""
    economised = coil.economiser in ("built in", "external") or (coil.economiser is None and isinstance(coil.inrush, tuple))
    hottest = reading("T", f"highest temperature of the coil of {name}", coil.hottest, (*path, "hottest"))
    inrush = reading("I_0", f"inrush of the coil of {name}", coil.inrush[0] if isinstance(coil.inrush, tuple) else coil.inrush, (*path, "inrush"))
    winding = reading("R", f"resistance of the coil of {name}", coil.resistance, (*path, "resistance"))
    if economised:
        pulled = winding if isinstance(winding, Given) and isinstance(inrush, Missing) else _over(_rated(name, coil, path), inrush)
        hold = reading("I_h", f"hold current of the coil of {name}", coil.hold, (*path, "hold"))
        return _winding(pulled, hottest), hold.band if isinstance(hold, Given) else hold
    steady = _winding(steady_resistance(name, coil, path), hottest)
    return _winding(_over(_rated(name, coil, path), inrush), hottest) if isinstance(inrush, Given) else steady, steady


def steady_resistance(name: str, coil: Coil, path: Path) -> Given | Missing:
    """The resistance of a coil in Ω at 20 °C; where it is not said, its rated voltage over its hold current."""
    described = reading("R", f"resistance of the coil of {name}", coil.resistance, (*path, "resistance"))
    if coil.resistance is None and coil.hold is not None:
        return _over(_rated(name, coil, path), reading("I_h", f"hold current of the coil of {name}", coil.hold, (*path, "hold")))
    return described


def _rated(name: str, coil: Coil, path: Path) -> Given | Missing:
    return reading("U_n", f"rated voltage of the coil of {name}", coil.voltage, (*path, "voltage"))


def _over(volts: Given | Missing, amperes: Given | Missing) -> Given | Missing:
    if isinstance(volts, Missing) or isinstance(amperes, Missing):
        return volts if isinstance(volts, Missing) else amperes
    u, i = volts.band, amperes.band
    return Given("R", "rated voltage over current", Band(u.low / i.high, u.nominal / i.nominal, u.high / i.low), "Ω", amperes.origin)


def _winding(ohms: Given | Missing, hottest: Given | Missing) -> Winding | Missing:
    if isinstance(ohms, Missing):
        return ohms
    return hottest if isinstance(hottest, Missing) else Winding(ohms.band, hottest.band.high)


def _bare(end: str) -> str:
    return re.sub(r"^(?:fuse|through|coil)\s+", "", " ".join(end.split()))


def _spellings(element: Element | None, end: str) -> tuple[str, ...]:
    """The names under which an element may stand in a stretch: with its contact, and as in a step that leaves the contact out."""
    if element is None:
        return (end,)
    return tuple(dict.fromkeys((element.spelled, f"{element.name} {element.corner}".strip())))
