"""What a reader of the numbers must know besides them."""

from pathlib import Path

import numpy as np
import pytest

from evenfall.clip import CaptureHint, Clip
from evenfall.contacts import Contact, Contacts, Event, Limb
from evenfall.demo import as_marked
from evenfall.gait import Estimate
from evenfall.reading import Reading, ReadSettings, read_marked
from evenfall.timebase import Timebase
from tests.making import regular


def clip(fps: float = 60, seconds: float = 60, hint: CaptureHint | None = None) -> Clip:
    clock = Timebase(np.arange(int(fps * seconds)) / fps)
    return Clip(Path("film.mp4"), clock, 1280, 720, 0, "h264", has_sound=False, hint=hint)


def codes(reading: Reading) -> set[str]:
    return {caution.code for caution in reading.cautions}


def test_a_plain_reading_has_none() -> None:
    assert codes(read_marked(clip(), regular(n=10), ReadSettings())) == set()


def test_an_impossible_stride_asks_for_the_true_rate_and_withholds_the_shift() -> None:
    """A 0.6 s stride filmed at 240 and played at 30 lasts 4.8 s on the clip's clock."""
    reading = read_marked(clip(30), regular(stride_s=4.8, lateral_pct=40), ReadSettings())
    (message,) = [c.message for c in reading.cautions if c.code == "stride_time_impossible"]
    assert "a stride of 4.80 s is impossible for a horse" in message
    assert "--capture-fps 120 or --capture-fps 240, or on its page under About this film" in message
    assert not isinstance(reading.main.shift.fronts_ms, Estimate)
    assert isinstance(reading.main.timing.lateral_phase_pct["both"], Estimate)


def test_a_running_stride_too_long_to_run_is_slow_motion_too() -> None:
    reading = read_marked(
        clip(60), regular(stride_s=1.3, lateral_pct=40, duty_hind_pct=42, duty_fore_pct=42), ReadSettings()
    )
    assert "stride_time_impossible" in codes(reading)


def test_the_files_hint_is_passed_on_until_the_rate_is_given() -> None:
    hinted = clip(30, hint=CaptureHint(240, "tag"))
    silent = read_marked(hinted, regular(stride_s=1.1, duty_hind_pct=64, duty_fore_pct=62), ReadSettings())
    (message,) = [c.message for c in silent.cautions if c.code == "slow_motion_hint"]
    assert "--capture-fps 240" in message
    told = read_marked(hinted, regular(stride_s=1.1), ReadSettings(capture_fps=240))
    assert "slow_motion_hint" not in codes(told)


def test_fores_taken_for_each_other_are_suspected() -> None:
    swapped = Contacts(
        Contact(m.limb if m.limb.is_hind else m.limb.across, m.event, m.time_s)
        for m in regular(lateral_pct=25)
    )
    assert "left_right_swap" in codes(read_marked(clip(), swapped, ReadSettings()))


def test_marks_outside_slips_and_missing_lift_offs_are_told() -> None:
    marks = regular(stride_s=1.0, duty_fore_pct=60, n=10)
    off = marks.lift_offs(Limb.LH)[4]
    spoilt = Contacts(
        [
            *marks.without([off]),
            Contact(Limb.RF, Event.OFF, 3.5),
            Contact(Limb.RF, Event.ON, 3.6),
            Contact(Limb.RF, Event.ON, 99.0),
        ]
    )
    reading = read_marked(clip(), spoilt, ReadSettings())
    assert codes(reading) == {"contacts_outside", "slip", "lift_off_missing"}
    (missing,) = [c.message for c in reading.cautions if c.code == "lift_off_missing"]
    assert missing == (
        "LH: no lift-off was found in 1 of its 10 strides, the first from 4.500 s; how long it stands is told from "
        "the others."
    )


def test_a_stride_with_two_lift_offs_is_told_apart_from_one_with_none() -> None:
    marks = regular(stride_s=1.0, duty_fore_pct=60, n=10)
    off = marks.lift_offs(Limb.LH)[4]
    doubled = Contacts([*marks, Contact(Limb.LH, Event.OFF, off.time_s + 0.1)])
    (missing,) = [
        c.message
        for c in read_marked(clip(), doubled, ReadSettings()).cautions
        if c.code == "lift_off_missing"
    ]
    assert missing.startswith(
        "LH: more than one lift-off was found in 1 of its 10 strides, the first from 4.500 s"
    )


