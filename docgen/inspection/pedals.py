"""Tests of what the driver asks for: pedal sensors, their checks, brakes, ready to drive."""

from collections.abc import Iterator

from docgen.analysis.pedals import pairs, pedal_sensors
from docgen.car.demand import Demand
from docgen.inspection.facts import Facts
from docgen.inspection.protective import LINES, NOT_AT_THE_CAR, REACTIONS, is_live, signal_test
from docgen.inspection.test import Caution, Figure, Group, Sight, Test
from docgen.printing import measure
from docgen.provenance import Path, spelled

_CHECK: Path = ("demand", "pedal_vs_brake_check")
_DEVIATION: Path = ("demand", "deviation_check")
_ON = "Wheels off the ground, ready to drive, pedal at about a quarter so that the wheels turn slowly."
_LOOP = "TS master locked off, measured dead. LV master on, voltmeter behind the last protective device of the loop."
_BENCH = f"{NOT_AT_THE_CAR} The module that measures on the bench, meter across the contact of the loop that it works."
_TURNING = (Caution.TURNING_WHEELS, Caution.HIGH_VOLTAGE)


def groups(facts: Facts) -> Iterator[Group]:
    """Pedal sensors, brake sensors, the checks, ready to drive, signals that influence the torque."""
    demand = facts.look.car.demand
    if not isinstance(demand, Demand):
        path = ("demand",)
        yield Group(
            "pedals",
            "Driver demand",
            (
                facts.test(
                    "pedals/described",
                    "Driver demand",
                    ("Describe the pedals before they are tested.",),
                    (Sight(facts.missing(path), "demand", False),),
                    (path,),
                ),
            ),
        )
        return
    yield Group(
        "pedals",
        "Accelerator pedal",
        (*_sensors(facts, "pedal_sensors", list(pedal_sensors(facts.look))), *_shorted(facts), *_deviation(facts), *_released(facts)),
    )
    if demand.brake_sensors:
        yield Group("brake-sensors", "Brake sensors of the controller", tuple(_sensors(facts, "brake_sensors", list(demand.brake_sensors))))
    yield Group("pedal-vs-brake", "Software check of pedal against brakes", tuple(_against_brakes(facts)))
    yield Group("ready-to-drive", "Ready to drive", tuple(_ready(facts)))
    signals = tuple(_other_signals(facts, demand))
    if signals:
        yield Group("signals", "Other signals", signals)


def _within(facts: Facts, name: str, field: str) -> Figure:
    """How soon a damaged line takes the torque: what its signal says, else the time of the deviation check."""
    what, mode = "time until the torque is zero", {"open": "open", "to_ground": "ground", "to_supply": "supply"}[field]
    signal = facts.look.car.signals.get(name)
    for number, failure in enumerate(signal.failure_modes if signal and isinstance(signal.failure_modes, tuple) else ()):
        if isinstance(failure.mode, str) and mode in failure.mode.split():
            return facts.stated(what, ("signals", name, "failure_modes", number, "within"), "pedal-deviation", ("time",), "at most")
    return facts.stated(what, (*_DEVIATION, "after"), "pedal-deviation", ("time",), "at most")


def _sensors(facts: Facts, kind: str, names: list[str]) -> Iterator[Test]:
    head = "pedals" if kind == "pedal_sensors" else "brake-sensors"
    for name in names:
        path: Path = ("demand", kind, name)
        connector = facts.at((*path, "connector"))
        place = f" at {connector}" if isinstance(connector, str) else ""
        for field, act, what in LINES:
            if facts.at((*path, field)) == "not possible":
                continue
            sights = [facts.sight((*path, field), REACTIONS)]
            if kind == "pedal_sensors":
                slug = {"open": "pedal-open-line", "to_ground": "pedal-grounded-line", "to_supply": "pedal-supplied-line"}[field]
                for one in facts.named(slug, about=path):
                    if one.result:
                        sights.append(Sight(f"its signal then lies {measure(one.result.low, 'V')} outside the fault window", f"calculation {slug}"))
                    elif one.missing:
                        sights.append(Sight(", ".join(spelled(missing.origin) for missing in one.missing), f"calculation {slug}", False))
            proves = tuple((*path, part) for part in (field, "valid", "pull", "curve", "feed", "supply", "connector"))
            yield facts.test(
                f"{head}/{name}-{act}",
                f"{name}: {what.lower()}",
                (_ON, f"{what}: the signal line of {name}{place}.", "Put it back; pedal released."),
                sights,
                proves,
                _within(facts, name, field),
                (*_TURNING, Caution.SHORT_CIRCUITS),
            )
        yield facts.test(
            f"{head}/{name}-unplugged",
            f"{name}: unplugged",
            (_ON, f"Unplug {name} as a whole{place}.", "Put it back; pedal released."),
            (facts.sight((*path, "open"), REACTIONS),),
            ((*path, "open"), (*path, "unplugs"), (*path, "feed")),
            _within(facts, name, "open"),
            _TURNING,
        )


