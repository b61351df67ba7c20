"""The loops in numbers: against netlists written by hand from the descriptions, and against arithmetic on a loop of which every number is known.

The netlists in `netlists/` were written from the YAML before the code ran; ngspice solves them. Their numbers, as ngspice printed them, stand
here too, so that they are compared on every run.
"""

import itertools
import random
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import TESTS, tool
from conftest import edited as edited_car

from docgen.analysis import calculations
from docgen.analysis.loop_circuit import Circuit, Flow, Situation, Winding, highest_at, loop_current, lowest_at, nominal
from docgen.analysis.loop_described import circuits
from docgen.analysis.loop_profile import Step, loop_pictures, profile, steps
from docgen.analysis.stretches import stretches
from docgen.calc.formula import Band
from docgen.calculation import Calculation, Given, of
from docgen.chapters import submission
from docgen.check import check
from docgen.circuit import Draw, Resistor, solve
from docgen.editions import edition
from docgen.finding import Verdict
from docgen.load import Description, load_file, load_text
from docgen.look import Look
from docgen.network import EARTH, SOURCE, Element, network
from docgen.nodes import Source, Strong, Table, plain
from docgen.prose import Words
from docgen.tables import margins
from docgen.writers.diagram import draw

NETLISTS = Path(__file__).parent / "netlists"
LOOP_CAR = (Path(__file__).parent / "loop_car.yaml").read_text(encoding="utf-8")
AS_IT_IS = "docgen: 1"
"""A patch that changes nothing."""
PRINTED = {
    "example_car_active_begins_lowest": {"air_plus": 9.832034612384, "loop_current": 2.221640448228},
    "example_car_precharging_nominal": {
        "activation_relay": 12.50499701428, "discharge_relay": 12.50206338193, "air_minus": 12.50262584541, "precharge_relay": 12.49779511146,
        "loop_current": 0.6274806424183, "before_ts_master": 12.50933221414,
    },
    "first_year_start_pressed_lowest": {"air_minus": 10.39637461409, "loop_current": 1.484452900505},
    "fsae_style_active_begins_lowest": {"ir_plus": 10.26232937986, "loop_current": 1.324388734451},
    "example_car_charging_active_begins_lowest": {"air_plus": 11.04316377303, "loop_current": 2.289927953854},
    "driverless_precharging_begins_highest": {"running": 0.1207804594117, "loop_current": 2.017286125508},
}  # fmt: skip
"""Netlist -> what ngspice 39 prints of it: volts at coils, amperes."""


def edited(patch: str) -> Description:
    return edited_car(patch, LOOP_CAR)


def circuit_of(description: Description, loop: str = "drive") -> Circuit:
    circuit = circuits(Look(description, edition("fsuk-2026")))[loop]
    assert circuit.lacking == () and circuit.impossible == ""
    return circuit


def car(name: str, loop: str = "drive") -> Circuit:
    return circuit_of(load_file(TESTS.parent / "example_car" / "car.yaml" if name == "example_car" else TESTS / "cars" / "sound" / f"{name}.yaml"), loop)


def situation(circuit: Circuit, title: str) -> Situation:
    return next(found for found in circuit.situations if found.title == title)


def coil(circuit: Circuit, name: str) -> Element:
    return next(element for element in circuit.coils if element.name == name)


def figures(text: Description | str) -> tuple[Calculation, ...]:
    return calculations(Look(edited(text) if isinstance(text, str) else text, edition("fsuk-2026")))


def figure(text: Description | str, slug: str, device: str = "", title: str = "") -> Calculation:
    found = [known for known in of(figures(text), slug) if (not device or device in known.about) and title in known.title]
    assert len(found) == 1, [known.title for known in found]
    return found[0]


# ── Netlists written by hand ───────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.ngspice
@pytest.mark.parametrize("name", PRINTED)
def test_ngspice_prints_of_each_netlist_what_stands_here(name: str) -> None:
    run = subprocess.run([tool("ngspice"), "-b", str(NETLISTS / f"{name}.cir")], capture_output=True, text=True, encoding="utf-8", check=False)
    printed = {key: float(value) for key, value in re.findall(r"^(\w+) = (\S+)$", run.stdout + run.stderr, re.MULTILINE)}
    assert printed == pytest.approx(PRINTED[name], rel=1e-9)


def test_every_netlist_is_compared() -> None:
    assert {path.stem for path in NETLISTS.glob("*.cir")} == set(PRINTED)


