"""One picture of one or two panels, frame by frame: a still layer drawn once, and what moves on top of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from swimsim.ground.conventions import SIDES
from swimsim.ground.errors import InputError
from swimsim.ground.records import Camera, Marks, Trace

from . import backdrop, furniture, layout, number_line
from .cameras import VIEWS, mean_speed, start_x, stature_of
from .colours import Theme, mix, theme_named
from .figure import Figure, Shot, ink_for, pixels_per_metre
from .framing import in_box
from .lettering import Letters, write
from .sampling import cycle_time, hermite, phase_at, positions_at
from .stick import StickFigure

ARROW_M = 0.016  # width of an arrow [m]
STRETCH = 120  # frames prepared at once
TRAIL_S = 0.55  # swimming time that the hand trail shows [s]
LONGEST_STEP_S, TRAIL_STEP_S = 1 / 30, 1 / 60  # between frames, between points of the trail [s]
WORDY_UNIT = 0.45  # smaller pictures carry fewer words
TRAIL_SHARES = (0.16, 0.26, 0.38, 0.52)
Panel = tuple[Trace, Marks]


@dataclass(frozen=True)
class Look:
    """How a picture is laid out.

    Parameters
    ----------
    views : tuple of str or Camera
        Named views or free cameras; the first is shown large.
    layout : str
        `side_by_side`, `stacked` or `single`.
    theme : str or Theme
        `light` or `dark`, or colours of one's own.
    size : (int, int)
        Width and height. [px]
    trail : bool
        Draw the fading path of the hand in the large view.
    zoom : int
        Enlargement of everything drawn, for checks of drawing quality: 1, 2, 4 or 8.
    figure : callable
        Makes a drawing style from a trace.
    """

    views: tuple[str | Camera, ...] = ("side_left", "front", "below")
    layout: str = "side_by_side"
    theme: str | Theme = "light"
    size: tuple[int, int] = (1280, 720)
    trail: bool = True
    zoom: int = 1
    figure: Callable[[Trace], Figure] = StickFigure


class Scene:
    """Draws panels into pictures.

    Parameters
    ----------
    panels : list of (Trace, Marks)
    times_s : list of numpy.ndarray, shape (n_frames,)
        Trace time of each picture, one array per panel, all of one length. [s]
    look : Look
    slow : float
        Playback speed, shown as text.
    """

    def __init__(self, panels: list[Panel], times_s: list[np.ndarray], *, look: Look, slow: float = 1.0):
        if not panels:
            raise InputError("clip: expected one panel or more, got none")
        if not look.views:
            raise InputError("views: expected one view or more, got none")
        self.look, self.theme, self.zoom = look, theme_named(look.theme), look.zoom
        kind = "single" if len(panels) == 1 and look.layout != "stacked" else look.layout
        self.page, lines = _page_and_lines(look, kind, [marks for _, marks in panels])
        self.panels = [
            _PanelScene(panel, (boxes, line), times, look=look, page=self.page)
            for panel, boxes, line, times in zip(panels, self.page.panels, lines, times_s, strict=True)
        ]
        self.n_frames = len(times_s[0])
        self.still = self._still(furniture.speed_words(slow, [cycle_time(m, t) for t, m in panels]))
        self.canvas = self.still.copy()

    def _still(self, speed: str) -> np.ndarray:
        width, height = self.page.size
        canvas = np.empty((height * self.zoom, width * self.zoom, 3), np.uint8)
        canvas[:] = self.theme.page
        for panel in self.panels:
            panel.paint(canvas)
        furniture.footer(canvas, self.page, speed=speed, theme=self.theme, zoom=self.zoom)
        return canvas

    def frames(self) -> Iterator[np.ndarray]:
        """Pictures in order, RGB (height, width, 3). The same array is used again for every picture."""
        for first in range(0, self.n_frames, STRETCH):
            last = min(first + STRETCH, self.n_frames)
            drawings = [piece for panel in self.panels for piece in panel.plan(first, last)]
            for frame in range(last - first):
                np.copyto(self.canvas, self.still)
                for box, drawing in drawings:
                    drawing.draw(box.cut(self.canvas, self.zoom) if box else self.canvas, frame)
                yield self.canvas
            drawings.clear()


class _PanelScene:
    """One panel of a scene."""

    def __init__(
        self, panel: Panel, place: tuple[layout.PanelBoxes, number_line.NumberLine], times_s: np.ndarray, *,
        look: Look, page: layout.Page,
    ):  # fmt: skip
        self.trace, self.marks = panel
        (boxes, self.line), self.boxes = place, place[0]
        self.times_s, self.look, self.page = times_s, look, page
        self.theme, self.zoom = theme_named(look.theme), look.zoom
        self.stature_m = stature_of(self.trace)
        self.start_x_m, self.speed = start_x(self.trace), mean_speed(self.trace)
        views = look.views[: len(boxes.views)]
        self.cameras = [self._camera(v, box) for v, box in zip(views, boxes.views, strict=True)]
        self.half_width_m = backdrop.shoulder_half_width(self.trace, stature_m=self.stature_m)
        self.figure, self.ink = look.figure(self.trace), ink_for(self.marks, self.theme)
        self.bar = furniture.PhaseBar(boxes.bar, self.marks, theme=self.theme, page=page, zoom=self.zoom)

    def _camera(self, view: str | Camera, box: layout.Box) -> Camera:
        return in_box(view, (box.w, box.h), stature_m=self.stature_m, start_x_m=self.start_x_m)

    def paint(self, canvas: np.ndarray) -> None:
        """Paint everything that does not move."""
        for camera, box in zip(self.cameras, self.boxes.views, strict=True):
            backdrop.paint(
                box.cut(canvas, self.zoom), camera, self.theme, half_width_m=self.half_width_m,
                start_x_m=self.start_x_m, zoom=self.zoom,
            )  # fmt: skip
            self._name_view(canvas, camera, box)
        if self.boxes.header.h:
            furniture.header(
                canvas, self.boxes.header, self.marks, theme=self.theme, page=self.page, zoom=self.zoom
            )
        if self.boxes.numbers.h:
            number_line.draw(
                canvas, self.boxes.numbers, self.line, theme=self.theme, page=self.page, zoom=self.zoom
            )
        if self.marks.phase is not None:
            self.bar.paint(canvas)

    def _name_view(self, canvas: np.ndarray, camera: Camera, box: layout.Box) -> None:
        """Small words in the upper left corner of a view, if there is room."""
        words = VIEWS[camera.name].words if camera.name in VIEWS else camera.name
        if backdrop.has_marks(camera) and box == self.boxes.views[0] and self.page.unit >= WORDY_UNIT:
            words += f"; marks {backdrop.MARK_M:g} m apart"
        size, pad = self.page.type_size(15), max(4, round(8 * self.page.unit))
        if box.h > 4 * size:
            letters = Letters(size, self.theme.text, zoom=self.zoom)
            write(canvas, words, (box.x + pad, box.y + pad), letters=letters, anchor="lt")

    def plan(self, first: int, last: int) -> list[tuple[layout.Box | None, object]]:
        """Everything that moves in a stretch of frames, in drawing order, with the box to draw it in."""
        times = self.times_s[first:last]
        points, names = positions_at(self.trace, times), self.trace.joint_names
        drawings: list[tuple[layout.Box | None, object]] = []
        for i, (camera, box) in enumerate(zip(self.cameras, self.boxes.views, strict=True)):
            shot = Shot(camera, points, names, self._shift(camera, times), self.zoom)
            drawings.append((box, backdrop.Passing(shot, self.theme, half_width_m=self.half_width_m)))
            if i == 0 and self.look.trail:
                drawings += [(box, trail) for trail in self._trails(camera, first, last)]
            drawings.append((box, self.figure.plan(shot, self.ink)))
            if self.marks.arrows:
                drawings.append((box, self._arrows(shot, times)))
        phase = phase_at(self.marks, self.trace, self.times_s[first:last])
        if phase is not None:
            self.bar.plan(phase)
            drawings.append((None, self.bar))
        return drawings

    def _shift(self, camera: Camera, times: np.ndarray) -> np.ndarray:
        """Travel of a camera along x. [m]"""
        return self.speed * times if camera.travels else 0 * times

    def _trails(self, camera: Camera, first: int, last: int) -> list[backdrop.Trail]:
        """Trail of the knuckles of the highlighted side, or of both hands."""
        steps = np.diff(self.times_s)
        step = min(float(np.median(steps)), LONGEST_STEP_S) if len(steps) else LONGEST_STEP_S
        back, fine = max(4, round(TRAIL_S / step)), max(1, round(step / TRAIL_STEP_S))
        before = self.times_s[first] - step * np.arange(back, 0, -1)
        coarse = np.concatenate([before, self.times_s[first:last]])
        times = np.interp(np.arange(fine * (len(coarse) - 1) + 1) / fine, np.arange(len(coarse)), coarse)
        sides = [s for s in SIDES if any(n.startswith(s) for n in self.marks.limb)]
        names = tuple(f"{side}_knuckles" for side in (sides if len(sides) == 1 else SIDES))
        points = hermite(self.trace.time_s, np.stack([self.trace.joint(n) for n in names], axis=1), times)
        points[times < self.trace.time_s[0] - 1e-9] = np.nan
        shot = Shot(camera, points, names, self._shift(camera, times), self.zoom)
        colours = tuple(mix(self.ink.colour, self.theme.water, share) for share in TRAIL_SHARES)
        return [backdrop.Trail(shot, name, back=back, fine=fine, colours=colours) for name in names]

    def _arrows(self, shot: Shot, times: np.ndarray) -> backdrop.Arrows:
        arrows = {}
        for name, vectors in self.marks.arrows.items():
            arrows[name] = np.stack(
                [np.interp(times, self.trace.time_s, v) for v in np.asarray(vectors, float).T], -1
            )
        width = max(1.5, ARROW_M * pixels_per_metre(shot.camera))
        return backdrop.Arrows(shot, arrows, self.theme.arrow, width=width)


def _page_and_lines(
    look: Look, kind: str, marks: list[Marks]
) -> tuple[layout.Page, list[number_line.NumberLine]]:
    """The layout of a picture with as many rows for numbers as its widest panel needs."""
    header, gauge = any(m.word or m.title for m in marks), any(m.gauge for m in marks)
    rows = layout.Rows(header=header, gauge=gauge)
    lines = number_line.plan(
        marks, layout.page(look.size, kind, len(marks), n_views=len(look.views), rows=rows)
    )
    numbers = max(line.rows for line in lines) if any(m.value or m.band for m in marks) else 0
    rows = layout.Rows(header=header, numbers=numbers, gauge=gauge)
    return layout.page(look.size, kind, len(marks), n_views=len(look.views), rows=rows), lines
