"""Two films side by side, locked by the stride."""

from collections.abc import Generator, Iterator
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path
from typing import cast

import numpy as np

from evenfall.clip import Progress
from evenfall.clip.sound import Samples
from evenfall.errors import WrongSetting
from evenfall.flow.showing.filming import about_places, drawn_pictures, known_places, pane_of, room_of
from evenfall.flow.showing.lock import Lock, Side, lock
from evenfall.flow.showing.settings import LONGEST_S, ShowSettings
from evenfall.flow.showing.span import Part
from evenfall.flow.showing.writing import Shown, film_name, write_film
from evenfall.report.showing.look import INK, PICTURE, Picture
from evenfall.report.showing.pane import Pane, drawn_head, head_rows, unit_of
from evenfall.report.showing.sound import Beat, beaten
from evenfall.report.showing.sound import Side as Ear
from evenfall.report.showing.told import even_beats, measured_landings

__all__ = ["show_beside"]

SEAM = 4
EARS: tuple[Ear, Ear] = ("left", "right")
"""The first film is heard on the left, the second on the right, as they are seen."""


def show_beside(
    before: Side, after: Side, to: Path, settings: ShowSettings, *, progress: Progress | None = None
) -> Shown:
    """Write two films side by side, at every picture at the same part of the stride.

    Parameters
    ----------
    before, after : Side
        Shown on the left and on the right.
    to : Path
        A name ending in .mp4; written whole or not at all.
    settings : ShowSettings
        ``start_s`` and ``end_s`` are of the first film's clock; the sound cannot be ``film``.
    progress : Progress, optional

    Returns
    -------
    Shown

    Raises
    ------
    TooLittleEvidence
        If either film has too few strides in a row.
    WrongSetting, ClipError, UnwritableOutput
        As in `show_film`.
    """
    film_name(to)
    if settings.sound == "film":
        raise WrongSetting("two films' own sounds cannot be laid in step: expected the sound beats or none.")
    locked = lock(before, after, settings)
    laid = _laid(before, after, locked, settings)
    sound = _sound((before, after), locked, settings)
    with closing(cast(Generator[Picture], _drawn((before, after), laid, locked))) as source:
        write_film(to, source, laid.size, locked.ticks, sound=sound, progress=progress)
    return Shown(to, len(locked.ticks) - 1, locked.duration_s, tuple(_about((before, after), laid, locked)))


@dataclass(frozen=True, eq=False)
class _Laid:
    """Two panes, a caption above them, and how large all of it is."""

    panes: tuple[Pane, Pane]
    head: Picture | None
    size: tuple[int, int]


def _laid(before: Side, after: Side, locked: Lock, settings: ShowSettings) -> _Laid:
    lines = settings.height_px
    long, short = max(room_of(before.reading.clip, lines)), lines
    above = head_rows(unit_of(lines)) if settings.caption else 0
    room = (long - SEAM) // 4 * 2, short - above
    first, second = (
        _pane(side, settings, locked, number, room) for number, side in enumerate((before, after))
    )
    width = first.size[0] + SEAM + second.size[0]
    head = drawn_head(width, unit_of(lines), settings.caption) if above else None
    return _Laid((first, second), head, (width, above + max(first.size[1], second.size[1])))


def _pane(side: Side, settings: ShowSettings, locked: Lock, number: int, room: tuple[int, int]) -> Pane:
    begins = locked.begins_s[number]
    part = Part(float(begins[0]), float(begins[-1]), locked.slow[number])
    places = known_places(side.reading, side.places)
    return pane_of(side.reading, places, replace(settings, caption=side.title), part, room)


def _drawn(sides: tuple[Side, Side], laid: _Laid, locked: Lock) -> Iterator[Picture]:
    """Both films' pictures on one canvas."""
    sources = [
        cast(Generator[Picture], drawn_pictures(side.reading.clip, pane, indices))
        for side, pane, indices in zip(sides, laid.panes, locked.indices, strict=True)
    ]
    above = 0 if laid.head is None else laid.head.shape[0]
    with closing(sources[0]), closing(sources[1]):
        for left, right in zip(*sources, strict=True):
            into = np.full((laid.size[1], laid.size[0], 3), INK, PICTURE)
            if laid.head is not None:
                into[:above] = laid.head
            into[above : above + left.shape[0], : left.shape[1]] = left
            into[above : above + right.shape[0], left.shape[1] + SEAM :] = right
            yield into


def _sound(sides: tuple[Side, Side], locked: Lock, settings: ShowSettings) -> Samples | None:
    if settings.sound == "none":
        return None
    beats = [
        Beat(heard_s, mark.limb, EARS[number])
        for number, side in enumerate(sides)
        for heard_s, mark in locked.heard_s(number, measured_landings(side.reading))
    ]
    if settings.sound == "beats and even":
        even = locked.heard_s(0, even_beats(sides[0].reading))
        beats += [Beat(heard_s, None, "middle") for heard_s, _ in even]
    return beaten(beats, locked.duration_s)


def _about(sides: tuple[Side, Side], laid: _Laid, locked: Lock) -> Iterator[str]:
    if locked.cut:
        yield f"Shown as far as {LONGEST_S:.0f} s reach: the films have more strides. Choose less slow, or a part."
    for side, pane in zip(sides, laid.panes, strict=True):
        name = side.title or side.reading.clip.path.name
        for note in about_places(pane):
            yield f"{name}: {note}"
