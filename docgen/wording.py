"""What free text says about a contact: called by "normally …" alone, or with its circumstances.

A pure judge of text; the rules decide what follows. It reads in steps: find what calls a contact normally open or closed; leave
out what the same letters and words mean elsewhere; then look whether the statement says its circumstances.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import cache, cached_property
from itertools import pairwise

from docgen.tongues import TONGUES, Tongue


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


@dataclass(frozen=True, slots=True)
class _Term:
    """A mention before it is judged, and where it stands."""

    start: int
    end: int
    state: str
    words: str


@cache
def _compiled(pattern: str, flags: int = re.IGNORECASE) -> re.Pattern[str]:
    return re.compile(pattern, flags)


def _any(field: str) -> str:
    """The words of one kind in all languages."""
    return "(?:" + "|".join(str(getattr(tongue, field)) for tongue in TONGUES) + ")"


_ARTICLE = r"(?:the|this|that|each|every|its|a|der|die|das|ist(?: der| die| das)?|le|la|les|il|lo|el|o|is(?: het| de)?|är)"


def _speaks(tongue: Tongue) -> str:
    """A pattern of the words without which a language calls no contact anything."""
    return rf"\b(?:(?:{tongue.normal})(?:(?<=\.)|(?![^\W\d_]))|{tongue.makes}|{tongue.breaks})"


Patterns = tuple[tuple[str, str], ...]
"""Each with the state that it names."""


@cache
def _spelled(tongue: Tongue) -> tuple[Patterns, Patterns]:
    """What calls a contact normally so in the words of one language: the state right behind, and the state elsewhere."""
    normal, device = f"(?:{tongue.normal})", f"(?:{tongue.device})"
    right = [("open", rf"\b(?:{tongue.makes})\b"), ("closed", rf"\b(?:{tongue.breaks})\b")]
    apart: list[tuple[str, str]] = []
    for state, words in (("open", f"(?:{tongue.open})"), ("closed", f"(?:{tongue.closed})")):
        gap, is_so = r"[^.;?!\w]{1,3}", r"(?:(?:is|are|stays?|remains?|est|è|está|é|är|jest)\s+)?"
        right.append((state, rf"\b{normal}[\s,_:=-]{{0,3}}{words}\b(?!-)"))
        apart += [
            (state, rf"(?:\b{device}\b{gap}(?:\w+{gap}){{0,3}}|^\s*){words},?\s+{normal}(?![\w-])"),
            (state, rf"\b{normal},?\s+{_ARTICLE}\s+(?:\w+\s+){{0,2}}{device}\s+{is_so}{words}(?<!close)\b(?!-|\s\w)"),
        ]
        if tongue is TONGUES[0]:
            place = "(?:the|its|their|an?) (?:normal|default) (?:state|position|condition)"
            apart += [
                (state, rf"\bnormally in (?:the|an?|its) {words} (?:state|position)"),
                (state, rf"\b{words},? in {place}\b"),
                (state, rf"\bin {place}\b,?(?:\s+\w+){{0,3}}?\s+{words}\b"),
            ]
    return tuple(right), tuple(apart)


def _lettered() -> Iterator[tuple[str, str]]:
    """Patterns of the letters that stand for a state."""
    for state, letters in (("open", {tongue.letters[0] for tongue in TONGUES}), ("closed", {tongue.letters[1] for tongue in TONGUES})):
        upper = "(?:" + "|".join(sorted(letters)) + ")"
        second = "[" + "".join(sorted({pair[1] for pair in letters})) + "]"
        yield state, rf"(?<![\w./])(?:\d\s?[x×]?\s?)?[nN](?:\.\s?|/)(?:{second}|{second.lower()})(?<!/[aA])(?:\.(?!\w))?(?!\w|\.[A-Za-z]\b)"
        yield state, rf"(?<![\w./`-])(?:\d\s?[x×]?\s?|COM-)?{upper}(?![A-Za-z_`]|-\d|-[A-Z])(?!\.\w)"
        yield state, rf"(?<=[A-Za-z]/){upper}\b|\b(?:[SD]P[SD]T[- ]|[SD]P|sp[sd]t )(?:{upper}|{upper.lower()})\b"
    yield "open", r"(?<![\w./`])no(?=[- ]type\b|-contacts?\b)|(?<=com/)no\b"
    yield "closed", r"(?<![\w./`-])(?:com/)?nc(?![\w`]|\.\w|\s-)"


_LETTERED = tuple(_lettered())

# What the same letters and words mean elsewhere.
_NOT_CONNECTED = (
    r"not? connect(?:ed|ions?)|unconnected|(?<!NO )not used|unused|\b(?:wire|core|ader|fil|filo|hilo|draad|żyła|ledare) \d+\W+n|cut back|\bblind\b|taped"
    r"|\bspare\b|\bdummy\b|floating|no conectad\w+|nicht (?:angeschlossen|verbunden|belegt)|ikke tilsluttet|ej ansluten|inte ansluten"
    r"|niet (?:aangesloten|verbonden)"
    r"|non (?:connect|colleg|raccord|utilis)\w+|niepodłączon\w+|não (?:ligado|conectado)|\b(?:leave|left|bleibt|laisser|lasciare) (?:\w+ )?(?:free"
    r"|open|frei|libre|liber\w)|\bfree\b|\bno wire|\bunwired|\bempty\b|\bleer\b|unbelegt|unbenutzt|ungenutzt|\bvide\b|\bvuoto\b|\bvac[íi]o\b"
    r"|\blibr?er?o?\b|\blivre\b|ongebruikt|\bvrij\b|nieużywan\w*|\bwoln\w+|oanvänd\w*|ledig\w*|ubrugt|\b(?:X|J|P|U|CN)\d+[.:-]\d+\W+N\.?C|\bblank\w*"
    r"|cavit(?:y|ies)"
    r"|\b(?:pins?|pads?|balls?|broches?|pino|patillas?|positions? \d+|stift|pinnar)\b[^;]*?\bN[./]?\s?C|\bN[./]?\s?C\b\.?[^;,]{0,12}\bpins?\b|(?:^"
    r"|, )[A-Z]?\d{1,2}: ?N\.?C\b|\bGND\b|\bVCC\b|\+ ?\d+ ?V\b"
)
_ELSEWHERE = (
    r"milling|lathe|\bfiles?\b|\bprogram|router|machin|noise|rating|thread|\bcells?\b|nitr|ozone|\bNO2\b|\bNO_?x\b|\bgas(?:es)?\b|exhaust|emission"
    r"|supplier (?:moved|in|from|sits|is in)|supplier:|shipped|warehouse|\blab\b|\bfolder\b|\bproject\b|\baudit\b"
    r"|carolina|norw|norsk|conform|numeric|price|\bcomment|smok|parking|\bstep\b|\bsigned\b|\b(?:made|based|located|built|produced) in\b|(?:by:?"
    r"|checked:|drawn:|approved:|signed:) N\.?\s?[CO]\b|\binitials\b|\btool\b|\bgauge\b|ordered from"
    r"|issue (?:no|NC)|-GO\b|calibrat|country|customs|address|(?-i:\b[A-Z][a-z]+,? \(?N\.?[CO]\.?\)?(?=[.)]*$|,? [A-Z]|,? \d{5}))|(?-i:\b(?:from|in"
    r"|near|to|at) [A-Z][a-z]+,? \(?N\.?C)|\bNF (?:EN|ISO|C)\b|norme|not available|applicable|verfügbar"
    r"|(?:serial|item|part|art|drawing|order|cable|position|fuse|sheet|change|revision|rev|page|table|figure)\.?,? NO\b[.:]?|branch|merged|ticket"
    r"|\b(?:no\.|number) of\b"
)
_A_NUMBER = r"[.-]?\s?\d{1,3}\b(?!\s?[°AVgΩmkµ%x×+/-])|\s(?:no\.|number)"
_GOES_ON = (
    r"(?:and|or|in|at|when|while|with|without|like|as|to|by|for|is|are|on|until|till|unless|if|means?|meaning|refers|but|because|instead|not|nc|no"
    r"|here|now|used|left|wired|per|acc|according|same|since|so|though|only|i|e|that|which"
    r"|than|from|once|was|had|has|should|must|unpowered|de|un|shown|replaced|changed|swapped|corrected|became|again|everywhere|und|oder|laut|im|bei"
    r"|ohne|et|ou|au|en|o|e|y|con|sin|com|sem|bez|i|printed|version|main|power|signal|pilot|safety|label\w* on)"
)
_PLAIN_NO = (
    r"(?:\b[tT]here (?:is|are|was)|\b(?:answer|reply|result|verdict) (?:is|was)|\bhas got|\bdo(?:es)? [nN][oO][tT][^.]*) NO\b"
    r"|\bNO (?:contact (?:cleaner|with|between|to|possible|grease|spray|data)|switch(?:ing)? (?:off|on|over)|one (?:may|must|can|is allowed))"
    r"|\bNO (?:\w+ ){1,3}?(?:here|needed|fitted|yet|allowed|permitted|installed|possible|required|in (?:this|the|that) (?:line|branch|box|wire|cable"
    r"|car))\b|\bNO contact\b[^.]*!|\bON\b[^.\w]*\w*[^.\w]*\bNO\b|^NO\.$|\b(?i:serial|item|part|art|drawing|order|fuse|sheet|page) NO[.:]"
)
_ANSWER = r"\?\s*$|\b\w+(?:ed|en|able|ing|proof|present)\b(?:\s+\w+){0,3}\s*:\s*$"
_OTHER_STATE = (
    r"^\s*(?:-?(?:cell|source|ended)\b|(?:questions?|points?|issues?|items?|air|water|source|minded|times?|delays?)\b|loop (?:current|control|torque)"
    r"|(?:until|from|till|between|by|hasta|bis|jusqu.à|fino)\s+(?:las |alle )?\d{1,2}(?! ?[°AVgΩmkµ%])\b)"
)
_HOURS = (
    r"\b(?:noon|lunch|midnight|night|evening|morning|weekends?|holidays?|(?:mon|tues|wednes|thurs|fri|satur|sun)days?|six|seven|eight|nine|ten"
    r"|january|july|august|december|winter|summer|exams?|\d+ ?(?:am|pm|uhr|h|o.clock)|\d{1,2}[:.]\d\d"
    r"|\w*(?:mon|diens|donners|frei|sams|sonn)tags?|wochenende|abends|nachts|feiertag\w*|dimanche|lundi|samedi|week-end|soir|domenica|lunedì|sabato"
    r"|sera|domingos?|lunes|s[áa]bados?|noche|noite|feriados?|zondags?|maandag|zaterdag|avond"
    r"|niedziel\w*|sobot\w*|noc[yąe]?|wiecz\w+|söndag\w*|lördag\w*|helg\w*|søndag\w*|kväll\w*)\b"
)
_UNKNOWN_SUBJECT = (
    r"(?<!\w)(?!(?:it|this|that|all|both|they|these|those|one|each|everything|which|here|there|now|er|sie|es|dies\w*|il|elle|ce|c|ça|esto|essa|het"
    r"|dit|det|den|to|still|also)\b)[^\W\d_]{3,}\s+"
    r"(?:is|are|was|stays?|ist|sind|est|sont|è|sono|está|están|estão|es|é|zijn|jest|są|är|er)\s+(?:[^\W\d_]+\s+)?$"
    r"|^\s*(?:(?:the|a|der|die|das|la|le|il|el|de|het|o)\s+)?(?:(?!(?:the|we|i|not|probably|because|since|and|or|but|so|with|uses?|perhaps|maybe|still|now|both|all|two|think|plug|charger"
    r"|connector|safety|als|as|from|to|it|is|are|statt|deux|twee|\w{4,}ed|wired|used|named|rated|fixed|\w+ly|drawn|shown)\b)[^\W\d_]{3,}\s+){1,4}$"
)
_OF_NO_CONTACT = r"(?:ferm[ée]es?|ouvertes?|chius[ae]|apert[ae]|cerradas?|abiertas?|fechadas?|abertas?|zamknięt[ae]|otwart[ae]|stängt|stängd)$"
_QUOTED_RULE = (
    r"(?:\b(?:rules?|quoted?|clause|rulebook|regulations?|article|règlement|règle|regolamento|regola|reglamento|norma|regel\w*|zitat|regulamin\w*"
    r"|regulamento|reglement\w*)\b)[^\"“'‘„«]*[\"“'‘„«][^\"”»]*$"
)

# What gives the circumstances of a state; § stands in the place of a mention.
_TOLD = tuple(
    pattern
    for tongue in TONGUES
    for pattern in (
        rf"(?<![\w-])(?:{tongue.rest})(?!\w)",
        rf"\b(?:{tongue.under})\b[^.,;:]{{0,40}}?\b(?:{tongue.event})(?!\w)",
        rf"\b(?:{tongue.event})(?!\w)[^.;,§]{{0,25}}?\b(?:{tongue.moves})\b",
    )
)
"""Language by language, English first, so that an English text asks for no other."""
_WHEN = rf"\b{_any('when')}\b[^.;]{{0,60}}"
_CAUSE = "|".join(rf"\b(?:{tongue.moves}|{tongue.open}|{tongue.closed})\b[^.;§]{{0,30}}?\b(?:{tongue.through}|{tongue.under})\b(?=[^.;§]{{0,30}}?[^\W_]{{4}})[^.;§]{{0,60}}" for tongue in TONGUES)
_SECOND_STATE = (
    rf"(?<!/)\b(?:{_any('open')}|{_any('closed')})\b(?!-|/|\s(?:drain|collector|one|points?"
    rf"|questions?|issues?|type|kind|loop|circuit|end|side|position|in the)\b)"
)
_UNDECIDED = (
    rf"\b(?:left|drawn|shown|the|still|noch|weiterhin|encore|ancora|todavía|aún|ainda|nog|jeszcze|ännu|fortfarande|fortsatt|stadig) {_any('open')}\b"
    r"|\b(?:maker|manufacturer|supplier|type|make|model|price|date|order|question|decision|choice|rating|value|hersteller|lieferant|typ|frage|preis|termin|wert"
    r"|bestellung|entscheidung|fabricant|fournisseur|produttore|fornitore|fabricante|proveedor|fornecedor|fabrikant|leverancier|producent|leverantör)"
    rf"(?: of \w+)?(?: is| ist| est| è| está| jest| är|:)? {_any('open')}\b"
)
_EXPLAINED = r"\b(?:i\. ?e\.|that is,|meaning|d\. ?h\.|c.est-à-dire|cioè|es decir|ou seja|d\.w\.z\.|tzn\.|dvs\.)[\s:,]+(?:[^\s§.;]+\s+){2,5}?[^\s§.;]"
_LAMP = r"\b(?:LED|lamp|light|indicator|leuchte|lampe|voyant|spia|piloto|lampje)\b.*\b(?:is|are|shows?|lit|on|glows?|flash\w*|leuchtet|brennt|brille)\b"
"""What is on or off there is a lamp, not the contact."""
_ALARM = r"\b(?:faults?|errors?|fail(?:s|ure)|fehler\w*|défauts?|guast\w|fall[oa]s?|falhas?|fout\w*|usterk\w*|błęd\w*|fel|fejl|feil)\b"
_PAPERWORK = (
    r"\b(?:we|i|ordered|bought|stock|reviews?|rules?|drawing|drawn|schematic|symbol|sheet|table|lists?|sketch|plan|notice|proven|told|remember"
    r"|possible|supplier|season|asked|unsure|confirmed|answered|collector|drain|point)\b"
)
_UNTOLD = (
    r"(?:\bnot|\bnever|\bnowhere|\bwithout|n't|\bno word|\bnothing|\bnobody)\s+(?:\w+\s+){0,2}?(?:said|says?|saying|stat(?:ed|ing)|clear|known"
    r"|tell(?:s|ing)?|defin\w+|specif\w+|given|decided|written|mention\w*|knows?|confirmed)\b"
    r"|could not find|\bunclear(?! how long)|\bunstated|\bwhatever that|\?\s*$|\bto be (?:confirmed|checked|said|decided|clarified)"
    r"|\bsee (?:the )?data ?sheet|\bdefinition follows|\bfollows in"
)

# What speaks of the words.
_TALK = (
    rf"\b(?:{_any('avoid')})(?!\w).{{0,60}}§|\b(?:not|instead of|than|nicht|statt|pas|non|no|não|niet|nie|inte|ikke)\s+[“\"'„«‘]§"
    r"|\b(?:never|jamais|mai|nunca|nooit|nigdy|aldrig)\s+§|§.{0,60}[”\"»]\s*(?:is |was )?(?:quoted|cited|copied|taken) from"
    r"|\bwhat §\W{0,3} ?means?|§\W{0,2}\s*wording|[“\"'„«‘]§[”\"'“»’]\s+(?:(?:is|are|ist|est|è|es|é|jest|är|er)\s+(?:not|no|an?|eine?|une?|una?|uma?|een|to|et|ett|en|ambiguous|unclear|misleading|term|word|jargon)\b|appears?|occurs?)"
    r"|\b(?:heading|title|caption|überschrift|titre|titolo|t[íi]tulo|nagłówek|rubrik)\b\W{1,4}§"
)
_NOT_ON_PAPER = (
    r"\b(?:not|never|nicht|keine?n?|pas|jamais|non|mai|nunca|não|niet|nooit|nie|inte|aldrig|ikke|aldri)\b.{0,60}?\b(?:table|column|field|form|entry"
    r"|document|description|spalte|feld|formular|tabelle|colonne|champ|tableau|formulaire|campo|tabella|modulo|colonna"
    r"|columna|tabla|formulario|coluna|tabela|kolom|veld|tabel|formulier|kolumn\w*|pol[eu]|formularz\w*|rubry\w+|fält\w*|tabell\w*|formulär\w*"
    r"|felt\w*|skema\w*)s?\b"
)
_QUESTION = rf"^\W*(?:{_any('asks')})\b[^?]*§[^?]*\?"

_PARTS = re.compile(r"(?<=[.!?])(?<!\bN\.)\s+(?=[A-Z0-9“\"'])|\n|;\s+|,\s+(?!normally\b|open\b|closed\b)|\s+(?:whereas|while the other|and then)\s+|:\s+(?=[SKQ]\d)|(?<=[A-Za-z]\.)\s(?=[A-Z][a-z]+:)")
_SENTENCE = re.compile(r"(?<=[.!?])(?<!\bN\.)\s+(?=[A-Z“\"'])|\n|;\s+")
_GAS = r"\bppm\b|chemical|nitr|ozone|\bNO_?[2x]\b"
_SAYS_A_STATE = re.compile(rf"\b(?:{_any('open')}|{_any('closed')}|opens|closes|make|break|makes|breaks)\b", re.IGNORECASE)
_LETTERS = r"(?<![A-Za-z])N[./]?\s?[OCAF]\b|\bN\.\s[OCAF]\b"
_WORD = re.compile(r"[^\W_]+(?:['’-][^\W_]+)*")
_REACH = 160


@cache
def _role(word: str) -> str:
    """Whether a word names a device with a contact, or its form, or another thing that opens and closes, or is a preposition."""
    for role in ("device", "form", "other", "lies_at"):
        if _compiled(_any(role)).fullmatch(word) or (role != "lies_at" and "-" in word and _compiled(_any(role)).fullmatch(word.rsplit("-", 1)[1])):
            return role
    return ""


def mentions(text: str) -> tuple[Mention, ...]:
    """Every contact that a text calls normally open or closed, in reading order."""
    if not _compiled("|".join([_LETTERS, *(_speaks(tongue) for tongue in TONGUES)])).search(text):
        return ()
    return tuple(mention for statement in _statements(text) for mention in _judged(statement))


@dataclass(frozen=True, slots=True)
class _Statement:
    """A part of a text that names a contact, with the parts around it that speak of it too."""

    found: tuple[_Term, ...]
    around: str


def _statements(text: str) -> list[_Statement]:
    statements: list[_Statement] = []
    lead = ""
    breaks = [0, *(gap.end() for gap in _SENTENCE.finditer(text)), len(text)]
    for first, last in pairwise(breaks):
        sentence = _Sentence(text, first, last)
        starts = [first, *(gap.end() for gap in _PARTS.finditer(text, first, last)), last]
        for start, end in pairwise(starts):
            part = text[start:end]
            found = _named(text, sentence, start, end)
            if found:
                kept = "" if _is_of_something_else(lead, text[start : found[0].start]) else lead
                statements.append(_Statement(found, kept + " " + part))
                lead = ""
            elif statements and not _compiled(_LAMP).search(part):
                statements[-1] = _Statement(statements[-1].found, f"{statements[-1].around} {part}")
            elif not part.rstrip().endswith("?"):
                lead = f"{lead} {part}"
    return statements


def _is_of_something_else(lead: str, opening: str) -> bool:
    """Whether what leads to a mention gives the state of another thing than the one that the mention opens with."""
    own = any(_role(word) in ("device", "form") for word in _WORD.findall(opening[-_REACH:]))
    return own and bool(_SAYS_A_STATE.search(lead) or _compiled(r"[;.!?]\s*$").search(lead)) and any(_role(word) == "device" for word in _WORD.findall(lead))


def _named(text: str, sentence: "_Sentence", start: int, end: int) -> tuple[_Term, ...]:
    """What names a contact's normal state in a part (`start` to `end`) of a sentence."""
    called: list[tuple[bool, int, Patterns]] = []
    for tongue in TONGUES:
        spoken = sum(1 for _ in _compiled(_speaks(tongue)).finditer(text, start, end))
        if spoken:
            right, apart = _spelled(tongue)
            met = sum(1 for _, pattern in right for _ in _compiled(pattern).finditer(text, start, end))
            called.append((True, re.IGNORECASE, right if met >= spoken else (*right, *apart)))
    if _compiled(_LETTERS).search(text, start, end):
        called.append((False, 0, _LETTERED))
    found = []
    for spelled, flags, patterns in called:
        for state, pattern in patterns:
            for match in _compiled(pattern, flags).finditer(text, start, end):
                near = _Near(text, sentence, match)
                if not (_is_of_another_thing(near, spelled) or _is_talk(near) or (not spelled and _is_another_sense(near))):
                    found.append(_Term(match.start(), match.end(), state, match[0].strip()))
    kept: list[_Term] = []
    for term in sorted(found, key=lambda one: (one.start, -one.end)):
        if not kept or term.start >= kept[-1].end:
            kept.append(term)
    return tuple(kept)


