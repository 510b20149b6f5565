"""How long the lead hand lies still: slower against the body than a share of the body's own speed."""

from __future__ import annotations

import numpy as np

from ..ground.conventions import STILL_SHARE
from .arm_motion import ArmMotion
from .instants import first_crossing

SAMPLES = 129  # of the entry and catch phase, at which it is looked at


def still_speed(arm: ArmMotion) -> float:
    """Speed against the mid-shoulder below which a hand counts as still. [m/cycle]"""
    return STILL_SHARE * arm.frame.pattern.stroke_length_m


def still_stretch(arm: ArmMotion, entry: np.ndarray, start: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """First and last instant between entry and `start` at which the hand is still. [cycle]

    Returns
    -------
    (numpy.ndarray, numpy.ndarray), shape (n,)
        NaN where the hand is never still.
    """
    limit = still_speed(arm)

    def over(own):
        return arm.hand_speed(own) - limit

    known = np.isfinite(entry) & np.isfinite(start)
    entry, start = np.where(known, entry, 0.0), np.where(known, start, 1.0)
    grid = entry[:, None] + (start - entry)[:, None] * np.linspace(0, 1, SAMPLES)
    still = (over(grid) < 0) & known[:, None]
    first, last = np.argmax(still, axis=1), SAMPLES - 1 - np.argmax(still[:, ::-1], axis=1)
    row, step, found = np.arange(len(entry)), (start - entry) / (SAMPLES - 1), still.any(axis=1)
    low, high = grid[row, first], grid[row, last]
    before = first_crossing(over, np.where(found, low - step, np.nan), low, samples=2, rising=False)
    after = first_crossing(over, np.where(found, high, np.nan), high + step, samples=2)
    low = np.where(np.isnan(before) | (low <= entry), low, before)
    high = np.where(np.isnan(after) | (high >= start), high, after)
    return np.where(found, low, np.nan), np.where(found, high, np.nan)
