"""What stands in a loop, what protects it, what opens it and what brings it back: sound builds that are no finding, and near misses that are."""

import json

import pytest
from conftest import edited

from docgen.check import check
from docgen.editions import edition
from docgen.finding import Outcome, Rule, Verdict
from docgen.provenance import spelled
from docgen.rules.activation import activation_missing, activation_survives_opening, start_button_stays_closed
from docgen.rules.contacts import (
    contact_described_differently,
    contact_text_contradicts_states,
    loop_conducts_when_it_must_not,
    loop_does_not_conduct,
)
from docgen.rules.latches import (
    button_not_latched,
    latch_forgets,
    latch_missing,
    plausibility_reset_not_stated,
    plausibility_reset_way,
    plausibility_self_reset_too_early,
    reset_by_loop_switch,
    reset_within_reach,
)
from docgen.rules.members import (
    charging_lead_interlock_missing,
    charging_member_missing,
    contactor_not_make,
    contactor_not_mechanical,
    loop_device_not_described,
    lv_master_not_first,
    member_missing,
    precharge_coil_outside_loop,
    protective_device_in_no_loop,
    protective_device_not_in_drive_loop,
    ts_master_not_last,
)
from docgen.rules.protection import (
    fuse_above_conductor,
    fuse_above_connector,
    fuse_voltage_too_low,
    lv_source_unprotected,
    source_fuse_too_far,
)
from docgen.rules.stages import (
    controller_without_stage,
    latch_shared,
    relay_shared,
    stage_can_feed_loop,
    stage_on_direct_contact,
    stage_programmable,
    stage_shared,
)


def outcomes(rule: Rule, patch: str, identifier: str = "fsuk-2026") -> list[Outcome]:
    return [result.outcome for result in check(edited(patch), edition(identifier), (rule,)).results]


def found(rule: Rule, patch: str, identifier: str = "fsuk-2026") -> list[str]:
    """The fields at which a rule finds something."""
    return [spelled(outcome.path) for outcome in outcomes(rule, patch, identifier) if outcome.verdict is Verdict.FINDING]


def verdicts(rule: Rule, patch: str, identifier: str = "fsuk-2026") -> set[Verdict]:
    return {outcome.verdict for outcome in outcomes(rule, patch, identifier)}


MEMBERS = [
    "lv_master", "bspd", "ams", "imd", "inertia_switch", "button_left", "button_right", "button_cockpit", "over_travel_switch", "service_link", "pack_link",
]  # fmt: skip
START = {"any_of": [["start_button"], ["hold_relay.hold"]]}
COILS = [["coil air_minus"], ["precharge_unit.running", "coil precharge_relay"], ["precharge_unit.done", "coil air_plus"]]
HOLD = ["coil hold_relay"]


def drive(*path: object) -> str:
    """A patch with this path of the drive loop."""
    return json.dumps({"loops": {"drive": {"path": path}}})


# members and order


def test_a_switch_inside_the_battery_may_stand_before_the_lv_master_and_the_fuse() -> None:
    path = drive("battery_switch", "fuse F1", *MEMBERS, START, "ts_master", {"each_to_return": [*COILS, HOLD]})
    patch = path[:-1] + ', "devices": {"battery_switch": {"function": "other", "contact": {"at_rest": "open", "when_healthy": "closed"}}}}'
    assert found(lv_master_not_first, patch) == []
    assert found(lv_source_unprotected, patch) == []


def test_the_lv_master_reports_once_however_many_stand_before_it() -> None:
    path = drive("fuse F1", *MEMBERS[1:], "lv_master", START, "ts_master", {"each_to_return": [*COILS, HOLD]})
    assert found(lv_master_not_first, path) == ["loops.drive.path[11]"]


def test_a_function_that_is_unknown_is_no_finding() -> None:
    assert found(member_missing, "devices: {imd: {function: unknown}}") == []
    assert found(ts_master_not_last, "devices: {pack_link: {function: unknown}}") == []


def test_a_precharge_relay_of_the_charging_cart_needs_no_place_in_the_drive_loop() -> None:
    patch = """
        devices: {cart_relay: {function: pre-charge relay, worked_by: coil}}
        loops: {charging: {path: [fuse F1, ams, imd, coil cart_relay], return: [chassis]}}
    """
    assert found(precharge_coil_outside_loop, patch) == []
    assert found(precharge_coil_outside_loop, "devices: {cart_relay: {function: pre-charge relay, worked_by: coil}}") == ["devices.cart_relay"]


