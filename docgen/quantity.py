"""Quantities with units and tolerances, read from text such as ``470 Ω ± 5 %``.

Magnitudes are kept as `decimal.Decimal` in the base unit of their dimension, so that ``5 kW``
equals ``5000 W`` exactly; the text as written is kept for printing.
"""

import re
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from docgen.calc.formula import OutOfBounds
from docgen.calc.wire import gauge_area

_POWERS = {"p": -12, "n": -9, "µ": -6, "m": -3, "": 0, "k": 3, "M": 6}


def _scaled(unit: str, prefixes: str) -> dict[str, Decimal]:
    return {prefix + unit: Decimal(1).scaleb(_POWERS[prefix]) for prefix in ["", *prefixes]}


DIMENSIONS: dict[str, dict[str, Decimal]] = {
    "voltage": _scaled("V", "mk"),
    "current": _scaled("A", "µmk"),
    "resistance": _scaled("Ω", "mkM"),
    "capacitance": _scaled("F", "pnµm"),
    "inductance": _scaled("H", "µm"),
    "power": _scaled("W", "mk"),
    "energy": _scaled("J", "mkM") | {"Wh": Decimal(3600), "kWh": Decimal(3_600_000)},
    "charge": {"Ah": Decimal(3600), "mAh": Decimal("3.6")},
    "time": _scaled("s", "µm") | {"min": Decimal(60), "h": Decimal(3600)},
    "length": {"mm": Decimal("0.001"), "cm": Decimal("0.01"), "m": Decimal(1)},
    "let-through": {"A²s": Decimal(1), "kA²s": Decimal(1000)},
    "area": {"mm²": Decimal("0.000001"), "cm²": Decimal("0.0001")},
    "temperature": {"°C": Decimal(1)},
    "torque": {"Nm": Decimal(1)},
    "force": _scaled("N", "k"),
    "pressure": {"bar": Decimal(100_000), "Pa": Decimal(1), "kPa": Decimal(1000), "MPa": Decimal(1_000_000)},
    "frequency": _scaled("Hz", "k"),
    "mass": {"g": Decimal("0.001"), "kg": Decimal(1)},
    "acceleration": {"g": Decimal("9.80665"), "m/s²": Decimal(1)},
    "share": {"%": Decimal("0.01")},
    "insulation": {"Ω/V": Decimal(1), "kΩ/V": Decimal(1000)},
    "sound level": {"dB(A)": Decimal(1)},
    "angle": {"°": Decimal(1)},
}
"""Dimension -> unit symbol -> factor to the dimension's base unit."""

EXAMPLES = {
    "voltage": "12.5 V", "current": "2 A", "resistance": "85 kΩ", "capacitance": "480 µF", "inductance": "1.2 mH", "power": "5 kW",
    "energy": "5.4 MJ", "charge": "3.5 Ah", "time": "500 ms", "length": "70 mm", "area": "1.0 mm²", "temperature": "105 °C",
    "torque": "0 Nm", "force": "200 N", "pressure": "30 bar", "frequency": "3 Hz", "mass": "9.8 kg", "acceleration": "8 g",
    "share": "95 %", "insulation": "500 Ω/V", "sound level": "85 dB(A)", "angle": "90 °", "let-through": "120 A²s",
}  # fmt: skip
"""Dimension -> how a value of it is written."""

MAGNITUDES = {
    "voltage": (1e-6, 1e6), "current": (1e-12, 1e6), "resistance": (1e-9, 1e13), "capacitance": (1e-15, 1e3), "inductance": (1e-12, 1e3),
    "power": (1e-9, 1e9), "energy": (1e-9, 1e12), "charge": (1e-6, 1e9), "time": (1e-9, 1e8), "length": (1e-9, 1e5), "area": (1e-10, 1e-1),
    "temperature": (1e-3, 1e4), "torque": (1e-6, 1e6), "force": (1e-6, 1e9), "pressure": (1e-3, 1e10), "frequency": (1e-6, 1e12),
    "mass": (1e-9, 1e5), "acceleration": (1e-6, 1e6), "share": (1e-9, 1e2), "insulation": (1e-6, 1e9), "sound level": (1e-3, 1e3),
    "angle": (1e-6, 1e4), "let-through": (1e-6, 1e12),
}  # fmt: skip
"""Dimension -> smallest and largest magnitude, in its base unit, that a value or tolerance of a car can have; 0 is no magnitude."""

