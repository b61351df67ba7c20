"""Pre-charge in numbers: arithmetic by hand from the YAML, and circuits in ngspice that were written from it by hand.

The netlists in `netlists_tractive/` hold the circuits; what ngspice printed of them stands here too, so that it is compared on every run.
"""

import re
import subprocess
from math import exp, log
from pathlib import Path

import pytest
from conftest import TESTS, edited, tool
from figures import ends, figure, figures

from docgen.analysis import calculations
from docgen.analysis.pictures import pictures
from docgen.calculation import Calculation, of
from docgen.editions import edition
from docgen.finding import Verdict
from docgen.load import load_file
from docgen.look import Look
from docgen.reading import Unreadable
from docgen.sheet import Label, Polyline

NETLISTS = Path(__file__).parent / "netlists_tractive"
EMPTY = "devices: {ams: {watches: {voltage_limits: [2.8 V, 4.2 V]}}}"
"""The cells of the small car may fall from 4.2 V to 2.8 V: 403.2 V to 268.8 V."""

PRINTED = {
    "small_car_precharge": {"reached": 1.382777, "energy": 39.13707},
    "example_car_precharge": {"reached": 2.456196, "energy": 73.42760},
    "two_accumulators_precharge": {"reached": 1.413886, "energy": 24.44146},
    "small_car_discharge": {"reached": 3.183544},
    "example_car_discharge": {"reached": 2.846741},
}
"""Netlist -> what ngspice 39 prints of it: seconds and joules."""


def described(path: str) -> Look:
    description = load_file(TESTS.parent / path)
    return Look(description, edition("fsuk-2026"))


def of_car(path: str, slug: str) -> Calculation:
    return of(calculations(described(path)), slug)[0]


def precharge(fields: str) -> str:
    return f"tractive_system: {{accumulators: {{main: {{precharge: {{{fields}}}}}}}}}"


@pytest.mark.ngspice
@pytest.mark.parametrize("name", PRINTED)
def test_ngspice_prints_of_each_netlist_what_stands_here(name: str) -> None:
    run = subprocess.run([tool("ngspice"), "-b", str(NETLISTS / f"{name}.cir")], capture_output=True, text=True, encoding="utf-8", check=False)
    printed = {key: float(value) for key, value in re.findall(r"^(\w+) = (\S+)$", run.stdout + run.stderr, re.MULTILINE)}
    assert printed == pytest.approx(PRINTED[name], rel=1e-6)


def test_every_netlist_is_compared() -> None:
    assert {path.stem for path in NETLISTS.glob("*.cir")} == set(PRINTED)


# ── The small car: 403.2 V, 680 Ω ± 5 %, 400 µF ± 20 %, 97 % ± 1 %, 1 mA ──────────────────────────────────────────────────


def test_a_reading_that_is_too_high_closes_too_early() -> None:
    """0.97·0.99 and 0.97·1.01."""
    level = figure(EMPTY, "precharge-level")
    assert ends(level) == pytest.approx((0.9603, 0.97, 0.9797))
    assert level.margin == pytest.approx(0.0103)
    assert level.bound is not None and level.bound.value == 0.95


def test_an_error_in_volts_weighs_most_on_an_empty_accumulator() -> None:
    """4 V of 268.8 V are 1.488 %."""
    level = figure(f"{EMPTY}\n{precharge('sensing_error: ± 4 V')}", "precharge-level")
    assert ends(level) == pytest.approx((0.97 - 4 / 268.8, 0.97, 0.97 + 4 / 268.8))


def test_the_slowest_pre_charge_is_that_of_ngspice() -> None:
    time = figure(EMPTY, "precharge-time")
    assert ends(time)[2] == pytest.approx(PRINTED["small_car_precharge"]["reached"], rel=1e-6)
    assert ends(time)[1] == pytest.approx(-680 * 400e-6 * log(1 - 0.97 / (1 - 0.68 / 345.6)))
    assert ends(time)[0] == pytest.approx(-646 * 320e-6 * log(1 - 0.9603 / (1 - 0.646 / 403.2)))


def test_the_energy_of_an_attempt_is_that_of_ngspice() -> None:
    """Without the load it is ½·480 µF·(403.2 V)² = 39.02 J less 0.04 %; 1 mA adds 0.13 J."""
    energy = figure(EMPTY, "precharge-energy")
    assert ends(energy)[2] == pytest.approx(PRINTED["small_car_precharge"]["energy"], rel=1e-5)


