"""Bar stock against the handbooks' 490 lb/ft³ (shoeing.md sections 1, 2 and 9; bar_stock.csv)."""

import csv
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.errors import ShoeError
from evenfall.shoeing import Section, kg_per_m, materials, parse_section
from evenfall.units import INCH_M, POUND_KG
from tests.conftest import SHARED
from tests.shoeing.made import sections

LB_FT = POUND_KG / (12 * INCH_M)


@pytest.mark.parametrize(
    ("section", "lb_per_ft", "kg_m"),
    [
        ("1/4x3/4", 0.638, 0.949), ("5/16x3/4", 0.798, 1.187), ("3/8x3/4", 0.957, 1.424), ("1/2x1", 1.701, 2.532),
        ("1/2x1-1/4", 2.127, 3.165), ("1/2x1-1/2", 2.552, 3.798), ("8x20mm", 0.844, 1.256), ("10x23mm", 1.213, 1.805),
    ],
)  # fmt: skip
def test_a_metre_of_steel_bar_weighs_what_the_tables_say(section: str, lb_per_ft: float, kg_m: float) -> None:
    """shoeing.md section 1, by STEEL490: 3.4028 × thickness × width."""
    found = kg_per_m(parse_section(section))
    assert found / LB_FT == pytest.approx(lb_per_ft, abs=0.002)
    assert found == pytest.approx(kg_m, abs=0.001)


def test_every_row_of_the_bar_table_is_met() -> None:
    """bar_stock.csv, all rows."""
    path = SHARED / "reference" / "bar_stock.csv"
    if not path.exists():
        pytest.skip("the bar table is not there: no ../shared/reference/bar_stock.csv beside the checkout")
    with path.open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) >= 30
    for row in rows:
        section = parse_section(row["section_in"])
        assert section.thickness_m * 1000 == pytest.approx(float(row["thickness_mm"]), abs=0.001), row
        assert section.width_m * 1000 == pytest.approx(float(row["width_mm"]), abs=0.001), row
        assert kg_per_m(section) == pytest.approx(float(row["kg_per_m"]), abs=0.001), row
        assert kg_per_m(section) / LB_FT == pytest.approx(float(row["lb_per_ft"]), abs=0.001), row


def test_sections_of_one_area_weigh_alike() -> None:
    """shoeing.md section 9: 3/8 × 1 and 1/2 × 3/4 are equal."""
    assert kg_per_m(parse_section("3/8x1")) == pytest.approx(kg_per_m(parse_section("1/2x3/4")), rel=1e-12)


def test_aluminium_for_362_g_of_steel() -> None:
    """shoeing.md section 9: 124.4 g; the density of aluminium is from memory."""
    steel, aluminium = (kg_per_m(parse_section("3/8x3/4"), name) for name in ("steel", "aluminium"))
    assert 362 * aluminium / steel == pytest.approx(124.4, abs=0.5)
    assert aluminium / steel == pytest.approx(0.344, abs=0.001)


def test_materials_say_where_their_density_is_from() -> None:
    assert materials()["steel"].density_kg_m3 == pytest.approx(7849, abs=0.5)
    assert all("from memory" in each.source for each in materials().values() if each.name != "steel")


@pytest.mark.parametrize(
    "text", ["3/8x3/4", "3/8 × 3/4 in", '.375 x 0.75"', "0.375X0.75", "3/8*3/4in", " 3/8  x 3/4 "]
)
def test_a_section_is_read_as_people_write_it(text: str) -> None:
    found = parse_section(text)
    assert (found.thickness_m, found.width_m) == pytest.approx((0.009525, 0.01905))
    assert found.name == "3/8 × 3/4 in"


@given(st.integers(2, 16), st.integers(4, 32))
def test_a_name_in_sixteenths_gives_the_same_section(thick: int, wide: int) -> None:
    section = parse_section(f"{thick}/16x{wide}/16")
    assert section.name.endswith(" in")
    assert parse_section(section.name) == section


@given(sections)
def test_any_name_gives_the_same_section(section: Section) -> None:
    back = parse_section(section.name)
    assert (back.thickness_m, back.width_m) == pytest.approx((section.thickness_m, section.width_m), rel=1e-5)


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("8x20", "write it with 'mm' or 'in'"), ("3/8", "expected a bar's section"), ("3/0x3/4", "expected a bar's"),
        ("80x200mm", "thickness of the bar in mm: expected a number from 1 to 40"), ("x", "expected a bar's section"),
        ("-8x20mm", "expected a bar's section"), ("", "expected a bar's section"),
    ],
)  # fmt: skip
def test_what_is_no_section_is_refused_and_told_why(text: str, wrong: str) -> None:
    with pytest.raises(ShoeError, match=wrong):
        parse_section(text)


@given(st.text(max_size=40))
def test_any_text_is_a_section_or_a_shoe_error(text: str) -> None:
    with suppress(ShoeError):
        assert parse_section(text).width_m > 0


def test_an_unknown_material_is_refused_with_the_list() -> None:
    with pytest.raises(ShoeError, match=r"steel, aluminium.*found 'gold'"):
        kg_per_m(parse_section("3/8x3/4"), "gold")
