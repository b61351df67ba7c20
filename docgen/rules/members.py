"""Members, order and side."""

import re
from collections import Counter
from collections.abc import Iterator

from docgen.car.contact import PHASES, Contact
from docgen.car.device import Device, Place
from docgen.car.tractive import Accumulator, Charger, Contactors, Precharge, TractiveSystem
from docgen.car.values import Unknown
from docgen.car.wiring import LowVoltage
from docgen.finding import Outcome, Severity, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import CHARGING, DRIVE, PROTECTIVE, Look
from docgen.network import Element, Kind, Network, Side, healthy, modes
from docgen.printing import listed
from docgen.provenance import Path

SUBJECT = "Members, order and side"

REQUIRED = {
    "LV master switch": 1, "TS master switch": 1, "shutdown button": 3, "inertia switch": 1, "brake over-travel switch": 1,
    "insulation monitor": 1, "battery management": 1, "brake plausibility device": 1, "service disconnect interlock": 1,
}  # fmt: skip
"""Function -> how many contacts of it the drive loop needs in series."""

BEHIND_THE_LV_MASTER = (PROTECTIVE - {"LV master switch"}) | {"start button", "activation logic"}

CHARGING_MEMBERS = ("charger button", "insulation monitor", "battery management")


def _tractive(look: Look) -> TractiveSystem | None:
    system = look.car.tractive_system
    return system if isinstance(system, TractiveSystem) else None


@rule("member-missing", SUBJECT, "loop-members")
def member_missing(look: Look) -> Iterator[Outcome]:
    """The drive loop has every required member in series before the coil of each contactor.

    Why: A device that is on the car and not in the loop protects nothing; one that stands in a parallel way opens nothing.
    Wrong:
        loops:
          drive:
            path:
              - fuse F1
              - lv_master
              - bspd
              - ams
              - imd
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
    Mend: Put the missing device into the path of the loop, where the current really meets it.
    """
    graph = look.networks.get(DRIVE)
    if graph is None:
        yield finding(("loops",), "no loop named drive is described", "must describe the shutdown loop of the car under loops.drive")
        return
    coils = coils_of(look, graph, "accumulator contactor")
    if not coils:
        untold = [coil for coil in graph.of_kind(Kind.COIL) if isinstance(_function(look, coil), Unknown)]
        yield not_evaluated(untold[0].step, f"whether {untold[0].name} is an accumulator contactor is unknown") if untold else finding(
            ("loops", DRIVE), "the loop energises no accumulator contactor", "must end in the coils of the contactors"
        )
        return
    series = in_series_with_all(graph, coils)
    untold = _of_unknown_function(look, series)
    for function, needed in REQUIRED.items():
        inside = [element for element in look.in_loop(graph, function) if element in series]
        passed_by = [element for element in look.in_loop(graph, function) if element not in series]
        term = look.edition.term(function)
        if len(inside) >= needed:
            yield holds(inside[0].step, f"{term}: {len(inside)} in series with every contactor coil")
        elif len(inside) + len(untold) >= needed:
            yield not_evaluated(untold[0].step, f"whether {untold[0].spelled} is the {term} is unknown")
        elif passed_by:
            yield finding(passed_by[0].step, f"{passed_by[0].spelled} ({term}) does not stand in series with every contactor coil", "must not have a way round it")
        else:
            yield finding(("loops", DRIVE), f"{term}: {len(inside) or 'none'} in the loop", f"must be at least {needed} in series with the coils")


def _of_unknown_function(look: Look, elements: frozenset[Element]) -> list[Element]:
    """The contacts of devices whose function is an open point, in the order of their nodes."""
    untold = [element for element in elements if element.kind is Kind.CONTACT and isinstance(_function(look, element), Unknown)]
    return sorted(untold, key=lambda element: element.start)


def _function(look: Look, element: Element) -> object:
    device = look.car.devices.get(element.name)
    return device.function if device else None


def coils_of(look: Look, graph: Network, *functions: str) -> list[Element]:
    """The coils of a loop whose device has one of these functions."""
    return [coil for coil in graph.of_kind(Kind.COIL) if _function(look, coil) in functions]


def in_series_with_all(graph: Network, coils: list[Element]) -> frozenset[Element]:
    """The elements whose opening alone takes the supply from every one of these coils."""
    return frozenset.intersection(*(graph.in_series_with(coil) for coil in coils)) if coils else frozenset()


