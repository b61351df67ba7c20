"""Cells and accumulators in numbers, worked by hand from the small car.

4 segments of 24 × 5 cells of 4.2 V, 3 Ah, 35 A; 96 voltages and 160 temperatures measured; main fuse 160 A; contactors that interrupt 1500 A at 450 V.
"""

import pytest
from conftest import edited
from figures import ends, figure, figures

from docgen.check import check
from docgen.editions import edition
from docgen.finding import Rule, Severity, Verdict
from docgen.rules.numbers_cells import cell_measurement_lost, cells_above_stated_voltage, main_fuse_above_contactors
from docgen.rules.numbers_conductors import fuse_cannot_break_short_circuit

AS_IT_IS = "docgen: 1"
SECOND = """
tractive_system:
  accumulators:
    main: {battery_management: ams}
    second:
      battery_management: ams
      segments: {count: 2, in_series: 24, in_parallel: 5, cell: {temperature_limit: 55 °C, datasheet: ds_cell}}
"""


def verdicts(rule: Rule, patch: str, identifier: str = "fsuk-2026") -> list[Verdict]:
    return [result.outcome.verdict for result in check(edited(patch), edition(identifier), (rule,)).results]


def test_voltages_count_by_group_and_temperatures_by_cell() -> None:
    """96 of 4 · 24 = 96 voltages; 160 of 4 · 24 · 5 = 480 temperatures are a third, 3.3 % above the limit of 30 %."""
    assert ends(figure(AS_IT_IS, "cells-voltage-share")) == (1, 1, 1)
    found = figure(AS_IT_IS, "cells-temperature-share")
    assert ends(found)[1] == pytest.approx(1 / 3)
    assert found.margin == pytest.approx(1 / 3 - 0.3)


RESISTANCE = "tractive_system: {accumulators: {main: {fuse: {breaking_capacity: %s}, segments: {cell: {resistance: 15 mΩ ± 10 %%}}}}}"


def test_the_main_fuse_breaks_what_the_cells_give() -> None:
    """4 · 24 cells of 15 mΩ, 5 in parallel: 0.288 Ω ± 10 %; 403.2 V over it 1400 A, at most 1555.6 A."""
    assert ends(figure(RESISTANCE % "20 kA", "accumulator-resistance")) == pytest.approx((0.2592, 0.288, 0.3168))
    assert ends(figure(RESISTANCE % "20 kA", "accumulator-short-circuit")) == pytest.approx((1272.727, 1400, 1555.556), abs=1e-3)
    for capacity, verdict in (("1.5 kA", Verdict.FINDING), ("1.6 kA", Verdict.HOLDS)):
        assert figure(RESISTANCE % capacity, "accumulator-short-circuit").verdict is verdict
        assert verdict in verdicts(fuse_cannot_break_short_circuit, RESISTANCE % capacity)


def test_without_the_resistance_of_a_cell_there_is_no_short_circuit_current() -> None:
    assert figures(AS_IT_IS, "accumulator-short-circuit") == ()


def test_of_two_accumulators_each_has_the_voltage_of_its_own_cells() -> None:
    """The second one: 2 · 24 cells of 4.2 V, 5 in parallel of 15 mΩ: 201.6 V over 0.144 Ω, 1400 A."""
    second = "{in_parallel: 5, in_series: 24, count: 2, cell: {voltage_highest: 4.2 V, resistance: 15 mΩ}}"
    patch = f"tractive_system: {{accumulators: {{second: {{segments: {second}}}}}}}"
    assert ends(figure(patch, "accumulator-short-circuit"))[1] == pytest.approx(1400)


def test_a_nominal_voltage_above_the_highest_is_found() -> None:
    assert figure("tractive_system: {voltage: {nominal: 410 V}}", "tractive-nominal-voltage").verdict is Verdict.FINDING
    assert figure(AS_IT_IS, "tractive-nominal-voltage").margin == pytest.approx(57.6)


def test_exactly_the_share_that_is_asked_for_holds() -> None:
    """144 of 480 are 30 %."""
    found = figure("devices: {ams: {watches: {temperatures: 144}}}", "cells-temperature-share")
    assert (found.margin, found.verdict) == (0, Verdict.HOLDS)


def test_more_voltages_than_cells_cannot_be() -> None:
    found = figure("devices: {ams: {watches: {cells: 108}}}", "cells-voltage-share")
    assert (found.verdict, found.impossible) == (Verdict.FINDING, "watched is 108, must be at most 96")


def test_a_management_of_two_containers_counts_the_cells_of_both() -> None:
    """96 of 96 + 48 voltages, 160 of 480 + 240 temperatures; the second container's cells allow 55 °C."""
    assert ends(figure(SECOND, "cells-voltage-share"))[1] == pytest.approx(96 / 144)
    assert ends(figure(SECOND, "cells-temperature-share"))[1] == pytest.approx(160 / 720)
    limits = figures(SECOND, "cell-temperature-limit")
    assert [found.bound.value for found in limits if found.bound] == [60, 60, 55]
    assert [found.verdict for found in limits] == [Verdict.HOLDS, Verdict.HOLDS, Verdict.FINDING]


def test_a_management_that_no_container_names_watches_the_only_ones_there_are() -> None:
    unnamed = "tractive_system: {accumulators: {main: {battery_management: null}}}"
    assert ends(figure(unnamed, "cells-voltage-share"))[1] == 1
    another = unnamed + "\ndevices: {second_ams: {function: AMS}}"
    assert {found.verdict for found in figures(another, "cells-voltage-share")} == {Verdict.NOT_EVALUATED}


