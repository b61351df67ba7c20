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

SUBJECTS: tuple[tuple[str, Callable[[Look], Iterator[Calculation]]], ...] = (
    ("Brake plausibility device", plausibility),
    ("Insulation monitor and measuring points", insulation),
    ("Cells, segments and main fuse", cells),
    ("Active light", active_light),
    ("Pedals", pedals),
    ("Grounding and spacing", grounding_and_spacing),
    ("Pre-charge", precharge),
    ("Discharge", discharge),
    ("From a demand to a safe voltage", timeline),
    ("The loop and its coils", loop_electrical),
    ("Conductors and fuses", conductors),
)
"""What is computed, under the title and in the order in which it is printed."""


@lru_cache(maxsize=4)
def by_subject(look: Look) -> tuple[tuple[str, tuple[Calculation, ...]], ...]:
    """Every calculation of a car under an edition, with the title of its subject."""
    return tuple((title, tuple(subject(look))) for title, subject in SUBJECTS)


def calculations(look: Look) -> tuple[Calculation, ...]:
    """Every calculation of a car under an edition, in the order in which it is printed."""
    return tuple(calculation for _, group in by_subject(look) for calculation in group)
