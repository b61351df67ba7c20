"""The description itself: claims and the datasheets on which they rest."""

from collections.abc import Iterable, Iterator
from typing import Any

from pydantic import BaseModel
from pydantic_core import PydanticCustomError

from docgen.car.car import Evidence, Says
from docgen.car.tractive import Segments, TractiveSystem
from docgen.car.values import Unknown
from docgen.car.wiring import Fuse, LowVoltage, Source
from docgen.finding import Outcome, finding, holds, not_applicable, not_evaluated, rule, stated
from docgen.look import Look
from docgen.provenance import Path
from docgen.quantity import Quantity, read_quantity

SUBJECT = "The description itself"


@rule("claim-without-datasheet", SUBJECT, "datasheets")
def claim_without_datasheet(look: Look) -> Iterator[Outcome]:
    """Where the rulebook measures a value by the datasheet, the datasheet is named: currents and temperatures of cells.

    Why: The limit of a cell is what its maker prints, and a reviewer cannot look up a number that comes from nowhere.
    Wrong:
        low_voltage: {source: {continuous_current: 40 A, datasheet: null}}
    Right:
        low_voltage: {source: {continuous_current: 40 A, datasheet: ds_lv_cells}}
        evidence: {ds_lv_cells: {title: "LiFePO4 cell 10 Ah, data sheet"}}
    Mend: Name the datasheet under datasheet and describe it under evidence.
    """
    claims = list(_cell_claims(look))
    for place, what, sheet in claims:
        if isinstance(sheet, str):
            yield stated((*place[:-1], "datasheet"), f"{what} rests on {sheet}")
        elif isinstance(sheet, Unknown):
            yield not_evaluated((*place[:-1], "datasheet"), f"the datasheet behind {what} is unknown")
        else:
            yield finding(place, f"{what} names no datasheet", "must rest on the datasheet of the cell")
    if not claims:
        yield not_applicable("no current or temperature of a cell is claimed")


def _cell_claims(look: Look) -> Iterator[tuple[Path, str, object]]:
    """The first claim about each kind of cell: place, what is claimed, datasheet."""
    system, low_voltage = look.car.tractive_system, look.car.low_voltage
    for name, accumulator in system.accumulators.items() if isinstance(system, TractiveSystem) else ():
        cell = accumulator.segments.cell if isinstance(accumulator.segments, Segments) else None
        if cell is not None and not isinstance(cell, Unknown):
            for key, what in (("current", "the current"), ("temperature_limit", "the temperature limit")):
                if isinstance(getattr(cell, key), Quantity):
                    place = ("tractive_system", "accumulators", name, "segments", "cell", key)
                    yield place, f"{what} of the cells of {name}, {getattr(cell, key)},", cell.datasheet
                    break
    source = low_voltage.source if isinstance(low_voltage, LowVoltage) else None
    if isinstance(source, Source) and isinstance(source.continuous_current, Quantity):
        yield ("low_voltage", "source", "continuous_current"), f"the current of the low-voltage cells, {source.continuous_current},", source.datasheet


def _parts(part: Any, path: Path = ()) -> Iterator[tuple[Path, BaseModel]]:
    """Every part of a description with its place, in its own order."""
    if isinstance(part, BaseModel):
        yield path, part
    for key, value in _inside(part):
        yield from _parts(value, (*path, key))


def _inside(part: Any) -> Iterable[tuple[str | int, Any]]:
    if isinstance(part, BaseModel):
        return ((field.alias or name, getattr(part, name)) for name, field in type(part).model_fields.items())
    if isinstance(part, dict):
        return part.items()
    return enumerate(part) if isinstance(part, tuple) else ()


def _under(part: Any, path: Path) -> Iterator[tuple[Path, Any]]:
    """Every value inside a part, but not inside a part that rests on a datasheet of its own."""
    for key, value in _inside(part):
        yield (*path, key), value
        if not isinstance(getattr(value, "datasheet", None), str):
            yield from _under(value, (*path, key))


