"""Contact sheets: one body at a dozen instants from several views, on one page."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from swimsim.ground.conventions import MODEL_LINE
from swimsim.ground.errors import InputError
from swimsim.ground.records import Camera, Marks, Trace

from . import backdrop
from .cameras import VIEWS, mean_speed, named_camera, start_x, stature_of
from .colours import theme_named
from .figure import Shot, ink_for
from .framing import scaled
from .furniture import ViewName
from .layout import Box
from .lettering import Letters, fitted, text_width, write
from .look import Look, figure_for
from .person import Person
from .pool import pool_of
from .sampling import positions_at
from .writer import write_png

SHEET_VIEWS = ("side_left", "front", "below", "overhead")
HEAD_H, LABEL_H, GAP, MARGIN = 56, 24, 6, 16
LABEL, LEAST_LABEL = 15, 12  # letters under a picture, and the smallest [px]
SPARE_PX = 8  # between a joint and the edge of its cell: the hand is thicker than its bones [px]
WIDE_COLUMNS, NARROW_COLUMNS = 6, 12


@dataclass(frozen=True)
class SheetOptions:
    """Views (one block of pictures each), theme, width of the page [px], style and person of the figure."""

    views: tuple[str, ...] = SHEET_VIEWS
    theme: str = "light"
    width: int = 1920
    style: str = "solid"
    person: Person = field(default_factory=Person)


def contact_sheet(
    path: str | os.PathLike, trace: Trace, times_s: Sequence[float], *, labels: Sequence[str] = (),
    marks: Marks | None = None, options: SheetOptions | None = None,
) -> None:  # fmt: skip
    """Write a PNG with one picture per instant and view, its label under it.

    Parameters
    ----------
    trace : Trace
    times_s : sequence of float
        The instants, increasing; twelve fill the rows. [s]
    labels : sequence of str
        One per instant; its time without them.
    marks : Marks, optional
        Word, title, line style and highlighted limb of the figure.
    options : SheetOptions, optional

    Raises
    ------
    InputError
        Instants outside the trace or not increasing, another number of labels, an unknown view or theme.
    """
    write_png(path, sheet_picture(trace, times_s, labels=labels, marks=marks, options=options))


def sheet_picture(
    trace: Trace, times_s: Sequence[float], *, labels: Sequence[str] = (), marks: Marks | None = None,
    options: SheetOptions | None = None,
) -> np.ndarray:  # fmt: skip
    """The contact sheet as an RGB array (height, width, 3); parameters as `contact_sheet`."""
    options, marks, times = options or SheetOptions(), marks or Marks(), np.asarray(times_s, float)
    labels = _checked_labels(trace, times, labels)
    theme = theme_named(options.theme)
    points = positions_at(trace, times)
    shot_of = partial(Shot, points_m=points, names=trace.joint_names, shift_m=mean_speed(trace) * times)
    blocks, height = _blocks(options, trace, shot_of, len(times))
    canvas = np.empty((height, options.width, 3), np.uint8)
    canvas[:] = theme.page
    title = " ".join(t for t in (marks.word.upper(), marks.title) if t)
    room = options.width / 2 - MARGIN
    text, size = fitted(title, 28, width=room, bold=True)
    write(canvas, text, (MARGIN, HEAD_H / 2), letters=Letters(size, theme.text, bold=True))
    write(
        canvas, MODEL_LINE, (options.width - MARGIN, HEAD_H / 2), letters=Letters(18, theme.text), anchor="rm"
    )
    figure = figure_for(Look(style=options.style, person=options.person), trace)
    for camera, boxes in blocks:
        _draw_view(canvas, shot_of(camera), boxes, trace=trace, setting=(marks, theme, figure))
        for box, label in zip(boxes, labels_in(labels, boxes[0].w - GAP), strict=True):
            text, size = fitted(label, LABEL, width=box.w - GAP)
            place = (box.x + box.w / 2, box.y + box.h + LABEL_H / 2 - 1)
            write(canvas, text, place, letters=Letters(size, theme.text), anchor="cm")
    return canvas


def _draw_view(canvas, shot: Shot, boxes: list[Box], *, trace: Trace, setting: tuple) -> None:
    """One block: the same view at every instant."""
    (marks, theme, figure), camera = setting, shot.camera
    half = backdrop.shoulder_half_width(trace, stature_m=stature_of(trace))
    pool = pool_of(trace, start_x(trace))
    passing = backdrop.Passing(shot, theme, half_width_m=half, start_x_m=start_x(trace), pool=pool)
    body = figure.plan(shot, ink_for(marks, theme))
    for frame, box in enumerate(boxes):
        cell = box.cut(canvas)
        backdrop.paint(cell, camera, theme, half_width_m=half, start_x_m=start_x(trace))
        passing.draw(cell, frame)
        body.draw(cell, frame)
    at, over = (boxes[0].x + 6, boxes[0].y + 4), camera.position_m[2] > 0
    ViewName(VIEWS[camera.name].words, at, Letters(15, theme.text), theme.page, over=over).draw(canvas)


def labels_in(labels: Sequence[str], width: float) -> list[str]:
    """Labels for cells of some width: whole, or only how far the stroke is where one would get too small. [px]"""
    whole = all(text_width(label, LEAST_LABEL) <= width for label in labels)
    return [label if whole else " ".join(label.split()[:2]) for label in labels]


def _checked_labels(trace: Trace, times: np.ndarray, labels: Sequence[str]) -> list[str]:
    first, last = trace.time_s[0], trace.time_s[-1]
    if len(times) == 0 or (np.diff(times) <= 0).any() or times[0] < first - 1e-9 or times[-1] > last + 1e-9:
        raise InputError(
            f"contact sheet: times_s: expected increasing times "
            f"within {first:.2f} to {last:.2f}, got {times.tolist()}"
        )
    if labels and len(labels) != len(times):
        raise InputError(f"contact sheet: labels: expected {len(times)} (one per time), got {len(labels)}")
    return list(labels) or [f"{t:.2f} s" for t in times]


def _framed(camera: Camera, shot_of: Callable[[Camera], Shot]) -> Camera:
    """The camera of a cell in which no hand or foot is cut off: less enlarged, or of a higher picture."""
    wide, high = camera.size_px
    middle = (np.array(camera.size_px) - 1) / 2
    out = np.nanmax(np.abs(shot_of(camera).pixels - middle), axis=(0, 1))
    scale = min(1.0, (wide / 2 - SPARE_PX) / float(out[0]))
    return scaled(camera, (wide, max(high, 2 * math.ceil(scale * float(out[1]) + SPARE_PX))), scale)


def _blocks(
    options: SheetOptions, trace: Trace, shot_of: Callable[[Camera], Shot], count: int
) -> tuple[list[tuple[Camera, list[Box]]], int]:
    """Camera and boxes of every view (wide ones in rows of six, narrow ones of twelve), and the page's height."""
    top, blocks = HEAD_H, []
    for view in options.views:
        camera_field = VIEWS[view].field if view in VIEWS else named_camera(view).size_px
        columns = NARROW_COLUMNS if camera_field[0] < 1.4 * camera_field[1] else WIDE_COLUMNS
        width = (options.width - 2 * MARGIN - (columns - 1) * GAP) // columns
        size = (width, round(width * min(camera_field[1] / camera_field[0], 0.95)))
        named = named_camera(view, stature_of(trace), size_px=size, start_x_m=start_x(trace))
        camera = _framed(named, shot_of)
        height = camera.size_px[1]
        boxes = [
            Box(
                MARGIN + (i % columns) * (width + GAP),
                top + (i // columns) * (height + LABEL_H),
                width,
                height,
            )
            for i in range(count)
        ]
        blocks.append((camera, boxes))
        top = boxes[-1].y + height + LABEL_H + 2 * GAP
    return blocks, top
