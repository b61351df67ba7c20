"""The active light: the voltage at which its red must show at the latest."""

from docgen.calc.formula import bounded, formula


@formula("U = min(U_lim, s·U_nom)", "V", "the lower of two limits", rises_with=("limit", "share", "nominal"))
def latest_threshold(*, limit: float, share: float, nominal: float) -> float:
    """The lower of a `limit` in V and a `share` of the `nominal` voltage in V.

    Hand calculation, half of 86.4 V:

    >>> latest_threshold(limit=60, share=0.5, nominal=86.4)
    43.2
    """
    bounded("limit", limit, above=0)
    bounded("share", share, above=0)
    bounded("nominal", nominal, above=0)
    return min(limit, share * nominal)
