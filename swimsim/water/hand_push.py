"""Where the push of the hands goes: force at every instant, mean, peak, and its shares by direction."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..ground.conventions import JOINT_INDEX, SIDES
from .forces import HAND_KINDS, polynomial
from .surge import Surge

#: Directions in which a hand pushes the water.
WAYS = ("backward", "downward", "sideways", "upward", "forward")


@dataclass(frozen=True)
class HandPush:
    """Force of the water on one hand of n swimmers over the period.

    Parameters
    ----------
    side : str
    share : numpy.ndarray, shape (steps,)
        Cycle share from the start of the period, 0 to its number of cycles.
    at_m : numpy.ndarray, shape (steps, 3)
        Knuckles, x from the mid-hip. [m]
    force_n : numpy.ndarray, shape (steps, 3, n)
        On the hand, x forward: what the hand does to the water is the opposite. [N]
    """

    side: str
    share: np.ndarray
    at_m: np.ndarray
    force_n: np.ndarray

    @property
    def size_n(self) -> np.ndarray:
        """Size of the force, shape (steps, n). [N]"""
        return np.sqrt((self.force_n**2).sum(axis=1))

    @property
    def peak_n(self) -> np.ndarray:
        """Greatest size, shape (n,). [N]"""
        return self.size_n.max(axis=0)

    @property
    def mean_n(self) -> np.ndarray:
        """Mean size while the hand drives forward or holds back noticeably: a tenth of the peak or more. [N]"""
        size = self.size_n
        works = size > 0.1 * self.peak_n
        return (size * works).sum(axis=0) / works.sum(axis=0)

    @property
    def thrust_n(self) -> np.ndarray:
        """Mean forward force over the whole period, shape (n,). [N]"""
        return self.force_n[:, 0].mean(axis=0)


def hand_push(surge: Surge, side: str) -> HandPush:
    """Force on one hand over the period of swimmers in their periodic state."""
    equation = surge.equation
    table, path = equation.stroke.table, equation.stroke.path
    x = np.clip(table.scaled(surge.advance_m), -1.0, 1.0)
    own = table.hand[:, SIDES.index(side)]
    force = sum(
        polynomial(own[kind][:, ::2, None], x) * equation.kinds[kind] for kind in range(len(HAND_KINDS))
    )
    force = force.swapaxes(0, 1) * equation.rate_hz**2 * equation.size**4
    steps = len(force)
    at = path.joints_m[::2, JOINT_INDEX[f"{side}_knuckles"]]
    return HandPush(side, np.arange(steps) / steps * path.cycles, at, force)


def push_shares(*hands: HandPush) -> dict[str, np.ndarray]:
    """Shares of the hands' push on the water by direction, summing to 1, each of shape (n,).

    Notes
    -----
    Time integral of the push in each direction over the sum of all five: backward drives, forward holds back,
    downward and upward lift and sink the body, sideways (inwards and outwards) steers it. [derived]
    """
    force = np.concatenate([hand.force_n for hand in hands])
    x, y, z = (force[:, axis] for axis in range(3))
    parts = (np.maximum(x, 0), np.maximum(z, 0), np.abs(y), np.maximum(-z, 0), np.maximum(-x, 0))
    sums = np.array([part.sum(axis=0) for part in parts])
    return dict(zip(WAYS, sums / sums.sum(axis=0), strict=True))
