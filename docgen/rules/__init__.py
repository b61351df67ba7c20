"""The rules, one subject a file, in the order in which they are listed."""

from docgen.finding import Rule
from docgen.rules import (
    activation,
    common_mode,
    contacts,
    datasheets,
    demand,
    description,
    disconnects,
    failsafe,
    indicators,
    latches,
    members,
    numbers_insulation,
    numbers_plausibility,
    pedals,
    protection,
    signals,
    stages,
    switches,
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
    *switches.RULES,
    *disconnects.RULES,
    *indicators.RULES,
    *numbers_plausibility.RULES,
    *numbers_insulation.RULES,
    *pedals.RULES,
    *demand.RULES,
    *description.RULES,
    *datasheets.RULES,
    *signals.RULES,
)
