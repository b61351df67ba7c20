"""Fail-safe."""

from collections.abc import Iterable, Iterator

from docgen.car.device import AtPowerUp, Sensor, WhenLost
from docgen.car.values import Unknown
from docgen.finding import Outcome, Severity, finding, not_applicable, not_evaluated, rule, stated
from docgen.look import ELECTRONIC, PROTECTIVE, Look
from docgen.printing import listed
from docgen.provenance import Path

SUBJECT = "Fail-safe"

OPENS = frozenset({"opens", "opens and torque zero"})


PLAUSIBILITY = "brake plausibility device"

LINES = {"open": "an open line", "to_ground": "a short to ground", "to_supply": "a short to supply"}


def _powered(look: Look) -> list[str]:
    """The protective devices that need power to do their work."""
    return [name for _, name, device in look.devices(*sorted(PROTECTIVE)) if device.worked_by == "power" or device.function in ELECTRONIC]


@rule("feed-loss-not-stated", SUBJECT, "open-when-unpowered")
def feed_loss_not_stated(look: Look) -> Iterator[Outcome]:
    """Every powered protective device says what it does to the loop when its feed is lost.

    Why: The fuse of a monitor blows on the day it is needed.
    Wrong:
        devices: {imd: {when_lost: null}}
    Right:
        devices: {imd: {when_lost: {feed: opens}}}
    Mend: Add when_lost with feed, and with stage_feed and latch_feed where those are fed from elsewhere.
    """
    names = _powered(look)
    for name in names:
        lost = look.car.devices[name].when_lost
        path = ("devices", name)
        if lost is None or (isinstance(lost, WhenLost) and lost.feed is None):
            yield finding((*path, "when_lost"), f"{look.printed(name)} does not say what it does when its feed is lost", "must say so")
        elif isinstance(lost, Unknown) or isinstance(lost.feed, Unknown):
            yield not_evaluated((*path, "when_lost"), f"what {name} does when its feed is lost is unknown")
        else:
            yield stated((*path, "when_lost", "feed"), f"{look.printed(name)} {lost.feed} the loop when its feed is lost" if lost.feed in OPENS else f"{look.printed(name)}: {lost.feed}")
    if not names:
        yield not_applicable("no powered protective device is described")


@rule("feed-loss-does-not-open", SUBJECT, "open-when-unpowered")
def feed_loss_does_not_open(look: Look) -> Iterator[Outcome]:
    """A powered protective device, its stage and its latch each open the loop when their feed is lost.

    Why: A protection that lets the loop stay closed without power is gone without a sign.
    Wrong:
        devices: {imd: {when_lost: {feed: stays}}}
    Right:
        devices: {imd: {when_lost: {feed: opens, ground: opens}}}
    Mend: Hold the loop closed by the healthy device, with a make contact, so that a lost feed opens it.
    """
    judged = False
    for name in _powered(look):
        lost = look.car.devices[name].when_lost
        if not isinstance(lost, WhenLost):
            continue
        for key, what in (("feed", "its feed"), ("stage_feed", "the feed of its stage"), ("latch_feed", "the feed of its latch"), ("plug", "its plug"), ("ground", "its ground")):
            reaction = getattr(lost, key)
            place = ("devices", name, "when_lost", key)
            if reaction is None:
                continue
            judged = True
            if isinstance(reaction, Unknown):
                yield not_evaluated(place, f"what {name} does when {what} is lost is unknown")
            elif reaction not in OPENS:
                yield finding(place, f"{look.printed(name)}: the loop {reaction if reaction == 'stays' else 'shows ' + reaction} when {what} is lost", "must open")
            else:
                yield stated(place, f"{look.printed(name)} opens the loop when {what} is lost")
    if not judged:
        yield not_applicable("no powered protective device says what it does without its feed")


