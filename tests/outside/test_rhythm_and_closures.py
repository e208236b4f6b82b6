"""Interval ratios and published numbers that must close on each other.

Sources, abstracts read: Laffi L et al. (2025), Rhythmic categories in horse gait kinematics, J. Anat. (same-side
landings 1:3 in walk, 1:1 in trot); Drevemo S et al. (1980), Equine locomotion 1, Equine Vet. J. 12:60-65 (racing trot:
12.0 m/s, 5.45 m, 455 ms, stance 110 and 117 ms); Witte TH et al. (2006), J. Exp. Biol. 209:4389-4397 (gallop at 9 and
17 m/s: stance 131, 143 and 77, 94 ms; protraction 364, 355 and 342, 326 ms).
"""

import pytest

from evenfall.contacts import Contacts, Limb
from evenfall.gait import Estimate, Quantity, measure
from evenfall.gait.timing import Timing
from evenfall.gait.zones import place
from evenfall.strides import build_strides
from tests.making import regular, regular_strides


def mean(quantity: Quantity) -> float:
    assert isinstance(quantity, Estimate), quantity
    return quantity.mean


def same_side_ratio(timing: Timing) -> float:
    """Hind to fore over fore to next hind of one side."""
    share = mean(timing.lateral_phase_pct["left"])
    return share / (100 - share)


def test_walk_is_one_to_three_and_trot_one_to_one() -> None:
    walk = measure(regular_strides(stride_s=1.1, lateral_pct=25, duty_hind_pct=65, duty_fore_pct=62))
    trot = measure(regular_strides(stride_s=0.7, lateral_pct=50, duty_hind_pct=40, duty_fore_pct=40))
    assert same_side_ratio(walk) == pytest.approx(1 / 3)
    assert same_side_ratio(trot) == pytest.approx(1)


@pytest.fixture(scope="module")
def racing_trot() -> Timing:
    duty_fore, duty_hind = 100 * 110 / 455, 100 * 117 / 455
    return measure(
        regular_strides(stride_s=0.455, lateral_pct=50, duty_fore_pct=duty_fore, duty_hind_pct=duty_hind)
    )


def test_racing_trot_stances_and_duties_close(racing_trot: Timing) -> None:
    """110 and 117 of 455 ms are 24.2 and 25.7 %; stance and swing make a stride."""
    assert mean(racing_trot.stance_s[Limb.LF]) == pytest.approx(0.110)
    assert mean(racing_trot.stance_s[Limb.LH]) == pytest.approx(0.117)
    assert mean(racing_trot.duty_pct[Limb.LF]) == pytest.approx(24.2, abs=0.05)
    assert mean(racing_trot.duty_pct[Limb.LH]) == pytest.approx(25.7, abs=0.05)
    assert mean(racing_trot.stance_s[Limb.LF]) + mean(racing_trot.swing_s[Limb.LF]) == pytest.approx(0.455)


def test_racing_trot_rate_and_length_give_the_printed_speed(racing_trot: Timing) -> None:
    """5.45 m a stride at this rate is 12.0 m/s."""
    assert 5.45 * mean(racing_trot.stride_rate_per_min) / 60 == pytest.approx(12.0, abs=0.05)


def test_racing_trot_is_suspended_twice_a_stride(racing_trot: Timing) -> None:
    """Diagonals in unison leave the ground for what their stances do not fill: 100 − 2 × 25.7 at the longer stance."""
    assert mean(racing_trot.support_pct["suspension"]) == pytest.approx(100 - 2 * 25.7, abs=0.1)
    assert place(racing_trot).zone == "trot"


@pytest.mark.parametrize(
    ("stance_fore", "swing_fore", "stance_hind", "swing_hind", "stride"),
    [(0.131, 0.364, 0.143, 0.355, 0.495), (0.077, 0.342, 0.094, 0.326, 0.419)],
)
def test_gallop_stance_and_protraction_close_on_the_stride(
    stance_fore: float, swing_fore: float, stance_hind: float, swing_hind: float, stride: float
) -> None:
    """Fore and hind strides of the printed means agree to 3 ms; measured back, stance and swing are the printed ones."""
    assert stance_fore + swing_fore == pytest.approx(stride, abs=0.0005)
    assert stance_hind + swing_hind == pytest.approx(stride, abs=0.0035)
    transverse = {Limb.LH: 0.0, Limb.RH: 22.0, Limb.LF: 48.0, Limb.RF: 72.0}  # offsets from memory
    marks = regular(
        stride_s=stride,
        duty_fore_pct=100 * stance_fore / stride,
        duty_hind_pct=100 * stance_hind / stride,
        offsets_pct=transverse,
        n=6,
    )
    timing = measure(build_strides(Contacts(marks)))
    assert mean(timing.stance_s[Limb.RF]) == pytest.approx(stance_fore)
    assert mean(timing.swing_s[Limb.LF]) == pytest.approx(swing_fore, abs=0.0005)
    assert mean(timing.stance_s[Limb.LH]) == pytest.approx(stance_hind)
    placing = place(timing)
    assert (placing.zone, placing.lead, placing.walking_or_running) == ("gallop", "right", "running")
