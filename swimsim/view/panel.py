"""One panel of a picture: the views of a swimmer, the words about them, and what moves in both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from swimsim.ground.conventions import SIDES
from swimsim.ground.records import Camera, Trace

from . import backdrop, furniture, layout, mirror, number_line
from .cameras import VIEWS, start_x, stature_of
from .clock import Clock, Path, path_of, shot_of
from .colours import mix, theme_named
from .figure import Shot, ink_for, pixels_per_metre
from .framing import in_box, with_room
from .gauge import GaugeStrip
from .gauge_curves import gauges_of
from .ghost import Ghost
from .lettering import Letters, fitted
from .look import Look, Panel, figure_for
from .overlay import Overlay
from .pool import Pool, pool_of
from .sampling import period_share_at, phase_at
from .splash import Splash

ARROW_M = 0.016  # width of an arrow [m]
TRAIL_S, TRAIL_STEP_S = 0.55, 1 / 60  # swimming time of the hand trail, and between its points [s]
WORDY_UNIT = 0.45  # smaller pictures carry fewer words
TRAIL_SHARES = (0.16, 0.26, 0.38, 0.52)
Moving = tuple[layout.Box, object]


@dataclass(frozen=True)
class Place:
    """Where a panel stands: its boxes, its line of numbers, and the page."""

    boxes: layout.PanelBoxes
    line: number_line.NumberLine
    page: layout.Page


class PanelScene:
    """Draws one panel.

    Parameters
    ----------
    panel : (Trace, Marks)
    place : Place
    clock : Clock
        The instant of the trace in each picture.
    look : Look
    behind : ((Trace, Marks), Clock), optional
        A second swimmer, drawn pale behind the first one.
    named : bool
        Whether the views carry their names.
    beside : sequence of Trace
        All swimmers that are shown together: their pictures are enlarged alike, and cut off no hand of any.
    """

    def __init__(
        self, panel: Panel, place: Place, clock: Clock, *, look: Look,
        behind: tuple[Panel, Clock] | None = None, named: bool = True, beside: Sequence[Trace] = (),
    ):  # fmt: skip
        self.trace, self.marks = mirror.mirrored_panel(*panel) if look.mirror else panel
        self.place, self.boxes, self.page = place, place.boxes, place.page
        self.clock, self.look = clock, look
        self.theme, self.zoom = theme_named(look.theme), look.zoom
        self.stature_m = stature_of(self.trace)
        self.start_x_m = start_x(self.trace)
        endless = clock.loop_s is not None  # nothing of a loop may stand at one place of the pool
        self.pool = Pool(self.start_x_m) if endless else pool_of(self.trace, self.start_x_m)
        self.together = beside or (panel[0],)
        views = look.views[: len(self.boxes.views)]
        self.cameras = [self._camera(v, box) for v, box in zip(views, self.boxes.views, strict=True)]
        self.names = [self._name(camera, box) for camera, box in self._views] if named else []
        self.half_width_m = backdrop.shoulder_half_width(self.trace, stature_m=self.stature_m)
        self.figure, self.ink = figure_for(look, self.trace), ink_for(self.marks, self.theme)
        self.ghost = Ghost((self.trace, clock), behind, look=look) if behind else None
        self.splash = Splash(self.trace) if look.splash else None
        self.overlay = Overlay(
            self.trace, self.marks, theme=self.theme, size=self.page.type_size(22), zoom=self.zoom
        )
        self.bar = furniture.PhaseBar(
            self.boxes.bar, self.marks, theme=self.theme, page=self.page, zoom=self.zoom
        )
        self.gauges = self._gauges() if self.marks.phase is not None and self.boxes.gauge.h else []

    def _gauges(self) -> list[GaugeStrip]:
        """Strips of curves, one below the other in the box of gauges."""
        gauges, box = gauges_of(self.marks), self.boxes.gauge
        high = box.h // max(len(gauges), 1)
        return [
            GaugeStrip(
                replace(box, y=box.y + i * high, h=high), replace(self.marks, gauge=gauge), theme=self.theme,
                page=self.page, zoom=self.zoom,
            )
            for i, gauge in enumerate(gauges)
        ]  # fmt: skip

    def _camera(self, view: str | Camera, box: layout.Box) -> Camera:
        camera = in_box(view, (box.w, box.h), stature_m=self.stature_m, start_x_m=self.start_x_m)
        camera = with_room(camera, self.together)
        return mirror.mirrored_camera(camera) if self.look.mirror else camera

    def _passing(self, shot: Shot) -> backdrop.Passing:
        return backdrop.Passing(
            shot, self.theme, half_width_m=self.half_width_m, start_x_m=self.start_x_m, pool=self.pool
        )

    @property
    def has_bar(self) -> bool:
        """Whether the panel has a phase to show."""
        return self.marks.phase is not None and self.boxes.bar.h > 0

    @property
    def moving(self) -> list[layout.Box]:
        """The boxes in which anything moves."""
        strip = [self.boxes.gauge] if self.gauges else []
        return [*self.boxes.views, *strip, *([self.bar.reach] if self.has_bar else [])]

    @property
    def _views(self) -> list[tuple[Camera, layout.Box]]:
        return list(zip(self.cameras, self.boxes.views, strict=True))

    def paint(self, canvas: np.ndarray) -> None:
        """Paint everything that does not move."""
        for camera, box in self._views:
            backdrop.paint(
                box.cut(canvas, self.zoom), camera, self.theme, half_width_m=self.half_width_m,
                start_x_m=self.start_x_m, zoom=self.zoom,
            )  # fmt: skip
        for name in self.names:
            if name is not None and not name.over:
                name.draw(canvas, 0)
        how = {"theme": self.theme, "page": self.page, "zoom": self.zoom}
        if self.boxes.header.h:
            furniture.header(canvas, self.boxes.header, self.marks, **how)
        if self.boxes.numbers.h:
            number_line.draw(canvas, self.boxes.numbers, self.place.line, **how)
        for gauge in self.gauges:
            gauge.paint(canvas)
        if self.has_bar:
            self.bar.paint(canvas)

    def _name(self, camera: Camera, box: layout.Box) -> furniture.ViewName | None:
        """Small words in the upper left corner of a view, if there is room."""
        size, pad = self.page.type_size(15), max(4, round(8 * self.page.unit))
        if box.h <= 4 * size:
            return None
        words, size = fitted(self._view_words(camera, box), size, width=box.w - 2 * pad)
        letters = Letters(size, self.theme.text, zoom=self.zoom)
        over = camera.position_m[2] > 0  # from above, lane ropes pass where the name stands
        return furniture.ViewName(words, (box.x + pad, box.y + pad), letters, self.theme.page, over=over)

    def _view_words(self, camera: Camera, box: layout.Box) -> str:
        words = VIEWS[camera.name].words if camera.name in VIEWS else camera.name
        large = box == self.boxes.views[0]
        if self.look.mirror:
            words += ", mirrored"
        if backdrop.has_marks(camera) and large and self.page.unit >= WORDY_UNIT:
            words += f"; marks {backdrop.MARK_M:g} m apart"
        return words

    def plan(self, first: int, last: int) -> list[Moving]:
        """Everything that moves in a stretch of frames, in drawing order, with the box to draw it in."""
        clock = self.clock.part(first, last)
        drawings: list[Moving] = []
        for i, (camera, box) in enumerate(zip(self.cameras, self.boxes.views, strict=True)):
            shot = shot_of(self.trace, camera, clock, zoom=self.zoom)
            drawings.append((box, self._passing(shot)))
            body, limb = self.ghost.plan(shot, first, last) if self.ghost else (None, [])
            drawings += [(box, body)] if body else []
            if i == 0 and self.look.trail:
                drawings += [(box, trail) for trail in self._trails(camera, clock)]
            drawings.append((box, self.figure.plan(shot, self.ink)))
            drawings += [(box, line) for line in limb]
            if self.splash and (drops := self.splash.plan(shot, clock.times_s, self.theme)):
                drawings.append((box, drops))
            if self.marks.arrows:
                drawings.append((box, self._arrows(shot, clock.times_s)))
            if self.marks.drawn:
                drawings.append((box, self.overlay.plan(shot, clock, numbers=i == 0)))
        drawings += [
            (self.page.whole, replace(name, n_frames=last - first))
            for name in self.names
            if name is not None and name.over
        ]
        for gauge in self.gauges:
            gauge.plan(period_share_at(self.marks, self.trace, clock.times_s))
            drawings.append((self.page.whole, gauge))
        if self.has_bar:
            self.bar.plan(phase_at(self.marks, self.trace, clock.times_s))
            drawings.append((self.page.whole, self.bar))
        return drawings

    def _trails(self, camera: Camera, clock: Clock) -> list[backdrop.Trail]:
        """Trail of the knuckles of the highlighted side, or of both hands."""
        step = self.clock.step_s
        back, fine = max(4, round(TRAIL_S / step)), max(1, round(step / TRAIL_STEP_S))
        sides = [s for s in SIDES if any(n.startswith(s) for n in self.marks.limb)]
        names = tuple(f"{side}_knuckles" for side in (sides if len(sides) == 1 else SIDES))
        shot = path_of(self.trace, Path(names, back, fine, step), camera, clock=clock, zoom=self.zoom)
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
