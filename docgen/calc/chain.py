"""Times one after the other, from a demand until the tractive system is below its limit."""

from docgen.calc.formula import bounded, formula

_SUM = "times one after the other"


@formula("t_o = t_d + t_r", "s", _SUM, rises_with=("delay", "release"))
def opening_time(*, delay: float, release: float) -> float:
    """Time in s from the opening of the loop to the open contact: `delay` of the coil supply, then `release` of the contact, in s.

    Hand calculation:

    >>> opening_time(delay=0.1875, release=0.015625)
    0.203125
    """
    bounded("delay", delay, least=0)
    bounded("release", release, least=0)
    return delay + release


@formula("t = t_o + t_f", "s", _SUM, rises_with=("opening", "fall"))
def time_after_opening(*, opening: float, fall: float) -> float:
    """Time in s from the opening of the loop to the limit: `opening` of the contacts, then `fall` of the voltage, in s.

    Hand calculation:

    >>> time_after_opening(opening=0.015625, fall=2.5)
    2.515625
    """
    bounded("opening", opening, least=0)
    bounded("fall", fall, least=0)
    return opening + fall


@formula("t = t_n + t_s + t_o + t_f", "s", _SUM, rises_with=("detection", "stage", "opening", "fall"))
def time_after_demand(*, detection: float, stage: float, opening: float, fall: float) -> float:
    """Time in s from a demand to the limit: `detection`, release of the `stage`, `opening` of the contacts, `fall` of the voltage, in s.

    Hand calculation:

    >>> time_after_demand(detection=0.5, stage=0.125, opening=0.015625, fall=2.5)
    3.140625
    """
    bounded("detection", detection, least=0)
    bounded("stage", stage, least=0)
    return detection + stage + time_after_opening(opening=opening, fall=fall)
