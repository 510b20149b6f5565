"""Legs: flutter kick of 0, 2, 4 or 6 beats tied to the arm cycle."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cached_property

import numpy as np

from ..ground.conventions import SIDES, side_sign
from ..stroke.pattern import StrokePattern
from ..stroke.rhythm import TWO_PI
from ..swimmer.anthropometry import Body
from .frame import Frame, Lines
from .leg_spread import Spread, turned_out
from .vectors import sin_cos, vector

KNEE_LEAST_RAD = math.radians(4)
FOLLOWS_HIPS = 0.5  # share of hip roll that the plane of the kick follows (choice of ours)
POINTED_RAD = math.radians(18)  # foot below the shank's line: the toes point back
STILL_KNEE_RAD = math.radians(8)


class Legs:
    """Both legs as functions of the cycle share, for one pattern and body.

    With `frame`, the trunk they hang on, they stand as far apart as the pattern says; without, straight behind the
    hips.
    """

    def __init__(self, pattern: StrokePattern, body: Body, frame: Frame | None = None) -> None:
        self.pattern, self.body, self.frame = pattern, body, frame
        self.per_cycle = pattern.kick_beats / 2
        kick = pattern.body
        still = pattern.kick_beats == 0
        self.thigh = 0.0 if still else kick.kick_thigh_rad
        self.knee = STILL_KNEE_RAD if still else kick.kick_knee_rad
        self.follows = 0.0 if still else FOLLOWS_HIPS
        self.low = self._low_point()

    def angles(self, kick: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Thigh below the trunk line and knee flexion over the kick cycle (0..1). [rad]"""
        row = self.pattern.body
        thigh = self.thigh * np.sin(TWO_PI * kick) + 0.12 * self.knee + row.kick_drop_rad
        late = kick - row.kick_knee_lag_share
        bend = 0.5 * (1 - np.cos(TWO_PI * late)) if self.per_cycle else np.ones_like(kick)
        knee = KNEE_LEAST_RAD + (self.knee - KNEE_LEAST_RAD) * bend
        return thigh, knee

    @cached_property
    def spread(self) -> Spread | None:
        """How far the legs stand apart."""
        return Spread(self.pattern, self._gap) if self.frame is not None else None

    def _gap(self, share: np.ndarray, turn: Callable[[np.ndarray], np.ndarray]) -> np.ndarray:
        """Left ankle beside the right one, with both legs turned outwards by `turn(share)`. [m]"""
        lines = self.frame.lines(share / self.frame.rate)
        plane, angle = self.plane(lines), turn(share)
        left, right = (self._chain(turned_out(plane, angle, s), s, share, lines)["ankle"][1] for s in SIDES)
        return left - right

    def _low_point(self) -> float:
        """Kick phase at which the ankle is lowest, from a fine scan (a setting, not a target)."""
        kick = np.linspace(0, 1, 2001)
        thigh, knee = self.angles(kick)
        drop = self.body.thigh_m * np.sin(thigh) + self.body.shank_m * np.sin(thigh - knee)
        return float(kick[np.argmax(drop)])

    def points(self, side: str, share: np.ndarray, lines: Lines) -> dict[str, np.ndarray]:
        """Hip, knee, ankle, heel, toe of one leg, each (3, ...). [m]

        Parameters
        ----------
        share : numpy.ndarray
            Cycle share of the right arm.
        """
        return self.points_in(self.plane(lines), side, share, lines)

    def points_in(self, plane, side: str, share: np.ndarray, lines: Lines) -> dict[str, np.ndarray]:
        """The same with the plane of the kick already computed."""
        if self.spread is not None:
            plane = turned_out(plane, self.spread.turn(share), side)
        return self._chain(plane, side, share, lines)

    def _chain(self, plane, side: str, share: np.ndarray, lines: Lines) -> dict[str, np.ndarray]:
        """Hip, knee, ankle, heel, toe of one leg that kicks in this plane."""
        body, (back, down) = self.body, plane
        hip = lines.pelvis + side_sign(side) * (body.hip_width_m / 2) * lines.hip_line
        own = share - (self.pattern.arm_lag_share if side == "left" else 0.0)
        thigh, knee = self.angles(self.per_cycle * (own - self.pattern.body.kick_low_share) + self.low)
        shank = thigh - knee

        def along(angle):
            sine, cosine = sin_cos(angle)
            return cosine * back + sine * down

        at_knee = hip + body.thigh_m * along(thigh)
        ankle = at_knee + body.shank_m * along(shank)
        # Face down with the toes pointed back, the sole looks up: the heel lies above the line of the shank.
        sin_sole, cos_sole = sin_cos(shank + POINTED_RAD)
        toe_way = cos_sole * back + sin_sole * down
        to_sole = 0.5 * body.ankle_height_m * (sin_sole * back - cos_sole * down)
        return {
            "hip": hip,
            "knee": at_knee,
            "ankle": ankle,
            "toe": ankle + body.toe_forward_m * toe_way + to_sole,
            "heel": ankle - body.heel_back_m * toe_way + to_sole,
        }

    def plane(self, lines: Lines) -> tuple[np.ndarray, np.ndarray]:
        """Unit vectors backwards along the legs and downwards in the plane of the kick."""
        tilt = self.follows * lines.hip_roll
        slope = 0.35 * self.pattern.body.trunk_slope_rad
        (ahead_x, ahead_y, _), shape = lines.ahead, tilt.shape
        back = vector(-math.cos(slope) * ahead_x, -math.cos(slope) * ahead_y, -math.sin(slope), shape=shape)
        sin_tilt, cos_tilt = sin_cos(tilt)
        level, aside = math.sin(slope) * cos_tilt, sin_tilt
        down_x, down_y = level * ahead_x - aside * ahead_y, level * ahead_y + aside * ahead_x
        return back, vector(down_x, down_y, -math.cos(slope) * cos_tilt, shape=shape)
