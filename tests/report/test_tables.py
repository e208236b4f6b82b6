import pytest

from evenfall.contacts import Contacts, Event, Limb
from evenfall.gait.beat import asked_places, landing_places
from evenfall.reading import Reading, ReadSettings, read_marked
from evenfall.report.charts.page import gait_charts, space_time_chart, track_chart
from evenfall.report.numbers import listed_numbers
from evenfall.report.prints import prints
from evenfall.report.tables import MISSING, beat_table, clock_table, footfall_table, print_table, seen_table
from tests.gait.test_cautions import clip
from tests.making import regular
from tests.report.charts.ridden import made_feet


@pytest.fixture(scope="module")
def fox_trot() -> Reading:
    return read_marked(clip(), regular(stride_s=0.6, lateral_pct=35, n=6), ReadSettings())


def test_the_beat_line_as_a_table_has_a_row_a_stride(fox_trot: Reading) -> None:
    table = beat_table(fox_trot.main)
    assert table.head == ("side", "stride from", "lateral phase")
    assert len(table.rows) == 12
    assert table.rows[0] == ("left", "0.500 s", "35.0 %")


def test_the_stride_clock_as_a_table_says_where_each_foot_lands(fox_trot: Reading) -> None:
    rows = clock_table(landing_places(fox_trot.main).items()).rows
    assert set(rows) == {
        ("left hind", "0.0 %"),
        ("left fore", "35.0 %"),
        ("right hind", "50.0 %"),
        ("right fore", "85.0 %"),
    }


def test_the_footfall_bars_as_a_table_say_how_long_each_foot_stands(fox_trot: Reading) -> None:
    first = footfall_table(fox_trot.main).rows[0]
    assert first == ("left hind", "0.500 s", "0.800 s", "300 ms")


def test_a_stance_without_its_lift_off_says_so() -> None:
    marks = regular(n=4, lift_offs=False)
    rows = footfall_table(read_marked(clip(), marks, ReadSettings()).main).rows
    assert {row[2] for row in rows} == {MISSING}


def test_a_number_on_the_page_is_the_terminals_in_two_parts(fox_trot: Reading) -> None:
    phase = next(each for each in listed_numbers(fox_trot.main) if each.name == "lateral phase, left")
    assert phase.value == "35.0\u00a0%"
    assert phase.interval.endswith("6\u00a0strides")


def test_an_unknown_number_gives_its_reason_in_place_of_an_interval() -> None:
    gait = read_marked(clip(), regular(n=4, lift_offs=False), ReadSettings()).main
    duty = next(each for each in listed_numbers(gait) if each.name == "duty LF")
    assert duty.value == "unknown"
    assert "lift-offs" in duty.interval


@pytest.mark.parametrize("lateral_pct", [0, 25, 38, 50])
def test_the_places_of_a_made_gait_are_the_ones_asked_for(lateral_pct: float) -> None:
    gait = read_marked(clip(), regular(lateral_pct=lateral_pct), ReadSettings()).main
    assert landing_places(gait) == pytest.approx(dict(asked_places(lateral_pct)), abs=1e-6)


def test_a_foot_that_was_not_marked_has_no_place() -> None:
    marks = Contacts(mark for mark in regular() if mark.limb is not Limb.RF)
    assert Limb.RF not in landing_places(read_marked(clip(), marks, ReadSettings()).main)


@pytest.mark.parametrize("narrow", [True, False])
def test_every_chart_of_the_page_fits_its_screen_and_says_what_it_shows(
    fox_trot: Reading, *, narrow: bool
) -> None:
    specs = gait_charts(fox_trot.main, narrow=narrow)
    assert set(specs) == {"beat_line", "stride_clock", "footfall_bars"}
    for spec in specs.values():
        assert spec["width"] <= (300 if narrow else 480)
        assert len(spec["description"]) > 20


def test_what_the_film_showed_has_its_charts_and_tables() -> None:
    feet = made_feet()
    ride = feet.rides[0]
    of = prints(feet, ride)
    spec = space_time_chart(feet, 1.0)
    track = track_chart(of, heading=ride.heading, stride_s=0.6)
    assert spec is not None
    assert track is not None
    assert "widths of the horse" in track["description"]
    assert len(print_table(of).rows) == len(of)


def test_a_seen_mark_is_told_from_an_expected_one() -> None:
    table = seen_table([(Limb.LF, Event.ON, 1.0, True), (Limb.LF, Event.OFF, 1.3, False)])
    assert [row[-1] for row in table.rows] == ["seen", "expected"]
