"""Pre-charge, discharge and comparator timing against published examples, an ODE solver and ngspice.

Published examples:
Welwyn/TT electronics, Design Tool 4, Capacitor Discharge Calculator, 2005 (https://www.scribd.com/document/347454186/);
Ness Engineering, Resistive charging circuits (http://nessengr.com/techdata/rc/rc.html);
Texas Instruments TIDUF73, Passive pre-charge reference design, September 2024, section 2.2;
Miba, Precharge resistor calculation; textbook timing chapter (mfgrobots.com/Article/mfg/it/1880.html);
milestones of a charge (calculate.co.nz, superglobalcalculator.com).
"""

import math
import random
import re
import subprocess
from pathlib import Path

import pytest
from conftest import tool
from corners import Formula, Ranges, assert_corners_are_exact, assert_refuses_what_is_no_number, boxes, formulas, refusal
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp
from uncertainties import ufloat, umath

from docgen.calc import rc
from docgen.calc.formula import Band, worst

OHMS, FARADS, VOLTS, SECONDS = (1, 1e5), (1e-6, 1e-2), (60, 600), (0, 10)
RANGES: dict[Formula, Ranges] = {
    rc.time_constant: {"resistance": OHMS, "capacitance": FARADS},
    rc.charge_time: {"resistance": OHMS, "capacitance": FARADS, "fraction": (0, 0.999)},
    rc.charge_voltage: {"source": VOLTS, "resistance": OHMS, "capacitance": FARADS, "time": SECONDS},
    rc.discharge_voltage: {"start": VOLTS, "resistance": OHMS, "capacitance": FARADS, "time": SECONDS},
    rc.discharge_time: {"start": (60, 600), "end": (1, 60), "resistance": OHMS, "capacitance": FARADS},
    rc.discharge_resistance: {"start": (61, 600), "end": (1, 60), "capacitance": FARADS, "time": SECONDS},
    rc.peak_current: {"voltage": VOLTS, "resistance": OHMS},
    rc.resistor_power: {"voltage": VOLTS, "resistance": OHMS},
    rc.capacitor_energy: {"voltage": VOLTS, "capacitance": FARADS},
    rc.precharge_energy: {"source": VOLTS, "capacitance": FARADS, "fraction": (0, 1)},
    rc.loaded_voltage: {"source": VOLTS, "resistance": (10, 1000), "load": (0, 0.06)},
    rc.loaded_charge_time: {"source": VOLTS, "resistance": (10, 1000), "capacitance": FARADS, "load": (0, 0.003), "fraction": (0, 0.94)},
    rc.loaded_fraction: {"source": VOLTS, "resistance": (10, 1000), "capacitance": FARADS, "load": (0, 0.06), "time": SECONDS},
    rc.loaded_precharge_energy: {"source": VOLTS, "resistance": (10, 1000), "capacitance": FARADS, "load": (0, 0.06), "fraction": (0, 1), "time": SECONDS},
    rc.true_fraction: {"reading": (0, 1), "error": (-0.1, 0.1)},
    rc.capacitance_seen: {"capacitance": FARADS, "resistance": OHMS, "others": (0, 1e5)},
    rc.divided_voltage: {"source": VOLTS, "resistance": OHMS, "discharge": OHMS},
    rc.closing_voltage: {"fraction": (0, 1), "source": VOLTS},
    rc.comparator_delay: {"resistance": OHMS, "capacitance": FARADS, "threshold": (0, 4.4), "supply": (4.5, 16)},
}


