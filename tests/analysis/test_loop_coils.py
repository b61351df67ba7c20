"""Each coil by itself: decay and release worked by hand on the relay of the small car, 96 Ω ± 10 % from 11.2 V, 13.2 V and 14.6 V."""

import math

import pytest
from conftest import edited
from figures import ends, figures

from docgen.analysis.loop_coils import release_of
from docgen.calculation import Calculation, Given, Missing
from docgen.editions import edition
from docgen.finding import Verdict
from docgen.look import Look

ZENER = "devices: {hold_relay: {coil: {release: 12 ms, suppression: diode and 24 V zener, clamp: 24.7 V, inductance: 0.4 H}}}"
BARE = ZENER.replace("release: 12 ms", "release: 12 ms, release_stated: without suppression")
COLD, HOT = 96 * 0.9 * 0.9214, 96 * 1.1 * 1.1965
"""Ω of the coil at 0 °C and at 70 °C, of 96 Ω ± 10 % at 20 °C; copper has 0.00393 to the kelvin."""
HELD = (1.2 / (96 * 0.9), 1.2 / 96, 1.2 / (96 * 1.1))
"""A at which it lets go: its drop-out voltage over its resistance, both at 20 °C."""


def decay(ohms: float, volts: float, held: float, clamp: float) -> float:
    """From the differential equation, with the current as a voltage at the winding."""
    return 0.4 / ohms * math.log((volts + clamp) / (held * ohms + clamp))


def figure(patch: str, slug: str, name: str = "hold_relay") -> Calculation:
    (found,) = (one for one in figures(patch, slug) if name in one.about)
    return found


def release(patch: str, name: str = "hold_relay") -> Given | Missing:
    return release_of(Look(edited(patch), edition("fsuk-2026")), name)


def test_a_coil_is_hot_and_cold_and_draws_by_ohms_law() -> None:
    assert ends(figure(ZENER, "coil-resistance")) == pytest.approx((COLD, 96, HOT), rel=1e-6)
    assert ends(figure(ZENER, "coil-current")) == pytest.approx((11.2 / HOT, 13.2 / 96, 14.6 / COLD), rel=1e-6)
    assert ends(figure(ZENER, "coil-drop-out-current")) == pytest.approx((HELD[2], HELD[1], HELD[0]), rel=1e-6)


def test_the_cold_coil_at_the_highest_source_keeps_its_current_longest() -> None:
    found = figure(ZENER, "coil-decay")
    expected = (decay(HOT, 11.2, HELD[0], 24.7), decay(96, 13.2, HELD[1], 24.7), decay(COLD, 14.6, HELD[2], 24.7))
    assert ends(found) == pytest.approx(expected, rel=1e-6)
    assert found.bound is not None and found.bound.value == 0.012
    assert found.verdict is Verdict.HOLDS


def test_a_release_that_is_over_before_the_decay_is_found_out() -> None:
    assert figure(ZENER.replace("24.7 V", "0.7 V").replace("12 ms", "5 ms"), "coil-decay").verdict is Verdict.FINDING


def test_a_resistor_alone_has_no_voltage_and_a_diode_no_resistance() -> None:
    alone = figure(ZENER.replace("clamp: 24.7 V", "damping: 330 Ω"), "coil-decay")
    assert ends(alone)[1] == pytest.approx(0.4 / (96 + 330) * math.log(13.2 / 1.2), rel=1e-6)
    both = figure(ZENER.replace("clamp: 24.7 V", "clamp: 0.7 V, damping: 150 Ω"), "coil-decay")
    assert ends(both)[1] == pytest.approx(0.4 / 246 * math.log((13.2 / 96 * 246 + 0.7) / (0.0125 * 246 + 0.7)), rel=1e-6)


def test_a_release_stated_with_its_suppression_is_taken_as_it_is() -> None:
    found = release(ZENER)
    assert isinstance(found, Given)
    assert (found.band.high, found.origin) == (0.012, ("devices", "hold_relay", "coil", "release"))
    assert figures(ZENER, "coil-decay-shorted", "coil-release") == ()


