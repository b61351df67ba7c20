"""Contact wording and states."""

import re
from collections.abc import Iterator
from functools import cache
from itertools import takewhile

from docgen.car.car import Evidence
from docgen.car.contact import PHASES, ByMode, ByPhase, Contact
from docgen.car.values import Unknown
from docgen.finding import Outcome, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import DRIVE, PROTECTIVE, Look
from docgen.network import Element, Kind, Network, contact_at, contact_path, healthy, modes
from docgen.printing import listed
from docgen.provenance import Path
from docgen.reading import leaves
from docgen.rules.activation import ACTIVATING
from docgen.rules.fields import meant
from docgen.terminals import Marking, marking
from docgen.wording import Manner, mentions

SUBJECT = "Contact wording and states"


def _both_states_given(look: Look, path: Path) -> bool:
    """Whether a text is the quoted wording of a contact that gives both of its states."""
    if path[-1] != "wording":
        return False
    return any(path[:-1] == place and contact.at_rest and contact.when_healthy for place, _, _, _, contact in look.contacts())


def _quoted_for_a_contact(look: Look, path: Path) -> bool:
    """Whether a text quotes a datasheet on which a contact with both states rests."""
    if path[0] != "evidence" or path[2:] != ("says", "contact"):
        return False
    sheets = {contact.datasheet for _, _, _, _, contact in look.contacts() if contact.at_rest and contact.when_healthy}
    return path[1] in sheets


@rule("contact-wording-ambiguous", SUBJECT, "contact-wording", never_quiet=True)
def contact_wording_ambiguous(look: Look) -> Iterator[Outcome]:
    """A contact that is called normally open or normally closed says whether that is at rest or when healthy.

    Why: The maker means the part without power; the car's people often mean the running car. A monitor's make
        contact is "normally open" to its maker and closed in every healthy car. Both readings have been built.
    Wrong:
        devices: {inertia_switch: {note: this one is NC}}
    Right:
        devices: {inertia_switch: {note: this one is NC at rest and closed when healthy}}
    Mend: Say the state with its circumstance, "open without power", or give at_rest and when_healthy and only quote the
        maker's words in wording.
    """
    found = False
    read = cache(mentions)  # the same words stand at many places
    for path, text in leaves(look.description.tree.data):
        ambiguous = [mention for mention in read(text or "") if mention.manner is Manner.AMBIGUOUS]
        if not ambiguous or _both_states_given(look, path) or _quoted_for_a_contact(look, path):
            continue
        found = True
        yield finding(path, f"“{ambiguous[0].words}” does not say whether that is at rest or when healthy", "must say which of the two states is meant")
    if not found:
        yield holds((), "no text calls a contact normally open or closed without saying when")


@rule("contact-state-missing", SUBJECT, "contact-wording", never_quiet=True)
def contact_state_missing(look: Look) -> Iterator[Outcome]:
    """Every contact gives its state at rest and its state when healthy.

    Why: Only both together tell whether the contact opens when its feed goes, needs power to open, or waits for a hand.
    Wrong:
        devices: {inertia_switch: {contact: {when_healthy: null}}}
    Right:
        devices: {inertia_switch: {contact: {when_healthy: closed}}}
    Mend: Write at_rest and when_healthy; at_rest is the part on the bench, when_healthy the car without a fault.
    """
    for path, name, _, contact_name, contact in look.contacts():
        given = {"at_rest": contact.at_rest, "when_healthy": contact.when_healthy}
        missing = [key for key, value in given.items() if value is None]
        if missing:
            rest, also = ("neither state is given", "") if len(missing) == 2 else (f"only {next(key for key in given if key not in missing)} is given", " too")
            yield finding(path, f"{_contact_name(look, name, contact_name)}: {rest}", f"must give {' and '.join(missing)}{also}")
        elif unknown := [key for key, value in given.items() if isinstance(value, Unknown)]:
            yield not_evaluated((*path, unknown[0]), f"{unknown[0]} of {name} is unknown")
        else:
            gaps = list(_gaps(contact.when_healthy, modes(look.car)))
            if gaps:
                yield finding((*path, "when_healthy"), f"{_contact_name(look, name, contact_name)}: no state is given for {', '.join(gaps)}", "must give a state for each")
            else:
                yield stated(path, f"{_contact_name(look, name, contact_name)}: both states are given")
    for name, device in look.car.devices.items():
        if device.every_contact() or name not in look.places_in_loops:
            continue
        if isinstance(device.contact, Unknown):
            yield not_evaluated(("devices", name, "contact"), f"the contact of {name} is unknown")
        else:
            yield finding(("devices", name), f"{look.printed(name)} stands in a loop and describes no contact", "must give a contact with at_rest and when_healthy")
    if not any(device.every_contact() or name in look.places_in_loops for name, device in look.car.devices.items()):
        yield not_applicable("no contact is described")


