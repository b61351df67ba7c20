"""A computed figure as the outcome of a rule: its value with the worst end, its bound, its margin."""

from collections.abc import Iterator

from docgen.analysis import calculations
from docgen.calculation import Bound, Calculation, of
from docgen.finding import Outcome, Verdict, finding, holds, not_applicable, not_evaluated
from docgen.look import Look
from docgen.printing import band, measure

SUBJECT = "Devices in numbers"


def judged(look: Look, slug: str) -> Iterator[Outcome]:
    """Every figure of this slug against its bound; not applicable where the car has none."""
    found = of(calculations(look), slug)
    for calculation in found:
        yield outcome_of(calculation)
    if not found:
        yield not_applicable("nothing that this figure could be computed of is described")


def outcome_of(calculation: Calculation) -> Outcome:
    """A finding where the bound is broken or the inputs contradict each other; not evaluated where an input or the bound is missing."""
    what = calculation.title[0].lower() + calculation.title[1:]
    if calculation.missing:
        wanting = ", ".join(dict.fromkeys(missing.name for missing in calculation.missing))
        return not_evaluated(calculation.about, f"{what} could not be computed for want of: {wanting}")
    if calculation.result is None:
        return finding(calculation.about, f"{what} cannot be: {calculation.impossible}", "must come from figures that agree with each other")
    result, unit = calculation.result, calculation.card.unit
    bound, margin = calculation.bound, calculation.margin
    if bound is None or margin is None:
        return not_evaluated(calculation.about, f"{what} is {band(result.low, result.nominal, result.high, unit)}; no limit for it was read")
    nominal, worst = measure(result.nominal, unit), measure(result.high if bound.compare in ("at most", "below") else result.low, unit)
    was = f"{what} is {nominal}" + (f", at worst {worst}" if worst != nominal else "")
    if calculation.verdict is Verdict.FINDING:
        return finding(calculation.about, was, f"must be {bound_said(bound, unit)}")
    return holds(calculation.about, f"{was}, {bound_said(bound, unit)}; margin {measure(margin, unit)}")


def bound_said(bound: Bound, unit: str) -> str:
    """A bound in words: ``at most 500 ms``, ``at most 10 W, the rated power of the resistor``."""
    return f"{bound.compare} {measure(bound.value, unit)}" + (f", {bound.words}" if bound.words else "")