_RESPELLED = (
    ("\u2126", "Ω"), ("μ", "µ"), ("+/-", "±"), ("+-", "±"), ("ohms", "Ω"), ("ohm", "Ω"), ("Ohm", "Ω"), ("uF", "µF"), ("uA", "µA"), ("us", "µs"),
    ("uH", "µH"), ("mm2", "mm²"), ("cm2", "cm²"), ("A2s", "A²s"), ("degC", "°C"), ("deg", "°"), ("N m", "Nm"), ("m/s2", "m/s²"), ("\u2212", "-"), ("\u00a0", " "),
)  # fmt: skip
_UNSIGNED = r"\d{1,15}(?:\.\d{1,15})?(?:[eE][+-]?\d{1,2})?"
_NUMBER = rf"[+-]?{_UNSIGNED}"
_VALUE = re.compile(rf"(?P<number>{_NUMBER})\s*(?P<unit>[^\s\d±][^\s±]*)?(?:\s+(?P<kind>DC|AC))?")
_TOLERANCE = re.compile(rf"(?P<number>{_UNSIGNED})\s*(?P<unit>[^\s\d±]+)")
_TWO_SIDED = re.compile(rf"\+\s*(?P<up>{_UNSIGNED})\s*(?P<unit>%)\s*/?\s*-\s*(?P<down>{_UNSIGNED})\s*%")
_GAUGE = re.compile(r"AWG\s*(?:(?P<gauge>\d{1,2})|(?P<noughts>[1-4])/0)")


_BASE = {"charge": "C", "area": "m²", "share": "1"}


def unit_of(dimension: str) -> str:
    """The unit in which magnitudes of a dimension are kept.

    >>> unit_of("capacitance"), unit_of("area"), unit_of("share")
    ('F', 'm²', '1')
    """
    return _BASE.get(dimension) or next(symbol for symbol, factor in DIMENSIONS[dimension].items() if factor == 1)


def _refused(reason: str, dimension: str) -> PydanticCustomError:
    return PydanticCustomError(
        "quantity", "{reason}; write for example {example}", {"reason": reason, "example": EXAMPLES[dimension]}
    )


def _respelled(text: str) -> str:
    for written, meant in _RESPELLED:
        text = text.replace(written, meant)
    return text.strip()


