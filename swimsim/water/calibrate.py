"""The one unsteady gain: set on one published swimmer, checked on the others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..ground.errors import UnreachableError
from ..ground.tables import read_toml
from .coefficients import coefficients
from .power import balance
from .surge import Stroke, settle

GAINS = (0.3, 8.0)
NEAR = 1e-9  # of the speed [m/s]


@dataclass(frozen=True)
class Check:
    """One published swimmer against the model at the same stroke rate.

    Parameters
    ----------
    name : str
    published_m_s, model_m_s : float
        Speed. [m/s]
    published_sd_m_s : float or None
        Standard deviation between the people measured. [m/s]
    own_gain : float
        Gain that this swimmer would have asked for.
    arm_share : float
        Of the model's thrust.
    """

    name: str
    rate_hz: float
    published_m_s: float
    published_sd_m_s: float | None
    model_m_s: float
    own_gain: float
    arm_share: float

    @property
    def residual(self) -> float:
        """Model less published speed, as a share of the published."""
        return self.model_m_s / self.published_m_s - 1


def fitted_gain(
    stroke: Stroke, speed_m_s: float, *, rate_hz: float | None = None, drag_factor: float = 1.0
) -> float:
    """Gain at which a stroke swims at a given speed.

    Parameters
    ----------
    stroke : Stroke
    speed_m_s : float
        Published speed. [m/s]
    rate_hz : float, optional
        Default that of the path's trace.
    drag_factor : float
        On the drag of the body, for people whose frontal area was measured.

    Raises
    ------
    UnreachableError
        No gain from 0.3 to 8 gives this speed.
    """
    rate = stroke.path.rate_hz if rate_hz is None else rate_hz
    gains = np.geomspace(*GAINS, 24)
    speeds = _speeds(stroke, gains, rate, drag_factor)
    for _ in range(20):
        off = speeds - speed_m_s
        above = int(np.argmax(np.nan_to_num(off, nan=-1.0) > 0))
        if above == 0 or not off[above] > 0 or not off[above - 1] <= 0:
            reached = speeds[np.isfinite(speeds)]
            raise UnreachableError(
                f"gain: expected a speed of {reached.min():.2f} to {reached.max():.2f} m/s at {60 * rate:.1f} "
                f"cycles/min, got {speed_m_s:g} m/s"
            )
        low, high = gains[above - 1], gains[above]
        if off[above] - off[above - 1] < NEAR:
            break
        gains = np.linspace(low, high, 12)
        speeds = _speeds(stroke, gains, rate, drag_factor)
    return float(low + (high - low) * -off[above - 1] / (off[above] - off[above - 1]))


def _speeds(stroke: Stroke, gains: np.ndarray, rate_hz: float, drag_factor: float) -> np.ndarray:
    return settle(stroke, coefficients(gain=gains, drag_factor=drag_factor), rate_hz).mean_speed_m_s


def check(
    name: str,
    stroke: Stroke,
    speed_m_s: float,
    *,
    sd_m_s: float | None = None,
    gain: float,
    drag_factor: float = 1.0,
) -> Check:
    """Hold the model against one published swimmer, at the stroke rate of the path's trace."""
    surge = settle(stroke, coefficients(gain=gain, drag_factor=drag_factor), stroke.path.rate_hz)
    return Check(
        name,
        stroke.path.rate_hz,
        speed_m_s,
        sd_m_s,
        float(surge.mean_speed_m_s[0]),
        fitted_gain(stroke, speed_m_s, drag_factor=drag_factor),
        float(balance(surge).arm_share[0]),
    )


def gain_words(gain: float) -> str:
    """What a calibrated gain says about the model, in one sentence."""
    row = read_toml("water")["gain"]
    low, high = row["expected"]
    if low <= gain <= high:
        return f"unsteady gain {gain:.2f}: inside the {low:g} to {high:g} that unsteady flow can explain"
    if gain > row["doubtful_above"]:
        doubtful = row["doubtful_above"]
        return f"unsteady gain {gain:.2f}: above {doubtful:g}; look for a fault in path, area or drag factor"
    where = "above" if gain > high else "below"
    return (
        f"unsteady gain {gain:.2f}: a little {where} the {low:g} to {high:g} that unsteady flow can explain"
    )


def table_lines(checks: Sequence[Check], gain: float) -> list[str]:
    """The calibration as a table to print."""
    head = (
        f"{'swimmer':34s} {'cycles/min':>10s} {'published':>10s} {'model':>8s} {'residual':>9s} {'own gain':>9s} "
        f"{'arms':>6s}"
    )
    rows = [
        f"{c.name:34s} {60 * c.rate_hz:10.1f} {c.published_m_s:10.2f} {c.model_m_s:8.3f} {100 * c.residual:+8.1f}% "
        f"{c.own_gain:9.2f} {100 * c.arm_share:5.0f}%"
        for c in checks
    ]
    return [gain_words(gain), head, *rows]
