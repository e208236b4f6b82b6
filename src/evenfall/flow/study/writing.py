"""Files of a study written whole or not at all; a full disk is told as such."""

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from evenfall.errors import DiskFull, UnwritableOutput
from evenfall.flow.films import write_whole

__all__ = ["told_of_disk", "written_whole"]

FULL = (errno.ENOSPC, errno.EDQUOT)


def written_whole(to: Path, content: bytes) -> None:
    """Write a file, and the folder it lies in.

    Raises
    ------
    DiskFull, UnwritableOutput
    """
    with told_of_disk(to):
        to.parent.mkdir(parents=True, exist_ok=True)
        try:
            write_whole(to, content)
        except UnwritableOutput as error:
            raise error.__cause__ or error from None


@contextmanager
def told_of_disk(to: Path) -> Iterator[None]:
    """Turn what the system says of a disk into errors of our own.

    Raises
    ------
    DiskFull, UnwritableOutput
    """
    try:
        yield
    except OSError as error:
        if error.errno in FULL or "No space left" in str(error):
            raise DiskFull("the study's folder") from error
        raise UnwritableOutput(to, error.strerror or str(error)) from error
