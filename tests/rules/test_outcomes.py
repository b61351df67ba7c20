"""What holds of every rule on any car: where it speaks, that it speaks, and that what is unknown is an open point and no mistake."""

from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path as FilePath
from typing import Any

import pytest

from docgen.check import Report, check
from docgen.editions import edition
from docgen.finding import Verdict
from docgen.folder import files_in
from docgen.load import described, load_text
from docgen.provenance import Path, spelled
from docgen.reading import Tree, Unreadable, read_text
from docgen.rules import CATALOGUE
from docgen.schema import description_schema

ROOT = FilePath(__file__).parents[2]
SMALL_CAR = ROOT / "tests" / "cars" / "small_car.yaml"
EXAMPLE_CAR = ROOT / "example_car" / "car.yaml"
CARS = [SMALL_CAR, EXAMPLE_CAR, *sorted((ROOT / "tests" / "cars" / "sound").glob("*.yaml")), *sorted((ROOT / "tests" / "rules" / "marked").glob("*.yaml"))]
on_every_car = pytest.mark.parametrize("car", CARS, ids=lambda car: car.stem)


@cache
def _data(car: FilePath) -> Any:
    return read_text(car.read_text(encoding="utf-8"), car.name).data


def _report(car: FilePath, data: Any) -> Report:
    description = described(Tree(car.name, "", data, {}, {}, (), ()), files_in(car.parent))
    return check(description, edition(_data(car)["car"]["edition"]))


@cache
def _as_it_is(car: FilePath) -> Report:
    return _report(car, _data(car))


# where a rule speaks


@cache
def _schema() -> dict[str, Any]:
    return description_schema()


def _is_field(path: Path, schema: dict[str, Any]) -> bool:
    """Whether a description can have a field there."""
    if "$ref" in schema:
        return _is_field(path, _schema()["$defs"][schema["$ref"].rpartition("/")[2]])
    if not path or any(_is_field(path, way) for key in ("anyOf", "oneOf", "allOf") for way in schema.get(key, ())):
        return True
    step, rest = path[0], path[1:]
    if isinstance(step, int):
        items = [*schema.get("prefixItems", ())][step : step + 1] or [schema.get("items")]
    else:
        items = [schema.get("properties", {}).get(step), schema.get("additionalProperties"), *schema.get("patternProperties", {}).values()]
    return any(_is_field(rest, inner) for inner in items if isinstance(inner, dict))


def test_a_field_is_told_from_what_is_none() -> None:
    fields: list[Path] = [("devices", "imd", "contact", "at_rest"), ("loops", "drive", "path", 3), ("low_voltage", "feeds", "bus", "from")]
    none: list[Path] = [("devices", "imd", "contact", "colour"), ("devices", 3), ("devices", "imd", "contact", "at_rest", "off", "off"), ("revision",)]
    assert [_is_field(path, _schema()) for path in (*fields, *none)] == [True] * len(fields) + [False] * len(none)


@on_every_car
def test_an_outcome_stands_at_a_field_that_a_description_can_have(car: FilePath) -> None:
    assert [(result.rule.slug, spelled(result.outcome.path)) for result in _as_it_is(car).results if not _is_field(result.outcome.path, _schema())] == []


# that it speaks


@pytest.mark.parametrize("book", ["fsuk-2026", "fsae-2026"])
@pytest.mark.parametrize("text", ["docgen: 1", "docgen: 1\nloops: {drive: {}}", "docgen: 1\ndevices: {a: {}}", "docgen: 1\ncar: unknown\nloops: {drive: {path: [a, coil b]}}\ndevices: {a: {}}"])
def test_every_rule_says_something_of_a_car_of_which_hardly_anything_is_said(text: str, book: str) -> None:
    report = check(load_text(text + "\n"), edition(book))
    assert {rule.slug for rule in CATALOGUE} - {result.rule.slug for result in report.results} == set()
    assert report.failed_rules == ()


