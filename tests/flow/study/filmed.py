"""Folders of films, hands that read them, and what they came to."""

from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import dask
import distributed
from pyarrow import parquet  # type: ignore[import-untyped]

from evenfall.flow.study import Hands, Studied, StudyAsked, run_study
from evenfall.gait import named_goal

__all__ = ["AT_HAND", "RESULTS", "Drawn", "bytes_of", "cluster_of", "many_films", "rows_of", "studied"]

AT_HAND = Hands(1, ThreadPoolExecutor, lambda executor: executor.shutdown(cancel_futures=True))
"""Reads in this very process."""

RESULTS = (
    "clips.parquet", "clips.csv", "strides.parquet", "numbers.parquet", "failures.parquet", "failures.csv", "summary.html",
    "datapackage.json", "data-dictionary.md",
)  # fmt: skip


@dataclass(frozen=True)
class Drawn:
    """A film's bytes, and its contacts as CSV; empty where the feet are to be found in it."""

    film: bytes
    contacts: str


def many_films(folder: Path, drawn: tuple[Drawn, ...], n: int, *, without_contacts: int) -> Path:
    """Films that differ by some bytes that no player shows, in groups; a copy, a damaged one and a text among them."""
    *marked, seen = drawn
    for number in range(n):
        place = folder / ("plain shoes", "heavy shoes", "déferré")[number % 3] / f"film {number:03}.mp4"
        place.parent.mkdir(parents=True, exist_ok=True)
        told = seen if number < without_contacts else marked[number % len(marked)]
        box = (16).to_bytes(4, "big") + b"free" + number.to_bytes(8, "big")
        place.write_bytes(told.film + box)
        if told.contacts:
            place.with_suffix(".csv").write_text(told.contacts)
    (folder / "film of words.mp4").write_text("A film, they said.")
    (folder / "cut off.mp4").write_bytes(marked[0].film[: len(marked[0].film) // 3])
    (folder / "once more.mp4").write_bytes(
        (folder / "heavy shoes" / f"film {n - n % 3 - 2:03}.mp4").read_bytes()
    )
    return folder


def studied(
    folder: Path, out: Path, hands: Hands = AT_HAND, *, told: list[str] | None = None, **more: Any
) -> Studied:
    """Run a study; ``told`` takes the sentences it says."""
    running = {name: more.pop(name) for name in ("progress", "do") if name in more}
    asked = StudyAsked(folder, out, more.pop("goal", named_goal("even")), **more)
    tell: Callable[[str], None] = (lambda _: None) if told is None else told.append
    return run_study(asked, hands, tell=tell, **running)


@contextmanager
def cluster_of(workers: int) -> Iterator[str]:
    """The address of a real cluster on this machine; it gives a film to no second worker when one died of it."""
    local: Any = distributed.LocalCluster  # it has no types of its own
    once = {"distributed.scheduler.allowed-failures": 0}
    with (
        dask.config.set(once),
        local(
            n_workers=workers, threads_per_worker=1, processes=True, dashboard_address="127.0.0.1:0"
        ) as cluster,
    ):
        yield cluster.scheduler_address


def bytes_of(out: Path) -> Mapping[str, bytes]:
    """Every result file."""
    return {name: (out / name).read_bytes() for name in RESULTS}


def rows_of(out: Path, table: str) -> list[dict[str, Any]]:
    """The rows of one table."""
    rows: list[dict[str, Any]] = parquet.read_table(out / f"{table}.parquet").to_pylist()
    return rows
