"""The brake plausibility device: threshold current, output of its current sensor, current and pressure at which it trips, its time.

A sensor is given by the two points of its curve between which the threshold lies. Of a falling sensor, give outputs and threshold negated.
"""

from docgen.calc.formula import OutOfBounds, bounded, formula

_POWER = "electric power P = U·I"
_LINE = "straight line through two points of the sensor's curve"
_DIVIDER = "voltage divider, Kirchhoff's laws"
_RATIOMETRIC = "output of a ratiometric sensor, in proportion to its supply"
_SUM = "times one after the other"


@formula("I = P/U", "A", _POWER, rises_with=("power",), falls_with=("voltage",))
def threshold_current(*, power: float, voltage: float) -> float:
    """Current in A that carries `power` in W at `voltage` in V. The highest voltage gives the lowest current, and so the safest threshold.

    Hand calculation:

    >>> threshold_current(power=5000, voltage=400)
    12.5
    """
    bounded("power", power, least=0)
    bounded("voltage", voltage, above=0)
    return power / voltage


@formula(
    "U = U₁ + ((1 + ε)·I + ΔI − I₁)·(U₂ − U₁)/(I₂ − I₁)", "V", _LINE,
    rises_with=("current", "gain_error", "error", "lower_output", "upper_output"), falls_with=("lower_current", "upper_current"),
)  # fmt: skip
def sensor_output(
    *, current: float, gain_error: float, error: float, lower_current: float, lower_output: float, upper_current: float, upper_output: float
) -> float:
    """Output in V of a sensor at `current` in A, read too high by a share `gain_error` and by `error` in A.

    Its lowest value over the errors of the sensor is the highest threshold that surely trips at that current.
    Hand calculation, 0.1 V/A from 2.5 V on:

    >>> sensor_output(current=12.5, gain_error=0, error=0, lower_current=0, lower_output=2.5, upper_current=20, upper_output=4.5)
    3.75
    """
    bounded("current", current, least=0)
    bounded("gain_error", gain_error, above=-1)
    bounded("error", error)
    _checked(lower_current, lower_output, upper_current, upper_output, "current")
    read = (1 + gain_error) * current + error
    if not lower_current <= read <= upper_current:
        raise OutOfBounds("current that is read", f"from {lower_current:g} to {upper_current:g}, where the curve was given", read)
    share = (read - lower_current) / (upper_current - lower_current)
    return lower_output * (1 - share) + upper_output * share


_TRIP_RISES = ("threshold", "error")
_TRIP_FALLS = ("lower_output", "upper_output", "gain_error")


@formula(
    "I = (I₁ + (U_th − U₁)·(I₂ − I₁)/(U₂ − U₁) + ΔI)/(1 + ε)", "A", _LINE,
    rises_with=(*_TRIP_RISES, "lower_current", "upper_current"), falls_with=_TRIP_FALLS,
)  # fmt: skip
def trip_current(
    *, threshold: float, lower_current: float, lower_output: float, upper_current: float, upper_output: float, gain_error: float, error: float
) -> float:
    """Current in A at which the output of a sensor meets `threshold` in V, where it reads too high by a share `gain_error`.

    `error` in A is the error of the reading where the sensor's maker states it so; what is read below 0 has no share to take.
    Hand calculation, 0.1 V/A from 2.5 V on:

    >>> trip_current(threshold=3.75, lower_current=0, lower_output=2.5, upper_current=20, upper_output=4.5, gain_error=0, error=0)
    12.5
    """
    _checked(lower_current, lower_output, upper_current, upper_output, "current")
    return _met(threshold, lower_current, lower_output, upper_current, upper_output, gain_error, error)


