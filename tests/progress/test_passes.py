"""One pass and what can be measured on it."""

import subprocess
import sys

import pytest

from evenfall.errors import WrongSetting
from evenfall.progress import MEASURES, Value
from evenfall.progress.passes import measure_named, with_measure
from tests.progress.making import one

HEAVY = ("numpy", "scipy", "pandas", "statsmodels", "av", "cv2")


def test_every_measure_has_a_unit_and_a_smallest_worthwhile_change() -> None:
    assert MEASURES["lateral phase"] == ("% of stride", 2.0)
    assert all(each.unit and each.worthwhile for each in MEASURES.values())


def test_an_unknown_measure_is_refused_and_the_known_ones_are_named() -> None:
    with pytest.raises(WrongSetting, match=r"lateral phase.*found 'cadence'"):
        measure_named("cadence")


@pytest.mark.parametrize(("mean", "se"), [(float("nan"), 0.5), (30.0, float("inf")), (30.0, -0.1)])
def test_what_is_no_number_is_refused(mean: float, se: float) -> None:
    with pytest.raises(WrongSetting, match="What was not measured is left out"):
        Value(mean, se)


def test_loading_the_room_loads_arrays_and_nothing_heavier() -> None:
    rooms = ", ".join(f"evenfall.progress.{room}" for room in ("comparing", "trial", "ends", "answered"))
    told = subprocess.run(
        [sys.executable, "-c", f"import {rooms}, sys; print(*[m for m in {HEAVY!r} if m in sys.modules])"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert told.stdout.split() == ["numpy"]


def test_passes_without_the_measure_are_passed_over_and_the_rest_stand_oldest_first() -> None:
    passes = [one(1, 5, 30.0), one(2, 3, 31.0), one(3, 4, 0.02, measure="hoof height")]
    assert [each.clip_id for each in with_measure(passes, "lateral phase")] == [2, 1]
