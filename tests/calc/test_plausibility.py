"""The brake plausibility device in numbers. The sensor figures are those of a common 20 A part, from memory; the rest is worked by hand."""

import random

import pytest
from corners import Formula, Ranges, assert_corners_are_exact, assert_refuses_what_is_no_number, boxes, formulas, refusal
from hypothesis import given
from hypothesis import strategies as st

from docgen.calc import plausibility
from docgen.calc.formula import Band, worst
from docgen.calc.polyline import place_of, value_at
from docgen.circuit import Resistor, solve

_POINTS: Ranges = {"lower_output": (0, 2.5), "upper_output": (4, 5), "gain_error": (-0.1, 0.1)}

RANGES: dict[Formula, Ranges] = {
    plausibility.threshold_current: {"power": (0, 80e3), "voltage": (60, 600)},
    plausibility.sensor_output: {"current": (5, 200), "error": (-2, 2), "lower_current": (0, 1), "upper_current": (250, 400), **_POINTS},
    plausibility.trip_current: {"threshold": (2.6, 3.9), "error": (-2, 2), "lower_current": (0, 5), "upper_current": (6, 300), **_POINTS},
    plausibility.trip_pressure: {"threshold": (2.6, 3.9), "error": (-2e5, 2e5), "lower_pressure": (0, 5e5), "upper_pressure": (6e5, 3e7), **_POINTS},
    plausibility.divider_share: {"upper": (0, 1e6), "lower": (1, 1e6)},
    plausibility.comparator_threshold: {"supply": (0, 16), "upper": (0, 1e6), "lower": (1, 1e6)},
    plausibility.threshold_of_share: {"share": (0, 1), "supply": (3, 16)},
    plausibility.threshold_at_nominal: {"threshold": (0, 5), "nominal": (4.5, 5.5), "supply": (4.5, 5.5)},
    plausibility.trip_time: {"delay": (0, 2), "release": (0, 0.1)},
}


def test_every_formula_is_in_the_ranges() -> None:
    assert set(RANGES) == formulas(plausibility)


@pytest.mark.parametrize("function", RANGES)
@given(data=st.data())
def test_the_exact_corners_are_those_of_a_search_over_the_box(function: Formula, data: st.DataObject) -> None:
    assert_corners_are_exact(function, data.draw(boxes(RANGES[function])))


@pytest.mark.parametrize("function", RANGES)
def test_infinity_and_nan_are_refused_by_name(function: Formula) -> None:
    assert_refuses_what_is_no_number(function, RANGES[function])


CURVE = {"lower_current": 0, "lower_output": 2.5, "upper_current": 20, "upper_output": 4.5}
SOUND = {"gain_error": 0, "error": 0}
READ, MET = CURVE | SOUND | {"current": 5}, CURVE | SOUND | {"threshold": 3}


@pytest.mark.parametrize(
    ("function", "arguments", "refused"),
    [
        (plausibility.threshold_current, {"power": -1, "voltage": 400}, ("power", "at least 0", -1)),
        (plausibility.threshold_current, {"power": 5000, "voltage": 0}, ("voltage", "above 0", 0)),
        (plausibility.sensor_output, READ | {"current": -1}, ("current", "at least 0", -1)),
        (plausibility.sensor_output, READ | {"current": 21}, ("current that is read", "from 0 to 20, where the curve was given", 21)),
        (plausibility.sensor_output, READ | {"error": -6}, ("current that is read", "from 0 to 20, where the curve was given", -1)),
        (plausibility.sensor_output, READ | {"lower_current": -1}, ("lower_current", "at least 0", -1)),
        (plausibility.trip_current, MET | {"upper_current": 0}, ("upper_current", "above 0", 0)),
        (plausibility.trip_current, MET | {"upper_output": 0.5}, ("upper_output", "above 2.5", 0.5)),
        (plausibility.trip_current, MET | {"threshold": 2}, ("threshold", "at least 2.5", 2)),
        (plausibility.trip_current, MET | {"threshold": 4.6}, ("threshold", "at most 4.5", 4.6)),
        (plausibility.trip_current, MET | {"gain_error": -1}, ("gain_error", "above -1", -1)),
        (plausibility.comparator_threshold, {"supply": 5, "upper": -1, "lower": 1}, ("upper", "at least 0", -1)),
        (plausibility.comparator_threshold, {"supply": 5, "upper": 1, "lower": 0}, ("lower", "above 0", 0)),
        (plausibility.threshold_of_share, {"share": 1.1, "supply": 5}, ("share", "at most 1", 1.1)),
        (plausibility.threshold_at_nominal, {"threshold": 2.5, "nominal": 5, "supply": 0}, ("supply", "above 0", 0)),
        (plausibility.trip_time, {"delay": -1, "release": 0}, ("delay", "at least 0", -1)),
    ],
)  # fmt: skip
def test_what_has_no_meaning_is_refused(function: Formula, arguments: dict[str, float], refused: tuple[str, str, float]) -> None:
    assert refusal(function, **arguments) == refused


