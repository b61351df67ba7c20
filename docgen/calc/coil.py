"""Coils of relays and contactors: hot coil, voltage that reaches it, current that lets it go."""

from collections.abc import Sequence

from docgen.calc.formula import OutOfBounds, bounded, formula
from docgen.calc.wire import temperature_factor

_COPPER = "temperature law of copper, FAA AC 43.13-1B CHG 1, p. 11-22"
_OHM = "Ohm's law, relay data sheet of Panasonic Electric Works (1 form A automotive relay, 12 V)"
_DIVIDER = "voltage divider, Kirchhoff's laws"


@formula("R = R₂₀·(1 + α·(T − 20 °C))", "Ω", _COPPER, rises_with=("resistance", "temperature"))
def coil_resistance(*, resistance: float, temperature: float) -> float:
    """Resistance in Ω of a copper coil at `temperature` in °C that has `resistance` in Ω at 20 °C.

    The publisher's law (234.5 + T)/254.5 gives 376.6 Ω for 300 Ω at 85 °C:

    >>> round(coil_resistance(resistance=300, temperature=85), 1)
    376.6
    """
    bounded("resistance", resistance, above=0)
    return resistance * temperature_factor(temperature=temperature)


@formula("U = U₂₀·(1 + α·(T − 20 °C))", "V", _COPPER, rises_with=("pick_up", "temperature"))
def hot_pick_up(*, pick_up: float, temperature: float) -> float:
    """Pick-up voltage in V at coil `temperature` in °C of a plain coil that picks up at `pick_up` in V at 20 °C.

    The coil needs the same current, so that the voltage rises with the resistance. An economised coil is no plain coil.
    The publisher's law (234.5 + T)/254.5 gives 11.30 V for 9 V at 85 °C:

    >>> round(hot_pick_up(pick_up=9, temperature=85), 2)
    11.3
    """
    bounded("pick_up", pick_up, above=0)
    return pick_up * temperature_factor(temperature=temperature)


@formula("I = U/R", "A", _OHM, rises_with=("voltage",), falls_with=("resistance",))
def coil_current(*, voltage: float, resistance: float) -> float:
    """Current in A of a plain coil of `resistance` in Ω at `voltage` in V.

    At the drop-out voltage it is the current that must not keep flowing after the loop has opened.
    The data sheet prints 40 mA for 12 V, 300 Ω:

    >>> coil_current(voltage=12, resistance=300)
    0.04
    """
    bounded("voltage", voltage, least=0)
    bounded("resistance", resistance, above=0)
    return voltage / resistance


@formula("s = I_res/I_drop-out", "1", _OHM, rises_with=("residual", "resistance"), falls_with=("drop_out",))
def residual_share(*, residual: float, drop_out: float, resistance: float) -> float:
    """Share of the drop-out current that a `residual` current in A is; 1 or more holds the contact.

    `drop_out` in V and `resistance` in Ω belong to the same temperature, 20 °C: the coil lets go at a current, whatever its temperature.
    The data sheet's coil, 0.5 V and 300 Ω, lets go at 1.67 mA; 0.5 mA leaked are 30 % of it:

    >>> round(residual_share(residual=0.5e-3, drop_out=0.5, resistance=300), 9)
    0.3
    """
    bounded("residual", residual, least=0)
    bounded("drop_out", drop_out, above=0)
    return residual / coil_current(voltage=drop_out, resistance=resistance)


@formula("U_coil = U·R_c/(R_s + R_c)", "V", _DIVIDER, rises_with=("source", "coils"), falls_with=("series",))
def coil_voltage(*, source: float, series: float, coils: float) -> float:
    """Voltage in V at coils of `coils` in Ω together (see `parallel`) behind contacts, wires and fuse of `series` in Ω, from `source` in V.

    Hand calculation, two coils of 48 Ω behind 1 Ω at 12.5 V:

    >>> coil_voltage(source=12.5, series=1, coils=parallel([48, 48]))
    12.0
    """
    bounded("source", source, least=0)
    bounded("series", series, least=0)
    bounded("coils", coils, above=0)
    return source * coils / (series + coils)


@formula("U_coil = U − I·R_s", "V", _DIVIDER, rises_with=("source",), falls_with=("series", "current"))
def voltage_behind(*, source: float, series: float, current: float) -> float:
    """Voltage in V left of `source` in V behind `series` in Ω when coils draw `current` in A together.

    For inrush, and for economised coils, which are no resistors. Hand calculation, two inrush currents of 3.8 A over 0.25 Ω:

    >>> voltage_behind(source=12, series=0.25, current=2 * 3.8)
    10.1
    """
    bounded("source", source, above=0)
    bounded("series", series, least=0)
    bounded("current", current, least=0)
    if current * series > source:
        raise OutOfBounds("current", f"at most {source / series:g}, the short-circuit current", current)
    return source - current * series


@formula("R_s = R_F + R_C + R_X + R_W", "Ω", "resistances in series", rises_with=("fuses", "contacts", "crossings", "wires"))
def line_resistance(*, fuses: float, contacts: float, crossings: float, wires: float) -> float:
    """Resistance in Ω of what the current meets one after the other: sums in Ω of fuses, contacts, connector positions and wires.

    Hand calculation:

    >>> line_resistance(fuses=0.03125, contacts=0.25, crossings=0.0625, wires=0.125)
    0.46875
    """
    for name, ohms in (("fuses", fuses), ("contacts", contacts), ("crossings", crossings), ("wires", wires)):
        bounded(name, ohms, least=0)
    return fuses + contacts + crossings + wires


def parallel(resistances: Sequence[float]) -> float:
    """Resistance in Ω of coils in parallel, of their `resistances` in Ω. It rises with each of them.

    >>> parallel([30, 60])
    20.0
    """
    bounded("number of coils", len(resistances), least=1)
    for resistance in resistances:
        bounded("resistance", resistance, above=0)
    return 1 / sum(1 / resistance for resistance in resistances)