@rule("output-signal-loss-does-not-open", SUBJECT, "critical-signals")
def output_signal_loss_does_not_open(look: Look) -> Iterator[Outcome]:
    """A protective device opens the loop when the signal from it to its stage is lost.

    Why: The wire between monitor and relay breaks as easily as any other, and then the fault never arrives.
    Wrong:
        devices: {imd: {when_lost: {signal: stays}}}
    Right:
        devices: {imd: {when_lost: {signal: opens}}}
    Mend: Let the healthy device hold the stage, so that a broken wire releases it.
    """
    judged = False
    for name in _powered(look):
        lost = look.car.devices[name].when_lost
        if isinstance(lost, WhenLost) and lost.signal is not None:
            judged = True
            yield _reacted(("devices", name, "when_lost", "signal"), lost.signal, f"{look.printed(name)}: the loss of the signal to its stage")
    if not judged:
        yield not_applicable("no powered protective device says what the loss of its signal does")


def _reacted(place: Path, reaction: str | Unknown, what: str) -> Outcome:
    """Whether a stated reaction opens the loop."""
    if isinstance(reaction, Unknown):
        return not_evaluated(place, f"{what}: what it does is unknown")
    if reaction in OPENS or reaction == "not possible":
        return stated(place, f"{what} {'opens the loop' if reaction in OPENS else 'is not possible'}")
    return finding(place, f"{what} {'leaves the loop closed' if reaction == 'stays' else 'only takes the torque away'}", "must open the loop")


def _lines_stated(look: Look, names: Iterable[str]) -> Iterator[Outcome]:
    """Whether each sensor says what each failure of its line does."""
    for name in names:
        device, path = look.car.devices[name], ("devices", name, "sensors")
        if not device.sensors and device.function in ELECTRONIC:
            yield finding(path, f"{look.printed(name)} describes no sensor and no measuring line", "must describe each with open, to_ground and to_supply")
        for sensor_name, sensor in device.sensors.items():
            missing = [key for key in _asked(sensor) if getattr(sensor, key) is None]
            what = f"{sensor_name} of {look.printed(name)}"
            if missing:
                yield finding((*path, sensor_name, missing[0]), f"{what} does not say what follows from {listed(LINES[key] for key in missing)}", "must say so")
            else:
                yield stated((*path, sensor_name), f"{what} says what each failure of its line does")


def _asked(sensor: Sensor) -> tuple[str, ...]:
    """A short to supply is asked for analogue lines only."""
    return ("open", "to_ground") if sensor.output in ("digital", "contact") else tuple(LINES)


def _lines_open(look: Look, names: Iterable[str]) -> Iterator[Outcome]:
    """Whether each stated failure of a sensor's line opens the loop."""
    judged = False
    for name in names:
        for sensor_name, sensor in look.car.devices[name].sensors.items():
            for key, fault in LINES.items():
                reaction = getattr(sensor, key)
                if reaction is not None:
                    judged = True
                    yield _reacted(("devices", name, "sensors", sensor_name, key), reaction, f"{sensor_name} of {look.printed(name)}: {fault}")
    if not judged:
        yield not_applicable("no sensor line says what its failure does")


def _opens_alone(look: Look, names: Iterable[str], must_say: bool = False) -> Iterator[Outcome]:
    """Whether a lost sensor opens the loop alone; with `must_say` silence is a finding."""
    judged = False
    for name in names:
        for sensor_name, sensor in look.car.devices[name].sensors.items():
            place = ("devices", name, "sensors", sensor_name, "acts_alone")
            what = f"{sensor_name} of {look.printed(name)}"
            if sensor.acts_alone is None and not must_say:
                continue
            judged = True
            if sensor.acts_alone is None:
                yield finding(place, f"it is not said whether the loss of {what} opens the loop alone", "must be said under acts_alone")
            elif isinstance(sensor.acts_alone, Unknown):
                yield not_evaluated(place, f"whether the loss of {what} opens the loop alone is unknown")
            elif sensor.acts_alone == "alone":
                yield stated(place, f"the loss of {what} opens the loop alone")
            else:
                yield finding(place, f"the loss of {what} opens the loop only with the other condition", "must open it alone")
    if not judged:
        yield not_applicable("no sensor says whether its loss opens the loop alone")


def _plausibility(look: Look) -> list[str]:
    return [name for name in _powered(look) if look.car.devices[name].function == PLAUSIBILITY]


def _others(look: Look) -> list[str]:
    return [name for name in _powered(look) if look.car.devices[name].function != PLAUSIBILITY]


