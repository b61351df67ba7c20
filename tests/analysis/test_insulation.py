"""Insulation in numbers, worked by hand from the small car.

403.2 V at most; the monitor reports below 250 kΩ ± 3 %, 242.5 kΩ to 257.5 kΩ; 15 kΩ and 15 W at each measuring point; 40 nF of the accumulator
and 100 nF of the inverter to chassis. The regulation's own example of 250 Ω/V behind a resistor: 100.8 kΩ, with 15 kΩ taken off 85.8 kΩ.
"""

import eseries
import pytest
from conftest import edited
from figures import ends, figure, figures

from docgen.check import check
from docgen.editions import edition
from docgen.finding import Rule, Verdict
from docgen.rules.numbers_insulation import measuring_point_power, monitor_chassis_lines, monitor_on_accumulator_side, monitor_too_slow

AS_IT_IS = "docgen: 1"


def verdicts(rule: Rule, patch: str) -> list[Verdict]:
    return [result.outcome.verdict for result in check(edited(patch), edition("fsuk-2026"), (rule,)).results]


def test_the_response_value_counts_at_the_highest_voltage() -> None:
    """250 kΩ / 403.2 V = 620.04 Ω/V, at worst 242.5 kΩ / 403.2 V = 601.44 Ω/V; at nominal voltage it would be 723 Ω/V."""
    found = figure(AS_IT_IS, "monitor-response-value")
    assert ends(found) == pytest.approx((601.4385, 620.0397, 638.6409), abs=5e-5)
    assert found.margin == pytest.approx(101.4385, abs=5e-5)


def test_the_tolerance_of_the_response_decides() -> None:
    """205 kΩ is 508.4 Ω/V, less 3 % 493.2 Ω/V."""
    found = figure("devices: {imd: {response: {below: 205 kΩ ± 3 %}}}", "monitor-response-value")
    assert ends(found)[:2] == pytest.approx((493.1796, 508.4325), abs=5e-5)
    assert found.verdict is Verdict.FINDING


def test_capacitances_to_chassis_add_up() -> None:
    """40 nF and 100 nF; a second inverter of 60 nF ± 10 % makes 194 nF to 206 nF."""
    assert ends(figure(AS_IT_IS, "chassis-capacitance")) == pytest.approx((140e-9, 140e-9, 140e-9))
    more = "tractive_system: {inverters: {front: {capacitance_to_chassis: 60 nF ± 10 %}}}"
    assert ends(figure(more, "chassis-capacitance")) == pytest.approx((194e-9, 200e-9, 206e-9))


def test_a_response_time_says_nothing_without_the_capacitance_that_it_holds_at() -> None:
    found = figure("tractive_system: {inverters: {inverter: {capacitance_to_chassis: null}}}", "monitor-response-time")
    assert found.verdict is Verdict.NOT_EVALUATED
    assert [missing.name for missing in found.missing] == ["capacitance to chassis of inverter"]
    assert figure(AS_IT_IS, "monitor-response-time").margin == pytest.approx(10)


def test_a_monitor_that_takes_longer_than_the_test_waits_is_found() -> None:
    assert verdicts(monitor_too_slow, "devices: {imd: {response: {within: 29 s ± 2 s}}}") == [Verdict.FINDING]
    assert verdicts(monitor_too_slow, "devices: {imd: {response: {within: 28 s ± 2 s}}}") == [Verdict.HOLDS]


def test_the_resistors_for_the_test() -> None:
    """250 Ω/V · 403.2 V = 100.8 kΩ; behind 15 kΩ it is 85.8 kΩ. In the box: 100 kΩ and 82 kΩ of E24."""
    assert ends(figure(AS_IT_IS, "monitor-test-fault")) == pytest.approx((100.8e3,) * 3)
    assert ends(figure(AS_IT_IS, "monitor-test-resistor")) == pytest.approx((85.8e3,) * 3)
    boxes = [given.band.nominal for found in figures(AS_IT_IS, "monitor-test-box") for given in found.given if given.symbol == "R"]
    assert boxes == [100e3, 82e3]
    assert boxes == [eseries.find_less_than_or_equal(eseries.E24, wanted) for wanted in (100.8e3, 85.8e3)]


