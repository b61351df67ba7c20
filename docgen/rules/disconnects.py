"""Devices in the metal: service disconnect, interlocks, connectors of the tractive system, outboard motors."""

from collections.abc import Iterator

from docgen.car.device import Place, Removal
from docgen.car.tractive import HvConnector, TractiveSystem
from docgen.car.values import Unknown
from docgen.finding import Outcome, Severity, at_car, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import Look
from docgen.network import contact_path
from docgen.provenance import Path
from docgen.rules.fields import absent, is_nothing, length_in, measured, said, unsaid

SUBJECT = "Devices in the metal"

DISCONNECT = "service disconnect interlock"


# Service disconnect


@rule("service-disconnect-slow", SUBJECT, "service-disconnect")
def service_disconnect_slow(look: Look) -> Iterator[Outcome]:
    """An untrained person pulls the service disconnect within the time of the edition.

    Why: The one who has to pull it has never seen the car, and the car may be burning.
    Wrong:
        devices: {service_link: {removal: {within: 12 s}}}
    Right:
        devices: {service_link: {removal: {within: 6 s ± 2 s}}}
    Mend: Let somebody from outside the team try it with a stop-watch, and write the time under removal.within.
    """
    for path, name, device in look.devices(DISCONNECT):
        within = device.removal.within if isinstance(device.removal, Removal) else device.removal
        yield measured(look, "service-disconnect", "time", within, (*path, "removal", "within"), f"the time for pulling {look.printed(name)}")
    yield from absent(look, DISCONNECT)


@rule("service-disconnect-low", SUBJECT, "service-disconnect")
def service_disconnect_low(look: Look) -> Iterator[Outcome]:
    """The service disconnect sits at the height of the edition above ground.

    Why: Below that it is behind a wheel, in grass or under the car.
    Wrong:
        devices: {service_link: {place: {height: 300 mm}}}
    Right:
        devices: {service_link: {place: {height: 480 mm ± 10 mm above ground}}}
    Mend: Move it up, and write its height above ground under place.height.
    """
    for path, name, device in look.devices(DISCONNECT):
        height = device.place.height if isinstance(device.place, Place) else device.place
        place, what = (*path, "place", "height"), f"the height above ground of {look.printed(name)}"
        if isinstance(height, str) and length_in(height) is None:
            yield not_evaluated(place, f"{what} cannot be told from {height}")
        else:
            yield measured(look, "service-disconnect", "height", length_in(height) if isinstance(height, str) else height, place, what)
    yield from absent(look, DISCONNECT)


def _removals(look: Look) -> Iterator[tuple[Path, str, Removal | Unknown | None]]:
    for path, name, device in look.devices(DISCONNECT):
        yield (*path, "removal"), name, device.removal


def _undescribed(place: Path, name: str, removal: Unknown | None) -> Outcome:
    why = f"how {name} is pulled is"
    return not_evaluated(place, f"{why} unknown") if isinstance(removal, Unknown) else not_applicable(f"{why} not described", place[:-1])


_BY_HAND = r"\b(?:by|with) (?:the |one )?(?:bare )?hands?\b|\bhands? only\b|\btool-?\s?(?:free|less)\b|\bwithout (?:any |a )?tools?\b|^(?:bare )?hands?$"


@rule("service-disconnect-needs-tool", SUBJECT, "service-disconnect-removal")
def service_disconnect_needs_tool(look: Look) -> Iterator[Outcome]:
    """The service disconnect is pulled without a tool.

    Why: The tool is in the pit when the car stands at the far end of the track.
    Wrong:
        devices: {service_link: {removal: {tool: 5 mm hex key}}}
    Right:
        devices: {service_link: {removal: {tool: none}}}
    Mend: Take a disconnect with a handle of its own and write tool: none.
    """
    for place, name, removal in _removals(look):
        if not isinstance(removal, Removal):
            yield _undescribed(place, name, removal)
        elif not isinstance(removal.tool, str):
            yield unsaid(removal.tool, (*place, "tool"), f"the tool for pulling {look.printed(name)}", "must be none")
        elif is_nothing(removal.tool) or said(_BY_HAND, removal.tool):
            yield stated((*place, "tool"), f"pulling {look.printed(name)} needs no tool")
        else:
            yield finding((*place, "tool"), f"pulling {look.printed(name)} needs: {removal.tool}", "must need no tool")
    yield from absent(look, DISCONNECT)


