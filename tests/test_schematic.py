"""The schematic: what it shows, that it shows all, and that nothing on it lies on anything else."""

import json
import time
from itertools import combinations

import pytest
from conftest import SMALL_CAR, edited
from hypothesis import Phase, given, settings
from loops import Segment, cars, chain, conductors, dots, drawn_nets, drive, graph_nets, strokes, touches

from docgen.car import Car
from docgen.load import load_text
from docgen.network import network
from docgen.schematic import FUNCTION, HEIGHT, WIDTH, element_ids, in_words, schematic
from docgen.sheet import Box, Circle, Extent, Group, Label, Line, Sheet, extent, shortened, text_width, wrapped
from docgen.symbols import LINK, RETURN

LOOPS = settings(max_examples=15, deadline=None, derandomize=True, database=None, phases=[Phase.generate], report_multiple_bugs=False)


def _term(function: str) -> str:
    return {"insulation monitor": "IMD", "battery management": "AMS", "accumulator contactor": "AIR"}.get(function, function)


def _drawn(description: str | Car) -> tuple[Sheet, ...]:
    car = load_text(description).car if isinstance(description, str) else description
    return schematic(network(car, "drive"), car, _term)


def _texts(sheets: tuple[Sheet, ...]) -> list[str]:
    return [mark.text for sheet in sheets for mark in sheet.marks() if isinstance(mark, Label)]


def _group(sheets: tuple[Sheet, ...], name: str) -> Group:
    return next(group for sheet in sheets for group in sheet.groups() if group.id == name)


# ── Nothing lies on anything ───────────────────────────────────────────────────────────────────────────────────────────


def _overlap(one: Extent, other: Extent) -> bool:
    return one.left < other.right - 0.01 and other.left < one.right - 0.01 and one.top < other.bottom - 0.01 and other.top < one.bottom - 0.01


def _inside(one: Extent, other: Extent) -> bool:
    return one.left >= other.left and one.right <= other.right and one.top >= other.top and one.bottom <= other.bottom


def _passes(segment: Segment, area: Extent) -> bool:
    """Whether a segment enters the area (Liang and Barsky)."""
    (x1, y1), (x2, y2) = segment
    begin, end = 0.0, 1.0
    for step, low, high in ((x2 - x1, area.left - x1, area.right - x1), (y2 - y1, area.top - y1, area.bottom - y1)):
        if step == 0:
            if low >= 0 or high <= 0:
                return False
            continue
        first, last = sorted((low / step, high / step))
        begin, end = max(begin, first), min(end, last)
    return begin < end


def _check_labels(sheet: Sheet) -> None:
    labels = [(mark, extent(mark)) for mark in sheet.marks() if isinstance(mark, Label)]
    for (one, area), (other, place) in combinations(labels, 2):
        assert not _overlap(area, place), f"{one.text!r} lies on {other.text!r}"
    lines = [segment for segment, _ in strokes(sheet.marks())]
    others = [(mark, extent(mark)) for mark in sheet.marks() if isinstance(mark, Box | Circle)]
    for label, area in labels:
        assert label.size >= 6
        assert _inside(area, Extent(0, 0, sheet.width, sheet.height)), f"{label.text!r} leaves the sheet"
        for segment in lines:
            assert not _passes(segment, area), f"{label.text!r} is crossed by {segment}"
        for mark, place in others:
            assert not _overlap(area, place) or (isinstance(mark, Box) and _inside(area, place)), f"{label.text!r} lies on {mark}"


def _check_lines(sheet: Sheet) -> None:
    wires = conductors(sheet.marks())
    assert all(a[0] == b[0] or a[1] == b[1] for a, b in wires)
    wires = [wire for wire in wires if wire[0] != wire[1]]
    meeting = dots(sheet)
    for one, other in combinations(wires, 2):
        ends = [point for point in one if touches(point, other)] + [point for point in other if touches(point, one)]
        level = [a[1] == b[1] for a, b in (one, other)]
        if level[0] == level[1]:
            assert len({(round(x, 2), round(y, 2)) for x, y in ends}) < 2, f"{one} lies on {other}"
        elif not ends:
            across, upright = (one, other) if level[0] else (other, one)
            assert not touches((upright[0][0], across[0][1]), across) or not touches((upright[0][0], across[0][1]), upright), f"{one} crosses {other}"
        for point in ends:
            is_end = any(touches(point, (end, end)) for end in one) and any(touches(point, (end, end)) for end in other)
            assert is_end or (round(point[0], 2), round(point[1], 2)) in meeting, f"{one} meets {other} without a dot"


