"""Words and values of the devices in the metal, beyond one Wrong and one Right: the trade's many ways to say a thing."""

import time

import pytest
from conftest import edited

from docgen.check import check
from docgen.editions import edition
from docgen.finding import Rule, Verdict
from docgen.rules import disconnects, indicators, switches
from docgen.rules.fields import is_nothing, length_in


def verdicts(rule: Rule, patch: str, book: str = "fsuk-2026") -> list[Verdict]:
    return [result.outcome.verdict for result in check(edited(patch), edition(book), (rule,)).results]


def places(rule: Rule, patch: str, book: str = "fsuk-2026") -> list[str]:
    """Where the rule finds something: the last steps of the path."""
    return [".".join(map(str, result.outcome.path[-2:])) for result in check(edited(patch), edition(book), (rule,)).findings]


SOFT = [
    "hook-and-loop tape on the seat back", "Velcro", "hook and loop, plug stays on", "zip tied to the frame", "cable ties round the hoop", "double-sided foam tape", "a strong magnet",
    "rubber bobbins", "no bolts but foam", "bolts replaced by cable ties", "neoprene pad between switch and plate", "anti-vibration mounts", "foam, screwed from above", "gaffer tape", "Klettband",
]  # fmt: skip
RIGID = [
    "two M4 bolts into the bulkhead", "two M4 bolts, no foam or tape between", "bolted; no foam, tape or rubber", "without rubber washers", "bolts instead of the former hook-and-loop tape",
    "replaces the hook-and-loop tape of revision B", "two tapped holes in the bulkhead", "M4 elastic stop nuts", "two bolts, wires cable-tied to the frame", "two bolts; cable held with a cable tie",
    "rubber boot over the plug, two bolts", "foam-free", "steel plate, not on foam", "no longer on hook-and-loop tape", "screwed down and the harness taped",
]  # fmt: skip


@pytest.mark.parametrize("words", SOFT)
def test_a_soft_fixing_of_the_inertia_switch_is_found_in_any_wording(words: str) -> None:
    assert places(switches.inertia_fixing_soft, f'devices: {{inertia_switch: {{fixing: {{by: "{words}"}}}}}}') == ["fixing.by"]


@pytest.mark.parametrize(
    ("field", "found"),
    [
        ("fixing: {taken_off: hook-and-loop strap}", ["fixing.taken_off"]), ("place: {by: on the foam of the seat}", ["place.by"]), ("place: {by: foam seat}", []), ("place: {where: on rubber feet}", ["place.where"]),
        ("fixing: {by: foam}, place: {where: on rubber feet}", ["fixing.by"]),
        ("place: {where: beside the rubber mat}", []),
    ],
)  # fmt: skip
def test_a_soft_part_is_found_in_every_field_that_tells_how_the_switch_is_held(field: str, found: list[str]) -> None:
    assert places(switches.inertia_fixing_soft, f"devices: {{inertia_switch: {{{field}}}}}") == found


@pytest.mark.parametrize("words", RIGID)
def test_a_rigid_fixing_is_left_alone_whatever_it_says_is_not_there(words: str) -> None:
    assert verdicts(switches.inertia_fixing_soft, f'devices: {{inertia_switch: {{fixing: {{by: "{words}"}}}}}}') == [Verdict.STATED]


@pytest.mark.parametrize("note", ["held on with velcro for quick removal", "sits on foam to filter vibration", "mounted using double-sided tape"])
def test_a_note_may_give_a_soft_fixing_away(note: str) -> None:
    assert places(switches.inertia_fixing_soft, f"devices: {{inertia_switch: {{note: {note}}}}}") == ["inertia_switch.note"]


@pytest.mark.parametrize(
    "note", ["moved from the foam seat to the bulkhead in revision C", "was on hook-and-loop tape until revision B", "beside the foam headrest", "steel ball on a magnet trips at 8 g"]
)
def test_a_note_on_other_things_or_other_times_gives_nothing_away(note: str) -> None:
    assert places(switches.inertia_fixing_soft, f"devices: {{inertia_switch: {{note: {note}}}}}") == []


def test_a_text_of_many_soft_words_is_judged_in_no_time() -> None:
    began = time.perf_counter()
    assert places(switches.inertia_fixing_soft, f"devices: {{inertia_switch: {{note: no {'rubber ' * 550}}}}}") == []
    assert time.perf_counter() - began < 2


