"""Clips in which the horse changes gait."""

from dataclasses import replace

import numpy as np
import pytest

from evenfall.contacts import Contacts, Limb, review_order
from evenfall.gait import measure, place, split_runs
from evenfall.strides import build_strides
from evenfall.synth import GaitTiming, Segment, canter, made_contacts, symmetrical

RACK = symmetrical(0.50, 25, 45, 47)
TROT = symmetrical(0.65, 50, 40, 40)
WALK = symmetrical(1.10, 25, 62, 65)
PACE = symmetrical(0.52, 3, 40, 41)


def zones(*parts: tuple[GaitTiming, float], seed: int = 1) -> list[tuple[str | None, float]]:
    total = sum(seconds for _, seconds in parts)
    marks: Contacts = made_contacts([Segment(gait, seconds) for gait, seconds in parts], total, seed)
    runs = split_runs(build_strides(marks))
    return [(place(measure(run)).zone, run.strides[0].start_s) for run in runs]


@pytest.mark.parametrize(("stride_sd", "phase_sd", "most"), [(2, 1.5, 0), (3, 2.5, 1), (5, 4, 3)])
def test_one_gait_is_one_run(stride_sd: float, phase_sd: float, most: int) -> None:
    """Forty seeds of an ordinary, a lively and a wild horse: the noise makes no runs, or hardly any."""
    rack = symmetrical(0.50, 25, 45, 47, stride_sd_pct=stride_sd, phase_sd_pct=phase_sd)
    split = sum(len(zones((rack, 8.0), seed=seed)) > 1 for seed in range(40))
    assert split <= most


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        (RACK, TROT, ["lateral sequence singlefoot", "trot"]),
        (TROT, RACK, ["trot", "lateral sequence singlefoot"]),
        (PACE, RACK, ["pace", "lateral sequence singlefoot"]),
        (WALK, RACK, ["lateral sequence singlefoot"] * 2),
        (TROT, canter("left"), ["trot", "canter"]),
    ],
)
def test_a_change_of_gait_is_found_within_a_stride_and_a_half(
    first: GaitTiming, second: GaitTiming, expected: list[str]
) -> None:
    found = zones((first, 6.0), (second, 6.0))
    assert [zone for zone, _ in found] == expected
    assert found[1][1] == pytest.approx(6.0, abs=1.5 * max(first.stride_s, second.stride_s))


def test_there_and_back_again_is_three_runs() -> None:
    found = [zone for zone, _ in zones((RACK, 5.0), (TROT, 5.0), (RACK, 5.0))]
    assert found == ["lateral sequence singlefoot", "trot", "lateral sequence singlefoot"]


def test_every_stride_is_in_exactly_one_run() -> None:
    marks = made_contacts([Segment(RACK, 5.0), Segment(TROT, 5.0)], 10.0, 3)
    strides = build_strides(marks)
    starts = [stride.start_s for run in split_runs(strides) for stride in run.strides]
    np.testing.assert_array_equal(starts, [stride.start_s for stride in strides.strides])


def test_too_few_strides_to_split_are_left_whole() -> None:
    assert len(zones((RACK, 1.2))) == 1


def test_one_mistyped_landing_makes_no_run_of_its_own() -> None:
    """A landing out by a tenth of a second, in forty clips."""
    rng = np.random.default_rng(8)
    for seed in range(40):
        marks = made_contacts(RACK, 6.0, seed)
        wrong = marks.landings(Limb.LF)[int(rng.integers(2, 8))]
        typed = Contacts(
            [*marks.without([wrong]), replace(wrong, time_s=wrong.time_s + 0.1 * rng.choice([-1, 1]))]
        )
        assert len(split_runs(build_strides(review_order(typed).contacts))) == 1