@rule("datasheet-contradicts", SUBJECT, "datasheets")
def datasheet_contradicts(look: Look) -> Iterator[Outcome]:
    """A value of the description agrees with the quoted datasheet on which it rests.

    Why: What the maker prints binds; a larger number in the table is a part that does not exist.
    Wrong:
        evidence: {ds_k1: {title: "Relay, data sheet", says: {rating: [30 V DC, 2 A]}}}
        devices: {imd: {contact: {rating: [24 V DC, 5 A], datasheet: ds_k1}}}
    Right:
        evidence: {ds_k1: {title: "Relay, data sheet", says: {rating: [30 V DC, 8 A]}}}
        devices: {imd: {contact: {rating: [24 V DC, 5 A], datasheet: ds_k1}}}
    Mend: Look into the datasheet again; put right the value or the quotation.
    """
    compared = False
    for path, part in _parts(look.car):
        sheet = look.car.evidence.get(getattr(part, "datasheet", None) or "") if isinstance(getattr(part, "datasheet", None), str) else None
        if isinstance(sheet, Evidence) and isinstance(sheet.says, Says):
            for outcome in (*_quoted_values(path, part, sheet.says), *_quoted_rating(path, part, sheet.says)):
                compared = True
                yield outcome
    if not compared:
        yield not_applicable("no value rests on a datasheet that is quoted")


def _quoted_values(path: Path, part: BaseModel, says: Says) -> Iterator[Outcome]:
    described: dict[str, list[tuple[Path, Quantity]]] = {}
    for place, value in _under(part, path) if says.values else ():
        if isinstance(value, Quantity):
            described.setdefault(str(place[-1]), []).append((place, value))
    for key, text in says.values.items():
        named = described.get(key, [])
        pairs = [(place, value, quoted) for place, value in named if (quoted := _read(text, value.dimension))]
        if named and not pairs:
            yield not_evaluated(named[0][0], f"the datasheet is quoted with {text}, which cannot be compared with {named[0][1]}")
        elif pairs and not any(_agree(value, quoted) for _, value, quoted in pairs):
            place, value, quoted = pairs[0]
            yield finding(place, f"{key} is {value}, and the datasheet says {quoted}", "must agree with the datasheet")
        elif pairs:
            yield holds(pairs[0][0], f"{key} agrees with the datasheet")


def _quoted_rating(path: Path, part: BaseModel, says: Says) -> Iterator[Outcome]:
    for text in says.rating if isinstance(says.rating, tuple) else ():
        quoted = _read(text, "voltage") or _read(text, "current")
        if quoted is None:
            yield not_evaluated(path, f"the datasheet is quoted with the rating {text}, which is neither a voltage nor a current")
            continue
        for place, value, exactly in _ratings(path, part):
            if value.dimension != quoted.dimension:
                continue
            above = value.low > quoted.high or (exactly and value.high < quoted.low)
            if above or (value.kind and quoted.kind and value.kind != quoted.kind):
                yield finding(place, f"the rating is {value}, and the datasheet says {quoted}", f"must be {'' if exactly else 'at most '}{quoted}")
            else:
                yield holds(place, f"the rating {value} keeps what the datasheet says, {quoted}")


def _ratings(path: Path, part: BaseModel) -> Iterator[tuple[Path, Quantity, bool]]:
    """The rated voltages and currents that rest on a part's datasheet, and whether they must be those of the datasheet exactly."""
    if isinstance(part, Fuse):
        yield from ((place, value, place[-1] == "rating") for place, value in _under(part, path) if place[-1] in ("rating", "voltage") and isinstance(value, Quantity))
        return
    for place, value in _under(part, path):
        if place[-1] == "rating" and isinstance(value, tuple):
            yield from (((*place, index), quantity, False) for index, quantity in enumerate(value) if isinstance(quantity, Quantity))
        elif place[-1] in ("voltage_rating", "current_rating") and isinstance(value, Quantity):
            yield place, value, False


def _read(text: str, dimension: str) -> Quantity | None:
    try:
        return read_quantity(text, dimension)
    except PydanticCustomError:
        return None


def _agree(value: Quantity, quoted: Quantity) -> bool:
    """Whether the tolerance bands of two quantities meet."""
    return value.low <= quoted.high and quoted.low <= value.high


RULES = (claim_without_datasheet, datasheet_contradicts)