@rule("service-disconnect-remote", SUBJECT, "service-disconnect-removal")
def service_disconnect_remote(look: Look) -> Iterator[Outcome]:
    """The service disconnect is pulled directly, not over a remote handle.

    Why: A cable between handle and plug stretches, freezes or tears, and the plug stays in.
    Wrong:
        devices: {service_link: {removal: {remote_handle: Bowden cable to the main hoop}}}
    Right:
        devices: {service_link: {removal: {remote_handle: none}}}
    Mend: Move the disconnect to where the hand reaches it.
    """
    for place, name, removal in _removals(look):
        if not isinstance(removal, Removal):
            yield _undescribed(place, name, removal)
        elif not isinstance(removal.remote_handle, str):
            yield unsaid(removal.remote_handle, (*place, "remote_handle"), f"whether {look.printed(name)} has a remote handle", "must have none")
        elif is_nothing(removal.remote_handle) or said(r"^(?:pulled )?direct(?:ly)?\b", removal.remote_handle):
            yield stated((*place, "remote_handle"), f"{look.printed(name)} has no remote handle")
        else:
            yield finding((*place, "remote_handle"), f"{look.printed(name)} is pulled by: {removal.remote_handle}", "must have no remote handle")
    yield from absent(look, DISCONNECT)


@rule("service-disconnect-poles", SUBJECT, "service-disconnect-removal")
def service_disconnect_poles(look: Look) -> Iterator[Outcome]:
    """Pulling the service disconnect opens at least as many poles as the edition demands.

    Why: A plug that only opens the loop leaves the cables joined; with a welded contactor they stay live.
    Wrong:
        devices: {service_link: {removal: {opens_poles: 0}}}
    Right:
        devices: {service_link: {removal: {opens_poles: 2}}}
    Mend: Lead a pole of the tractive system through the disconnect and write under opens_poles how many.
    """
    limit = look.edition.topic("service-disconnect-removal").limits.get("poles")
    for place, name, removal in _removals(look):
        poles = removal.opens_poles if isinstance(removal, Removal) else None
        if not isinstance(removal, Removal):
            yield _undescribed(place, name, removal)
        elif limit is None:
            yield not_evaluated((*place, "opens_poles"), f"the number of poles in {look.edition.name} was not read")
        elif not isinstance(poles, int):
            yield unsaid(poles, (*place, "opens_poles"), f"how many poles {look.printed(name)} opens", f"must be {limit.compare} {limit.value}")
        elif poles < int(limit.value):
            yield finding((*place, "opens_poles"), f"{look.printed(name)} opens {poles} poles", f"must be {limit.compare} {limit.value}")
        else:
            yield stated((*place, "opens_poles"), f"{look.printed(name)} opens {poles} pole{'s' * (poles > 1)}")
    yield from absent(look, DISCONNECT)


# Interlocks and connectors


@rule("interlock-closed-apart", SUBJECT, "connector-interlock")
def interlock_closed_apart(look: Look) -> Iterator[Outcome]:
    """An interlock that is worked by a plug is open with the plug apart.

    Why: A contact that stays closed when its connector is pulled is a piece of wire.
    Wrong:
        devices: {pack_link: {contact: {at_rest: closed}}}
    Right:
        devices: {pack_link: {contact: {at_rest: open}}}
    Mend: Lead the loop through a bridge in the removable half; put right at_rest, the state with the plug apart.
    """
    for path, name, device in look.devices("interlock", DISCONNECT):
        if device.worked_by != "plug":
            yield not_applicable(f"{name} is not said to be worked by a plug", path)
            continue
        for key, contact in device.every_contact().items():
            place = (*contact_path(device, name, key), "at_rest")
            if not any(element.contact == key for _, element in look.places_in_loops.get(name, ())):
                continue
            if contact.at_rest == "open":
                yield holds(place, f"{look.printed(name)} is open with the plug apart")
            elif isinstance(contact.at_rest, str):
                yield finding(place, f"{look.printed(name)} is {contact.at_rest} with the plug apart", "must be open")
            else:
                yield not_evaluated(place, f"the state of {name} with the plug apart is not known")
    yield from absent(look, "interlock", DISCONNECT)


