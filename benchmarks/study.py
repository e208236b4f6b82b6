"""A study: films side by side on one worker and two, going on after a kill, and a hundred thousand results put into tables.

Ratios, measured in turns in one run, since machines are noisy.
"""

import gzip
import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from benchmarks.speed import peak_mb
from evenfall.flow.study.folder import settings_of
from evenfall.flow.study.listing import list_films
from evenfall.flow.study.one import SCHEMA
from evenfall.flow.study.parts import Parts, key_of
from evenfall.gait import named_goal
from evenfall.synth import EXAMPLE_GAITS, Scene, draw_film

FILMS, MANY = 12, 100_000


def main() -> None:
    """Print scaling, going on, and the tables of many films with their memory."""
    with tempfile.TemporaryDirectory() as folder:
        films = _films(Path(folder) / "films", FILMS)
        print(f"a study of {FILMS} films of 3 s, feet found in them")
        _scaling(films, Path(folder))
        _going_on(films, Path(folder))
        _tables(films, Path(folder), 10_000)
        _tables(films, Path(folder), MANY)


def _films(folder: Path, n: int) -> Path:
    folder.mkdir()
    scene = Scene(width=640, height=360, fps=30, duration_s=3, camera="still", noise=2)
    draw_film(folder / "0.mp4", EXAMPLE_GAITS["flat walk"], scene)
    raw = (folder / "0.mp4").read_bytes()
    for number in range(1, n):
        (folder / f"{number}.mp4").write_bytes(
            raw + (16).to_bytes(4, "big") + b"free" + number.to_bytes(8, "big")
        )
    return folder


def _scaling(films: Path, folder: Path) -> None:
    times = {workers: _seconds(films, folder / f"on {workers}", workers) for workers in (1, 2)}
    print(f"  1 worker {times[1]:.1f} s, 2 workers {times[2]:.1f} s: {times[1] / times[2]:.2f} times as fast")


def _going_on(films: Path, folder: Path) -> None:
    """Kill it half-way; what is left must take about half the time, and come to the same bytes."""
    out, began = folder / "killed", time.perf_counter()
    with subprocess.Popen(
        _command(films, out, 2), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as process:
        while len(list((out / "parts").glob("*/*.json.gz"))) < FILMS // 2:
            time.sleep(0.05)
        process.kill()
    first, second = time.perf_counter() - began, _seconds(films, out, 2)
    same = (out / "strides.parquet").read_bytes() == (folder / "on 1" / "strides.parquet").read_bytes()
    print(
        f"  killed after {first:.1f} s, gone on for {second:.1f} s; the same tables: {'yes' if same else 'NO'}"
    )
    print(f"  asked once more, nothing to read: {_seconds(films, out, 2):.1f} s")


def _tables(films: Path, folder: Path, n: int) -> None:
    """Copy one film's result under the keys of many empty films, and have the study put into tables."""
    goal, many, out = named_goal("even"), folder / f"many {n}", folder / f"out {n}"
    for number in range(n):
        place = many / f"group {number % 20}" / f"{number:06}.mp4"
        place.parent.mkdir(parents=True, exist_ok=True)
        place.touch()
    began = time.perf_counter()
    listed = list_films(many).films
    listing_s = time.perf_counter() - began
    parts, first = Parts(out / "parts"), list_films(films).films[0]
    made = Parts(folder / "on 1" / "parts").read(key_of(first, goal))
    assert made is not None
    (out / "parts").mkdir(parents=True)
    (out / "study.json").write_text(json.dumps(settings_of(goal)))
    for film in listed:
        key = key_of(film, goal)
        path = parts._path(key, ".json.gz")
        path.parent.mkdir(exist_ok=True)
        own = {**made, "schema": SCHEMA, "key": key, "clip": {**made["clip"], "sha256": key * 2}}
        path.write_bytes(gzip.compress(json.dumps(own).encode(), 1))
    seconds = _seconds(many, out, 1)
    print(
        f"  {n} results: listed in {listing_s:.1f} s, tables and page in {seconds:.1f} s, "
        f"peak {peak_mb(_command(many, out, 1)):.0f} MB"
    )


def _command(films: Path, out: Path, workers: int) -> list[str]:
    return [
        sys.executable,
        "-m",
        "evenfall",
        "study",
        str(films),
        "--out",
        str(out),
        "--workers",
        str(workers),
    ]


def _seconds(films: Path, out: Path, workers: int) -> float:
    began = time.perf_counter()
    subprocess.run(
        _command(films, out, workers), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True
    )
    return time.perf_counter() - began


if __name__ == "__main__":
    main()
