"""Films come in whole or not at all, in pieces that may break off."""

import shutil
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from evenfall.flow.intake import LARGEST
from evenfall.store import Barn, clips, horses, jobs, outings
from evenfall.web.security import CHUNK
from tests.making import even_ticks, write_film
from tests.web.arriving import an_outing, begun, piece


@pytest.fixture
def small(tmp_path: Path) -> bytes:
    return write_film(tmp_path / "small.mp4", even_ticks(20)).read_bytes()


def sent(client: TestClient, outing: int, film: bytes) -> str:
    """A film all of whose bytes are here."""
    upload: str = begun(client, outing, len(film))["id"]
    assert piece(client, upload, 0, film).json() == {"offset": len(film)}
    return upload


def test_a_film_sent_in_pieces_is_kept_and_its_works_begin(
    client: TestClient, barn: Barn, small: bytes
) -> None:
    upload = begun(client, an_outing(barn), len(small))["id"]
    half = len(small) // 2
    assert piece(client, upload, 0, small[:half]).json() == {"offset": half}
    assert piece(client, upload, half, small[half:]).json() == {"offset": len(small)}
    told = client.post(f"/api/uploads/{upload}/finish").json()
    clip = clips.get(barn, told["clip"])
    assert clips.original(barn, clip).read_bytes() == small
    assert (clip.name, told["duplicate"]) == ("ride.mp4", False)
    assert [job.kind for job in jobs.live(barn)] == ["proxy", "read"]


def test_the_same_film_begun_again_goes_on_where_it_was(client: TestClient, barn: Barn, small: bytes) -> None:
    outing = an_outing(barn)
    first = begun(client, outing, len(small))
    piece(client, first["id"], 0, small[:100])
    assert begun(client, outing, len(small)) == {"id": first["id"], "offset": 100, "size": len(small)}


def test_a_piece_in_the_wrong_place_is_told_the_right_one(
    client: TestClient, barn: Barn, small: bytes
) -> None:
    upload = begun(client, an_outing(barn), len(small))["id"]
    piece(client, upload, 0, small[:100])
    for offset in (0, 50, 200):
        answer = piece(client, upload, offset, b"x")
        assert (answer.status_code, answer.json()["offset"]) == (409, 100)


def test_the_same_film_twice_is_kept_once(client: TestClient, barn: Barn, small: bytes) -> None:
    outing = an_outing(barn)
    told = [client.post(f"/api/uploads/{sent(client, outing, small)}/finish").json() for _ in range(2)]
    assert told[0]["clip"] == told[1]["clip"]
    assert [each["duplicate"] for each in told] == [False, True]


def test_a_film_finished_twice_is_one_film(client: TestClient, barn: Barn, small: bytes) -> None:
    upload = sent(client, an_outing(barn), small)
    told = [client.post(f"/api/uploads/{upload}/finish").json() for _ in range(2)]
    assert told[0] == told[1]
    assert len(jobs.live(barn)) == 2


def test_what_is_no_film_is_refused_by_its_name_and_nothing_kept(client: TestClient, barn: Barn) -> None:
    answer = client.post(f"/api/uploads/{sent(client, an_outing(barn), b'limb,event,time_s')}/finish")
    assert answer.status_code == 422
    assert answer.json()["error"]["message"].startswith("ride.mp4: expected a film, found text")
    assert not [
        path for path in barn.home.rglob("*") if path.is_file() and path.parent.parent.name == "originals"
    ]
    assert list((barn.home / "incoming").iterdir()) == []


def test_a_film_cut_off_is_refused(client: TestClient, barn: Barn, small: bytes) -> None:
    answer = client.post(f"/api/uploads/{sent(client, an_outing(barn), small[: len(small) // 2])}/finish")
    assert answer.status_code == 422
    assert "cut off" in answer.json()["error"]["message"]


def test_a_film_of_which_some_is_missing_is_not_finished(
    client: TestClient, barn: Barn, small: bytes
) -> None:
    upload = begun(client, an_outing(barn), len(small))["id"]
    piece(client, upload, 0, small[:100])
    assert client.post(f"/api/uploads/{upload}/finish").status_code in (409, 422)
    assert client.get(f"/api/uploads/{upload}").json()["offset"] == 100


def test_a_film_given_up_leaves_nothing(client: TestClient, barn: Barn, small: bytes) -> None:
    upload = begun(client, an_outing(barn), len(small))["id"]
    piece(client, upload, 0, small[:100])
    assert client.delete(f"/api/uploads/{upload}").status_code == 200
    assert list((barn.home / "incoming").iterdir()) == []


