"""Driver demand: the sensors of the accelerator pedal and their check against each other."""

from collections.abc import Iterator

from docgen.analysis.pedals import SENSORS, Pair, allowed_deviation, curve_of, pairs, pedal_sensors, rises_or_falls
from docgen.calc.pedal import gaps, short_readings
from docgen.calculation import Missing
from docgen.car.demand import Demand, DeviationCheck, PedalSensor
from docgen.car.values import Unknown
from docgen.car.wiring import LowVoltage
from docgen.finding import Outcome, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import Look
from docgen.printing import listed
from docgen.provenance import Path
from docgen.quantity import Quantity
from docgen.rules.fields import measured, unsaid
from docgen.rules.numbers import judged

SUBJECT = "Driver demand"

DEVIATION = ("demand", "deviation_check")


def _demand(look: Look) -> Demand | None:
    return look.car.demand if isinstance(look.car.demand, Demand) else None


def _pedal_sensors(look: Look) -> dict[str, PedalSensor]:
    demand = _demand(look)
    return demand.pedal_sensors if demand else {}


@rule("pedal-sensors-too-few", SUBJECT, "pedal-sensors")
def pedal_sensors_too_few(look: Look) -> Iterator[Outcome]:
    """The accelerator pedal has as many separate sensors as the edition demands.

    Why: One sensor that sticks asks for torque for ever, and nothing contradicts it.
    Wrong:
        demand: {pedal_sensors: {apps_2: null}}
    Right:
        demand: {pedal_sensors: {apps_2: {output: absolute}}}
    Mend: Describe every sensor of the accelerator pedal under demand.pedal_sensors.
    """
    limit = look.edition.topic("pedal-sensors").limits.get("sensors")
    number = len(_pedal_sensors(look))
    if isinstance(look.car.demand, Unknown):
        yield not_evaluated(("demand",), "how the driver's demand is read is unknown")
    elif limit is None:
        yield not_evaluated(SENSORS, f"how many sensors the pedal must have was not read in {look.edition.name}")
    elif number < int(limit.value):
        yield finding(SENSORS, f"{number or 'no'} sensor{'s' * (number != 1)} of the accelerator pedal {'is' if number == 1 else 'are'} described", f"must be at least {limit.value}")
    else:
        yield holds(SENSORS, f"{number} sensors of the accelerator pedal are described")


@rule("pedal-line-keeps-torque", SUBJECT, "pedal-deviation")
def pedal_line_keeps_torque(look: Look) -> Iterator[Outcome]:
    """An open or shorted line of a pedal sensor takes the torque away.

    Why: A shorted line may read like a pressed pedal.
    Wrong:
        demand: {pedal_sensors: {apps_1: {to_supply: stays}}}
    Right:
        demand: {pedal_sensors: {apps_1: {to_supply: torque zero}}}
    Mend: Take what lies outside the fault window for a failure, and write open, to_ground and to_supply.
    """
    sensors = _pedal_sensors(look)
    for name, sensor in sensors.items():
        asked = {"open": "an open line", "to_ground": "a short to ground"} | ({} if sensor.output == "digital" else {"to_supply": "a short to supply"})
        reactions = {key: getattr(sensor, key) for key in asked}
        silent = [key for key, reaction in reactions.items() if reaction is None]
        if silent:
            yield finding((*SENSORS, name, silent[0]), f"{name} does not say what follows from {listed(asked[key] for key in silent)}", "must take the torque away")
        for key, reaction in reactions.items():
            if reaction is not None:
                yield _takes_torque(reaction, (*SENSORS, name, key), f"{asked[key]} of {name}")
    if not sensors:
        yield not_applicable("no pedal sensor is described")


def _takes_torque(reaction: str | Unknown, place: Path, what: str) -> Outcome:
    if isinstance(reaction, Unknown):
        return not_evaluated(place, f"what {what} does is unknown")
    if reaction == "stays":
        return finding(place, f"the torque stays after {what}", "must go to zero")
    return stated(place, f"after {what}: {reaction}")


