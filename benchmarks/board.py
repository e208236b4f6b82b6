"""Time of the board and of a horse's page in a barn of 200 horses, as its films grow from 100 to 10,000.

Whole requests through the app in one process, as the pages come to a browser, on SQLite. Beside the clock's time stands
the processor's own, which other work on the machine does not lengthen.
"""

import random
import statistics
import tempfile
import time
import warnings
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from evenfall.store import Barn, open_barn, schema
from evenfall.store.engine import writing

HORSES = 200
SIZES = (100, 1_000, 10_000)
TURNS = 40
BAR_MS = 150
STRIDES, EVENTS_IN_STRIDE = 10, 8

Rows = list[dict[str, Any]]


def main() -> None:
    """Print p50 and p95 of both pages for each size, and how they grow."""
    print(f"pages of a barn of {HORSES} horses, ms (bar: p95 of {BAR_MS} at {SIZES[-1]:,} films)")
    before: dict[str, float] = {}
    for size in SIZES:
        with tempfile.TemporaryDirectory() as home, open_barn(Path(home)) as barn:
            fill(barn, horses=HORSES, films=size)
            for page, took in timed(barn).items():
                (p50, p95), (own50, own95) = (_quantiles(column) for column in zip(*took, strict=True))
                grown = f", {own50 / before[page]:.1f} times as before" if page in before else ""
                print(
                    f"  {size:>6,} films  {page:<14} p50 {p50:6.1f}  p95 {p95:6.1f}   "
                    f"of its own p50 {own50:6.1f}  p95 {own95:6.1f}{grown}"
                )
                before[page] = own50


def _quantiles(took: Sequence[float]) -> tuple[float, float]:
    """Half, and 19 of 20, were faster."""
    return statistics.median(took), statistics.quantiles(took, n=20)[-1]


