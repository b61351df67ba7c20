"""Devices in the metal: measuring points, lamps, ready-to-drive, brake light, bonding, measuring wires, polarised contactors."""

import re
from collections.abc import Iterator

from docgen.car.demand import BrakeLight, Demand, ReadyToDrive
from docgen.car.device import Lamp
from docgen.car.tractive import Grounding, MeasuringPoints, SystemOffLamp, SystemVoltage, TractiveSystem
from docgen.car.values import Unknown
from docgen.editions.topics import TOPICS
from docgen.finding import Outcome, Severity, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import COMPARE, Look, keeps
from docgen.network import contact_path, modes
from docgen.provenance import Path
from docgen.quantity import Quantity
from docgen.rules.fields import absent, is_nothing, length_in, meant, measured, said, unsaid, worded

SUBJECT = "Devices in the metal"

SYSTEM: Path = ("tractive_system",)


def _system(look: Look) -> TractiveSystem | None:
    system = look.car.tractive_system
    return system if isinstance(system, TractiveSystem) else None


def _between(look: Look, topic: str, value: Quantity | Unknown | None, place: Path, what: str) -> Iterator[Outcome]:
    """A time against the limits `shortest` and `longest` of a topic."""
    limits = [(name, limit) for name in ("shortest", "longest") if (limit := look.edition.topic(topic).limits.get(name))]
    if not limits:
        yield not_evaluated(place, f"the limits of {look.edition.name} for {what} were not read")
    elif not isinstance(value, Quantity):
        yield unsaid(value, place, what, "must be " + " and ".join(f"{limit.compare} {limit.value}" for _, limit in limits))
    else:
        for name, _ in limits:
            yield measured(look, topic, name, value, place, what)


# Measuring points

POINTS: Path = (*SYSTEM, "measuring_points")


@rule("measuring-points-missing", SUBJECT, "measuring-points")
def measuring_points_missing(look: Look) -> Iterator[Outcome]:
    """The measuring points of the tractive system are described.

    Why: Before anyone touches the car, somebody measures there that it is dead.
    Wrong:
        tractive_system: {measuring_points: null}
    Right:
        tractive_system: {measuring_points: {resistor: 15 kΩ}}
    Mend: Describe them under tractive_system.measuring_points.
    """
    system = _system(look)
    if system is None:
        yield not_evaluated(SYSTEM, "no tractive system is described")
    elif not isinstance(system.measuring_points, MeasuringPoints):
        yield unsaid(system.measuring_points, POINTS, "where the voltage of the tractive system is measured", "must have measuring points")
    else:
        yield stated(POINTS, "measuring points are described")


def _points(look: Look) -> MeasuringPoints | None:
    system = _system(look)
    return system.measuring_points if system and isinstance(system.measuring_points, MeasuringPoints) else None


def _no_points(look: Look) -> Iterator[Outcome]:
    if _points(look) is None:
        yield not_applicable("no measuring points are described")


CLASSES = tuple((name, int(name.removeprefix("up_to_"))) for name in TOPICS["measuring-points"].limits)
"""Limits on the resistor, each with the highest voltage in V for which it holds."""


@rule("measuring-point-resistor", SUBJECT, "measuring-points")
def measuring_point_resistor(look: Look) -> Iterator[Outcome]:
    """The resistor of each measuring point is the one for the highest voltage of the tractive system.

    Why: It keeps the current of a short between the points harmless; too large a one falsifies the test of the insulation monitor.
    Wrong:
        tractive_system: {measuring_points: {resistor: 10 kΩ}}
    Right:
        tractive_system: {measuring_points: {resistor: 15 kΩ ± 1 %}}
    Mend: Take the value of the edition for the voltage class of the car.
    """
    points, system = _points(look), _system(look)
    place = (*POINTS, "resistor")
    if points and system:
        highest = system.voltage.highest if isinstance(system.voltage, SystemVoltage) else system.voltage
        if not isinstance(highest, Quantity):
            yield not_evaluated((*SYSTEM, "voltage"), "the highest voltage of the tractive system is not known")
            return
        name = next((name for name, most in CLASSES if highest.high <= most), None)
        found = look.limit("measuring-points", name) if name else None
        if found is None:
            yield not_evaluated(place, f"{look.edition.name} names no resistor for {highest}, as far as it was read")
            return
        limit, bound = found
        what = f"the resistor of each measuring point at {highest}"
        if not isinstance(points.resistor, Quantity):
            yield unsaid(points.resistor, place, what, f"must be {limit.compare} {bound}")
        elif COMPARE[limit.compare](float(points.resistor.value), float(bound.value)):
            yield holds(place, f"{what} is {points.resistor}")
        else:
            yield finding(place, f"{what} is {points.resistor}", f"must be {limit.compare} {bound}")
    yield from _no_points(look)