@formula(
    "p = (p₁ + (U_th − U₁)·(p₂ − p₁)/(U₂ − U₁) + Δp)/(1 + ε)", "Pa", _LINE,
    rises_with=(*_TRIP_RISES, "lower_pressure", "upper_pressure"), falls_with=_TRIP_FALLS,
)  # fmt: skip
def trip_pressure(
    *, threshold: float, lower_pressure: float, lower_output: float, upper_pressure: float, upper_output: float, gain_error: float, error: float
) -> float:
    """Pressure in Pa at which the output of a sensor meets `threshold` in V, where it reads too high by a share `gain_error`.

    `error` in Pa is the error of the reading where the sensor's maker states it so.
    Hand calculation, 40 mV/bar from 0.5 V on, in bar:

    >>> round(trip_pressure(threshold=1.7, lower_pressure=0, lower_output=0.5, upper_pressure=1e7, upper_output=4.5, gain_error=0, error=0) / 1e5, 9)
    30.0
    """
    _checked(lower_pressure, lower_output, upper_pressure, upper_output, "pressure")
    return _met(threshold, lower_pressure, lower_output, upper_pressure, upper_output, gain_error, error)


def _checked(lower: float, lower_output: float, upper: float, upper_output: float, quantity: str) -> None:
    bounded(f"lower_{quantity}", lower, least=0)
    bounded(f"upper_{quantity}", upper, above=lower)
    bounded("lower_output", lower_output)
    bounded("upper_output", upper_output, above=lower_output)


def _met(threshold: float, lower: float, lower_output: float, upper: float, upper_output: float, gain_error: float, error: float) -> float:
    bounded("threshold", threshold, least=lower_output, most=upper_output)
    bounded("gain_error", gain_error, above=-1)
    bounded("error", error)
    share = (threshold - lower_output) / (upper_output - lower_output)
    read = lower * (1 - share) + upper * share + error
    return read / (1 + gain_error) if read > 0 else read


@formula("U_th = s·U_s", "V", _DIVIDER, rises_with=("share", "supply"))
def threshold_of_share(*, share: float, supply: float) -> float:
    """Threshold in V that is a `share` of `supply` in V.

    Hand calculation:

    >>> threshold_of_share(share=0.75, supply=5)
    3.75
    """
    bounded("share", share, least=0, most=1)
    bounded("supply", supply, above=0)
    return share * supply


@formula("U_th′ = U_th·U_n/U_s", "V", _RATIOMETRIC, rises_with=("threshold", "nominal"), falls_with=("supply",))
def threshold_at_nominal(*, threshold: float, nominal: float, supply: float) -> float:
    """Voltage in V on the curve of a ratiometric sensor that a fixed `threshold` in V means while the sensor has `supply` in V.

    The curve holds at the supply `nominal` in V. Hand calculation, a supply 4 % above its nominal 5 V:

    >>> round(threshold_at_nominal(threshold=2.6, nominal=5, supply=5.2), 9)
    2.5
    """
    bounded("threshold", threshold, least=0)
    bounded("nominal", nominal, above=0)
    bounded("supply", supply, above=0)
    return threshold * nominal / supply


@formula("t = t_d + t_r", "s", _SUM, rises_with=("delay", "release"))
def trip_time(*, delay: float, release: float) -> float:
    """Time in s from the condition to the open loop: `delay` of the logic and `release` of the contact, both in s.

    Hand calculation:

    >>> trip_time(delay=0.375, release=0.0125)
    0.3875
    """
    bounded("delay", delay, least=0)
    bounded("release", release, least=0)
    return delay + release


@formula("s = R₂/(R₁ + R₂)", "1", _DIVIDER, rises_with=("lower",), falls_with=("upper",))
def divider_share(*, upper: float, lower: float) -> float:
    """Share of the voltage across a divider of `upper` and `lower` in Ω that stands at its tap.

    Hand calculation, 10 kΩ under 990 kΩ:

    >>> divider_share(upper=990e3, lower=10e3)
    0.01
    """
    bounded("upper", upper, least=0)
    bounded("lower", lower, above=0)
    return lower / (upper + lower)


@formula("U_th = U·R₂/(R₁ + R₂)", "V", _DIVIDER, rises_with=("supply", "lower"), falls_with=("upper",))
def comparator_threshold(*, supply: float, upper: float, lower: float) -> float:
    """Threshold in V of a comparator set by a divider of `upper` and `lower` in Ω from `supply` in V.

    Hand calculation, 10 kΩ under 990 kΩ:

    >>> comparator_threshold(supply=400, upper=990e3, lower=10e3)
    4.0
    """
    bounded("supply", supply, least=0)
    return supply * divider_share(upper=upper, lower=lower)