def test_every_formula_is_in_the_ranges() -> None:
    assert set(RANGES) == formulas(rc)


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
        (rc.time_constant, {"resistance": 0, "capacitance": 1e-6}, ("resistance", "above 0", 0)),
        (rc.time_constant, {"resistance": 1, "capacitance": -1e-6}, ("capacitance", "above 0", -1e-6)),
        (rc.charge_time, {"resistance": 1, "capacitance": 1, "fraction": 1}, ("fraction", "below 1", 1)),
        (rc.charge_time, {"resistance": 1, "capacitance": 1, "fraction": -0.1}, ("fraction", "at least 0", -0.1)),
        (rc.charge_voltage, {"source": -1, "resistance": 1, "capacitance": 1, "time": 1}, ("source", "at least 0", -1)),
        (rc.charge_voltage, {"source": 1, "resistance": 1, "capacitance": 1, "time": -1}, ("time", "at least 0", -1)),
        (rc.discharge_voltage, {"start": -1, "resistance": 1, "capacitance": 1, "time": 1}, ("start", "at least 0", -1)),
        (rc.discharge_time, {"start": 50, "end": 60, "resistance": 1, "capacitance": 1}, ("start", "at least 60", 50)),
        (rc.discharge_time, {"start": 50, "end": 0, "resistance": 1, "capacitance": 1}, ("end", "above 0", 0)),
        (rc.discharge_resistance, {"start": 60, "end": 60, "capacitance": 1, "time": 5}, ("start", "above 60", 60)),
        (rc.discharge_resistance, {"start": 90, "end": 60, "capacitance": 1, "time": -5}, ("time", "at least 0", -5)),
        (rc.resistor_power, {"voltage": 400, "resistance": 0}, ("resistance", "above 0", 0)),
        (rc.precharge_energy, {"source": 400, "capacitance": 1, "fraction": 1.1}, ("fraction", "at most 1", 1.1)),
        (rc.loaded_voltage, {"source": 400, "resistance": 1000, "load": 0.5}, ("load", "at most 0.4", 0.5)),
        (rc.divided_voltage, {"source": 400, "resistance": 1000, "discharge": 0}, ("discharge", "above 0", 0)),
        (rc.loaded_precharge_energy, {"source": 400, "resistance": 1, "capacitance": 1, "load": 0, "fraction": 1, "time": -1}, ("time", "at least 0", -1)),
        (rc.true_fraction, {"reading": 0.97, "error": -1}, ("error", "above -1", -1)),
        (rc.capacitance_seen, {"capacitance": 1, "resistance": 1, "others": -1}, ("others", "at least 0", -1)),
        (rc.closing_voltage, {"fraction": -0.1, "source": 400}, ("fraction", "at least 0", -0.1)),
        (rc.comparator_delay, {"resistance": 1, "capacitance": 1, "threshold": 5, "supply": 5}, ("threshold", "below 5", 5)),
        (rc.discharge_curve, {"start": 4, "resistance": 1, "capacitance": 1, "until": 0, "steps": 9}, ("until", "above 0", 0)),
        (rc.discharge_curve, {"start": 4, "resistance": 1, "capacitance": 1, "until": 1, "steps": 0}, ("steps", "at least 1", 0)),
    ],
)  # fmt: skip
def test_what_has_no_meaning_is_refused(function: Formula, arguments: dict[str, float], refused: tuple[str, str, float]) -> None:
    assert refusal(function, **arguments) == refused


def test_the_discharge_tool_prints_these_figures() -> None:
    """Capacitor Discharge Calculator: 195 µF, 1500 V to 320 V, 50 Ω."""
    assert rc.discharge_time(start=1500, end=320, resistance=50, capacitance=195e-6) == pytest.approx(0.015062769, rel=5e-8)
    assert rc.resistor_power(voltage=1500, resistance=50) == 45_000
    assert rc.time_constant(resistance=50, capacitance=195e-6) == pytest.approx(0.00975, rel=1e-12)
    assert rc.capacitor_energy(voltage=1500, capacitance=195e-6) == pytest.approx(219.375, rel=1e-12)


@pytest.mark.parametrize(("taus", "percent"), [(1, 63.2), (2, 86.5), (3, 95.0), (4, 98.2), (5, 99.3)])
def test_the_milestones_of_a_charge_are_met(taus: int, percent: float) -> None:
    """Published to a tenth of a percent."""
    assert 100 * rc.charge_voltage(source=1, resistance=1, capacitance=1, time=taus) == pytest.approx(percent, abs=0.05)


