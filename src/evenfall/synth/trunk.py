"""The horse without its legs: trunk, neck, head, mane and tail, painted once for each film.

Conventions: metres ahead of the middle of the trunk and above the ground; the horse faces right.
"""

import numpy as np

from evenfall.synth.brush import Paper, Sheet, closed_curve, open_curve, spots
from evenfall.synth.coats import Coat, Colour, blend
from evenfall.timebase import FloatArray

__all__ = ["TAIL_ROOT", "TAIL_SHEET", "TRUNK_SHEET", "painted_tail", "painted_trunk"]

TRUNK_SHEET = (-1.05, 1.60, 0.50, 2.66)  # left, right, bottom, top
TAIL_SHEET = (-1.50, -0.60, 0.30, 1.60)
TAIL_ROOT = (-0.775, 1.40)

TOPLINE = [(0.50, 1.625), (0.37, 1.565), (0.22, 1.50), (0.02, 1.462), (-0.18, 1.468), (-0.36, 1.505),
           (-0.52, 1.512), (-0.66, 1.468), (-0.765, 1.385)]  # fmt: skip
QUARTER = [(-0.822, 1.26), (-0.815, 1.17), (-0.770, 1.075), (-0.680, 1.005), (-0.560, 0.965), (-0.440, 0.950),
           (-0.330, 0.940), (-0.225, 0.932)]  # fmt: skip
BELLY = [(-0.12, 0.905), (0.04, 0.858), (0.20, 0.825), (0.34, 0.808), (0.48, 0.818), (0.60, 0.872)]
FRONT = [(0.685, 0.965), (0.722, 1.08), (0.722, 1.19), (0.762, 1.31), (0.832, 1.46), (0.893, 1.60),
         (0.928, 1.70), (0.955, 1.745)]  # fmt: skip
HEAD = [(1.02, 1.722), (1.095, 1.69), (1.165, 1.655), (1.215, 1.60), (1.255, 1.535), (1.285, 1.492),
        (1.325, 1.478), (1.368, 1.500), (1.398, 1.548), (1.396, 1.602), (1.366, 1.668), (1.318, 1.765),
        (1.262, 1.875), (1.205, 1.968), (1.148, 2.030), (1.072, 2.062)]  # fmt: skip
CREST = [(0.97, 2.052), (0.87, 1.985), (0.74, 1.865), (0.62, 1.745)]

SHAPE = closed_curve(TOPLINE + QUARTER + BELLY + FRONT + HEAD + CREST)
NEAR_EAR = closed_curve([(1.045, 2.035), (1.052, 2.13), (1.092, 2.205), (1.118, 2.13), (1.105, 2.045)])
FAR_EAR = closed_curve([(1.085, 2.03), (1.105, 2.11), (1.145, 2.175), (1.16, 2.105), (1.14, 2.03)])

# The middle of the tail from the root to the tip.
TAIL_LINE = open_curve(
    [(-0.755, 1.40), (-0.86, 1.385), (-0.935, 1.24), (-0.965, 1.02), (-0.985, 0.80), (-1.015, 0.53)]
)
TAIL_GROW = np.linspace(0, 1, len(TAIL_LINE))

# Muscles and hollows: x, y, reach along x and y, height (a hollow is negative), metres.
MUSCLES = [
    (-0.56, 1.20, 0.20, 0.22, 0.060), (-0.42, 0.98, 0.14, 0.16, 0.040), (-0.24, 1.12, 0.07, 0.16, -0.030),
    (-0.74, 1.04, 0.05, 0.20, 0.020), (-0.66, 1.22, 0.05, 0.22, -0.014), (0.53, 1.16, 0.12, 0.26, 0.046),
    (0.34, 1.22, 0.05, 0.26, -0.022), (0.42, 0.95, 0.11, 0.10, 0.034), (0.62, 1.06, 0.09, 0.12, 0.026),
    (0.66, 1.36, 0.07, 0.16, -0.018), (0.80, 1.66, 0.10, 0.12, 0.016), (0.05, 1.12, 0.26, 0.20, 0.030),
    (1.10, 1.80, 0.075, 0.085, 0.030), (1.215, 1.74, 0.018, 0.15, 0.010), (1.18, 1.93, 0.035, 0.03, 0.014),
    (1.335, 1.565, 0.05, 0.05, 0.016), (0.98, 1.84, 0.03, 0.12, -0.020), (-0.43, 1.40, 0.09, 0.07, 0.016),
]  # fmt: skip


def painted_trunk(coat: Coat, px_per_m: float, seed: int) -> tuple[Sheet, Paper]:
    """Return the sheet and the painting of trunk, neck and head."""
    sheet = Sheet(*TRUNK_SHEET, px_per_m)
    paper = sheet.blank()
    _far_ear(sheet, paper, coat)
    _hide(sheet, paper, coat)
    _face(sheet, paper, coat)
    _mane(sheet, paper, coat.mane, np.random.default_rng([seed, 11]))
    return sheet, paper


def painted_tail(coat: Coat, px_per_m: float, seed: int) -> tuple[Sheet, Paper]:
    """Return the sheet and the painting of the tail, hanging from `TAIL_ROOT`."""
    sheet, rng = Sheet(*TAIL_SHEET, px_per_m), np.random.default_rng([seed, 12])
    paper = sheet.blank()
    strands = [
        _tail_hair(stray, coat.mane, rng) for stray in np.sort(np.clip(rng.normal(0, 1, 320), -1.9, 1.9))
    ]
    sheet.hair(paper, strands, 0.006)
    return sheet, paper


