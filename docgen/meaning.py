"""A description as a tree of named values: what two descriptions are compared by.

Every member of the tree is reached by names alone. A field has its name, a named part the name that the team gave it, and
an item of a list is named by what it says: a step of a loop by its own text (``bspd``, ``fuse F1``, ``coil air_plus``), a
revision by its mark, a failure mode by its mode, a point of a curve by its reading. The second of two alike is ``bspd (2)``.
"""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, get_args, get_origin, get_type_hints

from pydantic import BaseModel

from docgen.car import Car
from docgen.car.car import Revision
from docgen.car.contact import SameAs
from docgen.car.demand import FailureMode
from docgen.car.device import TripPoint
from docgen.car.loop import AnyOf, Between, CoilStep, ContactStep, EachToReturn, LineStep
from docgen.car.values import Unknown, Word
from docgen.printing import printed
from docgen.provenance import Path
from docgen.quantity import DIMENSIONS, Quantity

Names = tuple[str, ...]
"""The way from the root to a member by names: ``("loops", "drive", "path", "fuse F1")``."""

ORDER_MEANS_NOTHING: tuple[tuple[str, str], ...] = (
    ("Identity.modes", "a set of modes"),
    ("Says.rating", "each value carries its own unit"),
    ("Contact.used_by", "a set of readers"),
    ("Contactors.more", "contactors in series act alike in any order"),
    ("Precharge.pulse_rating", "every point says its own time"),
    ("Discharge.pulse_rating", "every point says its own time"),
    ("HvConnector.between", "a connector joins both ways"),
    ("HvConnector.each", "a set of corners"),
    ("ActiveLight.senses", "a set of inputs"),
    ("Stage.shared_with", "a set of devices"),
    ("Device.each", "a set of places"),
    ("Device.through", "a set of positions"),
    ("Device.trips", "every point says its own pulse"),
    ("Device.acts_on_loss_of", "a set of circuits"),
    ("Device.pictures", "the order of printing only"),
    ("Signal.failure_modes", "every mode stands by itself"),
    ("Connector.neighbours", "the positions on either side"),
    ("Conduit.carries", "a set of lines"),
    ("Loop.between", "every branch names its two points"),
    ("AnyOf.any_of", "parallel ways act alike in any order"),
    ("EachToReturn.each_to_return", "branches to the return act alike in any order"),
)
"""Lists of the description, by the class and field that hold them, whose order says nothing about the car; and why."""

ORDER_MEANS_SOMETHING: tuple[tuple[str, str], ...] = (
    ("Car.revisions", "newest first"),
    ("Car.notes", "the order in which they are read"),
    ("Loop.path", "what the current meets first stands first"),
    ("Loop.way_back", "what the current meets first stands first"),
    ("Between.path", "what the current meets first stands first"),
    ("Sensor.curve", "the points are joined in this order"),
    ("PedalSensor.curve", "the points are joined in this order"),
)
"""Lists in which a place is part of what is said; and why."""

NOT_COMPARED: tuple[tuple[str, str], ...] = (("Car.docgen", "the version of the file's format says how the file is written, nothing about the car"),)
"""Fields of the description, by class and field, that a comparison leaves out; and why."""

REMARKS = ("Car.notes", "Revision.because", "Contact.note", "Device.note", "Feed.note", "Loop.note", "PedalVsBrakeCheck.note")
"""Fields of free prose: other words there are a rewording, anywhere else a changed value."""

_NAMED_BY: dict[type[BaseModel], tuple[str, ...]] = {
    Revision: ("mark",), FailureMode: ("mode",), TripPoint: ("pulse",), Between: ("start", "end"),
}  # fmt: skip
"""Groups that stand in lists, and the fields by which each is named."""

NO_ORDER = frozenset(name for name, _ in ORDER_MEANS_NOTHING)
_LEFT_OUT = frozenset(name for name, _ in NOT_COMPARED)


@dataclass(frozen=True, slots=True)
class Leaf:
    """One value. A pair, such as a rating, is one value too."""

    meaning: Any
    """What is compared: a quantity, a word, a text with single spaces, a step."""
    data: Any = field(compare=False)
    """As it is written: text, or a list of texts for a pair."""
    may_name: bool = field(default=False, compare=False)
    """Whether it may speak of a thing of the description by its name."""
    is_remark: bool = field(default=False, compare=False)


@dataclass(frozen=True, slots=True)
class Group:
    """Fields of a part, or named parts."""

    shape: type
    """The class of the part; ``dict`` for named parts, ``list`` for the items of a list."""
    members: "dict[str, Node]"
    """In the order of the file."""
    has_order: bool = field(default=False, compare=False)
    """Of a list: whether a place in it is part of what is said."""
    key: str = field(default="", compare=False)
    """Of parallel ways or branches: the key under which the list is written."""
    names: tuple[str, ...] = field(default=(), compare=False)
    """Of a part in a list: the fields by which it is named."""
    always: bool = field(default=False, compare=False)
    """Whether left out and empty are the same."""


