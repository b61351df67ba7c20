"""What differs between two descriptions, as typed changes that can be read, reversed and applied.

Validated values are compared, never text. Every change says where it is by names, in the words of both descriptions.
"""

import hashlib
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any

from docgen.car.values import Unknown
from docgen.load import Description
from docgen.meaning import Group, Leaf, Names, Node, meaning, plain
from docgen.printing import printed
from docgen.renaming import Renamings, renamed, renamings

UNSEEN = (
    "A comparison sees what the two descriptions say. It does not see comments, the order of fields and of named parts, spacing, and in which "
    "unit or with which of several words for the same thing a value is written. It does not open the files that the evidence and the pictures name. "
    "It does not know whether a thing that kept its name was exchanged for another. That a thing was renamed, or moved in its loop, it infers: "
    "from content that stayed, and from the fewest moves that explain the order; which of two that changed places has moved, nothing can say. "
    "A reference follows a renaming where nothing but the name differs; what kind of thing the name stands for is not looked up."
)
"""What a comparison cannot see, in the words in which it is printed."""


class Kind(StrEnum):
    ADDED = "added"
    REMOVED = "removed"
    RENAMED = "renamed"
    FOLLOWS = "follows"
    """A reference, or a name made of other names, that differs by nothing but a new name."""
    MOVED = "moved"
    """An item that stands elsewhere in its list, or in another list of the same loop."""
    CHANGED = "changed"
    REWORDED = "reworded"
    """A remark, or the reason of an open point, in other words."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in a list."""

    index: int
    behind: str
    """The name of the item directly before it; empty at the beginning."""


@dataclass(frozen=True, slots=True)
class Change:
    """One difference between two descriptions.

    Values are plain data as written: a text with its unit, a list of texts for a pair, dicts and lists for whole parts; None
    where there is nothing. A renamed part, and a name that follows, has no values: its names are the last of `was` and `path`.
    """

    kind: Kind
    path: Names
    """Where it is, in the names of the later description; for what was removed, where it would be."""
    was: Names
    """Where it is, in the names of the earlier description; for what was added, where it would be."""
    before: Any = field(default=None, hash=False)
    after: Any = field(default=None, hash=False)
    stood: Spot | None = None
    """For an item of a list, its place in the earlier description."""
    stands: Spot | None = None
    """For an item of a list, its place in the later description."""
    across: tuple[Names, Names] | None = None
    """For a step that moved to another list of its loop, such as a branch: the list that it left, in the names of the later
    description, and the list that it came to, in the names of the earlier one."""

    @property
    def is_of_name(self) -> bool:
        """Whether it is a name alone that differs, and not a value."""
        return self.kind is Kind.RENAMED or (self.kind is Kind.FOLLOWS and self.before is None)


def changes(before: Description, after: Description) -> tuple[Change, ...]:
    """The changes from one description to another, in the order of the later file; what was removed is told where it stood."""
    return compared(meaning(before.car, before.tree.data), meaning(after.car, after.tree.data))


def compared(before: Group, after: Group) -> tuple[Change, ...]:
    """The changes between two trees of one shape."""
    names = renamings(before, after)
    return tuple(_across_lists(list(_Comparison(names).nodes(before, after, (), ())), names))


def same(one: Node | None, other: Node | None) -> bool:
    """Whether two members say the same."""
    if one is None or other is None:
        return one is other
    return next(_Comparison(Renamings()).nodes(one, other, (), ()), None) is None


