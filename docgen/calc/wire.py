"""Conductors: gauge and cross-section, resistance, voltage drop, permissible current."""

import math

from docgen.calc.formula import bounded, formula

RESISTIVITY = 1 / 58e6
"""Of copper at 20 °C in Ω·m: 58 MS/m, 100 % IACS (NBS Handbook 100, Copper Wire Tables, 1966, second-hand)."""
COEFFICIENT = 0.00393
"""Temperature coefficient of copper at 20 °C in 1/K (Industrial Power Engineering and Applications Handbook, p. 970)."""

_GAUGES = "ASTM B258, table in Electric Circuit Fundamentals, 2nd ed."
_COPPER = (
    "resistance law with copper at 100 % IACS; temperature coefficient from Industrial Power Engineering and Applications Handbook, p. 970"
)
_CLASS_5 = "IEC 60228, class 5, tinned, maximum at 20 °C, as listed at mycableengineering.com/knowledge-base/iec-60228-dc-resistance"
_BUNDLE = "FAA AC 43.13-1B CHG 1, table 11-9"
_DROP = "FAA AC 43.13-1B CHG 1, table 11-7"
_CONDUIT = "IEC 60364-5-52, method B2, three loaded copper cores of 70 °C at 30 °C, as in compressor instruction book 2920 7109 60, p. 190"
_RISE = "heat balance, the rise goes with I²·R; correction of IEC 60364-5-52 as in compressor instruction book 2920 7109 60, p. 190"
_ADIABATIC = "IEC 60949, adiabatic heating of copper (from memory); end temperatures of IEC 60364-4-43, table 43A"
_STRANDED = "resistance law of copper with the largest excess of FAA AC 43.13-1B CHG 1, table 11-9, and IEC 60228 class 5"

CLASS_5 = (
    (0.5, 39.0, 40.1), (0.75, 26.0, 26.7), (1.0, 19.5, 20.0), (1.5, 13.3, 13.7), (2.5, 7.98, 8.21), (4, 4.95, 5.09),
    (6, 3.30, 3.39), (10, 1.91, 1.95), (16, 1.21, 1.24),
)  # fmt: skip
"""IEC 60228 class 5: mm², largest Ω/km at 20 °C of plain and of tinned strands."""

BUNDLE = (
    (24, 28.40, (2.5, 4, 5)), (22, 16.20, (3, 5, 6)), (20, 9.88, (4, 7, 9)), (18, 6.23, (6, 9, 12)), (16, 4.81, (7, 11, 14)),
    (14, 3.06, (10, 14, 18)), (12, 2.02, (13, 19, 25)), (10, 1.26, (17, 26, 32)),
)  # fmt: skip
"""FAA AC 43.13-1B, table 11-9: gauge, largest Ω/1000 ft of tinned wire at 20 °C, permissible A of wire rated 105, 150 and 200 °C."""
BUNDLE_INSULATIONS = (105.0, 150.0, 200.0)
BUNDLE_AMBIENT = 70.0
"""Ambient in °C of those currents; further: 33 or more wires in the bundle, at most 20 % of its current carried, 60,000 ft."""

CONDUIT = ((4, 27), (6, 34), (10, 46), (16, 62))
"""Compressor instruction book 2920 7109 60, p. 190, after IEC 60364-5-52 method B2: mm², permissible A of three loaded cores."""
CONDUIT_INSULATION, CONDUIT_AMBIENT = 70.0, 30.0
"""Rating of the insulation and ambient in °C of those currents."""

EXCESS = 1.28
"""Largest resistance of strands for each ohm of ideal copper: 2.02 Ω for 1.588 Ω (gauge 12 tinned) is the most of the tables here."""

_FOOT = 0.3048
_ROUNDING = 1.001
"""A cross-section counts as a listed size when it falls short of it by less than 0.1 %: descriptions round it."""


@formula("d = 0.127 mm·92^((36 − n)/39)", "m", _GAUGES, falls_with=("gauge",))
def gauge_diameter(*, gauge: float) -> float:
    """Diameter in m of a solid wire of `gauge` AWG, −3 (written 4/0) to 40.

    The table prints 0.10189 in for 10 and 0.02535 in for 22:

    >>> [round(gauge_diameter(gauge=gauge) / 0.0254, 5) for gauge in (10, 22)]
    [0.1019, 0.02535]
    """
    bounded("gauge", gauge, least=-3, most=40)
    return 0.127e-3 * math.pow(92, (36 - gauge) / 39)


@formula("A = π/4·d²", "m²", _GAUGES, falls_with=("gauge",))
def gauge_area(*, gauge: float) -> float:
    """Cross-section in m² of a wire of `gauge` AWG, −3 to 40.

    Tables print 5.26 mm² for 10 and 0.326 mm² for 22:

    >>> [round(gauge_area(gauge=gauge) * 1e6, 3) for gauge in (10, 22)]
    [5.261, 0.326]
    """
    return math.pi / 4 * gauge_diameter(gauge=gauge) ** 2