@rule("measuring-points-fused", SUBJECT, "measuring-point-lines")
def measuring_points_fused(look: Look) -> Iterator[Outcome]:
    """No fuse stands in the lines to the measuring points.

    Why: Behind a blown fuse the meter shows 0 V on a live car.
    Wrong:
        tractive_system: {measuring_points: {fused: fused}}
    Right:
        tractive_system: {measuring_points: {fused: not fused}}
    Mend: Take the fuses out; the resistors limit the current.
    """
    if points := _points(look):
        place = (*POINTS, "fused")
        if not isinstance(points.fused, str):
            yield unsaid(points.fused, place, "whether the lines to the measuring points are fused", "must not be fused")
        elif points.fused == "fused":
            yield finding(place, "the lines to the measuring points are fused", "must not be fused")
        else:
            yield stated(place, "the lines to the measuring points are not fused")
    yield from _no_points(look)


@rule("measuring-points-misconnected", SUBJECT, "measuring-point-lines")
def measuring_points_misconnected(look: Look) -> Iterator[Outcome]:
    """The measuring points are connected to the intermediate circuit.

    Why: The capacitors stay charged when the contactors are open, and that charge is what has to be seen.
    Wrong:
        tractive_system: {measuring_points: {connected_to: accumulator side of the contactors}}
    Right:
        tractive_system: {measuring_points: {connected_to: "capacitors of the intermediate circuit, not the accumulator side"}}
    Mend: Connect them on the vehicle side of the contactors, straight to the capacitors, and say so under connected_to.
    """
    if points := _points(look):
        place, where = (*POINTS, "connected_to"), points.connected_to
        must = "must be connected to the intermediate circuit, on the vehicle side of the contactors"
        if not isinstance(where, str):
            yield unsaid(where, place, "where the measuring points are connected", must)
        elif meant(re.compile(r"(?:accumulator|battery|pack|cell|container)[\s-]side|(?:inside|in) the (?:accumulator|battery|container|pack)|cells?\b|before the (?:contactors?|airs?)\b"), where):
            yield finding(place, f"the measuring points are connected to: {where}", must)
        elif meant(re.compile(r"intermediate|dc[\s-]?(?:link|bus)|link capacitors?|capacitors?|vehicle side|inverters?|outlet"), where):
            yield stated(place, f"the measuring points are connected to: {where}")
        else:
            yield not_evaluated(place, f"on which side of the contactors {where} is cannot be told")
    yield from _no_points(look)


@rule("measuring-points-jacks", SUBJECT, "measuring-point-lines")
def measuring_points_jacks(look: Look) -> Iterator[Outcome]:
    """The jacks of the measuring points are described and safe to touch.

    Why: A meter lead slips; what it leaves must not be live metal.
    Wrong:
        tractive_system: {measuring_points: {jacks: bare screw terminals}}
    Right:
        tractive_system: {measuring_points: {jacks: "4 mm shrouded, 1000 V CAT III, TS+ and TS-, black GND jack beside"}}
    Mend: Take shrouded jacks of the rating that the edition names and write it under jacks.
    """
    if points := _points(look):
        place, jacks = (*POINTS, "jacks"), points.jacks
        if not isinstance(jacks, str):
            yield unsaid(jacks, place, "the kind of the jacks of the measuring points", "must be shrouded jacks")
        elif is_nothing(jacks) or said(r"\bun-?(?:shrouded|insulated)|\bnot (?:shrouded|insulated)|\bopen (?:jack|socket|terminal)", jacks) or meant(re.compile(r"bare\b|terminals?\b|bolts?\b|studs?\b"), jacks):
            yield finding(place, f"the jacks of the measuring points are: {jacks}", "must be shrouded jacks")
        else:
            yield stated(place, f"the jacks of the measuring points are: {jacks}")
    yield from _no_points(look)


@rule("measuring-points-cover", SUBJECT, "measuring-point-lines")
def measuring_points_cover(look: Look) -> Iterator[Outcome]:
    """The cover of the measuring points is opened without a tool.

    Why: If measuring is a nuisance, nobody measures.
    Wrong:
        tractive_system: {measuring_points: {cover: lid with four M3 screws}}
    Right:
        tractive_system: {measuring_points: {cover: "tool-free, captive to the car"}}
    Mend: Take a hinged or tethered cap and write it under cover.
    """
    if points := _points(look):
        place, cover = (*POINTS, "cover"), points.cover
        by_hand = said(r"\btool-?\s?(?:free|less)\b|\b(?:without|no) (?:any |a )?tools?\b|\bby hand\b|\bthumb|\bknurled", cover)
        if not isinstance(cover, str):
            yield unsaid(cover, place, "the cover of the measuring points", "must open without a tool and stay on the car")
        elif is_nothing(cover) or (not by_hand and meant(re.compile(r"screw\w*|bolt\w*|tools?\b|hex\b|key\b|spanner|rivet\w*|glued|tape\w*"), cover)):
            yield finding(place, f"the cover of the measuring points: {cover}", "must open without a tool and stay on the car")
        else:
            yield stated(place, f"the cover of the measuring points: {cover}")
    yield from _no_points(look)


