"""Films on their way into the barn: what is taken, what is refused, and the outing they belong to."""

from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path, PurePosixPath

from evenfall.clip import open_clip
from evenfall.errors import ClipError, WrongSetting
from evenfall.flow.backing_up import say_size
from evenfall.store import Barn, horses, outings, uploads
from evenfall.store.records import ClipRecord, HorseFields, Outing, OutingFields, Upload

__all__ = [
    "LARGEST", "Arriving", "BrokenOff", "OutingName", "begin", "broken_off", "check_film_opens", "drop_abandoned", "finish", "outing_for", "plain_name", "recent_outings",
]  # fmt: skip

LARGEST = 4 * 2**30
"""The most bytes of one film."""

RECENT = 30

STILL_S = 60
"""A film of which something came so lately may still be coming (our choice)."""

ABANDONED_S = 14 * 24 * 3600
"""How long a film that broke off is waited for (our choice)."""


@dataclass(frozen=True)
class OutingName:
    """An outing as a choice in a list.

    Parameters
    ----------
    id : int
    horse : str
        Its horse's name.
    on_date : date
    """

    id: int
    horse: str
    on_date: date


@dataclass(frozen=True)
class Arriving:
    """A film that is to come.

    Parameters
    ----------
    key : str
        The same for the same film on the same device. Sent again to another outing it is another film on its way.
    name : str
        What the file is called; only its last part is kept, and only to be shown.
    size : int
        Bytes.
    horse, outing : int, optional
        What it belongs to; of a horse alone, the day's outing is taken or made.
    """

    key: str
    name: str
    size: int
    horse: int | None = None
    outing: int | None = None


@dataclass(frozen=True)
class BrokenOff:
    """A film of which a part is here.

    Parameters
    ----------
    id : str
        Of its upload.
    name : str
    outing : OutingName
        Where it belongs, and where it goes on.
    says : str
        How much of it is here, and since when nothing came.
    """

    id: str
    name: str
    outing: OutingName
    says: str


def begin(barn: Barn, film: Arriving) -> Upload:
    """Begin a film that comes in pieces, or find the one that broke off.

    Raises
    ------
    WrongSetting
        If it is empty, too large, or belongs to nothing.
    DiskFull
        If it would not fit on the disk.
    NotFound
    """
    if not 0 < film.size <= LARGEST:
        raise WrongSetting(
            f"expected a film of 1 byte to {LARGEST // 2**30} GB, found {film.size} bytes. Film a shorter pass, or cut it."
        )
    return uploads.begin(
        barn,
        key=f"{film.key} of {f'horse {film.horse}' if film.outing is None else film.outing}",
        name=plain_name(film.name),
        size=film.size,
        horse_id=film.horse,
        outing_id=film.outing,
    )


def broken_off(barn: Barn, *, now: float) -> tuple[BrokenOff, ...]:
    """List the films that broke off on their way to an outing, the last begun first.

    Parameters
    ----------
    barn : Barn
    now : float
        Seconds, as files' times are told.
    """
    names = {horse.id: horse.name for horse in horses.every(barn)}
    known = {outing.id: outing for outing in outings.every(barn)}
    found = []
    for upload in uploads.on_their_way(barn):
        outing = known.get(upload.outing_id or 0)
        if upload.offset and outing:
            here = OutingName(outing.id, names[outing.horse_id], outing.on_date)
            found.append(BrokenOff(upload.id, upload.name, here, _say_here(barn, upload, now)))
    return tuple(found)


def _say_here(barn: Barn, upload: Upload, now: float) -> str:
    part = f"{say_size(upload.offset)} of {say_size(upload.size)} is here"
    with suppress(OSError):  # it was finished or given up a moment ago
        quiet_s = now - (barn.home / "incoming" / f"{upload.id}.part").stat().st_mtime
        if quiet_s < STILL_S:
            return f"{part}; the last of it came just now, perhaps it is still on its way"
        return f"{part}; nothing came for {_say_long(quiet_s)}"
    return part


def _say_long(quiet_s: float) -> str:
    """Say how long, in the largest whole unit: 3 minutes, 5 hours, 2 days."""
    for unit, size in (("day", 86_400), ("hour", 3_600), ("minute", 60)):
        if quiet_s >= size:
            count = int(quiet_s // size)
            return f"{count} {unit}{'' if count == 1 else 's'}"
    return "less than a minute"


def drop_abandoned(barn: Barn, *, now: float) -> None:
    """Throw away what is here of films that nobody has gone on with for two weeks; sent again they begin anew.

    Parameters
    ----------
    barn : Barn
    now : float
        Seconds, as files' times are told.
    """
    for part in (barn.home / "incoming").glob("*.part"):
        with suppress(OSError):  # another process was faster
            if now - part.stat().st_mtime > ABANDONED_S:
                part.unlink()


def finish(barn: Barn, upload_id: str, *, by: str = "") -> tuple[ClipRecord, bool]:
    """Keep a film that is all here, if it opens; otherwise nothing of it is kept.

    Returns
    -------
    ClipRecord
    bool
        Whether the same film was here already.

    Raises
    ------
    ClipError
        If it does not open as a film.
    WrongSetting
        If not all of it is here yet.
    """
    upload = uploads.get(barn, upload_id)
    if upload.state == "open":
        if upload.offset != upload.size:
            raise WrongSetting(
                f"{upload.name}: expected {upload.size} bytes, found {upload.offset} so far. Send the rest first."
            )
        try:
            check_film_opens(barn.home / "incoming" / f"{upload.id}.part", upload.name)
        except ClipError:
            uploads.cancel(barn, upload_id)
            if uploads.get(barn, upload_id).state != "done":  # else it was just kept, as asked twice at once
                raise
    return uploads.finish(barn, upload_id, by=by)


def check_film_opens(path: Path, name: str) -> None:
    """See that a file is a film that can be read, and say it under the name the person knows.

    Raises
    ------
    ClipError
    """
    try:
        open_clip(path)
    except ClipError as error:
        raise ClipError(Path(name), str(error).removeprefix(f"{path}: ")) from error


def outing_for(barn: Barn, horse_id: int | None, new_horse: str, on_date: date, *, by: str = "") -> Outing:
    """Return a horse's outing of a day, made if there is none; a new horse is made first.

    Raises
    ------
    WrongSetting
        If neither a horse nor a new one's name is given.
    NotFound
    """
    if new_horse.strip():
        horse_id = horses.add(barn, HorseFields(name=new_horse.strip()), by=by).id
    if horse_id is None:
        raise WrongSetting("expected a horse, found none. Choose one, or write a new one's name.")
    known = outings.of_horse(barn, horse_id)
    found = next((outing for outing in known if outing.on_date == on_date), None)
    return found or outings.add(barn, OutingFields(horse_id=horse_id, on_date=on_date), by=by)


def recent_outings(barn: Barn) -> tuple[OutingName, ...]:
    """The newest outings, as choices."""
    names = {horse.id: horse.name for horse in horses.every(barn)}
    newest = outings.every(barn)[:RECENT]
    return tuple(OutingName(outing.id, names[outing.horse_id], outing.on_date) for outing in newest)


def plain_name(name: str) -> str:
    r"""Only the last part of a file's name, without signs that steer a terminal; never used as a path.

    Examples
    --------
    >>> plain_name("../../etc/passwd"), plain_name("C:\\films\\ride.mp4"), plain_name("..")
    ('passwd', 'ride.mp4', 'film')
    """
    last = PurePosixPath(name.replace("\\", "/")).name
    kept = "".join(letter for letter in last if letter.isprintable()).strip(" .")[:200]
    return kept or "film"
