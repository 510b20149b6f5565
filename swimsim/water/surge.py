"""Forward speed of the swimmer over the stroke: the periodic state of

    (m + m_a) du/dt + m dc/dt = push - drag

u is the speed of the mid-hip, m_a the added mass, c the speed of the centre of mass against the mid-hip (arms that
swing forwards push the trunk back), push the water's force on hands, arms and kicking legs, drag that of the body.

Everything is solved per cycle share and in advance per cycle, speed over stroke rate. With a drag of the square of
speed the stroke rate then drops out: twice the rate on the same path is twice the speed at the same stroke length.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..ground.errors import InputError, UnreachableError
from ..ground.tables import read_toml
from .coefficients import Coefficients, coefficients
from .float_parts import float_parts
from .forces import STRIPS, ForceTable, force_table
from .path import StrokePath, periodic_slope
from .posture import Posture, posture

CLOSED = 1e-10  # change of the advance over a period at which it counts as repeating [m/cycle]
ROUNDS = 40


@dataclass(frozen=True)
class Stroke:
    """All that the swimmers on one path share.

    Parameters
    ----------
    path : StrokePath
    table : ForceTable
    posture : Posture
    inner_m : numpy.ndarray, shape (n,)
        Speed of the centre of mass against the mid-hip. [m/cycle]
    """

    path: StrokePath
    table: ForceTable
    posture: Posture
    inner_m: np.ndarray

    @cached_property
    def usual(self) -> Surge:
        """The periodic state of one swimmer with the usual coefficients, at the path's own stroke rate."""
        return settle(self, coefficients(), self.path.rate_hz)


def prepare(path: StrokePath, *, strips: int = STRIPS, inner_motion: bool = True) -> Stroke:
    """Forces, posture and inner motion of a path, once for all swimmers on it.

    Parameters
    ----------
    strips : int
        Per limb part, as in `force_table`.
    inner_motion : bool
        False: the centre of mass counts as fixed to the mid-hip.
    """
    inner = centre_speed(path) if inner_motion else np.zeros(len(path.joints_m))
    return Stroke(path, force_table(path, strips=strips), posture(path), inner)


def centre_speed(path: StrokePath) -> np.ndarray:
    """Forward speed of the centre of mass against the mid-hip, shape (n,). [m/cycle]"""
    parts = float_parts(path.body)
    first, second = parts.ends
    weights = first + parts.centre[:, None] * (second - first)
    share = parts.mass_kg / parts.mass_kg.sum()
    return periodic_slope(path.joints_m[..., 0] @ (share @ weights)) / path.cycles


@dataclass(frozen=True)
class Surge:
    """Periodic forward speed of n swimmers; NaN for a swimmer who leaves the range of the force table.

    Parameters
    ----------
    equation : Equation
    momentum_m : numpy.ndarray, shape (steps, n)
        Momentum over moved mass, per rate and size, at every second instant of the path. [m/cycle]
    closure_m_s : numpy.ndarray, shape (n,)
        Change of speed over one period: how well it repeats. [m/s]
    """

    equation: Equation
    momentum_m: np.ndarray
    closure_m_s: np.ndarray

    @property
    def advance_m(self) -> np.ndarray:
        """Speed of the mid-hip over stroke rate, per size, shape (steps, n). [m/cycle]"""
        return self.momentum_m - np.multiply.outer(self.equation.inner_m[::2], self.equation.inner_share)

    @property
    def rate_hz(self) -> np.ndarray:
        """Stroke rate, shape (n,). [1/s]"""
        return self.equation.rate_hz

    @property
    def speed_m_s(self) -> np.ndarray:
        """Speed of the mid-hip, shape (steps, n). [m/s]"""
        return self.advance_m * self.equation.rate_hz * self.equation.size

    @property
    def mean_speed_m_s(self) -> np.ndarray:
        """Mean over the period, shape (n,). [m/s]"""
        return self.speed_m_s.mean(axis=0)

    @property
    def stroke_length_m(self) -> np.ndarray:
        """Way per cycle, shape (n,). [m]"""
        return self.mean_speed_m_s / self.equation.rate_hz

    @property
    def ripple(self) -> np.ndarray:
        """Standard deviation of the mid-hip's speed within the period over its mean, shape (n,)."""
        return self.speed_m_s.std(axis=0) / self.mean_speed_m_s


