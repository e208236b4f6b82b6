"""A PostgreSQL of the run's own, in a folder of its own, that nobody else reaches."""

import os
import pwd
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

BINARIES = sorted(Path("/usr/lib/postgresql").glob("*/bin"))


@contextmanager
def cluster() -> Iterator[str]:
    """The address of a PostgreSQL that lives as long as the block; skips where none is installed."""
    if not BINARIES:
        pytest.skip(
            "no PostgreSQL here: /usr/lib/postgresql/*/bin is absent (Debian: apt install postgresql)"
        )
    folder = Path(tempfile.mkdtemp(prefix="pg"))
    user = "postgres" if os.geteuid() == 0 else pwd.getpwuid(os.geteuid()).pw_name
    if os.geteuid() == 0:
        shutil.chown(folder, user)
    running = _start(folder, user)
    try:
        yield f"postgresql://{user}@/postgres?host={folder}"
    finally:
        running.terminate()
        running.wait(30)
        shutil.rmtree(folder)


def _start(folder: Path, user: str) -> subprocess.Popen[bytes]:
    as_user = {"user": user, "cwd": folder} if os.geteuid() == 0 else {"cwd": folder}
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    made = [BINARIES[-1] / "initdb", "-D", folder / "data", "-A", "trust", "-U", user, "-N", "-E", "UTF8"]
    subprocess.run(made, check=True, **as_user, **quiet)  # type: ignore[call-overload]
    unsafe = [part for name in ("fsync", "full_page_writes") for part in ("-c", f"{name}=off")]
    served = [
        BINARIES[-1] / "postgres",
        "-D",
        folder / "data",
        "-k",
        folder,
        "-c",
        "listen_addresses=",
        *unsafe,
    ]
    running = subprocess.Popen(served, **as_user, **quiet)  # type: ignore[call-overload]
    ready = [str(BINARIES[-1] / "pg_isready"), "-h", str(folder), "-q"]
    while subprocess.run(ready, check=False).returncode:
        assert running.poll() is None, "PostgreSQL did not start"
        time.sleep(0.05)
    return running  # type: ignore[no-any-return]
