"""Members, order and side: the act that brings the tractive system up, apart from closing the loop."""

from collections.abc import Collection, Iterator

from docgen.car.device import FUNCTIONS
from docgen.finding import Outcome, at_car, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import DRIVE, PROTECTIVE, Look
from docgen.network import Element, Kind, Network, contact_at, contact_path, healthy, modes
from docgen.provenance import Path
from docgen.rules.members import coils_of

SUBJECT = "Members, order and side"

ACTIVE = ("accumulator contactor", "pre-charge relay")
"""Functions of the relays that make the tractive system active as soon as one of them closes."""

ACTIVATING = frozenset({"start button", "activation logic"})

WAITING = frozenset(FUNCTIONS) - PROTECTIVE - frozenset(ACTIVE)
"""Functions whose open contact may be what waits for the act."""


@rule("activation-missing", SUBJECT, "activation-separate")
def activation_missing(look: Look) -> Iterator[Outcome]:
    """Closing the members of the drive loop alone energises neither a contactor nor a pre-charge relay.

    Why: Whoever pulls the last button out, or puts the last plug in, stands beside the car with both hands on it.
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
              - ts_master
              - pack_link
              - each_to_return: [[coil air_minus], [precharge_unit.running, coil precharge_relay], [precharge_unit.done, coil air_plus], [coil hold_relay]]
    Right:
        loops: {drive: {source: low_voltage}}
    Mend: Put a start button with a relay that holds into the loop, before the coils.
    """
    graph = look.networks.get(DRIVE)
    place: Path = ("loops", DRIVE, "path")
    if graph is None or not coils_of(look, graph, *ACTIVE):
        yield not_applicable("the drive loop energises no contactor")
    elif alone := _come_up(look, graph, WAITING, unknown_closed=False):
        yield finding(place, f"closing the members of the loop alone energises {', '.join(alone)}", "must need a further act, such as a start button with a relay that holds")
    elif _come_up(look, graph, WAITING, unknown_closed=True):
        yield not_evaluated(place, "whether a contact before the coils is open before the act is not known")
    elif _come_up(look, graph, ACTIVATING, unknown_closed=False):
        yield stated(place, "a controller or another device keeps the coils without current until the act")
    else:
        yield holds(place, "the coils get current only after a further act")


def _come_up(look: Look, graph: Network, waiting: Collection[str], unknown_closed: bool) -> tuple[str, ...]:
    """What becomes active when every contact is closed but those that wait for the act, of devices with the functions `waiting`.

    A start button or an activation relay waits at rest; what else waits does so in the phase off.
    """
    found: dict[str, None] = {}
    for mode in modes(look.car):

        def closed(element: Element, mode: str = mode) -> bool:
            device, contact = look.car.devices.get(element.name), contact_at(look.car, element)
            if device is None or not isinstance(device.function, str):
                return unknown_closed
            if device.function not in waiting:
                return True
            before_the_act = contact.at_rest if contact and device.function in ACTIVATING else contact and healthy(device, contact, "off", mode)
            return before_the_act == "closed" if isinstance(before_the_act, str) else unknown_closed

        carrying = graph.energised(closed)
        found |= dict.fromkeys(coil.name for coil in coils_of(look, graph, *ACTIVE) if coil in carrying)
    return tuple(found)


@rule("activation-survives-opening", SUBJECT, "activation-separate")
def activation_survives_opening(look: Look) -> Iterator[Outcome]:
    """The relay that holds the activation drops when any member of the drive loop opens.

    Why: A relay that is fed from before a member goes on holding while that member is open; closing it again brings the
        tractive system up without anyone having asked for it.
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
              - each_to_return: [[coil hold_relay]]
              - ts_master
              - pack_link
              - each_to_return: [[coil air_minus], [precharge_unit.running, coil precharge_relay], [precharge_unit.done, coil air_plus]]
    Right:
        loops: {drive: {source: low_voltage}}
    Mend: Feed the coil of the relay from behind the last member of the loop.
    """
    graph = look.networks.get(DRIVE)
    holding = {element.name: element for element in look.in_loop(graph, "activation logic")} if graph else {}
    if graph is None or not holding or not coils_of(look, graph, *ACTIVE):
        yield not_applicable("no contact of an activation logic stands in a loop that energises a contactor")
        return
    before_a_coil = frozenset[Element]().union(*(graph.in_series_with(coil) for coil in coils_of(look, graph, *ACTIVE)))
    members = [element for element in look.in_loop(graph, *sorted(PROTECTIVE)) if element in before_a_coil]
    for name, contact in holding.items():
        coils = [coil for coil in graph.of_kind(Kind.COIL) if coil.name == name]
        series = frozenset.intersection(*(graph.in_series_with(coil) for coil in coils)) if coils else frozenset()
        behind = [element for element in members if element not in series]
        if not coils and look.car.devices[name].worked_by == "coil":
            yield finding(contact.step, f"the coil of {name} is not in the drive loop, so that no member of the loop drops it", "must be energised through the loop")
        elif not coils:
            yield at_car(("devices", name), f"that {look.printed(name)} goes back when a member of the loop opens")
        elif behind:
            others = f" and {len(behind) - 1} more" if len(behind) > 1 else ""
            yield finding(coils[0].step, f"opening {look.printed(behind[0].name)}{others} does not drop {name}, so that closing it again activates", "must drop with every member")
        else:
            yield holds(coils[0].step, f"{name} drops with every member of the loop")


@rule("start-button-stays-closed", SUBJECT, "activation-separate")
def start_button_stays_closed(look: Look) -> Iterator[Outcome]:
    """A start button in the drive loop is closed only while it is pressed.

    Why: A start switch that stays closed has been asked once and answers every time the loop closes again.
    Wrong:
        devices: {start_button: {contact: {when_healthy: {off: open, precharging: closed, active: closed}}}}
    Right:
        devices: {start_button: {contact: {when_healthy: open}}}
    Mend: Take a button with spring return, and let a relay hold the activation.
    """
    graph = look.networks.get(DRIVE)
    buttons = list(look.in_loop(graph, "start button")) if graph else []
    for element in buttons:
        device, contact = look.car.devices[element.name], contact_at(look.car, element)
        place = (*contact_path(device, element.name, element.contact), "when_healthy")
        states = {healthy(device, contact, "active", mode) for mode in modes(look.car)} if contact else {None}
        if "closed" in states:
            yield finding(place, f"{look.printed(element.name)} is closed while the tractive system is active", "must be closed only while it is pressed")
        elif None in states:
            yield not_evaluated(place, f"the healthy state of {element.spelled} in the phase active is not known")
        else:
            yield holds(place, f"{look.printed(element.name)} is open again while the tractive system is active")
    if not buttons:
        yield not_applicable("no start button stands in the drive loop")


RULES = (activation_missing, activation_survives_opening, start_button_stays_closed)
