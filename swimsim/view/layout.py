"""Where things stand in a picture: panels, views, bars. Whole pixels; nothing is drawn here."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

from swimsim.ground.errors import InputError, nearest

LAYOUTS = ("side_by_side", "stacked", "single", "ghost")
LEAST_WIDTH, LEAST_HEIGHT = 320, 180
LEAST_VIEW_HEIGHT = 44  # small views lower than this are left out [px]
GAUGE_HIGH, GAUGE_LEAST = 104, 34  # height of a gauge strip at unit 1, and the least [px]
GAUGE_OF_SEVERAL = 66  # height of each where there are several [px]
WIDE, HEAD_SHARE = (
    2.6,
    0.42,
)  # panels wider than this against their height have words in one row; header's share
GAUGE_MOST = 0.4  # a gauge that would take more of the room of the views than this is left out


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

    def within(self, other: Box) -> Box:
        """The part of it inside another box."""
        left, top = max(self.x, other.x), max(self.y, other.y)
        right, low = min(self.x + self.w, other.x + other.w), min(self.y + self.h, other.y + other.h)
        return Box(left, top, max(right - left, 0), max(low - top, 0))

    def cut(self, canvas, zoom: int = 1):
        """The part of a picture array inside the box."""
        return canvas[self.y * zoom : (self.y + self.h) * zoom, self.x * zoom : (self.x + self.w) * zoom]


@dataclass(frozen=True)
class PanelBoxes:
    """Boxes of one panel; `header`, `numbers` and `gauge` have no height when there is nothing to say.

    `gauge` is under the views, above the bar, and left out where the views would get too low. A panel that is
    drawn into another one (`ghost`) has no views.
    """

    whole: Box
    header: Box
    numbers: Box
    views: tuple[Box, ...]
    bar: Box
    gauge: Box


@dataclass(frozen=True)
class Rows:
    """What a panel needs beside its views: a header strip, rows of numbers, strips for gauges.

    `beside` lets a wide and low panel have header and number in one row.
    """

    header: bool = True
    numbers: int = 1
    gauge: int = 0
    beside: bool = True


@dataclass(frozen=True)
class Page:
    """Boxes of the whole picture and its type sizes. `unit` is 1 for 1280 x 720."""

    size: tuple[int, int]
    unit: float
    panels: tuple[PanelBoxes, ...]
    footer: Box

    @property
    def whole(self) -> Box:
        """The whole picture."""
        return Box(0, 0, *self.size)

    def type_size(self, size: float, least: int = 10) -> int:
        """Type size at this picture size. [px]"""
        return max(least, round(size * self.unit))


def page(size: tuple[int, int], layout: str, n_panels: int, *, n_views: int = 3, rows: Rows = Rows()) -> Page:
    """Lay out a picture.

    Parameters
    ----------
    size : (int, int)
        Width and height. [px]
    layout : str
        `side_by_side` (one above the other in a picture taller than wide), `stacked` (one above the other),
        `single`, or `ghost` (the views of the first panel over the whole width, words for all).
    n_panels, n_views : int
        Views per panel: the first is large, the others small.
    rows : Rows
        What the panels need beside their views.

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
    beside = layout in ("side_by_side", "ghost") and width >= height
    across, down = (n_panels, 1) if beside else (1, n_panels)
    unit = min(width / (640 * across), height / (720 if down == 1 or layout == "ghost" else 560 * down))
    footer_h = max(14, round(30 * unit))
    gap = max(2, round(10 * unit))
    inside = Box(0, 0, width, height - footer_h)
    if layout == "ghost":
        panels = _ghost(inside, across, n_panels, unit=unit, n_views=n_views, rows=rows)
    else:
        cells = [_cell(inside, i, across, down) for i in range(n_panels)]
        panels = [_panel(_framed(cell, gap), unit, n_views, rows) for cell in cells]
    return Page((width, height), unit, tuple(panels), Box(gap, height - footer_h, width - 2 * gap, footer_h))


def _cell(inside: Box, i: int, across: int, down: int) -> Box:
    col, row = (i, 0) if across > 1 else (0, i)
    left, right = (inside.w * col // across, inside.w * (col + 1) // across)
    top, low = (inside.h * row // down, inside.h * (row + 1) // down)
    return Box(left, top, right - left, low - top)


def _framed(cell: Box, gap: int) -> Box:
    """The cell less a margin at the left, right and top."""
    return Box(cell.x + gap, cell.y + gap, cell.w - 2 * gap, cell.h - gap)


def _panel(whole: Box, unit: float, n_views: int, rows: Rows) -> PanelBoxes:
    gap = max(2, round(8 * unit))
    head, line = _words(whole, unit, rows)
    bar_h = max(18, round(46 * unit))
    bar = Box(whole.x, whole.y + whole.h - bar_h, whole.w, bar_h)
    top = max(head.y + head.h, line.y + line.h)
    one = GAUGE_HIGH if rows.gauge == 1 else GAUGE_OF_SEVERAL
    gauge_h = rows.gauge * max(GAUGE_LEAST, round(one * unit))
    if gauge_h > GAUGE_MOST * (bar.y - top):
        gauge_h = 0
    gauge = Box(whole.x, bar.y - (gauge_h + gap if gauge_h else 0), whole.w, gauge_h)
    views = _views(Box(whole.x, top, whole.w, max(gauge.y - top - gap, 1)), n_views, gap)
    return PanelBoxes(whole, head, line, views, bar, gauge)


def _words(whole: Box, unit: float, rows: Rows) -> tuple[Box, Box]:
    """Header strip and line of numbers at the top of a panel; beside each other where it is wide and low."""
    high = max(16, round(48 * unit)) if rows.header else 0
    if rows.beside and high and rows.numbers == 1 and whole.w > WIDE * whole.h:
        head_w = round(HEAD_SHARE * whole.w)
        return replace(whole, h=high, w=head_w), Box(whole.x + head_w, whole.y, whole.w - head_w, high)
    head = replace(whole, h=high)
    return head, Box(whole.x, head.y + head.h, whole.w, _rows_height(rows.numbers, unit))


def _ghost(
    inside: Box, across: int, n_panels: int, *, unit: float, n_views: int, rows: Rows
) -> list[PanelBoxes]:
    """Words of every panel at the top, then one set of views for all; it belongs to the first panel."""
    gap = max(2, round(10 * unit))
    words, top = [], inside.y + gap
    for i in range(n_panels):
        cell = _framed(_cell(inside, i, across, 1), gap)
        head, line = _words(Box(cell.x, top, cell.w, cell.h), unit, rows)
        words.append((head, line))
        top += 0 if across > 1 else head.h + line.h
    top = max(line.y + line.h for _, line in words)
    below = Box(inside.x + gap, top, inside.w - 2 * gap, inside.h - top)
    joint = _panel(below, unit, n_views, Rows(header=False, numbers=0, gauge=rows.gauge))
    none = Box(below.x, below.y + below.h, below.w, 0)
    own = [(joint.views, joint.bar, joint.gauge)] + [((), none, none)] * (n_panels - 1)
    return [
        PanelBoxes(Box(head.x, head.y, head.w, inside.h - head.y), head, line, *rest)
        for (head, line), rest in zip(words, own, strict=True)
    ]


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
