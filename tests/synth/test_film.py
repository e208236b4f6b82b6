from dataclasses import replace
from pathlib import Path

import av
import cv2
import numpy as np
import pytest

from evenfall.contacts.model import Limb
from evenfall.errors import UnwritableOutput, WrongSetting
from evenfall.synth import EXAMPLE_GAITS, Scene, Segment, draw_film, made_contacts
from evenfall.synth.brush import Image
from evenfall.synth.film import picture_ticks, true_contacts

TINY = Scene(width=160, height=96, fps=30, duration_s=1)
RACK = EXAMPLE_GAITS["rack"]


def _ticks(path: Path) -> list[int]:
    with av.open(str(path)) as film:
        return [round(frame.time * 90_000) for frame in film.decode(video=0) if frame.time is not None]


def _pictures(path: Path) -> list[Image]:
    with av.open(str(path)) as film:
        return [np.asarray(frame.to_ndarray(format="bgr24"), np.uint8) for frame in film.decode(video=0)]


@pytest.mark.parametrize("scene", [TINY, replace(TINY, fps=59.94), replace(TINY, varying_rate=True, seed=3)])
def test_the_file_shows_each_picture_at_the_time_asked(tmp_path: Path, scene: Scene) -> None:
    draw_film(tmp_path / "a.mp4", RACK, scene)
    assert _ticks(tmp_path / "a.mp4") == picture_ticks(scene)


def test_a_steady_film_has_steady_times() -> None:
    assert picture_ticks(TINY) == [3000 * n for n in range(30)]


def test_a_varying_rate_varies_and_keeps_its_length() -> None:
    ticks = picture_ticks(replace(TINY, duration_s=20, varying_rate=True))
    steps = np.diff(ticks) / 3000
    assert ticks[0] == 0
    assert 19.8 * 90_000 < ticks[-1] < 20 * 90_000
    assert steps.min() < 0.9
    assert np.sum(steps > 1.7) > 5


@pytest.mark.parametrize(("codec", "name"), [("h264", "h264"), ("hevc", "hevc"), ("vp9", "vp9")])
def test_every_codec_keeps_the_times(tmp_path: Path, codec: str, name: str) -> None:
    scene = replace(
        TINY, codec="hevc" if codec == "hevc" else "vp9" if codec == "vp9" else "h264", duration_s=0.5
    )
    draw_film(tmp_path / "a.mp4", RACK, scene)
    with av.open(str(tmp_path / "a.mp4")) as film:
        assert film.streams.video[0].codec_context.name in (name, f"lib{name}", "libvpx-vp9")
    assert _ticks(tmp_path / "a.mp4") == picture_ticks(scene)


def test_the_truth_returned_is_the_made_contacts_inside_the_film(tmp_path: Path) -> None:
    truth = draw_film(tmp_path / "a.mp4", RACK, TINY)
    assert len(truth) > 10
    assert truth == made_contacts(RACK, 1, TINY.seed).only(lambda mark: mark.time_s <= 29 / 30)


def test_slow_motion_stretches_the_contacts_and_the_file_alike(tmp_path: Path) -> None:
    quick = replace(TINY, fps=240, duration_s=0.5)
    slow = replace(quick, playback_fps=30)
    true = draw_film(tmp_path / "slow.mp4", RACK, slow)
    plain = true_contacts(RACK, quick)
    assert len(true) == len(plain) > 4
    assert [mark.time_s for mark in true] == pytest.approx([8 * mark.time_s for mark in plain])
    assert _ticks(tmp_path / "slow.mp4") == [3000 * n for n in range(120)]


def test_slow_motion_shows_the_same_pictures_as_the_film_it_slows(tmp_path: Path) -> None:
    quick = replace(TINY, fps=100, duration_s=0.1, quality=1)
    draw_film(tmp_path / "quick.mp4", RACK, quick)
    draw_film(tmp_path / "slow.mp4", RACK, replace(quick, playback_fps=25))
    for one, other in zip(_pictures(tmp_path / "quick.mp4"), _pictures(tmp_path / "slow.mp4"), strict=True):
        assert np.abs(one.astype(int) - other).mean() < 1.5


