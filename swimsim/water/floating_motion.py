"""What the float gives back to the motion: forward speed, heave and pitch as smooth periodic functions."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from ..ground.records import BodyMotion
from .floating_cycle import FloatCycle

HARMONICS = 12  # of one cycle: a six-beat kick shakes at the 6th and, where it is uneven, at the 12th


class Series:
    """A periodic function as a mean and harmonics, with its integral.

    Parameters
    ----------
    values : numpy.ndarray, shape (n,)
        At evenly spaced instants of one period, its end not repeated.
    period_s : float
        [s]
    harmonics : int
        Harmonics of the period that are kept.
    """

    def __init__(self, values: np.ndarray, period_s: float, *, harmonics: int) -> None:
        values = np.asarray(values, float)
        terms = np.fft.rfft(values)[: min(harmonics, (len(values) - 1) // 2) + 1] * (2 / len(values))
        self.mean = float(values.mean())
        self.waves = 2 * np.pi / period_s * np.arange(1, len(terms))
        self.cosine, self.sine = terms[1:].real, -terms[1:].imag

    def __call__(self, time_s: np.ndarray) -> np.ndarray:
        """Value at any times."""
        angle = np.asarray(time_s, float)[..., None] * self.waves
        return self.mean + np.cos(angle) @ self.cosine + np.sin(angle) @ self.sine

    def integral(self, time_s: np.ndarray) -> np.ndarray:
        """Integral from time 0 to any times."""
        time = np.asarray(time_s, float)
        angle = time[..., None] * self.waves
        return (
            self.mean * time
            + np.sin(angle) @ (self.cosine / self.waves)
            + (1 - np.cos(angle)) @ (self.sine / self.waves)
        )


def float_motion(
    cycle: FloatCycle,
    *,
    reference: FloatCycle | None = None,
    made_with: BodyMotion | None = None,
    period_cycles: int = 1,
) -> BodyMotion:
    """Advance, heave and pitch of a floating swimmer.

    Parameters
    ----------
    cycle : FloatCycle
    reference : FloatCycle, optional
        The float whose mean height and slope count as the pattern's own; what this one lies lower or steeper on
        average is then kept. Default the cycle itself: the pattern's depth and trunk slope, which are published
        values, stay on average, and only the rise and fall within the stroke is the model's.
    made_with : BodyMotion, optional
        The body motion that the driving trace already had.
    period_cycles : int
        Cycles in the period.

    Returns
    -------
    BodyMotion
        `speed_from` is `water`.
    """
    reference = reference or cycle

    def series(values) -> Series:
        return Series(values, cycle.period_s, harmonics=HARMONICS * period_cycles)

    heave = cycle.heave_m - reference.heave_m.mean()
    pitch = cycle.pitch_rad - reference.pitch_rad.mean()
    if made_with is not None:
        heave = heave + _swing(made_with.heave, cycle)
        pitch = pitch + _swing(made_with.pitch, cycle)
    speed = series(cycle.speed_m_s)
    return BodyMotion(
        speed.mean,
        advance=speed.integral,
        speed=speed,
        heave=series(heave),
        pitch=series(pitch),
        speed_from="water",
    )


def _swing(function: Callable[[np.ndarray], np.ndarray], cycle: FloatCycle) -> np.ndarray:
    """A function at the cycle's instants."""
    return np.asarray(function(cycle.time_s), float)
