"""The four sheets of horses of whom much, little or nothing is known."""

import re
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from evenfall.contacts import Contacts
from evenfall.errors import NotFound, WrongSetting
from evenfall.flow.marking import refresh
from evenfall.flow.sheets import KINDS, month_of, months_of, pdf_name, sheet_of
from evenfall.report.sheets import Grid, PictureRow, Sheet, Words
from evenfall.report.sheets.typesetting import PAPERS, as_pages, as_pdf
from evenfall.shoeing import LIMBS, Foot, Setup, Shoe, same_but
from evenfall.store import Barn, clips, flags, marks, outings, readings, settings
from evenfall.store.marks import Act
from evenfall.store.records import FlagFields, Horse, OutingFields
from tests.flow.climbing import climber
from tests.flow.riding import TODAY, answered, horse
from tests.flow.sheeted import band_film, full, much_written
from tests.flow.shod import APRIL, MARCH, heavy_behind, worn_from
from tests.fresh import new_barn
from tests.making import even_ticks, regular, write_film
from tests.report.sheets.paper import (
    alts_in,
    assert_looks_like,
    margins_are_white,
    pages_in,
    squeezed,
    words_in,
)

GOLDEN = Path(__file__).parent / "golden" / "sheets"


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "barn") as opened:
        yield opened


def grid(sheet: Sheet, title: str = "") -> dict[str, tuple[str, ...]]:
    """The rows of a sheet's table, by their names."""
    found = next(part for part in sheet.parts if isinstance(part, Grid) and part.title == title)
    return {row[0].split("\n")[0]: row[1:] for row in found.rows}


def words(sheet: Sheet, title: str) -> tuple[str, ...]:
    return next(part.lines for part in sheet.parts if isinstance(part, Words) and part.title == title)


@pytest.fixture(scope="module")
def known(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Barn, dict[str, int]]]:
    """A barn that nothing is written into: horses of whom nothing, little, much is known."""
    with new_barn(tmp_path_factory.mktemp("known") / "barn") as opened:
        yield (
            opened,
            {
                "nothing": horse(opened).id,
                "one outing": full(opened, outings_made=1).id,
                "forty outings": full(opened).id,
                "much written": much_written(opened).id,
            },
        )


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("who", ["nothing", "one outing", "forty outings", "much written"])
def test_a_sheet_fits_its_paper_whatever_is_known(
    known: tuple[Barn, dict[str, int]], who: str, kind: str, paper: str
) -> None:
    barn, horses_known = known
    made = sheet_of(barn, horses_known[who], kind, today=TODAY)
    pdf = as_pdf(made, paper)
    assert pages_in(pdf) <= (1 if made.one_page else 2)
    assert squeezed(made.head.horse) in words_in(pdf)
    assert squeezed(made.foot) in words_in(pdf)
    assert all(margins_are_white(page) for page in as_pages(made, paper, ppi=40))


@pytest.mark.parametrize("kind", KINDS)
def test_a_sheet_looks_as_it_did_when_it_was_last_looked_at(
    known: tuple[Barn, dict[str, int]], kind: str
) -> None:
    barn, horses_known = known
    made = sheet_of(barn, horses_known["forty outings"], kind, today=TODAY)
    assert_looks_like(as_pages(made, ppi=60)[0], GOLDEN / f"{kind}.txt")


def test_the_look_would_see_another_sheet(known: tuple[Barn, dict[str, int]]) -> None:
    barn, horses_known = known
    page = as_pages(sheet_of(barn, horses_known["forty outings"], "vet", today=TODAY), ppi=60)[0]
    with pytest.raises(AssertionError, match=r"looks unlike farrier\.txt"):
        assert_looks_like(page, GOLDEN / "farrier.txt")


@pytest.mark.parametrize("kind", KINDS)
def test_no_sheet_gives_a_verdict_on_the_horse(known: tuple[Barn, dict[str, int]], kind: str) -> None:
    barn, horses_known = known
    shown = words_in(as_pdf(sheet_of(barn, horses_known["forty outings"], kind, today=TODAY))).lower()
    assert "lame" not in shown
    assert "sound" not in shown


