"""Put a swimmer into the water: paths and prepared strokes for the forces, calibration of the gain, cost of a fault.

`python -m swimsim.scenario.in_water` sets the unsteady gain anew and prints what it leaves on the other swimmers.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..faults.apply import apply_faults
from ..faults.catalogue import FaultSetting, fault_named
from ..ground.errors import InputError
from ..ground.tables import read_toml
from ..motion.kinematics import Motion
from ..motion.solve import solve
from ..stroke.pattern import StrokePattern
from ..stroke.presets import default_stature_m, make_pattern, preset_row
from ..swimmer.anthropometry import Body, make_body
from ..water.calibrate import Check, check, fitted_gain, table_lines
from ..water.coefficients import Coefficients
from ..water.cost import DRAWS, Cost, cost
from ..water.drag import area_factor
from ..water.path import STEPS_PER_CYCLE, StrokePath, stroke_path
from ..water.surge import Stroke, prepare

BREATH = ("left", 2)  # for faults that act on breaths only


def motion_path(motion: Motion, *, steps_per_cycle: int = STEPS_PER_CYCLE) -> StrokePath:
    """One whole period of a motion, as the water wants it.

    Raises
    ------
    InputError
        The planar swimmer, whose limbs have no way sideways.
    """
    if motion.dimensions != 3:
        raise InputError(
            "dimensions: expected 3 for the forces of the water, got 2: the planar swimmer has no hands"
        )
    period = motion.cycle_s * motion.period_cycles
    frames = 2 * steps_per_cycle * motion.period_cycles
    return stroke_path(
        motion.joints(np.arange(frames) / frames * period),
        motion.body,
        period_s=period,
        speed_m_s=motion.pattern.speed_m_s,
        cycles=motion.period_cycles,
        steps_per_cycle=steps_per_cycle,
    )


def stroke_in_water(motion: Motion) -> Stroke:
    """A motion prepared for speed, power and hand forces."""
    return prepare(motion_path(motion))


def swimmer(
    preset: str,
    *,
    stature_m: float | None = None,
    pace: tuple[float | None, float | None] = (None, None),
    breathing: tuple[str, int] = ("none", 0),
) -> tuple[StrokePattern, Body]:
    """Clean pattern and body of a preset; stature as printed for it unless another is given."""
    sex = preset_row(preset)["sex"]
    body = make_body(stature_m or default_stature_m(sex), sex=sex)
    return make_pattern(preset, body, pace=pace, breathing=breathing), body


def fault_strokes(
    settings: Sequence[FaultSetting], pattern: StrokePattern, body: Body
) -> tuple[Stroke, Stroke]:
    """The same swimmer without and with some faults, prepared for the water."""
    faulty = apply_faults(pattern, settings, half_width_m=body.shoulder_width_m / 2)
    return stroke_in_water(solve(pattern, body)), stroke_in_water(solve(faulty, body))


def fault_cost(
    setting: FaultSetting,
    *,
    preset: str = "pace400_man",
    stature_m: float | None = None,
    draws: Coefficients | int = DRAWS,
    seed: int = 0,
) -> list[Cost]:
    """What one fault costs a preset's swimmer.

    Parameters
    ----------
    setting : FaultSetting
        The fault at a severity; a fault of the breath is priced on a swimmer who breathes every cycle.
    preset : str
    stature_m : float, optional
        [m]
    draws : Coefficients or int
        The draws of the uncertain numbers, or how many to make.
    seed : int

    Raises
    ------
    InputError
        Unknown names; a fault that this swimmer cannot show.
    """
    pattern, body = swimmer(preset, stature_m=stature_m, breathing=breathing_for(setting))
    return cost(*fault_strokes([setting], pattern, body), draws=draws, seed=seed)


def breathing_for(setting: FaultSetting) -> tuple[str, int]:
    """No breathing, or breathing every cycle for a fault that lives in the breath."""
    row = fault_named(setting.fault).row
    return BREATH if row.get("needs") == "breath" or setting.strokes == "breathing" else ("none", 0)


def calibration() -> tuple[float, list[Check]]:
    """Set the unsteady gain on the published swimmer that sets it, and hold it against the others."""
    rows = read_toml("water_swimmers")["swimmer"]
    strokes = [_published_stroke(row) for row in rows]
    gain = next(
        fitted_gain(stroke, row["speed_m_s"])
        for row, stroke in zip(rows, strokes, strict=True)
        if row.get("sets_the_gain")
    )
    checks = [
        check(
            row["name"],
            stroke,
            row["speed_m_s"],
            sd_m_s=row.get("speed_sd_m_s"),
            gain=gain,
            drag_factor=float(area_factor(row.get("frontal_area_ratio", 1.0), 1.0)),
        )
        for row, stroke in zip(rows, strokes, strict=True)
    ]
    return gain, checks


def _published_stroke(row: dict) -> Stroke:
    pace = (row["rate_per_min"] / 60, row["speed_m_s"])
    pattern, body = swimmer(row["preset"], stature_m=row["stature_m"], pace=pace)
    return stroke_in_water(solve(pattern, body))


def main() -> None:
    """Print the calibration."""
    gain, checks = calibration()
    print("\n".join(table_lines(checks, gain)))


if __name__ == "__main__":
    main()
