"""``evenfall read`` without contacts: the feet are found in the film, or it is said why not."""

from pathlib import Path

import pytest

from evenfall.cli.context import Status
from tests.cli.test_read import Told
from tests.contacts.film import films


@pytest.fixture(scope="module")
def field(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return films.empty_field(tmp_path_factory.mktemp("field") / "field.mp4", panned=True)


def test_a_film_without_a_horse_ends_with_three_and_the_reason(field: Path) -> None:
    told = Told("read", field, "--json")
    assert told.status == Status.TOO_LITTLE_EVIDENCE
    assert told.data["contacts"] == []
    assert "no horse" in told.err


def test_a_reading_of_the_film_alone_is_one_object(shared_clips: Path) -> None:
    told = Told("read", shared_clips / "c_rack.mp4", "--json")
    assert told.status == Status.MEASURED
    answer = told.data
    assert answer["clip"]["facing"] == "left"
    assert {mark["source"] for mark in answer["contacts"]} >= {"film", "film+sound"}
    assert answer["gait"]["zone"] == "lateral sequence singlefoot"


def test_a_tap_without_a_sensor_is_wrong_use(field: Path) -> None:
    told = Told("read", field, "--tap", 1, 2)
    assert told.status == Status.WRONG_USE
    assert "--sensor" in told.err
