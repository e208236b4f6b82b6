"""The data dictionary as a page to read."""

from collections.abc import Iterator

from evenfall.report.dataset.columns import DICTIONARY, Table

__all__ = ["dictionary_page", "table_lines"]

HEAD = """# Data dictionary

The tables that `evenfall export HORSE --tables` and the page *Data* of a horse write, each as CSV and as Parquet. Made from
`src/evenfall/report/dataset/columns.py` by `make docs`; change that, not this page. How to use them: [take data away](../howto/take-data-away.md).

SI units. Times are seconds on the clip's clock unless the unit says real seconds. What was not said or could not be measured is
empty. The last column says what an anonymous study copy holds.
"""


def dictionary_page() -> str:
    """Write every table and column as Markdown."""
    return "\n".join([HEAD, *(line for table in DICTIONARY for line in table_lines(table))])


def table_lines(table: Table, *, copies: bool = True) -> Iterator[str]:
    """Write one table as Markdown; ``copies`` adds what a study copy holds of each column."""
    yield f"## {table.name}"
    yield ""
    yield f"A row is {table.means}; it is known by {', '.join(f'`{name}`' for name in table.key)}."
    yield ""
    yield f"| column | type | unit | what it is | who says so |{' in a study copy |' if copies else ''}"
    yield f"|---|---|---|---|---|{'---|' if copies else ''}"
    for each in table.columns:
        cells = (f"`{each.name}`", each.kind, each.unit, each.means, each.source)
        yield f"| {' | '.join([*cells, str(each.study)] if copies else cells)} |"
    yield ""