Node = Leaf | Group


def meaning(car: Car, data: Any) -> Group:
    """The tree of a description: the validated car beside the plain data from which it was read."""
    return _group(car, data)


def plain(node: Node) -> Any:
    """The plain data that reads as this tree."""
    if isinstance(node, Leaf):
        return node.data
    if node.shape is list:
        items = [plain(member) for member in node.members.values()]
        return {node.key: items} if node.key else items
    return {name: plain(member) for name, member in node.members.items() if not (isinstance(member, Group) and member.always and not member.members)}


def named(node: Node | None, path: Path) -> Names:
    """A path with the name of every item in place of its index; steps that lead to nothing keep their own name."""
    names: list[str] = []
    for step in path:
        if isinstance(node, Group) and node.key == step:
            continue
        name = str(step)
        if isinstance(step, int) and isinstance(node, Group) and step < len(node.members):
            name = list(node.members)[step]
        names.append(name)
        node = node.members.get(name) if isinstance(node, Group) else None
    return tuple(names)


def at(node: Node, names: Names) -> Node | None:
    """The member that these names lead to, or None."""
    found: Node | None = node
    for name in names:
        found = found.members.get(name) if isinstance(found, Group) else None
    return found


def leaves(node: Node, path: Names = ()) -> Iterator[tuple[Names, Leaf]]:
    """Every value below a member, with the names that lead to it."""
    if isinstance(node, Leaf):
        yield path, node
        return
    for name, member in node.members.items():
        yield from leaves(member, (*path, name))


@cache
def hints(model: type[BaseModel]) -> dict[str, Any]:
    """The annotations of a part by attribute, with what hangs on them."""
    return get_type_hints(model, include_extras=True)


@cache
def _fields(model: type[BaseModel]) -> dict[str, tuple[str, str, Any, bool]]:
    """Name as written -> attribute, class and field, annotation, whether left out and empty are the same."""
    return {
        info.alias or name: (name, f"{model.__name__}.{name}", hints(model)[name], info.get_default(call_default_factory=True) in ((), {}))
        for name, info in model.model_fields.items()
        if f"{model.__name__}.{name}" not in _LEFT_OUT
    }


def _group(part: BaseModel, data: Any, names: tuple[str, ...] = ()) -> Group:
    fields = _fields(type(part))
    written = {str(key).strip(): value for key, value in data.items()}
    members: dict[str, Node] = {}
    for key in (*written, *(name for name in fields if name not in written)):
        if key not in fields:
            continue
        attribute, holder, annotation, always = fields[key]
        value = getattr(part, attribute)
        if value is not None:
            members[key] = _node(value, written.get(key), holder, annotation, always)
    return Group(type(part), members, names=names)


def _node(value: Any, data: Any, holder: str, annotation: Any, always: bool = False) -> Node:
    if isinstance(value, dict):
        below = _value_annotation(annotation)
        members = {str(key).strip(): _node(value[str(key).strip()], item, holder, below) for key, item in (data or {}).items()}
        return Group(dict, members, always=always)
    if isinstance(value, AnyOf | EachToReturn):
        attribute = "any_of" if isinstance(value, AnyOf) else "each_to_return"
        return _ways(getattr(value, attribute), data, attribute, f"{type(value).__name__}.{attribute}")
    if isinstance(value, BaseModel) and isinstance(data, dict):
        return _group(value, data, _NAMED_BY.get(type(value), ()))
    if isinstance(value, tuple) and not _is_pair(annotation):
        below = _item_annotation(annotation)
        items = [_node(item, written, holder, below) for item, written in zip(value, data or (), strict=True)]
        return _list(items, has_order=holder not in NO_ORDER, always=always)
    return Leaf(_compared(value), _tidy(data), _may_name(value, annotation), holder in REMARKS)


def _ways(ways: tuple[Any, ...], data: Any, key: str, holder: str) -> Group:
    lists: list[Node] = [_list([_node(step, written, holder, None) for step, written in zip(way, line, strict=True)], has_order=True) for way, line in zip(ways, data[key], strict=True)]
    return _list(lists, has_order=False, key=key)


def _list(items: list[Node], *, has_order: bool, key: str = "", always: bool = False) -> Group:
    names = [name_of(item) for item in items]
    alike = {name for name, count in Counter(names).items() if count > 1}
    ranks = {index: rank for rank, index in enumerate(sorted(range(len(items)), key=lambda at: "" if has_order or names[at] not in alike else _content(items[at])))}
    return Group(list, _numbered(items, names, ranks), has_order, key, always=always)


def _numbered(items: list[Node], names: list[str], ranks: Mapping[int, int]) -> "dict[str, Node]":
    """Items by name; the second of two alike, by their ranks, is ``bspd (2)``."""
    told: dict[int, str] = {}
    taken = set(names)
    counts: Counter[str] = Counter()
    for index in sorted(ranks, key=ranks.__getitem__):
        name = told[index] = names[index]
        while counts[name] and told[index] in taken:
            counts[name] += 1
            told[index] = f"{name} ({counts[name]})"
        counts[name] += not counts[name]
        taken.add(told[index])
    return {told[index]: item for index, item in enumerate(items)}


