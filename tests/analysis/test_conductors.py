"""Conductors in numbers, against arithmetic by hand from the tables that the handbooks print.

FAA AC 43.13-1B CHG 1, table 11-9 (105 °C at 70 °C: 4 A for gauge 20, 6 A for 18, 7 A for 16); compressor instruction book 2920 7109 60, p. 190
(70 °C at 30 °C: 27 A for 4 mm², 34 A for 6 mm²); IEC 60228 class 5, tinned: 26.7 Ω/km for 0.75 mm², 20.0 for 1 mm².
"""

from math import log, sqrt

import pytest
from conftest import TESTS, edited

from docgen.analysis import calculations
from docgen.analysis.conductors import fed_by_source
from docgen.analysis.copper import largest, stretch
from docgen.calc.wire import bundle_resistance, class_5_resistance, stranded_resistance
from docgen.calculation import Calculation, of
from docgen.check import check
from docgen.editions import edition
from docgen.finding import Verdict
from docgen.load import Description, load_file
from docgen.look import Look
from docgen.quantity import read_quantity
from docgen.rules.protection import fuse_above_conductor

EXAMPLE = load_file(TESTS.parent / "example_car" / "car.yaml")


def look(described: Description | str) -> Look:
    return Look(edited(described) if isinstance(described, str) else described, edition("fsuk-2026"))


def figure(described: Description | str, slug: str, name: str) -> Calculation:
    found = [known for known in of(calculations(look(described)), slug) if name in known.about]
    assert len(found) == 1, [known.title for known in found]
    return found[0]


def wire(fields: str) -> str:
    return f"wiring: {{conductors: {{w: {{{fields}}}}}}}"


# ── What a conductor bears ─────────────────────────────────────────────────────────────────────────────────────────────


def test_a_small_wire_bears_what_the_bundle_table_allows_in_cooler_air() -> None:
    """1.5 mm² is above gauge 16 and below 14: 7 A at 105 °C in 70 °C; here 125 °C in 60 °C, the copper 1.41265/1.33405 as resistive."""
    found = figure(EXAMPLE, "permissible-current", "pilot_line_left")
    assert found.result is not None and found.bound is not None
    assert found.result.low == pytest.approx(7 * sqrt(65 / 35 * 1.33405 / 1.41265))
    assert found.bound.value == 3.4


def test_a_thick_wire_bears_what_the_conduit_table_allows() -> None:
    """6 mm²: 34 A at 70 °C in 30 °C; here 125 °C in 60 °C."""
    found = figure(EXAMPLE, "permissible-current", "battery_lead")
    assert found.result is not None
    assert found.result.low == pytest.approx(34 * sqrt(65 / 40 * 1.1965 / 1.41265))


@pytest.mark.parametrize(
    ("size", "insulation", "amperes"),
    [
        ("0.75 mm²", "105 °C", 4 * sqrt(45 / 35)),
        ("AWG 18", "150 °C", 9 * sqrt(90 / 80)),
        ("1.0 mm²", "200 °C", 12 * sqrt(140 / 130)),
        ("0.5 mm²", "90 °C", 3 * sqrt(30 / 35 * 1.33405 / 1.2751)),
        ("2.5 mm²", "130 °C", 10 * sqrt(70 / 35 * 1.33405 / 1.4323)),
        ("4 mm²", "70 °C", 27 * sqrt(10 / 40)),
        ("16 mm²", "150 °C", 62 * sqrt(90 / 40 * 1.1965 / 1.5109)),
    ],
)
def test_what_other_sizes_and_insulations_bear(size: str, insulation: str, amperes: float) -> None:
    found = figure(wire(f"size: {size}, insulation: {insulation}, current: 1 A"), "permissible-current", "w")
    assert found.result is not None and found.result.low == pytest.approx(amperes, rel=1e-6)


@pytest.mark.parametrize("size", ["0.14 mm²", "25 mm²", "35 mm²", "24 mm² ± 10 %", "AWG 2"])
def test_a_size_without_a_table_is_held_against_its_stated_rating_alone(size: str) -> None:
    text = wire(f"size: {size}, length: 1 m, insulation: 150 °C, current: 1.8 A, rating: 2 A, system: low voltage")
    assert of(calculations(look(text)), "permissible-current") == ()
    load = figure(text, "conductor-load", "w")
    assert load.result is not None and load.result.nominal == pytest.approx(0.9)


