"""One picture of one or two panels, frame by frame: a still layer drawn once, and what moves on top of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from swimsim.ground.errors import InputError
from swimsim.ground.records import Camera, Marks, Trace

from . import backdrop, furniture, layout, strokes
from .cameras import VIEWS, mean_speed, named_camera, start_x
from .colours import Theme, mix, theme_named
from .figure import Figure, Shot, ink_for, pixels_per_metre
from .lettering import write
from .sampling import cycle_time, phase_at, positions_at
from .stick import StickFigure

STRETCH = 48  # frames prepared at once
TRAIL_S = 0.55  # swimming time that the hand trail shows [s]
LONGEST_STEP_S = 1 / 30  # between points of the trail [s]
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
    theme : str
        `light` or `dark`.
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
    theme: str = "light"
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
        self.page = layout.page(
            look.size, kind, len(panels), n_views=len(look.views),
            header=any(m.word or m.title for _, m in panels), numbers=any(m.value or m.band for _, m in panels),
        )  # fmt: skip
        self.panels = [
            _PanelScene(panel, boxes, times, look=look, page=self.page)
            for panel, boxes, times in zip(panels, self.page.panels, times_s, strict=True)
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


class _PanelScene:
    """One panel of a scene."""

    def __init__(
        self, panel: Panel, boxes: layout.PanelBoxes, times_s: np.ndarray, *, look: Look, page: layout.Page
    ):
        self.trace, self.marks = panel
        self.boxes, self.times_s, self.look, self.page = boxes, times_s, look, page
        self.theme, self.zoom = theme_named(look.theme), look.zoom
        stature = self.trace.meta.get("stature_m") or (self.trace.meta.get("body") or {}).get("stature_m")
        self.stature_m = float(stature) if stature else _stature_guess(self.trace)
        self.start_x_m, self.speed = start_x(self.trace), mean_speed(self.trace)
        views = look.views[: len(boxes.views)]
        self.cameras = [self._camera(v, box) for v, box in zip(views, boxes.views, strict=True)]
        self.half_width_m = backdrop.shoulder_half_width(self.trace, stature_m=self.stature_m)
        self.figure, self.ink = look.figure(self.trace), ink_for(self.marks, self.theme)
        self.bar = furniture.PhaseBar(boxes.bar, self.marks, theme=self.theme, page=page, zoom=self.zoom)

    def _camera(self, view: str | Camera, box: layout.Box) -> Camera:
        if isinstance(view, Camera):
            return _cropped(view, (box.w, box.h))
        return named_camera(view, self.stature_m, size_px=(box.w, box.h), start_x_m=self.start_x_m)

    def paint(self, canvas: np.ndarray) -> None:
        """Paint everything that does not move."""
        for camera, box in zip(self.cameras, self.boxes.views, strict=True):
            backdrop.paint(
                box.cut(canvas, self.zoom), camera, self.theme, half_width_m=self.half_width_m,
                start_x_m=self.start_x_m, zoom=self.zoom,
            )  # fmt: skip
            words = VIEWS[camera.name].words if camera.name in VIEWS else camera.name
            size = self.page.type_size(15)
            if box.h > 4 * size:
                write(canvas, words, (box.x + max(4, round(8 * self.page.unit)), box.y + max(3, round(6 * self.page.unit))), size=size,
                      colour=self.theme.text, anchor="lt", zoom=self.zoom)  # fmt: skip
        if self.boxes.header.h:
            furniture.header(
                canvas, self.boxes.header, self.marks, theme=self.theme, page=self.page, zoom=self.zoom
            )
        if self.boxes.numbers.h:
            furniture.numbers(
                canvas, self.boxes.numbers, self.marks, theme=self.theme, page=self.page, zoom=self.zoom
            )
        if self.marks.phase is not None:
            self.bar.paint(canvas)

    def plan(self, first: int, last: int) -> list[tuple[layout.Box | None, object]]:
        """Everything that moves in a stretch of frames, in drawing order, with the box to draw it in."""
        step = (
            min(np.median(np.diff(self.times_s)), LONGEST_STEP_S) if len(self.times_s) > 1 else LONGEST_STEP_S
        )
        back = max(4, round(TRAIL_S / step)) if self.look.trail else 0
        times = np.concatenate(
            [self.times_s[first] - step * np.arange(back, 0, -1), self.times_s[first:last]]
        )
        points = positions_at(self.trace, times)
        points[times < self.trace.time_s[0] - 1e-9] = np.nan
        drawings: list[tuple[layout.Box | None, object]] = []
        for i, (camera, box) in enumerate(zip(self.cameras, self.boxes.views, strict=True)):
            shift = self.speed * times if camera.travels else 0 * times
            shot = Shot(camera, points[back:], self.trace.joint_names, shift[back:], self.zoom)
            drawings.append((box, backdrop.Passing(shot, self.theme, half_width_m=self.half_width_m)))
            if i == 0 and back:
                longer = Shot(camera, points, self.trace.joint_names, shift, self.zoom)
                drawings += [(box, trail) for trail in self._trails(longer, back)]
            drawings.append((box, self.figure.plan(shot, self.ink)))
            if self.marks.arrows:
                drawings.append((box, self._arrows(shot, times[back:])))
        phase = phase_at(self.marks, self.trace, self.times_s[first:last])
        if phase is not None:
            self.bar.plan(phase)
            drawings.append((None, self.bar))
        return drawings

    def _trails(self, shot: Shot, back: int) -> list[backdrop.Trail]:
        """Trail of the knuckles of the highlighted side, or of both hands."""
        sides = [s for s in ("left", "right") if any(n.startswith(s) for n in self.marks.limb)]
        colours = tuple(mix(self.ink.colour, self.theme.water, share) for share in TRAIL_SHARES)
        width = strokes.odd(0.010 * shot.scale)
        names = [f"{side}_knuckles" for side in (sides if len(sides) == 1 else ("left", "right"))]
        return [backdrop.Trail(shot, name, back=back, colours=colours, width=width) for name in names]

    def _arrows(self, shot: Shot, times: np.ndarray) -> backdrop.Arrows:
        arrows = {}
        for name, vectors in self.marks.arrows.items():
            arrows[name] = np.stack(
                [np.interp(times, self.trace.time_s, v) for v in np.asarray(vectors, float).T], -1
            )
        width = strokes.odd(0.016 * pixels_per_metre(shot.camera))
        return backdrop.Arrows(shot, arrows, self.theme.arrow, width=width)


def _cropped(camera: Camera, size: tuple[int, int]) -> Camera:
    """The same camera with its picture scaled into another size; all of it stays in view."""
    scale = min(size[0] / camera.size_px[0], size[1] / camera.size_px[1])
    centre = [
        (c + 0.5 - old / 2) * scale + new / 2 - 0.5
        for c, old, new in zip(camera.centre_px, camera.size_px, size, strict=True)
    ]
    focal = tuple(f * scale for f in camera.focal_px)
    return Camera(
        camera.name,
        camera.position_m,
        camera.rotation,
        focal,
        tuple(centre),
        size,
        camera.distortion,
        camera.travels,
    )


def _stature_guess(trace: Trace) -> float:
    """Stature from shoulder to hip distance (0.288 of stature, common practice), or 1.80 m. [m]"""
    spans = [
        np.linalg.norm(trace.joint(f"{s}_shoulder") - trace.joint(f"{s}_hip"), axis=1)
        for s in ("left", "right")
    ]
    span = np.concatenate(spans)
    span = span[np.isfinite(span)]
    return float(np.clip(np.median(span) / 0.288, 1.0, 2.4)) if len(span) else 1.80
