"""A setup as JSON and back; hostile data is refused with a ShoeError and nothing else."""

import json
from collections.abc import Callable
from contextlib import suppress
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.errors import ShoeError
from evenfall.shoeing import SCHEMA, Foot, Setup, Shoe, setup_data, setup_of, shoe_data, shoe_of
from tests.shoeing.made import BOOT, bar, setups, shod, shoes

scalars = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12)
names = st.sampled_from(
    ["schema", "feet", "LF", "RF", "LH", "RH", "shoe", "section", "added", "what", "mass_kg", "at", "weighed", "kind",
     "thickness_m", "width_m", "material", "bar_length_m", "nails", "shod_on", "angle_deg", "bit", "head_aim", "x"]
)  # fmt: skip
anything = st.recursive(
    scalars,
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(names | st.text(max_size=6), inner, max_size=6)
    ),
    max_leaves=20,
)


@given(setups)
def test_a_setup_comes_back_from_json_as_it_was(setup: Setup) -> None:
    assert setup_of(json.loads(json.dumps(setup_data(setup)))) == setup


@given(shoes)
def test_a_shoe_comes_back_from_json_as_it_was(shoe: Shoe) -> None:
    assert shoe_of(json.loads(json.dumps(shoe_data(shoe)))) == shoe


@given(anything)
def test_any_json_is_a_setup_or_a_shoe_error(data: object) -> None:
    with suppress(ShoeError):
        assert isinstance(setup_of(data), Setup)


def full() -> dict[str, Any]:
    """A setup with everything in it, as plain data."""
    return setup_data(
        shod(bar(added=(BOOT,), nails=8, hoof_length_m=0.12, hoof_width_m=0.12), bar(), bit="snaffle")
    )


def places(data: Any, at: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place within plain data."""
    inner = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    return [at, *(each for key, value in inner for each in places(value, (*at, key)))]


@given(st.sampled_from(places(full())[1:]), anything)
def test_a_setup_with_any_one_part_replaced_is_a_setup_or_a_shoe_error(
    place: tuple[Any, ...], value: object
) -> None:
    data = full()
    inner = data
    for key in place[:-1]:
        inner = inner[key]
    inner[place[-1]] = value
    with suppress(ShoeError):
        assert isinstance(setup_of(data), Setup)


def changed(**more: object) -> dict[str, Any]:
    return {**setup_data(Setup()), **more}


@pytest.mark.parametrize(
    ("data", "told"),
    [
        ([], "found a list"),
        (None, "found a NoneType"),
        ({}, "expected data with its schema"),
        (changed(schema=0), "expected data with its schema"),
        (changed(schema=True), "expected data with its schema"),
        (changed(schema=SCHEMA + 1), "written by a newer Evenfall"),
        (changed(colour="red"), "found 'colour'"),
        (changed(feet={"XX": None}), "found 'XX'"),
        (changed(feet={"LF": {"shoe": {"section": {}}}}), "expected thickness_m and width_m"),
        (changed(feet={"LF": {"shoe": {"added": "pad"}}}), "expected a list"),
        (changed(feet={"LF": {"shoe": {"added": [{"what": "pad"}]}}}), "expected what, mass_kg, at"),
        (changed(feet={"LF": {"shod_on": "yesterday"}}), "LF: shod on: expected a day as 2026-03-01"),
        (changed(feet={"LF": {"angle_deg": 10**400}}), "a number far too large"),
        (
            changed(feet={"LF": {"shoe": {"section": {"thickness_m": 10**400, "width_m": 1}}}}),
            "far too large",
        ),
        (changed(head_aim=["low"]), "found a list"),
    ],
)
def test_what_is_wrong_is_told(data: object, told: str) -> None:
    with pytest.raises(ShoeError, match=told):
        setup_of(data)


def test_what_was_left_out_was_not_said() -> None:
    assert setup_of({"schema": 1}) == Setup()
    assert setup_of({"schema": 1, "feet": {"LF": {}}}) == Setup(lf=Foot())


def test_the_data_are_plain_and_carry_their_schema() -> None:
    data = setup_data(Setup(lf=Foot()))
    assert (data["schema"], data["feet"]["RF"], data["feet"]["LF"]["shoe"]) == (SCHEMA, None, None)
    keys: Callable[[str], Any] = data.get
    assert all(keys(name) == "" for name in ("bit", "head_gear", "head_aim", "saddle", "note"))