@pytest.mark.parametrize(
    ("points", "found"),
    [
        ("[{at: 8 g, pulse: 50 ms}, {at: 13 g, pulse: 20 ms}]", []),
        ("[{at: 7 g, pulse: 60 ms}, {at: 12 g, pulse: 22 ms}]", []),
        ("[{at: 7 g, pulse: 20 ms}]", []),
        ("[{at: 7.8 g ± 5 %, pulse: 50 ms}, {at: 12 g, pulse: 20 ms}]", ["0.at"]),
        ("[{at: 12 g, pulse: 20 ms}, {at: 11 g, pulse: 50 ms}]", ["1.at"]),
        ("[{at: 9 g, pulse: 100 ms}, {at: 14 g, pulse: 20 ms}]", ["0.at", "1.at"]),
        ("[{at: 7 g, pulse: 50 ms}]", ["inertia_switch.trips"]),
        ("[{at: 9 g, pulse: 30 ms}]", ["inertia_switch.trips"]),
    ],
)
def test_a_trip_curve_is_judged_pulse_by_pulse(points: str, found: list[str]) -> None:
    assert places(switches.inertia_trip_value, f"devices: {{inertia_switch: {{trips: {points}}}}}") == found


def test_an_unknown_trip_point_is_an_open_point_and_no_finding() -> None:
    patch = "devices: {inertia_switch: {trips: [{at: unknown, pulse: 50 ms}, {at: 12 g, pulse: 20 ms}]}}"
    assert set(verdicts(switches.inertia_trip_value, patch)) == {Verdict.HOLDS, Verdict.NOT_EVALUATED}


def test_the_other_family_sets_a_window_along_the_car() -> None:
    along = "devices: {inertia_switch: {directions: forward only, trips: [{at: 9.5 g, pulse: 50 ms}]}}"
    assert verdicts(switches.inertia_trip_value, along, "fsae-2026") == [Verdict.HOLDS, Verdict.HOLDS]
    assert verdicts(switches.inertia_one_direction, along, "fsae-2026") == [Verdict.NOT_APPLICABLE]
    assert places(switches.inertia_trip_value, "devices: {inertia_switch: {trips: [{at: 7.5 g, pulse: 50 ms}]}}", "fsae-2026") == ["0.at"]


def test_a_push_rotate_over_travel_switch_is_a_kind_of_some_editions_only() -> None:
    patch = "devices: {over_travel_switch: {kind: push-rotate}}"
    assert verdicts(switches.over_travel_kind, patch, "fsuk-2026") == [Verdict.FINDING]
    assert verdicts(switches.over_travel_kind, patch, "fs-2025") == [Verdict.STATED]


def test_two_over_travel_switches_in_series_may_share_the_two_circuits() -> None:
    second = "{function: BOTS, worked_by: machine, acts_on_loss_of: [rear circuit], contact: {at_rest: closed, when_healthy: closed}}"
    patch = f"devices: {{over_travel_switch: {{acts_on_loss_of: [front circuit]}}, second_switch: {second}}}"
    assert verdicts(switches.over_travel_one_circuit, patch) == [Verdict.STATED, Verdict.STATED]


@pytest.mark.parametrize("first", ["null", "[front circuit]"])
def test_each_of_two_over_travel_switches_is_asked_on_the_loss_of_which_circuits_it_acts(first: str) -> None:
    second = "{function: BOTS, worked_by: machine, acts_on_loss_of: [front circuit], contact: {at_rest: closed, when_healthy: closed}}"
    patch = f"devices: {{over_travel_switch: {{acts_on_loss_of: {first}}}, second_switch: {second}}}"
    assert places(switches.over_travel_one_circuit, patch) == ["over_travel_switch.acts_on_loss_of", "second_switch.acts_on_loss_of"]


@pytest.mark.parametrize(
    ("rule", "device", "kind", "part", "verdict"),
    [
        (switches.over_travel_kind, "over_travel_switch", "robust lever", "null", Verdict.NOT_EVALUATED), (switches.over_travel_kind, "over_travel_switch", "null", "flip switch 20 A", Verdict.STATED),
        (switches.over_travel_kind, "over_travel_switch", "null", "switch 20 A", Verdict.FINDING), (switches.over_travel_kind, "over_travel_switch", "unknown", "null", Verdict.NOT_EVALUATED),
        (switches.button_kind, "button_left", "mushroom head", "null", Verdict.NOT_EVALUATED), (switches.button_kind, "button_left", "null", "push-pull button", Verdict.STATED),
        (switches.button_kind, "button_left", "null", "button 40 mm", Verdict.FINDING), (switches.button_kind, "button_left", "unknown", "null", Verdict.NOT_EVALUATED),
    ],
)  # fmt: skip
def test_the_kind_of_a_switch_may_stand_in_the_words_on_its_part(rule: Rule, device: str, kind: str, part: str, verdict: Verdict) -> None:
    report = check(edited(f"devices: {{{device}: {{kind: {kind}, part: {part}}}}}"), edition("fsuk-2026"), (rule,))
    assert [result.outcome.verdict for result in report.results if result.outcome.path[1] == device] == [verdict]


