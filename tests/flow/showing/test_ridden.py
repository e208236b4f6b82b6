"""A drawn ride as the machine saw it: feet coloured where they truly stand, riders not shown or not recognised."""

from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np

from evenfall.clip import open_clip, pictures
from evenfall.contacts import Limb
from evenfall.flow.legs_films import write_legs
from evenfall.flow.showing import ShowSettings, show_film
from evenfall.flow.showing.filming import known_places, pane_of
from evenfall.flow.showing.span import Part
from evenfall.report.showing.framing import framed_whole, rider_blurred
from evenfall.report.showing.look import Picture, foot_colour
from evenfall.report.showing.pane import Pane
from tests.flow.showing.conftest import SCENE, UNLIKE, Ridden

GREY = 110


def pane(ridden: Ridden, **settings: str) -> Pane:
    asked = ShowSettings(**settings)  # type: ignore[arg-type]
    return pane_of(
        ridden.reading, known_places(ridden.reading, None), asked, Part(0.0, SCENE.duration_s, 4.0)
    )


def on_grey(laid: Pane, index: int, time_s: float) -> Picture:
    """What is drawn on a picture of one grey, the picture's part alone."""
    into = np.zeros((laid.size[1], laid.size[0], 3), np.uint8)
    laid.draw(
        into, np.full((laid.framing.decoded[1], laid.framing.decoded[0], 3), GREY, np.uint8), index, time_s
    )
    top = laid.head.shape[0]
    return into[top : top + laid.framing.size[1]]


def coloured(picture: Picture, limb: Limb) -> "np.ndarray[tuple[int, ...], np.dtype[np.bool_]]":
    away = np.abs(picture.astype(int) - np.array(foot_colour(limb))).max(axis=2)
    return np.asarray(away < 10)


def standing_moments(ridden: Ridden, laid: Pane) -> Iterator[tuple[Limb, int, float]]:
    """The picture in the middle of each stance that has a place."""
    times_s = ridden.reading.clip.timebase.times_s
    for stood in laid.where:
        index = int(np.searchsorted(times_s, (stood.on_s + stood.off_s) / 2))
        yield stood.limb, index, float(times_s[index])


def test_feet_are_coloured_where_they_truly_stand(ridden: Ridden) -> None:
    laid, off = pane(ridden), []
    for limb, index, time_s in standing_moments(ridden, laid):
        rows, columns = np.nonzero(coloured(on_grey(laid, index, time_s), limb))
        x, y, tall = ridden.hoof(limb, time_s)
        shown_x, shown_y = laid.framing.shown_at(index, (x, y))
        tall *= laid.framing.scale(index)
        ring = rows < rows.min() + 0.05 * tall
        off.append(((columns[ring].mean() - shown_x) / tall, (rows.min() - shown_y) / tall))
    across, down = np.abs(np.array(off)).T
    assert len(off) >= 8
    assert np.median(across) < 0.03
    assert np.percentile(across, 80) < 0.06
    assert np.percentile(down, 80) < 0.12  # the colour begins a hoof's height above the ground


def test_no_foot_is_coloured_while_it_is_in_the_air(ridden: Ridden) -> None:
    laid, looked_at = pane(ridden), 0
    times_s = ridden.reading.clip.timebase.times_s
    for index in range(0, len(times_s), 7):
        time_s = float(times_s[index])
        picture = on_grey(laid, index, time_s)
        down = {stood.limb for stood in laid.told.stood if stood.on_s <= time_s < stood.off_s}
        for limb in set(Limb) - down:
            assert not coloured(picture, limb).any()
            looked_at += 1
    assert looked_at > 10


def unlike(picture: Picture) -> int:
    """Pixels of the colour only the rider has."""
    blue, green, red = (picture[..., part].astype(int) for part in range(3))
    return int((np.minimum(blue, red) - green > 60).sum())


def test_no_pixel_of_the_rider_is_in_a_film_of_the_legs(ridden: Ridden) -> None:
    laid, seen = pane(ridden, view="legs"), 0
    for picture in pictures(ridden.reading.clip):
        seen += unlike(picture.pixels)
        assert unlike(laid.framing.cut(picture.pixels, picture.index)) == 0
    assert seen > 100_000


