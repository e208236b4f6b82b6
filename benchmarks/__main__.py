"""Run every benchmark: ``make bench``."""

from benchmarks import coverage, speed

if __name__ == "__main__":
    speed.main()
    coverage.main()
