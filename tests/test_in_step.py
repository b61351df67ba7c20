"""Documents are kept in step with what they are made from: seen at once, and built anew only where something changed."""

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

import pytest

import docgen.writers.diagram
from docgen.cli import main
from docgen.stamp import stamp_in

CAR = """\
docgen: 1
car: {name: Sanderling, team: Marsh Racing, edition: fsuk-2026}  # a comment
loops:
  drive:
    source: low_voltage
    path: [button, {each_to_return: [[coil air_plus]]}]
    return: [chassis]
  charging:
    source: low_voltage
    path: [knob, {each_to_return: [[coil air_plus]]}]
    return: [chassis]
devices:
  button: {function: shutdown button, worked_by: hand, contact: {at_rest: closed, when_healthy: closed, tripped: open}}
  knob: {function: shutdown button, worked_by: hand, contact: {at_rest: closed, when_healthy: closed, tripped: open}}
  air_plus: {function: accumulator contactor, worked_by: coil, coil: {voltage: 12 V}}
evidence:
  here: {title: Data sheet, file: evidence/here.pdf}
  gone: {title: Data sheet, file: evidence/gone.pdf}
"""
QUESTIONS = """\
docgen: 1
car: Sanderling
reviewer: electrical reviewer
questions:
  q1: {place: devices.air_plus, severity: must be settled, text: Which relay is this?, state: open}
"""
OWN_EDITION = "extends: fsuk-2026\nterms: {shutdown button: red button}\n"


