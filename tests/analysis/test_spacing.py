"""Grounding and spacing: what is asked beside what is there."""

import pytest
from figures import figure, figures

from docgen.finding import Verdict

AS_IT_IS = "docgen: 1"


def test_resistances_to_ground() -> None:
    """100 mΩ − 60 mΩ, 100 Ω − 40 Ω; an edition that asks for 5 Ω."""
    assert figure(AS_IT_IS, "grounding-near").margin == pytest.approx(0.04)
    assert figure(AS_IT_IS, "grounding-possibly").margin == pytest.approx(60)
    assert figure(AS_IT_IS, "grounding-possibly", "fsae-2026").verdict is Verdict.FINDING


def test_spacing_in_a_housing() -> None:
    """25 mm − 20 mm."""
    assert figure(AS_IT_IS, "spacing-in-housing").margin == pytest.approx(0.005)


@pytest.mark.parametrize(
    ("volts", "coated", "identifier", "millimetres"),
    [
        ("403.2 V", "not coated", "fsuk-2026", 20),
        ("403.2 V", "coated", "fsuk-2026", 4),
        ("300 V", "not coated", "fsuk-2026", 10),
        ("300.1 V", "not coated", "fsuk-2026", 20),
        ("100.8 V", "not coated", "fsuk-2026", 5),
        ("48 V", "coated", "fsuk-2026", 1),
        ("403.2 V", "not coated", "fs-2025", 12.7),
        ("100.8 V", "coated", "fsae-2024", 2),
    ],
)
def test_what_a_board_needs_follows_from_the_highest_voltage_and_the_coating(volts: str, coated: str, identifier: str, millimetres: float) -> None:
    patch = f"tractive_system: {{voltage: {{highest: {volts}}}}}\nboards: {{bspd_board: {{spacing: 8 mm, coated: {coated}}}}}"
    found = figure(patch, "board-spacing", identifier)
    assert found.bound is not None
    assert found.bound.value == pytest.approx(millimetres / 1000)
    assert found.verdict is (Verdict.HOLDS if millimetres <= 8 else Verdict.FINDING)


def test_a_board_without_tractive_parts_says_no_spacing() -> None:
    assert figures(AS_IT_IS, "board-spacing") == ()


def test_beyond_the_table_nothing_is_known() -> None:
    patch = "tractive_system: {voltage: {highest: 700 V}}\nboards: {bspd_board: {spacing: 30 mm}}"
    assert figure(patch, "board-spacing").bound is None
