"""Every error Evenfall raises on purpose.

::

    EvenfallError
    ├─ UnreadableInput          a file that is not what it should be       exit status 2
    │  ├─ ClipError             a film
    │  ├─ ContactsError         a contacts file; carries the line
    │  └─ SensorError           a limb sensor's file; carries the line
    ├─ WrongSetting             an option outside what makes sense         exit status 2
    ├─ UnwritableOutput         a place that cannot be written             exit status 2
    ├─ TooLittleEvidence        read well, but not enough to answer        exit status 3
    └─ Cancelled                stopped by the person                      exit status 130

A message says what was expected, what came, and the likely mistake or the next thing to do.
"""

from pathlib import Path
from typing import Self

__all__ = [
    "Cancelled",
    "ClipError",
    "ContactsError",
    "EvenfallError",
    "SensorError",
    "TooLittleEvidence",
    "UnreadableInput",
    "UnwritableOutput",
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


class UnwritableOutput(EvenfallError):
    """A result could not be written; nothing half-made is left at ``path``."""

    code = "unwritable_output"

    def __init__(self, path: Path, reason: str) -> None:
        super().__init__(f"{path}: could not be written: {reason}. Choose another place, or make room there.")
        self.path = path


class TooLittleEvidence(EvenfallError):
    """The input was read, and it cannot carry an answer; the message says what would."""

    code = "too_little_evidence"


class Cancelled(EvenfallError):
    """The person stopped the work; nothing half-made is left behind."""

    code = "cancelled"
