"""The feet of whole films: found where they can be, refused with a reason where not, stopped when asked."""

import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from evenfall.clip import Clip, open_clip
from evenfall.contacts import Event, Limb
from evenfall.contacts.film import INFERRED, SEEN_IN_FILM, FilmFeet, find_feet
from evenfall.contacts.film.bars import Bar
from evenfall.contacts.film.feet import LEAST_TOLD
from evenfall.contacts.film.pattern import PairPattern, Pattern
from evenfall.contacts.film.rides import contacts_of, follows, rides_of
from evenfall.contacts.film.seeing import Seen
from evenfall.errors import Cancelled
from tests.contacts.film import films
from tests.contacts.film.good_film import FPS, N, good_clip, good_ride, good_seen
from tests.making import even_ticks, write_film


def unchanged(path: Path) -> Path:
    """The same picture, seventy times."""
    return films.write_film(path, iter([films.texture(6)] * 70))


FILMS: dict[str, Callable[[Path], Path]] = {
    "empty": partial(films.empty_field, panned=False),
    "panned": partial(films.empty_field, panned=True),
    "people": films.people_walking,
    "behind": films.from_behind,
    "short": partial(films.drawn, duration_s=1.2),
    "unchanged": unchanged,
    "grass": films.in_high_grass,
}

REASONS = {
    "empty": "no horse was found",
    "panned": "no horse was found",
    "people": "taller than a horse from the side",
    "behind": "does not pass from side to side",
    "short": "the horse is in the picture for 1.2 s",
    "unchanged": "no horse was found",
    "grass": "the feet cannot be read in this film",
}


