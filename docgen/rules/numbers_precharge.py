"""Devices in numbers: pre-charge."""

from collections.abc import Iterator

from docgen.analysis import calculations
from docgen.analysis.intermediate import ACCUMULATORS, contactors, contactors_of, tractive
from docgen.analysis.precharge import precharges
from docgen.calculation import of
from docgen.car.contact import Contact
from docgen.car.tractive import Precharge
from docgen.car.values import Unknown
from docgen.finding import Outcome, Severity, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import Look
from docgen.network import contact_path, healthy, modes
from docgen.printing import band, listed
from docgen.provenance import Path
from docgen.rules.fields import unsaid
from docgen.rules.numbers import SUBJECT, judged, outcome_of


def _described(look: Look) -> Iterator[tuple[Path, str, Precharge]]:
    """Every described pre-charge: path, container, pre-charge."""
    for name, described in precharges(look).items():
        yield (*ACCUMULATORS, name, "precharge"), name, described


def _absent(look: Look) -> Iterator[Outcome]:
    """Not applicable, where no pre-charge is described: that it is missing is a finding of one rule."""
    if not precharges(look):
        yield not_applicable("no pre-charge is described")


@rule("precharge-level-too-low", SUBJECT, "precharge-level")
def precharge_level_too_low(look: Look) -> Iterator[Outcome]:
    """The circuit behind the contactors is charged to the level of the edition before the second contactor closes, with errors and tolerances against it.

    Why: A measurement that reads one percent too high closes one percent too early, and the rest of the charge goes through the contacts at once.
    Wrong:
        tractive_system: {accumulators: {main: {precharge: {at: 95.5 %}}}}
    Right:
        tractive_system: {accumulators: {main: {precharge: {at: 96 %}}}}
    Mend: Raise the level, or the time of a timed scheme, until its lowest value keeps the limit.
    """
    containers = tractive(look).accumulators
    if precharges(look) or not containers:
        yield from judged(look, "precharge-level")
    elif any(isinstance(container.precharge, Unknown) for container in containers.values()):
        yield not_evaluated(ACCUMULATORS, "the pre-charge is unknown")
    else:
        yield finding((*ACCUMULATORS, next(iter(containers))), "no pre-charge of the intermediate circuit is described", "must be described")


@rule("precharge-timed", SUBJECT, "precharge-end")
def precharge_timed(look: Look) -> Iterator[Outcome]:
    """The end of the pre-charge is found in a way that the edition allows.

    Why: A timer runs on when the relay has not closed or the resistor has burnt, and then the contactor closes onto empty capacitors.
    Wrong:
        tractive_system: {accumulators: {main: {precharge: {ends: timed, at: null, after: 4 s}}}}
    Right:
        tractive_system: {accumulators: {main: {precharge: {ends: measured}}}}
    Mend: Measure the voltage behind the contactors, compare it with that of the accumulator, and say so under ends.
    """
    allowed = look.edition.topic("precharge-end").words.get("end")
    for path, name, described in _described(look):
        place = (*path, "ends")
        if allowed is None:
            yield not_evaluated(place, f"how {look.edition.name} wants the end of the pre-charge found was not read")
        elif not isinstance(described.ends, str):
            yield unsaid(described.ends, place, f"whether the end of the pre-charge of {name} is measured or timed", f"must be {allowed}")
        elif described.ends in allowed.split(" or "):
            yield stated(place, f"the end of the pre-charge of {name} is {described.ends}")
        else:
            yield finding(place, f"the end of the pre-charge of {name} is {described.ends}", f"must be {allowed}")
    yield from _absent(look)


@rule("precharge-relay-kind", SUBJECT, "precharge-relay")
def precharge_relay_kind(look: Look) -> Iterator[Outcome]:
    """The pre-charge current is switched by a mechanical relay that is open at rest.

    Why: A semiconductor that has failed, or a contact that rests closed, puts the full voltage behind open contactors.
    Wrong:
        devices: {precharge_relay: {contacts: {power: {construction: solid state}}}}
    Right:
        devices: {precharge_relay: {contacts: {power: {at_rest: open, construction: mechanical, form: make}}}}
    Mend: Take a relay with a make contact for the voltage, and name it under relay.
    """
    for path, name, described in _described(look):
        if not isinstance(described.relay, str):
            yield unsaid(described.relay, (*path, "relay"), f"the pre-charge relay of {name}", "must be a mechanical relay, open at rest")
            continue
        found = _power_contact(look, described.relay)
        if found is None:
            yield not_evaluated((*path, "relay"), f"no power contact of {described.relay} is described")
            continue
        place, contact = found
        yield from _kind(place, contact, look.printed(described.relay))
    yield from _absent(look)


