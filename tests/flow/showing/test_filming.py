"""One film made into a film to show, read back from the file."""

import resource
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import av
import numpy as np
import pytest

from evenfall.clip import open_clip, read_sound
from evenfall.errors import Cancelled, TooLittleEvidence, UnwritableOutput, WrongSetting
from evenfall.flow.showing import ShowSettings, show_film
from evenfall.flow.showing.filming import pane_of
from evenfall.flow.showing.span import Part
from evenfall.reading import ReadSettings, read_marked
from evenfall.report.showing.told import measured_landings
from evenfall.synth.numbered import even_ticks, varying_ticks
from tests.flow.showing.filmed import numbered, numbers, onsets_s, picture_areas
from tests.making import regular, write_film

CLOCKS = {
    "60": (even_ticks(160, 60), None),
    "varying": (varying_ticks(110, 60, seed=3), None),
    "240 played at 30": (even_ticks(520, 30), 240.0),
}
NEAR_S = 0.01


@pytest.mark.parametrize("slow", [1.0, 4.0, 8.0])
@pytest.mark.parametrize("clock", CLOCKS)
def test_pictures_and_clicks_come_at_their_own_time(tmp_path: Path, clock: str, slow: float) -> None:
    ticks, capture_fps = CLOCKS[clock]
    factor = 8.0 if capture_fps else 1.0
    marks = regular(stride_s=0.5 * factor, n=2, start_s=0.3 * factor, sd_s=0.001)
    reading = numbered(tmp_path / "film.mp4", ticks, marks, capture_fps=capture_fps)
    out = tmp_path / "out.mp4"
    shown = show_film(reading, out, ShowSettings(slow=slow, height_px=360))
    film, read = open_clip(out), numbers(out, 360)
    assert None not in read
    assert len(read) == shown.pictures == film.timebase.n_frames
    times_s = reading.clip.timebase.times_s[[number for number in read if number is not None]]
    np.testing.assert_allclose(
        film.timebase.times_s, (times_s - times_s[0]) * slow / factor, atol=NEAR_S / 100
    )
    heard = [(m.time_s - times_s[0]) * slow / factor for m in measured_landings(reading)]
    heard = [time_s for time_s in heard if 0 <= time_s < shown.duration_s]
    np.testing.assert_allclose(onsets_s(film), heard, atol=NEAR_S)


def test_no_picture_is_left_out_where_there_is_time_for_all(tmp_path: Path) -> None:
    reading = numbered(tmp_path / "film.mp4", even_ticks(160, 60))
    show_film(reading, tmp_path / "out.mp4", ShowSettings(slow=2, start_s=0.5, end_s=1.5, height_px=360))
    assert numbers(tmp_path / "out.mp4", 360) == list(range(30, 90))


@pytest.mark.parametrize("size", [(320, 180), (180, 320)], ids=["across", "upright"])
@pytest.mark.parametrize("lines", [360, 720, 1080])
def test_it_plays_on_any_telephone(tmp_path: Path, size: tuple[int, int], lines: int) -> None:
    reading = numbered(tmp_path / "film.mp4", even_ticks(90, 60), size=size)
    out = tmp_path / "out.mp4"
    show_film(reading, out, ShowSettings(slow=1, start_s=0.2, end_s=0.5, height_px=lines))
    with av.open(str(out)) as container:
        video, audio = container.streams.video[0].codec_context, container.streams.audio[0].codec_context
        assert (video.name, video.profile, video.pix_fmt, audio.name) == ("h264", "High", "yuv420p", "aac")
        assert video.width % 2 == video.height % 2 == 0
        assert min(video.width, video.height) <= lines
        assert max(video.width, video.height) <= lines * 16 / 9
        assert level_of(video.extradata) <= 42
    told = out.read_bytes()
    assert told.index(b"moov") < told.index(b"mdat")


def level_of(extradata: bytes | None) -> int:
    """The level the film's own description names: the fourth byte of it (ISO/IEC 14496-15, from memory)."""
    assert extradata is not None
    return extradata[3]


