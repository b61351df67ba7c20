"""Another edition for the same car, and editions laid over shipped ones."""

import json
from pathlib import Path

import pytest
from conftest import SMALL_CAR, edited

from docgen.check import check
from docgen.cli import main
from docgen.editions import edition, edition_of
from docgen.load import load_text
from docgen.reading import Unreadable, read_text
from docgen.switch import as_json, as_text, switched

UK = edition("fsuk-2026")
HEAD = "extends: fsuk-2026\nedition: our-event\ntitle: Rules of our event\nyear: '2027'\n"


def laid_over(topics: str) -> str:
    return f"{HEAD}topics:\n  {topics}\n"


def test_the_same_edition_changes_nothing() -> None:
    report = check(load_text(SMALL_CAR), UK)
    switch = switched(report, report)
    assert (switch.come, switch.gone, switch.changed, switch.limits, switch.terms) == ((), (), (), (), ())


def test_a_stricter_limit_brings_a_finding_and_shows_the_limit() -> None:
    own = edition_of(read_text(laid_over("pedal-vs-brake: {clause: X1, known: read in a text, limits: {time: {compare: at most, value: 300 ms}}}"), "own.yaml"))
    description = load_text(SMALL_CAR)
    switch = switched(check(description, UK), check(description, own))
    assert [result.rule.slug for result in switch.come] == ["pedal-vs-brake-limit"]
    assert ("pedal-vs-brake", "time", "at most 500 ms", "at most 300 ms") in [(one.topic, one.limit, one.before, one.after) for one in switch.limits]
    assert str(switch.come[0].citation) == "Rules of our event 2027, X1"


def test_the_same_limit_in_another_unit_is_no_difference() -> None:
    clause = "precharge-level: {clause: EV5.7.1, known: read in a text, limits: {level: {compare: at least, value: 95.0 %}}}"
    own = edition_of(read_text(laid_over(clause), "own.yaml"))
    report = check(load_text(SMALL_CAR), UK)
    assert switched(report, check(report.description, own)).limits == ()


@pytest.mark.parametrize(
    ("topics", "at", "said"),
    [
        ("precharg-level: {clause: X1, known: read in a text}", "precharg-level", "the topic precharg-level is not known; must be precharge-level"),
        ("precharge-level: {clause: X1, known: read in a text, limits: {level: {compare: at least, value: 90 V}}}", "90 V", "is a voltage, must be a share"),
        ("precharge-level: {clause: X1, known: read in a text, limits: {levle: {compare: at least, value: 90 %}}}", "levle", "the limit levle is not known"),
        ("precharge-level: {clause: X1, known: read in a text, limits: {level: {compare: over, value: 90 %}}}", "over", "compare: over stands here"),
        ("precharge-level: {clause: X1, known: guessed}", "guessed", "known: guessed stands here"),
        ("plausibility-power: {clause: X1, known: read in a text, words: {basis: biggest}}", "biggest", "basis: biggest stands here"),
        ("contactor-count: {clause: X1, known: read in a text, limits: {each: {compare: at least, value: two}}}", "two", "whole number"),
    ],
)  # fmt: skip
def test_a_wrong_edition_file_is_refused_at_its_line(topics: str, at: str, said: str) -> None:
    place = f"6:{2 + topics.rindex(at) + 1}"
    with pytest.raises(Unreadable) as refused:
        edition_of(read_text(laid_over(topics), "own.yaml"))
    found = [str(problem) for problem in refused.value.problems]
    assert any(problem.startswith(f"own.yaml:{place}: ") and said in problem for problem in found), found


def test_an_edition_that_extends_an_unknown_one_is_refused() -> None:
    with pytest.raises(Unreadable, match="the edition fsuk-1999 is not known; must be one of"):
        edition_of(read_text("extends: fsuk-1999\n", "own.yaml"))


def test_a_finding_that_only_weighs_otherwise_neither_comes_nor_goes() -> None:
    own = edition_of(read_text(laid_over("monitor-latch: {clause: X2, known: second-hand}"), "own.yaml"))
    report = check(edited("devices: {imd: {latch: null}}"), UK)
    switch = switched(report, check(report.description, own))
    assert (switch.come, switch.gone) == ((), ())
    assert [(before.rule.slug, before.severity, after.severity) for before, after in switch.changed] == [("latch-missing", "error", "warning")]
    assert "error -> warning: latch-missing" in as_text(switch)
    assert json.loads(as_json(switch))["findings"]["changed"][0]["after"] == "warning"


def test_a_finding_that_goes_because_nobody_read_the_clause_says_so() -> None:
    own = edition_of(read_text(laid_over("monitor-latch: {known: not read by us}"), "own.yaml"))
    report = check(edited("devices: {imd: {latch: null}}"), UK)
    switch = switched(report, check(report.description, own))
    assert [result.rule.slug for result in switch.gone] == ["latch-missing"]
    assert "(not judged any more: the clause was not read by us)" in as_text(switch)


def test_a_clause_not_read_is_not_evaluated_and_never_holds() -> None:
    own = edition_of(read_text(laid_over("monitor-latch: {known: not read by us}"), "own.yaml"))
    report = check(edited("devices: {imd: {latch: null}}"), own)
    verdicts = {result.outcome.verdict.value for result in report.results if result.rule.topic == "monitor-latch"}
    assert verdicts == {"not evaluated"}


def test_a_clause_known_second_hand_only_warns_and_says_so() -> None:
    own = edition_of(read_text(laid_over("monitor-latch: {clause: X2, known: second-hand}"), "own.yaml"))
    report = check(edited("devices: {imd: {latch: null}}"), own)
    (found,) = [result for result in report.findings if result.rule.slug == "latch-missing"]
    assert found.severity == "warning"
    assert "look the clause up" in str(found.citation)


def test_the_forgotten_check_warns_even_where_no_clause_was_read() -> None:
    own = edition_of(read_text(laid_over("pedal-vs-brake: {known: not read by us}"), "own.yaml"))
    report = check(edited("demand: {pedal_vs_brake_check: null}"), own)
    (found,) = [result for result in report.findings if result.rule.slug == "pedal-vs-brake-missing"]
    assert found.severity == "warning"


def test_the_command_takes_a_file_and_says_what_changes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "car.yaml").write_text(SMALL_CAR, encoding="utf-8")
    (tmp_path / "own.yaml").write_text(laid_over("pedal-vs-brake: {clause: X1, known: read in a text, limits: {time: {compare: at most, value: 300 ms}}}"), encoding="utf-8")
    assert main(["switch", str(tmp_path / "car.yaml"), "--edition", str(tmp_path / "own.yaml")]) == 1
    out = capsys.readouterr().out
    assert "from Formula Student UK rules 2026 to Rules of our event 2027" in out
    assert "at most 500 ms -> at most 300 ms" in out
