"""Saddle, bridle and rider, painted over the trunk.

Conventions: metres ahead of the middle of the trunk and above the ground; everybody faces right.
"""

import numpy as np

from evenfall.synth.brush import Paper, Sheet, closed_curve, open_curve
from evenfall.synth.coats import Colour
from evenfall.timebase import FloatArray

__all__ = ["painted_bridle", "painted_rider"]

LEATHER: Colour = (74, 42, 26)
DARK_LEATHER: Colour = (38, 24, 18)
STEEL: Colour = (190, 192, 196)
SKIN: Colour = (214, 162, 130)
SHIRTS: tuple[Colour, ...] = ((38, 96, 120), (128, 44, 52), (52, 92, 62), (92, 76, 128), (206, 200, 188))
BREECHES: Colour = (198, 184, 156)
PAD: Colour = (236, 232, 222)
SHADOW_FALLS = np.array([0.010, -0.022])
HELMET: Colour = (34, 36, 44)

PAD_SHAPE = closed_curve([(0.225, 1.535), (0.08, 1.488), (-0.16, 1.482), (-0.345, 1.510), (-0.380, 1.42), (-0.32, 1.20),
                          (-0.06, 1.12), (0.18, 1.18), (0.280, 1.38)])  # fmt: skip
FLAP = closed_curve([(0.185, 1.548), (0.03, 1.515), (-0.20, 1.505), (-0.335, 1.548), (-0.32, 1.45), (-0.14, 1.34),
                     (-0.08, 1.18), (0.08, 1.13), (0.21, 1.20), (0.25, 1.38)])  # fmt: skip
BODY = closed_curve([(-0.205, 1.56), (-0.225, 1.68), (-0.195, 1.82), (-0.195, 2.00), (-0.15, 2.135), (-0.08, 2.175),
                     (-0.005, 2.12), (0.03, 1.99), (0.025, 1.84), (0.025, 1.70), (0.05, 1.60), (-0.07, 1.53)])  # fmt: skip
THIGH = closed_curve([(-0.22, 1.58), (-0.18, 1.68), (-0.02, 1.68), (0.14, 1.56), (0.265, 1.43), (0.29, 1.36),
                      (0.25, 1.30), (0.16, 1.31), (0.0, 1.44), (-0.16, 1.50)])  # fmt: skip
CALF = closed_curve([(0.28, 1.41), (0.295, 1.33), (0.255, 1.20), (0.195, 1.06), (0.165, 0.975), (0.1, 0.965),
                     (0.085, 1.06), (0.095, 1.20), (0.145, 1.33), (0.2, 1.40)])  # fmt: skip
FOOT = closed_curve([(0.085, 0.99), (0.085, 0.925), (0.125, 0.915), (0.18, 0.945), (0.26, 0.965), (0.295, 0.985),
                     (0.28, 1.012), (0.22, 1.022), (0.165, 1.035)])  # fmt: skip
ARM = closed_curve([(-0.13, 2.11), (-0.06, 2.14), (-0.015, 2.07), (0.0, 1.93), (0.025, 1.815), (0.16, 1.785),
                    (0.285, 1.765), (0.29, 1.715), (0.15, 1.715), (-0.015, 1.722), (-0.075, 1.78), (-0.115, 1.94)])  # fmt: skip
HAND = closed_curve(
    [(0.275, 1.77), (0.32, 1.785), (0.358, 1.76), (0.355, 1.715), (0.31, 1.695), (0.275, 1.715)]
)
HEAD = closed_curve([(-0.055, 2.16), (-0.055, 2.24), (-0.095, 2.30), (-0.085, 2.40), (-0.02, 2.45), (0.05, 2.42),
                     (0.075, 2.36), (0.092, 2.315), (0.072, 2.295), (0.068, 2.25), (0.03, 2.228), (0.015, 2.15)])  # fmt: skip
CAP = closed_curve([(-0.105, 2.345), (-0.108, 2.42), (-0.06, 2.485), (0.01, 2.492), (0.07, 2.445), (0.085, 2.38),
                    (0.142, 2.352), (0.08, 2.350), (-0.02, 2.352), (-0.07, 2.315)])  # fmt: skip


