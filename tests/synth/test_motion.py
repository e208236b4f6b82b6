import itertools

import numpy as np
import pytest

from evenfall.contacts.model import Event, Limb
from evenfall.synth import EXAMPLE_GAITS, Segment, made_contacts
from evenfall.synth.limbs import CANNON, FEMUR, FOREARM, HIND_CANNON, TIBIA
from evenfall.synth.motion import Motion, made_motion
from evenfall.synth.pose import posed
from evenfall.timebase import FloatArray

MOMENTS = np.arange(0, 4, 0.004)
GAITS = list(EXAMPLE_GAITS)


def _motion(name: str) -> Motion:
    return made_motion(EXAMPLE_GAITS[name], 4, 6)


@pytest.mark.parametrize("name", GAITS)
def test_a_foot_stays_exactly_where_it_landed_until_it_lifts(name: str) -> None:
    motion = _motion(name)
    for limb, path in motion.paths.items():
        for on_s, off_s in zip(path.falls.on_s[1:-1], path.falls.off_s[1:-1], strict=True):
            seen = [motion.feet(t)[limb] for t in np.linspace(on_s, off_s - 1e-9, 9)]
            assert {(foot.x_m, foot.y_m) for foot in seen} == {(seen[0].x_m, 0.0)}


@pytest.mark.parametrize("name", GAITS)
def test_a_swinging_foot_is_above_the_ground_and_goes_forward(name: str) -> None:
    motion = _motion(name)
    for limb in Limb:
        feet = [motion.feet(t)[limb] for t in MOMENTS]
        swings = [(a, b) for a, b in itertools.pairwise(feet) if not (a.down or b.down)]
        assert len(swings) > 50
        assert all(foot.y_m > 0 for pair in swings for foot in pair)
        assert all(b.x_m > a.x_m for a, b in swings)


def test_the_feet_stand_when_the_contacts_say_so() -> None:
    gait = [Segment(EXAMPLE_GAITS["flat walk"], 2), Segment(EXAMPLE_GAITS["rack"], 2)]
    motion, contacts = made_motion(gait, 4, 9), made_contacts(gait, 4, 9)
    assert len(contacts) > 30
    for mark in contacts:
        just_before, just_after = (motion.feet(mark.time_s + step)[mark.limb].down for step in (-1e-6, 1e-6))
        assert (just_before, just_after) == ((False, True) if mark.event is Event.ON else (True, False))


@pytest.mark.parametrize("name", GAITS)
def test_the_hoof_drawn_is_the_foot_and_no_bone_changes_its_length(name: str) -> None:
    motion = _motion(name)
    for time_s in MOMENTS[::25]:
        feet = motion.feet(time_s)
        for limb, leg in posed(motion, time_s).legs.items():
            lengths = np.hypot(*np.diff(leg.joints, axis=0).T)
            bones = (FEMUR, TIBIA, HIND_CANNON) if limb.is_hind else (FOREARM, CANNON)
            assert leg.joints[-1] == pytest.approx([feet[limb].x_m, feet[limb].y_m])
            assert lengths[: len(bones)] == pytest.approx(bones, abs=0.02)


@pytest.mark.parametrize("name", GAITS)
def test_knees_bend_forward_and_hocks_backward(name: str) -> None:
    motion = _motion(name)
    for time_s in MOMENTS[::25]:
        for limb, leg in posed(motion, time_s).legs.items():
            top, middle, low = leg.joints[1:4] if limb.is_hind else leg.joints[:3]
            ahead = _side(top, low, middle)
            assert ahead <= 1e-9 if limb.is_hind else ahead >= -1e-9


def _side(top: FloatArray, low: FloatArray, joint: FloatArray) -> float:
    """Above 0 if the joint lies ahead of the line from top to low."""
    (a_x, a_y), (b_x, b_y) = low - top, joint - top
    return float(a_x * b_y - a_y * b_x)


def test_no_joint_jumps_from_one_moment_to_the_next() -> None:
    motion = _motion("fox trot")
    moments = np.arange(1, 1.7, 0.001)
    for limb in Limb:
        joints = np.array([posed(motion, t).legs[limb].joints for t in moments])
        steps = np.hypot(*np.moveaxis(np.diff(joints, axis=0), -1, 0))
        assert steps.max() < 0.035


@pytest.mark.parametrize("name", ["flat walk", "fox trot", "trot"])
def test_the_horse_covers_the_ground_its_gait_says(name: str) -> None:
    motion = _motion(name)
    assert motion.way_at(3) - motion.way_at(1) == pytest.approx(
        2 * EXAMPLE_GAITS[name].ground_speed_m_s, rel=1e-3
    )


def test_the_trunk_bobs_twice_a_stride_in_trot() -> None:
    motion = made_motion(EXAMPLE_GAITS["trot"], 8, 2)
    heights = np.array([motion.trunk(t).rise_fore_m for t in np.arange(0, 6.5, 0.005)])
    power = np.abs(np.fft.rfft(heights - heights.mean()))
    beats_per_s = np.argmax(power) / 6.5
    assert beats_per_s == pytest.approx(2 / 0.65, rel=0.1)
    assert np.ptp(heights) > 0.02


def test_the_head_nods_more_in_a_walk_than_in_a_trot() -> None:
    walk, trot = _motion("flat walk"), _motion("trot")
    nods = [np.ptp([motion.trunk(t).nod_rad for t in MOMENTS[::5]]) for motion in (walk, trot)]
    assert nods[0] > 2 * nods[1] > 0