@pytest.mark.parametrize(
    ("netlist", "name", "title", "device"),
    [
        ("example_car_active_begins_lowest", "example_car", "when the tractive system becomes active", "air_plus"),
        ("first_year_start_pressed_lowest", "first_year", "while start_button is pressed", "air_minus"),
        ("fsae_style_active_begins_lowest", "fsae_style", "when the tractive system becomes active", "ir_plus"),
        ("example_car_charging_active_begins_lowest", "example_car charging", "when the tractive system becomes active", "air_plus"),
    ],
)
def test_the_lowest_voltage_at_a_coil_is_that_of_the_netlist(netlist: str, name: str, title: str, device: str) -> None:
    circuit = car(*name.split())
    flow = lowest_at(circuit, situation(circuit, title), coil(circuit, device))
    assert flow.across(coil(circuit, device)) == pytest.approx(PRINTED[netlist][device], rel=1e-6)
    assert flow.loop == pytest.approx(PRINTED[netlist]["loop_current"], rel=1e-6)


def test_the_nominal_voltages_of_all_held_coils_are_those_of_the_netlist() -> None:
    circuit, printed = car("example_car"), PRINTED["example_car_precharging_nominal"]
    flow = nominal(circuit, situation(circuit, "while precharging"))
    assert {element.name: flow.across(element) for element in circuit.coils if element.name != "air_plus"} == pytest.approx(
        {key: value for key, value in printed.items() if key not in ("loop_current", "before_ts_master")}, rel=1e-6
    )
    assert flow.loop == pytest.approx(printed["loop_current"], rel=1e-6)
    master = next(piece for piece in circuit.pieces if piece.element.name == "ts_master" and piece.group == "contacts")
    assert flow.volts[master.start] == pytest.approx(printed["before_ts_master"], rel=1e-6)


def test_the_largest_current_is_that_of_the_netlist() -> None:
    circuit, printed = car("driverless"), PRINTED["driverless_precharging_begins_highest"]
    most = loop_current(circuit, situation(circuit, "when precharging begins in driverless running"))[2]
    assert most.loop == pytest.approx(printed["loop_current"], rel=1e-6)
    running = next(amperes for element, amperes in most.through.items() if element.spelled == "precharge_unit.running")
    assert running == pytest.approx(printed["running"], rel=1e-6)


# ── Arithmetic by hand ────────────────────────────────────────────────────────────────────────────────────────────────
# 14 stretches of 0.5 m, 1.5 mm² carry the whole current, and 13 contacts of 15 mΩ, and the fuse of 18 mΩ.
# Ideal copper at 20 °C: 0.5/(58e6·1.5e-6) = 5.747126 mΩ a stretch; at 0 °C times 0.9214: 5.295402 mΩ;
# class 5, tinned, 105 °C: 13.7e-3·0.5·(1 + 0.00393·85) = 9.138243 mΩ.


def test_the_line_adds_up() -> None:
    line = figure(AS_IT_IS, "line-resistance")
    assert line.result is not None
    nominal_sum = 0.018 + 13 * 0.015 + 14 * 0.005747126
    highest_sum = 0.018 + 13 * 0.015 + 14 * 0.009138243
    lowest_sum = 0.018 + 13 * 1e-6 + 14 * 0.005295402
    assert (line.result.low, line.result.nominal, line.result.high) == pytest.approx((lowest_sum, nominal_sum, highest_sum), rel=1e-6)
    nominals = {given.symbol: given.band.nominal for given in line.given}
    assert nominals == pytest.approx({"R_F": 0.018, "R_C": 0.195, "R_X": 0.0, "R_W": 14 * 0.005747126}, rel=1e-6)


def test_the_held_current_while_active_by_hand() -> None:
    """Two contactors draw 0.15 A each, the relay of 96 Ω the rest: with V at the branches, 13.2 − 0.3184598·(0.3 + V/96.011494) = V."""
    volts = (13.2 - 0.3184598 * 0.3) / (1 + 0.3184598 / 96.011494)
    found = figure(AS_IT_IS, "loop-current", title="while active")
    assert found.result is not None
    assert found.result.nominal == pytest.approx(0.3 + volts / 96.011494, rel=1e-6)


