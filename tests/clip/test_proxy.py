from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.clip import Clip, Sound, open_clip, pictures, read_sound
from evenfall.clip.proxy import make_proxy, proxy_size
from evenfall.errors import Cancelled, ClipError, UnwritableOutput
from evenfall.synth.numbered import even_ticks, read_number, varying_ticks, write_numbered
from evenfall.timebase import Timebase
from tests.making import write_film

TICK_S = 1 / 90_000
LATE = [tick + 9000 for tick in even_ticks(40, 30)]
SLOW = even_ticks(60, 23.976)


def proxy_of(film: Path, capture_fps: float | None = None) -> tuple[Clip, Clip]:
    """The film and its proxy, both opened."""
    clip, to = open_clip(film, capture_fps=capture_fps), film.with_name("proxy.mp4")
    make_proxy(clip, to)
    return clip, open_clip(to)


def assert_in_step(clip: Clip, proxy: Clip) -> None:
    assert proxy.timebase.n_frames == clip.timebase.n_frames
    ours = clip.timebase.times_s - clip.timebase.times_s[0]
    np.testing.assert_allclose(proxy.timebase.times_s, ours, rtol=0, atol=TICK_S / 2 + 1e-9)


@pytest.mark.parametrize(
    "ticks", [even_ticks(70, 60), varying_ticks(70, 60), LATE, SLOW], ids=["60", "varying", "late", "slow"]
)
@pytest.mark.parametrize("codec", ["libx264", "libx265", "libvpx-vp9"])
def test_every_picture_is_there_at_its_own_time(tmp_path: Path, ticks: list[int], codec: str) -> None:
    film = write_numbered(tmp_path / "film.mp4", ticks, size=(160, 90), codec=codec)
    clip, proxy = proxy_of(film)
    assert_in_step(clip, proxy)
    assert [read_number(picture.pixels) for picture in pictures(proxy)] == list(range(len(ticks)))


@pytest.mark.parametrize("ending", ["mkv", "webm", "avi", "mov"])
def test_films_of_other_containers_are_kept_in_step(tmp_path: Path, ending: str) -> None:
    codec = "libvpx-vp9" if ending == "webm" else "libx264"
    film = write_film(tmp_path / f"film.{ending}", varying_ticks(40, 30), codec=codec, options={"bf": "3"})
    assert_in_step(*proxy_of(film))


def test_a_slow_motion_film_keeps_the_clock_of_its_file(tmp_path: Path) -> None:
    film = write_numbered(tmp_path / "film.mp4", even_ticks(60, 30))
    assert_in_step(*proxy_of(film, capture_fps=240))


@pytest.mark.parametrize("pix_fmt", ["yuv420p10le", "yuvj420p", "yuv444p"])
def test_ten_bits_full_range_and_full_colour_look_the_same(tmp_path: Path, pix_fmt: str) -> None:
    clip, proxy = proxy_of(write_film(tmp_path / "film.mp4", even_ticks(20, 30), pix_fmt=pix_fmt))
    assert_in_step(clip, proxy)
    for ours, theirs in zip(pictures(proxy), pictures(clip), strict=True):
        assert abs(float(ours.pixels[10, 10].mean()) - float(theirs.pixels[10, 10].mean())) < 6


@pytest.mark.parametrize("turned", [90, 180, 270])
def test_a_turned_film_is_stored_upright(tmp_path: Path, turned: int) -> None:
    clip, proxy = proxy_of(write_film(tmp_path / "film.mp4", even_ticks(20, 30), rotation_deg=turned))
    assert_in_step(clip, proxy)
    assert (proxy.rotation_deg, proxy.width, proxy.height) == (0, clip.width, clip.height)
    first, same = (next(iter(pictures(film))).pixels.astype(int) for film in (proxy, clip))
    assert np.abs(first - same).mean() < 4


def test_odd_sizes_become_even(tmp_path: Path) -> None:
    film = write_film(tmp_path / "film.mp4", even_ticks(20, 30), size=(65, 49), pix_fmt="yuv444p")
    clip, proxy = proxy_of(film)
    assert_in_step(clip, proxy)
    assert (proxy.width, proxy.height) == (64, 48)


@given(across=st.integers(2, 8000), down=st.integers(2, 8000))
def test_a_proxy_is_even_at_most_720_lines_and_never_larger(across: int, down: int) -> None:
    clip = Clip(Path("ride.mp4"), Timebase(np.arange(3.0)), across, down, 0, "h264", has_sound=False)
    width, height = proxy_size(clip)
    assert width % 2 == height % 2 == 0
    assert 2 <= height <= min(720, down)
    assert 2 <= width <= across


def test_every_picture_is_whole_and_lasts_until_the_next(tmp_path: Path) -> None:
    proxy_of(write_numbered(tmp_path / "film.mp4", ticks := varying_ticks(30, 60)))
    with av.open(str(tmp_path / "proxy.mp4")) as container:
        packets = [packet for packet in container.demux(video=0) if packet.size]
    assert all(packet.is_keyframe and packet.pts == packet.dts for packet in packets)
    assert [packet.duration for packet in packets[:-1]] == list(np.diff(ticks))
    assert packets[-1].duration == round(float(np.median(np.diff(ticks))))


