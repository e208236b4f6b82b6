"""The ridden checklist."""

import pytest

from evenfall.errors import WrongSetting
from evenfall.plan import MANY_SIGNS, checklist, read_checklist

KEYS = [sign.key for sign in checklist()]


def test_there_are_twenty_four_signs_each_with_its_own_title() -> None:
    """24 behaviours: Dyson & Pollard 2020, abstract."""
    assert len(set(KEYS)) == len({sign.title for sign in checklist()}) == 24
    assert {sign.group for sign in checklist()} == {"head", "eye", "mouth", "tail", "gait", "will"}


@pytest.mark.parametrize(("count", "many"), [(0, False), (7, False), (8, True), (24, True)])
def test_eight_of_twenty_four_are_many(count: int, many: bool) -> None:
    reading = read_checklist(KEYS[:count])
    assert MANY_SIGNS == 8
    assert (reading.count, reading.many) == (count, many)
    assert "not validated in gaited frames" in reading.words
    assert ("have a vet look" in reading.words) == many


def test_a_sign_ticked_twice_counts_once() -> None:
    assert read_checklist([KEYS[0], KEYS[0]]).count == 1


def test_signs_that_a_gaited_frame_shows_by_itself_are_told() -> None:
    assert "1 of them can come from a gaited frame alone" in read_checklist(["nose_out", "rears"]).words


def test_a_sign_that_is_not_on_the_list_is_refused() -> None:
    with pytest.raises(WrongSetting, match="expected signs of the ridden checklist, found 'limping'"):
        read_checklist(["limping"])