def test_a_monitor_that_the_charging_current_can_pass_by_is_found_where_it_stands() -> None:
    path = "[fuse F1, charger_button, {any_of: [[imd], [pack_link]]}, ams, {each_to_return: [[coil air_minus], [coil air_plus]]}]"
    patch = f"""
        devices: {{charger_button: {{function: charger button, worked_by: hand, contact: {{at_rest: closed, when_healthy: closed}}}}}}
        loops: {{charging: {{path: {path}, return: [chassis]}}}}
    """
    assert found(charging_member_missing, patch) == ["loops.charging.path[2].any_of[0][0]"]


@pytest.mark.parametrize("member", [*(member for member in MEMBERS if member != "pack_link"), "ts_master"])
def test_a_loop_without_one_of_its_members_is_found(member: str) -> None:
    path = ["fuse F1", *MEMBERS, START, "ts_master", {"each_to_return": [*COILS, HOLD]}]
    assert found(member_missing, drive(*(step for step in path if step != member))) == ["loops.drive"]


def test_a_member_that_stands_several_times_is_told_at_its_first_place() -> None:
    buttons = [spelled(outcome.path) for outcome in outcomes(member_missing, "{}") if "shutdown button" in outcome.was]
    assert buttons == ["loops.drive.path[6]"]


def test_a_device_stands_in_the_loop_for_each_of_its_corners() -> None:
    path = ["fuse F1", *MEMBERS[:-1], START, "ts_master", "pack_link left", {"each_to_return": [*COILS, HOLD]}]
    patch = json.loads(drive(*path)) | {"devices": {"pack_link": {"each": ["left", "right"]}}}
    judged = [outcome for outcome in outcomes(protective_device_in_no_loop, json.dumps(patch)) if outcome.path == ("devices", "pack_link")]
    assert [outcome.was for outcome in judged] == ["pack_link (interlock) stands in a loop, but not for right"]
    assert found(protective_device_in_no_loop, "devices: {pack_link: {each: [left, right]}}") == []
    assert found(loop_device_not_described, "devices: {pack_link: {each: [left, right]}}") == ["loops.drive.path[13]"]


def test_of_two_lv_masters_the_first_counts() -> None:
    path = drive("fuse F1", "lv_master", "bspd", "second_master", *MEMBERS[2:], START, "ts_master", {"each_to_return": [*COILS, HOLD]})
    second = '{"function": "LVMS", "worked_by": "hand", "contact": {"at_rest": "open", "when_healthy": "closed"}}'
    assert found(lv_master_not_first, path[:-1] + f', "devices": {{"second_master": {second}}}}}') == []


def test_an_early_member_is_named_and_more_are_counted() -> None:
    one = drive("fuse F1", "bspd", "lv_master", *MEMBERS[2:], START, "ts_master", {"each_to_return": [*COILS, HOLD]})
    three = drive("fuse F1", "bspd", "ams", "imd", "lv_master", *MEMBERS[4:], START, "ts_master", {"each_to_return": [*COILS, HOLD]})
    assert [outcome.was for outcome in outcomes(lv_master_not_first, one)] == ["bspd stands before lv_master (LVMS)"]
    assert [outcome.was for outcome in outcomes(lv_master_not_first, three)] == ["bspd and 2 more stand before lv_master (LVMS)"]


def test_an_activation_behind_the_ts_master_is_a_question_for_the_event() -> None:
    path = drive("fuse F1", *MEMBERS[:-2], "ts_master", START, "inertia_switch", "pack_link", {"each_to_return": [*COILS, HOLD]})
    judged = {outcome.was.partition(" ")[0]: outcome.must for outcome in outcomes(ts_master_not_last, path)}
    assert judged == {
        "start_button": "must stand before it, unless the event agrees: ask", "hold_relay": "must stand before it, unless the event agrees: ask", "inertia_switch": "must stand before it",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("driverless", "fields"),
    [("{off: open, precharging: closed, active: open}", []), ("closed", ["loops.drive.path[14].each_to_return[2][0]"])],
)
def test_a_controller_behind_the_ts_master_belongs_to_the_precharge_when_it_changes_with_the_phase_in_every_mode(driverless: str, fields: list[str]) -> None:
    states = f"{{off: null, precharging: null, active: null, manual: {{off: open, precharging: closed, active: open}}, driverless: {driverless}}}"
    assert found(ts_master_not_last, f"car: {{modes: [manual, driverless]}}\ndevices: {{precharge_unit: {{contacts: {{running: {{when_healthy: {states}}}}}}}}}") == fields


