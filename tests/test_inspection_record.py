"""A filled record is read back, held against the sheet and, later, against another description."""

import csv
import io
import json
import re
from functools import cache
from pathlib import Path

import pytest
from conftest import SMALL_CAR
from test_inspection import of

from docgen.cli import main
from docgen.inspection import Inspection
from docgen.inspection.test import Figure
from docgen.inspection_record import Comparison, Judged, Standing, compared, empty_csv, empty_yaml, read_record
from docgen.load import load_text
from docgen.quantity import read_quantity
from docgen.reading import Unreadable

SHEET = of(load_text(SMALL_CAR))
EMPTY = empty_yaml(SHEET)
PRESS = "button_left/press"


def filled(tmp_path: Path, **entries: dict[str, str]) -> Path:
    """The record with some tests filled in by hand and no others, or with all of them empty; ``button_left__press`` is ``button_left/press``."""
    head, *blocks = re.split(r'(?m)^(?=  "[^"]+":$)', EMPTY)
    lines = [head.rstrip("\n")]
    for block in blocks:
        slug, *fields = block.rstrip("\n").split("\n")
        entry = entries.get(slug.strip(' ":').replace("/", "__").replace("-", "_"), None if entries else {})
        if entry is not None:
            lines += [slug, *(f"{line} {entry.get(line.strip(' :'), '')}" if line.endswith(":") else line for line in fields)]
    path = tmp_path / "record.yaml"
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


def full(measured: str = "", **more: str) -> dict[str, str]:
    done = {"seen": "as expected", "date": "2026-05-30", "time": '"14:05"', "role": "electrical safety officer"} | more
    return done | ({"measured": measured} if measured else {})


@cache
def sheet(car: str) -> Inspection:
    return of(load_text(car))


def read(path: Path, later: str = SMALL_CAR) -> Comparison:
    return compared(*read_record(path), sheet(later))


def line(comparison: Comparison, slug: str) -> Judged:
    return next(one for one in comparison.lines if one.slug == slug)


def refused(path: Path, later: str = SMALL_CAR) -> list[str]:
    with pytest.raises(Unreadable) as caught:
        read(path, later)
    return [str(problem) for problem in caught.value.problems]


def test_an_empty_record_says_of_every_test_that_it_is_not_done(tmp_path: Path) -> None:
    comparison = read(filled(tmp_path))
    assert {one.standing for one in comparison.lines} == {Standing.NOT_DONE}
    assert len(comparison.lines) == len(SHEET.tests)
    assert comparison.head == ()


# 3.184 s is the longest time of the small car, see test_inspection
@pytest.mark.parametrize(
    ("measured", "standing"),
    [
        ("2.9 s", Standing.WITHIN),
        ("3.184 s", Standing.WITHIN),
        ("3185 ms", Standing.OUTSIDE),
        ("3.1 s ± 0.1 s", Standing.OUTSIDE),
        ("", Standing.NO_VALUE),
    ],
)
def test_a_measured_time_is_held_against_the_longest_expected(tmp_path: Path, measured: str, standing: Standing) -> None:
    assert line(read(filled(tmp_path, button_left__press=full(measured))), PRESS).standing is standing


def test_a_settled_line_is_no_finding_and_an_outside_one_is(tmp_path: Path) -> None:
    assert not line(read(filled(tmp_path, button_left__press=full("2.9 s"))), PRESS).is_finding
    found = line(read(filled(tmp_path, button_left__press=full("9 s"))), PRESS)
    assert found.is_finding
    assert found.said.startswith("measured 9 s; expected at most 3.184 s (calculation time-to-safe")


def test_a_band_has_two_ends(tmp_path: Path) -> None:
    for measured, standing in {"11.3 s": Standing.OUTSIDE, "12 s": Standing.WITHIN, "12.7 s": Standing.OUTSIDE}.items():
        assert line(read(filled(tmp_path, bspd__self_reset=full(measured))), "bspd/self-reset").standing is standing


