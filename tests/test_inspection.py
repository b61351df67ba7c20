"""The tests at the car: which there are, in which order, and what they expect; expected values were worked out by hand, as said beside each."""

from functools import cache
from pathlib import Path

import pytest
from conftest import SMALL_CAR, edited

from docgen.check import check
from docgen.editions import edition
from docgen.inspection import Inspection, inspection
from docgen.load import Description, load_text

EXAMPLE = Path(__file__).parents[1] / "example_car" / "car.yaml"


def of(description: Description, rules: str = "fsuk-2026") -> Inspection:
    return inspection(check(description, edition(rules)))


@cache
def small(patch: str = "{}") -> Inspection:
    return of(edited(patch))


@cache
def example() -> Inspection:
    return of(load_text(EXAMPLE.read_text(encoding="utf-8")))


def expected(sheet: Inspection, slug: str) -> str:
    """The band of a test as it is printed."""
    figure = {test.slug: test for test in sheet.tests}[slug].figure
    assert figure is not None
    return figure.expected


def seen(sheet: Inspection, slug: str) -> str:
    """Everything to be seen in a test, as one text."""
    return "\n".join(map(str, {test.slug: test for test in sheet.tests}[slug].sights))


def digests(sheet: Inspection) -> dict[str, str]:
    return {test.slug: test.digest for test in sheet.tests}


# Worked out with a calculator from the fields of tests/cars/small_car.yaml:
# discharge  R·C·ln(U/60 V) = 3300 Ω·1.05 × 400 µF·1.2 × ln(403.2/60) = 3465 × 480e-6 × 1.905088 = 3.16854 s; contactor 15 ms before it
# lines      4.50 V − 2.50 V over 200 A is 10 mV/A; 40 mV/bar
SMALL = {
    "button_left/press": "at most 3.184 s",
    "lv_master/open": "at most 3.184 s",
    "over_travel_switch/over-travel": "at most 3.184 s",
    "inertia_switch/trip": "at most 3.234 s",  # its longest pulse of 50 ms before
    "imd/test-resistor-positive": "at most 23.19 s",  # 20 s, 10 ms for a relay without a stated release, then as above
    "imd/response-value": "242.5 kΩ to 257.5 kΩ",  # 250 kΩ ± 3 %
    "bspd/threshold-signal-dc_current": "2.585 V to 2.595 V",  # 2.59 V ± 0.2 % = ± 5.18 mV
    "bspd/threshold-dc_current": "7.682 A to 10.32 A",  # (2.58482 − 2.5)/0.01 − 0.8 and (2.59518 − 2.5)/0.01 + 0.8
    "bspd/threshold-front_pressure": "23.63 bar to 26.37 bar",  # (1.485 − 0.5)/0.04 − 1 = 23.625 and (1.515 − 0.5)/0.04 + 1 = 26.375
    "bspd/self-reset": "11.4 s to 12.6 s",  # 12 s ± 5 %
    "bspd/open-line-dc_current": "at most 50 ms",
    "ams/open-line-cell_taps": "at most 400 ms",
    "ams/lamp": "1 s to 3 s",  # 2 s are stated without a tolerance: the limits of the clause
    "service_link/pulled": "at most 6 s",
    "accumulator.main/precharge-level": "96.03 % to 97.97 %",  # 97 % of it, read 1 % too high or too low
    "inverter.inverter/discharge-time": "at most 3.184 s",
    "lights/red-above": "55.29 V to 58.71 V",  # 57 V ± 3 %
    "lights/flash": "2 Hz to 5 Hz",  # 3 Hz without a tolerance: the limits of the clause
    "lights/runs-on": "at least 20 min",
    "insulation/resistance-imd": "at least 257.5 kΩ",  # more than what the monitor reports
    "insulation/bonding-near-parts": "at most 60 mΩ",
    "pedals/apps_1-line-to-supply": "at most 90 ms",
    "pedals/deviation": "at most 10 %",
    "pedal-vs-brake/acts": "at most 450 ms",
    "pedal-vs-brake/release": "at most 5 %",
    "ready-to-drive/level": "at least 92 dB(A)",
}


@pytest.mark.parametrize("slug", SMALL)
def test_the_small_car_expects_what_a_calculator_says(slug: str) -> None:
    assert expected(small(), slug) == SMALL[slug]


