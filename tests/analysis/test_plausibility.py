"""The brake plausibility device in numbers, worked by hand from the small car.

Its current sensor gives 2.50 V at 0 A and 4.50 V at 200 A, so 10 mV/A, and reads up to 0.8 A wrong; the threshold is 2.59 V ± 0.2 %, which is
2.58482 V to 2.59518 V. Its pressure sensor gives 40 mV/bar from 0.50 V on. The highest voltage is 403.2 V, the nominal one 345.6 V.
"""

import pytest
from conftest import SMALL_CAR, edited
from figures import ends, figure, figures

from docgen.analysis.plausibility_plots import plausibility_pictures
from docgen.check import check
from docgen.editions import edition
from docgen.finding import Verdict
from docgen.look import Look
from docgen.rules.latches import plausibility_self_reset_too_early
from docgen.rules.numbers_plausibility import plausibility_sensor_not_in_dc, plausibility_too_slow, plausibility_trip_current_too_high
from docgen.sheet import Polyline

AS_IT_IS = "docgen: 1"
FED_WITH_5_V = "low_voltage: {feeds: {bspd_feed: {voltage: 5 V ± 2 %, converted_by: bspd_board}}}"


def sensor(fields: str, threshold: str = "2.59 V ± 0.2 %") -> str:
    """A patch of the current sensor and of its threshold."""
    return f"devices: {{bspd: {{sensors: {{dc_current: {{{fields}}}}}, thresholds: {{dc_current: {threshold}}}}}}}"


def test_the_limit_current_counts_at_the_voltage_that_the_edition_names() -> None:
    """5000 W / 403.2 V = 12.4008 A; at nominal voltage 5000 W / 345.6 V = 14.4676 A."""
    assert ends(figure(AS_IT_IS, "plausibility-limit-current")) == pytest.approx((12.4008, 12.4008, 12.4008), abs=5e-5)
    assert ends(figure(AS_IT_IS, "plausibility-limit-current", "fsae-2026")) == pytest.approx((14.4676, 14.4676, 14.4676), abs=5e-5)


def test_an_edition_whose_basis_was_not_read_leaves_the_limit_open() -> None:
    found = figure(AS_IT_IS, "plausibility-limit-current", "fs-2025")
    assert found.verdict is Verdict.NOT_EVALUATED
    assert found.missing[0].name == "whether the highest or the nominal voltage counts (not read in Formula Student Rules 2025)"
    assert figure(AS_IT_IS, "plausibility-trip-current", "fs-2025").bound is None


def test_the_trip_current_lies_between_the_corners_of_threshold_and_sensor() -> None:
    """(2.59 − 2.50)/0.01 = 9 A; lowest 8.482 − 0.8 = 7.682 A, highest 9.518 + 0.8 = 10.318 A; 12.4008 A is the limit."""
    found = figure(AS_IT_IS, "plausibility-trip-current")
    assert ends(found) == pytest.approx((7.682, 9.0, 10.318), abs=1e-9)
    assert found.margin == pytest.approx(12.400794 - 10.318, abs=1e-6)
    assert ends(figure(AS_IT_IS, "plausibility-sensor-output")) == pytest.approx((2.616008, 2.624008, 2.632008), abs=1e-6)


def test_a_relative_error_scales_the_reading_and_one_in_volts_moves_the_threshold() -> None:
    """± 2 %: 8.482/1.02 = 8.315686 A to 9.518/0.98 = 9.712245 A. ± 20 mV: 2 A more on either side."""
    assert ends(figure(sensor("error: ± 2 %"), "plausibility-trip-current")) == pytest.approx((8.315686, 9.0, 9.712245), abs=1e-6)
    assert ends(figure(sensor("error: ± 20 mV"), "plausibility-trip-current")) == pytest.approx((6.482, 9.0, 11.518), abs=1e-9)
    assert ends(figure(sensor("error: ± 20 mV"), "plausibility-sensor-output")) == pytest.approx((2.604008, 2.624008, 2.644008), abs=1e-6)


def test_gain_and_offset_work_together() -> None:
    """± 2 % and ± 20 mV: (8.482 − 2)/1.02 = 6.354902 A to (9.518 + 2)/0.98 = 11.753061 A. ± 2 % and ± 0.5 A: 7.982/1.02 A to 10.018/0.98 A."""
    assert ends(figure(sensor("error: ± 2 %, offset: ± 20 mV"), "plausibility-trip-current")) == pytest.approx((6.354902, 9.0, 11.753061), abs=1e-6)
    assert ends(figure(sensor("error: ± 2 %, offset: ± 0.5 A"), "plausibility-trip-current")) == pytest.approx((7.825490, 9.0, 10.222449), abs=1e-6)
    assert ends(figure(sensor("error: ± 0.8 A, offset: ± 0.2 A"), "plausibility-trip-current")) == pytest.approx((7.482, 9.0, 10.518), abs=1e-9)


