"""What terminal numbers say about a contact.

Sources: EN 50005 (auxiliary contacts: tens digit numbers the contact, units digits 1-2 break, 3-4 make,
1-2-4 change-over, 5-6 and 7-8 the same with special function; A1-A2 is a coil); DIN 72552 (30, 87, 87a of road-vehicle relays).
"""

import re
from enum import Enum


class Marking(Enum):
    """The kind of contact that a pair of terminals belongs to; the value is its printed name."""

    BREAK = "break contact or break throw"
    MAKE = "make contact"
    MAKE_THROW = "make throw"
    CHANGE_OVER = "change-over contact"
    COIL = "coil"
    UNTOLD = "contact of untold kind"
    MALFORMED = "malformed pair"

    def throw_at_rest(self, throw: str | None) -> str | None:
        """State at rest that the marking means; for a whole change-over contact the throw decides."""
        if self is Marking.CHANGE_OVER:
            return {"make": "open", "break": "closed"}.get(throw or "")
        return {Marking.BREAK: "closed", Marking.MAKE: "open", Marking.MAKE_THROW: "open"}.get(self)


_UNITS = {
    ("1", "2"): Marking.BREAK,
    ("3", "4"): Marking.MAKE,
    ("1", "4"): Marking.MAKE_THROW,
    ("1", "2", "4"): Marking.CHANGE_OVER,
    ("5", "6"): Marking.BREAK,
    ("7", "8"): Marking.MAKE,
    ("5", "8"): Marking.MAKE_THROW,
    ("5", "6", "8"): Marking.CHANGE_OVER,
}
_ROAD_VEHICLE = {
    ("30", "87"): Marking.MAKE,
    ("30", "87a"): Marking.BREAK,
    ("30", "87", "87a"): Marking.CHANGE_OVER,
}


def marking(terminals: str) -> Marking:
    """What the terminals of one contact say, in any order: ``13-14``, ``11/12/14``, ``30-87a``.

    >>> marking("13-14"), marking("22-21"), marking("13-12")
    (<Marking.MAKE: 'make contact'>, <Marking.BREAK: 'break contact or break throw'>, <Marking.MALFORMED: 'malformed pair'>)
    """
    numbers = tuple(sorted(re.findall(r"[0-9]+[a-z]?|[A-Za-z]+[0-9]*", terminals.casefold().replace("87b", "87"))))
    if numbers in _ROAD_VEHICLE:
        return _ROAD_VEHICLE[numbers]
    if numbers and all(re.fullmatch(r"a[1-9]", number) for number in numbers):
        return Marking.COIL
    if not all(re.fullmatch(r"[1-9][0-9]", number) for number in numbers) or len(numbers) not in (2, 3):
        return Marking.UNTOLD
    if len({number[0] for number in numbers}) != 1:
        return Marking.MALFORMED
    return _UNITS.get(tuple(number[1] for number in numbers), Marking.MALFORMED)
