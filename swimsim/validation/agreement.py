"""Measured against true: bias, limits of agreement, regression, intraclass correlation, smallest change to be seen.

- Difference = measured minus true: a positive bias reads too high.
- Limits of agreement are bias +- 1.96 SD (n-1): Bland, Altman 1986, Lancet 327:307-310. Their standard error is
  sqrt(3 SD^2 / n); with swimmers given, intervals are by bootstrap over swimmers, because the strokes and clips of one
  swimmer are no independent draws.
- ICC(A,1) is absolute agreement with the truth as one of two judges: Shrout, Fleiss 1979, Psychol Bull 86:420-428,
  ICC(2,1). A correlation alone would not see bias or scale.
- The smallest detectable change is 1.96 sqrt(2) SEM, with the SEM from the error mean square: Weir 2005, J Strength
  Cond Res 19:231-240.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

LIMIT = 1.96
RESAMPLES = 1000
_LEAST = 3  # pairs


@dataclass(frozen=True)
class Agreement:
    """How a measure agrees with the truth; all in the unit of the measure, intervals 95 %, NaN for too few pairs."""

    n: int
    bias: float
    bias_ci: tuple[float, float]
    sd: float
    rmse: float
    loa_low: float
    loa_low_ci: tuple[float, float]
    loa_high: float
    loa_high_ci: tuple[float, float]
    icc_a1: float
    slope: float
    intercept: float
    smallest_change: float


def agreement(
    measured: np.ndarray, true: np.ndarray, *, swimmers: np.ndarray | None = None, seed: int = 0
) -> Agreement:
    """Agreement of readings with the truth; pairs with a NaN are left out.

    Parameters
    ----------
    measured, true : numpy.ndarray, shape (n,)
    swimmers : numpy.ndarray, shape (n,), optional
        Whose each pair is; then intervals are by bootstrap over swimmers, else by Student's t.
    """
    measured, true = np.asarray(measured, float), np.asarray(true, float)
    known = np.isfinite(measured) & np.isfinite(true)
    measured, true = measured[known], true[known]
    error, n = measured - true, len(measured)
    nothing = (np.nan, np.nan)
    if n < _LEAST:
        bias = float(error.mean()) if n else np.nan
        return Agreement(n, bias, nothing, *(np.nan,) * 3, nothing, np.nan, nothing, *(np.nan,) * 4)
    bias, sd = float(error.mean()), float(error.std(ddof=1))
    if swimmers is None:
        bands = _by_student(bias, sd, n)
    else:
        bands = _by_bootstrap(error, np.asarray(swimmers)[known], seed)
    slope, intercept = line(true, measured)
    return Agreement(
        n, bias, bands[0], sd, float(np.sqrt((error**2).mean())),
        bias - LIMIT * sd, bands[1], bias + LIMIT * sd, bands[2],
        icc_a1(np.stack([measured, true], axis=1)), slope, intercept, smallest_change(measured, true),
    )  # fmt: skip


def _by_student(bias: float, sd: float, n: int) -> tuple[tuple[float, float], ...]:
    """Intervals of bias, lower and upper limit, as in Bland and Altman's paper."""
    from scipy.stats import t

    quantile = float(t.ppf(0.975, n - 1))
    places = ((bias, sd / np.sqrt(n)),) + tuple((bias + k * LIMIT * sd, sd * np.sqrt(3 / n)) for k in (-1, 1))
    return tuple((float(at - quantile * se), float(at + quantile * se)) for at, se in places)


def _by_bootstrap(error: np.ndarray, swimmers: np.ndarray, seed: int) -> tuple[tuple[float, float], ...]:
    """The same, over swimmers drawn with replacement; sums of each swimmer are all that a draw needs."""
    weights, member = draws(swimmers, seed)
    sums = np.stack([np.bincount(member, error**power) for power in (0, 1, 2)], axis=1)
    count, total, squares = (weights @ sums).T
    with np.errstate(divide="ignore", invalid="ignore"):
        bias = total / count
        sd = np.sqrt(np.maximum(squares / count - bias**2, 0) * count / (count - 1))
    return tuple(interval(bias + k * LIMIT * sd) for k in (0, -1, 1))


def draws(swimmers: np.ndarray, seed: int, *, resamples: int = RESAMPLES) -> tuple[np.ndarray, np.ndarray]:
    """How often each swimmer is drawn, shape (resamples, n_swimmers), and the swimmer of each row, shape (n,)."""
    names, member = np.unique(swimmers, return_inverse=True)
    count = len(names)
    weights = np.random.default_rng(seed).multinomial(count, np.full(count, 1 / count), size=resamples)
    return weights.astype(float), member


def interval(values: np.ndarray) -> tuple[float, float]:
    """Middle 95 % of resampled values, NaN where none is finite."""
    values = values[np.isfinite(values)]
    if not len(values):
        return (np.nan, np.nan)
    low, high = np.quantile(values, [0.025, 0.975])
    return (float(low), float(high))


def mean_squares(table: np.ndarray) -> tuple[float, float, float]:
    """Mean squares between targets, between judges, and of what is left; table of shape (n_targets, n_judges)."""
    n, k = table.shape
    grand = table.mean()
    targets = k * ((table.mean(axis=1) - grand) ** 2).sum() / (n - 1)
    judges = n * ((table.mean(axis=0) - grand) ** 2).sum() / (k - 1)
    total = ((table - grand) ** 2).sum()
    rest = (total - targets * (n - 1) - judges * (k - 1)) / ((n - 1) * (k - 1))
    return float(targets), float(judges), float(max(rest, 0.0))


def icc_a1(table: np.ndarray) -> float:
    """Absolute agreement of single readings, ICC(A,1); NaN where nothing varies."""
    n, k = table.shape
    targets, judges, rest = mean_squares(table)
    below = targets + (k - 1) * rest + k * (judges - rest) / n
    return (targets - rest) / below if below > 0 else float("nan")


def smallest_change(measured: np.ndarray, true: np.ndarray) -> float:
    """Smallest change of a swimmer that is more than error, 95 %: 1.96 sqrt(2) times the SD of the errors.

    The truth carries no error, so the error of a reading is all of measured minus true, not half of its square.
    """
    return float(LIMIT * np.sqrt(2) * np.std(measured - true, ddof=1))


def line(x: np.ndarray, y: np.ndarray) -> tuple[float, float]:
    """Least-squares slope and intercept; NaN where x does not vary. The truth, x, carries no error."""
    if np.ptp(x) <= 1e-9 * max(1.0, np.abs(x).max()):
        return (float("nan"), float("nan"))
    from scipy.stats import linregress

    fit = linregress(x, y)
    return (float(fit.slope), float(fit.intercept))
