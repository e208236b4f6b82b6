"""``evenfall study``, as a person runs it."""

import json
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest

from evenfall.cli.context import Status
from tests.cli.test_read import Told


@pytest.fixture
def films(tmp_path: Path, film: Path, contacts_file: Path) -> Path:
    """One film of a horse, and a text that calls itself one."""
    folder = tmp_path / "films" / "plain shoes"
    folder.mkdir(parents=True)
    shutil.copy(film, folder / "Zoë's ride.mp4")
    shutil.copy(contacts_file, folder / "Zoë's ride.csv")
    (folder / "words.mp4").write_text("A film, they said.")
    return tmp_path / "films"


def test_it_says_what_was_read_and_where_it_lies_and_the_second_time_reads_nothing(
    films: Path, tmp_path: Path
) -> None:
    told = Told("study", films, "--out", tmp_path / "out", "--workers", "1")
    assert (told.status, told.err.strip()) == (Status.MEASURED, "")
    assert told.out.startswith(
        "2 films: 1 (50\u00a0%) read, 0 (0\u00a0%) with too little evidence, 1 (50\u00a0%) failed."
    )
    assert "plain shoes: lateral phase, median 35.0 % (95 % interval needs 6), 1 film" in told.out
    assert told.out.endswith(f"Summary and tables: {tmp_path / 'out' / 'summary.html'}\n")
    again = Told("study", films, "--out", tmp_path / "out", "--json")
    assert again.err.strip() == "2 of 2 films are read already, 0 to go."
    assert json.loads(again.out)["measures"]["lateral_phase_pct"][0]["median"] == pytest.approx(35, abs=0.5)


def test_where_no_film_has_an_answer_the_status_says_so(films: Path, tmp_path: Path) -> None:
    (films / "plain shoes" / "Zoë's ride.mp4").unlink()
    told = Told("study", films, "--out", tmp_path / "out", "--workers", "1")
    assert told.status == Status.TOO_LITTLE_EVIDENCE
    assert "no film has an answer" in told.err


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--workers", "0"), "expected 1 worker or more, found 0"),
        (("--longest", "0"), "expected minutes that one film may take"),
        (("--goal", "gallop"), "there is no goal 'gallop'"),
        (("--groups", "nowhere.csv"), "nowhere.csv: the groups file could not be read"),
    ],
)
def test_what_makes_no_sense_is_refused_before_anything_is_read(
    films: Path, tmp_path: Path, more: tuple[str, ...], words: str
) -> None:
    told = Told("study", films, "--out", tmp_path / "out", "--json", *more)
    assert told.status == Status.WRONG_USE
    assert words in told.err
    assert words in json.loads(told.out)["error"]["message"]


def test_interrupted_it_ends_at_once_and_says_how_to_go_on(films: Path, tmp_path: Path) -> None:
    """A hundred films, stopped after the first."""
    for number in range(100):
        shutil.copy(films / "plain shoes/Zoë's ride.mp4", films / f"{number}.mp4")
        shutil.copy(films / "plain shoes/Zoë's ride.csv", films / f"{number}.csv")
    out = tmp_path / "out"
    command = [sys.executable, "-m", "evenfall", "study", str(films), "--out", str(out), "--workers", "1"]
    with subprocess.Popen(command, stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True) as process:
        while not list((out / "parts").glob("*/*.json.gz")):
            assert process.poll() is None
        process.send_signal(signal.SIGINT)
        assert process.stderr is not None
        said = process.stderr.read()
        process.wait(20)
    assert process.returncode == Status.CANCELLED
    assert said.splitlines() == [
        f"Stopped. What was read is kept in {out}; the same command goes on where it was."
    ]


def test_an_interrupt_that_was_swallowed_stops_it_at_the_next_film(
    films: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def swallowing(*_: object, progress: Callable[[float], None], **__: object) -> None:
        with suppress(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)
        progress(0.5)

    monkeypatch.setattr("evenfall.studying.study", swallowing)
    before = signal.getsignal(signal.SIGINT)
    told = Told("study", films, "--out", tmp_path / "out")
    assert (told.status, signal.getsignal(signal.SIGINT)) == (Status.CANCELLED, before)
