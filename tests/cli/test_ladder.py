"""``evenfall ladder`` as a person or a program runs it."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from evenfall.cli.context import Status
from evenfall.store import flags, open_barn
from evenfall.store.records import FlagFields
from tests.cli.test_read import Told
from tests.flow.climbing import climber, on_ladder
from tests.flow.riding import horse
from tests.fresh import new_barn


@pytest.fixture
def home(tmp_path: Path) -> Path:
    with new_barn(tmp_path / "barn") as barn:
        climber(barn, date.today())
        on_ladder(barn, horse(barn, "Aster"), since=date.today())
        horse(barn, "Zinnia")
    return tmp_path / "barn"


def test_a_person_is_told_the_step_the_proof_and_the_advice(home: Path) -> None:
    told = Told("ladder", "juniper", "--home", home)
    assert (told.status, told.err) == (Status.MEASURED, "")
    assert told.out.startswith("Juniper: step 2 of 3, Light hinds, since ")
    assert "Step down. The proof is complete." in told.out
    assert "then: Head level" in told.out


def test_with_json_stdout_holds_one_object_and_nothing_else(home: Path) -> None:
    told = Told("ladder", "Juniper", "--home", home, "--json")
    assert (told.status, told.err, told.out.count("\n")) == (Status.MEASURED, "", 1)
    assert told.data["schema"] == 1
    assert told.data["step"]["since"] == str(date.today() - timedelta(days=30))
    assert (told.data["advice"]["kind"], told.data["advice"]["next"]) == ("step down", "Head level")
    assert told.data["evidence"]["missing"] == []
    assert told.data["gate"]["open"] is True


def test_a_standing_flag_says_vet_or_farrier_first(home: Path) -> None:
    with open_barn(home) as barn:
        flags.raise_flag(barn, FlagFields(1, date.today(), "a tender foot", "LH"))
    told = Told("ladder", "Juniper", "--home", home, "--json")
    assert told.data["advice"]["kind"] == "stop"
    assert told.data["gate"]["reasons"] == [
        f"a tender foot (LH), flagged on {date.today().day} {date.today():%B %Y}"
    ]


def test_too_little_evidence_leaves_with_three_and_still_says_where_it_stands(home: Path) -> None:
    told = Told("ladder", "Aster", "--home", home, "--json")
    assert told.status == Status.TOO_LITTLE_EVIDENCE
    assert told.data["step"]["title"] == "Heavy hinds"
    assert told.data["evidence"]["share"] is None


@pytest.mark.parametrize(
    ("name", "words"), [("Zinnia", "has no ladder yet"), ("nobody", "there is no horse")]
)
def test_no_ladder_or_no_such_horse_is_said(home: Path, name: str, words: str) -> None:
    told = Told("ladder", name, "--home", home)
    assert (told.status, told.out) == (Status.WRONG_USE, "")
    assert words in told.err


def test_no_barn_there_is_said_and_none_is_made(tmp_path: Path) -> None:
    assert "there is no barn at" in Told("ladder", "Juniper", "--home", tmp_path / "none").err
    assert not (tmp_path / "none").exists()
