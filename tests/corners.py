"""What the tests of all formulas share: every formula of a module, random boxes of its inputs, a search over a box."""

import inspect
import math
import random
from collections.abc import Callable, Mapping
from itertools import product
from types import ModuleType

import pytest
from hypothesis import strategies as st

from docgen.calc.formula import Band, OutOfBounds, card, worst

Formula = Callable[..., float]
Ranges = Mapping[str, tuple[float, float]]


def formulas(module: ModuleType) -> set[Formula]:
    """The functions of a module that carry a card."""
    found = set()
    for _, function in inspect.getmembers(module, inspect.isfunction):
        if function.__module__ == module.__name__:
            try:
                card(function)
            except KeyError:
                continue
            found.add(function)
    return found


@st.composite
def boxes(draw: st.DrawFn, ranges: Ranges) -> dict[str, Band]:
    """A band for each input, anywhere within its range; some have no width."""
    box = {}
    for name, (least, most) in ranges.items():
        box[name] = Band(*sorted(draw(st.floats(least, most)) for _ in range(3)))
    return box


def assert_corners_are_exact(function: Formula, box: Mapping[str, Band]) -> None:
    """The band of `worst` is met by corners of the box, and no corner or inner point lies outside it."""
    found = worst(function, **box)
    assert found.nominal == function(**{name: band.nominal for name, band in box.items()})
    corners = [function(**dict(zip(box, corner, strict=True))) for corner in product(*((band.low, band.high) for band in box.values()))]
    assert math.isclose(found.low, min(corners), rel_tol=1e-12, abs_tol=1e-300)
    assert math.isclose(found.high, max(corners), rel_tol=1e-12, abs_tol=1e-300)
    dice = random.Random(20)
    slack = 1e-12 * max(abs(found.low), abs(found.high))
    for _ in range(30):
        inner = function(**{name: dice.uniform(band.low, band.high) for name, band in box.items()})
        assert found.low - slack <= inner <= found.high + slack


def assert_refuses_what_is_no_number(function: Formula, ranges: Ranges) -> None:
    """Infinity and NaN are refused for every argument, by its own name."""
    middle = {name: (least + most) / 2 for name, (least, most) in ranges.items()}
    function(**middle)
    for name in ranges:
        for value in (math.inf, -math.inf, math.nan):
            with pytest.raises(OutOfBounds) as refusal:
                function(**middle | {name: value})
            assert refusal.value.name == name, f"{function.__name__}({name}={value}) blames {refusal.value.name}"


def refusal(function: Callable[..., object], **arguments: object) -> tuple[str, str, float]:
    """Name, bound and value of the refusal of a call that must be refused."""
    with pytest.raises(OutOfBounds) as refused:
        function(**arguments)
    assert str(refused.value) == f"{refused.value.name} is {refused.value.value:g}, must be {refused.value.bound}"
    return refused.value.name, refused.value.bound, refused.value.value
