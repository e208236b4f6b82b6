"""``serve`` from a shell: it says where it is, answers, and stops when told to."""

import io
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.error import HTTPError, URLError
from urllib.parse import urlencode
from urllib.request import Request, urlopen

import pytest

from evenfall.cli.app import run
from evenfall.cli.context import Context, Status
from evenfall.store import horses, open_barn
from evenfall.store.records import HorseFields
from evenfall.web.security import outward_address


@contextmanager
def serving(home: Path, *more: str) -> Iterator[tuple[str, "subprocess.Popen[str]"]]:
    """Its address, and the process; ended at the latest with the block."""
    command = [
        sys.executable,
        "-W",
        "error",
        *(more or ("-m", "evenfall")),
        "serve",
        "--home",
        str(home),
        "--port",
        "0",
    ]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        try:
            assert process.stderr is not None
            line = process.stderr.readline()
            found = re.search(r"http://127\.0\.0\.1:\d+", line)
            assert found, line + process.stderr.read()
            yield found[0], process
        finally:
            process.kill()


def test_it_answers_and_stops_when_told_to(tmp_path: Path) -> None:
    """Also while a page listens to what goes on."""
    with serving(tmp_path / "barn") as (address, process):
        with urlopen(f"{address}/healthz") as answer:
            assert (answer.status, answer.read()) == (200, b'{"status":"ok"}')
        with urlopen(f"{address}/api/events") as listening:
            listening.readline()
            assert_stops(process, signal.SIGINT)


def asked(address: str, path: str, **form: str) -> tuple[int, str]:
    """A page, or what comes of a form of our own page; status and text."""
    data = urlencode(form).encode() if form else None
    own = {"Origin": address, "Sec-Fetch-Site": "same-origin"}
    try:
        with urlopen(Request(f"{address}{path}", data, own)) as answer:
            return answer.status, answer.read().decode()
    except HTTPError as error:
        with error:
            return error.code, error.read().decode()


def test_the_network_is_served_for_a_link_until_it_is_ended(tmp_path: Path) -> None:
    """This machine asks itself by its outward address, which is no loopback: so it is an unpaired device."""
    if outward_address() is None:
        pytest.skip("this machine is in no network")
    with open_barn(tmp_path / "barn") as barn:
        horses.add(barn, HorseFields("Juniper"))
    with serving(tmp_path / "barn") as (own, process):
        assert process.stderr is not None
        afar = own.replace("127.0.0.1", str(outward_address()))
        asked(own, "/horses/1/shares", kind="vet", lasts="day")
        with pytest.raises(URLError):
            asked(afar, "/")
        _, made = asked(own, "/horses/1/shares", kind="vet", lasts="day", network="on")
        assert f"nothing else. In the barn's network this computer is at {afar}" in process.stderr.readline()
        (link,) = re.findall(rf"<code>{re.escape(afar)}(/s/[\w-]+)</code>", made)
        status, page = asked(afar, link)
        assert (status, "Vet-line card: Juniper" in page) == (200, True)
        assert [asked(afar, path)[0] for path in ("/", "/horses/1", "/settings", "/s/x")] == [
            401,
            401,
            401,
            404,
        ]
        asked(own, "/shares/2/revoke", sure="yes")
        assert "The last link has ended: only this computer reaches the pages." in process.stderr.readline()
        with pytest.raises(URLError):
            asked(afar, link)
        assert asked(own, link)[0] == 404
        assert_stops(process, signal.SIGTERM)


def assert_stops(process: "subprocess.Popen[str]", number: signal.Signals) -> None:
    process.send_signal(number)
    _, told = process.communicate(timeout=30)
    assert process.returncode == 0
    assert told.splitlines()[-1] == "Stopped. Everything is saved."
    assert "Traceback" not in told


def said(*arguments: str) -> tuple[int, str]:
    talk = io.StringIO()
    return run(["serve", *arguments], Context(io.StringIO(), io.StringIO(), talk)), talk.getvalue()


def test_a_port_in_use_is_said_plainly(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        status, told = said("--home", str(tmp_path / "barn"), "--port", port)
    assert status == Status.WRONG_USE
    assert told.startswith(f"evenfall: port {port} is in use")


def test_a_folder_that_cannot_be_written_is_said_plainly(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    status, told = said("--home", str(tmp_path / "file" / "barn"), "--port", "0")
    assert status == Status.WRONG_USE
    assert str(tmp_path / "file" / "barn") in told


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--port", "99999"), "expected a port from 0 to 65535"),
        (("--port", "0", "--host", "203.0.113.9"), "is not an address of this machine"),
        (("--port", "0", "--database", "nonsense"), "expected a database's address"),
        (("--port", "0", "--dask", "tcp://127.0.0.1:9"), "no Dask scheduler answers"),
    ],
)
def test_what_cannot_be_served_is_said_plainly(
    tmp_path: Path, arguments: tuple[str, ...], words: str
) -> None:
    status, told = said("--home", str(tmp_path / "barn"), *arguments)
    assert status == Status.WRONG_USE
    assert words in told


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux has a second loopback address unasked")
def test_the_network_is_served_only_while_pairing_is_on(tmp_path: Path) -> None:
    """A second loopback address stands in for the barn's network."""
    stand_in = "import evenfall.serving as s; s.outward_address = lambda: '127.0.0.2'; import evenfall.__main__ as m; m.main()"
    with serving(tmp_path / "barn", "-c", stand_in) as (address, process):
        network = address.replace("127.0.0.1", "127.0.0.2")
        assert process.stderr is not None
        assert not answers(network)
        save_pairing(address, "on")
        assert network in process.stderr.readline()
        assert answers(network)
        save_pairing(address, "off")
        assert "only this computer" in process.stderr.readline()
        assert not answers(network)
        assert answers(address)
        assert_stops(process, signal.SIGTERM)


def answers(address: str) -> bool:
    try:
        with urlopen(f"{address}/healthz", timeout=5) as answer:
            return bool(answer.status == 200)
    except URLError:
        return False


def save_pairing(address: str, pairing: str) -> None:
    asked = Request(f"{address}/settings/machine", f"pairing={pairing}".encode(), {"Origin": address})
    with urlopen(asked) as answer:
        assert answer.status == 200
