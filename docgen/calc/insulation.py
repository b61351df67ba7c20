"""Insulation of the tractive system: response value, test resistor, measuring points, capacitance to chassis."""

import math
from typing import Literal

from docgen.calc.formula import bounded, formula

_RATIO = "insulation resistance by voltage, UN R100"
_OHM = "Ohm's and Joule's laws"
_PARALLEL = "capacitors in parallel"

_E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)
_MANTISSAS: dict[int, tuple[int, ...]] = {
    12: tuple(10 * value for value in _E24[::2]),
    24: tuple(10 * value for value in _E24),
    96: tuple(round(100 * 10 ** (step / 96)) for step in range(96)),
}
"""Preferred values of IEC 60063, three digits each."""


@formula("r = R/U", "Ω/V", _RATIO, rises_with=("resistance",), falls_with=("voltage",))
def response_ratio(*, resistance: float, voltage: float) -> float:
    """Insulation `resistance` in Ω for each volt of `voltage` in V, in Ω/V.

    Hand calculation, 300 kΩ at 400 V:

    >>> response_ratio(resistance=300e3, voltage=400)
    750.0
    """
    bounded("resistance", resistance, least=0)
    bounded("voltage", voltage, above=0)
    return resistance / voltage


@formula("R = r·U", "Ω", _RATIO, rises_with=("ratio", "voltage"))
def required_resistance(*, ratio: float, voltage: float) -> float:
    """Insulation resistance in Ω at `ratio` in Ω/V and the highest `voltage` in V: response value, or fault to be applied in a test.

    Hand calculation, 500 Ω/V at 403.2 V:

    >>> required_resistance(ratio=500, voltage=403.2)
    201600.0
    """
    bounded("ratio", ratio, above=0)
    bounded("voltage", voltage, above=0)
    return ratio * voltage


@formula("R_test = r·U − R_mp", "Ω", _RATIO, rises_with=("ratio", "voltage"), falls_with=("measuring_point",))
def fault_resistance(*, ratio: float, voltage: float, measuring_point: float) -> float:
    """Resistor in Ω to plug in for a fault of `ratio` in Ω/V at `voltage` in V.

    It lies in series with the resistor `measuring_point` in Ω of the point that it is plugged into; 0 without one.
    Hand calculation, 250 Ω/V at 403.2 V behind 15 kΩ:

    >>> fault_resistance(ratio=250, voltage=403.2, measuring_point=15e3)
    85800.0
    """
    fault = required_resistance(ratio=ratio, voltage=voltage)
    bounded("measuring_point", measuring_point, least=0, below=fault)
    return fault - measuring_point


@formula("r = (R + R_mp)/U", "Ω/V", _RATIO, rises_with=("resistance", "measuring_point"), falls_with=("voltage",))
def fault_ratio(*, resistance: float, measuring_point: float, voltage: float) -> float:
    """Fault in Ω/V at `voltage` in V that a resistor of `resistance` makes behind the resistor `measuring_point`, both in Ω.

    Hand calculation, 82 kΩ behind 15 kΩ at 400 V:

    >>> fault_ratio(resistance=82e3, measuring_point=15e3, voltage=400)
    242.5
    """
    bounded("resistance", resistance, least=0)
    bounded("measuring_point", measuring_point, least=0)
    bounded("voltage", voltage, above=0)
    return (resistance + measuring_point) / voltage


def preferred_below(*, resistance: float, series: Literal[12, 24, 96]) -> float:
    """The largest preferred value of IEC 60063, series E12, E24 or E96, that is not above `resistance` in Ω.

    A test resistor is rounded down: the fault is then no weaker than demanded.

    >>> preferred_below(resistance=135e3, series=24)
    130000.0
    """
    bounded("resistance", resistance, least=1e-3, most=1e12)
    decade = math.floor(math.log10(resistance)) - 2
    values = [float(f"{mantissa}e{power}") for power in (decade - 1, decade, decade + 1) for mantissa in _MANTISSAS[series]]
    return max(value for value in values if value <= resistance * (1 + 1e-12))


@formula("P = U²·R/(R + R_mp)²", "W", _OHM, rises_with=("voltage",), falls_with=("resistance", "measuring_point"))
def fault_power(*, voltage: float, resistance: float, measuring_point: float) -> float:
    """Power in W of a test resistor of `resistance` behind `measuring_point`, both in Ω, when `voltage` in V lies across the two.

    That is the case when the other pole has a fault to chassis. The test resistor is at least as large as the one before it:
    below that, the power would rise with it. Hand calculation, 100 kΩ alone at 400 V:

    >>> fault_power(voltage=400, resistance=100e3, measuring_point=0)
    1.6
    """
    bounded("voltage", voltage, least=0)
    bounded("measuring_point", measuring_point, least=0)
    bounded("resistance", resistance, above=0, least=measuring_point)
    return voltage**2 * resistance / (resistance + measuring_point) ** 2


@formula("I = U/(2·R)", "A", _OHM, rises_with=("voltage",), falls_with=("resistance",))
def shorted_points_current(*, voltage: float, resistance: float) -> float:
    """Current in A when both measuring points are shorted together, `resistance` in Ω in the line of each, at `voltage` in V.

    Hand calculation:

    >>> shorted_points_current(voltage=600, resistance=15e3)
    0.02
    """
    bounded("voltage", voltage, least=0)
    bounded("resistance", resistance, above=0)
    return voltage / (2 * resistance)


@formula("P = U²/(4·R)", "W", _OHM, rises_with=("voltage",), falls_with=("resistance",))
def shorted_points_power(*, voltage: float, resistance: float) -> float:
    """Power in W of each resistor of `resistance` in Ω when both measuring points are shorted together at `voltage` in V.

    Hand calculation:

    >>> shorted_points_power(voltage=600, resistance=15e3)
    6.0
    """
    bounded("voltage", voltage, least=0)
    bounded("resistance", resistance, above=0)
    return voltage**2 / (4 * resistance)


@formula("P = U²/R", "W", _OHM, rises_with=("voltage",), falls_with=("resistance",))
def single_fault_power(*, voltage: float, resistance: float) -> float:
    """Power in W of one resistor of `resistance` in Ω when its measuring point is shorted to the other pole, at `voltage` in V.

    Hand calculation:

    >>> single_fault_power(voltage=600, resistance=15e3)
    24.0
    """
    bounded("voltage", voltage, least=0)
    bounded("resistance", resistance, above=0)
    return voltage**2 / resistance


@formula("C = C_acc + C_inv", "F", _PARALLEL, rises_with=("accumulators", "inverters"))
def chassis_capacitance(*, accumulators: float, inverters: float) -> float:
    """Capacitance in F of the tractive system to chassis, of all `accumulators` and all `inverters`, each in F.

    Hand calculation, in nF:

    >>> round(chassis_capacitance(accumulators=60e-9, inverters=140e-9) * 1e9)
    200
    """
    bounded("accumulators", accumulators, least=0)
    bounded("inverters", inverters, least=0)
    return accumulators + inverters
