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
    """open or closed, as the words say."""
    manner: Manner


def _any(*words: str) -> str:
    return "(?:" + "|".join(words) + ")"


_OPEN = _any("open(?:ed)?", "offene?[rsn]?", "ge[öo]ffnete?[rsn]?", "ouverte?s?", "apert[oaie]", "abiert[oa]s?", "abert[oa]s?", "otwart[yae]", "öppen", "åben")
_CLOSED = _any("closed?", "shut", "geschlossene?[rsn]?", "gesloten", "ferm[ée]e?s?", "chius[oaie]", "cerrad[oa]s?", "fechad[oa]s?", "zamkni[ęe]t[yae]", "sluten", "lukket")
_STATE = f"(?:(?P<open>{_OPEN})|(?P<closed>{_CLOSED}))"
_NORMAL = _any("normal(?:ly|lly|y|erweise|ement|mente|nie)?", "normaal", "im normalzustand", "in normal (?:condition|position|state)", "by default", "default(?:s to)?")
_CONTACT = _any(
    "contacts?", "kontakte?", "contatt[oi]", "contactos?", "styk", "relays?", "relais", "rel[èée]", "switch(?:es)?", "microswitch", "buttons?", "push-?buttons?", "auxiliary", "aux",
    "poles?", "throws?", "terminals?", "blocks?", "coils?", "reed", "contactors?", "AIRs?", "IMD", "AMS", "BMS", "BSPD", "BOTS", "HVD", "TSMS", "LVMS", "loop", "circuit", "interlock",
    "e-?stop", "mushroom", "latch", "optocoupler", "thermostat", "types?", "versions?", "variants?", "one", "spst", "spdt", "dpst", "dpdt", "bimetal", "K\\d+", "S\\d+", "Q\\d+",
)  # fmt: skip

_SPELLED = tuple(
    re.compile(pattern, re.IGNORECASE)
    for pattern in (
        rf"\b{_NORMAL}[\s_-]*{_STATE}\b",
        rf"\b(?:normal|default|rest) (?:state|position|condition)\s*(?::|=|is|being)?\s*{_STATE}\b",
        rf"\b{_CONTACT}(?:\s+\w+){{0,3}}\s+{_STATE},?\s+(?:normally|by default)\b",
        rf"^\s*{_STATE},?\s+(?:normally|by default)\b",
        rf"\bnormally,?\s+(?:the|this|that|each|every|its|a)\s+(?:\w+\s+){{0,2}}{_CONTACT}\s+(?:\w+\s+){{0,2}}?{_STATE}\b",
        r"\b(?:(?P<closed>(?:öffner|oeffner|ruhekontakt)(?:e|s|n|en)?)|(?P<open>(?:schlie(?:ß|ss)er|arbeitskontakt)(?:e|s|n|en)?))\b",
    )
)
_SHORT = tuple(
    re.compile(pattern)
    for pattern in (
        r"(?<![\w./])(?:\d\s?[x×]?\s?)?(?:(?P<open>[nN](?:\.\s?|/)[oO])|(?P<closed>[nN](?:\.\s?|/)[cC]))(?:\.(?!\w))?(?![\w/])",
        rf"(?<![\w./`])(?:\d\s?[x×]?\s?)?(?:(?P<open>NO)|(?P<closed>NC))(?![\w`]|-\d)(?:(?!\.\w))",
        rf"(?<![\w./`])(?:(?P<open>no)|(?P<closed>nc))(?=[- ](?:type|contact (?:of|rated|[,;.)])|contact,))",
        r"(?<![\w./`])(?P<closed>nc)(?=[- ](?:contacts?|buttons?|switch|relay|terminal)\b|[,;.)]|$)",
    )
)