def test_the_textbook_charge_is_met_both_ways() -> None:
    """10 kΩ, 100 µF, 15 V: 12.970 V at 2 s, and back 2 s."""
    assert rc.charge_voltage(source=15, resistance=10e3, capacitance=100e-6, time=2) == pytest.approx(12.970, abs=5e-4)
    assert rc.charge_time(resistance=10e3, capacitance=100e-6, fraction=12.970 / 15) == pytest.approx(2, abs=5e-5)


def test_half_of_the_energy_stays_in_the_resistor() -> None:
    """Ness Engineering: 1000 V, 1000 Ω, τ 1 ms: peak 1 A, efficiency 50 %."""
    assert rc.peak_current(voltage=1000, resistance=1000) == 1
    assert rc.precharge_energy(source=1000, capacitance=1e-6, fraction=1) == rc.capacitor_energy(voltage=1000, capacitance=1e-6)


def test_the_reference_design_has_fifty_ohms() -> None:
    """TIDUF73: complete at 5 τ, system resistance 50 Ω; its 800 V, 2 mF and 0.5 s are from memory."""
    assert 5 * rc.time_constant(resistance=50, capacitance=2e-3) == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("volts", "farads", "ohms", "tau", "t90", "t95", "peak", "power", "energy"),
    [
        (400, 500e-6, 1000, 0.5, 1.15129, 1.49787, 0.4, 160, 40),
        (600, 300e-6, 2000, 0.6, 1.38155, 1.79744, 0.3, 180, 54),
        (500, 250e-6, 500, 0.125, 0.28782, 0.37447, 1.0, 500, 31.25),
    ],
)
def test_the_regression_set_of_pre_charges_stands(
    volts: float, farads: float, ohms: float, tau: float, t90: float, t95: float, peak: float, power: float, energy: float
) -> None:
    """Worked by hand from the formulas, no outside evidence; random circuits run in ngspice below."""
    assert rc.time_constant(resistance=ohms, capacitance=farads) == pytest.approx(tau)
    assert rc.charge_time(resistance=ohms, capacitance=farads, fraction=0.90) == pytest.approx(t90, abs=5e-6)
    assert rc.charge_time(resistance=ohms, capacitance=farads, fraction=0.95) == pytest.approx(t95, abs=5e-6)
    assert rc.peak_current(voltage=volts, resistance=ohms) == pytest.approx(peak)
    assert rc.resistor_power(voltage=volts, resistance=ohms) == pytest.approx(power)
    assert rc.precharge_energy(source=volts, capacitance=farads, fraction=1) == pytest.approx(energy)


@pytest.mark.parametrize(
    ("volts", "farads", "ohms", "t60", "power", "largest"),
    [
        (400, 500e-6, 2000, 1.89712, 80, 5271), (600, 300e-6, 3300, 2.27956, 109.1, 7238), (400, 1000e-6, 1500, 2.84568, 106.7, 2636),
        (300, 400e-6, 5000, 3.21888, 18, 7767),
    ],
)  # fmt: skip
def test_the_regression_set_of_discharges_stands(
    volts: float, farads: float, ohms: float, t60: float, power: float, largest: float
) -> None:
    """To 60 V; worked by hand from the formulas, no outside evidence."""
    assert rc.discharge_time(start=volts, end=60, resistance=ohms, capacitance=farads) == pytest.approx(t60, abs=5e-6)
    assert rc.resistor_power(voltage=volts, resistance=ohms) == pytest.approx(power, abs=0.05)
    assert rc.discharge_resistance(start=volts, end=60, capacitance=farads, time=5) == pytest.approx(largest, abs=0.5)


def test_a_monostable_times_one_point_one_time_constants() -> None:
    """555 timer, threshold two thirds: "1.1 RC" in its data sheet (from memory)."""
    assert rc.comparator_delay(resistance=1, capacitance=1, threshold=10, supply=15) == pytest.approx(1.1, abs=0.005)


