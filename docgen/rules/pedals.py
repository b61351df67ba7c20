"""Driver demand: the sensors of the accelerator pedal and their check against each other."""

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from docgen.car.demand import Demand, DeviationCheck, PedalSensor
from docgen.car.values import Unknown
from docgen.car.wiring import LowVoltage
from docgen.finding import Outcome, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import Look
from docgen.printing import listed
from docgen.provenance import Path
from docgen.quantity import Quantity
from docgen.rules.fields import measured, unsaid

SUBJECT = "Driver demand"

SENSORS = ("demand", "pedal_sensors")
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


Curve = tuple[tuple[Fraction, Fraction], ...]
"""Points of travel (0 released, 1 fully pressed) and output in volts, by rising travel."""


def _curve(sensor: PedalSensor) -> Curve | None:
    """The nominal transfer function of an analogue sensor; None where two points with different travel are not given."""
    if not isinstance(sensor.curve, tuple) or len(sensor.curve) < 2 or len({reading.dimension for reading, _ in sensor.curve}) > 1:
        return None
    points = [(Fraction(reading.value), Fraction(volts.value)) for reading, volts in sensor.curve]
    (first, _), (last, _) = points[0], points[-1]
    if len({reading for reading, _ in points}) < len(points):
        return None
    if sensor.curve[0][0].dimension != "share":
        points = [((reading - first) / (last - first), volts) for reading, volts in points]
    return tuple(sorted(points))


def _along(points: Curve, at: Fraction) -> Fraction:
    """The second coordinate of a line of points at the first; beyond its ends the line goes on straight."""
    (left, below), (right, above) = next((pair for pair in pairwise(points) if at <= pair[1][0]), points[-2:])
    return below + (above - below) * (at - left) / (right - left)


def _analogue(look: Look) -> dict[str, PedalSensor]:
    return {name: sensor for name, sensor in _pedal_sensors(look).items() if sensor.output != "digital"}


def _neighbours(look: Look) -> list[tuple[tuple[str, Curve], tuple[str, Curve]]]:
    """The curves of the analogue pedal sensors, each with the next higher one; the sensor described later stands second.

    Curves that are pairwise apart keep their order over the whole travel, so that neighbours alone need comparing.
    """
    order = {name: index for index, name in enumerate(_pedal_sensors(look))}
    curves = [(name, curve) for name, sensor in _analogue(look).items() if (curve := _curve(sensor))]
    curves.sort(key=lambda item: (item[1][0][1], item[1][-1][1], order[item[0]]))
    pairs = [tuple(sorted(pair, key=lambda item: order[item[0]])) for pair in pairwise(curves)]
    return sorted(((first, second) for first, second in pairs), key=lambda pair: order[pair[1][0]])


def _gaps(first: Curve, second: Curve) -> list[Fraction]:
    """First output less second, at every travel where one of them bends."""
    low, high = max(first[0][0], second[0][0]), min(first[-1][0], second[-1][0])
    bends = sorted({at for at, _ in first + second if low <= at <= high} | {low, high})
    return [_along(first, at) - _along(second, at) for at in bends]


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
    for name, sensor in _analogue(look).items():
        place: Path = (*SENSORS, name, "curve")
        if not isinstance(sensor.curve, tuple):
            yield unsaid(sensor.curve, place, f"the transfer function of {name}", "must be given as points of travel and output")
        elif _curve(sensor) is None:
            yield finding(place, f"the transfer function of {name} has {len(sensor.curve)} points", "must have at least two, each at another travel")
    pairs = _neighbours(look)
    for (first, one), (second, other) in pairs:
        place = (*SENSORS, second, "curve")
        if any(_gaps(one, other)):
            yield holds(place, f"{first} and {second} have different transfer functions")
        else:
            yield finding(place, f"{first} and {second} have the same transfer function", "must have different ones")
    if not pairs:
        yield not_applicable("no two curves of analogue pedal sensors are given")


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
    pairs = _neighbours(look)
    for (first, one), (second, other) in pairs:
        place: Path = (*SENSORS, second, "curve")
        gaps = _gaps(one, other)
        if min(gaps) < 0 < max(gaps):
            yield finding(place, f"the transfer functions of {first} and {second} cross", "must not")
        else:
            yield holds(place, f"the transfer functions of {first} and {second} do not cross")
    if not pairs:
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
    short = look.edition.topic("pedal-curves").words.get("short")
    allowed = _allowed_deviation(look)
    pairs = _neighbours(look)
    sensors = _pedal_sensors(look)
    for (first, one), (second, other) in pairs:
        place: Path = (*SENSORS, second, "curve")
        gaps = _gaps(one, other)
        if not any(gaps) or min(gaps) < 0 < max(gaps):
            yield not_applicable(f"the transfer functions of {first} and {second} are equal or cross, which is found already", place)
        elif not (_rises(one) and _rises(other)):
            yield not_evaluated(place, f"the transfer function of {first} or of {second} gives one voltage at two places of the travel")
        elif short is None or allowed is None:
            yield not_evaluated(place, f"what a short must lead to, or the deviation allowed, was not read in {look.edition.name}")
        else:
            yield _shorted(first, second, one, other, _window(sensors[first], sensors[second]), allowed, short, place)
    if not pairs:
        yield not_applicable("no two curves of analogue pedal sensors are given")


