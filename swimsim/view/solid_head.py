"""The head of the solid figure: an ellipsoid in two pieces, face and cap, with goggles, nose and mouth."""

from __future__ import annotations

import numpy as np

from .body_shapes import facing, head_axes, unit
from .figure import Shot
from .hulls import of_points

#: The rim of the cap: its plane is square to this direction (along up, face, ear), at this share of the half axes.
CAP_WAY, CAP_LEVEL = np.array([0.80, -0.60, 0.0]), -0.08
EYE, EYE_HALF, LENS_SHARE = np.array([0.16, 0.93, 0.40]), 0.23, 0.15
NOSE = np.array([[0.02, 0.94, 0.0], [-0.20, 1.18, 0.0], [-0.24, 0.98, 0.0]])
MOUTH = np.array([[-0.52, 0.86, 0.20], [-0.52, 0.86, -0.20], [-0.60, 0.80, -0.12], [-0.60, 0.80, 0.12]])
_RINGS, _MERIDIANS = 13, 24


def _ball() -> np.ndarray:
    """Points spread over the unit ball, (m, 3)."""
    lat = np.linspace(-np.pi / 2, np.pi / 2, _RINGS)
    lon = np.arange(_MERIDIANS) * 2 * np.pi / _MERIDIANS
    grid = np.stack(np.meshgrid(lat, lon, indexing="ij"), -1).reshape(-1, 2)
    a, b = grid.T
    return np.stack([np.sin(a), np.cos(a) * np.cos(b), np.cos(a) * np.sin(b)], axis=-1)


def _rim(way: np.ndarray, level: float) -> np.ndarray:
    """Points of the unit ball on the plane `way . p = level`, (24, 3)."""
    first = np.array([0.0, 0.0, 1.0])
    second = np.cross(way, first)
    turn = np.arange(24) * np.pi / 12
    radius = np.sqrt(1 - level**2)
    return level * way + radius * (np.cos(turn)[:, None] * first + np.sin(turn)[:, None] * second)


_BALL, _RIM = _ball(), _rim(CAP_WAY, CAP_LEVEL)
_SURFACE = np.concatenate([_BALL, _RIM])
_OF_CAP = np.flatnonzero(_SURFACE @ CAP_WAY >= CAP_LEVEL - 1e-9)
_OF_FACE = np.flatnonzero(_SURFACE @ CAP_WAY <= CAP_LEVEL + 1e-9)


class Head:
    """Outlines of the head of a shot, with what is turned to the camera.

    Attributes
    ----------
    centre : numpy.ndarray, shape (n_frames, 3)
        [m]
    axes : numpy.ndarray, shape (n_frames, 3, 3)
        Half axes: up, face, ear. [m]
    """

    def __init__(self, shot: Shot):
        self.shot = shot
        self.centre, self.axes = head_axes(shot)
        self.cap_in_front = facing(shot, self.centre, self._at(CAP_WAY) - self.centre)

        self.surface = shot.see(self._at(_SURFACE)).astype(np.float32)

    def _at(self, local: np.ndarray) -> np.ndarray:
        """World position of points (m, 3) or of one point (3,) given in half axes, (n, ..., 3). [m]"""
        centre = self.centre if local.ndim == 1 else self.centre[:, None]
        return centre + local @ self.axes

    def whole(self, grow: float) -> np.ndarray:
        """Outline of the whole head, (n, CORNERS, 2). [px]"""
        return of_points(self.surface, grow)

    def face(self) -> np.ndarray:
        """Outline of the face, (n, CORNERS, 2). [px]"""
        return of_points(self.surface[:, _OF_FACE])

    def cap(self) -> np.ndarray:
        """Outline of the cap, (n, CORNERS, 2). [px]"""
        return of_points(self.surface[:, _OF_CAP])

    def features(self) -> list[tuple[str, np.ndarray]]:
        """Goggles, nose and mouth, NaN where they look away: (name, (n, CORNERS, 2)). [px]"""
        found = [("nose", self._if_seen(np.array([0.0, 1.0, 0.0]), NOSE, grow=0.6, margin=-0.25))]
        for ear in (1.0, -1.0):
            place = EYE * [1, 1, ear]
            turn = np.arange(10) * np.pi / 5
            ring = np.stack(
                [LENS_SHARE * np.sin(turn), 0 * turn, EYE_HALF * np.cos(turn)], axis=-1
            ) + place * [1.0, 1.03, 1.0]
            strap = np.array([[0.10, 0.80, 0.68], [0.22, 0.80, 0.68], [0.18, 0.1, 1.01], [0.26, 0.1, 1.01]])
            out = np.array([0.0, 0.75, 0.66 * ear])
            found.append(("strap", self._if_seen(np.array([0.0, 0.3, 0.95 * ear]), strap * [1, 1, ear])))
            found.append(("lens", self._if_seen(out, ring, margin=0.1)))
        found.append(("mouth", self._if_seen(np.array([-0.4, 0.9, 0.0]), MOUTH, margin=0.05)))
        return found

    def _if_seen(
        self, way: np.ndarray, local: np.ndarray, *, grow: float = 0.0, margin: float = 0.0
    ) -> np.ndarray:
        """The outline where the surface that looks along `way` is turned to the camera, else NaN."""
        lens = self.shot.camera.position_m + np.stack(
            [self.shot.shift_m, 0 * self.shot.shift_m, 0 * self.shot.shift_m], axis=-1
        )
        towards = lens - self.centre
        towards = unit(towards)
        direction = np.einsum("k,nki->ni", way, self.axes)
        direction = unit(direction)
        seen = (towards * direction).sum(-1) > margin
        return np.where(seen[:, None, None], of_points(self.shot.see(self._at(local)), grow), np.nan)
