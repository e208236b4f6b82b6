"""Near and far: which of each pair is on the side the camera stands.

The near feet tread lower in the picture than the far ones, by the sole's lowest point against the empty
ground, or, under a hard shadow, against what lies beside it; the one that says more is taken. Each stance has
one height, the median of its looks. Every two stances near in time are laid into one picture; how much higher
one is than the other is explained by the slope of the path, and by a near and a far track. Whether the fores'
and the hinds' turns go together, and which turn is near, is what explains the heights best; how much better
than the other way says how sure that is. The shape of the legs above says it as well, and is listened to where the
soles say the same, however faintly: under white socks, near ones lit and far ones in the shade, it can say the other.

Where the beats are four and well apart, the order of the feet says it too: horses walk, rack and fox trot
in lateral sequence, hind then the fore of its own side (Hildebrand 1965, from memory). Near a pace or a trot,
which are each other's picture with the sides of one pair exchanged, only the heights count.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from evenfall.contacts.film.bars import Bar
from evenfall.contacts.film.camera import CameraPath
from evenfall.contacts.film.shape import Shape, how_much_lower
from evenfall.contacts.film.stances import Stance, weighted_median
from evenfall.timebase import FloatArray

__all__ = ["LEAST_GAP", "LEAST_LEAD", "Sides", "tell_sides"]

LEAST_GAP = 0.004
"""Height between the tracks, widths of the horse, under which it is no horse's: a quarter of a metre between left and
right, seen from a height of a twentieth of the distance, is 0.005 of 2.4 m (our choice). A shadow's edge has none."""

LEAST_LEAD = 4.0
"""Log-likelihood by which one way of putting fores and hinds together must lead, or it is not known which fore goes with
which hind: one in fifty is wrong at that (our choice; a lightened trot was told wrongly with 2.5)."""

SAME_SOLE = 0.03
"""How far apart along the ground, in widths, two looks may lie that are of one sole."""

NEAR_IN_TIME, LEAST_PAIRS = 2.6, 6
"""Half strides within which two stances are compared, and how many such pairs there must be."""

PRECISION = 0.008
"""Spread of a sole's height, widths of the horse (our choice, about a pixel in a small picture)."""

SEQUENCE_LEAD = 6.0
"""What the order of four beats well apart weighs, log-likelihood (our choice)."""

PAIRED_PCT, APART_PCT = 5.0, 11.0
"""Lateral phases up to the first from 0 or 50 say nothing of the order; from the second on, all (our choice)."""

NARROWING = (0.05, 0.05, 0.03, 0.03, 0.02, 0.02, 0.012, 0.012, 0.01, 0.01, 0.01, 0.01)
STARTS = (None, 0.02, -0.02)
SLOPE_HELD = 0.01


@dataclass(frozen=True)
class Sides:
    """Which stances are near.

    Parameters
    ----------
    near_parity : int
        Stance numbers of the fores with this remainder by 2 are near.
    hinds_shifted : bool
        Whether the hinds' near stances are those with the other remainder.
    gap : float
        Height of the near track under the far one, widths of the horse.
    lead : float
        How much better this explains heights and order than fores and hinds put together the other way, in
        log-likelihood; 0 is not at all.
    sureness : float
        The gap by its standard error.
    """

    near_parity: int
    hinds_shifted: bool
    gap: float
    lead: float
    sureness: float

    def is_near(self, stance: Stance) -> bool:
        """Whether the stance's foot is on the camera's side."""
        shift = int(self.hinds_shifted and stance.hind)
        return (stance.number + shift) % 2 == self.near_parity

    def is_as(self, other: "Sides") -> bool:
        """Whether the same stances are near in both."""
        return (self.near_parity, self.hinds_shifted) == (other.near_parity, other.hinds_shifted)


@dataclass(frozen=True, eq=False)
class _Pairs:
    """Two soles compared: how far apart along the path, and how much lower."""

    apart: FloatArray
    lower: FloatArray
    stances: list[tuple[Stance, Stance]]
    count: int


@dataclass(frozen=True, eq=False)
class _Sole:
    """Where a stance's sole lies, in the camera's picture ``at``; or where the leg stands whose shape was seen."""

    stance: Stance
    point: FloatArray
    at: int
    shape: Shape | None = None