def _shorted(facts: Facts) -> Iterator[Test]:
    for pair in pairs(facts.look):
        found = facts.named("pedal-short", about=pair.place)
        sights = [facts.sight((*_DEVIATION, "does"), REACTIONS)]
        for one in found:
            if one.result:
                sights.append(Sight(f"the two then differ by at least {measure(one.result.low, '1')} of travel", "calculation pedal-short"))
        figure = facts.stated("time until the torque is zero", (*_DEVIATION, "after"), "pedal-deviation", ("time",), "at most")
        proves = (*((("demand", "pedal_sensors", name, "curve")) for name in (pair.first, pair.second)), _DEVIATION)
        yield facts.test(
            f"pedals/{pair.first}-short-to-{pair.second}",
            f"Signal lines of {pair.first} and {pair.second} together",
            (_ON, f"Bridge the signal lines of {pair.first} and {pair.second}, once released, once at a quarter.", "Part them; pedal released."),
            sights,
            proves,
            figure,
            (*_TURNING, Caution.SHORT_CIRCUITS),
        )


def _deviation(facts: Facts) -> Iterator[Test]:
    limit = facts.stated("deviation at which it acts", (*_DEVIATION, "limit"), "pedal-deviation", ("limit",), "at most")
    steps = (
        "Feed the signal of one sensor from an adjustable supply, equal to the other's.",
        "Move it away slowly until the torque command is zero; read both, as shares of travel.",
    )
    yield facts.test(
        "pedals/deviation",
        "Deviation that is noticed",
        steps,
        (facts.sight((*_DEVIATION, "does"), REACTIONS),),
        (_DEVIATION,),
        limit,
        (*_TURNING, Caution.SHORT_CIRCUITS),
    )
    after = facts.stated(
        "time from a step of the deviation until the torque is zero", (*_DEVIATION, "after"), "pedal-deviation", ("time",), "at most"
    )
    yield facts.test(
        "pedals/deviation-time",
        "How soon it is noticed",
        ("As before, with a step well beyond the limit; logger on torque command and signal.",),
        (),
        ((*_DEVIATION, "after"), (*_DEVIATION, "runs_in")),
        after,
        (*_TURNING, Caution.SHORT_CIRCUITS),
    )


def _released(facts: Facts) -> Iterator[Test]:
    path = ("demand", "released_pedal")
    torque = facts.stated("torque command with the pedal released", path, "pedal-released", ("torque",), "at most")
    yield facts.test(
        "pedals/released",
        "Pedal released",
        ("Ready to drive, pedal released; read the torque command. Take one spring off, press and release; do so with each.",),
        (facts.sight(("demand", "springs"), "each of {} springs returns the pedal alone"), facts.sight(("demand", "stop"), "it stops at: {}")),
        (path, ("demand", "springs"), ("demand", "stop")),
        torque,
        _TURNING,
    )