class _Sentence:
    """A sentence of a text, and what it speaks of; each is looked for once, however many contacts it names."""

    def __init__(self, text: str, start: int, end: int) -> None:
        self.start, self.end, self.words = start, end, text[start:end]

    @cached_property
    def is_of_words(self) -> bool:
        return self._has(rf"\b(?:{_any('write')})(?!\w)") or self._has(_NOT_ON_PAPER)

    @cached_property
    def is_of_gas(self) -> bool:
        return self._has(_GAS)

    @cached_property
    def is_of_elsewhere(self) -> bool:
        return self._has(_ELSEWHERE)

    @cached_property
    def is_of_loose_ends(self) -> bool:
        return self._has(_NOT_CONNECTED)

    @cached_property
    def says_no(self) -> bool:
        return self._has(_PLAIN_NO, 0)

    def _has(self, pattern: str, flags: int = re.IGNORECASE) -> bool:
        return bool(_compiled(pattern, flags).search(self.words))


class _Near:
    """What stands before and behind a match in its sentence, no further than it can matter."""

    def __init__(self, text: str, sentence: _Sentence, match: re.Match[str]) -> None:
        self.words = match[0].strip()
        self.sentence = sentence
        self.before = text[max(sentence.start, match.start() - _REACH) : match.start()]
        self.after = text[match.end() : min(sentence.end, match.end() + _REACH)]
        self.marked = f"{self.before}§{self.after}"
        self.text_after = text[match.end() : match.end() + _REACH]
        self.text_before = text[max(0, match.start() - _REACH) : match.start()]
        self.subject = _subject(self.before, self.after)

    @property
    def previous(self) -> str:
        found = _compiled(r"([^\W_]+)[\s(:,=\"“]*$").search(self.before[-40:])
        return _role(found[1]) if found else ""

    @property
    def next(self) -> str:
        found = re.match(rf"[\s-]+({_WORD.pattern})", self.after)
        return found[1] if found else ""


