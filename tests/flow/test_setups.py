"""What was worn on a day, what changed, how far the toes have grown, and the list of it all."""

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from evenfall.errors import NotFound
from evenfall.flow.feet import feet_of
from evenfall.flow.setup_form import read_setup_form, setup_form
from evenfall.flow.setup_list import Preview, last_setup, preview, say_changes, setups_page
from evenfall.flow.setups import changed_between, growth_line, setup_on
from evenfall.shoeing import HINDS, USUAL_AXIS, Foot, Setup, same_but
from evenfall.store import Barn, flags, plans, settings, setups
from evenfall.store.records import BarnSettings, FlagFields
from tests.flow.riding import horse
from tests.flow.shod import APRIL, HEAVY, LIGHT, MARCH, TODAY, heavy_behind, worn_from
from tests.fresh import new_barn


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path) as opened:
        settings.save(opened, BarnSettings(units="imperial"))
        yield opened


def test_a_setup_is_worn_until_the_next_one(barn: Barn) -> None:
    bay = horse(barn)
    first = worn_from(barn, bay, MARCH, heavy_behind())
    worn_from(barn, bay, APRIL, Setup())
    assert setup_on(barn, bay.id, MARCH - timedelta(days=1)) is None
    assert setup_on(barn, bay.id, APRIL - timedelta(days=1)) == (first, heavy_behind())
    found = setup_on(barn, bay.id, APRIL)
    assert found is not None
    assert found[1] == Setup()


def test_one_change_is_said_and_no_more() -> None:
    before = heavy_behind()
    changes = changed_between(before, same_but(before, limbs=HINDS, angle_deg=55.0), "imperial")
    assert say_changes(changes) == "Hinds 2° steeper."


def test_two_changes_at_once_hide_the_cause() -> None:
    before = same_but(heavy_behind(), limbs=HINDS, shoe=LIGHT)
    after = same_but(same_but(before, limbs=HINDS, angle_deg=55.0), head_aim="level")
    told = say_changes(changed_between(before, after))
    assert "2 things changed at once, so a later comparison cannot tell which of them did it." in told
    assert "steeper" in told
    assert "level" in told


def test_nothing_changed_is_said_too() -> None:
    assert say_changes(changed_between(heavy_behind(), heavy_behind())).startswith("Nothing changed")


def test_toe_growth_is_told_for_the_feet_that_were_shod_by_then() -> None:
    day = date(2026, 4, 1)
    hinds = Setup(lh=Foot(shod_on=day), rh=Foot(shod_on=day))
    assert growth_line(hinds, day + timedelta(days=42)).startswith("Hind, 42 days since shoeing")
    assert "9 mm to 11 mm" in growth_line(hinds, day + timedelta(days=42))
    assert growth_line(hinds, day - timedelta(days=1)) == ""
    assert growth_line(None, day) == ""
    assert growth_line(Setup(lf=Foot()), day) == ""


def test_toe_growth_names_feet_by_their_days() -> None:
    day = date(2026, 4, 1)
    old, new = Foot(shod_on=day - timedelta(days=40)), Foot(shod_on=day - timedelta(days=10))
    assert growth_line(Setup(lf=old, rf=old, lh=old, rh=old), day).startswith("All feet, 40 days")
    line = growth_line(Setup(lf=old, rf=old, lh=old, rh=new), day)
    assert line.startswith("Front and left hind, 40 days")
    assert "; right hind, 10 days" in line


def test_the_list_holds_each_setup_against_the_one_before(barn: Barn) -> None:
    bay, first = horse(barn), heavy_behind()
    worn_from(barn, bay, MARCH, first)
    worn_from(barn, bay, APRIL, same_but(first, limbs=HINDS, shoe=LIGHT))
    newest, oldest = setups_page(barn, bay.id, TODAY).entries
    assert oldest.changes == "The first setup written down."
    assert "Hind shoes 11.6 oz lighter each; toe plate 2.1 oz off each hind: 2 things" in newest.changes
    assert newest.several
    assert not oldest.several


def test_a_pair_alike_is_told_once_and_one_that_differs_by_its_sides(barn: Barn) -> None:
    bay = horse(barn)
    worn_from(barn, bay, MARCH, heavy_behind())
    (entry,) = setups_page(barn, bay.id, TODAY).entries
    front, hind = (lines for _, lines in entry.wears)
    assert [line[:10] for line in front] == ["Left fore:", "Right fore"]
    assert len(hind) == 1
    settings.change(barn, {"sides": "near-off"})
    assert setups_page(barn, bay.id, TODAY).entries[0].wears[0][1][0].startswith("Near fore:")


