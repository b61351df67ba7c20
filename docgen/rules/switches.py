"""Devices in the metal: inertia switch, over-travel switch, shutdown buttons, master switches."""

import re
from collections.abc import Iterator

from docgen.car.device import Device, Disc, Fixing, Place, TripPoint
from docgen.car.values import Unknown
from docgen.finding import Outcome, Severity, at_car, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import Look, keeps
from docgen.provenance import Path
from docgen.quantity import Quantity
from docgen.rules.fields import absent, all_meant, is_nothing, length_in, meant, measured, said, unsaid, worded

SUBJECT = "Devices in the metal"

MASTERS = ("LV master switch", "TS master switch")


# Inertia switch

_SOFT = (
    r"hook[\s-]*(?:and|&|n)?[\s-]*loop\w*|velcro\w*|dual[\s-]?lock|touch fasteners?|foam\w*|sponge\w*|neoprene|rubber\w*|elastomer\w*|elastics?(?! stop)|bungee\w*"
    r"|tape[sd]?|taping|magnets?|magnetic\w*|(?:cable|zip|wire)[\s-]?tie[sd]?|tie[\s-]?wraps?|(?:anti-?)?vibration[\s-](?:mount|damp|isolat)\w*|shock[\s-]mounts?"
    r"|silent[\s-]?blocks?|hot[\s-]?glue\w*|blu-?\s?tack|putty|klett\w*|schaum\w*|kabelbinder|klebeband|gummi\w*"
)
"""What gives way between a switch and the chassis."""
_HELD = r"\b(?:on|onto|with|by|in|into|using|via|through|held|stuck|sits|rests|hangs)\s+(?:[\w-]+\s+){0,3}?"
_LONGEST_CLAUSE = 200
_CLAUSE_ENDS = re.compile(r"[,;:.(]\s|\band\b(?![\s-]loop)")
_OF_ANOTHER_THING = r"\b(?:wires?|leads?|harness|loom|plug|pigtail|boot|cable(?![\s-]?ties?\b)|ball|mass|pendulum|inside the switch)\b"


def _soft(text: str, only_held: bool) -> str | None:
    """The soft part by which a text says that the switch is held; in running text only where it says so by a word such as `on`."""
    for found in all_meant(re.compile(rf"(?:{_SOFT})\b"), text):
        before = max(0, found.start() - _LONGEST_CLAUSE)
        start = max((gap.end() for gap in _CLAUSE_ENDS.finditer(text, before, found.start())), default=before)
        clause = _CLAUSE_ENDS.split(text[start : found.end() + _LONGEST_CLAUSE], maxsplit=1)[0]
        held = not only_held or found[0].endswith("ed") or re.search(_HELD + re.escape(found[0]), clause, re.IGNORECASE)
        if held and not re.search(_OF_ANOTHER_THING, clause, re.IGNORECASE):
            return found[0]
    return None


@rule("inertia-fixing-soft", SUBJECT, "inertia-mounting")
def inertia_fixing_soft(look: Look) -> Iterator[Outcome]:
    """Nothing that gives way stands between the inertia switch and the chassis.

    Why: Hook-and-loop tape, foam, rubber or a cable tie swallows the deceleration: the car stops and the switch does not notice.
    Wrong:
        devices: {inertia_switch: {fixing: {by: hook-and-loop tape on the seat back}}}
    Right:
        devices: {inertia_switch: {fixing: {by: "two M4 bolts into the bulkhead, no foam or tape between"}}}
    Mend: Bolt the switch to the chassis and write under fixing.by what holds it.
    """
    for path, name, device in look.devices("inertia switch"):
        held = device.fixing.by if isinstance(device.fixing, Fixing) else device.fixing
        taken_off = device.fixing.taken_off if isinstance(device.fixing, Fixing) else None
        place = device.place if isinstance(device.place, Place) else Place()
        texts = [
            ((*path, "fixing", "by"), held, False),
            ((*path, "fixing", "taken_off"), taken_off, False),
            ((*path, "place", "where"), place.where, True),
            ((*path, "place", "by"), place.by, True),
            ((*path, "note"), device.note, True),
        ]
        soft = [(where, word) for where, text, only_held in texts if isinstance(text, str) and (word := _soft(text, only_held))]
        if soft:
            yield finding(soft[0][0], f"{look.printed(name)} is held by {soft[0][1]}", "must be mounted rigidly")
        elif not isinstance(held, str):
            yield unsaid(held, (*path, "fixing", "by"), f"what holds {look.printed(name)}", "must be mounted rigidly")
        else:
            yield stated((*path, "fixing", "by"), f"{look.printed(name)} is held by {held}")
    yield from absent(look, "inertia switch")


@rule("inertia-not-removable", SUBJECT, "inertia-mounting")
def inertia_not_removable(look: Look) -> Iterator[Outcome]:
    """The inertia switch comes off the car, still connected, to be shaken.

    Why: At inspection the switch is shaken by hand with the tractive system active; one that cannot be reached cannot be shown to work.
    Wrong:
        devices: {inertia_switch: {fixing: {taken_off: cannot be taken off once the seat is in}}}
    Right:
        devices: {inertia_switch: {fixing: {taken_off: two bolts with a hex key}}}
    Mend: Mount it so that it comes off with its plug on, and write under fixing.taken_off how.
    """
    for path, name, device in look.devices("inertia switch"):
        if not isinstance(device.fixing, Fixing):
            yield not_applicable(f"how {name} is held is not described", path)
            continue
        how, place = device.fixing.taken_off, (*path, "fixing", "taken_off")
        if not isinstance(how, str):
            yield unsaid(how, place, f"how {look.printed(name)} is taken off", "must come off for the shake test")
        elif said(r"^(?:none|no|not|nothing|never|-)\W*$|\b(?:not|never) (?:be )?(?:taken|removed|removable|possible)\b|\bcan ?(?:not|'t)\b|\b(?:impossible|permanent(?:ly)?)\b", how):
            yield finding(place, f"{look.printed(name)} is taken off: {how}", "must come off for the shake test")
        else:
            yield stated(place, f"{look.printed(name)} is taken off: {how}")
    yield from absent(look, "inertia switch")


