"""What the film page asks for, without a browser."""

from datetime import date
from html import unescape
from pathlib import Path
from shutil import copyfile
from typing import TYPE_CHECKING, Any

import pytest

from evenfall.contacts import Contacts, parse_contacts
from evenfall.shoeing import Foot, Setup, setup_data
from evenfall.store import Barn, clips, edits, horses, jobs, measures, outings, readings, results, setups
from evenfall.store.records import HorseFields, OutingFields, SetupFields
from tests.making import regular

if TYPE_CHECKING:
    from fastapi.testclient import TestClient


@pytest.fixture
def clip_id(barn: Barn, film: Path) -> int:
    part = copyfile(film, barn.home / "film.part")
    horse = horses.add(barn, HorseFields(name="Biscuit", goal="fox trot"))
    outing = outings.add(barn, OutingFields(horse_id=horse.id, on_date=date(2026, 5, 1)))
    return clips.keep(barn, part, name="Übung & more.mp4", outing_id=outing.id)[0].id


def acts(contacts: Contacts) -> dict[str, Any]:
    return {
        "acts": [
            {"op": f"o{n}", "act": "add", "id": f"m{n}", "limb": m.limb.value, "event": m.event.value, "time_s": m.time_s}
            for n, m in enumerate(contacts)
        ]
    }  # fmt: skip


def test_the_page_names_horse_day_and_film(client: "TestClient", clip_id: int) -> None:
    page = client.get(f"/film/{clip_id}").text
    assert "Biscuit" in page
    assert "1 May 2026" in page
    assert "Übung &amp; more.mp4" in page


def test_the_page_leads_to_what_leaves_the_barn(client: "TestClient", clip_id: int) -> None:
    page = client.get(f"/film/{clip_id}").text
    for address in (f"/film/{clip_id}/show", "/horses/1/sheets", "/horses/1/data", f"/film/{clip_id}/data"):
        assert f'href="{address}"' in page


def test_a_machines_reading_that_came_without_its_picture_of_the_ground_says_it_is_being_prepared(
    client: "TestClient", barn: Barn, clip_id: int
) -> None:
    readings.save_machine(barn, clip_id, regular(), method="m", version="1", settings={})
    told = client.get(f"/api/clips/{clip_id}/ground").json()
    assert told["to_come"] == "The picture of ground and time is being prepared. It comes here by itself."
    assert [(job.kind, job.state) for job in jobs.of_clip(barn, clip_id)] == [("read", "waiting")]


def test_toe_growth_on_the_day_stands_under_the_pictures(
    client: "TestClient", barn: Barn, clip_id: int
) -> None:
    assert "the toe has grown" not in client.get(f"/film/{clip_id}").text
    shod = Foot(shod_on=date(2026, 4, 3))
    worn = setup_data(Setup(lf=shod, rf=shod, lh=shod, rh=shod))
    setups.add(barn, SetupFields(horses.every(barn)[0].id, date(2026, 4, 3), worn))
    assert "All feet, 28 days since shoeing: the toe has grown" in unescape(
        client.get(f"/film/{clip_id}").text
    ).replace("\xa0", " ")


def test_a_flag_of_the_outing_stands_over_the_advice_and_closes_filming(
    client: "TestClient", barn: Barn, clip_id: int
) -> None:
    horse = horses.every(barn)[0].id
    flagged = outings.add(
        barn, OutingFields(horse_id=horse, on_date=date(2026, 5, 2), precheck=("shoe loose",), checked=True)
    )
    assert "Leave the horse alone" not in client.get(f"/film/{clip_id}").text
    clip = clips.get(barn, clip_id)
    fields = OutingFields(horse_id=horse, on_date=date(2026, 5, 1), precheck=("shoe loose",), checked=True)
    outings.change(barn, clip.outing_id, fields)
    assert (
        "raised: shoe loose. Leave the horse alone; vet or farrier first."
        in client.get(f"/film/{clip_id}").text
    )
    adding = client.get(f"/add?outing={flagged.id}").text
    assert "Leave the horse alone" in adding
    assert "Film now" not in adding


def test_a_film_that_is_not_there_is_a_404_in_plain_words(client: "TestClient") -> None:
    for address in ("/film/99", "/api/clips/99", "/api/clips/99/marks", "/api/clips/99/reading"):
        assert client.get(address).status_code == 404
    assert client.get("/api/clips/99").json()["error"]["code"] == "not_found"


def test_a_clip_says_what_a_page_must_know(client: "TestClient", clip_id: int) -> None:
    data = client.get(f"/api/clips/{clip_id}").json()
    assert (data["horse"]["name"], data["film"], data["others"], data["jobs"]) == ("Biscuit", None, [], [])


def test_marks_posted_come_back_with_a_revision_and_as_a_file(client: "TestClient", clip_id: int) -> None:
    marks = regular(n=7)
    answer = client.post(f"/api/clips/{clip_id}/marks", json=acts(marks)).json()
    assert (answer["revision"], len(answer["marks"])) == (1, len(marks))
    file = client.get(f"/api/clips/{clip_id}/marks.csv")
    assert file.headers["content-disposition"] == 'attachment; filename="-bung---more.contacts.csv"'
    read = parse_contacts(file.content)
    assert [mark.limb for mark in read] == [mark.limb for mark in marks]


