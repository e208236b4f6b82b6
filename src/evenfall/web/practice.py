"""Practice for the eye, and blind reading."""

import secrets
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from pydantic import BaseModel, Field

from evenfall.flow import blind, practice
from evenfall.store import Barn, answers, settings
from evenfall.store.marks import Act
from evenfall.web.barn import BarnOf, DeviceName
from evenfall.web.film import ActsIn
from evenfall.web.pages import render

router = APIRouter()

SEE_OTHER = 303
SEEDS = 1_000_000_000

Reader = Annotated[str, Query(max_length=80)]
Named = Annotated[str, Form(max_length=80)]
Seed = Annotated[int, Query(ge=0, lt=SEEDS)]


@router.get("/practice", response_class=HTMLResponse)
def practice_page(
    request: Request,
    barn: BarnOf,
    ask: practice.Kind | None = None,
    reader: Reader = "",
    last: int | None = None,
) -> Response:
    """Ask, and say how the last answer went."""
    name = _reader(barn, reader)
    given = answers.of_reader(barn, name)
    answered = next((each for each in given if each.id == last), None)
    return render(
        request,
        "practice.html",
        kinds=practice.KINDS,
        ask=ask,
        question=practice.next_question(barn, ask, secrets.randbelow(SEEDS)) if ask else None,
        reader=name,
        verdict=practice.verdict_of(barn, answered) if answered else None,
        scores=practice.scores(given),
    )


class AnswerIn(BaseModel):
    """An answer as the form sends it."""

    kind: practice.Kind
    clip: int
    at: int
    said: str
    reader: str = Field(default="", max_length=80)


@router.post("/practice")
def answer(barn: BarnOf, sent: Annotated[AnswerIn, Form()]) -> Response:
    """Keep an answer and go on to the next question."""
    name = _reader(barn, sent.reader)
    asked = practice.question_of(sent.kind, sent.clip, sent.at)
    given = practice.give_answer(barn, name, asked, sent.said)
    return _to("/practice", ask=sent.kind, reader=name, last=given.id)


@router.get("/practice/picture/{clip_id}/{at}.jpg")
def picture(barn: BarnOf, clip_id: int, at: int) -> Response:
    """The picture of a landing."""
    return Response(practice.picture_at(barn, clip_id, at), media_type="image/jpeg")


@router.get("/blind", response_class=HTMLResponse)
def blind_page(request: Request, barn: BarnOf, reader: Reader = "") -> Response:
    """Offer a session of blind reading."""
    return render(
        request,
        "blind.html",
        reading=None,
        reader=_reader(barn, reader),
        films=len(blind.films_of(barn, 0)),
    )


@router.post("/blind")
def begin(
    barn: BarnOf,
    reader: Named = "",
    seed: Annotated[int | None, Form(ge=0, lt=SEEDS)] = None,
    place: Annotated[int, Form(ge=0)] = 0,
) -> Response:
    """Begin a session, or go on to its next film."""
    drawn = secrets.randbelow(SEEDS) if seed is None else seed
    name = _reader(barn, reader)
    reading = blind.begin(barn, drawn, place, name)
    if reading is None:
        return _to("/blind", reader=name)
    return _to(f"/blind/{reading.id}", seed=drawn, place=place)


@router.get("/blind/{reading_id}", response_class=HTMLResponse)
def blind_film(request: Request, barn: BarnOf, reading_id: int, seed: Seed = 0, place: int = 0) -> Response:
    """One film to read blind."""
    reading = blind.blind_reading(barn, reading_id)
    return render(
        request, "blind.html", reading=reading, seed=seed, place=place, films=len(blind.films_of(barn, seed))
    )


@router.get("/blind/{reading_id}/agreement", response_class=HTMLResponse)
def agreement(request: Request, barn: BarnOf, reading_id: int, seed: Seed = 0, place: int = 0) -> Response:
    """How far this reading agrees with oneself and with others."""
    reading = blind.blind_reading(barn, reading_id)
    return render(
        request,
        "agreement.html",
        reading=reading,
        seed=seed,
        place=place,
        films=len(blind.films_of(barn, seed)),
        compared=blind.agreements(barn, reading_id),
        marked=bool(blind.marks_data(barn, reading_id)["marks"]),
    )


@router.get("/api/readings/{reading_id}/marks")
def marks(barn: BarnOf, reading_id: int) -> dict[str, Any]:
    """The marks of a blind reading."""
    return blind.marks_data(barn, reading_id)


@router.post("/api/readings/{reading_id}/marks")
def act(barn: BarnOf, device: DeviceName, reading_id: int, body: ActsIn) -> dict[str, Any]:
    """Mark in a blind reading."""
    return blind.act(barn, reading_id, [Act(**each.model_dump()) for each in body.acts], device)


def _reader(barn: Barn, name: str) -> str:
    """Who answers: the name that was given, else the barn's usual reader."""
    return name.strip() or settings.get(barn).reader or "reader"


def _to(path: str, **query: object) -> Response:
    return RedirectResponse(f"{path}?{urlencode(query)}", SEE_OTHER)