R, C, V, THRESHOLD = (
    Band(470e3 * 0.99, 470e3, 470e3 * 1.01),
    Band(0.9e-6, 1e-6, 1.1e-6),
    Band(4.95, 5, 5.05),
    Band(3.3 * 0.98, 3.3, 3.3 * 1.02),
)


def test_the_worst_delay_is_the_exact_corner_not_the_linear_sum() -> None:
    """470 kΩ ± 1 %, 1 µF ± 10 %, 5 V ± 1 %, 3.3 V ± 2 %, by hand; the linear sum would end at 507 ms + 16.40 % = 590.2 ms."""
    delay = worst(rc.comparator_delay, resistance=R, capacitance=C, supply=V, threshold=THRESHOLD)
    assert (delay.low, delay.nominal, delay.high) == pytest.approx((0.428298, 0.507041, 0.594978), abs=5e-7)
    assert delay.high > 0.507041 * 1.1640


def test_the_delay_has_the_sensitivities_that_automatic_differentiation_finds() -> None:
    """`uncertainties` differentiates its own writing of the law; RSS of the same four tolerances is 10.825 %."""
    nominal = {"resistance": R.nominal, "capacitance": C.nominal, "supply": V.nominal, "threshold": THRESHOLD.nominal}
    tolerances = {"resistance": 4.7e3, "capacitance": 0.1e-6, "supply": 0.05, "threshold": 0.066}
    given = {name: ufloat(value, tolerances[name]) for name, value in nominal.items()}
    law = -given["resistance"] * given["capacitance"] * umath.log(1 - given["threshold"] / given["supply"])
    assert law.std_dev / law.nominal_value == pytest.approx(0.10825, abs=5e-6)
    shares = dict(law.error_components())
    for name, value in nominal.items():
        step = value * 1e-6
        slope = (rc.comparator_delay(**nominal | {name: value + step}) - rc.comparator_delay(**nominal | {name: value - step})) / (2 * step)
        assert abs(slope) * tolerances[name] == pytest.approx(shares[given[name]], rel=1e-6)


@given(fraction=st.floats(0, 0.999), ohms=st.floats(*OHMS), farads=st.floats(*FARADS), volts=st.floats(*VOLTS))
def test_time_and_voltage_of_a_charge_are_inverse(fraction: float, ohms: float, farads: float, volts: float) -> None:
    time = rc.charge_time(resistance=ohms, capacitance=farads, fraction=fraction)
    assert rc.charge_voltage(source=volts, resistance=ohms, capacitance=farads, time=time) == pytest.approx(
        fraction * volts, rel=1e-9, abs=1e-12
    )


@given(start=st.floats(61, 600), end=st.floats(1, 60), ohms=st.floats(*OHMS), farads=st.floats(*FARADS))
def test_time_voltage_and_resistance_of_a_discharge_are_inverse(start: float, end: float, ohms: float, farads: float) -> None:
    time = rc.discharge_time(start=start, end=end, resistance=ohms, capacitance=farads)
    assert rc.discharge_voltage(start=start, resistance=ohms, capacitance=farads, time=time) == pytest.approx(end, rel=1e-9)
    assert rc.discharge_resistance(start=start, end=end, capacitance=farads, time=time) == pytest.approx(ohms, rel=1e-9)


@given(fraction=st.floats(0.01, 1), farads=st.floats(*FARADS), volts=st.floats(*VOLTS))
def test_the_energy_in_the_resistor_is_the_voltage_across_it_over_the_charge(fraction: float, farads: float, volts: float) -> None:
    """scipy integrates (U − u)·C·du from empty to the fraction."""
    energy, _ = quad(lambda u: (volts - u) * farads, 0, fraction * volts)
    assert rc.precharge_energy(source=volts, capacitance=farads, fraction=fraction) == pytest.approx(energy, rel=1e-9)


