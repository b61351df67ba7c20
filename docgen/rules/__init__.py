"""The rules, one subject a file, in the order in which they are listed."""

from docgen.finding import Rule
from docgen.rules import contacts, demand, description, failsafe, latches, members, stages

CATALOGUE: tuple[Rule, ...] = (
    *contacts.RULES,
    *members.RULES,
    *stages.RULES,
    *latches.RULES,
    *failsafe.RULES,
    *demand.RULES,
    *description.RULES,
)
