import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.errors import WrongSetting
from evenfall.flow.showing import ShowSettings, show_data, show_settings

SETTINGS = st.builds(
    ShowSettings,
    slow=st.floats(1, 16),
    start_s=st.none() | st.floats(0, 10),
    end_s=st.none() | st.floats(10.5, 90),
    height_px=st.integers(360, 1080),
    view=st.sampled_from(["whole", "legs"]),
    blur=st.sampled_from(["none", "rider"]),
    sound=st.sampled_from(["beats", "beats and even", "film", "none"]),
    caption=st.text(
        st.characters(categories=["L", "N", "Zs"], exclude_characters="\u00a0"), max_size=80
    ).filter(str.isprintable),
)


@given(SETTINGS)
def test_settings_survive_being_kept(settings: ShowSettings) -> None:
    assert show_settings(json.loads(json.dumps(show_data(settings)))) == settings


def test_what_is_left_out_is_as_usual() -> None:
    assert show_settings({}) == ShowSettings()


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ({"slow": 0.5}, "1 to 16 times slower, found 0.5"),
        ({"slow": "4"}, "slow as a number, found '4'"),
        ({"slow": True}, "slow as a number"),
        ({"slow": float("nan")}, "slow as a number"),
        ({"height_px": 2000}, "360 to 1080 lines, found 2000"),
        ({"height_px": 720.5}, "a whole number of lines"),
        ({"view": "head"}, "view to be one of whole, legs, found 'head'"),
        ({"blur": 3}, "blur as a word"),
        ({"sound": "drum"}, "sound to be one of beats"),
        ({"caption": "two\nlines"}, "a caption of one line"),
        ({"caption": "x" * 81}, "at most 80 letters"),
        ({"start_s": -1}, "the start in seconds of the film"),
        ({"start_s": 3, "end_s": 2}, "the end after the start, found 3 to 2 s"),
        ({"speed": 2}, "settings among blur, caption, .* found speed"),
    ],
)
def test_what_makes_no_sense_is_refused(data: dict[str, object], message: str) -> None:
    with pytest.raises(WrongSetting, match=message):
        show_settings(data)
