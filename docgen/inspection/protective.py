"""Tests of powered devices: what is taken away from them, what their sensors lose, and what each kind must notice."""

import re
from collections.abc import Iterator
from dataclasses import replace

from docgen.analysis.insulation import POINTS
from docgen.analysis.plausibility import Watched, watched
from docgen.car.demand import FailureMode, Signal
from docgen.car.device import Device
from docgen.car.values import Unknown
from docgen.inspection.facts import Facts
from docgen.inspection.opening import contact_fields, dropped, follows, opening_sights, until_safe
from docgen.inspection.resets import reset_tests
from docgen.inspection.test import Caution, Figure, Sight, Test
from docgen.look import ELECTRONIC
from docgen.network import Element, Kind, Network, modes
from docgen.printing import measure
from docgen.provenance import Path, spelled
from docgen.quantity import Quantity

REACTIONS = {
    "opens": "the loop opens",
    "stays": "nothing happens; the loop stays closed",
    "torque zero": "the torque goes to zero; the tractive system may stay active",
    "opens and torque zero": "the loop opens and the torque goes to zero",
}
LINES = (
    ("open", "open-line", "Open"),
    ("to_ground", "line-to-ground", "Short to its ground"),
    ("to_supply", "line-to-supply", "Short to its supply"),
)
"""Field of a sensor, act in the slug, what is done to its line."""

_ON = "Loop closed, tractive system active, wheels off the ground."


_CELLS = re.compile(r"\b(?:cells?|taps?|accumulator|pack|tractive|TS|poles?|positive|negative|contactors?)\b|volt", re.IGNORECASE)
_NOT_CELLS = re.compile(r"temperature|\bcurrent\b", re.IGNORECASE)


NOT_AT_THE_CAR = (
    "Not at the car: the line comes from cells or from the tractive system, and no switch makes it dead. Isolated sources of at most 100 mA in their place."
)


def is_live(*words: object) -> bool:
    """Whether a line comes from cells or from the tractive system, so that no switch makes it dead; what is not clear counts as such."""
    said = " ".join(word.replace("_", " ") for word in words if isinstance(word, str))
    return bool(_CELLS.search(said)) and not _NOT_CELLS.search(said)


def _watched(facts: Facts, name: str, live: bool = False) -> str:
    """Where the contact of a device is watched: in the car with the tractive system locked off, else on the bench."""
    closed = facts.look.closed_in("off", modes(facts.look.car)[0])
    seen_off = any(closed(element) for graph in facts.look.networks.values() for element in graph.of_kind(Kind.CONTACT) if element.name == name)
    if live:
        return f"{NOT_AT_THE_CAR} {name} on the bench, meter across its contact, the contact closed."
    if not seen_off:
        return f"In the car its contact is open while the tractive system is off, and shows nothing. {name} on the bench, fed so that its contact is closed, meter across it."
    return f"TS master locked off, measured dead. LV master on, voltmeter behind the contact of {name} in the loop."


_LOSSES = (
    ("signal", "loss-of-signal", "Part the line that drives its output"),
    ("ground", "loss-of-ground", "Part its ground line"),
    ("stage_feed", "loss-of-stage-feed", "Take the feed of its output stage away"),
    ("latch_feed", "loss-of-latch-feed", "Take the feed of its latch away"),
    ("plug", "unplugged", "Unplug it"),
)
"""Field of `when_lost`, act in the slug, what is done."""
_SUPPLY = (
    (
        "start_up",
        "start-up",
        "While its supply rises",
        "LV master off for 30 s, then on; watch its contact until the self-test is done.",
        {
            "holds open": "the loop stays open until the self-test is done",
            "closes": "the loop closes before the self-test is done (see the findings of the checks)",
        },
    ),
    (
        "brown_out",
        "brown-out",
        "While its supply sags",
        "Feed it from a bench supply; lower the voltage slowly from nominal to zero.",
        {"opens": "it opens the loop before it stops working", "stays": "it stays as it is (see the findings of the checks)"},
    ),
)
"""Field of `at_power_up`, act in the slug, title, what is done, what each word of the field lets expect."""