@rule("deviation-check-missing", SUBJECT, "pedal-deviation")
def deviation_check_missing(look: Look) -> Iterator[Outcome]:
    """The check of the pedal sensors against each other is described.

    Why: Two sensors help only if something compares them.
    Wrong:
        demand: {deviation_check: null}
    Right:
        demand: {deviation_check: {limit: 10 %}}
    Mend: Describe it under demand.deviation_check: limit, time, what it does, where it runs.
    """
    demand = _demand(look)
    if demand is None or demand.deviation_check is None:
        yield (not_evaluated(("demand",), "how the driver's demand is read is unknown") if isinstance(look.car.demand, Unknown)
               else finding(DEVIATION, "no check of the pedal sensors against each other is described", "must be described under demand.deviation_check"))  # fmt: skip
    elif isinstance(demand.deviation_check, Unknown):
        yield not_evaluated(DEVIATION, "whether the pedal sensors are compared is unknown")
    else:
        yield stated(DEVIATION, "the pedal sensors are compared")


def _deviation(look: Look) -> DeviationCheck | None:
    demand = _demand(look)
    return demand.deviation_check if demand and isinstance(demand.deviation_check, DeviationCheck) else None


@rule("deviation-check-limit", SUBJECT, "pedal-deviation")
def deviation_check_limit(look: Look) -> Iterator[Outcome]:
    """The pedal sensors may differ no more and no longer than the edition allows.

    Why: A wide limit hides the sensor that has begun to slip.
    Wrong:
        demand: {deviation_check: {after: 150 ms}}
    Right:
        demand: {deviation_check: {limit: 8 %, after: 90 ms}}
    Mend: Set limit and time within those of the edition, with their tolerances and the cycle time of the program.
    """
    check = _deviation(look)
    if check is None:
        yield not_applicable("no check of the pedal sensors against each other is described")
        return
    yield measured(look, "pedal-deviation", "limit", check.limit, (*DEVIATION, "limit"), "the deviation allowed")
    yield measured(look, "pedal-deviation", "time", check.after, (*DEVIATION, "after"), "the time until the check acts")


@rule("deviation-check-keeps-torque", SUBJECT, "pedal-deviation")
def deviation_check_keeps_torque(look: Look) -> Iterator[Outcome]:
    """When the pedal sensors disagree, the torque is taken away completely.

    Why: Nobody knows which of the two is right; the lower reading is a guess too.
    Wrong:
        demand: {deviation_check: {does: stays}}
    Right:
        demand: {deviation_check: {does: torque zero}}
    Mend: Take the torque to zero on a deviation; the loop may open too.
    """
    check = _deviation(look)
    if check is None:
        yield not_applicable("no check of the pedal sensors against each other is described")
    elif check.does is None:
        yield finding((*DEVIATION, "does"), "what the check does is not said", "must take the torque to zero")
    elif check.does == "not possible":
        yield finding((*DEVIATION, "does"), "a deviation is said to be not possible", "must take the torque to zero")
    else:
        yield _takes_torque(check.does, (*DEVIATION, "does"), "a deviation")


_ALIKE = 1e-9
"""Volts, or shares of the travel, that only rounding parts."""


@rule("pedal-curves-equal", SUBJECT, "pedal-curves")
def pedal_curves_equal(look: Look) -> Iterator[Outcome]:
    """The sensors of the accelerator pedal have different transfer functions.

    Why: Two sensors that give the same voltage agree also when their lines touch each other.
    Wrong:
        demand: {pedal_sensors: {apps_2: {curve: [[0 %, 1.00 V], [100 %, 4.00 V]]}}}
    Right:
        demand: {pedal_sensors: {apps_2: {curve: [[0 %, 0.60 V], [100 %, 2.10 V]]}}}
    Mend: Choose sensors of different slope or offset, and give their curves as points of travel and output.
    """
    for name, sensor in pedal_sensors(look).items():
        place: Path = (*SENSORS, name, "curve")
        if not isinstance(sensor.curve, tuple):
            yield unsaid(sensor.curve, place, f"the transfer function of {name}", "must be given as points of travel and output")
        elif curve_of(sensor) is None:
            yield finding(place, f"the transfer function of {name} has {len(sensor.curve)} points", "must have at least two, each at another travel")
    neighbours = pairs(look)
    for pair in neighbours:
        if _equal(pair):
            yield finding(pair.place, f"{pair.first} and {pair.second} have the same transfer function", "must have different ones")
        else:
            yield holds(pair.place, f"{pair.first} and {pair.second} have different transfer functions")
    if not neighbours:
        yield not_applicable("no two curves of analogue pedal sensors are given")


def _equal(pair: Pair) -> bool:
    return all(abs(gap) <= _ALIKE for _, gap in gaps(pair.one.curve, pair.other.curve))


