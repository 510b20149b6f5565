"""Faults of the roll: peaks of one or both sides, hips behind the shoulders, two peaks instead of one."""

from __future__ import annotations

import dataclasses

from ..ground.conventions import SIDES
from ..stroke.pattern import StrokePattern
from .catalogue import Fault, FaultSetting, gross_value, severity_of

TWO_PEAK_SEVERITY = 0.1  # severity at which the hip roll is about to split (decided scale)


def rolls_to(pattern: StrokePattern, setting: FaultSetting, fault: Fault) -> tuple[StrokePattern, float]:
    """Move the roll peaks of the named sides, and what goes with them, towards their gross values."""
    roll, main = pattern.roll, fault.row["main_target"]
    changes, severities = {}, []
    for side in SIDES if setting.side == "both" else (setting.side,):
        own = getattr(roll, main.format(side=side))
        severity = severity_of(setting, own, gross_value(fault.row, own, 0.0))
        severities.append(severity)
        for row in ({**fault.row, "target": main}, *_sided(fault)):
            name = row["target"].format(side=side)
            changes[name] = _towards(row, getattr(roll, name), severity)
    mean = sum(severities) / len(severities)
    for row in fault.row["with"]:
        if "{side}" not in row["target"]:
            changes[row["target"]] = _towards(row, getattr(roll, row["target"]), mean)
    return dataclasses.replace(pattern, roll=dataclasses.replace(roll, **changes)), mean


def _sided(fault: Fault) -> list[dict]:
    return [row for row in fault.row["with"] if "{side}" in row["target"]]


def _towards(row: dict, own: float, severity: float) -> float:
    return own + severity * (gross_value(row, own, 0.0) - own)


def shoulder_driven(
    pattern: StrokePattern, setting: FaultSetting, fault: Fault
) -> tuple[StrokePattern, float]:
    """Let the hips follow late and little: their lag, and their roll as a share of the shoulders'."""
    roll, ratio = pattern.roll, fault.row["gross_hip_shoulder_ratio"]
    severity = severity_of(setting, roll.hip_lag_share, fault.row["gross_value"])
    grosses = {"hip_lag_share": fault.row["gross_value"]}
    grosses |= {f"hip_roll_{side}_rad": ratio * getattr(roll, f"shoulder_roll_{side}_rad") for side in SIDES}
    grosses["breathing_hip_roll_rad"] = ratio * roll.breathing_roll_rad
    changes = {
        name: getattr(roll, name) + severity * (gross - getattr(roll, name))
        for name, gross in grosses.items()
    }
    return dataclasses.replace(pattern, roll=dataclasses.replace(roll, **changes)), severity


def double_bump(pattern: StrokePattern, setting: FaultSetting, fault: Fault) -> tuple[StrokePattern, float]:
    """Severity 0-0.1 brings the hip roll to the two-peak limit, 0.1-1 takes the dip from 0 to gross."""
    roll, gross = pattern.roll, fault.row["gross_value"]
    if setting.amount is not None:
        dip = severity_of(setting, 0.0, gross) * gross
        severity = TWO_PEAK_SEVERITY + (1 - TWO_PEAK_SEVERITY) * dip / gross
    else:
        severity = severity_of(setting, 0.0, gross)
        dip = max(severity - TWO_PEAK_SEVERITY, 0.0) / (1 - TWO_PEAK_SEVERITY) * gross
    if severity == 0:
        return pattern, 0.0
    start = roll.hip_split if setting.side == "both" else 0.0
    split = start + min(severity / TWO_PEAK_SEVERITY, 1.0) * (1 - start)
    changed = dataclasses.replace(roll, hip_split=split, hip_roll_dip=dip, hip_split_side=setting.side)
    return dataclasses.replace(pattern, roll=changed), severity


#: Faults of the roll that are more than peaks moved.
ROLL_FAULTS = {"shoulder_driven": shoulder_driven, "double_bump": double_bump}
