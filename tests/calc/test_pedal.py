"""Pedal sensors: worked by hand, and against a search over every position and voltage with numpy's interpolation."""

import math
from itertools import pairwise

import numpy as np
import pytest
from corners import Formula, Ranges, assert_corners_are_exact, assert_refuses_what_is_no_number, boxes, formulas, refusal
from hypothesis import given
from hypothesis import strategies as st

from docgen.calc import pedal
from docgen.calc.pedal import LineFault, PedalSensor, Separation, line_faults, separation, short_readings
from docgen.calc.polyline import Points

RANGES: dict[Formula, Ranges] = {
    pedal.unnoticed_error: {"limit": (0, 0.3), "slope": (0, 5)},
    pedal.window_margin: {"lower_end": (-0.5, 1), "upper_end": (4, 5.5), "lowest": (0.5, 1.5), "highest": (3.5, 4.8)},
    pedal.travel_of_power: {"power": (0, 80e3), "largest": (10e3, 80e3)},
}


def test_every_formula_is_in_the_ranges() -> None:
    assert set(RANGES) == formulas(pedal)


@pytest.mark.parametrize("function", RANGES)
@given(data=st.data())
def test_the_exact_corners_are_those_of_a_search_over_the_box(function: Formula, data: st.DataObject) -> None:
    assert_corners_are_exact(function, data.draw(boxes(RANGES[function])))


@pytest.mark.parametrize("function", RANGES)
def test_infinity_and_nan_are_refused_by_name(function: Formula) -> None:
    assert_refuses_what_is_no_number(function, RANGES[function])


STEEP: Points = ((0, 1.0), (1, 4.0))
FLAT: Points = ((0, 0.5), (1, 2.0))
FALLING: Points = ((0, 4.0), (1, 1.0))
FIRST, SECOND = PedalSensor(STEEP, (0.8, 4.2)), PedalSensor(FLAT, (0.4, 2.2))


@st.composite
def curves(draw: st.DrawFn) -> Points:
    """A strictly rising or falling curve over the whole travel, of two to five points."""
    places = [0.0, *sorted(draw(st.sets(st.integers(1, 19), max_size=3))), 20.0]
    steps = draw(st.lists(st.floats(0.05, 1.2), min_size=len(places) - 1, max_size=len(places) - 1))
    volts = np.cumsum([draw(st.floats(0.2, 2.0)), *steps]).tolist()
    return tuple(zip((place / 20 for place in places), volts[::-1] if draw(st.booleans()) else volts, strict=True))


@st.composite
def pedal_sensors(draw: st.DrawFn) -> PedalSensor:
    """A sensor whose window holds its output, or cuts a little off it."""
    curve = draw(curves())
    volts = [value for _, value in curve]
    return PedalSensor(curve, (min(volts) + draw(st.floats(-0.3, 0.1)), max(volts) + draw(st.floats(-0.02, 0.3))))


def _output(sensor: PedalSensor, travel: float) -> float:
    return float(np.interp(travel, *zip(*sensor.curve, strict=True)))


def _reading(sensor: PedalSensor, volts: float) -> float:
    travels, outputs = zip(*sorted(sensor.curve, key=lambda point: point[1]), strict=True)
    return float(np.interp(volts, outputs, travels))


def _apart(first: PedalSensor, second: PedalSensor, volts: float) -> float:
    """How far the readings of a common voltage differ; infinite outside a window."""
    if any(not sensor.window[0] <= volts <= sensor.window[1] for sensor in (first, second)):
        return math.inf
    return abs(_reading(first, volts) - _reading(second, volts))


def _closest(first: PedalSensor, second: PedalSensor) -> tuple[float, float]:
    """The voltage of shorted lines that is hardest to notice, and how far the readings differ there."""
    return min(((volts, abs(one - other)) for volts, one, other in short_readings(first, second)), key=lambda found: found[1])


@given(curves(), curves())
def test_the_smallest_separation_is_that_of_a_search(first: Points, second: Points) -> None:
    found = separation(first, second)
    travels = np.linspace(0, 1, 401)
    gaps = np.interp(travels, *zip(*first, strict=True)) - np.interp(travels, *zip(*second, strict=True))
    assert found.volts <= np.abs(gaps).min() + 1e-9
    here = np.interp(found.position, *zip(*first, strict=True)) - np.interp(found.position, *zip(*second, strict=True))
    assert abs(here) == pytest.approx(found.volts, abs=1e-9)
    if gaps.min() < 0 < gaps.max():
        assert found.volts == 0


def test_separations_worked_by_hand() -> None:
    assert separation(STEEP, FLAT) == Separation(0, 0.5)
    assert separation(STEEP, FALLING) == Separation(0.5, 0.0)
    assert separation(STEEP, STEEP).volts == 0
    assert separation(((0, 1.0), (0.25, 1.5), (1, 4.0)), ((0, 0.5), (0.25, 1.25), (1, 2.0))) == Separation(0.25, 0.25)


