from collections.abc import Iterator
from datetime import date
from math import hypot, sqrt
from pathlib import Path
from typing import Any
from uuid import uuid4

import numpy as np
import pytest

from evenfall.contacts import Contact, Contacts, Limb
from evenfall.flow.films import read_film
from evenfall.flow.measuring import add_measure
from evenfall.flow.passes import passes_of, passes_of_barn
from evenfall.gait.estimate import Estimate, Quantity
from evenfall.progress.passes import MEASURES, Pass
from evenfall.reading import Reading
from evenfall.report.data import reading_data
from evenfall.store import Barn, clips, horses, outings, results, setups
from evenfall.store.records import ClipRecord, Horse, HorseFields, OutingFields, SetupFields
from tests.flow import riding
from tests.fresh import new_barn
from tests.making import regular, write_contacts

TIMED = {"lateral phase", "evenness", "left-right", "stride time"} | {
    f"{end} {name}" for end in ("fore", "hind") for name in ("duty", "stance", "swing")
}


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "barn") as made:
        yield made


@pytest.fixture(scope="module")
def reading(film: Path, tmp_path_factory: pytest.TempPathFactory) -> Reading:
    """A film of eight strides, each foot a little off, whose numbers are known well enough."""
    chance = np.random.default_rng(4)
    marks = [
        Contact(mark.limb, mark.event, mark.time_s + float(chance.normal(0, 0.006)), 0.001)
        for mark in regular(lateral_pct=29, duty_fore_pct=54, duty_hind_pct=56)
    ]
    file = write_contacts(tmp_path_factory.mktemp("marks") / "marks.csv", Contacts(marks))
    return read_film(film, file)


def ridden(barn: Barn, horse: Horse, day: int = 2, **more: Any) -> ClipRecord:
    """A film of a day in May, without a result."""
    outing = outings.add(barn, OutingFields(horse.id, date(2026, 5, day), **more))
    part = barn.home / "incoming" / uuid4().hex
    part.write_bytes(uuid4().bytes)
    return clips.keep(barn, part, name="x.mp4", outing_id=outing.id)[0]


def wearing(barn: Barn, horse: Horse, day: int) -> int:
    return setups.add(barn, SetupFields(horse.id, date(2026, 5, day), {"schema": 1})).id


def the_pass(barn: Barn, horse: Horse, data: dict[str, Any], **more: Any) -> Pass:
    clip = ridden(barn, horse, **more)
    results.save(barn, clip.id, data, 1, speed_m_s=2.4)
    (only,) = passes_of(barn, horse.id)
    return only


def known(quantity: Quantity) -> Estimate:
    assert isinstance(quantity, Estimate)
    return quantity


def test_a_pass_says_what_the_reading_said(barn: Barn, reading: Reading) -> None:
    only = the_pass(barn, riding.horse(barn), reading_data(reading))
    timing = reading.main.timing
    for name, quantity in {
        "lateral phase": timing.lateral_phase_pct["both"],
        "left-right": timing.left_right_pct["hind_step"],
        "stride time": timing.stride_s,
    }.items():
        assert only.values[name].mean == pytest.approx(known(quantity).mean, abs=1e-6)
        assert only.values[name].se == pytest.approx(known(quantity).standard_error, abs=1e-6)
    assert only.stride_rate_hz == pytest.approx(known(timing.stride_rate_per_min).mean / 60)
    assert (only.strides, only.speed_m_s) == (reading.strides.count, 2.4)
    share = known(reading.main.share_in_band).mean
    assert only.in_band == round(share * reading.strides.count)


def test_both_feet_of_a_pair_make_one_number(barn: Barn, reading: Reading) -> None:
    only = the_pass(barn, riding.horse(barn), reading_data(reading))
    timing = reading.main.timing
    for name, by_limb in {
        "duty": timing.duty_pct,
        "stance": timing.stance_s,
        "swing": timing.swing_s,
    }.items():
        for end, pair in {"fore": (Limb.LF, Limb.RF), "hind": (Limb.LH, Limb.RH)}.items():
            left, right = (known(by_limb[limb]) for limb in pair)
            value = only.values[f"{end} {name}"]
            assert value.mean == pytest.approx((left.mean + right.mean) / 2, abs=1e-6)
            assert value.se == pytest.approx(hypot(left.standard_error, right.standard_error) / 2, abs=1e-6)


def test_evenness_is_the_spread_of_the_strides(barn: Barn, reading: Reading) -> None:
    only = the_pass(barn, riding.horse(barn), reading_data(reading))
    both = known(reading.main.timing.lateral_phase_pct["both"])
    assert only.values["evenness"].mean == pytest.approx(both.sd, abs=1e-6)
    assert only.values["evenness"].se == pytest.approx(both.sd / sqrt(2 * (both.n - 1)), abs=1e-6)


