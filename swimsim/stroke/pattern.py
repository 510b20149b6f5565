"""The stroke as data: every parameter with its unit, plausible range and meaning.

A *target* is a number that the motion is solved for, so that the truth equals it; a *setting* shapes the motion
directly. Distances are metres for one body, angles radians, shares are parts of the cycle (0..1).
"""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass

from ..ground.conventions import SIDES
from ..ground.errors import InputError, nearest
from .arm_pattern import DEG, ArmPattern, setting, target


@dataclass(frozen=True)
class RollPattern:
    """Shoulder and hip roll. A side's peak is the peak with that side up."""

    shoulder_roll_left_rad: float = target(0.0, 90 * DEG, "peak shoulder roll, left side up")
    shoulder_roll_right_rad: float = target(0.0, 90 * DEG, "peak shoulder roll, right side up")
    hip_roll_left_rad: float = target(0.0, 80 * DEG, "peak hip roll, left side up")
    hip_roll_right_rad: float = target(0.0, 80 * DEG, "peak hip roll, right side up")
    breathing_roll_rad: float = setting(0.0, 20 * DEG, "extra shoulder roll on a breath, breathing side up")
    breathing_hip_roll_rad: float = setting(0.0, 15 * DEG, "extra hip roll on a breath, breathing side up")
    roll_peak_share: float = setting(
        0.10, 0.40, "right-arm cycle share at which the left shoulder is highest"
    )
    hip_lag_share: float = target(-0.10, 0.35, "how much later the hips roll than the shoulders")
    hip_roll_dip: float = target(0.0, 0.6, "dip between the two hip-roll peaks of a side, share of the peak")
    hip_split: float = setting(0.0, 1.0, "nearness to the two-peak limit: 0 pure sine, 1 the limit")
    hip_split_side: str = "both"


@dataclass(frozen=True)
class BodyPattern:
    """Trunk, head and legs."""

    trunk_slope_rad: float = target(0.0, 30 * DEG, "slope of the trunk, head end up")
    thorax_depth_m: float = setting(0.0, 0.30, "depth of the middle of the shoulders")
    neck_above_m: float = setting(
        0.0, 0.10, "neck above the line from mid-hip to mid-shoulder, towards the back"
    )
    sway_m: float = setting(0.0, 0.15, "sideways movement of the mid-hip, each way")
    yaw_rad: float = setting(0.0, 15 * DEG, "yaw of the trunk, each way")
    head_turn_rad: float = setting(0.0, 110 * DEG, "turn of the head at the breath, from straight down")
    neck_extension_rad: float = setting(-20 * DEG, 60 * DEG, "neck extension, looking forward +")
    breath_neck_extension_rad: float = target(-20 * DEG, 60 * DEG, "greatest neck extension in a breath")
    breath_turn_start_share: float = target(
        -0.25,
        0.20,
        "cycle share from the exit of the hand on the breathing side to the start of the head's turn",
    )
    breath_face_return_share: float = target(
        -0.25, 0.15, "cycle share from the next entry of that hand to the face back in the water"
    )
    kick_thigh_rad: float = setting(0.0, 40 * DEG, "thigh movement in the kick, each way")
    kick_knee_rad: float = setting(0.0, 100 * DEG, "largest knee flexion in the kick")
    kick_low_share: float = setting(
        -0.5, 0.5, "cycle share from a hand's entry to a low point of the same-side foot"
    )
    breath_neck_rise_m: float = setting(
        0.0,
        0.10,
        "how much further the base of the neck stands above the trunk line in a breath",
        default=0.0,
    )
    breath_hip_drop_m: float = setting(
        0.0, 0.15, "how much lower the hips are in a breath, about the shoulders", default=0.0
    )
    foot_gap_m: float = target(
        0.05, 0.35, "greatest sideways distance of the ankles while the legs do not part", default=0.18
    )
    scissor_gap_m: float = target(
        0.0,
        0.90,
        "greatest sideways distance of the ankles at the breath; legs part above foot_gap_m",
        default=0.0,
    )
    kick_knee_lag_share: float = setting(
        0.0, 0.9, "how much later the knee bends than the thigh moves; of a kick cycle", default=0.22
    )
    kick_drop_rad: float = setting(
        0.0, 45 * DEG, "thighs held this much below the line of the legs", default=0.0
    )


@dataclass(frozen=True)
class StrokePattern:
    """A whole front-crawl stroke: rate, speed, arms by side and breath state, roll, body, breathing, kick.

    `left` and `right` hold the strokes without a breath; `left_breathing` and `right_breathing` those of the arm on
    the breathing side. `cycles` may hold one (left, right) pair of arm patterns per cycle (variability): then the
    period is its length. `arm_lag_share` is the share of the cycle by which the left hand enters after the right.
    """

    stroke_rate_hz: float = target(0.15, 1.3, "full cycles per second")
    speed_m_s: float = target(0.2, 2.6, "mean forward speed")
    left: ArmPattern
    right: ArmPattern
    left_breathing: ArmPattern
    right_breathing: ArmPattern
    roll: RollPattern
    body: BodyPattern
    arm_lag_share: float = 0.5
    breathing_side: str = "none"
    breathing_every: int = 0
    kick_beats: int = 6
    cycles: tuple[tuple[ArmPattern, ArmPattern], ...] = ()
    roll_scatter: tuple[float, ...] = ()

    @property
    def period_cycles(self) -> int:
        """Cycles until the stroke repeats: 1, 2 or 3 by breathing, or the stretch of the scattered strokes."""
        return len(self.cycles) or breathing_period(self.breathing_every)

    @property
    def stroke_length_m(self) -> float:
        """Forward travel in one cycle. [m]"""
        return self.speed_m_s / self.stroke_rate_hz

    def breathes(self, side: str, cycle: int) -> bool:
        """Whether a breath falls into this arm's stroke (breath to the arm's own side)."""
        return breathes(self.breathing_side, self.breathing_every, side=side, cycle=cycle)

    def arm(self, side: str, cycle: int) -> ArmPattern:
        """The pattern of one arm in one cycle of the period."""
        if self.cycles:
            return self.cycles[cycle % len(self.cycles)][SIDES.index(side)]
        return getattr(self, f"{side}_breathing" if self.breathes(side, cycle) else side)

    def with_arms(self, change, *, sides=SIDES, breathing_only: bool = False) -> StrokePattern:
        """A pattern whose arm patterns on `sides` (in the chosen breath states) are `change(arm)`."""
        names = [f"{side}_breathing" for side in sides] + ([] if breathing_only else list(sides))
        return dataclasses.replace(self, **{name: change(getattr(self, name)) for name in names})


