"""Every error Evenfall raises on purpose.

::

    EvenfallError
    ├─ UnreadableInput          a file that is not what it should be       exit status 2
    │  ├─ ClipError             a film
    │  ├─ ContactsError         a contacts file; carries the line
    │  └─ SensorError           a limb sensor's file; carries the line
    ├─ WrongSetting             an option outside what makes sense         exit status 2
    │  └─ ShoeError             a shoe or a setup that cannot be
    ├─ UnwritableOutput         a place that cannot be written             exit status 2
    ├─ TooLittleEvidence        read well, but not enough to answer        exit status 3
    ├─ StoreError               the barn's record                          exit status 2
    │  ├─ NotFound              nothing there by that number
    │  ├─ WrongOffset           a film's next part does not fit; carries the offset that does
    │  ├─ BadToken              a pairing code that is not, or no longer, good
    │  ├─ ChangedSince          an edit cannot be undone: the same was changed again
    │  ├─ DiskFull              no room
    │  ├─ StoreBusy             another program holds the record
    │  └─ StoreNewer            made by a newer Evenfall
    └─ Cancelled                stopped by the person                      exit status 130

A message says what was expected, what came, and the likely mistake or the next thing to do.
"""

from pathlib import Path
from typing import Self

__all__ = [
    "BadToken",
    "Cancelled",
    "ChangedSince",
    "ClipError",
    "ContactsError",
    "DiskFull",
    "EvenfallError",
    "NotFound",
    "SensorError",
    "ShoeError",
    "StoreBusy",
    "StoreError",
    "StoreNewer",
    "TooLittleEvidence",
    "UnreadableInput",
    "UnwritableOutput",
    "WrongOffset",
    "WrongSetting",
]


class EvenfallError(Exception):
    """Root of every error raised on purpose.

    Attributes
    ----------
    code : str
        A short word for machines, the same in every language and version.
    """

    code = "error"


class UnreadableInput(EvenfallError):
    """A file could not be read as what it was given for."""

    code = "unreadable_input"


class ClipError(UnreadableInput):
    """A film could not be opened or read; ``path`` names it."""

    code = "unreadable_clip"

    def __init__(self, path: Path, message: str) -> None:
        super().__init__(f"{path}: {message}")
        self.path = path


class _TableError(UnreadableInput):
    """A table breaks its contract; ``line`` is the line in the file, counted from 1, if one is to blame."""

    def __init__(self, message: str, *, line: int | None = None) -> None:
        super().__init__(f"line {line}: {message}" if line else message)
        self.line = line

    def in_file(self, path: Path) -> Self:
        """Return the same error, naming the file."""
        named = type(self)(f"{path}: {self}")
        named.line = self.line
        return named


class ContactsError(_TableError):
    """A contacts file breaks its contract; ``line`` is the one to blame, if there is one."""

    code = "bad_contacts"


class SensorError(_TableError):
    """A limb sensor's file breaks its contract; ``line`` is the one to blame, if there is one."""

    code = "bad_sensor_file"


class WrongSetting(EvenfallError):
    """A setting lies outside what makes sense."""

    code = "wrong_setting"


class ShoeError(WrongSetting):
    """A bar, a shoe or a setup cannot be as it is said, or was written by a newer Evenfall."""

    code = "bad_shoe"


class UnwritableOutput(EvenfallError):
    """A result could not be written; nothing half-made is left at ``path``."""

    code = "unwritable_output"

    def __init__(self, path: Path, reason: str) -> None:
        super().__init__(f"{path}: could not be written: {reason}. Choose another place, or make room there.")
        self.path = path


class TooLittleEvidence(EvenfallError):
    """The input was read, and it cannot carry an answer; the message says what would."""

    code = "too_little_evidence"


class StoreError(EvenfallError):
    """The barn's record could not be read or written; what was saved before is as it was."""

    code = "store"


class NotFound(StoreError):
    """Nothing is there by that number, or it lies in the bin."""

    code = "not_found"


class WrongOffset(StoreError):
    """A film's next part does not begin where the last one ended.

    Parameters
    ----------
    offset : int
        Bytes that are here: where to go on.
    came : int
        Where the part that came says it begins.
    """

    code = "wrong_offset"

    def __init__(self, offset: int, came: int) -> None:
        super().__init__(
            f"expected the film's bytes from {offset} on, found them from {came} on. Go on at {offset}."
        )
        self.offset = offset


class BadToken(StoreError):
    """A pairing code was never given out, has been used, or is too old."""

    code = "bad_token"

    def __init__(self) -> None:
        super().__init__(
            "expected a pairing code that is still good, found one that is unknown, used or too old. "
            "Show a new one under Devices."
        )


class ChangedSince(StoreError):
    """An edit cannot be undone or done again, for the same thing was changed again after it.

    Parameters
    ----------
    message : str
    first : int, optional
        The edit to undo, or to do again, before this one.
    """

    code = "changed_since"

    def __init__(self, message: str, *, first: int | None = None) -> None:
        super().__init__(message)
        self.first = first


class DiskFull(StoreError):
    """There is no room on the disk; nothing half-written is left.

    Parameters
    ----------
    where : object
        What lies on the disk.
    needed, free : int, optional
        Bytes, where it was seen beforehand that there would not be room.
    """

    code = "disk_full"

    def __init__(
        self, where: object = "the barn's folder", *, needed: int | None = None, free: int | None = None
    ) -> None:
        if needed is None or free is None:
            found = f"the disk that holds {where} is full, so this was not saved"
        else:
            found = (
                f"expected {_size(needed)} free on the disk that holds {where}, found {_size(free)}, "
                "so this was not begun"
            )
        super().__init__(f"{found}. Everything saved before is safe. Make room there and do it again.")


def _size(number: int) -> str:
    """Bytes as a person reads them."""
    return f"{number / 1e9:.1f} GB" if number >= 1e9 else f"{number / 1e6:.0f} MB"


class StoreBusy(StoreError):
    """Another program holds the record for longer than we wait."""

    code = "store_busy"

    def __init__(self) -> None:
        super().__init__(
            "the barn's record is held by another program, so this was not saved. "
            "Do it again; if it happens often, close the other program."
        )


class StoreNewer(StoreError):
    """The record was made by a newer Evenfall than this one."""

    code = "store_newer"


class Cancelled(EvenfallError):
    """The person stopped the work; nothing half-made is left behind."""

    code = "cancelled"
