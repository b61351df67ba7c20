"""What a rule is, and what it may say: one of six verdicts on one place of the description."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from inspect import cleandoc
from typing import Any

from docgen.provenance import Citation, Location, Path


class Severity(StrEnum):
    ERROR = "error"
    WARNING = "warning"


class Verdict(StrEnum):
    """There is no verdict that approves anything."""

    FINDING = "finding"
    HOLDS = "computed, holds"
    STATED = "stated, consistent"
    AT_CAR = "to be seen at the car"
    NOT_EVALUATED = "not evaluated"
    NOT_APPLICABLE = "not applicable"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a rule says about one place: what is there and, for a finding, what must be there."""

    verdict: Verdict
    path: Path
    was: str
    must: str = ""


def finding(path: Path, was: str, must: str) -> Outcome:
    """Something is wrong: `was` says what is there, `must` what must be, with units."""
    return Outcome(Verdict.FINDING, path, was, must)


def holds(path: Path, because: str) -> Outcome:
    """The demand follows from the description by computation."""
    return Outcome(Verdict.HOLDS, path, because)


def stated(path: Path, claim: str) -> Outcome:
    """The description claims it, and nothing in it speaks against."""
    return Outcome(Verdict.STATED, path, claim)


def at_car(path: Path, what: str) -> Outcome:
    """Paper cannot show it; it has to be seen at the car."""
    return Outcome(Verdict.AT_CAR, path, what)


def not_evaluated(path: Path, unknown: str) -> Outcome:
    """The rule could not judge, because `unknown` is not known."""
    return Outcome(Verdict.NOT_EVALUATED, path, unknown)


def not_applicable(why: str, path: Path = ()) -> Outcome:
    """The demand does not concern this car."""
    return Outcome(Verdict.NOT_APPLICABLE, path, why)


SUBJECTS = (
    "Contact wording and states",
    "Members, order and side",
    "Power stages and feeding back",
    "Latch and reset",
    "Fail-safe",
    "Common mode",
    "Devices in the metal",
    "Devices in numbers",
    "Driver demand",
    "The description itself",
)


@dataclass(frozen=True, slots=True)
class Texts:
    """What is written about a rule."""

    demand: str
    why: str
    wrong: str
    """A JSON merge patch (RFC 7396), written as YAML, that makes the small sound car break the rule."""
    right: str
    """A merge patch after which the rule has nothing to find."""
    mend: str


_SECTION = re.compile(r"^(Why|Wrong|Right|Mend):[ \n]", re.MULTILINE)


@cache
def _texts(docstring: str) -> Texts:
    """The sections of a rule's docstring; raises ValueError for one that lacks any of them."""
    parts = _SECTION.split(cleandoc(docstring))
    sections = dict(zip(parts[1::2], (cleandoc("\n" + part).strip() for part in parts[2::2]), strict=True))
    missing = {"Why", "Wrong", "Right", "Mend"} - sections.keys()
    if missing or not parts[0].strip():
        raise ValueError(f"the docstring lacks {', '.join(sorted(missing)) or 'the demand'}: {docstring[:60]}")
    folded = {key: " ".join(text.split()) for key, text in sections.items()}
    return Texts(" ".join(parts[0].split()), folded["Why"], sections["Wrong"], sections["Right"], folded["Mend"])


@dataclass(frozen=True, slots=True)
class Rule:
    """One demand, with everything that is written about it in the docstring of the function that judges."""

    slug: str
    subject: str
    topic: str
    """The topic under which an edition knows the clause; empty for a demand of the description itself."""
    severity: Severity
    never_quiet: bool
    """Warn as practice even where the edition is known to be silent or was not read."""
    judge: Callable[[Any], Iterable[Outcome]]

    @property
    def texts(self) -> Texts:
        """Demand, why, wrong, right and how to put it right; read when they are asked for."""
        return _texts(self.judge.__doc__ or "")


def rule(
    slug: str, subject: str, topic: str = "", severity: Severity = Severity.ERROR, never_quiet: bool = False
) -> Callable[[Callable[[Any], Iterable[Outcome]]], Rule]:
    """Make a rule of a function; its docstring is the demand, then Why, Wrong, Right and Mend. Raises ValueError for an unknown subject."""
    if subject not in SUBJECTS:
        raise ValueError(f"{slug}: unknown subject {subject!r}")
    return lambda judge: Rule(slug, subject, topic, severity, never_quiet, judge)


@dataclass(frozen=True, slots=True)
class Result:
    """An outcome with its rule, its clause and its place in the file."""

    rule: Rule
    outcome: Outcome
    location: Location
    severity: Severity | None
    """Set for a finding only."""
    citation: Citation | None

    @property
    def is_finding(self) -> bool:
        return self.outcome.verdict is Verdict.FINDING
