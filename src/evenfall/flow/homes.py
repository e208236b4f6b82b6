"""A barn that is there, opened; none is made by looking."""

from pathlib import Path

from evenfall.errors import WrongSetting
from evenfall.home import barn_folder
from evenfall.store import Barn, open_barn

__all__ = ["opened_barn"]


def opened_barn(folder: Path | None, database: str | None = None) -> Barn:
    """Open the barn in a folder, or the one among the user's data.

    Raises
    ------
    WrongSetting
        If there is none.
    """
    home = barn_folder(folder)
    if not home.is_dir():
        raise WrongSetting(f"there is no barn at {home}. Name its folder with --home.")
    return open_barn(home, database)
