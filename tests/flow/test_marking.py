"""Marks and the answer on them, on a kept film without pictures worth seeing."""

import io
import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from shutil import copyfile
from typing import Any

import pytest

from evenfall.cli.app import run
from evenfall.cli.context import Context
from evenfall.clip import Clip
from evenfall.contacts import Contact, Contacts, Event, Limb
from evenfall.contacts.film import INFERRED
from evenfall.flow import marking
from evenfall.reading import Reading, ReadSettings, read_marked
from evenfall.store import Barn, clips, horses, outings, readings, results, settings
from evenfall.store.marks import Act
from evenfall.store.records import HorseFields, OutingFields
from tests.fresh import new_barn
from tests.making import regular


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "barn") as made:
        yield made


@pytest.fixture
def clip_id(barn: Barn, film: Path, tmp_path: Path) -> int:
    """A kept film of six seconds at 60 pictures a second, of a horse asked for a fox trot."""
    part = copyfile(film, tmp_path / "film.part")
    horse = horses.add(barn, HorseFields(name="Biscuit", goal="fox trot"))
    outing = outings.add(barn, OutingFields(horse_id=horse.id, on_date=date(2026, 5, 1)))
    return clips.keep(barn, part, name="pass.mp4", outing_id=outing.id)[0].id


def adds(marks: Sequence[Contact], start: int = 0) -> list[Act]:
    return [
        Act(
            op=f"op{start + number}", act="add", id=f"p{start + number}", limb=mark.limb.value, event=mark.event.value,
            time_s=mark.time_s,
        )
        for number, mark in enumerate(marks)
    ]  # fmt: skip


def on_pictures(contacts: Contacts) -> list[Contact]:
    return [replace(mark, time_s=round(mark.time_s * 60) / 60) for mark in contacts]


def found(contacts: Contacts, *, sd_s: float = 0.01) -> Contacts:
    return Contacts(replace(mark, source="film", confidence=0.95, sd_s=sd_s) for mark in contacts)


def read_by_machine(barn: Barn, clip_id: int, contacts: Contacts) -> None:
    readings.save_machine(barn, clip_id, contacts, method="test", version="1", settings={})


def command_line(barn: Barn, clip_id: int, tmp_path: Path) -> dict[str, object]:
    """What the command line prints on the exported contacts."""
    file = tmp_path / "marks.csv"
    file.write_text(marking.contacts_file(barn, clip_id))
    film = clips.original(barn, clips.get(barn, clip_id))
    out = io.StringIO()
    run(["read", str(film), "--contacts", str(file), "--goal", "fox trot", "--json"], Context(io.StringIO(), out, io.StringIO()))  # fmt: skip
    answer: dict[str, object] = json.loads(out.getvalue())
    return answer


def test_a_fresh_clip_has_no_mark_and_says_what_is_missing(barn: Barn, clip_id: int) -> None:
    assert marking.marks_data(barn, clip_id) == {"revision": 0, "marks": [], "check": [], "next": None}
    assert "Mark at least two strides" in marking.reading_page(barn, clip_id)["sentence"]


def test_the_answer_is_the_command_lines_on_the_same_contacts(
    barn: Barn, clip_id: int, tmp_path: Path
) -> None:
    marks = on_pictures(regular(lateral_pct=35, duty_fore_pct=54, duty_hind_pct=54, n=7))
    marking.act(barn, clip_id, adds(marks), "test")
    assert marking.reading_page(barn, clip_id)["reading"] == command_line(barn, clip_id, tmp_path)


def test_the_answer_is_kept_as_the_clips_result(barn: Barn, clip_id: int) -> None:
    marking.act(barn, clip_id, adds(on_pictures(regular(lateral_pct=35))), "test")
    page = marking.reading_page(barn, clip_id)
    kept = results.of_clip(barn, clip_id)
    assert kept is not None
    assert kept.data == page["reading"]
    assert kept.phase_mean == pytest.approx(35, abs=2)


