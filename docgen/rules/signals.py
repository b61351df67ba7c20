"""The description itself: signals that can influence a loop or the torque, and their failures."""

import re
from collections.abc import Iterator

from docgen.car.demand import FailureMode, Signal
from docgen.car.device import Device
from docgen.car.values import Unknown
from docgen.finding import Outcome, finding, not_applicable, not_evaluated, rule, stated
from docgen.look import ELECTRONIC, Look
from docgen.printing import listed
from docgen.provenance import Path
from docgen.rules.fields import measured, unsaid

SUBJECT = "The description itself"


@rule("signal-missing", SUBJECT, "critical-signal-list")
def signal_missing(look: Look) -> Iterator[Outcome]:
    """Every electronic protective system has its signals listed, and so have the pedal sensors.

    Why: A signal that nobody has listed is one whose broken wire nobody has thought of.
    Wrong:
        signals: {imd_fault_output: null}
    Right:
        signals: {imd_fault_output: {kind: discrete, start: imd, end: relay K1}}
    Mend: List each signal under signals, with the name of the device in start or end.
    """
    said = _said_by_signals(look)
    untold = [(*path, end) for path, _, signal in _signals(look) for end in ("start", "end") if isinstance(getattr(signal, end), Unknown)]
    systems = list(look.devices(*sorted(ELECTRONIC)))
    for path, name, device in systems:
        if found := _signal_of(look, said, name, device):
            yield stated(("signals", found), f"{found} belongs to {look.printed(name)}")
        elif untold:
            yield not_evaluated(untold[0], f"whether the signal {untold[0][1]} is one of {name} is unknown")
        else:
            yield finding(path, f"no signal of {look.printed(name)} is listed", "must be listed under signals, with its name in start or end")
    demand = look.car.demand
    sensors = demand.pedal_sensors if demand and not isinstance(demand, Unknown) else {}
    if sensors:
        own = [sensor for sensor in sensors if sensor in look.car.signals]
        found = next(iter(own), None) or next((said[called] for called in ("pedal", "pedals", "apps", "accelerator") if called in said), None)
        if found:
            yield stated(("signals", found), f"{found} belongs to the accelerator pedal")
        else:
            yield finding(("demand", "pedal_sensors"), "no signal of the pedal sensors is listed", "must be listed under signals")
    if not systems and not sensors:
        yield not_applicable("no electronic protective system and no pedal sensor is described")


@rule("sensor-signal-missing", SUBJECT, "critical-signal-list")
def sensor_signal_missing(look: Look) -> Iterator[Outcome]:
    """Each sensor that gives an electronic protective system a reading is listed as a signal of its own.

    Why: Two sensors of one device fail in two ways; a list with one of them looks complete.
    Wrong:
        signals: {front_pressure: null}
    Right:
        signals: {front_pressure: {kind: analogue, start: pressure sensor of the front circuit, end: bspd}}
    Mend: List the line of the sensor under signals, by the sensor's name or with it in start or end.
    """
    texts = [[word for text in (name, signal.start, signal.end) if isinstance(text, str) for word in _words(text)] for _, name, signal in _signals(look)]
    judged = False
    said = _said_by_signals(look)
    for _, name, device in look.devices(*sorted(ELECTRONIC)):
        for sensor_name, sensor in device.sensors.items() if _signal_of(look, said, name, device) else ():
            if not sensor.curve and sensor.output in (None, "contact"):
                continue
            judged = True
            place: Path = ("signals", sensor_name)
            if any(all(any(word.startswith(part) for word in words) for part in _words(sensor_name)) for words in texts):
                yield stated(("devices", name, "sensors", sensor_name), f"{sensor_name} of {look.printed(name)} is listed under signals")
            else:
                yield finding(place, f"{sensor_name} of {look.printed(name)} is not listed under signals", "must be listed, with its failures")
    if not judged:
        yield not_applicable("no system with a listed signal has a sensor that says what it gives")


LONGEST_NAME = 6


def _words(text: str) -> list[str]:
    return re.findall(r"[^\W_]+", text.casefold())


def _said_by_signals(look: Look) -> dict[str, str]:
    """Every run of up to LONGEST_NAME words in the name and the ends of a signal -> the first signal that says it."""
    said: dict[str, str] = {}
    for _, name, signal in _signals(look):
        for text in (name, signal.start, signal.end):
            words = _words(text) if isinstance(text, str) else []
            for begin in range(len(words)):
                for end in range(begin + 1, min(begin + LONGEST_NAME, len(words)) + 1):
                    said.setdefault(" ".join(words[begin:end]), name)
    return said


