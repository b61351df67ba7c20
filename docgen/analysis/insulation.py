"""Insulation in numbers: when the monitor reports, which resistor tests it, what the resistors of the measuring points bear."""

from collections.abc import Iterator, Mapping

from docgen.analysis.fields import against, as_stated, bound, constant, limit, reading, summed, system_voltage
from docgen.calc.insulation import (
    chassis_capacitance,
    fault_power,
    fault_ratio,
    fault_resistance,
    preferred_below,
    required_resistance,
    response_ratio,
    shorted_points_current,
    shorted_points_power,
    single_fault_power,
)
from docgen.calculation import Bound, Calculation, Given, Missing, computed, result_as
from docgen.car.device import Response
from docgen.car.tractive import Accumulator, Inverter, MeasuringPoints, TractiveSystem
from docgen.look import Look
from docgen.printing import measure
from docgen.provenance import Path

FUNCTION = "insulation monitor"

SYSTEM: Path = ("tractive_system",)
POINTS: Path = (*SYSTEM, "measuring_points")


def insulation(look: Look) -> Iterator[Calculation]:
    """Response, test and measuring points."""
    if any(True for _ in look.devices(FUNCTION)):
        yield from _response(look)
        yield from _test(look)
    yield from _points(look)


def _response(look: Look) -> Iterator[Calculation]:
    capacitance = computed(
        "chassis-capacitance", "Capacitance of the tractive system to chassis", SYSTEM, chassis_capacitance,
        {"accumulators": _capacitance(look, "accumulators", "C_acc"), "inverters": _capacitance(look, "inverters", "C_inv")},
        prose="The larger it is, the longer a monitor takes; the response time has to be read from its data sheet at this value.",
    )  # fmt: skip
    yield capacitance
    for path, name, device in look.devices(FUNCTION):
        said = device.response if isinstance(device.response, Response) else Response()
        place = (*path, "response")
        yield computed(
            "monitor-response-value", f"Response value of {name}", (*place, "below"), response_ratio,
            {"resistance": reading("R", "insulation resistance below which it reports", said.below, (*place, "below")), "voltage": system_voltage(look, "highest")},
            bound(look, "monitor-response", "ratio"), "Counted at the highest voltage; the lowest value decides.",
        )  # fmt: skip
        within = reading("t", "response time", said.within, (*place, "within"))
        yield as_stated(
            "monitor-response-time", f"Response time of {name}", (*place, "within"), within, bound(look, "monitor-test", "time"),
            "It holds at the capacitance to chassis; the inspection waits no longer.", (result_as(capacitance, "C", "capacitance to chassis"),),
        )  # fmt: skip


def _capacitance(look: Look, kind: str, symbol: str) -> Given | Missing:
    system = look.car.tractive_system
    parts: Mapping[str, Accumulator | Inverter] = getattr(system, kind) if isinstance(system, TractiveSystem) else {}
    place = (*SYSTEM, kind)
    each = [reading(symbol, f"capacitance to chassis of {name}", part.capacitance_to_chassis, (*place, name)) for name, part in parts.items()]
    if not each:
        return Missing(f"capacitance to chassis of the {kind}", place)
    return summed(symbol, f"capacitance to chassis of {', '.join(parts)}", each, place)


def _test(look: Look) -> Iterator[Calculation]:
    voltage = system_voltage(look, "highest")
    ratio = limit(look, "r", "insulation of the test", "monitor-test", "ratio")
    fault = computed(
        "monitor-test-fault", "Fault that the test of the insulation monitor applies", (*SYSTEM, "voltage"), required_resistance,
        {"ratio": ratio, "voltage": voltage}, prose="Between tractive system and chassis it has to switch the tractive system off in time.",
    )  # fmt: skip
    yield fault
    points = _measuring_points(look)
    behind_point = reading("R_mp", "resistor of the measuring point", points.resistor, (*POINTS, "resistor")) if points else None
    uncounted = constant("R_mp", "resistor of the measuring point, not counted", 0, "Ω", "the whole fault in the box")
    yield from _box(look, fault, uncounted, "the measuring point not counted", behind_point)
    if behind_point is None:
        return
    behind = computed(
        "monitor-test-resistor", "Test resistor behind a measuring point", (*POINTS, "resistor"), fault_resistance,
        {"ratio": ratio, "voltage": voltage, "measuring_point": behind_point},
        prose="The resistor of the measuring point lies in series. The event decides whether it is subtracted: ask it, and bring both.",
    )  # fmt: skip
    yield behind
    yield from _box(look, behind, behind_point, "the measuring point counted in")


