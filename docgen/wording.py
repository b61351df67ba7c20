"""What free text says about a contact: called by "normally …" alone, or with its circumstances.

A pure judge of text; the rules decide what follows. It reads in steps: find what calls a contact normally open or closed; leave
out what the same letters and words mean elsewhere; then look whether the statement says its circumstances.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from itertools import pairwise


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


@cache
def _compiled(pattern: str, flags: int = re.IGNORECASE) -> re.Pattern[str]:
    return re.compile(pattern, flags)


# What names a contact's normal state.
_OPEN = _any("open(?:ed)?", "offene?[rsn]?", "ge[öo]ffnete?[rsn]?", "ouverte?s?", "apert[oaie]", "abiert[oa]s?", "abert[oa]s?", "otwart[yae]", "öppe[nt]", "åben")
_CLOSED = _any("closed?", "shut", "geschlossene?[rsn]?", "gesloten", "ferm[ée]e?s?", "chius[oaie]", "cerrad[oa]s?", "fechad[oa]s?", "zamkni[ęe]t[yae]", "slut(?:en|et)", "lukket")
_STATE = f"(?:(?P<open>{_OPEN})|(?P<closed>{_CLOSED}))"
_NORMAL = _any("norm\\.", "no?r?mal+(?:y|ly|t|erweise|ement|mente|nie)?", "normaal", "im normalzustand", "in normal (?:condition|position|state)", "by default", "defaults? to")
_DEVICE = _any(
    "contacts?", "kontakt\\w*", "contatt[oi]", "contactos?", "styk", "relays?", "relais", "rel[èée]", "\\w*switch(?:es)?", "buttons?", "push-?buttons?", "auxiliary", "aux", "poles?", "throws?",
    "terminals?", "coils?", "reed", "contactors?", "AIRs?", "IMD", "AMS", "BMS", "BSPD", "BOTS", "HVD", "TSMS", "LVMS", "interlock", "e-?stop", "mushroom", "optocoupler", "SSR",
    "sp[sd]t", "dp[sd]t", "bimetal", "thermostat", "shutdown (?:loop|circuit)", "COM",
)  # fmt: skip
_CONTACT = _any(_DEVICE[3:-1], "loop", "circuit", "latch", "types?", "versions?", "variants?", "ones?", "side", "blocks?", "K\\d+", "S\\d+", "Q\\d+")
_SPELLED = (
    rf"\b{_NORMAL}[\s_-]*{_STATE}\b(?!-)",
    rf"\b(?:normal|default|rest) (?:state|position|condition)\s*(?::|=|is|being)?\s*{_STATE}\b",
    rf"\b{_CONTACT}(?:,?\s+\w+){{0,3}},?\s+{_STATE},?\s+(?:normally|by default)\b",
    rf"^\s*{_STATE},?\s+(?:normally|by default)\b",
    rf"\bnormally in (?:the|an?|its) {_STATE} (?:state|position)",
    rf"\b{_STATE},? in (?:the|its|their) (?:normal|default) (?:state|position|condition)\b",
    rf"\bin (?:the|its|their) (?:normal|default) (?:state|position|condition)\b,?(?:\s+\w+){{0,3}}?\s+{_STATE}\b",
    rf"\bnormally,?\s+(?:the|this|that|each|every|its|a)\s+(?:\w+\s+){{0,2}}{_CONTACT}\s+(?:\w+\s+){{0,2}}?{_STATE}\b",
    rf"\b{_CONTACT}\s+(?:\w+,?\s+)?normally,\s+{_STATE}\b",
    r"\b(?:(?P<closed>(?:öffner|oeffner|ruhekontakt)(?:e|s|n|en)?)|(?P<open>(?:schlie(?:ß|ss)er|arbeitskontakt)(?:e|s|n|en)?))\b",
)
_SHORT = (
    r"(?<![\w./])(?:\d\s?[x×]?\s?)?(?:(?P<open>[nN](?:\.\s?|/)[oO])|(?P<closed>[nN](?:\.\s?|/)[cC]))(?:\.(?!\w))?(?![\w/])",
    r"(?<![A-Za-z_./`-])(?:\d\s?[x×]?\s?|COM-)?(?:(?P<open>NO)|(?P<closed>NC))(?![A-Za-z_`]|-\d|-[A-Z])(?!\.\w)",
    r"(?<=[A-Za-z]/)(?:(?P<open>NO)|(?P<closed>NC))\b|\b(?:SP[SD]T|DP[SD]T)-(?:(?P<open1>NO)|(?P<closed1>NC))\b",
    r"(?<![\w./`])(?:(?P<open>no)|(?P<closed>nc))(?=[- ]type\b|-contacts?\b)",
    r"(?<![\w./`])(?:com/)?(?P<closed>nc)(?=[- ](?:contacts?|buttons?|switch|relay|terminal|left|used|wired|side)\b|[,;.)]|$)|(?<=com/)(?P<open>no)\b",
)

# What the same letters and words mean elsewhere.
_NOT_CONNECTED = _any(
    "not? connect(?:ed|ions?)", "unconnected", "not used", "unused", "\\bspare\\b", "\\bdummy\\b", "floating", "non (?:connect|colleg)\\w+", "no conectad\\w+", "nicht (?:angeschlossen|verbunden|belegt)", "ikke tilsluttet", "ej ansluten", "\\bfree\\b", "\\bpins?\\b[^;]*?\\bN[./]?\\s?C", "\\bN[./]?\\s?C\\b\\.? pins?\\b",
    "\\bpositions?\\b[^,;]*?\\bN[./]?C",
)  # fmt: skip
_ELSEWHERE = _any(
    "milling", "lathe", "\\bfile\\b", "\\bprogram", "router", "machin", "noise", "rating", "nose cone", "thread", "\\bcells?\\b", "nitr", "ozone", "\\bNO2\\b", "\\bNO_?x\\b", "\\bgas(?:es)?\\b", "exhaust",
    "emission", "supplier (?:moved|in|from|sits|has)", "shipped from", "warehouse", "\\blab\\b", "\\bfolder\\b", "\\bproject\\b", "\\baudit\\b", "carolina", "non-?conform", "numeric", "price", "\\bcomment", "smok", "parking", "\\bstep\\b",
    "\\bsigned\\b", "(?:checked|signed|written|drawn|approved|prepared|seen)(?: by|:) N\\.?[CO]", "\\binitials\\b", "stands for", "\\btool\\b", "\\bgauge\\b", "ordered from", "issue (?:no|NC)", "-GO\\b",
    "(?:serial|item|part|art|drawing|order|cable|position|relay|fuse|sheet|change|revision|rev|page|table|figure)\\.?,? NO\\b[.:]?", "^NO\\.\\s*\\d", "(?-i:\\b[A-Z][a-z]+,? \\(?N\\.?C\\.?\\)?(?=[.)]*$))",
    "NC (?:no\\.|number|closed on|from the)", "serial\\b", "no change", "calibrat", "country", "customs", "(?-i:\\b(?:from|in|near|to|at) [A-Z][a-z]+,? \\(?N\\.?C)",
)  # fmt: skip
_BEFORE_A_THING = r"\.?\s*\d{1,3}\b(?! ?[°AVgΩmkµ%])|[ -](?:mill(?:ing)?\b|program|machin|file|thread|rating|code|cell|report|note|pins?\b|lathe|router|GO\b)"
_OTHER_THING = (
    r"\b(?:doors?|valves?|flaps?|hatch(?:es)?|windows?|gates?|louv(?:re|er)s?|lids?|caps?|vents?|covers?|shutters?|garage|tent|throttle|damper|drawers?|pit ?lane|office|workshop|shop|lab|library|"
    r"track|canteen|road|bodywork|nosecone|tap|cock|drain|visor|buckle|zip|grille|valvola|vanne|v[áa]lvula|ventil|puerta|porte|porta|tür|solenoid|cooling|coolant|pneumatic)\b"
)
_OTHER_STATE = r"^\s*(?:-?(?:cell|source|ended|loop)\b|(?:questions?|points?|issues?|items?|air|water|source|minded)\b|(?:until|from|till|between|on)\s+(?:\d|noon|six|seven|eight|nine|ten|mon|tues|wednes|thurs|fri|satur|sun|the (?:evening|morning)))"
_ENGLISH_NO = (
    rf"\bNO\b(?!\s+(?:{_CONTACT}|and|or|in|at|when|while|with|without|like|as|to|by|for|is|on|until|till|unless|if|means?|meaning|refers|but|because|instead|not|NC|here|now|(?:main|aux\w*|power|signal|pilot) (?:contacts?|poles?)|de-|un|\d)\b)(?=\s+[A-Za-z])"
    r"|^[^:]*: NO\b(?=[.,!]|$)|^NO\.$|\bNO (?:contact (?:cleaner|with|between|to|possible|grease|spray|data)|switch(?:ing)? (?:off|on|over)|one (?:may|must|can|is allowed))|\bNO contact\b[^.]*(?:!|allowed|permitted)"
)
_QUOTED_CLAUSE = r"\b(?:rules?|quoted?|clause|rulebook|regulations?|rule text|article)\b[^\"“'‘]*[\"“'‘][^\"”]*$"

# The circumstances of a state.
_AT_REST = _any(
    "at rest", "\\(rest\\)", "(?:the |its )?rest(?:ing)? (?:state|position)(?! to be)", "(?<!checked )(?<!tested )(?<!measured )on the bench(?! (?:vice|next|of|and))",
    "(?:without|w/o|with no|no|zero|carr(?:y|ies) no|gets? no|has no|have no) (?:any )?(?:coil |control |supply |drive )?(?:power|supply|voltage|current|feed|energi[sz]ation)\\b(?! rating)", "(?:voltage|current) (?:is )?zero",
    "un-?power(?:e)?d(?! (?:\\w+ )?(?:fan|connector|box|device|board|pin|line|car\\b))", "not (?:powered|energi[sz]ed|supplied|fed)", "power(?:ed)?[- ](?:off|down|removed|lost|fails)",
    "(?:supply|feed|coils?|power|input|relay|bobina|bobine) (?:is |side |being )?(?:off|dead|removed|lost|gone|fails|idle|low|unpowered|de-?energi[sz]ed|not \\w+|non alimentata)", "loss of (?:power|supply|feed|voltage)", "(?:power|supply) (?:loss|failure|cut)", "(?:idle|off)[ -](?:state|position)", "when idle", "at 0 V", "dead coil", "idle coil", "coils? (?:open|without)", "de-?energi[sz]ed", "un-?energi[sz]ed", "nothing (?:connected|applied|pressed)",
    "stromlos\\w*", "spannungs(?:los|frei)\\w*", "unbetätigt", "nicht betätigt", "i[nm] ruhe(?:lage|stellung|zustand)?", "ohne (?:strom|spannung)", "(?:nicht|un)\\s?gedrückt", "beim drücken", "quand on appuie", "shelf state", "(?:connector|plug|plugs) (?:is )?mated", "sin pulsar", "sans appuyer", "senza premere", "unpressed", "untouched", "un-?(?:actuated|operated|pushed|plugged|tripped|mated)",
    "(?:not|non|never)[- ](?:actuated|operated|pressed|pushed|tripped|touched|plugged)", "nobody (?:is )?(?:press|push|touch|hold)\\w*", "no one (?:is )?(?:press|push)\\w*", "no (?:hand|finger) on", "when (?:released|let go)", "(?:button|pedal|lever|key|plunger|knob|mushroom) (?:is |being )?(?:released|out|removed|up|pulled out|not \\w+)",
    "released (?:button|pedal|lever|knob)", "(?:un)?til+ (?:\\w+ ){0,4}?(?:press|push|actuat|operat|pull|energi|trip|hit|power|12 V|24 V|coil)\\w*", "unless (?:\\w+ ){0,3}?(?:press|push|actuat|operat|energi|trip|power|hit)\\w*",
    "(?:plug|lid|key|magnet|cover) (?:is )?(?:apart|out|removed|pulled|off|away)", "without (?:a |the )?(?:magnet|plug|key|hand)", "when cold", "cold state", "when armed", "below \\d+ ?°", "hors tension", "au repos", "sans (?:courant|tension|alimentation)", "a riposo",
    "diseccitat[oa]", "(?:senza|non) (?:tensione|corrente|aliment\\w+)", "en reposo", "sin (?:tensi[óo]n|corriente|alimentaci[óo]n)", "desenergizad[oa]", "em repouso", "sem (?:tens[ãa]o|corrente|alimenta\\w+)", "as (?:shipped|supplied|delivered)",
    "out of the box", "dropped out", "bez (?:napięcia|zasilania)", "spanningslo\\w+", "in rust", "strömlös\\w*", "spänningslös\\w*", "i vil\\w+", "ball seated", "usual range",
)  # fmt: skip
_HEALTHY = _any(
    "(?:when|while|if|as long as)(?: the (?:car|loop|system|monitor|device|insulation))?(?: is)? (?:healthy|sound)", "\\(healthy\\)", "healthy[ -](?:state|car|condition|closed|open)", "in (?:the|a) (?:running|sound|healthy|working|fault-?free)(?:[ ,]+\\w+)? car", "(?:without|with no|there is no) (?:a |any )?fault", "fault-?free",
    "with the (?:car|system|loop|monitor|device|insulation) (?:healthy|sound)", "while driving", "in (?:normal )?driving", "nothing (?:is )?wrong", "fehlerfrei\\w*", "(?:when|while) the (?:car|tractive system|TS) (?:is )?(?:runs|running|active|healthy|on|live)", "while the insulation is", "held (?:closed|in|open) (?:by|while|when)", "(?:when|while|once|after) (?:it is )?(?:actuated|energi[sz]ed|powered|pressed|operated|plugged|mated)",
)  # fmt: skip
_ACTS = (
    r"\b(?:open(?:s|ing|ed)?|clos(?:es|ing|ed)|conduct\w*|block\w*|drops?|pulls?|breaks|makes)\b[^.;]*?\b(?:when|whenever|on|upon|as soon as|while|until|till|unless|above|below|after|once|if|with|without|only|under)\b[^.;]*?"
    r"\b(?:press\w*|push\w*|hit|mushroom|button|actuat\w*|operat(?:ed|ion)|pedal|over-?travel|crash|impact|decelerat\w*|\d+ ?g|\d+ ?°C|hott?er|hot|cold|magnet|lid|coil|power\w*|energi\w*|voltage|supply|current|hold\w*|held|pull\w*|touch\w*|plug\w*|key|trip\w*|untouched|released|input)\b"
)
_MOVES = (
    r"\b(?:energi[sz](?:e|ing)|press(?:ing)?|push(?:ing)?|power(?:ing)?|pull(?:ing)?|releas(?:e|ing)|unplugg?(?:ing)?|tripping) (?:it |the \w+ )?(?:to )?(?:opens?|clos(?:es|e)|breaks|makes)\b"
)
_STATES_FORM = r"\bbreak contact\b|\bmake contact\b|\bform [ABC]\b"
_UNTOLD = (
    r"(?:\bnot|\bnever|\bnowhere|\bwithout|n't|\bno word|\bnothing|\bnobody)\s+(?:\w+\s+){0,2}?(?:said|says?|saying|stat(?:ed|ing)|clear|known|tell(?:s|ing)?|defin\w+|specif\w+|given|decided|written|mention\w*|knows?|confirmed)\b"
    r"|could not find|\bunclear|\bunstated|\bwhatever that|\?\s*$|\bto be (?:confirmed|checked|said|decided|clarified)|\bsee (?:the )?data ?sheet|\bdefinition follows|\bfollows in|\brest of\b"
)
_PARTS = re.compile(r"(?<=[.!?])\s+(?=[A-Z0-9“\"'(])|\n|;\s+|,\s+(?!normally\b)|\s+(?:whereas|while the other|and then)\s+|:\s+(?=[SKQ]\d)|(?<=[A-Za-z]\.)\s(?=[A-Z][a-z]+:)")
_SENTENCE = re.compile(r"(?<=[.!?])\s+(?=[A-Z“\"'(])|\n|;\s+")
_STATEMENT = re.compile(r"\b(?:is|are|was|stays?|opens?|closes?|contact|[SKQ]\d)\b", re.IGNORECASE)


def mentions(text: str) -> tuple[Mention, ...]:
    """Every contact that a text calls normally open or closed, in reading order."""
    if not _compiled(r"no?r?ma|norm\.|n\s?[./]?\s?[oc]\b|\dN[OC]|default|ffner|schlie|kontakt|position|rest state").search(text):
        return ()
    return tuple(mention for part in _statements(text) for mention in _in_statement(part))


@dataclass(frozen=True, slots=True)
class _Statement:
    """A part of a text that names a contact, with the parts around it that speak of it too."""

    found: tuple[re.Match[str], ...]
    around: str


def _statements(text: str) -> list[_Statement]:
    statements: list[_Statement] = []
    lead = ""
    breaks = [0, *(gap.end() for gap in _SENTENCE.finditer(text)), len(text)]
    for first, last in pairwise(breaks):
        starts = [first, *(gap.end() for gap in _PARTS.finditer(text, first, last)), last]
        for start, end in pairwise(starts):
            part = text[start:end]
            found = _named(text, first, last, start, end)
            if found:
                statements.append(_Statement(found, lead + part))
                lead = ""
            elif statements:
                statements[-1] = _Statement(statements[-1].found, f"{statements[-1].around} {part}")
            else:
                lead = f"{lead} {part}" if not _STATEMENT.search(part) else ""
    return statements


def _named(text: str, first: int, last: int, start: int, end: int) -> tuple[re.Match[str], ...]:
    """What names a contact's normal state in a part (`start` to `end`) of a sentence (`first` to `last`)."""
    part = text[start:end]
    found = [match for pattern in _SPELLED for match in _compiled(pattern).finditer(text, start, end) if not _is_of_another_thing(_Near(text, first, last, match))]
    found += [match for pattern in _SHORT for match in _compiled(pattern, 0).finditer(text, start, end) if not _is_another_sense(_Near(text, first, last, match), part)]
    kept: list[re.Match[str]] = []
    for match in sorted(found, key=lambda one: (one.start(), -one.end())):
        if not kept or match.start() >= kept[-1].end():
            kept.append(match)
    return tuple(kept)


