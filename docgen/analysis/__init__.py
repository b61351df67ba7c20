"""The one place where a car's fields meet formula arguments: every calculation of the submission."""

from collections.abc import Callable, Iterator
from functools import lru_cache

from docgen.analysis.active_light import active_light
from docgen.analysis.cells import cells
from docgen.analysis.conductors import conductors
from docgen.analysis.discharge import discharge
from docgen.analysis.insulation import insulation
from docgen.analysis.loop_electrical import loop_electrical
from docgen.analysis.pedals import pedals
from docgen.analysis.plausibility import plausibility
from docgen.analysis.precharge import precharge
from docgen.analysis.spacing import grounding_and_spacing
from docgen.analysis.timeline import timeline
from docgen.calculation import Calculation
from docgen.look import Look

SUBJECTS: tuple[Callable[[Look], Iterator[Calculation]], ...] = (
    plausibility,
    insulation,
    cells,
    active_light,
    pedals,
    grounding_and_spacing,
    precharge,
    discharge,
    timeline,
    loop_electrical,
    conductors,
)
"""What is computed, in the order in which it is printed."""


@lru_cache(maxsize=4)
def by_subject(look: Look) -> tuple[tuple[str, tuple[Calculation, ...]], ...]:
    """Every calculation of a car under an edition, with the subject that it belongs to."""
    return tuple((subject.__name__.replace("_", " ").capitalize(), tuple(subject(look))) for subject in SUBJECTS)


def calculations(look: Look) -> tuple[Calculation, ...]:
    """Every calculation of a car under an edition, in the order in which it is printed."""
    return tuple(calculation for _, group in by_subject(look) for calculation in group)
