"""Data, terminal and pictures of one reading."""

import io
import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from evenfall.contacts import Contacts, Limb
from evenfall.errors import TooLittleEvidence
from evenfall.flow import draw_reading
from evenfall.gait import named_goal
from evenfall.reading import Reading, ReadSettings, read_marked
from evenfall.report import charts
from evenfall.report.charts.stride_clock import clock_hands
from evenfall.report.data import reading_data
from evenfall.report.terminal import on_terminal
from evenfall.synth import EXAMPLE_GAITS, Segment, made_contacts
from tests.gait.test_cautions import clip
from tests.making import regular


@pytest.fixture(scope="module")
def fox_trot() -> Reading:
    marks = regular(lateral_pct=35, duty_fore_pct=54, duty_hind_pct=54, n=10)
    return read_marked(clip(), marks, ReadSettings(facing="left", goal=named_goal("fox trot")))


@pytest.fixture(scope="module")
def mixed() -> Reading:
    ride = [Segment(EXAMPLE_GAITS["rack"], 5.0), Segment(EXAMPLE_GAITS["trot"], 5.0)]
    return read_marked(clip(), made_contacts(ride, 10.0, 2), ReadSettings())


def shown(reading: Reading, width: int = 80) -> str:
    out = io.StringIO()
    Console(file=out, width=width).print(on_terminal(reading))
    return out.getvalue()


CONTRACT = {
    "schema": int,
    "clip": {"frames", "duration_s", "capture_fps", "playback_factor", "width", "height", "facing"},
    "contacts": list,
    "strides": int,
    "timing": {
        "stride_s",
        "duty_pct",
        "lateral_phase_pct",
        "diagonal_gap_pct",
        "left_right_pct",
        "support_pct",
    },
    "gait": {"zone", "names", "confidence", "walking_or_running", "goal"},
    "shift_ms": {"fronts", "hinds"},
    "warnings": list,
}


@pytest.mark.parametrize("key", CONTRACT)
def test_the_object_keeps_the_contract(fox_trot: Reading, key: str) -> None:
    value, expected = reading_data(fox_trot)[key], CONTRACT[key]
    if isinstance(expected, set):
        assert expected <= set(value)
    else:
        assert isinstance(value, expected)  # type: ignore[arg-type]


def test_every_number_is_an_estimate_or_says_why_not(fox_trot: Reading) -> None:
    data = reading_data(fox_trot)
    assert data["schema"] == 1
    assert set(data["timing"]["lateral_phase_pct"]) == {"left", "right", "both"}
    assert set(data["timing"]["duty_pct"]) == {"LF", "RF", "LH", "RH"}
    assert set(data["contacts"][0]) == {"limb", "event", "time_s", "sd_s", "source", "confidence"}
    assert set(data["gait"]["goal"]) >= {"name", "band_pct", "share_in_band"}
    for number in _numbers({**data["timing"], **data["shift_ms"]}):
        assert set(number) in ({"mean", "sd", "n", "ci95"}, {"unknown"})


def _numbers(tree: Any) -> list[dict[str, Any]]:
    if isinstance(tree, dict) and not ({"mean", "unknown"} & set(tree)):
        return [number for value in tree.values() for number in _numbers(value)]
    return [tree]


def test_every_stride_is_in_the_object_and_counted(fox_trot: Reading) -> None:
    data = reading_data(fox_trot)
    counts = data["stride_counts"]
    assert (counts["left"], counts["right"], counts["doubtful"]) == (10, 10, 0)
    assert counts["complete"] + counts["partial"] == len(data["each_stride"]) == 20
    phases = [stride["lateral_phase_pct"] for stride in data["each_stride"]]
    assert phases == pytest.approx([35.0] * 20)
    assert {stride["side"] for stride in data["each_stride"]} == {"left", "right"}


def test_the_object_is_plain_json(mixed: Reading) -> None:
    data = reading_data(mixed)
    assert json.loads(json.dumps(data, allow_nan=False)) == data


def test_runs_of_a_mixed_clip_are_in_the_object(mixed: Reading) -> None:
    runs = reading_data(mixed)["runs"]
    assert [run["gait"]["zone"] for run in runs] == ["lateral sequence singlefoot", "trot"]
    assert runs[0]["end_s"] <= runs[1]["start_s"] + 0.7
    assert [w["code"] for w in reading_data(mixed)["warnings"]] == ["mixed_gaits"]


def test_without_an_answer_the_object_says_why(fox_trot: Reading) -> None:
    nothing = read_marked(clip(), Contacts(), ReadSettings())
    data = reading_data(nothing)
    assert data["error"]["code"] == "too_little_evidence"
    assert set(CONTRACT) <= set(data)
    assert "error" not in reading_data(fox_trot)


def test_the_terminal_shows_scale_bars_numbers_and_sentence(fox_trot: Reading) -> None:
    text = shown(fox_trot)
    for part in (
        "pace",
        "even",
        "trot",
        "■  LH  ",
        "▲  RF",
        "Lateral phase 35.0 %",
        "duty LH",
        "gap LH-LF",
        "suspension",
        "In the band",
    ):
        assert part in text


