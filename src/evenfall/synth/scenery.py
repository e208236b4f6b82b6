"""Sky and hills, a line of trees, a rail fence: one repeat of each, painted once.

Conventions: paper is float32, red, green, blue and cover, 0 to 1; a band's right edge meets its left.
"""

import cv2
import numpy as np

from evenfall.synth.brush import Paper
from evenfall.synth.camera import Camera

__all__ = ["FENCE_Z_M", "TREES_Z_M", "painted_fence", "painted_sky", "painted_trees", "rolling"]

TREES_Z_M, FENCE_Z_M = 48.0, 11.0
TREE_M, FENCE_M, POST_EVERY_M = 9.0, 1.35, 2.6
FINE = 2  # painted at twice the size


def painted_sky(camera: Camera, margin_px: int, rng: np.random.Generator) -> Paper:
    """Return sky, clouds and three ridges of hills down to below the horizon."""
    wide, high = 2 * camera.width, round(camera.horizon_px) + 3 * margin_px
    across, down = np.meshgrid(np.arange(wide) / wide, (np.arange(high) - margin_px) / camera.horizon_px)
    paper = np.ones((high, wide, 4), np.float32)
    paper[..., :3] = _mix(_rgb(96, 150, 205), _rgb(222, 232, 236), np.clip(down, 0, 1) ** 0.8)
    cells = [(10 * 2**k, max(2, round(10 * 2**k * 2.4 * high / wide))) for k in range(5)]
    cloud = sum(rolling(rng, (high, wide), *size) * 0.62**k for k, size in enumerate(cells))
    cloud = np.clip((cloud - 0.35) / 2.0, 0, 1) * np.clip(1.0 - 0.9 * down, 0, 1) * 0.85
    paper[..., :3] = _mix(paper[..., :3], _rgb(252, 251, 247), cloud)
    for number, (colour, lift) in enumerate(
        [((158, 178, 190), 0.30), ((128, 154, 148), 0.19), ((110, 138, 104), 0.09)]
    ):
        turns = across * 2 * np.pi
        waves = sum(np.sin(turns * k + rng.uniform(0, 6.3)) / k for k in range(1 + number, 5 + 3 * number))
        crest = 1 - lift * (0.62 + 0.16 * waves) + 0.002 * rolling(rng, (high, wide), 300, 2)
        haze = _mix(_rgb(*colour), _rgb(206, 216, 214), np.clip((down - crest) * 2.2, 0, 0.5))
        edge = np.clip((down - crest) * camera.horizon_px / 1.5, 0, 1)
        paper[..., :3] = _mix(paper[..., :3], haze, edge)
    return paper


def painted_trees(camera: Camera, rng: np.random.Generator) -> tuple[Paper, int]:
    """Return a loose row of trees and bushes, and the row of the picture where it begins."""
    scale = camera.scale(TREES_Z_M)
    foot = camera.ground_row(TREES_Z_M)
    wide, high = round(1.6 * camera.width), round(TREE_M * scale) + 8
    paper = np.zeros((high * FINE, wide * FINE, 4), np.float32)
    ground = (high - 6) * FINE
    for x_m in np.arange(0, wide / scale, 3.1):
        tall_m = rng.choice([1.3, 1.8, 3.5, 5.0, 6.8], p=[0.34, 0.24, 0.18, 0.14, 0.10]) * rng.uniform(
            0.8, 1.15
        )
        _tree(paper, ((x_m + rng.normal(0, 0.9)) * scale * FINE, ground), tall_m * scale * FINE, rng)
    small = cv2.resize(paper, (wide, high), interpolation=cv2.INTER_AREA)
    return _unmultiplied(np.asarray(small, np.float32)), round(foot) - high + 6


def _tree(paper: Paper, foot: tuple[float, float], tall_px: float, rng: np.random.Generator) -> None:
    """Paint one tree of overlapping clumps of leaves, dark ones first, lit ones last; premultiplied."""
    x, ground = foot
    hue = np.array([rng.uniform(58, 96), rng.uniform(96, 124), rng.uniform(48, 66)])
    width = tall_px * rng.uniform(0.30, 0.42)
    if tall_px > 0.25 * paper.shape[0]:
        _blob(paper, (x, ground - 0.2 * tall_px), (0.03 * tall_px, 0.22 * tall_px), np.array([84, 68, 54.0]))
    clumps = min(110, 25 + round(tall_px))
    for number in range(clumps + min(310, 2 * round(tall_px))):
        leaves = number >= clumps  # first the clumps, then sprays of leaves over them
        turn, out = rng.uniform(0, 2 * np.pi), rng.uniform(0, 1) ** (0.5 if leaves else 0.6)
        rise = 0.56 * tall_px + out * 0.40 * tall_px * np.sin(turn)
        lit = 0.66 + 0.20 * rng.uniform() + 0.26 * (0.6 * np.sin(turn) + 0.35 * np.cos(turn)) * out
        size = tall_px * (rng.uniform(0.012, 0.034) if leaves else rng.uniform(0.05, 0.11))
        colour = hue * (lit * 0.86 + 0.10 * leaves) + 30
        _blob(paper, (x + out * width * np.cos(turn), ground - rise), (size * 1.2, size), colour)


