"""Where the horse is: its stretch of the picture, its middle and which way it goes.

Sought in very small pictures, three times: against the plain median of the pictures around, and then with
the stretch found before left out of the ground.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

from evenfall.contacts.film.camera import CameraPath, shrunk
from evenfall.contacts.film.ground import Planes, Stretches, differences, empty_grounds, planes_of
from evenfall.timebase import FloatArray

__all__ = ["HorsePath", "find_horse", "median_smooth"]

Grey = NDArray[np.uint8]

WIDTH = 160
MOST_FPS = 20.0
"""Pictures a second in which it is sought; between them its edges go evenly."""

LEAST_CONTRAST = 8
LEAST_AREA = 0.002
"""A horse fills at least this share of the picture."""

CANDIDATES = 4
JUMP_COST = 20.0

TURNS, NARROW_PCT, ROOM = 3, 30, 0.62
"""How often the horse is sought, which of the widths around is taken for its own, and how far from its middle, in
widths, it may reach."""

OUTER, CLUTTERED = 0.15, 0.08
"""How much of the picture's left, and right, is looked at for what stands behind the ground, and how much of both
differs on average where something does."""

BESIDE = 0.025
"""How much further from where most differs its middle may be seen than at other times, in widths."""

STEADY_S = 0.3
WIDTH_STEADY_S = 1.5
STEP_S = 0.1


@dataclass(frozen=True, eq=False)
class HorsePath:
    """The horse in each picture of a window; pixels of the small picture, smoothed over time.

    Parameters
    ----------
    left, right, bottom, middle, width : ndarray, shape (n,)
    length : ndarray, shape (n,)
        Its width by its height, the rider included: about 1 for a horse from the side.
    seen : ndarray of bool, shape (n,)
        Whether something horse-sized differs from the ground.
    at_edge : ndarray of bool, shape (n,)
        Whether it touches the picture's left or right edge.
    advance : ndarray, shape (n,)
        How fast the middle goes over the ground, widths a second, right positive.
    """

    left: FloatArray
    right: FloatArray
    bottom: FloatArray
    middle: FloatArray
    width: FloatArray
    length: FloatArray
    seen: NDArray[np.bool_]
    at_edge: NDArray[np.bool_]
    advance: FloatArray

    @property
    def heading(self) -> int:
        """1 where it goes right in the picture as long as it is seen, -1 where left."""
        return 1 if np.median(self.advance[self.seen]) >= 0 else -1

    @property
    def pace(self) -> float:
        """How fast it goes while it is seen, widths a second."""
        return float(np.median(np.abs(self.advance[self.seen])))

    def every(self, step: int) -> "HorsePath":
        """The horse in the first picture and every ``step`` later."""
        return replace(self, **{field.name: getattr(self, field.name)[::step] for field in fields(self)})


@dataclass(frozen=True, eq=False)
class _Boxes:
    """Raw boxes: columns left, right, bottom, middle, top, and middle by how much differs; NaN for none."""

    edges: FloatArray
    at_edge: NDArray[np.bool_]


def find_horse(
    pictures: Sequence[Grey], times_s: FloatArray, camera: CameraPath, first: int
) -> HorsePath | None:
    """Find the horse in a window of small pictures.

    Parameters
    ----------
    pictures : sequence of ndarray of uint8, shape (h, w)
    times_s : ndarray, shape (n,)
        Real seconds.
    camera : CameraPath
    first : int
        The camera's index of the window's first picture.

    Returns
    -------
    HorsePath or None
        None where nothing horse-sized differs from the ground.
    """
    share = WIDTH / pictures[0].shape[1]
    step = max(1, int(_rate(times_s) / MOST_FPS + 0.05))
    picked = np.unique(np.r_[0 : len(pictures) : step, len(pictures) - 1])
    tiny = [shrunk(pictures[k], share) for k in picked]
    scale = np.diag([tiny[0].shape[1] / pictures[0].shape[1], tiny[0].shape[0] / pictures[0].shape[0], 1.0])
    planes = planes_of(camera, first, scale)
    boxes = _again_and_again(tiny, times_s[picked], lambda start, end: planes(picked[start], picked[end]))
    if boxes is None:
        return None
    edges = boxes.edges / np.diag(scale)[[0, 0, 1, 0, 1, 0]]
    between = [np.interp(times_s, times_s[picked], column) for column in edges.T]
    nearest = np.searchsorted(picked, np.arange(len(pictures)))
    return _path(_Boxes(np.stack(between, axis=1), boxes.at_edge[nearest]), times_s, camera, first)


def _again_and_again(tiny: Sequence[Grey], times_s: FloatArray, planes: Planes) -> _Boxes | None:
    """The boxes found against all that was filmed, and then against the ground without what was found before."""
    stretches: Stretches | None = None
    for _ in range(TURNS):
        boxes = _boxes(tiny, times_s, planes, stretches)
        if np.isfinite(boxes.edges[:, 0]).sum() < 3:
            return None
        stretches = _stretches(boxes, _rate(times_s))
    return boxes


def _stretches(boxes: _Boxes, fps: float) -> Stretches:
    """The columns around each box's middle that the horse may take up.

    Where the horse stood long, the ground seems to have it, and once it is gone its ghost makes the box wider: the
    narrower boxes of the time around are the true ones.
    """
    middle = median_smooth(boxes.edges[:, 5], round(STEADY_S * fps))
    wide = median_smooth(boxes.edges[:, 1] - boxes.edges[:, 0], round(STEADY_S * fps))
    around = _around(wide, round(2 * WIDTH_STEADY_S * fps))
    narrow = int(NARROW_PCT / 100 * around.shape[1])
    width = np.partition(around, narrow, axis=1)[:, narrow]
    room = ROOM * width
    return lambda index: (middle[index] - room[index], middle[index] + room[index])


def _rate(times_s: FloatArray) -> float:
    return float(1 / np.median(np.diff(times_s)))


def _boxes(tiny: Sequence[Grey], times_s: FloatArray, planes: Planes, horse: Stretches | None) -> _Boxes:
    grounds = empty_grounds(tiny, times_s, planes, horse)
    differs = differences(tiny, times_s, planes, grounds)
    below = differs[:, differs.shape[1] // 3 :]
    noise, strongest = float(np.median(below)), float(np.percentile(below, 99))
    threshold = max(LEAST_CONTRAST, 3 * noise + 3, 0.25 * strongest)
    differs[:, : _background(differs > threshold)] = 0
    chosen = _steadiest([_patches(picture, picture > threshold) for picture in differs])
    edges = np.array([patch.edges if patch else (np.nan,) * 6 for patch in chosen])
    return _Boxes(edges, np.array([patch is not None and patch.at_edge for patch in chosen]))


def _background(differing: NDArray[np.bool_]) -> int:
    """How many rows at the top are not the ground's: from a camera that travels, fence and trees move otherwise.

    In them something differs left and right in the picture at once, and the horse is not at both.
    """
    outer = max(2, round(OUTER * differing.shape[2]))
    both = np.minimum(differing[:, :, :outer].mean(axis=2), differing[:, :, -outer:].mean(axis=2)).mean(
        axis=0
    )
    clutter = np.convolve(both, np.ones(3) / 3, "same")
    rows = np.flatnonzero(clutter[: 2 * len(clutter) // 3] > CLUTTERED)
    return int(rows[-1]) + 1 if len(rows) else 0


@dataclass(frozen=True)
class _Patch:
    """Something that differs from the ground, its edges as in `_Boxes`; and how much it differs in all."""

    edges: tuple[float, float, float, float, float, float]
    at_edge: bool
    amount: float


def _patches(differs: Grey, mask: NDArray[np.bool_]) -> list[_Patch]:
    """The few patches that differ most, of a horse's size at least."""
    joined = cv2.morphologyEx(mask.astype(np.uint8), cv2.MORPH_CLOSE, np.ones((5, 7), np.uint8))
    clean = cv2.morphologyEx(joined, cv2.MORPH_OPEN, np.ones((2, 2), np.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(clean)
    large = [k for k in range(1, count) if stats[k, cv2.CC_STAT_AREA] >= LEAST_AREA * mask.size]
    largest = sorted(large, key=lambda k: -stats[k, cv2.CC_STAT_AREA])[:CANDIDATES]
    found = [_patch(differs, labels == k, stats[k]) for k in largest]
    # joining fills in between points, and what is left of that may not differ at all
    return [patch for patch in found if patch.amount > 0]


def _patch(differs: Grey, mask: NDArray[np.bool_], stats: NDArray[np.int32]) -> _Patch:
    """Its outermost hundredths to left and right are left off."""
    columns, amounts = np.cumsum(mask.sum(axis=0)), np.cumsum((differs * mask).sum(axis=0))
    low, middle, high = np.searchsorted(columns, np.array([0.01, 0.5, 0.99]) * columns[-1])
    heaviest = np.searchsorted(amounts, 0.5 * amounts[-1])
    x, y, across, down = stats[:4]
    at_edge = bool(x <= 1 or x + across >= mask.shape[1] - 1)
    amount = float(differs[mask].sum())
    edges = (
        float(low),
        float(high + 1),
        float(y + down),
        float(middle) + 0.5,
        float(y),
        float(heaviest) + 0.5,
    )
    return _Patch(edges, at_edge, amount)


def _steadiest(patches: Sequence[Sequence[_Patch]]) -> list[_Patch | None]:
    """Of each picture's patches, the row of strong ones that jumps least."""
    known = [k for k, here in enumerate(patches) if here]
    chosen: list[_Patch | None] = [None] * len(patches)
    if not known:
        return chosen
    scores, back = [np.log([p.amount for p in patches[known[0]]])], []
    for before, now in pairwise(known):
        jump = np.array([[_jump(a, b) for a in patches[before]] for b in patches[now]])
        reach = scores[-1] - jump
        back.append(reach.argmax(axis=1))
        scores.append(reach.max(axis=1) + np.log([p.amount for p in patches[now]]))
    best = int(scores[-1].argmax())
    for place, k in reversed(list(enumerate(known))):
        chosen[k] = patches[k][best]
        best = int(back[place - 1][best]) if place else best
    return chosen


def _jump(a: _Patch, b: _Patch) -> float:
    """Cost of going from one patch to the other: how far their middles lie apart, in widths."""
    width = max(a.edges[1] - a.edges[0], b.edges[1] - b.edges[0])
    return JUMP_COST * abs(a.edges[3] - b.edges[3]) / width


def _path(boxes: _Boxes, times_s: FloatArray, camera: CameraPath, first: int) -> HorsePath:
    fps = _rate(times_s)
    left, right, bottom, middle, top, heaviest = boxes.edges.T
    seen = np.isfinite(left)
    whole = seen & ~boxes.at_edge
    known = whole if whole.sum() >= max(5, 0.2 * fps) else seen
    length = median_smooth((right - left) / (bottom - top), round(WIDTH_STEADY_S * fps))
    width = median_smooth(np.where(known, right - left, np.nan), round(WIDTH_STEADY_S * fps))
    bottom = median_smooth(bottom, round(0.5 * fps))
    # where most differs is told more surely than the middle, and lies about as far from it all the time
    usual = heaviest + median_smooth(middle - heaviest, round(2 * WIDTH_STEADY_S * fps))
    middle = np.clip(middle, usual - BESIDE * width, usual + BESIDE * width)
    middle = median_smooth(middle, round(STEADY_S * fps))
    advance = _advance(middle, bottom, width, (times_s, camera, first))
    if known is whole and not whole.all():
        middle = _continued(middle, bottom, np.flatnonzero(whole), (times_s, camera, first), advance * width)
    return HorsePath(
        left=median_smooth(left, round(0.5 * fps)),
        right=median_smooth(right, round(0.5 * fps)),
        bottom=bottom,
        middle=middle,
        width=width,
        length=length,
        seen=seen,
        at_edge=boxes.at_edge,
        advance=advance,
    )


def _advance(
    middle: FloatArray, bottom: FloatArray, width: FloatArray, where: tuple[FloatArray, CameraPath, int]
) -> FloatArray:
    """Speed over the ground at each picture, from a step of a tenth of a second; smoothed over one second."""
    times_s, camera, first = where
    n, fps = len(middle), _rate(times_s)
    step = min(max(1, round(STEP_S * fps)), n - 1)
    speed = np.full(n, np.nan)
    for k in range(n - step):
        later = np.array([middle[k + step], bottom[k + step]])
        back = camera.carried_to(later, first + k + step, first + k)
        speed[k] = (back[0] - middle[k]) / width[k] / (times_s[k + step] - times_s[k])
    return median_smooth(speed, round(fps))


def _continued(
    middle: FloatArray,
    bottom: FloatArray,
    whole: NDArray[np.int64],
    where: tuple[FloatArray, CameraPath, int],
    speed: FloatArray,
) -> FloatArray:
    """Carry the middle on at its pace where the horse is cut off by the picture's edge."""
    times_s, camera, first = where
    out = middle.copy()
    inside = max(1, round(0.12 * _rate(times_s)))
    last, start = max(whole[-1] - inside, whole[0]), min(whole[0] + inside, whole[-1])
    walks = [(range(last + 1, len(middle)), -1, last), (range(start - 1, -1, -1), 1, start)]
    for walk, back, anchor in walks:
        pace = float(np.median(speed[max(0, anchor - 4 * inside) : anchor + 4 * inside + 1]))
        for k in walk:
            held = camera.carried_to(np.array([out[k + back], bottom[k + back]]), first + k + back, first + k)
            out[k] = held[0] + pace * (times_s[k] - times_s[k + back])
    return out


def median_smooth(values: FloatArray, size: int) -> FloatArray:
    """Running median, the gaps (NaN) bridged by straight lines; ``size`` is made odd."""
    known = np.flatnonzero(np.isfinite(values))
    bridged = np.interp(np.arange(len(values)), known, values[known])
    return np.asarray(np.median(_around(bridged, size), axis=1), np.float64)


def _around(values: FloatArray, size: int) -> FloatArray:
    """The values around each, an odd number of them, those at the ends repeated; shape (n, size or size + 1)."""
    half = size // 2
    return np.lib.stride_tricks.sliding_window_view(np.pad(values, half, mode="edge"), 2 * half + 1)
