"""What is said about a gait, word for word."""

import pytest

from evenfall.contacts import Limb
from evenfall.gait import Estimate, Gait, Unknown, named_goal, read_gait
from evenfall.report.words import (
    headline,
    number,
    say_goal,
    say_names,
    say_phase,
    say_remedy,
    say_shift,
    say_zone,
    verdict,
)
from evenfall.strides import build_strides
from tests.making import regular, regular_strides


def gait(goal: str = "even", **settings: float) -> Gait:
    return read_gait(regular_strides(**settings), named_goal(goal))


def test_the_number_comes_first() -> None:
    assert say_phase(gait(lateral_pct=40)).startswith("Lateral phase 40.0 % (39.5 to 40.5, n 16):")


def test_a_trotty_horse() -> None:
    assert say_shift(gait(lateral_pct=40)) == (
        "Trotty: the fronts land late for even. Fronts 90 ms sooner (87 to 93), or hinds 90 ms later, would make it "
        "even; 60 ms is enough to reach the band."
    )


def test_a_pacey_horse() -> None:
    assert say_shift(gait(lateral_pct=10, stride_s=0.5)) == (
        "Pacey: the fronts land early for even. Fronts 75 ms later (72 to 78), or hinds 75 ms sooner, would make it "
        "even; 50 ms is enough to reach the band."
    )


def test_a_horse_in_its_band_is_left_alone() -> None:
    assert say_shift(gait(lateral_pct=26)) == "In the band: nothing to change in time; hold it."


def test_a_fox_trotter_is_not_told_to_be_even() -> None:
    said = say_shift(gait("fox trot", lateral_pct=48))
    assert said.startswith("More diagonal than the fox trot asked for: the fronts land late")
    assert "bring it to the middle of that goal (35 %)" in said
    assert "even" not in said
    assert "rotty" not in said


def test_an_even_horse_asked_to_fox_trot_is_not_called_pacey() -> None:
    said = say_shift(gait("fox trot", lateral_pct=25))
    assert said.startswith("More lateral than the fox trot asked for: the fronts land early")


def test_few_strides_in_the_middle_of_the_band_are_not_called_near_its_edge() -> None:
    coarse = read_gait(build_strides(regular(lateral_pct=25, n=2, sd_s=0.02)), named_goal("even"))
    assert say_shift(coarse).startswith("It may lie in the band or out of it: on this many strides")


def test_at_the_edge_of_the_band_neither_is_claimed() -> None:
    edge = gait(lateral_pct=30)
    assert verdict(edge) == "cannot tell"
    assert say_shift(edge).startswith(
        "Too close to the band's edge to say in or out; more strides would tell."
    )


def test_a_canter_has_a_lead_and_no_shift() -> None:
    offsets = {Limb.LH: 0.0, Limb.RH: 28.0, Limb.LF: 28.0, Limb.RF: 55.0}
    cantering = read_gait(build_strides(regular(offsets_pct=offsets)), named_goal("even"))
    assert say_zone(cantering) == "Canter, on the right lead."
    assert say_names(cantering) == "Names by timing alone: canter, right lead."
    assert say_phase(cantering) == "Lateral phase does not describe a gait with a lead."
    assert (
        say_goal(cantering) == "Goal even, 20 to 30 %: share of strides inside unknown, the gait has a lead."
    )
    assert "cannot be told" in say_shift(cantering)
    assert headline(cantering) == "Canter, on the right lead"


def test_zone_and_duty() -> None:
    assert say_zone(gait(lateral_pct=35, duty_hind_pct=54)) == (
        "Four beats, diagonal feet close together (diagonal couplets); each hind stands 54 % of the stride, over half: "
        "counted as walking."
    )


def test_between_two_zones_both_are_said() -> None:
    said = say_zone(gait(lateral_pct=31.25))
    assert said.startswith("Between two zones: ")
    assert "four even beats (singlefoot zone): 50 %" in said
    assert "diagonal feet close together (diagonal couplets): 50 %" in said


def test_the_goals_own_name_comes_first_and_other_breeds_words_last() -> None:
    said = say_names(gait("tölt", stride_s=0.5, lateral_pct=25, duty_hind_pct=46, duty_fore_pct=44))
    assert said.startswith("Names by timing alone: tölt. Other breeds' words for this timing: ")
    assert "paso llano (Peruvian Paso)" in said


@pytest.mark.parametrize(
    ("asked", "phase", "said"),
    [
        ("even", 40, "Trotty: fronts 90 ms late for even"),
        ("even", 10, "Pacey: fronts 90 ms early for even"),
        ("rack", 25, "In the band: rack"),
        ("fox trot", 48, "More diagonal than the fox trot asked for: fronts 78 ms late"),
        ("even", 30, "Cannot say yet"),
    ],
)
def test_the_headline_is_the_answer(asked: str, phase: float, said: str) -> None:
    assert headline(gait(asked, lateral_pct=phase)) == said


@pytest.mark.parametrize("asked", ["even", "rack", "fox trot"])
@pytest.mark.parametrize("phase", [10, 25, 30, 40, 48])
def test_the_sentence_under_the_headline_does_not_say_it_again(asked: str, phase: float) -> None:
    read = gait(asked, lateral_pct=phase)
    told, remedy = headline(read), say_remedy(read)
    assert told.split(":")[0].lower() not in remedy.lower()
    assert say_shift(read).lower().endswith(remedy.lower())


def test_without_lift_offs_the_duty_is_not_guessed() -> None:
    silent = read_gait(build_strides(regular(lift_offs=False)), named_goal("even"))
    assert "walking or running unknown without lift-offs" in say_zone(silent)


def test_goal_and_share() -> None:
    assert (
        say_goal(gait(lateral_pct=25)) == "Goal even, 20 to 30 %: 100 % of strides inside (86 to 100, n 16)."
    )


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Estimate(-0.04, 1, 5, -1.26, 1.2, 4), "0.0 % (−1.3 to 1.2, n 5)"),
        (Estimate(-2.0, 1, 5, -3.0, -1.0, 4), "−2.0 % (−3.0 to −1.0, n 5)"),
        (Unknown("no lift-offs"), "unknown: no lift-offs"),
    ],
)
def test_numbers_are_written_with_interval_and_count(value: Estimate | Unknown, text: str) -> None:
    assert number(value) == text
