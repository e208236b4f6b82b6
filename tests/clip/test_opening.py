"""Films open with exact times, or say why they do not."""

import struct
import wave
from pathlib import Path

import av
import numpy as np
import pytest
from scipy.ndimage import map_coordinates

from evenfall.clip import grey_pictures, open_clip, pictures
from evenfall.errors import Cancelled, ClipError
from tests.contacts.film import films
from tests.making import TICKS, even_ticks, write_film

UNEVEN = [0, 3000, 5200, 9100, 12_000, 18_000, 21_000, 23_500, 27_000, 30_300]


@pytest.mark.parametrize(
    ("codec", "ending"), [("libx264", "mp4"), ("libx265", "mp4"), ("libvpx-vp9", "mp4"), ("libx264", "mov")]
)
def test_every_codec_gives_the_written_times_at_a_varying_rate(
    tmp_path: Path, codec: str, ending: str
) -> None:
    clip = open_clip(write_film(tmp_path / f"film.{ending}", UNEVEN, codec=codec))
    np.testing.assert_allclose(clip.timebase.times_s, np.array(UNEVEN) / TICKS, atol=1e-9)


def test_webm_times_are_right_to_its_own_millisecond(tmp_path: Path) -> None:
    clip = open_clip(write_film(tmp_path / "film.webm", UNEVEN, codec="libvpx-vp9"))
    np.testing.assert_allclose(clip.timebase.times_s, np.array(UNEVEN) / TICKS, atol=0.00051)


def test_times_read_from_packets_are_those_of_the_decoded_pictures(tmp_path: Path) -> None:
    """B-frames are stored out of order; the packets' order must not show."""
    clip = open_clip(write_film(tmp_path / "film.mp4", even_ticks(40), options={"bf": "3"}))
    shown = list(pictures(clip))
    assert [picture.index for picture in shown] == list(range(40))
    np.testing.assert_array_equal([picture.time_s for picture in shown], clip.timebase.times_s)


def test_each_picture_is_the_one_shown_at_its_time(tmp_path: Path) -> None:
    clip = open_clip(write_film(tmp_path / "film.mp4", UNEVEN))
    levels = [int(picture.pixels[5, 5].mean()) for picture in pictures(clip)]
    np.testing.assert_array_equal(np.round(np.diff(levels) / 5), np.ones(len(UNEVEN) - 1))


@pytest.mark.parametrize("pix_fmt", ["yuv420p", "yuvj420p", "yuv422p", "yuv444p", "yuv420p10le"])
def test_grey_is_what_swscale_makes_of_the_picture(tmp_path: Path, pix_fmt: str) -> None:
    """FFmpeg's own conversion to grey (libswscale) is the reference; limited and full range, 8 and 10 bits."""
    film = write_film(tmp_path / "film.mp4", even_ticks(4), size=(256, 144), pix_fmt=pix_fmt)
    grey = [picture.pixels for picture in grey_pictures(open_clip(film), width=128)]
    with av.open(str(film)) as container:
        frames = list(container.decode(video=0))
    assert {frame.format.name for frame in frames} == {pix_fmt}
    for ours, frame in zip(grey, frames, strict=True):
        theirs = frame.reformat(width=128, height=72, format="gray", interpolation="AREA").to_ndarray()
        np.testing.assert_allclose(ours.astype(int), theirs.astype(int), atol=2)


@pytest.mark.parametrize(("width", "mixed"), [(400, "of four"), (200, "of all")])
def test_pictures_wanted_soon_mix_the_nearest_four_points_unless_half_the_size_is_lost(
    tmp_path: Path, width: int, mixed: str
) -> None:
    """SciPy's linear interpolation is the reference."""
    clip = open_clip(films.drawn(tmp_path / "film.mp4", duration_s=0.1))
    whole, soon, careful = (
        next(iter(grey_pictures(clip, width=across, soon=quick))).pixels.astype(float)
        for across, quick in ((clip.width, False), (width, True), (width, False))
    )
    at = [(np.arange(n) + 0.5) * full / n - 0.5 for n, full in zip(soon.shape, whole.shape, strict=True)]
    linear = map_coordinates(whole, np.meshgrid(*at, indexing="ij"), order=1, mode="nearest")
    assert soon.shape == careful.shape
    assert np.array_equal(soon, careful) == (mixed == "of all")
    assert (np.abs(soon - linear).max() <= 2) == (mixed == "of four")


