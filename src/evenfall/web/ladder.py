"""A horse's ladder: which step, what is missing, what is advised; and its steps made, changed, moved along."""

from collections.abc import Callable
from datetime import date

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from evenfall.errors import WrongSetting
from evenfall.flow import ladder_moves, step_form
from evenfall.flow.ladder import barn_proof, ladder_page
from evenfall.flow.setup_form import AIMS
from evenfall.store import Barn, edits, horses, ladders
from evenfall.web.barn import BarnOf, DeviceName, Sent
from evenfall.web.edits import saved_lately
from evenfall.web.pages import render

__all__ = ["router"]

router = APIRouter()

SEE_OTHER = 303
WRONG = 422


@router.get("/horses/{horse_id}/ladder", response_class=HTMLResponse)
def show_ladder(request: Request, barn: BarnOf, horse_id: int, edit: int | None = None) -> Response:
    """Say which step, what is missing and what to do."""
    return _shown(request, barn, horse_id, edit=edit)


@router.post("/horses/{horse_id}/ladder/new", response_class=HTMLResponse)
def make_ladder(request: Request, barn: BarnOf, device: DeviceName, horse_id: int, sent: Sent) -> Response:
    """Make the proposed ladder."""
    values = _typed(sent)
    return _done(request, barn, horse_id, device, lambda: ladder_moves.make_ladder(barn, horse_id, values, date.today(), by=device))  # fmt: skip


@router.post("/horses/{horse_id}/ladder/move", response_class=HTMLResponse)
def move(request: Request, barn: BarnOf, device: DeviceName, horse_id: int, sent: Sent) -> Response:
    """Step down, step back, or stand on a named step."""
    values = _typed(sent)
    return _done(request, barn, horse_id, device, lambda: ladder_moves.move(barn, horse_id, values, date.today(), by=device))  # fmt: skip


@router.post("/horses/{horse_id}/ladder/hold", response_class=HTMLResponse)
def hold(request: Request, barn: BarnOf, device: DeviceName, horse_id: int, sent: Sent) -> Response:
    """Stay on the step, and write down why."""
    values = _typed(sent)
    return _done(request, barn, horse_id, device, lambda: ladder_moves.hold(barn, horse_id, values, date.today(), by=device))  # fmt: skip


@router.post("/horses/{horse_id}/ladder/order", response_class=HTMLResponse)
def put_in_order(request: Request, barn: BarnOf, device: DeviceName, horse_id: int, sent: Sent) -> Response:
    """Put a step one place earlier or later."""
    values = _typed(sent)
    key, later = values.get("key", ""), values.get("way") == "later"
    return _done(request, barn, horse_id, device, lambda: ladder_moves.shift_step(barn, horse_id, key, later=later, by=device))  # fmt: skip


@router.post("/horses/{horse_id}/ladder/remove", response_class=HTMLResponse)
def remove(request: Request, barn: BarnOf, device: DeviceName, horse_id: int, sent: Sent) -> Response:
    """Take a step out."""
    key = _typed(sent).get("key", "")
    return _done(request, barn, horse_id, device, lambda: ladder_moves.remove_step(barn, horse_id, key, by=device))  # fmt: skip


@router.get("/horses/{horse_id}/ladder/step", response_class=HTMLResponse)
def ask_step(request: Request, barn: BarnOf, horse_id: int, key: str = "", after: str = "") -> Response:
    """Ask for a step, new or changed."""
    return _asked(request, barn, horse_id, step_form.step_form(barn, horse_id, key=key, after=after))


@router.post("/horses/{horse_id}/ladder/step", response_class=HTMLResponse)
def save_step(request: Request, barn: BarnOf, device: DeviceName, horse_id: int, sent: Sent) -> Response:
    """Keep a step."""
    form = step_form.read_step_form(barn, horses.get(barn, horse_id).id, _typed(sent))
    if form.step is None:
        return _asked(request, barn, horse_id, form)
    return _done(request, barn, horse_id, device, lambda: step_form.save_step(barn, horse_id, form, date.today(), by=device))  # fmt: skip


@router.post("/horses/{horse_id}/ladder/proof", response_class=HTMLResponse)
def put_proof(request: Request, barn: BarnOf, device: DeviceName, horse_id: int, sent: Sent) -> Response:
    """Keep what this barn asks for before a step is left."""
    values = _typed(sent)
    asked = step_form.read_proof_form(values)
    if asked.proof is None:
        return _shown(request, barn, horse_id, proof=asked)
    proof, every = asked.proof, bool(values.get("every"))
    return _done(request, barn, horse_id, device, lambda: ladder_moves.put_proof(barn, horse_id, proof, every=every, by=device))  # fmt: skip


def _typed(sent: Sent) -> dict[str, str]:
    return {name: value for name, value in sent.items() if isinstance(value, str)}


def _done(request: Request, barn: Barn, horse_id: int, device: str, act: Callable[[], object]) -> Response:
    """Do it and go back to the ladder, which offers it back; or show the ladder with what was wrong."""
    before = edits.newest(barn)
    try:
        act()
    except WrongSetting as error:
        return _shown(request, barn, horse_id, wrong=str(error))
    kept = ladders.of_horse(barn, horse_id)
    edit = edits.last_of(barn, "ladders", kept.id, after=before, by=device) if kept else None
    return RedirectResponse(f"/horses/{horse_id}/ladder{f'?edit={edit.id}' if edit else ''}", SEE_OTHER)


def _shown(  # noqa: PLR0913 - keyword-only
    request: Request,
    barn: Barn,
    horse_id: int,
    *,
    wrong: str = "",
    proof: step_form.Asked | None = None,
    edit: int | None = None,
) -> Response:
    kept = ladders.of_horse(barn, horse_id)
    page = ladder_page(barn, horse_id, date.today())
    return render(
        request,
        "ladder.html",
        status=WRONG if wrong or proof else 200,
        page=page,
        today=date.today(),
        refused=wrong.rstrip("."),
        starter=ladder_moves.starter_values(barn),
        asked=proof or step_form.Asked(step_form.proof_values(barn_proof(barn)), {}, None),
        aims=AIMS,
        edit=saved_lately(barn, ("ladders", kept.id if kept else None), edit),
    )


def _asked(request: Request, barn: Barn, horse_id: int, form: step_form.StepForm) -> Response:
    return render(
        request,
        "step_edit.html",
        status=WRONG if form.errors else 200,
        horse=horses.get(barn, horse_id),
        form=form,
        aims=AIMS,
    )