def test_nothing_happens_at_no_voltage() -> None:
    assert rc.peak_current(voltage=0, resistance=1) == 0
    assert rc.resistor_power(voltage=0, resistance=0.5) == 0
    assert rc.capacitor_energy(voltage=0, capacitance=1e-6) == 0
    assert rc.precharge_energy(source=0, capacitance=1e-6, fraction=1) == 0
    assert rc.divided_voltage(source=0, resistance=1, discharge=1) == 0


def test_small_figures_are_no_bounds() -> None:
    """Half a volt, half an ohm: a threshold and a curve may be that small."""
    assert rc.loaded_voltage(source=0.5, resistance=0.5, load=0.5) == pytest.approx(0.25)
    assert rc.comparator_delay(resistance=1, capacitance=1, threshold=0.25, supply=0.5) == pytest.approx(0.693147, abs=5e-7)


def test_a_load_that_takes_the_last_percents_is_never_charged_to_them() -> None:
    """400 V, 1 kΩ, 20 mA: ends at 380 V, 95 %."""
    arguments = {"source": 400, "resistance": 1000, "capacitance": 500e-6, "load": 0.02}
    assert refusal(rc.loaded_charge_time, **arguments, fraction=-0.1) == ("fraction", "at least 0", -0.1)
    assert refusal(rc.loaded_charge_time, **arguments, fraction=0.95) == ("fraction", "below 0.95, where the voltage ends", 0.95)
    assert rc.loaded_charge_time(**arguments, fraction=0.9499) > rc.charge_time(resistance=1000, capacitance=500e-6, fraction=0.99)


def test_a_loaded_pre_charge_takes_the_time_that_an_ode_solver_finds() -> None:
    """scipy's DOP853 on C·du/dt = (U − u)/R − I, from the empty capacitor until the fraction is reached."""
    dice = random.Random(47)
    for _ in range(60):
        volts, ohms, farads = dice.uniform(60, 600), 10 ** dice.uniform(1, 4), 10 ** dice.uniform(-5, -2)
        load = dice.uniform(0, 0.3) * volts / ohms
        end = 1 - load * ohms / volts
        fraction = dice.uniform(0.05, 0.995) * end

        def reached(_: float, u: list[float], target: float = fraction * volts) -> float:
            return u[0] - target

        reached.terminal = True  # type: ignore[attr-defined]
        solved = solve_ivp(
            lambda _, u, v=volts, r=ohms, c=farads, i=load: [((v - u[0]) / r - i) / c], (0, 20 * ohms * farads), [0.0],
            method="DOP853", events=reached, rtol=1e-11, atol=1e-9,
        )  # fmt: skip
        time = rc.loaded_charge_time(source=volts, resistance=ohms, capacitance=farads, load=load, fraction=fraction)
        assert time == pytest.approx(solved.t_events[0][0], rel=1e-7)
        assert rc.loaded_voltage(source=volts, resistance=ohms, load=load) == pytest.approx(end * volts)


def test_a_curve_begins_at_the_start_and_ends_at_the_end() -> None:
    """The textbook's charge: 12.970 V at 2 s. The tool's discharge: 320 V at 15.062769 ms."""
    charge = rc.charge_curve(source=15, resistance=10e3, capacitance=100e-6, load=0, until=2, steps=100)
    assert len(charge) == 101
    assert charge[0] == (0, 0)
    assert charge[-1] == (2, pytest.approx(12.970, abs=5e-4))
    discharge = rc.discharge_curve(start=1500, resistance=50, capacitance=195e-6, until=0.015062769, steps=50)
    assert discharge[0] == (0, 1500)
    assert discharge[-1] == (0.015062769, pytest.approx(320, abs=1e-4))


def test_a_curve_under_load_bends_towards_the_lower_end() -> None:
    """400 V, 1 kΩ, 20 mA: 380 V in the end."""
    curve = rc.charge_curve(source=400, resistance=1000, capacitance=500e-6, load=0.02, until=20, steps=40)
    assert curve[-1][1] == pytest.approx(380, rel=1e-9)
    assert [volts for _, volts in curve] == sorted(volts for _, volts in curve)


