"""A capacitor charged or discharged through a resistor: pre-charge, discharge, timing of a comparator."""

import math

from docgen.calc.formula import OutOfBounds, bounded, formula
from docgen.calc.polyline import Points

_DISCHARGE_TOOL = "Welwyn/TT electronics, Design Tool 4, Capacitor Discharge Calculator, 2005"
_CHARGING = "Miba, Precharge resistor calculation"
_PEAK = "Ness Engineering, Resistive charging circuits"
_TEXTBOOK = "charging law of a capacitor, textbook timing example 10 kΩ, 100 µF, 15 V (mfgrobots.com/Article/mfg/it/1880.html)"
_KIRCHHOFF = "charging law of a capacitor with Kirchhoff's current law at the capacitor"
_THEVENIN = "charging law of a capacitor behind Thevenin's equivalent of a divider"


@formula("τ = R·C", "s", _DISCHARGE_TOOL, rises_with=("resistance", "capacitance"))
def time_constant(*, resistance: float, capacitance: float) -> float:
    """Time constant in s of `resistance` in Ω and `capacitance` in F.

    The tool's example, 50 Ω and 195 µF, prints 0.00975 s:

    >>> round(time_constant(resistance=50, capacitance=195e-6), 8)
    0.00975
    """
    bounded("resistance", resistance, above=0)
    bounded("capacitance", capacitance, above=0)
    return resistance * capacitance


@formula("t = −R·C·ln(1 − f)", "s", _TEXTBOOK, rises_with=("resistance", "capacitance", "fraction"))
def charge_time(*, resistance: float, capacitance: float, fraction: float) -> float:
    """Time in s until an empty `capacitance` in F behind `resistance` in Ω holds `fraction` (0 to below 1) of the source voltage.

    The textbook's example, 12.970 V of 15 V, prints 2 s:

    >>> round(charge_time(resistance=10e3, capacitance=100e-6, fraction=12.970 / 15), 4)
    2.0
    """
    bounded("fraction", fraction, least=0, below=1)
    return -time_constant(resistance=resistance, capacitance=capacitance) * math.log1p(-fraction)


@formula("u = U·(1 − e^(−t/RC))", "V", _TEXTBOOK, rises_with=("source", "time"), falls_with=("resistance", "capacitance"))
def charge_voltage(*, source: float, resistance: float, capacitance: float, time: float) -> float:
    """Voltage in V of an empty `capacitance` in F after `time` in s behind `resistance` in Ω at a `source` in V.

    The textbook's example prints 12.970 V after 2 s:

    >>> round(charge_voltage(source=15, resistance=10e3, capacitance=100e-6, time=2), 3)
    12.97
    """
    bounded("source", source, least=0)
    bounded("time", time, least=0)
    return -source * math.expm1(-time / time_constant(resistance=resistance, capacitance=capacitance))


@formula("u = U₀·e^(−t/RC)", "V", _DISCHARGE_TOOL, rises_with=("start", "resistance", "capacitance"), falls_with=("time",))
def discharge_voltage(*, start: float, resistance: float, capacitance: float, time: float) -> float:
    """Voltage in V that `capacitance` in F still holds after `time` in s over `resistance` in Ω, having begun at `start` in V.

    The tool's example prints 0.015062769 s from 1500 V to 320 V:

    >>> round(discharge_voltage(start=1500, resistance=50, capacitance=195e-6, time=0.015062769), 4)
    320.0
    """
    bounded("start", start, least=0)
    bounded("time", time, least=0)
    return start * math.exp(-time / time_constant(resistance=resistance, capacitance=capacitance))


@formula("t = R·C·ln(U₀/U₁)", "s", _DISCHARGE_TOOL, rises_with=("start", "resistance", "capacitance"), falls_with=("end",))
def discharge_time(*, start: float, end: float, resistance: float, capacitance: float) -> float:
    """Time in s in which `capacitance` in F falls from `start` to `end` in V over `resistance` in Ω.

    The tool's example prints 0.015062769 s:

    >>> round(discharge_time(start=1500, end=320, resistance=50, capacitance=195e-6), 9)
    0.015062769
    """
    bounded("end", end, above=0)
    bounded("start", start, least=end)
    return time_constant(resistance=resistance, capacitance=capacitance) * math.log(start / end)


