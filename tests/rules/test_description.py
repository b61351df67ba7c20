"""Names, signals, datasheets and revisions of a description."""

import pytest
from conftest import edited

from docgen.check import check
from docgen.editions import edition
from docgen.finding import Outcome, Rule, Verdict
from docgen.provenance import spelled
from docgen.rules.datasheets import datasheet_contradicts
from docgen.rules.description import (
    name_not_described,
    names_nearly_same,
    open_point,
    part_unused,
    revision_date_falls,
    revision_mark_reused,
    revision_unsigned,
)
from docgen.rules.signals import signal_failure_mode_missing, signal_failure_not_safe, signal_missing


def outcomes(rule: Rule, patch: str) -> list[Outcome]:
    return [result.outcome for result in check(edited(patch), edition("fsuk-2026"), (rule,)).results]


def found(rule: Rule, patch: str) -> list[str]:
    """The fields at which a rule finds something."""
    return [spelled(outcome.path) for outcome in outcomes(rule, patch) if outcome.verdict is Verdict.FINDING]


def modes(kind: str, *words: str) -> str:
    return f"signals: {{front_pressure: {{kind: {kind}, failure_modes: [{', '.join(f'{{mode: {word!r}}}' for word in words)}]}}}}"


@pytest.mark.parametrize("opened", ["open line", "wire broken", "Line cut at the sensor", "unplugged", "interrupted wire"])
@pytest.mark.parametrize("grounded", ["short to ground", "shorted to GND", "short-circuit to chassis", "short against 0 V"])
@pytest.mark.parametrize("supplied", ["short to supply", "shorted to 5 V", "short to +12 V", "short to battery plus"])
def test_failures_of_a_line_are_recognised_in_many_words(opened: str, grounded: str, supplied: str) -> None:
    assert found(signal_failure_mode_missing, modes("analogue", opened, grounded, supplied)) == []


@pytest.mark.parametrize(
    ("words", "missing"),
    [
        (("open line", "short to ground"), "a short to supply"),
        (("open line", "short to supply"), "a short to ground"),
        (("short to ground", "short to supply"), "an open line"),
        (("open line", "short between the two"), "a short to ground and a short to supply"),
    ],
)
def test_the_failure_that_is_not_listed_is_named(words: tuple[str, ...], missing: str) -> None:
    wrong = [outcome for outcome in outcomes(signal_failure_mode_missing, modes("analogue", *words)) if outcome.verdict is Verdict.FINDING]
    assert [outcome.was for outcome in wrong] == [f"the signal front_pressure (analogue) lists no failure mode for {missing}"]


def test_a_message_fails_in_other_ways_than_a_line() -> None:
    assert found(signal_failure_mode_missing, modes("radio", "message corrupted", "link lost", "message too late")) == []
    assert found(signal_failure_mode_missing, modes("radio", "open line", "short to ground")) == ["signals.front_pressure.failure_modes"]


@pytest.mark.parametrize(("influences", "wrong"), [("lamp of the monitor", False), ("drive loop", True), ("drive loop and lamp", True), ("torque", True)])
def test_a_failure_that_changes_nothing_may_stand_for_a_lamp_alone(influences: str, wrong: bool) -> None:
    patch = f"signals: {{front_pressure: {{influences: {influences}, failure_modes: [{{mode: open line, does: stays}}]}}}}"
    assert bool(found(signal_failure_not_safe, patch)) is wrong


@pytest.mark.parametrize("end", ["bspd", "BSPD board", "brake plausibility device", "input of the bspd"])
def test_a_signal_belongs_to_the_device_that_its_ends_name(end: str) -> None:
    assert found(signal_missing, f"signals: {{front_pressure: null, p1: {{start: pressure sensor, end: {end}}}}}") == []


def test_a_signal_named_like_a_sensor_belongs_to_its_device() -> None:
    assert found(signal_missing, "signals: {front_pressure: {start: sensor, end: comparator}}") == []
    assert found(signal_missing, "signals: {front_pressure: null, dc_current: null}") == ["devices.bspd"]