def _simulated(folder: Path, name: str, parts: str, tau: float, measures: dict[str, str]) -> dict[str, float]:
    """What ngspice measures in a circuit over 15 time constants; node out holds the capacitor, node src the source."""
    netlist = folder / f"{name}.cir"
    asked = "\n".join(f"meas tran {key} {how}" for key, how in measures.items())
    netlist.write_text(
        f"* {name}\n{parts}\n.options reltol=1e-6\n.tran {tau / 400:.9e} {15 * tau:.9e} 0 {tau / 400:.9e} uic\n"
        f".control\nset numdgt=10\nrun\nlet power=(v(src)-v(out))^2\n{asked}\nquit 0\n.endc\n.end\n",
        encoding="utf-8", newline="\n",
    )  # fmt: skip
    run = subprocess.run([tool("ngspice"), "-b", str(netlist)], capture_output=True, text=True, encoding="utf-8", check=False)
    printed = run.stdout + run.stderr
    assert not re.search(r"singular|error", printed, re.IGNORECASE), printed
    found = {key: re.search(rf"^{key}\s*=\s*(\S+)", printed, re.MULTILINE) for key in measures}
    assert all(found.values()), printed
    return {key: float(match[1]) for key, match in found.items() if match}


def _random_circuit(dice: random.Random) -> tuple[float, float, float, float]:
    """Volts, ohms, farads and time constant."""
    volts, ohms, farads = dice.uniform(60, 600), 10 ** dice.uniform(1, 4), 10 ** dice.uniform(-5, -2)
    return volts, ohms, farads, ohms * farads


@pytest.mark.ngspice
def test_a_hundred_random_pre_charges_run_as_in_ngspice(tmp_path: Path) -> None:
    dice = random.Random(1)
    for number in range(110):
        volts, ohms, farads, tau = _random_circuit(dice)
        fraction, at = dice.uniform(0.05, 0.99), dice.uniform(0.1, 4) * tau
        early = 0.02 * tau  # ngspice keeps no point at 0, so that an integral from there would lack its first step
        ran = _simulated(
            tmp_path, f"charge_{number}", f"V1 src 0 {volts!r}\nR1 src out {ohms!r}\nC1 out 0 {farads!r} IC=0", tau,
            {
                "reached": f"when v(out)={fraction * volts!r}", "early": f"find v(out) at={early!r}", "held": f"find v(out) at={at!r}",
                "taken": f"integ power from={early!r} to={at!r}",
            },
        )  # fmt: skip
        assert rc.charge_time(resistance=ohms, capacitance=farads, fraction=fraction) == pytest.approx(ran["reached"], rel=1e-4)
        assert rc.charge_voltage(source=volts, resistance=ohms, capacitance=farads, time=at) == pytest.approx(ran["held"], rel=1e-4)
        until, before = (rc.precharge_energy(source=volts, capacitance=farads, fraction=ran[key] / volts) for key in ("held", "early"))
        assert until - before == pytest.approx(ran["taken"] / ohms, rel=1e-4)


@pytest.mark.ngspice
def test_forty_random_pre_charges_under_load_run_as_in_ngspice(tmp_path: Path) -> None:
    dice = random.Random(4)
    for number in range(40):
        volts, ohms, farads, tau = _random_circuit(dice)
        load = dice.uniform(0, 0.2) * volts / ohms
        at, early = dice.uniform(0.5, 4) * tau, 0.02 * tau
        parts = f"V1 src 0 {volts!r}\nR1 src out {ohms!r}\nC1 out 0 {farads!r} IC=0\nI1 out 0 {load!r}"
        asked = {"early": f"find v(out) at={early!r}", "held": f"find v(out) at={at!r}", "taken": f"integ power from={early!r} to={at!r}"}
        ran = _simulated(tmp_path, f"load_{number}", parts, tau, asked)
        assert rc.loaded_fraction(source=volts, resistance=ohms, capacitance=farads, load=load, time=at) == pytest.approx(ran["held"] / volts, rel=1e-4)
        until, before = (
            rc.loaded_precharge_energy(source=volts, resistance=ohms, capacitance=farads, load=load, fraction=ran[key] / volts, time=time)
            for key, time in (("held", at), ("early", early))
        )
        assert until - before == pytest.approx(ran["taken"] / ohms, rel=1e-3)


