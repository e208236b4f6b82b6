"""The films to show of a barn."""

import json
from pathlib import Path

import cv2
import numpy as np
import pytest

from evenfall.clip import open_clip
from evenfall.contacts import Contacts
from evenfall.errors import Cancelled, ClipError, NotFound, TooLittleEvidence
from evenfall.flow import placing
from evenfall.flow.ground import GROUND_FILE
from evenfall.flow.marking import act
from evenfall.flow.placing import kept_places, save_places
from evenfall.flow.showing import ShowSettings, make_showing, show_data, showing_paths
from evenfall.reading import ReadSettings, read_found
from evenfall.report.showing.places import Places
from evenfall.store import Barn, clips, readings, showings
from evenfall.store.marks import Act
from evenfall.store.records import ClipRecord
from evenfall.store.records_out import Showing
from evenfall.synth.numbered import even_ticks, write_numbered
from tests.flow.keeping import kept
from tests.making import regular
from tests.report.charts.ridden import made_feet

QUICK = show_data(ShowSettings(slow=2, height_px=360))


@pytest.fixture(autouse=True)
def _nothing_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """Numbered pictures hold no horse: looking for one is left out, but for the time it takes."""
    monkeypatch.setattr(placing, "find_places", lambda clip, *_: Places((), [None] * clip.timebase.n_frames,
                        np.full((clip.timebase.n_frames, 4), np.nan)))  # fmt: skip


def filmed(barn: Barn, folder: Path, marks: Contacts | None = None, *, name: str = "ride.mp4") -> ClipRecord:
    """A kept film of numbered pictures, read by the machine."""
    film = write_numbered(folder / name, even_ticks(160, 60) if name == "ride.mp4" else even_ticks(150, 50))
    record = kept(barn, film, name=name)
    contacts = regular(n=3, start_s=0.2) if marks is None else marks
    readings.save_machine(barn, record.id, contacts, method="film", version="1", settings={})
    return record


def asked(barn: Barn, clip: ClipRecord, other: ClipRecord | None = None) -> Showing:
    return showings.add(barn, clip.id, other.id if other else None, QUICK)


def test_film_small_picture_and_poster_are_made(barn: Barn, tmp_path: Path) -> None:
    showing = asked(barn, filmed(barn, tmp_path))
    assert showing_paths(barn, showing).film is None
    shares: list[float] = []
    to = make_showing(barn, showing.id, shares.append)
    made = showing_paths(barn, showing)
    assert made.film == to
    assert to.parent.name == "showings"
    assert made.small is not None
    assert made.small.suffix == ".webp"
    assert made.poster is not None
    poster = cv2.imread(str(made.poster))
    assert poster is not None
    assert poster.shape[:2] == (open_clip(to).height, open_clip(to).width)
    assert made.ground is None
    assert any("Where the feet stand" in note for note in made.notes)
    assert (shares == sorted(shares), shares[-1]) == (True, 1.0)


def test_a_persons_marks_count_before_the_machines(barn: Barn, tmp_path: Path) -> None:
    """The person says the fores land later; the film's bars and beat do so too."""
    record = filmed(barn, tmp_path)
    to = make_showing(barn, asked(barn, record).id)
    before = to.read_bytes()
    person = enumerate(regular(lateral_pct=40, n=3, start_s=0.2))
    acts = [Act(f"op{k}", "add", f"mark{k}", m.limb.value, m.event.value, m.time_s) for k, m in person]
    act(barn, record.id, acts, by="Ada")
    assert make_showing(barn, asked(barn, record).id).read_bytes() != before


def test_two_films_are_shown_side_by_side(barn: Barn, tmp_path: Path) -> None:
    one, other = filmed(barn, tmp_path), filmed(barn, tmp_path, name="other.mp4")
    showing = asked(barn, one, other)
    make_showing(barn, showing.id)
    made = showing_paths(barn, showing)
    assert made.film is not None
    assert made.small is None
    assert {note.partition(":")[0] for note in made.notes} == {"ride.mp4", "other.mp4"}


