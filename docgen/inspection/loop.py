"""Tests of everything that the current of a loop meets, in its order."""

from collections.abc import Iterator

from docgen.inspection.facts import Facts
from docgen.inspection.opening import contact_fields, dropped, follows, opening_sights, until_safe
from docgen.inspection.protective import protective_tests
from docgen.inspection.resets import reset_tests
from docgen.inspection.test import Caution, Group, Section, Sight, Test
from docgen.look import DRIVE
from docgen.network import Element, Kind, Network, modes
from docgen.provenance import Path, spelled


def make_active(graph: Network) -> str:
    """How a loop is brought to the state in which opening it shows something."""
    if graph.loop == DRIVE:
        return "Make the tractive system active; voltmeter at the measuring points, stopwatch ready."
    return f"Set up the loop {graph.loop} with its contactors closed."


LEFT_DEAD = "Tractive system off, TS master locked off, measured dead; then LV master off."
NO_HIGH_VOLTAGE = "Have qualified people part the accumulator at its maintenance plugs, so that the contactors switch no high voltage."

_LATCHING = frozenset(
    {
        "shutdown button",
        "charger button",
        "inertia switch",
        "brake over-travel switch",
        "insulation monitor",
        "battery management",
    }
)
"""Functions that stay tripped until somebody resets them."""


def sections(facts: Facts) -> Iterator[Section]:
    """One section for each loop, the drive loop first; what stands in several loops is tested with the first."""
    names = sorted(facts.look.networks, key=lambda name: (name != DRIVE, list(facts.look.networks).index(name)))
    seen: set[str] = set()
    for name in names:
        graph = facts.look.networks[name]
        groups = []
        for head, elements in _heads(graph).items():
            tests = tuple(_again(facts, graph, head, elements) if head in seen else _tests(facts, graph, head, elements))
            if tests:
                groups.append(Group(head, _title(facts, head, elements[0]), tests))
        seen |= _heads(graph).keys()
        yield Section(f"The loop {name}, in the order of its current", tuple(groups))


def _heads(graph: Network) -> dict[str, list[Element]]:
    """What the current meets first stands first: the name under which it is tested, and its elements."""
    found: dict[str, list[Element]] = {}
    for element in graph.elements:
        if element.kind is not Kind.WIRE:
            kind = {Kind.FUSE: "fuse.", Kind.CROSSING: "connector."}.get(element.kind, "")
            found.setdefault(kind + element.name, []).append(element)
    return found


def _title(facts: Facts, head: str, element: Element) -> str:
    if element.kind in (Kind.FUSE, Kind.CROSSING):
        return f"{'Fuse' if element.kind is Kind.FUSE else 'Connector'} {element.name}"
    label, term = facts.at(("devices", element.name, "label")), facts.look.printed(element.name)
    return f"{term}: {label}" if isinstance(label, str) and label.casefold() != term.casefold() else term


def _tests(facts: Facts, graph: Network, head: str, elements: list[Element]) -> Iterator[Test]:
    first = elements[0]
    if first.kind is Kind.FUSE:
        yield _taken(facts, graph, head, elements, "pull", f"Pull fuse {first.name}.", ("low_voltage", "fuses", first.name))
    elif first.kind is Kind.CROSSING:
        yield _taken(facts, graph, head, elements, "unplug", f"Unplug connector {first.name} as a whole.", ("connectors", first.name))
        yield _wiggled(facts, graph, head, f"connector {first.name}", ("connectors", first.name, "locking"))
    elif first.name in facts.look.car.devices:
        yield from _device(facts, graph, first.name, [element for element in elements if element.kind is Kind.CONTACT])
        yield from protective_tests(facts, graph, first.name)
        if facts.look.car.devices[first.name].worked_by == "power":
            yield _wiggled(
                facts, graph, head, f"connectors and lines of {first.name}", *contact_fields(facts, first.name), ("devices", first.name, "through")
            )


def _feeds_the_car(facts: Facts, graph: Network, elements: list[Element]) -> bool:
    """Whether low voltage goes with these elements: they are the LV master, or stand before it."""
    masters = list(facts.look.in_loop(graph, "LV master switch"))
    return bool(masters) and any(graph.elements.index(element) <= graph.elements.index(masters[0]) for element in elements)


