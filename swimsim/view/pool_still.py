"""The still part of a pool picture: every pixel's ray is followed to the surface, the floor or the haze.

Only what does not change along the lane is painted here (tints, floor line, long tile joints); whatever passes is
drawn frame by frame by `pool_moving`. Edges are smoothed over the width of a pixel, exactly for stripes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from swimsim.ground.projection import distort
from swimsim.ground.rays import bend
from swimsim.ground.records import Camera

from .colours import Theme
from .pool import measures

STEEP = 0.3  # a camera looks up or down when the lens axis climbs more than this per metre
STRIP_PX = 200_000  # pixels followed at once
KEPT = 24  # pictures kept for another scene with the same camera
FARTHEST_M = 200.0
UNDISTORT_STEPS = 25  # each takes the rest down to a fifth or less for lenses of usual distortion
WIDEST = 8.0  # slopes beyond this are not followed
#: How far hands, feet and elbows reach from mid-hip, for a stature of 1.80 m (practice): ahead, behind, aside. [m]
REACH_M = (1.30, 1.15, 0.35)


@dataclass(frozen=True)
class Cut:
    """Where the picture of a level camera under water is cut open.

    The water nearer to the camera than the swimmer's reach is taken away, so that arms above the surface can be
    seen; what is left of the surface is seen from beneath, in perspective.

    Parameters
    ----------
    along : numpy.ndarray, shape (2,)
        Horizontal direction of the lens axis.
    body_m, edge_m : float
        Distance from the camera, along that direction, of the swimmer's shoulders and of the cut. [m]
    """

    along: np.ndarray
    body_m: float
    edge_m: float


def is_level(camera: Camera) -> bool:
    """True for cameras that look along the water and see its surface nearly edge on."""
    return abs(camera.rotation[2, 2]) < STEEP


def cut_of(camera: Camera, *, start_x_m: float, scale: float) -> Cut | None:
    """Where the picture is cut open; None for cameras in air and those that look up or down."""
    if not is_level(camera) or camera.position_m[2] > 0:
        return None
    along = camera.rotation[2, :2] / np.hypot(*camera.rotation[2, :2])
    ahead, behind, aside = (scale * r for r in REACH_M)
    reach = max(-along[0] * ahead, along[0] * behind, 0.0) + abs(along[1]) * aside
    hip = np.array([start_x_m, 0.0]) - camera.position_m[:2]
    shoulders = hip + [0.45 * scale, 0.0]
    return Cut(along, float(along @ shoulders), float(max(along @ hip - reach, 0.2)))


def still(camera: Camera, theme: Theme, cut: Cut | None, *, zoom: int = 1) -> np.ndarray:
    """The picture (height, width, 3) of everything that does not change along the lane."""
    if zoom > 1:
        return _painted(camera, theme, cut, zoom)
    key = (
        camera.position_m.tobytes(), camera.rotation.tobytes(), camera.focal_px, camera.centre_px, camera.size_px,
        camera.distortion, camera.refraction, camera.port_m, theme, None if cut is None else cut.edge_m,
    )  # fmt: skip
    return _Kept.find(key, lambda: _painted(camera, theme, cut, zoom))


class _Kept:
    """The last few pictures, because scenes of one clip have the same cameras."""

    pictures: dict[tuple, np.ndarray] = {}  # noqa: RUF012

    @classmethod
    def find(cls, key: tuple, make) -> np.ndarray:
        if key not in cls.pictures:
            while len(cls.pictures) >= KEPT:
                cls.pictures.pop(next(iter(cls.pictures)))
            cls.pictures[key] = make()
        return cls.pictures[key]


def _painted(camera: Camera, theme: Theme, cut: Cut | None, zoom: int) -> np.ndarray:
    width, height = camera.size_px[0] * zoom, camera.size_px[1] * zoom
    picture = np.empty((height, width, 3), np.uint8)
    rows = max(1, STRIP_PX // width)
    for top in range(0, height, rows):
        bottom = min(top + rows, height)
        start, way = rays(camera, (np.arange(width), np.arange(top - 1, bottom + 1)), zoom=zoom)
        tones = _tones(camera, theme, cut, (start, way))[1:-1]
        picture[top:bottom] = np.rint(tones)
    return picture


def rays(
    camera: Camera, columns_rows: tuple[np.ndarray, np.ndarray], *, zoom: int = 1
) -> tuple[np.ndarray, np.ndarray]:
    """Where the rays of pixels start and which way they go, before any bending at the surface.

    Returns
    -------
    start : numpy.ndarray, shape (3,) or (n_rows, n_columns, 3)
        The lens, or the place on the port where the ray enters the water. [m]
    way : numpy.ndarray, shape (n_rows, n_columns, 3)
        Unit vectors in the world.
    """
    columns, rows = ((v + 0.5) / zoom - 0.5 for v in columns_rows)
    if any(camera.distortion):
        x, y = _undistorted(camera, columns, rows)
    else:
        x = (columns[None, :] - camera.centre_px[0]) / camera.focal_px[0]
        y = (rows[:, None] - camera.centre_px[1]) / camera.focal_px[1]
    way = np.stack(np.broadcast_arrays(x, y, 1.0), axis=-1) @ camera.rotation
    start = camera.position_m
    if camera.refraction == "flat_port":
        start = start + camera.port_m * way
    way = way / np.sqrt((way * way).sum(-1, keepdims=True))
    return start, bend(way, camera.rotation[2]) if camera.refraction == "flat_port" else way


def _undistorted(camera: Camera, columns: np.ndarray, rows: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Slopes (n_rows, n_columns) whose distorted picture is these pixels, by repeated correction."""
    aim = np.meshgrid(
        (columns - camera.centre_px[0]) / camera.focal_px[0],
        (rows - camera.centre_px[1]) / camera.focal_px[1],
    )
    x, y = aim
    for _ in range(UNDISTORT_STEPS):
        moved = distort(x, y, camera.distortion)
        x, y = (np.clip(v + a - m, -WIDEST, WIDEST) for v, a, m in zip((x, y), aim, moved, strict=True))
    return x, y