@given(cars())
@LOOPS
def test_no_line_crosses_another_and_no_label_lies_on_anything(text: str) -> None:
    for sheet in _drawn(text):
        assert sheet.width <= WIDTH
        assert sheet.height <= HEIGHT
        _check_lines(sheet)
        _check_labels(sheet)
        for one, other in combinations(sheet.groups(), 2):
            assert not _overlap(extent(*one.marks), extent(*other.marks)), f"{one.id} lies on {other.id}"
        for mark in sheet.marks():
            assert _inside(extent(mark), Extent(0, 0, sheet.width, sheet.height))


@given(cars(largest=80))
@LOOPS
def test_the_drawing_joins_what_the_graph_joins(text: str) -> None:
    loop = drive(text)
    assert drawn_nets(_drawn(text), loop) == graph_nets(loop)


@given(cars(largest=80))
@LOOPS
def test_every_element_appears_exactly_once(text: str) -> None:
    loop = drive(text)
    shown = [group.id for sheet in _drawn(text) for group in sheet.groups() if group.id not in ("source", "loop-end")]
    assert sorted(shown) == sorted(element_ids(loop).values())
    assert len(shown) == len(loop.elements)


def test_the_small_car_is_drawn_without_any_fault() -> None:
    for sheet in _drawn(SMALL_CAR):
        _check_lines(sheet)
        _check_labels(sheet)


def test_a_loop_of_sixty_contacts_goes_on_from_sheet_to_sheet() -> None:
    texts = _texts(_drawn(chain(60)))
    assert texts.count("A, to sheet 2") == texts.count("A, from sheet 1") == 1
    assert "sheet 2 of 2" in texts


# ── At rest ────────────────────────────────────────────────────────────────────────────────────────────────────────────


