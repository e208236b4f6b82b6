"""Drawn films of a horse whose footfalls are known, for the demo, the tests and the benchmarks.

Start with a gait (`symmetrical`, `canter`, or one of `EXAMPLE_GAITS`), choose how the film looks
(`Scene`) and draw it (`draw_film`).
"""

from evenfall.synth.coats import COATS
from evenfall.synth.film import draw_film, true_contacts
from evenfall.synth.gaits import EXAMPLE_GAITS, GaitTiming, Segment, canter, symmetrical
from evenfall.synth.scene import Scene
from evenfall.synth.steps import made_contacts

__all__ = [
    "COATS",
    "EXAMPLE_GAITS",
    "GaitTiming",
    "Scene",
    "Segment",
    "canter",
    "draw_film",
    "made_contacts",
    "symmetrical",
    "true_contacts",
]