@pytest.mark.parametrize(
    ("patch", "said"),
    [
        ("button_right: {place: {where: left side}}", "button_right (shutdown button) is a further one on the left, and none stands on the right"),
        ("button_right: {place: {where: dashboard}}", "button_cockpit (shutdown button) is a further one in the cockpit, and none stands on the right"),
        ("button_cockpit: {place: {where: right side}}", "button_cockpit (shutdown button) is a further one on the right, and none stands in the cockpit"),
    ],
)
def test_a_button_too_many_is_told_with_the_place_that_lacks_one(patch: str, said: str) -> None:
    assert [result.outcome.was for result in check(edited(f"devices: {{{patch}}}"), edition("fsuk-2026"), (switches.button_misplaced,)).findings] == [said]


@pytest.mark.parametrize("missing", ["lv_master", "ts_master"])
def test_one_master_alone_is_not_apart(missing: str) -> None:
    assert verdicts(switches.masters_apart, f"devices: {{{missing}: null}}") == [Verdict.NOT_APPLICABLE]


def test_a_master_without_a_disc_is_told_at_the_master() -> None:
    report = check(edited("devices: {ts_master: {disc: null}}"), edition("fsuk-2026"), (switches.ts_master_label,))
    assert [(result.outcome.verdict, result.outcome.path) for result in report.results] == [(Verdict.NOT_APPLICABLE, ("devices", "ts_master"))]


@pytest.mark.parametrize(
    ("where", "by", "spot"),
    [
        ("left side", "behind the driver", "left"), ("cockpit", "right of the steering wheel", "cockpit"), ("dashboard", "left", "cockpit"), ("main hoop", "at the driver's left", "left"),
        ("left side of the cockpit", "opening", "left"), ("right-hand side", "sidepod", "right"), ("rear", "jacking point", ""), ("both sides", "main hoop", ""), ("left and right sides", "hoop", ""),
    ],
)  # fmt: skip
def test_the_place_of_a_button_is_read_from_its_words(where: str, by: str, spot: str) -> None:
    patch = f'devices: {{button_left: {{place: {{where: "{where}", by: "{by}"}}, diameter: 24 mm}}}}'
    found = {Verdict.NOT_EVALUATED: "", Verdict.HOLDS: "cockpit", Verdict.FINDING: "side"}[verdicts(switches.button_too_small, patch)[0]]
    assert found == {"left": "side", "right": "side"}.get(spot, spot)


def test_one_button_entry_may_stand_for_both_sides() -> None:
    patch = "devices: {button_left: null, button_right: {each: [left, right], place: {where: behind the driver}}}"
    assert places(switches.button_misplaced, patch) == []


@pytest.mark.parametrize(
    ("key", "verdict"),
    [
        ("removable when open", Verdict.STATED), ("removable only in OFF", Verdict.STATED), ("comes off when open, held when closed", Verdict.STATED), ("removable when open but not when closed", Verdict.STATED),
        ("removable when open; trapped while closed", Verdict.STATED), ("removable in both positions", Verdict.FINDING), ("not removable", Verdict.FINDING), ("cannot be removed", Verdict.FINDING),
        ("stays in the switch", Verdict.FINDING), ("removable when closed", Verdict.FINDING), ("removable", Verdict.NOT_EVALUATED),
    ],
)  # fmt: skip
def test_a_key_is_read_from_its_words(key: str, verdict: Verdict) -> None:
    assert verdict in verdicts(switches.master_key_stays, f"devices: {{ts_master: {{key: {key}}}}}")
    assert (verdict is Verdict.FINDING) == (places(switches.master_key_stays, f"devices: {{ts_master: {{key: {key}}}}}") != [])


