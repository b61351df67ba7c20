"""Pedal sensors: separation of their curves, shorts between their lines, damaged lines, fault windows, what stays unnoticed.

A curve holds points (travel, volts), travel as a share from 0 released to 1 fully pressed. Beyond the outputs of its curve a sensor
reads the end of its travel, as controllers commonly do: the smaller deviation, and so the safe side for a check that must notice.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from docgen.calc.formula import OutOfBounds, bounded, formula
from docgen.calc.polyline import Points, place_of, value_at

_SLOPE = "straight line through two points of the sensor's curve"
_POWER = "power in proportion to torque at one speed, torque in proportion to travel"


@dataclass(frozen=True, slots=True)
class PedalSensor:
    """A curve that only rises or only falls, and the window of volts outside which the sensor counts as failed."""

    curve: Points
    window: tuple[float, float]

    @property
    def outputs(self) -> tuple[float, float]:
        """Lowest and highest output in V."""
        ends = self.curve[0][1], self.curve[-1][1]
        return min(ends), max(ends)

    def reading(self, volts: float) -> float:
        """Travel that is read at an output in V."""
        low, high = self.outputs
        return place_of(self.curve, min(max(volts, low), high))


@dataclass(frozen=True, slots=True)
class Separation:
    """Where two curves come closest: travel, and the distance there in V; 0 where they touch or cross."""

    position: float
    volts: float


@dataclass(frozen=True, slots=True)
class LineFault:
    """A damaged line: the voltage that is read and how far it lies outside the window, in V: noticed when above 0."""

    fault: Literal["open", "to ground", "to supply"]
    volts: float
    margin: float


def gaps(first: Points, second: Points) -> tuple[tuple[float, float], ...]:
    """Travel, and first output less second in V, wherever one of two curves over the same travel begins, bends or ends.

    >>> gaps(((0, 1.0), (1, 4.0)), ((0, 0.5), (1, 2.0)))
    ((0, 0.5), (1, 2.0))
    """
    _same_travel(first, second)
    return tuple((place, value_at(first, place) - value_at(second, place)) for place in sorted({place for place, _ in first + second}))


def separation(first: Points, second: Points) -> Separation:
    """The smallest distance of two curves over the same travel.

    >>> separation(((0, 1.0), (1, 4.0)), ((0, 0.5), (1, 2.0)))
    Separation(position=0, volts=0.5)
    """
    apart = list(gaps(first, second))
    return min((Separation(place, abs(gap)) for place, gap in apart + _zeros(apart)), key=lambda found: found.volts)


def short_readings(first: PedalSensor, second: PedalSensor) -> tuple[tuple[float, float, float], ...]:
    """Voltage, and both readings of it, at the voltages of shorted lines that matter; empty where each leaves a window.

    These are the lowest and the highest inside both windows, those at which a curve bends, and those that both read alike. The readings
    are straight lines between them.

    >>> short_readings(PedalSensor(((0, 1.0), (1, 4.0)), (0.5, 4.5)), PedalSensor(((0, 1.0), (1, 2.0)), (0.25, 2.5)))
    ((1.0, 0.0, 0.0), (2.0, 0.3333333333333333, 1.0), (2.5, 0.5, 1.0))
    """
    _same_travel(first.curve, second.curve)
    low = max(first.window[0], second.window[0], min(first.outputs[0], second.outputs[0]))
    high = min(first.window[1], second.window[1], max(first.outputs[1], second.outputs[1]))
    if low > high:
        return ()
    bends = sorted({low, high, *(volts for _, volts in first.curve + second.curve if low < volts < high)})
    apart = [(volts, first.reading(volts) - second.reading(volts)) for volts in bends]
    alike = [(volts, first.reading(volts), first.reading(volts)) for volts, _ in _zeros(apart)]
    return tuple(sorted([(volts, first.reading(volts), second.reading(volts)) for volts in bends] + alike))


def line_faults(sensor: PedalSensor, supply: float, pull: Literal["down", "up", "none"]) -> tuple[LineFault, ...]:
    """What the damaged signal line of a sensor with `supply` in V reads: open, shorted to ground, shorted to supply.

    An open line goes where its resistor pulls it. Without one it may stand anywhere, at the worst in the middle of the window.
    """
    bounded("supply", supply, above=0)
    low, high = sensor.window
    bounded("end of the window", high, above=low)
    standing = {"down": 0.0, "up": supply, "none": (low + high) / 2}
    return (
        LineFault("open", standing[pull], max(low - standing[pull], standing[pull] - high)),
        LineFault("to ground", 0.0, max(low, -high)),
        LineFault("to supply", supply, max(low - supply, supply - high)),
    )


def _same_travel(first: Points, second: Points) -> None:
    for name, one, other in (("start of the travel", first[0][0], second[0][0]), ("end of the travel", first[-1][0], second[-1][0])):
        if one != other:
            raise OutOfBounds(name, f"{one:g} as of the other curve", other)


def _zeros(points: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Where a line of points goes through 0 between two of them."""
    return [
        (left + (right - left) * before / (before - after), 0.0)
        for (left, before), (right, after) in pairwise(points)
        if before * after < 0
    ]


@formula("ΔU = d·S", "V", _SLOPE, rises_with=("limit", "slope"))
def unnoticed_error(*, limit: float, slope: float) -> float:
    """Error in V of an output that the deviation check may just not notice: `limit` as a share of travel, `slope` in V over the whole travel.

    Hand calculation, 10 % of 3 V:

    >>> round(unnoticed_error(limit=0.1, slope=3), 9)
    0.3
    """
    bounded("limit", limit, least=0)
    bounded("slope", slope, least=0)
    return limit * slope


@formula("ΔU = min(U_min − U_low, U_high − U_max)", "V", "difference of voltages", rises_with=("lowest", "upper_end"), falls_with=("lower_end", "highest"))
def window_margin(*, lower_end: float, upper_end: float, lowest: float, highest: float) -> float:
    """Room in V between a fault window from `lower_end` to `upper_end` and the healthy outputs from `lowest` to `highest`, all in V.

    Hand calculation:

    >>> round(window_margin(lower_end=0.8, upper_end=4.2, lowest=1.0, highest=4.1), 9)
    0.1
    """
    for name, value in (("lower_end", lower_end), ("upper_end", upper_end), ("lowest", lowest), ("highest", highest)):
        bounded(name, value)
    return min(lowest - lower_end, upper_end - highest)


@formula("s = P/P_max", "1", _POWER, rises_with=("power",), falls_with=("largest",))
def travel_of_power(*, power: float, largest: float) -> float:
    """Pedal travel, as a share of the whole, that asks for `power` in W where the whole travel asks for `largest` in W.

    Hand calculation, 5 kW of 80 kW:

    >>> travel_of_power(power=5e3, largest=80e3)
    0.0625
    """
    bounded("power", power, least=0)
    bounded("largest", largest, above=0)
    return power / largest
