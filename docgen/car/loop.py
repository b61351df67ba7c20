"""A loop, read like the circuit: from the source to the return."""

import re
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import Discriminator, Field, Tag, TypeAdapter

from docgen.car.values import Area, Celsius, Metres, Name, Open, Part, Prose, Scalar, Word, entry, several


@dataclass(frozen=True, slots=True)
class FuseStep:
    """``fuse F1``"""

    fuse: str


@dataclass(frozen=True, slots=True)
class ContactStep:
    """``lv_master``, ``precharge_unit.done`` or ``motor_link left``"""

    device: str
    contact: str = ""
    corner: str = ""


@dataclass(frozen=True, slots=True)
class CrossingStep:
    """``through X3.7``"""

    connector: str
    position: str


@dataclass(frozen=True, slots=True)
class CoilStep:
    """``coil air_plus``"""

    device: str


@dataclass(frozen=True, slots=True)
class NodeStep:
    """``node N1``: a named point, for a branch described under `between`."""

    name: str


@dataclass(frozen=True, slots=True)
class ReturnStep:
    """``chassis`` or ``source negative``: the point where a loop ends."""

    point: str


LineStep = FuseStep | ContactStep | CrossingStep | CoilStep | NodeStep | ReturnStep

_NAME = r"[^\W\d_][\w-]*"
_SHAPES: tuple[tuple[re.Pattern[str], type], ...] = (
    (re.compile(r"(?P<point>chassis|source negative)"), ReturnStep),
    (re.compile(rf"fuse\s+(?P<fuse>{_NAME})"), FuseStep),
    (re.compile(rf"coil\s+(?P<device>{_NAME})"), CoilStep),
    (re.compile(rf"node\s+(?P<name>{_NAME})"), NodeStep),
    (re.compile(rf"through\s+(?P<connector>{_NAME})\.(?P<position>\w+)"), CrossingStep),
    (re.compile(rf"(?P<device>{_NAME})(?:\.(?P<contact>{_NAME}))?(?:\s+(?P<corner>{_NAME}))?"), ContactStep),
)


class _LineStep(Scalar):
    what = "a device, device.contact, fuse F1, through X3.7, coil air_plus, node N1 or chassis"
    example = "lv_master"
    json = {"type": "string", "examples": ["lv_master", "precharge_unit.done", "motor_link left", "fuse F1", "through X3.7", "coil air_plus", "chassis"]}

    def take(self, text: str) -> Any:
        for shape, step in _SHAPES:
            if found := shape.fullmatch(text):
                return step(**{key: value for key, value in found.groupdict().items() if value})
        raise self.refuse(f"{text[:60]!r} stands here")


_LINE = _LineStep()


def _kind_of_step(value: Any) -> str:
    if isinstance(value, dict):
        return "parallel" if "any_of" in value else "branches"
    return "line"


class EachToReturn(Part):
    """Branches that leave the line here and end at the return, each with its own load."""

    each_to_return: tuple[tuple["Step", ...], ...] = Field(description="Branches to the return, one list each.", examples=[[["coil air_minus"], ["coil air_plus"]]])


class AnyOf(Part):
    """Parallel ways that join again."""

    any_of: tuple[tuple["Step", ...], ...] = Field(description="Parallel ways that join again, one list each.", examples=[[["start_button"], ["hold_relay.hold"]]])


Step = Annotated[
    Annotated[Annotated[LineStep, _LINE], Tag("line")] | Annotated[EachToReturn, Tag("branches")] | Annotated[AnyOf, Tag("parallel")],
    Discriminator(_kind_of_step),
]
EachToReturn.model_rebuild()
AnyOf.model_rebuild()


class Wire(Part):
    """A stretch of conductor of the loop."""

    size: Open[Area] = entry("Cross-section or gauge.", "1.0 mm²", "AWG 18")
    length: Open[Metres] = entry("Length of the stretch.", "0.5 m")
    insulation: Open[Celsius] = entry("Temperature rating of the insulation.", "105 °C")


class Between(Part):
    """A branch between two named points of a loop, for circuits that are not series and parallel."""

    start: Open[Name] = entry("Named point where the branch begins.", "N1")
    end: Open[Name] = entry("Named point where it ends.", "N2")
    path: tuple[Step, ...] = Field(default=(), description="What the current meets on the branch.", examples=[["bypass_relay"]])


class Loop(Part):
    """One shutdown loop."""

    source: Open[Name] = entry("What supplies the loop: low_voltage, or a feed by name.", "low_voltage")
    path: tuple[Step, ...] = Field(
        default=(), description="Everything the current meets from the source to the return, in that order.", examples=[["fuse F1", "lv_master", "coil air_plus"]]
    )
    way_back: tuple[Annotated[LineStep, _LINE], ...] = Field(
        default=(), alias="return", description="Everything between the coils and the point where the loop ends; that point alone in a sound loop.",
        examples=[["chassis"]],
    )  # fmt: skip
    between: tuple[Between, ...] = Field(default=(), description="Branches between named points.", examples=[[{"start": "N1", "end": "N2", "path": ["bypass_relay"]}]])
    carries_coil_current: Open[Annotated[str, Word("directly", "through a relay", "as a signal")]] = entry(
        "Whether the loop itself carries the coil current.", "directly"
    )
    wires: dict[Prose, Wire] = several("Conductors: `default`, and `a > b` where a stretch differs.", {"default": {"size": "1.0 mm²", "length": "0.5 m"}})
    note: Open[Prose] = entry("A remark on the loop.", "drawn without the charger")


STEP = TypeAdapter(Step)
