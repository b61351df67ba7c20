"""Pictures of the accelerator pedal: its curves with their fault windows."""

from collections.abc import Iterator

from docgen.analysis.pedals import Pair, pairs, pedal_sensors
from docgen.calc.pedal import PedalSensor, separation
from docgen.look import Look
from docgen.plot import Axis, Curve, PlotOf, curves
from docgen.printing import measure
from docgen.quantity import Quantity

Window = tuple[Quantity, Quantity]


def pedals_pictures(look: Look) -> Iterator[PlotOf]:
    """One picture for each two pedal sensors whose curves lie beside each other."""
    windows = {name: sensor.valid for name, sensor in pedal_sensors(look).items() if isinstance(sensor.valid, tuple)}
    for number, pair in enumerate(pairs(look), 1):
        yield _drawn(number, pair, {name: windows[name] for name in (pair.first, pair.second) if name in windows})


def _drawn(number: int, pair: Pair, windows: dict[str, Window]) -> PlotOf:
    sensors = {pair.first: pair.one, pair.second: pair.other}
    lines = [Curve(name, tuple((100 * travel, volts) for travel, volts in sensor.curve)) for name, sensor in sensors.items()]
    for name, window in windows.items():
        low, high = (float(volts.value) for volts in window)
        lines.append(Curve(f"{name} window", ((0, low), (100, low), (100, high), (0, high), (0, low))))
    top = max(volts for line in lines for _, volts in line.points)
    apart = separation(pair.one.curve, pair.other.curve)
    said = [_said(name, sensor, windows.get(name)) for name, sensor in sensors.items()]
    said.append(f"They come closest at {measure(apart.position, '1')} of the travel, {measure(apart.volts, 'V')} apart.")
    return PlotOf(
        f"pedal-{number}",
        f"Outputs of {pair.first} and {pair.second} over the travel of the pedal, and the fault windows outside which they count as failed",
        " ".join(said),
        curves(f"Pedal sensors {pair.first} and {pair.second}", Axis("travel", "%", 0, 100), Axis("output", "V", 0, top * 1.06), tuple(lines)),
    )


def _said(name: str, sensor: PedalSensor, window: Window | None) -> str:
    released, pressed = sensor.curve[0][1], sensor.curve[-1][1]
    ends = f"{name} goes from {measure(released, 'V')} released to {measure(pressed, 'V')} fully pressed"
    return f"{ends} and counts as failed outside {window[0]} to {window[1]}." if window else f"{ends}."