@pytest.fixture(scope="session")
def negative(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Each film in which no foot can be read, made when first asked for."""
    folder = tmp_path_factory.mktemp("negative")

    def made(name: str) -> Path:
        path = folder / f"{name}.mp4"
        return path if path.exists() else FILMS[name](path)

    return made


@pytest.mark.parametrize("name", FILMS)
def test_a_film_that_shows_no_horses_feet_is_refused_with_its_reason(
    name: str, negative: Callable[[str], Path]
) -> None:
    feet = find_feet(open_clip(negative(name)))
    assert REASONS[name] in feet.too_little
    assert "Film" in feet.too_little
    assert len(feet.contacts) == 0
    assert feet.facing is None


def test_the_same_ride_without_the_grass_is_read(tmp_path: Path) -> None:
    """So that it is the grass for which the other is refused; every foot, and which way it goes, is told."""
    feet = find_feet(open_clip(films.short_grass(tmp_path / "short-grass.mp4")))
    assert feet.too_little == ""
    assert feet.facing == "right"
    assert {mark.limb for mark in feet.measured} == set(Limb)


# feet from what was seen --------------------------------------------------------------------------------

STRIDE_S, STANCE_S, FORE_AFTER_S = 0.52, 0.25, 0.13
BAR = good_ride().stances[0].bars[0][1]


def made_bars(rng: np.random.Generator) -> Iterator[tuple[Limb, Bar]]:
    """A rack of a horse that goes right, its right feet treading seven pixels lower than its left."""
    for hind in (False, True):
        for number in range(22):
            on = 0.1 + number * STRIDE_S / 2 + (0 if hind else FORE_AFTER_S)
            right = number % 2 == 0
            point = np.array([300 + 10.0 * number, (300 if right else 293) + rng.normal(0, 0.5)])
            bar = replace(
                BAR,
                on_s=on,
                off_s=on + STANCE_S,
                start_s=on,
                end_s=on + STANCE_S,
                along=(-0.2, -0.3) if hind else (0.3, 0.2),
                point=point,
            )
            yield Limb(f"{'R' if right else 'L'}{'H' if hind else 'F'}"), bar


MADE = [(limb, replace(bar, at=0)) for limb, bar in made_bars(np.random.default_rng(1))]
TRUTH = {limb: [bar.on_s for foot, bar in MADE if foot is limb] for limb in Limb}
HINDS_LATER_S = 0.004
"""A hind comes in low, and lands so much later than it looks."""

LANDS = {limb: [time_s + HINDS_LATER_S * limb.is_hind for time_s in times] for limb, times in TRUTH.items()}


def feet_from(monkeypatch: pytest.MonkeyPatch, seen: Seen, clip: Clip | None = None, **way: Any) -> FilmFeet:
    monkeypatch.setattr("evenfall.contacts.film.feet.see_film", lambda *_args, **_kept: (seen,))
    return find_feet(clip or good_clip(), **way)


def landings(feet: FilmFeet, source: str = SEEN_IN_FILM) -> dict[Limb, list[float]]:
    marks = [mark for mark in feet.contacts if mark.event is Event.ON and mark.source == source]
    return {limb: [mark.time_s for mark in marks if mark.limb is limb] for limb in Limb}


def seen_with(bars: Sequence[Bar], **changes: Any) -> Seen:
    return good_seen(bars=tuple(bars), **changes)


ALL = [bar for _, bar in MADE]


def test_each_foot_is_given_its_own_bars(monkeypatch: pytest.MonkeyPatch) -> None:
    feet = feet_from(monkeypatch, seen_with(ALL))
    assert (feet.too_little, feet.facing) == ("", "right")
    for limb, truth in LANDS.items():
        assert landings(feet)[limb] == pytest.approx(truth)


def test_a_landing_no_bar_shows_is_inferred_and_less_sure(monkeypatch: pytest.MonkeyPatch) -> None:
    hidden = TRUTH[Limb.RF][4]
    feet = feet_from(monkeypatch, seen_with([bar for bar in ALL if bar.on_s != hidden]))
    (mark,) = [
        m
        for m in feet.contacts
        if m.limb is Limb.RF and abs(m.time_s - hidden) < 0.01 and m.event is Event.ON
    ]
    assert (mark.source, mark.sd_s >= 0.03) == (INFERRED, True)
    assert mark.confidence < min(m.confidence for m in feet.measured if 1 < m.time_s < 5)
    assert hidden not in [m.time_s for m in feet.measured]


def test_seen_in_a_mirror_left_is_right(monkeypatch: pytest.MonkeyPatch) -> None:
    mirrored = [replace(bar, point=np.array([640 - bar.point[0], bar.point[1]])) for bar in ALL]
    feet = feet_from(monkeypatch, seen_with(mirrored, advance=np.full(N, -1.8)))
    assert feet.facing == "left"
    for limb, truth in LANDS.items():
        assert landings(feet)[limb.across] == pytest.approx(truth)


def test_in_slow_motion_contacts_lie_on_the_clips_own_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    slow = replace(good_clip(30), timebase=good_clip(30).timebase.at_capture_rate(60))
    feet = feet_from(monkeypatch, seen_with(ALL), slow)
    assert landings(feet)[Limb.LH] == pytest.approx([2 * time_s for time_s in LANDS[Limb.LH]])


def test_what_is_measured_is_never_surer_than_a_picture_allows(monkeypatch: pytest.MonkeyPatch) -> None:
    feet = feet_from(monkeypatch, seen_with(ALL))
    assert min(mark.sd_s for mark in feet.contacts) >= 1 / FPS / np.sqrt(12) - 1e-12
    assert all(0.05 <= mark.confidence <= 0.99 and 0 < mark.time_s < N / FPS for mark in feet.contacts)


def test_what_is_less_sure_than_seven_in_ten_is_not_told(monkeypatch: pytest.MonkeyPatch) -> None:
    seen = seen_with(unsteadily(0.025))
    (ride,) = rides_of(seen)
    sure = [mark.confidence for mark in contacts_of(ride, seen, 1.0)]
    told = [mark.confidence for mark in feet_from(monkeypatch, seen).contacts]
    assert min(sure) < LEAST_TOLD <= min(told)
    assert len(told) == sum(one >= LEAST_TOLD for one in sure)


def test_what_falls_on_the_films_first_pictures_is_not_seen_to_happen(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """All bars but the moment itself lie where they did; two pictures later it is measured."""
    for first_s, measured in ((0.03, False), (0.07, True)):
        moved = [shifted(bar, first_s - LANDS[Limb.RH][0]) for bar in ALL]
        feet = feet_from(monkeypatch, seen_with(moved))
        at_the_start = [m.source for m in feet.contacts if m.time_s == pytest.approx(first_s, abs=1e-6)]
        assert at_the_start == [SEEN_IN_FILM if measured else INFERRED]


def shifted(bar: Bar, by_s: float) -> Bar:
    return replace(
        bar,
        on_s=bar.on_s + by_s,
        off_s=bar.off_s + by_s,
        start_s=bar.start_s + by_s,
        end_s=bar.end_s + by_s,
    )


def unsteadily(by_s: float = 0.06) -> list[Bar]:
    """Every landing and every lift-off off by its own, up to a tenth of a stride."""
    rng = np.random.default_rng(4)
    return [
        replace(bar, on_s=bar.on_s + rng.uniform(-by_s, by_s), off_s=bar.off_s + rng.uniform(-by_s, by_s))
        for bar in ALL
    ]


REFUSED = {
    "not seen clearly enough": seen_with(unsteadily()),
    "hardly a foot is seen to stand": seen_with([]),
    "near ones cannot be told": seen_with([replace(bar, point=np.array([320.0, 300.0])) for bar in ALL]),
    "which feet are the near ones": seen_with(
        [replace(bar, point=np.array([bar.point[0], 300 + 0.02 * (bar.point[1] - 300)])) for bar in ALL]
    ),
    "the horse is too small": seen_with(ALL, width=np.full(N, 70.0)),
    "do not follow one another": seen_with([bar for k, bar in enumerate(ALL) if k % 22 < 2]),
    "taller than a horse": seen_with(ALL, length=np.full(N, 0.5)),
    "does not pass from side to side": seen_with(ALL, advance=np.full(N, 0.05)),
    "no horse was found": seen_with([], seen=np.zeros(N, bool)),
    "in the picture for 0.8 s": seen_with([], times_s=np.arange(N) * 1e-3 * 0.8 / 0.36),
}


@pytest.mark.parametrize("reason", REFUSED)
def test_each_doubt_has_its_reason_and_gives_no_contact(reason: str, monkeypatch: pytest.MonkeyPatch) -> None:
    feet = feet_from(monkeypatch, REFUSED[reason])
    assert reason in feet.too_little
    assert (len(feet.contacts), feet.facing) == (0, None)


@pytest.mark.parametrize(("fps", "read"), [(10, True), (9, False)])
def test_under_ten_pictures_a_second_no_foot_is_told(
    fps: int, read: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As `evenfall check` has it: a quick stride has five of them then, and a stance two."""
    feet = feet_from(monkeypatch, seen_with(ALL), good_clip(fps))
    assert bool(feet.contacts) == read
    assert read or "9 pictures a second are too few" in feet.too_little


def test_there_and_back_are_two_rides_and_the_horse_faces_neither_way(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    way = np.where(np.arange(N) < N / 2, 1.8, -1.8)
    feet = feet_from(monkeypatch, seen_with(ALL, advance=way))
    assert [ride.heading for ride in feet.rides] == [1, -1]
    assert feet.facing is None


def test_the_horses_way_exchanges_left_and_right() -> None:
    going_right = good_ride()
    going_left = replace(going_right, heading=-1)
    for stance in going_right.stances:
        one, other = going_right.limb(stance), going_left.limb(stance)
        assert (one.is_hind, one.across) == (stance.hind, other)


def test_the_near_foot_of_a_horse_that_goes_right_is_a_right_foot() -> None:
    ride = good_ride()
    assert {ride.limb(stance) for stance in ride.stances if stance.number % 2 == 0} == {Limb.RF, Limb.RH}


# stopping -----------------------------------------------------------------------------------------------


class StopAt:
    """Stops the work at a call of its choice, and remembers when."""

    def __init__(self, call: int) -> None:
        self.call, self.shares, self.stopped_s = call, list[float](), 0.0

    def __call__(self, share: float, /) -> None:
        self.shares.append(share)
        if len(self.shares) == self.call:
            self.stopped_s = time.monotonic()
            raise Cancelled("stopped")


@pytest.mark.parametrize("call", [1, 20, 60])
def test_progress_may_stop_the_work_within_a_second_and_leaves_no_thread(
    call: int, negative: Callable[[str], Path]
) -> None:
    """The first two while the film is decoded, the third while its feet are sought."""
    clip, stop, before = open_clip(negative("short")), StopAt(call), threading.active_count()
    with pytest.raises(Cancelled, match="stopped"):
        find_feet(clip, progress=stop)
    assert time.monotonic() - stop.stopped_s < 1
    assert threading.active_count() == before
    assert len(stop.shares) == call


def test_progress_is_told_many_times_up_to_the_whole(negative: Callable[[str], Path]) -> None:
    told = StopAt(-1)
    find_feet(open_clip(negative("short")), progress=told)
    assert told.shares == sorted(told.shares)
    assert (len(told.shares) > 36, told.shares[-1]) == (True, 1.0)


def test_a_film_in_which_only_a_corner_flickers_is_read_without_a_slip(tmp_path: Path) -> None:
    film = write_film(tmp_path / "flicker.mp4", even_ticks(330, 60), size=(160, 90))
    assert find_feet(open_clip(film)).contacts.marks == ()


@pytest.mark.parametrize(("fps", "told"), [(60, 0.6), (30, 0.6), (20, 0.63), (15, 0.66), (12, 0.66)])
def test_where_pictures_are_far_apart_a_little_less_of_a_pattern_is_enough(fps: float, told: float) -> None:
    """Of the pair that follows it less."""
    pattern = Pattern(0.6, (PairPattern(0.8, 0.0, 0.7), PairPattern(0.6, 0.1, 0.7)))
    assert follows(pattern, fps) == pytest.approx(told)
