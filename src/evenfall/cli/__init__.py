"""The command line: a file a command, each with ``add`` for its arguments and ``run`` for its work."""
