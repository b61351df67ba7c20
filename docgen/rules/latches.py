"""Latch and reset."""

import re
from collections.abc import Iterator

from docgen.analysis import calculations
from docgen.calculation import of
from docgen.car.device import Delay, Device, Latch, Place, Reset
from docgen.car.values import Unknown
from docgen.finding import Outcome, Severity, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import Look, keeps
from docgen.printing import listed
from docgen.provenance import Path
from docgen.quantity import Quantity
from docgen.rules.fields import absent, all_meant, meant
from docgen.rules.numbers import outcome_of

SUBJECT = "Latch and reset"

LATCHED = ("insulation monitor", "battery management")


def _latched(look: Look) -> Iterator[tuple[Path, str, Device]]:
    return look.devices(*LATCHED)


def _never_self_reset(look: Look) -> Iterator[tuple[Path, str, Device]]:
    """The monitors, and the brake plausibility device where the edition does not let it come back by itself."""
    too = look.edition.topic("plausibility-reset").words.get("self_reset") == "not allowed"
    return look.devices(*LATCHED, *(["brake plausibility device"] if too else []))


@rule("latch-missing", SUBJECT, "monitor-latch")
def latch_missing(look: Look) -> Iterator[Outcome]:
    """A trip of the insulation monitor or the battery management is latched.

    Why: A fault that comes and goes must not bring the tractive system back by itself. Where the edition does not let the brake
        plausibility device come back by itself, the same holds for that.
    Wrong:
        devices: {imd: {latch: null}}
    Right:
        devices: {imd: {latch: {by: self-hold of K1}}}
    Mend: Describe under latch what keeps the loop open until somebody resets it.
    """
    devices = list(_never_self_reset(look))
    for path, name, device in devices:
        if device.latch is None:
            yield finding(path, f"{look.printed(name)} describes no latch", "must stay tripped until it is reset by hand")
        elif isinstance(device.latch, Unknown) or isinstance(device.latch.by, Unknown):
            yield not_evaluated((*path, "latch"), f"the latch of {name} is unknown")
        else:
            yield stated((*path, "latch"), f"{look.printed(name)} is latched by {device.latch.by or 'what is described'}")
    if not devices:
        yield not_applicable("no system that must latch is described")


@rule("latch-programmable", SUBJECT, "monitor-latch")
def latch_programmable(look: Look) -> Iterator[Outcome]:
    """The latch of the insulation monitor and of the battery management is not programmable.

    Why: A program forgets its latch when it restarts.
    Wrong:
        devices: {imd: {latch: {logic: programmable}}}
    Right:
        devices: {imd: {latch: {logic: hard-wired}}}
    Mend: Latch by hard-wired parts, such as the self-hold of the output relay.
    """
    judged = False
    for path, name, device in _latched(look):
        if not isinstance(device.latch, Latch):
            continue
        judged = True
        if device.latch.logic == "programmable":
            yield finding((*path, "latch", "logic"), f"a program holds the latch of {look.printed(name)}", "must be hard-wired")
        elif isinstance(device.latch.logic, str):
            yield stated((*path, "latch", "logic"), f"the latch of {look.printed(name)} is held by {device.latch.logic} parts")
        else:
            yield not_evaluated((*path, "latch"), f"what holds the latch of {name} is not said")
    if not judged:
        yield not_applicable("no latch is described")


@rule("reset-not-stated", SUBJECT, "monitor-reset")
def reset_not_stated(look: Look) -> Iterator[Outcome]:
    """It is said who resets the insulation monitor and the battery management, by which act and from where.

    Why: What nobody has written down, the driver does from the seat.
    Wrong:
        devices: {imd: {reset: null}}
    Right:
        devices: {imd: {reset: {act: key switch, where: right side panel, who: anyone but the driver}}}
    Mend: Describe act, where and who under reset.
    """
    for path, name, device in _latched(look):
        reset = device.reset
        if isinstance(reset, Unknown):
            yield not_evaluated((*path, "reset"), f"the reset of {name} is unknown")
            continue
        given = {"act": reset.act, "where": reset.where, "who": reset.who} if isinstance(reset, Reset) else {"act": None, "where": None, "who": None}
        missing = [key for key, value in given.items() if value is None]
        if missing:
            was = f"the reset of {look.printed(name)} does not say {listed(missing)}" if reset else f"{look.printed(name)} describes no reset"
            yield finding((*path, "reset"), was, "must say act, where and who")
        elif unknown := [key for key, value in given.items() if isinstance(value, Unknown)]:
            yield not_evaluated((*path, "reset", unknown[0]), f"{unknown[0]} of the reset of {name} is unknown")
        else:
            yield stated((*path, "reset"), f"{look.printed(name)} is reset by {given['who']}: {given['act']}, {given['where']}")
    yield from absent(look, *LATCHED)


