"""A camera that turns where it stands, against OpenCV's pinhole camera and its fit of homographies."""

import math
from dataclasses import replace
from itertools import pairwise
from typing import Any, Literal

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from evenfall.synth import EXAMPLE_GAITS, Scene
from evenfall.synth.camera import EYE_M, Camera, set_up_camera
from evenfall.synth.film import true_contacts
from evenfall.synth.lens import Lens
from evenfall.synth.motion import Motion, made_motion
from evenfall.synth.studio import built_studio
from evenfall.timebase import FloatArray

Corners = NDArray[np.float32]
WIDE = Scene(width=960, height=360, fps=30, duration_s=4, camera="turned", rider=False)
RACK = EXAMPLE_GAITS["rack"]


def _camera(scene: Scene, gait: str = "rack") -> tuple[Camera, Lens, Motion]:
    motion = made_motion(EXAMPLE_GAITS[gait], scene.duration_s, scene.seed)
    camera = set_up_camera(scene, motion)
    assert camera.lens
    return camera, camera.lens, motion


def _through(plane: NDArray[Any], points: NDArray[Any]) -> FloatArray:
    return np.asarray(cv2.perspectiveTransform(points[None].astype(np.float64), plane)[0])


@pytest.mark.parametrize("time_s", [0.0, 1.1, 2.0, 3.9])
def test_a_point_falls_where_a_pinhole_camera_sees_it(time_s: float) -> None:
    """OpenCV's projectPoints, for a camera at the rail turned about the upright axis, is the authority."""
    camera, lens, motion = _camera(WIDE)
    view = camera.view_at(time_s, motion)
    turn = math.atan2(view.x_m - camera.still_x_m, camera.distance_m)
    world = np.array(
        [(view.x_m + x, y, z) for x in (-1.5, 0, 2) for y in (0, 1.6) for z in (-0.15, 0.15, 11)]
    )
    before_it = np.array([1, -1, 1]) * (world - [camera.still_x_m, EYE_M, -camera.distance_m])
    matrix = np.array([[lens.focal_px, 0, 480], [0, lens.focal_px, lens.horizon_px], [0, 0, 1]])
    expected, _ = cv2.projectPoints(before_it, np.array([0, -turn, 0]), np.zeros(3), matrix, None)
    back = np.linalg.inv(lens.onto_sheet(view.swing_m / camera.distance_m))
    seen = np.vstack([_through(back, camera.seen(place[None, :2], place[2], view)) for place in world])
    assert seen == pytest.approx(expected[:, 0], abs=1e-6)


def _background_corners(scene: Scene, times_s: FloatArray) -> tuple[Corners, Corners]:
    """Corners off the horse in the first picture, and where the last has them, followed from each to the next."""
    studio = built_studio(scene, made_motion(EXAMPLE_GAITS["flat walk"], scene.duration_s, scene.seed))
    greys = [cv2.cvtColor(studio.picture(t, k)[..., :3], cv2.COLOR_BGR2GRAY) for k, t in enumerate(times_s)]
    start = now = cv2.goodFeaturesToTrack(greys[0], 800, 0.01, 6).astype(np.float32)
    for before, after in pairwise(greys):
        there, found, _ = cv2.calcOpticalFlowPyrLK(before, after, now, np.empty_like(now))
        back, _, _ = cv2.calcOpticalFlowPyrLK(after, before, there, np.empty_like(now))
        returns = np.linalg.norm(back - now, axis=2)[:, 0] < 0.2
        off_horse = np.abs(there[:, 0, 0] - scene.width / 2) > 0.22 * scene.width
        kept = (found[:, 0] == 1) & returns & off_horse
        start, now = start[kept], there[kept]
    return start, now


def _share_on_one_homography(camera: Literal["turned", "panned"], first_s: float, last_s: float) -> float:
    times_s = np.linspace(first_s, last_s, 1 + round((last_s - first_s) * WIDE.fps))
    start, end = _background_corners(replace(WIDE, camera=camera), times_s)
    assert len(start) > 100
    cv2.setRNGSeed(0)
    _, fits = cv2.findHomography(start, end, cv2.USAC_MAGSAC, 1.0, maxIters=5000)
    return float(fits.mean())


