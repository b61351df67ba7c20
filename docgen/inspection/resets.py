"""What brings a tripped device back, and what must not."""

from collections.abc import Iterator

from docgen.inspection.facts import Facts
from docgen.inspection.test import Caution, Sight, Test
from docgen.provenance import spelled


def reset_tests(facts: Facts, name: str, trip: str, cautions: tuple[Caution, ...] = (Caution.HIGH_VOLTAGE,)) -> Iterator[Test]:
    """Who resets from where; and, where the driver must not, attempts from the driver's seat."""
    path = ("devices", name, "reset")
    yield facts.test(
        f"{name}/reset",
        "Reset by the act described",
        (trip, "Take the cause away and reset as described."),
        (
            facts.sight((*path, "act"), "what resets it: {}"),
            facts.sight((*path, "where"), "from where: {}"),
            facts.sight((*path, "who"), "by whom: {}"),
            Sight("the loop closes; nothing becomes active by itself", spelled(path)),
        ),
        ((*path, "act"), (*path, "where"), (*path, "who"), ("devices", name, "latch")),
        cautions=cautions,
    )
    if facts.at((*path, "who")) in ("anyone but the driver", "nobody"):
        yield facts.test(
            f"{name}/reset-from-seat",
            "Reset attempts from the driver's seat",
            (trip, "Take the cause away.", "Belted in, work every switch and button within reach, one by one and together, for 30 s."),
            (facts.sight((*path, "who"), "the loop stays open, because reset is for: {}"),),
            ((*path, "who"), (*path, "where"), (*path, "act")),
            cautions=cautions,
        )
