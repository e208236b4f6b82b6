"""The data files of names and goals, and which names fit."""

import pytest

from evenfall.errors import WrongSetting
from evenfall.gait import goals, named_goal, read_gait, trade_names
from tests.making import regular_strides


def fitting(**gait: float) -> list[str]:
    return [fit.entry.name for fit in read_gait(regular_strides(**gait), named_goal("even")).names]


@pytest.mark.parametrize("entry", trade_names(), ids=lambda entry: entry.name)
def test_every_name_carries_breed_definition_source_and_range(entry: object) -> None:
    for field in ("breed", "definition", "source", "range_from"):
        assert len(getattr(entry, field)) > 2
    low, high = entry.phase_pct  # type: ignore[attr-defined]
    assert -12.5 <= low < high <= 87.5
    assert entry.seen in {"T", "A", "S", "M", "common practice"}  # type: ignore[attr-defined]
    assert (entry.seen == "common practice") == (entry.source == "common practice, no source")  # type: ignore[attr-defined]
    assert entry.by_duty in (None, "walking", "running")  # type: ignore[attr-defined]


@pytest.mark.parametrize("goal", goals().values(), ids=lambda goal: goal.name)
def test_every_goal_says_where_its_band_comes_from(goal: object) -> None:
    assert "our choice" in goal.given_by or "zone" in goal.given_by  # type: ignore[attr-defined]
    assert goal.band_pct[0] <= goal.middle_pct <= goal.band_pct[1]  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("name", "gait"),
    [
        ("walk", {"stride_s": 1.2, "lateral_pct": 24, "duty_hind_pct": 65, "duty_fore_pct": 62}),
        ("fox trot", {"stride_s": 0.6, "lateral_pct": 35, "duty_hind_pct": 54, "duty_fore_pct": 54}),
        ("running walk", {"stride_s": 0.7, "lateral_pct": 20, "duty_hind_pct": 57, "duty_fore_pct": 50}),
        ("tölt", {"stride_s": 0.5, "lateral_pct": 25, "duty_hind_pct": 46, "duty_fore_pct": 44}),
        ("trot", {"stride_s": 0.7, "lateral_pct": 50, "duty_hind_pct": 40, "duty_fore_pct": 40}),
        ("pace", {"stride_s": 0.5, "lateral_pct": 1, "duty_hind_pct": 40, "duty_fore_pct": 40}),
        ("stepping pace", {"stride_s": 0.55, "lateral_pct": 11, "duty_hind_pct": 46, "duty_fore_pct": 45}),
    ],
)
def test_a_gait_gets_its_trade_name(name: str, gait: dict[str, float]) -> None:
    assert name in fitting(**gait)


def test_a_quick_even_gait_is_no_walk_and_a_slow_one_no_rack() -> None:
    assert "walk" not in fitting(stride_s=0.5, lateral_pct=25, duty_hind_pct=55)
    assert "rack, single-foot" not in fitting(stride_s=1.2, lateral_pct=25, duty_hind_pct=65)


def test_a_trot_gets_no_four_beat_name() -> None:
    assert fitting(stride_s=0.65, lateral_pct=50, duty_hind_pct=40, duty_fore_pct=40) == ["trot"]


@pytest.mark.parametrize("asked", ["Fox Trot", "fox-trot", "fox_trot", " fox trot ", "foxtrot"])
def test_a_goal_is_found_however_it_is_written(asked: str) -> None:
    assert named_goal(asked).name == "fox trot"


@pytest.mark.parametrize("asked", ["tolt", "toelt", "Tölt"])
def test_the_umlaut_may_be_left_out(asked: str) -> None:
    assert named_goal(asked).name == "tölt"


def test_a_near_miss_is_answered_with_a_guess() -> None:
    with pytest.raises(WrongSetting, match="Is 'running walk' meant"):
        named_goal("runing walk")


def test_an_unknown_goal_lists_the_known_ones() -> None:
    with pytest.raises(WrongSetting, match=r"no goal 'gallop'; choose one of: even, walk, .*fox trot"):
        named_goal("gallop")


def test_a_band_of_ones_own_moves_the_middle() -> None:
    own = named_goal("even").with_band(22, 32)
    assert (own.middle_pct, own.band_pct, own.given_by) == (27, (22, 32), "set by the user")


@pytest.mark.parametrize("band", [(30, 20), (25, 25), (-40, 10), (20, 95)])
def test_a_senseless_band_is_refused(band: tuple[float, float]) -> None:
    with pytest.raises(WrongSetting, match="goal band needs"):
        named_goal("even").with_band(*band)
