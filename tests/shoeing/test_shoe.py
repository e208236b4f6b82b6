from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.errors import ShoeError
from evenfall.shoeing import NAIL_KG, Added, Shoe, bar_length, parse_added, parse_section, plate
from tests.shoeing.made import PAD, bar, plain


def test_lungwitz_takes_the_hoofs_length_and_greatest_width() -> None:
    """Lungwitz & Adams 1913; shoeing.md section 9: 127 mm long and 127 mm wide take 254 mm, 10 in."""
    shoe = Shoe(section=parse_section("3/8x3/4"), hoof_length_m=0.127, hoof_width_m=0.127)
    assert bar_length(shoe) == pytest.approx(0.254, abs=1e-12)


def test_a_length_that_is_given_goes_before_the_rule() -> None:
    assert bar_length(bar(inches=11, hoof_length_m=0.127, hoof_width_m=0.127)) == pytest.approx(0.2794)


def test_a_ready_made_shoe_has_no_bar() -> None:
    assert bar_length(plain()) is None


def test_a_plate_weighs_its_volume() -> None:
    """2 × 1 × 1/4 in of steel: half a cubic inch, 0.2836 lb/in³ (STEEL490)."""
    made = plate("toe plate", length_m=0.0508, width_m=0.0254, thickness_m=0.00635, at=0.05)
    assert made.mass_kg == pytest.approx(0.5 * 0.2836 * 0.45359237, rel=1e-3)
    assert (made.at, made.weighed) == (0.05, False)


def test_a_leather_pad_of_127_mm_weighs_about_55_g() -> None:
    """shoeing.md section 3: 127 cm² of 4.8 mm leather at 0.9 g/cm³; here 0.93, so 57 g."""
    side = 0.0127**0.5
    assert plate(
        "pad", length_m=side, width_m=side, thickness_m=0.0048, material="leather"
    ).mass_kg == pytest.approx(0.055, abs=0.003)


def test_a_usual_nail_lies_within_the_old_tables() -> None:
    """Griffiths: 3.1 to 4.9 g."""
    assert 0.0031 <= NAIL_KG <= 0.0049


@pytest.mark.parametrize(
    ("text", "what", "kg", "at", "weighed"),
    [
        ("toe plate:2x1x1/4in:steel@0.05", "toe plate", 0.0643, 0.05, False),
        ("pad:70g@0.5", "pad", 0.07, 0.5, True),
        ("bell boot: 10 oz @ .6", "bell boot", 0.2835, 0.6, True),
        ("bar:50x20x5mm:aluminum@1", "bar", 0.0135, 1.0, False),
        ("bar:50x20x5mm@1", "bar", 0.0392, 1.0, False),
    ],
)
def test_what_is_added_is_read_from_one_line(
    text: str, what: str, kg: float, at: float, weighed: bool
) -> None:
    found = parse_added(text)
    assert (found.what, found.at, found.weighed) == (what, at, weighed)
    assert found.mass_kg == pytest.approx(kg, abs=0.0001)


@pytest.mark.parametrize(
    "text", ["", "pad", "pad:70g", ":70g@0.5", "pad:70@0.5", "pad:1x2mm:steel@0", "a:b:c:d@0"]
)
def test_an_addition_that_is_not_understood_is_refused_and_shown_how(text: str) -> None:
    with pytest.raises(ShoeError, match=r"such as 'toe plate:2x1x1/4in:steel@0\.05'"):
        parse_added(text)


@given(st.text(max_size=40))
def test_any_text_is_an_addition_or_a_shoe_error(text: str) -> None:
    with suppress(ShoeError):
        assert parse_added(text).mass_kg >= 0


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"kind": "horse"}, "kind of shoe: expected one of bar, plain"),
        ({"section": None}, "needs the bar's section"),
        ({"bar_length_m": None}, "needs the bar's length, or the hoof's"),
        ({"bar_length_m": 0.06}, "shorter than four times its width"),
        ({"bar_length_m": float("nan")}, "length of the bar"),
        ({"bar_length_m": 10}, "Is it the right unit"),
        ({"material": "wood"}, "expected a material"),
        ({"nails": 30}, "whole number from 0 to 20"),
        ({"nails": True}, "whole number from 0 to 20"),
        ({"added": [PAD]}, "expected a list of things"),
        ({"hoof_length_m": 0.2, "hoof_width_m": 0.1}, "hoof length over hoof width"),
        ({"weighed_kg": 0.06, "added": (PAD,)}, "what is added alone comes to 70 g"),
        ({"nail_kg": None}, "found nothing"),
    ],
)
def test_a_shoe_that_cannot_be_is_refused_and_told_why(wrong: dict[str, object], told: str) -> None:
    with pytest.raises(ShoeError, match=told):
        Shoe(**{"section": parse_section("3/8x3/4"), "bar_length_m": 0.254, **wrong})  # type: ignore[arg-type]


def test_a_ready_made_shoe_needs_its_mass() -> None:
    with pytest.raises(ShoeError, match="put one on a scale"):
        Shoe(kind="plain", size="1")
    assert Shoe(kind="plain", weighed_kg=0.3).weighed_kg == 0.3


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"what": " "}, "expected a name"),
        ({"at": 1.1}, "place, 0 toe to 1 heel"),
        ({"weighed": 1}, "yes or no"),
    ],
)
def test_an_addition_that_cannot_be_is_refused(wrong: dict[str, object], told: str) -> None:
    with pytest.raises(ShoeError, match=told):
        Added(**{"what": "pad", "mass_kg": 0.1, "at": 0.5, **wrong})  # type: ignore[arg-type]
