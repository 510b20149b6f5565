"""Judge a reading: for every fault and side, present or not, how large, and why."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from ..ground.errors import InputError, nearest
from ..ground.records import Finding
from ..metrics import Reading
from .limits import Context, Limit
from .rules import Rule, Scale, rules
from .values import Value, Values

COVERAGE = 0.975  # two-sided 95 % intervals


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
    extra = rule.on_the_breath * values.breath_share(side)
    tried = [_test(rule, limit, scale, (side, values, context, extra)) for limit, scale in rule.tests]
    present, score, span, facts = max(tried, key=lambda t: (t[0], -math.inf if math.isnan(t[1]) else t[1]))
    reason = None
    if math.isnan(score):
        reason = values.reason(rule.tests[0][0].measure, side)
    elif present and (excuse := _excuse(rule, side, values, context)):
        present, score, span, reason = False, min(score, 0.0), (0.0, 0.0), excuse
    evidence = [facts] + [(name, values.at(name, side).value, math.nan) for name in rule.evidence]
    severity = max(score, 0.0) if math.isfinite(score) else math.nan
    low, high = (max(end, 0.0) if math.isfinite(end) else end for end in span)
    return Finding(rule.fault, side, present, severity, low, high, tuple(evidence), score, reason)


def _test(rule: Rule, limit: Limit, scale: Scale | None, what: tuple) -> tuple:
    """Present, score, interval of the severity, and (measure, value, limit)."""
    side, values, context, extra = what
    found = values.at(limit.measure, side, worst=rule.worst, size=rule.size)
    facts = (limit.measure, found.value, limit.at(context) + extra)
    present = bool(limit.sign * (found.value - facts[2]) > 0)
    if scale is None or not found.strokes:
        return present, math.nan, (math.nan, math.nan), facts
    normal = scale.normal(context) + extra
    step = scale.gross(context) - normal
    score = (found.value - normal) / step
    half = abs(_quantile(found) * found.uncertainty / step)
    return present, score, (score - half, score + half), facts


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
