"""The same swimmer at the same effort: the stroke rate at which a stroke takes a given mechanical power."""

from __future__ import annotations

import numpy as np

from ..ground.errors import InputError, UnreachableError
from .coefficients import Coefficients
from .power import Power, balance
from .surge import Stroke, Surge, settle

SAME = 1e-9  # share of the power
ROUNDS = 20


def at_power(
    stroke: Stroke, coefficients: Coefficients, power_w, *, rate_hz: float | None = None
) -> tuple[Surge, Power]:
    """Swim a path at given power: path and kick pattern stay, the stroke rate is solved, all swimmers at once.

    Parameters
    ----------
    stroke : Stroke
    coefficients : Coefficients
        Of one swimmer or of n.
    power_w : float or array_like, shape (n,)
        Mechanical power. [W]
    rate_hz : float, optional
        Where the search begins; default the trace's own stroke rate. [1/s]

    Raises
    ------
    InputError
        A power that is none.
    UnreachableError
        No stroke rate gives it.

    Notes
    -----
    With a drag of the square of speed the power goes with the cube of the stroke rate, so one step is exact; other
    exponents take a few. [derived]
    """
    power = np.asarray(power_w, float)
    if not (np.nan_to_num(power, nan=1.0) > 0).all():
        raise InputError(f"power_w: expected a positive power, got {np.nanmin(power):g} W")
    rate = np.broadcast_to(stroke.path.rate_hz if rate_hz is None else rate_hz, power.shape)
    for _ in range(ROUNDS):
        surge = settle(stroke, coefficients, rate)
        found = balance(surge)
        ratio = power / found.total_w
        if not np.nanmax(np.abs(ratio - 1)) > SAME:
            return surge, found
        rate = rate * np.cbrt(np.where(np.isfinite(ratio), ratio, 1.0))
    raise UnreachableError(
        f"power: no stroke rate found for {np.nanmin(power):.0f} to {np.nanmax(power):.0f} W after {ROUNDS} rounds"
    )


def implied_thrust(stroke: Stroke, coefficients: Coefficients) -> tuple[np.ndarray, np.ndarray]:
    """Thrust that a set speed implies, and the one that the model's limbs give at that speed and rate.

    Parameters
    ----------
    stroke : Stroke
        Its trace has the set speed and stroke rate.

    Returns
    -------
    needed, given : numpy.ndarray, shape (n,)
        Mean drag of the body at the set, steady speed, and mean push of the limbs at it. Where they differ, the speed
        was typed in and the stroke would not keep it. [N]
    """
    from .surge import Equation

    path = stroke.path
    equation = Equation(stroke, coefficients, path.rate_hz)
    advance = np.broadcast_to(path.advance_m / equation.size, equation.rate_hz.shape)
    frames = range(len(path.joints_m))
    scale = equation.rate_hz**2 * equation.size**4
    given = np.mean([equation.limb_push(frame, advance) for frame in frames], axis=0)
    needed = np.mean([equation.body_drag(frame, advance) for frame in frames], axis=0)
    return needed * scale, given * scale
