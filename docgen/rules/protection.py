"""Members, order and side: overcurrent protection of the low-voltage source, of its conductors and of the accumulators."""

from collections.abc import Callable, Iterator

from docgen.car.tractive import SystemVoltage, TractiveSystem
from docgen.car.values import Unknown
from docgen.car.wiring import Feed, Fuse, LowVoltage, Source, SourceVoltage, Wiring
from docgen.finding import Outcome, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import Look, keeps
from docgen.network import SOURCE, Element, Kind, Network
from docgen.provenance import Path
from docgen.quantity import Quantity
from docgen.rules.members import BEHIND_THE_LV_MASTER

SUBJECT = "Members, order and side"

LOW_VOLTAGE = "low_voltage"
"""The name by which loops and feeds call the low-voltage source."""


def _low_voltage(look: Look) -> LowVoltage:
    system = look.car.low_voltage
    return system if isinstance(system, LowVoltage) else LowVoltage()


def _tractive(look: Look) -> TractiveSystem:
    system = look.car.tractive_system
    return system if isinstance(system, TractiveSystem) else TractiveSystem()


def _lv_fuses(look: Look) -> Iterator[tuple[Path, str, Fuse]]:
    for name, fuse in _low_voltage(look).fuses.items():
        yield (LOW_VOLTAGE, "fuses", name), f"the fuse {name}", fuse


def _main_fuses(look: Look) -> Iterator[tuple[Path, str, Fuse]]:
    for name, accumulator in _tractive(look).accumulators.items():
        if isinstance(accumulator.fuse, Fuse):
            yield ("tractive_system", "accumulators", name, "fuse"), f"the main fuse of {name}", accumulator.fuse


def _fuses(look: Look) -> Iterator[tuple[Path, str, Fuse]]:
    """Every described fuse: path, name in messages, fuse."""
    yield from _lv_fuses(look)
    yield from _main_fuses(look)


def _first_met(look: Look, graph: Network) -> tuple[list[Element], list[Element]]:
    """The fuses that a loop begins with, and the members and coils that the current meets before any fuse."""
    members = frozenset(look.in_loop(graph, "LV master switch", *sorted(BEHIND_THE_LV_MASTER)))
    leaving: dict[int, list[Element]] = {}
    for element in graph.elements:
        leaving.setdefault(element.start, []).append(element)
    fuses: list[Element] = []
    bare: list[Element] = []
    waiting, seen = [SOURCE], {SOURCE}
    while waiting:
        for element in leaving.get(waiting.pop(), ()):
            if element.kind is Kind.FUSE:
                fuses.append(element)
            elif element in members or element.kind is Kind.COIL:
                bare.append(element)
            elif element.end not in seen and (element.kind is not Kind.CONTACT or element.name in look.car.devices):
                seen.add(element.end)
                waiting.append(element.end)
    return fuses, bare


def _begins_at_source(look: Look, graph: Network) -> bool:
    return look.car.loops[graph.loop].source in (None, LOW_VOLTAGE)


def _feeds_of_source(look: Look) -> Iterator[tuple[Path, str, Feed]]:
    for name, feed in _low_voltage(look).feeds.items():
        if feed.start == LOW_VOLTAGE:
            yield (LOW_VOLTAGE, "feeds", name), name, feed