@dataclass(frozen=True)
class _Comparison:
    renamings: Renamings

    def nodes(self, old: Node, new: Node, was: Names, path: Names) -> Iterator[Change]:
        if isinstance(old, Leaf) and isinstance(new, Leaf):
            if old.meaning != new.meaning:
                yield Change(self._kind(old, new), path, was, old.data, new.data)
        elif isinstance(old, Group) and isinstance(new, Group) and old.shape is new.shape and old.key == new.key:
            yield from (self._items if old.shape is list else self._members)(old, new, was, path)
        else:
            yield Change(Kind.CHANGED, path, was, plain(old), plain(new))

    def _kind(self, old: Leaf, new: Leaf) -> Kind:
        if old.may_name and new.may_name and self.renamings.explain(printed(old.meaning), printed(new.meaning)):
            return Kind.FOLLOWS
        opened = isinstance(old.meaning, Unknown), isinstance(new.meaning, Unknown)
        is_remark = all(opened) or (old.is_remark and new.is_remark and not any(opened))
        return Kind.REWORDED if is_remark else Kind.CHANGED

    def _members(self, old: Group, new: Group, was: Names, path: Names) -> Iterator[Change]:
        others = renamed(old, new, self.renamings)
        pairs = {name: name for name in old.members if name in new.members} | others | self._following(old, new, others)

        def gone(name: str) -> Iterator[Change]:
            yield Change(Kind.REMOVED, (*path, name), (*was, name), before=plain(old.members[name]))

        def there(name: str, came_from: str | None) -> Iterator[Change]:
            if came_from is None:
                yield Change(Kind.ADDED, (*path, name), (*was, name), after=plain(new.members[name]))
                return
            if came_from != name:
                yield Change(Kind.RENAMED if came_from in others else Kind.FOLLOWS, (*path, name), (*was, came_from))
            yield from self.nodes(old.members[came_from], new.members[name], (*was, came_from), (*path, name))

        yield from _in_order(list(old.members), list(new.members), pairs, gone, there)

    def _following(self, old: Group, new: Group, others: Mapping[str, str]) -> dict[str, str]:
        """Names made of other names, such as that of a wire after its two ends, that differ by nothing but a new name."""
        if old.shape is not dict or not self.renamings.pairs:
            return {}
        taken = set(others.values())
        come = {self.renamings.folded(name): name for name in new.members if name not in old.members and name not in taken}
        gone = ((name, come.get(self.renamings.folded(name))) for name in old.members if name not in new.members and name not in others)
        return {name: other for name, other in gone if other is not None and self.renamings.explain(name, other)}

    def _items(self, old: Group, new: Group, was: Names, path: Names) -> Iterator[Change]:
        old_names, new_names = list(old.members), list(new.members)
        same = self._same(old_names, new_names)
        stayed = set(_stayed(same, old_names, new_names, self.renamings.folded)) if new.has_order else set(same)
        left = self._exchanged(old, new, same, stayed)
        pairs = same | left

        def spot(names: Sequence[str], index: int) -> Spot:
            return Spot(index, names[index - 1] if index else "")

        stood = {name: spot(old_names, index) for index, name in enumerate(old_names)}
        stands = {name: spot(new_names, index) for index, name in enumerate(new_names)}

        def gone(name: str) -> Iterator[Change]:
            yield Change(Kind.REMOVED, (*path, name), (*was, name), before=plain(old.members[name]), stood=stood[name])

        def there(name: str, came_from: str | None) -> Iterator[Change]:
            if came_from is None:
                yield Change(Kind.ADDED, (*path, name), (*was, name), after=plain(new.members[name]), stands=stands[name])
                return
            places = stood[came_from], stands[name]
            one, other = old.members[came_from], new.members[name]
            if came_from in same and came_from not in stayed:
                yield Change(Kind.MOVED, (*path, name), (*was, came_from), plain(one), plain(other), *places)
            inner = self.nodes(one, other, (*was, came_from), (*path, name))
            yield from (replace(change, stood=places[0], stands=places[1]) for change in inner) if isinstance(one, Leaf) else inner

        yield from _in_order(old_names, new_names, pairs, gone, there)

    def _same(self, old_names: list[str], new_names: list[str]) -> dict[str, str]:
        """Old name -> new name of the items that are the same, but for renamed parts."""
        if not self.renamings.pairs:
            kept = set(new_names)
            return {name: name for name in old_names if name in kept}
        waiting: dict[str, list[str]] = defaultdict(list)
        for name in reversed(new_names):
            waiting[self.renamings.folded(name)].append(name)
        folded = ((name, waiting[self.renamings.folded(name)]) for name in old_names)
        return {name: names.pop() for name, names in folded if names}

    def _exchanged(self, old: Group, new: Group, same: Mapping[str, str], stayed: set[str]) -> dict[str, str]:
        """Items in place of others: between two neighbours that stayed, as many of a sort came as went.

        Where order means nothing, values are only put in and taken out.
        """
        kept = {same[name] for name in stayed}
        went, came = _by_gap(old, stayed, set(same), new.has_order), _by_gap(new, kept, set(same.values()), new.has_order)
        found: dict[str, str] = {}
        for where in went.keys() & came.keys():
            counts = [Counter(sort for sort, _ in side[where]) for side in (went, came)]
            left = [[(sort, name) for sort, name in side[where] if counts[0][sort] == counts[1][sort]] for side in (went, came)]
            if not new.has_order:
                left = [sorted(side, key=lambda item: repr(item[0])) for side in left]
            if [sort for sort, _ in left[0]] == [sort for sort, _ in left[1]]:  # otherwise they would cross each other
                found |= {one: other for (_, one), (_, other) in zip(*left, strict=True)}
        return found


def _by_gap(items: Group, stayed: set[str], known: set[str], has_order: bool) -> dict[int, list[tuple[object, str]]]:
    """Number of the neighbour that stayed before it -> sort and name of each item that went or came there."""
    found: dict[int, list[tuple[object, str]]] = defaultdict(list)
    gap = 0
    for name, item in items.members.items():
        if has_order and name in stayed:
            gap += 1
        elif name not in known:
            sort: object = (item.shape, item.key) if isinstance(item, Group) else type(item.meaning)
            if has_order or isinstance(item, Group) or sort is tuple:
                found[gap].append((sort, name))
    return found


