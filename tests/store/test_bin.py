from datetime import timedelta

import pytest

from evenfall.errors import NotFound, WrongSetting
from evenfall.store import (
    Barn,
    clips,
    edits,
    horses,
    jobs,
    marks,
    measures,
    outings,
    readings,
    results,
    uploads,
)
from evenfall.store import bin as barn_bin
from evenfall.store.engine import now
from tests.store.keeping import a_clip, adding, an_outing, contacts, data


def test_what_was_deleted_lies_in_the_bin_for_thirty_days(barn: Barn) -> None:
    outing = an_outing(barn)
    clip = a_clip(barn, outing=outing)
    clips.delete(barn, clip.id)
    outings.delete(barn, outing.id)
    first, second = barn_bin.items(barn)
    assert [(item.table, item.id, item.name) for item in (first, second)] == [
        ("outings", outing.id, "Dusty, 2026-05-02"), ("clips", clip.id, "ride.mp4"),
    ]  # fmt: skip
    assert first.goes_at - first.deleted_at == timedelta(days=30)


def test_what_is_taken_out_brings_along_what_it_lies_under(barn: Barn) -> None:
    outing = an_outing(barn)
    clip = a_clip(barn, outing=outing)
    clips.delete(barn, clip.id)
    horses.delete(barn, outing.horse_id)
    barn_bin.restore(barn, "clips", clip.id, by="phone")
    assert barn_bin.items(barn) == ()
    assert clips.of_horse(barn, outing.horse_id) == (clip,)
    assert edits.recent(barn, 1)[0].what == "took ride.mp4 out of the bin"


def test_only_what_lies_there_is_taken_out(barn: Barn) -> None:
    with pytest.raises(WrongSetting, match="horses, outings, clips"):
        barn_bin.restore(barn, "devices", 1)
    with pytest.raises(NotFound, match="expected a horse"):
        barn_bin.restore(barn, "horses", 1)


def test_the_bin_empties_after_thirty_days_and_no_sooner(barn: Barn) -> None:
    clip = a_clip(barn)
    clips.delete(barn, clip.id)
    assert barn_bin.empty(barn, now=now() + timedelta(days=29.9)) == 0
    assert clips.original(barn, clip).exists()
    assert barn_bin.empty(barn, now=now() + timedelta(days=30.1)) == 1
    assert (barn_bin.items(barn), clips.original(barn, clip).exists()) == ((), False)
    with pytest.raises(NotFound, match="removed for good"):
        edits.undo(barn, edits.recent(barn)[0].id)


def test_an_original_that_another_clip_uses_stays(barn: Barn) -> None:
    first = a_clip(barn)
    clips.delete(barn, first.id)
    again = a_clip(barn)
    assert again.id != first.id
    barn_bin.empty(barn, older_than_days=0, now=now() + timedelta(seconds=1))
    assert clips.original(barn, again).read_bytes() == b"film"
    clips.delete(barn, again.id)
    barn_bin.empty(barn, older_than_days=0, now=now() + timedelta(seconds=1))
    assert not clips.original(barn, again).exists()


def test_a_horse_takes_all_that_is_its_own_with_it(barn: Barn) -> None:
    outing, other = an_outing(barn), an_outing(barn)
    clip, stays = a_clip(barn, outing=outing), a_clip(barn, b"other", other)
    marks.act(barn, readings.person(barn, clip.id).id, [adding("a")])
    readings.save_machine(barn, clip.id, contacts(0.1), method="film", version="1", settings={})
    results.save(barn, clip.id, data(), 1)
    jobs.add(barn, clip.id, "read")
    measures.add(barn, clip.id, "head", {})
    upload = uploads.begin(barn, key="k", name="x", size=1, outing_id=outing.id)
    (clips.derived(barn, clip) / "proxy.mp4").write_bytes(b"proxy")
    horses.delete(barn, outing.horse_id)
    assert barn_bin.empty(barn, now=now() + timedelta(days=31)) == 1
    assert [horse.id for horse in horses.every(barn)] == [other.horse_id]
    assert (readings.of_clip(barn, clip.id), jobs.live(barn), results.of_clip(barn, clip.id)) == (
        (),
        (),
        None,
    )
    assert uploads.get(barn, upload.id).outing_id is None
    assert not (barn.home / "derived" / clip.sha256).exists()
    assert not clips.original(barn, clip).exists()
    assert clips.original(barn, stays).exists()


def test_a_number_that_was_used_is_not_given_out_again(barn: Barn) -> None:
    outing = an_outing(barn)
    horses.delete(barn, outing.horse_id)
    barn_bin.empty(barn, now=now() + timedelta(days=31))
    assert an_outing(barn).horse_id > outing.horse_id
