"""Where the hand's push goes, as Marks: an arrow at the hand, and strips with push, speed and roll that move along.

The arrow is the push of the hand on the water, in the model of the water at the swimmer's stroke rate; its length is
the force (2 N a centimetre). Backward drives, downward lifts the body, sideways steers it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..ground.records import Gauge, Marks
from ..scenario.in_water import stroke_in_water
from ..scenario.play import Swum
from ..water.coefficients import coefficients
from ..water.hand_push import hand_push, push_shares
from ..water.surge import settle
from .geometry import Points
from .roll_overlays import roll_gauge

METRES_PER_NEWTON = 0.005


@dataclass(frozen=True)
class Push:
    """Push of one hand on the water in every frame of a trace.

    Parameters
    ----------
    side : str
    force_n : numpy.ndarray, shape (n_frames, 3)
        On the water, x forward: a hand that drives has it negative. [N]
    speed_m_s : numpy.ndarray, shape (n_frames,)
        Forward speed of the mid-hip. [m/s]
    backward_share : float
        Of all pushes of this hand over the period, by their time integrals.
    """

    side: str
    force_n: np.ndarray
    speed_m_s: np.ndarray
    backward_share: float


def push_of(swum: Swum, side: str) -> Push:
    """Push of one hand over a swimmer's trace.

    Raises
    ------
    InputError
        The planar swimmer, who has no hands.
    """
    stroke = stroke_in_water(swum.motion)
    surge = settle(stroke, coefficients(), stroke.path.rate_hz)
    hand = hand_push(surge, side)
    period = swum.motion.cycle_s * swum.motion.period_cycles

    def over_trace(values: np.ndarray) -> np.ndarray:
        at = np.arange(len(values)) / len(values) * period
        return np.interp(swum.trace.time_s % period, at, values, period=period)

    force = -np.stack([over_trace(hand.force_n[:, axis, 0]) for axis in range(3)], axis=-1)
    share = float(push_shares(hand)["backward"][0])
    return Push(side, force, over_trace(surge.speed_m_s[:, 0]), share)


def with_forces(marks: Marks, swum: Swum, *, side: str) -> Marks:
    """The same marks with the arrow at one hand, and strips of push, speed and roll in place of the gauge."""
    push, period = push_of(swum, side), swum.pattern.period_cycles
    back, down = -push.force_n[:, 0], -push.force_n[:, 2]
    first = Gauge(
        f"push of the {side} hand, {back.max():.0f} N at most; {100 * push.backward_share:.0f} % of it back",
        (("back", back), ("down", down)),
        unit="N",
        period_cycles=period,
        balanced=False,
    )
    low, high, mean = push.speed_m_s.min(), push.speed_m_s.max(), push.speed_m_s.mean()
    speed = Gauge(
        f"speed of the hips, {mean:.2f} m/s: from {low:.2f} to {high:.2f}",
        (("speed", push.speed_m_s),),
        unit="m/s",
        period_cycles=period,
    )
    roll = marks.gauge or replace(roll_gauge(Points(swum, side)), band=None)
    arrows = {**marks.arrows, f"{side}_knuckles": METRES_PER_NEWTON * push.force_n}
    return replace(marks, arrows=arrows, gauge=first, more_gauges=(speed, roll))
