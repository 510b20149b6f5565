"""Found or not found: proportions, ROC, the severity from which a fault is found, blank and detection limits.

- Proportions carry Wilson's interval: Newcombe 1998, Stat Med 17:857-872.
- AUC: the share of pairs of a faulty and a clean clip that the score puts in the right order, ties half. Its interval
  is by bootstrap over swimmers, or after DeLong, DeLong, Clarke-Pearson 1988, Biometrics 44:837-845.
- Detection curve: logistic regression of found on severity; s50 and s95 with intervals by the delta method. Where
  every severity above a point is found and none below, the curve is a step, and its interval is the gap that holds it.
- Limit of blank: mean + 1.645 SD of the score of clean clips; limit of detection: that + 1.645 SD of the score of
  slight faults (CLSI EP17, in Armbruster, Pry 2008, Clin Biochem Rev 29 Suppl 1:S49-52).
"""

from __future__ import annotations

import warnings
from contextlib import contextmanager
from dataclasses import dataclass, replace

import numpy as np

from ..ground.errors import MachineError
from .agreement import draws, interval

BEYOND = "beyond"
INSTALL_EXTRA = "python -m pip install '.[validate]' (in the project's folder)"
ONE_SIDED_95 = 1.6448536269514722


@dataclass(frozen=True)
class Curve:
    """Severities found half of the time and 19 times in 20, with 95 % intervals; NaN and `reason` where unknown.

    `s50_says` and `s95_says` are for what `up_to` left out.
    """

    s50: float
    s50_ci: tuple[float, float]
    s95: float
    s95_ci: tuple[float, float]
    deviance: float
    deviance_cloglog: float
    reason: str | None = None
    s50_says: str | None = None
    s95_says: str | None = None

    def up_to(self, most: float) -> Curve:
        """The curve as far as faults are swum: what lies beyond `most` is carried on and not seen.

        A severity or an end of an interval beyond it is NaN, and `s50_says`, `s95_says` say so. None lies below 0.
        """
        found: dict = {}
        for name in ("s50", "s95"):
            at, ends = getattr(self, name), getattr(self, f"{name}_ci")
            found[name] = max(at, 0.0) if at <= most else np.nan
            found[f"{name}_ci"] = tuple(max(end, 0.0) if end <= most else np.nan for end in ends)
            if at > most:
                found[f"{name}_says"] = f"{BEYOND} {most:g}"
            elif ends[1] > most:
                found[f"{name}_says"] = f"interval ends {BEYOND} {most:g}"
        return replace(self, **found)


def wilson(count: int, of: int) -> tuple[float, float]:
    """Wilson's 95 % interval of a proportion; NaN for none of none."""
    if not of:
        return (np.nan, np.nan)
    from scipy.stats import binomtest

    found = binomtest(int(count), int(of)).proportion_ci(method="wilson")
    return (float(found.low), float(found.high))


def auc(faulty: np.ndarray, clean: np.ndarray) -> float:
    """Area under the ROC curve of two sets of scores; -inf is a clip that gave no score, NaN for an empty set."""
    if not len(faulty) or not len(clean):
        return float("nan")
    score = ranks(np.concatenate([faulty, clean]))
    with extra():
        from sklearn import metrics
    return float(metrics.roc_auc_score(np.repeat([1, 0], [len(faulty), len(clean)]), score))


def ranks(score: np.ndarray) -> np.ndarray:
    """Scores as ranks from 0, equal ones alike: an infinite score is then the least or the greatest."""
    return np.unique(score, return_inverse=True)[1].astype(float)


