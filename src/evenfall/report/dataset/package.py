"""``datapackage.json`` after the open Data Package standard, version 2: what files there are and what is in them."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from evenfall.report.dataset.columns import Column, Study, Table

__all__ = ["FilmPiece", "LargePiece", "Piece", "package_data", "with_films"]

PROFILE = "https://datapackage.org/profiles/2.0/datapackage.json"
MEDIA = {"csv": "text/csv", "parquet": "application/vnd.apache.parquet"}


@dataclass(frozen=True)
class Piece:
    """One file of a table."""

    table: Table
    path: str
    content: bytes

    @property
    def size(self) -> int:
        """Bytes in it."""
        return len(self.content)

    @property
    def sha256(self) -> str:
        """Hash of its bytes."""
        return hashlib.sha256(self.content).hexdigest()


@dataclass(frozen=True)
class LargePiece:
    """One file of a table that lies on the disk already."""

    table: Table
    path: str
    size: int
    sha256: str


@dataclass(frozen=True)
class FilmPiece:
    """One film of the legs that goes along: its number in the table of clips, its bytes and their hash."""

    number: int
    size: int
    sha256: str

    @property
    def path(self) -> str:
        """Where it lies in the copy."""
        return f"films/{self.number}.mp4"


def package_data(
    pieces: Iterable[Piece | LargePiece], *, name: str, title: str, version: str, study: bool = False
) -> dict[str, Any]:
    """Describe files of tables.

    Parameters
    ----------
    pieces : iterable of Piece or LargePiece
    name : str
        Small letters, figures and hyphens.
    title : str
    version : str
        Of Evenfall, that wrote it.
    study : bool
        Whether it is a study copy.

    Returns
    -------
    dict
    """
    return {
        "$schema": PROFILE,
        "name": name,
        "title": title,
        "description": _STUDY if study else _WHOLE,
        "version": version,
        "sources": [{"title": f"Evenfall {version}"}],
        "resources": [_resource(piece, study=study) for piece in pieces],
    }


def with_films(package: dict[str, Any], films: Iterable[FilmPiece], left_out: list[str]) -> dict[str, Any]:
    """Say which films of the legs go along with a study copy, and which do not and why."""
    told = " ".join([package["description"].replace("notes and films are", "notes are"), _LEGS, *left_out])
    return {**package, "description": told, "resources": [*package["resources"], *map(_film, films)]}


def _film(film: FilmPiece) -> dict[str, Any]:
    return {
        "name": f"film-{film.number}",
        "path": film.path,
        "description": f"The legs of film {film.number} of the table of clips.",
        "format": "mp4",
        "mediatype": "video/mp4",
        "bytes": film.size,
        "hash": f"sha256:{film.sha256}",
    }


_LEGS = (
    "Films show the legs alone and have no sound; each picture is at its own time on the clip's clock. The table of clips "
    "tells of the films as they were before."
)
_WHOLE = (
    "Timing of a gaited horse's feet, measured from film, and what it wore. SI units; what is not known is empty. "
    "Left-right differences are differences from left to right, no diagnosis."
)
_STUDY = (
    f"{_WHOLE} A study copy: names, owners and riders are numbers, notes and films are left out, every day is shifted by one "
    "number of days that was kept nowhere."
)


def _resource(piece: Piece | LargePiece, *, study: bool) -> dict[str, Any]:
    ending = piece.path.rpartition(".")[2]
    return {
        "name": f"{piece.table.name}-{ending}",
        "type": "table",
        "path": piece.path,
        "title": piece.table.name,
        "description": piece.table.means,
        "format": ending,
        "mediatype": MEDIA[ending],
        **({"encoding": "utf-8"} if ending == "csv" else {}),
        "bytes": piece.size,
        "hash": f"sha256:{piece.sha256}",
        "schema": _schema(piece.table, study=study),
    }


def _schema(table: Table, *, study: bool) -> dict[str, Any]:
    keys = [
        {"fields": [column.name], "reference": {"resource": f"{column.of}-csv", "fields": [column.name]}}
        for column in table.columns
        if column.of and column.of != table.name
    ]
    return {
        "fields": [_field(column, study=study) for column in table.columns],
        "missingValues": [""],
        "primaryKey": list(table.key),
        **({"foreignKeys": keys} if keys else {}),
    }


def _field(column: Column, *, study: bool) -> dict[str, Any]:
    told = {"name": column.name, "type": column.kind, "description": column.means, "source": column.source}
    more = {"unit": column.unit} if column.unit else {}
    hidden = {"study": str(column.study)} if study and column.study is not Study.KEPT else {}
    return {**told, **more, **hidden}
