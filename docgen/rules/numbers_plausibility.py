"""Devices in numbers: the brake plausibility device."""

import re
from collections.abc import Iterator

from docgen.analysis.plausibility import FUNCTION, watched
from docgen.finding import Outcome, at_car, finding, not_evaluated, rule, stated
from docgen.look import Look
from docgen.rules.fields import absent, meant, unsaid
from docgen.rules.numbers import SUBJECT, judged


@rule("plausibility-trip-current-too-high", SUBJECT, "plausibility-power")
def plausibility_trip_current_too_high(look: Look) -> Iterator[Outcome]:
    """The brake plausibility device trips at no more than the current that carries the edition's power, with the errors of sensor and threshold against it.

    Why: A threshold set at the nominal value misses the power by the whole error of the sensor, and a few amperes of it are a lot of ten.
    Wrong:
        devices: {bspd: {thresholds: {dc_current: 2.62 V ± 0.2 %}}}
    Right:
        devices: {bspd: {thresholds: {dc_current: 2.59 V ± 0.2 %}}}
    Mend: Lower the threshold until the highest trip current keeps the limit, or take a sensor with a smaller error.
    """
    yield from judged(look, "plausibility-trip-current")


@rule("plausibility-brake-threshold-too-high", SUBJECT, "plausibility-brake")
def plausibility_brake_threshold_too_high(look: Look) -> Iterator[Outcome]:
    """The pressure from which the brake plausibility device takes the braking for hard keeps the limit of the edition, with all errors against it.

    Why: A wheel that locks brakes no harder; a threshold above that pressure is never reached.
    Wrong:
        devices: {bspd: {thresholds: {front_pressure: 1.68 V ± 1 %}}}
    Right:
        devices: {bspd: {thresholds: {front_pressure: 1.50 V ± 1 %}}}
    Mend: Lower the threshold until the highest pressure keeps the limit.
    """
    yield from judged(look, "plausibility-brake-threshold")


@rule("plausibility-too-slow", SUBJECT, "plausibility-time")
def plausibility_too_slow(look: Look) -> Iterator[Outcome]:
    """The brake plausibility device has opened the loop within the time of the edition, with the tolerances of its delay against it.

    Why: Resistor, capacitor and comparator together are easily a fifth too slow, and the inspection is done on the car as built.
    Wrong:
        devices: {bspd: {delay: {capacitor: 1.1 µF ± 5 %}}}
    Right:
        devices: {bspd: {delay: {capacitor: 0.82 µF ± 5 %}}}
    Mend: Shorten the delay until its longest value keeps the limit.
    """
    yield from judged(look, "plausibility-time")


_DIRECT = re.compile(
    r"\bDC\b|direct current|(?:positive|negative|plus|minus) (?:DC )?(?:pole|cable|line|lead|feed|rail)|(?:accumulator|battery|pack) (?:current|outlet)|"
    r"(?:inverter|controller) (?:input|inlet|feed|supply)|(?:input|inlet|feed|supply) of the (?:inverter|controller)",
    re.IGNORECASE,
)
_ELSEWHERE = re.compile(r"(?:motor )?\bphases?\b|\bAC\b|alternating|\bmotor (?:current|cable|lead|line)|torque|throttle|\bspeed\b|power demand", re.IGNORECASE)


@rule("plausibility-sensor-not-in-dc", SUBJECT, "plausibility-sensor")
def plausibility_sensor_not_in_dc(look: Look) -> Iterator[Outcome]:
    """The brake plausibility device tells power by a current sensor in the DC circuit.

    Why: Phase current says nothing of power: at standstill it is large and the power small.
    Wrong:
        devices: {bspd: {sensors: {dc_current: {measures: current of one motor phase}}}}
    Right:
        devices: {bspd: {sensors: {dc_current: {measures: current in the positive DC feed of the inverter}}}}
    Mend: Put the sensor round a DC conductor that carries the current of all inverters, and say so under measures.
    """
    sensors = list(watched(look, "current"))
    described = {one.device for one in sensors}
    for path, name, device in look.devices(FUNCTION):
        if name not in described:
            yield (finding((*path, "sensors"), f"no current sensor of {look.printed(name)} is described", "must tell the power by a current sensor in the DC circuit")
                   if device.sensors else not_evaluated(path, f"no sensor of {look.printed(name)} is described"))  # fmt: skip
    for one in sensors:
        place, text = (*one.place, "measures"), one.sensor.measures
        if not isinstance(text, str):
            yield unsaid(text, place, f"what {one.name} measures, and where,", "must measure the current in the DC circuit")
        elif meant(_ELSEWHERE, text):
            yield finding(place, f"{one.name} measures: {text}", "must measure the current in the DC circuit")
        elif meant(_DIRECT, text):
            yield stated(place, f"{one.name} measures: {text}")
        else:
            yield at_car(place, f"{one.name} measures: {text}; whether that is the DC circuit")
    yield from absent(look, FUNCTION)


RULES = (
    plausibility_trip_current_too_high,
    plausibility_brake_threshold_too_high,
    plausibility_too_slow,
    plausibility_sensor_not_in_dc,
)