# Lamps

_NAMED = {"insulation monitor": r"(?<![a-z])(?:imd|insulation)", "battery management": r"(?<![a-z])(?:ams|bms|battery management|cells?(?![a-z]))"}


def _further_lamps(look: Look) -> Iterator[tuple[Path, str, Lamp]]:
    """Lamps that belong to no protective device: place, name with lettering, lamp."""
    system = _system(look)
    for key, lamp in (system.indicators if system else {}).items():
        yield (*SYSTEM, "indicators", key), f"{key} {lamp.label or ''}", lamp
    for path, key, device in look.devices("indicator"):
        if isinstance(device.lamp, Lamp):
            yield (*path, "lamp"), f"{key} {device.label or ''} {device.lamp.label or ''}", device.lamp


def _lamps(look: Look, function: str) -> Iterator[tuple[Path, str, Lamp | Unknown | None]]:
    """The lamp of each device with a function, once: its own, or one that it shares with its like or that is described apart."""
    devices = list(look.devices(function))
    own = [((*path, "lamp"), device.lamp) for path, _, device in devices if isinstance(device.lamp, Lamp)]
    apart = [(place, lamp) for place, named, lamp in _further_lamps(look) if re.search(_NAMED[function], named, re.IGNORECASE)]
    shared = next(iter([*own, *apart]), None)
    given: set[Path] = set()
    for path, name, device in devices:
        place, lamp = shared if device.lamp is None and shared else ((*path, "lamp"), device.lamp)
        if place not in given:
            given.add(place)
            yield place, name, lamp


def _lamp_missing(look: Look, function: str) -> Iterator[Outcome]:
    for place, name, lamp in _lamps(look, function):
        if isinstance(lamp, Lamp):
            yield stated(place, f"{look.printed(name)} has a lamp")
        else:
            yield unsaid(lamp, place, f"the lamp of {look.printed(name)}", "must have one")
    yield from absent(look, function)


def _lamp_word(look: Look, function: str, topic: str, field: str) -> Iterator[Outcome]:
    for place, name, lamp in _lamps(look, function):
        if isinstance(lamp, Lamp):
            yield worded(look, topic, field, getattr(lamp, field), (*place, field), f"the {field} of the lamp of {look.printed(name)}")
        else:
            yield not_applicable(f"no lamp of {name} is described", place)
    yield from absent(look, function)


@rule("monitor-lamp-missing", SUBJECT, "monitor-lamp")
def monitor_lamp_missing(look: Look) -> Iterator[Outcome]:
    """The insulation monitor has a lamp.

    Why: Without it nobody knows why the car has stopped, and the wrong thing is reset.
    Wrong:
        devices: {imd: {lamp: null}}
    Right:
        devices: {imd: {lamp: {colour: red, label: IMD, check: 2 s}}}
    Mend: Describe the lamp under lamp.
    """
    yield from _lamp_missing(look, "insulation monitor")


@rule("monitor-lamp-colour", SUBJECT, "monitor-lamp")
def monitor_lamp_colour(look: Look) -> Iterator[Outcome]:
    """The lamp of the insulation monitor has the colour of the edition.

    Why: Red means that something is wrong; amber or green is read as a matter of course.
    Wrong:
        devices: {imd: {lamp: {colour: amber}}}
    Right:
        devices: {imd: {lamp: {colour: red}}}
    Mend: Change the lamp, or put right its colour.
    """
    yield from _lamp_word(look, "insulation monitor", "monitor-lamp", "colour")


@rule("monitor-lamp-label", SUBJECT, "monitor-lamp")
def monitor_lamp_label(look: Look) -> Iterator[Outcome]:
    """The lamp of the insulation monitor carries the lettering of the edition.

    Why: Two red lamps without a name tell less than one with.
    Wrong:
        devices: {imd: {lamp: {label: FAULT}}}
    Right:
        devices: {imd: {lamp: {label: IMD}}}
    Mend: Put the lettering beside the lamp.
    """
    yield from _lamp_word(look, "insulation monitor", "monitor-lamp", "label")


