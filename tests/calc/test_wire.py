"""Wire: published tables, the library `fluids`, and the aviation handbook's worked examples.

Published: American Wire Gauge table of Electric Circuit Fundamentals, 2nd ed.
(http://hyperphysics.phy-astr.gsu.edu/hbase/tables/wirega.html), and with metric columns at http://daycounter.com/Calculators/AWG.phtml;
IEC 60228 as listed at https://mycableengineering.com/knowledge-base/iec-60228-dc-resistance;
FAA AC 43.13-1B CHG 1, chapter 11 (https://www.landseaskyspace.com/ac4313/p11-22.html, p11-23.html, p. 11-27);
NEC chapter 9 table 8 as listed at https://voltdropcalc.com/nec-chapter-9-table-8/;
compressor instruction book 2920 7109 60 p. 190 (Atlas Copco), after IEC 60364-5-52.
"""

import pytest
from corners import Formula, Ranges, assert_corners_are_exact, assert_refuses_what_is_no_number, boxes, formulas, refusal
from fluids.piping import t_from_gauge
from hypothesis import given
from hypothesis import strategies as st

from docgen.calc import wire
from docgen.quantity import read_quantity

FOOT, THOUSAND_FEET = 0.3048, 304.8
AREAS, LENGTHS, CELSIUS = (0.5e-6, 16e-6), (0, 100), (-40, 200)
RANGES: dict[Formula, Ranges] = {
    wire.gauge_diameter: {"gauge": (-3, 40)},
    wire.gauge_area: {"gauge": (-3, 40)},
    wire.area_gauge: {"area": (0.006e-6, 107e-6)},
    wire.temperature_factor: {"temperature": (-100, 300)},
    wire.resistance: {"area": AREAS, "length": LENGTHS, "temperature": CELSIUS},
    wire.class_5_resistance: {"area": AREAS, "length": LENGTHS, "temperature": CELSIUS},
    wire.bundle_resistance: {"area": (0.205e-6, 6e-6), "length": LENGTHS, "temperature": CELSIUS},
    wire.stranded_resistance: {"area": (0.05e-6, 120e-6), "length": LENGTHS, "temperature": CELSIUS},
    wire.conduit_current: {"area": (4e-6, 24e-6)},
    wire.placed_current: {"permissible": (0, 300), "insulation": (105, 200), "ambient": (-20, 100), "reference": (75, 200), "surrounding": (20, 70)},
    wire.short_circuit_current: {"voltage": (0, 60), "resistance": (0.001, 1)},
    wire.voltage_drop: {"current": (0, 300), "resistance": (0, 10)},
    wire.bundle_current: {"area": (0.205e-6, 6e-6), "insulation": (105, 260)},
    wire.heating_let_through: {"area": (0.1e-6, 100e-6), "start": (20, 150), "end": (160, 350)},
    wire.loading: {"current": (0, 300), "permissible": (1, 300)},
}


def test_every_formula_is_in_the_ranges() -> None:
    assert set(RANGES) == formulas(wire)


@pytest.mark.parametrize("function", RANGES)
@given(data=st.data())
def test_the_exact_corners_are_those_of_a_search_over_the_box(function: Formula, data: st.DataObject) -> None:
    assert_corners_are_exact(function, data.draw(boxes(RANGES[function])))


@pytest.mark.parametrize("function", RANGES)
def test_infinity_and_nan_are_refused_by_name(function: Formula) -> None:
    assert_refuses_what_is_no_number(function, RANGES[function])


