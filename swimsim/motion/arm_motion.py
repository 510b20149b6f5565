"""One arm in motion: curves joined to the trunk, on the arm's own clock."""

from __future__ import annotations

import math

import numpy as np

from ..ground.conventions import side_sign
from .arm import ArmPoints, arm_points
from .frame import Frame
from .instants import first_crossing, greatest
from .splines import Curves
from .vectors import cross, dot

HALF_RIGHT = math.pi / 4


def angle_between(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Angle between (3, ...) vectors. [rad]"""
    normal = cross(a, b)
    return np.arctan2(np.sqrt(dot(normal, normal)), dot(a, b))


def side_slope(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Slope of the line a to b below the horizontal in the side plane. [rad]"""
    return np.arctan2(a[2] - b[2], b[0] - a[0])


def palm_out(p: ArmPoints, sign: float) -> np.ndarray:
    """Turn of the palm about the forearm, 0 as far down as it can face, outward (thumb down) positive. [rad]"""
    forearm = p.wrist - p.elbow
    along = forearm / np.sqrt(dot(forearm, forearm))
    down = np.zeros_like(p.palm)
    down[2] = -1.0
    plain = down - dot(down, along) * along
    aside = sign * cross(along, plain)
    return np.arctan2(dot(p.palm, aside), dot(p.palm, plain))


class ArmMotion:
    """Arm points and the arm's own measures as functions of the arm clock (0 = its first entry) [cycle]."""

    def __init__(self, frame: Frame, curves: Curves, *, side: str) -> None:
        self.frame, self.curves, self.side = frame, curves, side
        self.sign = side_sign(side)
        self.flat = False  # whether elbow angles are read in the swimming plane
        self.lag = frame.pattern.arm_lag_share if side == "left" else 0.0

    def time(self, own: np.ndarray) -> np.ndarray:
        """Time of a place on the arm's clock. [s]"""
        return (np.asarray(own, float) + self.lag) / self.frame.rate

    def points(self, own: np.ndarray) -> ArmPoints:
        """Arm points at places on the arm's clock; the knuckles' x is the pool's."""
        own = np.asarray(own, float)
        lines = self.frame.lines(self.time(own))
        return self.points_with(own, lines)

    def points_with(self, own: np.ndarray, lines) -> ArmPoints:
        """The same with the trunk already computed."""
        return arm_points(self.curves(own), lines, self.frame.body, side=self.side)

    def elbow_angle(self, own: np.ndarray) -> np.ndarray:
        """Included angle shoulder-elbow-wrist (of the planar swimmer: in the plane). [rad]"""
        p = self.points(own)
        upper, lower = p.shoulder - p.elbow, p.wrist - p.elbow
        if self.flat:
            upper[1], lower[1] = 0.0, 0.0
        return angle_between(upper, lower)

    def forearm_slope(self, own: np.ndarray) -> np.ndarray:
        """Elbow to wrist below the horizontal, side plane. [rad]"""
        p = self.points(own)
        return side_slope(p.elbow, p.wrist)

    def upper_arm_slope(self, own: np.ndarray) -> np.ndarray:
        """Shoulder to elbow below the horizontal, side plane. [rad]"""
        p = self.points(own)
        return side_slope(p.shoulder, p.elbow)

    def knuckle_speed(self, own: np.ndarray) -> np.ndarray:
        """Pool-frame forward speed of the knuckles, by a central difference of the closed form. [m/cycle]"""
        step = 1e-5
        own = np.asarray(own, float)
        return (self.points(own + step).knuckles[0] - self.points(own - step).knuckles[0]) / (2 * step)

    def hand_speed(self, own: np.ndarray) -> np.ndarray:
        """Speed of the knuckles against the mid-shoulder in the side plane, by a central difference. [m/cycle]"""
        step, own = 1e-5, np.asarray(own, float)
        ahead = self._before_the_body(own + step) - self._before_the_body(own - step)
        return np.sqrt(dot(ahead, ahead)) / (2 * step)

    def _before_the_body(self, own: np.ndarray) -> np.ndarray:
        """Knuckles against the mid-shoulder, forward and up. [m]"""
        lines = self.frame.lines(self.time(own))
        return (self.points_with(own, lines).knuckles - lines.thorax)[[0, 2]]

    def hand_line(self, own: np.ndarray) -> np.ndarray:
        """Outward distance of the knuckles from the own shoulder line. [m]"""
        return self.sign * self.points(own).knuckles[1] - self.frame.body.shoulder_width_m / 2

    def palm_angle(self, own: np.ndarray) -> np.ndarray:
        """Palm normal from straight back. [rad]"""
        palm = self.points(own).palm
        return np.arctan2(np.hypot(palm[1], palm[2]), -palm[0])

    def past_hip(self, own: np.ndarray) -> np.ndarray:
        """Own hip joint's x minus the knuckles' x. [m]"""
        own = np.asarray(own, float)
        lines = self.frame.lines(self.time(own))
        hip = lines.pelvis[0] + self.sign * (self.frame.body.hip_width_m / 2) * lines.hip_line[0]
        return hip - self.points_with(own, lines).knuckles[0]

    def lowest_of_hand(self, own: np.ndarray) -> np.ndarray:
        """Height of the lowest of fingertip, knuckles and wrist. [m]"""
        p = self.points(own)
        return np.minimum(np.minimum(p.fingertip[2], p.knuckles[2]), p.wrist[2])

    def deep_30(self, low: np.ndarray, high: np.ndarray) -> np.ndarray:
        """First place where the knuckles pass 30 cm depth."""
        return first_crossing(lambda x: -0.30 - self.points(x).knuckles[2], low, high)

    def upper_arm_45(self, low: np.ndarray, high: np.ndarray) -> np.ndarray:
        """First place where the upper arm's slope reaches 45 degrees."""
        return first_crossing(lambda x: self.upper_arm_slope(x) - HALF_RIGHT, low, high)

    def hip_line(self, low: np.ndarray, high: np.ndarray) -> np.ndarray:
        """Place where the knuckles pass the own hip joint, or `high` (end of backward movement) if first."""
        place = first_crossing(self.past_hip, low, high)
        return np.where(np.isnan(place), high, place)

    def greatest_line(self, low: np.ndarray, high: np.ndarray):
        """Greatest hand line, place and value [m]."""
        return greatest(self.hand_line, low, high)

    def greatest_depth(self, low: np.ndarray, high: np.ndarray):
        """Greatest depth of the knuckles, place and value [m]."""
        return greatest(lambda x: -self.points(x).knuckles[2], low, high)