def _gaps(state: object, driven: tuple[str, ...]) -> Iterator[str]:
    if isinstance(state, ByMode):
        yield from (mode for mode in driven if getattr(state, mode) is None)
    elif isinstance(state, ByPhase):
        yield from (phase for phase in PHASES if getattr(state, phase) is None)


def _contact_name(look: Look, device: str, contact: str) -> str:
    return look.printed(device) if contact == "contact" else f"{look.printed(device)}, contact {contact}"


def _form_says(form: object, throw: object) -> str | None:
    """The state at rest that a contact form means."""
    kind = throw if form == "change-over" else form
    return {"make": "open", "break": "closed"}.get(kind) if isinstance(kind, str) else None


@rule("contact-wording-contradicts-states", SUBJECT, "")
def contact_wording_contradicts_states(look: Look) -> Iterator[Outcome]:
    """The quoted wording of a contact agrees with the state that it names.

    Why: A wording that fits neither state, or the wrong one, means that the table or the part is wrong.
    Wrong:
        devices: {button_left: {contact: {wording: normally open without power}}}
    Right:
        devices: {button_left: {contact: {wording: normally closed (not pressed)}}}
    Mend: Look at the part: put right either the quoted wording or at_rest.
    """
    judged = False
    for path, name, _, contact_name, contact in look.contacts():
        if not isinstance(contact.wording, str) or not isinstance(contact.at_rest, str):
            continue
        said = {mention.state for mention in mentions(contact.wording) if mention.state} or _states_named(contact.wording)
        if len(said) != 1:
            continue
        judged = True
        state = next(iter(said))
        when = contact.when_healthy if isinstance(contact.when_healthy, str) else None
        healthy_words = re.search(r"healthy|running|in the car", contact.wording, re.IGNORECASE)
        meant = when if healthy_words and when else contact.at_rest
        if state != meant:
            where = "when_healthy" if healthy_words and when else "at_rest"
            yield finding((*path, "wording"), f"{_contact_name(look, name, contact_name)} is worded “{contact.wording}” and {where} is {meant}", "must agree")
        else:
            yield holds((*path, "wording"), f"{_contact_name(look, name, contact_name)}: the wording agrees with the states")
    if not judged:
        yield not_applicable("no contact quotes a wording that names a state")


_MAKE = re.compile(r"(?<!to )(?<!will )(?<!pins )make(?:[ /]+(?:and |or )?(?:(?:one|two|\d) )?break)? contacts?\b(?! with| to| before| again| first)|open at rest\b|form A\b")
_BREAK = re.compile(r"break(?:[ /]+(?:and |or )?(?:(?:one|two|\d) )?make)? contacts?\b(?! with)|closed at rest\b|form B\b")


def _states_named(text: str) -> set[str]:
    """The states at rest that a text gives outright or by the kind of contact: a make contact is open at rest, a break contact closed."""
    return ({"open"} if meant(_MAKE, text) else set()) | ({"closed"} if meant(_BREAK, text) else set())


