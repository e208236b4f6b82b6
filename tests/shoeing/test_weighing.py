"""What a shoe weighs and where (shoeing.md sections 2, 5 and 9)."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.errors import ShoeError
from evenfall.shoeing import NAILS_AT, Added, Axis, Shoe, weigh
from evenfall.units import ounces
from tests.shoeing.made import BOOT, PAD, TOE_PLATE, added, bar, bars, plain, shoes


@pytest.mark.parametrize(
    ("section", "inches", "oz", "g", "aluminium_g"),
    [
        ("1/4x3/4", 10, 8.51, 241, 83), ("5/16x3/4", 10, 10.63, 301, 104), ("3/8x3/4", 10, 12.76, 361.8, 124.4),
        ("3/8x3/4", 10.5, 13.40, 380, 131), ("3/8x1", 10.5, 17.87, 506, 174), ("1/2x3/4", 10.5, 17.87, 506, 174),
        ("1/2x1", 11, 24.95, 707, 243), ("1/2x1-1/4", 11, 31.19, 884, 304), ("1/2x1-1/2", 11, 37.43, 1061, 365),
        ("8x20mm", 230 / 25.4, 10.2, 289, 99), ("10x23mm", 230 / 25.4, 14.6, 415, 143),
        ("1/4x1/2", 10, 5.68, 161, 55.4), ("3/16x9/16", 10, 4.79, 136, 46.7),
    ],
)  # fmt: skip
def test_a_plain_bar_weighs_as_worked_out(
    section: str, inches: float, oz: float, g: float, aluminium_g: float
) -> None:
    """shoeing.md section 2, worked masses, and section 3, the light racing start; arithmetic from STEEL490."""
    mass = weigh(bar(section, inches))
    assert ounces(mass.mass_kg) == pytest.approx(oz, abs=0.05)
    assert mass.mass_kg * 1000 == pytest.approx(g, abs=0.6)
    assert weigh(bar(section, inches, material="aluminium")).mass_kg * 1000 == pytest.approx(
        aluminium_g, abs=0.6
    )


def test_a_bar_comes_close_to_a_shoe_that_was_weighed() -> None:
    """A flat steel shoe in a gait study weighed 365 g (Singleton 2003, at second hand); 3/8 × 3/4 at 10 in: 361.8 g."""
    assert weigh(bar("3/8x3/4", 10)).mass_kg == pytest.approx(0.3618, abs=0.0005)
    assert weigh(bar("3/8x3/4", 10)).mass_kg == pytest.approx(0.365, rel=0.01)


def test_the_step_from_half_by_one_to_three_eighths() -> None:
    """shoeing.md section 9: 1/2 × 1 at 11 in to 3/8 × 3/4 at 10 1/2 in takes 327.5 g off a hoof."""
    step = weigh(bar("3/8x3/4", 10.5)).mass_kg - weigh(bar("1/2x1", 11)).mass_kg
    assert step == pytest.approx(-0.3275, abs=0.001)


def test_inertia_goes_by_the_square_of_the_distance() -> None:
    """shoeing.md section 5: 0.2 kg at 1.2 m is 0.29 kg m², at 0.6 m 0.07."""
    shoe = plain(0.2)
    far, near = (weigh(shoe, axis=Axis(swing_radius_fore_m=r)).added_inertia_kg_m2 for r in (1.2, 0.6))
    assert (far, near) == pytest.approx((0.288, 0.072))
    assert far / near == pytest.approx(4)


def test_moving_100_g_to_the_toe_turns_by_six_hundredths() -> None:
    """shoeing.md section 5: 0.1 kg × 9.81 × 0.06 m = 0.06 N m."""
    shoe = plain()  # 120 mm long
    back, toe = (weigh(replace(shoe, added=(Added("weight", 0.1, at),))).moment_nm for at in (0.5, 0.0))
    assert toe - back == pytest.approx(0.1 * 9.81 * 0.06, rel=1e-6)


def test_a_hind_shoe_takes_the_hind_radius() -> None:
    axis = Axis(swing_radius_fore_m=1.3, swing_radius_hind_m=1.1)
    fore, hind = weigh(plain(0.2), axis=axis), weigh(plain(0.2), axis=axis, hind=True)
    assert (fore.added_inertia_kg_m2, hind.added_inertia_kg_m2) == pytest.approx((0.2 * 1.69, 0.2 * 1.21))
    assert fore.mass_kg == hind.mass_kg


def test_a_boot_higher_up_adds_less_inertia() -> None:
    low, high = (weigh(plain(added=(replace(BOOT, height_m=h),))) for h in (0.0, 0.2))
    assert high.added_inertia_kg_m2 < low.added_inertia_kg_m2
    assert high.mass_kg == low.mass_kg


def test_a_bar_is_an_upper_value_until_it_is_weighed() -> None:
    reckoned, weighed = weigh(bar()), weigh(bar(weighed_kg=0.33))
    assert (reckoned.upper, reckoned.weighed) == (True, False)
    assert (weighed.upper, weighed.weighed, weighed.mass_kg) == (False, True, 0.33)


def test_a_ready_made_shoes_said_mass_is_neither_upper_nor_weighed() -> None:
    assert (weigh(plain()).upper, weigh(plain()).weighed) == (False, False)


def test_the_scale_counts_additions_and_leaves_nails() -> None:
    mass = weigh(bar(weighed_kg=0.4, added=(PAD,), nails=8, nail_kg=0.004))
    assert (mass.bar_kg, mass.added_kg, mass.nails_kg) == pytest.approx((0.33, 0.07, 0.032))
    assert mass.mass_kg == pytest.approx(0.432)


def test_only_the_front_third_is_toe_set() -> None:
    mass = weigh(bar(added=(TOE_PLATE, PAD, Added("clip", 0.02, 0.33), Added("stud", 0.01, 0.34))))
    assert mass.toe_set_kg == pytest.approx(0.08)


def test_nails_pull_the_middle_toward_their_place() -> None:
    mass = weigh(plain(0.1, nails=20, nail_kg=0.02))
    alone = weigh(plain(0.1)).centre_m
    assert alone is not None
    assert mass.centre_m == pytest.approx((0.1 * alone + 0.4 * NAILS_AT * 0.12) / 0.5)


@given(bars, added)
def test_mass_is_the_sum_of_what_is_there(shoe: Shoe, more: Added) -> None:
    with_it = replace(shoe, added=(*shoe.added, more))
    assert weigh(with_it).mass_kg == pytest.approx(weigh(shoe).mass_kg + more.mass_kg)
    mass = weigh(with_it)
    assert mass.mass_kg == pytest.approx(mass.bar_kg + mass.added_kg + mass.nails_kg)


@given(st.floats(0.15, 0.4), st.floats(1.0, 2.0))
def test_twice_the_bar_is_twice_the_mass(length_m: float, times: float) -> None:
    one, more = bar("3/8x3/4"), bar("3/8x3/4")
    one, more = replace(one, bar_length_m=length_m), replace(more, bar_length_m=length_m * times)
    assert weigh(more).mass_kg == pytest.approx(weigh(one).mass_kg * times)


@given(shoes)
def test_the_middle_lies_on_the_shoe_and_the_moment_follows(shoe: Shoe) -> None:
    axis = Axis(coffin_from_toe_m=0.05)
    mass = weigh(shoe, axis=axis)
    assert mass.centre_m is not None
    assert 0 < mass.centre_m < mass.shoe_length_m
    assert mass.moment_nm == pytest.approx(mass.mass_kg * 9.81 * (0.05 - mass.centre_m))


@pytest.mark.parametrize("wrong", [{"coffin_from_toe_m": 6.0}, {"swing_radius_fore_m": 0.0}])
def test_an_axis_that_cannot_be_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ShoeError, match="expected a number from"):
        Axis(**wrong)