def _subject(before: str, after: str) -> str:
    """What a mention speaks of: the noun that it stands before, else the one it follows; a mere "type" says the least."""
    behind = _noun_behind(after)
    return behind if behind in ("device", "other") else _noun_before(before) or behind


def _noun_behind(after: str) -> str:
    """What the noun is that a mention stands before, as in "normally open valve"."""
    role = ""
    for word in _WORD.findall(_compiled(r"[,;:.(]").split(after, 1)[0])[:4]:
        this = _role(word)
        if this == "lies_at" or (role and not this):
            break
        role = this or role
    return role


def _noun_before(before: str) -> str:
    """What the noun is that a mention speaks of: the nearest that no preposition leads to, else the nearest device."""
    roles = [_role(word) for word in _WORD.findall(before)]
    led = ""
    for place in range(len(roles) - 1, -1, -1):
        if roles[place] not in ("device", "other"):
            continue
        if place + 1 < len(roles) and roles[place + 1] in ("device", "other"):
            continue
        if "lies_at" not in roles[max(1, place - 4) : place]:
            return roles[place]
        led = led or (roles[place] if roles[place] == "device" else "")
    return led


def _is_of_another_thing(near: _Near, spelled: bool) -> bool:
    """Whether it is a door or valve that is normally open, or hours, or a rule that is quoted."""
    if near.subject == "other" or _compiled(_OTHER_STATE).search(near.after) or _compiled(_QUOTED_RULE).search(near.text_before):
        return True
    if near.subject == "device" or not spelled:
        return False
    if _compiled(_HOURS).search(near.after) or _compiled(_OF_NO_CONTACT).search(near.words):
        return True
    return bool(_compiled(_any("normal")).match(near.words) and _compiled(_UNKNOWN_SUBJECT).search(near.before))


