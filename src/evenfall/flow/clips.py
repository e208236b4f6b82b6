"""A film that is kept: made light to step through, read by the machine, its clock and camera at hand for the pages.

What is written here lies in the film's derived folder, each file whole or not at all; thrown away, it is made again.
"""

import json
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Literal

import numpy as np

from evenfall import __version__
from evenfall.clip import Clip, Progress, open_clip
from evenfall.clip import proxy as proxies
from evenfall.clip.writing import part_of
from evenfall.contacts.film.steadying import steady_planes
from evenfall.errors import ClipError, WrongSetting
from evenfall.flow.films import read_film, write_whole
from evenfall.flow.ground import GROUND_FILE, as_read, save_ground
from evenfall.flow.marking import refresh
from evenfall.flow.placing import save_places
from evenfall.reading import Reading, ReadSettings
from evenfall.store import Barn, clips, jobs, readings
from evenfall.store.records import ClipRecord
from evenfall.timebase import Timebase

__all__ = [
    "METHOD",
    "PROXY_FILE",
    "describe",
    "ground_to_come",
    "make_proxy",
    "proxy_path",
    "read_clip",
    "say_of",
    "steadying",
    "times",
]

METHOD = "feet found in the film"
PROXY_FILE, TIMES_FILE, STEADYING_FILE = "proxy.mp4", "times.json", "steadying.json"


def describe(barn: Barn, clip_id: int) -> Clip:
    """Open a kept film and note its size, pictures and length in the store.

    Raises
    ------
    ClipError
        If it is not a film that can be read; it names the film as the person did.
    NotFound
        If there is no such film.
    """
    record = clips.get(barn, clip_id)
    clip = _opened(barn, record)
    base = clip.timebase
    clips.described(
        barn, clip_id, width=clip.width, height=clip.height, frames=base.n_frames, duration_s=base.duration_s
    )
    return clip


def make_proxy(barn: Barn, clip_id: int, progress: Progress | None = None) -> Path:
    """Make a kept film light to step through, and note that it is ready; if it cannot be, note why.

    Parameters
    ----------
    barn : Barn
    clip_id : int
    progress : Progress, optional

    Returns
    -------
    Path
        Of the proxy; one that is there already is left as it is.

    Raises
    ------
    ClipError
        If the film cannot be read.
    """
    record = clips.get(barn, clip_id)
    to = proxy_path(barn, record)
    try:
        clip = describe(barn, clip_id)
        if not to.is_file():
            _clear_parts(to)
            with _named(record):
                proxies.make_proxy(clip, to, progress=progress)
    except ClipError as error:
        clips.failed(barn, clip_id, str(error))
        raise
    clips.ready(barn, clip_id)
    return to


def proxy_path(barn: Barn, record: ClipRecord) -> Path:
    """Where a film's proxy lies, or will."""
    return clips.derived(barn, record) / PROXY_FILE


def read_clip(barn: Barn, clip_id: int, progress: Progress | None = None) -> None:
    """Have the machine read a kept film, and keep its contacts and what it saw.

    A film without feet to be found is read all the same: its reading holds no contacts and says why. A film that was
    read in the same way before, with or without feet, is not read again. What a person marked is never touched.

    Parameters
    ----------
    barn : Barn
    clip_id : int
    progress : Progress, optional

    Raises
    ------
    ClipError
        If the film cannot be decoded to its end.
    """
    record = clips.get(barn, clip_id)
    folder, known = clips.derived(barn, record), _is_read(barn, record)
    seen = [folder / as_read(name, _settings(record)) for name in (STEADYING_FILE, GROUND_FILE)]
    if not (known and all(file.is_file() for file in seen)):
        with _named(record):
            reading = read_film(clips.original(barn, record), settings=_settings(record), progress=progress)
        write_whole(seen[0], json.dumps(_steadying(reading), allow_nan=False).encode())
        save_ground(folder, reading)
        save_places(folder, reading)
        if not known:
            _save(barn, record, reading)
    refresh(barn, clip_id)


def ground_to_come(barn: Barn, clip_id: int) -> str:
    """Say that what the film itself shows is not here yet, and see that it comes; nothing where it is here.

    A reading of the machine's may be here without it: it came with a horse from another barn, or what is derived was
    thrown away. Then the film is read again, unless that was stopped or failed.

    Raises
    ------
    NotFound
    """
    record = clips.get(barn, clip_id)
    file = clips.derived(barn, record) / as_read(GROUND_FILE, _settings(record))
    film_is_here = clips.original(barn, record).is_file()
    if file.is_file() or not film_is_here or readings.machine(barn, clip_id) is None:
        return ""
    last = next((job for job in reversed(jobs.of_clip(barn, clip_id)) if job.kind == "read"), None)
    if last and last.state in ("failed", "cancelled"):
        return "The picture of ground and time is not here. Look for the feet in the film, and it is made."
    jobs.add(barn, clip_id, "read")
    return "The picture of ground and time is being prepared. It comes here by itself."


