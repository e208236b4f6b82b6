"""The film looked at: once; closer where the horse is small; and again, for what is bright or narrow, if asked."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from evenfall.clip import Clip, Progress
from evenfall.contacts.film.closer import Closer, closer_look
from evenfall.contacts.film.horse import HorsePath, find_horse
from evenfall.contacts.film.seeing import (
    Bare,
    Feet,
    Seen,
    View,
    bare_ground,
    feet_of,
    joined,
    legs_of,
    nothing_in,
    view_of,
    with_feet,
)
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
    first = _first_look(clip, heading, parts.next())
    closer = _closer(clip, first.views, first.seen)
    if first.without_feet and not closer:
        first = _first_look(clip, heading, parts.next(), with_all_feet=True)
    seen, bare, show = first.seen, first.bare, partial(_as_before, clip, first.views)
    if closer:
        show = partial(_from_closer, clip, closer, first)
        feet, bare = _look(show(parts.next()), heading)
        seen = _with_feet(seen, feet, closer)
    if seen.pale or not again(seen):
        parts.whole()
        return (seen,)
    if bare and len(first.views) == 1:
        feet = [feet_of(bare, legs_of(bare, pale=True), heading)]
    else:  # the earlier pictures are gone
        feet, _ = _look(show(parts.next()), heading, pale=True)
    parts.whole()
    return seen, _with_feet(seen, feet, closer)


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


@dataclass(frozen=True, eq=False)
class _First:
    """The first look: what each window showed, the last one's ground, and whether feet were left to a closer look."""

    views: list[View]
    seen: Seen
    bare: Bare | None
    without_feet: bool


def _first_look(
    clip: Clip, heading: int | None, progress: Progress | None, *, with_all_feet: bool = False
) -> _First:
    views, feet, bare, left_out = [], [], None, False
    for window in windows(clip, progress):
        horse = find_horse(window.small, window.times_s, window.camera, window.first)
        window.tick()
        view, none = nothing_in(window)
        views.append(view)
        feet.append(none)
        if horse is None:
            continue
        bare = bare_ground(window, horse)
        lower = legs_of(bare, pale=False)
        views[-1] = view_of(bare, lower)
        if not with_all_feet and _wants_closer(clip, horse, window):
            left_out = True
        else:
            feet[-1] = feet_of(bare, lower, heading)
    return _First(views, joined(views, feet, window), bare, left_out)


def _wants_closer(clip: Clip, horse: HorsePath, window: Window) -> bool:
    down, across = window.small[0].shape
    return closer_look(clip, [horse], (across, down), window.scale[0]) is not None


def _closer(clip: Clip, views: Sequence[View], seen: Seen) -> Closer | None:
    return closer_look(clip, [view.horse for view in views if view.horse], seen.picture, seen.magnified)


def _look(shown: Shown, heading: int | None, *, pale: bool = False) -> tuple[list[Feet], Bare | None]:
    """The feet in each window, and the last one's ground."""
    feet, bare = [], None
    for window, horse in shown:
        if horse is None:
            feet.append(nothing_in(window)[1])
        else:
            bare = bare_ground(window, horse)
            feet.append(feet_of(bare, legs_of(bare, pale=pale), heading))
    return feet, bare


def _as_before(clip: Clip, views: Sequence[View], progress: Progress | None) -> Shown:
    """The windows once more, the horse where it was seen before."""
    return zip(windows(clip, progress), [view.horse for view in views], strict=True)


def _from_closer(clip: Clip, closer: Closer, first: _First, progress: Progress | None) -> Shown:
    """The windows closer by."""
    near = close_windows(clip, closer.width, closer.rows, closer.camera(first.seen.camera), progress)
    return zip(near, [view.horse and closer.horse(view.horse) for view in first.views], strict=True)


def _with_feet(seen: Seen, feet: Sequence[Feet], closer: Closer | None) -> Seen:
    """What was seen, with the feet of another look."""
    if not closer:
        return with_feet(seen, feet)
    feet = [replace(one, bars=tuple(closer.back(bar) for bar in one.bars)) for one in feet]
    return replace(with_feet(seen, feet), magnified=closer.scale[0])