def _tones(camera: Camera, theme: Theme, cut: Cut | None, ray: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    """Tones (n_rows, n_columns, 3) of the rays, from air or from under water."""
    start, way = ray
    if camera.position_m[2] > 0:
        entry, way = into_water(camera, start, way)
        floor = _floor(theme, entry, way)
        return _over(_cover(-ray[1][..., 2]), floor, _plain(theme.air, way))
    floor, ceiling = _floor(theme, start, way), _ceiling(theme, start, way)
    under = _over(_cover(way[..., 2]), ceiling, floor)
    if cut is None:
        return under
    rise = np.maximum(way[..., 2], 1e-9)
    away = (way[..., :2] @ cut.along) * (-start[..., 2] / rise)
    away = away + (start[..., :2] - camera.position_m[:2]) @ cut.along
    return _over(
        _cover(np.where(way[..., 2] > 1e-9, cut.edge_m - away, -FARTHEST_M)), _plain(theme.air, way), under
    )


def into_water(camera: Camera, start: np.ndarray, way: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Where rays from a camera in air meet the surface, and which way they go on; as they are for others."""
    if camera.position_m[2] <= 0:
        return np.broadcast_to(start, way.shape), way
    fall = np.maximum(-way[..., 2:], 1e-4)
    entry = start + way * np.minimum(camera.position_m[2] / fall, 1e4)
    return entry, bend(way, np.array([0.0, 0.0, -1.0])) if camera.refraction == "surface" else way


def _floor(theme: Theme, start: np.ndarray, way: np.ndarray) -> np.ndarray:
    """Floor with lane lines and long joints, fading into the water."""
    pool = measures()
    distance = np.minimum((start[..., 2] + pool["depth"]) / np.maximum(-way[..., 2], 1e-6), FARTHEST_M)
    distance = np.where(distance > 0, distance, FARTHEST_M)
    y = start[..., 1] + way[..., 1] * distance
    pixel = np.maximum(_pixel(y), 1e-9)
    lane, line, tile = pool["lane_width"], pool["floor_line"], pool["tile"]
    tone = _over(_stripes(y, pixel, step=tile["side"], wide=tile["joint"]), theme.grout, theme.tile)
    tone = _over(_stripes(y, pixel, step=lane, wide=line["width"]), theme.lane_line, tone)
    return _hazed(theme, tone, distance)


def _ceiling(theme: Theme, start: np.ndarray, way: np.ndarray) -> np.ndarray:
    """The surface from beneath, fading into the water."""
    distance = np.minimum(-start[..., 2] / np.maximum(way[..., 2], 1e-6), FARTHEST_M)
    return _hazed(theme, _plain(theme.ceiling, way), distance)


def haze(distance_m: np.ndarray) -> np.ndarray:
    """Share of its own tone that a thing keeps behind so much water."""
    return np.exp(-np.asarray(distance_m) / measures()["water"]["haze"])


def _hazed(theme: Theme, tone: np.ndarray, distance: np.ndarray) -> np.ndarray:
    return _over(haze(distance), tone, theme.water)


def _over(share: np.ndarray, one, other) -> np.ndarray:
    """Tones of one where the share (n_rows, n_columns) is 1, of the other where it is 0."""
    other = np.asarray(other, float)
    return other + share[..., None] * (np.asarray(one, float) - other)


def _plain(colour, way: np.ndarray) -> np.ndarray:
    return np.broadcast_to(np.asarray(colour, float), way.shape)


def _pixel(field: np.ndarray) -> np.ndarray:
    """How much a quantity changes over one pixel."""
    down, across = np.gradient(field)
    return np.hypot(down, across)


def _cover(field: np.ndarray) -> np.ndarray:
    """Share of each pixel in which a quantity is above 0, its edge smoothed over one pixel."""
    return np.clip(0.5 + field / np.maximum(_pixel(field), 1e-12), 0.0, 1.0)


def _stripes(u: np.ndarray, pixel: np.ndarray, *, step: float, wide: float) -> np.ndarray:
    """Share of each pixel under stripes of a width, middle on every multiple of a step (exact box filter)."""

    def covered(at):
        turn = np.floor(at / step + 0.5)
        return turn * wide + np.clip(at - turn * step, -wide / 2, wide / 2)

    return (covered(u + pixel / 2) - covered(u - pixel / 2)) / pixel
