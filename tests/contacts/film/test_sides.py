"""Near and far, told from the heights of soles made by hand."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.contacts.film.shape import WIDTH_PX as LEG_PX
from evenfall.contacts.film.shape import Shape
from evenfall.contacts.film.sides import LEAST_GAP, SEQUENCE_LEAD, Sides, tell_sides
from evenfall.contacts.film.stances import Moment, Stance
from tests.contacts.film.good_film import FPS, N, followed, good_ride
from tests.contacts.film.test_shape import leg

BAR = good_ride().stances[0].bars[0][1]
WIDTH_PX, HALF_S, STANCE_S = 160.0, 0.3, 0.2
WHERE = np.arange(N) / FPS, np.full(N, WIDTH_PX)
CAMERA = followed(1)


def soles(
    gap: float, *, lateral_pct: float = 50, hinds_shifted: bool = False, slope: float = 0.0, n: int = 12
) -> list[Stance]:
    """Stances whose even fores tread ``gap`` widths lower than the odd, with a pixel of scatter."""
    rng = np.random.default_rng(1)
    out = []
    for hind in (False, True):
        for number in range(n):
            on = number * HALF_S + (0 if hind else lateral_pct / 100 * 2 * HALF_S)
            low = (number + (hinds_shifted and hind)) % 2 == 0
            x = 60 + 40 * on / HALF_S
            y = 250 + gap * WIDTH_PX * low + slope * x + rng.normal(0, 0.5)
            out.append(stance(hind, number, on, (x, y)))
    return out


def stance(hind: bool, number: int, on: float, point: tuple[float, float]) -> Stance:
    off = on + STANCE_S
    bar = replace(BAR, on_s=on, off_s=off, start_s=on, end_s=off, point=np.array(point), at=0, held_s=0.2)
    return Stance(hind, number, Moment(on, on), Moment(off, off), [(0.9, bar)])


def told(stances: list[Stance]) -> Sides:
    sides = tell_sides(stances, HALF_S, CAMERA, WHERE)
    assert sides is not None
    return sides


def nears(stances: list[Stance], sides: Sides) -> list[bool]:
    return [sides.is_near(stance) for stance in stances]


@pytest.mark.parametrize("hinds_shifted", [False, True])
def test_the_lower_soles_are_the_near_ones(hinds_shifted: bool) -> None:
    stances = soles(0.05, hinds_shifted=hinds_shifted)
    sides = told(stances)
    truth = [(s.number + (hinds_shifted and s.hind)) % 2 == 0 for s in stances]
    assert nears(stances, sides) == truth
    assert sides.gap == pytest.approx(0.05, abs=0.004)
    assert sides.sureness > 5


@settings(deadline=None, max_examples=12)
@given(st.floats(0.03, 0.09), st.booleans())
def test_exchanging_near_and_far_heights_exchanges_the_sides(gap: float, hinds_shifted: bool) -> None:
    ways = [soles(sign * gap, hinds_shifted=hinds_shifted) for sign in (1, -1)]
    one, other = (nears(stances, told(stances)) for stances in ways)
    assert one == [not near for near in other]


def test_a_path_that_rises_in_the_picture_exchanges_nothing() -> None:
    level, rising = soles(0.05), soles(0.05, slope=-0.1)
    assert nears(rising, told(rising)) == nears(level, told(level))
    assert told(rising).gap == pytest.approx(0.05, abs=0.006)
    assert told(rising).sureness == pytest.approx(told(level).sureness, rel=0.3)


def test_on_one_track_the_sides_are_not_sure() -> None:
    assert told(soles(0.0)).sureness < 3


def test_the_wider_the_tracks_lie_apart_the_better_it_is_told() -> None:
    narrow, wide = told(soles(0.015)), told(soles(0.06))
    assert wide.lead > narrow.lead > 0


@pytest.mark.parametrize(
    ("lateral_pct", "lead", "shifted"),
    [(25, SEQUENCE_LEAD, False), (75, SEQUENCE_LEAD, True), (50, 0, False), (3, 0, False), (97, 0, False)],
)
def test_the_order_of_the_feet_counts_only_where_the_beats_lie_apart(
    lateral_pct: float, lead: float, shifted: bool
) -> None:
    """Heights that say nothing at all leave the order alone."""
    flat = [stance(s.hind, s.number, s.on.expected_s, (300, 250)) for s in soles(0, lateral_pct=lateral_pct)]
    sides = told(flat)
    assert sides.lead == pytest.approx(lead, abs=1e-6)
    assert sides.hinds_shifted is shifted


def test_plain_heights_outweigh_the_order() -> None:
    assert told(soles(0.06, lateral_pct=25, hinds_shifted=True)).hinds_shifted


def test_soles_told_from_beside_them_are_taken_where_they_say_more() -> None:
    """Under a hard shadow the plain looks are all as low as the shadow's edge."""
    rng = np.random.default_rng(2)
    stances = soles(0.05)
    for each in stances:
        fit, bar = each.bars[0]
        dull = np.array([bar.point[0], 258 + rng.normal(0, 4)])
        each.bars[0] = fit, replace(bar, point=dull, like=(replace(bar, beside=True),))
    assert nears(stances, told(stances)) == [s.number % 2 == 0 for s in stances]
    assert told(stances).sureness == pytest.approx(told(soles(0.05)).sureness)