@formula("R = t/(C·ln(U₀/U₁))", "Ω", _DISCHARGE_TOOL, rises_with=("time", "end"), falls_with=("start", "capacitance"))
def discharge_resistance(*, start: float, end: float, capacitance: float, time: float) -> float:
    """Largest resistance in Ω that takes `capacitance` in F from `start` to `end` in V within `time` in s.

    The tool's example, the other way round:

    >>> round(discharge_resistance(start=1500, end=320, capacitance=195e-6, time=0.015062769), 5)
    50.0
    """
    bounded("end", end, above=0)
    bounded("start", start, above=end)
    bounded("capacitance", capacitance, above=0)
    bounded("time", time, least=0)
    return time / (capacitance * math.log(start / end))


@formula("I = U/R", "A", _PEAK, rises_with=("voltage",), falls_with=("resistance",))
def peak_current(*, voltage: float, resistance: float) -> float:
    """Current in A at the first moment: the whole `voltage` in V lies across `resistance` in Ω.

    The publisher's example, 1000 V and 1000 Ω, prints 1 A:

    >>> peak_current(voltage=1000, resistance=1000)
    1.0
    """
    bounded("voltage", voltage, least=0)
    bounded("resistance", resistance, above=0)
    return voltage / resistance


@formula("P = U²/R", "W", _DISCHARGE_TOOL, rises_with=("voltage",), falls_with=("resistance",))
def resistor_power(*, voltage: float, resistance: float) -> float:
    """Power in W of `resistance` in Ω at `voltage` in V: at the first moment, or for good where the voltage stays.

    The tool's example, 1500 V and 50 Ω, prints 45,000 W:

    >>> resistor_power(voltage=1500, resistance=50)
    45000.0
    """
    return voltage * peak_current(voltage=voltage, resistance=resistance)


@formula("E = ½·C·U²", "J", _DISCHARGE_TOOL, rises_with=("voltage", "capacitance"))
def capacitor_energy(*, voltage: float, capacitance: float) -> float:
    """Energy in J that `capacitance` in F holds at `voltage` in V.

    The tool's example, 195 µF and 1500 V, prints 219.375 J:

    >>> round(capacitor_energy(voltage=1500, capacitance=195e-6), 6)
    219.375
    """
    bounded("voltage", voltage, least=0)
    bounded("capacitance", capacitance, above=0)
    return 0.5 * capacitance * voltage**2


@formula("E = ½·C·U²·(1 − (1 − f)²)", "J", _PEAK, rises_with=("source", "capacitance", "fraction"))
def precharge_energy(*, source: float, capacitance: float, fraction: float) -> float:
    """Energy in J that the resistor takes while `capacitance` in F is charged from empty to `fraction` (0 to 1) of `source` in V.

    The publisher's example, 1000 V, 1 µF: efficiency 50 %, the resistor takes as much as the capacitor holds:

    >>> precharge_energy(source=1000, capacitance=1e-6, fraction=1) / capacitor_energy(voltage=1000, capacitance=1e-6)
    1.0
    """
    bounded("source", source, least=0)
    bounded("fraction", fraction, least=0, most=1)
    return capacitor_energy(voltage=source, capacitance=capacitance) * fraction * (2 - fraction)


@formula("U_end = U − I·R", "V", _KIRCHHOFF, rises_with=("source",), falls_with=("resistance", "load"))
def loaded_voltage(*, source: float, resistance: float, load: float) -> float:
    """Voltage in V that a pre-charge ends at when a constant current `load` in A is drawn meanwhile; `source` in V, `resistance` in Ω.

    Hand calculation, 400 V less 10 mA · 1 kΩ:

    >>> loaded_voltage(source=400, resistance=1000, load=0.01)
    390.0
    """
    bounded("source", source, above=0)
    bounded("resistance", resistance, above=0)
    bounded("load", load, least=0, most=source / resistance)
    return source - load * resistance


