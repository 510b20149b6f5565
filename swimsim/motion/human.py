"""Is the motion human at every instant? Joint ranges, speeds and accelerations against `shared/human_limits.toml`."""

from __future__ import annotations

import numpy as np

from ..ground.conventions import JOINT_INDEX, SIDES
from ..ground.tables import read_toml
from .kinematics import Motion

SAMPLES = 400  # per cycle


def problems(motion: Motion) -> tuple[str, ...]:
    """What is not human about a motion or its pace, in words; empty if all is well."""
    return (*_pace(motion, read_toml("human_limits")), *motion_problems(motion))


def motion_problems(motion: Motion) -> tuple[str, ...]:
    """What is not human about a motion, whatever its pace.

    One full period is sampled 400 times a cycle: elbows, knees, wrists, neck, upper arm against the back, speed and
    acceleration of hand and elbow against the body.
    """
    limits = read_toml("human_limits")
    joints, step = _against_body(motion)
    found = []
    for side in SIDES:
        values = _joint_angles(joints, side)
        for name, (low, high) in _ranges(limits).items():
            found += _outside(f"{side} {name}", values[name], low, high)
        for point, key in (("knuckles", "hand"), ("elbow", "elbow")):
            path = joints[:, JOINT_INDEX[f"{side}_{point}"]]
            speed = (np.roll(path, -1, 0) - np.roll(path, 1, 0)) / (2 * step)
            bend = (np.roll(path, -1, 0) - 2 * path + np.roll(path, 1, 0)) / step**2
            for name, value, unit in (("speed", speed, "m_s"), ("acceleration", bend, "m_s2")):
                size = np.linalg.norm(value, axis=1)
                found += _outside(f"{side} {key} {name}", size, 0.0, limits[f"{key}_{name}_{unit}"])
    for name, (low, high) in _neck_ranges(limits).items():
        found += _outside(name, _neck(joints)[name], low, high)
    if not np.isfinite(joints).all():
        found.append("a joint is not finite")
    return tuple(found)


def _against_body(motion: Motion) -> tuple[np.ndarray, float]:
    """Joints over one period with the pelvis at rest (n, joints, 3) [m], and the time step [s]."""
    count = SAMPLES * motion.period_cycles
    time = np.arange(count) / SAMPLES * motion.cycle_s
    joints = motion.joints(time)
    return joints - joints[:, JOINT_INDEX["pelvis"]][:, None], motion.cycle_s / SAMPLES


def _ranges(limits: dict) -> dict[str, tuple[float, float]]:
    return {
        "elbow": (limits["elbow_least"], limits["elbow_most"]),
        "knee flexion": (limits["knee_least_flexion"], limits["knee_most_flexion"]),
        "wrist extension": (-limits["wrist_most_flexion"], limits["wrist_most_extension"]),
        "upper arm behind the back": (-180.0, limits["upper_arm_behind_back"]),
    }


def _joint_angles(joints: np.ndarray, side: str) -> dict[str, np.ndarray]:
    """Angles of one side over time. [deg]"""

    def at(name):
        return joints[:, JOINT_INDEX[f"{side}_{name}"]]

    sign = 1.0 if side == "left" else -1.0
    hand = _unit(at("knuckles") - at("wrist"))
    forearm = _unit(at("wrist") - at("elbow"))
    palm = sign * np.cross(hand, _unit(at("thumb_tip") - at("wrist")))
    bent = _between(forearm, hand) * np.sign(-(forearm * palm).sum(1)) * -1
    hips = joints[:, JOINT_INDEX["left_hip"]] - joints[:, JOINT_INDEX["right_hip"]]
    across = _unit(joints[:, JOINT_INDEX["left_shoulder"]] - joints[:, JOINT_INDEX["right_shoulder"]])
    along = _unit(joints[:, JOINT_INDEX["thorax"]] - joints[:, JOINT_INDEX["pelvis"]])
    back = _unit(np.cross(along, across))
    upper = _unit(at("elbow") - at("shoulder"))
    return {
        "elbow": _between(at("shoulder") - at("elbow"), at("wrist") - at("elbow")),
        "knee flexion": _knee(at("hip"), at("knee"), at("ankle"), hips),
        "wrist extension": bent,
        "upper arm behind the back": np.degrees(np.arcsin(np.clip((upper * back).sum(1), -1, 1))),
    }


def _neck_ranges(limits: dict) -> dict[str, tuple[float, float]]:
    turn = limits["neck_most_turn"]
    return {
        "neck turn": (-turn, turn),
        "neck extension": (-limits["neck_most_flexion"], limits["neck_most_extension"]),
    }


def _neck(joints: np.ndarray) -> dict[str, np.ndarray]:
    """Turn of the head against the shoulders, and how far the neck is bent back against the trunk. [deg]"""

    def at(name):
        return joints[:, JOINT_INDEX[name]]

    def tilt(name):
        across = at(f"left_{name}") - at(f"right_{name}")
        return np.degrees(np.arctan2(across[:, 2], across[:, 1]))

    trunk, crown = _unit(at("thorax") - at("pelvis")), _unit(at("head_top") - at("neck"))
    nose = at("nose") - at("neck")
    face = _unit(nose - (nose * crown).sum(1, keepdims=True) * crown)
    bent = np.degrees(np.arctan2((trunk * face).sum(1), (trunk * crown).sum(1)))
    turn = (tilt("ear") - tilt("shoulder") + 180) % 360 - 180
    return {"neck turn": turn, "neck extension": bent}


def _knee(hip: np.ndarray, knee: np.ndarray, ankle: np.ndarray, hips: np.ndarray) -> np.ndarray:
    """Knee flexion, negative if the knee bends forwards; `hips` points to the left. [deg]"""
    thigh, shank = knee - hip, ankle - knee
    backwards = (np.cross(thigh, shank) * hips).sum(1)
    return _between(thigh, shank) * np.sign(backwards)


def _unit(v: np.ndarray) -> np.ndarray:
    return v / np.linalg.norm(v, axis=1, keepdims=True)


def _between(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    return np.degrees(np.arctan2(np.linalg.norm(np.cross(a, b), axis=1), (a * b).sum(1)))


def _outside(name: str, values: np.ndarray, low: float, high: float) -> list[str]:
    worst = int(np.argmax(np.maximum(values - high, low - values)))
    if low <= values[worst] <= high:
        return []
    return [
        f"{name}: expected {low:g} to {high:g}, got {values[worst]:.1f} at {worst / SAMPLES:.3f} of the cycle"
    ]


def _pace(motion: Motion, limits: dict) -> list[str]:
    """Rate and speed beyond the human record."""
    rate, speed = motion.pattern.stroke_rate_hz * 60, motion.pattern.speed_m_s
    found = _outside("stroke rate per minute", np.array([rate]), 0, limits["stroke_rate_per_min"])
    return found + _outside("swimming speed", np.array([speed]), 0, limits["speed_m_s"])
