"""Values that no car can have: each is refused where it stands, with its field, what is wrong and what may be written."""

import pytest
from conftest import SMALL_CAR

from docgen.load import load_text
from docgen.reading import Unreadable

ABSURD = (
    ("highest: 403.2 V", "highest: 0 V", "highest: 0 V with its tolerance is not above 0 V, must be"),
    ("highest: 403.2 V", "highest: -400 V", "highest: -400 V with its tolerance is not above 0 V, must be"),
    ("highest: 403.2 V", "highest: .inf", "highest: .inf is no quantity"),
    ("highest: 403.2 V", "highest: nan V", "highest: nan V is no quantity"),
    ("highest: 403.2 V", "highest: 1e99 V", "highest: 1e99 V is beyond 2,000 V, must not be"),
    ("highest: 403.2 V", "highest: 403.2 V ± 99.999999999 %", "highest: 403.2 V ± 99.999999999 % with its tolerance comes closer to 0 than 0.000001 V, must not"),
    ("power: 60 kW", "power: 1e99 W", "power: 1e99 W is beyond 1,000,000,000 W, must not be"),
    ("current: 160 A", "current: 400 V", "current: 400 V is a voltage, must be a current"),
    ("resistor: 680 Ω ± 5 %", "resistor: 680 Ω ± 100 %", "resistor: 680 Ω ± 100 % with its tolerance is not above 0 Ω, must be"),
    ("resistor: 680 Ω ± 5 %", "resistor: 680 Ω ± -5 %", "resistor: 680 Ω ± -5 % has the unreadable rest '± -5 %' (a tolerance is written ± 5 %, ± 2 Ω or +20 % -10 %)"),
    ("resistor: 680 Ω ± 5 %", "resistor: 1e60 Ω", "resistor: 1e60 Ω is beyond 10,000,000,000,000 Ω, must not be"),
    ("resistor: 680 Ω ± 5 %", "resistor: 1e-90 Ω", "resistor: 1e-90 Ω with its tolerance comes closer to 0 than 0.000000001 Ω, must not"),
    ("at: 97 %", "at: 197 %", "at: 197 % is beyond 100 %, must not be"),
    ("sensing_error: ± 1 %", "sensing_error: ± -1 %", "sensing_error: ± -1 % is no tolerance"),
    ("sensing_error: ± 1 %", "sensing_error: ± 1e9 V", "sensing_error: ± 1e9 V is beyond 1,000,000 V, must not be"),
    ("attempts: 3", "attempts: 0", "attempts: 0 stands here"),
    ("attempts: 3", "attempts: 2.5", "attempts: 2.5 stands here"),
    ("in_series: 24", "in_series: 0", "in_series: 0 stands here"),
    ("in_parallel: 5", "in_parallel: 100001", "in_parallel: 100001 stands here"),
    ("load_current: 1 mA", "load_current: 1e9 A", "load_current: 1e9 A is beyond 1,000,000 A, must not be"),
    ("capacitance: 400 µF ± 20 %", "capacitance: 40 F", "capacitance: 40 F is beyond 10 F, must not be"),
    ("pulse_rating: [[1 s, 1 kW], [5 s, 500 W]]", "pulse_rating: [[0 s, 1 kW]]", "pulse_rating: 0 s with its tolerance is not above 0 s, must be"),
    ("pulse_rating: [[1 s, 1 kW], [5 s, 500 W]]", "pulse_rating: [[1 s, 1 kW, 3 W]]", "pulse_rating: too many items stand here"),
    ("curve: [[0 A, 2.50 V], [200 A, 4.50 V]]", "curve: [[0 A, 1e90 V], [200 A, 4.50 V]]", "curve: 1e90 V is beyond 1,000,000 V, must not be"),
    ("dc_current: 2.59 V ± 0.2 %", "dc_current: 300 %", "dc_current: 300 % with its tolerance is not below 100 %, must be"),
    ("dc_current: 2.59 V ± 0.2 %", "dc_current: {upper: 1 kΩ, lower: 0 Ω}", "lower: 0 Ω with its tolerance is not above 0 Ω, must be"),
    ("trips_at: 63 % ± 1 %", "trips_at: 99.5 % ± 1 %", "trips_at: 99.5 % ± 1 % with its tolerance is not below 100 %, must be"),
    ("self_after: 12 s ± 5 %", "self_after: 1e99 s", "self_after: 1e99 s is beyond 100,000,000 s, must not be"),
    ("size: 1.5 mm²", "size: 0 mm²", "size: 0 mm² with its tolerance is not above 0 mm², must be"),
    ("size: 1.5 mm²", "size: AWG 99", "size: AWG 99 is no gauge, must be from AWG 4/0 to AWG 40"),
    ("insulation: 105 °C", "insulation: -300 °C", "insulation: -300 °C with its tolerance is below -273.15 °C, must not be"),
    ("breaking_capacity: 1 kA", "breaking_capacity: 1e9 A", "breaking_capacity: 1e9 A is beyond 100,000 A, must not be"),
    ("rating: 5 A", "rating: 0 A", "rating: 0 A with its tolerance is not above 0 A, must be"),
)  # fmt: skip


@pytest.mark.parametrize(("sound", "absurd", "was"), ABSURD, ids=[absurd for _, absurd, _ in ABSURD])
def test_a_value_that_no_car_can_have_is_refused_where_it_stands(sound: str, absurd: str, was: str) -> None:
    before, found, after = SMALL_CAR.partition(sound)
    assert found
    with pytest.raises(Unreadable) as refused:
        load_text(before + absurd + after)
    (problem,) = refused.value.problems
    assert problem.was == was
    assert problem.must
    assert problem.location.line == before.count("\n") + 1


@pytest.mark.parametrize(("gauge", "square_mm"), [("AWG 4/0", 107.2), ("AWG 2/0", 67.4), ("AWG 1/0", 53.5), ("AWG 0", 53.5), ("AWG 18", 0.823)])
def test_gauges_are_read_with_their_noughts(gauge: str, square_mm: float) -> None:
    """ASTM B258, from memory."""
    car = load_text(SMALL_CAR.replace("size: 1.5 mm²", f"size: {gauge}")).car
    assert float(car.loops["drive"].wires["default"].size.value) * 1e6 == pytest.approx(square_mm, rel=2e-3)  # type: ignore[union-attr]
