"""Was a change real, what has answered, which end moved: each held against the horse's own noise."""

from evenfall.progress.comparing import Comparison, compare, data_of
from evenfall.progress.matching import Slope, slope_of
from evenfall.progress.noise import Noise, default_noise, learn_noise
from evenfall.progress.passes import MEASURES, Measure, Pass, Value
from evenfall.progress.settling import set_apart

__all__ = [
    "MEASURES",
    "Comparison",
    "Measure",
    "Noise",
    "Pass",
    "Slope",
    "Value",
    "compare",
    "data_of",
    "default_noise",
    "learn_noise",
    "set_apart",
    "slope_of",
]
