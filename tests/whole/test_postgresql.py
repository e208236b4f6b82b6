"""A day in a barn whose record is on PostgreSQL: every page and answer is what SQLite gives."""

import io
import re
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import httpx
import pytest
from sqlalchemy import create_engine, text

from evenfall.cli.app import run
from evenfall.cli.context import Context
from evenfall.contacts import Event
from evenfall.store import Barn, open_barn, settings
from tests.ahead import held_ready
from tests.jobs.waiting import until
from tests.making import regular
from tests.whole.barn_served import PROGRAM, Served, serving
from tests.whole.conftest import Drawn
from tests.whole.hands import Film, Sender, told
from tests.whole.wholeness import marks_of, original_of

Answers = dict[str, Any]

PAGES = {"board": "/", "horse": "/horses/1", "outing": "/outings/1", "film": "/film/1", "bin": "/bin"}
DATA = {
    "clip": "/api/clips/1",
    "times": "/api/clips/1/times",
    "steadying": "/api/clips/1/steadying",
    "marks": "/api/clips/1/marks",
    "reading": "/api/clips/1/reading",
    "ground": "/api/clips/1/ground",
    "charts": "/api/horses/1/charts",
}
NAMES = re.compile(r"\b[0-9a-f]{32}\b")
"""What a record names by chance."""


@dataclass(frozen=True)
class Kept:
    """A barn at the end of the day, and all that it answered."""

    barn: Barn
    answers: Answers


@pytest.fixture(scope="module")
def database(postgres: str) -> str:
    """The address of an empty database."""
    engine = create_engine(
        postgres.replace("postgresql:", "postgresql+psycopg:"), isolation_level="AUTOCOMMIT"
    )
    with engine.connect() as connection:
        connection.execute(text("CREATE DATABASE whole"))
    engine.dispose()
    return postgres.replace("@/postgres?", "@/whole?")


@pytest.fixture(scope="module")
def kept(database: str, drawn: Drawn, tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Kept]]:
    """The same day in two barns."""
    with ExitStack() as opened, held_ready(*PROGRAM) as ahead:
        days = {}
        for name, url in (("sqlite", None), ("postgresql", database)):
            home = tmp_path_factory.mktemp(name) / "home"
            more = () if url is None else ("--database", url)
            with serving(home, home.with_name("says.txt"), *more, ahead=ahead) as served:
                answers = a_day(
                    served, drawn.film.read_bytes(), home.with_name("barn.zip"), ("--home", str(home), *more)
                )
                assert served.stopped() == 0
            days[name] = Kept(opened.enter_context(open_barn(home, url)), answers)
        yield days


def a_day(served: Served, film: bytes, packed: Path, where: tuple[str, ...]) -> Answers:
    """A horse, its outing, a film and its marks; into the bin and out of it; a backup while it is served."""
    with served.client() as client:
        answers: Answers = {"horse written": posted(client, "/horses/new", name="Juniper", goal="fox trot")}
        said = {"on_date": date.today().isoformat(), "rider": "Ann", "ground": "grass", "checked": "yes"}
        answers["outing written"] = posted(client, "/outings/new?horse=1", **said)
        sender = Sender(1)
        sender.films.append(Film(film))
        sender.work(client)
        until(lambda: not told(client.get("/api/jobs"))["jobs"])
        answers |= seen(client, "read")
        found = [mark["id"] for mark in in_order(told(client.get("/api/clips/1/marks"))["marks"])]
        told(client.post("/api/clips/1/marks", json={"acts": acts(found)}))
        answers |= seen(client, "marked")
        answers["film binned"] = posted(client, "/clips/1/delete")
        answers["horse binned"] = posted(client, "/horses/1/delete")
        answers |= {f"{name} binned": shown(client, PAGES[name]) for name in ("board", "bin")}
        answers["restored"] = posted(client, "/bin/restore", table="clips", row="1")
        answers |= seen(client, "back")
    answers["backup"] = run(
        ["backup", str(packed), *where], Context(io.StringIO(), io.StringIO(), io.StringIO())
    )
    return answers