@rule("protective-device-not-in-drive-loop", SUBJECT, "loop-members")
def protective_device_not_in_drive_loop(look: Look) -> Iterator[Outcome]:
    """Every protective device of the car, also the second of its kind, stands in series in the drive loop.

    Why: Two containers have two battery managements. The one that is only in the charging loop, or that has a way
        round it, watches its cells while the car drives and opens nothing.
    Wrong:
        devices:
          ams_rear: {function: AMS, worked_by: power, contact: {at_rest: open, when_healthy: closed, kind: volt-free}}
        tractive_system: {accumulators: {rear: {battery_management: ams_rear}}}
        loops: {charging: {path: [fuse F1, ams, ams_rear, imd, coil air_plus], return: [chassis]}}
    Right:
        devices: {button_left: {label: Left button}}
    Mend: Put the device into the path of the drive loop, before the coils and without a way round it.
    """
    graph = look.networks.get(DRIVE)
    series = in_series_with_all(graph, coils_of(look, graph, "accumulator contactor")) if graph else frozenset()
    inside = {element.name for element in series}
    enough = {function for function, needed in REQUIRED.items() if graph and sum(element in series for element in look.in_loop(graph, function)) >= needed}
    judged = False
    for _, name, device in look.devices(*enough):
        standing = look.places_in_loops.get(name, [])
        passed_by = next((element for network, element in standing if network is graph), None)
        if not standing or (not passed_by and _of_the_charger(look, name, device)):
            continue
        judged = True
        if name in inside:
            yield holds(("devices", name), f"{look.printed(name)} stands in series in the drive loop")
        elif passed_by:
            yield finding(passed_by.step, f"{look.printed(name)} does not stand in series with every contactor coil", "must not have a way round it")
        else:
            only = listed(dict.fromkeys(network.loop for network, _ in standing))
            yield finding(("loops", DRIVE, "path"), f"{look.printed(name)} stands only in the loop {only}", "must stand in series in the drive loop too")
    if not judged:
        yield not_applicable("no kind of protective device stands in the drive loop as often as it must")


def _of_the_charger(look: Look, name: str, device: Device) -> bool:
    """Whether a device is said to be at the charger, or is a monitor that no container has, where the containers name theirs."""
    where = device.place.where if isinstance(device.place, Place) else None
    if isinstance(where, str) and re.search(r"\bcharg(?:er|ing)\b|\bcart\b|\btrolley\b", where, re.IGNORECASE):
        return True
    field = {"battery management": "battery_management", "insulation monitor": "insulation_monitor"}.get(str(device.function), "")
    system = _tractive(look)
    named = {getattr(accumulator, field) for accumulator in system.accumulators.values()} if system and field else set()
    return bool(named - {None}) and name not in named


@rule("connector-interlock-missing", SUBJECT, "connector-interlock")
def connector_interlock_missing(look: Look) -> Iterator[Outcome]:
    """Every connector of the tractive system outside a housing has a pilot contact in the drive loop.

    Why: A connector that can be opened with the tractive system active shows live pins.
    Wrong:
        tractive_system: {connectors: {pack_outlet: {pilot: null}}}
    Right:
        tractive_system: {connectors: {pack_outlet: {pilot: pack_link}}}
    Mend: Describe the interlock device, put it into the loop and name it under pilot.
    """
    system = _tractive(look)
    connectors = system.connectors if system else {}
    if not connectors:
        yield not_applicable("no connector of the tractive system is described")
    graph = look.networks.get(DRIVE)
    in_loop = {element.name for element in graph.of_kind(Kind.CONTACT)} if graph else set()
    for name, connector in connectors.items():
        place: Path = ("tractive_system", "connectors", name)
        if connector.enclosure == "inside a housing":
            yield not_applicable(f"{name} is inside a housing", place)
        elif isinstance(connector.pilot, Unknown):
            yield not_evaluated((*place, "pilot"), f"the pilot contact of {name} is unknown")
        elif connector.pilot is None:
            yield finding(place, f"the connector {name} has no pilot contact", "must have one in the drive loop")
        elif connector.pilot not in in_loop:
            yield finding((*place, "pilot"), f"the pilot contact {connector.pilot} of the connector {name} is not in the drive loop", "must stand in it")
        else:
            yield holds((*place, "pilot"), f"{connector.pilot} of {name} is in the drive loop")


@rule("contactor-count", SUBJECT, "contactor-count")
def contactor_count(look: Look) -> Iterator[Outcome]:
    """Each accumulator container has contactors of its own, at least as many as the edition demands.

    Why: One welded contactor must not keep the tractive system alive, and a container must be dead when it is unplugged.
    Wrong:
        tractive_system: {accumulators: {main: {contactors: {negative: air_plus}}}}
    Right:
        tractive_system: {accumulators: {main: {contactors: {negative: air_minus}}}}
    Mend: Describe a contactor for each pole and name them under contactors.
    """
    system = _tractive(look)
    limit = look.edition.topic("contactor-count").limits.get("each")
    needed = int(limit.value) if limit else 2
    if not system or not system.accumulators:
        yield not_evaluated(("tractive_system",), "no accumulator is described")
        return
    owners: dict[str, str] = {}
    for name, accumulator in system.accumulators.items():
        place: Path = ("tractive_system", "accumulators", name, "contactors")
        if isinstance(accumulator.contactors, Unknown):
            yield not_evaluated(place, f"the contactors of {name} are unknown")
            continue
        own = _named(accumulator)
        shared = [contactor for contactor in own if owners.setdefault(contactor, name) != name]
        if shared:
            yield finding(place, f"{shared[0]} is a contactor of {owners[shared[0]]} and of {name}", "must belong to one container")
        elif any(isinstance(value, Unknown) for value in _poles(accumulator).values()):
            yield not_evaluated(place, f"a contactor of {name} is unknown")
        elif len(own) < needed:
            yield finding(place, f"the container {name} has {len(own)} contactor{'s' * (len(own) != 1)}", f"must have at least {needed}")
        else:
            yield holds(place, f"the container {name} has {len(own)} contactors of its own")


