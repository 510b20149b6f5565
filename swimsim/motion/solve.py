"""Solve the arms' unknowns so that every target is met, and join the whole swimmer."""

from __future__ import annotations

import numpy as np

from ..ground.conventions import EVENTS
from ..ground.errors import UnreachableError
from ..ground.records import BodyMotion
from ..stroke.pattern import StrokePattern, check_pattern
from ..swimmer.anthropometry import Body
from .arm_motion import ArmMotion
from .arm_truth import arm_events
from .frame import Frame, level_motion
from .kinematics import Motion
from .plan import ArmPlan, make_plan
from .residuals import Quick, exact

SOLVED = 1e-9  # largest residual the solver leaves [m or rad]
CHECKED = 2e-7  # largest residual of the exact check; targets are promised to 1e-6
EVENT_CHECKED = 1e-7  # an event of the motion against the planned one [cycle]
MOST_EVALUATIONS = 160  # a solvable arm needs about 40


def solve(
    pattern: StrokePattern, body: Body, *, body_motion: BodyMotion | None = None, dimensions: int = 3
) -> Motion:
    """The motion whose truth equals every target of the pattern.

    Parameters
    ----------
    body_motion : BodyMotion, optional
        How the body advances, heaves and pitches; default constant speed.
    dimensions : int
        3, or 2 for the planar side-view swimmer.

    Raises
    ------
    InputError
        A parameter out of range.
    UnreachableError
        A target this body cannot reach; the text names the reachable range.
    """
    check_pattern(pattern)
    frame = Frame(pattern, body, body_motion or level_motion(pattern.speed_m_s), planar=dimensions == 2)
    arms = {side: _solve_arm(frame, side) for side in ("left", "right")}
    return Motion(frame, arms)


def _solve_arm(frame: Frame, side: str) -> ArmMotion:
    plan = make_plan(frame.pattern, frame.body, side=side)
    unknowns, left = solve_unknowns(frame, plan, side)
    if left.max() > CHECKED:
        from .refusal import unreachable_text

        raise UnreachableError(unreachable_text(frame, side, left))
    arm = ArmMotion(frame, plan.curves(unknowns), side=side)
    _check_events(arm, plan)
    return arm


def _check_events(arm: ArmMotion, plan: ArmPlan) -> None:
    """The events found in the motion must be the planned ones: no early touch of the water, no second turn."""
    found = arm_events(arm, np.arange(plan.period))
    for event in EVENTS:
        off = np.abs(found[event] - plan.times[event])
        if not off.max() < EVENT_CHECKED:
            cycle = int(np.argmax(np.nan_to_num(off, nan=np.inf)))
            raise UnreachableError(
                f"{arm.side} arm: {event}: expected at {plan.times[event][cycle]:.4f} of the cycle, the motion has it "
                f"at {found[event][cycle]:.4f}: these targets make a hand path that touches the water or turns twice"
            )


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


