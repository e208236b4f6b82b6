import re
from pathlib import Path

import pytest

from evenfall.store.schema import metadata

PAGE = (Path(__file__).parents[2] / "docs/reference/store.md").read_text()


@pytest.mark.parametrize("table", metadata.tables)
def test_every_column_has_its_line_in_the_reference(table: str) -> None:
    (part,) = re.findall(rf"### `{table}`\n(.*?)(?=\n### |\Z)", PAGE, re.S)
    told = re.findall(r"^\| `(\w+)(\??)` \|", part, re.M)
    columns = metadata.tables[table].c
    assert told == [(column.name, "?" if column.nullable else "") for column in columns]


def test_every_link_between_tables_is_followed_by_an_index() -> None:
    for table in metadata.tables.values():
        led = {next(iter(index.columns)).name for index in table.indexes} | {
            table.primary_key.columns.keys()[0]
        }
        for link in table.foreign_keys:
            assert link.parent.name in led, f"{table.name}.{link.parent.name}"
