"""Stick swimmers in closed form for the tests of the reader: every instant is known by hand.

The hand goes round an ellipse, so the instants of the stroke follow from one arcsine and one arccosine each.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from swimsim.ground.records import Trace


@dataclass(frozen=True)
class Stick:
    """Numbers of the stick swimmer: metres, radians, u = share of the cycle from own entry."""

    cycle_s: float = 1.37
    speed_m_s: float = 1.40
    depth_m: float = 0.35
    alpha: float = -0.5  # height of the fingertip: -depth (sin(2 pi u + alpha) - sin(alpha))
    reach_m: float = 0.65
    ahead_m: float = 0.05
    beta: float = -1.2  # hand ahead of the shoulder: reach cos(2 pi u + beta) + ahead
    line_m: float = 0.04  # hand outside its shoulder line
    left_delay: float = 0.5  # share of the cycle by which the left hand enters later
    shoulder_roll: tuple[float, ...] = (0.8, 0.0, 0.0)  # sine amplitudes of harmonics 1, 2, 3
    hip_roll: tuple[float, ...] = (0.4, 0.0, 0.0)
    hip_lag: float = 0.08  # share of the cycle
    beats: int = 3  # of one leg in one cycle
    kick_m: float = 0.15  # amplitude
    kick_shift: float = 0.0  # share of the kick cycle by which the low point comes after the entry
    trunk_slope: float = 0.15
    shoulder_m: float = 0.36
    hip_m: float = 0.18
    breath_left: int = 0  # every so many cycles the face turns to the left; 0 never
    length: float = 1.0  # all lengths are multiplied by this

    def exit_share(self) -> float:
        """Share of the cycle at exit: height is zero again at 2 pi u + alpha = pi - alpha."""
        return (np.pi - 2 * self.alpha) / (2 * np.pi)

    def backward_shares(self) -> tuple[float, float]:
        """Start and end: speed = reach 2 pi / T sin(2 pi u + beta)."""
        turn = np.arcsin(self.speed_m_s * self.cycle_s / (2 * np.pi * self.reach_m))
        return (turn - self.beta) / (2 * np.pi), (np.pi - turn - self.beta) / (2 * np.pi)

    def plane_share(self) -> float:
        """Shoulder plane: reach cos(2 pi u + beta) + ahead = 0."""
        return (np.arccos(-self.ahead_m / self.reach_m) - self.beta) / (2 * np.pi)

    def event_shares(self) -> dict[str, float]:
        """All instants of one arm."""
        start, end = self.backward_shares()
        return {
            "entry": 0.0, "start_backward": start, "shoulder_plane": self.plane_share(), "end_backward": end,
            "exit": self.exit_share(),
        }  # fmt: skip


def _roll(amplitudes: tuple[float, ...], phase: np.ndarray) -> np.ndarray:
    return sum(a * np.sin((k + 1) * phase) for k, a in enumerate(amplitudes))


def _across(centre: np.ndarray, width: float, roll: np.ndarray, sign: float) -> np.ndarray:
    half = sign * width / 2
    return centre + np.stack([0 * roll, half * np.cos(roll), half * np.sin(roll)], axis=1)


def stick_trace(stick: Stick, *, rate_hz: float = 120.0, cycles: float = 6.4, start_s: float = -0.3) -> Trace:
    """Trace of a stick swimmer; the right hand enters at t = 0."""
    t = start_s + np.arange(int(cycles * stick.cycle_s * rate_hz)) / rate_hz
    turn = 2 * np.pi * t / stick.cycle_s
    x0 = stick.speed_m_s * t
    pelvis = np.stack([x0, 0 * t, -0.12 + 0 * t], axis=1)
    trunk = 0.50
    thorax = pelvis + trunk * np.array([np.cos(stick.trunk_slope), 0, np.sin(stick.trunk_slope)])
    shoulder_roll = _roll(stick.shoulder_roll, turn)
    hip_roll = _roll(stick.hip_roll, turn - 2 * np.pi * stick.hip_lag)
    joints = {"pelvis": pelvis, "thorax": thorax, "neck": thorax + np.array([0.08, 0, 0.02])}
    for side, sign in (("left", 1.0), ("right", -1.0)):
        joints[f"{side}_shoulder"] = _across(thorax, stick.shoulder_m, shoulder_roll, sign)
        joints[f"{side}_hip"] = hip = _across(pelvis, stick.hip_m, hip_roll, sign)
        joints.update(_arm(stick, t, side, joints[f"{side}_shoulder"]))
        late = (stick.left_delay if side == "left" else 0.0) + stick.kick_shift / max(stick.beats, 1)
        kick = -stick.kick_m * np.cos(2 * np.pi * stick.beats * (t / stick.cycle_s - late))
        joints[f"{side}_ankle"] = ankle = hip + np.stack([-0.8 + 0 * t, 0 * t, -0.05 + kick], axis=1)
        joints[f"{side}_knee"] = (hip + ankle) / 2 + np.array([0, 0, -0.10])
        joints[f"{side}_heel"] = ankle + np.array([0, 0, 0.04])
    joints.update(_head(stick, t, joints["neck"]))
    positions = stick.length * np.stack(list(joints.values()), axis=1)
    return Trace(t, positions, tuple(joints), rate_hz)


def _arm(stick: Stick, t: np.ndarray, side: str, shoulder: np.ndarray) -> dict[str, np.ndarray]:
    sign, late = (1.0, stick.left_delay) if side == "left" else (-1.0, 0.0)
    angle = 2 * np.pi * (t / stick.cycle_s - late)
    height = -stick.depth_m * (np.sin(angle + stick.alpha) - np.sin(stick.alpha))
    x = shoulder[:, 0] + stick.reach_m * np.cos(angle + stick.beta) + stick.ahead_m
    y = 0 * t + sign * (stick.shoulder_m / 2 + stick.line_m)
    knuckles = np.stack([x, y, height + 0.02], axis=1)
    wrist = knuckles + np.array([-0.09, 0, 0.03])
    middle, apart = (shoulder + wrist) / 2, wrist - shoulder
    up = np.cross(apart, [0, 1.0, 0])
    up = 0.12 * up / np.linalg.norm(up, axis=1)[:, None]
    points = {
        "wrist": wrist,
        "knuckles": knuckles,
        "fingertip": knuckles + np.array([0.10, 0, -0.02]),
        "elbow": middle - up,
        "thumb_tip": wrist + np.array([0.06, -sign * 0.07, -0.02]),
    }
    return {f"{side}_{name}": point for name, point in points.items()}


def _head(stick: Stick, t: np.ndarray, neck: np.ndarray) -> dict[str, np.ndarray]:
    """Ears that turn 80 degrees in the recovery of the left arm of every so many cycles."""
    late = t / stick.cycle_s - stick.left_delay - 0.75
    turned = np.zeros(len(t))
    if stick.breath_left:
        near = (late + stick.breath_left / 2) % stick.breath_left - stick.breath_left / 2
        turned = np.radians(80) * np.exp(-((near / 0.1) ** 2))
    head = neck + np.array([0.15, 0, 0])
    return {"left_ear": _across(head, 0.15, turned, 1.0), "right_ear": _across(head, 0.15, turned, -1.0)}


def noisy(trace: Trace, sigma_m: float, *, seed: int = 0) -> Trace:
    """White noise on every coordinate."""
    noise = np.random.default_rng(seed).normal(0, sigma_m, trace.joints_m.shape)
    return Trace(trace.time_s, trace.joints_m + noise, trace.joint_names, trace.rate_hz)


def mirrored(trace: Trace) -> Trace:
    """Left and right changed over."""
    swap = {"left": "right", "right": "left"}
    names = tuple(
        "_".join([swap[n.split("_")[0]], *n.split("_")[1:]]) if n.split("_")[0] in swap else n
        for n in trace.joint_names
    )
    return Trace(trace.time_s, trace.joints_m * [1, -1, 1], names, trace.rate_hz)