def _against_brakes(facts: Facts) -> Iterator[Test]:
    trips, releases = (*_CHECK, "trips"), (*_CHECK, "releases")
    sights = [facts.sight((*_CHECK, "does"), REACTIONS), facts.sight((*trips, "brake_above"), "from this brake pressure on: {}")]
    for field, words in (
        ("torque_above", "above this torque demand: {}"),
        ("travel_above", "above this travel: {}"),
        ("power_above", "above this power: {}"),
    ):
        if facts.at((*trips, field)) is not None:
            sights.append(facts.sight((*trips, field), words))
    for one in facts.named("pedal-vs-brake-travel"):
        if one.result:
            sights.append(Sight(f"at the speed of full power that is {measure(one.result.low, '1')} of travel", "calculation pedal-vs-brake-travel"))
    after = facts.stated("time from brake and pedal together until the torque is zero", (*trips, "after"), "pedal-vs-brake", ("time",), "at most")
    yield facts.test(
        "pedal-vs-brake/acts",
        "Both pedals",
        (_ON, "Press the brake with the accelerator held at its place; logger on torque command and brake pressure."),
        sights,
        (trips, (*_CHECK, "does"), (*_CHECK, "runs_in")),
        after,
        _TURNING,
    )
    held = {
        "does not matter": "with the brake released and the accelerator still held, the torque stays zero",
        "must be released": "torque returns only with the brake released (see the findings of the checks)",
    }
    yield facts.test(
        "pedal-vs-brake/stays",
        "Brake released, accelerator held",
        (_ON, "Trip the check; release the brake, hold the accelerator for 5 s."),
        (facts.sight((*releases, "brake"), held),),
        (releases,),
        cautions=_TURNING,
    )
    below = facts.stated("travel below which torque returns", (*releases, "pedal_below"), "pedal-vs-brake-release", ("pedal",), "at most")
    outputs = [
        Sight(f"{one.title.partition(' at ')[0].replace('Output', 'output')} there: {measure(one.result.nominal, 'V')}", "calculation pedal-output")
        for one in facts.named("pedal-output", about=(*releases, "pedal_below"))
        if one.result
    ]
    yield facts.test(
        "pedal-vs-brake/release",
        "Torque returns",
        (_ON, "Trip the check; release the accelerator slowly, reading travel, then press it again."),
        outputs,
        ((*releases, "pedal_below"), (*releases, "torque")),
        below,
        _TURNING,
    )


def _ready(facts: Facts) -> Iterator[Test]:
    path = ("demand", "ready_to_drive")
    steps = ("Tractive system active, not ready to drive: press the accelerator; nothing may turn.", "Try every act alone, then as described.")
    yield facts.test(
        "ready-to-drive/needs", "What it takes", steps, (facts.sight((*path, "needs"), "it takes: {}"),), ((*path, "needs"),), cautions=_TURNING
    )
    yield facts.test(
        "ready-to-drive/left",
        "When it is left",
        ("Ready to drive; open the loop at a shutdown button; close it; make the tractive system active; press the accelerator.",),
        (facts.sight((*path, "left_when"), "it is left {}"),),
        ((*path, "left_when"),),
        cautions=_TURNING,
    )
    sound = facts.stated("length of the sound", (*path, "sound_for"), "ready-to-drive-sound", ("shortest", "longest"))
    yield facts.test(
        "ready-to-drive/sound", "Its sound, length", ("Make the car ready to drive; stopwatch.",), (), ((*path, "sound_for"),), sound, _TURNING
    )
    level = facts.stated(
        "level of the sound, fast, A-weighted, at the distance of the clause", (*path, "sound_level"), "ready-to-drive-sound", ("level",), "at least"
    )
    yield facts.test(
        "ready-to-drive/level",
        "Its sound, level",
        ("Sound level meter on a quiet place; make the car ready to drive.",),
        (),
        ((*path, "sound_level"),),
        level,
        _TURNING,
    )


def _other_signals(facts: Facts, demand: Demand) -> Iterator[Test]:
    """Failures of signals that belong to no device of a loop and to no sensor."""
    sensors = {key for device in facts.look.car.devices.values() for key in device.sensors} | set(demand.pedal_sensors) | set(demand.brake_sensors)
    in_loops = set(facts.look.places_in_loops)
    for key, signal in facts.look.car.signals.items():
        if key not in sensors and not {signal.start, signal.end} & in_loops and isinstance(signal.failure_modes, tuple):
            for number, failure in enumerate(signal.failure_modes):
                yield signal_test(facts, "signals", key, number, failure, _BENCH if is_live(key, signal.start) else _ON if signal.influences == "torque" else _LOOP)