def test_every_measure_has_its_name_in_the_progress_room(barn: Barn, reading: Reading) -> None:
    only = the_pass(barn, riding.horse(barn), reading_data(reading))
    assert set(only.values) == TIMED
    assert set(MEASURES) >= TIMED | {"head line", "hoof height"}


def test_a_foot_that_was_not_measured_leaves_its_pair_out(barn: Barn, reading: Reading) -> None:
    data = reading_data(reading)
    data["timing"]["duty_pct"]["LF"] = {"unknown": "needs lift-offs"}
    only = the_pass(barn, riding.horse(barn), data)
    assert set(only.values) == TIMED - {"fore duty"}


def test_a_pass_says_what_was_ridden(barn: Barn) -> None:
    told = {"rider": "Ann", "ground": "grass", "slope": "level", "direction": "left rein", "head_deg": 35.0}
    only = the_pass(barn, riding.horse(barn), riding.result_data(30.0), **told)
    assert {name: getattr(only, name) for name in told} == told
    assert (only.setup_id, only.novelty, only.in_band) == (None, None, None)


def test_films_with_too_little_evidence_or_no_answer_are_no_passes(barn: Barn) -> None:
    horse = riding.horse(barn)
    thin = {"strides": 1, "timing": {}, "error": {"message": "one stride"}}
    results.save(barn, ridden(barn, horse).id, thin, 1)
    ridden(barn, horse)
    assert (passes_of(barn, horse.id), passes_of_barn(barn)) == ((), {})


def test_each_pass_wears_the_setup_of_its_day_and_counts_from_its_beginning(barn: Barn) -> None:
    horse = riding.horse(barn)
    first, second = wearing(barn, horse, 3), wearing(barn, horse, 10)
    for day in (1, 3, 3, 9, 10, 12):
        results.save(barn, ridden(barn, horse, day).id, riding.result_data(30.0), 1)
    found = [(each.on_date.day, each.setup_id, each.novelty) for each in passes_of(barn, horse.id)]
    assert found == [
        (1, None, None), (3, first, 0), (3, first, 1), (9, first, 2), (10, second, 0), (12, second, 1),
    ]  # fmt: skip


def test_a_film_too_thin_to_count_was_gone_all_the_same(barn: Barn) -> None:
    horse = riding.horse(barn)
    wearing(barn, horse, 1)
    ridden(barn, horse, 2)
    results.save(barn, ridden(barn, horse, 3).id, riding.result_data(30.0), 1)
    assert [each.novelty for each in passes_of(barn, horse.id)] == [1]


def test_the_passes_of_the_barn_are_those_of_its_horses(barn: Barn) -> None:
    stable = [riding.horse(barn, name) for name in ("Juniper", "Biscuit", "Unfilmed")]
    wearing(barn, stable[0], 2)
    for horse in stable[:2]:
        for day in (9, 2):
            results.save(barn, ridden(barn, horse, day).id, riding.result_data(20.0 + day), 1)
    assert passes_of_barn(barn) == {horse.id: passes_of(barn, horse.id) for horse in stable[:2]}
    assert [each.on_date.day for each in passes_of(barn, stable[1].id)] == [2, 9]


def test_clicks_are_measured_where_there_are_enough(barn: Barn) -> None:
    horse = horses.add(barn, HorseFields("Juniper", height_m=1.5))
    clip = ridden(barn, horse, head_deg=10.0)
    results.save(barn, clip.id, riding.result_data(30.0), 1)
    add_measure(barn, clip.id, "hoof", {"withers": (0, 0), "ground_below": (0, 300)}, "")
    for up in (20, 24, 28):
        add_measure(barn, clip.id, "hoof", {"ground": (0, 400), "hoof": (0, 400 - up)}, "")
    add_measure(barn, clip.id, "head", {"poll": (0, 0), "nose": (10, 10)}, "")
    (only,) = passes_of(barn, horse.id)
    assert only.values["hoof height"].mean == pytest.approx(24 * 1.5 / 300)
    assert only.values["hoof height"].se > 0
    assert "head line" not in only.values
    assert only.head_deg == pytest.approx(45)
    add_measure(barn, clip.id, "head", {"poll": (0, 0), "nose": (10, 11)}, "")
    (only,) = passes_of(barn, horse.id)
    assert only.values["head line"].mean == only.head_deg == pytest.approx(46.4, abs=0.1)


def test_a_hoof_without_a_scale_has_no_height(barn: Barn) -> None:
    horse = riding.horse(barn)
    clip = ridden(barn, horse)
    results.save(barn, clip.id, riding.result_data(30.0), 1)
    for up in (20, 24):
        add_measure(barn, clip.id, "hoof", {"ground": (0, 400), "hoof": (0, 400 - up)}, "")
    (only,) = passes_of(barn, horse.id)
    assert "hoof height" not in only.values
