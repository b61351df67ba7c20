"""Delays that resistor, capacitor and comparator make: the law by which each is computed."""

from collections.abc import Callable

from docgen.analysis.fields import reading
from docgen.calc.rc import charge_time, comparator_delay
from docgen.calculation import Given, Missing
from docgen.car.device import Delay
from docgen.provenance import Path
from docgen.quantity import Quantity


def is_made_of_parts(delay: Delay) -> bool:
    """Whether a delay is described by its parts, and not only stated."""
    return any(part is not None for part in (delay.resistor, delay.capacitor, delay.trips_at))


def law_of(delay: Delay, path: Path) -> tuple[Callable[..., float], dict[str, Given | Missing]]:
    """Formula of a delay and its inputs: with a comparator at a share of the supply, or at a voltage of its own."""
    level = delay.trips_at
    inputs = {
        "resistance": reading("R", "timing resistor", delay.resistor, (*path, "resistor")),
        "capacitance": reading("C", "timing capacitor", delay.capacitor, (*path, "capacitor")),
    }
    if isinstance(level, Quantity) and level.dimension == "voltage":
        threshold = reading("U_th", "voltage at which the comparator trips", level, (*path, "trips_at"))
        return comparator_delay, {**inputs, "threshold": threshold, "supply": reading("U", "voltage that charges the capacitor", delay.supply, (*path, "supply"))}
    return charge_time, {**inputs, "fraction": reading("f", "share of the supply at which the comparator trips", level, (*path, "trips_at"))}
