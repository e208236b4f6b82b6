"""What is taken in, what is refused, and where it belongs."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.errors import ClipError, NotFound, WrongSetting
from evenfall.flow import intake
from evenfall.store import Barn, clips, horses, outings, taking_in, uploads
from evenfall.store.records import HorseFields
from tests.fresh import new_barn
from tests.making import even_ticks, write_film


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "home") as opened:
        yield opened


def arriving(size: int, horse: int | None = None, *, key: str = "k") -> intake.Arriving:
    return intake.Arriving(key, "r.mp4", size, horse)


@given(st.text(max_size=400))
def test_a_plain_name_is_never_a_path(name: str) -> None:
    plain = intake.plain_name(name)
    assert plain
    assert plain not in (".", "..")
    assert not set(plain) & set("/\\\0\n\r\x1b")
    assert len(plain) <= 200


def test_a_film_belongs_to_the_horses_outing_of_today(barn: Barn, tmp_path: Path) -> None:
    horse = horses.add(barn, HorseFields(name="Juniper"))
    for key, pictures in (("a", 10), ("b", 11)):
        bytes_ = write_film(tmp_path / f"{key}.mp4", even_ticks(pictures)).read_bytes()
        upload = intake.begin(barn, arriving(len(bytes_), horse.id, key=key))
        uploads.append(barn, upload.id, 0, bytes_)
        intake.finish(barn, upload.id)
    (outing,) = outings.every(barn)
    assert len(clips.of_outing(barn, outing.id)) == 2


@pytest.mark.parametrize("size", [0, -5, intake.LARGEST + 1])
def test_a_size_that_makes_no_sense_is_refused(barn: Barn, size: int) -> None:
    with pytest.raises(WrongSetting, match="expected a film of 1 byte to 4 GB"):
        intake.begin(barn, arriving(size, 1))


def test_a_film_that_belongs_to_nothing_is_refused(barn: Barn) -> None:
    with pytest.raises(WrongSetting, match="found neither"):
        intake.begin(barn, arriving(9))
    with pytest.raises(NotFound):
        intake.begin(barn, arriving(9, 77))


def test_what_is_no_film_is_thrown_away(barn: Barn) -> None:
    horse = horses.add(barn, HorseFields(name="Juniper"))
    upload = intake.begin(barn, arriving(4, horse.id))
    uploads.append(barn, upload.id, 0, b"text")
    with pytest.raises(ClipError, match=r"^r\.mp4: expected a film, found text"):
        intake.finish(barn, upload.id)
    assert list((barn.home / "incoming").iterdir()) == []
    assert uploads.get(barn, upload.id).state == "cancelled"


def test_a_film_cannot_be_finished_before_it_is_here(barn: Barn) -> None:
    horse = horses.add(barn, HorseFields(name="Juniper"))
    upload = intake.begin(barn, arriving(4, horse.id))
    with pytest.raises(WrongSetting, match="expected 4 bytes, found 0 so far"):
        intake.finish(barn, upload.id)


def test_the_same_film_sent_to_another_outing_goes_there(barn: Barn) -> None:
    """A film begun for the wrong horse does not take the next one with it."""
    horse = horses.add(barn, HorseFields(name="Juniper"))
    days = [intake.outing_for(barn, horse.id, "", date(2026, 5, day)).id for day in (3, 4)]
    sent = [
        intake.begin(barn, intake.Arriving("k", "r.mp4", 9, outing=outing)) for outing in (*days, days[0])
    ]
    assert [upload.outing_id for upload in sent] == [*days, days[0]]
    assert sent[0].id == sent[2].id != sent[1].id


def test_a_film_nobody_went_on_with_makes_room(barn: Barn) -> None:
    horse = horses.add(barn, HorseFields(name="Juniper"))
    upload = intake.begin(barn, arriving(4, horse.id))
    uploads.append(barn, upload.id, 0, b"te")
    begun = (barn.home / "incoming" / f"{upload.id}.part").stat().st_mtime
    offsets = []
    for days in (13, 15):
        intake.drop_abandoned(barn, now=begun + days * 24 * 3600)
        offsets.append(intake.begin(barn, arriving(4, horse.id)).offset)
    assert offsets == [2, 0]


def test_a_new_horse_is_made_with_its_outing(barn: Barn) -> None:
    outing = intake.outing_for(barn, None, " Biscuit ", date(2026, 5, 3))
    assert (horses.get(barn, outing.horse_id).name, outing.on_date) == ("Biscuit", date(2026, 5, 3))
    assert intake.recent_outings(barn) == (intake.OutingName(outing.id, "Biscuit", date(2026, 5, 3)),)


def test_a_film_finished_twice_at_once_is_kept_and_not_refused(
    barn: Barn, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first finish takes the file away while the second looks at it."""
    bytes_ = write_film(tmp_path / "a.mp4", even_ticks(10)).read_bytes()
    upload = intake.begin(barn, arriving(len(bytes_), horses.add(barn, HorseFields(name="Juniper")).id))
    uploads.append(barn, upload.id, 0, bytes_)
    look = intake.check_film_opens

    def late(path: Path, name: str) -> None:
        uploads.finish(barn, upload.id)
        look(path, name)

    monkeypatch.setattr(intake, "check_film_opens", late)
    clip, _ = intake.finish(barn, upload.id)
    assert clips.get(barn, clip.id) == clip


def test_a_film_that_broke_off_is_listed_until_it_goes_on_or_is_thrown_away(barn: Barn) -> None:
    outing = intake.outing_for(barn, None, "Juniper", date(2026, 5, 1))
    film = intake.Arriving("k", "ride.mp4", 9_000_000, outing=outing.id)
    upload = intake.begin(barn, film)
    assert intake.broken_off(barn, now=0) == ()
    uploads.append(barn, upload.id, 0, b"x" * 3_000_000)
    came = (barn.home / "incoming" / f"{upload.id}.part").stat().st_mtime
    (broken,) = intake.broken_off(barn, now=came + 7200)
    assert (broken.name, broken.outing.horse) == ("ride.mp4", "Juniper")
    assert broken.says == "3 MB of 9 MB is here; nothing came for 2 hours"
    assert "perhaps it is still on its way" in intake.broken_off(barn, now=came + 5)[0].says
    uploads.cancel(barn, upload.id)
    assert intake.broken_off(barn, now=came) == ()


def test_a_horses_file_on_its_way_and_a_film_of_an_outing_in_the_bin_are_not_listed(barn: Barn) -> None:
    outing = intake.outing_for(barn, None, "Juniper", date(2026, 5, 1))
    upload = intake.begin(barn, intake.Arriving("k", "ride.mp4", 9, outing=outing.id))
    whole = taking_in.begin(barn, key="h", name="horse.zip", size=9)
    for each in (upload, whole):
        uploads.append(barn, each.id, 0, b"xyz")
    outings.delete(barn, outing.id)
    assert intake.broken_off(barn, now=0) == ()
