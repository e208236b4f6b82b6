"""A mixture of normal curves: what is believed of one number once the noise itself is uncertain.

For each noise that could be, the number has a normal curve; the mixture weighs them by how well that noise fits.
With one noise unknown and judged by a chi-square this is Student's t.
"""

from dataclasses import dataclass

import numpy as np

from evenfall.timebase import FloatArray

__all__ = ["LEVEL", "Mixture"]

LEVEL = 0.95
HALVINGS = 60


@dataclass(frozen=True)
class Mixture:
    """Normal curves and their weights.

    Parameters
    ----------
    weights, means, sds : ndarray, shape (n_curves,)
        Weights sum to one.
    """

    weights: FloatArray
    means: FloatArray
    sds: FloatArray

    @property
    def mean(self) -> float:
        """The mean."""
        return float(self.weights @ self.means)

    @property
    def sd(self) -> float:
        """The standard deviation."""
        return float(np.sqrt(self.weights @ (self.sds**2 + (self.means - self.mean) ** 2)))

    def below(self, bound: float) -> float:
        """Probability that the number is below a bound."""
        from scipy.special import ndtr  # noqa: PLC0415 - half a second, and only needed here

        return float(self.weights @ ndtr((bound - self.means) / self.sds))

    def beyond(self, size: float) -> float:
        """Probability that the number is at least so large, up or down."""
        return min(max(self.below(-size) + 1 - self.below(size), 0.0), 1.0)

    def quantile(self, share: float) -> float:
        """Return the number that lies above that share of the mixture, by halving."""
        low = float((self.means - 40 * self.sds).min())
        high = float((self.means + 40 * self.sds).max())
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            low, high = (middle, high) if self.below(middle) < share else (low, middle)
        return (low + high) / 2

    def interval(self) -> tuple[float, float]:
        """The 95 % interval, as much cut off below as above."""
        return self.quantile((1 - LEVEL) / 2), self.quantile((1 + LEVEL) / 2)
