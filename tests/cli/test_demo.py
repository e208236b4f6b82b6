"""The made-up barn, on a film small enough to wait for."""

import io
import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from evenfall import demo
from evenfall.cli.app import run
from evenfall.cli.context import Context, Status
from evenfall.demo import BARN, as_marked, filling, horses, make_horse
from evenfall.errors import Cancelled, UnwritableOutput
from evenfall.flow import read_contacts
from evenfall.gait import Estimate
from evenfall.home import demo_folder
from evenfall.report.words import verdict
from evenfall.store import horses as record
from evenfall.store import jobs, open_barn, results
from evenfall.timebase import Timebase
from tests.barn import read_without_drawing
from tests.making import regular

SMALL = replace(BARN[0], scene=replace(BARN[0].scene, width=192, height=108, duration_s=3.0), earlier=())


@pytest.fixture(scope="module")
def barn(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("barn")
    make_horse(SMALL, folder)
    return folder


def test_a_horse_gets_film_contacts_pictures_and_reading(barn: Path) -> None:
    names = {path.name for path in (barn / "juniper").iterdir()}
    assert names == {f"juniper{end}" for end in (".mp4", ".contacts.csv", ".svg", ".png", ".json")}
    assert json.loads((barn / "juniper/juniper.json").read_text())["strides"] >= 3


def test_a_film_that_is_there_is_kept(barn: Path) -> None:
    film = barn / "juniper/juniper.mp4"
    before = film.stat().st_mtime_ns
    make_horse(SMALL, barn)
    assert film.stat().st_mtime_ns == before


def test_the_feet_are_marked_on_pictures(barn: Path) -> None:
    """As a careful person does: on the first picture that shows the foot down, or up."""
    for mark in read_contacts(barn / "juniper/juniper.contacts.csv"):
        assert mark.time_s * 60 == pytest.approx(round(mark.time_s * 60), abs=1e-3)


def test_marking_never_comes_before_the_event() -> None:
    truth = regular()
    clock = Timebase(0.007 + np.arange(600) / 60)
    for mark, seen in zip(truth, as_marked(truth, clock), strict=True):
        assert 0 <= seen.time_s - mark.time_s < 1 / 60 + 1e-9


@pytest.mark.parametrize("horse", BARN, ids=lambda horse: horse.name)
def test_every_horses_story_is_what_its_ride_reads_as(horse: demo.DemoHorse) -> None:
    """Without drawing: the ride's own contacts, marked on the film's pictures, read with the horse's goal."""
    expected = {
        "Juniper": ("diagonal", 1),
        "Biscuit": ("in band", 1),
        "Marble": ("lateral", 1),
        "Copper": ("in band", 1),
        "Sable": ("in band", 2),
        "Pilgrim": ("in band", 1),
        "Hazel": ("diagonal", 1),
    }
    reading = read_without_drawing(horse)
    assert (verdict(reading.main), len(reading.runs)) == expected[horse.name]
    assert isinstance(reading.main.timing.lateral_phase_pct["both"], Estimate)


def test_stopping_while_a_film_is_drawn_leaves_no_film(tmp_path: Path) -> None:
    def stop(share: float) -> None:
        if share > 0.2:
            raise Cancelled

    with pytest.raises(Cancelled):
        make_horse(SMALL, tmp_path, progress=stop)
    assert list(tmp_path.iterdir()) == []


def test_a_place_that_cannot_hold_a_barn_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(UnwritableOutput, match="could not be written"):
        make_horse(SMALL, tmp_path / "file")


def test_the_command_prints_each_horse_and_where_things_are(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(demo, "BARN", (SMALL,))
    monkeypatch.setattr(filling, "BARN", (SMALL,))
    context = Context(io.StringIO(), io.StringIO(), io.StringIO())
    assert run(["demo", "--home", str(tmp_path), "--no-serve"], context) == Status.MEASURED
    out = context.stdout.getvalue()  # type: ignore[attr-defined]
    assert "Juniper" in out
    assert SMALL.about.split(":")[0] in out
    assert "Trotty" in out
    assert str(tmp_path) in out


def test_the_barn_has_a_folder_of_its_own_unless_told() -> None:
    assert demo_folder(Path("here")) == Path("here")
    assert demo_folder(None).name == "demo-barn"


def test_the_barn_is_recorded_with_its_films_marks_and_works_and_once_only(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = demo.DemoOuting(7, BARN[0].earlier[0].ride, "first film")
    monkeypatch.setattr(filling, "BARN", (replace(SMALL, earlier=(before,)),))
    monkeypatch.setattr(horses, "EARLIER", replace(horses.EARLIER, width=192, height=108, duration_s=3.0))
    for _ in range(2):
        demo.fill_barn(tmp_path, date(2026, 5, 8))
    with open_barn(tmp_path) as barn:
        (horse,) = record.every(barn)
        days = [outing.on_date for _, _, outing in results.of_horse(barn, horse.id)]
        assert days == [date(2026, 5, 1), date(2026, 5, 8)]
        assert {job.kind for job in jobs.live(barn)} == {"proxy", "read"}
