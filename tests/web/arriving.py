"""Films sent as a browser sends them."""

from datetime import date
from typing import Any

from fastapi.testclient import TestClient

from evenfall.store import Barn, horses, outings
from evenfall.store.records import HorseFields, OutingFields

__all__ = ["DAY", "an_outing", "begun", "piece"]

DAY = date(2026, 5, 3)


def an_outing(barn: Barn) -> int:
    horse = horses.add(barn, HorseFields(name="Juniper"))
    return outings.add(barn, OutingFields(horse_id=horse.id, on_date=DAY)).id


def begun(client: TestClient, outing: int, size: int, **more: Any) -> Any:
    told = {"key": f"ride+{size}", "name": "ride.mp4", "size": size, "outing": outing, **more}
    return client.post("/api/uploads", json=told).json()


def piece(client: TestClient, upload: str, offset: int, chunk: bytes) -> Any:
    headers = {"upload-offset": str(offset), "content-type": "application/octet-stream"}
    return client.patch(f"/api/uploads/{upload}", content=chunk, headers=headers)
