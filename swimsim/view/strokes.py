"""Pens: lines, dashes, dots and filled shapes over many frames, prepared in numpy and drawn by OpenCV.

Coordinates are sub-pixel (1/16 px). Line widths are odd: OpenCV's anti-aliased line of even thickness t
covers t + 1 pixels, so a width w is asked for as w - 1.
"""

from __future__ import annotations

import cv2
import numpy as np

from .colours import Colour

SHIFT = 4
EDGE_PX = 0.5  # an anti-aliased filled shape grows by this much on every side [px]
FAR_AWAY = 5e5  # limit of coordinates [1/16 px]
_AA = cv2.LINE_AA


def fixed(pixels: np.ndarray, zoom: int = 1) -> np.ndarray:
    """Pixel positions (..., 2) as whole numbers of 1/16 px in a picture enlarged `zoom` times.

    NaN becomes a far-away number; such points are never drawn.
    """
    enlarged = (pixels + (0.5 - 0.5 / zoom)) * (zoom << SHIFT)
    inside = np.fmax(np.fmin(enlarged, FAR_AWAY), -FAR_AWAY)
    return np.ascontiguousarray(np.rint(inside).astype(np.int32))


def odd(width: float) -> int:
    """Nearest odd whole number, at least 1."""
    return max(1, 2 * round((width - 1) / 2) + 1)


def thickness(width: int, zoom: int = 1) -> int:
    """OpenCV thickness that covers `width * zoom` pixels."""
    return max(1, width * zoom - 1)


class Lines:
    """Chains of points joined by a solid line with round ends; a piece with a missing end is left out."""

    def __init__(
        self, pixels: np.ndarray, colour: Colour, *, width: int, zoom: int = 1, closed: bool = False
    ):
        self.known = np.isfinite(pixels).all(axis=-1)
        self.whole = self.known.all(axis=1).tolist()
        self.chain, self.colour, self.closed = fixed(pixels, zoom), colour, closed
        self.thick = thickness(width, zoom)

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw one frame."""
        points = self.chain[frame]
        if self.whole[frame]:
            cv2.polylines(canvas, [points], self.closed, self.colour, self.thick, _AA, SHIFT)
            return
        known, last = self.known[frame], len(points) - 1
        pairs = [(a, a + 1) for a in range(last)] + ([(last, 0)] if self.closed else [])
        pieces = [points[[a, b]] for a, b in pairs if known[a] and known[b]]
        if pieces:
            cv2.polylines(canvas, pieces, False, self.colour, self.thick, _AA, SHIFT)


class Shapes:
    """Filled convex shapes, (n_frames, n_shapes, n_corners, 2); one with a missing corner is left out."""

    def __init__(self, pixels: np.ndarray, colours: Colour | list[Colour], *, zoom: int = 1):
        known = np.isfinite(pixels).all(axis=(-1, -2))
        every = list(range(known.shape[1]))
        self.known = [every if all(row) else [i for i in every if row[i]] for row in known.tolist()]
        self.corners = fixed(pixels, zoom)
        self.colours = colours if isinstance(colours, list) else [colours] * len(pixels)

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw one frame."""
        corners, colour = self.corners[frame], self.colours[frame]
        for i in self.known[frame]:
            cv2.fillConvexPoly(canvas, corners[i], colour, _AA, SHIFT)


class Dots:
    """Filled round dots, centres (n_frames, n_dots, 2)."""

    def __init__(self, pixels: np.ndarray, colour: Colour, *, radius: float, zoom: int = 1):
        known = np.isfinite(pixels).all(axis=-1)
        places = fixed(pixels, zoom)
        self.centres = [list(map(tuple, p[k].tolist())) for p, k in zip(places, known, strict=True)]
        self.colour, self.radius = colour, round((radius - EDGE_PX / 2) * zoom * (1 << SHIFT))

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw one frame."""
        for centre in self.centres[frame]:
            cv2.circle(canvas, centre, self.radius, self.colour, -1, _AA, SHIFT)


def squares(pixels: np.ndarray, half: float) -> np.ndarray:
    """Corners (n, m, 4, 2) of upright squares around centres (n, m, 2). [px]"""
    corner = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]], float) * half
    return pixels[:, :, None, :] + corner


def bars(start: np.ndarray, end: np.ndarray, width: float) -> np.ndarray:
    """Corners (n, m, 4, 2) of straight-ended bars from `start` to `end`, both (n, m, 2). [px]"""
    along = end - start
    length = np.maximum(np.linalg.norm(along, axis=-1, keepdims=True), 1e-6)
    across = np.stack([-along[..., 1], along[..., 0]], axis=-1) / length * (width / 2)
    return np.stack([start + across, end + across, end - across, start - across], axis=2)


def dashes(
    start: np.ndarray, end: np.ndarray, *, count: int, share: float = 0.62
) -> tuple[np.ndarray, np.ndarray]:
    """Ends of `count` equal dashes on each line from `start` to `end` (n, 2): two arrays (n, count, 2)."""
    middle = (np.arange(count) + 0.5) / count
    line = (end - start)[:, None, :]
    low, high = ((middle + sign * share / 2 / count)[None, :, None] for sign in (-1, 1))
    return start[:, None, :] + low * line, start[:, None, :] + high * line
