"""Cells and accumulators in numbers: what the battery management watches, segments, voltage, power, main fuse."""

from collections.abc import Iterator

from docgen.analysis.fields import against, as_stated, bound, count, reading, summed, system_voltage
from docgen.calc.cells import accumulator_resistance, accumulator_voltage, parallel_current, segment_energy, segment_voltage, share_watched
from docgen.calc.formula import Band
from docgen.calc.wire import short_circuit_current
from docgen.calculation import Bound, Calculation, Given, Missing, computed, result_as
from docgen.car.contact import Breaking
from docgen.car.device import Device, Watch
from docgen.car.tractive import Accumulator, Cell, Contactors, Segments, TractiveSystem
from docgen.car.wiring import Fuse
from docgen.look import Look
from docgen.provenance import Path
from docgen.quantity import Quantity

FUNCTION = "battery management"

SYSTEM: Path = ("tractive_system",)
ACCUMULATORS: Path = (*SYSTEM, "accumulators")


def cells(look: Look) -> Iterator[Calculation]:
    """Every figure of the battery managements, the accumulators and the system as a whole."""
    managements = tuple(look.devices(FUNCTION))
    watched = _watched_by(look, [name for _, name, _ in managements])
    for path, name, device in managements:
        yield from _watched(look, path, name, device, watched[name])
    for name, accumulator in _accumulators(look).items():
        yield from _segments(look, name, accumulator)
        yield from _fuse(look, name, accumulator)
    yield from _system(look)


def _accumulators(look: Look) -> dict[str, Accumulator]:
    system = look.car.tractive_system
    return system.accumulators if isinstance(system, TractiveSystem) else {}


def _parts(accumulator: Accumulator) -> tuple[Segments, Cell]:
    """Segments and cell of an accumulator, empty ones where they are not described."""
    segments = accumulator.segments if isinstance(accumulator.segments, Segments) else Segments()
    return segments, segments.cell if isinstance(segments.cell, Cell) else Cell()


def _watched(look: Look, path: Path, name: str, device: Device, those: dict[str, Accumulator]) -> Iterator[Calculation]:
    watch, place = device.watches if isinstance(device.watches, Watch) else Watch(), (*path, "watches")
    for slug, title, field, said, per_group, kept, prose in (
        ("cells-voltage-share", f"Share of the cell voltages that {name} measures", "cells", "number of cell voltages measured", False,
         Bound("at least", 1, "cells-watched", "every cell voltage"), "Cells in parallel share one voltage."),
        ("cells-temperature-share", f"Share of the cells whose temperature {name} measures", "temperatures", "number of cells whose temperature is measured",
         True, bound(look, "cells-watched", "share"), "Every single cell counts here, also those in parallel."),
    ):  # fmt: skip
        watched = count("n_w", said, getattr(watch, field), (*place, field))
        yield computed(slug, title, (*place, field), share_watched, {"watched": watched, "cells": _number(those, per_group)}, kept, prose)
    at = (*place, "temperature_limit")
    limit = reading("T", "temperature at which it opens the loop", watch.temperature_limit, at)
    prose = "The lower of the two limits counts: that of the rulebook and that of the cell's data sheet."
    yield as_stated("cell-temperature-limit", f"Temperature limit of {name}", at, limit, bound(look, "cell-temperature", "temperature"), prose)
    for key, accumulator in those.items():
        _, cell = _parts(accumulator)
        allowed = reading("T_cell", f"highest temperature allowed for the cells of {key}", cell.temperature_limit, (*ACCUMULATORS, key, "segments", "cell"))
        beside = as_stated("cell-temperature-limit", f"Temperature limit of {name} for the cells of {key}", at, limit, None, prose)
        yield against(beside, "at most", allowed, "the limit in the data sheet of the cells")
    for quantity in ("voltage", "current", "temperature"):
        field = f"{quantity}_delay"
        delay = reading("t", f"how long a {quantity} may be outside", getattr(watch, field), (*place, field))
        yield as_stated(
            "cell-delay", f"Delay of {name} for a {quantity}", (*place, field), delay, bound(look, "cell-delays", quantity),
            "Accuracy, noise and sampling of the measurement count into it.",
        )  # fmt: skip


def _watched_by(look: Look, managements: list[str]) -> dict[str, dict[str, Accumulator]]:
    """Battery management -> the accumulators that it watches; all of them where it is the only one and none names its own."""
    everything = _accumulators(look)
    if len(managements) == 1 and not any(isinstance(one.battery_management, str) for one in everything.values()):
        return {managements[0]: everything}
    watched: dict[str, dict[str, Accumulator]] = {name: {} for name in managements}
    for key, accumulator in everything.items():
        if isinstance(accumulator.battery_management, str) and accumulator.battery_management in watched:
            watched[accumulator.battery_management][key] = accumulator
    return watched


