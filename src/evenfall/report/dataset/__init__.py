"""The barn's numbers as tables to take away: what each column means, its rows, and the files they are written into.

Pure: values in, rows and bytes out. Conventions: SI units, seconds on the clip's clock where the column says so; what was
not said or could not be measured is empty.
"""

from evenfall.report.dataset.columns import DICTIONARY, Column, Study, Table, table_named
from evenfall.report.dataset.dictionary import dictionary_page, table_lines
from evenfall.report.dataset.numbers import number_rows, result_row
from evenfall.report.dataset.package import FilmPiece, LargePiece, Piece, package_data, with_films
from evenfall.report.dataset.strides import contact_rows, stride_rows
from evenfall.report.dataset.study import Tables, as_study, longest_span
from evenfall.report.dataset.worn import setup_row, shoe_rows
from evenfall.report.dataset.writing import arrow_schema, arrow_table, csv_bytes, csv_header, parquet_bytes

__all__ = [
    "DICTIONARY",
    "Column",
    "FilmPiece",
    "LargePiece",
    "Piece",
    "Study",
    "Table",
    "Tables",
    "arrow_schema",
    "arrow_table",
    "as_study",
    "contact_rows",
    "csv_bytes",
    "csv_header",
    "dictionary_page",
    "longest_span",
    "number_rows",
    "package_data",
    "parquet_bytes",
    "result_row",
    "setup_row",
    "shoe_rows",
    "stride_rows",
    "table_lines",
    "table_named",
    "with_films",
]
