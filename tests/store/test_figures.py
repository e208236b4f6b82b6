import pytest
from scipy.stats import t

from evenfall.store import Barn, figures, passes, results
from evenfall.store.engine import writing
from evenfall.store.schema import figures as table
from tests.store.keeping import a_clip, data

UNKNOWN = {"unknown": "needs lift-offs"}


def number(mean: float, half: float = 1.0, n: int = 9) -> dict[str, object]:
    return {"mean": mean, "sd": 1.5, "n": n, "ci95": [mean - half, mean + half]}


WHOLE = {
    "strides": 9,
    "timing": {
        "stride_s": number(0.6),
        "stride_rate_per_min": number(90.0),
        "lateral_phase_pct": {"both": number(30.0)},
        "left_right_pct": {"hind_step": UNKNOWN},
        "duty_pct": {"LF": number(54.0), "RF": UNKNOWN, "LH": number(56.0), "RH": number(58.0, 2.0)},
        "gaps_pct": {"LH-LF": number(25.0)},
    },
    "gait": {"zone": "even", "goal": {"share_in_band": number(0.75)}},
}


def test_a_result_leaves_its_figures_each_with_its_standard_error(barn: Barn) -> None:
    results.save(barn, a_clip(barn).id, WHOLE, 1)
    (film,) = passes.films_of(barn)
    half_in_se = 1 / t.ppf(0.975, 8)
    assert film.timing == pytest.approx(
        {
            "lateral phase": 30.0, "lateral phase se": half_in_se, "evenness": 1.5, "evenness se": 1.5 / 4,
            "stride time": 0.6, "stride time se": half_in_se, "stride rate": 1.5,
            "hind duty": 57.0, "hind duty se": half_in_se * 5**0.5 / 2,
        }
    )  # fmt: skip
    assert film.share_in_band == 0.75


@pytest.mark.parametrize(("revision", "stands"), [(2, 30.0), (3, 40.0)])
def test_figures_go_with_the_result_that_stands(barn: Barn, revision: int, stands: float) -> None:
    clip = a_clip(barn)
    results.save(barn, clip.id, data(30.0), 3)
    results.save(barn, clip.id, data(40.0), revision)
    (film,) = passes.films_of(barn)
    assert film.timing is not None
    assert (film.phase_mean, film.timing["lateral phase"]) == (stands, stands)


def test_too_little_evidence_leaves_no_figures(barn: Barn) -> None:
    results.save(barn, a_clip(barn).id, {"strides": 0, "error": {"message": "no strides"}}, 1)
    (film,) = passes.films_of(barn)
    assert (film.timing, film.share_in_band, film.too_little) == ({}, None, "no strides")


def test_what_was_thrown_away_is_made_again_the_same(barn: Barn, monkeypatch: pytest.MonkeyPatch) -> None:
    for n in range(5):
        results.save(barn, a_clip(barn, b"%d" % n).id, {**WHOLE, "strides": n}, 1)
    before = passes.films_of(barn)
    monkeypatch.setattr(figures, "BATCH", 2)
    with writing(barn) as connection:
        connection.execute(table.delete().where(table.c.clip_id > 1))
        figures.complete(connection)
    assert passes.films_of(barn) == before
