import pytest

from evenfall.contacts.model import Limb
from evenfall.errors import WrongSetting
from evenfall.synth import EXAMPLE_GAITS, GaitTiming, canter, symmetrical

# Speeds measured on real horses; the films' horse must go about as fast, or its legs would reach too far.
PUBLISHED_M_S = {
    "running walk": 2.66,  # Nicodemus et al. 2002
    "fast running walk": 3.80,  # Nicodemus et al. 2002
    "fox trot": 3.17,  # Nicodemus & Slater 2010
    "trot": 4.08,  # Verna et al. 2022
}


def test_the_right_side_of_a_symmetrical_gait_is_half_a_stride_late() -> None:
    gait = symmetrical(0.6, 30, 45, 50)
    assert gait.offset_pct[Limb.RH] - gait.offset_pct[Limb.LH] == 50
    assert gait.offset_pct[Limb.RF] - gait.offset_pct[Limb.LF] == 50
    assert gait.offset_pct[Limb.LF] == 30
    assert (gait.duty_pct[Limb.RF], gait.duty_pct[Limb.RH]) == (45, 50)


@pytest.mark.parametrize(("lead", "first"), [("left", Limb.RH), ("right", Limb.LH)])
def test_a_canter_begins_behind_on_the_outside_and_ends_on_the_leading_fore(lead: str, first: Limb) -> None:
    gait = canter("left" if lead == "left" else "right")
    after_first = {limb: (gait.offset_pct[limb] - gait.offset_pct[first]) % 100 for limb in Limb}
    assert sorted(after_first, key=lambda limb: after_first[limb])[0] is first
    assert after_first[first.across] == after_first[first.same_side] == 26
    assert after_first[first.diagonal] == 50


def test_a_canter_without_a_lead_is_refused() -> None:
    with pytest.raises(WrongSetting, match="lead of a canter"):
        canter("both")  # type: ignore[arg-type]


@pytest.mark.parametrize(("name", "speed_m_s"), list(PUBLISHED_M_S.items()))
def test_the_reach_of_a_leg_gives_back_published_speeds_within_a_fifth(name: str, speed_m_s: float) -> None:
    gait = EXAMPLE_GAITS[name]
    derived = GaitTiming(gait.stride_s, gait.offset_pct, gait.duty_pct).ground_speed_m_s
    assert derived == pytest.approx(speed_m_s, rel=0.2)


def test_a_missing_foot_is_refused() -> None:
    with pytest.raises(WrongSetting, match="each of LF, RF, LH and RH"):
        GaitTiming(0.6, {Limb.LH: 0.0}, dict.fromkeys(Limb, 50.0))


@pytest.mark.parametrize(("stride_s", "duty"), [(0.1, 50.0), (0.6, 95.0)])
def test_what_no_horse_does_is_refused(stride_s: float, duty: float) -> None:
    with pytest.raises(WrongSetting, match="not"):
        symmetrical(stride_s, 25, duty, duty)
