"""The cards' data file: every lever, every source tagged, nothing that must never be advised."""

import re
from pathlib import Path

import pytest

from evenfall.errors import WrongSetting
from evenfall.plan import NO_SOURCE, PROBLEMS, Card, cards, checklist, gates, named_card, starter_steps
from evenfall.plan.cards import FAMILIES, SEEN
from evenfall.progress.speeds import like_speed
from tests.plan.standing import TODAY, shod

LEVERS = {
    "weight", "toe weight", "toe length", "angle", "traction", "ground", "slope", "head", "seat", "speed", "canter",
    "circles", "order of steps",
}  # fmt: skip

NEVER = re.compile(
    r"\b(pad|pads|padded|padding|wedge\w*|chain\w*|roller\w*|tie[- ]?down\w*|martingale\w*|over-?check\w*|draw reins?|"
    r"side reins?|soring|sored|chemical\w*|caustic\w*|substance\w*|drug\w*|medicine\w*|painful|pain|hurt\w*|whip\w*|"
    r"spur|spurs|action device\w*)\b",
    re.IGNORECASE,
)


def words_of(card: Card) -> str:
    said = [each.says for each in (*card.sources_for, *card.sources_against, *card.measured)]
    return " ".join([card.title, card.does, card.limits, card.welfare, *said])


def test_every_lever_of_the_trade_has_a_card() -> None:
    assert {card.lever for card in cards()} == LEVERS


@pytest.mark.parametrize("card", cards(), ids=lambda card: card.key)
def test_every_card_is_whole(card: Card) -> None:
    assert all((card.title, card.does, card.limits, card.welfare))
    assert card.family in FAMILIES
    assert set(card.for_problem) <= set(PROBLEMS)
    assert card.for_problem
    assert card.reversible in (1, 2, 3, 4)
    said = (*card.sources_for, *card.sources_against, *card.measured)
    assert all(each.says and each.source and each.seen in SEEN for each in said)


@pytest.mark.parametrize("card", cards(), ids=lambda card: card.key)
def test_a_card_that_nobody_is_for_says_so(card: Card) -> None:
    assert (card.given_by == NO_SOURCE) == (not card.sources_for)


@pytest.mark.parametrize("card", cards(), ids=lambda card: card.key)
def test_no_card_speaks_of_what_must_never_be_suggested(card: Card) -> None:
    assert not NEVER.search(words_of(card))


def test_neither_do_steps_nor_gates() -> None:
    steps = " ".join(step.title for step in starter_steps(shod(toe_plate=True)))
    assert not NEVER.search(steps + gates([], today=TODAY).says)


@pytest.mark.parametrize("word", ["stacked pads", "a chain", "tie-down", "a substance", "pain", "wedges"])
def test_the_search_would_find_them(word: str) -> None:
    assert NEVER.search(f"Try {word} on the fronts.")


def test_only_toe_length_and_angle_are_contradictory() -> None:
    """Kimmel and Waldern against Moore and Weishaupt; Clayton 1990 against Moore."""
    torn = [card for card in cards() if card.contradictory]
    assert {card.lever for card in torn} == {"toe length", "angle"}
    assert all(card.sources_for and card.sources_against for card in torn)


def test_what_adds_weight_asks_more_and_what_takes_it_off_does_not() -> None:
    asks = {card.key: card.asks_more for card in cards()}
    assert all(asks[key] for key in ("heavier_hinds", "heavier_fronts", "toe_weight_hinds", "head_lower"))
    assert not any(asks[key] for key in ("lighter_hinds", "lighter_fronts", "slower", "rest"))


@pytest.mark.parametrize(
    ("key", "number", "source"),
    [
        ("slower", "60 %", "Zips 2001"),
        ("heavier_fronts", "240 g", "Waldern 2014"),
        ("lighter_fronts", "17 mm", "Rumpler 2010"),
        ("heavier_hinds", "55 g", "Clayton 2008"),
        ("toe_length", "13 to 19 %", "Weishaupt 2014"),
        ("angle", "10°", "Clayton 1990"),
    ],
)
def test_measured_evidence_names_what_was_read(key: str, number: str, source: str) -> None:
    (measured,) = [each for each in named_card(key).measured if number in each.says and each.source == source]
    assert measured.seen == "abstract"


def test_the_arithmetic_of_speed_against_boots_holds() -> None:
    """17 and 31 mm of 57 mm per m/s (Rumpler 2010, abstract; derived)."""
    said = words_of(named_card("heavier_fronts"))
    assert f"{like_speed(0.017):.2f} and {like_speed(0.031):.2f} m/s of speed" in said


def test_a_card_that_does_not_exist_is_refused() -> None:
    with pytest.raises(WrongSetting, match="there is no rule card 'magic'"):
        named_card("magic")


def test_the_checklist_is_kept_apart_from_advice() -> None:
    assert not {sign.key for sign in checklist()} & {card.key for card in cards()}


PAGE = (Path(__file__).parents[2] / "docs/methods/rule-cards.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("card", cards(), ids=lambda card: card.key)
def test_every_card_and_its_sources_are_on_the_page(card: Card) -> None:
    (row,) = [line for line in PAGE.splitlines() if line.startswith(f"| {card.title} ")]
    for each in (*card.sources_for, *card.sources_against, *card.measured):
        assert f"{each.source} ({each.seen})" in row
    assert ("never advised" in row) == card.contradictory
    assert (NO_SOURCE in row) == (not card.sources_for)
