from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from evenfall.errors import WrongSetting
from evenfall.flow.setup_list import setups_page
from evenfall.flow.setups import setup_of_record
from evenfall.flow.weighings import read_weighing, weigh_in
from evenfall.shoeing import Setup, masses_of
from evenfall.store import Barn, setups, weighings
from evenfall.store.records import WeighingFields
from tests.flow.riding import horse
from tests.flow.shod import APRIL, MARCH, TODAY, heavy_behind, worn_from
from tests.fresh import new_barn

TYPED = {"limb": "LH", "state": "new", "mass": "752", "weighed_on": "2026-03-02"}


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path) as opened:
        yield opened


def typed(**more: str) -> WeighingFields:
    form = read_weighing({**TYPED, **more}, horse_id=1, today=TODAY, units="metric")
    assert form.errors == {}
    assert form.fields is not None
    return form.fields


def test_a_weighing_is_read_in_the_barns_units_or_its_own() -> None:
    assert typed().mass_kg == pytest.approx(0.752)
    assert typed(mass="26.5 oz").mass_kg == pytest.approx(0.7513, abs=0.0001)
    assert (typed().limb, typed().state, typed().on_date) == ("LH", "new", date(2026, 3, 2))


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("limb", "", "Choose the foot"),
        ("state", "old", "Choose the state"),
        ("mass", "", "what the scale said"),
        ("mass", "heavy", "weight with its unit"),
        ("mass", "9000", "Is it the right unit"),
        ("weighed_on", "", "needs its day"),
        ("weighed_on", "2027-01-01", "still to come"),
    ],
)
def test_a_mistake_is_told_beside_its_field(field: str, value: str, says: str) -> None:
    form = read_weighing({**TYPED, field: value}, horse_id=1, today=TODAY, units="metric")
    assert form.fields is None
    assert says in form.errors[field]


def test_what_wore_off_is_told_from_new_to_pulled(barn: Barn) -> None:
    bay = horse(barn)
    for state, day, kg in (("new", MARCH, 0.752), ("pulled", APRIL, 0.721), ("new", APRIL, 0.4)):
        weighings.add(barn, WeighingFields(bay.id, "LH", day, state, kg))  # type: ignore[arg-type]
    weighings.add(barn, WeighingFields(bay.id, "RH", APRIL, "pulled", 0.7))
    told = {(each.foot, each.mass): each.wear for each in setups_page(barn, bay.id, TODAY).weighed}
    assert told["Left hind", "721 g"].startswith("31 g worn off in 49 days")
    assert told["Left hind", "752 g"] == told["Left hind", "400 g"] == told["Right hind", "700 g"] == ""


def test_a_new_shoes_weight_becomes_the_setups_where_that_is_asked(barn: Barn) -> None:
    bay = horse(barn)
    record = worn_from(barn, bay, MARCH, heavy_behind())
    weigh_in(barn, WeighingFields(bay.id, "LH", MARCH, "new", 0.752), into_setup=True)
    feet = masses_of(setup_of_record(setups.get(barn, record.id))).feet
    assert feet["LH"] is not None
    assert feet["RH"] is not None
    assert (feet["LH"].upper, feet["RH"].upper) == (False, True)
    assert feet["LH"].mass_kg == pytest.approx(0.752 + 8 * 0.0045)


def test_a_weighing_alone_leaves_the_setup_as_it_is(barn: Barn) -> None:
    bay = horse(barn)
    record = worn_from(barn, bay, MARCH, heavy_behind())
    weigh_in(barn, WeighingFields(bay.id, "LH", MARCH, "new", 0.752))
    assert setups.get(barn, record.id).payload == record.payload


@pytest.mark.parametrize("setup", [None, Setup()])
def test_a_weight_for_a_shoe_nobody_wrote_down_is_refused_and_not_kept(
    barn: Barn, setup: Setup | None
) -> None:
    bay = horse(barn)
    if setup is not None:
        worn_from(barn, bay, MARCH, setup)
    with pytest.raises(WrongSetting, match="Expected a shoe on the left hind"):
        weigh_in(barn, WeighingFields(bay.id, "LH", MARCH, "new", 0.752), into_setup=True)
    assert weighings.of_horse(barn, bay.id) == ()


def test_a_weight_less_than_what_is_on_the_shoe_is_refused_and_not_kept(barn: Barn) -> None:
    bay = horse(barn)
    worn_from(barn, bay, MARCH, heavy_behind())
    with pytest.raises(WrongSetting, match="Weigh shoe and additions together"):
        weigh_in(barn, WeighingFields(bay.id, "LH", MARCH, "new", 0.05), into_setup=True)
    assert weighings.of_horse(barn, bay.id) == ()
