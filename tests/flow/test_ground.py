from pathlib import Path

import pytest

from evenfall.flow.ground import GROUND_FILE, save_ground, saved_ground
from evenfall.reading import ReadSettings, read_found, read_marked
from tests.gait.test_cautions import clip
from tests.making import regular
from tests.report.charts.ridden import made_feet


def test_what_the_film_showed_is_kept_for_page_and_phone_with_its_tables(tmp_path: Path) -> None:
    save_ground(tmp_path, read_found(clip(), made_feet(), ReadSettings()))
    kept = saved_ground(tmp_path, ReadSettings())
    assert set(kept["wide"]) == set(kept["narrow"]) == set(kept["tables"]) == {"space_time", "track_map"}


def test_a_film_that_was_not_read_shows_nothing(tmp_path: Path) -> None:
    assert saved_ground(tmp_path, ReadSettings()) == {}


def test_contacts_that_were_given_leave_no_picture_of_the_ground(tmp_path: Path) -> None:
    save_ground(tmp_path, read_marked(clip(), regular(), ReadSettings()))
    assert saved_ground(tmp_path, ReadSettings())["wide"] == {}


def test_it_is_written_whole_over_what_was_there(tmp_path: Path) -> None:
    (tmp_path / GROUND_FILE).write_text("{")
    save_ground(tmp_path, read_found(clip(), made_feet(refused="too dark"), ReadSettings()))
    assert saved_ground(tmp_path, ReadSettings())["too_little"] == "too dark"
    assert [path.name for path in tmp_path.iterdir()] == [GROUND_FILE]


@pytest.mark.parametrize(
    "other", [ReadSettings(capture_fps=240.0), ReadSettings(facing="left"), ReadSettings(240.0, "right")]
)
def test_a_film_said_to_be_another_way_does_not_show_what_was_seen_of_this_one(
    tmp_path: Path, other: ReadSettings
) -> None:
    save_ground(tmp_path, read_found(clip(), made_feet(), ReadSettings()))
    assert saved_ground(tmp_path, other) == {}
    save_ground(tmp_path, read_found(clip(), made_feet(refused="too dark"), other))
    assert saved_ground(tmp_path, ReadSettings())["too_little"] == ""
    assert saved_ground(tmp_path, other)["too_little"] == "too dark"
