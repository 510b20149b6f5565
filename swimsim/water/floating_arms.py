"""Driven arms of the floating body: the mass that they carry about, and the water's force on them.

Arms leave the swimming plane, so they are no rods. Their mass hangs on the trunk at the place where the arms' common
centre is; what they do to the trunk by turning about that centre, and what the water does to them, are loads.
The water's force is computed for all instants at once, together with how it changes when the trunk moves otherwise
than expected; rounds of that reach the state in which nothing is left of the difference.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from ..ground.conventions import JOINT_INDEX
from .buoyancy import GRAVITY_M_S2, WATER_KG_M3, share_under
from .float_parts import Parts
from .floating_body import ARM_PARTS, in_frame, slopes

#: Joints and their velocities, each (n_frames, n_joints, 3), to forces and where they act, each (n_frames, k, 3).
ArmForce = Callable[[np.ndarray, np.ndarray], tuple[np.ndarray, np.ndarray]]
NUDGE = (0.0, 1e-3, 1e-3, 1e-2, 1e-2, 1e-2)  # of x, z, angle and their rates, for the slopes of the load


def rate(values: np.ndarray, period_s: float) -> np.ndarray:
    """Time derivative of values that are periodic along their first axis (frames of one period)."""
    count = len(values)
    waves = np.arange(count // 2 + 1.0)
    waves[-1] *= count % 2  # the highest wave of an even count has no slope
    turned = 2j * np.pi / period_s * waves.reshape(-1, *[1] * (values.ndim - 1)) * np.fft.rfft(values, axis=0)
    return np.fft.irfft(turned, count, axis=0)


def resampled(values: np.ndarray, count: int) -> np.ndarray:
    """The same periodic values at `count` frames of the period."""
    return np.fft.irfft(np.fft.rfft(values, axis=0), count, axis=0) * (count / len(values))


def arm_masses(parts: Parts) -> tuple[np.ndarray, np.ndarray]:
    """Which parts are arms, and the mass of their strips, shapes (k,) and (k, s). -, [kg]"""
    own = np.array([i for i, name in enumerate(parts.names) if name.endswith(ARM_PARTS)])
    share = parts.strip_volume_m3[own] / parts.volume_m3[own, None]
    return own, parts.mass_kg[own, None] * share


def carried(parts: Parts, joints_m: np.ndarray, period_s: float) -> tuple[float, np.ndarray, np.ndarray]:
    """The arms' mass, its place in the trunk's frame, and the torque of their turning about that place.

    Returns
    -------
    mass : float
        [kg]
    place : numpy.ndarray, shape (n_frames, 2)
        Along the trunk from the hips, and square to it. [m]
    torque : numpy.ndarray, shape (n_frames,)
        On the trunk. [N m]
    """
    own, mass = arm_masses(parts)
    points = parts.at(joints_m, parts.strip_at)[:, own].reshape(len(joints_m), -1, 3)
    points, mass = in_frame(joints_m, "trunk", points), mass.ravel()
    place = np.einsum("k,nkc->nc", mass, points) / mass.sum()
    apart = points - place[:, None]
    turning = rate(apart, period_s)
    spin = np.einsum("k,nk->n", mass, apart[..., 0] * turning[..., 1] - apart[..., 1] * turning[..., 0])
    return float(mass.sum()), place, -rate(spin, period_s)


def crossflow_arms(
    parts: Parts, *, coefficient: float = 1.0, gain: float = 1.0, water_kg_m3: float = WATER_KG_M3
) -> ArmForce:
    """Buoyancy and cross-flow drag of every strip of the arms and hands.

    Parameters
    ----------
    coefficient : float
        Drag coefficient on the breadth of a strip, of the speed square to it.
    gain : float
        Factor on the drag.
    """
    own, _ = arm_masses(parts)
    strips = parts.strip_at.shape[1]
    weights, ways = parts.strip_weights(own), parts.ends[1][own] - parts.ends[0][own]
    volume = parts.strip_volume_m3[own]
    half = parts.half_depth_m[own]
    breadth = 2 * parts.strip_area_m2[own] / (np.pi * half)
    drag = (
        0.5 * water_kg_m3 * coefficient * gain * breadth * (parts.length_m[own] / strips)[:, None]
    ).ravel()
    lift = water_kg_m3 * GRAVITY_M_S2 * volume.ravel()
    round_half = np.sqrt(half * breadth / 2).ravel()  # limbs count as round where they cross the surface

    def force(joints_m: np.ndarray, velocity_m_s: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        at, speed, way = weights @ joints_m, weights @ velocity_m_s, ways @ joints_m
        way /= np.sqrt((way * way).sum(axis=-1, keepdims=True))
        way = np.repeat(way, strips, axis=1)
        along = (speed * way).sum(axis=-1, keepdims=True)
        across = speed - along * way
        under = share_under(-at[..., 2], round_half)
        push = -(under * drag * np.sqrt((across * across).sum(axis=-1)))[..., None] * across
        push[..., 2] += under * lift
        return push, at

    return force


class ArmLoads:
    """Load of the arms on the trunk for any state of the trunk, all instants of a period at once.

    Parameters
    ----------
    joints_m : numpy.ndarray, shape (n_frames, n_joints, 3)
        One period, as steps of the model. [m]
    period_s : float
    hip_to_centre_m : float
        Centre of mass of the trunk rod from the hips along the trunk. [m]
    force : ArmForce
    along_kg_m : float
        Drag over the square of the trunk's speed that the body's drag has already, given back. [kg/m]
    """

    def __init__(
        self,
        joints_m: np.ndarray,
        period_s: float,
        *,
        hip_to_centre_m: float,
        force: ArmForce,
        along_kg_m: float = 0.0,
    ) -> None:
        self.force, self.along = force, along_kg_m
        self.frame = in_frame(joints_m, "trunk", joints_m)
        self.frame[..., 0] -= hip_to_centre_m
        self.frame_rate = rate(self.frame, period_s)
        self.aside = joints_m[..., 1]
        self.aside_rate = rate(self.aside, period_s)

    def at(self, state: np.ndarray) -> np.ndarray:
        """Forward and upward force and torque on the trunk, shape (n_frames, 3), for its states (n_frames, 6)."""
        x, z, angle, u, w, turn = (column[:, None] for column in state.T)
        sine, cosine = np.sin(angle), np.cos(angle)
        along, square = self.frame[..., 0], self.frame[..., 1]
        along_rate = self.frame_rate[..., 0] - turn * square
        square_rate = self.frame_rate[..., 1] + turn * along

        def world(a, b):
            return cosine * a - sine * b, sine * a + cosine * b

        (dx, dz), (du, dw) = world(along, square), world(along_rate, square_rate)
        push, point = self.force(
            np.stack([x + dx, self.aside, z + dz], axis=-1),
            np.stack([u + du, self.aside_rate, w + dw], axis=-1),
        )
        total = push.sum(axis=1)
        total[:, 0] += self.along * np.abs(u[:, 0]) * u[:, 0]
        torque = (point[..., 0] - x) * push[..., 2] - (point[..., 2] - z) * push[..., 0]
        return np.column_stack([total[:, 0], total[:, 2], torque.sum(axis=1)])

    def slope(self, state: np.ndarray, here: np.ndarray) -> np.ndarray:
        """How the load `here` changes with the states, shape (n_frames, 3, 6)."""
        slope = np.zeros((len(state), 3, 6))
        for i, nudge in enumerate(NUDGE):
            if nudge:
                moved = state.copy()
                moved[:, i] += nudge
                slope[:, :, i] = (self.at(moved) - here) / nudge
        return slope


def trunk_states(
    joints_m: np.ndarray, period_s: float, *, speed_m_s: float, hip_to_centre_m: float
) -> np.ndarray:
    """States of the trunk rod as the trace has them, shape (n_frames, 6); x without the mean advance."""
    pelvis = joints_m[:, JOINT_INDEX["pelvis"]]
    angle = slopes(joints_m)["trunk"]
    x = pelvis[:, 0] + hip_to_centre_m * np.cos(angle)
    z = pelvis[:, 2] + hip_to_centre_m * np.sin(angle)
    place = np.column_stack([x, z, angle])
    motion = rate(place, period_s)
    motion[:, 0] += speed_m_s
    return np.hstack([place, motion])