def _box(look: Look, wanted: Calculation, resistor: Given | Missing, how: str, plugged_into: Given | Missing | None = None) -> Iterator[Calculation]:
    """The resistor to bring for a test: the next preferred value below, so that the fault is no weaker than demanded.

    `plugged_into` is the resistor of a measuring point that the box does not count and may be plugged into after all.
    """
    if wanted.result is None or wanted.result.low < 1:
        return
    value = preferred_below(resistance=wanted.result.low, series=24)
    box = constant("R", "resistor in the box, the next value below", value, "Ω", f"series E24 of IEC 60063, below the result of {wanted.slug}")
    printed = measure(value, "Ω")
    voltage = system_voltage(look, "highest")
    asked = bound(look, "monitor-test", "ratio")
    yield computed(
        "monitor-test-box", f"Fault made by a test box with {printed}, {how}", wanted.about, fault_ratio,
        {"resistance": box, "measuring_point": resistor, "voltage": voltage}, Bound("at most", asked.value, "monitor-test") if asked else None,
        "Rounded down, the fault is no weaker than the test demands.",
    )  # fmt: skip
    if plugged_into is not None:
        yield computed(
            "monitor-test-seen", f"Fault that the monitor sees of a test box with {printed} behind a measuring point", wanted.about, fault_ratio,
            {"resistance": box, "measuring_point": plugged_into, "voltage": voltage},
            prose="The box that counts no measuring point, plugged into one all the same: a weaker fault than the test demands.",
        )  # fmt: skip
    yield computed(
        "monitor-test-power", f"Power in a test box with {printed}, {how}", wanted.about, fault_power,
        {"voltage": voltage, "resistance": box, "measuring_point": resistor},
        prose="So much it has to bear when the other pole has a fault to chassis at that moment.",
    )  # fmt: skip


def _measuring_points(look: Look) -> MeasuringPoints | None:
    system = look.car.tractive_system
    return system.measuring_points if isinstance(system, TractiveSystem) and isinstance(system.measuring_points, MeasuringPoints) else None


def _points(look: Look) -> Iterator[Calculation]:
    points = _measuring_points(look)
    if points is None:
        return
    inputs = {
        "voltage": system_voltage(look, "highest"),
        "resistance": reading("R", "resistor of each measuring point", points.resistor, (*POINTS, "resistor")),
    }
    rated = reading("P_r", "rated power of each resistor", points.rated_power, (*POINTS, "rated_power"))
    place = (*POINTS, "rated_power") if isinstance(rated, Given) else (*POINTS, "resistor")
    words = "the rated power of the resistor"
    yield computed(
        "measuring-point-current", "Current with both measuring points shorted together", (*POINTS, "resistor"), shorted_points_current, inputs,
        prose="No more flows when two probes touch.",
    )  # fmt: skip
    shorted = computed(
        "measuring-point-power", "Power in each resistor with both measuring points shorted together", place, shorted_points_power, inputs,
        prose="Each resistor bears it for good.",
    )  # fmt: skip
    yield against(shorted, "at most", rated, words)
    single = computed(
        "measuring-point-single-fault", "Power in one resistor with its measuring point shorted to the other pole", place, single_fault_power, inputs,
        prose="So much meets a resistor whose own point touches the other pole: nothing shares the voltage with it.",
    )  # fmt: skip
    yield against(single, "at most", rated, words)