def _taken(facts: Facts, graph: Network, head: str, elements: list[Element], act: str, step: str, path: Path) -> Test:
    """A fuse or connector of the loop taken out while the tractive system is active."""
    gone = [other for other in graph.elements if other.kind is elements[0].kind and other.name == elements[0].name]
    coils = dropped(facts, graph, gone)
    fields = tuple((*path, field) for field in ("place", "positions", "rating", "locking") if facts.at((*path, field)) is not None)
    return facts.test(
        f"{head}/{act}",
        f"{'Fuse' if act == 'pull' else 'Connector'} taken out",
        (make_active(graph), step, "Put it back: the loop closes, nothing else may happen."),
        (*opening_sights(facts, graph, coils, _feeds_the_car(facts, graph, gone)), _stays_off(graph)),
        fields,
        until_safe(facts, graph, coils),
        (Caution.HIGH_VOLTAGE, Caution.STORED_CHARGE),
        follows(graph, coils),
    )


def _stays_off(graph: Network) -> Sight:
    return Sight("closing the loop again alone makes nothing active", spelled(("loops", graph.loop)))


def _wiggled(facts: Facts, graph: Network, head: str, what: str, *fields: Path) -> Test:
    steps = (NO_HIGH_VOLTAGE, "Close the loop.", f"Shake {what}; bend and pull the lines as hard as a hand does, locks closed.")
    return facts.test(
        f"{head}/shake",
        "Shaken by hand",
        steps,
        (Sight("the loop stays closed; no coil drops, no lamp flickers", spelled(("loops", graph.loop))),),
        fields,
        cautions=(Caution.OPEN_CELLS,),
    )


def _device(facts: Facts, graph: Network, name: str, contacts: list[Element]) -> Iterator[Test]:
    device, path = facts.look.car.devices[name], ("devices", name)
    closed = facts.look.closed_in("active", modes(facts.look.car)[0])
    held = [element for element in contacts if closed(element)]
    match device.worked_by:
        case "plug":
            for element in contacts:
                yield _unplugged(facts, graph, name, element)
            yield from _removed(facts, name)
            yield _wiggled(facts, graph, name, f"the connector of {name} and its pilot line", (*path, "contact"), *_pilot(facts, name, "locking"))
        case "hand" | "machine" if held:
            for corner in dict.fromkeys(element.corner for element in held):
                yield _worked(facts, graph, name, [element for element in held if element.corner == corner])
            yield from _latched(facts, graph, name)
            yield _wiggled(facts, graph, name, f"the lines of {name}", *contact_fields(facts, name))
        case "hand" | "machine":
            yield from _pressed(facts, graph, name, contacts)
        case "power" | "coil":
            pass
        case _:
            if contacts:
                sight = Sight(facts.missing((*path, "worked_by")), spelled((*path, "worked_by")), False)
                yield facts.test(
                    f"{name}/open",
                    "Opened in its own way",
                    (make_active(graph), f"Open {name} in its own way."),
                    (sight,),
                    ((*path, "worked_by"),),
                    cautions=(Caution.HIGH_VOLTAGE,),
                )
    if device.function == "activation logic":
        yield facts.test(
            f"{name}/no-return",
            "Closing the loop makes nothing active",
            (make_active(graph), "Open the loop at any shutdown button, reset it, wait 10 s."),
            (_stays_off(graph), Sight(f"{name} stays dropped until the start button is pressed", spelled(path))),
            contact_fields(facts, name),
            cautions=(Caution.HIGH_VOLTAGE,),
        )


def _worked(facts: Facts, graph: Network, name: str, held: list[Element]) -> Test:
    """A hand or the machine opens the contact."""
    device = facts.look.car.devices[name]
    coils, corner = dropped(facts, graph, held), held[0].corner
    act, title, step = _act(facts, name)
    sights = [*_contact_sights(facts, name), *opening_sights(facts, graph, coils, _feeds_the_car(facts, graph, held))]
    if device.function in ("LV master switch", "TS master switch"):
        sights += [facts.sight(("devices", name, "key"), "the key: {}"), *_lockout(facts, name), _stays_off(graph)]
    proves = (
        *contact_fields(facts, name),
        *(
            ("devices", name, field)
            for field in ("trips", "acts_on_loss_of", "direct_acting", "key", "lockout")
            if facts.at(("devices", name, field)) is not None
        ),
    )
    return facts.test(
        f"{name}/{act}{'-' * bool(corner)}{corner}",
        f"{title}{', ' * bool(corner)}{corner}",
        (
            *_before(facts, name),
            make_active(graph),
            f"{step.replace(name, held[0].spelled)} Stopwatch from that moment.",
            "Read when the voltmeter falls below the limit.",
        ),
        sights,
        proves,
        until_safe(facts, graph, coils, device.function),
        (Caution.HIGH_VOLTAGE, Caution.STORED_CHARGE),
        follows(graph, coils),
    )