def test_the_air_around_a_conductor_is_its_own_where_it_is_said() -> None:
    """1 mm² at 105 °C: 6 A in 70 °C, so 6·√(60/35) A in 45 °C."""
    found = figure(wire("size: 1.0 mm², insulation: 105 °C, current: 1 A, ambient: 45 °C"), "permissible-current", "w")
    assert found.result is not None and found.result.low == pytest.approx(6 * sqrt(60 / 35))
    unknown = figure(wire("size: 1.0 mm², insulation: 105 °C, current: 1 A, ambient: unknown"), "permissible-current", "w")
    assert [missing.origin for missing in unknown.missing] == [("wiring", "conductors", "w", "ambient")]


def test_the_gauge_of_a_size_in_square_millimetres() -> None:
    """ASTM B258: 0.823 mm² is gauge 18, 1.31 mm² gauge 16; a size written as a gauge needs no other."""
    for size, gauge in (("0.823 mm²", 18), ("1.31 mm²", 16)):
        found = figure(wire(f"size: {size}, insulation: 105 °C, current: 1 A"), "conductor-gauge", "w")
        assert found.result is not None and found.result.nominal == pytest.approx(gauge, abs=0.01)
    assert of(calculations(look(wire("size: AWG 18, insulation: 105 °C, current: 1 A"))), "conductor-gauge") == ()


GUARDED = "size: 1.0 mm², insulation: 105 °C, current: 3 A, protected_by: F1"


@pytest.mark.parametrize(("rating", "verdict"), [("6.5 A", Verdict.HOLDS), ("7 A", Verdict.FINDING)])
def test_a_conductor_bears_the_rating_of_its_fuse(rating: str, verdict: Verdict) -> None:
    """1 mm² at 105 °C in 60 °C: 6·√(45/35) = 6.803 A."""
    found = figure(wire(GUARDED) + f"\nlow_voltage: {{fuses: {{F1: {{rating: {rating}}}}}}}", "conductor-protection", "w")
    assert found.result is not None and found.result.low == pytest.approx(6 * sqrt(45 / 35))
    assert found.verdict is verdict


@pytest.mark.parametrize(("carries", "verdict"), [("null", Verdict.HOLDS), ("60 %", Verdict.HOLDS), ("59 %", Verdict.FINDING), ("unknown", Verdict.NOT_EVALUATED)])
def test_a_fuse_carries_for_good_what_its_data_sheet_says(carries: str, verdict: Verdict) -> None:
    """3 A of 5 A are 60 %."""
    found = figure(wire(GUARDED) + f"\nlow_voltage: {{fuses: {{F1: {{carries: {carries}}}}}}}", "fuse-load", "w")
    assert found.result is not None and found.result.nominal == pytest.approx(0.6)
    assert found.verdict is verdict


@pytest.mark.parametrize(
    ("insulation", "joules"), [("70 °C", 115**2), ("90 °C", 226**2 * log(394.5 / 324.5)), ("150 °C", 226**2 * log(484.5 / 384.5)), ("200 °C", 226**2 * log(584.5 / 434.5))]
)
def test_a_conductor_bears_what_its_fuse_lets_through(insulation: str, joules: float) -> None:
    """IEC 60364-4-43: 115 A·√s/mm² for PVC of 70 °C; thermoplastic ends at 160 °C, cross-linked at 250 °C, silicone at 350 °C."""
    text = wire(f"size: 1.0 mm², insulation: {insulation}, current: 1 A, protected_by: F1") + "\nlow_voltage: {fuses: {F1: {let_through: 5 kA²s}}}"
    found = figure(text, "let-through", "w")
    assert found.result is not None and found.result.low == pytest.approx(joules, rel=2e-3)
    assert found.margin == pytest.approx(joules - 5000, rel=5e-3)


