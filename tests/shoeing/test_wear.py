from datetime import date

import pytest

from evenfall.errors import ShoeError
from evenfall.shoeing import Wear, Weighing, say_wear, wear_of


def on(day: int, state: str, kg: float) -> Weighing:
    return Weighing(date(2026, 3, day), state, kg)


def test_a_worn_and_a_pulled_shoe_are_held_against_the_new_one() -> None:
    worn, pulled = wear_of([on(29, "pulled", 0.34), on(1, "new", 0.36), on(15, "worn", 0.35)])
    assert (worn.lost_kg, worn.days, worn.share) == pytest.approx((0.01, 14, 0.01 / 0.36))
    assert pulled.lost_kg == pytest.approx(0.02)


def test_each_new_shoe_begins_again_and_one_pulled_is_done() -> None:
    found = wear_of([on(1, "new", 0.36), on(10, "pulled", 0.35), on(10, "new", 0.40), on(20, "worn", 0.39)])
    assert [round(each.lost_kg, 3) for each in found] == [0.01, 0.01]
    assert [each.days for each in found] == [9, 10]


def test_what_is_weighed_after_a_shoe_was_pulled_is_another_shoe() -> None:
    (pulled,) = wear_of([on(1, "new", 0.36), on(10, "pulled", 0.35), on(15, "worn", 0.33)])
    assert pulled.lost_kg == pytest.approx(0.01)


def test_what_was_never_weighed_new_tells_no_wear() -> None:
    assert wear_of([on(5, "worn", 0.35), on(9, "pulled", 0.34)]) == ()
    assert wear_of([]) == ()


def test_wear_is_said_and_a_heavier_shoe_is_asked_about() -> None:
    assert say_wear(Wear(0.018, 28, 0.05)) == "18 g worn off in 28 days, 5 % of it"
    assert say_wear(Wear(-0.018, 28, -0.05)) == "18 g heavier than new: was mud on it, or is it another shoe?"


def test_weighed_twice_on_a_day_a_new_shoe_comes_first() -> None:
    (wear,) = wear_of([on(1, "worn", 0.35), on(1, "new", 0.36)])
    assert (wear.days, wear.lost_kg) == pytest.approx((0, 0.01))


def test_a_weighing_that_cannot_be_is_refused() -> None:
    with pytest.raises(ShoeError, match="expected one of new, worn, pulled"):
        on(1, "lost", 0.3)
    with pytest.raises(ShoeError, match="weighed mass in kg"):
        on(1, "new", 340)
