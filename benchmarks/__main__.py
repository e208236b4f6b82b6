"""Run every benchmark: ``make bench``."""

from benchmarks import (
    altered,
    board,
    compare_page,
    coverage,
    found_feet,
    real_or_noise,
    showing,
    speed,
    stepping,
    study,
)

if __name__ == "__main__":
    speed.main()
    coverage.main()
    found_feet.main()
    altered.main()
    stepping.main()
    board.main()
    compare_page.main()
    real_or_noise.main()
    study.main()
    showing.main()
