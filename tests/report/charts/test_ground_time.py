"""The picture of the feet: what it says, what it draws, and that it fits."""

import re
from dataclasses import replace

import altair as alt
import pytest

from evenfall.contacts import Contacts
from evenfall.errors import TooLittleEvidence
from evenfall.report.charts import as_png, as_svg, feet_picture, ground_time
from evenfall.report.ground import panels
from tests.report.charts.ridden import made_feet

DASHED = r'stroke-dasharray="4,3"'


@pytest.fixture(scope="module")
def plain() -> alt.VConcatChart:
    return feet_picture(made_feet(), name="fern.mp4")


@pytest.fixture(scope="module")
def svg(plain: alt.VConcatChart) -> str:
    return as_svg(plain)


def words(picture: alt.VConcatChart) -> str:
    title = picture.to_dict()["title"]
    return " ".join([*title["text"], *title["subtitle"]])


def test_the_picture_is_one_source_for_screen_and_paper(plain: alt.VConcatChart, svg: str) -> None:
    assert svg.startswith("<svg")
    assert "data:image/png;base64," in svg
    assert as_png(plain, scale=1).startswith(b"\x89PNG")
    assert "fern.mp4" in words(plain)
    for foot in ("LF", "RF", "LH", "RH"):
        assert f">{foot}</text>" in svg


def test_it_opens_with_how_to_read_it(plain: alt.VConcatChart) -> None:
    assert words(plain).startswith(
        "Every standing foot is an upright bar, every swinging foot a slanted streak"
    )


def test_only_what_was_inferred_is_dashed(plain: alt.VConcatChart, svg: str) -> None:
    unseen = feet_picture(made_feet(unseen=(2, 5)))
    assert not re.search(DASHED, svg)
    assert len(re.findall(DASHED, as_svg(unseen))) == 2 * 3, "two edges and a tick for each of two moments"
    n = len(made_feet().contacts)
    assert f"{n} of {n} landings and lift-offs were seen." in words(plain)
    assert f"{n - 2} of {n} landings and lift-offs were seen; the others are put" in words(unseen)


def test_it_tells_the_lengths_on_the_ground(plain: alt.VConcatChart) -> None:
    told = words(plain)
    assert "A stride covers 0.72 widths of the horse in the picture" in told
    assert "the hinds land 0.10 widths past the fore prints" in told


def test_a_refused_film_is_drawn_with_the_reason_and_without_names() -> None:
    picture = feet_picture(made_feet(refused="which feet are the near ones cannot be told"))
    assert "Which feet are the near ones cannot be told" in words(picture)
    assert "landings and lift-offs were seen" not in words(picture)
    assert not re.search(r">[LR][FH]</text>", as_svg(picture))


def test_without_a_horse_there_is_nothing_to_draw() -> None:
    none = replace(made_feet(), rides=(), contacts=Contacts(), too_little="no horse was found")
    with pytest.raises(TooLittleEvidence, match="nothing to draw: no horse was found"):
        feet_picture(none)


def test_a_long_ride_is_cut_off_and_says_where(
    plain: alt.VConcatChart, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ground_time, "MOST_PANELS", 3)
    long = feet_picture(made_feet(seconds=6.0))
    assert len(re.findall('"type": "image"', long.to_json())) == 3
    assert "Shown: the film up to 3.6 s of 6.0 s." in words(long)
    assert "Shown:" not in words(plain)


@pytest.mark.parametrize(("narrow", "most"), [(True, 365), (False, 830)])
@pytest.mark.parametrize("heading", [1, -1])
def test_it_fits_a_phone_and_a_laptop(heading: int, *, narrow: bool, most: float) -> None:
    svg = as_svg(feet_picture(made_feet(heading=heading, unseen=(2,)), name="fern.mp4", narrow=narrow))
    width = re.search(r'<svg[^>]* width="([0-9.]+)"', svg)
    assert width is not None
    assert float(width.group(1)) <= most


@pytest.mark.parametrize("heading", [1, -1])
def test_ten_widths_along_is_written_as_ten(heading: int) -> None:
    panel = panels(made_feet(heading=heading))[0]
    drawn = as_svg(alt.vconcat(ground_time.ground_time(replace(panel, ground=(7.9, 10.9)))))
    assert [mark for mark in ("8", "9", "10") if f">{mark}</text>" not in drawn] == []