def test_what_was_seen_otherwise_is_told_whatever_was_measured(tmp_path: Path) -> None:
    found = line(read(filled(tmp_path, button_left__press=full("2.9 s", seen="otherwise"))), PRESS)
    assert found.standing is Standing.OTHERWISE and "air_plus" in found.said


def test_a_value_alone_does_not_say_what_was_seen(tmp_path: Path) -> None:
    entry = {key: value for key, value in full("2.9 s").items() if key != "seen"}
    assert line(read(filled(tmp_path, button_left__press=entry)), PRESS).standing is Standing.NOT_SEEN


def test_states_alone_are_seen(tmp_path: Path) -> None:
    assert line(read(filled(tmp_path, button_left__latch=full())), "button_left/latch").standing is Standing.SEEN


def test_nothing_is_compared_where_nothing_was_expected(tmp_path: Path) -> None:
    slug = "insulation/measuring-point-positive"
    found = line(read(filled(tmp_path, insulation__measuring_point_positive=full("15.02 kΩ"))), slug)
    assert found.standing is Standing.NO_BAND and not found.is_finding


def test_a_test_done_by_no_role_is_told(tmp_path: Path) -> None:
    entry = {key: value for key, value in full("2.9 s").items() if key not in ("role", "date")}
    found = line(read(filled(tmp_path, button_left__press=entry)), PRESS)
    assert found.doubts == ("done by no role", "done on no day") and found.is_finding


@pytest.mark.parametrize(
    ("measured", "told"),
    [
        ("2,9 s", "2,9 s has a decimal comma; must have a decimal point (2.9 s)"),
        ("2.9 V", "2.9 V is a voltage; must be a time"),
        ("2.9", "2.9 has no unit"),
        ("soon", "soon is no quantity"),
    ],
)
def test_a_value_that_cannot_be_one_is_told_with_its_line(tmp_path: Path, measured: str, told: str) -> None:
    path = filled(tmp_path, button_left__press=full(measured))
    where = next(number for number, text in enumerate(path.read_text(encoding="utf-8").split("\n"), 1) if text.strip() == f"measured: {measured}")
    (problem,) = refused(path)
    assert problem.startswith(f"record.yaml:{where}:15: measured: ")
    assert told.split("; ")[0].replace(", must", "") in problem


def test_an_unknown_test_is_told_with_the_nearest(tmp_path: Path) -> None:
    path = filled(tmp_path, button_left__press={})
    path.write_text(path.read_text(encoding="utf-8").replace('"button_left/press"', '"button_left/pres"'), encoding="utf-8")
    (problem,) = refused(path)
    assert "the test button_left/pres is none of this sheet; must be button_left/press" in problem


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        ("date", "30.5.2026", "must be a date as year-month-day"),
        ("time", "2pm", "must be a time of day"),
        ("seen", "yes", "must be one of: as expected, otherwise"),
        ("done", "x", "the key done is not known here"),
    ],
)
def test_every_field_is_checked(tmp_path: Path, field: str, value: str, told: str) -> None:
    path = filled(tmp_path, button_left__press=full("2.9 s"))
    text = path.read_text(encoding="utf-8").replace(
        '    title: "button_left (shutdown button): Pressed"\n',
        '    title: "button_left (shutdown button): Pressed"\n' + f"    {field}: {value}\n" * (field == "done"),
    )
    if field != "done":
        old = {"date": "2026-05-30", "time": '"14:05"', "seen": "as expected"}[field]
        text = text.replace(f"    {field}: {old}", f"    {field}: {value}")
    path.write_text(text, encoding="utf-8")
    assert any(told in problem for problem in refused(path))