def _blob(paper: Paper, centre: tuple[float, float], radii: tuple[float, float], colour: Paper) -> None:
    """Paint an ellipse, and again a whole repeat to either side."""
    red, green, blue = (float(part) / 255 for part in colour)
    size = (max(1, round(radii[0])), max(1, round(radii[1])))
    for turn in (-1, 0, 1):
        middle = (round(centre[0] + turn * paper.shape[1]), round(centre[1]))
        if -size[0] <= middle[0] <= paper.shape[1] + size[0]:
            cv2.ellipse(paper, middle, size, 0, 0, 360, (red, green, blue, 1.0), -1)


def painted_fence(camera: Camera, rng: np.random.Generator) -> tuple[Paper, int]:
    """Return six lengths of a rail fence with grass at its foot, and the row where it begins."""
    scale = camera.scale(FENCE_Z_M)
    wide, high = round(6 * POST_EVERY_M * scale), round(FENCE_M * scale) + 16
    paper = np.zeros((high * FINE, wide * FINE, 4), np.float32)
    px, ground = scale * FINE, (high - 8) * FINE
    for number in range(6):
        left = (number + 0.5) * POST_EVERY_M * px
        for rail in (0.38, 0.78, 1.16):
            ends = [ground - (rail + rng.normal(0, 0.012)) * px for _ in range(2)]
            _board(paper, (left, left + POST_EVERY_M * px), (ends[0], ends[1]), 0.10 * px, rng.normal(0, 6))
    for number in range(6):
        left = (number + 0.5) * POST_EVERY_M * px
        _board(
            paper,
            (left - 0.07 * px, left + 0.07 * px),
            (ground - 0.66 * px,) * 2,
            1.36 * px,
            rng.normal(-8, 5),
        )
    _tufts(paper, ground, px, rng)
    small = cv2.resize(paper, (wide, high), interpolation=cv2.INTER_AREA)
    return _unmultiplied(np.asarray(small, np.float32)), round(camera.ground_row(FENCE_Z_M)) - high + 8


def _board(
    paper: Paper, across: tuple[float, float], middle: tuple[float, float], thick: float, tone: float
) -> None:
    """Paint a board from left to right, light above, dark below; it may run over the right edge."""
    for part, light in ((0.5, 150), (0.36, 196), (-0.05, 216)):
        colour = tuple(float((light + tone) * tint) / 255 for tint in (0.98, 0.95, 0.88))
        corners = [
            (across[0], middle[0] - thick / 2), (across[1], middle[1] - thick / 2),
            (across[1], middle[1] + part * thick), (across[0], middle[0] + part * thick),
        ]  # fmt: skip
        for turn in (-1, 0):
            points = np.round(np.array(corners) + np.array([turn * paper.shape[1], 0])).astype(np.int32)
            cv2.fillPoly(paper, [points], (*colour, 1.0))


def _tufts(paper: Paper, ground: float, px: float, rng: np.random.Generator) -> None:
    for x in rng.uniform(0, paper.shape[1], 900):
        tall, lean = rng.uniform(0.05, 0.20) * px, rng.normal(0, 0.05) * px
        light = rng.uniform(0.75, 1.15)
        colour = (0.40 * light, 0.48 * light, 0.24 * light, 1.0)
        foot = ground + rng.uniform(-0.02, 0.05) * px
        cv2.line(
            paper,
            (round(x), round(foot)),
            (round(x + lean), round(foot - tall)),
            colour,
            max(1, round(px * 0.012)),
        )


def rolling(rng: np.random.Generator, shape: tuple[int, int], across: int, down: int) -> Paper:
    """Return smooth noise of unit spread that repeats along the width, ``across`` × ``down`` cells."""
    cells = rng.normal(size=(down + 3, across)).astype(np.float32)
    cells = np.concatenate([cells[:, -2:], cells, cells[:, :2]], axis=1)
    columns = (np.arange(shape[1], dtype=np.float32) + 0.5) / shape[1] * across + 1.5
    rows = (np.arange(shape[0], dtype=np.float32) + 0.5) / shape[0] * down + 0.5
    map_x, map_y = np.meshgrid(columns, rows)
    return np.asarray(
        cv2.remap(cells, map_x, map_y, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE), np.float32
    )


def _unmultiplied(paper: Paper) -> Paper:
    cover = paper[..., 3:]
    return np.concatenate([paper[..., :3] / np.maximum(cover, 1e-4), cover], axis=2)


def _mix(first: Paper, second: Paper, share: Paper) -> Paper:
    return np.asarray(first + (second - first) * share[..., None], np.float32)


def _rgb(*colour: float) -> Paper:
    return np.asarray(colour, np.float32) / 255
