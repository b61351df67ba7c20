"""The description itself: open points, names, files, revisions."""

import re
import unicodedata
from collections.abc import Iterator
from pathlib import PurePosixPath
from typing import Any

from pydantic import BaseModel

from docgen.car.car import Car, Revision
from docgen.car.tractive import TractiveSystem
from docgen.car.values import Unknown
from docgen.car.wiring import LowVoltage, Wiring
from docgen.finding import Outcome, Severity, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.load import Description
from docgen.look import Look
from docgen.provenance import Path
from docgen.reading import leaves
from docgen.rules.fields import unsaid

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


def _registries(look: Look) -> dict[str, set[str]]:
    """What can be referred to by name, by kind."""
    car = look.car
    low_voltage = car.low_voltage if isinstance(car.low_voltage, LowVoltage) else LowVoltage()
    system = car.tractive_system if isinstance(car.tractive_system, TractiveSystem) else TractiveSystem()
    wiring = car.wiring if isinstance(car.wiring, Wiring) else Wiring()
    return {
        "devices": set(car.devices), "boards": set(car.boards), "housings": set(car.housings), "connectors": set(car.connectors), "loops": set(car.loops),
        "evidence": set(car.evidence), "low_voltage.feeds": set(low_voltage.feeds), "low_voltage.fuses": set(low_voltage.fuses),
        "tractive_system.accumulators": set(system.accumulators), "tractive_system.inverters": set(system.inverters),
        "tractive_system.indicators": set(system.indicators), "wiring.conduits": set(wiring.conduits),
    }  # fmt: skip


_REFERENCES: dict[tuple[str, ...], tuple[str, ...]] = {
    tuple(field.split(".")): groups
    for field, groups in {
        "devices.*.feed": ("low_voltage.feeds",),
        "devices.*.board": ("boards",),
        "devices.*.housing": ("housings",),
        "devices.*.through.*": ("connectors",),
        "devices.*.stage.shared_with.*": ("devices",),
        "devices.*.stage.fed_from": ("low_voltage.feeds", "devices", "loops"),
        "devices.*.contact.used_by.*": ("devices", "boards", "tractive_system.indicators"),
        "devices.*.contacts.*.used_by.*": ("devices", "boards", "tractive_system.indicators"),
        "boards.*.housing": ("housings",),
        "low_voltage.feeds.*.from": ("devices", "low_voltage.feeds", "tractive_system.accumulators", "boards"),
        "low_voltage.feeds.*.through": ("low_voltage.fuses",),
        "low_voltage.feeds.*.converted_by": ("boards", "devices"),
        "loops.*.source": ("low_voltage.feeds",),
        "tractive_system.accumulators.*.precharge.relay": ("devices",),
        "tractive_system.accumulators.*.precharge.first": ("devices",),
        "tractive_system.accumulators.*.insulation_monitor": ("devices",),
        "tractive_system.accumulators.*.battery_management": ("devices",),
        "demand.torque_commanded_by": ("devices", "boards", "tractive_system.inverters"),
        "demand.deviation_check.runs_in": ("devices", "boards", "tractive_system.inverters"),
        "demand.pedal_vs_brake_check.runs_in": ("devices", "boards", "tractive_system.inverters"),
        "demand.pedal_sensors.*.feed": ("low_voltage.feeds",),
        "demand.brake_sensors.*.feed": ("low_voltage.feeds",),
        "wiring.conductors.*.protected_by": ("low_voltage.fuses", "tractive_system.accumulators"),
        "wiring.conductors.*.conduit": ("wiring.conduits",),
    }.items()
}
"""Steps to a field, * for a name or a number -> the groups of which it must name a member."""

_EVIDENCE = ("datasheet", "linked_to_main", "direct_opening")
_ALWAYS = {"low_voltage", "source", "active_light", "off_lamp"}
"""Words that may stand where a name is expected: the source, and lights that have no name."""


def _referred(path: Path) -> tuple[str, ...]:
    """The groups of which the field at `path` must name a member; empty for any other field."""
    if path[-1] in _EVIDENCE and path[0] != "evidence":
        return ("evidence",)
    same_end = (pattern for pattern in _REFERENCES if len(pattern) == len(path) and pattern[-1] in ("*", path[-1]))
    found = next((pattern for pattern in same_end if all(want in ("*", step) for want, step in zip(pattern, path, strict=True))), None)
    return _REFERENCES[found] if found else ()


