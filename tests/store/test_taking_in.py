"""One horse out of one barn and into another: every number equal; a zip that is not what it says is refused whole."""

import hashlib
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from evenfall.errors import DiskFull, EvenfallError, NotFound, StoreError, StoreNewer, WrongSetting
from evenfall.flow.compare import compare_sides
from evenfall.flow.exporting import write_export
from evenfall.flow.importing import check_row, look_into_horse, take_horse_in
from evenfall.flow.ladder import ladder_reading
from evenfall.flow.marking import marks_data, reading_page
from evenfall.report.ladder import ladder_reading_data
from evenfall.store import (
    Barn,
    clips,
    costs,
    edits,
    figures,
    flags,
    horses,
    marks,
    open_barn,
    readings,
    setups,
    steps,
    taking_in,
    uploads,
)
from evenfall.store import bin as barn_bin
from evenfall.store.engine import reading
from evenfall.store.schema import metadata
from evenfall.store.streaming import COPIES
from tests.flow.leaving import TODAY, Leaving, leaving
from tests.store.keeping import a_horse

Parts = dict[str, bytes]
NUMBERS = {
    "horses": "name breed goal band_pct height_m mass_kg created_at",
    "outings": "on_date rider precheck head_deg created_at",
    "clips": "sha256 name size frames capture_fps state added_at",
    "marks": "limb event time_s sd_s source confidence rejected",
    "results": "revision phase_mean phase_low phase_high strides stride_s zone data made_at",
    "figures": "timing share_in_band",
    "measures": "kind points made_at",
    "setups": "from_date payload created_at",
    "weighings": "limb on_date mass_kg note",
    "flags": "on_date kind limb note cleared_on cleared_by",
    "checklists": "on_date signs reader",
    "costs": "on_date kind count amount_cents currency note created_at",
}
"""What must be the same here and there, by table."""


def kept(barn: Barn) -> dict[str, list[str]]:
    with reading(barn) as connection:
        return {
            name: sorted(
                json.dumps(list(row), sort_keys=True, default=str)
                for row in connection.execute(
                    select(*(metadata.tables[name].c[each] for each in columns.split()))
                )
            )
            for name, columns in NUMBERS.items()
        }


def films_in(home: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in (home / "originals").rglob("*") if path.is_file()}


def is_empty(barn: Barn) -> bool:
    with reading(barn) as connection:
        rows = [connection.execute(select(metadata.tables[name])).first() for name in NUMBERS]
    left = [*barn.home.glob(f"{COPIES}*"), *(barn.home / "incoming").iterdir()]
    return not any(rows) and not films_in(barn.home) and not left


