"""Reading: every trap gets one clear message at its place, and all problems of a file come in one run."""

from pathlib import Path
from time import perf_counter

import pytest

from docgen.load import load_file, load_text
from docgen.reading import DEEPEST, LARGEST_FILE, MOST_PROBLEMS, MOST_VALUES, Unreadable, read_text


def problems(text: str) -> list[str]:
    with pytest.raises(Unreadable) as refused:
        load_text(text)
    return [str(problem) for problem in refused.value.problems]


@pytest.mark.parametrize(
    ("text", "place", "said"),
    [
        ("car: {name: a}\ncar: {name: b}\n", "2:1", "the key car stands here a second time, first in line 1"),
        ("car: &a {name: x}\n", "1:6", "the anchor &a"),
        ("car: *a\n", "1:6", "the alias *a"),
        ("car: {<<: {name: x}}\n", "1:7", "the merge key <<"),
        ("car: !!python/object:os.system {name: x}\n", "1:6", "the tag"),
        ("car:\n\tname: x\n", "2:1", "a tab"),
        ("car: {name: x}\n---\ncar: {name: y}\n", "2:1", "a second document"),
        ("car: {name: \"x}\n", "2:1", "not closed"),
        ("car: {name: x\n", "2:1", "not closed"),
        ("car: [a, b\n", "2:1", "not closed"),
        ("revisions:\n  - {mark: A}\n  - because: fixed: the thing\n", "3:19", "a second colon"),
        ("car:\n  name: x\n number: y\n", "3:2", "indentation"),
        ("car:\n  name: @x\n", "2:9", "cannot begin a value"),
        ("car:\n  just words\n  name: x\n", "2:3", "no colon"),
        ("loops:\n  drive: {}\ndevices\n  imd:\n    label: x\n", "3:1", "no colon"),
        ("car:\n  number: x\n  name   Heron\n  team: y\n", "3:3", "no colon"),
        ("car:\n  name:\n", "2:3", "nothing stands after name"),
        ("car: {name: ~}\n", "1:7", "nothing stands after name"),
        ("", "1:1", "empty"),
        ("# only a comment\n", "1:1", "empty"),
        ("- a\n- b\n", "1:1", "no fields"),
        ("just text\n", "1:1", "no fields"),
        ("docgen: 99\n", "1:1", "the format of this file is 99"),
        ("car: {nmae: x}\n", "1:7", "the key nmae is not known here; must be name"),
        ("devices: {imd: {contact: {at_rest: opne}}}\n", "1:36", "at_rest: opne stands here; must be one of: open, closed, as left"),
        ("devices: {imd: {contact: {at_rest: NO}}}\n", "1:36", "words such as NO or normally closed stand in wording, as a quotation"),
        ("devices: {imd: {contact: {form: NC}}}\n", "1:33", "must be one of: make, break, change-over"),
        ("devices: {imd: {height: 800 mm}}\n", "1:17", "the key height is not known here; must stand under place"),
        ("devices: {imd: open}\n", "1:11", "must be a group of fields"),
        ("devices: {imd: {contact: NC}}\n", "1:17", "must be a group of fields: at_rest, when_healthy, tripped, "),
        ("devices: {imd: {coil: {voltage: 12}}}\n", "1:33", "12 has no unit; write for example"),
        ("devices: {imd: {coil: {voltage: 12 Ohm}}}\n", "1:33", "is a resistance, must be a voltage"),
        ("devices: {imd: {coil: {voltage: 0 V}}}\n", "1:33", "must be"),
        ("loops: {drive: {wires: {default: {size: 0,75 mm²}}}}\n", "1:49", "decimal comma"),
        ("devices: {imd: {contact: {rating: [24,5 V, 2 A]}}}\n", "1:36", "decimal comma"),
        ("devices: {imd: {contact: {rating: 24 V}}}\n", "1:27", "must be a list"),
        ("loops: {drive: {path: [fuse F1, 'two words more here', lv]}}\n", "1:33", "must be a device"),
        ("loops: {drive: {path: [{each_to_return: [[coil]], any: 1}]}}\n", "1:51", "not known"),
        ("revisions: [{date: 2026-13-01}]\n", "1:20", "must be a date as year-month-day"),
        ("docgen: one\n", "1:9", "whole number"),
        ("car: {name: \"a\\u0007b\"}\n", "1:13", "control character U+0007"),
        ("car: {name: \"unknown (a\\u001b[2Jb)\"}\n", "1:13", "control character U+001B"),
        ("\"\\u202ecar\": x\n", "1:1", "control character U+202E"),
        ("car: {name: x} # \u202e\n", "1:18", "control character U+202E"),
        ("# a remark \u2028car: {name: x}\n", "1:12", "control character U+2028"),
        ("car: !%1b[2J x\n", "1:6", "the tag '!\\x1b"),
        ("car: {[a]: b}\n", "1:7", "key"),
        ("devices: {1a: {function: IMD}}\n", "1:11", "must be a name"),
    ],
)  # fmt: skip
def test_every_trap_is_told_at_its_place(text: str, place: str, said: str) -> None:
    found = problems(text)
    assert any(problem.startswith(f"car.yaml:{place}: ") and said in problem for problem in found), found


