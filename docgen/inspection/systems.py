"""Tests outside the loops: pre-charge, discharge, insulation and bonding, lights."""

from collections.abc import Iterator
from dataclasses import replace

from docgen.analysis.active_light import LIGHT
from docgen.analysis.insulation import POINTS
from docgen.analysis.intermediate import ACCUMULATORS, INVERTERS, tractive
from docgen.analysis.precharge import is_timed, precharges
from docgen.inspection.facts import Facts
from docgen.inspection.opening import voltage_words
from docgen.inspection.protective import REACTIONS, lamp_check
from docgen.inspection.test import Caution, Group, Sight, Test
from docgen.provenance import spelled
from docgen.quantity import Quantity

_HIGH = (Caution.HIGH_VOLTAGE, Caution.STORED_CHARGE)


def groups(facts: Facts) -> Iterator[Group]:
    """Pre-charge, discharge, insulation, lights; nothing of what the description does not name."""
    for name in tractive(facts.look).accumulators:
        yield Group(f"accumulator.{name}", f"Accumulator {name}", tuple(_accumulator(facts, name)))
    for name in tractive(facts.look).inverters:
        yield Group(f"inverter.{name}", f"Inverter {name}", tuple(_inverter(facts, name)))
    yield Group("insulation", "Insulation, measuring points, bonding", tuple(_insulation(facts)))
    yield Group("lights", "Active light and other lights", tuple(_lights(facts)))
    yield from _controllers(facts)


def _controllers(facts: Facts) -> Iterator[Group]:
    """Controllers that stand in no loop, and what the loss of their feed does."""
    for path, name, device in facts.look.devices("controller"):
        if name not in facts.look.places_in_loops:
            lost = (*path, "when_lost", "feed")
            steps = (
                "Wheels off the ground, ready to drive, wheels turning slowly.",
                f"Take the feed of {name} away{f' ({device.feed})' if isinstance(device.feed, str) else ''}.",
                "Put it back; pedal released.",
            )
            test = facts.test(
                f"{name}/loss-of-feed",
                "Feed taken away",
                steps,
                (facts.sight(lost, REACTIONS),),
                (lost, (*path, "feed"), (*path, "board")),
                cautions=(Caution.HIGH_VOLTAGE, Caution.TURNING_WHEELS),
            )
            yield Group(name, facts.look.printed(name), (test,))


def _accumulator(facts: Facts, name: str) -> Iterator[Test]:
    path, head = (*ACCUMULATORS, name), f"accumulator.{name}"
    described = precharges(facts.look).get(name)
    charging = (*path, "precharge")
    if described is None:
        sight = Sight(facts.missing(charging), spelled(charging), False)
        yield facts.test(
            f"{head}/precharge",
            "Pre-charge",
            ("Make the tractive system active; watch the order of the contacts.",),
            (sight,),
            (charging,),
            cautions=_HIGH,
        )
    else:
        level = facts.computed(
            "share of the accumulator voltage behind the contactors at the moment when the second contactor closes",
            facts.named("precharge-level", about=charging),
            else_missing=facts.missing((*charging, "at")),
            dimension="share",
        )
        steps = (
            "Two isolated probes: accumulator voltage before, intermediate circuit behind the contactors; oscilloscope or logger.",
            "Make the tractive system active.",
            "Read both voltages at the moment when the second contactor closes.",
        )
        order = (facts.sight((*charging, "first"), "first closes: {}"), facts.sight((*charging, "relay"), "the pre-charge relay closes: {}"))
        yield facts.test(
            f"{head}/precharge-level",
            "Voltage before the second contactor closes",
            steps,
            order,
            tuple((*charging, field) for field in ("first", "relay", "ends", "at", "after", "sensing_error")),
            level,
            _HIGH,
        )
        if is_timed(described):
            time = facts.stated("time from the start until the second contactor closes", (*charging, "after"))
        else:
            time = facts.computed(
                "time from the start until the second contactor closes",
                facts.named("precharge-time", about=charging),
                else_missing=facts.missing((*charging, "resistor")),
            )
        proves = (
            *((*charging, field) for field in ("resistor", "at", "after", "load_current")),
            *((*INVERTERS, inverter, "capacitance") for inverter in tractive(facts.look).inverters),
        )
        yield facts.test(
            f"{head}/precharge-time",
            "Duration of the pre-charge",
            ("As before; read the time between the start and the second contactor.",),
            (),
            proves,
            time,
            _HIGH,
        )
        attempts = (
            facts.sight((*charging, "attempts"), "it starts {} times in a row"),
            facts.sight((*charging, "attempts_within"), "then it pauses, until in all {} have gone by"),
        )
        yield facts.test(
            f"{head}/precharge-attempts",
            "Starts in a row",
            ("Start and open the loop at once, again and again; count, stopwatch from the first start.",),
            attempts,
            ((*charging, "attempts"), (*charging, "attempts_within")),
            cautions=_HIGH,
        )
    yield facts.test(
        f"{head}/voltage-indicator",
        "Voltage indicator",
        ("Make the tractive system active, then open the loop.", "LV master off while the voltage is still there."),
        (facts.sight((*path, "voltage_indicator"), "as described: {}"),),
        ((*path, "voltage_indicator"),),
        cautions=_HIGH,
    )


