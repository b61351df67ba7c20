"""Two descriptions that both came from a third: what only one side changed, what both did alike, and where they contradict each other."""

from collections import defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from docgen.changes import Change, Kind, compared, same
from docgen.load import Description
from docgen.meaning import Group, Names, at, meaning, plain, tokens
from docgen.patch import Translation


@dataclass(frozen=True, slots=True)
class Conflict:
    """A place on which the two sides contradict each other; values are plain data, None where there is nothing."""

    path: Names
    """The field, part or list, by names of the base."""
    base: Any
    team: Any
    reviewer: Any
    team_changes: tuple[Change, ...]
    reviewer_changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class ThreeWay:
    """The changes of two sides since their common base, each side in the order of its own file."""

    only_team: tuple[Change, ...]
    only_reviewer: tuple[Change, ...]
    both: tuple[Change, ...]
    """What the two did alike, as the team told it."""
    conflicts: tuple[Conflict, ...]
    """In the order of the team's changes; a change may stand in several."""


def three_way(base: Description, team: Description, reviewer: Description) -> ThreeWay:
    """Sort what the team and the reviewer changed since the base."""
    root = meaning(base.car, base.tree.data)
    ours, theirs = _side(root, team), _side(root, reviewer)
    contest = _Contest(root, ours, theirs)
    conflicts = tuple(contest.conflicts)
    at_odds = {change for conflict in conflicts for change in (*conflict.team_changes, *conflict.reviewer_changes)}
    return ThreeWay(
        tuple(change for change in ours.found if change not in at_odds and change not in contest.alike),
        tuple(change for change in theirs.found if change not in at_odds and change not in contest.agreed),
        tuple(change for change in ours.found if change in contest.alike and change not in at_odds),
        conflicts,
    )


_VALUES = (Kind.CHANGED, Kind.REWORDED, Kind.FOLLOWS)


@dataclass(frozen=True)
class _Side:
    root: Group
    found: tuple[Change, ...]

    @cached_property
    def translation(self) -> Translation:
        return Translation(self.found)

    @cached_property
    def at(self) -> dict[Names, list[Change]]:
        """Place in the base -> the changes of it."""
        places: dict[Names, list[Change]] = defaultdict(list)
        for change in self.found:
            places[change.was].append(change)
        return places

    @cached_property
    def below(self) -> dict[Names, list[Change]]:
        """Place in the base -> the changes of what it holds."""
        places: dict[Names, list[Change]] = defaultdict(list)
        for change in self.found:
            for length in range(1, len(change.was)):
                places[change.was[:length]].append(change)
            if change.across:
                for length in range(1, len(change.across[1]) + 1):
                    places[change.across[1][:length]].append(change)
        return places

    @cached_property
    def made_names(self) -> dict[tuple[Names, str], Change]:
        """Group in the base and a name that came into it -> the change that brought it."""
        return {(change.was[:-1], change.path[-1]): change for change in self.found if change.stands is None and (change.kind is Kind.ADDED or change.is_of_name)}

    @cached_property
    def brought(self) -> dict[tuple[Names, str], Change]:
        """List of the base and the name of an item that came into it, added or in place of another -> the change that brought it."""
        come = (change for change in self.found if change.stands and (change.kind is Kind.ADDED or (change.kind in _VALUES and change.path[-1] != change.was[-1])))
        return {(self.translation.backward(change.path[:-1]), change.path[-1]): change for change in come}

    @cached_property
    def put(self) -> dict[Names, list[tuple[str, Change]]]:
        """List with an order in the base -> what was put into it, with the item of the base that it stands behind."""
        places: dict[Names, list[tuple[str, Change]]] = defaultdict(list)
        for change in self.found:
            if change.kind in (Kind.ADDED, Kind.MOVED) and change.stands:
                where = self.translation.backward(change.path[:-1])
                row = at(self.root, change.path[:-1])
                if isinstance(row, Group) and row.has_order:
                    places[where].append((self._behind(where, change.path[:-1], change.stands.index, row), change))
        return places

    @cached_property
    def _put_in(self) -> frozenset[Names]:
        return frozenset(change.path for change in self.found if change.kind in (Kind.ADDED, Kind.MOVED))

    @cached_property
    def behind(self) -> dict[Change, str]:
        """What was put into a list with an order -> the item of the base that it stands behind."""
        return {change: item for put in self.put.values() for item, change in put}

    def _behind(self, where: Names, path: Names, index: int, row: Group) -> str:
        names = list(row.members)
        while index > 0 and (*path, names[index - 1]) in self._put_in:
            index -= 1
        return self.translation.backward((*path, names[index - 1]))[len(where)] if index > 0 else ""

    @cached_property
    def renamed(self) -> dict[str, list[Change]]:
        """Old name -> the renamings of parts that had it."""
        names: dict[str, list[Change]] = defaultdict(list)
        for change in self.found:
            if change.kind is Kind.RENAMED:
                names[change.was[-1]].append(change)
        return names

    def value(self, place: Names) -> Any:
        """What the side has at a place of the base."""
        node = at(self.root, self.translation.forward(place))
        return None if node is None else plain(node)


