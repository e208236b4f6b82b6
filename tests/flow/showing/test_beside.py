"""Two films side by side: locked by the stride, heard each from its own side."""

from pathlib import Path

import av
import numpy as np
import pytest

from evenfall.clip import open_clip
from evenfall.errors import TooLittleEvidence, WrongSetting
from evenfall.flow.showing import ShowSettings, Side, show_beside
from evenfall.flow.showing.lock import Lock, lock
from evenfall.synth.numbered import even_ticks, varying_ticks
from tests.flow.showing.filmed import numbered, numbers, onsets_s
from tests.making import regular

PAIRS = {
    "alike": ((even_ticks(160, 60), 0.6, None), (even_ticks(160, 60), 0.6, None)),
    "quicker, fewer pictures": ((even_ticks(160, 60), 0.6, None), (even_ticks(80, 30), 0.5, None)),
    "varying, slow motion": ((varying_ticks(80, 60), 0.55, None), (even_ticks(440, 30), 0.6, 240.0)),
}


def sides(folder: Path, pair: str) -> tuple[Side, Side]:
    made = []
    for name, (ticks, stride_s, capture_fps) in zip(("one", "other"), PAIRS[pair], strict=True):
        factor = 8.0 if capture_fps else 1.0
        marks = regular(stride_s=stride_s * factor, n=3, start_s=0.2 * factor)
        reading = numbered(folder / f"{name}.mp4", ticks, marks, capture_fps=capture_fps)
        made.append(Side(reading, f"{name}, 3 May"))
    return made[0], made[1]


def phases(locked: Lock, which: int, side: Side) -> "np.ndarray[tuple[int], np.dtype[np.float64]]":
    times_s = side.reading.clip.timebase.times_s[locked.indices[which]]
    begins = locked.begins_s[which]
    return np.interp(times_s, begins, np.arange(len(begins)))


@pytest.mark.parametrize("pair", PAIRS)
def test_at_every_picture_both_are_at_the_same_part_of_the_stride(tmp_path: Path, pair: str) -> None:
    """Their phases differ by less than one picture of the film with fewer gives."""
    both = sides(tmp_path, pair)
    locked = lock(*both, ShowSettings())
    apart = np.abs(phases(locked, 0, both[0]) - phases(locked, 1, both[1]))
    intervals = [
        np.median(side.reading.clip.timebase.intervals_s) / np.median(np.diff(begins))
        for side, begins in zip(both, locked.begins_s, strict=True)
    ]
    assert len(locked.indices[0]) == len(locked.indices[1]) == len(locked.ticks) - 1
    assert apart.max() < max(intervals)
    assert np.median(apart) < max(intervals) / 2


@pytest.mark.parametrize("pair", PAIRS)
def test_the_file_holds_those_pictures_at_their_times(tmp_path: Path, pair: str) -> None:
    both = sides(tmp_path, pair)
    settings = ShowSettings(slow=4, height_px=360)
    locked = lock(*both, settings)
    out = tmp_path / "out.mp4"
    shown = show_beside(*both, out, settings)
    assert shown.pictures == len(locked.ticks) - 1
    for which in (0, 1):
        assert numbers(out, 360, half=which) == locked.indices[which]
    ours = np.array(locked.ticks[:-1]) / 90_000
    np.testing.assert_allclose(open_clip(out).timebase.times_s, ours, atol=1e-4)


def test_the_film_with_more_pictures_keeps_its_own_time(tmp_path: Path) -> None:
    both = sides(tmp_path, "quicker, fewer pictures")
    locked = lock(*both, ShowSettings(slow=4))
    assert locked.slow == pytest.approx((4, 4 * 0.6 / 0.5))
    assert locked.duration_s == pytest.approx(4 * 3 * 0.6, abs=0.1)


def test_each_film_is_heard_on_its_own_side(tmp_path: Path) -> None:
    """The hinds they are counted from land together; the first film's fores are heard on the left, the second's right."""
    one = Side(numbered(tmp_path / "one.mp4", even_ticks(160, 60), regular(lateral_pct=25, n=3, start_s=0.2)))
    other = Side(
        numbered(tmp_path / "two.mp4", even_ticks(160, 60), regular(lateral_pct=40, n=3, start_s=0.2))
    )
    locked = lock(one, other, ShowSettings(slow=4))
    show_beside(one, other, tmp_path / "out.mp4", ShowSettings(slow=4, height_px=360))
    left, right = both_ears(tmp_path / "out.mp4")
    shift = locked.shown_s[0]
    for share, louder, quieter in ((0.25, left, right), (0.40, right, left)):
        at = round((shift + share * 4 * 0.6) * 48_000)
        window = slice(at + 200, at + 1500)
        assert np.abs(louder[window]).max() > 1.5 * np.abs(quieter[window]).max()
    assert onsets_s(open_clip(tmp_path / "out.mp4"))[0] == pytest.approx(shift, abs=0.01)


def both_ears(film: Path) -> "np.ndarray[tuple[int, ...], np.dtype[np.float32]]":
    """The samples of both channels from the first picture on."""
    with av.open(str(film)) as container:
        frames = [
            frame.to_ndarray()
            for frame in container.decode(audio=0)
            if frame.time is not None and frame.time >= 0
        ]
    return np.concatenate(frames, axis=1)


def test_too_few_strides_in_a_row_name_the_film(tmp_path: Path) -> None:
    one = Side(numbered(tmp_path / "one.mp4", even_ticks(160, 60)), "before, 3 May")
    thin = Side(numbered(tmp_path / "two.mp4", even_ticks(160, 60), regular(n=1)), "after, 20 May")
    with pytest.raises(TooLittleEvidence, match=r"after, 20 May: only one whole stride"):
        show_beside(one, thin, tmp_path / "out.mp4", ShowSettings())


def test_a_part_of_the_first_film_is_shown_and_one_without_a_stride_refused(tmp_path: Path) -> None:
    both = sides(tmp_path, "alike")
    part = lock(*both, ShowSettings(start_s=0.7, end_s=2.1))
    assert part.begins_s[0] == pytest.approx([0.8, 1.4, 2.0])
    with pytest.raises(WrongSetting, match=r"whose strides run from 0.20 to 2.00 s"):
        lock(*both, ShowSettings(start_s=1.0, end_s=1.5))


def test_two_films_own_sounds_are_refused(tmp_path: Path) -> None:
    with pytest.raises(WrongSetting, match="cannot be laid in step"):
        show_beside(*sides(tmp_path, "alike"), tmp_path / "out.mp4", ShowSettings(sound="film"))
