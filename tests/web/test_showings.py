"""Films to show: asked for, followed, stopped, made again, taken away."""

from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient
from playwright.sync_api import Page, expect

from evenfall.flow.showing import LONGEST_S
from evenfall.store import Barn, clips, horses, jobs, settings, showings
from evenfall.store.records import ClipRecord, Job
from tests.flow.comparing import one_change
from tests.web.looking import THEMES, assert_fit_for_all
from tests.web.test_files import a_clip

FORM = {"slow": "8", "view": "legs", "blur": "rider", "sound": "none", "height_px": "360", "caption": "Ours"}


def asked(client: TestClient, barn: Barn, **more: str) -> tuple[ClipRecord, int]:
    clip = a_clip(barn)
    answer = client.post(f"/film/{clip.id}/show", data=FORM | more)
    assert answer.status_code == 303
    return clip, int(answer.headers["location"].rpartition("/")[2])


def works(barn: Barn, clip: ClipRecord) -> list[Job]:
    return [job for job in jobs.of_clip(barn, clip.id) if job.kind == "show"]


def put(barn: Barn, clip: ClipRecord, name: str, content: bytes = b"0123456789") -> Path:
    path = clips.derived(barn, clip) / "showings" / name
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(content)
    return path


def done(barn: Barn, clip: ClipRecord, number: int) -> None:
    """As if it had been made."""
    job = jobs.claim(barn, "tester")
    assert job is not None
    assert job.payload == {"showing": number}
    for name in ("{}.mp4", "{}.webp", "{}.jpg", "{}-ground.png"):
        put(barn, clip, name.format(number))
    jobs.done(barn, job.id, "tester")


def test_what_is_chosen_is_kept_and_made_once(client: TestClient, barn: Barn) -> None:
    clip, number = asked(client, barn, start_s="1,5", end_s="4")
    kept = showings.get(barn, number)
    assert (kept.clip_id, kept.other_id) == (clip.id, None)
    chosen: dict[str, Any] = {"slow": 8.0, "view": "legs", "blur": "rider", "sound": "none", "height_px": 360, "caption": "Ours", "start_s": 1.5, "end_s": 4.0}  # fmt: skip
    assert kept.settings == chosen
    for _ in range(2):
        assert "It waits its turn." in client.get(f"/showings/{number}").text
    assert [(job.state, job.payload) for job in works(barn, clip)] == [("waiting", {"showing": number})]


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"start_s": "soon"}, "Expected seconds of the film, such as 2.5, found &#39;soon&#39;."),
        ({"start_s": "5", "end_s": "4"}, "Expected the end after the start, found 5 to 4"),
        ({"slow": "3000"}, "Expected one of: as ridden, 2 times slower"),
        ({"caption": "x" * 81}, "Expected one line of at most 80 letters"),
        ({"view": "upside down"}, "Expected one of: The whole picture"),
    ],
)
def test_what_makes_no_sense_is_said_beside_its_field_and_nothing_is_made(
    client: TestClient, barn: Barn, sent: dict[str, str], said: str
) -> None:
    clip = a_clip(barn)
    answer = client.post(f"/film/{clip.id}/show", data=FORM | sent)
    assert answer.status_code == 422
    assert said in answer.text.replace("\u00a0", " ")
    assert 'value="none" checked' in answer.text
    assert works(barn, clip) == []
    assert showings.of_clip(barn, clip.id) == ()


def test_a_part_can_be_no_longer_than_a_film_to_show(client: TestClient, barn: Barn) -> None:
    assert f"At most {LONGEST_S:g}" in client.get(f"/film/{a_clip(barn).id}/show").text


def test_a_film_to_show_plays_in_parts_and_is_saved_under_a_plain_name(
    client: TestClient, barn: Barn
) -> None:
    clip, number = asked(client, barn)
    done(barn, clip, number)
    page = client.get(f"/showings/{number}").text
    for kind in ("film.mp4", "small.webp", "poster.jpg", "ground.png"):
        assert f"/showings/{number}/{kind}" in page
    part = client.get(f"/showings/{number}/film.mp4", headers={"range": "bytes=2-4"})
    assert (part.status_code, part.content, part.headers["content-type"]) == (206, b"234", "video/mp4")
    saved = client.get(f"/showings/{number}/film.mp4?save=yes").headers["content-disposition"]
    assert saved.startswith('attachment; filename="juniper-20')
    assert saved.endswith(f'-8x-slower-{number}.mp4"')
    assert client.get(f"/showings/{number}/anything").status_code == 422


def test_the_page_says_what_the_colours_bars_and_clicks_mean(client: TestClient, barn: Barn) -> None:
    clip, number = asked(client, barn, sound="beats")
    done(barn, clip, number)
    page = client.get(f"/showings/{number}").text
    for said in (
        "left is blue",
        "a bar while the foot stands",
        "a tick for each stride",
        "hinds low, fores high",
    ):
        assert said in page
    settings.change(barn, {"sides": "near-off"})
    assert "left (near) is blue, right (off) is orange" in client.get(f"/showings/{number}").text


def test_one_whose_files_were_thrown_away_is_made_again(client: TestClient, barn: Barn) -> None:
    clip, number = asked(client, barn)
    done(barn, clip, number)
    (clips.derived(barn, clip) / "showings" / f"{number}.mp4").unlink()
    assert client.get(f"/showings/{number}/film.mp4").status_code == 404
    assert "It waits its turn." in client.get(f"/showings/{number}").text
    assert [job.state for job in works(barn, clip)] == ["done", "waiting"]


