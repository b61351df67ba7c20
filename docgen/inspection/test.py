"""A test at the car: what is done, what is expected and what that rests on."""

import hashlib
import json
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from docgen.printing import measure
from docgen.quantity import Quantity, unit_of


class Caution(StrEnum):
    """What endangers people in a test."""

    HIGH_VOLTAGE = (
        "The tractive system is under high voltage. Qualified people only, two of them, with insulating gloves, face shield and probes for this voltage; "
        "one stays at the shutdown button. Wheels off the ground, nobody near them."
    )
    STORED_CHARGE = "Capacitors keep their charge after the contactors have opened. Measure at the measuring points before touching; never trust a lamp or a time."
    LOCKED_OFF_FIRST = (
        "Part no connector of the tractive system under voltage. First: tractive system off, TS master locked off and its key kept, "
        "measured dead at the measuring points by a qualified person. Cover open contacts."
    )
    OPEN_CELLS = "The cells cannot be switched off: open housings of the accumulator stay under voltage. Qualified people only, insulated tools, no metal on hands."
    TURNING_WHEELS = "The wheels may turn at full power. Car on stands and held, nobody near the wheels, a second person at a shutdown button."
    SHORT_CIRCUITS = (
        "Low-voltage batteries give hundreds of amperes into a short. Bridge lines only where the step says so, through a fuse of at most 1 A."
    )
    ONE_AT_A_TIME = "Take one thing away at a time and put it back before the next test."

    @property
    def short(self) -> str:
        """Its name in two or three words."""
        return self.name.replace("_", " ").lower()


@dataclass(frozen=True, slots=True)
class Sight:
    """Something to be seen, in words of states; or, where the description does not tell, which value is missing."""

    words: str
    source: str
    """The field, calculation or clause from which it follows."""
    is_known: bool = True

    def __str__(self) -> str:
        return self.words if self.is_known else f"not evaluated: {self.words}"


@dataclass(frozen=True, slots=True)
class Figure:
    """Something to be measured, with the band in which it is expected: SI units, four significant digits, an open end is None."""

    what: str
    dimension: str
    low: float | None
    high: float | None
    source: str
    missing: str = ""
    """Why there is no band: the value that is not known."""

    def __post_init__(self) -> None:
        for end in ("low", "high"):
            value = getattr(self, end)
            if value is not None:
                object.__setattr__(self, end, float(f"{value:.4g}"))

    @property
    def has_band(self) -> bool:
        return self.low is not None or self.high is not None

    @property
    def expected(self) -> str:
        """The band as it is printed: ``at most 3.184 s``, ``7.682 A to 10.32 A``; or why there is none."""
        if not self.has_band:
            return f"not evaluated: {self.missing}"
        low, high = (None if end is None else measure(end, unit_of(self.dimension)) for end in (self.low, self.high))
        if low == high:
            return f"{low}"
        return f"at most {high}" if low is None else f"at least {low}" if high is None else f"{low} to {high}"

    def holds(self, measured: Quantity) -> bool:
        """Whether a measured value lies inside the band with the whole of its own tolerance.

        Where only the upper end is given the size counts: with the probes the other way round, −300 V is no less dangerous than 300 V.
        """
        highest = max(abs(float(measured.low)), abs(float(measured.high))) if self.low is None else float(measured.high)
        return (self.low is None or float(measured.low) >= self.low) and (self.high is None or highest <= self.high)


@dataclass(frozen=True)
class Test:
    """One line of the sheet."""

    slug: str
    """Stable: it names the device and the act, and nothing that an unrelated change moves."""
    title: str
    steps: tuple[str, ...]
    sights: tuple[Sight, ...]
    figure: Figure | None
    fields: tuple[tuple[str, str], ...]
    """The fields of the description that it proves, with their values."""
    cautions: tuple[Caution, ...] = ()

    @cached_property
    def rests_on(self) -> dict[str, str]:
        """The fields that it proves and the figure that it expects: what a later revision may have changed."""
        expected = {f"expected {self.figure.what}": self.figure.expected} if self.figure else {}
        return dict(self.fields) | expected

    @property
    def digest(self) -> str:
        """The first 16 hexadecimal digits of the SHA-256 of what it rests on."""
        return digest_of(self.rests_on)

    @property
    def sources(self) -> tuple[str, ...]:
        """Where the expectations come from, each once."""
        return tuple(
            dict.fromkeys(source for source in (*(sight.source for sight in self.sights), self.figure.source if self.figure else "") if source)
        )


def digest_of(rests_on: dict[str, str]) -> str:
    """The digest of what a test rests on, the order aside."""
    canonical = json.dumps(rests_on, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(canonical.encode()).hexdigest()[:16]


@dataclass(frozen=True, slots=True)
class Group:
    """The tests that prove one thing."""

    head: str
    """Device, or kind and name: the part of its slugs before the stroke."""
    title: str
    tests: tuple[Test, ...]

    @property
    def cautions(self) -> tuple[Caution, ...]:
        asked = {caution for test in self.tests for caution in test.cautions}
        return tuple(caution for caution in Caution if caution in asked)


@dataclass(frozen=True, slots=True)
class Section:
    """Groups in their order."""

    title: str
    groups: tuple[Group, ...]
