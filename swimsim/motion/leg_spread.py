"""How far the legs stand apart: drawn in a little all the time, and parted at a breath where the pattern says so."""

from __future__ import annotations

import numpy as np

from ..ground.conventions import SIDES, side_sign
from ..stroke.pattern import StrokePattern
from ..stroke.rhythm import bump
from .instants import greatest

PART_CENTRE = 0.09  # cycle after the exit at which the legs are parted most: one foot up, the other down
PART_HALF = 0.125  # half length of the parting: 10 to 15 % of the cycle are seen [cycle] [practice]
TURNS = (-0.3, 0.8)  # between these the outward turn of a leg is looked for [rad]
SAMPLES = 91  # of a half cycle


def parting_centres(pattern: StrokePattern) -> list[float]:
    """Cycle shares (right-arm clock) at which the legs part: at every breath, else at each stroke of the left arm."""
    period, breathes = pattern.period_cycles, pattern.breathing_every > 0
    return [
        cycle + (pattern.arm_lag_share if side == "left" else 0.0)
        + pattern.arm(side, cycle).entry_delay_share + 1 - pattern.arm(side, cycle).recovery_share + PART_CENTRE
        for cycle in range(period)
        for side in SIDES
        if (pattern.breathes(side, cycle) if breathes else side == "left")
    ]  # fmt: skip


class Spread:
    """Outward turn of each leg about its hip over the cycle, found so that the gap of the ankles is as set.

    Parameters
    ----------
    pattern : StrokePattern
    gap : callable
        Sideways distance of the ankles [m] at cycle shares of the right arm, for given outward turns (of each leg)
        as a function of the share [rad].
    """

    def __init__(self, pattern: StrokePattern, gap) -> None:
        self.centres, self.period = parting_centres(pattern), pattern.period_cycles
        self.always = self.parted = 0.0
        body = pattern.body
        halves = np.arange(2 * self.period) / 2
        overlap = (
            halves - 0.1,
            halves + 0.6,
        )  # a greatest gap close to an end of one lies well inside the next
        self.always = self._met(gap, "always", body.foot_gap_m, overlap)
        if body.scissor_gap_m > body.foot_gap_m:
            middle = np.array(self.centres)
            window = (middle - PART_HALF, middle + PART_HALF)
            self.parted = self._met(gap, "parted", body.scissor_gap_m, window)

    def _met(self, gap, name: str, wanted_m: float, window: tuple[np.ndarray, np.ndarray]) -> float:
        """The turn with which the greatest gap in the windows is the wanted one. [rad]"""
        from scipy.optimize import brentq

        def left(turn: float) -> float:
            setattr(self, name, turn)
            return float(greatest(lambda x: gap(x, self.turn), *window, samples=SAMPLES)[1].max()) - wanted_m

        return brentq(left, *TURNS, xtol=1e-13)

    def turn(self, share: np.ndarray) -> np.ndarray:
        """Outward turn of each leg at cycle shares of the right arm. [rad]"""
        turn = np.full(np.shape(share), self.always)
        if self.parted:
            for centre in self.centres:
                after = share - centre
                turn = turn + self.parted * bump(
                    (after - np.rint(after / self.period) * self.period) / PART_HALF
                )
        return turn


def turned_out(plane: tuple[np.ndarray, np.ndarray], turn: np.ndarray, side: str):
    """The plane of the kick (backwards, downwards) turned outwards about the vertical through the hip.

    The leg keeps every height, so that parted legs kick as before.
    """
    cosine, sine = np.cos(turn), side_sign(side) * np.sin(turn)
    return tuple(
        np.stack([cosine * way[0] + sine * way[1], cosine * way[1] - sine * way[0], way[2]]) for way in plane
    )