@rule("cell-lamp-missing", SUBJECT, "cell-lamp")
def cell_lamp_missing(look: Look) -> Iterator[Outcome]:
    """The battery management has a lamp.

    Why: A hot cell must be known to those outside before they open the container.
    Wrong:
        devices: {ams: {lamp: null}}
    Right:
        devices: {ams: {lamp: {colour: red, label: AMS, check: 2 s}}}
    Mend: Describe the lamp under lamp.
    """
    yield from _lamp_missing(look, "battery management")


@rule("cell-lamp-colour", SUBJECT, "cell-lamp")
def cell_lamp_colour(look: Look) -> Iterator[Outcome]:
    """The lamp of the battery management has the colour of the edition.

    Why: Red means that something is wrong; amber or green is read as a matter of course.
    Wrong:
        devices: {ams: {lamp: {colour: yellow}}}
    Right:
        devices: {ams: {lamp: {colour: red}}}
    Mend: Change the lamp, or put right its colour.
    """
    yield from _lamp_word(look, "battery management", "cell-lamp", "colour")


@rule("cell-lamp-label", SUBJECT, "cell-lamp")
def cell_lamp_label(look: Look) -> Iterator[Outcome]:
    """The lamp of the battery management carries the lettering of the edition.

    Why: Two red lamps without a name tell less than one with.
    Wrong:
        devices: {ams: {lamp: {label: BATTERY}}}
    Right:
        devices: {ams: {lamp: {label: AMS}}}
    Mend: Put the lettering beside the lamp.
    """
    yield from _lamp_word(look, "battery management", "cell-lamp", "label")


@rule("lamp-check", SUBJECT, "lamp-check")
def lamp_check(look: Look) -> Iterator[Outcome]:
    """The lamps of insulation monitor and battery management light for a moment when low voltage is switched on.

    Why: A blown lamp looks exactly like a sound car.
    Wrong:
        devices: {imd: {lamp: {check: 4 s}}}
    Right:
        devices: {imd: {lamp: {check: 2 s ± 10 %}}}
    Mend: Let the lamp light at power-on by hardware, and write under check for how long.
    """
    for function in _NAMED:
        for place, name, lamp in _lamps(look, function):
            if isinstance(lamp, Lamp):
                yield from _between(look, "lamp-check", lamp.check, (*place, "check"), f"the lamp check of {look.printed(name)} at power-on")
            else:
                yield not_applicable(f"no lamp of {name} is described", place)
    yield from absent(look, *_NAMED)


@rule("voltage-indicator-missing", SUBJECT, "voltage-indicator")
def voltage_indicator_missing(look: Look) -> Iterator[Outcome]:
    """Each accumulator container has an indicator of voltage at its outlet.

    Why: A container with a welded contactor, lifted out of the car, looks like any other.
    Wrong:
        tractive_system: {accumulators: {main: {voltage_indicator: null}}}
    Right:
        tractive_system: {accumulators: {main: {voltage_indicator: "red lamp on the lid, hard-wired, from the vehicle side of the contactors"}}}
    Mend: Build one that is fed by the outlet itself and describe it under voltage_indicator.
    """
    system = _system(look)
    apart = any(said(r"voltage[\s_-]*indicator", named) for _, named, _ in _further_lamps(look))
    for name, accumulator in (system.accumulators if system else {}).items():
        place = (*SYSTEM, "accumulators", name, "voltage_indicator")
        what = f"the voltage indicator of the container {name}"
        if isinstance(accumulator.voltage_indicator, str) and is_nothing(accumulator.voltage_indicator):
            yield finding(place, f"{what}: {accumulator.voltage_indicator}", "must have one")
        elif isinstance(accumulator.voltage_indicator, str) or (accumulator.voltage_indicator is None and apart):
            yield stated(place, f"{what}: {accumulator.voltage_indicator or 'described among the indicators'}")
        else:
            yield unsaid(accumulator.voltage_indicator, place, what, "must have one")
    if not system or not system.accumulators:
        yield not_applicable("no accumulator is described")


OFF_LAMP: Path = (*SYSTEM, "off_lamp")


def _off_lamp(look: Look) -> tuple[Path, SystemOffLamp | Lamp | Unknown | None]:
    """The cockpit lamp for tractive system off, also where it is described among the indicators."""
    system = _system(look)
    lamp = system.off_lamp if system else None
    apart = next(((place, other) for place, named, other in _further_lamps(look) if said(r"(?<![a-z])(?:ts|tractive system)[\s_-]*off(?![a-z])", named)), None)
    return apart if lamp is None and apart else (OFF_LAMP, lamp)


