"""Films of a study copy: rewritten to what lies below the horse's belly, each picture at its own time on the clip's clock."""

from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, cast

import numpy as np

from evenfall.clip import Clip, Progress, open_clip
from evenfall.clip.pictures import made_ahead
from evenfall.clip.writing import CLOCK_HZ, ticks_of
from evenfall.errors import ClipError, TooLittleEvidence
from evenfall.flow.placing import kept_places
from evenfall.flow.showing.filming import room_of
from evenfall.flow.showing.pictures import wanted_pictures
from evenfall.flow.showing.stages import Stages
from evenfall.flow.showing.writing import write_film
from evenfall.report.showing.framing import Framing, framed_legs
from evenfall.report.showing.look import Picture
from evenfall.report.showing.places import Places
from evenfall.store import Barn, clips

if TYPE_CHECKING:
    from collections.abc import Generator

__all__ = ["LINES", "LeftOut", "write_barn_legs", "write_legs"]

LINES = 720
"""The most lines of a film of the legs (our choice)."""
PLACED_SHARE = 0.5


@dataclass(frozen=True)
class LeftOut:
    """A film that does not go along: its number in the copy, and why, in words that name nobody."""

    film: int
    why: str

    def __str__(self) -> str:
        """Say it in a line."""
        return f"Film {self.film} is left out: {self.why}."


def write_barn_legs(barn: Barn, clip_id: int, to: Path, progress: Progress | None = None) -> str:
    """Write the legs of a kept film, whole or not at all.

    Returns
    -------
    str
        Why it could not be, without a name; empty if it was written.

    Raises
    ------
    NotFound, UnwritableOutput
    """
    record, stages = clips.get(barn, clip_id), Stages(progress)
    try:
        places = kept_places(barn, clip_id, lambda: stages.until(PLACED_SHARE))
        clip = open_clip(clips.original(barn, record), capture_fps=record.capture_fps)
        write_legs(clip, places, to, stages.until(1.0))
        kept = _same_times(clip, open_clip(to))
    except TooLittleEvidence:
        return "the horse was not found in it, so where its legs are is not known"
    except (ClipError, FileNotFoundError):
        return "its original is not there or cannot be decoded to its end"
    return "" if kept else "its pictures cannot be kept at their own times"


def write_legs(clip: Clip, places: Places, to: Path, progress: Progress | None = None) -> None:
    """Write what lies below the horse's belly, nothing drawn on it and no sound; where the horse is lost, blank.

    Raises
    ------
    TooLittleEvidence
        If no horse was found.
    ClipError, UnwritableOutput
    """
    base = clip.timebase
    fps = base.n_frames / base.duration_s * base.playback_factor
    framing = framed_legs((clip.width, clip.height), places, fps, room_of(clip, LINES))
    first = round(float(base.times_s[0]) * CLOCK_HZ)
    ticks = [first + tick for tick in ticks_of(base.times_s)]
    lasting = max(1, round(float(base.interval_at(base.times_s[-1])) * CLOCK_HZ))
    source = cast("Generator[Picture]", _cut(clip, framing))
    with closing(source):
        write_film(to, source, framing.size, [*ticks, ticks[-1] + lasting], sound=None, progress=progress)


def _cut(clip: Clip, framing: Framing) -> Iterator[Picture]:
    indices = list(range(clip.timebase.n_frames))
    source = cast("Generator[Picture]", made_ahead(wanted_pictures(clip, indices, framing.decoded)))
    with closing(source):
        for index, picture in zip(indices, source, strict=True):
            yield framing.cut(picture, index)


def _same_times(clip: Clip, made: Clip) -> bool:
    """Whether a film's pictures are at the original's times, as near as the file can tell."""
    before, after = clip.timebase.times_s, made.timebase.times_s
    return len(before) == len(after) and bool(np.abs(before - after).max() <= 1 / CLOCK_HZ)
