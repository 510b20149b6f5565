"""One picture of one or more panels, frame by frame: a still layer drawn once, and what moves on top of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from swimsim.ground.errors import InputError
from swimsim.ground.records import Marks

from . import furniture, layout, number_line
from .clock import Clock, as_clock
from .colours import theme_named
from .gauge_curves import gauges_of
from .look import Look, Panel
from .panel import PanelScene, Place
from .sampling import cycle_time

STRETCH = 90  # frames prepared at once
PALE = "pale"  # how the swimmer behind is drawn, in words
__all__ = ["Look", "Panel", "Scene"]


class Scene:
    """Draws panels into pictures.

    Parameters
    ----------
    panels : list of (Trace, Marks)
    times_s : list of numpy.ndarray of shape (n_frames,), or of Clock
        Trace time of each picture, one array per panel, all of one length. [s]
    look : Look
    slow : float
        Playback speed, shown as text.
    note : str
        More words beside the speed.
    """

    def __init__(
        self, panels: list[Panel], times_s: list[np.ndarray | Clock], *, look: Look, slow: float = 1.0,
        note: str = "",
    ):  # fmt: skip
        if not panels:
            raise InputError("clip: expected one panel or more, got none")
        if not look.views:
            raise InputError("views: expected one view or more, got none")
        self.look, self.theme, self.zoom = look, theme_named(look.theme), look.zoom
        clocks = [as_clock(t) for t in times_s]
        kind = _kind(look.layout, len(panels))
        if kind == "ghost":
            panels = [panels[0], *((trace, _behind(marks)) for trace, marks in panels[1:])]
        self.page, lines = _page_and_lines(look, kind, [marks for _, marks in panels])
        places = [Place(b, line, self.page) for b, line in zip(self.page.panels, lines, strict=True)]
        pairs = list(zip(panels, clocks, strict=True))
        behind, traces = pairs[1] if kind == "ghost" else None, [trace for trace, _ in panels]
        self.panels = [
            PanelScene(panel, place, clock, look=look, behind=None if i else behind, beside=traces)
            for i, ((panel, clock), place) in enumerate(zip(pairs, places, strict=True))
        ]
        self.n_frames = len(clocks[0].times_s)
        speed = furniture.speed_words(slow, [cycle_time(m, t) for t, m in panels])
        self.speed = f"{speed}   {note}" if note else speed
        width, height = self.page.size
        self.still = np.empty((height * self.zoom, width * self.zoom, 3), np.uint8)
        self._paint(self.still)
        self.moving = [box.within(self.page.whole) for panel in self.panels for box in panel.moving]
        self.canvas = self.still.copy()

    @property
    def rows(self) -> tuple[int, int]:
        """Even rows of the picture between which everything lies that moves, from top to low. [px]"""
        top = min((box.y for box in self.moving), default=0) // 2 * 2
        low = max((box.y + box.h for box in self.moving), default=0)
        return top * self.zoom, min(low + low % 2, self.page.size[1]) * self.zoom

    def _paint(self, canvas: np.ndarray) -> None:
        """Paint everything that does not move."""
        canvas[:] = self.theme.page
        for panel in self.panels:
            panel.paint(canvas)
        furniture.footer(canvas, self.page, speed=self.speed, theme=self.theme, zoom=self.zoom)

    def draw_into(self, canvas: np.ndarray) -> None:
        """Draw the first picture into another canvas of its size, a sketch for example."""
        self._paint(canvas)
        for panel in self.panels:
            for box, drawing in panel.plan(0, 1):
                drawing.draw(box.cut(canvas, self.zoom), 0)

    def plan(self, first: int, last: int) -> list[tuple[layout.Box, object]]:
        """Everything that moves in a stretch of frames, in drawing order, with the box to draw it in."""
        return [moving for panel in self.panels for moving in panel.plan(first, last)]

    def frames(self) -> Iterator[np.ndarray]:
        """Pictures in order, RGB (height, width, 3). The same array is used again for every picture.

        Only the boxes of `moving` differ from one picture to the next.
        """
        wet = [(box.cut(self.canvas, self.zoom), box.cut(self.still, self.zoom)) for box in self.moving]
        for first in range(0, self.n_frames, STRETCH):
            last = min(first + STRETCH, self.n_frames)
            drawings = [(box.cut(self.canvas, self.zoom), drawing) for box, drawing in self.plan(first, last)]
            for frame in range(last - first):
                for place, clean in wet:
                    np.copyto(place, clean)
                for place, drawing in drawings:
                    drawing.draw(place, frame)
                yield self.canvas
            drawings.clear()


def _kind(name: str, n_panels: int) -> str:
    """The layout to use: one panel alone needs no place for a second."""
    return "single" if n_panels == 1 and name in ("side_by_side", "ghost") else name


def _behind(marks: Marks) -> Marks:
    """The same words, and that this swimmer is the pale one."""
    return replace(marks, title=f"{PALE}: {marks.title}" if marks.title else PALE)


def _page_and_lines(
    look: Look, kind: str, marks: list[Marks]
) -> tuple[layout.Page, list[number_line.NumberLine]]:
    """The layout of a picture with as many rows for numbers as its widest panel needs."""
    header, gauge = any(m.word or m.title for m in marks), max(len(gauges_of(m)) for m in marks)

    def laid(numbers: int, beside: bool) -> layout.Page:
        rows = layout.Rows(header=header, numbers=numbers, gauge=gauge, beside=beside)
        return layout.page(look.size, kind, len(marks), n_views=len(look.views), rows=rows)

    if not any(m.value or m.band or m.lines for m in marks):
        return laid(0, False), number_line.plan(marks, laid(1, False))
    for beside in (False,) if any(m.lines for m in marks) else (True, False):
        lines = number_line.plan(marks, laid(1, beside))
        if max(line.rows for line in lines) == 1:
            break
    return laid(max(line.rows for line in lines), beside), lines
