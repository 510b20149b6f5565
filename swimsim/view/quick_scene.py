"""Scenes drawn by compiled code straight into the planes of a video, where the extra `fast` is installed."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np

from . import scene as scenes
from .look import Look
from .pens import sketch
from .polygons import Heap, merged, polygons_of
from .scene import Scene
from .writer import planes_of


@cache
def installed() -> bool:
    """Whether compiled drawing is there, and can be kept for the next time."""
    try:
        from . import quick  # noqa: F401
    except (ImportError, RuntimeError, OSError):
        return False
    return True


def serves(look: Look) -> bool:
    """Whether a look can be drawn so: solid bodies at plain size."""
    return look.zoom == 1 and look.figure is None and look.style == "solid" and installed()


class Planes:
    """The pictures of a scene as Y, U, V planes.

    Parameters
    ----------
    scene : Scene
        With a theme in Y, U, V.
    """

    def __init__(self, scene: Scene):
        self.scene, (self.width, self.height) = scene, scene.page.size
        self.still = np.empty((self.height * 3 // 2, self.width), np.uint8)
        planes_of(scene.page.size)(scene.still, self.still)
        self.heap: Heap | None = None
        self.marks: dict[int, np.ndarray] = {}

    def frames(self) -> Iterator[Strip]:
        """Pictures in order, to be laid into buffers."""
        canvas = sketch(self.scene.page.size)
        for first in range(0, self.scene.n_frames, scenes.STRETCH):
            last = min(first + scenes.STRETCH, self.scene.n_frames)
            self.heap = None
            self.heap = merged(self._polygons(first, last, canvas), last - first)
            for frame in range(last - first):
                yield Strip(self, frame)

    def _polygons(self, first: int, last: int, canvas) -> list[tuple]:
        """What moves in a stretch of frames, with the box (left, top, width, height) of its view."""
        return [
            ((box.x, box.y, box.w, box.h), polygons)
            for box, drawing in self.scene.plan(first, last)
            for polygons in polygons_of(drawing, box.cut(canvas, 1), last - first)
        ]

    def clean(self, buffer: np.ndarray, *, fresh: bool) -> np.ndarray:
        """Restore the still layer in a buffer; returns its map of tiles, without marks."""
        from . import quick

        if fresh or id(buffer) not in self.marks:
            np.copyto(buffer, self.still)
            shape = (-(-self.height // quick.TILE), -(-self.width // quick.TILE))
            self.marks[id(buffer)] = np.zeros(shape, np.uint8)
        else:
            quick.restore(buffer, self.still, self.marks[id(buffer)])
        return self.marks[id(buffer)]


class Strip:
    """One picture of a scene, to be laid into a buffer (1.5 height, width) before the next is asked for."""

    def __init__(self, planes: Planes, frame: int):
        self.planes, self.frame = planes, frame

    def lay(self, buffer: np.ndarray, *, fresh: bool) -> None:
        """Lay it into a buffer that holds an earlier picture of the same scene, or (`fresh`) anything."""
        from . import quick

        tiles, heap = self.planes.clean(buffer, fresh=fresh), self.planes.heap
        first, last = heap.first[self.frame : self.frame + 2]
        quick.draw(buffer, tiles, heap.arrays, first, last)
