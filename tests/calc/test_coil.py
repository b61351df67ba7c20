"""Coils: figures of a relay data sheet, the temperature law, and the decay of the current against netlists written by hand and numpy.

Published: Panasonic 1 form A automotive relay, 12 V (300 Ω, 40 mA, operate ≤ 7.0 V, release ≥ 0.5 V,
https://directindustry.com/prod/panasonic-electric-works-corporation-america/product-15606-2430437.html); FAA AC 43.13-1B CHG 1, p. 11-22.
"""

import re
import subprocess
from pathlib import Path

import numpy as np
import pytest
from conftest import tool
from corners import Formula, Ranges, assert_corners_are_exact, assert_refuses_what_is_no_number, boxes, formulas, refusal
from hypothesis import given
from hypothesis import strategies as st

from docgen.calc import coil

Floats = np.ndarray[tuple[int], np.dtype[np.float64]]
OHMS, VOLTS, CELSIUS = (5, 1000), (6, 30), (-40, 180)
RANGES: dict[Formula, Ranges] = {
    coil.coil_resistance: {"resistance": OHMS, "temperature": CELSIUS},
    coil.hot_pick_up: {"pick_up": (3, 20), "temperature": CELSIUS},
    coil.coil_current: {"voltage": VOLTS, "resistance": OHMS},
    coil.residual_share: {"residual": (0, 0.1), "drop_out": (0.3, 6), "resistance": OHMS},
    coil.line_resistance: dict.fromkeys(("fuses", "contacts", "crossings", "wires"), (0, 3)),
    coil.decay_time: {"inductance": (0.01, 2), "resistance": OHMS, "damping": (0, 500), "clamp": (0, 60), "current": (0, 3), "drop_out": (0.001, 0.2)},
    coil.release_time: {"decay": (0, 0.1), "motion": (0, 0.1)},
}

RELAY = {"inductance": 0.4, "resistance": 96.0, "damping": 0.0, "clamp": 24.7, "current": 14.6 / 96, "drop_out": 1.2 / 96}
"""The coil of the netlists, with a diode and a zener."""
NETLISTS = Path(__file__).parent / "netlists_coil"
PRINTED = {
    "zener": 1.7374e-3, "diode": 8.6908e-3, "resistor": 2.3462e-3, "diode_and_resistor": 3.75941e-3, "silicon": 8.65676e-3, "beside_diode": 8.69076e-3,
}  # fmt: skip
"""Netlist -> seconds that ngspice 39 prints from the opening of the loop to the drop-out current; written before the formula."""


def test_every_formula_is_in_the_ranges() -> None:
    assert set(RANGES) == formulas(coil)


@pytest.mark.parametrize("function", RANGES)
@given(data=st.data())
def test_the_exact_corners_are_those_of_a_search_over_the_box(function: Formula, data: st.DataObject) -> None:
    assert_corners_are_exact(function, data.draw(boxes(RANGES[function])))


@pytest.mark.parametrize("function", RANGES)
def test_infinity_and_nan_are_refused_by_name(function: Formula) -> None:
    assert_refuses_what_is_no_number(function, RANGES[function])


@pytest.mark.parametrize(
    ("function", "arguments", "refused"),
    [
        (coil.coil_resistance, {"resistance": 0, "temperature": 20}, ("resistance", "above 0", 0)),
        (coil.hot_pick_up, {"pick_up": 0, "temperature": 20}, ("pick_up", "above 0", 0)),
        (coil.hot_pick_up, {"pick_up": 7, "temperature": 500}, ("temperature", "at most 300", 500)),
        (coil.coil_current, {"voltage": 12, "resistance": 0}, ("resistance", "above 0", 0)),
        (coil.residual_share, {"residual": -1, "drop_out": 1, "resistance": 36}, ("residual", "at least 0", -1)),
        (coil.residual_share, {"residual": 0, "drop_out": 0, "resistance": 36}, ("drop_out", "above 0", 0)),
        (coil.decay_time, RELAY | {"inductance": 0.0}, ("inductance", "above 0", 0)),
        (coil.decay_time, RELAY | {"resistance": 0.0}, ("resistance", "above 0", 0)),
        (coil.decay_time, RELAY | {"damping": -1.0}, ("damping", "at least 0", -1)),
        (coil.decay_time, RELAY | {"clamp": -0.7}, ("clamp", "at least 0", -0.7)),
        (coil.decay_time, RELAY | {"current": -0.1}, ("current", "at least 0", -0.1)),
        (coil.decay_time, RELAY | {"drop_out": 0.0}, ("drop_out", "above 0", 0)),
        (coil.release_time, {"decay": -1, "motion": 0}, ("decay", "at least 0", -1)),
        (coil.release_time, {"decay": 0, "motion": -1}, ("motion", "at least 0", -1)),
        (coil.line_resistance, {"fuses": 0, "contacts": 1, "crossings": -1, "wires": 0}, ("crossings", "at least 0", -1)),
    ],
)  # fmt: skip
def test_what_has_no_meaning_is_refused(function: Formula, arguments: dict[str, float], refused: tuple[str, str, float]) -> None:
    assert refusal(function, **arguments) == refused


def test_the_relay_draws_what_its_data_sheet_prints() -> None:
    assert coil.coil_current(voltage=12, resistance=300) == pytest.approx(0.040)


@pytest.mark.parametrize("celsius", [-30, 20, 60, 85, 120])
def test_a_hot_coil_follows_the_handbooks_law(celsius: float) -> None:
    """R ∝ 234.5 + T; the coefficients differ by less than 0.03 %."""
    factor = (234.5 + celsius) / 254.5
    assert coil.coil_resistance(resistance=300, temperature=celsius) == pytest.approx(300 * factor, rel=1e-3)
    assert coil.hot_pick_up(pick_up=7.0, temperature=celsius) == pytest.approx(7.0 * factor, rel=1e-3)