@rule("contact-text-contradicts-states", SUBJECT, "")
def contact_text_contradicts_states(look: Look) -> Iterator[Outcome]:
    """What the words on a part with one contact say of that contact agrees with its state at rest.

    Why: Whoever buys the part reads the words, whoever wires it reads the table; where they differ, one of them gets it wrong.
    Wrong:
        devices: {button_left: {part: "push-rotate button, one make contact"}}
    Right:
        devices: {button_left: {part: "push-rotate button, one break contact"}}
    Mend: Look at the part: put right either the words or at_rest.
    """
    judged = False
    for path, name, device, contact_name, contact in look.contacts():
        if len(device.every_contact()) != 1 or contact.at_rest not in ("open", "closed"):
            continue
        root: Path = ("devices", name)
        for place, text in (((*root, "part"), device.part), ((*root, "note"), device.note), ((*path, "note"), contact.note)):
            of_others = isinstance(text, str) and any(word in look.car.devices and word != name for word in re.findall(r"[\w-]+", text))
            said = _states_named(text) if isinstance(text, str) and not of_others else set()
            if len(said) != 1:
                continue
            judged = True
            if said != {contact.at_rest}:
                yield finding(place, f"{_contact_name(look, name, contact_name)}: “{text}” means {said.pop()} at rest, and at_rest is {contact.at_rest}", "must agree")
            else:
                yield holds(place, f"{_contact_name(look, name, contact_name)}: the words agree with the state at rest")
    if not judged:
        yield not_applicable("no words on a part with one contact name its state at rest")


@rule("contact-form-contradicts-states", SUBJECT, "")
def contact_form_contradicts_states(look: Look) -> Iterator[Outcome]:
    """The contact form agrees with the state at rest: a make contact is open at rest, a break contact closed.

    Why: Form and state are two names of one fact; where they differ, one of them was written from memory.
    Wrong:
        devices: {imd: {contact: {form: break}}}
    Right:
        devices: {imd: {contact: {form: A}}}
    Mend: Look the form up in the data sheet (A make, B break, C change-over) and put right form or at_rest.
    """
    judged = False
    for path, name, _, contact_name, contact in look.contacts():
        said = _form_says(contact.form, contact.throw)
        if said is None or not isinstance(contact.at_rest, str) or contact.at_rest == "as left":
            continue
        judged = True
        if said != contact.at_rest:
            yield finding((*path, "form"), f"{_contact_name(look, name, contact_name)} is a {contact.form} contact and at_rest is {contact.at_rest}", f"must be {said} at rest")
        else:
            yield holds((*path, "form"), f"{_contact_name(look, name, contact_name)}: form and state at rest agree")
    if not judged:
        yield not_applicable("no contact gives a form")


@rule("contact-terminals-contradict-states", SUBJECT, "")
def contact_terminals_contradict_states(look: Look) -> Iterator[Outcome]:
    """The terminal numbers agree with the state at rest.

    Why: By EN 50005 a contact at x1-x2 is a break contact and one at x3-x4 a make contact; by DIN 72552 30-87 makes
        and 30-87a breaks. The numbers are printed on the part and are right more often than the table.
    Wrong:
        devices: {button_left: {contact: {terminals: 13-14}}}
    Right:
        devices: {button_left: {contact: {terminals: 21-22}}}
    Mend: Read the numbers off the part; put right terminals or at_rest.
    """
    judged = False
    for path, name, _, contact_name, contact in look.contacts():
        if not isinstance(contact.terminals, str):
            continue
        judged = True
        found = marking(contact.terminals)
        place, printed = (*path, "terminals"), _contact_name(look, name, contact_name)
        if found is Marking.UNTOLD:
            yield not_evaluated(place, f"the terminals {contact.terminals} of {name} follow no marking that tells make from break")
        elif found not in (Marking.MALFORMED, Marking.COIL):
            said = found.throw_at_rest(contact.throw if isinstance(contact.throw, str) else None)
            if said is None or not isinstance(contact.at_rest, str) or contact.at_rest == "as left":
                yield not_evaluated(place, f"the throw or the state at rest of {name} is not known")
            elif said != contact.at_rest:
                yield finding(place, f"{printed}: terminals {contact.terminals} are a {found.value} and at_rest is {contact.at_rest}", f"must be {said} at rest")
            else:
                yield holds(place, f"{printed}: terminals and state at rest agree")
    if not judged:
        yield not_applicable("no contact gives terminal numbers")


