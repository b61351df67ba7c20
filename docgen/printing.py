"""How values of a description are printed."""

import hashlib
import re
from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any

from pydantic import BaseModel

from docgen.car import Car
from docgen.car.contact import ByMode, ByPhase, SameAs
from docgen.car.device import Divider
from docgen.car.loop import AnyOf, CoilStep, ContactStep, CrossingStep, EachToReturn, FuseStep, NodeStep, ReturnStep
from docgen.car.values import Unknown
from docgen.nodes import Emphasis, Inline, Inlines, Strong, Text, words

NOT_SAID = "not said"


def named(field: str) -> str:
    """A field's name as it is printed: ``when_healthy`` is “when healthy”."""
    return field.replace("_", " ")


def listed(items: Iterable[str]) -> str:
    """Things in a row, as one says them.

    >>> listed(["act"]), listed(["act", "where"]), listed(["act", "where", "who"])
    ('act', 'act and where', 'act, where and who')
    """
    *others, last = items
    return f"{', '.join(others)} and {last}" if others else last


def counted(number: int, one: str, many: str = "") -> str:
    """``1 finding``, ``2 findings``."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def printed(value: Any) -> str:
    """A value of a description as plain text; left out is “not said”."""
    match value:
        case None:
            return NOT_SAID
        case date():
            return value.isoformat()
        case SameAs(contact=contact):
            return f"same as {contact}"
        case ByPhase():
            states = dict(given(value))
            together = {state: ", ".join(phase for phase, other in states.items() if other == state) for state in states.values()}
            return ", ".join(f"{printed(state)} ({phases})" for state, phases in together.items())
        case ByMode():
            return "; ".join(f"{key}: {printed(state)}" for key, state in given(value))
        case FuseStep(fuse=fuse):
            return f"fuse {fuse}"
        case ContactStep(device=device, contact=contact, corner=corner):
            return f"{device}{'.' if contact else ''}{contact}{' ' if corner else ''}{corner}"
        case CrossingStep(connector=connector, position=position):
            return f"through {connector}.{position}"
        case CoilStep(device=device):
            return f"coil {device}"
        case NodeStep(name=name):
            return f"node {name}"
        case ReturnStep(point=point):
            return point
        case AnyOf(any_of=ways):
            return "any of (" + " | ".join(printed(way) for way in ways) + ")"
        case EachToReturn(each_to_return=ways):
            return "each to the return (" + " | ".join(printed(way) for way in ways) + ")"
        case Divider(upper=upper, lower=lower, reference=reference):
            return f"divider of {printed(upper)} over {printed(lower)}" + (f" at {printed(reference)}" if reference is not None else "")
        case BaseModel():
            return "; ".join(f"{named(key)}: {printed(part)}" for key, part in given(value))
        case dict():
            return "; ".join(f"{key}: {printed(part)}" for key, part in value.items())
        case tuple():
            return ", ".join(f"({printed(part)})" if isinstance(part, BaseModel) else " / ".join(map(printed, part)) if isinstance(part, tuple) else printed(part) for part in value)
        case _:
            return str(value)


def given(part: BaseModel) -> Iterator[tuple[str, Any]]:
    """The fields of a part that say something, by the names under which they are written."""
    for name, field in type(part).model_fields.items():
        value = getattr(part, name)
        if value is not None and value != {} and value != ():
            yield field.alias or name, value


def name_of(car: Car) -> str:
    """The name of a car as it is printed; empty where none is given."""
    name = getattr(car.car, "name", None)
    return printed(name) if name is not None else ""


def mark_of(car: Car) -> str:
    """The mark of a car's newest revision as it is printed; empty where none is given."""
    mark = car.newest.mark
    return printed(mark) if mark is not None else ""


def on_one_line(text: str) -> str:
    """A text that no terminal breaks, so that nothing in it passes for a line of ours."""
    return " ".join(text.split())


def shown(value: Any) -> Inlines:
    """A value as inlines: what is unknown or not said stands out."""
    if isinstance(value, Unknown):
        return words(Strong(f"open point: {value}"))
    return words(Strong(NOT_SAID)) if value is None else words(printed(value))