_PULSES = (("short_pulse", "short_length"), ("long_pulse", "long_length"))
"""Limits of deceleration and the pulse from which each holds, the shorter pulse first."""


@rule("inertia-trip-value", SUBJECT, "inertia-switch")
def inertia_trip_value(look: Look) -> Iterator[Outcome]:
    """The inertia switch trips at the decelerations of the edition, on pulses of the lengths of the edition.

    Why: A switch that trips too late is no protection in a crash, and the data sheet of a switch for road cars often starts above the limit.
    Wrong:
        devices: {inertia_switch: {trips: [{at: 11 g, pulse: 50 ms}, {at: 12 g, pulse: 20 ms}]}}
    Right:
        devices: {inertia_switch: {trips: [{at: 7 g ± 5 %, pulse: 50 ms}, {at: 12 g ± 5 %, pulse: 20 ms}]}}
    Mend: Take the trip curve from the data sheet, a point for each pulse that the edition names; if it lies outside, take another switch.
    """
    for path, name, device in look.devices("inertia switch"):
        place: Path = (*path, "trips")
        if not isinstance(device.trips, tuple):
            yield unsaid(device.trips, place, f"the deceleration at which {look.printed(name)} trips", "must be given with the length of its pulse")
            continue
        outcomes = [*_on_pulses(look, place, device.trips), *_in_window(look, place, device.trips)]
        yield from outcomes or [not_evaluated(place, f"the trip values of {look.edition.name} were not read")]
    yield from absent(look, "inertia switch")


def _on_pulses(look: Look, place: Path, points: tuple[TripPoint, ...]) -> Iterator[Outcome]:
    """The trip points against a value for each pulse length; a pulse that trips the switch does so too when it is longer."""
    bounds = [(value, length[1]) for names in _PULSES for value, length in [[look.limit("inertia-switch", name) for name in names]] if value and length]
    known = [(index, point.at, point.pulse) for index, point in enumerate(points) if isinstance(point.at, Quantity) and isinstance(point.pulse, Quantity)]
    for number, ((limit, bound), pulse) in enumerate(bounds):
        longer = bounds[number + 1][1].value if number + 1 < len(bounds) else None
        shorter = [(index, at, long) for index, at, long in known if longer is None or long.value < longer]
        too_high = [(index, at, long) for index, at, long in shorter if long.value >= pulse.value and not keeps(limit, bound, at)]
        enough = [(index, at, long) for index, at, long in shorter if keeps(limit, bound, at)]
        must = f"must be {limit.compare} {bound} on a half sine of {pulse}"
        if too_high:
            index, at, long = too_high[0]
            yield finding((*place, index, "at"), f"the switch trips at {at} on a half sine of {long}", must)
        elif enough:
            index, at, long = enough[0]
            yield holds((*place, index, "at"), f"the switch trips at {at} on a half sine of {long}; {limit.compare} {bound} on one of {pulse}")
        elif any(isinstance(entry, Unknown) for point in points for entry in (point.at, point.pulse)):
            yield not_evaluated(place, "a point of the trip curve is unknown")
        else:
            yield finding(place, f"no trip point tells at which deceleration a half sine of {pulse} trips the switch", must)


def _in_window(look: Look, place: Path, points: tuple[TripPoint, ...]) -> Iterator[Outcome]:
    """The trip points against a lowest and a highest value."""
    for index, point in enumerate(points):
        for name in ("lowest", "highest"):
            if look.edition.topic("inertia-switch").limits.get(name):
                yield measured(look, "inertia-switch", name, point.at, (*place, index, "at"), "the deceleration at which the switch trips")


@rule("inertia-one-direction", SUBJECT, "inertia-directions")
def inertia_one_direction(look: Look) -> Iterator[Outcome]:
    """The inertia switch trips in every direction.

    Why: The car is hit from the side as well, and a spring-and-mass switch mounted across the car never trips at all.
    Wrong:
        devices: {inertia_switch: {directions: forward only}}
    Right:
        devices: {inertia_switch: {directions: all directions}}
    Mend: Take a switch that acts in every direction, such as a ball in a cone, mount it upright, and write directions: all directions.
    """
    for path, name, device in look.devices("inertia switch"):
        place = (*path, "directions")
        if not isinstance(device.directions, str):
            yield unsaid(device.directions, place, f"in which directions {look.printed(name)} trips", "must be all directions")
        elif device.directions != "all directions":
            yield finding(place, f"{look.printed(name)} trips {device.directions}", "must trip in all directions")
        else:
            yield stated(place, f"{look.printed(name)} trips in all directions")
    yield from absent(look, "inertia switch")


@rule("inertia-semiconductor", SUBJECT, "inertia-semiconductors")
def inertia_semiconductor(look: Look) -> Iterator[Outcome]:
    """No semiconductor is inside the inertia switch.

    Why: An acceleration sensor with a transistor needs power and a program to notice the crash that takes its power away.
    Wrong:
        devices: {inertia_switch: {semiconductors: inside}}
    Right:
        devices: {inertia_switch: {semiconductors: none}}
    Mend: Write semiconductors: none, if that is so; if not, take a mechanical switch.
    """
    for path, name, device in look.devices("inertia switch"):
        solid = isinstance(device.contact, Unknown) or device.contact is None or device.contact.construction != "solid state"
        if device.semiconductors == "inside":
            yield finding((*path, "semiconductors"), f"semiconductors are inside {look.printed(name)}", "must be none")
        elif not solid:
            yield finding((*path, "contact", "construction"), f"the contact of {look.printed(name)} is solid state", "must be mechanical")
        elif not isinstance(device.semiconductors, str):
            yield unsaid(device.semiconductors, (*path, "semiconductors"), f"whether semiconductors are inside {look.printed(name)}", "must be none")
        else:
            yield stated((*path, "semiconductors"), f"no semiconductor is inside {look.printed(name)}")
    yield from absent(look, "inertia switch")


