"""Was it real, as it is seen and used; and two films that stay in step."""

import shutil
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from playwright.sync_api import Page, expect

from evenfall.clip import open_clip
from evenfall.clip import proxy as proxies
from evenfall.flow.clips import make_proxy, proxy_path
from evenfall.flow.compare import compare_sides
from evenfall.flow.marking import refresh
from evenfall.store import Barn, clips, flags, outings, plans, readings, settings
from evenfall.store.records import FlagFields, Horse, OutingFields
from tests.flow.comparing import Changed, one_change, two_changes
from tests.flow.riding import answered, horse
from tests.making import even_ticks, regular, write_film
from tests.web.looking import THEMES, assert_fit_for_all

FPS = 60


@pytest.fixture(autouse=True)
def nothing_goes_on(app: FastAPI) -> Iterator[None]:
    """What a page began to work out is done before the barn is closed."""
    yield
    app.state.answering.wait(60)


@pytest.fixture
def changed(barn: Barn) -> Changed:
    return one_change(barn)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("&#39;", "'")


def test_the_page_says_what_the_flow_says_without_script(
    client: TestClient, barn: Barn, changed: Changed
) -> None:
    shown = plain(client.get(f"/horses/{changed.horse.id}/compare").text)
    told = compare_sides(barn, *changed.keys, today=date.today())
    for sentence in (told.title, *told.sentences, *told.warnings, *told.grounds, *told.growth):
        assert sentence in shown
    assert '<option value="setup:1" selected>from 2 March 2026</option>' in shown


def test_two_levers_are_warned_of_and_a_flag_stands_on_the_page(client: TestClient, barn: Barn) -> None:
    changed = two_changes(barn)
    flags.raise_flag(barn, FlagFields(changed.horse.id, date.today(), "heat or swelling in a leg"))
    shown = plain(client.get(f"/horses/{changed.horse.id}/compare").text)
    assert "2 things were changed at once" in shown
    assert "Vet or farrier first" in shown


def test_the_words_lame_and_sound_are_not_on_the_page(client: TestClient, changed: Changed) -> None:
    for path in (f"/horses/{changed.horse.id}/compare", f"/answered?horse={changed.horse.id}"):
        words = client.get(path).text.lower().split()
        assert not {"lame", "sound", "lameness", "soundness"} & set(words)


def test_what_is_chosen_is_compared(client: TestClient, changed: Changed) -> None:
    sides = {"before": f"clip:{changed.before[0]}", "after": f"clip:{changed.after[-1]}"}
    shown = plain(client.get(f"/horses/{changed.horse.id}/compare", params=sides).text)
    assert "Cannot tell yet: " in shown
    assert f'<option value="{sides["after"]}" selected>' in shown


def test_a_wrong_side_is_told_on_the_page_and_a_missing_horse_is_not_found(
    client: TestClient, changed: Changed
) -> None:
    shown = client.get(f"/horses/{changed.horse.id}/compare?before=nonsense")
    assert shown.status_code == 200
    assert "Expected clip:7" in shown.text
    assert client.get("/horses/99/compare").status_code == 404
    wrong = client.get(f"/api/horses/{changed.horse.id}/compare/chart?before=clip:1&after=x")
    assert (wrong.status_code, wrong.json()["error"]["code"]) == (422, "wrong_setting")


def test_the_smallest_worthwhile_change_is_kept(client: TestClient, barn: Barn, changed: Changed) -> None:
    path = f"/horses/{changed.horse.id}/compare"
    sent = {"before": changed.keys[0], "after": changed.keys[1], "worthwhile_pct": "3"}
    saved = client.post(f"{path}/worthwhile", data=sent)
    assert (saved.status_code, saved.headers["location"]) == (303, f"{path}?before=setup%3A1&after=setup%3A2")
    assert plans.get(barn).worthwhile_pct == 3
    wrong = client.post(f"{path}/worthwhile", data=sent | {"worthwhile_pct": "lots"})
    assert wrong.status_code == 422
    assert "Expected a number of points" in wrong.text