def tell_sides(
    stances: Sequence[Stance], half_s: float, camera: CameraPath, where: tuple[FloatArray, FloatArray]
) -> Sides | None:
    """Tell near from far.

    Parameters
    ----------
    stances : sequence of Stance
    half_s : float
    camera : CameraPath
    where : (times_s, width)
        Time of every picture of the camera's path, and the horse's width in it.

    Returns
    -------
    Sides or None
        None where too few stances can be compared.
    """
    order = _order_lead(stances, half_s)
    reach = SAME_SOLE * float(np.nanmedian(where[1]))
    kinds = [_soles(stances, beside, camera, reach) for beside in (False, True)] + [_legs(stances)]
    *soles, by_legs = (_told(_pairs(feet, half_s, camera, where), order) for feet in kinds)
    by_soles = _clearest(soles)
    agree = by_soles is not None and by_legs is not None and by_soles.is_as(by_legs)
    return _clearest([by_soles, by_legs]) if agree else by_soles


def _clearest(told: Sequence[Sides | None]) -> Sides | None:
    known = [sides for sides in told if sides]
    return max(
        known,
        key=lambda sides: (sides.gap >= LEAST_GAP, sides.lead >= LEAST_LEAD, sides.sureness),
        default=None,
    )


def _told(pairs: _Pairs | None, order: float) -> Sides | None:
    """The sides that explain these pairs best; None where too few can be compared."""
    if pairs is None:
        return None
    fits = [_fit(pairs, shifted) for shifted in (False, True)]
    costs = [fits[0][0] - order, fits[1][0] + order]
    shifted = costs[1] < costs[0]
    _, gap, error = fits[shifted]
    return Sides(
        near_parity=0 if gap > 0 else 1,
        hinds_shifted=shifted,
        gap=abs(gap),
        lead=abs(costs[1] - costs[0]),
        sureness=abs(gap) / max(error, 1e-9),
    )


def _order_lead(stances: Sequence[Stance], half_s: float) -> float:
    """How much the order of the feet speaks for the sides as numbered; below 0 for the hinds exchanged."""
    phases = [
        (fore.on.expected_s - hind.on.expected_s) / (2 * half_s) % 1
        for fore in stances
        for hind in stances
        if hind.hind and not fore.hind and (fore.number - hind.number) % 2 == 0
    ]
    if not phases:
        return 0.0
    mean = float(np.angle(np.exp(2j * np.pi * np.array(phases)).mean()) / (2 * np.pi) * 100) % 100
    from_pairs = min(mean % 50, 50 - mean % 50)
    weight = SEQUENCE_LEAD / 2 * float(np.clip((from_pairs - PAIRED_PCT) / (APART_PCT - PAIRED_PCT), 0, 1))
    return weight if mean < 50 else -weight


def _soles(stances: Sequence[Stance], beside: bool, camera: CameraPath, reach: float) -> list[_Sole]:
    """The sole of each stance that looks of one kind cover well."""
    soles = []
    for stance in stances:
        looks = [look for _, bar in stance.bars for look in bar.looks if look.beside is beside]
        looks = [look for look in looks if _covers(look, stance)]
        looks = [look for look in looks if not look.deep] or looks
        if looks:
            soles.append(_settled(stance, looks, camera, reach))
    return soles


def _legs(stances: Sequence[Stance]) -> list[_Sole]:
    """The leg of each stance, of the look at it that says most."""
    legs = []
    for stance in stances:
        looks = sorted((look for _, bar in stance.bars for look in bar.looks), key=lambda look: -look.weight)
        shown = [(look, look.shape) for look in looks if look.shape and _covers(look, stance)]
        legs += [_Sole(stance, shape.point, look.at, shape) for look, shape in shown[:1]]
    return legs


def _settled(stance: Stance, looks: Sequence[Bar], camera: CameraPath, reach: float) -> _Sole:
    """The median of the looks, of those that are of one sole."""
    at = max(looks, key=lambda look: look.weight).at
    points = camera.carried_each(
        np.array([look.point for look in looks]), np.array([look.at for look in looks]), at
    )
    weights = np.array([np.sqrt(look.contrast) * min(look.held_s, 0.3) for look in looks])
    across = weighted_median(points[:, 0], weights)
    here = np.abs(points[:, 0] - across) < reach
    return _Sole(stance, np.array([across, weighted_median(points[here, 1], weights[here])]), at)


