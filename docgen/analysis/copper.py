"""Described conductors: their resistance between coldest and hottest, and which published table holds for a size."""

from collections.abc import Callable

from docgen.calc.formula import Band
from docgen.calc.wire import bundle_resistance, class_5_resistance, gauge_area, resistance, stranded_resistance
from docgen.quantity import Quantity

COLD = 0.0
"""Lowest temperature in °C at which copper is taken to work: no car is run in frost."""
HOTTEST = 300.0
"""Highest temperature in °C for which the law of copper is taken, whatever an insulation is rated for."""


def largest(size: Quantity) -> Callable[..., float]:
    """The formula for the largest resistance of a conductor of this size.

    A size written as a gauge has the aircraft table, one in mm² the class of flexible conductors, a size beyond its table the largest
    excess of both.
    """
    low, high = float(size.low), float(size.high)
    if size.text.startswith("AWG"):
        return bundle_resistance if gauge_area(gauge=24.1) < low and high < gauge_area(gauge=9.1) else stranded_resistance
    return class_5_resistance if low >= 0.5e-6 and high < 25e-6 else stranded_resistance


def stretch(size: Quantity, length: Quantity, insulation: Quantity) -> Band:
    """Resistance in Ω of a stretch: ideal copper in the cold and at 20 °C, and the largest of its table at the rating of the insulation."""
    return Band(
        resistance(area=float(size.high), length=float(length.low), temperature=COLD),
        resistance(area=float(size.value), length=float(length.value), temperature=20),
        largest(size)(area=float(size.low), length=float(length.high), temperature=max(COLD, min(float(insulation.high), HOTTEST))),
    )
