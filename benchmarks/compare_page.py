"""Time of the page that compares, its picture and the horse's page, for a horse of 50 outings.

Whole requests through the app in one process. The comparing page is asked with sides that were never asked before, so
that nothing is remembered; asked once more it is ("again").
"""

import random
import statistics
import tempfile
import time
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from evenfall.shoeing import HINDS, Foot, Setup, Shoe, parse_section, same_but, setup_data
from evenfall.store import Barn, clips, horses, open_barn, outings, results, setups
from evenfall.store.records import HorseFields, OutingFields, SetupFields

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

OUTINGS, FILMS_EACH, SETUPS = 50, 2, 5
TURNS = 20
BAR_MS = 300
FEET = ("LF", "RF", "LH", "RH")


def main() -> None:
    """Print p50 and p95 of each request."""
    print(
        f"a horse of {OUTINGS} outings, {OUTINGS * FILMS_EACH} films, ms (bar: the comparing page in {BAR_MS})"
    )
    with tempfile.TemporaryDirectory() as home, open_barn(Path(home)) as barn:
        sides = fill(barn)
        with asked(barn) as client:
            for name, took in timed(client, sides).items():
                (p50, p95), (own50, own95) = (_quantiles(column) for column in zip(*took, strict=True))
                print(
                    f"  {name:<24} p50 {p50:6.1f}  p95 {p95:6.1f}   of its own p50 {own50:6.1f}  p95 {own95:6.1f}"
                )


def timed(client: "TestClient", sides: list[tuple[str, str]]) -> dict[str, list[tuple[float, float]]]:
    """Milliseconds by the clock and of the processor; a few requests first to load what is loaded once."""
    took: dict[str, list[tuple[float, float]]] = {
        "/horses/{id}": [],
        "compare": [],
        "compare, again": [],
        "its picture": [],
    }
    for turn in range(TURNS + 3):
        before, after = sides[turn]
        query = f"before={before}&after={after}"
        paths = (
            ("/horses/{id}", "/horses/1"),
            ("compare", f"/horses/1/compare?{query}"),
            ("compare, again", f"/horses/1/compare?{query}"),
            ("its picture", f"/api/horses/1/compare/chart?{query}"),
        )
        for name, path in paths:
            began, worked = time.perf_counter(), time.process_time()
            answer = client.get(path)
            spent = 1000 * (time.perf_counter() - began), 1000 * (time.process_time() - worked)
            if answer.status_code != 200 or (
                name.startswith("compare") and "points toward" not in answer.text
            ):
                raise RuntimeError(f"{path} answered {answer.status_code}")
            if turn >= 3:
                took[name].append(spent)
    return took


@contextmanager
def asked(barn: Barn) -> Iterator["TestClient"]:
    """A client of the barn's pages, warmed up as a served barn is."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)
        warnings.simplefilter("ignore", DeprecationWarning)
        from fastapi.testclient import TestClient  # noqa: PLC0415
    from evenfall.serving import settle  # noqa: PLC0415
    from evenfall.web.app import create_app  # noqa: PLC0415

    with TestClient(create_app(barn), base_url="http://localhost", client=("127.0.0.1", 50_000)) as client:
        settle()
        yield client


def fill(barn: Barn, *, seed: int = 3) -> list[tuple[str, str]]:
    """Put a horse with its setups, outings and films in; return pairs of sides, the two newest setups first."""
    chance, today = random.Random(seed), date.today()
    horse = horses.add(barn, HorseFields("Benchmark", goal="even"))
    first = today - timedelta(days=4 * OUTINGS)
    shoes = [
        Shoe(section=parse_section("3/8x3/4"), bar_length_m=0.25 + 0.005 * k, nails=8) for k in range(SETUPS)
    ]
    plain = Foot(shoes[0], 52, 0.09, "", first)
    for k, shoe in enumerate(shoes):
        worn = same_but(Setup(lf=plain, rf=plain), limbs=HINDS, shoe=shoe)
        setups.add(barn, SetupFields(horse.id, first + timedelta(days=40 * k), setup_data(worn)))
    ridden = []
    for number in range(OUTINGS):
        outing = outings.add(
            barn, OutingFields(horse.id, first + timedelta(days=4 * number + 1), checked=True)
        )
        ridden.append(outing.id)
        for place in range(FILMS_EACH):
            _film(barn, outing.id, f"{number}-{place}", 40 - 0.2 * number + chance.gauss(0, 1.2))
    pairs = [(f"setup:{SETUPS - 1}", f"setup:{SETUPS}")]
    pairs += [(f"setup:{k}", f"outing:{each}") for k in (1, 2) for each in ridden[-15:]]
    return pairs


def _film(barn: Barn, outing: int, name: str, phase: float) -> None:
    part = barn.home / "incoming" / f"{name}.part"
    part.write_bytes(name.encode())
    clip, _ = clips.keep(barn, part, name=f"{name}.mp4", outing_id=outing)
    results.save(barn, clips.ready(barn, clip.id).id, _data(phase), 0)


def _data(phase: float) -> dict[str, Any]:
    pair = {f"{name}_{unit}": {limb: _number(mean, half) for limb in FEET} for name, unit, mean, half in (("duty", "pct", 52, 1.5), ("stance", "s", 0.31, 0.01), ("swing", "s", 0.29, 0.01))}  # fmt: skip
    timing = {
        "stride_s": _number(0.6, 0.01),
        "stride_rate_per_min": _number(100, 2),
        "lateral_phase_pct": {side: _number(phase, 1.2) for side in ("left", "right", "both")},
        "left_right_pct": {"hind_step": _number(0.8, 1.0), "fore_step": _number(0.5, 1.0)},
        **pair,
    }
    return {"schema": 1, "contacts": [], "strides": 9, "timing": timing}


def _number(mean: float, half: float) -> dict[str, Any]:
    return {"mean": mean, "sd": half, "n": 9, "ci95": [mean - half, mean + half]}


def _quantiles(took: Sequence[float]) -> tuple[float, float]:
    return statistics.median(took), statistics.quantiles(took, n=20)[-1]


if __name__ == "__main__":
    main()