@rule("reset-by-driver", SUBJECT, "monitor-reset")
def reset_by_driver(look: Look) -> Iterator[Outcome]:
    """The insulation monitor and the battery management cannot be reset by the driver, nor by themselves.

    Why: Somebody has to get out and look before a car with a fault goes on.
    Wrong:
        devices: {imd: {reset: {who: anyone}}}
    Right:
        devices: {imd: {reset: {who: anyone but the driver}}}
    Mend: Move the reset out of the driver's reach and write who: anyone but the driver.
    """
    for path, name, device in _latched(look):
        reset = device.reset
        if not isinstance(reset, Reset):
            yield not_evaluated((*path, "reset"), f"the reset of {name} is not described")
        elif field := _resets_itself(reset):
            yield finding((*path, "reset", field), f"{look.printed(name)} resets itself{_after(reset)}", "must be reset by hand")
        elif reset.who in ("driver", "anyone"):
            yield finding((*path, "reset", "who"), f"{look.printed(name)} can be reset by {'the driver' if reset.who == 'driver' else 'anyone, the driver too'}", "must be anyone but the driver")
        elif isinstance(reset.who, str):
            yield stated((*path, "reset", "who"), f"{look.printed(name)} is reset by {reset.who}")
        else:
            yield not_evaluated((*path, "reset"), f"who resets {name} is not said")
    yield from absent(look, *LATCHED)


_COCKPIT_BUTTON = re.compile(r"cockpit (?:shutdown |emergency )?button\b", re.IGNORECASE)
_ANY_SWITCH = re.compile(r"(?:TS ?MS|(?:TS|tractive[ -]system) master|(?:shutdown|emergency|cockpit|side) buttons?)\b", re.IGNORECASE)
_BESIDE = re.compile(r"\b(?:beside|next to|near|below|above|under|behind|by|of|at|on|from)\s+(?:the\s+)?$", re.IGNORECASE)


@rule("reset-by-loop-switch", SUBJECT, "monitor-reset")
def reset_by_loop_switch(look: Look) -> Iterator[Outcome]:
    """A system that has tripped is not reset by the cockpit button nor, where the edition says so, by another button or the TS master.

    Why: The driver works the cockpit button. And a fault that is cleared by what is worked a dozen times a day is cleared without
        anyone having looked.
    Wrong:
        devices: {ams: {reset: {act: press button_cockpit and pull it out again}}}
    Right:
        devices: {ams: {reset: {act: key switch}}}
    Mend: Give the reset a switch of its own at the car.
    """
    every = look.edition.topic("monitor-reset").words.get("loop_switches") == "not allowed"
    pattern, which = (_ANY_SWITCH, "a shutdown button or the TS master") if every else (_COCKPIT_BUTTON, "the cockpit button")
    buttons = {name for _, name, device in look.devices("shutdown button") if every or _within_reach(device)}
    switches = buttons | ({name for _, name, _ in look.devices("TS master switch")} if every else set())
    judged = False
    for path, name, device in _never_self_reset(look):
        act = device.reset.act if isinstance(device.reset, Reset) else None
        if not isinstance(act, str):
            continue
        judged = True
        named = [match for match in re.finditer(r"[\w-]+", act) if match[0] in switches]
        if any(not _BESIDE.search(act[: match.start()]) for match in (*all_meant(pattern, act), *named)):
            yield finding((*path, "reset", "act"), f"{look.printed(name)} is reset by: {act}", f"must not be reset by {which}")
        else:
            yield stated((*path, "reset", "act"), f"{look.printed(name)} is reset by: {act}")
    if not judged:
        yield not_applicable("no act is described that resets a system")


