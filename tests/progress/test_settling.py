"""The first passes after a change are set apart."""

import pytest

from evenfall.progress import set_apart
from tests.progress.making import one


def test_the_first_three_after_a_change_are_set_apart() -> None:
    counted, apart = set_apart([one(i, 1, 30.0, novelty=i) for i in range(5)])
    assert [each.novelty for each in counted] == [3, 4]
    assert [each.novelty for each in apart] == [0, 1, 2]


@pytest.mark.parametrize("first", [0, 2, 6])
def test_how_many_can_be_chosen(first: int) -> None:
    passes = [one(i, 1, 30.0, novelty=i) for i in range(8)]
    assert len(set_apart(passes, first)[1]) == first


def test_where_nothing_would_be_left_everything_counts() -> None:
    passes = [one(i, 1, 30.0, novelty=i) for i in range(2)]
    assert set_apart(passes) == (tuple(passes), ())


def test_a_pass_whose_novelty_is_not_known_counts() -> None:
    known, unknown = one(1, 1, 30.0, novelty=0), one(2, 1, 30.0)
    assert set_apart([known, unknown]) == ((unknown,), (known,))
