"""One small picture for each named view: on a page with its name and the line to type, or as rows of colours."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from swimsim.ground.conventions import MODEL_LINE
from swimsim.ground.records import Marks, Trace

from . import layout, number_line
from .clock import Clock
from .colours import theme_named
from .lettering import Letters, fitted, write
from .look import Look
from .panel import PanelScene, Place
from .person import Person
from .writer import write_png

CELL = (460, 270)  # a picture on the page [px]
COLUMNS, GAP, MARGIN = 4, 22, 24
HEAD_H, NAME_H, LINE_H, SAYS_H, FOOT_H = 70, 38, 30, 30, 40  # rows of words [px]
HEADING, NAME, LINE, SMALL = 36, 26, 21, 18  # letters [px]


@dataclass(frozen=True)
class Pose:
    """The swimmer to show in every view: a trace, an instant in it [s], how the figure is dressed, colours."""

    trace: Trace
    at_s: float
    person: Person = field(default_factory=Person)
    theme: str = "light"


def view_picture(view: str, pose: Pose, *, size: tuple[int, int] = CELL) -> np.ndarray:
    """One view without words as an RGB array (height, width, 3).

    Raises
    ------
    InputError
        Unknown view or theme.
    """
    look = Look(views=(view,), theme=pose.theme, size=size, person=pose.person, trail=False)
    canvas = np.empty((size[1], size[0], 3), np.uint8)
    box, none = layout.Box(0, 0, *size), layout.Box(0, 0, size[0], 0)
    boxes = layout.PanelBoxes(box, none, none, (box,), none, none)
    page = layout.Page(size, 0.5, (boxes,), none)
    place = Place(boxes, number_line.plan([Marks()], page)[0], page)
    scene = PanelScene((pose.trace, Marks()), place, Clock(np.array([pose.at_s])), look=look, named=False)
    scene.paint(canvas)
    for part, drawing in scene.plan(0, 1):
        drawing.draw(part.cut(canvas), 0)
    return canvas


def views_page(path: str | os.PathLike, rows: Sequence[dict[str, str]], pose: Pose) -> None:
    """Write a PNG with a picture of each view over its name, its words and the line to type.

    Parameters
    ----------
    rows : sequence of mapping
        `name`, `says` and `type` of each view.
    """
    columns = min(COLUMNS, len(rows))
    step = (CELL[0] + GAP, CELL[1] + NAME_H + SAYS_H + LINE_H + GAP)
    deep = -(-len(rows) // columns)
    size = (2 * MARGIN + columns * step[0] - GAP, HEAD_H + deep * step[1] + FOOT_H)
    theme = theme_named(pose.theme)
    canvas = np.empty((size[1], size[0], 3), np.uint8)
    canvas[:] = theme.page
    _words(canvas, "Views", (MARGIN, HEAD_H / 2), (HEADING, size[0]), theme.text, bold=True)
    for i, row in enumerate(rows):
        cell = layout.Box(MARGIN + i % columns * step[0], HEAD_H + i // columns * step[1], *CELL)
        cell.cut(canvas)[:] = view_picture(row["name"], pose)
        top = cell.y + cell.h
        for text, letter, high, bold in (
            (row["name"], NAME, NAME_H, True),
            (row["says"], LINE, SAYS_H, False),
            (row["type"], LINE, LINE_H, False),
        ):
            _words(canvas, text, (cell.x, top + high / 2), (letter, cell.w), theme.text, bold=bold)
            top += high
    _words(canvas, MODEL_LINE, (MARGIN, size[1] - FOOT_H / 2), (SMALL, size[0]), theme.text)
    write_png(path, canvas)


def coarse(picture: np.ndarray, columns: int) -> np.ndarray:
    """A picture as few large dots, each as wide as a letter and half as high.

    Returns
    -------
    numpy.ndarray, shape (rows, 2, columns, 3), uint8
        Red, green and blue of the upper and the lower half of every letter.
    """
    import cv2

    high, wide = picture.shape[:2]
    rows = max(1, round(columns * high / wide / 2))
    small = cv2.resize(picture, (columns, 2 * rows), interpolation=cv2.INTER_AREA)
    return small.reshape(rows, 2, columns, 3)


def _words(
    canvas: np.ndarray,
    text: str,
    at: tuple[float, float],
    letter: tuple[int, float],
    colour: tuple[int, int, int],
    *,
    bold: bool = False,
) -> None:
    """One line at the left, made smaller if it is too wide; `letter` is size and room. [px]"""
    shown, size = fitted(text, letter[0], width=letter[1], bold=bold, least=12)
    write(canvas, shown, at, letters=Letters(size, colour, bold=bold))