def protective_tests(facts: Facts, graph: Network, name: str) -> Iterator[Test]:
    """Everything that proves a powered device, in the order in which it is worked through at the car."""
    device = facts.look.car.devices[name]
    contacts = [element for element in graph.of_kind(Kind.CONTACT) if element.name == name]
    if device.function == "insulation monitor":
        yield from _insulation_monitor(facts, graph, name, contacts)
    if device.function == "brake plausibility device":
        yield from _plausibility(facts, graph, name, contacts)
    if device.function == "battery management":
        yield from _lamp_and_latch(
            facts, name, "Trip it with the accumulator closed: part a measuring line at an outer connector, or lower a limit for the test."
        )
    for key in device.sensors:
        yield from _sensor_lines(facts, graph, name, device, key)
    yield from _signals(facts, name, device)
    if device.worked_by == "power":
        yield from _losses(facts, graph, name, device, contacts)
        yield from _powered_up(facts, name, device)
    yield from lamp_check(facts, name, ("devices", name, "lamp"))


def _losses(facts: Facts, graph: Network, name: str, device: Device, contacts: list[Element]) -> Iterator[Test]:
    """The feed is taken away under voltage, because a fuse can be pulled from outside; everything else with the tractive system locked off."""
    path = ("devices", name)
    coils = dropped(facts, graph, contacts)
    sights = [facts.sight((*path, "when_lost", "feed"), REACTIONS)]
    if facts.at((*path, "when_lost", "feed")) == "opens" and coils:
        sights += opening_sights(facts, graph, coils)
    if device.latch is not None:
        back = {
            "open": "with the feed back, the loop stays open until the reset",
            "closed": "with the feed back, the loop closes (see the findings of the checks)",
        }
        sights.append(facts.sight((*path, "latch", "when_feed_returns"), back))
    proves = ((*path, "feed"), (*path, "board"), (*path, "stage"))
    yield facts.test(
        f"{name}/loss-of-feed",
        "Feed taken away",
        (_ON, _without_feed(facts, name, device), "Put it back."),
        sights,
        ((*path, "when_lost", "feed"), *proves),
        cautions=(Caution.HIGH_VOLTAGE, Caution.STORED_CHARGE, Caution.ONE_AT_A_TIME),
        follows=follows(graph, coils),
    )
    for field, act, what in _LOSSES:
        lost = (*path, "when_lost", field)
        if facts.at(lost) is not None:
            steps, cautions = (_watched(facts, name), f"{what}: {name}.", "Put it back; reset."), _at_rest(device, Caution.ONE_AT_A_TIME)
            yield facts.test(f"{name}/{act}", what, steps, (facts.sight(lost, REACTIONS),), (lost, *proves), cautions=cautions)


def _without_feed(facts: Facts, name: str, device: Device) -> str:
    """How the feed is taken from one device alone: by its fuse, unless that serves others too."""
    feeds, fuse = facts.at(("low_voltage", "feeds")), facts.at(("low_voltage", "feeds", str(device.feed), "through"))
    served = [key for key, feed in feeds.items() if feed.through == fuse] if isinstance(feeds, dict) else []
    fuses_of_loops = {element.name for graph in facts.look.networks.values() for element in graph.of_kind(Kind.FUSE)}
    if isinstance(fuse, str) and len(served) == 1 and fuse not in fuses_of_loops:
        return f"Pull fuse {fuse} of {name}."
    return f"Take the feed of {name} away at its own plug{f'; fuse {fuse} serves others too' if isinstance(fuse, str) else ''}."


def _at_rest(device: Device, *more: Caution) -> tuple[Caution, ...]:
    """The cautions of a test with the tractive system locked off; battery management and insulation monitor are wired to the cells."""
    wired = device.function in ("battery management", "insulation monitor")
    return (Caution.LOCKED_OFF_FIRST, *((Caution.OPEN_CELLS,) if wired else ()), *more)


