"""Power stages and feeding back."""

from collections.abc import Iterator

from docgen.car.device import Device, Stage
from docgen.car.values import Unknown
from docgen.finding import Outcome, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import ELECTRONIC, Look
from docgen.network import contact_path

SUBJECT = "Power stages and feeding back"

DIRECT = (
    "shutdown button", "brake over-travel switch", "TS master switch", "LV master switch", "service disconnect interlock", "interlock", "inertia switch",
)  # fmt: skip
"""Functions that act by a contact of their own."""


@rule("stage-on-direct-contact", SUBJECT, "direct-contacts")
def stage_on_direct_contact(look: Look) -> Iterator[Outcome]:
    """Buttons, masters, over-travel switch, inertia switch and interlocks act by a contact of their own, without a stage.

    Why: A stage between the hand and the loop can stick, and then the emergency button does nothing.
    Wrong:
        devices: {button_left: {stage: {own: K9, logic: hard-wired}}}
    Right:
        devices: {button_left: {label: Left button}}
    Mend: Wire the switch's own volt-free contact into the loop and take the stage out.
    """
    for path, name, device in look.devices(*DIRECT):
        printed = look.printed(name)
        kinds = [(contact_path(device, name, key), contact) for key, contact in device.every_contact().items() if _in_loop(look, name, key)]
        electronic = next(((place, contact) for place, contact in kinds if contact.kind in ("high-side stage", "low-side stage")), None)
        if isinstance(device.stage, Stage):
            yield finding((*path, "stage"), f"{printed} acts through the stage {device.stage.own or 'described'}", "must act by its own contact")
        elif electronic:
            yield finding((*electronic[0], "kind"), f"the contact of {printed} is a {electronic[1].kind}", "must be volt-free")
        elif isinstance(device.stage, Unknown) or any(isinstance(contact.kind, Unknown) for _, contact in kinds):
            yield not_evaluated(path, f"whether {name} acts through a stage is unknown")
        elif all(contact.kind == "volt-free" for _, contact in kinds) and kinds:
            yield stated(path, f"{printed} acts by its own volt-free contact")
        else:
            yield not_evaluated(path, f"whether the contact of {name} is volt-free is not said")


def _in_loop(look: Look, name: str, contact: str) -> bool:
    return any(element.contact == contact for _, element in look.places_in_loops.get(name, ()))


def _systems(look: Look) -> Iterator[tuple[str, Device]]:
    """The systems that open a loop by electronics."""
    for _, name, device in look.devices(*sorted(ELECTRONIC), "remote emergency relay", "steering system device"):
        yield name, device


@rule("stage-missing", SUBJECT, "own-power-stage")
def stage_missing(look: Look) -> Iterator[Outcome]:
    """Every electronic protective system opens the loop by a stage of its own.

    Why: The stage is the last part that must still work when the rest of the system has failed.
    Wrong:
        devices: {imd: {stage: null}}
    Right:
        devices: {imd: {stage: {own: K1}}}
    Mend: Describe the relay or transistor under stage, with own and logic.
    """
    for name, device in _systems(look):
        path = ("devices", name)
        if device.stage is None or isinstance(device.stage, Stage) and device.stage.own is None and not device.stage.shared_with:
            yield finding(path, f"{look.printed(name)} describes no stage of its own", "must have one")
        elif isinstance(device.stage, Unknown) or isinstance(device.stage.own, Unknown):
            yield not_evaluated((*path, "stage"), f"the stage of {name} is unknown")
        else:
            yield stated((*path, "stage"), f"{look.printed(name)} has the stage {device.stage.own}")


@rule("stage-shared", SUBJECT, "own-power-stage")
def stage_shared(look: Look) -> Iterator[Outcome]:
    """No two protective systems act through one stage, relay or contact.

    Why: Two systems merged into one output fail together: one stuck relay silences both.
    Wrong:
        devices: {ams: {stage: {own: K1}, contact: {part: K1}}}
    Right:
        devices: {ams: {stage: {own: K2}}}
    Mend: Give each system its own relay with its own contact in the loop.
    """
    owners: dict[str, str] = {}
    for name, device in _systems(look):
        path = ("devices", name)
        stage = device.stage
        if not isinstance(stage, Stage):
            yield not_evaluated(path, f"the stage of {name} is not described")
            continue
        shared = stage.shared_with if isinstance(stage.shared_with, tuple) else ()
        first = owners.setdefault(stage.own.casefold(), name) if isinstance(stage.own, str) else name
        if shared:
            yield finding((*path, "stage"), f"{look.printed(name)} shares its stage with {', '.join(shared)}", "must have a stage of its own")
        elif first != name:
            yield finding((*path, "stage"), f"{look.printed(name)} and {look.printed(first)} act through one stage, {stage.own}", "must each have one of its own")
        else:
            yield holds((*path, "stage"), f"no other system acts through {stage.own or 'it'}")


@rule("stage-programmable", SUBJECT, "own-power-stage")
def stage_programmable(look: Look) -> Iterator[Outcome]:
    """No program decides over the stage of a protective system.

    Why: A program that has stopped still holds its output.
    Wrong:
        devices: {imd: {stage: {logic: programmable}}}
    Right:
        devices: {imd: {stage: {logic: hard-wired}}}
    Mend: Drive the stage by hard-wired logic from the system's fault output.
    """
    judged = False
    for name, device in _systems(look):
        if not isinstance(device.stage, Stage):
            continue
        judged = True
        place = ("devices", name, "stage")
        if device.stage.logic == "programmable":
            yield finding((*place, "logic"), f"a program decides over the stage of {look.printed(name)}", "must be hard-wired")
        elif device.stage.logic == "hard-wired":
            yield stated((*place, "logic"), f"hard-wired logic decides over the stage of {look.printed(name)}")
        else:
            yield not_evaluated(place, f"what decides over the stage of {name} is not said")
    if not judged:
        yield not_applicable("no stage is described")


RULES = (stage_on_direct_contact, stage_missing, stage_shared, stage_programmable)