@given(pedal_sensors(), pedal_sensors())
def test_no_voltage_between_the_outputs_at_any_position_is_harder_to_notice_than_the_readings_say(first: PedalSensor, second: PedalSensor) -> None:
    searched = []
    for travel in np.linspace(0, 1, 101).tolist():
        ends = _output(first, travel), _output(second, travel)
        searched += [_apart(first, second, volts) for volts in np.linspace(min(ends), max(ends), 41).tolist()]
    if not short_readings(first, second):
        assert min(searched) == math.inf
        return
    volts, apart = _closest(first, second)
    assert apart <= min(searched) + 1e-9
    assert _apart(first, second, volts) == pytest.approx(apart, abs=1e-9)


def test_half_the_slope_and_another_offset_are_noticed() -> None:
    """Both windows leave 0.8 V to 2.2 V. At 0.8 V one reads 0 %, the other 20 %, and above they go further apart."""
    assert _closest(FIRST, SECOND) == (0.8, pytest.approx(0.20))


def test_windows_that_are_too_wide_leave_both_ends_unnoticed() -> None:
    """Above 2 V the flat sensor reads fully pressed; at 4 V the steep one does too, and below 0.5 V both read released."""
    found = short_readings(PedalSensor(STEEP, (0.1, 4.5)), PedalSensor(FLAT, (0.1, 4.5)))
    assert (found[0], found[-1]) == ((0.5, 0.0, 0.0), (4.0, 1.0, 1.0))


def test_curves_a_constant_voltage_apart_deviate_by_a_constant_travel() -> None:
    """0.3 V of 3 V is 10 %. The windows cut off the ends, where a sensor reads no further."""
    found = short_readings(PedalSensor(STEEP, (1.3, 4.0)), PedalSensor(((0, 1.3), (1, 4.3)), (1.3, 4.0)))
    assert [one - other for _, one, other in found] == pytest.approx([0.1, 0.1])


def test_opposed_curves_can_agree_at_a_pedal_that_is_released() -> None:
    """1 V and 4 V shorted together may stand at 2.5 V, which both read as half pressed."""
    assert (2.5, 0.5, 0.5) in short_readings(PedalSensor(STEEP, (0.8, 4.2)), PedalSensor(FALLING, (0.8, 4.2)))


def test_sensors_whose_windows_do_not_meet_always_leave_one() -> None:
    assert short_readings(PedalSensor(FLAT, (0.4, 2.1)), PedalSensor(((0, 2.5), (1, 4.5)), (2.4, 4.6))) == ()


def test_curves_over_different_travel_are_refused() -> None:
    assert refusal(separation, first=STEEP, second=((0, 1.0), (0.9, 2.0))) == ("end of the travel", "1 as of the other curve", 0.9)
    assert refusal(short_readings, first=FIRST, second=PedalSensor(((0.1, 1.0), (1, 2.0)), (0.5, 2.5))) == (
        "start of the travel", "0 as of the other curve", 0.1,
    )  # fmt: skip


def test_a_curve_that_turns_back_is_refused() -> None:
    turning = PedalSensor(((0, 1.0), (0.5, 3.0), (1, 2.0)), (0.5, 3.5))
    assert refusal(short_readings, first=turning, second=SECOND)[0] == "place on the curve, read back,"


def test_an_open_line_goes_where_it_is_pulled() -> None:
    """Window 0.8 V to 4.2 V, supply 5 V."""
    shorts = LineFault("to ground", 0.0, 0.8), LineFault("to supply", 5.0, pytest.approx(0.8))
    assert line_faults(FIRST, 5.0, "down") == (LineFault("open", 0.0, 0.8), *shorts)
    assert line_faults(FIRST, 5.0, "up") == (LineFault("open", 5.0, pytest.approx(0.8)), *shorts)
    assert line_faults(FIRST, 5.0, "none") == (LineFault("open", 2.5, pytest.approx(-1.7)), *shorts)


def test_a_window_that_holds_a_rail_does_not_notice_it() -> None:
    faults = line_faults(PedalSensor(STEEP, (-0.1, 5.2)), 5.0, "up")
    assert [round(fault.margin, 9) for fault in faults] == [-0.2, -0.1, -0.2]


def test_a_supply_below_the_window_is_noticed_from_below() -> None:
    """A 3.3 V rail on a window of 3.5 V to 4.5 V."""
    assert line_faults(PedalSensor(((0, 3.6), (1, 4.4)), (3.5, 4.5)), 3.3, "up")[2] == LineFault("to supply", 3.3, pytest.approx(0.2))


def test_a_window_turned_round_and_a_missing_supply_are_refused() -> None:
    assert refusal(line_faults, sensor=PedalSensor(STEEP, (4.2, 0.8)), supply=5.0, pull="up") == ("end of the window", "above 4.2", 0.8)
    assert refusal(line_faults, sensor=FIRST, supply=0.0, pull="up") == ("supply", "above 0", 0.0)


@given(pedal_sensors(), pedal_sensors(), st.floats(0, 1))
def test_between_the_readings_of_a_short_both_sensors_read_straight_lines(first: PedalSensor, second: PedalSensor, share: float) -> None:
    found = short_readings(first, second)
    for (low, *before), (high, *after) in pairwise(found):
        volts = low + share * (high - low)
        for sensor, start, end in zip((first, second), before, after, strict=True):
            assert _reading(sensor, volts) == pytest.approx(start + share * (end - start), abs=1e-9)