def _called(look: Look, name: str, device: Device) -> list[str]:
    """The names by which a text may call a device."""
    function = device.function if isinstance(device.function, str) else name
    label = device.label if isinstance(device.label, str) else name
    return [" ".join(_words(called)) for called in (name, label, function, look.edition.term(function))]


def _signal_of(look: Look, said: dict[str, str], name: str, device: Device) -> str | None:
    """A listed signal that belongs to a device: named like one of its sensors, or naming the device."""
    own = next((sensor for sensor in device.sensors if sensor in look.car.signals), None)
    return own or next((said[called] for called in _called(look, name, device) if called in said), None)


def _signals(look: Look) -> Iterator[tuple[Path, str, Signal]]:
    for name, signal in look.car.signals.items():
        yield ("signals", name), name, signal


def _modes(signal: Signal) -> tuple[FailureMode, ...]:
    return signal.failure_modes if isinstance(signal.failure_modes, tuple) else ()


NO_SIGNAL = "no signal is listed"

_MODES = {
    "an open line": r"\b(?:open|broken?|cut|interrupt|disconnect|unplug|pulled|wire (?:off|loss)|line (?:off|loss|lost)|loss of (?:the )?(?:line|wire|signal))",
    "a short to ground": r"\bshort\w*\b.*\b(?:ground|gnd|chassis|earth|0 ?v|minus|negative)",
    "a short to supply": r"\bshort\w*\b.*\b(?:supply|supplied|\+?\d+(?:\.\d+)? ?v\b|plus|positive|battery|vcc|vdd|feed|high)",
    "a corrupted message": r"\b(?:corrupt|invalid|falsif|wrong (?:message|content|value)|checksum|crc|bit)",
    "a lost message": r"\b(?:los[st]|loss|missing|no message|absent|silent|silence|dropped|time-?out|open|broken?|cut|interrupt|disconnect|unplug)",
    "a late message": r"\b(?:late|delay|old|stale|frozen|time-?out|out of time|outdated)",
}  # fmt: skip
"""How a failure of a line or message is recognised in the words of a failure mode."""

_ASKED = {
    "analogue": ("an open line", "a short to ground", "a short to supply"),
    "discrete": ("an open line", "a short to ground"),
    "digital cable": ("a corrupted message", "a lost message", "a late message"),
    "radio": ("a corrupted message", "a lost message", "a late message"),
}
"""Kind of signal -> the failures that it must survive."""


@rule("signal-failure-mode-missing", SUBJECT, "critical-signals")
def signal_failure_mode_missing(look: Look) -> Iterator[Outcome]:
    """Each signal lists the failures of its kind: open and shorted for a line, corrupt, lost and late for a message.

    Why: Each kind of failure reads differently, and the detection that finds one is blind to another.
    Wrong:
        signals: {front_pressure: {failure_modes: [{mode: open line, detected_by: window, does: opens, tested: wire pulled}]}}
    Right:
        signals: {front_pressure: {kind: discrete, failure_modes: [{mode: open line}, {mode: short to ground}]}}
    Mend: Add a failure mode for each, such as `mode: short to ground`; say the kind of the signal.
    """
    for path, name, signal in _signals(look):
        if not isinstance(signal.kind, str):
            yield unsaid(signal.kind, (*path, "kind"), f"the kind of the signal {name}", "must be analogue, discrete, digital cable or radio")
            continue
        if isinstance(signal.failure_modes, Unknown) or any(isinstance(mode.mode, Unknown) for mode in _modes(signal)):
            yield not_evaluated((*path, "failure_modes"), f"how the signal {name} can fail is unknown")
            continue
        given = [mode.mode.casefold() for mode in _modes(signal) if isinstance(mode.mode, str)]
        missing = [failure for failure in _ASKED[signal.kind] if not any(re.search(_MODES[failure], text) for text in given)]
        if missing:
            yield finding((*path, "failure_modes"), f"the signal {name} ({signal.kind}) lists no failure mode for {listed(missing)}", "must list each")
        else:
            yield stated((*path, "failure_modes"), f"the signal {name} lists the failures of its kind")
    if not look.car.signals:
        yield not_applicable(NO_SIGNAL)