def test_a_contactor_counts_by_its_place_in_the_accumulator_too() -> None:
    assert found(contactor_not_make, "devices: {air_plus: {function: other, contacts: {main: {at_rest: closed}}}}") == ["devices.air_plus.contacts.main.at_rest"]


def test_each_contactor_is_judged_by_itself() -> None:
    patch = "devices: {air_plus: {contacts: null}, air_minus: {contacts: {main: {at_rest: closed, construction: solid state}}}}"
    assert found(contactor_not_make, patch) == ["devices.air_minus.contacts.main.at_rest"]
    assert found(contactor_not_mechanical, patch) == ["devices.air_minus.contacts.main.construction"]


@pytest.mark.parametrize(
    ("path", "verdict", "field"),
    [
        ("[fuse F1, ams, pack_link, coil air_plus]", Verdict.HOLDS, "loops.charging.path[2]"),
        ("[fuse F1, ams, coil air_plus]", Verdict.FINDING, "loops.charging"),
        ("[fuse F1, ams, {any_of: [[pack_link], [imd]]}, coil air_plus]", Verdict.FINDING, "loops.charging"),
    ],
)
def test_without_a_description_of_the_charger_an_interlock_stands_in_the_charging_loop(path: str, verdict: Verdict, field: str) -> None:
    judged = outcomes(charging_lead_interlock_missing, f"loops: {{charging: {{path: {path}, return: [chassis]}}}}")
    assert [(outcome.verdict, spelled(outcome.path)) for outcome in judged] == [(verdict, field)]


# the act apart from closing the loop


def test_a_controller_that_waits_for_the_driver_is_taken_at_its_word() -> None:
    path = drive("fuse F1", *MEMBERS, "unit.enable", "ts_master", {"each_to_return": COILS})
    states = '{"at_rest": "open", "when_healthy": {"off": "open", "precharging": "closed", "active": "closed"}}'
    patch = path[:-1] + f', "devices": {{"unit": {{"function": "controller", "worked_by": "power", "contacts": {{"enable": {states}}}}}}}}}'
    assert verdicts(activation_missing, patch) == {Verdict.STATED}


def test_precharge_circuitry_alone_is_no_act() -> None:
    path = drive("fuse F1", *MEMBERS, "ts_master", {"each_to_return": COILS})
    assert found(activation_missing, path) == ["loops.drive.path"]


def test_wrong_states_of_the_holding_relay_are_left_to_the_rule_on_conduction() -> None:
    assert found(activation_missing, "devices: {hold_relay: {contacts: {hold: {when_healthy: closed}}}}") == []


def test_the_holding_relay_drops_with_an_interlock_behind_the_ts_master_too() -> None:
    before = drive("fuse F1", *MEMBERS[:-1], START, "ts_master", {"each_to_return": [HOLD]}, "pack_link", {"each_to_return": COILS})
    behind = drive("fuse F1", *MEMBERS[:-1], START, "ts_master", "pack_link", {"each_to_return": [HOLD, *COILS]})
    dropped = "so that closing it again activates"
    assert [outcome.was for outcome in outcomes(activation_survives_opening, before)] == [f"opening pack_link (interlock) does not drop hold_relay, {dropped}"]
    assert found(activation_survives_opening, before) == ["loops.drive.path[13].each_to_return[0][0]"]
    assert found(activation_survives_opening, behind) == []


def test_an_electronic_activation_is_to_be_seen_at_the_car() -> None:
    patch = drive("fuse F1", *MEMBERS, START, "ts_master", {"each_to_return": COILS})[:-1] + ', "devices": {"hold_relay": {"worked_by": "power"}}}'
    assert verdicts(activation_survives_opening, patch) == {Verdict.AT_CAR}


def test_a_start_button_that_is_pressed_during_precharge_is_let_go() -> None:
    assert found(start_button_stays_closed, "devices: {start_button: {contact: {when_healthy: {off: open, precharging: closed, active: open}}}}") == []


# overcurrent protection


