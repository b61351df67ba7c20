"""A device that can open a loop, watches one, or is worked by one."""

from typing import Annotated, Any

from pydantic import Discriminator, Tag

from docgen.car.contact import Contact
from docgen.car.values import (
    Acceleration,
    AnySpread,
    Celsius,
    ComparatorLevel,
    Count,
    Farads,
    Henries,
    Kilograms,
    Metres,
    Name,
    Ohms,
    Open,
    Part,
    PositiveAmperes,
    PositiveOhms,
    PositiveSeconds,
    PositiveVolts,
    Prose,
    Reaction,
    Seconds,
    SensorReading,
    SignedVolts,
    ThresholdMeasure,
    Volts,
    Word,
    entry,
    several,
)  # fmt: skip

FUNCTIONS = (
    "LV master switch", "TS master switch", "shutdown button", "inertia switch", "brake over-travel switch", "insulation monitor",
    "battery management", "brake plausibility device", "service disconnect interlock", "interlock", "accumulator contactor",
    "pre-charge relay", "discharge relay", "start button", "activation logic", "latch relay", "controller", "charger button",
    "remote emergency relay", "driverless master switch", "steering system device", "indicator", "other",
)  # fmt: skip

_ABBREVIATIONS = {
    "LVMS": "LV master switch", "GLVMS": "LV master switch", "LV master": "LV master switch", "TSMS": "TS master switch", "TS master": "TS master switch",
    "BOTS": "brake over-travel switch", "over-travel switch": "brake over-travel switch", "IMD": "insulation monitor", "AMS": "battery management",
    "BMS": "battery management", "BSPD": "brake plausibility device", "HVD": "service disconnect interlock", "MSD": "service disconnect interlock",
    "HVD interlock": "service disconnect interlock", "MSD interlock": "service disconnect interlock", "pilot interlock": "interlock",
    "HV interlock": "interlock", "AIR": "accumulator contactor", "IR": "accumulator contactor", "precharge relay": "pre-charge relay",
    "VCU": "controller", "ECU": "controller", "RES": "remote emergency relay", "ASMS": "driverless master switch", "inertia": "inertia switch",
    "emergency button": "shutdown button",
}  # fmt: skip

Function = Annotated[str, Word(*FUNCTIONS, also=_ABBREVIATIONS)]
Logic = Annotated[str, Word("hard-wired", "programmable", also={"hardwired": "hard-wired", "discrete": "hard-wired", "software": "programmable"})]


class Place(Part):
    """Where something sits in the car."""

    where: Open[Prose] = entry("Region, housing or panel of the car.", "right side", "accumulator container main")
    by: Open[Prose] = entry("What it sits beside.", "main hoop")
    height: Open[Prose] = entry("Height above ground, or against the driver.", "812 mm", "head height")


class Fixing(Part):
    """How a device is held."""

    by: Open[Prose] = entry("What holds it to the chassis.", "two M4 bolts into the bulkhead")
    taken_off: Open[Prose] = entry("How it is taken off for a test, and with what.", "two bolts, plug stays on; for the shake test")


class Coil(Part):
    """The coil of a relay or contactor."""

    voltage: Open[PositiveVolts] = entry("Rated voltage.", "12 V")
    resistance: Open[PositiveOhms] = entry("Coil resistance at 20 °C.", "36 Ω ± 10 %")
    pick_up: Open[PositiveVolts] = entry("Voltage at which it surely picks up, coil at 20 °C.", "9.0 V")
    drop_out: Open[PositiveVolts] = entry("Voltage below which it surely drops out.", "1.2 V")
    inrush: Open[tuple[PositiveAmperes, PositiveSeconds]] = entry("Inrush current and how long it lasts.", ["3.8 A", "130 ms"])
    hold: Open[PositiveAmperes] = entry("Current while held.", "0.13 A")
    release: Open[PositiveSeconds] = entry("Time from loss of supply to open contacts, as the maker states it.", "12 ms")
    release_stated: Open[Annotated[str, Word("with its suppression", "without suppression")]] = entry(
        "Whether the release time holds with the suppression given, which is taken where nothing stands here, or without any.", "with its suppression"
    )
    suppression: Open[Prose] = entry("What limits the voltage at switching off.", "built in", "diode and 24 V zener")
    clamp: Open[PositiveVolts] = entry("Voltage against which the current flows on at switching off, all diodes on its way together.", "24.7 V ± 5 %")
    damping: Open[PositiveOhms] = entry("Resistor through which the current flows on at switching off.", "330 Ω ± 5 %")
    inductance: Open[Henries] = entry("Inductance with the armature drawn in, of a coil without economiser.", "0.4 H ± 20 %")
    economiser: Open[Annotated[str, Word("built in", "external", "none")]] = entry("Whether the hold current is reduced by electronics.", "built in")
    hottest: Open[Celsius] = entry("Highest coil temperature in the car.", "85 °C")


