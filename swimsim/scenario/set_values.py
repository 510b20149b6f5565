"""What was set, under the names and units of the measures: the column `set` of `measures.csv`."""

from __future__ import annotations

import math

import numpy as np

from ..ground.conventions import SIDES
from ..ground.tables import read_toml
from ..stroke.pattern import ArmPattern, StrokePattern

_NAMES = {"entry_catch": "phase_entry_catch", "pull": "phase_pull", "push": "phase_push"}
_TO_DOOR = {("m", "cm"): 100.0, ("rad", "deg"): 180 / math.pi, ("share", "%"): 100.0}


def set_values(pattern: StrokePattern) -> dict[tuple[str, str | None], float]:
    """Set targets by (measure, side) in door units, mean over the cycles of the period.

    Settings that are no measure are left out; so are roll peaks on the side of the breath, which it raises.
    """
    values = {
        ("stroke_rate", None): pattern.stroke_rate_hz * 60,
        ("speed", None): pattern.speed_m_s,
        ("stroke_length", None): pattern.stroke_length_m,
        ("cycle_time", None): 1 / pattern.stroke_rate_hz,
        ("kick_beats", None): float(pattern.kick_beats),
    }
    return values | _arms(pattern) | _rolls(pattern) | _lines(pattern)


def _arms(pattern: StrokePattern) -> dict:
    measures, values = read_toml("definitions")["measure"], {}
    for field in ArmPattern.__dataclass_fields__.values():
        stem, _, unit = field.name.rpartition("_")
        name = _NAMES.get(stem, stem)
        if field.metadata["target"] and name in measures:
            scale = _TO_DOOR[unit, measures[name]["unit"]]
            for side in SIDES:
                arms = [pattern.arm(side, cycle) for cycle in range(pattern.period_cycles)]
                values[name, side] = float(np.mean([getattr(arm, field.name) for arm in arms])) * scale
    return values


def _rolls(pattern: StrokePattern) -> dict:
    roll, values = pattern.roll, {}
    breath = {
        side for side in SIDES for cycle in range(pattern.period_cycles) if pattern.breathes(side, cycle)
    }
    for part in ("shoulder", "hip"):
        for side in SIDES:
            if side not in breath:
                values[f"{part}_roll_peak", side] = math.degrees(getattr(roll, f"{part}_roll_{side}_rad"))
    return values


def _lines(pattern: StrokePattern) -> dict:
    return {
        ("hip_lag", None): pattern.roll.hip_lag_share * 100,
        **{("hip_roll_dip", side): pattern.roll.hip_roll_dip * 100 for side in _split_sides(pattern)},
        ("trunk_slope", None): math.degrees(pattern.body.trunk_slope_rad),
    }


def _split_sides(pattern: StrokePattern) -> tuple[str, ...]:
    return SIDES if pattern.roll.hip_split_side == "both" else (pattern.roll.hip_split_side,)
