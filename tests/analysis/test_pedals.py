"""The accelerator pedal in numbers, worked by hand from the small car.

apps_1 goes from 1 V to 4 V with a window of 0.80 V to 4.20 V, apps_2 from 0.60 V to 2.10 V with one of 0.45 V to 2.25 V, both on 5 V; the check
allows 10 %; the pedal-vs-brake check acts from 5 kW of 60 kW on and lets go below 5 % of travel.
"""

import pytest
from conftest import edited
from figures import ends, figure, figures

from docgen.analysis.pedals_plots import pedals_pictures
from docgen.editions import edition
from docgen.finding import Verdict
from docgen.look import Look

AS_IT_IS = "docgen: 1"


def value(patch: str, slug: str, identifier: str = "fsuk-2026") -> list[float]:
    return [ends(found)[1] for found in figures(patch, slug, identifier=identifier)]


def sensor(name: str, fields: str) -> str:
    return f"demand: {{pedal_sensors: {{{name}: {{{fields}}}}}}}"


def test_where_the_curves_come_closest() -> None:
    """0.4 V at a released pedal; 1.9 V when it is fully pressed."""
    found = figure(AS_IT_IS, "pedal-separation")
    assert ends(found)[1] == pytest.approx(0.4)
    assert [given.band.nominal for given in found.given] == pytest.approx([0, 1.0, 0.6])


def test_the_short_that_is_hardest_to_notice() -> None:
    """At 0.80 V apps_1 reads 0 % and apps_2 (0.80 − 0.60)/1.50 = 13.33 %, 3.33 % above the limit; further up they go apart."""
    found = figure(AS_IT_IS, "pedal-short")
    assert ends(found)[1] == pytest.approx(0.2 / 1.5)
    assert [given.band.nominal for given in found.given] == pytest.approx([0.8, 0, 0.2 / 1.5])
    assert found.margin == pytest.approx(0.2 / 1.5 - 0.1)


def test_the_tolerance_of_a_window_lets_a_lower_voltage_in() -> None:
    """0.70 V ± 0.05 V begins at 0.65 V, where apps_2 reads 3.33 % and apps_1 still 0 %."""
    found = figure(sensor("apps_1", "valid: [0.70 V ± 0.05 V, 4.20 V]"), "pedal-short")
    assert ends(found)[1] == pytest.approx(0.05 / 1.5)
    assert found.verdict is Verdict.FINDING


def test_an_edition_that_allows_agreement_at_a_released_pedal_sets_no_bound() -> None:
    assert figure(AS_IT_IS, "pedal-short", "fsae-2026").bound is None


def test_windows_that_do_not_meet_leave_nothing_to_short() -> None:
    apart = "demand: {pedal_sensors: {apps_1: {curve: [[0 %, 2.50 V], [100 %, 4.00 V]], valid: [2.30 V, 4.20 V]}}}"
    assert figures(apart, "pedal-short") == ()


def test_the_supply_of_a_ratiometric_sensor_moves_its_outputs() -> None:
    """± 4 %: 4 V may be 4.16 V, 0.04 V inside the window, or 3.84 V with 1 V at 1.04 V, 0.24 V inside. The absolute sensor keeps 0.2 V."""
    (found, *_) = figures(sensor("apps_1", "output: ratiometric, supply: 5 V ± 4 %"), "pedal-window")
    assert ends(found) == pytest.approx((0.04, 0.2, 0.24))
    (kept, *_) = figures(sensor("apps_1", "output: absolute, supply: 5 V ± 4 %"), "pedal-window")
    assert ends(kept) == pytest.approx((0.2, 0.2, 0.2))


def test_a_sensor_with_a_supply_of_its_own_needs_none_of_a_feed() -> None:
    """A line shorted to a supply of 4.9 V at least is 0.7 V above the window."""
    (found, *_) = figures(sensor("apps_1", "supply: 5 V ± 2 %, feed: null"), "pedal-supplied-line")
    assert ends(found)[1] == pytest.approx(0.7)


def test_the_error_that_stays_unnoticed() -> None:
    """10 % of 3 V and of 1.5 V; of a bent curve the steep piece counts: 10 % of (4 − 2)/0.5 V."""
    assert value(AS_IT_IS, "pedal-unnoticed-error") == pytest.approx([0.3, 0.15])
    bent = sensor("apps_1", "curve: [[0 %, 1.00 V], [50 %, 2.00 V], [100 %, 4.00 V]]")
    assert value(bent, "pedal-unnoticed-error")[0] == pytest.approx(0.4)