_IN_REACH = re.compile(r"(?:cockpit|dash(?:board)?|steering wheel|instrument panel|(?:driver(?:['’]?s)? )?seat)\b(?! back)", re.IGNORECASE)
_OUT_OF_REACH = re.compile(r"\b(?:outside|behind|beyond|beneath|out of (?:the (?:driver['’]?s )?)?reach|not reach\w+|unreach\w+|cannot reach|from (?:the )?front|nose (?:cone )?(?:off|taken off))\b", re.IGNORECASE)


def _within_reach(device: Device) -> bool:
    where = device.place.where if isinstance(device.place, Place) else None
    return isinstance(where, str) and _reached(where)


def _reached(where: str) -> bool:
    """Whether a place in words is one that the belted driver reaches."""
    return bool(meant(_IN_REACH, where)) and not _OUT_OF_REACH.search(where)


@rule("reset-within-reach", SUBJECT, "monitor-reset")
def reset_within_reach(look: Look) -> Iterator[Outcome]:
    """A reset that is said not to be the driver's does not sit where the driver sits.

    Why: What can be reached with the belts on is pressed with the belts on.
    Wrong:
        devices: {imd: {reset: {where: "dashboard, left of the steering wheel"}}}
    Right:
        devices: {imd: {reset: {where: "right side, outside the cockpit"}}}
    Mend: Move the reset to the outside of the car, and write where.
    """
    judged = False
    resetting: dict[str, list[str]] = {}
    for path, name, device in _never_self_reset(look):
        if not isinstance(device.reset, Reset) or device.reset.who != "anyone but the driver":
            continue
        act = device.reset.act if isinstance(device.reset.act, str) else ""
        used = [word for word in re.findall(r"[\w-]+", act) if word in look.car.devices and look.car.devices[word].function != "shutdown button"]
        where, place = device.reset.where, (*path, "reset", "where")
        if isinstance(where, str) and _reached(where):
            judged = True
            yield finding(place, f"the reset of {look.printed(name)} is said not to be the driver's and is here: {where}", "must be out of the reach of the belted driver")
        elif near := next((word for word in used if _within_reach(look.car.devices[word])), None):
            resetting.setdefault(near, []).append(look.printed(name))
        elif isinstance(where, str):
            judged = True
            yield stated(place, f"the reset of {look.printed(name)} is here: {where}")
    for switch, systems in resetting.items():
        yield finding(("devices", switch, "place", "where"), f"{switch}, which resets {listed(systems)}, is within the driver's reach", "must be out of it")
    if not judged and not resetting:
        yield not_applicable("no reset is said to be anyone's but the driver's and where it is")


@rule("latch-forgets", SUBJECT, "monitor-latch")
def latch_forgets(look: Look) -> Iterator[Outcome]:
    """A latch that has lost its feed comes back tripped, not healthy.

    Why: A latch that wakes up healthy is cleared by every loose plug and every cycle of the low-voltage master.
    Wrong:
        devices: {imd: {latch: {when_feed_returns: closed}}}
    Right:
        devices: {imd: {latch: {when_feed_returns: open}}}
    Mend: Let the latch need the reset after every power-up, as the self-hold of a relay does, and write when_feed_returns: open.
    """
    judged = False
    for path, name, device in _never_self_reset(look):
        latch = device.latch
        if not isinstance(latch, Latch):
            continue
        judged = True
        place = (*path, "latch", "when_feed_returns")
        if latch.logic == "mechanism":
            yield holds((*path, "latch", "logic"), f"the latch of {look.printed(name)} is a mechanism and needs no feed")
        elif latch.when_feed_returns is None:
            yield finding(place, f"the state in which the latch of {look.printed(name)} comes back after losing its feed is not said", "must be open")
        elif isinstance(latch.when_feed_returns, Unknown):
            yield not_evaluated(place, f"the state in which the latch of {name} comes back is unknown")
        elif latch.when_feed_returns == "closed":
            yield finding(place, f"the latch of {look.printed(name)} comes back closed when its feed returns", "must come back open")
        else:
            yield stated(place, f"the latch of {look.printed(name)} comes back open when its feed returns")
    if not judged:
        yield not_applicable("no latch is described")