def test_the_chart_is_drawn_with_its_table(page: Page, changed: Changed) -> None:
    page.goto(f"/horses/{changed.horse.id}/compare")
    expect(page.locator("evenfall-compare-chart svg")).to_be_visible()
    page.get_by_text("Before and after as numbers").click()
    expect(page.locator("evenfall-compare-chart tbody tr")).to_have_count(13)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("width", [1280, 360])
def test_the_page_can_be_used_by_anyone(page: Page, barn: Barn, changed: Changed, theme: str) -> None:
    settings.change(barn, {"theme": theme})
    page.goto(f"/horses/{changed.horse.id}/compare")
    expect(page.locator("evenfall-compare-chart svg")).to_be_visible()
    page.get_by_text("Smallest worthwhile change: 2 points").click()
    assert_fit_for_all(page)


def test_off_on_off_is_chosen_and_told(client: TestClient, barn: Barn) -> None:
    bay = horse(barn)
    films = [(part, answered(barn, bay, days_ago=2, phase=phase).id) for part, phase in (("off", 38.0), ("off", 38.2), ("on", 30.0), ("on", 30.4), ("again", 38.3), ("again", 37.8))]  # fmt: skip
    path = f"/horses/{bay.id}/compare/day"
    assert "Which film is which" in client.get(path).text
    shown = plain(client.get(path, params={f"film{number}": part for part, number in films}).text)
    assert "with it on, 7.9 points toward pace (95 %: " in shown
    assert "Off again" in shown


@pytest.mark.parametrize("width", [1280, 360])
def test_off_on_off_can_be_used_by_anyone(page: Page, barn: Barn) -> None:
    bay = horse(barn)
    for phase in (38.0, 30.0, 38.0):
        answered(barn, bay, days_ago=2, phase=phase)
    page.goto(f"/horses/{bay.id}/compare/day")
    assert_fit_for_all(page)


# two films ---------------------------------------------------------------------------------------------------


Made = Mapping[float, tuple[Path, bytes]]


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """Films by how long their strides will be said to take, each with itself made light to step through."""
    folder = tmp_path_factory.mktemp("films")
    films = {}
    for stride_s in (0.53, 0.67, 0.6):
        name = f"stride of {stride_s} s.mp4"
        film = write_film(folder / name, even_ticks(330, FPS), size=(160, 90), metadata={"title": name})
        proxies.make_proxy(open_clip(film), folder / f"light {name}")
        films[stride_s] = film, (folder / f"light {name}").read_bytes()
    return films


def filmed(barn: Barn, made: Made, of: Horse, stride_s: float, day: int, *, n: int = 7) -> int:
    """A film that can be stepped, whose strides take so long."""
    outing = outings.add(barn, OutingFields(of.id, date(2026, 5, day)))
    film, light = made[stride_s]
    part = barn.home / "incoming" / f"{day}.part"
    shutil.copy(film, part)
    clip, _ = clips.keep(barn, part, name=film.name, outing_id=outing.id)
    readings.save_machine(
        barn, clip.id, regular(stride_s=stride_s, n=n, sd_s=0.004), method="film", version="1", settings={}
    )
    proxy_path(barn, clip).write_bytes(light)
    make_proxy(barn, clip.id)
    refresh(barn, clip.id)
    return clip.id


@pytest.fixture
def two(barn: Barn, made: Made) -> tuple[Horse, tuple[int, int]]:
    bay = horse(barn)
    return bay, (filmed(barn, made, bay, 0.53, 3), filmed(barn, made, bay, 0.67, 12))


def side_by_side(page: Page, two: tuple[Horse, tuple[int, int]]) -> None:
    bay, (left, right) = two
    page.goto(f"/horses/{bay.id}/compare?before=clip:{left}&after=clip:{right}")
    expect(page.locator("[data-in-step][data-ready]")).to_be_visible()


STANDS = """() => {
  const { together, films } = document.querySelector("[data-in-step]").inStep;
  return { place: together.place, films: films.map(({ stepper, stride }, which) => {
    const shown = document.querySelectorAll("figure video")[which].currentTime;
    return { place: stride.place(stepper.time_s), picture: stepper.index, shown, stride_s: stride.real(together.place) };
  }) };
}"""


