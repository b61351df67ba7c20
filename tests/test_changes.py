"""Two descriptions compared: one edit is one change, every change can be undone and carried out, and nothing of the model is forgotten."""

import re
from collections.abc import Iterator
from copy import deepcopy
from functools import cache
from typing import Any, get_args, get_origin

import pytest
from conftest import SMALL_CAR, TESTS, _read, edited
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, ValidationError

from docgen.car import Car
from docgen.change_words import spelled
from docgen.changes import Change, Kind, Spot, changes, same_car
from docgen.load import Description, described
from docgen.meaning import NO_ORDER, NOT_COMPARED, ORDER_MEANS_NOTHING, ORDER_MEANS_SOMETHING, REMARKS, hints, unwrapped
from docgen.patch import applied, reversed_changes
from docgen.reading import Tree
from docgen.renaming import MOST_PAIRS

ROOT = TESTS.parent
EXAMPLE = (ROOT / "example_car" / "car.yaml").read_text(encoding="utf-8")
CARS = {"example": EXAMPLE, "small": SMALL_CAR} | {
    path.stem: path.read_text(encoding="utf-8") for path in sorted((TESTS / "cars" / "sound").glob("*.yaml"))
}
DataPath = tuple[str | int, ...]


def of(data: Any) -> Description:
    return described(Tree("car.yaml", "", data, {}, {}, (), ()))


def told(patch: str, base: str = EXAMPLE) -> list[str]:
    """The changes that a merge patch makes to the example car, as they are spelled."""
    return [spelled(change) for change in changes(edited("{}", base), edited(patch, base))]


def alike(one: Car, other: Car) -> bool:
    """Whether two cars say the same, lists without order aside."""
    return _unordered(one) == _unordered(other)


def _unordered(value: Any, holder: str = "") -> Any:
    if isinstance(value, BaseModel):
        kept = [name for name in type(value).model_fields if (type(value).__name__, name) != ("Car", "docgen")]
        return type(value).__name__, {name: _unordered(getattr(value, name), f"{type(value).__name__}.{name}") for name in kept}
    if isinstance(value, dict):
        return {name: _unordered(item, holder) for name, item in value.items()}
    if isinstance(value, tuple):
        inner = [_unordered(item) for item in value]
        return sorted(inner, key=repr) if holder in NO_ORDER else inner
    return " ".join(value.split()) if isinstance(value, str) else value


def holds_both_ways(before: Description, after: Description) -> tuple[Change, ...]:
    """The changes, after looking that they undo and carry out what they say."""
    found = changes(before, after)
    assert len(set(found)) == len(found)
    assert set(changes(after, before)) == set(reversed_changes(found))
    made, undone = of(applied(found, before.tree.data)), of(applied(reversed_changes(found), after.tree.data))
    assert changes(made, after) == () and alike(made.car, after.car)
    assert changes(undone, before) == () and alike(undone.car, before.car)
    return found


# ── Every field of the model ──────────────────────────────────────────────────────────────────────────────────────────


