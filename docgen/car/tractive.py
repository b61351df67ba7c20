"""The tractive system: everything above the low-voltage limit."""

from typing import Annotated

from docgen.car.device import Lamp, Place
from docgen.car.values import (
    AmpereHours,
    Amperes,
    AnySpread,
    Area,
    Celsius,
    Farads,
    Hertz,
    Joules,
    Kilograms,
    Metres,
    Name,
    Newtons,
    Ohms,
    Open,
    Part,
    PositiveAmperes,
    PositiveCount,
    PositiveOhms,
    PositiveSeconds,
    PositiveVolts,
    Prose,
    Share,
    Watts,
    Word,
    entry,
    several,
)  # fmt: skip
from docgen.car.wiring import Fuse


class SystemVoltage(Part):
    """Voltage of the tractive system."""

    highest: Open[PositiveVolts] = entry("Highest voltage, cells full.", "453.6 V")
    nominal: Open[PositiveVolts] = entry("Nominal voltage.", "388.8 V")


class Contactors(Part):
    """The accumulator contactors, one for each pole."""

    positive: Open[Name] = entry("Device in the positive pole.", "air_plus")
    negative: Open[Name] = entry("Device in the negative pole.", "air_minus")
    more: Open[tuple[Name, ...]] = entry("Further contactors in series.", ["air_mid"])


class Cell(Part):
    """A cell of an accumulator."""

    voltage_highest: Open[PositiveVolts] = entry("Highest voltage.", "4.2 V")
    voltage_nominal: Open[PositiveVolts] = entry("Nominal voltage.", "3.6 V")
    capacity: Open[AmpereHours] = entry("Nominal capacity.", "3.5 Ah")
    current: Open[PositiveAmperes] = entry("Largest continuous discharge current.", "35 A")
    resistance: Open[PositiveOhms] = entry("Inner resistance, the lowest: full, warm and new.", "12 mΩ")
    temperature_limit: Open[Celsius] = entry("Highest temperature allowed by the maker.", "60 °C")
    datasheet: Open[Name] = entry("Evidence for the cell.", "ds_cell")


class Segments(Part):
    """How an accumulator is divided."""

    count: Open[PositiveCount] = entry("Number of segments.", 4)
    in_series: Open[PositiveCount] = entry("Cells in series within a segment.", 27)
    in_parallel: Open[PositiveCount] = entry("Cells in parallel.", 4)
    cell: Open[Cell] = entry("The cell.", {"voltage_highest": "4.2 V"})
    mass: Open[Kilograms] = entry("Mass of the heaviest segment.", "9.8 kg")
    energy: Open[Joules] = entry("Energy of a segment, where it is not computed.", "5.7 MJ")


class Precharge(Part):
    """Charging of the intermediate circuit before the second contactor closes."""

    relay: Open[Name] = entry("Device that switches the pre-charge current.", "precharge_relay")
    resistor: Open[PositiveOhms] = entry("Pre-charge resistor.", "470 Ω ± 5 %")
    rated_power: Open[Watts] = entry("Continuous power of the resistor.", "50 W")
    pulse_rating: Open[tuple[tuple[PositiveSeconds, Watts], ...]] = entry("Pulse load of the resistor: time and power.", [["1 s", "500 W"], ["5 s", "250 W"]])
    attempts: Open[PositiveCount] = entry("Attempts allowed in a row before a pause.", 3)
    attempts_within: Open[PositiveSeconds] = entry("Time that those attempts and the pause after them take together.", "60 s")
    ends: Open[Annotated[str, Word("measured", "timed")]] = entry("Whether its end is measured or timed.", "measured")
    at: Open[Share] = entry("Share of the accumulator voltage at which the second contactor closes.", "97 %")
    after: Open[PositiveSeconds] = entry("Time after which it closes, in a timed scheme.", "4 s")
    sensing_error: Open[AnySpread] = entry("Error of the voltage measurement.", "± 1 %")
    first: Open[Name] = entry("Contactor that closes first.", "air_minus")
    fused: Open[Annotated[str, Word("not fused", "fused")]] = entry("Whether a fuse is in the pre-charge path.", "not fused")
    load_current: Open[Amperes] = entry("Current drawn from the intermediate circuit meanwhile.", "10 mA")


