"""Power stages and feeding back."""

import re
from collections.abc import Iterator

from docgen.car.contact import PHASES, Contact
from docgen.car.device import Device, Latch, Stage
from docgen.car.values import Unknown
from docgen.finding import Outcome, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import CHARGING, DRIVE, ELECTRONIC, Look
from docgen.network import contact_path, healthy, modes
from docgen.provenance import Path
from docgen.rules.fields import absent
from docgen.rules.members import coils_of, in_series_with_all

SUBJECT = "Power stages and feeding back"

DIRECT = (
    "shutdown button", "brake over-travel switch", "TS master switch", "LV master switch", "service disconnect interlock", "interlock",
)  # fmt: skip
"""Functions that act by a contact of their own."""

SOLID_STATE = ("high-side stage", "low-side stage")


@rule("stage-on-direct-contact", SUBJECT, "direct-contacts")
def stage_on_direct_contact(look: Look) -> Iterator[Outcome]:
    """Buttons, masters, over-travel switch and interlocks act by a contact of their own, without a stage.

    Why: A stage between the hand and the loop can stick, and then the emergency button does nothing.
    Wrong:
        devices: {button_left: {stage: {own: K9, logic: hard-wired}}}
    Right:
        devices: {button_left: {label: Left button}}
    Mend: Wire the switch's own volt-free contact into the loop and take the stage out.
    """
    stages = _stages(look)
    for path, name, device in look.devices(*DIRECT):
        printed = look.printed(name)
        contacts = [(contact_path(device, name, key), contact) for key, contact in device.every_contact().items() if _in_loop(look, name, key)]
        between = next((found for place, contact in contacts if (found := _between(look, place, contact, stages))), None)
        if isinstance(device.stage, Stage):
            yield finding((*path, "stage"), f"{printed} acts through the stage {device.stage.own or 'described'}", "must act by its own contact")
        elif device.worked_by == "coil":
            yield finding((*path, "worked_by"), f"the contact of {printed} is worked by a coil", "must be worked by the switch itself")
        elif between:
            yield finding(between[0], f"the contact of {printed} is {between[1]}", "must be a volt-free contact of its own")
        elif isinstance(device.stage, Unknown) or any(isinstance(contact.kind, Unknown) for _, contact in contacts):
            yield not_evaluated(path, f"whether {name} acts through a stage is unknown")
        elif all(contact.kind == "volt-free" for _, contact in contacts) and contacts:
            yield stated(path, f"{printed} acts by its own volt-free contact")
        else:
            yield not_evaluated(path, f"whether the contact of {name} is volt-free is not said")
    yield from absent(look, *DIRECT)


def _between(look: Look, place: Path, contact: Contact, stages: dict[str, str]) -> tuple[Path, str] | None:
    """What stands between a switch and its contact in the loop: the field that says so, and in words."""
    if contact.kind in SOLID_STATE:
        return (*place, "kind"), f"a {contact.kind}"
    if contact.construction == "solid state":
        return (*place, "construction"), "solid state"
    parts = _parts(contact.part)
    relays = [part for part in parts if part in stages or (part in look.car.devices and look.car.devices[part].worked_by in ("coil", "power"))]
    return ((*place, "part"), f"that of {contact.part}") if relays else None


_DESIGNATOR = re.compile(r"(?<!\w)(?<!\w-)[A-Za-z]{1,2}[0-9]{1,2}(?![\w-])")


def _parts(text: object) -> tuple[str, ...]:
    """The parts that a text names by designator, such as K1 or U7; the whole text where it names none."""
    if not isinstance(text, str):
        return ()
    return tuple(dict.fromkeys(found.casefold() for found in _DESIGNATOR.findall(text))) or (text.casefold(),)


def _stages(look: Look) -> dict[str, str]:
    """Part -> the device that first calls it its own stage."""
    owners: dict[str, str] = {}
    for name, device in _with_stage(look):
        for part in _parts(device.stage.own) if isinstance(device.stage, Stage) else ():
            owners.setdefault(part, name)
    return owners


def _in_loop(look: Look, name: str, contact: str) -> bool:
    return any(element.contact == contact for _, element in look.places_in_loops.get(name, ()))


def _systems(look: Look) -> Iterator[tuple[str, Device]]:
    """The systems that open a loop by electronics."""
    for _, name, device in look.devices(*sorted(ELECTRONIC), "remote emergency relay"):
        yield name, device


