"""The trade's names that fit a measured gait, from ``data/names.toml``: the number first, the word second."""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from evenfall.gait.estimate import Estimate, Unknown, probability_between
from evenfall.gait.timing import Timing
from evenfall.gait.zones import Placing

__all__ = ["FittingName", "TradeName", "fitting_names", "trade_names"]

LEAST_FIT = 0.2
"""A name is offered if its phase range holds the true mean with at least this probability (our choice)."""


@dataclass(frozen=True)
class TradeName:
    """A name of the trade with what it stands for; fields as in the data file."""

    name: str
    breed: str
    definition: str
    source: str
    seen: str
    phase_pct: tuple[float, float]
    range_from: str
    by_duty: str | None = None
    stride_s: tuple[float, float] | None = None


@dataclass(frozen=True)
class FittingName:
    """A name that fits, with the probability that the lateral phase lies in its range."""

    entry: TradeName
    probability: float


@cache
def trade_names() -> tuple[TradeName, ...]:
    """All names of the data file, in its order."""
    table = tomllib.loads((files("evenfall.gait") / "data" / "names.toml").read_text(encoding="utf-8"))
    return tuple(_entry(row) for row in table["name"])


def fitting_names(timing: Timing, placing: Placing) -> tuple[FittingName, ...]:
    """Names that fit the timing, likeliest first.

    Parameters
    ----------
    timing : Timing
    placing : Placing

    Returns
    -------
    tuple of FittingName
        Empty where the evidence names no zone, or no name of the data file fits.
    """
    if placing.lead:
        return (FittingName(_asymmetrical(placing), placing.chances[0][1]),)
    phase = timing.lateral_phase_pct["both"]
    if isinstance(phase, Unknown):
        return ()
    fits = [
        FittingName(entry, _fit(phase, entry.phase_pct))
        for entry in trade_names()
        if _allowed(entry, timing, placing)
    ]
    return tuple(
        sorted((f for f in fits if f.probability >= LEAST_FIT), key=lambda f: -round(f.probability, 2))
    )


def _entry(row: dict[str, object]) -> TradeName:
    known = {
        key: tuple(value) if isinstance(value, Sequence) and not isinstance(value, str) else value
        for key, value in row.items()
    }
    return TradeName(**known)  # type: ignore[arg-type]  # the data file is checked field by field in the tests


def _allowed(entry: TradeName, timing: Timing, placing: Placing) -> bool:
    """Whether duty and stride time leave the name open; what is not known rules nothing out."""
    walks = placing.walking_or_running
    if entry.by_duty and walks not in ("unknown", entry.by_duty) and not _between_walk_and_run(placing):
        return False
    stride = timing.stride_s
    if entry.stride_s and isinstance(stride, Estimate):
        return entry.stride_s[0] <= stride.mean <= entry.stride_s[1]
    return True


def _between_walk_and_run(placing: Placing) -> bool:
    return placing.walking_chance is not None and 0.05 < placing.walking_chance < 0.95


def _fit(phase: Estimate, phase_pct: tuple[float, float]) -> float:
    return sum(
        probability_between(phase, phase_pct[0] + turn, phase_pct[1] + turn) for turn in (-100.0, 0.0, 100.0)
    )


def _asymmetrical(placing: Placing) -> TradeName:
    lead = f", {placing.lead} lead" if placing.lead in ("left", "right") else ", disunited"
    return TradeName(
        name=f"{placing.zone}{lead}",
        breed="any",
        definition="one foot of each pair leads: three beats in the canter, four in the gallop",
        source="common practice, no source",
        seen="common practice",
        phase_pct=(0.0, 100.0),
        range_from="the pairs land unevenly, by more than 10 % of a stride (Schmitt et al. 2006)",
    )
