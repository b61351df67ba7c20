"""What free text says about a contact: called by "normally …" alone, or with its circumstances.

A pure judge of text; the rules decide what follows.
"""

import re
from dataclasses import dataclass
from enum import StrEnum


class Manner(StrEnum):
    AMBIGUOUS = "ambiguous"
    CLEAR = "clear"


@dataclass(frozen=True, slots=True)
class Mention:
    """A contact called normally open or closed in a text."""

    words: str
    state: str
    """open or closed, as far as the words say; empty where they name both."""
    manner: Manner


_OPEN = r"open(?:ed)?|offen|ge[öo]ffnet|ouverte?s?|apert[oaie]|abiert[oa]s?|abert[oa]s?|åben|öppen|otwart[yae]"
_CLOSED = r"closed?|clsd|shut|geschlossen|ferm[ée]e?s?|chius[oaie]|cerrad[oa]s?|fechad[oa]s?|lukket|sluten|zamkni[ęe]t[yae]"
_NORMAL = r"normal(?:ly|lly|y|erweise|ement|mente)?|norm\.?|normaal"
_CONTACT_WORDS = (
    r"contacts?|kontakte?|relays?|relais|rel[èe]|switch(?:es)?|button|pushbutton|aux(?:iliary)?|pole|throw|terminals?|poles|blocks?|coil|microswitch|"
    r"reed|contactors?|AIRs?|IMD|AMS|BMS|BSPD|BOTS|HVD|TSMS|LVMS|loop|sdc|shutdown|interlock|e-?stop|mushroom|latch|inertia|spst|spdt|dpst|dpdt|form|side of|output|"
    r"device|type|wired|version|variant|maker|datasheet|data sheet|spec|pilot|key|stop|sensor|thermostat|opto\w*|mosfet|stage|precharge|pre-charge|discharge"
)

_SPELLED = re.compile(rf"\b(?:{_NORMAL})[\s_-]*(?:(?P<open>{_OPEN})|(?P<closed>{_CLOSED}))\b", re.IGNORECASE)
_REVERSED = re.compile(rf"\b(?:(?P<open>{_OPEN})|(?P<closed>{_CLOSED}))\s+(?:by default|normally|in (?:the )?normal (?:state|position|condition)|normal state)", re.IGNORECASE)
_STATE_IS = re.compile(rf"\b(?:normal|default)\s+(?:state|position|condition)\s*(?::|=|is|being)?\s*(?:(?P<open>{_OPEN})|(?P<closed>{_CLOSED}))", re.IGNORECASE)
_BORROWED = re.compile(r"\b(?:(?P<closed>öffner\w*|oeffner\w*|ruhekontakt\w*|nc-?kontakt\w*)|(?P<open>schlie(?:ß|ss)er\w*|arbeitskontakt\w*|no-?kontakt\w*))", re.IGNORECASE)
_DOTTED = re.compile(r"(?<![\w.])(?:(?P<open>[nN]\s?[./]\s?[oO])|(?P<closed>[nN]\s?[./]\s?[cC]))(?:\.(?!\w)|(?![\w./]))")
_LETTERS = re.compile(r"(?<![A-Za-z_./])(?:\d\s?[x×]?\s?)?(?:(?P<open>NO|no(?=[- ]contact))|(?P<closed>NC|nc(?=[- ]contact|\b)))(?![A-Za-z_.]\w|_)", re.VERBOSE)

_HARMLESS_ABBREVIATION = re.compile(
    r"not?[\s-]+connect(?:ed|ion)?s?|not used|unconnected|left (?:open|floating|unconnected)|leave (?:open|floating)|pins?\b[^,;.]*\bn\.?c|cnc|milling|lathe|g-?code|"
    r"north carolina|nitric|nitrogen|noise|numerical|\bNO[xX₂2]\b|non[- ]conformi|norway|\bno\.\s?\d|item no|part no|serial no|drawing no|cable no|position no",
    re.IGNORECASE,
)
_ABBREVIATED_AS_WORD = re.compile(r"\bNO\s+(?!(?:%s)\b|and\b|or\b|in\b|at\b|when\b|when|,|/|\+|NC\b)[A-Za-z]{2,}" % _CONTACT_WORDS)
_OTHER_THING = re.compile(
    r"\b(?:doors?|valves?|flaps?|hatch(?:es)?|windows?|gates?|louvres?|louvers?|lids?|caps?|vents?|covers?|shutters?|garage|tent|marquee|throttle|damper|container lid|drawers?|box lid|"
    r"pit ?lane|office|workshop|shop|track|canteen|road|bodywork|nosecone)\b", re.IGNORECASE,
)

