"""Two hundred films: killed and resumed, on one worker, on two, on a cluster."""

import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

from evenfall.studying import hands_for
from tests.flow.study.filmed import Drawn, bytes_of, cluster_of, many_films, rows_of, studied

N = 200
ROOT = Path(__file__).parents[3]


def test_two_hundred_films_come_to_the_same_bytes_whoever_reads_them_and_however_they_are_stopped(
    drawn: tuple[Drawn, ...], tmp_path: Path
) -> None:
    films = many_films(tmp_path / "films", drawn, N, without_contacts=1)
    studied(films, tmp_path / "whole", hands_for(1, None))
    whole = bytes_of(tmp_path / "whole")
    read_before = _killed_half_way(films, tmp_path / "killed")
    told: list[str] = []
    studied(films, tmp_path / "killed", hands_for(2, None), told=told)
    assert told[-1].startswith(f"{read_before} of {N + 3} films are read already")
    assert bytes_of(tmp_path / "killed") == whole
    with cluster_of(2) as address:
        studied(films, tmp_path / "cluster", hands_for(None, address))
    assert bytes_of(tmp_path / "cluster") == whole
    _assert_all_there(tmp_path / "whole")


def _assert_all_there(out: Path) -> None:
    clips, failures = rows_of(out, "clips"), rows_of(out, "failures")
    assert [row["film"] for row in clips] == sorted(row["film"] for row in clips)
    assert len(clips) == N + 3
    codes = Counter(row["code"] for row in failures)
    assert codes["unreadable_clip"] == 2
    assert {row["film"] for row in clips if row["copy_of"]} == {"once more.mp4"}
    sought = {row["film"] for row in clips if row["contacts"] == "found"}
    assert sought == {"once more.mp4", "plain shoes/film 000.mp4"}
    read = {row["clip"] for row in clips if row["state"] == "read"}
    assert len(read) > N - 4
    assert {row["clip"] for row in rows_of(out, "strides")} == read


def _killed_half_way(films: Path, out: Path) -> int:
    """Run the command, kill it once half the films are read, and see that nothing half made is shown."""
    command = [sys.executable, "-m", "evenfall", "study", str(films), "--out", str(out), "--workers", "2"]
    with subprocess.Popen(command, cwd=ROOT, stderr=subprocess.DEVNULL) as process:
        while _read(out) < N // 2:
            assert process.poll() is None, "it ended before it could be killed"
            time.sleep(0.01)
        process.send_signal(signal.SIGKILL)
    assert not (out / "clips.parquet").exists()
    assert N // 2 <= _read(out) < N
    return _read(out)


def _read(out: Path) -> int:
    return sum(1 for _ in (out / "parts").glob("*/*[0-9a-f].json.gz"))