def _connectors(look: Look) -> Iterator[tuple[Path, str, HvConnector]]:
    system = look.car.tractive_system
    if isinstance(system, TractiveSystem):
        for name, connector in system.connectors.items():
            yield ("tractive_system", "connectors", name), name, connector


def _no_connector(look: Look) -> Iterator[Outcome]:
    if next(_connectors(look), None) is None:
        yield not_applicable("no connector of the tractive system is described")


_NOT_LOCKED = r"\b(?:friction|push[\s-]?fit|press[\s-]?fit|by hand|gravity|tape[ds]?|cable[\s-]ties?|zip[\s-]ties?|velcro|hook[\s-]and[\s-]loop|magnet\w*|glue[ds]?|adhesive)\b"
_LOCKED = r"\b(?:lever|lock\w*|bayonet|thread\w*|screw\w*|ring|latch\w*|detent|secondary|pin|bolt\w*|collar|clip\w*|cam|cpa)\b"


@rule("connector-not-locked", SUBJECT, "", Severity.WARNING)
def connector_not_locked(look: Look) -> Iterator[Outcome]:
    """Every connector of the tractive system that can be opened from outside a housing is positively locked.

    Why: Vibration works a plug loose, and under current it draws an arc before its interlock has opened anything.
    Wrong:
        tractive_system: {connectors: {pack_outlet: {locking: friction fit}}}
    Right:
        tractive_system: {connectors: {pack_outlet: {locking: lever with secondary lock}}}
    Mend: Take a connector with a lever, bayonet or threaded ring, and write under locking what holds it.
    """
    for place, name, connector in _connectors(look):
        locking, where = connector.locking, (*place, "locking")
        if connector.enclosure == "inside a housing":
            yield not_applicable(f"{name} is inside a housing", place)
        elif not isinstance(locking, str):
            yield unsaid(locking, where, f"how the connector {name} is locked", "should be positively locked")
        elif is_nothing(locking) or (said(_NOT_LOCKED, locking) and not said(_LOCKED, locking)) or said(r"\b(?:not|un)[\s-]?(?:positively )?lock(?:ed|ing)\b", locking):
            yield finding(where, f"the connector {name} is held by: {locking}", "should be positively locked")
        else:
            yield stated(where, f"the connector {name} is locked by: {locking}")
    yield from _no_connector(look)


@rule("pilot-breaks-last", SUBJECT, "", Severity.WARNING)
def pilot_breaks_last(look: Look) -> Iterator[Outcome]:
    """The pilot contact of a connector mates last and breaks first.

    Why: Then the contactors are open before the power contacts part, and there is no arc in the hand.
    Wrong:
        tractive_system: {connectors: {pack_outlet: {pilot_order: breaks last}}}
    Right:
        tractive_system: {connectors: {pack_outlet: {pilot_order: breaks first}}}
    Mend: Take a connector with a short pilot pin; look the order up in its data sheet.
    """
    for place, name, connector in _connectors(look):
        if connector.enclosure == "inside a housing" or not isinstance(connector.pilot, str):
            yield not_applicable(f"{name} is inside a housing or names no pilot contact", place)
        elif not isinstance(connector.pilot_order, str):
            yield unsaid(connector.pilot_order, (*place, "pilot_order"), f"whether the pilot contact of the connector {name} breaks first", "should break first")
        elif connector.pilot_order != "breaks first":
            yield finding((*place, "pilot_order"), f"the pilot contact of the connector {name} {connector.pilot_order}", "should break first")
        else:
            yield stated((*place, "pilot_order"), f"the pilot contact of the connector {name} breaks first")
    yield from _no_connector(look)