@pytest.mark.parametrize(("distance", "fields"), [("100 mm", []), ("95 mm ± 10 mm", ["low_voltage.fuses.F1.distance_from_source"])])
def test_the_distance_of_the_fuse_is_judged_over_its_tolerance(distance: str, fields: list[str]) -> None:
    assert found(source_fuse_too_far, f"low_voltage: {{fuses: {{F1: {{distance_from_source: {distance}}}}}}}") == fields


def test_an_edition_without_a_distance_is_not_judged() -> None:
    assert verdicts(source_fuse_too_far, "low_voltage: {fuses: {F1: {distance_from_source: 900 mm}}}", "fsae-2024") == {Verdict.NOT_EVALUATED}


@pytest.mark.parametrize(
    ("rating", "expected"),
    [("16 V DC", Verdict.HOLDS), ("6 V DC", Verdict.NOT_EVALUATED), ("3 V DC", Verdict.FINDING)],
)
def test_a_fuse_beside_a_converter_may_stand_on_either_side(rating: str, expected: Verdict) -> None:
    patch = f"low_voltage: {{fuses: {{F7: {{voltage: {rating}}}}}, feeds: {{sensor_feed: {{from: lv_master, through: F7, voltage: 5 V, converted_by: board}}}}}}"
    assert [outcome.verdict for outcome in outcomes(fuse_voltage_too_low, patch) if spelled(outcome.path).startswith("low_voltage.fuses.F7")] == [expected]


def test_connectors_that_lead_to_a_motor_or_a_charger_are_not_behind_the_main_fuse() -> None:
    patch = """
        tractive_system:
          accumulators: {main: {fuse: {rating: 175 A, voltage: 700 V DC, breaking_capacity: 50 kA}}}
          inverters: {inverter: {motors: 1}}
          connectors:
            pack_outlet: {current_rating: 250 A}
            charging_inlet: {between: [main, charger], current_rating: 32 A}
            motor: {between: [inverter, motor], current_rating: 120 A}
    """
    assert [spelled(outcome.path) for outcome in outcomes(fuse_above_connector, patch)] == ["tractive_system.connectors.pack_outlet.current_rating"]


def test_what_an_undescribed_contact_leads_to_is_not_judged() -> None:
    path = drive("ghost", *MEMBERS, START, "ts_master", {"each_to_return": [*COILS, HOLD]})
    assert Verdict.NOT_EVALUATED in verdicts(lv_source_unprotected, path)
    assert found(lv_source_unprotected, path) == []


@pytest.mark.parametrize("fuse", ["F9", "F1"])
def test_a_conductor_behind_a_fuse_of_unknown_rating_is_not_judged(fuse: str) -> None:
    patch = f"low_voltage: {{fuses: {{F1: {{rating: null}}}}}}\nwiring: {{conductors: {{w: {{rating: 3 A, protected_by: {fuse}}}}}}}"
    assert verdicts(fuse_above_conductor, patch) == {Verdict.NOT_EVALUATED}


def test_a_connector_behind_another_one_carries_the_current_of_the_main_fuse_too() -> None:
    connectors = "{pack_outlet: {between: [main, plug], current_rating: 250 A}, plug: {between: [pack_outlet, inverter], current_rating: 120 A}}"
    fuse = "{rating: 175 A, voltage: 700 V DC, breaking_capacity: 50 kA}"
    patch = f"tractive_system: {{accumulators: {{main: {{fuse: {fuse}}}}}, inverters: {{inverter: {{motors: 1}}}}, connectors: {connectors}}}"
    assert found(fuse_above_connector, patch) == ["tractive_system.connectors.plug.current_rating"]


# stages


def test_an_inertia_switch_may_act_through_a_stage_of_its_own() -> None:
    assert found(stage_on_direct_contact, "devices: {inertia_switch: {stage: {own: K9, logic: hard-wired}}}") == []


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ("contact: {part: K1}", "contact.part"),
        ("contact: {construction: solid state}", "contact.construction"),
        ("contact: {kind: high-side stage}", "contact.kind"),
        ("worked_by: coil", "worked_by"),
    ],
)
def test_whatever_stands_between_a_button_and_the_loop_is_found(change: str, field: str) -> None:
    assert found(stage_on_direct_contact, f"devices: {{button_left: {{{change}}}}}") == [f"devices.button_left.{field}"]


@pytest.mark.parametrize("change", ["stage: unknown", "contact: {kind: unknown}", "contact: {kind: null}"])
def test_whether_a_button_acts_directly_is_not_judged_where_it_is_not_known(change: str) -> None:
    judged = [outcome.verdict for outcome in outcomes(stage_on_direct_contact, f"devices: {{button_left: {{{change}}}}}") if outcome.path == ("devices", "button_left")]
    assert judged == [Verdict.NOT_EVALUATED]


