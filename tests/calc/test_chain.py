"""Times one after the other: sums, exact over tolerances."""

import pytest
from corners import Formula, Ranges, assert_corners_are_exact, assert_refuses_what_is_no_number, boxes, formulas, refusal
from hypothesis import given
from hypothesis import strategies as st

from docgen.calc import chain
from docgen.calc.formula import Band, worst

SECONDS = (0, 30)
RANGES: dict[Formula, Ranges] = {
    chain.opening_time: {"delay": SECONDS, "release": SECONDS},
    chain.time_after_opening: {"opening": SECONDS, "fall": SECONDS},
    chain.time_after_demand: {"detection": SECONDS, "stage": SECONDS, "opening": SECONDS, "fall": SECONDS},
}


def test_every_formula_is_in_the_ranges() -> None:
    assert set(RANGES) == formulas(chain)


@pytest.mark.parametrize("function", RANGES)
@given(data=st.data())
def test_the_exact_corners_are_those_of_a_search_over_the_box(function: Formula, data: st.DataObject) -> None:
    assert_corners_are_exact(function, data.draw(boxes(RANGES[function])))


@pytest.mark.parametrize("function", RANGES)
def test_infinity_and_nan_are_refused_by_name(function: Formula) -> None:
    assert_refuses_what_is_no_number(function, RANGES[function])


@pytest.mark.parametrize("function", RANGES)
def test_a_time_below_zero_is_refused(function: Formula) -> None:
    for name in RANGES[function]:
        assert refusal(function, **dict.fromkeys(RANGES[function], 1.0) | {name: -1}) == (name, "at least 0", -1)


def test_an_insulation_fault_takes_twenty_four_seconds_until_the_voltage_has_gone() -> None:
    """By hand: 20 s, a relay of 10 ms, a contactor of 15 ms, and a fall of 2 s to 4 s."""
    found = worst(
        chain.time_after_demand, detection=Band.exactly(20), stage=Band.exactly(0.010), opening=Band.exactly(0.015), fall=Band(2, 3, 4)
    )
    assert (found.low, found.nominal, found.high) == pytest.approx((22.025, 23.025, 24.025))
