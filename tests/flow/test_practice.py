from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.contacts import Event
from evenfall.errors import NotFound, WrongSetting
from evenfall.flow import blind
from evenfall.flow.practice import BEATS, beat_of, give_answer, next_question, question_of, scores, verdict_of
from evenfall.store import Barn, answers, clips, marks, readings, results
from evenfall.store.marks import Act
from evenfall.store.records import ClipRecord
from tests.flow.riding import answered, filmed, horse, machine_read, result_data
from tests.fresh import new_barn
from tests.making import regular


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path) as opened:
        yield opened


def test_a_barn_without_films_has_nothing_to_ask(barn: Barn) -> None:
    assert next_question(barn, "beat", 0) is None
    assert next_question(barn, "foot", 0) is None


def test_only_films_with_a_clear_answer_are_asked_about(barn: Barn) -> None:
    bay = horse(barn)
    answered(barn, bay, days_ago=3, phase=29.8)
    clear = answered(barn, bay, days_ago=2, phase=38)
    filmed(barn, bay, days_ago=1)
    asked = [next_question(barn, "beat", seed) for seed in range(20)]
    assert {each.clip_id for each in asked if each} == {clear.id}


def test_each_beat_is_asked_about_alike_however_many_films_show_it(barn: Barn) -> None:
    bay = horse(barn)
    trotty = [answered(barn, bay, days_ago=day, phase=38).id for day in range(1, 10)]
    answered(barn, bay, days_ago=20, phase=15)
    asked = [next_question(barn, "beat", seed) for seed in range(200)]
    counted = Counter(each.clip_id in trotty for each in asked if each)
    assert 70 < counted[True] < 130


def test_the_same_seed_asks_the_same(barn: Barn) -> None:
    bay = horse(barn)
    for day in range(1, 6):
        answered(barn, bay, days_ago=day, phase=38)
    assert next_question(barn, "foot", 7) == next_question(barn, "foot", 7)


@pytest.mark.parametrize(("phase", "beat"), [(38, "trotty"), (25, "even"), (15, "pacey")])
def test_an_answer_is_held_against_the_reading_that_counts(barn: Barn, phase: float, beat: str) -> None:
    clip = answered(barn, horse(barn), days_ago=1, phase=phase)
    for said in BEATS:
        answer = give_answer(barn, "Ann", question_of("beat", clip.id, 0), said)
        assert answer.right is (said == beat)
    says = verdict_of(barn, answer).says
    assert f"{beat}, lateral phase {phase:.1f} %" in says


def test_a_landing_is_told_by_its_foot(barn: Barn) -> None:
    answered(barn, horse(barn), days_ago=1, phase=25)
    asked = next_question(barn, "foot", 3)
    assert asked is not None
    truth = next(
        mark.limb.value
        for mark in regular(lateral_pct=25)
        if mark.event is Event.ON and abs(mark.time_s * 1e6 - asked.at) < 1
    )
    assert give_answer(barn, "Ann", asked, truth).right
    assert not give_answer(barn, "Ann", asked, next(limb for limb in asked.choices if limb != truth)).right


def test_feet_that_land_together_are_not_asked_about(barn: Barn) -> None:
    """Of a trot only the first and the last landing have no other foot beside them."""
    answered(barn, horse(barn), days_ago=1, phase=50)
    landings = [mark.time_s for mark in regular(lateral_pct=50) if mark.event is Event.ON]
    asked = {question.at for seed in range(40) if (question := next_question(barn, "foot", seed))}
    assert asked == {round(1e6 * min(landings)), round(1e6 * max(landings))}


def test_an_answer_that_is_no_choice_is_refused(barn: Barn) -> None:
    clip = answered(barn, horse(barn), days_ago=1, phase=38)
    with pytest.raises(WrongSetting, match="expected one of trotty, even, pacey"):
        give_answer(barn, "Ann", question_of("beat", clip.id, 0), "square")
    assert answers.of_reader(barn, "Ann") == ()


def test_a_film_read_anew_to_an_unclear_answer_is_not_counted(barn: Barn) -> None:
    clip = answered(barn, horse(barn), days_ago=1, phase=38)
    results.save(barn, clip.id, result_data(30), 1)
    with pytest.raises(WrongSetting, match="read anew"):
        give_answer(barn, "Ann", question_of("beat", clip.id, 0), "trotty")


