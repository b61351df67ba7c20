"""Devices in numbers: the coils, contacts, stages and fuses of the loops, as the solved circuits load them."""

import re
from collections.abc import Iterator

from docgen.analysis import calculations
from docgen.analysis.loop_coils import decays
from docgen.analysis.loop_described import circuits, is_home, low_voltage_supply
from docgen.analysis.loop_electrical import contacts_of
from docgen.calculation import Given, Missing, of
from docgen.car.device import Coil
from docgen.car.values import Unknown
from docgen.finding import Outcome, Severity, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import Look
from docgen.quantity import Quantity
from docgen.rules.fields import meant
from docgen.rules.numbers import SUBJECT, judged, outcome_of


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
    place = ("low_voltage", "source", "voltage")
    supply, _, impossible = low_voltage_supply(look)
    if not circuits(look):
        yield not_applicable("no loop with a coil is described")
    elif impossible:
        yield finding(place, impossible, "must rise from lowest to highest")
    elif isinstance(supply, Missing):
        yield not_evaluated(place, f"the {supply.name} is not known")
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
    rows = [(row, circuit) for circuit in circuits(look).values() for row in contacts_of(look, circuit)]
    for row, circuit in rows:
        place = (*row.path, "rating") if is_home(look, circuit.graph, row.elements[0]) else row.elements[0].step
        rating = row.contact.rating[0] if isinstance(row.contact.rating, tuple) else row.contact.rating
        if not isinstance(rating, Quantity) or not isinstance(circuit.source, Given):
            yield not_evaluated(place, f"the rated voltage of {row.name} or the highest voltage of the source of {circuit.name} is not known")
        elif rating.kind == "AC":
            yield finding(place, f"{row.name} is rated {rating}", "must be rated for DC")
        elif float(rating.low) < circuit.source.band.high:
            was = f"{row.name} is rated {rating}"
            yield finding(place, was, f"must be at least {circuit.source.band.high:g} V, the highest voltage of the source of {circuit.name}")
        else:
            yield holds(place, f"{row.name} is rated {rating}, the source of {circuit.name} has at most {circuit.source.band.high:g} V")
    if not rows:
        yield not_applicable("no contact of a loop with a coil is described")


@rule("stage-leaks", SUBJECT, "loop-opening-result")
def stage_leaks(look: Look) -> Iterator[Outcome]:
    """What flows past an open contact, through a solid-state stage or a lamp across it, holds no coil.

    Why: A transistor that is off still lets some current through, and so does a lamp across a contact; a coil lets go at a twentieth of
        what it needed to pick up.
    Wrong:
        devices: {imd: {contact: {kind: high-side stage, construction: solid state, leakage: 20 mA}}}
    Right:
        devices: {imd: {contact: {kind: high-side stage, construction: solid state, leakage: 0.05 mA}}}
    Mend: Take a stage with less leakage, lead the lamp to chassis behind the contact, or lay a resistor across the coil that carries it.
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


_BARE_UP_TO = 3.0
"""Voltage in V below which a suppression is as good as a diode alone: two or three junctions in series."""


def _coils(look: Look) -> dict[str, Coil]:
    """The coils of the loops that are described, by device."""
    names = {element.name for circuit in circuits(look).values() for element in circuit.coils}
    return {name: device.coil for name, device in look.car.devices.items() if name in names and isinstance(device.coil, Coil)}


def _is_bare(coil: Coil) -> bool:
    """Whether the suppression of a coil is a diode alone, by its voltage or in words."""
    if isinstance(coil.clamp, Quantity):
        return float(coil.clamp.value) < _BARE_UP_TO and coil.damping is None
    return isinstance(coil.suppression, str) and bool(meant(_BARE, coil.suppression)) and not meant(_FAST, coil.suppression)


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
    coils = _coils(look)
    for name, coil in coils.items():
        place = ("devices", name, "coil", "suppression")
        beside = {other.name for circuit in circuits(look).values() for other in circuit.fed_with(name)}
        slowed = [other for other in coils if other in beside and not _is_bare(coils[other])]
        if coil.suppression is None or isinstance(coil.suppression, Unknown):
            yield not_evaluated(place, f"what limits the voltage of the coil of {name} is not said")
        elif _is_bare(coil) and slowed:
            was = f"the suppression of {name}, {coil.suppression}, also carries on the current of {', '.join(slowed)}"
            yield finding(place, was, "must clamp no lower than that of its neighbours")
        else:
            yield stated(place, f"the coil of {name} has {coil.suppression}")
    if not coils:
        yield not_applicable("no coil of a loop is described")


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
    timed = {name: coil for name, coil in _coils(look).items() if coil.release is not None}
    for name, coil in timed.items():
        place = ("devices", name, "coil", "release")
        bare = coil.release_stated == "without suppression"
        if isinstance(coil.release, Unknown) or isinstance(coil.suppression, Unknown) or isinstance(coil.release_stated, Unknown):
            yield not_evaluated(place, f"the release time of {name} or its suppression is unknown")
        elif coil.suppression is None and not bare:
            was = f"{name} releases in {coil.release}, and its suppression is not said"
            yield finding(place, was, "must be given with the suppression under which it holds")
        elif coil.suppression is not None and bare and not decays(coil):
            was = f"{name} releases in {coil.release} without suppression, and has {coil.suppression}"
            yield finding(place, was, "must be given with its suppression, or with the inductance of a coil without economiser")
        else:
            yield stated(place, f"{name} releases in {coil.release}" + (" without suppression" if bare else f" with {coil.suppression}"))
    if not timed:
        yield not_applicable("no coil of a loop gives a release time")


@rule("release-sooner-than-decay", SUBJECT, "", Severity.WARNING)
def release_sooner_than_decay(look: Look) -> Iterator[Outcome]:
    """No release time is stated that is over before the current of the coil has died away with its own suppression.

    Why: The release time of a data sheet often holds without suppression. A diode across the coil makes it several times as long, and so
        much longer the accumulator stays connected.
    Wrong:
        devices: {hold_relay: {coil: {inductance: 0.4 H, clamp: 0.7 V, release: 5 ms}}}
    Right:
        devices: {hold_relay: {coil: {inductance: 0.4 H, clamp: 24.7 V, release: 5 ms}}}
    Mend: Measure the release time with the suppression, or write under release_stated that it holds without any; it is computed then.
    """
    found = [figure for figure in of(calculations(look), "coil-decay") if figure.is_judged]
    for figure in found:
        yield outcome_of(figure)
    if not found:
        yield not_applicable("no release time is stated of a plain coil whose inductance is given")


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
    release_sooner_than_decay,
)