def _with_stage(look: Look) -> Iterator[tuple[str, Device]]:
    """The systems that open a loop by electronics, and every other device that describes a stage it may have."""
    systems = dict(_systems(look))
    for name, device in look.car.devices.items():
        if name in systems or (isinstance(device.stage, Stage) and device.function not in DIRECT):
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
    systems = list(_systems(look))
    for name, device in systems:
        path = ("devices", name)
        if device.stage is None or (isinstance(device.stage, Stage) and device.stage.own is None and not device.stage.shared_with):
            yield finding(path, f"{look.printed(name)} describes no stage of its own", "must have one")
        elif isinstance(device.stage, Unknown) or isinstance(device.stage.own, Unknown):
            yield not_evaluated((*path, "stage"), f"the stage of {name} is unknown")
        else:
            yield stated((*path, "stage"), f"{look.printed(name)} has the stage {device.stage.own}")
    if not systems:
        yield not_applicable("no electronic protective system is described")


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
    owners = _stages(look)
    devices = list(_with_stage(look))
    for name, device in devices:
        path = ("devices", name)
        stage = device.stage
        if not isinstance(stage, Stage):
            yield not_evaluated(path, f"the stage of {name} is not described")
            continue
        shared = stage.shared_with if isinstance(stage.shared_with, tuple) else ()
        first = next((owners[part] for part in _parts(stage.own) if owners[part] != name), name)
        if shared:
            yield finding((*path, "stage"), f"{look.printed(name)} shares its stage with {', '.join(shared)}", "must have a stage of its own")
        elif first != name:
            yield finding((*path, "stage"), f"{look.printed(name)} and {look.printed(first)} act through one stage, {stage.own}", "must each have one of its own")
        else:
            yield holds((*path, "stage"), f"no other system acts through {stage.own or 'it'}")
    if not devices:
        yield not_applicable("no stage is described")


@rule("relay-shared", SUBJECT, "own-power-stage")
def relay_shared(look: Look) -> Iterator[Outcome]:
    """The contact by which a system opens the loop does not belong to the relay of another system.

    Why: Two contacts of one relay open and stick together, so the second system adds nothing.
    Wrong:
        devices: {ams: {contact: {part: K1}}}
    Right:
        devices: {ams: {contact: {part: K2}}}
    Mend: Give each system a relay of its own, and name it under stage and under the part of its contact.
    """
    stages = _stages(look)
    holders = dict(stages)
    judged = False
    for name, device in _with_stage(look):
        own = _parts(device.stage.own) if isinstance(device.stage, Stage) else ()
        for key, contact in device.every_contact().items():
            if not isinstance(contact.part, str) or not _in_loop(look, name, key):
                continue
            judged = True
            place = (*contact_path(device, name, key), "part")
            named = [part for part in _parts(contact.part) if _DESIGNATOR.fullmatch(part) or part in look.car.devices or part in stages]
            other = next((holder for part in named if (holder := holders.setdefault(part, name)) != name), None)
            if other is None:
                yield holds(place, f"{contact.part} works no contact of another system in a loop")
            elif any(stages.get(part) == other for part in own):
                yield not_applicable(f"{name} and {other} act through one stage", place)
            else:
                yield finding(place, f"the contacts of {look.printed(name)} and of {look.printed(other)} are both worked by {contact.part}", "must each belong to a relay of its own")
    if not judged:
        yield not_applicable("no contact of a system in a loop names the part that holds it")


