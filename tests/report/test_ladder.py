from datetime import date

import vl_convert

from evenfall.plan import Dip, Proof, Slip, Step, step_evidence
from evenfall.progress import Pass, Value
from evenfall.report.charts.way import way_chart
from evenfall.report.ladder import numbers, say_dip, say_proof, say_slip
from evenfall.report.way import Outcome, SetupBand, StepMark, Under

BAND = (20.0, 30.0)
DAY = date(2026, 5, 1)


def ridden(day: int, in_band: int) -> Pass:
    values = {"lateral phase": Value(25.0, 0.4), "evenness": Value(1.3, 0.2)}
    return Pass(
        day,
        1,
        day,
        date(2026, 5, day),
        1,
        12,
        in_band,
        values,
        stride_rate_hz=1.7,
        direction="left",
        novelty=9,
    )


def test_each_thing_a_proof_asks_for_is_held_against_what_was_found() -> None:
    evidence = step_evidence(Step("a", "As today"), [ridden(2, 12), ridden(9, 11)], BAND)
    told = {row.name: (row.asked, row.enough) for row in numbers(evidence, Proof())}
    assert told["Films that count"] == ("4", False)
    assert told["Days from first to last"] == ("3", True)
    assert told["Directions"] == ("left and right", False)
    assert told["Spread of the strides"][1] is None
    assert numbers(evidence, Proof())[0].found.endswith("23 of 24 strides")


def test_without_films_nothing_is_said_to_be_enough() -> None:
    rows = numbers(step_evidence(Step("a", "As today"), [], BAND), Proof())
    assert not any(row.enough for row in rows)
    assert rows[0].found == rows[1].found == "no film counts yet"


def test_sureness_is_cut_and_not_rounded_up_to_what_is_asked_for() -> None:
    evidence = step_evidence(Step("a", "As today"), [ridden(day, 12) for day in range(2, 9)], BAND)
    assert evidence.sure is not None
    found = numbers(evidence, Proof())[1].found
    assert float(found) <= evidence.sure < float(found) + 0.01


def test_a_slip_and_a_dip_are_said_with_their_days() -> None:
    assert "4.0 points further out of the band at its worst, back after 7 days" in say_slip(
        Slip(4.0, 0.2, 21, 7)
    )
    assert "2.5 points at day 14" in say_slip(Slip(4.0, 2.5, 14, None))
    assert "no further out" in say_slip(Slip(0.0, 0.0, 21, None))
    assert say_slip(None) == ""
    assert "three earlier steps" in say_dip(None)
    assert "no film went further out" in say_dip(Dip(0.0, 0.0, 0.0, 1.0, 4))
    assert "by 3 earlier steps" in say_dip(Dip(4.0, 1.0, 7.0, 9.0, 3))


def test_a_proof_is_said_in_one_line() -> None:
    assert say_proof(Proof(both_directions=False)) == (
        "80 % of strides in the band, 0.9 sure; 4 films at least, 3 days apart; at the earlier step's speed; "
        "spread no worse; no flag"
    )


def test_setups_lie_under_the_way_as_numbered_bands_and_steps_are_marked() -> None:
    outcomes = [Outcome(day, date(2026, 5, day), 30.0, 29.0, 31.0, 8) for day in (2, 12, 22)]
    bands = (SetupBand(1, date(2026, 4, 1), date(2026, 5, 10), ""), SetupBand(2, date(2026, 5, 10), None, ""))
    steps = (StepMark(date(2026, 5, 10), 1, "light"), StepMark(date(2026, 5, 30), 2, "lighter"))
    spec = way_chart(outcomes, "even", BAND, under=Under(bands, steps), width=300)
    svg = vl_convert.vegalite_to_svg(spec)
    assert [f">{word}<" in svg for word in ("1", "2", "step 1", "step 2")] == [True] * 4
    assert "Setups lie beneath" in spec["description"]


def test_a_setup_out_of_sight_is_not_drawn() -> None:
    outcomes = [Outcome(day, date(2026, 5, day), 30.0, 29.0, 31.0, 8) for day in (2, 12, 22)]
    old = SetupBand(7, date(2025, 1, 1), date(2025, 6, 1), "")
    assert "vconcat" not in way_chart(outcomes, "even", BAND, under=Under((old,)))
