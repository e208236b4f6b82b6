"""Running walk, slow and fast, against a symmetrical model stride.

Source: Nicodemus MC, Holt KM, Swartz K (2002), Relationship between velocity and temporal variables of the flat shod
running walk, Equine Vet. J. Suppl. 34:340-343; abstract read (means and SDs). Diagonal gap: positive, fore first.
"""

import pytest

from evenfall.gait import Estimate, measure
from evenfall.gait.support import model_shares
from evenfall.gait.zones import place
from tests.making import regular_strides

SLOW = {
    "fore": 51,
    "hind": 58,
    "phase": 22,
    "gap": 29,
    "lateral": (50, 9),
    "diagonal": (27, 6),
    "lift_off": {"lateral": (18, 4), "diagonal": (35, 5)},
}
FAST = {
    "fore": 48,
    "hind": 56,
    "phase": 12,
    "gap": 37,
    "lateral": (67, 7),
    "diagonal": (16, 4),
    "lift_off": {"lateral": (10, 2), "diagonal": (39, 2)},
}
PUBLISHED_PAIRS = [(35, 15), (22, 29), (12, 37)]
"""Lateral phase and fore-first diagonal gap: fox trot (Clayton & Bradbury 1995), running walk slow and fast."""


@pytest.mark.parametrize(("printed", "sds"), [(SLOW, 1), (FAST, 2)])
def test_predicted_bipedal_support_lies_near_the_printed(printed: dict[str, object], sds: int) -> None:
    """Within one printed SD for the slow, two for the fast."""
    shares = model_shares(printed["fore"], printed["hind"], printed["phase"])  # type: ignore[arg-type]
    for kind in ("lateral", "diagonal"):
        mean, sd = printed[kind]  # type: ignore[misc]
        assert abs(shares[kind] - mean) <= sds * sd  # type: ignore[has-type]


def test_the_slow_prediction_itself() -> None:
    """Derived by hand: lateral 54, diagonal 28, tripedal 18 (two hinds 16, two fores 2)."""
    shares = model_shares(51, 58, 22)
    kinds = ("lateral", "diagonal", "tripedal_two_hinds", "tripedal_two_fores")
    assert [shares[kind] for kind in kinds] == pytest.approx([54, 28, 16, 2])


def test_the_fast_prediction_itself() -> None:
    """Derived by hand: lateral 76, diagonal 8, tripedal 12, single hind 4."""
    shares = model_shares(48, 56, 12)
    tripedal = shares["tripedal_two_hinds"] + shares["tripedal_two_fores"]
    assert [shares["lateral"], shares["diagonal"], tripedal, shares["single_hind"]] == pytest.approx(
        [76, 8, 12, 4]
    )


def test_slow_lift_offs_lie_within_one_printed_sd() -> None:
    timing = measure(regular_strides(stride_s=0.8, lateral_pct=22, duty_fore_pct=51, duty_hind_pct=58))
    for name, (mean, sd) in SLOW["lift_off"].items():  # type: ignore[attr-defined]
        measured = timing.lift_off_pct[name]
        assert isinstance(measured, Estimate)
        assert abs(measured.mean - mean) <= sd


@pytest.mark.parametrize(("phase", "printed_gap"), PUBLISHED_PAIRS)
def test_lateral_and_diagonal_close_on_fifty(phase: float, printed_gap: float) -> None:
    """50 − phase is the gap, fore first positive; the printed means, rounded and averaged over horses, come within 1."""
    timing = measure(regular_strides(lateral_pct=phase))
    gap = timing.diagonal_gap_pct["both"]
    assert isinstance(gap, Estimate)
    assert gap.mean == pytest.approx(50 - phase)
    assert gap.mean == pytest.approx(printed_gap, abs=1)


def test_the_sign_turns_when_the_hind_lands_first() -> None:
    """Collected trot, phase 52 to 53: hind first (Clayton & Hobbs 2019, at second hand)."""
    gap = measure(regular_strides(lateral_pct=52.5, duty_fore_pct=40, duty_hind_pct=40)).diagonal_gap_pct[
        "both"
    ]
    assert isinstance(gap, Estimate)
    assert gap.mean == pytest.approx(-2.5)


@pytest.mark.parametrize(
    ("phase", "zone"), [(22, "lateral sequence singlefoot"), (12, "lateral sequence, lateral couplets")]
)
def test_zones_of_the_two_speeds(phase: float, zone: str) -> None:
    placing = place(
        measure(regular_strides(stride_s=0.8, lateral_pct=phase, duty_fore_pct=50, duty_hind_pct=57))
    )
    assert placing.zone == zone
    assert placing.walking_or_running == "walking"
