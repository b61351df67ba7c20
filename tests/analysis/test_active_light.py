"""The active light in numbers and in words, worked by hand from the small car: red above 57 V ± 3 %, 3 Hz, 20 min; nominal voltage 345.6 V."""

import pytest
from conftest import edited
from figures import ends, figure, figures

from docgen.check import check
from docgen.editions import edition
from docgen.finding import Rule, Verdict
from docgen.rules.numbers_active_light import (
    active_light_blind,
    active_light_missing,
    active_light_not_independent,
    active_light_not_latched,
    active_light_programmable,
    linked_contact_without_datasheet,
)

AS_IT_IS = "docgen: 1"
LOW = "tractive_system: {voltage: {highest: 100.8 V, nominal: 86.4 V}}"


def verdicts(rule: Rule, patch: str, identifier: str = "fsuk-2026") -> list[Verdict]:
    return [result.outcome.verdict for result in check(edited(patch), edition(identifier), (rule,)).results]


def light(fields: str) -> str:
    return f"tractive_system: {{active_light: {{{fields}}}}}"


def test_the_threshold_counts_with_its_tolerance() -> None:
    """57 V · 0.97 = 55.29 V to 57 V · 1.03 = 58.71 V; 60 V is below half of 345.6 V."""
    found = figure(AS_IT_IS, "active-light-red")
    assert ends(found) == pytest.approx((55.29, 57, 58.71))
    assert found.margin == pytest.approx(1.29)


def test_half_the_nominal_voltage_counts_where_the_edition_says_so() -> None:
    """Half of 86.4 V is 43.2 V; an edition without that half keeps 60 V."""
    assert ends(figure(LOW, "active-light-limit"))[1] == pytest.approx(43.2)
    assert figure(LOW, "active-light-red").verdict is Verdict.FINDING
    assert figures(LOW, "active-light-limit", identifier="fs-2020") == ()
    assert figure(LOW, "active-light-red", "fs-2020").verdict is Verdict.HOLDS


def test_an_unknown_nominal_voltage_leaves_the_threshold_open() -> None:
    assert figure("tractive_system: {voltage: {nominal: null}}", "active-light-red").verdict is Verdict.NOT_EVALUATED


def test_the_frequency_keeps_both_ends_of_its_band() -> None:
    """3 Hz: 1 Hz above the slowest, 2 Hz below the fastest; 4.8 Hz ± 10 % is 5.28 Hz at worst."""
    assert [found.margin for found in figures(AS_IT_IS, "active-light-frequency")] == pytest.approx([1, 2])
    assert [found.verdict for found in figures(light("frequency: 4.8 Hz ± 10 %"), "active-light-frequency")] == [Verdict.HOLDS, Verdict.FINDING]


def test_the_time_that_it_runs_on() -> None:
    assert figure(AS_IT_IS, "active-light-runtime").margin == pytest.approx(300)


def test_a_car_without_a_light_has_no_figures_of_it_and_one_finding() -> None:
    without = "tractive_system: {active_light: null}"
    assert figures(without, "active-light-red", "active-light-frequency", "active-light-runtime") == ()
    assert verdicts(active_light_missing, without) == [Verdict.FINDING]
    assert verdicts(active_light_blind, without) == [Verdict.NOT_APPLICABLE]


@pytest.mark.parametrize(
    ("senses", "unseen"),
    [
        ("[air_plus.auxiliary, air_minus.auxiliary, precharge_relay.auxiliary, voltage of the inverter]", ""),
        ("['contacts air_plus.auxiliary and air_minus.auxiliary', precharge_relay.auxiliary, voltage]", ""),
        ("[air_plus.auxiliary, coil of air_minus, precharge_relay.auxiliary, voltage]", "no contact of air_minus"),
        ("[air_plus.main, air_minus.auxiliary, precharge_relay.power, voltage]", "no contact of air_plus, no contact of precharge_relay"),
        ("[air_plus.mirror, air_minus.auxiliary, precharge_relay.auxiliary, voltage]", "no contact of air_plus"),
        ("[air_plus.auxiliary, air_minus.auxiliary, precharge_relay.auxiliary]", "no voltage"),
    ],
)
def test_each_relay_is_sensed_by_a_described_contact_that_is_not_its_power_contact(senses: str, unseen: str) -> None:
    (found,) = check(edited(light(f"senses: {senses}")), edition("fsuk-2026"), (active_light_blind,)).results
    assert found.outcome.was == (f"the active light senses {unseen}" if unseen else "the active light senses each contactor, the pre-charge relay and the voltage")
    assert found.is_finding == bool(unseen)