# Over-travel switch


@rule("over-travel-one-circuit", SUBJECT, "over-travel-switch")
def over_travel_one_circuit(look: Look) -> Iterator[Outcome]:
    """The over-travel switch acts on the loss of either brake circuit, at every setting of the balance.

    Why: With one circuit lost the balance bar turns about the good one: a switch off the middle may be missed on one of the two sides.
    Wrong:
        devices: {over_travel_switch: {acts_on_loss_of: [front circuit]}}
    Right:
        devices: {over_travel_switch: {acts_on_loss_of: [front circuit, rear circuit]}}
    Mend: Try both losses at both ends of the balance adjustment and write the result under acts_on_loss_of; if one is missing, move the switch or add a second one in series.
    """
    switches = list(look.devices("brake over-travel switch"))
    circuits = ("front circuit", "rear circuit")
    together = {circuit for _, _, device in switches if isinstance(device.acts_on_loss_of, tuple) for circuit in device.acts_on_loss_of}
    open_point = any(isinstance(device.acts_on_loss_of, Unknown) for _, _, device in switches)
    for path, name, device in switches:
        place = (*path, "acts_on_loss_of")
        if not isinstance(device.acts_on_loss_of, tuple):
            yield unsaid(device.acts_on_loss_of, place, f"on the loss of which brake circuits {look.printed(name)} acts", f"must be {' and '.join(circuits)}")
            continue
        missing = [circuit for circuit in circuits if circuit not in together]
        if missing and open_point:
            yield not_evaluated(place, f"whether another switch acts on the loss of the {missing[0]} is unknown")
        elif missing:
            yield finding(place, f"{look.printed(name)} does not act on the loss of the {' or the '.join(missing)}", f"must act on the loss of {' and of '.join(circuits)}")
        else:
            yield stated(place, f"{look.printed(name)} acts on the loss of the {' and the '.join(device.acts_on_loss_of)}")
    yield from absent(look, "brake over-travel switch")


_KINDS = {"push_pull": r"push[\s/-]*pull|pull[\s/-]*push", "push_rotate": r"push[\s/-]*(?:rotate|rotary|turn|twist)|(?:turn|twist|rotate)[\s-]to[\s-]\w+", "flip": r"flip|toggle|tumbler"}
_OTHER_OVER_TRAVEL = r"limit switch|micro-?\s?switch|snap[\s-]?action|reed|hall|inductive|proximity|optical|light barrier|sensor|momentary|spring[\s-]return|plunger|roller|relay|potentiometer|membrane"


@rule("over-travel-kind", SUBJECT, "over-travel-kind")
def over_travel_kind(look: Look) -> Iterator[Outcome]:
    """The over-travel switch is a robust mechanical switch of a kind that the edition names.

    Why: The foot hits it with full force, and it has to stay where it was pushed. A microswitch breaks or springs back.
    Wrong:
        devices: {over_travel_switch: {kind: microswitch with roller}}
    Right:
        devices: {over_travel_switch: {kind: flip switch}}
    Mend: Take a push-pull or flip switch and write under kind which it is.
    """
    words = look.edition.topic("over-travel-kind").words
    allowed = [kind for kind in _KINDS if words.get(kind) == "allowed"]
    must = f"must be {' or '.join(kind.replace('_', '-') for kind in allowed)}"
    for path, name, device in look.devices("brake over-travel switch"):
        place = (*path, "kind")
        text = device.kind if device.kind is not None else device.part
        found = [kind for kind, pattern in _KINDS.items() if isinstance(text, str) and meant(re.compile(pattern), text)]
        printed = look.printed(name)
        if not allowed:
            yield not_evaluated(place, f"which kinds {look.edition.name} allows was not read")
        elif not isinstance(device.contact, Unknown) and device.contact is not None and device.contact.construction == "solid state":
            yield finding((*path, "contact", "construction"), f"the contact of {printed} is solid state", "must be mechanical")
        elif not isinstance(text, str) or (device.kind is None and not found):
            yield unsaid(None if isinstance(text, str) else text, place, f"the kind of {printed}", must)
        elif set(found) & set(allowed):
            yield stated(place, f"{printed} is a {text}")
        elif found or meant(re.compile(rf"(?:{_OTHER_OVER_TRAVEL})"), text):
            yield finding(place, f"{printed} is a {text}", must)
        else:
            yield not_evaluated(place, f"whether {text}, the kind of {name}, is one that the edition allows cannot be told")
    yield from absent(look, "brake over-travel switch")


@rule("over-travel-margin", SUBJECT, "", Severity.WARNING)
def over_travel_margin(look: Look) -> Iterator[Outcome]:
    """Some pedal travel is left between the normal end of braking and the over-travel switch.

    Why: Without a margin a hard stop, or pads half worn, opens the loop; with the margin unknown the switch is set by chance.
    Wrong:
        devices: {over_travel_switch: {stroke_margin: 0 mm}}
    Right:
        devices: {over_travel_switch: {stroke_margin: 10 mm ± 2 mm}}
    Mend: Measure it at the pedal and write it under stroke_margin.
    """
    for path, name, device in look.devices("brake over-travel switch"):
        place = (*path, "stroke_margin")
        what = f"the pedal travel left before {look.printed(name)}"
        if not isinstance(device.stroke_margin, Quantity):
            yield unsaid(device.stroke_margin, place, what, "must be above 0 mm")
        elif device.stroke_margin.low <= 0:
            yield finding(place, f"{what} is {device.stroke_margin}", "must be above 0 mm with its tolerance")
        else:
            yield stated(place, f"{what} is {device.stroke_margin}")
    yield from absent(look, "brake over-travel switch")


