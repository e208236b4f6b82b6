"""Films to show as the pages tell them, on films that need not be read."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from evenfall.errors import NotFound, WrongSetting
from evenfall.flow import films_to_show
from evenfall.flow.forms import Form
from evenfall.store import Barn, clips, jobs, showings
from evenfall.store.records import ClipRecord
from evenfall.store.records_out import Showing
from evenfall.synth.numbered import even_ticks, write_numbered
from tests.flow.keeping import kept
from tests.flow.riding import filmed, horse
from tests.fresh import new_barn


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "barn") as opened:
        yield opened


@pytest.fixture
def clip(barn: Barn) -> ClipRecord:
    return filmed(barn, horse(barn, "Zoë's Überflieger"), days_ago=17)


def asked(barn: Barn, clip: ClipRecord, beside: int | None = None, **values: str) -> Showing:
    told = films_to_show.ask(barn, clip.id, values, beside=beside)
    assert isinstance(told, Showing)
    return told


def test_a_file_has_a_name_that_every_system_takes(barn: Barn, clip: ClipRecord) -> None:
    showing = asked(barn, clip, slow="2")
    path = clips.derived(barn, clip) / "showings" / f"{showing.id}.mp4"
    path.parent.mkdir()
    path.write_bytes(b"film")
    kept, name = films_to_show.file_of(barn, showing.id, "film.mp4")
    assert kept == path
    assert name == f"zoe-s-uberflieger-2026-05-03-2x-slower-{showing.id}.mp4"
    with pytest.raises(NotFound, match="expected a film to show that is made"):
        films_to_show.file_of(barn, showing.id, "ground.png")


def test_looking_at_it_again_and_again_asks_for_it_once(barn: Barn, clip: ClipRecord) -> None:
    showing = asked(barn, clip)
    states = {films_to_show.showing_page(barn, showing.id).state for _ in range(3)}
    assert states == {"waiting"}
    assert len(jobs.of_clip(barn, clip.id)) == 1


def test_two_of_one_film_are_told_apart(barn: Barn, clip: ClipRecord) -> None:
    quick, slow = asked(barn, clip, slow="1"), asked(barn, clip, slow="16")
    films_to_show.cancel(barn, quick.id)
    told = [films_to_show.showing_page(barn, each.id).state for each in (quick, slow)]
    assert told == ["cancelled", "waiting"]
    assert [each.says for each in films_to_show.of_horse(barn, 1)] == ["16 times slower", "as ridden"]


def test_one_whose_second_film_is_in_the_bin_is_listed_as_such_and_cannot_be_looked_at(
    barn: Barn, clip: ClipRecord
) -> None:
    other = filmed(barn, horse(barn, "Juniper"), days_ago=2)
    showing = asked(barn, clip, other.id)
    assert films_to_show.showing_page(barn, showing.id).title.endswith(" beside Juniper, 18 May 2026")
    clips.delete(barn, other.id)
    (listed,) = films_to_show.of_horse(barn, 1)
    assert listed.title == "two films, one of them in the bin"
    with pytest.raises(NotFound):
        films_to_show.showing_page(barn, showing.id)


def test_a_film_beside_itself_is_refused(barn: Barn, clip: ClipRecord) -> None:
    with pytest.raises(WrongSetting, match="expected two films to lay side by side, found one twice"):
        films_to_show.ask(barn, clip.id, {}, beside=clip.id)
    assert showings.of_clip(barn, clip.id) == ()


def test_the_caption_begins_with_the_horse_and_the_day(barn: Barn, clip: ClipRecord) -> None:
    page = films_to_show.ask_page(barn, clip.id)
    assert page.form.values["caption"] == "Zoë's Überflieger, 3 May 2026"
    assert "expected a film" in page.problem


def test_a_part_that_is_not_in_the_film_is_said_beside_its_field(barn: Barn, tmp_path: Path) -> None:
    """Not only once it could not be made."""
    film = kept(barn, write_numbered(tmp_path / "ride.mp4", even_ticks(90, 60)))
    told = films_to_show.ask(barn, film.id, {"start_s": "900"})
    assert isinstance(told, Form)
    assert told.errors["end_s"].startswith("Expected a part of the film, which runs from 0.00 to 1.50 s")
    assert (showings.of_clip(barn, film.id), jobs.of_clip(barn, film.id)) == ((), ())
    assert isinstance(films_to_show.ask(barn, film.id, {"start_s": "0.5"}), Showing)
