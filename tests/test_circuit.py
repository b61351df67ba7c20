"""The nodal solver: Kirchhoff's laws in what it returns, numpy's dense algebra, and ngspice.

Worked by hand: a Wheatstone bridge in balance and out of it, a divider with a constant current drawn at its middle.
"""

import random
import re
import subprocess
import time
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from conftest import tool
from hypothesis import given
from hypothesis import strategies as st

from docgen.circuit import Draw, Resistor, Solution, solve

OHMS = st.floats(1e-3, 1e3)


@st.composite
def networks(draw: st.DrawFn) -> tuple[list[Resistor], list[Draw]]:
    """Resistors between up to twelve nodes, some of them apart from the rest; and constant currents."""
    size = draw(st.integers(2, 12))
    node = st.integers(0, size - 1)
    resistors = draw(st.lists(st.builds(Resistor, node, node, OHMS), min_size=1, max_size=30))
    return resistors, draw(st.lists(st.builds(Draw, node, node, st.floats(0, 3)), max_size=4))


def residuals(solved: Solution, resistors: Sequence[Resistor], draws: Sequence[Draw]) -> dict[int, float]:
    """Sum of the currents that leave each node, in A."""
    left = dict.fromkeys(solved.volts, 0.0)
    for resistor in resistors:
        if resistor.start in left and resistor.end in left:
            left[resistor.start] += solved.current(resistor)
            left[resistor.end] -= solved.current(resistor)
    for draw in draws:
        if draw.start in left and draw.end in left:
            left[draw.start] += draw.amperes
            left[draw.end] -= draw.amperes
    return left


@given(networks(), st.floats(0, 30))
def test_no_current_is_lost_at_any_node(network: tuple[list[Resistor], list[Draw]], volts: float) -> None:
    resistors, draws = network
    solved = solve(resistors, 0, 1, volts, draws)
    assert (solved.volts[0], solved.volts[1]) == (volts, 0.0)
    largest = max([abs(solved.current(resistor)) for resistor in resistors] + [draw.amperes for draw in draws])
    through = {node: sum(1 / r.ohms for r in resistors if node in (r.start, r.end)) for node in solved.volts}
    highest = max(map(abs, solved.volts.values()))
    for node, left in residuals(solved, resistors, draws).items():
        if node not in (0, 1):
            assert abs(left) <= 1e-9 * (largest + highest * through[node])


@given(networks(), st.floats(0, 30))
def test_what_leaves_the_source_comes_back(network: tuple[list[Resistor], list[Draw]], volts: float) -> None:
    resistors, draws = network
    solved = solve(resistors, 0, 1, volts, draws)
    left = residuals(solved, resistors, draws)
    scale = sum(abs(solved.volts[r.start] - solved.volts[r.end]) / r.ohms for r in resistors if r.start in left and r.end in left) + 1
    conductance = sum(1 / r.ohms for r in resistors) * max(map(abs, solved.volts.values()))
    assert abs(left[0] + left[1]) <= 1e-9 * (scale + conductance)


@given(networks(), st.floats(0.1, 30))
def test_without_draws_no_node_lies_outside_the_source(network: tuple[list[Resistor], list[Draw]], volts: float) -> None:
    resistors, _ = network
    solved = solve(resistors, 0, 1, volts)
    assert all(-1e-9 * volts <= voltage <= volts * (1 + 1e-9) for voltage in solved.volts.values())


@given(networks(), st.floats(0.1, 30), st.floats(1, 5))
def test_twice_the_source_and_the_draws_is_twice_every_voltage(network: tuple[list[Resistor], list[Draw]], volts: float, times: float) -> None:
    resistors, draws = network
    once = solve(resistors, 0, 1, volts, draws)
    more = solve(resistors, 0, 1, volts * times, [Draw(draw.start, draw.end, draw.amperes * times) for draw in draws])
    highest = max(map(abs, once.volts.values()))
    assert more.volts.keys() == once.volts.keys()
    assert all(abs(more.volts[node] - times * once.volts[node]) <= 1e-9 * times * highest for node in once.volts)


def test_what_nothing_joins_has_no_voltage_and_no_current() -> None:
    apart = Resistor(5, 6, 10.0)
    solved = solve([Resistor(0, 2, 1.0), Resistor(2, 1, 1.0), apart], 0, 1, 12.0, [Draw(5, 1, 1.0)])
    assert set(solved.volts) == {0, 1, 2}
    assert solved.current(apart) == 0.0
    assert solved.volts[2] == pytest.approx(6.0)


def test_a_bridge_in_balance_has_no_current_in_its_middle() -> None:
    """100/200 against 50/100: both taps at 8 V of 12 V, worked by hand."""
    middle = Resistor(2, 3, 7.0)
    solved = solve([Resistor(0, 2, 100.0), Resistor(2, 1, 200.0), Resistor(0, 3, 50.0), Resistor(3, 1, 100.0), middle], 0, 1, 12.0)
    assert solved.volts[2] == pytest.approx(8.0)
    assert solved.current(middle) == pytest.approx(0.0, abs=1e-12)


