"""Caps of added mass, and the share of rider and tack."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.errors import WrongSetting
from evenfall.plan import LOAD_CONTEXT, Caps, added_mass_allowed, load_share, shoe_masses
from evenfall.shoeing import Foot, Setup, Shoe
from evenfall.units import ounces

kg = st.floats(0, 1.2, allow_nan=False)


def test_the_caps_are_six_and_three_ounces() -> None:
    """6 oz = 170.1 g (reference arithmetic)."""
    assert round(ounces(Caps().per_foot_kg), 1) == 6.0
    assert round(ounces(Caps().per_step_kg), 1) == 3.0


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        (0.34, 0.42, ""),
        (0.34, 0.44, "100 g more in one step"),
        (0.48, 0.52, "180 g over a plain light shoe"),
        (0.90, 0.60, ""),
        (0.0, 0.0, ""),
        (None, 0.4, "not known; weigh it"),
    ],
)
def test_a_step_is_held_against_the_caps(before: float | None, after: float, said: str) -> None:
    broken = added_mass_allowed({"LH": before}, {"LH": after}, plain_kg=0.34)
    assert bool(broken) == bool(said)
    assert said in " ".join(broken)


@settings(deadline=None)
@given(kg, kg)
def test_taking_weight_off_is_always_allowed(one: float, other: float) -> None:
    less, more = sorted((one, other))
    assert added_mass_allowed({"LF": more}, {"LF": less}) == ()


@settings(deadline=None)
@given(kg, kg, kg)
def test_adding_more_never_becomes_allowed(before: float, one: float, other: float) -> None:
    less, more = sorted((one, other))
    if added_mass_allowed({"LF": before}, {"LF": less}):
        assert added_mass_allowed({"LF": before}, {"LF": more})


def test_both_caps_are_the_barns_to_set() -> None:
    assert added_mass_allowed({"LH": 0.34}, {"LH": 0.44}, Caps(0.2, 0.1), plain_kg=0.34) == ()
    with pytest.raises(WrongSetting, match="Is it in grams or ounces"):
        Caps(per_foot_kg=170)


def test_the_masses_of_a_setup_leave_nails_out_and_tell_bare_from_unsaid() -> None:
    worn = Setup(lf=Foot(shoe=Shoe(kind="plain", plain_kg=0.34, nails=8)), rf=Foot())
    assert shoe_masses(worn) == {"LF": pytest.approx(0.34), "RF": 0.0, "LH": None, "RH": None}


def test_the_share_of_rider_and_tack_comes_with_sources_and_no_verdict() -> None:
    share = load_share(400, 90)
    assert share.pct == pytest.approx(22.5)
    assert share.context == LOAD_CONTEXT
    assert all(re.search(r"(abstract|at second hand)", each) for each in share.context)
    assert not re.search(r"too (much|heavy)|fine|allowed", share.words)


@pytest.mark.parametrize(("horse", "rider"), [(0, 80), (float("nan"), 80), (400, -1), (400, 401), (4000, 80)])
def test_masses_that_cannot_be_are_refused(horse: float, rider: float) -> None:
    with pytest.raises(WrongSetting, match="expected"):
        load_share(horse, rider)
