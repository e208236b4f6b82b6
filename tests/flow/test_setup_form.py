"""A setup is written as the last one was, but for what was typed anew."""

import json
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.errors import WrongSetting
from evenfall.flow.setup_form import SetupForm, foot_name, read_setup_form, setup_form
from evenfall.shoeing import FORES, HINDS, LIMBS, Foot, Setup, Shoe, parse_section, same_but, setup_of, weigh
from tests.flow.shod import APRIL, HEAVY, LIGHT, MARCH, TODAY, heavy_behind


def sent(base: Setup, units: str = "imperial", **typed: str) -> SetupForm:
    values = {"base": setup_form(base, day=APRIL, units=units).base, "on_date": APRIL.isoformat(), **typed}
    return read_setup_form(values, today=TODAY, units=units)


def read(base: Setup, units: str = "imperial", **typed: str) -> Setup:
    form = sent(base, units, **typed)
    assert form.errors == {}
    assert form.setup is not None
    return form.setup


def shoe_of(setup: Setup, limb: str) -> Shoe:
    foot = setup.foot(limb)
    assert foot is not None
    assert foot.shoe is not None
    return foot.shoe


def as_filled_in(base: Setup, units: str) -> dict[str, str]:
    """Every field of the form as a browser would send it, untouched."""
    form = setup_form(base, day=APRIL, units=units)
    values = {"base": form.base, **form.values}
    for pair in form.pairs:
        values |= {f"{pair.name}_apart": "yes"} if pair.apart else {}
        for foot in (pair.both, *(each for _, each in pair.each)):
            values |= {f"{foot.name}_{name}": value for name, value in foot.values.items()}
            values[f"{foot.name}_shoe"] = "same" if foot.said else "unsaid"
    return values


@pytest.mark.parametrize("units", ["metric", "imperial"])
@pytest.mark.parametrize("base", [heavy_behind(), Setup(), same_but(Setup(), limbs=("LF",), angle_deg=50.0)])
def test_a_form_sent_untouched_changes_nothing(base: Setup, units: str) -> None:
    form = read_setup_form(as_filled_in(base, units), today=TODAY, units=units)
    assert form.errors == {}
    assert form.setup == base


masses = st.one_of(st.none(), st.floats(0.1, 1.5))


@settings(deadline=None)
@given(masses, masses, st.one_of(st.none(), st.floats(30, 70)), st.sampled_from(["metric", "imperial"]))
def test_rounding_in_the_fields_never_moves_a_number_nobody_touched(
    left: float | None, right: float | None, angle: float | None, units: str
) -> None:
    shoes = [
        Shoe(section=parse_section("3/8x3/4"), bar_length_m=0.2631, weighed_kg=kg) for kg in (left, right)
    ]
    base = Setup(lh=Foot(shoes[0], angle, 0.0873), rh=Foot(shoes[1], 52.0, 0.0912))
    assert read_setup_form(as_filled_in(base, units), today=TODAY, units=units).setup == base


def test_same_but_hind_three_eighths_plain() -> None:
    setup = read(heavy_behind(), hind_shoe="bar:3/8 × 3/4 in", hind_length="10 1/2")
    for limb in HINDS:
        shoe = shoe_of(setup, limb)
        assert (shoe.section, shoe.added, shoe.nails) == (parse_section("3/8x3/4"), (), 8)
        assert weigh(shoe).bar_kg == pytest.approx(0.3799, abs=0.0005)
    assert [setup.foot(limb) for limb in FORES] == [heavy_behind().foot(limb) for limb in FORES]
    assert setup.bit == "mullen"


def test_a_new_shoe_counts_as_put_on_that_day_with_the_length_and_angle_of_before() -> None:
    setup = read(heavy_behind(), hind_shoe="bar:3/8 × 3/4 in")
    foot = setup.foot("LH")
    assert foot is not None
    assert (foot.shod_on, foot.angle_deg) == (APRIL, 53)
    assert shoe_of(setup, "LH").bar_length_m == HEAVY.bar_length_m


def test_what_was_on_the_old_shoe_comes_along_only_if_asked() -> None:
    assert (
        shoe_of(read(heavy_behind(), hind_shoe="bar:3/8 × 3/4 in", hind_on_0="yes"), "RH").added
        == HEAVY.added
    )
    assert shoe_of(read(heavy_behind(), hind_off_0="yes"), "RH").added == ()


def test_an_angle_of_a_pair_that_differs_stays_with_each_foot_until_typed() -> None:
    (front, _) = setup_form(heavy_behind(), day=APRIL, units="imperial").pairs
    assert (front.both.values["angle"], front.both.differ["angle"]) == ("", "51 and 52")
    assert not front.apart
    setup = read(heavy_behind(), front_trim="heels lowered")
    assert [setup.foot(limb).angle_deg for limb in FORES] == [51, 52]  # type: ignore[union-attr]
    setup = read(heavy_behind(), front_angle="50")
    assert [setup.foot(limb).angle_deg for limb in FORES] == [50, 50]  # type: ignore[union-attr]


def test_left_and_right_are_edited_apart_on_request() -> None:
    setup = read(heavy_behind(), hind_apart="yes", rh_shoe="bare", hind_angle="60")
    assert shoe_of(setup, "LH") == HEAVY
    assert setup.rh is not None
    assert (setup.rh.shoe, setup.rh.angle_deg) == (None, 53)


