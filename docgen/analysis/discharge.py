"""Discharge of the intermediate circuits: how soon they are below the limit once the loop has opened, and what the resistor bears."""

from collections.abc import Iterator
from dataclasses import replace

from docgen.analysis.fields import against, bound, constant, limit, reading, summed, system_voltage
from docgen.analysis.intermediate import (
    ACCUMULATORS,
    INVERTERS,
    capacitance,
    contactors,
    is_below_limit,
    switch_of,
    tractive,
    voltage_limit,
    without_discharge,
)
from docgen.analysis.opening import opening, slowest
from docgen.calc.chain import time_after_opening
from docgen.calc.formula import Band, OutOfBounds
from docgen.calc.pulse import permitted_power
from docgen.calc.rc import capacitor_energy, discharge_curve, discharge_resistance, discharge_time, peak_current, resistor_power
from docgen.calculation import Calculation, Given, Missing, computed, of, result_as
from docgen.car.tractive import Discharge
from docgen.car.values import Unknown
from docgen.look import Look
from docgen.plot import Axis, Curve, Level, PlotOf, curves
from docgen.printing import measure
from docgen.provenance import Path


def discharge(look: Look) -> Iterator[Calculation]:
    """The opening of each contactor; then, for each inverter, its discharge. Nothing for a car that never exceeds the voltage limit."""
    if is_below_limit(look):
        return
    openings = tuple(_contactor_opening(look, name) for name in contactors(look))
    yield from openings
    times = [result_as(one, "t_o", one.title) for one in openings]
    opened = slowest("t_o", "time until the last contactor has opened", times) if times else Missing("a contactor of an accumulator", ACCUMULATORS)
    undrained = without_discharge(look)
    added = capacitance(look, undrained, "capacitance without a discharge of its own") if undrained else None
    for name in tractive(look).inverters:
        if name not in undrained:
            yield from _discharged(look, name, added, opened)


def _contactor_opening(look: Look, name: str) -> Calculation:
    """From the opening of the loop to the open contact of an accumulator contactor."""
    allowed = bound(look, "contactor-opening-delay", "delay")
    prose = "So long the accumulator stays connected after the loop has opened."
    return opening(look, "contactor-opening", f"Opening time of {name}", name, allowed, prose)


def _discharged(look: Look, name: str, added: Given | Missing | None, opened: Given | Missing) -> Iterator[Calculation]:
    """The discharge of one inverter, with the capacitance `added` of those that have none of their own."""
    path: Path = (*INVERTERS, name, "discharge")
    found = tractive(look).inverters[name].discharge
    described = found if isinstance(found, Discharge) else Discharge()
    resistance = reading("R", "discharge resistor", found if isinstance(found, Unknown) else described.resistor, (*path, "resistor"))
    held = capacitance(look, (name,), f"capacitance of {name}")
    if added:
        held = summed("C", f"capacitance of {name} and of what has no discharge of its own", [held, added], INVERTERS)
    highest, least = system_voltage(look, "highest"), voltage_limit(look)
    if switch := switch_of(look, described):
        title, prose = f"Time until {switch.name} lets {name} discharge", "Before that the intermediate circuit keeps its charge."
        switching = opening(look, "discharge-switching", title, switch.name, None, prose)
        yield switching
        opened = slowest("t_o", "time until the last contact has moved", [opened, result_as(switching, "t_o", title)])
    fall = computed(
        "discharge-fall",
        f"Fall of the voltage of {name}",
        (*path, "resistor"),
        discharge_time,
        {"start": _not_below(highest, least), "end": least, "resistance": resistance, "capacitance": held},
        prose="From the highest voltage to the limit, once every contact has moved.",
    )
    yield fall
    yield computed(
        "discharge-time",
        f"Discharge time of {name}",
        (*path, "resistor"),
        time_after_opening,
        {"opening": opened, "fall": result_as(fall, "t_f", "fall of the voltage")},
        bound(look, "loop-opening-result", "time"),
        "From the opening of the loop until its intermediate circuit is below the limit; judged alone, because in parallel with others it is no slower.",
    )
    yield computed(
        "discharge-largest-resistor",
        f"Largest discharge resistor for {name}",
        (*path, "resistor"),
        discharge_resistance,
        {"start": highest, "end": least, "capacitance": held, "time": _time_left(look, opened)},
        prose="A resistor that stays below the lowest of these values with its own tolerance is quick enough in the worst case.",
    )
    yield computed(
        "discharge-peak-current", f"Peak current of the discharge of {name}", (*path, "resistor"), peak_current,
        {"voltage": highest, "resistance": resistance}, prose="At the first moment, through resistor and contact.",
    )  # fmt: skip
    yield _power(look, name, described, path, highest, resistance)
    yield computed(
        "discharge-energy", f"Energy in the discharge resistor of {name}", (*path, "resistor"), capacitor_energy,
        {"voltage": highest, "capacitance": held}, prose="What the capacitors hold at the highest voltage: the resistor turns all of it into heat.",
    )  # fmt: skip


