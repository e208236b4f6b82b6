"""Sound stands where the film's clock has it, whatever the track's own beginning, rate, channels and holes."""

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from av.audio.stream import AudioStream
from av.video.stream import VideoStream
from numpy.typing import NDArray
from scipy.signal import resample_poly

from evenfall.clip import open_clip
from evenfall.clip.sound import RATE_HZ, Sound, read_sound
from evenfall.errors import Cancelled, ClipError, TooLittleEvidence, WrongSetting
from tests.making import even_ticks, write_film

Floats = NDArray[np.float32]


def film_with_sound(
    path: Path,
    pieces: Sequence[tuple[float, Floats]],
    *,
    rate_hz: int = 48_000,
    codec: str = "pcm_s16le",
    picture_s: float = 3.0,
) -> Path:
    """Write a film with pieces of sound, shape (channels, n), each beginning at its own second."""
    with av.open(str(path), "w") as container:
        video = container.add_stream("libx264", rate=30)
        assert isinstance(video, VideoStream)
        video.width, video.height, video.pix_fmt = 64, 48, "yuv420p"
        layout = "mono" if pieces[0][1].shape[0] == 1 else "stereo"
        audio = container.add_stream(codec, rate=rate_hz, layout=layout)
        assert isinstance(audio, AudioStream)
        for number in range(round(picture_s * 30)):
            frame = av.VideoFrame.from_ndarray(np.full((48, 64, 3), number % 255, np.uint8), format="bgr24")
            frame.pts, frame.time_base = number, Fraction(1, 30)
            container.mux(video.encode(frame))
        container.mux(video.encode(None))
        for start_s, samples in pieces:
            _write_piece(container, audio, round(start_s * rate_hz), samples)
        container.mux(audio.encode(None))
    return path


def _write_piece(
    container: av.container.OutputContainer, audio: AudioStream, first: int, samples: Floats
) -> None:
    for begin in range(0, samples.shape[1], 1024):
        part = np.ascontiguousarray(samples[:, begin : begin + 1024])
        layout = "mono" if len(part) == 1 else "stereo"
        frame = av.AudioFrame.from_ndarray(part, format="fltp", layout=layout)
        frame.sample_rate, frame.pts, frame.time_base = (
            audio.rate,
            first + begin,
            Fraction(1, audio.rate or 1),
        )
        container.mux(audio.encode(frame))


def clicks(at_s: Sequence[float], length_s: float, rate_hz: int = 48_000, channels: int = 1) -> Floats:
    """Short bumps in silence, smooth enough to pass any resampler whole."""
    time_s = np.arange(round(length_s * rate_hz)) / rate_hz
    row = sum(0.8 * np.exp(-(((time_s - at) / 0.0004) ** 2)) for at in at_s)
    return np.tile(np.asarray(row, np.float32), (channels, 1))


def heard_at(sound: Sound, about_s: float) -> float:
    """Centre of gravity of the loudness within 5 ms of a moment."""
    times_s = sound.start_s + np.arange(len(sound.samples)) / sound.rate_hz
    here = np.abs(times_s - about_s) < 0.005
    weight = sound.samples[here].astype(np.float64) ** 2
    assert weight.max() > 0.2
    return float((weight * times_s[here]).sum() / weight.sum())


@pytest.mark.parametrize(
    ("ending", "codec", "rate_hz", "channels"),
    [
        ("mp4", "aac", 48_000, 1),
        ("mp4", "aac", 44_100, 2),
        ("mov", "pcm_s16le", 8_000, 1),
        ("mkv", "pcm_s16le", 48_000, 2),
        ("mkv", "aac", 32_000, 1),
    ],
)
def test_a_click_is_heard_at_its_own_time(
    tmp_path: Path, ending: str, codec: str, rate_hz: int, channels: int
) -> None:
    film = film_with_sound(
        tmp_path / f"film.{ending}",
        [(0.0, clicks([0.4, 2.51], 3.0, rate_hz, channels))],
        codec=codec,
        rate_hz=rate_hz,
    )
    sound = read_sound(open_clip(film))
    assert sound.rate_hz == RATE_HZ
    assert [heard_at(sound, 0.4), heard_at(sound, 2.51)] == pytest.approx([0.4, 2.51], abs=2e-4)
    assert sound.duration_s == pytest.approx(3.0, abs=0.07)


def test_a_track_that_begins_late_says_when(tmp_path: Path) -> None:
    film = film_with_sound(tmp_path / "film.mkv", [(0.5, clicks([0.25], 2.0))])
    sound = read_sound(open_clip(film))
    assert sound.start_s == pytest.approx(0.5, abs=1e-3)
    assert heard_at(sound, 0.75) == pytest.approx(0.75, abs=1e-3)