class Accumulator(Part):
    """One accumulator container."""

    contactors: Open[Contactors] = entry("Its contactors.", {"positive": "air_plus", "negative": "air_minus"})
    segments: Open[Segments] = entry("Its segments.", {"count": 4})
    fuse: Open[Fuse] = entry("Its main fuse.", {"rating": "160 A"})
    precharge: Open[Precharge] = entry("Its pre-charge.", {"resistor": "470 Ω ± 5 %"})
    place: Open[Place] = entry("Where it is.", {"where": "behind the driver"})
    insulation_monitor: Open[Name] = entry("Device that monitors its insulation.", "imd")
    battery_management: Open[Name] = entry("Device that watches its cells.", "ams")
    voltage_indicator: Open[Prose] = entry("Indicator of voltage at its outlet.", "red lamp on the lid, from the vehicle side of the contactors, above 60 V")
    capacitance_to_chassis: Open[Farads] = entry("Capacitance to chassis.", "40 nF")


class Discharge(Part):
    """Discharge of the intermediate circuit."""

    resistor: Open[PositiveOhms] = entry("Discharge resistor.", "2.2 kΩ ± 5 %")
    rated_power: Open[Watts] = entry("Continuous power of the resistor.", "150 W")
    pulse_rating: Open[tuple[tuple[PositiveSeconds, Watts], ...]] = entry("Pulse load of the resistor: time and power.", [["5 s", "600 W"], ["15 s", "300 W"]])
    through: Open[Prose] = entry("Device and contact that switches it.", "discharge_relay.power")
    fused: Open[Annotated[str, Word("not fused", "fused")]] = entry("Whether a fuse is in the discharge path.", "not fused")


class Inverter(Part):
    """An inverter with its intermediate circuit."""

    label: Open[Prose] = entry("Name to print.", "rear inverter")
    capacitance: Open[Farads] = entry("Capacitance of the intermediate circuit.", "650 µF ± 20 %")
    capacitance_to_chassis: Open[Farads] = entry("Capacitance to chassis.", "100 nF")
    discharge: Open[Discharge] = entry("Its discharge circuit.", {"resistor": "2.2 kΩ ± 5 %"})
    voltage_rating: Open[PositiveVolts] = entry("Rated voltage.", "600 V")
    motors: Open[PositiveCount] = entry("Motors it feeds.", 2)
    datasheet: Open[Name] = entry("Evidence for the inverter.", "ds_inverter")


class MeasuringPoints(Part):
    """The two points where the tractive-system voltage is measured, and their ground point."""

    resistor: Open[Ohms] = entry("Protection resistor in each line.", "15 kΩ")
    rated_power: Open[Watts] = entry("Continuous power of each resistor.", "10 W")
    place: Open[Place] = entry("Where they are.", {"where": "right side, beside the master switches"})
    connected_to: Open[Prose] = entry("Where they are connected.", "intermediate circuit, vehicle side of the contactors")
    jacks: Open[Prose] = entry("Jacks.", "4 mm shrouded, 1000 V CAT III, TS+ and TS-, ground beside")
    cover: Open[Prose] = entry("Cover.", "tool-free, captive to the car")
    fused: Open[Annotated[str, Word("not fused", "fused")]] = entry("Whether their lines are fused.", "not fused")


class HvConnector(Part):
    """A connector of the tractive system."""

    between: Open[tuple[Prose, ...]] = entry("What it joins.", ["main", "rear"])
    each: Open[tuple[Name, ...]] = entry("Corners for which this entry stands.", ["left", "right"])
    enclosure: Open[Annotated[str, Word("outside a housing", "inside a housing")]] = entry("Whether it can be opened from outside a housing.", "outside a housing")
    outboard: Open[Prose] = entry("Part of the suspension it sits on, for an outboard motor.", "upright")
    locking: Open[Prose] = entry("How it is positively locked.", "lever with secondary lock")
    pilot: Open[Name] = entry("Interlock device whose contact runs through it.", "pack_link")
    pilot_order: Open[Annotated[str, Word("breaks first", "breaks last")]] = entry("Whether the pilot contact breaks before the power contacts.", "breaks first")
    routed: Open[Prose] = entry("Way of the pilot line, for an outboard motor.", "along the upper wishbone, shorter than the motor cable")
    voltage_rating: Open[PositiveVolts] = entry("Rated voltage.", "800 V DC")
    current_rating: Open[PositiveAmperes] = entry("Rated current.", "200 A")
    datasheet: Open[Name] = entry("Evidence for the connector.", "ds_hv_connector")