def _poles(accumulator: Accumulator) -> dict[str, object]:
    contactors = accumulator.contactors
    return {"positive": contactors.positive, "negative": contactors.negative} if isinstance(contactors, Contactors) else {"positive": None, "negative": None}


def _named(accumulator: Accumulator) -> tuple[str, ...]:
    """The contactors of a container, each once."""
    contactors = accumulator.contactors
    more = contactors.more if isinstance(contactors, Contactors) and isinstance(contactors.more, tuple) else ()
    return tuple(dict.fromkeys(name for name in (*_poles(accumulator).values(), *more) if isinstance(name, str)))


@rule("contactor-pole-missing", SUBJECT, "contactor-count")
def contactor_pole_missing(look: Look) -> Iterator[Outcome]:
    """Each pole of an accumulator is switched by a contactor whose coil is in the drive loop.

    Why: A pole that is not switched leaves half of the tractive system connected after the loop has opened.
    Wrong:
        tractive_system: {accumulators: {main: {contactors: {positive: null, more: [precharge_relay]}}}}
    Right:
        tractive_system: {accumulators: {main: {contactors: {positive: air_plus}}}}
    Mend: Name the contactor of each pole under positive and negative, and put its coil into the loop.
    """
    system = _tractive(look)
    graph = look.networks.get(DRIVE)
    coils = {coil.name for coil in graph.of_kind(Kind.COIL)} if graph else set()
    if not system or not system.accumulators:
        yield not_evaluated(("tractive_system",), "no accumulator is described")
        return
    for name, accumulator in system.accumulators.items():
        place: Path = ("tractive_system", "accumulators", name, "contactors")
        for pole, contactor in _poles(accumulator).items():
            if isinstance(contactor, Unknown) or isinstance(accumulator.contactors, Unknown):
                yield not_evaluated((*place, pole), f"the contactor in the {pole} pole of {name} is unknown")
            elif contactor is None:
                yield finding(place, f"no contactor is named for the {pole} pole of {name}", "must switch both poles")
            elif contactor not in look.car.devices:
                yield finding((*place, pole), f"the contactor {contactor} is not described", "must be described under devices")
            elif contactor not in coils:
                yield finding((*place, pole), f"the coil of the contactor {contactor} is not in the drive loop", "must be energised through the loop")
            else:
                yield holds((*place, pole), f"{contactor} switches the {pole} pole of {name} and its coil is in the drive loop")


def _contactor_names(look: Look) -> list[str]:
    system = _tractive(look)
    named = [name for accumulator in (system.accumulators if system else {}).values() for name in _named(accumulator)]
    by_function = [name for _, name, _ in look.devices("accumulator contactor")]
    return list(dict.fromkeys([*named, *by_function]))


@rule("contactor-not-make", SUBJECT, "contactor-kind")
def contactor_not_make(look: Look) -> Iterator[Outcome]:
    """The power contact of every accumulator contactor is open at rest.

    Why: A contactor that is closed without power connects the accumulator when everything else has failed.
    Wrong:
        devices: {air_plus: {contacts: {main: {at_rest: closed, when_healthy: closed, form: break}}}}
    Right:
        devices: {air_plus: {contacts: {main: {at_rest: open, form: make}}}}
    Mend: Take a contactor with a make contact, or put right at_rest.
    """
    names = _contactor_names(look)
    for name in names:
        main = _main(look, name)
        if main is None:
            yield not_evaluated(("devices", name), f"no power contact of {name} is described")
            continue
        path, contact = main
        if contact.at_rest == "open":
            yield holds((*path, "at_rest"), f"{look.printed(name)} is open at rest")
        elif isinstance(contact.at_rest, str):
            yield finding((*path, "at_rest"), f"the power contact of {look.printed(name)} is {contact.at_rest} at rest", "must be open at rest")
        else:
            yield not_evaluated(path, f"the state at rest of {name} is not known")
    if not names:
        yield not_applicable("no accumulator contactor is described")


def _main(look: Look, name: str) -> tuple[Path, Contact] | None:
    """Path and contact of a contactor's power contact: the one named main or power, else its only one."""
    device = look.car.devices.get(name)
    contacts = device.every_contact() if device else {}
    chosen = next((key for key in ("main", "power") if key in contacts), next(iter(contacts)) if len(contacts) == 1 else None)
    if chosen is None:
        return None
    path: Path = ("devices", name, "contact") if chosen == "contact" else ("devices", name, "contacts", chosen)
    return path, contacts[chosen]


