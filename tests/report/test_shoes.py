"""Four feet shown: sentences, the table, the picture with its discs to scale."""

import json
import math
from typing import Any

import pytest
import vl_convert
from hypothesis import given, settings

from evenfall.contacts import Limb
from evenfall.report.charts.shoes import NARROW_PX, WIDE_PX, shoes_chart, shoes_table
from evenfall.report.feet import COLOURS
from evenfall.report.shoes import limits_data, say_masses, say_signed, weighed_data
from evenfall.shoeing import Added, Foot, Setup, limits, masses_of, weigh
from tests.shoeing.made import PAD, TOE_PLATE, bar, plain, setups, shod

WORN = shod(plain(0.34, weighed_kg=0.33), bar("1/2x1", 11, added=(TOE_PLATE, PAD), nails=8))


def spec_of(setup: Setup, *, units: str = "metric", width: int = WIDE_PX) -> dict[str, Any]:
    return shoes_chart(masses_of(setup), setup, units=units, width=width)


def layers(setup: Setup, mark: str, **more: Any) -> list[dict[str, Any]]:
    """The picture's layers of one kind of mark, each with its rows."""
    spec = spec_of(setup, **more)
    return [
        {**layer["mark"], "rows": spec["datasets"][layer["data"]["name"]]}
        for layer in spec["layer"]
        if layer["mark"]["type"] == mark
    ]


def words(setup: Setup, **more: Any) -> list[str]:
    return [
        row["text"].replace("\u00a0", " ") for each in layers(setup, "text", **more) for row in each["rows"]
    ]


def test_front_against_hind_is_said_and_the_bars_are_upper_values() -> None:
    assert (
        say_masses(masses_of(shod(plain(0.3), plain(0.38))))
        == "A hind carries 80 g more than a front on average."
    )
    said = say_masses(masses_of(shod(bar(), bar())), "imperial")
    assert said == "Hinds and fronts carry the same. Bars not weighed count at the most they can be."


def test_left_against_right_is_said_of_the_pair() -> None:
    setup = Setup(Foot(plain(0.3)), Foot(plain(0.35)), Foot(plain(0.3)), Foot(plain(0.3)))
    assert "Of the fronts the right carries 50 g more." in say_masses(masses_of(setup))


def test_what_was_not_said_is_not_known() -> None:
    assert say_masses(masses_of(Setup())) == "Hind against front is not known: not every foot was said."
    assert say_signed(None) == "not known"


@pytest.mark.parametrize(("kg", "said"), [(0.08, "+80 g"), (-0.08, "−80 g"), (0.0, "0 g"), (0.0001, "0 g")])
def test_a_difference_carries_its_sign(kg: float, said: str) -> None:
    assert say_signed(kg) == said


def test_the_table_has_a_row_a_foot_and_the_differences() -> None:
    table = shoes_table(masses_of(WORN), WORN, units="metric")
    assert [row[0] for row in table.rows] == [
        "left fore", "right fore", "left hind", "right hind", "hind − front", "left − right, fore", "left − right, hind",
    ]  # fmt: skip
    assert table.rows[2][2] == "873 g at most"
    assert table.rows[4][2] == "+543 g"
    assert all(len(row) == len(table.head) for row in table.rows)


def test_a_bare_and_an_unsaid_foot_have_rows_of_their_own() -> None:
    setup = Setup(lf=Foot())
    table = shoes_table(masses_of(setup), setup)
    assert table.rows[0][1:3] == ("bare", "0 g")
    assert table.rows[1][1:3] == ("not said", "not known")


def test_discs_are_to_scale_of_the_masses() -> None:
    """A point mark's size is the square about its disc: areas stand as the sizes do."""
    discs = [each for each in layers(WORN, "point") if each["shape"] == "circle"]
    fore, _, hind, _, added, key = (each["rows"] for each in discs)
    assert hind[0]["size"] / fore[0]["size"] == pytest.approx(0.7074 / 0.33, rel=1e-3)
    assert fore[0]["size"] / key[0]["size"] == pytest.approx(0.33 / 0.1)
    assert added[0]["size"] / key[0]["size"] == pytest.approx(0.06 / 0.1)
    assert key[1]["size"] / key[0]["size"] == pytest.approx(4)


def test_a_toe_plate_is_one_disc_and_a_pad_is_half_on_either_branch() -> None:
    (dark,) = [
        each["rows"]
        for each in layers(WORN, "point")
        if each.get("fill") == "#1b1b1b" and each["shape"] == "circle"
    ]
    toe, left, right = dark[:3]
    assert left["size"] == right["size"] == pytest.approx(toe["size"] * 0.035 / 0.06)
    assert toe["x"] == pytest.approx((left["x"] + right["x"]) / 2)
    assert toe["y"] < left["y"] == right["y"]


def test_a_reckoned_shoe_has_a_dashed_rim_and_a_weighed_one_a_whole() -> None:
    rims = [each["strokeDash"] for each in layers(WORN, "point") if "strokeDash" in each]
    assert rims == [[1, 0], [1, 0], [4, 3], [4, 3]]


