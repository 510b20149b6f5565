"""Two cameras of one filming: the one the coach believes in, and the one as it was."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from swimsim.ground.errors import InputError
from swimsim.ground.rays import onto_plane
from swimsim.ground.records import Camera

from .cameras import refocused, with_middle
from .conditions import Condition


def looks_along(camera: Camera) -> int:
    """The world axis (0, 1 or 2) that the lens axis lies nearest to."""
    return int(np.argmax(np.abs(camera.rotation[2])))


def middle_m(camera: Camera) -> np.ndarray:
    """Where the middle of the picture meets the upright plane (or the surface) through the swimmer. [m]

    Raises
    ------
    InputError
        The middle of the picture does not meet it.
    """
    middle = (np.array(camera.size_px) - 1) / 2
    straight = replace(camera, refraction="none", distortion=(0.0,) * 5)
    point = onto_plane(straight, middle[None, None], axis=looks_along(camera), level_m=0.0)[0, 0]
    if not np.isfinite(point).all():
        raise InputError(f"camera '{camera.name}': expected the swimmer ahead of the lens, got nothing there")
    return point


def believed_and_real(camera: Camera, condition: Condition) -> tuple[Camera, Camera]:
    """The camera as the coach knows it and as it was.

    Parameters
    ----------
    camera : Camera
        As set up: square, without distortion or bending that the condition adds.
    condition : Condition

    Returns
    -------
    believed, real : Camera
        Both show the same point in the middle of the picture, as a person who films would see to.

    Raises
    ------
    InputError
        A camera that would leave its side of the water surface.
    """
    middle = middle_m(camera)
    believed = _at_distance(camera, middle, condition.distance_m)
    real = _turned(believed, middle, condition)
    real = _moved(real, middle, 1 + condition.distance_error_share)
    if (real.position_m[2] > 0) != (believed.position_m[2] > 0):
        raise InputError(
            f"condition '{condition.name}': tilt_deg: expected the camera '{camera.name}' to stay "
            f"{'above' if believed.position_m[2] > 0 else 'under'} the surface, got a height of "
            f"{real.position_m[2]:.2f} m"
        )
    if condition.calibrated:
        believed = _with_lens(believed, middle, condition)
    real = _with_lens(real, middle, condition)
    factor = 1 + condition.scale_error_share
    if factor != 1:
        real = with_middle(replace(real, focal_px=tuple(f * factor for f in real.focal_px)), middle)
    return believed, real


def _with_lens(camera: Camera, middle: np.ndarray, condition: Condition) -> Camera:
    """The camera with the lens and the bending of the condition, showing the same width, the swimmer in the middle.

    A distortion or a bending that the camera has of its own stays.
    """
    changed = camera
    if any(condition.lens):
        changed = replace(changed, distortion=condition.lens)
    if condition.refraction and camera.refraction == "none":
        changed = replace(changed, refraction="flat_port" if camera.position_m[2] < 0 else "surface")
        changed = refocused(changed, middle)
    return camera if changed is camera else with_middle(changed, middle)


def _at_distance(camera: Camera, middle: np.ndarray, distance_m: float | None) -> Camera:
    """The camera moved along its line of sight to a distance, the lens set to the same width."""
    if distance_m is None:
        return camera
    share = distance_m / float(np.linalg.norm(camera.position_m - middle))
    return _moved(replace(camera, focal_px=tuple(f * share for f in camera.focal_px)), middle, share)


def _moved(camera: Camera, middle: np.ndarray, share: float) -> Camera:
    return replace(camera, position_m=middle + share * (camera.position_m - middle))


def _turned(camera: Camera, middle: np.ndarray, condition: Condition) -> Camera:
    """The camera carried round the middle and turned about its line of sight."""
    if not (condition.pan_deg or condition.tilt_deg or condition.roll_deg):
        return camera
    sight = camera.position_m - middle
    ahead = np.eye(3)[1 if looks_along(camera) == 0 else 0]
    turn = _rotation(np.cross(sight, ahead), condition.pan_deg)
    up = -(camera.rotation @ turn.T)[1]
    turn = _rotation(np.cross(turn @ sight, up), condition.tilt_deg) @ turn
    turn = _rotation(turn @ sight, condition.roll_deg) @ turn
    return replace(camera, position_m=middle + turn @ sight, rotation=camera.rotation @ turn.T)


def _rotation(axis: np.ndarray, angle_deg: float) -> np.ndarray:
    """Rotation matrix about an axis of any length (Rodrigues)."""
    x, y, z = axis / np.linalg.norm(axis)
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    angle = np.radians(angle_deg)
    return np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross
