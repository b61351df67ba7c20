"""What is written beside each rule is true: Wrong breaks it, Right does not."""

import pytest
from conftest import SMALL_CAR, edited

from docgen.check import check
from docgen.editions import Edition, edition, known_editions
from docgen.finding import SUBJECTS, Rule, Verdict
from docgen.load import load_text
from docgen.provenance import Known
from docgen.rules import CATALOGUE

EDITION = edition("fsuk-2026")
by_slug = pytest.mark.parametrize("rule", CATALOGUE, ids=lambda rule: rule.slug)


def _spoken_of(rule: Rule) -> Edition:
    """The usual edition, or the first that has a clause where that one is silent."""
    for candidate in (EDITION, *map(edition, known_editions())):
        if rule.never_quiet or not rule.topic or candidate.topic(rule.topic).known not in (Known.ABSENT, Known.UNREAD):
            return candidate
    return EDITION


@by_slug
def test_wrong_breaks_the_rule(rule: Rule) -> None:
    report = check(edited(rule.texts.wrong), _spoken_of(rule), (rule,))
    assert [result.rule.slug for result in report.findings] != []


@by_slug
def test_right_leaves_nothing_to_find(rule: Rule) -> None:
    report = check(edited(rule.texts.right), _spoken_of(rule), (rule,))
    verdicts = {result.outcome.verdict for result in report.results}
    assert verdicts and verdicts <= {Verdict.HOLDS, Verdict.STATED, Verdict.AT_CAR, Verdict.NOT_APPLICABLE}, [result.outcome for result in report.results]


def test_the_small_car_is_sound() -> None:
    report = check(load_text(SMALL_CAR), EDITION)
    assert [f"{result.location}: {result.rule.slug}: {result.outcome.was}" for result in report.findings] == []


def test_slugs_are_unique_and_subjects_in_order() -> None:
    slugs = [rule.slug for rule in CATALOGUE]
    assert len(set(slugs)) == len(slugs)
    order = [SUBJECTS.index(rule.subject) for rule in CATALOGUE]
    assert order == sorted(order)


def test_a_rule_that_stops_becomes_a_finding_and_the_others_still_report() -> None:
    stopping = Rule("stops", SUBJECTS[0], "", CATALOGUE[0].severity, False, lambda look: 1 / 0)  # type: ignore[arg-type,return-value]
    report = check(load_text(SMALL_CAR), EDITION, (stopping, CATALOGUE[0]))
    assert [result.rule.slug for result in report.findings] == ["stops"]
    assert "ZeroDivisionError" in report.findings[0].outcome.was
    assert report.failed_rules == report.findings
    assert any(result.rule is CATALOGUE[0] for result in report.results)