@pytest.mark.parametrize("turned", [0, 90, 180, 270])
def test_a_turned_film_stands_upright(tmp_path: Path, turned: int) -> None:
    """The bright corner of the stored picture moves with the display matrix (counter-clockwise degrees)."""
    clip = open_clip(write_film(tmp_path / "film.mp4", even_ticks(12), rotation_deg=turned))
    size = (64, 48) if turned % 180 == 0 else (48, 64)
    first = next(iter(pictures(clip))).pixels
    assert (clip.width, clip.height) == size == (first.shape[1], first.shape[0])
    corners = {"top left": (5, 5), "bottom left": (-5, 5), "bottom right": (-5, -5), "top right": (5, -5)}
    darkest = min(corners, key=lambda name: first[corners[name]].mean())
    assert (
        darkest
        == {0: "top left", 90: "bottom left", 180: "bottom right", 270: "top right"}[clip.rotation_deg]
    )
    assert clip.rotation_deg == turned


def test_a_phones_upright_film_turns_clockwise(tmp_path: Path) -> None:
    """The track header's matrix as phones write it for an upright film: a quarter turn clockwise.

    ISO/IEC 14496-12: x' = a x + c y, y' = b x + d y with y downward; a = d = 0, b = 1, c = −1. From memory.
    """
    film = write_film(tmp_path / "film.mp4", even_ticks(12))
    data = bytearray(film.read_bytes())
    at = data.index(b"tkhd") + 44
    one = 0x1_0000
    struct.pack_into(">9i", data, at, 0, one, 0, -one, 0, 0, 0, 0, 0x4000_0000)
    film.write_bytes(data)
    clip = open_clip(film)
    first = next(iter(pictures(clip))).pixels
    assert (clip.width, clip.height) == (48, 64)
    assert first[5, -5].mean() < 60 < first[5, 5].mean()


def test_a_film_with_sound_is_known_to_have_it(tmp_path: Path) -> None:
    assert open_clip(write_film(tmp_path / "a.mp4", even_ticks(12), sound=True)).has_sound
    assert not open_clip(write_film(tmp_path / "b.mp4", even_ticks(12))).has_sound


def test_the_clock_of_a_film_that_starts_late_is_kept(tmp_path: Path) -> None:
    clip = open_clip(write_film(tmp_path / "film.mp4", even_ticks(12, start=9000), sound=True))
    assert clip.timebase.times_s[0] == pytest.approx(0.1)


def test_a_stated_capture_rate_sets_the_playback_factor(tmp_path: Path) -> None:
    clip = open_clip(write_film(tmp_path / "film.mp4", even_ticks(31)), capture_fps=240)
    assert clip.timebase.playback_factor == pytest.approx(8)


def test_the_files_own_note_of_slow_motion_is_a_hint_and_no_more(tmp_path: Path) -> None:
    note = {"com.android.capture.fps": "240.0"}
    clip = open_clip(write_film(tmp_path / "film.mp4", even_ticks(31), metadata=note))
    assert clip.hint is not None
    assert clip.hint.capture_fps == 240
    assert clip.timebase.playback_factor == 1


def test_a_note_that_agrees_with_the_file_is_no_hint(tmp_path: Path) -> None:
    note = {"com.android.capture.fps": "30.0"}
    assert open_clip(write_film(tmp_path / "film.mp4", even_ticks(31), metadata=note)).hint is None


def test_notes_in_an_old_alphabet_are_no_hindrance(tmp_path: Path) -> None:
    film = write_film(tmp_path / "film.mp4", even_ticks(12), metadata={"title": "Juniper"})
    film.write_bytes(film.read_bytes().replace(b"Juniper", b"J\xfcniper"[:7]))
    assert open_clip(film).timebase.n_frames == 12


def test_an_empty_file_is_called_empty(tmp_path: Path) -> None:
    (tmp_path / "film.mp4").touch()
    with pytest.raises(ClipError, match="found an empty file"):
        open_clip(tmp_path / "film.mp4")


def test_text_named_mp4_is_called_text(tmp_path: Path) -> None:
    (tmp_path / "film.mp4").write_text("limb,event,time_s\nLH,on,0.1\n" * 20)
    with pytest.raises(ClipError, match="found text"):
        open_clip(tmp_path / "film.mp4")


