"""The command line as a user meets it: exit codes, what is printed, what is written."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from conftest import SMALL_CAR

from docgen.cli import main
from docgen.files import NotWritten, write
from docgen.rules import CATALOGUE


@pytest.fixture
def car(tmp_path: Path) -> Path:
    path = tmp_path / "car.yaml"
    path.write_text(SMALL_CAR, encoding="utf-8")
    return path


def _place(piece: str, at: str = "") -> str:
    """Line and column at which `at` begins inside `piece` in the small car."""
    index = SMALL_CAR.index(piece) + piece.index(at)
    return f"{SMALL_CAR.count(chr(10), 0, index) + 1}:{index - SMALL_CAR.rfind(chr(10), 0, index)}"


def _broken(car: Path, old: str, new: str) -> Path:
    text = car.read_text(encoding="utf-8")
    assert old in text
    car.write_text(text.replace(old, new, 1), encoding="utf-8")
    return car


def test_a_sound_car_leaves_with_0(car: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(car)]) == 0
    out = capsys.readouterr().out
    assert "0 errors, 0 warnings, 0 open points, " in out
    assert " of the edition without a check. " in out
    assert "docgen approves nothing" in out


def test_an_error_leaves_with_1_and_shows_the_line(car: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(_broken(car, "return: [chassis]", "return: [inertia_switch, chassis]"))]) == 1
    out = capsys.readouterr().out
    place = _place("return: [chassis]", "chassis")
    assert f"car.yaml:{place}: error: inertia_switch stands on the return side" in out
    assert f"{place.split(':')[0]} |     return: [inertia_switch, chassis]" in out
    assert "EV6.1.3" in out


def test_a_warning_leaves_with_0_unless_warnings_count(car: Path) -> None:
    _broken(car, "when_lost: {feed: opens}", "when_lost: {feed: opens, ground: unknown}")
    assert main(["check", str(car)]) == 0
    assert main(["check", str(car), "--warnings-count"]) == 1


def test_what_cannot_be_read_leaves_with_2_and_writes_nothing(car: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _broken(car, "name: Dunlin 1", "nmae: Dunlin 1")
    assert main(["build", str(car), "--to", str(tmp_path / "out")]) == 2
    assert not (tmp_path / "out").exists()
    err = capsys.readouterr().err
    assert "car.yaml:3:7: unreadable: the key nmae is not known here" in err
    assert "must be name" in err


def test_an_unknown_edition_gets_the_list_of_known_ones(car: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(_broken(car, "fsuk-2026", "fsuk-1999"))]) == 2
    assert f"car.yaml:{_place('edition: fsuk-2026')}: error: the edition fsuk-1999 is not known; must be one of: " in capsys.readouterr().err
    assert main(["check", str(car), "--edition", "nonsense"]) == 2


def test_json_holds_every_result_with_its_place(car: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(_broken(car, "return: [chassis]", "return: [inertia_switch, chassis]")), "--as", "json"]) == 1
    report = json.loads(capsys.readouterr().out)
    found = [result for result in report["results"] if result["check"] == "return-side-member" and result["verdict"] == "finding"]
    line, column = map(int, _place("return: [chassis]", "chassis").split(":"))
    assert [(result["line"], result["column"], result["severity"], result["field"]) for result in found] == [(line, column, "error", "loops.drive.return[0]")]
    assert report["counts"]["errors"] >= 1


def test_build_writes_documents_drawings_tables_and_findings(car: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "out"
    assert main(["build", str(car), "--to", str(out)]) == 0
    names = {path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file()}
    assert {"submission.docx", "submission.html", "findings.json", "loop-drive-1.svg", "loop-drive-1.png", "tables/devices.csv"} <= names
    assert not [name for name in names if ".writing-" in name]
    assert "without its comments" in capsys.readouterr().out


def test_findings_do_not_stop_the_writing(car: Path, tmp_path: Path) -> None:
    _broken(car, "return: [chassis]", "return: [inertia_switch, chassis]")
    assert main(["build", str(car), "--to", str(tmp_path / "out")]) == 1
    assert (tmp_path / "out" / "submission.docx").is_file()


def test_the_same_description_gives_the_same_bytes(car: Path, tmp_path: Path) -> None:
    for folder in ("one", "two"):
        assert main(["build", str(car), "--to", str(tmp_path / folder)]) == 0
    for path in (tmp_path / "one").rglob("*.*"):
        if path.is_file():
            assert path.read_bytes() == (tmp_path / "two" / path.relative_to(tmp_path / "one")).read_bytes(), path.name


def test_an_empty_description_is_readable_and_yields_findings(tmp_path: Path) -> None:
    (tmp_path / "car.yaml").write_text("docgen: 1\ncar: {edition: fsuk-2026}\n", encoding="utf-8")
    assert main(["build", str(tmp_path / "car.yaml")]) == 1
    assert (tmp_path / "submission" / "submission.html").is_file()


def test_a_template_that_cannot_be_used_writes_nothing(car: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "demand.md").write_text("{{ nothing_of_that_name }}\n", encoding="utf-8")
    assert main(["build", str(car), "--to", str(tmp_path / "out"), "--templates", str(tmp_path / "own")]) == 2
    assert "demand.md:1" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_a_teams_own_words_lie_over_ours_file_by_file(car: Path, tmp_path: Path) -> None:
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "demand.md").write_text("Words of the team.\n", encoding="utf-8")
    assert main(["build", str(car), "--to", str(tmp_path / "out"), "--templates", str(tmp_path / "own")]) == 0
    assert "Words of the team." in (tmp_path / "out" / "submission.html").read_text(encoding="utf-8")


def test_a_file_that_cannot_be_replaced_is_named(tmp_path: Path) -> None:
    (tmp_path / "a.txt").mkdir()
    with pytest.raises(NotWritten, match="cannot be written"):
        write(tmp_path, {"b.txt": b"new", "a.txt": b"new"})
    assert not [path for path in tmp_path.iterdir() if path.name.startswith(".writing-")]


def test_nothing_but_files_is_replaced(tmp_path: Path) -> None:
    (tmp_path / "b.txt").write_bytes(b"old")
    (tmp_path / "c.txt").mkdir()
    with pytest.raises(NotWritten, match=r"c\.txt cannot be written: something that is no file has this name.*nothing was written"):
        write(tmp_path, {"b.txt": b"new", "c.txt": b"new"})
    assert (tmp_path / "b.txt").read_bytes() == b"old"


def test_no_empty_folder_stays_where_nothing_was_written(tmp_path: Path) -> None:
    with pytest.raises(NotWritten):
        write(tmp_path / "out", {"tables/a.csv": b"new", "tables/a.csv/b": b"new"})
    assert list(tmp_path.iterdir()) == []


def test_nothing_is_written_through_a_link_inside_the_folder(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "elsewhere").mkdir()
    _link(tmp_path / "out" / "tables", tmp_path / "elsewhere")
    with pytest.raises(NotWritten, match="a link leads out of the folder"):
        write(tmp_path / "out", {"tables/a.csv": b"new"})
    assert list((tmp_path / "elsewhere").iterdir()) == []


def test_a_link_in_place_of_the_folder_is_followed_only_when_it_is_named(car: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "elsewhere").mkdir()
    _link(tmp_path / "submission", tmp_path / "elsewhere")
    assert main(["build", str(car)]) == 2
    assert "submission is a link; name the folder to write into, with --to\nnothing was written" in capsys.readouterr().err
    assert list((tmp_path / "elsewhere").iterdir()) == []
    assert main(["build", str(car), "--to", str(tmp_path / "submission")]) == 0


def _link(link: Path, target: Path) -> None:
    try:
        link.symlink_to(target, target_is_directory=True)
    except OSError:
        pytest.skip("no links on this system")


@pytest.mark.parametrize("style", ["@import 'http://example.org/a.css';", "</style>"])
def test_a_style_that_leads_out_writes_nothing(style: str, car: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert _build_with(car, tmp_path, "style.css", f"\n{style}\n") == 2
    assert "the style sheet leads out of the page in its line 2: " in capsys.readouterr().err


@pytest.mark.parametrize(("name", "text"), [("demand.md", "## A {#a}\n\n## B {#a}\n"), ("demand.md", "[](#nowhere)\n"), ("front.md", "#### A\n"), ("demand.md", "## Findings\n")])
def test_templates_that_make_no_document_together_write_nothing(name: str, text: str, car: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert _build_with(car, tmp_path, name, text) == 2
    assert "own:1:1: the templates make no document together: " in capsys.readouterr().err


def test_a_templates_folder_that_is_not_there_is_told(car: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["build", str(car), "--to", str(tmp_path / "out"), "--templates", str(tmp_path / "own")]) == 2
    assert "own:1:1: is no folder" in capsys.readouterr().err


def _build_with(car: Path, folder: Path, name: str, text: str) -> int:
    (folder / "own").mkdir()
    (folder / "own" / name).write_text(text, encoding="utf-8")
    code = main(["build", str(car), "--to", str(folder / "out"), "--templates", str(folder / "own")])
    assert not (folder / "out").exists()
    return code


@pytest.mark.parametrize("closed", ["stdout", "stderr"])
def test_a_closed_stream_takes_nothing(closed: str, car: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdout", sys.stdout)
    monkeypatch.setattr("sys.stderr", sys.stderr)
    monkeypatch.setattr(f"sys.{closed}", None)
    assert main(["check", str(_broken(car, "return: [chassis]", "return: [inertia_switch, chassis]"))]) == 1
    assert main(["check", str(car.parent / "absent.yaml")]) == 2


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
@pytest.mark.parametrize("command", ["check CAR", "check CAR --as json", "explain", "schema"])
def test_output_that_cannot_be_printed_leaves_with_2(command: str, car: Path) -> None:
    arguments = [str(car) if word == "CAR" else word for word in command.split()]
    with open("/dev/full", "wb") as full:
        run = subprocess.run([sys.executable, "-m", "docgen", *arguments], stdout=full, stderr=subprocess.PIPE, check=False)
    assert run.returncode == 2
    assert run.stderr.startswith(b"error: ")
    assert b"Traceback" not in run.stderr


def test_a_text_of_several_lines_is_printed_on_one(car: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", str(_broken(car, "lit_by: brake pressure, colour: red", 'lit_by: brake pressure, colour: "pink\\ncar.yaml:1:1: note: nothing to see"'))])
    lines = capsys.readouterr().out.split("\n")
    assert [line for line in lines if "nothing to see" in line]
    assert not [line for line in lines if line.startswith("car.yaml:1:1: note: nothing to see")]


@pytest.mark.parametrize("words", [[], ["latch"], ["reset-by-driver"], ["pedal", "brake"]])
def test_explain_lists_finds_and_explains(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", *words]) == 0
    assert capsys.readouterr().out.strip()


def test_a_rule_explains_itself(capsys: pytest.CaptureFixture[str]) -> None:
    main(["explain", "reset-by-driver"])
    out = capsys.readouterr().out
    for part in ("why:", "clause: Formula Student", "EV6.1.6", "how to put it right:", "wrong, as a change", "who: anyone"):
        assert part in out


@pytest.mark.parametrize(("word", "slug"), [("BSPD", "plausibility-reset-way"), ("bots", "over-travel-margin"), ("LVMS", "lv-master-not-first"), ("ams", "latch-missing")])
def test_explain_knows_the_editions_own_words(word: str, slug: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", word]) == 0
    out = capsys.readouterr().out
    assert slug in out
    assert "brake-light-colour" not in out


def test_explain_looks_for_the_beginnings_of_words(capsys: pytest.CaptureFixture[str]) -> None:
    main(["explain", "lock"])
    out = capsys.readouterr().out
    assert "connector-not-locked" in out
    assert "charging-lead-interlock-missing" not in out


def test_the_field_that_was_left_out_is_named(car: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", str(_broken(car, "when_lost: {feed: opens}", "when_lost: {signal: opens}"))])
    assert "feed-loss-not-stated · devices.bspd.when_lost" in capsys.readouterr().out


def test_the_version_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["--version"])
    assert left.value.code == 0
    assert capsys.readouterr().out.startswith("docgen ")


def test_a_car_without_an_edition_is_told_where_to_name_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "car.yaml").write_text("docgen: 1\ncar: {name: Dunlin 1}\n", encoding="utf-8")
    assert main(["check", str(tmp_path / "car.yaml")]) == 2
    assert "car.yaml:2:1: error: no edition is named under car, as in `edition: fsuk-2026`; must be one of: " in capsys.readouterr().err


def test_explain_names_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "reset-by-drivr"]) == 2
    assert "reset-by-driver" in capsys.readouterr().err


@pytest.mark.parametrize("command", ["check", "build", "explain", "schema"])
def test_help_shows_examples_and_exit_codes(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main([command, "--help"])
    assert left.value.code == 0
    out = capsys.readouterr().out
    assert f"docgen {command}" in out
    assert "exit codes:" in out


def test_no_colour_without_a_terminal(car: Path) -> None:
    run = subprocess.run([sys.executable, "-m", "docgen", "check", str(car)], capture_output=True, check=False)
    assert run.returncode == 0
    assert b"\x1b" not in run.stdout


@pytest.mark.parametrize("word", ["passed", "compliant", "OK"])
def test_no_explanation_approves_anything(word: str) -> None:
    assert [rule.slug for rule in CATALOGUE if re.search(rf"\b{word}\b", f"{rule.texts.demand} {rule.texts.why} {rule.texts.mend} {rule.texts.wrong} {rule.texts.right}")] == []


@pytest.mark.parametrize("word", ["passed", "compliant", " OK"])
def test_nothing_is_approved(word: str, car: Path, tmp_path: Path) -> None:
    main(["build", str(car), "--to", str(tmp_path / "out")])
    assert word not in (tmp_path / "out" / "submission.html").read_text(encoding="utf-8")
