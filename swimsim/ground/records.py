"""Plain records that travel between the rooms. They hold data and check shapes; they compute nothing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from .conventions import JOINTS
from .errors import InputError, nearest
from .marks import Drawn, Gauge, Marks

__all__ = [
    "BodyMotion", "Camera", "Drawn", "Event", "Finding", "Gauge", "Marks", "Measure", "Seen", "Trace",
]  # fmt: skip


@dataclass(frozen=True)
class Trace:
    """Joint positions over time, ours or measured elsewhere.

    Parameters
    ----------
    time_s : numpy.ndarray, shape (n_frames,)
        Strictly increasing. [s]
    joints_m : numpy.ndarray, shape (n_frames, n_joints, 3)
        World positions; NaN where missing. [m]
    joint_names : tuple of str
    rate_hz : float
        Nominal frame rate. [Hz]
    meta : mapping
        Plain JSON values.

    Raises
    ------
    ValueError
        Shapes that do not fit, time that does not increase.
    """

    time_s: np.ndarray
    joints_m: np.ndarray
    joint_names: tuple[str, ...]
    rate_hz: float
    meta: Mapping[str, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        time = np.asarray(self.time_s, float)
        joints = np.asarray(self.joints_m, float)
        names = tuple(self.joint_names)
        if time.ndim != 1 or joints.shape != (len(time), len(names), 3):
            raise ValueError(
                f"trace: expected joints_m of shape (n_frames, n_joints, 3) = ({len(time)}, {len(names)}, 3), "
                f"got {joints.shape}"
            )
        if len(set(names)) != len(names):
            raise ValueError(f"trace: joint names repeat: {sorted({n for n in names if names.count(n) > 1})}")
        if not np.isfinite(time).all() or (np.diff(time) <= 0).any():
            raise ValueError("trace: time_s must be finite and strictly increasing")
        if not np.isfinite(self.rate_hz) or self.rate_hz <= 0:
            raise ValueError(f"trace: rate_hz must be positive, got {self.rate_hz}")
        object.__setattr__(self, "time_s", time)
        object.__setattr__(self, "joints_m", joints)
        object.__setattr__(self, "joint_names", names)

    def joint(self, name: str) -> np.ndarray:
        """Positions of one joint, shape (n_frames, 3); all NaN if the trace does not have it. [m]

        Raises
        ------
        InputError
            A name that neither this trace nor any other has.
        """
        if name in self.joint_names:
            return self.joints_m[:, self.joint_names.index(name)]
        if name not in JOINTS:
            raise InputError(f"joint: expected the name of a joint, got {name!r}; {nearest(name, JOINTS)}")
        return np.full((len(self.time_s), 3), np.nan)


@dataclass(frozen=True)
class Camera:
    """A pinhole camera in the OpenCV convention (x right, y down, z forward in the picture).

    Parameters
    ----------
    name : str
    position_m : array_like, shape (3,)
        Camera centre in the world at time 0. [m]
    rotation : array_like, shape (3, 3)
        World to camera: x_cam = rotation @ (x_world - position).
    focal_px, centre_px : (float, float)
        fx, fy and cx, cy of the camera matrix. [px]
    size_px : (int, int)
        Width and height of the picture. [px]
    distortion : tuple of 5 float
        k1, k2, p1, p2, k3 in OpenCV order.
    travels : bool
        True: the camera moves along x with the swimmer's mean speed.
    refraction : {"none", "flat_port", "surface"}
        What bends the rays before the lens: nothing (the camera is a pinhole in one medium), a thin flat port
        square to the lens axis (camera in a housing under water), or the still water surface z = 0 (camera in
        air, point under water).
    port_m : float
        Distance from the lens to the port; used by `flat_port` alone. [m]
    """

    name: str
    position_m: np.ndarray
    rotation: np.ndarray
    focal_px: tuple[float, float]
    centre_px: tuple[float, float]
    size_px: tuple[int, int]
    distortion: tuple[float, float, float, float, float] = (0.0, 0.0, 0.0, 0.0, 0.0)
    travels: bool = True
    refraction: str = "none"
    port_m: float = 0.05

    def __post_init__(self) -> None:
        position, rotation = np.asarray(self.position_m, float), np.asarray(self.rotation, float)
        if position.shape != (3,) or rotation.shape != (3, 3):
            raise ValueError(
                f"camera '{self.name}': expected position (3,) and rotation (3, 3), "
                f"got {position.shape} and {rotation.shape}"
            )
        if np.abs(rotation @ rotation.T - np.eye(3)).max() > 1e-9 or np.linalg.det(rotation) < 0:
            raise ValueError(f"camera '{self.name}': rotation is not a proper rotation matrix")
        object.__setattr__(self, "position_m", position)
        object.__setattr__(self, "rotation", rotation)


@dataclass(frozen=True)
class Seen:
    """What one camera shows: pixels (n_frames, n_joints, 2) [px], confidence (n_frames, n_joints) in 0..1.

    `camera` is the camera as the coach knows it, not as it was.
    """

    time_s: np.ndarray
    pixels: np.ndarray
    confidence: np.ndarray
    joint_names: tuple[str, ...]
    camera: Camera
    rate_hz: float
    meta: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Event:
    """One instant of one arm cycle. [s]"""

    event: str
    side: str
    cycle: int
    time_s: float
    rule: str


@dataclass(frozen=True)
class Measure:
    """One number read off a trace, or set in the truth. NaN comes with a reason, never a made-up number.

    `value` is in `unit`; angles are in degrees and shares of the cycle in percent, because a Measure is a door.
    `side` is left, right or None (whole body); `cycle` is None for the mean over all cycles;
    `breathing` is True or False when only those strokes were used, else None.
    """

    measure: str
    side: str | None
    cycle: int | None
    value: float
    unit: str
    rule: str
    definition: str
    breathing: bool | None = None
    reason: str | None = None
    uncertainty: float | None = None
    frames: tuple[int, ...] = ()
    joints: tuple[str, ...] = ()


@dataclass(frozen=True)
class Finding:
    """A fault found or not found: severity estimate with interval, and the evidence.

    Evidence rows are (measure, value, limit), limit NaN where the measure decides nothing. `score` is the severity
    without its floor at 0: the more, the more like the fault. `reason` says why there is no value, or what else it is.
    """

    fault: str
    side: str
    present: bool
    severity: float
    severity_low: float
    severity_high: float
    evidence: tuple[tuple[str, float, float], ...] = ()
    score: float = float("nan")
    reason: str | None = None


@dataclass(frozen=True)
class BodyMotion:
    """How the body as a whole moves: smooth functions of time.

    `advance(t)` is the forward travel of the mid-hip [m] with `advance(0) = 0`, `speed(t)` its derivative
    [m/s], `heave(t)` the rise of the mid-hip [m], `pitch(t)` the extra trunk slope [rad], each vectorised.
    """

    mean_speed_m_s: float
    advance: Callable[[np.ndarray], np.ndarray]
    speed: Callable[[np.ndarray], np.ndarray]
    heave: Callable[[np.ndarray], np.ndarray]
    pitch: Callable[[np.ndarray], np.ndarray]
    speed_from: str = "set"