def painted_rider(sheet: Sheet, paper: Paper, seed: int) -> None:
    """Paint saddle, reins and rider onto the trunk."""
    shirt = SHIRTS[int(np.random.default_rng([seed, 13]).integers(len(SHIRTS)))]
    _girth(sheet, paper)
    _solid(sheet, paper, PAD_SHAPE, PAD, 0.03)
    _solid(sheet, paper, FLAP, LEATHER, 0.03)
    _solid(sheet, paper, BODY, shirt, 0.11)
    _solid(sheet, paper, HEAD, SKIN, 0.06)
    _solid(sheet, paper, CAP, HELMET, 0.07)
    sheet.fill(
        paper, sheet.line(np.array([(-0.045, 2.34), (-0.005, 2.255), (0.045, 2.232)]), 0.009), HELMET, 0.9
    )
    sheet.tint(paper, sheet.mask(_round(0.056, 2.325, 0.009)), (40, 26, 22), 0.8)
    _solid(sheet, paper, THIGH, BREECHES, 0.08)
    _stirrup(sheet, paper)
    _solid(sheet, paper, CALF, DARK_LEATHER, 0.06)
    _solid(sheet, paper, FOOT, DARK_LEATHER, 0.04)
    _reins(sheet, paper)
    _solid(sheet, paper, ARM, shirt, 0.05)
    _solid(sheet, paper, HAND, (60, 44, 34), 0.03)


def painted_bridle(sheet: Sheet, paper: Paper) -> None:
    """Paint the bridle: crown, brow band, cheek piece, nose band, bit."""
    straps = [
        [(1.075, 2.062), (1.115, 1.94), (1.185, 1.78), (1.285, 1.572)],
        [(1.105, 1.975), (1.16, 2.00), (1.20, 1.972)],
        [(1.10, 1.99), (1.075, 1.86), (1.045, 1.725)],
        [(1.318, 1.765), (1.262, 1.71), (1.195, 1.63)],
    ]
    for strap in straps:
        curve = open_curve(strap)
        patch, part = sheet.around(paper, curve, 0.04)
        patch.tint(part, patch.line(curve + np.array([0.003, -0.006]), 0.014, 0.005), (0, 0, 0), 0.35)
        patch.tint(part, patch.line(curve, 0.014), DARK_LEATHER, 0.95)
    ring = open_curve(
        [(1.285 + 0.026 * np.cos(a), 1.558 + 0.026 * np.sin(a)) for a in np.linspace(0, 6.4, 14)]
    )
    sheet.tint(paper, sheet.line(ring, 0.007), STEEL, 0.95)


def _reins(sheet: Sheet, paper: Paper) -> None:
    rein = open_curve([(0.33, 1.74), (0.68, 1.66), (1.02, 1.59), (1.285, 1.558)])
    sheet.fill(paper, sheet.line(rein, 0.011), DARK_LEATHER, 0.95)


def _girth(sheet: Sheet, paper: Paper) -> None:
    girth = open_curve([(0.10, 1.18), (0.125, 1.0), (0.145, 0.815)])  # just behind the elbow
    sheet.tint(paper, sheet.line(girth, 0.06), DARK_LEATHER, 0.9)


def _stirrup(sheet: Sheet, paper: Paper) -> None:
    strap = np.array([(0.08, 1.36), (0.155, 1.10), (0.18, 0.98)])
    sheet.fill(paper, sheet.line(strap, 0.022), LEATHER, 0.9)
    iron = closed_curve([(0.165, 1.06), (0.135, 0.98), (0.145, 0.918), (0.225, 0.928), (0.225, 0.99)])
    sheet.fill(paper, sheet.line(np.vstack([iron, iron[:1]]), 0.014), STEEL, 0.95)


def _solid(sheet: Sheet, paper: Paper, shape: FloatArray, colour: Colour, round_m: float) -> None:
    """Lay one part with a soft shadow under its lower edge and light on its roundness."""
    patch, part = sheet.around(paper, shape, 0.08)
    patch.tint(part, patch.mask(shape + SHADOW_FALLS, 0.018), (0, 0, 0), 0.38)
    cover = patch.mask(shape)
    under = part.copy()
    patch.fill(part, cover, colour)
    patch.shade(part, patch.roundness(cover, round_m, 0.010), cover)
    np.copyto(part, under, where=cover[..., None] == 0)


def _round(x_m: float, y_m: float, radius_m: float) -> FloatArray:
    turn = np.linspace(0, 2 * np.pi, 20, endpoint=False)
    return np.column_stack([x_m + radius_m * np.cos(turn), y_m + radius_m * np.sin(turn)])
