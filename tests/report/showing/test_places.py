"""Where the feet and the horse are, of a ride put together by hand."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from evenfall.clip import Clip
from evenfall.contacts import Limb
from evenfall.report.showing.places import Places, Stood, places_data, places_from, places_of
from evenfall.timebase import Timebase
from tests.report.charts.ridden import FPS, made_feet

N = 180


def clip(factor: float = 1.0) -> Clip:
    """A film twice as large as the small pictures that were looked at."""
    base = Timebase(np.arange(N) / FPS * factor, factor)
    return Clip(Path("ride.mp4"), base, 1280, 720, 0, "h264", has_sound=False)


@pytest.mark.parametrize("pan_px", [0.0, 3.0])
@pytest.mark.parametrize("heading", [1, -1])
def test_a_standing_foot_keeps_to_its_ground_as_the_camera_turns(heading: int, pan_px: float) -> None:
    places = places_of(clip(), made_feet(heading=heading, pan_px=pan_px))
    assert len(places.stands) > 12
    for placed in places.stands:
        for picture in range(0, N, 20):
            seen = places.seen_in(placed, picture)
            assert seen is not None
            moved = 2 * heading * pan_px * (placed.at - picture)
            assert seen == pytest.approx((placed.x + moved, placed.y), abs=1e-6)


def test_the_horses_box_is_told_in_pixels_of_the_film() -> None:
    places = places_of(clip(), made_feet())
    assert places.horse.shape == (N, 4)
    assert places.horse[0] == pytest.approx([640, 320, 600, 320])
    assert places.heading == 1


def test_slow_motion_keeps_the_clips_clock() -> None:
    life, slow = (places_of(clip(factor), made_feet(factor=factor)) for factor in (1.0, 8.0))
    for one, other in zip(life.stands, slow.stands, strict=True):
        assert other.on_s == pytest.approx(8 * one.on_s)
        assert (other.limb, other.at, other.x) == (one.limb, one.at, one.x)


def test_a_ride_whose_feet_are_not_told_gives_the_horse_and_no_foot() -> None:
    places = places_of(clip(), made_feet(refused="which feet are the near ones cannot be told"))
    assert places.stands == ()
    assert np.isfinite(places.horse).all()


def test_a_stance_is_placed_by_its_foot_and_its_time() -> None:
    places = places_of(clip(), made_feet())
    placed = next(each for each in places.stands if each.limb is Limb.LF and each.on_s > 0.5)
    about = Stood(Limb.LF, placed.on_s + 0.05, placed.off_s + 0.05)
    assert places.of(about) == placed
    assert places.of(replace(about, limb=Limb.RF)) != placed
    assert places.of(Stood(Limb.LF, placed.off_s + 0.01, placed.off_s + 0.1)) is None


def test_where_the_camera_was_lost_no_place_is_carried_across() -> None:
    places = places_of(clip(), made_feet())
    planes = [*places.planes]
    planes[90] = None
    lost = Places(places.stands, planes, places.horse, 1)
    early = next(each for each in lost.stands if each.at < 60)
    assert lost.seen_in(early, 80) is not None
    assert lost.seen_in(early, 90) is None
    assert lost.seen_in(early, 100) is None


def test_places_survive_being_kept() -> None:
    places = places_of(clip(), made_feet(pan_px=3.0))
    horse = places.horse.copy()
    horse[5] = np.nan
    again = places_from(json.loads(json.dumps(places_data(replace_horse(places, horse)))), places.planes)
    assert (again.heading, len(again.stands)) == (1, len(places.stands))
    for one, other in zip(places.stands, again.stands, strict=True):
        assert (other.limb, other.at) == (one.limb, one.at)
        assert (other.x, other.y, other.on_s) == pytest.approx((one.x, one.y, one.on_s), abs=0.01)
    np.testing.assert_allclose(again.horse, horse, atol=0.06)


def replace_horse(places: Places, horse: "np.ndarray[tuple[int, ...], np.dtype[np.float64]]") -> Places:
    return Places(places.stands, places.planes, horse, places.heading)
