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


ROWS = transcribed()
LIMITS = [row for row in ROWS if row.limit]
COMPARED = [row for row in LIMITS if row.compare]
CLAUSES = list({(row.edition, row.topic): row for row in ROWS if row.clause}.values())


def magnitude(text: str, dimension: str) -> Quantity | int:
    return int(text) if dimension == "count" else read_quantity(text, dimension)


def clauses(text: str) -> list[str]:
    """Each clause in full, in order: ``T11.1.6/.7`` and ``T11.1.6, T11.1.7`` are the same two.

    >>> clauses("T11.1.6 / .7")
    ['T11.1.6', 'T11.1.7']
    """
    full: list[str] = []
    for written in re.split(r"[,;/]|and", re.sub(r"\s", "", text)):
        full.append(full[-1].rpartition(".")[0] + written if full and written.startswith(".") else written)
    return sorted(full)


@pytest.mark.parametrize("row", LIMITS, ids=str)
def test_a_value_typed_twice_is_the_same(row: Row) -> None:
    dimension = TOPICS[row.topic].limits[row.limit]
    assert magnitude(row.typed_first().value, dimension) == magnitude(row.value, dimension)


@pytest.mark.parametrize("row", COMPARED, ids=str)
def test_a_comparison_typed_twice_is_the_same(row: Row) -> None:
    assert row.typed_first().compare == row.compare


@pytest.mark.parametrize("row", CLAUSES, ids=str)
def test_a_clause_typed_twice_is_the_same(row: Row) -> None:
    assert clauses(edition(row.edition).topic(row.topic).clause) == clauses(row.clause)
