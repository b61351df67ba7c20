"""Insulation: preferred values by the `eseries` library, and circuits solved another way."""

import eseries
import pytest
from corners import Formula, Ranges, assert_corners_are_exact, assert_refuses_what_is_no_number, boxes, formulas, refusal
from hypothesis import given
from hypothesis import strategies as st

from docgen.calc import insulation
from docgen.circuit import Resistor, solve

VOLTS, OHMS = (60, 600), (1e3, 1e6)
RANGES: dict[Formula, Ranges] = {
    insulation.response_ratio: {"resistance": (0, 1e6), "voltage": VOLTS},
    insulation.required_resistance: {"ratio": (50, 1000), "voltage": VOLTS},
    insulation.fault_resistance: {"ratio": (300, 1000), "voltage": VOLTS, "measuring_point": (0, 15e3)},
    insulation.fault_power: {"voltage": VOLTS, "resistance": (15e3, 1e6), "measuring_point": (0, 15e3)},
    insulation.shorted_points_current: {"voltage": VOLTS, "resistance": OHMS},
    insulation.shorted_points_power: {"voltage": VOLTS, "resistance": OHMS},
    insulation.single_fault_power: {"voltage": VOLTS, "resistance": OHMS},
    insulation.fault_ratio: {"resistance": OHMS, "measuring_point": (0, 15e3), "voltage": VOLTS},
    insulation.chassis_capacitance: {"accumulators": (0, 1e-6), "inverters": (0, 1e-6)},
}


def test_every_formula_is_in_the_ranges() -> None:
    assert set(RANGES) == formulas(insulation)


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
        (insulation.response_ratio, {"resistance": 1e5, "voltage": 0}, ("voltage", "above 0", 0)),
        (insulation.required_resistance, {"ratio": 0, "voltage": 400}, ("ratio", "above 0", 0)),
        (insulation.fault_resistance, {"ratio": 250, "voltage": 40, "measuring_point": 10e3}, ("measuring_point", "below 10000", 10e3)),
        (insulation.fault_power, {"voltage": 400, "resistance": 10e3, "measuring_point": 15e3}, ("resistance", "at least 15000", 10e3)),
        (insulation.fault_power, {"voltage": 400, "resistance": 0, "measuring_point": 0}, ("resistance", "above 0", 0)),
        (insulation.shorted_points_power, {"voltage": 400, "resistance": 0}, ("resistance", "above 0", 0)),
        (insulation.fault_ratio, {"resistance": -1, "measuring_point": 0, "voltage": 400}, ("resistance", "at least 0", -1)),
        (insulation.fault_ratio, {"resistance": 1e5, "measuring_point": 0, "voltage": 0}, ("voltage", "above 0", 0)),
        (insulation.fault_ratio, {"resistance": 1e5, "measuring_point": -1, "voltage": 400}, ("measuring_point", "at least 0", -1)),
        (insulation.chassis_capacitance, {"accumulators": -1e-9, "inverters": 0}, ("accumulators", "at least 0", -1e-9)),
        (insulation.preferred_below, {"resistance": 0, "series": 24}, ("resistance", "at least 0.001", 0)),
    ],
)  # fmt: skip
def test_what_has_no_meaning_is_refused(function: Formula, arguments: dict[str, float], refused: tuple[str, str, float]) -> None:
    assert refusal(function, **arguments) == refused


@pytest.mark.parametrize(
    ("volts", "response", "fault", "protection", "plugged_in"),
    [(200, 100e3, 50e3, 5e3, 45e3), (400, 200e3, 100e3, 10e3, 90e3), (600, 300e3, 150e3, 15e3, 135e3)],
)
def test_response_value_and_test_resistor_for_three_voltages(
    volts: float, response: float, fault: float, protection: float, plugged_in: float
) -> None:
    """500 Ω/V and 250 Ω/V; the rule is from memory, the arithmetic by hand."""
    assert insulation.required_resistance(ratio=500, voltage=volts) == pytest.approx(response)
    assert insulation.fault_resistance(ratio=250, voltage=volts, measuring_point=0) == pytest.approx(fault)
    assert insulation.fault_resistance(ratio=250, voltage=volts, measuring_point=protection) == pytest.approx(plugged_in)


@pytest.mark.parametrize(("series", "library"), [(12, eseries.E12), (24, eseries.E24), (96, eseries.E96)])
@given(ohms=st.floats(1, 9e6))
def test_the_preferred_value_is_the_one_that_the_library_finds(series: int, library: eseries.ESeries, ohms: float) -> None:
    assert insulation.preferred_below(resistance=ohms, series=series) == pytest.approx(
        eseries.find_less_than_or_equal(library, ohms), rel=1e-12
    )


@pytest.mark.parametrize(("series", "library"), [(12, eseries.E12), (24, eseries.E24), (96, eseries.E96)])
@pytest.mark.parametrize("decade", [0.01, 1, 100, 1e6])
def test_every_preferred_value_is_rounded_to_itself(series: int, library: eseries.ESeries, decade: float) -> None:
    for mantissa in eseries.series(library):
        value = mantissa / eseries.series(library)[0] * decade
        assert insulation.preferred_below(resistance=value, series=series) == pytest.approx(value, rel=1e-12)


def test_a_test_resistor_of_135_kiloohms_becomes_130() -> None:
    assert insulation.preferred_below(resistance=135e3, series=24) == 130e3


@pytest.mark.parametrize(("volts", "ohms", "watts"), [(200, 5e3, 8), (400, 10e3, 16), (600, 15e3, 24)])
def test_measuring_points_worked_by_hand(volts: float, ohms: float, watts: float) -> None:
    """One point on the other pole: V²/R, 40 mA. Both together: half the current, a quarter of the power each."""
    assert insulation.single_fault_power(voltage=volts, resistance=ohms) == pytest.approx(watts)
    assert insulation.shorted_points_power(voltage=volts, resistance=ohms) == pytest.approx(watts / 4)
    assert insulation.shorted_points_current(voltage=volts, resistance=ohms) == pytest.approx(0.020)


@given(volts=st.floats(60, 600), ohms=st.floats(1e3, 1e6), more=st.floats(1, 20))
def test_powers_are_those_of_solved_circuits(volts: float, ohms: float, more: float) -> None:
    both = [Resistor(0, 2, ohms), Resistor(2, 1, ohms)]
    solved = solve(both, 0, 1, volts)
    assert insulation.shorted_points_current(voltage=volts, resistance=ohms) == pytest.approx(solved.current(both[0]), rel=1e-9)
    assert insulation.shorted_points_power(voltage=volts, resistance=ohms) == pytest.approx(solved.current(both[0]) ** 2 * ohms, rel=1e-9)
    plugged = Resistor(2, 1, ohms * more)
    solved = solve([Resistor(0, 2, ohms), plugged], 0, 1, volts)
    power = solved.current(plugged) ** 2 * plugged.ohms
    assert insulation.fault_power(voltage=volts, resistance=plugged.ohms, measuring_point=ohms) == pytest.approx(power, rel=1e-9)


@given(st.floats(100, 600), st.floats(0, 15e3))
def test_the_resistor_for_a_fault_makes_that_fault(voltage: float, measuring_point: float) -> None:
    resistor = insulation.fault_resistance(ratio=250, voltage=voltage, measuring_point=measuring_point)
    assert insulation.fault_ratio(resistance=resistor, measuring_point=measuring_point, voltage=voltage) == pytest.approx(250)
