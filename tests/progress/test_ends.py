"""Which end moved."""

from dataclasses import replace

import pytest

from evenfall.progress import Pass, Value
from evenfall.progress.ends import _less, which_end
from tests.progress.making import one

STEADY = (0, 1, -1, 2, 0, -2, 1, -1)
"""Milliseconds, and tenths of a point, by which a steady horse's days differ."""


def horse(
    first: int, *, phase: float, fore: float, hind: float, setup: int, height: float | None = None
) -> list[Pass]:
    """Eight days; swing in ms."""
    made = []
    for i, stray in enumerate(STEADY):
        values = {
            "lateral phase": Value(phase + stray / 10, 0.3),
            "fore swing": Value((fore + stray) / 1000, 0.001),
            "hind swing": Value((hind - stray) / 1000, 0.001),
        }
        if height is not None:
            values["hoof height"] = Value(height + stray / 1000, 0.001)
        made.append(one(first + i, first + i, 0.0, values=values, setup_id=setup))
    return made


BEFORE = horse(1, phase=30.0, fore=300, hind=290, setup=1)


def test_a_longer_swing_of_the_fronts_alone_says_fronts() -> None:
    told = which_end(BEFORE, horse(50, phase=35.0, fore=330, hind=290, setup=2))
    assert told.end == "fronts"
    assert told.fronts_ms is not None
    assert told.fronts_ms[0] == pytest.approx(30, abs=1)
    assert "hint that the fronts changed: fronts 30 ms later" in told.words


def test_a_shorter_swing_of_the_hinds_alone_says_hinds() -> None:
    told = which_end(BEFORE, horse(50, phase=35.0, fore=300, hind=260, setup=2))
    assert told.end == "hinds"
    assert told.hinds_ms is not None
    assert told.hinds_ms[1] > 0
    assert "hinds 30 ms sooner" in told.words


def test_half_and_half_says_both() -> None:
    assert which_end(BEFORE, horse(50, phase=35.0, fore=325, hind=265, setup=2)).end == "both"


def test_toward_pace_is_the_same_mirrored() -> None:
    assert which_end(BEFORE, horse(50, phase=25.0, fore=270, hind=290, setup=2)).end == "fronts"
    assert which_end(BEFORE, horse(50, phase=25.0, fore=300, hind=320, setup=2)).end == "hinds"


def test_swapping_the_sides_names_the_same_end() -> None:
    after = horse(50, phase=35.0, fore=330, hind=290, setup=2)
    assert which_end(after, BEFORE).end == which_end(BEFORE, after).end == "fronts"


def test_a_beat_that_did_not_move_names_no_end() -> None:
    told = which_end(BEFORE, horse(50, phase=30.1, fore=330, hind=320, setup=2))
    assert told.end == "cannot tell"


def test_swings_that_do_not_fit_the_beat_name_no_end() -> None:
    assert which_end(BEFORE, horse(50, phase=35.0, fore=270, hind=320, setup=2)).end == "cannot tell"


def test_landings_alone_cannot_tell() -> None:
    bare = [one(90 + i, 50 + i, 35.0, setup_id=2) for i in range(5)]
    told = which_end(BEFORE, bare)
    assert (told.end, told.fronts_ms) == ("cannot tell", None)
    assert told.phase is not None
    assert "landings alone cannot tell" in told.words


def test_few_days_name_no_end() -> None:
    after = horse(50, phase=35.0, fore=312, hind=290, setup=2)
    assert which_end(BEFORE[:1], after[:1]).end == "cannot tell"


def test_front_lift_is_told_where_it_was_measured() -> None:
    before = horse(1, phase=30.0, fore=300, hind=290, setup=1, height=0.10)
    told = which_end(before, horse(50, phase=35.0, fore=330, hind=290, setup=2, height=0.12))
    assert told.height is not None
    assert (
        "Hoof height: +20 mm, not matched by speed: in tölt 0.35 m/s of speed alone did as much" in told.words
    )


def test_lift_at_matched_speed_says_so() -> None:
    before, after = (
        [replace(each, speed_m_s=3.0 + i % 3 / 10) for i, each in enumerate(side)]
        for side in (
            horse(1, phase=30.0, fore=300, hind=290, setup=1, height=0.12),
            horse(50, phase=35.0, fore=330, hind=290, setup=2, height=0.103),
        )
    )
    words = which_end(before, after).words
    assert "Hoof height: −17 mm at matched speed; in tölt 0.30 m/s of speed alone did as much" in words


def test_ends_that_moved_alike_within_their_errors_are_not_told_apart() -> None:
    """Fronts' part 14 to 26 ms, hinds' 4 to 16: either may have moved more, if their films err together."""
    told = _less((20.0, 14.0, 26.0), (10.0, 4.0, 16.0), 1)
    assert told == (10.0, -2.0, 22.0)
