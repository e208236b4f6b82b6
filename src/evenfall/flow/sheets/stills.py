"""Two films at the same parts of the stride: four pictures of each, from the light film or the original.

Conventions: times are seconds on the clip's clock; parts of the stride run from 0 to 1.
"""

from collections.abc import Generator, Mapping, Sequence
from contextlib import closing
from typing import TYPE_CHECKING, Any, cast

from evenfall.clip import Picture as Shot
from evenfall.clip import open_clip, pictures
from evenfall.errors import EvenfallError, NotFound
from evenfall.flow.in_step import films_in_step
from evenfall.flow.practice import picture_at
from evenfall.report.sheets.model import Picture, PictureRow
from evenfall.store import Barn, clips

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["PARTS", "stills_of"]

PARTS = (0.0, 0.25, 0.5, 0.75)
MICROSECONDS = 1_000_000
WIDE_PX, JPEG_QUALITY = 420, 80


def stills_of(
    barn: Barn, clip_ids: Sequence[int], titles: Sequence[str]
) -> tuple[tuple[PictureRow, ...], str]:
    """Cut the pictures of a middle stride out of each film.

    Parameters
    ----------
    barn : Barn
    clip_ids : sequence of int
    titles : sequence of str
        What each film is called above its row.

    Returns
    -------
    tuple of PictureRow, str
        A row a film, and nothing; or no row, and why.
    """
    try:
        laid = films_in_step(barn, clip_ids)
        if "problem" in laid:
            return (), f"No pictures in step: {laid['problem']}"
        foot = {"LH": "left hind", "RH": "right hind"}[laid["foot"]]
        films = zip(laid["films"], titles, strict=True)
        return tuple(_row(barn, film, (title, foot)) for film, title in films), ""
    except (EvenfallError, OSError):
        return (), "No pictures in step: a film is not on this machine, or cannot be opened."


def _row(barn: Barn, film: Mapping[str, Any], said: tuple[str, str]) -> PictureRow:
    """The pictures of one film; ``said`` is what it is called, and the foot its strides are counted from."""
    shots = [_shot(barn, film["clip"], at) for at in _moments(film["begins_s"])]
    return PictureRow(
        tuple(_picture(shot, part, said) for shot, part in zip(shots, PARTS, strict=True)), said[0]
    )


def _moments(begins_s: Sequence[float]) -> list[float]:
    """The parts of a stride in the middle of the run."""
    middle = (len(begins_s) - 1) // 2
    start, end = begins_s[middle], begins_s[middle + 1]
    return [start + part * (end - start) for part in PARTS]


def _picture(shot: tuple[bytes, tuple[int, int]], part: float, said: tuple[str, str]) -> Picture:
    title, foot = said
    where = f"the {foot} lands" if part == 0 else f"{100 * part:.0f} % of the stride"
    words = f"{title}: the horse from the side, {where}."
    return Picture(shot[0], "jpg", words, where, size=shot[1])


def _shot(barn: Barn, clip_id: int, time_s: float) -> tuple[bytes, tuple[int, int]]:
    """One picture, made small, as JPEG, and its size."""
    import cv2  # noqa: PLC0415 - only pictures need it
    import numpy as np  # noqa: PLC0415

    try:
        kept = picture_at(barn, clip_id, round(time_s * MICROSECONDS))
        pixels = np.asarray(cv2.imdecode(np.frombuffer(kept, np.uint8), cv2.IMREAD_COLOR), np.uint8)
    except NotFound:
        pixels = _from_original(barn, clip_id, time_s)
    height, width = pixels.shape[:2]
    scale = min(1.0, WIDE_PX / width)
    size = round(width * scale), max(1, round(height * scale))
    small = cv2.resize(pixels, size, interpolation=cv2.INTER_AREA)
    return bytes(cv2.imencode(".jpg", small, [cv2.IMWRITE_JPEG_QUALITY, JPEG_QUALITY])[1]), size


def _from_original(barn: Barn, clip_id: int, time_s: float) -> "NDArray[np.uint8]":
    """The picture that is shown at a moment, from the film as it came in."""
    clip = open_clip(clips.original(barn, clips.get(barn, clip_id)))
    with closing(cast(Generator[Shot], pictures(clip))) as every:
        for picture in every:
            if picture.time_s >= time_s:
                return picture.pixels
    raise NotFound(f"the film {clip_id} has no picture at {time_s:.3f} s.")