def test_all_problems_of_a_file_come_in_one_run() -> None:
    found = problems("car: {nmae: x}\ndevices:\n  imd: {function: nothing known}\n  ams: {coil: {voltage: 12}}\n  x: {y: z}\n")
    assert [problem.split(": ")[0] for problem in found] == ["car.yaml:1:7", "car.yaml:3:19", "car.yaml:4:25", "car.yaml:5:7"]


@pytest.mark.parametrize("text", ["7E2", "007", "on", "no", "12:30", "0o17", "1_000", "2026-11-14", "1e-3", ".5", "=", "true", "E62"])
def test_a_text_means_what_is_written(text: str) -> None:
    car = load_text(f"car: {{number: {text}}}\n").car.car
    assert car is not None
    assert getattr(car, "number", None) == text


def test_text_lost_to_a_comment_is_doubted() -> None:
    doubts = read_text("connectors: {X3: {place: {where: row X3 #4}}}\n".replace("}}}", "\n}}}"), "car.yaml").doubts
    assert [(str(doubt.location), doubt.was) for doubt in doubts] == [("car.yaml:1:41", "#4 after row X3 is read as a comment")]


def test_unknown_says_for_whom_it_waits() -> None:
    description = load_text("devices: {imd: {feed: unknown (asked the supplier)}}\n")
    assert str(description.car.devices["imd"].feed) == "unknown (asked the supplier)"


@pytest.mark.parametrize(
    ("raw", "said"),
    [("car: {name: x}".encode("utf-16"), "UTF-16"), (b"car: {name: \xe9}", "0xE9 is no UTF-8"), (b"car: {name: x\x00}", r"U\+0000")],
)
def test_an_encoding_that_is_not_utf_8_is_told(tmp_path: Path, raw: bytes, said: str) -> None:
    (tmp_path / "car.yaml").write_bytes(raw)
    with pytest.raises(Unreadable, match=said):
        load_file(tmp_path / "car.yaml")


def test_windows_line_ends_and_a_byte_order_mark_are_read(tmp_path: Path) -> None:
    (tmp_path / "car.yaml").write_bytes(b"\xef\xbb\xbfcar:\r\n  name: x\r\n")
    assert load_file(tmp_path / "car.yaml").location(("car", "name")).line == 2


def test_a_huge_file_is_not_read(tmp_path: Path) -> None:
    with (tmp_path / "car.yaml").open("wb") as stream:
        stream.seek(100_000_000)
        stream.write(b" ")
    with pytest.raises(Unreadable, match=f"100 MB; must be at most {LARGEST_FILE / 1e6:.0f} MB"):
        load_file(tmp_path / "car.yaml")


def test_an_open_point_is_no_longer_than_any_text() -> None:
    assert "the limit is 4000" in problems(f"car: {{name: unknown ({'x' * 5000})}}\n")[0]


@pytest.mark.parametrize("line", ["  k{}: 1\n", "  k{}:\n", "  k{}: *a\n", "  k{}: !t x\n"])
def test_of_very_many_problems_the_first_are_told(line: str) -> None:
    found = problems("car:\n" + "".join(line.format(number) for number in range(5000)))
    assert len(found) == MOST_PROBLEMS + 1
    assert found[0].startswith("car.yaml:2:")
    assert f"there are more than {MOST_PROBLEMS} problems" in found[-1]


def test_a_file_of_very_many_values_is_refused() -> None:
    found = problems("notes: [" + "a, " * (MOST_VALUES + 10) + "]\n")
    assert [problem for problem in found if f"more than {MOST_VALUES} values stand in this file" in problem]


@pytest.mark.parametrize("text", ["a: " + "[" * 5000, "a: " + "{b: " * 5000, "".join("  " * depth + "a:\n" for depth in range(500))])
def test_deep_nesting_is_refused_without_delay(text: str) -> None:
    assert any(f"more than {DEEPEST} deep" in problem for problem in problems(text))


@pytest.mark.parametrize("name", ["absent.yaml", "."])
def test_a_file_that_is_not_there_is_told(tmp_path: Path, name: str) -> None:
    with pytest.raises(Unreadable, match=r"must be a (?:readable )?YAML file"):
        load_file(tmp_path / name)


def test_a_link_to_a_file_in_another_folder_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "car").mkdir()
    (tmp_path / "secret.yaml").write_text("secret\n", encoding="utf-8")
    try:
        (tmp_path / "car" / "car.yaml").symlink_to(tmp_path / "secret.yaml")
    except OSError:
        pytest.skip("no links on this system")
    with pytest.raises(Unreadable, match="a link to a file in another folder") as refused:
        load_file(tmp_path / "car" / "car.yaml")
    assert "secret" not in refused.value.text


def test_taking_out_comments_takes_no_longer_for_long_gaps() -> None:
    tree = read_text(f"car:{' ' * 200_000}{{name: x}}\n", "car.yaml")
    began = perf_counter()
    tree.without_comments()
    assert perf_counter() - began < 5


def test_comments_go_and_lines_stay() -> None:
    text = "# head\ncar: {name: 'a # b'}   # tail\ndevices:\n  # inner\n  imd: {note: x#y} # z\n"
    assert read_text(text, "car.yaml").without_comments() == "\ncar: {name: 'a # b'}\ndevices:\n\n  imd: {note: x#y}\n"


def test_the_digest_sees_content_and_nothing_else() -> None:
    one, same, other = (load_text(text).digest for text in ("car: {name: a, team: b}\n", "# c\ncar:\n  team: b\n  name: a\n", "car: {name: a, team: c}\n"))
    assert one == same != other