def test_posting_the_same_acts_twice_changes_nothing(client: "TestClient", clip_id: int) -> None:
    body = acts(regular(n=3))
    once = client.post(f"/api/clips/{clip_id}/marks", json=body).json()
    assert client.post(f"/api/clips/{clip_id}/marks", json=body).json() == once


@pytest.mark.parametrize("change", [
    {"limb": "XX"}, {"act": "sing"}, {"time_s": "soon"}, {"id": ""}, {"op": "x" * 65}, {"limb": None},
])  # fmt: skip
def test_acts_that_are_none_are_refused_and_nothing_is_kept(
    client: "TestClient", clip_id: int, change: dict[str, Any]
) -> None:
    good, bad = acts(regular(n=1))["acts"][:2]
    answer = client.post(f"/api/clips/{clip_id}/marks", json={"acts": [good, {**bad, **change}]})
    assert 400 <= answer.status_code < 500
    assert answer.json()["error"]["message"]
    assert client.get(f"/api/clips/{clip_id}/marks").json()["marks"] == []


def test_the_answer_comes_without_charts_where_words_are_enough(client: "TestClient", clip_id: int) -> None:
    client.post(f"/api/clips/{clip_id}/marks", json=acts(regular(n=7, lateral_pct=35)))
    words = client.get(f"/api/clips/{clip_id}/reading?drawn=no").json()
    drawn = client.get(f"/api/clips/{clip_id}/reading?narrow=yes").json()
    assert words["charts"] == {}
    assert set(drawn["charts"]) == {"beat_line", "stride_clock", "footfall_bars"}
    assert {**drawn, "charts": {}} == words


def test_too_little_evidence_is_an_answer(client: "TestClient", clip_id: int) -> None:
    client.post(f"/api/clips/{clip_id}/marks", json=acts(Contacts(regular().marks[:3])))
    answer = client.get(f"/api/clips/{clip_id}/reading")
    assert answer.status_code == 200
    assert answer.json()["sentence"].startswith("Too little evidence")


def test_what_the_machine_saw_is_empty_before_it_looked(client: "TestClient", clip_id: int) -> None:
    ground = client.get(f"/api/clips/{clip_id}/ground").json()
    assert ground == {"charts": {}, "tables": {}, "sentence": "", "to_come": ""}
    assert client.get(f"/api/clips/{clip_id}/steadying").json() is None


def test_clicks_are_kept_summed_and_dropped(client: "TestClient", clip_id: int) -> None:
    points = {"poll": [10, 10], "nose": [20, 20], "picture": 3}
    kept = client.post(f"/api/clips/{clip_id}/measures", json={"kind": "head", "points": points}).json()
    (measure,) = kept["measures"]
    assert measure["says"] == "45°"
    gone = client.delete(f"/api/clips/{clip_id}/measures/{measure['id']}").json()
    assert gone["measures"] == []
    wrong = client.post(f"/api/clips/{clip_id}/measures", json={"kind": "head", "points": {"poll": [1, 1]}})
    assert wrong.status_code == 422
    assert "nose" in wrong.json()["error"]["message"]


def test_machine_marks_to_check_are_named(client: "TestClient", barn: Barn, clip_id: int) -> None:
    readings.save_machine(barn, clip_id, regular(n=2), method="t", version="1", settings={})
    data = client.get(f"/api/clips/{clip_id}/marks").json()
    assert {mark["by"] for mark in data["marks"]} == {"machine"}
    assert data["check"] == []


def test_marks_have_their_result_even_if_the_page_does_not_stay_to_ask(
    client: "TestClient", barn: Barn, clip_id: int
) -> None:
    client.post(f"/api/clips/{clip_id}/marks", json=acts(regular(n=7, lateral_pct=35)))
    kept = results.of_clip(barn, clip_id)
    assert kept is not None
    assert (kept.revision, kept.too_little) == (1, "")


def test_taking_a_measure_away_says_who_did(client: "TestClient", barn: Barn, clip_id: int) -> None:
    made = measures.add(barn, clip_id, "head", {"poll": [1, 1], "nose": [5, 5]})
    client.delete(f"/api/clips/{clip_id}/measures/{made.id}")
    assert edits.recent(barn, 1)[0].device == "this computer"


def test_a_films_true_rate_and_side_are_written_down_and_it_is_read_anew(
    client: "TestClient", barn: Barn, clip_id: int
) -> None:
    said = {"capture_fps": "240", "facing": "left"}
    answer = client.post(f"/film/{clip_id}/about", data=said, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/film/{clip_id}")
    clip = clips.get(barn, clip_id)
    assert (clip.capture_fps, clip.facing) == (240, "left")
    assert [job.kind for job in jobs.live(barn)] == ["read"]
    assert 'value="240"' in client.get(f"/film/{clip_id}").text


def test_saying_the_same_of_a_film_gives_no_work(client: "TestClient", barn: Barn, clip_id: int) -> None:
    client.post(f"/film/{clip_id}/about", data={"capture_fps": "", "facing": ""})
    assert jobs.live(barn) == ()


@pytest.mark.parametrize(
    ("field", "value"), [("capture_fps", "fast"), ("capture_fps", "0"), ("facing", "up")]
)
def test_what_cannot_be_so_of_a_film_is_told(
    client: "TestClient", barn: Barn, clip_id: int, field: str, value: str
) -> None:
    answer = client.post(f"/film/{clip_id}/about", data={field: value})
    assert answer.status_code in (400, 422)
    assert "Expected" in answer.text
    assert clips.get(barn, clip_id).capture_fps is None
