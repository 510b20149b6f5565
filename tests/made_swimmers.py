"""Swimmers made for the tests of the making side: solved once for each worker, then shared."""

from __future__ import annotations

import functools
from dataclasses import dataclass

from swimsim.faults.apply import apply_faults
from swimsim.faults.catalogue import FaultSetting
from swimsim.motion.kinematics import Motion
from swimsim.motion.solve import solve
from swimsim.motion.truth import Truth, take_truth
from swimsim.stroke.pattern import StrokePattern
from swimsim.stroke.presets import PRESETS, default_stature_m, make_pattern, preset_row
from swimsim.swimmer.anthropometry import Body, make_body

BREATHING = (("none", 0), ("left", 2), ("left", 3), ("left", 4))
KICKS = (0, 2, 4, 6)
STATURES_M = (1.45, 1.60, 1.85, 2.05)


@dataclass(frozen=True)
class Made:
    """One swimmer: body, pattern, motion and the truth about it."""

    body: Body
    pattern: StrokePattern
    motion: Motion
    truth: Truth


@functools.cache
def body_for(preset: str, stature_m: float | None = None) -> Body:
    """A body of the preset's sex, of the stature the preset is printed for unless another is given."""
    sex = preset_row(preset)["sex"]
    return make_body(stature_m or default_stature_m(sex), sex=sex)


def made_from(pattern: StrokePattern, body: Body) -> Made:
    """Solve a pattern; the truth has the events of one whole period of both arms."""
    motion = solve(pattern, body)
    return Made(body, pattern, motion, take_truth(motion, (motion.period_cycles + 1) * motion.cycle_s))


@functools.cache
def made(
    preset: str,
    *,
    breathing: tuple[str, int] = ("none", 0),
    kick: int | None = None,
    stature_m: float | None = None,
    faults: tuple[FaultSetting, ...] = (),
    targets: tuple[tuple[str, float], ...] = (),
) -> Made:
    """A swimmer of a preset; `targets` are pattern parameters in SI."""
    body = body_for(preset, stature_m)
    pattern = make_pattern(preset, body, breathing=breathing, kick_beats=kick, targets=dict(targets))
    return made_from(apply_faults(pattern, faults, half_width_m=body.shoulder_width_m / 2), body)


def spread() -> list[tuple[str, tuple[str, int], int, float]]:
    """Every preset with every breathing; kick and stature take turns."""
    return [
        (preset, breathing, KICKS[(i + j) % 4], STATURES_M[(i // 4 + i + 2 * j + j // 2) % 4])
        for i, preset in enumerate(PRESETS)
        for j, breathing in enumerate(BREATHING)
    ]
