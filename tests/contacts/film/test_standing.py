"""A leg that stands is found, and followed to the pictures in which it came and went."""

from dataclasses import fields as fields_of
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from evenfall.contacts.film.bars import Bar, bars_of, chosen_bars
from evenfall.contacts.film.camera import CameraPath
from evenfall.contacts.film.horse import HorsePath
from evenfall.contacts.film.pale import narrow_difference
from evenfall.contacts.film.standing import Lower, Place, leg_contrast, standing_places
from evenfall.contacts.film.trace import Scene, traces
from evenfall.timebase import FloatArray
from tests.contacts.film.films import SIZE, Grey, texture
from tests.contacts.film.good_film import followed

FPS, N, TOP = 60.0, 120, 220
TIMES_S = np.arange(N) / FPS
LEG, LOWEST, PACE_PX = 20, 300, 3.0
CAMERA = followed(1)
FIRST, LAST = 60, 80


def horse() -> HorsePath:
    """160 pixels wide, going right; its middle is over column 320 in picture 70."""
    middle = 320 + PACE_PX * (np.arange(N, dtype=np.float64) - 70)
    width, no = np.full(N, 160.0), np.zeros(N, bool)
    return HorsePath(
        left=middle - 80,
        right=middle + 80,
        bottom=np.full(N, LOWEST + 1.0),
        middle=middle,
        width=width,
        length=width / 150,
        seen=~no,
        at_edge=no,
        advance=np.full(N, PACE_PX * FPS / 160),
    )


