"""Devices in numbers: discharge."""

import re
from collections.abc import Iterator

from docgen.analysis.intermediate import INVERTERS, contactors, is_below_limit, is_permanent, switch_of, tractive, without_discharge
from docgen.car.device import Delay
from docgen.car.tractive import Discharge
from docgen.car.values import Unknown
from docgen.finding import Outcome, at_car, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import DRIVE, PROTECTIVE, Look
from docgen.network import Element, Kind, Network, contact_path
from docgen.printing import listed
from docgen.provenance import Path
from docgen.quantity import Quantity
from docgen.rules.fields import unsaid
from docgen.rules.members import coils_of, in_series_with_all
from docgen.rules.numbers import SUBJECT, judged


def _described(look: Look) -> Iterator[tuple[Path, str, Discharge]]:
    """Every described discharge: path, inverter, discharge."""
    for name, inverter in tractive(look).inverters.items():
        if isinstance(inverter.discharge, Discharge):
            yield (*INVERTERS, name, "discharge"), name, inverter.discharge


def _absent(look: Look) -> Iterator[Outcome]:
    """Not applicable, where no discharge is described: that it is missing is a finding of one rule."""
    if not any(True for _ in _described(look)):
        yield not_applicable("no discharge is described")


@rule("discharge-too-slow", SUBJECT, "loop-opening-result")
def discharge_too_slow(look: Look) -> Iterator[Outcome]:
    """Every intermediate circuit is below the voltage of the edition in its time after the loop has opened, from the highest voltage and with tolerances against it.

    Why: Film capacitors come with twenty percent, resistors with five, and the contacts move first: the nominal time is not the one that counts.
    Wrong:
        tractive_system: {inverters: {inverter: {discharge: {resistor: 6.8 kΩ ± 5 %}}}}
    Right:
        tractive_system: {inverters: {inverter: {discharge: {resistor: 4.7 kΩ ± 5 %}}}}
    Mend: Take a discharge resistor below the largest one that is computed, and see that it bears the power.
    """
    yield from judged(look, "discharge-time")


@rule("discharge-resistor-overloaded", SUBJECT, "discharge")
def discharge_resistor_overloaded(look: Look) -> Iterator[Outcome]:
    """The discharge resistor bears the highest voltage, for good or for as long as the edition asks.

    Why: With a contactor stuck closed the resistor stands at full voltage until somebody pulls the service disconnect.
    Wrong:
        tractive_system: {inverters: {inverter: {discharge: {rated_power: 40 W}}}}
    Right:
        tractive_system: {inverters: {inverter: {discharge: {rated_power: 60 W}}}}
    Mend: Take a resistor with a higher power or a higher resistance that is still quick enough, and mount it as its data sheet asks.
    """
    yield from judged(look, "discharge-power")


@rule("discharge-fused", SUBJECT, "discharge-unfused")
def discharge_fused(look: Look) -> Iterator[Outcome]:
    """No fuse is in the discharge path.

    Why: A fuse that has blown unseen leaves the capacitors charged, and nobody knows until a hand is on them.
    Wrong:
        tractive_system: {inverters: {inverter: {discharge: {fused: fused}}}}
    Right:
        tractive_system: {inverters: {inverter: {discharge: {fused: not fused}}}}
    Mend: Take the fuse out; the resistor limits the current.
    """
    for path, name, described in _described(look):
        place = (*path, "fused")
        if not isinstance(described.fused, str):
            yield unsaid(described.fused, place, f"whether a fuse is in the discharge path of {name}", "must be not fused")
        elif described.fused == "fused":
            yield finding(place, f"a fuse is in the discharge path of {name}", "must be not fused")
        else:
            yield stated(place, f"no fuse is in the discharge path of {name}")
    yield from _absent(look)


_NAME = re.compile(r"[^\W\d_][\w-]*(?:\.[^\W\d_][\w-]*)?")


@rule("discharge-needs-supply", SUBJECT, "discharge")
def discharge_needs_supply(look: Look) -> Iterator[Outcome]:
    """The discharge works without low voltage: by a contact that is closed at rest, or connected for good.

    Why: After a crash or with the battery plug pulled nothing can close a contact any more, and the capacitors keep their charge for minutes.
    Wrong:
        devices: {discharge_relay: {contacts: {power: {at_rest: open, form: make}}}}
    Right:
        devices: {discharge_relay: {contacts: {power: {at_rest: closed, form: break}}}}
    Mend: Switch the discharge by the break contact of a relay, and name it under through; or connect the resistor for good and write nothing.
    """
    yield from _undescribed(look)
    for path, name, described in _described(look):
        place, text, switch = (*path, "through"), described.through, switch_of(look, described)
        if not isinstance(text, str):
            yield unsaid(text, place, f"what switches the discharge of {name}", "must be a break contact of a described device, or nothing where it is connected for good")
        elif switch and switch.contact.at_rest == "closed":
            yield holds((*contact_path(switch.device, switch.name, switch.key), "at_rest"), f"the contact of {look.printed(switch.name)} that discharges {name} is closed at rest")
        elif switch and isinstance(switch.contact.at_rest, str):
            at_rest = (*contact_path(switch.device, switch.name, switch.key), "at_rest")
            yield finding(at_rest, f"the contact of {look.printed(switch.name)} that discharges {name} is {switch.contact.at_rest} at rest", "must be closed at rest")
        elif switch:
            yield not_evaluated(place, f"the state at rest of the contact {text} is not known")
        elif is_permanent(described):
            yield stated(place, f"the discharge of {name} is connected for good")
        elif _NAME.fullmatch(text.strip()):
            yield finding(place, f"the discharge of {name} goes through {text}, which is no described contact", "must be a break contact of a described device")
        else:
            yield not_evaluated(place, f"whether the discharge of {name} works without low voltage cannot be told from “{text}”")


