"""The solver of one arm: Powell's hybrid method, with a homotopy where the first guess is too far off."""

from __future__ import annotations

import numpy as np

from .arm_motion import ArmMotion
from .frame import Frame
from .plan import ArmPlan
from .residuals import Quick, exact

SOLVED = 1e-9  # largest residual the solver leaves [m or rad]
CHECKED = 2e-7  # largest residual of the exact check; targets are promised to 1e-6
MOST_EVALUATIONS = 160  # a solvable arm of one cycle needs about 40


def solve_unknowns(frame: Frame, plan: ArmPlan, side: str, *, insist: bool = True) -> tuple[np.ndarray, np.ndarray]:
    """Unknowns and the absolute exact residuals that are left, both (n_unknowns, period).

    Powell's hybrid method from the first guess; where that fails, the targets are moved in steps from what the first
    guess gives to what is asked (a homotopy).
    """

    def arm_of(unknowns):
        return ArmMotion(frame, plan.curves(unknowns), side=side)

    quick = Quick(arm_of, plan)
    x, left = _root(quick, quick.first)
    if insist and np.abs(left).max() > SOLVED:
        x, left = _in_steps(quick, quick.first)
    unknowns = quick.split(x)[0]
    if np.abs(left).max() > SOLVED:
        return unknowns, np.abs(quick.split(left)[0])
    return unknowns, np.abs(np.nan_to_num(exact(arm_of(unknowns), plan), nan=1.0))


def _root(f, x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    from scipy.optimize import root

    found = root(f, x, method="hybr", options={"xtol": 1e-12, "maxfev": MOST_EVALUATIONS * len(x) // 21})
    return found.x, found.fun


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


