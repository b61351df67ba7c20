"""Driver demand: what takes the torque away, and what may give it."""

import re
from collections.abc import Iterator

from docgen.car.demand import CheckReleases, CheckTrips, Demand, PedalVsBrakeCheck
from docgen.car.values import Unknown
from docgen.editions import Limit
from docgen.finding import Outcome, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import Look, keeps
from docgen.network import Kind
from docgen.provenance import Path
from docgen.quantity import Quantity
from docgen.rules.fields import measured, unsaid

SUBJECT = "Driver demand"
PLACE = ("demand", "pedal_vs_brake_check")


def _demand(look: Look) -> Demand | None:
    return look.car.demand if isinstance(look.car.demand, Demand) else None


def _check(look: Look) -> PedalVsBrakeCheck | None:
    demand = _demand(look)
    return demand.pedal_vs_brake_check if demand and isinstance(demand.pedal_vs_brake_check, PedalVsBrakeCheck) else None


@rule("pedal-vs-brake-missing", SUBJECT, "pedal-vs-brake", never_quiet=True)
def pedal_vs_brake_missing(look: Look) -> Iterator[Outcome]:
    """The software check of accelerator pedal against brakes is described, as a thing of its own.

    Why: The brake plausibility device watches power in hardware and opens the loop. This check watches the driver's demand
        in software and takes the torque away. Most forms ask only for the first, and the second is forgotten.
    Wrong:
        demand: {pedal_vs_brake_check: null}
    Right:
        demand: {pedal_vs_brake_check: {kind: software}}
    Mend: Describe it under demand.pedal_vs_brake_check: where it runs, when it acts, what it does, when it ends.
    """
    demand = look.car.demand
    described = demand.pedal_vs_brake_check if isinstance(demand, Demand) else demand
    if described is None:
        yield finding(PLACE, "no pedal-vs-brake software check is described", "must be described under demand.pedal_vs_brake_check; the brake plausibility device does not replace it")
    elif isinstance(described, Unknown):
        yield not_evaluated(PLACE, "whether there is a pedal-vs-brake check is unknown")
    elif _repeats_the_device(look, described):
        yield finding(PLACE, "the entry only repeats the brake plausibility device", "must describe the software check in the unit that commands torque")
    else:
        yield stated(PLACE, "the check is described as a thing of its own")


def _repeats_the_device(look: Look, check: PedalVsBrakeCheck) -> bool:
    unit = look.car.devices.get(check.runs_in) if isinstance(check.runs_in, str) else None
    says = " ".join(text for text in (check.note, check.tested) if isinstance(text, str))
    return bool(unit and unit.function == "brake plausibility device") or bool(re.search(r"\b(?:same as|see|done by|is) (?:the )?(?:bspd|brake plausibility)", says, re.IGNORECASE))


@rule("pedal-vs-brake-opens-loop", SUBJECT, "pedal-vs-brake")
def pedal_vs_brake_opens_loop(look: Look) -> Iterator[Outcome]:
    """The pedal-vs-brake check is software that takes the torque away; it is no hardware of the loop.

    Why: A check described as hardware in the loop is the brake plausibility device under another name, and the software is missing.
    Wrong:
        demand: {pedal_vs_brake_check: {does: opens}}
    Right:
        demand: {pedal_vs_brake_check: {does: torque zero}}
    Mend: Write does: torque zero and kind: software, if that is what the car has; if not, add the check.
    """
    check = _check(look)
    if check is None:
        yield not_applicable("no pedal-vs-brake check is described")
        return
    if check.kind == "hardware":
        yield finding((*PLACE, "kind"), "the check is described as hardware", "must be software in the unit that commands torque")
    elif isinstance(check.does, str) and check.does != "torque zero":
        yield finding((*PLACE, "does"), f"the check is said to do: {check.does}", "must take the torque to zero; it does not open the loop")
    elif not isinstance(check.does, str):
        yield unsaid(check.does, (*PLACE, "does"), "what the check does", "must take the torque to zero")
    elif not isinstance(check.kind, str):
        yield unsaid(check.kind, (*PLACE, "kind"), "whether the check is software", "must be software in the unit that commands torque")
    else:
        yield stated((*PLACE, "does"), "the check is software and takes the torque to zero")