@rule("lv-source-unprotected", SUBJECT, "lv-source-protection")
def lv_source_unprotected(look: Look) -> Iterator[Outcome]:
    """Every way out of the low-voltage source begins with overcurrent protection.

    Why: Between the battery and its fuse nothing limits the current; a chafed wire there burns the car.
    Wrong:
        loops:
          drive:
            path:
              - lv_master
              - fuse F1
              - bspd
              - ams
              - imd
              - inertia_switch
              - button_left
              - button_right
              - button_cockpit
              - over_travel_switch
              - service_link
              - any_of: [[start_button], [hold_relay.hold]]
              - ts_master
              - pack_link
              - each_to_return: [[coil air_minus], [precharge_unit.running, coil precharge_relay], [precharge_unit.done, coil air_plus], [coil hold_relay]]
    Right:
        loops: {drive: {source: low_voltage}}
    Mend: Put a fuse at the ungrounded terminal, before the LV master, and write it as the first step of the path.
    """
    graphs = [graph for graph in look.networks.values() if _begins_at_source(look, graph)]
    for graph in graphs:
        fuses, bare = _first_met(look, graph)
        if bare:
            yield finding(bare[0].step, f"{look.printed(bare[0].name)} is met before any fuse of the loop {graph.loop}", "must stand behind the overcurrent protection of the source")
        elif fuses:
            yield holds(fuses[0].step, f"the loop {graph.loop} begins with the fuse {fuses[0].name}")
        else:
            yield not_evaluated(("loops", graph.loop), f"what the loop {graph.loop} begins with is not described")
    feeds = list(_feeds_of_source(look))
    for path, name, feed in feeds:
        if isinstance(feed.through, Unknown):
            yield not_evaluated((*path, "through"), f"the fuse of the feed {name} is unknown")
        elif feed.through is None:
            yield finding((*path, "through"), f"the feed {name} leaves the source through no fuse", "must begin with overcurrent protection")
        else:
            yield holds((*path, "through"), f"the feed {name} leaves the source through {feed.through}")
    if not graphs and not feeds:
        yield not_applicable("no loop and no feed begins at the low-voltage source")


def _source_fuses(look: Look) -> dict[str, Fuse]:
    """The described fuses with which the ways out of the low-voltage source begin."""
    graphs = (graph for graph in look.networks.values() if _begins_at_source(look, graph))
    names = [element.name for graph in graphs for element in _first_met(look, graph)[0]]
    names += [feed.through for _, _, feed in _feeds_of_source(look) if isinstance(feed.through, str)]
    fuses = _low_voltage(look).fuses
    return {name: fuses[name] for name in names if name in fuses}


@rule("source-fuse-too-far", SUBJECT, "lv-source-protection")
def source_fuse_too_far(look: Look) -> Iterator[Outcome]:
    """The overcurrent protection of the low-voltage source sits close to its terminals.

    Why: The stretch before the fuse is the one that no fuse protects.
    Wrong:
        low_voltage: {fuses: {F1: {distance_from_source: 250 mm}}}
    Right:
        low_voltage: {fuses: {F1: {distance_from_source: 60 mm}}}
    Mend: Move the fuse, and give the length of conductor from the terminal to it under distance_from_source.
    """
    found = look.limit("lv-source-protection", "distance")
    if found is None:
        yield not_evaluated((LOW_VOLTAGE,), f"a limit for the distance between source and fuse was not read in {look.edition.name}")
        return
    limit, bound = found
    fuses = _source_fuses(look)
    for name, fuse in fuses.items():
        place: Path = (LOW_VOLTAGE, "fuses", name, "distance_from_source")
        distance = fuse.distance_from_source
        if distance is None:
            yield finding(place, f"how far the fuse {name} is from the source is not said", f"must be {limit.compare} {limit.value}")
        elif isinstance(distance, Unknown):
            yield not_evaluated(place, f"the distance of the fuse {name} from the source is unknown")
        elif keeps(limit, bound, distance):
            yield holds(place, f"the fuse {name} is {distance} from the source")
        else:
            yield finding(place, f"the fuse {name} is {distance} from the source", f"must be {limit.compare} {limit.value}")
    if not fuses:
        yield not_applicable("no described fuse stands at the low-voltage source")


@rule("source-fuse-above-cells", SUBJECT, "lv-source-cells")
def source_fuse_above_cells(look: Look) -> Iterator[Outcome]:
    """The overcurrent protection of the low-voltage source is rated no higher than the discharge current that its cells allow.

    Why: A fuse above that current lets the cells overheat without ever opening.
    Wrong:
        low_voltage: {source: {continuous_current: 3 A}}
    Right:
        low_voltage: {source: {continuous_current: 40 A}}
    Mend: Take a smaller fuse, or cells that bear its current; give the data sheet's value under continuous_current.
    """
    fuses = _source_fuses(look)
    source = _low_voltage(look).source
    allowed = source.continuous_current if isinstance(source, Source) else source
    place: Path = (LOW_VOLTAGE, "source", "continuous_current")
    if not fuses:
        yield not_applicable("no described fuse stands at the low-voltage source")
    elif allowed is None:
        yield finding(place, "the discharge current that the cells of the source allow is not said", "must be given, at least the rating of the fuse")
    elif not isinstance(allowed, Quantity):
        yield not_evaluated(place, "the discharge current that the cells of the source allow is unknown")
    else:
        for name, fuse in fuses.items():
            yield _rated_at_most((LOW_VOLTAGE, "fuses", name), f"the fuse {name}", fuse, allowed, "the cells of the source allow")


