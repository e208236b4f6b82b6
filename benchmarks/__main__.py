"""Run every benchmark: ``make bench``."""

from benchmarks import coverage, found_feet, speed

if __name__ == "__main__":
    speed.main()
    coverage.main()
    found_feet.main()
