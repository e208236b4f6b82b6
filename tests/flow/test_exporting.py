"""What leaves: tables that say what the readings say, and a study copy with nobody in it."""

import csv
import io
import json
import zipfile
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from pyarrow import parquet  # type: ignore[import-untyped]

from evenfall.errors import UnwritableOutput
from evenfall.flow.exporting import FILMS, KINDS, send, study_tables, tables_of, write_export
from evenfall.report.dataset import DICTIONARY, Study, as_study
from evenfall.shoeing import masses_of
from evenfall.store import Barn, clips, horses, outings, results, setups
from evenfall.store.records import HorseFields
from tests.flow.leaving import NAMES, leaving
from tests.flow.shod import heavy_behind
from tests.fresh import new_barn


@pytest.fixture(scope="module")
def barn(film: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Barn]:
    """A barn that is only looked at."""
    with new_barn(tmp_path_factory.mktemp("from") / "barn") as opened:
        leaving(opened, film)
        yield opened


@pytest.fixture(scope="module")
def tables(barn: Barn) -> dict[str, list[dict[str, Any]]]:
    return tables_of(barn, 1)


@pytest.fixture(scope="module", params=FILMS)
def study(barn: Barn, tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest) -> Path:
    to = tmp_path_factory.mktemp("out") / "study.zip"
    write_export(barn, 1, "study", to, films=request.param)
    return to


