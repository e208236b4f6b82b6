from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.errors import ShoeError
from evenfall.shoeing import PLAIN_KG, Foot, Setup, Shoe, from_last, from_plain, masses_of, weigh
from tests.shoeing.made import TOE_PLATE, bar, plain, setups, shod, shoes


def test_front_and_hind_are_held_against_each_other_by_the_foot() -> None:
    """shoeing.md section 9: 1/2 × 1 at 11 in against 3/8 × 3/4 at 10 1/2 in differ by 327.5 g a hoof."""
    masses = masses_of(shod(bar("3/8x3/4", 10.5), bar("1/2x1", 11)))
    assert masses.hind_minus_front_kg == pytest.approx(0.3275, abs=0.001)
    assert masses.front_minus_hind_kg == -(masses.hind_minus_front_kg or 0)
    assert masses.total_kg == pytest.approx(2 * (0.380 + 0.7075), abs=0.002)


def test_a_set_of_forty_ounces_is_283_g_a_foot() -> None:
    """Lungwitz & Adams 1913, training shoes: 40 oz a set, 283.5 g each (shoeing.md section 9)."""
    masses = masses_of(shod(plain(0.2835), plain(0.2835)))
    assert masses.total_kg == pytest.approx(40 * 0.0283495, abs=0.0005)


def test_left_and_right_are_told_pair_by_pair() -> None:
    setup = Setup(Foot(plain(0.35)), Foot(plain(0.34)), Foot(plain(0.3)), Foot(plain(0.32)))
    assert masses_of(setup).left_minus_right_kg == pytest.approx({"fore": 0.01, "hind": -0.02})


def test_a_foot_that_was_not_said_leaves_its_differences_unknown() -> None:
    masses = masses_of(Setup(lf=Foot(plain()), lh=Foot(plain()), rh=Foot(plain())))
    assert masses.hind_minus_front_kg is masses.total_kg is masses.left_minus_right_kg["fore"] is None
    assert masses.left_minus_right_kg["hind"] == 0
    assert masses.feet["RF"] is None
    assert set(masses.toe_set_kg) == {"LF", "LH", "RH"}


def test_a_bare_foot_weighs_nothing() -> None:
    masses = masses_of(shod(None, plain(0.34)))
    assert masses.feet["LF"] is not None
    assert masses.feet["LF"].mass_kg == 0
    assert masses.hind_minus_front_kg == pytest.approx(0.34)


def test_one_bar_not_weighed_makes_the_whole_an_upper_value() -> None:
    assert not masses_of(shod(plain(), bar(weighed_kg=0.34))).upper
    assert masses_of(shod(plain(), bar())).upper


def test_what_is_set_at_the_toe_is_told_by_the_foot() -> None:
    masses = masses_of(shod(plain(), bar(added=(TOE_PLATE,))))
    assert masses.toe_set_kg == {"LF": 0.0, "RF": 0.0, "LH": 0.06, "RH": 0.06}


def test_a_plain_light_shoe_is_the_measure_of_the_others_nails_apart() -> None:
    found = from_plain(shod(plain(PLAIN_KG, nails=8), bar("1/2x1", 11)))
    assert found["LF"] == pytest.approx(0)
    assert found["LH"] == pytest.approx(0.7074 - 0.34, abs=0.001)
    assert from_plain(Setup())["RH"] is None


def test_each_foot_is_held_against_the_last_setup() -> None:
    """shoeing.md section 9: 1/2 × 1 at 11 in to 3/8 × 3/4 at 10 1/2 in, -327.5 g a hoof."""
    found = from_last(Setup(lh=Foot(bar("1/2x1", 11)), rf=Foot(plain())), shod(None, bar("3/8x3/4", 10.5)))
    assert found == {"LF": None, "RF": -0.34, "LH": pytest.approx(-0.3275, abs=0.001), "RH": None}


def test_the_plain_shoe_can_be_another_but_must_be_a_shoe() -> None:
    assert from_plain(shod(plain(0.3)), plain_kg=0.3)["RF"] == pytest.approx(0)
    with pytest.raises(ShoeError, match="plain light shoe"):
        from_plain(Setup(), plain_kg=300)


@given(shoes, shoes)
def test_a_setup_alike_left_and_right_differs_by_nothing(fore: Shoe, hind: Shoe) -> None:
    masses = masses_of(shod(fore, hind))
    assert masses.left_minus_right_kg == {"fore": 0.0, "hind": 0.0}
    assert masses.hind_minus_front_kg == pytest.approx(weigh(hind).mass_kg - weigh(fore).mass_kg)


@given(setups, st.floats(0.1, 0.9))
def test_left_for_right_turns_the_differences_round(setup: Setup, kg: float) -> None:
    setup = replace(setup, lf=Foot(plain(kg)))
    mirrored = replace(setup, lf=setup.rf, rf=setup.lf, lh=setup.rh, rh=setup.lh)
    one, other = masses_of(setup), masses_of(mirrored)
    for pair, apart in one.left_minus_right_kg.items():
        assert other.left_minus_right_kg[pair] == (None if apart is None else -apart)
    assert other.hind_minus_front_kg == one.hind_minus_front_kg
