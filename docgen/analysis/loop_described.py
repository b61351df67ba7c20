"""The loops of a description as circuits, and the situations in which they carry current.

The current meets fuses, contacts, connector positions and wires, and coils at the end of the branches. A plain coil is a resistance; so is
an economised one while it picks up, its rated voltage over its inrush. Held, an economised coil draws its hold current, whatever the
voltage. The chassis counts as no resistance. A loop that hangs on a feed has the voltage that is stated for the feed where the loop begins.
"""

from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Literal

from docgen.analysis.copper import stretch
from docgen.analysis.fields import constant, reading
from docgen.analysis.loop_circuit import NONE, Circuit, Drive, Load, Piece, Situation, Winding
from docgen.analysis.stretches import Stretch, said, stretches
from docgen.calc.formula import Band
from docgen.calculation import Given, Missing
from docgen.car.contact import PHASES
from docgen.car.device import Coil
from docgen.car.loop import Loop
from docgen.car.values import Unknown
from docgen.car.wiring import Feed, Fuse, LowVoltage, Source, SourceVoltage
from docgen.look import DRIVE, Look
from docgen.network import Element, Kind, Network, contact_at, contact_path, modes
from docgen.provenance import Path
from docgen.quantity import Quantity

LOW_VOLTAGE = "low_voltage"
CROSSING = Band(NONE, 10e-3, 10e-3)
"""Resistance in Ω of a connector position; no field gives it."""
CROSSING_ORIGIN = "assumed: at most 10 mΩ for a connector position"
SUPPLY_ORIGIN = "assumed: a supply keeps the voltage that is stated for it, its tolerance included, where the loop begins"


@lru_cache(maxsize=4)
def circuits(look: Look) -> Mapping[str, Circuit]:
    """Every described loop as a circuit, by name; a loop without coils carries no current and is none."""
    return {name: _Builder(look, graph).circuit() for name, graph in look.networks.items() if graph.of_kind(Kind.COIL)}


def is_home(look: Look, graph: Network, element: Element) -> bool:
    """Whether what is computed of an element in a loop is told at the element's own field.

    In the drive loop, and where the element stands in no other; in a further loop the step is the place, so that no place has two figures.
    """
    others = (other for name, other in look.networks.items() if name != graph.loop)
    return graph.loop == DRIVE or not any(_is_same(element, found) for other in others for found in other.elements)


def _is_same(one: Element, other: Element) -> bool:
    return (one.kind, one.name, one.contact) == (other.kind, other.name, other.contact)


def supply_of(look: Look, loop: str) -> tuple[Given | Missing, Given | Missing, str]:
    """Voltage and internal resistance of what supplies a loop; in words, why the voltages cannot be."""
    named = look.car.loops[loop].source
    if named in (None, LOW_VOLTAGE):
        return low_voltage_supply(look)
    if isinstance(named, Unknown):
        missing = Missing(f"source of the loop {loop} ({named})", ("loops", loop, "source"))
        return missing, missing, ""
    return *_feed_supply(look, loop, str(named)), ""


def low_voltage_supply(look: Look) -> tuple[Given | Missing, Given | Missing, str]:
    """Voltage and internal resistance of the low-voltage source; in words, why the voltages cannot be."""
    inner, ends = inner_resistance(look), [source_voltage(look, which) for which in ("lowest", "nominal", "highest")]
    bands = [end.band for end in ends if isinstance(end, Given)]
    if len(bands) < len(ends):
        return next(end for end in ends if isinstance(end, Missing)), inner, ""
    band = Band(bands[0].low, bands[1].nominal, bands[2].high)
    supply = Given("U", "voltage of the low-voltage source", band, "V", (LOW_VOLTAGE, "source", "voltage"))
    disordered = f"the source has {band.low:g} V at the lowest, {band.nominal:g} V nominally and {band.high:g} V at the highest"
    return supply, inner, "" if band.low <= band.nominal <= band.high else disordered


