"""Films held against a step's proof."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.plan import Before, Evidence, Proof, Step, step_evidence
from evenfall.progress import Pass
from tests.plan.standing import EVEN, day, film, good_films, shut

STEP = Step("s", "plain shoes behind")
EARLIER = tuple(film(90 + each, -9 + each, inside=12 + each) for each in range(6))


def shown(passes: list[Pass], *, earlier: tuple[Pass, ...] = EARLIER, proof: Proof | None = None) -> Evidence:
    step = Step("s", "plain", proof=proof or Proof())
    return step_evidence(step, passes, EVEN, before=Before(day(0), earlier))


def test_good_films_apart_on_both_reins_complete_the_proof() -> None:
    evidence = shown(good_films())
    assert evidence.missing == ()
    assert evidence.complete
    assert (evidence.films, evidence.strides, evidence.in_band, evidence.days) == (6, 144, 144, 6)
    assert evidence.span_days == 5
    assert evidence.directions == ("left", "right")
    assert evidence.more_films == 0


@pytest.mark.parametrize(
    ("passes", "said"),
    [
        (good_films(3), "1 film more at the earlier speed"),
        ([film(each, 0, direction="there and back") for each in range(5)], "films at least 3 days apart; these are 0 apart"),
        ([film(each, each % 3, direction="there and back") for each in range(5)], "films at least 3 days apart; these are 2 apart"),
        ([film(each, each) for each in range(5)], "a film on the right rein"),
        ([film(each, each, inside=14, direction="there and back") for each in range(5)], "at least 80 % of the strides"),
        ([film(each, each, spread=3.0, direction="there and back") for each in range(5)], "spread no more than before: 3.0 %"),
        ([*good_films(6), film(9, 6, inside=0)], "why one film lies far below the others"),
        ([], "4 films more"),
    ],
    ids=["films", "days", "days too near", "reins", "share", "spread", "odd", "none"],
)  # fmt: skip
def test_what_is_missing_is_named(passes: list[Pass], said: str) -> None:
    assert any(said in each for each in shown(passes).missing)


def test_a_standing_flag_is_missing_evidence() -> None:
    evidence = step_evidence(STEP, good_films(), EVEN, before=Before(day(0), EARLIER), gate=shut())
    assert any(each.startswith("a flag stands: a tender foot") for each in evidence.missing)


def test_a_film_ridden_faster_is_no_slip() -> None:
    """Speed moves the beat by itself: eight points out at 4.5 m/s, one at the earlier step's speed."""
    since = [film(1, 21, phase=31.0), film(2, 22, phase=38.0, speed_m_s=4.5)]
    slip = step_evidence(STEP, since, EVEN, before=Before(day(0), EARLIER)).slip
    assert slip is not None
    assert (slip.points, slip.days_seen) == (1.0, 21)
    anyhow = replace(STEP, proof=replace(STEP.proof, speed_matched=False))
    slip = step_evidence(anyhow, since, EVEN, before=Before(day(0), EARLIER)).slip
    assert slip is not None
    assert slip.points == 8.0


def test_a_trotty_horse_on_its_first_step_has_not_slipped_there() -> None:
    since = [film(1, 1, phase=40.0), film(2, 21, phase=40.0)]
    assert step_evidence(STEP, since, EVEN, before=Before(day(0))).slip is None


def test_films_at_another_speed_do_not_count() -> None:
    """0.30 m/s is what 280 g of boots do to the fore foot (Rumpler 2010, abstract and arithmetic)."""
    fast = [film(20 + each, each, speed_m_s=3.81) for each in range(3)]
    near = [film(30, 3, speed_m_s=3.79)]
    evidence = shown([*good_films(), *fast, *near])
    assert evidence.films == 7
    assert evidence.apart == ("3 films at another speed than the earlier step, or of unknown speed",)


def test_where_no_speed_is_known_the_stride_rate_stands_in() -> None:
    def at(rate: float, clip: int) -> Pass:
        return film(clip, clip, speed_m_s=None, stride_rate_hz=rate, direction="both reins")

    earlier = tuple(at(1.8, 90 + each) for each in range(3))
    assert shown([at(1.8, 1), at(1.86, 2), at(1.95, 3)], earlier=earlier).films == 2


def test_without_speed_or_stride_rate_no_film_is_matched() -> None:
    blind = [film(each, each, speed_m_s=None) for each in range(5)]
    assert shown(blind, earlier=()).films == 0
    assert shown(blind, earlier=(), proof=Proof(speed_matched=False)).films == 5


def test_the_first_passes_after_a_change_do_not_count() -> None:
    """A 55 g bracelet's effect had worn off after six passes, most of it after three (Clayton 2008, abstract)."""
    new = [film(20 + each, 0, novelty=each) for each in range(3)]
    evidence = shown([*new, *good_films()])
    assert evidence.films == 6
    assert "3 films among the first passes" in evidence.apart[0]


def test_on_the_first_step_there_is_no_spread_to_be_held_against() -> None:
    assert shown(good_films(), earlier=()).missing == ()
    unmeasured = [film(each, each, inside=None) for each in range(3)]
    assert shown(unmeasured).films == 0
    assert shown(unmeasured).share is None


def test_how_many_films_more_is_told_and_shrinks_as_they_come() -> None:
    several = [film(each, each, inside=22, direction="there and back") for each in range(12)]
    told = [shown(several[:count]).more_films for count in (3, 6, 12)]
    assert None not in told
    assert told == sorted(told, reverse=True, key=lambda count: count or 0)
    assert shown([film(each, each, inside=10) for each in range(5)]).more_films is None


def test_a_proof_short_by_a_hair_does_not_read_as_enough() -> None:
    said = [
        each
        for each in shown([film(each, each, inside=20) for each in range(5)]).missing
        if "sureness" in each
    ]
    assert said
    assert "0.9," not in said[0]


@settings(deadline=None)
@given(st.lists(st.integers(0, 24), min_size=4, max_size=6), st.integers(0, 5))
def test_more_strides_in_the_band_never_make_the_horse_less_sure(inside: list[int], place: int) -> None:
    def evidence(counts: list[int]) -> Evidence:
        return shown([film(each, each, inside=count) for each, count in enumerate(counts)])

    better = [min(24, count + (each == place % len(inside))) for each, count in enumerate(inside)]
    assert (evidence(better).sure or 0) >= (evidence(inside).sure or 0) - 1e-12


def test_films_enough_are_asked_for_even_where_few_are_sure() -> None:
    few = shown(good_films(2))
    assert (few.sure or 0) > 0.9
    assert few.more_films == 2


def test_how_films_differ_is_learned_from_the_other_steps() -> None:
    """By sureness alone: the same good films prove less of a horse whose films differ widely."""

    def sure(*inside: int) -> float:
        other = tuple(film(200 + each, -40 + each, inside=count) for each, count in enumerate(inside))
        return step_evidence(STEP, good_films(), EVEN, before=Before(others=(other,))).sure or 0.0

    assert sure(24, 0, 23, 1, 24, 0) < sure(14, 14, 15, 14, 13, 14) - 0.02