class _Near:
    """What stands before and behind a match, no further than it can matter."""

    reach = 240

    def __init__(self, text: str, first: int, last: int, match: re.Match[str]) -> None:
        self.words = match[0].strip()
        self.before = text[max(0, match.start() - self.reach) : match.start()]
        self.after = text[match.end() : match.end() + self.reach]
        self.sentence = text[max(first, match.start() - self.reach) : min(last, match.end() + self.reach)]
        self.rest = text[max(first, match.start() - self.reach) : match.start()] + " " + text[match.end() : min(last, match.end() + self.reach)]


def _is_of_another_thing(near: _Near) -> bool:
    """Whether it is a door or valve that is normally open, or a clause that is quoted."""
    if _compiled(_OTHER_STATE).search(near.after) or _compiled(_QUOTED_CLAUSE).search(near.before):
        return True
    if _compiled(rf"{_OTHER_THING}[^,;.]*\b(?:is|are|stays?|be)\s*$").search(near.before):
        return True
    return bool(_compiled(_OTHER_THING).search(near.sentence)) and not _compiled(rf"\b{_DEVICE}\b").search(near.sentence)


def _is_another_sense(near: _Near, part: str) -> bool:
    """Whether letters such as NO or NC mean something else: not connected, a number, a gas, a plain no."""
    if _compiled(_QUOTED_CLAUSE).search(near.before) or _compiled(_BEFORE_A_THING).match(near.after):
        return True
    if near.words == "NO":
        answers = near.before.rstrip().endswith("?") or (not near.before and re.match(r"\.\s+[A-Z]|,\s+(?:the|it|this|that|we|there|a|they)\b", near.after))
        if answers or (_compiled(_ENGLISH_NO, 0).search(part) and not _compiled(rf"\b{_DEVICE}:\s*$").search(near.before)):
            return True
    device = bool(_compiled(rf"\b{_DEVICE}\b").search(near.rest))
    told = part if device else near.sentence
    if _compiled(_NOT_CONNECTED).search(told) and not _compiled(r"\b(?:contacts?|relay|switch|button|used|com)\b").search(told.replace("not used", "")):
        return True
    return not device and bool(_compiled(_ELSEWHERE).search(near.sentence) or _compiled(_OTHER_THING).search(near.sentence))


def _in_statement(statement: _Statement) -> Iterator[Mention]:
    around = statement.around
    bare = around
    for match in statement.found:
        bare = bare.replace(match[0], "§", 1)
    clear = bool(_compiled(rf"(?<![\w-])(?:{_AT_REST}|{_HEALTHY})(?!\w)|{_ACTS}|{_MOVES}|{_STATES_FORM}").search(bare)) and not _compiled(_UNTOLD).search(around)
    for match in statement.found:
        groups = match.groupdict()
        state = "open" if groups.get("open") or groups.get("open1") else "closed"
        yield Mention(match[0].strip(), state, Manner.CLEAR if clear else Manner.AMBIGUOUS)
