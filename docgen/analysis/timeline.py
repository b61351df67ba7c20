"""From each demand until the tractive system is below its limit: detection, stage, contactors, discharge."""

from collections.abc import Iterator
from dataclasses import replace

from docgen.analysis.discharge import discharge
from docgen.analysis.fields import constant, reading
from docgen.analysis.intermediate import INVERTERS, is_below_limit
from docgen.analysis.loop_coils import MOTION, release_of
from docgen.analysis.opening import delay_of, slowest
from docgen.calc.chain import time_after_demand
from docgen.calculation import Calculation, Given, Missing, computed, of
from docgen.car.device import Coil, Device, Response, Stage, TripPoint, Watch
from docgen.look import DRIVE, Look
from docgen.plot import Axis, Level, PlotOf, Span, spans
from docgen.printing import measure
from docgen.provenance import Path

DEMANDS = {
    "shutdown button": "a pressed shutdown button",
    "brake over-travel switch": "over-travel of the brake pedal",
    "inertia switch": "an impact",
    "insulation monitor": "an insulation fault",
    "battery management": "a cell out of its limits",
    "brake plausibility device": "implausible braking",
}
"""Function of the device that notices it -> the demand in words."""

_BY_CONTACT = ("shutdown button", "brake over-travel switch", "inertia switch")
"""Functions that open the loop by a contact of their own, without a stage."""


def timeline(look: Look) -> Iterator[Calculation]:
    """The time to safe for each kind of demand that a device of the drive loop answers; of several devices, that of the slowest."""
    if is_below_limit(look):
        return
    falls = _slowest_fall(tuple(discharge(look)))
    for function, demand in DEMANDS.items():
        chains = [_chain(look, name, device, demand, falls) for _, name, device in look.devices(function) if _is_in_drive_loop(look, name)]
        if chains:
            yield next((chain for chain in chains if chain.result is None), None) or max(chains, key=_longest)


def _is_in_drive_loop(look: Look, name: str) -> bool:
    return any(graph.loop == DRIVE for graph, _ in look.places_in_loops.get(name, ()))


def _longest(calculation: Calculation) -> float:
    return calculation.result.high if calculation.result else 0.0


def _slowest_fall(discharges: tuple[Calculation, ...]) -> tuple[Given | Missing, Given | Missing]:
    """Opening of the contacts and fall of the voltage at the inverter that is the last to be below the limit."""
    times = of(discharges, "discharge-time")
    if not times:
        return Missing("contacts of a discharge", INVERTERS), Missing("discharge of an inverter", INVERTERS)
    last = next((time for time in times if time.result is None), None) or max(times, key=_longest)
    known, missing = {given.symbol: given for given in last.given}, list(last.missing)
    opened: Given | Missing = known.get("t_o") or missing.pop(0)
    return opened, known.get("t_f") or missing.pop(0)


def _chain(look: Look, name: str, device: Device, demand: str, falls: tuple[Given | Missing, Given | Missing]) -> Calculation:
    path: Path = ("devices", name)
    detection, stage = _detection(path, name, device), _stage(look, name, device)
    return computed(
        "time-to-safe",
        f"Time from {demand} to a safe voltage",
        path,
        time_after_demand,
        {"detection": detection, "stage": stage, "opening": falls[0], "fall": falls[1]},
        prose=f"Noticed by {name}; the inverter that takes longest counts. What a clause limits is the part from the opening of the loop, the discharge time.",
    )


def _detection(path: Path, name: str, device: Device) -> Given | Missing:
    """Time from the demand until the device acts."""
    match device.function:
        case "inertia switch":
            return _pulse(path, device)
        case "insulation monitor":
            within = device.response.within if isinstance(device.response, Response) else device.response
            return reading("t_n", f"response time of {name}", within, (*path, "response", "within"))
        case "battery management":
            watched = device.watches if isinstance(device.watches, Watch) else Watch()
            delays = [
                reading("t_n", f"{kind} delay of {name}", getattr(watched, f"{kind}_delay"), (*path, "watches", f"{kind}_delay"))
                for kind in ("voltage", "temperature", "current")
            ]
            return slowest("t_n", f"longest delay of {name}", delays)
        case "brake plausibility device":
            delay = delay_of(device.delay, (*path, "delay")) if device.delay is not None else Missing(f"delay of {name}", (*path, "delay"))
            return replace(delay, symbol="t_n") if isinstance(delay, Given) else delay
        case _:
            return constant("t_n", "detection, the contact is moved by the demand itself", 0, "s", "a contact of its own")


def _pulse(path: Path, device: Device) -> Given | Missing:
    """An inertia switch has tripped by the end of its longest pulse."""
    points = device.trips if isinstance(device.trips, tuple) else ()
    pulses = [reading("t_n", "pulse", point.pulse, (*path, "trips", number, "pulse")) for number, point in enumerate(points) if isinstance(point, TripPoint)]
    return slowest("t_n", "longest pulse of the trip curve", pulses) if pulses else Missing("pulses of the trip curve", (*path, "trips"))


def _stage(look: Look, name: str, device: Device) -> Given | Missing:
    """Release of the contact by which the device opens the loop."""
    if device.function in _BY_CONTACT:
        return constant("t_s", "stage, none between the contact and the loop", 0, "s", "a contact of its own")
    if isinstance(device.coil, Coil):
        return release_of(look, name)
    part = device.stage.own if isinstance(device.stage, Stage) and isinstance(device.stage.own, str) else "its stage"
    return constant("t_s", f"release of {part}, of which the description gives no time", 0.010, "s", MOTION)


def timeline_pictures(look: Look) -> Iterator[PlotOf]:
    """Every demand as a row of bars; all rows stand so that the loop opens at 0, because the clause counts from there."""
    rows: list[tuple[str, tuple[Span, ...]]] = []
    said: list[str] = []
    for chain in timeline(look):
        if chain.result is None:
            continue
        noticed, stage, opened, fall = (given.band.high for given in chain.given)
        demand = DEMANDS[str(look.car.devices[str(chain.about[1])].function)]
        bars = (
            Span("detection", -noticed - stage, -stage), Span("stage", -stage, 0.0), Span("contacts", 0.0, opened), Span("discharge", opened, opened + fall),
        )  # fmt: skip
        rows.append((demand.removeprefix("a ").removeprefix("an "), tuple(bar for bar in bars if bar.end > bar.start)))
        said.append(f"{demand} {measure(chain.result.high, 's')}")
    allowed = look.limit("loop-opening-result", "time")
    if not rows or allowed is None:
        return
    least, seconds = look.limit("loop-opening-result", "voltage"), float(allowed[1].value)
    start = min(bar.start for _, bars in rows for bar in bars)
    end = max(seconds, *(bar.end for _, bars in rows for bar in bars))
    room = 0.03 * (end - start)
    yield PlotOf(
        "timeline",
        "From each demand until the tractive system is below its limit, worst case; the loop opens at 0",
        f"Longest times from the demand until the voltage is below {least[1] if least else 'its limit'}: {', '.join(said)}."
        f" The limit of {measure(seconds, 's')} counts from the opening of the loop.",
        spans(
            "From the demand to a safe voltage, worst case", Axis("time from the opening of the loop", "s", start - room, end + room), tuple(rows),
            Level(f"limit {measure(seconds, 's')}", seconds),
        ),
    )  # fmt: skip