@pytest.mark.parametrize(("keeper", "is_role"), [("electrical safety officer", True), ("Chief Mechanic", True), ("Wilma Reed", False), ("Dr. Otto Vogel", False), ("anyone", False), ("stays in the switch", False)])
def test_the_keeper_of_a_key_is_a_role(keeper: str, is_role: bool) -> None:
    assert (places(switches.key_holder_not_named, f"devices: {{ts_master: {{key_kept_by: {keeper}}}}}") == []) == is_role


@pytest.mark.parametrize("tool", ["none", "no tools needed", "by hand", "bare hands", "without tools", "no tool, pull the ring", "tool-free"])
def test_a_disconnect_without_a_tool_is_told_in_many_ways(tool: str) -> None:
    assert places(disconnects.service_disconnect_needs_tool, f'devices: {{service_link: {{removal: {{tool: "{tool}"}}}}}}') == []


@pytest.mark.parametrize("tool", ["5 mm hex key", "none but a coin", "hex key no. 4"])
def test_a_tool_is_a_tool(tool: str) -> None:
    assert places(disconnects.service_disconnect_needs_tool, f'devices: {{service_link: {{removal: {{tool: "{tool}"}}}}}}') == ["removal.tool"]


def test_a_disconnect_of_which_nothing_is_said_is_asked_for_at_its_device() -> None:
    report = check(edited("devices: {service_link: {removal: null}}"), edition("fsuk-2026"), (disconnects.service_disconnect_needs_tool,))
    assert [(result.outcome.verdict, result.outcome.path) for result in report.results] == [(Verdict.NOT_APPLICABLE, ("devices", "service_link"))]


def test_each_interlock_contact_in_the_loop_is_judged_by_itself() -> None:
    contacts = "{spare: {at_rest: closed, when_healthy: closed}, pilot: {at_rest: closed, when_healthy: closed}}"
    patch = f"devices: {{service_link: {{worked_by: hand}}, pack_link: {{contact: null, contacts: {contacts}}}}}\nloops: {{drive: {{path: [fuse F1, pack_link.pilot, coil air_plus]}}}}"
    assert places(disconnects.interlock_closed_apart, patch) == ["pilot.at_rest"]


@pytest.mark.parametrize(
    ("locking", "locked"),
    [("lever", True), ("tape over the lever", True), ("two turns of the nut", True), ("tape", False), ("none", False), ("not locked", False), ("lever, not locked", False)],
)
def test_a_connector_is_locked_by_more_than_friction(locking: str, locked: bool) -> None:
    assert (places(disconnects.connector_not_locked, f"tractive_system: {{connectors: {{pack_outlet: {{locking: '{locking}'}}}}}}") == []) is locked


@pytest.mark.parametrize(
    ("height", "verdict"),
    [("480 mm above ground", Verdict.HOLDS), ("0.36 m", Verdict.HOLDS), ("350 mm", Verdict.FINDING), ("355 mm ± 10 mm", Verdict.FINDING), ("hip height", Verdict.NOT_EVALUATED)],
)
def test_the_height_of_the_disconnect_is_read_with_its_tolerance(height: str, verdict: Verdict) -> None:
    assert verdicts(disconnects.service_disconnect_low, f"devices: {{service_link: {{place: {{height: {height}}}}}}}") == [verdict]


@pytest.mark.parametrize(
    ("routed", "verdict"),
    [("along the wishbone, so that it tears first", Verdict.STATED), ("beside the cable, of the same length", Verdict.FINDING), ("longer than the cable", Verdict.FINDING), ("along the upper wishbone", Verdict.AT_CAR)],
)
def test_what_tears_first_at_an_outboard_motor_is_stated_or_seen_at_the_car(routed: str, verdict: Verdict) -> None:
    patch = f'tractive_system: {{connectors: {{motor: {{outboard: upright, pilot: pack_link, routed: "{routed}"}}}}}}'
    assert verdicts(disconnects.outboard_interlock_late, patch) == [verdict]


@pytest.mark.parametrize(
    ("voltage", "resistor", "found"),
    [("199 V", "5 kΩ", False), ("201 V", "10 kΩ", False), ("400 V", "10 kΩ", False), ("403.2 V", "15 kΩ ± 1 %", False), ("600 V", "15 kΩ", False), ("201 V", "5 kΩ", True), ("399 V", "15 kΩ", True)],
)
def test_the_measuring_resistor_goes_by_the_voltage_class(voltage: str, resistor: str, found: bool) -> None:
    patch = f"tractive_system: {{voltage: {{highest: {voltage}}}, measuring_points: {{resistor: {resistor}}}}}"
    assert (places(indicators.measuring_point_resistor, patch) == ["measuring_points.resistor"]) == found


