"""What a reader of the submission is told: every value of the description, and nothing that the car does not do."""

import re

import pytest
from conftest import TESTS, edited

from docgen.build import submission_of
from docgen.check import check
from docgen.editions import edition
from docgen.load import load_file, load_text
from docgen.look import Look
from docgen.nodes import Document, Heading, Paragraph, Table, labels, plain
from docgen.provenance import spelled
from docgen.reading import leaves


def document(patch: str) -> Document:
    return submission_of(check(edited(patch), edition("fsuk-2026"))).document


def rows(told: Document, anchor: str) -> list[list[str]]:
    """A table of the document as texts."""
    table = next(block for block in told.blocks if isinstance(block, Table) and block.anchor == anchor)
    return [[plain(cell, labels(told.blocks)) for cell in row] for row in table.rows]


def column(told: Document, anchor: str, title: str) -> dict[str, str]:
    """First cell, up to a line break -> the cell under a title."""
    table = next(block for block in told.blocks if isinstance(block, Table) and block.anchor == anchor)
    index = [head.title for head in table.columns].index(title)
    return {row[0].split("\n")[0]: row[index] for row in rows(told, anchor)}


def test_every_value_of_the_example_car_stands_in_the_document() -> None:
    description = load_file(TESTS.parent / "example_car" / "car.yaml")
    told = submission_of(check(description, edition("fsuk-2026"))).document
    tables = [block.anchor for block in told.blocks if isinstance(block, Table)]
    texts = [text for anchor in tables for row in rows(told, anchor) for text in row]
    said = "\n".join([*texts, *(plain(block.inlines, labels(told.blocks)) for block in told.blocks if isinstance(block, Paragraph))])
    leafs = [(path, text) for path, text in leaves(description.tree.data) if path[0] not in ("docgen", "notes") and "path" not in path and text is not None]
    assert len(leafs) > 1000
    assert [spelled(path) for path, text in leafs if text not in said] == []


def test_a_contact_is_opened_by_what_really_opens_it() -> None:
    relay = "{function: discharge relay, worked_by: coil, contacts: {power: {at_rest: closed, when_healthy: {off: closed, active: open}}, hold: {at_rest: open, when_healthy: closed}}}"
    told = document(f"devices: {{discharge: {relay}, ready_button: {{function: other, worked_by: hand, contact: {{at_rest: open, when_healthy: open}}}}}}")
    opens, lost = column(told, "table-devices", "What opens it"), column(told, "table-devices", "On loss of feed")
    assert (opens["discharge.power"], lost["discharge.power"]) == ("its coil current", "closes")
    assert (opens["discharge.hold"], lost["discharge.hold"]) == ("loss of its coil current", "opens")
    assert (opens["ready_button"], opens["lv_master"]) == ("letting go", "a hand")


def test_a_signal_is_told_with_its_value_its_delay_and_each_of_its_failures() -> None:
    modes = "[{mode: message lost, detected_by: time-out, within: 217 ms, does: opens, tested: unplugged}, {mode: message late}]"
    told = document(f"signals: {{odd: {{kind: digital cable, start: here, end: there, value: 3.217 V, delay: 219 ms, failure_modes: {modes}}}}}")
    assert next(row for row in rows(told, "table-signals") if row[0] == "odd") == ["odd", "digital cable", "here → there", "not said", "3.217 V", "219 ms"]
    assert [row for row in rows(told, "table-failures") if row[0] == "odd"] == [
        ["odd", "message lost", "time-out", "217 ms", "opens", "unplugged"],
        ["odd", "message late", "not said", "not said", "not said", "not said"],
    ]


def test_evidence_is_told_with_its_file_and_each_thing_that_rests_on_it_once() -> None:
    told = document("evidence: {ds_odd: {title: Odd button, file: evidence/odd.pdf, page: 3}}\ndevices: {button_left: {datasheet: ds_odd, direct_opening: ds_odd}}")
    assert next(row for row in rows(told, "table-evidence") if row[0] == "ds_odd") == ["ds_odd", "Odd button\nevidence/odd.pdf", "3", "–", "devices.button_left"]


def test_the_weightiest_findings_stand_first_on_the_first_page() -> None:
    told = document("tractive_system: {grounding: null, off_lamp: null}\ndemand: {pedal_vs_brake_check: null}\ndevices: {imd: {contact: {at_rest: closed}}}\nloops: {drive: {return: [inertia_switch, chassis]}}")
    short = rows(told, "table-findings-in-short")
    assert "needs power to open" in short[0][2]
    assert "no pedal-vs-brake software check" in short[1][2]
    assert next(place for place, row in enumerate(short) if "return side" in row[2]) < next(place for place, row in enumerate(short) if "lamp" in row[2])


