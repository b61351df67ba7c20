"""A description as it was in a revision of a git repository."""

import subprocess
from pathlib import Path

import pytest
from conftest import TESTS, tool

from docgen.stop import Stop
from docgen.versioned import described_at

SMALL = (TESTS / "cars" / "small_car.yaml").read_text(encoding="utf-8")


def git(folder: Path, *command: str) -> str:
    who = ("-c", "user.name=role", "-c", "user.email=role@example.org", "-c", "commit.gpgsign=false")
    return subprocess.run([tool("git"), *who, *command], cwd=folder, check=True, capture_output=True, text=True, encoding="utf-8").stdout.strip()


@pytest.fixture
def car(tmp_path: Path) -> Path:
    folder = tmp_path / "team" / "our car"
    folder.mkdir(parents=True)
    path = folder / "car.yaml"
    git(tmp_path / "team", "init", "-q")
    for mark in ("A", "B", "C"):
        path.write_text(SMALL.replace("mark: A", f"mark: {mark}"), encoding="utf-8")
        git(folder, "add", ".")
        git(folder, "commit", "-q", "-m", f"Revision {mark}")
        git(folder, "tag", f"revision-{mark}")
    path.write_text(SMALL.replace("mark: A", "mark: D"), encoding="utf-8")
    return path


@pytest.mark.parametrize(("revision", "mark"), [("HEAD", "C"), ("HEAD~1", "B"), ("revision-A", "A"), ("HEAD~2", "A")])
def test_the_description_of_a_revision_is_the_one_that_was_committed(car: Path, revision: str, mark: str) -> None:
    description = described_at(car, revision)
    assert description.car.newest.mark == mark
    assert description.tree.file == f"car.yaml@{revision}"


@pytest.mark.parametrize("revision", ["nothing", "HEAD~9", "--help", "-h", "", "HEAD:car.yaml", "$(touch x)", "../x"])
def test_what_is_no_revision_is_told(car: Path, revision: str) -> None:
    with pytest.raises(Stop, match="must be a git revision"):
        described_at(car, revision)


def test_a_file_that_the_revision_lacks_is_told(car: Path) -> None:
    other = car.with_name("other.yaml")
    other.write_text(SMALL, encoding="utf-8")
    with pytest.raises(Stop, match="must be a git revision that holds the file"):
        described_at(other, "HEAD")


def test_a_folder_without_a_repository_is_told(tmp_path: Path) -> None:
    (tmp_path / "car.yaml").write_text(SMALL, encoding="utf-8")
    with pytest.raises(Stop, match="must be a git revision"):
        described_at(tmp_path / "car.yaml", "HEAD")


def test_no_program_that_a_repository_names_runs(car: Path, tmp_path: Path) -> None:
    """Each of these settings starts a program in some everyday command of git."""
    mark = tmp_path / "ran"
    script = tmp_path / "program.sh"
    script.write_text(f"#!/bin/sh\ntouch '{mark.as_posix()}'\ncat \"$1\"\n", encoding="utf-8")
    script.chmod(0o755)
    for setting in ("core.fsmonitor", "diff.odd.textconv", "filter.odd.smudge", "core.pager", "core.sshCommand", "diff.external", "core.editor"):
        git(car.parent, "config", setting, script.as_posix())
    (car.parent / ".gitattributes").write_text("*.yaml diff=odd filter=odd\n", encoding="utf-8")
    assert described_at(car, "HEAD").car.newest.mark == "C"
    assert not mark.exists()


def test_a_file_that_is_too_large_is_not_read(car: Path) -> None:
    car.write_text(SMALL + "#" * 2_100_000, encoding="utf-8")
    git(car.parent, "commit", "-q", "-am", "large")
    with pytest.raises(Stop, match="must have at most"):
        described_at(car, "HEAD")
