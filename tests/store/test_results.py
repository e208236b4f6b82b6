from datetime import date, timedelta
from typing import Any

import pytest

from evenfall.errors import NotFound
from evenfall.store import Barn, clips, horses, outings, results
from tests.store.keeping import a_clip, a_horse, an_outing, data


def test_the_few_numbers_of_lists_are_taken_from_the_whole(barn: Barn) -> None:
    kept = results.save(barn, a_clip(barn).id, data(30.0), 4, speed_m_s=2.5)
    assert (kept.phase_mean, kept.phase_low, kept.phase_high, kept.phase_sd) == (30.0, 29.0, 31.0, 1.0)
    assert (kept.phase_left, kept.phase_right) == (30.0, None)
    assert (kept.strides, kept.stride_s, kept.speed, kept.zone, kept.too_little) == (9, 0.7, 2.5, "even", "")
    assert results.of_clip(barn, kept.clip_id) == kept
    assert kept.data == data(30.0)


def test_too_little_evidence_keeps_its_reason_and_no_numbers(barn: Barn) -> None:
    unknown = {"unknown": "two strides"}
    told = {"strides": 2, "timing": {"stride_s": unknown, "lateral_phase_pct": {"both": unknown}}, "error": {"message": "two strides"}}  # fmt: skip
    kept = results.save(barn, a_clip(barn).id, told, 1)
    assert (kept.phase_mean, kept.stride_s, kept.zone, kept.too_little) == (None, None, None, "two strides")


@pytest.mark.parametrize(("revision", "stands"), [(2, 30.0), (3, 40.0), (4, 40.0)])
def test_a_result_of_older_marks_does_not_replace_a_newer(barn: Barn, revision: int, stands: float) -> None:
    clip = a_clip(barn)
    results.save(barn, clip.id, data(30.0), 3)
    assert results.save(barn, clip.id, data(40.0), revision).phase_mean == stands


def test_the_same_result_saved_again_writes_nothing(barn: Barn) -> None:
    clip = a_clip(barn)
    first = results.save(barn, clip.id, data(), 3)
    assert results.save(barn, clip.id, data(), 3).made_at == first.made_at


def test_a_result_of_no_film_is_refused(barn: Barn) -> None:
    with pytest.raises(NotFound, match="expected a film"):
        results.save(barn, 3, data(), 0)


def a_way(barn: Barn) -> dict[str, Any]:
    """Two horses; the first rode on three days, last on the second day told."""
    dusty, bess = a_horse(barn), a_horse(barn, "Bess")
    days = [date(2026, 5, 1), date(2026, 5, 9), date(2026, 5, 4)]
    rode = [an_outing(barn, dusty, day) for day in days]
    for n, outing in enumerate(rode):
        results.save(barn, a_clip(barn, b"%d" % n, outing).id, data(30.0 + n), 1)
    return {"dusty": dusty.id, "bess": bess.id, "rode": rode}


def test_a_horses_newest_result_is_that_of_its_last_outing(barn: Barn) -> None:
    way = a_way(barn)
    ((horse, (result, outing)),) = results.latest_by_horse(barn).items()
    assert (horse, result.phase_mean, outing) == (way["dusty"], 31.0, way["rode"][1])
    assert result.data == {}
    assert results.latest_by_horse(barn, data=True)[horse][0].data == data(31.0)


def test_what_lies_in_the_bin_counts_for_nothing(barn: Barn) -> None:
    way = a_way(barn)
    outings.delete(barn, way["rode"][1].id)
    assert results.latest_by_horse(barn)[way["dusty"]][0].phase_mean == 32.0
    clips.delete(barn, clips.of_outing(barn, way["rode"][2].id)[0].id)
    assert results.latest_by_horse(barn)[way["dusty"]][0].phase_mean == 30.0
    assert len(results.of_horse(barn, way["dusty"])) == 1
    horses.delete(barn, way["dusty"])
    assert results.latest_by_horse(barn) == {}


def test_a_horses_way_goes_from_the_oldest_on(barn: Barn) -> None:
    way = a_way(barn)
    trail = results.of_horse(barn, way["dusty"])
    assert [result.phase_mean for result, _, _ in trail] == [30.0, 32.0, 31.0]
    assert all(clip.outing_id == outing.id and result.clip_id == clip.id for result, clip, outing in trail)
    assert results.of_horse(barn, way["dusty"], data=True)[0][0].data == data(30.0)
    assert results.of_horse(barn, way["bess"]) == ()


def test_the_last_film_of_a_day_counts(barn: Barn) -> None:
    outing = an_outing(barn)
    for n in range(3):
        results.save(barn, a_clip(barn, b"%d" % n, outing).id, data(20.0 + n), 1)
    later = an_outing(barn, horses.get(barn, outing.horse_id), outing.on_date + timedelta(days=1))
    a_clip(barn, b"unread", later)
    assert results.latest_by_horse(barn)[outing.horse_id][0].phase_mean == 22.0