def _powered_up(facts: Facts, name: str, device: Device) -> Iterator[Test]:
    """What the device does while its supply rises or sags."""
    for field, act, title, step, said in _SUPPLY:
        path = ("devices", name, "at_power_up", field)
        if device.function in ELECTRONIC or facts.at(path) is not None:
            yield facts.test(f"{name}/{act}", title, (_watched(facts, name), step), (facts.sight(path, said),), (path,), cautions=_at_rest(device))


def _sensor_lines(facts: Facts, graph: Network, name: str, device: Device, key: str) -> Iterator[Test]:
    """Each line of a sensor opened and shorted, one at a time."""
    contacts = [element for element in graph.of_kind(Kind.CONTACT) if element.name == name]
    coils = dropped(facts, graph, contacts)
    path: Path = ("devices", name, "sensors", key)
    measures = facts.at((*path, "measures"))
    for field, act, what in LINES:
        if facts.at((*path, field)) == "not possible":
            continue
        sights = [facts.sight((*path, field), REACTIONS)]
        if facts.at((*path, "acts_alone")) is not None:
            sights.append(facts.sight((*path, "acts_alone"), "it acts {}"))
        live = is_live(key, measures)
        steps = (
            _watched(facts, name, live),
            f"{what}: the {'input' if live else 'line'} of {key}{f' ({measures})' if isinstance(measures, str) else ''}. Nothing else is changed.",
            "Put it back; reset.",
        )
        figure = _line_time(facts, name, device, key, field)
        cautions = _at_rest(device, *((Caution.SHORT_CIRCUITS,) if field != "open" else ()))
        proves = ((*path, field), (*path, "acts_alone"), (*path, "place"), ("devices", name, "stage"))
        yield facts.test(f"{name}/{act}-{key}", f"{what}: {key}", steps, sights, proves, figure, cautions, follows(graph, coils))


def _line_time(facts: Facts, name: str, device: Device, key: str, field: str) -> Figure:
    """How soon a damaged line is noticed: what its signal says, else the delay of a battery management for such a measurement."""
    what = "time until it acts"
    signal, mode = facts.at(("signals", key)), {"open": "open", "to_ground": "ground", "to_supply": "supply"}[field]
    if isinstance(signal, Signal) and isinstance(signal.failure_modes, tuple):
        for number, failure in enumerate(signal.failure_modes):
            if isinstance(failure.mode, str) and mode in failure.mode.split():
                return facts.stated(what, ("signals", key, "failure_modes", number, "within"), "critical-signals", ("delay",), "at most")
    if device.function == "battery management":
        words = f"{key} {facts.at(('devices', name, 'sensors', key, 'measures')) or ''}".casefold()
        kinds = [kind for kind in ("temperature", "current", "voltage") if kind in words] or ["voltage"]
        return facts.stated(what, ("devices", name, "watches", f"{kinds[0]}_delay"), "cell-delays", (kinds[0],), "at most")
    return Figure(what, "time", None, None, "", f"signals.{key} is not said, so nothing tells how soon")


def _signals(facts: Facts, name: str, device: Device) -> Iterator[Test]:
    """Failures of signals that end or begin at the device and are none of its sensors."""
    for key, signal in facts.look.car.signals.items():
        if key not in device.sensors and name in (signal.end, signal.start) and isinstance(signal.failure_modes, tuple):
            for number, failure in enumerate(signal.failure_modes):
                yield signal_test(facts, name, key, number, failure, _watched(facts, name, is_live(key, signal.start)))


def signal_test(facts: Facts, head: str, key: str, number: int, failure: FailureMode, watch: str) -> Test:
    """One way in which a signal can fail."""
    path: Path = ("signals", key, "failure_modes", number)
    mode = failure.mode if isinstance(failure.mode, str) else f"failure {number + 1}"
    sights: tuple[Sight, ...] = (facts.sight((*path, "does"), REACTIONS), facts.sight((*path, "detected_by"), "noticed by: {}"))
    if isinstance(failure.tested, str):
        sights = (*sights, Sight(f"tested by the team: {failure.tested}", spelled((*path, "tested"))))
    fields = {f"signals.{key}: {mode}, {field}": str(getattr(failure, field) or "not said") for field in ("does", "detected_by", "within")}
    return facts.test(
        f"{head}/{key}-{_hyphened(mode)}",
        f"{key}: {mode}",
        (watch, f"Bring about: {mode}, signal {key}{_way(facts.look.car.signals[key])}.", "Put it back; reset."),
        sights,
        (),
        facts.stated("time until it acts", (*path, "within"), "critical-signals", ("delay",), "at most"),
        (Caution.LOCKED_OFF_FIRST, Caution.SHORT_CIRCUITS),
        fields,
    )


def _way(signal: Signal) -> str:
    ends = [end for end in (signal.start, signal.end) if isinstance(end, str)]
    return f" ({' to '.join(ends)})" if ends else ""


def _hyphened(words: str) -> str:
    return "-".join("".join(letter if letter.isalnum() else " " for letter in words.lower()).split())[:60]


def lamp_check(facts: Facts, head: str, path: Path, must: bool = True) -> Iterator[Test]:
    """The lamp and its colour; where it `must`, or says so, it also shows itself when low voltage comes on."""
    if facts.at(path) is None or isinstance(facts.at(path), Unknown):
        return
    figure = None
    if must or facts.at((*path, "check")) is not None:
        figure = facts.stated(
            "time that the lamp is lit after the LV master was switched on", (*path, "check"), "lamp-check", ("shortest", "longest")
        )
    sights = (
        facts.sight((*path, "colour"), "its colour: {}"),
        facts.sight((*path, "label"), "beside it is written: {}"),
        facts.sight((*path, "lit"), "it is lit: {}"),
    )
    yield facts.test(
        f"{head}/lamp", "Lamp", ("LV master off for 30 s, then on, a person on the driver's seat watching the lamp.",), sights, (path,), figure
    )


def _lamp_and_latch(facts: Facts, name: str, trip: str) -> Iterator[Test]:
    """What stays after a trip whose cause has gone, what brings it back and what does not."""
    path = ("devices", name)
    sights = [facts.sight((*path, "latch", "by"), "the loop stays open, held by: {}")]
    if facts.at((*path, "lamp", "lit")) is not None:
        sights.append(facts.sight((*path, "lamp", "lit"), "the lamp is lit: {}"))
    if facts.at((*path, "reset", "by_lv_master")) is not None:
        after = {
            "stays tripped": "after the LV master was off and on, the loop is still open",
            "clears": "after the LV master was off and on, the trip is cleared",
        }
        sights.append(facts.sight((*path, "reset", "by_lv_master"), after))
    yield facts.test(
        f"{name}/latch",
        "Stays open after the cause has gone",
        (trip, "Take the cause away; wait 60 s.", "Try to start.", "LV master off for 10 s, on; try to start."),
        sights,
        ((*path, "latch"), (*path, "reset", "by_lv_master"), (*path, "stage")),
        cautions=(Caution.HIGH_VOLTAGE,),
    )
    yield from reset_tests(facts, name, trip)


