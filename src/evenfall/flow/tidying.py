"""What goes by itself, once a day: what lay in the bin long enough, and what broke off and was not gone on with."""

import shutil
from contextlib import suppress
from datetime import datetime, timedelta

from evenfall.flow.intake import drop_abandoned
from evenfall.store import Barn
from evenfall.store import bin as kept
from evenfall.store.streaming import COPIES

__all__ = ["tidy"]

BROKEN_OFF = timedelta(days=1)
"""A backup is sent within a day; what is left of an older one was broken off."""


def tidy(barn: Barn, *, now: datetime) -> None:
    """Throw away what has had its time.

    Parameters
    ----------
    barn : Barn
    now : datetime

    Raises
    ------
    StoreError
    """
    drop_abandoned(barn, now=now.timestamp())
    for folder in barn.home.glob(f"{COPIES}*"):
        with suppress(OSError):  # another process was faster
            if folder.stat().st_mtime < (now - BROKEN_OFF).timestamp():
                shutil.rmtree(folder)
    kept.empty(barn, now=now)
