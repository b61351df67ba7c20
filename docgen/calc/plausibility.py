"""The brake plausibility device: threshold current, output of its current sensor, current at which it trips.

Sensor curves that bend are read with `polyline.value_at` and `polyline.place_of`.
"""

from docgen.calc.formula import bounded, formula

_POWER = "electric power P = U·I"
_LINE = "straight line through two points of the sensor's curve"
_DIVIDER = "voltage divider, Kirchhoff's laws"


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
    "S = (U₂ − U₁)/(I₂ − I₁)", "V/A", _LINE, rises_with=("upper_output", "lower_current"), falls_with=("lower_output", "upper_current")
)
def sensitivity(*, lower_current: float, lower_output: float, upper_current: float, upper_output: float) -> float:
    """Slope in V/A of a sensor between two points of its curve, currents in A and outputs in V.

    Of a falling sensor, give the outputs negated. Hand calculation, 2 V over 20 A:

    >>> sensitivity(lower_current=0, lower_output=2.5, upper_current=20, upper_output=4.5)
    0.1
    """
    bounded("lower_current", lower_current)
    bounded("lower_output", lower_output)
    bounded("upper_current", upper_current, above=lower_current)
    bounded("upper_output", upper_output, above=lower_output)
    return (upper_output - lower_output) / (upper_current - lower_current)


@formula("U = U₀ + S·I", "V", _LINE, rises_with=("zero_output", "sensitivity", "current"))
def sensor_output(*, zero_output: float, sensitivity: float, current: float) -> float:
    """Output in V of a sensor with `zero_output` in V and `sensitivity` in V/A at `current` in A, which is not negative.

    Its lowest value over the errors of the sensor is the highest threshold that surely trips at that current. Hand calculation:

    >>> sensor_output(zero_output=2.5, sensitivity=0.1, current=12.5)
    3.75
    """
    bounded("zero_output", zero_output)
    bounded("sensitivity", sensitivity, above=0)
    bounded("current", current, least=0)
    return zero_output + sensitivity * current


@formula("I = (U_th − U₀)/S + ΔI", "A", _LINE, rises_with=("threshold", "error"), falls_with=("zero_output", "sensitivity"))
def trip_current(*, threshold: float, zero_output: float, sensitivity: float, error: float) -> float:
    """Current in A at which the output of a sensor with `zero_output` in V and `sensitivity` in V/A meets `threshold` in V.

    `error` in A is the error of the reading where the sensor's maker states it so; 0 where gain and offset carry it all.
    Of a falling sensor, give threshold and zero output negated. Hand calculation:

    >>> trip_current(threshold=3.75, zero_output=2.5, sensitivity=0.1, error=0)
    12.5
    """
    bounded("zero_output", zero_output)
    bounded("threshold", threshold, least=zero_output)
    bounded("sensitivity", sensitivity, above=0)
    bounded("error", error)
    return (threshold - zero_output) / sensitivity + error


@formula("U_th = U·R₂/(R₁ + R₂)", "V", _DIVIDER, rises_with=("supply", "lower"), falls_with=("upper",))
def comparator_threshold(*, supply: float, upper: float, lower: float) -> float:
    """Threshold in V of a comparator set by a divider of `upper` and `lower` in Ω from `supply` in V.

    Hand calculation, 10 kΩ under 990 kΩ:

    >>> comparator_threshold(supply=400, upper=990e3, lower=10e3)
    4.0
    """
    bounded("supply", supply, least=0)
    bounded("upper", upper, least=0)
    bounded("lower", lower, above=0)
    return supply * lower / (upper + lower)
