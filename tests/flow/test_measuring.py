from collections.abc import Iterator
from datetime import date
from pathlib import Path
from shutil import copyfile
from typing import Any

import pytest

from evenfall.errors import WrongSetting
from evenfall.flow.measuring import add_measure, head_angle_deg, measures_page
from evenfall.store import Barn, clips, horses, outings
from evenfall.store.records import HorseFields, OutingFields
from tests.fresh import new_barn


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "barn") as made:
        yield made


def kept_clip(barn: Barn, film: Path, height_m: float | None = None) -> int:
    part = copyfile(film, barn.home / "film.part")
    horse = horses.add(barn, HorseFields(name="Juniper", height_m=height_m))
    outing = outings.add(barn, OutingFields(horse_id=horse.id, on_date=date(2026, 5, 1)))
    return clips.keep(barn, part, name="pass.mp4", outing_id=outing.id)[0].id


def hoof(height: float) -> dict[str, Any]:
    return {"ground": [100, 400], "hoof": [103, 400 - height], "picture": 3}


def test_a_head_line_is_the_same_whichever_way_the_horse_goes() -> None:
    right = {"poll": (100, 100), "nose": (140, 140)}
    left = {"poll": (100, 100), "nose": (60, 140)}
    assert head_angle_deg(right) == head_angle_deg(left) == pytest.approx(45)


def test_head_lines_over_several_pictures_have_mean_spread_and_interval(barn: Barn, film: Path) -> None:
    clip_id = kept_clip(barn, film)
    for drop in (38, 40, 42):
        add_measure(barn, clip_id, "head", {"poll": [0, 0], "nose": [40, drop], "picture": drop}, "test")
    head = measures_page(barn, clip_id)["head"]
    assert (head["n"], head["unit"]) == (3, "°")
    assert head["mean"] == pytest.approx(45, abs=0.1)
    assert head["ci95"][0] < 45 < head["ci95"][1]


def test_one_picture_is_too_few_for_a_spread(barn: Barn, film: Path) -> None:
    clip_id = kept_clip(barn, film)
    add_measure(barn, clip_id, "hoof", hoof(30), "test")
    said = measures_page(barn, clip_id)["hoof"]
    assert "one picture only" in said["says"]
    assert "mean" not in said


@pytest.mark.parametrize(("height_m", "unit", "mean"), [(1.5, "cm", 30.0), (None, "% of withers height", 20.0)])  # fmt: skip
def test_a_hoof_is_measured_by_the_withers(
    barn: Barn, film: Path, height_m: float | None, unit: str, mean: float
) -> None:
    clip_id = kept_clip(barn, film, height_m)
    add_measure(barn, clip_id, "hoof", {"withers": [200, 100], "ground_below": [200, 400], "picture": 1}, "t")
    for height in (58, 60, 62):
        add_measure(barn, clip_id, "hoof", hoof(height), "test")
    said = measures_page(barn, clip_id)["hoof"]
    assert (said["unit"], said["n"]) == (unit, 3)
    assert said["mean"] == pytest.approx(mean)


def test_without_a_scale_a_hoofs_height_is_in_pixels(barn: Barn, film: Path) -> None:
    clip_id = kept_clip(barn, film, 1.5)
    add_measure(barn, clip_id, "hoof", hoof(30), "test")
    add_measure(barn, clip_id, "hoof", hoof(34), "test")
    assert measures_page(barn, clip_id)["hoof"]["unit"] == "px"


@pytest.mark.parametrize(("kind", "points", "told"), [
    ("head", {"poll": [1, 2]}, "click on nose"),
    ("head", {"poll": [1, 2], "nose": "far"}, "two numbers"),
    ("head", {"poll": [1, 2], "nose": [1, 2]}, "two places apart"),
    ("hoof", {"ground": [1, float("nan")], "hoof": [1, 2]}, "inside the film"),
    ("tail", {}, "'head' or 'hoof'"),
    ("hoof", {"ground": [1, 300], "hoof": [1, 340]}, "First the ground"),
])  # fmt: skip
def test_clicks_that_are_none_are_refused_and_nothing_is_kept(
    barn: Barn, film: Path, kind: str, points: dict[str, Any], told: str
) -> None:
    clip_id = kept_clip(barn, film)
    with pytest.raises(WrongSetting, match=told):
        add_measure(barn, clip_id, kind, points, "test")
    assert measures_page(barn, clip_id)["measures"] == []
