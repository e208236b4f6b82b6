"""A film looked at once where that is sure, and a second time, for what is bright or narrow, where it is not."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from evenfall.clip import Clip, open_clip
from evenfall.contacts import Limb
from evenfall.contacts.film import FilmFeet, feet, find_feet, looks, seeing, windows
from evenfall.contacts.film.bars import Bar
from evenfall.contacts.film.closer import Closer
from evenfall.contacts.film.looks import see_film
from evenfall.contacts.film.rides import UNTOLD, judged, rides_of
from evenfall.contacts.film.seeing import Seen
from evenfall.contacts.film.stances import Stance
from evenfall.contacts.film.two_looks import SAME_MOMENT_S, surest
from tests.contacts.film import films
from tests.contacts.film.good_film import good_clip
from tests.contacts.film.test_feet import (
    ALL,
    FORE_AFTER_S,
    LANDS,
    landings,
    seen_with,
    shifted,
    unsteadily,
)

SURE, PALE = seen_with(ALL), seen_with(ALL, pale=True)
DOUBTFUL = seen_with(unsteadily(0.02))
UNREAD = seen_with(unsteadily())
TINY = seen_with(unsteadily(), width=np.full(len(SURE.times_s), 70.0))
NOTHING_SEEN = seen_with([], pale=True)


class Looks:
    """Shows the first look, and the second if it is asked for."""

    def __init__(self, first: Seen, second: Seen) -> None:
        self.first, self.second, self.asked = first, second, False

    def __call__(self, _clip: Clip, *, again: Callable[[Seen], bool], **_kept: object) -> tuple[Seen, ...]:
        self.asked = again(self.first)
        return (self.first, self.second) if self.asked else (self.first,)


def looked(
    monkeypatch: pytest.MonkeyPatch, first: Seen, second: Seen, fps: float = 60
) -> tuple[FilmFeet, bool]:
    looks = Looks(first, second)
    monkeypatch.setattr(feet, "see_film", looks)
    return find_feet(good_clip(fps)), looks.asked


@pytest.mark.parametrize(
    ("first", "asked"),
    [(SURE, False), (DOUBTFUL, True), (UNREAD, True), (TINY, False)],
    ids=["sure", "doubtful", "not read", "too small"],
)
def test_only_what_is_doubtful_and_not_past_help_is_looked_at_again(
    first: Seen, asked: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert looked(monkeypatch, first, PALE)[1] is asked


def test_a_film_too_slow_to_be_read_is_not_looked_at_again(monkeypatch: pytest.MonkeyPatch) -> None:
    assert looked(monkeypatch, UNREAD, PALE, fps=9)[1] is False


@pytest.mark.parametrize("first", [DOUBTFUL, UNREAD], ids=["doubtful", "not read"])
def test_the_surer_second_look_is_believed(first: Seen, monkeypatch: pytest.MonkeyPatch) -> None:
    """All its landings are told, none moved by the first look further than halfway to what still counts as the same."""
    found, _ = looked(monkeypatch, first, PALE)
    (alone,) = rides_of(PALE)
    assert found.seen is PALE
    assert (found.rides[0].sides, found.rides[0].sureness) == (alone.sides, alone.sureness)
    for limb in Limb:
        told = [stance.on.time_s for stance in alone.stances if stance.bars and alone.limb(stance) is limb]
        assert landings(found)[limb] == pytest.approx(told, abs=SAME_MOMENT_S / 2)


@pytest.mark.parametrize("apart_s", [0.02, -0.02, 0.03, -0.03])
def test_what_both_looks_date_alike_is_put_halfway_between_them(apart_s: float) -> None:
    """Not what is too far apart, nor what either look only parted from another foot."""
    (narrow,), (first,) = rides_of(PALE), rides_of(SURE)
    other = replace(first, sureness=0.5, stances=tuple(dated(s, apart_s) for s in narrow.stances))
    seen, (ride,) = surest([(SURE, (other,)), (PALE, (narrow,))])
    assert seen is PALE
    moved = {
        (was.hind, was.number): after.on.time_s - was.on.time_s
        for after, was in zip(ride.stances, narrow.stances, strict=True)
        if was.bars
    }
    met_s = apart_s / 2 if abs(apart_s) < SAME_MOMENT_S else 0.0
    assert len(moved) > 40
    assert moved == pytest.approx({key: 0.0 if key[1] % 2 else met_s for key in moved})


def dated(stance: Stance, apart_s: float) -> Stance:
    """The stance as it lands so much later, every second one only parted."""
    return replace(
        stance, on=replace(stance.on, time_s=stance.on.time_s + apart_s, rough=stance.number % 2 == 1)
    )


def test_the_first_look_is_dated_by_itself_where_it_is_the_surer() -> None:
    (plain,), (narrow,) = rides_of(SURE), rides_of(PALE)
    seen, (ride,) = surest([(SURE, (plain,)), (PALE, (replace(narrow, sureness=0.5),))])
    assert (seen is SURE, ride is plain) == (True, True)


@pytest.mark.parametrize(
    "second", [NOTHING_SEEN, seen_with(unsteadily(), pale=True)], ids=["nothing", "unread"]
)
def test_the_first_look_stands_where_the_second_shows_less(
    second: Seen, monkeypatch: pytest.MonkeyPatch
) -> None:
    found, asked = looked(monkeypatch, DOUBTFUL, second)
    (alone,) = rides_of(DOUBTFUL)
    assert (asked, found.seen is DOUBTFUL) == (True, True)
    assert found.rides[0].sureness == alone.sureness
    assert found.contacts


def test_a_look_for_the_narrow_does_not_tell_a_pace_and_tells_a_rack() -> None:
    """In a pace a fore leaves as the other side's hind lands, and two hooves are as wide as shade."""
    paced = [bar if bar.is_hind else shifted(bar, -FORE_AFTER_S) for bar in ALL]
    reasons = {
        name: [ride.refused for ride in rides_of(seen_with(bars, pale=pale))]
        for name, bars, pale in (
            ("pace", paced, False),
            ("narrow pace", paced, True),
            ("narrow rack", ALL, True),
        )
    }
    assert reasons["pace"] == reasons["narrow rack"] == [""]
    assert ["side by side" in reason for reason in reasons["narrow pace"]] == [True]