def test_a_threshold_in_amperes_counts_both_errors() -> None:
    """9 A ± 0.5 A, ± 0.8 A, then 2 % of what is left: 7.7 A less 0.154 A, 10.3 A and 0.206 A."""
    found = figure(sensor("error: ± 0.8 A, offset: ± 2 %", "9 A ± 0.5 A"), "plausibility-trip-current")
    assert ends(found) == pytest.approx((7.546, 9.0, 10.506), abs=1e-9)


def test_a_ratiometric_sensor_against_a_fixed_threshold_follows_its_supply() -> None:
    """Supply 4.9 V to 5.1 V: 2.58482·5/5.1 = 2.5341373 V and 2.59518·5/4.9 = 2.6481429 V, so 2.613725 A to 15.614286 A."""
    patch = sensor("output: ratiometric") + "\n" + FED_WITH_5_V
    assert ends(figure(patch, "plausibility-threshold")) == pytest.approx((2.5341373, 2.59, 2.6481429), abs=1e-7)
    found = figure(patch, "plausibility-trip-current")
    assert ends(found) == pytest.approx((2.613725, 9.0, 15.614286), abs=1e-6)
    assert found.verdict is Verdict.FINDING


def test_a_supply_of_its_own_stands_before_that_of_the_feed() -> None:
    """4.95 V to 5.05 V: 2.58482·5/5.05 = 2.5592277 V and 2.59518·5/4.95 = 2.6213939 V, so 5.12277 A to 12.93939 A."""
    patch = sensor("output: ratiometric, supply: 5 V ± 1 %") + "\n" + FED_WITH_5_V
    assert ends(figure(patch, "plausibility-trip-current")) == pytest.approx((5.122772, 9.0, 12.939394), abs=1e-6)
    unknown = figure(sensor("output: ratiometric, supply: unknown"), "plausibility-trip-current")
    assert [missing.origin for missing in unknown.missing] == [("devices", "bspd", "sensors", "dc_current", "supply")]


DIVIDER = "upper: 4.82 kΩ ± 1 %, lower: 5.18 kΩ ± 1 %"


def test_a_divider_at_the_supply_of_a_ratiometric_sensor_sets_a_share() -> None:
    """5.1282/9.9964 = 51.300468 % to 5.2318/10.0036 = 52.299172 %, of 5 V 2.5650234 V to 2.6149586 V: 6.50234 − 0.8 = 5.70234 A to 12.29586 A."""
    patch = sensor("output: ratiometric, supply: 5 V ± 5 %", f"{{{DIVIDER}}}")
    assert ends(figure(patch, "plausibility-divider")) == pytest.approx((0.51300468, 0.518, 0.52299172), abs=1e-8)
    found = figure(patch, "plausibility-trip-current")
    assert ends(found) == pytest.approx((5.702341, 9.0, 12.295862), abs=1e-6)
    assert found.margin == pytest.approx(12.400794 - 12.295862, abs=3e-6)


def test_a_divider_at_a_reference_of_its_own_sets_a_voltage() -> None:
    """4.99 V · 51.300468 % = 2.55989335 V to 5.01 V · 52.299172 % = 2.62018852 V: 5.18934 A to 12.81885 A."""
    found = figure(sensor("output: absolute", f"{{{DIVIDER}, reference: 5 V ± 0.2 %}}"), "plausibility-trip-current")
    assert ends(found) == pytest.approx((5.189336, 9.0, 12.818853), abs=1e-6)
    assert found.verdict is Verdict.FINDING


def test_a_divider_sets_the_brake_threshold_too() -> None:
    """2 kΩ under 4 kΩ of 4.5 V is 1.5 V, 25 bar."""
    patch = "devices: {bspd: {thresholds: {front_pressure: {upper: 4 kΩ, lower: 2 kΩ, reference: 4.5 V}}}}"
    assert [value / 1e5 for value in ends(figure(patch, "plausibility-brake-threshold"))] == pytest.approx([24, 25, 26])