def test_what_changed_on_one_foot_is_told_by_the_barns_name_for_its_side(barn: Barn) -> None:
    bay, first = horse(barn), heavy_behind()
    after = same_but(first, limbs=("LH",), angle_deg=55.0)
    worn_from(barn, bay, MARCH, first)
    worn_from(barn, bay, APRIL, after)
    assert setups_page(barn, bay.id, TODAY).entries[0].changes == "Left hind 2° steeper."
    settings.change(barn, {"sides": "near-off"})
    assert setups_page(barn, bay.id, TODAY).entries[0].changes == "Near hind 2° steeper."
    assert feet_of(barn, after, first, axis=USUAL_AXIS, day=None).changes == "Near hind 2° steeper."


def test_the_list_of_a_horse_that_is_not_there_says_so(barn: Barn) -> None:
    with pytest.raises(NotFound, match="expected a horse"):
        setups_page(barn, 99, TODAY)


def test_the_last_setup_of_a_new_horse_is_empty(barn: Barn) -> None:
    assert last_setup(barn, horse(barn).id) == Setup()


def told(
    barn: Barn, horse_id: int, base: Setup, typed: dict[str, str], editing: int | None = None
) -> Preview:
    form = setup_form(base, day=TODAY, units="imperial")
    sent = {"base": form.base, "on_date": TODAY.isoformat(), **typed}
    return preview(
        barn, horse_id, read_setup_form(sent, today=TODAY, units="imperial"), today=TODAY, editing=editing
    )


def test_what_would_change_is_told_before_it_is_saved(barn: Barn) -> None:
    bay = horse(barn)
    worn_from(barn, bay, MARCH, heavy_behind())
    found = told(barn, bay.id, heavy_behind(), {"hind_shoe": "bar:3/8 × 3/4 in", "hind_length": "10 1/2"})
    assert found.several
    assert found.changes.startswith("Hind shoes 11.6 oz lighter each; toe plate")
    assert found.brief.startswith("2 things at once: hind shoes 11.6 oz lighter each")
    assert (found.capped, found.closed) == ((), "")
    assert len(setups.of_horse(barn, bay.id)) == 1


def test_a_setup_that_is_changed_is_held_against_the_one_before_it(barn: Barn) -> None:
    bay = horse(barn)
    worn_from(barn, bay, MARCH, heavy_behind())
    second = same_but(heavy_behind(), limbs=HINDS, angle_deg=55.0)
    record = worn_from(barn, bay, APRIL, second)
    assert told(barn, bay.id, second, {}, editing=record.id).changes == "Hinds 2° steeper."
    assert told(barn, bay.id, second, {}).changes.startswith("Nothing changed")


def test_more_mass_than_the_barns_caps_is_told(barn: Barn) -> None:
    bay, light = horse(barn), same_but(heavy_behind(), limbs=HINDS, shoe=LIGHT)
    worn_from(barn, bay, MARCH, light)
    heavier = {"hind_shoe": "bar:1/2 × 1 in", "hind_length": "11"}
    assert any(
        "LH" in words and "in one step" in words for words in told(barn, bay.id, light, heavier).capped
    )
    plans.change(barn, {"cap_step_kg": 0.5, "cap_foot_kg": 0.5})
    assert told(barn, bay.id, light, heavier).capped == ()


def test_a_setup_beyond_a_class_limit_names_the_limit_its_date_and_its_source(barn: Barn) -> None:
    bay = horse(barn)
    over = told(barn, bay.id, same_but(Setup(), limbs=HINDS, shoe=HEAVY), {}).over
    (trot,) = (each for each in over if each.limit.key == "fox trot shoe")
    assert "21 oz is the most" in trot.words
    assert "check the present text" in trot.words
    assert trot.limit.source == "MAFTHA"


def test_a_form_that_is_wrong_says_only_that(barn: Barn) -> None:
    found = told(barn, horse(barn).id, heavy_behind(), {"hind_angle": "steep", "front_toe": "long"})
    assert found == Preview(wrong=2)


def test_a_standing_flag_is_told_with_the_setups_and_where_weight_would_be_added(barn: Barn) -> None:
    bay, light = horse(barn), same_but(heavy_behind(), limbs=HINDS, shoe=LIGHT)
    worn_from(barn, bay, MARCH, light)
    assert setups_page(barn, bay.id, TODAY).closed == ""
    flags.raise_flag(barn, FlagFields(bay.id, APRIL, "a tender foot"))
    assert "A tender foot" in setups_page(barn, bay.id, TODAY).closed
    heavier = told(barn, bay.id, light, {"hind_shoe": "bar:1/2 × 1 in", "hind_length": "11"})
    assert "A tender foot" in heavier.closed
    assert told(barn, bay.id, light, {"hind_shoe": "bar:1/4 × 3/4 in"}).closed == ""
