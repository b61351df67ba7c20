"""The root of the description."""

from typing import Annotated

from pydantic import Field

from docgen.car.contact import MODES
from docgen.car.demand import Demand, Signal
from docgen.car.device import Device
from docgen.car.loop import Loop
from docgen.car.tractive import Charger, TractiveSystem
from docgen.car.values import Count, Day, Name, Open, Part, Prose, Word, entry, several
from docgen.car.wiring import Board, Connector, Housing, LowVoltage, Wiring

FORMAT = 1
"""The version of the description's format that this program reads."""


class Identity(Part):
    """The car."""

    name: Open[Prose] = entry("Name of the car.", "Petrel 5")
    number: Open[Prose] = entry("Number at the event.", "E62")
    team: Open[Prose] = entry("Name of the team.", "Saltmarsh Racing")
    class_: Open[Prose] = Field(default=None, alias="class", description="Class it enters.", examples=["electric"])
    event: Open[Prose] = entry("Event it enters.", "Harbour Airfield Days 2027")
    edition: Open[Prose] = entry("Rulebook edition it is checked against.", "fsuk-2026")
    drive: Open[Annotated[str, Word("electric", "hybrid")]] = entry("Drive.", "electric")
    modes: Open[tuple[Annotated[str, Word(*MODES)], ...]] = entry("Modes of driving.", ["manual"])


class Revision(Part):
    """One revision of the description."""

    mark: Open[Prose] = entry("Mark; letters or numbers rise by one and are never used again.", "C")
    date: Open[Day] = entry("Day of the revision.", "2026-11-14")
    status: Open[Annotated[str, Word("draft", "in review", "released", "superseded")]] = entry("Status.", "draft")
    because: Open[Prose] = entry("Reason.", "Inertia switch moved to the bulkhead")
    prepared_by: Open[Prose] = entry("Role that prepared it; never a person's name.", "electrical lead")
    checked_by: Open[Prose] = entry("Role that checked it.", "electrical safety officer")


class Says(Part):
    """What a datasheet says, quoted for comparison with the description."""

    contact: Open[Prose] = entry("Contact wording.", "normally open")
    rating: Open[tuple[Prose, ...]] = entry("Rating.", ["30 V DC", "5 A"])
    terminals: Open[Prose] = entry("Terminal numbers.", "13-14")
    values: dict[Name, Prose] = several("Other values.", {"pick_up": "9.0 V"})


class Evidence(Part):
    """A datasheet, drawing, photo or record that a claim rests on."""

    title: Open[Prose] = entry("Title.", "Insulation monitor, data sheet, issue 7")
    file: Open[Prose] = entry("File in the folder of the description.", "evidence/imd.pdf")
    page: Open[Prose] = entry("Page.", "4")
    says: Open[Says] = entry("What it says.", {"contact": "normally open"})


class Car(Part):
    """The description of a car's safety devices."""

    docgen: Open[Count] = entry("Version of this file's format.", 1)
    car: Open[Identity] = entry("The car.", {"name": "Petrel 5"})
    revisions: tuple[Revision, ...] = Field(default=(), description="Revisions, newest first; released ones never change.", examples=[[{"mark": "A"}]])
    tractive_system: Open[TractiveSystem] = entry("The tractive system.", {"voltage": {"highest": "453.6 V"}})
    low_voltage: Open[LowVoltage] = entry("The low-voltage system.", {"source": {"kind": "LiFePO4"}})
    connectors: dict[Name, Connector] = several("Low-voltage connectors by name.", {"X3": {"positions": 23}})
    boards: dict[Name, Board] = several("Boards by name.", {"isolation_board": {"also_does": "nothing"}})
    housings: dict[Name, Housing] = several("Housings by name.", {"dashboard_housing": {"protection": "IP65"}})
    loops: dict[Name, Loop] = several("Loops by name; `drive` is the shutdown loop of the car.", {"drive": {"path": ["fuse F1", "lv_master"]}})
    devices: dict[Name, Device] = several("Devices by name.", {"lv_master": {"function": "LVMS"}})
    charger: Open[Charger] = entry("The charger.", {"lead_interlock": "charger_link"})
    demand: Open[Demand] = entry("Driver demand.", {"released_pedal": "0 Nm"})
    signals: dict[Name, Signal] = several("Signals that can influence a loop or the torque, by name.", {"front_pressure": {"kind": "analogue"}})
    wiring: Open[Wiring] = entry("Conductors and conduits.", {"conductors": {}})
    evidence: dict[Name, Evidence] = several("Evidence by name.", {"ds_imd": {"file": "evidence/imd.pdf"}})
    notes: Open[tuple[Prose, ...]] = entry("Remarks to print at the front.", ["The charger is described in revision D."])

    @property
    def newest(self) -> Revision:
        """The newest revision, an empty one when none is given."""
        return self.revisions[0] if self.revisions else Revision()