def _inverter(facts: Facts, name: str) -> Iterator[Test]:
    path, head = (*INVERTERS, name), f"inverter.{name}"
    found = facts.named("discharge-time", about=path)
    if facts.never_high:
        return
    figure = facts.computed(
        f"time from the opening of the loop until {name} is below {voltage_words(facts)}", found, "at most", facts.missing((*path, "discharge"))
    )
    steps = (
        "Tractive system active at its highest voltage; write the voltage down under remark.",
        "Open the loop; stopwatch.",
        "Read when the voltage of the intermediate circuit falls below the limit.",
    )
    proves = ((*path, "capacitance"), (*path, "discharge"), ("tractive_system", "voltage", "highest"))
    yield facts.test(
        f"{head}/discharge-time", "Discharge", steps, (facts.sight((*path, "discharge", "through"), "it is switched by: {}"),), proves, figure, _HIGH
    )
    sight = Sight("it discharges as soon, although low voltage is gone", spelled((*path, "discharge", "through")))
    yield facts.test(
        f"{head}/discharge-without-supply",
        "Discharge with low voltage off",
        ("Tractive system active. LV master off; stopwatch.",),
        (sight,),
        proves,
        figure,
        _HIGH,
    )


def _insulation(facts: Facts) -> Iterator[Test]:
    for pole in ("positive", "negative"):
        sight = facts.sight((*POINTS, "connected_to"), "connected to: {}")
        resistor = facts.stated(f"resistance from the {pole} measuring point to its conductor", (*POINTS, "resistor"))
        steps = (
            "Tractive system locked off, measured dead, housing opened by a qualified person.",
            f"Ohmmeter from the {pole} jack to the conductor behind the contactor.",
        )
        yield facts.test(
            f"insulation/measuring-point-{pole}",
            f"Resistor of the {pole} measuring point",
            steps,
            (sight,),
            ((*POINTS, "resistor"), (*POINTS, "connected_to")),
            resistor,
            (Caution.LOCKED_OFF_FIRST, Caution.STORED_CHARGE),
        )
    monitors = [(path, name) for path, name, _ in facts.look.devices("insulation monitor")]
    for path, name in monitors:
        below = (*path, "response", "below")
        value = facts.at(below)
        figure = facts.stated("insulation resistance of the worse pole to chassis", below, side="at least")
        if isinstance(value, Quantity):
            figure = replace(figure, low=float(value.high), source=f"{figure.source}: above what {name} reports")
        steps = (
            "Everything plugged together, monitor disconnected, contactors open.",
            "Insulation tester at a test voltage that every part withstands, each measuring point to the ground point, one minute each; discharge afterwards.",
        )
        yield facts.test(
            f"insulation/resistance-{name}",
            f"Insulation, {name} disconnected",
            steps,
            (),
            (below,),
            figure,
            (Caution.LOCKED_OFF_FIRST, Caution.STORED_CHARGE),
        )
    bonding = ("tractive_system", "grounding")
    tested = facts.at((*bonding, "tested_with"))
    meter = f"Four-wire measurement at {tested}." if tested is not None else "Four-wire measurement at the current of the clause."
    for field, key, what in (
        ("near_parts", "near", "conductive parts near electrical parts"),
        ("possibly_conductive", "possibly", "parts that may become conductive"),
    ):
        figure = facts.stated(f"largest resistance from {what} to the ground point", (*bonding, field), "grounding", (key,), "at most")
        yield facts.test(
            f"insulation/bonding-{field.replace('_', '-')}",
            f"Bonding of {what}",
            (meter, "Write the worst place under remark."),
            (),
            ((*bonding, field), (*bonding, "conductor")),
            figure,
            (Caution.LOCKED_OFF_FIRST,),
        )


