"""``evenfall demo``: a made-up barn, its films drawn and read."""
