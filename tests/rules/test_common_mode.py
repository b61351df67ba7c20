"""What two protections may share, and what not."""

import pytest
from conftest import edited

from docgen.check import check
from docgen.editions import edition
from docgen.finding import Outcome, Rule, Verdict
from docgen.provenance import spelled
from docgen.rules.common_mode import (
    board_shared,
    conduit_mixes_systems,
    feed_shared,
    pedal_sensors_share_ground,
    pedal_sensors_share_line,
    pedal_sensors_share_supply,
    plausibility_board_shared,
    plausibility_feed_indirect,
    plausibility_in_container,
)


def outcomes(rule: Rule, patch: str, identifier: str = "fsuk-2026") -> list[Outcome]:
    return [result.outcome for result in check(edited(patch), edition(identifier), (rule,)).results]


def found(rule: Rule, patch: str, identifier: str = "fsuk-2026") -> list[str]:
    """The fields at which a rule finds something."""
    return [spelled(outcome.path) for outcome in outcomes(rule, patch, identifier) if outcome.verdict is Verdict.FINDING]


def test_systems_may_hang_on_what_feeds_the_loop_itself() -> None:
    assert found(feed_shared, "devices: {ams: {feed: loop_feed}, imd: {feed: loop_feed}}\nloops: {drive: {source: loop_feed}}\nlow_voltage: {feeds: {loop_feed: {from: lv_master}}}") == []


def test_two_feeds_behind_one_fuse_are_one_feed() -> None:
    fuse = "{rating: 2 A, voltage: 32 V DC, breaking_capacity: 1 kA}"
    feeds = "{bus: {from: lv_master, through: F2}, cells_feed: {from: bus, through: null}, monitor_feed: {from: bus, through: null}}"
    assert found(feed_shared, f"low_voltage: {{fuses: {{F2: {fuse}}}, feeds: {feeds}}}") == ["devices.imd.feed"]


def test_a_main_fuse_at_the_source_is_nobodys_common_feed() -> None:
    feeds = "{bus: {from: low_voltage, through: F0}, cells_feed: {from: bus}, monitor_feed: {from: bus}}"
    assert found(feed_shared, f"low_voltage: {{fuses: {{F0: {{rating: 25 A}}}}, feeds: {feeds}}}") == []


def test_two_battery_managements_may_share_a_feed_with_each_other_but_not_with_the_monitor() -> None:
    second = "devices: {ams_2: {function: AMS, worked_by: power, feed: cells_feed}"
    assert found(feed_shared, second + "}") == []
    assert found(feed_shared, second + ", imd: {feed: cells_feed}}") == ["devices.imd.feed"]


@pytest.mark.parametrize(
    ("patch", "fields"),
    [
        ("{charger_button: {function: charger button, worked_by: power, feed: monitor_feed}}", ["devices.charger_button.feed"]),
        ("{charger_button: {function: charger button, worked_by: hand, feed: monitor_feed}}", []),
        ("{imd: {feed: cells_feed, worked_by: coil}}", ["devices.imd.feed"]),
    ],
)
def test_whatever_needs_power_to_protect_has_a_feed_of_its_own(patch: str, fields: list[str]) -> None:
    assert found(feed_shared, f"devices: {patch}") == fields


def test_one_feed_for_two_systems_is_shared_even_where_it_is_not_described() -> None:
    assert found(feed_shared, "devices: {ams: {feed: somewhere}, imd: {feed: somewhere}}") == ["devices.imd.feed"]
    assert found(feed_shared, "devices: {ams: {feed: somewhere}, imd: {feed: elsewhere}}") == []


def test_a_plausibility_device_without_a_feed_is_asked_for_it_once() -> None:
    nameless = "devices: {bspd: {feed: null}}"
    assert (found(feed_shared, nameless), found(plausibility_feed_indirect, nameless)) == ([], ["devices.bspd.feed"])
    assert found(feed_shared, nameless, "fs-2025") == ["devices.bspd.feed"]


def test_feeds_in_a_circle_do_not_hang_the_rule() -> None:
    feeds = "{cells_feed: {from: monitor_feed}, monitor_feed: {from: cells_feed}, bspd_feed: {from: bspd_feed}}"
    patch = f"low_voltage: {{feeds: {feeds}}}"
    assert found(plausibility_feed_indirect, patch) == []
    assert Verdict.NOT_EVALUATED in {outcome.verdict for outcome in outcomes(plausibility_feed_indirect, patch)}
    assert found(feed_shared, patch) == []


def test_a_shared_housing_is_listed_and_not_found() -> None:
    listed = outcomes(board_shared, "devices: {ams: {housing: pack}, imd: {housing: pack, through: [X3.1]}}\nhousings: {pack: {protection: IP65}}")
    assert [outcome.was for outcome in listed if "common cause" in outcome.was] == ["a common cause to weigh: ams and imd share the housing pack"]
    assert all(outcome.verdict is not Verdict.FINDING for outcome in listed)


def test_boards_in_one_housing_are_listed_too() -> None:
    boards = "boards: {one: {housing: pack}, other: {housing: pack}}\nhousings: {pack: {protection: IP65}}"
    listed = outcomes(board_shared, f"devices: {{ams: {{board: one}}, imd: {{board: other}}}}\n{boards}")
    assert [outcome.was for outcome in listed if "common cause" in outcome.was] == ["a common cause to weigh: ams and imd share the housing pack"]