@formula(
    "t = −R·C·ln(1 − f·U/(U − I·R))", "s", _KIRCHHOFF, rises_with=("resistance", "capacitance", "load", "fraction"), falls_with=("source",)
)
def loaded_charge_time(*, source: float, resistance: float, capacitance: float, load: float, fraction: float) -> float:
    """Time in s until an empty `capacitance` in F behind `resistance` in Ω holds `fraction` of `source` in V.

    Meanwhile a constant current `load` in A is drawn, from the start on. A fraction that is never reached is out of bounds.
    Without a load it is the textbook's example, 2 s:

    >>> round(loaded_charge_time(source=15, resistance=10e3, capacitance=100e-6, load=0, fraction=12.970 / 15), 4)
    2.0
    """
    reached = loaded_voltage(source=source, resistance=resistance, load=load) / source
    bounded("fraction", fraction, least=0)
    if fraction >= reached:
        raise OutOfBounds("fraction", f"below {reached:g}, where the voltage ends", fraction)
    return charge_time(resistance=resistance, capacitance=capacitance, fraction=fraction / reached)


@formula("f = (1 − I·R/U)·(1 − e^(−t/RC))", "1", _KIRCHHOFF, rises_with=("source", "time"), falls_with=("resistance", "capacitance", "load"))
def loaded_fraction(*, source: float, resistance: float, capacitance: float, load: float, time: float) -> float:
    """Share of `source` in V that an empty `capacitance` in F holds after `time` in s behind `resistance` in Ω.

    Meanwhile a constant current `load` in A is drawn. Without one it is the textbook's example, 12.970 V of 15 V after 2 s:

    >>> round(15 * loaded_fraction(source=15, resistance=10e3, capacitance=100e-6, load=0, time=2), 3)
    12.97
    """
    return charge_voltage(source=1, resistance=resistance, capacitance=capacitance, time=time) * (
        loaded_voltage(source=source, resistance=resistance, load=load) / source
    )


@formula(
    "E = ½·C·U²·(1 − (1 − f)²) + I·R·(f·C·U + I·t)", "J", _KIRCHHOFF,
    rises_with=("source", "resistance", "capacitance", "load", "fraction", "time"),
)  # fmt: skip
def loaded_precharge_energy(*, source: float, resistance: float, capacitance: float, load: float, fraction: float, time: float) -> float:
    """Energy in J that `resistance` in Ω takes until `capacitance` in F, empty at first, holds `fraction` of `source` in V.

    Meanwhile a constant current `load` in A is drawn, and `time` in s is what `loaded_charge_time` gives: the energy is ∫(U − u)·i dt, with
    the charge f·C·U into the capacitor and I·t into the load. Hand calculation, 400 V, 100 µF, 1 kΩ, all of it, 10 mA for 1 s:

    >>> round(loaded_precharge_energy(source=400, resistance=1000, capacitance=100e-6, load=0.01, fraction=1, time=1), 9)
    8.5
    """
    bounded("resistance", resistance, above=0)
    bounded("load", load, least=0)
    bounded("time", time, least=0)
    return precharge_energy(source=source, capacitance=capacitance, fraction=fraction) + load * resistance * (
        fraction * capacitance * source + load * time
    )


@formula("f = x·(1 + e)", "1", "definition of a relative error", rises_with=("reading", "error"))
def true_fraction(*, reading: float, error: float) -> float:
    """Share that is really there when a measurement with the relative `error` reads `reading`.

    Hand calculation, 97 % read 1 % too high:

    >>> round(true_fraction(reading=0.97, error=-0.01), 9)
    0.9603
    """
    bounded("reading", reading, least=0)
    bounded("error", error, above=-1)
    return reading * (1 + error)