def anchor(kind: str, name: str) -> str:
    """An anchor for a named thing, in letters that name a file everywhere; different names never share one.

    >>> anchor("device", "lv_master"), anchor("device", "LV")
    ('device-lv-master', 'device-lv--fcdb0592cd60d991')
    """
    if re.fullmatch(r"[a-z0-9]+(?:_[a-z0-9]+)*", name):
        return f"{kind}-{name.replace('_', '-')}"
    plain = re.sub(r"[^a-z0-9]+", "-", f"{kind}-{name}".lower()).strip("-")
    return f"{plain}--{hashlib.sha256(name.encode()).hexdigest()[:16]}"


def rows_of(part: BaseModel) -> Iterator[tuple[str, Inlines]]:
    """Every given field of a part as label and value; named parts inside it get a row each."""
    for label, value in _fields(part):
        yield label, spelled_out(value) if _has_fields(value) else shown(value)


def _fields(part: BaseModel) -> Iterator[tuple[str, Any]]:
    for name, value in given(part):
        if isinstance(value, dict) and all(map(_has_fields, value.values())):
            yield from ((f"{named(name)}: {key}", item) for key, item in value.items())
        else:
            yield named(name), value


def _has_fields(value: Any) -> bool:
    return isinstance(value, BaseModel) and not isinstance(value, ByPhase | ByMode | SameAs)


def spelled_out(part: BaseModel) -> Inlines:
    """A part as one run of text, its field names set apart: *colour* red; *place* (*where* dashboard; *by* steering wheel)."""
    inlines: list[Inline] = []
    for label, value in _fields(part):
        said = (Text("("), *spelled_out(value), Text(")")) if _has_fields(value) else shown(value)
        inlines += [*([Text("; ")] if inlines else []), Emphasis(label), Text(" "), *said]
    return tuple(inlines) or words("nothing is said of it")


_AS_WRITTEN = {"1": ("%", 100.0), "m²": ("mm²", 1e6), "C": ("Ah", 1 / 3600), "Pa": ("bar", 1e-5)}
"""Units of the trade for some SI units: symbol and factor."""
_PREFIXES = ((1e6, "M"), (1e3, "k"), (1.0, ""), (1e-3, "m"), (1e-6, "µ"), (1e-9, "n"), (1e-12, "p"))
_IN_MINUTES = 300.0
"""Seconds from which a time is said in minutes."""
_TAKES_PREFIX = frozenset({"V", "A", "Ω", "F", "H", "W", "J", "s", "m", "Ω/V", "Hz", "N", "A²s"})


def measure(value: float, unit: str) -> str:
    """A computed SI value with four significant digits, in a unit that the trade would write.

    >>> measure(0.000216, "F"), measure(0.9712, "1"), measure(2.5e6, "Pa"), measure(900, "s"), measure(0, "V")
    ('216 µF', '97.12 %', '25 bar', '15 min', '0 V')
    """
    unit, factor = ("min", 1 / 60) if unit == "s" and abs(value) >= _IN_MINUTES else _AS_WRITTEN.get(unit, (unit, 1.0))
    value *= factor
    if unit in _TAKES_PREFIX and value:
        rounded = abs(float(f"{value:.4g}"))
        scale, prefix = next(((scale, prefix) for scale, prefix in _PREFIXES if rounded >= scale * 0.9999), _PREFIXES[-1])
        value, unit = value / scale, prefix + unit
    digits = f"{value:.4g}" if abs(value) < 10_000 else f"{value:.0f}"
    return f"{digits} {unit}".rstrip()


def band(low: float, nominal: float, high: float, unit: str) -> str:
    """A value with its ends: ``470 Ω (446.5 Ω to 493.5 Ω)``."""
    said = measure(nominal, unit)
    ends = measure(low, unit), measure(high, unit)
    return said if ends == (said, said) else f"{said} ({ends[0]} to {ends[1]})"
