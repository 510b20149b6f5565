"""The head over the cycle: when it turns to breathe, how far the neck is bent back, and how the trunk follows."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ..ground.conventions import SIDES, side_sign
from ..ground.errors import InputError
from ..stroke.pattern import StrokePattern
from ..stroke.rhythm import smooth_step

FOLLOWS = 0.10  # share of shoulder roll that the head follows between breaths (choice of ours)
TURNED_RAD = math.radians(20)  # the face has left, or is back, at this turn to the breathing side
RAMP = 0.20  # the head turns, and turns back, in this time [cycle] (choice of ours)
LEAST_TURNED = 0.08  # shorter than this no face is out of the water [cycle]
WITHIN = (0.05, 0.95)  # part of the turn at which the face may pass the 20 degrees
_STEPS = np.linspace(0, 1, 4001)


@dataclass(frozen=True)
class Breath:
    """One breath: side, and right-arm cycle shares at which the face passes 20 degrees, going and coming back."""

    side: str
    start: float
    back: float


def breaths(pattern: StrokePattern) -> list[Breath]:
    """Every breath in the period.

    Raises
    ------
    InputError
        The face would be back before it has turned.
    """
    found, body = [], pattern.body
    for cycle in range(pattern.period_cycles):
        for side in SIDES:
            if pattern.breathes(side, cycle):
                out, entry = _recovery(pattern, side, cycle)
                length = entry[1] - entry[0]
                breath = Breath(
                    side,
                    out + body.breath_turn_start_share * length,
                    entry[1] + body.breath_face_return_share * length,
                )
                found.append(breath)
                if breath.back - breath.start < LEAST_TURNED:
                    raise InputError(
                        "breath_turn_start_share, breath_face_return_share: expected a face turned for "
                        f"{LEAST_TURNED:g} of the cycle or more, got {breath.back - breath.start:.3g} ({side} breath)"
                    )
    return found


def _recovery(pattern: StrokePattern, side: str, cycle: int) -> tuple[float, tuple[float, float]]:
    """Exit of one stroke, and the entries before and after it, on the right arm's clock. [cycle]"""
    lag, period = (pattern.arm_lag_share if side == "left" else 0.0), pattern.period_cycles
    arm, after = pattern.arm(side, cycle), pattern.arm(side, (cycle + 1) % period)
    start = cycle + arm.entry_delay_share
    end = cycle + 1 + after.entry_delay_share
    return lag + start + (1 - arm.recovery_share) * (end - start), (lag + start, lag + end)


class HeadTurn:
    """How far the head is turned to breathe, 0..1 of the whole turn, as a function of the cycle share.

    Parameters
    ----------
    pattern : StrokePattern
    resting, needed : callable
        Turn of the head between breaths, at cycle shares of the right arm; and the turn to a side (its sign) at
        which the face has passed 20 degrees in the upright plane across the line of travel. [rad]
    """

    def __init__(self, pattern: StrokePattern, resting: Callable, needed: Callable) -> None:
        self.breaths, self.period = breaths(pattern), pattern.period_cycles
        self.full = pattern.body.head_turn_rad
        self.ramps = [self._ramp(breath, resting, needed) for breath in self.breaths]

    def _ramp(self, breath: Breath, resting: Callable, needed: Callable) -> tuple[float, float, float]:
        """Starts of the turn and of the way back, and how long each takes, so that 20 degrees are passed on time."""
        sign, places = side_sign(breath.side), np.array([breath.start, breath.back])
        rest = sign * resting(places)
        parts = np.clip((needed(places, sign) - rest) / np.maximum(self.full - rest, 1e-6), *WITHIN)
        up, down = (_risen(float(part)) for part in parts)
        ramp = min(RAMP, (breath.back - breath.start) / (2 - up - down))
        return breath.start - up * ramp, breath.back - (1 - down) * ramp, ramp

    def weights(self, share: np.ndarray) -> list[tuple[str, np.ndarray]]:
        """Side and weight 0..1 of every breath at cycle shares of the right arm."""
        found = []
        for breath, (up, down, ramp) in zip(self.breaths, self.ramps, strict=True):
            middle = (breath.start + breath.back) / 2
            after = share - middle
            place = middle + after - np.rint(after / self.period) * self.period
            weight = smooth_step((place - up) / ramp) * (1 - smooth_step((place - down) / ramp))
            found.append((breath.side, weight))
        return found

    def weight(self, share: np.ndarray) -> np.ndarray:
        """The weights of all breaths together."""
        return sum((w for _, w in self.weights(share)), np.zeros(np.shape(share)))


def _risen(part: float) -> float:
    """Where the smooth step has risen to `part`, by Newton steps from a table."""
    x = float(np.interp(part, smooth_step(_STEPS), _STEPS))
    for _ in range(3):
        x -= (float(smooth_step(np.array(x))) - part) / (140 * x**3 * (1 - x) ** 3)
    return x