class Car:
    """A folder with a description and what it may be built with."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.description, self.out = folder, folder / "car.yaml", folder / "submission"
        self.options: list[str] = []

    def build(self) -> int:
        return main(["build", str(self.description), *self.options])

    def current(self) -> int:
        return main(["current", str(self.description), *self.options])

    def reworded(self, old: str, new: str) -> None:
        text = self.description.read_text(encoding="utf-8")
        assert old in text
        self.description.write_text(text.replace(old, new), encoding="utf-8")

    def files(self, folder: Path | None = None) -> dict[str, bytes]:
        out = folder or self.out
        return {path.relative_to(out).as_posix(): path.read_bytes() for path in out.rglob("*") if path.is_file()}

    def ages(self) -> dict[str, int]:
        return {path.relative_to(self.out).as_posix(): path.stat().st_mtime_ns for path in self.out.rglob("*") if path.is_file()}


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("in_step") / "car"
    (folder / "evidence").mkdir(parents=True)
    (folder / "evidence" / "here.pdf").write_bytes(b"%PDF-1.7")
    (folder / "car.yaml").write_text(CAR, encoding="utf-8")
    assert Car(folder).build() == 1
    for path in (folder / "submission").rglob("*"):
        os.utime(path, ns=(1, 1))
    return folder


@pytest.fixture
def car(built: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Car:
    """A copy of the built folder. Every file in it was written long ago."""
    shutil.copytree(built, tmp_path / "car")
    capsys.readouterr()
    return Car(tmp_path / "car")


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """Every sheet that is drawn."""
    sheets: list[object] = []

    def counting(sheet: object) -> object:
        sheets.append(sheet)
        return docgen.writers.diagram.draw(sheet)  # type: ignore[arg-type]

    monkeypatch.setattr("docgen.earlier.draw", counting)
    return sheets


# ---- docgen current


def test_a_folder_as_built_is_in_step(car: Car, capsys: pytest.CaptureFixture[str]) -> None:
    assert car.current() == 0
    assert capsys.readouterr().out.startswith("in step: ")


def test_the_folder_of_the_description_stands_for_it(car: Car) -> None:
    assert main(["current", str(car.folder)]) == 0


def _described(car: Car) -> None:
    car.reworded("12 V", "24 V")


def _commented(car: Car) -> None:
    car.reworded("# a comment", "# another comment")


def _handed_in(car: Car) -> None:
    (car.folder / "evidence" / "gone.pdf").write_bytes(b"x")


def _lost(car: Car) -> None:
    (car.folder / "evidence" / "here.pdf").unlink()


def _own_edition(car: Car) -> None:
    (car.folder / "own.yaml").write_text(OWN_EDITION, encoding="utf-8")
    car.options = ["--edition", str(car.folder / "own.yaml")]


def _own_templates(car: Car) -> None:
    (car.folder / "own").mkdir()
    (car.folder / "own" / "loop.md").write_text("The loop.\n", encoding="utf-8")
    car.options = ["--templates", str(car.folder / "own")]


def _asked(car: Car) -> None:
    (car.folder / "questions.yaml").write_text(QUESTIONS, encoding="utf-8")
    car.options = ["--questions", str(car.folder / "questions.yaml")]


def _comments_kept(car: Car) -> None:
    car.options = ["--with-comments"]


def _edited(car: Car) -> None:
    (car.out / "tables" / "devices.csv").write_text("mine", encoding="utf-8")


def _deleted(car: Car) -> None:
    (car.out / "submission.html").unlink()


def _added(car: Car) -> None:
    (car.out / "submission final.docx").write_bytes(b"x")


DIFFERENCES: list[tuple[Callable[[Car], None], str]] = [
    (_described, "  the description was changed\n"),
    (_commented, "  the description was changed\n"),
    (_handed_in, "  now in the folder of the description: evidence/gone.pdf\n"),
    (_lost, "  no longer in the folder of the description: evidence/here.pdf\n"),
    (_own_edition, "  they were written for no --edition, asked for is --edition own.yaml\n"),
    (_own_templates, "  the templates were changed\n"),
    (_asked, "  the questions were changed\n"),
    (_comments_kept, "  they were written without --with-comments, asked for is with it\n"),
    (_edited, "  changed by hand: tables/devices.csv\n"),
    (_deleted, "  missing: submission.html\n"),
    (_added, "  not written by this build: submission final.docx\n"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "said"), DIFFERENCES, ids=[change.__name__.strip("_") for change, _ in DIFFERENCES])
def test_what_is_out_of_step_is_told_and_nothing_else(change: Callable[[Car], None], said: str, car: Car, capsys: pytest.CaptureFixture[str]) -> None:
    change(car)
    assert car.current() == 1
    head, told = capsys.readouterr().out.split("\n", 1)
    assert head.startswith("not in step: ")
    assert told == said


@pytest.mark.parametrize("change", [change for change, _ in DIFFERENCES if change is not _added], ids=lambda change: change.__name__.strip("_"))
def test_a_build_brings_it_in_step_again(change: Callable[[Car], None], car: Car) -> None:
    change(car)
    assert car.build() == 1
    assert car.current() == 0


def test_another_docgen_is_out_of_step(car: Car, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("docgen.inputs.VERSION", "9.9.9")
    assert car.current() == 1
    assert "wrote them, this is 9.9.9" in capsys.readouterr().out


def test_a_changed_edition_or_template_file_is_seen(car: Car, capsys: pytest.CaptureFixture[str]) -> None:
    _own_templates(car)
    templates = car.options
    _own_edition(car)
    car.options += templates
    assert car.build() == 1
    assert car.current() == 0
    (car.folder / "own.yaml").write_text(OWN_EDITION.replace("red", "big"), encoding="utf-8")
    (car.folder / "own" / "loop.md").write_text("A loop.\n", encoding="utf-8")
    (car.folder / "own" / "notes.txt").write_text("of no use to docgen", encoding="utf-8")
    capsys.readouterr()
    assert car.current() == 1
    assert capsys.readouterr().out.splitlines()[1:] == ["  the edition was changed", "  the templates were changed"]


def test_what_does_not_count_leaves_it_in_step(car: Car) -> None:
    """Other files in the folder, what editors and office programs leave, and line ends as Git writes them on Windows."""
    (car.folder / "notes.txt").write_text("x", encoding="utf-8")
    (car.out / ".DS_Store").write_bytes(b"x")
    (car.out / "~$bmission.docx").write_bytes(b"x")
    for path in (car.description, car.out / "submission.html", car.out / "findings.json"):
        data = path.read_bytes()
        assert b"\r" not in data
        path.write_bytes(data.replace(b"\n", b"\r\n"))
    assert car.current() == 0


def test_the_lines_that_somebody_changed_in_a_document_are_told(car: Car, capsys: pytest.CaptureFixture[str]) -> None:
    page = car.out / "submission.html"
    page.write_bytes(page.read_bytes().replace(b">Marsh Racing<", b">Reed Racing<", 1))
    assert car.current() == 1
    out = capsys.readouterr().out
    assert "  changed by hand: submission.html\nsubmission.html: error: " in out
    assert out.endswith("\n    - Marsh Racing\n    + Reed Racing\n")


def test_a_document_that_is_none_of_docgens_is_told(car: Car, capsys: pytest.CaptureFixture[str]) -> None:
    (car.out / "submission.docx").write_bytes(b"something else")
    assert car.current() == 1
    assert "submission.docx:1:1: this is no Word file" in capsys.readouterr().out


def test_where_nothing_was_built_nothing_is_in_step(car: Car, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    car.options = ["--to", str(tmp_path / "elsewhere")]
    assert car.current() == 1
    assert "holds no made.json of this docgen" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["no_such.yaml"], "no_such.yaml: error: the file cannot be read: "),
        (["car.yaml", "--templates", "no_such"], "no_such:1:1: is no folder"),
        (["car.yaml", "--edition", "no_such.yaml"], "no_such.yaml: error: the file cannot be read: "),
        (["car.yaml", "--edition", "fs-1999"], "error: the edition fs-1999 is not known; must be one of: fs-2020, "),
    ],
)
def test_what_cannot_be_read_leaves_with_2(arguments: list[str], said: str, car: Car, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(car.folder)
    assert main(["current", *arguments]) == 2
    assert said in capsys.readouterr().err


def test_nothing_that_reads_descriptions_is_imported_to_say_whether_all_is_in_step(car: Car) -> None:
    code = "import sys; from docgen.cli import main; main(sys.argv[1:]); print(*sorted(sys.modules))"
    run = subprocess.run([sys.executable, "-c", code, "current", str(car.description)], capture_output=True, text=True, encoding="utf-8", check=False)
    modules = set(run.stdout.splitlines()[-1].split())
    assert "docgen.commands.current" in modules
    assert not {"pydantic", "ruamel", "jinja2", "docx", "lxml", "dataclasses", "inspect", "docgen.load", "docgen.commands.check"} & modules


# ---- the stamp of a stranger


@pytest.mark.parametrize(
    "stamp",
    ["", "[]", "null", "{}", '{"inputs": 1, "files": 2, "pictures": 3}', "[" * 100_000, "\udcff"],
)  # fmt: skip
def test_a_stamp_that_is_none_counts_for_nothing(stamp: str, car: Car) -> None:
    (car.out / "made.json").write_bytes(stamp.encode("utf-8", "surrogateescape"))
    assert car.current() == 1
    assert car.build() == 1
    assert car.current() == 0


@pytest.mark.parametrize(
    ("part", "values"),
    [
        ("files", {"../secret.txt": "0" * 64}),
        ("files", {"tables/../../secret.txt": "0" * 64}),
        ("files", {"/etc/hostname": "0" * 64}),
        ("files", {"submission.html": 1}),
        ("inputs", {"edition_shipped": "../../../secret"}),
        ("inputs", {"version": "\x1b[2J"}),
        ("inputs", {"named_files": {"here.pdf": "yes"}}),
        ("inputs", {"more": "x"}),
        ("pictures", {"loop-drive-1": None}),
    ],
)
def test_a_stamp_that_leads_out_or_lies_about_its_kind_counts_for_nothing(part: str, values: dict[str, object], car: Car) -> None:
    path = car.out / "made.json"
    stamp = json.loads(path.read_bytes())
    stamp[part] |= values
    path.write_text(json.dumps(stamp), encoding="utf-8")
    assert stamp_in(car.out) is None
    assert car.current() == 1


def test_a_link_in_the_folder_is_not_read(car: Car, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    secret = tmp_path / "secret.txt"
    secret.write_text("do not read me", encoding="utf-8")
    (car.out / "findings.json").unlink()
    try:
        (car.out / "findings.json").symlink_to(secret)
    except OSError:
        pytest.skip("links cannot be made here")
    assert car.current() == 1
    assert car.build() == 1
    assert secret.read_text(encoding="utf-8") == "do not read me"
    assert not (car.out / "findings.json").is_symlink()


# ---- build what changed


def test_an_unchanged_car_is_not_built_again(car: Car, drawn: list[object], capsys: pytest.CaptureFixture[str]) -> None:
    before = car.ages()
    assert car.build() == 1
    assert car.ages() == before
    assert drawn == []
    out = capsys.readouterr().out
    assert "nothing to write: " in out
    assert "there is no evidence/gone.pdf in the folder of the description" in out


def test_a_change_that_no_drawing_shows_draws_nothing(car: Car, drawn: list[object]) -> None:
    before = car.ages()
    car.reworded("Marsh Racing", "Reed Racing")
    assert car.build() == 1
    assert drawn == []
    after = car.ages()
    changed = {name for name in after if after[name] != before[name]}
    assert {"submission.docx", "submission.html", "findings.json", "made.json", "tables/car.csv"} <= changed
    assert not [name for name in changed if name.endswith((".svg", ".png"))]


def test_only_the_loop_that_changed_is_drawn_again(car: Car, drawn: list[object]) -> None:
    car.reworded("button: {function: shutdown button, worked_by: hand, contact: {at_rest: closed", "button: {function: shutdown button, worked_by: hand, contact: {at_rest: open")
    assert car.build() == 1
    assert len(drawn) == 1
    assert [name for name, age in car.ages().items() if age != 1 and name.endswith(".svg")] == ["loop-drive-1.svg"]


@pytest.mark.parametrize("name", ["loop-drive-1.svg", "loop-drive-1.png"])
def test_a_picture_that_somebody_touched_is_drawn_again(name: str, car: Car, drawn: list[object]) -> None:
    before = car.files()
    (car.out / name).write_bytes(b"touched")
    assert car.build() == 1
    assert len(drawn) == 1
    assert car.files() == before


def test_another_engine_draws_all_again(car: Car, drawn: list[object], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("docgen.earlier.engine", lambda: "another")
    car.reworded("Marsh Racing", "Reed Racing")
    assert car.build() == 1
    assert len(drawn) == 2


def test_a_build_on_top_of_another_gives_the_bytes_of_a_first_one(car: Car, tmp_path: Path) -> None:
    car.reworded("Marsh Racing", "Reed Racing")
    assert car.build() == 1
    assert main(["build", str(car.description), "--to", str(tmp_path / "fresh")]) == 1
    assert car.files() == car.files(tmp_path / "fresh")


def test_what_an_earlier_build_wrote_and_this_one_does_not_goes_away_unless_somebody_changed_it(car: Car, capsys: pytest.CaptureFixture[str]) -> None:
    (car.out / "loop-charging-1.svg").write_text("mine", encoding="utf-8")
    car.reworded("  charging:\n", "  on_the_cart:\n")
    assert car.build() == 1
    names = set(car.files())
    assert "loop-charging-1.png" not in names
    assert "loop-on-the-cart-1.png" in names
    assert (car.out / "loop-charging-1.svg").read_text(encoding="utf-8") == "mine"
    capsys.readouterr()
    assert car.current() == 1
    assert capsys.readouterr().out.splitlines()[1:] == ["  not written by this build: loop-charging-1.svg"]


def test_a_build_says_that_it_replaced_what_was_changed_by_hand(car: Car, capsys: pytest.CaptureFixture[str]) -> None:
    _edited(car)
    assert car.build() == 1
    assert "replaced, though it had been changed by hand: tables/devices.csv" in capsys.readouterr().out


def test_the_same_build_leaves_the_same_stamp(car: Car, tmp_path: Path) -> None:
    for name in ("one", "two"):
        assert main(["build", str(car.description), "--to", str(tmp_path / name)]) == 1
    assert (tmp_path / "one" / "made.json").read_bytes() == (tmp_path / "two" / "made.json").read_bytes()


def test_a_description_that_cannot_be_read_leaves_the_folder_as_it_was(car: Car) -> None:
    before = car.files()
    car.reworded("devices:", "devises:")
    assert car.build() == 2
    assert car.files() == before


# ---- docgen watch


@pytest.fixture
def watched(car: Car, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Callable[[Iterable[Callable[[], object]]], list[str]]:
    """Watches; between two looks one deed after the other is done, then Ctrl-C is pressed. Gives what was printed before each deed."""

    def watch(deeds: Iterable[Callable[[], object]]) -> list[str]:
        waiting: Iterator[Callable[[], object]] = iter(deeds)
        said: list[str] = []

        def between(seconds: float) -> None:
            printed = capsys.readouterr()
            said.append(printed.out + printed.err)
            deed = next(waiting, None)
            if deed is None:
                raise KeyboardInterrupt
            deed()

        monkeypatch.setattr("docgen.commands.watch.sleep", between)
        assert main(["watch", str(car.description), *car.options]) == 0
        return said

    return watch


Watch = Callable[[Iterable[Callable[[], object]]], list[str]]


def _nothing() -> None:
    pass


def test_watching_builds_when_something_changes_and_only_then(car: Car, watched: Watch, drawn: list[object]) -> None:
    said = watched([_nothing, lambda: _described(car), _nothing, lambda: _handed_in(car), _nothing])
    assert ["nothing to write" in text for text in said] == [True, False, False, False, False, False]
    assert ["wrote " in text for text in said] == [False, False, True, False, True, False]
    assert [bool(text) for text in said] == [True, False, True, False, True, False]
    assert car.current() == 0


def test_watching_outlives_a_description_that_is_half_written(car: Car, watched: Watch) -> None:
    text = car.description.read_text(encoding="utf-8")
    said = watched([
        lambda: car.description.write_text(text[:200], encoding="utf-8"), _nothing,
        car.description.unlink, _nothing,
        lambda: car.description.write_text(text.replace("12 V", "24 V"), encoding="utf-8"),
    ])  # fmt: skip
    assert "unreadable" in said[1]
    assert said[2] == ""
    assert "car.yaml: error: the file cannot be read" in said[3]
    assert said[4] == ""
    assert "wrote " in said[5]
    assert car.current() == 0


def test_watching_sees_templates_and_the_file_of_an_edition(car: Car, watched: Watch) -> None:
    _own_templates(car)
    templates = car.options
    _own_edition(car)
    car.options += templates
    said = watched([
        lambda: (car.folder / "own.yaml").write_text(OWN_EDITION.replace("red", "big"), encoding="utf-8"),
        lambda: (car.folder / "own" / "loop.md").write_text("{{ nothing }}\n", encoding="utf-8"),
        lambda: (car.folder / "own" / "loop.md").write_text("A loop.\n", encoding="utf-8"),
    ])  # fmt: skip
    assert ["wrote " in text for text in said] == [True, True, False, True]
    assert "loop.md:1" in said[2]
    assert car.current() == 0


def test_ctrl_c_ends_watching_with_0(car: Car, watched: Watch, capsys: pytest.CaptureFixture[str]) -> None:
    watched([])
    assert capsys.readouterr().out == "stopped watching\n"
