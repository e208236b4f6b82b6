from dataclasses import replace

import numpy as np
import pytest

from evenfall.synth import COATS, EXAMPLE_GAITS, Scene
from evenfall.synth.brush import Image, Sheet
from evenfall.synth.camera import View, set_up_camera
from evenfall.synth.figure import prepared_figure
from evenfall.synth.ground import REPEAT_M, painted_ground
from evenfall.synth.limbs import ELBOW
from evenfall.synth.motion import made_motion
from evenfall.synth.rider import painted_rider
from evenfall.synth.studio import Studio, built_studio
from evenfall.synth.trunk import TRUNK_SHEET, painted_tail

SMALL = Scene(width=320, height=180, fps=30, duration_s=1)


def _studio(scene: Scene, gait: str = "fox trot") -> Studio:
    return built_studio(scene, made_motion(EXAMPLE_GAITS[gait], scene.duration_s, scene.seed))


def _colours(picture: Image) -> Image:
    return picture[..., :3]


def test_the_same_seed_draws_the_same_pixels_and_another_does_not() -> None:
    shaky = replace(SMALL, noise=5, shake_px=1)
    one, again, other = (_studio(replace(shaky, seed=seed)).picture(0.4, 12) for seed in (3, 3, 4))
    assert np.array_equal(_colours(one), _colours(again))
    assert not np.array_equal(_colours(one), _colours(other))


def test_a_horse_facing_left_is_the_mirror_of_one_facing_right() -> None:
    right, left = (_colours(_studio(replace(SMALL, facing=way)).picture(0.4, 0)) for way in ("right", "left"))
    mirrored = left[:, ::-1].astype(int)
    # The legs differ: it is the left ones that are near now. Head, rider and scenery are the same.
    upper = slice(0, 90)
    assert np.abs(right[upper] - mirrored[upper]).mean() < 2
    assert np.abs(right[upper].astype(int) - left[upper]).mean() > 8
    assert not np.array_equal(right, mirrored)


@pytest.mark.parametrize("facing", ["left", "right"])
def test_the_leg_on_the_seen_side_is_the_bright_one(facing: str) -> None:
    figure = _studio(replace(SMALL, facing="left" if facing == "left" else "right")).figure
    bright = {
        limb for limb, paint in figure.paints.items() if sum(paint.upper) > 0.8 * sum(COATS["bay"].body)
    }
    assert {limb.is_left for limb in bright} == {facing == "left"}
    assert len(bright) == 2


@pytest.mark.parametrize("view", [View(0.0), View(3.217), View(40.03, 1.3, -2.6), View(5.2, 0, 0, -3.3)])
@pytest.mark.parametrize("z_m", [-0.15, 0.0, 0.15, 3.0])
def test_the_ground_lies_where_the_feet_stand(view: View, z_m: float) -> None:
    """A line painted across the way at one place is seen where a foot standing there is seen."""
    camera = set_up_camera(SMALL, made_motion(EXAMPLE_GAITS["rack"], 1, 0))
    ground = painted_ground(camera, np.random.default_rng(0))
    place_m = view.x_m + 0.31
    paint = np.zeros_like(ground.paint)
    columns = (np.arange(paint.shape[1]) + 0.5) * REPEAT_M / paint.shape[1]
    paint[:, np.abs((columns - place_m + 0.5 * REPEAT_M) % REPEAT_M - 0.5 * REPEAT_M) < 0.05] = 255
    picture = np.zeros((SMALL.height, SMALL.width, 4), np.uint8)
    replace(ground, paint=paint).laid(picture, view)
    expected_x, expected_y = camera.seen(np.array([[place_m, 0.0]]), z_m, view)[0]
    above = int(expected_y - 0.5)
    rows = picture[above : above + 2, :, 0].astype(float)
    middles = rows @ (np.arange(SMALL.width) + 0.5) / rows.sum(1)
    middle = np.interp(expected_y - 0.5, [above, above + 1], middles)
    assert middle == pytest.approx(expected_x, abs=0.35)


