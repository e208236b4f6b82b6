"""What happens at one place on the ground over time: when the sole is there, and how the leg above leans.

A small patch of the full picture is cut out around the place in every picture, the empty ground taken
off. How much of the standing sole is in it (1 while the foot stands, 0 when it is gone) rises within a
picture or two when the hoof arrives and falls when it leaves. The leg above leans back when the foot has
landed and forward when it leaves, so a second foot that takes the same place shows as a sudden lean back.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import cv2
import numpy as np
from numpy.typing import NDArray

from evenfall.contacts.film.camera import CameraPath
from evenfall.contacts.film.ground import SHADE, SHADE_KEPT
from evenfall.contacts.film.horse import HorsePath
from evenfall.contacts.film.pale import HOOF_WIDE, narrow
from evenfall.contacts.film.standing import Place
from evenfall.timebase import FloatArray

__all__ = ["ABOVE", "Scene", "Trace", "traces"]

HALF_WIDTH, ABOVE, BELOW = 0.08, 0.15, 0.012
"""Size of the patch around the place, in widths of the horse."""

SOLE_EDGE = (0.5, 0.4)
"""How much of what differs most the sole's lowest row differs, and under a white leg, which differs more than its hoof."""

SOLE_HALF, SOLE_ABOVE, SOLE_ROWS, TOE = 0.028, 0.055, 0.017, 0.6
"""Where in it the sole is sought, how many rows it takes, and the share of it that counts as toe."""

BESIDE, BESIDE_ABOVE = 0.045, 0.075
"""From here outwards a shadow under the horse goes on and a hoof does not; how far above a shadow's lower edge the
sole is sought; widths."""

PAD_S, PAD_REACH = 0.9, 0.7
"""For how long before and after a place is followed: the time in which the horse goes so many widths, at most."""

AWAY_S = 3.0
CLEAR_S = 0.12
AWAY_U = 0.62
EMPTY_SAMPLES, LEAST_EMPTY = 31, 4
LEAN_FROM = 0.03


@dataclass(frozen=True, eq=False)
class Scene:
    """A window's full pictures, with all that was found of camera and horse.

    Parameters
    ----------
    first : int
        The camera's index of the first picture.
    times_s : ndarray, shape (n,)
    full : sequence of ndarray of uint8
        The pictures at full size.
    scale : tuple of float
        Full pixels in one pixel of the small picture, across and down.
    camera : CameraPath
    horse : HorsePath
    heading : int
        1 where the horse goes right in the picture, -1 where left.
    pale : bool
        Whether it has white legs, and perhaps pale hooves.
    """

    first: int
    times_s: FloatArray
    full: Sequence[NDArray[np.uint8]]
    scale: tuple[float, float]
    camera: CameraPath
    horse: HorsePath
    heading: int
    pale: bool = False

    @cached_property
    def fps(self) -> float:
        """Pictures in a real second."""
        return float(1 / np.median(np.diff(self.times_s)))

    def along(self, point: FloatArray, at: int, frames: NDArray[np.int64]) -> FloatArray:
        """Where along the horse a ground point lies in each picture: ``u``, in widths, forward positive."""
        x = self.camera.carried(point, at, frames + self.first)[:, 0]
        return np.asarray((x - self.horse.middle[frames]) * self.heading / self.horse.width[frames])


@dataclass(frozen=True, eq=False)
class Trace:
    """One place over time.

    Parameters
    ----------
    frames : ndarray of int, shape (m,)
        Pictures of the window.
    sole : ndarray, shape (m,)
        How much of the standing sole is there; NaN where the place is out of the picture.
    lean : ndarray, shape (m,)
        Where the leg above stands against the sole, in widths, forward positive; NaN where none is seen.
    leg : ndarray, shape (m,)
        Share of the rows above in which a leg is seen.
    along : ndarray, shape (m,)
        ``u`` of the place.
    contrast, noise : float
        Of the sole against the ground, and of the ground, grey levels.
    point : ndarray, shape (2,)
        The sole's lowest point in picture ``at`` (the camera's index), small pixels.
    at : int
    place : Place
    beside : bool
        Whether the sole was sought by what differs from beside it, not from the empty ground.
    differs : ndarray of float32, shape (m, h, w)
        How the patch around the place differs from the empty ground; the place lies `ABOVE` below its top.
    width_px : float
        The horse's width in the patch's pixels.
    """

    frames: NDArray[np.int64]
    sole: FloatArray
    lean: FloatArray
    leg: FloatArray
    along: FloatArray
    contrast: float
    noise: float
    point: FloatArray
    at: int
    place: Place
    beside: bool
    differs: NDArray[np.float32]
    width_px: float


@dataclass(frozen=True)
class _Patch:
    """The patch's geometry in full pixels: the horse's width, the sole's column and its own half width."""

    width: float
    shape: tuple[int, int]

    @property
    def centre(self) -> int:
        return self.shape[1] // 2


