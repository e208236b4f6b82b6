"""Rows as files: CSV for people and spreadsheets, Parquet for programs; both of the types the dictionary names."""

import io
from collections.abc import Mapping, Sequence
from typing import Any

from evenfall.report.dataset.columns import Table

__all__ = ["arrow_schema", "arrow_table", "csv_bytes", "csv_header", "parquet_bytes"]

Rows = Sequence[Mapping[str, Any]]


def csv_bytes(table: Table, rows: Rows) -> bytes:
    """Write rows as CSV (UTF-8, a header, commas); what is not known is empty."""
    from pyarrow import csv  # type: ignore[import-untyped]  # noqa: PLC0415 - heavy

    out = io.BytesIO()
    out.write(csv_header(table))
    plain = csv.WriteOptions(include_header=False, quoting_style="needed")
    csv.write_csv(arrow_table(table, rows), out, plain)
    return out.getvalue()


def parquet_bytes(table: Table, rows: Rows) -> bytes:
    """Write rows as Parquet; each column carries its unit and meaning, as the dictionary says."""
    from pyarrow import parquet  # noqa: PLC0415 - heavy

    out = io.BytesIO()
    parquet.write_table(arrow_table(table, rows), out, compression="zstd")
    return out.getvalue()


def csv_header(table: Table) -> bytes:
    """Return the first line of a table's CSV."""
    return (",".join(column.name for column in table.columns) + "\n").encode()


def arrow_table(table: Table, rows: Rows) -> Any:  # noqa: ANN401 - pyarrow ships no type information
    """Return rows as a table of Arrow's, of the types the dictionary names."""
    import pyarrow as pa  # noqa: PLC0415 - heavy

    values = [{column.name: _cell(row.get(column.name)) for column in table.columns} for row in rows]
    return pa.Table.from_pylist(values, schema=arrow_schema(table))


def arrow_schema(table: Table) -> Any:  # noqa: ANN401 - pyarrow ships no type information
    """Return a table's columns for Arrow; each carries its unit and meaning."""
    import pyarrow as pa  # noqa: PLC0415 - heavy

    kinds = {
        "integer": pa.int64(), "number": pa.float64(), "string": pa.string(), "boolean": pa.bool_(), "date": pa.date32(),
    }  # fmt: skip
    fields = [
        pa.field(
            column.name,
            kinds[column.kind],
            metadata={"unit": column.unit, "description": column.means, "source": column.source},
        )
        for column in table.columns
    ]
    return pa.schema(fields)


def _cell(value: object) -> object:
    """An empty word is one that was not said."""
    return None if value == "" else value
