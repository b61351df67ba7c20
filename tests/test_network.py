"""The graph of a loop: order, sides, series members, and which coils carry current in each phase.

Loops are generated and their conduction is checked against networkx, a general graph library.
"""

import random
from collections.abc import Iterator

import networkx as nx
import pytest

from docgen.load import load_text
from docgen.network import EARTH, SOURCE, Element, Kind, Network, Side, network


def graph_of(path: str, devices: str = "", rest: str = "") -> Network:
    return network(load_text(f"loops:\n  drive:\n    path: {path}\n    return: [chassis]\n{rest}\ndevices: {{{devices}}}\n").car, "drive")


def named(elements: Iterator[Element] | frozenset[Element]) -> list[str]:
    return sorted(element.spelled for element in elements)


def test_the_current_meets_the_elements_in_their_order() -> None:
    graph = graph_of("[fuse F1, a, {any_of: [[b], [c, d]]}, e, {each_to_return: [[coil k1], [f, coil k2]]}]")
    assert [element.spelled for element in graph.elements] == ["F1", "a", "b", "c", "d", "e", "k1", "f", "k2"]
    a, e, f = graph.elements[1], graph.elements[5], graph.elements[7]
    assert named(graph.after(e)) == ["f", "k1", "k2"]
    assert named(graph.before(e)) == ["F1", "a", "b", "c", "d"]
    assert a in graph.before(f)


def test_only_what_cannot_be_passed_by_is_in_series() -> None:
    graph = graph_of("[fuse F1, a, {any_of: [[b], [c, d]]}, e, {each_to_return: [[coil k1], [f, coil k2]]}]")
    first, second = graph.of_kind(Kind.COIL)
    assert named(graph.in_series_with(first)) == ["F1", "a", "e"]
    assert named(graph.in_series_with(second)) == ["F1", "a", "e", "f"]


def test_what_would_let_current_through_and_what_alone_keeps_it_off_depends_on_what_is_closed() -> None:
    graph = graph_of("[a, {any_of: [[b], [c, d]]}, e, coil k1]")
    coil = graph.of_kind(Kind.COIL)[0]
    assert named(graph.closing(coil, lambda element: element.name in "ae")) == ["b"]
    assert named(graph.closing(coil, lambda element: element.name in "ade")) == ["b", "c"]
    assert named(graph.closing(coil, lambda element: element.name in "ab")) == ["e"]
    assert named(graph.closing(coil, lambda element: element.name in "b")) == []
    assert named(graph.in_series_with(coil, lambda element: element.name in "acde")) == ["a", "c", "d", "e"]


def test_what_follows_a_coil_is_on_the_return_side() -> None:
    graph = graph_of("[a, coil k1, b]")
    assert [element.side for element in graph.elements] == [Side.HIGH, Side.HIGH, Side.RETURN]


def test_what_stands_in_the_return_lies_between_the_coils_and_the_end_of_the_loop() -> None:
    graph = network(load_text("loops: {drive: {path: [a, b, {each_to_return: [[coil k1], [coil k2]]}], return: [x, y, chassis]}}\n").car, "drive")
    for coil in graph.of_kind(Kind.COIL):
        assert named(graph.after(coil)) == ["x", "y"]
        assert named(graph.in_series_with(coil)) == ["a", "b", "x", "y"]
    assert graph.elements[-1].end == EARTH


@pytest.mark.parametrize("way_back", ["[chassis]", "[x, chassis]", "[x, y]"])
def test_nodes_are_numbered_without_a_gap(way_back: str) -> None:
    graph = network(load_text(f"loops: {{drive: {{path: [a, {{any_of: [[b], [c, d]]}}, coil k1], return: {way_back}}}}}\n").car, "drive")
    assert {node for element in graph.elements for node in (element.start, element.end)} == set(range(graph.nodes))


def test_an_empty_way_is_a_plain_conductor_that_bypasses_the_others() -> None:
    graph = graph_of("[a, {any_of: [[b], []]}, coil k1]")
    assert named(graph.in_series_with(graph.of_kind(Kind.COIL)[0])) == ["a"]


