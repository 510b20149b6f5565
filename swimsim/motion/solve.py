"""Solve the arms' unknowns so that every target is met, and join the whole swimmer."""

from __future__ import annotations

import numpy as np

from ..ground.errors import UnreachableError
from ..ground.records import BodyMotion
from ..stroke.pattern import StrokePattern, check_pattern
from ..swimmer.anthropometry import Body
from .arm_motion import ArmMotion
from .frame import Frame, level_motion
from .kinematics import Motion
from .plan import UNKNOWNS, ArmPlan, make_plan

SOLVED = 1e-9  # largest residual left [m or rad]


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
    plan = make_plan(frame.pattern, frame.body, side=side, thorax_speed=thorax_speed(frame, side))
    unknowns, left = solve_unknowns(frame, plan, side)
    if left.max() > SOLVED:
        raise UnreachableError(unreachable_text(frame.pattern, frame.body, side, left))
    return ArmMotion(frame, plan.curves(unknowns), side=side)


def thorax_speed(frame: Frame, side: str):
    """Forward speed of the thorax per cycle on the arm's clock, by a central difference. [m/cycle]"""
    lag = frame.pattern.arm_lag_share if side == "left" else 0.0

    def speed(own):
        step = 1e-5
        ahead, behind = (frame.lines((own + lag + d) / frame.rate).thorax[0] for d in (step, -step))
        return (ahead - behind) / (2 * step)

    return speed


def residuals(arm: ArmMotion, plan: ArmPlan) -> np.ndarray:
    """Measure minus target for every unknown and cycle, shape (n_unknowns, period). [m or rad]"""
    t = plan.times
    entry, out, plane = t["entry"], t["exit"], t["shoulder_plane"]
    at_30 = arm.deep_30(entry, plane)
    at_45 = arm.upper_arm_45(entry + 0.3 * (t["extension"] - entry), t["end_backward"])
    at_hip = arm.hip_line(plane, out)
    places = np.concatenate([entry, t["extension"], at_30, plane, at_45, t["mid_recovery"], at_hip, out])
    p = arm.points(places)
    n = plan.period
    pick = {
        name: slice(i * n, (i + 1) * n)
        for i, name in enumerate(("entry", "extension", "at_30", "plane", "at_45", "mid", "hip", "exit"))
    }
    elbow = _elbow(p)
    slope = np.arctan2(p.elbow[2] - p.wrist[2], p.wrist[0] - p.elbow[0])
    lowest = np.minimum(np.minimum(p.fingertip[2], p.knuckles[2]), p.wrist[2])
    palm = np.arctan2(np.hypot(p.palm[1], p.palm[2]), -p.palm[0])
    rise = p.elbow[2] - p.wrist[2]
    value = {
        "elbow_at_entry_rad": elbow[pick["entry"]],
        "elbow_at_extension_rad": elbow[pick["extension"]],
        "elbow_at_30cm_depth_rad": elbow[pick["at_30"]],
        "exit_past_hip_m": arm.past_hip(out),
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


def _elbow(p) -> np.ndarray:
    a, b = p.shoulder - p.elbow, p.wrist - p.elbow
    cross = np.cross(a, b, axis=0)
    angle = np.arctan2(np.sqrt((cross * cross).sum(0)), (a * b).sum(0))
    return angle + 20.0 * np.minimum(p.slack, 0.0) * -1.0


def solve_unknowns(frame: Frame, plan: ArmPlan, side: str) -> tuple[np.ndarray, np.ndarray]:
    """Unknowns and the absolute residuals that are left, both (n_unknowns, period)."""
    from scipy.optimize import root

    shape = plan.first.shape

    def f(x):
        arm = ArmMotion(frame, plan.curves(x.reshape(shape)), side=side)
        return np.nan_to_num(residuals(arm, plan), nan=1.0).ravel()

    found = root(f, plan.first.ravel(), method="hybr", options={"xtol": 1e-12})
    return found.x.reshape(shape), np.abs(found.fun).reshape(shape)


def unreachable_text(pattern: StrokePattern, body: Body, side: str, left: np.ndarray) -> str:
    """Which target of which arm this body cannot reach."""
    worst = int(np.argmax(left.max(axis=1)))
    cycle = int(np.argmax(left[worst]))
    target = UNKNOWNS[worst][2]
    value = getattr(pattern.arm(side, cycle), target, float("nan"))
    return f"{side} arm: {target} = {value:.3f} cannot be reached by this body ({body.stature_m:g} m)"