def timed(barn: Barn, turns: int = TURNS) -> dict[str, list[tuple[float, float]]]:
    """Milliseconds of each page, by the clock and of the processor; a few requests first to load what is loaded once."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        from fastapi.testclient import TestClient  # noqa: PLC0415
    from evenfall.serving import settle  # noqa: PLC0415
    from evenfall.web.app import create_app  # noqa: PLC0415

    chance = random.Random(1)
    took: dict[str, list[tuple[float, float]]] = {"/": [], "/horses/{id}": []}
    with TestClient(create_app(barn), base_url="http://localhost", client=("127.0.0.1", 50_000)) as client:
        for turn in range(turns + 3):
            if turn == 3:
                settle()
            for page, times in took.items():
                path = page.format(id=chance.randint(1, HORSES))
                began, worked = time.perf_counter(), time.process_time()
                answer = client.get(path)
                spent = 1000 * (time.perf_counter() - began), 1000 * (time.process_time() - worked)
                if answer.status_code != 200:
                    raise RuntimeError(f"{path} answered {answer.status_code}")
                if turn >= 3:
                    times.append(spent)
    return took


def fill(barn: Barn, *, horses: int, films: int, seed: int = 0, today: date | None = None) -> None:
    """Put horses, outings, films, machine readings, marks and results straight into the tables, as many at a time."""
    chance, day, at = random.Random(seed), today or date.today(), datetime.now(UTC)
    with writing(barn) as connection:
        connection.execute(schema.horses.insert(), [_horse(number, at) for number in range(1, horses + 1)])
        for start in range(1, films + 1, 500):
            numbers = range(start, min(start + 500, films + 1))
            whose = {number: (number - 1) % horses + 1 for number in numbers}
            made = [_film(number, whose[number], (films - number) // horses, chance) for number in numbers]
            connection.execute(schema.outings.insert(), [_outing(film, day, at) for film in made])
            connection.execute(schema.clips.insert(), [_clip(film, at) for film in made])
            connection.execute(schema.readings.insert(), [_reading(film, at) for film in made])
            connection.execute(schema.marks.insert(), [row for film in made for row in _marks(film, at)])
            connection.execute(schema.results.insert(), [_result(film, at) for film in made])


def _horse(number: int, at: datetime) -> dict[str, Any]:
    return {"id": number, "name": f"Horse {number:03d}", "goal": "even", "created_at": at}


def _film(number: int, horse: int, weeks: int, chance: random.Random) -> dict[str, Any]:
    """What a film is made of: its phase comes nearer to even as the weeks go by."""
    phase = 25 + 0.5 * weeks + chance.gauss(0, 1.5)
    return {
        "number": number,
        "horse": horse,
        "days": 7 * weeks + horse % 17,
        "phase": phase,
        "sure": chance.random() > 0.3,
    }


def _outing(film: dict[str, Any], day: date, at: datetime) -> dict[str, Any]:
    flags = ("unlike itself",) if film["horse"] % 60 == 0 else ()
    on = day - timedelta(days=film["days"])
    return {
        "id": film["number"],
        "horse_id": film["horse"],
        "on_date": on,
        "precheck": flags,
        "checked": True,
        "created_at": at,
    }


def _clip(film: dict[str, Any], at: datetime) -> dict[str, Any]:
    number = film["number"]
    return {
        "id": number, "outing_id": number, "sha256": f"{number:064x}", "name": f"pass {number}.mp4", "suffix": ".mp4",
        "size": 1, "width": 1920, "height": 1080, "frames": 600, "duration_s": 10.0, "state": "ready", "added_at": at,
    }  # fmt: skip


def _reading(film: dict[str, Any], at: datetime) -> dict[str, Any]:
    return {
        "id": film["number"], "clip_id": film["number"], "kind": "machine", "settings": {}, "revision": 0, "created_at": at,
    }  # fmt: skip


def _contacts(film: dict[str, Any]) -> list[tuple[str, str, float]]:
    offsets = {"LH": 0.0, "LF": film["phase"], "RH": 50.0, "RF": 50 + film["phase"]}
    return [
        (limb, event, round(0.5 + 0.6 * (turn + (offset + later) / 100), 6))
        for turn in range(STRIDES)
        for limb, offset in offsets.items()
        for event, later in (("on", 0), ("off", 52))
    ]


def _marks(film: dict[str, Any], at: datetime) -> Rows:
    sure = 0.97 if film["sure"] else 0.85
    return [
        {
            "id": f"{film['number']}-{place}", "reading_id": film["number"], "limb": limb, "event": event, "time_s": time_s,
            "sd_s": 0.005, "source": "film", "confidence": sure if place % 9 == 0 else 0.97, "rejected": False, "changed_at": at,
        }
        for place, (limb, event, time_s) in enumerate(_contacts(film))
    ]  # fmt: skip


def _estimate(mean: float, half: float) -> dict[str, Any]:
    return {
        "mean": round(mean, 6),
        "sd": round(half, 6),
        "n": STRIDES,
        "ci95": [round(mean - half, 6), round(mean + half, 6)],
    }


def _result(film: dict[str, Any], at: datetime) -> dict[str, Any]:
    phase = film["phase"]
    sides = {
        "left": _estimate(phase + 0.4, 1.6),
        "right": _estimate(phase - 0.4, 1.6),
        "both": _estimate(phase, 1.1),
    }
    steps = {
        name: _estimate(0.8, 1.0)
        for name in ("hind_step", "fore_step", "lateral_phase", "duty_hind", "duty_fore")
    }
    stances = {
        name: {limb: _estimate(52, 2) for limb in ("LF", "RF", "LH", "RH")}
        for name in ("duty_pct", "stance_s", "swing_s")
    }
    contacts = [
        {"limb": limb, "event": event, "time_s": time_s, "sd_s": 0.005, "source": "film", "confidence": 0.97}
        for limb, event, time_s in _contacts(film)
    ]
    timing = {
        "stride_s": _estimate(0.6, 0.004),
        "lateral_phase_pct": sides,
        "left_right_pct": steps,
        **stances,
    }
    data = {
        "schema": 1,
        "contacts": contacts,
        "strides": STRIDES,
        "timing": timing,
        "runs": [{"timing": timing}],
    }
    return {
        "clip_id": film["number"], "revision": 0, "data": data, "phase_mean": phase, "phase_low": phase - 1.1,
        "phase_high": phase + 1.1, "phase_left": phase + 0.4, "phase_right": phase - 0.4, "phase_sd": 1.1,
        "strides": STRIDES, "stride_s": 0.6, "too_little": "", "made_at": at,
    }  # fmt: skip


if __name__ == "__main__":
    main()