@rule("pedal-vs-brake-wrong-unit", SUBJECT, "pedal-vs-brake")
def pedal_vs_brake_wrong_unit(look: Look) -> Iterator[Outcome]:
    """The pedal-vs-brake check runs in the unit that commands torque.

    Why: A unit that does not command torque can only ask another one to act, and that one may have stopped listening.
    Wrong:
        demand: {pedal_vs_brake_check: {runs_in: dashboard}}
        boards: {dashboard: {made_by: team}}
    Right:
        demand: {pedal_vs_brake_check: {runs_in: vehicle_controller}}
    Mend: Move the check, or put right runs_in or torque_commanded_by.
    """
    check, demand = _check(look), _demand(look)
    if check is None or demand is None:
        yield not_applicable("no pedal-vs-brake check is described")
    elif not isinstance(check.runs_in, str):
        yield unsaid(check.runs_in, (*PLACE, "runs_in"), "where the check runs", "must name the unit that commands torque")
    elif not isinstance(demand.torque_commanded_by, str):
        yield unsaid(demand.torque_commanded_by, ("demand", "torque_commanded_by"), "which unit commands torque", "must be said under torque_commanded_by")
    elif _board(look, check.runs_in) != _board(look, demand.torque_commanded_by):
        yield finding((*PLACE, "runs_in"), f"the check runs in {check.runs_in} and torque is commanded by {demand.torque_commanded_by}", "must be the same unit")
    elif any(check.runs_in == element.name for graph in look.networks.values() for element in graph.of_kind(Kind.COIL)):
        yield finding((*PLACE, "runs_in"), f"{check.runs_in} is a relay of the loop", "must be the unit that commands torque")
    else:
        yield holds((*PLACE, "runs_in"), f"the check runs in {check.runs_in}, which commands torque")


def _board(look: Look, unit: str) -> str:
    """The board of a unit that names one, so that a device and its board are the same place."""
    device = look.car.devices.get(unit)
    return device.board if device and isinstance(device.board, str) else unit


@rule("pedal-vs-brake-limit", SUBJECT, "pedal-vs-brake")
def pedal_vs_brake_limit(look: Look) -> Iterator[Outcome]:
    """The check acts soon enough, at or below the torque, travel and power of the edition.

    Why: A threshold above the limit lets the car push against its own brakes.
    Wrong:
        demand: {pedal_vs_brake_check: {trips: {after: 600 ms}}}
    Right:
        demand: {pedal_vs_brake_check: {trips: {after: 500 ms}}}
    Mend: Set threshold and time within the limits of the edition, with their tolerances.
    """
    check = _check(look)
    if check is None:
        yield not_applicable("no pedal-vs-brake check is described")
        return
    if isinstance(check.trips, Unknown):
        yield not_evaluated((*PLACE, "trips"), "when the check acts is unknown")
        return
    trips = check.trips or CheckTrips()
    alternatives = [
        ("torque", "torque_above", "the torque demand from which it acts"),
        ("travel", "travel_above", "the pedal travel from which it acts"),
        ("power", "power_above", "the power from which it acts"),
        ("time", "after", "the time until it acts"),
    ]
    for limit_name, field, what in alternatives:
        found = look.limit("pedal-vs-brake", limit_name)
        if found is None:
            continue
        limit, bound = found
        yield _within(getattr(trips, field), Limit(compare="at most", value=limit.value), bound, (*PLACE, "trips", field), what)
    if trips.whichever == "comes last":
        yield finding((*PLACE, "trips", "whichever"), "the later of torque and power counts", "must be whichever comes first")
    elif trips.torque_above is not None and trips.power_above is not None and not isinstance(trips.whichever, str):
        yield unsaid(trips.whichever, (*PLACE, "trips", "whichever"), "which of torque and power counts", "must be whichever comes first")


