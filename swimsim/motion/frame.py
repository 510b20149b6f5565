"""The trunk over time: pelvis, thorax, shoulder and hip lines, and the points of the head.

Vectors are arrays of shape (3, ...): components first, so that each is one block of memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..ground.conventions import SIDES, side_sign
from ..ground.records import BodyMotion
from ..stroke.pattern import StrokePattern
from ..stroke.rhythm import (
    TWO_PI,
    half_cycle_factor,
    one_sided_shape,
    two_sided_shape,
)
from ..swimmer.anthropometry import Body
from .head import FOLLOWS, TURNED_RAD, HeadTurn
from .vectors import sin_cos, vector

DROP_SAMPLES = 720  # per cycle, for the mean of the hips' drop


def level_motion(speed_m_s: float) -> BodyMotion:
    """Constant speed, no heave, no pitch."""

    def zero(t):
        return np.zeros_like(np.asarray(t, float))

    return BodyMotion(
        speed_m_s,
        advance=lambda t: speed_m_s * np.asarray(t, float),
        speed=lambda t: np.full_like(np.asarray(t, float), speed_m_s),
        heave=zero,
        pitch=zero,
    )


@dataclass(frozen=True)
class Lines:
    """Trunk quantities at given times; angles [rad], points (3, ...) [m].

    `axis` is the unit vector pelvis to thorax, `ahead` the level unit vector forward along it.
    """

    pelvis: np.ndarray
    thorax: np.ndarray
    axis: np.ndarray
    ahead: np.ndarray
    shoulder_roll: np.ndarray
    hip_roll: np.ndarray
    shoulder_line: np.ndarray
    hip_line: np.ndarray


class Frame:
    """Trunk and head of one swimmer as functions of time."""

    def __init__(self, pattern: StrokePattern, body: Body, body_motion: BodyMotion):
        self.pattern, self.body, self.motion = pattern, body, body_motion
        self.rate = pattern.stroke_rate_hz
        self.start_m = body_motion.advance(np.zeros(1))[0]
        self._shapes()

    def _shapes(self) -> None:
        roll = self.pattern.roll
        self.shoulder_shape = two_sided_shape(
            roll.shoulder_roll_left_rad, roll.shoulder_roll_right_rad, split=0.0, dip=0.0
        )
        peaks = (roll.hip_roll_left_rad, roll.hip_roll_right_rad)
        how = {"split": roll.hip_split, "dip": roll.hip_roll_dip}
        if roll.hip_split_side == "both":
            self.hip_shape = two_sided_shape(*peaks, **how)
        else:
            self.hip_shape = one_sided_shape(*peaks, side=roll.hip_split_side, **how)
        self.shoulder_factors, self.hip_factors = factors = roll_factors(self.pattern)
        self.all_alike = all(np.all(f == 1) for f in factors)

    def rolls(self, share: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Shoulder and hip roll at cycle shares of the right arm. [rad]"""
        roll = self.pattern.roll
        x = share - roll.roll_peak_share + 0.25
        hip_x = x - roll.hip_lag_share
        shoulder, hip = self.shoulder_shape(TWO_PI * x), self.hip_shape(TWO_PI * hip_x)
        if self.all_alike:
            return shoulder, hip
        return (
            shoulder * half_cycle_factor(x, self.shoulder_factors),
            hip * half_cycle_factor(hip_x, self.hip_factors),
        )

    def lines(self, time: np.ndarray) -> Lines:
        """Pelvis, thorax, rolls and joint lines at times [s]."""
        time = np.asarray(time, float)
        share = time * self.rate
        body, pattern = self.body, self.pattern.body
        shoulder_roll, hip_roll = self.rolls(share)
        slope = pattern.trunk_slope_rad + self.motion.pitch(time)
        sideways, forward = sin_cos(self._yaw(share))
        ahead = vector(forward, sideways, 0.0, shape=time.shape)
        depth = pattern.thorax_depth_m + body.trunk_m * math.sin(pattern.trunk_slope_rad)
        if self.drop_rad:  # the hips sink about the shoulders as the head comes up
            drop = self.drop_rad * (self.head_turn.weight(share) - self.mean_weight)
            depth = depth + body.trunk_m * (np.sin(slope + drop) - np.sin(slope))
            slope = slope + drop
        axis = _axis(slope, ahead)
        sway = pattern.sway_m * np.sin(TWO_PI * (share - 0.30 - self._uneven))
        travel, heave = self.motion.advance(time) - self.start_m, self.motion.heave(time)
        pelvis = vector(travel, sway, heave - depth, shape=time.shape)
        return Lines(
            pelvis, pelvis + body.trunk_m * axis, axis, ahead, shoulder_roll, hip_roll,
            self._line(shoulder_roll, ahead), self._line(hip_roll, ahead),
        )  # fmt: skip

    def _line(self, roll: np.ndarray, ahead: np.ndarray) -> np.ndarray:
        """Unit vector to the left along a joint line whose tilt in the y-z plane is `roll`."""
        rise = np.tan(roll) * ahead[0]
        flat = 1 / np.sqrt(1 + rise * rise)
        return vector(-ahead[1] * flat, ahead[0] * flat, rise * flat, shape=roll.shape)

    @property
    def _uneven(self) -> float:
        """Sway and yaw lie midway between the two arms. [cycle]"""
        return (self.pattern.arm_lag_share - 0.5) / 2

    def _yaw(self, share: np.ndarray) -> np.ndarray:
        return self.pattern.body.yaw_rad * np.sin(TWO_PI * (share - 0.05 - self._uneven))

    @cached_property
    def head_turn(self) -> HeadTurn:
        """When and how far the head is turned to breathe."""

        def needed(
            share, sign
        ):  # seen along the line of travel a turn about a sloping neck looks a little larger
            sideways, forward = sin_cos(self._yaw(share))
            ahead = vector(forward, sideways, 0.0, shape=share.shape)
            axis = _axis(self.pattern.body.trunk_slope_rad + self.motion.pitch(share / self.rate), ahead)
            tangent = math.tan(TURNED_RAD)
            return np.arctan(
                tangent * forward / ((axis * ahead).sum(0) + sign * tangent * axis[2] * sideways)
            )

        return HeadTurn(self.pattern, lambda share: FOLLOWS * Frame.rolls(self, share)[0], needed)

    @cached_property
    def drop_rad(self) -> float:
        """How much steeper the trunk is when the hips are lowest in a breath. [rad]"""
        drop, slope = self.pattern.body.breath_hip_drop_m, self.pattern.body.trunk_slope_rad
        if not drop or not self.head_turn.breaths:
            return 0.0
        return math.asin(min(math.sin(slope) + drop / self.body.trunk_m, 1.0)) - slope

    @cached_property
    def mean_weight(self) -> float:
        """Mean over the period of how far the head is turned to breathe: the mean trunk slope stays."""
        period = self.pattern.period_cycles
        return float(self.head_turn.weight(np.arange(DROP_SAMPLES * period) / DROP_SAMPLES).mean())

    def head_roll(self, share: np.ndarray, shoulder_roll: np.ndarray) -> np.ndarray:
        """Turn of the head about the long axis; 0 face down, positive face to the left. [rad]"""
        turn = FOLLOWS * shoulder_roll
        for side, weight in self.head_turn.weights(share):
            turn = turn + weight * (side_sign(side) * self.pattern.body.head_turn_rad - turn)
        return turn

    def lifted(self, share: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Neck extension [rad], and how far the base of the neck stands above the trunk line [m]."""
        body = self.pattern.body
        weight = self.head_turn.weight(share)
        lift = body.neck_extension_rad + weight * (body.breath_neck_extension_rad - body.neck_extension_rad)
        above = body.neck_above_m + weight * body.breath_neck_rise_m
        return lift, np.minimum(above, 0.9 * self.body.neck_m)  # the neck keeps its length

    def head(self, time: np.ndarray, lines: Lines) -> dict[str, np.ndarray]:
        """Neck, head top, chin, nose, eyes and ears, each (3, ...). [m]"""
        body = self.body
        share = np.asarray(time, float) * self.rate
        turn = self.head_roll(share, lines.shoulder_roll)
        (ahead_x, ahead_y, _), rise = lines.ahead, lines.axis[2]
        across = vector(-ahead_y, ahead_x, 0.0, shape=turn.shape)
        level = lines.axis[0] * ahead_x + lines.axis[1] * ahead_y
        down = vector(rise * ahead_x, rise * ahead_y, -level, shape=turn.shape)
        sin_turn, cos_turn = sin_cos(turn)
        face = cos_turn * down + sin_turn * across
        outward = cos_turn * across - sin_turn * down
        lift, above = self.lifted(share)
        sin_lift, cos_lift = np.sin(lift), np.cos(lift)
        crown = cos_lift * lines.axis - sin_lift * face
        face = cos_lift * face + sin_lift * lines.axis
        neck = lines.thorax + np.sqrt(body.neck_m**2 - above**2) * lines.axis - above * down
        points = {"neck": neck, "head_top": neck + body.head_m * crown}
        for name, (along, forward, out) in body.face_m.items():
            middle = neck + along * crown + forward * face
            if out == 0:
                points[name] = middle
            else:
                for side in SIDES:
                    points[f"{side}_{name}"] = middle + side_sign(side) * out * outward
        return points


def _axis(slope: np.ndarray, ahead: np.ndarray) -> np.ndarray:
    """Unit vector along the trunk.

    The slope is the side view's and the direction ahead the view's from above: both exact, whatever the other
    is.
    """
    rise, level = sin_cos(slope)
    sideways = level * ahead[1] / ahead[0]
    length = np.sqrt(1 + sideways * sideways)
    return vector(level / length, sideways / length, rise / length, shape=slope.shape)


def roll_factors(pattern: StrokePattern) -> tuple[np.ndarray, np.ndarray]:
    """Factor of shoulder and hip roll in every half-cycle (left up, right up, left up, ...) of the period."""
    roll, period = pattern.roll, pattern.period_cycles
    shoulder, hip = np.ones(2 * period), np.ones(2 * period)
    # The left side is highest during the right arm's pull of the same cycle, that is while the left arm of
    # the cycle before recovers: that is when a breath to the left is taken.
    for cycle in range(period):
        for side, half in (("left", 2 * ((cycle + 1) % period)), ("right", 2 * cycle + 1)):
            if pattern.breathes(side, cycle):
                peak = getattr(roll, f"shoulder_roll_{side}_rad")
                hip_peak = getattr(roll, f"hip_roll_{side}_rad")
                shoulder[half] += roll.breathing_roll_rad / peak if peak else 0.0
                hip[half] += roll.breathing_hip_roll_rad / hip_peak if hip_peak else 0.0
    if pattern.roll_scatter:
        shoulder *= 1 + np.asarray(pattern.roll_scatter)
        hip *= 1 + np.asarray(pattern.roll_scatter)
    return shoulder, hip