def test_refreshing_keeps_the_last_result_while_marks_contradict_each_other(barn: Barn, clip_id: int) -> None:
    marking.act(barn, clip_id, adds(on_pictures(regular(lateral_pct=35, lift_offs=False))), "test")
    marking.refresh(barn, clip_id)
    before = results.of_clip(barn, clip_id)
    doubled = [Contact(Limb.LF, Event.ON, round(60 * 1.9) / 60)]
    marking.act(barn, clip_id, adds(doubled, 900), "test")
    marking.refresh(barn, clip_id)
    assert results.of_clip(barn, clip_id) == before
    assert "contradict" in marking.reading_page(barn, clip_id)["sentence"]


def test_a_machines_doubtful_marks_are_to_check_in_order_of_time_until_spoken_of(
    barn: Barn, clip_id: int
) -> None:
    sure = found(regular(n=3, lift_offs=False))
    doubtful = Contacts(
        replace(mark, confidence=0.5) if number in (3, 5) else mark for number, mark in enumerate(sure)
    )
    read_by_machine(barn, clip_id, doubtful)
    first, second = marking.marks_data(barn, clip_id)["check"]
    accepted = Act(op="a", act="add", id="p", stands_for=first)
    data = marking.act(barn, clip_id, [accepted], "test")
    assert data["check"] == [second]
    rejected = Act(op="b", act="add", id="q", stands_for=second, rejected=True)
    assert marking.act(barn, clip_id, [rejected], "test")["check"] == []


def test_an_inferred_mark_is_to_check_and_stays_out_of_the_numbers_until_accepted(
    barn: Barn, clip_id: int
) -> None:
    every = found(regular(n=4, lift_offs=False))
    last = every.marks[-1]
    read_by_machine(
        barn, clip_id, Contacts([*every.marks[:-1], replace(last, source=INFERRED, confidence=1.0)])
    )
    (name,) = marking.marks_data(barn, clip_id)["check"]
    assert marking.read_now(barn, clip_id).strides.contacts.marks[-1].time_s < last.time_s
    marking.act(barn, clip_id, [Act(op="a", act="add", id="p", stands_for=name)], "test")
    counted = marking.read_now(barn, clip_id).strides.contacts
    assert counted.marks[-1].time_s == pytest.approx(last.time_s)


def test_reading_by_machine_again_leaves_a_persons_marks_as_they_were(barn: Barn, clip_id: int) -> None:
    marks = on_pictures(regular(n=3))
    marking.act(barn, clip_id, adds(marks), "test")
    read_by_machine(barn, clip_id, found(regular(n=3)).shifted(0.02))
    own = [mark for mark in marking.marks_data(barn, clip_id)["marks"] if mark["by"] == "person"]
    assert sorted(mark["id"] for mark in own) == sorted(f"p{number}" for number in range(len(marks)))
    assert {mark["by"] for mark in marking.marks_data(barn, clip_id)["marks"]} == {"person"}


@pytest.mark.parametrize("told", [{"limb": "RH"}, {"time_s": 4.0}], ids=["another foot", "a far time"])
def test_a_corrected_mark_does_not_come_back_when_the_machine_reads_anew(
    barn: Barn, clip_id: int, told: dict[str, Any]
) -> None:
    read_by_machine(barn, clip_id, Contacts([Contact(Limb.LH, Event.ON, 1.0, 0.01, "film", 0.95)]))
    (wrong,) = marking.marks_data(barn, clip_id)["marks"]
    marking.act(barn, clip_id, [Act(op="a", act="add", id="p", stands_for=wrong["id"], **told)], "test")
    read_by_machine(barn, clip_id, Contacts([Contact(Limb.LH, Event.ON, 1.01, 0.01, "film", 0.95)]))
    assert [mark["id"] for mark in marking.marks_data(barn, clip_id)["marks"]] == ["p"]