def _in_order(
    old_names: list[str], new_names: list[str], pairs: Mapping[str, str],
    gone: Callable[[str], Iterable[Change]], there: Callable[[str, str | None], Iterable[Change]],
) -> Iterator[Change]:  # fmt: skip
    """What is told of each member in the order of the later description, and of a removed one behind what it stood behind."""
    came_from = {new: old for old, new in pairs.items()}
    removed: dict[str, list[str]] = defaultdict(list)
    last = ""
    for name in old_names:
        if name in pairs:
            last = pairs[name]
        else:
            removed[last].append(name)
    for name in ("", *new_names):
        if name:
            yield from there(name, came_from.get(name))
        for lost in removed.get(name, ()):
            yield from gone(lost)


def _stayed(same: Mapping[str, str], old_names: list[str], new_names: list[str], folded: Callable[[str], str]) -> Iterator[str]:
    """Old names of the largest set of items that kept their order.

    Of several such sets it is always the same one, whichever description is the earlier: each item has a weight of its own.
    """
    place = {name: index for index, name in enumerate(new_names)}
    order = [(name, place[same[name]]) for name in old_names if name in same]
    targets = sorted(index for _, index in order)
    first = next((at for at, (_, index) in enumerate(order) if index != targets[at]), len(order))
    behind = next((at for at in range(len(order)) if order[-1 - at][1] != targets[-1 - at]), len(order))
    yield from (name for name, _ in order[:first])
    if first < len(order):
        yield from _heaviest(order[first : len(order) - behind], folded)
        yield from (name for name, _ in order[len(order) - behind :])


def _heaviest(order: list[tuple[str, int]], folded: Callable[[str], str]) -> Iterator[str]:
    """The heaviest rising run of places, in n log n: for each place, the heaviest run that ends at or before it (a Fenwick tree of maxima)."""
    ranks = {index: rank for rank, index in enumerate(sorted(index for _, index in order), 1)}
    tree: list[tuple[int, int]] = [(0, -1)] * (len(order) + 1)
    came: list[int] = []
    best = (0, -1)
    for at, (name, index) in enumerate(order):
        heaviest, rank = (0, -1), ranks[index] - 1
        while rank > 0:
            heaviest = max(heaviest, tree[rank])
            rank -= rank & -rank
        came.append(heaviest[1])
        run = (heaviest[0] + _weight(folded(name)), at)
        best = max(best, run)
        rank = ranks[index]
        while rank < len(tree):
            tree[rank] = max(tree[rank], run)
            rank += rank & -rank
    at = best[1]
    while at >= 0:
        yield order[at][0]
        at = came[at]


def _weight(name: str) -> int:
    return (1 << 96) + int.from_bytes(hashlib.sha256(name.encode()).digest()[:8])


def _across_lists(found: list[Change], names: Renamings) -> Iterator[Change]:
    """The changes, where a step that left one list of a loop and came into another is one that moved."""
    lists: dict[tuple[Names, str], tuple[list[Change], list[Change]]] = defaultdict(lambda: ([], []))
    for change in found:
        side = {Kind.REMOVED: 0, Kind.ADDED: 1}.get(change.kind)
        step = change.before if change.kind is Kind.REMOVED else change.after
        if side is not None and change.path[0] == "loops" and isinstance(step, str) and (change.stood or change.stands):
            lists[change.path[:2], names.folded(" ".join(step.split()))][side].append(change)
    moved = {added: removed for went, came in lists.values() if len(went) == len(came) == 1 for removed, added in [(went[0], came[0])]}
    left = set(moved.values())
    for change in found:
        if change in moved:
            removed = moved[change]
            yield Change(Kind.MOVED, change.path, removed.was, removed.before, change.after, removed.stood, change.stands, (removed.path[:-1], change.was[:-1]))
        elif change not in left:
            yield change


SHARED_DEVICES = 1 / 3
"""Share of the device names of both descriptions below which, with another name and number, two cars are likely."""


def same_car(before: Description, after: Description) -> str:
    """What speaks for two different cars, as a sentence to the user; empty where nothing does."""
    one, other = (description.car.car for description in (before, after))
    names = [tuple(getattr(identity, name, None) for name in ("name", "number")) for identity in (one, other)]
    devices, others = set(before.car.devices), set(after.car.devices)
    shared, of = len(devices & others), len(devices | others)
    if any(old is None or new is None or old == new for old, new in zip(*names, strict=True)) or shared >= SHARED_DEVICES * of:
        return ""
    (name, number), (other_name, other_number) = names
    return f"these may be two cars: {name} ({number}) and {other_name} ({other_number}), and of {of} device names they share {shared}"