def acts(machine: list[str]) -> list[dict[str, Any]]:
    """The machine's marks rejected; landings of a regular stride, one of them moved; one mark added and deleted."""
    rejected = [_adding(f"no {n}", stands_for=mark, rejected=True) for n, mark in enumerate(machine)]
    landings = [m for m in regular(stride_s=0.55, n=4, start_s=0.04, lateral_pct=35) if m.event is Event.ON]
    added = [_adding(f"m{n}", limb=m.limb, event=m.event, time_s=m.time_s) for n, m in enumerate(landings)]
    moved = {"op": "move", "act": "move", "id": "m0", "time_s": landings[0].time_s + 0.001}
    stray = _adding("stray", limb="LF", event="off", time_s=1.9)
    return [*rejected, *added, moved, stray, {"op": "delete", "act": "delete", "id": "stray"}]


def _adding(mark: str, **values: Any) -> dict[str, Any]:
    return {"op": f"add {mark}", "act": "add", "id": mark, **values}


def seen(client: httpx.Client, when: str) -> Answers:
    told(
        client.get(DATA["reading"])
    )  # the answer is reckoned behind the marks, and pages show the last that was
    pages = {f"{name} {when}": shown(client, path) for name, path in PAGES.items()}
    return pages | {f"{name} {when}": unnamed(told(client.get(path))) for name, path in DATA.items()}


def shown(client: httpx.Client, path: str) -> str:
    answer = client.get(path)
    assert answer.status_code == 200, answer.text
    return NAMES.sub("…", answer.text)


def posted(client: httpx.Client, path: str, **values: str) -> str:
    answer = client.post(path, data=values)
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def in_order(marks: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Marks at one and the same time are told in the order of their names, which are given by chance."""
    return sorted(marks, key=lambda mark: (mark["time_s"], mark["limb"], mark["event"], mark.get("by", "")))


def unnamed(data: Any) -> Any:
    """The data without names given by chance."""
    if isinstance(data, dict):
        return {key: unnamed(value) for key, value in data.items()}
    if isinstance(data, list):
        data = in_order(data) if data and isinstance(data[0], dict) and "sd_s" in data[0] else data
        return [unnamed(value) for value in data]
    return NAMES.sub("…", data) if isinstance(data, str) else data


def test_the_day_went_as_meant(kept: dict[str, Kept]) -> None:
    """So that nothing below is alike for being empty."""
    said = kept["postgresql"].answers
    assert (said["horse written"], said["outing written"]) == ("/horses/1", "/outings/1")
    assert (said["film binned"], said["horse binned"]) == ("/outings/1?binned=1", "/?binned=1")
    assert "Juniper" not in said["board binned"].split("<h1>")[1]
    assert all("Juniper" in said[f"{name} back"] for name in ("board", "horse", "outing", "film"))
    assert {mark["by"] for mark in said["marks read"]["marks"]} == {"machine"}
    assert {mark["by"] for mark in said["marks marked"]["marks"] if not mark["rejected"]} == {"person"}
    assert said["reading marked"]["charts"]
    assert said["marks back"] == said["marks marked"]
    assert said["backup"] == 0


def test_every_answer_is_what_sqlite_gives(kept: dict[str, Kept]) -> None:
    sqlite, postgresql = kept["sqlite"].answers, kept["postgresql"].answers
    assert sqlite.keys() == postgresql.keys()
    assert [name for name in sqlite if sqlite[name] != postgresql[name]] == []


def test_its_backup_opens_on_sqlite(kept: dict[str, Kept], tmp_path: Path) -> None:
    barn = kept["postgresql"].barn
    packed = str(barn.home.with_name("barn.zip"))
    said = run(
        ["restore", packed, "--home", str(tmp_path / "again")],
        Context(io.StringIO(), io.StringIO(), io.StringIO()),
    )
    assert said == 0
    with open_barn(tmp_path / "again") as again:
        assert marks_of(again, 1) == marks_of(barn, 1) != {}
        assert original_of(again, 1) == original_of(barn, 1)
        assert settings.get(again) == settings.get(barn)
    assert not (barn.home / "barn.sqlite3").exists()
