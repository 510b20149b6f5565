"""Solve the arms' unknowns so that every target is met, and join the whole swimmer."""

from __future__ import annotations

import numpy as np

from ..ground.errors import UnreachableError
from ..ground.records import BodyMotion
from ..stroke.pattern import ArmPattern, StrokePattern, check_pattern, set_targets
from ..swimmer.anthropometry import Body
from .arm_motion import ArmMotion, angle_between, side_slope
from .frame import Frame, level_motion
from .kinematics import Motion
from .plan import UNKNOWNS, ArmPlan, make_plan

SOLVED = 1e-9  # largest residual left [m or rad]
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
    if left.max() > SOLVED:
        raise UnreachableError(unreachable_text(frame, side, left))
    return ArmMotion(frame, plan.curves(unknowns), side=side)


def residuals(arm: ArmMotion, plan: ArmPlan) -> np.ndarray:
    """Measure minus target for every unknown and cycle, shape (n_unknowns, period). [m or rad]"""
    t = plan.times
    entry, out, plane = t["entry"], t["exit"], t["shoulder_plane"]
    at_30 = arm.deep_30(entry, plane)
    at_45 = arm.upper_arm_45(entry + 0.3 * (t["extension"] - entry), t["end_backward"])
    at_hip = arm.hip_line(plane, t["end_backward"])
    start, end = t["start_backward"], t["end_backward"]
    places = np.concatenate([entry, t["extension"], at_30, plane, at_45, t["mid_recovery"], at_hip, out])
    p = arm.points(places)
    n = plan.period
    pick = {
        name: slice(i * n, (i + 1) * n)
        for i, name in enumerate(("entry", "extension", "at_30", "plane", "at_45", "mid", "hip", "exit"))
    }
    elbow = angle_between(p.shoulder - p.elbow, p.wrist - p.elbow)
    slope = side_slope(p.elbow, p.wrist)
    lowest = np.minimum(np.minimum(p.fingertip[2], p.knuckles[2]), p.wrist[2])
    palm = np.arctan2(np.hypot(p.palm[1], p.palm[2]), -p.palm[0])
    rise = p.elbow[2] - p.wrist[2]
    value = {
        "elbow_at_entry_rad": elbow[pick["entry"]],
        "elbow_at_extension_rad": elbow[pick["extension"]],
        "elbow_at_30cm_depth_rad": elbow[pick["at_30"]],
        "knuckles at the shoulder plane": (p.knuckles - p.shoulder)[0][pick["plane"]],
        "exit_past_hip_m": arm.past_hip(out),
        "knuckles still at the start of backward movement": arm.knuckle_speed(start),
        "knuckles still at the end of backward movement": arm.knuckle_speed(end),
        "fingertip at the surface": p.fingertip[2][pick["entry"]],
        "hand_depth_m": arm.greatest_depth(entry, out)[1],
        "elbow_at_shoulder_plane_rad": elbow[pick["plane"]],
        "hand at the surface": lowest[pick["exit"]],
        "elbow_above_wrist_m": rise[pick["mid"]],
        "pull_line_m": arm.greatest_line(t["start_backward"], plane)[1],
        "forearm_slope_at_45_rad": slope[pick["at_45"]],
        "palm_at_hip_line_rad": palm[pick["hip"]],
    }
    rows = [value[target] - np.array([getattr(a, target, 0.0) for a in plan.arms]) for _, _, target in UNKNOWNS]
    return np.stack(rows)


def solve_unknowns(frame: Frame, plan: ArmPlan, side: str, *, insist: bool = True) -> tuple[np.ndarray, np.ndarray]:
    """Unknowns and the absolute residuals that are left, both (n_unknowns, period).

    Powell's hybrid method from the first guess; where that fails, the targets are moved in steps from what the first
    guess gives to what is asked (a homotopy).
    """
    shape = plan.first.shape

    def f(x):
        arm = ArmMotion(frame, plan.curves(x.reshape(shape)), side=side)
        return np.nan_to_num(residuals(arm, plan), nan=1.0).ravel()

    x, left = _root(f, plan.first.ravel())
    if insist and np.abs(left).max() > SOLVED:
        x, left = _in_steps(f, plan.first.ravel())
    return x.reshape(shape), np.abs(left).reshape(shape)


def _root(f, x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    from scipy.optimize import root

    found = root(f, x, method="hybr", options={"xtol": 1e-12, "maxfev": MOST_EVALUATIONS})
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


def unreachable_text(frame: Frame, side: str, left: np.ndarray) -> str:
    """Which target of which arm this body cannot reach, and the range it can."""
    body, pattern = frame.body, frame.pattern
    names = [target for _, _, target in UNKNOWNS]
    order = [names[i] for i in np.argsort(-left.max(axis=1)) if names[i] in ArmPattern.__dataclass_fields__]
    cycle = int(np.argmax(left.max(axis=0)))
    for target in order[:2]:
        reachable = _reachable(frame, side, target)
        if reachable:
            low, high = (_door(target, v) for v in (min(reachable), max(reachable)))
            value = _door(target, getattr(pattern.arm(side, cycle), target))
            return (
                f"{side} arm: {target}: expected about {low} to {high} for this body of {body.stature_m:g} m with the "
                f"other targets as they are, got {value}"
            )
    asked = ", ".join(f"{t} {_door(t, getattr(pattern.arm(side, cycle), t))}" for t in order[:3])
    return f"{side} arm: these targets cannot be reached together by this body of {body.stature_m:g} m: {asked}"


def _door(target: str, value: float) -> str:
    return f"{np.degrees(value):.0f} deg" if target.endswith("_rad") else f"{value:.3f} m"


def _reachable(frame: Frame, side: str, target: str) -> list[float]:
    """Values of one target, over its plausible range, for which the arm can be solved."""
    meta = ArmPattern.__dataclass_fields__[target].metadata
    found = []
    for value in np.linspace(meta["low"], meta["high"], 8):
        pattern = set_targets(frame.pattern, {f"{side}_{target}": float(value)})
        trial = Frame(pattern, frame.body, frame.motion, planar=frame.lateral == 0)
        plan = make_plan(pattern, frame.body, side=side)
        if solve_unknowns(trial, plan, side, insist=False)[1].max() < SOLVED:
            found.append(float(value))
    return found
