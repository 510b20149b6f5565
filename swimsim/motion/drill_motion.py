"""A drill in motion: the swimmer's body, the crawl stroke where the drill uses it, and tracks for the rest."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace

import numpy as np

from ..ground.conventions import side_sign
from ..ground.errors import UnreachableError
from ..stroke.drill import REFERENCE_STATURE_M, DrillPattern, Posed, Stroked, Track
from ..stroke.pattern import StrokePattern, set_targets
from ..stroke.presets import make_pattern
from ..swimmer.anthropometry import Body
from .arm import CURVES, ArmPoints, arm_points
from .frame import Frame, level_motion
from .human import motion_problems
from .kinematics import Motion
from .legs import Legs
from .solve import solve
from .vectors import cross, dot, unit, vector

LENGTHS = ("ahead", "outward", "height", "girdle")  # channels that scale with stature
CYCLE_S = 1.2  # stretches of about this length are looked at as one cycle by the limits of human motion [s]
FIST_TURN = np.radians(150.0)  # how far closed fingers are bent at the knuckles (choice of ours)


class DrillFrame(Frame):
    """Trunk and head of a drill; roll and head turn are tracks, or those of the stroke."""

    def __init__(self, drill: DrillPattern, pattern: StrokePattern, body: Body) -> None:
        still = dataclasses.replace(pattern.body, sway_m=0.0, yaw_rad=0.0)
        speed = drill.speed_m_s * body.stature_m / REFERENCE_STATURE_M
        super().__init__(dataclasses.replace(pattern, body=still), body, level_motion(speed))
        self.drill, self.rate = drill, 1 / drill.period_s

    def rolls(self, share: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Shoulder and hip roll at shares of the drill's period. [rad]"""
        if self.drill.rolls is None:
            return super().rolls(stroke_share(self.drill, "right", share))
        shoulder, hip = self.drill.rolls
        return shoulder(share), hip(share)

    def head_roll(self, share: np.ndarray, shoulder_roll: np.ndarray) -> np.ndarray:
        """Turn of the head about the long axis. [rad]"""
        if self.drill.head is None:
            return super().head_roll(stroke_share(self.drill, "right", share), shoulder_roll)
        return self.drill.head(share)


def stroke_share(drill: DrillPattern, side: str, share: np.ndarray) -> np.ndarray:
    """Share of the arm's own crawl stroke at shares of the drill's period; the even left arm is half behind."""
    arm = drill.arms[side]
    clock = arm.clock if isinstance(arm, Stroked) else None
    if clock is not None:
        return clock(share)
    return drill.cycles * np.asarray(share, float) - (0.5 if side == "left" else 0.0)


class DrillMotion(Motion):
    """Joint positions of a drill in closed form, with the joints and traces of every motion.

    `cycle_s` is the period of the drill, and `period_cycles` is 1.
    """

    def __init__(self, drill: DrillPattern, frame: DrillFrame, arms: dict) -> None:
        super().__init__(frame, arms)
        self.drill, self.period_cycles = drill, 1
        self.cycle_s = drill.period_s
        self.legs = Legs(dataclasses.replace(frame.pattern, kick_beats=2 * drill.kicks), frame.body)
        self.legs.follows = drill.kick_follows
        self.speed_m_s = float(frame.motion.mean_speed_m_s)

    def kick_share(self, side: str, share: np.ndarray) -> np.ndarray:
        """Share that makes the legs kick in turn, however many kicks there are in a period."""
        if side == "right" or not self.drill.kicks:
            return share
        return share + self.frame.pattern.arm_lag_share - 0.5 / self.drill.kicks

    def arm(self, side: str, share: np.ndarray, lines) -> ArmPoints:
        """Points of one arm at shares of the period, with the trunk already computed."""
        way, body = self.drill.arms[side], self.body
        if isinstance(way, Posed):
            curves = posed_curves(way, share, body)
            if way.frame == "body":
                p = turned(arm_points(curves, _upright(share), body, side=side), lines)
            else:
                p = arm_points(curves, lines, body, side=side)
        else:
            own = stroke_share(self.drill, side, share)
            curves = self.arms[side].curves(own)
            if way.detour is not None:
                curves = detoured(curves, way, own, lines=lines, body=body, side=side)
            p = arm_points(curves, lines, body, side=side)
        return (
            closed(p, self.drill.fist(share), body, sign=side_sign(side)) if any(self.drill.fist.value) else p
        )

    def trace(self, rate_hz: float, duration_s: float, *, meta: dict | None = None):
        """Frames from time 0 at a steady rate."""
        return super().trace(rate_hz, duration_s, meta={"speed_m_s": self.speed_m_s, **(meta or {})})