@rule("name-not-described", SUBJECT, "")
def name_not_described(look: Look) -> Iterator[Outcome]:
    """What a field refers to by name is described: feeds, fuses, boards, housings, connectors, conduits, devices, evidence.

    Why: A name without a description is a part that nobody has chosen, or a slip that splits one part into two.
    Wrong:
        devices: {imd: {board: monitor_bord}}
    Right:
        devices: {imd: {board: monitor_board}}
        boards: {monitor_board: {made_by: team}}
    Mend: Describe it in its group, or put right the name.
    """
    described = _registries(look)
    count = 0
    for path, text in leaves(look.description.tree.data):
        groups = _referred(path)
        if not groups or not text or _is_unknown(text):
            continue
        name = text.strip().partition(".")[0] if "connectors" in groups else text.strip()
        if name in _ALWAYS or any(name in described[group] for group in groups):
            count += 1
        elif not any(isinstance(getattr(look.car, group.partition(".")[0]), Unknown) for group in groups):
            yield finding(path, f"{name} is not described", f"must be described under {' or '.join(groups)}")
    yield from _sibling_contacts(look)
    yield holds((), f"{count} fields name a part that is described") if count else not_applicable("no field names a part that is described")


def _is_unknown(text: str) -> bool:
    return re.fullmatch(r"unknown\s*(?:\(.*\))?\s*", text.strip(), re.DOTALL) is not None


def _sibling_contacts(look: Look) -> Iterator[Outcome]:
    """Contacts whose healthy state is said to be that of another contact which the device does not have."""
    for path, text in leaves(look.description.tree.data):
        if path[0] == "devices" and "when_healthy" in path and text and text.startswith("same as "):
            device = look.car.devices.get(str(path[1]))
            name = text.removeprefix("same as ").strip()
            if device and name not in device.every_contact():
                yield finding(path, f"{path[1]} has no contact {name}", f"must be one of: {', '.join(device.every_contact())}")


_TOKEN = re.compile(r"[^\W\d_][\w-]*")
_REMARKS = frozenset({"note", "notes", "because"})


@rule("part-unused", SUBJECT, "", Severity.WARNING)
def part_unused(look: Look) -> Iterator[Outcome]:
    """Every feed, fuse, board, housing and connector that is described is used by something.

    Why: A part that nothing uses was forgotten in a change, or the field that should name it names another.
    Wrong:
        boards: {spare_board: {made_by: team}}
    Right:
        boards: {spare_board: {made_by: team}}
        devices: {imd: {board: spare_board}}
    Mend: Name it where it is used, or take it out.
    """
    groups = ("low_voltage.feeds", "low_voltage.fuses", "boards", "housings", "connectors")
    described = _registries(look)
    owners = {name for group in groups for name in described[group]}
    used_in: dict[str, set[Path]] = {}
    for path, text in leaves(look.description.tree.data):
        if text and not _REMARKS & {path[0], path[-1]}:
            own = path[: 3 if path[0] == "low_voltage" else 2]
            for token in _TOKEN.findall(text):
                if token in owners and len(places := used_in.setdefault(token, set())) < 3:
                    places.add(own)
    for group in groups:
        for name in sorted(described[group]):
            place: Path = (*group.split("."), name)
            if used_in.get(name, set()) - {place}:
                yield holds(place, f"{name} is used")
            else:
                yield finding(place, f"{name} is described and nothing uses it", "must be named where it is used, or taken out")
    if not owners:
        yield not_applicable("no feed, fuse, board, housing or connector is described")


@rule("names-nearly-same", SUBJECT, "", Severity.WARNING)
def names_nearly_same(look: Look) -> Iterator[Outcome]:
    """One place, and one part, is written in one way: not front box here and frontbox there.

    Why: Two spellings look like two places, and whoever builds the harness cannot ask the table.
    Wrong:
        devices: {imd: {place: {where: front box}}, ams: {place: {where: frontbox}}}
    Right:
        devices: {imd: {place: {where: front box}}, ams: {place: {where: front box}}}
    Mend: Choose one spelling and write it everywhere.
    """
    first: dict[tuple[str, str], str] = {}
    reported: set[tuple[str, str]] = set()
    for kind, path, name in _spelled_names(look):
        key = (kind, re.sub(r"[\W_]+", "", re.sub(r"^the\s+", "", name.casefold())))
        known = first.setdefault(key, name)
        if known != name and (kind, name) not in reported:
            reported.add((kind, name))
            yield finding(path, f"“{name}” and “{known}” differ in spelling only", "must be written in one way, if one thing is meant")
    if not reported:
        yield holds((), "no two names of places or parts differ in spelling only")


