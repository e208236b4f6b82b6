"""Data out and in, on the pages."""

import zipfile
from io import BytesIO
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from playwright.sync_api import Page, expect

from evenfall.contacts import contacts_as_csv
from evenfall.flow.exporting import write_export
from evenfall.store import Barn, clips, horses, jobs, marks, readings, uploads
from evenfall.store.records import HorseFields
from tests.flow.keeping import kept
from tests.flow.leaving import leaving
from tests.fresh import new_barn
from tests.making import regular
from tests.web.looking import THEMES, assert_fit_for_all

CSV = contacts_as_csv(regular(lateral_pct=30).only(lambda mark: mark.time_s < 6)).encode()


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("&#39;", "'")


@pytest.fixture(scope="session")
def packed(film: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One horse of another barn."""
    folder = tmp_path_factory.mktemp("another")
    with new_barn(folder / "barn") as barn:
        left = leaving(barn, film)
        write_export(barn, left.horse.id, "horse", folder / "juniper.zip")
    return folder / "juniper.zip"


def sent_in(client: TestClient, content: bytes) -> str:
    """Send a file as the page does, and return where it is looked into."""
    told = client.post("/api/take-in", json={"key": "k", "name": "x.zip", "size": len(content)}).json()
    client.patch(f"/api/uploads/{told['id']}", content=content, headers={"Upload-Offset": "0"})
    return str(client.post(f"/api/take-in/{told['id']}/finish").json()["look"])


# out -------------------------------------------------------------------------------------------------------


def test_a_horse_page_leads_to_its_data_and_settings_to_taking_in(client: TestClient, barn: Barn) -> None:
    horse = horses.add(barn, HorseFields("Juniper"))
    assert f'href="/horses/{horse.id}/data"' in client.get(f"/horses/{horse.id}").text
    assert 'href="/take-in"' in client.get("/settings").text
    page = client.get(f"/horses/{horse.id}/data").text
    for kind in ("horse", "tables"):
        assert f'href="/horses/{horse.id}/data/{kind}.zip"' in page
    assert f'action="/horses/{horse.id}/data/study.zip"' in page


def test_a_study_copy_with_legs_is_asked_for_on_the_page(client: TestClient, barn: Barn) -> None:
    horse = horses.add(barn, HorseFields("Juniper"))
    assert '<option value="legs">' in client.get(f"/horses/{horse.id}/data").text
    answer = client.get(f"/horses/{horse.id}/data/study.zip?films=legs")
    package = zipfile.ZipFile(BytesIO(answer.content)).read("datapackage.json")
    assert b"Films show the legs alone" in package
    assert client.get(f"/horses/{horse.id}/data/study.zip?films=all").status_code == 422


@pytest.mark.parametrize(
    ("kind", "name", "part"),
    [
        ("horse", "evenfall-juniper.zip", "horse.json"),
        ("tables", "evenfall-juniper-tables.zip", "csv/horses.csv"),
        ("study", "evenfall-study.zip", "parquet/horses.parquet"),
    ],
)
def test_each_is_downloaded_with_its_length(
    client: TestClient, barn: Barn, kind: str, name: str, part: str
) -> None:
    horse = horses.add(barn, HorseFields("Juniper"))
    answer = client.get(f"/horses/{horse.id}/data/{kind}.zip")
    assert answer.headers["content-disposition"] == f'attachment; filename="{name}"'
    assert int(answer.headers["content-length"]) == len(answer.content)
    assert part in zipfile.ZipFile(BytesIO(answer.content)).namelist()


def test_another_kind_or_horse_is_not_there(client: TestClient, barn: Barn) -> None:
    horse = horses.add(barn, HorseFields("Juniper"))
    assert client.get(f"/horses/{horse.id}/data/all.zip").status_code == 422
    assert client.get("/horses/99/data/horse.zip").status_code == 404


# one horse in ----------------------------------------------------------------------------------------------


def test_what_is_inside_is_shown_and_taken_only_when_confirmed(
    client: TestClient, barn: Barn, packed: Path
) -> None:
    look = sent_in(client, packed.read_bytes())
    page = plain(client.get(look).text)
    assert '<h1 class="film-name">Juniper</h1>' in page
    for words in ("16 films", "3 setups", "originals of 16 of the films", "Take Juniper in"):
        assert words in page
    assert horses.every(barn) == ()
    answer = client.post(look)
    (horse,) = horses.every(barn)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/horses/{horse.id}")
    assert client.get(f"/horses/{horse.id}").status_code == 200
    film = clips.of_horse(barn, horse.id)[0]
    assert {job.kind for job in jobs.of_clip(barn, film.id)} == {"proxy", "read"}
    assert not list((barn.home / "incoming").iterdir())


def test_the_same_horse_again_is_told_and_nothing_doubled(
    client: TestClient, barn: Barn, packed: Path
) -> None:
    client.post(sent_in(client, packed.read_bytes()))
    look = sent_in(client, packed.read_bytes())
    page = plain(client.get(look).text)
    assert "Juniper is in this barn already" in page
    assert "Take Juniper in" not in page
    assert client.post(look).headers["location"] == f"/horses/{horses.every(barn)[0].id}"
    assert len(horses.every(barn)) == 1


def test_a_file_that_is_none_is_refused_in_words_and_thrown_away(client: TestClient, barn: Barn) -> None:
    look = sent_in(client, b"no zip")
    for answer in (client.get(look), client.post(look)):
        assert answer.status_code == 422
        assert "Nothing was taken in." in answer.text
    assert client.post(f"{look}/give-up").headers["location"] == "/take-in"
    assert client.get(look).status_code == 404
    assert not list((barn.home / "incoming").iterdir())


def test_a_film_on_its_way_is_not_given_up_here(client: TestClient, barn: Barn) -> None:
    horse = horses.add(barn, HorseFields("Juniper"))
    film = uploads.begin(barn, key="k", name="x.mp4", size=9, horse_id=horse.id)
    assert client.post(f"/take-in/{film.id}/give-up").status_code == 404
    assert uploads.get(barn, film.id).state == "open"


def test_another_site_takes_nothing_in(client: TestClient, packed: Path, barn: Barn) -> None:
    look = sent_in(client, packed.read_bytes())
    answer = client.post(look, headers={"Origin": "http://evil.example", "Sec-Fetch-Site": "cross-site"})
    assert answer.status_code == 403
    assert horses.every(barn) == ()


@pytest.mark.parametrize("width", [1280, 360])
def test_a_horse_is_chosen_looked_at_and_taken_in(page: Page, barn: Barn, packed: Path) -> None:
    page.goto("/settings")
    page.get_by_role("link", name="Take a horse in").click()
    assert_fit_for_all(page)
    page.locator("[data-part=choose]").set_input_files(packed)
    expect(page.get_by_role("heading", name="Juniper")).to_be_visible()
    assert_fit_for_all(page)
    page.get_by_role("button", name="Take Juniper in").press("Enter")
    expect(page.get_by_role("heading", name="Juniper")).to_be_visible()
    page.get_by_role("link", name="Data to take away").press("Enter")
    expect(page.get_by_role("heading", name="Data of Juniper")).to_be_visible()
    assert len(horses.every(barn)) == 1
    for theme in THEMES:
        page.evaluate("theme => document.documentElement.dataset.theme = theme", theme)
        assert_fit_for_all(page)


def test_a_file_on_its_way_is_given_up(page: Page, barn: Barn, tmp_path: Path) -> None:
    (tmp_path / "big.zip").write_bytes(bytes(3 * 2**20))
    page.route(
        "**/api/uploads/*", lambda route: None if route.request.method == "PATCH" else route.continue_()
    )
    page.goto("/take-in")
    with page.expect_request(lambda asked: asked.method == "PATCH"):
        page.locator("[data-part=choose]").set_input_files(tmp_path / "big.zip")
    expect(page.get_by_text("It is on its way.")).to_be_visible()
    with page.expect_response(lambda answer: answer.request.method == "DELETE"):
        page.get_by_role("button", name="Give up").click()
    expect(page.get_by_text("Given up; nothing of it was kept.")).to_be_visible()
    assert not list((barn.home / "incoming").iterdir())


# contacts --------------------------------------------------------------------------------------------------


def test_contacts_come_in_as_new_marks_and_out_as_they_came(
    client: TestClient, barn: Barn, film: Path
) -> None:
    clip = kept(barn, film)
    address = f"/film/{clip.id}/data"
    assert f'href="/api/clips/{clip.id}/marks.csv"' in client.get(address).text
    told = plain(client.post(address, files={"contacts": ("c.csv", CSV, "text/csv")}).text)
    assert f"{CSV.count(b'on,') + CSV.count(b'off,')} new marks added." in told
    assert client.get(f"/api/clips/{clip.id}/marks.csv").content == CSV
    again = plain(client.post(address, files={"contacts": ("c.csv", CSV, "text/csv")}).text)
    assert "No mark is new." in again


def test_contacts_that_cannot_be_are_refused_in_the_parsers_words(
    client: TestClient, barn: Barn, film: Path
) -> None:
    clip = kept(barn, film)
    wrong = b"limb,event,time_s\nLF,on,1\nNF,on,2\n"
    answer = client.post(f"/film/{clip.id}/data", files={"contacts": ("c.csv", wrong, "text/csv")})
    assert answer.status_code == 422
    assert "expected a limb LF, RF, LH or RH, found" in plain(answer.text)
    assert "Nothing was added." in answer.text
    assert marks.of(barn, readings.person(barn, clip.id).id) == ()
    assert client.post(f"/film/{clip.id}/data").status_code == 422
    assert client.post("/film/99/data", files={"contacts": ("c.csv", CSV, "text/csv")}).status_code == 404


@pytest.mark.parametrize("width", [1280, 360])
def test_a_films_contacts_page_is_fit_for_all(page: Page, barn: Barn, film: Path, tmp_path: Path) -> None:
    clip = kept(barn, film, name="a-rather-long-name-of-a-film-that-nobody-would-ever-shorten-by-hand.mp4")
    (tmp_path / "c.csv").write_bytes(CSV)
    page.goto("/horses/1/data")
    page.get_by_text("1 film", exact=True).press("Enter")
    assert_fit_for_all(page)
    page.get_by_role("link", name="Contacts of").press("Enter")
    assert_fit_for_all(page)
    page.get_by_label("Contacts file (CSV)").set_input_files(tmp_path / "c.csv")
    page.get_by_role("button", name="Add its marks").press("Enter")
    expect(page.get_by_role("status")).to_contain_text("new marks added")
    assert_fit_for_all(page)
    assert marks.of(barn, readings.person(barn, clip.id).id)
