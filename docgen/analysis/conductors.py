"""Conductors in numbers: current against what they bear, fuse against the wires of the loops, voltage drop, short-circuit current.

What a conductor bears is taken from a published table: below 4 mm² in a large bundle (FAA AC 43.13-1B), from there to 16 mm² three loaded cores
in a conduit (IEC 60364-5-52, method B2); both are carried over to the insulation and to the air in the car by the heat balance. A conductor
of another size has no table here and is held against its stated rating alone.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from docgen.analysis.copper import HOTTEST, largest
from docgen.analysis.fields import against, constant, reading, system_voltage
from docgen.analysis.loop_described import LOW_VOLTAGE, inner_resistance, low_voltage, source_voltage
from docgen.analysis.stretches import Stretch, said, stretches
from docgen.calc.formula import Band
from docgen.calc.wire import (
    BUNDLE_AMBIENT,
    BUNDLE_INSULATIONS,
    CONDUIT_AMBIENT,
    CONDUIT_INSULATION,
    bundle_current,
    conduit_current,
    gauge_area,
    loading,
    placed_current,
    short_circuit_current,
    voltage_drop,
)
from docgen.calculation import Bound, Calculation, Given, Missing, computed, result_as
from docgen.car.wiring import Conductor, Feed, Fuse, Wiring
from docgen.look import Look
from docgen.network import SOURCE, Element, Kind, Network
from docgen.provenance import Path
from docgen.quantity import Quantity

AMBIENT = 60.0
"""Air in °C around a conductor, which no field gives."""
AMBIENT_ORIGIN = "assumed: air inside the bodywork on a hot day"
DROP = 0.05
"""Largest voltage drop, as a share of the nominal voltage."""
DROP_WORDS = "5 % of the nominal voltage, the practice on machines (servo drive manual DS2100, p. 2-12, after EN 60204-1)"
_CONDUIT_FROM = 4e-6 / 1.001
"""Cross-section in m² from which the table of the conduit holds."""


def conductors(look: Look) -> Iterator[Calculation]:
    """Every figure of the described conductors, of the wires of the loops, and of the fuses of the low-voltage source."""
    wiring = look.car.wiring if isinstance(look.car.wiring, Wiring) else Wiring()
    for name, conductor in wiring.conductors.items():
        yield from _conductor(look, name, conductor)
    for name, graph in look.networks.items():
        yield from _loop_wires(look, name, graph)
    yield from _short_circuits(look)


def _conductor(look: Look, name: str, conductor: Conductor) -> Iterator[Calculation]:
    path: Path = ("wiring", "conductors", name)
    current = reading("I", f"current of {name}", conductor.current, (*path, "current"))
    yield computed(
        "conductor-load", f"Current of {name} as a share of its stated rating", (*path, "current"), loading,
        {"current": current, "permissible": reading("I_z", f"permissible current of {name}", conductor.rating, (*path, "rating"))},
        Bound("at most", 1.0, words="the whole of the rating"), "How much of what it may carry the conductor carries.",
    )  # fmt: skip
    borne = yield from _borne(name, path, conductor.size, conductor.insulation, (path, path))
    if borne:
        yield against(borne, "at least", current, f"the current of {name}")
    yield from _drop(look, name, path, conductor, current)


def _borne(name: str, about: Path, size: object, insulation: object, origins: tuple[Path, Path]) -> Iterator[Calculation]:
    """What a table says for a size, and what is left of it in the car; nothing where the size has no table here."""
    area = reading("A", f"cross-section of {name}", size, (*origins[0], "size"))
    rated = _capped(reading("T", f"temperature rating of the insulation of {name}", insulation, (*origins[1], "insulation")))
    table = _table(area, rated)
    if table is None:
        return None
    formula, inputs, reference, surrounding, named = table
    listed = computed("table-current", f"Current of {name} in the table", (*about, "size"), formula, {"area": area} | inputs, prose=named)
    yield listed
    return computed(
        "permissible-current", f"Permissible current of {name}", (*about, "size"), placed_current,
        {"permissible": result_as(listed, "I_0", "current in the table"), "insulation": rated,
         "ambient": constant("T_a", "air around it", AMBIENT, "°C", AMBIENT_ORIGIN),
         "reference": constant("T_0", "rating of the insulation in the table", reference, "°C", named),
         "surrounding": constant("T_a0", "air around it in the table", surrounding, "°C", named)},
        prose="What the table allows, carried over to this insulation and to the air in the car.",
    )  # fmt: skip
