"""Sound cars of different build: the rules find nothing in them under the edition that each names."""

from pathlib import Path

import pytest

from docgen.car.car import Identity
from docgen.check import check
from docgen.editions import edition
from docgen.load import load_file

SOUND = sorted((Path(__file__).parents[1] / "cars" / "sound").glob("*.yaml"))


def test_there_are_sound_cars_of_six_builds() -> None:
    builds = {path.stem for path in SOUND}
    assert builds >= {"two_accumulators", "transistor_stages", "two_pack_charger", "fsae_style", "first_year", "driverless"}


@pytest.mark.parametrize("path", SOUND, ids=lambda path: path.stem)
def test_a_sound_car_is_without_findings(path: Path) -> None:
    description = load_file(path)
    assert isinstance(description.car.car, Identity)
    assert isinstance(description.car.car.edition, str)
    report = check(description, edition(description.car.car.edition))
    assert [f"{result.location}: {result.rule.slug}: {result.outcome.was}; {result.outcome.must}" for result in report.findings] == []
