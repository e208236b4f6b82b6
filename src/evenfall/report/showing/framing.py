"""Which part of each picture is shown, and what of it is made unrecognisable.

Conventions: places are pixels; a matrix, shape (2, 3), takes a place in the upright film to where it is shown.

The machine's box of the horse is drawn by what differs from the ground: shade widens it and lowers its lowest row, a
rider heightens it. Each line across the horse is therefore told twice, by the box's width and by its height, and the one
that shows less counts.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from evenfall.errors import TooLittleEvidence
from evenfall.report.showing.box import near_known, steadied, trusted
from evenfall.report.showing.look import PAPER, PICTURE, Picture
from evenfall.report.showing.places import Places
from evenfall.timebase import FloatArray

__all__ = ["Blur", "Framing", "framed_legs", "framed_whole", "rider_blurred"]

LEGS = (0.34, 0.29)
"""How far above the box's lowest row the legs are shown, in its widths and in its heights with the rider: under the
stirrup, which hangs at the height of the belly (our choice, from drawn horses and ridden walks)."""

BACK = (0.68, 0.55)
"""The same of the line above which a rider is blurred: about the saddle's seat, a little lower."""

BENEATH, ACROSS = 0.04, 1.3
"""How much of the ground below the legs is shown, and how wide, in widths of the horse."""

REACH = 0.65
"""How far to either side of the horse's middle what is above its back is blurred, widths."""

UNPLACED = 0.75
"""Share of the picture, from the top, that is blurred where no horse was found."""

CELL = 0.13
"""Side of the cells to which the blurred part is reduced, in widths of the horse: a head is about one (our choice)."""


@dataclass(frozen=True, eq=False)
class Framing:
    """How every picture of a film is cut.

    Parameters
    ----------
    size : tuple of int
        Width and height of what is shown, even.
    decoded : tuple of int
        Width and height at which pictures are to be handed to `cut`.
    matrices : ndarray, shape (n_pictures, 2, 3)
        From the film to what is shown.
    known : ndarray of bool, shape (n_pictures,)
        Where False the picture is left empty: it is not known what it would show.
    """

    size: tuple[int, int]
    decoded: tuple[int, int]
    matrices: FloatArray
    known: NDArray[np.bool_]
    follows: bool

    def cut(self, picture: Picture, index: int) -> Picture:
        """Cut one picture, as large as ``decoded``."""
        if not self.known[index]:
            return np.full((self.size[1], self.size[0], 3), PAPER, PICTURE)
        if not self.follows:
            return picture
        cut = cv2.warpAffine(picture, self.matrices[index], self.size, flags=cv2.INTER_LINEAR,
                             borderMode=cv2.BORDER_CONSTANT, borderValue=PAPER)  # fmt: skip
        return np.asarray(cut, PICTURE)

    def shown_at(self, index: int, place: tuple[float, float]) -> tuple[float, float]:
        """Where a place of the film is shown."""
        x, y = self.matrices[index] @ np.array([*place, 1.0])
        return float(x), float(y)

    def scale(self, index: int) -> float:
        """Shown pixels to one of the film."""
        return float(self.matrices[index, 0, 0])


def framed_whole(film: tuple[int, int], n_pictures: int, room: tuple[int, int]) -> Framing:
    """Show the whole picture, as large as the room allows."""
    scale = min(room[0] / film[0], room[1] / film[1])
    size = _even(film[0] * scale), _even(film[1] * scale)
    matrix = np.array([[size[0] / film[0], 0, 0], [0, size[1] / film[1], 0.0]])
    every = np.broadcast_to(matrix, (n_pictures, 2, 3))
    return Framing(size, size, every, np.ones(n_pictures, bool), follows=False)


def framed_legs(film: tuple[int, int], places: Places | None, fps: float, room: tuple[int, int]) -> Framing:
    """Show the legs and nothing above them, the horse held in the middle as far as the film reaches.

    Parameters
    ----------
    film : tuple of int
        Its width and height.
    places : Places or None
    fps : float
        Pictures in a real second.
    room : tuple of int
        The most width and height that can be shown.

    Raises
    ------
    TooLittleEvidence
        If no horse was found.
    """
    if places is None or not trusted(places.horse, fps).any():
        raise TooLittleEvidence(
            "the horse was not found in this film, so where its legs are is not known. Choose the whole picture."
        )
    middle, width, bottom, above = steadied(places.horse, fps, LEGS)
    across_px = np.minimum(ACROSS * width, film[0])
    high_px = above + np.clip(film[1] - bottom, 0, BENEATH * width)
    aspect = float(np.median(across_px / high_px))
    across = min(room[0], room[1] * aspect)
    size = _even(across), _even(across / aspect)
    scale = np.minimum(size[0] / across_px, size[1] / high_px)
    half = np.minimum(size[0] / scale, film[0]) / 2
    matrices = np.zeros((len(scale), 2, 3))
    matrices[:, 0, 0] = matrices[:, 1, 1] = scale
    matrices[:, 0, 2] = size[0] / 2 - scale * np.clip(middle, half, film[0] - half)
    matrices[:, 1, 2] = -scale * (bottom - above)
    return Framing(size, film, matrices, near_known(places.horse, fps), follows=True)


@dataclass(frozen=True, eq=False)
class Blur:
    """What of each picture is made unrecognisable.

    Parameters
    ----------
    boxes : ndarray of int, shape (n_pictures, 3)
        First and last column and last row, pixels of the film; from the top row on.
    cell : float
        Side of the cells, pixels of the film.
    placed : bool
        False where no horse was found, and the upper part of every picture is blurred.
    """

    boxes: NDArray[np.int64]
    cell: FloatArray
    placed: bool

    def lay(self, picture: Picture, index: int, framing: Framing) -> None:
        """Blur one cut picture, in place."""
        left, right, row = (float(value) for value in self.boxes[index])
        (x0, _), (x1, y1) = framing.shown_at(index, (left, 0)), framing.shown_at(index, (right, row))
        high, wide = picture.shape[:2]
        x0, x1, y1 = max(0, round(x0)), min(wide, round(x1)), min(high, round(y1))
        if x1 > x0 and y1 > 0:
            _unrecognisable(picture[:y1, x0:x1], self.cell[index] * framing.scale(index))


def rider_blurred(film: tuple[int, int], places: Places | None, n_pictures: int, fps: float) -> Blur:
    """Find what lies above the horse's back in every picture; where the horse was lost, all that lies so high."""
    if places is None or not trusted(places.horse, fps).any():
        row = round(UNPLACED * film[1])
        every = np.tile(np.array([0, film[0], row]), (n_pictures, 1))
        return Blur(every, np.full(n_pictures, 0.06 * min(film)), placed=False)
    middle, width, bottom, above = steadied(places.horse, fps, BACK)
    lost = ~near_known(places.horse, fps)
    left = np.where(lost, 0, middle - REACH * width)
    right = np.where(lost, film[0], middle + REACH * width)
    boxes = np.stack([left, right, bottom - above], axis=1)
    return Blur(np.round(boxes).astype(np.int64), CELL * width, placed=True)


def _unrecognisable(part: Picture, cell: float) -> None:
    """Reduce a part to cells, each its own mean, and smooth over their edges, in place."""
    high, wide = part.shape[:2]
    coarse = max(1, round(wide / cell)), max(1, round(high / cell))
    cells = cv2.resize(part, coarse, interpolation=cv2.INTER_AREA)
    part[:] = np.asarray(cv2.resize(cells, (wide, high), interpolation=cv2.INTER_LINEAR), PICTURE)


def _even(size: float) -> int:
    return max(2, 2 * round(size / 2 - 1e-6))