def _power_contact(look: Look, name: str) -> tuple[Path, Contact] | None:
    """The contact of a relay that carries its load: the one named power or main, else its only one."""
    device = look.car.devices.get(name)
    contacts = device.every_contact() if device else {}
    key = next((key for key in ("power", "main") if key in contacts), next(iter(contacts)) if len(contacts) == 1 else "")
    return (contact_path(device, name, key), contacts[key]) if device and key else None


def _kind(place: Path, contact: Contact, printed: str) -> Iterator[Outcome]:
    if contact.construction == "solid state" or contact.kind in ("high-side stage", "low-side stage"):
        field = "construction" if contact.construction == "solid state" else "kind"
        yield finding((*place, field), f"the power contact of {printed} is {getattr(contact, field)}", "must be mechanical")
    elif contact.construction == "mechanical":
        yield stated((*place, "construction"), f"the power contact of {printed} is mechanical")
    else:
        yield not_evaluated(place, f"the construction of the power contact of {printed} is not given")
    if contact.at_rest == "open":
        yield stated((*place, "at_rest"), f"the power contact of {printed} is open at rest")
    elif isinstance(contact.at_rest, str):
        yield finding((*place, "at_rest"), f"the power contact of {printed} is {contact.at_rest} at rest", "must be open at rest")
    else:
        yield not_evaluated(place, f"the state at rest of the power contact of {printed} is not known")


@rule("precharge-fused", SUBJECT, "precharge-unfused")
def precharge_fused(look: Look) -> Iterator[Outcome]:
    """No fuse is in the pre-charge path.

    Why: A fuse that has blown unseen leaves the capacitors empty, and a timer closes the contactor onto them.
    Wrong:
        tractive_system: {accumulators: {main: {precharge: {fused: fused}}}}
    Right:
        tractive_system: {accumulators: {main: {precharge: {fused: not fused}}}}
    Mend: Take the fuse out; the resistor limits the current.
    """
    for path, name, described in _described(look):
        place = (*path, "fused")
        if not isinstance(described.fused, str):
            yield unsaid(described.fused, place, f"whether a fuse is in the pre-charge path of {name}", "must be not fused")
        elif described.fused == "fused":
            yield finding(place, f"a fuse is in the pre-charge path of {name}", "must be not fused")
        else:
            yield stated(place, f"no fuse is in the pre-charge path of {name}")
    yield from _absent(look)


@rule("precharge-order", SUBJECT, "precharge-level")
def precharge_order(look: Look) -> Iterator[Outcome]:
    """While the circuit is being charged, the first contactor and the pre-charge relay are closed and the contactor that they bridge is open.

    Why: With the wrong contactor closed no charge flows, and with all of them closed the resistor is bypassed from the start.
    Wrong:
        devices: {air_plus: {contacts: {main: {when_healthy: closed}}}}
    Right:
        devices: {air_plus: {contacts: {main: {when_healthy: {off: open, precharging: open, active: closed}}}}}
    Mend: Name the contactor that closes first under first, and put right the states of contactors and relay for precharging.
    """
    for path, name, described in _described(look):
        named = contactors_of(tractive(look).accumulators[name])
        found = list(_out_of_order(look, path, name, described, named))
        known = isinstance(described.relay, str) and len(named) > 1 and None not in [_while_charging(look, one) for one in (*named, described.relay)]
        if not found and known:
            yield holds(path, f"while {name} is charged, {described.relay} and {listed(_closed(look, named))} are closed and another contactor is open")
        elif not found:
            yield not_evaluated(path, f"which contacts of {name} are closed while it is charged is not known")
        yield from found
    yield from _absent(look)


def _out_of_order(look: Look, path: Path, name: str, described: Precharge, named: tuple[str, ...]) -> Iterator[Outcome]:
    closed = _closed(look, named)
    known = all(_while_charging(look, one) is not None for one in named)
    if isinstance(described.first, str) and described.first in look.car.devices:
        if described.first not in named and (len(named) > 1 or described.first not in contactors(look)):
            yield finding((*path, "first"), f"{described.first} closes first and is no contactor of {name}", f"must be {' or '.join(named) or 'a contactor of it'}")
        elif _while_charging(look, described.first) == "open":
            yield finding((*path, "first"), f"{described.first} closes first and is open while {name} is charged", "must be closed then")
    if len(named) > 1 and known and len(closed) == len(named):
        yield finding(_healthy_place(look, closed[-1]), f"{listed(closed)} are closed while {name} is charged", "must leave the contactor open that the pre-charge bridges")
    if len(named) > 1 and known and not closed:
        yield finding(_healthy_place(look, named[-1]), f"{listed(named)} are open while {name} is charged", "must close the contactor that the pre-charge does not bridge")
    if isinstance(described.relay, str) and _while_charging(look, described.relay) == "open":
        yield finding(_healthy_place(look, described.relay), f"{described.relay} is open while {name} is charged", "must be closed then")


