"""Where things stand in a picture: panels, views, bars. Whole pixels; nothing is drawn here."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from swimsim.ground.errors import InputError, nearest

LAYOUTS = ("side_by_side", "stacked", "single")
LEAST_WIDTH, LEAST_HEIGHT = 320, 180
LEAST_VIEW_HEIGHT = 44  # small views lower than this are left out [px]


@dataclass(frozen=True)
class Box:
    """A rectangle: left, top, width, height. [px]"""

    x: int
    y: int
    w: int
    h: int

    def inset(self, dx: int, dy: int) -> Box:
        """The box less a margin on every side."""
        return Box(self.x + dx, self.y + dy, max(self.w - 2 * dx, 1), max(self.h - 2 * dy, 1))

    def cut(self, canvas, zoom: int = 1):
        """The part of a picture array inside the box."""
        return canvas[self.y * zoom : (self.y + self.h) * zoom, self.x * zoom : (self.x + self.w) * zoom]


@dataclass(frozen=True)
class PanelBoxes:
    """Boxes of one panel; `header` and `numbers` have no height when there is nothing to say."""

    whole: Box
    header: Box
    numbers: Box
    views: tuple[Box, ...]
    bar: Box


@dataclass(frozen=True)
class Page:
    """Boxes of the whole picture and its type sizes. `unit` is 1 for 1280 x 720."""

    size: tuple[int, int]
    unit: float
    panels: tuple[PanelBoxes, ...]
    footer: Box

    def type_size(self, size: float, least: int = 10) -> int:
        """Type size at this picture size. [px]"""
        return max(least, round(size * self.unit))


def page(
    size: tuple[int, int],
    layout: str,
    n_panels: int,
    *,
    n_views: int = 3,
    header: bool = True,
    numbers: int = 1,
) -> Page:
    """Lay out a picture.

    Parameters
    ----------
    size : (int, int)
        Width and height. [px]
    layout : str
        `side_by_side`, `stacked` (one above the other) or `single`.
    n_panels, n_views : int
        Views per panel: the first is large, the others small.
    header : bool
        Whether panels have a header strip.
    numbers : int
        Rows of the line of numbers; 0 without one.

    Raises
    ------
    InputError
        Unknown layout, or a picture too small to read.
    """
    if layout not in LAYOUTS:
        raise InputError(f"layout: expected a known layout, got '{layout}'; {nearest(layout, LAYOUTS)}")
    width, height = size
    if width < LEAST_WIDTH or height < LEAST_HEIGHT:
        raise InputError(
            f"size: expected at least {LEAST_WIDTH} x {LEAST_HEIGHT} pixels, got {width} x {height}"
        )
    across = n_panels if layout == "side_by_side" else 1
    down = 1 if layout == "side_by_side" else n_panels
    unit = min(width / (640 * across), height / (720 if down == 1 else 560 * down))
    footer_h = max(14, round(30 * unit))
    gap = max(2, round(10 * unit))
    panels = []
    for i in range(n_panels):
        col, row = (i, 0) if across > 1 else (0, i)
        left, right = (width * col // across, width * (col + 1) // across)
        top, low = ((height - footer_h) * row // down, (height - footer_h) * (row + 1) // down)
        whole = Box(left + gap, top + gap, right - left - 2 * gap, low - top - gap)
        panels.append(_panel(whole, unit, n_views, header=header, numbers=numbers))
    return Page((width, height), unit, tuple(panels), Box(gap, height - footer_h, width - 2 * gap, footer_h))


def _panel(whole: Box, unit: float, n_views: int, *, header: bool, numbers: int) -> PanelBoxes:
    gap = max(2, round(8 * unit))
    head = Box(whole.x, whole.y, whole.w, max(16, round(48 * unit)) if header else 0)
    line = Box(whole.x, head.y + head.h, whole.w, _rows_height(numbers, unit))
    bar_h = max(18, round(46 * unit))
    bar = Box(whole.x, whole.y + whole.h - bar_h, whole.w, bar_h)
    top = line.y + line.h
    views = _views(Box(whole.x, top, whole.w, max(bar.y - top - gap, 1)), n_views, gap)
    return PanelBoxes(whole, head, line, views, bar)


def _rows_height(rows: int, unit: float) -> int:
    """Height of a line of numbers; one row alone has more air. [px]"""
    return max(15, round(40 * unit)) if rows == 1 else rows * max(13, round(33 * unit))


def _views(box: Box, count: int, gap: int) -> tuple[Box, ...]:
    """One large box and the small ones: below it in a tall panel, beside it in a wide one."""
    if count == 1:
        return (box,)
    small = count - 1
    if box.w > 1.6 * box.h:
        large_w = round(0.66 * (box.w - gap))
        x, w = box.x + large_w + gap, box.w - large_w - gap
        edges = [box.y + round(i * (box.h + gap) / small) for i in range(small + 1)]
        rest = tuple(Box(x, a, w, b - a - gap) for a, b in pairwise(edges))
        large = Box(box.x, box.y, large_w, box.h)
    else:
        large_h = round(0.62 * (box.h - gap))
        y, h = box.y + large_h + gap, box.h - large_h - gap
        edges = [box.x + round(i * (box.w + gap) / small) for i in range(small + 1)]
        rest = tuple(Box(a, y, b - a - gap, h) for a, b in pairwise(edges))
        large = Box(box.x, box.y, box.w, large_h)
    if min(b.h for b in rest) < LEAST_VIEW_HEIGHT:
        return (box,)
    return (large, *rest)
