"""The description itself."""

from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel

from docgen.car.values import Unknown
from docgen.finding import Outcome, Severity, finding, holds, rule
from docgen.look import Look
from docgen.provenance import Path

SUBJECT = "The description itself"


def unknowns(part: Any, path: Path = ()) -> Iterator[tuple[Path, Unknown]]:
    """Every open point of a description, in its own order."""
    if isinstance(part, Unknown):
        yield path, part
    elif isinstance(part, BaseModel):
        for name, field in type(part).model_fields.items():
            yield from unknowns(getattr(part, name), (*path, field.alias or name))
    elif isinstance(part, dict):
        for key, value in part.items():
            yield from unknowns(value, (*path, key))
    elif isinstance(part, tuple):
        for index, value in enumerate(part):
            yield from unknowns(value, (*path, index))


@rule("open-point", SUBJECT, "", Severity.WARNING)
def open_point(look: Look) -> Iterator[Outcome]:
    """What is not yet known is listed as an open point.

    Why: A gap that is written down gets filled; one that is papered over gets found at the car.
    Wrong:
        devices: {imd: {when_lost: {ground: unknown (asked the supplier)}}}
    Right:
        devices: {imd: {when_lost: {ground: opens}}}
    Mend: Find it out and write the value.
    """
    found = False
    for path, unknown in unknowns(look.car):
        found = True
        yield finding(path, f"{path[-1]} is {unknown}", "must be known before the revision is released")
    if not found:
        yield holds((), "nothing is unknown")


@rule("open-points-in-release", SUBJECT, "", Severity.ERROR)
def open_points_in_release(look: Look) -> Iterator[Outcome]:
    """A released revision has no open points.

    Why: Released means that others build and inspect by it.
    Wrong:
        revisions: [{mark: A, date: 2026-10-02, status: released, because: First issue}]
        devices: {imd: {when_lost: {ground: unknown}}}
    Right:
        revisions: [{mark: A, date: 2026-10-02, status: released, because: First issue}]
    Mend: Close the open points, or go back to draft.
    """
    count = sum(1 for _ in unknowns(look.car))
    place: Path = ("revisions", 0, "status")
    if count and look.car.newest.status == "released":
        yield finding(place, f"the revision is released and has {count} open point{'s' * (count > 1)}", "must have none")
    else:
        yield holds(place if look.car.revisions else ("revisions",), f"the revision is {look.car.newest.status or 'without a status'} and has {count or 'no'} open points")


RULES = (open_point, open_points_in_release)
