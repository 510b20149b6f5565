"""A page to print: the key instants of a stroke side by side, one row for each panel, with words and numbers.

A4 landscape at 150 dots per inch; letters are 12 point or more. FAULT and CORRECT differ by word, dashes and
the shape of joints, so the page may be printed in grey.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from swimsim.ground.conventions import CAUTION_LINE, MODEL_LINE
from swimsim.ground.errors import InputError
from swimsim.ground.records import Marks

from . import furniture, layout, number_line
from .clock import Clock
from .colours import Theme, theme_named
from .lettering import Letters, fitted, wrapped, write
from .look import Look, Panel
from .panel import PanelScene, Place
from .sampling import locked_times, phase_at
from .writer import write_png

SIZE = (1754, 1240)  # A4 landscape at 150 dots per inch [px]
UNIT = 1.3  # type sizes, against those of a clip of 1280 x 720
MARGIN, GAP = 44, 14  # [px]
HEADING, LABEL, SMALL = 40, 28, 25  # letters; 25 px are 12 point [px]
HEADING_H, STRIP_H, NUMBER_H, LABEL_H, SMALL_H = 62, 50, 46, 38, 34  # rows [px]
MOST = 6  # instants in a row


def film_strip(
    path: str | os.PathLike, panels: Sequence[Panel], at_s: Sequence[float] | Sequence[Sequence[float]], *,
    labels: Sequence[str] = (), look: Look | None = None,
) -> None:  # fmt: skip
    """Write a page (PNG) with one row of pictures per panel, the first view of the look in each.

    Parameters
    ----------
    path : path of the file
    panels : sequence of (Trace, Marks)
        Top to bottom: the fault, then the correct stroke.
    at_s : sequence of float, or one sequence per panel
        The instants, increasing: in the first trace, and the others show the same cycle share; or in each trace
        its own, of the same events. Three or four are seen best, six are the most. [s]
    labels : sequence of str
        One per instant; its cycle share without them.
    look : Look, optional
        First view, theme, figure; the size is that of the page.

    Raises
    ------
    InputError
        Instants outside the trace, not increasing or too many; another number of labels.
    """
    write_png(path, strip_picture(panels, at_s, labels=labels, look=look), dots_per_inch=150)


def strip_picture(
    panels: Sequence[Panel], at_s: Sequence, *, labels: Sequence[str] = (), look: Look | None = None
) -> np.ndarray:
    """The page as an RGB array (1240, 1754, 3); parameters as `film_strip`."""
    look = replace(look or Look(), size=SIZE, zoom=1)
    times = _times(panels, np.asarray(at_s, float), labels)
    shown = list(labels) or _shares(panels[0], times[0])
    theme = theme_named(look.theme)
    canvas = np.empty((SIZE[1], SIZE[0], 3), np.uint8)
    canvas[:] = theme.page
    _heading(canvas, panels[0][1], theme)
    _small_words(canvas, theme)
    page, lines = page_of(panels)
    for panel, boxes, line, at in zip(panels, page.panels, lines, times, strict=True):
        furniture.header(canvas, boxes.header, panel[1], theme=theme, page=page)
        number_line.draw(canvas, boxes.numbers, line, theme=theme, page=page)
        for i, cell in enumerate(cells(boxes.views[0], len(at))):
            place = Place(replace(_bare(boxes), views=(cell,)), line, page)
            own = replace(look, views=look.views[:1])
            scene = PanelScene(
                panel,
                place,
                Clock(at[i : i + 1]),
                look=own,
                named=i == 0,
                beside=[trace for trace, _ in panels],
            )
            scene.paint(canvas)
            for box, drawing in scene.plan(0, 1):
                drawing.draw(box.cut(canvas), 0)
            _label(canvas, cell, shown[i], theme)
    return canvas


def _times(panels: Sequence[Panel], at_s: np.ndarray, labels: Sequence[str]) -> list[np.ndarray]:
    """The instants of every row."""
    if not panels:
        raise InputError("film strip: expected one panel or more, got none")
    if at_s.ndim == 1:
        return locked_times(list(panels), _checked(panels[0], at_s, labels))
    if at_s.ndim != 2 or len(at_s) != len(panels):
        raise InputError(f"film strip: at_s: expected one row of instants per panel, got {at_s.shape}")
    return [_checked(panel, row, labels) for panel, row in zip(panels, at_s, strict=True)]


def _checked(panel: Panel, times: np.ndarray, labels: Sequence[str]) -> np.ndarray:
    first, last = panel[0].time_s[[0, -1]]
    if times.ndim != 1 or not 1 <= len(times) <= MOST:
        raise InputError(f"film strip: at_s: expected 1 to {MOST} instants, got {times.size}")
    if (np.diff(times) <= 0).any() or times[0] < first - 1e-9 or not times[-1] <= last + 1e-9:
        raise InputError(
            f"film strip: at_s: expected increasing times within {first:.2f} to {last:.2f}, got {times.tolist()}"
        )
    if labels and len(labels) != len(times):
        raise InputError(f"film strip: labels: expected {len(times)} (one per instant), got {len(labels)}")
    return times


def _shares(panel: Panel, times: np.ndarray) -> list[str]:
    """Cycle share of each instant in words; its time where there is no phase."""
    phase = phase_at(panel[1], panel[0], times)
    return [f"{t:.2f} s" for t in times] if phase is None else [f"{round(100 * p)} %" for p in phase]


def page_of(panels: Sequence[Panel]) -> tuple[layout.Page, list[number_line.NumberLine]]:
    """Boxes of every row, with as many lines for numbers as they need; pictures are in `cells` of `views`."""
    rows = (MARGIN + HEADING_H, _small_top(_small_lines()) - GAP)
    marks = [m for _, m in panels]

    def laid(numbers: int) -> layout.Page:
        high = (rows[1] - rows[0] - (len(panels) - 1) * GAP) // len(panels)
        boxes = [_row(rows[0] + i * (high + GAP), high, numbers) for i in range(len(panels))]
        return layout.Page(SIZE, UNIT, tuple(boxes), layout.Box(0, SIZE[1], SIZE[0], 0))

    lines = number_line.plan(marks, laid(1))
    return laid(max(line.rows for line in lines) if any(m.value or m.band for m in marks) else 0), lines


def _row(top: int, high: int, numbers: int) -> layout.PanelBoxes:
    whole = layout.Box(MARGIN, top, SIZE[0] - 2 * MARGIN, high)
    head = replace(whole, h=STRIP_H)
    line = replace(whole, y=top + STRIP_H, h=numbers * NUMBER_H)
    first = line.y + line.h
    views = (replace(whole, y=first, h=top + high - LABEL_H - first),)
    return layout.PanelBoxes(whole, head, line, views, replace(whole, y=top + high, h=0), replace(whole, h=0))


def _bare(boxes: layout.PanelBoxes) -> layout.PanelBoxes:
    """The boxes without header and numbers, which are drawn once for a row."""
    return replace(boxes, header=replace(boxes.header, h=0), numbers=replace(boxes.numbers, h=0))


def cells(row: layout.Box, count: int) -> list[layout.Box]:
    """Boxes of the pictures of a row."""
    wide = (row.w - (count - 1) * GAP) // count
    return [replace(row, x=row.x + i * (wide + GAP), w=wide) for i in range(count)]


def _label(canvas: np.ndarray, cell: layout.Box, label: str, theme: Theme) -> None:
    text, size = fitted(label, LABEL, width=cell.w, bold=True, least=SMALL)
    at = (cell.x + cell.w / 2, cell.y + cell.h + LABEL_H / 2)
    write(canvas, text, at, letters=Letters(size, theme.text, bold=True), anchor="cm")


def _heading(canvas: np.ndarray, marks: Marks, theme: Theme) -> None:
    """Title at the left, cue at the right."""
    room, middle = SIZE[0] - 2 * MARGIN, MARGIN + HEADING_H / 2 - 8
    title, size = fitted(marks.title or "Front crawl", HEADING, width=0.5 * room, bold=True, least=SMALL)
    write(canvas, title, (MARGIN, middle), letters=Letters(size, theme.text, bold=True))
    if marks.cue:
        cue, size = fitted(marks.cue, round(0.8 * HEADING), width=0.48 * room, least=SMALL)
        write(canvas, cue, (SIZE[0] - MARGIN, middle), letters=Letters(size, theme.text), anchor="rm")


def _small_words(canvas: np.ndarray, theme: Theme) -> None:
    """Model line and caution at the foot of the page."""
    lines = _small_lines()
    for i, line in enumerate(lines):
        middle = _small_top(lines) + (i + 0.5) * SMALL_H
        write(canvas, line, (MARGIN, middle), letters=Letters(SMALL, theme.text))


def _small_lines() -> list[str]:
    return wrapped(f"{MODEL_LINE} {CAUTION_LINE}", SMALL, width=SIZE[0] - 2 * MARGIN)


def _small_top(lines: list[str]) -> int:
    return SIZE[1] - MARGIN + 10 - SMALL_H * len(lines)