def test_the_example_car_expects_what_a_calculator_says() -> None:
    # 2200 Ω·1.05 × 480 µF·1.2 × ln(504/60) = 2310 × 576e-6 × 2.128232 = 2.83174 s, and 15 ms
    assert expected(example(), "button_right/press") == "at most 2.847 s"
    # 2.575 V ± 0.2 %: (2.56985 − 2.5)/0.01 − 0.8 = 6.185 A, (2.58015 − 2.5)/0.01 + 0.8 = 8.815 A
    assert expected(example(), "bspd/threshold-dc_current") == "6.185 A to 8.815 A"
    # 1.54 V ± 1 %: (1.5246 − 0.5)/0.04 − 1 = 24.615 bar, (1.5554 − 0.5)/0.04 + 1 = 27.385 bar
    assert expected(example(), "bspd/threshold-front_pressure") == "24.62 bar to 27.38 bar"
    # 11.5 s ± 10 %
    assert expected(example(), "bspd/self-reset") == "10.35 s to 12.65 s"


def test_the_delay_is_that_of_its_resistor_and_capacitor() -> None:
    # −R·C·ln(1 − f), f from 62 % to 64 %: 425.7 kΩ × 0.779 µF × 0.967584 = 320.87 ms, 434.3 kΩ × 0.861 µF × 1.021651 = 382.03 ms
    assert expected(small(), "bspd/delay") == "320.9 ms to 382 ms"


def test_a_device_comes_back_in_the_time_of_its_resistor_and_capacitor() -> None:
    # −R·C·ln(1 − 63.2 %): 1.188 MΩ × 9.5 µF × 0.999672 = 11.282 s, 1.212 MΩ × 10.5 µF × 0.999672 = 12.722 s
    parts = "{resistor: 1.2 MΩ ± 1 %, capacitor: 10 µF ± 5 %, trips_at: 63.2 %}"
    assert expected(small(f"devices: {{bspd: {{reset: {{self_after: null, timing: {parts}}}}}}}"), "bspd/self-reset") == "11.28 s to 12.72 s"


def test_the_test_resistor_is_250_ohms_a_volt_rounded_down_to_a_preferred_value() -> None:
    # 250 Ω/V × 403.2 V = 100.8 kΩ, below it in E24 100 kΩ; less 15 kΩ 85.8 kΩ, below it 82 kΩ
    said = seen(small(), "imd/test-resistor-negative")
    assert "test resistor 100 kΩ" in said and "82 kΩ" in said
    # 250 Ω/V × 504 V = 126 kΩ, below it 120 kΩ; less 15 kΩ 111 kΩ, below it 110 kΩ
    said = seen(example(), "imd/test-resistor-positive")
    assert "test resistor 120 kΩ" in said and "110 kΩ" in said
    # rated for U²/R: 403.2²/100e3 = 1.6257 W
    assert "1.626 W" in seen(small(), "imd/test-resistor-positive")


def test_the_sheet_follows_the_current_and_then_leaves_the_loop() -> None:
    heads = [group.head for group in small().sections[0].groups]
    assert heads == [
        "fuse.F1", "lv_master", "bspd", "ams", "imd", "inertia_switch", "button_left", "button_right", "button_cockpit", "over_travel_switch",
        "service_link", "start_button", "hold_relay", "ts_master", "pack_link", "precharge_unit",
    ]  # fmt: skip
    outside = [group.head for group in small().sections[-1].groups]
    assert outside[:4] == ["accumulator.main", "inverter.inverter", "insulation", "lights"]
    assert outside[4:8] == ["pedals", "pedal-vs-brake", "ready-to-drive", "at-the-car"]


def test_a_moved_device_moves_on_the_sheet_and_keeps_its_slugs_and_digests() -> None:
    moved = SMALL_CAR.replace("      - inertia_switch\n", "").replace("      - lv_master\n", "      - lv_master\n      - inertia_switch\n")
    before, after = small(), of(load_text(moved))
    assert digests(before) == digests(after)
    assert [group.head for group in after.sections[0].groups].index("inertia_switch") == 2


