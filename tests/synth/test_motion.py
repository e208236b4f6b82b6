import itertools
from dataclasses import replace

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


def _nod_depth(name: str) -> float:
    return float(np.ptp([_motion(name).trunk(t).nod_rad for t in MOMENTS[::5]]))


def test_the_head_nods_deep_in_the_walks_less_in_a_fox_trot_and_hardly_in_the_rest() -> None:
    flat_walk, running_walk, fox_trot, rack, trot = map(
        _nod_depth, ("flat walk", "running walk", "fox trot", "rack", "trot")
    )
    assert flat_walk >= running_walk > 0.8 * flat_walk
    assert 0.3 * flat_walk < fox_trot < 0.75 * running_walk
    assert 0 < trot <= rack < 0.1 * flat_walk


@pytest.mark.parametrize("name", ["flat walk", "running walk", "fox trot"])
def test_the_head_is_lowest_as_each_hind_foot_lands(name: str) -> None:
    exact = replace(EXAMPLE_GAITS[name], stride_sd_pct=0, phase_sd_pct=0, duty_sd_pct=0)
    motion, step_s = made_motion(exact, 4, 6), exact.stride_s / 2
    landings = [
        mark.time_s for mark in made_contacts(exact, 4, 6) if mark.limb.is_hind and mark.event is Event.ON
    ]
    assert len(landings) > 5
    for landing_s in landings:
        nods = [motion.trunk(landing_s + share * step_s).nod_rad for share in (-0.5, -0.25, 0, 0.25, 0.5)]
        assert nods == pytest.approx([nods[2] * share for share in (0, 0.5, 1, 0.5, 0)], abs=1e-9)


def test_the_nod_neither_jumps_nor_leaves_its_range_when_the_gait_changes() -> None:
    motion = made_motion([Segment(EXAMPLE_GAITS["flat walk"], 2), Segment(EXAMPLE_GAITS["rack"], 2)], 4, 9)
    nods = np.array([motion.trunk(t).nod_rad for t in np.arange(0, 4, 0.001)])
    assert np.abs(np.diff(nods)).max() < 0.002
    assert nods.min() >= 0
    assert nods.max() < 0.12


def test_a_hind_foot_of_the_running_walk_oversteps_the_fore_print_as_good_walkers_do() -> None:
    motion = _motion("running walk")
    oversteps = [
        _overstep(motion, hind, float(on_s))
        for hind in (Limb.LH, Limb.RH)
        for on_s in motion.paths[hind].falls.on_s[2:-2]
    ]
    assert np.mean(oversteps) == pytest.approx(0.40, abs=0.03)
    assert 0.15 < min(oversteps) < max(oversteps) < 0.55


def _overstep(motion: Motion, hind: Limb, landing_s: float) -> float:
    """Return how far ahead of the print its fore foot just left a hind foot lands, metres."""
    path, fore = motion.paths[hind], motion.paths[hind.same_side]
    left = np.searchsorted(fore.falls.off_s, landing_s + 0.1) - 1
    return float(path.place_m[path.stance_before(landing_s)] - fore.place_m[left])
