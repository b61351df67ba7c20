"""Devices in numbers: what conductors bear, drop and look like, and what the fuses of the low-voltage source can break."""

import re
from collections.abc import Iterator

from docgen.analysis import calculations
from docgen.analysis.stretches import DEFAULT, stretches
from docgen.calculation import of
from docgen.car.tractive import TractiveSystem
from docgen.car.values import Unknown
from docgen.car.wiring import Conductor, Conduit, Wiring
from docgen.finding import Outcome, Severity, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import Look
from docgen.provenance import Path
from docgen.rules.fields import meant, measured
from docgen.rules.numbers import SUBJECT, judged, outcome_of


@rule("conductor-overloaded", SUBJECT, "", Severity.WARNING)
def conductor_overloaded(look: Look) -> Iterator[Outcome]:
    """No conductor carries more than the permissible current that is stated for it.

    Why: The insulation ages with every degree above its rating, unseen, until it cracks.
    Wrong:
        wiring: {conductors: {dc_cable: {size: 25 mm², length: 1 m, insulation: 150 °C, current: 190 A, rating: 170 A, system: tractive}}}
    Right:
        wiring: {conductors: {dc_cable: {size: 25 mm², length: 1 m, insulation: 150 °C, current: 118 A, rating: 170 A, system: tractive}}}
    Mend: Take a thicker conductor, or put right current and rating.
    """
    yield from judged(look, "conductor-load")


@rule("conductor-too-thin", SUBJECT, "", Severity.WARNING)
def conductor_too_thin(look: Look) -> Iterator[Outcome]:
    """No conductor carries more than published tables allow its size and insulation in a bundle or conduit, in the air of the car.

    Why: The ampere figure on a reel holds for one wire in free air at room temperature; in a harness beside the inverter half of it is left.
    Wrong:
        wiring: {conductors: {feed_wire: {size: 0.5 mm², length: 2 m, insulation: 105 °C, current: 5 A, rating: 9 A, system: low voltage}}}
    Right:
        wiring: {conductors: {feed_wire: {size: 1.5 mm², length: 2 m, insulation: 105 °C, current: 5 A, rating: 9 A, system: low voltage}}}
    Mend: Take a thicker conductor or a hotter insulation, or show by test or calculation that the conductor stands in cooler air.
    """
    yield from judged(look, "permissible-current")


@rule("loop-wire-thinner-than-fuse", SUBJECT, "", Severity.WARNING)
def loop_wire_thinner_than_fuse(look: Look) -> Iterator[Outcome]:
    """Every wire of a loop bears the rating of the fuse before it, by published tables, in the air of the car.

    Why: A loop runs through the whole car; chafed anywhere, its thinnest wire must outlast the fuse.
    Wrong:
        loops: {drive: {wires: {default: {size: 0.35 mm², length: 0.5 m, insulation: 105 °C}}}}
    Right:
        loops: {drive: {wires: {default: {size: 1.5 mm², length: 0.5 m, insulation: 105 °C}}}}
    Mend: Take a thicker wire or a smaller fuse.
    """
    yield from judged(look, "loop-wire-current")


@rule("conductor-thinner-than-fuse", SUBJECT, "", Severity.WARNING)
def conductor_thinner_than_fuse(look: Look) -> Iterator[Outcome]:
    """Every conductor that names its fuse bears the rating of that fuse, by published tables, in the air around it.

    Why: Up to its rating the fuse never opens; the rating that is stated for a wire often holds on a bench.
    Wrong:
        wiring: {conductors: {feed_wire: {size: 0.5 mm², length: 1 m, insulation: 105 °C, current: 2 A, rating: 9 A, protected_by: F1, system: low voltage}}}
    Right:
        wiring: {conductors: {feed_wire: {size: 1.5 mm², length: 1 m, insulation: 105 °C, current: 2 A, rating: 9 A, protected_by: F1, system: low voltage}}}
    Mend: Take a thicker conductor, a hotter insulation or a smaller fuse, or give the air around it under ambient.
    """
    yield from judged(look, "conductor-protection")


@rule("fuse-carries-too-much", SUBJECT, "", Severity.WARNING)
def fuse_carries_too_much(look: Look) -> Iterator[Outcome]:
    """No conductor carries for good more than its fuse does: the share of the rating under carries, or all of it where none is given.

    Why: A fuse that is always near its rating ages, and opens one day without a fault.
    Wrong:
        low_voltage: {fuses: {F1: {carries: 75 %}}}
        wiring: {conductors: {feed_wire: {size: 1.5 mm², length: 1 m, insulation: 105 °C, current: 4.5 A, rating: 9 A, protected_by: F1, system: low voltage}}}
    Right:
        low_voltage: {fuses: {F1: {carries: 75 %}}}
        wiring: {conductors: {feed_wire: {size: 1.5 mm², length: 1 m, insulation: 105 °C, current: 3.5 A, rating: 9 A, protected_by: F1, system: low voltage}}}
    Mend: Take a larger fuse with a conductor that bears it, or put right what the fuse carries.
    """
    yield from judged(look, "fuse-load")


