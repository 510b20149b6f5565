"""The solid figure: rounded limbs with simple shading, a head with face and cap, hands and feet with a plane.

Every piece is a convex outline filled in three tones, on top of a dark rim; pieces are drawn from far to near by
limb. What is under water is tinted; a camera that looks along the water cuts the body at the water line. A
highlighted limb is filled in the colour of its panel and carries its bone line: dashed with square joints for
FAULT, solid with round ones for CORRECT.
"""

from __future__ import annotations

from functools import cached_property
from itertools import chain

import numpy as np

from swimsim.ground.records import Trace

from . import strokes
from .cameras import stature_of
from .figure import Ink, Shot
from .pens import pen_for
from .person import Person
from .polygons import NO_ROW, Polygons
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
        outlines = np.stack(plan.outlines, axis=1, dtype=np.float32, casting="same_kind")
        self.known = np.isfinite(outlines.sum(axis=(-1, -2)))
        self.outlines = strokes.fixed(outlines, plan.zoom)
        self.levels = np.stack(plan.levels, axis=1)
        self.colours, self.lines, self.bones = plan.colours, plan.lines, plan.bones()
        self.group_of, self.sequence = _sequence(plan)
        rows = plan.water_rows()
        self.rows = np.stack([rows[g] for g in GROUPS], axis=1)

    @cached_property
    def _below(self) -> np.ndarray:
        """Outlines in the part of the picture under the water line of their group. [1/16 px]"""
        shift = np.zeros((*self.outlines.shape[:2], 1, 2), np.int32)
        shift[:, :, 0, 1] = np.maximum(self.rows, 0)[:, self.group_of] << strokes.SHIFT
        return self.outlines - shift

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw one frame into an RGB picture, in place."""
        fill, colours, lines, group_of = (
            pen_for(canvas).fillConvexPoly,
            self.colours,
            self.lines,
            self.group_of,
        )
        outlines, below, levels = self.outlines[frame], self._below[frame], self.levels[frame].tolist()
        rows = np.clip(self.rows[frame], 0, len(canvas)).tolist()
        halves = [
            (canvas[:row] if row else None, canvas[row:] if row < len(canvas) else None) for row in rows
        ]
        order = self.sequence[frame]
        for i in order[self.known[frame][order]].tolist():
            level, tones = levels[i], colours[i]
            if level != CUT:
                fill(canvas, outlines[i], tones[level], lines[i], strokes.SHIFT)
                continue
            dry, wet = halves[group_of[i]]
            if dry is not None:
                fill(dry, outlines[i], tones[0], lines[i], strokes.SHIFT)
            if wet is not None:
                fill(wet, below[i], tones[-1], lines[i], strokes.SHIFT)
        for shapes in self.bones:
            shapes.draw(canvas, frame)

    def polygons(self) -> list[Polygons]:
        """The same for compiled code."""
        frame, order = np.arange(len(self.sequence))[:, None], self.sequence
        known, level = self.known[frame, order], self.levels[frame, order]
        frames, pieces, level = np.nonzero(known)[0], order[known], level[known]
        cut, tones = level == CUT, np.array(self.colours, np.uint8)
        body = Polygons(
            self.outlines[frames, pieces], frames,
            tones=tones[pieces, np.where(cut, 0, level)], low=tones[pieces, level],
            rows=np.where(cut, self.rows[frames, self.group_of[pieces]], NO_ROW),
        )  # fmt: skip
        return [body, *(part for shapes in self.bones for part in shapes.polygons())]


def _sequence(plan: Plan) -> tuple[np.ndarray, np.ndarray]:
    """Group of each piece (m,), and the pieces of each frame from far to near (n, m)."""
    blocks = [list(plan.groups[g].values()) for g in GROUPS]
    count = len(plan.outlines)
    group_of, place = np.zeros(count, int), np.zeros((2, count), int)
    for group, own in enumerate(blocks):
        for turned, members in enumerate((list(chain(*own)), list(chain(*own[::-1])))):
            group_of[members], place[turned, members] = group, np.arange(len(members))
    found = plan.turned()
    turned = np.stack([found[g] for g in GROUPS], axis=1)[:, group_of]
    rank = np.argsort(plan.order(), axis=1)[:, group_of]
    return group_of, np.argsort(rank * count + np.where(turned, place[1], place[0]), axis=1)