def traces(scene: Scene, place: Place) -> list[Trace]:
    """Follow one place over time: as it is, with the horse's shade taken out, and by what differs from beside it.

    Of a horse with white legs, only by what is bright or narrow.

    Returns
    -------
    list of Trace
        Those in which a sole stands out against the ground.
    """
    patch = _patch(scene, place)
    frames = _frames(scene, place)
    cut, inside = _cut(scene, place, frames, patch)
    empty = _empty(scene, place, patch)
    if empty is None:
        return []
    ground, noise = empty
    looks = _looks(cut, ground, patch, pale=scene.pale)
    core = np.isin(frames, np.array([k for k, _ in place.seen]) - scene.first)
    found = []
    for differs, besides in looks:
        standing = np.median(differs[core], axis=0)
        found += [
            _trace(scene, place, _View(frames, inside, differs, standing, noise, patch, beside, scene.pale))
            for beside in besides
        ]
    return [trace for trace in found if trace is not None and trace.contrast >= 3 * noise]


def _looks(
    cut: NDArray[np.float32], ground: NDArray[np.float32], patch: _Patch, *, pale: bool
) -> list[tuple[NDArray[np.float32], tuple[bool, ...]]]:
    """How each picture's patch differs from the ground, and whether the sole is to be told from beside it, or both."""
    differs = cut - ground
    if pale:
        return [(narrow(differs, wide * patch.width), (False,)) for wide in HOOF_WIDE]
    return [(differs, (False, True)), (_unshaded(cut, ground, patch), (False,))]


def _patch(scene: Scene, place: Place) -> _Patch:
    width = float(scene.horse.width[place.at - scene.first] * scene.scale[0])
    across = round(2 * HALF_WIDTH * width) | 1
    return _Patch(width, (max(5, round((ABOVE + BELOW) * width)), across))


def _frames(scene: Scene, place: Place) -> NDArray[np.int64]:
    pace = max(scene.horse.pace, 0.1)
    pad = int(min(PAD_S, PAD_REACH / pace + 0.1) * scene.fps) + 2
    start, end = (place.seen[k][0] - scene.first for k in (0, -1))
    return np.arange(max(0, start - pad), min(len(scene.times_s), end + pad + 1))


def _cut(
    scene: Scene, place: Place, frames: NDArray[np.int64], patch: _Patch
) -> tuple[NDArray[np.float32], NDArray[np.bool_]]:
    """Cut the patch out of each picture; shape (m, h, w), and whether its sole is inside the picture."""
    at, sizes, inside = _lying(scene, place, frames, patch)
    out = np.empty((len(frames), *patch.shape), np.float32)
    for k, (frame, (x, y), size) in enumerate(zip(frames, at, sizes, strict=True)):
        place_in = np.array([[size, 0, x - size * patch.centre], [0, size, y - size * ABOVE * patch.width]])
        out[k] = cv2.warpAffine(
            scene.full[frame],
            place_in,
            patch.shape[::-1],
            flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
            borderMode=cv2.BORDER_REPLICATE,
        )
    return out, inside


def _lying(
    scene: Scene, place: Place, frames: NDArray[np.int64], patch: _Patch
) -> tuple[FloatArray, FloatArray, NDArray[np.bool_]]:
    """Where the place lies in each full picture, how large it is seen, and whether its sole is inside."""
    carried = scene.camera.carried(place.point, place.at, frames + scene.first)
    beside = scene.camera.carried(place.point + np.array([4.0, 0.0]), place.at, frames + scene.first)
    sizes = np.hypot(*(beside - carried).T) / 4
    at = (carried + 0.5) * np.array(scene.scale) - 0.5
    down, across = scene.full[0].shape
    near = SOLE_HALF * patch.width * sizes
    inside = (at[:, 0] > near) & (at[:, 0] < across - 1 - near)
    return at, sizes, inside & (at[:, 1] > 0.05 * patch.width) & (at[:, 1] < down - 2)


def _empty(scene: Scene, place: Place, patch: _Patch) -> tuple[NDArray[np.float32], float] | None:
    """The patch while the horse is elsewhere, and its noise; None if it never is."""
    start, end = (scene.times_s[place.seen[k][0] - scene.first] for k in (0, -1))
    times = scene.times_s
    near = np.flatnonzero(
        (np.abs(times - times[place.at - scene.first]) < AWAY_S)
        & ((times < start - CLEAR_S) | (times > end + CLEAR_S))
    )
    if len(near) < LEAST_EMPTY:
        return None
    inside = _lying(scene, place, near, patch)[2]
    away = np.abs(scene.along(place.point, place.at, near)) > AWAY_U
    chosen = near[inside & away] if away.sum() >= LEAST_EMPTY else near[inside]
    if len(chosen) < LEAST_EMPTY:
        return None
    chosen = chosen[np.unique(np.linspace(0, len(chosen) - 1, min(EMPTY_SAMPLES, len(chosen))).astype(int))]
    cut, _ = _cut(scene, place, chosen, patch)
    ground = np.median(cut, axis=0)
    return ground, float(np.sqrt(np.median((cut - ground) ** 2)))


