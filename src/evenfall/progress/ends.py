"""Which end moved: the fronts or the hinds? A hint.

Landings alone cannot tell: "fronts sooner" and "hinds later" are one and the same. Lift-offs help. Of the four
events, fronts' and hinds' landings and lift-offs, the likeliest story is that the end moved whose landing moved
against the other three. Such an end swings longer or shorter; the other keeps its swing ::

    fronts' part = swing of the fronts, after less before       (longer: they land later, toward trot)
    hinds' part  = − swing of the hinds, after less before      (shorter: they land sooner, toward trot)

Swing is used rather than stance since stance follows speed: from 9 to 17 m/s fore stance fell from 131 to 77 ms,
swing from 364 to 342 (Witte 2006, abstract). Both parts are compared at matched speed and against the horse's own
noise, as everything else.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from evenfall.errors import TooLittleEvidence
from evenfall.progress.comparing import Comparison, compare
from evenfall.progress.passes import Pass
from evenfall.progress.speeds import like_speed

__all__ = ["End", "EndMoved", "which_end"]

End = Literal["fronts", "hinds", "both", "cannot tell"]


@dataclass(frozen=True)
class EndMoved:
    """Which end moved, as a hint.

    Parameters
    ----------
    end : 'fronts', 'hinds', 'both' or 'cannot tell'
    fronts_ms, hinds_ms : tuple of float or None
        Each end's part in the move, with its 95 % interval: (part, low, high), positive toward trot. None when
        stance and swing were not measured on both sides.
    more_ms : tuple of float or None
        The fronts' part less the hinds', taken in the direction the beat moved, with its 95 % interval.
    phase : Comparison or None
        Of the lateral phase.
    height : Comparison or None
        Of the hoof height, where it was measured on both sides.
    words : str
    """

    end: End
    fronts_ms: tuple[float, float, float] | None
    hinds_ms: tuple[float, float, float] | None
    more_ms: tuple[float, float, float] | None
    phase: Comparison | None
    height: Comparison | None
    words: str


def which_end(before: Sequence[Pass], after: Sequence[Pass], *, history: Sequence[Pass] = ()) -> EndMoved:
    """Say which end moved between two sets of passes of one horse, if that can be told.

    Parameters
    ----------
    before, after : sequence of Pass
    history : sequence of Pass
        Its other passes.

    Raises
    ------
    WrongSetting
        If the passes are of several horses, or one film is on both sides.
    """
    phase, fore, hind, height = (
        _compared(before, after, measure, history)
        for measure in ("lateral phase", "fore swing", "hind swing", "hoof height")
    )
    if fore is None or hind is None or phase is None:
        why = "Lift-offs were not measured on both sides, and landings alone cannot tell which end moved."
        return EndMoved("cannot tell", None, None, None, phase, height, why)
    fronts = _milliseconds(fore, 1)
    hinds = _milliseconds(hind, -1)
    more = _less(fronts, hinds, 1 if phase.difference >= 0 else -1)
    end = _end(phase, fronts, hinds, more)
    return EndMoved(end, fronts, hinds, more, phase, height, _say(end, fronts, hinds, height))


def _compared(
    before: Sequence[Pass], after: Sequence[Pass], measure: str, history: Sequence[Pass]
) -> Comparison | None:
    try:
        return compare(before, after, measure, history=history)
    except TooLittleEvidence:
        return None


def _milliseconds(of: Comparison, sign: int) -> tuple[float, float, float]:
    low, high = sorted((1000 * sign * of.low, 1000 * sign * of.high))
    return 1000 * sign * of.difference, low, high


def _less(
    ours: tuple[float, float, float], theirs: tuple[float, float, float], sign: int
) -> tuple[float, float, float]:
    """Ours less theirs; half widths are added plainly, since both are of the same films and may err together."""
    half = (ours[2] - ours[1] + theirs[2] - theirs[1]) / 2
    middle = sign * (ours[0] - theirs[0])
    return middle, middle - half, middle + half


def _end(
    phase: Comparison,
    fronts: tuple[float, float, float],
    hinds: tuple[float, float, float],
    more: tuple[float, float, float],
) -> End:
    """The beat must have moved, and an end moved with it; one alone only when it surely moved more."""
    if phase.low <= 0 <= phase.high:
        return "cannot tell"
    up = phase.difference > 0
    fore, hind = (part[1] > 0 if up else part[2] < 0 for part in (fronts, hinds))
    if fore and hind:
        return "both"
    if fore and more[1] > 0:
        return "fronts"
    return "hinds" if hind and more[2] < 0 else "cannot tell"


def _say(
    end: End,
    fronts: tuple[float, float, float],
    hinds: tuple[float, float, float],
    height: Comparison | None,
) -> str:
    parts = f"{_part('fronts', fronts)}; {_part('hinds', hinds)}"
    lift = "" if height is None else f" {_lift(height)}"
    told = {
        "fronts": "A hint that the fronts changed",
        "hinds": "A hint that the hinds changed",
        "both": "A hint that both ends changed",
        "cannot tell": "Which end moved can't be told",
    }[end]
    return f"{told}: {parts}.{lift}"


def _lift(height: Comparison) -> str:
    """The hoof's height, and what speed alone would do as much: unmatched speed can fake or hide it."""
    said = f"Hoof height: {1000 * height.difference:+.0f} mm".replace("-", "−")
    alike = f"{abs(like_speed(height.difference)):.2f} m/s of speed"
    if height.matched_by == "speed":
        return f"{said} at matched speed; in tölt {alike} alone did as much (Rumpler 2010, abstract and arithmetic)."
    return f"{said}, not matched by speed: in tölt {alike} alone did as much (Rumpler 2010, abstract and arithmetic)."


def _part(name: str, part: tuple[float, float, float]) -> str:
    """The fronts land later when their part is up; the hinds sooner."""
    later = (part[0] > 0) == (name == "fronts")
    low, high = (f"{value:.0f}".replace("-", "−") for value in part[1:])
    return f"{name} {abs(part[0]):.0f} ms {'later' if later else 'sooner'} by their swing (toward trot {low} to {high})"