@rule("conductor-melts-before-fuse", SUBJECT, "", Severity.WARNING)
def conductor_melts_before_fuse(look: Look) -> Iterator[Outcome]:
    """A conductor bears the energy that its fuse lets through in a short circuit, where that energy is described.

    Why: What flows until a large fuse has opened can melt the insulation of a thin wire all along its way.
    Wrong:
        low_voltage: {fuses: {F1: {let_through: 30 kA²s}}}
    Right:
        low_voltage: {fuses: {F1: {let_through: 150 A²s}}}
    Mend: Take a quicker fuse or a thicker conductor.
    """
    yield from judged(look, "let-through")


@rule("loop-fuse-above-contacts", SUBJECT, "overcurrent-protection")
def loop_fuse_above_contacts(look: Look) -> Iterator[Outcome]:
    """A fuse of a loop is rated no higher than the weakest contact of the line behind it.

    Why: In a short circuit behind the last switch the contacts carry what the fuse lets through; they weld before it opens.
    Wrong:
        low_voltage: {fuses: {F1: {rating: 15 A}}}
    Right:
        low_voltage: {fuses: {F1: {rating: 5 A}}}
    Mend: Take a smaller fuse, or contacts for more current.
    """
    yield from judged(look, "loop-fuse-rating")


@rule("conductor-drops-too-much", SUBJECT, "", Severity.WARNING)
def conductor_drops_too_much(look: Look) -> Iterator[Outcome]:
    """No conductor loses more than a twentieth of the nominal voltage on its way.

    Why: What is lost on the wire is missing at the device, and heats the harness.
    Wrong:
        wiring: {conductors: {feed_wire: {size: 0.5 mm², length: 8 m, insulation: 105 °C, current: 3 A, rating: 9 A, system: low voltage}}}
    Right:
        wiring: {conductors: {feed_wire: {size: 1.5 mm², length: 2 m, insulation: 105 °C, current: 3 A, rating: 9 A, system: low voltage}}}
    Mend: Take a thicker or a shorter conductor.
    """
    yield from judged(look, "conductor-drop")


@rule("fuse-cannot-break-short-circuit", SUBJECT, "overcurrent-protection")
def fuse_cannot_break_short_circuit(look: Look) -> Iterator[Outcome]:
    """The breaking capacity of every fuse behind the low-voltage source, and of each main fuse, is above the current that flows into a short circuit.

    That of an accumulator is computed where the inner resistance of its cells is described.

    Why: A fuse that meets more than it can break burns on as an arc, or bursts.
    Wrong:
        low_voltage: {source: {resistance: 8 mΩ}}
    Right:
        low_voltage: {source: {resistance: 25 mΩ}}
    Mend: Take a fuse with a higher breaking capacity at DC.
    """
    yield from judged(look, "short-circuit-current")
    yield from map(outcome_of, of(calculations(look), "accumulator-short-circuit"))


@rule("loop-wire-names-no-stretch", SUBJECT, "")
def loop_wire_names_no_stretch(look: Look) -> Iterator[Outcome]:
    """A wire that is written for a stretch of a loop names two parts that follow each other there.

    Why: A stretch that the loop does not have changes nothing, and the real one is computed with the default.
    Wrong:
        loops: {drive: {wires: {imd > ts_master: {length: 3 m}}}}
    Right:
        loops: {drive: {wires: {imd > inertia_switch: {length: 3 m}}}}
    Mend: Name the two parts as they stand in the path, in the direction of the current: `F0 > lv_master`.
    """
    written = False
    for name, graph in look.networks.items():
        loop = look.car.loops[name]
        used = {piece.key for piece in stretches(loop, graph)} if loop.wires else set()
        for key in loop.wires:
            written = True
            place: Path = ("loops", name, "wires", key)
            if key == DEFAULT or key in used:
                yield holds(place, f"the wire {key} belongs to the loop {name}")
            else:
                yield finding(place, f"the loop {name} has no stretch {key}", "must name two parts that follow each other, or be `default`")
    if not written:
        yield not_applicable("no loop describes its wires")


# ── Colour, insulation and anchoring ───────────────────────────────────────────────────────────────────────────────────

_ORANGE = re.compile("orange", re.IGNORECASE)


def _wiring(look: Look) -> Wiring:
    return look.car.wiring if isinstance(look.car.wiring, Wiring) else Wiring()


def _tractive(look: Look) -> TractiveSystem:
    return look.car.tractive_system if isinstance(look.car.tractive_system, TractiveSystem) else TractiveSystem()


def _conductors(look: Look, system: str) -> Iterator[tuple[Path, str, Conductor]]:
    for name, conductor in _wiring(look).conductors.items():
        if conductor.system == system:
            yield ("wiring", "conductors", name), name, conductor


