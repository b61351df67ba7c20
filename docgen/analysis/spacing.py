"""Bonding of conductive parts, and spacing between tractive and low-voltage parts: what is asked, what is there."""

from collections.abc import Iterator
from dataclasses import replace

from docgen.analysis.fields import as_stated, bound, reading, system_voltage
from docgen.calculation import Bound, Calculation, Given
from docgen.car.tractive import Grounding, TractiveSystem
from docgen.editions.topics import TOPICS
from docgen.look import Look
from docgen.provenance import Path

SYSTEM: Path = ("tractive_system",)

CLASSES = tuple(sorted(int(name.removeprefix("up_to_")) for name in TOPICS["board-spacing"].limits if name.startswith("up_to_")))
"""Highest voltages in V up to which the spacings on boards hold."""


def grounding_and_spacing(look: Look) -> Iterator[Calculation]:
    """Every resistance to ground and every spacing that the description states."""
    system = look.car.tractive_system
    if isinstance(system, TractiveSystem):
        if isinstance(system.grounding, Grounding):
            yield from _grounding(look, system.grounding)
        kept = bound(look, "spacing-in-housing", "spacing")
        spacing = reading("d", "smallest spacing in a shared housing", system.spacing, (*SYSTEM, "spacing"))
        yield as_stated(
            "spacing-in-housing", "Smallest spacing between the systems in one housing", (*SYSTEM, "spacing"), spacing,
            replace(kept, words="or a moisture-resistant barrier between them") if kept else None,
        )  # fmt: skip
    voltage = system_voltage(look, "highest")
    for name, board in look.car.boards.items():
        if board.spacing is not None:
            place, coated = ("boards", name, "spacing"), board.coated == "coated"
            yield as_stated(
                "board-spacing", f"Spacing between the systems on {name}, {'coated' if coated else 'not coated'}", place,
                reading("d", "smallest spacing on the board", board.spacing, place),
                _asked(look, voltage.band.high, coated) if isinstance(voltage, Given) else None, needs=(voltage,),
            )  # fmt: skip


def _grounding(look: Look, grounding: Grounding) -> Iterator[Calculation]:
    place = (*SYSTEM, "grounding")
    for slug, title, field, name in (
        ("grounding-near", "Largest resistance to ground of conductive parts near the systems", "near_parts", "near"),
        ("grounding-possibly", "Largest resistance to ground of parts that may become conductive", "possibly_conductive", "possibly"),
    ):
        at = (*place, field)
        yield as_stated(slug, title, at, reading("R", "resistance to ground", getattr(grounding, field), at), bound(look, "grounding", name))


def _asked(look: Look, voltage: float, coated: bool) -> Bound | None:
    """The spacing that the edition asks of a board at this highest voltage in V."""
    most = next((most for most in CLASSES if voltage <= most), None)
    return bound(look, "board-spacing", f"{'coated_' if coated else ''}up_to_{most}") if most else None
