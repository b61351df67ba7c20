"""Pictures of the brake plausibility device: output of its current sensor over current, with its error, against the threshold."""

from collections.abc import Iterator

from docgen.analysis.plausibility import Curve as SensorCurve
from docgen.analysis.plausibility import Watched, curve_of, errors, limit_current, threshold_on_curve, trip_current_of, watched
from docgen.calc.formula import Band
from docgen.calc.polyline import value_at
from docgen.calculation import Given
from docgen.look import Look
from docgen.plot import Axis, Curve, PlotOf, curves
from docgen.printing import measure

_STEPS = 24
Point = tuple[float, float]


def plausibility_pictures(look: Look) -> Iterator[PlotOf]:
    """One picture for each current sensor whose curve, error and threshold are known."""
    least = limit_current(look)
    for number, one in enumerate(watched(look, "current"), 1):
        curve, (_, threshold), known = curve_of(one), threshold_on_curve(one), errors(one)
        trips = trip_current_of(look, least, one).result
        gain, offset = known.get("gain_error"), known["error"]
        if least.result and trips and curve.points and isinstance(threshold, Given) and isinstance(gain, Given) and isinstance(offset, Given):
            yield _drawn(number, one, curve, threshold.band, gain.band, offset.band, least.result.low, trips)


def _drawn(number: int, one: Watched, curve: SensorCurve, threshold: Band, gain: Band, offset: Band, limit: float, trips: Band) -> PlotOf:
    sign = -1 if curve.falls else 1
    points = tuple((there.band.nominal, sign * volts.band.nominal) for there, volts in curve.points)
    start, end = points[0][0], min(1.6 * max(limit, trips.high), points[-1][0])
    reach = 1.01 * (max(-gain.low, gain.high) * end + max(-offset.low, offset.high)) + 1e-6 * end
    longer = ((start - reach, _along(points[0], points[1], -reach)), *points[1:-1], (points[-1][0] + reach, _along(points[-1], points[-2], reach)))

    def output(current: float, share: float, amperes: float) -> tuple[float, float]:
        return current, value_at(longer, current * (1 + share) + amperes)

    currents = [start + (end - start) * step / _STEPS for step in range(_STEPS + 1)]
    weakest, strongest = [output(at, gain.low, offset.low) for at in currents], [output(at, gain.high, offset.high) for at in currents]
    lowest = min(volts for _, volts in (*weakest, *strongest, (start, threshold.low)))
    highest = max(volts for _, volts in (*weakest, *strongest, (start, threshold.high)))
    room = 0.06 * (highest - lowest)
    bottom, top = lowest - room, highest + room
    lines = [
        Curve("output", tuple(output(at, 0, 0) for at in currents)),
        Curve("with its error", (*weakest, *reversed(strongest))),
        Curve("threshold", ((start, threshold.low), (end, threshold.low), (end, threshold.high), (start, threshold.high), (start, threshold.low))),
    ]
    if start <= limit <= end:
        lines.append(Curve(f"limit {measure(limit, 'A')}", ((limit, bottom), (limit, top))))
    between = f"{measure(trips.low, 'A')} and {measure(trips.high, 'A')}"
    return PlotOf(
        f"plausibility-{number}",
        f"Output of {one.title} over current, with its error, and the threshold with its tolerance; the device trips where the two meet",
        f"The output of {one.name} meets the threshold of {measure(threshold.nominal, 'V')} at {measure(trips.nominal, 'A')}, "
        f"with all errors between {between}; it must act at {measure(limit, 'A')}.",
        curves(f"{one.title}: trips between {between}", Axis("current", "A", start, end), Axis("output", "V", bottom, top), tuple(lines)),
    )


def _along(start: Point, beside: Point, further: float) -> float:
    """The output on the line through two points, `further` from the first of them."""
    return start[1] + (beside[1] - start[1]) / (beside[0] - start[0]) * further
