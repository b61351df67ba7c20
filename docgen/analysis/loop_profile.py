"""Where the voltage of the drive loop goes: from part to part at the lowest source, as rows and as a picture."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from docgen.analysis import calculations
from docgen.analysis.loop_circuit import Circuit, Situation, lowest_at, sagging
from docgen.analysis.loop_described import drive_circuit
from docgen.calculation import of
from docgen.look import Look
from docgen.network import Element
from docgen.plot import Axis, Curve, Level, PlotOf, curves
from docgen.printing import measure
from docgen.sheet import shortened

_LEAST = 1e-6
"""Current in A below which a part counts as carrying none."""


@dataclass(frozen=True, slots=True)
class ProfileRow:
    """A part that carries current: the voltages against the return before and after it in V, and its current in A."""

    element: Element
    before: float
    after: float
    amperes: float


@dataclass(frozen=True, slots=True)
class Profile:
    """The loop in one phase at the lowest source, every contact and wire at its highest resistance, every coil cold."""

    situation: Situation
    rows: tuple[ProfileRow, ...]
    """In the order of the current; what lies between two rows is the wire."""


def profiles(look: Look) -> tuple[Profile, ...]:
    """A profile of each phase in which the healthy car's loop carries current; none where something of the loop is not known."""
    circuit = drive_circuit(look)
    if circuit is None or circuit.lacking or circuit.impossible:
        return ()
    return tuple(profile(circuit, situation) for situation in circuit.situations if not situation.begins)


def profile(circuit: Circuit, situation: Situation) -> Profile:
    """The voltages along a loop of which everything is known."""
    flow = sagging(circuit, situation)
    places = {piece.element: (piece.start, piece.end) for piece in flow.resistors if piece.group != "wires"}
    places |= {element: (drive.start, drive.end) for element, drive in circuit.coils.items() if element in situation.fed}
    carried = flow.through | flow.drawn
    rows = (
        ProfileRow(element, flow.volts[places[element][0]], flow.volts[places[element][1]], carried[element])
        for element in circuit.graph.elements
        if carried.get(element, 0.0) > _LEAST
    )
    return Profile(situation, tuple(rows))


def loop_pictures(look: Look) -> Iterator[PlotOf]:
    """The voltage along the loop to the coil that has the least to spare when it picks up; none where something is not known."""
    circuit = drive_circuit(look)
    if circuit is None or circuit.lacking or circuit.impossible:
        return
    found = _tightest(look, circuit)
    if found is None:
        return
    coil, situation, needed = found
    way, named = circuit.graph.before(coil) | {coil}, shortened(coil.name, 110, 7.5)
    stays = (other for other in circuit.situations if not other.begins and (other.phase, other.mode) == (situation.phase, situation.mode))
    lasting = next(stays, None)
    picking = [row for row in profile(circuit, situation).rows if row.element in way]
    held = [row for row in profile(circuit, lasting).rows if row.element in way] if lasting else []
    if not picking or picking[-1].element != coil:
        return
    lines = [Curve(f"{named} picks up", _steps(picking))] + ([Curve("all coils held", _steps(held))] if held else [])
    high = max(voltage for line in lines for _, voltage in line.points)
    low = min([needed, *(voltage for line in lines for _, voltage in line.points)])
    across = Axis("fuses, contacts and connector positions on the way", "", 0, max(len(picking), len(held)))
    at_coil = picking[-1].before
    largest = max(picking[:-1], key=lambda row: row.before - row.after, default=picking[-1])
    title = f"Voltage along the drive loop to {named} at the lowest source"
    yield PlotOf(
        "loop-voltage",
        f"{title}, everything against it; the steps are the parts, the slopes between them the wires",
        f"Of {measure(picking[0].before, 'V')} at the source {measure(at_coil, 'V')} are left before the coil of {coil.name} "
        f"{situation.title}, at {measure(picking[0].amperes, 'A')} in the line; the hot coil needs {measure(needed, 'V')} to pick up. "
        f"The largest single step is {largest.element.spelled} with {measure(largest.before - largest.after, 'V')}.",
        curves(
            title, across, Axis("voltage", "V", math.floor(low), math.ceil(high + 0.2)), tuple(lines),
            (Level(f"pick-up of the hot coil, {measure(needed, 'V')}", needed),),
        ),
    )  # fmt: skip


def _tightest(look: Look, circuit: Circuit) -> tuple[Element, Situation, float] | None:
    """The coil with the least voltage to spare above its hot pick-up, the situation in which that is, and the pick-up voltage in V."""
    needed = {figure.about[1]: figure.bound.value for figure in of(calculations(look), "coil-pick-up") if figure.result and figure.bound}
    spare = (
        (lowest_at(circuit, situation, coil).across(coil) - needed[coil.name], number, coil)
        for coil in circuit.coils
        if coil.name in needed
        for number, situation in enumerate(circuit.situations)
        if coil in situation.picking_up
    )
    best = min(spare, key=lambda found: found[:2], default=None)
    return (best[2], circuit.situations[best[1]], needed[best[2].name]) if best else None


def _steps(rows: list[ProfileRow]) -> tuple[tuple[float, float], ...]:
    """Corners of the staircase: each part takes the middle of its place, the wires the rest."""
    points: list[tuple[float, float]] = []
    for number, row in enumerate(rows):
        last = number == len(rows) - 1
        points += [(number + 0.35, row.before)] + ([] if last else [(number + 0.65, row.after)])
    return tuple(points)
