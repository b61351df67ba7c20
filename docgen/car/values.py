"""The small values that every part of the description is made of."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, TypeVar, get_args

from pydantic import BaseModel, ConfigDict, Field, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from docgen.quantity import Of, OfAny, Quantity, Spread, SpreadOf


class Part(BaseModel):
    """Base of every part of the description: frozen, and closed against unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


def entry(description: str, *examples: object) -> Any:
    """A field that may be left out: its explanation and examples for the editor."""
    return Field(default=None, description=description, examples=list(examples))


def several(description: str, *examples: object) -> Any:
    """A field that holds named parts; left out, it holds none."""
    return Field(default_factory=dict, description=description, examples=list(examples))


@dataclass(frozen=True, slots=True)
class Unknown:
    """A value the team does not know yet: an open point, with who or what it waits for."""

    because: str = ""

    def __str__(self) -> str:
        return f"unknown ({self.because})" if self.because else "unknown"


_UNKNOWN = re.compile(r"unknown(?:\s*\((?P<because>.*)\))?\s*", re.DOTALL)


@dataclass(frozen=True, slots=True)
class _MayBeUnknown:
    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        known = [member for member in get_args(source) if member not in (Unknown, type(None))]
        inner = handler.generate_schema(known[0] if len(known) == 1 else _union(known))

        def read(value: Any, known_reader: Callable[[Any], Any]) -> Any:
            if isinstance(value, str) and len(value) <= LONGEST_TEXT and (found := _UNKNOWN.fullmatch(value)):
                return Unknown((found["because"] or "").strip())
            return known_reader(value)

        return core_schema.no_info_wrap_validator_function(read, inner)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        unknown = {"type": "string", "pattern": r"^unknown( *\(.*\))? *$", "title": "Not yet known", "examples": ["unknown (asked the supplier)"]}
        return {"anyOf": [handler(schema), unknown]}


def _union(members: list[Any]) -> Any:
    union = members[0]
    for member in members[1:]:
        union = union | member
    return union


T = TypeVar("T")
Open = Annotated[T | Unknown | None, _MayBeUnknown()]
"""A value, or `Unknown` (an open point), or None (left out: a finding where it is needed)."""


LONGEST_TEXT = 4000


class Scalar:
    """Base of annotations for a field written as one line of text."""

    what = "text"
    example = "text"
    json: dict[str, Any] = {"type": "string"}

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return dict(self.json)

    def refuse(self, reason: str) -> PydanticCustomError:
        return PydanticCustomError(
            "text", "{reason}, must be {what}; write for example {example}", {"reason": reason, "what": self.what, "example": self.example}
        )

    def read(self, value: object) -> Any:
        if not isinstance(value, str):
            raise self.refuse("a list or a group of fields stands here")
        text = value.strip()
        if not text:
            raise self.refuse("nothing stands here")
        if len(text) > LONGEST_TEXT:
            raise self.refuse(f"the text is {len(text)} characters long, the limit is {LONGEST_TEXT}")
        return self.take(text)

    def take(self, text: str) -> Any:
        return text


class _Text(Scalar):
    json = {"type": ["string", "number"]}


class _Name(Scalar):
    what = "a name of letters, digits, _ and - that begins with a letter"
    example = "lv_master"
    json = {"type": "string", "pattern": r"^[^\W\d_][\w-]{0,59}$"}
    _shape = re.compile(r"[^\W\d_][\w-]{0,59}")

    def take(self, text: str) -> str:
        if not self._shape.fullmatch(text):
            raise self.refuse(f"{text[:70]!r} stands here")
        return text


class _Count(Scalar):
    example = "4"

    def __init__(self, least: int) -> None:
        self.least = least
        self.what = f"a whole number from {least} to 100000"
        self.json = {"type": "integer", "minimum": least, "maximum": 100_000}

    def take(self, text: str) -> int:
        if not re.fullmatch(r"[0-9]{1,6}", text) or not self.least <= int(text) <= 100_000:
            raise self.refuse(f"{text[:40]} stands here")
        return int(text)


class _Day(Scalar):
    what = "a date as year-month-day"
    example = "2026-11-14"
    json = {"type": "string", "format": "date"}

    def take(self, text: str) -> date:
        try:
            if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
                raise ValueError
            return date.fromisoformat(text)
        except ValueError:
            raise self.refuse(f"{text[:40]} stands here") from None