def test_what_the_numbers_mean_as_colours_is_kept(tmp_path: Path) -> None:
    """As an HDR phone notes it: BT.2020 primaries, HLG, BT.2020 matrix (ITU-T H.273's numbers)."""
    options = {"x265-params": "colorprim=9:transfer=18:colormatrix=9:log-level=none"}
    film = write_numbered(tmp_path / "film.mp4", even_ticks(20, 30), codec="libx265", options=options)
    proxy_of(film)
    for path in (film, tmp_path / "proxy.mp4"):
        with av.open(str(path)) as container:
            context = container.streams.video[0].codec_context
            assert (context.color_primaries, context.color_trc, context.colorspace) == (9, 18, 9)


def test_pictures_that_cannot_be_decoded_are_shown_by_their_neighbour(tmp_path: Path) -> None:
    """A film that begins between two key pictures: the first ten lack what they are changes to."""
    whole = write_numbered(
        tmp_path / "whole.mp4", even_ticks(40, 30), options={"g": "13", "bf": "0", "sc_threshold": "0"}
    )
    clip, proxy = proxy_of(without_first(whole, 3, tmp_path / "film.mp4"))
    assert_in_step(clip, proxy)
    told = [read_number(picture.pixels) for picture in pictures(proxy)]
    assert told == [13] * 10 + list(range(13, 40))


def without_first(film: Path, count: int, to: Path) -> Path:
    with av.open(str(film)) as source, av.open(str(to), "w") as container:
        stream = container.add_stream_from_template(source.streams.video[0])
        for packet in [packet for packet in source.demux(video=0) if packet.size][count:]:
            packet.stream = stream
            container.mux(packet)
    return to


def knock_s(sound: Sound) -> float:
    """When the loudest sample is heard."""
    return sound.start_s + int(np.argmax(np.abs(sound.samples))) / sound.rate_hz


@pytest.mark.parametrize("late", [0, 9000])
def test_the_sound_is_heard_in_step(tmp_path: Path, late: int) -> None:
    ticks = [tick + late for tick in even_ticks(60, 30)]
    clip, proxy = proxy_of(with_a_knock(tmp_path / "film.mp4", ticks, knock=1.2))
    assert_in_step(clip, proxy)
    assert knock_s(read_sound(clip)) == pytest.approx(1.2, abs=0.002)
    assert knock_s(read_sound(proxy)) == pytest.approx(1.2 - late / 90_000, abs=0.002)


def test_a_film_without_sound_has_a_proxy_without(tmp_path: Path) -> None:
    clip, proxy = proxy_of(write_film(tmp_path / "film.mp4", even_ticks(20, 30)))
    assert (clip.has_sound, proxy.has_sound) == (False, False)


def test_stopping_leaves_nothing_behind(tmp_path: Path) -> None:
    clip = open_clip(write_film(tmp_path / "film.mp4", even_ticks(90, 30)))

    def stop(share: float) -> None:
        if share > 0.5:
            raise Cancelled

    with pytest.raises(Cancelled):
        make_proxy(clip, tmp_path / "proxy.mp4", progress=stop)
    assert [path.name for path in tmp_path.iterdir()] == ["film.mp4"]


def test_a_film_spoilt_since_it_was_opened_leaves_the_old_proxy(tmp_path: Path) -> None:
    film = write_film(tmp_path / "film.mp4", even_ticks(90, 30))
    clip = open_clip(film)
    (tmp_path / "proxy.mp4").write_bytes(b"the old one")
    film.write_bytes(b"\0" * 2000)
    with pytest.raises(ClipError, match=r"film\.mp4: expected a film"):
        make_proxy(clip, tmp_path / "proxy.mp4")
    assert (tmp_path / "proxy.mp4").read_bytes() == b"the old one"
    assert len(list(tmp_path.iterdir())) == 2


def test_a_place_that_is_not_there_is_named(tmp_path: Path) -> None:
    clip = open_clip(write_film(tmp_path / "film.mp4", even_ticks(20, 30)))
    with pytest.raises(UnwritableOutput, match=r"proxy\.mp4: could not be written"):
        make_proxy(clip, tmp_path / "away" / "proxy.mp4")


def test_the_share_done_rises_to_one(tmp_path: Path) -> None:
    shares: list[float] = []
    make_proxy(
        open_clip(write_film(tmp_path / "film.mp4", even_ticks(20, 30))),
        tmp_path / "proxy.mp4",
        progress=shares.append,
    )
    assert shares == sorted(shares)
    assert (len(shares), shares[-1]) == (20, 1.0)


def with_a_knock(path: Path, ticks: list[int], *, knock: float) -> Path:
    """A film with silence and one short knock at a time of its own clock."""
    samples = np.zeros((1, 3 * 48_000), np.float32)
    at = round(knock * 48_000)
    samples[0, at : at + 24] = 0.8 * np.hanning(24)
    with av.open(str(path), "w") as container:
        video = container.add_stream("libx264", rate=30, options={"crf": "10"})
        video.width, video.height, video.pix_fmt = 64, 48, "yuv420p"
        video.time_base = video.codec_context.time_base = Fraction(1, 90_000)
        audio = container.add_stream("aac", rate=48_000, layout="mono")
        for tick in ticks:
            frame = av.VideoFrame.from_ndarray(np.full((72, 64), 100, np.uint8), format="yuv420p")
            frame.pts, frame.time_base = tick, Fraction(1, 90_000)
            container.mux(video.encode(frame))
        container.mux(video.encode(None))
        sound = av.AudioFrame.from_ndarray(samples, format="fltp", layout="mono")
        sound.sample_rate, sound.pts = 48_000, 0
        container.mux([*audio.encode(sound), *audio.encode(None)])
    return path
