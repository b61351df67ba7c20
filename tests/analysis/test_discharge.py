"""Discharge in numbers, against arithmetic by hand, ngspice (see test_precharge), and the discharge tool's published example."""

import pytest
from conftest import TESTS, edited
from figures import ends, figure, figures

from docgen.analysis import calculations
from docgen.analysis.intermediate import is_permanent
from docgen.analysis.pictures import pictures
from docgen.calculation import Given, of
from docgen.car.tractive import Discharge
from docgen.editions import edition
from docgen.finding import Verdict
from docgen.load import load_file
from docgen.look import Look
from docgen.sheet import Label

AS_IT_IS = "devices: {air_plus: {function: AIR}}"


def discharge(fields: str) -> str:
    return f"tractive_system: {{inverters: {{inverter: {{discharge: {{{fields}}}}}}}}}"


# ── The small car: 403.2 V, 3.3 kΩ ± 5 %, 400 µF ± 20 %, contactors 15 ms, discharge relay 12 ms ─────────────────────────


def test_the_peak_current_flows_at_the_highest_voltage() -> None:
    """403.2 V over 3.3 kΩ ± 5 %: 122.18 mA, at most 128.61 mA."""
    assert ends(figure(AS_IT_IS, "discharge-peak-current")) == pytest.approx((0.1163636, 0.1221818, 0.1286124), abs=1e-7)


def test_the_resistor_takes_all_that_the_capacitors_hold() -> None:
    """½·400 µF·(403.2 V)² = 32.514048 J, ± 20 %."""
    assert ends(figure(AS_IT_IS, "discharge-energy")) == pytest.approx((26.0112384, 32.514048, 39.0168576))


def test_the_slowest_discharge_is_that_of_ngspice() -> None:
    """3.465 kΩ·480 µF·ln 6.72 = 3.16854 s after 15 ms; netlist small_car_discharge prints 3.183544 s."""
    time = figure(AS_IT_IS, "discharge-time")
    assert ends(time) == pytest.approx((1.926184, 2.529716, 3.183543), rel=1e-6)
    assert ends(time)[2] == pytest.approx(3.183544, rel=1e-6)
    assert time.bound is not None and (time.bound.compare, time.bound.value, time.bound.topic) == ("below", 5, "loop-opening-result")


def test_the_largest_resistor_is_what_the_remaining_time_allows() -> None:
    """4.985 s/(480 µF·ln 6.72) = 5451.4 Ω."""
    assert ends(figure(AS_IT_IS, "discharge-largest-resistor")) == pytest.approx((5451.41, 6541.69, 8177.12), rel=1e-5)


def test_a_resistor_just_below_the_largest_is_quick_enough_and_one_just_above_is_not() -> None:
    assert figure(discharge("resistor: 5.451 kΩ"), "discharge-time").verdict is Verdict.HOLDS
    assert figure(discharge("resistor: 5.452 kΩ"), "discharge-time").verdict is Verdict.FINDING


def test_the_published_circuit_has_its_published_power_through_the_whole_chain() -> None:
    """Welwyn/TT electronics, Design Tool 4, Capacitor Discharge Calculator, 2005: 195 µF, 50 Ω, 1500 V: it prints 45,000 W; 9.75 ms·ln 25 = 31.384 ms."""
    patch = "tractive_system: {voltage: {highest: 1500 V}, inverters: {inverter: {capacitance: 195 µF, discharge: {resistor: 50 Ω}}}}"
    assert ends(figure(patch, "discharge-fall"))[1] == pytest.approx(0.0313840, rel=1e-5)
    assert ends(figure(patch, "discharge-power"))[1] == 45_000


def test_the_power_at_the_highest_voltage_stands_against_the_continuous_rating() -> None:
    """(403.2 V)²/3135 Ω = 51.857 W."""
    power = figure(AS_IT_IS, "discharge-power")
    assert ends(power) == pytest.approx((46.9178, 49.2637, 51.8565), rel=1e-5)
    assert power.bound is not None and (power.bound.value, power.bound.words) == (75, "what the resistor bears for good")


@pytest.mark.parametrize(
    ("fields", "verdict", "bears"),
    [
        ("rated_power: 60 W", Verdict.HOLDS, 60),
        ("rated_power: 30 W, pulse_rating: [[10 s, 90 W], [20 s, 60 W]]", Verdict.HOLDS, 70.998),
        ("rated_power: 30 W, pulse_rating: [[10 s, 60 W], [20 s, 40 W]]", Verdict.FINDING, 47.332),
        ("rated_power: 30 W, pulse_rating: [[10 s, 90 W]]", Verdict.FINDING, 30),
        ("rated_power: 30 W", Verdict.NOT_EVALUATED, None),
    ],
)
def test_where_the_edition_asks_for_seconds_the_pulse_rating_counts(fields: str, verdict: Verdict, bears: float | None) -> None:
    """15 s between 10 s and 20 s: a share ln 1.5/ln 2 = 0.58496 of the way, 90 W·(2/3)^0.58496 = 71.00 W, 60 W·(2/3)^0.58496 = 47.33 W."""
    power = figure(discharge(fields), "discharge-power", identifier="fsae-2026")
    assert power.verdict is verdict
    assert (power.bound.value if power.bound else None) == (pytest.approx(bears, rel=1e-4) if bears else None)
    assert figure(discharge(fields), "discharge-power").verdict is (Verdict.HOLDS if fields == "rated_power: 60 W" else Verdict.FINDING)


# ── What moves first ────────────────────────────────────────────────────────────────────────────────────────────────────