@pytest.mark.parametrize(
    ("function", "arguments", "refused"),
    [
        (wire.gauge_diameter, {"gauge": -4}, ("gauge", "at least -3", -4)),
        (wire.gauge_area, {"gauge": 41}, ("gauge", "at most 40", 41)),
        (wire.area_gauge, {"area": 120e-6}, ("area", "at most 0.0001073", 120e-6)),
        (wire.temperature_factor, {"temperature": 301}, ("temperature", "at most 300", 301)),
        (wire.temperature_factor, {"temperature": -101}, ("temperature", "at least -100", -101)),
        (wire.resistance, {"area": 0, "length": 1, "temperature": 20}, ("area", "above 0", 0)),
        (wire.resistance, {"area": 1e-6, "length": -1, "temperature": 20}, ("length", "at least 0", -1)),
        (wire.class_5_resistance, {"area": 0.35e-6, "length": 1, "temperature": 20}, ("area", "at least 4.995e-07", 0.35e-6)),
        (wire.class_5_resistance, {"area": 25e-6, "length": 1, "temperature": 20}, ("area", "below 2.5e-05", 25e-6)),
        (wire.bundle_current, {"area": 0.14e-6, "insulation": 150}, ("area", "at least 2.04526e-07", 0.14e-6)),
        (wire.bundle_current, {"area": 10e-6, "insulation": 150}, ("area", "below 6.63419e-06", 10e-6)),
        (wire.bundle_current, {"area": 1e-6, "insulation": 80}, ("insulation", "at least 105", 80)),
        (wire.conduit_current, {"area": 2.5e-6}, ("area", "at least 3.996e-06", 2.5e-6)),
        (wire.conduit_current, {"area": 25e-6}, ("area", "below 2.5e-05", 25e-6)),
        (wire.placed_current, {"permissible": 9, "insulation": 60, "ambient": 70, "reference": 70, "surrounding": 30}, ("insulation", "at least 70", 60)),
        (wire.placed_current, {"permissible": 9, "insulation": 90, "ambient": 70, "reference": 30, "surrounding": 30}, ("reference", "above 30", 30)),
        (wire.short_circuit_current, {"voltage": 12, "resistance": 0}, ("resistance", "above 0", 0)),
        (wire.heating_let_through, {"area": 1e-6, "start": 105, "end": 90}, ("end", "at least 105", 90)),
        (wire.heating_let_through, {"area": 0, "start": 70, "end": 160}, ("area", "above 0", 0)),
        (wire.loading, {"current": 10, "permissible": 0}, ("permissible", "above 0", 0)),
    ],
)  # fmt: skip
def test_what_has_no_meaning_is_refused(function: Formula, arguments: dict[str, float], refused: tuple[str, str, float]) -> None:
    assert refusal(function, **arguments) == refused


GAUGES = [
    (10, 0.10189, 10381, 0.9989, 3.277, 5.26), (12, 0.0808, 6529, 1.588, 5.211, 3.31), (14, 0.06408, 4106.8, 2.525, 8.286, 2.08),
    (16, 0.05082, 2582.9, 4.016, 13.2, 1.31), (18, 0.0403, 1624.3, 6.385, 20.95, 0.823), (20, 0.03196, 1021.5, 10.15, 33.3, 0.518),
    (22, 0.02535, 642.4, 16.14, 53.0, 0.326), (24, 0.0201, 404.01, 25.67, 84.2, 0.205),
]  # fmt: skip


@pytest.mark.parametrize(("gauge", "inches", "circular_mils", "ohms", "ohms_per_km", "square_mm"), GAUGES)
def test_the_gauge_table_is_met(gauge: int, inches: float, circular_mils: float, ohms: float, ohms_per_km: float, square_mm: float) -> None:
    """Diameters and circular mils within 0.05 % (the table rounds 0.0201 in), resistances to their last printed digit."""
    area = wire.gauge_area(gauge=gauge)
    assert wire.gauge_diameter(gauge=gauge) / 0.0254 == pytest.approx(inches, rel=5e-4)
    assert (wire.gauge_diameter(gauge=gauge) / 0.0254e-3) ** 2 == pytest.approx(circular_mils, rel=3e-4)
    assert area * 1e6 == pytest.approx(square_mm, rel=2e-3)
    assert wire.resistance(area=area, length=THOUSAND_FEET, temperature=20) == pytest.approx(ohms, rel=3e-4)
    assert wire.resistance(area=area, length=1000, temperature=20) == pytest.approx(ohms_per_km, rel=2e-3)


