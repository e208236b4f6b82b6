"""The U of uniform web, its closed form against the sum of its parts."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.shoeing import Outline, Shoe, outline_of, outline_of_bar, outline_of_hoof
from tests.shoeing.made import bar, plain, shoes

outlines = st.builds(outline_of_bar, st.floats(0.18, 0.4), st.floats(0.008, 0.03), ratio=st.floats(0.7, 1.4))


def middle_by_parts(outline: Outline, n: int = 400) -> float:
    """The centre from the toe, by adding up small cells of half a ring and of two branches."""
    inner, outer = outline.radius_m - outline.web_m / 2, outline.radius_m + outline.web_m / 2
    edges = np.linspace(inner, outer, n + 1)
    r = (edges[1:] + edges[:-1]) / 2
    turn = (np.arange(n) + 0.5) * math.pi / n
    cell = r * (edges[1:] - edges[:-1]) * (math.pi / n)
    toe_to_centre = outer
    ring = sum((cell * (toe_to_centre - r * math.sin(each))).sum() for each in turn)
    branches = 2 * outline.branch_m * outline.web_m * (toe_to_centre + outline.branch_m / 2)
    area = n * cell.sum() + 2 * outline.branch_m * outline.web_m
    return float((ring + branches) / area)


@given(outlines)
def test_the_middle_in_closed_form_is_the_middle_by_parts(outline: Outline) -> None:
    assert outline.centre_m == pytest.approx(middle_by_parts(outline, 120), rel=1e-4)


def test_a_thin_half_ring_alone_has_its_middle_at_two_over_pi() -> None:
    """The textbooks' centroid of a semicircular wire, 2R/π ahead of its centre."""
    ring = Outline(radius_m=0.05, branch_m=0.0, web_m=1e-9)
    assert ring.centre_m == pytest.approx(0.05 - 2 * 0.05 / math.pi, rel=1e-6)


@given(st.floats(0.18, 0.4), st.floats(0.008, 0.03), st.floats(0.7, 1.4))
def test_a_bent_bar_keeps_its_length_and_takes_the_proportion(
    bar_m: float, web_m: float, ratio: float
) -> None:
    outline = outline_of_bar(bar_m, web_m, ratio=ratio)
    assert outline.bar_m == pytest.approx(bar_m)
    assert outline.length_m / outline.width_m == pytest.approx(ratio)
    assert outline.branch_m >= 0


def test_a_shoe_on_a_hoof_is_as_long_and_wide_as_the_hoof() -> None:
    outline = outline_of_hoof(0.13, 0.12, 0.02)
    assert (outline.length_m, outline.width_m) == pytest.approx((0.13, 0.12))


@given(shoes)
def test_the_middle_lies_on_the_shoe_and_toe_heavy_of_half(shoe: Shoe) -> None:
    outline = outline_of(shoe)
    assert 0 < outline.centre_m < outline.length_m * 0.6


def test_a_longer_hoof_makes_a_longer_shoe_of_the_same_bar() -> None:
    round_one = outline_of(bar(hoof_length_m=0.12, hoof_width_m=0.12))
    long_one = outline_of(bar(hoof_length_m=0.13, hoof_width_m=0.12))
    assert long_one.length_m > round_one.length_m
    assert long_one.bar_m == pytest.approx(round_one.bar_m)


def test_a_ready_made_shoe_without_a_hoof_has_a_usual_size() -> None:
    assert outline_of(plain()).length_m == pytest.approx(0.12)
    assert outline_of(plain(hoof_width_m=0.13)).length_m == pytest.approx(0.13)
