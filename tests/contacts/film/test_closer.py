"""A small horse looked at closer: only if the film has more pixels of it, and everything back where it was."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.clip import Clip, open_clip
from evenfall.contacts import Contacts
from evenfall.contacts.film import find_feet, windows
from evenfall.contacts.film.camera import CameraPath
from evenfall.contacts.film.closer import CLOSER_PX, MOST_PIXELS, MOST_WIDTH, Closer, closer_look
from evenfall.contacts.film.horse import HorsePath
from evenfall.contacts.film.shape import Shape
from evenfall.scoring import ScoreSettings, score_contacts
from evenfall.synth import EXAMPLE_GAITS, Scene, draw_film
from tests.contacts.film.good_film import good_clip, good_ride

BAR = good_ride().stances[0].bars[0][1]
PICTURE = (640, 360)


def horse(width: float, bottom: float = 300.0, n: int = 5) -> HorsePath:
    even = np.ones(n)
    return HorsePath(
        left=100 * even,
        right=(100 + width) * even,
        bottom=bottom * even,
        middle=(100 + width / 2) * even,
        width=width * even,
        length=even,
        seen=even > 0,
        at_edge=even < 0,
        advance=even,
    )


def clip(width: int) -> Clip:
    return replace(good_clip(), width=width, height=width * 9 // 16)


@pytest.mark.parametrize(
    ("film_width", "horse_px", "closer"),
    [(1920, 100.0, True), (1920, 180.0, False), (640, 100.0, False), (720, 100.0, False), (960, 100.0, True)],
    ids=["small", "large enough", "no more pixels", "hardly more pixels", "half as many again"],
)
def test_only_a_small_horse_of_which_the_film_has_more_is_looked_at_closer(
    film_width: int, horse_px: float, closer: bool
) -> None:
    found = closer_look(clip(film_width), [horse(horse_px)], PICTURE, 1.0)
    assert (found is not None) is closer


def test_without_a_horse_there_is_nothing_to_look_closer_at() -> None:
    assert closer_look(clip(1920), [], PICTURE, 1.0) is None


@given(st.floats(20, 168), st.floats(80, 350), st.sampled_from([960, 1280, 1920, 3840]))
def test_the_legs_are_kept_and_never_more_pixels_than_may_be(
    width: float, bottom: float, film_width: int
) -> None:
    found = closer_look(clip(film_width), [horse(width, bottom), horse(width, bottom - 30)], PICTURE, 1.0)
    assert found is not None
    assert found.width <= min(MOST_WIDTH, film_width)
    assert found.scale[0] * width <= CLOSER_PX * 1.02
    kept = found.rows.stop - found.rows.start
    assert kept * found.width <= MOST_PIXELS * 1.05
    legs_from, ground_to = bottom - 30 - 0.42 * width, min(bottom + 0.1 * width, 360)
    assert found.rows.start <= max(0, legs_from) * found.scale[1]
    assert found.rows.stop >= ground_to * found.scale[1]


CLOSER = Closer(1920, slice(400, 1000), (3.0, 3.0))


def test_what_is_seen_closer_goes_back_to_where_it_was() -> None:
    """A bar's point, its leg's and that of its other looks; the film is three times as large, less its upper 400 rows."""
    shape = Shape(np.zeros((39, 41), np.float32), np.array([300.0, 197.0]))
    other = replace(BAR, point=np.array([0.0, 50.0]))
    seen = replace(BAR, point=np.array([300.0, 200.0]), shape=shape, like=(other,))
    back = CLOSER.back(seen)
    assert back.point == pytest.approx([100, 200])
    assert back.like[0].point == pytest.approx([0, 150])
    assert back.shape is not None
    assert back.shape.point == pytest.approx([100, 199])
    assert (back.on_s, back.along) == (seen.on_s, seen.along)


def test_the_horse_and_the_cameras_path_go_along() -> None:
    near = CLOSER.horse(horse(120.0))
    assert (near.width[0], near.left[0], near.bottom[0]) == pytest.approx((360, 300, 500))
    assert (near.length[0], near.advance[0]) == (1, 1)
    shift = np.array([[1.0, 0, 8], [0, 1, -2], [0, 0, 1]])
    path = CameraPath(np.stack([np.eye(3), shift]), np.ones(2))
    carried = CLOSER.camera(path).carried_to(np.array([30.0, 60.0]), 1, 0)
    assert carried == pytest.approx(np.array([30.0, 60.0]) + 3 * np.array([8, -2]))


@pytest.fixture(scope="module")
def far(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Contacts]:
    """A horse that racks past a camera that stands, a fifth of the picture's width long, and seen for under half the time."""
    look = {"width": 960, "height": 540, "camera": "still", "facing": "left", "noise": 3.0}
    scene = Scene(duration_s=7.5, quality=23, seed=21, **look)  # type: ignore[arg-type]
    film = tmp_path_factory.mktemp("closer") / "far.mp4"
    return film, draw_film(film, EXAMPLE_GAITS["rack"], scene)


@pytest.mark.parametrize("held", [620, 100], ids=["one window", "several"])
def test_a_horse_far_away_is_read_with_every_foot_on_its_own_side(
    held: int, far: tuple[Path, Contacts], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(windows, "WHOLE_PICTURES", held)
    monkeypatch.setattr(windows, "MOST_PICTURES", 240)
    shares = list[float]()
    feet = find_feet(open_clip(far[0]), progress=shares.append)
    assert (feet.too_little, feet.facing) == ("", "left")
    assert feet.seen.seen.mean() < 0.5
    width = float(np.median(feet.seen.width))
    assert (width < 150, width * feet.seen.magnified > 150) == (True, True)
    whole_s = feet.seen.times_s[feet.seen.seen & ~feet.seen.at_edge]
    asked = far[1].only(lambda mark: whole_s[0] < mark.time_s < whole_s[-1])
    agreement = score_contacts(asked, feet.contacts, ScoreSettings(window_ms=25))
    assert len(agreement.pairs) >= 0.95 * agreement.n_a
    assert not agreement.swapped_contacts
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
