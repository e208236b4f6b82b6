from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from evenfall.errors import ChangedSince, NotFound
from evenfall.store import Barn, clips, edits, horses, marks, measures, outings, readings
from evenfall.store.marks import Act
from evenfall.store.records import HorseFields
from tests.store.keeping import a_clip, a_horse, a_reading, adding, an_outing

LAW = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def newest(barn: Barn) -> int:
    return edits.recent(barn, 1)[0].id


def test_edits_say_in_plain_words_who_did_what(barn: Barn) -> None:
    horse = horses.add(barn, HorseFields("Dusty"), by="Ann's phone")
    outing = an_outing(barn, horse)
    horses.change(barn, horse.id, HorseFields("Dusty", note="calm"), by="laptop")
    outings.delete(barn, outing.id)
    said = [(edit.device, edit.table, edit.what) for edit in edits.recent(barn)]
    assert said == [
        ("", "outings", "put Dusty's outing of 2026-05-02 into the bin"),
        ("laptop", "horses", "changed Dusty"),
        ("", "outings", "added Dusty's outing of 2026-05-02"),
        ("Ann's phone", "horses", "added Dusty"),
    ]
    assert len(edits.recent(barn, 2)) == 2


def test_a_change_is_undone_and_done_again(barn: Barn) -> None:
    before = a_horse(barn)
    after = horses.change(barn, before.id, HorseFields("Dust", birth_year=2014, band_pct=(20.0, 30.0)))
    undone = edits.undo(barn, newest(barn))
    assert (horses.get(barn, before.id), undone.undone_at is not None) == (before, True)
    assert edits.undo(barn, undone.id) == undone
    assert edits.redo(barn, undone.id).undone_at is None
    assert horses.get(barn, before.id) == after
    edits.redo(barn, undone.id)
    assert horses.get(barn, before.id) == after


def test_what_is_deleted_comes_back_and_what_was_added_goes(barn: Barn) -> None:
    outing = an_outing(barn)
    clip = a_clip(barn, b"film", outing)
    added = newest(barn)
    clips.delete(barn, clip.id)
    edits.undo(barn, newest(barn))
    assert clips.get(barn, clip.id) == clip
    edits.undo(barn, added)
    assert clips.of_outing(barn, outing.id) == ()
    edits.redo(barn, added)
    assert clips.get(barn, clip.id) == clip


def test_undoing_leaves_alone_what_the_edit_did_not_change(barn: Barn) -> None:
    horse = a_horse(barn)
    horses.change(barn, horse.id, HorseFields("Dusty", note="calm"))
    noted = newest(barn)
    horses.change(barn, horse.id, HorseFields("Dusty", note="calm", owner="Ann"))
    edits.undo(barn, noted)
    assert horses.get(barn, horse.id) == replace(horse, owner="Ann")


def test_what_was_changed_again_is_not_overwritten(barn: Barn) -> None:
    horse = a_horse(barn)
    for note in ("calm", "tired"):
        horses.change(barn, horse.id, HorseFields("Dusty", note=note))
    later, first = (edit.id for edit in edits.recent(barn, 2))
    with pytest.raises(
        ChangedSince, match=r"expected the note as it was left .* Undo “changed Dusty” first"
    ) as error:
        edits.undo(barn, first)
    assert error.value.first == later
    assert horses.get(barn, horse.id).note == "tired"
    edits.undo(barn, later)
    edits.undo(barn, first)
    assert horses.get(barn, horse.id).note == ""


def test_what_was_undone_in_turn_is_done_again_in_turn(barn: Barn) -> None:
    horse = a_horse(barn)
    for note in ("calm", "tired"):
        horses.change(barn, horse.id, HorseFields("Dusty", note=note))
    later, first = (edit.id for edit in edits.recent(barn, 2))
    edits.undo(barn, later)
    edits.undo(barn, first)
    with pytest.raises(
        ChangedSince, match=r"an earlier change undone too\. Redo “changed Dusty” first"
    ) as error:
        edits.redo(barn, later)
    assert error.value.first == first
    horses.change(barn, horse.id, HorseFields("Dusty", note="lazy"))
    with pytest.raises(ChangedSince, match="before this change, found it changed again since") as error:
        edits.redo(barn, first)
    assert error.value.first == newest(barn)


def test_edits_name_what_changed_in_the_order_of_letters(barn: Barn) -> None:
    horse = a_horse(barn)
    horses.change(barn, horse.id, HorseFields("Dust", birth_year=2014))
    changed, added = edits.recent(barn)
    assert (changed.columns, added.columns) == (("birth_year", "name"), ("deleted_at",))
    assert edits.get(barn, changed.id) == changed