def test_the_worst_pick_up_of_the_second_contactor_by_hand() -> None:
    """Its coil: 12 V/2.0 A at 70 °C, 6·1.1965 = 7.179 Ω, in a branch with 15 mΩ and three stretches; air_minus held with 0.15 A; the relay cold,
    96·0.9·0.9214 = 79.60896 Ω with two cold stretches."""
    shared, branch, relay = 0.025 + 0.3409354, 7.179 + 0.015 + 3 * 0.009138243, 79.60896 + 2 * 0.005295402
    volts = (11.2 - shared * 0.15) / (1 + shared / branch + shared / relay)
    found = figure(AS_IT_IS, "coil-pick-up", "air_plus")
    assert found.result is not None and found.bound is not None
    assert found.result.low == pytest.approx(volts * 7.179 / branch, rel=1e-6)
    assert found.bound.value == pytest.approx(7.0 * 1.1965)
    assert found.verdict is Verdict.HOLDS
    assert "when the tractive system becomes active" in found.title


def test_a_held_contactor_is_weakest_while_its_neighbour_picks_up() -> None:
    found = figure(AS_IT_IS, "coil-hold", "air_minus")
    assert "when the tractive system becomes active" in found.title
    assert found.bound is not None and found.bound.value == 4.0


def test_a_plain_coil_drops_out_at_a_higher_voltage_when_hot() -> None:
    """1.2 V · (1 + 0.00393·50)."""
    found = figure(AS_IT_IS, "coil-hold", "hold_relay")
    assert found.bound is not None and found.bound.value == pytest.approx(1.43580)


def test_the_start_button_carries_the_inrush_while_the_holding_contact_is_open() -> None:
    found = figure(AS_IT_IS, "contact-current", "start_button")
    assert found.title.endswith("while start_button is pressed")
    assert found.result is not None
    # 14.6 V; coils cold: 12/2.0·0.9214 = 5.5284 Ω and 79.60896 Ω, with two cold stretches each; line and battery 0.0921486 + 0.025 Ω
    together = 1 / (1 / (5.5284 + 2 * 0.005295402) + 1 / (79.60896 + 2 * 0.005295402))
    assert found.result.high == pytest.approx(14.6 / (together + 0.0921486 + 0.025), rel=1e-5)


def test_leakage_is_held_against_the_drop_out_current_of_each_coil_behind_the_stage() -> None:
    """1.2 V over 96 Ω − 10 % … + 10 %: 2 mA are 16 % of 12.5 mA, at most 17.6 %; an economised coil: 12 V/0.15 A = 80 Ω, 4 V over it 50 mA."""
    patch = "devices: {imd: {contact: {construction: solid state, leakage: 2 mA}}}"
    relay, contactor = figure(patch, "coil-residual", "hold_relay"), figure(patch, "coil-residual", "air_plus")
    assert relay.result is not None and contactor.result is not None
    assert (relay.result.nominal, relay.result.high) == pytest.approx((0.16, 0.176))
    assert contactor.result.nominal == pytest.approx(0.04)
    behind = "devices: {precharge_unit: {contacts: {done: {construction: solid state, leakage: 2 mA}}}}"
    assert [found.about[1] for found in of(figures(behind), "coil-residual")] == ["air_plus"]
    assert of(figures(AS_IT_IS), "coil-residual") == ()


def test_contacts_in_parallel_ways_leak_together() -> None:
    """Past start button and hold contact 2 mA + 1 mA = 3 mA flow when both are open; imd alone leaks less: of 12.5 mA 24 %."""
    patch = """
devices:
  start_button: {contact: {construction: solid state, leakage: 2 mA}}
  hold_relay: {contacts: {hold: {leakage: 1 mA}}}
  imd: {contact: {leakage: 2.5 mA}}
"""
    found = figure(patch, "coil-residual", "hold_relay")
    assert found.result is not None and found.result.nominal == pytest.approx(3 / 12.5)
    assert found.given[0].name == "leakage of start_button and hold_relay.hold together"
    alone = figure(patch.replace("2.5 mA", "4 mA"), "coil-residual", "hold_relay")
    assert alone.result is not None and alone.result.nominal == pytest.approx(4 / 12.5)


def test_a_lamp_across_a_mechanical_contact_is_a_leak() -> None:
    """A lamp of 12 V, 1.2 W passes 0.1 A past the open button: eight times the 12.5 mA that hold the relay."""
    found = figure("devices: {button_left: {contact: {construction: mechanical, leakage: 0.1 A}}}", "coil-residual", "hold_relay")
    assert found.result is not None and found.result.nominal == pytest.approx(8.0)
    assert found.verdict is Verdict.FINDING


