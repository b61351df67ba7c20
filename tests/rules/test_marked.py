"""Marked cars: every finding stands where it is marked, and every mark is found."""

from pathlib import Path

import pytest
from marks import marks

from docgen.car.car import Identity
from docgen.check import check
from docgen.editions import edition
from docgen.load import load_file
from docgen.rules import CATALOGUE

MARKED = sorted((Path(__file__).parent / "marked").glob("*.yaml"))


@pytest.mark.parametrize("path", MARKED, ids=lambda path: path.stem)
def test_a_marked_car_has_exactly_the_marked_findings(path: Path) -> None:
    description = load_file(path)
    named = description.car.car.edition if isinstance(description.car.car, Identity) else None
    report = check(description, edition(named if isinstance(named, str) else "fsuk-2026"))
    expected = marks(path.read_text(encoding="utf-8"))
    assert expected
    assert sorted((result.location.line, result.rule.slug) for result in report.findings) == expected


def test_every_rule_is_marked_in_a_car() -> None:
    marked = {slug for path in MARKED for _, slug in marks(path.read_text(encoding="utf-8"))}
    assert marked == {rule.slug for rule in CATALOGUE}