@pytest.mark.ngspice
def test_twenty_pre_charges_in_series_are_shared_as_in_ngspice(tmp_path: Path) -> None:
    """Two accumulators in series, each behind a resistor of its own: what one resistor takes, and the time constant it sees."""
    dice = random.Random(5)
    for number in range(20):
        volts, ohms, farads, _ = _random_circuit(dice)
        others = ohms * 10 ** dice.uniform(-1, 1)
        tau = (ohms + others) * farads
        share = rc.divided_voltage(source=volts, resistance=others, discharge=ohms)
        seen = rc.capacitance_seen(capacitance=farads, resistance=ohms, others=others)
        parts = f"V1 far 0 {volts!r}\nR2 far src {others!r}\nR1 src out {ohms!r}\nC1 out 0 {farads!r} IC=0"
        early, at = 0.02 * tau, 2 * tau
        asked = {"held": f"find v(out) at={tau!r}", "taken": f"integ power from={early!r} to={at!r}"}
        ran = _simulated(tmp_path, f"series_{number}", parts, tau, asked)
        assert rc.time_constant(resistance=ohms, capacitance=seen) == pytest.approx(tau)
        assert ran["held"] == pytest.approx(volts * (1 - math.exp(-1)), rel=1e-4)
        until, before = (rc.precharge_energy(source=share, capacitance=seen, fraction=-math.expm1(-time / tau)) for time in (at, early))
        assert until - before == pytest.approx(ran["taken"] / ohms, rel=1e-3)


@pytest.mark.ngspice
def test_a_hundred_random_discharges_run_as_in_ngspice(tmp_path: Path) -> None:
    dice = random.Random(2)
    for number in range(110):
        volts, ohms, farads, tau = _random_circuit(dice)
        end, at = dice.uniform(0.02, 0.95) * volts, dice.uniform(0.1, 4) * tau
        ran = _simulated(
            tmp_path, f"discharge_{number}", f"V1 src 0 0\nR1 out src {ohms!r}\nC1 out 0 {farads!r} IC={volts!r}", tau,
            {"reached": f"when v(out)={end!r}", "held": f"find v(out) at={at!r}"},
        )  # fmt: skip
        assert rc.discharge_time(start=volts, end=end, resistance=ohms, capacitance=farads) == pytest.approx(ran["reached"], rel=1e-4)
        assert rc.discharge_voltage(start=volts, resistance=ohms, capacitance=farads, time=at) == pytest.approx(ran["held"], rel=1e-4)
        assert rc.discharge_resistance(start=volts, end=end, capacitance=farads, time=ran["reached"]) == pytest.approx(ohms, rel=1e-4)


@pytest.mark.ngspice
def test_forty_random_pre_charges_against_a_stuck_discharge_run_as_in_ngspice(tmp_path: Path) -> None:
    dice = random.Random(3)
    for number in range(40):
        volts, ohms, farads, tau = _random_circuit(dice)
        stuck = ohms * 10 ** dice.uniform(-0.5, 1.5)
        parts = f"V1 src 0 {volts!r}\nR1 src out {ohms!r}\nR2 out 0 {stuck!r}\nC1 out 0 {farads!r} IC=0"
        end = _simulated(tmp_path, f"stuck_{number}", parts, tau, {"ends": f"find v(out) at={14.9 * tau!r}"})["ends"]
        assert rc.divided_voltage(source=volts, resistance=ohms, discharge=stuck) == pytest.approx(end, rel=1e-4)
