from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given

from evenfall.errors import WrongSetting
from evenfall.shoeing import (
    FORES,
    HINDS,
    LEVERS,
    LIMBS,
    Added,
    Foot,
    Setup,
    Shoe,
    changes_at_once,
    differences,
    same_but,
)
from tests.shoeing.made import BOOT, PAD, TOE_PLATE, bar, plain, setups, shod

WORN = shod(plain(0.34, nails=6), bar("1/2x1", 11, nails=8), bit="snaffle", head_aim="raised", saddle="flat")


def words(before: Setup, after: Setup, units: str = "metric") -> list[str]:
    return [each.words for each in differences(before, after, units=units)]


def test_a_pair_that_changed_alike_is_one_change() -> None:
    """shoeing.md section 9: the step takes 327.5 g off a hoof, 11.6 oz."""
    after = same_but(WORN, limbs=HINDS, shoe=bar("3/8x3/4", 10.5, nails=8))
    (found,) = differences(WORN, after, units="imperial")
    assert (found.lever, found.limbs) == ("shoe weight", HINDS)
    assert found.words == "hind shoes 11.6 oz lighter each"
    assert found.change == pytest.approx(-0.3275, abs=0.001)
    assert changes_at_once([found]) == 1


def test_left_and_right_changed_apart_are_two() -> None:
    after = same_but(WORN, limbs=("LH",), shoe=bar("3/8x3/4", 10.5, nails=8))
    after = same_but(after, limbs=("RH",), shoe=bar("3/8x1", 10.5, nails=8))
    found = differences(WORN, after)
    assert [each.words for each in found] == ["left hind shoe 328 g lighter", "right hind shoe 201 g lighter"]
    assert changes_at_once(found) == 2


def test_sides_are_named_as_the_barn_calls_them() -> None:
    after = same_but(WORN, limbs=("LH",), shoe=bar("3/8x3/4", 10.5, nails=8))
    (found,) = differences(WORN, after, sides="near-off")
    assert (found.limbs, found.words) == (("LH",), "near hind shoe 328 g lighter")
    with pytest.raises(WrongSetting, match="sides are left-right or near-off"):
        differences(WORN, after, sides="port-starboard")


@pytest.mark.parametrize("units", ["metric", "imperial"])
@pytest.mark.parametrize("more_kg", [-0.0014, -0.0007, 0.0007, 0.0014])
def test_less_than_can_be_said_is_no_change(more_kg: float, units: str) -> None:
    """A toe plate, a shoe and a set of nails heavier or lighter by a gram or less."""
    one = shod(None, plain(0.34, nails=6, nail_kg=0.0045, added=(TOE_PLATE,)))
    plates = (replace(TOE_PLATE, mass_kg=TOE_PLATE.mass_kg + more_kg),)
    shoe = plain(0.34 + more_kg, nails=6, nail_kg=0.0045 + more_kg / 6, added=plates)
    assert words(one, shod(None, shoe), units) == []


def test_the_least_that_is_told_is_never_said_as_nothing() -> None:
    one, other = shod(None, plain(0.34)), shod(None, plain(0.3416))
    assert words(one, other) == ["hind shoes 2 g heavier each"]
    assert words(one, other, "imperial") == ["hind shoes 0.1 oz heavier each"]


def test_fronts_and_hinds_are_two() -> None:
    assert words(shod(plain(), plain()), shod(plain(0.3), plain(0.3))) == [
        "front shoes 40 g lighter each",
        "hind shoes 40 g lighter each",
    ]


@pytest.mark.parametrize(
    ("limbs", "change", "lever", "said"),
    [
        (HINDS, {"angle_deg": 53.0}, "angle", "hinds 2° steeper"),
        (HINDS, {"angle_deg": 50.5}, "angle", "hinds 0.5° lower"),
        (("RF",), {"toe_m": 0.086}, "toe length", "toes of the right fore 3 mm shorter"),
        (FORES, {"trim": "heels {lowered}"}, "trim", "trim of the fronts: heels {lowered}"),
    ],
)
def test_each_lever_of_a_foot_is_told(
    limbs: tuple[str, ...], change: dict[str, object], lever: str, said: str
) -> None:
    before = same_but(WORN, limbs=LIMBS, angle_deg=51.0, toe_m=0.089)
    (found,) = differences(before, same_but(before, limbs=limbs, **change))
    assert (found.lever, found.limbs, found.words) == (lever, limbs, said)


@pytest.mark.parametrize(
    ("change", "lever", "said"),
    [
        ({"head_aim": "level"}, "head carriage", "head asked lower: level, not raised"),
        ({"bit": "curb"}, "bit", "bit: curb, not snaffle"),
        ({"saddle": "deep"}, "saddle", "saddle: deep, not flat"),
    ],
)
def test_each_lever_above_the_feet_is_told(change: dict[str, object], lever: str, said: str) -> None:
    (found,) = differences(WORN, same_but(WORN, **change))  # type: ignore[arg-type]
    assert (found.lever, found.limbs, found.words, found.change) == (lever, (), said, None)


