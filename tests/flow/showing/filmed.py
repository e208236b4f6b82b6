"""Films of numbered pictures with regular contacts, made into films to show, and read back."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from evenfall.clip import Clip, open_clip, pictures, read_sound
from evenfall.contacts import Contacts
from evenfall.reading import Reading, ReadSettings, read_marked
from evenfall.report.showing.pane import head_rows, unit_of
from evenfall.report.showing.panel import panel_rows
from evenfall.synth.numbered import read_number, write_numbered
from tests.making import regular

QUIET_S, LOUD = 0.03, 0.12


def numbered(
    path: Path, ticks: Sequence[int], contacts: Contacts | None = None, *, capture_fps: float | None = None,
    size: tuple[int, int] = (320, 180),
) -> Reading:  # fmt: skip
    """A film whose every picture tells its number, read with the contacts given."""
    film = write_numbered(path, ticks, size=size)
    marks = regular(n=3, start_s=0.3) if contacts is None else contacts
    return read_marked(open_clip(film, capture_fps=capture_fps), marks, ReadSettings(capture_fps))


def numbers(film: Path, lines: int, *, half: int | None = None) -> list[int | None]:
    """The number that each picture of a film to show carries; of its left (0) or right (1) half."""
    return [read_number(area) for area in picture_areas(film, lines, half=half)]


def picture_areas(
    film: Path, lines: int, *, half: int | None = None
) -> list["np.ndarray[tuple[int, ...], np.dtype[np.uint8]]"]:
    """What is between the caption and the panel, without the bars of ink beside a narrow picture."""
    unit = unit_of(lines)
    found = []
    for picture in pictures(open_clip(film)):
        area = picture.pixels[head_rows(unit) : -panel_rows(unit)]
        if half is not None:
            middle = area.shape[1] // 2
            area = area[:, : middle - 2] if half == 0 else area[:, middle + 2 :]
        found.append(area)
    return found


def onsets_s(film: Clip) -> list[float]:
    """When something is heard after a quiet while."""
    sound = read_sound(film)
    loud = np.flatnonzero(np.abs(sound.samples) > LOUD * np.abs(sound.samples).max())
    first = np.r_[True, np.diff(loud) > QUIET_S * sound.rate_hz]
    return [sound.start_s + int(place) / sound.rate_hz for place in loud[first]]
