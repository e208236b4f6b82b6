"""What every sheet says of a horse, and what stands beneath it."""

from datetime import date

from evenfall import __version__
from evenfall.flow.board import asked_of
from evenfall.report.sheets.model import LONGEST_NAME, Head, clipped
from evenfall.report.way import say_band
from evenfall.store import Barn, settings
from evenfall.store.records import Horse

__all__ = ["foot_of", "head_of"]

LONGEST_FACT = 60


def head_of(barn: Barn, horse: Horse, today: date) -> Head:
    """Name the horse, its breed, its owner and what is asked of it."""
    goal, band = asked_of(horse, settings.get(barn).goal)
    facts = (
        clipped(horse.breed, LONGEST_FACT),
        f"born {horse.birth_year}" if horse.birth_year else "",
        f"owner {clipped(horse.owner, LONGEST_FACT)}" if horse.owner else "",
        f"goal {say_band(clipped(goal, LONGEST_FACT), band)}",
    )
    return Head(clipped(horse.name, LONGEST_NAME), tuple(filter(None, facts)), today)


def foot_of(words: str) -> str:
    """Say what made the sheet, and what it is not."""
    return f"Evenfall {__version__}. {words}"