def test_a_head_line_in_degrees_goes_before_the_words() -> None:
    before = replace(WORN, head_deg=30.0)
    (found,) = differences(before, replace(WORN, head_deg=25.0, head_aim="level"))
    assert (found.words, found.change) == ("head 5° lower", -5.0)


@pytest.mark.parametrize(
    ("before", "after", "lever", "said"),
    [
        ((), (TOE_PLATE,), "toe weight", "toe plate 60 g on each hind"),
        ((TOE_PLATE,), (), "toe weight", "toe plate 60 g off each hind"),
        (
            (TOE_PLATE,),
            (Added("Toe plate", 0.04, 0.05),),
            "toe weight",
            "Toe plate 20 g lighter on each hind",
        ),
        ((TOE_PLATE,), (Added("toe plate", 0.06, 0.3),), "toe weight", "toe plate moved back on each hind"),
        ((), (PAD,), "pads", "pad 70 g on each hind"),
        ((), (BOOT,), "shoe weight", "bell boot 280 g on each hind"),
        ((), (Added("pad at the toe", 0.01, 0.0),), "pads", "pad at the toe 10 g on each hind"),
    ],
)
def test_what_is_added_is_told_by_its_name(
    before: tuple[Added, ...], after: tuple[Added, ...], lever: str, said: str
) -> None:
    one, other = (shod(plain(), plain(added=added)) for added in (before, after))
    (found,) = differences(one, other)
    assert (found.lever, found.words) == (lever, said)


def test_nails_are_a_lever_of_their_own() -> None:
    (found,) = differences(shod(None, plain(nails=6)), shod(None, plain(nails=8)))
    assert (found.lever, found.words) == ("nails", "8 nails in each hind, not 6")
    assert found.change == pytest.approx(0.009)


def test_going_bare_is_one_change_with_all_that_was_on_the_shoe() -> None:
    (found,) = differences(shod(plain(0.34, nails=8, added=(PAD,))), shod(None))
    assert found.words == "fronts bare, 446 g off each"
    assert found.change == pytest.approx(-0.446)
    (back,) = differences(shod(None), shod(plain(0.34)))
    assert back.words == "fronts shod, plain steel shoe, 340 g each"


def test_another_make_of_the_same_mass_is_a_change_too() -> None:
    (found,) = differences(shod(None, bar("3/8x1", 10)), shod(None, bar("1/2x3/4", 10)))
    assert found.words == "hind shoes of another make, no heavier or lighter: 1/2 × 3/4 steel, 254 mm"
    assert found.change == 0


def test_putting_a_worn_shoe_on_a_scale_changes_nothing() -> None:
    weighed = same_but(WORN, limbs=HINDS, shoe=bar("1/2x1", 11, nails=8, weighed_kg=0.66))
    assert differences(WORN, weighed) == ()
    lighter = same_but(WORN, limbs=HINDS, shoe=bar("1/2x1", 11, nails=8, weighed_kg=0.65))
    assert words(weighed, lighter) == ["hind shoes 10 g lighter each"]


def test_what_was_not_said_is_no_change() -> None:
    said = same_but(WORN, limbs=LIMBS, angle_deg=50.0, shod_on=date(2026, 3, 1))
    assert differences(WORN, said) == ()
    assert differences(Setup(), WORN) == ()
    assert differences(WORN, replace(WORN, bit="", head_aim="", note="hot day")) == ()


def test_levers_come_in_their_order() -> None:
    after = same_but(WORN, limbs=FORES, shoe=plain(0.3, nails=8))
    after = replace(after, bit="curb", head_aim="low")
    found = [each.lever for each in differences(WORN, after)]
    assert found == ["shoe weight", "nails", "head carriage", "bit"]
    assert changes_at_once(differences(WORN, after)) == 4


@given(setups)
def test_nothing_differs_from_itself(setup: Setup) -> None:
    assert differences(setup, setup) == ()


@given(setups, setups)
def test_there_and_back_are_as_many_changes_of_number_with_other_signs(one: Setup, other: Setup) -> None:
    there = [each for each in differences(one, other) if each.lever == "angle"]
    back = [each for each in differences(other, one) if each.lever == "angle"]
    assert [each.limbs for each in there] == [each.limbs for each in back]
    assert [each.change for each in there] == pytest.approx([-(each.change or 0) for each in back])
    assert {each.lever for each in differences(one, other)} <= set(LEVERS)


def test_mass_and_words_agree_on_shoes_that_only_change_in_size() -> None:
    fronts = [Foot(Shoe(kind="plain", plain_kg=kg, size=size)) for kg, size in ((0.34, "1"), (0.37, "2"))]
    (found,) = differences(Setup(lf=fronts[0], rf=fronts[0]), Setup(lf=fronts[1], rf=fronts[1]))
    assert found.words == "front shoes 30 g heavier each"