# Shutdown buttons

_SPOTS = ("left", "right", "cockpit")
_MUST_STAND = "must be one on the left side, one on the right side and one in the cockpit"


def _spots(device: Device) -> frozenset[str]:
    """Where a button stands: on the left, on the right, in the cockpit; empty where its words do not tell."""
    corners = device.each if isinstance(device.each, tuple) else ()
    if named := frozenset(side for side in ("left", "right") for corner in corners if re.search(rf"(?<![a-z]){side}(?![a-z])", corner, re.IGNORECASE)):
        return named
    place = device.place if isinstance(device.place, Place) else Place()
    for text in (place.where, place.by):
        if said(r"\bdash\w*|steering|\bwheel\b", text):
            return frozenset({"cockpit"})
        sides = [side for side in ("left", "right") if said(rf"\b{side}\b", text)]
        if len(sides) == 1 and (not said(r"\bcockpit\b", text) or said(rf"\b{sides[0]}[\s-](?:hand[\s-])?side\b", text)):
            return frozenset(sides)
        if said(r"\bcockpit\b", text):
            return frozenset({"cockpit"})
    return frozenset()


@rule("button-misplaced", SUBJECT, "shutdown-buttons")
def button_misplaced(look: Look) -> Iterator[Outcome]:
    """One shutdown button stands on either side of the car and one in the cockpit.

    Why: The marshal comes from either side and the driver cannot reach behind; two buttons on one side leave the other one without.
    Wrong:
        devices: {button_right: {place: {where: left side, by: sidepod}}}
    Right:
        devices: {button_right: {place: {where: right side, by: behind the driver}}}
    Mend: Move the button, or put right its place.
    """
    buttons = list(look.devices("shutdown button"))
    spots = {name: _spots(device) for _, name, device in buttons}
    empty = [spot for spot in _SPOTS if not any(spot in spots[name] for name in spots)]
    unclear = any(not found for found in spots.values())
    taken: set[str] = set()
    for path, name, device in buttons:
        place, where = device.place, (*path, "place", "where")
        if not isinstance(place, Place):
            yield unsaid(place, (*path, "place"), f"the place of {look.printed(name)}", _MUST_STAND)
        elif not spots[name]:
            yield not_evaluated((*path, "place"), f"whether {name} stands on the left, on the right or in the cockpit cannot be told from its place")
        elif spots[name] <= taken and empty and not unclear:
            spot = "in the cockpit" if "cockpit" in spots[name] else f"on the {'/'.join(sorted(spots[name]))}"
            none = " or ".join("in the cockpit" if missing == "cockpit" else f"on the {missing}" for missing in empty)
            yield finding(where, f"{look.printed(name)} is a further one {spot}, and none stands {none}", _MUST_STAND)
        else:
            yield stated(where, f"{look.printed(name)} stands: {place.where or place.by or ', '.join(sorted(spots[name]))}")
        taken |= spots[name]
    yield from absent(look, "shutdown button")


@rule("button-height", SUBJECT, "button-construction")
def button_height(look: Look) -> Iterator[Outcome]:
    """The shutdown buttons on the sides are at the height of the driver's head.

    Why: A marshal who runs to the car reaches for what he sees; low buttons vanish behind a wheel or in grass.
    Wrong:
        devices: {button_left: {place: {height: knee height}}}
    Right:
        devices: {button_left: {place: {height: head height}}}
    Mend: Write its height against the driver under place.height; if it is too low, move it up.
    """
    for path, name, device in look.devices("shutdown button"):
        if not isinstance(device.place, Place) or not _spots(device) & {"left", "right"}:
            yield not_applicable(f"{name} is not said to stand on a side of the car", path)
            continue
        place, height, must = (*path, "place", "height"), device.place.height, "must be head height"
        if not isinstance(height, str):
            yield unsaid(height, place, f"the height of {look.printed(name)}", must)
        elif said(r"\b(?:head|helmet)\b", height):
            yield stated(place, f"{look.printed(name)} is at: {height}")
        elif said(r"\b(?:floor|foot|feet|ankle|knee|hip|waist|seat|elbow|hub|sidepod|low)\b", height):
            yield finding(place, f"{look.printed(name)} is at: {height}", must)
        else:
            yield at_car(place, f"whether {height} is the height of the driver's head at {look.printed(name)}")
    yield from absent(look, "shutdown button")


@rule("button-too-small", SUBJECT, "shutdown-buttons")
def button_too_small(look: Look) -> Iterator[Outcome]:
    """Each shutdown button is at least as wide as the edition demands for its place.

    Why: It is hit with a glove, in haste, by someone who has never seen the car.
    Wrong:
        devices: {button_left: {diameter: 30 mm}}
    Right:
        devices: {button_left: {diameter: 45 mm}}
    Mend: Measure it and write it under diameter; if it is too small, take a larger button.
    """
    for path, name, device in look.devices("shutdown button"):
        spots, place = _spots(device), (*path, "diameter")
        for limit, here in (("cockpit_diameter", spots == {"cockpit"}), ("side_diameter", bool(spots & {"left", "right"}))):
            if here:
                yield measured(look, "shutdown-buttons", limit, device.diameter, place, f"the diameter of {look.printed(name)}")
        if not spots:
            yield not_evaluated(place, f"whether {name} stands on a side or in the cockpit cannot be told")
    yield from absent(look, "shutdown button")