@rule("latch-cleared-by-lv-master", SUBJECT, "", Severity.WARNING)
def latch_cleared_by_lv_master(look: Look) -> Iterator[Outcome]:
    """A trip of the insulation monitor or of the battery management outlasts switching the LV master off and on.

    Why: Whoever switches off and on again to make a fault go away has not looked for it.
    Wrong:
        devices: {imd: {reset: {by_lv_master: clears}}}
    Right:
        devices: {imd: {reset: {by_lv_master: stays tripped}}, ams: {reset: {by_lv_master: stays tripped}}}
    Mend: Let only the reset by hand close the latch again, also after power-up, and write by_lv_master: stays tripped.
    """
    judged = False
    for path, name, device in _latched(look):
        if not isinstance(device.reset, Reset):
            continue
        judged = True
        place = (*path, "reset", "by_lv_master")
        if device.reset.by_lv_master == "clears":
            yield finding(place, f"switching the LV master off and on clears the trip of {look.printed(name)}", "must stay tripped")
        elif device.reset.by_lv_master == "stays tripped":
            yield stated(place, f"{look.printed(name)} stays tripped when the LV master is switched off and on")
        else:
            yield not_evaluated(place, f"what the LV master does to the trip of {name} is not known")
    if not judged:
        yield not_applicable("no reset of a monitor is described")


@rule("plausibility-reset-not-stated", SUBJECT, "plausibility-reset")
def plausibility_reset_not_stated(look: Look) -> Iterator[Outcome]:
    """It is said what closes the loop again after the brake plausibility device has opened it.

    Why: Someone has to know at the track whether to wait, to switch or to walk to the car.
    Wrong:
        devices: {bspd: {reset: null}}
    Right:
        devices: {bspd: {reset: {self_after: 12 s ± 5 %}}}
    Mend: Give self_after, by_lv_master, or act and who, under reset.
    """
    for path, name, device in _plausibility(look):
        reset = device.reset
        given = [reset.self_after, reset.timing, reset.by_lv_master, reset.act, reset.who] if isinstance(reset, Reset) else [reset]
        if isinstance(reset, Reset) and (ways := _ways(reset)):
            yield stated((*path, "reset"), f"{look.printed(name)} comes back {' or '.join(_WAYS[way] for _, way in ways)}")
        elif any(isinstance(value, Unknown) for value in given):
            yield not_evaluated((*path, "reset"), f"the reset of {name} is unknown")
        else:
            yield finding((*path, "reset"), f"nothing is said that brings {look.printed(name)} back", "must say so")
    yield from absent(look, "brake plausibility device")


def _plausibility(look: Look) -> list[tuple[Path, str, Device]]:
    return list(look.devices("brake plausibility device"))


_WAYS = {"self_reset": "by itself", "lv_master": "by cycling the LV master", "person": "by a person at the car, not the driver"}
"""Way of a reset, as an edition calls it, and in words."""

_LV_MASTER = re.compile(r"\bG?LV ?MS\b|\bG?LV (?:master|off|supply|system)|\blow[- ]voltage (?:master|supply|system)|\bpower[- ]cycl", re.IGNORECASE)
_NO_ACT = re.compile(r"\s*(?:none|nothing|no act|no action|not needed|automatic(?:ally)?|by itself)\b", re.IGNORECASE)


def _resets_itself(reset: Reset) -> str:
    """The field that says that a device comes back by itself; empty where none does."""
    return "timing" if isinstance(reset.timing, Delay) else "self_after" if isinstance(reset.self_after, Quantity) else ""


def _after(reset: Reset) -> str:
    return f" after {reset.self_after}" if isinstance(reset.self_after, Quantity) else ""


