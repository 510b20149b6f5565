"""What is around the views: header strip, phase bar, footer."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from swimsim.ground.conventions import MODEL_LINE
from swimsim.ground.records import Marks

from . import strokes
from .colours import Colour, Theme, mix
from .layout import Box, Page
from .lettering import Letters, alpha, fitted, text_width, write
from .pens import Sketch, paste
from .polygons import Polygons, stamps

REACH_PX = 4  # how far a marker and its number may stand out of the bar [px]


def fill(canvas: np.ndarray, box: Box, colour: Colour, zoom: int = 1) -> None:
    """Fill a box, in place."""
    box.cut(canvas, zoom)[:] = colour


def header(canvas: np.ndarray, box: Box, marks: Marks, *, theme: Theme, page: Page, zoom: int = 1) -> None:
    """Strip in the colour of the panel: the word in bold, then the title."""
    word = marks.word.upper()
    ground, ink = theme.strip(word) or (theme.page, theme.text)
    fill(canvas, box, ground, zoom)
    pad, middle = max(4, round(14 * page.unit)), box.y + box.h / 2
    x = box.x + pad
    if word:
        size = page.type_size(30, 11)
        write(canvas, word, (x, middle), letters=Letters(size, ink, bold=True, zoom=zoom))
        x += text_width(word, size, True) + pad
    if marks.title:
        text, size = fitted(marks.title, page.type_size(24), width=box.x + box.w - pad - x)
        write(canvas, text, (x, middle), letters=Letters(size, ink, zoom=zoom))


@dataclass(frozen=True)
class ViewName:
    """The name of a view in a corner of it.

    Parameters
    ----------
    words : str
    at : (int, int)
        Left and top of the words in the whole picture. [px]
    letters : Letters
    ground : Colour
        Of the plate behind the words.
    over : bool
        Whether things pass where it stands: it then lies over them, on a plate.
    n_frames : int
        How often it is drawn.
    """

    words: str
    at: tuple[int, int]
    letters: Letters
    ground: Colour
    over: bool = False
    n_frames: int = 1

    @property
    def plate(self) -> Box:
        """What lies behind the words. [px]"""
        pad = max(2, round(0.25 * self.letters.size))
        wide = math.ceil(text_width(self.words, self.letters.size))
        return Box(self.at[0] - pad, self.at[1], wide + 2 * pad, round(1.25 * self.letters.size))

    def draw(self, canvas: np.ndarray, _frame: int = 0) -> None:
        """Write it into the whole picture, in place."""
        if self.over and isinstance(canvas, Sketch):
            box, edge = self.plate, strokes.EDGE_PX - 0.5
            ends = ((box.x + edge, box.x + box.w - 1 - edge), (box.y + edge, box.y + box.h - 1 - edge))
            corners = np.array([[ends[0][i], ends[1][j]] for i, j in ((0, 0), (1, 0), (1, 1), (0, 1))])
            canvas.log.fillConvexPoly(canvas, strokes.fixed(corners), self.ground, shift=strokes.SHIFT)
        elif self.over:
            fill(canvas, self.plate, self.ground, self.letters.zoom)
        write(canvas, self.words, self.at, letters=self.letters, anchor="lt")

    def polygons(self) -> list[Polygons]:
        """The plate with its words, for compiled code."""
        box = self.plate
        picture = np.empty((box.h, box.w, 3), np.uint8)
        moved = replace(self, at=(self.at[0] - box.x, self.at[1] - box.y))
        moved.draw(picture)
        return [stamps(picture, (box.x, box.y), np.arange(self.n_frames))]


class PhaseBar:
    """Bar of one cycle with ticks, and a marker that moves with the phase."""

    def __init__(self, box: Box, marks: Marks, *, theme: Theme, page: Page, zoom: int = 1):
        self.box, self.marks, self.theme, self.page, self.zoom = box, marks, theme, page, zoom
        pad = max(6, round(14 * page.unit))
        self.percent_size = page.type_size(18)
        room = text_width("100 %", self.percent_size, False) + pad if page.unit > 0.45 else 0
        self.left, self.right = box.x + pad, round(box.x + box.w - pad - room)
        self.row = box.y + round(0.26 * box.h)
        self.high = max(4, round(10 * page.unit))
        self.size = page.type_size(18, 9)
        self.show_percent = room > 0
        self.colour = (theme.strip(marks.word) or (theme.plain,))[0]
        self.pale = mix(self.colour, theme.page, 0.45)
        self.labels: dict[str, np.ndarray] = {}

    @property
    def reach(self) -> Box:
        """All that `draw` may touch."""
        return Box(
            self.box.x - REACH_PX, self.box.y - REACH_PX, self.box.w + 2 * REACH_PX, self.box.h + REACH_PX
        )

    def paint(self, canvas: np.ndarray) -> None:
        """Paint the still part: track, ticks and their labels."""
        half = self.high // 2
        track = Box(self.left, self.row - half, self.right - self.left, 2 * half)
        fill(canvas, track, mix(self.theme.faint, self.theme.page, 0.45), self.zoom)
        free = float(self.left) - 100
        for label, share in self.marks.ticks:
            x = self.left + (share % 1.0) * (self.right - self.left)
            tick = Box(round(x) - 1, self.row - half - 2, max(2, round(2 * self.page.unit)), 2 * half + 4)
            fill(canvas, tick, self.theme.text, self.zoom)
            wide = text_width(label, self.size)
            start = min(max(x - wide / 2, self.left - 2), self.box.x + self.box.w - wide)
            if start >= free:
                write(
                    canvas,
                    label,
                    (start, self.box.y + self.box.h),
                    letters=Letters(self.size, self.theme.text, zoom=self.zoom),
                    anchor="lb",
                )
                free = start + wide + 4

    def plan(self, phase: np.ndarray) -> None:
        """Prepare the marker for a stretch of frames; `phase` is the cycle share 0..1."""
        x = self.left + phase * (self.right - self.left)
        y = np.full_like(x, self.row - 0.5)
        half = self.high // 2
        done = np.stack([np.stack([0 * x + self.left - 0.5, y], -1), np.stack([x, y], -1)], axis=1)
        self.done = strokes.Shapes(
            strokes.bars(done[:, :1], done[:, 1:], 2 * half - 1, zoom=self.zoom), self.pale, zoom=self.zoom
        )
        place, size = np.stack([x, y], axis=-1)[:, None], max(4.0, 9 * self.page.unit)
        shape, size = (strokes.squares, 0.9 * size) if self.marks.style == "dashed" else (strokes.discs, size)
        self.marker = strokes.Shapes(shape(place, size, zoom=self.zoom), self.colour, zoom=self.zoom)
        self.percent = [f"{int(p)} %" for p in np.floor(phase * 100 + 1e-9)]

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw the moving part of one frame, in place."""
        self.done.draw(canvas, frame)
        self.marker.draw(canvas, frame)
        if self.show_percent:
            label = self._label(self.percent[frame])
            paste(canvas, label, *self._place(label))

    def _place(self, label: np.ndarray) -> tuple[int, int]:
        """Left and upper edge of a percentage. [px]"""
        right, row = (self.box.x + self.box.w) * self.zoom, self.row * self.zoom
        return right - label.shape[1], row - label.shape[0] // 2

    def polygons(self) -> list[Polygons]:
        """The moving part for compiled code."""
        found = [*self.done.polygons(), *self.marker.polygons()]
        texts = np.array(self.percent)
        for text in sorted(set(self.percent)) if self.show_percent else ():
            label = self._label(text)
            found.append(stamps(label, self._place(label), np.flatnonzero(texts == text)))
        return found

    def _label(self, text: str) -> np.ndarray:
        """A percentage as a small picture on the page colour, drawn once."""
        if text not in self.labels:
            cover = alpha(text, self.percent_size, False, self.zoom)[..., None]
            page, ink = (np.array(c, np.float32) for c in (self.theme.page, self.theme.text))
            self.labels[text] = np.rint(page + cover * (ink - page)).astype(np.uint8)
        return self.labels[text]


def footer(canvas: np.ndarray, page: Page, *, speed: str, theme: Theme, zoom: int = 1) -> None:
    """The line that says this is a model, and the playback speed."""
    box, size = page.footer, page.type_size(18)
    middle = box.y + box.h / 2
    write(
        canvas,
        speed,
        (box.x + box.w, middle),
        letters=Letters(size, theme.text, bold=True, zoom=zoom),
        anchor="rm",
    )
    text, size = fitted(MODEL_LINE, page.type_size(16), width=box.w - text_width(speed, size, True) - 10)
    write(canvas, text, (box.x, middle), letters=Letters(size, theme.text, zoom=zoom))


def speed_words(slow: float, cycles_s: list[float | None]) -> str:
    """`0.5x` and, when they differ, the cycle time of each panel."""
    known = [c for c in cycles_s if c is not None]
    text = f"{slow:g}x"
    if len(known) == len(cycles_s) > 1 and max(known) - min(known) > 0.005:
        text += "   cycle " + " vs ".join(f"{c:.2f} s" for c in known)
    return text
