"""Devices in numbers: battery management, segments, main fuse, voltage and power of the tractive system."""

from collections.abc import Iterator

from docgen.analysis.cells import FUNCTION
from docgen.car.device import Watch
from docgen.finding import Outcome, Severity, finding, rule, stated
from docgen.look import Look
from docgen.rules.fields import absent, unsaid
from docgen.rules.numbers import SUBJECT, judged


@rule("cell-voltage-unwatched", SUBJECT, "cells-watched")
def cell_voltage_unwatched(look: Look) -> Iterator[Outcome]:
    """The battery management measures the voltage of every cell.

    Why: One weak cell is emptied below its limit, or filled above it, while the sum of all looks healthy.
    Wrong:
        devices: {ams: {watches: {cells: 95}}}
    Right:
        devices: {ams: {watches: {cells: 96}}}
    Mend: Measure every group of cells in parallel, and write their number under watches.cells.
    """
    yield from judged(look, "cells-voltage-share")
    yield from absent(look, FUNCTION)


@rule("cell-temperature-share", SUBJECT, "cells-watched")
def cell_temperature_share(look: Look) -> Iterator[Outcome]:
    """The battery management measures the temperature of at least the share of all cells that the edition asks for.

    Why: The share is counted of single cells: four in parallel are four, and a sensor on one of them is one.
    Wrong:
        devices: {ams: {watches: {temperatures: 96}}}
    Right:
        devices: {ams: {watches: {temperatures: 160}}}
    Mend: Add sensors, spread equally, or place them so that one touches several cells.
    """
    yield from judged(look, "cells-temperature-share")
    yield from absent(look, FUNCTION)


@rule("cell-temperature-limit", SUBJECT, "cell-temperature")
def cell_temperature_limit(look: Look) -> Iterator[Outcome]:
    """The battery management opens the loop at no higher cell temperature than the edition and the data sheet of the cells allow.

    Why: The cap of the rulebook is for good cells; the maker of these may allow less.
    Wrong:
        devices: {ams: {watches: {temperature_limit: 65 °C}}}
    Right:
        devices: {ams: {watches: {temperature_limit: 58 °C}}}
    Mend: Take the lower of the two limits, less the error of the measurement.
    """
    yield from judged(look, "cell-temperature-limit")
    yield from absent(look, FUNCTION)


@rule("cell-delay-too-long", SUBJECT, "cell-delays")
def cell_delay_too_long(look: Look) -> Iterator[Outcome]:
    """The battery management opens the loop within the edition's time after a voltage, a current or a temperature has left its limits.

    Why: A filter that is tuned to keep the car running may outlast the cell.
    Wrong:
        devices: {ams: {watches: {voltage_delay: 600 ms}}}
    Right:
        devices: {ams: {watches: {voltage_delay: 400 ms}}}
    Mend: Shorten the filter; sampling, messages and the relay count into the time.
    """
    yield from judged(look, "cell-delay")
    yield from absent(look, FUNCTION)


@rule("cell-measurement-lost", SUBJECT, "cell-measurement-lost")
def cell_measurement_lost(look: Look) -> Iterator[Outcome]:
    """A lost measurement of the battery management opens the loop.

    Why: A cell whose wire has come off is a cell that nobody watches.
    Wrong:
        devices: {ams: {watches: {missing_measurement: stays}}}
    Right:
        devices: {ams: {watches: {missing_measurement: opens}}}
    Mend: Take a value that is missing for one outside its limits, and write missing_measurement: opens.
    """
    for path, name, device in look.devices(FUNCTION):
        place = (*path, "watches", "missing_measurement")
        lost = device.watches.missing_measurement if isinstance(device.watches, Watch) else device.watches
        if not isinstance(lost, str):
            yield unsaid(lost, place, f"what a lost measurement of {look.printed(name)} does", "must open the loop")
        elif lost in ("opens", "opens and torque zero"):
            yield stated(place, f"a lost measurement of {look.printed(name)} opens the loop")
        else:
            yield finding(place, f"a lost measurement of {look.printed(name)}: {lost}", "must open the loop")
    yield from absent(look, FUNCTION)


@rule("segment-voltage", SUBJECT, "segments")
def segment_voltage(look: Look) -> Iterator[Outcome]:
    """No segment has more voltage with full cells than the edition allows.

    Why: When the maintenance plugs are out, a segment is all that hands can meet.
    Wrong:
        tractive_system: {accumulators: {main: {segments: {in_series: 29}}}}
    Right:
        tractive_system: {accumulators: {main: {segments: {in_series: 24}}}}
    Mend: Divide the accumulator into more segments.
    """
    yield from judged(look, "segment-voltage")


@rule("segment-energy", SUBJECT, "segments")
def segment_energy(look: Look) -> Iterator[Outcome]:
    """No segment holds more energy, counted from highest voltage and nominal capacity, than the edition allows.

    Why: It is what one burning segment gives off.
    Wrong:
        tractive_system: {accumulators: {main: {segments: {in_parallel: 6}}}}
    Right:
        tractive_system: {accumulators: {main: {segments: {in_parallel: 5}}}}
    Mend: Divide the accumulator into more segments.
    """
    yield from judged(look, "segment-energy")


