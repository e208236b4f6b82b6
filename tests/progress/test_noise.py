"""A horse's own noise."""

import numpy as np
import pytest

from evenfall.errors import WrongSetting
from evenfall.progress import MEASURES, default_noise, learn_noise
from evenfall.progress.layout import MOST_HISTORY
from tests.progress.making import days, one


def test_the_first_guess_is_the_worthwhile_change_by_day_and_half_of_it_by_clip() -> None:
    for name, measure in MEASURES.items():
        noise = default_noise(name)
        assert measure.worthwhile is not None
        assert (noise.clip_sd, noise.day_sd) == (measure.worthwhile / 2, measure.worthwhile)
        assert not noise.learned


def test_without_repeats_it_stays_the_first_guess() -> None:
    assert learn_noise([], "lateral phase") == default_noise("lateral phase")
    lone = learn_noise([one(1, 1, 35.0)], "lateral phase")
    assert (lone.clip_sd, lone.day_sd) == pytest.approx((1.0, 2.0), rel=0.02)
    assert (lone.repeats, lone.days, lone.learned) == (0, 0, False)


def test_two_repeats_that_agree_do_not_make_a_confident_noise() -> None:
    noise = learn_noise(days(1, [35.0, 35.0]), "lateral phase")
    assert 1.2 < noise.day_sd < 2.0
    assert not noise.learned


def test_an_old_horses_noise_is_that_of_its_latest_films() -> None:
    """A wild youth of 100 films, then as many steady ones as are looked back on."""
    wild = days(1, [25.0, 45.0] * 50)
    steady = days(101, [35.0, 35.5] * (MOST_HISTORY // 2))
    assert learn_noise([*wild, *steady], "lateral phase") == learn_noise(steady, "lateral phase")


@pytest.mark.parametrize(("day_sd", "clip_sd"), [(1.0, 1.0), (2.0, 0.5), (3.0, 2.0)])
def test_many_repeats_give_the_true_noise(day_sd: float, clip_sd: float) -> None:
    rng = np.random.default_rng(1)
    forms = 35 + day_sd * rng.standard_normal(60)
    passes = [
        one(10 * day + clip, day, forms[day] + clip_sd * rng.standard_normal(), se=0.0)
        for day in range(60)
        for clip in range(3)
    ]
    noise = learn_noise(passes, "lateral phase")
    assert noise.day_sd == pytest.approx(day_sd, rel=0.3)
    assert noise.clip_sd == pytest.approx(clip_sd, rel=0.15)
    assert (noise.repeats, noise.days, noise.learned) == (120, 59, True)


def test_a_change_of_setup_is_not_noise() -> None:
    steady = [*days(1, [35.0, 35.2, 34.9, 35.1, 35.0]), *days(50, [25.0, 25.2, 24.9, 25.1, 25.0], setup_id=2)]
    assert learn_noise(steady, "lateral phase").day_sd < 1.5


def test_days_without_a_setup_written_down_teach_no_day_noise() -> None:
    assert learn_noise(days(1, [20.0, 40.0, 30.0], setup_id=None), "lateral phase").days == 0


def test_new_passes_teach_nothing() -> None:
    wild = days(1, [20.0, 40.0, 30.0], novelty=0)
    assert learn_noise(wild, "lateral phase") == default_noise("lateral phase")


def test_an_unknown_measure_is_refused() -> None:
    with pytest.raises(WrongSetting, match="expected one of"):
        default_noise("swagger")
