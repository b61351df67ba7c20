"""Coils of relays and contactors: hot coil, line before it, current that lets it go, and how soon its own current dies away."""

import math

from docgen.calc.formula import bounded, formula
from docgen.calc.wire import temperature_factor

_COPPER = "temperature law of copper, FAA AC 43.13-1B CHG 1, p. 11-22"
_OHM = "Ohm's law, relay data sheet of Panasonic Electric Works (1 form A automotive relay, 12 V)"
_RL = "natural response of the first-order RL circuit: Nilsson and Riedel, Electric Circuits, chapter on first-order RL and RC circuits"


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


@formula(
    "t = L/(R + R_p)·ln((I₀·(R + R_p) + U_c)/(I_d·(R + R_p) + U_c))", "s", _RL,
    rises_with=("inductance", "current"), falls_with=("resistance", "damping", "clamp", "drop_out"),
)  # fmt: skip
def decay_time(*, inductance: float, resistance: float, damping: float, clamp: float, current: float, drop_out: float) -> float:
    """Time in s in which the current of a coil falls from `current` to `drop_out`, both in A, once its supply is gone.

    The coil has `inductance` in H and `resistance` in Ω; its current flows on through `damping` in Ω against `clamp` in V: a resistor across
    it has no voltage of its own, a diode or zener no resistance, and both 0 is a short. From L·di/dt = −(R + R_p)·i − U_c.
    A coil that already carries less than it needs to hold lets go at once.

    Derived; checked against ngspice. Shorted, half the current is left after ln 2 of the time constant, here 4 ms:

    >>> round(decay_time(inductance=0.4, resistance=100, damping=0, clamp=0, current=0.12, drop_out=0.06) / 0.004, 6)
    0.693147
    """
    bounded("inductance", inductance, above=0)
    bounded("resistance", resistance, above=0)
    bounded("damping", damping, least=0)
    bounded("clamp", clamp, least=0)
    bounded("current", current, least=0)
    bounded("drop_out", drop_out, above=0)
    if current <= drop_out:
        return 0.0
    ohms = resistance + damping
    return inductance / ohms * math.log((current * ohms + clamp) / (drop_out * ohms + clamp))


@formula("t_r = t_L + t_m", "s", "times one after the other", rises_with=("decay", "motion"))
def release_time(*, decay: float, motion: float) -> float:
    """Time in s from loss of the supply to the moved contact: `decay` of the coil current, then `motion` of the contact, in s.

    Hand calculation:

    >>> release_time(decay=0.0078125, motion=0.015625)
    0.0234375
    """
    bounded("decay", decay, least=0)
    bounded("motion", motion, least=0)
    return decay + motion
