"""Two sides that changed one description: what is one side's alone, what both did, and where they contradict each other."""

from typing import Any

import pytest
from conftest import SMALL_CAR, _read, edited
from hypothesis import given, settings
from hypothesis import strategies as st
from test_changes import DEEDS, FEW, LINES, after_deeds, of, renamed

from docgen.change_words import spelled
from docgen.changes import changes
from docgen.three_way import ThreeWay, three_way

SMALL = _read(SMALL_CAR)


def sides(team: str, reviewer: str) -> ThreeWay:
    """Two merge patches of the small car, side by side."""
    return three_way(edited("{}"), edited(team), edited(reviewer))


def test_what_each_side_changed_alone_and_what_both_did() -> None:
    found = sides(
        "devices: {imd: {part: monitor}, ams: {note: seen}, bspd: {lamp: {colour: red}}}",
        "devices: {imd: {part: monitor}, ams: {label: Cells}, bspd: {lamp: {colour: red}}}",
    )
    assert [spelled(change) for change in found.only_team] == ["device ams: note added: “seen”"]
    assert [spelled(change) for change in found.only_reviewer] == ["device ams: label added: “Cells”"]
    assert sorted(change.path[1] for change in found.both) == ["bspd", "imd"]
    assert found.conflicts == ()


def test_one_value_said_in_two_units_is_no_conflict() -> None:
    found = sides("tractive_system: {power: 65 kW}", "tractive_system: {power: 65000 W}")
    assert len(found.both) == 1
    assert found.conflicts == found.only_team == found.only_reviewer == ()


@pytest.mark.parametrize(("team", "reviewer", "place", "values"), [
    ("tractive_system: {power: 65 kW}", "tractive_system: {power: 66 kW}", "tractive_system.power", ("60 kW", "65 kW", "66 kW")),
    ("tractive_system: {power: null}", "tractive_system: {power: 66 kW}", "tractive_system.power", ("60 kW", None, "66 kW")),
    ("tractive_system: {power: unknown}", "tractive_system: {power: null}", "tractive_system.power", ("60 kW", "unknown", None)),
    ("devices: {spare: {function: other}}", "devices: {spare: {function: indicator}}", "devices.spare", (None, {"function": "other"}, {"function": "indicator"})),
])  # fmt: skip
def test_a_conflict_is_told_with_its_three_values(team: str, reviewer: str, place: str, values: tuple[Any, Any, Any]) -> None:
    found = sides(team, reviewer)
    assert [(".".join(conflict.path), (conflict.base, conflict.team, conflict.reviewer)) for conflict in found.conflicts] == [(place, values)]
    assert found.only_team == found.only_reviewer == found.both == ()


def drive(*steps: str) -> Any:
    return {"loops": {"drive": {"path": list(steps)}}}


def lines(base: str, team: str, reviewer: str) -> ThreeWay:
    return three_way(*(of(drive(*side.split())) for side in (base, team, reviewer)))


def test_a_device_that_one_removed_and_the_other_changed_is_a_conflict() -> None:
    found = sides("devices: {imd: null}", "devices: {imd: {part: another monitor, label: IMD}}")
    (conflict,) = found.conflicts
    assert conflict.path == ("devices", "imd")
    assert (conflict.base, conflict.team) == (SMALL["devices"]["imd"], None)
    assert conflict.reviewer == {**SMALL["devices"]["imd"], "part": "another monitor", "label": "IMD"}
    assert len(conflict.reviewer_changes) == 2


@pytest.mark.parametrize(("base", "team", "reviewer"), [
    ("a b c d e", "b c d a e", "a b d c e"),
    ("a b c d e", "b c d a e", "b a c d e"),
    ("a b c d e", "a x b c d e", "a y b c d e"),
    ("a b c d e", "a b x c d e", "a c d e"),
    ("a b c d e", "a c d e", "a b x c d e"),
])  # fmt: skip
def test_a_line_that_both_sides_arranged_otherwise_is_a_conflict(base: str, team: str, reviewer: str) -> None:
    found = lines(base, team, reviewer)
    assert {conflict.path for conflict in found.conflicts} == {("loops", "drive", "path")}
    (conflict,) = found.conflicts
    assert (conflict.base, conflict.team, conflict.reviewer) == (base.split(), team.split(), reviewer.split())