@rule("contact-terminals-malformed", SUBJECT, "")
def contact_terminals_malformed(look: Look) -> Iterator[Outcome]:
    """The two terminal numbers of a contact belong to one contact.

    Why: By EN 50005 the tens digit numbers the contact and the units digits 1-2, 3-4, 1-4 belong together;
        any other pair means that two contacts, a coil (A1-A2), or nothing, are wired.
    Wrong:
        devices: {button_left: {contact: {terminals: 11-22}}}
    Right:
        devices: {button_left: {contact: {terminals: 11-12}}}
    Mend: Read the numbers off the part.
    """
    judged = False
    for path, name, _, contact_name, contact in look.contacts():
        if not isinstance(contact.terminals, str):
            continue
        judged = True
        found = marking(contact.terminals)
        printed = _contact_name(look, name, contact_name)
        if found in (Marking.MALFORMED, Marking.COIL):
            are = "are those of a coil" if found is Marking.COIL else "do not belong to one contact"
            yield finding((*path, "terminals"), f"{printed}: the terminals {contact.terminals} {are}", "must be a pair such as 13-14, 21-22 or 11-14")
        else:
            yield holds((*path, "terminals"), f"{printed}: the terminals {contact.terminals} belong together")
    if not judged:
        yield not_applicable("no contact gives terminal numbers")


@rule("contact-throw-missing", SUBJECT, "")
def contact_throw_missing(look: Look) -> Iterator[Outcome]:
    """A change-over contact says which of its throws is in the loop.

    Why: The two throws of a change-over contact are each other's opposite.
    Wrong:
        devices: {imd: {contact: {form: change-over, terminals: null}}}
    Right:
        devices: {imd: {contact: {form: change-over, throw: make, terminals: 11-14}}}
    Mend: Add throw with make or break.
    """
    judged = False
    for path, name, _, contact_name, contact in look.contacts():
        if contact.form == "change-over":
            judged = True
            printed = _contact_name(look, name, contact_name)
            if contact.throw is None:
                yield finding((*path, "form"), f"{printed} is a change-over contact and no throw is given", "must say which throw is in the loop, make or break")
            elif isinstance(contact.throw, Unknown):
                yield not_evaluated((*path, "throw"), f"the throw of {name} is unknown")
            else:
                yield stated((*path, "throw"), f"{printed}: the {contact.throw} throw is in the loop")
    if not judged:
        yield not_applicable("no change-over contact is described")


@rule("contact-needs-power-to-open", SUBJECT, "open-when-unpowered", never_quiet=True)
def contact_needs_power_to_open(look: Look) -> Iterator[Outcome]:
    """The contact of a powered protective device does not need power to open the loop.

    Why: A contact that is closed at rest and closed when healthy has to be driven open. Take the feed away and it stays
        closed for ever: the device looks sound and protects nothing.
    Wrong:
        devices: {imd: {contact: {at_rest: closed, form: null, terminals: null, wording: null}}}
    Right:
        devices: {imd: {contact: {at_rest: open}}}
    Mend: Take the make contact, held closed by the healthy device, so that a lost feed opens the loop.
    """
    judged = False
    for path, name, device, contact_name, contact in look.contacts():
        unworked = isinstance(device.worked_by, str) and device.worked_by not in ("power", "coil")
        if device.function not in PROTECTIVE or unworked or not _in_a_loop(look, name, contact_name):
            continue
        judged = True
        printed = _contact_name(look, name, contact_name)
        if not isinstance(device.worked_by, str):
            yield not_evaluated(path, f"what works the contact of {name} is not said")
            continue
        states = {healthy(device, contact, "active", mode) for mode in modes(look.car)}
        if not isinstance(contact.at_rest, str) or None in states:
            yield not_evaluated(path, f"a state of {name} is not known")
        elif contact.at_rest == "closed" and states == {"closed"}:
            yield finding((*path, "at_rest"), f"{printed} is powered, closed at rest and closed when healthy: it needs power to open", "must be open at rest, so that loss of power opens the loop")
        else:
            yield holds(path, f"{printed} opens when its power goes")
    if not judged:
        yield not_applicable("no contact of a protective device that is worked by power stands in a loop")