def _tail_hair(stray: float, colour: Colour, rng: np.random.Generator) -> tuple[FloatArray, Colour]:
    """Return one lock of the tail; the farther it strays from the middle the sooner it ends."""
    grow = np.linspace(0, 1 - 0.09 * abs(stray) - 0.30 * rng.uniform() ** 2, 9)
    spread = 0.072 * stray * grow**0.8 * (1 - 0.72 * grow**4)
    across = np.interp(grow, TAIL_GROW, TAIL_LINE[:, 0]) + spread + 0.008 * np.sin(grow * 6 + stray)
    up = np.interp(grow, TAIL_GROW, TAIL_LINE[:, 1]) - 0.02 * abs(stray) * grow
    return _strand(np.column_stack([across, up]), colour, rng)


def _hide(sheet: Sheet, paper: Paper, coat: Coat) -> None:
    cover = sheet.mask(SHAPE)
    x_m, y_m = sheet.grid()
    sheet.fill(paper, cover, coat.body)
    sheet.tint(paper, np.clip((1.02 - y_m) / 0.3, 0, 1) * (np.abs(x_m) < 0.9), coat.belly, 0.55)
    sheet.tint(
        paper, np.clip((y_m - 1.30) / 0.4, 0, 1) * (x_m < 0.6), blend(coat.body, coat.points, 0.35), 0.4
    )
    sheet.tint(paper, spots(sheet, [(1.36, 1.53, 0.10, 0.13, 1.0)]), coat.muzzle, 0.9)
    sheet.tint(paper, spots(sheet, [(1.21, 1.92, 0.05, 0.05, 1.0)]), coat.muzzle, 0.25)
    light = sheet.roundness(cover, 0.30, 0.028, spots(sheet, MUSCLES))
    melt = np.minimum(spots(sheet, [(-0.55, 0.97, 0.30, 0.10, 0.95), (-0.78, 1.08, 0.10, 0.10, 0.5)]), 1)
    sheet.shade(paper, light + (0.94 - light) * melt)  # where the thigh, drawn on its own, grows out of it


def _far_ear(sheet: Sheet, paper: Paper, coat: Coat) -> None:
    sheet.fill(paper, sheet.mask(FAR_EAR), blend(coat.body, (0, 0, 0), 0.45))


def _face(sheet: Sheet, paper: Paper, coat: Coat) -> None:
    dark: Colour = (20, 14, 12)
    ear = sheet.mask(NEAR_EAR)
    sheet.fill(paper, ear, blend(coat.body, coat.points, 0.25))
    sheet.tint(paper, sheet.mask(NEAR_EAR * [0.55, 0.8] + [0.489, 0.42], 0.006), dark, 0.55)
    eye = closed_curve([(1.172, 1.905), (1.190, 1.922), (1.212, 1.912), (1.216, 1.894), (1.192, 1.886)])
    sheet.tint(paper, sheet.mask(eye * 1.0, 0.012), dark, 0.6)
    sheet.tint(paper, sheet.mask(eye), (24, 16, 12))
    sheet.tint(paper, sheet.mask(_disc(1.200, 1.909, 0.0055)), (235, 235, 240), 0.95)
    brow = open_curve([(1.160, 1.915), (1.185, 1.938), (1.222, 1.925)])
    sheet.tint(paper, sheet.line(brow, 0.008, 0.004), dark, 0.35)
    nostril = closed_curve([(1.362, 1.578), (1.380, 1.588), (1.388, 1.568), (1.372, 1.548), (1.362, 1.558)])
    sheet.tint(paper, sheet.mask(nostril, 0.003), dark, 0.85)
    mouth = open_curve([(1.375, 1.503), (1.340, 1.512), (1.302, 1.535)])
    sheet.tint(paper, sheet.line(mouth, 0.006, 0.002), dark, 0.7)
    jowl = open_curve([(1.04, 1.83), (1.035, 1.76), (1.08, 1.705), (1.15, 1.685)])
    sheet.tint(paper, sheet.line(jowl, 0.016, 0.012), dark, 0.35)


def _mane(sheet: Sheet, paper: Paper, colour: Colour, rng: np.random.Generator) -> None:
    line = open_curve([(1.085, 2.075), *CREST, *TOPLINE[:2]], 20)
    strands = []
    for root in line[np.sort(rng.integers(6, len(line), 420))]:
        long_m = rng.uniform(0.10, 0.28) * (0.65 + 0.35 * min(1.0, (root[0] - 0.3) / 0.4))
        drop = np.array([[0, 0.006], [-0.012, -0.35], [-0.10, -0.72], [-0.26, -1.0]]) * long_m
        strands.append(_strand(root + drop + rng.normal(0, 0.006, 2), colour, rng))
    for _ in range(30):  # the forelock
        lock = np.array([[1.085, 2.085], [1.14, 2.06], [1.178, 2.005], [1.192 + rng.normal(0, 0.014), 1.955]])
        strands.append(_strand(lock + rng.normal(0, 0.006, (1, 2)), colour, rng))
    sheet.hair(paper, strands, 0.006)


def _strand(points: FloatArray, colour: Colour, rng: np.random.Generator) -> tuple[FloatArray, Colour]:
    """Return one lock of hair, a little lighter or darker than its neighbours."""
    curve = open_curve(points, 5)
    light = rng.normal(1.10 - 0.20 * max(colour) / 255, 0.16 - 0.06 * max(colour) / 255)
    return curve, (colour[0] * light + 6, colour[1] * light + 5, colour[2] * light + 4)


def _disc(x_m: float, y_m: float, radius_m: float) -> FloatArray:
    turn = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    return np.column_stack([x_m + radius_m * np.cos(turn), y_m + radius_m * np.sin(turn)])
