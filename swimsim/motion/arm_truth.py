"""Exact events and measures of one arm, from its continuous functions; one value per cycle of the period."""

from __future__ import annotations

import numpy as np

from .arm_motion import ArmMotion, palm_out
from .instants import first_crossing, greatest
from .still import still_stretch

DEG, CM, PERCENT = 180 / np.pi, 100.0, 100.0
SLOPE_75 = np.radians(75)


def arm_events(arm: ArmMotion, cycles: np.ndarray) -> dict[str, np.ndarray]:
    """Places of the events on the arm's own clock, for whole-numbered cycles. [cycle]

    Each is searched for in the motion itself, in order: entry, start of backward movement, shoulder plane, end of
    backward movement, exit (and wrist exit, the named alternative).
    """

    def ahead_of_shoulder(own):
        p = arm.points(own)
        return p.knuckles[0] - p.shoulder[0]

    cycles = np.asarray(cycles, float)
    entry = first_crossing(lambda x: arm.points(x).fingertip[2], cycles - 0.12, cycles + 0.12, rising=False)
    start = first_crossing(arm.knuckle_speed, entry + 0.03, entry + 0.60, samples=97, rising=False)
    plane = first_crossing(ahead_of_shoulder, start, start + 0.45, samples=65, rising=False)
    end = first_crossing(arm.knuckle_speed, plane, plane + 0.45, samples=65)
    out = first_crossing(arm.lowest_of_hand, np.maximum(end - 0.05, plane), end + 0.25, samples=65)
    wrist = first_crossing(lambda x: arm.points(x).wrist[2], plane, end + 0.25, samples=65)
    return {
        "entry": entry, "start_backward": start, "shoulder_plane": plane, "end_backward": end, "exit": out,
        "wrist_exit": wrist,
    }  # fmt: skip


def phase_values(at: dict[str, np.ndarray], after: np.ndarray) -> dict[str, np.ndarray]:
    """Phase shares [%] from event places; `after` is the next entry."""
    length = (after - at["entry"]) / PERCENT
    return {
        "phase_entry_catch": (at["start_backward"] - at["entry"]) / length,
        "phase_pull": (at["shoulder_plane"] - at["start_backward"]) / length,
        "phase_push": (at["exit"] - at["shoulder_plane"]) / length,
        "phase_recovery": (after - at["exit"]) / length,
    }


def line_values(arm: ArmMotion, at: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    """Hand lines, depth and distances in the pool frame. [cm]"""
    entry, start, plane, end, out = (
        at[k] for k in ("entry", "start_backward", "shoulder_plane", "end_backward", "exit")
    )

    def ahead(own):
        p = arm.points(own)
        return p.knuckles[0] - p.shoulder[0]

    def pool(own):
        return arm.points(own).knuckles[0]

    values = {
        "entry_line": arm.hand_line(entry),
        "extension_line": arm.hand_line((entry + start) / 2),
        "pull_line": arm.greatest_line(start, plane)[1],
        "mid_pull_line": arm.hand_line(plane),
        "hand_depth": arm.greatest_depth(entry, out)[1],
        "backward_displacement": pool(start) - pool(end),
        "exit_past_hip": arm.past_hip(out),
        "entry_reach": ahead(entry),
    }
    return {name: value * CM for name, value in values.items()}


def still_share(arm: ArmMotion, at: dict[str, np.ndarray], after: np.ndarray) -> np.ndarray:
    """How long the lead hand lies still before it starts to move backward. [%]"""
    low, high = still_stretch(arm, at["entry"], at["start_backward"])
    lasts = np.where(np.isnan(low), 0.0, high - low)
    return np.where(np.isfinite(at["start_backward"]), lasts, np.nan) / (after - at["entry"]) * PERCENT


def elbow_values(arm: ArmMotion, at: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    """Elbow angles at the named instants. [deg]"""
    start, end = at["start_backward"], at["end_backward"]
    places = {
        "elbow_at_entry": at["entry"],
        "elbow_at_start_backward": start,
        "elbow_at_30cm_depth": arm.deep_30(at["entry"], at["exit"]),
        "elbow_at_shoulder_plane": at["shoulder_plane"],
        "elbow_at_end_backward": end,
        "elbow_at_exit": at["exit"],
    }
    values = {name: arm.elbow_angle(place) * DEG for name, place in places.items()}
    values["elbow_least"] = -greatest(lambda x: -arm.elbow_angle(x), start, end, samples=65)[1] * DEG
    return values


def forearm_values(arm: ArmMotion, at: dict[str, np.ndarray], after: np.ndarray) -> dict[str, np.ndarray]:
    """Forearm slopes, palm and recovery height at the named instants. [deg], [cm], [1]"""
    start, plane = at["start_backward"], at["shoulder_plane"]
    third = start + (plane - start) / 3
    early = at["entry"] + 0.02
    at_45 = arm.upper_arm_45(early, at["end_backward"])
    at_75 = first_crossing(lambda x: arm.forearm_slope(x) - SLOPE_75, early, at["end_backward"])
    p, q = arm.points(third), arm.points(at_75)
    half_way = (at["exit"] + after) / 2
    r = arm.points(half_way)
    return {
        "forearm_slope_at_45": arm.forearm_slope(at_45) * DEG,
        "forearm_slope_at_start_backward": arm.forearm_slope(start) * DEG,
        "forearm_slope_at_third_of_pull": arm.forearm_slope(third) * DEG,
        "forearm_slope_at_shoulder_plane": arm.forearm_slope(plane) * DEG,
        "wrist_below_elbow_third_of_pull": (p.elbow[2] - p.wrist[2]) / arm.frame.body.forearm_m,
        "hand_ahead_at_75": (q.knuckles[0] - q.shoulder[0]) * CM,
        "palm_at_hip_line": arm.palm_angle(arm.hip_line(plane, at["end_backward"])) * DEG,
        "elbow_above_wrist": (r.elbow[2] - r.wrist[2]) * CM,
        "elbow_at_mid_recovery": arm.elbow_angle(half_way) * DEG,
        "recovery_line": arm.hand_line(half_way) * CM,
        "palm_out_at_entry": palm_out(arm.points(at["entry"]), arm.sign) * DEG,
    }


def arm_values(arm: ArmMotion, period: int) -> tuple[dict[str, np.ndarray], dict[str, np.ndarray]]:
    """Events [cycle, arm clock] and measures (door units) of every cycle of the period, each (period,)."""
    at = arm_events(arm, np.arange(period + 1))
    after = at["entry"][1:]
    at = {name: place[:-1] for name, place in at.items()}
    values = {
        **phase_values(at, after),
        "lead_hand_still": still_share(arm, at, after),
        **line_values(arm, at),
        **elbow_values(arm, at),
        **forearm_values(arm, at, after),
    }
    return at, values
