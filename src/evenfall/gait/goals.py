"""What the horse is asked for: goal gaits from ``data/goals.toml``, each editable."""

import tomllib
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cache
from importlib.resources import files

from evenfall.errors import WrongSetting

__all__ = ["DEFAULT_GOAL", "Goal", "goals", "named_goal"]

DEFAULT_GOAL = "even"


@dataclass(frozen=True)
class Goal:
    """A goal gait.

    Parameters
    ----------
    name : str
    middle_pct : float
        Lateral phase asked for, % of the stride.
    band_pct : tuple of float
        Lowest and highest lateral phase that still counts.
    given_by : str
        Where the numbers come from; "our choice" where no source gives them.
    """

    name: str
    middle_pct: float
    band_pct: tuple[float, float]
    given_by: str

    def __post_init__(self) -> None:
        low, high = self.band_pct
        if not (-12.5 <= low < high <= 87.5 and low <= self.middle_pct <= high):
            raise WrongSetting(
                f"a goal band needs a lower and a higher lateral phase between -12.5 and 87.5 with its middle inside, "
                f"not {low:g} to {high:g} around {self.middle_pct:g}"
            )

    def with_band(self, low: float, high: float) -> "Goal":
        """Return the goal with a band of one's own, and its middle."""
        return replace(self, band_pct=(low, high), middle_pct=(low + high) / 2, given_by="set by the user")


@cache
def goals() -> dict[str, Goal]:
    """All goals of the data file by name."""
    table = tomllib.loads((files("evenfall.gait") / "data" / "goals.toml").read_text(encoding="utf-8"))
    return {
        row["name"]: Goal(
            row["name"], row["middle_pct"], (row["band_pct"][0], row["band_pct"][1]), row["from"]
        )
        for row in table["goal"]
    }


def named_goal(name: str) -> Goal:
    """Return a goal by its name, however its letters are cased; ``tolt`` finds ``tölt``.

    Raises
    ------
    WrongSetting
        If there is no such goal; the message lists them.
    """
    wanted = _plain(name)
    known = {_plain(goal): goal for goal in goals()}
    if wanted in known:
        return goals()[known[wanted]]
    close = get_close_matches(wanted, known, n=1)
    hint = f" Is {known[close[0]]!r} meant?" if close else ""
    raise WrongSetting(f"there is no goal {name!r}; choose one of: {', '.join(goals())}.{hint}")


def _plain(name: str) -> str:
    """Without case, spaces, hyphens and umlauts."""
    letters = name.lower().replace("ö", "o").replace("oe", "o")
    return "".join(letter for letter in letters if letter.isalnum())
