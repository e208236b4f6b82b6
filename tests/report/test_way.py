import json
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import pytest
import vl_convert
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.report.charts.way import difference_chart, speed_chart, way_chart
from evenfall.report.way import (
    LINE_WIDE,
    Difference,
    Outcome,
    Side,
    beat_mark,
    side_table,
    speed_table,
    way_table,
)

BAND = (20.0, 30.0)


def outcomes(n: int = 3, *, speed: float | None = None) -> list[Outcome]:
    return [
        Outcome(
            place, date(2026, 3, 1) + timedelta(days=9 * place), 40.0 - place, 38.0 - place, 42.0 - place, 9,
            Side(41.0, 39.0, 43.0), None if place else Side(39.0, 37.0, 41.0), 0.6, speed,
        )
        for place in range(n)
    ]  # fmt: skip


def drawn(spec: dict[str, Any]) -> list[dict[str, Any]]:
    """Rows of the films, of all that is drawn."""
    return [row for rows in spec["datasets"].values() for row in rows if "side" in row]


def test_every_film_is_drawn_with_its_interval() -> None:
    rows = drawn(way_chart(outcomes(), "even", BAND))
    assert {(row["phase"], row["low"], row["high"]) for row in rows} == {
        (40.0, 38.0, 42.0), (39.0, 37.0, 41.0), (38.0, 36.0, 40.0),
    }  # fmt: skip


def test_left_and_right_are_drawn_apart_and_an_unknown_side_is_left_out() -> None:
    rows = drawn(way_chart(outcomes(), "even", BAND, sides=True))
    assert [row["side"] for row in rows].count("left") == 3
    assert [row["side"] for row in rows].count("right") == 1


@pytest.mark.parametrize("n", [1, 2, 40])
@pytest.mark.parametrize("width", [220, 900])
def test_the_charts_can_be_drawn(n: int, width: int) -> None:
    differences = [Difference(0, each.on_date, 0.5, -0.5, 1.5) for each in outcomes(n)]
    for spec in (
        way_chart(outcomes(n), "even", BAND, width=width),
        speed_chart(outcomes(n), "even", BAND, width=width),
        difference_chart(differences, None, width=width),
        difference_chart(differences, (-2.0, 2.0), width=width),
    ):
        assert spec["description"]
        assert "<svg" in vl_convert.vegalite_to_svg(spec)


def named_days(spec: dict[str, Any]) -> list[date]:
    """The days that stand at the foot of a chart."""
    (axis,) = {
        json.dumps(layer["encoding"]["x"]["axis"]) for layer in spec["layer"] if "axis" in layer["encoding"].get("x", {})
    }  # fmt: skip
    return [date(day["year"], day["month"], day["date"]) for day in json.loads(axis)["values"]]


@settings(deadline=None, max_examples=25)
@given(
    st.sets(st.dates(date(2025, 1, 1), date(2027, 12, 31)), min_size=1, max_size=40), st.integers(180, 900)
)
def test_the_first_and_the_last_day_are_named_and_no_name_lies_on_another(
    days: set[date], width: int
) -> None:
    films = [replace(outcomes(1)[0], on_date=day) for day in sorted(days)]
    named = named_days(way_chart(films, "even", BAND, width=width))
    assert (named[0], named[-1]) == (min(days), max(days))
    assert set(named) <= days
    reach = (max(days) - min(days)).days + 2 * max(2, (max(days) - min(days)).days // 25)
    gaps = [width * (b - a).days / reach for a, b in pairwise(named)]
    assert len(named) <= 2 or min(gaps) >= 56


def test_a_phone_shows_first_and_last_day_and_the_year_where_there_are_two() -> None:
    ends = [replace(outcomes(1)[0], on_date=date(2026, month, 20)) for month in (10, 11)]
    svg = vl_convert.vegalite_to_svg(way_chart(ends, "even", BAND, width=220))
    assert ">20 Oct<" in svg
    assert ">20 Nov<" in svg
    later = [*ends, replace(ends[0], on_date=date(2027, 1, 5))]
    svg = vl_convert.vegalite_to_svg(way_chart(later, "even", BAND, width=220))
    assert ">20 Oct 2026<" in svg
    assert ">5 Jan 2027<" in svg


def test_speed_is_used_where_every_film_has_it() -> None:
    assert "speed" in speed_chart(outcomes(speed=3.2), "even", BAND)["description"]
    assert "stride rate" in speed_chart(outcomes(), "even", BAND)["description"]


def test_what_lies_past_pace_and_trot_is_inside_the_picture() -> None:
    wide = [Outcome(0, date(2026, 3, 1), 60.0, 55.0, 65.0, 4)]
    spec = way_chart(wide, "even", BAND)
    domains = [
        layer["encoding"]["y"]["scale"]["domain"]
        for layer in spec["layer"]
        if "domain" in layer["encoding"].get("y", {}).get("scale", {})
    ]
    assert domains
    assert all(low <= 20 and high >= 65 for low, high in domains)


def test_tables_have_the_newest_film_first() -> None:
    assert way_table(outcomes()).rows[0] == ("19 March 2026", "38.0 % (36.0 to 40.0)", "9")
    assert side_table(outcomes()).rows[0] == ("19 March 2026", "41.0 % (39.0 to 43.0)", "unknown")
    assert speed_table(outcomes()).rows[0][1:3] == ("100 /min", "unknown")


@given(st.tuples(*[st.floats(-50, 150)] * 3), st.tuples(st.floats(0, 50), st.floats(0, 50)))
def test_a_small_beat_line_never_leaves_its_frame(
    phase: tuple[float, float, float], band: tuple[float, float]
) -> None:
    mark = beat_mark(phase, band)
    assert all(
        0 <= place <= LINE_WIDE for place in (mark.at, mark.low, mark.high, mark.band_low, mark.band_high)
    )
