import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.contacts.model import Contacts, Event, Limb
from evenfall.errors import WrongSetting
from evenfall.synth import EXAMPLE_GAITS, GaitTiming, Segment, made_contacts, symmetrical
from evenfall.timebase import FloatArray

# One stride of fox trot, on and off in ms after LH lands, derived from Clayton & Bradbury 1995 by solving
# their support shares for duty (54.45 %) and phase (34.75 %) at a stride of 593.3 ms.
FOX_TROT_MS = {
    Limb.LH: (0.0, 323.1),
    Limb.LF: (206.2, 529.2),
    Limb.RH: (296.6, 619.7),
    Limb.RF: (502.8, 825.9),
}
STEADY = {"stride_sd_pct": 0.0, "phase_sd_pct": 0.0, "duty_sd_pct": 0.0}


def _times(contacts: Contacts, limb: Limb, event: Event) -> FloatArray:
    marks = contacts.landings(limb) if event is Event.ON else contacts.lift_offs(limb)
    return np.array([mark.time_s for mark in marks])


def _after(starts: FloatArray, events: FloatArray) -> FloatArray:
    """Time from each start to the first event after it, for starts that have one."""
    kept = starts[starts < events[-1]]
    return np.asarray(events[np.searchsorted(events, kept, side="left")] - kept)


def test_a_steady_fox_trot_is_the_published_one_to_the_printed_tenth() -> None:
    gait = symmetrical(0.5933, 34.75, 54.45, 54.45, **STEADY)
    contacts = made_contacts(gait, 6, seed=4)
    starts = _times(contacts, Limb.LH, Event.ON)[:5]
    for limb, (on_ms, off_ms) in FOX_TROT_MS.items():
        landings = _times(contacts, limb, Event.ON)
        for start in starts:
            landing = landings[np.argmin(np.abs(landings - start - on_ms / 1000))]
            lift_off = _after(np.array([landing]), _times(contacts, limb, Event.OFF))[0] + landing
            assert (landing - start) * 1000 == pytest.approx(on_ms, abs=0.06)
            assert (lift_off - start) * 1000 == pytest.approx(off_ms, abs=0.06)


def test_without_spread_stride_phase_and_duty_are_as_asked() -> None:
    contacts = made_contacts(symmetrical(0.5, 22, 48, 56, **STEADY), 10, seed=1)
    for hind in (Limb.LH, Limb.RH):
        landings = _times(contacts, hind, Event.ON)
        assert np.diff(landings) == pytest.approx(0.5, abs=1e-9)
        assert _after(landings, _times(contacts, hind.same_side, Event.ON)) == pytest.approx(0.11, abs=1e-9)
        assert _after(landings, _times(contacts, hind, Event.OFF)) == pytest.approx(0.28, abs=1e-9)


def test_the_spread_is_as_large_as_asked() -> None:
    gait = symmetrical(0.6, 25, 50, 50, stride_sd_pct=4, phase_sd_pct=2, duty_sd_pct=3)
    contacts = made_contacts(gait, 900, seed=2)
    landings = _times(contacts, Limb.LH, Event.ON)
    strides = np.diff(landings)
    phase = _after(landings, _times(contacts, Limb.LF, Event.ON))[: len(strides)] / strides * 100
    duty = _after(landings, _times(contacts, Limb.LH, Event.OFF))[: len(strides)] / strides * 100
    assert strides.mean() == pytest.approx(0.6, rel=0.01)
    assert strides.std() / 0.6 * 100 == pytest.approx(4, rel=0.1)
    assert (phase.mean(), phase.std()) == pytest.approx((25, 2), rel=0.1)
    assert (duty.mean(), duty.std()) == pytest.approx((50, 3), rel=0.1)


@settings(deadline=None, max_examples=60)
@given(
    phase=st.floats(-20, 110),
    duty=st.floats(15, 80),
    spread=st.floats(0, 8),
    seed=st.integers(0, 1000),
)
def test_every_foot_lands_and_lifts_in_turn(phase: float, duty: float, spread: float, seed: int) -> None:
    gait = symmetrical(0.6, phase, duty, duty, stride_sd_pct=spread, phase_sd_pct=spread, duty_sd_pct=spread)
    _assert_in_turn(made_contacts(gait, 5, seed))


@pytest.mark.parametrize(("first", "second"), list(itertools.permutations(EXAMPLE_GAITS, 2)))
def test_every_change_of_gait_keeps_feet_landing_and_lifting_in_turn(first: str, second: str) -> None:
    _assert_in_turn(
        made_contacts([Segment(EXAMPLE_GAITS[first], 2), Segment(EXAMPLE_GAITS[second], 2)], 4, 5)
    )


def _assert_in_turn(contacts: Contacts) -> None:
    times = [mark.time_s for mark in contacts]
    assert times == sorted(times)
    assert 0 <= times[0] < times[-1] < 5
    for limb in Limb:
        marks = contacts.of(limb)
        assert len(marks) >= 4
        assert all(one.event is not other.event for one, other in itertools.pairwise(marks))
        assert all(one.time_s < other.time_s for one, other in itertools.pairwise(marks))
    assert {mark.source for mark in contacts} == {"truth"}


def test_each_segment_keeps_its_own_gait() -> None:
    slow, quick = symmetrical(1.0, 25, 60, 60, **STEADY), symmetrical(0.5, 50, 40, 40, **STEADY)
    contacts = made_contacts([Segment(slow, 6), Segment(quick, 6)], 12, seed=0)
    landings = _times(contacts, Limb.LH, Event.ON)
    strides = np.diff(landings)
    assert strides[landings[1:] < 6] == pytest.approx(1.0)
    assert strides[landings[:-1] > 7] == pytest.approx(0.5)


def test_the_same_seed_gives_the_same_contacts_and_another_does_not() -> None:
    gait = EXAMPLE_GAITS["rack"]
    assert made_contacts(gait, 4, 7) == made_contacts(gait, 4, 7)
    assert made_contacts(gait, 4, 7) != made_contacts(gait, 4, 8)


def test_no_gait_and_no_time_are_refused() -> None:
    empty: list[Segment] = []
    with pytest.raises(WrongSetting, match="at least one gait"):
        made_contacts(empty, 3)
    with pytest.raises(WrongSetting, match="longer than 0"):
        made_contacts(EXAMPLE_GAITS["rack"], 0)


def test_a_running_trot_has_suspension_and_a_walk_has_none() -> None:
    assert _least_feet_down(EXAMPLE_GAITS["trot"]) == 0
    assert _least_feet_down(EXAMPLE_GAITS["flat walk"]) >= 2


def _least_feet_down(gait: GaitTiming) -> int:
    contacts = made_contacts(gait, 6, 3)
    moments = np.arange(2, 4, 0.005)
    down = np.zeros(len(moments), int)
    for limb in Limb:
        landed = np.searchsorted(_times(contacts, limb, Event.ON), moments)
        lifted = np.searchsorted(_times(contacts, limb, Event.OFF), moments)
        started_down = contacts.of(limb)[0].event is Event.OFF
        down += landed - lifted + started_down
    return int(down.min())