def test_the_pulse_of_three_attempts_stands_against_the_rating_curve() -> None:
    """(403.2 V)²/646 Ω = 251.66 W for 3·39.137 J/(227.69 W) = 515.7 ms, where the curve still allows its first point, 1 kW."""
    assert ends(figure(EMPTY, "precharge-pulse"))[2] == pytest.approx(0.51567, rel=1e-4)
    power = figure(EMPTY, "precharge-peak-power")
    assert ends(power) == pytest.approx((227.6894, 239.0739, 251.6567), rel=1e-6)
    assert power.bound is not None and (power.bound.value, power.bound.words) == (1000, "what the resistor bears for 515.7 ms")


def test_between_two_points_the_rating_curve_falls_on_logarithmic_scales() -> None:
    """[100 ms, 1 kW] and [1 s, 250 W]: at 515.67 ms 1 kW·0.25^(log 5.1567) = 372.4 W; six attempts take 1.031 s, longer than the curve."""
    curve = "pulse_rating: [[100 ms, 1 kW], [1 s, 250 W]]"
    power = figure(f"{EMPTY}\n{precharge(curve)}", "precharge-peak-power")
    assert power.bound is not None and power.bound.value == pytest.approx(1000 * 0.25 ** (log(5.1567) / log(10)), rel=1e-3)
    assert power.verdict is Verdict.HOLDS
    six = figure(f"{EMPTY}\n{precharge(f'{curve}, attempts: 6')}", "precharge-peak-power")
    assert six.bound is not None and six.bound.value == 100
    assert six.verdict is Verdict.FINDING


def test_a_rating_curve_that_cannot_be_is_impossible() -> None:
    power = figure(precharge("pulse_rating: [[1 s, 300 W], [5 s, 400 W]]"), "precharge-peak-power")
    assert power.verdict is Verdict.FINDING and "power of a point" in power.impossible


def test_no_attempt_at_all_is_refused_where_it_stands() -> None:
    with pytest.raises(Unreadable, match="attempts: 0 stands here; must be a whole number from 1 to 100000"):
        edited(precharge("attempts: 0"))


def test_the_second_contactor_closes_at_the_true_share_of_the_highest_voltage() -> None:
    """97 % read ± 1 % too high: 96.03 % to 97.97 % of 403.2 V."""
    assert ends(figure(precharge("at: 97 %"), "precharge-closing-voltage")) == pytest.approx((387.19296, 391.104, 395.01504))


def test_after_a_time_the_second_contactor_closes_at_what_is_there_then() -> None:
    """1 − e^(−2 s/τ) with τ of 0.34272 s, 0.272 s and 0.20672 s is 99.7079 %, 99.9359 % and 99.9937 % of 403.2 V."""
    found = figure(precharge("ends: timed, at: null, after: 2 s, load_current: null"), "precharge-closing-voltage")
    assert ends(found) == pytest.approx([403.2 * (1 - exp(-2 / tau)) for tau in (0.34272, 0.272, 0.20672)])


def test_time_constant_and_peak_current_by_hand() -> None:
    """646 Ω · 320 µF = 0.20672 s, 680 Ω · 400 µF = 0.272 s, 714 Ω · 480 µF = 0.34272 s; 403.2 V over 714 Ω, 680 Ω and 646 Ω."""
    assert ends(figure(precharge("at: 97 %"), "precharge-time-constant")) == pytest.approx((0.20672, 0.272, 0.34272))
    assert ends(figure(precharge("at: 97 %"), "precharge-peak-current")) == pytest.approx((0.5647059, 0.5929412, 0.6241486), abs=1e-7)


def test_the_mean_power_counts_every_attempt_and_the_pause() -> None:
    """½·400 µF·(403.2 V)²·(1 − 0.03²) = 32.48478 J; the 1 mA beside it, over 0.97170 s, adds 0.10704 J; three in 60 s."""
    found = figure(precharge("attempts_within: 60 s"), "precharge-mean-power")
    assert ends(found)[1] == pytest.approx(3 * 32.59182 / 60, abs=1e-5)
    assert found.verdict is Verdict.HOLDS
    assert figure(precharge("attempts_within: 60 s, rated_power: 1.5 W"), "precharge-mean-power").verdict is Verdict.FINDING
    assert figures(precharge("attempts: 3"), "precharge-mean-power") == ()
    (missing,) = figure(precharge("attempts_within: unknown"), "precharge-mean-power").missing
    assert missing.origin == ("tractive_system", "accumulators", "main", "precharge", "attempts_within")


def test_a_level_of_nothing_is_drawn_by_nobody() -> None:
    look = Look(edited(precharge("at: 0 %")), edition("fsuk-2026"))
    assert "precharge-1" not in [plot.slug for plot in pictures(look)]


