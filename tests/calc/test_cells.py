"""Segments of an accumulator, worked by hand."""

import pytest
from corners import Formula, Ranges, assert_corners_are_exact, assert_refuses_what_is_no_number, boxes, formulas, refusal
from hypothesis import given
from hypothesis import strategies as st

from docgen.calc import cells

RANGES: dict[Formula, Ranges] = {
    cells.segment_voltage: {"cell_voltage": (1.5, 4.4), "in_series": (1, 140)},
    cells.segment_energy: {"cell_voltage": (1.5, 4.4), "capacity": (3600, 200_000), "in_series": (1, 140), "in_parallel": (1, 20)},
    cells.accumulator_voltage: {"cell_voltage": (1.5, 4.4), "in_series": (1, 30), "segments": (1, 8)},
    cells.parallel_current: {"cell_current": (0.1, 200), "in_parallel": (1, 20)},
    cells.accumulator_resistance: {"cell_resistance": (1e-4, 0.1), "in_series": (1, 30), "segments": (1, 8), "in_parallel": (1, 20)},
    cells.share_watched: {"watched": (0, 100), "cells": (100, 600)},
}


def test_every_formula_is_in_the_ranges() -> None:
    assert set(RANGES) == formulas(cells)


@pytest.mark.parametrize("function", RANGES)
@given(data=st.data())
def test_the_exact_corners_are_those_of_a_search_over_the_box(function: Formula, data: st.DataObject) -> None:
    assert_corners_are_exact(function, data.draw(boxes(RANGES[function])))


@pytest.mark.parametrize("function", RANGES)
def test_infinity_and_nan_are_refused_by_name(function: Formula) -> None:
    assert_refuses_what_is_no_number(function, RANGES[function])


@pytest.mark.parametrize(
    ("function", "arguments", "refused"),
    [
        (cells.segment_voltage, {"cell_voltage": 0, "in_series": 27}, ("cell_voltage", "above 0", 0)),
        (cells.segment_voltage, {"cell_voltage": 4.2, "in_series": 0}, ("in_series", "at least 1", 0)),
        (cells.accumulator_resistance, {"cell_resistance": 0, "in_series": 24, "segments": 4, "in_parallel": 5}, ("cell_resistance", "above 0", 0)),
        (cells.accumulator_resistance, {"cell_resistance": 0.1, "in_series": 24, "segments": 4, "in_parallel": 0}, ("in_parallel", "at least 1", 0)),
        (cells.segment_energy, {"cell_voltage": 4.2, "capacity": 0, "in_series": 27, "in_parallel": 4}, ("capacity", "above 0", 0)),
        (cells.segment_energy, {"cell_voltage": 4.2, "capacity": 1, "in_series": 9, "in_parallel": 0}, ("in_parallel", "at least 1", 0)),
        (cells.accumulator_voltage, {"cell_voltage": 4.2, "in_series": 27, "segments": 0}, ("segments", "at least 1", 0)),
        (cells.parallel_current, {"cell_current": 0, "in_parallel": 4}, ("cell_current", "above 0", 0)),
        (cells.share_watched, {"watched": 109, "cells": 108}, ("watched", "at most 108", 109)),
        (cells.share_watched, {"watched": 0, "cells": 0}, ("cells", "at least 1", 0)),
    ],
)  # fmt: skip
def test_what_has_no_meaning_is_refused(function: Formula, arguments: dict[str, float], refused: tuple[str, str, float]) -> None:
    assert refusal(function, **arguments) == refused


@pytest.mark.parametrize(
    ("cell", "in_series", "volts"), [(4.2, 27, 113.4), (4.2, 108, 453.6), (4.2, 96, 403.2), (4.2, 28, 117.6), (3.65, 32, 116.8)]
)
def test_cells_in_series_add_up(cell: float, in_series: float, volts: float) -> None:
    assert cells.segment_voltage(cell_voltage=cell, in_series=in_series) == pytest.approx(volts)


@pytest.mark.parametrize(
    ("cell", "ampere_hours", "in_series", "in_parallel", "watt_hours"),
    [(4.2, 3.5, 27, 4, 1587.6), (4.2, 2.5, 20, 5, 1050.0), (4.2, 18, 22, 1, 1663.2)],
)
def test_the_energy_of_a_segment_is_that_of_its_cells(
    cell: float, ampere_hours: float, in_series: int, in_parallel: int, watt_hours: float
) -> None:
    """In watt-hours by hand; 1 Wh is 3600 J."""
    energy = cells.segment_energy(cell_voltage=cell, capacity=ampere_hours * 3600, in_series=in_series, in_parallel=in_parallel)
    assert energy / 3600 == pytest.approx(watt_hours)


def test_a_third_of_the_cells_watched_is_a_third() -> None:
    assert [cells.share_watched(watched=number, cells=108) for number in (0, 27, 108)] == [0, 0.25, 1]
