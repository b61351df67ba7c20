"""What the tests of single subjects share: the figures of a car after a patch."""

import pytest
from conftest import edited

from docgen.analysis import calculations
from docgen.calculation import Calculation, of
from docgen.editions import edition
from docgen.look import Look


def figures(patch: str, *slugs: str, identifier: str = "fsuk-2026") -> tuple[Calculation, ...]:
    """The figures with these slugs of the small car after a merge patch."""
    return of(calculations(Look(edited(patch), edition(identifier))), *slugs)


def figure(patch: str, slug: str, identifier: str = "fsuk-2026") -> Calculation:
    """The only figure with this slug."""
    (found,) = figures(patch, slug, identifier=identifier)
    return found


def ends(calculation: Calculation) -> tuple[float, float, float]:
    """Lowest, nominal and highest value; fails where there is none."""
    if calculation.result is None:
        pytest.fail(f"{calculation.slug}: {calculation.missing} {calculation.impossible}")
    return calculation.result.low, calculation.result.nominal, calculation.result.high
