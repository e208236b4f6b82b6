"""``evenfall show``."""

import json
from pathlib import Path

import pytest

from evenfall.cli.context import Status
from evenfall.clip import open_clip
from evenfall.contacts.film import FilmFeet
from evenfall.flow import films, placing
from tests.cli.test_read import Told
from tests.report.charts.ridden import made_feet


@pytest.fixture(autouse=True)
def _found(monkeypatch: pytest.MonkeyPatch) -> None:
    """Put made-up feet in the place of what a search of the film would find."""
    found: FilmFeet = made_feet(seconds=6.0)
    for module in (films, placing):
        monkeypatch.setattr(module, "find_feet", lambda *_, **__: found)


def test_a_film_is_written_and_said(film: Path, contacts_file: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.mp4"
    told = Told("show", film, "--contacts", contacts_file, "--out", out, "--slow", 2, "--height", 360)
    assert told.status == Status.MEASURED
    assert f"Written: {out}," in told.err
    assert open_clip(out).has_sound


def test_without_contacts_the_feet_found_in_the_film_are_shown(film: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.mp4"
    told = Told(
        "show", film, "--out", out, "--from", 1, "--to", 2, "--height", 360, "--sound", "none", "--json"
    )
    assert told.status == Status.MEASURED
    answer = json.loads(told.out)
    assert (answer["schema"], answer["path"], answer["pictures"]) == (1, str(out), 60)
    assert answer["duration_s"] == pytest.approx(4, abs=0.1)
    assert answer["notes"] == []


def test_two_films_are_shown_side_by_side(film: Path, contacts_file: Path, tmp_path: Path) -> None:
    told = Told(
        "show", film, "--contacts", contacts_file, "--beside", film, "--beside-contacts", contacts_file,
        "--out", tmp_path / "out.mp4", "--slow", 1, "--height", 360,
    )  # fmt: skip
    assert told.status == Status.MEASURED
    made = open_clip(tmp_path / "out.mp4")
    assert made.width > made.height


def test_a_small_picture_is_written_by_the_names_ending(
    film: Path, contacts_file: Path, tmp_path: Path
) -> None:
    told = Told("show", film, "--contacts", contacts_file, "--out", tmp_path / "small.webp")
    assert told.status == Status.MEASURED
    assert (tmp_path / "small.webp").read_bytes()[8:12] == b"WEBP"


@pytest.mark.parametrize(
    ("more", "message"),
    [
        (["--slow", 40], "1 to 16 times slower"),
        (["--beside-contacts", "marks.csv"], "name the film with --beside"),
        (["--from", 5, "--to", 4], "the end after the start"),
        (["--slow", 16, "--from", 0, "--to", 6], "at most 60 s long as it plays"),
    ],
)
def test_wrong_use_is_told(
    film: Path, contacts_file: Path, tmp_path: Path, more: list[object], message: str
) -> None:
    told = Told("show", film, "--contacts", contacts_file, "--out", tmp_path / "out.mp4", *more)
    assert told.status == Status.WRONG_USE
    assert message in told.err
    assert list(tmp_path.iterdir()) == []


def test_another_ending_and_a_small_picture_of_two_are_refused(film: Path, tmp_path: Path) -> None:
    told = Told("show", film, "--out", tmp_path / "out.avi")
    assert (told.status, "ending in .mp4" in told.err) == (Status.WRONG_USE, True)
    told = Told("show", film, "--beside", film, "--out", tmp_path / "out.gif")
    assert (told.status, "a small picture shows one film" in told.err) == (Status.WRONG_USE, True)


def test_a_film_whose_feet_cannot_be_told_ends_with_three(
    film: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(films, "find_feet", lambda *_, **__: made_feet(refused="no foot is told"))
    told = Told("show", film, "--out", tmp_path / "out.mp4", "--json")
    assert told.status == Status.TOO_LITTLE_EVIDENCE
    assert "no foot is told" in told.err
    assert list(tmp_path.iterdir()) == []


def test_a_stop_leaves_nothing(
    film: Path, contacts_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("evenfall.report.showing.pane.Pane.draw", interrupted)
    told = Told("show", film, "--contacts", contacts_file, "--out", tmp_path / "out.mp4")
    assert told.status == Status.CANCELLED
    assert list(tmp_path.iterdir()) == []
