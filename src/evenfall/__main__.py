"""Start the command line: ``evenfall …`` or ``python -m evenfall …``."""

import os
import sys

from evenfall.cli.app import run
from evenfall.cli.context import Context, Status


def main() -> None:
    """Run with the process's own arguments and streams, and leave with the exit status.

    A reader that hangs up (``| head``) ends the work quietly; a full disk behind stdout is told.
    """
    try:
        status = run(sys.argv[1:], Context.of_process())
        sys.stdout.flush()
    except BrokenPipeError:
        status = Status.CANCELLED
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as error:
        status = Status.WRONG_USE
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.stderr.write(f"evenfall: the output could not be written: {error.strerror}.\n")
    sys.exit(status)


if __name__ == "__main__":
    main()
