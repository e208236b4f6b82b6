"""Pages that are open are told what changes."""

import http.client
import json
from collections.abc import Iterator
from datetime import timedelta
from urllib.parse import urlsplit
from uuid import uuid4

import pytest

from evenfall.store import Barn, clips, devices, jobs, marks, readings, settings
from evenfall.store import bin as emptied
from evenfall.store.marks import Act
from evenfall.store.records import BarnSettings
from evenfall.web.events import LOOK_S, Hub, Told
from evenfall.web.security import COOKIE
from tests.web.test_files import a_clip


class Clock:
    """A clock that goes on by itself far enough between two looks."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        self.now += 2 * LOOK_S
        return self.now


@pytest.fixture
def hub(barn: Barn) -> Hub:
    return Hub(barn, clock=Clock())


def told(events: list[Told]) -> list[tuple[str, object]]:
    return [(event.name, event.data.get("state", event.data.get("revision"))) for event in events]


def test_a_new_listener_is_told_the_works_that_go_on(barn: Barn, hub: Hub) -> None:
    jobs.add(barn, a_clip(barn).id, "proxy")
    _, first = hub.begin("")
    assert told(first) == [("job", "waiting")]


def test_nothing_is_told_twice(barn: Barn, hub: Hub) -> None:
    number, _ = hub.begin("")
    jobs.add(barn, a_clip(barn).id, "proxy")
    news = hub.since(number)
    assert told(news) == [("job", "waiting"), ("clip", "waiting")]
    assert hub.since(news[-1].number) == []


def test_a_work_that_ends_is_told(barn: Barn, hub: Hub) -> None:
    jobs.add(barn, a_clip(barn).id, "proxy")
    number, _ = hub.begin("")
    job = jobs.claim(barn, "worker")
    assert job is not None
    jobs.done(barn, job.id, "worker")
    assert told(hub.since(number)) == [("job", "done")]


def test_a_work_that_began_and_ended_between_two_looks_is_told_once(barn: Barn, hub: Hub) -> None:
    clip = a_clip(barn)
    number, _ = hub.begin("")
    job = jobs.add(barn, clip.id, "proxy")
    jobs.claim(barn, "worker")
    jobs.fail(barn, job.id, "worker", "no pictures")
    news = hub.since(number)
    assert told(news) == [("job", "failed")]
    assert news[0].data["message"] == "no pictures"
    assert hub.since(news[-1].number) == []


def test_a_work_that_ended_before_anybody_listened_is_not_news(barn: Barn, hub: Hub) -> None:
    jobs.cancel(barn, jobs.add(barn, a_clip(barn).id, "proxy").id)
    number, first = hub.begin("")
    assert (first, hub.since(number)) == ([], [])


def test_a_work_thrown_away_with_its_film_is_told_as_given_up(barn: Barn, hub: Hub) -> None:
    clip = a_clip(barn)
    jobs.add(barn, clip.id, "proxy")
    number, _ = hub.begin("")
    clips.delete(barn, clip.id)
    emptied.empty(barn, older_than_days=0, now=clip.added_at + timedelta(days=1))
    assert told(hub.since(number)) == [("job", "cancelled")]


def test_marks_and_the_state_of_films_are_told(barn: Barn, hub: Hub) -> None:
    clip = a_clip(barn)
    reading = readings.person(barn, clip.id)
    number, _ = hub.begin("")
    revision = marks.act(barn, reading.id, [Act(uuid4().hex, "add", "m", "LF", "on", 1.0)], by="test")
    clips.ready(barn, clip.id)
    assert told(hub.since(number)) == [("marks", revision), ("clip", "ready")]


def test_one_that_was_cut_off_is_told_what_it_missed(barn: Barn, hub: Hub) -> None:
    number, _ = hub.begin("")
    jobs.add(barn, a_clip(barn).id, "proxy")
    hub.look()
    again, first = hub.begin(f"{hub.run}-{number}")
    assert (again, first) == (number, [])
    assert told(hub.since(again)) == [("job", "waiting"), ("clip", "waiting")]


@pytest.mark.parametrize("last", ["other-1", "rubbish", "-", "x-999", "{run}-99999"])
def test_one_that_missed_too_much_begins_anew(barn: Barn, hub: Hub, last: str) -> None:
    jobs.add(barn, a_clip(barn).id, "proxy")
    assert told(hub.begin(last.format(run=hub.run))[1]) == [("job", "waiting")]


def test_what_is_kept_for_the_late_has_an_end(barn: Barn) -> None:
    hub = Hub(barn, clock=Clock(), kept=3)
    clip = a_clip(barn)
    hub.begin("")
    for _ in range(3):
        clips.failed(barn, clip.id, "")
        hub.look()
        clips.ready(barn, clip.id)
        hub.look()
    assert [event.number for event in hub.since(0)] == [4, 5, 6]
    assert [hub.begin(f"{hub.run}-{last}")[0] for last in (1, 2, 3)] == [6, 6, 3]


def test_many_who_listen_cost_one_look(barn: Barn) -> None:
    hub = Hub(barn, clock=lambda: 0.0)
    number, _ = hub.begin("")
    jobs.add(barn, a_clip(barn).id, "proxy")
    assert [hub.since(number) for _ in range(5)] == [[]] * 5


def test_the_stream_speaks_as_browsers_listen(barn: Barn, served: str) -> None:
    with Stream(served) as lines:
        assert next(line for line in lines if line.startswith("id:"))
        jobs.add(barn, a_clip(barn).id, "proxy")
        event = next(line for line in lines if line.startswith("event:"))
        data = next(line for line in lines if line.startswith("data:"))
    assert event == "event: job"
    assert json.loads(data.removeprefix("data:"))["kind"] == "proxy"


def test_a_device_that_was_removed_hears_no_more(barn: Barn, served_afar: str) -> None:
    settings.save(barn, BarnSettings(pairing=True))
    device, secret = devices.add(barn, "Anna's phone")
    with Stream(served_afar, {"Cookie": f"{COOKIE}={secret}"}) as lines:
        next(lines)
        devices.revoke(barn, device.id)
        jobs.add(barn, a_clip(barn).id, "proxy")
        assert sum(line.startswith("event:") for line in lines) <= 2


class Stream:
    """The lines of the event stream."""

    def __init__(self, served: str, headers: dict[str, str] | None = None) -> None:
        self._headers = headers or {}
        self._connection = http.client.HTTPConnection(urlsplit(served).netloc, timeout=10)

    def __enter__(self) -> Iterator[str]:
        self._connection.request("GET", "/api/events", headers=self._headers)
        answer = self._connection.getresponse()
        assert answer.headers.get_content_type() == "text/event-stream"
        return (line.decode().strip() for line in answer)

    def __exit__(self, *_: object) -> None:
        self._connection.close()
