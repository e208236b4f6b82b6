"""``evenfall check`` as a person or a program runs it."""

import io
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from evenfall.cli.context import Context, Status
from evenfall.clip import Clip
from evenfall.contacts import Contacts
from evenfall.contacts.film import FilmFeet
from tests.cli.test_read import Terminal, Told
from tests.contacts.film.good_film import good_feet
from tests.making import even_ticks, regular, write_film


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A second of film in which something flickers and nothing goes by."""
    return write_film(tmp_path_factory.mktemp("empty") / "empty.mp4", even_ticks(30), size=(320, 180))


class Finder:
    """Finds the same feet in any film without a look at it, everything else good; remembers what it was asked."""

    def __init__(self, strides: int) -> None:
        self.strides = strides
        self.asked: list[dict[str, Any]] = []

    def __call__(self, clip: Clip, **wanted: Any) -> FilmFeet:
        self.asked.append({"clip": clip, **wanted})
        wanted["progress"](0.5)
        marks = (replace(mark, source="film") for mark in regular(n=self.strides))
        return replace(good_feet(), contacts=Contacts(marks))


@pytest.fixture
def finder(monkeypatch: pytest.MonkeyPatch) -> Finder:
    finder = Finder(strides=8)
    monkeypatch.setattr("evenfall.flow.films.find_feet", finder)
    return finder


def at_once(stdout: io.StringIO | None = None) -> Context:
    """A world in which no time passes, so that no bar comes."""
    return Context(io.StringIO(), stdout or io.StringIO(), io.StringIO(), clock=lambda: 0.0)


def test_a_film_that_can_be_read_leaves_with_zero(film: Path, finder: Finder) -> None:
    told = Told("check", film, "--facing", "left", context=at_once())
    assert (told.status, told.err) == (Status.MEASURED, "")
    assert told.out.startswith("plain.mp4: 360 pictures, 6.00 s")
    assert "This film can be read" in told.out
    assert finder.asked[0]["facing"] == "left"


def test_a_film_with_weak_points_leaves_with_zero_too(film: Path, finder: Finder) -> None:
    told = Told("check", film, "--capture-fps", "30", "--json")
    assert told.status == Status.MEASURED
    assert told.data["findings"][0]["code"] == "picture_interval"
    assert told.data["findings"][0]["severity"] == "weak"
    assert finder.asked[0]["clip"].timebase.playback_factor == pytest.approx(0.5)


def test_with_json_stdout_holds_one_object_and_nothing_else(film: Path, finder: Finder) -> None:
    told = Told("check", film, "--json", context=at_once())
    assert (told.status, told.err, told.out.count("\n")) == (Status.MEASURED, "", 1)
    assert (told.data["schema"], told.data["readable"], len(finder.asked)) == (1, True, 1)


def test_a_film_in_which_nothing_goes_by_leaves_with_three_and_says_why(empty: Path) -> None:
    data = Told("check", empty, "--json", context=at_once())
    told = Told("check", empty, context=at_once())
    assert data.status == told.status == Status.TOO_LITTLE_EVIDENCE
    assert data.data["readable"] is False
    assert data.data["error"]["code"] == "too_little_evidence"
    assert data.err == told.err == f"evenfall: too little evidence: {data.data['error']['message']}\n"
    assert "Too little evidence: " in told.out


def test_at_a_terminal_the_reason_is_told_once(empty: Path) -> None:
    told = Told("check", empty, context=at_once(Terminal()))
    assert told.status == Status.TOO_LITTLE_EVIDENCE
    assert "Too little evidence: " in told.out
    assert told.err == ""


def test_feet_found_for_too_few_strides_leave_with_three(film: Path, finder: Finder) -> None:
    """What `read` would not answer on, `check` does not call readable."""
    finder.strides = 1
    told = Told("check", film, "--json")
    assert told.status == Status.TOO_LITTLE_EVIDENCE
    assert (told.data["findings"][0]["code"], told.data["findings"][0]["severity"]) == ("strides", "spoils")
    assert len(finder.asked) == 1


def test_a_film_of_too_few_pictures_is_not_looked_into(tmp_path: Path, finder: Finder) -> None:
    slow = write_film(tmp_path / "slow.mp4", even_ticks(16, 8))
    told = Told("check", slow, "--json")
    assert told.status == Status.TOO_LITTLE_EVIDENCE
    assert told.data["findings"][0]["code"] == "picture_interval"
    assert told.data["findings"][0]["severity"] == "spoils"
    assert finder.asked == []


@pytest.mark.parametrize("flags", [[], ["--json"]], ids=["for a person", "as JSON"])
def test_what_is_no_film_leaves_with_two(tmp_path: Path, flags: list[str]) -> None:
    (tmp_path / "film.mp4").write_text("limb,event,time_s\n")
    told = Told("check", tmp_path / "film.mp4", *flags)
    assert told.status == Status.WRONG_USE
    assert "expected a film, found text" in told.err
    if flags:
        assert told.data["error"]["code"] == "unreadable_clip"


@pytest.mark.parametrize(
    "arguments", [[], ["film.mp4", "--facing", "up"], ["film.mp4", "--capture-fps", "fast"]]
)
def test_wrong_usage_leaves_with_two(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert Told("check", *arguments).status == Status.WRONG_USE
    assert "usage: evenfall check" in capsys.readouterr().err


def test_long_work_shows_a_bar_and_short_work_none(film: Path, finder: Finder) -> None:
    def context(seconds_a_look: float) -> Context:
        ticks = iter(range(10_000))
        return Context(io.StringIO(), io.StringIO(), Terminal(), clock=lambda: seconds_a_look * next(ticks))

    assert "looking at the film" in Told("check", film, context=context(2.0)).err
    assert "looking at the film" not in Told("check", film, context=context(0.0)).err
    assert len(finder.asked) == 2


def test_stopping_in_the_middle_of_the_look_is_clean(empty: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("evenfall.cli.progress.LateBar.__call__", stop)
    told = Told("check", empty)
    assert told.status == Status.CANCELLED
    assert told.err == "Stopped. Nothing half-made is left behind.\n"
    assert told.out == ""


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import io, sys; from evenfall.cli.app import run; from evenfall.cli.context import Context; "
        "run(['check', '--help'], Context(*[io.StringIO()] * 3)); "
        "print('LOADED', *[m for m in ('numpy', 'scipy', 'cv2', 'av', 'rich') if m in sys.modules])"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.splitlines()[-1].strip() == "LOADED"


def test_a_real_walk_that_goes_off_at_a_slant_is_told_so(shared_clips: Path) -> None:
    """Seen by eye: the horse of this film goes away from the camera; filmed at 15 pictures a second."""
    walk = shared_clips / "real" / "walk4.avi"
    if not walk.exists():
        pytest.skip("the real walks are not there")
    weak = {each["code"] for each in Told("check", walk, "--json").data["findings"] if each["advice"]}
    assert {"oblique", "picture_interval", "strides"} <= weak
    assert not weak & {"horse_width", "camera_followed", "sharpness", "legs_stand_out", "passing"}