def _side(base: Group, description: Description) -> _Side:
    root = meaning(description.car, description.tree.data)
    return _Side(root, compared(base, root))


@dataclass(frozen=True)
class _Contest:
    base: Group
    ours: _Side
    theirs: _Side

    @cached_property
    def alike(self) -> dict[Change, Change]:
        """The team's changes that the reviewer made too -> the reviewer's."""
        return {
            change: other for change in self.ours.found for other in self.theirs.at.get(change.was, ())
            if self._is_alike(change, other)
        }  # fmt: skip

    def _is_alike(self, change: Change, other: Change) -> bool:
        if change.kind is not other.kind or bool(change.across) != bool(other.across):
            return False
        if change.kind is Kind.REMOVED:
            return True
        if change.is_of_name or other.is_of_name:
            return change.path[-1] == other.path[-1] and change.is_of_name is other.is_of_name
        if change.kind in (Kind.ADDED, Kind.MOVED) and self._stands(self.ours, change) != self._stands(self.theirs, other):
            return False
        return same(at(self.ours.root, change.path), at(self.theirs.root, other.path))

    def _stands(self, side: _Side, change: Change) -> tuple[Names, str]:
        where = side.translation.backward(change.path[:-1])
        return where, side.behind.get(change, "")

    @property
    def conflicts(self) -> Iterator[Conflict]:
        places: dict[Names, tuple[dict[Change, None], dict[Change, None]]] = defaultdict(lambda: ({}, {}))
        for place, change, other in self._pairs():
            places[place][0][change] = places[place][1][other] = None
        for place, (team, reviewer) in places.items():
            node = at(self.base, place)
            sides = tuple([*made, *self._depending(side, made)] for side, made in ((self.ours, team), (self.theirs, reviewer)))
            yield Conflict(
                place, None if node is None else plain(node), self.ours.value(place), self.theirs.value(place), tuple(sides[0]), tuple(sides[1]),
            )  # fmt: skip

    @staticmethod
    def _depending(side: _Side, made: Collection[Change]) -> list[Change]:
        """References that follow a renaming which is in conflict."""
        names = {(change.was[-1], change.path[-1]) for change in made if change.kind is Kind.RENAMED}
        return [change for change in side.found if change.kind is Kind.FOLLOWS and change not in made and _replaced(change) & names] if names else []

    def _pairs(self) -> Iterator[tuple[Names, Change, Change]]:
        """Place, a change of the team and one of the reviewer that cannot both be carried out."""
        for change in self.ours.found:
            for other in self.theirs.at.get(change.was, ()):
                if not self._go_together(change, other):
                    both_moved = change.kind is other.kind is Kind.MOVED and not (change.across or other.across)
                    yield change.was[:-1] if both_moved else change.was, change, other
            if self._swallows(change):
                yield from ((change.was, change, other) for other in self.theirs.below.get(change.was, ()))
            rival = self.theirs.made_names.get((change.was[:-1], change.path[-1])) if self._brings_name(change) else None
            if rival is not None and rival.was != change.was:
                yield (*change.was[:-1], change.path[-1]), change, rival
            for name in sorted(_names_in(change) & self.theirs.renamed.keys()):
                yield from ((renaming.was, change, renaming) for renaming in self.theirs.renamed[name] if not self._made_too(change))
        for other in self.theirs.found:
            if self._swallows(other):
                yield from ((other.was, change, other) for change in self.ours.below.get(other.was, ()))
            for name in sorted(_names_in(other) & self.ours.renamed.keys()):
                yield from ((renaming.was, renaming, other) for renaming in self.ours.renamed[name] if not self._made_too(other))
        yield from self._in_lists()

    @cached_property
    def agreed(self) -> frozenset[Change]:
        """The reviewer's changes that the team made too."""
        return frozenset(self.alike.values())

    def _made_too(self, change: Change) -> bool:
        return change in self.alike or change in self.agreed

    def _go_together(self, change: Change, other: Change) -> bool:
        if self.alike.get(change) == other:
            return True
        kinds = {change.kind, other.kind}
        if Kind.MOVED in kinds and kinds & set(_VALUES):
            return not (change.across or other.across)
        if change.is_of_name != other.is_of_name:  # one renamed it, the other changed its value
            return bool(kinds & set(_VALUES)) and not kinds & {Kind.ADDED, Kind.REMOVED, Kind.MOVED}
        return False

    def _swallows(self, change: Change) -> bool:
        return change.kind is Kind.REMOVED or (change.kind is Kind.CHANGED and isinstance(at(self.base, change.was), Group))

    @staticmethod
    def _brings_name(change: Change) -> bool:
        return change.stands is None and (change.kind is Kind.ADDED or change.is_of_name)

    def _in_lists(self) -> Iterator[tuple[Names, Change, Change]]:
        """Lists in which both brought one thing in different ways.

        In lists with an order also where both moved something, put something behind the same item, or one behind what the other took away.
        """
        for key in sorted(self.ours.brought.keys() & self.theirs.brought.keys()):
            change, other = self.ours.brought[key], self.theirs.brought[key]
            if self.alike.get(change) != other:
                yield key[0], change, other
        for where, put in self.ours.put.items():
            for run, rivals in self._runs(put, self.theirs.put.get(where, [])):
                if run and rivals and [self.alike.get(change) for change in run] != rivals:
                    yield from ((where, change, rivals[0]) for change in run)
                    yield from ((where, run[0], other) for other in rivals)
        for where, put in self.ours.put.items():
            for behind, change in put:
                yield from ((where, change, other) for other in self.theirs.at.get((*where, behind), ()) if _goes_away(other) and change not in self.alike)
        for where, put in self.theirs.put.items():
            for behind, other in put:
                yield from ((where, change, other) for change in self.ours.at.get((*where, behind), ()) if _goes_away(change) and other not in self.agreed)

    @staticmethod
    def _runs(put: list[tuple[str, Change]], rivals: list[tuple[str, Change]]) -> Iterator[tuple[list[Change], list[Change]]]:
        """What either side put behind one item, for each; and what either side moved."""
        behind: dict[str, tuple[list[Change], list[Change]]] = defaultdict(lambda: ([], []))
        for side, found in enumerate((put, rivals)):
            for item, change in found:
                behind[item][side].append(change)
        yield from behind.values()
        ours, theirs = ([change for _, change in found if change.kind is Kind.MOVED] for found in (put, rivals))
        yield ours, theirs


def _goes_away(change: Change) -> bool:
    return change.kind in (Kind.REMOVED, Kind.MOVED)


def _texts(data: Any) -> Iterator[str]:
    if isinstance(data, dict):
        yield from data
    for item in data.values() if isinstance(data, dict) else data if isinstance(data, list) else ():
        yield from _texts(item)
    if isinstance(data, str):
        yield data


def _names_in(change: Change) -> set[str]:
    """Words that a change brings and that may be names of things."""
    after, before = ({word for text in _texts(data) for word in tokens(text)[1::2]} for data in (change.after, change.before))
    return after - before if change.kind in (Kind.ADDED, Kind.CHANGED) else set()


def _replaced(change: Change) -> set[tuple[str, str]]:
    """Old and new names by which a following reference differs."""
    old, new = (change.was[-1], change.path[-1]) if change.is_of_name else (" ".join(_texts(change.before)), " ".join(_texts(change.after)))
    return set(zip(tokens(old)[1::2], tokens(new)[1::2], strict=False))
