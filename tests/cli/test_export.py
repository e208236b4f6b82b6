"""``evenfall export`` and ``evenfall take-in``, as a person runs them."""

import zipfile
from pathlib import Path

import pytest

from evenfall.cli.context import Status
from evenfall.store import horses, open_barn
from tests.cli.test_read import Told
from tests.fresh import new_barn
from tests.store.keeping import a_clip, a_horse, an_outing


@pytest.fixture
def home(tmp_path: Path) -> Path:
    with new_barn(tmp_path / "barn") as barn:
        a_clip(barn, outing=an_outing(barn, a_horse(barn)))
    return tmp_path / "barn"


def test_a_horse_leaves_one_barn_and_comes_into_another(home: Path, tmp_path: Path) -> None:
    out, other = tmp_path / "dusty.zip", tmp_path / "other"
    new_barn(other).close()
    told = Told("export", "dusty", "--out", out, "--home", home)
    assert (told.status, told.err) == (Status.MEASURED, "")
    assert told.out == f"Dusty, {out.stat().st_size} bytes: {out}\n"
    assert (
        Told("take-in", "--look", out, "--home", other).out
        == "Dusty: 1 outing, 1 film, originals of 1 of the films, about 1 MB\n"
    )
    assert Told("take-in", out, "--home", other).out == "Dusty is in this barn now, as horse 1.\n"
    assert Told("take-in", out, "--home", other).out.startswith("Dusty is in this barn already, as horse 1")
    with open_barn(other) as barn:
        assert [horse.name for horse in horses.every(barn)] == ["Dusty"]


@pytest.mark.parametrize(
    ("option", "words"), [("--tables", "Dusty's tables, "), ("--study", "a study copy, ")]
)
def test_tables_and_a_study_copy_are_no_horse_to_take_in(
    home: Path, tmp_path: Path, option: str, words: str
) -> None:
    out = tmp_path / "x.zip"
    assert Told("export", "1", option, "--out", out, "--home", home).out.startswith(words)
    assert "datapackage.json" in zipfile.ZipFile(out).namelist()
    told = Told("take-in", out, "--home", home)
    assert told.status == Status.WRONG_USE
    assert "expected one horse as Evenfall writes it" in told.err


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("export", "Nobody", "--out", "x.zip"), "there is no horse 'Nobody'"),
        (("take-in", "nothing-there.zip"), "nothing-there.zip"),
    ],
)
def test_what_is_not_there_is_told(home: Path, arguments: tuple[str, ...], words: str) -> None:
    told = Told(*arguments, "--home", home)
    assert told.status == Status.WRONG_USE
    assert words in told.err


def test_no_barn_is_made_by_taking_in(tmp_path: Path) -> None:
    told = Told("take-in", tmp_path / "x.zip", "--home", tmp_path / "none")
    assert told.status == Status.WRONG_USE
    assert not (tmp_path / "none").exists()


def test_films_of_the_legs_go_with_a_study_copy_and_what_cannot_is_told(home: Path, tmp_path: Path) -> None:
    out = tmp_path / "x.zip"
    told = Told("export", "1", "--study", "--films", "legs", "--out", out, "--home", home)
    assert told.status == Status.MEASURED
    assert "Film 1 is left out: its original is not there or cannot be decoded" in told.out
    told = Told("export", "1", "--films", "legs", "--out", out, "--home", home)
    assert told.status == Status.WRONG_USE
    assert "are for a study copy" in told.err
