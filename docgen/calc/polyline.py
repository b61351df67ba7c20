"""Curves given as points: the value at a place, and the place of a value. Between two points the line is straight."""

from itertools import pairwise

from docgen.calc.formula import OutOfBounds, bounded

Points = tuple[tuple[float, float], ...]
"""At least two points (place, value) by rising place."""


def checked(points: Points, name: str = "curve") -> Points:
    """The points themselves; raises OutOfBounds where they are fewer than two or their places do not rise."""
    if len(points) < 2:
        raise OutOfBounds(f"number of points of the {name}", "at least 2", len(points))
    for (before, _), (after, _) in pairwise(points):
        bounded(f"place on the {name}", after, above=before)
    return points


def value_at(points: Points, place: float) -> float:
    """The value at a place; raises OutOfBounds beyond the ends.

    >>> value_at(((0, 1.0), (1, 4.0)), 0.5)
    2.5
    """
    bounded("place on the curve", place, least=checked(points)[0][0], most=points[-1][0])
    (left, below), (right, above) = next(pair for pair in pairwise(points) if place <= pair[1][0])
    share = (place - left) / (right - left)
    return below * (1 - share) + above * share


def place_of(points: Points, value: float) -> float:
    """The place of a value on a curve that only rises or only falls; raises OutOfBounds beyond its values, and for other curves.

    >>> place_of(((0, 4.0), (1, 1.0)), 2.5)
    0.5
    """
    turned = tuple((there, place) for place, there in checked(points))
    if turned[0][0] > turned[-1][0]:
        turned = turned[::-1]
    checked(turned, "curve, read back,")
    bounded("value on the curve", value, least=turned[0][0], most=turned[-1][0])
    return value_at(turned, value)
