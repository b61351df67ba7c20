"""Devices in numbers: the active light, what it senses and how it is built."""

import re
from collections.abc import Iterator

from docgen.analysis.active_light import LIGHT, light_of
from docgen.car.tractive import ActiveLight, Contactors, Precharge, TractiveSystem
from docgen.finding import Outcome, Severity, finding, not_applicable, not_evaluated, rule, stated
from docgen.look import Look
from docgen.network import contact_path
from docgen.rules.fields import meant, unsaid
from docgen.rules.numbers import SUBJECT, judged


@rule("active-light-missing", SUBJECT, "active-light-red")
def active_light_missing(look: Look) -> Iterator[Outcome]:
    """The light that shows whether the tractive system is active is described.

    Why: It tells everybody around the car, in the pits and after a crash, whether they may touch it.
    Wrong:
        tractive_system: {active_light: null}
    Right:
        tractive_system: {active_light: {red_above: 57 V ± 3 %}}
    Mend: Describe it under tractive_system.active_light.
    """
    system = look.car.tractive_system
    if not isinstance(system, TractiveSystem):
        yield not_evaluated(("tractive_system",), "no tractive system is described")
    elif not isinstance(system.active_light, ActiveLight):
        yield unsaid(system.active_light, LIGHT, "how the car shows that its tractive system is active", "must have a light for it")
    else:
        yield stated(LIGHT, "the active light is described")


def _without(look: Look) -> Iterator[Outcome]:
    if light_of(look) is None:
        yield not_applicable("no active light is described")


@rule("active-light-threshold", SUBJECT, "active-light-red")
def active_light_threshold(look: Look) -> Iterator[Outcome]:
    """The active light is red above the voltage of the edition, with the tolerance of its threshold against it.

    Why: Between the limit and a threshold set too high, a dangerous car looks safe. Small systems have a limit of their own in some editions.
    Wrong:
        tractive_system: {active_light: {red_above: 60 V ± 3 %}}
    Right:
        tractive_system: {active_light: {red_above: 57 V ± 3 %}}
    Mend: Lower the threshold by its tolerance; below twice the limit, look at the nominal voltage too.
    """
    yield from judged(look, "active-light-red")


@rule("active-light-frequency", SUBJECT, "active-light-flash")
def active_light_frequency(look: Look) -> Iterator[Outcome]:
    """The active light flashes within the band of frequency of the edition.

    Why: Too slow looks like a lamp that is off, too fast like one that is on.
    Wrong:
        tractive_system: {active_light: {frequency: 1.5 Hz}}
    Right:
        tractive_system: {active_light: {frequency: 3 Hz}}
    Mend: Set the oscillator to the middle of the band, with the tolerance of its parts.
    """
    yield from judged(look, "active-light-frequency")


@rule("active-light-runtime", SUBJECT, "active-light-runtime")
def active_light_runtime(look: Look) -> Iterator[Outcome]:
    """The active light runs on for the time of the edition after low voltage was switched off.

    Why: After a crash low voltage is off at once, and the rescuers come later.
    Wrong:
        tractive_system: {active_light: {runs_on: 10 min}}
    Right:
        tractive_system: {active_light: {runs_on: 20 min}}
    Mend: Give it a supply of its own that is large enough.
    """
    yield from judged(look, "active-light-runtime")


_SENSED = re.compile(r"(?<![\w.])([^\W\d_][\w-]*)\.([\w-]+)")
_POWER_CONTACTS = frozenset({"main", "power", "contact"})
_VOLTAGE = re.compile(r"volt|\bU\b|above \d", re.IGNORECASE)


def _relays(look: Look) -> list[str]:
    """The contactors and pre-charge relays of all containers, in the order in which they are described."""
    system = look.car.tractive_system
    found: list[str] = []
    for accumulator in system.accumulators.values() if isinstance(system, TractiveSystem) else ():
        said = accumulator.contactors
        more = said.more if isinstance(said, Contactors) and isinstance(said.more, tuple) else ()
        found += [name for name in (said.positive, said.negative, *more) if isinstance(name, str)] if isinstance(said, Contactors) else []
        if isinstance(accumulator.precharge, Precharge) and isinstance(accumulator.precharge.relay, str):
            found.append(accumulator.precharge.relay)
    return list(dict.fromkeys(found))


