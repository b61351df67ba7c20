"""From a field of the description or a limit of the edition to an input of a formula."""

from docgen.calc.formula import Band
from docgen.calculation import Bound, Given, Missing
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