def _rated_at_most(path: Path, printed: str, fuse: Fuse, bound: Quantity, bears: str) -> Outcome:
    """Whether the rating of a fuse with its tolerance stays within what a weaker thing bears."""
    place = (*path, "rating")
    if not isinstance(fuse.rating, Quantity):
        return not_evaluated(place, f"the rating of {printed} is not known")
    if fuse.rating.high > bound.low:
        return finding(place, f"{printed} is rated {fuse.rating}", f"must be at most the {bound} that {bears}")
    return holds(place, f"{printed} is rated {fuse.rating}, within the {bound} that {bears}")


def _given(look: Look, field: str, what: str, must: str, good: Callable[[Quantity], bool] = lambda value: True) -> Iterator[Outcome]:
    """One outcome for each fuse: whether the field is given, and as it has to be."""
    judged = False
    for path, printed, fuse in _fuses(look):
        judged = True
        value = getattr(fuse, field)
        place = (*path, field)
        if value is None:
            yield finding(place, f"the {what} of {printed} is not said", must)
        elif isinstance(value, Unknown):
            yield not_evaluated(place, f"the {what} of {printed} is unknown")
        elif good(value):
            yield stated(place, f"the {what} of {printed} is {value}")
        else:
            yield finding(place, f"the {what} of {printed} is given as {value}", must)
    if not judged:
        yield not_applicable("no fuse is described")


@rule("fuse-rating-missing", SUBJECT, "overcurrent-protection")
def fuse_rating_missing(look: Look) -> Iterator[Outcome]:
    """Every fuse gives its rated current.

    Why: Without it nobody can tell whether the wire or the fuse burns first.
    Wrong:
        low_voltage: {fuses: {F1: {rating: null}}}
    Right:
        low_voltage: {fuses: {F1: {rating: 5 A}}}
    Mend: Add rating.
    """
    yield from _given(look, "rating", "rated current", "must be given")


@rule("fuse-dc-rating-missing", SUBJECT, "overcurrent-protection")
def fuse_dc_rating_missing(look: Look) -> Iterator[Outcome]:
    """Every fuse gives the DC voltage for which it is rated.

    Why: An arc under alternating current goes out a hundred times a second, one under direct current does not: the same
        fuse clears far less DC voltage than AC.
    Wrong:
        low_voltage: {fuses: {F1: {voltage: 250 V AC}}}
    Right:
        low_voltage: {fuses: {F1: {voltage: 32 V DC}}}
    Mend: Look the DC rating up in the data sheet and write it with DC.
    """
    yield from _given(look, "voltage", "rated voltage", "must be given as a DC voltage, such as 32 V DC", lambda value: value.kind == "DC")


@rule("fuse-voltage-too-low", SUBJECT, "overcurrent-protection")
def fuse_voltage_too_low(look: Look) -> Iterator[Outcome]:
    """The rated voltage of every fuse is at least the highest voltage where it stands.

    Why: Above its rated voltage a fuse melts and goes on conducting through its own arc.
    Wrong:
        low_voltage: {fuses: {F1: {voltage: 12 V DC}}}
    Right:
        low_voltage: {fuses: {F1: {voltage: 32 V DC}}}
    Mend: Take a fuse for a higher voltage, or put right the voltage of the source.
    """
    judged = False
    for path, printed, fuse, standing in _fuses_and_voltages(look):
        judged = True
        place = (*path, "voltage")
        if not isinstance(fuse.voltage, Quantity):
            yield not_evaluated(place, f"the rated voltage of {printed} is not known")
        elif not standing:
            yield not_evaluated(place, f"the highest voltage at {printed} is not known")
        elif fuse.voltage.low < standing[0].high:
            yield finding(place, f"{printed} is rated {fuse.voltage}", f"must be at least {standing[0]}, the highest voltage where it stands")
        elif fuse.voltage.low < standing[-1].high:
            yield not_evaluated(place, f"on which side of the voltage converter {printed} stands is not known")
        else:
            yield holds(place, f"{printed} is rated {fuse.voltage}, the highest voltage where it stands is {standing[-1]}")
    if not judged:
        yield not_applicable("no fuse is described")


