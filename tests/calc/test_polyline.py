"""Curves given as points."""

import numpy as np
import pytest
from corners import refusal
from hypothesis import given
from hypothesis import strategies as st

from docgen.calc.polyline import Points, checked, place_of, value_at

BENT = ((0.0, 0.5), (10.0, 1.0), (30.0, 4.0))
FALLING = ((0.0, 4.0), (10.0, 3.0), (30.0, 0.5))

rising_curves = st.lists(st.tuples(st.floats(0.01, 50), st.floats(0.01, 5)), min_size=1, max_size=6).map(
    lambda steps: tuple(
        zip(np.cumsum([0, *(step for step, _ in steps)]).tolist(), np.cumsum([0, *(rise for _, rise in steps)]).tolist(), strict=True)
    )
)


@given(st.lists(st.tuples(st.floats(0.01, 50), st.floats(-5, 5)), min_size=2, max_size=6), st.floats(0, 1))
def test_values_are_those_that_numpy_interpolates(steps: list[tuple[float, float]], share: float) -> None:
    places = np.cumsum([step for step, _ in steps]).tolist()
    points = tuple(zip(places, (value for _, value in steps), strict=True))
    place = min(places[0] + share * (places[-1] - places[0]), places[-1])
    assert value_at(points, place) == pytest.approx(np.interp(place, places, [value for _, value in steps]), rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("points", [BENT, FALLING])
def test_a_point_of_the_curve_is_met_exactly_both_ways(points: Points) -> None:
    assert [value_at(points, place) for place, _ in points] == [value for _, value in points]
    assert [place_of(points, value) for _, value in points] == [place for place, _ in points]


@given(rising_curves, st.floats(0, 1), st.booleans())
def test_the_place_of_a_value_is_the_place_that_it_was_read_at(points: Points, share: float, falls: bool) -> None:
    turned = tuple((place, -value) for place, value in points) if falls else points
    place = share * turned[-1][0]
    assert place_of(turned, value_at(turned, place)) == pytest.approx(place, abs=1e-6)


def test_a_curve_is_not_continued_beyond_its_ends() -> None:
    assert refusal(value_at, points=BENT, place=-0.1) == ("place on the curve", "at least 0", -0.1)
    assert refusal(value_at, points=BENT, place=30.1) == ("place on the curve", "at most 30", 30.1)
    assert refusal(place_of, points=BENT, value=0.4) == ("value on the curve", "at least 0.5", 0.4)
    assert refusal(place_of, points=FALLING, value=4.1) == ("value on the curve", "at most 4", 4.1)


def test_a_curve_needs_two_points_of_rising_place() -> None:
    assert refusal(checked, points=((0.0, 1.0),)) == ("number of points of the curve", "at least 2", 1)
    assert refusal(checked, points=((0.0, 1.0), (0.0, 2.0))) == ("place on the curve", "above 0", 0.0)
    assert refusal(value_at, points=(), place=0.0) == ("number of points of the curve", "at least 2", 0)


def test_a_curve_that_gives_one_value_twice_is_not_read_back() -> None:
    assert refusal(place_of, points=((0.0, 0.0), (1.0, 2.0), (2.0, 1.0)), value=1.5)[0] == "place on the curve, read back,"
    assert refusal(place_of, points=((0.0, 1.0), (1.0, 1.0)), value=1.0)[0] == "place on the curve, read back,"