@pytest.mark.parametrize("size", [0, -1, LARGEST + 1, 2**70])
def test_an_empty_or_huge_film_is_refused_before_it_is_sent(
    client: TestClient, barn: Barn, size: int
) -> None:
    told = {"key": "k", "name": "ride.mp4", "size": size, "outing": an_outing(barn)}
    answer = client.post("/api/uploads", json=told)
    assert answer.status_code == 422
    assert "4 GB" in answer.json()["error"]["message"]


def disk_with(monkeypatch: pytest.MonkeyPatch, free: int) -> None:
    disk = shutil.disk_usage("/")._replace(free=free)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: disk)


def test_a_film_for_which_there_is_no_room_is_refused_before_it_is_sent(
    client: TestClient, barn: Barn, monkeypatch: pytest.MonkeyPatch
) -> None:
    disk_with(monkeypatch, 2_000_000_000)
    told = {"key": "k", "name": "ride.mp4", "size": 1_900_000_000, "outing": an_outing(barn)}
    answer = client.post("/api/uploads", json=told)
    assert answer.status_code == 507
    assert "found 2.0 GB, so this was not begun" in answer.json()["error"]["message"]
    assert list((barn.home / "incoming").iterdir()) == []
    assert client.post("/api/uploads", json={**told, "size": 1_000_000_000}).status_code == 200


def test_a_film_of_the_largest_size_is_taken(
    client: TestClient, barn: Barn, monkeypatch: pytest.MonkeyPatch
) -> None:
    disk_with(monkeypatch, 2 * LARGEST)
    assert begun(client, an_outing(barn), LARGEST)["size"] == LARGEST


def test_a_piece_that_is_too_long_is_refused(
    client: TestClient, barn: Barn, monkeypatch: pytest.MonkeyPatch
) -> None:
    disk_with(monkeypatch, 2 * LARGEST)
    upload = begun(client, an_outing(barn), LARGEST)["id"]
    assert piece(client, upload, 0, bytes(CHUNK)).status_code == 200
    assert piece(client, upload, CHUNK, bytes(CHUNK + 1)).status_code == 413
    assert client.get(f"/api/uploads/{upload}").json()["offset"] == CHUNK


def test_more_than_was_announced_is_refused(client: TestClient, barn: Barn) -> None:
    upload = begun(client, an_outing(barn), 10)["id"]
    assert piece(client, upload, 0, b"x" * 11).status_code == 422
    assert client.get(f"/api/uploads/{upload}").json()["offset"] == 0


@pytest.mark.parametrize(
    "name", ["../../etc/cron.d/x.mp4", "C:\\x\\x.mp4", "/x.mp4", "a\x1b[2Jx.mp4", "…/x.mp4"]
)
def test_a_name_with_tricks_is_only_ever_shown(
    client: TestClient, barn: Barn, small: bytes, name: str
) -> None:
    upload = begun(client, an_outing(barn), len(small), name=name)["id"]
    piece(client, upload, 0, small)
    clip = clips.get(barn, client.post(f"/api/uploads/{upload}/finish").json()["clip"])
    assert clip.name.endswith("x.mp4")
    assert not set(clip.name) & set("/\\\x1b")
    assert clips.original(barn, clip).name == f"{clip.sha256}.mp4"


def test_an_unknown_upload_or_outing_is_not_here(client: TestClient) -> None:
    assert client.get("/api/uploads/nothing").status_code == 404
    assert client.get("/api/uploads/..%2F..%2Fbarn").status_code == 404
    told = {"key": "k", "name": "ride.mp4", "size": 9, "outing": 77}
    assert client.post("/api/uploads", json=told).status_code == 404


def test_the_outing_is_made_by_a_plain_form(client: TestClient, barn: Barn) -> None:
    answer = client.post("/add/outing", data={"new_horse": " Biscuit ", "on_date": "2026-05-03"})
    assert [horse.name for horse in horses.every(barn)] == ["Biscuit"]
    (outing,) = outings.every(barn)
    assert answer.headers["location"] == f"/add?outing={outing.id}#films"
    assert "Biscuit" in client.get(f"/add?outing={outing.id}").text


def test_a_horses_outing_of_that_day_is_taken_again(client: TestClient, barn: Barn) -> None:
    outing = outings.get(barn, an_outing(barn))
    told = {"horse": str(outing.horse_id), "on_date": outing.on_date.isoformat()}
    assert client.post("/add/outing", data=told).headers["location"] == f"/add?outing={outing.id}#films"


def test_neither_a_horse_nor_a_new_one_is_told_what_to_do(client: TestClient) -> None:
    answer = client.post("/add/outing", data={"on_date": "2026-05-03"})
    assert answer.status_code == 422
    assert "Choose one, or write a new one" in answer.text
