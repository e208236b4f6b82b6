"""The amble's eight supports, in order.

Source: Muybridge E (1882), The attitudes of animals in motion, Royal Institution; text read (Project Gutenberg 37743):
LH; LH+LF; LF; LF+RH; RH; RH+RF; RF; RF+LH; never unsupported. Any stride of phase 25 and duty 25 to 50 must give it.
"""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from evenfall.contacts import Event, Limb
from evenfall.gait.support import model_shares
from tests.making import regular

LH, LF, RH, RF = Limb.LH, Limb.LF, Limb.RH, Limb.RF
CYCLE = [{LH}, {LH, LF}, {LF}, {LF, RH}, {RH}, {RH, RF}, {RF}, {RF, LH}]


def supports(duty_pct: float) -> list[set[Limb]]:
    """The sets of standing feet through one stride of a regular amble, from the middle of the film."""
    marks = regular(stride_s=1.0, lateral_pct=25, duty_fore_pct=duty_pct, duty_hind_pct=duty_pct, n=5)
    times = sorted({mark.time_s for mark in marks})
    middles = [(a + b) / 2 for a, b in pairwise(times) if b - a > 1e-9 and 2.5 < (a + b) / 2 < 3.5]
    return [{limb for limb in Limb if _stands([*marks.of(limb)], time)} for time in middles]


def _stands(marks: list[object], time_s: float) -> bool:
    last = [mark for mark in marks if mark.time_s <= time_s][-1]  # type: ignore[attr-defined]
    return bool(last.event is Event.ON)  # type: ignore[attr-defined]


@given(st.floats(25.5, 49.5))
def test_any_even_stride_of_duty_25_to_50_gives_the_printed_cycle(duty_pct: float) -> None:
    seen = supports(duty_pct)
    start = seen.index({LH})
    assert [*seen[start:], *seen[:start]] == CYCLE


@given(st.floats(25.5, 49.5))
def test_the_model_has_one_and_two_feet_down_in_the_shares_that_cycle_demands(duty_pct: float) -> None:
    """Four single supports of 50 − duty and four double ones of duty − 25; never unsupported."""
    shares = model_shares(duty_pct, duty_pct, 25)
    assert shares["suspension"] == 0
    assert abs(shares["single_hind"] + shares["single_fore"] - 4 * (50 - duty_pct)) < 1e-6
    assert abs(shares["lateral"] - 2 * (duty_pct - 25)) < 1e-6
    assert abs(shares["diagonal"] - 2 * (duty_pct - 25)) < 1e-6
