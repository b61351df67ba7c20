"""Latch and reset."""

from collections.abc import Iterator

from docgen.car.device import Device, Latch, Reset
from docgen.car.values import Unknown
from docgen.finding import Outcome, finding, not_applicable, not_evaluated, rule, stated
from docgen.look import Look
from docgen.provenance import Path

SUBJECT = "Latch and reset"

LATCHED = ("insulation monitor", "battery management")


def _latched(look: Look) -> Iterator[tuple[Path, str, Device]]:
    return look.devices(*LATCHED)


@rule("latch-missing", SUBJECT, "monitor-latch")
def latch_missing(look: Look) -> Iterator[Outcome]:
    """A trip of the insulation monitor or the battery management is latched.

    Why: A fault that comes and goes must not bring the tractive system back by itself.
    Wrong:
        devices: {imd: {latch: null}}
    Right:
        devices: {imd: {latch: {by: self-hold of K1}}}
    Mend: Describe under latch what keeps the loop open until somebody resets it.
    """
    for path, name, device in _latched(look):
        if device.latch is None:
            yield finding(path, f"{look.printed(name)} describes no latch", "must stay tripped until it is reset by hand")
        elif isinstance(device.latch, Unknown) or isinstance(device.latch.by, Unknown):
            yield not_evaluated((*path, "latch"), f"the latch of {name} is unknown")
        else:
            yield stated((*path, "latch"), f"{look.printed(name)} is latched by {device.latch.by or 'what is described'}")


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
            yield finding((*path, "reset"), f"the reset of {look.printed(name)} does not say {', '.join(missing)}", "must say act, where and who")
        elif unknown := [key for key, value in given.items() if isinstance(value, Unknown)]:
            yield not_evaluated((*path, "reset", unknown[0]), f"{unknown[0]} of the reset of {name} is unknown")
        else:
            yield stated((*path, "reset"), f"{look.printed(name)} is reset by {given['who']}: {given['act']}, {given['where']}")


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
        elif reset.self_after is not None and not isinstance(reset.self_after, Unknown):
            yield finding((*path, "reset", "self_after"), f"{look.printed(name)} resets itself after {reset.self_after}", "must be reset by hand")
        elif reset.who in ("driver", "anyone"):
            yield finding((*path, "reset", "who"), f"{look.printed(name)} can be reset by {'the driver' if reset.who == 'driver' else 'anyone, the driver too'}", "must be anyone but the driver")
        elif isinstance(reset.who, str):
            yield stated((*path, "reset", "who"), f"{look.printed(name)} is reset by {reset.who}")
        else:
            yield not_evaluated((*path, "reset"), f"who resets {name} is not said")


RULES = (latch_missing, latch_programmable, reset_not_stated, reset_by_driver)