@rule("off-lamp-missing", SUBJECT, "off-lamp")
def off_lamp_missing(look: Look) -> Iterator[Outcome]:
    """A cockpit lamp says that the tractive system is off.

    Why: The driver decides by it whether to climb out, and he cannot see the light above his head.
    Wrong:
        tractive_system: {off_lamp: null}
    Right:
        tractive_system: {off_lamp: {colour: green, label: TS off, follows: the green of the active light}}
    Mend: Describe it under tractive_system.off_lamp.
    """
    place, lamp = _off_lamp(look)
    if _system(look) is None:
        yield not_evaluated(SYSTEM, "no tractive system is described")
    elif isinstance(lamp, SystemOffLamp | Lamp):
        yield stated(place, "a cockpit lamp for tractive system off is described")
    else:
        yield unsaid(lamp, place, "the cockpit lamp for tractive system off", "must have one")


def _off_lamp_word(look: Look, field: str) -> Iterator[Outcome]:
    place, lamp = _off_lamp(look)
    if isinstance(lamp, SystemOffLamp | Lamp):
        yield worded(look, "off-lamp", field, getattr(lamp, field), (*place, field), f"the {field} of the cockpit lamp for tractive system off")
    else:
        yield not_applicable("no cockpit lamp for tractive system off is described")


@rule("off-lamp-colour", SUBJECT, "off-lamp")
def off_lamp_colour(look: Look) -> Iterator[Outcome]:
    """The cockpit lamp for tractive system off has the colour of the edition.

    Why: It says that something is safe; red says the contrary.
    Wrong:
        tractive_system: {off_lamp: {colour: red}}
    Right:
        tractive_system: {off_lamp: {colour: green}}
    Mend: Change the lamp, or put right its colour.
    """
    yield from _off_lamp_word(look, "colour")


@rule("off-lamp-label", SUBJECT, "off-lamp")
def off_lamp_label(look: Look) -> Iterator[Outcome]:
    """The cockpit lamp for tractive system off carries the lettering of the edition.

    Why: A green lamp without a name may as well mean that the car is ready.
    Wrong:
        tractive_system: {off_lamp: {label: READY}}
    Right:
        tractive_system: {off_lamp: {label: TS off}}
    Mend: Put the lettering beside the lamp.
    """
    yield from _off_lamp_word(look, "label")


_OTHER_SOURCE = r"controller|software|program\w*|vcu\b|ecu\b|can\b|message|bus\b|button|master|loop|shutdown|sdc\b|contactors?|airs?\b|timer|red\b"


@rule("off-lamp-follows-another", SUBJECT, "off-lamp")
def off_lamp_follows_another(look: Look) -> Iterator[Outcome]:
    """The cockpit lamp for tractive system off follows the green of the active light.

    Why: A lamp that follows the command, and not what the contactors do, promises safety that nobody has measured.
    Wrong:
        tractive_system: {off_lamp: {follows: output of the vehicle controller}}
    Right:
        tractive_system: {off_lamp: {follows: the green of the active light}}
    Mend: Take its signal from the circuit of the green light.
    """
    place, lamp = _off_lamp(look)
    word = look.edition.topic("off-lamp").words.get("follows")
    if not isinstance(lamp, SystemOffLamp | Lamp):
        yield not_applicable("no cockpit lamp for tractive system off is described")
        return
    where = (*place, "follows" if isinstance(lamp, SystemOffLamp) else "lit")
    follows = lamp.follows if isinstance(lamp, SystemOffLamp) else lamp.lit
    if word is None:
        yield not_evaluated(where, f"what the lamp follows in {look.edition.name} was not read")
    elif not isinstance(follows, str):
        yield unsaid(follows, where, "what the cockpit lamp for tractive system off follows", f"must follow the {word}")
    elif meant(re.compile(r"green|active light|tsal\b"), follows):
        yield stated(where, f"the cockpit lamp for tractive system off follows: {follows}")
    elif meant(re.compile(rf"(?:{_OTHER_SOURCE})"), follows):
        yield finding(where, f"the cockpit lamp for tractive system off follows: {follows}", f"must follow the {word}")
    else:
        yield not_evaluated(where, f"whether {follows} is the {word} cannot be told")


# Ready to drive

READY: Path = ("demand", "ready_to_drive")


def _demand(look: Look) -> Demand | None:
    return look.car.demand if isinstance(look.car.demand, Demand) else None


def _ready(look: Look) -> ReadyToDrive | None:
    demand = _demand(look)
    return demand.ready_to_drive if demand and isinstance(demand.ready_to_drive, ReadyToDrive) else None


def _without_driver(look: Look) -> bool:
    return "manual" not in modes(look.car)


def _not_ready(look: Look) -> Iterator[Outcome]:
    if _ready(look) is None:
        yield not_applicable("how the car becomes ready to drive is not described")


