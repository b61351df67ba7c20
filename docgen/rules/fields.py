"""One field judged: nothing there, a quantity against a limit, a short answer in plain words."""

import re
from collections.abc import Iterator
from functools import cache
from typing import Any

from docgen.car.values import Unknown
from docgen.finding import Outcome, finding, holds, not_applicable, not_evaluated, stated
from docgen.look import Look, keeps
from docgen.provenance import Path
from docgen.quantity import Quantity, read_quantity


def absent(look: Look, *functions: str) -> Iterator[Outcome]:
    """Not applicable, where no device with one of these functions is described: that it is missing is a finding of another rule."""
    if not any(True for _ in look.devices(*functions)):
        yield not_applicable(f"no {' or '.join(functions)} is described")


def unsaid(value: Unknown | None, place: Path, what: str, must: str) -> Outcome:
    """The outcome for a field that holds nothing to judge: a finding where it was left out, an open point where it is unknown."""
    return finding(place, f"{what} is not said", must) if value is None else not_evaluated(place, f"{what} is unknown")


def measured(look: Look, topic: str, name: str, value: Quantity | Unknown | None, place: Path, what: str) -> Outcome:
    """A quantity, with its whole tolerance band, against a limit of the edition."""
    found = look.limit(topic, name)
    if found is None:
        return not_evaluated(place, f"the limit of {look.edition.name} for {what} was not read")
    limit, bound = found
    must = f"must be {limit.compare} {bound}"
    if not isinstance(value, Quantity):
        return unsaid(value, place, what, must)
    return holds(place, f"{what} is {value}, {limit.compare} {bound}") if keeps(limit, bound, value) else finding(place, f"{what} is {value}", must)


def worded(look: Look, topic: str, name: str, text: str | Unknown | None, place: Path, what: str) -> Outcome:
    """A text against a word of the edition, such as a colour or a lettering."""
    word = look.edition.topic(topic).words.get(name)
    if word is None:
        return not_evaluated(place, f"what {look.edition.name} asks of {what} was not read")
    if not isinstance(text, str):
        return unsaid(text, place, what, f"must be {word}")
    wanted = re.compile(r"[\s-]*".join(map(re.escape, word.split())) + r"\b", re.IGNORECASE)
    return stated(place, f"{what} is {text}") if meant(wanted, text) else finding(place, f"{what} is {text}", f"must be {word}")


_DENIAL = r"not?|never|cannot|can't|without|nor|neither|none of|instead of|rather than|in place of|free of|replac\w+(?! (?:by|with)\b)|had been|formerly|previously|used to be|moved from"
_BETWEEN = r"be|an?|any|the|or|and|nor|on|by|with|in|of|to|use|used|using|held|fixed|stuck|mounted|more|longer|old|former|earlier|kind|sort|layer|soft|thin|adhesive|double-sided"
_DENIED_AFTER = re.compile(
    r"[\s-]*(?:free\b|(?:pads?|strips?|straps?|layers?|tapes?|mounts?|pedal|pressure)?\s*(?:(?:is|are|was|were|has been|have been)\s+(?:not|never|removed|replaced|taken|gone|forbidden)|not (?:needed|required|used|allowed)|until|before revision|in revision \w+|in the last revision)\b)",
    re.IGNORECASE,
)


_LOOK_BACK = 200


_ANY_DENIAL = re.compile(rf"\b(?:{_DENIAL})\b", re.IGNORECASE)


def all_meant(words: re.Pattern[str], text: str) -> Iterator[re.Match[str]]:
    """The places at which a text says one of these words and does not deny it."""
    for found in re.finditer(rf"(?<!\w)(?:{words.pattern})", text, re.IGNORECASE):
        before = text[max(0, found.start() - _LOOK_BACK) : found.start()]
        if not (_ANY_DENIAL.search(before) and _denied(words.pattern).search(before)) and not _DENIED_AFTER.match(text[found.end() :]):
            yield found


@cache
def _denied(words: str) -> re.Pattern[str]:
    """A denial, with nothing behind it but further words of the same kind."""
    return re.compile(rf"\b(?:{_DENIAL})\b(?:[\s/]|,(?!\s*(?:an?|the)\b)|\b(?:{_BETWEEN}|{words})\b)*$", re.IGNORECASE)


def meant(words: re.Pattern[str], text: str) -> str | None:
    """The first of these words that a text says and does not deny.

    >>> meant(re.compile("foam|tape"), "two bolts, no foam or tape between"), meant(re.compile("foam|tape"), "no bolts but foam")
    (None, 'foam')
    """
    return next((found[0] for found in all_meant(words, text)), None)


_NOTHING = re.compile(
    r"(?:none|no(?!\.)|nothing|nil|n/a|[-–]+|without|missing|absent|not (?:needed|required|possible|fitted|provided|there|any|necessary))(?: [\w -]+)?(?:[,;(].*)?",
    re.IGNORECASE,
)
_EXCEPT = re.compile(r"\b(?:but|except|other than|only|besides|apart from)\b", re.IGNORECASE)


def is_nothing(text: str) -> bool:
    """Whether a short answer says that there is none.

    >>> is_nothing("none"), is_nothing("no tools needed"), is_nothing("none but a 13 mm spanner"), is_nothing("hex key no. 4")
    (True, True, False, False)
    """
    return bool(_NOTHING.fullmatch(text.strip(" ."))) and not _EXCEPT.search(text)


_LENGTH = re.compile(r"(?<![\d.,\w])\d+(?:\.\d+)?\s*(?:mm|cm|m)\b(?:\s*(?:±|\+/-)\s*\d+(?:\.\d+)?\s*(?:mm|cm|m\b|%))?")


def length_in(text: str) -> Quantity | None:
    """The only length that a text gives; None where it gives none or several.

    >>> str(length_in("red, 55 mm wide, rotary"))
    '55 mm'
    """
    found = _LENGTH.findall(text)
    return read_quantity(found[0], "length") if len(found) == 1 else None


def said(pattern: str, text: Any) -> bool:
    """Whether a field holds a text in which a pattern is found."""
    return isinstance(text, str) and bool(re.search(pattern, text, re.IGNORECASE))