def _sensed(look: Look, light: ActiveLight) -> Iterator[tuple[str, str]]:
    """Device and contact of every described contact besides the power contacts that the light senses."""
    for entry in light.senses if isinstance(light.senses, tuple) else ():
        for name, contact in _SENSED.findall(entry):
            device = look.car.devices.get(name)
            if device and contact in device.every_contact() and contact not in _POWER_CONTACTS:
                yield name, contact


@rule("active-light-blind", SUBJECT, "active-light-sensing")
def active_light_blind(look: Look) -> Iterator[Outcome]:
    """The active light senses a voltage, and by a contact the mechanical state of each contactor and of the pre-charge relay.

    Why: The voltage at a coil says what the contactor was told; a welded one stays closed without it.
    Wrong:
        tractive_system: {active_light: {senses: [coil of air_plus, air_minus.auxiliary, precharge_relay.auxiliary, voltage of the inverter]}}
    Right:
        tractive_system: {active_light: {senses: [air_plus.auxiliary, air_minus.auxiliary, precharge_relay.auxiliary, voltage of the inverter]}}
    Mend: Read an auxiliary contact of each, describe it under the contacts of the device, and list it as device.contact under senses.
    """
    light = light_of(look)
    if light:
        place = (*LIGHT, "senses")
        must = "must sense the mechanical state of each contactor and pre-charge relay by a contact, and the voltage"
        if look.edition.topic("active-light-sensing").words.get("relays") is None:
            yield not_evaluated(place, f"what the active light must sense of the relays was not read in {look.edition.name}")
        elif not isinstance(light.senses, tuple):
            yield unsaid(light.senses, place, "what the active light senses", must)
        else:
            sensed = {name for name, _ in _sensed(look, light)}
            unseen = [f"no contact of {name}" for name in _relays(look) if name not in sensed]
            unseen += [] if any(_VOLTAGE.search(entry) for entry in light.senses) else ["no voltage"]
            yield finding(place, f"the active light senses {', '.join(unseen)}", must) if unseen else stated(place, "the active light senses each contactor, the pre-charge relay and the voltage")
    yield from _without(look)


@rule("active-light-programmable", SUBJECT, "active-light-logic")
def active_light_programmable(look: Look) -> Iterator[Outcome]:
    """The logic of the active light is hard-wired.

    Why: A program that hangs leaves the light as it was.
    Wrong:
        tractive_system: {active_light: {logic: programmable}}
    Right:
        tractive_system: {active_light: {logic: hard-wired}}
    Mend: Build it of comparators and gates.
    """
    light = light_of(look)
    if light:
        place, must = (*LIGHT, "logic"), "must be hard-wired"
        if look.edition.topic("active-light-logic").words.get("logic") is None:
            yield not_evaluated(place, f"what {look.edition.name} asks of the logic of the active light was not read")
        elif not isinstance(light.logic, str):
            yield unsaid(light.logic, place, "whether the logic of the active light is hard-wired", must)
        else:
            yield stated(place, "the logic of the active light is hard-wired") if light.logic == "hard-wired" else finding(place, f"the logic of the active light is {light.logic}", must)
    yield from _without(look)


_TOGETHER = re.compile(
    r"(?<!nothing in )common|shar(?:es?|ed|ing)(?! (?:no|nothing)\b)|same (?:board|input|inputs|comparator|supply|logic|circuit|signal)|depend(?:s|ent)|cross[- ]?check\w*|compared? with|inverted",
    re.IGNORECASE,
)


_NOT_AT_ALL = re.compile(r"(?:no|none|not(?: at all| independent\w*)?|they are not|n/?a|-+)[.!]?", re.IGNORECASE)


