"""What runs beneath the picture."""

import cv2
import numpy as np
import pytest

from evenfall.clip import Clip
from evenfall.contacts import Limb
from evenfall.reading import Reading, ReadSettings, read_marked
from evenfall.report.feet import ROWS
from evenfall.report.showing.look import BAND, PAPER, Picture, Text, foot_colour, lay_letters, sign
from evenfall.report.showing.panel import NOW, Panel, prepared_panel
from evenfall.report.showing.told import Told, told_of
from tests.gait.test_cautions import clip
from tests.making import regular

WIDTH = 900


def reading(**settings: float) -> Reading:
    film: Clip = clip()
    return read_marked(film, regular(**{"n": 5, **settings}), ReadSettings())  # type: ignore[arg-type]


def panel(told: Told, unit: float = 1.0, heading: int = 1) -> Panel:
    return prepared_panel(told, WIDTH, unit, (0.0, 5.0), heading)


def drawn(laid: Panel, time_s: float) -> Picture:
    into = np.zeros_like(laid.base)
    laid.draw(into, time_s)
    return into


@pytest.mark.parametrize("unit", [0.66, 1.0, 1.5])
def test_at_the_line_of_now_a_bar_is_there_where_the_foot_stands(unit: float) -> None:
    told = told_of(reading())
    laid, looked_at = panel(told, unit), 0
    for time_s in np.arange(0.8, 3.2, 0.07):
        picture, box = drawn(laid, float(time_s)), laid.bars
        beside = box.left + round(NOW * (box.right - box.left)) + 3
        soon_s = time_s + 3 / laid.px_per_s
        for row, limb in enumerate(ROWS):
            edges = [
                abs(t - soon_s) for each in told.stood if each.limb is limb for t in (each.on_s, each.off_s)
            ]
            if min(edges) * laid.px_per_s < 14 * unit:
                continue  # at a bar's end, or under its sign
            there = any(each.on_s <= soon_s < each.off_s for each in told.stood if each.limb is limb)
            pixel = picture[round(box.top + (row + 0.5) * (box.bottom - box.top) / 4), beside]
            assert tuple(pixel) == (foot_colour(limb) if there else PAPER)
            looked_at += 1
    assert looked_at > 40


def test_bars_and_signs_are_told_apart_without_colour() -> None:
    """In grey a fore is a triangle and a hind a square: more of its upper half is filled."""
    filled = {}
    for limb in Limb:
        picture = np.full((60, 60, 3), 255, np.uint8)
        sign(picture, limb, (30, 30), 40)
        dark = cv2.cvtColor(picture, cv2.COLOR_BGR2GRAY) < 220
        rows = np.flatnonzero(dark.any(axis=1))
        filled[limb] = dark[rows[0] + 4].sum() / dark[rows[-1] - 4].sum()
    assert all(filled[limb] > 0.9 for limb in (Limb.LH, Limb.RH))
    assert all(filled[limb] < 0.5 for limb in (Limb.LF, Limb.RF))


@pytest.mark.parametrize("heading", [1, -1])
def test_the_four_foot_sign_looks_the_way_the_horse_goes(heading: int) -> None:
    feet = panel(told_of(reading()), heading=heading).feet
    assert (feet[Limb.LF][0] > feet[Limb.LH][0]) is (heading > 0)
    assert (feet[Limb.LF][1] < feet[Limb.RF][1]) is (heading > 0)


def test_the_sign_is_filled_while_the_foot_stands() -> None:
    told = told_of(reading())
    laid = panel(told)
    for time_s in (1.0, 1.31, 1.77):
        picture = drawn(laid, time_s)
        for limb, (x, y) in laid.feet.items():
            down = any(each.on_s <= time_s < each.off_s for each in told.stood if each.limb is limb)
            assert tuple(picture[round(y), round(x)]) == (foot_colour(limb) if down else PAPER)


def test_a_strides_tick_comes_when_its_fore_has_landed_and_stays() -> None:
    laid = panel(told_of(reading()))
    first = min(laid.told.ticks, key=lambda tick: tick.from_s)
    assert (first.phase_pct, first.from_s) == pytest.approx((25, 0.5 + 0.15), abs=0.3)
    axis = np.s_[laid.axis.top + 4 : laid.axis.bottom]  # below the line of now
    before, after, late = (drawn(laid, time_s)[axis] for time_s in (0.6, 0.7, 4.9))
    blank = laid.base[axis]
    assert np.array_equal(before, blank)
    assert not np.array_equal(after, blank)
    assert not np.array_equal(late, blank)


def test_a_canter_has_no_place_on_the_line_and_a_film_without_strides_neither_ticks_nor_bars() -> None:
    offsets = {Limb.LH: 0.0, Limb.RH: 25.0, Limb.LF: 25.0, Limb.RF: 50.0}
    canter = told_of(read_marked(clip(), regular(n=5, offsets_pct=offsets), ReadSettings()))
    assert canter.band_pct is None
    assert canter.ticks == ()
    bare = told_of(read_marked(clip(), regular(n=0, lift_offs=False), ReadSettings()))
    assert (bare.stood, bare.ticks) == ((), ())
    assert drawn(panel(bare), 1.0).shape == drawn(panel(canter), 1.0).shape


def test_letters_are_laid_on_and_what_is_not_plain_is_only_letters() -> None:
    picture = np.full((40, 400, 3), PAPER, np.uint8)
    lay_letters(picture, [Text(5, 28, "Jünïper <b>&", 22, bold=True)])
    inked = np.flatnonzero((picture.max(axis=2) < 100).any(axis=0))
    assert 5 <= inked[0] < 12
    assert inked[-1] > 120
    lay_letters(again := np.full((40, 400, 3), PAPER, np.uint8), [Text(5, 28, "x" * 90, 22, width=200)])
    assert np.flatnonzero((again.max(axis=2) < 100).any(axis=0))[-1] < 210


@pytest.mark.parametrize("unit", [0.66, 1.0, 1.5])
def test_no_tick_and_no_band_comes_to_the_words_of_the_beat_line(unit: float) -> None:
    laid = panel(told_of(reading(lateral_pct=50)), unit)
    words = np.s_[laid.axis.bottom - round(15.5 * unit) : laid.axis.bottom]
    for time_s in np.arange(0.5, 5, 0.2):
        assert np.array_equal(drawn(laid, float(time_s))[words], laid.base[words])
    assert tuple(BAND) not in {tuple(pixel) for pixel in laid.base[words].reshape(-1, 3).tolist()}


def test_whoever_gets_the_film_alone_is_told_what_bar_line_and_tick_are() -> None:
    """The line of words is there, at the foot of the panel, and no word is cut off."""
    laid = panel(told_of(reading()))
    foot = laid.base[laid.axis.bottom :].max(axis=2) < 100
    assert foot[:, : WIDTH // 3].any()
    assert not foot[-2:].any()
    assert not foot[:, -4:].any()