def test_a_name_with_the_signs_of_the_template_is_only_a_name(barn: Barn) -> None:
    name = '#import "x" $a$ "] #{ <b>bold</b>'
    of = horse(barn, name, owner=name, breed=name)
    made = sheet_of(barn, of.id, "farrier", today=TODAY)
    assert words_in(as_pdf(made)).count(squeezed(name)) == 3
    assert pdf_name(of, made) == "import-x-a-b-bold-b-farrier-2026-05-20.pdf"


def test_the_farrier_sheet_has_last_time_beside_this_time(barn: Barn) -> None:
    made = sheet_of(barn, full(barn, outings_made=1).id, "farrier", today=TODAY)
    rows = grid(made)
    assert rows["mass"][2] == "416 g at most (14.7 oz)\nlast: 803 g at most (28.3 oz)"
    assert rows["mass"][0].endswith("last: the same")
    assert rows["added, where"][2].endswith("last: toe plate 60 g at the toe; 8 nails")
    assert rows["days since shoeing"] == ("79\nshod 2 March 2026", "79\nshod 2 March 2026", "30\nshod 20 April 2026", "30\nshod 20 April 2026")  # fmt: skip
    assert "right hind 381 g (13.4 oz) new, 20 April 2026" in words(made, "Since last time")[-1]
    assert any("Four feet from above" in alt for alt in alts_in(as_pdf(made)))


def test_the_barns_units_come_first(barn: Barn) -> None:
    of = full(barn, outings_made=1)
    settings.change(barn, {"units": "imperial", "sides": "near-off"})
    made = sheet_of(barn, of.id, "farrier", today=TODAY)
    table = next(part for part in made.parts if isinstance(part, Grid))
    assert table.head[1] == "Near fore (LF)"
    assert grid(made)["toe length"][0] == "3.54 in (90 mm)"


def test_a_setup_of_later_is_not_on_todays_sheet(barn: Barn) -> None:
    of = full(barn, outings_made=1)
    made = sheet_of(barn, of.id, "farrier", today=APRIL - timedelta(days=1))
    assert "last" not in grid(made)["mass"][2]


def test_a_standing_flag_is_framed_on_the_sheets(barn: Barn) -> None:
    of = full(barn, outings_made=1)
    flags.raise_flag(barn, FlagFields(of.id, TODAY, "a tender foot", "LH"))
    for kind in ("farrier", "owner", "acceptance"):
        assert squeezed("Vet or farrier first.") in words_in(as_pdf(sheet_of(barn, of.id, kind, today=TODAY)))
    assert words(sheet_of(barn, of.id, "vet", today=TODAY), "Flags that stand")[0].startswith(
        "A tender foot (LH)"
    )


def test_while_a_flag_stands_the_owners_page_asks_for_no_ride_and_no_film(barn: Barn) -> None:
    of = climber(barn, date.today())
    flags.raise_flag(barn, FlagFields(of.id, date.today(), "heat or swelling in a leg"))
    made = sheet_of(barn, of.id, "owner", today=date.today())
    asked = " ".join((*words(made, "Next step"), *words(made, "At home")))
    assert asked.startswith("Vet or farrier first")
    assert "no film is asked for" in asked
    assert not re.search("usual speed|Before riding|Next film|ten strides|next:", asked)


def finished(barn: Barn) -> int:
    """A horse of whom all is shown but a blind reading."""
    of = horse(barn)
    plain = Shoe(kind="plain", plain_kg=0.34)
    foot = Foot(plain, shod_on=MARCH)
    worn_from(barn, of, MARCH, Setup(lf=foot, rf=foot, lh=foot, rh=foot))
    for number, days in enumerate((60, 56, 52, 49, 44, 40, 38, 30, 26, 22, 4, 3)):
        band_film(barn, of, days_ago=days, inside=10, rider=("Ann", "Bo")[number % 2], ground=("sand", "grass")[number % 2], speed_asked=("slow", "easy", "quick")[number % 3], direction="there and back")  # fmt: skip
    return of.id