def _before(facts: Facts, name: str) -> tuple[str, ...]:
    """What is done while the car is still dead."""
    if facts.look.car.devices[name].function != "inertia switch":
        return ()
    off = facts.at(("devices", name, "fixing", "taken_off"))
    return (f"Car dead: take {name} off{f' ({off})' if isinstance(off, str) else ''}, its lines stay connected.",)


def _act(facts: Facts, name: str) -> tuple[str, str, str]:
    """The word for the slug, the title, and what is done."""
    device = facts.look.car.devices[name]
    match device.function:
        case "shutdown button" | "charger button":
            return "press", "Pressed", f"Press {name}."
        case "LV master switch" | "TS master switch":
            return "open", "Turned off", f"Turn {name} off."
        case "inertia switch":
            return "trip", "Tripped by a jerk", f"Jerk {name} by hand."
        case "brake over-travel switch":
            return "over-travel", "Over-travel of the brake pedal", f"Work {name} as the brake pedal does at over-travel."
    return "work", "Worked", f"Work {name} by hand." if device.worked_by == "hand" else f"Work {name} by hand, as the machine does."


def _contact_sights(facts: Facts, name: str) -> Iterator[Sight]:
    if facts.look.car.devices[name].contact is not None and facts.at(("devices", name, "contact", "tripped")) is not None:
        yield facts.sight(("devices", name, "contact", "tripped"), f"the contact of {name} is {{}}")


def _lockout(facts: Facts, name: str) -> Iterator[Sight]:
    if facts.look.car.devices[name].function == "TS master switch":
        yield facts.sight(("devices", name, "lockout"), "it can be locked off: {}")


def _latched(facts: Facts, graph: Network, name: str) -> Iterator[Test]:
    """What stays open, what brings it back and what does not."""
    device, path = facts.look.car.devices[name], ("devices", name)
    if device.function not in _LATCHING and device.latch is None:
        return
    _, _, step = _act(facts, name)
    yield facts.test(
        f"{name}/latch",
        "Stays open after it was let go",
        (step, "Let go; wait 10 s.", "Try to make the tractive system active."),
        (facts.sight((*path, "latch", "by"), "the loop stays open, held by: {}"), Sight("no contactor closes", spelled((*path, "latch")))),
        ((*path, "latch"), (*path, "contact", "tripped")),
        cautions=(Caution.HIGH_VOLTAGE,),
    )
    if device.worked_by == "hand" or device.function == "brake over-travel switch":
        again = {"stays open": "the loop stays open", "closes": "the loop closes (see the findings of the checks)"}
        yield facts.test(
            f"{name}/second-push",
            "Pushed a second time",
            (
                step,
                f"Push {name} again in the same way, twice.",
            ),
            (facts.sight((*path, "latch", "push_again"), again),),
            ((*path, "latch", "push_again"),),
            cautions=(Caution.HIGH_VOLTAGE,),
        )
    yield from reset_tests(facts, name, step)


def _pressed(facts: Facts, graph: Network, name: str, contacts: list[Element]) -> Iterator[Test]:
    """A contact that only a finger closes, such as the start button."""
    if facts.look.car.devices[name].function != "start button":
        return
    steps = ("Close the loop; press nothing for 10 s.", f"Press {name} once and let go.")
    sights = [Sight("before the press no contactor is closed", spelled(("loops", graph.loop)))]
    mode = modes(facts.look.car)[0]
    for phase, words in (("precharging", "during pre-charge"), ("active", "when active")):
        on = [element.name for element in graph.of_kind(Kind.COIL) if element in facts.look.energised[(graph.loop, phase, mode)]]
        field = spelled(("loops", graph.loop))
        sights.append(
            Sight(f"{words} the coils of {', '.join(on)} are energised, and no other", field)
            if on
            else Sight(f"coils energised {words}: none by the states described", field, False)
        )
    rests = {f"coils energised in loops.{graph.loop}": sights[-2].words + "; " + sights[-1].words}
    yield facts.test(
        f"{name}/start", "Start", steps, sights, contact_fields(facts, name), cautions=(Caution.HIGH_VOLTAGE, Caution.STORED_CHARGE), follows=rests
    )