def test_a_resistor_that_bears_the_peak_for_good_needs_no_curve() -> None:
    power = figure(precharge("rated_power: 252 W, pulse_rating: null, attempts: null"), "precharge-peak-power")
    assert power.bound is not None and (power.bound.value, power.verdict) == (252, Verdict.HOLDS)


def test_against_a_stuck_discharge_the_resistor_stays_loaded() -> None:
    """403.2 V·680/(680 + 3300) = 68.888 V, 6.979 W; at the worst 714 Ω against 3135 Ω, 74.795 V, on 646 Ω 8.660 W."""
    assert ends(figure(EMPTY, "precharge-stuck-voltage"))[1:] == pytest.approx((68.888, 74.7947), rel=1e-5)
    power = figure(EMPTY, "precharge-stuck-power")
    assert ends(power)[1:] == pytest.approx((6.97880, 8.65983), rel=1e-5)
    assert power.bound is not None and power.bound.value == 100


# ── What else decides ───────────────────────────────────────────────────────────────────────────────────────────────────


def test_a_timed_scheme_is_judged_by_the_level_reached_in_the_worst_case() -> None:
    """900 ms: (1 − 0.714 V/268.8 V)·(1 − e^(−0.9 s/342.72 ms)) = 92.52 %."""
    timed = f"{EMPTY}\n{precharge('ends: timed, at: null, sensing_error: null, after: 900 ms')}"
    level = figure(timed, "precharge-level")
    assert ends(level)[0] == pytest.approx((1 - 0.714 / 268.8) * (1 - exp(-0.9 / 0.34272)))
    assert level.verdict is Verdict.FINDING
    assert figure(timed, "precharge-level", identifier="fsae-2024").verdict is Verdict.HOLDS
    assert ends(figure(timed, "precharge-time", identifier="fsae-2024"))[2] == pytest.approx(-0.34272 * log(1 - 0.9 / (1 - 0.714 / 268.8)))


def test_a_load_that_drops_too_much_never_reaches_the_level() -> None:
    """40 mA·714 Ω of 345.6 V leave 91.7 %."""
    time = figure(precharge("load_current: 40 mA"), "precharge-time")
    assert time.verdict is Verdict.FINDING
    assert "where the voltage ends" in time.impossible


def test_a_discharge_connected_for_good_counts_as_load() -> None:
    """403.2 V/(47 kΩ·0.95) = 9.030 mA and 1 mA; its contact cannot stick."""
    patch = 'tractive_system: {inverters: {inverter: {discharge: {resistor: 47 kΩ ± 5 %, through: "nothing, connected for good"}}}}'
    load = next(given for given in figure(patch, "precharge-time").given if given.symbol == "I")
    assert load.band.high == pytest.approx(0.0100302, rel=1e-5)
    assert figures(patch, "precharge-stuck-power") == ()


def test_several_inverters_behind_one_container_add_up() -> None:
    """400 µF ± 20 % and 100 µF ± 10 %."""
    patch = "tractive_system: {inverters: {front: {capacitance: 100 µF ± 10 %}}}"
    charged = next(given for given in figure(patch, "precharge-time").given if given.symbol == "C")
    assert (charged.band.low, charged.band.nominal, charged.band.high) == pytest.approx((410e-6, 500e-6, 590e-6))


def test_containers_in_series_share_voltage_and_energy_as_in_ngspice() -> None:
    """2·24·4.2 V = 201.6 V each, together 403.2 V: half the voltage, twice the capacitance, half the energy."""
    car = "tests/cars/sound/two_accumulators.yaml"
    assert ends(of_car(car, "precharge-own-voltage")) == pytest.approx((191.52, 201.6, 211.68))
    assert ends(of_car(car, "precharge-own-capacitance")) == pytest.approx((914.2857e-6, 1.2e-3, 1.5157895e-3), rel=1e-6)
    assert ends(of_car(car, "precharge-time"))[1] == pytest.approx(PRINTED["two_accumulators_precharge"]["reached"], rel=1e-6)
    assert ends(of_car(car, "precharge-energy"))[1] == pytest.approx(PRINTED["two_accumulators_precharge"]["energy"], rel=1e-5)
    assert ends(of_car(car, "precharge-peak-power"))[1] == pytest.approx(201.6**2 / 330)
    assert ends(of_car(car, "precharge-stuck-voltage"))[1] == pytest.approx(403.2 * 330 / (330 + 330 + 2200))


TWO = """
tractive_system:
  accumulators:
    main: {segments: {count: 4, in_series: 24, cell: {voltage_highest: 4.2 V}}}
    rear: {segments: SEGMENTS, precharge: {resistor: 1 kΩ, ends: measured, at: 97 %, sensing_error: ± 1 %}}
"""