def test_the_acceptance_card_shows_each_with_its_evidence(barn: Barn) -> None:
    rows = grid(sheet_of(barn, finished(barn), "acceptance", today=TODAY))
    assert [name for name, row in rows.items() if row[0] == "□ not yet shown"] == ["A blind reading agreed"]
    assert (
        rows["Both directions"][1]
        == "left rein: 90 of 90 strides in the band; right rein: 90 of 90 strides in the band"
    )
    assert rows["Three speeds"][1].count("30 of 30 strides in the band") == 3
    assert rows["After 14 days of rest"][1] == "16 May 2026, after 18 days: 10 of 10 strides in the band"
    assert rows["A blind reading agreed"][1] == "none of these films was read blind"


def test_of_a_horse_without_films_nothing_is_shown_but_that_no_flag_stands(barn: Barn) -> None:
    rows = grid(sheet_of(barn, horse(barn).id, "acceptance", today=TODAY))
    assert [name for name, row in rows.items() if row[0] == "■ shown"] == ["No flag"]
    assert rows["Plain shoes"][1] == "no setup is written down"


def test_shoes_with_something_added_are_not_plain(barn: Barn) -> None:
    of = horse(barn)
    worn_from(barn, of, MARCH, heavy_behind())
    told = grid(sheet_of(barn, of.id, "acceptance", today=TODAY))["Plain shoes"]
    assert told[0] == "□ not yet shown"
    assert told[1].endswith("with something added: LH, RH; heavier: LF, RF, LH, RH")
    worn_from(barn, of, APRIL, same_but(heavy_behind(), limbs=LIMBS, shoe=None))
    assert grid(sheet_of(barn, of.id, "acceptance", today=TODAY))["Plain shoes"][0] == "■ shown"


def blind(barn: Barn, clip_id: int, contacts: Contacts) -> None:
    reading = readings.begin_blind(barn, clip_id, "Ann")
    acts = [Act(op=f"{reading.id}-{number}", act="add", id=f"{reading.id}-m{number}", limb=each.limb.value, event=each.event.value, time_s=each.time_s) for number, each in enumerate(contacts)]  # fmt: skip
    marks.act(barn, reading.id, acts, by="Ann")


def test_a_blind_reading_agrees_only_where_its_landings_meet(barn: Barn) -> None:
    of = horse(barn)
    clip = answered(barn, of, days_ago=3, phase=25.0)
    blind(barn, clip.id, Contacts(list(regular(lateral_pct=25.0))[:4]))
    told = grid(sheet_of(barn, of.id, "acceptance", today=TODAY))["A blind reading agreed"]
    assert told[0] == "□ not yet shown"
    blind(barn, clip.id, Contacts(regular(lateral_pct=25.0)))
    told = grid(sheet_of(barn, of.id, "acceptance", today=TODAY))["A blind reading agreed"]
    assert told[0] == "■ shown"
    assert told[1].startswith("film of 17 May 2026, Juniper 2026-05-17.mp4: ")


def test_the_vet_card_tells_this_horses_own_record(barn: Barn) -> None:
    of = horse(barn)
    for days in range(70, 0, -7):
        answered(barn, of, days_ago=days, phase=30.0 + days % 2, left_right=0.2 * (days % 3))
    answered(barn, of, days_ago=0, phase=30.5, left_right=9.0)
    rows = grid(sheet_of(barn, of.id, "vet", today=TODAY))
    assert rows["Lateral phase, both sides"][2] == "does not differ"
    assert rows["Lateral phase, both sides"][0] == "30.5 % (29.5 to 31.5)"
    assert rows["Lateral phase, left"][2] == "differs from this horse's own record"
    assert "no diagnosis" in sheet_of(barn, of.id, "vet", today=TODAY).parts[0].lines[0]  # type: ignore[union-attr]


def test_with_few_outings_the_vet_card_says_that_it_cannot_tell(barn: Barn) -> None:
    of = horse(barn)
    answered(barn, of, days_ago=7, phase=30.0)
    rows = grid(sheet_of(barn, of.id, "vet", today=TODAY))
    assert rows["Lateral phase, both sides"][1:] == (
        "too few: 0 outings before the newest",
        "cannot be told yet",
    )


