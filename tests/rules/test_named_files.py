"""Files that a description names: looked for in its folder, and nowhere else."""

import os
from pathlib import Path

import pytest
from conftest import SMALL_CAR

from docgen.check import check
from docgen.editions import edition
from docgen.finding import Verdict
from docgen.folder import files_in
from docgen.load import Description, load_file, load_text
from docgen.rules.description import file_not_in_folder

EDITION = edition("fsuk-2026")


def written(folder: Path, named: str) -> Path:
    """The small car in a folder, with one picture of this name."""
    car = folder / "car.yaml"
    car.write_text(with_picture(named), encoding="utf-8", newline="\n")
    return car


def with_picture(named: str) -> str:
    assert SMALL_CAR.count("  pack_link: {") == 1
    return SMALL_CAR.replace("  pack_link: {", f"  pack_link: {{pictures: ['{named}'], ")


def verdicts(description: Description) -> list[Verdict]:
    return [result.outcome.verdict for result in check(description, EDITION, (file_not_in_folder,)).results]


def test_a_picture_in_the_folder_is_found(tmp_path: Path) -> None:
    (tmp_path / "pictures").mkdir()
    (tmp_path / "pictures" / "link.png").write_bytes(b"")
    assert verdicts(load_file(written(tmp_path, "pictures/link.png"))) == [Verdict.HOLDS]
    assert verdicts(load_file(written(tmp_path, "./pictures/link.png"))) == [Verdict.HOLDS]


@pytest.mark.parametrize("named", ["pictures/link.png", "pictures/other.png", "pictures"])
def test_a_picture_that_is_not_there_is_a_finding(tmp_path: Path, named: str) -> None:
    (tmp_path / "pictures").mkdir()
    (tmp_path / "pictures" / "Link.PNG").write_bytes(b"")
    assert verdicts(load_file(written(tmp_path, named))) == [Verdict.FINDING]


@pytest.mark.parametrize("named", ["../link.png", "pictures/../../link.png", "..\\link.png", "/etc/hostname", "C:\\link.png", "C:/link.png", "~/link.png", "https://example.org/link.png"])
def test_a_name_that_leads_out_of_the_folder_is_a_finding_though_the_file_is_there(tmp_path: Path, named: str) -> None:
    (tmp_path / "link.png").write_bytes(b"")
    (tmp_path / "car").mkdir()
    assert verdicts(load_file(written(tmp_path / "car", named))) == [Verdict.FINDING]


def test_a_text_without_a_folder_is_not_evaluated() -> None:
    description = load_text(with_picture("pictures/link.png"))
    assert description.files == frozenset()
    assert verdicts(description) == [Verdict.NOT_EVALUATED]


def test_files_are_named_from_the_folder_on(tmp_path: Path) -> None:
    (tmp_path / "a" / "b").mkdir(parents=True)
    for name in ("one.pdf", "a/two.pdf", "a/b/three.pdf", ".hidden"):
        (tmp_path / name).write_bytes(b"")
    assert files_in(tmp_path) == {"one.pdf", "a/two.pdf", "a/b/three.pdf"}


def linked(link: Path, target: Path) -> None:
    try:
        os.symlink(target, link, target_is_directory=target.is_dir())
    except OSError:
        pytest.skip("links cannot be made here")


def test_no_link_is_followed_out_of_the_folder(tmp_path: Path) -> None:
    outside, folder = tmp_path / "outside", tmp_path / "car"
    outside.mkdir()
    folder.mkdir()
    (outside / "secret.txt").write_bytes(b"")
    (folder / "real.pdf").write_bytes(b"")
    linked(folder / "linked_folder", outside)
    linked(folder / "linked_file.txt", outside / "secret.txt")
    linked(folder / "alias.pdf", folder / "real.pdf")
    linked(folder / "circle", folder)
    linked(folder / "loop.txt", folder / "loop.txt")
    assert files_in(folder) == {"real.pdf", "alias.pdf"}


def test_a_folder_too_large_is_not_looked_through(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for number in range(5):
        (tmp_path / f"{number}.txt").write_bytes(b"")
    monkeypatch.setattr("docgen.folder.LARGEST_FOLDER", 5)
    assert len(files_in(tmp_path)) == 5
    monkeypatch.setattr("docgen.folder.LARGEST_FOLDER", 4)
    assert files_in(tmp_path) == frozenset()


def test_an_umlaut_is_the_same_however_the_system_composes_it(tmp_path: Path) -> None:
    (tmp_path / "Su\u0308d.png").write_bytes(b"")
    assert verdicts(load_file(written(tmp_path, "S\u00fcd.png"))) == [Verdict.HOLDS]
