"""The tables of a study, written as the films go by: a few thousand rows at a time, under other names until all is whole."""

import hashlib
import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, suppress
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from evenfall.flow.study.writing import told_of_disk
from evenfall.report.dataset import LargePiece, Table, arrow_schema, arrow_table, csv_header
from evenfall.report.study import CLIPS, FAILURES, STUDY

__all__ = ["TableFiles"]

ROWS_IN_A_GROUP = 4096
"""Rows of one row group: what is held at once, and what a reader can skip (our choice)."""

AS_CSV = (CLIPS, FAILURES)
"""Tables a person opens in a spreadsheet; the others are long."""

Row = Mapping[str, Any]


class TableFiles:
    """The files of every table, growing.

    Parameters
    ----------
    folder : Path
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._open = ExitStack()
        self._files: dict[str, list[_Growing]] = {}

    def __enter__(self) -> Self:
        for table in STUDY:
            kinds: list[type[_Growing]] = [_Parquet, _Csv] if table in AS_CSV else [_Parquet]
            self._files[table.name] = [self._open.enter_context(kind(table, self._folder)) for kind in kinds]
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._open.close()

    def add(self, table: Table, rows: Sequence[Row]) -> None:
        """Write rows behind those that are there.

        Raises
        ------
        DiskFull, UnwritableOutput
        """
        for file in self._files[table.name]:
            file.add(rows)

    def put(self) -> list[LargePiece]:
        """End every file, and put them in the places of the last ones, all whole.

        Raises
        ------
        DiskFull, UnwritableOutput
        """
        files = [file for files in self._files.values() for file in files]
        for file in files:
            file.end()
        return [file.put() for file in files]


class _Growing:
    """One file under another name; rows are gathered until they make a group."""

    ending = ""

    def __init__(self, table: Table, folder: Path) -> None:
        self.table = table
        self._to = folder / f"{table.name}.{self.ending}"
        self._part = folder / f".{self._to.name}.{os.getpid()}.part"
        self._rows: list[Row] = []

    def __enter__(self) -> Self:
        with told_of_disk(self._to):
            self._begin()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        with suppress(OSError):  # what was put is whole; what is left is thrown away
            self._close()
        with suppress(OSError):
            self._part.unlink(missing_ok=True)

    def add(self, rows: Sequence[Row]) -> None:
        self._rows.extend(rows)
        while len(self._rows) >= ROWS_IN_A_GROUP:
            self._write(self._rows[:ROWS_IN_A_GROUP])
            del self._rows[:ROWS_IN_A_GROUP]

    def end(self) -> None:
        if self._rows:
            self._write(self._rows)
            self._rows = []
        with told_of_disk(self._to):
            self._close()

    def put(self) -> LargePiece:
        with told_of_disk(self._to):
            with self._part.open("rb") as file:
                digest = hashlib.file_digest(file, "sha256").hexdigest()
                size = file.tell()
            self._part.replace(self._to)
        return LargePiece(self.table, self._to.name, size, digest)

    def _write(self, rows: Sequence[Row]) -> None:
        with told_of_disk(self._to):
            self._put(arrow_table(self.table, rows))

    def _begin(self) -> None:
        raise NotImplementedError

    def _put(self, rows: Any) -> None:  # noqa: ANN401 - pyarrow ships no type information
        raise NotImplementedError

    def _close(self) -> None:
        raise NotImplementedError


class _Parquet(_Growing):
    ending = "parquet"

    def _begin(self) -> None:
        from pyarrow import parquet  # type: ignore[import-untyped]  # noqa: PLC0415 - heavy

        self._writer: Any = parquet.ParquetWriter(self._part, arrow_schema(self.table), compression="zstd")

    def _put(self, rows: Any) -> None:  # noqa: ANN401
        self._writer.write_table(rows, row_group_size=ROWS_IN_A_GROUP)

    def _close(self) -> None:
        self._writer.close()


class _Csv(_Growing):
    ending = "csv"

    def _begin(self) -> None:
        self._file = self._part.open("wb")
        self._file.write(csv_header(self.table))

    def _put(self, rows: Any) -> None:  # noqa: ANN401
        from pyarrow import csv  # noqa: PLC0415 - heavy

        csv.write_csv(rows, self._file, csv.WriteOptions(include_header=False, quoting_style="needed"))

    def _close(self) -> None:
        self._file.close()


def numbered(rows: Sequence[Row], clip: int) -> Iterator[Row]:
    """Rows of one film, with its number."""
    return ({"clip": clip, **row} for row in rows)
