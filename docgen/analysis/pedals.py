"""The accelerator pedal in numbers: its curves against each other, shorts and damaged lines, windows, the check against the brakes."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from docgen.analysis.fields import reading
from docgen.calc.formula import Band, Card, OutOfBounds
from docgen.calc.pedal import (
    LineFault,
    PedalSensor,
    line_faults,
    separation,
    short_readings,
    travel_of_power,
    unnoticed_error,
    window_margin,
)
from docgen.calc.polyline import Points, value_at
from docgen.calculation import Bound, Calculation, Given, Missing, computed
from docgen.car import demand as described
from docgen.car.tractive import TractiveSystem
from docgen.car.wiring import LowVoltage
from docgen.look import Look
from docgen.provenance import Path
from docgen.quantity import Quantity

SENSORS: Path = ("demand", "pedal_sensors")
CHECK: Path = ("demand", "pedal_vs_brake_check")


def pedal_sensors(look: Look) -> dict[str, described.PedalSensor]:
    """The sensors of the accelerator pedal that have a voltage as their output."""
    demand = look.car.demand
    sensors = demand.pedal_sensors if isinstance(demand, described.Demand) else {}
    return {name: sensor for name, sensor in sensors.items() if sensor.output != "digital"}


def curve_of(sensor: described.PedalSensor) -> Points | None:
    """The nominal curve over the whole travel, from 0 released to 1 fully pressed; None without two points at different travel.

    A curve in degrees or millimetres is counted from its first point to its last. A line that ends before the travel does goes on straight.
    """
    if not isinstance(sensor.curve, tuple) or len(sensor.curve) < 2 or len({place.dimension for place, _ in sensor.curve}) > 1:
        return None
    points = [(float(place.value), float(volts.value)) for place, volts in sensor.curve]
    (first, _), (last, _) = points[0], points[-1]
    if len({place for place, _ in points}) < len(points):
        return None
    if sensor.curve[0][0].dimension != "share" or not all(0 <= place <= 1 for place, _ in points):
        points = [((place - first) / (last - first), volts) for place, volts in points]
    points.sort()
    ends = [(0.0, _along(points[0], points[1], 0.0)), (1.0, _along(points[-2], points[-1], 1.0))]
    return tuple(([] if points[0][0] == 0 else ends[:1]) + points + ([] if points[-1][0] == 1 else ends[1:]))


def _along(start: tuple[float, float], end: tuple[float, float], place: float) -> float:
    return start[1] + (end[1] - start[1]) * (place - start[0]) / (end[0] - start[0])


def rises_or_falls(curve: Points) -> bool:
    """Whether a curve gives no voltage at two places of the travel."""
    steps = [after - before for (_, before), (_, after) in pairwise(curve)]
    return all(step > 0 for step in steps) or all(step < 0 for step in steps)


@dataclass(frozen=True, slots=True)
class Pair:
    """Two pedal sensors whose curves lie beside each other; the one that is described later is the second."""

    first: str
    second: str
    one: PedalSensor
    other: PedalSensor

    @property
    def place(self) -> Path:
        return (*SENSORS, self.second, "curve")


def pairs(look: Look) -> list[Pair]:
    """The analogue pedal sensors that have a curve, each with the next higher one.

    Curves that are pairwise apart keep their order over the whole travel, so that neighbours alone need comparing.
    """
    order = {name: index for index, name in enumerate(pedal_sensors(look))}
    curves = [(name, PedalSensor(curve, _window(sensor))) for name, sensor in pedal_sensors(look).items() if (curve := curve_of(sensor))]
    curves.sort(key=lambda item: (item[1].curve[0][1], item[1].curve[-1][1], order[item[0]]))
    found = []
    for lower, upper in pairwise(curves):
        (first, one), (second, other) = sorted((lower, upper), key=lambda item: order[item[0]])
        found.append(Pair(first, second, one, other))
    return sorted(found, key=lambda pair: order[pair.second])


def _window(sensor: described.PedalSensor) -> tuple[float, float]:
    """The voltages that a sensor does not take for a failure, with the tolerances of its window; all where it has none."""
    return (float(sensor.valid[0].low), float(sensor.valid[1].high)) if isinstance(sensor.valid, tuple) else (float("-inf"), float("inf"))


def allowed_deviation(look: Look) -> Given | Missing:
    """How far two sensors may be apart: what the check allows, else what the edition does."""
    demand = look.car.demand
    check = demand.deviation_check if isinstance(demand, described.Demand) else None
    if isinstance(check, described.DeviationCheck) and isinstance(check.limit, Quantity):
        return reading("d", "deviation that the check allows", check.limit, ("demand", "deviation_check", "limit"))
    found = look.limit("pedal-deviation", "limit")
    if found is None:
        return Missing("deviation that the check allows", ("demand", "deviation_check", "limit"))
    return Given("d", "deviation that the edition allows", Band.exactly(float(found[1].value)), "1", look.edition.name)


def pedals(look: Look) -> Iterator[Calculation]:
    """Every figure of the pedal sensors, of pairs of them, and of the check against the brakes."""
    for pair in pairs(look):
        yield _separation(pair)
        yield from _short(look, pair)
    for name, sensor in pedal_sensors(look).items():
        yield from _window_figures(look, name, sensor)
        yield from _lines(look, name, sensor)
    yield from _against_brakes(look)


def _read_off(slug: str, title: str, about: Path, card: Card, given: tuple[Given, ...], result: Band, kept: Bound | None, prose: str) -> Calculation:
    """A figure that is read off curves, which are no numbers that a formula could take."""
    return Calculation(slug, title, about, card, given, (), result, kept, "", prose)


_APART = Card("separation", "min |U₁(s) − U₂(s)|", "V", "curves of straight pieces come closest at a bend or an end, or where they cross", (), ())
_SHORTED = Card("short_readings", "min |s₁(U) − s₂(U)|", "1", "readings of one voltage are straight pieces too, and come closest at a bend or an end", (), ())
_LINE = Card("line_faults", "distance of U from the fault window", "V", "difference of voltages", (), ())
_OUTPUT = Card("value_at", "U(s)", "V", "straight line between two points of the curve", (), ())


def _separation(pair: Pair) -> Calculation:
    found = separation(pair.one.curve, pair.other.curve)
    given = [Given("s", "travel where they come closest", Band.exactly(found.position), "1", "found on the curves")]
    for sign, name, sensor in (("₁", pair.first, pair.one), ("₂", pair.second, pair.other)):
        given.append(Given(f"U{sign}", f"output of {name} there", Band.exactly(value_at(sensor.curve, found.position)), "V", (*SENSORS, name, "curve")))
    title, prose = f"Smallest distance between the curves of {pair.first} and {pair.second}", "Where they met, a short between the lines would change nothing."
    return _read_off("pedal-separation", title, pair.place, _APART, tuple(given), Band.exactly(found.volts), None, prose)


def _short(look: Look, pair: Pair) -> Iterator[Calculation]:
    if not (rises_or_falls(pair.one.curve) and rises_or_falls(pair.other.curve)):
        return
    readings = short_readings(pair.one, pair.other)
    allowed = allowed_deviation(look)
    if not readings or isinstance(allowed, Missing):
        return
    volts, one, other = min(readings, key=lambda read: abs(read[1] - read[2]))
    given = (
        Given("U", "voltage of the shorted lines that is hardest to notice", Band.exactly(volts), "V", "found on the curves, inside both fault windows"),
        Given("s₁", f"travel that {pair.first} reads of it", Band.exactly(one), "1", (*SENSORS, pair.first, "curve")),
        Given("s₂", f"travel that {pair.second} reads of it", Band.exactly(other), "1", (*SENSORS, pair.second, "curve")),
    )
    always = look.edition.topic("pedal-curves").words.get("short") == "always noticed"
    kept = Bound("above", allowed.band.high, "pedal-curves", "the deviation that the check allows") if always else None
    title, prose = f"Smallest deviation with the lines of {pair.first} and {pair.second} shorted together", "The check has to notice it at every voltage."
    yield _read_off("pedal-short", title, pair.place, _SHORTED, given, Band.exactly(abs(one - other)), kept, prose)


def _window_figures(look: Look, name: str, sensor: described.PedalSensor) -> Iterator[Calculation]:
    curve, place = curve_of(sensor), (*SENSORS, name)
    if curve is None:
        return
    slope = max(abs((above - below) / (right - left)) for (left, below), (right, above) in pairwise(curve))
    steepest = Given("S", "steepest slope of the curve, over the whole travel", Band.exactly(slope), "V", (*place, "curve"))
    yield computed(
        "pedal-unnoticed-error", f"Error of the output of {name} that stays unnoticed", (*place, "curve"), unnoticed_error,
        {"limit": allowed_deviation(look), "slope": steepest}, prose="The smallest deviation that the check notices is just above it.",
    )  # fmt: skip
    if isinstance(sensor.valid, tuple) and isinstance(sensor.curve, tuple):
        ends = {
            "lower_end": reading("U_low", "lower end of the fault window", sensor.valid[0], (*place, "valid")),
            "upper_end": reading("U_high", "upper end of the fault window", sensor.valid[1], (*place, "valid")),
        }
        outputs = [volts for _, volts in sensor.curve]
        lowest, highest = min(outputs, key=lambda volts: volts.low), max(outputs, key=lambda volts: volts.high)
        ends |= {
            "lowest": _as_supplied(sensor, reading("U_min", "lowest healthy output", lowest, (*place, "curve"))),
            "highest": _as_supplied(sensor, reading("U_max", "highest healthy output", highest, (*place, "curve"))),
        }
        yield computed(
            "pedal-window", f"Room between the healthy outputs of {name} and its fault window", (*place, "valid"), window_margin, ends,
            Bound("at least", 0, "pedal-deviation", "so that a sound sensor counts as sound"), "Less than the noise of the line stops a sound car.",
        )  # fmt: skip


def _as_supplied(sensor: described.PedalSensor, volts: Given | Missing) -> Given | Missing:
    """An output as far as the supply that a ratiometric sensor states for itself moves it; the curve holds at its nominal value."""
    if isinstance(volts, Missing) or sensor.output != "ratiometric" or not isinstance(sensor.supply, Quantity):
        return volts
    supply = sensor.supply
    ends = [volt * float(end / supply.value) for volt in (volts.band.low, volts.band.high) for end in (supply.low, supply.high)]
    return replace(volts, name=f"{volts.name}, at a supply of {supply}", band=Band(min(ends), volts.band.nominal, max(ends)))


def _lines(look: Look, name: str, sensor: described.PedalSensor) -> Iterator[Calculation]:
    """What a damaged signal line reads, and how far outside the fault window that is."""
    curve, place = curve_of(sensor), (*SENSORS, name)
    if curve is None or not isinstance(sensor.valid, tuple):
        return
    feeds = look.car.low_voltage.feeds if isinstance(look.car.low_voltage, LowVoltage) else {}
    feed = feeds.get(sensor.feed) if isinstance(sensor.feed, str) else None
    supply = reading("U_s", f"supply of {name}", feed.voltage if feed else None, ("low_voltage", "feeds", *([str(sensor.feed)] if feed else [])))
    if sensor.supply is not None:
        supply = reading("U_s", f"supply of {name}", sensor.supply, (*place, "supply"))
    pulled: Literal["down", "up", "none"] = "down" if sensor.pull == "down" else "up" if sensor.pull == "up" else "none"
    low, high = _window(sensor)
    ends = [Given(symbol, f"{end} end of the fault window", Band.exactly(volts), "V", (*place, "valid"))
            for symbol, end, volts in (("U_low", "lower", low), ("U_high", "upper", high))]  # fmt: skip
    read: dict[str, LineFault] = {}
    impossible = ""
    if isinstance(supply, Given):
        try:
            read = {fault.fault: fault for fault in line_faults(PedalSensor(curve, (low, high)), supply.band.low, pulled)}
        except OutOfBounds as error:
            impossible = str(error)
    for slug, damage, what in (
        ("pedal-open-line", "open", "open"), ("pedal-grounded-line", "to ground", "shorted to ground"), ("pedal-supplied-line", "to supply", "shorted to supply")
    ):  # fmt: skip
        missing: tuple[Missing, ...] = (supply,) if isinstance(supply, Missing) else ()
        if damage == "open" and not isinstance(sensor.pull, str):
            missing += (Missing(f"resistor that pulls the open line of {name}", (*place, "pull")),)
        found = read.get(damage) if not missing else None
        there = [Given("U", "voltage that is read", Band.exactly(found.volts), "V", (*place, "pull") if damage == "open" else "the rail it touches")] if found else []
        yield Calculation(
            slug, f"Distance of the signal of {name} from its fault window, line {what}", (*place, "valid"), _LINE, (*there, *ends), missing,
            Band.exactly(found.margin) if found else None, Bound("above", 0, "pedal-deviation", "outside the window"), "" if missing else impossible,
            "Without a resistor the open line may stand anywhere, at the worst in the middle of the window." if damage == "open" and pulled == "none" else "",
        )  # fmt: skip


def _against_brakes(look: Look) -> Iterator[Calculation]:
    """The thresholds of the check against the brakes, as travel and as outputs of the sensors."""
    demand = look.car.demand
    check = demand.pedal_vs_brake_check if isinstance(demand, described.Demand) else None
    if not isinstance(check, described.PedalVsBrakeCheck):
        return
    trips = check.trips if isinstance(check.trips, described.CheckTrips) else described.CheckTrips()
    releases = check.releases if isinstance(check.releases, described.CheckReleases) else described.CheckReleases()
    if isinstance(trips.power_above, Quantity):
        system = look.car.tractive_system
        largest = system.power if isinstance(system, TractiveSystem) else None
        place = (*CHECK, "trips", "power_above")
        yield computed(
            "pedal-vs-brake-travel", "Pedal travel that asks for the power of the pedal-vs-brake check", place, travel_of_power,
            {"power": reading("P", "power above which it acts", trips.power_above, place),
             "largest": reading("P_max", "largest power drawn", largest, ("tractive_system", "power"))},
            prose="At the speed of the largest power, with torque in proportion to travel; at any lower speed it is further down.",
        )  # fmt: skip
    for place, travel, what in (
        ((*CHECK, "trips", "travel_above"), trips.travel_above, "above which the pedal-vs-brake check acts"),
        ((*CHECK, "releases", "pedal_below"), releases.pedal_below, "below which torque may return"),
    ):
        at = reading("s", f"travel {what}", travel, place)
        for name, sensor in pedal_sensors(look).items():
            curve = curve_of(sensor)
            if curve is not None and isinstance(at, Given) and 0 <= at.band.low <= at.band.high <= 1:
                ends = sorted(value_at(curve, end) for end in (at.band.low, at.band.high))
                output = _as_supplied(sensor, Given("U", "output", Band(ends[0], value_at(curve, at.band.nominal), ends[1]), "V", (*SENSORS, name, "curve")))
                title = f"Output of {name} at the travel {what}"
                if isinstance(output, Given):
                    yield _read_off("pedal-output", title, place, _OUTPUT, (at,), output.band, None, "The value to look for when the pedal is tested.")
