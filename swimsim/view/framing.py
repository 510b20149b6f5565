"""A camera framed for a box of the picture: the same place and direction, the lens set for that box alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from swimsim.ground.records import Camera, Trace

from .cameras import REFERENCE_STATURE_M, VIEWS, mean_speed, named_camera
from .refraction import see

EDGE_M, LEAST_SCALE, SKIPPED = (
    0.03,
    0.5,
    2,
)  # half a hand [m]; never smaller than this; every second frame will do
MIDDLE_M = np.array([0.2, 0.0, -0.1])  # of the body [m]
SAME_PLACE_M = 1e-6  # two cameras closer than this stand in the same place [m]
#: How far an outstretched swimmer of 1.80 m reaches from mid-hip: x, y, z (common practice). [m]
REACH_M = np.array(
    [[1.30, 0.2, -0.1], [1.30, -0.2, -0.1], [-1.15, 0.1, -0.4], [-1.15, -0.1, 0.05], [0.5, 0.6, 0.3],
     [0.5, -0.6, 0.3], [0.5, 0.2, 0.45], [0.5, -0.2, 0.45], [0.6, 0.3, -0.85], [0.6, -0.3, -0.85]]
)  # fmt: skip


def in_box(
    view: str | Camera, size_px: tuple[int, int], *, stature_m: float, start_x_m: float = 0.0
) -> Camera:
    """The camera of a view for a box of a picture, whatever picture it was framed for.

    Parameters
    ----------
    view : str or Camera
        A named view, or a camera. One of the named cameras is framed anew, by the tighter of the box's width
        and height. Any other keeps the width it shows, and loses at top and bottom only what lies beyond the
        reach of the swimmer, if it showed the whole reach before.
    size_px : (int, int)
        Width and height of the box. [px]
    stature_m, start_x_m : float
        Body height, and where mid-hip is at time 0 along the lane. [m]

    Raises
    ------
    InputError
        Unknown view, or a size or stature that is not positive.
    """
    if isinstance(view, str):
        return named_camera(view, stature_m, size_px=size_px, start_x_m=start_x_m)
    if view.name in VIEWS:
        bending = {"refraction": view.refraction, "port_m": view.port_m}
        framed = named_camera(view.name, stature_m, size_px=view.size_px, start_x_m=start_x_m, **bending)
        if _alike(view, framed):
            framed = named_camera(view.name, stature_m, size_px=size_px, start_x_m=start_x_m, **bending)
            return replace(framed, distortion=view.distortion, travels=view.travels)
    wide = scaled(view, size_px, size_px[0] / view.size_px[0])
    whole = scaled(view, size_px, min(s / old for s, old in zip(size_px, view.size_px, strict=True)))
    reach = REACH_M * stature_m / REFERENCE_STATURE_M + [start_x_m, 0, 0]
    return wide if _shows(wide, reach) or not _shows(view, reach) else _closest(whole, wide, reach)


def with_room(camera: Camera, traces: Sequence[Trace]) -> Camera:
    """A named camera, less enlarged where it would cut off a hand or foot of any of these swimmers.

    A free camera is left as it was set.
    """
    if camera.name not in VIEWS:
        return camera
    middle = (np.array(camera.size_px) - 1) / 2
    edge = EDGE_M * camera.focal_px[0] / float(np.linalg.norm(camera.position_m - MIDDLE_M))
    out = np.max([_reach(camera, trace, middle) for trace in traces], axis=0)
    scale = float(((middle - edge) / np.maximum(out, 1e-9)).min())
    return camera if scale >= 1 else scaled(camera, camera.size_px, max(scale, LEAST_SCALE))


def _reach(camera: Camera, trace: Trace, middle: np.ndarray) -> np.ndarray:
    """How far from the middle of the picture the joints come, sideways and up or down. [px]"""
    travel = mean_speed(trace) * trace.time_s if camera.travels else 0 * trace.time_s
    pixels = see(camera, trace.joints_m[::SKIPPED], travel[::SKIPPED])
    away = np.abs(pixels - middle).reshape(-1, 2)
    return np.max(away[np.isfinite(away).all(axis=1)], axis=0, initial=0.0)


def scaled(camera: Camera, size_px: tuple[int, int], scale: float) -> Camera:
    """The same camera enlarged by `scale`, the middle of its picture in the middle of another size."""
    centre = [
        (c + 0.5 - old / 2) * scale + new / 2 - 0.5
        for c, old, new in zip(camera.centre_px, camera.size_px, size_px, strict=True)
    ]
    focal = tuple(f * scale for f in camera.focal_px)
    return replace(camera, focal_px=focal, centre_px=tuple(centre), size_px=tuple(size_px))


def _closest(whole: Camera, wide: Camera, reach_m: np.ndarray) -> Camera:
    """The largest picture between two that shows the whole reach."""
    out = np.abs(see(whole, reach_m[None])[0] - (np.array(whole.size_px) - 1) / 2)
    room = (np.array(whole.size_px) - 1) / 2 / np.maximum(out, 1e-9)
    most = wide.focal_px[0] / whole.focal_px[0]
    return scaled(whole, whole.size_px, float(np.clip(room.min(), 1.0, most)))


def _shows(camera: Camera, points_m: np.ndarray) -> bool:
    """Whether all points are in front of the lens and inside the picture."""
    ahead = (points_m - camera.position_m) @ camera.rotation[2] > 0
    pixels = see(camera, points_m[None])[0]
    inside = (pixels >= -0.5) & (pixels <= np.array(camera.size_px) - 0.5)
    return bool(ahead.all() and inside.all())


def _alike(one: Camera, other: Camera) -> bool:
    """Whether two cameras stand and look alike, through lenses set alike."""
    return (
        np.allclose(one.position_m, other.position_m, atol=SAME_PLACE_M)
        and np.allclose(one.rotation, other.rotation, atol=SAME_PLACE_M)
        and np.allclose(one.focal_px, other.focal_px, rtol=SAME_PLACE_M)
        and np.allclose(one.centre_px, other.centre_px, rtol=SAME_PLACE_M)
    )