def _cross(pair: Pair) -> bool:
    apart = [gap for _, gap in gaps(pair.one.curve, pair.other.curve)]
    return min(apart) < -_ALIKE and max(apart) > _ALIKE


@rule("pedal-curves-cross", SUBJECT, "pedal-curves")
def pedal_curves_cross(look: Look) -> Iterator[Outcome]:
    """The transfer functions of the pedal sensors do not cross, taken at their nominal values.

    Why: Where they cross, both lines carry the same voltage, and a short between them changes nothing.
    Wrong:
        demand: {pedal_sensors: {apps_2: {curve: [[0 %, 4.00 V], [100 %, 1.00 V]]}}}
    Right:
        demand: {pedal_sensors: {apps_2: {curve: [[0 %, 0.60 V], [100 %, 2.10 V]]}}}
    Mend: Let one output stay below the other over the whole travel.
    """
    neighbours = pairs(look)
    for pair in neighbours:
        if _cross(pair):
            yield finding(pair.place, f"the transfer functions of {pair.first} and {pair.second} cross", "must not")
        else:
            yield holds(pair.place, f"the transfer functions of {pair.first} and {pair.second} do not cross")
    if not neighbours:
        yield not_applicable("no two curves of analogue pedal sensors are given")


@rule("pedal-short-unnoticed", SUBJECT, "pedal-curves")
def pedal_short_unnoticed(look: Look) -> Iterator[Outcome]:
    """A short between the signal lines of two pedal sensors makes them disagree, at every voltage that both may carry.

    Why: Shorted lines carry one voltage. If both readings of it are nearly the same, one sensor is left and nobody knows.
    Wrong:
        demand: {pedal_sensors: {apps_2: {curve: [[0 %, 1.05 V], [100 %, 4.05 V]], valid: [0.80 V, 4.20 V]}}}
    Right:
        demand: {pedal_sensors: {apps_2: {curve: [[0 %, 0.60 V], [100 %, 2.10 V]]}}}
    Mend: Take half the slope for one sensor, with another offset, or narrow the fault windows until one of the two leaves its own.
    """
    short, allowed = look.edition.topic("pedal-curves").words.get("short"), allowed_deviation(look)
    sensors = _pedal_sensors(look)
    neighbours = pairs(look)
    for pair in neighbours:
        if _equal(pair) or _cross(pair):
            yield not_applicable(f"the transfer functions of {pair.first} and {pair.second} are equal or cross, which is found already", pair.place)
        elif not (rises_or_falls(pair.one.curve) and rises_or_falls(pair.other.curve)):
            yield not_evaluated(pair.place, f"the transfer function of {pair.first} or of {pair.second} gives one voltage at two places of the travel")
        elif short is None or isinstance(allowed, Missing):
            yield not_evaluated(pair.place, f"what a short must lead to, or the deviation allowed, was not read in {look.edition.name}")
        elif unknown := [name for name in (pair.first, pair.second) if isinstance(sensors[name].valid, Unknown)]:
            yield not_evaluated(pair.place, f"the fault window of {unknown[0]}, which may shut the voltage of a short out, is unknown")
        else:
            yield _shorted(pair, allowed.band.high, short)
    if not neighbours:
        yield not_applicable("no two curves of analogue pedal sensors are given")


def _shorted(pair: Pair, allowed: float, short: str) -> Outcome:
    readings = short_readings(pair.one, pair.other)
    if not readings:
        return holds(pair.place, f"no voltage lies inside the fault windows of both {pair.first} and {pair.second}")
    closest = min(readings, key=lambda read: abs(read[1] - read[2]))
    unnoticed = abs(closest[1] - closest[2]) <= allowed + _ALIKE
    if short == "noticed unless released":
        again = [read for read in readings if abs(read[1] - read[2]) <= _ALIKE and read[1] > _ALIKE]
        closest = again[0] if again else closest
        unnoticed = bool(again) or all(abs(read[1] - read[2]) <= allowed + _ALIKE for read in readings)
    volts, one, other = closest
    said = f"shorted together at {_two_places(volts)} V, {pair.first} reads {_two_places(one * 100)} % and {pair.second} {_two_places(other * 100)} %"
    if unnoticed:
        return finding(pair.place, said, f"must differ by more than {_two_places(allowed * 100)} % at every voltage inside both fault windows")
    return holds(pair.place, f"{said}, which is their smallest difference")