def _spelled_names(look: Look) -> Iterator[tuple[str, Path, str]]:
    """Every name with its kind, in the order of the file: places as they are written, parts by their group."""
    for path, text in leaves(look.description.tree.data):
        if text and path[-2:-1] == ("place",) and path[-1] in ("where", "by") and not _is_unknown(text):
            yield "place", path, " ".join(text.split())
    for group, names in _registries(look).items():
        for path in sorted(((*group.split("."), name) for name in names), key=lambda path: (look.description.location(path), path)):
            yield group, path, path[-1]


@rule("file-not-in-folder", SUBJECT, "")
def file_not_in_folder(look: Look) -> Iterator[Outcome]:
    """Every picture and every file of evidence that is named lies in the folder of the description.

    Why: What lies elsewhere does not come along when the folder is handed over.
    Wrong:
        evidence: {ds_imd: {title: "Insulation monitor, data sheet", file: ../downloads/imd.pdf}}
    Right:
        evidence: {ds_imd: {title: "Insulation monitor, data sheet", page: "12"}}
    Mend: Copy the file into the folder and name it from there, with / between folders: evidence/imd.pdf.
    """
    named = list(_named_files(look.car))
    for path, text in named:
        if _leads_outside(text):
            yield finding(path, f"{text} is no file in the folder of the description", "must be named from that folder on, such as evidence/imd.pdf")
        elif not look.description.files:
            yield not_evaluated(path, f"whether {text} is there is not known: the folder was not looked through")
        elif _plain(text) not in look.description.files:
            yield finding(path, f"there is no {text} in the folder of the description", "must lie there, spelled alike")
        else:
            yield holds(path, f"{text} is there")
    if not named:
        yield not_applicable("no picture and no file is named")


def files_named(description: Description) -> dict[str, bool]:
    """Every file that is named in the folder of the description, and whether it is there."""
    plain = (_plain(text) for _, text in _named_files(description.car) if not _leads_outside(text))
    return {name: name in description.files for name in plain}


def _named_files(car: Car) -> Iterator[tuple[Path, str]]:
    for name, device in car.devices.items():
        for index, picture in enumerate(device.pictures if isinstance(device.pictures, tuple) else ()):
            yield ("devices", name, "pictures", index), picture
    for name, evidence in car.evidence.items():
        if isinstance(evidence.file, str):
            yield ("evidence", name, "file"), evidence.file


def _leads_outside(text: str) -> bool:
    """Whether a file name leaves the folder or is no path in it: ``../imd.pdf``, ``C:/imd.pdf``, ``https://…``."""
    return ".." in PurePosixPath(text.replace("\\", "/")).parts or bool(re.match(r"[/\\~]|\w+:", text))


def _plain(text: str) -> str:
    return unicodedata.normalize("NFC", PurePosixPath(text).as_posix())


def _revisions(look: Look) -> Iterator[tuple[Path, Revision]]:
    for index, revision in enumerate(look.car.revisions):
        yield ("revisions", index), revision


NO_REVISION = "no revision is described"


@rule("revision-mark-reused", SUBJECT, "")
def revision_mark_reused(look: Look) -> Iterator[Outcome]:
    """Every revision has a mark, and no mark is used twice.

    Why: Two papers with the same mark and different content meet at the car.
    Wrong:
        revisions: [{mark: A, date: 2026-10-20, because: Fuse changed}, {mark: A, date: 2026-10-02, because: First issue}]
    Right:
        revisions: [{mark: B, date: 2026-10-20, because: Fuse changed}, {mark: A, date: 2026-10-02, because: First issue}]
    Mend: Give the newer revision the next mark.
    """
    last: dict[str, int] = {}
    for index, revision in enumerate(look.car.revisions):
        if isinstance(revision.mark, str):
            last[revision.mark.casefold()] = index
    for path, revision in _revisions(look):
        place = (*path, "mark")
        if not isinstance(revision.mark, str):
            yield unsaid(revision.mark, place, "the mark of the revision", "must be given")
        elif last[revision.mark.casefold()] != path[1]:
            yield finding(place, f"the mark {revision.mark} was used before", "must be a new one")
        else:
            yield holds(place, f"the mark {revision.mark} was not used before")
    if not look.car.revisions:
        yield not_applicable(NO_REVISION)


