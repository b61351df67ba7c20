"""The active light in numbers: threshold of the red, frequency, time that it runs on."""

from collections.abc import Iterator

from docgen.analysis.fields import as_stated, bound, limit, reading, system_voltage
from docgen.calc.active_light import latest_threshold
from docgen.calculation import Bound, Calculation, Missing, computed
from docgen.car.tractive import ActiveLight, TractiveSystem
from docgen.look import Look
from docgen.provenance import Path

LIGHT: Path = ("tractive_system", "active_light")


def light_of(look: Look) -> ActiveLight | None:
    """The active light; None where it is not described."""
    system = look.car.tractive_system
    return system.active_light if isinstance(system, TractiveSystem) and isinstance(system.active_light, ActiveLight) else None


def active_light(look: Look) -> Iterator[Calculation]:
    """Every figure of the active light."""
    light = light_of(look)
    if light is None:
        return
    yield from _red(look, light)
    flashing = reading("f", "flashing frequency", light.frequency, (*LIGHT, "frequency"))
    for name, beside in (("slowest", "the slowest allowed"), ("fastest", "the fastest allowed")):
        kept = bound(look, "active-light-flash", name)
        yield as_stated("active-light-frequency", f"Flashing frequency of the active light against {beside}", (*LIGHT, "frequency"), flashing, kept)
    runs_on = reading("t", "time that it runs on with low voltage off", light.runs_on, (*LIGHT, "runs_on"))
    kept = bound(look, "active-light-runtime", "time")
    yield as_stated("active-light-runtime", "Time that the active light runs on", (*LIGHT, "runs_on"), runs_on, kept)


def _red(look: Look, light: ActiveLight) -> Iterator[Calculation]:
    """Where the edition counts a share of the nominal voltage, the lower of the two limits holds."""
    kept = bound(look, "active-light-red", "voltage")
    needs: tuple[Missing, ...] = ()
    if kept and look.limit("active-light-red", "of_nominal"):
        latest = computed(
            "active-light-limit", "Voltage above which the active light must be red", ("tractive_system", "voltage", "nominal"), latest_threshold,
            {
                "limit": limit(look, "U_lim", "voltage limit", "active-light-red", "voltage"),
                "share": limit(look, "s", "share of the nominal voltage", "active-light-red", "of_nominal"),
                "nominal": system_voltage(look, "nominal"),
            },
            prose="A system of low voltage has to show earlier.",
        )  # fmt: skip
        yield latest
        kept, needs = Bound(kept.compare, latest.result.low, kept.topic) if latest.result else None, latest.missing
    threshold = reading("U_red", "voltage above which it is red", light.red_above, (*LIGHT, "red_above"))
    prose = "The highest threshold decides: up to it the light may still be green."
    yield as_stated("active-light-red", "Threshold of the red of the active light", (*LIGHT, "red_above"), threshold, kept, prose, needs)
