"""What is told when something cannot be done: a page to a person, an object to a script."""

import logging
from http import HTTPStatus

from fastapi import FastAPI, HTTPException, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, JSONResponse
from starlette.exceptions import HTTPException as StarletteHTTPException

from evenfall.errors import (
    BadToken,
    ChangedSince,
    DiskFull,
    EvenfallError,
    NotFound,
    StoreBusy,
    TooLittleEvidence,
    UnreadableInput,
    UnwritableOutput,
    WrongOffset,
    WrongSetting,
)
from evenfall.report.sheets.page import notice_html, page_policy
from evenfall.web.pages import render

__all__ = ["LINKS", "answer", "install", "link_gone"]

LINKS = "/s/"
"""Beneath it stand the links that were given out."""

GONE = (
    "This link does not open",
    "It may have ended, been taken back, or lost a letter on its way.",
    "Ask whoever gave it to you for a new one.",
)

STATUS: tuple[tuple[type[EvenfallError], int], ...] = (
    (NotFound, 404),
    (WrongOffset, 409),
    (ChangedSince, 409),
    (BadToken, 403),
    (DiskFull, 507),
    (StoreBusy, 503),
    (UnwritableOutput, 507),
    (WrongSetting, 422),
    (UnreadableInput, 422),
    (TooLittleEvidence, 422),
)

TITLES = {
    401: "Not paired",
    403: "Not allowed",
    404: "Not here",
    409: "Not done",
    413: "Too long",
    421: "Another address",
    422: "That does not fit",
    503: "Busy",
    507: "No room",
}

log = logging.getLogger("evenfall.web")


def answer(request: Request, status: int, code: str, message: str) -> Response:
    """Tell what went wrong: an object under ``/api``, of a link always the same, elsewhere a page in the layout."""
    if status == 404 and request.scope["path"].startswith(LINKS):
        return link_gone()
    if request.url.path.startswith("/api/"):
        return JSONResponse({"error": {"code": code, "message": message}}, status)
    title = TITLES.get(status, "Not done")
    bare = status in (401, 421) or _unpaired(request)
    return render(
        request,
        "error.html",
        status=status,
        title=title,
        message=_as_a_sentence(message),
        bare=bare,
        binned=status == 404 and "in the bin" in message,
    )


def link_gone() -> Response:
    """Say that a link opens nothing, in the same words whether it ended, was taken back or never was."""
    return HTMLResponse(notice_html(*GONE), 404, {"Content-Security-Policy": page_policy()})


def _unpaired(request: Request) -> bool:
    """Whether a device asks that has no board to go back to."""
    state = request.state
    return not getattr(state, "owner", True) and not getattr(state, "device", None)


def _as_a_sentence(message: str) -> str:
    """Messages run on in a log; on a page they stand alone. What begins with a file's name stays."""
    return message[0].upper() + message[1:] if message.startswith(("expected ", "the ")) else message


def install(app: FastAPI) -> None:
    """Let the app tell every error in the same way."""
    app.add_exception_handler(EvenfallError, _ours)
    app.add_exception_handler(StarletteHTTPException, _http)
    app.add_exception_handler(RequestValidationError, _invalid)
    app.add_exception_handler(Exception, _unforeseen)


def _ours(request: Request, error: Exception) -> Response:
    status = next((status for kind, status in STATUS if isinstance(error, kind)), 400)
    told = answer(request, status, getattr(error, "code", "error"), str(error))
    if isinstance(error, WrongOffset) and isinstance(told, JSONResponse):
        return JSONResponse(
            {"offset": error.offset, "error": {"code": error.code, "message": str(error)}}, status
        )
    return told


def _http(request: Request, error: Exception) -> Response:
    if not isinstance(error, StarletteHTTPException):
        raise error
    message = error.detail
    if isinstance(error, HTTPException) or error.status_code not in (404, 405):
        code = HTTPStatus(error.status_code).name.lower()
    else:
        code, message = (
            (
                "not_found",
                "There is no such page. It may have been moved to the bin, or the address has a slip.",
            )
            if error.status_code == 404
            else ("method_not_allowed", "This address does not take that kind of request.")
        )
    told = answer(request, error.status_code, code, str(message))
    told.headers.update(error.headers or {})
    return told


def _invalid(request: Request, error: Exception) -> Response:
    if not isinstance(error, RequestValidationError):
        raise error
    found = [(".".join(str(step) for step in each["loc"][1:]) or "body", each) for each in error.errors()]
    if request.url.path.startswith("/api/"):
        parts = [f"{name}: {each['msg']}" for name, each in found]
        return answer(request, 422, "wrong_request", "; ".join(parts))
    names = ", ".join(name.replace("_", " ") for name, _ in found)
    what, then = ("This address", "choose it") if request.method == "GET" else ("What was sent", "send it")
    message = f"{what} is not complete or has a slip: {names}. Go back and {then} again."
    return answer(request, 422, "wrong_request", message)


def _unforeseen(request: Request, error: Exception) -> Response:
    path = request.scope["path"]
    told = f"{LINKS}…" if path.startswith(LINKS) else path  # a link's secret is written down nowhere
    log.error("%s %s failed", request.method, told, exc_info=error)
    message = (
        "Something failed here that should not have. What was saved before is safe. The details are in the window "
        "where Evenfall runs."
    )
    return answer(request, 500, "unforeseen", message)
