"""The active light: the lower of two limits, worked by hand."""

import pytest
from corners import Formula, Ranges, assert_corners_are_exact, assert_refuses_what_is_no_number, boxes, formulas, refusal
from hypothesis import given
from hypothesis import strategies as st

from docgen.calc import active_light

RANGES: dict[Formula, Ranges] = {active_light.latest_threshold: {"limit": (40, 80), "share": (0.3, 0.7), "nominal": (48, 600)}}


def test_every_formula_is_in_the_ranges() -> None:
    assert set(RANGES) == formulas(active_light)


@pytest.mark.parametrize("function", RANGES)
@given(data=st.data())
def test_the_exact_corners_are_those_of_a_search_over_the_box(function: Formula, data: st.DataObject) -> None:
    assert_corners_are_exact(function, data.draw(boxes(RANGES[function])))


@pytest.mark.parametrize("function", RANGES)
def test_infinity_and_nan_are_refused_by_name(function: Formula) -> None:
    assert_refuses_what_is_no_number(function, RANGES[function])


@pytest.mark.parametrize("name", ["limit", "share", "nominal"])
def test_nothing_is_no_limit(name: str) -> None:
    assert refusal(active_light.latest_threshold, **{"limit": 60, "share": 0.5, "nominal": 400} | {name: 0}) == (name, "above 0", 0)


@pytest.mark.parametrize(("nominal", "volts"), [(400, 60), (120, 60), (119, 59.5), (86.4, 43.2), (48, 24)])
def test_half_the_nominal_voltage_counts_below_a_hundred_and_twenty_volts(nominal: float, volts: float) -> None:
    assert active_light.latest_threshold(limit=60, share=0.5, nominal=nominal) == pytest.approx(volts)
