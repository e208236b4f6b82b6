import pytest

from evenfall.errors import NotFound, WrongSetting
from evenfall.store import Barn, edits, measures
from tests.store.keeping import a_clip


def test_clicks_are_kept_taken_away_and_brought_back(barn: Barn) -> None:
    clip = a_clip(barn)
    head = measures.add(barn, clip.id, "head", {"poll": [10, 20.5], "nose": [4, 30]}, "Ann")
    hoof = measures.add(barn, clip.id, "hoof", {"hoof": [1, 2]}, by="Ann")
    assert measures.of_clip(barn, clip.id) == (head, hoof)
    assert (head.points, head.by) == ({"poll": [10, 20.5], "nose": [4, 30]}, "Ann")
    measures.delete(barn, clip.id, head.id)
    assert measures.of_clip(barn, clip.id) == (hoof,)
    edits.undo(barn, edits.recent(barn)[0].id)
    assert measures.of_clip(barn, clip.id) == (head, hoof)


def test_a_measure_of_no_kind_or_no_film_is_refused(barn: Barn) -> None:
    with pytest.raises(WrongSetting, match="found 'tail'"):
        measures.add(barn, a_clip(barn).id, "tail", {})
    with pytest.raises(NotFound, match="expected a film"):
        measures.add(barn, 99, "head", {})
    with pytest.raises(NotFound, match="expected a measure"):
        measures.delete(barn, 1, 99)


def test_a_measure_of_another_film_is_not_taken_away(barn: Barn) -> None:
    mine, other = a_clip(barn, b"1"), a_clip(barn, b"2")
    head = measures.add(barn, mine.id, "head", {})
    with pytest.raises(NotFound, match="expected a measure of the film 2"):
        measures.delete(barn, other.id, head.id)
    assert measures.of_clip(barn, mine.id) == (head,)
