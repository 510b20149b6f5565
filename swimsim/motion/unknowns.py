"""The solver of one arm: Powell's hybrid method, with a homotopy where the first guess is too far off."""

from __future__ import annotations

import dataclasses

import numpy as np

from .arm_motion import ArmMotion
from .frame import Frame
from .plan import ArmPlan, make_plan
from .residuals import Quick, exact

SOLVED = 1e-9  # largest residual the solver leaves [m or rad]
CHECKED = 2e-7  # largest residual of the exact check; targets are promised to 1e-6
MOST_STEPS = 25  # Newton steps for many cycles
MOST_EVALUATIONS = 160  # a solvable arm of one cycle needs about 40


def solve_unknowns(frame: Frame, plan: ArmPlan, side: str) -> tuple[np.ndarray, np.ndarray]:
    """Unknowns and the absolute exact residuals that are left, both (n_unknowns, period).

    Powell's hybrid method from the first guess; where that fails, the targets are moved in steps from what the first
    guess gives to what is asked (a homotopy).
    """
    quick = _quick(frame, plan, side)
    many = plan.period > 3
    start = _start_of_many(frame, plan, side) if many else quick.first
    best = None
    for way in _ways(plan):
        found = _checked(quick, *way(quick, start))
        if best is None or found[1].max() < best[1].max():
            best = found
        if best[1].max() < CHECKED:
            break
    return best


def try_unknowns(
    frame: Frame, plan: ArmPlan, side: str, *, near: np.ndarray | None = None
) -> np.ndarray | None:
    """Unknowns by the quickest way alone, from those of a neighbour if there is one; None if it does not get there."""
    quick = _quick(frame, plan, side)
    start = quick.first if near is None else quick.from_first_instants(near)
    found, left = _checked(quick, *_root(quick, start))
    return found if left.max() < CHECKED else None


def _quick(frame: Frame, plan: ArmPlan, side: str) -> Quick:
    """The residuals of one arm as the solver takes them."""
    return Quick(lambda unknowns: ArmMotion(frame, plan.curves(unknowns), side=side), plan)


def _ways(plan: ArmPlan):
    """Ways to a solution, the quickest first; each takes residuals and a start."""
    many = plan.period > 3
    yield (lambda quick, x: _newton(quick, x, plan.period)) if many else _root
    if plan.steered.any():
        yield _still_last
    if many:
        yield lambda quick, x: _newton_in_steps(quick, x, plan.period)
    else:
        yield _in_steps


def _checked(quick: Quick, x: np.ndarray, left: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Exact residuals of a solution; where an instant was not the first of its kind, solve again from the first."""
    for _ in range(3):
        unknowns = quick.split(x)[0]
        if np.abs(left).max() > SOLVED:
            return unknowns, np.abs(quick.split(left)[0])
        rest = np.abs(np.nan_to_num(exact(quick.arm_of(unknowns), quick.plan), nan=1.0))
        if rest.max() < CHECKED or quick.plan.period > 3:
            break
        x, left = _root(quick, quick.from_first_instants(unknowns))
    return unknowns, rest


def _root(f, x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    from scipy.optimize import root

    found = root(f, x, method="hybr", options={"xtol": 1e-12, "maxfev": MOST_EVALUATIONS * len(x) // 21})
    return found.x, found.fun


def _still_last(quick: Quick, start: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Solve without the still hand first, and bring it in from there."""
    period = quick.plan.period
    quick.steer(False)
    x, _ = _newton(quick, start, period) if period > 3 else _root(quick, start)
    quick.steer(True)
    begin = quick.from_first_instants(quick.split(x)[0])
    x, left = _newton(quick, begin, period)
    if np.abs(left).max() > SOLVED:
        x, left = _newton_in_steps(quick, begin, period) if period > 3 else _in_steps(quick, begin)
    return x, left


def _start_of_many(frame: Frame, plan: ArmPlan, side: str) -> np.ndarray:
    """Start for many scattered cycles: the solution of the one stroke they scatter about, in every cycle."""
    one = dataclasses.replace(
        frame.pattern, cycles=(), roll_scatter=(), breathing_side="none", breathing_every=0
    )
    single = make_plan(one, frame.body, side=side)
    calm = Frame(one, frame.body, frame.motion)
    quick = _quick(calm, single, side)
    x, _ = _root(quick, quick.first)
    unknowns, instants = quick.split(x)
    shift = plan.times["start_backward"] - single.times["start_backward"]
    many = np.repeat(unknowns, plan.period, axis=1)
    return np.concatenate([many.ravel(), (instants + shift).ravel()])


def _newton(f, x: np.ndarray, period: int) -> tuple[np.ndarray, np.ndarray]:
    """Newton steps for many cycles: an unknown moves its own cycle and the two beside it, hardly any other."""
    left = f(x)
    for _ in range(MOST_STEPS):
        if np.abs(left).max() < SOLVED:
            break
        step = _solve_or_least(_slopes(f, x, left, period), left)
        for share in (1.0, 0.5, 0.25, 0.1):
            trial = x - share * step
            value = f(trial)
            if np.linalg.norm(value) < np.linalg.norm(left):
                break
        x, left = trial, value
    return x, left


def _solve_or_least(slopes: np.ndarray, left: np.ndarray) -> np.ndarray:
    try:
        return np.linalg.solve(slopes, left)
    except np.linalg.LinAlgError:
        return np.linalg.lstsq(slopes, left, rcond=None)[0]


def _newton_in_steps(f, x: np.ndarray, period: int) -> tuple[np.ndarray, np.ndarray]:
    """The scatter brought in by quarters."""
    start = f(x)
    for share in (0.25, 0.5, 0.75):
        x, _ = _newton(lambda y, rest=(1 - share) * start: f(y) - rest, x, period)
    return _newton(f, x, period)


def _slopes(f, x: np.ndarray, left: np.ndarray, period: int) -> np.ndarray:
    """Jacobian by forward differences, cycles that lie three or more apart moved together."""
    kinds, step = len(x) // period, 1e-7
    stride = 3 if period % 3 == 0 else 4 if period % 4 == 0 else period
    cycles = np.arange(period)
    slopes = np.zeros((len(x), len(x)))
    residual_cycle = np.tile(cycles, kinds)
    for kind in range(kinds):
        for first in range(stride):
            moved = cycles[first::stride]
            shifted = x.copy()
            shifted[kind * period + moved] += step
            change = (f(shifted) - left) / step
            for cycle in moved:
                near = (
                    np.abs((residual_cycle - cycle + period // 2) % period - period // 2) <= (stride - 1) // 2
                )
                slopes[near, kind * period + cycle] = change[near]
    return slopes


def _in_steps(f, x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Follow f(x) = (1 - share) f(x0) from share 0 to 1; stops where no step succeeds."""
    start, share, step = f(x), 0.0, 0.25
    while share < 1.0 and step > 0.02:
        wanted = min(share + step, 1.0)
        rest = (1 - wanted) * start
        trial, left = _root(lambda y, rest=rest: f(y) - rest, x)
        if np.abs(left).max() < 1e-7:
            x, share, step = trial, wanted, step * 1.5
        else:
            step /= 2
    return _root(f, x)