def _ways(reset: Reset) -> list[tuple[str, str]]:
    """The ways of a reset: the field that describes each, and the name under which editions know it."""
    ways = [(field, "self_reset")] if (field := _resets_itself(reset)) else []
    ways += [("by_lv_master", "lv_master")] if reset.by_lv_master == "clears" else []
    act = reset.act if isinstance(reset.act, str) and not _NO_ACT.match(reset.act) else ""
    if act and _LV_MASTER.search(act):
        return ways if reset.by_lv_master == "clears" else [*ways, ("act", "lv_master")]
    if reset.who == "nobody":
        return ways
    if reset.who in ("driver", "anyone") or (isinstance(reset.who, str) and (act or not ways)):
        return [*ways, ("who", "person")]
    return [*ways, ("act", "person")] if act else ways


def _words(look: Look) -> dict[str, str]:
    return look.edition.topic("plausibility-reset").words


@rule("plausibility-reset-way", SUBJECT, "plausibility-reset")
def plausibility_reset_way(look: Look) -> Iterator[Outcome]:
    """The brake plausibility device comes back only in a way that the edition allows.

    Why: A button that brings it back invites pressing it; the driver has no control over it in any edition.
    Wrong:
        devices: {bspd: {reset: {act: reset button, where: dashboard, who: driver}}}
    Right:
        devices: {bspd: {reset: {by_lv_master: clears, who: nobody}}}
    Mend: Take the way out of the circuit that the edition does not know.
    """
    words = _words(look)
    allowed = " or ".join(text for way, text in _WAYS.items() if words.get(way) == "allowed")
    judged = False
    for path, name, device in _plausibility(look):
        reset = device.reset
        for field, way in _ways(reset) if isinstance(reset, Reset) else ():
            judged = True
            place = (*path, "reset", field)
            by_driver = way == "person" and isinstance(reset, Reset) and reset.who in ("driver", "anyone")
            if words.get(way) == "not allowed" or by_driver:
                how = "by the driver" if by_driver else "by a person" if way == "person" else _WAYS[way]
                yield finding(place, f"{look.printed(name)} can come back {how}", f"must come back only {allowed}")
            elif words.get(way) == "allowed":
                yield stated(place, f"{look.printed(name)} comes back {_WAYS[way]}")
            else:
                yield not_evaluated(place, f"whether it may come back {_WAYS[way]} was not read in {look.edition.name}")
    if not judged:
        yield not_applicable("no reset of a brake plausibility device is described")


@rule("plausibility-self-reset-too-early", SUBJECT, "plausibility-reset")
def plausibility_self_reset_too_early(look: Look) -> Iterator[Outcome]:
    """The brake plausibility device comes back by itself no earlier than the edition allows, with all tolerances against it.

    Why: A timer of resistor and capacitor at its nominal value comes back too early in half of the cars built.
    Wrong:
        devices: {bspd: {reset: {self_after: 10 s ± 10 %}}}
    Right:
        devices: {bspd: {reset: {self_after: 12 s ± 5 %}}}
    Mend: Lengthen the timer until its shortest time keeps the limit.
    """
    found = look.limit("plausibility-reset", "self_after")
    judged = False
    for path, name, device in _plausibility(look):
        after = device.reset.self_after if isinstance(device.reset, Reset) else None
        place = (*path, "reset", "self_after")
        made = isinstance(device.reset, Reset) and isinstance(device.reset.timing, Delay)
        if (after is None and not made) or _words(look).get("self_reset") == "not allowed":
            continue
        judged = True
        if made:
            yield from (outcome_of(figure) for figure in of(calculations(look), "plausibility-self-reset") if figure.about[:2] == path)
        elif after is None or isinstance(after, Unknown):
            yield not_evaluated(place, f"the time after which {name} comes back is unknown")
        elif found is None:
            yield not_evaluated(place, f"a limit for the time until it comes back was not read in {look.edition.name}")
        elif keeps(*found, after):
            yield holds(place, f"{look.printed(name)} comes back after {after}, at the earliest {after.low.normalize():f} s")
        else:
            yield finding(place, f"{look.printed(name)} comes back after {after}, at the earliest {after.low.normalize():f} s", f"must be {found[0].compare} {found[0].value}")
    if not judged:
        yield not_applicable("no brake plausibility device comes back by itself, or the edition allows none to")