def test_the_owners_page_puts_day_one_beside_now(known: tuple[Barn, dict[str, int]]) -> None:
    barn, horses_known = known
    made = sheet_of(barn, horses_known["forty outings"], "owner", today=TODAY)
    assert made.title == "Owner's page, May 2026"
    shown = words_in(as_pdf(made))
    for said in (
        "Day one, 3 March 2026",
        "Now, 20 May 2026",
        "Costs are not kept here",
        "Riders, with outings: ",
    ):
        assert squeezed(said) in shown
    changes = grid(made, "What was tried, and whether it was real")
    assert [each.split(":")[0] for each in changes] == ["20 April 2026"]
    assert words(made, "Next step") == ("There is no ladder yet.",)


def test_a_month_before_shows_what_was_known_by_its_end(known: tuple[Barn, dict[str, int]]) -> None:
    barn, horses_known = known
    march = sheet_of(barn, horses_known["forty outings"], "owner", today=TODAY, month=month_of("2026-03"))
    assert march.title == "Owner's page, March 2026"
    assert squeezed("Now, 31 March 2026") in words_in(as_pdf(march))
    assert words(march, "What was tried, and whether it was real")[0].startswith("No change")
    assert words(march, "Rides given")[0].startswith("15 outings on 15 days of the month: 3, 5,")


def test_the_owners_page_has_the_ladders_next_step_and_film(barn: Barn) -> None:
    of = climber(barn, date.today())
    made = sheet_of(barn, of.id, "owner", today=date.today())
    assert words(made, "Next step") == (
        "Step down: The proof is complete.",
        "Step 2 of 3: Light hinds; next: Head level.",
    )


def test_both_films_are_shown_at_the_same_parts_of_the_stride(barn: Barn, tmp_path: Path) -> None:
    first = filmed_really(barn, tmp_path, "old.mp4", horse(barn), days_ago=40)
    filmed_really(barn, tmp_path, "new.mp4", first, days_ago=2)
    made = sheet_of(barn, first.id, "owner", today=TODAY)
    rows = [part for part in made.parts if isinstance(part, PictureRow) and len(part.pictures) == 4]
    assert len(rows) == 2
    assert [each.caption for each in rows[0].pictures] == [each.caption for each in rows[1].pictures]
    assert rows[0].pictures[1].caption == "25 % of the stride"
    assert rows[0].pictures[0].content[:2] == b"\xff\xd8"


def filmed_really(barn: Barn, folder: Path, name: str, of: Horse, *, days_ago: int) -> Horse:
    """One more film of a horse that can be opened, its marks read."""
    outing = outings.add(barn, OutingFields(of.id, TODAY - timedelta(days=days_ago)))
    part = write_film(folder / name, even_ticks(360, 60), metadata={"title": name})
    clip, _ = clips.keep(barn, part, name=name, outing_id=outing.id)
    readings.save_machine(barn, clip.id, regular(), method="film", version="1", settings={})
    refresh(barn, clip.id)
    return of


def test_a_film_that_cannot_be_opened_is_told_and_the_page_is_made(barn: Barn) -> None:
    shown = words_in(as_pdf(sheet_of(barn, full(barn, outings_made=2).id, "owner", today=TODAY)))
    assert squeezed("No pictures in step: a film is not on this machine, or cannot be opened.") in shown


def test_what_is_no_sheet_and_no_month_is_refused(barn: Barn) -> None:
    of = horse(barn)
    with pytest.raises(
        NotFound, match="expected one of the sheets farrier, owner, acceptance, vet, found 'cook'"
    ):
        sheet_of(barn, of.id, "cook", today=TODAY)
    with pytest.raises(NotFound):
        sheet_of(barn, 99, "vet", today=TODAY)
    for wrong in ("2026-13", "May", "0000-01"):
        with pytest.raises(WrongSetting, match="expected a month such as 2026-05"):
            month_of(wrong)


def test_the_months_offered_are_those_with_outings_and_this_one(barn: Barn) -> None:
    of = horse(barn)
    answered(barn, of, days_ago=60, phase=30.0)
    assert [each.code for each in months_of(barn, of.id, TODAY)] == ["2026-05", "2026-03"]
