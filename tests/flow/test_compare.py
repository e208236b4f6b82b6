"""Two sides of a horse's record compared, as page and command line are told it."""

import json
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from evenfall.errors import NotFound, UnreadableInput, WrongSetting
from evenfall.flow.compare import compare_files, compare_sides
from evenfall.flow.compare_page import compare_chart_of, compare_page, save_worthwhile
from evenfall.flow.passes import passes_of
from evenfall.flow.sides_chosen import SideKey, side_key
from evenfall.progress import compare
from evenfall.report.compared import Compared
from evenfall.store import Barn, clips, flags, plans, results
from evenfall.store.records import FlagFields
from tests.flow.comparing import ALIKE, Changed, one_change, two_changes
from tests.flow.riding import TODAY, answered, filmed, horse, result_data
from tests.fresh import new_barn


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "barn") as opened:
        yield opened


def told_of(barn: Barn, changed: Changed) -> Compared:
    return compare_sides(barn, *changed.keys, today=TODAY)


def test_sides_are_read_from_words() -> None:
    assert side_key(" outing:3 ") == SideKey("outing", (3,))
    assert str(side_key("clip:7,8,7")) == "clip:7,8"
    for wrong in ("", "clip", "horse:1", "setup:1,2", "clip:-1", "clip:7;8"):
        with pytest.raises(WrongSetting, match="expected clip:7, outing:3 or setup:2"):
            side_key(wrong)


def test_a_change_of_five_points_is_real_and_said_in_one_sentence(barn: Barn) -> None:
    told = told_of(barn, one_change(barn))
    assert told.phase is not None
    assert told.phase.verdict == "real"
    assert told.title.startswith("Real: 5.0 points toward pace (95 %: ")
    assert told.worn.startswith("Changed: hind shoes")
    assert told.worn.endswith("g heavier each.")
    assert told.phase.set_apart == 6
    assert [each.apart for each in told.after.films] == [True, True, True, False, False, False]


def test_the_flow_says_what_the_comparison_says(barn: Barn) -> None:
    changed = one_change(barn)
    passes = passes_of(barn, changed.horse.id)
    before, after = (
        [each for each in passes if each.clip_id in ids] for ids in (changed.before, changed.after)
    )
    plain = compare(before, after, "lateral phase", history=passes, worthwhile=2.0, changed=1)
    assert told_of(barn, changed).phase == plain


def test_every_measure_of_both_sides_is_compared_and_the_rest_is_named(barn: Barn) -> None:
    told = told_of(barn, one_change(barn))
    assert [each.measure for each in told.others] == ["evenness", "left-right", "stride time"]
    assert "hoof height" in told.missing
    assert [row[0] for row in told.table.rows][1] == "left − right, hind step"


def test_nothing_changed_is_not_called_real(barn: Barn) -> None:
    told = told_of(barn, one_change(barn, ALIKE))
    assert told.phase is not None
    assert told.phase.verdict != "real"
    assert "toward pace to" in told.title
    assert "toward trot" in told.title


def test_two_levers_at_once_are_warned_of(barn: Barn) -> None:
    told = told_of(barn, two_changes(barn))
    assert any("2 things were changed at once" in each for each in told.warnings)
    assert "; " in told.worn


def test_one_lever_is_not_warned_of(barn: Barn) -> None:
    assert not any("at once" in each for each in told_of(barn, one_change(barn)).warnings)


def test_the_smallest_worthwhile_change_is_the_barns(barn: Barn) -> None:
    changed = one_change(barn)
    assert save_worthwhile(barn, "9,5") == ""
    told = told_of(barn, changed)
    assert told.phase is not None
    assert (plans.get(barn).worthwhile_pct, told.phase.worthwhile) == (9.5, 9.5)
    assert told.phase.verdict != "real"
    assert save_worthwhile(barn, "many").startswith("Expected a number of points")
    assert save_worthwhile(barn, "nan").startswith("Expected a number of points")
    assert plans.get(barn).worthwhile_pct == 9.5


def test_clips_and_outings_are_sides_too_and_the_same_setup_is_said(barn: Barn) -> None:
    changed = one_change(barn)
    first, *_, last = changed.after
    told = compare_sides(barn, f"clip:{first}", f"clip:{last}", today=TODAY)
    assert told.worn == "Both sides wear the same setup: nothing that is written down was changed."
    backwards = compare_sides(barn, f"clip:{last}", f"clip:{first}", today=TODAY)
    assert any("filmed later" in each for each in backwards.warnings)
    several = compare_sides(
        barn, f"clip:{changed.before[3]},{changed.before[4]}", f"clip:{last}", today=TODAY
    )
    assert several.phase is not None
    assert (several.phase.before_n, several.before.name[:7]) == (2, "2 films")


def test_without_setups_what_was_changed_cannot_be_told(barn: Barn) -> None:
    bay = horse(barn)
    one, other = (answered(barn, bay, days_ago=days, phase=30.0) for days in (5, 3))
    told = compare_sides(barn, f"outing:{one.outing_id}", f"outing:{other.outing_id}", today=TODAY)
    assert told.worn.startswith("What was worn is not written down")
    assert told.phase is not None
    assert told.phase.verdict == "cannot tell yet"


def test_a_side_without_an_answer_is_too_little_evidence(barn: Barn) -> None:
    changed = one_change(barn)
    unread = filmed(barn, changed.horse, days_ago=1)
    told = compare_sides(barn, f"clip:{changed.after[0]}", f"clip:{unread.id}", today=TODAY)
    assert told.phase is None
    assert told.title.startswith("Too little evidence: what stands after")