class Output(Part):
    """What a device itself gives, before its stage."""

    healthy: Open[Prose] = entry("What it gives without a fault.", "high side on")
    on_fault: Open[Prose] = entry("What it gives on a fault.", "off")


class Stage(Part):
    """The output with which a device opens the loop."""

    own: Open[Prose] = entry("The relay or transistor that belongs to this device alone.", "K1")
    shared_with: Open[tuple[Name, ...]] = entry("Other devices that act through the same output.", ["ams"])
    logic: Open[Logic] = entry("What decides over the output: hard-wired parts, or a program.", "hard-wired")
    fed_from: Open[Name] = entry("Feed of the output where that is not the device's own feed.", "monitor_feed")


class Latch(Part):
    """What keeps the loop open after the cause has gone."""

    by: Open[Prose] = entry("What holds the tripped state.", "self-hold of K1", "mechanism")
    logic: Open[Annotated[str, Word("hard-wired", "programmable", "mechanism", also={"hardwired": "hard-wired", "mechanical": "mechanism"})]] = entry(
        "Whether hard-wired parts, a program or a mechanism holds it.", "hard-wired"
    )
    until: Open[Prose] = entry("What ends it, where no reset is described.", "turned")
    when_feed_returns: Open[Annotated[str, Word("open", "closed")]] = entry("State of the contact in the loop after the feed was lost and came back.", "open")
    push_again: Open[Annotated[str, Word("stays open", "closes")]] = entry("What a second push on the same switch does.", "stays open")


class Delay(Part):
    """How a hard-wired delay is made, or how long it is."""

    resistor: Open[PositiveOhms] = entry("Timing resistor.", "430 kΩ ± 1 %")
    capacitor: Open[Farads] = entry("Timing capacitor.", "0.82 µF ± 5 %")
    trips_at: Open[ComparatorLevel] = entry("Share of the supply, or voltage, at which the comparator trips; 66.7 % for a monostable of 1.1·R·C.", "63 % ± 1 %", "3.15 V ± 1 %")
    supply: Open[PositiveVolts] = entry("Voltage that charges the capacitor, where the comparator trips at a voltage of its own.", "5 V ± 2 %")
    time: Open[PositiveSeconds] = entry("The delay itself, where it is not made of resistor and capacitor.", "400 ms ± 10 %")


class Reset(Part):
    """Who brings the device back, by which act, from where."""

    act: Open[Prose] = entry("What has to be done.", "key switch", "pull the button out", "cycle the LV master")
    where: Open[Prose] = entry("From where it is done.", "right side panel")
    who: Open[Annotated[str, Word("anyone but the driver", "anyone", "driver", "nobody", also={"not the driver": "anyone but the driver"})]] = entry(
        "Who can do it.", "anyone but the driver"
    )
    self_after: Open[PositiveSeconds] = entry("Time after which the device comes back by itself once the cause is gone.", "11.5 s ± 10 %")
    timing: Open[Delay] = entry("How that time is made, where resistor and capacitor make it; instead of self_after.", {"resistor": "1.2 MΩ ± 1 %", "capacitor": "10 µF ± 5 %", "trips_at": "63 %"})
    by_lv_master: Open[Annotated[str, Word("clears", "stays tripped")]] = entry("What switching the LV master off and on does to the latch.", "stays tripped")


