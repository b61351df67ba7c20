"""Pre-charge and discharge: what the rules say about wordings, orders and loops that the marked cars do not show."""

import pytest
from conftest import edited

from docgen.check import check
from docgen.editions import edition
from docgen.finding import Result, Verdict
from docgen.rules import CATALOGUE

BY_SLUG = {rule.slug: rule for rule in CATALOGUE}


def said(slug: str, patch: str, identifier: str = "fsuk-2026") -> tuple[Result, ...]:
    return check(edited(patch), edition(identifier), (BY_SLUG[slug],)).results


def verdicts(slug: str, patch: str, identifier: str = "fsuk-2026") -> list[Verdict]:
    return [result.outcome.verdict for result in said(slug, patch, identifier)]


def precharge(fields: str) -> str:
    return f"tractive_system: {{accumulators: {{main: {{precharge: {{{fields}}}}}}}}}"


def discharge(fields: str) -> str:
    return f"tractive_system: {{inverters: {{inverter: {{discharge: {{{fields}}}}}}}}}"


@pytest.mark.parametrize(
    ("identifier", "ends", "verdict"),
    [
        ("fsuk-2026", "timed", Verdict.FINDING), ("fsae-2024", "timed", Verdict.STATED), ("fsae-2026", "timed", Verdict.FINDING),
        ("fsae-2024", "measured", Verdict.STATED), ("fsuk-2026", "unknown", Verdict.NOT_EVALUATED), ("fsuk-2026", "null", Verdict.FINDING),
        ("fs-2025", "timed", Verdict.NOT_EVALUATED),
    ],
)  # fmt: skip
def test_the_edition_decides_whether_a_timer_may_end_the_pre_charge(identifier: str, ends: str, verdict: Verdict) -> None:
    assert verdicts("precharge-timed", precharge(f"ends: {ends}"), identifier) == [verdict]


@pytest.mark.parametrize(
    ("patch", "verdict"),
    [
        ("tractive_system: {accumulators: {main: {precharge: null}}}", Verdict.FINDING),
        ("tractive_system: {accumulators: {main: {precharge: unknown}}}", Verdict.NOT_EVALUATED),
        ("tractive_system: {accumulators: null}", Verdict.NOT_APPLICABLE),
        ("tractive_system: {accumulators: {rear: {contactors: unknown}}}", Verdict.HOLDS),
    ],
)
def test_one_pre_charge_of_the_car_must_be_described(patch: str, verdict: Verdict) -> None:
    assert verdicts("precharge-level-too-low", patch) == [verdict]


@pytest.mark.parametrize(
    ("patch", "verdict"),
    [
        (precharge("first: air_minus"), Verdict.HOLDS),
        (precharge("first: null"), Verdict.HOLDS),
        (precharge("first: air_plus"), Verdict.FINDING),
        (precharge("relay: null"), Verdict.NOT_EVALUATED),
        ("devices: {air_minus: {contacts: {main: {when_healthy: {precharging: open}}}}}", Verdict.FINDING),
        ("devices: {precharge_relay: {contacts: {power: {when_healthy: {precharging: open}}}}}", Verdict.FINDING),
        ("devices: {air_minus: {contacts: {main: {when_healthy: unknown}}}}", Verdict.NOT_EVALUATED),
        ("tractive_system: {accumulators: {main: {contactors: {negative: null}}}}", Verdict.NOT_EVALUATED),
    ],
)
def test_one_contactor_and_the_relay_are_closed_while_charging(patch: str, verdict: Verdict) -> None:
    assert verdict in verdicts("precharge-order", patch)
    assert (verdict is Verdict.FINDING) == (Verdict.FINDING in verdicts("precharge-order", patch))


def test_a_level_that_is_never_reached_is_said_in_words() -> None:
    (result,) = said("precharge-never-ends", precharge("load_current: 40 mA"))
    assert result.outcome.was.startswith("the level at which the second contactor of main closes is never reached: fraction is 0.9")
    assert result.is_finding


@pytest.mark.parametrize(
    ("through", "verdict"),
    [
        ("discharge_relay.power", Verdict.HOLDS), ("discharge_relay", Verdict.HOLDS), ('"nothing, connected for good"', Verdict.STATED),
        ("discharge_relay.other", Verdict.FINDING), ("K17", Verdict.FINDING), ("two depletion transistors on the inverter board", Verdict.NOT_EVALUATED),
        ("unknown", Verdict.NOT_EVALUATED), ("null", Verdict.FINDING),
    ],
)  # fmt: skip
def test_what_switches_the_discharge_is_read_from_its_words(through: str, verdict: Verdict) -> None:
    assert verdicts("discharge-needs-supply", discharge(f"through: {through}")) == [verdict]