def test_a_bridge_out_of_balance_by_thevenins_theorem() -> None:
    """Taps of 10/30 and 30/10 Ω at 12 V stand at 9 V and 3 V behind 7.5 Ω each; 15 Ω between them carry 6/30 = 0.2 A."""
    middle = Resistor(2, 3, 15.0)
    solved = solve([Resistor(0, 2, 10.0), Resistor(2, 1, 30.0), Resistor(0, 3, 30.0), Resistor(3, 1, 10.0), middle], 0, 1, 12.0)
    assert solved.current(middle) == pytest.approx(0.2)
    assert (solved.volts[2], solved.volts[3]) == (pytest.approx(7.5), pytest.approx(4.5))


def test_a_drawn_current_lowers_the_voltage_by_the_inner_resistance() -> None:
    """12 V behind 3 Ω ∥ 6 Ω = 2 Ω stands at 8 V; 1.5 A drawn take 3 V of it."""
    assert solve([Resistor(0, 2, 3.0), Resistor(2, 1, 6.0)], 0, 1, 12.0, [Draw(2, 1, 1.5)]).volts[2] == pytest.approx(5.0)


def _random_network(dice: random.Random) -> tuple[int, list[Resistor], list[Draw], float]:
    """A connected network like that of a loop: a line of small resistances, cross-links, coils to ground, constant currents."""
    size = dice.randint(4, 40)
    resistors = [Resistor(0, 2, 10 ** dice.uniform(-3, 0))]
    resistors += [Resistor(dice.randint(2, node - 1), node, 10 ** dice.uniform(-3, 0)) for node in range(3, size)]
    resistors += [Resistor(dice.randint(0, size - 1), dice.randint(0, size - 1), 10 ** dice.uniform(-3, 3)) for _ in range(dice.randint(0, size))]
    resistors += [Resistor(dice.randint(2, size - 1), 1, 10 ** dice.uniform(0, 3)) for _ in range(dice.randint(1, 5))]
    draws = [Draw(dice.randint(2, size - 1), 1, dice.uniform(0.05, 0.5)) for _ in range(dice.randint(0, 3))]
    return size, [resistor for resistor in resistors if resistor.start != resistor.end], draws, dice.uniform(6, 30)


def test_two_hundred_and_fifty_random_networks_stand_as_by_dense_algebra() -> None:
    dice = random.Random(4)
    for _ in range(250):
        size, resistors, draws, volts = _random_network(dice)
        matrix, right = np.zeros((size, size)), np.zeros(size)
        for resistor in resistors:
            conductance = 1 / resistor.ohms
            matrix[resistor.start, resistor.start] += conductance
            matrix[resistor.end, resistor.end] += conductance
            matrix[resistor.start, resistor.end] -= conductance
            matrix[resistor.end, resistor.start] -= conductance
        for draw in draws:
            right[draw.start] -= draw.amperes
            right[draw.end] += draw.amperes
        for node, fixed in ((0, volts), (1, 0.0)):
            matrix[node] = 0
            matrix[node, node], right[node] = 1, fixed
        expected = np.linalg.solve(matrix, right)
        solved = solve(resistors, 0, 1, volts, draws)
        assert set(solved.volts) == set(range(size))
        assert [solved.volts[node] for node in range(size)] == pytest.approx(expected, rel=1e-8, abs=1e-8)


@pytest.mark.ngspice
def test_two_hundred_and_fifty_random_networks_stand_as_in_ngspice(tmp_path: Path) -> None:
    dice = random.Random(5)
    networks = [_random_network(dice) for _ in range(250)]
    program = tool("ngspice")
    for number, (size, resistors, draws, volts) in enumerate(networks):
        parts = [f"V1 n0 0 {volts!r}", *(f"R{place} {_node(r.start)} {_node(r.end)} {r.ohms!r}" for place, r in enumerate(resistors))]
        parts += [f"I{place} {_node(draw.start)} {_node(draw.end)} {draw.amperes!r}" for place, draw in enumerate(draws)]
        prints = [f"print v(n{node})" for node in range(2, size)]
        netlist = tmp_path / f"network_{number}.cir"
        lines = [f"* network {number}", *parts, ".control", "set numdgt=12", "op", *prints, "quit 0", ".endc", ".end", ""]
        netlist.write_text("\n".join(lines), encoding="utf-8", newline="\n")
        run = subprocess.run([program, "-b", str(netlist)], capture_output=True, text=True, encoding="utf-8", check=False)
        printed = run.stdout + run.stderr
        assert not re.search(r"singular|error", printed, re.IGNORECASE), printed
        found = {int(node): float(value) for node, value in re.findall(r"^v\(n(\d+)\) = (\S+)", printed, re.MULTILINE)}
        solved = solve(resistors, 0, 1, volts, draws)
        assert found.keys() == set(range(2, size))
        for node, value in found.items():
            assert solved.volts[node] == pytest.approx(value, rel=1e-4, abs=1e-6)


def _node(number: int) -> str:
    return "0" if number == 1 else f"n{number}"


def test_a_line_ten_times_as_long_takes_nowhere_near_a_hundred_times_as_long() -> None:
    def seconds(length: int) -> float:
        line = [Resistor(0, 2, 0.01), *(Resistor(node, node + 1, 0.01) for node in range(2, length)), Resistor(length, 1, 50.0)]
        times = []
        for _ in range(5):
            begin = time.perf_counter()
            solve(line, 0, 1, 12.0)
            times.append(time.perf_counter() - begin)
        return min(times)

    assert seconds(5000) < 50 * seconds(500)