@pytest.mark.parametrize(("first_s", "last_s"), [(0.0, 0.3), (1.9, 2.2), (3.6, 3.9), (1.5, 2.3)])
def test_fence_trees_and_ground_turn_as_one(first_s: float, last_s: float) -> None:
    assert _share_on_one_homography("turned", first_s, last_s) > 0.9


def test_beside_a_camera_that_travels_they_do_not() -> None:
    assert _share_on_one_homography("panned", 1.5, 2.3) < 0.7


@pytest.mark.parametrize("gait", ["flat walk", "rack"])
def test_the_contacts_are_those_under_a_still_camera(gait: str) -> None:
    turned = true_contacts(EXAMPLE_GAITS[gait], replace(WIDE, seed=4))
    assert len(turned) > 20
    assert turned == true_contacts(EXAMPLE_GAITS[gait], replace(WIDE, seed=4, camera="still"))


@pytest.mark.parametrize(("width", "height"), [(640, 360), (360, 640), (960, 96)])
def test_the_sheet_fills_every_picture_and_is_no_larger_than_that_needs(width: int, height: int) -> None:
    camera, lens, _ = _camera(replace(WIDE, width=width, height=height))
    corners = np.array([(x, y) for x in (0.0, width) for y in (0.0, height)])
    edges = [_through(lens.onto_sheet(way * lens.most_swing), corners) for way in (-1, 0, 1)]
    low, high = np.vstack(edges).min(0), np.vstack(edges).max(0)
    assert low.min() > -1e-6
    assert low.max() < 4
    assert np.all(high < np.array([camera.width, camera.height]) + 1e-6)
    assert np.all(high > np.array([camera.width, camera.height]) - 5)


@pytest.mark.parametrize("time_s", [0.0, 2.0, 3.97])
def test_a_turned_picture_has_no_black_edge(time_s: float) -> None:
    scene = replace(WIDE, width=320, height=180, shake_px=3)
    picture = built_studio(scene, made_motion(RACK, 4, 0)).picture(time_s, 0)[..., :3]
    edges = np.concatenate(
        [picture[:3].reshape(-1, 3), picture[-3:].reshape(-1, 3), picture[:, [0, -1]].reshape(-1, 3)]
    )
    assert edges.max(1).min() > 60


@pytest.mark.parametrize("gait", ["flat walk", "rack", "trot"])
@pytest.mark.parametrize("duration_s", [2.0, 12.0])
def test_it_turns_no_farther_than_a_person_would_and_keeps_the_horse_in_the_picture(
    gait: str, duration_s: float
) -> None:
    camera, lens, motion = _camera(replace(WIDE, width=640, duration_s=duration_s), gait)
    for time_s in np.linspace(0, duration_s, 9):
        view = camera.view_at(time_s, motion)
        swing = view.swing_m / camera.distance_m
        assert abs(math.degrees(math.atan(swing))) < 38.5
        assert abs(swing) <= lens.most_swing + 1e-9
        box = np.add([(-1.2, -0.05), (1.45, 2.3)], [motion.way_at(time_s), 0])
        shown = _through(np.linalg.inv(lens.onto_sheet(swing)), camera.seen(box, 0.0, view))
        assert shown.min() > 0
        assert np.all(shown.max(0) < [640, 360])


def test_the_hand_shakes_as_much_at_the_end_of_the_turn() -> None:
    camera, lens, motion = _camera(replace(WIDE, shake_px=4))
    plain, _, _ = _camera(WIDE)
    shaken, steady = camera.view_at(3.9, motion), plain.view_at(3.9, motion)
    back = np.linalg.inv(lens.onto_sheet(steady.swing_m / camera.distance_m))
    middle = np.array([[steady.x_m, 1.5]])
    moved = _through(back, camera.seen(middle, 0.0, shaken)) - _through(
        back, camera.seen(middle, 0.0, steady)
    )
    straight = replace(camera, lens=None).view_at(3.9, motion)
    assert moved[0] == pytest.approx([straight.shake_x, straight.shake_y], rel=0.05)
    assert abs(straight.shake_x) > 0.5
