"""Devices in numbers: the coils, contacts, stages and fuses of the drive loop, as the solved circuit loads them."""

import re
from collections.abc import Iterator
from typing import Any

from docgen.analysis.loop_described import drive_circuit, source_voltage
from docgen.analysis.loop_electrical import contacts_of
from docgen.calculation import Given, Missing
from docgen.car.device import Coil
from docgen.car.values import Unknown
from docgen.finding import Outcome, Severity, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import Look
from docgen.network import Element
from docgen.quantity import Quantity
from docgen.rules.fields import meant
from docgen.rules.numbers import SUBJECT, judged


@rule("source-voltages-disordered", SUBJECT, "")
def source_voltages_disordered(look: Look) -> Iterator[Outcome]:
    """The lowest voltage of the low-voltage source is no higher than its nominal one, and that no higher than its highest.

    Why: Every figure of the loop is computed between these ends; swapped, each worst case becomes a best one.
    Wrong:
        low_voltage: {source: {voltage: {lowest: 13.5 V}}}
    Right:
        low_voltage: {source: {voltage: {lowest: 11.2 V}}}
    Mend: Put the three voltages right.
    """
    circuit = drive_circuit(look)
    place = ("low_voltage", "source", "voltage")
    if circuit is None:
        yield not_applicable("no drive loop is described")
    elif circuit.impossible:
        yield finding(place, circuit.impossible, "must rise from lowest to highest")
    elif isinstance(circuit.source, Missing):
        yield not_evaluated(place, f"the {circuit.source.name} is not known")
    else:
        yield holds(place, "the three voltages of the source rise from lowest to highest")


@rule("coil-does-not-pick-up", SUBJECT, "", Severity.WARNING)
def coil_does_not_pick_up(look: Look) -> Iterator[Outcome]:
    """At the lowest source, with every contact and wire of its way at the highest resistance, each coil still gets what it needs when hot.

    Why: The inrush of a contactor through twenty contacts takes volts; the car that starts on the bench stays dead on a hot day with a
        tired battery.
    Wrong:
        devices: {air_plus: {coil: {pick_up: 9.0 V}}}
    Right:
        devices: {air_plus: {coil: {pick_up: 7.0 V}}}
    Mend: Thicker wires, fewer or better contacts, a coil with less inrush or a lower pick-up voltage; or let the contactors close one after
        the other.
    """
    yield from judged(look, "coil-pick-up")


@rule("coil-does-not-hold", SUBJECT, "", Severity.WARNING)
def coil_does_not_hold(look: Look) -> Iterator[Outcome]:
    """At the lowest source each coil that is held stays above its drop-out voltage, also while its neighbours pick up.

    Why: When the second contactor pulls in, the voltage sags; a contactor that lets go then opens under load and welds.
    Wrong:
        devices: {air_minus: {coil: {drop_out: 10.8 V}}}
    Right:
        devices: {air_minus: {coil: {drop_out: 4.0 V}}}
    Mend: Lower the resistance of the line, or let the coils pick up one after the other.
    """
    yield from judged(look, "coil-hold")


@rule("stage-rated-too-low", SUBJECT, "own-power-stage")
def stage_rated_too_low(look: Look) -> Iterator[Outcome]:
    """The stage by which a system opens the loop is rated for the loop current, the inrush of the coils counted in.

    Why: A contact that closes on more than its rating welds, and then the system can no longer open the loop.
    Wrong:
        devices: {imd: {contact: {rating: [24 V DC, 2 A]}}}
    Right:
        devices: {imd: {contact: {rating: [24 V DC, 10 A]}}}
    Mend: Take a larger relay or transistor, or coils with less inrush.
    """
    yield from judged(look, "stage-current")


@rule("contact-rated-too-low", SUBJECT, "", Severity.WARNING)
def contact_rated_too_low(look: Look) -> Iterator[Outcome]:
    """Every other contact of the loop is rated for the current that it carries, the inrush of the coils counted in.

    Why: The start button carries the whole inrush for the moment in which nothing else is closed; a signal switch does not survive that.
    Wrong:
        devices: {start_button: {contact: {rating: [24 V DC, 0.5 A]}}}
    Right:
        devices: {start_button: {contact: {rating: [24 V DC, 10 A]}}}
    Mend: Take a larger contact, or coils with less inrush.
    """
    yield from judged(look, "contact-current")


@rule("contact-voltage-too-low", SUBJECT, "", Severity.WARNING)
def contact_voltage_too_low(look: Look) -> Iterator[Outcome]:
    """Every contact of the loop is rated for the highest DC voltage of the source.

    Why: A contact that breaks a coil current above its DC voltage draws an arc and burns away.
    Wrong:
        devices: {ts_master: {contact: {rating: [12 V DC, 10 A]}}}
    Right:
        devices: {ts_master: {contact: {rating: [24 V DC, 10 A]}}}
    Mend: Take a contact for a higher DC voltage; a rating for AC says nothing about DC.
    """
    circuit = drive_circuit(look)
    highest = source_voltage(look, "highest")
    rows = contacts_of(look, circuit) if circuit else ()
    for row in rows:
        place = (*row.path, "rating")
        rating = row.contact.rating[0] if isinstance(row.contact.rating, tuple) else row.contact.rating
        if not isinstance(rating, Quantity) or not isinstance(highest, Given):
            yield not_evaluated(place, f"the rated voltage of {row.name} or the highest voltage of the source is not known")
        elif rating.kind == "AC":
            yield finding(place, f"{row.name} is rated {rating}", "must be rated for DC")
        elif float(rating.low) < highest.band.high:
            yield finding(place, f"{row.name} is rated {rating}", f"must be at least {highest.band.high:g} V, the highest voltage of the source")
        else:
            yield holds(place, f"{row.name} is rated {rating}, the source has at most {highest.band.high:g} V")
    if not rows:
        yield not_applicable("no contact of the drive loop is described")