def test_a_turned_film_is_shown_upright(tmp_path: Path) -> None:
    film = write_film(tmp_path / "film.mp4", even_ticks(60, 30), size=(96, 64), rotation_deg=90)
    reading = read_marked(open_clip(film), regular(n=2, start_s=0.2), ReadSettings())
    show_film(reading, tmp_path / "out.mp4", ShowSettings(slow=1, height_px=360))
    out = open_clip(tmp_path / "out.mp4")
    assert (reading.clip.width, reading.clip.height, out.rotation_deg) == (64, 96, 0)
    assert out.height > out.width


def test_marks_without_places_leave_the_picture_as_it_is(tmp_path: Path) -> None:
    reading = numbered(tmp_path / "film.mp4", even_ticks(90, 60))
    settings = ShowSettings(slow=1, height_px=360)
    shown = show_film(reading, tmp_path / "out.mp4", settings)
    assert "Where the feet stand in the picture is not known" in " ".join(shown.notes)
    pane = pane_of(reading, None, settings, Part(0.0, 1.5, 1.0))
    grey = np.full((pane.framing.size[1], pane.framing.size[0], 3), 110, np.uint8)
    into = np.zeros((pane.size[1], pane.size[0], 3), np.uint8)
    top, left = pane.head.shape[0], (pane.size[0] - grey.shape[1]) // 2
    for index in range(0, 90, 4):
        pane.draw(into, grey.copy(), index, index / 60)
        assert np.array_equal(into[top : top + len(grey), left : left + grey.shape[1]], grey)
    assert pane.told.stood


def test_a_film_without_sound_says_so(tmp_path: Path) -> None:
    reading = numbered(tmp_path / "film.mp4", even_ticks(90, 60))
    shown = show_film(reading, tmp_path / "out.mp4", ShowSettings(sound="film", height_px=360))
    assert any("has no sound" in note for note in shown.notes)
    assert not open_clip(tmp_path / "out.mp4").has_sound


def test_the_films_own_sound_is_slowed_with_it(tmp_path: Path) -> None:
    film = write_film(tmp_path / "film.mp4", even_ticks(60, 30), sound=True)
    reading = read_marked(open_clip(film), regular(n=2, start_s=0.2), ReadSettings())
    shown = show_film(reading, tmp_path / "out.mp4", ShowSettings(slow=3, sound="film", height_px=360))
    assert read_sound(open_clip(tmp_path / "out.mp4")).duration_s == pytest.approx(shown.duration_s, abs=0.05)


def test_silence_is_a_film_without_a_track(tmp_path: Path) -> None:
    reading = numbered(tmp_path / "film.mp4", even_ticks(90, 60))
    show_film(reading, tmp_path / "out.mp4", ShowSettings(sound="none", height_px=360))
    assert not open_clip(tmp_path / "out.mp4").has_sound


def test_the_even_beat_is_heard_beside_the_measured_one(tmp_path: Path) -> None:
    reading = numbered(tmp_path / "film.mp4", even_ticks(150, 60), regular(lateral_pct=40, n=2, start_s=0.3))
    settings = ShowSettings(slow=4, sound="beats and even", height_px=360)
    show_film(reading, tmp_path / "both.mp4", settings)
    show_film(reading, tmp_path / "one.mp4", ShowSettings(slow=4, height_px=360))
    one, both = (onsets_s(open_clip(tmp_path / f"{name}.mp4")) for name in ("one", "both"))
    assert len(both) > len(one)


def test_too_long_a_part_is_refused_and_a_long_film_cut(tmp_path: Path) -> None:
    reading = numbered(tmp_path / "film.mp4", even_ticks(300, 60), regular(n=7, start_s=0.2))
    with pytest.raises(
        WrongSetting, match=r"at most 60 s long as it plays; 5.0 s of this film, shown 16 times"
    ):
        show_film(reading, tmp_path / "out.mp4", ShowSettings(slow=16, start_s=0, end_s=5))
    shown = show_film(reading, tmp_path / "out.mp4", ShowSettings(slow=16, height_px=360))
    assert shown.duration_s == pytest.approx(60, abs=0.4)
    assert any("the film is longer" in note for note in shown.notes)