@pytest.mark.parametrize(
    ("quoted", "stated", "wrong"),
    [("36 Ω", "36 Ω ± 10 %", False), ("36 Ω ± 10 %", "33 Ω", False), ("36 Ω ± 10 %", "32 Ω", True), ("38 Ω", "36 Ω", True)],
)
def test_a_value_agrees_with_its_datasheet_when_the_tolerances_meet(quoted: str, stated: str, wrong: bool) -> None:
    patch = f"evidence: {{ds_r: {{says: {{values: {{resistance: {quoted}}}}}}}}}\ndevices: {{hold_relay: {{coil: {{resistance: {stated}}}, contacts: {{hold: {{resistance: null}}}}, datasheet: ds_r}}}}"
    assert found(datasheet_contradicts, patch) == (["devices.hold_relay.coil.resistance"] if wrong else [])


def test_a_value_that_stands_for_two_parts_agrees_with_one_of_them() -> None:
    patch = "evidence: {ds_r: {says: {values: {resistance: 96 Ω}}}}\ndevices: {hold_relay: {coil: {resistance: 96 Ω}, contacts: {hold: {resistance: 20 mΩ}}, datasheet: ds_r}}"
    assert found(datasheet_contradicts, patch) == []


@pytest.mark.parametrize(
    ("quoted", "wrong"),
    [("[30 V DC, 8 A]", []), ("[24 V DC, 5 A]", []), ("[30 V DC, 4 A]", ["contact.rating[1]"]), ("[12 V DC, 8 A]", ["contact.rating[0]"]), ("[250 V AC, 8 A]", ["contact.rating[0]"])],
)
def test_a_rating_keeps_that_of_the_datasheet_and_direct_current_is_not_alternating(quoted: str, wrong: list[str]) -> None:
    patch = f"evidence: {{ds_k: {{says: {{rating: {quoted}}}}}}}\ndevices: {{start_button: {{contact: {{rating: [24 V DC, 5 A]}}, datasheet: ds_k}}}}"
    assert found(datasheet_contradicts, patch) == [f"devices.start_button.{field}" for field in wrong]


def test_a_plug_carries_no_more_than_its_datasheet_says() -> None:
    patch = "evidence: {ds_plug: {says: {rating: [600 V DC, 150 A]}}}\ntractive_system: {connectors: {pack_outlet: {current_rating: %s, datasheet: ds_plug}}}"
    assert found(datasheet_contradicts, patch % "200 A") == ["tractive_system.connectors.pack_outlet.current_rating"]
    assert found(datasheet_contradicts, patch % "150 A") == []


def test_a_fuse_has_the_rating_of_its_datasheet_and_no_smaller_one() -> None:
    patch = "evidence: {ds_f: {says: {rating: [32 V DC, 10 A]}}}\nlow_voltage: {fuses: {F1: {datasheet: ds_f}}}"
    assert found(datasheet_contradicts, patch) == ["low_voltage.fuses.F1.rating"]


@pytest.mark.parametrize(
    ("patch", "field"),
    [
        ("devices: {imd: {feed: monitor_feeed}}", "devices.imd.feed"),
        ("devices: {imd: {through: [X9.1]}}", "devices.imd.through[0]"),
        ("devices: {imd: {contact: {datasheet: ds_k1}}}", "devices.imd.contact.datasheet"),
        ("low_voltage: {feeds: {monitor_feed: {through: F9}}}", "low_voltage.feeds.monitor_feed.through"),
        ("low_voltage: {feeds: {monitor_feed: {from: lv_mastr}}}", "low_voltage.feeds.monitor_feed.from"),
        ("demand: {pedal_sensors: {apps_1: {feed: apps_feed}}}", "demand.pedal_sensors.apps_1.feed"),
        ("wiring: {conductors: {w: {conduit: left}}}", "wiring.conductors.w.conduit"),
        ("devices: {air_plus: {contacts: {auxiliary: {at_rest: closed, when_healthy: same as mian}}}}", "devices.air_plus.contacts.auxiliary.when_healthy"),
    ],
)
def test_a_name_that_leads_nowhere_is_found_where_it_stands(patch: str, field: str) -> None:
    assert found(name_not_described, patch) == [field]