@rule("contactor-not-mechanical", SUBJECT, "contactor-kind")
def contactor_not_mechanical(look: Look) -> Iterator[Outcome]:
    """Every accumulator contactor is mechanical.

    Why: A semiconductor fails closed more often than open and never isolates.
    Wrong:
        devices: {air_plus: {contacts: {main: {construction: solid state}}}}
    Right:
        devices: {air_plus: {contacts: {main: {construction: mechanical}}}}
    Mend: Take a contactor with metal contacts.
    """
    names = _contactor_names(look)
    for name in names:
        main = _main(look, name)
        if main is None:
            yield not_evaluated(("devices", name), f"no power contact of {name} is described")
            continue
        path, contact = main
        if contact.construction == "solid state" or contact.kind in ("high-side stage", "low-side stage"):
            field = "construction" if contact.construction == "solid state" else "kind"
            yield finding((*path, field), f"the power contact of {look.printed(name)} is {getattr(contact, field)}", "must be mechanical")
        elif contact.construction == "mechanical":
            yield stated((*path, "construction"), f"{look.printed(name)} is mechanical")
        else:
            yield not_evaluated(path, f"the construction of the power contact of {name} is not given")
    if not names:
        yield not_applicable("no accumulator contactor is described")


@rule("ts-master-not-last", SUBJECT, "ts-master-last")
def ts_master_not_last(look: Look) -> Iterator[Outcome]:
    """Behind the TS master stand only pre-charge circuitry and hard-wired interlocks.

    Why: The TS master is the last word before the coils; what follows it could still feed them with the master open.
    Wrong:
        loops:
          drive:
            path:
              - fuse F1
              - lv_master
              - bspd
              - ams
              - imd
              - ts_master
              - inertia_switch
              - button_left
              - button_right
              - button_cockpit
              - over_travel_switch
              - service_link
              - any_of: [[start_button], [hold_relay.hold]]
              - pack_link
              - each_to_return: [[coil air_minus], [precharge_unit.running, coil precharge_relay], [precharge_unit.done, coil air_plus], [coil hold_relay]]
    Right:
        loops: {drive: {source: low_voltage}}
    Mend: Move the device before the TS master; an activation contact behind it is a question for the event.
    """
    graph = look.networks.get(DRIVE)
    masters = list(look.in_loop(graph, "TS master switch")) if graph else []
    if graph is None or not masters:
        yield not_evaluated(("loops", DRIVE), "no TS master stands in the drive loop")
        return
    behind = graph.after(masters[-1])
    following = {element: _may_follow(look, element) for element in graph.of_kind(Kind.CONTACT) if element in behind}
    late = [element for element, may in following.items() if may is False]
    untold = [element for element, may in following.items() if may is None]
    for element in untold:
        yield not_evaluated(element.step, f"whether {element.spelled} belongs to the pre-charge circuitry or is an interlock is not known")
    for element in late:
        term = look.edition.term("TS master switch")
        asks = _function(look, element) in ("start button", "activation logic")
        yield finding(element.step, f"{look.printed(element.name)} stands behind the {term}", "must stand before it" + (", unless the event agrees: ask" if asks else ""))
    if not late and not untold:
        yield holds(masters[-1].step, "only pre-charge circuitry and interlocks follow")


def _may_follow(look: Look, element: Element) -> bool | None:
    """Whether a contact may stand behind the TS master; None where that is not known."""
    device = look.car.devices.get(element.name)
    if device is None or not isinstance(device.function, str):
        return None
    if device.function in ("interlock", "service disconnect interlock", "pre-charge relay", "accumulator contactor", "discharge relay"):
        return True
    if device.function not in ("controller", "other", "latch relay"):
        return False
    contact = device.every_contact().get(element.contact)
    by_mode = [{healthy(device, contact, phase, mode) for phase in PHASES} for mode in modes(look.car)] if contact else [{None}]
    return None if any(None in states for states in by_mode) else all(len(states) > 1 for states in by_mode)


@rule("lv-master-not-first", SUBJECT, "", Severity.WARNING)
def lv_master_not_first(look: Look) -> Iterator[Outcome]:
    """No member of the drive loop stands before the LV master.

    Why: The LV master cuts everything behind it. What stands before it stays alive when the car is thought to be off.
    Wrong:
        loops:
          drive:
            path:
              - fuse F1
              - bspd
              - lv_master
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
    Mend: Let the LV master follow the overcurrent protection of the source, before every other member.
    """
    graph = look.networks.get(DRIVE)
    masters = [element for element in look.in_loop(graph, "LV master switch") if element.side is Side.HIGH] if graph else []
    if graph is None or not masters:
        yield not_applicable("no LV master stands on the high side of the drive loop")
        return
    before = graph.before(masters[0])
    early = [element for element in graph.of_kind(Kind.CONTACT) if element in before and _function(look, element) in BEHIND_THE_LV_MASTER]
    if early:
        more = f" and {len(early) - 1} more" if len(early) > 1 else ""
        stands = "stand" if more else "stands"
        yield finding(masters[0].step, f"{look.printed(early[0].name)}{more} {stands} before {look.printed(masters[0].name)}", "must come first after the overcurrent protection")
    else:
        yield holds(masters[0].step, f"no member stands before {look.printed(masters[0].name)}")


