"""The rules, one subject a file, in the order in which they are listed."""

from docgen.finding import Rule
from docgen.rules import activation, contacts, demand, description, failsafe, latches, members, protection, stages

CATALOGUE: tuple[Rule, ...] = (
    *contacts.RULES,
    *members.RULES,
    *activation.RULES,
    *protection.RULES,
    *stages.RULES,
    *latches.RULES,
    *failsafe.RULES,
    *demand.RULES,
    *description.RULES,
)
