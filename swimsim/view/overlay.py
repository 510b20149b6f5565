"""Lines, arcs and spans drawn over the body, with their numbers: what the eye is to compare.

Every coloured line lies on a wider one in the page colour, so that it is clear on skin, suit and water alike.
FAULT is dashed, CORRECT solid; a target is hatched green. An arc lies in the plane of its two directions, so a
view foreshortens it as it does the limb; seen edge-on it is left out. Nothing is computed but pixels.
"""

from __future__ import annotations

import numpy as np

from swimsim.ground.records import Drawn, Marks, Trace

from . import overlay_shapes as shapes
from . import strokes
from .clock import Clock
from .colours import Colour, Theme
from .figure import Shot, ink_for
from .overlay_pieces import Label, Lines, Sectors
from .plates import Plates, Room, angle_words, middles, words
from .sampling import hermite, phase_at

LINE_M, LEAST_PX = 0.020, 2.5  # width of a main line [m], and the least [px]
ARC_M, ARC_PX = 0.17, 20.0  # radius of an arc [m], and the least [px]
EDGE_ON = 0.15  # an arc that covers less than this share of its area is seen edge-on
TICK_WIDTHS, BAND_WIDTHS, DASH_WIDTHS = 5.0, 3.2, 3.4  # in widths of a main line
HATCH_PX = 1.9  # least width of the stripes of a target [px]
LIMB_POINTS = 5  # points of every bone that a number should not cover
GAP_WIDTHS = 2.0  # between a line and its number, in widths of a main line


class Overlay:
    """Draws `Marks.drawn` of one panel.

    Parameters
    ----------
    trace : Trace
    marks : Marks
    theme : Theme
    size : int
        Type size of the numbers. [px]
    zoom : int
        Enlargement of the picture.
    """

    def __init__(self, trace: Trace, marks: Marks, *, theme: Theme, size: int, zoom: int = 1):
        self.trace, self.marks, self.theme, self.zoom = trace, marks, theme, zoom
        self.ink = ink_for(marks, theme)
        self.plates = Plates(theme, size=size, edge=self.ink.colour, zoom=zoom)
        self.points_m = [np.asarray(d.points_m, float) for d in marks.drawn]

    def plan(self, shot: Shot, clock: Clock, *, numbers: bool = True) -> OverlayDrawing:
        """Prepare a stretch of frames of one view; without numbers for the small views."""
        pen = _Pen(self, shot)
        phase = phase_at(self.marks, self.trace, clock.times_s)
        for drawn, points in zip(self.marks.drawn, self.points_m, strict=True):
            at = hermite(self.trace.time_s, points, clock.times_s)
            at[~shapes.in_span(phase, drawn.shares, len(at))] = np.nan
            if clock.drift_m is not None and shot.camera.travels:
                at[..., 0] += clock.drift_m[:, None]
            anchor, way, gap = getattr(pen, drawn.kind)(drawn, at)
            if numbers and drawn.values is not None:
                pen.label(self._texts(drawn, clock, np.isfinite(anchor).all(1)), anchor, way, gap=gap)
        return OverlayDrawing([*pen.under, *pen.casings, *pen.over, *pen.labels])

    def _texts(self, drawn: Drawn, clock: Clock, shown: np.ndarray) -> list[tuple[str, ...] | None]:
        """The number in every frame in which it is shown."""
        values, seen = (
            None
            if v is None
            else hermite(self.trace.time_s, np.asarray(v, float)[:, None], clock.times_s)[:, 0]
            for v in (drawn.values, drawn.seen)
        )
        shown = shown & np.isfinite(values)
        if drawn.kind == "arc" and drawn.unit == "deg":
            seen = [None] * len(values) if seen is None else seen.tolist()
            rows = zip(values.tolist(), seen, shown, strict=True)
            return [angle_words(v, s) if ok else None for v, s, ok in rows]
        signed = drawn.unit == "cm" and drawn.tone == "main" and drawn.signed
        return [
            (words(v, drawn.unit, signed=signed),) if ok else None
            for v, ok in zip(values, shown, strict=True)
        ]


