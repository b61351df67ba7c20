"""Devices in numbers: the insulation monitor, the measuring points, spacing between tractive and low-voltage parts."""

import re
from collections.abc import Iterator

from docgen.analysis.insulation import FUNCTION
from docgen.car.device import Device
from docgen.finding import Outcome, Severity, at_car, finding, not_evaluated, rule, stated
from docgen.look import Look
from docgen.provenance import Path
from docgen.rules.fields import absent, meant, unsaid
from docgen.rules.numbers import SUBJECT, judged


@rule("monitor-response-too-low", SUBJECT, "monitor-response")
def monitor_response_too_low(look: Look) -> Iterator[Outcome]:
    """The response value of the insulation monitor, counted at the highest voltage and with its tolerance against it, keeps the limit of the edition.

    Why: A monitor that is set for the present voltage, or at its nominal value, lets through a fault that hurts when the cells are full.
    Wrong:
        devices: {imd: {response: {below: 200 kΩ ± 3 %}}}
    Right:
        devices: {imd: {response: {below: 250 kΩ ± 3 %}}}
    Mend: Set a higher response value; count its tolerance as the data sheet gives it.
    """
    yield from judged(look, "monitor-response-value")
    yield from absent(look, FUNCTION)


@rule("monitor-too-slow", SUBJECT, "monitor-test")
def monitor_too_slow(look: Look) -> Iterator[Outcome]:
    """The insulation monitor reports within the time of the test, at the capacitance of the whole tractive system to chassis.

    Why: Every filter capacitor makes the monitor slower, and the time on the first page of its data sheet holds for a small one.
    Wrong:
        devices: {imd: {response: {within: 40 s}}}
    Right:
        devices: {imd: {response: {within: 20 s}}}
    Mend: Add up the capacitances to chassis, read the response time at that value in the data sheet, and choose capacitors or monitor accordingly.
    """
    yield from judged(look, "monitor-response-time")
    yield from absent(look, FUNCTION)


@rule("monitor-on-accumulator-side", SUBJECT, "monitor-side")
def monitor_on_accumulator_side(look: Look) -> Iterator[Outcome]:
    """The insulation monitor is connected on the vehicle side of the contactors.

    Why: On the other side it watches the cells, and the car behind open contactors is watched by nobody.
    Wrong:
        devices: {imd: {connected_on: accumulator side of the contactors}}
    Right:
        devices: {imd: {connected_on: vehicle side of the contactors}}
    Mend: Connect both measuring lines behind the contactors, and write connected_on.
    """
    must = "must be on the vehicle side of the contactors"
    for path, name, device in look.devices(FUNCTION):
        place = (*path, "connected_on")
        if not isinstance(device.connected_on, str):
            yield unsaid(device.connected_on, place, f"where {look.printed(name)} is connected", must)
        elif device.connected_on.startswith("vehicle"):
            yield stated(place, f"{look.printed(name)} is connected on the {device.connected_on}")
        else:
            yield finding(place, f"{look.printed(name)} is connected on the {device.connected_on}", must)
    yield from absent(look, FUNCTION)


_CHASSIS = re.compile(r"\b(?:chassis|earth|ground|frame|hoop|container|enclosure|housing|case)\b", re.IGNORECASE)
_ENDS = {
    "the grounded container": re.compile(r"\b(?:container|enclosure|housing|case|accumulator)\b", re.IGNORECASE),
    "the main hoop": re.compile(r"\b(?:hoop|roll ?bar)\b", re.IGNORECASE),
}
_TRACTIVE = re.compile(r"\bTS\b|\bHV\b|\bpositive\b|\bnegative\b|\bpoles?\b|\bcontactors?\b", re.IGNORECASE)


@rule("monitor-chassis-lines", SUBJECT, "monitor-chassis-lines")
def monitor_chassis_lines(look: Look) -> Iterator[Outcome]:
    """The insulation monitor has two chassis lines of its own, one to the grounded container and one to the main hoop.

    Why: It measures between the two; over a single line that has come off, a monitor sees a car without any fault.
    Wrong:
        devices: {imd: {sensors: {chassis_line_hoop: null}}}
    Right:
        devices: {imd: {sensors: {chassis_line_hoop: {measures: main hoop}}}}
    Mend: Lead two separate conductors, describe each under sensors, and say under measures where it ends.
    """
    for path, name, device in look.devices(FUNCTION):
        if device.sensors:
            yield from _lines(look, path, name, device)
        else:
            yield not_evaluated(path, f"the measuring lines of {look.printed(name)} are not described")
    yield from absent(look, FUNCTION)


