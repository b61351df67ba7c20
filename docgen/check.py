"""Every rule over one description: the results, in file order."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from docgen.editions import Edition
from docgen.editions.topics import TOPICS
from docgen.finding import Outcome, Result, Rule, Severity, Verdict, finding, not_applicable, not_evaluated
from docgen.load import Description
from docgen.look import Look
from docgen.provenance import Known
from docgen.rules import CATALOGUE


@dataclass(frozen=True)
class Report:
    """What the rules said about a description under an edition."""

    description: Description
    edition: Edition
    results: tuple[Result, ...]

    @property
    def findings(self) -> tuple[Result, ...]:
        return tuple(result for result in self.results if result.is_finding)

    @property
    def errors(self) -> tuple[Result, ...]:
        return tuple(result for result in self.findings if result.severity is Severity.ERROR)

    @property
    def warnings(self) -> tuple[Result, ...]:
        return tuple(result for result in self.findings if result.severity is Severity.WARNING)

    @property
    def not_evaluated(self) -> tuple[Result, ...]:
        return tuple(result for result in self.results if result.outcome.verdict is Verdict.NOT_EVALUATED)

    @property
    def failed_rules(self) -> tuple[Result, ...]:
        """Rules that stopped on this description; they make the run fail."""
        return tuple(result for result in self.results if result.outcome.was.startswith(_STOPPED))

    @property
    def unread_topics(self) -> tuple[str, ...]:
        """What the edition asks for and no rule looks at."""
        looked_at = {result.rule.topic for result in self.results}
        return tuple(slug for slug in TOPICS if slug not in looked_at and self.edition.topic(slug).known not in (Known.ABSENT, Known.UNREAD))

    def counts(self) -> dict[Verdict, int]:
        counted = Counter(result.outcome.verdict for result in self.results)
        return {verdict: counted[verdict] for verdict in Verdict}


_STOPPED = "the rule itself stopped"


def check(description: Description, edition: Edition, catalogue: tuple[Rule, ...] = CATALOGUE) -> Report:
    """Judge a description; a rule that raises becomes a finding that names it, and the others still report."""
    look = Look(description, edition)
    results = [result for rule in catalogue for result in _results(rule, look)]
    results.sort(key=lambda result: (result.location, result.rule.slug))
    return Report(description, edition, tuple(results))


def _results(rule: Rule, look: Look) -> Iterator[Result]:
    known = Known(look.edition.topic(rule.topic).known) if rule.topic else Known.READ
    citation = look.edition.citation(rule.topic) if rule.topic else None
    for outcome in _outcomes(rule, look, known):
        severity = _severity(rule, known, outcome)
        yield Result(rule, outcome, look.description.location(outcome.path), severity, citation)


def _outcomes(rule: Rule, look: Look, known: Known) -> tuple[Outcome, ...]:
    if known is Known.UNREAD and not rule.never_quiet:
        return (not_evaluated((), f"the clause on “{TOPICS[rule.topic].about}” in {look.edition.name} was not read by us"),)
    if known is Known.ABSENT and not rule.never_quiet:
        return (not_applicable(f"{look.edition.name} is known to have no clause on “{TOPICS[rule.topic].about}”"),)
    try:
        return tuple(rule.judge(look))
    except Exception as error:
        return (finding((), f"{_STOPPED} on this description ({type(error).__name__}: {error})"[:300], "must be reported to the makers of docgen"),)


def _severity(rule: Rule, known: Known, outcome: Outcome) -> Severity | None:
    if outcome.verdict is not Verdict.FINDING:
        return None
    if outcome.was.startswith(_STOPPED):
        return Severity.ERROR
    return rule.severity if known is Known.READ else Severity.WARNING


def practice(result: Result) -> bool:
    """Whether a finding rests on common practice alone, without a clause that was read."""
    return (bool(result.rule.topic) and (result.citation is None or result.citation.known in (Known.ABSENT, Known.UNREAD))) or (
        not result.rule.topic and result.rule.severity is Severity.WARNING
    )


def clause(result: Result) -> str:
    """The clause behind a result as it is printed."""
    if result.citation and result.citation.known is not Known.UNREAD:
        return result.citation.clause if result.citation.known is Known.READ else f"{result.citation.clause} ({result.citation.known}: look it up)"
    return "common practice" if practice(result) else "the description itself"