class OverlayDrawing:
    """Everything over the body in a stretch of frames: hatching and sectors, casings, lines, numbers."""

    def __init__(self, pieces: list):
        self.pieces = pieces

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw one frame, in place."""
        for piece in self.pieces:
            piece.draw(canvas, frame)


class _Pen:
    """Turns the drawn things of a shot into lines and sectors, and finds a place for each number.

    `line`, `arc` and `span` hand back where the number belongs: anchor, direction, distance.
    """

    def __init__(self, overlay: Overlay, shot: Shot):
        self.overlay, self.shot, self.zoom = overlay, shot, shot.zoom
        self.theme, self.ink = overlay.theme, overlay.ink
        self.width = max(LINE_M * shot.scale, LEAST_PX)
        self.edge = max(1.8, 0.45 * self.width)
        self.thin = max(1.0, 0.45 * self.width)
        self.under: list = []
        self.casings: list = []
        self.over: list = []
        self.labels: list[Label] = []
        self.busy = [_limb_points(shot, overlay.marks.limb)]

    def line(self, drawn: Drawn, at_m: np.ndarray):
        """A line through points; its number stands at the far end."""
        pixels = self.shot.see(at_m)
        if drawn.tone == "target":
            for i in range(pixels.shape[1] - 1):
                self._band(pixels[:, i : i + 2])
        elif drawn.tone == "guide":
            self._thin(pixels[:, None])
        else:
            self._main(pixels)
        self.busy.append(pixels)
        way = shapes.frame_of(pixels[:, -2:])[1]
        return pixels[:, -1], way, GAP_WIDTHS * self.width

    def span(self, drawn: Drawn, at_m: np.ndarray):
        """A measured distance with a tick at each end; its number stands beside the middle."""
        pixels = self.shot.see(at_m)
        _, _, normal = shapes.frame_of(pixels)
        way = normal * np.where(normal[:, 1:] > 0, -1.0, 1.0)  # above the line
        if drawn.tone == "target":
            self._band(pixels)
        elif drawn.tone == "guide":
            self._thin(
                np.concatenate([pixels[:, None], shapes.ticks(pixels, TICK_WIDTHS * self.width)], axis=1)
            )
        else:
            ends = shapes.ticks(pixels, TICK_WIDTHS * self.width)
            self._cased(ends, self.ink.colour, width=0.8 * self.width)
            self._main(pixels)
        self.busy.append(np.linspace(pixels[:, 0], pixels[:, 1], LIMB_POINTS, axis=1))
        return pixels.mean(1), way, (TICK_WIDTHS / 2 + 0.6) * self.width

    def arc(self, drawn: Drawn, at_m: np.ndarray):
        """The corner between two directions; its number stands outside the middle of the arc."""
        radius_m = max(ARC_M, ARC_PX / self.shot.scale)
        rim_m = shapes.arc(at_m, radius_m)
        corner, rim = self.shot.see(at_m[:, 0]), self.shot.see(rim_m)
        anchor = corner.copy()
        rim = np.where(self._edge_on(corner, rim, at_m, rim_m)[:, None, None], np.nan, rim)
        if drawn.tone == "target":
            self._ring(corner, rim)
        elif drawn.tone == "guide":
            self._thin(rim[:, None])
        else:
            self.under.append(
                Sectors(np.concatenate([corner[:, None], rim], 1), self.ink.colour, zoom=self.zoom)
            )
            self._cased(rim[:, None], self.ink.colour, width=0.85 * self.width)
        outer = self.shot.see(rim_m[:, len(rim_m[0]) // 2])
        way = shapes.frame_of(np.stack([corner, outer], 1))[1]
        reach = np.linalg.norm(outer - corner, axis=1)
        self.busy.append(rim)
        return anchor, way, float(np.nanmax(reach, initial=0.0)) * shapes.BAND_SHARE + self.width

    def label(self, texts: list, anchor: np.ndarray, way: np.ndarray, *, gap: float) -> None:
        """Find a place for a number, and keep it free from those that follow."""
        known = {text for text in texts if text}
        if not known:
            return
        plates = self.overlay.plates
        box = tuple(np.max([plates.box(text) for text in known], axis=0).tolist())
        free = Room(self.shot.camera.size_px, np.concatenate(self.busy, axis=1))
        hidden = np.array([text is None for text in texts])
        anchor = np.where(hidden[:, None], np.nan, anchor)
        middle = middles(anchor, way, box=box, gap=gap, free=free)
        self.labels.append(Label(texts, middle, plates))
        corners = np.array([[x, y] for x in (-0.5, 0, 0.5) for y in (-0.5, 0.5)]) * box
        self.busy.append(middle[:, None] + corners)

    def _main(self, pixels: np.ndarray) -> None:
        """A line in the colour of the panel: dashes with square ends, or one solid line with round ones."""
        self._case(pixels[:, None], self.width)
        if not self.ink.dashed:
            self.over.append(Lines(pixels[:, None], self.ink.colour, width=self.width, zoom=self.zoom))
            return
        for i in range(pixels.shape[1] - 1):
            low, high = shapes.pitched(pixels[:, i : i + 2], DASH_WIDTHS * self.width)
            bars = strokes.bars(low, high, 1.15 * self.width, zoom=self.zoom)
            self.over.append(strokes.Shapes(bars, self.ink.colour, zoom=self.zoom))

    def _thin(self, pixels: np.ndarray) -> None:
        self._cased(pixels, self.theme.plain, width=self.thin)

    def _cased(self, pixels: np.ndarray, colour: Colour, *, width: float) -> None:
        self._case(pixels, width)
        self.over.append(Lines(pixels, colour, width=width, zoom=self.zoom))

    def _case(self, pixels: np.ndarray, width: float) -> None:
        self.casings.append(Lines(pixels, self.theme.page, width=width + 2 * self.edge, zoom=self.zoom))

    def _band(self, ends: np.ndarray) -> None:
        """A hatched band along a line."""
        width = BAND_WIDTHS * self.width
        self._hatched(shapes.rungs(ends, width), shapes.rails(ends, width))

    def _ring(self, corner: np.ndarray, rim: np.ndarray) -> None:
        """A hatched ring outside an arc."""
        self._hatched(shapes.spokes(corner, rim), shapes.ring(corner, rim))

    def _hatched(self, hatch: np.ndarray, outline: np.ndarray) -> None:
        """Rungs (n, m, 2, 2) and their outline in the colour of targets, on a pale ground."""
        for pixels, more in ((outline[:, None], 2 * self.edge), (hatch, self.edge)):
            self.under.append(Lines(pixels, self.theme.page, width=self.thin + more, zoom=self.zoom))
        rungs = strokes.bars(hatch[:, :, 0], hatch[:, :, 1], max(HATCH_PX, 0.5 * self.width), zoom=self.zoom)
        self.under.append(strokes.Shapes(rungs, self.theme.band, zoom=self.zoom))
        self.under.append(Lines(outline[:, None], self.theme.band, width=self.thin, zoom=self.zoom))

    def _edge_on(self, corner, rim, at_m, rim_m) -> np.ndarray:
        """True where the view looks along the plane of an arc."""
        spread = np.concatenate([corner[:, None], rim], axis=1) - corner[:, None]
        ahead = np.roll(spread, -1, axis=1)
        area = np.abs((spread[..., 0] * ahead[..., 1] - spread[..., 1] * ahead[..., 0]).sum(1)) / 2
        long_m = np.linalg.norm(np.diff(rim_m, axis=1), axis=-1).sum(1)
        radius_m = np.linalg.norm(rim_m[:, 0] - at_m[:, 0], axis=-1)
        with np.errstate(invalid="ignore"):
            return area < EDGE_ON * long_m * radius_m / 2 * self.shot.scale**2


def _limb_points(shot: Shot, limb: tuple[str, ...]) -> np.ndarray:
    """Points along the marked limb, (n_frames, m, 2). [px]"""
    if len(limb) < 2:
        return np.full((len(shot.shift_m), 1, 2), np.nan)
    joints = shot.joints(limb)
    share = np.linspace(0, 1, LIMB_POINTS)[:, None]
    bones = joints[:, :-1, None] * (1 - share) + joints[:, 1:, None] * share
    return bones.reshape(len(joints), -1, 2)