def test_two_horses_and_what_is_not_there_are_refused(barn: Barn) -> None:
    changed, other = one_change(barn), answered(barn, horse(barn, "Other"), days_ago=1, phase=30.0)
    with pytest.raises(WrongSetting, match="one horse"):
        compare_sides(barn, f"clip:{changed.after[0]}", f"clip:{other.id}", today=TODAY)
    with pytest.raises(NotFound):
        compare_sides(barn, "setup:99", changed.keys[1], today=TODAY)
    with pytest.raises(WrongSetting, match="are on both"):
        compare_sides(barn, f"clip:{changed.after[0]}", changed.keys[1], today=TODAY)


def test_toe_growth_and_a_standing_flag_are_told(barn: Barn) -> None:
    changed = one_change(barn)
    assert any("the toe has grown" in line for line in told_of(barn, changed).growth)
    assert told_of(barn, changed).gate == ""
    flags.raise_flag(
        barn, FlagFields(changed.horse.id, TODAY - timedelta(days=1), "heat or swelling in a leg")
    )
    assert "Vet or farrier first" in told_of(barn, changed).gate


def test_the_page_begins_with_the_newest_setup_against_the_one_before(barn: Barn) -> None:
    changed = one_change(barn)
    page = compare_page(barn, changed.horse.id, {}, today=TODAY)
    assert (page.before, page.after) == changed.keys
    assert page.told == told_of(barn, changed)
    assert page.shown == (changed.before[-1], changed.after[-1])
    assert [name for name, _ in page.choices] == ["Setups", "Outings", "Films"]
    chosen = compare_page(barn, changed.horse.id, {"left": str(changed.before[0])}, today=TODAY)
    assert chosen.shown[0] == changed.before[0]


def test_the_films_played_go_the_same_way_where_there_are_such(barn: Barn) -> None:
    changed = one_change(barn)
    for clip in (changed.after[-1], changed.before[-2]):
        clips.change(barn, clip, capture_fps=None, facing="left")
    clips.change(barn, changed.before[-1], capture_fps=None, facing="right")
    assert compare_page(barn, changed.horse.id, {}, today=TODAY).shown == (
        changed.before[-2],
        changed.after[-1],
    )


def test_a_horse_without_setups_begins_with_its_last_two_outings(barn: Barn) -> None:
    bay = horse(barn)
    assert compare_page(barn, bay.id, {}, today=TODAY).problem.startswith("Nothing to compare yet")
    one, other = (answered(barn, bay, days_ago=days, phase=30.0) for days in (5, 3))
    page = compare_page(barn, bay.id, {}, today=TODAY)
    assert (page.before, page.after) == (f"outing:{one.outing_id}", f"outing:{other.outing_id}")


def test_a_wrong_choice_is_told_on_the_page(barn: Barn) -> None:
    changed = one_change(barn)
    page = compare_page(barn, changed.horse.id, {"before": "setup:none"}, today=TODAY)
    assert page.told is None
    assert page.problem.startswith("Expected clip:7")


def test_another_horses_side_is_not_shown(barn: Barn) -> None:
    changed, other = one_change(barn), horse(barn, "Other")
    page = compare_page(barn, other.id, {"before": changed.keys[0], "after": changed.keys[1]}, today=TODAY)
    assert (page.told, page.problem) == (None, "Expected sides of this horse, found another's. Choose again.")


def test_the_picture_holds_every_film_and_the_difference(barn: Barn) -> None:
    changed = one_change(barn)
    drawn = compare_chart_of(barn, changed.horse.id, changed.keys, today=TODAY, width=300)
    assert len(drawn["table"].rows) == 12 + 1
    films, difference = drawn["spec"]["vconcat"]
    assert len(films["layer"]) == 7
    (shade,) = drawn["spec"]["datasets"][difference["data"]["name"]]
    assert (shade["from"], shade["to"]) == (-2.0, 2.0)


def test_two_readings_files_are_compared_on_trust(tmp_path: Path) -> None:
    files = [tmp_path / "a.json", tmp_path / "b.json"]
    for file, phase in zip(files, (38.0, 28.0), strict=True):
        file.write_text(json.dumps({"schema": 1, **result_data(phase)}))
    told = compare_files(*files)
    assert told.phase is not None
    assert told.phase.difference == pytest.approx(-10, abs=0.5)
    assert not told.phase.noise.learned
    assert any("taken on trust" in each for each in told.warnings)
    assert told.before.name == "a.json"


def test_a_file_counts_as_the_kept_film_does(barn: Barn, tmp_path: Path) -> None:
    from evenfall.flow.reading_files import pass_of_file  # noqa: PLC0415

    clip = filmed(barn, horse(barn), days_ago=1)
    data = {"schema": 1, **result_data(31.0)}
    results.save(barn, clip.id, data, 0)
    (tmp_path / "x.json").write_text(json.dumps(data))
    (kept,) = passes_of(barn, horse_id=1)
    assert pass_of_file(tmp_path / "x.json", number=1).values == kept.values


def test_a_file_that_is_none_is_refused(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.json"
    for text in ("[]", "no", '{"schema": 2, "timing": {}}', '{"schema": 1}'):
        wrong.write_text(text)
        with pytest.raises(UnreadableInput, match="evenfall read --json"):
            compare_files(wrong, wrong)