def test_containers_in_parallel_charge_alone() -> None:
    """Both have 96 cells of 4.2 V: the whole voltage on each resistor, and no other resistor in the way."""
    patch = TWO.replace("SEGMENTS", "{count: 4, in_series: 24, cell: {voltage_highest: 4.2 V}}")
    assert "in parallel" in figures(patch, "precharge-time")[0].prose
    assert [ends(power)[1] for power in figures(patch, "precharge-peak-power")] == pytest.approx([403.2**2 / 680, 403.2**2 / 1000])
    assert [given.band.nominal for time in figures(patch, "precharge-time") for given in time.given if given.symbol == "R"] == [680, 1000]


def test_where_nothing_tells_how_containers_stand_the_worse_reading_counts() -> None:
    """The time with both resistors, 1680 Ω; the power with the whole voltage on one."""
    patch = TWO.replace("SEGMENTS", "null")
    assert "not told" in figures(patch, "precharge-time")[0].prose
    assert [ends(power)[1] for power in figures(patch, "precharge-peak-power")] == pytest.approx([403.2**2 / 680, 403.2**2 / 1000])
    assert [given.band.nominal for time in figures(patch, "precharge-time") for given in time.given if given.symbol == "R"] == [1680, 1680]


def test_a_single_pre_charge_for_containers_in_series_sees_all_of_the_voltage() -> None:
    patch = TWO.replace("SEGMENTS", "{count: 2, in_series: 24, cell: {voltage_highest: 4.2 V}}").replace("count: 4", "count: 2")
    alone = patch.replace(", precharge: {resistor: 1 kΩ, ends: measured, at: 97 %, sensing_error: ± 1 %}", "")
    assert ends(figures(patch, "precharge-own-voltage")[0])[1] == pytest.approx(403.2 * 680 / 1680)
    assert figures(alone, "precharge-own-voltage") == ()
    assert ends(figure(alone, "precharge-peak-power"))[1] == pytest.approx(403.2**2 / 680)


@pytest.mark.parametrize(
    ("patch", "slug", "wanting"),
    [
        (precharge("sensing_error: unknown (sensor not chosen yet)"), "precharge-level", "error of the voltage measurement (unknown (sensor not chosen yet))"),
        (precharge("resistor: null"), "precharge-time", "pre-charge resistor of main"),
        (precharge("attempts: null"), "precharge-pulse", "attempts in a row"),
        (precharge("pulse_rating: null"), "precharge-peak-power", "pulse rating of the resistor"),
        (precharge("rated_power: null"), "precharge-stuck-power", "continuous power of the resistor"),
        ("tractive_system: {inverters: null}", "precharge-time", "capacitance of an inverter"),
        ("tractive_system: {inverters: {inverter: {capacitance: unknown}}}", "precharge-energy", "capacitance of inverter (unknown)"),
        ("tractive_system: {voltage: unknown}", "precharge-peak-power", "highest voltage of the tractive system (unknown)"),
    ],
)
def test_a_missing_input_is_named(patch: str, slug: str, wanting: str) -> None:
    found = figure(patch, slug)
    assert found.verdict is Verdict.NOT_EVALUATED
    assert wanting in [missing.name for missing in found.missing]


# ── The example car and the picture ─────────────────────────────────────────────────────────────────────────────────────


def test_the_example_car_charges_as_in_ngspice() -> None:
    assert ends(of_car("example_car/car.yaml", "precharge-time"))[2] == pytest.approx(PRINTED["example_car_precharge"]["reached"], rel=1e-6)
    assert ends(of_car("example_car/car.yaml", "precharge-energy"))[2] == pytest.approx(PRINTED["example_car_precharge"]["energy"], rel=1e-5)


def test_the_picture_says_in_words_what_it_shows() -> None:
    plot = next(one for one in pictures(described("example_car/car.yaml")) if one.slug == "precharge-1")
    assert plot.alternative == (
        "The voltage behind the contactors rises from 0 towards 504 V. The second contactor closes at 97 % (96.03 % to 97.97 %) of it, after 1.721 s,"
        " at the latest after 2.456 s. The edition asks for at least 95 %."
    )
    words = {mark.text for mark in plot.sheet.marks() if isinstance(mark, Label)}
    assert {"nominal: 1.721 s", "slowest: 2.456 s", "closes at 97 % (96.03 % to 97.97 %)", "voltage behind the contactors [V]"} <= words
    assert sum(isinstance(mark, Polyline) for mark in plot.sheet.marks()) == 2