class Sensor(Part):
    """A sensor of a device and what happens when its line is damaged."""

    place: Open[Place] = entry("Where the sensor sits.", {"where": "front brake line"})
    measures: Open[Prose] = entry("What it measures, and where.", "current in the DC feed of the inverter")
    curve: Open[tuple[tuple[SensorReading, SignedVolts], ...]] = entry("Points of reading and output voltage.", [["0 A", "2.50 V"], ["50 A", "4.50 V"]])
    output: Open[Annotated[str, Word("absolute", "ratiometric", "digital", "contact")]] = entry("Whether the output follows its supply.", "ratiometric")
    supply: Open[PositiveVolts] = entry("Its supply, where that is not the voltage of the device's feed.", "5 V ± 0.5 %")
    error: Open[AnySpread] = entry("Largest error of the reading.", "± 1 bar", "± 1.5 %")
    offset: Open[AnySpread] = entry("Error at zero, besides the error above, where the data sheet gives the two apart.", "± 20 mV", "± 0.3 A")
    open: Open[Reaction] = entry("What an open line does to the loop.", "opens")
    to_ground: Open[Reaction] = entry("What a short of the line to ground does.", "opens")
    to_supply: Open[Reaction] = entry("What a short of the line to supply does.", "opens")
    acts_alone: Open[Annotated[str, Word("alone", "only with the other condition")]] = entry(
        "Whether a lost sensor opens the loop alone, or counts only as one half of the condition.", "alone"
    )
    unplugs: Open[Annotated[str, Word("each wire alone", "as a whole", "not")]] = entry("How the sensor's wires can be unplugged for a test.", "each wire alone")
    datasheet: Open[Name] = entry("Evidence for the sensor.", "ds_current_sensor")


class Divider(Part):
    """Two resistors that set the threshold of a comparator."""

    upper: Open[Ohms] = entry("Resistor from the reference to the comparator.", "4.7 kΩ ± 1 %")
    lower: Open[PositiveOhms] = entry("Resistor from the comparator to ground.", "5.1 kΩ ± 1 %")
    reference: Open[PositiveVolts] = entry("Voltage across both, where that is not the supply of the sensor.", "4.096 V ± 0.2 %")


def _kind_of_threshold(value: Any) -> str:
    return "divider" if isinstance(value, dict | Divider) else "value"


Threshold = Annotated[Annotated[ThresholdMeasure, Tag("value")] | Annotated[Divider, Tag("divider")], Discriminator(_kind_of_threshold)]


class WhenLost(Part):
    """What the device, its stage and its latch do when something is taken away."""

    feed: Open[Reaction] = entry("Loss of the device's feed.", "opens")
    signal: Open[Reaction] = entry("Loss of the signal that drives its output.", "opens")
    ground: Open[Reaction] = entry("Loss of its ground.", "opens")
    stage_feed: Open[Reaction] = entry("Loss of the feed of its output stage, where that is another.", "opens")
    latch_feed: Open[Reaction] = entry("Loss of the feed of its latch, where that is another.", "opens")
    plug: Open[Reaction] = entry("Device unplugged.", "opens")


class AtPowerUp(Part):
    """What the device does to the loop while its supply rises or sags."""

    start_up: Open[Annotated[str, Word("holds open", "closes")]] = entry("From power-on until the self-test is done.", "holds open")
    brown_out: Open[Annotated[str, Word("opens", "stays")]] = entry("While the supply sags below what the device needs.", "opens")


class Response(Part):
    """When an insulation monitor reports."""

    below: Open[Ohms] = entry("Insulation resistance below which it reports.", "250 kΩ ± 3 %")
    within: Open[PositiveSeconds] = entry("Response time at the car's capacitance to chassis.", "20 s")


