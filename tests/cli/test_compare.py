"""``evenfall compare`` and ``evenfall answered`` as a person or a program runs them."""

import json
from datetime import date
from pathlib import Path

import pytest

from evenfall.cli.context import Status
from evenfall.flow.compare import compare_sides
from evenfall.progress import data_of
from evenfall.store import open_barn
from tests.cli.test_read import Told
from tests.flow.comparing import one_change, two_changes
from tests.flow.riding import filmed, horse, result_data
from tests.fresh import new_barn


@pytest.fixture
def home(tmp_path: Path) -> Path:
    with new_barn(tmp_path / "barn") as barn:
        one_change(barn)
    return tmp_path / "barn"


def test_a_person_is_told_the_verdict_first(home: Path) -> None:
    told = Told("compare", "setup:1", "setup:2", "--home", home)
    assert (told.status, told.err) == (Status.MEASURED, "")
    lines = told.out.splitlines()
    assert lines[0] == "Juniper: setup of 2 March 2026 against setup of 20 April 2026"
    assert lines[2].startswith("Real: 5.0 points toward pace (95 %: ")
    assert "Changed: hind shoes" in told.out


def test_with_json_stdout_holds_one_object_that_is_the_pages_own(home: Path) -> None:
    told = Told("compare", "setup:1", "setup:2", "--home", home, "--json")
    assert (told.status, told.err, told.out.count("\n")) == (Status.MEASURED, "", 1)
    with open_barn(home) as barn:
        page = compare_sides(barn, "setup:1", "setup:2", today=date.today())
    assert page.phase is not None
    assert told.data["comparison"] == json.loads(json.dumps(data_of(page.phase)))
    assert told.data["sentence"] == page.title
    assert [each["set_apart"] for each in told.data["before"]["films"]] == [
        True,
        True,
        True,
        False,
        False,
        False,
    ]
    assert told.data["which_end"]["end"] == "cannot tell"


def test_two_levers_are_warned_of(tmp_path: Path) -> None:
    with new_barn(tmp_path / "barn") as barn:
        two_changes(barn)
    told = Told("compare", "setup:1", "setup:2", "--home", tmp_path / "barn")
    assert "! 2 things were changed at once" in " ".join(told.out.split())


def test_a_film_without_an_answer_is_too_little_evidence(home: Path) -> None:
    with open_barn(home) as barn:
        clip = filmed(barn, horse(barn, "Aster"), days_ago=1)
        other = filmed(barn, horse(barn, "Zinnia"), days_ago=1)
    told = Told("compare", f"clip:{clip.id}", f"outing:{clip.outing_id}", "--home", home)
    assert told.status == Status.TOO_LITTLE_EVIDENCE
    assert "Too little evidence: what stands before" in told.err
    as_json = Told("compare", f"clip:{clip.id}", f"outing:{clip.outing_id}", "--home", home, "--json")
    assert (as_json.status, as_json.data["error"]["code"]) == (3, "too_little_evidence")
    assert as_json.data["comparison"] is None
    refused = Told("compare", f"clip:{clip.id}", f"clip:{other.id}", "--home", home)
    assert (refused.status, "one horse" in refused.err) == (Status.WRONG_USE, True)


def test_two_files_need_no_barn(tmp_path: Path) -> None:
    files = [tmp_path / "a.json", tmp_path / "b.json"]
    for file, phase in zip(files, (38.0, 28.0), strict=True):
        file.write_text(json.dumps({"schema": 1, **result_data(phase)}))
    told = Told("compare", *files, "--home", tmp_path / "nowhere")
    assert told.status == Status.MEASURED
    assert "taken on trust" in " ".join(told.out.split())
    assert "points toward pace" in told.out
    assert not (tmp_path / "nowhere").exists()


def test_what_is_no_side_and_no_barn_are_wrong_use(home: Path, tmp_path: Path) -> None:
    told = Told("compare", "setup:one", "setup:2", "--home", home)
    assert told.status == Status.WRONG_USE
    assert "expected clip:7, outing:3 or setup:2" in told.err
    nowhere = Told("compare", "setup:1", "setup:2", "--home", tmp_path / "nowhere")
    assert (nowhere.status, "there is no barn" in nowhere.err) == (Status.WRONG_USE, True)


def test_what_has_answered_is_told_with_what_it_stands_on(home: Path) -> None:
    told = Told("answered", "juniper", "--home", home, "--json")
    assert told.data["horse"] == {"id": 1, "name": "Juniper"}
    levers = {each["lever"]: each for each in told.data["effects"]}
    assert (levers["hind minus front"]["horses"], levers["hind minus front"]["changes"]) == (1, 1)
    assert levers["hind minus front"]["enough"] is False
    assert list(told.data["own"]) == ["1"]


def test_a_barn_where_nothing_changed_has_too_little_evidence(tmp_path: Path) -> None:
    with new_barn(tmp_path / "barn") as barn:
        horse(barn)
    told = Told("answered", "--home", tmp_path / "barn")
    assert told.status == Status.TOO_LITTLE_EVIDENCE
    assert "nothing has changed within any one horse yet" in " ".join(told.err.split())
    as_json = Told("answered", "--home", tmp_path / "barn", "--json")
    assert (as_json.status, as_json.data["error"]["code"]) == (3, "too_little_evidence")
    assert as_json.data["effects"] == []


def test_a_horse_that_is_not_there_is_wrong_use(home: Path) -> None:
    told = Told("answered", "Nobody", "--home", home)
    assert (told.status, "no horse 'Nobody'" in told.err) == (Status.WRONG_USE, True)


def test_what_has_answered_on_a_terminal(home: Path) -> None:
    told = Told("answered", "Juniper", "--home", home)
    assert "hind minus front" in told.out
    assert "not enough to" in told.out