_AT_REST = (
    r"at rest|in (?:its )?rest(?:ing)?(?: (?:state|position))?|on the bench|bench|without (?:any )?(?:power|supply|voltage|current|feed|energi[sz]ation)|w/o power|"
    r"no (?:power|voltage|supply|coil (?:power|voltage|current))|un-?powered|not powered|power(?:ed)? (?:off|down|removed)|(?:with )?(?:the )?coil (?:off|dead|de-?energi[sz]ed|not energi[sz]ed|"
    r"unpowered|without)|de-?energi[sz]ed|un-?energi[sz]ed|not energi[sz]ed|dead coil|current-?less|stromlos|spannungs(?:los|frei)|spannungslos|unbetätigt|in ruhe|ruhelage|ruhezustand|"
    r"not (?:actuated|operated|pressed|pushed|tripped)|un-?(?:actuated|operated|pressed|pushed|plugged)|nobody press(?:es|ing)|when (?:released|unplugged|dropped out)|while (?:nobody|not)|"
    r"plug (?:apart|out|removed|pulled)|key (?:out|removed)|hors tension|au repos|sans (?:courant|tension|alimentation)|a riposo|diseccitat[oa]|senza (?:tensione|corrente|alimentazione)|"
    r"en reposo|sin (?:tensi[óo]n|corriente|alimentaci[óo]n)|desenergizad[oa]|as (?:shipped|supplied|delivered)|off the shelf|relay (?:off|dropped)|when (?:it is )?off"
)
_HEALTHY = (
    r"when healthy|healthy|in the (?:running|sound|healthy|working|fault-?free) car|without (?:a |any )?fault|no fault|fault-?free|in operation with|while the car (?:is|runs)|"
    r"when the car (?:is|runs)|car (?:running|is running|live|switched on and)|with the tractive system active|while active|when (?:the )?(?:ts|tractive system) is (?:active|on)|"
    r"energi[sz]ed (?:while|when|in)|held (?:closed|in|open)|(?:when|while|if|once) (?:actuated|energi[sz]ed|powered|pressed|operated|tripped|plugged)"
)
_CIRCUMSTANCE = re.compile(rf"\b(?:{_AT_REST}|{_HEALTHY})\b", re.IGNORECASE)
_NEGATED = re.compile(
    r"(?:not|never|nowhere|without|does(?:n't| not)|did(?:n't| not)|no word|nothing|un)\s*(?:yet\s+)?(?:said|say|says|saying|stated?|stating|clear|known|tell|telling|defined?|specified|given|decided|written)"
    r"|unclear|unstated|\?", re.IGNORECASE,
)
_SENTENCE = re.compile(r"(?<=[.;!?])\s+(?=[A-Z0-9“\"'(])|\n|;\s+")


def mentions(text: str) -> tuple[Mention, ...]:
    """Every contact that a text calls normally open or closed, in reading order."""
    if not re.search(r"norm|n\s?[./]?\s?[oc]\b|default|ffner|schlie|kontakt", text, re.IGNORECASE):
        return ()
    return tuple(mention for sentence in _SENTENCE.split(text) for mention in _mentions_in(sentence))


def _mentions_in(sentence: str) -> list[Mention]:
    spelled = [found for pattern in (_SPELLED, _REVERSED, _STATE_IS, _BORROWED) for found in pattern.finditer(sentence)]
    short = [found for pattern in (_DOTTED, _LETTERS) for found in pattern.finditer(sentence)]
    if short and (_HARMLESS_ABBREVIATION.search(sentence) or not (_is_contact_talk(sentence, short) or spelled)):
        short = []
    if spelled and _OTHER_THING.search(sentence) and not re.search(rf"\b(?:{_CONTACT_WORDS})\b", sentence, re.IGNORECASE):
        spelled = []
    found = sorted(spelled + short, key=lambda match: match.start())
    if not found:
        return []
    clear = bool(_CIRCUMSTANCE.search(sentence)) and not _NEGATED.search(sentence)
    manner = Manner.CLEAR if clear else Manner.AMBIGUOUS
    return [Mention(match[0].strip(), "open" if match.groupdict().get("open") else "closed", manner) for match in found]


def _is_contact_talk(sentence: str, short: list[re.Match[str]]) -> bool:
    if _ABBREVIATED_AS_WORD.search(sentence):
        return False
    return len(sentence.split()) <= 3 or bool(re.search(rf"\b(?:{_CONTACT_WORDS})\b", sentence, re.IGNORECASE)) or len(short) > 1