def _not_below(highest: Given | Missing, least: Given | Missing) -> Given | Missing:
    """The highest voltage, with what of its tolerance lies below the limit cut off: from there nothing has to fall."""
    if isinstance(highest, Missing) or isinstance(least, Missing):
        return highest
    band, floor = highest.band, least.band.high
    return replace(highest, band=Band(max(band.low, floor), max(band.nominal, floor), band.high))


def _time_left(look: Look, opened: Given | Missing) -> Given | Missing:
    """What the edition leaves for the fall of the voltage once the contacts have moved."""
    allowed = limit(look, "t", "time allowed, less that of the contacts", "loop-opening-result", "time")
    if isinstance(allowed, Missing) or isinstance(opened, Missing):
        return allowed if isinstance(allowed, Missing) else opened
    whole, used = allowed.band.nominal, opened.band
    return Given(allowed.symbol, allowed.name, Band(whole - used.high, whole - used.nominal, whole - used.low), allowed.unit, allowed.origin)


def _power(look: Look, name: str, described: Discharge, path: Path, highest: Given | Missing, resistance: Given | Missing) -> Calculation:
    """The power at the highest voltage, against what the resistor bears for good, or for as long as the edition asks."""
    power = computed(
        "discharge-power",
        f"Power in the discharge resistor of {name}",
        (*path, "rated_power"),
        resistor_power,
        {"voltage": highest, "resistance": resistance},
        prose="At the highest voltage, as when a contactor has stuck closed.",
    )
    rated = reading("P", "continuous power of the resistor", described.rated_power, (*path, "rated_power"))
    asked = look.limit("discharge", "rating")
    if asked is None or isinstance(rated, Missing) or (power.result and power.result.high <= rated.band.low):
        return against(power, "at most", rated, "what the resistor bears for good")
    time = float(asked[1].value)
    words = f"what the resistor bears for {measure(time, 's')}"
    if not isinstance(described.pulse_rating, tuple):
        return against(power, "at most", Missing(words, (*path, "pulse_rating")), words)
    points = tuple((float(seconds.value), float(watts.low)) for seconds, watts in described.pulse_rating)
    try:
        borne = permitted_power(rating=points, rated_power=rated.band.low, time=time)
    except OutOfBounds as error:
        return against(power, "at most", Missing(f"a pulse rating that can be ({error})", (*path, "pulse_rating")), words)
    return against(power, "at most", constant("P", words, borne, "W", "pulse rating"), words)


def discharge_pictures(look: Look) -> Iterator[PlotOf]:
    """The falling voltage of each inverter, nominal and as slow as its tolerances allow."""
    done, allowed = tuple(discharge(look)), look.limit("loop-opening-result", "time")
    for number, (fall, time) in enumerate(zip(of(done, "discharge-fall"), of(done, "discharge-time"), strict=True), 1):
        if fall.result and time.result and allowed:
            yield _falling(number, fall, time, time.result, float(allowed[1].value))


def _falling(number: int, fall: Calculation, time: Calculation, result: Band, seconds: float) -> PlotOf:
    band = {given.symbol: given.band for given in (*fall.given, *time.given)}
    most, least, name = band["U_max"].high, band["U₁"].nominal, str(time.about[2])
    until = 1.15 * max(seconds, result.high)

    def falling(end: str) -> tuple[tuple[float, float], ...]:
        start, resistance, farads, opened = (getattr(band[symbol], end) for symbol in ("U_max", "R", "C", "t_o"))
        points = discharge_curve(start=start, resistance=resistance, capacitance=farads, until=until - opened, steps=120)
        return ((0.0, start), *((opened + moment, voltage) for moment, voltage in points))

    lines = (
        Curve(f"nominal: {measure(result.nominal, 's')}", falling("nominal")),
        Curve(f"slowest: {measure(result.high, 's')}", falling("high")),
        Curve(f"time limit {measure(seconds, 's')}", ((seconds, 0.0), (seconds, 1.1 * most))),
    )
    x, y = Axis("time from the opening of the loop", "s", 0, until), Axis("voltage of the intermediate circuit", "V", 0, 1.1 * most)
    return PlotOf(
        f"discharge-{number}",
        f"Discharge of {name}: the voltage after the loop has opened",
        f"The voltage of {name} starts at {measure(most, 'V')} and is below {measure(least, 'V')} after {measure(result.nominal, 's')}, at the slowest after"
        f" {measure(result.high, 's')}. The limit is {measure(seconds, 's')}.",
        curves(f"Discharge of {name}", x, y, lines, (Level(f"limit {measure(least, 'V')}", least),)),
    )
