"""What the film itself showed of the feet, kept beside the film: it can be thrown away and read again."""

import json
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import Any

from evenfall.contacts import Event, Limb
from evenfall.contacts.film import INFERRED, FilmFeet, Ride
from evenfall.flow.films import write_whole
from evenfall.reading import Reading, ReadSettings
from evenfall.report.prints import Print, prints
from evenfall.report.tables import print_table, seen_table

__all__ = ["GROUND_FILE", "as_read", "save_ground", "saved_ground"]

GROUND_FILE = "ground.json"


def as_read(name: str, settings: ReadSettings) -> str:
    """Name a derived file by how the film was read; what is derived lies with the bytes, and two clips may share those.

    Examples
    --------
    >>> as_read("ground.json", ReadSettings())
    'ground.json'
    >>> as_read("ground.json", ReadSettings(capture_fps=240.0, facing="left"))
    'ground-at-240.0-left.json'
    """
    rate = "" if settings.capture_fps is None else f"-at-{float(settings.capture_fps)!r}"
    side = "" if settings.facing is None else f"-{settings.facing}"
    stem, dot, kind = name.rpartition(".")
    return f"{stem}{rate}{side}{dot}{kind}"


def save_ground(folder: Path, reading: Reading) -> None:
    """Write the picture of ground and time and the track map of a machine's reading, for page and phone.

    Parameters
    ----------
    folder : Path
        Of what is derived from the film.
    reading : Reading
        Of feet found in the film.
    """
    data = {
        "too_little": reading.too_little,
        "cautions": [asdict(caution) for caution in reading.cautions],
        "wide": _charts(reading, narrow=False),
        "narrow": _charts(reading, narrow=True),
        "tables": _tables(reading),
    }
    write_whole(folder / as_read(GROUND_FILE, reading.settings), json.dumps(data, allow_nan=False).encode())


def saved_ground(folder: Path, settings: ReadSettings) -> dict[str, Any]:
    """Return what `save_ground` wrote of a film read so; empty where it was not yet or the file was thrown away."""
    try:
        data: dict[str, Any] = json.loads((folder / as_read(GROUND_FILE, settings)).read_bytes())
    except FileNotFoundError:
        return {}
    return data


def _charts(reading: Reading, *, narrow: bool) -> dict[str, Any]:
    from evenfall.report.charts.page import space_time_chart, track_chart  # noqa: PLC0415 - a second of imports

    if reading.feet is None:
        return {}
    factor = reading.clip.timebase.playback_factor
    made = {"space_time": space_time_chart(reading.feet, factor, narrow=narrow)}
    for ride, of in _longest_track(reading.feet, factor):
        stride_s = 2 * ride.pattern.half_s * factor if ride.pattern else 0.0
        made["track_map"] = track_chart(of, heading=ride.heading, stride_s=stride_s, narrow=narrow)
    return {name: spec for name, spec in made.items() if spec}


def _tables(reading: Reading) -> dict[str, Any]:
    if reading.feet is None:
        return {}
    seen = _seen(reading)
    tables = {"space_time": asdict(seen_table(seen))}
    for _, of in _longest_track(reading.feet, reading.clip.timebase.playback_factor):
        tables["track_map"] = asdict(print_table(of))
    return tables


def _seen(reading: Reading) -> Iterator[tuple[Limb, Event, float, bool]]:
    return ((m.limb, m.event, m.time_s, m.source != INFERRED) for m in reading.contacts)


def _longest_track(feet: FilmFeet, factor: float) -> Iterator[tuple[Ride, list[Print]]]:
    """The ride that shows most prints, if any does."""
    made = [(ride, prints(feet, ride, factor)) for ride in feet.rides]
    best = max(made, key=lambda each: len(each[1]), default=None)
    if best is not None and best[1] and best[0].pattern is not None:
        yield best