@rule("charger-button-too-small", SUBJECT, "charging-loop")
def charger_button_too_small(look: Look) -> Iterator[Outcome]:
    """The button of the charger is at least as wide as the edition demands.

    Why: A cell that vents on the cart leaves no time to look for a small button.
    Wrong:
        devices: {charger_button: {function: charger button, worked_by: hand, diameter: 16 mm, contact: {at_rest: closed, when_healthy: closed}}}
    Right:
        devices: {charger_button: {function: charger button, worked_by: hand, diameter: 40 mm, contact: {at_rest: closed, when_healthy: closed}}}
    Mend: Measure it and write it under diameter; if it is too small, take a larger button.
    """
    for path, name, device in look.devices("charger button"):
        yield measured(look, "charging-loop", "button_diameter", device.diameter, (*path, "diameter"), f"the diameter of {look.printed(name)}")
    yield from absent(look, "charger button")


_BUTTON_KINDS = rf"{_KINDS['push_pull']}|{_KINDS['push_rotate']}|(?:pull|twist|turn|rotate)[\s-]to[\s-](?:release|reset|unlock)\w*"
_OTHER_BUTTONS = r"momentary|spring[\s-]return|self[\s-]return|toggle|flip|rocker|slide|touch\w*|membrane|capacitive|piezo|key[\s-]?switch|tactile|micro-?\s?switch|light barrier"


@rule("button-kind", SUBJECT, "button-construction")
def button_kind(look: Look) -> Iterator[Outcome]:
    """Each shutdown button is a mechanical push-pull or push-rotate button.

    Why: Pushing must be enough to open it, and only a second, deliberate movement may close it again.
    Wrong:
        devices: {button_left: {kind: rocker switch}}
    Right:
        devices: {button_left: {kind: push-pull}}
    Mend: Take a push-pull or push-rotate button and write under kind which it is.
    """
    must = "must be push-pull or push-rotate"
    for path, name, device in look.devices("shutdown button"):
        place, printed = (*path, "kind"), look.printed(name)
        text = device.kind if device.kind is not None else device.part
        known = isinstance(text, str) and meant(re.compile(rf"(?:{_BUTTON_KINDS})"), text)
        if not isinstance(text, str) or (device.kind is None and not known):
            yield unsaid(None if isinstance(text, str) else text, place, f"the kind of {printed}", must)
        elif known:
            yield stated(place, f"{printed} is: {text}")
        elif meant(re.compile(rf"(?:{_OTHER_BUTTONS})"), text):
            yield finding(place, f"{printed} is: {text}", must)
        else:
            yield not_evaluated(place, f"whether {text}, the kind of {name}, is push-pull or push-rotate cannot be told")
    yield from absent(look, "shutdown button")


@rule("button-symbol-missing", SUBJECT, "button-construction")
def button_symbol_missing(look: Look) -> Iterator[Outcome]:
    """Beside each shutdown button stands its symbol.

    Why: A button without a sign is a button that a stranger does not press.
    Wrong:
        devices: {button_left: {symbol: none}}
    Right:
        devices: {button_left: {symbol: red spark in a white-edged blue triangle}}
    Mend: Put the symbol of the edition beside the button and describe it under symbol.
    """
    for path, name, device in look.devices("shutdown button"):
        place, what = (*path, "symbol"), f"the symbol beside {look.printed(name)}"
        if not isinstance(device.symbol, str):
            yield unsaid(device.symbol, place, what, "must stand beside it")
        elif is_nothing(device.symbol):
            yield finding(place, f"{what}: {device.symbol}", "must stand beside it")
        else:
            yield stated(place, f"{what}: {device.symbol}")
    yield from absent(look, "shutdown button")


@rule("button-not-direct-opening", SUBJECT, "", Severity.WARNING)
def button_not_direct_opening(look: Look) -> Iterator[Outcome]:
    """Evidence is named that the contact of each shutdown button has direct opening action.

    Why: Where the plunger itself forces the contact apart, a weld or a broken spring cannot keep the loop closed.
    Wrong:
        devices: {button_left: {direct_opening: null}}
    Right:
        devices: {button_left: {direct_opening: ds_button}}
    Mend: Look for the sign of direct opening, an arrow in a circle, in the data sheet, and name the sheet under direct_opening.
    """
    for path, name, device in look.devices("shutdown button"):
        place = (*path, "direct_opening")
        if not isinstance(device.direct_opening, str):
            yield unsaid(device.direct_opening, place, f"the evidence for direct opening of {look.printed(name)}", "should be named")
        else:
            yield stated(place, f"{look.printed(name)} opens directly, by {device.direct_opening}")
    yield from absent(look, "shutdown button")


# Master switches


@rule("master-not-direct", SUBJECT, "direct-contacts")
def master_not_direct(look: Look) -> Iterator[Outcome]:
    """Each master switch cuts the current itself, without relay or logic.

    Why: The handle promises that everything behind it is dead; a welded relay breaks that promise and nobody sees it.
    Wrong:
        devices: {ts_master: {direct_acting: through a relay}}
    Right:
        devices: {ts_master: {direct_acting: direct}}
    Mend: Lead the current of the loop, or of the whole low-voltage system, through the switch, and write direct_acting: direct.
    """
    for path, name, device in look.devices(*MASTERS):
        place = (*path, "direct_acting")
        if not isinstance(device.direct_acting, str):
            yield unsaid(device.direct_acting, place, f"how {look.printed(name)} cuts the current", "must be direct")
        elif device.direct_acting != "direct":
            yield finding(place, f"{look.printed(name)} cuts the current {device.direct_acting}", "must be direct")
        else:
            yield stated(place, f"{look.printed(name)} cuts the current itself")
    yield from absent(look, *MASTERS)


