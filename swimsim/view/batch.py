"""Many lines or shapes of one colour over a stretch of frames, drawn with one OpenCV call per frame."""

from __future__ import annotations

from functools import cached_property, reduce
from itertools import pairwise

import cv2
import numpy as np

from . import strokes
from .figure import Shot
from .pens import pen_for
from .polygons import Polygons, chains


class Batch:
    """Lines or filled shapes (n_frames, n_pieces, n_points, 2) of one colour, drawn with one call per frame.

    `colour` may be a list of one colour per frame. Pieces that are missing or outside the picture are left out.
    """

    def __init__(
        self, shot: Shot, pixels: np.ndarray, colour, *, width: float = 0, keep: np.ndarray | bool = True
    ):
        shown = inside(pixels, shot.camera.size_px) & keep
        self.pieces, self.counts = strokes.fixed(pixels[shown], shot.zoom), shown.sum(axis=1)
        self.colours = colour if isinstance(colour, list) else [colour] * len(pixels)
        self.thick = strokes.thickness(max(1, round(width)), shot.zoom) if width else 0

    @cached_property
    def rows(self) -> list[list[np.ndarray]]:
        """The pieces of every frame."""
        pieces, ends = list(self.pieces), np.concatenate([[0], np.cumsum(self.counts)]).tolist()
        return [pieces[a:b] for a, b in pairwise(ends)] if pieces else []

    def polygons(self) -> list[Polygons]:
        """The same for compiled code."""
        if not len(self.pieces):
            return []
        frames = np.repeat(np.arange(len(self.counts)), self.counts)
        tones = np.array(self.colours, np.uint8)[frames]
        if self.thick:
            return [chains(self.pieces, frames, tones, thickness=self.thick)]
        return [Polygons(self.pieces, frames, tones)]

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw one frame, in place."""
        if not self.rows or not self.rows[frame]:
            return
        if self.thick:
            pen_for(canvas).polylines(
                canvas, self.rows[frame], False, self.colours[frame], self.thick, cv2.LINE_AA, strokes.SHIFT
            )
        else:
            pen_for(canvas).fillPoly(
                canvas, self.rows[frame], self.colours[frame], cv2.LINE_AA, strokes.SHIFT
            )


def inside(pixels: np.ndarray, size_px: tuple[int, int]) -> np.ndarray:
    """Whether a piece (..., n_points, 2) touches the picture; False if a point is missing."""
    points = [pixels[..., i, :] for i in range(pixels.shape[-2])]
    with np.errstate(invalid="ignore"):
        return (
            (reduce(np.maximum, points) > 0) & (reduce(np.minimum, points) < np.array(size_px, float))
        ).all(axis=-1)  # fmt: skip


def here(shot: Shot) -> np.ndarray:
    """World x of the camera in every frame. [m]"""
    return shot.camera.position_m[0] + shot.shift_m
