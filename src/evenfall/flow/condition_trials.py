"""What ground, speed asked and rider did, where all else the record knows stayed the same.

Films of one horse in one setup are laid in groups alike in rider, ground, slope, direction and speed asked. Two groups
that differ in one of the first, second or last are a trial of its card, in the direction the card gives. Only the words
that the form offers can be put in order: what is written in words of one's own is passed over.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import permutations
from statistics import fmean
from typing import NamedTuple

from evenfall.plan import TOO_PACE, TOO_TROT, Tried, named_card, out_of_band
from evenfall.progress import Pass

__all__ = ["UNCOUNTED", "condition_trials"]

PHASE = "lateral phase"

FIRM, SOFT = frozenset({"firm dirt", "gravel", "hard road"}), frozenset({"sand", "arena"})
SPEEDS: Mapping[str, int] = {"slow": 1, "easy": 2, "middle": 2, "fast": 3, "quick": 3}
"""A walk is another gait, and no slower speed of this one."""

UNCOUNTED: Mapping[str, str] = {
    "short_bouts": "Not counted: the record does not say how long a piece was ridden.",
    "gait_before_head": "Not counted: the record does not say what was asked first within a ride.",
    "large_circles": "Not counted: the record does not say what was ridden before the film on the straight.",
    "canter_between": "Not counted: the record does not say whether the horse cantered before the film.",
    "level_ground": "Not counted: what counts here is how alike the strides are, and the barn's count is of the phase.",
    "steady_speed": "Not counted: the record does not say how steady the speed was within a film.",
    "gently_uphill": "Not counted: the record says the slope of the film, not what was ridden before it.",
    "gently_downhill": "Not counted: the record says the slope of the film, not what was ridden before it.",
}
"""Cards of riding, ground and speed whose trial the record cannot tell, and why."""

Verdict = Callable[[Sequence[Pass], Sequence[Pass], Sequence[Pass]], str]


class _Ridden(NamedTuple):
    """How a film was ridden, as far as it is written down."""

    rider: str
    ground: str
    slope: str
    direction: str
    speed: str


def condition_trials(passes: Sequence[Pass], band: tuple[float, float], verdict: Verdict) -> Iterator[Tried]:
    """Return what was tried on one horse by ground, speed or rider, each with its verdict.

    Parameters
    ----------
    passes : sequence of Pass
        Of one horse.
    band : tuple of float
        Its goal band of the lateral phase.
    verdict : callable
        Of the films before, those after and all of the horse's.
    """
    groups: dict[int, dict[_Ridden, list[Pass]]] = defaultdict(lambda: defaultdict(list))
    for each in passes:
        if each.setup_id is not None and PHASE in each.values:
            groups[each.setup_id][_ridden(each)].append(each)
    for worn in groups.values():
        for before, after in permutations(worn, 2):
            key = _card_of(before, after)
            problem = _problem(worn[before], band)
            if key and problem in named_card(key).for_problem:
                told = [_unmatched(key, films) for films in (worn[before], worn[after], passes)]
                on_date = max(each.on_date for each in worn[after])
                yield Tried(key, passes[0].horse_id, problem, on_date, verdict(*told))  # type: ignore[arg-type]


def _ridden(of: Pass) -> _Ridden:
    words = (of.rider, of.ground, of.slope, of.direction, of.speed_asked)
    return _Ridden(*(each.strip().casefold() for each in words))


def _card_of(before: _Ridden, after: _Ridden) -> str:
    """The card that leads from one to the other; empty where more than one thing differs, or none that has a card."""
    differ = [name for name in _Ridden._fields if getattr(before, name) != getattr(after, name)]
    if len(differ) != 1:
        return ""
    was, now = getattr(before, differ[0]), getattr(after, differ[0])
    if differ == ["ground"]:
        return (
            "softer_ground"
            if was in FIRM and now in SOFT
            else "firm_ground"
            if was in SOFT and now in FIRM
            else ""
        )
    if differ == ["speed"] and was in SPEEDS and now in SPEEDS:
        by = SPEEDS[now] - SPEEDS[was]
        return "slower" if by < 0 else "little_faster" if by > 0 else ""
    return "quiet_seat" if differ == ["rider"] and was and now else ""


def _problem(films: Sequence[Pass], band: tuple[float, float]) -> str:
    """What the card would be tried for; empty where the horse is in its band."""
    start = fmean(each.values[PHASE].mean for each in films)
    if out_of_band(start, band) <= 0:
        return ""
    return TOO_TROT if start > band[1] else TOO_PACE


def _unmatched(key: str, films: Sequence[Pass]) -> Sequence[Pass]:
    """Films without their speeds where speed itself is tried: matched by speed, its doing would be taken out."""
    if key not in ("slower", "little_faster"):
        return films
    return [replace(each, speed_m_s=None, stride_rate_hz=None) for each in films]