def _stays_tripped(look: Look, function: str, must: str) -> Iterator[Outcome]:
    """One outcome for each switch of a function: whether it stays open once it has tripped."""
    judged = False
    for path, name, device in look.devices(function):
        judged = True
        latch, reset = device.latch, device.reset
        if isinstance(reset, Reset) and (field := _resets_itself(reset)):
            yield finding((*path, "reset", field), f"{look.printed(name)} closes by itself{_after(reset)}", must)
        elif isinstance(latch, Unknown):
            yield not_evaluated((*path, "latch"), f"the latch of {name} is unknown")
        elif latch is None or (latch.by is None and latch.logic is None):
            yield finding((*path, "latch"), f"{look.printed(name)} describes nothing that keeps it open", must)
        else:
            yield stated((*path, "latch"), f"{look.printed(name)} is kept open by {latch.by if isinstance(latch.by, str) else 'what is described'}")
    if not judged:
        yield not_applicable(f"no {function} is described")


@rule("over-travel-not-latched", SUBJECT, "over-travel-reset")
def over_travel_not_latched(look: Look) -> Iterator[Outcome]:
    """The brake over-travel switch stays open once the pedal has moved it.

    Why: The pedal comes back when the driver lifts the foot; the brake circuit that failed does not.
    Wrong:
        devices: {over_travel_switch: {latch: null}}
    Right:
        devices: {over_travel_switch: {latch: {by: mechanism, logic: mechanism, push_again: stays open}}}
    Mend: Take a switch that stays where the pedal has put it, and describe that under latch.
    """
    yield from _stays_tripped(look, "brake over-travel switch", "must stay open until it is reset")


@rule("over-travel-second-push", SUBJECT, "over-travel-reset")
def over_travel_second_push(look: Look) -> Iterator[Outcome]:
    """A second push on the brake over-travel switch does not close it.

    Why: A driver whose pedal went to the floor pumps it.
    Wrong:
        devices: {over_travel_switch: {latch: {push_again: closes}}}
    Right:
        devices: {over_travel_switch: {latch: {push_again: stays open}}}
    Mend: Take a flip or push-pull switch instead of one that changes its state with every push.
    """
    judged = False
    for path, name, device in look.devices("brake over-travel switch"):
        if not isinstance(device.latch, Latch):
            continue
        judged = True
        place = (*path, "latch", "push_again")
        if device.latch.push_again is None:
            yield finding(place, f"what a second push does to {look.printed(name)} is not said", "must stay open")
        elif isinstance(device.latch.push_again, Unknown):
            yield not_evaluated(place, f"what a second push does to {name} is unknown")
        elif device.latch.push_again == "closes":
            yield finding(place, f"a second push closes {look.printed(name)}", "must stay open")
        else:
            yield stated(place, f"{look.printed(name)} stays open on a second push")
    if not judged:
        yield not_applicable("no latch of a brake over-travel switch is described")


@rule("over-travel-reset-by-driver", SUBJECT, "over-travel-reset")
def over_travel_reset_by_driver(look: Look) -> Iterator[Outcome]:
    """The driver cannot reset the brake over-travel switch.

    Why: A car that has lost a brake circuit is not driven on from the seat.
    Wrong:
        devices: {over_travel_switch: {reset: {who: driver}}}
    Right:
        devices: {over_travel_switch: {reset: {who: anyone but the driver}}}
    Mend: Put the switch out of the belted driver's reach, and write who: anyone but the driver.
    """
    judged = False
    for path, name, device in look.devices("brake over-travel switch"):
        judged = True
        who = device.reset.who if isinstance(device.reset, Reset) else device.reset
        place = (*path, "reset", "who")
        if who is None:
            yield finding(place, f"who resets {look.printed(name)} is not said", "must be anyone but the driver")
        elif isinstance(who, Unknown):
            yield not_evaluated(place, f"who resets {name} is unknown")
        elif who in ("driver", "anyone"):
            yield finding(place, f"{look.printed(name)} can be reset by {'the driver' if who == 'driver' else 'anyone, the driver too'}", "must be anyone but the driver")
        else:
            yield stated(place, f"{look.printed(name)} is reset by {who}")
    if not judged:
        yield not_applicable("no brake over-travel switch is described")


