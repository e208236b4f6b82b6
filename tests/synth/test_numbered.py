from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.clip import open_clip, pictures
from evenfall.errors import WrongSetting
from evenfall.synth.numbered import even_ticks, numbered_picture, read_number, varying_ticks, write_numbered


@given(number=st.integers(0, 65_535), across=st.integers(16, 300), down=st.integers(8, 200))
def test_a_number_drawn_at_any_size_is_read_again(number: int, across: int, down: int) -> None:
    assert read_number(numbered_picture(number, (across, down))) == number


@given(number=st.integers(0, 65_535), cell=st.integers(0, 31))
def test_a_cell_that_is_wrong_is_found_out(number: int, cell: int) -> None:
    picture = numbered_picture(number, (80, 40))
    down, across = divmod(cell, 8)
    spoilt = picture[10 * down : 10 * down + 10, 10 * across : 10 * across + 10]
    spoilt[:] = 255 - spoilt
    assert read_number(picture) is None


@given(one=st.integers(0, 65_535), other=st.integers(0, 65_535))
def test_a_mixture_of_two_pictures_has_no_number(one: int, other: int) -> None:
    first, second = (numbered_picture(number, (80, 40)) for number in (one, other))
    mixed = ((first.astype(int) + second) // 2).astype(np.uint8)
    assert read_number(mixed) == (one if one == other else None)


@pytest.mark.parametrize("grey", [0, 128, 255])
def test_a_blank_picture_has_no_number(grey: int) -> None:
    assert read_number(np.full((40, 80), grey, np.uint8)) is None


def test_a_number_beyond_two_bytes_is_refused() -> None:
    with pytest.raises(WrongSetting, match="from 0 to 65535, not 65536"):
        numbered_picture(65_536, (80, 40))


@pytest.mark.parametrize("ticks", [even_ticks(70, 60), varying_ticks(70, 60)], ids=["constant", "varying"])
@pytest.mark.parametrize("codec", ["libx264", "libx265", "libvpx-vp9"])
def test_every_picture_of_a_film_carries_its_number_and_its_time(
    tmp_path: Path, ticks: list[int], codec: str
) -> None:
    clip = open_clip(write_numbered(tmp_path / "film.mp4", ticks, size=(160, 90), codec=codec))
    assert [read_number(picture.pixels) for picture in pictures(clip)] == list(range(70))
    np.testing.assert_allclose(clip.timebase.times_s, np.array(ticks) / 90_000, atol=1e-9)


def test_a_varying_rate_varies_and_comes_again_with_its_seed() -> None:
    intervals = np.diff(varying_ticks(200, 60, seed=3))
    assert 900 <= intervals.min() < 1000
    assert 2900 < intervals.max() <= 3000
    assert varying_ticks(200, 60, seed=3) == varying_ticks(200, 60, seed=3) != varying_ticks(200, 60, seed=4)
