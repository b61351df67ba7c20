"""Defects planted by hand in sound cars, without sight of the rules: each is found where a careful reviewer would put the finger."""

from functools import cache
from pathlib import Path as FilePath
from typing import Any

import pytest
from conftest import merged

from docgen.check import check
from docgen.editions import edition
from docgen.folder import files_in
from docgen.load import described
from docgen.reading import Tree, read_text

HERE = FilePath(__file__).parent
ROOT = HERE.parent.parent
PLANTED: list[dict[str, Any]] = read_text((HERE / "defects.yaml").read_text(encoding="utf-8"), "defects.yaml").data

KINDS = {*range(1, 22), *range(23, 43), *range(52, 62)}
"""The kinds of defect that a check of the description must catch; those that need a calculation are not planted here."""

Said = tuple[str, tuple[str, ...], str]
"""A finding: rule, path and what was there."""


def _several(value: Any) -> list[str]:
    return value if isinstance(value, list) else [value]


@cache
def _sound(car: str) -> Any:
    return read_text((ROOT / car).read_text(encoding="utf-8"), car).data


def _said(car: str, change: Any) -> set[Said]:
    """The findings on a sound car after a change, under the edition that the car names."""
    tree = Tree("car.yaml", "", merged(_sound(car), change), {}, {}, (), ())
    report = check(described(tree, files_in((ROOT / car).parent)), edition(tree.data["car"]["edition"]))
    assert not report.failed_rules
    return {(result.rule.slug, tuple(map(str, result.outcome.path)), result.outcome.was) for result in report.findings}


@cache
def _said_of_sound(car: str) -> set[Said]:
    return _said(car, {})


@pytest.mark.parametrize("defect", PLANTED, ids=[defect["name"] for defect in PLANTED])
def test_a_planted_defect_is_found_where_it_is(defect: dict[str, Any]) -> None:
    new = _said(defect["car"], defect["change"]) - _said_of_sound(defect["car"])
    for at in _several(defect["at"]):
        field = tuple(at.split("."))
        assert any(path[: len(field)] == field or path == field[:-1] for _, path, _ in new), sorted(new)


def test_every_kind_of_defect_is_planted() -> None:
    assert {int(number) for defect in PLANTED for number in _several(defect["catalogue"])} == KINDS