def test_a_release_without_suppression_comes_after_the_longest_decay() -> None:
    """Three more coils hang on the line, so that at worst the current finds a way without any voltage against it."""
    found = release(BARE)
    assert isinstance(found, Given)
    longest = 0.4 / COLD * math.log(14.6 / (HELD[2] * COLD))
    expected = (0.012 + decay(HOT, 11.2, HELD[0], 24.7), 0.012 + decay(96, 13.2, HELD[1], 24.7), 0.012 + longest)
    assert (found.band.low, found.band.nominal, found.band.high) == pytest.approx(expected, rel=1e-6)
    assert ends(figure(BARE, "coil-decay-shorted"))[2] == pytest.approx(longest, rel=1e-6)
    assert "air_minus, air_plus, discharge_relay and precharge_relay" in figure(BARE, "coil-decay-shorted").prose
    assert figure(BARE, "coil-decay").bound is None


def test_a_coil_that_hangs_alone_knows_only_its_own_suppression() -> None:
    patch = BARE + "\nloops: {drive: {path: [fuse F1, lv_master, coil hold_relay]}}"
    found = release(patch)
    assert isinstance(found, Given)
    assert found.band.high == pytest.approx(0.012 + decay(COLD, 14.6, HELD[2], 24.7), rel=1e-6)
    assert figures(patch, "coil-decay-shorted") == ()


def test_without_a_release_time_the_contact_moves_as_that_of_a_published_relay() -> None:
    """10 ms without a diode, Panasonic 1 form A automotive relay, data sheet."""
    found = release(ZENER.replace("release: 12 ms", "release: null"))
    assert isinstance(found, Given)
    assert found.band.nominal == pytest.approx(0.010 + decay(96, 13.2, HELD[1], 24.7), rel=1e-6)


@pytest.mark.parametrize(
    ("patch", "wanting"),
    [
        (BARE.replace(", inductance: 0.4 H", ""), "release time of hold_relay with its suppression, or the inductance of its coil"),
        (BARE.replace("clamp: 24.7 V, ", ""), "voltage of the suppression of hold_relay"),
        (BARE.replace("0.4 H", "unknown (asked)"), "inductance of the coil of hold_relay (unknown (asked))"),
        (ZENER.replace("12 ms", "unknown"), "release time of hold_relay (unknown)"),
        ("devices: {hold_relay: {coil: {release: null}}}", "release time of hold_relay"),
        ("devices: {hold_relay: {coil: unknown (on order)}}", "release time of hold_relay (unknown (on order))"),
    ],
)
def test_what_a_release_lacks_is_named(patch: str, wanting: str) -> None:
    found = release(patch)
    assert isinstance(found, Missing) and found.name == wanting


def test_a_release_of_which_nobody_knows_how_it_holds_is_taken_as_the_longer_one() -> None:
    unknown, bare = release(BARE.replace("without suppression", "unknown")), release(BARE)
    assert isinstance(unknown, Given) and isinstance(bare, Given) and unknown.band == bare.band


def test_electronics_inside_a_coil_decide_over_its_decay() -> None:
    """The release time of an economised coil is the maker's; what holds without its suppression says nothing."""
    patch = "devices: {air_plus: {coil: {inductance: 0.4 H, release: 15 ms}}}"
    assert figures(patch, "coil-decay") == ()
    assert isinstance(release(patch, "air_plus"), Given)
    assert isinstance(release(patch.replace("15 ms", "15 ms, release_stated: without suppression"), "air_plus"), Missing)


def test_a_coil_in_two_loops_decays_from_the_higher_source() -> None:
    patch = ZENER + """
low_voltage: {feeds: {cart_feed: {from: cart, voltage: 15 V}}}
loops: {charging: {source: cart_feed, path: [imd, coil hold_relay], return: [chassis], wires: {default: {size: 1.5 mm², length: 1 m, insulation: 105 °C}}}}
"""
    assert ends(figure(patch, "coil-current"))[2] == pytest.approx(15 / COLD, rel=1e-6)


def test_a_coil_in_no_loop_decays_from_the_low_voltage_source() -> None:
    patch = "devices: {bspd: {coil: {resistance: 96 Ω, drop_out: 1.2 V, hottest: 20 °C, clamp: 24.7 V, inductance: 0.4 H, economiser: none}}}"
    found = release(patch, "bspd")
    assert isinstance(found, Given)
    assert found.band.nominal == pytest.approx(0.010 + decay(96, 13.2, HELD[1], 24.7), rel=1e-6)
