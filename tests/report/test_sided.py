"""Left and right, or near and off, in words, tables and charts."""

import pytest

from evenfall.report.sided import sided, sided_chart, sided_codes, sided_table
from evenfall.report.tables import Table


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("gap LH-LF", "gap NH-NF"),
        ("Left − right, hind step", "Near − off, hind step"),
        ("L\u00a0left, R\u00a0right; ▲\u00a0fore", "N\u00a0near, O\u00a0off; ▲\u00a0fore"),
        ("HALF, LFO and RIGHTLY", "HALF, LFO and RIGHTLY"),
    ],
)
def test_words_of_the_horses_sides_are_changed_and_no_others(words: str, said: str) -> None:
    assert sided(words, "near-off") == said
    assert sided(words, "left-right") == words


def test_a_sentence_keeps_its_left_and_right_where_they_may_be_the_pictures() -> None:
    assert sided_codes("RF was left out", "near-off") == "OF was left out"


def test_a_table_is_changed_in_head_and_cells() -> None:
    told = sided_table(Table(("day", "left"), (("left fore", "1"),)), "near-off")
    assert told == Table(("day", "near"), (("near fore", "1"),))


def test_a_chart_keeps_its_addresses_and_directions() -> None:
    spec = {
        "url": "data:LF+left",
        "align": "left",
        "scale": {"domain": ["LF"]},
        "title": ["the left fore", "LF"],
    }
    assert sided_chart(spec, "near-off") == {
        "url": "data:LF+left", "align": "left", "scale": {"domain": ["NF"]}, "title": ["the near fore", "NF"],
    }  # fmt: skip
    assert sided_chart(spec, "left-right") is spec
