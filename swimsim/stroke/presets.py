"""Presets: named strokes for a body, from `shared/presets.toml`."""

from __future__ import annotations

import dataclasses
import math

from ..ground.conventions import SIDES, other_side
from ..ground.errors import InputError, nearest
from ..ground.tables import read_toml
from ..swimmer.anthropometry import Body
from .pattern import ArmPattern, BodyPattern, RollPattern, StrokePattern, check_pattern, set_targets

RECOVERIES = ("bent", "straight")
PRESETS = ("sprint_man", "sprint_woman", "pace400_man", "pace400_woman", "masters_man", "masters_woman")


def preset_row(preset: str) -> dict:
    """One preset as printed in the table.

    Raises
    ------
    InputError
        An unknown preset (the nearest is given).
    """
    rows = read_toml("presets")["preset"]
    if preset not in rows:
        raise InputError(
            f"stroke preset: expected one of {', '.join(rows)}, got '{preset}'; {nearest(preset, rows)}"
        )
    return rows[preset]


def default_stature_m(sex: str) -> float:
    """Stature for which the presets' speeds are printed. [m]"""
    return read_toml("presets")["reference_stature_m"][sex]


def _in_metres(part: str, row: dict, body: Body) -> dict[str, float]:
    """Printed numbers of arm, roll or body in SI, by the unit at the end of each name."""
    return _to_si({**read_toml("presets")["common"][part], **row.get(part, {})}, body)


def _to_si(printed: dict, body: Body) -> dict[str, float]:
    reach = body.upper_arm_m + body.forearm_m + body.hand_to_fingertip_m
    lengths = {"half_widths": body.shoulder_width_m / 2, "arms": reach}
    shares = {"entry_catch", "pull", "push", "release", "palm_turn_lead", "roll_peak", "hip_lag", "kick_low",
              "kick_knee_lag", "breath_turn_start", "breath_face_return", "lead_hand_still",
              "lead_hand_wait"}  # fmt: skip
    values = {}
    for name, value in printed.items():
        for unit, factor in lengths.items():
            if name.endswith("_" + unit):
                values[name.removesuffix("_" + unit) + "_m"] = value * factor
        if name.endswith("_deg"):
            values[name.removesuffix("_deg") + "_rad"] = math.radians(value)
        elif name == "hip_split_percent":
            values["hip_split"] = value / 100
        elif name.endswith("_percent"):
            stem = name.removesuffix("_percent")
            values |= (
                {f"{stem}_share": value / 100}
                if stem in shares
                else {f"{stem}_m": value / 100 * body.stature_m}
            )
    return values


def make_pattern(
    preset: str,
    body: Body,
    *,
    pace: tuple[float | None, float | None] = (None, None),
    breathing: tuple[str, int] = ("none", 0),
    kick_beats: int | None = None,
    targets: dict[str, float] | None = None,
) -> StrokePattern:
    """A stroke of this preset for this body.

    Parameters
    ----------
    pace : (float or None, float or None)
        Stroke rate [Hz] and speed [m/s]; None takes the preset's (speed scales with stature, so that the stroke
        length does). Given only a rate, the preset's stroke length is kept.
    breathing : (str, int)
        Side (`left`, `right`, `none`) and how many arm strokes from breath to breath.
    targets : dict
        Pattern parameters by name, in SI; see `set_targets`.

    Raises
    ------
    InputError
        Unknown names, values out of range (all at once).
    """
    row = preset_row(preset)
    arm = ArmPattern(**_in_metres("arm", row, body))
    roll = _in_metres("roll", row, body)
    shoulder, hip = roll.pop("shoulder_rad"), roll.pop("hip_rad")
    rolls = {
        f"{part}_roll_{side}_rad": peak
        for part, peak in (("shoulder", shoulder), ("hip", hip))
        for side in SIDES
    }
    rate, speed = _pace(row, body, pace)
    side, every = breathing
    pattern = StrokePattern(
        stroke_rate_hz=rate,
        speed_m_s=speed,
        left=arm,
        right=arm,
        left_breathing=arm,
        right_breathing=arm,
        roll=RollPattern(**rolls, **roll, hip_roll_dip=0.0),
        body=BodyPattern(**_in_metres("body", row, body)),
        breathing_side="none" if every == 0 else side,
        breathing_every=0 if side == "none" else every,
        kick_beats=row["kick_beats"] if kick_beats is None else kick_beats,
    )
    if kick_beats is not None and kick_beats != row["kick_beats"]:
        pattern = set_targets(pattern, {"kick_low_share": 0.5 if kick_beats == 2 else 0.0})
    pattern = set_targets(pattern, targets or {})
    check_pattern(pattern)
    return pattern


def recovery_targets(recovery: str, body: Body) -> dict[str, float]:
    """Pattern parameters of both arms that make a way of recovery, in SI; none for the presets' own bent arm.

    A straight arm that is carried high over the shoulder is a style and no fault.

    Raises
    ------
    InputError
        An unknown way (the nearest is given).
    """
    if recovery not in RECOVERIES:
        raise InputError(
            f"recovery: expected one of {', '.join(RECOVERIES)}, got '{recovery}'; {nearest(recovery, RECOVERIES)}"
        )
    row = read_toml("presets")["recovery"].get(recovery, {})
    return _to_si({name: value for name, value in row.items() if name != "says"}, body)


def _pace(row: dict, body: Body, pace: tuple[float | None, float | None]) -> tuple[float, float]:
    rate, speed = pace
    usual_rate = row["rate_per_min"] / 60
    length = row["speed_m_s"] / usual_rate * body.stature_m / default_stature_m(row["sex"])
    if rate is None:
        rate = usual_rate if speed is None else speed / length
    return rate, rate * length if speed is None else speed


def mirror(pattern: StrokePattern) -> StrokePattern:
    """The left-handed mirror: what the right side did the left side does.

    Time 0 stays the right-hand entry, so the mirrored swimmer is also shifted by the arm lag: its left stroke k is
    the right stroke k + 1 of the original.
    """
    swapped = {}
    for side in SIDES:
        swapped[side] = getattr(pattern, other_side(side))
        swapped[f"{side}_breathing"] = getattr(pattern, f"{other_side(side)}_breathing")
    roll = pattern.roll
    rolls = {
        f"{part}_roll_{side}_rad": getattr(roll, f"{part}_roll_{other_side(side)}_rad")
        for part in ("shoulder", "hip")
        for side in SIDES
    }
    bump_side = roll.hip_split_side if roll.hip_split_side == "both" else other_side(roll.hip_split_side)
    side, count = pattern.breathing_side, len(pattern.cycles)
    return dataclasses.replace(
        pattern,
        **swapped,
        roll=dataclasses.replace(
            roll,
            **rolls,
            hip_split_side=bump_side,
            roll_peak_share=roll.roll_peak_share + 0.5 - pattern.arm_lag_share,
        ),
        breathing_side=side if side == "none" else other_side(side),
        arm_lag_share=1 - pattern.arm_lag_share,
        cycles=tuple(
            (pattern.cycles[(k + 1) % count][1], left) for k, (left, _) in enumerate(pattern.cycles)
        ),
        roll_scatter=pattern.roll_scatter[1:] + pattern.roll_scatter[:1],
    )