BREATHING_EVERY = (0, 1, 2, 3, 4, 6)


def breathing_period(every: int) -> int:
    """Cycles until the breathing repeats: `every` counts arm strokes, two strokes are one cycle."""
    if every == 0:
        return 1
    return every // 2 if every % 2 == 0 else every


def breathes(breathing_side: str, every: int, *, side: str, cycle: int) -> bool:
    """Whether the stroke of `side` in `cycle` carries a breath.

    Even numbers breathe to one side, odd ones alternate. Strokes run right 0, left 0, right 1, left 1, ...; the first
    breath falls into the first stroke of the breathing side.
    """
    if every == 0 or breathing_side == "none":
        return False
    first = 0 if breathing_side == "right" else 1
    stroke = 2 * (cycle % breathing_period(every)) + (0 if side == "right" else 1)
    return (stroke - first) % every == 0


def parts_of(pattern: StrokePattern) -> dict[str, object]:
    """The records inside a pattern by name."""
    names = ("left", "right", "left_breathing", "right_breathing", "roll", "body")
    return {name: getattr(pattern, name) for name in names}


def fields_by_name() -> dict[str, dataclasses.Field]:
    """Every numeric pattern parameter by name: arms, roll, body, rate and speed."""
    return {
        f.name: f
        for record in (ArmPattern, RollPattern, BodyPattern, StrokePattern)
        for f in dataclasses.fields(record)
        if f.metadata
    }


def set_targets(pattern: StrokePattern, targets: dict[str, float]) -> StrokePattern:
    """A pattern with parameters replaced by name (SI); `left_` or `right_` before an arm parameter means one arm.

    Raises
    ------
    InputError
        An unknown name (the nearest is given).
    """
    for name, value in targets.items():
        pattern = _set_one(pattern, name, float(value))
    return pattern


def _set_one(pattern: StrokePattern, name: str, value: float) -> StrokePattern:
    arm_names = {f.name for f in dataclasses.fields(ArmPattern)}
    side, _, rest = name.partition("_")
    if name in arm_names:
        return pattern.with_arms(lambda arm: dataclasses.replace(arm, **{name: value}))
    if side in SIDES and rest in arm_names:
        return pattern.with_arms(lambda arm: dataclasses.replace(arm, **{rest: value}), sides=(side,))
    for part in ("roll", "body"):
        if name in {f.name for f in dataclasses.fields(getattr(pattern, part))}:
            return dataclasses.replace(
                pattern, **{part: dataclasses.replace(getattr(pattern, part), **{name: value})}
            )
    if name in ("stroke_rate_hz", "speed_m_s", "arm_lag_share"):
        return dataclasses.replace(pattern, **{name: value})
    raise InputError(f"stroke: no parameter named '{name}'; {nearest(name, fields_by_name())}")


def check_pattern(pattern: StrokePattern) -> None:
    """Hold every parameter against its plausible range, all errors at once.

    Raises
    ------
    InputError
        One line per parameter: name, expected range, value.
    """
    errors = []
    for part, record in {"stroke": pattern, **parts_of(pattern)}.items():
        for f in dataclasses.fields(record):
            if f.metadata:
                errors += _range_error(part, f, getattr(record, f.name))
        if isinstance(record, ArmPattern) and not 0.12 <= record.recovery_share <= 0.60:
            errors.append(
                f"{part}: entry_catch, pull and push leave {record.recovery_share:.3f} of the cycle for "
                "recovery, expected 0.12 to 0.60"
            )
    if not 0.3 <= pattern.arm_lag_share <= 0.7:
        errors.append(f"arm_lag_share: expected 0.3 to 0.7, got {pattern.arm_lag_share:g}")
    if pattern.breathing_every not in BREATHING_EVERY:
        errors.append(f"breathing every: expected one of {BREATHING_EVERY}, got {pattern.breathing_every}")
    if pattern.kick_beats not in (0, 2, 4, 6):
        errors.append(f"kick beats: expected 0, 2, 4 or 6, got {pattern.kick_beats}")
    if errors:
        raise InputError("\n".join(errors))


def _range_error(part: str, f: dataclasses.Field, value: float) -> list[str]:
    low, high = f.metadata["low"], f.metadata["high"]
    if math.isfinite(value) and low - 1e-9 <= value <= high + 1e-9:
        return []
    factor, unit = (180 / math.pi, "deg") if f.name.endswith("_rad") else (1.0, f.name.rsplit("_", 1)[-1])
    return [
        f"{part}: {f.name}: expected {low * factor:.3g} to {high * factor:.3g} {unit}, got {value * factor:.4g}"
    ]
