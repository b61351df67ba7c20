"""Many submissions at a glance: worst first, nothing stops the others, and an interrupted run goes on where it was."""

import csv
import io
import json
import os
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import TESTS

from docgen import overview as module
from docgen.cli import main
from docgen.overview import READ, Row, overview, submissions
from docgen.stop import Stop

SMALL = (TESTS / "cars" / "small_car.yaml").read_text(encoding="utf-8")


def put(folder: Path, **cars: str) -> Path:
    for name, text in cars.items():
        (folder / name).mkdir(parents=True, exist_ok=True)
        (folder / name / "car.yaml").write_text(text, encoding="utf-8")
    return folder


def seen(folder: Path, target: Path, workers: int = 1) -> tuple[Row, ...]:
    return overview(folder, target, None, workers, lambda done, of: None)


def test_what_cannot_be_read_comes_first_then_the_most_errors(tmp_path: Path) -> None:
    first = (TESTS.parent / "example_car" / "car_as_first_written.yaml").read_text(encoding="utf-8")
    rows = seen(put(tmp_path / "all", sound=SMALL, broken="docgen: [", first=first), tmp_path / "out", workers=2)
    assert [row.summary.file for row in rows] == ["broken/car.yaml", "first/car.yaml", "sound/car.yaml"]
    assert "car.yaml:1:" in rows[0].summary.problem
    assert rows[1].summary.errors > 10 and rows[1].summary.subjects["Contact wording and states"] > 0
    assert (rows[2].summary.errors, rows[2].summary.warnings, rows[2].summary.car) == (0, 0, "Dunlin 1")


def test_one_run_tells_what_is_different_from_the_last_finished_one(tmp_path: Path) -> None:
    folder, target = put(tmp_path / "all", a=SMALL, b=SMALL, c="docgen: ["), tmp_path / "out"
    assert main(["overview", str(folder), "--to", str(target), "--at-once", "1"]) == 1
    assert {row["Since last time"] for row in table(target)} == {""}
    assert [row["Errors"] for row in table(target)] == ["", "0", "0"]  # what could not be read comes first, without numbers
    put(folder, a=SMALL.replace("mark: A", "mark: B"), c=SMALL, d=SMALL)
    (folder / "b" / "car.yaml").write_text(SMALL.replace("at_rest: open, when_healthy: closed", "at_rest: open", 1), encoding="utf-8")
    main(["overview", str(folder), "--to", str(target), "--at-once", "1"])
    told = {row["Submission"]: row["Since last time"] for row in table(target)}
    assert told["a/car.yaml"] == "was revision A; 1 change"
    assert re.fullmatch(r"1 change; findings: [1-9]\d* new, 0 gone", told["b/car.yaml"])
    assert told["c/car.yaml"] == "could not be read last time"
    assert told["d/car.yaml"] == "not there last time"


def table(target: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO((target / "overview.csv").read_text(encoding="utf-8-sig"))))


def test_what_has_been_read_is_not_read_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """So that a run that was interrupted goes on where it was."""
    path = put(tmp_path / "all", a=SMALL) / "a" / "car.yaml"
    task = module._Task(path, "a/car.yaml", tmp_path / "out" / READ, None, True)
    before = module._row(task, None)

    def never(*_: object) -> None:
        raise AssertionError("it was read again")

    monkeypatch.setattr(module, "described_in", never)
    assert module._row(task, None) == before
    path.write_text(SMALL + "\n", encoding="utf-8")
    assert "stopped on it: AssertionError" in module._row(task, None).summary.problem


def test_a_document_stands_for_its_submission(tmp_path: Path) -> None:
    folder = put(tmp_path / "all", a=SMALL)
    main(["build", str(folder / "a" / "car.yaml")])
    (folder / "a" / "car.yaml").unlink()
    rows = seen(folder, tmp_path / "out")
    assert [(row.summary.file, row.summary.car, row.summary.problem) for row in rows] == [("a/submission/submission.docx", "Dunlin 1", "")]


QUESTIONS = """\
docgen: 1
car: Dunlin 1
reviewer: electrical reviewer
questions:
  q1: {place: devices.imd.latch, severity: remark, text: Is it?, state: open}
  q2: {place: devices.ams.latch, severity: remark, text: Is it?, state: withdrawn}
"""


def test_open_questions_beside_a_description_are_counted(tmp_path: Path) -> None:
    folder = put(tmp_path / "all", a=SMALL)
    (folder / "a" / "questions.yaml").write_text(QUESTIONS, encoding="utf-8")
    assert seen(folder, tmp_path / "out")[0].summary.open_questions == 1


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a process that can be ended from inside")
def test_a_submission_that_ends_its_process_does_not_stop_the_others(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "_CONTEXT", "fork")
    honest = module._read

    def deadly(task: module._Task, digest: str) -> tuple[module.Summary, str]:
        if task.file.startswith("b/"):
            os._exit(9)
        return honest(task, digest)

    monkeypatch.setattr(module, "_read", deadly)
    rows = seen(put(tmp_path / "all", a=SMALL, b=SMALL, c=SMALL), tmp_path / "out", workers=2)
    assert [(row.summary.file[0], row.summary.problem) for row in rows] == [("b", "reading it ended the process that read it"), ("a", ""), ("c", "")]


