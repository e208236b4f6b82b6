import pytest
from hypothesis import given

from evenfall.shoeing import (
    FORES,
    HINDS,
    LIMBS,
    Foot,
    Shoe,
    say_foot,
    say_limbs,
    say_shoe,
    say_shoe_mass,
    weigh,
)
from tests.shoeing.made import PAD, TOE_PLATE, bar, plain, shoes


@pytest.mark.parametrize(
    ("shoe", "imperial", "metric"),
    [
        (bar(), "3/8 × 3/4 steel, 10 in, 12.8 oz at most", "3/8 × 3/4 steel, 254 mm, 362 g at most"),
        (
            bar("8x20mm", 230 / 25.4, material="aluminium"),
            "8 × 20 mm aluminium, 9.06 in, 3.5 oz at most",
            "8 × 20 mm aluminium, 230 mm, 99 g at most",
        ),
        (
            bar(weighed_kg=0.34),
            "3/8 × 3/4 steel, 10 in, 12 oz weighed",
            "3/8 × 3/4 steel, 254 mm, 340 g weighed",
        ),
        (
            plain(0.34, size="1"),
            "plain steel shoe size 1, 12 oz as said",
            "plain steel shoe size 1, 340 g as said",
        ),
        (
            plain(0.34, added=(TOE_PLATE, PAD), nails=8),
            "plain steel shoe, with toe plate 2.1 oz, pad 2.5 oz, 8 nails, together 17.8 oz as said",
            "plain steel shoe, with toe plate 60 g, pad 70 g, 8 nails, together 506 g as said",
        ),
    ],
)
def test_a_shoe_is_said_as_the_trade_says_it(shoe: Shoe, imperial: str, metric: str) -> None:
    assert (say_shoe(shoe, "imperial"), say_shoe(shoe)) == (imperial, metric)


def test_a_foot_is_said_with_its_trim() -> None:
    assert say_foot(Foot(None, 50.0, 0.089, "heels lowered")) == "bare; angle 50°; toe 89 mm; heels lowered"
    assert say_foot(None) == "not said"


@pytest.mark.parametrize(
    ("limbs", "said"),
    [
        (LIMBS, "all four"),
        (FORES, "fronts"),
        (("RH", "LH"), "hinds"),
        (("LF", "RH"), "left fore and right hind"),
    ],
)
def test_feet_are_named_by_the_pair_where_both_are_meant(limbs: tuple[str, ...], said: str) -> None:
    assert say_limbs(limbs) == said
    assert say_limbs(HINDS) == "hinds"


@given(shoes)
def test_a_mass_says_how_it_is_known(shoe: Shoe) -> None:
    said = say_shoe_mass(weigh(shoe))
    assert said.endswith("at most" if shoe.kind == "bar" else "as said")