def test_a_further_contactor_is_sensed_too() -> None:
    patch = "tractive_system: {accumulators: {main: {contactors: {more: [air_mid]}}}}\ndevices: {air_mid: {function: AIR, contacts: {main: {at_rest: open}}}}"
    (found,) = check(edited(patch), edition("fsuk-2026"), (active_light_blind,)).findings
    assert found.outcome.was == "the active light senses no contact of air_mid"


def test_what_an_edition_asks_of_sensing_and_logic_is_not_taken_from_another() -> None:
    assert verdicts(active_light_blind, AS_IT_IS, "fs-2020") == [Verdict.NOT_EVALUATED]
    assert verdicts(active_light_programmable, light("logic: programmable"), "fs-2020") == [Verdict.NOT_EVALUATED]
    assert verdicts(active_light_programmable, light("logic: programmable"), "fs-2025") == [Verdict.FINDING]


@pytest.mark.parametrize(
    ("words", "verdict"),
    [
        ("two boards, no common input", Verdict.STATED),
        ("separate boards without shared signals", Verdict.STATED),
        ("red and green share nothing", Verdict.STATED),
        ("nothing in common, each with its own comparator", Verdict.STATED),
        ("red senses voltages, green senses contacts", Verdict.STATED),
        ("both on the same board with a common comparator", Verdict.FINDING),
        ("green is the inverted output of red", Verdict.FINDING),
        ("green depends on red", Verdict.FINDING),
        ("not at all", Verdict.FINDING),
        ("none", Verdict.FINDING),
        ("null", Verdict.FINDING),
        ("unknown", Verdict.NOT_EVALUATED),
    ],
)
def test_red_and_green_are_independent(words: str, verdict: Verdict) -> None:
    quoted = words if words == "null" else f"'{words}'"
    assert verdicts(active_light_not_independent, light(f"independent: {quoted}")) == [verdict]


@pytest.mark.parametrize(
    ("words", "verdict"),
    [
        ("green goes out and stays out until the LV master is cycled", Verdict.STATED),
        ("green goes out, latched until low voltage is cycled", Verdict.STATED),
        ("green off, held off until low voltage is switched off and on", Verdict.STATED),
        ("green out until power cycle of the low-voltage system; cleared by a power cycle", Verdict.STATED),
        ("green goes out, latched, never comes back by itself", Verdict.STATED),
        ("green goes out", Verdict.FINDING),
        ("green goes out, not latched", Verdict.FINDING),
        ("green goes out until the states agree again", Verdict.FINDING),
        ("green stays out until it recovers by itself", Verdict.FINDING),
        ("null", Verdict.FINDING),
        ("unknown", Verdict.NOT_EVALUATED),
    ],
)
def test_an_implausible_state_is_latched(words: str, verdict: Verdict) -> None:
    quoted = words if words == "null" else f"'{words}'"
    assert verdicts(active_light_not_latched, light(f"implausible: {quoted}")) == [verdict]


def test_each_auxiliary_contact_that_is_read_rests_on_its_data_sheet() -> None:
    assert verdicts(linked_contact_without_datasheet, AS_IT_IS) == [Verdict.STATED] * 3
    silent = "devices: {air_minus: {contacts: {auxiliary: {linked_to_main: null}}}}"
    report = check(edited(silent), edition("fsuk-2026"), (linked_contact_without_datasheet,))
    assert [found.outcome.path for found in report.findings] == [("devices", "air_minus", "contacts", "auxiliary", "linked_to_main")]
    assert report.errors == ()
