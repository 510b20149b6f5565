"""What draws into a picture: OpenCV, or a log that keeps every shape and word of a sketch for a vector file.

A sketch is a picture array that carries a log. Everything drawn through `pen_for(canvas)` into it, or into a part
of it, is kept with its place and edges instead of being drawn; plain fills of pixels stay pixels.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

Colour = tuple[int, int, int]
Edges = tuple[int, int, int, int]


@dataclass(frozen=True)
class Path:
    """Closed outlines to fill, or lines of some width [px], inside the edges (left, top, width, height)."""

    pieces: list[np.ndarray]
    colour: Colour
    edges: Edges
    width: float = 0.0
    closed: bool = True
    share: float = 1.0


@dataclass(frozen=True)
class Words:
    """A line of text: left end of its base line, size and width [px]."""

    text: str
    at: tuple[float, float]
    size: int
    width: float
    colour: Colour
    bold: bool


@dataclass(frozen=True)
class Pasted:
    """A small picture, and where its upper left corner is."""

    picture: np.ndarray
    at: tuple[int, int]


class Log:
    """Keeps what is drawn into a sketch, in order; its first methods are called like those of OpenCV."""

    def __init__(self, sketch: np.ndarray):
        self.address, self.stride = sketch.ctypes.data, sketch.strides[0]
        self.items: list[Path | Words | Pasted] = []

    def edges(self, canvas: np.ndarray) -> Edges:
        """Where a part of the sketch lies in it."""
        row, rest = divmod(canvas.ctypes.data - self.address, self.stride)
        return rest // 3, row, canvas.shape[1], canvas.shape[0]

    def fillConvexPoly(self, canvas, corners, colour, _line=0, shift=0) -> None:
        """Keep one filled outline."""
        self._keep(canvas, [corners], colour, shift)

    def fillPoly(self, canvas, pieces, colour, _line=0, shift=0) -> None:
        """Keep filled outlines."""
        self._keep(canvas, pieces, colour, shift)

    def polylines(self, canvas, pieces, closed, colour, thickness, _line=0, shift=0) -> None:
        """Keep lines; OpenCV's anti-aliased ones cover a pixel more than their thickness."""
        self._keep(canvas, pieces, colour, shift, width=thickness + 1.0, closed=closed)

    def blend(self, canvas, corners, colour, *, share: float, shift: int = 0) -> None:
        """Keep one filled outline that lets the picture through."""
        self._keep(canvas, [corners], colour, shift, share=share)

    def _keep(self, canvas, pieces, colour, shift, **how) -> None:
        edges = self.edges(canvas)
        moved = [np.asarray(piece).reshape(-1, 2) / (1 << shift) + edges[:2] for piece in pieces]
        self.items.append(Path(moved, tuple(int(c) for c in colour), edges, **how))


class Sketch(np.ndarray):
    """A picture array whose log keeps what is drawn; parts of it share the log."""

    log: Log | None = None

    def __array_finalize__(self, other) -> None:
        self.log = getattr(other, "log", None)


def sketch(size: tuple[int, int]) -> Sketch:
    """An empty sketch of some width and height. [px]"""
    canvas = np.zeros((size[1], size[0], 3), np.uint8).view(Sketch)
    canvas.log = Log(canvas)
    return canvas


def pen_for(canvas: np.ndarray):
    """What draws into a picture: OpenCV, or the log of a sketch."""
    return canvas.log if isinstance(canvas, Sketch) else cv2


def paste(canvas: np.ndarray, picture: np.ndarray, left: int, top: int) -> None:
    """Lay a small picture over another one, in place; what stands out is cut off."""
    high, wide = picture.shape[:2]
    inner = picture[max(-top, 0) :, max(-left, 0) :]
    if isinstance(canvas, Sketch):
        x, y, *_ = canvas.log.edges(canvas)
        canvas.log.items.append(Pasted(inner, (x + max(left, 0), y + max(top, 0))))
        return
    patch = canvas[max(top, 0) : top + high, max(left, 0) : left + wide]
    patch[:] = inner[: patch.shape[0], : patch.shape[1]]
