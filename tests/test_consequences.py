"""What follows from changes: findings that come and go, numbers that move, topics on which other verdicts are given; and a history with known answers."""

from functools import cache
from typing import Any

import pytest
from conftest import SMALL_CAR, TESTS, _read, edited, merged
from test_changes import holds_both_ways, of, renamed

from docgen.changes import Change, changes
from docgen.check import Report, check
from docgen.consequences import Comparison, comparison
from docgen.editions import edition
from docgen.finding import Verdict
from docgen.load import Description
from docgen.meaning import meaning, named
from docgen.patch import Translation

EXAMPLE = (TESTS.parent / "example_car" / "car.yaml").read_text(encoding="utf-8")
HISTORY: list[dict[str, Any]] = _read((TESTS / "revisions" / "history.yaml").read_text(encoding="utf-8"))
SMALL = _read(SMALL_CAR)


def report(description: Description) -> Report:
    identity: Any = description.car.car
    return check(description, edition(identity.edition))


def from_to(before: str, after: str) -> Comparison:
    """Two merge patches of the small car."""
    return comparison(report(edited(before)), report(edited(after)))


# ── A history with known answers ──────────────────────────────────────────────────────────────────────────────────────


@cache
def state(number: int) -> Report:
    """The example car after so many revisions."""
    data = _read(EXAMPLE)
    for entry in HISTORY[:number]:
        data = merged(data, without_words_for_null(entry["patch"]))
    return report(of(data))


def without_words_for_null(patch: Any) -> Any:
    """The reader of YAML keeps every scalar as text; in a patch, `null` takes a field out."""
    if isinstance(patch, dict):
        return {key: without_words_for_null(value) for key, value in patch.items()}
    if isinstance(patch, list):
        return [without_words_for_null(item) for item in patch]
    return None if patch in ("null", None) else patch


def as_written_down(change: Change) -> list[Any]:
    values = [change.was[-1], change.path[-1]] if change.is_of_name else [change.before, change.after]
    return [str(change.kind), " / ".join(change.path), *values]


@pytest.mark.parametrize("number", range(len(HISTORY)), ids=[entry["revision"] for entry in HISTORY])
def test_a_revision_is_told_as_it_was_written_down(number: int) -> None:
    entry, before, after = HISTORY[number], state(number), state(number + 1)
    found = comparison(before, after)
    assert [as_written_down(change) for change in found.changes] == without_words_for_null(entry["changes"])
    assert found.changes == holds_both_ways(before.description, after.description)
    for name in ("new", "gone"):
        if name in entry:
            assert sorted(result.rule.slug for result in getattr(found.findings, name)) == sorted(entry[name])
    if "numbers" in entry:
        assert {moved.slug for moved in found.numbers} == set(entry["numbers"])


def test_a_switch_on_the_return_side_is_a_finding_that_comes_and_goes() -> None:
    assert "return-side-member" in {result.rule.slug for result in comparison(state(10), state(11)).findings.new}
    assert "return-side-member" in {result.rule.slug for result in comparison(state(11), state(12)).findings.gone}


def test_the_history_can_be_walked_back_in_one_step() -> None:
    holds_both_ways(state(0).description, state(len(HISTORY)).description)


# ── Findings ──────────────────────────────────────────────────────────────────────────────────────────────────────────


def slugs(results: Any) -> list[str]:
    return [result.rule.slug for result in results]


LATCH_GONE = "devices: {imd: {latch: null}}"


def test_a_finding_that_both_have_is_neither_new_nor_gone() -> None:
    found = from_to(LATCH_GONE, LATCH_GONE + "\nevidence: {}").findings
    assert (found.new, found.gone) == ((), ())
    assert "latch-missing" in [old.rule.slug for old, new in found.same]
    assert all((old.rule.slug, old.outcome.path) == (new.rule.slug, new.outcome.path) for old, new in found.same)


def test_a_step_put_in_before_it_makes_no_finding_new() -> None:
    line = list(SMALL["loops"]["drive"]["path"])
    at = line.index("imd")
    spoiled = [*line[:at], "nobody", *line[at:]]
    shifted = ["node N1", *spoiled]
    drive: dict[str, Any] = {**SMALL["loops"]["drive"], "path": spoiled}
    before = of({**SMALL, "loops": {"drive": drive}})
    after = of({**SMALL, "loops": {"drive": {**drive, "path": shifted}}})
    old, new = report(before), report(after)
    assert [result.outcome.path for result in old.findings if result.rule.slug == "loop-device-not-described"] == [("loops", "drive", "path", at)]
    assert [result.outcome.path for result in new.findings if result.rule.slug == "loop-device-not-described"] == [("loops", "drive", "path", at + 1)]
    found = comparison(old, new).findings
    assert "loop-device-not-described" in [result.rule.slug for result, _ in found.same]
    assert "loop-device-not-described" not in slugs(found.new) + slugs(found.gone)


def test_a_renamed_device_keeps_its_findings() -> None:
    before = edited(LATCH_GONE)
    found = comparison(report(before), report(of(renamed(before.tree.data, "imd", "insulation_unit")))).findings
    assert [(old.rule.slug, old.outcome.path[1], new.outcome.path[1]) for old, new in found.same if old.rule.slug == "latch-missing"] == [
        ("latch-missing", "imd", "insulation_unit")
    ]
    assert "latch-missing" not in slugs(found.new) + slugs(found.gone)