@rule("active-light-not-independent", SUBJECT, "active-light-logic")
def active_light_not_independent(look: Look) -> Iterator[Outcome]:
    """The circuits of red and green of the active light are independent of each other.

    Why: Green that is merely “not red” is lit by the same fault that keeps red dark.
    Wrong:
        tractive_system: {active_light: {independent: green is the inverted output of red}}
    Right:
        tractive_system: {active_light: {independent: two boards without a common input}}
    Mend: Let red look at voltages and green at contacts and voltages of its own, and say how under independent.
    """
    light = light_of(look)
    if light:
        place, must = (*LIGHT, "independent"), "must be independent"
        if look.edition.topic("active-light-logic").words.get("red_and_green") is None:
            yield not_evaluated(place, f"whether red and green must be independent was not read in {look.edition.name}")
        elif not isinstance(light.independent, str):
            yield unsaid(light.independent, place, "how red and green of the active light are independent", must)
        elif _NOT_AT_ALL.fullmatch(light.independent) or meant(_TOGETHER, light.independent):
            yield finding(place, f"red and green of the active light: {light.independent}", must)
        else:
            yield stated(place, f"red and green of the active light: {light.independent}")
    yield from _without(look)


_LATCHED = re.compile(
    r"latch\w*|(?:stays?|remains?|is kept|kept|held) (?:\w+ ){0,2}(?:out|off|dark|until)|power[- ]cycl\w+|"
    r"until [^.;]*(?:LV|GLV|low[- ]voltage|master|supply|power)[^.;]*(?:cycl\w+|off|restart\w*)",
    re.IGNORECASE,
)
_RETURNS = re.compile(
    r"(?:(?:comes?|goes|turns?|is lit|lights?) (?:back |on |again )*)?(?:by itself|automatic\w*)|until (?:they|it|both|the states?|states|relay|relays|voltage|the two)\b[^.;]*(?:agrees?|match\w*|plausible|again)|self[- ]reset\w*|recover\w*",
    re.IGNORECASE,
)


@rule("active-light-not-latched", SUBJECT, "active-light-latch")
def active_light_not_latched(look: Look) -> Iterator[Outcome]:
    """When relay state and voltage contradict each other, the green of the active light goes out and stays out until low voltage is cycled.

    Why: A contactor that welds and lets go again must not be forgotten.
    Wrong:
        tractive_system: {active_light: {implausible: green goes out until the two agree again}}
    Right:
        tractive_system: {active_light: {implausible: green goes out and stays out until the LV master is cycled}}
    Mend: Let a latch hold green off until low voltage was switched off, and say so under implausible.
    """
    light = light_of(look)
    if light:
        place, must = (*LIGHT, "implausible"), "must go out and stay out until low voltage is cycled"
        if not isinstance(light.implausible, str):
            yield unsaid(light.implausible, place, "what green does when relay state and voltage disagree", must)
        elif meant(_LATCHED, light.implausible) and not meant(_RETURNS, light.implausible):
            yield stated(place, f"when relay state and voltage disagree: {light.implausible}")
        else:
            yield finding(place, f"when relay state and voltage disagree: {light.implausible}", must)
    yield from _without(look)


@rule("linked-contact-without-datasheet", SUBJECT, "", Severity.WARNING)
def linked_contact_without_datasheet(look: Look) -> Iterator[Outcome]:
    """An auxiliary contact that stands for a main contact is linked to it mechanically, and a data sheet says so.

    Why: Of an ordinary auxiliary contact nobody promises that it follows a main contact that has welded.
    Wrong:
        devices: {air_plus: {contacts: {auxiliary: {linked_to_main: null}}}}
    Right:
        devices: {air_plus: {contacts: {auxiliary: {linked_to_main: ds_air}}}}
    Mend: Take a contactor with a mirror contact, or a relay with forcibly guided contacts, and name its data sheet under linked_to_main.
    """
    light = light_of(look)
    relays = set(_relays(look))
    read = [one for one in dict.fromkeys(_sensed(look, light)) if one[0] in relays] if light else []
    for name, contact in read:
        device = look.car.devices[name]
        place = (*contact_path(device, name, contact), "linked_to_main")
        linked = device.every_contact()[contact].linked_to_main
        if isinstance(linked, str):
            yield stated(place, f"{name}.{contact} stands for the main contact, as {linked} says")
        else:
            yield unsaid(linked, place, f"which data sheet says that {name}.{contact} is linked to the main contact", "must be named under linked_to_main")
    if not read:
        yield not_applicable("no auxiliary contact is read for the active light")


RULES = (
    active_light_missing,
    active_light_threshold,
    active_light_frequency,
    active_light_runtime,
    active_light_blind,
    active_light_programmable,
    active_light_not_independent,
    active_light_not_latched,
    linked_contact_without_datasheet,
)