def _insulation_monitor(facts: Facts, graph: Network, name: str, contacts: list[Element]) -> Iterator[Test]:
    coils, path = dropped(facts, graph, contacts), ("devices", name)
    boxes = list(zip(facts.named("monitor-test-box"), facts.named("monitor-test-power"), strict=True))
    sights = []
    for box, power in boxes:
        resistor = next(given for given in box.given if given.symbol == "R")
        if power.result:
            how = box.title.rpartition(", ")[2]
            sights.append(
                Sight(
                    f"test resistor {measure(resistor.band.nominal, 'Ω')} ({how}), rated for at least {measure(power.result.high, 'W')}",
                    "calculation monitor-test-box",
                )
            )
    if not boxes:
        sights.append(
            Sight("the test resistor: voltage of the tractive system, or the ratio of the edition", "calculation monitor-test-fault", False)
        )
    figure = until_safe(facts, graph, coils, "insulation monitor")
    clause = facts.clause("monitor-test", "time")
    if figure and clause:
        figure = replace(figure, source=f"{figure.source.partition('; ')[0]}; {clause}")
    trip = "Plug the test resistor in between a measuring point and the ground point."
    results = {"test resistors": "; ".join(sight.words for sight in sights)}
    for pole in ("positive", "negative"):
        yield facts.test(
            f"{name}/test-resistor-{pole}",
            f"Test resistor at the {pole} measuring point",
            (_ON, f"{trip.removesuffix('.')}, {pole} pole. Stopwatch from the plugging in.", "Read when the voltmeter falls below the limit."),
            (*sights, *opening_sights(facts, graph, coils)),
            (
                *contact_fields(facts, name),
                (*path, "response"),
                (*path, "connected_on"),
                (*path, "stage"),
                ("tractive_system", "voltage", "highest"),
                (*POINTS, "resistor"),
            ),
            figure,
            (Caution.HIGH_VOLTAGE, Caution.STORED_CHARGE),
            follows(graph, coils) | results,
        )
    response = facts.stated("resistance at which it reports, box and measuring point together", (*path, "response", "below"))
    yield facts.test(
        f"{name}/response-value",
        "Value at which it reports",
        (
            "Tractive system off: decade box, rated for this voltage and for the power of the test resistor, set to ten times the value, between a measuring point and the ground point. Then active.",
            "Lower it in small steps, a minute each, until it reports.",
            "Add the resistor of the measuring point to what the box shows.",
        ),
        (facts.sight((*POINTS, "resistor"), "resistor of the measuring point to be added: {}"),),
        ((*path, "response", "below"), (*POINTS, "resistor")),
        response,
        (Caution.HIGH_VOLTAGE, Caution.STORED_CHARGE),
    )
    yield from _lamp_and_latch(facts, name, trip)


def _plausibility(facts: Facts, graph: Network, name: str, contacts: list[Element]) -> Iterator[Test]:
    coils, path = dropped(facts, graph, contacts), ("devices", name)
    sensors = [*watched(facts.look, "current"), *watched(facts.look, "pressure")]
    own = [sensor for sensor in sensors if sensor.device == name]
    for kind in ("current", "pressure"):
        if not any(sensor.measured == kind for sensor in own):
            sight = Sight(f"no sensor of devices.{name} with a curve or threshold of a {kind}", spelled((*path, "sensors")), False)
            yield facts.test(
                f"{name}/threshold-of-{kind}",
                f"Threshold of the {kind}",
                (f"Raise the {kind} slowly until it acts.",),
                (sight,),
                ((*path, "sensors"),),
            )
    for sensor in own:
        yield from _threshold(facts, sensor, tuple(other.name for other in own if other is not sensor))
    only = Sight("neither condition alone opens the loop", spelled((*path, "thresholds")))
    yield facts.test(
        f"{name}/one-condition",
        "One condition alone",
        (
            _watched(facts, name),
            "Feed the signals of the sensors from a bench supply. First the current above its threshold, no pressure, 5 s; then the pressure above its threshold, no current, 5 s.",
        ),
        (only,),
        ((*path, "thresholds"), (*path, "delay")),
        cautions=(Caution.LOCKED_OFF_FIRST, Caution.SHORT_CIRCUITS),
    )
    acts = facts.computed(
        "time from both conditions until the loop is open", facts.named("plausibility-time", about=path), else_missing=facts.missing((*path, "delay"))
    )
    yield facts.test(
        f"{name}/delay",
        "Both conditions",
        (
            _watched(facts, name),
            "Oscilloscope in place of the voltmeter, and at one signal.",
            "Both signals above their thresholds, the second as a step.",
            "Then once more for less than the lower end of the band.",
        ),
        (
            Sight("the loop opens", spelled((*path, "contact"))),
            Sight("conditions that last less than the lower end leave the loop closed", spelled((*path, "delay"))),
        ),
        ((*path, "delay"), (*path, "stage"), (*path, "contact")),
        acts,
        (Caution.LOCKED_OFF_FIRST, Caution.SHORT_CIRCUITS),
        follows(graph, coils),
    )
    yield from _comes_back(facts, name)