def _pilot(facts: Facts, name: str, field: str) -> tuple[Path, ...]:
    """The field of every connector of the tractive system whose pilot contact a device is."""
    connectors = facts.at(("tractive_system", "connectors"))
    described = connectors.items() if isinstance(connectors, dict) else ()
    return tuple(("tractive_system", "connectors", key, field) for key, connector in described if connector.pilot == name)


def _unplugged(facts: Facts, graph: Network, name: str, element: Element) -> Test:
    """A pilot contact, without high voltage: nobody parts a connector of the tractive system under load."""
    coils, what = dropped(facts, graph, [element]), element.spelled
    pilots = [str(path[2]) for path in _pilot(facts, name, "pilot")]
    connector = f"{' and '.join(pilots)} (pilot contact {what})" if pilots else what
    if facts.at(("devices", name, "contact")) is not None:
        apart = facts.sight(("devices", name, "contact", "at_rest"), "apart, the pilot contact is {}")
    else:
        apart = Sight(f"devices.{name}.contact is not said", spelled(("devices", name)), False)
    sights = [
        apart,
        Sight("together, it is closed; parted again under the closed loop, these let go:", spelled(element.step)),
        *opening_sights(facts, graph, coils),
    ]
    order = [facts.sight(path, f"the pilot contact of {path[2]} {{}}") for path in _pilot(facts, name, "pilot_order")]
    figure = until_safe(facts, graph, coils)
    if figure and figure.has_band:
        sights.append(
            Sight(
                f"in the car under voltage the measuring points would be below the limit after {figure.expected}; that time is measured at the buttons",
                figure.source,
            )
        )
    steps = (
        LEFT_DEAD,
        f"Part {connector}; cover the contacts. Measure the pilot contact at its two ends with an ohmmeter, plugged apart and together.",
        NO_HIGH_VOLTAGE,
        "Close the loop, let the first contactor pull in, part the connector again.",
    )
    corner = f"-{element.corner}" if element.corner else ""
    proves = (*contact_fields(facts, name), *_pilot(facts, name, "pilot"), *_pilot(facts, name, "pilot_order"))
    return facts.test(
        f"{name}/unplug{corner}",
        f"Unplugged{f', {element.corner}' if element.corner else ''}",
        steps,
        (*sights, *order),
        proves,
        cautions=(Caution.LOCKED_OFF_FIRST, Caution.STORED_CHARGE, Caution.OPEN_CELLS),
        follows=follows(graph, coils),
    )


def _removed(facts: Facts, name: str) -> Iterator[Test]:
    path = ("devices", name, "removal")
    if facts.look.car.devices[name].function == "service disconnect interlock":
        figure = facts.stated("time that an untrained person needs", (*path, "within"), "service-disconnect", ("time",), "at most")
        steps = (LEFT_DEAD, "Let somebody who has never done it pull it, reading only what is written on it.")
        yield facts.test(
            f"{name}/pulled",
            "Pulled by an untrained person",
            steps,
            (facts.sight((*path, "tool"), "tool needed: {}"),),
            (path, ("devices", name, "place")),
            figure,
            (Caution.LOCKED_OFF_FIRST,),
        )


def _again(facts: Facts, graph: Network, head: str, elements: list[Element]) -> Iterator[Test]:
    """What was tested in another loop already, opened once more in this one."""
    contacts = [element for element in elements if element.kind is Kind.CONTACT]
    closed = facts.look.closed_in("active", modes(facts.look.car)[0])
    if not any(closed(element) for element in contacts):
        return
    coils = dropped(facts, graph, contacts)
    steps = (make_active(graph), f"Take its feed from {head}." if facts.look.car.devices[head].worked_by == "power" else f"Open {head}.")
    yield facts.test(
        f"{head}/{graph.loop}",
        f"Opens the loop {graph.loop} too",
        steps,
        opening_sights(facts, graph, coils),
        contact_fields(facts, head),
        until_safe(facts, graph, coils),
        (Caution.HIGH_VOLTAGE, Caution.STORED_CHARGE),
        follows(graph, coils),
    )