def test_a_text_file_by_its_own_name_is_no_film_either(tmp_path: Path) -> None:
    """FFmpeg would draw a .txt as a picture of letters."""
    (tmp_path / "notes.txt").write_text("hello\n" * 50)
    with pytest.raises(ClipError, match="found text"):
        open_clip(tmp_path / "notes.txt")


def test_a_film_cut_off_before_its_index_is_refused(tmp_path: Path) -> None:
    whole = write_film(tmp_path / "film.mp4", even_ticks(60)).read_bytes()
    (tmp_path / "cut.mp4").write_bytes(whole[: len(whole) // 2])
    with pytest.raises(ClipError, match="cut off or damaged"):
        open_clip(tmp_path / "cut.mp4")


def test_a_film_cut_off_behind_its_index_says_how_much_is_there(tmp_path: Path) -> None:
    whole = write_film(tmp_path / "film.mp4", even_ticks(90), options={"movflags": "faststart"}).read_bytes()
    (tmp_path / "cut.mp4").write_bytes(whole[: len(whole) * 2 // 3])
    with pytest.raises(ClipError, match=r"promises 90 pictures and \d+ are there"):
        open_clip(tmp_path / "cut.mp4")


@pytest.mark.parametrize(("ending", "codec"), [("mkv", "libx264"), ("webm", "libvpx-vp9")])
def test_a_cut_off_mkv_or_webm_is_known_by_its_length(tmp_path: Path, ending: str, codec: str) -> None:
    whole = write_film(tmp_path / f"film.{ending}", even_ticks(150), codec=codec)
    assert open_clip(whole).timebase.n_frames == 150
    (tmp_path / f"cut.{ending}").write_bytes(whole.read_bytes()[: whole.stat().st_size // 2])
    with pytest.raises(ClipError, match=r"promises 5\.0 s and \d\.\d s are there"):
        open_clip(tmp_path / f"cut.{ending}")


def test_an_avi_with_moments_left_empty_is_whole(tmp_path: Path) -> None:
    """An AVI counts moments; a varying rate leaves some of them empty."""
    clip = open_clip(write_film(tmp_path / "film.avi", UNEVEN))
    assert clip.timebase.n_frames == len(UNEVEN)


def test_a_bare_stream_that_cannot_be_rewound_is_read_or_refused_with_the_true_reason(tmp_path: Path) -> None:
    """A raw H.264 stream carries no times worth the name."""
    film = write_film(tmp_path / "film.h264", even_ticks(40))
    try:
        clip = open_clip(film)
    except ClipError as error:
        assert "leave" not in str(error)  # noqa: PT017 - either answer is right; a wrong reason is not
    else:
        assert clip.timebase.n_frames == 40


def test_text_in_any_alphabet_is_called_text(tmp_path: Path) -> None:
    (tmp_path / "film.mp4").write_text("Fuß,Zeit\nöäü,1\n" * 400)
    with pytest.raises(ClipError, match="found text"):
        open_clip(tmp_path / "film.mp4")


def test_sound_without_a_moving_picture_is_refused(tmp_path: Path) -> None:
    with wave.open(str(tmp_path / "beat.wav"), "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(8000)
        sound.writeframes(struct.pack("<800h", *([0] * 800)))
    with pytest.raises(ClipError, match="sound without a moving picture"):
        open_clip(tmp_path / "beat.wav")


def test_a_single_picture_is_no_film(tmp_path: Path) -> None:
    with pytest.raises(ClipError, match="found 1 still"):
        open_clip(write_film(tmp_path / "film.mp4", [0]))


def test_a_missing_film_and_a_folder_say_so(tmp_path: Path) -> None:
    with pytest.raises(ClipError, match="no such file"):
        open_clip(tmp_path / "film.mp4")
    with pytest.raises(ClipError, match="found a folder"):
        open_clip(tmp_path)


def test_opening_can_be_stopped(tmp_path: Path) -> None:
    film = write_film(tmp_path / "film.mp4", even_ticks(300))

    def stop(share: float) -> None:
        assert 0 <= share <= 1
        raise Cancelled

    with pytest.raises(Cancelled):
        open_clip(film, progress=stop)


def test_pictures_come_one_at_a_time(tmp_path: Path) -> None:
    """The first picture is there before the film has been decoded to its end."""
    stream = pictures(open_clip(write_film(tmp_path / "film.mp4", even_ticks(200))))
    assert next(stream).index == 0
    stream.close()  # type: ignore[attr-defined]