@pytest.mark.parametrize("gauge", [10, 12, 14, 16, 18, 20, 22, 24])
def test_the_diameters_are_those_that_fluids_holds(gauge: int) -> None:
    """Its table is rounded to thousandths of an inch and less: 0.4 %."""
    assert wire.gauge_diameter(gauge=gauge) == pytest.approx(t_from_gauge(gauge, SI=True, schedule="AWG"), rel=4e-3)


def test_the_ends_of_the_gauge_definition_are_met() -> None:
    """ASTM B258, from memory: No. 36 is 0.0050 in, No. 4/0 is 0.4600 in."""
    assert wire.gauge_diameter(gauge=36) == pytest.approx(0.0050 * 0.0254)
    assert wire.gauge_diameter(gauge=-3) == pytest.approx(0.4600 * 0.0254)


def test_three_gauges_double_and_ten_gauges_tenfold_the_resistance() -> None:
    """Rules of thumb read at daycounter.com: +3 doubles, +10 tenfold, +6 halves the diameter."""
    ohms = {gauge: wire.resistance(area=wire.gauge_area(gauge=gauge), length=1, temperature=20) for gauge in (10, 13, 20)}
    assert ohms[13] / ohms[10] == pytest.approx(2, rel=5e-3)
    assert ohms[20] / ohms[10] == pytest.approx(10, rel=2e-2)
    assert wire.gauge_diameter(gauge=16) / wire.gauge_diameter(gauge=10) == pytest.approx(0.5, rel=5e-3)


@given(st.floats(-3, 40))
def test_gauge_and_area_are_inverse(gauge: float) -> None:
    assert wire.area_gauge(area=wire.gauge_area(gauge=gauge)) == pytest.approx(gauge, abs=1e-6)


@pytest.mark.parametrize(("temperature", "factor"), [(75, 309.5 / 254.5), (105, 339.5 / 254.5), (85, 319.5 / 254.5), (20, 1.0)])
def test_the_temperature_law_is_that_of_the_aviation_handbook(temperature: float, factor: float) -> None:
    """R ∝ 234.5 + T, p. 11-22: a coefficient of 0.003929 beside the rounded 0.00393 used here."""
    assert wire.temperature_factor(temperature=temperature) == pytest.approx(factor, rel=1e-4)


@pytest.mark.parametrize(("gauge", "ohms"), [(14, 3.07), (12, 1.93), (10, 1.21)])
def test_solid_copper_at_75_degrees_comes_to_the_installers_table(gauge: int, ohms: float) -> None:
    """NEC chapter 9 table 8, Ω per 1000 ft; the page calls the column stranded, its values fit solid wire."""
    assert wire.resistance(area=wire.gauge_area(gauge=gauge), length=THOUSAND_FEET, temperature=75) == pytest.approx(ohms, rel=5e-3)


IEC_60228 = {
    0.5: (39.0, 40.1), 0.75: (26.0, 26.7), 1.0: (19.5, 20.0), 1.5: (13.3, 13.7), 2.5: (7.98, 8.21), 4: (4.95, 5.09), 6: (3.30, 3.39),
    10: (1.91, 1.95), 16: (1.21, 1.24),
}  # fmt: skip


@pytest.mark.parametrize("square_mm", IEC_60228)
def test_the_largest_resistance_of_a_flexible_conductor_is_the_standards(square_mm: float) -> None:
    """IEC 60228 class 5, Ω/km at 20 °C, tinned; plain strands are allowed less, and both more than ideal copper."""
    plain, tinned = IEC_60228[square_mm]
    found = wire.class_5_resistance(area=square_mm * 1e-6, length=1000, temperature=20)
    assert found == pytest.approx(tinned)
    assert wire.resistance(area=square_mm * 1e-6, length=1000, temperature=20) < plain < found
    assert (square_mm, plain, tinned) in wire.CLASS_5