def parts(annotation: Any) -> Iterator[type[BaseModel]]:
    """The parts that may stand below an annotation."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from parts(inner)


@cache
def every_part() -> dict[str, type[BaseModel]]:
    found: dict[str, type[BaseModel]] = {}
    waiting: list[type[BaseModel]] = [Car]
    while waiting:
        part = waiting.pop()
        if part.__name__ not in found:
            found[part.__name__] = part
            waiting += [inner for annotation in hints(part).values() for inner in parts(annotation)]
    return found


def full(part: type[BaseModel]) -> dict[str, Any]:
    """A part in which every field says something, from the examples of the schema."""
    return {info.alias or name: _full(hints(part)[name], info.examples or []) for name, info in part.model_fields.items()}


def _full(annotation: Any, examples: list[Any]) -> Any:
    inner = unwrapped(annotation)
    if isinstance(inner, type) and issubclass(inner, BaseModel):
        return full(inner)
    if get_origin(inner) is dict and (below := next(parts(get_args(inner)[1]), None)):
        return {str(next(iter(examples[0]))): full(below)}
    if get_origin(inner) is tuple and isinstance(get_args(inner)[0], type) and issubclass(get_args(inner)[0], BaseModel):
        return [full(get_args(inner)[0])]
    return _as_text(examples[0])


def _as_text(value: Any) -> Any:
    if isinstance(value, dict):
        return {str(key): _as_text(item) for key, item in value.items()}
    return [_as_text(item) for item in value] if isinstance(value, list) else str(value)


FULL = full(Car)
SPECIAL = {
    "when healthy by phase": {"devices": {"d": {"contact": {"when_healthy": {"off": "open", "precharging": "closed", "active": "closed"}}}}},
    "when healthy by mode": {"devices": {"d": {"contact": {"when_healthy": {"manual": "open", "driverless": {"off": "open", "active": "closed", "precharging": "open"}}}}}},
    "a loop of every step": {"loops": {"l": {"path": ["fuse F1", "d.a left", "through X1.2", {"any_of": [["s"], ["r.h", "node N1"]]}, {"each_to_return": [["coil a"], ["coil b"]]}]}}},
}  # fmt: skip
"""What the examples of the schema do not show of the model."""
BASES: dict[str, Any] = {"full": FULL} | SPECIAL | {name: _read(text) for name, text in CARS.items()}


def leaf_paths(data: Any, path: DataPath = ()) -> Iterator[DataPath]:
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else None
    if items is None:
        yield path
    else:
        for key, value in items:
            yield from leaf_paths(value, (*path, key))


NAMED = {
    "devices", "loops", "connectors", "boards", "housings", "signals", "evidence", "fuses", "feeds", "accumulators", "inverters", "indicators", "contacts",
    "sensors", "thresholds", "conductors", "conduits", "pedal_sensors", "brake_sensors", "functions", "wires", "neighbours", "carries", "values",
}  # fmt: skip
"""Fields that hold named things, so that one stands for all."""


def sort_of(path: DataPath) -> DataPath:
    """A path without the names that the team gave and without indexes: what is left is a field of the model."""
    return tuple("*" if isinstance(step, int) or (at and path[at - 1] in NAMED) else step for at, step in enumerate(path))


def _edits() -> dict[DataPath, tuple[str, DataPath]]:
    """Every leaf field of the model -> a car and a place in it."""
    found: dict[DataPath, tuple[str, DataPath]] = {}
    for name, data in BASES.items():
        for path in leaf_paths(data):
            found.setdefault(sort_of(path), (name, path))
    return {sort: place for sort, place in found.items() if sort != ("docgen",)}


EDITS = _edits()
WORDS = (
    "open", "closed", "break", "make", "change-over", "opens", "stays", "mechanical", "solid state", "volt-free", "high-side stage", "none", "up", "down", "hybrid",
    "driverless", "front circuit", "rear circuit", "released", "draft", "only lowers torque", "may raise torque", "inertia switch", "interlock",
)  # fmt: skip


def put(data: Any, path: DataPath, value: Any) -> Any:
    """Plain data with another value at a place."""
    if not path:
        return value
    made = dict(data) if isinstance(data, dict) else list(data)
    made[path[0]] = put(data[path[0]], path[1:], value)
    return made


def otherwise(text: str) -> Iterator[str]:
    """Other values that a field might take, the likeliest first."""
    yield "source negative" if text == "chassis" else re.sub(r"\d", lambda digit: str((int(digit[0]) + 1) % 9 + 1), text, count=1)
    yield f"{text}x"
    yield from (word for word in WORDS if word != text)
    yield "unknown (asked the maker)"
    yield "2026-01-02"


@cache
def base_car(name: str) -> Description:
    return of(BASES[name])


def one_edit(base: str, path: DataPath) -> tuple[Description, Description, str]:
    """A car before and after one leaf says something else."""
    before = base_car(base)
    for other in otherwise(_at(before.tree.data, path)):
        try:
            Car.model_validate(data := put(before.tree.data, path, other))
        except ValidationError:
            continue
        if not alike((after := of(data)).car, before.car):
            return before, after, other
    raise AssertionError(f"no other value found for {path}")


PAIRS = {"rating", "inrush", "valid", "voltage_limits"}
POINTS = {"curve", "pulse_rating"}
GROUPS = {"revisions": ("mark",), "failure_modes": ("mode",), "trips": ("pulse",), "between": ("start", "end")}


SETS = {"modes", "used_by", "more", "between", "each", "senses", "shared_with", "through", "acts_on_loss_of", "pictures", "carries"}


def is_entry_of_a_set(path: DataPath) -> bool:
    """Whether a leaf is an entry that is only put in or taken out."""
    return isinstance(path[-1], int) and (path[-2] in SETS or "neighbours" in path[-3:-2] or path[-3:-1] == ("says", "rating"))


def expected_path(data: Any, path: DataPath) -> tuple[str, ...]:
    """Where a change of this leaf must be told: by names, down to the value."""
    names: list[str] = []
    here = data
    for at, step in enumerate(path):
        field = path[at - 1] if at else ""
        if isinstance(step, int) and field in PAIRS and "says" not in path:
            return tuple(names)  # a pair is one value
        if isinstance(step, int) and field in POINTS:
            return (*names, here[step][0])  # a point is one value, named by its reading
        here = here[step]
        if field in GROUPS and isinstance(step, int) and isinstance(here, dict):
            names.append(" > ".join(here[key] for key in GROUPS[str(field)]))
        elif isinstance(step, int) and field == "path" and isinstance(here, dict):
            ((key, ways),) = here.items()
            names.append(f"{key.replace('_', ' ')}: {min(map(way_name, ways))}")
        elif isinstance(step, int) and field in ("any_of", "each_to_return"):
            names.append(way_name(here))
        elif step not in ("any_of", "each_to_return"):
            names.append(here if isinstance(step, int) else str(step))
    return tuple(names)


def way_name(way: list[str]) -> str:
    coils = [step for step in way if step.startswith("coil ")]
    contacts = [step for step in way if not re.match(r"(fuse|through|node|coil) ", step)]
    return (coils + contacts + way)[0]


@pytest.mark.parametrize("sort", EDITS, ids=[".".join(map(str, sort)) for sort in EDITS])
def test_one_edit_of_a_leaf_is_one_change_at_its_place(sort: DataPath) -> None:
    base, path = EDITS[sort]
    before, after, other = one_edit(base, path)
    found = holds_both_ways(before, after)
    if is_entry_of_a_set(path):
        assert {(change.kind, change.path[:-1]) for change in found} == {(kind, expected_path(after.tree.data, path)[:-1]) for kind in (Kind.ADDED, Kind.REMOVED)}
        assert {change.before for change in found} | {change.after for change in found} == {None, other, _at(before.tree.data, path)}
        return
    assert [change.path for change in found] == [expected_path(after.tree.data, path)]
    assert [change.was for change in found] == [expected_path(before.tree.data, path)]
    assert other in str(found[0].after) and str(_at(before.tree.data, path)) in str(found[0].before)
    assert found[0].kind in (Kind.CHANGED, Kind.REWORDED)


def _at(data: Any, path: DataPath) -> Any:
    for step in path:
        data = data[step]
    return data


def test_the_full_car_and_the_special_ones_say_every_field_of_the_model() -> None:
    said = {step for data in (FULL, *SPECIAL.values()) for path in leaf_paths(data) for step in path}
    for part in every_part().values():
        assert {info.alias or name for name, info in part.model_fields.items()} <= said, part.__name__


def _lists() -> set[str]:
    """Every list of the model but pairs, by class and field."""
    found = set()
    for part in every_part().values():
        for name, annotation in hints(part).items():
            inner = unwrapped(annotation)
            if get_origin(inner) is dict:
                inner = unwrapped(get_args(inner)[1])
            if get_origin(inner) is tuple and Ellipsis in get_args(inner):
                found.add(f"{part.__name__}.{name}")
    return found


def test_for_every_list_of_the_model_it_is_said_whether_its_order_means_something() -> None:
    said = [name for name, _ in (*ORDER_MEANS_NOTHING, *ORDER_MEANS_SOMETHING)]
    assert sorted(said) == sorted(_lists())


def test_fields_spoken_of_are_fields_of_the_model() -> None:
    for name in (*REMARKS, *(name for name, _ in (*NOT_COMPARED, *ORDER_MEANS_NOTHING, *ORDER_MEANS_SOMETHING))):
        part, field = name.split(".")
        assert field in every_part()[part].model_fields, name


def test_what_is_not_compared_is_no_change_and_stays_as_it_was() -> None:
    before, after = of({**BASES["small"], "docgen": "1"}), of({**BASES["small"], "docgen": "0"})
    assert [name for name, _ in NOT_COMPARED] == ["Car.docgen"]
    assert changes(before, after) == ()
    assert applied((), after.tree.data)["docgen"] == "0"


# ── What is no change ─────────────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize("patch", [
    "devices: {imd: {response: {below: 0.3 MΩ +5 % -5 %}}}",
    "demand: {pedal_vs_brake_check: {trips: {power_above: 5000 W}}}",
    "devices: {imd: {sensors: {positive_line: {open: Loop opens}}}}",
    "devices: {imd: {function: insulation monitor}, bspd: {stage: {logic: hardwired}}}",
    "devices: {imd: {contact: {form: A}}}",
    "devices: {imd: {part: 'monitor  from the edition''s list,  with latch relay K1'}}",
    "tractive_system: {active_light: {senses: [voltage of rear, precharge_relay.auxiliary, air_minus.auxiliary, air_plus.auxiliary, voltage of main behind the contactors]}}",
    "devices: {motor_link: {each: [right, left]}}",
    "devices: {inertia_switch: {trips: [{pulse: 20 ms, at: 12 g}, {pulse: 0.05 s, at: 7.5 g}]}}",
    "loops: {drive: {return: ['chassis  ']}}",
    "evidence: {ds_main_fuse: {says: {rating: [175 A, 700 V DC]}}}",
])  # fmt: skip
def test_the_same_said_otherwise_is_no_change(patch: str) -> None:
    assert edited(patch, EXAMPLE).tree.data != edited("{}", EXAMPLE).tree.data
    assert told(patch) == []


def test_the_order_of_fields_and_of_named_parts_is_no_change() -> None:
    def turned(data: Any) -> Any:
        return {key: turned(data[key]) for key in reversed(data)} if isinstance(data, dict) else data

    before = base_car("example")
    after = of(turned(before.tree.data))
    assert list(after.tree.data) != list(before.tree.data)
    assert changes(before, after) == ()


def test_the_order_of_parallel_ways_is_no_change() -> None:
    data = deepcopy(BASES["example"])
    for step in data["loops"]["drive"]["path"]:
        if isinstance(step, dict):
            next(iter(step.values())).reverse()
    assert changes(base_car("example"), of(data)) == ()


# ── What is told ──────────────────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(("patch", "sentences"), [
    ("devices: {imd: {response: {below: 300 kΩ}}}", ["device imd: response.below changed from “300 kΩ ± 5 %” to “300 kΩ”"]),
    ("devices: {imd: {response: {within: unknown}}}", ["device imd: response.within changed from “20 s” to “unknown”"]),
    ("devices: {imd: {response: {within: null}}}", ["device imd: response.within removed: “20 s”"]),
    ("devices: {imd: {contact: {rating: [30 V DC, 6 A]}}}", ["device imd: contact.rating changed from “30 V DC, 8 A” to “30 V DC, 6 A”"]),
    ("devices: {ams: {latch: {by: relay K4}}}", ["device ams: latch.by changed from “self-hold of K2” to “relay K4”"]),
    ("devices: {imd: {note: another remark}}", [
        "device imd: note reworded from “on the charging cart the second chassis line goes to the case of the charger” to “another remark”"]),
    ("devices: {energy_meter: null}", ["device energy_meter removed"]),
    ("devices: {spare: {function: other}}", ["device spare added"]),
    ("devices: {bspd: {lamp: {colour: red}}}", ["device bspd: lamp added: colour: “red”"]),
    ("car: {edition: fs-2025}", ["car.edition changed from “fsuk-2026” to “fs-2025”"]),
    ("car: {modes: [driverless]}", ["manual removed from car.modes, was at the beginning", "driverless added in car.modes, at the beginning"]),
    ("devices: {bspd: {sensors: {dc_current: {curve: [[0 A, 2.50 V], [200 A, 4.60 V]]}}}}", [
        "“200 A, 4.50 V” in device bspd: sensors.dc_current.curve changed to “200 A, 4.60 V”"]),
    ("devices: {bspd: {sensors: {dc_current: {curve: [[0 A, 2.50 V], [100 A, 3.40 V], [200 A, 4.50 V]]}}}}", [
        "100 A added in device bspd: sensors.dc_current.curve, behind 0 A"]),
    ("devices: {air_plus: {contacts: {main: {when_healthy: closed}}}}", [
        "device air_plus: contacts.main.when_healthy changed from off: “open”; precharging: “open”; active: “closed” to “closed”"]),
])  # fmt: skip
def test_a_change_is_told_in_the_words_of_the_car(patch: str, sentences: list[str]) -> None:
    assert told(patch) == sentences
    holds_both_ways(edited("{}", EXAMPLE), edited(patch, EXAMPLE))


def drive_path(data: Any) -> list[Any]:
    found: list[Any] = data["loops"]["drive"]["path"]
    return found


def example_with(edit: Any) -> Description:
    data = deepcopy(BASES["example"])
    edit(data)
    return of(data)


def renamed(data: Any, old: str, new: str) -> Any:
    """Plain data with a name replaced wherever it stands as a word."""
    if isinstance(data, dict):
        return {renamed(key, old, new): renamed(value, old, new) for key, value in data.items()}
    if isinstance(data, list):
        return [renamed(item, old, new) for item in data]
    return re.sub(rf"(?<![\w-]){old}(?![\w-])", new, data)


def test_a_moved_device_is_told_with_its_neighbours() -> None:
    def moved(data: Any) -> None:
        drive_path(data).remove("inertia_switch")
        drive_path(data).insert(drive_path(data).index("lv_master") + 1, "inertia_switch")

    found = holds_both_ways(base_car("example"), example_with(moved))
    assert [spelled(change) for change in found] == ["inertia_switch moved in loop drive: was behind button_cockpit, is behind lv_master"]
    assert (found[0].stood, found[0].stands) == (Spot(7, "button_cockpit"), Spot(2, "lv_master"))


def test_a_device_that_moved_into_a_branch_or_to_the_return_side_moved() -> None:
    def into_branch(data: Any) -> None:
        drive_path(data).remove("inertia_switch")
        drive_path(data)[-1]["each_to_return"][2].insert(1, "inertia_switch")

    def to_return(data: Any) -> None:
        drive_path(data).remove("inertia_switch")
        data["loops"]["drive"]["return"].insert(0, "inertia_switch")

    assert [spelled(change) for change in holds_both_ways(base_car("example"), example_with(into_branch))] == [
        "inertia_switch moved in loop drive: was behind button_cockpit, is behind through X3.8 in the branch of coil air_minus"
    ]
    assert [spelled(change) for change in holds_both_ways(base_car("example"), example_with(to_return))] == [
        "inertia_switch moved in loop drive: was behind button_cockpit, is at the beginning on the return side"
    ]


def test_steps_and_branches_are_told_with_the_line_that_they_stand_in() -> None:
    def edit(data: Any) -> None:
        any_of, branches = drive_path(data)[-3], drive_path(data)[-1]
        any_of["any_of"][0].insert(0, "through X1.14")
        branches["each_to_return"][1].pop(0)
        branches["each_to_return"].append(["through X4.5", "coil spare"])

    assert [spelled(change) for change in holds_both_ways(base_car("example"), example_with(edit))] == [
        "through X1.14 added in loop drive in the way of start_button, at the beginning",
        "through X4.2 removed from loop drive in the branch of coil discharge_relay, was at the beginning",
        "the branch of coil spare added in loop drive, behind coil air_plus",
    ]


def test_a_renamed_device_is_told_once_and_its_references_follow() -> None:
    after = renamed(BASES["example"], "over_travel_switch", "bots")
    found = holds_both_ways(base_car("example"), of(after))
    assert [(change.kind, change.path) for change in found] == [
        (Kind.FOLLOWS, ("loops", "drive", "path", "bots")),
        (Kind.FOLLOWS, ("loops", "drive", "wires", "inertia_switch > bots")),
        (Kind.RENAMED, ("devices", "bots")),
    ]


def test_a_change_inside_a_renamed_device_is_told_under_its_new_name() -> None:
    after = renamed(BASES["example"], "ams", "battery_monitor")
    after["devices"]["battery_monitor"]["watches"]["cells"] = "119"
    found = holds_both_ways(base_car("example"), of(after))
    kinds = {change.path: change.kind for change in found}
    assert kinds["devices", "battery_monitor"] is Kind.RENAMED
    assert {path for path, kind in kinds.items() if kind is Kind.CHANGED} == {("devices", "battery_monitor", "watches", "cells")}
    assert {change.kind for change in found} == {Kind.RENAMED, Kind.CHANGED, Kind.FOLLOWS}


def test_a_device_with_another_function_is_not_renamed() -> None:
    after = renamed(BASES["example"], "over_travel_switch", "bots")
    after["devices"]["bots"]["function"] = "other"
    kinds = {(change.kind, change.path) for change in holds_both_ways(base_car("example"), of(after))}
    assert {(Kind.REMOVED, ("devices", "over_travel_switch")), (Kind.ADDED, ("devices", "bots"))} <= kinds


def test_renamed_and_moved_in_one_list_at_once() -> None:
    after = renamed(renamed(BASES["example"], "inertia_switch", "crash_switch"), "ams", "battery_monitor")
    path = drive_path(after)
    path.remove("crash_switch")
    path.insert(3, "crash_switch")
    path.append(path.pop(1))
    found = holds_both_ways(base_car("example"), of(after))
    moved = [(change.path[-1], change.was[-1]) for change in found if change.kind is Kind.MOVED]
    assert moved == [("crash_switch", "inertia_switch"), ("lv_master", "lv_master")]


def test_two_parts_renamed_that_refer_to_each_other() -> None:
    after = renamed(renamed(BASES["example"], "imd_board", "isolation_board"), "imd_feed", "isolation_feed")
    after = renamed(after, "imd", "isolation_monitor")
    found = holds_both_ways(base_car("example"), of(after))
    assert {change.was for change in found if change.kind is Kind.RENAMED} == {
        ("boards", "imd_board"), ("low_voltage", "feeds", "imd_feed"), ("devices", "imd"), ("devices", "monitor_reset", "contacts", "imd"),
    }  # fmt: skip
    assert {change.kind for change in found} == {Kind.RENAMED, Kind.FOLLOWS}


def test_a_new_revision_at_the_front_is_one_entry() -> None:
    def issued(data: Any) -> None:
        data["revisions"].insert(0, {"mark": "D", "status": "draft"})

    found = holds_both_ways(base_car("example"), example_with(issued))
    assert [spelled(change) for change in found] == ["D added in the revisions, at the beginning"]


def test_the_second_of_two_alike_is_numbered_and_no_text_takes_its_name() -> None:
    said = ["note", "note (2)", "note", "note"]
    found = holds_both_ways(of({"notes": ["first"]}), of({"notes": ["first", *said]}))
    assert [change.path[-1] for change in found] == ["note", "note (2)", "note (3)", "note (4)"]
    assert [change.after for change in found] == said


def test_what_was_removed_is_told_where_it_stood() -> None:
    data = deepcopy(BASES["example"])
    del data["devices"]["inertia_switch"]
    data["devices"]["button_cockpit"]["diameter"] = "31 mm"
    data["devices"]["over_travel_switch"]["stroke_margin"] = "13 mm"
    found = changes(base_car("example"), of(data))
    assert [change.path[1] for change in found] == ["button_cockpit", "inertia_switch", "over_travel_switch"]


# ── Any two descriptions ──────────────────────────────────────────────────────────────────────────────────────────────


def lists_in(data: Any) -> Iterator[list[Any]]:
    inner = data.values() if isinstance(data, dict) else data if isinstance(data, list) else ()
    for item in inner:
        yield from lists_in(item)
    if isinstance(data, list) and data:
        yield data


def groups_in(data: Any) -> Iterator[dict[str, Any]]:
    inner = data.values() if isinstance(data, dict) else data if isinstance(data, list) else ()
    for item in inner:
        yield from groups_in(item)
    if isinstance(data, dict) and data:
        yield data


def disturbed(data: Any, deed: str, one: int, other: int) -> Any:
    """Plain data after one deed of an editor, the same data where the deed describes no car."""
    made = deepcopy(data)
    rows, groups = list(lists_in(made)), list(groups_in(made))
    row, group = rows[one % len(rows)], groups[one % len(groups)]
    key = list(group)[other % len(group)]
    if deed == "move":
        row.insert(other % len(row), row.pop((one + other) % len(row)))
    elif deed == "take out":
        row.pop(other % len(row))
    elif deed == "put in":
        row.insert(other % (len(row) + 1), deepcopy(row[one % len(row)]))
    elif deed == "lend":
        row.insert(other % (len(row) + 1), deepcopy(rows[other % len(rows)][0]))
    elif deed == "remove":
        del group[key]
    elif deed == "rename":
        made = renamed(made, key, f"{key}_{one % 5}")
    elif deed == "exchange":
        made = renamed(renamed(renamed(made, key, "for_a_moment"), list(group)[one % len(group)], key), "for_a_moment", list(group)[one % len(group)])
    elif isinstance(group[key], str):
        group[key] = list(otherwise(group[key]))[one % 30 % len(list(otherwise(group[key])))]
    try:
        Car.model_validate(made)
    except ValidationError:
        return data
    return made


DEEDS = st.tuples(st.sampled_from(["move", "take out", "put in", "lend", "remove", "rename", "exchange", "edit"]), st.integers(0, 5000), st.integers(0, 5000))
FEW = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])


def after_deeds(base: Any, deeds: list[tuple[str, int, int]]) -> Any:
    for deed in deeds:
        base = disturbed(base, *deed)
    return base


@FEW
@given(st.lists(DEEDS, max_size=5), st.lists(DEEDS, max_size=5))
def test_any_changes_can_be_undone_and_carried_out(deeds: list[tuple[str, int, int]], others: list[tuple[str, int, int]]) -> None:
    holds_both_ways(of(after_deeds(BASES["small"], deeds)), of(after_deeds(BASES["small"], others)))


STEPS = ["lv_master", "fuse F1", "button", "ams", "imd", "bspd", "through X1.3", "node N1", "motor_link left", "motor_link right"]
LINES = st.lists(st.one_of(
    st.sampled_from(STEPS),
    st.builds(lambda ways: {"any_of": ways}, st.lists(st.lists(st.sampled_from(STEPS), min_size=1, max_size=3), min_size=1, max_size=3)),
    st.builds(lambda ways: {"each_to_return": ways}, st.lists(st.lists(st.sampled_from(["coil a", "coil b", *STEPS]), min_size=1, max_size=3), min_size=1, max_size=3)),
), max_size=9)  # fmt: skip


@settings(FEW, max_examples=120)
@example([{"any_of": [["ams"], ["ams", "ams"]]}], [{"any_of": [["ams", "imd"], ["imd", "ams"]]}], "")
@example([{"any_of": [["ams"]]}, {"any_of": [["ams", "imd"]]}], [{"any_of": [["ams", "ams"]]}, {"any_of": [["imd"]]}], "")
@example([{"any_of": [["imd"]]}, {"each_to_return": [["coil b"]]}], [{"each_to_return": [["coil a"]]}, {"any_of": [["ams"]]}], "")
@given(LINES, LINES, st.sampled_from(["", "ams", "bspd"]))
def test_any_two_lines_of_a_loop_can_be_told_apart_and_joined(one: list[Any], other: list[Any], name: str) -> None:
    def car(line: list[Any]) -> Any:
        return {"loops": {"drive": {"path": line}}, "devices": {"ams": {"function": "AMS", "part": "master"}, "bspd": {"function": "BSPD", "part": "own board"}}}

    holds_both_ways(of(car(one)), of(renamed(car(other), name, "another") if name else car(other)))


# ── Size ──────────────────────────────────────────────────────────────────────────────────────────────────────────────


def many(copies: int) -> Any:
    """The small car with its devices many times over."""
    data = deepcopy(BASES["small"])
    data["devices"] = {f"{name}_{copy}": deepcopy(device) for copy in range(copies) for name, device in data["devices"].items()}
    return data


def test_a_hundred_times_the_devices_are_compared_name_by_name() -> None:
    before, after = many(100), many(100)
    edited_names = list(after["devices"])[::50]
    for name in edited_names:
        after["devices"][name]["note"] = "edited"
    assert [change.path for change in changes(of(before), of(after))] == [("devices", name, "note") for name in edited_names]


def test_beyond_the_most_pairs_only_equal_parts_are_renamed() -> None:
    before, after = many(100), many(100)
    assert len(before["devices"]) ** 2 > MOST_PAIRS
    after["devices"] = {f"new_{name}": device for name, device in after["devices"].items()}
    changed = next(iter(after["devices"]))
    after["devices"][changed]["note"] = "edited"
    found = changes(of(before), of(after))
    count = len(before["devices"])
    assert sum(change.kind is Kind.RENAMED for change in found) == count - 1
    assert {change.kind: change.path for change in found if change.kind in (Kind.ADDED, Kind.REMOVED)}[Kind.ADDED] == ("devices", changed)


def test_a_long_line_turned_round_keeps_one_step_in_its_place() -> None:
    line = [f"device_{number}" for number in range(2000)]
    found = changes(of({"loops": {"drive": {"path": line}}}), of({"loops": {"drive": {"path": line[::-1]}}}))
    assert len(found) == len(line) - 1
    assert {change.kind for change in found} == {Kind.MOVED}


# ── Two cars ──────────────────────────────────────────────────────────────────────────────────────────────────────────


def test_descriptions_of_two_cars_are_noticed() -> None:
    other = {"car": {"name": "Heron 2", "number": "E7"}, "devices": {"imd": {}, "a": {}, "b": {}, "c": {}}}
    mine = {"car": {"name": "Petrel 5", "number": "E62"}, "devices": {"imd": {}, "d": {}, "e": {}, "f": {}}}
    assert same_car(of(mine), of(other)) == "these may be two cars: Petrel 5 (E62) and Heron 2 (E7), and of 7 device names they share 1"


@pytest.mark.parametrize("other", [
    {"car": {"name": "Petrel 5", "number": "E7"}, "devices": {"a": {}}},
    {"car": {"name": "Heron 2", "number": "E62"}, "devices": {"a": {}}},
    {"car": {"name": "Heron 2"}, "devices": {"a": {}}},
    {"car": {"name": "Heron 2", "number": "E7"}, "devices": {"imd": {}, "a": {}, "b": {}}},
    {"devices": {"a": {}}},
])  # fmt: skip
def test_one_sign_of_another_car_is_not_enough(other: Any) -> None:
    assert same_car(of({"car": {"name": "Petrel 5", "number": "E62"}, "devices": {"imd": {}}}), of(other)) == ""
