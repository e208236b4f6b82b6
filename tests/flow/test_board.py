from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from evenfall.flow.board import Row, board
from evenfall.flow.due import Facts, Kind, Pending, due_today
from evenfall.flow.gates import raise_checked
from evenfall.flow.horse import horse_page
from evenfall.flow.record import own_record, say_spread, standing, trend
from evenfall.plan import CHECKLIST, LEFT_RIGHT, checklist
from evenfall.report.way import Difference
from evenfall.store import Barn, checklists, clips, flags, jobs, marks, outings, readings, results
from evenfall.store.marks import Act
from evenfall.store.records import ChecklistFields, FlagFields, OutingFields
from tests.flow.climbing import on_ladder
from tests.flow.riding import TODAY, answered, filmed, horse, machine_read, result_data
from tests.fresh import new_barn


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path) as opened:
        yield opened


def only(barn: Barn) -> Row:
    (row,) = board(barn, TODAY).rows
    return row


def test_an_empty_barn_has_no_rows(barn: Barn) -> None:
    assert board(barn, TODAY).rows == ()


def test_a_horse_without_a_film_is_due_for_its_first(barn: Barn) -> None:
    bay = horse(barn)
    (due,) = only(barn).due
    assert (due.kind, due.link) == (Kind.FIRST, f"/add?horse={bay.id}")


@pytest.mark.parametrize(
    ("days", "kind"), [(6, Kind.NOTHING), (7, Kind.SOON), (13, Kind.SOON), (14, Kind.AGAIN), (40, Kind.AGAIN)]
)
def test_a_horse_is_due_again_one_to_two_weeks_after_its_last_film(barn: Barn, days: int, kind: Kind) -> None:
    answered(barn, horse(barn), days_ago=days, phase=25)
    row = only(barn)
    assert row.due[0].kind is kind
    assert f"{days} days ago" in row.due[0].reason
    assert row.is_due is (kind is Kind.AGAIN)


def test_a_film_without_an_answer_is_to_be_marked(barn: Barn) -> None:
    clip = filmed(barn, horse(barn), days_ago=1)
    assert [(due.kind, due.link) for due in only(barn).due] == [(Kind.MARK, f"/film/{clip.id}")]


def test_too_little_evidence_is_no_answer(barn: Barn) -> None:
    clip = filmed(barn, horse(barn), days_ago=1)
    results.save(
        barn, clip.id, {"strides": 0, "error": {"code": "too_little_evidence", "message": "no stride"}}, 0
    )
    row = only(barn)
    assert row.due[0].kind is Kind.MARK
    assert row.latest is None


def test_the_board_counts_the_contacts_to_check(barn: Barn) -> None:
    clip = answered(barn, horse(barn), days_ago=1, phase=25)
    machine_read(barn, clip, doubtful=3)
    assert only(barn).due[0].act == "Check 3 contacts"


def test_a_contact_that_a_person_looked_at_is_not_counted_again(barn: Barn) -> None:
    clip = answered(barn, horse(barn), days_ago=1, phase=25)
    machine_read(barn, clip, doubtful=3)
    machine = readings.machine(barn, clip.id)
    assert machine is not None
    first = next(row for row in marks.of(barn, machine.id) if row.confidence < 0.9)
    marks.act(
        barn,
        readings.person(barn, clip.id).id,
        [Act(op="1", act="add", id="mine", stands_for=first.id)],
        by="",
    )
    assert only(barn).due[0].act == "Check 2 contacts"


def test_a_contact_given_another_foot_is_not_counted_again_when_the_machine_reads_anew(barn: Barn) -> None:
    clip = answered(barn, horse(barn), days_ago=1, phase=25)
    machine_read(barn, clip, doubtful=3)
    machine = readings.machine(barn, clip.id)
    assert machine is not None
    first = next(row for row in marks.of(barn, machine.id) if row.confidence < 0.9)
    limb = "RF" if first.limb == "LH" else "LH"
    act = Act(op="1", act="add", id="mine", limb=limb, stands_for=first.id)
    marks.act(barn, readings.person(barn, clip.id).id, [act], by="")
    machine_read(barn, clip, doubtful=3)
    assert only(barn).due[0].act == "Check 2 contacts"