@pytest.mark.parametrize(("square_mm", "row"), [(0.52, 0.5), (0.823, 0.75), (2.08, 1.5), (3.99, 2.5), (24.9, 16), (0.4999, 0.5)])
def test_between_two_sizes_the_smaller_one_counts(square_mm: float, row: float) -> None:
    assert wire.class_5_resistance(area=square_mm * 1e-6, length=1000, temperature=20) == pytest.approx(IEC_60228[row][1])


def test_a_hot_flexible_conductor_has_a_third_more_at_105_degrees() -> None:
    """339.5/254.5 by the aviation handbook's law."""
    assert wire.class_5_resistance(area=1e-6, length=1, temperature=105) == pytest.approx(0.0200 * 339.5 / 254.5, rel=1e-4)


@pytest.mark.parametrize(
    ("ohms_per_foot", "feet", "volts", "digits"),
    [
        (0.00044, 107, 0.942, 3), (0.00028, 90, 0.504, 3), (0.00306, 100, 6.12, 2), (0.00126, 39, 0.98, 2), (0.00126, 156, 3.93, 2),
        (0.00126, 273, 6.88, 2),
    ],
)  # fmt: skip
def test_the_voltage_drops_of_the_aviation_handbook_are_met(ohms_per_foot: float, feet: float, volts: float, digits: int) -> None:
    """Tables 11-7 and 11-8, 20 A, to the printed digits."""
    assert round(wire.voltage_drop(current=20, resistance=ohms_per_foot * feet), digits) == volts


def test_a_misprint_of_the_aviation_handbook_is_not_met() -> None:
    """Table 11-8 row 2 prints .366 V for 0.00126 Ω/ft, 19.5 ft, 20 A; the product is 0.4914 V."""
    assert wire.voltage_drop(current=20, resistance=0.00126 * 19.5) == pytest.approx(0.4914)


@pytest.mark.parametrize(
    ("gauge", "feet", "volts", "digits"),
    [(12, 88, 3.60, 0.05), (14, 100, 6.12, 5e-3), (10, 39, 0.98, 5e-3), (10, 156, 3.93, 5e-3), (10, 273, 6.88, 5e-3)],
)
def test_the_voltage_drops_follow_from_the_wire_table_too(gauge: int, feet: float, volts: float, digits: float) -> None:
    """The same examples by gauge, through table 11-9; the handbook rounds 3.5552 V up to 3.60 V."""
    ohms = wire.bundle_resistance(area=wire.gauge_area(gauge=gauge), length=feet * FOOT, temperature=20)
    assert wire.voltage_drop(current=20, resistance=ohms) == pytest.approx(volts, abs=digits)


BUNDLE = {
    24: (28.40, 2.5, 4, 5), 22: (16.20, 3, 5, 6), 20: (9.88, 4, 7, 9), 18: (6.23, 6, 9, 12), 16: (4.81, 7, 11, 14), 14: (3.06, 10, 14, 18),
    12: (2.02, 13, 19, 25), 10: (1.26, 17, 26, 32),
}  # fmt: skip


@pytest.mark.parametrize("gauge", BUNDLE)
def test_the_bundle_table_is_met_for_wires_as_descriptions_write_them(gauge: int) -> None:
    """Table 11-9; the area of a gauge is read from text, where it is rounded."""
    area = float(read_quantity(f"AWG {gauge}", "area"))
    ohms, *currents = BUNDLE[gauge]
    assert wire.bundle_resistance(area=area, length=THOUSAND_FEET, temperature=20) == pytest.approx(ohms)
    assert [wire.bundle_current(area=area, insulation=rated) for rated in (105, 150, 200)] == currents


