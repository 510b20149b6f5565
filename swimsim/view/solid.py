"""The solid figure: rounded limbs with simple shading, a head with face and cap, hands and feet with a plane.

Every piece is a convex outline filled in three tones, on top of a dark rim; pieces are drawn from far to near by
limb. What is under water is tinted; a camera that looks along the water cuts the body at the water line. A
highlighted limb is filled in the colour of its panel and carries its bone line: dashed with square joints for
FAULT, solid with round ones for CORRECT.
"""

from __future__ import annotations

from itertools import chain

import numpy as np

from swimsim.ground.records import Trace

from . import strokes
from .cameras import stature_of
from .figure import Ink, Shot
from .pens import pen_for
from .person import Person
from .solid_plan import CUT, GROUPS, Plan


class SolidFigure:
    """Draws a body as a person made of rounded pieces."""

    def __init__(self, trace: Trace, person: Person | None = None):
        self.person, self.stature_m = person or Person(), stature_of(trace)

    def plan(self, shot: Shot, ink: Ink) -> SolidDrawing:
        """Prepare a stretch of frames of one view."""
        plan = Plan(shot, ink, self.person, self.stature_m)
        return SolidDrawing(plan)


class SolidDrawing:
    """A stretch of frames of the solid figure, ready to draw."""

    def __init__(self, plan: Plan):
        self.order = plan.order().tolist()
        blocks = [list(plan.groups[g].values()) for g in GROUPS]
        self.members = [(list(chain(*b)), list(chain(*b[::-1]))) for b in blocks]
        turned = plan.turned()
        self.turned = [turned[g].tolist() for g in GROUPS]
        outlines = np.stack(plan.outlines, axis=1)
        self.known = np.isfinite(outlines).all(axis=(-1, -2)).tolist()
        self.outlines = strokes.fixed(outlines, plan.zoom)
        self.levels = np.stack(plan.levels, axis=1).tolist()
        self.colours, self.lines = plan.colours, plan.lines
        rows = plan.water_rows()
        self.rows = [rows[g].tolist() for g in GROUPS]
        self.bones = plan.bones()

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw one frame into an RGB picture, in place."""
        outlines, known, levels = self.outlines[frame], self.known[frame], self.levels[frame]
        fill, colours, lines = pen_for(canvas).fillConvexPoly, self.colours, self.lines
        for group in self.order[frame]:
            row = min(max(self.rows[group][frame], 0), canvas.shape[0])
            for i in self.members[group][self.turned[group][frame]]:
                if not known[i]:
                    continue
                level = levels[i]
                if level != CUT:
                    fill(canvas, outlines[i], colours[i][level], lines[i], strokes.SHIFT)
                    continue
                if row > 0:
                    fill(canvas[:row], outlines[i], colours[i][0], lines[i], strokes.SHIFT)
                if row < canvas.shape[0]:
                    below = outlines[i] - (0, row << strokes.SHIFT)
                    fill(canvas[row:], below.astype(np.int32), colours[i][-1], lines[i], strokes.SHIFT)
        for shapes in self.bones:
            shapes.draw(canvas, frame)
