"""A hand-made moving body for the tests of the drawing room: cranked arms, waving legs, rolling trunk.

It knows nothing of the package's own motion, so pictures and clips can be tested without it.
"""

from __future__ import annotations

import numpy as np

from swimsim.ground.conventions import JOINTS, side_sign
from swimsim.ground.records import Marks, Trace

CYCLE_S = 1.4
SPEED_M_S = 1.45
TICKS = (("entry", 0.0), ("catch", 0.26), ("pull", 0.38), ("push", 0.52), ("exit", 0.70))


def swimmer(
    seconds: float = 4.2, *, rate_hz: float = 60.0, cycle_s: float = CYCLE_S, bend: float = 1.0
) -> Trace:
    """A trace of a body 1.80 m tall; `bend` scales the elbow bend under water."""
    time = np.arange(round(seconds * rate_hz) + 1) / rate_hz
    share = time / cycle_s
    roll = 0.7 * np.sin(2 * np.pi * (share - 0.05))
    joints: dict[str, np.ndarray] = {}
    pelvis = np.stack([SPEED_M_S * time, 0 * time, -0.12 + 0 * time], -1)
    thorax = pelvis + np.array([0.52, 0, 0.03])
    joints.update(pelvis=pelvis, thorax=thorax, neck=thorax + np.array([0.08, 0, 0.01]))
    joints["head_top"] = joints["neck"] + np.array([0.27, 0, 0.02])
    joints["chin"] = joints["neck"] + np.array([0.05, 0, -0.08])
    joints["nose"] = joints["neck"] + np.array([0.14, 0, -0.13])
    for side in ("left", "right"):
        _side(joints, side, share + (0.5 if side == "left" else 0.0), roll=roll, bend=bend)
    meta = {"speed_m_s": SPEED_M_S, "stature_m": 1.80}
    return Trace(time, np.stack([joints[name] for name in JOINTS], axis=1), JOINTS, rate_hz, meta)


def _side(joints: dict, side: str, share: np.ndarray, *, roll: np.ndarray, bend: float) -> None:
    out = side_sign(side)
    across = out * np.stack([0 * roll, np.cos(roll), np.sin(roll)], -1)
    shoulder = joints["thorax"] + 0.18 * across
    hip = joints["pelvis"] + 0.09 * across * np.array([1, 1, 0.6])
    turn = 2 * np.pi * (share % 1.0)
    flex = bend * 1.4 * np.clip(np.sin(turn), 0, None) ** 1.5 + 1.2 * np.clip(-np.sin(turn), 0, None) ** 1.5

    def ray(angle, spread):
        return np.stack([np.cos(angle), out * spread + 0 * angle, -np.sin(angle)], -1)

    upper = ray(turn, 0.25 * np.abs(np.sin(turn)))
    fore = ray(turn + np.where(np.sin(turn) > 0, flex, -flex), -0.15 * np.clip(np.sin(turn), 0, None))
    upper, fore = (v / np.linalg.norm(v, axis=-1, keepdims=True) for v in (upper, fore))
    elbow = shoulder + 0.29 * upper
    wrist = elbow + 0.26 * fore
    thumb = np.stack([0 * turn, -out + 0 * turn, 0 * turn], -1)
    kick = 0.25 * np.sin(6 * np.pi * share)
    knee = hip + 0.44 * ray(np.pi + kick, 0.02)
    ankle = knee + 0.43 * ray(np.pi + kick - 0.25 - 0.2 * np.cos(6 * np.pi * share), 0.0)
    foot = ray(np.pi + kick - 0.45, 0.0)
    hand = {"knuckles": 0.09 * fore, "fingertip": 0.19 * fore, "thumb_tip": 0.09 * fore + 0.06 * thumb}
    face = {"eye": (0.17, out * 0.03, -0.10), "ear": (0.15, out * 0.07, -0.01)}
    parts = {"shoulder": shoulder, "elbow": elbow, "wrist": wrist, "hip": hip, "knee": knee, "ankle": ankle}
    parts |= {"heel": ankle - 0.05 * foot + np.array([0, 0, 0.05]), "toe": ankle + 0.19 * foot}
    parts |= {name: wrist + off for name, off in hand.items()}
    parts |= {name: joints["neck"] + np.array(off) for name, off in face.items()}
    joints.update({f"{side}_{name}": value for name, value in parts.items()})


def marks_for(trace: Trace, *, fault: bool, side: str = "left", cycle_s: float = CYCLE_S) -> Marks:
    """Marks of a panel with its arm highlighted."""
    limb = tuple(f"{side}_{n}" for n in ("shoulder", "elbow", "wrist", "knuckles", "fingertip"))
    return Marks(
        word="FAULT" if fault else "CORRECT",
        title="dropped elbow, left arm" if fault else "elbow above the hand",
        style="dashed" if fault else "solid",
        limb=limb,
        value=f"forearm {25 if fault else 70}°",
        band="target 60° to 80°",
        ticks=TICKS,
        phase=(trace.time_s / cycle_s) % 1.0,
    )


def pair(seconds: float = 4.2) -> list[tuple[Trace, Marks]]:
    """A FAULT and a CORRECT panel."""
    wrong, right = swimmer(seconds, bend=0.2), swimmer(seconds)
    return [(wrong, marks_for(wrong, fault=True)), (right, marks_for(right, fault=False))]