@rule("pedal-vs-brake-release", SUBJECT, "pedal-vs-brake-release")
def pedal_vs_brake_release(look: Look) -> Iterator[Outcome]:
    """The torque returns only when the pedal is nearly released, whatever the brakes do.

    Why: If the torque returns as the brake is let go, the car jumps with the pedal still down.
    Wrong:
        demand: {pedal_vs_brake_check: {releases: {pedal_below: 15 %}}}
    Right:
        demand: {pedal_vs_brake_check: {releases: {pedal_below: 4 %}}}
    Mend: Release below the pedal travel of the edition, at the torque it gives.
    """
    check = _check(look)
    if check is None:
        yield not_applicable("no pedal-vs-brake check is described")
        return
    if isinstance(check.releases, Unknown):
        yield not_evaluated((*PLACE, "releases"), "when the check ends is unknown")
        return
    releases = check.releases or CheckReleases()
    for limit_name, field, what in (("pedal", "pedal_below", "the pedal travel below which torque returns"), ("torque", "torque", "the torque at that moment")):
        found = look.limit("pedal-vs-brake-release", limit_name)
        if found is not None:
            limit, bound = found
            yield _within(getattr(releases, field), Limit(compare="at most", value=limit.value), bound, (*PLACE, "releases", field), what)


def _within(value: Quantity | Unknown | None, limit: Limit, bound: Quantity, place: tuple[str, ...], what: str) -> Outcome:
    if isinstance(value, Unknown):
        return not_evaluated(place, f"{what} is unknown")
    if value is None:
        return finding(place, f"{what} is not given", f"must be {limit.compare} {bound}")
    if not keeps(limit, bound, value):
        return finding(place, f"{what} is {value}", f"must be {limit.compare} {bound}")
    return holds(place, f"{what} is {value}, {limit.compare} {bound}")


@rule("released-pedal-torque", SUBJECT, "pedal-released")
def released_pedal_torque(look: Look) -> Iterator[Outcome]:
    """With the accelerator pedal released the wheels get no driving torque.

    Why: A car that creeps drives into whoever stands before it.
    Wrong:
        demand: {released_pedal: 5 Nm}
    Right:
        demand: {released_pedal: -12 Nm}
    Mend: Let the torque be zero or braking with the pedal released, and write released_pedal.
    """
    demand = look.car.demand
    torque = demand.released_pedal if isinstance(demand, Demand) else demand
    yield measured(look, "pedal-released", "torque", torque, ("demand", "released_pedal"), "the torque with the pedal released")


@rule("function-raises-torque", SUBJECT, "pedal-functions")
def function_raises_torque(look: Look) -> Iterator[Outcome]:
    """Functions of the controller only lower the torque that the driver asks for.

    Why: More torque than the foot asks for is a fault, whatever the function is called.
    Wrong:
        demand: {functions: {launch_control: may raise torque}}
    Right:
        demand: {functions: {launch_control: only lowers torque}}
    Mend: Limit what the function gives to the driver's demand.
    """
    demand = _demand(look)
    functions = demand.functions if demand else {}
    for name, does in functions.items():
        place: Path = ("demand", "functions", name)
        if does == "may raise torque":
            yield finding(place, f"{name} may raise the torque above the driver's demand", "must only lower it")
        else:
            yield stated(place, f"{name} only lowers the torque")
    if not functions:
        yield not_applicable("no function that changes the torque is described")


RULES = (
    pedal_vs_brake_missing,
    pedal_vs_brake_opens_loop,
    pedal_vs_brake_wrong_unit,
    pedal_vs_brake_limit,
    pedal_vs_brake_release,
    released_pedal_torque,
    function_raises_torque,
)
