"""What goes out: one horse whole for another barn, its numbers as tables, or a study copy with nobody in it."""

import json
import secrets
import zipfile
from collections.abc import Callable, Generator, Iterator, Mapping
from contextlib import closing, suppress
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any, Literal

from evenfall import __version__
from evenfall.errors import UnwritableOutput
from evenfall.flow.backing_up import say_size
from evenfall.flow.setups import setup_of_record
from evenfall.report.dataset import (
    DICTIONARY,
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
)
from evenfall.store import Barn, clips, horses, outings, results, setups
from evenfall.store.records import ClipRecord, Horse, Outing, SetupRecord
from evenfall.store.streaming import Stream
from evenfall.store.taking_out import horse_stream

__all__ = [
    "KINDS",
    "Kind",
    "Sent",
    "file_name",
    "say_films",
    "send",
    "study_tables",
    "tables_of",
    "write_export",
]

Kind = Literal["horse", "tables", "study"]
KINDS: tuple[Kind, ...] = ("horse", "tables", "study")
Row = dict[str, Any]
Progress = Callable[[float], None]

LEAST_SHIFT, SHIFTS = 60, 3000
"""A study's days are moved by more than the record spans and these days, up to so many more (our choice)."""


@dataclass(frozen=True)
class Sent:
    """A file on its way out: its name, its length, and its bytes; closing ``blocks`` ends it at any time."""

    name: str
    size: int
    blocks: Generator[bytes, None, None]


def send(barn: Barn, horse_id: int, kind: Kind) -> Sent:
    """Begin to send one horse.

    Parameters
    ----------
    barn : Barn
    horse_id : int
    kind : str
        ``horse``: whole, for another barn. ``tables``: its numbers. ``study``: its numbers with nobody in them.

    Raises
    ------
    NotFound, StoreError
    """
    name = file_name(horses.get(barn, horse_id), kind)
    if kind == "horse":
        made: Stream = horse_stream(barn, horse_id)
        return Sent(name, made.size, made.blocks)
    packed = _packed(barn, horse_id, study=kind == "study")
    return Sent(name, len(packed), _once(packed))


def write_export(barn: Barn, horse_id: int, kind: Kind, to: Path, progress: Progress | None = None) -> int:
    """Write what `send` sends into a file, whole or not at all, and return its length in bytes.

    Raises
    ------
    NotFound, StoreError, UnwritableOutput
    """
    sent = send(barn, horse_id, kind)
    part = to.with_name(f".{to.name}.{secrets.token_hex(4)}.part")
    with closing(sent.blocks):
        try:
            _write(part, sent, progress or (lambda _: None))
            part.replace(to)
        except OSError as error:
            raise UnwritableOutput(to, error.strerror or str(error)) from error
        finally:
            with suppress(OSError):
                part.unlink(missing_ok=True)
    return sent.size


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
        for piece in pieces:
            _put(file, piece.path, piece.content)
        _put(file, "data-dictionary.md", dictionary_page().encode())
        _put(file, "datapackage.json", json.dumps(package, indent=1, ensure_ascii=False).encode())
    return out.getvalue()


def _put(file: zipfile.ZipFile, name: str, content: bytes) -> None:
    """Under a day that tells nothing."""
    file.writestr(zipfile.ZipInfo(name), content, zipfile.ZIP_DEFLATED)


def _pieces(tables: Mapping[str, list[Row]]) -> Iterator[Piece]:
    for table in DICTIONARY:
        yield Piece(table, f"csv/{table.name}.csv", csv_bytes(table, tables[table.name]))
        yield Piece(table, f"parquet/{table.name}.parquet", parquet_bytes(table, tables[table.name]))


def _once(content: bytes) -> Generator[bytes, None, None]:
    yield content


def _write(part: Path, sent: Sent, progress: Progress) -> None:
    done = 0
    with part.open("xb") as file:
        for block in sent.blocks:
            done += file.write(block)
            progress(done / sent.size)