def _feed_supply(look: Look, loop: str, name: str) -> tuple[Given | Missing, Given | Missing]:
    feed = low_voltage(look).feeds.get(name)
    place: Path = (LOW_VOLTAGE, "feeds", name, "voltage") if feed else ("loops", loop, "source")
    voltage = reading("U", f"voltage of the feed {name}", feed.voltage if isinstance(feed, Feed) else None, place)
    return voltage, constant("R_i", f"internal resistance of the feed {name}", 0.0, "Ω", SUPPLY_ORIGIN)


def low_voltage(look: Look) -> LowVoltage:
    """The low-voltage system, an empty one where none is described."""
    return look.car.low_voltage if isinstance(look.car.low_voltage, LowVoltage) else LowVoltage()


def source(look: Look) -> Source:
    """The low-voltage source, an empty one where none is described."""
    described = low_voltage(look).source
    return described if isinstance(described, Source) else Source()


def source_voltage(look: Look, which: str) -> Given | Missing:
    """The lowest, nominal or highest voltage of the low-voltage source."""
    voltage = source(look).voltage
    value = getattr(voltage, which) if isinstance(voltage, SourceVoltage) else voltage
    return reading("U", f"{which} voltage of the low-voltage source", value, (LOW_VOLTAGE, "source", "voltage", which))


def inner_resistance(look: Look) -> Given | Missing:
    """The internal resistance of the low-voltage source."""
    return reading("R_i", "internal resistance of the low-voltage source", source(look).resistance, (LOW_VOLTAGE, "source", "resistance"))


_BEGINS = {"off": "when low voltage comes on", "precharging": "when precharging begins", "active": "when the tractive system becomes active"}
_LASTS = {"off": "while off", "precharging": "while precharging", "active": "while active"}


def _situations(look: Look, graph: Network) -> Iterator[Situation]:
    """In the order in which they come: start buttons pressed one by one, then each phase as it begins and as it stays."""
    driven = _modes(look, graph)
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


def _modes(look: Look, graph: Network) -> tuple[str, ...]:
    """The modes of driving between which the contacts of a loop differ; of those that are alike the first."""
    contacts = graph.of_kind(Kind.CONTACT)
    found: dict[tuple[frozenset[Element], ...], str] = {}
    for mode in modes(look.car):
        found.setdefault(tuple(frozenset(filter(look.closed_in(phase, mode), contacts)) for phase in PHASES), mode)
    return tuple(found.values())


def _pressed(look: Look, graph: Network, mode: str, closed: frozenset[Element], fed: frozenset[Element]) -> Iterator[Situation]:
    """A start button pressed while nothing that it starts has moved yet."""
    for button in look.in_loop(graph, "start button"):
        if button not in closed:
            shut = closed | {button}
            now = graph.energised(shut.__contains__)
            if now - fed:
                yield Situation(f"while {button.spelled} is pressed", mode, "off", True, shut, now - fed, now & fed)


