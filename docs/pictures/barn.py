"""The made-up horse of the pictures: five weeks in which one thing was changed, in films small enough to wait for."""

from dataclasses import replace
from datetime import date
from pathlib import Path

from evenfall.demo import DemoHorse, fill_barn
from evenfall.demo.chance import outings_of
from evenfall.demo.shoes import Hoof, bar, shod, toe_plate
from evenfall.demo.story import Goes, History, Worn
from evenfall.store.records import HorseFields
from evenfall.synth import Scene, draw_film, symmetrical

__all__ = ["CHANGED_DAYS", "CLOVER", "FIRST_DAYS", "draw_first", "fill"]

FIRST_DAYS = 35
CHANGED_DAYS = 21

_HOOF = Hoof(0.121, 0.117)
_BAR = bar(_HOOF, "3/8x3/4")
_WITH = shod(_HOOF, _BAR, bar(_HOOF, "3/8x3/4", added=(toe_plate(),)), head="level", note="as she came")
_WITHOUT = shod(_HOOF, _BAR, _BAR, head="level")

_LOOK = Scene(width=640, height=360, duration_s=4, coat="bay", hoofbeats=True, seed=41)
_FIRST_RIDE = symmetrical(0.58, 40.6, 46, 48)
_NEWEST_RIDE = symmetrical(0.57, 32.8, 46, 48)

_RIDDEN = History(
    41,
    HorseFields("", height_m=1.49, mass_kg=425, owner="the Fennel family", markings="star"),
    "Anna",
    76.0,
    Goes(0.58, 46, 48, 38),
    worn=(Worn(40, _WITH, 40.4), Worn(CHANGED_DAYS, _WITHOUT, 33.0, 2.5)),
    filmed={33: "", 30: "", 26: "", 20: "one day after the toe plates came off", 14: "", 10: "", 5: ""},
)

CLOVER = DemoHorse(
    "Clover",
    "Rocky Mountain mare, seven",
    "rack",
    _NEWEST_RIDE,
    _LOOK,
    earlier=outings_of(_RIDDEN),
    last_before=1,
    history=replace(_RIDDEN, worn=_RIDDEN.worn[:1]),
)
"""What is recorded of her is what she came in; the change is written down in the pages, as a reader does it."""


def draw_first(path: Path) -> None:
    """Draw the film that is added by hand, with nothing told of its feet."""
    look = replace(_LOOK, width=1280, height=720, duration_s=5.5, camera="turned", seed=42)
    draw_film(path, _FIRST_RIDE, look)


def fill(home: Path, today: date) -> None:
    """Take Clover's other days into a barn that knows her already."""
    fill_barn(home, today, stable=(CLOVER,))