def test_a_leak_that_is_not_known_is_not_taken_for_none() -> None:
    patch = "devices: {imd: {contact: {construction: solid state}}, ams: {contact: {construction: solid state, leakage: 1 mA}}}"
    assert [missing.name for missing in figure(patch, "coil-residual", "hold_relay").missing] == ["leakage of imd"]


def test_the_worst_set_is_the_one_with_the_largest_inrush_not_the_one_with_the_most_coils() -> None:
    """One contactor of 6 A when active begins, one of 2 A with two relays before. Its coil: 12 V/6 A = 2 Ω, cold 1.8428 Ω, with three stretches;
    air_minus draws 0.15 A, the relay of 79.60896 Ω hangs beside; 14.6 V behind 0.0921486 Ω and the battery."""
    patch = "devices: {air_plus: {coil: {inrush: [6 A, 120 ms]}}}"
    worst = max((known for known in of(figures(patch), "loop-inrush") if known.result), key=lambda known: known.result.high if known.result else 0.0)
    assert worst.title.endswith("when the tractive system becomes active")
    shared, wire = 0.025 + 0.0921486, 0.005295402
    branches = 1 / (1.8428 + 3 * wire) + 1 / (79.60896 + 2 * wire)
    expected = 0.15 + (14.6 - shared * 0.15) / (1 + shared * branches) * branches
    held = figure(patch, "stage-current", "imd")
    assert held.title.endswith("when the tractive system becomes active")
    assert worst.result is not None and worst.result.high == pytest.approx(expected, rel=1e-5)
    assert held.result is not None and held.result.high == pytest.approx(expected, rel=1e-5)


def test_only_the_coils_that_a_transition_energises_pick_up_together() -> None:
    circuit = circuit_of(load_text(LOOP_CAR))
    picking = {found.title: sorted(element.name for element in found.picking_up) for found in circuit.situations if found.begins}
    assert picking == {
        "while start_button is pressed": ["air_minus", "hold_relay"],
        "when precharging begins": ["air_minus", "hold_relay", "precharge_relay"],
        "when the tractive system becomes active": ["air_plus"],
    }
    assert sorted(element.name for element in situation(circuit, "when the tractive system becomes active").held) == ["air_minus", "hold_relay"]


# ── Other loops than that of the car ───────────────────────────────────────────────────────────────────────────────────

CHARGING = """
low_voltage:
  fuses: {F2: {rating: 5 A, resistance: 20 mΩ}}
  feeds: {cart_feed: {from: cart, voltage: 12 V ± 5 %}}
loops:
  charging:
    source: cart_feed
    path: [fuse F2, imd, ams, {each_to_return: [[coil air_minus], [coil cart_relay]]}]
    return: [chassis]
    wires: {default: {size: 1.5 mm², length: 0.5 m, insulation: 105 °C}}
devices:
  cart_relay: {function: other, coil: {voltage: 12 V, resistance: 48 Ω, pick_up: 6.6 V, drop_out: 1.2 V, economiser: none, hottest: 20 °C}}
"""


def test_a_loop_on_a_feed_has_the_voltage_of_the_feed_where_it_begins() -> None:
    """Fuse, two contacts, three stretches of ideal copper; then two stretches and each coil, 6 Ω and 48 Ω: nominal, when low voltage comes on."""
    wire = 0.005747126
    together = 1 / (1 / (6 + 2 * wire) + 1 / (48 + 2 * wire))
    expected = 12 / (0.020 + 0.030 + 3 * wire + together)
    found = figure(CHARGING, "loop-inrush", "charging", "when low voltage comes on")
    assert found.result is not None and found.result.nominal == pytest.approx(expected, rel=1e-5)
    assert [given.band.low for given in found.given if given.symbol == "U"] == [pytest.approx(11.4)]