def _lights(facts: Facts) -> Iterator[Test]:
    red = facts.stated("voltage above which it shows red", (*LIGHT, "red_above"), "active-light-red", ("voltage",))
    slow = (
        "Bench supply at the sensing input of the red light, tractive system locked off; isolated and limited to 10 mA.",
        "Raise the voltage slowly until red comes.",
    )
    yield facts.test(
        "lights/red-above",
        "Active light, where red begins",
        slow,
        (facts.sight((*LIGHT, "senses"), "it senses: {}"),),
        ((*LIGHT, "red_above"), (*LIGHT, "senses"), (*LIGHT, "logic")),
        red,
        (Caution.LOCKED_OFF_FIRST, Caution.STORED_CHARGE),
    )
    flash = facts.stated("flashing frequency, counted over 20 s", (*LIGHT, "frequency"), "active-light-flash", ("slowest", "fastest"))
    yield facts.test(
        "lights/flash",
        "Active light, flashing",
        ("Tractive system active. Count the flashes of 20 s.",),
        (Sight("red flashes, green is out", spelled(LIGHT)),),
        ((*LIGHT, "frequency"), (*LIGHT, "place")),
        flash,
        _HIGH,
    )
    yield facts.test(
        "lights/green",
        "Active light, green",
        ("LV master on, tractive system off.", "Walk round the car."),
        (Sight("green is lit steadily, red is out", spelled(LIGHT)), facts.sight((*LIGHT, "place"), "place: {}")),
        ((*LIGHT, "senses"), (*LIGHT, "place")),
    )
    steps = ("Tractive system locked off. Unplug one auxiliary contact or sensing line after the other.", "Put it back.", "LV master off and on.")
    yield facts.test(
        "lights/implausible",
        "Active light, states that contradict",
        steps,
        (facts.sight((*LIGHT, "implausible"), "{}"),),
        ((*LIGHT, "implausible"), (*LIGHT, "independent"), (*LIGHT, "senses")),
        cautions=(Caution.LOCKED_OFF_FIRST,),
    )
    runs = facts.stated("time that it shows the state with low voltage off", (*LIGHT, "runs_on"), "active-light-runtime", ("time",), "at least")
    yield facts.test("lights/runs-on", "Active light without low voltage", ("LV master off; stopwatch.",), (), ((*LIGHT, "runs_on"),), runs)
    lamp = ("tractive_system", "off_lamp")
    yield facts.test(
        "lights/off-lamp",
        "Cockpit lamp, tractive system off",
        ("Tractive system off, active, off again; a person on the driver's seat.",),
        (
            facts.sight((*lamp, "colour"), "colour: {}"),
            facts.sight((*lamp, "label"), "written beside it: {}"),
            facts.sight((*lamp, "follows"), "it follows {}"),
        ),
        (lamp,),
        cautions=_HIGH,
    )
    for name in tractive(facts.look).indicators:
        yield from lamp_check(facts, f"lights/{name}", ("tractive_system", "indicators", name), must=False)
    in_loops = set(facts.look.places_in_loops)
    for path, name, _ in facts.look.devices("indicator", "other", "controller"):
        if name not in in_loops:
            yield from lamp_check(facts, f"lights/{name}", (*path, "lamp"), must=False)
    light = ("demand", "brake_light")
    yield facts.test(
        "lights/brake-light",
        "Brake light",
        ("LV master on; press the brake, release it.",),
        (facts.sight((*light, "lit_by"), "it is lit by: {}"), facts.sight((*light, "colour"), "colour: {}")),
        (light,),
    )
