"""Segments of an accumulator: voltage, energy, current, share of cells watched."""

from docgen.calc.formula import bounded, formula

_SERIES = "series connection of cells, Kirchhoff's voltage law"
_PARALLEL = "parallel connection of cells, Kirchhoff's current law"
_ENERGY = "highest cell voltage times nominal capacity times number of cells"


@formula("U = n_s·U_cell", "V", _SERIES, rises_with=("cell_voltage", "in_series"))
def segment_voltage(*, cell_voltage: float, in_series: float) -> float:
    """Voltage in V of `in_series` cells of `cell_voltage` in V.

    Hand calculation:

    >>> round(segment_voltage(cell_voltage=4.2, in_series=27), 6)
    113.4
    """
    bounded("cell_voltage", cell_voltage, above=0)
    bounded("in_series", in_series, least=1)
    return in_series * cell_voltage


@formula("U = n_seg·n_s·U_cell", "V", _SERIES, rises_with=("cell_voltage", "in_series", "segments"))
def accumulator_voltage(*, cell_voltage: float, in_series: float, segments: float) -> float:
    """Voltage in V of a number of `segments` in series, each of `in_series` cells of `cell_voltage` in V.

    Hand calculation:

    >>> round(accumulator_voltage(cell_voltage=4.2, in_series=27, segments=4), 6)
    453.6
    """
    bounded("segments", segments, least=1)
    return segments * segment_voltage(cell_voltage=cell_voltage, in_series=in_series)


@formula("I = n_p·I_cell", "A", _PARALLEL, rises_with=("cell_current", "in_parallel"))
def parallel_current(*, cell_current: float, in_parallel: float) -> float:
    """Current in A that cells `in_parallel` give together, `cell_current` in A each.

    Hand calculation:

    >>> parallel_current(cell_current=35, in_parallel=4)
    140
    """
    bounded("cell_current", cell_current, above=0)
    bounded("in_parallel", in_parallel, least=1)
    return in_parallel * cell_current


@formula("E = n_s·n_p·U_cell·Q", "J", _ENERGY, rises_with=("cell_voltage", "capacity", "in_series", "in_parallel"))
def segment_energy(*, cell_voltage: float, capacity: float, in_series: float, in_parallel: float) -> float:
    """Energy in J of a segment: highest `cell_voltage` in V, nominal `capacity` of a cell in A·s, cells `in_series` and `in_parallel`.

    More than the cells can give, because the voltage falls while they are discharged: the safe side of a limit.
    Hand calculation, 27 × 4 cells of 4.2 V, 3.5 Ah:

    >>> round(segment_energy(cell_voltage=4.2, capacity=3.5 * 3600, in_series=27, in_parallel=4))
    5715360
    """
    bounded("capacity", capacity, above=0)
    bounded("in_parallel", in_parallel, least=1)
    return segment_voltage(cell_voltage=cell_voltage, in_series=in_series) * capacity * in_parallel


@formula("s = n_watched/n", "1", "share of the number of cells", rises_with=("watched",), falls_with=("cells",))
def share_watched(*, watched: float, cells: float) -> float:
    """Share of the `cells` that are `watched`.

    Hand calculation:

    >>> share_watched(watched=36, cells=108) == 1 / 3
    True
    """
    bounded("cells", cells, least=1)
    bounded("watched", watched, least=0, most=cells)
    return watched / cells


@formula("R = n_seg·n_s·R_cell/n_p", "Ω", _SERIES, rises_with=("cell_resistance", "in_series", "segments"), falls_with=("in_parallel",))
def accumulator_resistance(*, cell_resistance: float, in_series: float, segments: float, in_parallel: float) -> float:
    """Inner resistance in Ω of a number of `segments` of cells `in_series` and `in_parallel`, each of `cell_resistance` in Ω.

    Hand calculation, 4 segments of 24 cells in series and 5 in parallel, 15 mΩ each:

    >>> round(accumulator_resistance(cell_resistance=0.015, in_series=24, segments=4, in_parallel=5), 9)
    0.288
    """
    bounded("cell_resistance", cell_resistance, above=0)
    bounded("in_series", in_series, least=1)
    bounded("segments", segments, least=1)
    bounded("in_parallel", in_parallel, least=1)
    return segments * in_series * cell_resistance / in_parallel
