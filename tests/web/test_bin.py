from fastapi.testclient import TestClient

from evenfall.store import Barn, horses
from tests.flow import riding


def test_an_empty_bin_says_so(client: TestClient) -> None:
    assert "The bin is empty." in client.get("/bin").text


def test_what_was_thrown_away_is_listed_and_comes_back(client: TestClient, barn: Barn) -> None:
    bay = riding.horse(barn, "<i>Aster</i>")
    horses.delete(barn, bay.id)
    told = client.get("/bin").text
    assert "&lt;i&gt;Aster&lt;/i&gt;" in told
    answer = client.post("/bin/restore", data={"table": "horses", "row": bay.id})
    assert answer.headers["location"] == f"/horses/{bay.id}"
    assert [each.id for each in horses.every(barn)] == [bay.id]


def test_what_is_not_in_the_bin_cannot_be_taken_out(client: TestClient) -> None:
    assert client.post("/bin/restore", data={"table": "horses", "row": 7}).status_code == 404
    assert client.post("/bin/restore", data={"table": "settings", "row": 1}).status_code == 422


def test_another_site_cannot_take_anything_out(client: TestClient, barn: Barn) -> None:
    bay = riding.horse(barn)
    horses.delete(barn, bay.id)
    sent = {"Origin": "http://elsewhere.example", "Sec-Fetch-Site": "cross-site"}
    assert (
        client.post("/bin/restore", data={"table": "horses", "row": bay.id}, headers=sent).status_code == 403
    )
    assert horses.every(barn) == ()