@rule("segment-mass", SUBJECT, "segments")
def segment_mass(look: Look) -> Iterator[Outcome]:
    """No segment is heavier than the edition allows.

    Why: It is lifted out by hand, and must not fall.
    Wrong:
        tractive_system: {accumulators: {main: {segments: {mass: 12.5 kg}}}}
    Right:
        tractive_system: {accumulators: {main: {segments: {mass: 8.6 kg}}}}
    Mend: Divide the accumulator into more segments, or make their frame lighter.
    """
    yield from judged(look, "segment-mass")


@rule("cells-above-stated-voltage", SUBJECT)
def cells_above_stated_voltage(look: Look) -> Iterator[Outcome]:
    """The highest voltage stated is no lower than what the full cells give.

    Why: Pre-charge, discharge, insulation and every rating are counted with the voltage stated.
    Wrong:
        tractive_system: {voltage: {highest: 400 V}}
    Right:
        tractive_system: {voltage: {highest: 403.2 V}}
    Mend: State cells in series times the highest voltage of a cell.
    """
    yield from judged(look, "accumulator-voltage")


@rule("main-fuse-above-contactors", SUBJECT, "fuse-vs-contactor", never_quiet=True)
def main_fuse_above_contactors(look: Look) -> Iterator[Outcome]:
    """The main fuse is rated below the current that the contactors can interrupt at the highest voltage.

    Why: Up to its rating the fuse never opens; then the contactors have to, and may weld instead.
    Wrong:
        devices: {air_plus: {contacts: {main: {breaking: {current: 150 A, at: 450 V DC}}}}}
    Right:
        devices: {air_plus: {contacts: {main: {breaking: {current: 1500 A, at: 450 V DC}}}}}
    Mend: Take contactors with a higher breaking capacity, or a smaller fuse.
    """
    yield from judged(look, "main-fuse-contactors")


@rule("main-fuse-above-cells", SUBJECT, "", Severity.WARNING)
def main_fuse_above_cells(look: Look) -> Iterator[Outcome]:
    """The main fuse is rated no higher than what the cells in parallel may give for good.

    Why: A larger fuse carries for good what the data sheet of the cells forbids.
    Wrong:
        tractive_system: {accumulators: {main: {fuse: {rating: 200 A}}}}
    Right:
        tractive_system: {accumulators: {main: {fuse: {rating: 160 A}}}}
    Mend: Take a smaller fuse, or name the current of the cells for the time class of the fuse.
    """
    yield from judged(look, "main-fuse-cells")


@rule("tractive-voltage-too-high", SUBJECT, "maximum-voltage")
def tractive_voltage_too_high(look: Look) -> Iterator[Outcome]:
    """The highest voltage of the tractive system keeps the limit of the edition.

    Why: Spacings, ratings and the tools of the inspectors are made for it.
    Wrong:
        tractive_system: {voltage: {highest: 604.8 V}}
    Right:
        tractive_system: {voltage: {highest: 403.2 V}}
    Mend: Put fewer cells in series.
    """
    yield from judged(look, "tractive-voltage")


@rule("tractive-power-too-high", SUBJECT, "power-limit")
def tractive_power_too_high(look: Look) -> Iterator[Outcome]:
    """Power and current drawn from the accumulator keep the limits of the edition.

    Why: The energy meter of the event sees every overshoot.
    Wrong:
        tractive_system: {power: 84 kW}
    Right:
        tractive_system: {power: 60 kW, current: 160 A}
    Mend: Limit the power in the controller, with the error of its measurement, and state it under power and current.
    """
    yield from judged(look, "tractive-power")
    if look.limit("power-limit", "current"):
        yield from judged(look, "tractive-current")


@rule("nominal-voltage-above-highest", SUBJECT, "")
def nominal_voltage_above_highest(look: Look) -> Iterator[Outcome]:
    """The nominal voltage of the tractive system is no higher than its highest voltage.

    Why: With the two exchanged, every figure at the highest voltage is too small, also those that hands depend on.
    Wrong:
        tractive_system: {voltage: {highest: 345.6 V, nominal: 403.2 V}}
    Right:
        tractive_system: {voltage: {highest: 403.2 V, nominal: 345.6 V}}
    Mend: Write the voltage with full cells under highest.
    """
    yield from judged(look, "tractive-nominal-voltage")


RULES = (
    cell_voltage_unwatched,
    cell_temperature_share,
    cell_temperature_limit,
    cell_delay_too_long,
    cell_measurement_lost,
    segment_voltage,
    segment_energy,
    segment_mass,
    cells_above_stated_voltage,
    main_fuse_above_contactors,
    main_fuse_above_cells,
    tractive_voltage_too_high,
    tractive_power_too_high,
    nominal_voltage_above_highest,
)