@pytest.mark.parametrize(
    ("patch", "verdict"),
    [
        ("tractive_system: {inverters: {inverter: {discharge: null}}}", [Verdict.FINDING]),
        ("tractive_system: {inverters: {inverter: {discharge: unknown}}}", [Verdict.NOT_EVALUATED]),
        ("tractive_system: {inverters: {front: {capacitance: 100 µF}}}", [Verdict.STATED, Verdict.HOLDS]),
        ("tractive_system: {inverters: null}", [Verdict.NOT_APPLICABLE]),
        ("tractive_system: {voltage: {highest: 58.8 V}, inverters: {inverter: {discharge: null}}}", [Verdict.NOT_APPLICABLE]),
    ],
)
def test_an_inverter_without_a_discharge(patch: str, verdict: list[Verdict]) -> None:
    assert sorted(verdicts("discharge-needs-supply", patch)) == sorted(verdict)


LOOP = """
loops:
  drive:
    path: [fuse F1, lv_master, bspd, ams, imd, inertia_switch, button_left, button_right, button_cockpit, over_travel_switch, service_link,
           {any_of: [[start_button], [hold_relay.hold]]}, ts_master, pack_link, {each_to_return: [BRANCHES]}]
"""
CONTACTORS = "[coil air_minus], [precharge_unit.running, coil precharge_relay], [precharge_unit.done, coil air_plus], [coil hold_relay]"


@pytest.mark.parametrize(
    ("patch", "verdict"),
    [
        (LOOP.replace("BRANCHES", f"[coil discharge_relay], {CONTACTORS}"), Verdict.HOLDS),
        (LOOP.replace("BRANCHES", CONTACTORS), Verdict.FINDING),
        (LOOP.replace("BRANCHES", CONTACTORS).replace("bspd, ams,", "{each_to_return: [[coil discharge_relay]]}, bspd, ams,"), Verdict.FINDING),
        (LOOP.replace("BRANCHES", f"[precharge_unit.running, coil discharge_relay], {CONTACTORS}"), Verdict.HOLDS),
        ("devices: {discharge_relay: {worked_by: power}}", Verdict.FINDING),
        ("loops: {drive: null}", Verdict.NOT_EVALUATED),
        (discharge("through: nothing"), Verdict.NOT_APPLICABLE),
    ],
)
def test_the_loop_itself_releases_the_discharge(patch: str, verdict: Verdict) -> None:
    assert verdicts("discharge-not-released-by-loop", patch) == [verdict]


def test_a_coil_before_other_members_names_what_it_stays_energised_after() -> None:
    early = LOOP.replace("BRANCHES", CONTACTORS).replace("ts_master, pack_link", "ts_master, {each_to_return: [[coil discharge_relay]]}, pack_link")
    (result,) = said("discharge-not-released-by-loop", early)
    assert result.outcome.was == "discharge_relay stays energised when pack_link opens"
    assert result.outcome.path[:3] == ("loops", "drive", "path")


@pytest.mark.parametrize(
    ("delay", "verdict"),
    [
        ("{time: 200 ms}", Verdict.AT_CAR), ("{resistor: 10 kΩ, capacitor: 22 µF, trips_at: 60 %}", Verdict.STATED),
        ("{resistor: 100 Ω, capacitor: 2.2 mF}", Verdict.FINDING), ("unknown", Verdict.NOT_EVALUATED), ("null", Verdict.NOT_APPLICABLE),
    ],
)  # fmt: skip
def test_a_delayed_contactor_is_cut_at_once(delay: str, verdict: Verdict) -> None:
    assert verdicts("contactor-supply-sags", f"devices: {{air_plus: {{delay: {delay}}}}}") == [verdict]


def test_the_message_of_a_slow_discharge_gives_worst_value_and_limit() -> None:
    (result,) = said("discharge-too-slow", discharge("resistor: 6.8 kΩ ± 5 %"))
    assert "6.544 s" in result.outcome.was and "inverter" in result.outcome.was
    assert result.outcome.must == "must be below 5 s"
    assert result.citation is not None and result.citation.clause == "EV6.1.5"
