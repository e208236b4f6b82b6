"""Start the command line: ``evenfall …`` or ``python -m evenfall …``."""

import sys

from evenfall.cli.app import run
from evenfall.cli.context import Context


def main() -> None:
    """Run with the process's own arguments and streams, and leave with the exit status."""
    sys.exit(run(sys.argv[1:], Context.of_process()))


if __name__ == "__main__":
    main()