_OTHER_SENSE = re.compile(
    _any(
        r"not? connect(?:ed|ion)s?", "unconnected", r"\bserial\b", r"\bno (?:comment|charge|connection)", "floating", r"\b(?:spare|unused|dummy)\b", r"\bNC pins?\b", r"\bpins?\b[^,]*\bN[./]?C",
        r"\bpositions?\b[^,]*\bN[./]?C", "milling", "lathe", r"\bfile\b", r"\bprogram", "router", "machin", "noise", "nose cone", r"NC (?:no\.|number)", r"\bcells?\b", "nitr", "ozone", r"\bNO2\b", r"\bNO_?x\b",
        r"\bgas\b", r"\bair\b(?-i:)(?! ?[+-])(?<!AIR)", "emission", "supplier", "shipped from", "ordered", r"\b[A-Z][a-z]+, NC\b", "carolina", r"(?:serial|item|part|art|drawing|order|cable|position|relay|fuse|sheet)\.? (?:no|NO)\b[.:]?\s*\d?",
        "non-?conform", "numeric", "price", "comment", "crit", "smok", "entry", "parking", "step",
    )
)
_OTHER_THING = re.compile(
    r"\b(?:doors?|valves?|flaps?|hatch(?:es)?|windows?|gates?|louv(?:re|er)s?|lids?|caps?|vents?|covers?|shutters?|garage|tent|throttle|damper|drawers?|pit ?lane|office|workshop|shop|"
    r"track|canteen|road|bodywork|nosecone|tap|cock|drain|visor|buckle|zip)\b", re.IGNORECASE,
)  # fmt: skip
_ENGLISH_NO = re.compile(
    rf"\bNO\b(?!\s+(?:{_CONTACT}|and|or|in|at|when|while|with|without|like|as|to|by|for|is|on|until|unless|if|means?|meaning|refers|but|because|instead|not|NC|\d)\b)(?=\s+[A-Za-z])"
    rf"|^[^:]*(?<!contact)(?<!relay)(?<!switch)(?<!button)(?<!type)(?<!form): NO\b|\bNO (?:contact (?:cleaner|with|between|to|possible|grease|spray)|switch(?:ing)? (?:off|on|over)|one (?:may|must|can|is allowed))"
)

_AT_REST = (
    r"at rest", r"\(rest\)", r"in (?:its )?rest(?:ing)? (?:state|position)", r"on the bench(?! (?:vice|next|of))", r"(?:without|w/o|with no|no|carr(?:y|ies) no|gets? no|has no|have no) (?:any )?(?:coil |control |supply |drive )?(?:power|supply|voltage|current|feed|energi[sz]ation)\b",
    r"un-?powered(?! (?:\w+ )?(?:fan|connector|box|device|board|pin|line|car\b))", r"not powered", r"power(?:ed)? (?:off|down|removed|lost|fails)", r"(?:supply|feed|coil|power) (?:is |side )?(?:off|dead|removed|lost|gone|fails|unpowered|de-?energi[sz]ed|not energi[sz]ed)",
    r"coils? (?:off|dead|idle|open|without)", r"de-?energi[sz]ed", r"un-?energi[sz]ed", r"not energi[sz]ed", r"stromlos", r"spannungs(?:los|frei)", r"unbetätigt", r"nicht betätigt", r"in ruhe(?:lage|stellung|zustand)?", r"ohne (?:strom|spannung)",
    r"not (?:actuated|operated|pressed|pushed|tripped|touched)", r"un-?(?:actuated|operated|pressed|pushed|plugged|tripped|mated)", r"nobody (?:is )?(?:press|push|touch)(?:es|ing)", r"(?:until|unless) (?:somebody |someone |anybody |it is |it gets |the \w+ (?:is|gets) )?(?:press|push|actuat|operat|pull|energi|trip|hit|power)\w*",
    r"(?:pedal|button|lever|key|plunger|knob) (?:is |being )?(?:released|out|removed|up|not \w+)", r"when released", r"plug (?:is )?(?:apart|out|removed|pulled|off)", r"key (?:is )?(?:out|removed)", r"when cold", r"cold state",
    r"hors tension", r"au repos", r"sans (?:courant|tension|alimentation)", r"a riposo", r"diseccitat[oa]", r"senza (?:tensione|corrente|alimentazione)", r"en reposo", r"sin (?:tensi[óo]n|corriente|alimentaci[óo]n)", r"desenergizad[oa]", r"em repouso", r"sem tens[ãa]o",
    r"as (?:shipped|supplied|delivered)", r"dropped out", r"relay (?:off|is off)", r"supply (?:is )?off", r"bez (?:napięcia|zasilania)", r"spanningsloos", r"in rust",
)  # fmt: skip
_HEALTHY = (
    r"(?:when|while|if|as long as)(?: the (?:car|loop|system|monitor|device))?(?: is)? healthy", r"\(healthy\)", r"healthy (?:state|car|condition)", r"in the (?:running|sound|healthy|working|fault-?free)(?: \S+)? car", r"(?:without|with no) (?:a |any )?fault", r"fault-?free",
    r"(?:when|while) the (?:car|tractive system|TS) (?:is )?(?:runs|running|active|healthy|on|live)", r"in operation with", r"held (?:closed|in|open) (?:by|while|when)",
    r"(?:when|while|once|after) (?:it is )?(?:actuated|energi[sz]ed|powered|pressed|operated|tripped|plugged|mated)",
)  # fmt: skip
_CIRCUMSTANCE = re.compile(rf"(?<![\w-])(?:{'|'.join((*_AT_REST, *_HEALTHY))})(?!\w)", re.IGNORECASE)
_UNTOLD = re.compile(
    r"(?:not|never|nowhere|without|n't|no word|nothing|nobody)\s+(?:\w+\s+){0,2}?(?:said|says?|saying|stat(?:ed?|ing)|clear|known|tell(?:s|ing)?|defin\w+|specif\w+|given|decided|written|mention\w*|knows?)"
    r"|unclear|unstated|whatever that|\bor when\b.*\?|\?\s*$", re.IGNORECASE,
)  # fmt: skip
_SENTENCE = re.compile(r"(?<=[.!?])\s+(?=[A-Z0-9“\"'(])|\n|;\s+|:\s+(?=S\d|K\d)")
_CHUNK = re.compile(r",\s+|\s+-\s+|\s+–\s+")