@rule("latch-shared", SUBJECT, "own-power-stage")
def latch_shared(look: Look) -> Iterator[Outcome]:
    """No two systems are latched by one part, nor one system by the relay of another.

    Why: Outputs that are merged in one latch fail in one part: if that part sticks, both systems are silenced.
    Wrong:
        devices: {ams: {latch: {by: self-hold of K1}}}
    Right:
        devices: {ams: {latch: {by: self-hold of K2}}}
    Mend: Give each system a latch of its own, such as the self-hold of its own relay.
    """
    stages = _stages(look)
    holders: dict[str, str] = {}
    judged = False
    for name, device in _with_stage(look):
        if not isinstance(device.latch, Latch) or not isinstance(device.latch.by, str):
            continue
        judged = True
        place = ("devices", name, "latch", "by")
        parts = _latch_parts(look, device.latch.by)
        worked = [device.stage.own if isinstance(device.stage, Stage) else None, *(contact.part for contact in device.every_contact().values())]
        own = {part for text in worked for part in _parts(text)}
        other = next((holder for part in parts if (holder := stages.get(part) or holders.setdefault(part, name)) != name), None)
        if own.intersection(parts):
            yield holds(place, f"{look.printed(name)} is latched by its own {device.latch.by}")
        elif other:
            yield finding(place, f"{look.printed(name)} is latched by {device.latch.by}, as {look.printed(other)} is", "must have a latch of its own")
        else:
            yield stated(place, f"{look.printed(name)} is latched by {device.latch.by}")
    if not judged:
        yield not_applicable("no system says what latches it")


def _latch_parts(look: Look, text: str) -> list[str]:
    """The parts that the words on a latch name: by designator, or latch relays that are described as devices."""
    relays = [name for name in re.findall(r"[\w-]+", text) if name in look.car.devices and look.car.devices[name].function == "latch relay"]
    return [*(found.casefold() for found in _DESIGNATOR.findall(text)), *relays]


@rule("stage-programmable", SUBJECT, "own-power-stage")
def stage_programmable(look: Look) -> Iterator[Outcome]:
    """No program decides over the stage of a system that opens a loop, also where it stands in a parallel way.

    Why: A program that has stopped still holds its output. A stage that waits for a phase, such as pre-charge or activation, is
        no protection and may be programmed.
    Wrong:
        devices: {imd: {stage: {logic: programmable}}}
    Right:
        devices: {imd: {stage: {logic: hard-wired}}}
    Mend: Drive the stage by hard-wired logic from the system's fault output.
    """
    judged = False
    systems, elsewhere = dict(_systems(look)), _controllers_that_open(look)
    for name, device in _with_stage(look):
        if not isinstance(device.stage, Stage) or name in elsewhere or not (name in systems or _held_closed(look, name, device)):
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


def _held_closed(look: Look, name: str, device: Device) -> bool:
    """Whether a contact of a device in a loop stays closed in every phase of some mode, so that opening it means something."""
    placed = [contact for key, contact in device.every_contact().items() if _in_loop(look, name, key)]
    return any(all(healthy(device, contact, phase, mode) == "closed" for phase in PHASES) for contact in placed for mode in modes(look.car))


@rule("stage-can-feed-loop", SUBJECT, "no-back-feed")
def stage_can_feed_loop(look: Look) -> Iterator[Outcome]:
    """A stage in a loop switches only what the loop itself brings it; it is not fed from elsewhere.

    Why: A high-side stage with a feed of its own keeps the coils supplied while everything before it is open.
    Wrong:
        devices: {imd: {contact: {kind: high-side stage, construction: solid state}, stage: {fed_from: monitor_feed}}}
    Right:
        devices: {imd: {contact: {kind: high-side stage, construction: solid state}, stage: {fed_from: drive}}}
    Mend: Put a volt-free contact into the loop, or let the stage switch the current of the loop and name the loop under fed_from.
    """
    judged = False
    systems = dict(_systems(look))
    for name, places in look.places_in_loops.items():
        device = look.car.devices.get(name)
        contacts = device.every_contact() if device else {}
        for key in dict.fromkeys(element.contact for _, element in places):
            contact = contacts.get(key)
            if device is None or contact is None or device.function in DIRECT:
                continue
            judged = True
            path = contact_path(device, name, key)
            fed_from = device.stage.fed_from if isinstance(device.stage, Stage) else device.stage
            if contact.kind == "volt-free":
                yield stated((*path, "kind"), f"the contact of {look.printed(name)} is volt-free and cannot feed the loop")
            elif contact.kind == "low-side stage":
                yield stated((*path, "kind"), f"the stage of {look.printed(name)} switches to ground and cannot feed the loop")
            elif contact.kind != "high-side stage":
                yield not_evaluated(path, f"whether the contact of {name} is volt-free or a stage is not known")
            elif isinstance(fed_from, Unknown) or (device.stage is None and name in systems):
                yield not_evaluated(path, f"what feeds the high-side stage of {name} is unknown")
            elif fed_from is None:
                yield finding((*path, "kind"), f"that the loop itself feeds the high-side stage of {look.printed(name)} is not said", "must be said under stage, fed_from, by the name of the loop")
            elif fed_from in {graph.loop for graph, element in places if element.contact == key}:
                yield stated(("devices", name, "stage", "fed_from"), f"the stage of {look.printed(name)} is fed by the loop itself")
            else:
                yield finding(("devices", name, "stage", "fed_from"), f"the high-side stage of {look.printed(name)} is fed from {fed_from}, past everything before it", "must be fed by the loop alone")
    if not judged:
        yield not_applicable("no contact of a system stands in a loop")


