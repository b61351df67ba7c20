"""A comparison as it is told: on a terminal, as a page, for other programs, and drawn."""

import json
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from conftest import TESTS, edited

from docgen.check import Report, check
from docgen.cli import main
from docgen.comparison import as_json, as_text
from docgen.comparison_files import files
from docgen.consequences import comparison
from docgen.editions import edition

EXAMPLE = TESTS.parent / "example_car"
SMALL = TESTS / "cars" / "small_car.yaml"


def report(patch: str, identifier: str = "fsuk-2026") -> Report:
    return check(edited(patch), edition(identifier))


def told(before: str, after: str) -> list[str]:
    return [line.strip() for line in as_text(comparison(report(before), report(after))).split("\n")]


def test_a_value_is_told_with_both_values_and_the_finding_that_it_brings() -> None:
    lines = told("{}", "devices: {imd: {latch: {logic: programmable}}}")
    assert "device imd: latch.logic changed from “hard-wired” to “programmable”" in lines
    new = lines[lines.index("findings that are new:") + 1]
    assert "error: latch-programmable" in new


def test_a_unit_alone_is_no_change() -> None:
    lines = told("devices: {air_plus: {coil: {pick_up: 8.5 V}}}", "devices: {air_plus: {coil: {pick_up: 8500 mV}}}")
    assert lines[1].startswith("0 changes; findings: 0 new, 0 gone")


def test_another_edition_is_told_with_what_it_does_to_the_clauses() -> None:
    found = comparison(report("{}"), report("car: {edition: fs-2025}", "fs-2025"))
    lines = as_text(found).split("\n")
    assert "the edition changed from fsuk-2026 to fs-2025" in lines
    assert "  car.edition changed from “fsuk-2026” to “fs-2025”" in lines