def test_a_finding_stays_the_same_one_when_its_value_gets_worse() -> None:
    found = from_to("devices: {imd: {response: {below: 100 kΩ}}}", "devices: {imd: {response: {below: 90 kΩ}}}").findings
    assert (found.new, found.gone) == ((), ())
    ((old, new),) = [pair for pair in found.same if pair[0].rule.slug == "monitor-response-too-low"]
    assert "248 Ω/V" in old.outcome.was  # 100 kΩ over 403.2 V
    assert "223" in new.outcome.was  # 90 kΩ over 403.2 V


# ── Numbers ───────────────────────────────────────────────────────────────────────────────────────────────────────────


def test_a_number_that_moved_has_both_results_and_margins() -> None:
    # U(t) = U0 · exp(-t / RC): twice the resistance takes twice the time, behind the 15 ms in which the contactors open
    found = {number.slug: number for number in from_to("{}", DOUBLE).numbers}
    moved = found["discharge-time"]
    assert moved.unit == "s"
    assert moved.before is not None
    assert moved.after is not None
    assert moved.before.result is not None
    assert moved.after.result is not None
    assert moved.after.result.nominal == pytest.approx(2 * (moved.before.result.nominal - 0.015) + 0.015)
    assert moved.before.bound == moved.after.bound
    assert moved.before.margin is not None
    assert moved.after.margin is not None
    assert moved.after.margin == pytest.approx(moved.before.margin - (moved.after.result.high - moved.before.result.high))
    assert (moved.before.verdict, moved.after.verdict) == (Verdict.HOLDS, Verdict.FINDING)
    assert moved.is_judged_otherwise
    assert moved.shift == pytest.approx(0.5, abs=0.005)


DOUBLE = "tractive_system: {inverters: {inverter: {discharge: {resistor: 6.6 kΩ ± 5 %}}}}"


def test_a_number_that_only_one_side_has_came_or_went() -> None:
    with_more = "tractive_system: {inverters: {second: {capacitance: 100 µF, discharge: {resistor: 2 kΩ, rated_power: 200 W, through: discharge_relay.power}}}}"
    came = [number for number in from_to("{}", with_more).numbers if number.before is None]
    went = [number for number in from_to(with_more, "{}").numbers if number.after is None]
    assert "second" in {name for number in came for name in number.about}
    assert sorted((number.slug, number.about) for number in came) == sorted((number.slug, number.about) for number in went)


def test_a_number_in_another_unit_has_not_moved() -> None:
    assert from_to("{}", "tractive_system: {inverters: {inverter: {discharge: {resistor: 3300 Ω ± 5 %}}}}").numbers == ()


def test_a_number_of_a_renamed_device_has_not_moved() -> None:
    found = comparison(report(edited("{}")), report(of(renamed(SMALL, "imd", "insulation_unit"))))
    assert [number.slug for number in found.numbers] == []


def test_a_missing_input_takes_the_result_away() -> None:
    found = {number.slug: number for number in from_to("{}", "tractive_system: {inverters: {inverter: {discharge: {resistor: unknown}}}}").numbers}
    after = found["discharge-time"].after
    assert after is not None
    assert (after.result, after.verdict) == (None, Verdict.NOT_EVALUATED)
    assert found["discharge-time"].shift == 1


# ── Coverage ──────────────────────────────────────────────────────────────────────────────────────────────────────────


def test_a_topic_is_told_where_its_verdicts_differ() -> None:
    found = from_to("{}", "devices: {imd: {response: {below: 100 kΩ}}}")
    (topic,) = [topic for topic in found.coverage if topic.slug == "monitor-response"]
    assert Verdict.FINDING in topic.after
    assert Verdict.FINDING not in topic.before
    assert from_to("{}", "{}").coverage == ()


def test_each_side_is_judged_under_its_own_edition() -> None:
    found = from_to("{}", "car: {edition: fs-2025}")
    assert found.editions == ("fsuk-2026", "fs-2025")
    assert any(Verdict.NOT_EVALUATED in topic.after and Verdict.NOT_EVALUATED not in topic.before for topic in found.coverage)


def test_a_place_in_a_list_is_named_and_carried_to_its_new_names() -> None:
    before, after = of(SMALL), of(renamed(SMALL, "imd", "insulation_unit"))
    at = SMALL["loops"]["drive"]["path"].index("imd")
    translation = Translation(changes(before, after))
    was = named(meaning(before.car, before.tree.data), ("loops", "drive", "path", at))
    assert was == ("loops", "drive", "path", "imd")
    assert translation.forward(was) == ("loops", "drive", "path", "insulation_unit")
    assert translation.backward(("devices", "insulation_unit", "latch")) == ("devices", "imd", "latch")


def test_a_path_into_a_branch_is_named_by_the_branch() -> None:
    car = of(_read(EXAMPLE))
    path = ("loops", "drive", "path", 22, "each_to_return", 2, 1)
    assert named(meaning(car.car, car.tree.data), path) == ("loops", "drive", "path", "each to return: coil activation_relay", "coil air_minus", "coil air_minus")
    assert named(meaning(car.car, car.tree.data), ("devices", "imd", "latch", "nowhere")) == ("devices", "imd", "latch", "nowhere")
