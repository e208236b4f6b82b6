"""Whether the pages are there, for whoever watches over the machine."""

from fastapi import APIRouter

from evenfall.store import settings
from evenfall.web.barn import BarnOf

__all__ = ["router"]

router = APIRouter()


@router.get("/healthz")
def healthz(barn: BarnOf) -> dict[str, str]:
    """Answer, once the record answers."""
    settings.get(barn)
    return {"status": "ok"}