def test_the_footfall_bars_are_the_contacts(fox_trot: Reading) -> None:
    """Three strides over 62 columns: a foot of duty 54 stands in 54 % of them."""
    (row,) = re.findall(r"■  LH  ([█·]+)", shown(fox_trot))
    assert row.count("█") / len(row) == pytest.approx(0.54, abs=0.04)


def test_nothing_runs_past_the_width(mixed: Reading) -> None:
    assert max(len(line) for line in shown(mixed).splitlines()) <= 80


def test_a_mixed_clip_is_shown_run_by_run(mixed: Reading) -> None:
    assert len(re.findall(r"^From [\d.]+ s to [\d.]+ s", shown(mixed), re.M)) == 2


def test_with_fores_alone_there_is_still_a_page() -> None:
    fores = Contacts(mark for mark in regular(n=6) if not mark.limb.is_hind)
    text = shown(read_marked(clip(), fores, ReadSettings()))
    assert "Lateral phase unknown" in text
    assert "0.600 s" in text


def test_one_picture_holds_the_three_drawings(fox_trot: Reading) -> None:
    svg = charts.as_svg(charts.picture(fox_trot))
    for words in (
        "pace",
        "even",
        "trot",
        "stride clock",
        "footfall bars",
        "fox trot 31.25 to 43.75",
        "Lateral phase 35.0 %",
    ):
        assert words in svg
    for colour in ("#56B4E9", "#0072B2", "#E69F00", "#D55E00"):
        assert colour in svg


def test_the_png_is_a_picture_of_the_same(fox_trot: Reading) -> None:
    png = charts.as_png(charts.picture(fox_trot), scale=1)
    assert png.startswith(b"\x89PNG")
    assert len(png) > 10_000


def test_the_clock_of_an_even_stride_is_a_true_cross() -> None:
    even = read_marked(clip(), regular(lateral_pct=25, n=6), ReadSettings())
    labels = {row["label"] for row in clock_hands(even.main)}
    assert labels == {"LH 0", "LF 25", "RH 50", "RF 75"}


@pytest.mark.parametrize(
    ("kept", "labels"),
    [
        ([Limb.LF, Limb.RF], set()),
        ([Limb.LH], {"LH 0"}),
        ([Limb.RH, Limb.RF], {"RH 0", "RF 25"}),
        ([Limb.LH, Limb.RH, Limb.LF], {"LH 0", "LF 25", "RH 50"}),
    ],
)
def test_a_foot_that_was_not_marked_has_no_hand(kept: list[Limb], labels: set[str]) -> None:
    part = Contacts(mark for mark in regular(n=6, lift_offs=False) if mark.limb in kept)
    reading = read_marked(clip(), part, ReadSettings())
    assert {hand["label"] for hand in clock_hands(reading.main)} == labels
    svg = charts.as_svg(charts.picture(reading))
    assert "landings (no lift-offs were marked)" in svg
    assert ("no stride has the landings this needs" in svg) == (len(labels) < 2)


def test_a_canter_is_given_no_place_on_the_beat_line() -> None:
    offsets = {Limb.LH: 0.0, Limb.RH: 28.0, Limb.LF: 28.0, Limb.RF: 55.0}
    reading = read_marked(clip(), regular(offsets_pct=offsets, n=8), ReadSettings())
    assert "no place on this line" in charts.as_svg(charts.picture(reading))
    data = reading_data(reading)
    assert data["gait"]["lead"] == "right"
    assert data["gait"]["goal"]["share_in_band"] == {"unknown": "the gait has a lead"}
    assert "pace  " not in shown(reading)


def test_the_picture_carries_cautions_and_says_what_it_is_of(mixed: Reading) -> None:
    """A picture is handed on without the terminal's print."""
    svg = charts.as_svg(charts.picture(mixed))
    assert f"of {mixed.strides.count} strides)" in svg
    assert "the gait changes within the clip" in svg


def test_a_narrow_picture_is_narrow(fox_trot: Reading) -> None:
    def width(narrow: bool) -> float:
        svg = charts.as_svg(charts.picture(fox_trot, narrow=narrow))
        return float(re.findall(r'width="([\d.]+)"', svg)[0])

    assert width(narrow=True) < 480 < width(narrow=False)


def test_a_long_name_does_not_widen_the_picture(fox_trot: Reading) -> None:
    long = replace(fox_trot, clip=replace(fox_trot.clip, path=Path("x" * 200 + ".mp4")))
    widths = [re.findall(r'width="([\d.]+)"', charts.as_svg(charts.picture(r)))[0] for r in (fox_trot, long)]
    assert float(widths[1]) <= float(widths[0]) + 1


def test_there_is_nothing_to_draw_without_an_answer() -> None:
    with pytest.raises(TooLittleEvidence, match="nothing to draw"):
        charts.picture(read_marked(clip(), Contacts(), ReadSettings()))


def test_a_picture_is_written_whole_or_not_at_all(fox_trot: Reading, tmp_path: Path) -> None:
    draw_reading(fox_trot, tmp_path / "gait.svg")
    assert [path.name for path in tmp_path.iterdir()] == ["gait.svg"]