@formula("n = 36 − 39·log₉₂(d/0.127 mm)", "AWG", _GAUGES, falls_with=("area",))
def area_gauge(*, area: float) -> float:
    """Gauge AWG of a cross-section `area` in m², whole only for the sizes of the standard; 0.005 mm² to 107.3 mm².

    The table prints 0.823 mm² for 18:

    >>> round(area_gauge(area=0.823e-6))
    18
    """
    bounded("area", area, least=0.005e-6, most=107.3e-6)
    return 36 - 39 * math.log(math.sqrt(area / (math.pi / 4)) / 0.127e-3, 92)


@formula("k = 1 + α·(T − 20 °C)", "1", _COPPER, rises_with=("temperature",))
def temperature_factor(*, temperature: float) -> float:
    """Resistance of copper at `temperature` in °C for each ohm at 20 °C; −100 °C to 300 °C.

    FAA AC 43.13-1B, p. 11-22, has the same law as (234.5 + T)/254.5:

    >>> round(temperature_factor(temperature=85), 3), round((234.5 + 85) / 254.5, 3)
    (1.255, 1.255)
    """
    bounded("temperature", temperature, least=-100, most=300)
    return 1 + COEFFICIENT * (temperature - 20)


@formula("R = ρ·l/A·(1 + α·(T − 20 °C))", "Ω", _COPPER, rises_with=("length", "temperature"), falls_with=("area",))
def resistance(*, area: float, length: float, temperature: float) -> float:
    """Resistance in Ω of ideal copper of `area` in m² and `length` in m at `temperature` in °C.

    Stranded wire may have 13 % to 19 % more: take `class_5_resistance` or `bundle_resistance` for a worst case.
    The table prints 0.9989 Ω for 1000 ft of gauge 10 at 20 °C:

    >>> round(resistance(area=gauge_area(gauge=10), length=304.8, temperature=20), 4)
    0.9989
    """
    bounded("area", area, above=0)
    bounded("length", length, least=0)
    return RESISTIVITY * length / area * temperature_factor(temperature=temperature)


@formula("R = r(A)·l·(1 + α·(T − 20 °C))", "Ω", _CLASS_5, rises_with=("length", "temperature"), falls_with=("area",))
def class_5_resistance(*, area: float, length: float, temperature: float) -> float:
    """Largest resistance in Ω that a flexible conductor of `area` (0.5 to 16 mm², in m²) and `length` in m may have at `temperature` in °C.

    Tinned strands, because descriptions do not tell them from plain ones, and up to 3 % more is allowed for them. Between two sizes
    the smaller one counts. The table prints 20.0 Ω/km for 1 mm²:

    >>> class_5_resistance(area=1e-6, length=1000, temperature=20)
    20.0
    """
    bounded("area", area, least=CLASS_5[0][0] * 1e-6 / _ROUNDING, below=25e-6)
    bounded("length", length, least=0)
    tinned = [ohms for size, _, ohms in CLASS_5 if size * 1e-6 / _ROUNDING <= area][-1]
    return tinned / 1000 * length * temperature_factor(temperature=temperature)


@formula("R = r(A)·l·(1 + α·(T − 20 °C))", "Ω", _BUNDLE, rises_with=("length", "temperature"), falls_with=("area",))
def bundle_resistance(*, area: float, length: float, temperature: float) -> float:
    """Largest resistance in Ω of tinned aircraft wire of `area` in m² (AWG 24 to 10) and `length` in m at `temperature` in °C.

    Between two gauges the thinner one counts. The table prints 2.02 Ω for 1000 ft of gauge 12:

    >>> round(bundle_resistance(area=gauge_area(gauge=12), length=304.8, temperature=20), 4)
    2.02
    """
    bounded("length", length, least=0)
    _, ohms, _ = _bundle_row(area)
    return ohms / (1000 * _FOOT) * length * temperature_factor(temperature=temperature)


@formula("R = 1.28·ρ·l/A·(1 + α·(T − 20 °C))", "Ω", _STRANDED, rises_with=("length", "temperature"), falls_with=("area",))
def stranded_resistance(*, area: float, length: float, temperature: float) -> float:
    """Largest resistance in Ω of strands of a size that no table here lists: `area` in m², `length` in m, `temperature` in °C.

    For gauge 12 the handbook's table prints 2.02 Ω for 1000 ft:

    >>> round(stranded_resistance(area=gauge_area(gauge=12), length=304.8, temperature=20), 2)
    2.03
    """
    return EXCESS * resistance(area=area, length=length, temperature=temperature)


@formula("U = I·R", "V", _DROP, rises_with=("current", "resistance"))
def voltage_drop(*, current: float, resistance: float) -> float:
    """Voltage drop in V of `current` in A over `resistance` in Ω.

    The publisher's example, 107 ft of 0.00044 Ω/ft at 20 A, prints 0.942 V:

    >>> round(voltage_drop(current=20, resistance=0.00044 * 107), 3)
    0.942
    """
    bounded("current", current, least=0)
    bounded("resistance", resistance, least=0)
    return current * resistance