def test_left_stands_left_fronts_stand_above_and_each_is_named() -> None:
    lines = [each["rows"] for each in layers(WORN, "line")]
    middle = {
        limb: [sum(row[axis] for row in rows) / len(rows) for axis in ("x", "y")]
        for limb in ("LF", "RF", "LH", "RH")
        if (rows := [row for row in lines[1] if row["limb"] == limb])
    }
    assert middle["LF"][0] < middle["RF"][0]
    assert middle["LF"][1] < middle["LH"][1]
    heads = [
        each["rows"][0]["text"].replace("\u00a0", " ")
        for each in layers(WORN, "text")
        if each.get("fontWeight")
    ]
    assert heads == ["▲ LF 330 g", "▲ RF 330 g", "■ LH 873 g", "■ RH 873 g"]


def test_feet_have_the_colours_they_have_everywhere() -> None:
    (scale,) = [
        layer["encoding"]["color"]["scale"]
        for layer in spec_of(WORN)["layer"]
        if "color" in layer["encoding"]
    ]
    colours = dict(zip(scale["domain"], scale["range"], strict=True))
    assert colours == {limb.value: COLOURS[limb] for limb in Limb}


def test_bare_and_unsaid_feet_are_dashed_and_said() -> None:
    setup = Setup(lf=Foot(), lh=Foot(plain()), rh=Foot(plain()))
    dashed = [each for each in layers(setup, "line") if "strokeDash" in each]
    assert {row["limb"] for each in dashed for row in each["rows"]} == {"LF", "RF"}
    assert {"bare", "not said"} <= set(words(setup))


@pytest.mark.parametrize("width", [262, NARROW_PX, 470, WIDE_PX])
def test_words_stand_within_the_picture_and_clear_of_the_feet(width: int) -> None:
    setup = shod(plain(0.34, size="a long word for a size"), bar("1/2x1", 11, added=(TOE_PLATE,), nails=8))
    for each in layers(setup, "text", width=width)[:-1]:
        reach = max(len(row["text"]) for row in each["rows"]) * 0.5 * each["fontSize"]
        start = each["rows"][0]["x"]
        left = start - (reach if each["align"] == "right" else reach / 2 if each["align"] == "center" else 0)
        assert left >= -4
        assert left + reach <= width + 4


def test_no_number_is_parted_from_its_unit() -> None:
    texts = [row["text"] for each in layers(WORN, "text", width=262) for row in each["rows"]]
    assert not [text for text in texts if text in ("mm", "g", "in", "oz")]


def test_a_very_heavy_shoe_still_leaves_its_foot_to_be_seen() -> None:
    heavy = shod(plain(2.5), plain(0.3))
    own = [each["rows"][0]["size"] for each in layers(heavy, "point") if "strokeDash" in each]
    assert math.sqrt(max(own)) / 2 < 45
    assert own[0] / own[2] == pytest.approx(2.5 / 0.3)


@pytest.mark.parametrize(
    ("setup", "width", "units"),
    [(WORN, WIDE_PX, "imperial"), (WORN, NARROW_PX, "metric"), (Setup(), WIDE_PX, "metric"),
     (shod(None, plain()), NARROW_PX, "imperial")],
)  # fmt: skip
def test_the_picture_can_be_drawn(setup: Setup, width: int, units: str) -> None:
    spec = spec_of(setup, units=units, width=width)
    assert spec["description"].startswith("Four feet from above, masses to scale.")
    assert vl_convert.vegalite_to_svg(json.dumps(spec)).startswith("<svg")


@settings(max_examples=10, deadline=None)  # the first picture loads the charts
@given(setups)
def test_any_setup_has_a_picture_of_finite_numbers(setup: Setup) -> None:
    text = json.dumps(spec_of(setup), allow_nan=False)
    assert "LF" in text


def test_a_weighed_shoe_as_data() -> None:
    shoe = bar(nails=8)
    data = weighed_data(shoe, {"fore": weigh(shoe), "hind": weigh(shoe, hind=True)})
    assert (data["schema"], data["mass"]["upper"], data["mass"]["oz"]) == (1, True, 14.03)
    assert data["mass"]["g"] == pytest.approx(361.75 + 36, abs=0.01)
    assert data["parts_kg"]["nails"] == 0.036
    assert json.loads(json.dumps(data, allow_nan=False)) == data


def test_limits_as_data_say_to_check_the_present_text() -> None:
    data = limits_data(bar("1/2x1", 11))
    assert len(data) == len(limits())
    assert {each["state"] for each in data} == {"under", "over", "not known"}
    assert {each["note"] for each in data} == {"check the present text"}


def test_a_weight_at_the_very_heel_stays_on_the_shoe() -> None:
    setup = shod(plain(added=(Added("calks", 0.05, 1.0),)))
    (dark,) = [
        each["rows"]
        for each in layers(setup, "point")
        if each.get("fill") == "#1b1b1b" and each["shape"] == "circle"
    ]
    band = [row for row in layers(setup, "line")[1]["rows"] if row["limb"] == "LF"]
    assert (dark[0]["x"], dark[0]["y"]) == pytest.approx((band[0]["x"], band[0]["y"]))