def test_what_is_missing_of_a_divider_is_named() -> None:
    found = figure(sensor("output: absolute", "{upper: 4.82 kΩ, reference: 5 V}"), "plausibility-trip-current")
    assert [missing.origin for missing in found.missing] == [("devices", "bspd", "thresholds", "dc_current", "lower")]


def test_a_ratiometric_sensor_against_a_share_of_the_same_supply_does_not() -> None:
    """51.8 % of 5 V is 2.59 V on the curve, whatever the supply: only the error of the sensor is left."""
    patch = sensor("output: ratiometric", "51.8 %") + "\n" + FED_WITH_5_V
    assert ends(figure(patch, "plausibility-trip-current")) == pytest.approx((8.2, 9.0, 9.8), abs=1e-9)


def test_an_absolute_sensor_against_a_share_of_the_supply_does() -> None:
    """51.8 % of 4.9 V to 5.1 V is 2.5382 V to 2.6418 V: 3.82 − 0.8 = 3.02 A to 14.18 + 0.8 = 14.98 A."""
    patch = sensor("output: absolute", "51.8 %") + "\n" + FED_WITH_5_V
    assert ends(figure(patch, "plausibility-trip-current")) == pytest.approx((3.02, 9.0, 14.98), abs=1e-9)


def test_a_share_of_an_unknown_supply_is_not_evaluated() -> None:
    found = figure(sensor("output: ratiometric", "51.8 %"), "plausibility-trip-current")
    assert [missing.origin for missing in found.missing] == [("low_voltage", "feeds", "bspd_feed", "voltage")]


@pytest.mark.parametrize(
    ("curve", "threshold", "amperes"),
    [
        ("[[200 A, 4.50 V], [0 A, 2.50 V]]", "2.59 V", 9.0),
        ("[[0 A, 2.50 V], [200 A, 0.50 V]]", "2.41 V", 9.0),
        ("[[-200 A, 0.50 V], [200 A, 4.50 V]]", "2.59 V", 9.0),
        ("[[200 A, 0.50 V], [-200 A, 4.50 V]]", "2.41 V", 9.0),
        ("[[0 A, 2.50 V], [10 A, 2.55 V], [200 A, 4.45 V]]", "2.59 V", 14.0),
        ("[[0 A, 2.50 V], [10 A, 2.55 V], [200 A, 4.45 V]]", "2.53 V", 6.0),
    ],
)
def test_any_curve_is_read_where_the_threshold_lies(curve: str, threshold: str, amperes: float) -> None:
    """Rising, falling, for both directions, bent: 10 mV/A, and 5 mV/A below the bend."""
    found = figure(sensor(f"curve: {curve}", threshold), "plausibility-trip-current")
    assert ends(found) == pytest.approx((amperes - 0.8, amperes, amperes + 0.8), abs=1e-9)


def test_a_bend_within_the_tolerance_of_the_threshold_is_not_guessed_at() -> None:
    found = figure(sensor("curve: [[0 A, 2.50 V], [10 A, 2.55 V], [200 A, 4.45 V]]", "2.55 V ± 0.2 %"), "plausibility-trip-current")
    assert [missing.name for missing in found.missing] == ["curve of dc_current, points of current and output, without a bend within the tolerance"]


def test_a_threshold_that_the_sensor_never_reaches_cannot_be() -> None:
    found = figure(sensor("output: absolute", "4.60 V"), "plausibility-trip-current")
    assert (found.verdict, found.impossible) == (Verdict.FINDING, "threshold is 4.6, must be at most 4.5")


def test_a_threshold_in_amperes_needs_no_curve() -> None:
    """9 A ± 0.5 A, read up to 0.8 A wrong."""
    assert ends(figure(sensor("curve: null", "9 A ± 0.5 A"), "plausibility-trip-current")) == pytest.approx((7.7, 9.0, 10.3), abs=1e-9)


@pytest.mark.parametrize(
    ("fields", "threshold", "wanting"),
    [
        ("error: null", "2.59 V", "error of dc_current"),
        ("offset: unknown", "2.59 V", "error at zero of dc_current"),
        ("offset: ± 20 mV", "9 A", "error at zero of dc_current as a share or a current"),
        ("curve: null", "2.59 V", "curve of dc_current, points of current and output"),
        ("curve: [[0 A, 2.50 V], [0 A, 4.50 V]]", "2.59 V", "curve of dc_current, points of current and output"),
        ("output: null", "2.59 V", "whether the output of dc_current follows its supply"),
        ("output: absolute", "null", "threshold"),
        ("output: absolute", "unknown (being measured)", "threshold (unknown (being measured))"),
        ("error: ± 1 bar", "2.59 V", "error of dc_current"),
        ("output: absolute", "20 bar", "threshold for dc_current as a voltage, a share of the supply or a current"),
    ],
)
def test_what_is_missing_is_named(fields: str, threshold: str, wanting: str) -> None:
    found = figure(sensor(fields, threshold), "plausibility-trip-current")
    assert found.verdict is Verdict.NOT_EVALUATED
    assert wanting in [missing.name for missing in found.missing]