@rule("outboard-interlock-missing", SUBJECT, "outboard-interlock")
def outboard_interlock_missing(look: Look) -> Iterator[Outcome]:
    """The connector of an outboard motor has an interlock that runs along the suspension.

    Why: A corner that tears off takes the motor cable with it; the loop must be open before the cable parts.
    Wrong:
        tractive_system: {connectors: {motor: {enclosure: inside a housing, outboard: upright}}}
    Right:
        tractive_system: {connectors: {motor: {enclosure: inside a housing, outboard: upright, pilot: pack_link, routed: "along the wishbone, shorter than the motor cable"}}}
    Mend: Run a pilot line along the suspension to the upright and put it into the loop; describe it under pilot and routed.
    """
    judged = False
    for place, name, connector in _outboard(look):
        judged = True
        if isinstance(connector.outboard, Unknown):
            yield not_evaluated((*place, "outboard"), f"whether the connector {name} sits on the suspension is unknown")
        elif isinstance(connector.pilot, Unknown):
            yield not_evaluated((*place, "pilot"), f"the interlock of the outboard connector {name} is unknown")
        elif isinstance(connector.pilot, str):
            yield stated((*place, "pilot"), f"the interlock of the outboard connector {name} is {connector.pilot}")
        elif connector.enclosure == "inside a housing":
            yield finding((*place, "pilot"), f"the outboard connector {name} has no interlock", "must have one along the suspension")
        else:
            yield not_applicable(f"that {name} has no pilot contact is a finding of its own", place)
    if not judged:
        yield not_applicable("no connector is said to sit on the suspension")


@rule("outboard-interlock-late", SUBJECT, "outboard-interlock")
def outboard_interlock_late(look: Look) -> Iterator[Outcome]:
    """The interlock of an outboard motor opens before the motor cable fails.

    Why: If the pilot line is the longer one, the power cable tears first, live and whipping.
    Wrong:
        tractive_system: {connectors: {motor: {outboard: upright, pilot: pack_link, routed: "with slack, longer than the motor cable"}}}
    Right:
        tractive_system: {connectors: {motor: {outboard: upright, pilot: pack_link, routed: "along the wishbone, shorter than the motor cable"}}}
    Mend: Route the pilot line along the suspension, shorter than the cable, and say so under routed.
    """
    judged = False
    for place, name, connector in _outboard(look):
        judged = True
        where, must = (*place, "routed"), "must open the loop before the motor cable fails"
        if not isinstance(connector.pilot, str) or isinstance(connector.outboard, Unknown):
            yield not_applicable(f"no interlock of an outboard connector {name} is named", place)
        elif not isinstance(connector.routed, str):
            yield unsaid(connector.routed, where, f"the way of the interlock of the outboard connector {name}", must)
        elif said(r"\b(?:shorter|first|before|earlier|sooner|less slack|tighter)\b", connector.routed):
            yield stated(where, f"the interlock of the outboard connector {name} runs {connector.routed}")
        elif said(r"\b(?:longer|last|after|later|same length|as long as|equally long|not along)\b", connector.routed):
            yield finding(where, f"the interlock of the outboard connector {name} runs {connector.routed}", must)
        else:
            yield at_car(where, f"whether the interlock of {name}, which runs {connector.routed}, opens before the motor cable fails")
    if not judged:
        yield not_applicable("no connector is said to sit on the suspension")


def _outboard(look: Look) -> Iterator[tuple[Path, str, HvConnector]]:
    """The connectors that sit on the suspension, or may do so."""
    for place, name, connector in _connectors(look):
        if isinstance(connector.outboard, Unknown) or (connector.outboard is not None and not is_nothing(connector.outboard)):
            yield place, name, connector


RULES = (
    service_disconnect_slow,
    service_disconnect_low,
    service_disconnect_needs_tool,
    service_disconnect_remote,
    service_disconnect_poles,
    interlock_closed_apart,
    connector_not_locked,
    pilot_breaks_last,
    outboard_interlock_missing,
    outboard_interlock_late,
)