def _in_a_loop(look: Look, name: str, contact: str) -> bool:
    return any(element.contact == contact for _, element in look.places_in_loops.get(name, ()))


@rule("contact-tripped-equals-healthy", SUBJECT, "")
def contact_tripped_equals_healthy(look: Look) -> Iterator[Outcome]:
    """The tripped state of a protective contact differs from its healthy state.

    Why: A contact that is in the same state after the device has acted does nothing.
    Wrong:
        devices: {imd: {contact: {tripped: closed}}}
    Right:
        devices: {imd: {contact: {tripped: open}}}
    Mend: Put right tripped, or when_healthy if that was the wrong one.
    """
    judged = False
    for path, name, device, contact_name, contact in look.contacts():
        if device.function not in PROTECTIVE or not isinstance(contact.tripped, str):
            continue
        judged = True
        states = {healthy(device, contact, "active", mode) for mode in modes(look.car)}
        printed = _contact_name(look, name, contact_name)
        if None in states:
            yield not_evaluated((*path, "tripped"), f"the healthy state of {name} is not known")
        elif states == {contact.tripped}:
            yield finding((*path, "tripped"), f"{printed} is {contact.tripped} when healthy and when tripped", "must change its state when the device acts")
        else:
            yield holds((*path, "tripped"), f"{printed} is {contact.tripped} when tripped and not so when healthy")
    if not judged:
        yield not_applicable("no protective contact states what it is when tripped")


@rule("contact-described-differently", SUBJECT, "")
def contact_described_differently(look: Look) -> Iterator[Outcome]:
    """A contact is described by the data sheet that it names in the same words as in the description.

    Why: The table says one thing and the data sheet another: one of them describes another part.
    Wrong:
        devices: {imd: {contact: {datasheet: ds_k1}}}
        evidence: {ds_k1: {title: Relay data sheet, says: {contact: normally closed}}}
    Right:
        devices: {imd: {contact: {datasheet: ds_k1}}}
        evidence: {ds_k1: {title: Relay data sheet, says: {contact: normally open}}}
    Mend: Open the data sheet at the page named and put right whichever is wrong.
    """
    judged = False
    for _, name, device, contact_name, contact in look.contacts():
        named = contact.datasheet or (device.datasheet if len(device.every_contact()) == 1 else None)
        sheet = look.car.evidence.get(named) if isinstance(named, str) else None
        if not isinstance(sheet, Evidence) or not sheet.says or isinstance(sheet.says, Unknown):
            continue
        printed = _contact_name(look, name, contact_name)
        place: Path = ("evidence", str(named), "says")
        quoted = sheet.says.contact if isinstance(sheet.says.contact, str) else ""
        said = {mention.state for mention in mentions(quoted)} | _states_named(quoted)
        if len(said) == 1 and isinstance(contact.at_rest, str):
            judged = True
            state = next(iter(said))
            if state != contact.at_rest:
                yield finding((*place, "contact"), f"the data sheet of {printed} says “{quoted}” and at_rest is {contact.at_rest}", "must agree")
            else:
                yield holds((*place, "contact"), f"{printed}: data sheet and description agree on the contact")
        if isinstance(sheet.says.terminals, str) and isinstance(contact.terminals, str):
            judged = True
            if _bare(sheet.says.terminals) != _bare(contact.terminals):
                yield finding((*place, "terminals"), f"the data sheet of {printed} says terminals {sheet.says.terminals}, the description {contact.terminals}", "must agree")
            else:
                yield holds((*place, "terminals"), f"{printed}: data sheet and description agree on the terminals")
    if not judged:
        yield not_applicable("no data sheet of a contact is quoted")