def test_the_brake_threshold_in_bar() -> None:
    """(1.50 − 0.50)/0.04 = 25 bar; (1.485 − 0.50)/0.04 − 1 = 23.625 bar; (1.515 − 0.50)/0.04 + 1 = 26.375 bar; 30 bar is the limit."""
    found = figure(AS_IT_IS, "plausibility-brake-threshold")
    assert [value / 1e5 for value in ends(found)] == pytest.approx([23.625, 25.0, 26.375], abs=1e-9)
    assert found.margin == pytest.approx(3.625e5)


def test_the_delay_of_resistor_capacitor_and_comparator() -> None:
    """−ln 0.38 = 0.967584026, −ln 0.37 = 0.994252273, −ln 0.36 = 1.021651248; RC 0.3316203 s, 0.3526 s and 0.3739323 s."""
    assert ends(figure(AS_IT_IS, "plausibility-delay")) == pytest.approx((0.3208705, 0.3505734, 0.3820284), abs=1e-7)
    assert figure(AS_IT_IS, "plausibility-time").margin == pytest.approx(0.5 - 0.3820284, abs=1e-7)


def test_a_comparator_at_a_voltage_of_its_own_feels_the_supply() -> None:
    """3.15 V ± 1 % on 5 V ± 2 %: −ln(1 − 3.1185/5.1) = 0.945386, −ln 0.37 = 0.994252, −ln(1 − 3.1815/4.9) = 1.047783, times R·C."""
    patch = "devices: {bspd: {delay: {trips_at: 3.15 V ± 1 %, supply: 5 V ± 2 %}}}"
    assert ends(figure(patch, "plausibility-delay")) == pytest.approx((0.3135093, 0.3505734, 0.3918001), abs=1e-7)
    assert figure(patch, "plausibility-time").margin == pytest.approx(0.5 - 0.3918001, abs=1e-7)
    unsupplied = figure("devices: {bspd: {delay: {trips_at: 3.15 V}}}", "plausibility-time")
    assert [missing.origin for missing in unsupplied.missing] == [("devices", "bspd", "delay", "supply")]


def test_a_comparator_that_its_supply_never_reaches_never_trips() -> None:
    found = figure("devices: {bspd: {delay: {trips_at: 5.2 V, supply: 5 V}}}", "plausibility-time")
    assert (found.verdict, found.impossible) == (Verdict.FINDING, "threshold is 5.2, must be below 5")


def test_the_release_of_its_relay_counts_in() -> None:
    found = figure("devices: {bspd: {coil: {release: 12 ms ± 1 ms}}}", "plausibility-time")
    assert ends(found) == pytest.approx((0.3318705, 0.3625734, 0.3950284), abs=1e-7)


def test_a_stated_delay_stands_for_itself() -> None:
    patch = "devices: {bspd: {delay: {resistor: null, capacitor: null, trips_at: null, time: 400 ms ± 10 %}}}"
    assert figures(patch, "plausibility-delay") == ()
    assert ends(figure(patch, "plausibility-time")) == pytest.approx((0.36, 0.4, 0.44))


def test_the_self_reset_is_held_against_its_least_time() -> None:
    """12 s less 5 % is 11.4 s, 1.4 s above the limit."""
    assert figure(AS_IT_IS, "plausibility-self-reset").margin == pytest.approx(1.4)


def test_a_self_reset_made_of_resistor_and_capacitor_is_computed() -> None:
    """12 s ± 1 % ± 5 %, times −ln 0.333 = 1.0996128: 12.41023 s to 13.99367 s; a monostable of 9 s is too short."""
    made = "devices: {bspd: {reset: {self_after: null, timing: {resistor: %s ± 1 %%, capacitor: 10 µF ± 5 %%, trips_at: 66.7 %%}}}}"
    found = figure(made % "1.2 MΩ", "plausibility-self-reset")
    assert ends(found) == pytest.approx((12.4102299, 13.1953535, 13.9936724), abs=1e-6)
    assert found.margin == pytest.approx(2.4102299, abs=1e-6)
    for resistor, verdict in (("1.2 MΩ", Verdict.HOLDS), ("820 kΩ", Verdict.FINDING)):
        report = check(edited(made % resistor), edition("fsuk-2026"), (plausibility_self_reset_too_early,))
        assert [result.outcome.verdict for result in report.results] == [verdict]


