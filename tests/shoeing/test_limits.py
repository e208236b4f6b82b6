"""The class-limit table (welfare.md sections 1 and 2), and shoes held against it."""

from contextlib import suppress
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.errors import ShoeError
from evenfall.shoeing import CHECK_WORDS, Foot, Limit, Setup, check, check_foot, limit_data, limit_of, limits
from evenfall.units import from_ounces
from tests.shoeing.made import BOOT, TOE_PLATE, bar, plain, setups, shod

BY_KEY = {each.key: each for each in limits()}
FOX_TROT = BY_KEY["fox trot shoe"]
KEG = BY_KEY["young horse keg shoe"]


def test_the_numbers_are_those_that_were_seen() -> None:
    """welfare.md section 2: 21 oz is 595 g (MAFTHA); section 1: 16 oz is 454 g, 6 oz 170 g (9 CFR 11.2)."""
    assert FOX_TROT.shoe_kg == pytest.approx(0.595, abs=0.0005)
    assert KEG.shoe_kg == pytest.approx(0.454, abs=0.0005)
    assert BY_KEY["boots at US shows and sales"].boot_kg == pytest.approx(0.170, abs=0.0005)
    assert BY_KEY["Icelandic breeding boots"].boot_kg == 0.12
    assert (BY_KEY["Icelandic breeding shoe"].thickness_m, BY_KEY["Icelandic breeding shoe"].width_m) == (
        0.008,
        0.023,
    )


def test_every_row_is_dated_sourced_and_marked() -> None:
    assert len(BY_KEY) == len(limits())
    for limit in limits():
        assert limit.seen
        assert limit.source
        assert limit.mark in ("read", "abstract", "second hand", "from memory"), limit.key


def test_half_by_one_at_eleven_inches_is_over_21_oz() -> None:
    """shoeing.md section 9: 24.95 oz, over."""
    found = check(shod(bar("1/2x1", 11), bar("1/2x1", 11)), FOX_TROT, units="imperial")
    assert set(found.feet.values()) == {"over"}
    assert "Left fore: shoe 25 oz (reckoned: weigh it), and 21 oz is the most" in found.words
    assert CHECK_WORDS in found.words
    assert FOX_TROT.seen in found.words


@pytest.mark.parametrize("limit", [FOX_TROT, KEG])
def test_three_eighths_at_ten_and_a_half_inches_is_under_both(limit: Limit) -> None:
    """shoeing.md section 9: 13.40 oz, under 21 and 16 oz."""
    found = check(shod(bar("3/8x3/4", 10.5), bar("3/8x3/4", 10.5)), limit)
    assert set(found.feet.values()) == {"under"}
    assert "Within it on all four feet." in found.words


def test_a_weighed_shoe_counts_as_the_scale_said() -> None:
    light = bar("1/2x1", 11, weighed_kg=from_ounces(20.9))
    assert check_foot(Foot(light), FOX_TROT) == ("under", ())


def test_a_shoe_just_at_the_limit_is_not_over() -> None:
    assert check_foot(Foot(bar("3/8x3/4")), BY_KEY["walking-horse keg-shod"]) == ("under", ())
    state, over = check_foot(Foot(bar("3/8x1")), BY_KEY["walking-horse keg-shod"], units="imperial")
    assert (state, over) == ("over", ("bar width 1 in, and 3/4 in is the most",))


def test_added_weight_is_told_where_none_may_be() -> None:
    assert check_foot(Foot(plain(added=(TOE_PLATE,))), FOX_TROT)[1] == (
        "toe plate added, and nothing may be",
    )


def test_boots_count_as_boots_and_not_as_shoe() -> None:
    """welfare.md section 2: 250 g a leg in Icelandic sport classes (at second hand)."""
    shoe = plain(0.5, added=(BOOT,))
    assert check_foot(Foot(shoe), BY_KEY["Icelandic sport boots"])[1] == (
        "boots 280 g, and 250 g is the most",
    )
    assert check_foot(Foot(shoe), replace(FOX_TROT, boot_kg=None, no_added=False))[0] == "under"


def test_what_was_not_said_is_not_known_and_never_under() -> None:
    assert check_foot(None, FOX_TROT) == ("not known", ())
    assert check_foot(Foot(plain()), BY_KEY["Icelandic sport shoe"]) == ("not known", ())
    assert check_foot(Foot(plain()), BY_KEY["Icelandic sport hoof, under 145 cm"]) == ("not known", ())
    text_only = check(shod(plain(), plain()), BY_KEY["weights at US shows and sales"])
    assert set(text_only.feet.values()) == {"not known"}
    assert "read the text" in text_only.words


def test_a_long_toe_is_over_and_a_bare_foot_wears_nothing() -> None:
    """welfare.md section 2: hoof to 8.5 cm under 137 cm withers (FEIF_BREED)."""
    hoof = BY_KEY["Icelandic breeding hoof, under 137 cm"]
    assert check_foot(Foot(toe_m=0.089), hoof)[1] == ("toe 89 mm, and 85 mm is the most",)
    assert check_foot(Foot(), FOX_TROT) == ("under", ())


def test_each_foot_is_told_by_itself() -> None:
    found = check(Setup(lf=Foot(plain(0.7)), rf=Foot(plain(0.4))), FOX_TROT)
    assert found.feet == {"LF": "over", "RF": "under", "LH": "not known", "RH": "not known"}
    assert "as said: weigh it" in found.words
    assert "Not known of left hind, right hind." in found.words


def test_a_row_can_be_edited_and_comes_back() -> None:
    edited = replace(FOX_TROT, shoe_kg=0.55, seen="2026 text", mark="read")
    assert limit_of(limit_data(edited)) == edited
    assert check_foot(Foot(plain(0.57)), edited)[0] == "over"


@given(setups, st.sampled_from(limits()), st.sampled_from(["metric", "imperial"]))
def test_any_setup_can_be_held_against_any_row(setup: Setup, limit: Limit, units: str) -> None:
    found = check(setup, limit, units=units)
    assert set(found.feet.values()) <= {"under", "over", "not known"}
    assert found.words.endswith(f"{CHECK_WORDS}.")


@given(
    st.dictionaries(
        st.sampled_from([*limit_data(FOX_TROT), "x"]), st.none() | st.text(max_size=5) | st.floats()
    )
)
def test_any_edit_is_a_row_or_a_shoe_error(change: dict[str, Any]) -> None:
    with suppress(ShoeError):
        assert limit_of({**limit_data(FOX_TROT), **change}).key


@pytest.mark.parametrize(
    "wrong", [[], {}, {"key": "x"}, {**limit_data(KEG), "key": " "}, {**limit_data(KEG), "y": 1}]
)
def test_a_row_that_cannot_be_is_refused(wrong: object) -> None:
    with pytest.raises(ShoeError, match="limit: expected"):
        limit_of(wrong)
