"""A drawn film in a barn, served, and hands on its page: keys, thumbs, and what they count to."""

import io
import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from shutil import copyfile
from typing import Any

from playwright.sync_api import Page, expect

from evenfall.cli.app import run
from evenfall.cli.context import Context
from evenfall.clip import open_clip
from evenfall.clip.proxy import make_proxy
from evenfall.contacts import Contact, Contacts, Event
from evenfall.demo import as_marked
from evenfall.flow.clips import describe, proxy_path
from evenfall.store import Barn, clips, horses, outings
from evenfall.store.records import HorseFields, OutingFields
from evenfall.synth import Scene, draw_film, symmetrical

RIDE = symmetrical(0.60, 35, 54, 54)
SCENE = Scene(width=320, height=180, fps=30, duration_s=6.8, coat="chestnut", seed=3)
KEYS = {"LF": "f", "LH": "d", "RF": "j", "RH": "k"}
FOOT = {"LF": "left fore", "LH": "left hind", "RF": "right fore", "RH": "right hind"}


@dataclass(frozen=True)
class Drawn:
    """A drawn film and its contacts, each on the first picture that shows it."""

    film: Path
    marked: Contacts
    times_s: Sequence[float]

    def landings(self, strides: int) -> list[Contact]:
        """All landings of so many strides, the closing ones of all four feet included."""
        found = [mark for mark in self.marked if mark.event is Event.ON]
        return found[: 4 * (strides + 1)]

    def proxy(self, folder: Path) -> Path:
        """The film made light to step through."""
        made = folder / "proxy.mp4"
        make_proxy(open_clip(self.film), made)
        return made

    def picture(self, mark: Contact) -> int:
        """The picture a mark lies on."""
        return min(range(len(self.times_s)), key=lambda i: abs(self.times_s[i] - mark.time_s))


def draw(to: Path) -> Drawn:
    truth = draw_film(to, RIDE, SCENE)
    clock = open_clip(to).timebase
    return Drawn(to, as_marked(truth, clock), clock.times_s.tolist())


def keep(barn: Barn, film: Path, *, name: str = "pass.mp4", made_ready: bytes | None = None) -> int:
    """Keep a film of a horse asked for a fox trot, and make it ready to step through if it is given so."""
    part = copyfile(film, barn.home / "film.part")
    horse = horses.add(barn, HorseFields(name="Biscuit", goal="fox trot", height_m=1.52))
    outing = outings.add(barn, OutingFields(horse_id=horse.id, on_date=date(2026, 5, 1)))
    clip = clips.keep(barn, part, name=name, outing_id=outing.id)[0]
    if made_ready is not None:
        describe(barn, clip.id)
        proxy_path(barn, clip).write_bytes(made_ready)
        clips.ready(barn, clip.id)
    return clip.id


def doubted(contacts: Contacts, every: int) -> Contacts:
    """A machine's reading: sure of most marks, not of every so-manieth."""
    marks = (replace(mark, source="film", sd_s=0.0, confidence=0.97) for mark in contacts)
    return Contacts(
        replace(mark, confidence=0.62) if n % every == 2 else mark for n, mark in enumerate(marks)
    )


class Hands:
    """Hands on the film page; ``acts`` counts every press and tap."""

    def __init__(self, page: Page, address: str, *, wait: bool = True) -> None:
        self.page, self.address, self.acts = page, address, 0
        page.goto(address)
        if wait:
            page.wait_for_selector("[data-film-page][data-ready]")

    @property
    def index(self) -> int:
        return int(self.page.get_attribute("[data-film-page]", "data-index") or -1)

    def press(self, key: str) -> None:
        self.acts += 1
        self.page.keyboard.press(key)

    def tap(self, name: str) -> None:
        self.acts += 1
        self.page.get_by_role("button", name=name, exact=False).first.tap()

    def step_by_keys(self, to: int) -> None:
        self._step(
            to,
            lambda by: self.press(f"{'Shift+' if abs(by) == 10 else ''}Arrow{'Right' if by > 0 else 'Left'}"),
        )

    def step_by_thumb(self, to: int) -> None:
        self._step(to, self._tap_step)

    def _tap_step(self, by: int) -> None:
        self.acts += 1
        self.page.locator(f"[data-act=step][data-by='{by}']").tap()

    def _step(self, to: int, does: Any) -> None:
        left = to - self.index
        tens = round(left / 10)
        for _ in range(abs(tens)):
            does(10 if tens > 0 else -10)
        ones = left - 10 * tens
        for _ in range(abs(ones)):
            does(1 if ones > 0 else -1)
        self.at(to)

    def at(self, picture: int) -> None:
        expect(self.page.locator("[data-film-page]")).to_have_attribute("data-index", str(picture))

    def saved(self) -> None:
        expect(self.page.locator("[data-part=saved]")).to_have_text("Saved")

    def own(self) -> list[dict[str, Any]]:
        """A person's marks, as the barn keeps them."""
        return [mark for mark in self.json("marks")["marks"] if mark["by"] == "person"]

    def csv(self) -> str:
        return self.page.request.get(self.api("marks.csv")).text()

    def json(self, what: str) -> Any:
        return self.page.request.get(self.api(what)).json()

    def api(self, what: str) -> str:
        root, clip = self.address.rsplit("/film/", 1)
        return f"{root}/api/clips/{clip}/{what}"


def command_line(film: Path, contacts: str, folder: Path) -> dict[str, Any]:
    """What ``evenfall read --contacts --json`` prints."""
    file = folder / "marks.csv"
    file.write_text(contacts)
    out = io.StringIO()
    words = ["read", str(film), "--contacts", str(file), "--goal", "fox trot", "--json"]
    run(words, Context(io.StringIO(), out, io.StringIO()))
    answer: dict[str, Any] = json.loads(out.getvalue())
    return answer