def test_the_figures_of_the_drive_loop_stay_where_they_are_and_further_ones_stand_at_their_step() -> None:
    places = {known.about for known in of(figures(CHARGING), "coil-pick-up") if "air_minus" in known.title}
    assert places == {("devices", "air_minus", "coil", "pick_up"), ("loops", "charging", "path", 3, "each_to_return", 0, 0)}
    assert figure(CHARGING, "coil-pick-up", "cart_relay").about == ("devices", "cart_relay", "coil", "pick_up")
    assert {known.about for known in of(figures(CHARGING), "stage-current") if "through imd" in known.title} == {
        ("devices", "imd", "contact", "rating"), ("loops", "charging", "path", 1),
    }  # fmt: skip
    assert figure(CHARGING, "fuse-current", "F2").about == ("low_voltage", "fuses", "F2", "rating")


@pytest.mark.parametrize("name", ["example_car", "fsae_style", "two_pack_charger"])
def test_no_two_figures_of_one_kind_stand_at_one_place_under_one_name(name: str) -> None:
    path = TESTS.parent / "example_car" / "car.yaml" if name == "example_car" else TESTS / "cars" / "sound" / f"{name}.yaml"
    found = figures(load_file(path))
    assert {known.about[1] for known in of(found, "line-resistance")} == {"drive", "charging"}
    told = [(known.slug, known.about) for known in of(found, "coil-pick-up", "coil-hold", "hot-pick-up", "contact-current", "stage-current", "fuse-current")]
    assert len(told) == len(set(told))


def test_a_loop_that_is_not_known_leaves_the_others_their_figures() -> None:
    found = figures(CHARGING.replace("voltage: 12 V ± 5 %", "voltage: unknown"))
    lines = {known.about[1]: known for known in of(found, "line-resistance")}
    assert lines["drive"].result is not None
    assert [missing.name for missing in lines["charging"].missing] == ["voltage of the feed cart_feed (unknown)"]


def test_modes_are_named_only_where_the_contacts_of_the_loop_differ_between_them() -> None:
    both = edited("car: {modes: [manual, driverless]}")
    assert {known.mode for known in circuit_of(both).situations} == {""}


# ── Corners ────────────────────────────────────────────────────────────────────────────────────────────────────────────


def _inside(dice: random.Random, band: Band) -> float:
    return dice.choice([band.low, band.high, dice.uniform(band.low, band.high)])


def _anywhere(dice: random.Random, circuit: Circuit, found: Situation, hottest: Element | None) -> Iterator[tuple[Element, float] | float]:
    """The current of the loop, then the voltage at every coil that is fed, with every value anywhere in its band."""
    assert isinstance(circuit.source, Given) and isinstance(circuit.inner, Given)
    parts = [piece for piece in circuit.pieces if piece.element.kind != "contact" or piece.element in found.closed]
    parts = [piece for piece in parts if piece.element.kind != "coil" or piece.element in found.fed]
    inner = Resistor(-1, SOURCE, _inside(dice, circuit.inner.band))
    resistors = [inner, *(Resistor(piece.start, piece.end, _inside(dice, piece.ohms)) for piece in parts)]
    draws = []
    for element in found.fed:
        drive, load = circuit.coils[element], circuit.load(found, element)
        if isinstance(load, Winding):
            resistors.append(Resistor(drive.start, drive.end, _inside(dice, load.hot if element == hottest else load.anywhere)))
        else:
            assert isinstance(load, Band)
            draws.append(Draw(drive.start, drive.end, _inside(dice, load)))
    solved = solve(resistors, -1, EARTH, _inside(dice, circuit.source.band), draws)
    yield solved.current(inner)
    yield from ((element, solved.volts[circuit.coils[element].start] - solved.volts[circuit.coils[element].end]) for element in found.fed)


@pytest.mark.parametrize("name", ["example_car", "driverless", "fsae_style"])
def test_no_values_inside_their_tolerances_lead_outside_the_corners(name: str) -> None:
    circuit, dice = car(name), random.Random(7)
    for found in circuit.situations:
        least, _, most = loop_current(circuit, found)
        for element in found.fed:
            low, high = lowest_at(circuit, found, element).across(element), highest_at(circuit, found, element).across(element)
            for _ in range(8):
                current, *coils = _anywhere(dice, circuit, found, element)
                assert isinstance(current, float)
                assert least.loop * (1 - 1e-9) <= current <= most.loop * (1 + 1e-9)
                assert low * (1 - 1e-9) <= dict(coils)[element] <= high * (1 + 1e-9)  # type: ignore[arg-type]


# ── What is missing, what cannot be ────────────────────────────────────────────────────────────────────────────────────