def _unshaded(cut: NDArray[np.float32], ground: NDArray[np.float32], patch: _Patch) -> NDArray[np.float32]:
    """Difference from the ground as dark as its shade would be, mixed with a part of the plain difference."""
    size = max(3, round(0.03 * patch.width) | 1)
    shade = np.stack([_blurred(part, size) for part in cut]) + 4
    shade /= _blurred(ground, size) + 4
    np.clip(shade, SHADE, 1.0, out=shade)
    return np.asarray(cut - ground * (SHADE_KEPT + (1 - SHADE_KEPT) * shade), np.float32)


def _blurred(picture: NDArray[np.float32], size: int) -> NDArray[np.float32]:
    return np.asarray(cv2.blur(picture, (size, size), borderType=cv2.BORDER_REFLECT), np.float32)


@dataclass(frozen=True, eq=False)
class _View:
    frames: NDArray[np.int64]
    inside: NDArray[np.bool_]
    differs: NDArray[np.float32]
    standing: NDArray[np.float32]
    noise: float
    patch: _Patch
    beside: bool
    pale: bool


def _trace(scene: Scene, place: Place, view: _View) -> Trace | None:
    sole = _sole(view, scene.heading)
    if sole is None:
        return None
    rows, columns = sole
    model = view.standing[rows, columns]
    energy = float((model * model).sum())
    amount = (view.differs[:, rows, columns] * model).sum(axis=(1, 2)) / max(energy, 1e-9)
    lean, leg = _leg(view, rows.stop - 1, scene.heading)
    lowest = place.point[1] + (rows.stop - 1 - ABOVE * view.patch.width) / scene.scale[1]
    return Trace(
        frames=view.frames,
        sole=np.where(view.inside, amount, np.nan),
        lean=lean,
        leg=leg,
        along=scene.along(place.point, place.at, view.frames),
        contrast=float(np.sqrt(energy / model.size)),
        noise=view.noise,
        point=np.array([place.point[0], lowest]),
        at=place.at,
        place=place,
        beside=view.beside,
        differs=view.differs,
        width_px=view.patch.width,
    )


def _sole(view: _View, heading: int) -> tuple[slice, slice] | None:
    """Rows and columns of the standing sole's toe: the lowest rows that differ, from the ground or from beside."""
    patch, standing = view.patch, view.standing
    centre, half = patch.centre, max(2, int(SOLE_HALF * patch.width))
    top = round((ABOVE - (BESIDE_ABOVE if view.beside else SOLE_ABOVE)) * patch.width)
    beside = np.abs(np.arange(patch.shape[1]) - centre) > BESIDE * patch.width
    apart = standing - np.median(standing[:, beside], axis=1, keepdims=True) if view.beside else standing
    profile = np.abs(apart[:, centre - half // 2 : centre + half // 2 + 1]).mean(axis=1)
    edge = SOLE_EDGE[view.pale] * _high(profile[top:])
    strong = top + np.flatnonzero(profile[top:] > (max(edge, 4 * view.noise) if view.pale else edge))
    if not len(strong):
        return None
    lowest = int(strong.max())
    rows = slice(max(0, lowest - max(2, round(SOLE_ROWS * patch.width)) + 1), lowest + 1)
    across = np.abs(standing[rows, centre - half : centre + half + 1]).mean(axis=0)
    wide = np.flatnonzero(across > 0.5 * _high(across))
    if not len(wide):
        return None
    left, right = centre - half + int(wide.min()), centre - half + int(wide.max()) + 1
    toe = max(2, int(TOE * (right - left)))
    return rows, slice(right - toe, right) if heading > 0 else slice(left, left + toe)


def _high(values: NDArray[np.float32]) -> float:
    """The value that nine in ten do not exceed."""
    at = int(0.9 * (values.size - 1))
    return float(np.partition(values, at, axis=None)[at])


def _leg(view: _View, lowest: int, heading: int) -> tuple[FloatArray, FloatArray]:
    """Where the leg stands against the sole, and the share of rows in which it is seen; each shape (m,)."""
    threshold = max(4 * view.noise, 0.4 * _high(np.abs(view.standing)))
    above = np.abs(view.differs[:, : max(1, lowest - int(LEAN_FROM * view.patch.width))]) > threshold
    where = (np.arange(view.patch.shape[1]) - view.patch.centre) / view.patch.width * heading
    count = above.sum(axis=(1, 2))
    lean = (above.sum(axis=1) * where).sum(axis=1) / np.maximum(count, 1)
    return np.where(count > 8, lean, np.nan), above.any(axis=2).mean(axis=1)
