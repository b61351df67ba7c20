"""What a formula carries with it, and its exact worst corners over tolerances."""

import inspect
import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar


class OutOfBounds(ValueError):
    """An argument that a formula does not take: its name, the bound and the value."""

    def __init__(self, name: str, bound: str, value: float) -> None:
        super().__init__(f"{name} is {value:g}, must be {bound}")
        self.name, self.bound, self.value = name, bound, value


def bounded(name: str, value: float, *, above: float | None = None, least: float | None = None, below: float | None = None, most: float | None = None) -> None:
    """Refuse a value at the door of a formula; raises OutOfBounds, also for infinity and NaN."""
    if not math.isfinite(value):
        raise OutOfBounds(name, "finite", value)
    if above is not None and value <= above:
        raise OutOfBounds(name, f"above {above:g}", value)
    if least is not None and value < least:
        raise OutOfBounds(name, f"at least {least:g}", value)
    if below is not None and value >= below:
        raise OutOfBounds(name, f"below {below:g}", value)
    if most is not None and value > most:
        raise OutOfBounds(name, f"at most {most:g}", value)


@dataclass(frozen=True, slots=True)
class Card:
    """What is printed of a formula: expression, unit of the result, source, and which way it goes with each input."""

    name: str
    expression: str
    unit: str
    source: str
    rises_with: tuple[str, ...]
    falls_with: tuple[str, ...]


F = TypeVar("F", bound=Callable[..., float])
_CARDS: dict[str, Card] = {}


def formula(expression: str, unit: str, source: str, rises_with: tuple[str, ...] = (), falls_with: tuple[str, ...] = ()) -> Callable[[F], F]:
    """Hang a card on a function of keyword-only SI floats and return the function itself.

    Every argument stands in `rises_with` or `falls_with`: the formula is monotone in it over the whole of its bounds.
    Raises TypeError where the names differ from the function's own.
    """

    def hung(function: F) -> F:
        names = [parameter.name for parameter in inspect.signature(function).parameters.values()]
        if sorted(names) != sorted((*rises_with, *falls_with)):
            raise TypeError(f"{function.__name__}: the arguments are {names}, the card names {[*rises_with, *falls_with]}")
        _CARDS[f"{function.__module__}.{function.__qualname__}"] = Card(function.__name__, expression, unit, source, rises_with, falls_with)
        return function

    return hung


def card(function: Callable[..., float]) -> Card:
    """The card of a formula; raises KeyError for a function that has none."""
    return _CARDS[f"{function.__module__}.{function.__qualname__}"]


@dataclass(frozen=True, slots=True)
class Band:
    """A value with its ends over all tolerances, in SI: low ≤ nominal ≤ high."""

    low: float
    nominal: float
    high: float

    @classmethod
    def exactly(cls, value: float) -> "Band":
        return cls(value, value, value)


def worst(function: Callable[..., float], **inputs: Band) -> Band:
    """The formula over the whole box of its inputs: its lowest, nominal and highest value.

    Exact, because the formula is monotone in every input: the lowest value lies where every input that it rises with is at its
    low end and every one that it falls with at its high end. Three evaluations, however many inputs there are.
    """
    marks = card(function)
    low = {name: band.low if name in marks.rises_with else band.high for name, band in inputs.items()}
    high = {name: band.high if name in marks.rises_with else band.low for name, band in inputs.items()}
    return Band(function(**low), function(**{name: band.nominal for name, band in inputs.items()}), function(**high))
