"""What goes out: one horse whole for another barn, its numbers as tables, or a study copy with nobody in it."""

import hashlib
import json
import secrets
import tempfile
import zipfile
from collections.abc import Callable, Generator, Iterator, Mapping
from contextlib import closing, suppress
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import Any, Literal

from evenfall import __version__
from evenfall.errors import UnwritableOutput, WrongSetting
from evenfall.flow.backing_up import say_size
from evenfall.flow.legs_films import LeftOut, write_barn_legs
from evenfall.flow.setups import setup_of_record
from evenfall.flow.showing.stages import Stages
from evenfall.report.dataset import (
    DICTIONARY,
    FilmPiece,
    Piece,
    as_study,
    contact_rows,
    csv_bytes,
    dictionary_page,
    longest_span,
    number_rows,
    package_data,
    parquet_bytes,
    result_row,
    setup_row,
    shoe_rows,
    stride_rows,
    with_films,
)
from evenfall.store import Barn, clips, horses, outings, results, setups
from evenfall.store.records import ClipRecord, Horse, Outing, SetupRecord
from evenfall.store.streaming import COPIES, Stream
from evenfall.store.taking_out import horse_stream

__all__ = [
    "FILMS",
    "KINDS",
    "Films",
    "Kind",
    "Sent",
    "Written",
    "file_name",
    "say_films",
    "send",
    "study_tables",
    "tables_of",
    "write_export",
]

Kind = Literal["horse", "tables", "study"]
KINDS: tuple[Kind, ...] = ("horse", "tables", "study")
Films = Literal["none", "legs"]
FILMS: tuple[Films, ...] = ("none", "legs")
"""What a study copy holds of the films."""
Row = dict[str, Any]
Progress = Callable[[float], None]

LEAST_SHIFT, SHIFTS = 60, 3000
"""A study's days are moved by more than the record spans and these days, up to so many more (our choice)."""


@dataclass(frozen=True)
class Sent:
    """A file on its way out: its name, its length where it is known before, and its bytes.

    Closing ``blocks`` ends it at any time; ``left_out`` is filled while they are taken.
    """

    name: str
    size: int | None
    blocks: Generator[bytes, None, None]
    left_out: list[LeftOut] = field(default_factory=list)


@dataclass(frozen=True)
class Written:
    """A file that was written: its length in bytes, and the films that could not go along."""

    size: int
    left_out: tuple[LeftOut, ...] = ()


def send(
    barn: Barn, horse_id: int, kind: Kind, *, films: Films = "none", progress: Progress | None = None
) -> Sent:
    """Begin to send one horse.

    Parameters
    ----------
    barn : Barn
    horse_id : int
    kind : str
        ``horse``: whole, for another barn. ``tables``: its numbers. ``study``: its numbers with nobody in them.
    films : str
        ``legs``: a study copy holds each film too, rewritten to the legs.
    progress : callable, optional
        Told how far the films are, 0 to 1; it may raise to stop the work.

    Raises
    ------
    NotFound, StoreError, WrongSetting
    """
    if films == "legs" and kind != "study":
        raise WrongSetting(
            "films of the legs alone are for a study copy; the whole horse takes its films as they are."
        )
    name = file_name(horses.get(barn, horse_id), kind)
    if films == "legs":
        left_out: list[LeftOut] = []
        return Sent(name, None, _with_legs(barn, horse_id, left_out, progress), left_out)
    if kind == "horse":
        made: Stream = horse_stream(barn, horse_id)
        return Sent(name, made.size, made.blocks)
    packed = _packed(barn, horse_id, study=kind == "study")
    return Sent(name, len(packed), _once(packed))


def write_export(  # noqa: PLR0913 - as `send`, and where to
    barn: Barn,
    horse_id: int,
    kind: Kind,
    to: Path,
    progress: Progress | None = None,
    *,
    films: Films = "none",
) -> Written:
    """Write what `send` sends into a file, whole or not at all.

    Raises
    ------
    NotFound, StoreError, UnwritableOutput, WrongSetting
    """
    sent = send(barn, horse_id, kind, films=films, progress=progress)
    part = to.with_name(f".{to.name}.{secrets.token_hex(4)}.part")
    with closing(sent.blocks):
        try:
            size = _write(part, sent, progress or (lambda _: None))
            part.replace(to)
        except OSError as error:
            raise UnwritableOutput(to, error.strerror or str(error)) from error
        finally:
            with suppress(OSError):
                part.unlink(missing_ok=True)
    return Written(size, tuple(sent.left_out))


