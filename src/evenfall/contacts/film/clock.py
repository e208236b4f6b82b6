"""The horse's own clock: when each foot is expected to land and to leave, from all its feet together.

Every foot keeps the same stride. One pace, and one slow change of it, are fitted to the landings and lift-offs of all
four feet at once, with a level for each kind of moment and a place for a left-right difference. A foot that is hidden
again and again is then expected where the others, and its own other moment, say.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from evenfall.timebase import FloatArray

__all__ = ["LEAST_SCATTER_S", "Moments", "expected_times"]

LEAST_SCATTER_S = 0.004

LEAST_KNOWN = 8
BENDS_FROM = 20
"""From so many moments on the pace may change: two for each number that is fitted."""

LEAST_OF_A_SIDE = 4
MOST_UNEVEN_S, MOST_UNEVEN = 0.03, 0.1
"""How much longer than the other side's a foot may stand, of one pair: so long, or such a share of its stance. More is a
landing or a lift-off that another leg hides again and again: of the foot that seems to stand shorter, and whichever differs more
(our choice)."""

LEAST_OF_A_KIND = 3

FIRST_ROUNDS, ROUNDS = 5, 14
"""Rounds in which far moments count by their distance only, and all of them."""


@dataclass(frozen=True, eq=False)
class Moments:
    """Landings and lift-offs of one ride; all of shape (n,).

    Parameters
    ----------
    at_s : ndarray
        Where an even pattern puts them, real seconds.
    seen_s : ndarray
        When they were seen; NaN where they were not.
    hind, off, odd : ndarray of bool
        Whether of a hind foot, whether a lift-off, and on which of the two sides.
    """

    at_s: FloatArray
    seen_s: FloatArray
    hind: NDArray[np.bool_]
    off: NDArray[np.bool_]
    odd: NDArray[np.bool_]

    @property
    def known(self) -> NDArray[np.bool_]:
        """Whether each was seen."""
        return np.isfinite(self.seen_s)

    @property
    def kinds(self) -> list[NDArray[np.bool_]]:
        """Landings and lift-offs of the fores, then of the hinds."""
        return [(self.hind == hind) & (self.off == off) for hind in (False, True) for off in (False, True)]


def expected_times(moments: Moments) -> tuple[FloatArray, FloatArray, NDArray[np.bool_]] | None:
    """When each moment is expected, how far those of its kind scatter about that, and which were never seen rightly.

    Iterated least squares: first by absolute distances, then with far moments weighed down, each kind by its own
    scatter. What another leg hides at every stride is left out of it.

    Returns
    -------
    tuple of ndarray, each shape (n,), or None
        Real seconds, and whether hidden. None with fewer than eight moments known.
    """
    if moments.known.sum() < LEAST_KNOWN:
        return None
    fitted, scatter = _fitted(moments)
    hidden = _hidden(moments, fitted, hind=False) | _hidden(moments, fitted, hind=True)
    if hidden.any():
        fitted, scatter = _fitted(replace(moments, seen_s=np.where(hidden, np.nan, moments.seen_s)))
    return moments.at_s + fitted, scatter, hidden


def _fitted(moments: Moments) -> tuple[FloatArray, FloatArray]:
    """How late each moment is expected, and the scatter."""
    known = moments.known
    apart = [_both_known(moments, hind) for hind in (False, True)]
    design, late = _design(moments, apart), moments.seen_s - moments.at_s
    weights = np.ones(int(known.sum()))
    for turn in range(ROUNDS):
        root = np.sqrt(weights)[:, None]
        fitted = np.linalg.lstsq(design[known] * root, late[known] * root[:, 0], rcond=None)[0]
        rest = late - design @ fitted
        scatter = _scatter(moments, rest)
        far = np.abs(rest[known])
        if turn < FIRST_ROUNDS:
            weights = 1 / np.maximum(far, LEAST_SCATTER_S)
        else:
            weights = 1 / (1 + (far / (1.5 * scatter[known])) ** 2)
    return design @ fitted, scatter


def _of_pair(moments: Moments, hind: bool) -> list[NDArray[np.bool_]]:
    """Its landings, and its lift-offs."""
    return moments.kinds[2 * hind : 2 * hind + 2]


def _hidden(moments: Moments, late: FloatArray, *, hind: bool) -> NDArray[np.bool_]:
    """Landings, or lift-offs, of one foot of a pair that are expected so that it stands far shorter than its fellow."""
    kinds, none = _of_pair(moments, hind), np.zeros(len(late), bool)
    if not _both_known(moments, hind):
        return none
    landings, lift_offs = (
        float(late[kind & moments.odd].mean() - late[kind & ~moments.odd].mean()) for kind in kinds
    )
    longer_s = lift_offs - landings
    stands_s = float(moments.at_s[kinds[1]].mean() - moments.at_s[kinds[0]].mean())
    if abs(longer_s) <= max(MOST_UNEVEN_S, MOST_UNEVEN * stands_s):
        return none
    return np.asarray(kinds[abs(lift_offs) > abs(landings)] & (moments.odd == (longer_s < 0)))


def _both_known(moments: Moments, hind: bool) -> bool:
    """Whether enough landings, and lift-offs, of either side of a pair are known to tell how they differ."""
    return all(_both_sides(moments, kind) for kind in _of_pair(moments, hind))


def _design(moments: Moments, apart: Sequence[bool]) -> FloatArray:
    """Columns: a level for each kind, the pace, its change, and the sides' differences; shape (n, up to 10).

    A foot's landings and lift-offs differ from the other side's each by its own where enough are seen of both,
    otherwise together.
    """
    known, at = moments.known, moments.at_s - moments.at_s[moments.known].mean()
    columns = [kind & kind[known].any() for kind in moments.kinds]
    columns = [*columns, at, *([at * at] if known.sum() >= BENDS_FROM else [])]
    side = np.where(moments.odd, 1.0, -1.0)
    for hind in (False, True):
        landings, lift_offs = _of_pair(moments, hind)
        any_known = _both_sides(moments, landings) or _both_sides(moments, lift_offs)
        differing = [landings, lift_offs] if apart[hind] else [landings | lift_offs] * any_known
        columns += [side * which for which in differing]
    return np.stack(columns, axis=1).astype(float)


def _both_sides(moments: Moments, kind: NDArray[np.bool_]) -> bool:
    known = moments.known & kind
    return min(int((known & moments.odd).sum()), int((known & ~moments.odd).sum())) >= LEAST_OF_A_SIDE


def _scatter(moments: Moments, rest: FloatArray) -> FloatArray:
    """Of each moment's kind, or of all where few of it are known; shape (n,)."""
    known = moments.known
    scatter = np.full(len(rest), _spread(rest[known]))
    for kind in moments.kinds:
        if (known & kind).sum() >= LEAST_OF_A_KIND:
            scatter[kind] = _spread(rest[known & kind])
    return scatter


def _spread(rest: FloatArray) -> float:
    return max(1.4826 * float(np.median(np.abs(rest))), LEAST_SCATTER_S)
