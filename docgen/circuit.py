"""The electrical side of a loop: resistances between nodes, currents and voltages.

Nodal analysis (Kirchhoff's current law at every node, any textbook of circuit theory) by Gaussian elimination
with partial pivoting; loops have some hundred nodes at most, most of them in one line.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Resistor:
    """A resistance between two nodes, in ohms, above 0."""

    start: int
    end: int
    ohms: float


@dataclass(frozen=True, slots=True)
class Draw:
    """A constant current in amperes that something draws from `start` and gives back at `end`, whatever the voltage."""

    start: int
    end: int
    amperes: float


@dataclass(frozen=True, slots=True)
class Solution:
    """Voltage of every node against node `ground`, in volts; nodes that nothing joins to the source have none."""

    volts: Mapping[int, float]

    def current(self, resistor: Resistor) -> float:
        """Current from start to end in amperes; 0 where a node floats."""
        if resistor.start not in self.volts or resistor.end not in self.volts:
            return 0.0
        return (self.volts[resistor.start] - self.volts[resistor.end]) / resistor.ohms


def solve(resistors: Sequence[Resistor], source: int, ground: int, volts: float, draws: Sequence[Draw] = ()) -> Solution:
    """Voltages with an ideal source of `volts` between `source` and `ground`.

    A draw that hangs on a node which no resistance joins to the source or to ground draws nothing.

    >>> halves = [Resistor(0, 2, 10.0), Resistor(2, 1, 10.0)]
    >>> round(solve(halves, 0, 1, 12.0).volts[2], 9)
    6.0
    >>> round(solve(halves, 0, 1, 12.0, [Draw(2, 1, 0.2)]).volts[2], 9)
    5.0
    """
    joined = _joined(resistors, source, ground)
    unknown = {node: row for row, node in enumerate(sorted(joined - {source, ground}))}
    fixed = {source: volts, ground: 0.0}
    rows: list[dict[int, float]] = [{} for _ in unknown]
    known = [0.0] * len(unknown)
    for resistor in resistors:
        if resistor.start not in joined or resistor.start == resistor.end:
            continue
        for here, there in ((resistor.start, resistor.end), (resistor.end, resistor.start)):
            if here not in unknown:
                continue
            row = unknown[here]
            rows[row][row] = rows[row].get(row, 0.0) + 1 / resistor.ohms
            if there in unknown:
                column = unknown[there]
                rows[row][column] = rows[row].get(column, 0.0) - 1 / resistor.ohms
            else:
                known[row] += fixed[there] / resistor.ohms
    for draw in draws:
        if draw.start in joined and draw.end in joined:
            for node, amperes in ((draw.start, -draw.amperes), (draw.end, draw.amperes)):
                if node in unknown:
                    known[unknown[node]] += amperes
    found = _eliminated(rows, known)
    return Solution(fixed | {node: found[row] for node, row in unknown.items()})


def _joined(resistors: Sequence[Resistor], source: int, ground: int) -> set[int]:
    """The nodes that some resistance joins to the source or to ground, those two among them."""
    meeting: dict[int, list[int]] = {}
    for resistor in resistors:
        meeting.setdefault(resistor.start, []).append(resistor.end)
        meeting.setdefault(resistor.end, []).append(resistor.start)
    seen, waiting = {source, ground}, [source, ground]
    while waiting:
        for node in meeting.get(waiting.pop(), ()):
            if node not in seen:
                seen.add(node)
                waiting.append(node)
    return seen


def _eliminated(rows: list[dict[int, float]], known: list[float]) -> list[float]:
    """Solve the symmetric, positive definite system; rows hold only what is not zero, so a line costs linear time."""
    size = len(rows)
    holders: list[set[int]] = [set() for _ in range(size)]
    for number, row in enumerate(rows):
        for column in row:
            holders[column].add(number)
    order: list[int] = []
    left = set(range(size))
    degree = sorted(left, key=lambda number: len(rows[number]))
    for pivot in degree:
        order.append(pivot)
        left.discard(pivot)
        for number in [holder for holder in holders[pivot] if holder in left]:
            share = rows[number][pivot] / rows[pivot][pivot]
            for column, value in rows[pivot].items():
                if column in left or column == pivot:
                    rows[number][column] = rows[number].get(column, 0.0) - share * value
                    holders[column].add(number)
            known[number] -= share * known[pivot]
            del rows[number][pivot]
    found = [0.0] * size
    for pivot in reversed(order):
        rest = sum(value * found[column] for column, value in rows[pivot].items() if column != pivot)
        found[pivot] = (known[pivot] - rest) / rows[pivot][pivot]
    return found