def test_one_that_failed_says_why_and_is_made_only_when_asked(client: TestClient, barn: Barn) -> None:
    clip, number = asked(client, barn)
    job = jobs.claim(barn, "tester")
    assert job is not None
    jobs.fail(barn, job.id, "tester", "no foot is marked in it.")
    for _ in range(2):
        assert (
            "It could not be made.</strong> No foot is marked in it."
            in client.get(f"/showings/{number}").text
        )
    assert len(works(barn, clip)) == 1
    assert client.post(f"/showings/{number}/again").status_code == 303
    assert [job.state for job in works(barn, clip)] == ["failed", "waiting"]


def test_one_that_is_stopped_stays_so_until_asked(client: TestClient, barn: Barn) -> None:
    clip, number = asked(client, barn)
    client.post(f"/showings/{number}/cancel")
    assert "It was stopped before it was made." in client.get(f"/showings/{number}").text
    assert [job.state for job in works(barn, clip)] == ["cancelled"]


def test_one_in_the_bin_is_offered_back_and_its_making_stops(client: TestClient, barn: Barn) -> None:
    clip, number = asked(client, barn)
    away = client.post(f"/showings/{number}/delete").headers["location"]
    assert away == f"/film/{clip.id}/show?binned={number}"
    assert works(barn, clip)[0].state == "cancelled"
    assert "is in the bin." in client.get(away).text
    assert client.get(f"/showings/{number}").status_code == 404
    back = client.post("/bin/restore", data={"table": "showings", "row": str(number)}).headers["location"]
    assert back == f"/showings/{number}"
    assert client.get(back).status_code == 200


def test_the_horse_and_the_film_list_theirs(client: TestClient, barn: Barn) -> None:
    clip, number = asked(client, barn)
    for page in (f"/horses/{horses.every(barn)[0].id}", f"/film/{clip.id}/show"):
        shown = client.get(page).text
        assert f'href="/showings/{number}"' in shown
        assert "8 times slower, legs alone, rider blurred" in shown


def test_a_film_to_show_that_failed_is_no_film_that_failed(client: TestClient, barn: Barn) -> None:
    asked(client, barn)
    job = jobs.claim(barn, "tester")
    assert job is not None
    jobs.fail(barn, job.id, "tester", "no foot is marked in it.")
    assert "no foot is marked" not in client.get("/").text


def test_two_films_side_by_side_are_asked_for_from_the_comparison(client: TestClient, barn: Barn) -> None:
    changed = one_change(barn)
    left, right = changed.before[-1], changed.after[-1]
    page = client.get(f"/horses/{changed.horse.id}/compare?left={left}&right={right}").text
    assert f'href="/film/{left}/show?beside={right}"' in page
    form = client.get(f"/film/{left}/show?beside={right}").text
    assert "locked by the stride" in form
    assert "own sound" not in form
    assert client.post(f"/film/{left}/show?beside={right}", data=FORM | {"sound": "film"}).status_code == 422
    made = client.post(f"/film/{left}/show?beside={right}", data=FORM)
    (kept,) = showings.of_clip(barn, right)
    assert made.headers["location"] == f"/showings/{kept.id}"
    assert (kept.clip_id, kept.other_id) == (left, right)
    assert client.get(f"/film/{left}/show?beside={left}").status_code == 422
    assert " beside " in client.get(f"/showings/{kept.id}").text


def test_a_form_can_begin_like_one_that_is_there(client: TestClient, barn: Barn) -> None:
    clip, number = asked(client, barn, start_s="1.5")
    page = client.get(f"/film/{clip.id}/show?like={number}").text
    assert 'value="legs" checked' in page
    assert 'name="start_s" type="text" value="1.5"' in page
    assert 'value="Ours"' in page


def test_what_is_not_there_is_said_plainly(client: TestClient) -> None:
    for path in ("/film/9/show", "/showings/9", "/showings/9/film.mp4"):
        assert client.get(path).status_code == 404


@pytest.mark.parametrize("width", [1280, 360])
@pytest.mark.parametrize("theme", THEMES)
def test_every_page_of_it_can_be_used_by_anyone(
    page: Page, client: TestClient, barn: Barn, theme: str
) -> None:
    settings.change(barn, {"theme": theme})
    clip, number = asked(client, barn)
    page.goto(f"/film/{clip.id}/show")
    page.get_by_text("Part, caption and size").click()
    assert_fit_for_all(page)
    page.goto(f"/showings/{number}")
    assert_fit_for_all(page)
    page.get_by_role("button", name="Stop", exact=True).press("Enter")
    expect(page.get_by_text("It was stopped before it was made.")).to_be_visible()
    assert_fit_for_all(page)


def test_the_page_follows_the_work_and_shows_its_end_by_itself(
    page: Page, client: TestClient, barn: Barn
) -> None:
    _, number = asked(client, barn)
    page.goto(f"/showings/{number}")
    expect(page.get_by_role("article")).to_have_attribute("data-follows", "")
    job = jobs.claim(barn, "tester")
    assert job is not None
    jobs.beat(barn, job.id, "tester", 0.4, "Making the film to show")
    expect(page.get_by_text("It is being made: 40\u00a0% is done.")).to_be_visible()
    expect(page.locator(".work .what")).to_have_text("Making a film to show of ride.mp4, 40 %")
    jobs.fail(barn, job.id, "tester", "no foot is marked in it.")
    expect(page.get_by_text("It could not be made.")).to_be_visible()


def test_a_film_that_cannot_be_read_is_named_as_the_person_named_it(client: TestClient, barn: Barn) -> None:
    clip = a_clip(barn)
    page = client.get(f"/film/{clip.id}/show").text
    assert "ride.mp4: expected a film" in page.replace("Ride", "ride")
    assert str(barn.home) not in page
