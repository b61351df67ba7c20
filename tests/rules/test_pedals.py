"""Pedal sensors: curves that differ, cross, or agree when their lines touch. All voltages are worked out by hand."""

import pytest
from conftest import edited

from docgen.check import check
from docgen.editions import edition
from docgen.finding import Outcome, Rule, Verdict
from docgen.rules.pedals import fault_window_wrong, pedal_curves_cross, pedal_curves_equal, pedal_short_unnoticed

FS, FSAE = "fsuk-2026", "fsae-2026"


def outcomes(rule: Rule, sensors: str, identifier: str = FS) -> list[Outcome]:
    """What a rule says of these sensors in the place of the small car's two."""
    patch = f"demand: {{pedal_sensors: {{apps_1: null, apps_2: null, {sensors}}}}}"
    return [result.outcome for result in check(edited(patch), edition(identifier), (rule,)).results]


def sensor(name: str, curve: str, valid: str = "[0.10 V, 4.90 V]") -> str:
    return f"{name}: {{curve: {curve}, valid: {valid}}}"


def verdicts(rule: Rule, *sensors: str, identifier: str = FS) -> list[Verdict]:
    return [outcome.verdict for outcome in outcomes(rule, ", ".join(sensors), identifier)]


FULL = sensor("a", "[[0 %, 0.50 V], [100 %, 4.50 V]]")
HALF = sensor("b", "[[0 %, 0.50 V], [100 %, 2.50 V]]", "[0.30 V, 2.70 V]")
OPPOSITE = sensor("b", "[[0 %, 4.50 V], [100 %, 0.50 V]]")


def test_the_order_of_points_and_of_sensors_does_not_matter() -> None:
    turned = sensor("b", "[[100 %, 4.50 V], [0 %, 0.50 V]]")
    assert verdicts(pedal_curves_equal, FULL, turned) == [Verdict.FINDING]
    assert verdicts(pedal_curves_equal, FULL, HALF) == verdicts(pedal_curves_equal, HALF, FULL) == [Verdict.HOLDS]


def test_a_curve_in_degrees_is_counted_from_released_to_fully_pressed() -> None:
    in_degrees = sensor("b", "[[12 °, 0.50 V], [32 °, 4.50 V]]")
    assert verdicts(pedal_curves_equal, FULL, in_degrees) == [Verdict.FINDING]


def test_an_output_that_falls_crosses_one_that_rises() -> None:
    assert verdicts(pedal_curves_cross, FULL, OPPOSITE) == [Verdict.FINDING]
    assert verdicts(pedal_curves_cross, FULL, OPPOSITE, identifier=FSAE) == [Verdict.FINDING]


def test_curves_that_meet_at_an_end_only_do_not_cross() -> None:
    assert verdicts(pedal_curves_cross, FULL, HALF) == [Verdict.HOLDS]


def test_a_curve_with_a_bend_crosses_where_its_ends_do_not_show_it() -> None:
    bent = sensor("b", "[[0 %, 0.40 V], [50 %, 2.80 V], [100 %, 4.40 V]]")
    assert verdicts(pedal_curves_cross, FULL, bent) == [Verdict.FINDING]


def test_half_the_slope_from_the_same_zero_is_unnoticed_when_released_and_that_depends_on_the_edition() -> None:
    found = outcomes(pedal_short_unnoticed, f"{FULL}, {HALF}")
    assert [(outcome.verdict, outcome.was) for outcome in found] == [(Verdict.FINDING, "shorted together at 0.5 V, a reads 0 % and b 0 %")]
    assert verdicts(pedal_short_unnoticed, FULL, HALF, identifier=FSAE) == [Verdict.HOLDS]