def test_above_the_last_class_no_resistor_is_named() -> None:
    assert verdicts(indicators.measuring_point_resistor, "tractive_system: {voltage: {highest: 650 V}}") == [Verdict.NOT_EVALUATED]


def test_a_lamp_may_be_described_among_the_indicators() -> None:
    apart = "devices: {imd: {lamp: null}}\ntractive_system: {indicators: {imd_lamp: {colour: red, label: IMD, check: 4 s}}}"
    assert places(indicators.monitor_lamp_missing, apart) == []
    assert places(indicators.lamp_check, apart) == ["imd_lamp.check"]


def test_two_battery_managements_may_share_one_lamp() -> None:
    second = "{function: AMS, worked_by: power, contact: {at_rest: open, when_healthy: closed}}"
    assert places(indicators.cell_lamp_missing, f"devices: {{ams_right: {second}}}") == []


@pytest.mark.parametrize(
    ("needs", "brake", "action"),
    [
        ("brakes actuated and drive_button pressed", True, True), ("foot on the brake and a touch on the screen", True, True), ("start button held for 2 s", False, True),
        ("brake pressed with the tractive system active", True, False), ("no brake needed, only the button", False, True), ("braking and the paddle pulled", True, True),
    ],
)  # fmt: skip
def test_ready_to_drive_needs_the_brake_and_an_action(needs: str, brake: bool, action: bool) -> None:
    patch = f'demand: {{ready_to_drive: {{needs: "{needs}"}}}}'
    assert (places(indicators.ready_to_drive_without_brake, patch) == []) == brake
    assert (places(indicators.ready_to_drive_without_action, patch) == []) == action


@pytest.mark.parametrize(
    ("left_when", "at_once"),
    [
        ("at once when the loop opens", True), ("immediately on SDC open, or when the driver presses the button again", True), ("when the loop opens, or after 10 s of standing", True),
        ("the driver presses the button again", False), ("2 s after the loop opens", False), ("after a delay when the loop opens", False),
    ],
)  # fmt: skip
def test_ready_to_drive_is_left_at_once_when_the_loop_opens(left_when: str, at_once: bool) -> None:
    assert (places(indicators.ready_to_drive_not_left, f'demand: {{ready_to_drive: {{left_when: "{left_when}"}}}}') == []) == at_once


def test_a_car_without_a_driver_in_any_mode_needs_no_foot_on_the_brake() -> None:
    patch = "car: {modes: [driverless]}\ndemand: {ready_to_drive: {needs: go signal}}"
    assert verdicts(indicators.ready_to_drive_without_brake, patch) == [Verdict.NOT_APPLICABLE]


@pytest.mark.parametrize(
    ("taps", "verdict"),
    [
        ("a fuse at each cell", Verdict.STATED), ("no fuse, a resistor at the busbar", Verdict.STATED), ("no fuse, resistor of 10 kΩ", Verdict.STATED), ("none", Verdict.FINDING), ("without fuses or resistors", Verdict.FINDING),
        ("unfused", Verdict.FINDING), ("wires of 0.25 mm²", Verdict.NOT_EVALUATED),
    ],
)  # fmt: skip
def test_the_protection_of_measuring_wires_is_read_from_its_words(taps: str, verdict: Verdict) -> None:
    assert verdicts(indicators.sense_tap_unprotected, f'tractive_system: {{sense_taps: "{taps}"}}') == [verdict]


@pytest.mark.parametrize("answer", ["none", "No.", "nothing", "-", "not fitted", "without"])
def test_a_short_answer_may_say_that_there_is_none(answer: str) -> None:
    assert is_nothing(answer)


@pytest.mark.parametrize("answer", ["no. 4 hex key", "none except a coin", "northern side", "notch"])
def test_a_word_that_begins_like_none_is_something(answer: str) -> None:
    assert not is_nothing(answer)


@pytest.mark.parametrize(("text", "length"), [("48 cm ± 1 cm", "48 cm ± 1 cm"), ("about 0.5 m", "0.5 m"), ("0,48 m", None), ("860", None), ("55 mm wide, 12 mm thick", None)])
def test_a_length_is_read_where_a_text_gives_exactly_one(text: str, length: str | None) -> None:
    assert (str(found) if (found := length_in(text)) else None) == length
