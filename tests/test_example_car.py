"""The example car: sound as it is; as first written, with exactly the mistakes that are marked in it."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from conftest import TESTS
from marks import marks
from ruamel.yaml import YAML

from docgen.check import check
from docgen.editions import edition
from docgen.load import load_file
from docgen.rules.description import unknowns
from docgen.schema import description_schema

EXAMPLE = TESTS.parent / "example_car"
CAR, FIRST = EXAMPLE / "car.yaml", EXAMPLE / "car_as_first_written.yaml"


def test_the_example_car_is_sound_and_has_no_open_point() -> None:
    description = load_file(CAR)
    report = check(description, edition("fsuk-2026"))
    assert [f"{result.location} {result.rule.slug}: {result.outcome.was}" for result in report.findings] == []
    assert list(unknowns(description.car)) == []
    assert 25 <= len(description.car.devices) <= 35


def test_the_car_as_first_written_has_exactly_the_marked_findings() -> None:
    report = check(load_file(FIRST), edition("fsuk-2026"))
    found = sorted((result.location.line, result.rule.slug) for result in report.findings)
    assert found == marks(FIRST.read_text(encoding="utf-8"))
    assert len({slug for _, slug in found}) >= 15


@pytest.mark.parametrize("path", [CAR, FIRST], ids=lambda path: path.stem)
def test_an_independent_validator_accepts_the_examples_under_the_schema(path: Path) -> None:
    schema = description_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    read = YAML(typ="safe", pure=True).load(path.read_text(encoding="utf-8"))
    errors = jsonschema.Draft202012Validator(schema).iter_errors(json.loads(json.dumps(read, default=str)))
    assert [f"{list(error.absolute_path)}: {error.message[:200]}" for error in errors] == []


@pytest.mark.parametrize("wrong", [{"devices": {"imd": {"feeed": "x"}}}, {"devices": {"imd": {"function": "teapot"}}}, {"car": []}, {"docgen": "one"}])
def test_the_validator_refuses_what_the_reader_refuses(wrong: Any) -> None:
    assert list(jsonschema.Draft202012Validator(description_schema()).iter_errors(wrong))


def test_every_field_has_title_description_and_examples() -> None:
    bare = [
        (name, field)
        for name, part in description_schema()["$defs"].items()
        for field, entry in part.get("properties", {}).items()
        if not (entry.get("title") and entry.get("description") and entry.get("examples"))
    ]
    assert bare == []


def test_every_example_that_an_editor_offers_is_valid() -> None:
    schema = description_schema()
    wrong = [
        (name, field, example)
        for name, part in [*schema["$defs"].items(), ("the description", schema)]
        for field, entry in part.get("properties", {}).items()
        for example in entry["examples"]
        if not jsonschema.Draft202012Validator({"$defs": schema["$defs"], **entry}).is_valid(example)
    ]
    assert wrong == []


def test_the_examples_own_schema_file_is_current() -> None:
    assert json.loads((EXAMPLE / "car.schema.json").read_text(encoding="utf-8")) == description_schema()
    assert CAR.read_text(encoding="utf-8").startswith("# yaml-language-server: $schema=./car.schema.json\n")
