"""A film's quality on the terminal and as data."""

import io
import json
from dataclasses import replace

import numpy as np
import pytest
from rich.console import Console

from evenfall.contacts.film.quality import FilmQuality, Finding, judge_film
from evenfall.report.quality import quality_data, quality_on_terminal, say_finding, say_quality
from tests.contacts.film.good_film import N, followed, good_clip, good_feet, good_seen

HIDDEN = Finding("feet_hidden", "weak", "times a foot was not seen", 20.4, "%", "Film on short ground.")


@pytest.fixture
def good() -> FilmQuality:
    return judge_film(good_clip(), good_feet())


@pytest.fixture
def weak() -> FilmQuality:
    """A small horse at 30 pictures a second."""
    return judge_film(good_clip(30), good_feet(seen=good_seen(width=np.full(N, 85.0))))


@pytest.fixture
def lost() -> FilmQuality:
    feet = replace(good_feet(seen=good_seen(camera=followed(0.2))), too_little="no horse was found.")
    return judge_film(good_clip(), feet)


def printed(quality: FilmQuality, columns: int = 80) -> str:
    out = io.StringIO()
    Console(file=out, width=columns, highlight=False).print(quality_on_terminal(quality))
    return out.getvalue()


def test_the_verdict_says_whether_the_film_can_be_read(
    good: FilmQuality, weak: FilmQuality, lost: FilmQuality
) -> None:
    assert say_quality(good) == "This film can be read, and no weak point was found in it."
    assert say_quality(weak) == "This film can be read. It has 2 weak points."
    assert say_quality(replace(weak, findings=weak.findings[:1])) == (
        "This film can be read. It has 1 weak point."
    )
    assert say_quality(lost) == "Too little evidence: no horse was found."


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (20.4, "%", "20 %"),
        (0.0, "%", "0 %"),
        (0.236, "a second", "0.24 a second"),
        (4.17, "ms", "4.2 ms"),
        (1234.4, "pixels", "1234 pixels"),
        (7.66, "", "7.7"),
    ],
)
def test_a_finding_is_said_with_as_many_figures_as_help(value: float, unit: str, said: str) -> None:
    finding = replace(HIDDEN, value=value, unit=unit)
    assert say_finding(finding) == f"times a foot was not seen: {said}"


def test_the_terminal_tells_film_verdict_and_what_to_do_before_what_is_good(weak: FilmQuality) -> None:
    lines = [line.rstrip() for line in printed(weak).splitlines()]
    assert lines[0] == "ride.mp4: 360 pictures, 12.00 s, 1280×720, 30 a second"
    assert lines[2] == "This film can be read. It has 2 weak points."
    assert lines[4] == "weak  time from picture to picture: 33 ms"
    assert lines[5].startswith("      Film at 60 pictures a second or more")
    assert "weak  width of the horse in the picture: 170 pixels" in lines
    words = [line.split()[0] for line in lines[4:] if line and not line.startswith(" ")]
    assert words == ["weak"] * 2 + ["good"] * 14


@pytest.mark.parametrize("columns", [40, 60, 80])
def test_the_page_fits_the_terminal(lost: FilmQuality, columns: int) -> None:
    assert max(len(line.rstrip()) for line in printed(lost, columns).splitlines()) <= columns


def test_what_spoils_is_named_on_the_terminal(lost: FilmQuality) -> None:
    assert "spoils  marks in the picture that keep their place on the ground: 20 %" in printed(lost)


def test_the_data_hold_every_finding_and_are_plain(weak: FilmQuality) -> None:
    data = json.loads(json.dumps(quality_data(weak), allow_nan=False))
    assert data["schema"] == 1
    assert data["clip"] == {
        "frames": 360,
        "duration_s": 12.0,
        "capture_fps": 30.0,
        "playback_factor": 1.0,
        "width": 1280,
        "height": 720,
    }
    assert data["readable"] is True
    assert "error" not in data
    assert [finding["code"] for finding in data["findings"]] == [each.code for each in weak.findings]
    assert {key: data["findings"][0][key] for key in ("code", "severity", "measured", "value", "unit")} == {
        "code": "picture_interval",
        "severity": "weak",
        "measured": "time from picture to picture",
        "value": 33.3333,
        "unit": "ms",
    }
    assert data["findings"][0]["advice"].startswith("Film at 60")
    assert data["findings"][-1]["advice"] is None


def test_the_data_say_why_a_film_cannot_be_read(lost: FilmQuality) -> None:
    data = quality_data(lost)
    assert data["readable"] is False
    assert data["error"] == {"code": "too_little_evidence", "message": "no horse was found."}
