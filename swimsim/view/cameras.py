"""Named cameras for a body of given stature, a free camera, and the exact pixels that a camera sees.

Distances follow common filming practice: lens 0.4-0.5 m deep and square to the lane for the side views,
at the lane end for front and rear, on the floor for below, from the deck for the two views above.
Every length scales with stature. With refraction a named camera stays in its place and its lens is set anew, so
that the swimmer is as large in the picture as without: behind a flat port the lens is about 1.33 times wider,
as a filming coach would set it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from swimsim.ground.errors import InputError, nearest
from swimsim.ground.projection import look_at
from swimsim.ground.records import Camera, Seen, Trace

from .refraction import see

REFERENCE_STATURE_M = 1.80  # the stature for which the table below is written

TRUNK_SHARE = 0.288  # shoulder to hip as a share of stature


@dataclass(frozen=True)
class View:
    """Where a named camera stands, for a swimmer of 1.80 m whose mid-hip is at x = y = 0. [m]

    `position` and `aim` give the lens axis, `middle` the point in the middle of the picture (a shifted crop,
    so a camera square to the lane stays square), `field` the least width and height to show at the aim.
    """

    position: tuple[float, float, float]
    aim: tuple[float, float, float]
    middle: tuple[float, float, float]
    field: tuple[float, float]
    up: tuple[float, float, float] = (0.0, 0.0, 1.0)
    words: str = ""


_X = 0.18  # middle of the outstretched body, ahead of mid-hip [m]
VIEWS = {
    "side_left": View((_X, 4.0, -0.45), (_X, 0, -0.45), (_X, 0, -0.22), (2.80, 1.30), words="side, left"),
    "side_right": View((_X, -4.0, -0.45), (_X, 0, -0.45), (_X, 0, -0.22), (2.80, 1.30), words="side, right"),
    "front": View((5.2, 0, -0.40), (0.7, 0, -0.40), (0.7, 0, -0.19), (1.50, 1.32), words="front"),
    "rear": View((-4.6, 0, -0.40), (-0.2, 0, -0.40), (-0.2, 0, -0.20), (1.50, 1.30), words="rear"),
    "below": View((0.14, 0, -3.4), (0.14, 0, 0), (0.14, 0, 0), (2.90, 1.70), up=(0, 1, 0), words="below"),
    "above_side": View((_X, 4.2, 2.2), (_X, 0, -0.1), (_X, 0, -0.17), (2.80, 1.55), words="above, side"),
    "above_front": View((5.6, 0, 2.0), (0.3, 0, -0.1), (0.46, 0, -0.08), (1.90, 1.72), words="above, front"),
    "overhead": View((_X, 0, 4.2), (_X, 0, 0), (_X, 0, 0), (2.80, 1.70), up=(0, -1, 0), words="overhead"),
}  # fmt: skip


def named_camera(
    name: str,
    stature_m: float = REFERENCE_STATURE_M,
    *,
    size_px: tuple[int, int] = (1280, 720),
    start_x_m: float = 0.0,
    refraction: str = "none",
    port_m: float = 0.05,
) -> Camera:
    """One of the named cameras, framed so that the outstretched body fills the picture with a margin.

    Parameters
    ----------
    name : str
        A key of `VIEWS`.
    stature_m : float
        Body height. [m]
    size_px : (int, int)
        Width and height of the picture. [px]
    start_x_m : float
        Where the swimmer's mid-hip is at time 0, along the lane. [m]
    refraction, port_m : str, float
        As in `Camera`; the lens is set so that the swimmer is as large as without.

    Raises
    ------
    InputError
        Unknown name, a stature or size that is not positive, or a refraction that this camera cannot have.
    """
    if name not in VIEWS:
        raise InputError(f"view: expected a known view, got '{name}'; {nearest(name, VIEWS)}")
    if not np.isfinite(stature_m) or stature_m <= 0:
        raise InputError(f"view '{name}': expected a positive stature in metres, got {stature_m}")
    _check_size(size_px)
    view, scale = VIEWS[name], stature_m / REFERENCE_STATURE_M
    start = np.array([start_x_m, 0.0, 0.0])
    position, aim, middle = (
        start + scale * np.array(p, float) for p in (view.position, view.aim, view.middle)
    )
    distance = float(np.linalg.norm(aim - position))
    focal = distance * min(size_px[0] / (scale * view.field[0]), size_px[1] / (scale * view.field[1]))
    camera = Camera(
        name,
        position,
        look_at(position, aim, up=view.up),
        (focal, focal),
        _middle_of(size_px),
        tuple(size_px),
        refraction=refraction,
        port_m=port_m,
    )
    return with_middle(refocused(camera, middle), middle)


def free_camera(
    position_m, aim_m, *, field_deg: float, size_px: tuple[int, int] = (1280, 720), name: str = "free",
    travels: bool = True,
) -> Camera:  # fmt: skip
    """A camera of one's own: where it is, where it looks, and how wide.

    Parameters
    ----------
    position_m, aim_m : array_like, shape (3,)
        World positions at time 0. [m]
    field_deg : float
        Horizontal field of view, between 1 and 170. [deg]

    Raises
    ------
    InputError
        A value that makes no camera.
    """
    _check_size(size_px)
    if not 1.0 <= field_deg <= 170.0:
        raise InputError(f"camera '{name}': field_deg: expected 1 to 170 degrees, got {field_deg}")
    ends = [np.asarray(p, float) for p in (position_m, aim_m)]
    if any(p.shape != (3,) or not np.isfinite(p).all() for p in ends):
        raise InputError(f"camera '{name}': expected position and aim as three numbers each, x y z in metres")
    along = ends[1] - ends[0]
    if np.linalg.norm(along) < 1e-6:
        raise InputError(f"camera '{name}': the aim must differ from the position")
    steep = np.hypot(along[0], along[1]) < 1e-6 * abs(along[2])
    up = (0.0, -np.sign(-along[2]), 0.0) if steep else (0.0, 0.0, 1.0)
    focal = size_px[0] / 2 / np.tan(np.radians(field_deg) / 2)
    return Camera(
        name, ends[0], look_at(ends[0], ends[1], up=up), (focal, focal), _middle_of(size_px), tuple(size_px),
        travels=travels,
    )  # fmt: skip


def mean_speed(trace: Trace) -> float:
    """Mean forward speed: `speed_m_s` of the metadata, else the slope of a line through mid-hip x. [m/s]

    Without a mid-hip the median slope of all joints is taken; 0 if nothing can be fitted.
    """
    if trace.meta.get("speed_m_s") is not None:
        return float(trace.meta["speed_m_s"])
    slopes = _slopes(trace.time_s, trace.joints_m[:, :, 0])
    if "pelvis" in trace.joint_names:
        pelvis = slopes[trace.joint_names.index("pelvis")]
        if np.isfinite(pelvis):
            return float(pelvis)
    slopes = slopes[np.isfinite(slopes)]
    return float(np.median(slopes)) if len(slopes) else 0.0


def start_x(trace: Trace) -> float:
    """Where along the lane the camera must start so that the swimmer is in the picture. [m]

    0 for our own traces (mid-hip at x = 0 at time 0); for others the mean of mid-hip x less the travel.
    """
    if trace.meta.get("speed_m_s") is not None:
        return 0.0
    hips = [n for n in ("pelvis", "left_hip", "right_hip") if n in trace.joint_names] or list(
        trace.joint_names
    )
    x = np.stack([trace.joint(n)[:, 0] for n in hips], 1) - mean_speed(trace) * trace.time_s[:, None]
    return float(np.nanmean(x)) if np.isfinite(x).any() else 0.0


def stature_of(trace: Trace) -> float:
    """Body height: from the metadata, else from shoulder to hip (0.288 of stature), else 1.80 m. [m]

    The share is common practice, good to a few percent, and only used to frame a picture.
    """
    body = trace.meta.get("body")
    told = trace.meta.get("stature_m") or (body.get("stature_m") if isinstance(body, dict) else None)
    if told:
        return float(told)
    spans = [trace.joint(f"{s}_shoulder") - trace.joint(f"{s}_hip") for s in ("left", "right")]
    span = np.linalg.norm(np.concatenate(spans), axis=1)
    span = span[np.isfinite(span)]
    if not len(span):
        return REFERENCE_STATURE_M
    return float(np.clip(np.median(span) / TRUNK_SHARE, 1.0, 2.4))


def seen(trace: Trace, camera: Camera) -> Seen:
    """Exact pixels of every joint in every frame of a trace.

    Returns
    -------
    Seen
        Pixels are NaN for a missing joint; confidence is 1 inside the picture and 0 elsewhere.
    """
    shift = mean_speed(trace) * trace.time_s if camera.travels else 0.0
    pixels = see(camera, trace.joints_m, shift)
    with np.errstate(invalid="ignore"):
        inside = ((pixels >= -0.5) & (pixels <= np.array(camera.size_px) - 0.5)).all(axis=-1)
    return Seen(
        trace.time_s, pixels, inside.astype(float), trace.joint_names, camera, trace.rate_hz, dict(trace.meta)
    )


def _slopes(time: np.ndarray, values: np.ndarray) -> np.ndarray:
    """Least-squares slope of each column over its finite rows; NaN with fewer than two."""
    known = np.isfinite(values)
    count = known.sum(0)
    safe = np.maximum(count, 1)
    clean = np.where(known, values, 0.0)
    centred = np.where(known, time[:, None] - (known * time[:, None]).sum(0) / safe, 0.0)
    spread = (centred**2).sum(0)
    return np.where(
        (count > 1) & (spread > 0), (centred * clean).sum(0) / np.where(spread > 0, spread, 1.0), np.nan
    )


def refocused(camera: Camera, point_m: np.ndarray) -> Camera:
    """The same camera with its focal length set so that it shows the same width at a point as without bending."""
    if camera.refraction == "none":
        return camera
    depth = float(camera.rotation[2] @ (point_m - camera.position_m))
    half = 0.5 * camera.size_px[0] * depth / camera.focal_px[0]
    ends = point_m + half * np.stack([-camera.rotation[0], camera.rotation[0]])
    straight = replace(camera, refraction="none")
    spans = [float(np.ptp(see(c, ends[None])[0, :, 0])) for c in (straight, camera)]
    focal = tuple(f * spans[0] / spans[1] for f in camera.focal_px)
    return replace(camera, focal_px=focal)


def with_middle(camera: Camera, point: np.ndarray) -> Camera:
    """The same camera, its picture shifted so that `point` lies in the middle."""
    pixel = see(camera, point[None])[0]
    off = np.array(_middle_of(camera.size_px)) - pixel
    return replace(
        camera, centre_px=(camera.centre_px[0] + float(off[0]), camera.centre_px[1] + float(off[1]))
    )


def _middle_of(size_px: tuple[int, int]) -> tuple[float, float]:
    """Middle of a picture when pixel (0, 0) is the centre of the first pixel."""
    return ((size_px[0] - 1) / 2, (size_px[1] - 1) / 2)


def _check_size(size_px: tuple[int, int]) -> None:
    if len(size_px) != 2 or min(size_px) < 1:
        raise InputError(f"camera: size: expected width and height in pixels, got {tuple(size_px)}")