def test_a_main_fuse_guards_the_cable_that_names_its_accumulator() -> None:
    """100 A of 160 A are 62.5 %; 50 mm² at 90 °C bears (226·50)²·ln(394.5/324.5) = 24.94·10⁶ A²s."""
    text = wire("size: 50 mm², insulation: 90 °C, current: 100 A, protected_by: main") + "\ntractive_system: {accumulators: {main: {fuse: {let_through: 25000 kA²s}}}}"
    load, heated = figure(text, "fuse-load", "w"), figure(text, "let-through", "w")
    assert load.result is not None and load.result.nominal == pytest.approx(0.625)
    assert heated.result is not None and heated.result.low == pytest.approx(24.94e6, rel=1e-3)
    assert (load.verdict, heated.verdict) == (Verdict.HOLDS, Verdict.FINDING)


@pytest.mark.parametrize(("rating", "verdict"), [("150 A", Verdict.FINDING), ("170 A", Verdict.HOLDS)])
def test_the_stated_rating_of_a_cable_is_held_against_its_main_fuse(rating: str, verdict: Verdict) -> None:
    """The main fuse of the small car is rated 160 A."""
    text = wire(f"size: 50 mm², rating: {rating}, protected_by: main")
    assert [result.outcome.verdict for result in check(edited(text), edition("fsuk-2026"), (fuse_above_conductor,)).results] == [verdict]


def test_the_wires_of_a_loop_bear_what_its_fuse_lets_through() -> None:
    """1.5 mm² at 105 °C: (226·1.5)²·ln(394.5/339.5) = 17,254 A²s."""
    found = figure("low_voltage: {fuses: {F1: {let_through: 18 kA²s}}}", "let-through", "default")
    assert found.result is not None and found.result.low == pytest.approx(17_254, abs=2)
    assert found.verdict is Verdict.FINDING
    assert of(calculations(look("docgen: 1")), "let-through") == ()


def test_an_insulation_below_the_air_in_the_car_cannot_be() -> None:
    found = figure(wire("size: 1 mm², insulation: 50 °C, current: 1 A"), "permissible-current", "w")
    assert found.result is None and found.verdict is Verdict.FINDING
    assert "insulation is 50" in found.impossible


def test_what_is_missing_of_a_conductor_is_named() -> None:
    found = {known.slug: {missing.name for missing in known.missing} for known in calculations(look(wire("current: 1 A"))) if "w" in known.about}
    assert found["conductor-load"] == {"permissible current of w"}
    assert {"cross-section of w", "temperature rating of the insulation of w"} <= found["permissible-current"]
    assert "system that w belongs to" in found["conductor-drop"]


# ── Voltage drop ───────────────────────────────────────────────────────────────────────────────────────────────────────


def test_the_voltage_drop_of_a_low_voltage_wire_by_hand() -> None:
    """4.5 A over 2.4 m of 1 mm² at 105 °C: 4.5·2.4·20.0e-3·1.33405 V, against 5 % of 12.8 V."""
    found = figure(EXAMPLE, "conductor-drop", "controller_wire")
    assert found.result is not None and found.bound is not None
    assert found.result.high == pytest.approx(4.5 * 2.4 * 20.0e-3 * 1.33405)
    assert found.bound.value == pytest.approx(0.64)


def test_a_tractive_conductor_may_lose_a_twentieth_of_the_tractive_voltage() -> None:
    """432 V nominal."""
    found = figure(EXAMPLE, "conductor-drop", "dc_cable_plus")
    assert found.bound is not None and found.bound.value == pytest.approx(21.6)


# ── Wires of the loops ─────────────────────────────────────────────────────────────────────────────────────────────────


def test_each_wire_of_the_loop_is_held_against_the_last_fuse_before_it() -> None:
    found = {known.about[-1]: known for known in of(calculations(look(EXAMPLE)), "loop-wire-current") if known.about[1] == "drive"}
    bounds = {key: known.bound.value for key, known in found.items() if known.bound}
    assert bounds["F0 > lv_master"] == bounds["lv_master > F1"] == 25
    assert bounds["default"] == bounds["motor_link left > motor_link right"] == 5
    four = found["F0 > lv_master"].result
    assert four is not None and four.low == pytest.approx(27 * sqrt(65 / 40 * 1.1965 / 1.41265))