def test_one_stage_in_the_same_words_is_one_stage() -> None:
    assert found(stage_shared, "devices: {ams: {stage: {own: output relay of the box}}, imd: {stage: {own: Output relay of the box}}}") == ["devices.imd.stage"]
    assert found(stage_shared, "devices: {ams: {stage: {own: output relay of the box}}, imd: {stage: {own: relay of the dashboard}}}") == []


@pytest.mark.parametrize("stage", ["null", "unknown", "{own: K1, fed_from: unknown}"])
def test_a_high_side_stage_of_which_the_feed_is_not_known_is_not_judged(stage: str) -> None:
    judged = outcomes(stage_can_feed_loop, f"devices: {{imd: {{contact: {{kind: high-side stage}}, stage: {stage}}}}}")
    assert [outcome.verdict for outcome in judged if outcome.path[:2] == ("devices", "imd")] == [Verdict.NOT_EVALUATED]


def test_two_relays_of_one_type_are_two_relays() -> None:
    patch = "devices: {ams: {contact: {part: G5Q-1A signal relay}}, imd: {contact: {part: G5Q-1A signal relay}}}"
    assert found(relay_shared, patch) == []


def test_a_shared_stage_is_told_once() -> None:
    patch = "devices: {ams: {stage: {own: K1}, contact: {part: K1}, latch: {by: self-hold of K1}}}"
    assert found(stage_shared, patch) == ["devices.imd.stage"]
    assert found(relay_shared, patch) == []
    assert found(latch_shared, patch) == []


@pytest.mark.parametrize("words", ["mechanism", "two cross-coupled gates", "self-hold of its own relay, independent of K9"])
def test_like_words_on_two_latches_are_no_shared_latch(words: str) -> None:
    assert found(latch_shared, f"devices: {{ams: {{latch: {{by: '{words}'}}}}}}") == []


def test_one_flip_flop_for_two_systems_is_found_at_the_second() -> None:
    assert found(latch_shared, "devices: {ams: {latch: {by: flip-flop U3}}, imd: {latch: {by: flip-flop U3}}}") == ["devices.imd.latch.by"]


def test_a_high_side_stage_says_what_feeds_it() -> None:
    assert found(stage_can_feed_loop, "devices: {imd: {contact: {kind: high-side stage}}}") == ["devices.imd.contact.kind"]
    assert found(stage_can_feed_loop, "devices: {imd: {contact: {kind: low-side stage}}}") == []


def test_a_feed_of_a_volt_free_relay_is_no_way_back_into_the_loop() -> None:
    assert found(stage_can_feed_loop, "devices: {imd: {stage: {fed_from: monitor_feed}}}") == []


@pytest.mark.parametrize(
    ("stage", "fields"),
    [
        ({"own": "K7", "logic": "hard-wired"}, []),
        ({"own": "K7", "logic": "programmable"}, ["devices.unit.stage.logic"]),
        ({"own": "K7"}, ["devices.unit.stage.logic"]),
        (None, ["devices.unit.stage"]),
    ],
)
def test_a_controller_in_the_common_part_of_the_loop_has_a_hard_wired_stage(stage: dict[str, str] | None, fields: list[str]) -> None:
    unit = {"function": "controller", "worked_by": "power", "contact": {"at_rest": "open", "when_healthy": "closed"}, "stage": stage}
    patch = json.loads(drive("fuse F1", *MEMBERS, "unit", START, "ts_master", {"each_to_return": [*COILS, HOLD]})) | {"devices": {"unit": unit}}
    assert found(controller_without_stage, json.dumps(patch)) == fields


# latches and resets


@pytest.mark.parametrize(
    ("reset", "identifier", "fields"),
    [
        ("{act: cycle the LV master, where: right side, who: anyone}", "fsuk-2026", []),
        ("{act: none, who: nobody, self_after: 12 s}", "fsuk-2026", []),
        ("{act: reset button, where: right side, who: anyone but the driver}", "fsuk-2026", ["devices.bspd.reset.who"]),
        ("{who: anyone}", "fsuk-2026", ["devices.bspd.reset.who"]),
        ("{self_after: 12 s}", "fsae-2026", ["devices.bspd.reset.self_after"]),
        ("{self_after: null, act: reset button, who: anyone but the driver}", "fsae-2026", []),
        ("{self_after: null, act: reset button, who: driver}", "fsae-2026", ["devices.bspd.reset.who"]),
    ],
)
def test_the_ways_back_of_the_brake_plausibility_device_are_those_of_the_edition(reset: str, identifier: str, fields: list[str]) -> None:
    assert found(plausibility_reset_way, f"devices: {{bspd: {{reset: {reset}}}}}", identifier) == fields