def say_of(barn: Barn, clip_id: int, *, rate: str, facing: str, by: str = "") -> None:
    """Write down what a person says of a film; where it changes the answer, the machine reads the film anew.

    Parameters
    ----------
    barn : Barn
    clip_id : int
    rate : str
        True pictures a second of a slow-motion film, in figures; empty where the film's own clock is right.
    facing : str
        ``left`` or ``right``, or empty for as it is seen to go.
    by : str
        Who says so.

    Raises
    ------
    NotFound, WrongSetting
    """
    sides: dict[str, Literal["left", "right"] | None] = {"": None, "left": "left", "right": "right"}
    if facing not in sides:
        raise WrongSetting(f"expected a horse going left or right in the picture, found {facing!r}.")
    before = clips.get(barn, clip_id)
    after = clips.change(barn, clip_id, capture_fps=_rate(rate), facing=sides[facing], by=by)
    if (before.capture_fps, before.facing) != (after.capture_fps, after.facing):
        jobs.add(barn, clip_id, "read")


def _rate(text: str) -> float | None:
    try:
        return float(text.strip().replace(",", ".")) if text.strip() else None
    except ValueError as error:
        raise WrongSetting(f"expected pictures a second in figures, such as 240, found {text!r}.") from error


def times(barn: Barn, clip_id: int) -> dict[str, Any]:
    """When each picture of a kept film is shown, seconds on the clip's clock.

    Parameters
    ----------
    barn : Barn
    clip_id : int

    Returns
    -------
    dict
        ``times_s``, one for each picture; ``end_s``, when the last one ends; ``playback_factor`` and ``capture_fps``
        as the film is read now. The proxy shows picture ``i`` at ``times_s[i] - times_s[0]``.

    Raises
    ------
    ClipError
        If the film cannot be read.
    """
    record = clips.get(barn, clip_id)
    base = Timebase(np.array(_times_s(barn, record)))
    if record.capture_fps is not None:
        base = base.at_capture_rate(record.capture_fps)
    return {
        "times_s": base.times_s.tolist(),
        "end_s": float(base.times_s[0] + base.duration_s),
        "playback_factor": base.playback_factor,
        "capture_fps": base.capture_fps,
    }


def steadying(barn: Barn, clip_id: int) -> list[list[list[float]] | None] | None:
    """How each picture of a kept film is laid so that the ground stands still.

    Returns
    -------
    list or None
        One 3 by 3 homography or None for each picture, as `evenfall.contacts.film.steadying` tells; None as a whole
        where the film has not been read yet, or was not looked at.
    """
    record = clips.get(barn, clip_id)
    file = clips.derived(barn, record) / as_read(STEADYING_FILE, _settings(record))
    planes: list[list[list[float]] | None] | None = _read_json(file)
    return planes


def _opened(barn: Barn, record: ClipRecord) -> Clip:
    with _named(record):
        return open_clip(clips.original(barn, record), capture_fps=record.capture_fps)


@contextmanager
def _named(record: ClipRecord) -> Iterator[None]:
    """Errors name the film as the person did, not where it is kept."""
    try:
        yield
    except ClipError as error:
        raise ClipError(Path(record.name), str(error).removeprefix(f"{error.path}: ")) from error


def _clear_parts(to: Path) -> None:
    """Remove what a work that was broken off left half made."""
    for part in to.parent.glob(part_of(to, "*").name):
        with suppress(OSError):
            part.unlink()


def _settings(record: ClipRecord) -> ReadSettings:
    return ReadSettings(capture_fps=record.capture_fps, facing=record.facing)


def _asked(record: ClipRecord) -> dict[str, Any]:
    return {"capture_fps": record.capture_fps, "facing": record.facing}


def _is_read(barn: Barn, record: ClipRecord) -> bool:
    """Whether the newest machine reading is what reading it again would give."""
    last = readings.machine(barn, record.id)
    if last is None or (last.method, last.version) != (METHOD, __version__):
        return False
    return {name: last.settings.get(name) for name in _asked(record)} == _asked(record)


def _save(barn: Barn, record: ClipRecord, reading: Reading) -> None:
    settings = {**_asked(record), "seen_facing": reading.facing, "too_little": reading.too_little}
    readings.save_machine(
        barn, record.id, reading.contacts, method=METHOD, version=__version__, settings=settings
    )


def _steadying(reading: Reading) -> list[list[list[float]] | None] | None:
    if reading.feet is None:
        return None
    seen = reading.feet.seen
    planes = steady_planes(reading.clip, seen.camera, seen.picture)
    return [
        None if plane is None else [[float(f"{x:.9g}") for x in row] for row in plane] for plane in planes
    ]


def _times_s(barn: Barn, record: ClipRecord) -> list[float]:
    file = clips.derived(barn, record) / TIMES_FILE
    kept: list[float] | None = _read_json(file)
    if kept is None:
        kept = _opened(barn, record).timebase.times_s.tolist()
        write_whole(file, json.dumps(kept).encode())
    return kept


def _read_json(file: Path) -> Any:  # noqa: ANN401 - what the caller wrote
    try:
        return json.loads(file.read_bytes())
    except FileNotFoundError:
        return None
