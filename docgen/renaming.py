"""Which parts of a description go by another name in a later one: inferred from content that stayed."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from pydantic import BaseModel

from docgen.car.loop import Wire
from docgen.meaning import Group, Leaf, Names, Node, leaves, respelled, tokens
from docgen.printing import printed

ALIKE = 0.75
"""Share of their values that a removed and an added part must have in common to be one part renamed; a device must also have kept its function."""

MOST_PAIRS = 10_000
"""Removed times added parts of a group beyond which only parts of equal content are told as renamed."""

_PASSES = 3
"""How often names are looked for again with what was found before: a part may differ by nothing but the new name of another."""


@dataclass(frozen=True)
class Renamings:
    """Names of parts that were renamed, old and new."""

    pairs: frozenset[tuple[str, str]] = frozenset()

    @cached_property
    def alias(self) -> dict[str, str]:
        """Every renamed name, old and new -> one name for all that are linked, the same whichever description is the earlier."""
        links: dict[str, set[str]] = defaultdict(set)
        for old, new in self.pairs:
            links[old].add(new)
            links[new].add(old)
        alias: dict[str, str] = {}
        for name in sorted(links):
            waiting = [] if name in alias else [name]
            while waiting:
                linked = waiting.pop()
                if linked not in alias:
                    alias[linked] = name
                    waiting += links[linked]
        return alias

    def folded(self, text: str) -> str:
        """A text in which old and new names are one."""
        return respelled(text, self.alias)

    def explain(self, before: str, after: str) -> bool:
        """Whether two different texts differ by nothing but new names."""
        if before == after:
            return False
        old, new = tokens(before), tokens(after)
        return len(old) == len(new) and all(one == other or (one, other) in self.pairs for one, other in zip(old, new, strict=True))

    def content(self, part: Node) -> frozenset[tuple[Names, Any]]:
        """The values of a part, with old and new names as one."""
        return frozenset((tuple(map(self.folded, path)), self.value(leaf)) for path, leaf in leaves(part))

    def value(self, leaf: Leaf) -> Any:
        return self.folded(printed(leaf.meaning)) if leaf.may_name else leaf.meaning


def renamings(before: Group, after: Group) -> Renamings:
    """Every part of two trees that goes by another name in the later one, looked for again with what was found before."""
    found = Renamings()
    for _ in range(_PASSES):
        again = Renamings(frozenset(_renamed_below(before, after, found)))
        if again == found:
            break
        found = again
    return found


def _renamed_below(before: Group, after: Group, known: Renamings) -> Iterator[tuple[str, str]]:
    found = renamed(before, after, known)
    yield from found.items()
    for name, old in before.members.items():
        new = after.members.get(found.get(name, name))
        if isinstance(old, Group) and isinstance(new, Group) and old.shape is new.shape is not list:
            yield from _renamed_below(old, new, known)


def renamed(before: Group, after: Group, known: Renamings) -> dict[str, str]:
    """Old name -> new name of the parts of a group that were renamed: the best likeness first, each part once."""
    if before.shape is not dict:
        return {}
    gone = {name: known.content(part) for name, part in before.members.items() if name not in after.members and _is_named_part(part)}
    come = {name: known.content(part) for name, part in after.members.items() if name not in before.members and _is_named_part(part)} if gone else {}
    found: dict[str, str] = {}
    taken: set[str] = set()
    for old, new in _likely(gone, come):
        if old not in found and new not in taken and _function(before.members[old]) == _function(after.members[new]):
            found[old] = new
            taken.add(new)
    return found


def _likely(gone: Mapping[str, frozenset[Any]], come: Mapping[str, frozenset[Any]]) -> Iterator[tuple[str, str]]:
    """Pairs of an old and a new name that may be one part, the best first.

    Too many of equal content are taken in the order of their names, too many others not at all.
    """
    if len(gone) * len(come) <= MOST_PAIRS:
        scored = [(_likeness(one, other), old, new) for old, one in gone.items() for new, other in come.items() if one and other]
        alike = ((-score, -_likeness(_letters(old), _letters(new)), sorted((old, new)), (old, new)) for score, old, new in scored if score >= ALIKE)
        yield from (names for *_, names in sorted(alike))
        return
    equal: dict[frozenset[Any], tuple[list[str], list[str]]] = defaultdict(lambda: ([], []))
    for side, parts in enumerate((gone, come)):
        for name, content in parts.items():
            if content:
                equal[content][side].append(name)
    for old_names, new_names in equal.values():
        yield from zip(sorted(old_names), sorted(new_names), strict=False)


def _likeness(one: frozenset[Any], other: frozenset[Any]) -> float:
    """Twice what two sets share, over what both hold: 1 for equal sets, 0 for sets that share nothing (L. R. Dice, Ecology 26, 1945)."""
    return 2 * len(one & other) / (len(one) + len(other)) if one or other else 0.0


def _letters(name: str) -> frozenset[str]:
    return frozenset(name[place : place + 2].casefold() for place in range(len(name)))


def _is_named_part(part: Node) -> bool:
    """Whether a part has a name of its own; a wire is named after its two ends."""
    return isinstance(part, Group) and issubclass(part.shape, BaseModel) and part.shape is not Wire


def _function(part: Node) -> Any:
    function = part.members.get("function") if isinstance(part, Group) else None
    return function.meaning if isinstance(function, Leaf) else None
