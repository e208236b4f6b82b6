"""The film page and what it asks for: times, marks, the answer, steadying, measures."""

from contextlib import suppress
from datetime import date
from typing import Any, Literal

from fastapi import APIRouter, BackgroundTasks, Request, Response, status
from fastapi.responses import HTMLResponse, RedirectResponse
from pydantic import BaseModel, Field

from evenfall.errors import EvenfallError
from evenfall.flow import clips as film_clips
from evenfall.flow import marking, measuring
from evenfall.flow.gates import standing_of
from evenfall.flow.setups import growth_line, setup_on
from evenfall.store import Barn, clips, horses, jobs, measures, outings, settings
from evenfall.store.marks import Act
from evenfall.store.records import ClipRecord, Job
from evenfall.web.barn import BarnOf, DeviceName, Sent
from evenfall.web.pages import render
from evenfall.web.work import wake

router = APIRouter()

Data = dict[str, Any]


class ActIn(BaseModel):
    """One act on a mark, as a page sends it."""

    op: str = Field(min_length=1, max_length=64)
    act: Literal["add", "move", "delete", "restore"]
    id: str = Field(min_length=1, max_length=64)
    limb: Literal["LF", "RF", "LH", "RH"] | None = None
    event: Literal["on", "off"] | None = None
    time_s: float | None = Field(default=None, allow_inf_nan=False)
    stands_for: str | None = Field(default=None, max_length=64)
    rejected: bool = False


class ActsIn(BaseModel):
    """Acts that are done together or not at all."""

    acts: list[ActIn] = Field(max_length=2000)


class MeasureIn(BaseModel):
    """Clicks on one picture."""

    kind: Literal["head", "hoof"]
    points: dict[str, Any]


@router.get("/film/{clip_id}", response_class=HTMLResponse)
def film_page(request: Request, barn: BarnOf, clip_id: int) -> Response:
    """The film page: what are the feet doing."""
    clip = clips.get(barn, clip_id)
    outing = outings.get(barn, clip.outing_id)
    others = [each for each in clips.of_outing(barn, outing.id) if each.id != clip.id]
    worn = setup_on(barn, outing.horse_id, outing.on_date)
    return render(
        request,
        "film.html",
        clip=clip,
        outing=outing,
        horse=horses.get(barn, outing.horse_id),
        others=others,
        stands=standing_of(barn, outing, date.today()),
        growth=growth_line(worn[1], outing.on_date, settings.get(barn).units) if worn else "",
    )


@router.post("/film/{clip_id}/about")
def about(request: Request, barn: BarnOf, device: DeviceName, clip_id: int, sent: Sent) -> Response:
    """Write down a film's true rate and which way the horse goes in it."""
    rate, facing = (str(sent.get(name, "")) for name in ("capture_fps", "facing"))
    film_clips.say_of(barn, clip_id, rate=rate, facing=facing, by=device)
    _kept_up(barn, clip_id)
    wake(request)
    return RedirectResponse(f"/film/{clip_id}", status.HTTP_303_SEE_OTHER)


@router.get("/api/clips/{clip_id}")
def clip_data(barn: BarnOf, clip_id: int) -> Data:
    """What a page must know of a clip before it shows it."""
    clip = clips.get(barn, clip_id)
    outing = outings.get(barn, clip.outing_id)
    horse = horses.get(barn, outing.horse_id)
    ready = film_clips.proxy_path(barn, clip).is_file()
    return {
        "id": clip.id, "name": clip.name, "state": clip.state, "problem": clip.problem,
        "width": clip.width, "height": clip.height, "facing": clip.facing, "capture_fps": clip.capture_fps,
        "film": f"/api/clips/{clip.id}/film" if ready else None,
        "horse": {"id": horse.id, "name": horse.name},
        "outing": {"id": outing.id, "on_date": outing.on_date.isoformat()},
        "others": [_named(each) for each in clips.of_outing(barn, outing.id) if each.id != clip.id],
        "jobs": [_job(each) for each in jobs.live(barn) if each.clip_id == clip_id],
    }  # fmt: skip


@router.get("/api/clips/{clip_id}/times")
def times(barn: BarnOf, clip_id: int) -> Data:
    """When each picture is shown."""
    return film_clips.times(barn, clip_id)


@router.get("/api/clips/{clip_id}/steadying")
def steadying(barn: BarnOf, clip_id: int) -> list[Any] | None:
    """How the ground moved from picture to picture, where that is known."""
    return film_clips.steadying(barn, clip_id)


@router.get("/api/clips/{clip_id}/marks")
def marks(barn: BarnOf, clip_id: int) -> Data:
    """Every mark, whose it is, and which to check."""
    return marking.marks_data(barn, clip_id)


@router.post("/api/clips/{clip_id}/marks")
def act(barn: BarnOf, device: DeviceName, clip_id: int, body: ActsIn, after: BackgroundTasks) -> Data:
    """Do acts on marks; what they come to is kept too, whether or not the page stays to ask for it."""
    after.add_task(_kept_up, barn, clip_id)
    return marking.act(barn, clip_id, [Act(**each.model_dump()) for each in body.acts], device)


@router.get("/api/clips/{clip_id}/marks.csv")
def marks_file(barn: BarnOf, clip_id: int) -> Response:
    """The contacts that count, as a contacts file."""
    name = clips.get(barn, clip_id).name.rpartition(".")[0] or f"clip-{clip_id}"
    plain = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in name)
    headers = {"Content-Disposition": f'attachment; filename="{plain}.contacts.csv"'}
    return Response(marking.contacts_file(barn, clip_id), media_type="text/csv", headers=headers)


@router.get("/api/clips/{clip_id}/reading")
def reading(barn: BarnOf, clip_id: int, *, narrow: bool = False, drawn: bool = True) -> Data:
    """The answer on the marks that count."""
    return marking.reading_page(barn, clip_id, narrow=narrow, drawn=drawn)


@router.get("/api/clips/{clip_id}/ground")
def ground(request: Request, barn: BarnOf, clip_id: int, *, narrow: bool = False) -> Data:
    """What the film itself showed of the feet, or that it is being prepared."""
    to_come = film_clips.ground_to_come(barn, clip_id)
    if to_come:
        wake(request)
    return {**marking.ground_page(barn, clip_id, narrow=narrow), "to_come": to_come}


@router.get("/api/clips/{clip_id}/measures")
def measured(barn: BarnOf, clip_id: int) -> Data:
    """What was measured by clicks."""
    return measuring.measures_page(barn, clip_id)


@router.post("/api/clips/{clip_id}/measures")
def measure(barn: BarnOf, device: DeviceName, clip_id: int, body: MeasureIn) -> Data:
    """Keep one picture's clicks."""
    measuring.add_measure(barn, clip_id, body.kind, body.points, device)
    return measuring.measures_page(barn, clip_id)


@router.delete("/api/clips/{clip_id}/measures/{measure_id}")
def unmeasure(barn: BarnOf, device: DeviceName, clip_id: int, measure_id: int) -> Data:
    """Drop one picture's clicks."""
    measures.delete(barn, clip_id, measure_id, by=device)
    return measuring.measures_page(barn, clip_id)


def _kept_up(barn: Barn, clip_id: int) -> None:
    with suppress(EvenfallError):  # whoever asks for the answer is told why there is none
        marking.refresh(barn, clip_id)


def _job(job: Job) -> Data:
    return {
        "id": job.id,
        "kind": job.kind,
        "state": job.state,
        "progress": job.progress,
        "message": job.message,
    }


def _named(clip: ClipRecord) -> Data:
    return {"id": clip.id, "name": clip.name}