def test_a_panning_camera_keeps_the_horse_in_the_picture_and_a_still_one_lets_it_pass() -> None:
    corners = {}
    for camera in ("panned", "still"):
        studio = _studio(replace(SMALL, duration_s=3, camera="still" if camera == "still" else "panned"))
        moments = (0.0, 1.5, 3.0)
        trunks = [np.array([[studio.motion.way_at(t), 1.0]]) for t in moments]
        views = [studio.camera.view_at(t, studio.motion) for t in moments]
        places = [studio.camera.seen(x, 0.0, view)[0][0] for x, view in zip(trunks, views, strict=True)]
        corners[camera] = np.array(places)
    assert np.ptp(corners["panned"]) < 0.15 * SMALL.width
    assert corners["still"][0] < 0.25 * SMALL.width
    assert corners["still"][2] > 0.75 * SMALL.width


def test_horse_and_rider_fit_into_the_picture_in_portrait_and_landscape() -> None:
    for width, height in ((320, 180), (180, 320), (240, 240)):
        camera = set_up_camera(
            replace(SMALL, width=width, height=height), made_motion(EXAMPLE_GAITS["trot"], 1, 0)
        )
        corners = np.array([(-1.2, -0.05), (1.45, 2.52)])
        seen = camera.seen(corners, -0.15, View(0.16))
        assert seen.min() >= 0
        assert seen[:, 0].max() <= width
        assert seen[:, 1].max() <= height


def test_an_open_shutter_blurs_what_moves() -> None:
    sharp, blurred = (_studio(replace(SMALL, shutter=open_)).picture(0.4, 0) for open_ in (0.0, 1.0))
    assert _sharpness(blurred) < 0.8 * _sharpness(sharp)


def _sharpness(picture: Image) -> float:
    return float(np.abs(np.diff(picture[100:170, :, 1].astype(int), axis=1)).mean())


def test_grain_is_as_strong_as_asked() -> None:
    plain, grained = (_studio(replace(SMALL, noise=noise)).picture(0.4, 3) for noise in (0.0, 6.0))
    middle = (_colours(plain) > 40) & (_colours(plain) < 215)
    grain = (_colours(grained).astype(int) - _colours(plain))[middle]
    assert grain.std() == pytest.approx(6, rel=0.05)
    assert abs(grain.mean()) < 0.1


@pytest.mark.parametrize("coat", sorted(COATS))
def test_each_coat_shows_on_the_barrel(coat: str) -> None:
    scene = replace(SMALL, coat=coat, rider=False)
    figure = prepared_figure(scene, set_up_camera(scene, made_motion(EXAMPLE_GAITS["rack"], 1, 0)))
    sheet = figure.sheets[0]
    x_px, y_px = round(-sheet.left_m * sheet.px_per_m), round((sheet.top_m - 1.25) * sheet.px_per_m)
    seen = figure.trunk[y_px - 3 : y_px + 3, x_px - 5 : x_px + 5, 2::-1].mean((0, 1))
    light = seen / np.array(COATS[coat].body)
    assert 0.6 < light.mean() < 1.4
    assert np.ptp(light) < 0.2


@pytest.mark.parametrize("coat", ["bay", "chestnut"])
def test_the_tail_tapers_to_its_tip(coat: str) -> None:
    sheet, paper = painted_tail(COATS[coat], 200, 3)
    widths = np.sum(paper[..., 3] > 0.5, axis=1) / sheet.px_per_m
    rows = np.flatnonzero(widths)
    tip, middle = widths[rows[-1] - 8 : rows[-1]].mean(), widths[int(rows.mean())]
    assert 0.12 < middle < 0.30
    assert tip < 0.25 * middle


def test_the_girth_lies_behind_the_elbow_and_the_reins_reach_the_bit() -> None:
    sheet = Sheet(*TRUNK_SHEET, 200)
    bare = np.ones_like(sheet.blank())
    saddled = bare.copy()
    painted_rider(sheet, saddled, 0)
    x_m, y_m = sheet.grid()
    touched = np.any(np.abs(saddled - bare) > 0.5, axis=2)  # not by a shadow alone
    girth = x_m[touched & (np.abs(y_m - 0.84) < 0.01)]  # beneath the rider's foot
    assert ELBOW[0] - 0.25 < girth.min() < girth.max() < ELBOW[0] - 0.12  # the forearm begins there
    assert x_m[touched].max() == pytest.approx(1.285, abs=0.01)