def test_few_strides_and_coarse_pictures_are_told() -> None:
    reading = read_marked(clip(30), regular(stride_s=0.52, n=3), ReadSettings())
    assert codes(reading) == {"few_strides", "coarse_pictures"}
    (message,) = [c.message for c in reading.cautions if c.code == "coarse_pictures"]
    assert message.startswith("one picture is 33 ms, 6.4 % of this stride")


@pytest.mark.parametrize("n", [0, 1])
def test_under_two_strides_there_is_no_answer(n: int) -> None:
    reading = read_marked(clip(), regular(n=n), ReadSettings())
    assert "mark at least two" in reading.too_little


def test_feet_never_marked_are_named_and_a_canter_is_not_ruled_out() -> None:
    left = Contacts(mark for mark in regular(n=10) if mark.limb.is_left)
    (message,) = [
        c.message for c in read_marked(clip(), left, ReadSettings()).cautions if c.code == "feet_unmarked"
    ]
    assert message.startswith("no landing of RF, RH was marked: one side alone")
    assert "canter" in message


def test_a_pair_that_lands_unevenly_is_told() -> None:
    uneven = {Limb.LH: 0.0, Limb.LF: 25.0, Limb.RH: 38.0, Limb.RF: 75.0}
    reading = read_marked(clip(), regular(offsets_pct=uneven, n=10), ReadSettings())
    (message,) = [c.message for c in reading.cautions if c.code == "uneven_pair"]
    assert message.startswith("the hinds land unevenly: the right one 38 % of the stride after the left")
    assert "vet or farrier" in message
    assert "lame" not in message


def test_a_stance_of_a_blink_is_told() -> None:
    marks = regular(n=10)
    off = marks.lift_offs(Limb.LH)[3]
    early = Contacts(
        [*marks.without([off]), Contact(Limb.LH, Event.OFF, marks.landings(Limb.LH)[3].time_s + 0.005)]
    )
    (message,) = [
        c.message for c in read_marked(clip(), early, ReadSettings()).cautions if c.code == "odd_stance"
    ]
    assert message.startswith("LH stands 0.005 s from its LH landing at 2.300 s, usually 0.300 s")


def test_lift_offs_alone_ask_for_landings() -> None:
    offs = Contacts(mark for mark in regular(n=6) if mark.event is Event.OFF)
    assert read_marked(clip(), offs, ReadSettings()).too_little.startswith("no landing was marked")


def test_an_uneven_pair_alone_may_be_a_canter_and_sends_nobody_to_the_vet() -> None:
    """A canter whose right fore was never marked."""
    offsets = {Limb.LH: 0.0, Limb.RH: 28.0, Limb.LF: 28.0, Limb.RF: 55.0}
    part = Contacts(mark for mark in regular(offsets_pct=offsets, n=8) if mark.limb is not Limb.RF)
    reading = read_marked(clip(), part, ReadSettings())
    (message,) = [c.message for c in reading.cautions if c.code == "uneven_pair"]
    assert "It may be a canter: mark the other pair too." in message
    assert "vet" not in message
    assert reading.main.placing.confidence is not None
    assert reading.main.placing.confidence < 0.5


def test_coarse_pictures_make_no_odd_stances() -> None:
    """A racing trot at 15 pictures a second: stances of one or two pictures."""
    rng = np.random.default_rng(3)
    trot = regular(stride_s=0.455, lateral_pct=50, duty_fore_pct=24.2, duty_hind_pct=25.7, n=12)
    for _ in range(10):
        marks = as_marked(trot.shifted(rng.uniform(0, 0.06)), clip(15).timebase)
        assert "odd_stance" not in codes(read_marked(clip(15), marks, ReadSettings()))


def test_one_stride_gets_numbers_and_no_verdict() -> None:
    reading = read_marked(clip(), regular(n=1), ReadSettings())
    assert reading.too_little
    assert (reading.main.placing.zone, reading.main.names) == (None, ())
    assert not isinstance(reading.main.share_in_band, Estimate)
