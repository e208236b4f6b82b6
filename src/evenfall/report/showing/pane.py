"""One film as it is shown: a caption, the picture with its feet coloured, and what runs beneath.

::

    ┌─────────────────────────────┐
    │ Juniper, 20 May   4 × slower│  head
    ├─────────────────────────────┤
    │           picture           │
    ├─────────────────────────────┤
    │ ▲■  bars, beat line         │  panel
    └─────────────────────────────┘
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from evenfall.clip import Clip
from evenfall.report.showing.framing import Blur, Framing, framed_legs, framed_whole, rider_blurred
from evenfall.report.showing.look import INK, PAPER, PICTURE, Picture, Text, lay_letters
from evenfall.report.showing.marks import Mark, draw_marks, rows_needed
from evenfall.report.showing.panel import Panel, panel_rows, prepared_panel
from evenfall.report.showing.places import Placed, Places, Stood
from evenfall.report.showing.told import Told
from evenfall.timebase import FloatArray

__all__ = ["Pane", "PaneSettings", "drawn_head", "head_rows", "prepared_pane", "say_slower", "unit_of"]

HEAD = 34.0
LETTER = 19.0
LEAST_UNIT = 0.66
NARROWEST = 420.0
MOST_SHELF = 56.0
USUAL_WIDTH = 0.35
"""Of the horse in the picture, where it is not known; only signs are sized by it."""


@dataclass(frozen=True)
class PaneSettings:
    """How a film is shown.

    Parameters
    ----------
    room : tuple of int
        The most width and height there is.
    lines : int
        Of the whole film to show, which sizes letters and signs.
    view : {"whole", "legs"}
    blur : bool
    caption : str
    slow : float
    span_s : tuple of float
        Clip's clock.
    """

    room: tuple[int, int]
    lines: int
    view: Literal["whole", "legs"]
    blur: bool
    caption: str
    slow: float
    span_s: tuple[float, float]


@dataclass(frozen=True, eq=False)
class Pane:
    """A film ready to be drawn picture by picture.

    Parameters
    ----------
    size : tuple of int
        Width and height of all of it, even.
    framing : Framing
    head : ndarray
        The caption, drawn.
    panel : Panel
    blur : Blur or None
    told : Told
    places : Places or None
    where : mapping
        Of each stance to its place.
    widths : ndarray, shape (n_pictures,)
        Of the horse, pixels of the film.
    shelf : int
        Rows below the picture for the signs of feet at its very edge.
    unit : float
    """

    size: tuple[int, int]
    framing: Framing
    head: Picture
    panel: Panel
    blur: Blur | None
    told: Told
    places: Places | None
    where: Mapping[Stood, Placed]
    widths: FloatArray
    shelf: int
    unit: float

    def draw(self, into: Picture, picture: Picture, index: int, time_s: float) -> None:
        """Draw one picture and all around it; ``into`` is as large as ``size``.

        Parameters
        ----------
        into : ndarray of uint8, shape (size[1], size[0], 3)
        picture : ndarray of uint8
            As large as ``framing.decoded``; it is left as it is.
        index : int
            Of the picture in its film.
        time_s : float
            Of the clip's clock.
        """
        cut = self.framing.cut(picture, index)
        high, top = cut.shape[0], self.head.shape[0]
        left, below = (self.size[0] - cut.shape[1]) // 2, top + high + self.shelf
        into[:top] = self.head
        if cut.shape[1] < self.size[0]:
            into[top : top + high] = INK
        into[top + high : below] = PAPER
        area = into[top:below, left : left + cut.shape[1]]
        area[:high] = cut
        if self.blur is not None:
            self.blur.lay(area[:high], index, self.framing)
        draw_marks(area, self._marks(index, time_s), self.unit)
        self.panel.draw(into[below:], time_s)

    def _marks(self, index: int, time_s: float) -> list[Mark]:
        """The feet that stand now, where they are shown."""
        if self.places is None or not self.framing.known[index]:
            return []
        shown = dict(self._near(self.places, index, time_s))
        lowest = max((y for _, y in shown.values()), default=0.0)
        width = float(self.widths[index]) * self.framing.scale(index)
        return [
            Mark(stood.limb, *place, width, lowest, stood.seen)
            for stood, place in shown.items()
            if stood.on_s <= time_s < stood.off_s and self._inside(place)
        ]

    def _near(self, places: Places, index: int, time_s: float) -> Iterator[tuple[Stood, tuple[float, float]]]:
        """The feet that stand within half a stride, so that their signs keep to one line."""
        near_s = 0.5 * self.told.stride_s
        for stood, placed in self.where.items():
            if stood.on_s - near_s <= time_s < stood.off_s + near_s:
                place = places.seen_in(placed, index)
                if place is not None:
                    yield stood, self.framing.shown_at(index, place)

    def _inside(self, place: tuple[float, float]) -> bool:
        return 0 <= place[0] < self.framing.size[0] and 0 <= place[1] < self.framing.size[1]


def prepared_pane(clip: Clip, told: Told, places: Places | None, settings: PaneSettings) -> Pane:
    """Lay out a film and draw what stays.

    Raises
    ------
    TooLittleEvidence
        If only the legs are asked for and the horse was not found.
    """
    unit, where = unit_of(settings.lines), _where(told, places)
    around = head_rows(unit) + panel_rows(unit)
    framing = _framing(clip, places, settings, around)
    widths = _widths(clip, places)
    shelf = _shelf(clip, framing, [(placed, places) for placed in where.values() if places], widths, unit)
    framing = _framing(clip, places, settings, around + shelf) if shelf else framing
    width = max(framing.size[0], _even(min(settings.room[0], NARROWEST * unit)))
    film, base = (clip.width, clip.height), clip.timebase
    return Pane(
        size=(width, framing.size[1] + around + shelf),
        framing=framing,
        head=drawn_head(width, unit, settings.caption, say_slower(settings.slow)),
        panel=prepared_panel(told, width, unit, settings.span_s, places.heading if places else 1),
        blur=rider_blurred(film, places, base.n_frames, base.capture_fps) if settings.blur else None,
        told=told,
        places=places,
        where=where,
        widths=widths,
        shelf=shelf,
        unit=unit,
    )


def _framing(clip: Clip, places: Places | None, settings: PaneSettings, around: int) -> Framing:
    """How the picture is cut, so many rows being taken by what is around it."""
    film, base = (clip.width, clip.height), clip.timebase
    room = settings.room[0], settings.room[1] - around
    if settings.view == "legs":
        return framed_legs(film, places, base.capture_fps, room)
    return framed_whole(film, base.n_frames, room)


def _shelf(
    clip: Clip, framing: Framing, stands: Sequence[tuple[Placed, Places]], widths: FloatArray, unit: float
) -> int:
    """How many rows the signs of the lowest feet need below the picture; even."""
    needed = [0.0]
    for placed, places in stands:
        middle_s = (placed.on_s + placed.off_s) / 2
        index = int(np.searchsorted(clip.timebase.times_s[:-1], middle_s))
        place = places.seen_in(placed, index)
        if place is not None:
            row, width = framing.shown_at(index, place)[1], float(widths[index]) * framing.scale(index)
            needed.append(rows_needed(row, width, unit) - framing.size[1])
    return _even(min(max(needed), MOST_SHELF * unit))


def unit_of(lines: int) -> float:
    """Pixels to a pixel of a film of 720 lines, for letters and signs; small films keep them legible."""
    return max(LEAST_UNIT, lines / 720)


def head_rows(unit: float) -> int:
    """How high the caption is."""
    return _even(HEAD * unit)


def say_slower(slow: float) -> str:
    """Say how many times slower than life a film is.

    Examples
    --------
    >>> say_slower(4), say_slower(1), say_slower(4.26)
    ('4 times slower', 'as fast as it was', '4.3 times slower')
    """
    return "as fast as it was" if abs(slow - 1) < 0.05 else f"{slow:.2g} times slower"


def drawn_head(width: int, unit: float, caption: str, said: str = "") -> Picture:
    """Draw a caption, and something said at its right end."""
    head = np.full((head_rows(unit), width, 3), PAPER, PICTURE)
    size = LETTER * unit
    line, right = head.shape[0] / 2 + 0.36 * size, width - 8 * unit
    room = width - 0.54 * size * len(said) - 28 * unit
    texts = [Text(right, line, said, size, "end")] if said else []
    if caption:
        texts.append(Text(8 * unit, line, caption, size, bold=True, width=room))
    lay_letters(head, texts)
    return head


def _where(told: Told, places: Places | None) -> dict[Stood, Placed]:
    found = {stood: places.of(stood) for stood in told.stood} if places else {}
    return {stood: placed for stood, placed in found.items() if placed is not None}


def _widths(clip: Clip, places: Places | None) -> FloatArray:
    """The horse's width in every picture; where it is not known, a usual one."""
    usual = USUAL_WIDTH * clip.width
    if places is None:
        return np.full(clip.timebase.n_frames, usual)
    known = places.horse[:, 1][np.isfinite(places.horse[:, 1])]
    return np.nan_to_num(places.horse[:, 1], nan=float(np.median(known)) if len(known) else usual)


def _even(size: float) -> int:
    return 2 * int(np.ceil(size / 2 - 1e-6))