@rule("loop-does-not-carry-coil-current", SUBJECT, "loop-carries-coil-current")
def loop_does_not_carry_coil_current(look: Look) -> Iterator[Outcome]:
    """The drive loop itself carries the current of the contactor coils and of the pre-charge circuitry.

    Why: A loop that is only a signal ends at a relay or a transistor, and one stuck part there keeps the contactors closed
        with every button pressed.
    Wrong:
        loops: {drive: {carries_coil_current: through a relay}}
    Right:
        loops: {drive: {carries_coil_current: directly}}
    Mend: Lead the coil current through the contacts of the loop, and write carries_coil_current as directly.
    """
    yield _carries_coil_current(look, DRIVE)


@rule("charging-loop-does-not-carry-coil-current", SUBJECT, "charging-loop")
def charging_loop_does_not_carry_coil_current(look: Look) -> Iterator[Outcome]:
    """The charging loop itself carries the coil current, as the loop of the car does.

    Why: The container is charged for hours with few people near; the same stuck relay keeps it connected there.
    Wrong:
        loops: {charging: {path: [fuse F1, ams, imd, coil air_plus], return: [chassis], carries_coil_current: as a signal}}
    Right:
        loops: {charging: {path: [fuse F1, ams, imd, coil air_plus], return: [chassis], carries_coil_current: directly}}
    Mend: Lead the coil current through the contacts of the charging loop, and write carries_coil_current as directly.
    """
    yield _carries_coil_current(look, CHARGING)


def _carries_coil_current(look: Look, name: str) -> Outcome:
    loop = look.car.loops.get(name)
    place: Path = ("loops", name, "carries_coil_current")
    if loop is None:
        return not_applicable(f"no loop named {name} is described")
    if loop.carries_coil_current is None:
        return finding(place, f"whether the loop {name} itself carries the coil current is not said", "must carry it directly")
    if isinstance(loop.carries_coil_current, Unknown):
        return not_evaluated(place, f"whether the loop {name} carries the coil current is unknown")
    if loop.carries_coil_current == "directly":
        return stated(place, f"the loop {name} carries the coil current directly")
    return finding(place, f"the loop {name} carries the coil current {loop.carries_coil_current}", "must carry it directly")


@rule("precharge-coil-outside-loop", SUBJECT, "loop-carries-coil-current")
def precharge_coil_outside_loop(look: Look) -> Iterator[Outcome]:
    """The coil of each pre-charge relay is energised through the drive loop.

    Why: A pre-charge relay fed from elsewhere puts the full voltage behind the contactors, through its resistor, with the
        loop open.
    Wrong:
        loops:
          drive:
            path:
              - fuse F1
              - lv_master
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
              - each_to_return: [[coil air_minus], [precharge_unit.done, coil air_plus], [coil hold_relay]]
    Right:
        loops: {drive: {source: low_voltage}}
    Mend: Put the coil of the pre-charge relay into a branch behind the TS master.
    """
    named = _precharge_relays(look)
    coils = {name: {coil.name for coil in graph.of_kind(Kind.COIL)} for name, graph in look.networks.items()}
    in_drive, in_any = coils.get(DRIVE, set()), frozenset[str]().union(*coils.values())
    for name, place in named.items():
        if not in_drive:
            yield not_evaluated(place, "no coil in the drive loop is described")
        elif name in in_drive:
            yield holds(place, f"the coil of {look.printed(name)} is in the drive loop")
        else:
            yield finding(place, f"the coil of {look.printed(name)} is not in the drive loop", "must be energised through the loop")
    others = [(path, name) for path, name, _ in look.devices("pre-charge relay") if name not in named]
    for path, name in others:
        if name in in_any:
            yield holds(path, f"the coil of {look.printed(name)} is in a loop")
        else:
            yield finding(path, f"the coil of {look.printed(name)} is in no loop", "must be energised through the loop")
    if not named and not others:
        yield not_applicable("no pre-charge relay is described")


def _precharge_relays(look: Look) -> dict[str, Path]:
    """The pre-charge relays that the accumulators name, each with the field that names it."""
    system = _tractive(look)
    return {
        accumulator.precharge.relay: ("tractive_system", "accumulators", name, "precharge", "relay")
        for name, accumulator in (system.accumulators if system else {}).items()
        if isinstance(accumulator.precharge, Precharge) and isinstance(accumulator.precharge.relay, str)
    }


