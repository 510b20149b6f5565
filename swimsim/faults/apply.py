"""Apply faults to a pattern, one after the other; refuse those that set the same target."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from ..ground.conventions import SIDES
from ..ground.errors import InputError
from ..stroke.pattern import StrokePattern, parts_of
from .asymmetry import asymmetry
from .body_faults import body_fault
from .catalogue import (
    DOOR,
    Fault,
    FaultSetting,
    aliases,
    arm_keys,
    change_arm,
    fault_of,
    faults,
    gross_value,
    severity_of,
)
from .roll_faults import ROLL_FAULTS, rolls_to


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
    severities, names = [], [*faults(), *aliases()]
    settings = sorted(
        settings, key=lambda setting: names.index(setting.fault)
    )  # the same in whatever order given
    for setting in settings:
        pattern, severity = set_fault(pattern, setting, half_width_m=half_width_m)
        severities.append(severity)
    if side_effects:
        for setting, severity in zip(settings, severities, strict=True):
            pattern = _side_effects(pattern, setting, severity, half_width_m=half_width_m)
    return pattern


def touched(pattern: StrokePattern, setting: FaultSetting) -> set[tuple[str, str]]:
    """(target, where) pairs a setting changes; where is an arm pattern's name or a roll side."""
    fault = fault_of(setting)
    if fault.pairs:
        setting = dataclasses.replace(setting, side="both")
    if fault.part == "arm":
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
    fault = fault_of(setting)
    if fault.pairs:
        return asymmetry(pattern, setting, fault)
    if fault.part == "arm":
        return _arm_fault(pattern, setting, fault, half_width_m)
    if fault.part == "body":
        return body_fault(pattern, setting, fault)
    return ROLL_FAULTS.get(fault.slug, rolls_to)(pattern, setting, fault)


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


def _side_effects(
    pattern: StrokePattern, setting: FaultSetting, severity: float, *, half_width_m: float
) -> StrokePattern:
    """The echoes of a fault elsewhere in the stroke, as large as the fault is severe."""
    fault = fault_of(setting)
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
