"""One stride going round and round."""

import re
from pathlib import Path

import av
import pytest

from evenfall.errors import Cancelled, TooLittleEvidence, WrongSetting
from evenfall.flow.showing import ShowSettings, small_picture
from evenfall.flow.showing.small import MOST_BYTES
from evenfall.synth.numbered import even_ticks
from tests.flow.showing.conftest import Ridden
from tests.flow.showing.filmed import numbered
from tests.making import regular


@pytest.mark.parametrize("name", ["small.webp", "small.gif"])
def test_one_stride_goes_round_for_ever_in_its_own_time(tmp_path: Path, name: str) -> None:
    reading = numbered(tmp_path / "film.mp4", even_ticks(160, 60), regular(stride_s=0.6, n=3, start_s=0.2))
    shown = small_picture(reading, tmp_path / name, ShowSettings(slow=4))
    assert shown.duration_s == pytest.approx(4 * 0.6, abs=0.02)
    made = (tmp_path / name).read_bytes()
    assert len(made) < MOST_BYTES
    assert 12 <= shown.pictures <= 24
    assert goes_round(made)
    assert lasts_s(tmp_path / name) == pytest.approx(2.4, abs=0.03)


def goes_round(made: bytes) -> bool:
    """Whether the file says it is to be played for ever: 0 rounds in WebP's ANIM and in GIF's NETSCAPE2.0 block."""
    if made.startswith(b"RIFF"):
        at = made.index(b"ANIM") + 12
        return made[at : at + 2] == b"\0\0"
    at = made.index(b"NETSCAPE2.0") + 11
    return made[at : at + 5] == b"\x03\x01\0\0\0"


def lasts_s(path: Path) -> float:
    """How long one round takes."""
    made = path.read_bytes()
    if made.startswith(b"RIFF"):
        parts = [found.start() for found in re.finditer(b"ANMF", made)]
        return sum(int.from_bytes(made[at + 20 : at + 23], "little") for at in parts) / 1000
    with av.open(str(path)) as container:
        frames = list(container.decode(video=0))
    last = frames[-1]
    assert last.time is not None
    assert last.time_base is not None
    return last.time + float(last.duration * last.time_base)


@pytest.mark.parametrize("name", ["small.webp", "small.gif"])
def test_a_drawn_ride_is_small_enough_to_send(ridden: Ridden, tmp_path: Path, name: str) -> None:
    shown = small_picture(ridden.reading, tmp_path / name, ShowSettings(caption="Juniper"))
    assert (tmp_path / name).stat().st_size <= MOST_BYTES
    assert shown.notes == ()


def test_without_a_whole_stride_there_is_none(tmp_path: Path) -> None:
    reading = numbered(tmp_path / "film.mp4", even_ticks(100, 60), regular(n=0, start_s=0.3))
    with pytest.raises(TooLittleEvidence, match="no whole stride to go round"):
        small_picture(reading, tmp_path / "small.webp", ShowSettings())


def test_another_ending_is_refused_and_stopping_leaves_nothing(tmp_path: Path) -> None:
    reading = numbered(tmp_path / "film.mp4", even_ticks(160, 60))

    def stop(_: float) -> None:
        raise Cancelled

    with pytest.raises(WrongSetting, match=r"ending in \.webp or \.gif, not 'small\.png'"):
        small_picture(reading, tmp_path / "small.png", ShowSettings())
    with pytest.raises(Cancelled):
        small_picture(reading, tmp_path / "small.webp", ShowSettings(), progress=stop)
    assert [path.name for path in tmp_path.iterdir()] == ["film.mp4"]