def _number(accumulators: dict[str, Accumulator], every_cell: bool) -> Given | Missing:
    """How many cells, or groups of cells in parallel, accumulators have."""
    what = "cells" if every_cell else "cell voltages"
    each: list[Given | Missing] = []
    for name, accumulator in accumulators.items():
        segments, _ = _parts(accumulator)
        factors = [segments.count, segments.in_series, *([segments.in_parallel] if every_cell else [])]
        place = (*ACCUMULATORS, name, "segments")
        number = 1
        for factor in factors:
            number *= factor if isinstance(factor, int) else 0
        written = " × ".join(map(str, factors))
        each.append(Given("n", f"{what} of {name}, {written}", Band.exactly(number), "", place) if number else Missing(f"number of {what} of {name}", place))
    if len(each) == 1:
        return each[0]
    return summed("n", f"{what} of {', '.join(accumulators)}", each, ACCUMULATORS) if each else Missing(f"accumulator whose {what} it measures", ACCUMULATORS)


def _segments(look: Look, name: str, accumulator: Accumulator) -> Iterator[Calculation]:
    segments, cell = _parts(accumulator)
    place = (*ACCUMULATORS, name, "segments")
    volts = reading("U_cell", "highest voltage of a cell", cell.voltage_highest, (*place, "cell", "voltage_highest"))
    series = count("n_s", "cells in series within a segment", segments.in_series, (*place, "in_series"))
    row = {"cell_voltage": volts, "in_series": series}
    yield computed(
        "segment-voltage", f"Voltage of a segment of {name}", (*place, "in_series"), segment_voltage, row, bound(look, "segments", "voltage"),
        "With full cells; so much is between the hands of the one who works on it.",
    )  # fmt: skip
    parallel = count("n_p", "cells in parallel", segments.in_parallel, (*place, "in_parallel"))
    inputs = {**row, "in_parallel": parallel, "capacity": reading("Q", "nominal capacity of a cell", cell.capacity, (*place, "cell", "capacity"))}
    title, kept = f"Energy of a segment of {name}", bound(look, "segments", "energy")
    if isinstance(segments.energy, Quantity) and any(isinstance(value, Missing) for value in inputs.values()):
        yield as_stated("segment-energy", title, (*place, "energy"), reading("E", "energy of a segment", segments.energy, (*place, "energy")), kept)
    else:
        prose = "Counted from the highest voltage and the nominal capacity, which is more than the cells can give."
        yield computed("segment-energy", title, (*place, "in_parallel"), segment_energy, inputs, kept, prose)
    mass = reading("m", "mass of the heaviest segment", segments.mass, (*place, "mass"))
    yield as_stated("segment-mass", f"Mass of the heaviest segment of {name}", (*place, "mass"), mass, bound(look, "segments", "mass"))
    number = count("n_seg", "number of segments", segments.count, (*place, "count"))
    whole = computed(
        "accumulator-voltage", f"Voltage of {name} with full cells", (*place, "count"), accumulator_voltage, {**row, "segments": number},
        prose="All other figures count with the highest voltage that the description states.",
    )  # fmt: skip
    if len(_accumulators(look)) == 1:
        yield against(whole, "at most", system_voltage(look, "highest"), "the highest voltage stated")
    elif cell.resistance is not None:
        yield whole
    if cell.resistance is not None:
        yield from _short_circuit(name, accumulator, {"in_series": series, "segments": number, "in_parallel": parallel}, result_as(whole, "U", "voltage with full cells"))


def _short_circuit(name: str, accumulator: Accumulator, cells: dict[str, Given | Missing], voltage: Given | Missing) -> Iterator[Calculation]:
    """The most that the cells can give, against what the main fuse can break."""
    _, cell = _parts(accumulator)
    place = (*ACCUMULATORS, name, "segments", "cell", "resistance")
    inner = computed(
        "accumulator-resistance", f"Inner resistance of {name}", place, accumulator_resistance,
        {"cell_resistance": reading("R_cell", "inner resistance of a cell", cell.resistance, place), **cells},
        prose="Of the cells alone; connectors and fuse add to it.",
    )  # fmt: skip
    yield inner
    fuse = accumulator.fuse if isinstance(accumulator.fuse, Fuse) else Fuse()
    at = (*ACCUMULATORS, name, "fuse", "breaking_capacity")
    current = computed(
        "accumulator-short-circuit", f"Short-circuit current of {name}", at, short_circuit_current,
        {"voltage": voltage, "resistance": result_as(inner, "R", "inner resistance")},
        prose="With full cells, as if the short lay at the terminals of the accumulator.",
    )  # fmt: skip
    yield against(current, "below", reading("I_b", f"breaking capacity of the main fuse of {name}", fuse.breaking_capacity, at), f"breaking capacity of the main fuse of {name}")