def test_a_default_wire_between_two_fuses_must_bear_the_larger() -> None:
    text = "low_voltage: {fuses: {F0: {rating: 20 A}}}\nloops: {drive: {path: [fuse F0, lv_master, fuse F1, imd, coil hold_relay]}}"
    found = figure(text, "loop-wire-current", "default")
    assert found.bound is not None and (found.bound.value, found.bound.words) == (20, "rated current of the fuse F0")
    assert found.verdict is Verdict.FINDING


def test_a_fuse_is_held_against_the_weakest_contact_of_the_line_behind_it() -> None:
    """F1 of the example stands before pilot contacts of 7.5 A, F0 before the master of 150 A; auxiliary contacts in one branch do not count."""
    found = {known.about[2]: known.bound for known in of(calculations(look(EXAMPLE)), "loop-fuse-rating")}
    assert {fuse: bound.value for fuse, bound in found.items() if bound} == {"F0": 150, "F1": 7.5, "F9": 7.5}
    branch = "devices: {precharge_unit: {contacts: {done: {rating: [24 V DC, 1 A]}}}}"
    assert figure(branch, "loop-fuse-rating", "F1").verdict is Verdict.HOLDS


@pytest.mark.parametrize(("rating", "verdict"), [("5 A", Verdict.NOT_EVALUATED), ("12 A", Verdict.FINDING)])
def test_a_contact_without_rating_leaves_open_only_what_the_others_bear(rating: str, verdict: Verdict) -> None:
    text = f"low_voltage: {{fuses: {{F1: {{rating: {rating}}}}}}}\ndevices: {{imd: {{contact: {{rating: null}}}}}}"
    assert figure(text, "loop-fuse-rating", "F1").verdict is verdict


# ── Short circuit ──────────────────────────────────────────────────────────────────────────────────────────────────────


def test_a_short_circuit_at_the_source_by_hand() -> None:
    """14.6 V behind 25 mΩ: 584 A."""
    found = figure(EXAMPLE, "short-circuit-current", "F1")
    assert found.result is not None and found.bound is not None
    assert found.result.high == pytest.approx(584)
    assert (found.bound.compare, found.bound.value) == ("below", 1000)


def test_a_fuse_on_the_charging_cart_is_not_fed_by_the_source() -> None:
    assert fed_by_source(look(EXAMPLE)) == ("F0", "F1", "F2", "F3", "F4", "F5", "F6", "F7", "F8")


def test_a_feed_that_begins_at_itself_is_followed_once() -> None:
    text = "low_voltage: {fuses: {F2: {rating: 1 A}}, feeds: {a: {from: b, through: F2}, b: {from: a}, c: {from: lv_master, through: F2}}}"
    assert fed_by_source(look(text)) == ("F1", "F2")


# ── Copper ─────────────────────────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("size", "formula"),
    [
        ("0.75 mm²", class_5_resistance), ("16 mm²", class_5_resistance), ("AWG 24", bundle_resistance), ("AWG 10", bundle_resistance),
        ("AWG 8", stranded_resistance), ("AWG 26", stranded_resistance), ("0.35 mm²", stranded_resistance), ("25 mm²", stranded_resistance),
        ("0.3255 mm²", stranded_resistance), ("24 mm² ± 5 %", stranded_resistance),
    ],
)  # fmt: skip
def test_each_size_has_the_table_of_its_kind(size: str, formula: object) -> None:
    assert largest(read_quantity(size, "area")) is formula


def test_a_stretch_lies_between_ideal_copper_in_the_cold_and_the_table_when_hot() -> None:
    """1 m of 0.75 mm², 105 °C: 1/(58·0.75) = 22.98851 mΩ at 20 °C, times 0.9214 in the cold; 26.7·1.33405 = 35.619135 mΩ."""
    found = stretch(read_quantity("0.75 mm²", "area"), read_quantity("1 m", "length"), read_quantity("105 °C", "temperature"))
    assert (found.low, found.nominal, found.high) == pytest.approx((0.02118161, 0.02298851, 0.035619135), rel=1e-6)