def _rises(curve: Curve) -> bool:
    steps = [after - before for (_, before), (_, after) in pairwise(curve)]
    return all(step > 0 for step in steps) or all(step < 0 for step in steps)


def _allowed_deviation(look: Look) -> Fraction | None:
    check = _deviation(look)
    if check and isinstance(check.limit, Quantity):
        return Fraction(check.limit.high)
    found = look.limit("pedal-deviation", "limit")
    return Fraction(found[1].value) if found else None


def _window(*sensors: PedalSensor) -> tuple[Fraction | None, Fraction | None]:
    """The voltages that no sensor takes for a failure, with the tolerances of the windows."""
    windows = [sensor.valid for sensor in sensors if isinstance(sensor.valid, tuple)]
    low = max((Fraction(window[0].low) for window in windows), default=None)
    return low, min((Fraction(window[1].high) for window in windows), default=None)


def _shorted(
    first: str, second: str, one: Curve, other: Curve, window: tuple[Fraction | None, Fraction | None], allowed: Fraction, short: str, place: Path
) -> Outcome:
    volts = sorted(volts for _, volts in one + other)
    low = max(volts[0], window[0]) if window[0] is not None else volts[0]
    high = min(volts[-1], window[1]) if window[1] is not None else volts[-1]
    if low > high:
        return holds(place, f"no voltage lies inside the fault windows of both {first} and {second}")
    met = _read_together(one, other, [low, *(at for at in volts if low < at < high), high])
    closest = min(met, key=lambda reading: (abs(reading[1] - reading[2]), reading[0]))
    unnoticed = abs(closest[1] - closest[2]) <= allowed
    if short == "noticed unless released":
        again = [reading for reading in met if reading[1] == reading[2] and reading[1] > 0]
        closest = again[0] if again else closest
        unnoticed = bool(again) or all(abs(reading[1] - reading[2]) <= allowed for reading in met)
    said = f"shorted together at {_two_places(closest[0])} V, {first} reads {_two_places(closest[1] * 100)} % and {second} {_two_places(closest[2] * 100)} %"
    if unnoticed:
        return finding(place, said, f"must differ by more than {_two_places(allowed * 100)} % at every voltage inside both fault windows")
    return holds(place, f"{said}, which is their smallest difference")


def _read_together(one: Curve, other: Curve, volts: list[Fraction]) -> list[tuple[Fraction, Fraction, Fraction]]:
    """Voltage and both readings of it, at these voltages and wherever between them the readings are equal."""
    back, other_back = (tuple(sorted((volt, travel) for travel, volt in curve)) for curve in (one, other))
    met = [(at, _along(back, at), _along(other_back, at)) for at in volts]
    for (left, a, b), (right, c, d) in pairwise(met.copy()):
        if (a - b) * (c - d) < 0:
            at = left + (right - left) * (a - b) / ((a - b) - (c - d))
            met.append((at, _along(back, at), _along(other_back, at)))
    return met


def _two_places(value: Fraction) -> str:
    return f"{float(value):.2f}".rstrip("0").rstrip(".")


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
    sensors = _analogue(look)
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
    for name, sensor in _analogue(look).items():
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
)
