"""Several faults put right one by one: which fix is worth most now, which after it, and so on until none is left.

Faults that come together share what they cost, so what a second fix is worth shows only once the first is made.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ..ground.errors import InputError
from ..water.coefficients import Coefficients, drawn_coefficients
from ..water.cost import DRAWS, Interval
from ..water.surge import Stroke
from ..water.what_if import worth
from . import models
from .what_if import named, swum

NONE = Interval(None, None, None)


@dataclass(frozen=True)
class Step:
    """One fault put right after those before it.

    Parameters
    ----------
    fault, name : str
        Its slug, and with its side where it has one alone.
    saved : Interval
        Seconds per 100 m that it saves after those before it, positive for a gain; empty where `reason` says why. [s]
    together : Interval
        The same of all so far against the swimmer as now. [s]
    reason, note : str or None
        Why there is no number; what it leaves out.
    """

    fault: str
    name: str
    saved: Interval
    together: Interval
    reason: str | None = None
    note: str | None = None


def one_by_one(
    scenario: models.Scenario,
    *,
    draws: int = DRAWS,
    progress: Callable[[str, int, int], None] = lambda text, done, total: None,
) -> list[Step]:
    """Put the faults of a scenario right, each time the one that is worth most, at the power that the swimmer has now.

    Parameters
    ----------
    scenario : Scenario
        Resolved, from `read_scenario`: linked sets are written out there. Fewer than two faults have no order.
    draws : int
        2 or more.
    """
    left, drawn = list(scenario.fault), drawn_coefficients(draws, seed=scenario.seed)
    if len(left) < 2:
        return []
    total, done, steps = len(left) * (len(left) + 1) // 2, 0, []
    now = before = swum(scenario)
    while left:
        tried = []
        for i, fault in enumerate(left):
            progress(f"putting right: {named(fault)}, {len(left)} left", done, total)
            rest = scenario.model_copy(update={"fault": [*left[:i], *left[i + 1 :]]})
            tried.append(_tried(rest, before, now=now, drawn=drawn))
            done += 1
        best = max(range(len(left)), key=lambda i: _rank(tried[i][0]))
        (saved, reason, note), after = tried[best]
        together = worth(now, after, drawn=drawn)[0] if after is not None else NONE
        fault = left.pop(best)
        steps.append(Step(fault.fault, named(fault), saved, together, reason, note))
        before = before if after is None else after
    return steps


def _tried(rest: models.Scenario, before: Stroke, *, now: Stroke, drawn: Coefficients):
    """What it is worth to have only the rest of the faults, and that stroke; None where the body cannot swim it."""
    try:
        after = swum(rest)
        return worth(before, after, drawn=drawn, held=now), after
    except InputError as error:
        return (NONE, str(error).split("\n")[0], None), None


def _rank(found: tuple[Interval, str | None, str | None]) -> float:
    """What puts one fix before another: its median, nothing where there is no price."""
    return found[0].median or 0.0
