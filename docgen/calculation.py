"""A calculation of the submission: formula, inputs with their origin, result, limit, margin, verdict."""

from dataclasses import dataclass

from docgen.calc.formula import Band, Card
from docgen.finding import Verdict
from docgen.provenance import Path


@dataclass(frozen=True, slots=True)
class Given:
    """An input: symbol, value over its tolerance in SI, unit, and the field or clause that it comes from."""

    symbol: str
    name: str
    band: Band
    unit: str
    origin: Path | str


@dataclass(frozen=True, slots=True)
class Bound:
    """What the result must keep: comparison, value in SI, the topic whose clause demands it (empty: practice)."""

    compare: str
    value: float
    topic: str = ""
    words: str = ""
    """Where the bound is no clause: what it is, such as “rated power of the resistor”."""


@dataclass(frozen=True, slots=True)
class Calculation:
    """One computed figure. Without a result it says in `missing` which inputs are not known."""

    slug: str
    title: str
    about: Path
    """The field that a finding on this figure points at."""
    card: Card
    given: tuple[Given, ...]
    result: Band | None
    bound: Bound | None
    missing: tuple[str, ...] = ()
    prose: str = ""

    @property
    def verdict(self) -> Verdict:
        """Whether the whole band keeps the bound; *not evaluated* without a result."""
        if self.result is None:
            return Verdict.NOT_EVALUATED
        if self.bound is None or self.margin is None or self.margin >= 0:
            return Verdict.HOLDS
        return Verdict.FINDING

    @property
    def margin(self) -> float | None:
        """Distance of the worst end from the bound, in SI; negative when the bound is broken."""
        if self.result is None or self.bound is None:
            return None
        upward = self.bound.value - self.result.high
        downward = self.result.low - self.bound.value
        return {"at most": upward, "below": upward, "at least": downward, "above": downward}[self.bound.compare]
