"""What a person is told when something cannot be done."""

from fastapi.testclient import TestClient

from evenfall.store import Barn, horses, outings, settings
from tests.web.arriving import an_outing


def test_a_slip_in_an_address_is_told_without_the_machines_words(client: TestClient) -> None:
    answer = client.get("/outings/new")
    assert answer.status_code == 422
    assert "This address is not complete or has a slip: horse. Go back and choose it again." in answer.text
    assert "Field required" not in answer.text


def test_a_film_for_a_horse_in_the_bin_is_told_where_the_horse_is(client: TestClient, barn: Barn) -> None:
    outing = an_outing(barn)
    horses.delete(barn, outings.get(barn, outing).horse_id)
    answer = client.get(f"/add?outing={outing}")
    assert answer.status_code == 404
    assert "lies in the bin" in answer.text
    assert '<a class="button" href="/bin">' in answer.text


def test_a_phone_with_an_old_code_is_offered_no_way_it_may_not_go(stranger: TestClient, barn: Barn) -> None:
    settings.change(barn, {"pairing": True}, by="test")
    told = stranger.post("/pair/an-old-code", data={"name": "Anna's phone"})
    assert told.status_code == 403
    assert "Expected a pairing code that is still good" in told.text
    assert "To the board" not in told.text
    assert "events.js" not in told.text
