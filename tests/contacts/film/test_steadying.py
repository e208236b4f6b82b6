import numpy as np
import pytest

from evenfall.contacts.film.camera import CameraPath
from evenfall.contacts.film.steadying import steady_planes
from evenfall.timebase import FloatArray
from tests.contacts.film.good_film import good_clip


def panned(step_px: float, count: int) -> FloatArray:
    """A camera that goes right by so many small pixels a picture."""
    planes = np.tile(np.eye(3), (count, 1, 1))
    planes[:, 0, 2] = step_px * np.arange(count)
    return planes


def test_planes_are_in_the_films_own_pixels() -> None:
    camera = CameraPath(panned(2, 100), np.ones(100))
    planes = steady_planes(good_clip(n=100), camera, (640, 360))
    assert len(planes) == 100
    corner = planes[10] @ np.array([100.0, 50.0, 1.0])
    np.testing.assert_allclose(corner, [140, 50, 1])


def test_a_picture_that_was_not_followed_has_no_plane() -> None:
    agreement = np.ones(100)
    agreement[40:43] = 0
    planes = steady_planes(good_clip(n=100), CameraPath(panned(2, 100), agreement), (640, 360))
    assert [k for k, plane in enumerate(planes) if plane is None] == [40, 41, 42]


def test_pictures_between_those_looked_at_lie_evenly_between_them() -> None:
    clip = good_clip(fps=240, n=101)
    planes = steady_planes(clip, CameraPath(panned(8, 26), np.ones(26)), (640, 360))
    across = [plane[0, 2] for plane in planes if plane is not None]
    assert across == pytest.approx(list(4.0 * np.arange(101)))


def test_pictures_after_the_last_one_looked_at_have_none() -> None:
    planes = steady_planes(good_clip(fps=240, n=100), CameraPath(panned(8, 25), np.ones(25)), (640, 360))
    assert [k for k, plane in enumerate(planes) if plane is None] == [97, 98, 99]