@pytest.mark.parametrize("board", ["null", "unknown"])
def test_each_of_two_plausibility_devices_is_asked_for_its_board(board: str) -> None:
    second = "{function: BSPD, worked_by: power, board: bspd_board}"
    judged = outcomes(plausibility_board_shared, f"devices: {{bspd: {{board: {board}}}, bspd_2: {second}}}\nboards: {{bspd_board: {{also_does: brake light}}}}")
    assert [spelled(outcome.path) for outcome in judged] == ["devices.bspd.board", "boards.bspd_board.also_does"]


def test_the_board_of_the_plausibility_device_is_judged_by_its_own_clause_where_there_is_one() -> None:
    shared = "devices: {imd: {board: bspd_board}}"
    assert found(plausibility_board_shared, shared) == ["devices.bspd.board"]
    assert found(board_shared, shared) == []
    assert found(board_shared, shared, "fsae-2026") == ["devices.imd.board"]


def test_the_relay_that_latches_the_plausibility_device_belongs_to_its_board() -> None:
    assert found(plausibility_board_shared, "devices: {bspd_latch: {function: latch relay, board: bspd_board}}") == []


@pytest.mark.parametrize(("said", "wrong"), [("nothing", False), ("nothing else", False), ("none", False), ("brake light", True), ("nothing but the brake light", True)])
def test_what_else_a_board_does_is_read_from_a_short_answer(said: str, wrong: bool) -> None:
    assert bool(found(plausibility_board_shared, f"boards: {{bspd_board: {{also_does: {said}}}}}")) is wrong


def test_a_supply_made_on_its_own_board_is_straight() -> None:
    assert found(plausibility_feed_indirect, "low_voltage: {feeds: {bspd_feed: {voltage: 5 V, converted_by: bspd_board}}}") == []


@pytest.mark.parametrize(
    ("where", "inside"),
    [
        ("accumulator container main", True),
        ("inside the accumulator container", True),
        ("left accumulator box", True),
        ("behind the accumulator container", False),
        ("accumulator container lid, outside", False),
        ("low-voltage battery box", False),
        ("dashboard", False),
    ],
)
def test_a_place_in_the_container_is_told_from_one_beside_it(where: str, inside: bool) -> None:
    assert found(plausibility_in_container, f"devices: {{bspd: {{place: {{where: '{where}'}}}}}}") == (["devices.bspd.place.where"] if inside else [])


def test_the_place_of_the_board_counts_as_that_of_the_device() -> None:
    boards = "boards: {bspd_board: {place: {where: accumulator container main}}}"
    assert found(plausibility_in_container, boards) == ["boards.bspd_board.place.where"]
    beside = [spelled(outcome.path) for outcome in outcomes(plausibility_in_container, boards.replace("accumulator container main", "behind the seat"))]
    assert "devices.bspd.place" in beside and "boards.bspd_board.place" not in beside


def test_a_housing_in_which_a_contactor_sits_is_the_container() -> None:
    patch = "devices: {bspd: {housing: pack}, air_plus: {housing: pack}}\nhousings: {pack: {protection: IP65}}"
    assert found(plausibility_in_container, patch) == ["devices.bspd.housing"]


def test_interlock_lines_may_lie_beside_tractive_ones_and_low_voltage_lines_beside_each_other() -> None:
    lines = "{a: {system: tractive, conduit: c}, b: {system: interlock, conduit: c}, d: {system: low voltage, conduit: e}, f: {system: interlock, conduit: e}}"
    assert found(conduit_mixes_systems, f"wiring: {{conductors: {lines}}}") == []
    assert found(conduit_mixes_systems, "wiring: {conductors: {a: {system: tractive}, d: {system: low voltage}}, conduits: {c: {carries: [a, pack_link, d]}}}") == ["wiring.conduits.c.carries[2]"]


def test_a_line_of_a_conduit_that_is_not_described_is_not_judged() -> None:
    judged = outcomes(conduit_mixes_systems, "wiring: {conductors: {a: {system: tractive}}, conduits: {c: {carries: [a, motor cable left]}}}")
    assert [outcome.verdict for outcome in judged] == [Verdict.NOT_EVALUATED]


def test_two_outputs_of_one_controller_are_two_supplies_and_one_output_split_is_one() -> None:
    assert found(pedal_sensors_share_supply, "demand: {springs: 2}") == []
    split = "low_voltage: {feeds: {five: {from: lv_master, voltage: 5 V, converted_by: vehicle_controller}, apps_1_feed: {from: five, voltage: null, converted_by: null, through: null}, apps_2_feed: {from: five, voltage: null, converted_by: null, through: null}}}"
    assert found(pedal_sensors_share_supply, split) == ["demand.pedal_sensors.apps_2.feed"]


@pytest.mark.parametrize(("text", "same"), [("X5.1-3", True), ("X5.3-5", False), ("X5.4-6", False), ("X5.1, X5.2, X5.3", True), ("a six-pole plug", False)])
def test_the_same_positions_are_the_same_lines_however_they_are_written(text: str, same: bool) -> None:
    assert bool(found(pedal_sensors_share_line, f"demand: {{pedal_sensors: {{apps_2: {{connector: '{text}'}}}}}}")) is same


@pytest.mark.parametrize(
    ("first", "second", "shared"),
    [
        ("own line to the controller", "own line to the controller", False),
        ("splice G4", "splice G4", True),
        ("splice G4", "splice G5", False),
        ("splice G4", "common with apps_1", True),
        ("pin 3", "pin 9, not shared", False),
    ],
)
def test_a_ground_is_shared_when_it_is_the_same_or_said_to_be(first: str, second: str, shared: bool) -> None:
    assert bool(found(pedal_sensors_share_ground, f"demand: {{pedal_sensors: {{apps_1: {{ground: {first}}}, apps_2: {{ground: '{second}'}}}}}}")) is shared