def test_the_last_contact_decides_when_the_voltage_begins_to_fall() -> None:
    slow_relay = figure("devices: {discharge_relay: {coil: {release: 40 ms}}}", "discharge-time")
    assert ends(slow_relay)[2] == pytest.approx(3.168543 + 0.040, rel=1e-6)
    slow_contactor = figure("devices: {air_minus: {coil: {release: 60 ms}}}", "discharge-time")
    assert ends(slow_contactor)[2] == pytest.approx(3.168543 + 0.060, rel=1e-6)


def test_a_delay_of_a_contactor_is_counted_in_and_within_its_own_limit() -> None:
    """10 kΩ ± 1 %, 22 µF ± 10 %, 60 %: 10.1 kΩ·24.2 µF·ln 2.5 = 223.96 ms and 15 ms."""
    patch = "devices: {air_plus: {delay: {resistor: 10 kΩ ± 1 %, capacitor: 22 µF ± 10 %, trips_at: 60 %}}}"
    opening = figures(patch, "contactor-opening")[0]
    assert ends(opening)[2] == pytest.approx(0.2389598, rel=1e-5)
    assert opening.bound is not None and (opening.bound.value, opening.bound.topic) == (0.25, "contactor-opening-delay")
    assert ends(figure(patch, "discharge-time"))[2] == pytest.approx(3.168543 + 0.2389598, rel=1e-6)


def test_each_inverter_is_judged_alone() -> None:
    patch = "tractive_system: {inverters: {front: {capacitance: 200 µF, discharge: {resistor: 1 kΩ, rated_power: 200 W, through: nothing}}}}"
    assert [ends(time)[1] for time in figures(patch, "discharge-time")] == pytest.approx([2.529716, 0.015 + 0.2 * 1.9050881], rel=1e-6)


def test_the_charge_of_an_inverter_without_a_discharge_leaves_through_the_others() -> None:
    """400 µF ± 20 % and 100 µF: 580 µF at the worst, 3.465 kΩ·580 µF·1.905088 = 3.82866 s."""
    patch = "tractive_system: {inverters: {front: {capacitance: 100 µF}}}"
    assert ends(figure(patch, "discharge-fall"))[2] == pytest.approx(3.82866, rel=1e-5)


def test_a_system_that_never_exceeds_the_limit_needs_no_discharge() -> None:
    below = "tractive_system: {voltage: {highest: 58.8 V, nominal: 50.4 V}}"
    assert figures(below, "discharge-time", "contactor-opening", "time-to-safe") == ()


def test_a_highest_voltage_whose_tolerance_reaches_below_the_limit_falls_only_from_above_it() -> None:
    """62 V ± 5 %: from 65.1 V, 3.465 kΩ·480 µF·ln 1.085 = 135.68 ms; from 58.9 V nothing has to fall."""
    fall = figure("tractive_system: {voltage: {highest: 62 V ± 5 %, nominal: 55 V}}", "discharge-fall")
    assert (ends(fall)[0], ends(fall)[2]) == pytest.approx((0, 0.135684), rel=1e-5)


@pytest.mark.parametrize(
    ("patch", "slug", "wanting"),
    [
        ("tractive_system: {inverters: {inverter: {discharge: unknown (not chosen)}}}", "discharge-time", "discharge resistor (unknown (not chosen))"),
        ("tractive_system: {inverters: {inverter: {discharge: null}}}", "discharge-fall", "discharge resistor"),
        (discharge("rated_power: null"), "discharge-power", "continuous power of the resistor"),
        ("devices: {air_plus: {coil: null}}", "discharge-time", "release time of air_plus"),
        ("devices: {discharge_relay: {coil: {release: unknown}}}", "discharge-time", "release time of discharge_relay (unknown)"),
        ("devices: {air_plus: {delay: {resistor: 10 kΩ, trips_at: 60 %}}}", "discharge-time", "timing capacitor"),
        ("tractive_system: {inverters: {inverter: {capacitance: null}}}", "discharge-largest-resistor", "capacitance of inverter"),
    ],
)
def test_a_missing_input_is_named(patch: str, slug: str, wanting: str) -> None:
    found = figure(patch, slug)
    assert found.verdict is Verdict.NOT_EVALUATED
    assert wanting in [missing.name for missing in found.missing]


@pytest.mark.parametrize(
    ("through", "permanent"),
    [
        ("nothing, connected for good", True), ("none", True), ("no relay", True), ("permanently connected", True), ("always in parallel", True),
        ("discharge_relay.power", False), ("nothing_relay", False), ("a relay that is not permanent", False),
    ],
)  # fmt: skip
def test_a_discharge_without_a_switch_is_told_by_words(through: str, permanent: bool) -> None:
    assert is_permanent(Discharge.model_validate({"through": through})) is permanent


# ── The example car and the picture ─────────────────────────────────────────────────────────────────────────────────────


def test_the_example_car_discharges_as_in_ngspice() -> None:
    """Netlist example_car_discharge prints 2.846741 s."""
    look = Look(load_file(TESTS.parent / "example_car" / "car.yaml"), edition("fsuk-2026"))
    (time,) = of(calculations(look), "discharge-time")
    assert ends(time)[2] == pytest.approx(2.846741, rel=1e-6)
    assert [given.symbol for given in time.given if isinstance(given, Given)] == ["t_o", "t_f"]


def test_the_picture_says_in_words_what_it_shows() -> None:
    plot = next(one for one in pictures(Look(edited(AS_IT_IS), edition("fsuk-2026"))) if one.slug == "discharge-1")
    assert plot.alternative == (
        "The voltage of inverter starts at 403.2 V and is below 60 V after 2.53 s, at the slowest after 3.184 s. The limit is 5 s."
    )
    words = {mark.text for mark in plot.sheet.marks() if isinstance(mark, Label)}
    assert {"nominal: 2.53 s", "slowest: 3.184 s", "time limit 5 s", "limit 60 V", "voltage of the intermediate circuit [V]"} <= words
