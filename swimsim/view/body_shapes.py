"""Shapes around joints: the head as an ellipsoid with a nose, the hand as a blade. [m]"""

from __future__ import annotations

import numpy as np

from swimsim.ground.conventions import side_sign

from .figure import Shot

HEAD_M = 0.23  # chin to top of head when the joints do not say [m]
FACE_SHARE, EAR_SHARE = (
    0.42,
    0.34,
)  # half depth and half width of the head as shares of its height (common practice)
HAND_HALF_M = (0.020, 0.032, 0.022)  # half width of the blade at wrist, knuckles, fingertip [m]
HAND_STATURE_M = 1.80
_NEXT, _LAST = [1, 2, 0], [2, 0, 1]  # axes after each axis, and before it
_TURN = np.linspace(0, 2 * np.pi, 22, endpoint=False)


def unit(vectors: np.ndarray) -> np.ndarray:
    """Vectors of length 1 along the last axis; NaN for a zero vector."""
    length = np.sqrt((vectors * vectors).sum(axis=-1, keepdims=True))
    return vectors / np.where(length > 1e-9, length, np.nan)


def cross(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Cross product along the last axis of vectors (..., 3) of one shape, without the checks of numpy's own."""
    out = a[..., _NEXT] * b[..., _LAST]
    out -= a[..., _LAST] * b[..., _NEXT]
    return out


def head_axes(shot: Shot) -> tuple[np.ndarray, np.ndarray]:
    """Centre (n, 3) and three half axes (n, 3, 3: up, face, ear) of the head.

    Where only part of the head is known the ellipsoid is a ball around what there is.
    """
    top, chin, nose, neck = (shot.point(n) for n in ("head_top", "chin", "nose", "neck"))
    low = np.where(np.isfinite(chin), chin, neck + 0.25 * (top - neck))
    ears = (shot.point("left_ear") + shot.point("right_ear")) / 2
    centre = (top + np.where(np.isfinite(neck), neck + 0.25 * (top - neck), low)) / 2
    for other in (ears, nose):
        centre = np.where(np.isfinite(centre), centre, other)
    up = unit(top - np.where(np.isfinite(neck), neck, low))
    height = np.linalg.norm(top - low, axis=-1)
    height = np.where(np.isfinite(height) & (height > 0.05), height, HEAD_M)[:, None]
    face = nose - centre
    face = unit(face - (face * up).sum(-1, keepdims=True) * up)
    axes = np.stack(
        [0.5 * height * up, FACE_SHARE * height * face, EAR_SHARE * height * cross(up, face)], axis=1
    )
    ball = 0.42 * height[:, :, None] * np.eye(3)
    return centre, np.where(np.isfinite(axes).all(axis=(1, 2), keepdims=True), axes, ball)


def outline(shot: Shot, centre: np.ndarray, axes: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Middle (n, 2) and outline (n, 22, 2) of a projected ellipsoid, around that middle. [px]

    The tips of the axes are projected; the outline is the ellipse of their spread, exact from far away.
    """
    middle = shot.see(centre)
    tips = (shot.see(centre[:, None] + axes) - shot.see(centre[:, None] - axes)) / 2
    spread = np.einsum("nki,nkj->nij", tips, tips)
    a = np.sqrt(np.maximum(spread[:, 0, 0], 1e-12))
    b = spread[:, 0, 1] / a
    c = np.sqrt(np.maximum(spread[:, 1, 1] - b * b, 1e-12))
    cos, sin = np.cos(_TURN), np.sin(_TURN)
    return middle, np.stack([a[:, None] * cos, b[:, None] * cos + c[:, None] * sin], axis=-1)


def hand_blade(shot: Shot, side: str) -> tuple[np.ndarray, np.ndarray]:
    """Blade corners (n, 6, 3), and the direction the palm faces (n, 3).

    Both are NaN where wrist, knuckles, fingertip or thumb is missing.
    """
    wrist, knuckles, tip, thumb = (
        shot.point(f"{side}_{n}") for n in ("wrist", "knuckles", "fingertip", "thumb_tip")
    )
    along = unit(tip - wrist)
    across = thumb - wrist
    across = unit(across - (across * along).sum(-1, keepdims=True) * along)
    w, k, t = (h * across for h in HAND_HALF_M)
    blade = np.stack([wrist + w, knuckles + k, tip + t, tip - t, knuckles - k, wrist - w], axis=1)
    return blade, side_sign(side) * cross(along, across)


def facing(shot: Shot, place: np.ndarray, direction: np.ndarray) -> np.ndarray:
    """True where a face at `place` that looks along `direction` (n, 3) is turned to the camera."""
    lens = shot.camera.position_m + np.stack([shot.shift_m, 0 * shot.shift_m, 0 * shot.shift_m], axis=-1)
    return ((lens - place) * direction).sum(-1) > 0