def test_the_room_between_outputs_and_windows() -> None:
    """1.00 − 0.80 = 0.20 V; 0.60 − 0.45 = 0.15 V. With 4.00 V ± 3 % and a window to 4.20 V ± 1 %, 4.158 − 4.12 = 0.038 V is left."""
    assert value(AS_IT_IS, "pedal-window") == pytest.approx([0.2, 0.15])
    loose = sensor("apps_1", "curve: [[0 %, 1.00 V], [100 %, 4.00 V ± 3 %]], valid: [0.80 V, 4.20 V ± 1 %]")
    assert ends(figures(loose, "pedal-window")[0])[0] == pytest.approx(0.038)


@pytest.mark.parametrize(("pull", "volts"), [("down", 0.8), ("up", 0.8), ("none", -1.7)])
def test_an_open_line_goes_where_it_is_pulled(pull: str, volts: float) -> None:
    """0.80 − 0; 5 − 4.20; without a resistor 2.5 V, 1.7 V inside the window."""
    found = figures(sensor("apps_1", f"pull: {pull}"), "pedal-open-line")[0]
    assert ends(found)[1] == pytest.approx(volts)
    assert found.verdict is (Verdict.HOLDS if volts > 0 else Verdict.FINDING)


def test_shorted_lines_read_a_rail() -> None:
    """0.80 V and 0.45 V above ground; 5 − 4.20 and 5 − 2.25 V below the supply."""
    assert value(AS_IT_IS, "pedal-grounded-line") == pytest.approx([0.8, 0.45])
    assert value(AS_IT_IS, "pedal-supplied-line") == pytest.approx([0.8, 2.75])


def test_a_resistor_that_is_not_described_leaves_the_open_line_open() -> None:
    assert {found.verdict for found in figures(AS_IT_IS, "pedal-open-line")} == {Verdict.NOT_EVALUATED}
    unfed = "low_voltage: {feeds: {apps_1_feed: {voltage: null, converted_by: null}}}"
    assert figures(unfed, "pedal-supplied-line")[0].verdict is Verdict.NOT_EVALUATED


def test_a_window_turned_round_cannot_be() -> None:
    turned = figures(sensor("apps_1", "valid: [4.20 V, 0.80 V]"), "pedal-grounded-line")[0]
    assert (turned.verdict, turned.impossible) == (Verdict.FINDING, "end of the window is 0.8, must be above 4.2")


def test_the_check_against_the_brakes_in_travel_and_volts() -> None:
    """5 kW / 60 kW = 8.33 %; at 5 % apps_1 gives 1.15 V and apps_2 0.675 V; at 25 % 1.75 V and 0.975 V."""
    assert value(AS_IT_IS, "pedal-vs-brake-travel") == pytest.approx([5 / 60])
    assert value(AS_IT_IS, "pedal-output") == pytest.approx([1.15, 0.675])
    pressed = "demand: {pedal_vs_brake_check: {trips: {travel_above: 25 %}}}"
    assert value(pressed, "pedal-output") == pytest.approx([1.75, 0.975, 1.15, 0.675])


def test_a_tolerance_of_the_travel_spreads_the_output() -> None:
    """4 % to 6 % of 3 V above 1 V."""
    patch = "demand: {pedal_vs_brake_check: {releases: {pedal_below: 5 % ± 1 %}}}"
    assert ends(figures(patch, "pedal-output")[0]) == pytest.approx((1.12, 1.15, 1.18))


def test_a_curve_in_degrees_and_one_that_ends_early_cover_the_whole_travel() -> None:
    """12 ° to 32 ° are the whole travel; 10 % to 90 % at 2.4 V over 80 % go on to 0.70 V and 3.70 V."""
    degrees = sensor("apps_1", "curve: [[12 °, 1.00 V], [32 °, 4.00 V]]")
    assert value(degrees, "pedal-separation") == pytest.approx([0.4])
    early = sensor("apps_1", "curve: [[10 %, 1.00 V], [90 %, 3.40 V]], valid: [0.65 V, 4.20 V]")
    assert value(early, "pedal-separation") == pytest.approx([0.1])


def test_the_picture_says_ends_windows_and_the_closest_place() -> None:
    (plot,) = pedals_pictures(Look(edited(AS_IT_IS), edition("fsuk-2026")))
    assert plot.slug == "pedal-1"
    assert plot.alternative == (
        "apps_1 goes from 1 V released to 4 V fully pressed and counts as failed outside 0.80 V to 4.20 V. "
        "apps_2 goes from 600 mV released to 2.1 V fully pressed and counts as failed outside 0.45 V to 2.25 V. "
        "They come closest at 0 % of the travel, 400 mV apart."
    )