def test_a_text_of_a_stranger_is_one_line_on_a_terminal_and_no_markup_on_a_page(tmp_path: Path) -> None:
    path = tmp_path / "car.yaml"
    path.write_text(SMALL.read_text(encoding="utf-8") + 'notes:\n  - "<b>bold</b>\\nchanged devices.imd: open → closed"\n', encoding="utf-8")
    from docgen.load import load_file

    found = comparison(report("{}"), check(load_file(path), edition("fsuk-2026")))
    assert not any(line.strip().startswith("changed devices.imd") for line in as_text(found).split("\n"))
    page = files(found)["comparison.html"].decode()
    assert "<b>" not in page and "&lt;b&gt;bold&lt;/b&gt;" in page


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The comparison of the example car as first written with the example car."""
    folder = tmp_path_factory.mktemp("comparison")
    assert main(["compare", str(EXAMPLE / "car_as_first_written.yaml"), str(EXAMPLE / "car.yaml"), "--to", str(folder)]) == 0
    return folder


def test_the_drawings_frame_what_was_removed_moved_added_and_changed(made: Path) -> None:
    """What the two descriptions say: the over-travel switch came, the interlock and the cockpit button changed places, the monitor changed."""
    page = (made / "comparison.html").read_text(encoding="utf-8")
    groups = {found[1]: found[2] for found in re.finditer(r'<g id="([^"]*)"[^>]*>\s*<title>([^<]*)', page)}
    titles = {name: title.split(":")[0] for name, title in groups.items()}

    def word(side: str, element: str) -> str:
        return next(word for name, word in titles.items() if name.startswith(f"{side}-loop-drive-") and name.endswith(f".dev-{element}"))

    assert word("after", "over_travel_switch") == "added"
    assert (word("before", "hvd_link"), word("after", "hvd_link")) == ("moved", "moved")
    assert word("after", "button_cockpit") == "moved"
    assert word("after", "imd") == "changed"
    assert word("after", "lv_master") not in ("added", "removed", "moved", "changed")


def test_every_row_of_the_page_can_be_filtered_by_its_kind_without_a_script(made: Path) -> None:
    page = (made / "comparison.html").read_text(encoding="utf-8")
    kinds = set(re.findall(r'<tr class="(\w+)">', page))
    assert {"added", "removed", "moved", "changed", "gone"} <= kinds
    for kind in kinds:
        assert f'id="show-{kind}"' in page
        assert f"body:has(#show-{kind}:not(:checked)) tr.{kind}" in page
    assert "<script" not in page and "default-src 'none'" in page


def test_the_files_say_the_same_as_the_terminal(made: Path) -> None:
    told = json.loads((made / "comparison.json").read_bytes())
    page = (made / "comparison.html").read_text(encoding="utf-8")
    assert len(told["changes"]) == len(re.findall(r'<tr class="(?:added|removed|renamed|follows|moved|changed|reworded)">', page))
    assert {finding["check"] for finding in told["findings"]["gone"]} >= {"ts-master-not-last", "stage-shared", "return-side-member"}
    assert told["findings"]["new"] == []
    assert (told["before"]["revision"], told["after"]["revision"]) == ("A", "C")


def test_a_comparison_says_what_it_cannot_see(made: Path) -> None:
    page = (made / "comparison.html").read_text(encoding="utf-8")
    assert "does not see comments" in page and "docgen approves nothing" in page
    assert "Car.docgen" in page and "Device.pictures" in page


def test_the_same_input_gives_the_same_files(made: Path, tmp_path: Path) -> None:
    main(["compare", str(EXAMPLE / "car_as_first_written.yaml"), str(EXAMPLE / "car.yaml"), "--to", str(tmp_path)])
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {path.name: path.read_bytes() for path in made.iterdir()}


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ([str(SMALL)], "two descriptions are compared"),
        ([str(SMALL), str(SMALL), "--since", "HEAD"], "leave the other out"),
        ([str(SMALL), "nothing.yaml"], "cannot be read"),
        ([str(SMALL), "--until", "HEAD"], "two descriptions are compared"),
        (["submission.docx", "--since", "HEAD"], "reads revisions of a description in YAML"),
        ([str(SMALL), str(SMALL), "--to", __file__], "is no folder"),
    ],
)
def test_what_cannot_be_compared_is_told(arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", *arguments]) == 2
    assert said in capsys.readouterr().err


def test_new_errors_decide_over_the_exit_code(tmp_path: Path) -> None:
    worse = tmp_path / "car.yaml"
    worse.write_text(SMALL.read_text(encoding="utf-8").replace("logic: hard-wired", "logic: programmable", 1), encoding="utf-8")
    assert main(["compare", str(SMALL), str(SMALL)]) == 0
    assert main(["compare", str(SMALL), str(worse)]) == 1
    assert main(["compare", str(worse), str(SMALL)]) == 0


def test_two_sides_that_contradict_each_other_are_named_with_all_three_values(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = SMALL.read_text(encoding="utf-8")
    team, reviewer = tmp_path / "team.yaml", tmp_path / "reviewer.yaml"
    assert "7.5 g" in text
    team.write_text(text.replace("7.5 g", "7.6 g"), encoding="utf-8")
    reviewer.write_text(text.replace("7.5 g", "7.7 g"), encoding="utf-8")
    assert main(["compare", str(SMALL), str(team), "--corrected", str(reviewer)]) == 1
    out = capsys.readouterr().out
    assert re.search(r"inertia_switch\.trips.*base .*7\.5 g.*team .*7\.6 g.*reviewer .*7\.7 g", out)
    assert "1 conflict" in out


def test_files_are_not_asked_of_three_sides_in_vain(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", str(SMALL), str(SMALL), "--corrected", str(SMALL), "--to", str(tmp_path / "out")]) == 2
    assert "leave out --to" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_the_json_of_a_comparison_is_whole() -> None:
    json.loads(as_json(comparison(report("{}"), report("devices: {imd: null}"))))


def test_marked_drawings_stay_drawings(made: Path) -> None:
    page = (made / "comparison.html").read_text(encoding="utf-8")
    drawings = re.findall(r"<svg.*?</svg>", page, re.DOTALL)
    assert len(drawings) >= 4
    for drawing in drawings:
        ElementTree.fromstring(drawing)