def _fuse(look: Look, name: str, accumulator: Accumulator) -> Iterator[Calculation]:
    fuse = accumulator.fuse if isinstance(accumulator.fuse, Fuse) else Fuse()
    at = (*ACCUMULATORS, name, "fuse", "rating")
    rating = reading("I_f", "rating of the main fuse", fuse.rating, at)
    yield against(
        as_stated("main-fuse-contactors", f"Main fuse of {name} against its contactors", at, rating, None, "Up to its rating the fuse leaves it to them."),
        "below", _breaking(look, name, accumulator), "what its contactors can interrupt",
    )  # fmt: skip
    segments, cell = _parts(accumulator)
    place = (*ACCUMULATORS, name, "segments")
    together = computed(
        "cells-current", f"Current that the cells of {name} may give for good", (*place, "cell", "current"), parallel_current,
        {"cell_current": reading("I_cell", "largest continuous current of a cell", cell.current, (*place, "cell", "current")),
         "in_parallel": count("n_p", "cells in parallel", segments.in_parallel, (*place, "in_parallel"))},
    )  # fmt: skip
    yield together
    yield against(
        as_stated("main-fuse-cells", f"Main fuse of {name} against its cells", at, rating, None, "A larger fuse carries for good what the cells may not give."),
        "at most", result_as(together, "I", "current that the cells may give for good"), "what the cells in parallel may give for good",
    )  # fmt: skip


def _breaking(look: Look, name: str, accumulator: Accumulator) -> Given | Missing:
    """The smallest current that a contactor of an accumulator can interrupt, at the highest voltage."""
    said = accumulator.contactors
    more = said.more if isinstance(said, Contactors) and isinstance(said.more, tuple) else ()
    contactors = [one for one in (said.positive, said.negative, *more) if isinstance(one, str)] if isinstance(said, Contactors) else []
    highest = system_voltage(look, "highest")
    found: list[Given] = []
    for contactor in contactors:
        device = look.car.devices.get(contactor)
        known = [(key, contact.breaking) for key, contact in device.every_contact().items() if isinstance(contact.breaking, Breaking)] if device else []
        for key, breaking in known:
            origin = ("devices", contactor, "contacts", key, "breaking")
            current = reading("I_b", f"breaking capacity of {contactor}", breaking.current, origin)
            too_low = isinstance(breaking.at, Quantity) and isinstance(highest, Given) and float(breaking.at.low) < highest.band.high
            if isinstance(current, Missing) or too_low:
                return Missing(f"breaking capacity of {contactor} at the highest voltage", origin)
            found.append(current)
        if not known:
            return Missing(f"breaking capacity of {contactor}", ("devices", contactor))
    return min(found, key=lambda current: current.band.low) if found else Missing(f"breaking capacity of the contactors of {name}", (*ACCUMULATORS, name))


def _system(look: Look) -> Iterator[Calculation]:
    system = look.car.tractive_system
    if not isinstance(system, TractiveSystem):
        return
    for slug, title, place, figure, kept in (
        ("tractive-voltage", "Highest voltage of the tractive system", ("voltage", "highest"), system_voltage(look, "highest"),
         bound(look, "maximum-voltage", "voltage")),
        ("tractive-power", "Largest power drawn from the accumulator", ("power",), reading("P", "largest power drawn", system.power, (*SYSTEM, "power")),
         bound(look, "power-limit", "power")),
        ("tractive-current", "Largest current drawn from the accumulator", ("current",), reading("I", "largest current drawn", system.current, (*SYSTEM, "current")),
         bound(look, "power-limit", "current")),
    ):  # fmt: skip
        yield as_stated(slug, title, (*SYSTEM, *place), figure, kept)
    nominal, highest = system_voltage(look, "nominal"), system_voltage(look, "highest")
    if isinstance(nominal, Given) and isinstance(highest, Given):
        stated = as_stated("tractive-nominal-voltage", "Nominal voltage of the tractive system", (*SYSTEM, "voltage", "nominal"), nominal, None)
        yield against(stated, "at most", highest, "the highest voltage")