def _two_places(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


@rule("fault-window-missing", SUBJECT, "pedal-deviation")
def fault_window_missing(look: Look) -> Iterator[Outcome]:
    """Each analogue pedal sensor has a fault window, outside which it counts as failed.

    Why: Without a window a broken line is just another position of the pedal.
    Wrong:
        demand: {pedal_sensors: {apps_1: {valid: null}}}
    Right:
        demand: {pedal_sensors: {apps_1: {valid: [0.80 V, 4.20 V]}}}
    Mend: Give the window under valid: a little wider than the output of the healthy sensor.
    """
    sensors = pedal_sensors(look)
    for name, sensor in sensors.items():
        place: Path = (*SENSORS, name, "valid")
        if isinstance(sensor.valid, tuple):
            yield stated(place, f"{name} counts as failed outside {sensor.valid[0]} to {sensor.valid[1]}")
        else:
            yield unsaid(sensor.valid, place, f"the fault window of {name}", "must be given under valid")
    if not sensors:
        yield not_applicable("no analogue pedal sensor is described")


@rule("fault-window-wrong", SUBJECT, "pedal-deviation")
def fault_window_wrong(look: Look) -> Iterator[Outcome]:
    """The fault window of a pedal sensor holds its whole output, and neither 0 V nor the supply voltage.

    Why: A shorted line reads 0 V or the supply. A window that takes these in notices nothing; one that is too narrow stops a sound car.
    Wrong:
        demand: {pedal_sensors: {apps_1: {valid: [0 V, 4.20 V]}}}
    Right:
        demand: {pedal_sensors: {apps_1: {valid: [0.80 V, 4.20 V]}}}
    Mend: Set the window between the end of the output and the rail, with the tolerances of both.
    """
    judged = False
    for name, sensor in pedal_sensors(look).items():
        if not isinstance(sensor.valid, tuple):
            continue
        judged = True
        place: Path = (*SENSORS, name, "valid")
        wrong = _window_fault(sensor, _supply(look, sensor))
        yield finding(place, f"the fault window of {name} {wrong[0]}", wrong[1]) if wrong else holds(place, f"the fault window of {name} lies between its output and the rails")
    if not judged:
        yield not_applicable("no fault window of a pedal sensor is given")


def _supply(look: Look, sensor: PedalSensor) -> Quantity | None:
    feeds = look.car.low_voltage.feeds if isinstance(look.car.low_voltage, LowVoltage) else {}
    feed = feeds.get(sensor.feed) if isinstance(sensor.feed, str) else None
    return feed.voltage if feed and isinstance(feed.voltage, Quantity) else None


def _window_fault(sensor: PedalSensor, supply: Quantity | None) -> tuple[str, str] | None:
    """What is wrong with a window, and what must be."""
    assert isinstance(sensor.valid, tuple)
    low, high = sensor.valid
    outputs = [volts for _, volts in sensor.curve] if isinstance(sensor.curve, tuple) else []
    if low.low <= 0:
        return f"begins at {low}", "must begin above 0 V, which a shorted line reads"
    if supply and high.high >= supply.low:
        return f"ends at {high}", f"must end below the supply of {supply}, which a shorted line reads"
    if any(volts.low < low.high or volts.high > high.low for volts in outputs):
        return f"is {low} to {high}", f"must hold the whole output, {min(outputs, key=lambda volts: volts.low)} to {max(outputs, key=lambda volts: volts.high)}"
    return None


@rule("open-line-unnoticed", SUBJECT, "pedal-deviation")
def open_line_unnoticed(look: Look) -> Iterator[Outcome]:
    """The open signal line of a pedal sensor is pulled out of its fault window.

    Why: A line that hangs in the air keeps the voltage it had, and that is a pressed pedal.
    Wrong:
        demand: {pedal_sensors: {apps_1: {pull: none}}}
    Right:
        demand: {pedal_sensors: {apps_1: {pull: down}, apps_2: {pull: down}}}
    Mend: Put a resistor from the line to ground or to the supply, at the input that reads it, and write pull.
    """
    yield from judged(look, "pedal-open-line")


RULES = (
    pedal_sensors_too_few,
    pedal_line_keeps_torque,
    deviation_check_missing,
    deviation_check_limit,
    deviation_check_keeps_torque,
    pedal_curves_equal,
    pedal_curves_cross,
    pedal_short_unnoticed,
    fault_window_missing,
    fault_window_wrong,
    open_line_unnoticed,
)
