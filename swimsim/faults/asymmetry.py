"""Left-right difference: one side of a paired target larger, the other smaller, their mean as it was.

Symmetry index SI = (R - L) / (R + L) * 2 * 100 %, positive where the right side is larger (Sanders et al. 2012,
J Swim Res 19:1). It has a meaning only for a quantity with a natural zero that is positive on both sides.
"""

from __future__ import annotations

import dataclasses

from ..ground.conventions import SIDES
from ..ground.errors import InputError
from ..stroke.pattern import StrokePattern
from .catalogue import Fault, FaultSetting, change_arm, severity_of

Pair = dict[str, float]
SIGN = {"left": -1.0, "right": 1.0}


def larger_side(pattern: StrokePattern, setting: FaultSetting) -> str:
    """The side that is larger: as set, else (`both`) that of the breath, else the left one.

    Elite right-handed men rolled further to the left: Psycharakis, Sanders 2008, Med Sci Sports Exerc 40:2129-2136.
    """
    if setting.side != "both":
        return setting.side
    one_sided = pattern.breathing_every and pattern.breathing_every % 2 == 0
    return pattern.breathing_side if one_sided else "left"


def index_of(pair: Pair) -> float:
    """Symmetry index of a pair, 1 for 100 %."""
    return 2 * (pair["right"] - pair["left"]) / (pair["right"] + pair["left"])


def paired(pattern: StrokePattern, fault: Fault) -> Pair:
    """The paired target on each side: mean over the strokes of the period, breaths included. [SI]"""
    target = fault.row["main_target"]
    if target == "arm_lag_share":
        return _spacing(pattern)
    if fault.part == "arm":
        cycles = range(pattern.period_cycles)
        return {s: sum(getattr(pattern.arm(s, c), target) for c in cycles) / len(cycles) for s in SIDES}
    more = getattr(pattern.roll, fault.row["on_the_breath"])
    pair = {}
    for side in SIDES:
        peak = getattr(pattern.roll, target.format(side=side))
        pair[side] = peak + (more * breath_share(pattern, side) if peak else 0.0)
    return pair


def breath_share(pattern: StrokePattern, side: str) -> float:
    """Share of the strokes of one side that carry a breath."""
    cycles = range(pattern.period_cycles)
    return sum(pattern.breathes(side, cycle) for cycle in cycles) / len(cycles)


def asymmetry(pattern: StrokePattern, setting: FaultSetting, fault: Fault) -> tuple[StrokePattern, float]:
    """Move the symmetry index of the pair from its own value towards gross, to the larger side.

    Raises
    ------
    InputError
        A pair that is not positive on both sides.
    """
    pair = paired(pattern, fault)
    if min(pair.values()) <= 0:
        raise InputError(
            f"fault asymmetry: of: expected a pair that is positive on both sides, got {fault.row['main_target']} "
            f"{pair['left']:.3g} on the left and {pair['right']:.3g} on the right"
        )
    sign, gross = SIGN[larger_side(pattern, setting)], fault.row["gross_value"]
    own = sign * index_of(pair)
    severity = severity_of(setting, own, gross)
    index, mean = sign * (own + severity * (gross - own)), sum(pair.values()) / 2
    wanted = {side: mean * (1 + SIGN[side] * index / 2) for side in SIDES}
    return (_moved(pattern, fault, pair, wanted), severity) if severity else (pattern, 0.0)


def _moved(pattern: StrokePattern, fault: Fault, pair: Pair, wanted: Pair) -> StrokePattern:
    target = fault.row["main_target"]
    if target == "arm_lag_share":
        later = wanted["right"] - pair["right"]
        # the roll stays half-way between the arms
        roll = dataclasses.replace(pattern.roll, roll_peak_share=pattern.roll.roll_peak_share + later / 2)
        return dataclasses.replace(pattern, arm_lag_share=pattern.arm_lag_share + later, roll=roll)
    if fault.part == "arm":
        for side in SIDES:
            times = wanted[side] / pair[side]
            pattern = pattern.with_arms(
                lambda arm, times=times: change_arm(arm, {target: getattr(arm, target) * times}),
                sides=(side,),
            )
        return pattern
    names = {side: target.format(side=side) for side in SIDES}
    changes = {n: getattr(pattern.roll, n) + wanted[s] - pair[s] for s, n in names.items()}
    return dataclasses.replace(pattern, roll=dataclasses.replace(pattern.roll, **changes))


def _spacing(pattern: StrokePattern) -> Pair:
    """Share of the cycle from each hand's entry to the other hand's next entry."""
    cycles = range(pattern.period_cycles)
    late = {s: sum(pattern.arm(s, c).entry_delay_share for c in cycles) / len(cycles) for s in SIDES}
    right = pattern.arm_lag_share + late["left"] - late["right"]
    return {"left": 1 - right, "right": right}


def normal_index(pattern: StrokePattern, normal: float, *, on_the_breath: float) -> float:
    """Symmetry index that breaths alone make: of a pair of normal size, to which a breath adds on its own side.

    Both in the same unit; 1 for 100 %.
    """
    return index_of({side: normal + on_the_breath * breath_share(pattern, side) for side in SIDES})