def _is_talk(near: _Near) -> bool:
    """Whether the sentence speaks of the words instead of a contact."""
    return near.sentence.is_of_words or any(_compiled(pattern).search(near.marked) for pattern in ((_TALK, _QUESTION) if "?" in near.marked else (_TALK,)))


def _is_another_sense(near: _Near) -> bool:
    """Whether letters such as NO or NC mean something else: not connected, a number, a gas, a plain no."""
    if near.words[:1] in "SDs":  # the form of a switch, as in SPST-NO
        return False
    letters = re.sub(r"[^A-Za-z]", "", near.words).upper()[-2:]
    of_device = "device" in (near.subject, near.previous)
    if letters == "NO" and _is_plain_no(near, of_device):
        return True
    if near.words == "nc" and not ("device" in (_role(near.next), near.previous) or (not near.before.strip() and re.match(r"\W*$", near.after))):
        return True
    if near.next and not _leads_on(near, letters, of_device):
        return True
    if _stands_for_other_words(near, letters) or _compiled(_ELSEWHERE).match(near.next) or near.sentence.is_of_gas:
        return True
    if of_device:
        return False
    if letters in ("NA", "NF") or _compiled(_A_NUMBER).match(near.after) or near.sentence.is_of_elsewhere:
        return True
    return letters == "NC" and near.sentence.is_of_loose_ends