def said(magnitude: float, dimension: str) -> str:
    """A magnitude of a dimension's base unit as it is written in descriptions.

    >>> said(1, "share"), said(0, "area"), said(1e-6, "voltage"), said(1e13, "resistance")
    ('100 %', '0 mm²', '0.000001 V', '10,000,000,000,000 Ω')
    """
    unit = {"share": "%", "area": "mm²"}.get(dimension) or unit_of(dimension)
    digits = Decimal(f"{magnitude / float(DIMENSIONS[dimension].get(unit, 1)):.6g}")
    return f"{digits:,f} {unit}"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value with a unit; equal when magnitude, tolerance band and dimension are, however it is written."""

    value: Decimal
    """Nominal value in the base unit of the dimension."""
    low: Decimal
    high: Decimal
    dimension: str
    text: str = field(compare=False)
    """As written, with unit and tolerance signs spelled in one way."""
    kind: str = ""
    """DC, AC or nothing."""

    def __str__(self) -> str:
        return self.text

    def __float__(self) -> float:
        return float(self.value)


@dataclass(frozen=True, slots=True)
class Spread:
    """A tolerance by itself, ``± 1 %`` or ``± 0.3 A``: lower and upper deviation."""

    down: Decimal
    up: Decimal
    relative: bool
    text: str = field(compare=False)

    def __str__(self) -> str:
        return self.text


def _of_gauge(found: re.Match[str], text: str) -> Quantity:
    """The cross-section of ``AWG 20`` or ``AWG 2/0``, to a millionth of a mm²."""
    try:
        area = gauge_area(gauge=int(found["gauge"]) if found["gauge"] else 1 - int(found["noughts"]))
    except OutOfBounds:
        raise _refused(f"{text} is no gauge, must be from AWG 4/0 to AWG 40", "area") from None
    exactly = Decimal(repr(round(area, 12)))
    return Quantity(exactly, exactly, exactly, "area", text)


def _factor(unit: str, dimension: str, text: str) -> Decimal:
    units = DIMENSIONS[dimension]
    if unit in units:
        return units[unit]
    homes = [name for name, symbols in DIMENSIONS.items() if unit in symbols]
    if homes:
        article = "an" if homes[0][0] in "aeiou" else "a"
        needed = "an" if dimension[0] in "aeiou" else "a"
        raise _refused(f"{text} is {article} {homes[0]}, must be {needed} {dimension}", dimension)
    raise _refused(f"{text} has the unknown unit {unit}, must be one of {', '.join(units)}", dimension)


def read_quantity(text: str, dimension: str, most: float | None = None) -> Quantity:
    """Read ``12.5 A``, ``24 V DC``, ``470 Ω ± 5 %``, ``650 µF +20 % -10 %`` or, for an area, ``AWG 20``.

    `most`, in the base unit, is the largest value allowed, where that is less than a value of the dimension may be at all.
    Raises PydanticCustomError, saying what is wrong and how the value is written.

    >>> read_quantity("5 kW", "power") == read_quantity("5000 W", "power")
    True
    >>> read_quantity("470 Ω ± 5 %", "resistance").high
    Decimal('493.5')
    """
    written = _respelled(text)
    if len(written) > 80:
        raise _refused(f"{written[:30]}… is no quantity", dimension)
    if re.search(r"\d,\d", written):
        pointed = re.sub(r"(?<=\d),(?=\d)", ".", written)
        raise _refused(f"{written} has a decimal comma, must have a decimal point ({pointed})", dimension)
    if dimension == "area" and (gauge := _GAUGE.fullmatch(written)):
        return _of_gauge(gauge, written)
    head = _VALUE.match(written)
    if not head:
        raise _refused(f"{written or 'an empty text'} is no quantity", dimension)
    if not head["unit"]:
        raise _refused(f"{written} has no unit", dimension)
    factor = _factor(head["unit"], dimension, written)
    value = Decimal(head["number"]) * factor
    low, high = _band(value, written[head.end() :].strip(), dimension, written)
    for end in (value, low, high):
        _checked(end, dimension, written, most)
    if head["kind"] and dimension not in ("voltage", "current"):
        raise _refused(f"{written} says {head['kind']}, which only a voltage or current can", dimension)
    return Quantity(value, low, high, dimension, written, head["kind"] or "")


def _checked(value: Decimal, dimension: str, text: str, most: float | None = None) -> None:
    smallest, largest = MAGNITUDES[dimension]
    if value > (largest if most is None else most) or value < -largest:
        raise _refused(f"{text} is beyond {said(largest if most is None else most, dimension)}, must not be", dimension)
    if 0 < abs(value) < smallest:
        raise _refused(f"{text} with its tolerance comes closer to 0 than {said(smallest, dimension)}, must not", dimension)


def _band(value: Decimal, rest: str, dimension: str, text: str) -> tuple[Decimal, Decimal]:
    if not rest:
        return value, value
    if two := _TWO_SIDED.fullmatch(rest):
        return value - abs(value) * Decimal(two["down"]) / 100, value + abs(value) * Decimal(two["up"]) / 100
    if rest[0] == "±" and (one := _TOLERANCE.fullmatch(rest[1:].strip())):
        if one["unit"] == "%" and dimension != "share":
            half = abs(value) * Decimal(one["number"]) / 100
        else:
            half = Decimal(one["number"]) * _factor(one["unit"], dimension, text)
        return value - half, value + half
    raise _refused(f"{text} has the unreadable rest {rest!r} (a tolerance is written ± 5 %, ± 2 {unit_of(dimension)} or +20 % -10 %)", dimension)


def read_spread(text: str, dimensions: tuple[str, ...]) -> Spread:
    """Read ``± 1 %`` or ``± 0.3 A``; raises like :func:`read_quantity`.

    >>> read_spread("± 0.3 A", ("current",)).up
    Decimal('0.3')
    """
    written = _respelled(text)
    example = f"± 1 % or ± {EXAMPLES[dimensions[0]]}"
    found = _TOLERANCE.fullmatch(written[1:].strip()) if written.startswith("±") else None
    if not found:
        raise PydanticCustomError("spread", "{text} is no tolerance; write for example {example}", {"text": written[:60] or "an empty text", "example": example})
    relative = found["unit"] == "%"
    dimension = next((name for name in dimensions if found["unit"] in DIMENSIONS[name]), dimensions[0])
    half = Decimal(found["number"]) * (Decimal("0.01") if relative else _factor(found["unit"], dimension, written))
    _checked(half, "share" if relative else dimension, written)
    return Spread(half, half, relative, written)


_REFUSED_TYPES = "a list or a group of fields stands here, must be {what}; write for example {example}"


@dataclass(frozen=True, slots=True)
class Of:
    """Annotation of a model field: a quantity of this dimension within these bounds (base unit)."""

    dimension: str
    least: float | None = 0
    above: float | None = None
    most: float | None = None
    below: float | None = None

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"type": "string", "examples": [EXAMPLES[self.dimension]], "title": self.dimension.capitalize()}

    def read(self, value: object) -> Quantity:
        if not isinstance(value, str):
            raise PydanticCustomError("quantity", _REFUSED_TYPES, {"what": f"one {self.dimension}", "example": EXAMPLES[self.dimension]})
        quantity = read_quantity(value, self.dimension, self.most)
        if self.above is not None and quantity.low <= self.above:
            raise _refused(f"{quantity} with its tolerance is not above {said(self.above, self.dimension)}, must be", self.dimension)
        if self.least is not None and quantity.low < self.least:
            raise _refused(f"{quantity} with its tolerance is below {said(self.least, self.dimension)}, must not be", self.dimension)
        if self.below is not None and quantity.high >= self.below:
            raise _refused(f"{quantity} with its tolerance is not below {said(self.below, self.dimension)}, must be", self.dimension)
        return quantity


@dataclass(frozen=True, slots=True)
class OfAny:
    """Annotation of a model field whose dimension the unit decides, such as a threshold: one of these, each within its bounds."""

    kinds: tuple[Of, ...]

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"type": "string", "examples": [EXAMPLES[kind.dimension] for kind in self.kinds], "title": "Quantity"}

    def read(self, value: object) -> Quantity:
        if not isinstance(value, str):
            raise PydanticCustomError("quantity", _REFUSED_TYPES, {"what": "one quantity", "example": EXAMPLES[self.kinds[0].dimension]})
        head = _VALUE.match(_respelled(value))
        unit = head["unit"] if head else None
        return next((kind for kind in self.kinds if unit in DIMENSIONS[kind.dimension]), self.kinds[0]).read(value)


@dataclass(frozen=True, slots=True)
class SpreadOf:
    """Annotation of a model field: a tolerance by itself, relative or in a unit of one of these dimensions."""

    dimensions: tuple[str, ...]

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"type": "string", "examples": ["± 1 %", f"± {EXAMPLES[self.dimensions[0]]}"], "title": "Tolerance"}

    def read(self, value: object) -> Spread:
        if not isinstance(value, str):
            raise PydanticCustomError("spread", _REFUSED_TYPES, {"what": "one tolerance", "example": "± 1 %"})
        return read_spread(value, self.dimensions)
