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

RANGES: dict[Formula, Ranges] = {
    plausibility.threshold_current: {"power": (0, 80e3), "voltage": (60, 600)},
    plausibility.sensitivity: {"lower_current": (-5, 5), "lower_output": (0, 2.5), "upper_current": (6, 300), "upper_output": (2.6, 5)},
    plausibility.sensor_output: {"zero_output": (-1, 3), "sensitivity": (1e-3, 0.2), "current": (0, 300)},
    plausibility.trip_current: {"threshold": (2.6, 5), "zero_output": (0, 2.6), "sensitivity": (1e-3, 0.2), "error": (-2, 2)},
    plausibility.comparator_threshold: {"supply": (0, 16), "upper": (0, 1e6), "lower": (1, 1e6)},
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


TWO_POINTS = {"lower_current": 0, "lower_output": 2.5, "upper_current": 20, "upper_output": 4.5}


@pytest.mark.parametrize(
    ("function", "arguments", "refused"),
    [
        (plausibility.threshold_current, {"power": -1, "voltage": 400}, ("power", "at least 0", -1)),
        (plausibility.threshold_current, {"power": 5000, "voltage": 0}, ("voltage", "above 0", 0)),
        (plausibility.sensitivity, TWO_POINTS | {"upper_current": 0}, ("upper_current", "above 0", 0)),
        (plausibility.sensitivity, TWO_POINTS | {"upper_output": 0.5}, ("upper_output", "above 2.5", 0.5)),
        (plausibility.sensor_output, {"zero_output": 2.5, "sensitivity": 0, "current": 1}, ("sensitivity", "above 0", 0)),
        (plausibility.sensor_output, {"zero_output": 2.5, "sensitivity": 0.1, "current": -1}, ("current", "at least 0", -1)),
        (plausibility.trip_current, {"threshold": 2, "zero_output": 2.5, "sensitivity": 0.1, "error": 0}, ("threshold", "at least 2.5", 2)),
        (plausibility.comparator_threshold, {"supply": 5, "upper": -1, "lower": 1}, ("upper", "at least 0", -1)),
        (plausibility.comparator_threshold, {"supply": 5, "upper": 1, "lower": 0}, ("lower", "above 0", 0)),
    ],
)  # fmt: skip
def test_what_has_no_meaning_is_refused(function: Formula, arguments: dict[str, float], refused: tuple[str, str, float]) -> None:
    assert refusal(function, **arguments) == refused


@pytest.mark.parametrize(("volts", "amperes"), [(200, 25.0), (300, 16.667), (400, 12.5), (500, 10.0), (600, 8.333)])
def test_five_kilowatts_are_fewer_amperes_at_more_volts(volts: float, amperes: float) -> None:
    assert plausibility.threshold_current(power=5000, voltage=volts) == pytest.approx(amperes, abs=5e-4)


GAIN, ZERO = Band(0.1 * 0.985, 0.1, 0.1 * 1.015), Band(2.47, 2.5, 2.53)


def test_gain_and_offset_spread_the_current_at_which_it_trips() -> None:
    """100 mV/A ± 1.5 %, 2.5 V ± 30 mV, threshold 3.750 V: 12.020 A to 12.995 A, worked by hand."""
    current = worst(plausibility.trip_current, threshold=Band.exactly(3.75), zero_output=ZERO, sensitivity=GAIN, error=Band.exactly(0))
    assert (current.low, current.nominal, current.high) == pytest.approx((12.020, 12.5, 12.995), abs=5e-4)


def test_the_threshold_that_surely_trips_lies_below_the_nominal_output() -> None:
    """2.5 + 12.5 · 0.0985 − 0.030 = 3.70125 V, and the nominal trip is then at 12.0125 A."""
    output = worst(plausibility.sensor_output, zero_output=ZERO, sensitivity=GAIN, current=Band.exactly(12.5))
    assert output.low == pytest.approx(3.70125, abs=1e-9)
    trips = worst(plausibility.trip_current, threshold=Band.exactly(output.low), zero_output=ZERO, sensitivity=GAIN, error=Band.exactly(0))
    assert trips.nominal == pytest.approx(12.0125, abs=1e-9)
    assert trips.high == pytest.approx(12.5, abs=1e-9)


def test_no_sensor_within_the_errors_trips_outside_the_band() -> None:
    dice = random.Random(9)
    band = worst(plausibility.trip_current, threshold=Band(3.74, 3.75, 3.76), zero_output=ZERO, sensitivity=GAIN, error=Band(-0.8, 0, 0.8))
    for _ in range(500):
        zero, gain, threshold, error = (
            dice.uniform(2.47, 2.53),
            dice.uniform(0.0985, 0.1015),
            dice.uniform(3.74, 3.76),
            dice.uniform(-0.8, 0.8),
        )
        read = (threshold - zero) / gain
        assert band.low <= read + error <= band.high


@given(st.floats(-50, 50), st.floats(0, 2.4), st.floats(60, 300), st.floats(2.5, 5), st.floats(0, 1))
def test_the_line_of_two_points_and_the_curve_of_two_points_are_one(
    lower: float, low: float, upper: float, high: float, share: float
) -> None:
    gain = plausibility.sensitivity(lower_current=lower, lower_output=low, upper_current=upper, upper_output=high)
    curve = ((lower, low), (upper, high))
    current = min(lower + share * (upper - lower), upper)
    if current >= 0:
        assert plausibility.sensor_output(zero_output=low - gain * lower, sensitivity=gain, current=current) == pytest.approx(
            value_at(curve, current)
        )
    volts = min(low + share * (high - low), high)
    trips = (volts - low) / gain + lower
    assert place_of(curve, volts) == pytest.approx(trips, abs=1e-6)


def test_a_falling_sensor_is_read_with_its_voltages_negated() -> None:
    """2.5 V at zero, 100 mV less for each ampere: 1.25 V at 12.5 A."""
    gain = plausibility.sensitivity(lower_current=0, lower_output=-2.5, upper_current=20, upper_output=-0.5)
    assert plausibility.trip_current(threshold=-1.25, zero_output=-2.5, sensitivity=gain, error=0) == pytest.approx(12.5)


def test_the_divider_of_the_measuring_line_gives_four_volts() -> None:
    """990 kΩ over 10 kΩ at 400 V, worked by hand."""
    assert plausibility.comparator_threshold(supply=400, upper=990e3, lower=10e3) == pytest.approx(4.000)


@given(st.floats(1, 16), st.floats(1, 1e6), st.floats(1, 1e6))
def test_the_divider_stands_at_the_voltage_that_nodal_analysis_finds(supply: float, upper: float, lower: float) -> None:
    nodes = solve([Resistor(0, 2, upper), Resistor(2, 1, lower)], 0, 1, supply)
    assert plausibility.comparator_threshold(supply=supply, upper=upper, lower=lower) == pytest.approx(nodes.volts[2], rel=1e-9)
