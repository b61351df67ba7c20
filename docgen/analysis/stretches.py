"""The stretches of wire of a loop: between which parts each runs, and what the description says of it.

Every two parts that the current meets one after the other are joined by a stretch, the source and the point of return among them: it lies
before the part that it leads to or, where ways join, behind the part that it comes from.
"""

import re
from dataclasses import dataclass

from docgen.car.loop import Loop
from docgen.network import EARTH, Element, Network

DEFAULT = "default"


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch at the start or the end of a part, from part to part; None for the source, the return, and where several ways meet."""

    owner: Element
    at_start: bool
    before: Element | None
    after: Element | None
    key: str
    """The key under which its wire is written: ``F0 > lv_master``, or ``default``."""


def stretches(loop: Loop, graph: Network) -> tuple[Stretch, ...]:
    """Every stretch of a loop, in the order of its parts."""
    entering: dict[int, list[Element]] = {}
    leaving: dict[int, list[Element]] = {}
    for element in graph.elements:
        entering.setdefault(element.end, []).append(element)
        leaving.setdefault(element.start, []).append(element)
    written = {ends(key): key for key in loop.wires if ">" in key}
    point = graph.ends_at or "return"
    found: list[Stretch] = []

    def lay(owner: Element, at_start: bool, before: Element | None, after: Element | None) -> None:
        pairs = ((start, end) for start in _spellings(before, "source") for end in _spellings(after, point))
        found.append(Stretch(owner, at_start, before, after, next((written[pair] for pair in pairs if pair in written), DEFAULT)))

    for element in graph.elements:
        before, beside = entering.get(element.start, []), leaving[element.start]
        if len(before) <= 1 or len(beside) > 1:
            lay(element, True, before[0] if len(before) == 1 else None, element)
        if element.end == EARTH or len(entering[element.end]) > 1:
            after = leaving.get(element.end, [])
            lay(element, False, element, after[0] if len(after) == 1 else None)
    return tuple(found)


def ends(key: str) -> tuple[str, ...]:
    """The two parts of a written stretch, without the words that only tell their kind.

    >>> ends("through X3.8 > coil air_minus")
    ('X3.8', 'air_minus')
    """
    return tuple(re.sub(r"^(?:fuse|through|coil)\s+", "", " ".join(end.split())) for end in key.split(">"))


def said(loop: Loop, key: str, name: str) -> tuple[str, object]:
    """A field of a wire, and the key under which it is said: what a stretch leaves out is as in the default."""
    own = getattr(loop.wires.get(key), name, None)
    return (key, own) if own is not None else (DEFAULT, getattr(loop.wires.get(DEFAULT), name, None))


def _spellings(element: Element | None, point: str) -> tuple[str, ...]:
    """The names under which a part may stand in a key: with its contact, and as in a step that leaves the contact out."""
    return (point,) if element is None else (element.spelled, f"{element.name} {element.corner}".strip())
