"""Groups of passes brought to the model: novelty set apart, history added, noise and slope read off."""

from collections.abc import Sequence
from dataclasses import dataclass

from evenfall.progress.layout import check_groups, history_groups, lay_out, useful_history
from evenfall.progress.matching import Slope, slope_in
from evenfall.progress.mixture import Mixture
from evenfall.progress.noise import Noise, noise_of, priors
from evenfall.progress.passes import Pass
from evenfall.progress.speeds import covariate
from evenfall.progress.spread import Fit, fit

__all__ = ["Fitted", "fit_groups"]


@dataclass(frozen=True)
class Fitted:
    """What the model believes of some groups of passes.

    Parameters
    ----------
    measure : str
    groups : tuple of tuples of Pass
        Those that counted.
    apart : int
        How many were set apart as new.
    noise : Noise
    slope : Slope
    fit : Fit
    """

    measure: str
    groups: tuple[tuple[Pass, ...], ...]
    apart: int
    noise: Noise
    slope: Slope
    fit: Fit

    def contrast(self, *factors: float) -> Mixture:
        """Return what is believed of a weighted sum of the groups' means, at one speed."""
        of = self.fit.means[0] * 0
        of[: len(factors)] = factors
        return self.fit.contrast(of)

    def mean_covariate(self, group: int) -> float:
        """Mean speed or stride rate of a group, 0 when passes are not matched."""
        known = [
            value for each in self.groups[group] if (value := covariate(each, self.slope.by)) is not None
        ]
        return sum(known) / len(known) if known else 0.0


def fit_groups(
    parted: Sequence[tuple[Sequence[Pass], Sequence[Pass]]],
    measure: str,
    *,
    history: Sequence[Pass],
    names: Sequence[str],
) -> Fitted:
    """Fit the model to groups that were parted into passes that count and passes set apart.

    Raises
    ------
    TooLittleEvidence, WrongSetting
        As `layout.check_groups` says.
    """
    groups = tuple(tuple(counted) for counted, _ in parted)
    check_groups(groups, measure, names)
    told = useful_history(history, groups, measure)
    films, by = lay_out(groups, told, measure)
    fitted = fit(films, *priors(measure))
    noise = noise_of(fitted, [*groups, *history_groups(told)])
    slope = slope_in(fitted, measure, by)
    return Fitted(measure, groups, sum(len(apart) for _, apart in parted), noise, slope, fitted)