def unpacked(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as file:
        return {info.filename: file.read(info) for info in file.infolist()}


def days_put_in(barn: Barn) -> set[str]:
    """Every day of the record, as it is written."""
    days = {outing.on_date for outing in outings.of_horse(barn, 1)}
    days |= {each.from_date for each in setups.of_horse(barn, 1)}
    days |= {date(2024, 8, 3), date(2026, 3, 2)}
    return {day.isoformat() for day in days}


def test_every_table_of_the_dictionary_has_rows_of_its_columns(
    tables: dict[str, list[dict[str, Any]]],
) -> None:
    assert list(tables) == [table.name for table in DICTIONARY]
    for table in DICTIONARY:
        names = {column.name for column in table.columns}
        assert tables[table.name]
        for row in tables[table.name]:
            assert set(row) <= names
        keys = [tuple(row[name] for name in table.key) for row in tables[table.name]]
        assert len(set(keys)) == len(keys)


def test_strides_are_those_of_the_reading(barn: Barn, tables: dict[str, list[dict[str, Any]]]) -> None:
    (clip,) = [clip for clip in clips.of_horse(barn, 1) if clip.name.startswith("juniper")]
    result = results.of_clip(barn, clip.id)
    assert result is not None
    rows = [row for row in tables["strides"] if row["clip"] == clip.id]
    told = result.data["each_stride"]
    assert len(rows) == len(told) > 10
    for row, each in zip(rows, told, strict=True):
        assert row["side"] == each["side"]
        assert row.get("lateral_phase_pct") == pytest.approx(each["lateral_phase_pct"], abs=1e-5)
        assert row["stride_s"] == pytest.approx(each["stride_s"], abs=1e-5)
        fore = "LF" if row["side"] == "left" else "RF"
        assert row[f"place_{fore}_pct"] == pytest.approx(row["lateral_phase_pct"])
    both = next(
        row
        for row in tables["numbers"]
        if (row["clip"], row["measure"], row["part"]) == (clip.id, "lateral_phase_pct", "both")
    )
    assert (both["mean"], both["low"], both["high"]) == (
        result.phase_mean,
        result.phase_low,
        result.phase_high,
    )


def test_shoes_carry_their_masses(tables: dict[str, list[dict[str, Any]]]) -> None:
    masses = masses_of(heavy_behind())
    first = [row for row in tables["shoes"] if row["setup"] == tables["setups"][0]["setup"]]
    assert {row["limb"]: row["mass_kg"] for row in first} == {
        limb: mass.mass_kg for limb, mass in masses.feet.items() if mass
    }
    assert tables["setups"][0]["hind_minus_front_kg"] == masses.hind_minus_front_kg


def test_an_outing_names_the_setup_that_was_worn(barn: Barn, tables: dict[str, list[dict[str, Any]]]) -> None:
    for row in tables["outings"]:
        worn = setups.worn_on(barn, 1, row["on_date"])
        assert row["setup"] == (worn and worn.id)


def test_csv_and_parquet_hold_the_same_and_the_package_describes_them(barn: Barn, tmp_path: Path) -> None:
    write_export(barn, 1, "tables", tmp_path / "t.zip")
    parts = unpacked(tmp_path / "t.zip")
    package = json.loads(parts["datapackage.json"])
    assert {each["path"] for each in package["resources"]} == set(parts) - {
        "datapackage.json",
        "data-dictionary.md",
    }
    for table in DICTIONARY:
        text = list(csv.DictReader(io.StringIO(parts[f"csv/{table.name}.csv"].decode())))
        rows = parquet.read_table(io.BytesIO(parts[f"parquet/{table.name}.parquet"])).to_pylist()
        assert len(text) == len(rows) > 0
        for written, row in zip(text, rows, strict=True):
            for column in table.columns:
                assert same(written[column.name], row[column.name]), column.name
    assert b"Willa Quennell" in parts["csv/horses.csv"]


def same(text: str, value: object) -> bool:
    if value is None:
        return text == ""
    if isinstance(value, bool):
        return text == str(value).lower()
    return float(text) == value if isinstance(value, int | float) else text == str(value)


def test_nobody_is_in_a_study_copy(barn: Barn, study: Path) -> None:
    """Every byte is looked at, packed and unpacked, Parquet's own packing undone too."""
    parts = unpacked(study)
    tables = [parquet.read_table(io.BytesIO(parts[name])) for name in parts if name.endswith(".parquet")]
    shown = "".join(str(table.to_pylist()) + str(table.schema.metadata) for table in tables)
    everything = [study.read_bytes(), *parts.values(), *(name.encode() for name in parts), shown.encode()]
    hashes = [clip.sha256 for clip in clips.of_horse(barn, 1)]
    put_in = [
        *NAMES,
        *(part for name in NAMES for part in name.split() if part[0].isupper()),
        *days_put_in(barn),
        *hashes,
    ]
    assert len(put_in) > 50
    for word in put_in:
        for content in everything:
            assert word.lower().encode() not in content.lower(), word
    assert all(
        "2015" not in row.values() for row in horses_in(parts)
    )  # a shifted day may well lie in that year


def horses_in(parts: dict[str, bytes]) -> list[dict[str, str]]:
    rows = list(csv.DictReader(io.StringIO(parts["csv/horses.csv"].decode())))
    assert rows
    return rows


def test_the_search_would_find_a_name(barn: Barn, tmp_path: Path) -> None:
    write_export(barn, 1, "tables", tmp_path / "t.zip")
    parts = unpacked(tmp_path / "t.zip")
    assert [row["birth_year"] for row in horses_in(parts)] == ["2015"]
    content = b"".join(parts.values()).decode(errors="replace")
    for word in (
        "Juniper",
        "Willa Quennell",
        "Tobias Marsh",
        "2026-05-16",
        "sold by Ambrose",
        "Marsh saddle",
    ):
        assert word in content


def test_a_study_copy_keeps_what_was_measured(tables: dict[str, list[dict[str, Any]]]) -> None:
    hidden = study_tables(tables)
    assert {name: len(rows) for name, rows in hidden.items()} == {
        name: len(rows) for name, rows in tables.items()
    }
    for table in DICTIONARY:
        kept = [column.name for column in table.columns if column.study is Study.KEPT]
        for row, before in zip(hidden[table.name], tables[table.name], strict=True):
            assert {name: row[name] for name in kept} == {name: known(before.get(name)) for name in kept}
    ride = next(row for row in hidden["outings"] if row["rider"])
    assert (ride["rider"], ride["ground"], ride["slope"]) == ("rider 1", "ground 1", "level")
    assert hidden["horses"][0]["name"] == "name 1"


def known(value: Any) -> Any:
    return None if value == "" else value


def test_days_keep_their_distances_and_are_moved_anew_each_time(
    tables: dict[str, list[dict[str, Any]]],
) -> None:
    before = [row["on_date"] for row in tables["outings"]]
    moves = set()
    for _ in range(4):
        after = [row["on_date"] for row in study_tables(tables)["outings"]]
        (move,) = {there - here for here, there in zip(before, after, strict=True)}
        assert abs(move) > max(before) - min(before)
        moves.add(move)
    assert len(moves) > 1


def test_keys_are_numbered_anew_and_still_lead_to_each_other(tables: dict[str, list[dict[str, Any]]]) -> None:
    far = {
        name: [{**row, **({"outing": row["outing"] + 700} if row.get("outing") else {})} for row in rows]
        for name, rows in tables.items()
    }
    hidden = as_study(far, shift_days=1)
    assert [row["outing"] for row in hidden["outings"]] == list(range(1, len(hidden["outings"]) + 1))
    assert {row["outing"] for row in hidden["clips"]} <= {row["outing"] for row in hidden["outings"]}
    assert hidden["outings"][0]["on_date"] == tables["outings"][0]["on_date"] + timedelta(days=1)


@pytest.mark.parametrize("kind", KINDS)
def test_the_length_is_known_before_the_first_byte(barn: Barn, kind: Any) -> None:
    sent = send(barn, 1, kind)
    assert sum(map(len, sent.blocks)) == sent.size


def test_a_download_that_is_stopped_leaves_nothing(barn: Barn) -> None:
    before = sorted(barn.home.iterdir())
    send(barn, 1, "horse").blocks.close()
    sent = send(barn, 1, "horse")
    next(sent.blocks)
    sent.blocks.close()
    assert sorted(barn.home.iterdir()) == before


def test_a_file_is_written_whole_or_not_at_all(barn: Barn, tmp_path: Path) -> None:
    def stop(_: float) -> None:
        raise KeyboardInterrupt

    (tmp_path / "x.zip").write_bytes(b"old")
    with pytest.raises(KeyboardInterrupt):
        write_export(barn, 1, "horse", tmp_path / "x.zip", stop)
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("x.zip", b"old")]
    with pytest.raises(UnwritableOutput):
        write_export(barn, 1, "tables", tmp_path / "nowhere" / "x.zip")


def test_a_horse_with_nothing_has_empty_tables(tmp_path: Path) -> None:
    with new_barn(tmp_path / "barn") as empty:
        horse = horses.add(empty, HorseFields("Dusty"))
        write_export(empty, horse.id, "study", tmp_path / "s.zip")
    parts = unpacked(tmp_path / "s.zip")
    assert parts["csv/strides.csv"].decode().startswith("clip,stride,side,")
    assert parts["csv/strides.csv"].count(b"\n") == 1