@rule("charging-loop-missing", SUBJECT, "charging-loop")
def charging_loop_missing(look: Look) -> Iterator[Outcome]:
    """A car with a charger describes the charging loop.

    Why: While charging, the container stands open beside people, and nothing of the car's own loop is connected.
    Wrong:
        charger: {lead_interlock: charger_link, voltage: 403.2 V}
    Right:
        charger: {lead_interlock: charger_link, voltage: 403.2 V}
        loops: {charging: {path: [fuse F1, ams, imd, coil air_plus], return: [chassis]}}
    Mend: Describe the loop of the charging cart under loops.charging.
    """
    if CHARGING in look.car.loops:
        yield holds(("loops", CHARGING), "the charging loop is described")
    elif look.car.charger is None:
        yield not_applicable("no charger is described")
    elif isinstance(look.car.charger, Unknown):
        yield not_evaluated(("charger",), "the charger is unknown")
    else:
        yield finding(("charger",), "a charger is described and no loop named charging", "must describe the charging loop under loops.charging")


@rule("charging-member-missing", SUBJECT, "charging-loop")
def charging_member_missing(look: Look) -> Iterator[Outcome]:
    """The charging loop has a button on the charger, the insulation monitor and the battery management in series before its coils.

    Why: Overcharged cells and a broken insulation are found by these two alone, and the button is what people reach for.
    Wrong:
        devices:
          charger_button: {function: charger button, worked_by: hand, contact: {at_rest: closed, when_healthy: closed, kind: volt-free}}
        loops:
          charging: {path: [fuse F1, charger_button, imd, {each_to_return: [[coil air_minus], [coil air_plus]]}], return: [chassis], carries_coil_current: directly}
    Right:
        devices:
          charger_button: {function: charger button, worked_by: hand, contact: {at_rest: closed, when_healthy: closed, kind: volt-free}}
        loops:
          charging: {path: [fuse F1, charger_button, ams, imd, {each_to_return: [[coil air_minus], [coil air_plus]]}], return: [chassis], carries_coil_current: directly}
    Mend: Put the missing device into the path of the charging loop, before its coils and without a way round it.
    """
    graph = look.networks.get(CHARGING)
    if graph is None:
        yield not_applicable("no charging loop is described")
        return
    coils = coils_of(look, graph, "accumulator contactor") or list(graph.of_kind(Kind.COIL))
    if not coils:
        yield finding(("loops", CHARGING), "the charging loop energises no coil", "must end in the coils of the contactors that connect the charger")
        return
    series = in_series_with_all(graph, coils)
    untold = _of_unknown_function(look, series)
    for function in CHARGING_MEMBERS:
        members = list(look.in_loop(graph, function))
        inside = [element for element in members if element in series]
        term = look.edition.term(function)
        if inside:
            yield holds(inside[0].step, f"{term}: in series with every coil of the charging loop")
        elif untold:
            yield not_evaluated(untold[0].step, f"whether {untold[0].spelled} is the {term} is unknown")
        elif members:
            yield finding(members[0].step, f"{members[0].spelled} ({term}) does not stand in series with every coil of the charging loop", "must not have a way round it")
        else:
            yield finding(("loops", CHARGING), f"{term}: none in the charging loop", "must be at least 1 in series with its coils")


@rule("container-unwatched-while-charging", SUBJECT, "charging-loop")
def container_unwatched_while_charging(look: Look) -> Iterator[Outcome]:
    """The battery management of each container that is charged stands in series in the charging loop.

    Why: The other container's battery management does not see these cells; nobody stops the charger when they are full.
    Wrong:
        devices:
          ams_spare: {function: AMS, worked_by: power, contact: {at_rest: open, when_healthy: closed, kind: volt-free}}
        loops: {charging: {path: [fuse F1, ams_spare, imd, {each_to_return: [[coil air_minus], [coil air_plus]]}], return: [chassis]}}
    Right:
        loops: {charging: {path: [fuse F1, ams, imd, {each_to_return: [[coil air_minus], [coil air_plus]]}], return: [chassis]}}
    Mend: Put the battery management of the container into the path of the charging loop, before its coils.
    """
    graph, system = look.networks.get(CHARGING), _tractive(look)
    coils = list(graph.of_kind(Kind.COIL)) if graph else []
    judged = False
    for name, accumulator in system.accumulators.items() if system else ():
        place: Path = ("tractive_system", "accumulators", name, "battery_management")
        own, watch = [coil for coil in coils if coil.name in _named(accumulator)], accumulator.battery_management
        if graph is None or not own or watch is None:
            continue
        series = in_series_with_all(graph, own)
        if not any(_function(look, element) == "battery management" for element in series):
            continue
        judged = True
        if isinstance(watch, Unknown):
            yield not_evaluated(place, f"the battery management of {name} is unknown")
        elif any(element.name == watch for element in series):
            yield holds(place, f"{look.printed(watch)} of the container {name} stands in the charging loop")
        else:
            was = f"{look.printed(watch)} of the container {name} does not stand in series with its contactors in the charging loop"
            yield finding(("loops", CHARGING, "path"), was, "must stand there")
    if not judged:
        yield not_applicable("no container with a battery management of its own is connected by a charging loop")


