"""A barn whose jobs are done until the process is killed: ``python -m tests.jobs.at_work HOME``."""

import sys
import time
from pathlib import Path

from evenfall.jobs import Runner
from evenfall.store import open_barn


def main() -> None:
    """Do the jobs, with a short lease so that a killed one is soon claimed again."""
    with open_barn(Path(sys.argv[1])) as barn, Runner(barn, lease_s=2.0):
        while True:
            time.sleep(1)


if __name__ == "__main__":
    main()
