"""Every public function of the store, called once, and whether it writes: for trying them on a barn in trouble."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from evenfall.store import (
    Barn,
    answers,
    changes,
    checklists,
    clips,
    costs,
    devices,
    edits,
    flags,
    horses,
    jobs,
    ladders,
    marks,
    measures,
    outings,
    passes,
    plans,
    readings,
    results,
    settings,
    setups,
    shares,
    showings,
    uploads,
    weighings,
)
from evenfall.store import bin as barn_bin
from evenfall.store.engine import now
from evenfall.store.records import (
    BarnSettings,
    ChecklistFields,
    ClipRecord,
    FlagFields,
    HorseFields,
    OutingFields,
    PlanSettings,
    SetupFields,
    WeighingFields,
)
from evenfall.store.records_out import CostFields
from tests.store.keeping import DAY, a_film, adding, contacts, data
from tests.store.wearing import a_checklist, a_cost, a_flag, a_setup, a_share, a_weighing

MODULES = (
    answers,
    barn_bin,
    changes,
    checklists,
    clips,
    costs,
    devices,
    edits,
    flags,
    horses,
    jobs,
    ladders,
    marks,
    measures,
    outings,
    passes,
    plans,
    readings,
    results,
    settings,
    setups,
    shares,
    showings,
    uploads,
    weighings,
)
Call = Callable[[Barn, "Kept"], Any]


@dataclass(frozen=True)
class Kept:
    """What a barn holds before it gets into trouble."""

    clip: ClipRecord
    horse_id: int
    reading_id: int
    upload_id: str
    part: Path
    token: str
    secret: str
    job_id: int
    undone_id: int


def keep(barn: Barn) -> Kept:
    """Fill a barn with one of each."""
    horse = horses.add(barn, HorseFields("Dusty"))
    outing = outings.add(barn, OutingFields(horse.id, DAY))
    clip, _ = clips.keep(barn, a_film(barn), name="x.mp4", outing_id=outing.id)
    reading = readings.person(barn, clip.id)
    marks.act(barn, reading.id, [adding("a")])
    readings.save_machine(barn, clip.id, contacts(0.1), method="film", version="1", settings={})
    measures.add(barn, clip.id, "head", {})
    results.save(barn, clip.id, data(), 1)
    job = jobs.add(barn, clip.id, "read")
    jobs.claim(barn, "w")
    upload = uploads.begin(barn, key="k", name="x", size=4, outing_id=outing.id)
    uploads.append(barn, upload.id, 0, b"more")
    for wear in (a_setup, a_weighing, a_flag, a_checklist, a_cost, a_share):
        wear(barn, horse.id)
    showings.add(barn, clip.id, None, {})
    flags.clear(barn, a_flag(barn, horse.id, outing_id=outing.id).id, cleared_by="Ann", on=DAY)
    ladders.save(barn, horse.id, {"at": 0})
    plans.change(barn, {"cap_foot_kg": 0.5})
    horses.change(barn, horse.id, HorseFields("Dusty", note="calm"))
    undone = edits.undo(barn, edits.recent(barn, 1)[0].id)
    part, secret, token = a_film(barn, b"new"), devices.add(barn, "phone")[1], devices.offer(barn)
    return Kept(clip, horse.id, reading.id, upload.id, part, token, secret, job.id, undone.id)


READ: dict[str, Call] = {
    "answers.of_reader": lambda b, _: answers.of_reader(b, "Ann"),
    "bin.items": lambda b, _: barn_bin.items(b),
    "changes.standing": lambda b, _: changes.standing(b),
    "checklists.get": lambda b, _: checklists.get(b, 1),
    "checklists.of_barn": lambda b, _: checklists.of_barn(b),
    "checklists.of_horse": lambda b, k: checklists.of_horse(b, k.horse_id),
    "clips.derived": lambda b, k: clips.derived(b, k.clip),
    "clips.get": lambda b, k: clips.get(b, k.clip.id),
    "clips.of_horse": lambda b, k: clips.of_horse(b, k.horse_id),
    "clips.of_outing": lambda b, k: clips.of_outing(b, k.clip.outing_id),
    "clips.original": lambda b, k: clips.original(b, k.clip),
    "costs.checked_cost": lambda _, k: costs.checked_cost(CostFields(k.horse_id, DAY, "vet", 1)),
    "costs.get": lambda b, _: costs.get(b, 1),
    "costs.of_horse": lambda b, k: costs.of_horse(b, k.horse_id),
    "devices.by_secret": lambda b, k: devices.by_secret(b, k.secret),
    "devices.every": lambda b, _: devices.every(b),
    "edits.clip_of": lambda b, _: edits.clip_of(b, edits.recent(b)[-1]),
    "edits.films_of": lambda b, _: edits.films_of(b, edits.recent(b)),
    "edits.get": lambda b, k: edits.get(b, k.undone_id),
    "edits.last_of": lambda b, k: edits.last_of(b, "horses", k.horse_id, after=0, by=""),
    "edits.newest": lambda b, _: edits.newest(b),
    "edits.recent": lambda b, _: edits.recent(b),
    "edits.said": lambda _, __: edits.said("birth_year"),
    "flags.get": lambda b, _: flags.get(b, 1),
    "flags.of_horse": lambda b, k: flags.of_horse(b, k.horse_id),
    "flags.standing": lambda b, _: flags.standing(b),
    "horses.every": lambda b, _: horses.every(b),
    "horses.get": lambda b, k: horses.get(b, k.horse_id),
    "jobs.changed_since": lambda b, _: jobs.changed_since(b, now()),
    "jobs.get": lambda b, k: jobs.get(b, k.job_id),
    "jobs.unasked": lambda b, _: jobs.unasked(b),
    "jobs.live": lambda b, _: jobs.live(b),
    "jobs.of_clip": lambda b, k: jobs.of_clip(b, k.clip.id),
    "jobs.put_off": lambda b, k: jobs.put_off(b, k.job_id, "w"),  # writes only where the film is in the bin
    "ladders.of_barn": lambda b, _: ladders.of_barn(b),
    "ladders.of_horse": lambda b, k: ladders.of_horse(b, k.horse_id),
    "marks.of": lambda b, k: marks.of(b, k.reading_id),
    "marks.spoken_of": lambda b, k: marks.spoken_of(b, k.reading_id),
    "measures.of_clip": lambda b, k: measures.of_clip(b, k.clip.id),
    "outings.every": lambda b, _: outings.every(b),
    "outings.get": lambda b, k: outings.get(b, k.clip.outing_id),
    "outings.of_horse": lambda b, k: outings.of_horse(b, k.horse_id),
    "passes.films_of": lambda b, k: passes.films_of(b, k.horse_id),
    "passes.measures_of": lambda b, _: passes.measures_of(b),
    "plans.get": lambda b, _: plans.get(b),
    "readings.machine": lambda b, k: readings.machine(b, k.clip.id),
    "readings.of_clip": lambda b, k: readings.of_clip(b, k.clip.id),
    "readings.person": lambda b, k: readings.person(b, k.clip.id),
    "results.latest_by_horse": lambda b, _: results.latest_by_horse(b),
    "results.of_clip": lambda b, k: results.of_clip(b, k.clip.id),
    "results.of_horse": lambda b, k: results.of_horse(b, k.horse_id),
    "settings.get": lambda b, _: settings.get(b),
    "setups.get": lambda b, _: setups.get(b, 1),
    "setups.of_barn": lambda b, _: setups.of_barn(b),
    "setups.of_horse": lambda b, k: setups.of_horse(b, k.horse_id),
    "setups.worn_on": lambda b, k: setups.worn_on(b, k.horse_id, DAY),
    "shares.by_secret": lambda b, _: shares.by_secret(b, "x", now=now()),
    "shares.every": lambda b, _: shares.every(b),
    "shares.live": lambda b, _: shares.live(b, now=now()),
    "shares.of_horse": lambda b, k: shares.of_horse(b, k.horse_id),
    "showings.get": lambda b, _: showings.get(b, 1),
    "showings.of_clip": lambda b, k: showings.of_clip(b, k.clip.id),
    "showings.of_horse": lambda b, k: showings.of_horse(b, k.horse_id),
    "uploads.append": lambda b, k: uploads.append(b, k.upload_id, 4, b""),
    "uploads.get": lambda b, k: uploads.get(b, k.upload_id),
    "uploads.on_their_way": lambda b, _: uploads.on_their_way(b),
    "weighings.get": lambda b, _: weighings.get(b, 1),
    "weighings.of_barn": lambda b, _: weighings.of_barn(b),
    "weighings.of_horse": lambda b, k: weighings.of_horse(b, k.horse_id),
}
"""Those that only look; a part of a film goes into its file, not into the record."""

WRITE: dict[str, Call] = {
    "answers.add": lambda b, _: answers.add(b, "Ann", kind="name", question={}, answer={}),
    "bin.empty": lambda b, _: barn_bin.empty(b, now=now()),
    "bin.restore": lambda b, k: barn_bin.restore(b, "clips", k.clip.id),
    "checklists.add": lambda b, k: a_checklist(b, k.horse_id),
    "checklists.change": lambda b, k: checklists.change(b, 1, ChecklistFields(k.horse_id, DAY, ())),
    "checklists.delete": lambda b, _: checklists.delete(b, 1),
    "clips.change": lambda b, k: clips.change(b, k.clip.id, capture_fps=60.0, facing=None),
    "clips.delete": lambda b, k: clips.delete(b, k.clip.id),
    "clips.described": lambda b, k: clips.described(
        b, k.clip.id, width=1, height=1, frames=1, duration_s=1.0
    ),
    "clips.failed": lambda b, k: clips.failed(b, k.clip.id, "no"),
    "clips.keep": lambda b, k: clips.keep(b, k.part, name="n.mp4", outing_id=k.clip.outing_id),
    "clips.ready": lambda b, k: clips.ready(b, k.clip.id),
    "costs.add": lambda b, k: a_cost(b, k.horse_id),
    "costs.change": lambda b, k: costs.change(b, 1, CostFields(k.horse_id, DAY, "vet", 900)),
    "costs.delete": lambda b, _: costs.delete(b, 1),
    "devices.add": lambda b, _: devices.add(b, "phone"),
    "devices.offer": lambda b, _: devices.offer(b),
    "devices.revoke": lambda b, _: devices.revoke(b, 1),
    "devices.take": lambda b, k: devices.take(b, k.token, "phone"),
    "edits.redo": lambda b, k: edits.redo(b, k.undone_id),
    "edits.undo": lambda b, _: edits.undo(b, 1),
    "flags.clear": lambda b, _: flags.clear(b, 1, cleared_by="Ann", on=DAY),
    "flags.delete": lambda b, _: flags.delete(b, 1),
    "flags.raise_flag": lambda b, k: flags.raise_flag(b, FlagFields(k.horse_id, DAY, "unlike itself")),
    "horses.add": lambda b, _: horses.add(b, HorseFields("Bess")),
    "horses.change": lambda b, k: horses.change(b, k.horse_id, HorseFields("Dust")),
    "horses.delete": lambda b, k: horses.delete(b, k.horse_id),
    "jobs.add": lambda b, k: jobs.add(b, k.clip.id, "proxy"),
    "jobs.add_each": lambda b, k: jobs.add_each(b, k.clip.id, "proxy", "read"),
    "jobs.beat": lambda b, k: jobs.beat(b, k.job_id, "w", 0.5),
    "jobs.cancel": lambda b, k: jobs.cancel(b, k.job_id),
    "jobs.claim": lambda b, _: jobs.claim(b, "w"),
    "jobs.done": lambda b, k: jobs.done(b, k.job_id, "w"),
    "jobs.fail": lambda b, k: jobs.fail(b, k.job_id, "w", "no"),
    "jobs.release": lambda b, k: jobs.release(b, k.job_id, "w"),
    "jobs.retry": lambda b, k: jobs.retry(b, k.job_id),
    "ladders.save": lambda b, k: ladders.save(b, k.horse_id, {"at": 1}),
    "marks.act": lambda b, k: marks.act(b, k.reading_id, [adding("b")]),
    "measures.add": lambda b, k: measures.add(b, k.clip.id, "head", {}),
    "measures.delete": lambda b, k: measures.delete(b, k.clip.id, 1),
    "outings.add": lambda b, k: outings.add(b, OutingFields(k.horse_id, DAY)),
    "outings.change": lambda b, k: outings.change(
        b, k.clip.outing_id, OutingFields(k.horse_id, DAY, note="n")
    ),
    "outings.delete": lambda b, k: outings.delete(b, k.clip.outing_id),
    "plans.change": lambda b, _: plans.change(b, {"cap_foot_kg": 0.4}),
    "plans.save": lambda b, _: plans.save(b, PlanSettings(worthwhile_pct=3.0)),
    "readings.begin_blind": lambda b, k: readings.begin_blind(b, k.clip.id, "Ann"),
    "readings.save_machine": lambda b, k: readings.save_machine(
        b, k.clip.id, contacts(0.2), method="film", version="1", settings={}
    ),
    "results.save": lambda b, k: results.save(b, k.clip.id, data(40.0), 9),
    "settings.change": lambda b, _: settings.change(b, {"goal": "rack"}),
    "settings.save": lambda b, _: settings.save(b, BarnSettings(goal="rack")),
    "setups.add": lambda b, k: a_setup(b, k.horse_id),
    "setups.change": lambda b, k: setups.change(b, 1, SetupFields(k.horse_id, DAY, {})),
    "setups.delete": lambda b, _: setups.delete(b, 1),
    "shares.make": lambda b, k: a_share(b, k.horse_id),
    "shares.opened": lambda b, _: shares.opened(b, 1, now()),
    "shares.revoke": lambda b, _: shares.revoke(b, 1),
    "showings.add": lambda b, k: showings.add(b, k.clip.id, None, {"slow": 2.0}),
    "showings.delete": lambda b, _: showings.delete(b, 1),
    "uploads.begin": lambda b, k: uploads.begin(b, key="z", name="x", size=4, outing_id=k.clip.outing_id),
    "uploads.cancel": lambda b, k: uploads.cancel(b, k.upload_id),
    "uploads.finish": lambda b, k: uploads.finish(b, k.upload_id),
    "weighings.add": lambda b, k: a_weighing(b, k.horse_id),
    "weighings.change": lambda b, k: weighings.change(
        b, 1, WeighingFields(k.horse_id, "LH", DAY, "worn", 0.3)
    ),
    "weighings.delete": lambda b, _: weighings.delete(b, 1),
}
"""Those that write into the record."""

FINDS_NOTHING = {"jobs.claim", "jobs.retry", "bin.empty", "bin.restore"}
"""Of those, the ones that here find nothing to write."""