@pytest.mark.parametrize(("base", "team", "reviewer", "alone", "both"), [
    ("a b c d e", "a x b c d e", "a b c d y e", ["x", "y"], []),
    ("a b c d e", "b c d a e", "b c d a e", [], ["a"]),
    ("a b c d e", "a b c d e x", "b c d e", ["x", "a"], []),
    ("a b c d e", "a b c x y d e", "a z b c d e", ["x", "y", "z"], []),
])  # fmt: skip
def test_a_line_changed_at_different_places_is_no_conflict(base: str, team: str, reviewer: str, alone: list[str], both: list[str]) -> None:
    found = lines(base, team, reviewer)
    assert found.conflicts == ()
    assert [change.path[-1] for change in (*found.only_team, *found.only_reviewer)] == alone
    assert [change.path[-1] for change in found.both] == both


def test_a_device_that_one_renamed_and_the_other_changed_is_no_conflict() -> None:
    team, reviewer = renamed(SMALL, "imd", "insulation_unit"), of(SMALL).tree.data
    reviewer = {**reviewer, "devices": {**reviewer["devices"], "imd": {**reviewer["devices"]["imd"], "note": "look again"}}}
    found = three_way(of(SMALL), of(team), of(reviewer))
    assert found.conflicts == ()
    assert [spelled(change) for change in found.only_reviewer] == ["device imd: note added: “look again”"]
    assert ("devices", "insulation_unit") in {change.path for change in found.only_team}


def test_two_new_names_for_one_device_are_a_conflict() -> None:
    found = three_way(of(SMALL), of(renamed(SMALL, "imd", "insulation_unit")), of(renamed(SMALL, "imd", "monitor")))
    assert ("devices", "imd") in {conflict.path for conflict in found.conflicts}


def test_a_new_reference_to_a_name_that_the_other_side_gave_up_is_a_conflict() -> None:
    found = three_way(of(SMALL), of(renamed(SMALL, "imd", "insulation_unit")), edited("devices: {spare: {stage: {shared_with: [imd]}}}"))
    assert [conflict.path for conflict in found.conflicts] == [("devices", "imd")]


@FEW
@given(st.lists(DEEDS, max_size=4))
def test_against_the_base_itself_every_change_is_one_sides_alone(deeds: list[tuple[str, int, int]]) -> None:
    base, other = of(SMALL), of(after_deeds(SMALL, deeds))
    found = three_way(base, other, base)
    assert (found.only_team, found.both, found.only_reviewer, found.conflicts) == (changes(base, other), (), (), ())
    turned = three_way(base, base, other)
    assert (turned.only_reviewer, turned.both, turned.only_team, turned.conflicts) == (changes(base, other), (), (), ())
    twice = three_way(base, other, other)
    assert (twice.both, twice.only_team, twice.only_reviewer, twice.conflicts) == (changes(base, other), (), (), ())


@FEW
@given(st.lists(DEEDS, max_size=3), st.lists(DEEDS, max_size=3))
def test_the_two_sides_may_change_places(deeds: list[tuple[str, int, int]], others: list[tuple[str, int, int]]) -> None:
    told_alike(SMALL, after_deeds(SMALL, deeds), after_deeds(SMALL, others))


@settings(FEW, max_examples=60)
@given(LINES, LINES, LINES)
def test_the_two_sides_of_a_line_may_change_places(base: list[Any], team: list[Any], reviewer: list[Any]) -> None:
    told_alike(*({"loops": {"drive": {"path": line}}} for line in (base, team, reviewer)))


def test_one_thing_brought_in_two_ways_is_a_conflict() -> None:
    """The team put a button before the master; the reviewer took the master away for a button and a fuse."""
    base, team, reviewer = ({"loops": {"drive": {"path": line}}} for line in (["lv_master"], ["button", "lv_master"], ["button", "fuse F1"]))
    assert [conflict.path for conflict in three_way(of(base), of(team), of(reviewer)).conflicts] == [("loops", "drive", "path")]


def told_alike(base: Any, team: Any, reviewer: Any) -> None:
    """Whoever is called the team: the same is told of each, and the same are conflicts."""
    one, other = three_way(of(base), of(team), of(reviewer)), three_way(of(base), of(reviewer), of(team))
    assert {conflict.path for conflict in one.conflicts} == {conflict.path for conflict in other.conflicts}
    assert set(one.only_team) == set(other.only_reviewer)
    assert set(one.only_reviewer) == set(other.only_team)