def _bare(terminals: str) -> tuple[str, ...]:
    return tuple(re.findall(r"\w+", terminals.casefold()))


@rule("loop-does-not-conduct", SUBJECT, "")
def loop_does_not_conduct(look: Look) -> Iterator[Outcome]:
    """The loop conducts to every coil in each phase that needs it.

    Why: A contact that is open when healthy keeps the car from ever starting, so either the state is written the wrong way
        round or the car is.
    Wrong:
        devices: {ts_master: {contact: {when_healthy: open}}}
    Right:
        devices: {ts_master: {contact: {when_healthy: closed}}}
    Mend: Put right when_healthy of the contact named; if it is right, the coil is fed from another place than drawn.
    """
    causes: dict[tuple[Element, ...], list[Lit]] = {}
    wanted = _coils_with_contacts(look, operated=True)
    for graph, coil, phase, mode in wanted:
        if coil in look.energised[graph.loop, phase, mode]:
            yield holds(coil.step, f"{coil.name} is energised in the phase {phase}")
            continue
        series, contacts = graph.in_series_with(coil), graph.of_kind(Kind.CONTACT)
        blocking: list[tuple[Element, ...]] = [(element,) for element in contacts if element in series and _state(look, element, phase, mode) == "open"]
        unknown = [element for element in contacts if _state(look, element, phase, mode) is None]
        if unknown and not blocking:
            yield not_evaluated(coil.step, f"the healthy state of {', '.join(sorted({element.spelled for element in unknown}))} is not known")
            continue
        enough = graph.closing(coil, look.closed_in(phase, mode))
        for cause in blocking or [tuple(element for element in contacts if element in enough)]:
            causes.setdefault(cause, []).append((coil, phase, mode))
    for cause, dark in causes.items():
        yield _without_current(look, cause, dark)
    if not wanted:
        yield not_applicable("no coil of the drive loop has contacts that are given as operated in a phase")


Lit = tuple[Element, str, str]
"""A coil with a phase and a mode."""


def _without_current(look: Look, cause: tuple[Element, ...], dark: list[Lit]) -> Outcome:
    """One finding for all coils without current for one cause: an open contact, or contacts any one of which would do, told where their ways part."""
    when, so = _when(look, dark), f"so that {_coils(dark)} no current"
    if len(cause) == 1 and look.car.devices[cause[0].name].function == "start button":
        return finding(cause[0].step, f"{when} {cause[0].spelled} is let go and no contact beside it holds, {so}", "must have a contact beside it that holds")
    if len(cause) == 1:
        return finding(_state_field(look, cause[0]), f"{when} {_contact_name(look, cause[0].name, cause[0].contact)} is open when healthy, {so}", "must be closed there")
    steps = [element.step for element in cause or [coil for coil, _, _ in dark]]
    together = tuple(keys[0] for keys in takewhile(lambda keys: len(set(keys)) == 1, zip(*steps, strict=False)))
    if not cause:
        return finding(together, f"{when} no way is closed when healthy, {so}", "must be energised, because their contacts are given as operated")
    return finding(together, f"{when} {listed(element.spelled for element in cause)} are all open when healthy, {so}", "must have one of them closed")


def _state_field(look: Look, element: Element) -> Path:
    return (*contact_path(look.car.devices[element.name], element.name, element.contact), "when_healthy")


def _when(look: Look, lit: list[Lit]) -> str:
    """The phases of several cases in words, and the modes where they are not all that the car has."""
    phases, driven = dict.fromkeys(phase for _, phase, _ in lit), dict.fromkeys(mode for _, _, mode in lit)
    within = f" of {listed(driven)} running" if len(driven) < len(modes(look.car)) else ""
    return f"in the phase{'s' * (len(phases) > 1)} {listed(phases)}{within}"


def _coils(lit: list[Lit]) -> str:
    names = list(dict.fromkeys(coil.name for coil, _, _ in lit))
    more = [f"{len(names) - 3} more"] if len(names) > 4 else names[3:]
    return f"the coil of {names[0]} gets" if len(names) == 1 else f"the coils of {listed([*names[:3], *more])} get"