def test_of_several_looks_at_a_sole_the_middle_one_counts() -> None:
    """One look in three at each took the pastern for the sole."""
    stances = soles(0.05)
    for each in stances:
        fit, bar = each.bars[0]
        pastern = replace(bar, point=bar.point - np.array([0.0, 12.0]))
        each.bars[0] = fit, replace(bar, like=(pastern, bar))
    assert told(stances).gap == pytest.approx(told(soles(0.05)).gap)
    assert told(stances).sureness == pytest.approx(told(soles(0.05)).sureness)


def test_a_look_at_another_place_does_not_count() -> None:
    stances = soles(0.05)
    for each in stances:
        fit, bar = each.bars[0]
        elsewhere = replace(bar, point=bar.point + np.array([30.0, 9.0]), contrast=bar.contrast / 2)
        each.bars[0] = fit, replace(bar, like=(elsewhere,))
    assert told(stances).gap == pytest.approx(told(soles(0.05)).gap)


def test_a_shadows_edge_that_lies_steadily_on_one_line_is_not_taken_for_two_tracks() -> None:
    """Its height is known better than the soles', and says nothing: the soles are taken."""
    rng = np.random.default_rng(3)
    stances = soles(0.03)
    for each in stances:
        fit, bar = each.bars[0]
        edge = np.array([bar.point[0], 258 + 0.2 * (each.number % 2) + rng.normal(0, 0.01)])
        each.bars[0] = fit, replace(bar, point=edge, like=(replace(bar, beside=True),))
    assert told(stances).gap == pytest.approx(0.03, abs=0.005)


def test_too_few_stances_tell_nothing() -> None:
    assert tell_sides([], HALF_S, CAMERA, WHERE) is None
    assert tell_sides(soles(0.05)[:3], HALF_S, CAMERA, WHERE) is None
    assert tell_sides([replace(s, bars=[]) for s in soles(0.05)], HALF_S, CAMERA, WHERE) is None


FAINT = 0.003
"""A gap that soles lost in the shade still show, widths: not enough to tell the sides by."""


def shaped(
    gap: float, *, hinds_shifted: bool = False, soles_shifted: bool = False, alike: bool = True
) -> list[Stance]:
    """A pace whose soles are nearly lost in the shade; the legs above show ``gap``."""
    rng = np.random.default_rng(6)
    stances = soles(FAINT, lateral_pct=3, hinds_shifted=soles_shifted)
    for each in stances:
        low = (each.number + (hinds_shifted and each.hind)) % 2 == 0
        fit, bar = each.bars[0]
        picture = leg(low * (gap - FAINT) * LEG_PX + rng.normal(0, 0.3))
        if not alike:
            picture = rng.normal(0, 20, picture.shape).astype(np.float32)
        each.bars[0] = fit, replace(bar, shape=Shape(picture, bar.point))
    return stances


@pytest.mark.parametrize("hinds_shifted", [False, True])
def test_where_soles_are_nearly_lost_in_the_shade_the_legs_above_tell(hinds_shifted: bool) -> None:
    stances = shaped(0.012, hinds_shifted=hinds_shifted, soles_shifted=hinds_shifted)
    sides = told(stances)
    alone = told(soles(FAINT, lateral_pct=3, hinds_shifted=hinds_shifted))
    assert nears(stances, sides) == [(s.number + (hinds_shifted and s.hind)) % 2 == 0 for s in stances]
    assert sides.gap == pytest.approx(0.012, abs=0.003)
    assert sides.sureness > 3
    assert alone.gap < LEAST_GAP


@pytest.mark.parametrize("hinds_shifted", [False, True])
def test_legs_that_contradict_the_soles_tell_nothing(hinds_shifted: bool) -> None:
    """As under white socks, near ones lit and far ones in the shade."""
    stances = shaped(0.012, hinds_shifted=hinds_shifted, soles_shifted=not hinds_shifted)
    assert told(stances) == told(soles(FAINT, lateral_pct=3, hinds_shifted=not hinds_shifted))


def test_legs_that_are_not_alike_tell_nothing() -> None:
    assert told(shaped(0.012, alike=False)) == told(soles(FAINT, lateral_pct=3))
