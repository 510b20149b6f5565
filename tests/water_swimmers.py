"""Swimmers in water for the tests: paths of presets, solved and prepared once for each worker."""

from __future__ import annotations

import functools

from made_swimmers import made

from swimsim.faults.catalogue import FaultSetting
from swimsim.scenario.in_water import motion_path
from swimsim.water.path import STEPS_PER_CYCLE, StrokePath
from swimsim.water.surge import Stroke, prepare


@functools.cache
def path_of(
    preset: str,
    *,
    pace: tuple[float, float] | None = None,
    stature_m: float | None = None,
    kick: int | None = None,
    breathing: tuple[str, int] = ("none", 0),
    faults: tuple[FaultSetting, ...] = (),
    targets: tuple[tuple[str, float], ...] = (),
    steps: int = STEPS_PER_CYCLE,
) -> StrokePath:
    """The path of a preset's swimmer; `pace` is stroke rate [Hz] and speed [m/s]."""
    if pace is not None:
        targets = (*targets, ("stroke_rate_hz", pace[0]), ("speed_m_s", pace[1]))
    swimmer = made(
        preset, breathing=breathing, kick=kick, stature_m=stature_m, faults=faults, targets=targets
    )
    return motion_path(swimmer.motion, steps_per_cycle=steps)


@functools.cache
def stroke_of(preset: str, **wanted) -> Stroke:
    """The same, prepared for the surge."""
    return prepare(path_of(preset, **wanted))
