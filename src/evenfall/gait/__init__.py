"""From strides to the gait: timing with its uncertainty, zone, names, and the way to the goal."""

from evenfall.gait.cautions import Caution, about_contacts, about_gait, about_speed, clock_doubtful
from evenfall.gait.estimate import Estimate, Quantity, Unknown
from evenfall.gait.found import about_found
from evenfall.gait.gait import Gait, read_gait, withheld
from evenfall.gait.goals import DEFAULT_GOAL, Goal, goals, named_goal
from evenfall.gait.names import FittingName, TradeName, trade_names
from evenfall.gait.runs import RunSettings, split_runs
from evenfall.gait.shift import Shift
from evenfall.gait.timing import Timing, measure
from evenfall.gait.zones import ZONES, Placing, place

__all__ = [
    "DEFAULT_GOAL",
    "ZONES",
    "Caution",
    "Estimate",
    "FittingName",
    "Gait",
    "Goal",
    "Placing",
    "Quantity",
    "RunSettings",
    "Shift",
    "Timing",
    "TradeName",
    "Unknown",
    "about_contacts",
    "about_found",
    "about_gait",
    "about_speed",
    "clock_doubtful",
    "goals",
    "measure",
    "named_goal",
    "place",
    "read_gait",
    "split_runs",
    "trade_names",
    "withheld",
]
