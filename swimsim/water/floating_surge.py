"""The surge of the jointed floating swimmer alone: the second way to the forward speed, beside the one of `surge`.

Rods, pins, driven limbs and the carried mass of the arms are those of the float; height and slope of the trunk are held
as the stroke has them, and hands, arms, legs and drag push as in the surge. The two then have nothing in common but the
forces, and must give the same speed at every instant.
"""

from __future__ import annotations

import numpy as np

from ..ground.errors import InputError
from .arm_force import arm_forces
from .coefficients import Coefficients, coefficients
from .floating import STEP_S
from .floating_cycle import FloatCycle, FloatSettings, float_cycle
from .surge import Stroke

STEADY = 1e-6  # change of the posture's factor over the stroke that still counts as none


def surge_of_float(
    stroke: Stroke, usual: Coefficients | None = None, *, step_s: float = STEP_S
) -> FloatCycle:
    """Free forward speed of the jointed swimmer with the forces of the surge, at the path's own stroke rate.

    Parameters
    ----------
    stroke : Stroke
    usual : Coefficients, optional
        Of one swimmer of the body's own size and mass; default the usual ones.
    step_s : float
        [s]

    Raises
    ------
    InputError
        More than one swimmer or another size; a head that turns to breathe, whose drag changes within the stroke.
    """
    usual = usual or coefficients()
    path = stroke.path
    if usual.count != 1 or np.ptp([usual.size, usual.mass_factor, 1.0]) > 0:
        raise InputError("usual: expected coefficients of one swimmer with size and mass_factor 1")
    factor = stroke.posture.factor(path.speed_m_s, follows=usual.area_follows, saves=usual.head_saves)
    if np.ptp(factor) > STEADY:
        raise InputError(
            "stroke: expected a head that keeps still; the floating body has one drag for the whole stroke"
        )
    settings = FloatSettings(
        drag=(float(usual.drag_at_1(path.body)[0] * factor.mean()), float(usual.drag_exponent)),
        arm_force=arm_forces(path.body, usual, legs=True),
        hold_speed=False,
        surge_alone=True,
        along_kg_m=float((stroke.table.held @ usual.of_kinds())[0]),
        step_s=step_s,
    )
    period_s = path.cycles / path.rate_hz
    return float_cycle(
        path.joints_m, path.body, period_s=period_s, speed_m_s=path.speed_m_s, settings=settings
    )
