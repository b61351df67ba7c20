"""The brake plausibility device in numbers: at which current, at which pressure and how soon it trips."""

import re
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from docgen.analysis.delays import is_made_of_parts, law_of
from docgen.analysis.fields import as_stated, bound, constant, limit, reading, system_voltage, widened
from docgen.analysis.loop_coils import release_of
from docgen.calc.formula import Band
from docgen.calc.plausibility import (
    comparator_threshold,
    divider_share,
    sensor_output,
    threshold_at_nominal,
    threshold_current,
    threshold_of_share,
    trip_current,
    trip_pressure,
    trip_time,
)
from docgen.calculation import Bound, Calculation, Given, Missing, computed, result_as
from docgen.car.device import Coil, Delay, Device, Divider, Reset, Sensor
from docgen.car.wiring import Feed, LowVoltage
from docgen.editions.topics import TOPICS
from docgen.look import Look
from docgen.provenance import Path
from docgen.quantity import DIMENSIONS, Quantity, Spread

FUNCTION = "brake plausibility device"

_WORDS = {"current": r"current|amps?\b|ampere", "pressure": r"pressure|brake"}
_SYMBOLS = {"current": ("I", "ΔI", "A"), "pressure": ("p", "Δp", "Pa")}


@dataclass(frozen=True, slots=True)
class Watched:
    """A sensor of a brake plausibility device for a `current` or a `pressure`, with what it is compared with."""

    path: Path
    device: str
    name: str
    sensor: Sensor
    measured: str
    threshold: object
    supply: Given | Missing

    @property
    def place(self) -> Path:
        return (*self.path, "sensors", self.name)

    @property
    def title(self) -> str:
        return f"{self.device}, {self.name}"

    @property
    def set_at(self) -> Path:
        """The field of the threshold."""
        return (*self.path, "thresholds", self.name)


def watched(look: Look, measured: str) -> Iterator[Watched]:
    """The sensors for a `current` or a `pressure`: told by the unit of their curve or threshold, else by the words used."""
    for path, name, device in look.devices(FUNCTION):
        for key, sensor in device.sensors.items():
            threshold = device.thresholds.get(key)
            units = {point[0].dimension for point in sensor.curve} if isinstance(sensor.curve, tuple) else set()
            units = (units | ({threshold.dimension} if isinstance(threshold, Quantity) else set())) & set(_WORDS)
            words = f"{key.replace('_', ' ')} {sensor.measures if isinstance(sensor.measures, str) else ''}"
            if measured in units or (not units and re.search(_WORDS[measured], words, re.IGNORECASE)):
                yield Watched(path, name, key, sensor, measured, threshold, _supply(look, (*path, "sensors", key), sensor, device))


def _supply(look: Look, path: Path, sensor: Sensor, device: Device) -> Given | Missing:
    """The supply of a sensor, or else the voltage of the feed; the curves of ratiometric sensors hold at its nominal value."""
    if sensor.supply is not None:
        return reading("U_s", "supply of the sensor", sensor.supply, (*path, "supply"))
    feeds = look.car.low_voltage.feeds if isinstance(look.car.low_voltage, LowVoltage) else {}
    name = device.feed if isinstance(device.feed, str) else ""
    feed = feeds.get(name)
    place = ("low_voltage", "feeds", name, "voltage") if isinstance(feed, Feed) else ("low_voltage", "feeds")
    return reading("U_s", "supply of the sensor, the voltage of its feed", feed.voltage if isinstance(feed, Feed) else None, place)


def plausibility(look: Look) -> Iterator[Calculation]:
    """Every figure of every brake plausibility device."""
    devices = tuple(look.devices(FUNCTION))
    if not devices:
        return
    least = limit_current(look)
    yield least
    for sensor in watched(look, "current"):
        yield from _current(look, least, sensor)
    for sensor in watched(look, "pressure"):
        yield from _pressure(look, sensor)
    for path, name, device in devices:
        yield from _times(look, path, name, device)


def limit_current(look: Look) -> Calculation:
    """The current that carries the power of the edition, at the voltage by which it counts."""
    basis = look.edition.topic("plausibility-power").words.get("basis")
    voltage: Given | Missing = Missing(f"whether the highest or the nominal voltage counts (not read in {look.edition.name})", ("car", "edition"))
    if basis in TOPICS["plausibility-power"].words["basis"]:
        voltage = system_voltage(look, "highest" if basis == "highest" else "nominal")
    inputs = {"power": limit(look, "P", "power from which it acts", "plausibility-power", "power"), "voltage": voltage}
    title, prose = "Current at which the brake plausibility device must act", "From this current on, hard braking has to open the loop."
    return computed("plausibility-limit-current", title, ("tractive_system", "voltage"), threshold_current, inputs, prose=prose)