def mentions(text: str) -> tuple[Mention, ...]:
    """Every contact that a text calls normally open or closed, in reading order."""
    if not re.search(r"norma|n[./]?\s?[oc]\b|default|ffner|schlie|kontakt", text, re.IGNORECASE):
        return ()
    return tuple(mention for sentence in _SENTENCE.split(text) for mention in _in_sentence(sentence))


def _in_sentence(sentence: str) -> list[Mention]:
    found = [match for pattern in _SPELLED for match in pattern.finditer(sentence) if not _is_of_another_thing(sentence)]
    found += [match for pattern in _SHORT for match in pattern.finditer(sentence) if not _is_another_sense(sentence, match)]
    clear = bool(_CIRCUMSTANCE.search(sentence)) and not _UNTOLD.search(sentence)
    manner = Manner.CLEAR if clear else Manner.AMBIGUOUS
    found.sort(key=lambda match: (match.start(), -match.end()))
    kept: list[re.Match[str]] = []
    for match in found:
        if not kept or match.start() >= kept[-1].end():
            kept.append(match)
    return [Mention(match[0].strip(), "open" if match.groupdict().get("open") else "closed", manner) for match in kept]


def _is_of_another_thing(sentence: str) -> bool:
    return bool(_OTHER_THING.search(sentence)) and not re.search(rf"\b{_CONTACT}\b", sentence, re.IGNORECASE)


def _is_another_sense(sentence: str, match: re.Match[str]) -> bool:
    """Whether letters such as NO or NC mean something else: not connected, a number, a gas, a plain no."""
    chunk_starts = [0, *(gap.end() for gap in _CHUNK.finditer(sentence)), len(sentence) + 1]
    start = max(at for at in chunk_starts if at <= match.start())
    end = min(at for at in chunk_starts if at > match.start())
    chunk = sentence[start:end]
    about_a_contact = re.search(rf"\b{_CONTACT}\b", chunk.replace(match[0], " "), re.IGNORECASE)
    if _ENGLISH_NO.search(chunk) and match.groupdict().get("open") and "." not in match[0] and "/" not in match[0]:
        return True
    if _OTHER_SENSE.search(chunk) and not re.search(r"\bcontacts?\b", chunk, re.IGNORECASE):
        return True
    if re.search(r"\b(?:spare|unused) (?:wire|pin|line|position)", sentence, re.IGNORECASE):
        return True
    if about_a_contact or len(sentence.split()) <= 3:
        return bool(_OTHER_SENSE.search(sentence)) and len(sentence.split()) <= 8 and not about_a_contact
    return bool(_OTHER_SENSE.search(sentence) or _ENGLISH_NO.search(sentence))
