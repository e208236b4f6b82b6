"""The pictures of the documents are those that the script makes, of pages that there are."""

from pathlib import Path

import cv2
import numpy as np
import pytest
from fastapi import FastAPI
from starlette.routing import Match

from docs.pictures.barn import CHANGED_DAYS, CLOVER, FIRST_DAYS
from docs.pictures.drawn import DRAWN
from docs.pictures.shots import SHOTS, Shot
from docs.pictures.small import small_png
from tests.docs.pages import DOCS, PAGES, pictures

FOLDER = DOCS / "pictures"
MADE = {f"{shot.name}.png" for shot in SHOTS} | set(DRAWN)
LARGEST = 150_000


def test_what_is_shown_is_what_is_made() -> None:
    shown = {Path(picture.target).name for page in PAGES for picture in pictures(page)}
    there = {path.name for path in FOLDER.iterdir() if path.suffix in (".png", ".jpg")}
    assert shown == MADE == there


def test_the_tutorial_shows_every_page_it_goes_through_in_order() -> None:
    shown = [Path(picture.target).stem for picture in pictures(DOCS / "tutorial/first-sheet.md")]
    assert shown == [shot.name for shot in SHOTS]
    assert len(shown) <= 12


@pytest.mark.parametrize("name", sorted(MADE))
def test_a_picture_is_small_and_no_wider_than_told(name: str) -> None:
    picture = cv2.imread(str(FOLDER / name))
    assert picture is not None
    widths = {f"{shot.name}.png": shot.width for shot in SHOTS}
    assert picture.shape[1] <= widths.get(name, 1100)
    assert (FOLDER / name).stat().st_size < LARGEST


@pytest.mark.parametrize("shot", SHOTS, ids=lambda shot: shot.name)
def test_a_picture_is_of_a_page_that_there_is(app: FastAPI, shot: Shot) -> None:
    path = shot.address.partition("?")[0]
    scope = {"type": "http", "method": "GET", "path": path, "headers": []}
    assert any(route.matches(scope)[0] is Match.FULL for route in app.routes)


def test_the_made_up_horse_is_filmed_before_and_after_her_change() -> None:
    days = [outing.days_before for outing in CLOVER.earlier]
    assert min(days) < CHANGED_DAYS < max(days) < FIRST_DAYS
    assert len(CLOVER.history.worn) == 1


def test_a_picture_of_few_colours_stays_as_it_is() -> None:
    chance = np.random.default_rng(3)
    colours = chance.integers(0, 256, (40, 3), dtype=np.uint8)
    picture = colours[chance.integers(0, 40, (31, 17))]
    again = cv2.imdecode(np.frombuffer(small_png(picture), np.uint8), cv2.IMREAD_COLOR)
    assert again is not None
    assert np.array_equal(again, picture)


def test_of_many_colours_as_many_are_left_as_asked_and_none_is_far_off() -> None:
    across, down = np.meshgrid(np.arange(128), np.arange(96))
    picture = np.stack([2 * across, 2 * down, across + down], axis=2).astype(np.uint8)
    again = cv2.imdecode(np.frombuffer(small_png(picture, colours=64), np.uint8), cv2.IMREAD_COLOR)
    assert again is not None
    assert len(np.unique(again.reshape(-1, 3), axis=0)) <= 64
    far = np.abs(again.astype(int) - picture.astype(int)).mean()
    assert far < 20
    assert small_png(picture, colours=64) == small_png(picture, colours=64)