def _if_any(names: list[str], outcomes: Iterator[Outcome], what: str) -> Iterator[Outcome]:
    if names:
        yield from outcomes
    else:
        yield not_applicable(f"no {what} is described")


@rule("sensor-line-not-stated", SUBJECT, "critical-signals")
def sensor_line_not_stated(look: Look) -> Iterator[Outcome]:
    """Each sensor and measuring line of a monitor says what an open line, a short to ground and a short to supply do.

    Why: A sensor line fails in three ways, and the one that nobody thought of reads like a healthy value.
    Wrong:
        devices: {ams: {sensors: {cell_taps: {to_ground: null}}}}
    Right:
        devices: {ams: {sensors: {cell_taps: {to_ground: opens}}}}
    Mend: Write open, to_ground and to_supply for each entry under sensors; `not possible` is an answer too.
    """
    names = _others(look)
    yield from _if_any(names, _lines_stated(look, names), "powered protective device")


@rule("sensor-line-does-not-open", SUBJECT, "critical-signals")
def sensor_line_does_not_open(look: Look) -> Iterator[Outcome]:
    """An open or shorted sensor line of a monitor opens the loop.

    Why: A monitor that measures nothing any more must not go on saying that all is well.
    Wrong:
        devices: {imd: {sensors: {chassis_line: {open: stays}}}}
    Right:
        devices: {imd: {sensors: {chassis_line: {open: opens}}}}
    Mend: Let the monitor take the failed line for a fault, with a pull resistor and a window where the line is analogue.
    """
    yield from _lines_open(look, _others(look))


@rule("sensor-loss-needs-other-condition", SUBJECT, "critical-signals")
def sensor_loss_needs_other_condition(look: Look) -> Iterator[Outcome]:
    """A lost sensor of a monitor opens the loop by itself, not only together with another condition.

    Why: A fault that waits for a second one is not noticed while it can still be repaired.
    Wrong:
        devices: {ams: {sensors: {cell_taps: {acts_alone: only with the other condition}}}}
    Right:
        devices: {ams: {sensors: {cell_taps: {acts_alone: alone}}}}
    Mend: Let the failed line trip the device by itself.
    """
    yield from _opens_alone(look, _others(look))


@rule("plausibility-line-not-stated", SUBJECT, "plausibility-lines")
def plausibility_line_not_stated(look: Look) -> Iterator[Outcome]:
    """Each sensor line of the brake plausibility device says what an open line, a short to ground and a short to supply do.

    Why: At the inspection the wires are pulled one by one; what is not written was not thought through.
    Wrong:
        devices: {bspd: {sensors: {dc_current: {to_supply: null}}}}
    Right:
        devices: {bspd: {sensors: {dc_current: {to_supply: opens}}}}
    Mend: Write open, to_ground and to_supply for the current sensor and for the brake sensor.
    """
    names = _plausibility(look)
    yield from _if_any(names, _lines_stated(look, names), PLAUSIBILITY)


@rule("plausibility-line-does-not-open", SUBJECT, "plausibility-lines")
def plausibility_line_does_not_open(look: Look) -> Iterator[Outcome]:
    """Each single open or shorted sensor line of the brake plausibility device opens the loop.

    Why: A brake sensor that reads zero for good makes the device blind, and the car drives on.
    Wrong:
        devices: {bspd: {sensors: {front_pressure: {open: stays}}}}
    Right:
        devices: {bspd: {sensors: {front_pressure: {open: opens}}}}
    Mend: Compare each line with a window, and let what lies outside open the loop.
    """
    yield from _lines_open(look, _plausibility(look))


@rule("plausibility-loss-needs-other-condition", SUBJECT, "plausibility-lines")
def plausibility_loss_needs_other_condition(look: Look) -> Iterator[Outcome]:
    """A lost sensor of the brake plausibility device opens the loop by itself, not only as one half of its condition.

    Why: Taken as "braking hard", a broken brake line opens the loop only under power; standing still, nobody notices it.
    Wrong:
        devices: {bspd: {sensors: {front_pressure: {acts_alone: only with the other condition}}}}
    Right:
        devices: {bspd: {sensors: {front_pressure: {acts_alone: alone}}}}
    Mend: Lead the fault of each line to the output past the AND of brake and power, and write acts_alone: alone.
    """
    yield from _opens_alone(look, _plausibility(look), must_say=True)


