import pytest

from evenfall.report.study import Collector, Summary, summary_data
from evenfall.report.study.collecting import EVERY, LISTED
from evenfall.report.study.words import lines_on_terminal, say_unit
from tests.report.study.made_up import collected, read_film


def summary_of(*films: tuple[str, float, str]) -> Summary:
    collector = Collector()
    for number, (group, phase, horse) in enumerate(films):
        collector.add(read_film(f"{number}.mp4", group, phase, horse))
    return collector.summary()


def test_where_horses_are_named_the_mean_of_each_is_one_value() -> None:
    summary = summary_of(("a", 20, "Juno"), ("a", 22, "Juno"), ("a", 24, "Juno"), ("a", 40, "Rob"))
    phase = summary.measures[0].groups[0]
    assert summary.unit == "horse"
    assert phase.values.tolist() == [22.0, 40.0]
    assert phase.films == 4
    assert phase.spread is not None
    assert phase.spread.median == 31.0  # of films it would be 23


def test_where_none_is_named_each_film_is_one_value_and_it_is_said() -> None:
    summary = summary_of(("a", 20, ""), ("a", 22, ""), ("a", 40, ""))
    assert summary.unit == "film"
    assert summary.measures[0].groups[0].values.tolist() == [20.0, 22.0, 40.0]
    assert "the intervals here are too narrow" in " ".join(say_unit(summary))


def test_films_without_a_horse_stand_aside_and_horses_in_two_groups_are_told() -> None:
    summary = summary_of(("a", 20, "Juno"), ("b", 30, "Juno"), ("b", 50, ""))
    assert (summary.horseless, summary.shared_horses) == (1, 1)
    assert summary.measures[0].groups[1].values.tolist() == [30.0]
    words = " ".join(say_unit(summary))
    assert "1 film whose horse was not named stands aside." in words
    assert "1 horse is in more than one group" in words


def test_one_horse_in_two_groups_is_one_value_of_all_groups() -> None:
    every = summary_of(("a", 20, "Juno"), ("b", 30, "Juno"), ("b", 40, "Rob")).measures[0].groups[-1]
    assert every.group == EVERY
    assert every.values.tolist() == [25.0, 40.0]


def test_reasons_are_counted_by_group_whatever_figures_stand_in_them() -> None:
    summary = collected(horses=False).summary()
    cut = next(each for each in summary.reasons if each.code == "unreadable_clip")
    assert cut.words == "the film is cut off: its index promises … pictures."
    assert cut.films["flat shod"] == 1  # the 6th; the 23rd was refused
    assert cut.total == sum(group.failed for group in summary.groups)
    (locked,) = [each for each in summary.reasons if each.other]
    assert (locked.code, locked.films, locked.total) == ("unreadable_folder", {}, 1)


def test_every_film_is_counted_once() -> None:
    summary = collected(horses=True).summary()
    for group in summary.groups:
        assert group.films == group.read + group.refused + group.failed
    assert summary.films == 136
    assert [group.name for group in summary.groups][-1] == ""


def test_only_so_many_failures_are_named_however_many_there_are() -> None:
    summary = collected(horses=False, n=20).summary()
    assert len(summary.failures) == LISTED
    assert sum(each.total for each in summary.reasons) > LISTED


def test_the_object_holds_what_the_summary_holds() -> None:
    summary = collected(horses=True).summary()
    data = summary_data(summary)
    assert data["films"] == data["read"] + data["refused"] + data["failed"]
    phase = data["measures"]["lateral_phase_pct"]
    assert [each["group"] for each in phase] == [*(group.name or None for group in summary.groups), EVERY]
    assert phase[1]["median_ci95"][0] <= phase[1]["median"] <= phase[1]["median_ci95"][1]
    assert data["measures"]["left_right_lateral_phase_pct"][0] == {
        "group": summary.groups[0].name, "unknown": "measured in no film of it",
    }  # fmt: skip


def test_the_fores_are_the_mean_of_both() -> None:
    fores = next(each for each in summary_of(("a", 20, "")).measures if each.measure.key == "duty_fores_pct")
    assert fores.groups[0].values.tolist() == [pytest.approx(55.0)]


def test_the_terminal_says_it_in_a_few_lines() -> None:
    first, *groups, last = lines_on_terminal(summary_of(("a", 20, ""), ("b", 30, "")))
    assert (
        first == "2 films: 2 (100\u00a0%) read, 0 (0\u00a0%) with too little evidence, 0 (0\u00a0%) failed."
    )
    assert [line.split(",")[0] for line in groups] == ["a: lateral phase", "b: lateral phase"]
    assert last.startswith("Each film is one value.")