def test_work_that_goes_on_is_told_and_asks_for_nothing(barn: Barn) -> None:
    clip = filmed(barn, horse(barn), days_ago=1)
    jobs.add(barn, clip.id, "read")
    assert only(barn).due[0].kind is Kind.RUNNING
    assert not only(barn).is_due


def test_work_that_failed_is_told_with_its_reason(barn: Barn) -> None:
    clip = filmed(barn, horse(barn), days_ago=1)
    clips.failed(barn, clip.id, "the file ends too soon.")
    assert only(barn).due[0].reason == "Work on the film of 19 May failed: the file ends too soon."


def test_work_that_failed_and_was_done_again_is_forgotten(barn: Barn) -> None:
    clip = answered(barn, horse(barn), days_ago=1, phase=25)
    for failed in (True, False):
        jobs.add(barn, clip.id, "read")
        job = jobs.claim(barn, "w")
        assert job is not None
        if failed:
            jobs.fail(barn, job.id, "w", "no room")
            assert only(barn).due[0].kind is Kind.FAILED
        else:
            jobs.done(barn, job.id, "w")
    assert only(barn).due[0].kind is Kind.NOTHING


def test_a_flag_closes_all_advice_to_film(barn: Barn) -> None:
    bay = horse(barn)
    answered(barn, bay, days_ago=30, phase=25)
    outings.add(barn, OutingFields(bay.id, TODAY, precheck=("unlike itself",), checked=True))
    row = only(barn)
    assert [due.kind for due in row.due] == [Kind.FLAG]
    assert "vet or farrier first" in row.due[0].reason


def test_a_flag_stands_until_a_named_person_clears_it(barn: Barn) -> None:
    bay = horse(barn)
    filmed(barn, bay, days_ago=3, flags=("unlike itself",))
    later = outings.add(barn, OutingFields(bay.id, TODAY, checked=True))
    (due, *_) = only(barn).due
    assert (due.kind, due.link) == (Kind.FLAG, f"/horses/{bay.id}/flags")
    assert due.reason.startswith("Unlike itself, flagged 17 May.")
    first = outings.of_horse(barn, bay.id)[-1]
    assert first != later
    (flag,) = raise_checked(barn, first)
    assert only(barn).due[0].kind is Kind.FLAG
    flags.clear(barn, flag.id, cleared_by="Dr Ames", on=TODAY)
    assert only(barn).due[0].kind is Kind.MARK


def test_a_checklist_with_many_signs_stands_without_a_flag_until_it_is_cleared(barn: Barn) -> None:
    bay, grey = horse(barn), horse(barn, "Grey")
    signs = tuple(sign.key for sign in checklist())
    day = TODAY - timedelta(days=3)
    checklists.add(barn, ChecklistFields(grey.id, day, signs[:2]))
    checklists.add(barn, ChecklistFields(bay.id, day, signs[:10]))
    first, *_ = rows = board(barn, TODAY).rows
    assert (first.horse_id, first.due[0].kind) == (bay.id, Kind.FLAG)
    assert first.due[0].reason.startswith("Many signs on the ridden checklist, 10 of 24, flagged 17 May.")
    assert rows[1].due[0].kind is not Kind.FLAG
    flag = flags.raise_flag(barn, FlagFields(bay.id, TODAY, CHECKLIST))
    flags.clear(barn, flag.id, cleared_by="Dr Vet", on=TODAY)
    assert all(row.due[0].kind is not Kind.FLAG for row in board(barn, TODAY).rows)


def test_standing_flags_come_before_everything_else(barn: Barn) -> None:
    horse(barn, "Aster")
    flags.raise_flag(barn, FlagFields(horse(barn, "Zinnia").id, TODAY, "stumbling"))
    assert [row.name for row in board(barn, TODAY).rows] == ["Zinnia", "Aster"]