@rule("inertia-switch-not-latched", SUBJECT, "inertia-switch")
def inertia_switch_not_latched(look: Look) -> Iterator[Outcome]:
    """The inertia switch stays open once it has tripped, until it is reset by hand.

    Why: An impact lasts a tenth of a second; without a latch the tractive system is back before the car stands still.
    Wrong:
        devices: {inertia_switch: {latch: null}}
    Right:
        devices: {inertia_switch: {latch: {by: mechanism, logic: mechanism}}}
    Mend: Take an inertia switch that latches, and describe that under latch.
    """
    yield from _stays_tripped(look, "inertia switch", "must stay open until it is reset by hand")


@rule("button-not-latched", SUBJECT, "shutdown-buttons")
def button_not_latched(look: Look) -> Iterator[Outcome]:
    """A shutdown button stays open until it is pulled or turned out by hand.

    Why: The marshal who has pressed it needs both hands for the driver.
    Wrong:
        devices: {button_left: {latch: null}}
    Right:
        devices: {button_left: {latch: {by: mechanism, logic: mechanism}}}
    Mend: Take a push-pull or push-rotate button, and describe its mechanism under latch.
    """
    yield from _stays_tripped(look, "shutdown button", "must stay open until it is pulled or turned out")


@rule("button-second-push", SUBJECT, "shutdown-buttons")
def button_second_push(look: Look) -> Iterator[Outcome]:
    """A second push on a shutdown button does not close it.

    Why: Two people run to the car, and the second one must not undo what the first has done.
    Wrong:
        devices: {button_left: {latch: {push_again: closes}}}
    Right:
        devices: {button_left: {latch: {push_again: stays open}}}
    Mend: Take a push-pull or push-rotate button instead of one that changes its state with every push.
    """
    judged = False
    for path, name, device in look.devices("shutdown button"):
        push_again = device.latch.push_again if isinstance(device.latch, Latch) else None
        place = (*path, "latch", "push_again")
        if push_again is None:
            continue
        judged = True
        if isinstance(push_again, Unknown):
            yield not_evaluated(place, f"what a second push does to {name} is unknown")
        elif push_again == "closes":
            yield finding(place, f"a second push closes {look.printed(name)}", "must stay open")
        else:
            yield stated(place, f"{look.printed(name)} stays open on a second push")
    if not judged:
        yield not_applicable("no shutdown button says what a second push does")


@rule("switch-reset-not-stated", SUBJECT, "", Severity.WARNING)
def switch_reset_not_stated(look: Look) -> Iterator[Outcome]:
    """It is said who resets the inertia switch and the shutdown buttons.

    Why: At the track somebody has to know who may bring the car back after a knock on the kerb.
    Wrong:
        devices: {inertia_switch: {reset: null}}
    Right:
        devices: {inertia_switch: {reset: {act: press the knob down, where: at the switch, who: anyone}}}
    Mend: Describe act, where and who under reset.
    """
    judged = False
    for path, name, device in look.devices("inertia switch", "shutdown button"):
        judged = True
        who = device.reset.who if isinstance(device.reset, Reset) else device.reset
        place = (*path, "reset", "who")
        if who is None:
            yield finding(place, f"who resets {look.printed(name)} is not said", "must be said")
        elif isinstance(who, Unknown):
            yield not_evaluated(place, f"who resets {name} is unknown")
        else:
            yield stated(place, f"{look.printed(name)} is reset by {who}")
    if not judged:
        yield not_applicable("no inertia switch and no shutdown button is described")


RULES = (
    latch_missing,
    latch_programmable,
    latch_forgets,
    reset_not_stated,
    reset_by_driver,
    reset_by_loop_switch,
    reset_within_reach,
    latch_cleared_by_lv_master,
    plausibility_reset_not_stated,
    plausibility_reset_way,
    plausibility_self_reset_too_early,
    over_travel_not_latched,
    over_travel_second_push,
    over_travel_reset_by_driver,
    inertia_switch_not_latched,
    button_not_latched,
    button_second_push,
    switch_reset_not_stated,
)
