"""A second transcription of the rulebook limits, typed anew from the same notes as the edition files.

Two people rarely make the same typing error, so every row of the table must agree with the edition file. It cannot
show an error of the notes themselves. An empty comparison or clause means that the notes give none: it is not compared.
"""

import csv
import re
from dataclasses import dataclass
from pathlib import Path

import pytest

from docgen.editions import Limit, edition
from docgen.editions.topics import TOPICS
from docgen.provenance import Known
from docgen.quantity import Quantity, read_quantity


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table; limit, compare and value are empty where a topic has a clause but no limit."""

    edition: str
    topic: str
    limit: str
    compare: str
    value: str
    clause: str

    def __str__(self) -> str:
        return " ".join(filter(None, (self.edition, self.topic, self.limit)))

    def typed_first(self) -> Limit:
        """The same limit in the edition file."""
        limits = edition(self.edition).topic(self.topic).limits
        assert self.limit in limits, f"{self}: the edition file has no such limit, the table has {self.compare} {self.value}"
        return limits[self.limit]


def transcribed() -> list[Row]:
    with Path(__file__).with_name("second_transcription.csv").open(encoding="utf-8", newline="") as table:
        return [Row(**line) for line in csv.DictReader(table)]


ACTING = {"active-light-red", "pedal-vs-brake", "pedal-vs-brake-release"}
"""Topics where the notes say at which value the device acts, and the edition file what the car's own threshold must keep."""
IMMEDIATE = "0 s"
"""How the table writes “immediately”; no edition file has a limit for it, since no software acts in no time."""

ROWS = transcribed()
LIMITS = [row for row in ROWS if row.limit and row.value != IMMEDIATE]
COMPARED = [row for row in LIMITS if row.compare]
CLAUSES = [
    row
    for row in {(row.edition, row.topic): row for row in ROWS if row.clause}.values()
    if edition(row.edition).topic(row.topic).known != Known.UNREAD
]
"""The notes number some clauses whose demands nobody read; the edition file says so and names none."""


def magnitude(text: str, dimension: str) -> Quantity | int:
    return int(text) if dimension == "count" else read_quantity(text, dimension)


def clauses(text: str) -> set[str]:
    """Each clause in full: ``T11.1.6/.7`` is two, ``EV3.2.1 to EV3.2.3`` three.

    >>> sorted(clauses("T11.1.6 / .7, EV5.6.1-.3"))
    ['EV5.6.1', 'EV5.6.2', 'EV5.6.3', 'T11.1.6', 'T11.1.7']
    """
    full: set[str] = set()
    stem = ""
    for written in re.split(r"[,;/]|and", re.sub(r"\s", "", text).replace("to", "-")):
        first, *rest = [stem + end if end.startswith(".") else end for end in written.split("-")]
        stem = first.rpartition(".")[0]
        last = rest[0].rpartition(".")[2] if rest else first.rpartition(".")[2]
        full |= {f"{stem}.{number}" for number in range(int(first.rpartition(".")[2]), int(last) + 1)} if last.isdigit() and stem else {first}
    return full


def covers(some: set[str], others: set[str]) -> bool:
    """Whether each of `some` is one of the others, or a part of one, or holds one."""
    return all(any(one == other or one.startswith(f"{other}.") or other.startswith(f"{one}.") for other in others) for one in some)


@pytest.mark.parametrize("row", LIMITS, ids=str)
def test_a_value_typed_twice_is_the_same(row: Row) -> None:
    dimension = TOPICS[row.topic].limits[row.limit]
    assert magnitude(row.typed_first().value, dimension) == magnitude(row.value, dimension)


@pytest.mark.parametrize("row", COMPARED, ids=str)
def test_a_comparison_typed_twice_is_the_same(row: Row) -> None:
    assert row.typed_first().compare == ("at most" if row.topic in ACTING else row.compare)


@pytest.mark.parametrize("row", CLAUSES, ids=str)
def test_a_clause_typed_twice_is_the_same(row: Row) -> None:
    typed_first, typed_again = clauses(edition(row.edition).topic(row.topic).clause), clauses(row.clause)
    assert covers(typed_first, typed_again) or covers(typed_again, typed_first), f"{typed_first} and {typed_again}"
