"""Zones, symmetry, leads, walking and running."""

from itertools import pairwise

import pytest

from evenfall.contacts import Limb
from evenfall.gait import ZONES, Estimate, measure, place
from evenfall.gait.zones import zone_chances
from evenfall.strides import build_strides
from tests.making import regular, regular_strides


@pytest.mark.parametrize("zone", ZONES, ids=lambda zone: zone.name)
def test_the_middle_of_each_zone_is_named_for_it(zone: object) -> None:
    middle = (zone.low + zone.high) / 2  # type: ignore[attr-defined]
    assert place(measure(regular_strides(lateral_pct=middle))).zone == zone.name  # type: ignore[attr-defined]


def test_the_zones_tile_the_circle_in_eighths() -> None:
    assert [zone.high - zone.low for zone in ZONES] == [12.5] * 8
    assert all(a.high == b.low for a, b in pairwise(ZONES))


def test_between_two_zones_both_are_told_with_their_probability() -> None:
    border = Estimate(mean=31.25, sd=2.0, n=12, low=30.0, high=32.5, df=11.0)
    chances = dict(zone_chances(border))
    assert chances == pytest.approx(
        {"lateral sequence singlefoot": 0.5, "lateral sequence, diagonal couplets": 0.5}, abs=0.01
    )


def test_a_pace_that_straddles_the_seam_of_the_circle_is_one_zone() -> None:
    ((name, chance),) = zone_chances(Estimate(mean=-0.2, sd=2.0, n=12, low=-1.4, high=1.0, df=11.0))
    assert name == "pace"
    assert chance > 0.99


def canter(lead: str, gap_pct: float = 0.0) -> object:
    """A right lead: left hind, right hind with left fore, right fore; mirrored for the left (offsets from memory)."""
    right = {Limb.LH: 0.0, Limb.RH: 28.0, Limb.LF: 28.0 + gap_pct, Limb.RF: 55.0}
    marks = regular(stride_s=0.6, offsets_pct=right, duty_fore_pct=40, duty_hind_pct=40)
    return place(measure(build_strides(marks if lead == "right" else marks.mirrored())))


@pytest.mark.parametrize("lead", ["left", "right"])
def test_a_canter_is_known_with_its_lead(lead: str) -> None:
    placing = canter(lead)
    assert (placing.zone, placing.lead, placing.symmetrical) == ("canter", lead, False)  # type: ignore[attr-defined]


@pytest.mark.parametrize("lead", ["left", "right"])
def test_four_beats_of_an_asymmetrical_gait_are_a_gallop(lead: str) -> None:
    placing = canter(lead, gap_pct=10)
    assert (placing.zone, placing.lead) == ("gallop", lead)  # type: ignore[attr-defined]


def test_fores_on_one_lead_and_hinds_on_the_other_are_disunited() -> None:
    crossed = {Limb.LH: 0.0, Limb.RH: 28.0, Limb.RF: 30.0, Limb.LF: 58.0}
    placing = place(measure(build_strides(regular(offsets_pct=crossed))))
    assert placing.lead == "disunited"


@pytest.mark.parametrize(("duty", "word"), [(65, "walking"), (42, "running")])
def test_walking_and_running_by_hind_duty(duty: float, word: str) -> None:
    placing = place(measure(regular_strides(duty_hind_pct=duty)))
    assert placing.walking_or_running == word
    assert placing.walking_chance == pytest.approx(1.0 if word == "walking" else 0.0, abs=0.01)


def test_without_lift_offs_walking_or_running_is_unknown() -> None:
    placing = place(measure(build_strides(regular(lift_offs=False))))
    assert (placing.walking_or_running, placing.walking_chance) == ("unknown", None)


def test_a_horse_uneven_by_less_than_the_published_screen_is_symmetrical() -> None:
    """Both pairs within 10 % of half a stride (Schmitt et al. 2006, caption read)."""
    for share, symmetrical in ((58, True), (62, False)):
        uneven = {Limb.LH: 0.0, Limb.RH: float(share), Limb.LF: 25.0, Limb.RF: 75.0}
        assert place(measure(build_strides(regular(offsets_pct=uneven)))).symmetrical is symmetrical
