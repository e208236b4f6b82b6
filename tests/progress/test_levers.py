"""Outings turned into columns: only what moves within a horse."""

from math import exp
from typing import Any

import numpy as np
import pytest

from evenfall.progress.levers import Row, columns_of
from tests.progress.making import START


def rows(**values: list[Any]) -> list[Row]:
    """Rows of one horse, field by field."""
    count = len(next(iter(values.values())))
    fields = [{name: column[i] for name, column in values.items()} for i in range(count)]
    return [Row(horse_id=1, phase_pct=30.0, **each) for each in fields]


def test_columns_are_about_the_horses_own_mean_in_units_of_the_lever() -> None:
    (column,) = columns_of(rows(hind_minus_front_kg=[0.1, 0.1, 0.3, 0.3]))
    assert column.lever.name == "hind minus front"
    assert column.centred == pytest.approx([-1, -1, 1, 1])
    assert column.horses == {1: 1}
    assert column.ranges == {1: (0.1, 0.3)}


def test_what_differs_only_between_horses_has_no_column() -> None:
    """Heavy shoes are worn by trotty horses; to compare the horses would turn cause and effect round."""
    heavy = [Row(1, 40.0, hind_minus_front_kg=0.3)] * 3
    light = [Row(2, 25.0, hind_minus_front_kg=0.0)] * 3
    assert columns_of([*heavy, *light]) == ()


def test_kinds_are_held_against_the_barns_commonest() -> None:
    columns = columns_of(rows(ground=["sand", "sand", "grass", "", "sand"]))
    assert [(each.lever.name, each.lever.per) for each in columns] == [("ground: grass", "instead of sand")]
    assert columns[0].centred == pytest.approx([-0.25, -0.25, 0.75, 0.0, -0.25])


def test_what_is_not_known_teaches_nothing() -> None:
    (column,) = columns_of(rows(speed=[3.0, None, 4.0]))
    assert column.centred == pytest.approx([-0.5, 0.0, 0.5])


def test_a_fresh_setup_fades_with_the_days() -> None:
    (column,) = columns_of(rows(days_on_setup=[0.0, 7.0, 700.0]))
    expected = np.array([1.0, exp(-1), 0.0])
    assert column.centred == pytest.approx(expected - expected.mean())


def test_changes_are_counted_from_where_the_lever_last_stood() -> None:
    (column,) = columns_of(rows(hind_minus_front_kg=[0.1, 0.105, 0.2, 0.2, 0.1, None, 0.1]))
    assert column.horses == {1: 2}


def test_training_time_runs_from_the_horses_first_outing() -> None:
    (column,) = columns_of(rows(on_date=[START, START.replace(day=31)]))
    assert column.ranges == {1: (0.0, 30.0)}