@rule("charging-lead-interlock-missing", SUBJECT, "charging-loop")
def charging_lead_interlock_missing(look: Look) -> Iterator[Outcome]:
    """The interlock of the charging lead stands in the charging loop.

    Why: A charging plug that is pulled under current draws an arc and leaves live pins.
    Wrong:
        charger: {voltage: 403.2 V}
        loops: {charging: {path: [fuse F1, ams, imd, coil air_plus], return: [chassis], carries_coil_current: directly}}
    Right:
        charger: {voltage: 403.2 V, lead_interlock: pack_link}
        loops: {charging: {path: [fuse F1, pack_link, ams, imd, coil air_plus], return: [chassis], carries_coil_current: directly}}
    Mend: Name the interlock device of the charging lead under charger.lead_interlock and put its contact into the charging loop.
    """
    graph = look.networks.get(CHARGING)
    if graph is None:
        yield not_applicable("no charging loop is described")
        return
    place: Path = ("charger", "lead_interlock")
    charger = look.car.charger
    named = charger.lead_interlock if isinstance(charger, Charger) else charger
    coils = coils_of(look, graph, "accumulator contactor") or list(graph.of_kind(Kind.COIL))
    series = in_series_with_all(graph, coils)
    if isinstance(named, Unknown):
        yield not_evaluated(place, "the interlock of the charging lead is unknown")
    elif charger is None:
        inside = [element for element in look.in_loop(graph, "interlock") if element in series]
        yield holds(inside[0].step, f"{inside[0].spelled} stands in the charging loop") if inside else finding(
            ("loops", CHARGING), "no interlock stands in the charging loop", "must hold the interlock of the charging lead"
        )
    elif named is None:
        yield finding(place, "no interlock of the charging lead is named", "must be named and stand in the charging loop")
    elif any(element.name == named for element in series):
        yield holds(place, f"{look.printed(named)} stands in the charging loop")
    else:
        yield finding(place, f"the interlock {named} of the charging lead does not stand in series with the coils of the charging loop", "must stand in it")


@rule("return-side-member", SUBJECT, "loop-high-side")
def return_side_member(look: Look) -> Iterator[Outcome]:
    """Nothing that can open stands between the coils and the point where the loop ends.

    Why: With a contact on the return side, one short to chassis in the coil line bypasses it; on the high side
        the same short blows the fuse.
    Wrong:
        loops: {drive: {return: [inertia_switch, chassis]}}
    Right:
        loops: {drive: {return: [chassis]}}
    Mend: Move the contact to the high side and join the coil returns solidly to chassis.
    """
    for name, graph in look.networks.items():
        wrong = [element for element in graph.elements if element.side is Side.RETURN and element.kind in (Kind.CONTACT, Kind.FUSE)]
        for element in wrong:
            what = look.printed(element.name) if element.kind is Kind.CONTACT else f"the fuse {element.name}"
            yield finding(element.step, f"{what} stands on the return side of the coils of the loop {name}", "must stand on the high side")
        if not wrong:
            yield holds(("loops", name, "path"), f"every contact of the loop {name} is on the high side")
    if not look.networks:
        yield not_applicable("no loop is described")


@rule("return-not-to-chassis", SUBJECT, "loop-high-side")
def return_not_to_chassis(look: Look) -> Iterator[Outcome]:
    """The return of the drive loop is joined solidly to chassis.

    Why: A return that floats can be lifted by a second fault, and the first one goes unnoticed.
    Wrong:
        loops: {drive: {return: null}}
    Right:
        loops: {drive: {return: [chassis]}}
    Mend: Write return: [chassis], if that is how the car is built.
    """
    graph = look.networks.get(DRIVE)
    if graph is None:
        yield not_evaluated(("loops",), "no drive loop is described")
    elif graph.ends_at == "":
        yield finding(("loops", DRIVE), "no return is given for the loop", "must say where it ends, [chassis]")
    else:
        yield stated(("loops", DRIVE, "return"), f"the loop ends at {graph.ends_at}")


@rule("loop-device-not-described", SUBJECT, "")
def loop_device_not_described(look: Look) -> Iterator[Outcome]:
    """Everything that stands in a loop is described: devices with their contacts and coils, fuses, connectors.

    Why: A name without a description is a device that nobody has thought about.
    Wrong:
        loops: {drive: {return: [brake_relay, chassis]}}
    Right:
        loops: {drive: {return: [chassis]}}
    Mend: Describe it under devices, low_voltage.fuses or connectors, or put right the name.
    """
    found = False
    low_voltage = look.car.low_voltage
    fuses = low_voltage.fuses if isinstance(low_voltage, LowVoltage) else {} if low_voltage is None else None
    for graph in look.networks.values():
        for place, why in graph.loose:
            found = True
            yield finding(place, why, "must be a point that the loop has, once")
        for element in graph.elements:
            wrong = _undescribed(look, element, fuses)
            if wrong:
                found = True
                yield finding(element.step, *wrong)
    if not found:
        yield holds(("loops",), "everything in the loops is described")