@cache
def field() -> Grey:
    return np.asarray(texture(1) // 2 + 80, np.uint8)


@cache
def fields() -> list[Grey]:
    """The field with the noise of seven pictures."""
    rng = np.random.default_rng(5)
    return [np.clip(field() + rng.normal(0, 1.5, SIZE), 0, 255).astype(np.uint8) for _ in range(7)]


def pictures(columns: FloatArray, legs: int = 1) -> list[Grey]:
    """A noisy field, in each picture with a leg at that column (none at NaN), its hoof's lowest row 300."""
    shown = [fields()[k % len(fields())].copy() for k in range(len(columns))]
    for picture, column in zip(shown, columns, strict=True):
        for number in range(legs if np.isfinite(column) else 0):
            x = round(column) + 50 * number
            picture[TOP : LOWEST - 5, x - 3 : x + 4] = LEG
            picture[LOWEST - 5 : LOWEST + 1, x - 5 : x + 6] = LEG
    return shown


def standing(first: int = FIRST, last: int = LAST, column: float = 350.0) -> FloatArray:
    k = np.arange(N)
    return np.where((k >= first) & (k <= last), column, np.nan)


LOWER = Lower(
    first=0,
    times_s=TIMES_S,
    step=1,
    top=TOP,
    lefts=np.zeros(N, np.int64),
    differs=np.zeros((N, SIZE[0] - TOP, SIZE[1]), np.uint8),
    noise=np.full(N, 1.0),
    contrast=np.full(N, 80.0),
    planes=lambda _start, _end: None,
    horse=horse(),
)


def places(shown: list[Grey]) -> list[Place]:
    differs = np.array([np.abs(p[TOP:].astype(int) - field()[TOP:]) for p in shown]).astype(np.uint8)
    return standing_places(replace(LOWER, differs=differs), CAMERA)


def bars(shown: list[Grey]) -> list[Bar]:
    scene = Scene(0, TIMES_S, shown, (1.0, 1.0), CAMERA, horse(), 1)
    found = [
        bar for place in places(shown) for trace in traces(scene, place) for bar in bars_of(trace, scene)
    ]
    return chosen_bars(found, scene)


def test_a_leg_that_stands_is_found_where_its_hoof_is() -> None:
    for place in places(pictures(standing())):
        assert place.point == pytest.approx([350, LOWEST], abs=2)
        assert FIRST <= place.seen[0][0] < place.seen[-1][0] <= LAST


def pale_feet(hoof: int) -> list[Grey]:
    """A white leg over a hoof so much darker than the ground, with the horse's shade, darker still, behind it all."""
    shown = pictures(np.full(N, np.nan))
    shade = np.array([250, 390]) - 320
    for k, picture in enumerate(shown):
        left, right = np.clip(horse().middle[k] + shade, 0, SIZE[1]).astype(int)
        rows = np.s_[LOWEST - 1 : LOWEST + 12, left:right]
        picture[rows] = (0.6 * picture[rows]).astype(np.uint8)
        if FIRST <= k <= LAST:
            picture[TOP : LOWEST - 8, 347:354] = 250
            foot = np.s_[LOWEST - 8 : LOWEST + 1, 346:354]
            picture[foot] = field()[foot] - hoof
    return shown


def pale_bars(shown: list[Grey]) -> list[Bar]:
    differs = np.array([narrow_difference(p, field(), 160)[TOP:] for p in shown])
    lower = replace(LOWER, differs=differs, contrast=np.full(N, 60.0), pale=True)
    scene = Scene(0, TIMES_S, shown, (1.0, 1.0), CAMERA, horse(), 1, pale=True)
    found = [bars_of(t, scene) for place in standing_places(lower, CAMERA) for t in traces(scene, place)]
    return chosen_bars([bar for bars in found for bar in bars], scene)


def test_a_pale_hoof_under_a_white_leg_is_told_from_the_shade() -> None:
    """Its landing and its lift-off, and down to where the shade begins, which is about as dark as the hoof.

    A hoof of eight pixels is at the edge of what one of the two looks takes for shade.
    """
    (bar,) = pale_bars(pale_feet(hoof=65))
    assert max(look.point[1] for look in bar.looks) == pytest.approx(LOWEST - 2, abs=2)
    assert (bar.on_s, bar.off_s) == pytest.approx(((FIRST - 0.5) / FPS, (LAST + 0.5) / FPS), abs=1.5 / FPS)


def test_shade_alone_stands_nowhere() -> None:
    shown = pale_feet(hoof=65)
    bare = [*shown[:FIRST], *[shown[0]] * (LAST + 1 - FIRST), *shown[LAST + 1 :]]
    assert pale_bars(bare) == []


def test_the_bare_ground_is_taken_from_pictures_that_show_the_place() -> None:
    """The camera goes along with the horse: of six seconds, the place is in the picture for one half."""
    n, at, pace = 360, 180, 20
    wide = np.hstack([texture(seed) // 2 + 80 for seed in range(12)])
    shown = [wide[:, pace * k : pace * k + SIZE[1]].copy() for k in range(n)]
    for k in range(at - 8, at + 9):
        x = 350 - pace * (k - at)
        shown[k][TOP : LOWEST + 1, x - 5 : x + 6] = LEG
    planes = np.tile(np.eye(3), (n, 1, 1))
    planes[:, 0, 2] = pace * np.arange(n)
    still = {field.name: np.repeat(getattr(horse(), field.name)[70:71], n) for field in fields_of(HorsePath)}
    beside = replace(HorsePath(**still), advance=np.full(n, pace * FPS / 160))
    seen: list[tuple[int, tuple[float, float]]] = [
        (k, (350.0 - pace * (k - at), float(LOWEST))) for k in range(at - 4, at + 5)
    ]
    place = Place(at, np.array([350.0, LOWEST]), seen, held_s=0.15)
    scene = Scene(0, np.arange(n) / FPS, shown, (1.0, 1.0), CameraPath(planes, np.ones(n)), beside, 1)
    found = traces(scene, place)
    assert found
    assert all(trace.contrast > 80 for trace in found)


def test_a_leg_that_swings_stands_nowhere() -> None:
    """At two thirds of the horse's pace, at its own and at twice it."""
    for pace in (2 * PACE_PX / 3, PACE_PX, 2 * PACE_PX):
        columns = np.where(np.isfinite(standing(50, 90)), 300 + pace * (np.arange(N) - 60), np.nan)
        assert places(pictures(columns)) == []


def test_two_legs_that_stand_are_two_places() -> None:
    found = places(pictures(standing(), legs=2))
    assert {round(place.point[0] / 10) * 10 for place in found} == {350, 400}


def test_in_an_empty_field_nothing_stands() -> None:
    assert places(pictures(np.full(N, np.nan))) == []


def test_what_stands_far_from_the_horse_is_not_looked_at() -> None:
    assert places(pictures(standing(column=560.0))) == []


@pytest.mark.parametrize(("first", "last"), [(60, 80), (56, 84), (66, 77)])
def test_a_leg_that_comes_and_goes_is_dated_within_a_picture(first: int, last: int) -> None:
    """It is wholly there in the first picture, at 0.92 before it; it has left at 0.68 after the last."""
    (bar,) = bars(pictures(standing(first, last)))
    assert bar.on_s * FPS == pytest.approx(first - 0.08, abs=0.03)
    assert bar.off_s * FPS == pytest.approx(last + 0.32, abs=0.03)
    assert not bar.rough_on
    assert not bar.rough_off


def test_the_sole_is_found_to_a_pixel_and_has_a_leg_above_it() -> None:
    (bar,) = bars(pictures(standing()))
    assert bar.point[1] == pytest.approx(LOWEST, abs=1.5)
    assert bar.leg > 0.9
    assert bar.contrast > 30


@pytest.mark.parametrize(("column", "hind"), [(355.0, False), (295.0, True)])
def test_a_foot_is_fore_or_hind_by_its_place_under_the_horse(column: float, hind: bool) -> None:
    (bar,) = bars(pictures(standing(column=column)))
    assert bar.is_hind is hind


@pytest.mark.parametrize("later", [-6, 3])
def test_a_leg_that_comes_later_is_found_later(later: int) -> None:
    (bar,) = bars(pictures(standing(FIRST + later, LAST + later)))
    assert bar.on_s * FPS == pytest.approx(FIRST + later - 0.5, abs=0.5)
    assert bar.off_s * FPS == pytest.approx(LAST + later + 0.5, abs=0.5)


@pytest.mark.parametrize("legs", [0, 1])
def test_legs_differ_from_the_ground_by_their_contrast(legs: int) -> None:
    differs = np.zeros((N, 100, 640), np.uint8)
    differs[:, :, 300:340] = 70 * legs
    assert (
        leg_contrast(differs, (np.zeros(N, np.int64), TOP), horse(), FPS)[65:75].tolist() == [70 * legs] * 10
    )