def test_what_the_machine_saw_of_the_ground_is_laid_beside(barn: Barn, tmp_path: Path) -> None:
    record = filmed(barn, tmp_path)
    chart = {"data": {"values": [{"x": 1}]}, "mark": "point", "encoding": {"x": {"field": "x"}}}
    kept_chart = {
        "wide": {"space_time": {**chart, "$schema": "https://vega.github.io/schema/vega-lite/v5.json"}}
    }
    (clips.derived(barn, record) / GROUND_FILE).write_text(json.dumps(kept_chart))
    showing = asked(barn, record)
    make_showing(barn, showing.id)
    ground = showing_paths(barn, showing).ground
    assert ground is not None
    assert ground.read_bytes().startswith(b"\x89PNG")


def test_places_are_found_once_and_kept(barn: Barn, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    record = filmed(barn, tmp_path)
    clip = open_clip(clips.original(barn, record))
    reading = read_found(clip, made_feet(seconds=clip.timebase.n_frames / 60), ReadSettings())
    save_places(clips.derived(barn, record), reading)
    monkeypatch.setattr(placing, "find_places", None)
    places = kept_places(barn, record.id, lambda: None)
    assert len(places.stands) > 10
    assert places.heading == 1
    assert np.isfinite(places.horse).all()


def test_spoilt_places_are_found_anew(barn: Barn, tmp_path: Path) -> None:
    record = filmed(barn, tmp_path)
    file = clips.derived(barn, record) / placing.PLACES_FILE
    file.write_text("{")
    assert kept_places(barn, record.id, lambda: None).stands == ()
    assert json.loads(file.read_text())["stands"] == []


def test_a_film_without_marks_is_shown_and_says_so(barn: Barn, tmp_path: Path) -> None:
    record = kept(barn, write_numbered(tmp_path / "bare.mp4", even_ticks(90, 60)))
    showing = asked(barn, record)
    make_showing(barn, showing.id)
    made = showing_paths(barn, showing)
    assert made.small is None
    assert any(note.startswith("Too little evidence for an answer") for note in made.notes)
    assert any(note.startswith("No small picture") for note in made.notes)


def test_stopping_leaves_no_film_and_what_was_broken_off_is_cleared(barn: Barn, tmp_path: Path) -> None:
    showing = asked(barn, filmed(barn, tmp_path))
    folder = clips.derived(barn, clips.get(barn, showing.clip_id)) / "showings"
    folder.mkdir(parents=True)
    (folder / f".{showing.id}.999.part.mp4").write_bytes(b"half")

    def stop(share: float) -> None:
        if share > 0.7:
            raise Cancelled

    with pytest.raises(Cancelled):
        make_showing(barn, showing.id, stop)
    assert [path.name for path in folder.iterdir()] == [f"{showing.id}.webp"]
    assert showing_paths(barn, showing).film is None


def test_a_film_that_is_gone_is_named_as_the_person_did(barn: Barn, tmp_path: Path) -> None:
    showing = asked(barn, record := filmed(barn, tmp_path))
    original = clips.original(barn, record)
    original.chmod(0o600)
    original.write_bytes(b"\0" * 3000)
    with pytest.raises(ClipError, match=r"^ride\.mp4: "):
        make_showing(barn, showing.id)


def test_one_that_is_not_there_and_two_of_which_one_has_no_strides(barn: Barn, tmp_path: Path) -> None:
    with pytest.raises(NotFound):
        make_showing(barn, 7)
    one, thin = filmed(barn, tmp_path), filmed(barn, tmp_path, regular(n=1), name="thin.mp4")
    with pytest.raises(TooLittleEvidence, match=r"thin\.mp4: only one whole stride"):
        make_showing(barn, asked(barn, one, thin).id)
