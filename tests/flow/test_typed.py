import pytest

from evenfall.errors import WrongSetting
from evenfall.flow.typed import Typed, length_text, mass_text, read_length, read_mass, read_number
from evenfall.units import INCH_M, OUNCE_KG


@pytest.mark.parametrize(
    ("text", "number"),
    [("52", 52), ("52,5", 52.5), ("-5", -5), ("\u22125.5", -5.5), (" ", None), ("1 1/2", 1.5)],
)
def test_a_number_is_read_as_it_is_written(text: str, number: float | None) -> None:
    assert read_number(text) == number


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_a_unit_of_its_own_counts_before_the_barns(units: str) -> None:
    assert read_mass("13 oz", units) == pytest.approx(13 * OUNCE_KG)
    assert read_length('10 1/2"', units) == pytest.approx(10.5 * INCH_M)
    assert read_mass("", units) is read_length("  ", units) is None


@pytest.mark.parametrize("text", ["-3", "heavy", "3 stone", "1/0", "--", "1e9999"])
def test_what_is_no_weight_is_refused(text: str) -> None:
    with pytest.raises(WrongSetting, match="expected"):
        read_mass(text, "imperial")


def test_what_is_written_back_reads_the_same_to_what_can_be_seen() -> None:
    assert read_length(length_text(0.2667, "imperial"), "imperial") == pytest.approx(0.2667)
    assert read_mass(mass_text(0.38, "metric"), "metric") == pytest.approx(0.38)
    assert (mass_text(None, "metric"), length_text(None, "imperial")) == ("", "")


def test_a_mistake_is_kept_once_as_a_sentence() -> None:
    typed = Typed({"mass": "heavy"}, "metric")
    assert typed.mass("mass") is typed.mass("mass") is None
    assert typed.errors["mass"].startswith("Expected a weight with its unit")
    assert typed.errors["mass"].endswith(".")


def test_a_field_left_as_filled_in_keeps_the_number_behind_it() -> None:
    typed, before = Typed({"width": "0.91"}, "imperial"), 0.023
    width: float | None = before
    assert typed.kept("width", "0.91", width, typed.length) == before
    assert typed.kept("width", "0.9", width, typed.length) == pytest.approx(0.91 * INCH_M)


@pytest.mark.parametrize(("units", "told"), [
    ("metric", "Length of the bar: expected 50 mm to 1000 mm, found 30 mm. Is it the right unit?"),
    ("imperial", "Length of the bar: expected 1.97 in to 39.37 in, found 1.18 in. Is it the right unit?"),
])  # fmt: skip
def test_bounds_are_told_in_the_units_that_were_typed(units: str, told: str) -> None:
    typed = Typed({}, units)

    def refused() -> None:
        raise WrongSetting(
            "length of the bar in m: expected a number from 0.05 to 1, found 0.03. Is it the right unit?"
        )

    typed.tried("length", refused)
    assert typed.errors == {"length": told}