def _leads_on(near: _Near, letters: str, of_device: bool) -> bool:
    """Whether the next word can follow the letters of a contact: NO before any other noun is a plain no."""
    if re.match(r"\d", near.words) or near.previous == "device" or near.next[0].isdigit() or _compiled(_GOES_ON).fullmatch(near.next):
        return True
    if letters == "NO":
        return _role(near.next) in ("device", "form")
    return of_device or _role(near.next) == "lies_at" or _noun_behind(near.after) == "form"


def _is_plain_no(near: _Near, of_device: bool) -> bool:
    """Whether NO is the English word."""
    if near.sentence.says_no or _compiled(_ANSWER).search(near.text_before):
        return True
    if _compiled(r"§[^.;]{0,40}\bN[./]?\s?C\b|\bN[./]?\s?C\b[^.;]{0,40}§", 0).search(near.marked):
        return False
    if near.words == "NO" and near.before.rstrip().endswith(":") and not of_device and not re.match(r"[,;/ ]+\d+ ?(?:m?A|V)", near.after):
        return True
    return near.words == "NO" and not near.text_before.strip() and bool(re.match(r"\.\s+[A-Z]|[,:]\s+(?:see|the|it|this|that|we|there|a|they)\b|[.!]+$", near.text_after))


def _stands_for_other_words(near: _Near, letters: str) -> bool:
    """Whether the letters are spelled out beside them as something else than a state."""
    if re.match(r"[\"'”’»]?\s*=\s*[^\W\d]", near.after) and not (_says_when(near.after) or _compiled(rf"\b(?:{_any('normal')}|{_any('device')})\b").search(near.after)):
        return True
    words = rf"\b(?!norm){letters[0]}\w*[\s-]{letters[1]}\w*|\b{letters[0]}\w*[\s-](?:\w+\s)?{letters[1]}(?:o|h)\w*"
    if _compiled(rf"^[\s:,=(-]{{1,4}}[\"“'‘]?(?:{words})|^[^.;§]{{0,40}}?\b(?:stands? for|means?|is short for|abbreviates|reads)\b[^.]*?(?:{words})").search(near.after):
        return True
    return bool(_compiled(rf"(?:{words})[\s,(]{{1,3}}$").search(near.before))


def _says_when(words: str) -> bool:
    """Whether a statement gives the circumstances of a state; that it changes on a fault tells no state at rest."""
    words = _compiled(_UNDECIDED).sub("", words)
    if any(_compiled(pattern).search(words) for pattern in (*_TOLD, _SECOND_STATE, _EXPLAINED)):
        return True
    conditions = [match[0] for pattern in (_WHEN, _CAUSE) for match in _compiled(pattern).finditer(words)]
    return any(not _compiled(_PAPERWORK).search(one) and not _compiled(_ALARM).search(one) for one in conditions)


def _judged(statement: _Statement) -> Iterator[Mention]:
    bare = statement.around
    for term in statement.found:
        bare = bare.replace(term.words, "§", 1)
    clear = _says_when(bare) and not _compiled(_UNTOLD).search(statement.around)
    for term in statement.found:
        yield Mention(term.words, term.state, Manner.CLEAR if clear else Manner.AMBIGUOUS)