class _Builder:
    """Lays pieces and coils between numbered nodes."""

    def __init__(self, look: Look, graph: Network) -> None:
        self.look, self.graph = look, graph
        self.loop: Loop = look.car.loops[graph.loop]
        self.nodes = graph.nodes
        self.pieces: list[Piece] = []
        self.missing: dict[Missing, None] = {}

    def circuit(self) -> Circuit:
        supply, inner, impossible = supply_of(self.look, self.graph.loop)
        for value in (supply, inner):
            if isinstance(value, Missing):
                self.missing[value] = None
        starts: dict[Element, Stretch] = {}
        ends: dict[Element, Stretch] = {}
        for piece in stretches(self.loop, self.graph):
            (starts if piece.at_start else ends)[piece.owner] = piece
        coils = {}
        for element in self.graph.elements:
            start = self._stretch(starts.get(element), element.start)
            end = self._stretch(ends.get(element), element.end)
            if element.kind is Kind.COIL:
                coils[element] = self._coil(element, start, end)
            else:
                self._keep(element, start, end)
        situations = tuple(_situations(self.look, self.graph))
        return Circuit(self.graph, supply, inner, tuple(self.pieces), coils, tuple(self.missing), impossible, situations)

    def _stretch(self, piece: Stretch | None, node: int) -> int:
        """Lay the stretch between a node and a part; the node at which the part begins or ends."""
        if piece is None:
            return node
        self.nodes += 1
        inside = self.nodes - 1
        ohms = self._wire(piece.key)
        if isinstance(ohms, Missing):
            self.missing[ohms] = None
        else:
            self.pieces.append(Piece("wires", piece.owner, *((node, inside) if piece.at_start else (inside, node)), ohms))
        return inside

    def _wire(self, key: str) -> Band | Missing:
        fields = {}
        for name in ("size", "length", "insulation"):
            where, value = said(self.loop, key, name)
            if not isinstance(value, Quantity):
                because = f" ({value})" if isinstance(value, Unknown) else ""
                return Missing(f"{name} of the wires of the loop, {where}{because}", ("loops", self.graph.loop, "wires", where, name))
            fields[name] = value
        band = stretch(fields["size"], fields["length"], fields["insulation"])
        return Band(max(NONE, band.low), max(NONE, band.nominal), max(NONE, band.high))

    def _keep(self, element: Element, start: int, end: int) -> None:
        match element.kind:
            case Kind.FUSE:
                fuse = low_voltage(self.look).fuses.get(element.name, Fuse())
                path: Path = (LOW_VOLTAGE, "fuses", element.name, "resistance")
                given = reading("R", f"resistance of the fuse {element.name}", fuse.resistance, path)
                self._lay("fuses", element, start, end, given)
            case Kind.CONTACT:
                device, contact = self.look.car.devices.get(element.name), contact_at(self.look.car, element)
                path = (*contact_path(device, element.name, element.contact), "resistance") if device else ("devices", element.name)
                given = reading("R", f"contact resistance of {element.spelled}", contact.resistance if contact else None, path)
                self._lay("contacts", element, start, end, given)
            case Kind.CROSSING:
                self.pieces.append(Piece("crossings", element, start, end, CROSSING))
            case _:
                self.pieces.append(Piece("wires", element, start, end, Band.exactly(NONE)))

    def _lay(self, group: Literal["fuses", "contacts"], element: Element, start: int, end: int, given: Given | Missing) -> None:
        """A fuse has at least its resistance; a contact has at most that of its field, and may have none."""
        if isinstance(given, Missing):
            self.missing[given] = None
            return
        band = given.band
        least = NONE if group == "contacts" else max(NONE, band.low)
        self.pieces.append(Piece(group, element, start, end, Band(least, max(NONE, band.nominal), max(NONE, band.high))))

    def _coil(self, element: Element, start: int, end: int) -> Drive:
        device = self.look.car.devices.get(element.name)
        coil = device.coil if device else None
        path: Path = ("devices", element.name, "coil")
        if not isinstance(coil, Coil):
            missing = Missing(f"coil of {element.name}", path)
            return Drive(element, start, end, missing, missing)
        return Drive(element, start, end, *_loads(element.name, coil, path))


def _loads(name: str, coil: Coil, path: Path) -> tuple[Load | Missing, Load | Missing]:
    """What a coil is while it picks up and while it is held."""
    hottest = reading("T", f"highest temperature of the coil of {name}", coil.hottest, (*path, "hottest"))
    pulled_in = coil.inrush[0] if isinstance(coil.inrush, tuple) else coil.inrush
    inrush = reading("I_0", f"inrush of the coil of {name}", pulled_in, (*path, "inrush"))
    winding = reading("R", f"resistance of the coil of {name}", coil.resistance, (*path, "resistance"))
    if is_economised(coil):
        pulled = winding if isinstance(winding, Given) and isinstance(inrush, Missing) else _over(_rated(name, coil, path), inrush)
        hold = reading("I_h", f"hold current of the coil of {name}", coil.hold, (*path, "hold"))
        return _winding(pulled, hottest), hold.band if isinstance(hold, Given) else hold
    steady = _winding(steady_resistance(name, coil, path), hottest)
    return _winding(_over(_rated(name, coil, path), inrush), hottest) if isinstance(inrush, Given) else steady, steady


def is_economised(coil: Coil) -> bool:
    """Whether electronics lower the current of a coil once it has picked up; where that is not said, an inrush says so."""
    return coil.economiser in ("built in", "external") or (coil.economiser is None and isinstance(coil.inrush, tuple))


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
