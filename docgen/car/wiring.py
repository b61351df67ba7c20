"""Low voltage: source, fuses, feeds, boards, housings, connectors, conductors."""

from typing import Annotated

from pydantic import Field

from docgen.car.device import Place
from docgen.car.values import (
    Amperes,
    Area,
    Celsius,
    Count,
    LetThrough,
    Metres,
    Name,
    Open,
    Part,
    PositiveAmperes,
    PositiveOhms,
    PositiveVolts,
    Prose,
    Share,
    Word,
    entry,
    several,
)  # fmt: skip


class SourceVoltage(Part):
    """Voltage of the low-voltage source."""

    lowest: Open[PositiveVolts] = entry("Lowest voltage at which the car may run.", "11.2 V")
    nominal: Open[PositiveVolts] = entry("Nominal voltage.", "13.2 V")
    highest: Open[PositiveVolts] = entry("Highest voltage, charger connected.", "14.6 V")


class CellProtection(Part):
    """Protection of a lithium low-voltage battery."""

    temperature_share: Open[Share] = entry("Share of cells whose temperature is watched.", "50 %")
    temperature_limit: Open[Celsius] = entry("Temperature at which it disconnects.", "60 °C")
    voltage: Open[Prose] = entry("How cell voltages are watched.", "all cells, disconnects within 500 ms")
    case: Open[Prose] = entry("Case of the battery.", "rigid, fire-retardant")


class Source(Part):
    """The low-voltage source."""

    kind: Open[Prose] = entry("Chemistry or kind.", "LiFePO4")
    cells: Open[Count] = entry("Cells in series.", 4)
    voltage: Open[SourceVoltage] = entry("Voltage.", {"lowest": "11.2 V"})
    resistance: Open[PositiveOhms] = entry("Internal resistance.", "25 mΩ")
    continuous_current: Open[PositiveAmperes] = entry("Largest continuous discharge current of the cells.", "40 A")
    place: Open[Place] = entry("Where it is.", {"where": "left sidepod, inside the rollover envelope"})
    protection: Open[CellProtection] = entry("Protection of its cells.", {"temperature_share": "50 %"})
    grounded: Open[Prose] = entry("Where its negative is grounded.", "chassis, at the main hoop")
    datasheet: Open[Name] = entry("Evidence for the source.", "ds_lv_cells")


class Fuse(Part):
    """A fuse or other overcurrent protection."""

    rating: Open[PositiveAmperes] = entry("Rated current.", "5 A")
    voltage: Open[PositiveVolts] = entry("Rated voltage, with DC said.", "32 V DC")
    breaking_capacity: Open[PositiveAmperes] = entry("Largest current it can interrupt.", "1 kA")
    let_through: Open[LetThrough] = entry("Energy I²t that it lets through until it has broken a short circuit.", "120 A²s")
    carries: Open[Share] = entry("Share of its rating that it carries for good at the temperature of its place, by its data sheet.", "75 %")
    kind: Open[Prose] = entry("Construction and time class.", "blade, quick")
    resistance: Open[PositiveOhms] = entry("Resistance when cold.", "18 mΩ")
    distance_from_source: Open[Metres] = entry("Length of conductor from the source to it.", "70 mm")
    place: Open[Place] = entry("Where it is.", {"where": "low-voltage box"})
    datasheet: Open[Name] = entry("Evidence for the fuse.", "ds_blade_fuse")


class LowVoltage(Part):
    """The low-voltage system."""

    source: Open[Source] = entry("The source.", {"kind": "LiFePO4"})
    fuses: dict[Name, Fuse] = several("Fuses by name.", {"F1": {"rating": "5 A"}})
    feeds: dict[Name, "Feed"] = several("Feeds by name.", {"monitor_feed": {"from": "lv_master", "through": "F2"}})


class Feed(Part):
    """A supply of one or several devices."""

    start: Open[Name] = Field(default=None, alias="from", description="Device, feed or source where it begins.", examples=["lv_master"])
    through: Open[Name] = entry("Fuse on its way.", "F2")
    voltage: Open[PositiveVolts] = entry("Voltage, where it is converted.", "5 V")
    converted_by: Open[Name] = entry("Board that converts it.", "supply_board")
    note: Open[Prose] = entry("A remark on the feed.", "twisted with its return")


class Board(Part):
    """A printed circuit board."""

    place: Open[Place] = entry("Where it is.", {"where": "dashboard housing"})
    housing: Open[Name] = entry("The housing it is in.", "dashboard_housing")
    also_does: Open[Prose] = entry("Functions on it that are no device of this description; `nothing` when there are none.", "nothing")
    made_by: Open[Annotated[str, Word("team", "bought")]] = entry("Whether the team made it.", "team")
    spacing: Open[Metres] = entry("Smallest spacing between tractive and low-voltage parts on it.", "10 mm")
    coated: Open[Annotated[str, Word("coated", "not coated")]] = entry("Whether a conformal coating covers the spacing.", "not coated")


class Housing(Part):
    """A box of the car."""

    place: Open[Place] = entry("Where it is.", {"where": "dashboard"})
    protection: Open[Prose] = entry("Protection against water and touch.", "IP65")
    material: Open[Prose] = entry("Material and grounding.", "aluminium, bonded to the chassis")


class Connector(Part):
    """A low-voltage connector."""

    place: Open[Place] = entry("Where it is.", {"where": "pack lid"})
    positions: Open[Count] = entry("Number of positions.", 23)
    neighbours: dict[Prose, Open[tuple[Prose, ...]]] = several("Positions beside a position that the loop uses.", {"7": ["6", "8"]})
    carries: dict[Prose, Prose] = several("What other positions carry.", {"6": "ground", "8": "sense line"})
    locking: Open[Prose] = entry("How it is held together.", "lever")
    datasheet: Open[Name] = entry("Evidence for the connector.", "ds_x3")


class Conductor(Part):
    """A conductor of the car, apart from the stretches of a loop."""

    start: Open[Prose] = entry("Where it begins.", "pack_outlet")
    end: Open[Prose] = entry("Where it ends.", "rear inverter")
    size: Open[Area] = entry("Cross-section or gauge.", "35 mm²", "AWG 18")
    length: Open[Metres] = entry("Length.", "1.4 m")
    insulation: Open[Celsius] = entry("Temperature rating of the insulation.", "150 °C")
    ambient: Open[Celsius] = entry("Air around it at its warmest; 60 °C is assumed where it is left out.", "45 °C")
    colour: Open[Prose] = entry("Colour of the insulation.", "orange")
    current: Open[Amperes] = entry("Largest continuous current.", "180 A")
    rating: Open[PositiveAmperes] = entry("Permissible current at the temperature of the place.", "220 A")
    protected_by: Open[Name] = entry("Fuse that protects it.", "F2")
    conduit: Open[Name] = entry("Conduit it runs in.", "left_conduit")
    system: Open[Annotated[str, Word("tractive", "low voltage", "interlock")]] = entry("System it belongs to.", "tractive")


class Conduit(Part):
    """A conduit or bundle that several conductors share."""

    carries: Open[tuple[Prose, ...]] = entry("What runs in it.", ["motor cable left", "motor_link"])
    colour: Open[Prose] = entry("Colour.", "orange")
    anchoring: Open[Prose] = entry("How it is anchored.", "clamped both ends, 200 N")


class Wiring(Part):
    """Conductors and conduits."""

    conductors: dict[Name, Conductor] = several("Conductors by name.", {"motor_cable": {"size": "25 mm²"}})
    conduits: dict[Name, Conduit] = several("Conduits by name.", {"left_conduit": {"carries": ["motor cable left"]}})
