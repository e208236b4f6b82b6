"""Works begun, stopped and begun again from a page."""

from fastapi import FastAPI
from fastapi.testclient import TestClient

from evenfall.store import Barn, clips, jobs
from tests.web.test_files import a_clip


def test_a_work_is_begun_once_however_often_it_is_asked_for(client: TestClient, barn: Barn) -> None:
    address = f"/api/clips/{a_clip(barn).id}/jobs"
    told = [client.post(address, json={"kind": "read"}).json() for _ in range(2)]
    assert told[0]["id"] == told[1]["id"]
    assert client.get("/api/jobs").json()["jobs"] == [{**told[0], "name": "ride.mp4"}]


def test_a_work_is_stopped_and_begun_again(client: TestClient, barn: Barn) -> None:
    job = jobs.add(barn, a_clip(barn).id, "read")
    assert client.post(f"/api/jobs/{job.id}/cancel").json()["state"] == "cancelled"
    assert client.post(f"/api/jobs/{job.id}/retry").status_code == 200
    assert [(each.kind, each.state) for each in jobs.live(barn)] == [("read", "waiting")]


def test_the_runner_is_told_of_new_work(app: FastAPI, client: TestClient, barn: Barn) -> None:
    class Runner:
        woken = 0

        def wake(self) -> None:
            self.woken += 1

    app.state.runner = Runner()
    client.post(f"/api/clips/{a_clip(barn).id}/jobs", json={"kind": "read"})
    assert app.state.runner.woken == 1


def test_a_film_in_the_bin_does_not_hide_the_other_works(client: TestClient, barn: Barn) -> None:
    clip = a_clip(barn)
    jobs.add(barn, clip.id, "read")
    clips.delete(barn, clip.id)
    assert client.get("/api/jobs").status_code == 200


def test_an_unknown_work_or_kind_is_said_plainly(client: TestClient, barn: Barn) -> None:
    assert client.post("/api/jobs/77/cancel").status_code == 404
    answer = client.post(f"/api/clips/{a_clip(barn).id}/jobs", json={"kind": "dance"})
    assert (answer.status_code, answer.json()["error"]["code"]) == (422, "wrong_request")
