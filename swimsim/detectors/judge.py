"""Judge a reading: for every fault and side, present or not, how large, and why."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from ..ground.conventions import SIDES
from ..ground.errors import InputError, nearest
from ..ground.records import Finding
from ..metrics import Reading
from .limits import Context
from .rules import Rule, Test, rules
from .values import NOTHING, Value, Values

COVERAGE = 0.975  # two-sided 95 % intervals
SURE = 2.0  # standard uncertainties by which an index must pass its limit: any of eight of them is enough


def detect(
    reading: Reading,
    *,
    faults: Iterable[str] | None = None,
    rate_per_min: float | None = None,
    sizes_m: Mapping[str, float] | None = None,
) -> tuple[Finding, ...]:
    """Every fault of the rules, on every side it can have.

    Parameters
    ----------
    reading : Reading
        From any trace or view. A measure that could not be read leaves its fault not found, with NaN and a reason.
    faults : iterable of str, optional
        Only these.
    rate_per_min : float, optional
        Pace to judge by, instead of the stroke rate that was read. [cycles per minute]
    sizes_m : mapping, optional
        `half_shoulder_width` and `stature` of the swimmer, instead of those that were read. [m]

    Returns
    -------
    tuple of Finding
        Present: the median over strokes lies beyond the limit and no excuse holds. Severity runs from the normal
        value (0, not below) to the gross value (1), with a 95 % interval from the scatter of the strokes.

    Raises
    ------
    InputError
        A fault without a rule.
    """
    wanted = tuple(rules()) if faults is None else tuple(faults)
    for slug in wanted:
        if slug not in rules():
            raise InputError(f"fault: no detector for '{slug}'; {nearest(slug, rules())}")
    values = Values(reading)
    sizes = {**reading.sizes_m, **(sizes_m or {})}
    rate = values.at("stroke_rate", "both").value if rate_per_min is None else rate_per_min
    context = Context(rate, sizes.get("half_shoulder_width", math.nan), sizes.get("stature", math.nan))
    return tuple(
        _judge(rules()[slug], side, values, context) for slug in wanted for side in rules()[slug].sides
    )


def clip_finding(findings: Iterable[Finding], fault: str) -> Finding | None:
    """The finding that speaks for a whole clip: the side with the greatest score; None if there is none."""
    own = [finding for finding in findings if finding.fault == fault]
    return max(own, key=lambda f: (f.present, -math.inf if math.isnan(f.score) else f.score), default=None)


def _judge(rule: Rule, side: str, values: Values, context: Context) -> Finding:
    outcomes = [outcome for test in rule.tests for outcome in _try(rule, test, (side, values, context))]
    best = max(outcomes, key=lambda o: (o.present, -math.inf if math.isnan(o.score) else o.score))
    present, score, half, reason = best.present, best.score, best.half, None
    if math.isnan(score):
        reason = values.reason(rule.tests[0].limit.measure, side)
    elif present and (excuse := _excuse(rule, side, values, context)):
        present, score, half, reason = False, min(score, 0.0), 0.0, excuse
    evidence = [best.fact] + [(name, values.at(name, side).value, math.nan) for name in rule.evidence]
    severity, low, high = (
        max(at, 0.0) if math.isfinite(at) else math.nan for at in (score, score - half, score + half)
    )
    return Finding(rule.fault, side, present, severity, low, high, tuple(evidence), score, reason)


@dataclass(frozen=True)
class _Outcome:
    """What one test says: present, score, half width of its interval, and (measure, value, limit)."""

    present: bool
    score: float
    half: float
    fact: tuple[str, float, float]


def _try(rule: Rule, test: Test, what: tuple[str, Values, Context]) -> list[_Outcome]:
    """The outcome of a test, or one for each sign."""
    side, values, context = what
    limit = test.limit
    if test.signed:
        found = values.index(limit.measure)
    elif rule.overall:
        found = values.overall(limit.measure, side)
    else:
        found = values.at(limit.measure, side, worst=rule.worst, size=rule.size)
    if not all(need.beyond(values.at(need.measure, side).value, context) for need in test.needs):
        found = NOTHING
    outcomes = []
    for sign in (1, -1) if test.signed else (1,):
        value, extra = sign * found.value, _breath_allowance(rule, test, what, sign)
        at = limit.at(context) + extra
        score, half = _severity(test, context, value - extra, extra)
        beyond = limit.sign * (value - at)
        present = bool(beyond > (SURE * found.uncertainty if test.signed else 0))
        outcomes.append(
            _Outcome(present, score, half * _quantile(found) * found.uncertainty, (limit.measure, value, at))
        )
    return outcomes


def _breath_allowance(rule: Rule, test: Test, what: tuple[str, Values, Context], sign: int) -> float:
    """What breaths add to the usual value. Where breaths cannot be seen, one on every stroke is allowed for."""
    side, values, context = what
    if test.breath is None:
        share = values.breath_share(side)
        return rule.on_the_breath * (1.0 if math.isnan(share) else share)
    shares = [values.breath_share(each) for each in SIDES]
    if any(math.isnan(share) for share in shares):
        return abs(test.breath.at(context, 1.0, 0.0))
    return sign * test.breath.at(context, *shares)


def _severity(test: Test, context: Context, value: float, extra: float) -> tuple[float, float]:
    """Severity of a value that is counted from `extra`, and by how much it grows for one door unit."""
    if test.scale is None:
        return math.nan, math.nan
    normal = test.scale.normal(context)
    step = test.scale.gross(context) - extra - normal
    return (value - normal) / step, abs(1 / step)


def _excuse(rule: Rule, side: str, values: Values, context: Context) -> str | None:
    """The first other name for what was seen."""
    for excuse in rule.excuses:
        if all(limit.beyond(values.at(limit.measure, side).value, context) for limit in excuse.when):
            return excuse.says
    return None


def _quantile(value: Value) -> float:
    """Student's quantile for the number of strokes; with one stroke the normal one."""
    from scipy.special import stdtrit

    return float(stdtrit(value.strokes - 1, COVERAGE)) if value.strokes > 1 else 1.96