def test_an_open_point_is_listed_where_it_stands_in_a_list_too() -> None:
    points = "devices: {inertia_switch: {trips: [{at: 7 g, pulse: 50 ms}, {at: unknown, pulse: 20 ms}]}, imd: {feed: unknown}}"
    assert found(open_point, points) == ["devices.imd.feed", "devices.inertia_switch.trips[1].at"]


def test_an_unknown_name_is_an_open_point_and_no_wrong_name() -> None:
    assert found(name_not_described, "devices: {imd: {feed: unknown (asked the supplier), board: unknown}}") == []


def test_a_part_that_only_a_remark_names_is_unused() -> None:
    assert found(part_unused, "housings: {pack: {protection: IP65}}\ndevices: {imd: {note: sits in pack}}") == ["housings.pack"]
    assert found(part_unused, "housings: {pack: {material: steel pack}}\ndevices: {imd: {housing: pack}}") == []


def test_a_part_that_only_names_itself_is_unused_and_one_that_its_like_names_is_used() -> None:
    assert found(part_unused, "boards: {spare_board: {made_by: team, also_does: what spare_board did before}}") == ["boards.spare_board"]
    assert found(part_unused, "low_voltage: {feeds: {bus: {from: lv_master}, monitor_feed: {from: bus}}}") == []
    assert found(part_unused, "low_voltage: {feeds: {bus: {from: lv_master, note: bus of revision B, voltage: 5 V, converted_by: bus}}}") == ["low_voltage.feeds.bus"]


def test_the_place_of_a_sensor_is_spelled_like_any_other() -> None:
    places = "devices: {imd: {place: {where: inverter-housing}}, bspd: {sensors: {dc_current: {place: {where: inverter housing}}}}}"
    assert found(names_nearly_same, places) == ["devices.imd.place.where"]


def test_a_spelling_is_found_once_however_often_it_stands() -> None:
    places = ", ".join(f"{name}: {{place: {{where: {where}}}}}" for name, where in (("imd", "front box"), ("ams", "Front-Box"), ("pack_link", "front box"), ("service_link", "rear box")))
    assert len(found(names_nearly_same, f"devices: {{{places}}}")) == 1
    assert found(names_nearly_same, "boards: {BSPD-board: {also_does: nothing}}") == ["boards.BSPD-board"]


def test_places_of_the_same_words_in_another_order_are_other_places() -> None:
    assert found(names_nearly_same, "devices: {imd: {place: {where: front of the rear box}}, ams: {place: {where: rear of the front box}}}") == []


def test_marks_differ_by_more_than_a_capital_letter() -> None:
    assert found(revision_mark_reused, "revisions: [{mark: a, date: 2026-10-20}, {mark: B, date: 2026-10-12}, {mark: A, date: 2026-10-02}]") == ["revisions[0].mark"]


def test_two_revisions_of_one_day_are_no_mistake_and_one_of_the_day_before_is() -> None:
    assert found(revision_date_falls, "revisions: [{mark: B, date: 2026-10-02}, {mark: A, date: 2026-10-02}]") == []
    assert found(revision_date_falls, "revisions: [{mark: C, date: 2026-10-03}, {mark: B, date: 2026-10-01}, {mark: A, date: 2026-10-02}]") == ["revisions[1].date"]


def test_a_draft_need_not_be_checked_yet() -> None:
    assert found(revision_unsigned, "revisions: [{mark: A, status: draft, prepared_by: lead}]") == []
    assert found(revision_unsigned, "revisions: [{mark: A, status: in review, prepared_by: lead}]") == ["revisions[0].checked_by"]
