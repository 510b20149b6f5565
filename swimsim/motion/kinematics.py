"""The whole swimmer as a function of time, and traces sampled from it."""

from __future__ import annotations

import numpy as np

from ..ground.conventions import JOINT_INDEX, JOINTS, SIDES
from ..ground.records import Trace
from .arm import ArmPoints
from .arm_motion import ArmMotion
from .frame import Frame
from .legs import Legs

CHUNK = 5000  # frames worked on at once, to fit the cache; rows of a power of two would share cache sets


class Motion:
    """Joint positions in closed form; every joint is a smooth function of time.

    With `dimensions = 2` every joint lies in the swimming plane: the view from the side, from infinitely far away.
    Whatever is read along x and z is the full swimmer's; limbs that point sideways look shorter there.
    """

    def __init__(self, frame: Frame, arms: dict[str, ArmMotion], *, dimensions: int = 3) -> None:
        self.frame, self.arms, self.dimensions = frame, arms, dimensions
        self.pattern, self.body = frame.pattern, frame.body
        self.legs = Legs(frame.pattern, frame.body, frame)
        self.cycle_s = 1 / frame.rate
        self.period_cycles = frame.pattern.period_cycles

    def joints(self, time_s: np.ndarray) -> np.ndarray:
        """World positions at the given times, shape (n_frames, n_joints, 3) in the order of JOINTS. [m]"""
        time = np.asarray(time_s, float)
        out = np.empty((len(time), 3 * len(JOINTS)))
        block = np.empty((len(JOINTS), 3, min(len(time), CHUNK)))
        for start in range(0, len(time), CHUNK):
            rows = out[start : start + CHUNK]
            for name, point in self._points(time[start : start + CHUNK]).items():
                block[JOINT_INDEX[name], :, : len(rows)] = point
            rows[...] = block.reshape(rows.shape[1], -1)[:, : len(rows)].T
        joints = out.reshape(len(time), len(JOINTS), 3)
        if self.dimensions == 2:
            joints[:, :, 1] = 0.0
        return joints

    def _points(self, time: np.ndarray) -> dict[str, np.ndarray]:
        share = time * self.frame.rate
        lines = self.frame.lines(time)
        points = {"pelvis": lines.pelvis, "thorax": lines.thorax, **self.frame.head(time, lines)}
        kick = self.legs.plane(lines)
        for side in SIDES:
            p = self.arm(side, share, lines)
            for name in ("shoulder", "elbow", "wrist", "knuckles", "fingertip", "thumb_tip"):
                points[f"{side}_{name}"] = getattr(p, name)
            leg = self.legs.points_in(kick, side, self.kick_share(side, share), lines)
            points.update({f"{side}_{name}": point for name, point in leg.items()})
        return points

    def arm(self, side: str, share: np.ndarray, lines) -> ArmPoints:
        """Points of one arm at shares of the right arm's cycle, with the trunk already computed."""
        arm = self.arms[side]
        return arm.points_with(share - arm.lag, lines)

    def kick_share(self, side: str, share: np.ndarray) -> np.ndarray:
        """Share of the right arm's cycle at which this leg's kick is read."""
        return share

    def trace(self, rate_hz: float, duration_s: float, *, meta: dict | None = None) -> Trace:
        """Frames from time 0 at a steady rate."""
        time = np.arange(int(np.floor(duration_s * rate_hz + 1e-9)) + 1) / rate_hz
        facts = {
            "speed_m_s": float(self.pattern.speed_m_s),
            "cycle_s": self.cycle_s,
            "period_cycles": self.period_cycles,
            **(meta or {}),
        }
        return Trace(time, self.joints(time), JOINTS, rate_hz, facts)
