"""Ounces and inches: by definition 28.349523125 g and 25.4 mm (the international pound and yard of 1959)."""

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.errors import WrongSetting
from evenfall.units import (
    from_inches,
    from_ounces,
    from_pounds,
    grams,
    inches,
    ounces,
    parse_length,
    parse_mass,
    parse_number,
    say_inches,
    say_length,
    say_mass,
)


@pytest.mark.parametrize(("oz", "g"), [(21, 595.3), (16, 453.6), (6, 170.1), (40 / 4, 283.5)])
def test_ounces_are_grams_as_in_the_check_table(oz: float, g: float) -> None:
    """shoeing.md, section 9: the limits of 21, 16 and 6 oz; 40 oz a set is 283.5 g each."""
    assert grams(from_ounces(oz)) == pytest.approx(g, abs=0.1)


@pytest.mark.parametrize(
    ("text", "g"), [("6 5/6 oz", 194), ("4 oz", 113), ("5 1/2 oz", 156), ("3 5/8 oz", 103), ("11 oz", 312)]
)
def test_published_trotter_and_pacer_shoes_read_in_ounces(text: str, g: float) -> None:
    """Lungwitz & Adams 1913, trotters and pacers of 1912; Moore 1916, a large colt's start."""
    assert grams(parse_mass(text)) == pytest.approx(g, abs=0.6)


def test_sixteen_ounces_are_a_pound() -> None:
    assert from_ounces(16) == pytest.approx(from_pounds(1), rel=1e-12)


@given(st.floats(0.001, 10))
def test_units_turned_and_turned_back_are_the_same(value: float) -> None:
    assert from_ounces(ounces(value)) == pytest.approx(value)
    assert from_inches(inches(value)) == pytest.approx(value)


@pytest.mark.parametrize(
    ("m", "metric", "imperial"),
    [
        (0.009525, "9.5 mm", "3/8 in"), (0.254, "254 mm", "10 in"), (0.2667, "266.7 mm", "10 1/2 in"),
        (0.03175, "31.8 mm", "1 1/4 in"), (0.0971, "97.1 mm", "3.82 in"), (0.0, "0 mm", "0 in"),
        (-0.0254, "−25.4 mm", "−1 in"),
    ],
)  # fmt: skip
def test_a_length_is_said_in_sixteenths_where_it_is_one(m: float, metric: str, imperial: str) -> None:
    assert (say_length(m), say_length(m, "imperial")) == (metric, imperial)


@pytest.mark.parametrize(
    ("kg", "metric", "imperial"),
    [
        (0.38, "380 g", "13.4 oz"),
        (0.0, "0 g", "0 oz"),
        (-0.0283495, "−28 g", "−1 oz"),
        (-0.0001, "0 g", "0 oz"),
    ],
)
def test_a_mass_is_said_in_whole_grams_or_tenths_of_an_ounce(kg: float, metric: str, imperial: str) -> None:
    assert (say_mass(kg), say_mass(kg, "imperial")) == (metric, imperial)


@given(st.integers(1, 500))
def test_every_sixteenth_is_read_back_as_it_is_said(sixteenths: int) -> None:
    m = from_inches(sixteenths / 16)
    assert parse_length(f"{say_inches(m)} in") == pytest.approx(m, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "m"),
    [("10 1/2 in", 0.2667), ("10.5in", 0.2667), ('10-1/2 "', 0.2667), ("254MM", 0.254), ("25.4 cm", 0.254)],
)
def test_lengths_are_read_as_people_write_them(text: str, m: float) -> None:
    assert parse_length(text) == pytest.approx(m)


@pytest.mark.parametrize("text", ["", "10", "in", "-3 in", "1e400 in", "3/0 in", "1/ in", "nan mm", "10 oz"])
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(WrongSetting, match=r"expected .*, found"):
        parse_length(text)


@given(st.text(max_size=30))
def test_any_text_is_a_number_or_is_refused(text: str) -> None:
    with suppress(WrongSetting):
        assert parse_number(text) >= 0


def test_units_there_are_none_of_are_refused() -> None:
    with pytest.raises(WrongSetting, match="metric or imperial, not 'stone'"):
        say_mass(1, "stone")