@rule("ready-to-drive-missing", SUBJECT, "ready-to-drive")
def ready_to_drive_missing(look: Look) -> Iterator[Outcome]:
    """It is described how the car becomes ready to drive.

    Why: Between live and driving lies one more act, so that a foot on the pedal moves nobody by surprise.
    Wrong:
        demand: {ready_to_drive: null}
    Right:
        demand: {ready_to_drive: {needs: brake pressed and start button pressed}}
    Mend: Describe it under demand.ready_to_drive.
    """
    demand = look.car.demand
    described = demand.ready_to_drive if isinstance(demand, Demand) else demand
    if _without_driver(look):
        yield not_applicable("no driver is aboard in any mode of this car")
    elif isinstance(described, ReadyToDrive):
        yield stated(READY, "how the car becomes ready to drive is described")
    else:
        yield unsaid(described, READY, "how the car becomes ready to drive", "must be described")


@rule("ready-to-drive-without-brake", SUBJECT, "ready-to-drive")
def ready_to_drive_without_brake(look: Look) -> Iterator[Outcome]:
    """The car becomes ready to drive only while the mechanical brakes are actuated.

    Why: A car that is held by its brakes cannot jump at those who stand around it.
    Wrong:
        demand: {ready_to_drive: {needs: start button held for 2 s}}
    Right:
        demand: {ready_to_drive: {needs: brake pressed and start button pressed}}
    Mend: Ask for brake pressure in the controller, and say so under needs.
    """
    ready = _ready(look)
    if ready and _without_driver(look):
        yield not_applicable("no driver is aboard in any mode of this car")
    elif ready:
        place, needs = (*READY, "needs"), ready.needs
        if not isinstance(needs, str):
            yield unsaid(needs, place, "what the car needs to become ready to drive", "must be brakes actuated and a further action at the same moment")
        elif meant(re.compile(r"brak(?:es?|ing)\b"), needs):
            yield stated(place, f"the car becomes ready to drive by: {needs}")
        else:
            yield finding(place, f"the car becomes ready to drive by: {needs}", "must need the brakes actuated")
    yield from _not_ready(look)


_ACTION = r"(?<![a-z])(?:button|switch|key|paddle|knob|lever|toggle|start|touch|action|rtd|screen)"


@rule("ready-to-drive-without-action", SUBJECT, "ready-to-drive")
def ready_to_drive_without_action(look: Look) -> Iterator[Outcome]:
    """The car becomes ready to drive only by an action of its own, besides the brakes.

    Why: Every driver brakes before anything else; braking alone says nothing about wanting to drive.
    Wrong:
        demand: {ready_to_drive: {needs: brake pressed with the tractive system active}}
    Right:
        demand: {ready_to_drive: {needs: brake pressed and start button pressed}}
    Mend: Add a button that has to be pressed while braking.
    """
    ready = _ready(look)
    if ready and _without_driver(look):
        yield not_applicable("no driver is aboard in any mode of this car")
    elif ready:
        place, needs = (*READY, "needs"), ready.needs
        if not isinstance(needs, str):
            yield not_applicable("what the car needs to become ready to drive is not described", place)
        elif re.search(_ACTION, needs, re.IGNORECASE):
            yield stated(place, f"the car becomes ready to drive by: {needs}")
        else:
            yield finding(place, f"the car becomes ready to drive by: {needs}", "must need an action of its own besides the brakes")
    yield from _not_ready(look)


_LOOP = r"\bloop\b|shut-?\s?down|\bsdc\b|safety circuit|\bts\b|tractive"
_LATER = r"\bafter\b.*\d|\d\s*(?:s|ms|min|seconds?)\b|\bdelay\w*|\blater\b|\bstays\b|\btime-?out\b"
_AT_ONCE = r"\bat once\b|\bimmediate\w*|\binstant\w*|\bwithout (?:any )?delay\b|\bsame moment\b|\bno delay\b"


@rule("ready-to-drive-not-left", SUBJECT, "ready-to-drive")
def ready_to_drive_not_left(look: Look) -> Iterator[Outcome]:
    """The car is no longer ready to drive at once when the loop opens.

    Why: Else it drives off as soon as the loop is closed again, with the pedal still down.
    Wrong:
        demand: {ready_to_drive: {left_when: the driver presses the button again}}
    Right:
        demand: {ready_to_drive: {left_when: "at once when the loop opens, or when the driver presses the button again"}}
    Mend: Let the controller read the loop and leave the state at once; say so under left_when.
    """
    if ready := _ready(look):
        place, left, must = (*READY, "left_when"), ready.left_when, "must be left at once when the loop opens"
        clauses = [clause for clause in re.split(r"[,;]\s|\bor\b", left) if said(_LOOP, clause)] if isinstance(left, str) else []
        if not isinstance(left, str):
            yield unsaid(left, place, "when ready-to-drive is left", must)
        elif not clauses or all(said(_LATER, clause) and not said(_AT_ONCE, clause) for clause in clauses):
            yield finding(place, f"ready-to-drive is left: {left}", must)
        else:
            yield stated(place, f"ready-to-drive is left: {left}")
    yield from _not_ready(look)