def file_name(horse: Horse, kind: Kind) -> str:
    """Name the file; a study copy's name tells nothing.

    Examples
    --------
    >>> from datetime import UTC, datetime
    >>> file_name(Horse(name="Zoë's Jo", id=1, created_at=datetime.now(UTC)), "horse")
    'evenfall-zo-s-jo.zip'
    """
    if kind == "study":
        return "evenfall-study.zip"
    plain = "-".join("".join(c if c.isascii() and c.isalnum() else " " for c in horse.name.lower()).split())
    return f"evenfall-{plain or 'horse'}{'-tables' if kind == 'tables' else ''}.zip"


def say_films(barn: Barn, horse_id: int) -> str:
    """Say how many films go along with a horse, and how large they are."""
    films = {clip.sha256: clip.size for clip in clips.of_horse(barn, horse_id)}
    if not films:
        return "no film"
    return f"{len(films)} {'film' if len(films) == 1 else 'films'}, about {say_size(sum(films.values()))}"


def tables_of(barn: Barn, horse_id: int) -> dict[str, list[Row]]:
    """Return everything of one horse that can be put in rows, by the names of the data dictionary."""
    horse, rides = horses.get(barn, horse_id), sorted(outings.of_horse(barn, horse_id), key=_by_day)
    worn, shot = (
        setups.of_horse(barn, horse_id),
        sorted(clips.of_horse(barn, horse_id), key=lambda clip: clip.id),
    )
    read = {clip.id: result.data for result, clip, _ in results.of_horse(barn, horse_id, data=True)}
    known = [(clip.id, read[clip.id]) for clip in shot if clip.id in read]
    return {
        "horses": [_horse(horse)],
        "outings": [_outing(ride, worn) for ride in rides],
        "clips": [_clip(clip, read.get(clip.id, {})) for clip in shot],
        "contacts": [row for known_clip in known for row in contact_rows(*known_clip)],
        "strides": [row for known_clip in known for row in stride_rows(*known_clip)],
        "results": [result_row(*known_clip) for known_clip in known],
        "numbers": [row for known_clip in known for row in number_rows(*known_clip)],
        "setups": [_setup(each) for each in worn],
        "shoes": [{"setup": each.id, **row} for each in worn for row in shoe_rows(setup_of_record(each))],
    }


def study_tables(tables: Mapping[str, list[Row]]) -> dict[str, list[Row]]:
    """Return tables with nobody in them; by how many days they were moved is kept nowhere."""
    by = longest_span(tables) + LEAST_SHIFT + secrets.randbelow(SHIFTS)
    return as_study(tables, shift_days=by if secrets.randbelow(2) else -by)


# rows ------------------------------------------------------------------------------------------------------


def _by_day(outing: Outing) -> tuple[Any, int]:
    return outing.on_date, outing.id


def _said(record: object, *names: str) -> Row:
    return {name: getattr(record, name) for name in names}


def _horse(horse: Horse) -> Row:
    low, high = horse.band_pct or (None, None)
    words = (
        "name",
        "breed",
        "birth_year",
        "height_m",
        "mass_kg",
        "markings",
        "goal",
        "owner",
        "arrived_on",
        "note",
    )
    return {"horse": horse.id, **_said(horse, *words), "band_low_pct": low, "band_high_pct": high}


def _outing(outing: Outing, worn: tuple[SetupRecord, ...]) -> Row:
    words = (
        "on_date", "rider", "ground", "slope", "direction", "speed_asked", "head_carriage", "head_deg",
        "rider_tack_kg", "checked", "note",
    )  # fmt: skip
    begun = [each.id for each in worn if each.from_date <= outing.on_date]
    return {
        "outing": outing.id,
        "horse": outing.horse_id,
        "setup": begun[-1] if begun else None,
        **_said(outing, *words),
        "precheck": "; ".join(outing.precheck),
    }


def _clip(clip: ClipRecord, data: Mapping[str, Any]) -> Row:
    words = ("name", "sha256", "size", "width", "height", "frames", "duration_s", "capture_fps", "facing")
    factor = data.get("clip", {}).get("playback_factor")
    return {"clip": clip.id, "outing": clip.outing_id, **_said(clip, *words), "playback_factor": factor}