def _fuses_and_voltages(look: Look) -> Iterator[tuple[Path, str, Fuse, list[Quantity]]]:
    """Every fuse with the highest voltages that may stand at it, the lowest first.

    They are several where only converted feeds go through it, because it may stand before or behind the converter.
    """
    low_voltage = _low_voltage(look)
    of_source = low_voltage.source.voltage if isinstance(low_voltage.source, Source) else None
    highest = of_source.highest if isinstance(of_source, SourceVoltage) else None
    converted: dict[str, list[Quantity]] = {}
    plain = {element.name for graph in look.networks.values() if _begins_at_source(look, graph) for element in graph.of_kind(Kind.FUSE)}
    for feed in low_voltage.feeds.values():
        if isinstance(feed.through, str) and isinstance(feed.voltage, Quantity):
            converted.setdefault(feed.through, []).append(feed.voltage)
        elif isinstance(feed.through, str):
            plain.add(feed.through)
    for path, printed, fuse in _lv_fuses(look):
        behind = [] if path[-1] in plain else converted.get(str(path[-1]), [])
        standing = [highest, *behind] if isinstance(highest, Quantity) else []
        yield path, printed, fuse, sorted(standing, key=lambda voltage: voltage.high)
    voltage = _tractive(look).voltage
    tractive = voltage.highest if isinstance(voltage, SystemVoltage) else None
    for path, printed, fuse in _main_fuses(look):
        yield path, printed, fuse, [tractive] if isinstance(tractive, Quantity) else []


@rule("fuse-breaking-capacity-missing", SUBJECT, "overcurrent-protection")
def fuse_breaking_capacity_missing(look: Look) -> Iterator[Outcome]:
    """Every fuse gives the largest current that it can interrupt.

    Why: A short circuit across a battery gives hundreds of amperes; a fuse that cannot interrupt them bursts.
    Wrong:
        low_voltage: {fuses: {F1: {breaking_capacity: null}}}
    Right:
        low_voltage: {fuses: {F1: {breaking_capacity: 1 kA}}}
    Mend: Look the breaking capacity at DC up in the data sheet and add it.
    """
    yield from _given(look, "breaking_capacity", "breaking capacity", "must be given, and above the short-circuit current")


@rule("fuse-above-conductor", SUBJECT, "overcurrent-protection")
def fuse_above_conductor(look: Look) -> Iterator[Outcome]:
    """A fuse is rated no higher than the current that the conductor behind it bears.

    Why: The fuse is there for the wire. If the wire is the weaker part, the wire is the fuse.
    Wrong:
        wiring: {conductors: {monitor_wire: {size: 0.35 mm², rating: 3 A, protected_by: F1}}}
    Right:
        wiring: {conductors: {monitor_wire: {size: 0.75 mm², rating: 9 A, protected_by: F1}}}
    Mend: Take a thicker wire or a smaller fuse.
    """
    wiring = look.car.wiring
    main = {name: accumulator.fuse for name, accumulator in _tractive(look).accumulators.items() if isinstance(accumulator.fuse, Fuse)}
    fuses = main | _low_voltage(look).fuses
    judged = False
    for name, conductor in wiring.conductors.items() if isinstance(wiring, Wiring) else ():
        if conductor.protected_by is None:
            continue
        judged = True
        place: Path = ("wiring", "conductors", name)
        fuse = fuses.get(conductor.protected_by) if isinstance(conductor.protected_by, str) else None
        if fuse is None or not isinstance(fuse.rating, Quantity):
            yield not_evaluated((*place, "protected_by"), f"the rating of the fuse of the conductor {name} is not known")
        elif not isinstance(conductor.rating, Quantity):
            yield not_evaluated((*place, "rating"), f"the permissible current of the conductor {name} is not known")
        elif fuse.rating.high > conductor.rating.low:
            yield finding((*place, "protected_by"), f"the conductor {name} bears {conductor.rating} and its fuse {conductor.protected_by} is rated {fuse.rating}", "must bear at least the rating of its fuse")
        else:
            yield holds((*place, "protected_by"), f"the conductor {name} bears {conductor.rating}, its fuse {conductor.protected_by} is rated {fuse.rating}")
    if not judged:
        yield not_applicable("no conductor names the fuse that protects it")