def test_what_the_boxes_reach_and_what_they_bear() -> None:
    """100 kΩ/403.2 V = 248.016 Ω/V; 97 kΩ/403.2 V = 240.575 Ω/V. 403.2²/100e3 = 1.62570 W; 403.2²·82e3/97e3² = 1.41681 W."""
    assert [ends(found)[1] for found in figures(AS_IT_IS, "monitor-test-box")] == pytest.approx([248.0159, 240.5754], abs=5e-5)
    assert [ends(found)[1] for found in figures(AS_IT_IS, "monitor-test-power")] == pytest.approx([1.625702, 1.416809], abs=5e-7)


def test_a_box_that_counts_no_measuring_point_makes_a_weaker_fault_behind_one() -> None:
    """100 kΩ + 15 kΩ at 403.2 V: 285.22 Ω/V."""
    assert ends(figure(AS_IT_IS, "monitor-test-seen"))[1] == pytest.approx(285.2183, abs=5e-5)
    assert figures("tractive_system: {measuring_points: null}", "monitor-test-seen") == ()


def test_a_voltage_that_no_car_has_needs_no_box() -> None:
    """250 Ω/V · 1 mV is a quarter of an ohm."""
    assert figures("tractive_system: {voltage: {highest: 1 mV}}", "monitor-test-box") == ()


def test_without_a_limit_for_the_test_no_box_is_invented() -> None:
    assert figure(AS_IT_IS, "monitor-test-fault", "fs-2025").verdict is Verdict.NOT_EVALUATED
    assert figures(AS_IT_IS, "monitor-test-box", identifier="fs-2025") == ()


def test_the_measuring_points_shorted_together_and_to_the_other_pole() -> None:
    """403.2 V / 30 kΩ = 13.44 mA; 403.2²/60e3 = 2.709504 W in each; 403.2²/15e3 = 10.838016 W in one."""
    assert ends(figure(AS_IT_IS, "measuring-point-current"))[1] == pytest.approx(13.44e-3)
    assert ends(figure(AS_IT_IS, "measuring-point-power"))[1] == pytest.approx(2.709504)
    assert ends(figure(AS_IT_IS, "measuring-point-single-fault"))[1] == pytest.approx(10.838016)


@pytest.mark.parametrize(("rated", "verdict"), [("2.5 W", Verdict.FINDING), ("3 W", Verdict.HOLDS), ("null", Verdict.NOT_EVALUATED)])
def test_the_rated_power_is_what_they_are_held_against(rated: str, verdict: Verdict) -> None:
    assert verdicts(measuring_point_power, f"tractive_system: {{measuring_points: {{rated_power: {rated}}}}}") == [verdict]


@pytest.mark.parametrize(
    ("side", "verdict"),
    [("vehicle side of the contactors", Verdict.STATED), ("accumulator side of the contactors", Verdict.FINDING), ("null", Verdict.FINDING), ("unknown", Verdict.NOT_EVALUATED)],
)
def test_the_side_of_the_monitor(side: str, verdict: Verdict) -> None:
    assert verdicts(monitor_on_accumulator_side, f"devices: {{imd: {{connected_on: {side}}}}}") == [verdict]


def lines(*sensors: str) -> str:
    return f"devices: {{imd: {{sensors: {{chassis_line: null, chassis_line_hoop: null, {', '.join(sensors)}}}}}}}"


@pytest.mark.parametrize(
    ("sensors", "expected"),
    [
        (("a: {measures: grounded container}", "b: {measures: main hoop}"), [Verdict.STATED, Verdict.STATED]),
        (("ground_line_1: {measures: enclosure of the monitor}", "ground_line_2: {measures: roll hoop}"), [Verdict.STATED, Verdict.STATED]),
        (("a: {measures: chassis at the container}", "b: {measures: chassis at the housing}"), [Verdict.STATED, Verdict.FINDING]),
        (("chassis_line_1: {open: opens}", "chassis_line_2: {open: opens}"), [Verdict.AT_CAR, Verdict.AT_CAR]),
        (("a: {measures: container}",), [Verdict.FINDING]),
        (("a: {measures: TS+ in the container}", "b: {measures: TS- in the container}"), [Verdict.FINDING]),
    ],
)
def test_two_chassis_lines_lead_to_two_places(sensors: tuple[str, ...], expected: list[Verdict]) -> None:
    assert verdicts(monitor_chassis_lines, lines(*sensors)) == expected


def test_a_line_to_a_pole_is_no_chassis_line() -> None:
    (found,) = check(edited(lines("positive: {measures: positive pole in the container}")), edition("fsuk-2026"), (monitor_chassis_lines,)).results
    assert found.outcome.was == "no chassis lines of imd are described"