def test_a_part_outside_the_film_is_refused(tmp_path: Path) -> None:
    reading = numbered(tmp_path / "film.mp4", even_ticks(90, 60))
    with pytest.raises(WrongSetting, match=r"runs from 0.00 to 1.50 s, found 7.00 to 8.00 s"):
        show_film(reading, tmp_path / "out.mp4", ShowSettings(start_s=7, end_s=8))


def test_only_the_legs_need_a_horse_that_was_found(tmp_path: Path) -> None:
    reading = numbered(tmp_path / "film.mp4", even_ticks(90, 60))
    with pytest.raises(TooLittleEvidence, match="the horse was not found in this film"):
        show_film(reading, tmp_path / "out.mp4", ShowSettings(view="legs"))
    assert [path.name for path in tmp_path.iterdir()] == ["film.mp4"]


def test_a_rider_who_cannot_be_placed_is_blurred_with_all_that_is_so_high(tmp_path: Path) -> None:
    reading = numbered(tmp_path / "film.mp4", even_ticks(90, 60))
    shown = show_film(reading, tmp_path / "out.mp4", ShowSettings(blur="rider", height_px=360))
    assert any("all but the lowest quarter" in note for note in shown.notes)
    area = picture_areas(tmp_path / "out.mp4", 360)[10].astype(float)
    upper, lower = area[: int(0.7 * len(area))], area[int(0.78 * len(area)) :]
    assert np.abs(np.diff(upper, axis=1)).max() < 40 < np.abs(np.diff(lower, axis=1)).max()


def test_stopping_leaves_nothing_and_keeps_what_was_there(tmp_path: Path) -> None:
    reading = numbered(tmp_path / "film.mp4", even_ticks(90, 60))
    (tmp_path / "out.mp4").write_bytes(b"the old one")

    def stop(share: float) -> None:
        if share > 0.4:
            raise Cancelled

    with pytest.raises(Cancelled):
        show_film(reading, tmp_path / "out.mp4", ShowSettings(height_px=360), progress=stop)
    assert (tmp_path / "out.mp4").read_bytes() == b"the old one"
    assert len(list(tmp_path.iterdir())) == 2


@contextmanager
def room_for(size: int) -> Iterator[None]:
    """No file may grow beyond so many bytes, as on a disk that is full."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def test_a_full_disk_leaves_nothing_half_made(tmp_path: Path) -> None:
    reading = numbered(tmp_path / "film.mp4", even_ticks(150, 60))
    with room_for(10_000), pytest.raises(UnwritableOutput, match=r"out\.mp4: could not be written"):
        show_film(reading, tmp_path / "out.mp4", ShowSettings(height_px=360))
    assert [path.name for path in tmp_path.iterdir()] == ["film.mp4"]


def test_a_place_that_is_not_there_is_named(tmp_path: Path) -> None:
    reading = numbered(tmp_path / "film.mp4", even_ticks(90, 60))
    with pytest.raises(UnwritableOutput, match=r"out\.mp4: could not be written"):
        show_film(reading, tmp_path / "away" / "out.mp4", ShowSettings(height_px=360))
    with pytest.raises(WrongSetting, match=r"ending in \.mp4, not 'out\.avi'"):
        show_film(reading, tmp_path / "out.avi", ShowSettings())


def test_the_share_done_rises_to_one(tmp_path: Path) -> None:
    shares: list[float] = []
    reading = numbered(tmp_path / "film.mp4", even_ticks(90, 60))
    settings = ShowSettings(start_s=0.2, end_s=0.8, height_px=360)
    shown = show_film(reading, tmp_path / "out.mp4", settings, progress=shares.append)
    assert shares == sorted(shares)
    assert (len(shares), shares[-1]) == (shown.pictures, 1.0)