class Equation:
    """Right-hand side of the surge of n swimmers on one stroke, in advance per cycle and size.

    Parameters
    ----------
    stroke : Stroke
    coefficients : Coefficients
    rate_hz : float or array_like, shape (n,)
        Stroke rate. [1/s]

    Notes
    -----
    A swimmer larger by a factor s has s^2 the areas and the drag factor, s^3 the mass and s the velocities: all forces
    go with s^4, mass times acceleration too. Only a drag exponent other than 2 tells sizes apart. [derived]
    """

    def __init__(self, stroke: Stroke, coefficients: Coefficients, rate_hz) -> None:
        rate = np.asarray(rate_hz, float)
        if not (np.isfinite(rate).all() and (rate > 0).all()):
            raise InputError(f"rate_hz: expected positive, finite stroke rates, got {rate_hz!r}")
        n = max(coefficients.count, rate.size)

        def each(value) -> np.ndarray:
            return np.broadcast_to(np.asarray(value, float), n)

        self.stroke, self.rate_hz, self.size = stroke, each(rate), each(coefficients.size)
        self.kinds = np.broadcast_to(coefficients.of_kinds(), (len(stroke.table.held), n))
        powers = np.einsum("kpd,kn->dpn", stroke.table.push, self.kinds, optimize=True)
        self.push = np.ascontiguousarray(powers.swapaxes(0, 1))  # (frames, degree + 1, n)
        self.held = stroke.table.held @ self.kinds
        self.arms_in_drag = read_toml("water")["arm"]["share_of_drag"][stroke.path.body.sex]
        self.exponent = each(coefficients.drag_exponent)
        self.drag = self._drag(coefficients)
        self.mass = stroke.path.body.mass_kg * each(coefficients.mass_factor)
        self.moved = self.mass * (1 + each(coefficients.added_share))
        self.inner_m, self.inner_share = stroke.inner_m, self.mass / self.moved
        self._plain = bool((self.exponent == 2).all())

    def _drag(self, coefficients: Coefficients) -> np.ndarray:
        """Drag over (advance to the exponent), per rate squared, shape (frames, n or 1) broadcast to n."""
        path = self.stroke.path
        factor = self.stroke.posture.factor(
            path.speed_m_s, follows=coefficients.area_follows, saves=coefficients.head_saves
        )
        factor = np.moveaxis(factor, -1, 0).reshape(len(path.joints_m), -1)
        scale = (self.rate_hz * self.size) ** (self.exponent - 2)
        return coefficients.drag_at_1(path.body) * scale * factor

    def body_drag(self, frame, advance: np.ndarray) -> np.ndarray:
        """Drag of the body over rate squared and size to the fourth. [N s2/cycle2]"""
        size = np.abs(advance)
        return self.drag[frame] * (size if self._plain else size ** (self.exponent - 1)) * advance

    def limb_push(self, frame: int, advance: np.ndarray) -> np.ndarray:
        """Forward force on all limbs over rate squared and size to the fourth, beyond what goes along with the body."""
        return self._push(frame, advance) + self.arms_in_drag * self.body_drag(frame, advance)

    def _push(self, frame: int, advance: np.ndarray) -> np.ndarray:
        """The same with all that the upper arms feel."""
        x = np.clip(self.stroke.table.scaled(advance), -1.0, 1.0)
        powers = self.push[frame]
        push = powers[0] * x
        for power in powers[1:-1]:
            push += power
            push *= x
        return push + powers[-1] + self.held * np.abs(advance) * advance

    def slope(self, frame: int, momentum: np.ndarray) -> np.ndarray:
        """Change of the momentum over moved mass, per cycle, at one instant of the path. [m/cycle2]"""
        advance = momentum - self.inner_m[frame] * self.inner_share
        drag = (1 - self.arms_in_drag) * self.body_drag(frame, advance)
        return (self._push(frame, advance) - drag) / self.moved

    def period(self, start: np.ndarray, keep: np.ndarray | None = None) -> np.ndarray:
        """Momentum after one period from its value at the start; `keep` (steps, n) takes it at every step.

        Classical Runge-Kutta of fourth order, one step for two instants of the path.
        """
        frames, momentum = len(self.inner_m), start
        step = 2 * self.stroke.path.cycles / frames
        for frame in range(0, frames, 2):
            if keep is not None:
                keep[frame // 2] = momentum
            one = self.slope(frame, momentum)
            two = self.slope(frame + 1, momentum + step / 2 * one)
            three = self.slope(frame + 1, momentum + step / 2 * two)
            four = self.slope((frame + 2) % frames, momentum + step * three)
            momentum = momentum + step / 6 * (one + 2 * two + 2 * three + four)
        return momentum


def settle(stroke: Stroke, coefficients: Coefficients, rate_hz) -> Surge:
    """Periodic speed of one or many swimmers on a path, at given stroke rates.

    Parameters
    ----------
    stroke : Stroke
        From `prepare`.
    coefficients : Coefficients
        Of one swimmer or of n.
    rate_hz : float or array_like
        Stroke rate, one or n. [1/s]

    Raises
    ------
    InputError
        A stroke rate that is none.
    UnreachableError
        It does not settle; no swimmer stays in the range of the force table.

    Notes
    -----
    The momentum at the start is found by secant steps on its change over a period, all swimmers at once; a start that
    repeats to 1e-10 m per cycle is the periodic state.
    """
    equation = Equation(stroke, coefficients, rate_hz)
    before = np.full(len(equation.rate_hz), stroke.path.advance_m)
    start = equation.period(before)
    change = start - before
    for _ in range(ROUNDS):
        new = equation.period(start) - start
        if np.abs(new).max() < CLOSED:
            return _checked(equation, start)
        moved = start - before
        with np.errstate(invalid="ignore", divide="ignore"):
            secant = -new * moved / (new - change)
        step = np.where(np.isfinite(secant) & (np.abs(secant) < 1.0), secant, new)
        before, start, change = start, start + np.where(np.abs(new) < CLOSED / 10, 0.0, step), new
    raise UnreachableError(
        f"surge: not settled after {ROUNDS} periods; the advance still changes by {np.abs(new).max():.2g} m per cycle"
    )


def _checked(equation: Equation, start: np.ndarray) -> Surge:
    """One more period, kept; swimmers outside the range of the force table are taken out."""
    momentum = np.empty((len(equation.inner_m) // 2, len(start)))
    closure = (equation.period(start, momentum) - start) * equation.rate_hz * equation.size
    surge = Surge(equation, momentum, closure)
    low, high = equation.stroke.table.advance_m
    outside = (surge.advance_m.min(axis=0) < low) | (surge.advance_m.max(axis=0) > high)
    if outside.all():
        rate = equation.rate_hz[0]
        raise UnreachableError(
            f"surge: expected a speed of {rate * low:.2f} to {rate * high:.2f} m/s at {60 * rate:.1f} cycles/min, the "
            f"range of the force table; this stroke goes from {surge.speed_m_s[:, 0].min():.2f} to "
            f"{surge.speed_m_s[:, 0].max():.2f} m/s: does the path fit speed and rate of its trace?"
        )
    momentum[:, outside] = np.nan
    return surge