def test_an_unrelated_change_moves_no_slug_and_no_digest_of_others() -> None:
    before, after = digests(small()), digests(small("devices: {imd: {response: {within: 15 s}}}"))
    assert before.keys() == after.keys()
    assert {slug for slug in before if before[slug] != after[slug]} == {"imd/test-resistor-positive", "imd/test-resistor-negative"}


def test_another_discharge_resistor_changes_every_test_that_waits_for_the_voltage() -> None:
    before, after = digests(small()), digests(small("tractive_system: {inverters: {inverter: {discharge: {resistor: 3.0 kΩ ± 5 %}}}}"))
    changed = {slug for slug in before if before[slug] != after[slug]}
    assert {"button_left/press", "lv_master/open", "imd/test-resistor-positive", "inverter.inverter/discharge-time"} <= changed
    assert not {"button_left/latch", "imd/reset", "pedals/deviation", "bspd/delay"} & changed


def test_every_slug_stands_once_and_is_fit_for_a_key() -> None:
    for sheet in (small(), example()):
        slugs = [test.slug for test in sheet.tests]
        assert len(slugs) == len(set(slugs))
        assert all(set(slug) <= set("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-./") for slug in slugs)


def test_what_opens_says_which_coils_let_go() -> None:
    said = seen(small(), "button_left/press")
    assert "air_minus and air_plus open" in said
    assert "discharge_relay drops (power closes)" in said
    assert "hold_relay drops (hold opens)" in said


def test_a_device_in_one_branch_drops_only_its_branch() -> None:
    patch = """
        devices: {extra: {function: shutdown button, worked_by: hand, contact: {at_rest: closed, when_healthy: closed, tripped: open}}}
        loops: {drive: {path: [fuse F1, lv_master, ts_master, {each_to_return: [[extra, coil air_plus], [coil air_minus]]}]}}
    """
    said = seen(small(patch), "extra/press")
    assert "air_plus opens" in said and "air_minus" not in said


def test_no_expected_value_comes_from_thin_air() -> None:
    patch = "devices: {imd: {response: {within: unknown (asked the maker)}}}"
    assert expected(small(patch), "imd/test-resistor-positive").startswith("not evaluated: ")
    assert "asked the maker" in expected(small(patch), "imd/test-resistor-positive")
    assert "not evaluated: devices.button_left.latch.push_again is not said" in seen(small(), "button_left/second-push")
    assert (
        expected(small("demand: {pedal_vs_brake_check: {trips: {after: null}}}"), "pedal-vs-brake/acts")
        == "not evaluated: demand.pedal_vs_brake_check.trips.after is not said"
    )


def test_a_value_without_a_tolerance_and_without_a_clause_is_only_written_down() -> None:
    assert (
        expected(small(), "insulation/measuring-point-positive") == "not evaluated: 15 kΩ is stated without a tolerance; write down what is measured"
    )


def test_every_outcome_to_be_seen_at_the_car_is_a_line() -> None:
    slugs = set(digests(small()))
    assert "lv_master/see-master-height-place-height" in slugs
    assert "ts_master/see-masters-apart-place" in slugs
    assert any(slug.startswith("at-the-car/see-pedal-sensors-share-supply") for slug in slugs)


def test_lines_of_sensors_are_opened_and_shorted_unless_that_is_not_possible() -> None:
    slugs = set(digests(small()))
    for act in ("open-line", "line-to-ground", "line-to-supply"):
        assert {f"bspd/{act}-dc_current", f"bspd/{act}-front_pressure", f"ams/{act}-cell_taps"} <= slugs
    assert "imd/line-to-ground-chassis_line" not in slugs and "imd/open-line-chassis_line" in slugs


def test_every_corner_of_a_device_is_worked_alone() -> None:
    assert {"motor_link/unplug-left", "motor_link/unplug-right"} <= set(digests(example()))


def test_who_must_not_reset_tries_to() -> None:
    slugs = set(digests(small()))
    assert {"imd/reset-from-seat", "ams/reset-from-seat", "over_travel_switch/reset-from-seat"} <= slugs
    assert "button_left/reset-from-seat" not in slugs  # anyone may


