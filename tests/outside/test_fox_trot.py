"""Fox trot, measured and in closed form.

Source: Clayton HM, Bradbury JW (1995), Temporal characteristics of the fox trot, a symmetrical equine gait,
Appl. Anim. Behav. Sci. 42:153-159; abstract read. Printed: 101 strides/min, duty 54 %, lateral advanced
placement 35 %, diagonal 15 % (fore first), support 8.9 / 60.6 / 8.9 / 21.7 % (tripedal with two hinds, diagonal,
tripedal with two fores, lateral), no suspension, order LH-LF-RH-RF. The eight-event table below is derived from those
shares: duty 54.45, phase 34.75, stride 593.3 ms.
"""

from typing import Any

import pytest

from evenfall.contacts import Contact, Contacts, Event, Limb
from evenfall.gait import Estimate, Gait, named_goal, read_gait
from evenfall.gait.support import duty_and_phase_from, model_shares
from evenfall.strides import build_strides

STRIDE_MS = 593.3
TABLE_MS = {Limb.LH: (0.0, 323.1), Limb.LF: (206.2, 529.2), Limb.RH: (296.6, 619.7), Limb.RF: (502.8, 825.9)}
PRINTED = {"tripedal_two_hinds": 8.9, "diagonal": 60.6, "tripedal_two_fores": 8.9, "lateral": 21.7}


@pytest.fixture(scope="module")
def fox_trot() -> Gait:
    marks = [
        Contact(limb, event, (turn * STRIDE_MS + ms) / 1000, sd_s=1e-4)
        for limb, events in TABLE_MS.items()
        for event, ms in zip((Event.ON, Event.OFF), events, strict=True)
        for turn in range(8)
    ]
    return read_gait(build_strides(Contacts(marks)), named_goal("fox trot"))


def mean(quantity: Any) -> float:
    assert isinstance(quantity, Estimate), quantity
    return quantity.mean


@pytest.mark.parametrize("kind", PRINTED)
def test_support_shares_are_the_printed_ones(fox_trot: Gait, kind: str) -> None:
    assert mean(fox_trot.timing.support_pct[kind]) == pytest.approx(PRINTED[kind], abs=0.2)


def test_there_is_no_suspension_and_no_single_support(fox_trot: Gait) -> None:
    for kind in ("suspension", "single_hind", "single_fore", "quadrupedal"):
        assert mean(fox_trot.timing.support_pct[kind]) == pytest.approx(0, abs=0.05)


def test_phase_gap_duty_and_rate_round_to_the_printed_ones(fox_trot: Gait) -> None:
    timing = fox_trot.timing
    assert round(mean(timing.lateral_phase_pct["both"])) == 35
    assert round(mean(timing.diagonal_gap_pct["both"])) == 15
    assert [round(mean(duty)) for duty in timing.duty_pct.values()] == [54, 54, 54, 54]
    assert round(mean(timing.stride_rate_per_min)) == 101


def test_the_order_and_gaps_are_the_tables(fox_trot: Gait) -> None:
    gaps_ms = {name: mean(gap) * STRIDE_MS / 100 for name, gap in fox_trot.timing.gaps_pct.items()}
    assert gaps_ms == pytest.approx({"LH-LF": 206.2, "LF-RH": 90.5, "RH-RF": 206.2, "RF-LH": 90.5}, abs=0.2)
    assert list(gaps_ms) == ["LH-LF", "LF-RH", "RH-RF", "RF-LH"]


def test_it_is_a_walking_lateral_sequence_with_diagonal_couplets(fox_trot: Gait) -> None:
    assert fox_trot.placing.zone == "lateral sequence, diagonal couplets"
    assert fox_trot.placing.walking_or_running == "walking"
    assert fox_trot.placing.symmetrical is True
    assert "fox trot" in [fit.entry.name for fit in fox_trot.names]


def test_the_model_stride_has_the_printed_shares() -> None:
    shares = model_shares(54.45, 54.45, 34.75)
    assert {kind: shares[kind] for kind in PRINTED} == pytest.approx(PRINTED, abs=0.2)
    assert sum(shares.values()) == pytest.approx(100)


def test_the_printed_shares_give_duty_and_phase_back() -> None:
    assert duty_and_phase_from(PRINTED) == pytest.approx((54.45, 34.75), abs=0.05)
