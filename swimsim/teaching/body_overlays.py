"""What is drawn for each fault of trunk, head and legs, from the exact motion."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from ..faults.catalogue import fault_named, passing_value
from ..ground.records import Drawn
from .geometry import BACK, CM, DEG, UP, Points, around, chain, turned, unit

RAY_M = 0.30  # length of the lines that stand for directions [m]
BEYOND_M = 0.10  # how far a line runs on beyond what it marks [m]
KNEE_TARGET, NECK_TARGET = (0.0, 50.0), (0.0, 15.0)  # [deg]
GAP_TARGET = 25.0  # [cm]
ABOVE_M = 0.03  # above the head, where the lines of the neck meet [m]
BESIDE_M = 0.08  # how far from a span its target lies [m]
WINDOW = (0.07, 0.07)  # cycle before and after the key in which arcs are shown


def sinking_legs(body: Points, key: float) -> tuple[Drawn, ...]:
    """Trunk line against the level, and this side's leg."""
    pelvis, thorax = body.trace.joint("pelvis"), body.trace.joint("thorax")
    hip, knee, ankle = (body.joint(n) for n in ("hip", "knee", "ankle"))
    line = thorax - pelvis
    slope = np.arctan2(line[:, 2], line[:, 0]) * DEG
    down, ray = -UP + 0 * thorax, (np.linalg.norm(line, axis=1) + BEYOND_M)[:, None]
    passes = passing_value(fault_named("sinking_legs"), body.swum.pattern.stroke_rate_hz)
    target = [thorax + ray * turned(BACK, down, angle) for angle in (0.0, passes)]
    shares = around(key, *WINDOW)
    return (
        Drawn("arc", chain(thorax, *target), shares=shares, tone="target"),
        Drawn("line", chain(thorax, thorax + ray * BACK), shares=shares, tone="guide"),
        Drawn("line", chain(thorax, pelvis - BEYOND_M * unit(line))),
        Drawn("line", chain(hip, knee, ankle)),
        Drawn("arc", chain(thorax, thorax + ray * BACK, thorax - ray * unit(line)), slope, shares=shares),
    )


def knee_kick(body: Points, key: float) -> tuple[Drawn, ...]:
    """This side's leg, and how far the knee is bent."""
    hip, knee, ankle = (body.joint(n) for n in ("hip", "knee", "ankle"))
    straight, shank = knee - hip, ankle - knee
    across = np.linalg.norm(np.cross(straight, shank), axis=1)
    flexion = np.arctan2(across, (straight * shank).sum(-1)) * DEG
    target = [knee + RAY_M * turned(unit(straight), shank, angle) for angle in KNEE_TARGET]
    shares = around(key, *WINDOW)
    return (
        Drawn("arc", chain(knee, *target), shares=shares, tone="target"),
        Drawn("line", chain(knee, knee + RAY_M * unit(straight)), shares=shares, tone="guide"),
        Drawn("line", chain(hip, knee, ankle)),
        Drawn("arc", chain(knee, knee + RAY_M * unit(straight), ankle), flexion, shares=shares),
    )


def scissor_kick(body: Points, key: float) -> tuple[Drawn, ...]:
    """How far apart the ankles are, sideways, and both legs."""
    hips, knees, ankles = (
        [body.trace.joint(f"{side}_{name}") for side in ("left", "right")]
        for name in ("hip", "knee", "ankle")
    )
    middle = (ankles[0] + ankles[1]) / 2
    gap = (ankles[0][:, 1] - ankles[1][:, 1]) * CM
    ends = [body.placed(middle[:, 0], ankle[:, 1], middle[:, 2]) for ankle in ankles]
    target = [
        body.placed(middle[:, 0], middle[:, 1] + sign * GAP_TARGET / 2 / CM, middle[:, 2] - BESIDE_M)
        for sign in (1, -1)
    ]
    shares = around(key, *WINDOW)
    return (
        Drawn("span", chain(*target), shares=shares, tone="target"),
        *(Drawn("line", chain(hips[i], knees[i], ankles[i])) for i in (0, 1)),
        Drawn("span", chain(*ends), gap, unit="cm", shares=shares, signed=False),
    )


def head_lift(body: Points, key: float) -> tuple[Drawn, ...]:
    """Line of the head against the line of the trunk carried on."""
    pelvis, thorax, neck, top, nose = (
        body.trace.joint(n) for n in ("pelvis", "thorax", "neck", "head_top", "nose")
    )
    trunk, crown = unit(thorax - pelvis), unit(top - neck)
    face = nose - neck
    face = unit(face - (face * crown).sum(-1, keepdims=True) * crown)
    bent = np.arctan2((trunk * face).sum(-1), (trunk * crown).sum(-1)) * DEG
    tip = top + ABOVE_M * crown  # the corner lies beyond the head, so that the face is seen
    target = [tip + RAY_M * turned(trunk, -face, angle) for angle in NECK_TARGET]
    shares = around(key, *WINDOW)
    return (
        Drawn("arc", chain(tip, *target), shares=shares, tone="target"),
        Drawn("line", chain(tip, tip + RAY_M * trunk), shares=shares, tone="guide"),
        Drawn("line", chain(neck, tip + RAY_M * crown)),
        Drawn("arc", chain(tip, tip + RAY_M * trunk, tip + RAY_M * crown), bent, shares=shares),
    )


def late_breath(body: Points, key: float) -> tuple[Drawn, ...]:
    """Line from the back of the head through the face, and the hand that should still be in the water."""
    ears = [body.trace.joint(f"{side}_ear") for side in ("left", "right")]
    middle, nose = (ears[0] + ears[1]) / 2, body.trace.joint("nose")
    hand = body.joint("knuckles")
    surface = body.placed(hand[:, 0], hand[:, 1], 0.0)
    shares = around(key, *WINDOW)
    return (
        Drawn("line", chain(surface, hand), shares=shares, tone="guide"),
        Drawn("line", chain(middle, middle + RAY_M * unit(nose - middle)), shares=shares),
    )


BODY: dict[str, Callable[[Points, float], tuple[Drawn, ...]]] = {
    "sinking_legs": sinking_legs,
    "knee_kick": knee_kick,
    "scissor_kick": scissor_kick,
    "head_lift": head_lift,
    "late_breath": late_breath,
}