def test_connectors_of_the_tractive_system_are_never_parted_under_voltage() -> None:
    for test in (*small().tests, *example().tests):
        head, _, act = test.slug.partition("/")
        if act.partition("-")[0] == "unplug" and not head.startswith("connector."):
            assert test.steps[0].startswith("Tractive system off, TS master locked off, measured dead")
            assert "LOCKED_OFF_FIRST" in {caution.name for caution in test.cautions}


def test_only_what_can_be_reached_from_outside_is_taken_away_under_voltage() -> None:
    tests = {test.slug: test for test in example().tests}
    assert tests["ams/loss-of-feed"].steps[1] == "Pull fuse F3 of ams."
    for act in ("loss-of-ground", "unplugged", "open-line-cell_temperatures", "brown-out"):
        assert tests[f"ams/{act}"].steps[0].startswith("TS master locked off, measured dead")
        assert {"LOCKED_OFF_FIRST", "OPEN_CELLS"} <= {caution.name for caution in tests[f"ams/{act}"].cautions}
    # F1 of the small car feeds the loop too: pulling it would show nothing of the monitor
    assert {test.slug: test for test in small().tests}["imd/loss-of-feed"].steps[
        1
    ] == "Take the feed of imd away at its own plug; fuse F1 serves others too."


def test_nobody_shorts_a_line_that_no_switch_makes_dead() -> None:
    tests = {test.slug: test for test in example().tests}
    live = [slug for slug in tests if "cell_taps" in slug or "cell_voltages" in slug or (slug.startswith("precharge_unit/") and "_voltage" in slug)]
    assert len(live) >= 9
    for slug in live:
        assert tests[slug].steps[0].startswith("Not at the car: the line comes from cells or from the tractive system"), slug
    assert "tested by the team: analysed only" in seen(example(), "signals/cell_voltages-short-to-ground")
    assert tests["bspd/line-to-ground-front_pressure"].steps[0].startswith("TS master locked off, measured dead")


def test_every_test_on_signals_says_whether_the_tractive_system_is_off() -> None:
    tests = {test.slug: test for test in example().tests}
    for act in ("threshold-signal-dc_current", "one-condition", "delay", "self-reset"):
        assert tests[f"bspd/{act}"].steps[0].startswith("TS master locked off, measured dead"), act
    assert tests["imd/line-to-supply-positive_line"].steps[0].startswith("Not at the car")


def test_a_contact_that_is_open_while_the_system_is_off_is_watched_on_the_bench() -> None:
    tests = {test.slug: test for test in example().tests}
    assert "on the bench" in tests["precharge_unit/loss-of-ground"].steps[0]
    assert "on the bench" not in tests["imd/loss-of-ground"].steps[0]


def test_no_lamp_is_expected_where_low_voltage_is_gone_or_the_car_is_far() -> None:
    for slug in ("fuse.F0/pull", "lv_master/open", "charger_button/press"):
        assert "lamp" not in seen(example(), slug), slug
    assert "the lamp “TS off” is lit" in seen(example(), "button_right/press")


def test_the_charging_loop_has_a_section_of_its_own_without_what_was_tested_before() -> None:
    charging = example().sections[1]
    slugs = [test.slug for group in charging.groups for test in group.tests]
    assert charging.title == "The loop charging, in the order of its current"
    assert "charger_button/press" in slugs and "imd/charging" in slugs and "imd/latch" not in slugs
    assert {test.slug: test for test in example().tests}["charger_button/press"].figure is None  # no intermediate circuit on the cart


def test_every_expectation_names_its_source() -> None:
    for test in (*small().tests, *example().tests):
        assert all(sight.source for sight in test.sights), test.slug
        assert test.figure is None or test.figure.source or test.figure.missing, test.slug


def test_another_edition_changes_what_clauses_are_named_and_breaks_nothing() -> None:
    for rules in ("fs-2020", "fs-2025", "fsae-2024", "fsae-2026"):
        assert len(of(edited("{}"), rules).tests) > 100


def test_a_description_of_almost_nothing_has_a_sheet() -> None:
    assert of(load_text("docgen: 1\ncar: {name: Wren, edition: fsuk-2026}\n")).tests


@pytest.mark.parametrize("words", ["passed", "compliant", " OK "])
def test_nothing_is_approved(words: str) -> None:
    for sheet in (small(), example()):
        for test in sheet.tests:
            assert words not in " ".join((test.title, *test.steps, *map(str, test.sights)))