def _meet(one: Segment, other: Segment) -> bool:
    def side(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    return (
        side(*one, other[0]) * side(*one, other[1]) <= 1e-9
        and side(*other, one[0]) * side(*other, one[1]) <= 1e-9
        and min(one[0][0], one[1][0]) <= max(other[0][0], other[1][0])
        and min(other[0][0], other[1][0]) <= max(one[0][0], one[1][0])
        and min(one[0][1], one[1][1]) <= max(other[0][1], other[1][1])
        and min(other[0][1], other[1][1]) <= max(one[0][1], one[1][1])
    )


def _conducts(group: Group) -> bool:
    """Whether the strokes of a symbol lead from its first end to its last one."""
    lines = [mark for mark in group.marks if isinstance(mark, Line) and mark.pen != LINK]
    ends = sorted((point for line in lines for point in (line.start, line.end)), key=sum)
    reached, grown = {ends[0]}, True
    segments = {(line.start, line.end) for line in lines}
    joined: set[Segment] = {segment for segment in segments if ends[0] in segment}
    while grown:
        new = {segment for segment in segments - joined if any(_meet(segment, other) for other in joined)}
        grown, joined = bool(new), joined | new
    reached |= {point for segment in joined for point in segment}
    return max(ends, key=sum) in reached


@pytest.mark.parametrize("healthy", ["open", "closed", "as left", {"off": "open", "precharging": "closed", "active": "open"}])
@pytest.mark.parametrize("hangs", [False, True])
@pytest.mark.parametrize(("at_rest", "closed"), [("open", False), ("closed", True)])
def test_a_contact_is_drawn_at_rest_whatever_its_healthy_state(at_rest: str, closed: bool, hangs: bool, healthy: object) -> None:
    contact = {"contact": {"at_rest": at_rest, "when_healthy": healthy}}
    path = [{"each_to_return": [["switch", "coil air"]]}] if hangs else ["switch", "coil air"]
    sheets = _drawn(json.dumps({"docgen": "1", "loops": {"drive": {"path": path, "return": ["chassis"]}}, "devices": {"switch": contact}}))
    assert _conducts(_group(sheets, "dev-switch")) is closed


@pytest.mark.parametrize("at_rest", ["{at_rest: unknown}", "{when_healthy: closed}"])
def test_a_contact_whose_state_at_rest_is_not_known_is_drawn_with_a_question_mark(at_rest: str) -> None:
    sheets = _drawn(f"docgen: 1\nloops: {{drive: {{path: [imd]}}}}\ndevices: {{imd: {{worked_by: hand, contact: {at_rest}}}}}")
    group = _group(sheets, "dev-imd")
    assert "?" in [mark.text for mark in group.marks if isinstance(mark, Label)]
    assert not _conducts(group)


def test_a_bistable_contact_has_a_dashed_blade_and_says_so() -> None:
    sheets = _drawn("docgen: 1\nloops: {drive: {path: [relay]}}\ndevices: {relay: {contact: {at_rest: as left, when_healthy: as left}}}")
    group = _group(sheets, "dev-relay")
    assert [mark for mark in group.marks if isinstance(mark, Line) and mark.pen.dashes and mark.pen != LINK]
    assert {"healthy: as left", "at rest as left"} <= {mark.text for mark in group.marks if isinstance(mark, Label)}


# ── Letters ────────────────────────────────────────────────────────────────────────────────────────────────────────────


def test_a_character_that_the_font_lacks_counts_as_a_whole_em() -> None:
    assert text_width("非常", 10) == 20


@pytest.mark.parametrize("text", ["W" * 90, "非常停止" * 9, "interlock_of_the_rearmost_inverter_connector", "a " * 60])
def test_cut_text_fits_and_says_that_it_is_cut(text: str) -> None:
    lines = wrapped(text, 60, 7, bold=True)
    assert len(lines) <= 2
    assert all(text_width(line, 7, bold=True) <= 60 for line in lines)
    assert lines[-1].endswith("…")
    assert shortened(text, 60, 7).endswith("…")


# ── What is written ────────────────────────────────────────────────────────────────────────────────────────────────────


def test_a_state_that_differs_by_phase_is_told_phase_by_phase() -> None:
    texts = _texts(_drawn(SMALL_CAR))
    assert "healthy: closed" in texts
    car = edited("devices: {imd: {contact: {when_healthy: {off: open, precharging: open, active: closed}}}}").car
    assert {"off, precharging: open", "active: closed"} <= set(_texts(_drawn(car)))


def test_states_by_mode_stand_under_the_name_of_the_mode() -> None:
    patch = "car: {modes: [manual, driverless]}\ndevices: {imd: {contact: {when_healthy: {manual: closed, driverless: {off: open, precharging: closed, active: open}}}}}"
    texts = _texts(_drawn(edited(patch).car))
    assert {"manual: closed", "driverless", "off: open", "precharging: closed", "active: open"} <= set(texts)


def test_a_device_shows_function_feed_terminals_and_what_works_it() -> None:
    group = _group(_drawn(SMALL_CAR), "dev-bspd")
    texts = {mark.text for mark in group.marks if isinstance(mark, Label)}
    assert {"bspd", "feed bspd_feed", "power", "13", "14", "contact of K3", "healthy: closed"} <= texts
    assert " ".join(mark.text for mark in group.marks if isinstance(mark, Label) and mark.size == FUNCTION) == "brake plausibility device"


def test_a_device_that_is_not_described_is_a_dashed_box_with_a_question_mark() -> None:
    group = _group(_drawn("docgen: 1\nloops: {drive: {path: [imd, coil air]}}"), "dev-imd")
    assert any(isinstance(mark, Box) and mark.pen.dashes for mark in group.marks)
    assert {"imd", "?", "not described"} <= {mark.text for mark in group.marks if isinstance(mark, Label)}


def test_a_contact_on_the_return_side_is_dashed_and_says_so() -> None:
    text = "docgen: 1\nloops: {drive: {path: [coil air], return: [imd, chassis]}}\ndevices: {imd: {contact: {at_rest: open}}, air: {worked_by: coil}}"
    group = _group(_drawn(text), "dev-imd")
    assert "on the return side" in [mark.text for mark in group.marks if isinstance(mark, Label)]
    assert [mark for mark in group.marks if isinstance(mark, Line) and mark.pen == RETURN]


def test_the_pre_charge_branch_has_its_name_above_a_shaded_ground() -> None:
    sheets = _drawn(SMALL_CAR)
    label = next(mark for sheet in sheets for mark in sheet.marks() if isinstance(mark, Label) and mark.text == "pre-charge")
    grounds = [extent(mark) for sheet in sheets for mark in sheet.marks() if isinstance(mark, Box) and not mark.pen.width]
    assert any(_inside(extent(label), ground) for ground in grounds)


def test_parallel_ways_that_do_not_fit_a_row_run_apart_between_two_points_of_one_name() -> None:
    names = [f"relay_{number}" for number in range(20)]
    text = json.dumps({"docgen": "1", "loops": {"drive": {"path": [{"any_of": [names, ["bypass"]]}, "coil air"], "return": ["chassis"]}}})
    sheets, loop = _drawn(text), drive(text)
    assert _texts(sheets).count("1") == _texts(sheets).count("2") == 2
    assert drawn_nets(sheets, loop) == graph_nets(loop)


def test_a_branch_between_two_named_points_is_a_row_between_points_of_these_names() -> None:
    text = json.dumps({"docgen": "1", "loops": {"drive": {"path": ["node N1", "imd", "node N2", "coil air"], "between": [{"start": "N1", "end": "N2", "path": ["bypass"]}]}}})
    sheets, loop = _drawn(text), drive(text)
    assert _texts(sheets).count("N1") == _texts(sheets).count("N2") == 2
    assert drawn_nets(sheets, loop) == graph_nets(loop)


def test_a_loop_without_a_step_is_a_source_alone() -> None:
    assert [group.id for sheet in _drawn("docgen: 1\nloops: {drive: {source: low_voltage}}") for group in sheet.groups()] == ["source"]


def test_one_device_that_stands_in_a_loop_twice_has_two_ids() -> None:
    loop = drive("docgen: 1\nloops: {drive: {path: [imd, through X1.2, imd, fuse F1, coil imd, unit.done, motor_link left]}}")
    assert list(element_ids(loop).values()) == ["dev-imd", "through-X1.2", "dev-imd-2", "fuse-F1", "dev-imd-3", "dev-unit.done", "dev-motor_link-left"]


def test_a_device_named_like_the_second_of_another_has_an_id_of_its_own() -> None:
    loop = drive("docgen: 1\nloops: {drive: {path: [imd, imd, imd-2, imd-2, imd]}}")
    assert len(set(element_ids(loop).values())) == 5


def test_the_loop_is_told_in_words_in_the_order_of_the_current() -> None:
    text = (
        "docgen: 1\nloops: {drive: {source: low_voltage, path: [fuse F1, imd, through X3.7, {any_of: [[start], [hold]]}, {each_to_return: [[coil repair_relay], [coil fan]]}], "
        "return: [chassis]}}\ndevices: {imd: {function: IMD, label: 'Monitor, \"rear\"', worked_by: power, contact: {at_rest: open, when_healthy: closed}}, repair_relay: {function: AIR}}"
    )
    car = load_text(text).car
    assert in_words(network(car, "drive"), car, _term) == (
        'Loop drive, from the source low_voltage; fuse F1, not described; Monitor, "rear" (IMD), worked by power, at rest open, healthy closed; through X3.7, not described; '
        "in parallel: (1) start, not described, (2) hold, not described; branches to the return: (1) coil repair_relay (AIR), (2) coil fan, not described; it ends at: chassis."
    )


def test_ten_times_the_devices_take_at_most_twelve_times_the_time() -> None:
    def seconds(devices: int) -> float:
        car = load_text(chain(devices)).car
        loop = network(car, "drive")
        best = float("inf")
        for _ in range(5):
            begun = time.process_time()
            schematic(loop, car, _term)
            best = min(best, time.process_time() - begun)
        return best

    seconds(10)
    assert seconds(600) <= 12 * seconds(60)