def roc(faulty: np.ndarray, clean: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """False and true positive rates of every threshold, shape (n,) each."""
    score = ranks(np.concatenate([faulty, clean]))
    with extra():
        from sklearn import metrics
    false, true, _ = metrics.roc_curve(np.repeat([1, 0], [len(faulty), len(clean)]), score)
    return false, true


def auc_delong(faulty: np.ndarray, clean: np.ndarray) -> tuple[float, float]:
    """95 % interval of the AUC after DeLong, for independent clips."""
    win = _wins(faulty, clean)
    variance = win.mean(1).var(ddof=1) / len(faulty) + win.mean(0).var(ddof=1) / len(clean)
    half = 1.959963984540054 * np.sqrt(variance)
    return (float(win.mean() - half), float(win.mean() + half))


def auc_bootstrap(
    faulty: np.ndarray, clean: np.ndarray, *, swimmers: tuple[np.ndarray, np.ndarray], seed: int = 0
) -> tuple[float, float]:
    """95 % interval of the AUC over swimmers drawn with replacement; `swimmers` of the faulty and the clean clips."""
    if not len(faulty) or not len(clean):
        return (np.nan, np.nan)
    weights, member = draws(np.concatenate(swimmers), seed)
    one, other = (np.eye(weights.shape[1])[part] for part in np.split(member, [len(faulty)]))
    won, pairs = one.T @ _wins(faulty, clean) @ other, np.outer(one.sum(0), other.sum(0))
    with np.errstate(divide="ignore", invalid="ignore"):
        values = ((weights @ won) * weights).sum(1) / ((weights @ pairs) * weights).sum(1)
    return interval(values)


def _wins(faulty: np.ndarray, clean: np.ndarray) -> np.ndarray:
    return (faulty[:, None] > clean) + 0.5 * (faulty[:, None] == clean)


def detection_curve(severity: np.ndarray, found: np.ndarray) -> Curve:
    """Severity from which a fault is found.

    Parameters
    ----------
    severity : numpy.ndarray, shape (n,)
        Effective severity of each clip, clean ones included.
    found : numpy.ndarray of bool, shape (n,)
    """
    severity, found = np.asarray(severity, float), np.asarray(found, bool)
    nothing = (np.nan, np.nan)
    if not found.any() or found.all():
        why = "found in no clip" if not found.any() else "found in every clip"
        return Curve(np.nan, nothing, np.nan, nothing, np.nan, np.nan, why)
    highest_miss, lowest_hit = severity[~found].max(), severity[found].min()
    if highest_miss < lowest_hit:
        gap = (float(highest_miss), float(lowest_hit))
        return Curve(float(np.mean(gap)), gap, gap[1], gap, 0.0, 0.0, "a step: nothing between is known")
    fit = _fit(severity, found, "Logit")
    if fit.params[1] <= 0:
        return Curve(np.nan, nothing, np.nan, nothing, np.nan, np.nan, "found no oftener where it is greater")
    half, most = (_place(fit, share) for share in (0.5, 0.95))
    return Curve(*half, *most, float(fit.deviance), float(_fit(severity, found, "CLogLog").deviance))


def fit_counts(dose: np.ndarray, found: np.ndarray, of: np.ndarray, *, link: str = "Logit"):
    """Binomial regression of counts on a dose; `link` is Logit, Probit or CLogLog."""
    with extra():
        import statsmodels.api as api
    design = api.add_constant(np.asarray(dose, float), has_constant="add")
    family = api.families.Binomial(getattr(api.families.links, link)())
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return api.GLM(np.c_[found, np.asarray(of) - found], design, family=family).fit()


def _fit(severity: np.ndarray, found: np.ndarray, link: str):
    return fit_counts(severity, found.astype(float), np.ones(len(found)), link=link)


def _place(fit, share: float) -> tuple[float, tuple[float, float]]:
    """Dose at which a share is found by a logit fit, with its interval by the delta method."""
    b0, b1 = fit.params
    at = (np.log(share / (1 - share)) - b0) / b1
    gradient = np.array([-1 / b1, -at / b1])
    half = 1.959963984540054 * np.sqrt(max(gradient @ fit.cov_params() @ gradient, 0.0))
    return float(at), (float(at - half), float(at + half))


def limit_of_blank(clean: np.ndarray) -> float:
    """Score that 19 of 20 clean clips stay below, if scores are normal; NaN for fewer than three."""
    clean = clean[np.isfinite(clean)]
    return float(clean.mean() + ONE_SIDED_95 * clean.std(ddof=1)) if len(clean) > 2 else float("nan")


def limit_of_detection(clean: np.ndarray, errors: np.ndarray) -> float:
    """Severity whose score stays above the limit of blank 19 times in 20; `errors` of the scores of slight faults."""
    errors = errors[np.isfinite(errors)]
    return (
        limit_of_blank(clean) + ONE_SIDED_95 * float(errors.std(ddof=1)) if len(errors) > 2 else float("nan")
    )


@contextmanager
def extra():
    """Import a library of the extra `validate` inside this block.

    Raises
    ------
    MachineError
        It is not installed.
    """
    try:
        yield
    except ImportError as error:
        name = (error.name or "?").split(".")[0]
        raise MachineError(f"validate: the package '{name}' is missing; {INSTALL_EXTRA}") from error