def test_delays_are_held_against_the_limit_of_their_quantity() -> None:
    """400 ms of 500 ms, 400 ms of 500 ms, 900 ms of 1 s."""
    assert [found.margin for found in figures(AS_IT_IS, "cell-delay")] == pytest.approx([0.1, 0.1, 0.1])
    assert [found.bound for found in figures(AS_IT_IS, "cell-delay", identifier="fs-2025")][1:] == [None, None]


def test_segments() -> None:
    """24 · 4.2 V = 100.8 V; 24 · 5 · 4.2 V · 3 · 3600 As = 5,443,200 J; 12 kg − 8.6 kg = 3.4 kg."""
    assert ends(figure(AS_IT_IS, "segment-voltage"))[1] == pytest.approx(100.8)
    assert ends(figure(AS_IT_IS, "segment-energy"))[1] == pytest.approx(5_443_200)
    assert figure(AS_IT_IS, "segment-mass").margin == pytest.approx(3.4)


def test_an_energy_that_is_stated_counts_where_it_cannot_be_computed() -> None:
    patch = "tractive_system: {accumulators: {main: {segments: {energy: 5.6 MJ, cell: {capacity: null}}}}}"
    assert ends(figure(patch, "segment-energy")) == pytest.approx((5.6e6,) * 3)
    both = "tractive_system: {accumulators: {main: {segments: {energy: 5.6 MJ}}}}"
    assert ends(figure(both, "segment-energy"))[1] == pytest.approx(5_443_200)


def test_the_cells_and_the_stated_voltage_agree_although_floats_do_not() -> None:
    """4 · 24 · 4.2 V = 403.2 V."""
    assert figure(AS_IT_IS, "accumulator-voltage").margin == 0
    assert verdicts(cells_above_stated_voltage, "tractive_system: {voltage: {highest: 403.1 V}}") == [Verdict.FINDING]


def test_of_several_containers_nobody_knows_whether_their_voltages_add_up() -> None:
    assert figures(SECOND, "accumulator-voltage") == ()


def test_the_main_fuse_against_cells_and_contactors() -> None:
    """5 · 35 A = 175 A, 15 A above the fuse; the contactors interrupt 1500 A."""
    assert ends(figure(AS_IT_IS, "cells-current"))[1] == 175
    assert figure(AS_IT_IS, "main-fuse-cells").margin == pytest.approx(15)
    assert figure(AS_IT_IS, "main-fuse-contactors").margin == pytest.approx(1340)


@pytest.mark.parametrize(
    ("breaking", "verdict"),
    [
        ("{current: 161 A, at: 450 V DC}", Verdict.HOLDS),
        ("{current: 160 A, at: 450 V DC}", Verdict.FINDING),
        ("{current: 1500 A, at: 400 V DC}", Verdict.NOT_EVALUATED),
        ("{current: unknown, at: 450 V DC}", Verdict.NOT_EVALUATED),
        ("null", Verdict.NOT_EVALUATED),
    ],
)
def test_the_weaker_contactor_decides_at_the_highest_voltage(breaking: str, verdict: Verdict) -> None:
    assert figure(f"devices: {{air_minus: {{contacts: {{main: {{breaking: {breaking}}}}}}}}}", "main-fuse-contactors").verdict is verdict


def test_a_fuse_above_the_contactors_is_a_warning_where_no_clause_was_read_and_an_error_where_one_was() -> None:
    weak = edited("devices: {air_plus: {contacts: {main: {breaking: {current: 150 A, at: 450 V DC}}}}}")
    severities = [check(weak, edition(name), (main_fuse_above_contactors,)).findings[0].severity for name in ("fsuk-2026", "fsae-2026", "fs-2020")]
    assert severities == [Severity.WARNING, Severity.WARNING, Severity.ERROR]


def test_voltage_power_and_current_of_the_whole() -> None:
    """600 V − 403.2 V, 80 kW − 60 kW, 500 A − 160 A."""
    margins = [figure(AS_IT_IS, slug).margin for slug in ("tractive-voltage", "tractive-power", "tractive-current")]
    assert margins == pytest.approx([196.8, 20e3, 340])


@pytest.mark.parametrize(
    ("reaction", "verdict"),
    [
        ("opens", Verdict.STATED), ("opens and torque zero", Verdict.STATED), ("torque zero", Verdict.FINDING), ("stays", Verdict.FINDING),
        ("not possible", Verdict.FINDING), ("null", Verdict.FINDING), ("unknown", Verdict.NOT_EVALUATED),
    ],
)  # fmt: skip
def test_a_lost_measurement_must_open_the_loop(reaction: str, verdict: Verdict) -> None:
    assert verdicts(cell_measurement_lost, f"devices: {{ams: {{watches: {{missing_measurement: {reaction}}}}}}}") == [verdict]


def test_nothing_said_of_the_accumulator_leaves_its_figures_open() -> None:
    bare = "tractive_system: {accumulators: {main: {segments: null, fuse: null}}}"
    for slug in ("cells-voltage-share", "segment-voltage", "segment-energy", "segment-mass", "accumulator-voltage", "main-fuse-cells"):
        assert figure(bare, slug).verdict is Verdict.NOT_EVALUATED, slug
