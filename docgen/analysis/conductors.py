"""Conductors in numbers: current against what they bear, fuse against the wires of the loops, voltage drop, short-circuit current.

What a conductor bears is taken from a published table: below 4 mm² in a large bundle (FAA AC 43.13-1B), from there to 16 mm² three loaded
cores in a conduit (IEC 60364-5-52, method B2); both are carried over to the insulation and to the air in the car by the heat balance. A
conductor of another size has no table here and is held against its stated rating alone.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from docgen.analysis.copper import HOTTEST, largest
from docgen.analysis.fields import against, as_stated, constant, reading, system_voltage
from docgen.analysis.intermediate import ACCUMULATORS, tractive
from docgen.analysis.loop_described import LOW_VOLTAGE, inner_resistance, low_voltage, source_voltage
from docgen.analysis.stretches import DEFAULT, said, stretches
from docgen.calc.formula import Band
from docgen.calc.wire import (
    BUNDLE_AMBIENT,
    BUNDLE_INSULATIONS,
    CONDUIT_AMBIENT,
    CONDUIT_INSULATION,
    area_gauge,
    bundle_current,
    conduit_current,
    gauge_area,
    heating_let_through,
    loading,
    placed_current,
    short_circuit_current,
    stranded_resistance,
    voltage_drop,
)
from docgen.calculation import Bound, Calculation, Given, Missing, computed, result_as
from docgen.car.wiring import Conductor, Fuse, Wiring
from docgen.look import Look
from docgen.network import SOURCE, Element, Kind, Network, contact_at, contact_path
from docgen.provenance import Path
from docgen.quantity import Quantity

DEFAULT_AMBIENT = constant("T_a", "air around it", 60.0, "°C", "assumed: air inside the bodywork on a hot day")
"""Air around a conductor where no field gives it."""
DROP = 0.05
"""Largest voltage drop, as a share of the nominal voltage."""
_DROP_PROSE = "On its one way. A twentieth is the practice on machines (Moog DS2100 user manual, p. 2-12, after EN 60204-1)."
BUNDLED = "in a bundle of 33 or more wires, of whose current a fifth flows, at 60,000 ft: FAA AC 43.13-1B CHG 1, table 11-9"
HEATED = ((105.0, 160.0), (180.0, 250.0), (HOTTEST, 350.0))
"""Rating of an insulation up to which it may reach what temperature in a short circuit, in °C."""
HEATED_ORIGIN = "IEC 60724, short-circuit temperatures of thermoplastic, cross-linked and silicone insulation (from memory)"
CONDUITED = "three loaded cores in a conduit: IEC 60364-5-52, method B2, as in compressor instruction book 2920 7109 60, p. 190"


def conductors(look: Look) -> Iterator[Calculation]:
    """Every figure of the described conductors, of the wires of the loops, and of the fuses behind the low-voltage source."""
    wiring = look.car.wiring if isinstance(look.car.wiring, Wiring) else Wiring()
    for name, conductor in wiring.conductors.items():
        yield from _conductor(look, name, conductor)
    for name, graph in look.networks.items():
        yield from _loop_wires(look, name, graph)
        yield from _loop_contacts(look, graph)
    yield from _short_circuits(look)


# ── Described conductors ───────────────────────────────────────────────────────────────────────────────────────────────


def _conductor(look: Look, name: str, conductor: Conductor) -> Iterator[Calculation]:
    path: Path = ("wiring", "conductors", name)
    current = reading("I", f"current of {name}", conductor.current, (*path, "current"))
    yield computed(
        "conductor-load", f"Current of {name} as a share of its stated rating", (*path, "current"), loading,
        {"current": current, "permissible": reading("I_z", f"permissible current of {name}", conductor.rating, (*path, "rating"))},
        Bound("at most", 1.0, words="all of the rating"), "How much of what it is said to bear the conductor carries.",
    )  # fmt: skip
    area = reading("A", f"cross-section of {name}", conductor.size, (*path, "size"))
    rated = _insulation(name, conductor.insulation, (*path, "insulation"))
    guard = _Guard.of(look, conductor.protected_by)
    if table := _table(area, rated):
        if table.formula is bundle_current and isinstance(conductor.size, Quantity) and not conductor.size.text.startswith("AWG"):
            prose = "The table goes by gauges; between two of them the thinner one counts."
            yield computed("conductor-gauge", f"Gauge of {name}", (*path, "size"), area_gauge, {"area": area}, prose=prose)
        ambient = DEFAULT_AMBIENT if conductor.ambient is None else reading("T_a", f"air around {name}", conductor.ambient, (*path, "ambient"))
        listed, borne = table.borne("permissible-current", name, area, rated, ambient, (*path, "size"))
        yield listed
        yield against(borne, "at least", current, f"the current of {name}")
        if guard:
            title, prose = f"Permissible current of {name} against its fuse", "Up to its rating the fuse never opens."
            protected = replace(borne, slug="conductor-protection", title=title, about=(*path, "protected_by"), prose=prose)
            yield against(protected, "at least", guard.rating, f"rated current of {guard.name}")
    if guard:
        yield _guarded(guard, name, path, current)
        yield from _heated(guard, name, area, rated, (*path, "size"))
    length = reading("l", f"length of {name}", conductor.length, (*path, "length"))
    formula = largest(conductor.size) if isinstance(conductor.size, Quantity) else stranded_resistance
    ohms = computed(
        "conductor-resistance", f"Resistance of {name}", (*path, "size"), formula, {"area": area, "length": length, "temperature": rated},
        prose="The most it may have, the copper as hot as its insulation allows.",
    )  # fmt: skip
    yield ohms
    drop = computed(
        "conductor-drop", f"Voltage drop of {name}", (*path, "length"), voltage_drop,
        {"current": current, "resistance": result_as(ohms, "R", "resistance, copper hot")}, prose=_DROP_PROSE,
    )  # fmt: skip
    yield against(drop, "at most", _allowed_drop(look, name, path, conductor), "a twentieth of the nominal voltage")


@dataclass(frozen=True, slots=True)
class _Guard:
    """A fuse that protects a conductor."""

    name: str
    """In words: the fuse F1."""
    fuse: Fuse
    path: Path

    @classmethod
    def of(cls, look: Look, name: object) -> "_Guard | None":
        """The low-voltage fuse of this name, or the main fuse of the accumulator of this name; None where neither is described."""
        if isinstance(name, str) and (fuse := low_voltage(look).fuses.get(name)):
            return cls(f"the fuse {name}", fuse, (LOW_VOLTAGE, "fuses", name))
        accumulator = tractive(look).accumulators.get(name) if isinstance(name, str) else None
        if accumulator and isinstance(accumulator.fuse, Fuse):
            return cls(f"the main fuse of {name}", accumulator.fuse, (*ACCUMULATORS, str(name), "fuse"))
        return None

    @property
    def rating(self) -> Given | Missing:
        return reading("I_n", f"rated current of {self.name}", self.fuse.rating, (*self.path, "rating"))


def _guarded(guard: _Guard, name: str, path: Path, current: Given | Missing) -> Calculation:
    """The current of a conductor as a share of the rating of its fuse, against the share that the fuse carries for good; all of it where none is said."""
    load = computed(
        "fuse-load", f"Current of {name} as a share of the rating of {guard.name}", (*path, "current"), loading,
        {"current": current, "permissible": guard.rating},
        prose="How much a fuse carries for hours, where it sits, its data sheet says: as a rule less than its rating.",
    )  # fmt: skip
    if guard.fuse.carries is None:
        return replace(load, bound=Bound("at most", 1.0, words="all of the rating"))
    share = reading("k", f"share of its rating that {guard.name} carries for good", guard.fuse.carries, (*guard.path, "carries"))
    return against(load, "at most", share, f"what {guard.name} carries for good")


def _heated(guard: _Guard, name: str, area: Given | Missing, rated: Given | Missing, about: Path) -> Iterator[Calculation]:
    """The energy that a conductor bears in a short circuit, against what its fuse lets through; nothing where that is not described."""
    if guard.fuse.let_through is None:
        return
    end = next((most for rating, most in HEATED if isinstance(rated, Missing) or rated.band.low <= rating), HEATED[-1][1])
    energy = computed(
        "let-through", f"Energy I²t that {name} bears in a short circuit", about, heating_let_through,
        {"area": area, "start": rated, "end": constant("T_e", "highest temperature of the insulation in a short circuit", end, "°C", HEATED_ORIGIN)},
        prose="Begun at the temperature of its rating, with no time for heat to leave.",
    )  # fmt: skip
    through = reading("I²t", f"energy that {guard.name} lets through", guard.fuse.let_through, (*guard.path, "let_through"))
    yield against(energy, "at least", through, f"what {guard.name} lets through")


def _allowed_drop(look: Look, name: str, path: Path, conductor: Conductor) -> Given | Missing:
    """The share of the nominal voltage of its system that a conductor may lose."""
    if not isinstance(conductor.system, str):
        return Missing(f"system that {name} belongs to", (*path, "system"))
    nominal = system_voltage(look, "nominal") if conductor.system == "tractive" else source_voltage(look, "nominal")
    if isinstance(nominal, Missing):
        return nominal
    return replace(nominal, band=Band(DROP * nominal.band.low, DROP * nominal.band.nominal, DROP * nominal.band.high))


@dataclass(frozen=True, slots=True)
class _Table:
    """A published table of permissible currents, with the insulation and the air for which it holds, in °C."""

    formula: Callable[..., float]
    inputs: dict[str, Given | Missing]
    insulation: float
    air: float
    words: str

    def borne(
        self, slug: str, name: str, area: Given | Missing, rated: Given | Missing, ambient: Given | Missing, about: Path
    ) -> tuple[Calculation, Calculation]:
        """What the table lists for a conductor, and what is left of it in the car."""
        listed = computed(
            "table-current", f"Current of a table for {name}", about, self.formula, {"area": area} | self.inputs,
            prose=f"{self.words[:1].upper()}{self.words[1:]}.",
        )  # fmt: skip
        placed = computed(
            slug, f"Permissible current of {name} in the car", about, placed_current,
            {"permissible": result_as(listed, "I_0", "current in the table"), "insulation": rated,
             "ambient": ambient,
             "reference": constant("T_0", "insulation in the table", self.insulation, "°C", self.words),
             "surrounding": constant("T_a0", "air in the table", self.air, "°C", self.words)},
            prose="What the table allows, carried over to this insulation and to the air in the car.",
        )  # fmt: skip
        return listed, placed


def _table(area: Given | Missing, rated: Given | Missing) -> _Table | None:
    """The table for a size; None where no table here has it. An unknown size has the table of the small ones."""
    smallest, greatest = (area.band.low, area.band.high) if isinstance(area, Given) else (1e-6, 1e-6)
    hot = rated.band.low if isinstance(rated, Given) else BUNDLE_INSULATIONS[0]
    if gauge_area(gauge=24) / 1.001 <= smallest < 4e-6 / 1.001:
        column = max((column for column in BUNDLE_INSULATIONS if column <= hot), default=BUNDLE_INSULATIONS[0])
        chosen = constant("T_0", "column of the table", column, "°C", BUNDLED)
        return _Table(bundle_current, {"insulation": chosen}, column, BUNDLE_AMBIENT, BUNDLED)
    if smallest >= 4e-6 / 1.001 and greatest < 25e-6:
        return _Table(conduit_current, {}, CONDUIT_INSULATION, CONDUIT_AMBIENT, CONDUITED)
    return None


def _insulation(name: str, value: object, origin: Path) -> Given | Missing:
    """The rating of an insulation, at most the temperature up to which the law of copper is taken."""
    rated = reading("T", f"temperature rating of the insulation of {name}", value, origin)
    if isinstance(rated, Missing):
        return rated
    return replace(rated, band=Band(*(min(end, HOTTEST) for end in (rated.band.low, rated.band.nominal, rated.band.high))))


# ── Wires of the loops ─────────────────────────────────────────────────────────────────────────────────────────────────


def _loop_wires(look: Look, name: str, graph: Network) -> Iterator[Calculation]:
    """What each described wire of a loop bears, against the largest fuse before one of its stretches."""
    loop, fuses = look.car.loops[name], low_voltage(look).fuses
    guards = _guards(graph)
    guarded: dict[str, dict[str, None]] = {}
    for piece in stretches(loop, graph):
        guard = guards.get(piece.owner.start if piece.at_start else piece.owner.end)
        if guard is not None:
            guarded.setdefault(piece.key, {})[guard] = None
    for key, names in guarded.items():
        if key not in loop.wires:
            continue
        place: Path = ("loops", name, "wires", key)
        where, size = said(loop, key, "size")
        area = reading("A", f"cross-section of the wires {key}", size, ("loops", name, "wires", where, "size"))
        where, insulation = said(loop, key, "insulation")
        rated = _insulation(f"the wires {key}", insulation, ("loops", name, "wires", where, "insulation"))
        ratings = {
            fuse: reading("I_n", f"rated current of the fuse {fuse}", fuses.get(fuse, Fuse()).rating, (LOW_VOLTAGE, "fuses", fuse, "rating"))
            for fuse in names
        }
        strongest = max(ratings, key=lambda fuse: known.band.high if isinstance(known := ratings[fuse], Given) else float("inf"))
        if table := _table(area, rated):
            wires = f"the {'default wires' if key == DEFAULT else f'wires {key}'} of the loop {name}"
            listed, borne = table.borne("loop-wire-current", wires, area, rated, DEFAULT_AMBIENT, place)
            yield listed
            yield against(borne, "at least", ratings[strongest], f"rated current of the fuse {strongest}")
        if guarding := _Guard.of(look, strongest):
            yield from _heated(guarding, f"the wires {key} of the loop {name}", area, rated, place)


def _loop_contacts(look: Look, graph: Network) -> Iterator[Calculation]:
    """The rating of each fuse of a loop against the weakest contact of the line behind it, which every coil is fed through."""
    coils, guards = graph.of_kind(Kind.COIL), _guards(graph)
    line: frozenset[Element] = frozenset.intersection(*(graph.before(coil) for coil in coils)) if coils else frozenset()
    behind: dict[str, dict[str, Given | Missing]] = {}
    for element in graph.of_kind(Kind.CONTACT):
        device, contact = look.car.devices.get(element.name), contact_at(look.car, element)
        if element in line and element.start in guards and device and contact:
            rating = contact.rating[1] if isinstance(contact.rating, tuple) else contact.rating
            place = (*contact_path(device, element.name, element.contact), "rating")
            behind.setdefault(guards[element.start], {})[element.spelled] = reading("I_n", f"rated current of {element.spelled}", rating, place)
    for fuse, contacts in behind.items():
        path: Path = (LOW_VOLTAGE, "fuses", fuse, "rating")
        rated = reading("I_n", f"rated current of the fuse {fuse}", low_voltage(look).fuses.get(fuse, Fuse()).rating, path)
        known = {name: rating for name, rating in contacts.items() if isinstance(rating, Given)}
        weakest = min(known, key=lambda name: known[name].band.low, default="")
        prose = "What the fuse lets through for good, the contacts have to bear."
        figure = as_stated("loop-fuse-rating", f"Rating of the fuse {fuse} of the loop {graph.loop}", path, rated, None, prose)
        unknown = next((rating for rating in contacts.values() if isinstance(rating, Missing)), None)
        broken = isinstance(rated, Given) and weakest and rated.band.high > known[weakest].band.low
        bearing = known[weakest] if broken or unknown is None else unknown
        yield against(figure, "at most", bearing, f"rated current of {weakest}, the weakest contact behind it")


def _guards(graph: Network) -> dict[int, str]:
    """Node -> the last fuse that the current has met before it; nodes before any fuse have none."""
    leaving: dict[int, list[tuple[int, str]]] = {}
    for element in graph.elements:
        leaving.setdefault(element.start, []).append((element.end, element.name if element.kind is Kind.FUSE else ""))
    found: dict[int, str] = {}
    waiting, seen = [SOURCE], {SOURCE}
    while waiting:
        node = waiting.pop()
        for there, fuse in leaving.get(node, ()):
            guard = fuse or found.get(node)
            if there not in seen:
                seen.add(there)
                waiting.append(there)
                if guard:
                    found[there] = guard
    return found


# ── Short circuit ──────────────────────────────────────────────────────────────────────────────────────────────────────


def _short_circuits(look: Look) -> Iterator[Calculation]:
    """The most that the low-voltage source can give, against the breaking capacity of each fuse that it feeds."""
    fuses = low_voltage(look).fuses
    for name in fed_by_source(look):
        place: Path = (LOW_VOLTAGE, "fuses", name, "breaking_capacity")
        figure = computed(
            "short-circuit-current", f"Short-circuit current at the fuse {name}", place, short_circuit_current,
            {"voltage": source_voltage(look, "highest"), "resistance": inner_resistance(look)},
            prose="Behind the source alone, as if no wire and no contact lay between.",
        )  # fmt: skip
        capacity = reading("I_b", f"breaking capacity of the fuse {name}", fuses[name].breaking_capacity, place)
        yield against(figure, "below", capacity, f"breaking capacity of the fuse {name}")


def fed_by_source(look: Look) -> tuple[str, ...]:
    """The described fuses that the low-voltage source feeds: in its loops, and in feeds that begin at it or at a part of such a loop."""
    described = low_voltage(look)
    graphs = [graph for name, graph in look.networks.items() if look.car.loops[name].source in (None, LOW_VOLTAGE)]
    found = dict.fromkeys(element.name for graph in graphs for element in graph.of_kind(Kind.FUSE))
    begins = {LOW_VOLTAGE} | {element.name for graph in graphs for element in graph.elements}
    following: dict[object, list[str]] = {}
    for name, feed in described.feeds.items():
        following.setdefault(feed.start, []).append(name)
    waiting = [name for start, names in following.items() if start in begins for name in names]
    seen = set(waiting)
    while waiting:
        name = waiting.pop()
        feed = described.feeds[name]
        if isinstance(feed.through, str):
            found[feed.through] = None
        waiting += [other for other in following.get(name, ()) if other not in seen]
        seen.update(following.get(name, ()))
    return tuple(name for name in described.fuses if name in found)
