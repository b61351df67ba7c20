"""A change in one line, in the words of the car."""

from typing import Any

from docgen.changes import Change, Kind, Spot
from docgen.meaning import Names

_THINGS: dict[Names, str] = {
    ("devices",): "device", ("loops",): "loop", ("connectors",): "connector", ("boards",): "board", ("housings",): "housing", ("signals",): "signal",
    ("evidence",): "evidence", ("low_voltage", "fuses"): "fuse", ("low_voltage", "feeds"): "feed", ("tractive_system", "accumulators"): "accumulator",
    ("tractive_system", "inverters"): "inverter", ("tractive_system", "connectors"): "tractive-system connector", ("tractive_system", "indicators"): "lamp",
    ("wiring", "conductors"): "conductor", ("wiring", "conduits"): "conduit", ("demand", "pedal_sensors"): "pedal sensor",
    ("demand", "brake_sensors"): "brake sensor", ("revisions",): "revision",
}  # fmt: skip
"""Group of named parts -> what one of them is called."""


def thing(path: Names) -> tuple[str, Names]:
    """What a place belongs to, and the rest of the way.

    >>> thing(("devices", "bspd", "latch", "by"))
    ('device bspd', ('latch', 'by'))
    """
    for length in (1, 2):
        if path[:length] in _THINGS and len(path) > length:
            return f"{_THINGS[path[:length]]} {path[length]}", path[length + 1 :]
    return "", path


def spelled(change: Change) -> str:
    """A change in one line, in the words of the car: ``device bspd: latch.by changed from “relay K3” to “relay K4”``."""
    whole, rest = thing(change.path)
    if change.stood or change.stands:
        return _spelled_item(change, whole, rest)
    field_name = ".".join(rest)
    head = f"{whole}: {field_name}" if whole and field_name else whole or field_name
    match change.kind:
        case Kind.RENAMED | Kind.FOLLOWS if change.is_of_name:
            old, old_rest = thing(change.was)
            verb = "renamed" if change.kind is Kind.RENAMED else "follows, now"
            return f"{old} {verb} {change.path[-1]}" if not old_rest else f"{whole}: {'.'.join((*rest[:-1], change.was[-1]))} {verb} {change.path[-1]}".removeprefix(": ")
        case Kind.ADDED:
            return f"{head} added" + (f": {told(change.after)}" if field_name else "")
        case Kind.REMOVED:
            return f"{head} removed" + (f": {told(change.before)}" if field_name else "")
        case Kind.FOLLOWS:
            return f"{head} follows the new name: {told(change.before)}, now {told(change.after)}"
        case _:
            return f"{head} {change.kind} from {told(change.before)} to {told(change.after)}"


def _spelled_item(change: Change, whole: str, rest: Names) -> str:
    holder, item = _holder(change.path), _item(change.path if change.kind is not Kind.REMOVED else change.was)
    match change.kind:
        case Kind.MOVED:
            was, now = (_line(places) if change.across else "" for places in (change.was, change.path))
            return f"{item} moved in {whole if change.across else holder}: was {_place(change.stood)}{was}, is {_place(change.stands)}{now}"
        case Kind.ADDED:
            return f"{item} added in {holder}, {_place(change.stands)}"
        case Kind.REMOVED:
            return f"{item} removed from {holder}, was {_place(change.stood)}"
        case Kind.FOLLOWS:
            return f"{told(change.before)} in {holder} follows the new name: {told(change.after)}"
        case _:
            return f"{told(change.before)} in {holder} {change.kind} to {told(change.after)}"


def _holder(path: Names) -> str:
    """The list that an item stands in."""
    if path[0] == "loops":
        return f"loop {path[1]}{_line(path)}"
    if path[0] == "revisions":
        return "the revisions"
    whole, rest = thing(path)
    return f"{whole}: {'.'.join(rest[:-1])}" if whole else ".".join(rest[:-1])


def _item(path: Names) -> str:
    """An item of a list; a branch of a loop is said to be one."""
    is_way = path[0] == "loops" and path[2] == "path" and len(path) > 4 and len(path) % 2 == 1
    return f"the {_sort(path)} of {path[-1]}" if is_way else path[-1]


def _sort(path: Names) -> str:
    return "branch" if path[-2 if len(path) % 2 else -3].startswith("each to return") else "way"


def _line(path: Names) -> str:
    """Which line of its loop a step stands in; nothing for the line itself."""
    if path[2] == "return":
        return " on the return side"
    return f" in the {_sort(path)} of {path[-2]}" if path[2] == "path" and len(path) > 5 and len(path) % 2 == 0 else ""


def _place(spot: Spot | None) -> str:
    return f"behind {spot.behind}" if spot and spot.behind else "at the beginning"


def told(data: Any) -> str:
    """Plain data in one line."""
    if isinstance(data, dict):
        return "; ".join(f"{name}: {told(value)}" for name, value in data.items()) or "nothing said"
    if isinstance(data, list):
        return ", ".join(map(told, data)) if any(isinstance(item, dict | list) for item in data) else f"“{', '.join(map(str, data))}”"
    return f"“{data}”"