def _lines(look: Look, path: Path, name: str, device: Device) -> Iterator[Outcome]:
    said = {key: f"{key.replace('_', ' ')}: {sensor.measures if isinstance(sensor.measures, str) else ''}" for key, sensor in device.sensors.items()}
    lines = [text for text in said.values() if _CHASSIS.search(text) and not _TRACTIVE.search(text)]
    place = (*path, "sensors")
    ends = "one to the grounded container and one to the main hoop"
    if len(lines) < 2:
        yield finding(place, f"{len(lines) or 'no'} chassis line{'s' * (len(lines) != 1)} of {look.printed(name)} {'is' if len(lines) == 1 else 'are'} described", f"must be two, {ends}")
        return
    told = [text for text in lines if any(meant(words, text) for words in _ENDS.values())]
    for end, words in _ENDS.items():
        if any(meant(words, text) for text in lines):
            yield stated(place, f"a chassis line of {look.printed(name)} leads to {end}")
        elif len(told) < len(lines):
            yield at_car(place, f"whether a chassis line of {look.printed(name)} leads to {end}")
        else:
            yield finding(place, f"no chassis line of {look.printed(name)} leads to {end}", f"must be {ends}")


@rule("measuring-point-power", SUBJECT, "measuring-points")
def measuring_point_power(look: Look) -> Iterator[Outcome]:
    """The resistors of the measuring points bear for good what flows with both points shorted together.

    Why: Two probes touch, nobody notices, and the resistors get hot in the hand of the one who measures.
    Wrong:
        tractive_system: {measuring_points: {rated_power: 2 W}}
    Right:
        tractive_system: {measuring_points: {rated_power: 15 W}}
    Mend: Take resistors with a higher continuous power, and write it under rated_power.
    """
    yield from judged(look, "measuring-point-power")


@rule("measuring-point-single-fault", SUBJECT, "", Severity.WARNING)
def measuring_point_single_fault(look: Look) -> Iterator[Outcome]:
    """The resistor of a measuring point bears a short of its point to the other pole.

    Why: Then nothing shares the voltage with it: four times the power of two points shorted together.
    Wrong:
        tractive_system: {measuring_points: {rated_power: 5 W}}
    Right:
        tractive_system: {measuring_points: {rated_power: 15 W}}
    Mend: Take resistors for the full voltage, so that a slipped probe destroys nothing.
    """
    yield from judged(look, "measuring-point-single-fault")


@rule("housing-spacing-too-small", SUBJECT, "spacing-in-housing")
def housing_spacing_too_small(look: Look) -> Iterator[Outcome]:
    """In a housing that tractive and low-voltage parts share, the two are as far apart as the edition asks.

    Why: A loose strand, a drop of water or a slipped tool joins what is close together.
    Wrong:
        tractive_system: {spacing: 15 mm}
    Right:
        tractive_system: {spacing: 25 mm}
    Mend: Move the parts apart, or put a moisture-resistant barrier between them.
    """
    yield from judged(look, "spacing-in-housing")


@rule("board-spacing-too-small", SUBJECT, "board-spacing")
def board_spacing_too_small(look: Look) -> Iterator[Outcome]:
    """On a board with tractive and low-voltage parts, the two are as far apart as the edition asks at the highest voltage.

    Why: Dirt and moisture make a conductor of the surface between two copper areas.
    Wrong:
        boards: {isolation_board: {also_does: nothing, spacing: 12 mm, coated: not coated}}
    Right:
        boards: {isolation_board: {also_does: nothing, spacing: 22 mm, coated: not coated}}
    Mend: Widen the spacing, mill a slot, or coat the board; solder resist is no coating.
    """
    yield from judged(look, "board-spacing")


RULES = (
    monitor_response_too_low,
    monitor_too_slow,
    monitor_on_accumulator_side,
    monitor_chassis_lines,
    measuring_point_power,
    measuring_point_single_fault,
    housing_spacing_too_small,
    board_spacing_too_small,
)