def test_edits_are_told_page_by_page(barn: Barn) -> None:
    for n in range(5):
        a_horse(barn, f"No. {n}")
    first = edits.recent(barn, 2)
    second = edits.recent(barn, 2, before=first[-1].id)
    assert [edit.what for edit in (*first, *second)] == [f"added No. {n}" for n in (4, 3, 2, 1)]
    assert edits.recent(barn, before=edits.recent(barn)[-1].id) == ()


def test_the_edit_just_made_is_found_among_others(barn: Barn) -> None:
    assert edits.newest(barn) == 0
    horse = horses.add(barn, HorseFields("Dusty"), by="phone")
    before = edits.newest(barn)
    assert edits.last_of(barn, "horses", horse.id, after=before, by="phone") is None
    horses.change(barn, horse.id, HorseFields("Dust"), by="phone")
    horses.change(barn, horse.id, HorseFields("Dust", note="calm"), by="tablet")
    found = edits.last_of(barn, "horses", horse.id, after=before, by="phone")
    assert found is not None
    assert found.columns == ("name",)


def test_an_edit_of_marks_or_of_a_film_knows_its_film(barn: Barn) -> None:
    reading = a_reading(barn)
    marks.act(barn, reading, [adding("a")])
    clips.change(barn, 1, capture_fps=240.0, facing=None)
    assert [edits.clip_of(barn, edit) for edit in edits.recent(barn)] == [1, 1, 1, None, None]


def test_marks_and_measures_are_told_with_their_film_but_not_blind_ones(barn: Barn) -> None:
    reading = a_reading(barn)
    marks.act(barn, reading, [adding("a")])
    measures.add(barn, 1, "head", {})
    marks.act(barn, readings.begin_blind(barn, 1, "Ann").id, [adding("b")])
    blind, measured, marked, *_ = edits.recent(barn)
    assert edits.films_of(barn, edits.recent(barn)) == {measured.id: "ride.mp4", marked.id: "ride.mp4"}
    assert (blind.what, marked.what) == ("added 1 mark", "added 1 mark")


def test_an_edit_that_changes_nothing_is_not_written_down(barn: Barn) -> None:
    horse = a_horse(barn)
    horses.change(barn, horse.id, HorseFields("Dusty"))
    assert len(edits.recent(barn)) == 1


def test_a_batch_of_marks_is_undone_as_one_and_makes_a_revision(barn: Barn) -> None:
    reading = a_reading(barn)
    marks.act(barn, reading, [adding("a"), adding("b", 2.0)], by="phone")
    marks.act(
        barn,
        reading,
        [Act("3", "move", "a", time_s=1.5), Act("4", "move", "a", time_s=1.6), Act("5", "delete", "b")],
    )
    edit = edits.recent(barn, 1)[0]
    assert edit.what == "moved 2 marks, deleted 1 mark"
    edits.undo(barn, edit.id)
    assert [(row.id, row.time_s) for row in marks.of(barn, reading)] == [("a", 1.0), ("b", 2.0)]
    assert readings.of_clip(barn, 1)[0].revision == 3
    edits.redo(barn, edit.id)
    assert [(row.id, row.time_s) for row in marks.of(barn, reading)] == [("a", 1.6)]


def test_an_edit_that_is_none_is_not_undone(barn: Barn) -> None:
    for turn in (edits.undo, edits.redo):
        with pytest.raises(NotFound, match="expected an edit"):
            turn(barn, 99)


fields = st.builds(
    HorseFields,
    st.sampled_from(["Dusty", "Bess"]),
    birth_year=st.none() | st.integers(1990, 2020),
    height_m=st.none() | st.floats(1, 2),
    note=st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=5),
    arrived_on=st.none() | st.dates(),
    band_pct=st.none() | st.just((20.5, 30.0)),
)


@LAW
@given(st.lists(fields, min_size=1, max_size=5))
def test_law_undoing_everything_backwards_and_redoing_it_comes_out_the_same(
    sqlite: Barn, said: list[HorseFields]
) -> None:
    horse = a_horse(sqlite)
    first = newest(sqlite)
    for each in said:
        horses.change(sqlite, horse.id, each)
    last = horses.get(sqlite, horse.id)
    mine = [edit.id for edit in edits.recent(sqlite) if edit.id > first]
    for number in mine:
        edits.undo(sqlite, number)
    assert horses.get(sqlite, horse.id) == horse
    for number in reversed(mine):
        edits.redo(sqlite, number)
    assert horses.get(sqlite, horse.id) == last