class ActiveLight(Part):
    """The light that says whether the tractive system is active."""

    red_above: Open[PositiveVolts] = entry("Voltage above which it flashes red.", "60 V")
    frequency: Open[Hertz] = entry("Flashing frequency.", "3 Hz")
    senses: Open[tuple[Prose, ...]] = entry("What it senses: device.contact of each relay, voltages.", ["air_plus.auxiliary", "voltage of rear"])
    logic: Open[Annotated[str, Word("hard-wired", "programmable", also={"hardwired": "hard-wired"})]] = entry("Whether its logic is hard-wired.", "hard-wired")
    independent: Open[Prose] = entry("How red and green are independent.", "separate boards, no common input")
    implausible: Open[Prose] = entry("What happens when relay state and voltage disagree.", "green goes out, latched until low voltage is cycled")
    place: Open[Place] = entry("Where it is.", {"where": "under the main hoop", "height": "60 mm below its highest point"})
    runs_on: Open[PositiveSeconds] = entry("How long it keeps running with low voltage off.", "20 min")


class SystemOffLamp(Part):
    """The cockpit lamp that says the tractive system is off."""

    colour: Open[Prose] = entry("Colour.", "green")
    label: Open[Prose] = entry("Lettering.", "TS off")
    follows: Open[Prose] = entry("What it follows.", "the green of the active light")


class Grounding(Part):
    """Bonding of conductive parts."""

    near_parts: Open[Ohms] = entry("Largest resistance from conductive parts near tractive or low-voltage parts to ground.", "80 mΩ")
    possibly_conductive: Open[Ohms] = entry("Largest resistance from parts that may become conductive.", "40 Ω")
    conductor: Open[Area] = entry("Bonding conductor.", "6 mm²")
    tested_with: Open[Amperes] = entry("Test current.", "1 A")


class TractiveSystem(Part):
    """The tractive system of the car."""

    voltage: Open[SystemVoltage] = entry("Voltage.", {"highest": "453.6 V", "nominal": "388.8 V"})
    power: Open[Watts] = entry("Largest power drawn.", "78 kW")
    current: Open[PositiveAmperes] = entry("Largest current drawn.", "190 A")
    accumulators: dict[Name, Accumulator] = several("Accumulator containers by name.", {"main": {"fuse": {"rating": "160 A"}}})
    inverters: dict[Name, Inverter] = several("Inverters by name.", {"rear": {"capacitance": "650 µF"}})
    measuring_points: Open[MeasuringPoints] = entry("Measuring points.", {"resistor": "15 kΩ"})
    connectors: dict[Name, HvConnector] = several("Connectors of the tractive system by name.", {"pack_outlet": {"pilot": "pack_link"}})
    active_light: Open[ActiveLight] = entry("The active light.", {"frequency": "3 Hz"})
    off_lamp: Open[SystemOffLamp] = entry("The cockpit lamp for tractive system off.", {"colour": "green"})
    grounding: Open[Grounding] = entry("Bonding of conductive parts.", {"near_parts": "80 mΩ"})
    wiring_colour: Open[Prose] = entry("Colour of tractive-system wiring outside housings.", "orange")
    wiring_temperature: Open[Celsius] = entry("Lowest temperature rating of tractive-system wiring.", "150 °C")
    anchoring: Open[Newtons] = entry("Pull that anchored conduits withstand.", "200 N")
    spacing: Open[Metres] = entry("Smallest spacing between tractive and low-voltage parts in a shared housing.", "25 mm")
    sense_taps: Open[Prose] = entry("Protection of thin measuring wires into the tractive system.", "fuse in each wire at the cell")
    indicators: dict[Name, Lamp] = several("Further lamps by name.", {"ready": {"colour": "blue"}})


class Charger(Part):
    """The charger and its connection."""

    lead_interlock: Open[Name] = entry("Interlock device in the charging lead.", "charger_link")
    voltage: Open[PositiveVolts] = entry("Highest output voltage.", "453.6 V")
    current: Open[PositiveAmperes] = entry("Highest output current.", "16 A")
    place: Open[Place] = entry("Where it is kept and used.", {"where": "charging cart"})