def _current(look: Look, least: Calculation, one: Watched) -> Iterator[Calculation]:
    if not _is_set_directly(one):
        before, _ = threshold_on_curve(one)
        yield from before
        curve, current = curve_of(one), result_as(least, "I", "current at which it must act")
        piece = {name: _noisy(one, value) if name.endswith("output") else value for name, value in curve.piece(current, of_outputs=False).items()}
        yield computed(
            "plausibility-sensor-output", f"Output of {one.title} at the current at which it must act", (*one.place, "curve"), sensor_output,
            {"current": current, **errors(one), **piece},
            prose="A threshold that already the weakest of them reaches surely trips at that current."
            + (" At the nominal supply of the sensor, which its output follows." if one.sensor.output == "ratiometric" else "") + curve.turned,
        )  # fmt: skip
    yield trip_current_of(look, least, one)


def trip_current_of(look: Look, least: Calculation, one: Watched) -> Calculation:
    """The current at which a sensor trips, against the lowest one that carries the power of the edition."""
    power = look.limit("plausibility-power", "power")
    kept = None
    if least.result and power:
        kept = Bound(power[0].compare, least.result.low, "plausibility-power", f"the lowest current that carries {power[1]}")
    slug, title = "plausibility-trip-current", f"Trip current of {one.title}"
    prose = "At more than this, hard braking opens the loop; the real device trips somewhere between the ends."
    if _is_set_directly(one):
        return as_stated(slug, title, one.set_at, _set_directly(one), kept, prose)
    curve = curve_of(one)
    met = curve.facing(threshold_on_curve(one)[1])
    return computed(slug, title, one.set_at, trip_current, {"threshold": met, **curve.piece(met), **errors(one)}, kept, prose + curve.turned)


def _pressure(look: Look, one: Watched) -> Iterator[Calculation]:
    kept = bound(look, "plausibility-brake", "pressure")
    slug, title = "plausibility-brake-threshold", f"Brake threshold of {one.title}"
    prose = "From this pressure on, the device takes the braking for hard."
    if _is_set_directly(one):
        yield as_stated(slug, title, one.set_at, _set_directly(one), kept, prose)
        return
    before, threshold = threshold_on_curve(one)
    curve = curve_of(one)
    yield from before
    met = curve.facing(threshold)
    yield computed(slug, title, one.set_at, trip_pressure, {"threshold": met, **curve.piece(met), **errors(one)}, kept, prose + curve.turned)


def _times(look: Look, path: Path, name: str, device: Device) -> Iterator[Calculation]:
    said, place = device.delay, (*path, "delay")
    delay = reading("t_d", "delay of the logic", said.time if isinstance(said, Delay) else said, (*place, "time"))
    never = ""
    if isinstance(said, Delay) and is_made_of_parts(said):
        timing = computed("plausibility-delay", f"Delay of {name}", place, *law_of(said, place), prose="So long both conditions last before the logic acts.")
        yield timing
        delay, never = result_as(timing, "t_d", "delay of the logic"), timing.impossible
    release: Given | Missing = constant("t_r", "release of its contact, not counted", 0, "s", "no coil of it is described")
    if isinstance(device.coil, Coil):
        release = release_of(look, name)
    whole = computed(
        "plausibility-time", f"Time until {name} has opened the loop", place, trip_time, {"delay": delay, "release": release},
        bound(look, "plausibility-time", "time"), "Counted from the moment at which both conditions are there; the longest decides.",
    )  # fmt: skip
    yield replace(whole, missing=(), impossible=never) if never else whole
    if isinstance(device.reset, Reset):
        yield from _self_reset(look, (*path, "reset"), name, device.reset)


def _self_reset(look: Look, path: Path, name: str, reset: Reset) -> Iterator[Calculation]:
    kept, prose = bound(look, "plausibility-reset", "self_after"), "The shortest decides."
    slug, title = "plausibility-self-reset", f"Time after which {name} comes back by itself"
    made, stated, place = reset.timing, reset.self_after, (*path, "self_after")
    if isinstance(made, Delay) and is_made_of_parts(made):
        yield computed(slug, title, (*path, "timing"), *law_of(made, (*path, "timing")), kept, prose)
        return
    if isinstance(made, Delay):
        stated, place = made.time, (*path, "timing", "time")
    if isinstance(stated, Quantity):
        yield as_stated(slug, title, place, reading("t", "time after which it comes back by itself", stated, place), kept, prose)