def test_the_findings_stand_before_the_numbers_and_the_workings_last() -> None:
    chapters = [block.anchor for block in document("demand: {springs: 2}").blocks if isinstance(block, Heading) and block.level == 1]
    assert chapters.index("findings") < chapters.index("numbers")
    assert chapters[-1] == "workings"


def test_a_value_without_a_bound_holds_nothing() -> None:
    shown = rows(document("demand: {springs: 2}"), "table-numbers")
    assert shown
    assert {row[4] for row in shown if row[2] == "–"} <= {"not evaluated", "finding"}


def test_an_empty_description_has_no_numbers_and_still_a_document() -> None:
    told = submission_of(check(load_text("docgen: 1\ncar: {edition: fsuk-2026}\n"), edition("fsuk-2026"))).document
    assert "at-a-glance" in labels(told.blocks)


def test_a_part_inside_a_part_stands_in_brackets() -> None:
    told = document("devices: {imd: {lamp: {colour: red, label: null, place: {where: dashboard, by: wheel}, check: 2 s}}}")
    assert dict(rows(told, "table-device-imd"))["lamp"] == "colour red; place (where dashboard; by wheel); check 2 s"


def test_states_by_phase_are_told_state_by_state() -> None:
    told = document("devices: {air_plus: {contact: null, contacts: {main: {at_rest: open, when_healthy: {off: open, precharging: open, active: closed}}}}}")
    assert column(told, "table-devices", "When healthy")["air_plus.main"] == "open (off, precharging), closed (active)"


def test_a_revision_without_a_day_is_not_given_one() -> None:
    assert document("revisions: [{mark: A, status: draft}]").issued is None


@pytest.mark.parametrize(("name", "said"), [("bspd", "bspd"), ("BSPD", "BSPD"), ("board_3", "board_3 (BSPD)")])
def test_a_name_that_says_its_function_is_not_explained(name: str, said: str) -> None:
    described = edited(f"devices: {{{name}: {{function: brake plausibility device}}}}")
    assert Look(described, edition("fsuk-2026")).printed(name) == said
    told = document(f"devices: {{{name}: {{function: brake plausibility device, label: null}}}}")
    assert said in [block.text for block in told.blocks if isinstance(block, Heading)]


def test_a_check_that_is_not_described_is_not_called_software() -> None:
    told = document("demand: {pedal_vs_brake_check: null}")
    assert rows(told, "table-check-and-device")[0][:2] == ["What it is", "not described"]


@pytest.mark.parametrize(
    ("identifier", "words", "foreign"),
    [
        ("fs-2020", ("AMS", "AIR", "HVD interlock"), ("BMS", "MSD interlock")),
        ("fs-2025", ("AMS", "AIR", "HVD interlock"), ("BMS", "MSD interlock")),
        ("fsuk-2026", ("AMS", "AIR", "HVD interlock"), ("BMS", "MSD interlock")),
        ("fsae-2024", ("AMS", "AIR", "HVD interlock"), ("BMS", "MSD interlock")),
        ("fsae-2026", ("BMS", "IR", "MSD interlock"), ("AMS", "AIR", "HVD interlock")),
    ],
)
def test_the_example_car_is_told_and_drawn_in_the_words_of_every_edition(identifier: str, words: tuple[str, ...], foreign: tuple[str, ...]) -> None:
    """FSAE Rules 2026 renamed AMS to BMS, AIR to IR and HVD to MSD; the other four keep the older words."""
    told = submission_of(check(load_file(TESTS.parent / "example_car" / "car.yaml"), edition(identifier)))
    named = " ".join(row[0] for row in rows(told.document, "table-devices"))
    drawn = " ".join(re.findall(r"<text[^>]*>([^<]*)</text>", "".join(sheet.picture.svg for sheet in told.drawings["drive"])))
    for word in words:
        assert re.search(rf"\b{word}\b", named) and re.search(rf"\b{word}\b", drawn), word
    for word in foreign:
        assert not re.search(rf"\b{word}\b", named) and not re.search(rf"\b{word}\b", drawn), word
    assert any(edition(identifier).name in plain(block.inlines) for block in told.document.blocks if isinstance(block, Paragraph))