@rule("stage-leaks", SUBJECT, "loop-opening-result")
def stage_leaks(look: Look) -> Iterator[Outcome]:
    """What leaks through an open solid-state stage holds no coil.

    Why: A transistor that is off still lets some current through; a coil lets go at a twentieth of what it needed to pick up.
    Wrong:
        devices: {imd: {contact: {kind: high-side stage, construction: solid state, leakage: 20 mA}}}
    Right:
        devices: {imd: {contact: {kind: high-side stage, construction: solid state, leakage: 0.05 mA}}}
    Mend: Take a stage with less leakage, or a resistor across the coil that carries it.
    """
    yield from judged(look, "coil-residual")


@rule("loop-fuse-overloaded", SUBJECT, "", Severity.WARNING)
def loop_fuse_overloaded(look: Look) -> Iterator[Outcome]:
    """What a fuse of the loop carries for as long as a phase lasts is no more than its rating.

    Why: A fuse that is run above its rating opens the loop some day at speed, with nothing wrong in the car.
    Wrong:
        low_voltage: {fuses: {F1: {rating: 0.4 A}}}
    Right:
        low_voltage: {fuses: {F1: {rating: 5 A}}}
    Mend: Take a larger fuse that the wires still bear, or coils that draw less.
    """
    yield from judged(look, "fuse-current")


_BARE = re.compile(r"(?:free-?wheel(?:ing)?|flyback|fly-back|plain|single|schottky|silicon|bare)?\s*diode", re.IGNORECASE)
_FAST = re.compile(r"zener|z-diode|\btvs\b|suppress[oe]r|transil|avalanche|varistor|\bMOV\b|resistor|snubber|\bRC\b|bidirectional|clamp", re.IGNORECASE)


def _coils(look: Look) -> dict[Element, Coil]:
    """The coils of the drive loop that are described."""
    circuit = drive_circuit(look)
    found = {}
    for element in circuit.coils if circuit else ():
        device = look.car.devices.get(element.name)
        if device and isinstance(device.coil, Coil):
            found[element] = device.coil
    return found


def _is_bare(suppression: Any) -> bool:
    """Whether words on a suppression mean a diode alone."""
    return isinstance(suppression, str) and bool(meant(_BARE, suppression)) and not meant(_FAST, suppression)


@rule("suppressor-holds-neighbour", SUBJECT, "", Severity.WARNING)
def suppressor_holds_neighbour(look: Look) -> Iterator[Outcome]:
    """No bare diode across one coil lets the current of a neighbour go on flowing after the loop has opened.

    Why: The coils hang on one line: what is joined across one of them is joined across all. A bare diode at the smallest relay makes the
        contactor beside it let go several times later than its own suppression allows.
    Wrong:
        devices: {hold_relay: {coil: {suppression: freewheeling diode}}}
    Right:
        devices: {hold_relay: {coil: {suppression: diode and 24 V zener}}}
    Mend: Give every coil of the line a suppression of the same voltage, such as a diode with a zener, or a decoupling diode of its own.
    """
    circuit, coils = drive_circuit(look), _coils(look)
    for element, coil in coils.items():
        place = ("devices", element.name, "coil", "suppression")
        together = {other for situation in (circuit.situations if circuit else ()) if element in situation.fed for other in situation.fed}
        slowed = [other.name for other in coils if other in together and other.name != element.name and not _is_bare(coils[other].suppression)]
        if coil.suppression is None or isinstance(coil.suppression, Unknown):
            yield not_evaluated(place, f"what limits the voltage of the coil of {element.name} is not said")
        elif _is_bare(coil.suppression) and slowed:
            was = f"the suppression of {element.name}, {coil.suppression}, also carries on the current of {', '.join(slowed)}"
            yield finding(place, was, "must clamp no lower than that of its neighbours")
        else:
            yield stated(place, f"the coil of {element.name} has {coil.suppression}")
    if not coils:
        yield not_applicable("no coil of the drive loop is described")


@rule("release-without-suppression", SUBJECT, "", Severity.WARNING)
def release_without_suppression(look: Look) -> Iterator[Outcome]:
    """A release time is given together with the suppression under which it holds.

    Why: The same contactor lets go in 2 ms without suppression and in 10 ms with a diode.
    Wrong:
        devices: {air_plus: {coil: {suppression: null}}}
    Right:
        devices: {air_plus: {coil: {suppression: built in}}}
    Mend: Write under suppression what is across the coil, and give the release time that the data sheet has for it.
    """
    judged_any = False
    for element, coil in _coils(look).items():
        place = ("devices", element.name, "coil", "release")
        if coil.release is None:
            continue
        judged_any = True
        if isinstance(coil.release, Unknown) or isinstance(coil.suppression, Unknown):
            yield not_evaluated(place, f"the release time of {element.name} or its suppression is unknown")
        elif coil.suppression is None:
            was = f"{element.name} releases in {coil.release}, and its suppression is not said"
            yield finding(place, was, "must be given with the suppression under which it holds")
        else:
            yield stated(place, f"{element.name} releases in {coil.release} with {coil.suppression}")
    if not judged_any:
        yield not_applicable("no coil of the drive loop gives a release time")


RULES = (
    source_voltages_disordered,
    coil_does_not_pick_up,
    coil_does_not_hold,
    stage_rated_too_low,
    contact_rated_too_low,
    contact_voltage_too_low,
    stage_leaks,
    loop_fuse_overloaded,
    suppressor_holds_neighbour,
    release_without_suppression,
)
