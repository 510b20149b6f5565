"""A clock that waits: how an arm's stroke is slowed for a while about the extension point, in closed form.

The curves of an arm are made on a clock of their own. It runs evenly but for one window in each entry and catch
phase. A wait is lost in it, and the rest of the stroke has that much less. Some more can be borrowed from a wider
window about it: that changes how still the hand lies, and nothing outside the wider one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .splines import Curves

# As shares of the entry and catch phase without its wait: where the window's middle is, and widths and soft edges of
# the two windows; choices of ours.
MIDDLE, NARROW, WIDE = 0.51, (0.36, 0.14), (0.72, 0.20)
BORROWED = (-0.6, 1.0)  # least and most that is borrowed; beyond it the hand would hurry on or turn back
_RAMP = np.array([7.0, -35.0, 67.5, -60.0, 21.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0])


def _ramp(t: np.ndarray) -> np.ndarray:
    """Integral of the step 126 t^5 - 420 t^6 + 540 t^7 - 315 t^8 + 70 t^9 from 0 to 1, four times smooth."""
    return np.polyval(_RAMP, np.clip(t, 0.0, 1.0)) + np.maximum(t - 1.0, 0.0)


def _passed(off: np.ndarray, width: np.ndarray, edge: np.ndarray) -> np.ndarray:
    """Share of a window that has passed, 0 before it and 1 after; `off` counts from its middle."""
    return (_ramp((off + width / 2) / edge + 0.5) - _ramp((off - width / 2) / edge + 0.5)) * edge / width


@dataclass(frozen=True)
class Clock:
    """The clocks of one arm, all cycles of the period.

    Parameters
    ----------
    starts, lengths : numpy.ndarray, shape (period,)
        Entries and lengths of the cycles. [cycle]
    waits, phases : numpy.ndarray, shape (period,)
        Length of the wait, and of the entry and catch phase without it. [cycle]
    """

    starts: np.ndarray
    lengths: np.ndarray
    waits: np.ndarray
    phases: np.ndarray

    @property
    def rate(self) -> float:
        """How fast the clock runs outside the windows."""
        period = len(self.starts)
        return period / (period - self.waits.sum())

    def may_borrow(self, borrowed: np.ndarray) -> np.ndarray:
        """Whether so much is inside the limits, shape (period,)."""
        least, most = BORROWED
        return (borrowed >= least * self.phases) & (borrowed <= most * self.phases)

    def __call__(self, own: np.ndarray, borrowed: np.ndarray) -> np.ndarray:
        """Place on the arm's curves at places on the arm's clock. [cycle]

        Parameters
        ----------
        borrowed : numpy.ndarray, shape (period,)
            What the narrow window loses and the wide one gives. [cycle]
        """
        period = len(self.starts)
        off = np.asarray(own, float) - self.starts[0]
        rounds = np.floor(off / period)
        inside = off - rounds * period
        cycle = np.searchsorted(self.starts - self.starts[0], inside, side="right") - 1
        before = np.append(0.0, np.cumsum(self.waits))[cycle]
        phase, wait = self.phases[cycle], self.waits[cycle]
        from_middle = inside + self.starts[0] - self.starts[cycle] - MIDDLE * phase - wait / 2
        narrow, wide = (_passed(from_middle, w * phase + wait, e * phase) for w, e in (NARROW, WIDE))
        lost = before + wait * narrow + borrowed[cycle] * (narrow - wide)
        return self.starts[0] + rounds * period + self.rate * (inside - lost)


class WaitingCurves:
    """Curves read on a clock that waits."""

    def __init__(self, curves: Curves, clock: Clock, borrowed: np.ndarray) -> None:
        self.curves, self.clock, self.borrowed = curves, clock, borrowed

    def __call__(self, share: np.ndarray) -> np.ndarray:
        """Values, shape (n_curves, *share.shape)."""
        return self.curves(self.clock(share, self.borrowed))


def borrowed_in(arm) -> np.ndarray | float:
    """What the clock of an arm borrows, 0 where its curves do not wait. [cycle]"""
    return getattr(arm.curves, "borrowed", 0.0)