def drill_motion(drill: DrillPattern, body: Body) -> DrillMotion:
    """The drill as this body does it.

    Raises
    ------
    InputError
        A number of the drill out of range.
    UnreachableError
        A stroke or pose that this body cannot reach, or a motion that is not human.
    """
    pattern = drill_stroke(drill, body)
    arms = solve(pattern, body).arms if drill.swims else {}
    motion = DrillMotion(drill, DrillFrame(drill, pattern, body), arms)
    inhuman = drill_problems(motion)
    if inhuman:
        raise UnreachableError(f"the drill {drill.name} is not human: " + "; ".join(inhuman[:3]))
    return motion


def drill_problems(motion: DrillMotion) -> tuple[str, ...]:
    """What is not human about a drill, in words; long periods are looked at as several cycles."""
    cycles = max(1, round(motion.drill.period_s / CYCLE_S))
    looked = SimpleNamespace(
        joints=motion.joints,
        period_cycles=cycles,
        cycle_s=motion.drill.period_s / cycles,
        pattern=motion.pattern,
    )
    return motion_problems(looked)


def drill_stroke(drill: DrillPattern, body: Body) -> StrokePattern:
    """The crawl stroke that the drill is made from: 400-m pace of the body's sex with the drill's own targets."""
    pattern = make_pattern(f"pace400_{body.sex}", body, breathing=drill.breathing)
    scale = body.stature_m / REFERENCE_STATURE_M
    lengths = {k: v * (scale if k.endswith("_m") else 1.0) for k, v in {**drill.stroke, **drill.body}.items()}
    pace = {
        "stroke_rate_hz": drill.cycles / drill.period_s,
        "speed_m_s": drill.speed_m_s * scale,
    }
    even = all(isinstance(a, Stroked) and a.clock is None for a in drill.arms.values())
    return set_targets(pattern, {**(pace if even else {}), **lengths})


def posed_curves(way: Posed, share: np.ndarray, body: Body) -> np.ndarray:
    """Values of the arm's curves (8, n): lengths in metres, angles in radians."""
    scale = {name: body.stature_m if name in LENGTHS else 1.0 for name in CURVES}
    return np.stack([way.channels[name](share) * scale[name] for name in CURVES])


def trunk_axes(lines, down: np.ndarray | float = 0.0) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Unit vectors towards the head, to the left and to the back, each (3, n).

    `down` is 0 for left along the shoulder line, 1 along the hip line, between them for a place on the trunk.
    """
    left = unit(lines.shoulder_line + down * (lines.hip_line - lines.shoulder_line))
    ahead = unit(lines.axis - dot(lines.axis, left) * left)
    return ahead, left, cross(ahead, left)


def turned(p: ArmPoints, lines) -> ArmPoints:
    """An arm of the body frame placed at the trunk."""
    axes = trunk_axes(lines)

    def placed(v, origin):
        return origin + v[0] * axes[0] + v[1] * axes[1] + v[2] * axes[2]

    points = {
        f.name: placed(getattr(p, f.name), lines.thorax) for f in dataclasses.fields(p) if f.name != "palm"
    }
    return ArmPoints(**points, palm=placed(p.palm, 0.0))


def detoured(
    curves: np.ndarray, way: Stroked, own: np.ndarray, *, lines, body: Body, side: str
) -> np.ndarray:
    """Curves of the stroke led over the detour where its weight is not 0."""
    sign, other = side_sign(side), posed_curves(way.detour, own, body)
    if way.detour.frame == "body":
        down = np.clip(-other[0] / body.trunk_m, 0.0, 1.0)  # beside the hips the hand turns with the hips
        ahead, left, back = trunk_axes(lines, down)
        at = other[0] * ahead + sign * other[1] * left + other[2] * back
        other[0], other[1], other[2] = at[0], sign * (at[1] + lines.thorax[1]), at[2] + lines.thorax[2]
        other[CURVES.index("pole")] += sign * lines.shoulder_roll
    weight = way.detour_weight(own)
    return curves + weight * (other - curves)


def closed(p: ArmPoints, fist: np.ndarray, body: Body, *, sign: float) -> ArmPoints:
    """The hand closed to a fist by a share 0..1: fingers bend at the knuckles, the thumb lies across them."""
    along = unit(p.knuckles - p.wrist)
    bend = fist * FIST_TURN
    finger = body.hand_to_fingertip_m - body.hand_to_knuckles_m
    tip = p.knuckles + finger * (np.cos(bend) * along + np.sin(bend) * p.palm)
    thumb = p.thumb_tip - p.wrist
    size = np.sqrt(dot(thumb, thumb))
    folded = unit(0.8 * along + 0.45 * p.palm)
    way = unit(unit(thumb) + fist * (folded - unit(thumb)))
    return dataclasses.replace(p, fingertip=tip, thumb_tip=p.wrist + size * way)


def _upright(share: np.ndarray):
    """A trunk that lies flat with the middle of the shoulders at the origin."""
    shape = np.shape(share)
    return SimpleNamespace(thorax=vector(0, 0, 0, shape=shape), shoulder_line=vector(0, 1, 0, shape=shape))


__all__ = ["DrillFrame", "DrillMotion", "Track", "drill_motion", "drill_problems", "drill_stroke"]
