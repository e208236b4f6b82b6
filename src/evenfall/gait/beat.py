"""The beat of a gait: where in one stride each foot lands, measured, even, or as the goal asks for.

Conventions: places are % of the stride after the left hind's landing, or after the right hind's where the left was not
marked. They may lie below 0 or above 100: whoever draws or plays them goes round the circle.
"""

from collections.abc import Mapping

from evenfall.contacts import Limb
from evenfall.gait.estimate import Estimate
from evenfall.gait.gait import Gait

__all__ = ["EVEN_PCT", "asked_places", "landing_places"]

EVEN_PCT = 25.0


def landing_places(gait: Gait) -> dict[Limb, float]:
    """Return where each foot lands on average; a foot that was not marked is left out."""
    timing = gait.timing
    places: dict[Limb, float] = {}
    pair = timing.hind_pair_pct
    if gait.strides.of(Limb.LH):
        places[Limb.LH] = 0.0
    if isinstance(pair, Estimate):
        places[Limb.RH] = pair.mean
    elif gait.strides.of(Limb.RH) and not places:
        places[Limb.RH] = 0.0
    phases = timing.lateral_phase_pct
    for hind, phase in ((Limb.LH, phases["left"]), (Limb.RH, phases["right"])):
        if hind in places and isinstance(phase, Estimate):
            places[hind.same_side] = places[hind] + phase.mean
    return places


def asked_places(lateral_pct: float) -> Mapping[Limb, float]:
    """Return where the feet land in a symmetrical gait of a given lateral phase.

    Examples
    --------
    >>> [asked_places(25)[limb] for limb in (Limb.LH, Limb.LF, Limb.RH, Limb.RF)]
    [0.0, 25, 50.0, 75.0]
    """
    return {Limb.LH: 0.0, Limb.LF: lateral_pct, Limb.RH: 50.0, Limb.RF: lateral_pct + 50.0}
