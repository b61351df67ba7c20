"""Pulse load of resistors.

Published: Vishay Dale, pulse handling of wire-wound resistors (type RS005: 24,500 W for 1 ms, 24,500,000 W for 1 µs); Miba, Precharge
resistor calculation (three charges in 10 s: P = 3·E/10 s); Welwyn, calculation tools (exponential pulses become rectangular ones of
equal energy).
"""

import math

import numpy as np
import pytest
from corners import Formula, Ranges, assert_corners_are_exact, assert_refuses_what_is_no_number, boxes, formulas, refusal
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from docgen.calc import pulse
from docgen.calc.polyline import Points

RANGES: dict[Formula, Ranges] = {
    pulse.attempts_energy: {"energy": (0, 200), "attempts": (1, 10)},
    pulse.mean_power: {"energy": (0, 200), "attempts": (1, 10), "time": (0.1, 60)},
    pulse.attempts_time: {"energy": (0, 200), "attempts": (1, 10), "power": (1, 1000)},
}

WIRE_WOUND: Points = ((1e-6, 24_500_000), (1e-3, 24_500))
FILM: Points = ((0.1, 900), (1, 500), (5, 250))


def test_every_formula_is_in_the_ranges() -> None:
    assert set(RANGES) == formulas(pulse)


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
        (pulse.attempts_energy, {"energy": -1, "attempts": 1}, ("energy", "at least 0", -1)),
        (pulse.attempts_energy, {"energy": 1, "attempts": 0}, ("attempts", "at least 1", 0)),
        (pulse.mean_power, {"energy": 1, "attempts": 1, "time": 0}, ("time", "above 0", 0)),
        (pulse.attempts_time, {"energy": 1, "attempts": 1, "power": 0}, ("power", "above 0", 0)),
        (pulse.permitted_power, {"rating": FILM, "rated_power": 50, "time": -1}, ("time", "at least 0", -1)),
        (pulse.permitted_power, {"rating": FILM, "rated_power": 0, "time": 1}, ("rated power", "above 0", 0)),
        (pulse.permitted_power, {"rating": FILM, "rated_power": 300, "time": 1}, ("power of the last point", "at least 300", 250)),
        (pulse.permitted_power, {"rating": (), "rated_power": 50, "time": 1}, ("number of points of the rating", "at least 1", 0)),
        (pulse.permitted_power, {"rating": ((0, 500),), "rated_power": 50, "time": 1}, ("time of the first point", "above 0", 0)),
        (pulse.permitted_power, {"rating": ((5, 500), (1, 500)), "rated_power": 50, "time": 1}, ("time of a point", "above 5", 1)),
        (pulse.permitted_power, {"rating": ((1, 500), (5, 600)), "rated_power": 50, "time": 1}, ("power of a point", "at most 500", 600)),
    ],
)  # fmt: skip
def test_what_has_no_meaning_is_refused(function: Formula, arguments: dict[str, float], refused: tuple[str, str, float]) -> None:
    assert refusal(function, **arguments) == refused


def test_three_charges_in_ten_seconds_have_three_tenths_of_the_energy_as_power() -> None:
    """Miba's rule."""
    assert pulse.mean_power(energy=200, attempts=3, time=10) == pytest.approx(3 * 200 / 10)


@given(peak=st.floats(1, 1000), tau=st.floats(0.01, 10))
def test_the_rectangular_pulse_has_the_energy_of_the_exponential_one(peak: float, tau: float) -> None:
    """Welwyn's rule, a length of τ/2; the exponential pulse is integrated by scipy."""
    energy, _ = quad(lambda time: peak * math.exp(-2 * time / tau), 0, 20 * tau)
    assert pulse.attempts_time(energy=energy, attempts=1, power=peak) == pytest.approx(tau / 2, rel=1e-6)


@given(st.floats(1e-6, 1e-3))
def test_a_wire_wound_resistor_keeps_its_energy_between_the_points_of_its_maker(time: float) -> None:
    """Vishay Dale's RS005: 24.5 J at both ends, and all the energy stays in the wire in between."""
    assert pulse.permitted_power(rating=WIRE_WOUND, rated_power=5, time=time) * time == pytest.approx(24.5, rel=1e-9)


@pytest.mark.parametrize(("time", "power"), [(1e-6, 24_500_000), (1e-3, 24_500)])
def test_the_points_of_the_maker_themselves_are_met(time: float, power: float) -> None:
    assert pulse.permitted_power(rating=WIRE_WOUND, rated_power=5, time=time) == pytest.approx(power, rel=1e-12)


@given(st.floats(0.1, 5))
def test_between_two_points_numpy_interpolates_the_same_on_logarithmic_scales(time: float) -> None:
    logarithmic = np.interp(math.log(time), np.log([0.1, 1, 5]), np.log([900, 500, 250]))
    assert pulse.permitted_power(rating=FILM, rated_power=50, time=time) == pytest.approx(math.exp(logarithmic), rel=1e-9)


@pytest.mark.parametrize(("time", "power"), [(0, 900), (1e-6, 900), (0.1, 900), (5.0001, 50), (3600, 50)])
def test_nothing_is_extrapolated_beyond_the_points(time: float, power: float) -> None:
    assert pulse.permitted_power(rating=FILM, rated_power=50, time=time) == power


def test_a_rating_of_one_point_holds_up_to_its_time() -> None:
    assert [pulse.permitted_power(rating=((5, 250),), rated_power=50, time=time) for time in (1, 5, 6)] == [250, 250, 50]


@given(st.floats(0, 20), st.floats(0, 20))
def test_a_longer_pulse_is_never_allowed_more_power(one: float, other: float) -> None:
    shorter, longer = sorted((one, other))
    allowed = [pulse.permitted_power(rating=FILM, rated_power=50, time=time) for time in (shorter, longer)]
    assert allowed[1] <= allowed[0] * (1 + 1e-12)
