"""Power and propelling efficiency of swimmers in their periodic state, and how well the balances close."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from .forces import ARM_KINDS, polynomial
from .path import periodic_slope
from .surge import Surge


@dataclass(frozen=True)
class Power:
    """Means over the period, each of shape (n,).

    Parameters
    ----------
    drag_w, arms_w, legs_w : numpy.ndarray
        Power against the drag of the body; power that arms with hands, and that kicking legs leave in the water. [W]
    drag_n, arm_thrust_n, leg_thrust_n : numpy.ndarray
        Drag; forward force on arms with hands, and on legs, beyond what goes along with the body. [N]
    momentum_gap, energy_gap : numpy.ndarray
        What is missing in the balances: thrust against drag as a share of drag, and work of the forward forces against
        that of the swinging arms' mass as a share of all power.
    """

    drag_w: np.ndarray
    arms_w: np.ndarray
    legs_w: np.ndarray
    drag_n: np.ndarray
    arm_thrust_n: np.ndarray
    leg_thrust_n: np.ndarray
    momentum_gap: np.ndarray
    energy_gap: np.ndarray

    @property
    def total_w(self) -> np.ndarray:
        """Mechanical power of the swimmer on the water; work that stays inside the body is not in it. [W]"""
        return self.drag_w + self.arms_w + self.legs_w

    @property
    def arm_share(self) -> np.ndarray:
        """Share of the thrust that comes from arms and hands."""
        return self.arm_thrust_n / (self.arm_thrust_n + self.leg_thrust_n)

    @property
    def propelling_efficiency(self) -> np.ndarray:
        """Power-based: power against drag over all mechanical power, P_d / (P_d + P_k) (Toussaint et al. 1988)."""
        return self.drag_w / self.total_w

    @property
    def arm_efficiency(self) -> np.ndarray:
        """The same of the arms alone: their part of the power against drag, over that with what they leave behind."""
        useful = self.drag_w * self.arm_share
        return useful / (useful + self.arms_w)


def balance(surge: Surge) -> Power:
    """Mean power and force over the period.

    Notes
    -----
    What muscles do over a period ends either in the water that the limbs stir, -F.v of every strip, or in the body's
    drag times its speed. Thrust times speed is the latter seen from the other side and is not added. [derived]
    """
    equation, advance = surge.equation, surge.advance_m
    force = equation.rate_hz**2 * equation.size**4
    power = equation.rate_hz**3 * equation.size**5
    table = equation.stroke.table
    spent, push = (_kinds(surge, powers) for powers in (table.spent, table.push))
    drag = equation.body_drag(np.arange(0, len(equation.inner_m), 2), advance)
    held = equation.held * advance * np.abs(advance) + equation.arms_in_drag * drag
    net = push.sum(axis=0) + held - drag
    swing = equation.mass * np.multiply.outer(periodic_slope(equation.inner_m)[::2], np.ones(1))
    swing = swing / equation.stroke.path.cycles
    drag_w = (drag * advance).mean(axis=0)
    arms_w, legs_w = _split(spent.mean(axis=1))
    arms_n, legs_n = _split(push.mean(axis=1))
    square, cube = (advance * np.abs(advance)).mean(axis=0), (np.abs(advance) ** 3).mean(axis=0)
    along = equation.arms_in_drag
    arms_n, legs_n = arms_n + along * drag.mean(axis=0), legs_n + equation.held * square
    arms_w, legs_w = arms_w - along * drag_w, legs_w - equation.held * cube
    energy = ((net - swing) * advance).mean(axis=0) / (drag_w + arms_w + legs_w)
    return Power(
        drag_w * power, arms_w * power, legs_w * power, drag.mean(axis=0) * force, arms_n * force, legs_n * force,
        net.mean(axis=0) / drag.mean(axis=0), energy,
    )  # fmt: skip


def _kinds(surge: Surge, powers: np.ndarray) -> np.ndarray:
    """Every kind of force at every step, shape (kinds, steps, n), per powers of rate and size."""
    x = np.clip(surge.equation.stroke.table.scaled(surge.advance_m), -1.0, 1.0)
    return np.array(
        [polynomial(p[::2, None], x) * factor for p, factor in zip(powers, surge.equation.kinds, strict=True)]
    )


def _split(means: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Arms with hands, and legs."""
    arms = len(ARM_KINDS)
    return means[:arms].sum(axis=0), means[arms:].sum(axis=0)


def paddle_wheel_efficiency(speed_m_s, rate_hz, *, reach_m, arm_share: float = 0.9):
    """Propelling efficiency by the simplified paddle-wheel model.

    Parameters
    ----------
    speed_m_s, rate_hz : float or array_like
        Swimming speed and full cycles per second (not strokes, not per minute).
    reach_m : float or array_like
        Mean distance from shoulder to hand in the pull, 0.5 to 0.6 m for adults. [m]
    arm_share : float
        Share of the speed that the arms give.

    Notes
    -----
    Zamparo et al. 2005 [memory]: (arm_share v / (2 pi f l)) (2 / pi). Plausible from 0.2 to 0.5.
    """
    return (
        arm_share
        * np.asarray(speed_m_s, float)
        / (2 * math.pi * np.multiply(rate_hz, reach_m))
        * (2 / math.pi)
    )


def speed_from_power(power_w, *, k, n: float = 2.0, efficiency: float = 1.0):
    """Steady speed at which a share of the power equals that against drag k v^n. [m/s]

    Notes
    -----
    Toussaint and Beek 1992, Sports Med 13:8-24, for n = 2: cube root of efficiency times power over drag factor.
    """
    return (efficiency * np.asarray(power_w, float) / k) ** (1 / (n + 1))


def ripple_cost(ripple):
    """Power at a speed that swings as a sine by this share of its mean, over that at steady speed (drag ~ v^2)."""
    return 1 + 1.5 * np.asarray(ripple, float) ** 2
