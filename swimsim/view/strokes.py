"""Pens: lines, dashes, dots and filled shapes over many frames, prepared in numpy and drawn by OpenCV.

Coordinates are sub-pixel (1/16 px). Bars are filled shapes of any width. Thin chains are OpenCV lines of odd
width: its anti-aliased line of even thickness t covers t + 1 pixels, so a width w is asked for as w - 1.
"""

from __future__ import annotations

from itertools import compress

import cv2
import numpy as np

from .colours import Colour
from .pens import pen_for
from .polygons import GROWN_PX, Polygons, uniform

SHIFT = 4
EDGE_PX = GROWN_PX  # an anti-aliased filled shape grows by this much on every side [px]
MIN_HALF_PX = 0.05  # a bar never gets thinner than the edge that anti-aliasing adds [px]
DISC_CORNERS = 12
FAR_AWAY = 5e5  # limit of coordinates [1/16 px]
_AA = cv2.LINE_AA


def fixed(pixels: np.ndarray, zoom: int = 1) -> np.ndarray:
    """Pixel positions (..., 2) as whole numbers of 1/16 px in a picture enlarged `zoom` times.

    NaN becomes a far-away number; such points are never drawn.
    """
    enlarged = (pixels + (0.5 - 0.5 / zoom)) * (zoom << SHIFT)
    np.fmin(enlarged, FAR_AWAY, out=enlarged)
    np.fmax(enlarged, -FAR_AWAY, out=enlarged)
    return np.ascontiguousarray(np.rint(enlarged, out=enlarged).astype(np.int32))


def odd(width: float) -> int:
    """Nearest odd whole number, at least 1."""
    return max(1, 2 * round((width - 1) / 2) + 1)


def thickness(width: int, zoom: int = 1) -> int:
    """OpenCV thickness that covers `width * zoom` pixels."""
    return max(1, width * zoom - 1)


class Shapes:
    """Filled convex shapes (n_frames, n_shapes, n_corners, 2) in drawing order.

    One colour for all or one each; a shape with a missing corner is left out.
    """

    def __init__(self, pixels: np.ndarray, colours: Colour | list[Colour], *, zoom: int = 1):
        known = np.isfinite(pixels).all(axis=(-1, -2))
        self.known = None if known.all() else known
        self.corners = fixed(pixels, zoom)
        self.colours = colours if isinstance(colours, list) else [colours] * pixels.shape[1]

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw one frame, in place."""
        pieces = zip(self.corners[frame], self.colours, strict=True)
        if self.known is not None:
            pieces = compress(pieces, self.known[frame].tolist())
        draw = pen_for(canvas).fillConvexPoly
        for corners, colour in pieces:
            draw(canvas, corners, colour, _AA, SHIFT)

    def polygons(self) -> list[Polygons]:
        """The same for compiled code."""
        return [uniform(self.corners, self.colours, known=self.known)]


class Pile:
    """Collects shapes of one number of corners, to be drawn in the order in which they were added."""

    def __init__(self) -> None:
        self.pixels: list[np.ndarray] = []
        self.colours: list[Colour] = []

    def add(self, pixels: np.ndarray, colour: Colour) -> None:
        """Add shapes (n_frames, n_shapes, n_corners, 2) of one colour."""
        self.pixels.append(pixels)
        self.colours += [colour] * pixels.shape[1]

    def shapes(self, zoom: int = 1) -> list[Shapes]:
        """All of them as one; nothing if nothing was added."""
        return [Shapes(np.concatenate(self.pixels, axis=1), self.colours, zoom=zoom)] if self.pixels else []


def discs(pixels: np.ndarray, radius: float, *, zoom: int = 1) -> np.ndarray:
    """Corners (n, m, 12, 2) of round dots around centres (n, m, 2), of the area of a circle. [px]"""
    turn = np.arange(DISC_CORNERS) * 2 * np.pi / DISC_CORNERS
    reach = radius / np.sqrt(np.sinc(2 / DISC_CORNERS)) - EDGE_PX / zoom
    return pixels[:, :, None, :] + reach * np.stack([np.cos(turn), np.sin(turn)], axis=-1)


def squares(pixels: np.ndarray, half: float, *, zoom: int = 1) -> np.ndarray:
    """Corners (n, m, 4, 2) of upright squares around centres (n, m, 2). [px]"""
    corner = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]], float) * (half - EDGE_PX / zoom)
    return pixels[:, :, None, :] + corner


def bars(start: np.ndarray, end: np.ndarray, width: float, *, zoom: int = 1) -> np.ndarray:
    """Corners (n, m, 4, 2) of straight-ended bars of that width once drawn, between (n, m, 2) ends. [px]"""
    along = end - start
    length = np.sqrt(np.maximum((along * along).sum(axis=-1, keepdims=True), 1e-12))
    half = max(width / 2 - EDGE_PX / zoom, MIN_HALF_PX)
    across = along[..., ::-1] * (np.array([-1.0, 1.0]) * half) / length
    return np.stack([start + across, end + across, end - across, start - across], axis=2)


def sticks(pixels: np.ndarray, colour: Colour, *, width: float, zoom: int = 1) -> Shapes:
    """Bars along a chain of points (n_frames, n_points, 2); a bar with a missing end is left out."""
    return Shapes(bars(pixels[:, :-1], pixels[:, 1:], width, zoom=zoom), colour, zoom=zoom)


def dashes(
    start: np.ndarray, end: np.ndarray, *, count: int, share: float = 0.62
) -> tuple[np.ndarray, np.ndarray]:
    """Ends of `count` equal dashes on each line from `start` to `end` (n, 2): two arrays (n, count, 2)."""
    middle = (np.arange(count) + 0.5) / count
    line = (end - start)[:, None, :]
    low, high = ((middle + sign * share / 2 / count)[None, :, None] for sign in (-1, 1))
    return start[:, None, :] + low * line, start[:, None, :] + high * line
