from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from evenfall.errors import NotFound
from evenfall.flow.limits import (
    OWN_MARK,
    back_to_given,
    caps_form,
    caps_of,
    class_limits,
    is_given,
    limit_form,
    limit_rows,
    read_caps,
    read_limit,
    remove_limit,
    save_caps,
    save_limit,
)
from evenfall.plan.loads import Caps
from evenfall.shoeing import Limit, limits
from evenfall.store import Barn, edits, plans, settings
from evenfall.store.records import BarnSettings
from tests.fresh import new_barn

NEW = {
    "body": "our club",
    "item": "each shoe",
    "text": "to 18 oz",
    "seen": "2026-04-01",
    "source": "rule book",
    "shoe": "18",
}
BREEDING = "Icelandic breeding shoe"


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path) as opened:
        settings.save(opened, BarnSettings(units="imperial"))
        yield opened


def named(barn: Barn, key: str) -> Limit:
    return next(each for each in class_limits(barn) if each.key == key)


def saved(barn: Barn, typed: dict[str, str]) -> Limit:
    form = read_limit(barn, typed)
    assert form.errors == {}
    assert form.limit is not None
    save_limit(barn, form.key, form.limit)
    return form.limit


def test_the_table_is_the_given_one_until_it_is_edited(barn: Barn) -> None:
    assert class_limits(barn) == limits()
    assert is_given(barn)
    saved(barn, NEW)
    assert not is_given(barn)
    assert class_limits(barn)[:-1] == limits()
    back_to_given(barn)
    assert class_limits(barn) == limits()


def test_a_new_limit_says_who_read_it_and_when(barn: Barn) -> None:
    saved(barn, NEW)
    new = class_limits(barn)[-1]
    assert (new.mark, new.seen, new.source) == (OWN_MARK, "2026-04-01", "rule book")
    assert new.shoe_kg == pytest.approx(0.5103, abs=0.0001)
    saved(barn, NEW)
    assert len({each.key for each in class_limits(barn)}) == len(class_limits(barn))


def test_a_number_in_the_other_units_stays_exact_when_only_the_words_are_changed(barn: Barn) -> None:
    values = dict(limit_form(barn, BREEDING, date(2026, 5, 1)).values)
    assert (values["thickness"], values["width"]) == ("0.31", "0.91")
    saved(barn, {**values, "key": BREEDING, "seen": "2026-05-01"})
    assert (named(barn, BREEDING).thickness_m, named(barn, BREEDING).width_m) == (0.008, 0.023)
    assert (named(barn, BREEDING).seen, named(barn, BREEDING).mark) == ("2026-05-01", OWN_MARK)


def test_a_limit_is_taken_out_and_the_change_can_be_undone(barn: Barn) -> None:
    remove_limit(barn, BREEDING)
    assert len(class_limits(barn)) == len(limits()) - 1
    edits.undo(barn, edits.recent(barn)[0].id)
    assert class_limits(barn) == limits()


@pytest.mark.parametrize("name", ["body", "item", "text", "seen", "source"])
def test_a_limit_needs_its_rule_its_date_and_its_source(barn: Barn, name: str) -> None:
    form = read_limit(barn, {**NEW, name: " "})
    assert form.limit is None
    assert "A limit needs" in form.errors[name]


def test_a_number_that_cannot_be_is_told_beside_its_field(barn: Barn) -> None:
    assert "weight with its unit" in read_limit(barn, {**NEW, "shoe": "light"}).errors["shoe"]
    assert "Is it the right unit" in read_limit(barn, {**NEW, "shoe": "18 kg"}).errors["text"]


def test_a_limit_that_is_not_there_is_said_to_be_missing(barn: Barn) -> None:
    for act in (
        lambda: remove_limit(barn, "none"),
        lambda: limit_form(barn, "none", date(2026, 5, 1)),
        lambda: read_limit(barn, {**NEW, "key": "none"}),
    ):
        with pytest.raises(NotFound, match="none named 'none'"):
            act()


def test_numbers_are_shown_in_both_units(barn: Barn) -> None:
    told = {row.limit.key: row.numbers for row in limit_rows(barn)}
    assert told["fox trot shoe"].startswith("shoe 21 oz (595 g), boots 0 oz")
    assert "nothing added" in told["fox trot shoe"]
    assert told["weights at US shows and sales"] == "no number: read the text"


def test_the_caps_are_the_plans_own_until_typed(barn: Barn) -> None:
    assert caps_of(barn) == Caps()
    form = read_caps(barn, {**caps_form(barn).values, "cap_step": "2"})
    assert form.caps is not None
    save_caps(barn, form.caps)
    assert caps_of(barn).per_foot_kg == Caps().per_foot_kg
    assert plans.get(barn).cap_step_kg == pytest.approx(0.0567, abs=0.0001)


def test_an_empty_cap_is_the_one_that_came(barn: Barn) -> None:
    plans.change(barn, {"cap_step_kg": 0.05})
    caps = read_caps(barn, {"cap_step": "", "cap_foot": "8"}).caps
    assert caps is not None
    assert caps.per_foot_kg == pytest.approx(0.2268, abs=0.0001)
    assert caps.per_step_kg == Caps().per_step_kg


def test_a_cap_that_cannot_be_is_told(barn: Barn) -> None:
    form = read_caps(barn, {"cap_step": "5 kg", "cap_foot": "much"})
    assert form.caps is None
    assert set(form.errors) == {"cap_step", "cap_foot"}
