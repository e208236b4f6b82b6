"""The camera's path: known movements of a textured picture are given back."""

from collections.abc import Sequence
from itertools import cycle, pairwise, product

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from evenfall.contacts.film.camera import WIDTH, CameraFollower, CameraPath, for_following
from evenfall.timebase import FloatArray
from tests.contacts.film.films import SIZE, Grey, texture

DOWN, ACROSS = SIZE
POINTS = [(120.0, 250.0), (320.0, 300.0), (520.0, 330.0)]


def followed(pictures: Sequence[Grey]) -> CameraPath:
    follower = CameraFollower()
    for picture in pictures:
        follower.add(for_following(picture), min(1.0, WIDTH / picture.shape[1]))
    return follower.path()


def moved(wide: Grey, planes: Sequence[FloatArray]) -> list[Grey]:
    """The wide picture seen through homographies that take it onto each picture."""
    return [np.asarray(cv2.warpPerspective(wide, plane, (ACROSS, DOWN)), np.uint8) for plane in planes]


def carried(plane: FloatArray, point: tuple[float, float]) -> FloatArray:
    there = plane @ np.array([*point, 1.0])
    return np.asarray(there[:2] / there[2])


def panned(k: int, step: float) -> FloatArray:
    """A camera that draws nearer, and then turns and tilts a little."""
    size, turned = 1.02 + 0.008 * min(k, 15), max(0, k - 15)
    return np.array(
        [
            [size, 0.001 * turned, -step * turned],
            [-0.001 * turned, size, -2.0],
            [2e-7 * k, 0.0, 1.0],
        ]
    )


def test_a_known_homography_is_followed_to_half_a_pixel() -> None:
    planes = [panned(k, 4.0) for k in range(40)]
    path = followed(moved(texture(1, 2 * ACROSS), planes))
    for point in POINTS:
        truth = carried(planes[-1] @ np.linalg.inv(planes[0]), point)
        assert path.carried_to(np.array(point), 0, 39) == pytest.approx(truth, abs=0.5)


def test_a_far_pan_sets_new_keys_and_does_not_drift() -> None:
    """The last picture shows nothing of the first."""
    wide = texture(2, 3 * ACROSS)
    path = followed([wide[:, 8 * k : 8 * k + ACROSS] for k in range(101)])
    back = path.carried_to(np.array([320.0, 300.0]), 100, 0)
    assert back == pytest.approx([320 + 800, 300], abs=2.0)
    assert np.median(path.agreement) > 0.9


def test_a_still_camera_stays_exactly_still_in_a_noisy_film() -> None:
    noise, ground = np.random.default_rng(3), texture(3)
    noisy = [np.clip(ground + noise.normal(0, 3, SIZE), 0, 255).astype(np.uint8) for _ in range(25)]
    path = followed(noisy)
    assert all(path.unmoved(0, k) for k in range(25))
    assert path.planes[24] == pytest.approx(np.eye(3))


def test_what_moves_before_a_still_camera_does_not_move_it() -> None:
    ground = texture(4)
    path = followed([_with_block(ground, 100 + 8 * k) for k in range(25)])
    assert all(path.unmoved(0, k) for k in range(25))


def test_a_horse_that_hides_most_of_the_ground_does_not_move_a_still_camera() -> None:
    """Its own corners are the most in the lower picture; what stands above them tells."""
    ground = texture(4)
    path = followed([_with_horse(ground, 10 + 6 * k) for k in range(35)])
    assert all(path.unmoved(0, k) for k in range(35))


def test_a_horse_held_in_the_middle_does_not_make_a_turning_camera_stand() -> None:
    wide = texture(4, 2 * ACROSS)
    path = followed([_with_horse(wide[:, 5 * k : 5 * k + ACROSS], 200, 220) for k in range(35)])
    assert not any(path.unmoved(k, k + 1) for k in range(34))
    assert path.carried_to(np.array([320.0, 340.0]), 34, 0) == pytest.approx([320 + 170, 340], abs=2)


