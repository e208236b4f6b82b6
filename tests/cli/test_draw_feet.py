"""``evenfall draw`` without a contacts file: from the feet found in the film."""

import io
from pathlib import Path

import pytest

from evenfall.cli.app import run
from evenfall.cli.context import Context, Status
from evenfall.contacts.film import FilmFeet
from evenfall.flow import films
from tests.report.charts.ridden import made_feet


def told(*arguments: object) -> tuple[int, str]:
    context = Context(io.StringIO(), io.StringIO(), io.StringIO())
    status = run([str(argument) for argument in arguments], context)
    return status, context.stderr.getvalue()  # type: ignore[attr-defined]


def with_feet(monkeypatch: pytest.MonkeyPatch, feet: FilmFeet) -> None:
    """Put made-up feet in the place of what a search of the film would find."""
    monkeypatch.setattr(films, "find_feet", lambda *_, **__: feet)


@pytest.mark.parametrize("flags", [["--feet"], ["--feet", "--narrow"], []], ids=" ".join)
def test_the_feet_found_in_the_film_are_drawn(
    flags: list[str], film: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with_feet(monkeypatch, made_feet(seconds=5.0))
    picture = tmp_path / "feet.svg"
    status, err = told("draw", film, *flags, "-o", picture)
    assert status == Status.MEASURED
    assert f"Drawn: {picture}" in err
    assert ("upright bar" in picture.read_text()) is ("--feet" in flags)


def test_feet_that_cannot_be_told_are_drawn_and_the_status_says_so(
    film: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with_feet(monkeypatch, made_feet(refused="which feet are the near ones cannot be told"))
    status, err = told("draw", film, "--feet", "-o", tmp_path / "feet.png")
    assert status == Status.TOO_LITTLE_EVIDENCE
    assert "too little evidence: which feet are the near ones cannot be told" in err
    assert (tmp_path / "feet.png").read_bytes().startswith(b"\x89PNG")


def test_a_film_without_a_horse_gives_no_picture(film: Path, tmp_path: Path) -> None:
    status, err = told("draw", film, "--feet", "-o", tmp_path / "feet.svg")
    assert status == Status.TOO_LITTLE_EVIDENCE
    assert "nothing to draw" in err
    assert list(tmp_path.iterdir()) == []


def test_marked_contacts_are_not_what_the_film_shows(film: Path, contacts_file: Path, tmp_path: Path) -> None:
    status, err = told("draw", film, "--contacts", contacts_file, "--feet", "-o", tmp_path / "feet.svg")
    assert status == Status.WRONG_USE
    assert "leave --contacts out" in err
