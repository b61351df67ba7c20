"""Coils: figures of a relay data sheet, the temperature law, divided voltages against nodal analysis and ngspice.

Published: Panasonic 1 form A automotive relay, 12 V (300 Ω, 40 mA, operate ≤ 7.0 V, release ≥ 0.5 V,
https://directindustry.com/prod/panasonic-electric-works-corporation-america/product-15606-2430437.html); FAA AC 43.13-1B CHG 1, p. 11-22.
"""

import random
import re
import subprocess
from pathlib import Path

import pytest
from conftest import tool
from corners import Formula, Ranges, assert_corners_are_exact, assert_refuses_what_is_no_number, boxes, formulas, refusal
from hypothesis import given
from hypothesis import strategies as st

from docgen.calc import coil
from docgen.circuit import Resistor, solve

OHMS, VOLTS, CELSIUS = (5, 1000), (6, 30), (-40, 180)
RANGES: dict[Formula, Ranges] = {
    coil.coil_resistance: {"resistance": OHMS, "temperature": CELSIUS},
    coil.hot_pick_up: {"pick_up": (3, 20), "temperature": CELSIUS},
    coil.coil_current: {"voltage": VOLTS, "resistance": OHMS},
    coil.residual_share: {"residual": (0, 0.1), "drop_out": (0.3, 6), "resistance": OHMS},
    coil.coil_voltage: {"source": VOLTS, "series": (0, 5), "coils": OHMS},
    coil.line_resistance: dict.fromkeys(("fuses", "contacts", "crossings", "wires"), (0, 3)),
    coil.voltage_behind: {"source": VOLTS, "series": (0, 0.5), "current": (0, 10)},
}


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
        (coil.coil_voltage, {"source": 12, "series": -1, "coils": 36}, ("series", "at least 0", -1)),
        (coil.coil_voltage, {"source": 12, "series": 1, "coils": 0}, ("coils", "above 0", 0)),
        (coil.voltage_behind, {"source": 12, "series": 2, "current": 7}, ("current", "at most 6, the short-circuit current", 7)),
        (coil.voltage_behind, {"source": 0, "series": 2, "current": 7}, ("source", "above 0", 0)),
        (coil.line_resistance, {"fuses": 0, "contacts": 1, "crossings": -1, "wires": 0}, ("crossings", "at least 0", -1)),
        (coil.parallel, {"resistances": []}, ("number of coils", "at least 1", 0)),
        (coil.parallel, {"resistances": [36, 0]}, ("resistance", "above 0", 0)),
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


@given(st.floats(*VOLTS), st.floats(0.01, 5), st.lists(st.floats(*OHMS), min_size=1, max_size=5))
def test_coils_behind_a_resistance_have_the_voltage_that_nodal_analysis_finds(source: float, series: float, coils: list[float]) -> None:
    wires = [Resistor(0, 2, series), *(Resistor(2, 1, ohms) for ohms in coils)]
    solved = solve(wires, 0, 1, source)
    together = coil.parallel(coils)
    assert coil.coil_voltage(source=source, series=series, coils=together) == pytest.approx(solved.volts[2], rel=1e-9)
    assert coil.voltage_behind(source=source, series=series, current=solved.current(wires[0])) == pytest.approx(solved.volts[2], rel=1e-9)


@given(st.lists(st.floats(*OHMS), min_size=1, max_size=6), st.integers(0, 5), st.floats(1, 2))
def test_resistance_in_parallel_rises_with_each_coil(coils: list[float], which: int, more: float) -> None:
    raised = list(coils)
    raised[which % len(coils)] *= more
    assert coil.parallel(raised) >= coil.parallel(coils) * (1 - 1e-12)
    assert coil.parallel(coils) <= min(coils) * (1 + 1e-12)


@pytest.mark.ngspice
def test_twenty_random_loops_of_contacts_and_coils_stand_as_in_ngspice(tmp_path: Path) -> None:
    dice = random.Random(12)
    for number in range(20):
        volts, contacts = dice.uniform(10, 15), [dice.uniform(0.005, 0.2) for _ in range(dice.randint(5, 20))]
        coils = [dice.uniform(20, 120) for _ in range(dice.randint(1, 4))]
        parts = [f"V1 n0 0 {volts!r}", *(f"R{place} n{place} n{place + 1} {ohms!r}" for place, ohms in enumerate(contacts))]
        parts += [f"RC{place} n{len(contacts)} 0 {ohms!r}" for place, ohms in enumerate(coils)]
        netlist = tmp_path / f"loop_{number}.cir"
        ends = f".control\nset numdgt=10\nop\nprint v(n{len(contacts)})\nquit 0\n.endc\n.end\n"
        netlist.write_text("\n".join([f"* loop {number}", *parts, ends]), encoding="utf-8", newline="\n")
        run = subprocess.run([tool("ngspice"), "-b", str(netlist)], capture_output=True, text=True, encoding="utf-8", check=False)
        printed = run.stdout + run.stderr
        assert not re.search(r"singular|error", printed, re.IGNORECASE), printed
        found = re.search(r"^v\(n\d+\) = (\S+)", printed, re.MULTILINE)
        assert found, printed
        assert coil.coil_voltage(source=volts, series=sum(contacts), coils=coil.parallel(coils)) == pytest.approx(float(found[1]), rel=1e-6)
