"""Solve the arms' unknowns so that every target is met, and join the whole swimmer."""

from __future__ import annotations

import numpy as np

from ..ground.conventions import EVENTS, SIDES
from ..ground.errors import InputError, UnreachableError
from ..ground.records import BodyMotion
from ..stroke.pattern import StrokePattern, check_pattern
from ..swimmer.anthropometry import Body
from .arm_motion import ArmMotion
from .arm_truth import arm_events
from .frame import Frame, level_motion
from .human import motion_problems
from .kinematics import Motion
from .plan import ArmPlan, make_plan
from .refusal import unreachable_text
from .unknowns import CHECKED, solve_unknowns

EVENT_CHECKED = 1e-7  # an event of the motion against the planned one [cycle]


def solve(
    pattern: StrokePattern, body: Body, *, body_motion: BodyMotion | None = None, dimensions: int = 3
) -> Motion:
    """The motion whose truth equals every target of the pattern.

    Parameters
    ----------
    body_motion : BodyMotion, optional
        How the body advances, heaves and pitches; default constant speed.
    dimensions : int
        3, or 2 for the planar side-view swimmer: the same stroke laid into the swimming plane.

    Raises
    ------
    InputError
        A parameter out of range.
    UnreachableError
        A target this body cannot reach (the text names the reachable range), or a motion that is not human.
    """
    check_pattern(pattern)
    if dimensions not in (2, 3):
        raise InputError(f"dimensions: expected 2 or 3, got {dimensions}")
    frame = Frame(pattern, body, body_motion or level_motion(pattern.speed_m_s))
    arms = {side: _solve_arm(frame, side) for side in SIDES}
    for arm in arms.values():
        arm.flat = dimensions == 2
    motion = Motion(frame, arms)
    inhuman = motion_problems(motion)
    if inhuman:
        raise UnreachableError("this stroke is not human: " + "; ".join(inhuman[:3]))
    motion.dimensions = dimensions
    return motion


def _solve_arm(frame: Frame, side: str) -> ArmMotion:
    plan = make_plan(frame.pattern, frame.body, side=side)
    unknowns, left = solve_unknowns(frame, plan, side)
    if left.max() > CHECKED:
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