def threshold_on_curve(one: Watched) -> tuple[tuple[Calculation, ...], Given | Missing]:
    """The threshold as a voltage on the sensor's curve, and what had to be computed for it.

    An error of the sensor that is stated in volts is counted here, for it matters only how far the two are apart.
    """
    before, given = _threshold_set(one)
    if isinstance(given, Missing):
        return before, given
    if one.sensor.output not in ("absolute", "ratiometric"):
        return before, Missing(f"whether the output of {one.name} follows its supply", (*one.place, "output"))
    if given.unit not in ("V", "1"):
        return before, Missing(f"threshold for {one.name} as a voltage, a share of the supply or a {one.measured}", one.set_at)
    ratiometric = one.sensor.output == "ratiometric"
    if given.unit == "V" and not ratiometric:
        return before, _noisy(one, given)
    nominal = replace(one.supply, symbol="U_n", band=Band.exactly(one.supply.band.nominal)) if isinstance(one.supply, Given) else one.supply
    slug, title = "plausibility-threshold", f"Threshold of {one.title} as its sensor shows it"
    if given.unit == "V":
        prose, inputs = "The sensor follows its supply, the threshold does not.", {"threshold": given, "nominal": nominal, "supply": one.supply}
        found = computed(slug, title, one.set_at, threshold_at_nominal, inputs, prose=prose)
    else:
        prose = "Sensor and threshold follow the same supply." if ratiometric else "The threshold follows its supply, the sensor does not."
        inputs = {"share": replace(given, symbol="s"), "supply": nominal if ratiometric else one.supply}
        found = computed(slug, title, one.set_at, threshold_of_share, inputs, prose=prose)
    return (*before, found), _noisy(one, result_as(found, "U_th", "threshold"))


def _threshold_set(one: Watched) -> tuple[tuple[Calculation, ...], Given | Missing]:
    """The threshold as it is stated or as its divider sets it: a voltage, or a share of the supply of the sensor."""
    said, place, title = one.threshold, one.set_at, f"Threshold of {one.title} as its divider sets it"
    if not isinstance(said, Divider):
        return (), reading("U_th", "threshold", said, place)
    resistors = {"upper": reading("R₁", "upper resistor", said.upper, (*place, "upper")), "lower": reading("R₂", "lower resistor", said.lower, (*place, "lower"))}
    if said.reference is None:
        found = computed("plausibility-divider", title, place, divider_share, resistors, prose="As a share: the divider hangs on the supply of the sensor.")
    else:
        reference = reading("U", "reference of the divider", said.reference, (*place, "reference"))
        found = computed("plausibility-divider", title, place, comparator_threshold, {"supply": reference, **resistors}, prose="From a reference of its own.")
    return (found,), result_as(found, "U_th", "threshold")


def _dimension(error: Spread) -> str:
    """What an error of a sensor is stated in; `share` where it is a share of the reading."""
    if error.relative:
        return "share"
    return next((name for name in ("voltage", "current", "pressure") if any(str(error).endswith(f" {unit}") for unit in DIMENSIONS[name])), "")


def _spreads(one: Watched, *dimensions: str) -> list[Spread]:
    """The errors of a sensor that are stated in one of these."""
    return [error for error in (one.sensor.error, one.sensor.offset) if isinstance(error, Spread) and _dimension(error) in dimensions]


def _unusable_error(one: Watched, *dimensions: str) -> Missing | None:
    """An error of a sensor that is not known, or stated in none of these; the error at zero may be left out."""
    what = {"error": one.sensor.error} | ({"offset": one.sensor.offset} if one.sensor.offset is not None else {})
    wanting = next((name for name, error in what.items() if not isinstance(error, Spread) or _dimension(error) not in dimensions), "")
    return Missing(f"{'error at zero' if wanting == 'offset' else 'error'} of {one.name}", (*one.place, wanting)) if wanting else None


def _noisy(one: Watched, volts: Given | Missing) -> Given | Missing:
    """A threshold, or an output, with the errors of the sensor that are stated in volts."""
    spreads = _spreads(one, "voltage")
    for error in spreads:
        volts = widened(volts, error)
    return replace(volts, name=f"{volts.name}, with the error of the sensor in volts") if spreads and isinstance(volts, Given) else volts


def _together(spreads: list[Spread]) -> Band:
    return Band(-sum(float(spread.down) for spread in spreads), 0.0, sum(float(spread.up) for spread in spreads))


def errors(one: Watched) -> dict[str, Given | Missing]:
    """The error of the reading, as a share of it and in its own unit."""
    origin, (_, symbol, unit) = (*one.place, "error"), _SYMBOLS[one.measured]
    if missing := _unusable_error(one, "share", "voltage", one.measured):
        return {"error": missing}
    noted = " (what is stated in volts is counted there)" if _spreads(one, "voltage") else ""
    return {
        "gain_error": Given("ε", "error of the reading, as a share of it", _together(_spreads(one, "share")), "1", origin),
        "error": Given(symbol, f"error of the reading{noted}", _together(_spreads(one, one.measured)), unit, origin),
    }


