from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from playwright.sync_api import Page, expect

from evenfall.clip import open_clip
from evenfall.clip import proxy as proxies
from evenfall.flow.clips import make_proxy, proxy_path
from evenfall.store import Barn, answers, readings, results
from evenfall.store.records import ClipRecord
from tests.flow import riding
from tests.flow.keeping import kept
from tests.web.looking import barriers, wait_until

NAME = "Juniper"


@pytest.fixture(scope="module")
def light(film: Path, tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The plain film, light to step through: made once."""
    made = tmp_path_factory.mktemp("light") / "proxy.mp4"
    proxies.make_proxy(open_clip(film), made)
    return made.read_bytes()


@pytest.fixture
def clip(barn: Barn, film: Path, light: bytes) -> ClipRecord:
    """A plain film that can be played, with the answer of a fox trot."""
    record = kept(barn, film, name=f"{NAME} in May.mp4")
    proxy_path(barn, record).write_bytes(light)
    make_proxy(barn, record.id)
    results.save(barn, record.id, riding.result_data(38), 0)
    return record


def test_without_films_it_says_what_would_make_one(client: TestClient) -> None:
    assert "no film yet whose answer is clear" in client.get("/practice?ask=beat").text
    assert "no film of this barn has an answer yet" in client.get("/blind").text


def test_a_question_hides_whose_film_it_is_and_what_it_measures(client: TestClient, clip: ClipRecord) -> None:
    told = client.get("/practice?ask=beat&reader=Ann").text
    assert f'value="{clip.id}"' in told
    assert NAME not in told
    assert "38.0" not in told


def test_an_answer_is_kept_and_told(client: TestClient, barn: Barn, clip: ClipRecord) -> None:
    sent = {"kind": "beat", "clip": clip.id, "at": 0, "said": "even", "reader": "Ann"}
    answer = client.post("/practice", data=sent)
    told = client.get(answer.headers["location"]).text
    assert "Not so, that film was trotty, lateral phase 38.0\u00a0% (37.0 to 39.0)." in told
    assert "0 of 1 right" in told
    assert [each.right for each in answers.of_reader(barn, "Ann")] == [False]


def test_an_answer_that_is_none_is_refused(client: TestClient, clip: ClipRecord) -> None:
    sent = {"kind": "beat", "clip": clip.id, "at": 0, "said": "square", "reader": "Ann"}
    assert client.post("/practice", data=sent).status_code == 422


def test_the_picture_of_a_landing_is_a_picture(client: TestClient, clip: ClipRecord) -> None:
    answer = client.get(f"/practice/picture/{clip.id}/1500000.jpg")
    assert answer.headers["content-type"] == "image/jpeg"
    assert answer.content.startswith(b"\xff\xd8")
    assert answer.content != client.get(f"/practice/picture/{clip.id}/3200000.jpg").content


def test_the_picture_of_a_film_not_made_ready_is_told(client: TestClient, barn: Barn) -> None:
    waiting = riding.filmed(barn, riding.horse(barn), days_ago=1)
    assert client.get(f"/practice/picture/{waiting.id}/0.jpg").status_code == 404


@pytest.mark.usefixtures("clip")
def test_a_blind_session_goes_from_film_to_film(client: TestClient, barn: Barn) -> None:
    bay = riding.horse(barn, "Bramble")
    riding.answered(barn, bay, days_ago=1, phase=25)
    seen = []
    answer = client.post("/blind", data={"reader": "Ann", "seed": 5})
    for place in range(2):
        told = client.get(answer.headers["location"]).text
        assert f"Film {place + 1} of 2" in told
        assert NAME not in told
        assert "Bramble" not in told
        seen.append(told.split('data-clip="')[1].split('"')[0])
        answer = client.post("/blind", data={"reader": "Ann", "seed": 5, "place": place + 1})
    assert len(set(seen)) == 2
    assert answer.headers["location"].startswith("/blind?")


def test_blind_marks_are_posted_as_a_films_marks_are(
    client: TestClient, barn: Barn, clip: ClipRecord
) -> None:
    reading = readings.begin_blind(barn, clip.id, "Ann")
    act = {"op": "1", "act": "add", "id": "m", "limb": "LF", "event": "on", "time_s": 1.0}
    told = client.post(f"/api/readings/{reading.id}/marks", json={"acts": [act]}).json()
    assert [(mark["id"], mark["limb"], mark["by"]) for mark in told["marks"]] == [("m", "LF", "person")]
    assert told == client.get(f"/api/readings/{reading.id}/marks").json()
    assert "With the reading that counts" in client.get(f"/blind/{reading.id}/agreement").text


def test_a_film_nobody_marked_shows_no_agreement_and_stays_blind(
    client: TestClient, barn: Barn, clip: ClipRecord
) -> None:
    reading = readings.begin_blind(barn, clip.id, "Ann")
    told = client.get(f"/blind/{reading.id}/agreement?seed=5").text
    assert f'href="/blind/{reading.id}?seed=5&amp;place=0">Mark this film</a>' in told
    assert "With the reading that counts" not in told
    assert f"/film/{clip.id}" not in told


def test_a_persons_marks_cannot_be_had_that_way(client: TestClient, barn: Barn, clip: ClipRecord) -> None:
    person = readings.person(barn, clip.id)
    assert client.get(f"/api/readings/{person.id}/marks").status_code == 404
    assert client.get(f"/blind/{person.id}").status_code == 404


@pytest.mark.parametrize("width", [1280, 360])
def test_a_film_is_marked_blind_by_keys_and_pads(
    page: Page, barn: Barn, clip: ClipRecord, width: int
) -> None:
    reading = readings.begin_blind(barn, clip.id, "Ann")
    page.goto(f"/blind/{reading.id}")
    page.wait_for_selector("[data-blind-page][data-ready]")
    page.keyboard.press("f")
    page.get_by_role("button", name="On", exact=False).first.click()
    page.locator("[data-limb=RH]").click()
    expect(page.get_by_text("right hind landing at")).to_be_visible()
    expect(page.locator("[data-part=saved]")).to_have_text("Saved")
    wait_until(
        page, f"fetch('/api/readings/{reading.id}/marks').then(r => r.json()).then(d => d.marks.length === 2)"
    )
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert barriers(page) == []


@pytest.mark.usefixtures("clip")
def test_practice_is_answered_by_a_number_key(page: Page, barn: Barn) -> None:
    page.goto("/practice?ask=beat&reader=Ann")
    expect(page.get_by_role("button", name="trotty")).to_be_visible()
    page.keyboard.press("1")
    expect(page.get_by_text("1 of 1 right")).to_be_visible()
    assert [each.right for each in answers.of_reader(barn, "Ann")] == [True]