@rule("loop-conducts-when-it-must-not", SUBJECT, "")
def loop_conducts_when_it_must_not(look: Look) -> Iterator[Outcome]:
    """No coil is energised in a phase in which its contacts are given as not operated.

    Why: If closing the loop alone energises a contactor, the tractive system comes up without anyone asking for it.
    Wrong:
        devices: {hold_relay: {contacts: {hold: {when_healthy: closed}}}}
    Right:
        devices: {hold_relay: {contacts: {hold: {when_healthy: {off: open, precharging: closed, active: closed}}}}}
    Mend: Put an activation contact before the coil, or put right the healthy states of the coil's contacts.
    """
    live: dict[tuple[str, str], list[tuple[Network, Lit]]] = {}
    unwanted = _coils_with_contacts(look, operated=False)
    for graph, coil, phase, mode in unwanted:
        if coil in look.energised[graph.loop, phase, mode]:
            live.setdefault((phase, mode), []).append((graph, (coil, phase, mode)))
        else:
            yield holds(coil.step, f"{coil.name} is not energised in the phase {phase}")
    causes: dict[Element, list[Lit]] = {}
    for (phase, mode), cases in live.items():
        closed = look.closed_in(phase, mode)
        shared = frozenset.intersection(*(graph.in_series_with(coil, closed) for graph, (coil, _, _) in cases))
        letting = [element for element in look.in_loop(cases[0][0], *sorted(ACTIVATING)) if element in shared]
        for _, case in cases:
            causes.setdefault(letting[0] if len(letting) == 1 else case[0], []).append(case)
    for cause, lit in causes.items():
        if cause.kind is Kind.COIL:
            yield finding(cause.step, f"{_when(look, lit)} the coil of {cause.name} is energised, and its contacts are given as not operated", "must not be energised there")
        else:
            named = _contact_name(look, cause.name, cause.contact)
            yield finding(_state_field(look, cause), f"{_when(look, lit)} {named} is closed when healthy, so that {_coils(lit)} current, though given as not operated", "must be open there")
    if not unwanted:
        yield not_applicable("no coil of the drive loop has contacts that are given as not operated in a phase")


def _state(look: Look, element: Element, phase: str, mode: str) -> str | None:
    contact = contact_at(look.car, element)
    return healthy(look.car.devices[element.name], contact, phase, mode) if contact else None


def _coils_with_contacts(look: Look, operated: bool) -> list[tuple[Network, Element, str, str]]:
    """Each coil of the drive loop with the phases and modes in which its contacts are all operated, or none of them."""
    graph = look.networks.get(DRIVE)
    if graph is None:
        return []
    lit = [(coil, phase, mode) for coil in graph.of_kind(Kind.COIL) for mode in modes(look.car) for phase in PHASES]
    return [(graph, coil, phase, mode) for coil, phase, mode in lit if _operated_in(look, coil.name, phase, mode) == {operated}]


def _operated_in(look: Look, name: str, phase: str, mode: str) -> set[bool | None]:
    """Whether the contacts of a device are operated in a phase and mode; what is not known of them is left out."""
    device = look.car.devices.get(name)
    if device is None:
        return set()
    return {_operated(contact, healthy(device, contact, phase, mode)) for contact in device.every_contact().values()} - {None}


def _operated(contact: Contact, state: str | None) -> bool | None:
    if contact.at_rest not in ("open", "closed") or state not in ("open", "closed"):
        return None
    return state != contact.at_rest


RULES = (
    contact_wording_ambiguous,
    contact_state_missing,
    contact_wording_contradicts_states,
    contact_text_contradicts_states,
    contact_form_contradicts_states,
    contact_terminals_contradict_states,
    contact_terminals_malformed,
    contact_throw_missing,
    loop_does_not_conduct,
    loop_conducts_when_it_must_not,
    contact_needs_power_to_open,
    contact_tripped_equals_healthy,
    contact_described_differently,
)
