"""From a field of the description or a limit of the edition to an input of a formula."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from docgen.calc.formula import Band, Card
from docgen.calculation import Bound, Calculation, Given, Missing
from docgen.car.tractive import SystemVoltage, TractiveSystem
from docgen.car.values import Unknown
from docgen.look import Look
from docgen.provenance import Path
from docgen.quantity import Quantity, Spread, unit_of


def reading(symbol: str, name: str, value: object, origin: Path) -> Given | Missing:
    """A quantity of the description with its tolerance, or that it is missing."""
    if not isinstance(value, Quantity):
        because = f" ({value})" if isinstance(value, Unknown) else ""
        return Missing(f"{name}{because}", origin)
    return Given(symbol, name, Band(float(value.low), float(value.value), float(value.high)), unit_of(value.dimension), origin)


def count(symbol: str, name: str, value: object, origin: Path) -> Given | Missing:
    """A whole number of the description."""
    return Given(symbol, name, Band.exactly(float(value)), "", origin) if isinstance(value, int) else Missing(name, origin)


def widened(given: Given | Missing, spread: object) -> Given | Missing:
    """An input with the error of its measurement added; unchanged where no error is said."""
    if isinstance(given, Missing) or not isinstance(spread, Spread):
        return given
    band = given.band
    down, up = ((float(spread.down) * abs(band.low), float(spread.up) * abs(band.high)) if spread.relative else (float(spread.down), float(spread.up)))
    return Given(given.symbol, given.name, Band(band.low - down, band.nominal, band.high + up), given.unit, given.origin)


def constant(symbol: str, name: str, value: float, unit: str, origin: str) -> Given:
    """A number that no field gives; `origin` says where it comes from."""
    return Given(symbol, name, Band.exactly(value), unit, origin)


def bound(look: Look, topic: str, name: str) -> Bound | None:
    """A limit of the edition as a bound, or None where the edition file has none."""
    found = look.limit(topic, name)
    return Bound(found[0].compare, float(found[1].value), topic) if found else None


def limit(look: Look, symbol: str, name: str, topic: str, key: str) -> Given | Missing:
    """A limit of the edition as an input of a formula."""
    found = look.limit(topic, key)
    if found is None:
        return Missing(f"{name} (no such limit was read in {look.edition.name})", ("car", "edition"))
    clause = look.edition.topic(topic).clause
    return Given(symbol, name, Band.exactly(float(found[1].value)), unit_of(found[1].dimension), f"{look.edition.name}, {clause}")


def system_voltage(look: Look, which: Literal["highest", "nominal"]) -> Given | Missing:
    """The highest or the nominal voltage of the tractive system."""
    system = look.car.tractive_system
    voltage = system.voltage if isinstance(system, TractiveSystem) else system
    value = getattr(voltage, which) if isinstance(voltage, SystemVoltage) else voltage
    symbol = "U_max" if which == "highest" else "U_nom"
    return reading(symbol, f"{which} voltage of the tractive system", value, ("tractive_system", "voltage", which))


def as_stated(
    slug: str, title: str, about: Path, figure: Given | Missing, limit: Bound | None, prose: str = "", needs: tuple[Given | Missing, ...] = ()
) -> Calculation:
    """A figure that the description states, held against its limit without a formula; `needs` must be known for it to mean anything."""
    inputs = (figure, *needs)
    missing = tuple(value for value in inputs if isinstance(value, Missing))
    given = tuple(value for value in inputs if isinstance(value, Given))
    unit = figure.unit if isinstance(figure, Given) else ""
    result = figure.band if isinstance(figure, Given) and not missing else None
    return Calculation(slug, title, about, Card("as_stated", "as stated", unit, "the description", (), ()), given, missing, result, limit, "", prose)


def summed(symbol: str, name: str, parts: Sequence[Given | Missing], origin: Path) -> Given | Missing:
    """Several inputs of one unit together, each at its own tolerance; what one misses, the sum misses."""
    known = [part for part in parts if isinstance(part, Given)]
    if len(known) < len(parts):
        return next(part for part in parts if isinstance(part, Missing))
    low, nominal, high = (sum(getattr(part.band, end) for part in known) for end in ("low", "nominal", "high"))
    return Given(symbol, name, Band(low, nominal, high), known[0].unit, origin)


def against(calculation: Calculation, compare: str, rating: Given | Missing, words: str) -> Calculation:
    """A calculation with a rating as its bound, of which the worse end counts; an unknown rating is an input that it misses."""
    if isinstance(rating, Missing):
        return replace(calculation, missing=(*calculation.missing, rating))
    value = rating.band.low if compare in ("at most", "below") else rating.band.high
    return replace(calculation, bound=Bound(compare, value, words=words))