SEEN_ENOUGH = "() => new Promise((done) => { const look = () => (window.seen.length >= 12 ? done() : setTimeout(look, 50)); look(); })"


def assert_in_step(stands: dict[str, Any]) -> None:
    """Both films show the same place of the stride, to a picture; and what the players show is that picture."""
    for film in stands["films"]:
        picture = 1 / FPS / film["stride_s"]
        assert abs(film["place"] - stands["place"]) <= 0.51 * picture
        assert int(film["shown"] * FPS) == film["picture"]
    one, other = stands["films"]
    assert abs(one["place"] - other["place"]) <= 1 / FPS / min(one["stride_s"], other["stride_s"])


def test_both_films_stay_in_step_over_twenty_steps(page: Page, two: tuple[Horse, tuple[int, int]]) -> None:
    side_by_side(page, two)
    onward = page.get_by_role("button", name="1/20 ▶")
    for step in range(1, 21):
        onward.click()
        expect(page.locator("[data-in-step]")).to_have_attribute("data-place", f"{step / 20:.3f}")
        assert_in_step(page.evaluate(STANDS))
    expect(page.locator("[data-part=place]")).to_have_text("Stride 2 of 7, 0\u00a0%")
    page.get_by_role("button", name="◀ 1/20").click()
    expect(page.locator("[data-part=place]")).to_have_text("Stride 1 of 7, 95\u00a0%")


def test_both_films_stay_in_step_while_they_play(page: Page, two: tuple[Horse, tuple[int, int]]) -> None:
    side_by_side(page, two)
    page.evaluate(f"""() => {{
      const page = document.querySelector("[data-in-step]"), look = {STANDS};
      window.seen = [];
      page.addEventListener("placed", () => window.seen.push(look()));
    }}""")
    page.get_by_role("group", name="Two films in step").get_by_role("button", name="Play").press("Enter")
    page.evaluate(SEEN_ENOUGH)
    page.get_by_role("button", name="Pause").click()
    seen = page.evaluate("window.seen")
    for stands in seen:
        assert_in_step(stands)
    places = [stands["place"] for stands in seen]
    assert places == sorted(places)
    assert places[-1] > 0


def test_the_films_are_led_by_keys(page: Page, two: tuple[Horse, tuple[int, int]]) -> None:
    side_by_side(page, two)
    page.get_by_role("button", name="1/20 ▶").focus()
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    expect(page.locator("[data-part=place]")).to_have_text("Stride 1 of 7, 15\u00a0%")
    page.get_by_label("Place in the strides").press("End")
    expect(page.locator("[data-part=place]")).to_have_text("Stride 7 of 7, 100\u00a0%")
    assert_in_step(page.evaluate(STANDS))


def test_the_comparison_says_nothing_to_the_console(page: Page, two: tuple[Horse, tuple[int, int]]) -> None:
    said: list[str] = []
    page.on("console", lambda told: said.append(told.text) if told.type in ("warning", "error") else None)
    side_by_side(page, two)
    expect(page.locator("evenfall-compare-chart svg")).to_be_visible()
    assert "\n".join(said) == ""


def test_the_foot_rows_follow_the_barns_words(
    page: Page, barn: Barn, two: tuple[Horse, tuple[int, int]]
) -> None:
    settings.change(barn, {"sides": "near-off"})
    side_by_side(page, two)
    names = page.locator("figure").first.locator(".step-name")
    assert [name[:2] for name in names.all_text_contents()] == ["NH", "NF", "OH", "OF"]


@pytest.mark.parametrize("width", [360])
def test_the_films_fit_a_phone(page: Page, two: tuple[Horse, tuple[int, int]]) -> None:
    side_by_side(page, two)
    assert_fit_for_all(page)
    expect(page.locator(".step-bars .step-stand").first).to_be_visible()


def test_a_film_with_too_few_marks_is_said_plainly(page: Page, barn: Barn, made: Made, two: Any) -> None:
    bay, (left, _) = two
    thin = filmed(barn, made, bay, 0.6, 20, n=1)
    laid = page.request.get(f"/api/horses/{bay.id}/compare/films?left={left}&right={thin}").json()
    assert laid["problem"].startswith("stride of 0.6 s.mp4: only one whole stride is marked in a row.")
