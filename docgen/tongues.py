"""What people of the trade write about contacts, language by language: states, kinds, devices, circumstances.

Regular expressions without groups, matched without regard to case. A word is whole unless it ends in `\\w*`.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tongue:
    """The words of one language."""

    normal: str
    """What is called normal, or normally so."""
    open: str
    closed: str
    makes: str
    """Names of a contact that is open at rest."""
    breaks: str
    """Names of a contact that is closed at rest."""
    device: str
    """What has, or is, a contact."""
    form: str
    """What a device is called when it is not named."""
    other: str
    """What else opens and closes."""
    rest: str
    """Circumstances that are told by these words alone."""
    when: str
    """What begins a condition, whatever follows."""
    under: str
    """What begins a condition if an event follows."""
    event: str
    moves: str
    """What a contact does under a condition."""
    through: str
    """What leads from there to its cause."""
    write: str
    """Verbs that make a statement one about words."""
    avoid: str
    """What forbids a word."""
    asks: str
    """What begins a question."""
    lies_at: str
    """Prepositions: what they lead to is not what is spoken of."""
    letters: tuple[str, str] = ("NO", "NC")
    """The letters for open and closed."""


_ENGLISH = Tongue(
    normal=(
        r"norm\.?|n\.(?=\s?(?:open|clos))|n(?:o|or|ro)?[rn]?[ae]?m[ael]*[iy]*|norn[ae]?l+[iy]?|by default|default(?:s to)?|in (?:the )?normal (?:condition|position|state)"
        r"|(?:normal|default) (?:condition|position|state)(?: is)?"
    ),
    open=r"open(?:e?d)?|op(?=\.)|opne",
    closed=r"closed?|closd|clsoed|cloesd|cl(?=\.)|shut",
    makes=r"(?!)",
    breaks=r"(?!)",
    device=(
        r"contacts?|relays?|rly|contactors?|(?:micro|limit|key|push|toggle)?-?switch(?:es)?|sw|(?:push-?)?buttons?|mushrooms?|e-?stops?|poles?"
        r"|throws?|terminals?|coils?|reeds?|auxiliary|auxiliaries|aux|interlocks?|sensors?|outputs?|loop|circuit|latch|optocouplers?|ssr|photomos"
        r"|mosfet|transistor|thermostat|bimetal|elements?|blocks?|sp[sd]t|dp[sd]t|com|common|AIRs?|IMD|AMS|BMS|BSPD|BOTS|HVD|TSMS|LVMS|SDC|PDOC"
        r"|detector|loopback|masters?|pre-?charge|discharge|inertia|crash|emergency|shutdown|msd|breaker|plunger|sealed|solenoid relay"
        r"|microswitch(?:es)?|momentary|K\d+|S\d+|Q\d+|RL\d+|87a?"
    ),
    form=r"types?|versions?|variants?|parts?|ones?|pairs?|sides?|kinds?|state|function|form",
    other=(
        r"doors?|valves?|flaps?|hatch(?:es)?|windows?|gates?|louv(?:re|er)s?|lids?|caps?|vents?|covers?|shutters?|garages?|tents?|throttle|dampers?"
        r"|drawers?|pits?|lane|offices?|workshops?|shops?|labs?|library|tracks?|canteen|roads?|bodywork|nosecone|taps?|cocks?|drain|visor|buckles?"
        r"|zip|grilles?|solenoid|cooling|coolant|pneumatics?|hydraulics?|tickets?|forum|hall|gym|kitchen|injector|cupboards?|cabinets?|fridge"
        r"|barriers?|shelf|tool ?box|laptop|seat|intake|duct|manifold|hours"
    ),
    rest=(
        r"(?:at|in|of) rest|\(rest\)|(?:the |its |'s )?rest(?:ing)? (?:state|position)(?! to be)"
        r"|(?<!checked )(?<!tested )(?<!measured )on (?:the |my |a )?(?:bench|shelf|table)(?! (?:vice|next|of|and))|in the hand|shelf state"
        r"|un-?power(?:e)?d(?! (?:\w+ )?(?:fan|connector|box|device|board|pin|line|car\b))"
        r"|(?:without|w/o|no|zero|loses|lost|missing|lacks) (?:\w+ ){0,2}?(?:power|supply|voltage|volts?|current|feed|energi[sz]ation|excitation|magnet|plug|key|hand|finger|target|shock|object|ignition|pressure|force|load|actuation|12 V|24 V)\b(?! (?:rating|limit|suppl))"
        r"|(?:voltage|current) (?:is )?zero|(?:at |0 V|zero )(?:zero|0) ?V\w*|\b0 V\b|zero (?:coil )?volts"
        r"|not (?:powered|energi[sz]ed|supplied|fed|excited|driven)(?! (?:from|by)\b)|power(?:ed)?[- ](?:off|down|removed|lost|fails?|gone)"
        r"|(?:loss|failure|absence|lack|removal) of (?:the |its )?(?:\w+ )?(?:power|supply|feed|voltage|current|12 V|24 V|LV)"
        r"|(?:power|supply|feed|voltage|12 V|24 V|LV) (?:loss|failure|cut|lost|fails?|drops?)"
        r"|(?:supply|feed|coils?|power|input|relay|voltage|12 V|24 V) (?:is |side |being |being )?(?:off|dead|removed|lost|gone|fails|idle|low|unpowered|disconnected|de-?energi[sz]ed|not \w+|out|cut)"
        r"|(?:dead|idle|unpowered|released|resting|inactive|untripped|relaxed) (?:coil|relay|state|position|condition|button|pedal|lever|knob|head|switch)"
        r"|(?:idle|off)[ -]state|(?<!lockable in the )(?<!lockable in )(?:idle|off)[ -]position|when idle|inactive|\bidle\b|coils? (?:open|without)"
        r"|(?:de-?|un-?)energi[sz]ed|nothing (?:is )?(?:connected|applied|pressed)"
        r"|(?:un|non-?|not (?:being )?|never |nobody (?:is )?|no one (?:is )?|no-one (?:is )?)-?(?:actuated|operated|pressed|pushed|depressed|plugged|tripped|mated|touched|triggered|hit|pressing|pushing|touching|holding|operating)"
        r"|(?:un|not )activated|nothing in front|no (?:\w+ )?(?:hand|finger|target|object|foot) (?:on|in|near|at)|when (?:released|let go|not)"
        r"|(?:finger|hand|foot) (?:off|away|lifted)"
        r"|(?:button|pedal|lever|key|plunger|knob|mushroom|head|plug|lid|magnet|cover|finger|connector|relay|AIR|handle|target) (?:is |being |not )?(?:released|out|removed|up|pulled(?: out)?|apart|off|away|idle|absent|inserted|in place|mated|closed|present|not \w+|open|dropped out)"
        r"|released (?:=|means|is)|(?:(?:un)?til+|unless) (?:\w+ ){0,4}?(?:faults?|errors?|fails?|failure)|when (?:cold|cool)"
        r"|\((?:cold|cool|idle|inactive|off|resting|relaxed)\)|cold state|when armed|below \d+ ?°"
        r"|(?:as )(?:shipped|supplied|delivered|received|bought)|out of the box|ex works|factory state|dropped out|drops? (?:out|off|open)"
        r"|falls? (?:back|off)|prior to actuation|before actuation"
        r"|[\w-]+ (?:off|dead|released|gone|de-?energi[sz]ed|unpowered|unplugged)(?=\W*$|[,.;)])"
        r"|with (?:the|its|no|nothing|nobody|a|an) (?:[\w-]+ ){1,3}(?:in|out|off|on|up|down|fitted|closed|open|shut|apart|away|removed|inserted|released|pressed|pulled|held|left)(?=\W*$|[,.;)])"
        r"|in (?:the |its |a )?(?!the|a|its|same|normal|new|old|this|last|whole)[\w-]+ (?:car|vehicle|state|condition)\b"
        r"|(?:needs?|requires?|takes|wants) [^.;]{0,30}?to (?:open|close|conduct|break|make|interrupt|pull)"
        r"|(?:coil|leads|wires|connector|plug)(?: \w+)? (?:hanging|free|unconnected|not connected|disconnected|unplugged|open)"
        r"|in the sense of (?:the|a)\b|nobody|no one|no-one|in working (?:order|condition)|normal[”\"'’]? (?:being|means|meaning|refers|is meant)"
        r"|ball seated|usual range|pedal (?:in|within|inside|at|anywhere) \w+|(?:pedal|button|lever|head|handle) (?:rests|stays|sits)"
        r"|(?:coil|current|voltage|supply|volts)(?: \w+)? (?:= ?)?(?:0|zero|none|nil)\b"
        r"|(?:press\w*|pushed|hit|pulled|turned|energi[sz]ed|powered) (?:\w+ ){0,2}?(?:to|in order to) (?:interrupt|open|close|break|make)"
        r"|(?:on|at|past|not|no|beyond|short of its|without) (?:\w+ )?over-?travel\w*\b(?! switch)"
        r"|(?:press|push|hitt|pull|energi[sz]|power|actuat|trip|turn|releas|lift|mat|unplugg|plugg|insert|squeez|strik)ing (?:it |the |that |this |its )?(?:\w+ ){0,3}?(?:to )?(?:opens?|clos(?:es?|ing)|breaks?|makes?|interrupts?|cuts?|isolates?|separates?|disconnects?|connects?)\b"
        r"|on (?:pressing|pushing|actuation|impact|energi[sz]ing|(?:a )?crash|(?:a )?shock|release|over-?travel|being \w+)"
        r"|(?:energi[sz]e|power|press|push|pull|turn) to (?:break|make|open|close|release|interrupt)|deactivated|switched off|turned off"
        r"|not (?:loaded|latched|armed|engaged|inserted|fitted|excited)|un(?:loaded|supplied|driven|excited|coupled|disturbed|latched)|relaxed"
        r"|passive|in good order|ready to drive|on (?:the )?track"
        r"|(?<!powered in )(?:while|when|if|as long as|so long as|so)(?: the| this| our)? (?:\w+ )?(?:healthy|sound|good|fine|OK)\b|\(healthy\)"
        r"|healthy[ -](?:state|car|condition|closed|open|system)"
        r"|(?:in|of|with) (?:the|a|our) (?:\w+,? )?(?:running|sound|healthy|working|fault-?free)"
        r"|in (?:a )?(?:running|healthy|sound|driving|fault-?free) \w+"
        r"|(?:without|with no|there is no|no|absent) (?:\w+ ){0,2}?(?:faults?|errors?|implausibility|failures?|alarms?)\b(?! found)|fault-?free"
        r"|with (?:the |a )?(?:car|system|loop|monitor|device|insulation|tractive system|TS|machine) (?:\w+ )?(?:healthy|sound|running|on|active|live|powered|up)"
        r"|while driving|(?:in|during) (?:normal )?(?:driving|drive)|in (?:running|operation|service|use)\b(?! since)|nothing (?:is )?wrong"
        r"|(?:car|TS|tractive system|system) (?:is )?(?:runs|running|active|healthy|on|live|ok|up|driving)\b|(?:current|power|voltage)less"
        r"|all is well|held (?:closed|in|open)(?: (?:by|while|when|as))?|powered without|energi[sz]ed (?:in|while|during|whenever|as long|when)"
        r"|pulled in (?:by|while|as|when)|\bmate[sd]\b|(?:when|after|once) (?:it is )?(?:plugged|mated)"
        r"|(?<!not )\(?(?:closed|open|conduct\w*|shut) (?:un)?powered\)?|(?:pulls? in|picks? up) (?:when|as soon|once|with)|break contacts?"
        r"|make contacts?|form [ABC]\b"
    ),
    when=r"when|whenever|while|whilst|as long as|so long as|if|unless|(?:un)?till?|once|as soon as|the moment|provided",
    under=r"without|above|below|after|before|with (?:the|its|a|no|nothing|nobody)",
    event=(
        r"press\w*|push\w*|touch\w*|hits?|struck|mushroom|actuat\w*|operat(?:ed|es|ion|ing)|energi\w*|power\w*|suppl(?:y|ied)|volt\w*|current|coil"
        r"|feed|trip\w*|crash\w*|impact|shock|decelerat\w*|\d+ ?g|\d+ ?°C|pedal|over-?travel\w*|magnet|target|key|plug\w*|unplug\w*|mat(?:es|ed)"
        r"|insert\w*|lid|cover|finger|hand|hold(?:s|ing)?|held|pull\w*|releas\w*|let go|idle|healthy|sound|running|runs|drives|driving|live|active"
        r"|hott?er|hot|cold|input|12 V|24 V|is on|is off|armed|drop\w*|falls?|picks? up|picked up|at rest|untouched|excited|fails?|lost|loses"
        r"|missing|gone|dead|removed|fitted|attached|in place|present|connected|disconnected|screwed|bolted|seated|mov(?:es|ing)|within|in range"
        r"|twist\w*|turn(?:s|ed)?|lift\w*|reset|nothing|somebody|someone|tak(?:es|en) (?:off|out)|shut|closed|open|joined"
        r"|(?:button|head|handle|lever|knob) \w+|tractive system|no (?:\w+ )?(?:fault|error|implausib\w*)"
    ),
    moves=(
        r"opens|closes|interrupts?|breaks|cuts|parts|separates?|joins|conducts?|conducting|conduction|continuity|isolates?|isolating|blocking|makes"
        r"|interrupted|broken|isolated|opened|shuts?|switch(?:es|ed) (?:over|off|on)"
        r"|(?:outputs?|signal|led|lamp) (?:is )?(?:on|off|high|low)(?= (?:with|when|while|if|without|unless|until|as|only|once)\b)"
    ),
    through=r"after|as|with|by|on|upon|at|before|during|in|next to|only|through|from|under|over|beyond|against|while|when|without",
    write=(
        r"explain\w*|defin(?:e|es|ed|ing)|d[eé]fini(?:tion|zione|ción|ção|tie|cja)(?! follows)|misread\w*|misunderst\w*|mistaken for|took [“\"'‘]"
        r"|glossary|legend|meaning of|mean(?:s|t)? in general|(?<!in )terms?|(?<!no )words?|from the text"
        r"|expressions?|phrases?|jargon|abbreviations?|terminology|vocabulary|the (?:words?|letters)"
    ),
    avoid=(
        r"bans?|banned|forbid\w*|prohibit\w*|please (?:no|not)\b|(?:state|describe|write|enter|give|name)\b[^.]{0,50}?(?:instead of|rather than|not)"
        r"|(?:do not|don't|don’t|never|not to|must not|should not|shall not|cannot|may not|no longer|please no|rather than|instead of)(?: \w+){0,2}? (?:writ(?:e|ing)|say(?:ing)?|enter(?:ing)?|typ(?:e|ing)|put(?:ting)?|using|use|call(?:ing)?|fill(?:ing)? in|quot(?:e|ing))"
        r"|avoid(?:ing)?(?: the)?(?: words?| terms?| wording| expressions?)?"
        r"|(?:is|are) (?:forbidden|banned|not allowed|not wanted|no good) (?:here|in this)"
    ),
    asks=r"(?:question[^:]{0,30}: ?)?(?:what|who|which|why|how|when|where|is|are|does|do|did|should|shall|can|could|may|must|would|will|was|has)",
    lies_at=r"in|on|at|of|from|for|to|near|behind|beside|under|over|above|below|by|with|without|inside|across|via|through",
)

_GERMAN = Tongue(
    normal=r"normal(?:er|erweise|t)?|im normal(?:zustand|fall|betrieb)|in normalstellung|grundsätzlich|standardmäßig",
    open=r"offene?[rsn]?|ge[öo]ffnete?[rsn]?",
    closed=r"geschlossene?[rsn]?|zu(?=\W*$|[,.;:)])",
    makes=r"(?:schlie(?:ß|ss)er|arbeitskontakt)(?:kontakt)?(?:e|s|n|en)?",
    breaks=r"(?:[öo]ffner|oeffner|ruhekontakt|ruhestromkontakt)(?:kontakt)?(?:e|s|n|en)?",
    device=(
        r"\w*kontakt\w*|\w*relais|\w*schalter[sn]?|\w*taster[sn]?|\w*taste|knopf|not-?aus(?:-\w+)?|\w*schütz\w*|\w*ausgang\w*|klemmen?|\w*spule"
        r"|\w*sensor\w*|\w*schleife|kreis|sdc|verriegelung|pol(?:e|ig)?|element|\w*glied"
    ),
    form=r"typ\w*|ausführung|variante|seite|teil",
    other=(
        r"\w*tür(?:en)?|\w*tor|\w*ventil[es]*|\w*klappe\w*|\w*deckel[sn]?|\w*schrank|\w*schublade|fenster|werkstatt|büro|labor|laden|geschäft|halle"
        r"|hahn|haube|gehäuse|kühlkreis|garage|schranke|box|strecke|mensa|schublade"
    ),
    rest=(
        r"stromlos\w*|spannungs(?:los|frei)\w*"
        r"|(?:un|nicht |nicht mehr )(?:betätigt|gedrückt|bestromt|erregt|versorgt|angezogen|ausgelöst|aktiviert|belastet)\w*|i[nm] ruhe\w*"
        r"|ruhe(?:lage|stellung|zustand)|ohne (?:\w+ )?\w*(?:strom|spannung|versorgung|betätigung|energie|speisung|magnet|schlüssel)\w*"
        r"|bei(?:m)? (?:\w+ )?(?:drücken|betätigung|betätigen|spannungsausfall|stromausfall|aufprall|gedrückt\w*|losgelassen\w*|abgefallen\w*|gesund\w*|angezogen\w*|\w+ spule|ziehen|einschalten)"
        r"|nicht (?:über|ge|be|an|ein|aus)(?!nutz|legt|schloss|kannt|prüft|liefert|geben|baut|zeichn|bau)\w+(?:t|en)\b|nicht ausgelöst|ausgeschaltet"
        r"|eingeschaltet|fahrbereit|im gut(?:zustand|fall)|in grundstellung|im leerlauf|(?:spule|strom|spannung) (?:aus|weg|fehlt)|fehlerfrei\w*"
        r"|kein(?:en)? (?:\w+ )?fehler|ohne (?:\w+ )?druck|gedrückt\w*|ohne fehler|im betrieb|in betrieb|im fahrbetrieb|während der fahrt"
        r"|(?:ge|be)sund\w*|im auslieferungszustand|(?:wie|ab werk) geliefert|ab werk|abgeschaltet\w*|abgestellt\w*|auf dem (?:tisch|prüfstand)"
        r"|niemand|(?:knopf|taster|pedal|schlüssel|stecker|hebel|spule) (?:ist )?(?:oben|frei|los|gelöst|draußen|raus|drin|aus|ab|unberührt)"
        r"|losgelassen\w*|abgefallen\w*|fällt (?:\w+ )?ab|gesteckt|gezogen\w*|drücken (?:öffnet|schließt|unterbricht|trennt)"
    ),
    when=r"wenn|falls|solange|so lange|sobald|bis|sofern|wird (?:er|sie|es)",
    under=r"bei|beim|ohne|durch|nur|erst|nach",
    event=(
        r"\w*drück\w*|\w*betätig\w*|\w*spule\w*|\w*strom\w*|\w*spannung\w*|\w*versorg\w*|\w*speisung\w*|angezogen|\w*fehler\w*|\w*auslös\w*"
        r"|ausgelöst|aufprall|pedal\w*|\w*schlag\w*|\w*steck\w*|schlüssel\w*|magnet\w*|gesund\w*|\w*läuft|\w*lauf\w*|fährt|\w*fahr\w*|\w*erregt\w*"
        r"|angesteuert|gezogen|berühr\w*|niemand|abfällt|abgefallen|fehlt|wegfällt|ausfällt|ausfall|geht|aktiv\w*|hand|finger|losl\w*|12 V|24 V"
    ),
    moves=r"öffnet|schließt|unterbricht|trennt|leitet|sperrt|fällt|zieht",
    through=r"durch|bei|beim|mit|nach|während|auf|ohne|über|im",
    write=r"bedeut\w*|heißt,? dass|erklärt|definiert|begriffe?|wort|wörter|abkürzung\w*|bezeichnung [„“\"]",
    avoid=(
        r"(?:bitte )?(?:nicht|kein(?:e|en)?|niemals|nie)(?= [„“\"‚']?§[^.]{0,40}\b(?:schreiben|verwenden|eintragen|benutzen|angeben|nennen))"
        r"|statt [„“\"]"
    ),
    asks=r"was|wer|welche[rs]?|warum|wie|wann|ist|sind|heißt|soll(?:en)?|kann|darf|wieso|meint|meinen",
    lies_at=r"im|am|vom|zum|zur|beim|hinter|unter|auf|an|in|des|von|für|über|neben|ohne|mit|bei|gegen",
)

_FRENCH = Tongue(
    normal=r"norma(?:l|le)?ment|normal",
    open=r"ouverte?s?",
    closed=r"ferm[ée]e?s?",
    makes=r"(?:(?:contacts?|interrupteurs?|relais|poussoirs?|boutons?|éléments?|blocs?)(?: \w+){0,2} )?à fermeture|contacts? de travail",
    breaks=r"(?:(?:contacts?|interrupteurs?|relais|poussoirs?|boutons?|éléments?|blocs?)(?: \w+){0,2} )?à (?:ouverture|rupture)|contacts? de repos",
    device=(
        r"contacts?|contacteurs?|relais|interrupteurs?|boutons?|poussoirs?|coup de poing|arrêts? d.urgence|bornes?|bobines?|sorties?|capteurs?"
        r"|boucle|verrouillage|inverseurs?|p[ôo]les?|éléments?|optocoupleur|détecteurs?|sectionneurs?|commutateurs?"
    ),
    form=r"types?|versions?|variante|modèle|côté",
    other=(
        r"portes?|portières?|portails?|vannes?|électrovannes?|clapets?|couvercles?|capots?|trappes?|ateliers?|bureaux?|magasins?|fenêtres?|volets?"
        r"|labo\w*|boîtier|robinets?|piste"
    ),
    rest=(
        r"(?<!contact de )(?:au|en position de|à l.état de) repos|hors tension|non (?:alimenté|actionné|enfoncé|pressé|excité|appuyé)\w*"
        r"|désexcité\w*|désalimenté\w*|relâché\w*|personne|(?:bouton|tête|clé|pédale) (?:sorti|tiré|retiré|levé|libre|non)\w*"
        r"|sans (?:\w+ )?(?:courant|tension|alimentation|appuyer|appui|défaut|action|aimant|clé|choc)|(?:en l.|l.)?absence d(?:e |.)\w+"
        r"|(?:perte|coupure|disparition|manque) d(?:e |u |.)\w+|en (?:marche|roulage|fonctionnement|service)|à la livraison|d.usine|sous tension"
        r"|quand on (?:appuie|presse)|en (?:appuyant|pressant|enfonçant|tirant)|(?:voiture|véhicule|système) sain\w*|excité\w*"
        r"|à l.(?:appui|arrêt|action|enclenchement|état livré)|à la (?:pression|livraison|coupure)|par (?:appui|pression)"
        r"|pas (?:appuyé|alimenté|enfoncé|actionné|excité|pressé)\w*|non sollicité\w*|débranché\w*|(?:sans|aucun) défaut|hors énergie"
        r"|appuyer (?:ouvre|ferme|coupe)|l.appui (?:ouvre|ferme|coupe)|en fonctionnement"
        r"|(?:voiture|bobine|système|alimentation) (?:éteinte?|arrêtée?|coupée?)|au choc|sur défaut la bobine"
        r"|(?:bobine|relais) (?:\w+ )?(?:alimentée?|coupée?|excitée?|retombée?)|tombé\w*|retomb\w*|connecteur (?:débranché|branché)"
    ),
    when=r"quand|lorsqu\w*|tant qu\w*|dès qu\w*|jusqu\w*|sauf si|à moins|une fois",
    under=r"si|dès|seulement|sans|pendant|lors|en cas",
    event=(
        r"\w*appu\w*|enfonc\w*|press\w*|actionn\w*|bobine|aliment\w*|tension|courant|excit\w*|défaut\w*|pédale|choc|aimant|clé|pression|frapp\w*"
        r"|branch\w*|débranch\w*|sain\w*|roul\w*|relâch\w*|tir\w*|12 V|24 V|personne|marche|voiture"
    ),
    moves=r"s.ouvre|ouvre|se ferme|ferme|coupe|interrompt|conduit|isole",
    through=r"par|à|au|en|avec|sur|après|lors|pendant|sous",
    write=r"signifie\w*|veut dire|veulent dire|explique|définit|termes?|mots?|expressions?|abréviations?|glossaire|sens de",
    avoid=(
        r"(?:ne (?:pas|jamais)|n.)(?: \w+)? (?:écri\w+|utilis\w+|employ\w+|mett\w+|dire)|(?:n.écri\w+|n.utilis\w+|n.employ\w+) pas"
        r"|éviter?z?(?: (?:les|le) (?:mots?|termes?))?"
    ),
    asks=r"que|qu.est-ce|quelle?s?|qui|pourquoi|comment|est-ce|faut-il|est-il|doit-on",
    lies_at=r"dans|sur|sous|derrière|devant|près|avec|pour|chez|par|vers|à|au|aux|du|des|de|d['’]",
    letters=("NO", "NF"),
)

_ITALIAN = Tongue(
    normal=r"normal?mente|norm\.|normale",
    open=r"apert[oaie]",
    closed=r"chius[oaie]",
    makes=r"contatt[oi] di lavoro|contatt[oi] in chiusura",
    breaks=r"contatt[oi] (?:di|a) riposo(?! e)(?= *(?:[(,]|$|del|da|\d))|contatt[oi] in apertura",
    device=(
        r"contatt[oi]|rel[èée]'?|interruttor[ei]|pulsant[ei]|fung[oh]i?|finecorsa|micro(?:interruttore|switch)|contattor[ei]|teleruttore|morsett[oi]"
        r"|bobina|uscit[ae]|sensor[ei]|anello|selettore|sezionatore|scambio|polo|poli|optoisolatore|emergenza"
    ),
    form=r"tipo|versione|variante|modello|lato",
    other=(
        r"port[aei]|portin[ae]|portell[oaie]|porton[ei]|valvol[ae]|elettrovalvol[ae]|coperchi?o?|sportell[oi]|officin[ae]|negozi?o?|finestr[ae]"
        r"|ufficio|cancell[oi]|saracinesc\w+|box|pista|laboratorio|rubinetto|cofano|cassetto|scatola|paratia|circuito acqua"
    ),
    rest=(
        r"a riposo\b|(?:in )?(?:posizione|stato|condizione) di riposo|diseccitat[oaie]|rilasciat[oaie]"
        r"|(?:senza|non) (?:\w+ ){0,2}?(?:tensione|corrente|aliment\w+|premere|premut\w+|azionat\w+|premuto|guasti|guasto|eccitat\w+|attivat\w+|azionamento|magnete|chiave|urto|errori|inserit\w+)"
        r"|assenza di \w+|mancanza di \w+|(?:manca|cade|viene a mancare) (?:la |l.)?(?:tensione|aliment\w+|corrente)"
        r"|in (?:funzione|marcia|funzionamento|esercizio|moto)|eccitat[oa]|premut[oa]|premendo|tirando|azionando|spegnendo"
        r"|alla (?:consegna|pressione)|come (?:fornito|consegnato)|(?:vettura|auto|macchina|sistema) (?:san[oa]|accesa|attiv[oa]|in \w+)"
        r"|bobina (?:\w+ )?(?:alimentata|spenta|disalimentata)|disalimentat\w*|(?:vettura|auto|macchina|sistema|bobina|impianto) spent[ao]|sul banco"
        r"|nessuno|premere (?:apre|chiude|interrompe)|spina (?:inserita|staccata)|chiave (?:inserita|estratta)"
    ),
    when=r"quando|finch[ée]|fintanto|non appena|appena|a meno",
    under=r"se|fino a|salvo|solo|mentre|una volta|senza|in caso",
    event=(
        r"prem\w*|azion\w*|aliment\w*|tensione|corrente|bobina|eccit\w*|guast\w*|error\w*|pedale|urto|magnete|chiave|insert\w*|inserit\w*|stacc\w*"
        r"|tocca\w*|rilasci\w*|marcia|funzione|sana|12 V|24 V|attiv\w*|tira\w*"
    ),
    moves=r"apre|chiude|interrompe|conduce|stacca",
    through=r"con|al|alla|all|ad?|in|dopo|durante|su|per",
    write=r"significa\w*|vuol dire|spiega|definisce|termin[ei]|parol[ae]|la dicitura|espressione|abbreviazion[ei]|si intende",
    avoid=r"(?:non|mai)(?: \w+)? (?:scriv\w+|usa(?:re|te)|utilizzare|metter?e|inserire|dire)|evitare(?: (?:le|la|il|i) \w+)?",
    asks=r"cosa|che|chi|quale|quali|perch[ée]|come|è|sono|va|dobbiamo|si tratta",
    lies_at=r"nel|nella|nello|sul|sulla|dal|dalla|del|della|dello|dei|delle|di|al|alla|in|su|con|per|dietro|sotto|presso",
    letters=("NA", "NC"),
)

_SPANISH = Tongue(
    normal=r"normal?mente|normal|norm\.",
    open=r"abiert[oa]s?",
    closed=r"cerrad[oa]s?",
    makes=r"contactos? de (?:trabajo|cierre)",
    breaks=r"contactos? de (?:reposo(?! y)|apertura)",
    device=(
        r"contactos?|rel[ée]s?|interruptor(?:es)?|pulsador(?:es)?|bot[óo]n(?:es)?|setas?|contactor(?:es)?|bornes?|bobinas?|salidas?|sensor(?:es)?"
        r"|lazo|conmutador(?:es)?|polos?|parada|enclavamiento|microrruptor|microinterruptor|seccionador|optoacoplador|carreras?"
    ),
    form=r"tipo|versi[óo]n|modelo|lado",
    other=(
        r"puertas?|v[áa]lvulas?|electrov[áa]lvulas?|tapas?|trampillas?|compuertas?|ventanas?|taller(?:es)?|oficinas?|tiendas?|laboratorio|garajes?"
        r"|grifos?|cap[óo]|cajas?|cajones?|pista|biblioteca|persianas?"
    ),
    rest=(
        r"en (?:estado de |posici[óo]n de )?reposo"
        r"|(?:sin|no|mientras no se) (?:\w+ ){0,2}?(?:tensi[óo]n|corriente|alimenta\w+|puls\w+|accion\w+|aprieta|excita\w+|fall[ao]s?|energ[íi]\w+|activ\w+|im[áa]n|llave|golpe|toca\w*)"
        r"|des?-?energizad[oa]|desexcitad[oa]|desactivad[oa]|soltad[oa]|suelt[oa]|en (?:marcha|funcionamiento|servicio|operaci[óo]n)"
        r"|al (?:pulsar|accionar|apretar|energizar|presionar|soltar|tirar|girar|perder|faltar|excitar|golpear)\w*|pulsad[oa]|energizad[oa]"
        r"|de f[áa]brica|tal como (?:viene|se entrega)"
        r"|(?:coche|sistema|veh[íi]culo|bobina|alimentaci[óo]n) (?:apagad[oa]|cortad[oa]|sano|en \w+|activo|encendido)|nadie"
        r"|falta(?:r)? (?:de |la )?(?:tensi[óo]n|alimentaci[óo]n|corriente)|bobina (?:\w+ )?(?:apagada|muerta|alimentada|excitada)"
        r"|pulsar (?:abre|cierra|interrumpe)|(?:bobina|clavija|enchufe) (?:desconectad[oa]|sin conectar)|en el banco|ausencia de \w+"
        r"|llave (?:quitada|fuera|puesta)"
    ),
    when=r"cuando|mientras|hasta que|en cuanto|siempre que|a menos|tan pronto",
    under=r"si|hasta|salvo|s[óo]lo|sin|al|en caso|una vez",
    event=(
        r"puls\w*|puls[ae]|presion\w*|accion\w*|apriet\w*|aliment\w*|tensi[óo]n|corriente|bobina|excit\w*|energ\w*|fall\w*|error\w*|pedal|golpe\w*"
        r"|im[áa]n|llave|enchuf\w*|conect\w*|toca\w*|suelt\w*|marcha|sano|rueda|12 V|24 V|activ\w*"
    ),
    moves=r"abre|cierra|interrumpe|corta|conduce",
    through=r"al|con|en|tras|por|durante|después",
    write=r"significa\w*|quiere decir|explica|define|t[ée]rminos?|palabras?|expresi[óo]n|abreviaturas?",
    avoid=r"(?:no|nunca)(?: \w+)? (?:escrib\w+|us(?:ar|e|en)|utili[cz]\w+|pon(?:er|ga|gan)|decir)|evitar?(?: (?:las|la|el|los) \w+)?",
    asks=r"¿?(?:qu[ée]|qui[ée]n|cu[áa]l|por qu[ée]|c[óo]mo|es|son|debe|hay)",
    lies_at=r"en|de|del|al|por|para|con|sin|bajo|sobre|tras|detr[áa]s de|junto a",
    letters=("NA", "NC"),
)

_PORTUGUESE = Tongue(
    normal=r"normal?mente|normal|norm\.",
    open=r"abert[oa]s?",
    closed=r"fechad[oa]s?",
    makes=r"contatos? de trabalho|contactos? de trabalho",
    breaks=r"conta(?:c)?tos? de repouso",
    device=(
        r"conta(?:c)?tos?|rel[ée]s?|interruptor(?:es)?|bot(?:ão|ões)|botoeiras?|contator(?:es)?|bornes?|bobinas?|sa[íi]das?|sensor(?:es)?|laço|malha"
        r"|chaves?|polos?|cogumelo|intertravamento|microchave|curso"
    ),
    form=r"tipo|versão|modelo|lado",
    other=(
        r"portas?|portões|portão|v[áa]lvulas?|tampas?|oficinas?|lojas?|janelas?|laborat[óo]rio|garagem|torneira|caixas?|escrit[óo]rio|escotilha"
        r"|pista|biblioteca|gaveta"
    ),
    rest=(
        r"em repouso|em estado de repouso"
        r"|(?:sem|não|enquanto não) (?:\w+ ){0,2}?(?:tens[ãa]o|corrente|alimenta\w+|energi\w+|premi\w*|pression\w*|acion\w*|apert\w*|atuad\w*|falhas?|avarias?|ímã|chave|toca\w*)"
        r"|desenergizad[oa]|desligad[oa]|solt[oa]|em (?:marcha|funcionamento|operação|serviço|andamento)"
        r"|ao (?:premir|pressionar|apertar|acionar|energizar|carregar|soltar|puxar|bater|perder)\w*|premid[oa]|energizad[oa]|de fábrica"
        r"|como (?:fornecido|entregue)|(?:carro|veículo|sistema|alimentação) (?:desligado|cortada|são|saudável|em \w+|ligado|ativo)|ninguém"
        r"|falta de \w+|perda de \w+|bobina (?:\w+ )?alimentada|(?:botão|bobina|chave|plugue) (?:para fora|livre|fora|desconectad[oa])|na bancada"
        r"|ausência de \w+|premir (?:abre|fecha|interrompe)"
    ),
    when=r"quando|enquanto|até que|assim que|logo que|a menos",
    under=r"se|até|salvo|só|somente|sem|ao|em caso|desde que",
    event=(
        r"premi\w*|prem[ae]|pression\w*|acion\w*|apert\w*|aliment\w*|tens[ãa]o|corrente|bobina|energi\w*|falha\w*|avaria\w*|pedal|choque|batida|ímã"
        r"|chave|ligad\w*|carreg\w*|bat\w*|puxa\w*|toca\w*|solt\w*|marcha|12 V|24 V|ativ\w*|colis\w*"
    ),
    moves=r"abre|fecha|interrompe|corta|conduz",
    through=r"ao|com|em|após|por|durante|à",
    write=r"significa\w*|quer dizer|explica|define|termos?|palavras?|expressão|abreviaturas?",
    avoid=r"(?:não|nunca)(?: \w+)? (?:escrev\w+|us(?:ar|e|em)|utiliz\w+|pôr|colo\w+|dizer)|evitar?(?: (?:as|a|o|os) \w+)?",
    asks=r"o que|quem|qual|por ?que|como|é|são|deve",
    lies_at=r"em|no|na|nos|nas|do|da|dos|das|de|ao|à|por|para|com|sem|sob|sobre|atrás d[oa]",
    letters=("NA", "NF"),
)

_DUTCH = Tongue(
    normal=r"norma?al|normaliter|normaal gesproken|in normale toestand",
    open=r"open|geopende?",
    closed=r"gesloten|dicht",
    makes=r"maak-?contact(?:en)?|arbeidscontact(?:en)?",
    breaks=r"verbreek-?contact(?:en)?|rustcontact(?:en)?",
    device=(
        r"\w*contact(?:en)?|\w*relais|\w*schakelaar|\w*knop|noodstop\w*|klem(?:men)?|spoel|uitgang|sensor|lus|kring|magneetschakelaar|element"
        r"|vergrendeling"
    ),
    form=r"type|uitvoering|versie|zijde",
    other=r"\w*deur(?:en)?|\w*klep(?:pen)?|ventiel(?:en)?|\w*deksel|raam|werkplaats|kantoor|winkel|poort|luik|kraan|loods|kap|hek",
    rest=(
        r"in rust(?:stand|toestand|positie)?|spannings(?:loos|loze)\w*|stroomlo\w+"
        r"|zonder (?:\w+ )?\w*(?:spanning|stroom|voeding|bekrachtiging|bediening|sleutel|magneet|fout)\w*"
        r"|(?:on|niet )(?:bediend|bekrachtigd|ingedrukt|gedrukt|geactiveerd)\w*|afgevallen|valt af|losgelaten|in bedrijf|tijdens (?:het )?rijden"
        r"|bij (?:\w+ )?(?:indrukken|bediening|drukken|spanningsuitval|stroomuitval|\w*gezonde?|fout|crash|botsing)"
        r"|(?:knop|spoel|stekker|sleutel|pedaal|voeding) (?:is )?(?:uit|los|af|in|omhoog|eruit|erin|vrij)\b|foutvrij|niemand|zoals geleverd"
        r"|door (?:\w+ )*te drukken|gezonde? (?:auto|wagen|voertuig)|bekrachtigd|bij ingedrukte|drukken (?:opent|sluit|onderbreekt)"
    ),
    when=r"wanneer|zolang|totdat|zodra|indien|tenzij|terwijl",
    under=r"als|tot|alleen|pas|bij|zonder|tijdens",
    event=(
        r"\w*druk\w*|\w*gedrukt|bedien\w*|spoel|spanning\w*|stroom\w*|voeding|bekrachtig\w*|fout\w*|pedaal|klap|botsing|magneet|sleutel|stekker"
        r"|aanra\w*|los\w*|rijdt|gezond|12 V|24 V|actief|niemand"
    ),
    moves=r"opent|sluit|onderbreekt|geleidt|verbreekt",
    through=r"door|bij|met|na|in|op|tijdens",
    write=r"betekent|betekenen|verklaart|definieert|term|woord(?:en)?|begrip|afkorting\w*",
    avoid=(
        r"(?:niet|nooit|geen)(?= [„“\"‘']?§[^.]{0,30}\b(?:schrijven|gebruiken|invullen))|(?:schrijf|gebruik|zeg) (?:hier )?(?:niet|nooit|geen)"
        r"|vermijd(?: de woorden| woord(?:en)?)?"
    ),
    asks=r"wat|wie|welke?|waarom|hoe|is|zijn|moet",
    lies_at=r"in|op|van|bij|aan|achter|onder|over|met|zonder|voor|naast|tegen",
)

_POLISH = Tongue(
    normal=r"normalnie|norm\.|w stanie normalnym|zwykle",
    open=r"otwart[yae]|rozwart[yae]",
    closed=r"zamkni[ęe]t[yae]|zwart[yae]",
    makes=r"zwiern(?:y|ego|ym|ą|a|e|ych|ymi)",
    breaks=r"rozwiern(?:y|ego|ym|ą|a|e|ych|ymi)",
    device=(
        r"styk(?:i|u|iem|ów|ami|owy)?|zestyk\w*|przekaźnik\w*|wyłącznik\w*|łącznik\w*|przycisk\w*|stycznik\w*|zacisk\w*|cewk\w+|wyjści\w+|czujnik\w*"
        r"|obw[óo]d\w*|przełącznik\w*|krańc\w+|pętl\w+|grzybek"
    ),
    form=r"typ|wersja|stron\w+",
    other=(
        r"drzwi\w*|zaw[óo]r\w*|elektrozaw[óo]r\w*|klap\w+|pokryw\w+|ok(?:n|ien)\w+|warsztat\w*|biur\w+|sklep\w*|bram\w+|pudełk\w+|kran\w*|właz\w*"
        r"|hal\w+"
    ),
    rest=(
        r"w (?:stanie )?(?:spoczynk\w+|bezprądow\w+|beznapięciow\w+)|w spoczynku|nikt|wyłączon\w+ (?:zasilan\w+|\w+)|stanie spoczynk\w+"
        r"|w położeniu (?!krańcowym)\w+|bez (?:\w+ )?(?:napięci\w+|zasilani\w+|prądu|naciskania|naciśnięcia|magnesu|klucza|usterki|błędu)"
        r"|(?:nie|nie jest )(?:wciśnięt\w+|naciśnięt\w+|zasilan\w+|pobudzon\w+|uruchomion\w+)|niewciśnięt\w+|nienaciśnięt\w+|niezasilan\w+"
        r"|zwolnion\w+|podczas jazdy|w (?:czasie )?(?:pracy|jazdy|ruchu)|po (?:naciśnięciu|wciśnięciu|zaniku|utracie|zadziałaniu|podaniu|zwolnieniu)"
        r"|przy (?:naciśnięt\w+|wciśnięt\w+|zwolnion\w+|zasilan\w+|braku \w+|odłączon\w+|zaniku)"
        r"|(?:cewka|przycisk|wtyczka|kluczyk|pedał|zasilanie) (?:jest )?(?:odłączon\w+|woln\w+|wyjęt\w+|wyłączon\w+|zwolnion\w+)"
        r"|brak(?:u)? (?:napięcia|zasilania|usterki|błędu)|sprawny\w*|sprawn(?:ym|ego) (?:samochod\w+|bolid\w+|pojazd\w+)"
        r"|wciśnięci\w+ (?:otwiera|przerywa|rozwiera)|fabrycznie|na stole"
    ),
    when=r"gdy|kiedy|jeśli|jeżeli|dopóki|póki|dop[óo]ki nie|zanim",
    under=r"aż|po|przy|tylko|bez|podczas",
    event=(
        r"\w*ciśni\w*|nacisk\w*|naciśni\w*|cewk\w+|zasil\w*|napięci\w*|prąd\w*|pobudz\w*|usterk\w*|błęd\w*|pedał\w*|uderzen\w*|magnes\w*|klucz\w*"
        r"|wtyk\w*|wtyczk\w*|dotyk\w*|zwoln\w*|jedzie|sprawn\w*|12 V|24 V|nikt"
    ),
    moves=r"otwiera|zamyka|rozwiera|zwiera|przerywa|przewodzi",
    through=r"po|przy|pod|przez|podczas|od|w",
    write=r"oznacza\w*|znaczy|wyjaśnia|definiuje|termin|słow[oa]|pojęcie|określenie|skróty?",
    avoid=r"(?:nie|nigdy nie) (?:pis\w+|używa\w+|wpisywać|wpisuj\w*|stosować)|proszę nie \w+|unika\w+(?: \w+)?",
    asks=r"co|kto|który|która|dlaczego|jak|czy",
    lies_at=r"w|we|na|z|ze|od|do|dla|pod|nad|za|przy|przez|bez|obok",
)

_SCANDINAVIAN = Tongue(
    normal=r"normal(?:t|en)?|norm\.|i normalläge",
    open=r"öppe[nt]|öppna|åben|åpen|åbent|åpne",
    closed=r"slut(?:en|et|na)|stängd|stängt|lukket|lukkede|sluttet",
    makes=r"slutande(?: kontakt\w*)?|slut(?:te)?kontakt\w*|arbetskontakt\w*|arbeidskontakt\w*|sluttende(?: kontakt\w*)?",
    breaks=(
        r"brytande(?: kontakt\w*)?|bryt(?:e|ar)?kontakt\w*|vilokontakt\w*|hvilekontakt\w*|brydekontakt\w*|brytende(?: kontakt\w*)?"
        r"|brydende(?: kontakt\w*)?"
    ),
    device=(
        r"\w*kontakt(?:en|er|erna|block)?|\w*relä(?:et|er|n)?|\w*relækontakt|\w*relæ(?:et|er)?|\w*rel[ée](?:et)?|\w*brytare\w*|\w*bryter\w*"
        r"|\w*afbryder\w*|\w*knapp?(?:en)?|nödstopp\w*|nødstop\w*|nødstopp\w*|utgång\w*|udgang\w*|utgang\w*|plint\w*|spole\w*|givare\w*|slinga\w*"
        r"|krets\w*|klemme\w*|tröghets\w*"
    ),
    form=r"typ|type|utförande|utgave|sidan?",
    other=(
        r"\w*dörr(?:en|ar)?|\w*dør(?:en)?|\w*ventil(?:en|er)?|\w*luck(?:a|an|or)|lock(?:et)?|lokk(?:et)?|låg(?:et)?|fönst\w+|verkstad\w*|værksted\w*"
        r"|verksted\w*|kontor(?:et)?|butik\w*|port(?:en)?|grind\w*|kran(?:en)?|garage\w*"
    ),
    rest=(
        r"i (?:vila|vilo\w+|hvile\w*)|utan (?:\w+ )?(?:spänning|ström|matning|fel|magnet|nyckel|tryck)\w*"
        r"|uden (?:\w+ )?(?:spænding|strøm|forsyning|fejl)\w*|uten (?:\w+ )?(?:spenning|strøm|forsyning|feil)\w*|ström-?lös\w*|strømlø\w*"
        r"|spännings-?lös\w*|spændingslø\w*|spenningslø\w*|opåverkad\w*|otryckt|ej (?:intryckt|påverkad|nedtryckt|dragen|spänningssatt)"
        r"|inte (?:intryckt|påverkad|nedtryckt|matad|dragen)|ikke (?:trykket|påvirket|trykt|aktivert|aktiveret)\w*|(?:o|u)aktiver\w*|upåvirket"
        r"|avstängd\w*|frånslagen|i drift|under (?:drift|körning|kjøring|kørsel)"
        r"|(?:knappen|pedalen|nyckeln|handtaget|spolen) (?:uppe|ute|nere|orörd|släppt|i|av)|felfri\w*|fejlfri\w*|feilfri\w*|frisk bil"
        r"|i (?:en )?(?:frisk|felfri) \w+|släppt|släpper när|fälle[rn]"
        r"|vid (?:tryck\w*|nedtryckning|spänningsbortfall|strömbortfall|påverkan|krock|aktivering)|ved (?:tryk\w*|trykk\w*|aktivering|strømsvigt)"
        r"|vid leverans|som levererad|(?:ett )?tryck bryter"
    ),
    when=r"när|så länge|tills|så snart|innan|når|hvis|så lenge|så længe|indtil|inntil|medan|medans",
    under=r"då|om|til|bara|vid|ved|utan|under|uden|uten",
    event=(
        r"\w*tryck\w*|trykk?\w*|\w*påverka\w*|\w*påvirk\w*|spole\w*|spänning\w*|spænding\w*|spenning\w*|ström\w*|strøm\w*|mat\w*|fel|fejl|feil"
        r"|pedal\w*|krock\w*|magnet\w*|nyckel\w*|nøk\w*|kontakten sitter|släpp\w*|drag\w*|trækk\w*|frisk\w*|kör\w*|12 V|24 V|aktiv\w*|ingen"
    ),
    moves=r"öppnar|öppnas|sluter|sluts|bryter|bryts|leder|åbner|lukker|åpner|slutter|bryder",
    through=r"vid|genom|med|efter|under|av|ved|af|i",
    write=r"betyder|betyr|förklarar|definierar|ord(?:et|en)?|termen|begreppet|begrepet|uttryck\w*|udtryk\w*|förkortning\w*",
    avoid=r"(?:skriv|använd|bruk|brug|säg) (?:inte|aldrig|ikke|aldri)|undvik(?: \w+)?|unngå|undgå|(?:inte|ikke) skriv\w*",
    asks=r"vad|hvad|hva|vem|vilken|varför|hur|är|er|ska",
    lies_at=r"i|på|till|til|av|af|från|fra|för|for|med|under|bakom|bak|vid|ved|hos|utan",
)

TONGUES = (_ENGLISH, _GERMAN, _FRENCH, _ITALIAN, _SPANISH, _PORTUGUESE, _DUTCH, _POLISH, _SCANDINAVIAN)