@rule("tractive-wiring-not-orange", SUBJECT, "wiring-colour")
def tractive_wiring_not_orange(look: Look) -> Iterator[Outcome]:
    """Conductors of the tractive system are orange, or run in orange conduit.

    Why: Whoever reaches into the car must see at once which cable kills.
    Wrong:
        wiring: {conductors: {dc_cable: {colour: black, system: tractive}}}
    Right:
        tractive_system: {wiring_colour: orange}
        wiring: {conductors: {dc_cable: {colour: orange, system: tractive}}}
    Mend: Take orange cable or conduit outside enclosures; leave the colour out for a conductor that stays inside one.
    """
    judged_any = False
    colour = _tractive(look).wiring_colour
    if colour is not None:
        judged_any = True
        yield _orange(("tractive_system", "wiring_colour"), "the tractive-system wiring", colour)
    for path, name, conductor in _conductors(look, "tractive"):
        conduit = _wiring(look).conduits.get(conductor.conduit, Conduit()) if isinstance(conductor.conduit, str) else Conduit()
        if isinstance(conduit.colour, str) and meant(_ORANGE, conduit.colour):
            judged_any = True
            yield stated((*path, "conduit"), f"{name} runs in the conduit {conductor.conduit}, {conduit.colour}")
        elif conductor.colour is not None:
            judged_any = True
            yield _orange((*path, "colour"), name, conductor.colour)
    if not judged_any:
        yield not_evaluated(("tractive_system", "wiring_colour"), "the colour of the tractive-system wiring is not said")


def _orange(place: Path, what: str, colour: str | Unknown) -> Outcome:
    if isinstance(colour, Unknown):
        return not_evaluated(place, f"the colour of {what} is unknown")
    if meant(_ORANGE, colour):
        return stated(place, f"{what} is {colour}")
    return finding(place, f"{what} is {colour}", "must be orange, or run in orange conduit")


@rule("tractive-wiring-not-heat-resistant", SUBJECT, "wiring-temperature")
def tractive_wiring_not_heat_resistant(look: Look) -> Iterator[Outcome]:
    """The insulation of tractive-system wiring has the temperature rating of the edition.

    Why: Beside a motor ordinary insulation softens, and hundreds of volts lie bare.
    Wrong:
        tractive_system: {wiring_temperature: 70 °C}
    Right:
        tractive_system: {wiring_temperature: 150 °C}
        wiring: {conductors: {dc_cable: {insulation: 150 °C, system: tractive}}}
    Mend: Take cable of a higher temperature rating.
    """
    ratings = [((*path, "insulation"), name, conductor.insulation) for path, name, conductor in _conductors(look, "tractive")]
    ratings = [(("tractive_system", "wiring_temperature"), "the tractive-system wiring", _tractive(look).wiring_temperature), *ratings]
    given = [(place, name, rating) for place, name, rating in ratings if rating is not None]
    for place, name, rating in given:
        yield measured(look, "wiring-temperature", "temperature", rating, place, f"the temperature rating of {name}")
    if not given:
        yield not_evaluated(("tractive_system", "wiring_temperature"), "the temperature rating of the tractive-system wiring is not said")


@rule("tractive-wiring-loose", SUBJECT, "wiring-colour")
def tractive_wiring_loose(look: Look) -> Iterator[Outcome]:
    """Tractive-system wiring outside enclosures is anchored against the pull of the edition.

    Why: In a crash the cable is torn at its terminals first.
    Wrong:
        tractive_system: {anchoring: 120 N}
    Right:
        tractive_system: {anchoring: 220 N}
    Mend: Clamp the conduit at both ends, and give under anchoring the pull that it withstands.
    """
    anchoring = _tractive(look).anchoring
    place: Path = ("tractive_system", "anchoring")
    if anchoring is None:
        yield not_evaluated(place, "the pull that the tractive-system wiring withstands is not said")
    else:
        yield measured(look, "wiring-colour", "pull", anchoring, place, "the pull that the anchored wiring withstands")


@rule("low-voltage-wiring-orange", SUBJECT, "lv-ground")
def low_voltage_wiring_orange(look: Look) -> Iterator[Outcome]:
    """No conductor of the low-voltage system is orange.

    Why: Orange means danger; a harmless orange wire teaches people to ignore it.
    Wrong:
        wiring: {conductors: {feed_wire: {colour: orange, system: low voltage}}}
    Right:
        wiring: {conductors: {feed_wire: {colour: red, system: low voltage}}}
    Mend: Take any other colour.
    """
    judged_any = False
    for path, name, conductor in _conductors(look, "low voltage"):
        place = (*path, "colour")
        if not isinstance(conductor.colour, str):
            continue
        judged_any = True
        if meant(_ORANGE, conductor.colour):
            yield finding(place, f"the low-voltage conductor {name} is {conductor.colour}", "must not be orange")
        else:
            yield stated(place, f"{name} is {conductor.colour}")
    if not judged_any:
        yield not_applicable("no low-voltage conductor says its colour")


RULES = (
    conductor_overloaded,
    conductor_too_thin,
    loop_wire_thinner_than_fuse,
    conductor_thinner_than_fuse,
    fuse_carries_too_much,
    conductor_melts_before_fuse,
    loop_fuse_above_contacts,
    conductor_drops_too_much,
    fuse_cannot_break_short_circuit,
    loop_wire_names_no_stretch,
    tractive_wiring_not_orange,
    tractive_wiring_not_heat_resistant,
    tractive_wiring_loose,
    low_voltage_wiring_orange,
)
