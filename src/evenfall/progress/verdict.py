"""From what is believed of a change to one of three verdicts.

* **real**: sure of the direction (98.5 %, so that the 95 % interval leaves out zero), and the change is more likely
  than not at least the smallest worthwhile one.
* **no worthwhile change**: nine tenths sure that the change, up or down, is smaller than that.
* **cannot tell yet**: neither.

The direction answers "was it real"; how sure it is to be worth having is told beside it. To ask for nine tenths there
too would never call a change of just the worthwhile size real, however many films. 98.5 % rather than 97.5 is for the
horse whose days spread more than the first guess: with nothing changed it too is told "real" no more than one time in
twenty (``docs/methods/real-or-noise.md`` has the table). Both are our choice.
"""

from typing import Literal

from evenfall.errors import WrongSetting
from evenfall.progress.mixture import Mixture
from evenfall.progress.passes import measure_named

__all__ = ["DIRECTION", "SURE", "Verdict", "judge", "verdict_of", "worthwhile_of"]

Verdict = Literal["real", "no worthwhile change", "cannot tell yet"]

LIKELY = 0.5
SURE = 0.9
DIRECTION = 0.985


def worthwhile_of(measure: str, asked: float | None) -> float:
    """Return the smallest worthwhile change: as asked, or the measure's own.

    Raises
    ------
    WrongSetting
        If it is not above zero.
    """
    size = measure_named(measure).worthwhile if asked is None else asked
    if size is None or not 0 < size < float("inf"):
        raise WrongSetting(
            f"expected a smallest worthwhile change above 0 for {measure}, found {size}. Give it as a plain number."
        )
    return size


def verdict_of(change: Mixture, worthwhile: float) -> Verdict:
    """Judge what is believed of a change."""
    down = change.below(0.0)
    return judge(clear=max(down, 1 - down) >= DIRECTION, p_worthwhile=change.beyond(worthwhile))


def judge(*, clear: bool, p_worthwhile: float) -> Verdict:
    """Judge by whether the direction is sure and how likely the change is worthwhile."""
    if clear and p_worthwhile >= LIKELY:
        return "real"
    return "no worthwhile change" if 1 - p_worthwhile >= SURE else "cannot tell yet"
