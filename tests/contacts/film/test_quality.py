"""How good a film is: each weakness is found by its own finding, and by no other."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from evenfall.clip import CaptureHint, open_clip
from evenfall.contacts.film import FilmFeet, find_feet
from evenfall.contacts.film.quality import SCALES, FilmQuality, Finding, judge_film
from evenfall.synth import EXAMPLE_GAITS, Scene, draw_film
from evenfall.timebase import Timebase
from tests.contacts.film.good_film import (
    FPS,
    GOOD_SIDES,
    N,
    across,
    followed,
    good_clip,
    good_feet,
    good_ride,
    good_seen,
    hidden,
)

TOO_LITTLE = "the feet cannot be read in this film"


def amiss(quality: FilmQuality) -> dict[str, Finding]:
    return {finding.code: finding for finding in quality.findings if finding.severity != "good"}


def first(share: float) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """True for the first share of the pictures."""
    return np.arange(N) < share * N


def seeing(**changes: object) -> FilmFeet:
    return good_feet(seen=good_seen(**changes))


def test_a_good_film_has_good_findings_only_and_each_has_its_number() -> None:
    quality = judge_film(good_clip(), good_feet())
    assert quality.unread == ""
    assert amiss(quality) == {}
    assert {finding.code: (round(finding.value, 2), finding.unit) for finding in quality.findings} == {
        "picture_interval": (16.67, "ms"),
        "pictures_late": (0, "%"),
        "camera_followed": (65, "%"),
        "horse_seen": (100, "%"),
        "passing": (1.8, "a second"),
        "horse_width": (320, "pixels"),
        "feet_cut_off": (0, "%"),
        "sides_cut_off": (0, "%"),
        "sharpness": (0.5, "to 1"),
        "legs_stand_out": (25, "times"),
        "oblique": (1, "to 1"),
        "horse_shape": (1, "to 1"),
        "feet_hidden": (0, "%"),
        "strides": (10, ""),
        "feet_follow": (85, "%"),
        "near_and_far": (99, "%"),
    }


WEAK: dict[str, tuple[FilmFeet, float]] = {
    "camera_followed": (seeing(camera=followed(0.3)), 30),
    "horse_seen": (seeing(seen=first(0.5)), 50),
    "passing": (seeing(advance=np.full(N, -0.15)), 0.15),
    "horse_width": (seeing(width=np.full(N, 85.0)), 170),
    "feet_cut_off": (seeing(bottom=np.where(first(0.25), 360.0, 300.0)), 25),
    "sides_cut_off": (seeing(at_edge=first(0.5)), 50),
    "sharpness": (seeing(sharpness=np.full(N, 0.2)), 0.2),
    "legs_stand_out": (seeing(contrast=np.full(N, 20.0), noise=np.full(N, 4.0)), 4),
    "oblique": (seeing(width=across(200.0, 120.0)), 1.4),
    "horse_shape": (seeing(length=np.full(N, 0.75)), 0.75),
    "feet_hidden": (good_feet(hidden(good_ride(), 0.2)), 20),
    "strides": (good_feet(good_ride(end_s=2.4)), 4),
    "feet_follow": (good_feet(good_ride(score=0.55)), 55),
    "near_and_far": (good_feet(good_ride(sides=replace(GOOD_SIDES, lead=2.0))), 88),
    "near_and_far_gap": (good_feet(good_ride(sides=replace(GOOD_SIDES, sureness=1.7))), 1.7),
    "ride_time": (good_feet(replace(good_ride(end_s=2.0), pattern=None)), 2),
}


@pytest.mark.parametrize("code", WEAK)
def test_each_weakness_of_what_the_film_shows_is_found_with_its_number_and_alone(code: str) -> None:
    feet, value = WEAK[code]
    found = amiss(judge_film(good_clip(), feet))
    assert list(found) == [code]
    assert found[code].severity == "weak"
    assert found[code].value == pytest.approx(value, rel=0.02)
    assert found[code].advice.endswith(".")


SPOILT = {
    "horse_seen": seeing(seen=first(0.1)),
    "passing": seeing(advance=np.full(N, 0.05)),
    "horse_width": seeing(width=np.full(N, 30.0)),
    "feet_cut_off": seeing(bottom=np.full(N, 359.0)),
    "sides_cut_off": seeing(at_edge=first(0.9)),
    "sharpness": seeing(sharpness=np.full(N, 0.05)),
    "legs_stand_out": seeing(contrast=np.full(N, 5.0)),
    "oblique": seeing(width=across(240.0, 100.0)),
    "horse_shape": seeing(length=np.full(N, 0.5)),
    "feet_hidden": good_feet(hidden(good_ride(), 0.6)),
    "strides": good_feet(good_ride(end_s=0.9)),
    "feet_follow": good_feet(good_ride(score=0.3)),
    "near_and_far": good_feet(good_ride(sides=replace(GOOD_SIDES, lead=0.2))),
    "near_and_far_gap": good_feet(good_ride(sides=replace(GOOD_SIDES, sureness=0.1))),
    "ride_time": good_feet(replace(good_ride(end_s=0.9), pattern=None)),
    "camera_followed": seeing(camera=followed(0.2)),
}


@pytest.mark.parametrize("code", SPOILT)
def test_what_is_far_off_spoils_a_film_that_cannot_be_read_and_stands_first(code: str) -> None:
    quality = judge_film(good_clip(), replace(SPOILT[code], too_little=TOO_LITTLE))
    assert quality.unread == TOO_LITTLE
    assert (quality.findings[0].code, quality.findings[0].severity) == (code, "spoils")
    assert quality.of("spoils") == quality.findings[:1]


@pytest.mark.parametrize("code", SPOILT)
def test_in_a_film_that_can_be_read_nothing_spoils(code: str) -> None:
    quality = judge_film(good_clip(), SPOILT[code])
    assert quality.of("spoils") == ()
    assert code in amiss(quality)


def test_where_the_camera_is_lost_nothing_is_said_of_the_horse() -> None:
    """What is taken for the horse is then whatever did not move as thought."""
    lost = replace(seeing(camera=followed(0.2), at_edge=first(0.9)), too_little=TOO_LITTLE)
    told = {finding.code for finding in judge_film(good_clip(), lost).findings}
    assert told == {"picture_interval", "pictures_late", "camera_followed"}


def test_every_measure_is_tried_here() -> None:
    of_the_clip = {"picture_interval", "pictures_late", "slow_motion_hint"}
    assert set(WEAK) | of_the_clip == set(SCALES)
    assert set(SPOILT) | of_the_clip == set(SCALES)


@pytest.mark.parametrize("code", SCALES)
def test_every_measure_is_explained_to_the_person_with_the_camera(code: str) -> None:
    """With its limits, the last number in each cell, as they are."""
    page = Path(__file__).parents[3] / "docs/howto/film-a-horse.md"
    (row,) = [line.split("|") for line in page.read_text().splitlines() if line.startswith(f"| `{code}` |")]
    scale = SCALES[code]
    told = [re.findall(r"[\d.]+", cell) for cell in row[3:5]]
    limits = [limit for limit in (scale.weak, scale.spoils) if 0 < limit < np.inf]
    assert [float(numbers[-1]) for numbers in told if numbers] == pytest.approx(limits, rel=0.01)


def test_no_horse_is_a_finding_of_its_own() -> None:
    nothing = np.full(N, np.nan)
    empty = good_seen(
        seen=np.zeros(N, bool), width=nothing, bottom=nothing, advance=nothing, sharpness=nothing
    )
    quality = judge_film(good_clip(), FilmFeet(good_feet().contacts, None, empty, (), "no horse was found"))
    assert quality.unread == "no horse was found"
    assert [finding.code for finding in quality.of("spoils")] == ["horse_seen"]
    assert "horse_width" not in {finding.code for finding in quality.findings}


# the clip itself ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("fps", "severity"), [(60, "good"), (30, "weak"), (12, "weak"), (8, "spoils")])
def test_the_picture_rate_is_told_as_the_time_between_two_pictures(fps: float, severity: str) -> None:
    quality = judge_film(good_clip(fps))
    assert quality.findings[0].code == "picture_interval"
    assert quality.findings[0].severity == severity
    assert quality.findings[0].value == pytest.approx(1000 / fps)
    assert bool(quality.unread) == (severity == "spoils")


def test_under_ten_pictures_a_second_no_film_can_be_read_even_if_feet_were_found() -> None:
    assert judge_film(good_clip(8), good_feet()).unread.startswith("8 pictures a second are too few")


def test_slow_motion_that_was_told_counts_at_its_true_rate() -> None:
    clip = replace(good_clip(8), timebase=good_clip(8).timebase.at_capture_rate(240))
    quality = judge_film(clip)
    assert (quality.unread, amiss(quality)) == ("", {})
    assert quality.findings[0].value == pytest.approx(1000 / 240)


def test_lost_pictures_are_counted_and_wavering_ones_are_not() -> None:
    rng = np.random.default_rng(1)
    steps = np.r_[rng.uniform(0.9, 1.1, 95), np.full(5, 2.0)] / FPS
    assert _late(np.cumsum(steps)).value == pytest.approx(100 * 5 / 99, rel=0.02)
    assert _late(np.cumsum(steps)).severity == "weak"
    assert _late(np.cumsum(steps[:95])) == replace(_late(np.arange(9) / FPS), value=0)


def _late(times_s: np.ndarray[tuple[int], np.dtype[np.float64]]) -> Finding:
    quality = judge_film(replace(good_clip(), timebase=Timebase(times_s)))
    (late,) = [finding for finding in quality.findings if finding.code == "pictures_late"]
    return late


def test_a_slow_motion_hint_is_told_until_it_is_heeded() -> None:
    hinted = replace(good_clip(30), hint=CaptureHint(240, "a note"))
    assert amiss(judge_film(hinted))["slow_motion_hint"].value == 240
    heeded = replace(hinted, timebase=hinted.timebase.at_capture_rate(240))
    assert "slow_motion_hint" not in amiss(judge_film(heeded))


# laws ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("magnified", "width"), [(2.0, 320), (1.0, 160)])
def test_the_width_counts_in_pixels_as_they_are_looked_at(magnified: float, width: float) -> None:
    """At 15 pictures a second they are looked at twice as large as at 60."""
    findings = judge_film(good_clip(), seeing(magnified=magnified)).findings
    assert [each.value for each in findings if each.code == "horse_width"] == pytest.approx([width])


def test_coming_nearer_and_going_off_are_the_same_fault() -> None:
    ways = [across(120.0, 180.0), across(180.0, 120.0)]
    near, off = (amiss(judge_film(good_clip(), seeing(width=way)))["oblique"] for way in ways)
    assert near.value == pytest.approx(off.value, rel=0.01)


def test_the_horse_is_not_measured_where_the_edge_cuts_it() -> None:
    """A still camera sees half a horse at first and last; that is not a horse coming nearer."""
    cut = first(0.2)
    assert amiss(judge_film(good_clip(), seeing(width=np.where(cut, 80.0, 160.0), at_edge=cut))) == {}


def test_strides_of_several_passes_add_up_and_the_worst_sides_count() -> None:
    doubtful = replace(GOOD_SIDES, lead=2.0)
    rides = good_ride(end_s=2.4), good_ride(start_s=3.0, end_s=5.4, sides=doubtful)
    quality = judge_film(good_clip(), good_feet(*rides))
    found = {finding.code: finding.value for finding in quality.findings}
    assert found["strides"] == pytest.approx(8)
    assert found["near_and_far"] == pytest.approx(88, abs=0.1)


def test_too_few_strides_found_elsewhere_are_the_strides_fault() -> None:
    quality = judge_film(good_clip(), good_feet(), unread="one whole stride was found")
    assert [finding.code for finding in quality.of("spoils")] == ["strides"]
    assert quality.findings[0].advice.startswith("Film more strides")


# drawn films --------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def seen_sharp_and_smeared(tmp_path_factory: pytest.TempPathFactory) -> list[float]:
    """Sharpness of two films drawn alike, with the shutter open for no time and for all of it."""
    folder: Path = tmp_path_factory.mktemp("shutter")
    found = []
    for shutter in (0.0, 1.0):
        scene = Scene(width=320, height=180, fps=24, duration_s=0.8, shutter=shutter)
        draw_film(folder / f"{shutter}.mp4", EXAMPLE_GAITS["rack"], scene)
        clip = open_clip(folder / f"{shutter}.mp4")
        found.append(float(np.nanmedian(find_feet(clip).seen.sharpness)))
    return found


def test_a_long_exposure_makes_a_drawn_film_less_sharp(seen_sharp_and_smeared: list[float]) -> None:
    sharp, smeared = seen_sharp_and_smeared
    assert smeared < 0.8 * sharp
