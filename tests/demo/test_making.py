"""One made-up horse's film, drawn, marked, read, with everything written beside it."""

import json
from pathlib import Path

import numpy as np
import pytest

from evenfall.demo import as_marked, make_horse
from evenfall.errors import Cancelled, UnwritableOutput
from evenfall.flow import read_contacts
from evenfall.timebase import Timebase
from tests.demo.small import SMALL
from tests.making import regular


def test_a_horse_gets_film_contacts_pictures_and_reading(made: Path) -> None:
    names = {path.name for path in (made / "juniper").iterdir()}
    assert names == {f"juniper{end}" for end in (".mp4", ".contacts.csv", ".svg", ".png", ".json")}
    assert json.loads((made / "juniper/juniper.json").read_text())["strides"] >= 3


def test_a_film_that_is_there_is_kept(made: Path) -> None:
    film = made / "juniper/juniper.mp4"
    before = film.stat().st_mtime_ns
    make_horse(SMALL, made)
    assert film.stat().st_mtime_ns == before


def test_the_feet_are_marked_on_pictures(made: Path) -> None:
    """As a careful person does: on the first picture that shows the foot down, or up."""
    for mark in read_contacts(made / "juniper/juniper.contacts.csv"):
        assert mark.time_s * 60 == pytest.approx(round(mark.time_s * 60), abs=1e-3)


def test_marking_never_comes_before_the_event() -> None:
    truth = regular()
    clock = Timebase(0.007 + np.arange(600) / 60)
    for mark, seen in zip(truth, as_marked(truth, clock), strict=True):
        assert 0 <= seen.time_s - mark.time_s < 1 / 60 + 1e-9


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
