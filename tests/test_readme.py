"""README says what is there: its car can be read, its commands and editions are those of the program."""

import argparse
import re
from pathlib import Path

import pytest
from conftest import TESTS

from docgen.check import check
from docgen.cli import main, parser
from docgen.editions import edition, known_editions
from docgen.load import load_text

README = (TESTS.parent / "README.md").read_text(encoding="utf-8")


def test_the_car_to_begin_with_can_be_read_and_every_finding_names_a_field() -> None:
    text = re.search(r"<!-- car -->\n```yaml\n(.*?)```\n", README, re.DOTALL)
    assert text is not None
    report = check(load_text(text[1]), edition("fsuk-2026"))
    assert report.failed_rules == ()
    assert len(report.errors) > 10
    assert all(result.outcome.path for result in report.findings)


def test_the_commands_are_those_of_the_program() -> None:
    commands = next(action for action in parser()._actions if isinstance(action, argparse._SubParsersAction))
    assert set(re.findall(r"^\| `docgen (\w+)", README, re.MULTILINE)) == set(commands.choices)


def test_the_editions_are_those_that_are_shipped() -> None:
    line = next(line for line in README.splitlines() if line.startswith("Editions: "))
    assert tuple(re.findall(r"`(fs\w*-\d{4})`", line)) == known_editions()


def test_the_table_of_checks_is_that_of_the_catalogue(capsys: pytest.CaptureFixture[str]) -> None:
    """Made anew by ``docgen explain --as markdown``."""
    assert main(["explain", "--as", "markdown"]) == 0
    written = README.partition("<!-- checks -->\n")[2].partition("<!-- end of checks -->")[0]
    assert written.strip() == capsys.readouterr().out.strip()


def test_the_picture_is_the_drawing_of_the_example_car(tmp_path: Path) -> None:
    """Copied from what ``docgen build example_car/car.yaml`` writes."""
    main(["build", str(TESTS.parent / "example_car" / "car.yaml"), "--to", str(tmp_path)])
    assert (TESTS.parent / "example_car" / "loop-drive-1.svg").read_bytes() == (tmp_path / "loop-drive-1.svg").read_bytes()
