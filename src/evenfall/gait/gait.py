"""The gait of one run of strides: its timing, zone, names, distance from the goal."""

from dataclasses import dataclass, replace

from evenfall.gait.estimate import Quantity, Unknown
from evenfall.gait.goals import Goal
from evenfall.gait.names import FittingName, fitting_names
from evenfall.gait.shift import Shift, share_in_band, shift_to
from evenfall.gait.timing import Timing, measure
from evenfall.gait.zones import Placing, place
from evenfall.strides import Strides

__all__ = ["Gait", "read_gait", "withheld"]


@dataclass(frozen=True)
class Gait:
    """What one run of strides is, and how far from what was asked for.

    Parameters
    ----------
    strides : Strides
    timing : Timing
    placing : Placing
    names : tuple of FittingName
    goal : Goal
    share_in_band : Quantity
        Share of strides in the goal band, 0 to 1.
    shift : Shift
    """

    strides: Strides
    timing: Timing
    placing: Placing
    names: tuple[FittingName, ...]
    goal: Goal
    share_in_band: Quantity
    shift: Shift

    @property
    def order_doubtful(self) -> bool:
        """Whether the feet land in an order no horse uses, as when left and right are taken for each other."""
        return (self.placing.zone or "").startswith("diagonal sequence")


def read_gait(strides: Strides, goal: Goal) -> Gait:
    """Read the gait of one run of strides.

    Parameters
    ----------
    strides : Strides
        Of one gait; `evenfall.gait.split_runs` splits a clip that mixes several.
    goal : Goal

    Returns
    -------
    Gait
    """
    timing = measure(strides)
    placing = place(timing)
    gait = Gait(
        strides=strides,
        timing=timing,
        placing=placing,
        names=fitting_names(timing, placing),
        goal=goal,
        share_in_band=share_in_band(goal, strides),
        shift=shift_to(goal, strides, timing),
    )
    if placing.lead:
        return _with_a_lead(gait)
    if gait.order_doubtful:
        return replace(
            gait,
            shift=Shift.unknown("the order of the feet is not one a horse uses; check left and right first"),
        )
    return gait


def _with_a_lead(gait: Gait) -> Gait:
    """Take back what has no meaning in a canter or gallop: a band of lateral phase, and left against right."""
    lead = Unknown("the gait has a lead")
    return replace(
        gait,
        timing=replace(gait.timing, left_right_pct=dict.fromkeys(gait.timing.left_right_pct, lead)),
        share_in_band=lead,
        shift=Shift.unknown("the gait has a lead; a shift of all fronts or all hinds has no meaning in it"),
    )


def withheld(gait: Gait, reason: str) -> Gait:
    """Return the gait with its numbers and no verdict on them: too little was measured to give one."""
    return replace(
        gait,
        placing=Placing.unknown(reason),
        names=(),
        share_in_band=Unknown(reason),
        shift=Shift.unknown(reason),
    )