@rule("ready-to-drive-sound-quiet", SUBJECT, "ready-to-drive-sound")
def ready_to_drive_sound_quiet(look: Look) -> Iterator[Outcome]:
    """Becoming ready to drive is announced by a sound of the level of the edition.

    Why: An electric car stands as silent live as dead; the sound tells those around it.
    Wrong:
        demand: {ready_to_drive: {sound_level: 75 dB(A)}}
    Right:
        demand: {ready_to_drive: {sound_level: 93 dB(A)}}
    Mend: Take a louder sounder or turn it outwards; measure at the distance that the edition names.
    """
    if ready := _ready(look):
        yield measured(look, "ready-to-drive-sound", "level", ready.sound_level, (*READY, "sound_level"), "the level of the ready-to-drive sound")
    yield from _not_ready(look)


@rule("ready-to-drive-sound-length", SUBJECT, "ready-to-drive-sound")
def ready_to_drive_sound_length(look: Look) -> Iterator[Outcome]:
    """The ready-to-drive sound lasts as long as the edition says.

    Why: A chirp is missed, and a howl is switched off by the team.
    Wrong:
        demand: {ready_to_drive: {sound_for: 5 s}}
    Right:
        demand: {ready_to_drive: {sound_for: 2 s ± 10 %}}
    Mend: Set the length in the controller and write it under sound_for.
    """
    if ready := _ready(look):
        yield from _between(look, "ready-to-drive-sound", ready.sound_for, (*READY, "sound_for"), "the length of the ready-to-drive sound")
    yield from _not_ready(look)


# Brake light

BRAKE_LIGHT: Path = ("demand", "brake_light")


@rule("brake-light-missing", SUBJECT, "", Severity.WARNING)
def brake_light_missing(look: Look) -> Iterator[Outcome]:
    """It is described what lights the brake light.

    Why: The car behind brakes by it, and it is looked at in every brake test.
    Wrong:
        demand: {brake_light: null}
    Right:
        demand: {brake_light: {lit_by: "brake pressure above 5 bar, hard-wired", colour: red}}
    Mend: Describe it under demand.brake_light.
    """
    demand = look.car.demand
    light = demand.brake_light if isinstance(demand, Demand) else demand
    lit_by = light.lit_by if isinstance(light, BrakeLight) else light
    if not isinstance(lit_by, str):
        yield unsaid(lit_by, (*BRAKE_LIGHT, "lit_by"), "what lights the brake light", "should be described")
    else:
        yield stated((*BRAKE_LIGHT, "lit_by"), f"the brake light is lit by: {lit_by}")


@rule("brake-light-colour", SUBJECT, "", Severity.WARNING)
def brake_light_colour(look: Look) -> Iterator[Outcome]:
    """The brake light is red.

    Why: Any other colour is not read as braking.
    Wrong:
        demand: {brake_light: {colour: amber}}
    Right:
        demand: {brake_light: {colour: red}}
    Mend: Change the light, or put right its colour.
    """
    demand = _demand(look)
    light = demand.brake_light if demand else None
    place = (*BRAKE_LIGHT, "colour")
    if not isinstance(light, BrakeLight):
        yield not_applicable("no brake light is described")
    elif not isinstance(light.colour, str):
        yield unsaid(light.colour, place, "the colour of the brake light", "should be red")
    elif not meant(re.compile(r"red\b"), light.colour):
        yield finding(place, f"the brake light is {light.colour}", "should be red")
    else:
        yield stated(place, f"the brake light is {light.colour}")


# Bonding, measuring wires, contactors


@rule("grounding-resistance", SUBJECT, "grounding")
def grounding_resistance(look: Look) -> Iterator[Outcome]:
    """Conductive parts, and parts that may become conductive, have a low resistance to ground.

    Why: The insulation monitor sees a fault only through the chassis; a part without bonding becomes live in silence.
    Wrong:
        tractive_system: {grounding: {near_parts: 250 mΩ}}
    Right:
        tractive_system: {grounding: {near_parts: 60 mΩ ± 20 mΩ, possibly_conductive: 40 Ω}}
    Mend: Bond the parts with a strap on bare metal, measure again, and write the largest value.
    """
    system, place = _system(look), (*SYSTEM, "grounding")
    if system is None:
        yield not_evaluated(SYSTEM, "no tractive system is described")
    elif not isinstance(system.grounding, Grounding):
        yield unsaid(system.grounding, place, "the resistance of conductive parts to ground", "must be given")
    else:
        for name, field, what in (("near", "near_parts", "conductive parts"), ("possibly", "possibly_conductive", "parts that may become conductive")):
            yield measured(look, "grounding", name, getattr(system.grounding, field), (*place, field), f"the resistance to ground of {what}")


