"""How long a contact takes to move once its coil has lost its supply."""

from collections.abc import Sequence

from docgen.analysis.fields import constant, reading
from docgen.calc.chain import opening_time
from docgen.calc.formula import Band, OutOfBounds, worst
from docgen.calc.rc import charge_time
from docgen.calculation import Bound, Calculation, Given, Missing, computed
from docgen.car.device import Coil, Delay, Device
from docgen.car.values import Unknown
from docgen.provenance import Path
from docgen.quantity import Quantity


def delay_of(delay: Delay | Unknown | None, path: Path) -> Given | Missing:
    """A hard-wired delay with its tolerance, stated or made of resistor, capacitor and comparator; 0 where none is described."""
    if delay is None:
        return constant("t_d", "delay, none described", 0, "s", "nothing is described")
    if isinstance(delay, Unknown) or isinstance(delay.time, Quantity) or not any((delay.resistor, delay.capacitor, delay.trips_at)):
        return reading("t_d", "delay", delay.time if isinstance(delay, Delay) else delay, (*path, "time"))
    inputs = {
        "resistance": reading("R", "timing resistor", delay.resistor, (*path, "resistor")),
        "capacitance": reading("C", "timing capacitor", delay.capacitor, (*path, "capacitor")),
        "fraction": reading("f", "share of the supply at which the comparator trips", delay.trips_at, (*path, "trips_at")),
    }
    if missing := next((value for value in inputs.values() if isinstance(value, Missing)), None):
        return missing
    try:
        band = worst(charge_time, **{name: value.band for name, value in inputs.items() if isinstance(value, Given)})
    except OutOfBounds as error:
        return Missing(f"a delay that can be ({error})", path)
    return Given("t_d", "delay made of resistor and capacitor", band, "s", path)


def release_of(device: Device, path: Path, name: str) -> Given | Missing:
    """Time from loss of the coil supply to the moved contact, as the description states it."""
    coil = device.coil
    return reading("t_r", f"release time of {name}", coil.release if isinstance(coil, Coil) else coil, (*path, "coil", "release"))


def opening(slug: str, title: str, path: Path, name: str, device: Device, limit: Bound | None, prose: str) -> Calculation:
    """From the opening of the loop to the moved contact of a relay or contactor: a delay of its supply where it has one, and its release."""
    inputs = {"delay": delay_of(device.delay, (*path, "delay")), "release": release_of(device, path, name)}
    return computed(slug, title, (*path, "coil", "release") if device.delay is None else (*path, "delay"), opening_time, inputs, limit, prose)


def slowest(symbol: str, name: str, times: Sequence[Given | Missing]) -> Given | Missing:
    """The last of several times: the band of their maximum, from where its upper end comes; what one misses, the whole misses."""
    known = [time for time in times if isinstance(time, Given)]
    if len(known) < len(times):
        return next(time for time in times if isinstance(time, Missing))
    last = max(known, key=lambda time: time.band.high)
    band = Band(max(time.band.low for time in known), max(time.band.nominal for time in known), last.band.high)
    return Given(symbol, name, band, last.unit, last.origin)
