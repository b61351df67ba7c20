"""The pictures of the calculations."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from docgen.look import Look
from docgen.sheet import Sheet


@dataclass(frozen=True, slots=True)
class PlotOf:
    """A picture with its caption and what it says in words."""

    slug: str
    caption: str
    alternative: str
    sheet: Sheet


PICTURES: tuple[Callable[[Look], Iterator[PlotOf]], ...] = ()
"""What is drawn, in the order in which it is printed."""


def pictures(look: Look) -> tuple[PlotOf, ...]:
    """Every picture of a car's numbers."""
    return tuple(plot for subject in PICTURES for plot in subject(look))
