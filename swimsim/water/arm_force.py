"""The full forces on hands and arms for the floating body: as the surge has them, gain included."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from ..swimmer.anthropometry import Body
from .buoyancy import GRAVITY_M_S2, share_under
from .coefficients import Coefficients, coefficients
from .float_parts import Parts
from .floating_arms import ArmForce, arm_masses
from .forces import ARM_KINDS, HAND_KINDS, KINDS, all_strips, arm_strips, strip_shapes
from .path import StrokePath
from .properties import density
from .strips import Strips


def arm_forces(
    body: Body, usual: Coefficients | None = None, *, legs: bool = False
) -> Callable[[Parts], ArmForce]:
    """Forces for `FloatSettings.arm_force`, so that the floating swimmer is driven as the surge is.

    Parameters
    ----------
    body : Body
    usual : Coefficients, optional
        Of one swimmer; default the usual ones.
    legs : bool
        True: those on legs and feet too, for a floating body whose rods have no drag of their own.

    Returns
    -------
    callable
        From the parts of the floating body to a function of joints and their velocities, each (n_frames, n_joints, 3),
        that gives forces and where they act, each (n_frames, k, 3): limbs, then buoyancy of the arms. [N], [m]
    """
    kinds = (usual or coefficients()).of_kinds()[: len(KINDS if legs else ARM_KINDS), 0]
    own_kinds = np.split(kinds, range(len(HAND_KINDS), len(kinds)))

    def of_parts(parts: Parts) -> ArmForce:
        own, _ = arm_masses(parts)
        weights, volume = parts.strip_weights(own), parts.strip_volume_m3[own].ravel()
        half = np.repeat(parts.half_depth_m[own].mean(axis=1), parts.strip_at.shape[1])

        def force(joints_m: np.ndarray, velocity_m_s: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
            now = StrokePath(body, 1, joints_m, velocity_m_s, 1.0, 1.0)
            limbs = all_strips(now) if legs else arm_strips(now)
            pushes = [
                _push(strips, some, kind)
                for kind, (strips, some) in enumerate(zip(limbs, own_kinds, strict=True))
            ]
            points = [np.moveaxis(strips.at_m, 0, -1).swapaxes(0, 1) for strips in limbs]
            lift, at = _lift(weights @ joints_m, volume, half)
            return np.concatenate([*pushes, lift], axis=1), np.concatenate([*points, at], axis=1)

        return force

    return of_parts


def _push(strips: Strips, kinds: np.ndarray, place: int) -> np.ndarray:
    """Forces on strips, shape (n_frames, s, 3). [N]"""
    shapes = np.tensordot(kinds, strip_shapes(strips, strips.slope_m, kind=place), 1)
    force = 0.5 * density() * shapes * strips.area_m2[:, None] * strips.under
    return np.moveaxis(force, 0, -1).swapaxes(0, 1)


def _lift(at_m: np.ndarray, volume_m3: np.ndarray, half_m: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Buoyancy of strips, and where it acts, each (n_frames, s, 3). [N], [m]"""
    lift = np.zeros_like(at_m)
    lift[..., 2] = density() * GRAVITY_M_S2 * volume_m3 * share_under(-at_m[..., 2], half_m)
    return lift, at_m