def test_a_way_back_on_which_nothing_was_read_is_not_judged() -> None:
    patch = "devices: {bspd: {reset: {self_after: null, by_lv_master: clears}}}"
    assert verdicts(plausibility_reset_way, patch, "fsae-2026") == {Verdict.NOT_EVALUATED}


@pytest.mark.parametrize(("time", "fields"), [("10.6 s ± 5 %", []), ("10 s", ["devices.bspd.reset.self_after"]), ("10.5 s ± 5 %", ["devices.bspd.reset.self_after"])])
def test_a_self_reset_is_judged_at_its_earliest(time: str, fields: list[str]) -> None:
    assert found(plausibility_self_reset_too_early, f"devices: {{bspd: {{reset: {{self_after: {time}}}}}}}") == fields


@pytest.mark.parametrize(
    ("latch", "fields"),
    [("{logic: null}", []), ("{by: null}", []), ("{by: null, logic: null, push_again: stays open}", ["devices.button_left.latch"]), ("null", ["devices.button_left.latch"])],
)
def test_what_keeps_a_button_open_is_named_or_of_a_kind(latch: str, fields: list[str]) -> None:
    assert found(button_not_latched, f"devices: {{button_left: {{latch: {latch}}}}}") == fields


def test_each_latch_is_judged_by_itself() -> None:
    assert found(latch_forgets, "devices: {ams: {latch: null}, imd: {latch: {when_feed_returns: closed}}}") == ["devices.imd.latch.when_feed_returns"]


def test_an_unknown_reset_is_no_missing_one() -> None:
    assert verdicts(plausibility_reset_not_stated, "devices: {bspd: {reset: unknown}}") == {Verdict.NOT_EVALUATED}


def test_where_it_may_not_come_back_by_itself_the_brake_plausibility_device_is_latched_too() -> None:
    assert found(latch_missing, "devices: {bspd: {latch: null}}", "fsuk-2026") == []
    assert found(latch_missing, "devices: {bspd: {latch: null}}", "fsae-2026") == ["devices.bspd"]


def test_a_mechanism_forgets_nothing() -> None:
    assert found(latch_forgets, "devices: {imd: {latch: {logic: mechanism, when_feed_returns: null}}}") == []
    assert found(latch_forgets, "devices: {imd: {latch: {when_feed_returns: null}}}") == ["devices.imd.latch.when_feed_returns"]


def test_a_contact_that_keeps_every_coil_without_current_is_told_once() -> None:
    told = [outcome for outcome in outcomes(loop_does_not_conduct, "devices: {ts_master: {contact: {when_healthy: open}}}") if outcome.verdict is Verdict.FINDING]
    assert [spelled(outcome.path) for outcome in told] == ["devices.ts_master.contact.when_healthy"]
    assert told[0].was.startswith("in the phases precharging and active ts_master")
    assert "air_minus" in told[0].was


def test_parallel_contacts_that_are_all_open_are_told_where_their_ways_part() -> None:
    patch = "devices: {start_button: {function: controller}, hold_relay: {contacts: {hold: {when_healthy: {off: open, precharging: closed, active: open}}}}}"
    told = [outcome for outcome in outcomes(loop_does_not_conduct, patch) if outcome.verdict is Verdict.FINDING]
    assert [spelled(outcome.path).rpartition(".")[2] for outcome in told] == ["any_of"]
    assert told[0].was.startswith("in the phase active start_button and hold_relay.hold are all open when healthy")


def test_the_holding_contact_that_lets_current_through_too_early_is_named() -> None:
    assert found(loop_conducts_when_it_must_not, "devices: {hold_relay: {contacts: {hold: {when_healthy: closed}}}}") == ["devices.hold_relay.contacts.hold.when_healthy"]


SECOND = "{function: IMD, worked_by: power, contact: {at_rest: open, when_healthy: closed, kind: volt-free}%s}"
CHARGING = "loops: {charging: {path: [fuse F1, imd, imd_2, ams, coil air_plus], return: [chassis]}}"