@pytest.fixture(scope="module")
def packed(film: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The zip, and the barn it came from."""
    home = tmp_path_factory.mktemp("from") / "barn"
    with open_barn(home) as barn:
        left = leaving(barn, film)
        write_export(barn, left.horse.id, "horse", home.parent / "juniper.zip")
    return home.parent / "juniper.zip", home


def test_every_number_is_equal_in_an_empty_barn(barn: Barn, packed: tuple[Path, Path]) -> None:
    horse, already = take_horse_in(barn, packed[0])
    with open_barn(packed[1]) as there:
        assert not already
        assert kept(barn) == {**kept(there), "horses": kept(barn)["horses"]}
        assert films_in(barn.home) == films_in(there.home)
        assert (horse.name, horse.goal, horses.get(there, 1).goal) == ("Juniper", "rack", "")
        assert answers(barn, horse.id) == answers(there, 1)


def answers(barn: Barn, horse_id: int) -> dict[str, Any]:
    """What the pages say: each reading, was it real, and the ladder's evidence."""
    worn = setups.of_horse(barn, horse_id)
    opened = [clip for clip in clips.of_horse(barn, horse_id) if clip.name.startswith("juniper")]
    told = compare_sides(barn, f"setup:{worn[0].id}", f"setup:{worn[1].id}", today=TODAY)
    ladder = ladder_reading(barn, horse_id, TODAY)
    assert ladder is not None
    before = steps.earlier_payloads(barn)[horse_id]
    assert len({str(kept) for kept in before}) > 1
    pages = [reading_page(barn, clip.id, drawn=False) for clip in opened]
    assert pages[0]["reading"]["strides"] > 5
    return {
        "readings": pages,
        "compare": (told.title, told.sentences, told.warnings, told.grounds, told.growth),
        "ladder": {**ladder_reading_data(ladder), "horse": None},
        "steps before": [{**kept, "horse_id": 0} for kept in before],
    }


def test_a_barn_with_others_gives_numbers_of_its_own(barn: Barn, packed: tuple[Path, Path]) -> None:
    dusty = a_horse(barn)
    horse, _ = take_horse_in(barn, packed[0], by="phone")
    assert horse.id != dusty.id
    (film,) = [clip for clip in clips.of_horse(barn, horse.id) if clip.name.startswith("juniper")]
    person, machine = readings.person(barn, film.id), readings.machine(barn, film.id)
    assert machine is not None
    names = {mark.id for mark in marks.of(barn, machine.id)}
    (spoken,) = [mark for mark in marks.of(barn, person.id) if mark.stands_for]
    assert spoken.stands_for in names
    assert {mark["id"] for mark in marks_data(barn, film.id)["marks"]} > {spoken.id}
    assert flags.of_horse(barn, horse.id)[0].cleared_by == "Odalys Fenn"
    newest = edits.recent(barn, 1)[0]
    assert (newest.what, newest.device) == ("took Juniper in from another barn", "phone")
    edits.undo(barn, newest.id)
    assert [each.name for each in horses.every(barn)] == ["Dusty"]


def test_taken_in_twice_is_told_and_nothing_doubled(barn: Barn, packed: tuple[Path, Path]) -> None:
    horse, _ = take_horse_in(barn, packed[0])
    before = kept(barn)
    assert look_into_horse(barn, packed[0]).here == horse
    assert take_horse_in(barn, packed[0]) == (horse, True)
    horses.delete(barn, horse.id)
    there, already = take_horse_in(barn, packed[0])
    assert already
    assert there.deleted_at is not None
    barn_bin.restore(barn, "horses", horse.id)
    assert kept(barn) == before


def test_what_is_in_it_is_told_before(sqlite: Barn, packed: tuple[Path, Path]) -> None:
    inside = look_into_horse(sqlite, packed[0])
    assert (inside.name, inside.films, inside.missing, inside.here) == ("Juniper", 16, 0, None)
    assert inside.counts["setups"] == 3
    assert is_empty(sqlite)


def test_a_film_that_is_missing_comes_without_its_bytes(sqlite: Barn, film: Path, tmp_path: Path) -> None:
    with open_barn(tmp_path / "from") as there:
        left: Leaving = leaving(there, film)
        clips.original(there, left.clip).unlink()
        write_export(there, left.horse.id, "horse", tmp_path / "j.zip")
    assert look_into_horse(sqlite, tmp_path / "j.zip").missing == 1
    horse, _ = take_horse_in(sqlite, tmp_path / "j.zip")
    assert len(clips.of_horse(sqlite, horse.id)) == 16
    assert len(films_in(sqlite.home)) == 15


# a zip that is not what it says ------------------------------------------------------------------------------


def parts_of(path: Path) -> Parts:
    with zipfile.ZipFile(path) as file:
        return {name: file.read(name) for name in file.namelist()}


def pack(parts: Parts, to: Path, *, compression: int = zipfile.ZIP_STORED) -> Path:
    with zipfile.ZipFile(to, "w", compression) as file:
        for name, content in parts.items():
            file.writestr(zipfile.ZipInfo(name), content, compression)
    return to


def listed(parts: Parts, **told: Any) -> Parts:
    """The parts, with a list that fits them."""
    others = {name: content for name, content in parts.items() if name != "horse.json"}
    list_ = json.loads(parts["horse.json"]) | told
    list_["parts"] = {
        name: {"size": len(content), "sha256": hashlib.sha256(content).hexdigest()}
        for name, content in others.items()
    }
    return {**others, "horse.json": json.dumps(list_).encode()}


def with_row(parts: Parts, of: str, /, **values: Any) -> Parts:
    """The first row of one table changed, and the list to fit."""
    first, *rest = parts[f"record/{of}.jsonl"].splitlines(keepends=True)
    row = json.loads(first)
    changed = {**row, **{name: value(row) if callable(value) else value for name, value in values.items()}}
    line = json.dumps(changed).encode() + b"\n"
    return listed({**parts, f"record/{of}.jsonl": b"".join([line, *rest])})


def without(parts: Parts, name: str) -> Parts:
    return {each: content for each, content in parts.items() if each != name}


def a_film_of(parts: Parts) -> str:
    return next(name for name in parts if name.startswith("originals/"))


def flipped(content: bytes) -> bytes:
    return content[:-1] + bytes([content[-1] ^ 1])


WRONG: dict[str, tuple[Callable[[Parts], Parts], str]] = {
    "a path out": (lambda p: listed({**p, "../evil.txt": b"x"}), "a part named '../evil.txt'"),
    "a path from the root": (lambda p: listed({**p, "/etc/evil": b"x"}), "none of ours"),
    "a path within": (lambda p: listed({**p, "originals/aa/../../x": b"x"}), "none of ours"),
    "a backslash": (lambda p: listed({**p, "originals\\aa\\x": b"x"}), "none of ours"),
    "another drive": (lambda p: listed({**p, "C:/x": b"x"}), "none of ours"),
    "a derived file": (lambda p: listed({**p, "derived/x.json": b"{}"}), "none of ours"),
    "the record of a barn": (lambda p: listed({**p, "barn.sqlite3": b"x"}), "none of ours"),
    "no list": (lambda p: without(p, "horse.json"), "no horse.json in it"),
    "a list that is none": (lambda p: {**p, "horse.json": b"[]"}, "no object in horse.json"),
    "a list that is broken": (lambda p: {**p, "horse.json": b"{"}, "damaged file"),
    "a list nested too deep": (lambda p: {**p, "horse.json": b"[" * 200_000}, "damaged file"),
    "another format": (lambda p: listed(p, format="barn"), "another kind"),
    "no version": (lambda p: listed(p, version=None), "version None"),
    "version nought": (lambda p: listed(p, version=0), "version 0"),
    "a missing part": (lambda p: without(p, "record/marks.jsonl"), "record/marks.jsonl missing"),
    "a missing film": (lambda p: without(p, a_film_of(p)), "missing"),
    "a film the list forgot too": (lambda p: listed(without(p, a_film_of(p))), "the film .* missing"),
    "an unlisted film": (
        lambda p: {**p, "originals/aa/" + "a" * 64: b"x"},
        "which its list does not name",
    ),
    "a film of nobody": (lambda p: listed({**p, "originals/aa/" + "a" * 64: b"x"}), "no outing has"),
    "a damaged film": (lambda p: {**p, a_film_of(p): flipped(p[a_film_of(p)])}, "not as it was written"),
    "a film under a false hash": (
        lambda p: listed({**p, a_film_of(p): flipped(p[a_film_of(p)])}),
        "damaged before it was written",
    ),
    "a damaged record": (
        lambda p: {**p, "record/marks.jsonl": p["record/marks.jsonl"][:-5]},
        "not as it was written",
    ),
    "two horses": (
        lambda p: listed({**p, "record/horses.jsonl": p["record/horses.jsonl"] * 2}),
        "found 2 horses",
    ),
    "no horse": (lambda p: listed({**p, "record/horses.jsonl": b""}), "found 0 horses"),
    "a path in a hash": (lambda p: with_row(p, "clips", sha256="../../../etc/x"), "hash or ending"),
    "a path in an ending": (lambda p: with_row(p, "clips", suffix="/../../x"), "hash or ending"),
    "a strange column": (lambda p: with_row(p, "outings", drop="table"), "a column 'drop'"),
    "words for a number": (lambda p: with_row(p, "marks", time_s="1"), "in marks.time_s"),
    "no number": (lambda p: with_row(p, "marks", time_s=float("nan")), "NaN for a number"),
    "a number without end": (lambda p: with_row(p, "marks", time_s=float("inf")), "Infinity"),
    "truth for a number": (lambda p: with_row(p, "marks", time_s=True), "in marks.time_s"),
    "nothing for a name": (lambda p: with_row(p, "horses", name=None), "nothing in horses.name"),
    "a day that is none": (lambda p: with_row(p, "outings", on_date="2026-02-30"), "in outings.on_date"),
    "a moment without zone": (lambda p: with_row(p, "horses", created_at="2026-01-01T00:00:00"), "zone"),
    "a foot that is none": (lambda p: with_row(p, "marks", limb="XX"), "could not be used|constraint"),
    "an outing of nobody": (lambda p: with_row(p, "outings", horse_id=99), "belongs to nothing in horses"),
    "a mark of nobody": (lambda p: with_row(p, "marks", reading_id=999), "belongs to nothing in readings"),
    "a setup that cannot be": (lambda p: with_row(p, "setups", payload={"schema": 1, "lf": 3}), "row of setups"),
    "a ladder that cannot be": (lambda p: with_row(p, "ladders", payload={"at": 0}), "row of ladders"),
    "a change of devices": (lambda p: with_row(p, "edits", table="devices"), "a change of devices"),
    "a change that is half one": (lambda p: with_row(p, "edits", after={}), "two sides"),
    "a result that is none": (lambda p: with_row(p, "results", data={"timing": 3}), "row of results"),
    "a goal that is none": (lambda p: with_row(p, "horses", goal="flying"), "row of horses"),
    "a cost that cannot be": (lambda p: with_row(p, "costs", amount_cents=-1), "row of costs"),
    "a cost of no kind": (lambda p: with_row(p, "costs", kind="bet"), "row of costs"),
    "no costs where there should be": (lambda p: listed(without(p, "record/costs.jsonl")), "record/costs.jsonl missing"),
    "signs that are none": (lambda p: with_row(p, "checklists", signs=[1]), "row of checklists"),
    "something binned": (lambda p: with_row(p, "setups", deleted_at="2026-01-01T00:00:00+00:00"), "lies in a bin"),
    "a number twice": (
        lambda p: listed({**p, "record/outings.jsonl": p["record/outings.jsonl"] + p["record/outings.jsonl"].splitlines(keepends=True)[0]}),
        "two rows of outings share",
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", WRONG)
def test_a_zip_that_is_not_what_it_says_is_refused_whole(
    sqlite: Barn, packed: tuple[Path, Path], tmp_path: Path, what: str
) -> None:
    change, words = WRONG[what]
    wrong = pack(change(parts_of(packed[0])), tmp_path / "wrong.zip")
    with pytest.raises(StoreError, match=words):
        take_horse_in(sqlite, wrong)
    assert is_empty(sqlite)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["barn", "wrong.zip"]


def test_the_unchanged_parts_are_taken(sqlite: Barn, packed: tuple[Path, Path], tmp_path: Path) -> None:
    """The changes above are what is refused, not the packing."""
    same = pack(listed(parts_of(packed[0])), tmp_path / "same.zip")
    assert take_horse_in(sqlite, same)[0].name == "Juniper"


def test_one_of_an_older_step_has_no_costs(sqlite: Barn, packed: tuple[Path, Path], tmp_path: Path) -> None:
    older = listed(without(parts_of(packed[0]), "record/costs.jsonl"), step="0002")
    horse, _ = take_horse_in(sqlite, pack(older, tmp_path / "older.zip"))
    assert costs.of_horse(sqlite, horse.id) == ()


@pytest.mark.parametrize("told", [{"version": 2}, {"step": "9999"}])
def test_a_newer_one_says_so(sqlite: Barn, packed: tuple[Path, Path], tmp_path: Path, told: Any) -> None:
    newer = pack(listed(parts_of(packed[0]), **told), tmp_path / "newer.zip")
    with pytest.raises(StoreNewer, match="a newer Evenfall wrote it"):
        take_horse_in(sqlite, newer)
    assert is_empty(sqlite)


def test_a_bomb_is_not_unpacked(sqlite: Barn, packed: tuple[Path, Path], tmp_path: Path) -> None:
    parts = listed({**parts_of(packed[0]), "record/marks.jsonl": b"\n" * 50_000_000})
    bomb = pack(parts, tmp_path / "bomb.zip", compression=zipfile.ZIP_DEFLATED)
    assert bomb.stat().st_size < 5_000_000
    with pytest.raises(StoreError, match="packed in another way"):
        take_horse_in(sqlite, bomb)


def test_parts_that_lie_upon_each_other_are_refused(
    sqlite: Barn, packed: tuple[Path, Path], tmp_path: Path
) -> None:
    """A small file whose parts all point at the same bytes would be large once unpacked."""
    path = pack(parts_of(packed[0]), tmp_path / "upon.zip")
    with zipfile.ZipFile(path, "a") as file:
        largest = max(file.infolist(), key=lambda part: part.file_size)
        for number in range(200):
            again = zipfile.ZipInfo(f"originals/aa/aa{number:062x}")
            again.header_offset, again.CRC = largest.header_offset, largest.CRC
            again.file_size = again.compress_size = largest.file_size
            file.filelist.append(again)
        file._didModify = True  # type: ignore[attr-defined]  # so that the new list of parts is written
    with pytest.raises(StoreError, match="larger than the file"):
        take_horse_in(sqlite, path)
    assert is_empty(sqlite)


@pytest.mark.parametrize("content", [b"", b"PK", b"no zip at all", b"PK\x05\x06" + b"\0" * 18])
def test_another_file_is_refused(sqlite: Barn, tmp_path: Path, content: bytes) -> None:
    (tmp_path / "x.zip").write_bytes(content)
    with pytest.raises(StoreError, match="expected one horse as Evenfall writes it"):
        look_into_horse(sqlite, tmp_path / "x.zip")


def test_a_file_cut_short_is_refused(sqlite: Barn, packed: tuple[Path, Path], tmp_path: Path) -> None:
    (tmp_path / "cut.zip").write_bytes(packed[0].read_bytes()[:-400])
    with pytest.raises(StoreError, match="damaged"):
        take_horse_in(sqlite, tmp_path / "cut.zip")


def test_what_breaks_off_leaves_nothing(
    sqlite: Barn, packed: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise DiskFull

    monkeypatch.setattr(figures, "keep", full)
    with pytest.raises(DiskFull):
        take_horse_in(sqlite, packed[0])
    assert is_empty(sqlite)


def test_a_row_that_cannot_be_names_its_table() -> None:
    with pytest.raises(EvenfallError, match="a row of outings that cannot be"):
        check_row("outings", {"precheck": [1]})


# on its way in -------------------------------------------------------------------------------------------------


def test_a_file_comes_in_pieces_and_is_only_looked_into_whole(barn: Barn) -> None:
    upload = taking_in.begin(barn, key="k", name="j.zip", size=6)
    uploads.append(barn, upload.id, 0, b"abc")
    assert taking_in.begin(barn, key="k", name="j.zip", size=6).offset == 3
    with pytest.raises(WrongSetting, match="expected all 6 bytes of it, found 3"):
        taking_in.part_of(barn, upload.id)
    uploads.append(barn, upload.id, 3, b"def")
    assert taking_in.part_of(barn, upload.id).read_bytes() == b"abcdef"
    uploads.cancel(barn, upload.id)
    with pytest.raises(NotFound, match="a horse on its way in"):
        taking_in.part_of(barn, upload.id)


def test_a_film_on_its_way_is_no_horse(sqlite: Barn) -> None:
    film = uploads.begin(sqlite, key="k", name="x.mp4", size=4, horse_id=a_horse(sqlite).id)
    with pytest.raises(NotFound, match="a horse on its way in"):
        taking_in.coming(sqlite, film.id)


@pytest.mark.parametrize("size", [0, 2**40])
def test_a_file_of_no_likely_size_is_refused(sqlite: Barn, size: int) -> None:
    with pytest.raises(WrongSetting, match="expected one horse of 1 byte"):
        taking_in.begin(sqlite, key="k", name="x.zip", size=size)


def test_a_horse_in_the_bin_does_not_leave(sqlite: Barn, tmp_path: Path) -> None:
    horse = a_horse(sqlite)
    horses.delete(sqlite, horse.id)
    with pytest.raises(NotFound, match="bin"):
        write_export(sqlite, horse.id, "horse", tmp_path / "x.zip")
    assert not (tmp_path / "x.zip").exists()
