"""Words on suppression: what is a diode alone, and whom it slows."""

import pytest
from conftest import edited

from docgen.check import check
from docgen.editions import edition
from docgen.rules.numbers_loop_electrical import (
    contact_voltage_too_low,
    release_sooner_than_decay,
    release_without_suppression,
    suppressor_holds_neighbour,
)

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


@pytest.mark.parametrize(
    ("fields", "holds"),
    [("clamp: 0.7 V", True), ("clamp: 1.4 V ± 0.2 V", True), ("clamp: 24.7 V, suppression: diode", False), ("clamp: 0.7 V, damping: 220 Ω", False)],
)
def test_a_stated_voltage_of_the_suppression_decides_before_words(fields: str, holds: bool) -> None:
    report = check(edited(f"devices: {{hold_relay: {{coil: {{{fields}}}}}}}"), EDITION, (suppressor_holds_neighbour,))
    assert ("devices", "hold_relay", "coil", "suppression") in [result.outcome.path for result in report.findings] or not holds
    assert holds or report.findings == ()


def test_a_release_without_suppression_needs_an_inductance_where_there_is_a_suppression() -> None:
    bare = "devices: {hold_relay: {coil: {release_stated: without suppression}}}"
    found = check(edited(bare), EDITION, (release_without_suppression,)).findings
    assert [result.outcome.path for result in found] == [("devices", "hold_relay", "coil", "release")]
    for sound in (bare.replace("without suppression", "without suppression, inductance: 0.4 H"), bare.replace("without suppression", "without suppression, suppression: null")):
        assert check(edited(sound), EDITION, (release_without_suppression,)).findings == ()


def test_a_release_that_holds_without_suppression_is_not_held_against_the_decay() -> None:
    too_soon = "devices: {hold_relay: {coil: {inductance: 0.4 H, clamp: 0.7 V, release: 5 ms}}}"
    assert len(check(edited(too_soon), EDITION, (release_sooner_than_decay,)).findings) == 1
    assert check(edited(too_soon.replace("5 ms", "5 ms, release_stated: without suppression")), EDITION, (release_sooner_than_decay,)).findings == ()


@pytest.mark.parametrize(("rating", "wrong"), [("14.6 V", False), ("14 V DC", True), ("250 V AC", True), ("30 V DC", False), ("15 V ± 5 %", True)])
def test_a_contact_is_rated_for_the_dc_voltage_of_the_source(rating: str, wrong: bool) -> None:
    report = check(edited(f"devices: {{imd: {{contact: {{rating: [{rating}, 10 A]}}}}}}"), EDITION, (contact_voltage_too_low,))
    assert [result.outcome.path[1] for result in report.findings] == (["imd"] if wrong else [])