def test_a_result_never_passes_for_one_of_marks_made_while_it_was_reckoned(
    barn: Barn, clip_id: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(clip: Clip, contacts: Contacts, chosen: ReadSettings) -> Reading:
        marking.act(barn, clip_id, adds([Contact(Limb.LF, Event.ON, 5.0)], 700), "another")
        return read_marked(clip, contacts, chosen)

    marking.act(barn, clip_id, adds(on_pictures(regular(lateral_pct=35))), "test")
    monkeypatch.setattr(marking, "read_marked", interrupted)
    marking.refresh(barn, clip_id)
    kept = results.of_clip(barn, clip_id)
    assert kept is not None
    assert (kept.revision, readings.person(barn, clip_id).revision) == (1, 2)


def test_machine_marks_corrected_by_a_person_read_as_the_command_line_reads_them(
    barn: Barn, clip_id: int, tmp_path: Path
) -> None:
    read_by_machine(barn, clip_id, found(Contacts(on_pictures(regular(lateral_pct=35))), sd_s=0.0))
    moved = marking.marks_data(barn, clip_id)["marks"][4]
    act = Act(op="a", act="add", id="p", limb=moved["limb"], event=moved["event"], time_s=moved["time_s"] + 1 / 60, stands_for=moved["id"])  # fmt: skip
    marking.act(barn, clip_id, [act], "test")
    page, told = marking.reading_page(barn, clip_id)["reading"], command_line(barn, clip_id, tmp_path)
    assert page["timing"] == told["timing"]
    assert page["shift_ms"] == told["shift_ms"]


def test_the_page_brings_every_chart_with_its_table_and_a_beat_to_hear(barn: Barn, clip_id: int) -> None:
    marking.act(barn, clip_id, adds(on_pictures(regular(lateral_pct=35))), "test")
    page = marking.reading_page(barn, clip_id, narrow=True)
    assert set(page["charts"]) == set(page["tables"])
    offsets = page["beat"]["offsets"]
    assert offsets["measured"]["LF"] == pytest.approx(0.35, abs=0.02)
    assert offsets["even"] == {"LH": 0, "LF": 0.25, "RH": 0.5, "RF": 0.75}
    assert page["beat"]["stride_s"] == pytest.approx(0.6, abs=0.01)


def test_beats_along_the_film_lie_in_the_horses_own_strides(barn: Barn, clip_id: int) -> None:
    marking.act(barn, clip_id, adds(on_pictures(regular(lateral_pct=35, n=4))), "test")
    along = marking.reading_page(barn, clip_id)["beat"]["along"]
    fores = [beat["time_s"] for beat in along["even"] if beat["limb"] == "LF"]
    assert fores == pytest.approx([0.65, 1.25, 1.85, 2.45], abs=0.01)
    assert len(along["measured"]) == 20


def test_the_next_foot_is_offered_from_a_persons_own_rhythm(barn: Barn, clip_id: int) -> None:
    *made, coming = on_pictures(regular(n=2, lift_offs=False))[:7]
    for number, mark in enumerate(made):
        marking.act(barn, clip_id, adds([mark], number), "test")
    offered = marking.marks_data(barn, clip_id)["next"]
    assert (offered["limb"], offered["event"]) == (coming.limb, "on")
    assert offered["time_s"] == pytest.approx(coming.time_s, abs=0.02)


def test_near_and_off_are_said_where_the_barn_says_so_and_files_keep_their_codes(
    barn: Barn, clip_id: int
) -> None:
    marking.act(barn, clip_id, adds(on_pictures(regular(lateral_pct=35, n=7))), "test")
    plain = marking.reading_page(barn, clip_id)
    settings.change(barn, {"sides": "near-off"})
    told = marking.reading_page(barn, clip_id)
    assert told["reading"] == plain["reading"]
    names = [each["name"] for each in told["numbers"]]
    assert "lateral phase, near" in names
    assert "duty NH" in names
    assert told["tables"]["footfall_bars"]["rows"][0][0] == "near hind"
    drawn = json.dumps(told["charts"])
    assert '"NH"' in drawn
    assert '"LH"' not in drawn
    assert "['near', 'off', 'both']" in drawn
    assert marking.contacts_file(barn, clip_id).splitlines()[1].startswith("LH,on,")
