"""Films as files, and the script that draws charts."""

from pathlib import Path

from fastapi.testclient import TestClient

from evenfall.flow.clips import proxy_path
from evenfall.store import Barn, clips, jobs
from evenfall.store.records import ClipRecord
from tests.web.arriving import an_outing


def a_clip(barn: Barn) -> ClipRecord:
    part = barn.home / "incoming" / "x.part"
    part.write_bytes(b"0123456789")
    return clips.keep(barn, part, name="ride.mp4", outing_id=an_outing(barn))[0]


def with_proxy(barn: Barn) -> ClipRecord:
    clip = a_clip(barn)
    proxy_path(barn, clip).write_bytes(b"abcdefghij")
    return clip


def test_any_part_of_a_film_can_be_asked_for(client: TestClient, barn: Barn) -> None:
    address = f"/api/clips/{with_proxy(barn).id}/film"
    assert client.get(address).content == b"abcdefghij"
    part = client.get(address, headers={"range": "bytes=2-4"})
    assert (part.status_code, part.content) == (206, b"cde")
    assert part.headers["content-range"] == "bytes 2-4/10"
    assert client.get(address, headers={"range": "bytes=-3"}).content == b"hij"
    assert client.get(address, headers={"range": "bytes=50-"}).status_code == 416


def test_a_film_that_is_being_made_ready_says_how_far_it_is(client: TestClient, barn: Barn) -> None:
    clip = a_clip(barn)
    jobs.add(barn, clip.id, "proxy")
    job = jobs.claim(barn, "worker")
    assert job is not None
    jobs.beat(barn, job.id, "worker", 0.4, "")
    answer = client.get(f"/api/clips/{clip.id}/film")
    assert answer.status_code == 404
    assert answer.json()["error"]["message"] == "ride.mp4 is being made ready to step through: 40% is done."


def test_a_film_that_could_not_be_made_ready_says_why(client: TestClient, barn: Barn) -> None:
    clip = a_clip(barn)
    clips.failed(barn, clip.id, "its index is missing.")
    assert "its index is missing" in client.get(f"/api/clips/{clip.id}/film").json()["error"]["message"]


def test_what_was_made_of_a_film_and_thrown_away_is_made_again(client: TestClient, barn: Barn) -> None:
    clip = with_proxy(barn)
    clips.ready(barn, clip.id)
    proxy_path(barn, clip).unlink()
    assert client.get(f"/api/clips/{clip.id}/film").status_code == 404
    assert {job.kind for job in jobs.live(barn)} == {"proxy", "read"}


def test_the_original_is_given_back_as_it_came(client: TestClient, barn: Barn) -> None:
    answer = client.get(f"/api/clips/{a_clip(barn).id}/original")
    assert answer.content == b"0123456789"
    assert 'filename="ride.mp4"' in answer.headers["content-disposition"]


def test_an_original_that_is_gone_says_what_to_do(client: TestClient, barn: Barn) -> None:
    clip = a_clip(barn)
    clips.original(barn, clip).unlink()
    answer = client.get(f"/api/clips/{clip.id}/original")
    assert answer.status_code == 404
    assert "backup" in answer.json()["error"]["message"]


def test_the_charts_script_is_bundled_once_and_known_by_its_tag(client: TestClient, barn: Barn) -> None:
    first = client.get("/static/vega.js")
    assert "vegaEmbed" in first.text
    (kept,) = (barn.home / "derived").glob("vega-*.js")
    before = kept.stat().st_mtime_ns
    again = client.get("/static/vega.js", headers={"if-none-match": first.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert kept.stat().st_mtime_ns == before


def test_nothing_is_served_under_the_name_of_a_path(client: TestClient, tmp_path: Path) -> None:
    (tmp_path / "secret.txt").write_text("secret")
    for number in ("0", "-1", "99999999999999999999", "..%2F..%2Fsecret.txt"):
        assert client.get(f"/api/clips/{number}/original").status_code in (400, 404, 422)
