"""Driver demand: the pedals, their checks, and what may follow from them."""

from typing import Annotated

from docgen.car.values import (
    AnyMeasure,
    Count,
    Name,
    NewtonMetres,
    Open,
    Part,
    PositiveSeconds,
    PositiveVolts,
    Pressure,
    Prose,
    Reaction,
    Seconds,
    SensorReading,
    Share,
    SignedVolts,
    SoundLevel,
    Watts,
    Word,
    entry,
    several,
)  # fmt: skip


class PedalSensor(Part):
    """One sensor of the accelerator pedal, or of the brake."""

    feed: Open[Name] = entry("Feed that supplies it.", "apps_1_feed")
    supply: Open[PositiveVolts] = entry("Its supply, where that is not the voltage of its feed.", "5 V ± 0.5 %")
    ground: Open[Prose] = entry("Its ground line.", "own line to the controller")
    connector: Open[Prose] = entry("Connector and positions.", "X5.1-3")
    curve: Open[tuple[tuple[SensorReading, SignedVolts], ...]] = entry("Points of travel (or pressure) and output.", [["0 %", "1.00 V"], ["100 %", "4.00 V"]])
    output: Open[Annotated[str, Word("absolute", "ratiometric", "digital")]] = entry("Whether the output follows its supply.", "ratiometric")
    valid: Open[tuple[SignedVolts, SignedVolts]] = entry("Fault window: outside it the sensor counts as failed.", ["0.90 V", "4.10 V"])
    pull: Open[Annotated[str, Word("down", "up", "none")]] = entry("Resistor that takes an open line out of the window.", "down")
    open: Open[Reaction] = entry("What an open line does.", "torque zero")
    to_ground: Open[Reaction] = entry("What a short to ground does.", "torque zero")
    to_supply: Open[Reaction] = entry("What a short to supply does.", "torque zero")
    unplugs: Open[Annotated[str, Word("each wire alone", "as a whole", "not")]] = entry("How its wires can be unplugged for a test.", "each wire alone")
    datasheet: Open[Name] = entry("Evidence for the sensor.", "ds_pedal_sensor")


class DeviationCheck(Part):
    """The check of the pedal sensors against each other."""

    limit: Open[Share] = entry("Largest deviation allowed, in points of travel.", "10 %")
    after: Open[Seconds] = entry("How long it may last before the check acts.", "90 ms")
    does: Open[Reaction] = entry("What it does.", "torque zero")
    runs_in: Open[Name] = entry("Device or board that runs it.", "vehicle_controller")


class CheckTrips(Part):
    """When the pedal-vs-brake check acts."""

    torque_above: Open[Share] = entry("Torque demand above which it acts.", "25 %")
    travel_above: Open[Share] = entry("Pedal travel above which it acts.", "25 %")
    power_above: Open[Watts] = entry("Power above which it acts.", "5 kW")
    whichever: Open[Annotated[str, Word("comes first", "comes last")]] = entry("Which of the two counts.", "comes first")
    brake_above: Open[Pressure] = entry("Brake pressure from which the brakes count as actuated.", "8 bar")
    after: Open[Seconds] = entry("How long both may last before it acts.", "450 ms")


class CheckReleases(Part):
    """When the pedal-vs-brake check ends."""

    pedal_below: Open[Share] = entry("Pedal travel below which torque may return.", "5 %")
    torque: Open[NewtonMetres] = entry("Torque demanded at that moment.", "0 Nm")
    brake: Open[Annotated[str, Word("does not matter", "must be released")]] = entry("Whether the brake pedal decides over the release.", "does not matter")