def _covers(look: Bar, stance: Stance) -> bool:
    both = min(look.to_s, stance.off.expected_s) - max(look.from_s, stance.on.expected_s)
    shorter = min(look.end_s - look.start_s, stance.off.expected_s - stance.on.expected_s)
    return both > 0.4 * shorter


def _pairs(
    soles: Sequence[_Sole], half_s: float, camera: CameraPath, where: tuple[FloatArray, FloatArray]
) -> _Pairs | None:
    times_s, width = where
    if len(soles) < 2:
        return None
    middle_s = np.array([sole.stance.middle_s for sole in soles])
    one, two = np.triu_indices(len(soles), 1)
    near = np.abs(middle_s[one] - middle_s[two]) <= NEAR_IN_TIME * half_s
    one, two = one[near], two[near]
    over = np.array([_over_place(soles[a], soles[b]) for a, b in zip(one, two, strict=True)])
    one, two, over = (values[np.isfinite(over)] for values in (one, two, over))
    if len(one) < LEAST_PAIRS:
        return None
    between_s = (middle_s[one] + middle_s[two]) / 2
    at = np.minimum(np.searchsorted(times_s, between_s), len(times_s) - 1)
    points, seen_at = np.array([sole.point for sole in soles]), np.array([sole.at for sole in soles])
    there = [camera.carried_each(points[k], seen_at[k], at) for k in (one, two)]
    apart, lower = (there[0] - there[1]).T / width[at]
    return _Pairs(
        apart=np.stack([apart, apart * (between_s - middle_s.mean())], axis=1),
        lower=lower + over,
        stances=[(soles[a].stance, soles[b].stance) for a, b in zip(one, two, strict=True)],
        count=len(soles),
    )


def _over_place(one: _Sole, two: _Sole) -> float:
    """How much lower over its place the one is than the other, widths: 0 for soles; NaN for legs that are not alike."""
    if one.shape is None or two.shape is None:
        return 0.0
    lower = None if one.stance.hind is not two.stance.hind else how_much_lower(one.shape, two.shape)
    return np.nan if lower is None else lower


def _fit(pairs: _Pairs, shifted: bool) -> tuple[float, float, float]:
    """Cost, gap and its standard error for one way of putting fores and hinds together."""
    side = np.array([(_side(a, shifted) - _side(b, shifted)) / 2 for a, b in pairs.stances])
    design = np.c_[pairs.apart, side]
    return min((_narrowed(pairs, design, start) for start in STARTS), key=lambda fit: fit[0])


def _side(stance: Stance, shifted: bool) -> int:
    return 1 - 2 * ((stance.number + int(shifted and stance.hind)) % 2)


def _narrowed(pairs: _Pairs, design: FloatArray, start: float | None) -> tuple[float, float, float]:
    """Weighted least squares that listens less and less to what lies far off; the slopes lightly held."""
    held = SLOPE_HELD * np.eye(3)[:2]
    solution = np.array([0.0, 0.0, start or 0.0])
    trust = np.ones(len(pairs.lower))
    for turn, reach in enumerate(NARROWING):
        rest = pairs.lower - design @ solution
        if turn or start is not None:
            trust = 1 / (1 + (rest / reach) ** 2)
        root = np.sqrt(trust)
        solution = np.linalg.lstsq(
            np.r_[design * root[:, None], held], np.r_[pairs.lower * root, 0, 0], rcond=None
        )[0]
        if start is not None and reach > 0.02:
            solution[2] = start
    rest = pairs.lower - design @ solution
    cost = pairs.count * float(np.log1p((rest / PRECISION) ** 2).mean())
    spread = float(np.sqrt((root**2 * rest**2).sum() / (root**2).sum()))
    scaled = (design * root[:, None]).T @ (design * root[:, None]) / len(pairs.lower) * pairs.count
    error = spread * float(np.sqrt(np.linalg.pinv(scaled)[2, 2]))
    return cost, float(solution[2]), error
