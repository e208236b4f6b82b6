import pytest

from evenfall.errors import ShoeError, WrongSetting
from evenfall.flow.shoes import ShoeWords, weigh_shoe


def test_a_shoe_in_words_is_weighed() -> None:
    """shoeing.md section 9: 3/8 × 3/4 at 10 in weighs 361.8 g."""
    found = weigh_shoe(ShoeWords(section="3/8x3/4", length="10in"))
    assert found.masses["fore"].mass_kg == pytest.approx(0.3618, abs=0.0005)
    assert found.masses["fore"].added_inertia_kg_m2 == found.masses["hind"].added_inertia_kg_m2


def test_distances_that_are_said_replace_the_usual_ones() -> None:
    usual = weigh_shoe(ShoeWords(plain="12 oz")).masses["hind"]
    said = weigh_shoe(ShoeWords(plain="12 oz", coffin="50mm", swing="0.6 m")).masses["hind"]
    assert said.added_inertia_kg_m2 == pytest.approx(usual.added_inertia_kg_m2 / 4)
    assert said.moment_nm < usual.moment_nm


def test_a_shoe_only_weighed_is_a_ready_made_one() -> None:
    found = weigh_shoe(ShoeWords(weighed="340g", size="1"))
    assert (found.shoe.kind, found.masses["fore"].weighed) == ("plain", True)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (ShoeWords(), "found neither"),
        (ShoeWords(section="3/8x3/4", plain="12oz"), "found both"),
        (ShoeWords(section="3/8x3/4"), "needs the bar's length"),
        (ShoeWords(section="3/8x3/4", length="10"), "a length with its unit"),
        (ShoeWords(plain="12"), "a weight with its unit"),
        (ShoeWords(plain="12oz", added=("pad",)), "expected something added as"),
    ],
)
def test_words_that_make_no_shoe_are_refused(words: ShoeWords, told: str) -> None:
    with pytest.raises(WrongSetting, match=told):
        weigh_shoe(words)


def test_the_errors_of_shoes_are_wrong_settings() -> None:
    assert issubclass(ShoeError, WrongSetting)