@formula("I = I(A, T)", "A", _BUNDLE, rises_with=("area", "insulation"))
def bundle_current(*, area: float, insulation: float) -> float:
    """Permissible continuous current in A of a wire in a bundle at 70 °C: `area` in m² (AWG 24 to 10), rating of the `insulation` in °C.

    Between two gauges the thinner one counts, between two ratings the lower one; below 105 °C there is no value.
    The table prints 9 A for gauge 18 rated 150 °C:

    >>> bundle_current(area=gauge_area(gauge=18), insulation=150)
    9
    """
    bounded("insulation", insulation, least=BUNDLE_INSULATIONS[0])
    _, _, currents = _bundle_row(area)
    return [current for rated, current in zip(BUNDLE_INSULATIONS, currents, strict=True) if rated <= insulation][-1]


def _bundle_row(area: float) -> tuple[float, float, tuple[float, ...]]:
    """The row of the largest gauge that is not above the area; raises OutOfBounds below AWG 24 and from AWG 9 on."""
    bounded("area", area, least=gauge_area(gauge=24) / _ROUNDING, below=gauge_area(gauge=9))
    return [row for row in BUNDLE if gauge_area(gauge=row[0]) / _ROUNDING <= area][-1]


@formula("I = I(A)", "A", _CONDUIT, rises_with=("area",))
def conduit_current(*, area: float) -> float:
    """Permissible continuous current in A of three loaded cores of `area` (4 to 16 mm², in m²) in a conduit, rated 70 °C, at 30 °C.

    Between two sizes the smaller one counts. The book prints 34 A for 6 mm²:

    >>> conduit_current(area=6e-6)
    34
    """
    bounded("area", area, least=CONDUIT[0][0] * 1e-6 / _ROUNDING, below=25e-6)
    return [amperes for size, amperes in CONDUIT if size * 1e-6 / _ROUNDING <= area][-1]


@formula(
    "I = I_0·√((T − T_a)/(T_0 − T_a0)·(1 + α·(T_0 − 20 °C))/(1 + α·(T − 20 °C)))", "A", _RISE,
    rises_with=("permissible", "insulation", "surrounding"), falls_with=("ambient", "reference"),
)  # fmt: skip
def placed_current(*, permissible: float, insulation: float, ambient: float, reference: float, surrounding: float) -> float:
    """Current in A that wire rated `insulation` bears at `ambient`, when `permissible` in A holds for a rating of `reference` at `surrounding`.

    All temperatures in °C. The book has 46 A for 10 mm² rated 70 °C at 30 °C and prints 33 A at 50 °C:

    >>> round(placed_current(permissible=46, insulation=70, ambient=50, reference=70, surrounding=30))
    33
    """
    bounded("permissible", permissible, least=0)
    bounded("surrounding", surrounding, least=-100)
    bounded("reference", reference, above=surrounding, most=300)
    bounded("ambient", ambient, least=-100)
    bounded("insulation", insulation, least=ambient, most=300)
    rise, copper = insulation - ambient, temperature_factor(temperature=reference) / temperature_factor(temperature=insulation)
    return permissible * math.sqrt(rise / (reference - surrounding) * copper)


@formula("I_k = U/R_i", "A", "Ohm's law", rises_with=("voltage",), falls_with=("resistance",))
def short_circuit_current(*, voltage: float, resistance: float) -> float:
    """Largest current in A that a source of `voltage` in V and inner `resistance` in Ω can give, shorted at its terminals.

    Hand calculation, 14.6 V and 25 mΩ:

    >>> round(short_circuit_current(voltage=14.6, resistance=0.025), 9)
    584.0
    """
    bounded("voltage", voltage, least=0)
    bounded("resistance", resistance, above=0)
    return voltage / resistance


@formula("I²t = (226 A·√s/mm²)²·A²·ln((234.5 °C + T_e)/(234.5 °C + T_i))", "A²s", _ADIABATIC, rises_with=("area", "end"), falls_with=("start",))
def heating_let_through(*, area: float, start: float, end: float) -> float:
    """Energy I²t in A²s that heats copper of `area` in m² from `start` to `end` in °C, so fast that no heat leaves it.

    The standard's factor for PVC, 70 °C to 160 °C, is 115 A·√s/mm²: for 1 mm² 13,225 A²s:

    >>> round(heating_let_through(area=1e-6, start=70, end=160) ** 0.5)
    115
    """
    bounded("area", area, above=0)
    bounded("start", start, least=-100)
    bounded("end", end, least=start, most=400)
    return (226 * area * 1e6) ** 2 * math.log((234.5 + end) / (234.5 + start))


@formula("s = I/I_z", "1", "share of the permissible current", rises_with=("current",), falls_with=("permissible",))
def loading(*, current: float, permissible: float) -> float:
    """Share of the `permissible` current that `current` is, both in A.

    Hand calculation:

    >>> loading(current=6, permissible=8)
    0.75
    """
    bounded("current", current, least=0)
    bounded("permissible", permissible, above=0)
    return current / permissible