@rule("signal-failure-not-safe", SUBJECT, "critical-signals")
def signal_failure_not_safe(look: Look) -> Iterator[Outcome]:
    """Each listed failure of a signal opens the loop or takes the torque away.

    Why: A failure that is noticed and changes nothing is only a message for later.
    Wrong:
        signals: {front_pressure: {failure_modes: [{mode: open line, detected_by: window, does: stays, tested: wire pulled}]}}
    Right:
        signals: {front_pressure: {failure_modes: [{mode: open line, detected_by: window, does: opens, tested: wire pulled}]}}
    Mend: Let the failure lead to the safe state, and write it under does.
    """
    judged = False
    for path, name, signal in _signals(look):
        for index, mode in enumerate(_modes(signal)):
            judged = True
            place: Path = (*path, "failure_modes", index, "does")
            what = f"{name}: {mode.mode if isinstance(mode.mode, str) else f'failure {index + 1}'}"
            if not isinstance(mode.does, str):
                yield unsaid(mode.does, place, f"what follows from {what}", "must be said under does")
            elif mode.does == "stays" and not _only_lights(signal):
                yield finding(place, f"{what} leaves everything as it was", "must open the loop or take the torque away")
            else:
                yield stated(place, f"{what}: {mode.does}")
    if not judged:
        yield not_applicable("no failure mode is listed")


def _only_lights(signal: Signal) -> bool:
    """Whether a signal is said to work lamps and neither a loop nor the torque."""
    text = signal.influences if isinstance(signal.influences, str) else ""
    return bool(re.search(r"\b(?:lamps?|lights?|indicators?|leds?|tsal)\b", text, re.IGNORECASE)) and not re.search(
        r"\b(?:loops?|circuit|sdc|torque|motors?|inverters?|contactors?)\b", text, re.IGNORECASE
    )


@rule("signal-detection-missing", SUBJECT, "critical-signal-list")
def signal_detection_missing(look: Look) -> Iterator[Outcome]:
    """Each listed failure of a signal says how it is detected.

    Why: "It would be noticed" is no detection.
    Wrong:
        signals: {front_pressure: {failure_modes: [{mode: open line, does: opens, tested: wire pulled}]}}
    Right:
        signals: {front_pressure: {failure_modes: [{mode: open line, detected_by: below the window of 0.3 V, does: opens, tested: wire pulled}]}}
    Mend: Write under detected_by which circuit or program notices it, and by what.
    """
    yield from _each_mode(look, "detected_by", "how it is detected")


@rule("signal-test-missing", SUBJECT, "critical-signal-list")
def signal_test_missing(look: Look) -> Iterator[Outcome]:
    """Each listed failure of a signal says what was tested.

    Why: A reaction that nobody has tried is a hope.
    Wrong:
        signals: {front_pressure: {failure_modes: [{mode: open line, detected_by: window, does: opens}]}}
    Right:
        signals: {front_pressure: {failure_modes: [{mode: open line, detected_by: window, does: opens, tested: wire pulled at the sensor}]}}
    Mend: Write under tested what was done, or that it was analysed only, and why.
    """
    yield from _each_mode(look, "tested", "what was tested")


def _each_mode(look: Look, key: str, what: str) -> Iterator[Outcome]:
    judged = False
    for path, name, signal in _signals(look):
        for index, mode in enumerate(_modes(signal)):
            judged = True
            place: Path = (*path, "failure_modes", index, key)
            given = getattr(mode, key)
            if isinstance(given, str):
                yield stated(place, f"{name}: {given}")
            else:
                yield unsaid(given, place, f"{what}, of {name}: {mode.mode if isinstance(mode.mode, str) else f'failure {index + 1}'},", f"must be said under {key}")
    if not judged:
        yield not_applicable("no failure mode is listed")


@rule("signal-too-slow", SUBJECT, "critical-signals")
def signal_too_slow(look: Look) -> Iterator[Outcome]:
    """The longest delay of a message, and the time until its loss is noticed, keep the limit of the edition.

    Why: Until the time-out the car drives on what it heard last.
    Wrong:
        signals: {module_link: {kind: digital cable, start: modules, end: ams, delay: 700 ms}}
    Right:
        signals: {module_link: {kind: digital cable, start: modules, end: ams, delay: 200 ms}}
    Mend: Shorten the time-out, and write it under delay.
    """
    judged = False
    for path, name, signal in _signals(look):
        if signal.kind not in ("digital cable", "radio"):
            continue
        judged = True
        yield measured(look, "critical-signals", "delay", signal.delay, (*path, "delay"), f"the longest delay of {name}")
        for index, mode in enumerate(_modes(signal)):
            if mode.within is not None:
                place: Path = (*path, "failure_modes", index, "within")
                yield measured(look, "critical-signals", "delay", mode.within, place, f"the time until {name}: {mode.mode if isinstance(mode.mode, str) else 'failure'} is noticed")
    if not judged:
        yield not_applicable("no digital signal is listed")


RULES = (
    signal_missing,
    sensor_signal_missing,
    signal_failure_mode_missing,
    signal_failure_not_safe,
    signal_detection_missing,
    signal_test_missing,
    signal_too_slow,
)
