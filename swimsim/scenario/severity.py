"""How large a fault is: as set, and as it stands against the normal stroke of that pace and body.

Set severity runs from the swimmer's own value m0 (0) to the gross value g (1). Effective severity runs from
the normal value n of that pace: (m - n) / (g - n), not below 0.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..faults.apply import set_fault
from ..faults.asymmetry import SIGN, larger_side, normal_index
from ..faults.catalogue import DOOR, Fault, FaultSetting, fault_named, fault_of, gross_value, normal_value
from ..ground.conventions import SIDES
from ..motion.truth import Truth
from ..stroke.pattern import StrokePattern
from ..swimmer.anthropometry import Body


@dataclass(frozen=True)
class Size:
    """Main measure of a fault, its value [in `unit`], set and effective severity; NaN where undefined."""

    main_measure: str
    value: float
    unit: str
    severity: float
    severity_effective: float


def size_of(setting: FaultSetting, truth: Truth, *, clean: StrokePattern, body: Body) -> Size:
    """How large a set fault is on the truth of the swimmer who has it.

    Parameters
    ----------
    truth : Truth
        Of the swimmer with the fault.
    clean : StrokePattern
        The stroke without it.
    """
    fault, half = fault_of(setting), body.shoulder_width_m / 2
    row = _row(setting, fault)
    measure = row["main_measure"]
    value = main_value(setting, truth, measure)
    gross = gross_value(row, math.nan, half) / DOOR[fault.unit]
    if fault.pairs:
        gross *= SIGN[larger_side(clean, setting)]
    normal = _normal(setting, clean, body)
    severity = set_fault(clean, setting, half_width_m=half)[1]
    effective = (
        0.0 if is_style(fault, truth, half_width_m=half) else max(0.0, (value - normal) / (gross - normal))
    )
    return Size(measure, value, fault.unit, severity, effective)


def _normal(setting: FaultSetting, clean: StrokePattern, body: Body) -> float:
    """Usual value of the main measure for this pace, body and breathing. [door unit]"""
    fault = fault_of(setting)
    if fault.pairs:
        return _normal_index(fault, clean, body)
    normal = _usual(fault, clean, body, strokes=setting.strokes)
    return normal + _row(setting, fault).get("normal_on_the_breath", 0.0) * breath_share(setting, clean)


def _usual(fault: Fault, clean: StrokePattern, body: Body, *, strokes: str = "every") -> float:
    return normal_value(
        fault,
        stroke_rate_hz=clean.stroke_rate_hz,
        half_width_m=body.shoulder_width_m / 2,
        stature_m=body.stature_m,
        strokes=strokes,
    )


def _normal_index(fault: Fault, clean: StrokePattern, body: Body) -> float:
    """Symmetry index of a normal stroke: that of its breaths, where the pair is one that a breath makes larger. [%]"""
    usual = fault.row.get("usual")
    if usual is None:
        return 0.0
    roll = fault_named(usual["fault"])
    breath = usual.get("on_the_breath", roll.row.get("normal_on_the_breath"))
    return 100 * normal_index(clean, _usual(roll, clean, body), on_the_breath=breath)


def is_style(fault: Fault, truth: Truth, *, half_width_m: float) -> bool:
    """Whether a stroke that looks like a fault is a style instead: all conditions of the fault's `style` hold."""
    conditions = fault.row.get("style", ())
    return bool(conditions) and all(_holds(row, truth, half_width_m) for row in conditions)


def _holds(row: dict, truth: Truth, half_width_m: float) -> bool:
    values = [truth.value(row["measure"], side) for side in SIDES]
    if "least" in row:
        return min(values) >= row["least"]
    return max(values) <= row["most_half_widths"] * half_width_m * 100


def breath_share(setting: FaultSetting, pattern: StrokePattern) -> float:
    """Share of the strokes on the sides of a fault that carry a breath."""
    sides = SIDES if setting.side == "both" else (setting.side,)
    states = [pattern.breathes(side, cycle) for side in sides for cycle in range(pattern.period_cycles)]
    return sum(states) / len(states)


def main_value(setting: FaultSetting, truth: Truth, measure: str) -> float:
    """True value of a measure on the sides and strokes of a fault. [door unit]

    The mean over both sides; for a fault that shows once in a cycle the greatest, on the strokes with a breath.
    """
    once = _row(setting, fault_of(setting)).get("once", False)
    sides = SIDES if setting.side == "both" else (setting.side,)
    over_all = [m for m in truth.measures if m.measure == measure and m.cycle is None]
    rows = [m for m in over_all if m.side in (None, *sides)]
    state = True if once or setting.strokes == "breathing" else None
    rows = [m for m in rows if m.breathing is state] or [m for m in rows if m.breathing is None]
    rows = [m for m in rows if math.isfinite(m.value)]
    if once and rows:
        return max(m.value for m in rows)
    return sum(m.value for m in rows) / len(rows) if rows else math.nan


def main_measure(setting: FaultSetting) -> str:
    """The measure that tells how large a fault is, on the strokes that it is set for."""
    return _row(setting, fault_of(setting))["main_measure"]


def _row(setting: FaultSetting, fault: Fault) -> dict:
    """Row of the fault's table; a fault of breathing strokes only may have its own."""
    only = setting.strokes == "breathing" and "breathing_only" in fault.row
    return fault.row["breathing_only"] if only else fault.row