def test_a_change_of_gait_shows_in_the_truth(tmp_path: Path) -> None:
    gaits = [Segment(EXAMPLE_GAITS["trot"], 2.0), Segment(EXAMPLE_GAITS["pace"], 2.0)]
    truth = draw_film(tmp_path / "a.mp4", gaits, replace(TINY, duration_s=4, fps=15))
    phases = {}
    for hind in truth.landings(Limb.LH):
        gaps = [fore.time_s - hind.time_s for fore in truth.landings(Limb.LF)]
        phases[hind.time_s] = min(gaps, key=abs)
    assert all(abs(gap) > 0.2 for start, gap in phases.items() if start < 1.7)
    assert all(abs(gap) < 0.06 for start, gap in phases.items() if start > 2.7)


def test_the_same_settings_make_the_same_film(tmp_path: Path) -> None:
    scene = replace(TINY, noise=3, duration_s=0.3)
    draw_film(tmp_path / "a.mp4", RACK, scene)
    draw_film(tmp_path / "b.mp4", RACK, scene)
    assert (tmp_path / "a.mp4").read_bytes() == (tmp_path / "b.mp4").read_bytes()


@pytest.mark.parametrize("rotation", [90, 180, 270])
def test_a_turned_film_is_upright_once_the_player_turns_it(tmp_path: Path, rotation: int) -> None:
    upright = replace(TINY, width=96, height=160, duration_s=0.1, quality=1)
    turned = replace(upright, rotation_deg=90 if rotation == 90 else 180 if rotation == 180 else 270)
    draw_film(tmp_path / "upright.mp4", RACK, upright)
    draw_film(tmp_path / "turned.mp4", RACK, turned)
    with av.open(str(tmp_path / "turned.mp4")) as film:
        frame = next(film.decode(video=0))
        shown = np.rot90(frame.to_ndarray(format="bgr24"), frame.rotation // 90)
    assert frame.rotation % 360 == 360 - rotation
    assert np.abs(shown.astype(int) - _pictures(tmp_path / "upright.mp4")[0]).mean() < 3


class _StoppedError(Exception):
    pass


@pytest.mark.parametrize("kind", [_StoppedError, KeyboardInterrupt])
def test_a_film_given_up_leaves_what_was_there_before(tmp_path: Path, kind: type[BaseException]) -> None:
    def give_up(share: float) -> None:
        if share > 0.3:
            raise kind

    old = tmp_path / "a.mp4"
    old.write_bytes(b"the film of last week")
    with pytest.raises(kind):
        draw_film(old, RACK, TINY, progress=give_up)
    assert [path.name for path in tmp_path.iterdir()] == ["a.mp4"]
    assert old.read_bytes() == b"the film of last week"


def test_progress_runs_from_above_nothing_to_one(tmp_path: Path) -> None:
    shares: list[float] = []
    draw_film(tmp_path / "a.mp4", RACK, replace(TINY, duration_s=0.2), progress=shares.append)
    assert shares == pytest.approx([n / 6 for n in range(1, 7)])


def test_a_place_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    for place in (tmp_path / "nowhere" / "a.mp4", tmp_path / "file" / "a.mp4"):
        with pytest.raises(UnwritableOutput, match=r"a\.mp4: could not be written"):
            draw_film(place, RACK, TINY)


def test_an_ending_no_container_has_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UnwritableOutput, match="could not be written"):
        draw_film(tmp_path / "a.horse", RACK, TINY)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "change",
    [
        {"width": 161},
        {"fps": 0.0},
        {"coat": "plaid"},
        {"shutter": 2.0},
        {"duration_s": 0.01},
        {"codec": "film"},
    ],
)
def test_settings_outside_sense_are_refused(change: dict[str, object]) -> None:
    with pytest.raises(WrongSetting, match="a drawn film cannot have"):
        replace(TINY, **change)  # type: ignore[arg-type]


def test_drawing_leaves_opencv_with_the_threads_it_had(tmp_path: Path) -> None:
    before = cv2.getNumThreads()
    during: list[int] = []
    draw_film(tmp_path / "a.mp4", RACK, TINY, progress=lambda _: during.append(cv2.getNumThreads()))
    assert set(during) == {1}
    assert cv2.getNumThreads() == before
