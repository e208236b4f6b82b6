"""Where the feet and the horse are in a kept film's pictures: found once, kept beside the film, made again when asked."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from evenfall.clip import Clip, Progress, open_clip
from evenfall.contacts.film import find_feet
from evenfall.errors import ClipError
from evenfall.flow.films import write_whole
from evenfall.flow.ground import as_read
from evenfall.reading import Reading, ReadSettings
from evenfall.report.showing.places import Places, places_data, places_from, places_of
from evenfall.store import Barn, clips

__all__ = ["PLACES_FILE", "find_places", "kept_places", "save_places"]

PLACES_FILE = "places.json"


def find_places(clip: Clip, settings: ReadSettings, progress: Progress | None = None) -> Places:
    """Look through a film for the places of the feet and the horse.

    Raises
    ------
    ClipError
        If the film cannot be decoded to its end.
    """
    return places_of(clip, find_feet(clip, facing=settings.facing, progress=progress))


def save_places(folder: Path, reading: Reading) -> None:
    """Write the places a machine's reading saw; nothing where it did not look."""
    if reading.feet is not None:
        _write(folder, reading.settings, places_of(reading.clip, reading.feet))


def kept_places(barn: Barn, clip_id: int, progress: Callable[[], Progress | None]) -> Places:
    """Return the places of a kept film; where they are not kept yet, the film is looked through for them.

    Parameters
    ----------
    barn : Barn
    clip_id : int
    progress : callable
        Called only if the film has to be looked through: gives what is told how far that is.

    Raises
    ------
    NotFound, ClipError
    """
    record = clips.get(barn, clip_id)
    folder, settings = clips.derived(barn, record), ReadSettings(record.capture_fps, record.facing)
    file = folder / as_read(PLACES_FILE, settings)
    try:
        return _taken(json.loads(file.read_bytes()))
    except (FileNotFoundError, ValueError, KeyError, TypeError):
        pass  # not there, or spoilt: it is made again
    path = clips.original(barn, record)
    try:
        places = find_places(open_clip(path, capture_fps=record.capture_fps), settings, progress())
    except ClipError as error:
        raise ClipError(Path(record.name), str(error).removeprefix(f"{error.path}: ")) from error
    _write(folder, settings, places)
    return places


def _write(folder: Path, settings: ReadSettings, places: Places) -> None:
    planes = [
        None if plane is None else [[float(f"{x:.9g}") for x in row] for row in plane]
        for plane in places.planes
    ]
    data = {**places_data(places), "planes": planes}
    write_whole(folder / as_read(PLACES_FILE, settings), json.dumps(data, allow_nan=False).encode())


def _taken(data: dict[str, Any]) -> Places:
    planes = [None if plane is None else np.array(plane, float) for plane in data["planes"]]
    return places_from(data, planes)