def test_a_missing_contact_resistance_is_named_once_and_leaves_no_figure_of_the_loop() -> None:
    found = figures("devices: {imd: {contact: {resistance: null}}}")
    line = next(iter(of(found, "line-resistance")))
    assert [(missing.name, missing.origin) for missing in line.missing] == [("contact resistance of imd", ("devices", "imd", "contact", "resistance"))]
    for known in of(found, "loop-current", "loop-inrush", "coil-pick-up", "coil-hold", "stage-current", "contact-current", "fuse-current"):
        assert known.result is None and known.verdict is Verdict.NOT_EVALUATED
        assert "contact resistance of imd" in {missing.name for missing in known.missing}
    assert len(of(found, "coil-pick-up")) == 4


@pytest.mark.parametrize(
    ("patch", "wanting"),
    [
        ("low_voltage: {source: {resistance: null}}", "internal resistance of the low-voltage source"),
        ("low_voltage: {source: {voltage: {lowest: unknown}}}", "lowest voltage of the low-voltage source (unknown)"),
        ("low_voltage: {fuses: {F1: {resistance: null}}}", "resistance of the fuse F1"),
        ("loops: {drive: {wires: null}}", "size of the wires of the loop, default"),
        ("loops: {drive: {wires: {default: {insulation: null}}}}", "insulation of the wires of the loop, default"),
        ("loops: {drive: {source: cells_feed}}", "voltage of the feed cells_feed"),
        ("loops: {drive: {source: nobody}}", "voltage of the feed nobody"),
        ("loops: {drive: {source: unknown (asked)}}", "source of the loop drive (unknown (asked))"),
        ("devices: {air_plus: {coil: null}}", "coil of air_plus"),
        ("devices: {air_plus: {coil: {hold: null}}}", "hold current of the coil of air_plus"),
        ("devices: {air_plus: {coil: {inrush: null}}}", "inrush of the coil of air_plus"),
        ("devices: {hold_relay: {coil: {hottest: null}}}", "highest temperature of the coil of hold_relay"),
    ],
)
def test_what_is_missing_is_named(patch: str, wanting: str) -> None:
    line = figure(patch, "line-resistance")
    assert wanting in {missing.name for missing in line.missing}


def test_a_coil_without_resistance_is_its_rated_voltage_over_its_hold_current() -> None:
    circuit = circuit_of(edited("devices: {hold_relay: {coil: {resistance: null, hold: 0.125 A}}}"))
    load = circuit.coils[coil(circuit, "hold_relay")].held
    assert isinstance(load, Winding)
    assert load.ohms == Band(96.0, 96.0, 96.0)


def test_an_economised_coil_with_a_resistance_and_no_inrush_pulls_in_with_it() -> None:
    circuit = circuit_of(edited("devices: {air_plus: {coil: {inrush: null, resistance: 6 Ω}}}"))
    drive = circuit.coils[coil(circuit, "air_plus")]
    assert isinstance(drive.picking_up, Winding) and drive.picking_up.ohms.nominal == 6.0
    assert drive.held == Band(0.15, 0.15, 0.15)


def test_a_line_that_cannot_bring_the_hold_current_leaves_no_voltage() -> None:
    found = figure("devices: {air_plus: {coil: {hold: 90 A}}}", "coil-hold", "air_plus")
    assert found.result is not None and found.result.low == 0.0
    assert found.verdict is Verdict.FINDING


def test_a_loop_without_activation_has_the_inrush_when_low_voltage_comes_on() -> None:
    patch = "devices: {hold_relay: {contacts: {hold: {when_healthy: closed}}}}"
    assert "when low voltage comes on" in {found.title for found in circuit_of(edited(patch)).situations}


def test_a_loop_that_never_conducts_has_no_figures() -> None:
    assert of(figures("devices: {imd: {contact: {when_healthy: open}}}"), "line-resistance", "loop-current", "coil-hold", "contact-current") == ()


@pytest.mark.parametrize(
    "patch",
    [
        "devices: {hold_relay: {coil: {hottest: 900 °C}}}",
        "devices: {hold_relay: {coil: {hottest: -200 °C}}}",
        "devices: {air_plus: {coil: {hottest: 900 °C}}}",
        "loops: {drive: {wires: {default: {size: 1 mm², length: 1 m, insulation: 900 °C}}}}",
    ],
)
def test_a_temperature_beyond_the_law_of_copper_stops_nothing(patch: str) -> None:
    assert all(known.result is not None for known in of(figures(patch), "coil-hold"))