def _undescribed(look: Look, element: Element, fuses: object) -> tuple[str, str] | None:
    device = look.car.devices.get(element.name)
    match element.kind:
        case Kind.FUSE if isinstance(fuses, dict) and element.name not in fuses:
            return f"the fuse {element.name} is not described", "must be described under low_voltage.fuses"
        case Kind.CROSSING if element.name not in look.car.connectors:
            return f"the connector {element.name} is not described", "must be described under connectors"
        case (Kind.CONTACT | Kind.COIL) if device is None:
            return f"the device {element.name} is not described", "must be described under devices"
        case Kind.CONTACT if device is not None:
            contacts = device.every_contact()
            if element.contact and element.contact not in contacts:
                return f"{element.name} has no contact {element.contact}", f"must be one of: {', '.join(contacts) or 'none described'}"
            if not element.contact and contacts:
                return f"{element.name} has several contacts and none is named", f"must be one of: {', '.join(f'{element.name}.{name}' for name in contacts)}"
            if isinstance(device.each, Unknown):
                return None
            corners = device.each or ()
            if element.corner and element.corner not in corners:
                return f"{element.name} does not stand for a corner {element.corner}", f"must be one of: {', '.join(corners) or 'none'}"
            if corners and not element.corner:
                return f"{element.name} stands for {len(corners)} corners and none is named", f"must be one of: {', '.join(f'{element.name} {corner}' for corner in corners)}"
    return None


@rule("protective-device-in-no-loop", SUBJECT, "")
def protective_device_in_no_loop(look: Look) -> Iterator[Outcome]:
    """Every described protective device stands in a loop, and each of its corners does.

    Why: A device that is described, bought and mounted, and wired to nothing, is the mistake that a table hides.
    Wrong:
        devices: {button_rear: {function: shutdown button, worked_by: hand, contact: {at_rest: closed, when_healthy: closed}}}
    Right:
        devices: {button_left: {label: Left button}}
    Mend: Put the device into the path of its loop, or take it out of the description.
    """
    protective = list(look.devices(*sorted(PROTECTIVE)))
    for path, name, device in protective:
        placed = {element.corner for _, element in look.places_in_loops.get(name, ())}
        missing = sorted(set(device.each) - placed) if isinstance(device.each, tuple) else []
        if not placed:
            yield finding(path, f"{look.printed(name)} stands in no loop", "must stand in one")
        elif missing and "" not in placed:
            yield finding(path, f"{look.printed(name)} stands in a loop, but not for {', '.join(missing)}", "must stand there for each corner")
        elif isinstance(device.each, Unknown):
            yield not_evaluated((*path, "each"), f"for which corners {name} stands is unknown")
        else:
            yield holds(path, f"{look.printed(name)} stands in a loop")
    if not protective:
        yield not_applicable("no protective device is described")


@rule("contact-twice-in-loop", SUBJECT, "")
def contact_twice_in_loop(look: Look) -> Iterator[Outcome]:
    """No contact stands twice in one loop.

    Why: One physical contact cannot be in two places; the second one is another device that nobody described.
    Wrong:
        loops: {drive: {return: [inertia_switch, chassis]}}
    Right:
        loops: {drive: {return: [chassis]}}
    Mend: Name the second device, or the second contact of the same device.
    """
    for name, graph in look.networks.items():
        counted = Counter((element.name, element.contact, element.corner) for element in graph.of_kind(Kind.CONTACT))
        seen: set[tuple[str, str, str]] = set()
        for element in graph.of_kind(Kind.CONTACT):
            key = (element.name, element.contact, element.corner)
            if key in seen:
                yield finding(element.step, f"{element.spelled} stands in the loop {name} for the second time", "must stand there once")
            seen.add(key)
        if all(count == 1 for count in counted.values()):
            yield holds(("loops", name), f"each contact stands once in the loop {name}")
    if not look.networks:
        yield not_applicable("no loop is described")


RULES = (
    member_missing,
    protective_device_not_in_drive_loop,
    connector_interlock_missing,
    contactor_count,
    contactor_pole_missing,
    contactor_not_make,
    contactor_not_mechanical,
    lv_master_not_first,
    ts_master_not_last,
    loop_does_not_carry_coil_current,
    precharge_coil_outside_loop,
    charging_loop_missing,
    charging_member_missing,
    container_unwatched_while_charging,
    charging_lead_interlock_missing,
    charging_loop_does_not_carry_coil_current,
    return_side_member,
    return_not_to_chassis,
    loop_device_not_described,
    protective_device_in_no_loop,
    contact_twice_in_loop,
)
