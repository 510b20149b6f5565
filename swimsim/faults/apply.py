"""Apply faults to a pattern, one after the other; refuse those that set the same target."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from ..ground.conventions import SIDES
from ..ground.errors import InputError
from ..stroke.pattern import StrokePattern, parts_of
from .catalogue import DOOR, Fault, FaultSetting, arm_keys, change_arm, fault_named, gross_value, severity_of

TWO_PEAK_SEVERITY = 0.1  # severity at which the hip roll is about to split (decided scale)


def apply_faults(
    pattern: StrokePattern,
    settings: Sequence[FaultSetting],
    *,
    half_width_m: float,
    side_effects: bool = False,
) -> StrokePattern:
    """The pattern with all faults set.

    Parameters
    ----------
    half_width_m : float
        Half the swimmer's shoulder width: hand lines scale with it. [m]
    side_effects : bool
        Also the echoes in rate, trunk and roll that coaches report.

    Raises
    ------
    InputError
        Unknown names, wrong sides, two faults that set the same target (named).
    """
    for setting in settings:
        setting.check()
    _refuse_conflicts(pattern, settings)
    severities = []
    for setting in settings:
        pattern, severity = set_fault(pattern, setting, half_width_m=half_width_m)
        severities.append(severity)
    if side_effects:
        for setting, severity in zip(settings, severities, strict=True):
            pattern = _side_effects(pattern, setting, severity, half_width_m=half_width_m)
    return pattern


def touched(pattern: StrokePattern, setting: FaultSetting) -> set[tuple[str, str]]:
    """(target, where) pairs a setting changes; where is an arm pattern's name or a roll side."""
    fault = fault_named(setting.fault)
    if fault.of_arm:
        return {(target, key) for target in fault.sets() for key in arm_keys(pattern, setting)}
    sides = SIDES if setting.side == "both" else (setting.side,)
    return {(target, side) for target in fault.sets() for side in sides}


def _refuse_conflicts(pattern: StrokePattern, settings: Sequence[FaultSetting]) -> None:
    for i, first in enumerate(settings):
        for second in settings[i + 1 :]:
            common = sorted({target for target, _ in touched(pattern, first) & touched(pattern, second)})
            if common:
                raise InputError(
                    f"faults {first.fault} and {second.fault} both set {', '.join(common)}: expected faults that set "
                    "different targets, or different sides or strokes"
                )


def set_fault(
    pattern: StrokePattern, setting: FaultSetting, *, half_width_m: float
) -> tuple[StrokePattern, float]:
    """The pattern with one fault set, and its severity (the mean over what it touches)."""
    fault = fault_named(setting.fault)
    if fault.slug == "double_bump":
        return _double_bump(pattern, setting, fault)
    if fault.slug == "shoulder_driven":
        return _shoulder_driven(pattern, setting, fault)
    if fault.slug == "flat_hips":
        return _flat_hips(pattern, setting, fault)
    return _arm_fault(pattern, setting, fault, half_width_m)


def _arm_fault(
    pattern, setting: FaultSetting, fault: Fault, half_width_m: float
) -> tuple[StrokePattern, float]:
    changed, severities = {}, []
    for key in arm_keys(pattern, setting):
        arm = getattr(pattern, key)
        main = fault.row["main_target"]
        own = getattr(arm, main)
        gross, zero, asked = gross_value(fault.row, own, half_width_m), own, setting
        if setting.strokes == "breathing" and "breathing_only" in fault.row:
            # The amount is the difference from the other strokes.
            other = getattr(getattr(pattern, key.removesuffix("_breathing")), main)
            gross, zero = other + gross_value(fault.row["breathing_only"], own, half_width_m), own
            if setting.amount is not None:
                asked = dataclasses.replace(setting, amount=setting.amount + _in_unit(other, setting, fault))
        severity = severity_of(asked, zero, gross)
        severities.append(severity)
        changes = {main: own + severity * (gross - own)}
        for extra in fault.row["with"]:
            value = getattr(arm, extra["target"])
            changes[extra["target"]] = value + severity * (gross_value(extra, value, half_width_m) - value)
        changed[key] = change_arm(arm, changes)
    return dataclasses.replace(pattern, **changed), sum(severities) / len(severities)


def _in_unit(value: float, setting: FaultSetting, fault: Fault) -> float:
    return value / DOOR[setting.unit or fault.unit]


def _flat_hips(pattern, setting: FaultSetting, fault: Fault) -> tuple[StrokePattern, float]:
    changes, severities = {}, []
    for side in SIDES if setting.side == "both" else (setting.side,):
        name = f"hip_roll_{side}_rad"
        own = getattr(pattern.roll, name)
        gross = gross_value(fault.row, own, 0.0)
        severities.append(severity_of(setting, own, gross))
        changes[name] = own + severities[-1] * (gross - own)
    mean = sum(severities) / len(severities)
    changes["breathing_hip_roll_rad"] = pattern.roll.breathing_hip_roll_rad * (1 - mean)
    return dataclasses.replace(pattern, roll=dataclasses.replace(pattern.roll, **changes)), mean


def _shoulder_driven(pattern, setting: FaultSetting, fault: Fault) -> tuple[StrokePattern, float]:
    roll = pattern.roll
    severity = severity_of(setting, roll.hip_lag_share, fault.row["gross_value"])
    changes = {
        "hip_lag_share": roll.hip_lag_share + severity * (fault.row["gross_value"] - roll.hip_lag_share)
    }
    for side in SIDES:
        own = getattr(roll, f"hip_roll_{side}_rad")
        gross = fault.row["gross_hip_shoulder_ratio"] * getattr(roll, f"shoulder_roll_{side}_rad")
        changes[f"hip_roll_{side}_rad"] = own + severity * (gross - own)
    gross = fault.row["gross_hip_shoulder_ratio"] * roll.breathing_roll_rad
    changes["breathing_hip_roll_rad"] = roll.breathing_hip_roll_rad + severity * (
        gross - roll.breathing_hip_roll_rad
    )
    return dataclasses.replace(pattern, roll=dataclasses.replace(roll, **changes)), severity


def _double_bump(pattern, setting: FaultSetting, fault: Fault) -> tuple[StrokePattern, float]:
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


def _side_effects(
    pattern: StrokePattern, setting: FaultSetting, severity: float, *, half_width_m: float
) -> StrokePattern:
    """The echoes of a fault elsewhere in the stroke, as large as the fault is severe."""
    fault = fault_named(setting.fault)
    for row in fault.row["side_effects"]:
        name = row["target"]
        if hasattr(pattern, name):
            own = getattr(pattern, name)
            value = own + severity * (gross_value(row, own, half_width_m) - own)
            pattern = dataclasses.replace(pattern, **{name: value})
            continue
        for part, record in parts_of(pattern).items():
            if hasattr(record, name) and part in (*arm_keys(pattern, setting), "roll", "body"):
                own = getattr(record, name)
                value = own + severity * (gross_value(row, own, half_width_m) - own)
                pattern = dataclasses.replace(pattern, **{part: dataclasses.replace(record, **{name: value})})
    return pattern
