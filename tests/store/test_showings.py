from datetime import timedelta

import pytest

from evenfall.errors import NotFound, WrongSetting
from evenfall.store import Barn, clips, edits, outings, showings
from evenfall.store import bin as barn_bin
from evenfall.store.engine import now
from tests.store.keeping import a_clip, an_outing

SLOW = {"slow": 4.0, "sound": "beats", "start_s": None}


def test_a_film_to_show_comes_back_as_it_was_told(barn: Barn) -> None:
    outing = an_outing(barn)
    clip, other = a_clip(barn, b"1", outing), a_clip(barn, b"2", outing)
    alone, beside = showings.add(barn, clip.id, None, SLOW), showings.add(barn, clip.id, other.id, {})
    assert showings.get(barn, alone.id) == alone
    assert (alone.settings, alone.other_id, beside.other_id) == (SLOW, None, other.id)
    assert showings.of_clip(barn, clip.id) == showings.of_horse(barn, outing.horse_id) == (beside, alone)
    assert showings.of_clip(barn, other.id) == (beside,)
    assert edits.recent(barn, 1)[0].what == "added a film to show of ride.mp4 beside ride.mp4"


def test_of_no_film_it_is_refused(barn: Barn) -> None:
    with pytest.raises(NotFound, match="expected a film, found none with the number 9"):
        showings.add(barn, a_clip(barn).id, 9, {})
    with pytest.raises(WrongSetting, match="written down as JSON"):
        showings.add(barn, 1, None, {"slow": float("nan")})


def test_it_goes_into_the_bin_and_comes_back(barn: Barn) -> None:
    kept = showings.add(barn, a_clip(barn).id, None, SLOW)
    showings.delete(barn, kept.id)
    showings.delete(barn, kept.id)
    (item,) = barn_bin.items(barn)
    assert (item.table, item.id, item.name) == ("showings", kept.id, "film to show of ride.mp4")
    assert showings.of_clip(barn, kept.clip_id) == ()
    barn_bin.restore(barn, "showings", kept.id)
    assert showings.of_clip(barn, kept.clip_id) == (kept,)
    restored = edits.recent(barn, 1)[0]
    assert restored.what == "took a film to show out of the bin"
    edits.undo(barn, restored.id)
    assert showings.of_clip(barn, kept.clip_id) == ()


def test_it_is_out_of_sight_with_its_film_and_brings_it_back(barn: Barn) -> None:
    outing = an_outing(barn)
    kept = showings.add(barn, a_clip(barn, outing=outing).id, None, SLOW)
    outings.delete(barn, outing.id)
    assert showings.of_clip(barn, kept.clip_id) == ()
    showings.delete(barn, kept.id)
    barn_bin.restore(barn, "showings", kept.id)
    assert showings.of_horse(barn, outing.horse_id) == (kept,)


def test_its_files_go_with_it_for_good_and_no_others(barn: Barn) -> None:
    clip = a_clip(barn)
    gone, stays = (showings.add(barn, clip.id, None, SLOW) for _ in range(2))
    folder = clips.derived(barn, clip) / "showings"
    folder.mkdir()
    names = [f"{each.id}{end}" for each in (gone, stays) for end in (".mp4", ".webp", "-ground.png")]
    for name in (*names, "11.mp4"):
        (folder / name).write_bytes(b"film")
    showings.delete(barn, gone.id)
    assert barn_bin.empty(barn, now=now() + timedelta(days=31)) == 1
    assert sorted(path.name for path in folder.iterdir()) == ["11.mp4", "2-ground.png", "2.mp4", "2.webp"]
