"""What terminal numbers mean.

Source: DIN EN 50005 as restated in SIRIUS Innovations System Manual, 01/2011, p. 165 (units 1-2 break, 3-4 make, tens the sequence number);
special-function digits 5-6 and 7-8 and the overload contact 95-96 second-hand; DIN 72552 (30, 87, 87a) second-hand.
"""

import pytest

from docgen.terminals import Marking, marking


@pytest.mark.parametrize(
    ("terminals", "kind", "at_rest"),
    [
        ("13-14", Marking.MAKE, "open"), ("21-22", Marking.BREAK, "closed"), ("33-34", Marking.MAKE, "open"), ("41-42", Marking.BREAK, "closed"),
        ("11-12", Marking.BREAK, "closed"), ("21-24", Marking.MAKE_THROW, "open"), ("95-96", Marking.BREAK, "closed"), ("97-98", Marking.MAKE, "open"),
        ("30-87", Marking.MAKE, "open"), ("30-87a", Marking.BREAK, "closed"), ("87 / 30", Marking.MAKE, "open"), ("14/13", Marking.MAKE, "open"),
        ("K1:13, K1:14", Marking.UNTOLD, None), ("13–14", Marking.MAKE, "open"),
    ],
)  # fmt: skip
def test_a_pair_of_numbers_tells_make_from_break(terminals: str, kind: Marking, at_rest: str | None) -> None:
    assert marking(terminals) is kind
    assert marking(terminals).throw_at_rest(None) == at_rest


@pytest.mark.parametrize("terminals", ["11-12-14", "11/12/14", "21 22 24", "30-87-87a"])
def test_three_numbers_are_a_change_over_contact(terminals: str) -> None:
    assert marking(terminals) is Marking.CHANGE_OVER
    assert marking(terminals).throw_at_rest("make") == "open"
    assert marking(terminals).throw_at_rest("break") == "closed"
    assert marking(terminals).throw_at_rest(None) is None


@pytest.mark.parametrize("terminals", ["13-12", "11-13", "12-13", "22-24", "12-14", "13-24", "11-22", "43-34"])
def test_numbers_of_two_contacts_are_malformed(terminals: str) -> None:
    assert marking(terminals) is Marking.MALFORMED


def test_a_coil_is_no_contact() -> None:
    assert marking("A1-A2") is marking("A1/A2") is Marking.COIL
    assert Marking.COIL.throw_at_rest(None) is None


@pytest.mark.parametrize("terminals", ["1-2", "3-4", "1-3", "NO-COM", "pin 4 and 5", "5-6", "101-102", "13"])
def test_other_numbers_tell_nothing(terminals: str) -> None:
    assert marking(terminals) is Marking.UNTOLD