def test_a_pair_made_differently_begins_apart() -> None:
    base = same_but(heavy_behind(), limbs=("LH",), shoe=LIGHT)
    front, hind = setup_form(base, day=APRIL, units="metric").pairs
    assert (front.apart, hind.apart) == (False, True)
    assert len(hind.brief) == 2


def test_the_first_setup_needs_only_its_day() -> None:
    setup = read(Setup())
    assert setup == Setup()
    assert sent(Setup()).fields(7) is not None


@pytest.mark.parametrize(
    ("units", "length", "plain"),
    [("imperial", "10 1/2", "12"), ("metric", "266,7", "340.19"), ("metric", "10.5 in", "12oz")],
)
def test_numbers_are_in_the_barns_units_or_in_their_own(units: str, length: str, plain: str) -> None:
    setup = read(
        Setup(),
        units,
        front_shoe="plain",
        front_plain=plain,
        hind_shoe="bar",
        hind_section="3/8x3/4",
        hind_length=length,
    )
    assert shoe_of(setup, "LF").plain_kg == pytest.approx(0.3402, abs=0.0001)
    assert shoe_of(setup, "LH").bar_length_m == pytest.approx(0.2667)


def test_the_bar_follows_from_the_hoof_by_lungwitz() -> None:
    setup = read(Setup(), hind_shoe="bar:3/8 × 3/4 in", hind_hoof_length="5", hind_hoof_width="5")
    assert weigh(shoe_of(setup, "LH")).bar_kg * 1000 == pytest.approx(361.8, abs=0.5)


def test_a_plate_is_reckoned_from_its_size_and_a_boot_taken_by_its_weight() -> None:
    typed = {
        "hind_add1_what": "toe plate", "hind_add1_size": "2 x 1 x 1/4", "hind_add2_what": "bell boot", "hind_add2_mass": "6",
        "hind_add2_at": "hoof",
    }  # fmt: skip
    *_, made, boot = shoe_of(read(heavy_behind(), **typed), "LH").added
    assert made.mass_kg == pytest.approx(0.0643, abs=0.0002)
    assert boot.mass_kg == pytest.approx(0.1701, abs=0.0001)
    assert (made.weighed, boot.weighed, made.at) == (False, True, 0.05)
    assert boot.height_m > 0


def test_a_weighed_shoe_is_to_be_weighed_anew_when_something_comes_off_it() -> None:
    weighed = same_but(heavy_behind(), limbs=HINDS, shoe=Shoe(**{**vars(HEAVY), "weighed_kg": 0.75}))
    assert shoe_of(read(weighed), "LH").weighed_kg == 0.75
    assert shoe_of(read(weighed, hind_off_0="yes"), "LH").weighed_kg is None
    assert shoe_of(read(weighed, hind_weighed="20"), "LH").weighed_kg == pytest.approx(0.567, abs=0.001)


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        ({"on_date": ""}, "on_date", "A setup needs its day"),
        ({"on_date": "2026-05-21"}, "on_date", "still to come"),
        ({"on_date": "3 May"}, "on_date", "year-month-day"),
        ({"hind_angle": "steep"}, "hind_angle", "number such as"),
        ({"hind_angle": "90"}, "hind_shoe", "20 to 80"),
        ({"hind_section": "", "hind_shoe": "bar"}, "hind_shoe", "section"),
        ({"hind_shoe": "bar", "hind_section": "thick"}, "hind_shoe", "3/8x3/4"),
        ({"hind_shoe": "plain"}, "hind_shoe", "needs its mass"),
        ({"hind_shoe": "plain", "hind_plain": "a lot"}, "hind_plain", "weight with its unit"),
        ({"hind_nails": "7.5"}, "hind_shoe", "whole number"),
        ({"hind_add1_what": "toe plate"}, "hind_shoe", "length x width x thickness"),
        ({"head_aim": "up"}, "head_aim", "low, level"),
        ({"head_deg": "120"}, "head_deg", "-90 to 90"),
        ({"note": "x" * 2001}, "note", "at most 2000 letters"),
    ],
)
def test_a_mistake_is_told_beside_its_field(typed: dict[str, str], field: str, says: str) -> None:
    form = sent(heavy_behind(), **typed)
    assert says in form.errors[field]
    assert form.fields(1) is None
    assert form.values[next(iter(typed))] == next(iter(typed.values()))


def test_a_mistake_opens_the_part_it_is_in() -> None:
    form = sent(heavy_behind(), hind_apart="yes", lh_angle="steep")
    assert [form.amiss(pair) for pair in form.pairs] == [False, True]


def test_a_foot_of_which_nothing_is_said_has_no_angle() -> None:
    assert "or bare" in sent(Setup(), front_angle="52").errors["front_shoe"]


@pytest.mark.parametrize("base", ["{", "[]", '{"schema": 99}', '"x"'])
def test_a_form_that_began_from_no_setup_is_refused(base: str) -> None:
    with pytest.raises(WrongSetting, match=r"expected|newer"):
        read_setup_form({"base": base}, today=TODAY, units="metric")


def test_the_setup_it_began_from_travels_with_the_form() -> None:
    data: Any = json.loads(sent(heavy_behind(), on_date="nonsense").base)
    assert setup_of(data) == heavy_behind()


def test_feet_are_called_as_the_barn_calls_them() -> None:
    assert [foot_name(limb) for limb in LIMBS] == ["Left fore", "Right fore", "Left hind", "Right hind"]
    assert foot_name("RF", "near-off") == "Off fore"


def test_worn_from_may_lie_back() -> None:
    assert sent(heavy_behind(), on_date=MARCH.isoformat()).day == date(2026, 3, 2)