_PROTECTION = r"fus(?:es?|ed|ible)\b|resist\w+|ptcs?\b|current[\s-]limit\w*|protected\b|circuit[\s-]breakers?"


@rule("sense-tap-unprotected", SUBJECT, "sense-wire-protection")
def sense_tap_unprotected(look: Look) -> Iterator[Outcome]:
    """Thin measuring wires into the tractive system are protected where they begin.

    Why: A pinched cell tap without protection carries the short-circuit current of the cells until it burns.
    Wrong:
        tractive_system: {sense_taps: unprotected wires of 0.25 mm²}
    Right:
        tractive_system: {sense_taps: a fuse of 2 A at the cell in each measuring wire}
    Mend: Put a fuse or a resistor of sufficient voltage rating at the cell or busbar end of each wire, and describe it under sense_taps.
    """
    system, place = _system(look), (*SYSTEM, "sense_taps")
    if system is None:
        yield not_evaluated(SYSTEM, "no tractive system is described")
    elif not isinstance(system.sense_taps, str):
        yield unsaid(system.sense_taps, place, "the protection of thin measuring wires into the tractive system", "must be protected where they begin")
    elif meant(re.compile(_PROTECTION), system.sense_taps) or said(r"\d\s*[kM]?(?:Ω|ohm)", system.sense_taps):
        yield stated(place, f"thin measuring wires are protected: {system.sense_taps}")
    elif (short := look.limit("sense-wire-protection", "unfused")) and (length := length_in(system.sense_taps)) and keeps(*short, length):
        yield stated(place, f"measuring wires of {length} need no fuse")
    elif is_nothing(system.sense_taps) or said(r"\bun-?(?:protected|fused)\b|\bnot (?:protected|fused)\b|\b(?:no|without)\b|\bdirect(?:ly)?\b", system.sense_taps):
        yield finding(place, f"thin measuring wires into the tractive system: {system.sense_taps}", "must be protected where they begin")
    else:
        yield not_evaluated(place, f"whether {system.sense_taps} protects the thin measuring wires cannot be told")


@rule("contactor-against-current", SUBJECT, "", Severity.WARNING)
def contactor_against_current(look: Look) -> Iterator[Outcome]:
    """No polarised contactor is mounted against the driving current.

    Why: A polarised contactor blows its arc the wrong way and breaks only a fraction of its rated current.
    Wrong:
        devices: {air_plus: {contacts: {main: {polarised: against the current}}}}
    Right:
        devices: {air_plus: {contacts: {main: {polarised: with the current}}}}
    Mend: Write under polarised how it is mounted; if against the current, swap the two main terminals. In the negative pole the driving current flows towards the cells.
    """
    for path, name, device in look.devices("accumulator contactor"):
        contacts = device.every_contact()
        key = next((key for key in ("main", "power") if key in contacts), next(iter(contacts)) if len(contacts) == 1 else None)
        if key is None:
            yield not_applicable(f"no power contact of {name} is described", path)
            continue
        place, polarised = (*contact_path(device, name, key), "polarised"), contacts[key].polarised
        if not isinstance(polarised, str):
            yield unsaid(polarised, place, f"how the power contact of {look.printed(name)} is mounted with respect to the current", "should be said, also where it is not polarised")
        elif polarised == "against the current":
            yield finding(place, f"the power contact of {look.printed(name)} is mounted {polarised}", "should be mounted with the current")
        else:
            yield stated(place, f"the power contact of {look.printed(name)}: {polarised}")
    yield from absent(look, "accumulator contactor")


RULES = (
    measuring_points_missing,
    measuring_point_resistor,
    measuring_points_fused,
    measuring_points_misconnected,
    measuring_points_jacks,
    measuring_points_cover,
    monitor_lamp_missing,
    monitor_lamp_colour,
    monitor_lamp_label,
    cell_lamp_missing,
    cell_lamp_colour,
    cell_lamp_label,
    lamp_check,
    voltage_indicator_missing,
    off_lamp_missing,
    off_lamp_colour,
    off_lamp_label,
    off_lamp_follows_another,
    ready_to_drive_missing,
    ready_to_drive_without_brake,
    ready_to_drive_without_action,
    ready_to_drive_not_left,
    ready_to_drive_sound_quiet,
    ready_to_drive_sound_length,
    brake_light_missing,
    brake_light_colour,
    grounding_resistance,
    sense_tap_unprotected,
    contactor_against_current,
)