class Watch(Part):
    """What the battery management watches, its limits and its delays."""

    cells: Open[Count] = entry("Number of cell voltages measured.", 108)
    temperatures: Open[Count] = entry("Number of cells whose temperature is measured.", 36)
    voltage_limits: Open[tuple[Volts, Volts]] = entry("Lowest and highest cell voltage allowed.", ["2.8 V", "4.2 V"])
    temperature_limit: Open[Celsius] = entry("Highest cell temperature allowed.", "58 °C")
    current_limit: Open[PositiveAmperes] = entry("Highest current allowed.", "180 A")
    voltage_delay: Open[Seconds] = entry("How long a voltage may be outside before the loop opens.", "400 ms")
    temperature_delay: Open[Seconds] = entry("How long a temperature may be outside before the loop opens.", "900 ms")
    current_delay: Open[Seconds] = entry("How long a current may be outside before the loop opens.", "400 ms")
    missing_measurement: Open[Reaction] = entry("What a lost measurement does to the loop.", "opens")


class Lamp(Part):
    """An indicator lamp that belongs to a device."""

    colour: Open[Prose] = entry("Colour of the light.", "red")
    label: Open[Prose] = entry("Lettering beside it.", "IMD")
    place: Open[Place] = entry("Where it is.", {"where": "dashboard"})
    lit: Open[Prose] = entry("When it is lit.", "from the trip until the reset")
    check: Open[Seconds] = entry("How long it lights at power-on as a lamp check.", "2 s")


class Disc(Part):
    """The coloured disc under a master switch."""

    colour: Open[Prose] = entry("Colour of the disc.", "red")
    diameter: Open[Metres] = entry("Diameter of the disc.", "52 mm")
    label: Open[Prose] = entry("Lettering and symbol on it.", "LV with spark in a blue triangle")


class TripPoint(Part):
    """One point of an inertia switch's trip curve."""

    at: Open[Acceleration] = entry("Deceleration at which it trips.", "8 g")
    pulse: Open[PositiveSeconds] = entry("Length of the half-sine pulse.", "50 ms")


class Removal(Part):
    """How a service disconnect is pulled."""

    within: Open[PositiveSeconds] = entry("Time an untrained person needs.", "6 s")
    tool: Open[Prose] = entry("Tool needed.", "none")
    remote_handle: Open[Prose] = entry("Remote actuation.", "none")
    opens_poles: Open[Count] = entry("Poles that pulling it opens.", 2)


