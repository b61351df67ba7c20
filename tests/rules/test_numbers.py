"""What a rule makes of a computed figure: six cases, each with its words."""

from dataclasses import replace

import pytest

from docgen.calc.formula import Band, Card
from docgen.calculation import Bound, Calculation, Missing
from docgen.finding import Outcome, Verdict
from docgen.rules.numbers import bound_said, outcome_of

CARD = Card("f", "t = R·C", "s", "textbook", (), ())
PLACE = ("devices", "bspd", "delay")
DELAY = Calculation("delay", "Delay of bspd", PLACE, CARD, (), (), Band(0.32, 0.35, 0.38), Bound("at most", 0.5, "plausibility-time"))


def test_a_figure_within_its_bound_holds_with_its_margin() -> None:
    assert outcome_of(DELAY) == Outcome(Verdict.HOLDS, PLACE, "delay of bspd is 350 ms, at worst 380 ms, at most 500 ms; margin 120 ms")


def test_a_figure_beyond_its_bound_is_a_finding_with_nominal_and_worst_value() -> None:
    slow = replace(DELAY, result=Band(0.4, 0.45, 0.51))
    assert outcome_of(slow) == Outcome(Verdict.FINDING, PLACE, "delay of bspd is 450 ms, at worst 510 ms", "must be at most 500 ms")


@pytest.mark.parametrize(("compare", "worst"), [("at least", "320 ms"), ("above", "320 ms"), ("at most", "380 ms"), ("below", "380 ms")])
def test_the_worst_value_is_the_end_that_the_bound_watches(compare: str, worst: str) -> None:
    value = 9.0 if compare in ("at least", "above") else 0.1
    assert outcome_of(replace(DELAY, bound=Bound(compare, value))).was.endswith(f"at worst {worst}")


def test_an_exact_figure_has_no_worst_value() -> None:
    assert outcome_of(replace(DELAY, result=Band.exactly(0.6))).was == "delay of bspd is 600 ms"


def test_a_figure_without_an_input_is_not_evaluated_and_names_each_wanting_input_once() -> None:
    wanting = (Missing("timing resistor", PLACE), Missing("timing capacitor", PLACE), Missing("timing resistor", PLACE))
    found = outcome_of(replace(DELAY, result=None, missing=wanting))
    assert found == Outcome(Verdict.NOT_EVALUATED, PLACE, "delay of bspd could not be computed for want of: timing resistor, timing capacitor")


def test_inputs_that_contradict_each_other_are_a_finding() -> None:
    found = outcome_of(replace(DELAY, result=None, impossible="fraction is 1.2, must be below 1"))
    assert found == Outcome(
        Verdict.FINDING, PLACE, "delay of bspd cannot be: fraction is 1.2, must be below 1", "must come from figures that agree with each other"
    )


def test_a_figure_without_a_limit_is_not_evaluated() -> None:
    found = outcome_of(replace(DELAY, bound=None))
    assert found == Outcome(Verdict.NOT_EVALUATED, PLACE, "delay of bspd is 350 ms (320 ms to 380 ms); no limit for it was read")


@pytest.mark.parametrize(("compare", "verdict"), [("at most", Verdict.HOLDS), ("below", Verdict.FINDING)])
def test_a_figure_on_its_bound_is_allowed_or_not_and_rounding_does_not_decide(compare: str, verdict: Verdict) -> None:
    """96 · 4.2 V is 403.20000000000005 V in floats."""
    volts = replace(DELAY, card=replace(CARD, unit="V"), result=Band.exactly(96 * 4.2), bound=Bound(compare, 403.2))
    assert 96 * 4.2 != 403.2
    assert outcome_of(volts).verdict is verdict


def test_a_bound_says_what_it_is() -> None:
    assert bound_said(Bound("at most", 10.0, words="the rated power of the resistor"), "W") == "at most 10 W, the rated power of the resistor"
    assert bound_said(Bound("at least", 900.0, "active-light-runtime"), "s") == "at least 15 min"
