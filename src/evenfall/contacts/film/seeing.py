"""What one window of a film shows: the horse's way, and, looked at in one way or another, the feet that stand."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import cv2
import numpy as np
from numpy.typing import NDArray

from evenfall.contacts.film.bars import Bar, bars_at, chosen_bars
from evenfall.contacts.film.camera import CameraPath
from evenfall.contacts.film.ground import (
    BLUR_PX,
    SHADE,
    SHADE_KEPT,
    Ground,
    Parts,
    Planes,
    differences,
    empty_grounds,
    planes_between_parts,
    planes_of,
)
from evenfall.contacts.film.horse import HorsePath
from evenfall.contacts.film.pale import has_white_legs, narrow_difference
from evenfall.contacts.film.standing import Lower, Place, leg_contrast, standing_places
from evenfall.contacts.film.trace import Scene, traces
from evenfall.contacts.film.windows import Window
from evenfall.timebase import FloatArray

__all__ = [
    "Bare",
    "Feet",
    "Seen",
    "View",
    "bare_ground",
    "feet_of",
    "joined",
    "legs_of",
    "nothing_in",
    "view_of",
    "with_feet",
]

SHADE_PX = 9
LEG_ROWS = 0.42
STANDING_FPS = 30.0
"""Pictures a second in which places are sought where a foot stands; when it came and left is then read in all."""

NEAR_OWN_S = 0.5
MARGIN = 0.08
AROUND = 1.7
"""How much of the picture around the horse is looked at for feet, in its widths."""

STRIP_U = np.linspace(-0.75, 0.75, 151)
STRIP_ABOVE = 0.11


@dataclass(frozen=True, eq=False)
class Seen:
    """Everything the film showed, before it is told whose foot is whose.

    Parameters
    ----------
    times_s : ndarray, shape (n,)
        Real seconds of the pictures looked at.
    camera : CameraPath
    middle, width, bottom, advance, length : ndarray, shape (n,)
        Of the horse, small pixels; NaN where there is none. ``advance`` in widths a second, ``length`` in heights.
    seen, at_edge : ndarray of bool, shape (n,)
    contrast, noise, sharpness : ndarray, shape (n,)
        Grey levels of the legs and of the bare ground, and how sharp the picture is.
    bars : tuple of Bar
    strip : ndarray of uint8, shape (n, 151)
        How the ground line differs from empty ground along the horse, from three quarters of its width left of
        its middle to as far right of it.
    picture : tuple of int
        Width and height of the small picture.
    magnified : float
        How much larger the pictures were in which the soles were looked at.
    pale : bool
        Whether only what is bright or narrow was looked at, as where a horse has white legs.
    """

    times_s: FloatArray
    camera: CameraPath
    middle: FloatArray
    width: FloatArray
    bottom: FloatArray
    advance: FloatArray
    length: FloatArray
    seen: NDArray[np.bool_]
    at_edge: NDArray[np.bool_]
    contrast: FloatArray
    noise: FloatArray
    sharpness: FloatArray
    bars: tuple[Bar, ...]
    strip: NDArray[np.uint8]
    picture: tuple[int, int]
    magnified: float = 1.0
    pale: bool = False

    @cached_property
    def fps(self) -> float:
        """Pictures looked at in a real second."""
        return float(1 / np.median(np.diff(self.times_s)))


@dataclass(frozen=True, eq=False)
class View:
    """What one window gives for its own pictures; fields as in `Seen`, and the horse in all of its pictures."""

    times_s: FloatArray
    middle: FloatArray
    width: FloatArray
    bottom: FloatArray
    advance: FloatArray
    length: FloatArray
    seen: NDArray[np.bool_]
    at_edge: NDArray[np.bool_]
    contrast: FloatArray
    noise: FloatArray
    sharpness: FloatArray
    horse: HorsePath | None = None


@dataclass(frozen=True, eq=False)
class Feet:
    """The feet one look at a window shows among its own pictures; fields as in `Seen`."""

    strip: NDArray[np.uint8]
    bars: tuple[Bar, ...] = ()
    pale: bool = False


@dataclass(frozen=True, eq=False)
class Bare:
    """A window's pictures, cut off above the legs, and the empty ground in them; not more a second than need be.

    Parameters
    ----------
    window : Window
    horse : HorsePath
        In each of the window's pictures.
    step, top : int
        How many pictures on the next one is, and the first row that is kept.
    pictures : list of ndarray of uint8
    planes : callable
        Homography from one of them onto another.
    grounds : list of Ground
    """

    window: Window
    horse: HorsePath
    step: int
    top: int
    pictures: list[NDArray[np.uint8]]
    planes: Planes
    grounds: list[Ground]


def bare_ground(window: Window, horse: HorsePath) -> Bare:
    """Find the empty ground of a window, the horse being where it is in its small pictures."""
    step = max(1, int(window.fps / STANDING_FPS + 0.05))
    few = horse.every(step)
    top = int(np.clip(few.bottom.min() - LEG_ROWS * few.width.max(), 0, window.small[0].shape[0] - 20))
    pictures = [picture[top:] for picture in window.small[::step]]
    every = planes_of(window.camera, window.first, np.array([[1.0, 0, 0], [0, 1, -top], [0, 0, 1]]))
    planes: Planes = lambda start, end: every(start * step, end * step)  # noqa: E731
    grounds = empty_grounds(pictures, window.times_s[::step], planes, lambda k: _stretch(few, k))
    window.tick()
    return Bare(window, horse, step, top, pictures, planes, grounds)


def legs_of(bare: Bare, *, pale: bool) -> Lower:
    """How the legs differ from the empty ground.

    Parameters
    ----------
    bare : Bare
    pale : bool
        Whether to keep only what is bright or narrow, as at white legs; where those are seen it is kept so of itself.
    """
    window, horse, top = bare.window, bare.horse.every(bare.step), bare.top
    times_s, across = window.times_s[:: bare.step], window.small[0].shape[1]
    parts = _parts(horse, across)
    pale = pale or has_white_legs(bare.pictures, bare.grounds, replace(horse, bottom=horse.bottom - top))
    width = float(np.median(horse.width))
    difference = (lambda a, b: narrow_difference(a, b, width)) if pale else _without_shade
    differs = differences(bare.pictures, times_s, bare.planes, bare.grounds, parts, difference, window.tick)
    return Lower(
        first=window.first,
        step=bare.step,
        times_s=times_s,
        top=top,
        lefts=parts.lefts,
        differs=differs,
        noise=np.array([float(np.median(picture[::4, ::4])) for picture in differs]),
        contrast=leg_contrast(differs, (parts.lefts, top), horse, window.fps / bare.step),
        planes=planes_between_parts(bare.planes, parts.lefts),
        horse=horse,
        pale=pale,
    )


def view_of(bare: Bare, lower: Lower) -> View:
    """What a window shows of the horse and its way."""
    window, horse = bare.window, bare.horse
    own = window.is_own
    shown = np.flatnonzero(own) // bare.step
    return View(
        times_s=window.times_s[own],
        middle=horse.middle[own],
        width=horse.width[own],
        bottom=horse.bottom[own],
        advance=horse.advance[own],
        length=horse.length[own],
        seen=horse.seen[own],
        at_edge=horse.at_edge[own],
        contrast=lower.contrast[shown],
        noise=lower.noise[shown],
        sharpness=np.array([_sharpness(picture) for picture in bare.pictures])[shown],
        horse=horse,
    )


def feet_of(bare: Bare, lower: Lower, heading: int | None) -> Feet:
    """Find the feet that stand, the horse going right in the picture (1), left (-1), or as it is seen to go (None)."""
    window, horse = bare.window, bare.horse
    bars = _bars(window, lower, horse, heading or horse.heading)
    return Feet(
        strip=np.array([_strip(lower, horse, int(k), window.camera) for k in np.flatnonzero(window.is_own)]),
        bars=tuple(bar for bar in bars if window.own[0] <= (bar.from_s + bar.to_s) / 2 < window.own[1]),
        pale=lower.pale,
    )


def nothing_in(window: Window) -> tuple[View, Feet]:
    """What a window shows in which no horse is."""
    times_s = window.times_s[window.is_own]
    empty, no = np.full(len(times_s), np.nan), np.zeros(len(times_s), bool)
    view = View(times_s, empty, empty, empty, empty, empty, no, no, empty, empty, empty)
    return view, Feet(np.zeros((len(times_s), len(STRIP_U)), np.uint8))


def joined(views: Sequence[View], feet: Sequence[Feet], window: Window) -> Seen:
    """Lay what the windows gave end to end; ``window`` is the last of them."""
    names = [name for name in View.__dataclass_fields__ if name != "horse"]
    along = {name: np.concatenate([getattr(view, name) for view in views]) for name in names}
    down, across = window.small[0].shape
    seen = Seen(
        camera=window.camera,
        bars=(),
        strip=np.empty((0, len(STRIP_U)), np.uint8),
        picture=(across, down),
        magnified=window.scale[0],
        pale=False,
        **along,
    )
    return with_feet(seen, feet)


def with_feet(seen: Seen, feet: Sequence[Feet]) -> Seen:
    """What was seen, with the feet of another look at it."""
    return replace(
        seen,
        bars=tuple(bar for one in feet for bar in one.bars),
        strip=np.concatenate([one.strip for one in feet]),
        pale=any(one.pale for one in feet),
    )


def _parts(horse: HorsePath, across: int) -> Parts:
    """The stretch around the horse in each picture."""
    width = min(across, round(AROUND * float(horse.width.max())))
    lefts = np.clip(np.round(horse.middle - width / 2), 0, across - width)
    return Parts(lefts.astype(np.int64), width)


def _stretch(horse: HorsePath, k: int) -> tuple[float, float]:
    room = MARGIN * horse.width[k]
    return horse.left[k] - room, horse.right[k] + room


def _without_shade(picture: NDArray[np.uint8], ground: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Difference from the ground as dark as its shade would be, mixed with a part of the plain difference."""
    a, b = (cv2.GaussianBlur(grey, (0, 0), BLUR_PX).astype(np.float32) for grey in (picture, ground))
    size = (SHADE_PX, SHADE_PX)
    shade = np.clip((cv2.blur(a, size) + 4) / (cv2.blur(b, size) + 4), SHADE, 1.0)
    mixed = (1 - SHADE_KEPT) * np.abs(a - shade * b) + SHADE_KEPT * np.abs(a - b)
    return np.asarray(cv2.convertScaleAbs(mixed), np.uint8)