def test_text_of_a_stranger_is_neither_markup_nor_a_formula(tmp_path: Path) -> None:
    folder = put(tmp_path / "all", a=SMALL.replace("name: Dunlin 1", "name: '=1+<b>2</b>'"))
    main(["overview", str(folder), "--to", str(tmp_path / "out"), "--at-once", "1"])
    assert "=1+&lt;b&gt;2&lt;/b&gt;" in (tmp_path / "out" / "overview.html").read_text(encoding="utf-8")
    assert table(tmp_path / "out")[0]["Car"] == "'=1+<b>2</b>"
    assert json.loads((tmp_path / "out" / "overview.json").read_bytes())[0]["car"] == "=1+<b>2</b>"


def test_hidden_entries_and_links_are_no_submissions(tmp_path: Path) -> None:
    folder = put(tmp_path / "all", a=SMALL)
    put(folder, **{".b": SMALL})
    put(tmp_path / "elsewhere", c=SMALL)
    try:
        (folder / "link").symlink_to(tmp_path / "elsewhere" / "c", target_is_directory=True)
    except OSError:
        pytest.skip("no links here")
    assert [path.relative_to(folder).as_posix() for path in submissions(folder)] == ["a/car.yaml"]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs a system whose names are bytes")
def test_a_name_that_is_no_text_is_shown_with_marks_in_its_place(tmp_path: Path) -> None:
    folder = os.fsencode(tmp_path) + b"/all/\xff\x1b"
    try:
        os.makedirs(folder)
    except OSError:
        pytest.skip("this file system keeps no such name")
    Path(os.fsdecode(folder), "car.yaml").write_text(SMALL, encoding="utf-8")
    assert main(["overview", str(tmp_path / "all"), "--to", str(tmp_path / "out"), "--at-once", "1"]) == 0
    assert table(tmp_path / "out")[0]["Submission"] == "\ufffd\ufffd/car.yaml"


def test_a_folder_that_cannot_be_listed_is_told_and_the_others_go_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = put(tmp_path / "all", a=SMALL)
    (folder / "locked").mkdir()
    honest = Path.iterdir

    def locked(path: Path) -> Iterator[Path]:
        if path.name == "locked":
            raise PermissionError(13, "Permission denied")
        return honest(path)

    monkeypatch.setattr(Path, "iterdir", locked)
    rows = seen(folder, tmp_path / "out")
    assert [row.summary.file for row in rows] == ["locked/car.yaml", "a/car.yaml"]
    assert "car.yaml:1:1: the file cannot be read" in rows[0].summary.problem


@pytest.mark.parametrize(
    "change", [{"errors": "many"}, {"file": ["a"]}, {"findings": [["a"]]}, {"car": "\ud800"}, {"subjects": [1]}], ids=lambda change: next(iter(change))
)
def test_what_was_kept_counts_only_as_a_docgen_keeps_it(tmp_path: Path, change: dict[str, object]) -> None:
    folder, target = put(tmp_path / "all", a=SMALL), tmp_path / "out"
    main(["overview", str(folder), "--to", str(target), "--at-once", "1"])
    sound = table(target)[0]
    for path in (target / "overview.json", *(target / READ).iterdir()):
        path.write_text(json.dumps([json.loads(path.read_bytes())[0] | change, ""]), encoding="utf-8")
    assert main(["overview", str(folder), "--to", str(target), "--at-once", "1"]) == 0
    assert table(target)[0] == sound
    for path in (target / "overview.json", *(target / READ).iterdir()):
        path.write_text("[" * 100_000, encoding="utf-8")
    assert main(["overview", str(folder), "--to", str(target), "--at-once", "1"]) == 0
    assert table(target)[0] == sound


def test_nothing_is_kept_through_a_link(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder, target = put(tmp_path / "all", a=SMALL), tmp_path / "out"
    target.mkdir()
    (tmp_path / "elsewhere").mkdir()
    try:
        (target / READ).symlink_to(tmp_path / "elsewhere", target_is_directory=True)
    except OSError:
        pytest.skip("no links here")
    assert main(["overview", str(folder), "--to", str(target), "--at-once", "1"]) == 2
    assert "a link leads out of the folder" in capsys.readouterr().err
    assert not list((tmp_path / "elsewhere").iterdir())


def test_a_folder_without_submissions_is_told(tmp_path: Path) -> None:
    with pytest.raises(Stop, match="holds no submission"):
        submissions(tmp_path)
    with pytest.raises(Stop, match="is no folder"):
        submissions(tmp_path / "nothing")


def test_an_edition_that_is_not_known_is_told_before_anything_is_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = put(tmp_path / "all", a=SMALL)
    assert main(["overview", str(folder), "--to", str(tmp_path / "out"), "--edition", "fs-1900"]) == 2
    assert "the edition fs-1900 is not known; must be one of: fs-2020" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()
