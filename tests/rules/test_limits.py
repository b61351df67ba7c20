"""A quantity against a limit of an edition: the whole tolerance band counts, and the comparison is the one that the clause uses."""

import pytest

from docgen.editions import Limit
from docgen.look import keeps
from docgen.quantity import read_quantity


@pytest.mark.parametrize(
    ("compare", "value", "kept"),
    [
        ("at most", "50 ms", True), ("at most", "50.1 ms", False), ("at most", "49 ms ± 1 ms", True), ("at most", "49 ms ± 2 ms", False),
        ("below", "49.9 ms", True), ("below", "50 ms", False), ("below", "49 ms ± 1 ms", False),
        ("at least", "50 ms", True), ("at least", "49.9 ms", False), ("at least", "51 ms ± 2 ms", False),
        ("above", "50.1 ms", True), ("above", "50 ms", False), ("above", "51 ms ± 1 ms", False),
        ("exactly", "50 ms", True), ("exactly", "49 ms", False), ("exactly", "51 ms", False),
    ],
)  # fmt: skip
def test_a_limit_is_kept_by_the_whole_tolerance_band(compare: str, value: str, kept: bool) -> None:
    assert keeps(Limit(compare=compare, value="50 ms"), read_quantity("50 ms", "time"), read_quantity(value, "time")) is kept