@rule("master-not-rotary", SUBJECT, "master-switches")
def master_not_rotary(look: Look) -> Iterator[Outcome]:
    """Each master switch is a rotary switch.

    Why: A turned handle shows from afar whether it is on; a rocker or a push button does not, and is knocked by accident.
    Wrong:
        devices: {ts_master: {handle: "red toggle lever, 55 mm wide"}}
    Right:
        devices: {ts_master: {handle: "red, 60 mm wide, rotary"}}
    Mend: Take a rotary switch and say so under handle.
    """
    for path, name, device in look.devices(*MASTERS):
        texts = [(key, text) for key, text in (("handle", device.handle), ("kind", device.kind), ("part", device.part)) if isinstance(text, str)]
        rotary = [key for key, text in texts if meant(re.compile(r"rotar\w*|rotat\w*|turn\w*|quarter[\s-]turn|twist\w*"), text)]
        other = [(key, text) for key, text in texts if meant(re.compile(r"toggle|rocker|slide\w*|push\w*|pull\w*|flip|plug|relay|contactor|tumbler"), text)]
        if rotary:
            yield stated((*path, rotary[0]), f"{look.printed(name)} is rotary")
        elif other:
            yield finding((*path, other[0][0]), f"{look.printed(name)} is worked by: {other[0][1]}", "must be rotary")
        elif device.handle is None:
            yield not_applicable(f"the handle of {name} is not described", path)
        else:
            yield not_evaluated((*path, "handle"), f"whether {name} is rotary cannot be told from its handle")
    yield from absent(look, *MASTERS)


@rule("master-handle-narrow", SUBJECT, "master-switches")
def master_handle_narrow(look: Look) -> Iterator[Outcome]:
    """The handle of each master switch is at least as wide as the edition demands.

    Why: It has to be gripped and turned with a glove.
    Wrong:
        devices: {ts_master: {handle: "red, 30 mm wide, rotary"}}
    Right:
        devices: {ts_master: {handle: "red, 60 mm wide, rotary"}}
    Mend: Take a wider handle and write its width under handle.
    """
    for path, name, device in look.devices(*MASTERS):
        place, what = (*path, "handle"), f"the width of the handle of {look.printed(name)}"
        width = length_in(device.handle) if isinstance(device.handle, str) else device.handle
        if width is None and said(r"\d\s*[mc]m\b", device.handle):
            yield not_evaluated(place, f"{what} cannot be told from the lengths given")
        else:
            yield measured(look, "master-switches", "handle_width", width, place, what)
    yield from absent(look, *MASTERS)


@rule("master-handle-colour", SUBJECT, "master-switches")
def master_handle_colour(look: Look) -> Iterator[Outcome]:
    """The handle of each master switch has the colour of the edition.

    Why: Red is what a marshal looks for.
    Wrong:
        devices: {ts_master: {handle: "black, 55 mm wide, rotary"}}
    Right:
        devices: {ts_master: {handle: "red, 55 mm wide, rotary"}}
    Mend: Take a handle of that colour and say so under handle.
    """
    for path, name, device in look.devices(*MASTERS):
        if device.handle is None:
            yield not_applicable(f"the handle of {name} is not described", path)
        else:
            yield worded(look, "master-switches", "handle", device.handle, (*path, "handle"), f"the handle of {look.printed(name)}")
    yield from absent(look, *MASTERS)


_COMES_OFF = r"(?:remov\w*|take[ns]?[\s-](?:out|off)|taken|comes?[\s-](?:out|off|away)|pull(?:s|ed)?[\s-](?:out|off)|withdraw\w*|detach\w*|lift(?:s|ed)?[\s-](?:out|off))\b"
_STAYS = r"\b(?:not|never|cannot|can't|non-?removable|fixed|captive|stays|always|glued|tethered)\b"
_HELD_WHEN = r"\b(?:but |and )?(?:not|never|captive|held|stays|locked|fixed|trapped|retained)\b[^,;.]*?\b(?:when|in|while|at)\b[^,;.]*"


def _comes_off_open_only(key: str) -> bool | None:
    """What a text says about a key: that it comes off in the open position only, that it does not, or (None) neither."""
    positive = re.sub(_HELD_WHEN, "", key, flags=re.IGNORECASE)
    if not meant(re.compile(_COMES_OFF), positive):
        return False if is_nothing(key) or said(_STAYS, key) else None
    if said(r"\b(?:closed|both|any|either|every|all|always)\b|\b(?:when|in|while|at) (?:the )?on\b", positive):
        return False
    return True if said(r"\b(?:open|opened|off|isolated)\b", re.sub(_COMES_OFF, "", positive, flags=re.IGNORECASE)) else None


@rule("master-key-stays", SUBJECT, "master-switches")
def master_key_stays(look: Look) -> Iterator[Outcome]:
    """The key or handle of each master switch comes off, and only in the open position.

    Why: Whoever works on the car takes the key along, so that nobody can switch on behind his back.
    Wrong:
        devices: {ts_master: {key: removable in both positions}}
    Right:
        devices: {ts_master: {key: removable when open}}
    Mend: Take a switch whose key comes off when it is open and is held when it is closed; write that under key.
    """
    must = "must come off in the open position only"
    for path, name, device in look.devices(*MASTERS):
        place, key = (*path, "key"), device.key
        if not isinstance(key, str):
            yield unsaid(key, place, f"when the key of {look.printed(name)} comes off", must)
            continue
        comes_off = _comes_off_open_only(key)
        if comes_off is None:
            yield not_evaluated(place, f"whether the key of {name} comes off in the open position only cannot be told")
        elif comes_off:
            yield stated(place, f"the key of {look.printed(name)}: {key}")
        else:
            yield finding(place, f"the key of {look.printed(name)}: {key}", must)
    yield from absent(look, *MASTERS)


@rule("master-misplaced", SUBJECT, "master-switches")
def master_misplaced(look: Look) -> Iterator[Outcome]:
    """Both master switches sit on the right side of the car.

    Why: The crew that comes to help knows one place and goes there.
    Wrong:
        devices: {ts_master: {place: {where: dashboard}}}
    Right:
        devices: {ts_master: {place: {where: right side, by: main hoop}}}
    Mend: Move the switch to the right side beside the main hoop, or put right its place.
    """
    must = "must be the right side, near the main hoop"
    for path, name, device in look.devices(*MASTERS):
        place = (*path, "place", "where")
        where = device.place.where if isinstance(device.place, Place) else device.place
        if not isinstance(where, str):
            yield unsaid(where, place, f"the place of {look.printed(name)}", must)
        elif isinstance(device.place, Place) and _is_right(device.place):
            yield stated(place, f"{look.printed(name)} sits: {where}")
        elif said(r"\b(?:left|dash\w*|cockpit|front|nose|steering|seat|rear|inside)\b", where):
            yield finding(place, f"{look.printed(name)} sits: {where}", must)
        else:
            yield not_evaluated(place, f"on which side {name} sits cannot be told from its place")
    yield from absent(look, *MASTERS)


