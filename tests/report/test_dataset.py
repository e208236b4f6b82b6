"""The data dictionary, the tables it describes, and how they are written."""

import hashlib
import io
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyarrow import parquet  # type: ignore[import-untyped]

from evenfall.report.dataset import (
    DICTIONARY,
    Piece,
    Study,
    as_study,
    contact_rows,
    csv_bytes,
    dictionary_page,
    longest_span,
    number_rows,
    package_data,
    parquet_bytes,
    result_row,
    shoe_rows,
    stride_rows,
    table_named,
)
from evenfall.shoeing import Foot, Setup

PAGE = Path(__file__).parents[2] / "docs/reference/data-dictionary.md"
KINDS = {"integer", "number", "string", "boolean", "date"}


def test_the_page_is_the_dictionary() -> None:
    assert PAGE.read_text() == dictionary_page()


@pytest.mark.parametrize("table", DICTIONARY, ids=lambda table: table.name)
def test_every_column_says_what_it_is_and_who_says_so(table: object) -> None:
    found = table_named(str(getattr(table, "name", "")))
    names = [column.name for column in found.columns]
    assert len(set(names)) == len(names)
    assert set(found.key) <= set(names)
    for column in found.columns:
        assert column.kind in KINDS
        assert column.means
        assert column.source
        for ending, unit in (("_kg", "kg"), ("_m", "m"), ("_pct", "%"), ("_s", "s"), ("_deg", "degrees")):
            if column.name.endswith(ending) and column.kind == "number":
                assert unit in column.unit, column.name


def test_what_a_person_says_and_keys_are_never_kept_as_they_are_by_oversight() -> None:
    """Words that a person types freely are hidden; what is kept is from lists of our own."""
    from_lists = {
        "goal",
        "limb",
        "event",
        "source",
        "side",
        "zone",
        "walking_or_running",
        "measure",
        "part",
        "unknown",
    }
    from_lists |= {"doubtful", "missing", "worn", "material"}
    for table in DICTIONARY:
        for column in table.columns:
            if column.kind == "date":
                assert column.study is Study.SHIFTED
            if column.kind == "string" and column.study is Study.KEPT:
                assert column.name in from_lists, (table.name, column.name)
            assert (column.study is Study.ANEW) == bool(column.of)


def test_every_reference_of_a_source_is_there() -> None:
    for table in DICTIONARY:
        for column in table.columns:
            for word in column.source.replace(",", " ").split():
                if word.startswith("docs/"):
                    path = PAGE.parents[2] / word
                    assert path.exists() or path.with_suffix(".md").exists(), word


def test_cells_are_written_by_their_kind_and_the_unknown_is_empty() -> None:
    table = table_named("outings")
    row = {
        "outing": 3,
        "on_date": date(2026, 5, 1),
        "rider": 'A "b", c',
        "checked": True,
        "head_deg": 12.5,
        "note": "",
    }
    head, line = csv_bytes(table, [row]).decode().splitlines()
    assert head.split(",") == [column.name for column in table.columns]
    assert line == '3,,,2026-05-01,"A ""b"", c",,,,,,12.5,,true,,'
    told = parquet.read_table(io.BytesIO(parquet_bytes(table, [row])))
    assert told.to_pylist()[0]["on_date"] == date(2026, 5, 1)
    assert told.schema.field("head_deg").metadata[b"unit"] == b"degrees"


def test_the_package_gives_size_hash_and_schema_of_every_file() -> None:
    table = table_named("clips")
    piece = Piece(table, "csv/clips.csv", csv_bytes(table, []))
    package = package_data([piece], name="x", title="X", version="1")
    assert package["$schema"] == "https://datapackage.org/profiles/2.0/datapackage.json"
    (resource,) = package["resources"]
    assert resource["bytes"] == len(piece.content)
    assert resource["hash"] == f"sha256:{hashlib.sha256(piece.content).hexdigest()}"
    assert resource["schema"]["primaryKey"] == ["clip"]
    assert resource["schema"]["foreignKeys"] == [
        {"fields": ["outing"], "reference": {"resource": "outings-csv", "fields": ["outing"]}}
    ]
    size = next(field for field in resource["schema"]["fields"] if field["name"] == "size")
    assert (size["type"], size["unit"]) == ("integer", "bytes")


def test_a_film_without_an_answer_has_no_numbers_and_says_so() -> None:
    data = {"contacts": [], "strides": 0, "error": {"code": "too_little_evidence", "message": "few"}}
    assert (contact_rows(1, data), stride_rows(1, data), number_rows(1, data)) == ([], [], [])
    assert result_row(1, data)["too_little_evidence"] is True


def test_an_unknown_number_says_why() -> None:
    rows = number_rows(1, {"timing": {"duty_pct": {"LF": {"unknown": "needs lift-offs"}}}})
    assert rows == [{"clip": 1, "measure": "duty_pct", "part": "LF", "unknown": "needs lift-offs"}]


def test_a_foot_not_said_and_a_bare_one_are_told_apart() -> None:
    rows = {row["limb"]: row for row in shoe_rows(Setup(lf=Foot(None, angle_deg=50)))}
    assert (rows["LF"]["worn"], rows["LF"]["mass_kg"], rows["LF"]["angle_deg"]) == ("bare", 0.0, 50)
    assert (rows["RF"]["worn"], rows["RF"].get("mass_kg")) == ("not said", None)


WORDS = st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), min_size=4).filter(str.strip)


@given(WORDS)
def test_no_word_of_a_name_is_taken_for_a_plain_one(name: str) -> None:
    """Whatever a rider is called, and where a place is called so too."""
    rows = [{"outing": 1, "rider": name, "ground": name, "on_date": date(2026, 1, 1)}]
    (row,) = as_study({"outings": rows}, shift_days=3)["outings"]
    named = any(letter.isalpha() for letter in name) or any(letter.isdigit() for letter in name)
    assert row["rider"] == "rider 1"
    assert row["ground"] == ("ground 1" if named else name)
    assert row["on_date"] == date(2026, 1, 4)


def test_a_plain_word_stays_unless_somebody_is_called_so() -> None:
    def ground(rider: str) -> object:
        rows = [{"outing": 1, "rider": rider, "ground": "hard lane"}]
        return as_study({"outings": rows}, shift_days=1)["outings"][0]["ground"]

    assert ground("Ann") == "hard lane"
    assert ground("Ann Lane") == "ground 1"


def test_the_span_is_from_the_first_day_of_any_table_to_the_last() -> None:
    tables = {"outings": [{"on_date": date(2026, 5, 1)}], "horses": [{"arrived_on": date(2026, 4, 1)}]}
    assert longest_span(tables) == 30
    assert longest_span({"outings": [{}]}) == 0
