"""Roll over the cycle: shapes with one or two peaks per side, and breaths.

Facts used (algebra): sin x + r sin 3x splits its peak when r > 1/9; sin x + r cos 2x splits it on one side
when r > 1/4. Both forms can be scaled so that the peaks and the dip between them are what is asked for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

TWO_PI = 2 * math.pi
THIRD_LIMIT = 1 / 9
SECOND_LIMIT = 1 / 4


@dataclass(frozen=True)
class RollShape:
    """One period of roll over phase x: offset + a1 sin x + a2 cos 2x + a3 sin 3x. [rad]

    Peaks are held; the left peak lies round x = 90 degrees.
    """

    offset: float
    first: float
    second: float = 0.0
    third: float = 0.0

    def __call__(self, x: np.ndarray) -> np.ndarray:
        """Roll at phase x. [rad]"""
        s = np.sin(x)
        square = s * s
        return (
            self.offset
            + self.second
            + s * (self.first + 3 * self.third)
            - (2 * self.second + 4 * self.third * s) * square
        )


def third_ratio(split: float, dip: float) -> float:
    """a3/a1 for an approach to the two-peak limit (0..1) or, beyond it, a dip between the peaks (0..1).

    With r = a3/a1 > 1/9 the peaks lie at sin^2 x = (1 + 3 r)/(12 r) and stand at (2/3) u (1 + 3 r) with
    u = sin x; the valley is 1 - r. The dip is 1 - valley/peak.
    """
    if dip <= 0:
        return split * THIRD_LIMIT
    low, high = THIRD_LIMIT, 0.999
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if _third_dip(middle) < dip else (low, middle)
    return (low + high) / 2


def _third_peak(ratio: float) -> float:
    if ratio <= THIRD_LIMIT:
        return 1 - ratio
    u = math.sqrt((1 + 3 * ratio) / (12 * ratio))
    return u * (1 + 3 * ratio) * 2 / 3


def _third_dip(ratio: float) -> float:
    return 1 - (1 - ratio) / _third_peak(ratio)


def two_sided_shape(left: float, right: float, *, split: float, dip: float) -> RollShape:
    """Shape with the given peaks [rad], both sides split alike."""
    ratio = third_ratio(split, dip)
    first = (left + right) / 2 / _third_peak(ratio)
    return RollShape((left - right) / 2, first, third=ratio * first)


def one_sided_shape(left: float, right: float, *, side: str, split: float, dip: float) -> RollShape:
    """Shape with the given peaks [rad], split on one side by a second harmonic.

    With u = a1/(4 a2): peak - valley = 2 a2 (1 - u)^2 on the split side, peak to peak 2 a2 (1 + u)^2.
    """
    near, far = (left, right) if side == "left" else (right, left)
    if dip <= 0:
        first = (near + far) / 2
        second = split * SECOND_LIMIT * first
        offset = near - first + second
    else:
        k = math.sqrt(dip * near / (near + far))
        u = (1 - k) / (1 + k)
        second = (near + far) / (2 * (1 + u) ** 2)
        first = 4 * u * second
        offset = first + 2 * second - far - second
    sign = 1.0 if side == "left" else -1.0
    return RollShape(sign * offset, first, second=sign * second)


def smooth_step(u: np.ndarray) -> np.ndarray:
    """0 below 0, 1 above 1, three times continuously differentiable between. Degree 7."""
    u = np.minimum(np.maximum(u, 0.0), 1.0)
    square = u * u
    return square * square * (35 + u * (-84 + u * (70 - 20 * u)))


def half_cycle_factor(x_share: np.ndarray, factors: np.ndarray, *, blend: float = 0.06) -> np.ndarray:
    """A factor per half-cycle, constant round each roll peak and blended where the roll is level.

    Parameters
    ----------
    x_share : numpy.ndarray
        Roll phase; 0 where the left side begins to rise. [cycle]
    factors : numpy.ndarray, shape (2 * period,)
        Left half, right half, left half, ...
    blend : float
        Half length of the blend. [cycle]
    """
    if np.ptp(factors) == 0:
        return np.full_like(x_share, factors[0])
    count = len(factors)
    halves = x_share * 2 + 0.5
    place = halves - np.floor(halves / count) * count
    index = np.minimum(place.astype(int), count - 1)
    weight = smooth_step((place - index - 0.5) / (4 * blend) + 0.5)
    before = factors.take(index - 1)
    return before + (factors.take(index) - before) * weight


def bump(u: np.ndarray) -> np.ndarray:
    """cos^4 bump: 1 at 0, 0 beyond -1 and 1, three times continuously differentiable."""
    size = np.minimum(np.abs(u), 1.0)
    square = np.cos(size * math.pi / 2) ** 2
    return np.where(size < 1, square * square, 0.0)