class Device(Part):
    """One device of the car; its name is its key under `devices`."""

    function: Open[Function] = entry("What the device is for in the loop; the abbreviations of both rule families are accepted.", "IMD", "shutdown button")
    label: Open[Prose] = entry("Name to print, where the key is not good enough.", "Left shutdown button")
    part: Open[Prose] = entry("Part number or description.", "two-pole rotary disconnector, 160 A")
    each: Open[tuple[Name, ...]] = entry("Places for which this entry stands, one device each.", ["left", "right"])
    place: Open[Place] = entry("Where it is.", {"where": "right side", "by": "main hoop", "height": "812 mm"})
    fixing: Open[Fixing] = entry("How it is held.", {"by": "two M4 bolts"})
    worked_by: Open[Annotated[str, Word("hand", "machine", "power", "plug", "coil", also={"plugging": "plug"})]] = entry(
        "What moves the contact: a hand, the machine (a pedal, a deceleration), a powered circuit, plugging and unplugging, or its own coil in a loop.",
        "hand", "power",
    )  # fmt: skip
    contact: Open[Contact] = entry("The contact of a device that has one.", {"at_rest": "open", "when_healthy": "closed"})
    contacts: dict[Name, Contact] = several("The contacts of a device that has several, by name.", {"main": {"at_rest": "open"}})
    coil: Open[Coil] = entry("The coil of a relay or contactor.", {"voltage": "12 V"})
    feed: Open[Name] = entry("The feed that powers it.", "monitor_feed")
    board: Open[Name] = entry("The board it is on.", "isolation_board")
    housing: Open[Name] = entry("The housing it is in.", "dashboard_housing")
    through: Open[tuple[Prose, ...]] = entry("Connectors and positions that its own lines pass, besides the loop.", ["X3.9", "X3.10"])
    output: Open[Output] = entry("What the device itself gives, before its stage.", {"healthy": "high side on", "on_fault": "off"})
    stage: Open[Stage] = entry("The output with which it opens the loop.", {"own": "K1", "logic": "hard-wired"})
    latch: Open[Latch] = entry("What keeps the loop open after a trip.", {"by": "self-hold of K1", "logic": "hard-wired"})
    reset: Open[Reset] = entry("Who brings it back, how and from where.", {"act": "key switch", "who": "anyone but the driver"})
    sensors: dict[Name, Sensor] = several("Its sensors and measuring lines, by name.", {"dc_current": {"open": "opens"}})
    thresholds: dict[Name, Open[Threshold]] = several(
        "Threshold by sensor name, in units of the sensor's output or of what it measures, or the divider that sets it.",
        {"dc_current": "2.916 V"}, {"dc_current": {"upper": "4.7 kΩ ± 1 %", "lower": "5.1 kΩ ± 1 %"}},
    )  # fmt: skip
    delay: Open[Delay] = entry("Delay between the condition and the trip.", {"time": "400 ms"})
    when_lost: Open[WhenLost] = entry("What it does when something is taken away.", {"feed": "opens"})
    at_power_up: Open[AtPowerUp] = entry("What it does while its supply rises or sags.", {"start_up": "holds open"})
    response: Open[Response] = entry("Response of an insulation monitor.", {"below": "250 kΩ"})
    connected_on: Open[Annotated[str, Word("vehicle side of the contactors", "accumulator side of the contactors")]] = entry(
        "Where an insulation monitor is connected.", "vehicle side of the contactors"
    )
    watches: Open[Watch] = entry("What a battery management watches.", {"cells": 108})
    lamp: Open[Lamp] = entry("Its indicator lamp.", {"colour": "red", "label": "IMD"})
    key: Open[Prose] = entry("Key or handle and when it can be removed.", "removable when open")
    key_kept_by: Open[Prose] = entry("Role that keeps the key.", "electrical safety officer")
    handle: Open[Prose] = entry("Handle of a master switch.", "red, 52 mm wide, rotary")
    lockout: Open[Prose] = entry("How it is locked off.", "hole for a padlock in the open position")
    disc: Open[Disc] = entry("The disc under a master switch.", {"colour": "orange"})
    diameter: Open[Metres] = entry("Diameter of a button.", "40 mm")
    symbol: Open[Prose] = entry("Symbol beside a button.", "red spark in a white-edged blue triangle")
    direct_opening: Open[Name] = entry("Evidence for direct opening action.", "ds_button")
    direct_acting: Open[Annotated[str, Word("direct", "through a relay", "through logic")]] = entry("How a master switch cuts the current.", "direct")
    trips: Open[tuple[TripPoint, ...]] = entry("Trip curve of an inertia switch.", [{"at": "8 g", "pulse": "50 ms"}])
    directions: Open[Annotated[str, Word("all directions", "forward only")]] = entry("Directions in which an inertia switch trips.", "all directions")
    semiconductors: Open[Annotated[str, Word("none", "inside")]] = entry("Whether semiconductors are inside an inertia switch.", "none")
    kind: Open[Prose] = entry("Construction of a switch.", "push-pull", "flip switch")
    acts_on_loss_of: Open[tuple[Annotated[str, Word("front circuit", "rear circuit")], ...]] = entry(
        "Brake circuits whose loss makes the over-travel switch act, at every balance setting.", ["front circuit", "rear circuit"]
    )
    stroke_margin: Open[Metres] = entry("Pedal travel left between normal end of braking and the over-travel switch.", "12 mm")
    removal: Open[Removal] = entry("How a service disconnect is pulled.", {"within": "6 s", "tool": "none"})
    mass: Open[Kilograms] = entry("Mass, where it matters.", "0.4 kg")
    datasheet: Open[Name] = entry("Evidence for the device.", "ds_imd")
    pictures: Open[tuple[Prose, ...]] = entry("Pictures in the folder of the description.", ["pictures/imd.png"])
    note: Open[Prose] = entry("A remark on the device.", "moved to the bulkhead in revision C")

    def every_contact(self) -> dict[str, Contact]:
        """All contacts by name; the contact of a device that has only one is named ``contact``."""
        return ({"contact": self.contact} if isinstance(self.contact, Contact) else {}) | self.contacts