@rule("power-up-not-stated", SUBJECT, "", Severity.WARNING)
def power_up_not_stated(look: Look) -> Iterator[Outcome]:
    """Every powered protective device says what it does to the loop while its supply rises and while it sags.

    Why: For a moment after switching on, and during a start that pulls the voltage down, its logic is not yet or no longer in order.
    Wrong:
        devices: {ams: {at_power_up: null}}
    Right:
        devices: {ams: {at_power_up: {start_up: holds open, brown_out: opens}}}
    Mend: Write at_power_up with start_up and brown_out.
    """
    names = _powered(look)
    for name in names:
        given, place = look.car.devices[name].at_power_up, ("devices", name, "at_power_up")
        if isinstance(given, Unknown):
            yield not_evaluated(place, f"what {name} does at power-up is unknown")
            continue
        part = given or AtPowerUp()
        missing = [key for key in ("start_up", "brown_out") if getattr(part, key) is None]
        if missing:
            said = " and ".join({"start_up": "while it starts up", "brown_out": "while its supply sags"}[key] for key in missing)
            yield finding((*place, missing[0]), f"{look.printed(name)} does not say what it does {said}", "must say so")
        else:
            yield stated(place, f"{look.printed(name)} says what it does while its supply rises and sags")
    if not names:
        yield not_applicable("no powered protective device is described")


@rule("start-up-closes-loop", SUBJECT, "", Severity.WARNING)
def start_up_closes_loop(look: Look) -> Iterator[Outcome]:
    """A powered protective device holds the loop open until its self-test is done.

    Why: A device that says "healthy" before it has looked hides a fault that was there all night.
    Wrong:
        devices: {imd: {at_power_up: {start_up: closes}}}
    Right:
        devices: {imd: {at_power_up: {start_up: holds open}}}
    Mend: Let the output come only after the self-test, or delay the stage for as long.
    """
    yield from _at_power_up(look, "start_up", "holds open", "closes the loop before its self-test is done", "must hold it open until then")


@rule("brown-out-keeps-loop-closed", SUBJECT, "open-when-unpowered")
def brown_out_keeps_loop_closed(look: Look) -> Iterator[Outcome]:
    """A powered protective device opens the loop when its supply sags below what it needs.

    Why: Between full supply and none there is a voltage at which the relay still holds and the logic has already stopped.
    Wrong:
        devices: {bspd: {at_power_up: {brown_out: stays}}}
    Right:
        devices: {bspd: {at_power_up: {brown_out: opens}}}
    Mend: Add an undervoltage detector that releases the stage before the logic fails.
    """
    yield from _at_power_up(look, "brown_out", "opens", "keeps the loop closed while its supply sags", "must open it")


def _at_power_up(look: Look, key: str, right: str, was: str, must: str) -> Iterator[Outcome]:
    judged = False
    for name in _powered(look):
        given, place = look.car.devices[name].at_power_up, ("devices", name, "at_power_up", key)
        state = getattr(given, key) if isinstance(given, AtPowerUp) else given
        if state is None:
            continue
        judged = True
        if isinstance(state, Unknown):
            yield not_evaluated(place, f"what {name} does there is unknown")
        elif state == right:
            yield stated(place, f"{look.printed(name)}: {right}")
        else:
            yield finding(place, f"{look.printed(name)} {was}", must)
    if not judged:
        yield not_applicable("no powered protective device says what it does there")


RULES = (
    feed_loss_not_stated,
    feed_loss_does_not_open,
    output_signal_loss_does_not_open,
    sensor_line_not_stated,
    sensor_line_does_not_open,
    sensor_loss_needs_other_condition,
    plausibility_line_not_stated,
    plausibility_line_does_not_open,
    plausibility_loss_needs_other_condition,
    power_up_not_stated,
    start_up_closes_loop,
    brown_out_keeps_loop_closed,
)