@rule("controller-without-stage", SUBJECT, "own-power-stage")
def controller_without_stage(look: Look) -> Iterator[Outcome]:
    """A controller that can open a loop does so through a stage of its own over which no program decides.

    Why: The software of the day may do anything with its outputs; what stands in the loop has to be as dull as a relay.
    Wrong:
        devices:
          vehicle_unit:
            function: controller
            worked_by: power
            contact: {at_rest: open, when_healthy: closed, kind: volt-free}
        loops:
          drive:
            path:
              - fuse F1
              - lv_master
              - bspd
              - ams
              - imd
              - vehicle_unit
              - inertia_switch
              - button_left
              - button_right
              - button_cockpit
              - over_travel_switch
              - service_link
              - any_of: [[start_button], [hold_relay.hold]]
              - ts_master
              - pack_link
              - each_to_return: [[coil air_minus], [precharge_unit.running, coil precharge_relay], [precharge_unit.done, coil air_plus], [coil hold_relay]]
    Right:
        devices:
          vehicle_unit:
            function: controller
            worked_by: power
            contact: {at_rest: open, when_healthy: closed, kind: volt-free, part: K7}
            stage: {own: K7, logic: hard-wired}
        loops:
          drive:
            path:
              - fuse F1
              - lv_master
              - bspd
              - ams
              - imd
              - vehicle_unit
              - inertia_switch
              - button_left
              - button_right
              - button_cockpit
              - over_travel_switch
              - service_link
              - any_of: [[start_button], [hold_relay.hold]]
              - ts_master
              - pack_link
              - each_to_return: [[coil air_minus], [precharge_unit.running, coil precharge_relay], [precharge_unit.done, coil air_plus], [coil hold_relay]]
    Mend: Let the controller act through a relay of its own that is held by hard-wired parts, or take its contact out of the loop.
    """
    able = _controllers_that_open(look)
    for name in able:
        path: Path = ("devices", name)
        stage = look.car.devices[name].stage
        if stage is None or (isinstance(stage, Stage) and stage.own is None):
            yield finding((*path, "stage"), f"{look.printed(name)} can open the loop and describes no stage of its own", "must have one over which no program decides")
        elif isinstance(stage, Unknown) or isinstance(stage.own, Unknown) or isinstance(stage.logic, Unknown):
            yield not_evaluated((*path, "stage"), f"the stage of {name} is unknown")
        elif stage.logic is None:
            yield finding((*path, "stage", "logic"), f"what decides over the stage {stage.own} of {look.printed(name)} is not said", "must be hard-wired")
        elif stage.logic == "programmable":
            yield finding((*path, "stage", "logic"), f"a program decides over the stage {stage.own} of {look.printed(name)}", "must be hard-wired")
        else:
            yield stated((*path, "stage"), f"{look.printed(name)} opens the loop through its own stage {stage.own}")
    if not able:
        yield not_applicable("no controller can open a loop as a whole")


def _controllers_that_open(look: Look) -> list[str]:
    """The controllers with a contact in series with every contactor coil of a loop; what gates one coil alone is pre-charge circuitry."""
    found: dict[str, None] = {}
    for name in (DRIVE, CHARGING):
        graph = look.networks.get(name)
        coils = coils_of(look, graph, "accumulator contactor") if graph else []
        if graph is not None and len(coils) > 1:
            series = in_series_with_all(graph, coils)
            found |= dict.fromkeys(element.name for element in look.in_loop(graph, "controller") if element in series)
    return list(found)


RULES = (
    stage_on_direct_contact,
    stage_missing,
    stage_shared,
    relay_shared,
    latch_shared,
    stage_programmable,
    stage_can_feed_loop,
    controller_without_stage,
)
