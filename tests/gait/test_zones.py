"""Zones, symmetry, leads, walking and running."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from evenfall.contacts import Limb, date_contacts
from evenfall.demo import as_marked
from evenfall.gait import ZONES, Estimate, measure, place
from evenfall.gait.zones import zone_chances
from evenfall.strides import build_strides
from evenfall.synth import made_contacts, symmetrical
from evenfall.timebase import Timebase
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
    for share, even in ((58, True), (62, False)):
        uneven = {Limb.LH: 0.0, Limb.RH: float(share), Limb.LF: 25.0, Limb.RF: 75.0}
        assert place(measure(build_strides(regular(offsets_pct=uneven)))).symmetrical is even


def test_one_uneven_pair_is_no_gallop() -> None:
    """An even rack whose right hind lands early: the horse a trainer must hear of."""
    uneven = {Limb.LH: 0.0, Limb.LF: 25.0, Limb.RH: 38.0, Limb.RF: 75.0}
    placing = place(measure(build_strides(regular(offsets_pct=uneven))))
    assert (placing.symmetrical, placing.uneven, placing.lead) == (False, ("hinds",), None)
    assert placing.zone in ("lateral sequence singlefoot", "lateral sequence, diagonal couplets")


@pytest.mark.parametrize(("sd_s", "lead"), [(0.003, "right"), (0.012, None)])
def test_a_canter_on_the_border_of_symmetry_is_told_with_its_doubt(sd_s: float, lead: str | None) -> None:
    """Both pairs 11 from half a stride: sharp pictures call it a canter, coarse ones leave it one chance of several."""
    offsets = {Limb.LH: 0.0, Limb.RH: 39.0, Limb.LF: 30.0, Limb.RF: 69.0}
    placing = place(measure(build_strides(regular(offsets_pct=offsets, sd_s=sd_s))))
    assert placing.lead == lead
    assert placing.confidence is not None
    assert placing.confidence < 0.99
    assert any("gallop" in zone or "canter" in zone for zone, _ in placing.chances)


def test_a_symmetrical_horse_filmed_coarsely_is_hardly_ever_a_canter() -> None:
    """Hinds uneven by 8, within the published screen; thirty pictures a second, two seconds."""
    rng = np.random.default_rng(1)
    clock = Timebase(np.arange(90) / 30)
    leads = 0
    for seed in range(60):
        gait = replace(
            symmetrical(0.55, 25, 48, 50),
            offset_pct={Limb.LH: 0.0, Limb.LF: 25.0, Limb.RH: 42.0, Limb.RF: 75.0},
        )
        marks = date_contacts(
            as_marked(made_contacts(gait, 2.2, seed).shifted(rng.uniform(0, 0.03)), clock), clock
        )
        leads += place(measure(build_strides(marks.contacts))).lead is not None
    assert leads <= 1
