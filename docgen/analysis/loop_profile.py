"""Where the voltage of a loop goes: from part to part at the lowest source, as rows and as a picture."""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from docgen.analysis.loop_circuit import Circuit, Drive, Flow, Piece, Situation, least_at, lowest_at, nominal, sagging
from docgen.analysis.loop_coils import hot_pick_up_of
from docgen.analysis.loop_described import circuits
from docgen.look import DRIVE, Look
from docgen.network import Element, Kind
from docgen.plot import Axis, Curve, Level, PlotOf, curves
from docgen.printing import anchor, measure
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


@dataclass(frozen=True, slots=True)
class Step:
    """A part of a loop in the situation that is hardest on it: voltages in V, nominally and at worst."""

    element: Element
    situation: Situation | None
    """None for a part that carries no current in the healthy car; its voltages are 0."""
    wires: float
    """Lost in the stretches of wire that belong to it, at worst."""
    across: tuple[float, float]
    behind: tuple[float, float]
    """From the end of the part to chassis."""
    needed: float | None
    """What a coil needs to pick up when hot; None where that is not known, and for every other part."""

    @property
    def margin(self) -> float | None:
        """What a coil has to spare; negative where it does not pick up."""
        return self.across[1] - self.needed if self.needed is not None and self.situation else None


def steps(look: Look, circuit: Circuit) -> tuple[Step, ...]:
    """Every part of a loop of which everything is known, in the order of the current; plain conductors are none.

    A part of the line stands in the situation in which it carries the most, a coil and what leads to it alone in that in which it gets the least.
    """
    usual = {situation: nominal(circuit, situation) for situation in circuit.situations}
    worst = {situation: sagging(circuit, situation) for situation in circuit.situations}
    carried = {situation: flow.through | flow.drawn for situation, flow in worst.items()}
    picking = {coil: [situation for situation in circuit.situations if coil in situation.picking_up] for coil in circuit.coils}
    least = {coil: least_at(circuit, situations, coil)[0] for coil, situations in picking.items() if situations}
    pieces: dict[Element, list[Piece]] = {}
    for piece in circuit.pieces:
        pieces.setdefault(piece.element, []).append(piece)
    found = []
    for element in circuit.graph.elements:
        if element.kind is not Kind.WIRE:
            situation = _hardest(circuit, element, carried, least)
            if situation is None:
                found.append(Step(element, None, 0.0, (0.0, 0.0), (0.0, 0.0), None))
            elif drive := circuit.coils.get(element):
                needed = hot_pick_up_of(look, element.name).result
                flows = usual[situation], lowest_at(circuit, situation, element)
                found.append(_step(drive, situation, *flows, pieces.get(element, []), needed.high if needed else None))
            else:
                part = next(piece for piece in pieces[element] if piece.group != "wires")
                found.append(_step(part, situation, usual[situation], worst[situation], pieces[element], None))
    return tuple(found)


def _hardest(
    circuit: Circuit, element: Element, carried: Mapping[Situation, Mapping[Element, float]], least: Mapping[Element, Situation]
) -> Situation | None:
    """The situation that is hardest on a part; None where it carries no current in any."""
    amperes = {situation: found.get(element, 0.0) for situation, found in carried.items()}
    fed = [coil for coil in circuit.coils if element in circuit.ways[coil]]
    own = least.get(fed[0]) if len(fed) == 1 else None
    hardest = own if own and amperes[own] > _LEAST else max(amperes, key=lambda situation: amperes[situation])
    return hardest if amperes[hardest] > _LEAST else None


def _step(part: Piece | Drive, situation: Situation, usual: Flow, worst: Flow, pieces: Iterable[Piece], needed: float | None) -> Step:
    lost = sum(abs(worst.amperes[piece]) * worst.resistors[piece].ohms for piece in pieces if piece.group == "wires" and piece in worst.amperes)
    across = [max(0.0, flow.volts[part.start] - flow.volts[part.end]) for flow in (usual, worst)]
    return Step(part.element, situation, lost, (across[0], across[1]), (usual.volts[part.end], worst.volts[part.end]), needed)


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
    """For each loop the voltage along it to the coil that has the least to spare when it picks up; none where something is not known."""
    for circuit in circuits(look).values():
        if circuit.is_known:
            yield from _picture(look, circuit)


def _picture(look: Look, circuit: Circuit) -> Iterator[PlotOf]:
    picks_up = [step for step in steps(look, circuit) if step.margin is not None]
    tightest = min(picks_up, key=lambda step: step.margin or 0.0, default=None)
    if tightest is None or tightest.situation is None or tightest.needed is None:
        return
    coil, situation, needed = tightest.element, tightest.situation, tightest.needed
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
    title = f"Voltage along {circuit.name} to {named} at the lowest source"
    yield PlotOf(
        "loop-voltage" if circuit.graph.loop == DRIVE else anchor("loop-voltage", circuit.graph.loop),
        f"{title}, everything against it; the steps are the parts, the slopes between them the wires",
        f"Of {measure(picking[0].before, 'V')} at the source {measure(at_coil, 'V')} are left before the coil of {coil.name} "
        f"{situation.title}, at {measure(picking[0].amperes, 'A')} in the line; the hot coil needs {measure(needed, 'V')} to pick up. "
        f"The largest single step is {largest.element.spelled} with {measure(largest.before - largest.after, 'V')}.",
        curves(
            title, across, Axis("voltage", "V", math.floor(low), math.ceil(high + 0.2)), tuple(lines),
            (Level(f"pick-up of the hot coil, {measure(needed, 'V')}", needed),),
        ),
    )  # fmt: skip


def _steps(rows: list[ProfileRow]) -> tuple[tuple[float, float], ...]:
    """Corners of the staircase: each part takes the middle of its place, the wires the rest."""
    points: list[tuple[float, float]] = []
    for number, row in enumerate(rows):
        last = number == len(rows) - 1
        points += [(number + 0.35, row.before)] + ([] if last else [(number + 0.65, row.after)])
    return tuple(points)