def test_branches_inside_a_parallel_way_still_end_at_the_return() -> None:
    graph = graph_of("[a, {any_of: [[b, {each_to_return: [[coil k1]]}], [c]]}, d, coil k2]")
    first, second = graph.of_kind(Kind.COIL)
    assert (first.end, second.end) == (EARTH, EARTH)
    assert named(graph.in_series_with(first)) == ["a", "b"]
    assert named(graph.in_series_with(second)) == ["a", "c", "d"]


def test_a_branch_between_named_points_can_bypass() -> None:
    rest = "    between: [{start: N1, end: N2, path: [bypass]}]"
    graph = graph_of("[a, node N1, b, node N2, c, coil k1]", rest=rest)
    assert named(graph.in_series_with(graph.of_kind(Kind.COIL)[0])) == ["a", "c"]


@pytest.mark.parametrize("branch", ["{start: N9, end: N1, path: [x]}", "{start: N1, path: [x]}"])
def test_a_point_that_is_not_there_is_kept_as_loose(branch: str) -> None:
    graph = graph_of("[a, node N1, coil k1]", rest=f"    between: [{branch}]")
    assert len(graph.loose) == 1


def _generated(random_numbers: random.Random) -> str:
    """A loop of up to about forty elements, with parallel ways, branches and a bridge."""
    names = iter(range(1000))

    def line(depth: int, length: int) -> list[str]:
        steps = []
        for _ in range(random_numbers.randint(1, length)):
            if depth < 2 and random_numbers.random() < 0.25:
                ways = [line(depth + 1, 3) for _ in range(random_numbers.randint(2, 3))]
                steps.append("{any_of: [" + ", ".join(f"[{', '.join(way)}]" for way in ways) + "]}")
            else:
                steps.append(f"d{next(names)}")
        return steps

    trunk = line(0, 8)
    trunk.insert(random_numbers.randint(0, len(trunk)), "node P")
    trunk.insert(random_numbers.randint(0, len(trunk)), "node Q")
    branches = [[*line(1, 3), f"coil k{number}"] for number in range(random_numbers.randint(1, 4))]
    each = "{each_to_return: [" + ", ".join(f"[{', '.join(branch)}]" for branch in branches) + "]}"
    bridge = f"    between: [{{start: P, end: Q, path: [{', '.join(line(1, 3))}]}}]" if random_numbers.random() < 0.5 else ""
    return f"loops:\n  drive:\n    path: [fuse F1, {', '.join([*trunk, each])}]\n    return: [chassis]\n{bridge}\n"


@pytest.mark.parametrize("seed", range(120))
def test_conduction_agrees_with_networkx(seed: int) -> None:
    random_numbers = random.Random(seed)
    graph = network(load_text(_generated(random_numbers)).car, "drive")
    contacts = graph.of_kind(Kind.CONTACT)
    for _ in range(12):
        closed = {element for element in contacts if random_numbers.random() < 0.8}
        reference = nx.MultiGraph()
        reference.add_nodes_from(range(graph.nodes))
        reference.add_edges_from((element.start, element.end) for element in graph.elements if element.kind is Kind.FUSE or element in closed)
        expected = {
            coil
            for coil in graph.of_kind(Kind.COIL)
            if nx.has_path(reference, SOURCE, coil.start) and nx.has_path(reference, coil.end, EARTH) and not nx.has_path(reference, SOURCE, EARTH)
        }
        assert graph.energised(lambda element, closed=closed: element in closed) == expected  # type: ignore[misc]


@pytest.mark.parametrize("seed", range(120))
def test_series_members_agree_with_removing_each_element_in_networkx(seed: int) -> None:
    graph = network(load_text(_generated(random.Random(seed + 1000))).car, "drive")
    for coil in graph.of_kind(Kind.COIL):
        expected = set()
        for element in graph.elements:
            if element.kind is Kind.COIL:
                continue
            reference = nx.MultiGraph()
            reference.add_nodes_from(range(graph.nodes))
            reference.add_edges_from((other.start, other.end) for other in graph.elements if other.kind is not Kind.COIL and other is not element)
            if not nx.has_path(reference, SOURCE, coil.start):
                expected.add(element)
        assert graph.in_series_with(coil) == expected
