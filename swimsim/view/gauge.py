"""A strip with curves over the breathing period: still curves, a target, and a dot that moves with the swimmer.

It stands over the phase bar, on the same scale from left to right, so that the dot is always above the marker.
"""

from __future__ import annotations

import numpy as np

from swimsim.ground.records import Marks

from . import strokes
from .colours import Theme
from .figure import ink_for
from .furniture import PhaseBar
from .gauge_curves import curves_of, limits_of, peak_pair, stripes
from .layout import Box, Page
from .lettering import Letters, fitted, text_width, write
from .overlay_pieces import Lines

CURVE_PX, OTHER_PX, THIN_PX, LAG_PX, DOT_PX = 5.4, 2.8, 1.8, 4.4, 7.0  # at unit 1
DASH, GAP_SHARE = 2.4, 0.38  # length of dash and gap together, in widths; share of it that is gap
HATCH_PX = 9.0
UNITS = {"deg": "°", "%": " %", "cm": " cm", "N": " N"}


class GaugeStrip:
    """Draws `Marks.gauge` of one panel.

    Parameters
    ----------
    box : Box
    marks : Marks
        With a gauge, and a phase that says when each of its values is.
    theme : Theme
    page : Page
    zoom : int
    """

    def __init__(self, box: Box, marks: Marks, *, theme: Theme, page: Page, zoom: int = 1):
        self.box, self.marks, self.gauge = box, marks, marks.gauge
        self.theme, self.page, self.zoom = theme, page, zoom
        self.ink = ink_for(marks, theme)
        self.small = page.type_size(15, 9)
        bar = PhaseBar(box, marks, theme=theme, page=page, zoom=zoom)
        self.left, self.right = bar.left, bar.right
        self.top, self.low = box.y + round(1.35 * self.small), box.y + box.h - max(4, round(5 * page.unit))
        self.curves = curves_of(self.gauge, marks.phase)
        self.limits = limits_of(self.curves, self.gauge)

    def paint(self, canvas: np.ndarray) -> None:
        """Paint everything that stands still: title, target, zero line, curves and their names."""
        patch, theme = self.box.cut(canvas, self.zoom), self.theme
        patch[:] = theme.air
        size = self.small
        text, size = fitted(self._title(), size, width=self.box.x + self.box.w - self.left)
        at = (self.left, self.box.y + 0.15 * size)
        write(canvas, text, at, letters=Letters(size, theme.text, zoom=self.zoom), anchor="lt")
        for low, high in self._bands():
            self._hatch(canvas, Box(self.left, round(high), self.right - self.left, round(low - high)))
        self._level(canvas)
        for i in range(len(self.curves) - 1, -1, -1):
            self._curve(canvas, i)
        if self.gauge.lag is not None and len(self.curves) > 1:
            self._lag(canvas)
        if self._named:
            self._names(canvas)

    def _title(self) -> str:
        """The title, with the names of the curves where there is no room for them at their ends."""
        (first, _), *others = self.gauge.curves
        if self._named or not others:
            return self.gauge.title
        return f"{self.gauge.title}: {first} (thick), {', '.join(name for name, _ in others)} (thin)"

    @property
    def _named(self) -> bool:
        """Whether the names of the curves fit into the margin beside them."""
        room = self.box.x + self.box.w - self.right - 6
        return all(
            text_width(name, self.small, i == 0) <= room for i, (name, _) in enumerate(self.gauge.curves)
        )

    def plan(self, phase_of_period: np.ndarray) -> None:
        """Prepare the dot for a stretch of frames; the share 0..1 of the breathing period in each."""
        share = np.asarray(phase_of_period, float)
        x = self.left + share * (self.right - self.left)
        at = np.stack([x, self._row(self._value(0, share))], axis=-1)[:, None]
        upright = np.stack([np.stack([x, 0 * x + self.top], -1), np.stack([x, 0 * x + self.low], -1)], axis=1)
        size = max(3.5, DOT_PX * self.page.unit)
        shape, size = (strokes.squares, 0.9 * size) if self.ink.dashed else (strokes.discs, size)
        thin = max(1.0, THIN_PX * self.page.unit)
        self.moving = [
            Lines(upright[:, None], self.theme.faint, width=thin, zoom=self.zoom),
            strokes.Shapes(shape(at, size + 1.6, zoom=self.zoom), self.theme.page, zoom=self.zoom),
            strokes.Shapes(shape(at, size, zoom=self.zoom), self.ink.colour, zoom=self.zoom),
        ]

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw the moving dot of one frame, in place."""
        for piece in self.moving:
            piece.draw(canvas, frame)

    def _value(self, i: int, share: np.ndarray) -> np.ndarray:
        curve = self.curves[i]
        return np.interp(share, np.linspace(0, 1, len(curve)), curve)

    def _row(self, value: np.ndarray | float) -> np.ndarray | float:
        low, high = self.limits
        return self.low + (self.top - self.low) * (value - low) / (high - low)

    def _bands(self) -> list[tuple[float, float]]:
        """Rows (low, high) of the target; roll is asked for on both sides of zero alike."""
        if self.gauge.band is None:
            return []
        low, high = self.gauge.band
        pairs = [(low, high)] + ([(-high, -low)] if self.limits[0] < 0 < low else [])
        bands = np.clip(np.array(pairs), *self.limits)
        return [(float(self._row(a)), float(self._row(b))) for a, b in bands]

    def _level(self, canvas: np.ndarray) -> None:
        """Zero line, and the scale at its ends."""
        letters = Letters(max(8, round(0.86 * self.small)), self.theme.text, zoom=self.zoom)
        low, high = self.limits
        for value in (low, 0.0, high) if low < 0 < high else (low, high):
            row = float(self._row(value))
            ends = np.array([[[[self.left, row], [self.right, row]]]], float)
            colour = self.theme.plain if value == 0 else self.theme.faint
            Lines(ends, colour, width=1.0, zoom=self.zoom).draw(canvas, 0)
        if low < 0 < high and self.gauge.balanced and self._roomy:
            unit = UNITS.get(self.gauge.unit, "")
            for row, anchor in ((self.top, "lt"), (self.low, "lb")):
                write(canvas, f"{high:g}{unit}", (self.right + 6, row), letters=letters, anchor=anchor)

    @property
    def _roomy(self) -> bool:
        """Whether there is room for the scale beside the curves."""
        beside = self.box.x + self.box.w - self.right > 3 * self.small
        return beside and self.low - self.top > 4.6 * self.small

    def _curve(self, canvas: np.ndarray, i: int) -> None:
        """One curve: the first in the colour and style of the panel, the others thin."""
        curve = self.curves[i]
        x = np.linspace(self.left, self.right, len(curve))
        points = np.stack([x, self._row(curve)], axis=-1)
        width = max(2.2 if i == 0 else 1.0, (CURVE_PX if i == 0 else OTHER_PX) * self.page.unit)
        if i > 0 or not self.ink.dashed:
            pieces, colour = stripes(points, None), self.ink.colour if i == 0 else self.theme.plain
        else:
            width = max(1.6, 1.15 * width)
            pieces, colour = stripes(points, DASH * width * 2, gap=GAP_SHARE), self.ink.colour
        for casing in (True, False):
            more, tone = (2.2, self.theme.air) if casing else (0.0, colour)
            for piece in pieces:
                Lines(piece[None, None], tone, width=width + more, zoom=self.zoom).draw(canvas, 0)

    def _lag(self, canvas: np.ndarray) -> None:
        """A mark at the peak of both curves, the way between them, and how long it may be."""
        first, second, sign = peak_pair(self.curves, self.gauge.period_cycles)
        wide, zero = self.right - self.left, float(self._row(0.0))
        x = [self.left + share * wide for share in (second, first)]
        cycle = wide / self.gauge.period_cycles
        high = max(5, round(9 * self.page.unit))
        band = [x[0] + share / 100 * cycle for share in self.gauge.lag]
        beside = zero + (2 if sign > 0 else -2 - high)
        self._hatch(canvas, Box(round(band[0]), round(beside), round(band[1] - band[0]), high))
        for i, at in ((1, x[0]), (0, x[1])):
            top = float(self._row(self._value(i, np.array([(at - self.left) / wide]))[0]))
            ends = np.array([[[[at, top], [at, zero]]]])
            Lines(ends, self.theme.plain, width=max(1.0, THIN_PX * self.page.unit), zoom=self.zoom).draw(
                canvas, 0
            )
        between = np.array([[[[x[0], zero], [x[1], zero]]]])
        Lines(between, self.ink.colour, width=max(2.0, LAG_PX * self.page.unit), zoom=self.zoom).draw(
            canvas, 0
        )

    def _hatch(self, canvas: np.ndarray, box: Box) -> None:
        """Slanted stripes in the colour of targets, and an edge above and below."""
        if box.w < 2 or box.h < 2:
            return
        patch, zoom = box.cut(canvas, self.zoom), self.zoom
        row, col = np.indices(patch.shape[:2])
        patch[((row + col) % round(HATCH_PX * zoom)) < 1.3 * zoom] = self.theme.band
        for edge in (patch[:zoom], patch[-zoom:]):
            edge[:] = self.theme.band

    def _names(self, canvas: np.ndarray) -> None:
        """The name of each curve beside its right end, one clear of the other."""
        rows = [float(self._row(curve[np.flatnonzero(np.isfinite(curve))[-1]])) for curve in self.curves]
        place, free = {}, self.top + 0.5 * self.small
        for i in np.argsort(rows).tolist():
            place[i] = max(rows[i], free)
            free = place[i] + 1.15 * self.small
        over = max(free - 0.85 * self.small - self.low, 0.0)
        for i, (name, _) in enumerate(self.gauge.curves):
            letters = Letters(self.small, self.theme.text, bold=i == 0, zoom=self.zoom)
            write(canvas, name, (self.right + 6, place[i] - over), letters=letters, anchor="lm")
