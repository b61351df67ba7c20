"""From each demand to a safe voltage, added up by hand."""

import math

import pytest
from conftest import TESTS, edited
from figures import ends, figures

from docgen.analysis import calculations
from docgen.analysis.pictures import pictures
from docgen.calculation import Calculation, of
from docgen.editions import edition
from docgen.finding import Verdict
from docgen.load import load_file
from docgen.look import Look
from docgen.sheet import Box, Label

TIMES = """
devices:
  inertia_switch: {trips: [{at: 7.5 g, pulse: 50 ms}, {at: 12 g, pulse: 20 ms}]}
  imd: {response: {within: 18 s}}
  ams: {watches: {voltage_delay: 400 ms, current_delay: 300 ms, temperature_delay: 900 ms}}
  bspd: {coil: {release: 6 ms}, delay: {resistor: 430 kΩ ± 1 %, capacitor: 0.82 µF ± 5 %, trips_at: 63 % ± 1 %}}
"""


def after(demand: str, calculations_of: tuple[Calculation, ...]) -> Calculation:
    (found,) = (one for one in calculations_of if f"from {demand} to" in one.title)
    return found


@pytest.mark.parametrize(
    ("demand", "seconds"),
    [
        ("a pressed shutdown button", 3.183543),
        ("over-travel of the brake pedal", 3.183543),
        ("an impact", 3.183543 + 0.050),
        ("an insulation fault", 3.183543 + 18 + 0.010),
        ("a cell out of its limits", 3.183543 + 0.900 + 0.010),
        ("implausible braking", 3.183543 + 0.382028 + 0.006),
    ],
)
def test_the_longest_time_to_safe_is_the_sum_of_its_parts(demand: str, seconds: float) -> None:
    """The discharge takes 3.183543 s; K1 and K2 are given 10 ms, K3 its own 6 ms; 434.3 kΩ·0.861 µF·ln(1/0.36) = 382.03 ms."""
    assert ends(after(demand, figures(TIMES, "time-to-safe")))[2] == pytest.approx(seconds, rel=1e-6)


def test_every_demand_is_computed_once() -> None:
    assert len(figures(TIMES, "time-to-safe")) == 6


def test_of_several_devices_the_slowest_counts() -> None:
    """Two containers with a battery management each, 900 ms and 2 s."""
    look = Look(load_file(TESTS / "cars" / "sound" / "two_accumulators.yaml"), edition("fsuk-2026"))
    assert after("a cell out of its limits", of(calculations(look), "time-to-safe")).about == ("devices", "ams_left")


def test_the_slowest_inverter_decides() -> None:
    patch = TIMES + "\ntractive_system: {inverters: {front: {capacitance: 600 µF, discharge: {resistor: 4 kΩ, through: nothing}}}}"
    button = after("a pressed shutdown button", figures(patch, "time-to-safe"))
    assert ends(button)[2] == pytest.approx(0.015 + 2.4 * 1.9050881, rel=1e-6)


def test_a_device_outside_the_drive_loop_answers_no_demand() -> None:
    """The button that is described and stands in no loop."""
    patch = "devices: {imd_spare: {function: IMD, worked_by: power, response: {within: 90 s}}}"
    assert after("an insulation fault", figures(patch, "time-to-safe")).about == ("devices", "imd")


@pytest.mark.parametrize(
    ("patch", "demand", "wanting"),
    [
        ("devices: {imd: {response: unknown}}", "an insulation fault", "response time of imd (unknown)"),
        ("devices: {ams: {watches: {current_delay: null}}}", "a cell out of its limits", "current delay of ams"),
        ("devices: {inertia_switch: {trips: null}}", "an impact", "pulses of the trip curve"),
        ("devices: {bspd: {delay: null}}", "implausible braking", "delay of bspd"),
        ("tractive_system: {inverters: null}", "a pressed shutdown button", "discharge of an inverter"),
        ("devices: {air_minus: {coil: null}}", "a pressed shutdown button", "release time of air_minus"),
    ],
)
def test_a_missing_input_is_named(patch: str, demand: str, wanting: str) -> None:
    found = after(demand, figures(patch, "time-to-safe"))
    assert found.verdict is Verdict.NOT_EVALUATED
    assert wanting in [missing.name for missing in found.missing]


def test_a_release_without_suppression_makes_the_discharge_begin_later() -> None:
    """A plain coil of 24 Ω and 0.5 H, shorted at worst through its neighbours: 0.5/22.1136 · ln(14.6/1.2 · 0.92140/1) s more, at 0 °C."""
    plain = "resistance: 24 Ω, pick_up: 7.0 V, drop_out: 1.2 V, inrush: null, hold: null, economiser: none, hottest: 70 °C, clamp: 24.7 V, inductance: 0.5 H"
    patch = TIMES.rstrip() + f"\n  air_minus: {{coil: {{{plain}, release: 15 ms, release_stated: without suppression}}}}\n"
    before, after_it = (ends(after("a pressed shutdown button", figures(text, "time-to-safe")))[2] for text in (TIMES, patch))
    ohms = 24 * 0.9214
    assert after_it - before == pytest.approx(0.5 / ohms * math.log(14.6 / ohms / (1.2 / 24)), rel=1e-6)


def test_in_the_picture_every_loop_opens_at_the_same_place() -> None:
    """One row a demand; bars of one name are of one shade, and the bar of the discharge begins where the contacts have moved."""
    plot = next(one for one in pictures(Look(edited(TIMES), edition("fsuk-2026"))) if one.slug == "timeline")
    bars = [mark for mark in plot.sheet.marks() if isinstance(mark, Box) and mark.height == 14]
    discharges = [bar for bar in bars if bar.fill == bars[1].fill]
    assert len(discharges) == 6
    assert len({(bar.corner[0], bar.width) for bar in discharges}) == 1
    assert [bar.corner[1] for bar in discharges] == sorted({bar.corner[1] for bar in discharges})
    words = {mark.text for mark in plot.sheet.marks() if isinstance(mark, Label)}
    assert {"insulation fault", "limit 5 s", "detection 18 s, stage 0.01 s, contacts 0.015 s, discharge 3.17 s"} <= words
    assert "an insulation fault 21.19 s" in plot.alternative and "below 60 V" in plot.alternative


def test_without_a_single_time_nothing_is_drawn() -> None:
    assert "timeline" not in [plot.slug for plot in pictures(Look(edited("tractive_system: {inverters: null}"), edition("fsuk-2026")))]
