"""Words on suppression: what is a diode alone, and whom it slows."""

import pytest
from conftest import edited

from docgen.check import check
from docgen.editions import edition
from docgen.rules.numbers_loop_electrical import contact_voltage_too_low, suppressor_holds_neighbour

EDITION = edition("fsuk-2026")


def slowed(words: str) -> bool:
    report = check(edited(f'devices: {{hold_relay: {{coil: {{suppression: "{words}"}}}}}}'), EDITION, (suppressor_holds_neighbour,))
    return ["devices", "hold_relay", "coil", "suppression"] in [list(result.outcome.path) for result in report.findings]


@pytest.mark.parametrize(
    "words", ["diode", "freewheeling diode", "1N4007 diode", "flyback diode across the coil", "plain silicon diode", "Schottky diode", "diodes on the board", "diode, no zener"]
)
def test_a_diode_alone_holds_its_neighbours(words: str) -> None:
    assert slowed(words)


@pytest.mark.parametrize(
    "words",
    ["diode and 24 V zener", "built in", "TVS diode 33 V", "bidirectional suppressor diode", "varistor", "RC, 100 Ω and 1 µF", "none, no diode", "diode with 220 Ω resistor", "Zener diode"],
)
def test_what_clamps_higher_holds_nobody(words: str) -> None:
    assert not slowed(words)


def test_diodes_across_every_coil_slow_nobody_beyond_what_is_stated() -> None:
    devices = ", ".join(f"{name}: {{coil: {{suppression: diode}}}}" for name in ("hold_relay", "air_minus", "air_plus", "precharge_relay", "discharge_relay"))
    assert check(edited(f"devices: {{{devices}}}"), EDITION, (suppressor_holds_neighbour,)).findings == ()


@pytest.mark.parametrize(("rating", "wrong"), [("14.6 V", False), ("14 V DC", True), ("250 V AC", True), ("30 V DC", False), ("15 V ± 5 %", True)])
def test_a_contact_is_rated_for_the_dc_voltage_of_the_source(rating: str, wrong: bool) -> None:
    report = check(edited(f"devices: {{imd: {{contact: {{rating: [{rating}, 10 A]}}}}}}"), EDITION, (contact_voltage_too_low,))
    assert [result.outcome.path[1] for result in report.findings] == (["imd"] if wrong else [])