def test_a_later_description_says_which_tests_must_be_repeated_and_what_moved(tmp_path: Path) -> None:
    path = filled(tmp_path, button_left__press=full("2.9 s"), button_left__latch=full(), bspd__self_reset=full("12 s"), button_right__latch={})
    later = SMALL_CAR.replace("resistor: 3.3 kΩ ± 5 %", "resistor: 3.0 kΩ ± 5 %").replace("self_after: 12 s ± 5 %", "self_after: 14 s ± 5 %")
    comparison = read(path, later)
    assert comparison.head and comparison.head[0].startswith("description of the record is ")
    pressed, reset = line(comparison, PRESS), line(comparison, "bspd/self-reset")
    assert pressed.standing is reset.standing is Standing.REPEAT
    # 3.0 kΩ·1.05 × 480 µF × ln(403.2/60) = 2.88049 s, and 15 ms
    assert [str(moved) for moved in pressed.moved] == [
        "expected time until the measuring points are below 60 V was at most 3.184 s, is at most 2.895 s"
    ]
    assert "devices.bspd.reset.self_after was 12 s ± 5 %, is 14 s ± 5 %" in map(str, reset.moved)
    assert line(comparison, "button_left/latch").standing is Standing.SEEN
    assert line(comparison, "button_right/latch").standing is Standing.NOT_DONE


def test_a_later_description_says_which_tests_are_gone_and_which_are_new(tmp_path: Path) -> None:
    path = filled(tmp_path, button_cockpit__press=full("2.9 s"))
    later = SMALL_CAR.replace("button_cockpit", "button_dash")
    comparison = read(path, later)
    assert line(comparison, "button_cockpit/press").standing is Standing.GONE
    assert line(comparison, "button_dash/press").standing is Standing.NEW


def test_a_record_whose_grounds_were_changed_by_hand_is_doubted(tmp_path: Path) -> None:
    path = filled(tmp_path, button_left__press=full("2.9 s"))
    path.write_text(path.read_text(encoding="utf-8").replace('at most 3.184 s"}', 'at most 9 s"}'), encoding="utf-8")
    assert "what it says it rests on does not belong to its digest" in line(read(path), PRESS).doubts


def in_csv(tmp_path: Path, change: dict[str, dict[str, str]], delimiter: str = ",") -> Path:
    rows = list(csv.DictReader(io.StringIO(empty_csv(SHEET).decode("utf-8-sig"))))
    for row in rows:
        row.update(change.get(row["test"], {}))
    stream = io.StringIO()
    writer = csv.DictWriter(stream, list(rows[0]), delimiter=delimiter, lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(rows)
    path = tmp_path / "record.csv"
    path.write_text(stream.getvalue(), encoding="utf-8-sig", newline="")
    return path


PLAIN = {
    "seen": "as expected",
    "measured": "2.9 s",
    "date": "2026-05-30",
    "time": "14:05",
    "role": "electrical lead",
    "remark": 'he said "now", then; yes',
}


@pytest.mark.parametrize("delimiter", [",", ";"])
def test_a_record_in_csv_says_the_same(tmp_path: Path, delimiter: str) -> None:
    comparison = read(in_csv(tmp_path, {PRESS: PLAIN}, delimiter))
    assert line(comparison, PRESS).standing is Standing.WITHIN and not line(comparison, PRESS).doubts
    assert comparison.head == ()


def test_a_problem_in_csv_has_the_line_of_its_row(tmp_path: Path) -> None:
    row = [test.slug for test in SHEET.tests].index(PRESS) + 2
    (problem,) = refused(in_csv(tmp_path, {PRESS: PLAIN | {"measured": "2,9 s"}}))
    assert problem.startswith(f"record.csv:{row}:1: measured: 2,9 s has a decimal comma")


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (b"measured", b"measurred", "the column 'measurred' is not known here; must be measured"),
        (b"button_right/press", b"button_left/press", "the test button_left/press stands here a second time"),
        (b"Dunlin 1,", b"Dun\x1b[31mlin,", "the control character U+001B stands here"),
        (b"Dunlin 1,", b"Dun\xe2\x80\xaelin,", "the control character U+202E stands here"),
        (b"Dunlin 1,", b"Dun\xfflin,", "is no UTF-8"),
    ],
)
def test_what_is_wrong_with_a_csv_file_is_told(tmp_path: Path, old: bytes, new: bytes, told: str) -> None:
    path = in_csv(tmp_path, {})
    path.write_bytes(path.read_bytes().replace(old, new, 1))
    assert any(told in problem for problem in refused(path))


