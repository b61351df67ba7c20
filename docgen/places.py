"""Places of a description spelled by names alone: ``devices.bspd.delay.resistor``, ``loops.drive.path.precharge_unit.running``.

A name may hold a dot itself, such as that of a contact in a loop; where it ends, the description decides. The parallel ways and
the branches of a loop need no name of their own: what stands in one is found from the loop's path.
"""

import difflib
from collections.abc import Iterator
from dataclasses import dataclass

from docgen.load import Description
from docgen.meaning import Group, Names, Node, at, meaning, named
from docgen.provenance import Path

WHOLE = "the whole car"
"""The place of what concerns no field more than another."""


LONGEST = 200
"""Characters of a place that is written down."""


@dataclass(frozen=True, slots=True)
class Places:
    """The places of one description."""

    root: Group

    @classmethod
    def of(cls, description: Description) -> "Places":
        return cls(meaning(description.car, description.tree.data))

    def names(self, place: str) -> Names | None:
        """The names that a spelled place leads through, or None where it leads nowhere."""
        return () if place == WHOLE else next(_ways(self.root, place), None) if place else None

    def spelled(self, names: Names) -> str:
        """The place as a person writes it; as short as it stays unmistakable."""
        short = ".".join(name for at_step, name in enumerate(names) if not self._is_way(names[: at_step + 1]) or at_step + 1 == len(names))
        return WHOLE if not names else short if self.names(short) == names else ".".join(names)

    def at_field(self, path: Path) -> str:
        """The place of a field; that of the nearest parent where the field is left out, or has no name that one could write."""
        names = named(self.root, path)
        while at(self.root, names) is None or len(self.spelled(names)) > LONGEST:
            names = names[:-1]
        return self.spelled(names)

    def nearest(self, place: str) -> str:
        """A place that is there and is spelled nearly so, or else the group in which it is missed; empty where not even that is there."""
        node: Node = self.root
        known, rest = "", place
        while isinstance(node, Group):
            step = next(_first_steps(node, rest), None)
            if step is None:
                wanted, _, behind = rest.partition(".")
                near = difflib.get_close_matches(wanted, node.members, n=1)
                whole = ".".join(filter(None, (known, *near, behind)))
                return whole if near and self.names(whole) is not None else ".".join(filter(None, (known, *near)))
            name, rest = step
            known, node = f"{known}.{name}" if known else name, node.members[name]
        return known

    def _is_way(self, names: Names) -> bool:
        """Whether these names lead to parallel ways, to branches, or to one of them."""
        inner, outer = at(self.root, names), at(self.root, names[:-1])
        return isinstance(inner, Group) and isinstance(outer, Group) and inner.shape is outer.shape is list


def _first_steps(node: Group, text: str) -> Iterator[tuple[str, str]]:
    """Every member with which a spelled place may begin, the longest name first, and what is left behind it."""
    for name in sorted(node.members, key=len, reverse=True):
        if text == name or (text.startswith(f"{name}.") and len(text) > len(name) + 1):
            yield name, text[len(name) + 1 :]


def _ways(node: Node, text: str) -> Iterator[Names]:
    if not text:
        yield ()
        return
    if not isinstance(node, Group):
        return
    for name, rest in _first_steps(node, text):
        yield from ((name, *names) for names in _ways(node.members[name], rest))
    if node.shape is list:
        for name, member in node.members.items():
            if isinstance(member, Group) and member.shape is list:
                yield from ((name, *names) for names in _ways(member, text))