def test_a_hole_in_the_track_moves_nothing_after_it(tmp_path: Path) -> None:
    """Counting samples would put the second click half a second early."""
    film = film_with_sound(tmp_path / "film.mkv", [(0.0, clicks([0.5], 1.0)), (1.5, clicks([0.5], 1.0))])
    sound = read_sound(open_clip(film))
    assert [heard_at(sound, 0.5), heard_at(sound, 2.0)] == pytest.approx([0.5, 2.0], abs=1e-3)
    assert len(sound.gaps) == 1
    assert sound.gaps[0] == pytest.approx((1.0, 1.5), abs=0.002)
    hole = sound.samples[round((1.01 - sound.start_s) * RATE_HZ) : round((1.49 - sound.start_s) * RATE_HZ)]
    assert not hole.any()


def test_a_whole_track_has_no_gap(tmp_path: Path) -> None:
    """Containers that round to a millisecond do not make seams."""
    film = film_with_sound(tmp_path / "film.mkv", [(0.0, clicks([0.5], 2.9, 44_100))], rate_hz=44_100)
    assert read_sound(open_clip(film)).gaps == ()


def test_channels_are_mixed_evenly(tmp_path: Path) -> None:
    both = np.stack([np.full(48_000, 0.4), np.full(48_000, -0.2)]).astype(np.float32)
    sound = read_sound(open_clip(film_with_sound(tmp_path / "film.mkv", [(0.0, both)])))
    assert np.median(sound.samples) == pytest.approx(0.1, abs=1e-3)


def test_the_resampled_sound_is_that_of_scipy(tmp_path: Path) -> None:
    """`scipy.signal.resample_poly` is the reference; both keep what lies well under 8 kHz."""
    rng = np.random.default_rng(3)
    smooth = np.convolve(rng.normal(size=48_000), np.hanning(40) / 20, mode="same")
    row = np.asarray(0.2 * smooth / smooth.std(), np.float32)
    sound = read_sound(open_clip(film_with_sound(tmp_path / "film.mkv", [(0.0, row[None])])))
    expected = np.clip(resample_poly(row.astype(np.float64), 1, 3), -1, 1)
    inner = slice(200, 15_800)
    np.testing.assert_allclose(sound.samples[inner], expected[inner], atol=0.003)


def test_sound_past_the_last_picture_is_left_out(tmp_path: Path) -> None:
    film = film_with_sound(tmp_path / "film.mkv", [(0.0, clicks([0.5], 9.0))], picture_s=2.0)
    assert read_sound(open_clip(film)).duration_s == pytest.approx(3.0, abs=0.01)


def test_a_film_without_sound_is_too_little_evidence(tmp_path: Path) -> None:
    clip = open_clip(write_film(tmp_path / "film.mp4", even_ticks(12)))
    with pytest.raises(TooLittleEvidence, match=r"has no sound.*Film with the sound on"):
        read_sound(clip)


def test_a_damaged_track_says_so(tmp_path: Path) -> None:
    noise = np.random.default_rng(1).normal(0, 0.2, (1, 96_000)).astype(np.float32)
    film = film_with_sound(tmp_path / "film.mp4", [(0.0, noise)], codec="aac")
    clip = open_clip(film)
    with av.open(str(film)) as container:
        packets = [(packet.pos, packet.size) for packet in container.demux(audio=0) if packet.size]
    with film.open("r+b") as file:
        for pos, size in packets[5:]:
            file.seek(pos or 0)
            file.write(b"\xff" * size)
    with pytest.raises(ClipError, match="sound track cannot be decoded"):
        read_sound(clip)


def test_a_film_that_has_gone_says_so(tmp_path: Path) -> None:
    film = film_with_sound(tmp_path / "film.mkv", [(0.0, clicks([0.5], 1.0))])
    clip = open_clip(film)
    film.unlink()
    with pytest.raises(ClipError, match="no such file"):
        read_sound(clip)


def test_progress_grows_and_may_stop_the_work(tmp_path: Path) -> None:
    clip = open_clip(film_with_sound(tmp_path / "film.mkv", [(0.0, clicks([0.5], 3.0))]))
    shares: list[float] = []
    read_sound(clip, progress=shares.append)
    assert shares == sorted(shares)
    assert 0 <= shares[0] < shares[-1] <= 1

    def stop(share: float) -> None:
        assert 0 <= share <= 1
        raise Cancelled

    with pytest.raises(Cancelled):
        read_sound(clip, progress=stop)


def test_sound_is_one_row_at_a_rate() -> None:
    with pytest.raises(WrongSetting, match="one row of samples"):
        Sound(RATE_HZ, 0.0, np.zeros((2, 5), np.float32))
    with pytest.raises(WrongSetting, match="above 0"):
        Sound(0, 0.0, np.zeros(5, np.float32))