def test_the_legs_are_in_a_film_of_the_legs(ridden: Ridden) -> None:
    laid = pane(ridden, view="legs")
    wide, high = laid.framing.size
    for limb, index, time_s in standing_moments(ridden, laid):
        x, y = laid.framing.shown_at(index, ridden.hoof(limb, time_s)[:2])
        assert 0 < x < wide
        assert 0.4 * high < y < high


def test_of_a_blurred_rider_nothing_smaller_than_a_head_is_left(ridden: Ridden) -> None:
    """Above the saddle all that is left are cells: smoothed again, hardly anything changes; before, much did."""
    clip, places = ridden.reading.clip, known_places(ridden.reading, None)
    size = clip.width, clip.height
    framing = framed_whole(size, clip.timebase.n_frames, size)
    blur = rider_blurred(size, places, clip.timebase.n_frames, clip.timebase.capture_fps)
    assert blur.placed
    for picture in pictures(clip):
        if picture.index % 9 == 0:
            left, right, row = np.clip(blur.boxes[picture.index], 0, [size[0], size[0], size[1]])
            head = np.s_[:row, left:right]
            before = picture.pixels[head].copy()
            blur.lay(picture.pixels, picture.index, framing)
            after, cell = picture.pixels[head], float(blur.cell[picture.index])
            assert detail(after, cell) < 0.1 * detail(before, cell)
            assert sharpness(after) < 0.01 * sharpness(before)


def detail(part: Picture, cell: float) -> float:
    """How much of a part is finer than an eighth of a cell, grey levels."""
    plain = part.astype(np.float32)
    return float(np.abs(plain - cv2.GaussianBlur(plain, (0, 0), cell / 8)).mean())


def sharpness(part: Picture) -> float:
    return float(cv2.Laplacian(part, cv2.CV_64F).var())


def test_the_whole_rider_is_within_what_is_blurred(ridden: Ridden) -> None:
    """What is left of the rider's colour is at the stirrup, below the saddle."""
    clip, laid = ridden.reading.clip, pane(ridden, blur="rider")
    for picture in pictures(clip):
        if picture.index % 5:
            continue
        x, ground, tall = ridden.hoof(Limb.LF, float(clip.timebase.times_s[picture.index]))
        small = np.asarray(cv2.resize(picture.pixels, laid.framing.decoded), np.uint8)
        cut = laid.framing.cut(small, picture.index).copy()
        assert laid.blur is not None
        laid.blur.lay(cut, picture.index, laid.framing)
        saddle = laid.framing.shown_at(picture.index, (x, ground - 1.15 * tall))[1]
        assert sharpness(cut[: round(saddle)]) < sharpness(small[: round(saddle)])
        blue, green, red = (cut[: round(saddle), :, part].astype(int) for part in range(3))
        assert (np.minimum(blue, red) - green).max() < 190


def test_the_film_is_written_with_all_of_it(ridden: Ridden, tmp_path: Path) -> None:
    settings = ShowSettings(slow=2, view="legs", blur="rider", caption="Juniper & Söhne <1>", height_px=480)
    shown = show_film(ridden.reading, tmp_path / "out.mp4", settings)
    film = open_clip(tmp_path / "out.mp4")
    assert (film.timebase.n_frames, film.has_sound) == (shown.pictures, True)
    assert shown.notes == ()


def test_no_pixel_of_the_rider_is_in_a_study_copys_film(ridden: Ridden, tmp_path: Path) -> None:
    places = known_places(ridden.reading, None)
    assert places is not None
    write_legs(ridden.reading.clip, places, tmp_path / "1.mp4")

    def riders(film: Path) -> list[int]:
        off = (
            np.abs(each.pixels.astype(int) - UNLIKE[::-1]).max(axis=2) for each in pictures(open_clip(film))
        )
        return [int((away < 110).sum()) for away in off]

    assert min(riders(ridden.reading.clip.path)) > 100
    assert max(riders(tmp_path / "1.mp4")) == 0
