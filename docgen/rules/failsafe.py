"""Fail-safe."""

from collections.abc import Iterator

from docgen.car.device import WhenLost
from docgen.car.values import Unknown
from docgen.finding import Outcome, finding, not_applicable, not_evaluated, rule, stated
from docgen.look import PROTECTIVE, Look

SUBJECT = "Fail-safe"

OPENS = frozenset({"opens", "opens and torque zero"})


def _powered(look: Look) -> list[str]:
    return [name for _, name, device in look.devices(*sorted(PROTECTIVE)) if device.worked_by == "power"]


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
        if lost is None or isinstance(lost, WhenLost) and lost.feed is None:
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
        for key, what in (("feed", "its feed"), ("stage_feed", "the feed of its stage"), ("latch_feed", "the feed of its latch"), ("plug", "its plug")):
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


RULES = (feed_loss_not_stated, feed_loss_does_not_open)
