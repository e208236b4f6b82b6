"""Files written whole or not at all; the clock of what is written."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.clip.writing import CLOCK_HZ, ticks_of, whole_or_nothing
from evenfall.errors import UnwritableOutput


@given(st.lists(st.floats(1e-6, 0.1), min_size=1, max_size=50), st.floats(0, 100))
def test_ticks_increase_whatever_the_clock(intervals: list[float], start: float) -> None:
    ticks = ticks_of(start + np.cumsum([0.0, *intervals]))
    assert ticks[0] == 0
    assert bool(np.all(np.diff(ticks) > 0))


@given(st.lists(st.floats(0.002, 0.1), min_size=1, max_size=50))
def test_ticks_are_the_nearest_where_pictures_lie_apart(intervals: list[float]) -> None:
    times_s = np.cumsum([0.0, *intervals])
    np.testing.assert_allclose(np.array(ticks_of(times_s)) / CLOCK_HZ, times_s, atol=0.5001 / CLOCK_HZ)


def test_a_file_takes_its_name_when_all_went_well(tmp_path: Path) -> None:
    to = tmp_path / "ride.mp4"
    to.write_bytes(b"old")
    with whole_or_nothing(to) as part:
        part.write_bytes(b"new")
        assert (part.suffix, to.read_bytes()) == (".mp4", b"old")
    assert [path.read_bytes() for path in tmp_path.iterdir()] == [b"new"]


@pytest.mark.parametrize("error", [KeyboardInterrupt, ValueError])
def test_what_is_half_made_goes_when_the_work_ends_early(tmp_path: Path, error: type[BaseException]) -> None:
    def broken_off() -> None:
        with whole_or_nothing(tmp_path / "ride.mp4") as part:
            part.write_bytes(b"half")
            raise error

    with pytest.raises(error):
        broken_off()
    assert list(tmp_path.iterdir()) == []


def test_what_the_system_refuses_names_the_file(tmp_path: Path) -> None:
    with (
        pytest.raises(UnwritableOutput, match=r"ride\.mp4: could not be written: .*room") as told,
        whole_or_nothing(tmp_path / "ride.mp4"),
    ):
        raise OSError(28, "no room")
    assert isinstance(told.value.__cause__, OSError)