def _bars(window: Window, lower: Lower, horse: HorsePath, heading: int) -> list[Bar]:
    scene = Scene(
        window.first, window.times_s, window.full, window.scale, window.camera, horse, heading, lower.pale
    )
    places = standing_places(lower, window.camera, window.tick)
    own = [place for place in places if _is_near(window, place)]
    found: list[Bar] = []
    for place in own:  # small work in many steps: two threads would only wait for each other
        found += bars_at(traces(scene, place), scene)
        window.tick()
    return chosen_bars(found, scene)


def _is_near(window: Window, place: Place) -> bool:
    """Whether what stood there may be the window's own."""
    start, end = (window.times_s[place.seen[k][0] - window.first] for k in (0, -1))
    return bool(window.own[0] - NEAR_OWN_S <= (start + end) / 2 <= window.own[1] + NEAR_OWN_S)


def _sharpness(picture: NDArray[np.uint8]) -> float:
    """Spread of the Laplacian over the bare ground's grey spread: low where the picture is blurred."""
    return float(cv2.Laplacian(picture, cv2.CV_32F).std() / (picture.std() + 1))


def _strip(lower: Lower, horse: HorsePath, k: int, camera: CameraPath) -> NDArray[np.uint8]:
    """How the ground line differs along the horse: the most over the rows of the hooves.

    Taken from the last picture before that was looked at for standing feet, as the ground lies in that one.
    """
    near = k // lower.step
    picture, seen_at = lower.differs[near], np.array([lower.first + k])
    bottom = int(np.clip(horse.bottom[k] - lower.top, 2, len(picture)))
    rows = picture[max(0, bottom - max(2, int(STRIP_ABOVE * horse.width[k]))) : bottom]
    line = np.stack(
        [horse.middle[k] + STRIP_U * horse.width[k], np.full(len(STRIP_U), horse.bottom[k])], axis=1
    )
    there = camera.carried_each(line, seen_at, lower.frame(near))[:, 0] if lower.step > 1 else line[:, 0]
    columns = np.round(there - lower.lefts[near]).astype(int)
    inside = (columns >= 0) & (columns < picture.shape[1])
    darkest = rows.max(axis=0)[np.clip(columns, 0, picture.shape[1] - 1)]
    return np.where(inside, darkest, 0).astype(np.uint8)