def test_a_film_of_the_ladder_is_due_a_week_after_the_step_and_not_twice(barn: Barn) -> None:
    bay = horse(barn)
    answered(barn, bay, days_ago=8, phase=25)
    on_ladder(barn, bay, since=TODAY - timedelta(days=9))
    assert [(due.kind, due.act) for due in only(barn).due] == [(Kind.LADDER, "Add a film")]
    assert "the film of day 7 after the step" in only(barn).due[0].reason
    answered(barn, bay, days_ago=3, phase=25)
    assert only(barn).due[0].kind is Kind.NOTHING


def test_sides_that_differ_anew_come_before_all_films(barn: Barn) -> None:
    bay = horse(barn)
    for week in range(6, 0, -1):
        answered(barn, bay, days_ago=7 * week + 20, phase=25, left_right=0.2 * (week % 2))
    answered(barn, bay, days_ago=20, phase=25, half=0.5, left_right=9)
    row = only(barn)
    assert row.due[0].kind is Kind.SIDES
    assert "differs from this horse's own record" in row.due[0].reason
    assert all(due.kind < Kind.AGAIN for due in row.due)
    flag = flags.raise_flag(barn, FlagFields(bay.id, TODAY, LEFT_RIGHT))
    flags.clear(barn, flag.id, cleared_by="Dr Ames", on=TODAY)
    assert only(barn).due[0].kind is Kind.AGAIN


def test_the_number_comes_with_its_interval_and_a_trend_only_where_it_is_told(barn: Barn) -> None:
    bay = horse(barn, goal="even")
    for week, phase in enumerate((40, 38, 37, 35)):
        answered(barn, bay, days_ago=28 - 7 * week, phase=phase, half=1.5)
    latest = only(barn).latest
    assert latest is not None
    assert latest.standing.number == "35.0 % (33.5 to 36.5)"
    assert (latest.standing.word, latest.trend) == ("trotty", "toward the band")


def test_what_is_due_comes_first_and_names_can_be_looked_for(barn: Barn) -> None:
    answered(barn, horse(barn, "Aster"), days_ago=1, phase=25)
    horse(barn, "Zinnia")
    assert [row.name for row in board(barn, TODAY).rows] == ["Zinnia", "Aster"]
    assert [row.name for row in board(barn, TODAY, name="aST").rows] == ["Aster"]


def test_what_lies_in_the_bin_is_not_on_the_board(barn: Barn) -> None:
    bay = horse(barn)
    clip = answered(barn, bay, days_ago=1, phase=25)
    outings.delete(barn, clip.outing_id)
    row = only(barn)
    assert row.due[0].kind is Kind.FIRST
    assert row.latest is None


def test_the_newest_of_two_films_of_a_day_is_the_later_one(barn: Barn) -> None:
    bay = horse(barn)
    for phase in (40, 25):
        answered(barn, bay, days_ago=2, phase=phase)
    latest = only(barn).latest
    assert latest is not None
    assert latest.standing.number.startswith("25.0 %")


def test_reasons_come_in_the_order_of_their_kinds() -> None:
    films = tuple(Pending(1, TODAY, what, 2) for what in ("mark", "running", "check", "failed"))
    kinds = [
        due.kind for due in due_today(Facts(1, last_filmed=TODAY - timedelta(days=20), pending=films), TODAY)
    ]
    assert kinds == sorted(kinds)
    assert len(kinds) == 5


@pytest.mark.parametrize(
    ("phase", "word"),
    [
        ((25, 23, 27), "in the band"),
        ((29, 27, 31), "cannot say yet"),
        ((34, 31, 37), "trotty"),
        ((16, 13, 19), "pacey"),
    ],
)
def test_a_word_is_given_only_where_the_whole_interval_agrees(
    phase: tuple[float, float, float], word: str
) -> None:
    assert standing(phase, (20, 30)).word == word


def test_trotty_is_said_of_an_even_goal_only() -> None:
    assert standing((50, 48, 52), (31.25, 43.75)).word == "more diagonal than asked"


def days(*phases: float) -> list[tuple[date, float]]:
    return [(TODAY + timedelta(days=7 * week), phase) for week, phase in enumerate(phases)]