@pytest.mark.parametrize(("volts", "amperes"), [(200, 25.0), (300, 16.667), (400, 12.5), (500, 10.0), (600, 8.333)])
def test_five_kilowatts_are_fewer_amperes_at_more_volts(volts: float, amperes: float) -> None:
    assert plausibility.threshold_current(power=5000, voltage=volts) == pytest.approx(amperes, abs=5e-4)


EXACT = {name: Band.exactly(value) for name, value in CURVE.items()}
GAIN, NONE = Band(-0.015, 0, 0.015), Band.exactly(0)
"""100 mV/A ± 1.5 %; an offset of ± 30 mV moves the threshold against the output by as much."""


def test_gain_and_offset_spread_the_current_at_which_it_trips() -> None:
    """100 mV/A ± 1.5 %, 2.5 V ± 30 mV, threshold 3.750 V: 12.020 A to 12.995 A, worked by hand."""
    current = worst(plausibility.trip_current, threshold=Band(3.72, 3.75, 3.78), gain_error=GAIN, error=NONE, **EXACT)
    assert (current.low, current.nominal, current.high) == pytest.approx((12.020, 12.5, 12.995), abs=5e-4)


def test_the_threshold_that_surely_trips_lies_below_the_nominal_output() -> None:
    """2.5 + 12.5 · 0.0985 − 0.030 = 3.70125 V, and the nominal trip is then at 12.0125 A."""
    output = worst(plausibility.sensor_output, current=Band.exactly(12.5), gain_error=GAIN, error=NONE, **EXACT)
    assert output.low - 0.03 == pytest.approx(3.70125, abs=1e-9)
    surely = Band(3.70125 - 0.03, 3.70125, 3.70125 + 0.03)
    trips = worst(plausibility.trip_current, threshold=surely, gain_error=GAIN, error=NONE, **EXACT)
    assert trips.nominal == pytest.approx(12.0125, abs=1e-9)
    assert trips.high == pytest.approx(12.5, abs=1e-9)


def test_no_sensor_within_the_errors_trips_outside_the_band() -> None:
    dice = random.Random(9)
    band = worst(plausibility.trip_current, threshold=Band(3.74, 3.75, 3.76), gain_error=GAIN, error=Band(-0.8, 0, 0.8), **EXACT)
    for _ in range(500):
        threshold, gain, error = dice.uniform(3.74, 3.76), dice.uniform(-0.015, 0.015), dice.uniform(-0.8, 0.8)
        real = ((threshold - 2.5) / 0.1 - error) / (1 + gain)
        assert band.low <= real <= band.high