def _closed(look: Look, named: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(one for one in named if _while_charging(look, one) == "closed")


def _while_charging(look: Look, name: str) -> str | None:
    """State of a power contact while the circuit is being charged; None where it is unknown or differs from mode to mode."""
    device, found = look.car.devices.get(name), _power_contact(look, name)
    states = {healthy(device, found[1], "precharging", mode) for mode in modes(look.car)} if device and found else set()
    return states.pop() if len(states) == 1 else None


def _healthy_place(look: Look, name: str) -> Path:
    found = _power_contact(look, name)
    return (*found[0], "when_healthy") if found else ("devices", name)


@rule("precharge-never-ends", SUBJECT, "", Severity.WARNING)
def precharge_never_ends(look: Look) -> Iterator[Outcome]:
    """The level at which the second contactor closes is reached, also with the current that is drawn meanwhile and the voltage read too low.

    Why: What is drawn behind the contactors flows through the pre-charge resistor; the voltage that it drops there is never reached.
    Wrong:
        tractive_system: {accumulators: {main: {precharge: {load_current: 40 mA}}}}
    Right:
        tractive_system: {accumulators: {main: {precharge: {load_current: 5 mA}}}}
    Mend: Draw less, take a smaller resistor, or close at a lower level where the edition allows it.
    """
    for time in of(calculations(look), "precharge-time"):
        result = time.result
        if time.impossible:
            yield finding(time.about, f"the level at which the second contactor of {time.about[2]} closes is never reached: {time.impossible}", "must be reached")
        else:
            yield outcome_of(time) if result is None else holds(time.about, f"{time.title} is {band(result.low, result.nominal, result.high, 's')}")
    yield from _absent(look)


@rule("precharge-resistor-overloaded", SUBJECT, "", Severity.WARNING)
def precharge_resistor_overloaded(look: Look) -> Iterator[Outcome]:
    """The pre-charge resistor bears the peak power for as long as all attempts in a row weigh on it.

    Why: A pre-charge is over before the resistor is warm outside; its wire has taken the whole energy, and after three attempts three times as much.
    Wrong:
        tractive_system: {accumulators: {main: {precharge: {pulse_rating: [[1 s, 200 W], [5 s, 150 W]]}}}}
    Right:
        tractive_system: {accumulators: {main: {precharge: {pulse_rating: [[1 s, 300 W], [5 s, 150 W]]}}}}
    Mend: Take a resistor with a higher pulse load or a higher resistance, or allow fewer attempts before a pause.
    """
    yield from judged(look, "precharge-peak-power")


@rule("precharge-attempts-too-often", SUBJECT, "", Severity.WARNING)
def precharge_attempts_too_often(look: Look) -> Iterator[Outcome]:
    """The pre-charge resistor bears for good the mean power of its attempts with the pause after them, where that time is described.

    Why: Each attempt alone is over before the resistor is warm; with too short a pause the warmth of one is left to the next.
    Wrong:
        tractive_system: {accumulators: {main: {precharge: {attempts: 3, attempts_within: 1 s}}}}
    Right:
        tractive_system: {accumulators: {main: {precharge: {attempts: 3, attempts_within: 60 s}}}}
    Mend: Let the control wait longer before the next attempts, or take a resistor with a higher continuous power.
    """
    yield from judged(look, "precharge-mean-power")


@rule("precharge-against-discharge", SUBJECT, "", Severity.WARNING)
def precharge_against_discharge(look: Look) -> Iterator[Outcome]:
    """The pre-charge resistor bears a discharge that has stuck closed.

    Why: Against a stuck discharge the level is never reached, so that the current flows until somebody gives up.
    Wrong:
        tractive_system: {accumulators: {main: {precharge: {rated_power: 5 W}}}}
    Right:
        tractive_system: {accumulators: {main: {precharge: {rated_power: 10 W}}}}
    Mend: Take a resistor with a higher continuous power, or a smaller one in proportion to that of the discharge.
    """
    yield from judged(look, "precharge-stuck-power")


RULES = (
    precharge_level_too_low,
    precharge_timed,
    precharge_relay_kind,
    precharge_fused,
    precharge_order,
    precharge_never_ends,
    precharge_resistor_overloaded,
    precharge_attempts_too_often,
    precharge_against_discharge,
)