def _is_right(place: Place) -> bool:
    return any(said(r"\bright\b", text) for text in (place.where, place.by)) and not any(said(r"\b(?:left|cockpit|dash\w*)\b", text) for text in (place.where, place.by))


@rule("master-height", SUBJECT, "master-switches")
def master_height(look: Look) -> Iterator[Outcome]:
    """The height of each master switch is given, for comparison with the driver's shoulder.

    Why: Somebody standing beside the car has to reach it without kneeling.
    Wrong:
        devices: {ts_master: {place: {height: null}}}
    Right:
        devices: {ts_master: {place: {height: 850 mm}}}
    Mend: Measure it above ground and write it under place.height.
    """
    for path, name, device in look.devices(*MASTERS):
        if not isinstance(device.place, Place):
            yield not_applicable(f"the place of {name} is not described", path)
            continue
        height, place = device.place.height, (*path, "place", "height")
        if not isinstance(height, str):
            yield unsaid(height, place, f"the height of {look.printed(name)}", "must be given")
        elif said(r"\b(?:floor|foot|feet|ankle|knee|hip|waist|seat|hub)\b", height):
            yield finding(place, f"{look.printed(name)} is at: {height}", "must be at shoulder height")
        else:
            yield at_car(place, f"whether {height} is the height of the driver's shoulder at {look.printed(name)}")
    yield from absent(look, *MASTERS)


@rule("masters-apart", SUBJECT, "master-switches")
def masters_apart(look: Look) -> Iterator[Outcome]:
    """The two master switches sit side by side.

    Why: Who switches one off switches the other one off too, if it is under the same hand.
    Wrong:
        devices: {ts_master: {place: {height: 420 mm}}}
    Right:
        devices: {ts_master: {place: {by: "main hoop, beside the LV master"}}}
    Mend: Move them together.
    """
    first, second = (next(look.devices(function), None) for function in MASTERS)
    if first is None or second is None or not isinstance(first[2].place, Place) or not isinstance(second[2].place, Place):
        yield not_applicable("the places of two master switches are not described")
        return
    (_, _, lv), (path, name, ts) = first, second
    if not (_is_right(first[2].place) and _is_right(second[2].place)):
        yield not_applicable("a master switch that does not sit on the right side is a finding of its own")
        return
    heights = [length_in(place.height) if isinstance(place.height, str) else None for place in (first[2].place, second[2].place)]
    sizes = [device.disc.diameter for device in (lv, ts) if isinstance(device.disc, Disc) and isinstance(device.disc.diameter, Quantity)]
    lower, upper = heights
    if lower and upper and len(sizes) == 2 and abs(lower.value - upper.value) >= max(size.value for size in sizes):
        yield finding((*path, "place", "height"), f"{look.printed(name)} is at {upper} and the {look.edition.term(MASTERS[0])} at {lower}", "must be side by side")
    else:
        yield at_car((*path, "place"), "whether the two master switches sit side by side")


def _discs(look: Look, function: str) -> Iterator[tuple[Path, str, Disc | Unknown | None]]:
    for path, name, device in look.devices(function):
        yield (*path, "disc"), look.printed(name), device.disc


def _disc_size(look: Look, function: str, topic: str) -> Iterator[Outcome]:
    for place, printed, disc in _discs(look, function):
        diameter = disc.diameter if isinstance(disc, Disc) else disc
        yield measured(look, topic, "disc", diameter, (*place, "diameter"), f"the diameter of the disc under {printed}")
    yield from absent(look, function)


def _disc_words(look: Look, function: str, topic: str, field: str) -> Iterator[Outcome]:
    for place, printed, disc in _discs(look, function):
        if disc is None:
            yield not_applicable(f"no disc under {printed} is described", place[:-1])
        else:
            text = getattr(disc, field) if isinstance(disc, Disc) else disc
            yield worded(look, topic, field, text, (*place, field), f"the {field} of the disc under {printed}")
    yield from absent(look, function)


@rule("lv-master-disc-small", SUBJECT, "lv-master")
def lv_master_disc_small(look: Look) -> Iterator[Outcome]:
    """The LV master sits on a disc at least as large as the edition demands.

    Why: The disc is what is seen; the switch alone disappears in the bodywork.
    Wrong:
        devices: {lv_master: {disc: {diameter: 40 mm}}}
    Right:
        devices: {lv_master: {disc: {diameter: 60 mm}}}
    Mend: Make the disc larger and describe it under disc.
    """
    yield from _disc_size(look, "LV master switch", "lv-master")


@rule("lv-master-disc-colour", SUBJECT, "lv-master")
def lv_master_disc_colour(look: Look) -> Iterator[Outcome]:
    """The disc under the LV master has the colour of the edition.

    Why: Red for low voltage and orange for the tractive system tell two equal switches apart.
    Wrong:
        devices: {lv_master: {disc: {colour: yellow}}}
    Right:
        devices: {lv_master: {disc: {colour: red}}}
    Mend: Change the disc, or put right its colour.
    """
    yield from _disc_words(look, "LV master switch", "lv-master", "colour")