def test_nine_volts_become_eleven_point_three_at_85_degrees() -> None:
    """9.0 V · 319.5/254.5, worked by hand."""
    assert coil.hot_pick_up(pick_up=9.0, temperature=85) == pytest.approx(11.30, abs=5e-3)


@given(st.floats(1, 20), st.floats(*OHMS), st.floats(*CELSIUS))
def test_a_hot_coil_picks_up_at_the_current_of_a_cold_one(pick_up: float, ohms: float, celsius: float) -> None:
    hot = coil.coil_current(
        voltage=coil.hot_pick_up(pick_up=pick_up, temperature=celsius),
        resistance=coil.coil_resistance(resistance=ohms, temperature=celsius),
    )
    assert hot == pytest.approx(pick_up / ohms)


def test_a_leak_above_the_release_current_holds_the_contact() -> None:
    """The data sheet's relay lets go at 0.5 V over 300 Ω, 1.667 mA."""
    assert coil.residual_share(residual=1.6e-3, drop_out=0.5, resistance=300) < 1
    assert coil.residual_share(residual=1.7e-3, drop_out=0.5, resistance=300) > 1


@pytest.mark.ngspice
@pytest.mark.parametrize("name", PRINTED)
def test_ngspice_prints_of_each_netlist_what_stands_here(name: str) -> None:
    run = subprocess.run([tool("ngspice"), "-b", str(NETLISTS / f"{name}.cir")], capture_output=True, text=True, encoding="utf-8", check=False)
    found = re.search(r"^decay = (\S+)", run.stdout + run.stderr, re.MULTILINE)
    assert found, run.stdout + run.stderr
    assert float(found[1]) == pytest.approx(PRINTED[name], rel=1e-6)


def test_every_netlist_is_compared() -> None:
    assert {path.stem for path in NETLISTS.glob("*.cir")} == set(PRINTED)


@pytest.mark.parametrize(
    ("name", "suppression"),
    [
        ("zener", {"clamp": 24.7}),
        ("diode", {"clamp": 0.7}),
        ("resistor", {"clamp": 0.0, "damping": 330.0}),
        ("diode_and_resistor", {"clamp": 0.7, "damping": 150.0}),
        ("beside_diode", {"clamp": 0.7}),
    ],
)
def test_the_current_dies_away_as_in_the_netlist(name: str, suppression: dict[str, float]) -> None:
    """Steps of 2 µs. Beside a coil with a bare diode the zener of its own is of no use."""
    assert coil.decay_time(**RELAY | suppression) == pytest.approx(PRINTED[name], abs=2e-6)


def test_a_silicon_diode_lies_between_half_a_volt_and_one() -> None:
    assert coil.decay_time(**RELAY | {"clamp": 1.0}) < PRINTED["silicon"] < coil.decay_time(**RELAY | {"clamp": 0.5})


def test_without_any_voltage_each_time_constant_leaves_the_known_share() -> None:
    """36.8 % after one, 5.0 % after three: milestones of every first-order circuit. τ = 0.4 H/100 Ω."""
    shorted = {"inductance": 0.4, "resistance": 100.0, "damping": 0.0, "clamp": 0.0, "current": 1.0}
    assert coil.decay_time(**shorted, drop_out=0.367879) == pytest.approx(0.004, rel=1e-5)
    assert coil.decay_time(**shorted, drop_out=0.049787) == pytest.approx(0.012, rel=1e-5)


def test_a_coil_below_its_drop_out_current_lets_go_at_once() -> None:
    assert coil.decay_time(**RELAY | {"current": 0.012}) == 0.0


def _last_held(inductances: Floats, resistances: Floats, clamp: float, volts: float, drop_outs: Floats) -> Floats:
    """Coils on one line with one clamp, stepped through time: when the current of each was last at its drop-out current."""
    step = 2e-3 * float(np.min(inductances / resistances))
    currents, last, time = volts / resistances, np.zeros_like(resistances), 0.0
    while np.any(currents > drop_outs):
        time += step
        free = float(np.sum(currents * resistances / inductances) / np.sum(1 / inductances))
        node = -clamp if float(np.sum(currents)) > 1e-9 else max(-clamp, free)
        currents = currents + step * (node - resistances * currents) / inductances
        last = np.where(currents > drop_outs, time, last)
    return last


def test_no_way_through_coils_on_the_same_line_is_slower_than_a_short() -> None:
    dice = np.random.default_rng(5)
    longer_than_alone = 0
    for _ in range(40):
        count = int(dice.integers(2, 5))
        resistances, inductances = dice.uniform(20, 120, count), dice.uniform(0.1, 1, count)
        clamp, volts, drop_outs = float(dice.uniform(0, 40)), 14.6, 14.6 / resistances * dice.uniform(0.05, 0.3, count)
        for number, held in enumerate(_last_held(inductances, resistances, clamp, volts, drop_outs)):
            alone = {
                "inductance": float(inductances[number]), "resistance": float(resistances[number]), "damping": 0.0,
                "current": volts / float(resistances[number]), "drop_out": float(drop_outs[number]),
            }  # fmt: skip
            assert float(held) <= coil.decay_time(**alone, clamp=0.0) * (1 + 1e-2)
            longer_than_alone += float(held) > 1.2 * coil.decay_time(**alone, clamp=clamp)
    assert longer_than_alone > 5
