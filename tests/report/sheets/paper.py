"""What stands in a PDF: its pages, and its words through the fonts' own tables, spaces left out."""

import re
import zlib
from pathlib import Path

import cv2
import numpy as np

__all__ = ["alts_in", "assert_looks_like", "ink_of", "margins_are_white", "pages_in", "squeezed", "words_in"]

OBJECT = re.compile(rb"(\d+) 0 obj(.*?)endobj", re.S)
STREAM = re.compile(rb"stream\r?\n(.*?)endstream", re.S)
SHOWN = re.compile(rb"/(f\d+) [\d.]+ Tf|\(((?:\\.|[^\\()])*)\)", re.S)
ESCAPED = re.compile(rb"\\([0-7]{1,3}|.)", re.S)
LETTERS = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}
LOOSE = 0.35
"""Mean difference in ink, of 9, that is still alike."""

INVISIBLE = re.compile(r"[\s\u200b\u00ad]+")


def pages_in(pdf: bytes) -> int:
    """How many pages it has."""
    return len(re.findall(rb"/Type ?/Page\b", pdf))


def alts_in(pdf: bytes) -> list[str]:
    """What its pictures say to whoever cannot see them."""
    told = re.findall(rb"/Alt<FEFF([0-9A-F]+)>|/Alt\(((?:\\.|[^\\()])*)\)", pdf)
    return [
        bytes.fromhex(wide.decode()).decode("utf-16-be")
        if wide
        else ESCAPED.sub(_plain, plain).decode("latin-1")
        for wide, plain in told
    ]


def margins_are_white(page: bytes, *, share: float = 0.05) -> bool:
    """Whether nothing of a page's picture runs out to its left or right."""
    pixels = np.asarray(cv2.imdecode(np.frombuffer(page, np.uint8), cv2.IMREAD_GRAYSCALE))
    edge = int(pixels.shape[1] * share)
    return bool(min(pixels[:, :edge].min(), pixels[:, -edge:].min()) > 250)


def ink_of(page: bytes) -> str:
    """How dark a page is, part by part: a line of digits for each stripe, 0 white to 9."""
    pixels = np.asarray(cv2.imdecode(np.frombuffer(page, np.uint8), cv2.IMREAD_GRAYSCALE), np.float32)
    parts = cv2.resize(255 - pixels, (24, 34), interpolation=cv2.INTER_AREA)
    levels = np.clip(np.rint(parts / 12), 0, 9).astype(int)
    return "\n".join("".join(map(str, row)) for row in levels) + "\n"


def assert_looks_like(page: bytes, golden: Path) -> None:
    """A page whose ink lies where it lay; loosely, since type is drawn a little differently from release to release.

    To take a new look that was looked at and found good, delete the file and run the test once: it fails, and writes it.
    """
    seen = ink_of(page)
    if not golden.exists():
        golden.parent.mkdir(parents=True, exist_ok=True)
        golden.write_text(seen)
        raise AssertionError(
            f"there was no {golden.name}; it is written now. Look at the sheet before keeping it."
        )
    ours, theirs = (
        np.array([[int(digit) for digit in row] for row in text.split()])
        for text in (seen, golden.read_text())
    )
    assert ours.shape == theirs.shape
    assert np.abs(ours - theirs).mean() < LOOSE, f"the sheet looks unlike {golden.name}"


def squeezed(text: str) -> str:
    """Words as they are compared: lines may break anywhere."""
    return INVISIBLE.sub("", text)


def words_in(pdf: bytes) -> str:
    """All words that it shows, spaces left out."""
    objects = {int(number): body for number, body in OBJECT.findall(pdf)}
    streams = {number: _stream(body) for number, body in objects.items()}
    return squeezed(
        "".join(_shown(body, streams, objects) for body in objects.values() if b"/Resources" in body)
    )


def _shown(body: bytes, streams: dict[int, bytes], objects: dict[int, bytes]) -> str:
    """The words of a page, or of a drawing on it."""
    shared = re.search(rb"/Resources (\d+) 0 R", body)
    named = re.findall(rb"/(f\d+) (\d+) 0 R", objects[int(shared.group(1))] if shared else body)
    fonts = {name: _letters(objects, streams, int(number)) for name, number in named}
    content = re.search(rb"/Contents (\d+) 0 R", body)
    shown = streams[int(content.group(1))] if content else _stream(body)
    letters: dict[int, str] = {}
    told = []
    for font, words in SHOWN.findall(shown):
        if font:
            letters = fonts.get(font, {})
        else:
            codes = ESCAPED.sub(_plain, words)
            told += [letters.get(int.from_bytes(codes[at : at + 2]), "") for at in range(0, len(codes), 2)]
    return "".join(told)


def _letters(objects: dict[int, bytes], streams: dict[int, bytes], font: int) -> dict[int, str]:
    """What each sign of a font stands for."""
    table = re.search(rb"/ToUnicode (\d+) 0 R", objects[font])
    if table is None:
        return {}
    pairs = re.findall(rb"<([0-9A-F]{4})> <([0-9A-F]+)>\n", streams[int(table.group(1))])
    return {int(code, 16): bytes.fromhex(sign.decode()).decode("utf-16-be") for code, sign in pairs}


def _stream(body: bytes) -> bytes:
    found = STREAM.search(body)
    if found is None:
        return b""
    return zlib.decompressobj().decompress(found.group(1)) if b"/FlateDecode" in body else found.group(1)


def _plain(found: re.Match[bytes]) -> bytes:
    sign = found.group(1)
    return bytes([int(sign, 8)]) if sign.isdigit() else LETTERS.get(sign, sign)