@pytest.mark.parametrize(
    ("shifted", "verdict"),
    [
        (sensor("b", "[[0 %, 0.90 V], [100 %, 4.90 V]]", "[0.95 V, 4.45 V]"), Verdict.FINDING),
        (sensor("b", "[[0 %, 0.91 V], [100 %, 4.91 V]]", "[0.95 V, 4.45 V]"), Verdict.HOLDS),
    ],
)
def test_parallel_curves_need_an_offset_above_the_deviation(shifted: str, verdict: Verdict) -> None:
    """Ten points of travel are 0.40 V here; a deviation of exactly the limit does not act. The window keeps inside both curves."""
    assert verdicts(pedal_short_unnoticed, FULL, shifted) == [verdict]
    assert verdicts(pedal_short_unnoticed, FULL, shifted, identifier=FSAE) == [verdict]


def test_beyond_its_curve_a_sensor_reads_the_end_of_its_travel_so_that_wide_windows_hide_a_short() -> None:
    """At 0.50 V one reads released and the other, whose curve begins at 0.91 V, reads released too."""
    wide = sensor("b", "[[0 %, 0.91 V], [100 %, 4.91 V]]")
    found = outcomes(pedal_short_unnoticed, f"{FULL}, {wide}")
    assert [(outcome.verdict, outcome.was) for outcome in found] == [(Verdict.FINDING, "shorted together at 0.5 V, a reads 0 % and b 0 %")]


def test_windows_that_do_not_meet_notice_every_short() -> None:
    low = sensor("b", "[[0 %, 0.50 V], [100 %, 1.50 V]]", "[0.30 V, 1.70 V]")
    high = sensor("a", "[[0 %, 2.00 V], [100 %, 4.50 V]]", "[1.80 V, 4.70 V]")
    assert verdicts(pedal_short_unnoticed, high, low) == [Verdict.HOLDS]


def test_a_window_shuts_out_the_voltage_at_which_both_agree() -> None:
    """Both curves give 0.50 V when released; with windows from 1.00 V on, the readings differ by 12.5 points at least."""
    a = sensor("a", "[[0 %, 0.50 V], [100 %, 4.50 V]]", "[1.00 V, 4.90 V]")
    assert [outcome.was for outcome in outcomes(pedal_short_unnoticed, f"{a}, {HALF}")] == [
        "shorted together at 1 V, a reads 12.5 % and b 25 %, which is their smallest difference"
    ]


def test_of_three_sensors_each_is_compared_with_the_one_next_to_it() -> None:
    near = sensor("c", "[[0 %, 0.60 V], [100 %, 4.60 V]]")
    lower = sensor("b", "[[0 %, 0.20 V], [100 %, 2.20 V]]", "[0.45 V, 2.40 V]")
    found = outcomes(pedal_short_unnoticed, f"{FULL}, {lower}, {near}")
    assert sorted((outcome.path[2], outcome.verdict) for outcome in found) == [("b", Verdict.HOLDS), ("c", Verdict.FINDING)]


def test_a_digital_sensor_has_no_curve() -> None:
    assert verdicts(pedal_curves_equal, "a: {output: digital}", "b: {output: digital}") == [Verdict.NOT_APPLICABLE]


@pytest.mark.parametrize(
    ("valid", "verdict"),
    [
        ("[0.30 V, 4.70 V]", Verdict.HOLDS),
        ("[0 V, 4.70 V]", Verdict.FINDING),
        ("[0.30 V, 5.00 V]", Verdict.FINDING),
        ("[0.60 V, 4.70 V]", Verdict.FINDING),
        ("[0.30 V, 4.40 V]", Verdict.FINDING),
        ("[0.30 V ± 0.30 V, 4.70 V]", Verdict.FINDING),
    ],
)
def test_a_window_lies_between_the_output_and_the_rails(valid: str, verdict: Verdict) -> None:
    one = f"a: {{feed: apps_1_feed, curve: [[0 %, 0.50 V], [100 %, 4.50 V]], valid: {valid}}}"
    assert verdicts(fault_window_wrong, one) == [verdict]