@on_every_car
def test_a_rule_that_judges_something_does_not_say_that_there_is_nothing_to_judge(car: FilePath) -> None:
    said = Counter(result.rule.slug for result in _as_it_is(car).results)
    silent = {result.rule.slug for result in _as_it_is(car).results if result.outcome.verdict is Verdict.NOT_APPLICABLE and not result.outcome.path}
    assert {slug for slug in silent if said[slug] > 1} == set()
    assert {rule.slug for rule in CATALOGUE} == set(said)


def _turned(data: Any) -> Any:
    """The same description with the last entry of every group first; lists keep their order."""
    if isinstance(data, dict):
        return {key: _turned(value) for key, value in reversed(data.items())}
    return [_turned(value) for value in data] if isinstance(data, list) else data


@on_every_car
def test_the_order_in_which_parts_are_described_does_not_matter(car: FilePath) -> None:
    results, turned = _as_it_is(car).results, _report(car, _turned(_data(car))).results
    assert Counter(result.rule.slug for result in results) == Counter(result.rule.slug for result in turned)
    found = [{one.rule.slug for one in told if one.is_finding} for told in (results, turned)]
    assert found[0] == found[1]


# what is unknown


def _keys(data: Any) -> Iterator[str]:
    for key, value in data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ():
        if isinstance(key, str):
            yield key
        yield from _keys(value)


def _without_knowing(data: Any, field: str) -> Any:
    """The description with every field of this name unknown."""
    if isinstance(data, dict):
        return {key: "unknown" if key == field else _without_knowing(value, field) for key, value in data.items()}
    return [_without_knowing(value, field) for value in data] if isinstance(data, list) else data


OF_UNKNOWNS = {"open-point", "part-unused"}
"""What warns of unknown fields, and of parts that only an unknown field may use."""


@pytest.mark.parametrize("car", [SMALL_CAR, pytest.param(EXAMPLE_CAR, marks=pytest.mark.slow)], ids=lambda car: car.stem)
def test_what_is_unknown_is_an_open_point_and_no_finding(car: FilePath) -> None:
    data, wrong, tried = _data(car), [], 0
    for field in dict.fromkeys(_keys(data)):
        try:
            report = _report(car, _without_knowing(data, field))
        except Unreadable:
            continue  # a name, or a field that is never unknown
        tried += 1
        wrong += [(field, result.rule.slug, result.outcome.was) for result in report.findings if result.rule.slug not in OF_UNKNOWNS]
        wrong += [(field, result.rule.slug, spelled(result.outcome.path)) for result in report.results if not _is_field(result.outcome.path, _schema())]
    assert tried > 100
    assert wrong == []


ON_THE_WAY = {"contact", "contacts", "function"}
"""Fields by which a part stands in the way of the current of others."""


def _judged_elsewhere(report: Report, group: str, name: str) -> set[tuple[str, Path]]:
    """The places at the other parts of a group at which a rule speaks; but not where two parts are compared with each other."""
    places = {(result.rule.slug, result.outcome.path) for result in report.results if result.rule.slug != "masters-apart"}
    return {(slug, path) for slug, path in places if len(path) > 1 and path[0] == group and path[1] != name}


@pytest.mark.parametrize("group", ["devices", "signals"])
def test_what_is_not_said_of_one_part_silences_no_rule_on_another(group: str) -> None:
    data, lost = _data(SMALL_CAR), []
    for name, part in data[group].items():
        judged = _judged_elsewhere(_as_it_is(SMALL_CAR), group, name)
        for field in sorted(part.keys() - ON_THE_WAY):
            for left in ({}, {field: "unknown"}):
                other = {key: value for key, value in part.items() if key != field} | left
                try:
                    report = _report(SMALL_CAR, {**data, group: {**data[group], name: other}})
                except Unreadable:
                    continue  # a field that is never unknown
                lost += [(name, field, slug, spelled(path)) for slug, path in judged - _judged_elsewhere(report, group, name)]
    assert lost == []