@pytest.mark.parametrize(
    ("square_mm", "insulation", "current"), [(0.5, 105, 3), (1.0, 125, 6), (1.0, 199, 9), (2.5, 260, 18), (4.0, 150, 19)]
)
def test_between_two_gauges_the_thinner_and_between_two_ratings_the_lower_counts(
    square_mm: float, insulation: float, current: float
) -> None:
    assert wire.bundle_current(area=square_mm * 1e-6, insulation=insulation) == current


@pytest.mark.parametrize("gauge", list(BUNDLE)[1:])
def test_a_wire_a_hundredth_short_of_a_gauge_counts_as_the_thinner_one(gauge: int) -> None:
    ohms, *currents = BUNDLE[gauge + 2]
    area = 0.99 * float(read_quantity(f"AWG {gauge}", "area"))
    assert wire.bundle_resistance(area=area, length=THOUSAND_FEET, temperature=20) == pytest.approx(ohms)
    assert [wire.bundle_current(area=area, insulation=rated) for rated in (105, 150, 200)] == currents


@pytest.mark.parametrize(
    ("size", "printed"), [(4, (27, 23, 21, 19, 16)), (6, (34, 30, 27, 24, 21)), (10, (46, 40, 36, 33, 28)), (16, (62, 54, 49, 44, 38))]
)
def test_a_conduit_bears_what_the_book_prints_at_every_ambient(size: int, printed: tuple[int, ...]) -> None:
    """The book rounds to whole amperes after a factor of two digits."""
    found = [
        wire.placed_current(permissible=wire.conduit_current(area=size * 1e-6), insulation=70, ambient=ambient, reference=70, surrounding=30)
        for ambient in (30, 40, 45, 50, 55)
    ]
    assert found == pytest.approx(printed, abs=0.6)


def test_the_insulations_own_temperature_leaves_nothing() -> None:
    assert wire.placed_current(permissible=46, insulation=70, ambient=70, reference=70, surrounding=30) == 0


@pytest.mark.parametrize(("start", "end", "factor"), [(70, 160, 115), (90, 250, 143), (60, 200, 141)])
def test_the_let_through_has_the_factors_of_the_installation_standard(start: int, end: int, factor: int) -> None:
    """IEC 60364-4-43, table 43A, copper in A·√s/mm², from memory: PVC 115, cross-linked 143, rubber 60 °C 141."""
    assert wire.heating_let_through(area=1e-6, start=start, end=end) ** 0.5 == pytest.approx(factor, abs=0.5)
    assert wire.heating_let_through(area=2.5e-6, start=start, end=end) ** 0.5 == pytest.approx(2.5 * factor, rel=5e-3)


@pytest.mark.parametrize(("gauge", "at_105", "at_150", "at_200"), [(24, 2.5, 4, 5), (20, 4, 7, 9), (16, 7, 11, 14), (12, 13, 19, 25), (10, 17, 26, 32)])
def test_the_law_of_the_rise_promises_no_more_than_the_handbooks_columns(gauge: int, at_105: float, at_150: float, at_200: float) -> None:
    for insulation, printed in ((150, at_150), (200, at_200)):
        found = wire.placed_current(permissible=at_105, insulation=insulation, ambient=70, reference=105, surrounding=70)
        assert 0.75 * printed < found <= printed, gauge


@pytest.mark.parametrize("row", wire.BUNDLE)
def test_no_gauge_of_the_handbook_has_more_than_the_largest_excess(row: tuple[int, float, tuple[float, ...]]) -> None:
    gauge, ohms, _ = row
    assert ohms <= wire.stranded_resistance(area=wire.gauge_area(gauge=gauge), length=THOUSAND_FEET, temperature=20)


@pytest.mark.parametrize("row", wire.CLASS_5)
def test_no_size_of_class_5_has_more_than_the_largest_excess(row: tuple[float, float, float]) -> None:
    size, _, tinned = row
    assert tinned <= wire.stranded_resistance(area=size * 1e-6, length=1000, temperature=20)
