"""The form of a film to show, read and written."""

from hypothesis import given
from hypothesis import strategies as st

from evenfall.flow.show_form import CHOICES, read_show_form, show_values
from evenfall.flow.showing import ShowSettings

CHOSEN = st.builds(
    ShowSettings,
    slow=st.sampled_from([float(each) for each in CHOICES["slow"]]),
    start_s=st.none() | st.integers(0, 999).map(lambda tenths: tenths / 10),
    height_px=st.sampled_from([int(each) for each in CHOICES["height_px"]]),
    view=st.sampled_from(list(CHOICES["view"])),
    blur=st.sampled_from(list(CHOICES["blur"])),
    sound=st.sampled_from(list(CHOICES["sound"])),
    caption=st.sampled_from(["", "Juniper, 3 May 2026", "Zoë & Übung"]),
)


@given(CHOSEN)
def test_what_the_form_shows_is_what_it_reads(settings: ShowSettings) -> None:
    assert read_show_form(show_values(settings), beside=False).fields == settings


def test_an_empty_form_is_as_it_comes() -> None:
    assert read_show_form({}, beside=True).fields == ShowSettings()


def test_seconds_are_taken_with_a_comma_and_their_unit() -> None:
    told = read_show_form({"start_s": "1,5 s", "end_s": " 3 "}, beside=False).fields
    assert told is not None
    assert (told.start_s, told.end_s) == (1.5, 3.0)


def test_what_is_no_time_of_a_film_is_said_beside_its_field() -> None:
    for wrong in ("-1", "inf", "nan", "soon"):
        form = read_show_form({"end_s": wrong}, beside=False)
        assert form.fields is None
        assert set(form.errors) == {"end_s"}
        assert form.values["end_s"] == wrong