@rule("fuse-above-connector", SUBJECT, "overcurrent-protection")
def fuse_above_connector(look: Look) -> Iterator[Outcome]:
    """The main fuse is rated no higher than each connector between its accumulator and an inverter.

    Why: A plug that carries more than it is made for heats up first where nobody can see it, inside.
    Wrong:
        tractive_system:
          accumulators: {main: {fuse: {rating: 175 A, voltage: 700 V DC, breaking_capacity: 50 kA}}}
          inverters: {inverter: {motors: 1}}
          connectors: {pack_outlet: {current_rating: 120 A}}
    Right:
        tractive_system:
          accumulators: {main: {fuse: {rating: 175 A, voltage: 700 V DC, breaking_capacity: 50 kA}}}
          inverters: {inverter: {motors: 1}}
          connectors: {pack_outlet: {current_rating: 250 A}}
    Mend: Write the current_rating of the connector; if it is below the fuse, take a larger connector or a smaller main fuse.
    """
    system = _tractive(look)
    judged = False
    for path, printed, fuse in _main_fuses(look):
        for name in _on_the_way_to_an_inverter(system, str(path[2])):
            judged = True
            place: Path = ("tractive_system", "connectors", name, "current_rating")
            rating = system.connectors[name].current_rating
            if rating is None:
                yield finding(place, f"the current rating of the connector {name} is not said", f"must be at least the rating of {printed}")
            elif isinstance(rating, Unknown) or not isinstance(fuse.rating, Quantity):
                yield not_evaluated(place, f"the current rating of {name} or of {printed} is not known")
            elif fuse.rating.high > rating.low:
                yield finding(place, f"the connector {name} is rated {rating} and {printed} {fuse.rating}", "must be rated at least as high as the fuse")
            else:
                yield holds(place, f"the connector {name} is rated {rating}, {printed} {fuse.rating}")
    if not judged:
        yield not_applicable("no connector stands between a main fuse and an inverter")


def _on_the_way_to_an_inverter(system: TractiveSystem, accumulator: str) -> list[str]:
    """The connectors between an accumulator and the inverters; those that lead elsewhere, to a motor or a charger, are left out."""
    ends = system.accumulators.keys() | system.inverters.keys()
    joined: dict[str, set[str]] = {}
    for name, connector in system.connectors.items():
        for other in connector.between if isinstance(connector.between, tuple) else ():
            if other != name:
                joined.setdefault(name, set()).add(other)
                joined.setdefault(other, set()).add(name)
    dead_ends = [name for name, others in joined.items() if len(others) == 1 and name not in ends]
    while dead_ends:
        name = dead_ends.pop()
        for other in joined.pop(name, ()):
            joined[other].discard(name)
            if len(joined[other]) == 1 and other not in ends:
                dead_ends.append(other)
    reached, waiting = {accumulator}, [accumulator]
    while waiting:
        for other in joined.get(waiting.pop(), ()):
            if other not in reached:
                reached.add(other)
                waiting += [other] if other not in ends else []
    return [name for name in system.connectors if name in reached]


RULES = (
    lv_source_unprotected,
    source_fuse_too_far,
    source_fuse_above_cells,
    fuse_rating_missing,
    fuse_dc_rating_missing,
    fuse_voltage_too_low,
    fuse_breaking_capacity_missing,
    fuse_above_conductor,
    fuse_above_connector,
)