class PedalVsBrakeCheck(Part):
    """The software check of accelerator pedal against brakes. It is not the brake plausibility device."""

    runs_in: Open[Name] = entry("The unit that runs it; it must command the torque.", "vehicle_controller")
    kind: Open[Annotated[str, Word("software", "hardware")]] = entry("How it is made.", "software")
    trips: Open[CheckTrips] = entry("When it acts.", {"torque_above": "25 %", "after": "450 ms"})
    does: Open[Reaction] = entry("What it does.", "torque zero")
    releases: Open[CheckReleases] = entry("When it ends.", {"pedal_below": "5 %"})
    tested: Open[Prose] = entry("How it was tested, or will be shown.", "wheels raised, pedal at 30 %, brake pressed")
    note: Open[Prose] = entry("A remark on the check.", "runs in the 5 ms task")


class ReadyToDrive(Part):
    """How the car becomes ready to drive, and stops being so."""

    needs: Open[Prose] = entry("What the driver must do.", "brake pressed and start button held for 0.5 s")
    left_when: Open[Prose] = entry("When it is left.", "at once when the loop opens")
    sound_level: Open[SoundLevel] = entry("Level of the ready-to-drive sound.", "92 dB(A)")
    sound_for: Open[PositiveSeconds] = entry("Length of the sound.", "2 s")


class BrakeLight(Part):
    """The brake light."""

    lit_by: Open[Prose] = entry("What lights it.", "brake pressure above 5 bar, hard-wired")
    colour: Open[Prose] = entry("Colour.", "red")


class Demand(Part):
    """Driver demand."""

    torque_commanded_by: Open[Name] = entry("The unit that commands torque.", "vehicle_controller")
    pedal_sensors: dict[Name, PedalSensor] = several("Sensors of the accelerator pedal by name.", {"apps_1": {"feed": "apps_1_feed"}})
    brake_sensors: dict[Name, PedalSensor] = several("Sensors of the brakes that the controller reads, by name.", {"rear_pressure": {"open": "torque zero"}})
    springs: Open[Count] = entry("Springs that each return the accelerator pedal alone.", 2)
    stop: Open[Prose] = entry("Positive stop of the pedal.", "steel stop under the pedal")
    deviation_check: Open[DeviationCheck] = entry("Check of the pedal sensors against each other.", {"limit": "10 %"})
    pedal_vs_brake_check: Open[PedalVsBrakeCheck] = entry("The software check of pedal against brakes, a thing of its own.", {"runs_in": "vehicle_controller"})
    released_pedal: Open[NewtonMetres] = entry("Torque at the wheels with the pedal released.", "0 Nm")
    functions: dict[Name, Annotated[str, Word("only lowers torque", "may raise torque")]] = several("Functions that change the driver's torque.", {"traction_control": "only lowers torque"})
    ready_to_drive: Open[ReadyToDrive] = entry("How the car becomes ready to drive.", {"needs": "brake pressed and start button"})
    brake_light: Open[BrakeLight] = entry("The brake light.", {"colour": "red"})


class FailureMode(Part):
    """One way in which a signal can fail."""

    mode: Open[Prose] = entry("What happens.", "open line")
    detected_by: Open[Prose] = entry("How it is noticed.", "pull-down takes it below 0.5 V")
    within: Open[Seconds] = entry("How soon.", "100 ms")
    does: Open[Reaction] = entry("What follows.", "opens")
    tested: Open[Prose] = entry("What was tested.", "wire pulled at the sensor")


class Signal(Part):
    """A signal that can influence a loop or the torque."""

    kind: Open[Annotated[str, Word("analogue", "digital cable", "radio", "discrete")]] = entry("Kind of signal.", "analogue")
    start: Open[Prose] = entry("Where it begins.", "front pressure sensor")
    end: Open[Prose] = entry("Where it ends.", "bspd")
    influences: Open[Prose] = entry("What it influences.", "drive loop")
    failure_modes: Open[tuple[FailureMode, ...]] = entry("How it can fail.", [{"mode": "open line", "does": "opens"}])
    delay: Open[Seconds] = entry("Longest delay of a message.", "100 ms")
    value: Open[AnyMeasure] = entry("Normal value.", "0.5 V")
