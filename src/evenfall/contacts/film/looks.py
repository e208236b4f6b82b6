"""The film looked at: once; closer where the horse is small; and again, for what is bright or narrow, if asked."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from evenfall.clip import Clip, Progress
from evenfall.contacts.film.camera import CameraPath
from evenfall.contacts.film.closer import Closer, closer_look
from evenfall.contacts.film.horse import HorsePath, find_horse
from evenfall.contacts.film.seeing import Seen, View, joined, view_of
from evenfall.contacts.film.windows import Window, close_windows, windows

__all__ = ["see_film"]

NEXT_LOOK = 0.6
"""How much of the work still to be done a look counts as: it may be the last."""

Shown = Iterator[tuple[Window, HorsePath | None]]


def see_film(
    clip: Clip,
    *,
    heading: int | None = None,
    again: Callable[[Seen], bool] = lambda _: False,
    progress: Progress | None = None,
) -> tuple[Seen, ...]:
    """Look at every picture of a film for feet that stand.

    Parameters
    ----------
    clip : Clip
    heading : int, optional
        1 for a horse that goes right in the picture, -1 for left; without it, as it is seen to go.
    again : callable, optional
        Asked whether what was seen is not enough.
    progress : Progress, optional
        Called many times a second; it may raise to stop the work.

    Returns
    -------
    tuple of Seen
        One look; and where ``again`` says so a second, only for what is bright or narrow, as at white legs.

    Raises
    ------
    ClipError
        If the film cannot be decoded to its end.
    """
    parts = _Parts(progress)
    show: Callable[[Progress | None], Shown] = partial(_as_filmed, clip)
    views, last = _views(show(parts.next()), heading)
    seen = joined(views, last[0])
    closer = _closer(clip, views, seen)
    if closer:
        show = partial(_from_closer, clip, closer, views, seen.camera)
        views, last = _views(show(parts.next()), heading)
        seen = _with_feet(seen, joined(views, last[0]), closer)
    if seen.pale or not again(seen):
        parts.whole()
        return (seen,)
    if len(views) > 1:  # the earlier pictures are gone
        views, last = _views(show(parts.next()), heading, pale=True)
    else:
        views = [view_of(*last, heading, pale=True)]
    parts.whole()
    narrow = joined(views, last[0])
    return seen, (_with_feet(seen, narrow, closer) if closer else narrow)


class _Parts:
    """Progress of work of which it is not known how often it must be done."""

    def __init__(self, progress: Progress | None) -> None:
        self._progress, self._done = progress, 0.0

    def next(self) -> Progress | None:
        """Progress of the next part."""
        start, end = self._done, self._done + NEXT_LOOK * (1 - self._done)
        self._done, told = end, self._progress
        return told and (lambda share: told(start + share * (end - start)))

    def whole(self) -> None:
        """Tell that all is done."""
        if self._progress:
            self._progress(1.0)


def _views(
    shown: Shown, heading: int | None, *, pale: bool = False
) -> tuple[list[View], tuple[Window, HorsePath | None]]:
    """What each window gives, and the last window."""
    views = []
    for window, horse in shown:
        views.append(view_of(window, horse, heading, pale=pale))
    return views, (window, horse)


def _as_filmed(clip: Clip, progress: Progress | None) -> Shown:
    for window in windows(clip, progress):
        horse = find_horse(window.small, window.times_s, window.camera, window.first)
        window.tick()
        yield window, horse


def _from_closer(
    clip: Clip, closer: Closer, views: Sequence[View], camera: CameraPath, progress: Progress | None
) -> Shown:
    """The windows closer by, the horse where it was seen before."""
    near = close_windows(clip, closer.width, closer.rows, closer.camera(camera), progress)
    horses = [view.horse and closer.horse(view.horse) for view in views]
    return zip(near, horses, strict=True)


def _closer(clip: Clip, views: Sequence[View], seen: Seen) -> Closer | None:
    horses = [view.horse for view in views if view.horse]
    px = float(np.nanmedian(seen.width)) * seen.magnified if horses else 0.0
    return closer_look(clip, horses, seen.picture, px)


def _with_feet(seen: Seen, near: Seen, closer: Closer) -> Seen:
    """What was seen, with the feet that were seen closer by."""
    bars = tuple(closer.back(bar) for bar in near.bars)
    return replace(seen, bars=bars, strip=near.strip, pale=near.pale, magnified=closer.scale[0])
