"""How long a contact takes to move once its coil has lost its supply."""

from collections.abc import Sequence

from docgen.analysis.delays import is_made_of_parts, law_of
from docgen.analysis.fields import constant, reading
from docgen.analysis.loop_coils import release_of
from docgen.calc.chain import opening_time
from docgen.calc.formula import Band, OutOfBounds, worst
from docgen.calculation import Bound, Calculation, Given, Missing, computed
from docgen.car.device import Delay
from docgen.car.values import Unknown
from docgen.look import Look
from docgen.provenance import Path


def delay_of(delay: Delay | Unknown | None, path: Path) -> Given | Missing:
    """A hard-wired delay with its tolerance, stated or made of resistor, capacitor and comparator; 0 where none is described."""
    if delay is None:
        return constant("t_d", "delay, none described", 0, "s", "nothing is described")
    if isinstance(delay, Unknown) or not is_made_of_parts(delay):
        return reading("t_d", "delay", delay.time if isinstance(delay, Delay) else delay, (*path, "time"))
    law, inputs = law_of(delay, path)
    if missing := next((value for value in inputs.values() if isinstance(value, Missing)), None):
        return missing
    try:
        band = worst(law, **{name: value.band for name, value in inputs.items() if isinstance(value, Given)})
    except OutOfBounds as error:
        return Missing(f"a delay that can be ({error})", path)
    return Given("t_d", "delay made of resistor and capacitor", band, "s", path)


def opening(look: Look, slug: str, title: str, name: str, limit: Bound | None, prose: str) -> Calculation:
    """From the opening of the loop to the moved contact of a relay or contactor: a delay of its supply where it has one, and its release."""
    device, path = look.car.devices[name], ("devices", name)
    inputs = {"delay": delay_of(device.delay, (*path, "delay")), "release": release_of(look, name)}
    return computed(slug, title, (*path, "coil", "release") if device.delay is None else (*path, "delay"), opening_time, inputs, limit, prose)


def slowest(symbol: str, name: str, times: Sequence[Given | Missing]) -> Given | Missing:
    """The last of several times: the band of their maximum, from where its upper end comes; what one misses, the whole misses."""
    known = [time for time in times if isinstance(time, Given)]
    if len(known) < len(times):
        return next(time for time in times if isinstance(time, Missing))
    last = max(known, key=lambda time: time.band.high)
    band = Band(max(time.band.low for time in known), max(time.band.nominal for time in known), last.band.high)
    return Given(symbol, name, band, last.unit, last.origin)