@formula("U_c = f·U", "V", "definition of a share", rises_with=("fraction", "source"))
def closing_voltage(*, fraction: float, source: float) -> float:
    """Voltage in V behind the contactors at `fraction` of `source` in V.

    Hand calculation, 97.5 % of 400 V:

    >>> closing_voltage(fraction=0.975, source=400)
    390.0
    """
    bounded("fraction", fraction, least=0)
    bounded("source", source, least=0)
    return fraction * source


@formula("C_i = C·(R + R_o)/R", "F", "Kirchhoff's voltage law: one current through all of the series", rises_with=("capacitance", "others"), falls_with=("resistance",))
def capacitance_seen(*, capacitance: float, resistance: float, others: float) -> float:
    """Capacitance in F that a resistor sees as the partner of its share of the voltage.

    `capacitance` in F is charged through `resistance` in Ω in series with `others` in Ω. Hand calculation, half of the resistance is half of the
    voltage with the same charge:

    >>> capacitance_seen(capacitance=500e-6, resistance=330, others=330)
    0.001
    """
    bounded("capacitance", capacitance, above=0)
    bounded("resistance", resistance, above=0)
    bounded("others", others, least=0)
    return capacitance * (resistance + others) / resistance


@formula("U_end = U·R_d/(R + R_d)", "V", _THEVENIN, rises_with=("source", "discharge"), falls_with=("resistance",))
def divided_voltage(*, source: float, resistance: float, discharge: float) -> float:
    """Voltage in V that a pre-charge from `source` in V over `resistance` in Ω ends at against a stuck discharge.

    The resistor `discharge` in Ω then lies across the capacitor. Hand calculation, two equal resistors:

    >>> divided_voltage(source=400, resistance=1000, discharge=1000)
    200.0
    """
    bounded("source", source, least=0)
    bounded("resistance", resistance, above=0)
    bounded("discharge", discharge, above=0)
    return source * discharge / (resistance + discharge)


@formula("t = −R·C·ln(1 − U_th/U)", "s", _TEXTBOOK, rises_with=("resistance", "capacitance", "threshold"), falls_with=("supply",))
def comparator_delay(*, resistance: float, capacitance: float, threshold: float, supply: float) -> float:
    """Delay in s of a comparator that trips at `threshold` in V, on an empty `capacitance` in F behind `resistance` in Ω at `supply` in V.

    A threshold divided from the same supply is a share of it: then take `charge_time`.
    The textbook's example, 12.970 V of 15 V, prints 2 s:

    >>> round(comparator_delay(resistance=10e3, capacitance=100e-6, threshold=12.970, supply=15), 4)
    2.0
    """
    bounded("supply", supply, above=0)
    bounded("threshold", threshold, least=0, below=supply)
    return charge_time(resistance=resistance, capacitance=capacitance, fraction=threshold / supply)


def charge_curve(*, source: float, resistance: float, capacitance: float, load: float, until: float, steps: int) -> Points:
    """Points (s, V) of a pre-charge with a constant `load` in A, from 0 to `until` in s in equal `steps`."""
    end = loaded_voltage(source=source, resistance=resistance, load=load)
    return tuple(
        (time, charge_voltage(source=end, resistance=resistance, capacitance=capacitance, time=time)) for time in _times(until, steps)
    )


def discharge_curve(*, start: float, resistance: float, capacitance: float, until: float, steps: int) -> Points:
    """Points (s, V) of a discharge that begins at `start` in V, from 0 to `until` in s in equal `steps`."""
    return tuple(
        (time, discharge_voltage(start=start, resistance=resistance, capacitance=capacitance, time=time)) for time in _times(until, steps)
    )


def _times(until: float, steps: int) -> tuple[float, ...]:
    bounded("until", until, above=0)
    bounded("steps", steps, least=1)
    return tuple(until * step / steps for step in range(steps + 1))