def _is_set_directly(one: Watched) -> bool:
    return isinstance(one.threshold, Quantity) and one.threshold.dimension == one.measured


def _set_directly(one: Watched) -> Given | Missing:
    """A threshold that is stated in the unit of the reading, with the error of the reading."""
    if missing := _unusable_error(one, "share", one.measured):
        return replace(missing, name=f"{missing.name} as a share or a {one.measured}")
    symbol, _, _ = _SYMBOLS[one.measured]
    threshold = reading(f"{symbol}_th", "threshold with the error of the reading", one.threshold, one.set_at)
    for error in _spreads(one, one.measured, "share"):
        threshold = widened(threshold, error)
    return threshold


@dataclass(frozen=True, slots=True)
class Curve:
    """The curve of a sensor from a reading of 0 on, by rising reading; its outputs are negated where they fall."""

    points: tuple[tuple[Given, Given], ...]
    measured: str
    falls: bool
    missing: Missing

    @property
    def turned(self) -> str:
        return " Outputs are counted negative here, because they fall as the reading rises." if self.falls else ""

    def facing(self, volts: Given | Missing) -> Given | Missing:
        """A voltage as it is compared with the outputs."""
        return _negated(volts) if self.falls and isinstance(volts, Given) else volts

    def piece(self, value: Given | Missing, of_outputs: bool = True) -> dict[str, Given | Missing]:
        """The two neighbouring points between which an output, or else a reading, lies; the outermost two where it lies beyond."""
        if not self.points:
            return {"lower_output": self.missing}
        band = value.band if isinstance(value, Given) else self.points[0][of_outputs].band
        steps = [point[of_outputs].band.nominal for point in self.points]
        number = min(max(bisect_right(steps, band.nominal) - 1, 0), len(steps) - 2)
        if (number > 0 and band.low < steps[number]) or (number < len(steps) - 2 and band.high > steps[number + 1]):
            return {"lower_output": replace(self.missing, name=f"{self.missing.name}, without a bend within the tolerance")}
        symbol = _SYMBOLS[self.measured][0]
        found: dict[str, Given | Missing] = {}
        for where, sign, (there, volts) in zip(("lower", "upper"), "₁₂", self.points[number : number + 2], strict=True):
            found[f"{where}_{self.measured}"] = replace(there, symbol=symbol + sign, name=f"{self.measured} at the {where} point of the curve")
            found[f"{where}_output"] = replace(volts, symbol="U" + sign, name=f"output at the {where} point of the curve")
        return found


def curve_of(one: Watched) -> Curve:
    """The curve of a sensor; without points where it is not given, or where two points have the same reading or the same output."""
    said, origin = one.sensor.curve, (*one.place, "curve")
    missing = Missing(f"curve of {one.name}, points of {one.measured} and output", origin)
    read = [(reading("", "", there, origin), reading("", "", volts, origin)) for there, volts in said] if isinstance(said, tuple) else []
    points = [(there, volts) for there, volts in read if isinstance(there, Given) and isinstance(volts, Given)]
    points.sort(key=lambda point: point[0].band.nominal)
    falls = len(points) > 1 and points[0][1].band.nominal > points[-1][1].band.nominal
    if falls:
        points = [(there, _negated(volts)) for there, volts in points]
    rises = all(a[0].band.nominal < b[0].band.nominal and a[1].band.nominal < b[1].band.nominal for a, b in pairwise(points))
    driven = _from_zero(points) if rises and len(points) > 1 else []
    return Curve(tuple(driven) if len(driven) > 1 else (), one.measured, falls, missing)


def _from_zero(points: list[tuple[Given, Given]]) -> list[tuple[Given, Given]]:
    """The points without those below a reading of 0; where the line crosses it, a point is put."""
    kept = [point for point in points if point[0].band.nominal >= 0]
    below = points[: len(points) - len(kept)]
    if below and kept and kept[0][0].band.nominal > 0:
        (left, low), (right, high) = below[-1], kept[0]
        share = left.band.nominal / (left.band.nominal - right.band.nominal)
        crossed = Band(*(a * (1 - share) + b * share for a, b in zip(_ends(low.band), _ends(high.band), strict=True)))
        kept.insert(0, (replace(left, band=Band.exactly(0)), replace(low, band=crossed)))
    return kept


def _ends(band: Band) -> tuple[float, float, float]:
    return band.low, band.nominal, band.high


def _negated(value: Given) -> Given:
    return replace(value, band=Band(-value.band.high, -value.band.nominal, -value.band.low))