# ── Stretches ──────────────────────────────────────────────────────────────────────────────────────────────────────────


def _laid(text: str) -> list[tuple[str, str, str]]:
    described = load_text(text).car
    graph = network(described, "drive")
    return [
        (piece.before.spelled if piece.before else "-", piece.after.spelled if piece.after else "-", piece.key)
        for piece in stretches(described.loops["drive"], graph)
    ]


def test_every_two_parts_in_line_are_joined_by_one_stretch() -> None:
    assert _laid("loops: {drive: {path: [fuse F1, a, through X1.3, coil k], return: [chassis]}}") == [
        ("-", "F1", "default"), ("F1", "a", "default"), ("a", "X1.3", "default"), ("X1.3", "k", "default"), ("k", "-", "default"),
    ]  # fmt: skip


def test_ways_that_join_have_a_stretch_at_each_end() -> None:
    text = (
        "loops:\n  drive:\n    path: [a, {any_of: [[b], [c, d]]}, e, {each_to_return: [[coil k], [f, coil m]]}]\n    return: [chassis]\n"
        "    wires: {d > e: {}, e > coil k: {}, source > a: {}}\n"
    )
    assert _laid(text) == [
        ("-", "a", "source > a"), ("a", "b", "default"), ("b", "e", "default"), ("a", "c", "default"), ("c", "d", "default"), ("d", "e", "d > e"),
        ("e", "k", "e > coil k"), ("k", "-", "default"), ("e", "f", "default"), ("f", "m", "default"), ("m", "-", "default"),
    ]  # fmt: skip


def test_a_stretch_takes_from_the_default_what_it_leaves_out() -> None:
    """3 m more of 1.5 mm² ideal copper between imd and inertia_switch: 2.5 m / (58e6 · 1.5e-6) = 28.7356 mΩ above the 0.5 m."""
    plain, longer = (figure(patch, "line-resistance") for patch in (AS_IT_IS, "loops: {drive: {wires: {imd > inertia_switch: {length: 3 m}}}}"))
    assert plain.result is not None and longer.result is not None
    assert longer.result.nominal - plain.result.nominal == pytest.approx(0.0287356, rel=1e-5)


# ── Profile and picture ────────────────────────────────────────────────────────────────────────────────────────────────


def test_the_profile_falls_from_part_to_part_and_loses_only_wire_between_them() -> None:
    circuit = car("example_car")
    for found in (profile(circuit, known) for known in circuit.situations if not known.begins):
        assert [row.element.spelled for row in found.rows[:4]] == ["F0", "lv_master", "F1", "button_right"]
        assert all(row.before > row.after for row in found.rows)
        line = [row for row in found.rows if row.amperes == pytest.approx(found.rows[0].amperes)]
        assert line[-1].element.name == "ts_master"
        assert all(0 < before.after - after.before < 0.1 for before, after in itertools.pairwise(line))
        coils = [row for row in found.rows if row.element.kind == "coil"]
        assert sum(row.amperes for row in coils) == pytest.approx(found.rows[0].amperes)


def along(description: Description, loop: str = "drive") -> dict[str, Step]:
    look = Look(description, edition("fsuk-2026"))
    return {f"{step.element.kind} {step.element.spelled}": step for step in steps(look, circuits(look)[loop])}


def test_the_voltage_lost_in_a_contact_by_hand() -> None:
    """imd when precharging begins, all coils cold: 12/2.0·0.9214 = 5.5284 Ω, 72·0.9·0.9214 = 59.70672 Ω in series with 15 mΩ, 79.60896 Ω, each
    with two or three hot stretches of 9.138243 mΩ; before them the line of 0.3409354 Ω and the battery."""
    wire = 0.009138243
    branches = (5.5284 + 2 * wire, 59.70672 + 0.015 + 3 * wire, 79.60896 + 2 * wire)
    amperes = 11.2 / (0.025 + 0.3409354 + 1 / sum(1 / ohms for ohms in branches))
    step = along(load_text(LOOP_CAR))["contact imd"]
    assert step.situation is not None and step.situation.title == "when precharging begins"
    assert step.across[1] == pytest.approx(amperes * 0.015, rel=1e-6)
    assert step.wires == pytest.approx(amperes * wire, rel=1e-6)
    assert step.behind[1] == pytest.approx(11.2 - amperes * (0.025 + 0.018 + 5 * wire + 4 * 0.015), rel=1e-6)
    assert step.needed is None and step.margin is None


