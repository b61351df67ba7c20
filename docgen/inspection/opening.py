"""What follows when the loop opens somewhere: which coils lose their supply, and how soon the tractive system is safe."""

from collections.abc import Collection, Iterator
from dataclasses import replace

from docgen.analysis.timeline import DEMANDS
from docgen.inspection.facts import Facts
from docgen.inspection.test import Figure, Sight
from docgen.look import DRIVE
from docgen.network import Element, Kind, Network, healthy, modes
from docgen.printing import listed
from docgen.provenance import Path, spelled

ACTIVE = "active"


def dropped(facts: Facts, graph: Network, taken: Collection[Element], phase: str = ACTIVE) -> tuple[str, ...]:
    """The devices whose coils lose their current when these elements of the healthy loop open or are taken away."""
    closed = facts.look.closed_in(phase, modes(facts.look.car)[0])
    kept = replace(graph, elements=tuple(element for element in graph.elements if element not in taken))
    lost = graph.energised(closed) - kept.energised(closed)
    return tuple(dict.fromkeys(element.name for element in graph.of_kind(Kind.COIL) if element in lost))


def opening_sights(facts: Facts, graph: Network, coils: tuple[str, ...], dark: bool = False) -> Iterator[Sight]:
    """Which contactors open, what the other coils let go, what the lamp in the car says unless low voltage is gone too and all is `dark`."""
    car, field = facts.look.car, spelled(("loops", graph.loop))
    if not coils:
        yield Sight(f"by the states described in {field} no coil loses its current here; look at contacts and order of the loop", field, False)
        return
    contactors = [name for name in coils if name in car.devices and car.devices[name].function == "accumulator contactor"]
    moved = [f"{listed(contactors)} open{'s' * (len(contactors) == 1)}"] if contactors else []
    yield Sight(", ".join([*moved, *(f"{name} drops{_let_go(facts, name)}" for name in coils if name not in contactors)]), field)
    if facts.at(("tractive_system", "off_lamp")) is not None and contactors and graph.loop == DRIVE and not dark:
        yield facts.sight(("tractive_system", "off_lamp", "label"), "once the voltage is down, the lamp “{}” is lit")


def _let_go(facts: Facts, name: str) -> str:
    """The contacts of a relay that move when its coil drops: `` (power closes)``."""
    device = facts.look.car.devices.get(name)
    moved = []
    for contact_name, contact in (device.every_contact() if device else {}).items():
        held = healthy(device, contact, ACTIVE, modes(facts.look.car)[0]) if device else None
        if contact.at_rest in ("open", "closed") and held in ("open", "closed") and held != contact.at_rest:
            moved.append(f"{contact_name} {'opens' if contact.at_rest == 'open' else 'closes'}")
    return f" ({listed(moved)})" if moved else ""


def voltage_words(facts: Facts) -> str:
    """The voltage below which the tractive system counts as off, in words: ``60 V``."""
    least = facts.look.limit("loop-opening-result", "voltage")
    return str(least[1]) if least else "its limit"


def until_safe(facts: Facts, graph: Network, coils: tuple[str, ...], function: object = None) -> Figure | None:
    """The longest time until the voltage is below its limit after a device of this function was worked; None where nothing falls.

    The slowest device of its kind counts, and the inverter that takes longest.
    """
    if graph.loop != DRIVE or facts.never_high or not any(facts.at(("devices", name, "function")) == "accumulator contactor" for name in coils):
        return None
    what = f"time until the measuring points are below {voltage_words(facts)}"
    chains = tuple(one for one in facts.named("time-to-safe") if function in DEMANDS and facts.at((*one.about, "function")) == function)
    figure = facts.computed(
        what, chains or facts.named("discharge-time"), "at most", "no discharge of an inverter is described (tractive_system.inverters)"
    )
    clause = facts.clause("loop-opening-result", "time")
    return replace(figure, source=f"{figure.source}; {clause}, from the opening of the loop") if chains and clause else figure


def follows(graph: Network, coils: tuple[str, ...]) -> dict[str, str]:
    """What a test of the loop rests on besides its own fields: the coils that it drops."""
    return {f"coils dropped in loops.{graph.loop}": ", ".join(coils) or "none"}


def contact_fields(facts: Facts, name: str) -> tuple[Path, ...]:
    """The fields that decide how a device stands in the car and in its loop."""
    return tuple(("devices", name, field) for field in ("function", "worked_by", "place", "fixing", "contact", "contacts"))
