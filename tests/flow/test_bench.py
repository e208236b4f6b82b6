from collections.abc import Iterator
from pathlib import Path
from urllib.parse import parse_qsl

import pytest

from evenfall.errors import NotFound, WrongSetting
from evenfall.flow.bench import BenchPage, bench_page, feet_chart, put_on
from evenfall.shoeing import HINDS, Setup, masses_of, same_but
from evenfall.store import Barn, settings
from evenfall.store.records import BarnSettings, Horse
from tests.flow.riding import horse
from tests.flow.shod import APRIL, LIGHT, MARCH, TODAY, heavy_behind, worn_from
from tests.fresh import new_barn

TEN_INCH = {"shoe_shoe": "bar:3/8 × 3/4 in", "shoe_length": "10"}


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path) as opened:
        settings.save(opened, BarnSettings(units="imperial"))
        yield opened


@pytest.fixture
def bay(barn: Barn) -> Horse:
    added = horse(barn)
    worn_from(barn, added, MARCH, heavy_behind())
    return added


def bench(barn: Barn, **values: str) -> BenchPage:
    return bench_page(barn, values, TODAY)


def test_an_empty_bench_asks_for_a_shoe_and_finds_nothing_amiss(barn: Barn) -> None:
    page = bench(barn)
    assert (page.shoe, page.feet, page.errors, page.put) == (None, None, {}, "")
    assert page.distances == {"coffin": "2.36", "swing_fore": "47.24", "swing_hind": "47.24"}
    assert feet_chart(barn, {}, TODAY, width=400)["spec"] is None


def test_a_shoe_is_weighed_in_ounces_and_grams_at_most(barn: Barn) -> None:
    told = dict(bench(barn, **TEN_INCH).lines)
    assert told["mass"] == "12.8 oz (362 g), at most, until weighed"
    assert "at most" not in dict(bench(barn, **TEN_INCH, shoe_weighed_new="12.1").lines)["mass"]


def test_the_distances_can_be_changed_and_the_moments_follow(barn: Barn) -> None:
    def told(**more: str) -> str:
        return dict(bench(barn, **TEN_INCH, **more).lines)["added inertia"]

    assert told() == told(swing_fore="1.2 m", swing_hind="1.2 m")
    longer = told(swing_fore="1.3 m", swing_hind="1.3 m")
    assert "0.611 kg m²" in longer  # 0.3618 kg × (1.3 m)²
    assert longer != told()


def test_a_distance_that_cannot_be_is_told_and_the_rest_reckoned(barn: Barn) -> None:
    page = bench(barn, **TEN_INCH, coffin="9 m", swing_fore="far")
    assert set(page.errors) == {"coffin", "swing_fore"}
    assert page.lines
    assert page.distances["swing_fore"] == "far"


def test_without_a_horse_the_shoe_is_on_all_four(barn: Barn) -> None:
    page = bench(barn, **TEN_INCH)
    assert page.feet is not None
    assert page.feet.says.startswith("Hinds and fronts carry the same.")
    assert page.feet.plain == "Against a plain light shoe of 12 oz, without nails: all four +0.8 oz."
    assert (page.feet.changes, page.feet.growth) == ("", "")


def test_a_horse_alone_shows_what_it_wears_now(barn: Barn, bay: Horse) -> None:
    page = bench(barn, horse=str(bay.id))
    assert page.feet is not None
    assert page.feet.changes == ""
    assert "hind" in page.feet.says
    assert page.feet.growth.startswith("All feet, 79 days since shoeing")
    assert any(each.limit.key == "fox trot shoe" for each in page.feet.over)
    assert len(page.feet.over) + len(page.feet.within) + len(page.feet.unknown) == 18


def test_a_horse_as_now_is_held_against_the_setup_before(barn: Barn, bay: Horse) -> None:
    worn_from(barn, bay, APRIL, same_but(heavy_behind(), limbs=HINDS, angle_deg=55.0))
    page = bench(barn, horse=str(bay.id))
    assert page.feet is not None
    assert not page.tried
    assert page.feet.changes == "Hinds 2° steeper."


def test_a_shoe_is_tried_on_some_feet_and_keeps_the_nails_of_before(barn: Barn, bay: Horse) -> None:
    page = bench(barn, horse=str(bay.id), on="hind", **TEN_INCH)
    assert page.feet is not None
    assert page.feet.several
    assert "lighter each; toe plate" in page.feet.changes
    assert "nails" not in page.feet.changes


def test_more_than_the_caps_is_said_when_tried(barn: Barn, bay: Horse) -> None:
    heavy = {"shoe_shoe": "bar:1/2 × 1 in", "shoe_length": "11"}
    page = bench(barn, horse=str(bay.id), on="front", **heavy)
    assert page.feet is not None
    assert len(page.feet.capped) == 4


def test_what_is_wrong_is_told_and_nothing_is_put_on(barn: Barn, bay: Horse) -> None:
    page = bench(barn, horse=str(bay.id), on="hind", shoe_shoe="bar:3/8 × 3/4 in", shoe_length="long")
    assert "length with its unit" in page.errors["shoe_length"]
    assert (page.shoe, page.tried) == (None, False)
    assert page.feet is not None
    assert page.feet.changes == ""


@pytest.mark.parametrize("chosen", ["", "x", "²", "-3"])
def test_no_horse_is_chosen_by_what_is_no_number(barn: Barn, chosen: str) -> None:
    assert bench(barn, horse=chosen).horse is None


def test_a_horse_that_is_not_there_is_said_to_be_missing(barn: Barn) -> None:
    with pytest.raises(NotFound, match="expected a horse"):
        bench(barn, horse="99")


def test_the_query_to_a_setup_carries_the_shoe_and_only_the_shoe(barn: Barn, bay: Horse) -> None:
    page = bench(barn, horse=str(bay.id), on="hind", coffin="2", **TEN_INCH)
    assert dict(parse_qsl(page.put)) == TEN_INCH


def test_a_shoe_of_the_bench_is_put_on_a_setup() -> None:
    setup = put_on(heavy_behind(), TEN_INCH, "hind", APRIL, units="imperial")
    assert (setup.lf, setup.rf) == (heavy_behind().lf, heavy_behind().rf)
    for limb in HINDS:
        foot = setup.foot(limb)
        assert foot is not None
        assert foot.shoe is not None
        assert (foot.shod_on, foot.angle_deg, foot.shoe.added, foot.shoe.nails) == (
            APRIL,
            53,
            (),
            LIGHT.nails,
        )


@pytest.mark.parametrize(
    ("values", "on", "says"),
    [
        (TEN_INCH, "left", "one of front"),
        ({"shoe_shoe": "bar"}, "hind", "section"),
        ({}, "hind", "found none"),
    ],
)
def test_what_cannot_be_put_on_is_refused(values: dict[str, str], on: str, says: str) -> None:
    with pytest.raises(WrongSetting, match=says):
        put_on(Setup(), values, on, APRIL, units="imperial")


def test_the_picture_is_as_wide_as_asked_and_its_masses_are_those_told(barn: Barn, bay: Horse) -> None:
    spec = feet_chart(barn, {"horse": str(bay.id)}, TODAY, width=320)["spec"]
    assert spec["width"] == 320
    left = masses_of(heavy_behind()).feet["LF"]
    assert left is not None
    assert "14.7 oz" in str(spec).replace("\\xa0", " ").replace("\xa0", " ")