def _bare(wide: Grey, top: int, x: int, rng: np.random.Generator) -> Grey:
    """Below ``top``, and where half of the ground lay, nothing but grain that is another in every picture."""
    picture = wide[:, x : x + ACROSS].copy()
    grain = np.clip(120 + rng.normal(0, 12, SIZE), 0, 255).astype(np.uint8)
    picture[top:, : ACROSS // 2] = grain[top:, : ACROSS // 2]
    picture[top:, 3 * ACROSS // 4 :] = grain[top:, 3 * ACROSS // 4 :]
    return picture


def test_where_the_ground_shows_little_fence_and_trees_tell_how_the_camera_turned() -> None:
    """In the same film without fence and trees, hardly a third of the corners fit."""
    rng, wide = np.random.default_rng(6), texture(6, 2 * ACROSS)
    path, truth = followed([_bare(wide, 198, 5 * k, rng) for k in range(30)]), [320 + 5 * 29, 300]
    assert path.carried_to(np.array([320.0, 300.0]), 29, 0) == pytest.approx(truth, abs=1.5)
    wide[:198] = 120
    blind = followed([_bare(wide, 198, 5 * k, rng) for k in range(30)])
    assert np.median(blind.agreement) < 0.5
    assert np.median(path.agreement) > 0.9


def test_trees_that_move_otherwise_do_not_turn_the_camera() -> None:
    """A camera that travels: above, everything goes by more slowly."""
    rng, near, far = np.random.default_rng(7), texture(6, 2 * ACROSS), texture(8, 2 * ACROSS)
    pictures = [_bare(near, 198, 5 * k, rng) for k in range(30)]
    for k, picture in enumerate(pictures):
        picture[:198] = far[:198, k : k + ACROSS]
    path = followed(pictures)
    assert path.carried_to(np.array([320.0, 300.0]), 29, 0) == pytest.approx([320 + 5 * 29, 300], abs=3.0)


def test_ground_that_stays_behind_and_jumps_does_not_hold_the_camera_back() -> None:
    """As coarse coding leaves it: two in five of the ground's blocks are still those of the picture before."""
    rng, wide = np.random.default_rng(11), texture(6, 2 * ACROSS)
    pictures = [wide[:, 5 * k : 5 * k + ACROSS].copy() for k in range(30)]
    for before, picture in pairwise(pictures):
        for y, x in product(range(198, 360, 18), range(0, ACROSS, 40)):
            if rng.random() < 0.4:
                picture[y : y + 18, x : x + 40] = before[y : y + 18, x : x + 40]
    path = followed([_with_horse(picture, 250, 150) for picture in pictures])
    steps = [path.carried_to(np.array([320.0, 300.0]), k + 10, k)[0] - 320 for k in range(19)]
    assert steps == pytest.approx([50.0] * 19, abs=1.5)


def test_ground_of_which_no_corner_fits_is_no_slip(monkeypatch: pytest.MonkeyPatch) -> None:
    """The upper picture's corners do, and the ground's fit neither plane."""
    shares = cycle([1.0, 0.0])
    monkeypatch.setattr("evenfall.contacts.film.camera.fitted_plane", lambda *_: (np.eye(3), 0.0))
    monkeypatch.setattr("evenfall.contacts.film.camera.fitting", lambda *_: next(shares))
    wide = texture(6, 2 * ACROSS)
    path = followed([wide[:, 5 * k : 5 * k + ACROSS] for k in range(4)])
    assert path.agreement[1:].tolist() == [0, 0, 0]


def _with_horse(ground: Grey, x: int, across: int = 330) -> Grey:
    """Something large from the upper picture down to near its lower edge, with a texture of its own."""
    picture = ground.copy()
    picture[60:300, x : x + across] = texture(9)[60:300, :across]
    return picture


def _with_block(ground: Grey, x: int) -> Grey:
    picture = ground.copy()
    picture[180:310, x : x + 150] = texture(9)[180:310, :150]
    return picture


def test_a_picture_without_a_corner_is_not_taken_for_followed() -> None:
    path = followed([np.full(SIZE, 120, np.uint8)] * 4)
    assert path.agreement[1:].tolist() == [0, 0, 0]
    assert path.unmoved(0, 3)


def numbers(most: float) -> st.SearchStrategy[float]:
    return st.floats(-most, most)


@settings(deadline=None)
@given(numbers(0.2), numbers(300), numbers(1e-4), st.tuples(st.floats(0, 640), st.floats(0, 360)))
def test_there_and_back_is_where_it_began(
    turn: float, shift: float, lean: float, point: tuple[float, float]
) -> None:
    plane = np.array([[1.0, turn, shift], [-turn, 1.0, -shift], [lean, lean, 1.0]])
    path = CameraPath(np.array([np.eye(3), plane]), np.ones(2))
    there = path.carried_to(np.array(point), 0, 1)
    assert path.carried_to(there, 1, 0) == pytest.approx(point, abs=1e-6)


def test_carrying_into_many_pictures_is_carrying_into_each() -> None:
    path = CameraPath(np.array([panned(k, 5.0) for k in range(6)]), np.ones(6))
    ends: NDArray[np.int64] = np.array([0, 3, 5])
    point = np.array([200.0, 280.0])
    one_by_one = [carried(path.between(2, int(end)), (200.0, 280.0)) for end in ends]
    assert path.carried(point, 2, ends) == pytest.approx(np.array(one_by_one))


def test_a_plane_that_a_handful_of_corners_agree_on_is_not_followed() -> None:
    """Six dots on a blank field jump about, and two or three always fit one another."""
    rng = np.random.default_rng(5)
    pictures = []
    for _ in range(12):
        picture = np.full(SIZE, 128, np.uint8)
        for x, y in rng.uniform([40, 220], [600, 340], (6, 2)).astype(int):
            cv2.rectangle(picture, (int(x), int(y)), (int(x) + 8, int(y) + 8), 255, -1)
        pictures.append(picture)
    path = followed(pictures)
    for point in POINTS:
        assert path.carried_to(np.array(point), 0, 11) == pytest.approx(point)
