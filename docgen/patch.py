"""Changes carried out on the plain data of a description, and undone."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from docgen.car import Car
from docgen.changes import Change, Kind, Spot
from docgen.meaning import Leaf, Names, Node, meaning, plain

_OPPOSITE = {Kind.ADDED: Kind.REMOVED, Kind.REMOVED: Kind.ADDED}


def reversed_changes(found: Iterable[Change]) -> tuple[Change, ...]:
    """The changes of the way back."""
    return tuple(
        Change(
            _OPPOSITE.get(change.kind, change.kind), change.was, change.path, change.after, change.before, change.stands, change.stood,
            change.across and (change.across[1], change.across[0]),
        )
        for change in found
    )  # fmt: skip


def applied(found: Iterable[Change], data: Any) -> Any:
    """Plain data of a description after changes that start from it; order of fields and comments are not kept.

    Raises pydantic's ValidationError for data that describe no car. A change whose place is not there is passed over.
    """
    plan = _Plan(tuple(found))
    made = plain(plan.carried_out(meaning(Car.model_validate(data), data)))
    return {**({"docgen": data["docgen"]} if "docgen" in data else {}), **made}


@dataclass(frozen=True)
class Translation:
    """From the names of the earlier description to those of the later one, and back."""

    found: tuple[Change, ...]

    @cached_property
    def _elsewhere(self) -> dict[Names, Names]:
        """What moved from one list to another."""
        return {change.was: change.path for change in self.found if change.across}

    @cached_property
    def names(self) -> dict[Names, str]:
        """Place in the earlier description -> name in the later one, where that differs."""
        return {
            was[: depth + 1]: new
            for change in self.found
            for was, path in (((change.was[:-1], change.across[0]), (change.across[1], change.path[:-1])) if change.across else ((change.was, change.path),))
            for depth, (old, new) in enumerate(zip(was, path, strict=True))
            if old != new
        }

    @cached_property
    def _back(self) -> dict[tuple[Names, str], str]:
        return {(was[:-1], new): was[-1] for was, new in self.names.items()}

    def forward(self, was: Names) -> Names:
        """A place of the earlier description in the names of the later one."""
        for length in range(len(was), 0, -1):
            if was[:length] in self._elsewhere:
                return self._elsewhere[was[:length]] + was[length:]
        return tuple(self.names.get(was[: depth + 1], name) for depth, name in enumerate(was))

    def backward(self, path: Names) -> Names:
        """A place of the later description in the names of the earlier one; what moved to another list is taken where it stands."""
        was: Names = ()
        for name in path:
            was = (*was, self._back.get((was, name), name))
        return was


@dataclass(frozen=True)
class _Plan:
    """What is done to each place of the earlier description, by its names there."""

    found: tuple[Change, ...]

    @cached_property
    def _translation(self) -> Translation:
        return Translation(self.found)

    @cached_property
    def _values(self) -> dict[Names, Any]:
        valued = (Kind.CHANGED, Kind.REWORDED, Kind.FOLLOWS)
        return {change.was: change.after for change in self.found if change.kind in valued and not change.is_of_name}

    @cached_property
    def _gone(self) -> frozenset[Names]:
        return frozenset(change.was for change in self.found if change.kind in (Kind.REMOVED, Kind.MOVED))

    @cached_property
    def _come(self) -> dict[Names, list[Change]]:
        """Group or list -> what is put into it, in the order of its places there."""
        come: dict[Names, list[Change]] = defaultdict(list)
        for change in self.found:
            if change.kind in (Kind.ADDED, Kind.MOVED):
                come[self._translation.backward(change.path[:-1])].append(change)
        return {where: sorted(put, key=lambda change: change.stands.index if change.stands else 0) for where, put in come.items()}

    def carried_out(self, node: Node, was: Names = ()) -> Node:
        if was in self._values:
            return _as_written(self._values[was])
        if isinstance(node, Leaf):
            return node
        below = {name: self.carried_out(member, (*was, name)) for name, member in node.members.items()}
        kept = [(self._translation.names.get((*was, name), name), member) for name, member in below.items() if (*was, name) not in self._gone]
        put = [(change, below.get(change.was[-1]) if change.kind is Kind.MOVED and not change.across else None) for change in self._come.get(was, ())]
        return replace(node, members=_put_in(kept, [(change.path[-1], member or _as_written(change.after), change.stands) for change, member in put]))


def _as_written(data: Any) -> Leaf:
    return Leaf(None, data)


def _put_in(kept: list[tuple[str, Node]], put: list[tuple[str, Node, Spot | None]]) -> dict[str, Node]:
    """Members with others put in behind their neighbours, or by their places where the neighbour is not there."""
    waiting: dict[str, list[tuple[str, Node]]] = defaultdict(list)
    neighbours = {name for name, _ in kept} | {name for name, *_ in put} | {""}
    stray: list[tuple[str, Node, int]] = []
    end = kept[-1][0] if kept else ""
    for name, node, spot in put:
        if spot is None or spot.behind in neighbours:
            waiting[spot.behind if spot else end].append((name, node))
        else:
            stray.append((name, node, spot.index))
    row: list[tuple[str, Node]] = []
    for item in [("", _as_written(None)), *kept]:
        following = [item]
        while following:
            item = following.pop()
            row += [item] if item[0] else []
            following += reversed(waiting.pop(item[0], []))
    row += [item for items in waiting.values() for item in items]
    for name, node, index in stray:
        row.insert(index, (name, node))
    members: dict[str, Node] = {}
    for name, node in row:
        members[name if name not in members else f"{name} again"] = node
    return members
