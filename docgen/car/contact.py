"""A contact, described by two states: at rest and when healthy."""

from typing import Annotated, Any

from pydantic import Discriminator, Tag

from docgen.car.values import Amperes, Name, Ohms, Open, Part, PositiveAmperes, Prose, Scalar, Volts, Word, entry

PHASES = ("off", "precharging", "active")
"""Off: low voltage on, loop healthy, tractive system not active. Precharging. Active."""

MODES = ("manual", "driverless")

State = Annotated[str, Word("open", "closed", "as left", hint="; words such as NO or normally closed stand in wording, as a quotation")]
"""`as left` is for bistable parts only."""


class ByPhase(Part):
    """The healthy state of a contact where it differs from phase to phase."""

    off: Open[State] = entry("State with low voltage on, the loop healthy and the tractive system not active.", "open")
    precharging: Open[State] = entry("State while the intermediate circuit is being charged.", "closed")
    active: Open[State] = entry("State while the tractive system is active.", "closed")


class SameAs(Part):
    """The healthy state is that of another contact of the same device."""

    contact: Name


def _kind_of_state(value: Any) -> str:
    if isinstance(value, dict):
        return "modes" if set(value) & set(MODES) else "phases"
    return "same" if isinstance(value, str) and value.startswith("same as ") else "state"


class _SameAsText(Scalar):
    what = "`same as` and the name of another contact"
    example = "same as main"
    json = {"type": "string", "pattern": "^same as "}

    def take(self, text: str) -> SameAs:
        return SameAs(contact=text.removeprefix("same as ").strip())


_same = Annotated[SameAs, _SameAsText()]
_phase_or_state = Annotated[
    Annotated[State, Tag("state")] | Annotated[_same, Tag("same")] | Annotated[ByPhase, Tag("phases")], Discriminator(_kind_of_state)
]


class ByMode(Part):
    """The healthy state of a contact in a car that has several modes of driving."""

    manual: Open[_phase_or_state] = entry("State, or states by phase, with a driver aboard.", "closed")
    driverless: Open[_phase_or_state] = entry("State, or states by phase, in driverless running.", "open")


HealthyState = Annotated[
    Annotated[State, Tag("state")]
    | Annotated[_same, Tag("same")]
    | Annotated[ByPhase, Tag("phases")]
    | Annotated[ByMode, Tag("modes")],
    Discriminator(_kind_of_state),
]


_FORMS = {
    "A": "make", "B": "break", "C": "change-over", "X": "make", "Y": "break", "form A": "make", "form B": "break", "form C": "change-over", "form X": "make",
    "form Y": "break", "make contact": "make", "break contact": "break", "changeover": "change-over",
}  # fmt: skip
"""Contact forms of ANSI C83.16 and their trade words."""

Form = Annotated[str, Word("make", "break", "change-over", also=_FORMS)]


class Breaking(Part):
    """What a power contact can interrupt."""

    current: Open[PositiveAmperes] = entry("Largest current the contact can interrupt.", "2000 A")
    at: Open[Volts] = entry("Voltage at which that holds.", "450 V DC")


class Contact(Part):
    """One contact of a device."""

    at_rest: Open[State] = entry(
        "State of the contact with the part on the bench: no power, nobody pressing, key out, plug apart. The maker's default.", "open"
    )
    when_healthy: Open[HealthyState] = entry(
        "State of the contact in the car without a fault; by phase (off, precharging, active) or by mode (manual, driverless) where it differs.",
        "closed", {"off": "open", "precharging": "closed", "active": "closed"}, "same as main",
    )  # fmt: skip
    tripped: Open[State] = entry("State after the device has acted.", "open")
    wording: Open[Prose] = entry("The maker's or the team's own words for this contact, quoted.", "normally open (without power)")
    form: Open[Form] = entry("Contact form: make (A), break (B) or change-over (C).", "make", "A")
    throw: Open[Annotated[str, Word("make", "break")]] = entry("Which throw of a change-over contact is in the loop.", "make")
    terminals: Open[Prose] = entry("Terminal numbers as printed on the part.", "13-14", "30-87")
    kind: Open[Annotated[str, Word("volt-free", "high-side stage", "low-side stage", also={"potential-free": "volt-free", "dry": "volt-free"})]] = entry(
        "Whether the contact is mechanical and volt-free, or a solid-state stage.", "volt-free"
    )
    construction: Open[Annotated[str, Word("mechanical", "solid state")]] = entry("Whether metal parts or a semiconductor switch.", "mechanical")
    part: Open[Prose] = entry("The part that holds this contact, where it is not the device itself.", "K1")
    rating: Open[tuple[Volts, Amperes]] = entry("Rated voltage and continuous current.", ["24 V DC", "10 A"])
    breaking: Open[Breaking] = entry("Breaking capacity of a power contact.", {"current": "2000 A", "at": "450 V DC"})
    resistance: Open[Ohms] = entry("Contact resistance when closed, largest in service.", "15 mΩ")
    leakage: Open[Amperes] = entry("Largest current that flows past the open contact: through a solid-state stage, through a lamp or a sense line across it.", "0.2 mA")
    polarised: Open[Annotated[str, Word("with the current", "against the current", "not polarised")]] = entry(
        "How a polarised power contact is mounted with respect to the driving current.", "with the current"
    )
    used_by: Open[tuple[Name, ...]] = entry("Devices or lights that read this contact, where it is not in a loop.", ["active_light"])
    linked_to_main: Open[Name] = entry("Evidence that this auxiliary contact is mechanically linked to the main contact.", "ds_air")
    datasheet: Open[Name] = entry("Evidence for this contact.", "ds_k1")
    note: Open[Prose] = entry("A remark on this contact.", "gold plated")


