"""The rules, one subject a file, in the order in which they are listed."""

from docgen.finding import Rule
from docgen.rules import (
    activation,
    common_mode,
    contacts,
    datasheets,
    demand,
    description,
    failsafe,
    latches,
    members,
    pedals,
    protection,
    signals,
    stages,
)

CATALOGUE: tuple[Rule, ...] = (
    *contacts.RULES,
    *members.RULES,
    *activation.RULES,
    *protection.RULES,
    *stages.RULES,
    *latches.RULES,
    *failsafe.RULES,
    *common_mode.RULES,
    *pedals.RULES,
    *demand.RULES,
    *description.RULES,
    *datasheets.RULES,
    *signals.RULES,
)