def _threshold(facts: Facts, sensor: Watched, others: tuple[str, ...]) -> Iterator[Test]:
    """The threshold as a signal at the plug of the sensor, and as what the sensor really reads."""
    name, key, path = sensor.device, sensor.name, ("devices", sensor.device)
    held = f"Hold {' and '.join(others)} well above its threshold. " if others else ""
    proves = (sensor.set_at, (*sensor.place, "curve"), (*sensor.place, "error"), (*sensor.place, "output"))
    about = facts.named("plausibility-trip-current" if sensor.measured == "current" else "plausibility-brake-threshold", about=sensor.set_at)
    if isinstance(sensor.threshold, Quantity) and sensor.threshold.dimension == "voltage":
        yield facts.test(
            f"{name}/threshold-signal-{key}",
            f"Threshold of {key}, as a signal",
            (_watched(facts, name), f"Feed the signal line of {key} from an adjustable supply. {held}Raise it slowly until the loop opens.",),
            (),
            (sensor.set_at,),
            facts.stated("voltage of the signal at which it acts", sensor.set_at),
            (Caution.LOCKED_OFF_FIRST, Caution.SHORT_CIRCUITS),
        )
    unit = "current" if sensor.measured == "current" else "pressure"
    how = (
        "Send a direct current through the sensor with several turns of an insulated wire and count current times turns"
        if unit == "current"
        else "Press the brake slowly, pressure gauge in the circuit"
    )
    figure = facts.computed(f"{unit} at which it acts", about, else_missing=facts.missing(sensor.set_at), dimension=unit)
    sights = []
    least = facts.named("plausibility-limit-current")
    if unit == "current" and least and least[0].result:
        sights.append(
            Sight(
                f"at {measure(least[0].result.low, 'A')} and above it has acted",
                f"calculation plausibility-limit-current; {facts.clause('plausibility-power', 'power')}",
            )
        )
    yield facts.test(
        f"{name}/threshold-{key}",
        f"Threshold of {key}, by what it reads",
        ("Tractive system off and locked off.", f"{how}. {held}Read at which {unit} its contact opens."),
        sights,
        (*proves, (*path, "feed")),
        figure,
        (Caution.LOCKED_OFF_FIRST,),
    )


def _comes_back(facts: Facts, name: str) -> Iterator[Test]:
    path = ("devices", name, "reset")
    what, stated = "time after which it comes back by itself", (*path, "self_after")
    made = facts.named("plausibility-self-reset", about=(*path, "timing"))
    if made or facts.at(stated) is not None:
        figure = facts.computed(what, made) if made else facts.stated(what, stated, "plausibility-reset", ("self_after",))
        yield facts.test(
            f"{name}/self-reset",
            "Comes back by itself",
            (_watched(facts, name), "Trip it with both signals; take both away, stopwatch from then.", "Read when its contact closes again."),
            (Sight("before that the loop stays open, whatever the driver presses", spelled(path)),),
            ((*path, "self_after"), (*path, "timing")),
            figure,
            (Caution.LOCKED_OFF_FIRST, Caution.SHORT_CIRCUITS),
        )
    else:
        yield facts.test(
            f"{name}/reset",
            "Comes back",
            (_watched(facts, name), "Trip it with both signals; take both away.", "Reset as described."),
            (facts.sight((*path, "act"), "what resets it: {}"), facts.sight((*path, "who"), "by whom: {}")),
            (path,),
            cautions=(Caution.LOCKED_OFF_FIRST, Caution.SHORT_CIRCUITS),
        )
    by = {
        "clears": "after the LV master was off and on, the trip is cleared",
        "stays tripped": "after the LV master was off and on, the loop is still open",
    }
    if facts.at((*path, "by_lv_master")) is not None:
        yield facts.test(
            f"{name}/lv-master",
            "LV master off and on",
            (_watched(facts, name), "Trip it; take the signals away; at once LV master off and on."),
            (facts.sight((*path, "by_lv_master"), by),),
            ((*path, "by_lv_master"),),
            cautions=(Caution.LOCKED_OFF_FIRST, Caution.SHORT_CIRCUITS),
        )