def test_a_slope_of_hand_reckoned_outings() -> None:
    """x = 0 1 2 3 weeks, y = 40 38 37 35: slope −1.6, residual variance 0.1, SE √(0.1/5), t(2) 4.3027."""
    found = trend(days(40, 38, 37, 35), (20, 30))
    assert found.per_week == pytest.approx(
        (-1.6, -1.6 - 4.3027 * 0.02**0.5, -1.6 + 4.3027 * 0.02**0.5), abs=1e-3
    )


@pytest.mark.parametrize(
    ("phases", "word"),
    [
        ((40, 38, 37, 35), "toward the band"),
        ((31, 33, 34, 36), "away from the band"),
        ((34, 32, 31, 29), "into the band"),
        ((40, 30, 39, 31), "no change told"),
        ((40, 38, 37), "no trend yet: 1 more outing needed"),
    ],
)
def test_a_trend_is_told_where_the_interval_carries_it(phases: tuple[float, ...], word: str) -> None:
    assert trend(days(*phases), (20, 30)).word == word


def test_several_films_of_a_day_are_one_outing() -> None:
    assert not trend([*days(40, 38, 37), *days(40, 38, 37)], (20, 30)).told


def test_the_spread_is_that_of_the_outings() -> None:
    assert say_spread(days(24, 26)).startswith("1.4 % spread over 2 outings")
    assert "unknown" in say_spread(days(24))


def differences(*means: float) -> list[Difference]:
    rows = days(*means)
    return [Difference(place, day, mean, mean - 0.5, mean + 0.5) for place, (day, mean) in enumerate(rows)]


def test_under_five_earlier_outings_there_is_no_record_of_its_own() -> None:
    own = own_record(differences(0, 0, 0, 0, 9), "hind step")
    assert not own.differs
    assert own.range_pct is None
    assert "too few outings" in own.sentence


def test_a_new_difference_differs_from_the_horses_own_record() -> None:
    own = own_record(differences(1, -1, 0.5, -0.5, 0, 6), "hind step")
    assert own.differs
    assert not own_record(differences(1, -1, 0.5, -0.5, 0, 1.5), "hind step").differs


def test_a_horse_that_always_differs_as_much_keeps_its_own_record() -> None:
    assert not own_record(differences(6, 6.4, 5.8, 6.1, 6, 6.3), "hind step").differs


def test_mirrored_differences_are_judged_alike() -> None:
    rows = differences(1, -1, 0.5, -0.5, 0, 6)
    mirrored = [replace(each, mean=-each.mean, low=-each.high, high=-each.low) for each in rows]
    assert own_record(mirrored, "hind step").differs


def test_no_word_of_verdict_is_said_of_the_sides() -> None:
    for means in ((1, -1, 0.5, -0.5, 0, 6), (0, 0), ()):
        words = own_record(differences(*means), "hind step").sentence.lower()
        assert "lame" not in words
        assert "sound" not in words


def test_the_page_of_a_horse_tells_all_its_films(barn: Barn) -> None:
    bay = horse(barn, height_m=1.55)
    first = answered(barn, bay, days_ago=9, phase=31)
    second = filmed(barn, bay, days_ago=2)
    page = horse_page(barn, bay.id, TODAY)
    assert page.newest is not None
    assert page.newest.clip.id == second.id
    assert [film.says for ride in page.rides for film in ride.films] == [
        "not marked yet",
        "31.0 % (30.0 to 32.0), 8 strides",
    ]
    assert page.tables["way"].rows == (("11 May 2026", "31.0 % (30.0 to 32.0)", "8"),)
    assert first.id != second.id


def test_a_number_that_is_unknown_makes_no_difference(barn: Barn) -> None:
    bay = horse(barn)
    clip = filmed(barn, bay, days_ago=1)
    data = result_data(25)
    data["timing"]["left_right_pct"] = {"hind_step": {"unknown": "one stride only"}}
    results.save(barn, clip.id, data, 0)
    page = horse_page(barn, bay.id, TODAY)
    assert page.answers == 1
    assert page.sides[0].sentence == "Left minus right of the hind step: not measured yet."
