"""Pulse load of a resistor: energy and mean power of repeated attempts, and what its rating allows for a time."""

import math
from itertools import pairwise

from docgen.calc.formula import bounded, formula
from docgen.calc.polyline import Points, value_at

_ATTEMPTS = "Miba, Precharge resistor calculation"
_EQUAL_ENERGY = "Welwyn, calculation tools (exponential pulses turned into rectangular pulses of equal energy)"


@formula("E = n·E₁", "J", _ATTEMPTS, rises_with=("energy", "attempts"))
def attempts_energy(*, energy: float, attempts: float) -> float:
    """Energy in J of a number of `attempts` in a row that take `energy` in J each and leave no time to cool.

    Hand calculation, three attempts of 40 J:

    >>> attempts_energy(energy=40, attempts=3)
    120
    """
    bounded("energy", energy, least=0)
    bounded("attempts", attempts, least=1)
    return attempts * energy


@formula("P = n·E₁/t", "W", _ATTEMPTS, rises_with=("energy", "attempts"), falls_with=("time",))
def mean_power(*, energy: float, attempts: float, time: float) -> float:
    """Mean power in W of a number of `attempts` of `energy` in J each within `time` in s.

    The publisher's rule for three charges in 10 s is P = 3·E/10 s, here with 40 J:

    >>> mean_power(energy=40, attempts=3, time=10)
    12.0
    """
    bounded("time", time, above=0)
    return attempts_energy(energy=energy, attempts=attempts) / time


@formula("t = n·E₁/P", "s", _EQUAL_ENERGY, rises_with=("energy", "attempts"), falls_with=("power",))
def attempts_time(*, energy: float, attempts: float, power: float) -> float:
    """Length in s of the one rectangular pulse of the peak `power` in W that has the energy of all `attempts` of `energy` in J each.

    Nothing cools between them. One exponential pulse with time constant τ comes to τ/2. Hand calculation, three attempts of 40 J that begin at 160 W:

    >>> attempts_time(energy=40, attempts=3, power=160)
    0.75
    """
    bounded("power", power, above=0)
    return attempts_energy(energy=energy, attempts=attempts) / power


def permitted_power(*, rating: Points, rated_power: float, time: float) -> float:
    """Power in W that a resistor withstands for `time` in s, by its `rating`, points (s, W), and its continuous `rated_power` in W.

    Between two points the line is straight on logarithmic scales, so that a part rated for one energy keeps that energy.
    Shorter than the first point the first point's power holds, longer than the last the continuous power: nothing is extrapolated.
    Raises OutOfBounds where times do not rise, where power rises with time, or where a point lies below the continuous power.

    Vishay Dale's pulse note: type RS005 takes 24,500,000 W for 1 µs and 24,500 W for 1 ms, below the cross-over the same 24.5 J:

    >>> round(permitted_power(rating=((1e-6, 24.5e6), (1e-3, 24.5e3)), rated_power=5, time=10e-6))
    2450000
    """
    bounded("time", time, least=0)
    bounded("rated power", rated_power, above=0)
    bounded("number of points of the rating", len(rating), least=1)
    bounded("time of the first point", rating[0][0], above=0)
    bounded("power of the last point", rating[-1][1], least=rated_power)
    for (before, more), (after, less) in pairwise(rating):
        bounded("time of a point", after, above=before)
        bounded("power of a point", less, most=more)
    if time <= rating[0][0]:
        return rating[0][1]
    if time > rating[-1][0]:
        return rated_power
    return math.exp(value_at(tuple((math.log(at), math.log(power)) for at, power in rating), math.log(time)))