@rule("revision-date-falls", SUBJECT, "")
def revision_date_falls(look: Look) -> Iterator[Outcome]:
    """Revisions stand newest first, and none is dated before the one that it follows.

    Why: Whoever holds two issues takes the later date for the valid one.
    Wrong:
        revisions: [{mark: B, date: 2026-09-20, because: Fuse changed}, {mark: A, date: 2026-10-02, because: First issue}]
    Right:
        revisions: [{mark: B, date: 2026-10-20, because: Fuse changed}, {mark: A, date: 2026-10-02, because: First issue}]
    Mend: Put right the date, or the order: the newest revision stands first.
    """
    before = None
    judged: list[Outcome] = []
    for path, revision in reversed(list(_revisions(look))):
        place = (*path, "date")
        if isinstance(revision.date, Unknown) or revision.date is None:
            judged.append(unsaid(revision.date, place, "the date of the revision", "must be given"))
        elif before and revision.date < before:
            judged.append(finding(place, f"the revision is dated {revision.date}, and the one before it {before}", "must not be dated earlier; the newest stands first"))
        else:
            judged.append(holds(place, f"the revision of {revision.date} follows no later one"))
            before = revision.date
    yield from reversed(judged)
    if not judged:
        yield not_applicable(NO_REVISION)


@rule("revision-reason-missing", SUBJECT, "", Severity.WARNING)
def revision_reason_missing(look: Look) -> Iterator[Outcome]:
    """Every revision gives its reason.

    Why: The reviewer reads the change, not the whole document again.
    Wrong:
        revisions: [{mark: A, date: 2026-10-02, status: draft}]
    Right:
        revisions: [{mark: A, date: 2026-10-02, status: draft, because: First issue}]
    Mend: Write under because what changed and why.
    """
    for path, revision in _revisions(look):
        if isinstance(revision.because, str):
            yield stated((*path, "because"), f"the reason is given: {revision.because}")
        else:
            yield unsaid(revision.because, (*path, "because"), f"the reason of the revision {revision.mark or ''}".rstrip(), "must be said under because")
    if not look.car.revisions:
        yield not_applicable(NO_REVISION)


@rule("revision-unsigned", SUBJECT, "", Severity.WARNING)
def revision_unsigned(look: Look) -> Iterator[Outcome]:
    """Every revision says which role prepared it, and one that has left the draft which role checked it.

    Why: A second pair of eyes is the cheapest protection of all.
    Wrong:
        revisions: [{mark: A, date: 2026-10-02, status: released, because: First issue, prepared_by: electrical lead}]
    Right:
        revisions: [{mark: A, date: 2026-10-02, status: draft, because: First issue, prepared_by: electrical lead}]
    Mend: Write prepared_by and checked_by, as roles and not as names of persons.
    """
    for path, revision in _revisions(look):
        asked = ("prepared_by",) if revision.status == "draft" else ("prepared_by", "checked_by")
        said = f"the revision {revision.mark}" if isinstance(revision.mark, str) else "the revision"
        missing = [key for key in asked if getattr(revision, key) is None]
        unknown = [key for key in asked if isinstance(getattr(revision, key), Unknown)]
        if missing:
            yield finding((*path, missing[0]), f"{said} does not say by which role it was {' and '.join(key.removesuffix('_by') for key in missing)}", "must say so")
        for key in unknown:
            yield not_evaluated((*path, key), f"by which role {said} was {key.removesuffix('_by')} is unknown")
        if not missing and not unknown:
            yield stated(path, f"{said} says by which role it was {' and '.join(key.removesuffix('_by') for key in asked)}")
    if not look.car.revisions:
        yield not_applicable(NO_REVISION)


RULES = (
    open_point,
    open_points_in_release,
    name_not_described,
    part_unused,
    names_nearly_same,
    file_not_in_folder,
    revision_mark_reused,
    revision_date_falls,
    revision_reason_missing,
    revision_unsigned,
)