def test_a_self_reset_whose_timer_is_only_stated() -> None:
    patch = "devices: {bspd: {reset: {self_after: null, timing: {time: 11 s ± 5 %}}}}"
    assert figure(patch, "plausibility-self-reset").margin == pytest.approx(0.45)


def test_the_finding_says_the_nominal_and_the_worst_value_and_the_limit() -> None:
    """2.62 V ± 0.2 %: 12 A, and 12.524 + 0.8 = 13.324 A at worst."""
    report = check(edited(sensor("output: absolute", "2.62 V ± 0.2 %")), edition("fsuk-2026"), (plausibility_trip_current_too_high,))
    (found,) = report.findings
    assert found.outcome.path == ("devices", "bspd", "thresholds", "dc_current")
    assert found.outcome.was == "trip current of bspd, dc_current is 12 A, at worst 13.32 A"
    assert found.outcome.must == "must be at most 12.4 A, the lowest current that carries 5 kW"


def test_what_holds_says_its_margin() -> None:
    (found,) = check(edited(AS_IT_IS), edition("fsuk-2026"), (plausibility_too_slow,)).results
    assert found.outcome.was == "time until bspd has opened the loop is 350.6 ms, at worst 382 ms, at most 500 ms; margin 118 ms"


@pytest.mark.parametrize(
    ("measures", "verdict"),
    [
        ("current in the positive DC feed of the inverter", Verdict.STATED),
        ("battery current, hall sensor round the negative cable", Verdict.STATED),
        ("DC current, not of a motor phase", Verdict.STATED),
        ("sum of the phase currents", Verdict.FINDING),
        ("AC current behind the inverter", Verdict.FINDING),
        ("torque demand of the controller", Verdict.FINDING),
        ("current of the tractive system", Verdict.AT_CAR),
        ("null", Verdict.FINDING),
        ("unknown", Verdict.NOT_EVALUATED),
    ],
)
def test_where_the_current_sensor_sits_is_read_from_words(measures: str, verdict: Verdict) -> None:
    patch = f"devices: {{bspd: {{sensors: {{dc_current: {{measures: '{measures}'}}}}}}}}".replace("'null'", "null")
    report = check(edited(patch), edition("fsuk-2026"), (plausibility_sensor_not_in_dc,))
    assert [result.outcome.verdict for result in report.results] == [verdict]


def test_a_device_that_tells_power_without_a_current_sensor_is_found() -> None:
    patch = "devices: {bspd: {sensors: {dc_current: null}, thresholds: {dc_current: null}}}"
    report = check(edited(patch), edition("fsuk-2026"), (plausibility_sensor_not_in_dc,))
    assert [result.outcome.was for result in report.findings] == ["no current sensor of bspd is described"]


def test_the_picture_shows_the_sensor_with_its_error_the_threshold_and_the_limit() -> None:
    (plot,) = plausibility_pictures(Look(edited(AS_IT_IS, SMALL_CAR), edition("fsuk-2026")))
    assert plot.slug == "plausibility-1"
    assert plot.alternative == (
        "The output of dc_current meets the threshold of 2.59 V at 9 A, with all errors between 7.682 A and 10.32 A; it must act at 12.4 A."
    )
    assert len([mark for mark in plot.sheet.marks() if isinstance(mark, Polyline)]) == 4


def test_a_curve_that_begins_above_the_limit_is_drawn_from_its_beginning() -> None:
    """3.10 V to 4.50 V over 60 A to 200 A: the threshold of 3.20 V lies at 70 A, far above the limit, which is off the picture."""
    patch = sensor("curve: [[60 A, 3.10 V], [200 A, 4.50 V]]", "3.20 V")
    (plot,) = plausibility_pictures(Look(edited(patch), edition("fsuk-2026")))
    assert "meets the threshold of 3.2 V at 70 A" in plot.alternative
    assert len([mark for mark in plot.sheet.marks() if isinstance(mark, Polyline)]) == 3


def test_without_an_error_there_is_no_picture() -> None:
    assert list(plausibility_pictures(Look(edited(sensor("error: null")), edition("fsuk-2026")))) == []