def test_the_score_has_its_count_and_its_interval(barn: Barn) -> None:
    clip = answered(barn, horse(barn), days_ago=1, phase=38)
    for said in ("trotty", "trotty", "even", "trotty"):
        give_answer(barn, "Ann", question_of("beat", clip.id, 0), said)
    (score,) = scores(answers.of_reader(barn, "Ann"))
    assert (score.right, score.asked) == (3, 4)
    assert score.says == "3 of 4 right; guessing gets one in three"
    for _ in range(6):
        give_answer(barn, "Ann", question_of("beat", clip.id, 0), "trotty")
    assert scores(answers.of_reader(barn, "Ann"))[0].says == (
        "9 of 10 right, 90 % (62 to 99); guessing comes to 33 %"
    )
    assert scores(answers.of_reader(barn, "another")) == ()


@given(st.floats(-12, 88), st.floats(0, 20), st.floats(0, 20))
def test_at_most_one_beat_is_clear_and_it_holds_the_mean(mean: float, below: float, above: float) -> None:
    beat = beat_of((mean, mean - below, mean + above))
    assert beat in (None, *BEATS)
    if beat is not None:
        assert beat == ("trotty" if mean > 30 else "pacey" if mean < 20 else "even")


# blind reading ---------------------------------------------------------------------------------------------


def marked(barn: Barn, reading_id: int, *, later_s: float = 0.0) -> None:
    acts = [
        Act(op=f"{reading_id}-{place}", act="add", id=f"{reading_id}-{place}", limb=mark.limb.value, event=mark.event.value, time_s=mark.time_s + later_s)
        for place, mark in enumerate(regular(lateral_pct=38))
    ]  # fmt: skip
    blind.act(barn, reading_id, acts, "Ann")


@pytest.fixture
def clip(barn: Barn) -> ClipRecord:
    return answered(barn, horse(barn), days_ago=1, phase=38)


def test_a_session_is_drawn_by_its_seed(barn: Barn) -> None:
    bay = horse(barn)
    every = {answered(barn, bay, days_ago=day, phase=25).id for day in range(1, 9)}
    drawn = [blind.films_of(barn, seed) for seed in range(20)]
    assert blind.films_of(barn, 3) == drawn[3]
    assert len(set(drawn)) > 10
    assert all(len(set(films)) == blind.FILMS and set(films) <= every for films in drawn)


def test_past_its_end_a_session_begins_nothing(barn: Barn, clip: ClipRecord) -> None:
    begun = blind.begin(barn, 0, 0, "Ann")
    assert begun is not None
    assert begun.clip_id == clip.id
    assert blind.begin(barn, 0, 1, "Ann") is None


def test_a_blind_reading_shows_no_other_marks_and_changes_none(barn: Barn, clip: ClipRecord) -> None:
    machine_read(barn, clip, doubtful=2)
    reading = readings.begin_blind(barn, clip.id, "Ann")
    assert blind.marks_data(barn, reading.id)["marks"] == []
    before = results.of_clip(barn, clip.id)
    marked(barn, reading.id)
    assert len(blind.marks_data(barn, reading.id)["marks"]) == len(regular())
    assert marks.of(barn, readings.person(barn, clip.id).id) == ()
    assert results.of_clip(barn, clip.id) == before


def test_agreement_is_told_with_the_reading_that_counts_and_with_oneself(
    barn: Barn, clip: ClipRecord
) -> None:
    first, second, other = (readings.begin_blind(barn, clip.id, name) for name in ("Ann", "Ann", "Ben"))
    for reading, later in ((first, 0.0), (second, 0.01), (other, 0.02)):
        marked(barn, reading.id, later_s=later)
    compared = blind.agreements(barn, second.id)
    assert [each.against.split(",")[0] for each in compared] == ["the reading that counts", "yourself", "Ben"]
    assert "10 ms later than A" in compared[0].sentences[1]
    assert "10 ms sooner than A" in compared[2].sentences[1]


def test_without_marks_there_is_too_little_to_agree_with(barn: Barn, clip: ClipRecord) -> None:
    reading = readings.begin_blind(barn, clip.id, "Ann")
    (compared,) = blind.agreements(barn, reading.id)
    assert compared.sentences[0].startswith("Too little evidence")


def test_a_persons_reading_cannot_be_had_as_a_blind_one(barn: Barn, clip: ClipRecord) -> None:
    person = readings.person(barn, clip.id)
    with pytest.raises(NotFound, match="no blind reading"):
        blind.act(barn, person.id, [], "Ann")
    clips.delete(barn, clip.id)
    with pytest.raises(NotFound):
        blind.marks_data(barn, 99)