def _setup(record: SetupRecord) -> Row:
    told = {"setup": record.id, "horse": record.horse_id, "from_date": record.from_date}
    return {**told, **setup_row(setup_of_record(record))}


# files -----------------------------------------------------------------------------------------------------


def _packed(barn: Barn, horse_id: int, *, study: bool) -> bytes:
    tables = tables_of(barn, horse_id)
    name = "study" if study else file_name(horses.get(barn, horse_id), "tables").removesuffix(".zip")
    pieces = list(_pieces(study_tables(tables) if study else tables))
    title = "Evenfall study copy" if study else f"{tables['horses'][0]['name']}: timing of the feet"
    package = package_data(pieces, name=name, title=title, version=__version__, study=study)
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
        _put_tables(file, pieces, package)
    return out.getvalue()


def _put_tables(file: zipfile.ZipFile, pieces: list[Piece], package: Row) -> None:
    for piece in pieces:
        _put(file, piece.path, piece.content)
    _put(file, "data-dictionary.md", dictionary_page().encode())
    _put(file, "datapackage.json", json.dumps(package, indent=1, ensure_ascii=False).encode())


class _Outflow(BytesIO):
    """What a zip has written and nobody has taken yet; it is never gone back in."""

    def seekable(self) -> bool:
        return False

    def tell(self) -> int:
        raise OSError

    def taken(self) -> bytes:
        content = self.getvalue()
        super().seek(0)
        self.truncate()
        return content


def _with_legs(
    barn: Barn, horse_id: int, left_out: list[LeftOut], progress: Progress | None
) -> Generator[bytes, None, None]:
    """A study copy with films: each is rewritten, sent and forgotten before the next."""
    tables = tables_of(barn, horse_id)
    hidden, out, films = study_tables(tables), _Outflow(), list[FilmPiece]()
    numbers = [
        (after["clip"], before["clip"])
        for after, before in zip(hidden["clips"], tables["clips"], strict=True)
    ]
    stages = Stages(progress)
    with (
        tempfile.TemporaryDirectory(dir=barn.home, prefix=COPIES) as folder,
        zipfile.ZipFile(out, "w") as file,
    ):
        for place, (number, clip_id) in enumerate(numbers, start=1):
            made = Path(folder) / f"{number}.mp4"
            if why := write_barn_legs(barn, clip_id, made, stages.until(place / len(numbers))):
                left_out.append(LeftOut(number, why))
                made.unlink(missing_ok=True)
                continue
            films.append(_film_piece(number, made))
            for _ in _put_film(file, films[-1].path, made):
                yield out.taken()
            made.unlink()
        pieces = list(_pieces(hidden))
        package = package_data(
            pieces, name="study", title="Evenfall study copy", version=__version__, study=True
        )
        _put_tables(file, pieces, with_films(package, films, [str(each) for each in left_out]))
    yield out.taken()


def _film_piece(number: int, made: Path) -> FilmPiece:
    with made.open("rb") as film:
        digest = hashlib.file_digest(film, "sha256").hexdigest()
    return FilmPiece(number, made.stat().st_size, digest)


def _put_film(file: zipfile.ZipFile, name: str, made: Path) -> Iterator[None]:
    with made.open("rb") as film, file.open(zipfile.ZipInfo(name), "w", force_zip64=True) as into:
        while block := film.read(1 << 20):
            into.write(block)
            yield


def _put(file: zipfile.ZipFile, name: str, content: bytes) -> None:
    """Under a day that tells nothing."""
    file.writestr(zipfile.ZipInfo(name), content, zipfile.ZIP_DEFLATED)


def _pieces(tables: Mapping[str, list[Row]]) -> Iterator[Piece]:
    for table in DICTIONARY:
        yield Piece(table, f"csv/{table.name}.csv", csv_bytes(table, tables[table.name]))
        yield Piece(table, f"parquet/{table.name}.parquet", parquet_bytes(table, tables[table.name]))


def _once(content: bytes) -> Generator[bytes, None, None]:
    yield content


def _write(part: Path, sent: Sent, progress: Progress) -> int:
    done = 0
    with part.open("xb") as file:
        for block in sent.blocks:
            done += file.write(block)
            if sent.size is not None:
                progress(done / sent.size)
    return done