class Word(Scalar):
    """Annotation of a field that takes one of a closed set of words; synonyms map to the word itself."""

    def __init__(self, *allowed: str, also: dict[str, str] | None = None, hint: str = "") -> None:
        self.allowed = allowed
        self.what = ("one of: " + ", ".join(allowed) if len(allowed) > 1 else allowed[0]) + hint
        self._meant = {self._folded(word): word for word in allowed} | {self._folded(word): meant for word, meant in (also or {}).items()}
        self.json = {"type": "string", "enum": [*allowed, *(also or {})]}

    @staticmethod
    def _folded(text: str) -> str:
        return re.sub(r"[\s_-]+", " ", text.strip()).casefold()

    def refuse(self, reason: str) -> PydanticCustomError:
        return PydanticCustomError("text", "{reason}, must be {what}", {"reason": reason, "what": self.what})

    def take(self, text: str) -> str:
        meant = self._meant.get(self._folded(text))
        if meant is None:
            raise self.refuse(f"{text[:60]} stands here")
        return meant


Prose = Annotated[str, _Text()]
"""A line or paragraph of free text."""
Name = Annotated[str, _Name()]
Count = Annotated[int, _Count(0)]
PositiveCount = Annotated[int, _Count(1)]
Day = Annotated[date, _Day()]

Volts = Annotated[Quantity, Of("voltage")]
SignedVolts = Annotated[Quantity, Of("voltage", least=None)]
PositiveVolts = Annotated[Quantity, Of("voltage", above=0, most=2000)]
Amperes = Annotated[Quantity, Of("current")]
PositiveAmperes = Annotated[Quantity, Of("current", above=0, most=100_000)]
SignedAmperes = Annotated[Quantity, Of("current", least=None)]
Ohms = Annotated[Quantity, Of("resistance")]
PositiveOhms = Annotated[Quantity, Of("resistance", above=0)]
Farads = Annotated[Quantity, Of("capacitance", above=0, most=10)]
Henries = Annotated[Quantity, Of("inductance", above=0, most=1000)]
Watts = Annotated[Quantity, Of("power", above=0)]
Joules = Annotated[Quantity, Of("energy", above=0)]
AmpereHours = Annotated[Quantity, Of("charge", above=0)]
Seconds = Annotated[Quantity, Of("time")]
PositiveSeconds = Annotated[Quantity, Of("time", above=0)]
Metres = Annotated[Quantity, Of("length")]
Area = Annotated[Quantity, Of("area", above=0)]
Celsius = Annotated[Quantity, Of("temperature", least=-273.15, most=1000)]
NewtonMetres = Annotated[Quantity, Of("torque", least=None)]
Newtons = Annotated[Quantity, Of("force")]
Pressure = Annotated[Quantity, Of("pressure")]
Hertz = Annotated[Quantity, Of("frequency", above=0)]
Kilograms = Annotated[Quantity, Of("mass", above=0)]
Acceleration = Annotated[Quantity, Of("acceleration", above=0)]
Share = Annotated[Quantity, Of("share", least=0, most=1)]
SoundLevel = Annotated[Quantity, Of("sound level")]
LetThrough = Annotated[Quantity, Of("let-through", above=0)]


_PART_OF_SUPPLY = Of("share", above=0, below=1)


def _any(*dimensions: str) -> tuple[Of, ...]:
    return tuple(Of(dimension, least=None) for dimension in dimensions)


_MEASURES = _any("voltage", "current", "pressure", "resistance", "temperature", "acceleration", "time")
AnyMeasure = Annotated[Quantity, OfAny((*_MEASURES, Of("share", least=None)))]
ThresholdMeasure = Annotated[Quantity, OfAny((*_MEASURES, _PART_OF_SUPPLY))]
SensorReading = Annotated[Quantity, OfAny(_any("current", "pressure", "share", "temperature", "angle", "length", "force"))]
ComparatorLevel = Annotated[Quantity, OfAny((_PART_OF_SUPPLY, Of("voltage", above=0)))]
AnySpread = Annotated[Spread, SpreadOf(("current", "pressure", "voltage", "angle", "temperature", "force"))]

Reaction = Annotated[
    str,
    Word(
        "opens", "stays", "torque zero", "opens and torque zero", "not possible",
        also={"open": "opens", "loop opens": "opens", "nothing": "stays", "no reaction": "stays", "zero torque": "torque zero"},
    ),
]  # fmt: skip
"""What the device does to the loop (or to torque) when something is lost."""