def _content(item: Node) -> str:
    """What an item says, in one spelling, so that items of one name are numbered alike in whatever order they stand."""
    if isinstance(item, Leaf):
        return _in_full(item.meaning)
    if item.shape is not list:
        return repr(sorted((name, _content(member)) for name, member in item.members.items()))
    said = [_content(member) for member in item.members.values()]
    return repr(said if item.has_order else sorted(said))


def _in_full(value: Any) -> str:
    if isinstance(value, tuple):
        return ", ".join(map(_in_full, value))
    return f"{value.value.normalize()} {value.low.normalize()} {value.high.normalize()} {value.kind}" if isinstance(value, Quantity) else printed(value)


def name_of(item: Node) -> str:
    """What an item of a list is called.

    A branch is called after its coil, a parallel way after its first contact, a list of ways after the one that is first in the alphabet.
    """
    if isinstance(item, Leaf):
        return _said(item.meaning[0] if isinstance(item.meaning, tuple) else item.meaning)
    if item.shape is not list:
        return " > ".join(name_of(item.members[name]) if name in item.members else "not said" for name in item.names) or "item"
    if item.key:
        return f"{item.key.replace('_', ' ')}: {min(item.members, default='nothing')}"
    for sort in (CoilStep, ContactStep, object):
        for name, member in item.members.items():
            if sort is object or (isinstance(member, Leaf) and isinstance(member.meaning, sort)):
                return name
    return "nothing"


def _said(value: Any) -> str:
    return exactly(value) if isinstance(value, Quantity) else printed(value)


def exactly(quantity: Quantity) -> str:
    """A quantity in one spelling, whichever way it was written.

    >>> from docgen.quantity import read_quantity
    >>> exactly(read_quantity("0.05 s", "time")), exactly(read_quantity("5000 mA", "current"))
    ('50 ms', '5 A')
    """
    units = DIMENSIONS[quantity.dimension]
    scaled = [(quantity.value / factor, unit) for unit, factor in units.items()]
    value, unit = next(((value, unit) for value, unit in scaled if 1 <= abs(value) < 1000), scaled[0])
    return f"{value.normalize():f} {unit}"


def _compared(value: Any) -> Any:
    if isinstance(value, str):
        return " ".join(value.split())
    return Unknown(" ".join(value.because.split())) if isinstance(value, Unknown) else value


def _tidy(data: Any) -> Any:
    return [_tidy(item) for item in data] if isinstance(data, list) else data.strip() if isinstance(data, str) else data


_STEPS = get_args(LineStep)


def _may_name(value: Any, annotation: Any) -> bool:
    return isinstance(value, (*_STEPS, SameAs)) or (isinstance(value, str) and not _is_word(annotation))


_WORD: dict[int, tuple[Any, bool]] = {}
"""Annotation by identity -> itself, so that it lives on, and whether it is a closed set of words."""


def _is_word(annotation: Any) -> bool:
    known = _WORD.get(id(annotation))
    if known is None or known[0] is not annotation:
        known = _WORD[id(annotation)] = annotation, _holds(annotation, Word)
    return known[1]


def _holds(annotation: Any, kind: type) -> bool:
    """Whether something of this kind hangs on an annotation or its members."""
    return isinstance(annotation, kind) or any(_holds(inner, kind) for inner in get_args(annotation) or getattr(annotation, "__metadata__", ()))


def unwrapped(annotation: Any) -> Any:
    """The type that stands in an annotation beside `Unknown` and None."""
    while True:
        members = [member for member in get_args(annotation) if member not in (Unknown, type(None))]
        if hasattr(annotation, "__metadata__"):
            annotation = members[0]
        elif get_origin(annotation) in (tuple, dict) or len(members) != 1:
            return annotation
        else:
            annotation = members[0]


def _is_pair(annotation: Any) -> bool:
    inner = unwrapped(annotation)
    return get_origin(inner) is tuple and Ellipsis not in get_args(inner)


def _item_annotation(annotation: Any) -> Any:
    return get_args(unwrapped(annotation))[0]


def _value_annotation(annotation: Any) -> Any:
    return get_args(unwrapped(annotation))[1]


_NAME = re.compile(r"([^\W\d_][\w-]*)")


def respelled(text: str, alias: Mapping[str, str]) -> str:
    """A text with every name replaced that has another in `alias`.

    >>> respelled("through X3.7", {"X3": "X4"}), respelled("bspd > ams", {"ams": "bms"})
    ('through X4.7', 'bspd > bms')
    """
    return _NAME.sub(lambda found: alias.get(found[0], found[0]), text) if alias else text


def tokens(text: str) -> list[str]:
    """A text cut at its names: what stands between them at even places, the names at odd ones.

    >>> tokens("through X3.7")
    ['', 'through', ' ', 'X3', '.7']
    """
    return _NAME.split(text)
