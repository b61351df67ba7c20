"""The intermediate circuits of a car: their capacitors, the contactors that feed them, the contacts that discharge them."""

import re
from dataclasses import dataclass

from docgen.analysis.fields import limit, reading, summed, system_voltage
from docgen.calculation import Given, Missing
from docgen.car.contact import Contact
from docgen.car.device import Device
from docgen.car.tractive import Accumulator, Contactors, Discharge, TractiveSystem
from docgen.look import Look
from docgen.printing import listed
from docgen.provenance import Path

INVERTERS: Path = ("tractive_system", "inverters")
ACCUMULATORS: Path = ("tractive_system", "accumulators")


def tractive(look: Look) -> TractiveSystem:
    """The tractive system; an empty one where none is described."""
    system = look.car.tractive_system
    return system if isinstance(system, TractiveSystem) else TractiveSystem()


def contactors_of(accumulator: Accumulator) -> tuple[str, ...]:
    """The contactors that a container names, each once."""
    named = accumulator.contactors if isinstance(accumulator.contactors, Contactors) else Contactors()
    more = named.more if isinstance(named.more, tuple) else ()
    return tuple(dict.fromkeys(name for name in (named.positive, named.negative, *more) if isinstance(name, str)))


def contactors(look: Look) -> tuple[str, ...]:
    """The accumulator contactors that are described: those that containers name, and those by function."""
    named = [name for accumulator in tractive(look).accumulators.values() for name in contactors_of(accumulator)]
    by_function = [name for _, name, _ in look.devices("accumulator contactor")]
    return tuple(dict.fromkeys(name for name in (*named, *by_function) if name in look.car.devices))


@dataclass(frozen=True, slots=True)
class Switch:
    """The contact that switches a discharge."""

    name: str
    device: Device
    key: str
    contact: Contact


def switch_of(look: Look, discharge: Discharge) -> Switch | None:
    """The contact that `through` names, ``discharge_relay.power`` or a device with one contact; None where it names none that is described."""
    name, _, key = discharge.through.strip().partition(".") if isinstance(discharge.through, str) else ("", "", "")
    device = look.car.devices.get(name)
    contacts = device.every_contact() if device else {}
    key = key or next((usual for usual in ("power", "main") if usual in contacts), next(iter(contacts)) if len(contacts) == 1 else "")
    return Switch(name, device, key, contacts[key]) if device and key in contacts else None


_FOR_GOOD = re.compile(r"^(?:nothing|none|no (?:switch|relay|contact))\b|\bfor good\b|^(?:always|permanent(?:ly)?)\b", re.IGNORECASE)


def is_permanent(discharge: Discharge) -> bool:
    """Whether a discharge is connected for good, without a switch."""
    return isinstance(discharge.through, str) and bool(_FOR_GOOD.search(discharge.through.strip()))


def without_discharge(look: Look) -> tuple[str, ...]:
    """The inverters without a discharge of their own, in a car in which another has one: their charge leaves through that."""
    inverters = tractive(look).inverters
    without = tuple(name for name, inverter in inverters.items() if inverter.discharge is None)
    return without if len(without) < len(inverters) else ()


def capacitance(look: Look, names: tuple[str, ...], name: str) -> Given | Missing:
    """The capacitance of these inverters together, under this name."""
    if not names:
        return Missing(name, INVERTERS)
    paths = [(*INVERTERS, one, "capacitance") for one in names]
    each = [reading("C", f"capacitance of {one}", tractive(look).inverters[one].capacitance, path) for one, path in zip(names, paths, strict=True)]
    return summed("C", name, each, paths[0] if len(paths) == 1 else INVERTERS)


def whole_capacitance(look: Look) -> Given | Missing:
    """The capacitance of all inverters together, which a pre-charge has to fill."""
    names = tuple(tractive(look).inverters)
    return capacitance(look, names, f"capacitance of {listed(names)}" if names else "capacitance of an inverter")


def voltage_limit(look: Look) -> Given | Missing:
    """The voltage below which the tractive system counts as off."""
    return limit(look, "U₁", "voltage below which the tractive system counts as off", "loop-opening-result", "voltage")


def is_below_limit(look: Look) -> bool:
    """Whether the tractive system never exceeds the voltage below which it counts as off."""
    highest, least = system_voltage(look, "highest"), voltage_limit(look)
    return isinstance(highest, Given) and isinstance(least, Given) and highest.band.high <= least.band.low