def _undescribed(look: Look) -> Iterator[Outcome]:
    """Inverters without a discharge of their own."""
    inverters = tractive(look).inverters
    if not inverters:
        yield not_applicable("no inverter is described")
    elif is_below_limit(look):
        yield not_applicable("the tractive system never exceeds the voltage below which it counts as off")
    else:
        shared = without_discharge(look)
        for name, inverter in inverters.items():
            if isinstance(inverter.discharge, Unknown):
                yield not_evaluated((*INVERTERS, name, "discharge"), f"the discharge of {name} is unknown")
            elif name in shared:
                yield stated((*INVERTERS, name), f"{name} has no discharge of its own; its capacitance is counted to the others")
            elif inverter.discharge is None:
                yield finding((*INVERTERS, name), f"no discharge of {name} is described", "must be described")


@rule("discharge-not-released-by-loop", SUBJECT, "discharge")
def discharge_not_released_by_loop(look: Look) -> Iterator[Outcome]:
    """Whatever takes the supply from the contactors takes it from the coil that holds the discharge open.

    Why: A discharge that a controller releases waits for a program; one whose coil stands before an interlock stays open when that interlock opens.
    Wrong:
        devices: {discharge_relay: {worked_by: power, feed: cells_feed}}
    Right:
        devices: {discharge_relay: {worked_by: coil}}
    Mend: Put the coil of the discharge relay into the drive loop where the coils of the contactors stand, as a branch to the return.
    """
    graph = look.networks.get(DRIVE)
    series = in_series_with_all(graph, coils_of(look, graph, "accumulator contactor")) if graph else frozenset()
    needed = [element for element in look.in_loop(graph, *sorted(PROTECTIVE)) if element in series] if graph else []
    for path, name, described in _described(look):
        switch = switch_of(look, described)
        if switch is None:
            yield not_applicable(f"no switched discharge of {name} is described", (*path, "through"))
            continue
        printed, place = look.printed(switch.name), ("devices", switch.name)
        if switch.device.worked_by not in (None, "coil") and not isinstance(switch.device.worked_by, Unknown):
            yield finding((*place, "worked_by"), f"{printed} is worked by {switch.device.worked_by}", "must be released by the drive loop itself, with its coil in it")
        elif graph is None or not needed:
            yield not_evaluated(place, "no protective contact of a drive loop is described that opens the contactors")
        elif coils := [coil for coil in graph.of_kind(Kind.COIL) if coil.name == switch.name]:
            for coil in coils:
                yield _released(graph, coil, needed, printed)
        else:
            yield finding(place, f"the coil of {printed} is not in the drive loop", "must be energised through it")
    yield from _absent(look)


def _released(graph: Network, coil: Element, needed: list[Element], printed: str) -> Outcome:
    """Whether every protective contact that opens the contactors also releases this coil."""
    series = graph.in_series_with(coil)
    passed = [element.spelled for element in needed if element not in series]
    if passed:
        verb = "opens" if len(passed) == 1 else "open"
        return finding(coil.step, f"{printed} stays energised when {listed(passed)} {verb}", "must be released by whatever opens the contactors")
    return holds(coil.step, f"whatever opens the contactors releases {printed}")


@rule("contactor-opens-late", SUBJECT, "contactor-opening-delay")
def contactor_opens_late(look: Look) -> Iterator[Outcome]:
    """Every contactor has opened within the delay that the edition allows, release and tolerances counted in.

    Why: Until the last contactor has opened, the accumulator feeds whatever is wrong.
    Wrong:
        devices: {air_plus: {delay: {time: 300 ms}}}
    Right:
        devices: {air_plus: {delay: {time: 200 ms}}}
    Mend: Shorten the delay of the coil supply, or take a suppression that lets the contactor go sooner.
    """
    yield from judged(look, "contactor-opening")


@rule("contactor-supply-sags", SUBJECT, "contactor-opening-delay")
def contactor_supply_sags(look: Look) -> Iterator[Outcome]:
    """A contactor that opens with a delay has its supply cut at once when the delay is over, before it sags.

    Why: A coil that only a capacitor feeds lets go slowly, and slow contacts draw an arc and weld.
    Wrong:
        devices: {air_plus: {delay: {resistor: 100 Ω, capacitor: 2.2 mF}}}
    Right:
        devices: {air_plus: {delay: {time: 200 ms}}}
    Mend: Let a comparator cut the supply of the coil, and say at which share of it under trips_at.
    """
    found = False
    for name in contactors(look):
        delay, place = look.car.devices[name].delay, ("devices", name, "delay")
        if delay is None:
            continue
        found = True
        if isinstance(delay, Delay) and isinstance(delay.trips_at, Quantity):
            yield stated(place, f"the supply of {look.printed(name)} is cut at {delay.trips_at}{' of it' if delay.trips_at.dimension == 'share' else ''}")
        elif isinstance(delay, Delay) and isinstance(delay.capacitor, Quantity) and delay.trips_at is None:
            yield finding(place, f"the supply of {look.printed(name)} sags with a capacitor of {delay.capacitor}", "must be cut at once when the delay is over")
        elif isinstance(delay, Delay) and isinstance(delay.time, Quantity):
            yield at_car(place, f"that the supply of {look.printed(name)} is cut at once after {delay.time}, before it sags to the lowest voltage that holds it")
        else:
            yield not_evaluated(place, f"how the opening of {name} is delayed is unknown")
    if not found:
        yield not_applicable("no contactor opens with a delay")


RULES = (
    discharge_too_slow,
    discharge_resistor_overloaded,
    discharge_fused,
    discharge_needs_supply,
    discharge_not_released_by_loop,
    contactor_opens_late,
    contactor_supply_sags,
)