def test_no_cell_of_the_csv_can_be_taken_for_a_formula() -> None:
    car = SMALL_CAR.replace("name: Dunlin 1", 'name: "=cmd|calc"').replace("label: TS off", 'label: "@SUM(A1)"')
    for row in csv.reader(io.StringIO(empty_csv(of(load_text(car))).decode("utf-8-sig"))):
        assert not any(cell.startswith(("=", "+", "-", "@", "\t")) for cell in row)


def test_the_command_leaves_with_1_for_findings_and_with_2_for_what_cannot_be_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    car = tmp_path / "car.yaml"
    car.write_text(SMALL_CAR, encoding="utf-8")
    assert main(["record", str(car), str(filled(tmp_path, button_left__press=full("9 s")))]) == 1
    out = capsys.readouterr().out
    assert "button_left/press: measured, outside" in out and "docgen approves nothing" in out
    assert main(["record", str(car), str(filled(tmp_path, button_left__press=full("9")))]) == 2
    assert "has no unit" in capsys.readouterr().err
    assert main(["record", str(car), str(tmp_path / "none.yaml")]) == 2
    assert main(["record", str(car), str(tmp_path / "none.csv")]) == 2


def test_the_command_leaves_with_0_when_everything_was_measured_within(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    car = tmp_path / "car.yaml"
    car.write_text(SMALL_CAR, encoding="utf-8")
    middle = {
        "time": "s",
        "voltage": "V",
        "current": "A",
        "pressure": "Pa",
        "resistance": "Ω",
        "share": "%",
        "frequency": "Hz",
        "torque": "Nm",
        "sound level": "dB(A)",
    }
    entries = {}
    for test in SHEET.tests:
        entry = PLAIN | {"measured": "", "remark": ""}
        if test.figure and test.figure.has_band:
            value = test.figure.high if test.figure.high is not None else test.figure.low
            assert value is not None
            entry["measured"] = f"{value * (100 if test.figure.dimension == 'share' else 1):.6f} {middle[test.figure.dimension]}"
        entries[test.slug] = entry
    path = in_csv(tmp_path, entries)
    assert main(["record", str(car), str(path)]) == 0, capsys.readouterr().out


def test_a_record_of_another_revision_is_told_and_leaves_with_1(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    car = tmp_path / "car.yaml"
    car.write_text(SMALL_CAR.replace("mark: A", "mark: B"), encoding="utf-8")
    assert main(["record", str(car), str(filled(tmp_path, button_left__press=full("2.9 s")))]) == 1
    assert "recorded for another sheet: revision of the record is A, of the description B" in capsys.readouterr().out


def test_the_findings_are_also_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    car = tmp_path / "car.yaml"
    car.write_text(SMALL_CAR, encoding="utf-8")
    main(["record", str(car), str(filled(tmp_path, button_left__press=full("9 s"))), "--as", "json"])
    told = {one["test"]: one for one in json.loads(capsys.readouterr().out)["tests"]}
    assert told[PRESS]["standing"] == "measured, outside" and told[PRESS]["finding"]


@pytest.mark.parametrize(("measured", "inside"), [("59 V", True), ("-59 V", True), ("300 V", False), ("-300 V", False), ("-300 V ± 290 V", False)])
def test_below_an_upper_end_alone_the_size_of_a_voltage_counts(measured: str, inside: bool) -> None:
    assert Figure("voltage at the measuring points", "voltage", None, 60.0, "").holds(read_quantity(measured, "voltage")) is inside


def test_between_two_ends_the_sign_counts() -> None:
    assert not Figure("current", "current", 7.0, 10.0, "").holds(read_quantity("-8 A", "current"))
