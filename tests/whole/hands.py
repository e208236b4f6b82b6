"""Hands that use a served barn until it is killed, and remember what it said it has."""

import hashlib
import itertools
import struct
import threading
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

import httpx

PIECE = 8192


@dataclass
class Film:
    """A film on its way in, and what the barn said of it."""

    content: bytes
    upload: str = ""
    acknowledged: int = 0
    clip: int | None = None

    @property
    def sha256(self) -> str:
        return hashlib.sha256(self.content).hexdigest()


def unlike_others(film: bytes, number: int) -> bytes:
    """The same pictures in a file of its own: a box that players pass over is put at the end."""
    return film + struct.pack(">I4sQ", 16, b"free", number)


class Sender:
    """Sends films piece by piece; one that was broken off is gone on with."""

    def __init__(self, outing: int) -> None:
        self.outing = outing
        self.films: list[Film] = []
        self.pieces, self.finishing = 0, threading.Event()

    @property
    def under_way(self) -> list[Film]:
        return [film for film in self.films if film.clip is None]

    def work(self, client: httpx.Client) -> None:
        """Send what is under way, until all is there or the barn is gone."""
        self.pieces = 0
        self.finishing.clear()
        with suppress(httpx.TransportError):
            for film in self.under_way:
                self._send(client, film)

    def _send(self, client: httpx.Client, film: Film) -> None:
        here = self._standing(client, film)
        assert here >= film.acknowledged, f"{film.acknowledged} bytes were acknowledged, {here} are there"
        while here < len(film.content):
            piece = film.content[here : here + PIECE]
            taken = told(
                client.patch(
                    f"/api/uploads/{film.upload}", content=piece, headers={"Upload-Offset": str(here)}
                )
            )
            assert taken["offset"] == here + len(piece)
            film.acknowledged = here = taken["offset"]
            self.pieces += 1
        self.finishing.set()
        film.clip = told(client.post(f"/api/uploads/{film.upload}/finish"))["clip"]

    def _standing(self, client: httpx.Client, film: Film) -> int:
        """How much of a film is there, asked as a page asks that was closed meanwhile."""
        if film.upload:
            return int(told(client.get(f"/api/uploads/{film.upload}"))["offset"])
        asked = {"key": film.sha256, "name": "ride.mp4", "size": len(film.content), "outing": self.outing}
        begun = told(client.post("/api/uploads", json=asked))
        film.upload = begun["id"]
        return int(begun["offset"])


@dataclass
class Marker:
    """Marks a film; a batch whose answer was lost is sent once more."""

    clip: int
    most: int = 12
    kept: dict[str, float] = field(default_factory=dict)
    gone: set[str] = field(default_factory=set)
    batches: int = 0
    _numbers: Iterator[int] = field(default_factory=itertools.count)
    _pending: int | None = None

    def work(self, client: httpx.Client) -> None:
        """Send batch after batch until the barn is gone."""
        self.batches = 0
        with suppress(httpx.TransportError):
            while self.batches < self.most:
                number = next(self._numbers) if self._pending is None else self._pending
                self._pending = number
                told(client.post(f"/api/clips/{self.clip}/marks", json={"acts": batch(number)}))
                self._pending = None
                self._remember(number)
                self.batches += 1

    def check(self, there: dict[str, float]) -> None:
        """Whether what the barn has is what it said, and no batch is there by half."""
        assert {name: there.get(name) for name in self.kept} == self.kept
        assert not self.gone & there.keys()
        perhaps = {} if self._pending is None else after(self._pending)
        more = {name: time_s for name, time_s in there.items() if name not in self.kept}
        assert more in ({}, perhaps)

    def _remember(self, number: int) -> None:
        self.kept |= after(number)
        self.gone.add(f"{number}c")


def batch(number: int) -> list[dict[str, Any]]:
    """Two marks that stay, one of them moved, and one that is deleted again."""
    a, b, c = (f"{number}{letter}" for letter in "abc")
    added = [_adding(a, 0.1), _adding(b, 0.2 + number / 1000), _adding(c, 0.9)]
    moved = {"op": f"{a} moved", "act": "move", "id": a, "time_s": after(number)[a]}
    return [*added, moved, {"op": f"{c} deleted", "act": "delete", "id": c}]


def after(number: int) -> dict[str, float]:
    """What a batch leaves."""
    return {f"{number}a": 0.5 + number / 1000, f"{number}b": 0.2 + number / 1000}


def _adding(mark: str, time_s: float) -> dict[str, Any]:
    return {"op": f"{mark} added", "act": "add", "id": mark, "limb": "LF", "event": "on", "time_s": time_s}


def told(answer: httpx.Response) -> Any:
    assert answer.status_code == 200, answer.text
    return answer.json()