@pytest.mark.parametrize(
    ("devices", "accumulators", "fields"),
    [
        (SECOND % "", "{second: {insulation_monitor: imd_2}}", ["loops.drive.path"]),
        (SECOND % "", "{main: {insulation_monitor: null}}", ["loops.drive.path"]),
        (SECOND % "", "{}", []),
        (SECOND % ", place: {where: on the charging cart}", "{second: {insulation_monitor: imd_2}}", []),
    ],
    ids=["of a second container", "of no container, as the first", "of the charger, as no container has it", "at the charger"],
)
def test_a_second_monitor_stands_in_the_drive_loop_unless_it_is_the_chargers(devices: str, accumulators: str, fields: list[str]) -> None:
    patch = f"devices: {{imd_2: {devices}}}\ntractive_system: {{accumulators: {accumulators}}}\n{CHARGING}"
    assert found(protective_device_not_in_drive_loop, patch) == fields


@pytest.mark.parametrize(
    ("function", "states", "fields"),
    [
        ("controller", "{manual: open, driverless: closed}", ["devices.watch.stage.logic"]),
        ("other", "closed", ["devices.watch.stage.logic"]),
        ("controller", "{off: open, precharging: closed, active: closed}", []),
    ],
)
def test_a_program_decides_over_no_stage_that_opens_a_parallel_way_and_may_over_activation(function: str, states: str, fields: list[str]) -> None:
    device = f"devices: {{watch: {{function: {function}, contact: {{at_rest: open, when_healthy: {states}}}, stage: {{own: K9, logic: programmable}}}}}}"
    way = "loops: {drive: {path: [fuse F1, lv_master, {any_of: [[watch], [start_button]]}, {each_to_return: [[coil air_minus], [coil air_plus]]}]}}"
    assert found(stage_programmable, f"{device}\n{way}\ncar: {{modes: [manual, driverless]}}") == fields


@pytest.mark.parametrize(
    ("act", "identifier", "wrong"),
    [
        ("switch the TSMS off and on", "fsae-2026", True), ("switch the TSMS off and on", "fsuk-2026", False), ("press button_left", "fsae-2024", True),
        ("press button_left", "fsuk-2026", False), ("pull the cockpit button out", "fsuk-2026", True), ("press the reset button beside the TS master", "fsae-2026", False),
        ("key switch, not the TS master", "fsae-2026", False),
    ],
)  # fmt: skip
def test_a_reset_is_no_work_of_the_cockpit_button_nor_where_it_is_read_of_other_switches(act: str, identifier: str, wrong: bool) -> None:
    assert found(reset_by_loop_switch, f"devices: {{imd: {{reset: {{act: '{act}'}}}}}}", identifier) == (["devices.imd.reset.act"] if wrong else [])


@pytest.mark.parametrize(
    ("where", "wrong"),
    [
        ("cockpit", True), ("dashboard", True), ("beside the driver's seat", True), ("left side, outside the cockpit", False), ("behind the seat", False),
        ("right side, not in the cockpit", False), ("main hoop", False),
    ],
)  # fmt: skip
def test_a_reset_that_is_not_the_drivers_is_out_of_reach(where: str, wrong: bool) -> None:
    assert found(reset_within_reach, f'devices: {{imd: {{reset: {{where: "{where}"}}}}}}') == (["devices.imd.reset.where"] if wrong else [])


@pytest.mark.parametrize(
    ("words", "wrong"),
    [
        ("one make contact", True), ("open at rest", True), ("one break contact", False), ("one make and one break contact", False), ("no make contact", False),
        ("pressed until the pins make contact with the plate", False), ("reset by the make contact of imd", False),
    ],
)  # fmt: skip
def test_words_on_a_part_are_held_against_its_only_contact(words: str, wrong: bool) -> None:
    assert found(contact_text_contradicts_states, f"devices: {{button_left: {{note: '{words}'}}}}") == (["devices.button_left.note"] if wrong else [])


def test_the_datasheet_of_a_device_speaks_of_its_only_contact() -> None:
    patch = "evidence: {ds_flip: {says: {contact: %s}}}\ndevices: {over_travel_switch: {datasheet: ds_flip}}"
    assert found(contact_described_differently, patch % "make contact") == ["evidence.ds_flip.says.contact"]
    assert found(contact_described_differently, patch % "break contact") == []
