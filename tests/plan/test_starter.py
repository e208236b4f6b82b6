"""A ladder to begin with."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.plan import Caps, Finished, Step, shoe_masses, starter_steps
from evenfall.shoeing import Foot, Setup, Shoe, changes_at_once, differences, same_but
from tests.plan.standing import shod

FINISHED = Finished(head_aim="level")


def setups(steps: tuple[Step, ...]) -> list[Setup]:
    return [step.setup for step in steps if step.setup is not None]


def test_it_begins_with_today_and_ends_in_plain_light_shoes_and_the_finished_head() -> None:
    steps = starter_steps(shod(toe_plate=True), finished=FINISHED)
    assert steps[0].setup == shod(toe_plate=True)
    assert list(shoe_masses(setups(steps)[-1]).values()) == pytest.approx([FINISHED.plain_kg] * 4)
    assert steps[-1].head_aim == "level"
    assert [step.title for step in steps][:2] == ["As today", "Hinds without the toe plate"]
    assert [step.title for step in steps][-2:] == ["Head raised", "Head level"]


@settings(deadline=None)
@given(st.sampled_from(["1/4x3/4", "3/8x3/4", "1/2x1", "1/2x1 1/4"]), st.booleans(), st.sampled_from(["", "low", "level", "high"]))  # fmt: skip
def test_each_step_changes_one_thing_and_never_adds_weight(section: str, plate: bool, aim: str) -> None:
    worn = setups(starter_steps(shod(section, toe_plate=plate), finished=Finished(head_aim=aim)))
    for before, after in pairwise(worn):
        assert changes_at_once(differences(before, after)) == 1
        lighter = zip(shoe_masses(before).values(), shoe_masses(after).values(), strict=True)
        assert all((new or 0) <= (old or 0) + 1e-9 for old, new in lighter)


@settings(deadline=None)
@given(st.sampled_from(["3/8x3/4", "1/2x1", "1/2x1 1/2"]))
def test_no_step_takes_more_off_the_bar_than_a_step_back_may_add(section: str) -> None:
    worn = setups(starter_steps(shod(section)))
    for before, after in pairwise(worn):
        off = (shoe_masses(before)["LH"] or 0) - (shoe_masses(after)["LH"] or 0)
        assert off <= Caps().per_step_kg + 1e-6


def test_degrees_are_used_where_both_are_known() -> None:
    worn = Setup(head_deg=42.0)
    steps = starter_steps(worn, finished=Finished(head_deg=30.0))
    assert [step.head_deg for step in steps] == [42.0, 38.0, 34.0, 30.0]


def test_of_bare_and_unsaid_feet_nothing_is_proposed() -> None:
    assert [step.title for step in starter_steps(Setup(lf=Foot(), rf=Foot()))] == ["As today"]


def test_titles_are_in_the_barns_units() -> None:
    assert "Hinds plain, 12 oz" in [step.title for step in starter_steps(shod(), "imperial")]


def test_the_heavier_pair_comes_first() -> None:
    """Hinds of about half a kilo; fronts of 0.7 kg, then of 0.4 kg."""
    for kg, first in ((0.7, "Fronts"), (0.4, "Hinds")):
        heavy = Foot(shoe=Shoe(kind="plain", plain_kg=kg))
        steps = starter_steps(same_but(shod("3/8x1"), lf=heavy, rf=heavy))
        assert steps[1].title.startswith(first)