def test_a_coil_stands_with_what_it_gets_and_what_it_needs() -> None:
    """As in the pick-up of air_plus by hand; behind it the current still crosses one stretch of wire to chassis."""
    step = along(load_text(LOOP_CAR))["coil air_plus"]
    pick_up = figure(AS_IT_IS, "coil-pick-up", "air_plus")
    assert pick_up.result is not None
    assert step.situation is not None and step.situation.title == "when the tractive system becomes active"
    assert step.across == pytest.approx((pick_up.result.nominal, pick_up.result.low))
    assert step.behind[1] == pytest.approx(step.across[1] / 7.179 * 0.009138243, rel=1e-6)
    assert step.needed == pytest.approx(7.0 * 1.1965)
    assert step.margin == pytest.approx(pick_up.margin)


def test_every_part_stands_in_the_table_once_in_current_order() -> None:
    look = Look(load_text(LOOP_CAR), edition("fsuk-2026"))
    circuit = circuits(look)["drive"]
    assert [step.element for step in steps(look, circuit)] == list(circuit.graph.elements)


def test_what_never_carries_current_says_so() -> None:
    patch = "loops: {drive: {between: [{start: N1, end: N2, path: [spare]}]}}\ndevices: {spare: {contact: {at_rest: open, when_healthy: open, resistance: 9 mΩ}}}"
    text = LOOP_CAR.replace("- ts_master", "- node N1\n      - ts_master\n      - node N2")
    found = along(edited_car(patch, text))["contact spare"]
    assert (found.situation, found.across, found.behind, found.margin) == (None, (0.0, 0.0), (0.0, 0.0), None)


def test_a_need_that_is_not_known_leaves_no_margin() -> None:
    step = along(edited("devices: {air_plus: {coil: {pick_up: unknown}}}"))["coil air_plus"]
    assert step.needed is None and step.margin is None and step.across[1] > 9


def test_the_table_prints_volts_marks_and_a_margin_that_is_missed() -> None:
    look = Look(edited("devices: {air_plus: {coil: {pick_up: 9.0 V}}}"), edition("fsuk-2026"))
    printed = margins("drive", steps(look, circuits(look)["drive"]), look)
    rows = {plain(row[1]): row for row in printed.rows}
    assert [plain(one) for one in rows["F1"][:3]] == ["1", "F1", "S1"]
    needed, margin = rows["coil air_plus"][-2:]
    assert plain(needed) == f"{9.0 * 1.1965:.3f}" and isinstance(margin[0], Strong) and float(plain(margin)) < 0


def test_the_document_has_a_table_along_each_loop_that_is_known() -> None:
    def printed(patch: str) -> list[str]:
        report = check(edited(patch), edition("fsuk-2026"))
        wording = Words([TESTS.parent / "templates"])
        made = submission(report, Look(report.description, report.edition), {}, (), wording, Source("car.yaml", "", report.description.digest))
        return [block.anchor for block in made.blocks if isinstance(block, Table) and block.anchor.startswith("table-margins")]

    assert printed(CHARGING) == ["table-margins-drive", "table-margins-charging"]
    assert printed(CHARGING.replace("12 V ± 5 %", "unknown")) == ["table-margins-drive"]
    assert printed("devices: {imd: {contact: {resistance: null}}}") == []


def test_the_picture_says_its_numbers_in_words_and_can_be_drawn() -> None:
    look = Look(load_file(TESTS.parent / "example_car" / "car.yaml"), edition("fsuk-2026"))
    plot, charging = loop_pictures(look)
    assert (plot.slug, charging.slug) == ("loop-voltage", "loop-voltage-charging")
    assert "air_plus" in plot.alternative and "8.375 V" in plot.alternative
    assert draw(plot.sheet).png.startswith(b"\x89PNG")


def test_no_picture_where_something_is_missing() -> None:
    look = Look(edited("devices: {imd: {contact: {resistance: null}}}"), edition("fsuk-2026"))
    assert tuple(loop_pictures(look)) == ()


def test_the_flow_of_a_situation_keeps_kirchhoffs_law() -> None:
    circuit = car("example_car")
    for found in circuit.situations:
        flow: Flow = nominal(circuit, found)
        assert flow.loop == pytest.approx(sum(flow.drawn.values()), rel=1e-9)
