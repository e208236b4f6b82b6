"""The listener for the barn's network: there while it is asked for, gone by itself when the last link ends."""

import asyncio
import socket
from collections.abc import Awaitable, Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from pathlib import Path

import pytest

from evenfall import serving
from evenfall.errors import StoreBusy
from evenfall.flow.sharing import Reach
from evenfall.serving import _keep_following, _Network
from evenfall.store import Barn, settings, shares
from evenfall.store.engine import now, writing
from evenfall.store.schema import shares as table
from evenfall.web.app import create_app
from tests.fresh import new_barn
from tests.store.wearing import a_share

NETWORK = "127.0.0.1"
"""Stands for this machine's address in the barn's network."""


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "home") as opened:
        yield opened


@pytest.fixture
def free_port() -> int:
    with socket.create_server((NETWORK, 0)) as found:
        return int(found.getsockname()[1])


def is_open(port: int) -> bool:
    with socket.socket() as asking:
        return asking.connect_ex((NETWORK, port)) == 0


@pytest.fixture
def told() -> list[str]:
    return []


@pytest.fixture
def run(
    barn: Barn, free_port: int, told: list[str], monkeypatch: pytest.MonkeyPatch
) -> Callable[[Callable[[_Network], Awaitable[None]]], None]:
    """Run what is done with a listener, and close it."""
    monkeypatch.setattr(serving, "outward_address", lambda: NETWORK)
    app = create_app(barn)
    app.state.port = free_port

    async def inside(what: Callable[[_Network], Awaitable[None]]) -> None:
        network = _Network(app, told.append)
        try:
            await what(network)
        finally:
            await network.close()

    def ran(what: Callable[[_Network], Awaitable[None]]) -> None:
        with ThreadPoolExecutor(1) as other:  # a browser may have a loop running in this one
            other.submit(asyncio.run, inside(what)).result()

    return ran


def end_all(barn: Barn) -> None:
    """Let every link's hour pass."""
    with writing(barn) as connection:
        connection.execute(table.update().values(ends_at=now() - timedelta(seconds=1)))


Run = Callable[[Callable[[_Network], Awaitable[None]]], None]


def test_it_is_there_for_a_link_that_asks_for_it_and_gone_when_that_ends(
    barn: Barn, run: Run, free_port: int, told: list[str]
) -> None:
    async def followed(network: _Network) -> None:
        seen = []
        for step in (
            lambda: a_share(barn),
            lambda: a_share(barn, 1, network=True),
            lambda: a_share(barn, 1, network=True),
            lambda: shares.revoke(barn, 2),
            lambda: end_all(barn),
        ):
            step()
            await network.follow()
            seen.append(is_open(free_port))
        assert seen == [False, True, True, True, False]

    run(followed)
    assert [words.split(":")[0] for words in told] == ["A link is out", "The last link has ended"]


def test_pairing_and_links_each_keep_it_open(barn: Barn, run: Run, free_port: int, told: list[str]) -> None:
    async def followed(network: _Network) -> None:
        settings.change(barn, {"pairing": True})
        await network.follow()
        a_share(barn, network=True)
        settings.change(barn, {"pairing": False})
        await network.follow()
        assert is_open(free_port)
        shares.revoke(barn, 1)
        await network.follow()
        assert not is_open(free_port)

    run(followed)
    assert [words.split(":")[0] for words in told] == [
        "Pairing is on",
        "A link is out",
        "The last link has ended",
    ]


def test_it_goes_by_itself_and_a_record_that_is_held_is_asked_again(
    barn: Barn, run: Run, free_port: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(serving, "FOLLOW_S", 0.01)

    async def followed(network: _Network) -> None:
        a_share(barn, network=True)
        await network.follow()
        asked, wanted = [], network._wanted

        def held_at_first() -> Reach:
            asked.append("asked")
            if len(asked) == 1:
                raise StoreBusy
            return wanted()

        monkeypatch.setattr(network, "_wanted", held_at_first)
        end_all(barn)
        following = asyncio.create_task(_keep_following(network))
        while is_open(free_port):
            await asyncio.sleep(0.01)
        following.cancel()
        assert len(asked) > 1

    run(followed)


def test_a_machine_in_no_network_says_so_once_and_serves_when_it_is_in_one(
    barn: Barn, run: Run, free_port: int, told: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(serving, "outward_address", lambda: None)
    a_share(barn, network=True)

    async def followed(network: _Network) -> None:
        await network.follow()
        await network.follow()
        monkeypatch.setattr(serving, "outward_address", lambda: NETWORK)
        await network.follow()
        assert is_open(free_port)

    run(followed)
    alone, found = told
    assert alone == (
        "A link is out: whoever holds it reaches its one sheet, and nothing else. "
        "But this computer is in no network that others could reach it by."
    )
    assert found.endswith(f"this computer is at http://{NETWORK}:{free_port}")
