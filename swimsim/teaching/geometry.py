"""Points of a swimmer over a trace, and the directions that lines and arcs are made of. [m]"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..ground.conventions import side_sign
from ..ground.records import Trace
from ..scenario.play import Swum

FORWARD, BACK, UP = np.array([1.0, 0, 0]), np.array([-1.0, 0, 0]), np.array([0, 0, 1.0])
CM, DEG = 100.0, 180 / np.pi
SAFE = 1e-12


@dataclass(frozen=True)
class Points:
    """Joints of one side of a swimmer in every frame of the trace."""

    swum: Swum
    side: str

    @property
    def trace(self) -> Trace:
        """The frames."""
        return self.swum.trace

    @property
    def sign(self) -> float:
        """+1 for the left side, -1 for the right."""
        return side_sign(self.side)

    @property
    def half_width(self) -> float:
        """Half the distance between the shoulder joints. [m]"""
        return self.swum.body.shoulder_width_m / 2

    def joint(self, name: str) -> np.ndarray:
        """A joint of this side, shape (n_frames, 3)."""
        return self.trace.joint(f"{self.side}_{name}")

    def placed(self, x=None, y=None, z=None) -> np.ndarray:
        """Points (n_frames, 3) from coordinates, each an array or a number."""
        n = len(self.trace.time_s)
        return np.stack([np.broadcast_to(np.asarray(v, float), n) for v in (x, y, z)], axis=-1)

    def outward(self, line_m: np.ndarray | float) -> np.ndarray | float:
        """World y of a hand line, counted outwards from this side's shoulder line."""
        return self.sign * (self.half_width + line_m)


def chain(*points: np.ndarray) -> np.ndarray:
    """Points (n_frames, n_points, 3) of a line from arrays (n_frames, 3)."""
    return np.stack(np.broadcast_arrays(*points), axis=1)


def unit(vectors: np.ndarray) -> np.ndarray:
    """Vectors of length 1 along the last axis."""
    return vectors / np.maximum(np.linalg.norm(vectors, axis=-1, keepdims=True), SAFE)


def angle_between(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Angle between vectors along the last axis. [deg]"""
    return np.arctan2(np.linalg.norm(np.cross(a, b), axis=-1), (a * b).sum(-1)) * DEG


def turned(start: np.ndarray, towards: np.ndarray, angle_deg: float) -> np.ndarray:
    """Unit vectors at an angle from `start`, in the plane of `start` and `towards`."""
    u = unit(np.broadcast_to(start, towards.shape))
    across = unit(towards - (towards * u).sum(-1, keepdims=True) * u)
    return np.cos(angle_deg / DEG) * u + np.sin(angle_deg / DEG) * across


def around(share: float, before: float, after: float) -> tuple[float, float]:
    """Cycle shares around an instant; the second is below the first if the entry lies between."""
    low, high = share - before, share + after
    return (low % 1.0, high % 1.0)
