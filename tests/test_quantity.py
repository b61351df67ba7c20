"""Quantities: what is read, what is refused, and how."""

from decimal import Decimal

import pytest
from fluids.piping import t_from_gauge  # type: ignore[import-untyped]
from pydantic_core import PydanticCustomError

from docgen.quantity import DIMENSIONS, EXAMPLES, read_quantity, read_spread


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_the_example_of_every_dimension_reads(dimension: str) -> None:
    assert read_quantity(EXAMPLES[dimension], dimension).dimension == dimension


@pytest.mark.parametrize(
    ("text", "dimension", "base"),
    [
        ("5 kW", "power", "5000"), ("480 µF", "capacitance", "0.00048"), ("480 uF", "capacitance", "0.00048"), ("85 kohm", "resistance", "85000"),
        ("15 mΩ", "resistance", "0.015"), ("1.0 mm2", "area", "0.000001"), ("105 degC", "temperature", "105"), ("3.5 Ah", "charge", "12600"),
        ("30 bar", "pressure", "3000000"), ("500 ms", "time", "0.5"), ("2 min", "time", "120"), ("24 V DC", "voltage", "24"), ("95 %", "share", "0.95"),
        ("500 Ω/V", "insulation", "500"), ("5.4 MJ", "energy", "5400000"), ("1.5e3 V", "voltage", "1500"), ("0 Nm", "torque", "0"),
    ],
)  # fmt: skip
def test_a_value_is_kept_exactly_in_its_base_unit(text: str, dimension: str, base: str) -> None:
    assert read_quantity(text, dimension).value == Decimal(base)


def test_standard_gravity_is_that_of_the_si_brochure() -> None:
    """CGPM 1901: 9.80665 m/s² (SI Brochure, from memory)."""
    assert read_quantity("1 g", "acceleration").value == Decimal("9.80665")


@pytest.mark.parametrize("gauge", [10, 12, 14, 16, 18, 20, 22, 24])
def test_wire_gauges_agree_with_the_fluids_library(gauge: int) -> None:
    """Library of inch tables; 0.4 % in area is the rounding of its inches (0.2 % in diameter)."""
    diameter = t_from_gauge(gauge, SI=True, schedule="AWG")
    assert float(read_quantity(f"AWG {gauge}", "area").value) == pytest.approx(3.14159265 / 4 * diameter**2, rel=4e-3)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [("470 Ω ± 5 %", "446.5", "493.5"), ("470 Ω +/- 5 %", "446.5", "493.5"), ("470 Ω ± 10 Ω", "460", "480"), ("470 Ω +20 % -10 %", "423", "564")],
)
def test_a_tolerance_gives_both_ends(text: str, low: str, high: str) -> None:
    quantity = read_quantity(text, "resistance")
    assert (quantity.low, quantity.high) == (Decimal(low), Decimal(high))


def test_equal_values_are_equal_however_they_are_written() -> None:
    assert read_quantity("5 kW", "power") == read_quantity("5000 W", "power")
    assert read_quantity("5 kW", "power") != read_quantity("5 kW ± 1 %", "power")


@pytest.mark.parametrize(
    ("text", "dimension", "said"),
    [
        ("12", "voltage", "has no unit"), ("12 A", "voltage", "is a current, must be a voltage"), ("0,75 mm²", "area", "decimal comma"), ("1,5 V", "voltage", "(1.5 V)"),
        ("12 parsec", "length", "unknown unit parsec"), ("lots", "power", "is no quantity"), ("", "power", "an empty text"), ("12 V about", "voltage", "unreadable rest"),
        ("9" * 200 + " V", "voltage", "is no quantity"), ("nan V", "voltage", "is no quantity"), ("inf V", "voltage", "is no quantity"), ("12 Ω DC", "resistance", "says DC"),
    ],
)  # fmt: skip
def test_what_is_no_quantity_is_refused_with_an_example(text: str, dimension: str, said: str) -> None:
    with pytest.raises(PydanticCustomError) as refused:
        read_quantity(text, dimension)
    assert said in refused.value.message()
    assert EXAMPLES[dimension] in refused.value.message()


def test_a_tolerance_stands_by_itself() -> None:
    assert read_spread("± 1 %", ("current",)).up == Decimal("0.01")
    with pytest.raises(PydanticCustomError, match="is no tolerance"):
        read_spread("1 %", ("current",))