def test_a_pace_whose_times_that_look_has_wrong_is_not_told_either() -> None:
    """Where two hooves stand as one the fore seems to leave early and the hind to land late: no longer at one moment."""
    wrong = [
        replace(bar, on_s=bar.on_s + 0.04, start_s=bar.on_s + 0.04)
        if bar.is_hind
        else replace(shifted(bar, -FORE_AFTER_S), off_s=bar.off_s - FORE_AFTER_S - 0.07)
        for bar in ALL
    ]
    (told,) = rides_of(seen_with(wrong, pale=True))
    assert "side by side" in told.refused


@pytest.fixture(scope="module")
def ride(tmp_path_factory: pytest.TempPathFactory) -> Clip:
    return open_clip(films.drawn(tmp_path_factory.mktemp("looks") / "ride.mp4", duration_s=1.2))


@pytest.mark.parametrize(("whole", "decoded"), [(620, 1), (10, 2)], ids=["one window", "several"])
def test_the_second_look_is_at_the_same_pictures_and_a_short_film_is_decoded_once(
    whole: int, decoded: int, ride: Clip, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(windows, "WHOLE_PICTURES", whole)
    monkeypatch.setattr(windows, "MOST_PICTURES", 20)
    monkeypatch.setattr(seeing, "has_white_legs", lambda *_: False)
    turns, shares, made = list[Path](), list[float](), windows.windows

    def counted(clip: Clip, *rest: object) -> object:
        turns.append(clip.path)
        return made(clip, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(looks, "windows", counted)
    first, second = see_film(ride, again=lambda _: True, progress=shares.append)
    assert len(turns) == decoded
    assert (first.pale, second.pale) == (False, True)
    assert first.times_s == pytest.approx(ride.timebase.times_s)
    assert second.times_s == pytest.approx(first.times_s)
    assert second.middle == pytest.approx(first.middle)
    assert (second.strip != first.strip).any()
    assert shares == sorted(shares)
    assert shares[-1] == 1.0


def test_feet_left_to_a_closer_look_that_is_not_to_be_had_are_looked_for_after_all(
    ride: Clip, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A window's horse alone is small, and with all windows' rows there is no room for larger pictures."""
    (plain,) = see_film(ride)
    answers = iter([Closer(1920, slice(0, 500), (3.0, 3.0)), None])
    monkeypatch.setattr(looks, "closer_look", lambda *_: next(answers))
    (seen,) = see_film(ride)
    assert next(answers, "none left") == "none left"
    assert len(seen.bars) > 4
    assert np.array([bar.point for bar in seen.bars]) == pytest.approx(
        np.array([bar.point for bar in plain.bars])
    )


def paced(bars: list[Bar], *, heights: float) -> list[Bar]:
    """The rack's bars as a pace's, with so much of the heights that tell near from far."""
    level = [
        replace(bar, point=np.array([bar.point[0], 297 + heights * (bar.point[1] - 297)])) for bar in bars
    ]
    return [bar if bar.is_hind else shifted(bar, -FORE_AFTER_S) for bar in level]


FAINTLY = 0.09
"""Two tracks are shown, and not clearly enough to be told."""


PICTURES = np.arange(len(SURE.times_s))
LATER = {
    "alike": {},
    "all otherwise": {"seen": PICTURES >= 9},
    "hinds otherwise": {"middle": np.where(PICTURES < 9, 0.0, 320.0)},
}
"""How the second look differs: horse seen later, or its hind feet; their stances then have other numbers."""


@pytest.mark.parametrize("numbered", LATER)
def test_a_pace_seen_well_is_read_with_near_and_far_from_the_look_that_tells_them(
    numbered: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """That look's own times are not believed."""
    plain = seen_with(paced(ALL, heights=FAINTLY))
    narrow = seen_with(paced(ALL, heights=1), pale=True, **LATER[numbered])
    found, _ = looked(monkeypatch, plain, narrow)
    assert "near" in rides_of(plain)[0].refused
    assert "side by side" in rides_of(narrow)[0].refused
    assert (found.too_little, found.seen is plain) == ("", True)
    for limb in Limb:
        before = 0.0 if limb.is_hind else FORE_AFTER_S
        assert landings(found)[limb] == pytest.approx([time_s - before for time_s in LANDS[limb]], abs=0.005)


def test_a_narrow_look_must_be_surer_which_feet_are_near() -> None:
    told = {}
    for seen in (SURE, PALE):
        (ride,) = rides_of(seen)
        assert ride.sides is not None
        for sureness in (3.4, 3.6):
            doubtful = replace(ride, sides=replace(ride.sides, sureness=sureness), refused="")
            told[seen.pale, sureness] = judged(doubtful, seen).refused != UNTOLD
    assert told == {(False, 3.4): True, (False, 3.6): True, (True, 3.4): False, (True, 3.6): True}


@pytest.mark.parametrize(("sureness", "lent"), [(3.4, False), (3.6, True)])
def test_near_feet_are_lent_by_a_look_that_is_sure_of_them(sureness: float, lent: bool) -> None:
    """By itself: the other seems to have it the other way."""
    plain, narrow = seen_with(paced(ALL, heights=FAINTLY)), seen_with(paced(ALL, heights=1), pale=True)
    (untold,), (telling,) = rides_of(plain), rides_of(narrow)
    assert telling.sides is not None
    assert untold.sides is not None
    untold = replace(untold, sides=replace(untold.sides, near_parity=1 - untold.sides.near_parity))
    telling = replace(telling, sides=replace(telling.sides, sureness=sureness))
    _, (ride,) = surest([(plain, (untold,)), (narrow, (telling,))])
    assert (untold.refused, ride.refused == "") == (UNTOLD, lent)


def test_a_look_that_tells_no_sides_lends_none(monkeypatch: pytest.MonkeyPatch) -> None:
    plain = seen_with(paced(ALL, heights=FAINTLY))
    found, _ = looked(monkeypatch, plain, seen_with(paced(ALL, heights=FAINTLY), pale=True))
    assert "near" in found.too_little


@pytest.mark.parametrize(
    ("plain_sureness", "narrow_sureness", "same", "lent"),
    [(1.5, 2.2, True, True), (1.0, 2.2, True, False), (1.5, 2.2, False, False), (1.5, 3.6, False, True)],
    ids=["together sure", "not even together", "different", "different, the narrow one sure"],
)
def test_two_looks_that_say_the_same_are_surer_together(
    plain_sureness: float, narrow_sureness: float, same: bool, lent: bool
) -> None:
    plain, narrow = (seen_with(paced(ALL, heights=1), pale=pale) for pale in (False, True))
    (untold,), (telling,) = rides_of(plain), rides_of(narrow)
    assert untold.sides is not None
    assert telling.sides is not None
    near = untold.sides.near_parity if same else 1 - untold.sides.near_parity
    untold = replace(
        untold,
        refused=UNTOLD,
        sureness=0.0,
        sides=replace(untold.sides, near_parity=near, sureness=plain_sureness),
    )
    telling = replace(telling, sides=replace(telling.sides, sureness=narrow_sureness))
    _, (ride,) = surest([(plain, (untold,)), (narrow, (telling,))])
    assert (ride.refused == "") is lent
    if lent and same:
        assert ride.sides is not None
        assert ride.sides.sureness == pytest.approx(np.hypot(plain_sureness, narrow_sureness))


@pytest.mark.parametrize("surer", ["plain", "narrow"])
def test_where_two_looks_tell_the_near_feet_and_differ_neither_is_believed(surer: str) -> None:
    (plain,), (narrow,) = rides_of(SURE), rides_of(PALE)
    assert plain.sides is not None
    exchanged = replace(plain, sides=replace(plain.sides, near_parity=1 - plain.sides.near_parity))
    less = replace(exchanged, sureness=0.95), narrow
    if surer == "plain":
        less = exchanged, replace(narrow, sureness=0.95)
    _, (ride,) = surest([(SURE, (less[0],)), (PALE, (less[1],))])
    assert (ride.refused, ride.sureness) == (UNTOLD, 0.0)


@pytest.mark.parametrize(("gap", "told"), [(0.04, True), (0.05, False)])
def test_tracks_further_apart_than_hooves_are_high_are_not_believed_of_a_narrow_look(
    gap: float, told: bool
) -> None:
    """A white sock's lower end may have been taken for the sole of a hoof lost in the shade."""
    for seen, believed in ((SURE, True), (PALE, told)):
        (ride,) = rides_of(seen)
        assert ride.sides is not None
        wide = replace(ride, sides=replace(ride.sides, gap=gap), refused="")
        assert (judged(wide, seen).refused != UNTOLD) is believed


@pytest.mark.parametrize(("heights", "lent"), [(FAINTLY, True), (0.0, False)])
def test_a_look_that_shows_no_two_tracks_at_all_is_lent_none(heights: float, lent: bool) -> None:
    """It shows the edge of a shade, and dates that."""
    plain, narrow = seen_with(paced(ALL, heights=heights)), seen_with(paced(ALL, heights=1), pale=True)
    _, (ride,) = surest([(plain, rides_of(plain)), (narrow, rides_of(narrow))])
    assert (ride.refused == "") is lent
