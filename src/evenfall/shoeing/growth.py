"""How much toe has grown since the horse was shod: time alone changes toe length and angle."""

from evenfall.shoeing.checks import number_within
from evenfall.units import say_length

__all__ = ["RENEWAL_MONTHS", "TOE_M", "say_growth", "toe_growth"]

RENEWAL_MONTHS = (11, 13)
"""In which the toe's horn renews itself (Lungwitz & Adams 1913)."""

TOE_M = 0.089
"""Mean toe of 133 Icelandic competition horses (as reported of a study of 2020)."""

MONTH_DAYS = 365.25 / 12


def toe_growth(days: float, *, toe_m: float = TOE_M) -> tuple[float, float]:
    """Least and most growth of the toe in so many days, metres; what wears off is not taken away.

    Raises
    ------
    ShoeError
        If the days or the toe cannot be.

    Examples
    --------
    >>> [round(edge * 1000, 1) for edge in toe_growth(42)]
    [9.4, 11.2]
    """
    number_within("days since shoeing", days, 0, 3660)
    number_within("toe length in m", toe_m, 0.03, 0.2)
    quickest, slowest = RENEWAL_MONTHS
    months = days / MONTH_DAYS
    return toe_m * months / slowest, toe_m * months / quickest


def say_growth(days: float, units: str = "metric", *, toe_m: float = TOE_M) -> str:
    """Say it, such as under a graph."""
    low, high = (_near(edge, units) for edge in toe_growth(days, toe_m=toe_m))
    span = (
        say_length(high, units) if low == high else f"{say_length(low, units)} to {say_length(high, units)}"
    )
    since = f"{days:.0f} day{'' if round(days) == 1 else 's'} since shoeing"
    if high == 0:
        return f"{since}: too few for the toe to have grown to speak of"
    return f"{since}: the toe has grown about {span}, less what has worn off"


def _near(edge_m: float, units: str) -> float:
    """Round to what can be seen on a foot: a millimetre, a sixteenth of an inch."""
    grain = 0.0254 / 16 if units == "imperial" else 0.001
    return round(edge_m / grain) * grain
