"""The pictures of the calculations."""

from collections.abc import Callable, Iterator

from docgen.analysis.discharge import discharge_pictures
from docgen.analysis.loop_profile import loop_pictures
from docgen.analysis.pedals_plots import pedals_pictures
from docgen.analysis.plausibility_plots import plausibility_pictures
from docgen.analysis.precharge import precharge_pictures
from docgen.analysis.timeline import timeline_pictures
from docgen.look import Look
from docgen.plot import PlotOf

__all__ = ["PICTURES", "PlotOf", "pictures"]

PICTURES: tuple[Callable[[Look], Iterator[PlotOf]], ...] = (plausibility_pictures, pedals_pictures, precharge_pictures, discharge_pictures, timeline_pictures, loop_pictures)
"""What is drawn, in the order in which it is printed."""


def pictures(look: Look) -> tuple[PlotOf, ...]:
    """Every picture of a car's numbers."""
    return tuple(plot for subject in PICTURES for plot in subject(look))
