"""The ground line laid where the horse was, and the stances over it."""

from pathlib import Path

import numpy as np
import pytest

from evenfall.clip import open_clip
from evenfall.contacts import Limb
from evenfall.contacts.film import FilmFeet, find_feet
from evenfall.report.ground import Panel, Standing, panels, standings, way
from tests.report.charts.ridden import HALF_S, SPEED, made_feet, made_stances


def stood(feet: FilmFeet, factor: float = 1.0) -> list[Standing]:
    return list(standings(feet, feet.rides[0], way(feet.seen), factor))


@pytest.mark.parametrize("pan_px", [0.0, 3.0, 4.267])
@pytest.mark.parametrize("heading", [1, -1])
def test_the_way_is_over_the_ground_however_the_camera_turns(heading: int, pan_px: float) -> None:
    feet = made_feet(heading=heading, pan_px=pan_px)
    np.testing.assert_allclose(way(feet.seen), heading * SPEED * feet.seen.times_s, atol=1e-9)


@pytest.mark.parametrize("heading", [1, -1])
def test_every_stance_is_where_the_foot_stood(heading: int) -> None:
    found = stood(made_feet(heading=heading, pan_px=3.0))
    truth = made_stances(3.0)
    assert len(found) == len(truth)
    for standing, foot in zip(found, truth, strict=True):
        assert standing.hind is foot.hind
        assert standing.ground == pytest.approx(foot.ground, abs=1e-6)
        assert (standing.on_s, standing.off_s) == pytest.approx((foot.on_s, foot.off_s))


@pytest.mark.parametrize("heading", [1, -1])
def test_a_standing_foot_stays_in_its_column_of_the_picture(heading: int) -> None:
    """Every row of a stance is darkest within a hundredth of a width of where the foot stands."""
    looked_at = 0
    for panel in panels(made_feet(heading=heading, pan_px=3.0)):
        for standing in panel.standings:
            for row, columns in rows_and_columns(panel, standing, 0.12):
                dark = np.flatnonzero(panel.paper[row] < 200)
                near = dark[(dark >= columns[0]) & (dark <= columns[-1])]
                assert abs(near.mean() - columns.mean()) <= 1.5
                looked_at += 1
    assert looked_at > 300


def rows_and_columns(
    panel: Panel, standing: Standing, room: float
) -> list[tuple[int, np.ndarray[tuple[int], np.dtype[np.int64]]]]:
    """The rows of a panel in which the foot stands, a little inside its stance, and the columns about its place."""
    down, across = panel.paper.shape
    time = panel.start_s + (np.arange(down) + 0.5) / down * (panel.end_s - panel.start_s)
    middle = (standing.ground - panel.ground[0]) / (panel.ground[1] - panel.ground[0]) * across
    half = room / abs(panel.ground[1] - panel.ground[0]) * across
    columns = np.arange(max(0, round(middle - half)), min(across, round(middle + half)))
    rows = np.flatnonzero((time > standing.on_s + 0.04) & (time < standing.off_s - 0.04))
    return [(int(row), columns) for row in rows]


def test_a_mirrored_film_gives_the_mirrored_picture() -> None:
    right, left = (panels(made_feet(heading=heading, pan_px=2.0)) for heading in (1, -1))
    for a, b in zip(right, left, strict=True):
        assert b.ground == pytest.approx(a.ground[::-1])
        assert np.abs(a.paper.astype(int) - b.paper[:, ::-1].astype(int)).mean() < 1


def test_the_panels_follow_one_another_and_are_as_wide() -> None:
    cut = panels(made_feet(seconds=6.0))
    assert len(cut) == round(6.0 / (4 * HALF_S))
    assert [panel.start_s for panel in cut[1:]] == [panel.end_s for panel in cut[:-1]]
    assert np.ptp([abs(panel.ground[1] - panel.ground[0]) for panel in cut]) == pytest.approx(0, abs=1e-9)


def test_slow_motion_stretches_the_time_and_leaves_the_ground() -> None:
    quick, slow = stood(made_feet()), stood(made_feet(factor=8.0), 8.0)
    assert [s.on_s for s in slow] == pytest.approx([8 * s.on_s for s in quick])
    assert [s.ground for s in slow] == pytest.approx([s.ground for s in quick])
    assert [s.on is None for s in slow] == [s.on is None for s in quick]


def test_what_was_inferred_says_so() -> None:
    found = stood(made_feet(unseen=(2,)))
    (lost,) = [s for s in found if not s.off_seen]
    assert not lost.hind
    assert lost.on_seen
    assert lost.off is not None
    assert lost.off.sd_s == 0.03


@pytest.mark.parametrize("heading", [1, -1])
def test_a_stance_nothing_was_seen_of_is_put_a_stride_from_the_foots_last(heading: int) -> None:
    found, truth = stood(made_feet(heading=heading, overlooked=(2,))), made_stances(3.0)
    (put,) = [s for s in found if not s.shown]
    assert not put.on_seen
    assert not put.off_seen
    (foot,) = [foot for foot in truth if foot.number == 2 and not foot.hind]
    assert put.ground == pytest.approx(foot.ground, abs=1e-6)


def test_a_stance_with_none_of_the_same_foot_beside_it_is_left_out() -> None:
    found = stood(made_feet(overlooked=(1, 3, 5)))
    assert len(found) == len(made_stances(3.0)) - 1


def test_a_stance_the_film_begins_in_has_no_landing() -> None:
    first = min(stood(made_feet()), key=lambda s: s.on_s)
    assert first.on_s < 0
    assert first.on is None
    assert first.off is not None


def test_the_near_foot_is_the_right_one_of_a_horse_that_goes_right() -> None:
    going_right, going_left = (stood(made_feet(heading=heading)) for heading in (1, -1))
    across = {Limb.LF: Limb.RF, Limb.RF: Limb.LF, Limb.LH: Limb.RH, Limb.RH: Limb.LH}
    assert [across[s.limb] for s in going_right if s.limb] == [s.limb for s in going_left]


def test_a_refused_ride_has_stances_and_names_no_foot() -> None:
    found = stood(made_feet(refused="which feet are the near ones cannot be told"))
    assert len(found) == len(made_stances(3.0))
    assert {s.limb for s in found} == {None}
    assert {s.contacts for s in found} == {()}


def test_in_a_trial_film_the_outlines_lie_on_the_feet(shared_clips: Path) -> None:
    """The ground under the found stances is darker than the ground beside them."""
    film = find_feet(open_clip(shared_clips / "c_rack.mp4"))
    inside, beside = [], []
    for panel in panels(film):
        for standing in panel.standings:
            for row, columns in rows_and_columns(panel, standing, 0.15):
                middle = np.abs(columns - columns.mean()) < 4
                inside.append(255 - panel.paper[row, columns[middle]].mean())
                beside.append(255 - panel.paper[row, columns[~middle]].mean())
    assert len(inside) > 200
    assert np.mean(inside) > 3 * np.mean(beside)
