"""What was set, under the names and units of the measures: the column `set` of `measures.csv`."""

from __future__ import annotations

import dataclasses
import math

import numpy as np

from ..faults.asymmetry import index_of, paired
from ..faults.catalogue import FaultSetting, fault_of, faults
from ..ground.conventions import SIDES, other_side
from ..ground.tables import read_toml
from ..stroke.pattern import ArmPattern, StrokePattern

_NAMES = {"entry_catch": "phase_entry_catch", "pull": "phase_pull", "push": "phase_push"}
_TO_DOOR = {("m", "cm"): 100.0, ("rad", "deg"): 180 / math.pi, ("share", "%"): 100.0}


def set_values(pattern: StrokePattern) -> dict[tuple[str, str | None], float]:
    """Set targets by (measure, side) in door units, mean over the cycles of the period, before any scatter.

    Settings that are no measure are left out. Roll peaks are those without a breath, which raises them.
    """
    given = dataclasses.replace(pattern, cycles=())
    roll = dataclasses.replace(pattern.roll, breathing_roll_rad=0.0, breathing_hip_roll_rad=0.0)
    pattern = dataclasses.replace(pattern, cycles=(), roll_scatter=(), roll=roll)
    values = {
        ("stroke_rate", None): pattern.stroke_rate_hz * 60,
        ("speed", None): pattern.speed_m_s,
        ("stroke_length", None): pattern.stroke_length_m,
        ("cycle_time", None): 1 / pattern.stroke_rate_hz,
        ("kick_beats", None): float(pattern.kick_beats),
    }
    single = {key: float(np.mean(each)) for key, each in set_in_cycles(pattern).items()}
    return values | single | _breathing_difference(pattern) | _lines(pattern) | _indices(given)


def set_in_cycles(pattern: StrokePattern) -> dict[tuple[str, str], list[float]]:
    """Set targets of each cycle of the period, scatter and breaths included, by (measure, side) in door units.

    Only what is set stroke by stroke: the arms and the roll peaks.
    """
    return _arms(pattern) | _rolls(pattern)


def _arms(pattern: StrokePattern) -> dict[tuple[str, str], list[float]]:
    measures, values = read_toml("definitions")["measure"], {}
    for field in ArmPattern.__dataclass_fields__.values():
        stem, _, unit = field.name.rpartition("_")
        name = _NAMES.get(stem, stem)
        if field.metadata["target"] and name in measures:
            scale = _TO_DOOR[unit, measures[name]["unit"]]
            for side in SIDES:
                arms = [pattern.arm(side, cycle) for cycle in range(pattern.period_cycles)]
                values[name, side] = [getattr(arm, field.name) * scale for arm in arms]
    return values


def _rolls(pattern: StrokePattern) -> dict[tuple[str, str], list[float]]:
    """Roll peaks of each cycle: the set peak, raised by a breath to that side, scattered. [deg]"""
    roll, period, values = pattern.roll, pattern.period_cycles, {}
    scatter = np.reshape(
        pattern.roll_scatter or np.zeros(2 * period), (period, 2)
    )  # left side up, right side up
    extra = {"shoulder": roll.breathing_roll_rad, "hip": roll.breathing_hip_roll_rad}
    for i, side in enumerate(SIDES):
        before = 1 if side == "left" else 0  # the left side is up while the arm of the cycle before recovers
        breath = np.array([pattern.breathes(side, cycle - before) for cycle in range(period)])
        for part in extra:
            peak = getattr(roll, f"{part}_roll_{side}_rad")
            raised = peak + breath * (extra[part] if peak else 0.0)
            values[f"{part}_roll_peak", side] = np.degrees(raised * (1 + scatter[:, i])).tolist()
    return values


def _breathing_difference(pattern: StrokePattern) -> dict[tuple[str, str], float]:
    """Set hand line of an arm's breathing strokes minus that of its others, or of the other arm's. [cm]"""
    values = {}
    for side in SIDES:
        breath, own = _lines_by_breath(pattern, side)
        rest = own or _lines_by_breath(pattern, other_side(side))[1]
        if breath and rest:
            values["pull_line_breathing_difference", side] = float(np.mean(breath) - np.mean(rest))
    return values


def _lines_by_breath(pattern: StrokePattern, side: str) -> tuple[list[float], list[float]]:
    """Set hand lines of one arm's breathing strokes and of its others. [cm]"""
    cycles = range(pattern.period_cycles)
    return tuple(
        [100 * pattern.arm(side, c).pull_line_m for c in cycles if pattern.breathes(side, c) is kind]
        for kind in (True, False)
    )


def _lines(pattern: StrokePattern) -> dict:
    return {
        ("hip_lag", None): pattern.roll.hip_lag_share * 100,
        **{("hip_roll_dip", side): pattern.roll.hip_roll_dip * 100 for side in _split_sides(pattern)},
        ("trunk_slope", None): math.degrees(pattern.body.trunk_slope_rad),
    }


def _indices(pattern: StrokePattern) -> dict:
    """Symmetry index of every pair that can be set, breaths included. [%]"""
    values = {}
    for of in faults()["asymmetry"].pairs:
        fault = fault_of(FaultSetting("asymmetry", of=of))
        pair = paired(pattern, fault)
        if min(pair.values()) > 0:
            values[fault.main_measure, None] = 100 * index_of(pair)
    return values


def _split_sides(pattern: StrokePattern) -> tuple[str, ...]:
    return SIDES if pattern.roll.hip_split_side == "both" else (pattern.roll.hip_split_side,)