@rule("lv-master-label", SUBJECT, "lv-master")
def lv_master_label(look: Look) -> Iterator[Outcome]:
    """The disc under the LV master carries its label.

    Why: Two equal switches side by side must not be taken for each other.
    Wrong:
        devices: {lv_master: {disc: {label: MAIN}}}
    Right:
        devices: {lv_master: {disc: {label: LV with red spark in a white-edged blue triangle}}}
    Mend: Put the lettering of the edition on the disc.
    """
    yield from _disc_words(look, "LV master switch", "lv-master", "label")


@rule("ts-master-disc-small", SUBJECT, "ts-master")
def ts_master_disc_small(look: Look) -> Iterator[Outcome]:
    """The TS master sits on a disc at least as large as the edition demands.

    Why: The disc is what is seen; the switch alone disappears in the bodywork.
    Wrong:
        devices: {ts_master: {disc: {diameter: 40 mm}}}
    Right:
        devices: {ts_master: {disc: {diameter: 60 mm}}}
    Mend: Make the disc larger and describe it under disc.
    """
    yield from _disc_size(look, "TS master switch", "ts-master")


@rule("ts-master-disc-colour", SUBJECT, "ts-master")
def ts_master_disc_colour(look: Look) -> Iterator[Outcome]:
    """The disc under the TS master has the colour of the edition.

    Why: Red for low voltage and orange for the tractive system tell two equal switches apart.
    Wrong:
        devices: {ts_master: {disc: {colour: red}}}
    Right:
        devices: {ts_master: {disc: {colour: orange}}}
    Mend: Change the disc, or put right its colour.
    """
    yield from _disc_words(look, "TS master switch", "ts-master", "colour")


@rule("ts-master-label", SUBJECT, "ts-master")
def ts_master_label(look: Look) -> Iterator[Outcome]:
    """The disc under the TS master carries its label.

    Why: Two equal switches side by side must not be taken for each other.
    Wrong:
        devices: {ts_master: {disc: {label: HV}}}
    Right:
        devices: {ts_master: {disc: {label: TS with the sign for dangerous voltage}}}
    Mend: Put the lettering of the edition on the disc.
    """
    yield from _disc_words(look, "TS master switch", "ts-master", "label")


@rule("ts-master-no-lockout", SUBJECT, "ts-master-lockout")
def ts_master_no_lockout(look: Look) -> Iterator[Outcome]:
    """The TS master can be locked in the open position.

    Why: Hands in the accumulator are safe while a padlock, and not a promise, keeps the switch open.
    Wrong:
        devices: {ts_master: {lockout: none}}
    Right:
        devices: {ts_master: {lockout: hole for a padlock in the open position}}
    Mend: Take a switch with a hole for a padlock and describe it under lockout.
    """
    for path, name, device in look.devices("TS master switch"):
        place, what = (*path, "lockout"), f"how {look.printed(name)} is locked off"
        if not isinstance(device.lockout, str):
            yield unsaid(device.lockout, place, what, "must be lockable in the open position")
        elif is_nothing(device.lockout):
            yield finding(place, f"{what}: {device.lockout}", "must be lockable in the open position")
        else:
            yield stated(place, f"{what}: {device.lockout}")
    yield from absent(look, "TS master switch")


_ROLE = (
    r"officer|lead(?:er)?|captain|engineer|manager|advis[eo]r|chief|marshal|inspector|head|responsible|member|technician|supervisor|coordinator|director|mechanic"
    r"|crew|team|person|eso|esr|ese|staff|electrician|deputy|role|whoever|guard|safety"
)


@rule("key-holder-not-named", SUBJECT, "", Severity.WARNING)
def key_holder_not_named(look: Look) -> Iterator[Outcome]:
    """A role is named that keeps the key of each master switch.

    Why: A key that everyone may have is in the switch when somebody reaches into the accumulator.
    Wrong:
        devices: {ts_master: {key_kept_by: null}}
    Right:
        devices: {ts_master: {key_kept_by: electrical safety officer}}
    Mend: Name the role, not a person, under key_kept_by.
    """
    for path, name, device in look.devices(*MASTERS):
        place, keeper = (*path, "key_kept_by"), device.key_kept_by
        if not isinstance(keeper, str):
            yield unsaid(keeper, place, f"who keeps the key of {look.printed(name)}", "should be a role, such as electrical safety officer")
        elif is_nothing(keeper) or said(r"^(?:nobody|no one|anyone|anybody|everyone|everybody)\b|\b(?:left|stays|always) in\b|^in the (?:car|switch)\b", keeper):
            yield finding(place, f"the key of {look.printed(name)} is kept by: {keeper}", "should be a role, such as electrical safety officer")
        elif re.fullmatch(r"(?:(?:mr|mrs|ms|dr|prof)\.? )?[^\W\d_a-z][\w'’.-]+(?: [^\W\d_a-z][\w'’.-]*)+", keeper.strip()) and not said(rf"\b(?:{_ROLE})\b|leiter|obmann|beauftragt", keeper):
            yield finding(place, f"the key of {look.printed(name)} is kept by {keeper}, which reads like a person's name", "should be a role, such as electrical safety officer")
        else:
            yield stated(place, f"the key of {look.printed(name)} is kept by: {keeper}")
    yield from absent(look, *MASTERS)


RULES = (
    inertia_fixing_soft,
    inertia_not_removable,
    inertia_trip_value,
    inertia_one_direction,
    inertia_semiconductor,
    over_travel_one_circuit,
    over_travel_kind,
    over_travel_margin,
    button_misplaced,
    button_height,
    button_too_small,
    charger_button_too_small,
    button_kind,
    button_symbol_missing,
    button_not_direct_opening,
    master_not_direct,
    master_not_rotary,
    master_handle_narrow,
    master_handle_colour,
    master_key_stays,
    master_misplaced,
    master_height,
    masters_apart,
    lv_master_disc_small,
    lv_master_disc_colour,
    lv_master_label,
    ts_master_disc_small,
    ts_master_disc_colour,
    ts_master_label,
    ts_master_no_lockout,
    key_holder_not_named,
)