@given(st.floats(0, 50), st.floats(0, 2.4), st.floats(60, 300), st.floats(2.5, 5), st.floats(0, 1))
def test_two_points_and_the_curve_of_two_points_are_one(lower: float, low: float, upper: float, high: float, share: float) -> None:
    points = {"lower_current": lower, "lower_output": low, "upper_current": upper, "upper_output": high}
    curve = ((lower, low), (upper, high))
    current = min(lower + share * (upper - lower), upper)
    assert plausibility.sensor_output(current=current, **points, **SOUND) == pytest.approx(value_at(curve, current))
    volts = min(low + share * (high - low), high)
    assert plausibility.trip_current(threshold=volts, **points, **SOUND) == pytest.approx(place_of(curve, volts), abs=1e-6)


@given(st.floats(5, 190), st.floats(-0.05, 0.05), st.floats(-2, 2))
def test_a_threshold_at_the_output_for_a_current_trips_at_that_current(current: float, gain: float, error: float) -> None:
    """The maker says of the reading how far it is off, so that reading back takes off what reading added."""
    points = {"lower_current": 0, "lower_output": 0.5, "upper_current": 250, "upper_output": 4.5}
    output = plausibility.sensor_output(current=current, gain_error=gain, error=error, **points)
    back = plausibility.trip_current(threshold=output, gain_error=gain, error=-error, **points)
    assert back == pytest.approx(current, rel=1e-9)


def test_a_falling_sensor_is_read_with_its_voltages_negated() -> None:
    """2.5 V at zero, 100 mV less for each ampere: 1.25 V at 12.5 A."""
    falling = {"lower_current": 0, "lower_output": -2.5, "upper_current": 20, "upper_output": -0.5}
    assert plausibility.trip_current(threshold=-1.25, **falling, **SOUND) == pytest.approx(12.5)


def test_forty_millivolts_a_bar_meet_one_and_a_half_volts_at_twenty_five_bar() -> None:
    points = {"lower_pressure": 0, "lower_output": 0.5, "upper_pressure": 100e5, "upper_output": 4.5}
    assert plausibility.trip_pressure(threshold=1.5, **points, **SOUND) == pytest.approx(25e5)


@given(st.floats(4.6, 5.4), st.floats(0.51, 0.89))
def test_a_ratiometric_sensor_against_a_share_of_the_same_supply_trips_where_it_trips_at_nominal(supply: float, share: float) -> None:
    """At another supply everything scales alike: the outputs of the sensor and the threshold by the same factor."""
    nominal = plausibility.trip_current(threshold=plausibility.threshold_of_share(share=share, supply=5), **CURVE, **SOUND)
    scaled = CURVE | {"lower_output": 2.5 * supply / 5, "upper_output": 4.5 * supply / 5}
    now = plausibility.trip_current(threshold=plausibility.threshold_of_share(share=share, supply=supply), **scaled, **SOUND)
    assert now == pytest.approx(nominal, abs=1e-9)


@given(st.floats(4.6, 5.4), st.floats(3.0, 3.9))
def test_a_fixed_threshold_on_a_ratiometric_sensor_is_one_at_nominal_supply(supply: float, threshold: float) -> None:
    scaled = CURVE | {"lower_output": 2.5 * supply / 5, "upper_output": 4.5 * supply / 5}
    seen = plausibility.threshold_at_nominal(threshold=threshold, nominal=5, supply=supply)
    assert plausibility.trip_current(threshold=threshold, **scaled, **SOUND) == pytest.approx(plausibility.trip_current(threshold=seen, **CURVE, **SOUND))


def test_the_divider_of_the_measuring_line_gives_four_volts() -> None:
    """990 kΩ over 10 kΩ at 400 V, worked by hand."""
    assert plausibility.comparator_threshold(supply=400, upper=990e3, lower=10e3) == pytest.approx(4.000)


@given(st.floats(1, 16), st.floats(1, 1e6), st.floats(1, 1e6))
def test_the_divider_stands_at_the_voltage_that_nodal_analysis_finds(supply: float, upper: float, lower: float) -> None:
    nodes = solve([Resistor(0, 2, upper), Resistor(2, 1, lower)], 0, 1, supply)
    assert plausibility.comparator_threshold(supply=supply, upper=upper, lower=lower) == pytest.approx(nodes.volts[2], rel=1e-9)
